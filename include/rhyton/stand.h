/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>
#include <rhyton/section.h>

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
 * RhyStandLook:
 * @ink: lines
 * @paper: what they lie on
 * @say: (nullable): of lengths; %NULL: mm to a tenth, with a point
 * @data: for @say
 */
typedef struct
{
  RhyColour    ink, paper;
  RhySayLength say;
  gpointer     data;
} RhyStandLook;

/**
 * rhy_stand_draw_side:
 * @at: where the beam is on the wall
 * @look: (nullable): as rhy_stand_to_png() has it
 * @width, @height: user units of @cr, from (0, 0)
 *
 * Only from the side, and nothing in words.
 */
RHY_API
void rhy_stand_draw_side (RhyPlan *plan, RhyWallPoint at, const RhyStandLook *look, cairo_t *cr, double width,
                          double height);

/**
 * rhy_stand_describe:
 * @at: where the beam is on the wall
 * @look: (nullable)
 * @trouble: (out) (transfer full): of the same, what meets; "": nothing
 *
 * Returns: (transfer full): where that is and what is free between head, work and bed there, a line each:
 *   "Head to jaws: 53.1 mm free"
 */
RHY_API
char *rhy_stand_describe (RhyPlan *plan, RhyWallPoint at, const RhyStandLook *look, char **trouble);

G_END_DECLS
