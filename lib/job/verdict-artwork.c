/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "verdict-private.h"

#include <rhyton/zones.h>

#include "geos-overlap.h"
#include "print.h"
#include "../shape/late-gio.h"

#include <math.h>
#include <string.h>

/* Lettering that is this much too wide or narrow begins to show beside a straight rim.
 * Common practice, no source. */
#define STRETCH_CARE 0.03

/* Less shared ink than this is a touch, not an overlap: a hair of a tenth of a
 * millimetre, as long as it is wide. */
#define OVERLAP_LEAST_MM2 0.01

static double
degrees (double rad)
{
  return rad / G_PI * 180.0;
}

static double
height_at (const RhyPlan *plan,
           double         s)
{
  return rhy_wall_at (rhy_plan_get_wall (plan), s).z_mm;
}

/* A note of the artwork's, which begins small and ends without a stop, beside findings that are sentences. */
static char *
sentence (const char *note)
{
  const gunichar first = g_utf8_get_char (note);
  GString *text = g_string_new (NULL);
  g_string_append_unichar (text, g_unichar_toupper (first));
  g_string_append (text, g_utf8_next_char (note));
  if (text->len > 0 && strchr (".!?", text->str[text->len - 1]) == NULL)
    g_string_append_c (text, '.');
  return g_string_free (text, FALSE);
}

/* ---- one artwork on the wall ---- */

/* What to do about @past mm of overhang, with @room mm free at the other end. */
static char *
remedy_for_overhang (const RhyPlan *plan,
                     double         past,
                     double         room,
                     const char    *way)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  if (room >= past)
    return rhy_print ("Set [%s] At %.1f mm %s, or make the artwork smaller.", rhy_plan_get_group (plan)->group, ceil (past * 10.0) / 10.0, way);
  const double wall = rhy_wall_get_length (rhy_plan_get_wall (plan));
  const double reach = n->s_high_mm - n->s_low_mm + n->past_rim_mm + n->past_base_mm;
  return rhy_print ("It is %.1f mm tall on a wall of %.1f mm: make it no more than %.0f %% of its size.",
                    reach, wall, floor (100.0 * wall / reach));
}

/* Where the remedy for an overhang moves the artwork, if a move is enough. */
static void
mend_overhang (RhyVerdict *self,
               double      past,
               double      room,
               double      sign)
{
  const RhyPlan *plan = self->part;
  if (room < past)
    return;
  const double at = height_at (plan, rhy_plan_get_numbers (plan)->anchor.s) + sign * ceil (past * 10.0) / 10.0;
  rhy_verdict_mend (self, sign < 0.0 ? "Move it down onto the wall" : "Move it up onto the wall",
                    rhy_plan_get_group (plan)->group, "At", rhy_print ("%.3f", at));
}

static void
check_ends (RhyVerdict *self)
{
  const RhyPlan *plan = self->part;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double length = rhy_wall_get_length (rhy_plan_get_wall (plan));
  if (n->past_rim_mm > 0.0)
    {
      g_autofree char *remedy = remedy_for_overhang (plan, n->past_rim_mm, n->past_base_mm > 0.0 ? 0.0 : n->s_low_mm, "lower");
      rhy_verdict_find (self, RHY_LEVEL_STOP, "past-rim",
                        rhy_print ("The ink reaches %.2f mm past the rim. %s", n->past_rim_mm, remedy),
                        height_at (plan, length), n->anchor.angle);
      mend_overhang (self, n->past_rim_mm, n->past_base_mm > 0.0 ? 0.0 : n->s_low_mm, -1.0);
    }
  if (n->past_base_mm > 0.0)
    {
      g_autofree char *remedy = remedy_for_overhang (plan, n->past_base_mm,
                                                     n->past_rim_mm > 0.0 ? 0.0 : length - n->s_high_mm, "higher");
      rhy_verdict_find (self, RHY_LEVEL_STOP, "past-base",
                        rhy_print ("The ink reaches %.2f mm past the base. %s", n->past_base_mm, remedy),
                        height_at (plan, 0.0), n->anchor.angle);
      mend_overhang (self, n->past_base_mm, n->past_rim_mm > 0.0 ? 0.0 : length - n->s_high_mm, 1.0);
    }
  if (n->n_unseen > 0)
    {
      gsize n_ink = 0;
      rhy_plan_get_ink (plan, &n_ink);
      rhy_verdict_find (self, RHY_LEVEL_STOP, "no-place",
                        rhy_print ("%.1f %% of the ink has no place on the wall with this lay. "
                                   "Make the artwork narrower, or use another lay.",
                                   100.0 * (double) n->n_unseen / (double) n_ink),
                        height_at (plan, n->anchor.s), n->anchor.angle);
    }
}

