/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "verdict-private.h"

#include <math.h>

#include <rhyton/zones.h>

#include "print.h"

/* Work that rests on rollers walks along the axis when it tapers by more than this.
 * Common practice, no source. */
#define ROLLER_TAPER_CARE_DEG 0.5

/* Below this a first height is a foot's rounding. */
#define LOWEST_NOTE_MM 5.0

static double
degrees (double rad)
{
  return rad / G_PI * 180.0;
}

static const RhyJobData *
data_of (const RhyVerdict *self)
{
  return rhy_job_get_data (rhy_plan_get_job (self->plan));
}

static double
height_at (const RhyVerdict *self,
           double            s)
{
  return rhy_wall_at (rhy_plan_get_wall (self->plan), s).z_mm;
}

/* ---- zones that make no sense ---- */

static void
check_zones_lie_on_it (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  const double base = height_at (self, 0.0);
  const double rim = height_at (self, rhy_wall_get_length (rhy_plan_get_wall (self->plan)));
  for (gsize i = 0; i < d->n_zones; i++)
    {
      const RhyZone *z = &d->zones[i];
      /* Jaws and tailstock may well end where the wall begins. */
      const gboolean may_be_off = z->kind == RHY_ZONE_JAWS || z->kind == RHY_ZONE_TAILSTOCK;
      if (!may_be_off && !(z->from_mm < rim && z->to_mm > base))
        rhy_verdict_find (self, RHY_LEVEL_CARE, "zone-off-vessel",
                          rhy_print ("The %s \"%s\" lies from %.1f to %.1f mm; the wall goes from %.1f to %.1f mm, so it has no effect. "
                                     "Correct its From and To.", rhy_zone_kind_to_string (z->kind), z->name, z->from_mm, z->to_mm,
                                     base, rim), NAN, NAN);
    }
}

static gboolean
is_grip (RhyZoneKind kind)
{
  return kind == RHY_ZONE_JAWS || kind == RHY_ZONE_TAILSTOCK;
}

/* Rim, base and seam lie under anything; things that stand in each other's place do not go together. */
static gboolean
is_thing (RhyZoneKind kind)
{
  return is_grip (kind) || kind == RHY_ZONE_HANDLE;
}

static void
check_zones_clash (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  for (gsize i = 0; i < d->n_zones; i++)
    for (gsize k = i + 1; k < d->n_zones; k++)
      {
        const RhyZone *a = &d->zones[i];
        const RhyZone *b = &d->zones[k];
        if (!rhy_zones_clash (a, b) || !(a->kind == b->kind || (is_thing (a->kind) && is_thing (b->kind))))
          continue;
        const gboolean gripped = a->kind != b->kind && is_thing (a->kind) && is_thing (b->kind);
        rhy_verdict_find (self, gripped ? RHY_LEVEL_CARE : RHY_LEVEL_NOTE, "zones-overlap",
                          rhy_print ("The %s \"%s\" and the %s \"%s\" cover the same part of the wall. %s",
                                     rhy_zone_kind_to_string (a->kind), a->name, rhy_zone_kind_to_string (b->kind), b->name,
                                     gripped ? "They cannot both be there: hold the other end, or correct one of them."
                                             : "Both count; correct one of them if that is not meant."),
                          MAX (a->from_mm, b->from_mm), a->centre_rad);
      }
}

/* ---- focus ---- */

/* The tallest band about the middle of the ink whose spread stays within the depth of focus. */
static double
tallest_in_focus (const RhyVerdict *self,
                  double            depth)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->plan);
  const RhyWall *wall = rhy_plan_get_wall (self->plan);
  const double middle = 0.5 * (n->s_low_mm + n->s_high_mm);
  double good = 0.0;
  double bad = 0.5 * (n->s_high_mm - n->s_low_mm);
  for (int i = 0; i < 20; i++)
    {
      const double half = 0.5 * (good + bad);
      double least, greatest;
      rhy_drive_focus_range (wall, n->tilt_rad, middle, middle - half, middle + half, &least, &greatest);
      if (greatest - least <= depth)
        good = half;
      else
        bad = half;
    }
  return 2.0 * good;
}

