/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/holds.h>

#include <math.h>

#include "json.h"
#include <rhyton/zones.h>

#include "print.h"

static double
degrees (double rad)
{
  return rad / G_PI * 180.0;
}

RhyWay
rhy_job_way (const RhyJob *job)
{
  g_return_val_if_fail (job != NULL, RHY_WAY_BASE);

  const RhyJobData *d = rhy_job_get_data (job);
  if (d->hold.drive == RHY_DRIVE_ROLLERS)
    return RHY_WAY_ROLLERS;
  if (d->hold.drive == RHY_DRIVE_PINS)
    return RHY_WAY_PINS;
  if (d->hold.end == RHY_END_BASE)
    return RHY_WAY_BASE;
  return d->hold.grip == RHY_GRIP_INSIDE ? RHY_WAY_INSIDE : RHY_WAY_MOUTH;
}

static gboolean
is_chuck (RhyWay way)
{
  return way != RHY_WAY_ROLLERS && way != RHY_WAY_PINS;
}

/* Only a chuck is supported. */
static RhySupport
own_support (const RhyPlan *plan)
{
  const RhyJob *job = rhy_plan_get_job (plan);
  return is_chuck (rhy_job_way (job)) ? rhy_job_get_data (job)->hold.support : RHY_SUPPORT_NONE;
}

/* ---- a plan held ---- */

/* The job's zones, or those of them that go with any way of holding. */
static RhyZone *
zones_for (const RhyJobData *d,
           gboolean          own,
           gsize            *n)
{
  RhyZone *zones = g_new (RhyZone, d->n_zones + 1);
  *n = 0;
  for (gsize i = 0; i < d->n_zones; i++)
    if (own || (d->zones[i].kind != RHY_ZONE_JAWS && d->zones[i].kind != RHY_ZONE_TAILSTOCK))
      zones[(*n)++] = d->zones[i];
  return zones;
}

/* Jaws as the machine has them, or as the job's zone shows them. */
static void
find_jaws (const RhyPlan  *plan,
           RhyHoldingCase *c)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  RhyWall *wall = rhy_plan_get_wall (plan);
  const double base = rhy_wall_at (wall, 0.0).z_mm;
  const double rim = rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm;
  c->jaw_depth_mm = d->machine.jaw_depth_mm;
  c->jaw_stand_mm = d->machine.jaw_stand_mm;
  for (gsize i = 0; i < d->n_zones && isnan (c->jaw_depth_mm); i++)
    if (d->zones[i].kind == RHY_ZONE_JAWS)
      {
        c->jaw_depth_mm = MAX (0.0, MIN (d->zones[i].to_mm - base, rim - d->zones[i].from_mm));
        c->jaw_stand_mm = d->zones[i].stand_mm;
      }
}

