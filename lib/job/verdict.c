/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/verdict.h>

#include <rhyton/capacity.h>
#include <rhyton/choice.h>
#include <rhyton/exposure.h>

#include "geos-overlap.h"
#include "job-private.h"
#include "print.h"
#include "verdict-private.h"

#include <math.h>

#include "json.h"

#include <rhyton/zones.h>

static double
degrees (double rad)
{
  return rad / G_PI * 180.0;
}

/* ---- findings ---- */

static void
finding_free (gpointer data)
{
  RhyFinding *self = data;
  if (self->remedy != NULL)
    {
      for (gsize i = 0; i < self->remedy->n_edits; i++)
        {
          g_free (self->remedy->edits[i].group);
          g_free (self->remedy->edits[i].key);
          g_free (self->remedy->edits[i].value);
        }
      g_free (self->remedy->label);
      g_free (self->remedy);
    }
  g_free (self->code);
  g_free (self->message);
  g_free (self);
}

void
rhy_verdict_find (RhyVerdict *self,
                  RhyLevel    level,
                  const char *code,
                  char       *message,
                  double      height_mm,
                  double      angle_rad)
{
  RhyFinding *f = g_new (RhyFinding, 1);
  *f = (RhyFinding) { level, g_strdup (code), message, height_mm, angle_rad, NULL };
  /* Which of several it is about stands in front. */
  if (self->part != NULL && rhy_plan_get_n_parts (self->plan) > 1)
    {
      const char *name = rhy_plan_get_group (self->part)->name;
      f->message = g_strdup_printf ("%s: %s", name != NULL ? name : "Artwork", message);
      g_free (message);
    }
  g_ptr_array_add (self->findings, f);
}

void
rhy_verdict_mend (RhyVerdict *self,
                  const char *label,
                  const char *group,
                  const char *key,
                  char       *value)
{
  RhyFinding *f = self->findings->pdata[self->findings->len - 1];
  if (f->remedy == NULL)
    {
      f->remedy = g_new0 (RhyRemedy, 1);
      f->remedy->label = g_strdup (label);
    }
  g_assert (f->remedy->n_edits < G_N_ELEMENTS (f->remedy->edits));
  f->remedy->edits[f->remedy->n_edits++] = (RhyRemedyEdit) { g_strdup (group), g_strdup (key), value };
}

static void
find (RhyVerdict *self,
      RhyLevel    level,
      const char *code,
      char       *message,
      double      height_mm,
      double      angle_rad)
{
  rhy_verdict_find (self, level, code, message, height_mm, angle_rad);
}

static double
height_at (const RhyPlan *plan,
           double         s)
{
  return rhy_wall_at (rhy_plan_get_wall (plan), s).z_mm;
}

/* A profile's rows: none may be off by more than the scatter of them all explains.
 * Of 200000 normal draws one is off by 5 standard deviations; 6 is a slip. */
static void
check_rows (RhyVerdict             *self,
            const RhyProfileReport *p,
            double                  tolerance_mm)
{
  if (fabs (p->worst_mm) <= 6.0 * p->noise_mm + 2.0 * tolerance_mm)
    return;
  find (self, RHY_LEVEL_CARE, "readings-disagree",
        rhy_print ("The profile's row at height %.1f mm is %.2f mm off in diameter, the others scatter by %.2f mm. "
                   "Look at it and take it out if it is a slip.", p->worst_height_mm, fabs (p->worst_mm), p->noise_mm),
        p->worst_height_mm, NAN);
}

/* A figure in another unit, or a disagreement of more than 2 % of the diameter, makes
 * artwork that is plainly the wrong size: it stops the job. */
static void
check_readings (RhyVerdict *self)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (self->plan));
  const RhyFit *fit = rhy_plan_get_fit (self->plan);
  if (rhy_plan_get_profile (self->plan) != NULL)
    {
      check_rows (self, rhy_plan_get_profile (self->plan), d->vessel.diameter_uncertainty_mm);
      return;
    }

  RhySlant slant;
  const RhyReadings readings = rhy_job_readings (rhy_plan_get_job (self->plan), &slant);
  char *message = fit->agrees ? NULL : rhy_readings_disagreement (&readings, fit);
  if (message == NULL)
    return;
  const gboolean placed = fit->worst_kind != RHY_READING_SLANT && fit->worst_kind != RHY_READING_OVERALL_HEIGHT
                          && fit->worst < readings.n;
  const double size = placed ? readings.diameters_mm[fit->worst] : rhy_wall_get_length (rhy_plan_get_wall (self->plan));
  const gboolean grave = fit->doubt != RHY_DOUBT_NONE || fabs (fit->worst_mm) > 0.02 * size;
  find (self, grave ? RHY_LEVEL_STOP : RHY_LEVEL_CARE, "readings-disagree", message,
        placed ? readings.heights_mm[fit->worst] : NAN, NAN);
}