static void
check_focus (RhyVerdict *self)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->plan);
  const RhyJobData *d = data_of (self);
  const RhyHolding *h = self->holding;
  const double depth = d->machine.depth_of_focus_mm;
  const double spread = h->focus_greatest_mm - h->focus_least_mm;
  const double middle = 0.5 * (h->focus_greatest_mm + h->focus_least_mm);
  const double worst = MAX (-h->focus_least_mm, h->focus_greatest_mm);
  g_autofree char *wobble = d->hold.runout_mm > 0.0 ? rhy_print (", %.2f mm of it runout", d->hold.runout_mm) : g_strdup ("");
  if (d->hold.defocus_mm != 0.0)
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "defocused",
                      rhy_print ("Out of focus on purpose: the head is set %.2f mm %s its focus, which makes it %.2f to %.2f mm over the ink.",
                                 fabs (d->hold.defocus_mm), d->hold.defocus_mm > 0.0 ? "above" : "below",
                                 d->hold.defocus_mm - h->focus_greatest_mm, d->hold.defocus_mm - h->focus_least_mm), NAN, NAN);
  if (spread > depth)
    {
      const double tall = tallest_in_focus (self, MAX (0.0, depth - d->hold.runout_mm));
      const gboolean tilted = fabs (n->best_tilt_rad - n->tilt_rad) < 1e-4;
      g_autofree char *tilt = tilted ? g_strdup ("Keep")
                              : d->hold.tilt_mode == RHY_TILT_AUTO ? rhy_print ("Prop the rotary until the work tilts by %.2f degrees, or keep",
                                                                                degrees (n->best_tilt_rad))
                              : rhy_print ("Tilt the work by %.2f degrees (Tilt=auto), or keep",
                                                                      degrees (n->best_tilt_rad));
      rhy_verdict_find (self, RHY_LEVEL_STOP, "out-of-focus",
                        rhy_print ("The distance to the head changes by %.2f mm over the ink at a tilt of %.2f degrees%s; "
                                   "the depth of focus is %.2f mm. %s the artwork to %.1f mm along the wall.",
                                   spread, degrees (n->tilt_rad), wobble, depth, tilt, floor (10.0 * tall) / 10.0),
                        height_at (self, fabs (n->focus_least_mm) > fabs (n->focus_greatest_mm) ? n->s_low_mm : n->s_high_mm), NAN);
      if (!tilted && d->hold.tilt_mode != RHY_TILT_AUTO)
        rhy_verdict_mend (self, "Take the best tilt", "Hold", "Tilt", g_strdup ("auto"));
    }
  else if (worst > 0.5 * depth)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "out-of-focus",
                      rhy_print ("Focused at the mark, the ink is up to %.2f mm out of focus%s; the depth of focus is %.2f mm in all. "
                                 "Set the head %.2f mm %s after focusing at the mark.",
                                 worst, wobble, depth, fabs (middle), middle > 0.0 ? "higher" : "lower"), NAN, NAN);
}

/* ---- tilt ---- */

static const char *const end_words[RHY_N_WAYS] = {
  [RHY_WAY_BASE] = "by the base",
  [RHY_WAY_MOUTH] = "by the mouth",
  [RHY_WAY_INSIDE] = "from inside the mouth",
  [RHY_WAY_ROLLERS] = "on rollers",
  [RHY_WAY_PINS] = "between pins",
};