/* @at: (nullable): the drawing is this point alone, the tilt that of the whole */
static RhyHolding *
hold (const RhyPlan      *plan,
      RhyWay              way,
      RhySupport          support,
      const RhyWallPoint *at,
      GCancellable       *cancellable)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  RhyWall *wall = rhy_plan_get_wall (plan);
  const gboolean own = way == rhy_job_way (rhy_plan_get_job (plan)) && support == own_support (plan);
  const double length = rhy_wall_get_length (wall);
  RhyRing on_roller = rhy_wall_at (wall, way == RHY_WAY_BASE ? 0.75 * length : 0.25 * length);
  RhyRing contact = rhy_wall_at (wall, n->anchor.s);
  if (!isnan (d->hold.contact_height_mm))
    rhy_wall_at_height (wall, d->hold.contact_height_mm, &contact);

  if (!isnan (d->hold.support_height_mm))
    rhy_wall_at_height (wall, d->hold.support_height_mm, &on_roller);

  RhyHoldingCase c = {
    .wall = wall,
    .way = way,
    .head = { d->machine.working_distance_mm, d->machine.nozzle_radius_mm, d->machine.head_half_width_mm,
              /* Not told: the body may begin at the nozzle's tip. */
              isnan (d->machine.head_height_mm) ? 0.0 : d->machine.head_height_mm },
    .axis_height_mm = d->machine.axis_height_mm,
    .nozzle_top_mm = d->machine.nozzle_top_mm,
    .tilt_min_rad = d->machine.tilt_min_rad,
    .tilt_max_rad = d->machine.tilt_max_rad,
    .depth_of_focus_mm = d->machine.depth_of_focus_mm,
    .chuck_radius_mm = d->machine.chuck_radius_mm,
    .roller_mm = d->machine.roller_radius_mm,
    .gap_mm = d->machine.roller_gap_mm,
    .pin_radius_mm = d->machine.pin_radius_mm,
    .pin_length_mm = d->machine.pin_length_mm,
    .tailstock_radius_mm = d->machine.tailstock_radius_mm,
    .support = support,
    .support_s_mm = on_roller.s_mm,
    /* What lies at both ends does not droop. */
    .sag_rad = own || (is_chuck (way) && support == RHY_SUPPORT_NONE) ? d->hold.sag_rad : 0.0,
    .runout_mm = d->hold.runout_mm,
    .defocus_mm = d->hold.defocus_mm,
    .set_tilt_rad = NAN,
    .contact_s_mm = contact.s_mm,
    .level_s_mm = n->anchor.s,
    .s_low_mm = n->s_low_mm,
    .s_high_mm = n->s_high_mm,
    .angle_low_rad = n->angle_low_rad,
    .angle_high_rad = n->angle_high_rad,
    .cancellable = cancellable,
  };
  /* What the plan has settled; another way is free to find its own. */
  if (own && (d->hold.tilt_mode != RHY_TILT_AUTO || at != NULL))
    c.set_tilt_rad = n->tilt_rad - rhy_way_sense (way) * d->hold.sag_rad;
  if (at != NULL)
    {
      c.s_low_mm = c.s_high_mm = at->s;
      c.angle_low_rad = c.angle_high_rad = at->angle;
    }
  find_jaws (plan, &c);
  g_autofree RhyZone *zones = zones_for (d, own, &c.n_zones);
  c.zones = zones;
  return rhy_holding_new (&c);
}

RhyHolding *
rhy_plan_hold (const RhyPlan *plan,
               RhyWay         way,
               GCancellable  *cancellable)
{
  g_return_val_if_fail (plan != NULL && way < RHY_N_WAYS, NULL);

  const gboolean own = way == rhy_job_way (rhy_plan_get_job (plan));
  return hold (plan, way, own ? own_support (plan) : RHY_SUPPORT_NONE, NULL, cancellable);
}

RhyHolding *
rhy_plan_hold_at (const RhyPlan *plan,
                  RhyWallPoint   at)
{
  g_return_val_if_fail (plan != NULL, NULL);

  return hold (plan, rhy_job_way (rhy_plan_get_job (plan)), own_support (plan), &at, NULL);
}

/* ---- every way ---- */

static void
row_free (gpointer data)
{
  RhyHoldRow *row = data;
  g_clear_pointer (&row->holding, rhy_holding_free);
  g_free (row->part_name);
  g_free (row->forbids);
  g_free (row);
}

/* What is all round, as a zone from one height to another. */
static RhyZone
band (double from,
      double to)
{
  return (RhyZone) { .name = "", .kind = RHY_ZONE_MARK, .width_rad = 2.0 * G_PI, .from_mm = from, .to_mm = to };
}

/* By how much one artwork can grow about a mark in the middle of the reach, between the ends of
 * the reach and the turns that are allowed; 0: it fits at no size, NAN: it has no ink. */
