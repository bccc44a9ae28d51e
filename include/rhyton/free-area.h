/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/path.h>
#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * rhy_plan_free_area:
 *
 * Where ink may be: the heights that the beam can work at, the turns that a handle allows, one
 * turn about the mark (further where ink goes further), less every zone with its margin. A margin's corners are left
 * square, not rounded: what is inside the outline is free, and a little beside a corner too.
 *
 * Returns: (transfer full): closed outlines in wall space (x the slant in mm, y the angle in
 *   radians), of horizontal and vertical lines only, holes the other way round; empty if nothing
 *   is free. The drive takes them to outlines of such lines on the bed, whatever the wall is.
 */
RHY_API
RhyPath *rhy_plan_free_area (const RhyPlan *plan);

G_END_DECLS