/* Whether the other end does it, and what that costs. */
static char *
other_end (const RhyVerdict *self)
{
  const RhyWay way = rhy_job_way (rhy_plan_get_job (self->plan));
  if (way == RHY_WAY_ROLLERS || way == RHY_WAY_PINS)
    return g_strdup ("");
  const RhyWay other = way == RHY_WAY_BASE ? RHY_WAY_MOUTH : RHY_WAY_BASE;
  g_autoptr (RhyHolding) there = rhy_plan_hold (self->plan, other, self->cancellable);
  if (there == NULL)
    return g_strdup ("");
  const double here_mm = self->holding->reach_high_mm - self->holding->reach_low_mm;
  const double there_mm = there->reach_high_mm - there->reach_low_mm;
  if (!there->reaches)
    return rhy_print (" Held %s the head cannot stand at the mark.", end_words[other]);
  /* Less than a tenth either way is no difference to anybody. */
  const double lost = here_mm - there_mm;
  g_autofree char *cost = fabs (lost) < 0.05 ? g_strdup ("as much as here")
                          : rhy_print ("%.1f mm %s", fabs (lost), lost > 0.0 ? "less" : "more");
  if (there->beyond_rad != 0.0)
    return rhy_print (" Held %s it would be %.2f degrees beyond, with %.1f mm of height in reach, %s.", end_words[other],
                      degrees (fabs (there->beyond_rad)), there_mm, cost);
  return rhy_print (" Held %s the chuck can do it, with %.1f mm of height in reach, %s.", end_words[other], there_mm, cost);
}

static void
check_tilt (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  const RhyHolding *h = self->holding;
  const RhyWay way = rhy_job_way (rhy_plan_get_job (self->plan));
  if (h->beyond_rad == 0.0)
    return;
  const double sense = rhy_way_sense (way);
  const gboolean above = h->beyond_rad > 0.0;
  const double limit = above ? d->machine.tilt_max_rad : d->machine.tilt_min_rad;
  const double by = degrees (fabs (h->beyond_rad));
  g_autofree char *other = other_end (self);
  if (d->hold.tilt_mode == RHY_TILT_AUTO)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "tilt-out-of-range",
                      rhy_print ("A tilt of %.2f degrees would suit the ink best; the machine goes %s %.2f, which is used, and focus and "
                                 "lengths are worked out for that. Prop the whole rotary by the other %.2f degrees and set [Machine] %s=%.2f.%s",
                                 degrees (sense * (limit + h->beyond_rad)), above == (sense > 0.0) ? "up to" : "down to",
                                 degrees (sense * limit), by, above ? "TiltMax" : "TiltMin", degrees (limit + h->beyond_rad), other), NAN, NAN);
  else
    {
      rhy_verdict_find (self, RHY_LEVEL_STOP, "tilt-out-of-range",
                        rhy_print ("The tilt is %.2f degrees; the machine goes %s %.2f, which is %.2f short. Set [Hold] Tilt to auto or within "
                                   "that, or prop the whole rotary and widen TiltMin and TiltMax by as much.%s",
                                   degrees (sense * h->chuck_tilt_rad), above == (sense > 0.0) ? "up to" : "down to",
                                   degrees (sense * limit), by, other), NAN, NAN);
      rhy_verdict_mend (self, "Take the best tilt it can", "Hold", "Tilt", g_strdup ("auto"));
    }
}

/* A vessel turned end for end in the same chuck comes out upside down if the machine's Mouth stays. */
static void
check_mouth (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  static const char *const ways[2][2] = { { "left", "right" }, { "down the page", "up the page" } };
  const gboolean plus = d->machine.mouth == RHY_MOUTH_PLUS;
  if (d->hold.drive != RHY_DRIVE_CHUCK || d->hold.end != RHY_END_MOUTH || !d->machine.given)
    return;
  rhy_verdict_find (self, RHY_LEVEL_NOTE, "mouth-at-chuck",
                    rhy_print ("Held %s, the mouth points to the chuck; the drawing takes that to be %s (Mouth=%s). Check it: a chuck that "
                               "holds a base with the mouth one way holds a mouth with it the other way.",
                               end_words[rhy_job_way (rhy_plan_get_job (self->plan))], ways[d->machine.axis == RHY_AXIS_Y][plus],
                               plus ? "plus" : "minus"), NAN, NAN);
}