/* To a thousandth, and rather a little farther than back into the margin. */
static double
round_away (double to,
            double from)
{
  if (fabs (to - from) < 1e-6)
    return to;
  return (to > from ? ceil (to * 1e3 - 1e-6) : floor (to * 1e3 + 1e-6)) / 1e3;
}

/* As few digits as say it: a tenth that is not the place itself is on the zone again half of the time. */
static char *
place_to_text (double value)
{
  return fabs (value - round (value * 10.0) / 10.0) < 5e-4 ? rhy_print ("%.1f", value) : rhy_print ("%.3f", value);
}

/* Where the artwork could go instead, or how small it would have to be.
 * @at_mm, @around_deg: (out): where it could go; NAN if nowhere */
static char *
remedy_for_zones (const RhyVerdict *self,
                  RhyInkArea       *area,
                  double           *at_mm,
                  double           *around_deg)
{
  const RhyPlan *plan = self->part;
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyJobArtwork *a = rhy_plan_get_group (plan);
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  gsize n_ink = 0;
  const RhyArtPoint *ink = rhy_plan_get_ink (plan, &n_ink);
  const double eye = a->eye_height_mm;
  const RhyPlacement placement = {
    .wall = rhy_plan_get_wall (plan),
    .area = area,
    .lay = { .kind = a->lay, .anchor = n->anchor, .turn_rad = a->turn_rad,
             .eye_distance_mm = a->eye_distance_mm,
             .eye_height_mm = isnan (eye) ? height_at (plan, n->anchor.s) : eye,
             .ink = ink, .n_ink = n_ink },
    .eye_follows = isnan (eye),
    .spacing_mm = rhy_plan_get_spacing (plan),
    .zones = d->zones,
    .n_zones = d->n_zones,
    .cancellable = self->cancellable,
  };
  RhyWallPoint to;
  *at_mm = *around_deg = NAN;
  if (n_ink > 0 && rhy_placement_nearest (&placement, &to))
    {
      *at_mm = round_away (height_at (plan, to.s), height_at (plan, n->anchor.s));
      *around_deg = round_away (degrees (to.angle), degrees (n->anchor.angle));
      g_autofree char *at = place_to_text (*at_mm);
      g_autofree char *around = place_to_text (*around_deg);
      return g_strdup_printf ("The nearest free place is At=%s, Around=%s.", at, around);
    }
  const double scale = n_ink > 0 ? rhy_placement_largest (&placement) : 0.0;
  if (scale > 0.0)
    return rhy_print ("At this size there is no free place: here it fits up to a width of %.1f mm.",
                      floor (10.0 * scale * n->width_mm) / 10.0);
  return g_strdup ("At this size there is no free place: make the artwork smaller, and move it.");
}

/* Whether a zone is so far from the ink's own band and reach around that it need not be
 * measured. Across an angle g the wall's points are at least r sin g apart, r the smaller
 * radius of both bands. */
static gboolean
is_far (const RhyPlan *plan,
        const RhyZone *zone)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyWall *wall = rhy_plan_get_wall (plan);
  /* The ink is known by samples; its edge lies within one spacing of them. */
  const double margin = zone->margin_mm + rhy_plan_get_spacing (plan);
  if (zone->from_mm > height_at (plan, n->s_high_mm) + margin || zone->to_mm < height_at (plan, n->s_low_mm) - margin)
    return TRUE;

  const double half_ink = 0.5 * (n->angle_high_rad - n->angle_low_rad);
  const double middle = 0.5 * (n->angle_high_rad + n->angle_low_rad);
  const double between = fabs (remainder (zone->centre_rad - middle, 2.0 * G_PI));
  const double gap = between - half_ink - 0.5 * zone->width_rad;
  const double r = rhy_wall_narrowest (wall, 0.0, rhy_wall_get_length (wall)).r_mm;
  return gap > 0.0 && r * sin (MIN (gap, 0.5 * G_PI)) > margin;
}