static double
largest_of (const RhyPlan    *plan,
            RhyInkArea       *area,
            GCancellable     *cancellable,
            const RhyHoldRow *row)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyHolding *h = row->holding;
  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyRing middle;
  gsize n_ink = 0;
  const RhyArtPoint *ink = rhy_plan_get_ink (plan, &n_ink);
  if (n_ink == 0)
    return NAN;
  if (!h->reaches || !rhy_wall_at_height (wall, 0.5 * (h->reach_low_mm + h->reach_high_mm), &middle))
    return 0.0;

  gsize n_zones;
  g_autofree RhyZone *own = zones_for (d, row->is_own, &n_zones);
  g_autofree RhyZone *zones = g_new (RhyZone, n_zones + 3);
  for (gsize i = 0; i < n_zones; i++)
    zones[i] = own[i];
  zones[n_zones++] = band (-G_MAXDOUBLE, h->reach_low_mm);
  zones[n_zones++] = band (h->reach_high_mm, G_MAXDOUBLE);
  if (h->is_limited && h->turn_high_rad < h->turn_low_rad)
    return 0.0;
  if (h->is_limited && h->turn_high_rad - h->turn_low_rad < 2.0 * G_PI)
    zones[n_zones++] = (RhyZone) { .name = "", .kind = RHY_ZONE_MARK, .from_mm = -G_MAXDOUBLE, .to_mm = G_MAXDOUBLE,
                                   .centre_rad = 0.5 * (h->turn_low_rad + h->turn_high_rad) + G_PI,
                                   .width_rad = 2.0 * G_PI - (h->turn_high_rad - h->turn_low_rad) };
  const RhyJobArtwork *a = rhy_plan_get_group (plan);
  const double eye = a->eye_height_mm;
  const RhyPlacement placement = {
    .wall = wall,
    .area = area,
    .lay = { .kind = a->lay, .anchor = { middle.s_mm, n->anchor.angle }, .turn_rad = a->turn_rad,
             .eye_distance_mm = a->eye_distance_mm, .eye_height_mm = isnan (eye) ? middle.z_mm : eye,
             .ink = ink, .n_ink = n_ink },
    .spacing_mm = rhy_plan_get_spacing (plan),
    .zones = zones,
    .n_zones = n_zones,
    .cancellable = cancellable,
  };
  return rhy_placement_largest (&placement);
}

/* Of several artworks the one with the least room to grow: all of them grown alike, that is where it
 * ends. */
static void
find_largest (const RhyPlan *plan,
              GPtrArray     *areas,
              GCancellable  *cancellable,
              RhyHoldRow    *row)
{
  double least = G_MAXDOUBLE;
  for (guint i = 0; i < areas->len; i++)
    {
      const RhyPlan *part = rhy_plan_get_part (plan, i);
      const RhyPlanNumbers *n = rhy_plan_get_numbers (part);
      const double scale = largest_of (part, areas->pdata[i], cancellable, row);
      if (!(scale < least))
        continue;
      least = scale;
      g_free (row->part_name);
      row->part_name = areas->len > 1 ? g_strdup (rhy_plan_get_group (part)->name) : NULL;
      row->width_mm = scale * n->width_mm;
      row->height_mm = scale * n->height_mm;
    }
}

static void
area_free (gpointer area)
{
  g_clear_pointer (&area, rhy_ink_area_free);
}

/* The first of what stands against a way, worst first. */
static char *
find_objection (const RhyPlan    *plan,
                const RhyHoldRow *row)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyHolding *h = row->holding;
  RhyWall *wall = rhy_plan_get_wall (plan);
  const double spread = h->focus_greatest_mm - h->focus_least_mm;
  const gboolean rollers = row->way == RHY_WAY_ROLLERS;
  if (!row->is_own && rollers && !(d->machine.roller_radius_mm > 0.0))
    return g_strdup ("the machine names no rollers (RollerRadius)");
  if (!row->is_own && row->way == RHY_WAY_PINS && !(d->machine.pin_radius_mm > 0.0))
    return g_strdup ("the machine names no pins (PinRadius)");
  if (!row->is_own && is_chuck (row->way) && !(d->machine.jaw_depth_mm >= 0.0) && d->hold.drive != RHY_DRIVE_CHUCK)
    return g_strdup ("the machine names no chuck (JawDepth)");
  if (!h->reaches)
    return g_strdup ("the head cannot stand at the mark");
  const RhyContact head = rhy_holding_least (h, h->head, -1);
  if (head.distance_mm <= 0.0)
    return rhy_print ("the head meets the %s by %.1f mm", head.body < 0 ? "vessel" : rhy_zone_kind_to_string (h->bodies[head.body].kind),
                      -head.distance_mm);
  for (gsize i = 0; i < h->n_bodies; i++)
    if (h->rollers[i])
      return rhy_print ("the %s comes upon the rollers", rhy_zone_kind_to_string (h->bodies[i].kind));
  if (h->is_limited && h->turn_high_rad < h->turn_low_rad)
    return g_strdup ("the handle is in the way at the middle of the drawing");
  if (spread > d->machine.depth_of_focus_mm)
    return rhy_print ("out of focus: %.2f mm, the depth is %.2f mm", spread, d->machine.depth_of_focus_mm);
  if (h->beyond_rad != 0.0)
    return rhy_print ("the best tilt is %.2f degrees beyond the machine", degrees (fabs (h->beyond_rad)));
  if (rollers && fabs (rhy_wall_at (wall, 0.0).r_mm - rhy_wall_at (wall, rhy_wall_get_length (wall)).r_mm) > 0.5)
    return g_strdup ("a taper walks on rollers");
  if (rollers && !isnan (h->seat_rad) && (h->seat_rad < RHY_SEAT_LEAST_RAD || h->seat_rad > RHY_SEAT_GREATEST_RAD))
    return rhy_print ("seat angle %.0f degrees", degrees (h->seat_rad));
  if (h->prop_mm > 0.0)
    return rhy_print ("prop the rotary by %.1f mm", h->prop_mm);
  return NULL;
}