/* Jaws begin at the lowest reading: too low would be the mistake that costs. */
static void
check_lowest (RhyVerdict *self)
{
  const double lowest = height_at (self, 0.0);
  if (lowest > LOWEST_NOTE_MM && rhy_job_way (rhy_plan_get_job (self->plan)) == RHY_WAY_BASE)
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "base-not-read",
                      rhy_print ("The lowest reading is at %.1f mm, and the chuck is taken to hold the vessel there. If it goes on below, add "
                                 "a reading at its foot.", lowest), lowest, NAN);
}

/* ---- rollers ---- */

static void
check_rollers (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  const RhyHolding *h = self->holding;
  RhyWall *wall = rhy_plan_get_wall (self->plan);
  if (d->hold.drive != RHY_DRIVE_ROLLERS)
    return;
  const RhyRing base = rhy_wall_at (wall, 0.0);
  const RhyRing rim = rhy_wall_at (wall, rhy_wall_get_length (wall));
  const double taper = degrees (atan2 (fabs (rim.r_mm - base.r_mm), rim.z_mm - base.z_mm));
  if (taper > ROLLER_TAPER_CARE_DEG)
    {
      g_autofree char *more = isnan (h->rolling.walk_mm) ? g_strdup ("")
        : rhy_print (" Resting on both, its axis climbs by %.2f degrees, it may walk up to %.1f mm a turn, and parts of it slip by up to %.0f %%.",
                     degrees (fabs (h->rolling.climb_rad)), h->rolling.walk_mm, 100.0 * h->rolling.slip);
      rhy_verdict_find (self, RHY_LEVEL_CARE, "taper-on-rollers",
                        rhy_print ("The wall tapers by %.2f degrees: on rollers it walks along as it turns and the drawing runs askew.%s "
                                   "Hold it in a chuck, or stop it at one end.", taper, more), NAN, NAN);
    }
  if (!(d->machine.roller_radius_mm > 0.0 && d->machine.roller_gap_mm >= 0.0))
    return;

  RhyRing contact = rhy_wall_at (wall, rhy_plan_get_numbers (self->plan)->anchor.s);
  if (!isnan (d->hold.contact_height_mm))
    rhy_wall_at_height (wall, d->hold.contact_height_mm, &contact);
  const double q = d->machine.roller_radius_mm;
  const double best = rhy_rollers_gap (contact.r_mm, q, 0.5 * (RHY_SEAT_LEAST_RAD + RHY_SEAT_GREATEST_RAD));
  if (isnan (h->seat_rad))
    rhy_verdict_find (self, RHY_LEVEL_STOP, "seat-angle",
                      rhy_print ("The work, %.1f mm across, falls through between rollers %.1f mm apart. Set RollerGap to about %.1f mm.",
                                 2.0 * contact.r_mm, d->machine.roller_gap_mm, MAX (0.0, best)), contact.z_mm, NAN);
  else if (h->seat_rad < RHY_SEAT_LEAST_RAD || h->seat_rad > RHY_SEAT_GREATEST_RAD)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "seat-angle",
                      rhy_print ("The rollers touch %.1f degrees from straight down; %.0f to %.0f hold it well. Set RollerGap to about %.1f mm.",
                                 degrees (h->seat_rad), degrees (RHY_SEAT_LEAST_RAD), degrees (RHY_SEAT_GREATEST_RAD), MAX (0.0, best)),
                      contact.z_mm, NAN);
}

/* ---- pins and supports ---- */

static const char *
name_of (const RhyBody *b)
{
  return b->name != NULL ? b->name : rhy_zone_kind_to_string (b->kind);
}

