/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/holding.h>

#include <math.h>

#include <rhyton/drive.h>

#include "../shape/late-gio.h"

/* Jaws reach this far past the end that they hold; the chuck behind them is longer than any
 * head is wide. Common practice, no source. */
#define JAWS_PAST_MM    5.0
#define CHUCK_LENGTH_MM 200.0

/* A support roller is this wide to either side. Common practice, no source. */
#define ROLLER_HALF_MM 10.0

/* A hundredth of a degree: no chuck is set finer, and 0.02 mm over 100 mm. Kept within the limits, not spoken of. */
#define TILT_SLACK_RAD (0.01 / 180.0 * G_PI)

const char *
rhy_way_to_string (RhyWay way)
{
  static const char *const words[RHY_N_WAYS] = { "base", "mouth", "inside", "rollers", "pins" };
  g_return_val_if_fail (way < RHY_N_WAYS, NULL);

  return words[way];
}

const char *
rhy_support_to_string (RhySupport support)
{
  static const char *const words[] = { "none", "tailstock", "roller" };
  g_return_val_if_fail (support <= RHY_SUPPORT_ROLLER, NULL);

  return words[support];
}

/* ---- tilt ---- */

double
rhy_way_sense (RhyWay way)
{
  return way == RHY_WAY_MOUTH || way == RHY_WAY_INSIDE ? -1.0 : 1.0;
}

double
rhy_way_tilt (RhyWay  way,
              double  set_rad,
              double  best_rad,
              double  sag_rad,
              double  min_rad,
              double  max_rad,
              double *chuck_rad,
              double *beyond_rad)
{
  const double sense = rhy_way_sense (way);
  const gboolean is_set = !isnan (set_rad);
  if (way == RHY_WAY_PINS && isnan (min_rad) && isnan (max_rad))
    min_rad = max_rad = 0.0;
  double chuck = is_set ? sense * set_rad : sense * best_rad - sag_rad;
  double beyond = 0.0;
  if (chuck < min_rad)
    beyond = chuck - min_rad;
  if (chuck > max_rad)
    beyond = chuck - max_rad;
  if (!is_set)
    chuck -= beyond;
  if (fabs (beyond) < TILT_SLACK_RAD)
    beyond = 0.0;
  if (chuck_rad != NULL)
    *chuck_rad = chuck;
  if (beyond_rad != NULL)
    *beyond_rad = beyond;
  return sense * (chuck + sag_rad);
}

static void
find_tilt (const RhyHoldingCase *c,
           RhyHolding           *self)
{
  self->best_tilt_rad = rhy_drive_best_tilt (c->wall, c->s_low_mm, c->s_high_mm, NULL);
  self->tilt_rad = rhy_way_tilt (c->way, c->set_tilt_rad, self->best_tilt_rad, c->sag_rad, c->tilt_min_rad,
                                 c->tilt_max_rad, &self->chuck_tilt_rad, &self->beyond_rad);
  rhy_drive_focus_range (c->wall, self->tilt_rad, c->level_s_mm, c->s_low_mm, c->s_high_mm,
                         &self->focus_least_mm, &self->focus_greatest_mm);
  self->focus_least_mm -= 0.5 * c->runout_mm;
  self->focus_greatest_mm += 0.5 * c->runout_mm;
}

/* ---- what turns with the work ---- */

static void
add_body (GArray *bodies,
          RhyBody body)
{
  g_array_append_val (bodies, body);
}

/* Height at which the wall, seen from an end, has grown to a radius; that of its widest ring if it never does. */
static double
height_of_radius (const RhyWall *wall,
                  gboolean       from_base,
                  double         r)
{
  enum { STEPS = 2000 };
  const double length = rhy_wall_get_length (wall);
  for (int i = 0; i <= STEPS; i++)
    {
      const RhyRing ring = rhy_wall_at (wall, length * (from_base ? i : STEPS - i) / STEPS);
      if (ring.r_mm >= r)
        return ring.z_mm;
    }
  return rhy_wall_widest (wall, 0.0, length).z_mm;
}

