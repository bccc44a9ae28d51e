/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/path.h>

G_BEGIN_DECLS

/**
 * rhy_path_trimmed:
 * @box: not empty
 * @fill: whether subpaths left open are closed, as a fill closes them; for a
 *   stroke they stay open
 *
 * Pulls everything outside @box to its edges. Within the box nothing changes, neither
 * the outlines nor what a fill covers (winding numbers are kept); along the edges
 * lines run where the path went astray beyond them.
 *
 * Returns: (transfer full): the path within @box
 */
RHY_API
RhyPath *rhy_path_trimmed (const RhyPath *self, RhyBounds box, gboolean fill);

G_END_DECLS