static char *
turns_to_keep (const RhyHolding *h)
{
  if (!h->is_limited)
    return g_strdup ("");
  if (h->turn_low_rad > h->turn_high_rad)
    return rhy_print ("Move the artwork around: to where %.0f degrees or more, or %.0f or less, are on top.",
                      ceil (degrees (h->turn_low_rad)), floor (degrees (h->turn_high_rad)));
  return rhy_print ("Only %.0f to %.0f degrees may be on top: make the artwork narrower, or move it around.",
                    ceil (degrees (h->turn_low_rad)), floor (degrees (h->turn_high_rad)));
}

static void
check_pins (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  RhyWall *wall = rhy_plan_get_wall (self->plan);
  const RhyRing widest = rhy_wall_widest (wall, 0.0, rhy_wall_get_length (wall));
  if (d->hold.drive != RHY_DRIVE_PINS)
    return;
  if (!(d->machine.pin_radius_mm > 0.0))
    rhy_verdict_find (self, RHY_LEVEL_CARE, "pins-unknown",
                      g_strdup ("The work is held between pins, and how much of it they cover is not known: give the machine's PinRadius "
                                "and PinLength."), NAN, NAN);
  else if (d->machine.pin_radius_mm >= widest.r_mm)
    rhy_verdict_find (self, RHY_LEVEL_STOP, "pins-too-wide",
                      rhy_print ("The pins, of radius %.1f mm, are wider than the work, of radius %.1f mm: they leave nothing free. Use "
                                 "thinner ones and set PinRadius.", d->machine.pin_radius_mm, widest.r_mm), widest.z_mm, NAN);
}

static void
check_support (RhyVerdict *self)
{
  const RhyJobData *d = data_of (self);
  const RhyHolding *h = self->holding;
  RhyWall *wall = rhy_plan_get_wall (self->plan);
  const RhySupport support = d->hold.support;
  const char *what = support == RHY_SUPPORT_ROLLER ? "support roller" : "tailstock";
  RhyRing ring;
  if (support == RHY_SUPPORT_NONE)
    return;
  if (d->hold.drive != RHY_DRIVE_CHUCK)
    {
      rhy_verdict_find (self, RHY_LEVEL_NOTE, "support-unused",
                        rhy_print ("Support=%s has no effect: work %s needs none.", rhy_support_to_string (support),
                                   end_words[rhy_job_way (rhy_plan_get_job (self->plan))]), NAN, NAN);
      return;
    }
  gboolean has_tailstock = FALSE;
  for (gsize i = 0; i < h->n_bodies; i++)
    has_tailstock |= h->bodies[i].kind == RHY_ZONE_TAILSTOCK;
  if (support == RHY_SUPPORT_TAILSTOCK && !has_tailstock)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "support-unknown",
                      g_strdup ("Whether the head misses the tailstock is not known: give the machine's TailstockRadius, or a zone of "
                                "Kind=tailstock with its Stand."), NAN, NAN);
  if (support == RHY_SUPPORT_ROLLER && !isnan (d->hold.support_height_mm)
      && !rhy_wall_at_height (wall, d->hold.support_height_mm, &ring))
    rhy_verdict_find (self, RHY_LEVEL_CARE, "support-off-vessel",
                      rhy_print ("The support roller is at height %.1f mm; the wall goes from %.1f to %.1f mm. Correct SupportHeight.",
                                 d->hold.support_height_mm, height_at (self, 0.0), height_at (self, rhy_wall_get_length (wall))), NAN, NAN);
  if (!isnan (h->support_height_mm))
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "support",
                      support == RHY_SUPPORT_ROLLER
                        ? rhy_print ("Set the top of the support roller %.1f mm over the bed.", h->support_height_mm)
                        : rhy_print ("Set the %s's axis %.1f mm over the bed where it meets the work.", what, h->support_height_mm), NAN, NAN);
}