/* What nothing stands against comes first. */
static double
reach_of (const RhyHoldRow *row)
{
  const RhyHolding *h = row->holding;
  return (row->forbids == NULL ? 1e6 : 0.0) + (h->reaches ? h->reach_high_mm - h->reach_low_mm : -1.0);
}

static int
by_reach (const void *a,
          const void *b)
{
  const double ra = reach_of (*(const RhyHoldRow *const *) a);
  const double rb = reach_of (*(const RhyHoldRow *const *) b);
  return (ra < rb) - (ra > rb);
}

GPtrArray *
rhy_plan_compare_holds (const RhyPlan *plan,
                        GCancellable  *cancellable)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const double tailstock_mm = rhy_job_get_data (rhy_plan_get_job (plan))->machine.tailstock_radius_mm;
  g_autoptr (GPtrArray) rows = g_ptr_array_new_with_free_func (row_free);
  g_autoptr (GPtrArray) areas = g_ptr_array_new_with_free_func (area_free);
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    g_ptr_array_add (areas, rhy_ink_area_new (rhy_plan_get_artwork (rhy_plan_get_part (plan, i)), cancellable, NULL));
  for (int way = 0; way < RHY_N_WAYS; way++)
    for (int support = RHY_SUPPORT_NONE; support <= RHY_SUPPORT_ROLLER; support++)
      {
        const gboolean is_own = way == (int) rhy_job_way (rhy_plan_get_job (plan)) && support == (int) own_support (plan);
        const gboolean has_it = support == RHY_SUPPORT_NONE
                                || (support == RHY_SUPPORT_TAILSTOCK && is_chuck ((RhyWay) way) && tailstock_mm > 0.0);
        if (!is_own && !has_it)
          continue;
        RhyHoldRow *row = g_new0 (RhyHoldRow, 1);
        row->way = (RhyWay) way;
        row->support = (RhySupport) support;
        row->is_own = is_own;
        row->holding = hold (plan, row->way, row->support, NULL, cancellable);
        g_ptr_array_add (rows, row);
        if (row->holding == NULL)
          return NULL;
        find_largest (plan, areas, cancellable, row);
        row->forbids = find_objection (plan, row);
      }
  if (g_cancellable_is_cancelled (cancellable))
    return NULL;
  g_ptr_array_sort (rows, by_reach);
  return g_steal_pointer (&rows);
}

static const char *const way_titles[RHY_N_WAYS] = {
  [RHY_WAY_BASE] = "chuck at the base",
  [RHY_WAY_MOUTH] = "chuck at the mouth",
  [RHY_WAY_INSIDE] = "chuck inside the mouth",
  [RHY_WAY_ROLLERS] = "rollers",
  [RHY_WAY_PINS] = "between pins",
};

static const char *const support_titles[] = {
  [RHY_SUPPORT_NONE] = "",
  [RHY_SUPPORT_TAILSTOCK] = ", tailstock",
  [RHY_SUPPORT_ROLLER] = ", support roller",
};