/* A pin at either end: a cup that is wider than the ring at the end sits further up the wall. What
 * carries it is as wide as a chuck. */
static void
add_pins (const RhyHoldingCase *c,
          GArray               *bodies)
{
  if (!(c->pin_radius_mm > 0.0))
    return;
  for (int mouth = 0; mouth < 2; mouth++)
    {
      const double at = height_of_radius (c->wall, !mouth, c->pin_radius_mm);
      const double end = rhy_wall_at (c->wall, mouth ? rhy_wall_get_length (c->wall) : 0.0).z_mm;
      const double sign = mouth ? 1.0 : -1.0;
      const double back = end + sign * (c->pin_length_mm >= 0.0 ? c->pin_length_mm : CHUCK_LENGTH_MM);
      const double far = back + sign * CHUCK_LENGTH_MM;
      const RhyZoneKind kind = mouth ? RHY_ZONE_TAILSTOCK : RHY_ZONE_JAWS;
      add_body (bodies, (RhyBody) { .name = "pin", .kind = kind, .radius_mm = c->pin_radius_mm, .from_mm = MIN (at, back),
                                    .to_mm = MAX (at, back), .width_rad = 2.0 * G_PI });
      if (c->pin_length_mm >= 0.0 && c->chuck_radius_mm > 0.0)
        add_body (bodies, (RhyBody) { .name = "pin's carrier", .kind = kind, .radius_mm = c->chuck_radius_mm,
                                      .from_mm = MIN (back, far), .to_mm = MAX (back, far), .width_rad = 2.0 * G_PI });
    }
}

static void
add_tailstock (const RhyHoldingCase *c,
               GArray               *bodies)
{
  const gboolean at_mouth = c->way == RHY_WAY_BASE;
  const double end = rhy_wall_at (c->wall, at_mouth ? rhy_wall_get_length (c->wall) : 0.0).z_mm;
  if (c->support != RHY_SUPPORT_TAILSTOCK || !(c->tailstock_radius_mm > 0.0) || c->way == RHY_WAY_ROLLERS || c->way == RHY_WAY_PINS)
    return;
  add_body (bodies, (RhyBody) { .name = "tailstock", .kind = RHY_ZONE_TAILSTOCK, .radius_mm = c->tailstock_radius_mm,
                                .from_mm = at_mouth ? end : end - CHUCK_LENGTH_MM, .to_mm = at_mouth ? end + CHUCK_LENGTH_MM : end,
                                .width_rad = 2.0 * G_PI });
}

static void
add_chuck (const RhyHoldingCase *c,
           GArray               *bodies,
           gboolean              has_jaws)
{
  const double base = rhy_wall_at (c->wall, 0.0).z_mm;
  const double rim = rhy_wall_at (c->wall, rhy_wall_get_length (c->wall)).z_mm;
  const gboolean at_base = c->way == RHY_WAY_BASE;
  if (c->way == RHY_WAY_ROLLERS || c->way == RHY_WAY_PINS)
    return;
  if (c->way != RHY_WAY_INSIDE && !has_jaws && c->jaw_depth_mm >= 0.0 && c->jaw_stand_mm > 0.0)
    add_body (bodies, (RhyBody) { .name = "chuck", .kind = RHY_ZONE_JAWS, .stand_mm = c->jaw_stand_mm,
                                  .from_mm = at_base ? base - JAWS_PAST_MM : rim - c->jaw_depth_mm,
                                  .to_mm = at_base ? base + c->jaw_depth_mm : rim + JAWS_PAST_MM,
                                  .width_rad = 2.0 * G_PI });
  if (c->chuck_radius_mm > 0.0)
    add_body (bodies, (RhyBody) { .name = "chuck", .kind = RHY_ZONE_JAWS, .radius_mm = c->chuck_radius_mm,
                                  .from_mm = at_base ? base - CHUCK_LENGTH_MM : rim,
                                  .to_mm = at_base ? base : rim + CHUCK_LENGTH_MM,
                                  .width_rad = 2.0 * G_PI });
}