/* Long rollers reach under the handle, short ones may not; a support roller is where it is. */
static void
check_under_rollers (RhyVerdict *self)
{
  const RhyHolding *h = self->holding;
  const gboolean drive = data_of (self)->hold.drive == RHY_DRIVE_ROLLERS;
  for (gsize i = 0; i < h->n_bodies; i++)
    if (h->rollers[i])
      {
        g_autofree char *turns = turns_to_keep (h);
        rhy_verdict_find (self, drive ? RHY_LEVEL_CARE : RHY_LEVEL_STOP, "handle-hits-rollers",
                          rhy_print ("The %s \"%s\" comes upon the %s as the work turns%s. %s", rhy_zone_kind_to_string (h->bodies[i].kind),
                                     name_of (&h->bodies[i]), drive ? "rollers" : "support roller",
                                     drive ? ", unless they end beside it" : "", turns),
                          0.5 * (h->bodies[i].from_mm + h->bodies[i].to_mm), h->bodies[i].centre_rad + G_PI);
      }
}

/* ---- the head and the bed ---- */

static char *
heights_to_keep (const RhyHolding *h)
{
  if (!h->reaches)
    return g_strdup ("At the mark itself there is no room: move the artwork away from it, or use a longer nozzle.");
  return rhy_print ("Only the heights %.1f to %.1f mm are in reach: move the artwork, or make it lower.",
                    h->reach_low_mm, h->reach_high_mm);
}

static void
say_head (RhyVerdict    *self,
          const RhyBody *b,
          RhyContact     contact)
{
  const double margin = MAX (b->margin_mm, RHY_CLEARANCE_MARGIN_MM);
  const gboolean handle = b->kind == RHY_ZONE_HANDLE;
  const gboolean round = !(b->width_rad < 2.0 * G_PI);
  if (!(contact.distance_mm < margin))
    return;
  const char *code = handle ? "head-hits-handle" : is_grip (b->kind) ? "head-hits-jaws" : "head-hits-zone";
  g_autofree char *remedy = round ? heights_to_keep (self->holding) : turns_to_keep (self->holding);
  const gboolean meets = contact.distance_mm <= 0.0;
  rhy_verdict_find (self, meets ? RHY_LEVEL_STOP : RHY_LEVEL_CARE, code,
                    meets ? rhy_print ("The head runs into the %s \"%s\" at height %.1f mm, %.1f mm too low. %s",
                                       rhy_zone_kind_to_string (b->kind), name_of (b), contact.height_mm, -contact.distance_mm, remedy)
                          : rhy_print ("The head passes the %s \"%s\" by %.1f mm at height %.1f mm; it should keep %.1f mm. %s",
                                       rhy_zone_kind_to_string (b->kind), name_of (b), contact.distance_mm, contact.height_mm, margin,
                                       remedy),
                    contact.height_mm, contact.turn_rad);
}

static void
check_head (RhyVerdict *self)
{
  const RhyHolding *h = self->holding;
  const RhyJobData *d = data_of (self);
  const double height = height_at (self, rhy_wall_get_length (rhy_plan_get_wall (self->plan))) - height_at (self, 0.0);
  if (!h->is_head_known)
    {
      if (h->n_bodies > 0)
        rhy_verdict_find (self, RHY_LEVEL_CARE, "clearance-unknown",
                          g_strdup ("Something stands out of the wall, and whether the head misses it is not known: give the machine's "
                                    "WorkingDistance, NozzleRadius and HeadHalfWidth."), NAN, NAN);
      return;
    }
  if (2.0 * d->machine.head_half_width_mm > height)
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "head-wide",
                      rhy_print ("The head is %.1f mm wide, the wall %.1f mm high: it hangs over both ends. Check HeadHalfWidth.",
                                 2.0 * d->machine.head_half_width_mm, height), NAN, NAN);
  const RhyContact vessel = h->head[0];
  if (vessel.distance_mm < -1e-6)
    {
      g_autofree char *remedy = heights_to_keep (h);
      rhy_verdict_find (self, RHY_LEVEL_STOP, "head-hits-vessel",
                        rhy_print ("The head runs into the vessel itself at height %.1f mm, %.1f mm too low. %s", vessel.height_mm,
                                   -vessel.distance_mm, remedy), vessel.height_mm, NAN);
    }
  for (gsize i = 0; i < h->n_bodies; i++)
    say_head (self, &h->bodies[i], h->head[i + 1]);
}

