/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-grip.h"

#include <math.h>

#include "rhyton-panel.h"

/* How near a place draws the artwork to it, mm on the wall. */
#define SNAP_MM 2.0
#define SNAP_TURN_DEG 3.0
#define TURN_STEP_DEG 15.0
#define SIZE_LEAST_MM 1.0

/* The lay is about the artwork's own turn of the wall. */
static gboolean
art_at (const RhyPlan *part,
        RhyWallPoint   at,
        RhyPoint      *art)
{
  const double anchor = rhy_plan_get_numbers (part)->anchor.angle;
  const double angle = anchor + remainder (at.angle - anchor, 2.0 * G_PI);
  return rhy_map_point_inverse (rhy_plan_get_lay (part), (RhyPoint) { at.s, angle }, art);
}

gboolean
rhyton_grip_is_over (const RhyPlan *part,
                     RhyWallPoint   at,
                     double         slack_mm)
{
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (part));
  RhyPoint art;

  if (rhy_bounds_is_empty (box) || !art_at (part, at, &art))
    return FALSE;
  return art.x >= box.min_x - slack_mm && art.x <= box.max_x + slack_mm
         && art.y >= box.min_y - slack_mm && art.y <= box.max_y + slack_mm;
}

static const RhyPlan *
part_of (const RhytonGrip *self)
{
  return rhy_plan_get_part (self->plan, self->part);
}

gboolean
rhyton_grip_take (RhytonGrip     *self,
                  RhytonDocument *document,
                  RhytonHandle    handle,
                  RhyWallPoint    at)
{
  const RhyPlan *part = rhyton_document_get_part (document);
  RhyPoint art;

  rhyton_grip_drop (self, document);
  if (handle == RHYTON_HANDLE_NONE || part == NULL || !art_at (part, at, &art))
    return FALSE;
  rhyton_document_hold_step (document);
  *self = (RhytonGrip) { .handle = handle,
                         .plan = rhy_plan_ref (rhyton_document_get_plan (document)),
                         .part = rhyton_document_get_selected (document),
                         .from = at,
                         .art = art };
  return TRUE;
}

void
rhyton_grip_drop (RhytonGrip     *self,
                  RhytonDocument *document)
{
  if (self->handle == RHYTON_HANDLE_NONE)
    return;
  rhyton_document_end_step (document);
  rhy_plan_unref (self->plan);
  *self = (RhytonGrip) { .handle = RHYTON_HANDLE_NONE };
}

/* Heights are written to a thousandth: stay far enough inside that rounding
 * cannot carry the anchor over the edge. */
static double
height_at (RhyWall *wall,
           double   s_mm)
{
  return rhy_wall_at (wall, CLAMP (s_mm, 0.0015, rhy_wall_get_length (wall) - 0.0015)).z_mm;
}

/* Between what stands at the rim and at the base. */
static double
middle_of_free_height (const RhyPlan *plan)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  RhyWall *wall = rhy_plan_get_wall (plan);
  double low = rhy_wall_at (wall, 0.0).z_mm;
  double high = rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm;

  for (gsize i = 0; i < data->n_zones; i++)
    {
      const RhyZone *zone = &data->zones[i];
      if (zone->kind == RHY_ZONE_BASE)
        low = MAX (low, zone->to_mm + zone->margin_mm);
      else if (zone->kind == RHY_ZONE_RIM)
        high = MIN (high, zone->from_mm - zone->margin_mm);
    }
  return 0.5 * (low + high);
}

static void
snap_place (const RhyPlan *plan,
            double        *z_mm,
            double        *angle_rad)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const double middle = middle_of_free_height (plan);
  RhyRing ring;

  if (fabs (*z_mm - middle) < SNAP_MM)
    *z_mm = middle;
  if (!rhy_wall_at_height (rhy_plan_get_wall (plan), *z_mm, &ring))
    return;
  if (fabs (remainder (*angle_rad, 2.0 * G_PI)) * ring.r_mm < SNAP_MM)
    *angle_rad = 0.0;
  for (gsize i = 0; i < data->n_zones; i++)
    {
      const double opposite = data->zones[i].centre_rad + G_PI;
      if (data->zones[i].kind == RHY_ZONE_HANDLE
          && fabs (remainder (*angle_rad - opposite, 2.0 * G_PI)) * ring.r_mm < SNAP_MM)
        *angle_rad = opposite;
    }
}