/* How far the volume may be off what the vessel is said to hold: 5 %. A diameter's
 * error of 1 % makes 2 %, a wall 0.3 mm thicker than told another 2 %. Common
 * practice, no source. */
#define CAPACITY_CARE 0.05

static void
check_capacity (RhyVerdict *self)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (self->plan));
  const RhyInside inside = { d->vessel.wall_thickness_mm, d->vessel.floor_mm, d->vessel.fill_height_mm };
  const double stated = d->vessel.capacity_ml;
  double ml = 0.0;
  if (!(stated > 0.0))
    return;
  g_autoptr (GError) error = NULL;
  if (!rhy_wall_capacity (rhy_plan_get_wall (self->plan), &inside, &ml, &error))
    {
      find (self, RHY_LEVEL_CARE, "capacity-disagrees",
            rhy_print ("What it holds cannot be worked out: %s.", error->message), NAN, NAN);
      return;
    }
  if (fabs (ml / stated - 1.0) <= CAPACITY_CARE)
    return;
  find (self, RHY_LEVEL_CARE, "capacity-disagrees",
        rhy_print ("From its readings the vessel holds %.0f ml (%.1f US fl oz, %.1f imperial fl oz)%s, %.0f %% %s than the stated %.0f ml. "
                   "Look for a wrong reading, or set [Vessel] WallThickness and Floor.",
                   ml, ml / RHY_ML_PER_US_FLUID_OUNCE, ml / RHY_ML_PER_IMPERIAL_FLUID_OUNCE,
                   d->vessel.wall_thickness_mm > 0.0 ? "" : " inside its outer wall",
                   100.0 * fabs (ml / stated - 1.0), ml > stated ? "more" : "less", stated),
        NAN, NAN);
}

static void
check_bed (RhyVerdict *self)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (self->plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->plan);
  const double along = fabs (rhy_drive_travel (rhy_plan_get_wall (self->plan), n->tilt_rad, n->s_low_mm, n->s_high_mm));
  const double around = n->travel_per_turn_mm * (n->angle_high_rad - n->angle_low_rad) / (2.0 * G_PI);
  const double width = d->machine.axis == RHY_AXIS_X ? along : around;
  const double height = d->machine.axis == RHY_AXIS_X ? around : along;
  if (width > d->machine.bed_width_mm)
    find (self, RHY_LEVEL_STOP, "off-bed",
          rhy_print ("The drawing is %.1f mm wide, the bed %.1f mm. Make the artwork smaller.", width, d->machine.bed_width_mm),
          NAN, NAN);
  if (height > d->machine.bed_height_mm)
    find (self, RHY_LEVEL_STOP, "off-bed",
          rhy_print ("The drawing is %.1f mm high, the bed %.1f mm. Make the artwork smaller.", height, d->machine.bed_height_mm),
          NAN, NAN);
}

static void
check_machine (RhyVerdict *self)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (self->plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->plan);
  if (!d->machine.given)
    find (self, RHY_LEVEL_CARE, "generic-machine",
          rhy_print ("No [Machine] is given: a travel of %.3f mm per turn is assumed, the rotary axis along x, the mouth "
                     "to the right. Measure your machine and give it in [Machine].", n->travel_per_turn_mm),
          NAN, NAN);
}

static void
check_spelling (RhyVerdict *self)
{
  const char *const *unknown = rhy_job_get_unknown_keys (rhy_plan_get_job (self->plan));
  for (gsize i = 0; unknown[i] != NULL; i++)
    {
      const gboolean is_group = g_str_has_suffix (unknown[i], "]");
      find (self, is_group ? RHY_LEVEL_CARE : RHY_LEVEL_NOTE, "unknown-key",
            g_strdup_printf (is_group ? "%s is no group that Rhyton knows; it is kept, and nothing in it has an effect. Check its spelling: "
                                        "a zone is a [Zone NAME], capitals and blanks count."
                                      : "%s is no key that Rhyton knows; it is kept and has no effect. Check its spelling.", unknown[i]),
            NAN, NAN);
    }
}