static void
check_zones (RhyVerdict *self)
{
  const RhyPlan *plan = self->part;
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  g_autofree RhyZone *near = g_new (RhyZone, d->n_zones + 1);
  g_autofree RhyZoneGap *gaps = g_new0 (RhyZoneGap, d->n_zones + 1);
  g_autofree char *remedy = NULL;
  double at_mm = NAN, around_deg = NAN;
  gsize n_near = 0;
  for (gsize i = 0; i < d->n_zones; i++)
    if (!is_far (plan, &d->zones[i]))
      near[n_near++] = d->zones[i];
  if (n_near == 0 || rhy_artwork_get_n_shapes (rhy_plan_get_artwork (plan)) == 0)
    return;
  g_autoptr (RhyInkArea) area = rhy_ink_area_new (rhy_plan_get_artwork (plan), self->cancellable, NULL);
  if (area == NULL || !rhy_zones_measure (rhy_plan_get_wall (plan), area, rhy_plan_get_lay (plan), near, n_near, gaps,
                                          self->cancellable, NULL))
    return;
  for (gsize i = 0; i < n_near; i++)
    {
      const RhyZone *zone = &near[i];
      const RhyZoneGap *gap = &gaps[i];
      const gboolean meets = gap->overlap_mm2 > 0.0;
      if (!gap->is_on_wall || !(meets || gap->distance_mm < zone->margin_mm))
        continue;
      if (remedy == NULL)
        remedy = remedy_for_zones (self, area, &at_mm, &around_deg);
      /* A seam only looks bad under ink; the rest is in the way, or spoils the piece. */
      rhy_verdict_find (self, zone->kind == RHY_ZONE_SEAM ? RHY_LEVEL_CARE : RHY_LEVEL_STOP, "on-zone",
                        meets ? rhy_print ("The ink lies on the %s \"%s\" over %.2f mm2. %s", rhy_zone_kind_to_string (zone->kind),
                                           zone->name, gap->overlap_mm2, remedy)
                              : rhy_print ("The ink comes within %.2f mm of the %s \"%s\", whose margin is %.2f mm. %s", gap->distance_mm,
                                           rhy_zone_kind_to_string (zone->kind), zone->name, zone->margin_mm, remedy),
                        height_at (plan, gap->ink.s), gap->ink.angle);
      if (isnan (at_mm))
        continue;
      const char *group = rhy_plan_get_group (plan)->group;
      rhy_verdict_mend (self, "Move it to the free place", group, "At", rhy_print ("%.3f", at_mm));
      rhy_verdict_mend (self, "Move it to the free place", group, "Around", rhy_print ("%.3f", around_deg));
    }
}

static void
check_overlap (RhyVerdict *self)
{
  const RhyPlan *plan = self->part;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double span = n->angle_high_rad - n->angle_low_rad;
  const double share = 2.0 * G_PI / n->copies;
  if (n->copies > 1 && n->copy_span_rad > share)
    {
      rhy_verdict_find (self, RHY_LEVEL_STOP, "overlaps-itself",
                        rhy_print ("Each of the %u copies reaches %.1f degrees around and has %.1f: neighbours meet. Make them no more than "
                                   "%.1f mm wide, or repeat fewer.", n->copies, degrees (n->copy_span_rad), degrees (share),
                                   floor (n->width_mm * share / n->copy_span_rad * 10.0) / 10.0),
                        height_at (plan, n->anchor.s), n->anchor.angle + 0.5 * share);
      return;
    }
  /* Only what reaches further than a turn can meet itself. */
  if (!(span > 2.0 * G_PI) || n->past_rim_mm > 0.0 || n->past_base_mm > 0.0 || n->n_unseen > 0)
    return;
  const double r = rhy_wall_at (rhy_plan_get_wall (plan), n->anchor.s).r_mm;
  const guint turns = (guint) MIN (floor (span / (2.0 * G_PI)), 16.0);
  RhyWallPoint at = { n->anchor.s, n->anchor.angle };
  const double area = rhy_overlap_area (rhy_plan_get_artwork (plan), rhy_plan_get_lay (plan), r, turns, self->cancellable, &at);
  if (area >= 0.0 && !(area > OVERLAP_LEAST_MM2))
    return;
  g_autofree char *how_much = area > 0.0 ? rhy_print ("lies on itself over %.2f mm2", area) : g_strdup ("may lie on itself");
  rhy_verdict_find (self, RHY_LEVEL_STOP, "overlaps-itself",
                    rhy_print ("The ink reaches %.1f degrees around, more than a full turn, and %s. Make it no more than %.1f mm wide.",
                               degrees (span), how_much, floor (n->width_mm * 2.0 * G_PI / span * 10.0) / 10.0),
                    height_at (plan, at.s), at.angle);
}

