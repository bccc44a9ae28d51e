/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>
#include <rhyton/raster.h>

G_BEGIN_DECLS

/**
 * rhy_thumbnail_new:
 * @plan: of one artwork; of a plan with several, the first (rhy_plan_get_part())
 * @original: the artwork as it came in; %FALSE: as it will be inked: one copy, traced and in the
 *   shades that the job asks for
 * @width, @height: pixels, 1 to 4096
 *
 * The artwork flat on white paper, as large as fits with a margin of a twentieth, in the middle.
 * Dots are as fine as the picture can show, but no finer than those of the drawing.
 *
 * Returns: (transfer full): an opaque picture; %NULL with %RHY_ERROR_ARTWORK where there is no ink,
 *   %RHY_ERROR_LIMIT where memory is short.
 */
RHY_API
RhyRaster *rhy_thumbnail_new (const RhyPlan *plan, gboolean original, guint width, guint height, GError **error);

G_END_DECLS