static void
find_bodies (const RhyHoldingCase *c,
             RhyHolding           *self)
{
  GArray *bodies = g_array_new (FALSE, FALSE, sizeof (RhyBody));
  const double base = rhy_wall_at (c->wall, 0.0).z_mm;
  const double rim = rhy_wall_at (c->wall, rhy_wall_get_length (c->wall)).z_mm;
  gboolean has_jaws = FALSE;
  gboolean has_tailstock = FALSE;
  for (gsize i = 0; i < c->n_zones; i++)
    {
      RhyBody body;
      has_jaws |= c->zones[i].kind == RHY_ZONE_JAWS;
      has_tailstock |= c->zones[i].kind == RHY_ZONE_TAILSTOCK && c->zones[i].stand_mm > 0.0;
      /* What does not lie on the wall stands out of nothing; only what grips may end where it begins. */
      const gboolean may_be_off = c->zones[i].kind == RHY_ZONE_JAWS || c->zones[i].kind == RHY_ZONE_TAILSTOCK;
      if (!may_be_off && !(c->zones[i].from_mm < rim && c->zones[i].to_mm > base))
        continue;
      if (rhy_body_from_zone (&c->zones[i], &body))
        add_body (bodies, body);
    }
  add_chuck (c, bodies, has_jaws);
  if (c->way == RHY_WAY_PINS)
    add_pins (c, bodies);
  if (!has_tailstock)
    add_tailstock (c, bodies);
  self->n_bodies = bodies->len;
  self->bodies = (RhyBody *) (void *) g_array_free (bodies, FALSE);
}

/* ---- clearance ---- */

static gboolean
is_head_known (const RhyHead *h)
{
  return h->working_distance_mm >= 0.0 && h->nozzle_radius_mm >= 0.0 && h->body_half_width_mm >= 0.0
         && h->body_height_mm >= 0.0;
}

/* What rollers take up about the lowest line. A side of the handle runs out from the axis; it is clear of
 * a roller of radius q, its axis r + q away, at an angle of asin (q / (r + q)) beside it. A roller whose
 * size is not known is taken to be as big as the work. */
static void
put_rollers (const RhyHoldingCase *c,
             RhyClearanceCase     *cc)
{
  const gboolean drive = c->way == RHY_WAY_ROLLERS;
  const gboolean support = c->support == RHY_SUPPORT_ROLLER && !drive && c->way != RHY_WAY_PINS;
  if (!support && !(drive && c->roller_mm > 0.0 && c->gap_mm >= 0.0))
    return;
  const RhyRing ring = rhy_wall_at (c->wall, drive ? c->contact_s_mm : c->support_s_mm);
  const double q = c->roller_mm > 0.0 ? c->roller_mm : ring.r_mm;
  const double seat = drive ? rhy_rollers_seat (ring.r_mm, q, c->gap_mm) : 0.0;
  if (isnan (seat))
    return;
  cc->roller_rad = seat + asin (q / (ring.r_mm + q));
  cc->roller_from_mm = drive ? -G_MAXDOUBLE : ring.z_mm - ROLLER_HALF_MM;
  cc->roller_to_mm = drive ? G_MAXDOUBLE : ring.z_mm + ROLLER_HALF_MM;
}