static void
check_artwork (RhyVerdict *self)
{
  const RhyArtwork *artwork = rhy_plan_get_artwork (self->part);
  const RhyJobArtwork *a = rhy_plan_get_group (self->part);
  if (rhy_artwork_get_n_shapes (artwork) == 0 && rhy_artwork_get_n_pictures (artwork) == 0)
    rhy_verdict_find (self, RHY_LEVEL_STOP, "no-artwork",
                      a->file == NULL && a->text == NULL
                        ? rhy_print ("The job names no artwork. Name an SVG, PNG or JPEG file in [%s] File.", a->group)
                        : rhy_print ("Nothing is left of the artwork of [%s] at its size: its lines are too fine to have an area. Give them a width, "
                                     "or set Strokes=centreline.", a->group),
                      NAN, NAN);
  const RhyPlanNumbers *plan_numbers = rhy_plan_get_numbers (self->part);
  if (a->repeat > 1 && plan_numbers->copies == 1)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "repeat-single",
                      rhy_print ("Copies of a %s lay are not alike, so the drawing holds one of the %u. Burn it %u times, the mark moved on "
                                 "by %.4g degrees, or lay it rolled or ringed.", rhy_lay_kind_to_string (a->lay),
                                 a->repeat, a->repeat, 360.0 / a->repeat),
                      NAN, NAN);
  if (a->file != NULL && a->width_mm == 0.0 && a->height_mm == 0.0 && a->span_rad == 0.0)
    {
      const RhyPlanNumbers *n = rhy_plan_get_numbers (self->part);
      const gboolean guessed = rhy_artwork_get_size_source (rhy_plan_get_source (self->part)) != RHY_SIZE_PHYSICAL;
      rhy_verdict_find (self, guessed ? RHY_LEVEL_CARE : RHY_LEVEL_NOTE, "size-from-file",
                        rhy_print ("Neither Width nor Height is given: the ink is %.2f x %.2f mm, %s. Set [%s] Width.",
                                   n->width_mm, n->height_mm, guessed ? "taking the file's units as 1/96 inch" : "the file's own size", a->group),
                        NAN, NAN);
    }
  const double shrink = plan_numbers->shrink;
  if (shrink > 0.0 && shrink < a->shrink_min * (1.0 - 1e-9))
    rhy_verdict_find (self, RHY_LEVEL_STOP, "too-wide",
                      rhy_print ("At its size the ink is %.1f mm wide; to keep to WidthMax=%.4g it would shrink to %.0f %% and may only to %.0f %%. "
                                 "Shorten it, or set [%s] ShrinkMin.", plan_numbers->width_mm / shrink, a->width_max_mm,
                                 100.0 * shrink, 100.0 * a->shrink_min, a->group),
                      NAN, NAN);
  else if (shrink > 0.0 && shrink < 1.0)
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "shrunk",
                      rhy_print ("The ink is shrunk to %.0f %% of its size to keep to WidthMax=%.4g mm.", 100.0 * shrink, a->width_max_mm),
                      NAN, NAN);
  /* What it was made into says what was lost on the way, beside what came in. */
  const char *const *notes = rhy_artwork_get_notes (rhy_plan_get_artwork (self->part));
  for (gsize i = 0; notes[i] != NULL; i++)
    if (g_str_has_prefix (notes[i], RHY_ARTWORK_NO_GLYPH))
      rhy_verdict_find (self, RHY_LEVEL_STOP, "letter-missing", g_strdup_printf ("Of the lettering %s.", notes[i]), NAN, NAN);
    else
      rhy_verdict_find (self, RHY_LEVEL_NOTE, "artwork-note", sentence (notes[i]), NAN, NAN);
}

