/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-grip.h"

#include <math.h>

#include "rhyton-artworks.h"
#include "rhyton-panel.h"

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
inside (RhyWall *wall,
        double   s_mm)
{
  return CLAMP (s_mm, 0.0015, rhy_wall_get_length (wall) - 0.0015);
}

static void
move_body (RhytonGrip     *self,
           RhytonDocument *document,
           RhyWallPoint    to,
           double          reach_mm)
{
  const RhyWallPoint anchor = rhy_plan_get_numbers (part_of (self))->anchor;
  RhyWall *wall = rhy_plan_get_wall (self->plan);
  RhyWallPoint at = { inside (wall, anchor.s + to.s - self->from.s),
                      anchor.angle + remainder (to.angle - self->from.angle, 2.0 * G_PI) };

  self->n_snaps = reach_mm > 0.0 ? rhy_snap_to (self->plan, self->part, &at, reach_mm, self->snaps) : 0;
  /* An anchor's height is always on the wall, so this is not refused. */
  rhyton_document_move_artwork (document, "drag", rhy_wall_at (wall, inside (wall, at.s)).z_mm, at.angle * 180.0 / G_PI, NULL);
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
           gboolean        steps)
{
  const double before = rhy_plan_get_group (part_of (self))->turn_rad;
  const double turned = atan2 (art.y, art.x) - atan2 (self->art.y, self->art.x);
  double turn = remainder (before + turned, 2.0 * G_PI) * 180.0 / G_PI;
  const double step = round (turn / TURN_STEP_DEG) * TURN_STEP_DEG;

  if (steps && fabs (turn - step) < SNAP_TURN_DEG)
    turn = step;
  change_number (document, "Turn of the artwork", "Turn", turn);
}

void
rhyton_grip_move (RhytonGrip     *self,
                  RhytonDocument *document,
                  RhyWallPoint    to,
                  double          reach_mm)
{
  RhyPoint art;

  if (self->handle == RHYTON_HANDLE_BODY)
    move_body (self, document, to, reach_mm);
  else if (self->handle != RHYTON_HANDLE_NONE && art_at (part_of (self), to, &art))
    {
      if (self->handle == RHYTON_HANDLE_CORNER)
        move_corner (self, document, art);
      else
        move_turn (self, document, art, reach_mm > 0.0);
    }
}

char *
rhyton_grip_describe_snap (const RhySnap  *snap,
                           RhytonDocument *document)
{
  g_autofree char *words = rhy_snap_dup_words (snap);
  if (!(snap->gap_mm > 0.0))
    return g_steal_pointer (&words);
  g_autofree char *gap = rhyton_panel_format_mm (document, snap->gap_mm);
  return g_strdup_printf ("%s: %s", words, gap);
}

static char *
place_of (RhytonDocument      *document,
          const RhyJobArtwork *artwork)
{
  const double angle = artwork->around_rad * 180.0 / G_PI;
  if (isnan (artwork->at_mm))
    return g_strdup_printf ("at the middle, %.1f\u00b0 around", angle);
  g_autofree char *up = rhyton_panel_format_mm (document, artwork->at_mm);
  return g_strdup_printf ("%s up, %.1f\u00b0 around", up, angle);
}

static char *
size_of (RhytonDocument *document,
         const RhyPlan  *part)
{
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (part);
  g_autofree char *width = rhyton_panel_format_mm (document, numbers->width_mm);
  g_autofree char *height = rhyton_panel_format_mm (document, numbers->height_mm);
  return g_strdup_printf ("%s \u00d7 %s", width, height);
}

char *
rhyton_grip_describe_artwork (RhytonDocument *document,
                              gsize           i)
{
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  RhyPlan *plan = rhyton_document_get_plan (document);

  g_return_val_if_fail (i < data->n_artworks, NULL);
  g_autofree char *title = rhyton_artworks_title (&data->artworks[i]);
  g_autofree char *place = place_of (document, &data->artworks[i]);
  if (plan == NULL || i >= rhy_plan_get_n_parts (plan) || !(rhy_plan_get_numbers (rhy_plan_get_part (plan, i))->width_mm > 0.0))
    return g_strdup_printf ("%s: %s", title, place);
  g_autofree char *size = size_of (document, rhy_plan_get_part (plan, i));
  return g_strdup_printf ("%s: %s, %s", title, place, size);
}

/* The place, and what it is by. */
static char *
describe_place (const RhytonGrip    *self,
                RhytonDocument      *document,
                const RhyJobArtwork *artwork)
{
  g_autofree char *place = place_of (document, artwork);
  GString *text = g_string_new (place);

  for (gsize i = 0; i < self->n_snaps; i++)
    {
      g_autofree char *words = rhyton_grip_describe_snap (&self->snaps[i], document);
      g_string_append_printf (text, "\n%s", words);
    }
  return g_string_free (text, FALSE);
}

char *
rhyton_grip_describe (const RhytonGrip *self,
                      RhytonDocument   *document)
{
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const RhyPlan *part = rhyton_document_get_part (document);

  switch (self->handle)
    {
    case RHYTON_HANDLE_BODY:
      return describe_place (self, document, artwork);
    case RHYTON_HANDLE_CORNER:
      return part != NULL ? size_of (document, part) : NULL;
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
  rhyton_document_move_artwork (document, "nudge", rhy_wall_at (wall, inside (wall, ring.s_mm + up_mm)).z_mm, angle * 180.0 / G_PI, NULL);
}