/* Stable, so that what was found first stays first among equals. */
static void
rank (GPtrArray *findings)
{
  g_autoptr (GPtrArray) ranked = g_ptr_array_new ();
  for (int level = RHY_LEVEL_STOP; level <= RHY_LEVEL_NOTE; level++)
    for (guint i = 0; i < findings->len; i++)
      if ((int) ((RhyFinding *) findings->pdata[i])->level == level)
        g_ptr_array_add (ranked, findings->pdata[i]);
  for (guint i = 0; i < ranked->len; i++)
    findings->pdata[i] = ranked->pdata[i];
}

/* Each artwork on its own. */
static void
check_artworks (RhyVerdict *self)
{
  for (gsize i = 0; i < rhy_plan_get_n_parts (self->plan) && !g_cancellable_is_cancelled (self->cancellable); i++)
    {
      self->part = rhy_plan_get_part (self->plan, i);
      rhy_verdict_check_artwork (self);
    }
  self->part = NULL;
}

/* What each part found is in the list; the long ones come to an end soon once it is cancelled. */
static void (*const checks[]) (RhyVerdict *self) = {
  check_artworks, rhy_verdict_check_pairs, rhy_verdict_check_hold, check_bed, check_readings, check_capacity, check_machine,
  check_spelling,
};

RhyVerdict *
rhy_verdict_new (RhyPlan      *plan,
                 GCancellable *cancellable)
{
  g_return_val_if_fail (plan != NULL, NULL);

  g_autoptr (RhyHolding) holding = rhy_plan_hold (plan, rhy_job_way (rhy_plan_get_job (plan)), cancellable);
  if (holding == NULL)
    return NULL;

  g_autoptr (RhyVerdict) self = g_atomic_rc_box_new0 (RhyVerdict);
  self->plan = rhy_plan_ref (plan);
  self->holding = g_steal_pointer (&holding);
  self->findings = g_ptr_array_new_with_free_func (finding_free);
  self->cancellable = cancellable;
  for (gsize i = 0; i < G_N_ELEMENTS (checks) && !g_cancellable_is_cancelled (cancellable); i++)
    checks[i] (self);
  self->cancellable = NULL;
  if (g_cancellable_is_cancelled (cancellable))
    return NULL;
  rank (self->findings);
  return g_steal_pointer (&self);
}

