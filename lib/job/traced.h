/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>

G_BEGIN_DECLS

/*
 * With Trace=yes in the group: @sized traced, its ink @width_mm wide (or, where that is 0, @height_mm high).
 * Else @sized itself. Returns: (transfer full)
 */
RhyArtwork *rhy_traced_at_size (RhyArtwork *sized, const RhyJobArtwork *group, double tolerance_mm,
                                double width_mm, double height_mm, GError **error);

/* Whether two groups trace alike. */
gboolean rhy_is_traced_alike (const RhyJobArtwork *a, const RhyJobArtwork *b);

G_END_DECLS