static RhyClearanceCase
clearance_case (const RhyHoldingCase *c,
                const RhyHolding     *self)
{
  const double length = rhy_wall_get_length (c->wall);
  const double held_s = c->way == RHY_WAY_BASE || c->way == RHY_WAY_PINS ? 0.0 : c->way == RHY_WAY_ROLLERS ? c->contact_s_mm : length;
  RhyClearanceCase cc = {
    .wall = c->wall,
    .head = c->head,
    .tilt_rad = self->tilt_rad,
    .level_s_mm = c->level_s_mm,
    .held_z_mm = rhy_wall_at (c->wall, held_s).z_mm,
    .axis_height_mm = c->axis_height_mm,
    .s_low_mm = c->s_low_mm,
    .s_high_mm = c->s_high_mm,
    .angle_low_rad = c->angle_low_rad,
    .angle_high_rad = c->angle_high_rad,
    .rest_angle_rad = 0.5 * (c->angle_low_rad + c->angle_high_rad),
    .bodies = self->bodies,
    .n_bodies = self->n_bodies,
  };
  put_rollers (c, &cc);
  return cc;
}

/* With no head to keep clear: only what lies round the wall takes height away. */
static void
reach_without_head (const RhyHoldingCase *c,
                    RhyHolding           *self)
{
  const double z = rhy_wall_at (c->wall, c->level_s_mm).z_mm;
  self->reach_low_mm = rhy_wall_at (c->wall, 0.0).z_mm;
  self->reach_high_mm = rhy_wall_at (c->wall, rhy_wall_get_length (c->wall)).z_mm;
  self->reaches = TRUE;
  for (gsize i = 0; i < self->n_bodies; i++)
    {
      const RhyBody *b = &self->bodies[i];
      if (b->width_rad < 2.0 * G_PI)
        continue;
      if (b->to_mm <= z)
        self->reach_low_mm = MAX (self->reach_low_mm, b->to_mm);
      else if (b->from_mm >= z)
        self->reach_high_mm = MIN (self->reach_high_mm, b->from_mm);
      else
        self->reaches = FALSE;
    }
  if (!self->reaches)
    self->reach_low_mm = self->reach_high_mm = z;
}

/* A tailstock and what carries pins stand on the bed. */
static gboolean
stands_on_bed (const RhyHoldingCase *c,
               const RhyBody        *b)
{
  return b->radius_mm > 0.0 && (c->way == RHY_WAY_PINS || (b->kind == RHY_ZONE_TAILSTOCK && c->support == RHY_SUPPORT_TAILSTOCK));
}

static void
find_clearance (const RhyHoldingCase *c,
                RhyHolding           *self)
{
  const RhyClearanceCase cc = clearance_case (c, self);
  self->is_head_known = is_head_known (&c->head);
  self->head = g_new0 (RhyContact, self->n_bodies + 1);
  self->bed = g_new0 (RhyContact, self->n_bodies + 1);
  for (int i = -1; i < (int) self->n_bodies && !g_cancellable_is_cancelled (c->cancellable); i++)
    {
      self->head[i + 1] = self->is_head_known ? rhy_clearance_head (&cc, i) : RHY_CONTACT_NONE;
      self->bed[i + 1] = i >= 0 && stands_on_bed (c, &self->bodies[i]) ? RHY_CONTACT_NONE : rhy_clearance_bed (&cc, i);
      self->head[i + 1].body = self->bed[i + 1].body = i;
    }
  self->rollers = g_new0 (gboolean, self->n_bodies + 1);
  for (gsize i = 0; i < self->n_bodies; i++)
    self->rollers[i] = rhy_clearance_rollers (&cc, (int) i);
  self->way_in[0] = self->way_in[1] = RHY_CONTACT_NONE;
  if (!self->is_head_known)
    {
      reach_without_head (c, self);
      return;
    }
  if (g_cancellable_is_cancelled (c->cancellable))
    return;
  self->way_in[0] = rhy_clearance_way_in (&cc, FALSE);
  self->way_in[1] = rhy_clearance_way_in (&cc, TRUE);
  if (g_cancellable_is_cancelled (c->cancellable))
    return;
  self->is_limited = rhy_clearance_turns (&cc, &self->turn_low_rad, &self->turn_high_rad);
  self->reaches = rhy_clearance_reach (&cc, &self->reach_low_mm, &self->reach_high_mm);
}