RhyVerdict *
rhy_verdict_ref (RhyVerdict *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

static void
clear (gpointer data)
{
  RhyVerdict *self = data;
  g_ptr_array_unref (self->findings);
  rhy_holding_free (self->holding);
  rhy_plan_unref (self->plan);
}

void
rhy_verdict_unref (RhyVerdict *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

gsize
rhy_verdict_get_n_findings (const RhyVerdict *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->findings->len;
}

const RhyHolding *
rhy_verdict_get_holding (const RhyVerdict *self)
{
  g_return_val_if_fail (self != NULL, NULL);
  return self->holding;
}

const RhyFinding *
rhy_verdict_get_finding (const RhyVerdict *self,
                         gsize             i)
{
  g_return_val_if_fail (self != NULL && i < self->findings->len, NULL);

  return self->findings->pdata[i];
}

static guint
count (const RhyVerdict *self,
       RhyLevel          level)
{
  guint n = 0;
  for (guint i = 0; i < self->findings->len; i++)
    n += ((const RhyFinding *) self->findings->pdata[i])->level == level;
  return n;
}

gboolean
rhy_verdict_is_ready (const RhyVerdict *self)
{
  g_return_val_if_fail (self != NULL, FALSE);

  return count (self, RHY_LEVEL_STOP) == 0;
}

/* ---- text ---- */

static const char *const level_words[] = { [RHY_LEVEL_STOP] = "stop", [RHY_LEVEL_CARE] = "care", [RHY_LEVEL_NOTE] = "note" };

static void
say (GString    *out,
     const char *label,
     char       *text)
{
  g_string_append_printf (out, "%-10s %s\n", label, text);
  g_free (text);
}

/* Twice the standard uncertainty, which is what people mean by plus or minus. */
static void
say_uncertainty (GString       *out,
                 const RhyPlan *plan)
{
  RhyPrintUncertainty u;
  if (!rhy_plan_get_uncertainty (plan, &u))
    return;
  if (rhy_plan_get_profile (plan) != NULL)
    {
      say (out, "Sure of", rhy_print ("the printed width within %.2f mm (k = 2)", 2.0 * u.u_width_mm));
      return;
    }
  g_autofree char *advice = rhy_plan_advise_reading (plan, &u);
  say (out, "Sure of", rhy_print ("the printed width within %.2f mm, the height within %.2f mm, the slope within %.2f degrees (k = 2)",
                                  2.0 * u.u_width_mm, 2.0 * u.u_height_mm, 2.0 * degrees (u.u_slope_rad)));
  say (out, "", g_steal_pointer (&advice));
}

static void
say_clearance (GString          *out,
               const RhyHolding *h)
{
  const RhyContact head = rhy_holding_least (h, h->head, -1);
  const RhyContact bed = rhy_holding_least (h, h->bed, -1);
  if (head.distance_mm < G_MAXDOUBLE)
    say (out, "Clearance", rhy_print ("the head keeps %.1f mm; the beam reaches the heights %.1f to %.1f mm", head.distance_mm,
                                      h->reach_low_mm, h->reach_high_mm));
  if (h->is_limited && h->turn_low_rad <= h->turn_high_rad)
    say (out, "Turns", rhy_print ("from %.1f to %.1f degrees may be on top", degrees (h->turn_low_rad), degrees (h->turn_high_rad)));
  if (bed.distance_mm < G_MAXDOUBLE)
    say (out, "Bed", rhy_print ("%.1f mm below the lowest point as it turns", bed.distance_mm));
  if (h->riser_mm > 0.0)
    say (out, "Riser", rhy_print ("%.1f mm under the head's frame", rhy_round_up (h->riser_mm)));
}

/* What each lay would make of this artwork, in the maker's words. */
static void
say_lays (GString       *out,
          const RhyPlan *plan)
{
  RhyLayChoice choices[RHY_LAY_N_KINDS];
  const RhyLayKind chosen = rhy_plan_get_group (plan)->lay;
  if (!(rhy_plan_get_numbers (plan)->width_mm > 0.0))
    return;
  rhy_plan_compare_lays (plan, choices);
  const char *name = rhy_plan_get_group (plan)->name;
  g_autofree char *reason = NULL;
  const RhyLayKind best = rhy_plan_recommend_lay (plan, choices, &reason);
  if (name != NULL)
    say (out, "Lays", rhy_print ("of %s:", name));
  for (int k = 0; k < RHY_LAY_N_KINDS; k++)
    {
      const RhyLayChoice *c = &choices[k];
      const RhyStretchRange *s = &c->stretch;
      const char *mark = k == (int) chosen ? "*" : " ";
      const char *label = k == 0 && name == NULL ? "Lays" : "";
      if (!c->is_possible)
        say (out, label, rhy_print ("%s%-16s does not fit the wall", mark, rhy_lay_kind_to_string (c->kind)));
      else
        say (out, label,
             rhy_print ("%s%-16s widest %+6.2f %% at height %5.1f, narrowest %+6.2f %% at %5.1f; area %+6.2f to %+6.2f %%; angles %5.2f degrees",
                        mark, rhy_lay_kind_to_string (c->kind), 100.0 * (s->major_max - 1.0), c->widest_mm,
                        100.0 * (s->minor_min - 1.0), c->narrowest_mm, 100.0 * (s->area_min - 1.0),
                        100.0 * (s->area_max - 1.0), degrees (s->angle_max_rad)));
    }
  say (out, "", rhy_print ("(* is the job's) Recommended: %s: %s", rhy_lay_kind_to_string (best), reason));
}

static void
say_artworks (GString       *out,
              const RhyPlan *plan)
{
  const gsize n_parts = rhy_plan_get_n_parts (plan);
  for (gsize i = 0; i < n_parts; i++)
    {
      const RhyPlan *part = rhy_plan_get_part (plan, i);
      const RhyPlanNumbers *n = rhy_plan_get_numbers (part);
      const RhyJobArtwork *group = rhy_plan_get_group (part);
      say (out, i == 0 ? "Artwork" : "",
           rhy_print ("%s%s%.2f x %.2f mm, laid %s, %s height %.2f mm, %.2f degrees around",
                      group->name != NULL ? group->name : "", group->name != NULL ? ": " : "", n->width_mm, n->height_mm,
                      rhy_lay_kind_to_string (group->lay), i == 0 ? "mark at" : "middle at",
                      height_at (plan, n->anchor.s), degrees (n->anchor.angle)));
    }
}

static RhyEvenness
evenness_of (const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  return rhy_exposure_evenness (rhy_plan_get_wall (plan), n->travel_per_turn_mm, n->tilt_rad, n->s_low_mm, n->s_high_mm);
}

static void
say_evenness (GString       *out,
              const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyEvenness e = evenness_of (plan);
  static const char *const advice[] = {
    [RHY_LINES_EITHER] = "lines along the axis or along the turn: as even either way",
    [RHY_LINES_AXIS] = "lines along the axis are the more even",
    [RHY_LINES_TURN] = "lines along the turn are the more even",
  };
  say (out, "Exposure", rhy_print ("%.1f to %.1f %% of that on the reference ring", 100.0 * n->exposure_min, 100.0 * n->exposure_max));
  say (out, "", rhy_print ("%s: distance on the wall %.1f to %.1f %% of that drawn along the axis, %.1f to %.1f %% along the turn",
                           advice[e.better], 100.0 * e.along_axis.distance_min, 100.0 * e.along_axis.distance_max,
                           100.0 * e.along_turn.distance_min, 100.0 * e.along_turn.distance_max));
}

static void
say_bands (GString       *out,
           const RhyPlan *plan)
{
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  const guint n = rhy_plan_find_line_bands (plan, bands);
  const double wanted = rhy_job_get_data (rhy_plan_get_job (plan))->output.line_distance_mm;
  for (guint i = 0; i < n; i++)
    say (out, i == 0 ? "Bands" : "",
         rhy_print ("%u: height %.2f to %.2f mm, line distance %.4f mm, %.1f lines per inch: energy then %.1f to %.1f %%", i + 1,
                    height_at (plan, bands[i].s0_mm), height_at (plan, bands[i].s1_mm), wanted * bands[i].correction,
                    25.4 / (wanted * bands[i].correction), 100.0 * bands[i].energy_min, 100.0 * bands[i].energy_max));
}

char *
rhy_verdict_to_text (const RhyVerdict *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  const RhyPlan *plan = self->plan;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const RhyRing base = rhy_wall_at (wall, 0.0);
  const RhyRing rim = rhy_wall_at (wall, rhy_wall_get_length (wall));
  const guint stops = count (self, RHY_LEVEL_STOP);
  GString *out = g_string_new (NULL);

  if (stops == 0)
    g_string_append (out, "Ready.\n");
  else
    g_string_append_printf (out, "Not ready: %u thing%s to put right.\n", stops, stops == 1 ? "" : "s");
  for (guint i = 0; i < self->findings->len; i++)
    {
      const RhyFinding *f = self->findings->pdata[i];
      g_string_append_printf (out, "%s  %s: %s\n", level_words[f->level], f->code, f->message);
    }
  g_string_append_c (out, '\n');
  say (out, "Vessel", rhy_print ("%.1f mm high, diameter %.2f mm at the base, %.2f mm at the rim; %.1f ml inside its outer wall",
                                 rim.z_mm - base.z_mm, 2.0 * base.r_mm, 2.0 * rim.r_mm,
                                 rhy_wall_volume (wall, 0.0, rhy_wall_get_length (wall)) / 1000.0));
  say (out, "", rhy_plan_describe_wall (plan));
  say_artworks (out, plan);
  const RhyStretchRange *stretch = rhy_plan_get_stretch (plan);
  say (out, "Stretch", rhy_print ("widest %+.2f %%, narrowest %+.2f %%, area %+.2f to %+.2f %%, angles within %.2f degrees",
                                  100.0 * (stretch->major_max - 1.0), 100.0 * (stretch->minor_min - 1.0),
                                  100.0 * (stretch->area_min - 1.0), 100.0 * (stretch->area_max - 1.0),
                                  degrees (stretch->angle_max_rad)));
  say (out, "Drive", rhy_print ("%.3f mm per turn, reference diameter %.3f mm", n->travel_per_turn_mm, n->reference_diameter_mm));
  say (out, "Hold", rhy_print ("tilt %.3f degrees; over the ink the wall comes up to %.2f mm nearer the head than at the mark, "
                               "and up to %.2f mm farther",
                               degrees (n->tilt_rad), MAX (0.0, n->focus_greatest_mm), MAX (0.0, -n->focus_least_mm)));
  say_clearance (out, self->holding);
  say_uncertainty (out, plan);
  say_evenness (out, plan);
  say_bands (out, plan);
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    say_lays (out, rhy_plan_get_part (plan, i));
  return g_string_free (out, FALSE);
}

/* ---- JSON ---- */

static void
open_object (JsonBuilder *b,
             const char  *name)
{
  json_builder_set_member_name (b, name);
  json_builder_begin_object (b);
}

static void
put_finding (JsonBuilder      *b,
             const RhyFinding *f)
{
  json_builder_begin_object (b);
  rhy_json_put_number (b, "angle_deg", degrees (f->angle_rad));
  rhy_json_put_string (b, "code", f->code);
  rhy_json_put_number (b, "height_mm", f->height_mm);
  rhy_json_put_string (b, "level", level_words[f->level]);
  rhy_json_put_string (b, "message", f->message);
  json_builder_end_object (b);
}

static void
put_findings (JsonBuilder      *b,
              const RhyVerdict *self)
{
  json_builder_set_member_name (b, "findings");
  json_builder_begin_array (b);
  for (guint i = 0; i < self->findings->len; i++)
    put_finding (b, self->findings->pdata[i]);
  json_builder_end_array (b);
}

static const char *const model_words[] = {
  [RHY_FIT_CYLINDER] = "cylinder",
  [RHY_FIT_CONE] = "cone",
  [RHY_FIT_TWO_CONES] = "two-cones",
  [RHY_FIT_STEPPED] = "stepped",
  [RHY_FIT_SMOOTH] = "smooth",
};

static void
put_vessel (JsonBuilder   *b,
            const RhyPlan *plan)
{
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const double length = rhy_wall_get_length (wall);
  const RhyRing base = rhy_wall_at (wall, 0.0);
  const RhyRing rim = rhy_wall_at (wall, length);
  open_object (b, "vessel");
  rhy_json_put_number (b, "base_diameter_mm", 2.0 * base.r_mm);
  rhy_json_put_number (b, "base_height_mm", base.z_mm);
  rhy_json_put_string (b, "name", rhy_job_get_data (rhy_plan_get_job (plan))->vessel.name);
  rhy_json_put_number (b, "rim_diameter_mm", 2.0 * rim.r_mm);
  rhy_json_put_number (b, "rim_height_mm", rim.z_mm);
  rhy_json_put_number (b, "slant_mm", length);
  rhy_json_put_number (b, "slope_deg", rhy_wall_is_cone (wall) ? degrees (base.slope_rad) : NAN);
  rhy_json_put_number (b, "volume_ml", rhy_wall_volume (wall, 0.0, length) / 1000.0);
  rhy_json_put_string (b, "wall", model_words[rhy_plan_get_fit (plan)->model]);
  json_builder_end_object (b);
}

static void
put_hold (JsonBuilder      *b,
          const RhyVerdict *self)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->plan);
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (self->plan));
  open_object (b, "hold");
  rhy_json_put_number (b, "focus_max_mm", MAX (fabs (n->focus_least_mm), fabs (n->focus_greatest_mm)));
  rhy_json_put_number (b, "focus_spread_mm", n->focus_greatest_mm - n->focus_least_mm);
  rhy_json_put_number (b, "riser_mm", self->holding->riser_mm);
  rhy_json_put_number (b, "spot_max_mm", d->hold.defocus_mm - self->holding->focus_least_mm);
  rhy_json_put_number (b, "spot_min_mm", d->hold.defocus_mm - self->holding->focus_greatest_mm);
  rhy_json_put_string (b, "support", rhy_support_to_string (d->hold.support));
  rhy_json_put_number (b, "support_height_mm", self->holding->support_height_mm);
  rhy_json_put_number (b, "tilt_deg", degrees (n->tilt_rad));
  rhy_json_put_string (b, "way", rhy_way_to_string (rhy_job_way (rhy_plan_get_job (self->plan))));
  json_builder_end_object (b);
}