static void
check_way_in (RhyVerdict *self)
{
  const RhyHolding *h = self->holding;
  const gboolean base = h->way_in[0].distance_mm <= 0.0;
  const gboolean mouth = h->way_in[1].distance_mm <= 0.0;
  if (!h->is_head_known || !(base || mouth))
    return;
  if (base && mouth)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "way-in-blocked",
                      rhy_print ("At its working height the head meets something on the way to the mark from either side. "
                                 "Raise it by %.1f mm first, then bring it down over the mark.",
                                 1.0 + MIN (-h->way_in[0].distance_mm, -h->way_in[1].distance_mm)), NAN, NAN);
  else
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "way-in",
                      rhy_print ("Bring the head to the mark from beyond the %s: from the other side, at its working height, it would run "
                                 "into the %s.", base ? "mouth" : "base",
                                 h->way_in[base ? 0 : 1].body < 0 ? "vessel" : name_of (&h->bodies[h->way_in[base ? 0 : 1].body])),
                      NAN, NAN);
}

static void
check_bed_below (RhyVerdict *self)
{
  const RhyHolding *h = self->holding;
  for (gsize i = 0; i <= h->n_bodies; i++)
    {
      const RhyBody *b = i > 0 ? &h->bodies[i - 1] : NULL;
      const double margin = b != NULL ? MAX (b->margin_mm, RHY_CLEARANCE_MARGIN_MM) : RHY_CLEARANCE_MARGIN_MM;
      const RhyContact c = h->bed[i];
      if (!(c.distance_mm < margin - 1e-4))
        continue;
      const gboolean handle = b != NULL && b->kind == RHY_ZONE_HANDLE;
      g_autofree char *what = b == NULL ? g_strdup ("vessel") : rhy_print ("%s \"%s\"", rhy_zone_kind_to_string (b->kind), name_of (b));
      g_autofree char *turns = handle ? turns_to_keep (h) : g_strdup ("");
      rhy_verdict_find (self, c.distance_mm <= 0.0 ? RHY_LEVEL_STOP : RHY_LEVEL_CARE, handle ? "handle-hits-bed" : "work-hits-bed",
                        c.distance_mm <= 0.0
                          ? rhy_print ("The %s reaches %.1f mm into the bed as it turns. Raise the rotary by %.1f mm.%s%s", what,
                                       -c.distance_mm, rhy_round_up (margin - c.distance_mm), handle ? " Or: " : "", turns)
                          : rhy_print ("The %s passes the bed by %.1f mm; it should keep %.1f mm. Raise the rotary by %.1f mm.%s%s", what,
                                       c.distance_mm, margin, rhy_round_up (margin - c.distance_mm), handle ? " Or: " : "", turns),
                        c.height_mm, handle ? c.turn_rad : NAN);
    }
  if (h->riser_mm > 0.0)
    rhy_verdict_find (self, RHY_LEVEL_CARE, "riser",
                      rhy_print ("The nozzle has to come %.1f mm higher over the bed than it can. Raise the head's frame by that.", rhy_round_up (h->riser_mm)),
                      NAN, NAN);
}

void
rhy_verdict_check_hold (RhyVerdict *self)
{
  check_zones_lie_on_it (self);
  check_zones_clash (self);
  check_head (self);
  check_way_in (self);
  check_bed_below (self);
  check_focus (self);
  check_tilt (self);
  check_mouth (self);
  check_lowest (self);
  check_rollers (self);
  check_under_rollers (self);
  check_pins (self);
  check_support (self);
}
