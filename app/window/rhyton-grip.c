/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-grip.h"

#include <math.h>

/* The lay is about the artwork's own turn of the wall. */
static double
near_anchor (const RhyPlanNumbers *numbers,
             double                angle)
{
  return numbers->anchor.angle + remainder (angle - numbers->anchor.angle, 2.0 * G_PI);
}

gboolean
rhyton_grip_is_over (RhytonDocument *document,
                     RhyWallPoint    at,
                     double          slack_mm)
{
  RhyPlan *plan = rhyton_document_get_plan (document);
  if (plan == NULL)
    return FALSE;

  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  RhyPoint art;
  if (rhy_bounds_is_empty (box)
      || !rhy_map_point_inverse (rhy_plan_get_lay (plan),
                                 (RhyPoint) { at.s, near_anchor (numbers, at.angle) }, &art))
    return FALSE;
  return art.x >= box.min_x - slack_mm && art.x <= box.max_x + slack_mm
         && art.y >= box.min_y - slack_mm && art.y <= box.max_y + slack_mm;
}

gboolean
rhyton_grip_take (RhytonGrip     *self,
                  RhytonDocument *document,
                  RhyWallPoint    at,
                  double          slack_mm)
{
  *self = (RhytonGrip) { .held = FALSE };
  if (!rhyton_grip_is_over (document, at, slack_mm))
    return FALSE;
  rhyton_document_hold_step (document);
  *self = (RhytonGrip) {
    .held = TRUE,
    .from = at,
    .anchor = rhy_plan_get_numbers (rhyton_document_get_plan (document))->anchor,
  };
  return TRUE;
}

static void
place (RhytonDocument *document,
       const char     *tag,
       RhyPlan        *plan,
       double          s_mm,
       double          angle_rad)
{
  RhyWall *wall = rhy_plan_get_wall (plan);
  /* Heights are written to a thousandth: stay far enough inside that rounding
   * cannot carry the anchor over the edge. */
  const double s = CLAMP (s_mm, 0.0015, rhy_wall_get_length (wall) - 0.0015);
  rhyton_document_move_artwork (document, tag, rhy_wall_at (wall, s).z_mm,
                                angle_rad * 180.0 / G_PI, NULL);
}

void
rhyton_grip_move (RhytonGrip     *self,
                  RhytonDocument *document,
                  RhyWallPoint    to)
{
  RhyPlan *plan = rhyton_document_get_plan (document);
  if (!self->held || plan == NULL)
    return;
  place (document, "drag", plan,
         self->anchor.s + to.s - self->from.s,
         self->anchor.angle + remainder (to.angle - self->from.angle, 2.0 * G_PI));
}

void
rhyton_grip_nudge (RhytonDocument *document,
                   double          right_mm,
                   double          up_mm)
{
  RhyPlan *plan = rhyton_document_get_plan (document);
  if (plan == NULL)
    return;

  /* From the job, not the plan: keys may come faster than plans. */
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  const RhyWallPoint anchor = rhy_plan_get_numbers (plan)->anchor;
  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyRing ring = rhy_wall_at (wall, anchor.s);
  if (isfinite (data->artwork.at_mm))
    rhy_wall_at_height (wall, data->artwork.at_mm, &ring);
  place (document, "nudge", plan, ring.s_mm + up_mm, data->artwork.around_rad + right_mm / ring.r_mm);
}