/* Standard uncertainties: k = 1. */
static void
put_uncertainty (JsonBuilder   *b,
                 const RhyPlan *plan)
{
  static const char *const kinds[] = {
    [RHY_READING_DIAMETER] = "diameter",
    [RHY_READING_HEIGHT] = "height",
    [RHY_READING_CIRCUMFERENCE] = "circumference",
    [RHY_READING_SLANT] = "slant",
    [RHY_READING_OVERALL_HEIGHT] = "overall-height",
  };
  RhyPrintUncertainty u = { .u_width_mm = NAN, .u_height_mm = NAN, .u_slope_rad = NAN, .u_sector_rad = NAN };
  const gboolean known = rhy_plan_get_uncertainty (plan, &u);
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const gboolean again = known && u.again_share > 0.0;
  const gboolean placed = again && u.again_kind != RHY_READING_SLANT && u.again_kind != RHY_READING_OVERALL_HEIGHT;

  open_object (b, "uncertainty");
  rhy_json_put_string (b, "again", again ? kinds[u.again_kind] : NULL);
  rhy_json_put_number (b, "again_height_mm", placed ? d->vessel.heights_mm[u.again] : NAN);
  rhy_json_put_number (b, "again_share", again ? u.again_share : NAN);
  rhy_json_put_number (b, "height_mm", u.u_height_mm);
  rhy_json_put_number (b, "sector_deg", degrees (u.u_sector_rad));
  rhy_json_put_number (b, "slope_deg", degrees (u.u_slope_rad));
  rhy_json_put_number (b, "width_mm", u.u_width_mm);
  json_builder_end_object (b);
}

