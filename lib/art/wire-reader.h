/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/* Whether the stream ends with END or ERROR, by its lengths alone. */
gboolean rhy_wire_is_complete (const guint8 *data, gsize size);

/**
 * rhy_wire_read:
 *
 * Returns: (transfer full): the artwork; %RHY_ERROR_ARTWORK for a stream that is
 *   not what intake-wire.h says, or the error that the stream reports.
 */
RhyArtwork *rhy_wire_read (const guint8 *data, gsize size, GError **error);

G_END_DECLS