static void
check_stretch (RhyVerdict *self)
{
  const RhyStretchRange *s = rhy_plan_get_stretch (self->part);
  if (!(s->major_max > 1.0 + STRETCH_CARE || s->minor_min < 1.0 - STRETCH_CARE))
    return;
  const gboolean wide = s->major_max - 1.0 >= 1.0 - s->minor_min;
  const RhyArtPoint worst = wide ? s->major_at : s->minor_at;
  RhyPoint at = { NAN, NAN };
  const gboolean placed = rhy_map_point (rhy_plan_get_lay (self->part), (RhyPoint) { worst.u, worst.v }, &at);
  rhy_verdict_find (self, RHY_LEVEL_CARE, "stretch-high",
                    rhy_print ("The ink is drawn out by up to %.1f %% and squeezed by up to %.1f %%, angles off by up to %.1f degrees. "
                               "Make the artwork smaller, or use another lay; look at the stretch in the preview.",
                               100.0 * MAX (0.0, s->major_max - 1.0), 100.0 * MAX (0.0, 1.0 - s->minor_min), degrees (s->angle_max_rad)),
                    placed ? height_at (self->part, at.x) : NAN, placed ? at.y : NAN);
}

/* ---- one artwork against another ---- */

static void
check_pair (RhyVerdict    *self,
            const RhyPlan *a,
            const RhyPlan *b)
{
  const RhyPlanNumbers *m = rhy_plan_get_numbers (a);
  const RhyPlanNumbers *n = rhy_plan_get_numbers (b);
  if (m->s_high_mm < n->s_low_mm || n->s_high_mm < m->s_low_mm)
    return;
  /* The turns that bring @b's reach onto @a's. */
  const double turn = 2.0 * G_PI;
  const int first = (int) ceil ((m->angle_low_rad - n->angle_high_rad) / turn);
  const int last = (int) floor ((m->angle_high_rad - n->angle_low_rad) / turn);
  const RhyWall *wall = rhy_plan_get_wall (a);
  RhyWallPoint at = { NAN, NAN };
  const RhyOverlapInk inks[] = { { rhy_plan_get_artwork (a), rhy_plan_get_lay (a) }, { rhy_plan_get_artwork (b), rhy_plan_get_lay (b) } };
  const double area = rhy_overlap_between (&inks[0], &inks[1], rhy_wall_at (wall, m->anchor.s).r_mm, first, last, self->cancellable, &at);
  if (area >= 0.0 && !(area > OVERLAP_LEAST_MM2))
    return;
  g_autofree char *how_much = area > 0.0 ? rhy_print ("share %.2f mm2 of ink", area) : g_strdup ("may share ink");
  rhy_verdict_find (self, RHY_LEVEL_CARE, "artworks-overlap",
                    rhy_print ("[%s] and [%s] %s, which is burnt twice. Move one of them.", rhy_plan_get_group (a)->group,
                               rhy_plan_get_group (b)->group, how_much),
                    isnan (at.s) ? NAN : height_at (a, at.s), at.angle);
}

void
rhy_verdict_check_pairs (RhyVerdict *self)
{
  const gsize n = rhy_plan_get_n_parts (self->plan);
  for (gsize i = 0; i < n; i++)
    for (gsize k = i + 1; k < n && !g_cancellable_is_cancelled (self->cancellable); k++)
      check_pair (self, rhy_plan_get_part (self->plan, i), rhy_plan_get_part (self->plan, k));
}

void
rhy_verdict_check_artwork (RhyVerdict *self)
{
  check_ends (self);
  check_overlap (self);
  check_zones (self);
  rhy_verdict_check_pictures (self);
  check_artwork (self);
  check_stretch (self);
  rhy_verdict_check_detail (self);
}