/* No number where there is nothing to be near to. */
static double
distance_of (RhyContact contact)
{
  return contact.distance_mm < G_MAXDOUBLE ? contact.distance_mm : NAN;
}

static void
put_clearance (JsonBuilder      *b,
               const RhyHolding *h)
{
  open_object (b, "clearance");
  rhy_json_put_number (b, "bed_mm", distance_of (rhy_holding_least (h, h->bed, -1)));
  rhy_json_put_number (b, "handle_mm", distance_of (rhy_holding_least (h, h->head, RHY_ZONE_HANDLE)));
  rhy_json_put_number (b, "head_mm", distance_of (rhy_holding_least (h, h->head, -1)));
  rhy_json_put_number (b, "reach_high_mm", h->reaches ? h->reach_high_mm : NAN);
  rhy_json_put_number (b, "reach_low_mm", h->reaches ? h->reach_low_mm : NAN);
  rhy_json_put_number (b, "turn_max_deg", h->is_limited ? degrees (h->turn_high_rad) : NAN);
  rhy_json_put_number (b, "turn_min_deg", h->is_limited ? degrees (h->turn_low_rad) : NAN);
  json_builder_end_object (b);
}

static void
put_stretch (JsonBuilder           *b,
             const RhyStretchRange *s)
{
  open_object (b, "stretch");
  rhy_json_put_number (b, "angle_max_deg", degrees (s->angle_max_rad));
  rhy_json_put_number (b, "area_max", s->area_max);
  rhy_json_put_number (b, "area_min", s->area_min);
  rhy_json_put_number (b, "major_max", s->major_max);
  rhy_json_put_number (b, "minor_min", s->minor_min);
  json_builder_end_object (b);
}