static double
worst_focus (const RhyHolding *h)
{
  return MAX (-h->focus_least_mm, h->focus_greatest_mm);
}

static char *
or_dash (const char *format,
         double      value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  /* No "-0.00". */
  return g_strdup (isfinite (value) ? g_ascii_formatd (text, sizeof text, format, fabs (value) < 0.005 ? 0.0 : value) : "-");
}

char *
rhy_hold_rows_to_text (const GPtrArray *rows)
{
  g_return_val_if_fail (rows != NULL, NULL);

  GString *out = g_string_new (NULL);
  gboolean is_several = FALSE;
  g_string_append_printf (out, "%-36s %15s %15s %7s %7s %7s  %s\n", "Held", "reach mm", "largest mm", "tilt", "riser", "focus", "Against it");
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyHoldRow *row = rows->pdata[i];
      const RhyHolding *h = row->holding;
      g_autofree char *title = g_strdup_printf ("%s%s%s", way_titles[row->way], support_titles[row->support], row->is_own ? " *" : "");
      g_autofree char *reach = h->reaches ? rhy_print ("%.1f to %.1f", h->reach_low_mm, h->reach_high_mm) : g_strdup ("-");
      g_autofree char *largest = row->width_mm > 0.0 ? rhy_print ("%.1f x %.1f", row->width_mm, row->height_mm) : g_strdup ("-");
      g_autofree char *tilt = or_dash ("%.2f", degrees (h->tilt_rad));
      g_autofree char *riser = or_dash ("%.1f", rhy_round_up (h->riser_mm));
      g_autofree char *focus = or_dash ("%.2f", worst_focus (h));
      if (row->part_name != NULL)
        is_several = TRUE;
      g_string_append_printf (out, "%-36s %15s %15s %7s %7s %7s  %s\n", title, reach, largest, tilt, riser, focus,
                              row->forbids != NULL ? row->forbids : "nothing");
    }
  g_string_append (out, "\n* as the job holds it. Reach: heights between which the beam can work. Tilt in degrees, the axis dipping "
                        "towards\nthe mouth. Riser: what the head's frame must be raised by. Focus: worst over the drawing, against the mark.\n");
  if (is_several)
    g_string_append (out, "Largest: of the artwork that has the least room to grow, the others grown alike.\n");
  return g_string_free (out, FALSE);
}

char *
rhy_hold_rows_to_json (const GPtrArray *rows)
{
  g_return_val_if_fail (rows != NULL, NULL);

  g_autoptr (JsonBuilder) b = json_builder_new_immutable ();
  json_builder_begin_array (b);
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyHoldRow *row = rows->pdata[i];
      const RhyHolding *h = row->holding;
      json_builder_begin_object (b);
      json_builder_set_member_name (b, "against");
      if (row->forbids != NULL)
        json_builder_add_string_value (b, row->forbids);
      else
        json_builder_add_null_value (b);
      rhy_json_put_number (b, "focus_max_mm", worst_focus (h));
      rhy_json_put_string (b, "largest_artwork", row->part_name);
      rhy_json_put_number (b, "largest_height_mm", row->height_mm);
      rhy_json_put_number (b, "largest_width_mm", row->width_mm);
      json_builder_set_member_name (b, "own");
      json_builder_add_boolean_value (b, row->is_own);
      rhy_json_put_number (b, "prop_mm", h->prop_mm);
      rhy_json_put_number (b, "reach_high_mm", h->reaches ? h->reach_high_mm : NAN);
      rhy_json_put_number (b, "reach_low_mm", h->reaches ? h->reach_low_mm : NAN);
      rhy_json_put_number (b, "riser_mm", h->riser_mm);
      rhy_json_put_string (b, "support", rhy_support_to_string (row->support));
      rhy_json_put_number (b, "support_height_mm", h->support_height_mm);
      rhy_json_put_number (b, "tilt_beyond_deg", degrees (h->beyond_rad));
      rhy_json_put_number (b, "tilt_deg", degrees (h->tilt_rad));
      json_builder_set_member_name (b, "way");
      json_builder_add_string_value (b, rhy_way_to_string (row->way));
      json_builder_end_object (b);
    }
  json_builder_end_array (b);
  return rhy_json_end (b);
}
