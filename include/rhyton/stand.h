/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * rhy_stand_to_png:
 * @head: where the beam is on the bed, mm from the mark
 * @width, @height: pixels, 320 to 8192
 *
 * The machine at one point of the drawing: from the side, with jaws, handle, head and bed; from
 * the mouth, cut at the head; and the vessel as it stands, its zones and what is out of reach
 * hatched. Parts that meet are red, those nearer than their margin amber. Where they would meet worst
 * anywhere in the drawing has a red ring.
 *
 * Returns: (transfer full): a PNG; %RHY_ERROR_OUTSIDE where the beam misses the wall there.
 */
RHY_API
GBytes *rhy_stand_to_png (RhyPlan *plan, RhyBedPoint head, int width, int height, GError **error);

/* That of cairo.h, which whoever draws has included. */
typedef struct _cairo cairo_t;

/**
 * rhy_stand_draw_side:
 * @at: where the beam is on the wall
 * @width, @height: user units of @cr, from (0, 0); letters are 11 high
 *
 * Only from the side, with the distances in words below.
 */
RHY_API
void rhy_stand_draw_side (RhyPlan *plan, RhyWallPoint at, cairo_t *cr, double width, double height);

G_END_DECLS