/* Each on its own; "artwork" is the first of them, "stretch" the worst of all. */
static void
put_artworks (JsonBuilder   *b,
              const RhyPlan *plan)
{
  json_builder_set_member_name (b, "artworks");
  json_builder_begin_array (b);
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    {
      const RhyPlan *part = rhy_plan_get_part (plan, i);
      const RhyPlanNumbers *n = rhy_plan_get_numbers (part);
      const RhyJobArtwork *group = rhy_plan_get_group (part);
      json_builder_begin_object (b);
      rhy_json_put_number (b, "around_deg", degrees (n->anchor.angle));
      rhy_json_put_number (b, "at_mm", height_at (plan, n->anchor.s));
      rhy_json_put_number (b, "height_mm", n->height_mm);
      rhy_json_put_string (b, "lay", rhy_lay_kind_to_string (group->lay));
      rhy_json_put_string (b, "name", group->name);
      put_stretch (b, rhy_plan_get_stretch (part));
      rhy_json_put_number (b, "width_mm", n->width_mm);
      json_builder_end_object (b);
    }
  json_builder_end_array (b);
}

static void
put_lines (JsonBuilder        *b,
           const char         *name,
           const RhyLineRange *r)
{
  open_object (b, name);
  rhy_json_put_number (b, "distance_max", r->distance_max);
  rhy_json_put_number (b, "distance_min", r->distance_min);
  rhy_json_put_number (b, "energy_max", r->energy_max);
  rhy_json_put_number (b, "energy_min", r->energy_min);
  json_builder_end_object (b);
}

static void
put_bands (JsonBuilder   *b,
           const RhyPlan *plan)
{
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  const guint n = rhy_plan_find_line_bands (plan, bands);
  const double wanted = rhy_job_get_data (rhy_plan_get_job (plan))->output.line_distance_mm;
  json_builder_set_member_name (b, "bands");
  json_builder_begin_array (b);
  for (guint i = 0; i < n; i++)
    {
      const double drawn = wanted * bands[i].correction;
      json_builder_begin_object (b);
      rhy_json_put_number (b, "distance_along_axis_max_mm", wanted * bands[i].axis_max);
      rhy_json_put_number (b, "distance_along_axis_min_mm", wanted * bands[i].axis_min);
      rhy_json_put_number (b, "distance_along_turn_max_mm", wanted * bands[i].turn_max);
      rhy_json_put_number (b, "distance_along_turn_min_mm", wanted * bands[i].turn_min);
      rhy_json_put_number (b, "energy_max", bands[i].energy_max);
      rhy_json_put_number (b, "energy_min", bands[i].energy_min);
      rhy_json_put_number (b, "from_mm", height_at (plan, bands[i].s0_mm));
      rhy_json_put_number (b, "line_distance_mm", drawn);
      rhy_json_put_number (b, "lines_per_inch", 25.4 / drawn);
      rhy_json_put_number (b, "to_mm", height_at (plan, bands[i].s1_mm));
      json_builder_end_object (b);
    }
  json_builder_end_array (b);
}