static void
move_body (RhytonGrip     *self,
           RhytonDocument *document,
           RhyWallPoint    to,
           gboolean        free)
{
  const RhyWallPoint anchor = rhy_plan_get_numbers (part_of (self))->anchor;
  double z_mm = height_at (rhy_plan_get_wall (self->plan), anchor.s + to.s - self->from.s);
  double angle_rad = anchor.angle + remainder (to.angle - self->from.angle, 2.0 * G_PI);

  if (!free)
    snap_place (self->plan, &z_mm, &angle_rad);
  /* An anchor's height is always on the wall, so this is not refused. */
  rhyton_document_move_artwork (document, "drag", z_mm, angle_rad * 180.0 / G_PI, NULL);
}

static void
change_number (RhytonDocument *document,
               const char     *name,
               const char     *key,
               double          value)
{
  rhyton_document_change_number (document, name, "drag", "Artwork", key, round (value * 1e3) / 1e3, NULL);
}

/* By the measure that the job gives, so the other keeps following from it. */
static void
move_corner (RhytonGrip     *self,
             RhytonDocument *document,
             RhyPoint        art)
{
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (part_of (self));
  const gboolean by_height = rhy_plan_get_group (part_of (self))->height_mm > 0.0;
  const double size = by_height ? numbers->height_mm : numbers->width_mm;
  const double grown = hypot (art.x, art.y) / hypot (self->art.x, self->art.y);

  if (isfinite (grown))
    change_number (document, "Size", by_height ? "Height" : "Width", MAX (size * grown, SIZE_LEAST_MM));
}

static void
move_turn (RhytonGrip     *self,
           RhytonDocument *document,
           RhyPoint        art,
           gboolean        free)
{
  const double before = rhy_plan_get_group (part_of (self))->turn_rad;
  const double turned = atan2 (art.y, art.x) - atan2 (self->art.y, self->art.x);
  double turn = remainder (before + turned, 2.0 * G_PI) * 180.0 / G_PI;
  const double step = round (turn / TURN_STEP_DEG) * TURN_STEP_DEG;

  if (!free && fabs (turn - step) < SNAP_TURN_DEG)
    turn = step;
  change_number (document, "Turn of the artwork", "Turn", turn);
}

void
rhyton_grip_move (RhytonGrip     *self,
                  RhytonDocument *document,
                  RhyWallPoint    to,
                  gboolean        free)
{
  RhyPoint art;

  if (self->handle == RHYTON_HANDLE_BODY)
    move_body (self, document, to, free);
  else if (self->handle != RHYTON_HANDLE_NONE && art_at (part_of (self), to, &art))
    {
      if (self->handle == RHYTON_HANDLE_CORNER)
        move_corner (self, document, art);
      else
        move_turn (self, document, art, free);
    }
}

char *
rhyton_grip_describe (const RhytonGrip *self,
                      RhytonDocument   *document)
{
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const RhyPlan *part = rhyton_document_get_part (document);

  g_autofree char *first = NULL;
  g_autofree char *second = NULL;

  switch (self->handle)
    {
    case RHYTON_HANDLE_BODY:
      first = rhyton_panel_format_mm (document, artwork->at_mm);
      return g_strdup_printf ("%s up, %.1f\u00b0 around", first, artwork->around_rad * 180.0 / G_PI);
    case RHYTON_HANDLE_CORNER:
      if (part == NULL)
        return NULL;
      first = rhyton_panel_format_mm (document, rhy_plan_get_numbers (part)->width_mm);
      second = rhyton_panel_format_mm (document, rhy_plan_get_numbers (part)->height_mm);
      return g_strdup_printf ("%s \u00d7 %s", first, second);
    case RHYTON_HANDLE_TURN:
      return g_strdup_printf ("turned %.1f\u00b0", artwork->turn_rad * 180.0 / G_PI);
    default:
      return NULL;
    }
}

void
rhyton_grip_nudge (RhytonDocument *document,
                   double          right_mm,
                   double          up_mm)
{
  const RhyPlan *plan = rhyton_document_get_part (document);
  if (plan == NULL)
    return;

  /* From the job, not the plan: keys may come faster than plans. */
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const RhyWallPoint anchor = rhy_plan_get_numbers (plan)->anchor;
  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyRing ring = rhy_wall_at (wall, anchor.s);
  if (isfinite (artwork->at_mm))
    rhy_wall_at_height (wall, artwork->at_mm, &ring);
  const double angle = artwork->around_rad + right_mm / ring.r_mm;
  rhyton_document_move_artwork (document, "nudge", height_at (wall, ring.s_mm + up_mm), angle * 180.0 / G_PI, NULL);
}