/* What the rotary is propped by keeps the work off the bed; the head then has to come as high
 * as the mark's top line and the working distance. */
static void
find_riser (const RhyHoldingCase *c,
            RhyHolding           *self)
{
  const RhyClearanceCase cc = clearance_case (c, self);
  const RhyRing level = rhy_wall_at (c->wall, c->level_s_mm);
  self->prop_mm = NAN;
  self->riser_mm = NAN;
  self->support_height_mm = NAN;
  if (isnan (c->axis_height_mm))
    return;
  self->prop_mm = MAX (0.0, RHY_CLEARANCE_MARGIN_MM - rhy_holding_least (self, self->bed, -1).distance_mm);
  if (c->support != RHY_SUPPORT_NONE && c->way != RHY_WAY_ROLLERS && c->way != RHY_WAY_PINS)
    {
      const double free_s = c->way == RHY_WAY_BASE ? rhy_wall_get_length (c->wall) : 0.0;
      const RhyRing ring = rhy_wall_at (c->wall, c->support == RHY_SUPPORT_ROLLER ? c->support_s_mm : free_s);
      const double below = c->support == RHY_SUPPORT_ROLLER ? ring.r_mm * cos (self->tilt_rad) : 0.0;
      self->support_height_mm = c->axis_height_mm + self->prop_mm - (ring.z_mm - cc.held_z_mm) * sin (self->tilt_rad) - below;
    }
  const double top = level.r_mm * cos (self->tilt_rad) - (level.z_mm - cc.held_z_mm) * sin (self->tilt_rad);
  const double tip = c->axis_height_mm + self->prop_mm + top + c->head.working_distance_mm;
  if (!isnan (c->nozzle_top_mm) && !isnan (tip))
    self->riser_mm = MAX (0.0, tip - c->nozzle_top_mm);
}

static void
find_rolling (const RhyHoldingCase *c,
              RhyHolding           *self)
{
  self->seat_rad = NAN;
  self->rolling = (RhyRolling) { NAN, NAN, NAN };
  if (c->way != RHY_WAY_ROLLERS || !(c->roller_mm > 0.0 && c->gap_mm >= 0.0))
    return;
  self->seat_rad = rhy_rollers_seat (rhy_wall_at (c->wall, c->contact_s_mm).r_mm, c->roller_mm, c->gap_mm);
  self->rolling = rhy_rollers_rolling (c->wall, c->contact_s_mm, 0.0, rhy_wall_get_length (c->wall),
                                       c->roller_mm, c->gap_mm);
}

RhyHolding *
rhy_holding_new (const RhyHoldingCase *c)
{
  g_return_val_if_fail (c != NULL && c->wall != NULL && c->way < RHY_N_WAYS, NULL);

  RhyHolding *self = g_new0 (RhyHolding, 1);
  find_tilt (c, self);
  find_bodies (c, self);
  find_clearance (c, self);
  if (g_cancellable_is_cancelled (c->cancellable))
    {
      rhy_holding_free (self);
      return NULL;
    }
  find_riser (c, self);
  find_rolling (c, self);
  return self;
}

void
rhy_holding_free (RhyHolding *self)
{
  g_return_if_fail (self != NULL);

  g_free (self->bodies);
  g_free (self->rollers);
  g_free (self->head);
  g_free (self->bed);
  g_free (self);
}

RhyContact
rhy_holding_least (const RhyHolding *self,
                   const RhyContact *contacts,
                   int               kind)
{
  g_return_val_if_fail (self != NULL && contacts != NULL, RHY_CONTACT_NONE);

  RhyContact least = RHY_CONTACT_NONE;
  for (gsize i = 0; i <= self->n_bodies; i++)
    {
      const gboolean counts = kind < 0 || (i > 0 && (int) self->bodies[i - 1].kind == kind);
      if (counts && contacts[i].distance_mm < least.distance_mm)
        least = contacts[i];
    }
  return least;
}