static void
put_exposure (JsonBuilder   *b,
              const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyEvenness e = evenness_of (plan);
  open_object (b, "exposure");
  put_bands (b, plan);
  put_lines (b, "lines_along_axis", &e.along_axis);
  put_lines (b, "lines_along_turn", &e.along_turn);
  rhy_json_put_string (b, "lines_better", rhy_line_way_to_string (e.better));
  rhy_json_put_number (b, "max", n->exposure_max);
  rhy_json_put_number (b, "min", n->exposure_min);
  json_builder_end_object (b);
}

char *
rhy_verdict_to_json (const RhyVerdict *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->plan);
  g_autoptr (JsonBuilder) b = json_builder_new_immutable ();
  json_builder_begin_object (b);

  open_object (b, "artwork");
  rhy_json_put_number (b, "height_mm", n->height_mm);
  rhy_json_put_number (b, "nodes_in", (double) n->nodes_in);
  rhy_json_put_number (b, "nodes_out", (double) n->nodes_out);
  rhy_json_put_number (b, "width_mm", n->width_mm);
  json_builder_end_object (b);

  put_artworks (b, self->plan);
  put_clearance (b, self->holding);

  open_object (b, "drive");
  rhy_json_put_number (b, "reference_diameter_mm", n->reference_diameter_mm);
  rhy_json_put_number (b, "travel_per_turn_mm", n->travel_per_turn_mm);
  json_builder_end_object (b);

  put_exposure (b, self->plan);

  put_findings (b, self);
  json_builder_set_member_name (b, "format");
  json_builder_add_int_value (b, 1);
  put_hold (b, self);
  json_builder_set_member_name (b, "ready");
  json_builder_add_boolean_value (b, rhy_verdict_is_ready (self));

  put_stretch (b, rhy_plan_get_stretch (self->plan));

  put_uncertainty (b, self->plan);

  put_vessel (b, self->plan);
  json_builder_end_object (b);

  return rhy_json_end (b);
}

/* The ends of the wall as the readings give them; a sampled profile says nothing here. */
static const char *
code_of_trouble (const RhyJobData *d)
{
  const gsize n = d->vessel.n_stations;
  if (n > 0 && d->artwork.at_mm > d->vessel.heights_mm[n - 1])
    return "past-rim";
  if (n > 0 && d->artwork.at_mm < d->vessel.heights_mm[0])
    return "past-base";
  return "no-place";
}

char *
rhy_verdict_trouble_to_json (const RhyJob *job,
                             const GError *error)
{
  g_return_val_if_fail (job != NULL && error != NULL, NULL);

  const RhyJobData *d = rhy_job_get_data (job);
  const char *const before[] = { "artwork", "artworks", "clearance", "drive", "exposure" };
  const char *const after[] = { "stretch", "uncertainty", "vessel" };
  const RhyFinding finding = { RHY_LEVEL_STOP, (char *) code_of_trouble (d), error->message, d->artwork.at_mm,
                               d->artwork.around_rad, NULL };
  g_autoptr (JsonBuilder) b = json_builder_new_immutable ();
  json_builder_begin_object (b);
  for (gsize i = 0; i < G_N_ELEMENTS (before); i++)
    rhy_json_put_string (b, before[i], NULL);
  json_builder_set_member_name (b, "findings");
  json_builder_begin_array (b);
  put_finding (b, &finding);
  json_builder_end_array (b);
  json_builder_set_member_name (b, "format");
  json_builder_add_int_value (b, 1);
  rhy_json_put_string (b, "hold", NULL);
  json_builder_set_member_name (b, "ready");
  json_builder_add_boolean_value (b, FALSE);
  for (gsize i = 0; i < G_N_ELEMENTS (after); i++)
    rhy_json_put_string (b, after[i], NULL);
  json_builder_end_object (b);
  return rhy_json_end (b);
}
