/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "plan-private.h"

#include <rhyton/exposure.h>
#include <rhyton/holds.h>

#include "job-private.h"
#include "print.h"
#include "traced.h"

#include <math.h>

const char *
rhy_plan_name (const RhyPlan *self)
{
  const char *path = rhy_job_get_path (self->job);
  return path != NULL ? path : "job";
}

/* ---- wall ---- */

RhyReadings
rhy_job_readings (const RhyJob *job,
                  RhySlant     *slant)
{
  const RhyJobData *d = rhy_job_get_data (job);
  RhyReadings r = { .n = d->vessel.n_stations,
                    .heights_mm = d->vessel.heights_mm,
                    .diameters_mm = d->vessel.diameters_mm,
                    .u_height_mm = d->vessel.height_uncertainty_mm,
                    .u_diameter_mm = d->vessel.diameter_uncertainty_mm,
                    .circumferences_mm = d->vessel.circumferences_mm,
                    .overall_height_mm = d->vessel.overall_height_mm };
  if (d->vessel.slant_mm > 0.0 && r.n >= 2)
    {
      *slant = (RhySlant) { .low = 0, .high = r.n - 1, .length_mm = d->vessel.slant_mm };
      r.slants = slant;
      r.n_slants = 1;
    }
  return r;
}

/* The wall's own rows settle it; readings beside a profile file are left alone. */
static gboolean
fit_profile (const RhyJob     *job,
             RhyFit           *fit,
             RhyProfileReport *report,
             GError          **error)
{
  const RhyJobData *d = rhy_job_get_data (job);
  g_autofree char *path = rhy_job_resolve (job, d->vessel.profile_file);
  RhyWall *wall = rhy_wall_new_profile_file (path, d->vessel.diameter_uncertainty_mm, report, error);
  if (wall == NULL)
    return FALSE;
  *fit = (RhyFit) { .wall = wall,
                    .agrees = TRUE,
                    .model = rhy_wall_is_cone (wall) ? RHY_FIT_CONE : RHY_FIT_SMOOTH,
                    .slope_u_rad = NAN };
  return TRUE;
}

static const char *
name_of (const RhyJob *job)
{
  const char *path = rhy_job_get_path (job);
  return path != NULL ? path : "job";
}

static gboolean
fit_wall (const RhyJob     *job,
          RhyFit           *fit,
          RhyProfileReport *report,
          GError          **error)
{
  if (rhy_job_get_data (job)->vessel.profile_file != NULL)
    return fit_profile (job, fit, report, error);

  RhySlant slant;
  const RhyReadings readings = rhy_job_readings (job, &slant);
  if (rhy_readings_fit (&readings, rhy_job_get_data (job)->vessel.form, fit, error))
    return TRUE;
  g_prefix_error (error, "%s: [Vessel]: ", name_of (job));
  return FALSE;
}

RhyWall *
rhy_job_make_wall (const RhyJob *job,
                   GError      **error)
{
  g_return_val_if_fail (job != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  RhyFit fit;
  RhyProfileReport report;
  return fit_wall (job, &fit, &report, error) ? fit.wall : NULL;
}

static gboolean
make_wall (RhyPlan *self,
           GError **error)
{
  if (!fit_wall (self->job, &self->fit, &self->profile, error))
    return FALSE;
  self->wall = rhy_wall_ref (self->fit.wall);
  return TRUE;
}

/* ---- drive ---- */

static double
choose_tilt (const RhyPlan *self)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  const RhyPlanNumbers *n = &self->numbers;
  const RhyWay way = rhy_job_way (self->job);
  double set = NAN;             /* the best that this machine can do */
  if (d->hold.tilt_mode == RHY_TILT_SET)
    set = d->hold.tilt_rad;
  if (d->hold.tilt_mode == RHY_TILT_LEVEL)
    set = rhy_wall_at (self->wall, 0.5 * (n->s_low_mm + n->s_high_mm)).slope_rad - rhy_way_sense (way) * d->hold.sag_rad;
  return rhy_way_tilt (way, set, n->best_tilt_rad, d->hold.sag_rad, d->machine.tilt_min_rad, d->machine.tilt_max_rad,
                       NULL, NULL);
}

static gboolean
choose_travel (RhyPlan *self,
               GError **error)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  RhyPlanNumbers *n = &self->numbers;
  const RhyRing widest = rhy_wall_widest (self->wall, n->s_low_mm, n->s_high_mm);
  RhyRing contact = rhy_wall_at (self->wall, n->anchor.s);

  n->reference_diameter_mm = d->hold.reference_diameter_mm > 0.0 ? d->hold.reference_diameter_mm : 2.0 * widest.r_mm;
  if (!isnan (d->hold.contact_height_mm) && !rhy_wall_at_height (self->wall, d->hold.contact_height_mm, &contact))
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                       "%s: [Hold] ContactHeight: found \"%g\": allowed: a height on the wall, from %g to %g mm",
                       rhy_plan_name (self), d->hold.contact_height_mm, rhy_wall_at (self->wall, 0.0).z_mm,
                       rhy_wall_at (self->wall, rhy_wall_get_length (self->wall)).z_mm);
      return FALSE;
    }
  if (d->machine.travel_per_turn_mm > 0.0)
    n->travel_per_turn_mm = d->machine.travel_per_turn_mm;
  else if (d->hold.drive == RHY_DRIVE_ROLLERS)
    n->travel_per_turn_mm = 2.0 * G_PI * contact.r_mm;
  else
    n->travel_per_turn_mm = G_PI * n->reference_diameter_mm;
  return TRUE;
}

static void
measure_exposure (RhyPlan *self)
{
  RhyPlanNumbers *n = &self->numbers;
  const int steps = 64;
  n->exposure_min = G_MAXDOUBLE;
  n->exposure_max = -G_MAXDOUBLE;
  for (int i = 0; i <= steps; i++)
    {
      const double s = n->s_low_mm + (n->s_high_mm - n->s_low_mm) * i / steps;
      const double e = rhy_exposure_at (self->wall, n->travel_per_turn_mm, n->tilt_rad, s);
      n->exposure_min = MIN (n->exposure_min, e);
      n->exposure_max = MAX (n->exposure_max, e);
    }
}

RhyMap *
rhy_plan_drive_on (const RhyPlan *self,
                   RhyWall       *wall,
                   RhyWallPoint   mark,
                   GError       **error)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  const RhyDriveOptions options = {
    .mark = mark,
    .travel_per_turn_mm = self->numbers.travel_per_turn_mm,
    .tilt_rad = self->numbers.tilt_rad,
    .axis = d->machine.axis,
    .mouth = d->machine.mouth,
    .turn_reversed = d->machine.turn_reversed,
  };
  return rhy_drive_new (wall, &options, error);
}

/* What tilt and travel make of the band where the ink is. */
static void
measure_along (RhyPlan *self)
{
  RhyPlanNumbers *n = &self->numbers;
  rhy_drive_focus_range (self->wall, n->tilt_rad, self->mark.s, n->s_low_mm, n->s_high_mm,
                         &n->focus_least_mm, &n->focus_greatest_mm);
  measure_exposure (self);
}

static gboolean
make_drive (RhyPlan *self,
            GError **error)
{
  RhyPlanNumbers *n = &self->numbers;
  n->best_tilt_rad = rhy_drive_best_tilt (self->wall, n->s_low_mm, n->s_high_mm, NULL);
  n->tilt_rad = choose_tilt (self);
  if (!choose_travel (self, error))
    return FALSE;

  self->mark = n->anchor;
  self->drive = rhy_plan_drive_on (self, self->wall, self->mark, error);
  if (self->drive == NULL)
    {
      g_prefix_error (error, "%s: [Hold] Tilt: ", rhy_plan_name (self));
      return FALSE;
    }
  measure_along (self);
  return TRUE;
}

/* ---- unroll ---- */

/* Adds the slants of the ink to @s. */
static void
add_slants (const RhyPlan *self,
            GArray        *s)
{
  g_autofree double *u = g_new (double, self->n_ink + 1);
  g_autofree double *v = g_new (double, self->n_ink + 1);
  g_autofree guint8 *valid = g_new (guint8, self->n_ink + 1);
  for (gsize i = 0; i < self->n_ink; i++)
    {
      u[i] = self->ink[i].u;
      v[i] = self->ink[i].v;
    }
  rhy_map_forward (self->lay, self->n_ink, u, v, u, v, valid);
  for (gsize i = 0; i < self->n_ink; i++)
    if (valid[i])
      g_array_append_val (s, u[i]);
}

static void
find_conic (RhyPlan *self)
{
  const RhyRing base = rhy_wall_at (self->wall, 0.0);
  self->conic = (RhyConic) { 0.0, base.r_mm, sin (base.slope_rad) };
  if (rhy_wall_is_cone (self->wall))
    return;

  /* No sheet lies on this wall: unroll on the cone that fits best where the ink is. */
  g_autoptr (GArray) s = g_array_new (FALSE, FALSE, sizeof (double));
  for (gsize i = 0; i < rhy_plan_get_n_parts (self); i++)
    add_slants (rhy_plan_get_part (self, i), s);
  self->conic = rhy_conic_fit (self->wall, (const double *) (void *) s->data, s->len, self->numbers.anchor.s);
}

/* The cone that fits a bottle's shoulder comes to a point on its neck, and nothing more of the wall could lie on it.
 * Such a wall is never cut out in one piece (rhy_skin_init() takes rings or gores): what is left is a picture of the whole, for
 * which the taper is eased until the far end keeps a twentieth of the ink's radius. The ring scale at the anchor stays. */
static void
blunt_conic (RhyPlan *self)
{
  const double most = 0.95 * self->conic.r_mm;
  const double below = self->conic.s_mm;
  const double above = rhy_wall_get_length (self->wall) - self->conic.s_mm;
  if (self->conic.sine * below > most)
    self->conic.sine = most / below;
  if (-self->conic.sine * above > most)
    self->conic.sine = -most / above;
}

static gboolean
make_unroll (RhyPlan *self,
             GError **error)
{
  find_conic (self);
  if (!rhy_wall_is_cone (self->wall))
    blunt_conic (self);
  self->unroll = rhy_unroll_new (self->wall, &self->conic, error);
  return self->unroll != NULL;
}

/* ---- the plan ---- */

static void
clear (gpointer data)
{
  RhyPlan *self = data;
  g_clear_pointer (&self->parts, g_ptr_array_unref);
  g_clear_pointer (&self->job, rhy_job_unref);
  g_clear_pointer (&self->wall, rhy_wall_unref);
  g_clear_pointer (&self->fit.wall, rhy_wall_unref);
  g_clear_pointer (&self->source, rhy_artwork_unref);
  g_clear_pointer (&self->unit, rhy_artwork_unref);
  g_free (self->unit_ink);
  g_clear_pointer (&self->artwork, rhy_artwork_unref);
  g_clear_pointer (&self->lay, rhy_map_unref);
  g_clear_pointer (&self->drive, rhy_map_unref);
  g_clear_pointer (&self->unroll, rhy_map_unref);
  g_free (self->ink);
}

/* ---- several artworks ---- */

/* The first part's numbers, widened to all the ink there is. */
static RhyPlanNumbers
numbers_over (GPtrArray *parts)
{
  RhyPlanNumbers all = ((const RhyPlan *) parts->pdata[0])->numbers;
  for (guint i = 1; i < parts->len; i++)
    {
      const RhyPlan *part = parts->pdata[i];
      const RhyPlanNumbers *n = &part->numbers;
      all.nodes_in += n->nodes_in;
      all.nodes_out += n->nodes_out;
      all.lightened_mm = MAX (all.lightened_mm, n->lightened_mm);
      if (part->n_ink == 0)
        continue;
      all.s_low_mm = MIN (all.s_low_mm, n->s_low_mm);
      all.s_high_mm = MAX (all.s_high_mm, n->s_high_mm);
      all.angle_low_rad = MIN (all.angle_low_rad, n->angle_low_rad);
      all.angle_high_rad = MAX (all.angle_high_rad, n->angle_high_rad);
      all.past_rim_mm = MAX (all.past_rim_mm, n->past_rim_mm);
      all.past_base_mm = MAX (all.past_base_mm, n->past_base_mm);
      all.n_unseen += n->n_unseen;
    }
  return all;
}

/* A plan for all @parts (transfer full), which stands for the first of them. */
static RhyPlan *
whole_of (GPtrArray *parts)
{
  const RhyPlan *first = parts->pdata[0];
  RhyPlan *self = g_atomic_rc_box_new0 (RhyPlan);
  self->job = rhy_job_ref (first->job);
  self->group = first->group;
  self->parts = parts;
  self->wall = rhy_wall_ref (first->wall);
  self->fit = first->fit;
  self->fit.wall = rhy_wall_ref (first->fit.wall);
  self->profile = first->profile;
  self->source = rhy_artwork_ref (first->source);
  self->unit = rhy_artwork_ref (first->unit);
  self->artwork = rhy_artwork_ref (first->artwork);
  self->lay = rhy_map_ref (first->lay);
  self->ink = g_memdup2 (first->ink, first->n_ink * sizeof (RhyArtPoint));
  self->n_ink = first->n_ink;
  self->spacing_mm = first->spacing_mm;
  self->numbers = numbers_over (parts);
  return self;
}

/* Every part turns and travels with the whole. */
static void
share_drive (RhyPlan *self)
{
  for (gsize i = 0; self->parts != NULL && i < self->parts->len; i++)
    {
      RhyPlan *part = self->parts->pdata[i];
      RhyPlanNumbers *n = &part->numbers;
      part->mark = self->mark;
      part->drive = rhy_map_ref (self->drive);
      part->unroll = rhy_map_ref (self->unroll);
      part->conic = self->conic;
      n->best_tilt_rad = self->numbers.best_tilt_rad;
      n->tilt_rad = self->numbers.tilt_rad;
      n->travel_per_turn_mm = self->numbers.travel_per_turn_mm;
      n->reference_diameter_mm = self->numbers.reference_diameter_mm;
      measure_along (part);
    }
}

/* ---- the plan's making ---- */

static gboolean
is_sized_alike (const RhyPlan       *old,
                const RhyJob        *job,
                const RhyJobArtwork *b)
{
  const RhyJobArtwork *a = old->group;
  return a->width_mm == b->width_mm && a->height_mm == b->height_mm && a->width_max_mm == b->width_max_mm
         && a->font_size_mm == b->font_size_mm
         && a->strokes == b->strokes && a->ink == b->ink && a->ink_shades == b->ink_shades && rhy_is_traced_alike (a, b)
         && rhy_job_get_data (old->job)->output.tolerance_mm == rhy_job_get_data (job)->output.tolerance_mm
         && a->span_rad == 0.0 && b->span_rad == 0.0;
}

static gboolean
is_same_source (const RhyJobArtwork *a,
                const RhyJobArtwork *b)
{
  return g_strcmp0 (a->file, b->file) == 0 && g_strcmp0 (a->text, b->text) == 0 && g_strcmp0 (a->font, b->font) == 0;
}

/* What @old has made of an artwork of the same source already, whatever its group is called by now. */
static const RhyPlan *
part_alike (const RhyPlan       *old,
            const RhyJobArtwork *group)
{
  for (gsize i = 0; old != NULL && i < rhy_plan_get_n_parts (old); i++)
    {
      const RhyPlan *part = rhy_plan_get_part (old, i);
      if (is_same_source (part->group, group))
        return part;
    }
  return NULL;
}

static void
take_unit (RhyPlan       *self,
           const RhyPlan *from)
{
  self->unit = rhy_artwork_ref (from->unit);
  self->unit_ink = g_memdup2 (from->unit_ink, from->n_unit_ink * sizeof (RhyArtPoint));
  self->n_unit_ink = from->n_unit_ink;
  self->spacing_mm = from->spacing_mm;
  self->numbers.width_mm = from->numbers.width_mm;
  self->numbers.height_mm = from->numbers.height_mm;
  self->numbers.nodes_in = from->numbers.nodes_in;
  self->numbers.nodes_out = from->numbers.nodes_out;
  self->numbers.lightened_mm = from->numbers.lightened_mm;
  self->numbers.shrink = from->numbers.shrink;
}

static gboolean
share_wall (RhyPlan       *self,
            const RhyPlan *first)
{
  self->wall = rhy_wall_ref (first->wall);
  self->fit = first->fit;
  self->fit.wall = rhy_wall_ref (first->fit.wall);
  self->profile = first->profile;
  return TRUE;
}

/* @first: (nullable): the part whose wall is shared
 * @artwork: (nullable): its source, where the caller has it */
static RhyPlan *
new_part (RhyJob        *job,
          gsize          i,
          const RhyPlan *first,
          const RhyPlan *old,
          RhyArtwork    *artwork,
          GCancellable  *cancellable,
          GError       **error)
{
  g_autoptr (RhyPlan) self = g_atomic_rc_box_new0 (RhyPlan);
  self->job = rhy_job_ref (job);
  self->group = &rhy_job_get_data (job)->artworks[i];
  const RhyPlan *alike = part_alike (old, self->group);
  if (artwork != NULL)
    self->source = rhy_artwork_ref (artwork);
  else if (alike != NULL)
    self->source = rhy_artwork_ref (alike->source);
  else if (!rhy_plan_has_artwork (self->group))
    self->source = rhy_artwork_builder_end (rhy_artwork_builder_new ());
  else
    self->source = rhy_job_load_artwork (job, i, cancellable, error);
  if (self->source == NULL)
    return NULL;
  if (alike != NULL && alike->source == self->source && is_sized_alike (alike, job, self->group))
    take_unit (self, alike);
  if (!(first != NULL ? share_wall (self, first) : make_wall (self, error)) || !rhy_plan_place (self, cancellable, error))
    return NULL;
  return g_steal_pointer (&self);
}

static RhyPlan *
new_plan (RhyJob            *job,
          const RhyPlan     *old,
          RhyArtwork *const *sources,
          GCancellable      *cancellable,
          GError           **error)
{
  const gsize n = rhy_job_get_data (job)->n_artworks;
  g_autoptr (GPtrArray) parts = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_plan_unref);
  for (gsize i = 0; i < n; i++)
    {
      RhyPlan *part = new_part (job, i, i > 0 ? parts->pdata[0] : NULL, old, sources != NULL ? sources[i] : NULL, cancellable, error);
      if (part == NULL)
        return NULL;
      g_ptr_array_add (parts, part);
    }

  g_autoptr (RhyPlan) self = n == 1 ? rhy_plan_ref (parts->pdata[0]) : whole_of (g_steal_pointer (&parts));
  if (!make_drive (self, error))
    return NULL;
  if (!make_unroll (self, error))
    {
      g_prefix_error (error, "%s: ", rhy_plan_name (self));
      return NULL;
    }
  share_drive (self);
  return g_steal_pointer (&self);
}

RhyPlan *
rhy_plan_new (RhyJob       *job,
              RhyArtwork   *artwork,
              GCancellable *cancellable,
              GError      **error)
{
  g_return_val_if_fail (job != NULL, NULL);

  g_autofree RhyArtwork **sources = g_new0 (RhyArtwork *, rhy_job_get_data (job)->n_artworks);
  sources[0] = artwork;
  return new_plan (job, NULL, sources, cancellable, error);
}

RhyPlan *
rhy_plan_new_like (RhyJob            *job,
                   RhyArtwork *const *sources,
                   const RhyPlan     *like,
                   GCancellable      *cancellable,
                   GError           **error)
{
  g_return_val_if_fail (job != NULL, NULL);

  return new_plan (job, like, sources, cancellable, error);
}

RhyPlan *
rhy_plan_renewed (RhyPlan *self,
                  RhyJob  *job,
                  GError **error)
{
  g_return_val_if_fail (self != NULL && job != NULL, NULL);

  /* One artwork stays what it was, whatever the job calls it: the caller has it in hand. */
  const gboolean one = self->parts == NULL && rhy_job_get_data (job)->n_artworks == 1;
  return new_plan (job, self, one ? &self->source : NULL, NULL, error);
}

gsize
rhy_plan_get_n_parts (const RhyPlan *self)
{
  return self->parts != NULL ? self->parts->len : 1;
}

const RhyPlan *
rhy_plan_get_part (const RhyPlan *self,
                   gsize          i)
{
  g_return_val_if_fail (self != NULL && i < rhy_plan_get_n_parts (self), NULL);

  return self->parts != NULL ? self->parts->pdata[i] : self;
}

const RhyJobArtwork *
rhy_plan_get_group (const RhyPlan *self)
{
  return self->group;
}

RhyPlan *
rhy_plan_ref (RhyPlan *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_plan_unref (RhyPlan *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

RhyJob *
rhy_plan_get_job (const RhyPlan *self)
{
  return self->job;
}

RhyWall *
rhy_plan_get_wall (const RhyPlan *self)
{
  return self->wall;
}

const RhyFit *
rhy_plan_get_fit (const RhyPlan *self)
{
  return &self->fit;
}

const RhyProfileReport *
rhy_plan_get_profile (const RhyPlan *self)
{
  return self->profile.n_rows > 0 ? &self->profile : NULL;
}

char *
rhy_plan_describe_wall (const RhyPlan *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  const RhyProfileReport *p = rhy_plan_get_profile (self);
  if (p != NULL)
    return rhy_print ("%" G_GSIZE_FORMAT " piece%s through %" G_GSIZE_FORMAT " rows, which scatter by %.3f mm "
                      "about it (by %.3f mm about each other)",
                      p->n_pieces, p->n_pieces == 1 ? "" : "s", p->n_rows, p->rms_mm, p->noise_mm);
  RhySlant slant;
  const RhyReadings readings = rhy_job_readings (self->job, &slant);
  return rhy_readings_describe (&readings, &self->fit);
}

gboolean
rhy_plan_get_uncertainty (const RhyPlan       *self,
                          RhyPrintUncertainty *uncertainty)
{
  g_return_val_if_fail (self != NULL && uncertainty != NULL, FALSE);

  const RhyJobData *d = rhy_job_get_data (self->job);
  const RhyPlanNumbers *n = &self->numbers;
  const RhyRing anchor = rhy_wall_at (self->wall, n->anchor.s);
  if (!(n->width_mm > 0.0))
    return FALSE;
  if (self->profile.n_rows > 0)
    {
      *uncertainty = (RhyPrintUncertainty) {
        .u_width_mm = n->width_mm * d->vessel.diameter_uncertainty_mm / (2.0 * anchor.r_mm),
        .u_height_mm = NAN,
        .u_slope_rad = NAN,
        .u_sector_rad = NAN,
      };
      return TRUE;
    }

  RhySlant slant;
  const RhyReadings readings = rhy_job_readings (self->job, &slant);
  const RhyPrint print = {
    .anchor_mm = anchor.z_mm,
    .low_mm = rhy_wall_at (self->wall, n->s_low_mm).z_mm,
    .high_mm = rhy_wall_at (self->wall, n->s_high_mm).z_mm,
    .width_mm = n->width_mm,
    .tilt_rad = n->tilt_rad,
    .rollers = d->hold.drive == RHY_DRIVE_ROLLERS,
    .contact_mm = isnan (d->hold.contact_height_mm) ? anchor.z_mm : d->hold.contact_height_mm,
  };
  return rhy_readings_print_uncertainty (&readings, &self->fit, &print, uncertainty, NULL);
}

char *
rhy_plan_advise_reading (const RhyPlan             *self,
                         const RhyPrintUncertainty *uncertainty)
{
  g_return_val_if_fail (self != NULL && uncertainty != NULL, NULL);

  RhySlant slant;
  if (self->profile.n_rows > 0)
    return NULL;
  const RhyReadings readings = rhy_job_readings (self->job, &slant);
  return rhy_print_uncertainty_advice (&readings, uncertainty);
}

static RhyStretchRange
worst_of (RhyStretchRange a,
          RhyStretchRange b)
{
  return (RhyStretchRange) { MAX (a.major_max, b.major_max), MIN (a.minor_min, b.minor_min),
                             MAX (a.area_max, b.area_max), MIN (a.area_min, b.area_min),
                             MAX (a.angle_max_rad, b.angle_max_rad),
                             b.major_max > a.major_max ? b.major_at : a.major_at,
                             b.minor_min < a.minor_min ? b.minor_at : a.minor_at };
}

static RhyStretchRange
stretch_of (const RhyPlan *self)
{
  if (self->parts == NULL)
    return rhy_stretch_over (self->lay, self->wall, self->ink, self->n_ink);
  RhyStretchRange all = *rhy_plan_get_stretch (self->parts->pdata[0]);
  for (guint i = 1; i < self->parts->len; i++)
    {
      const RhyPlan *part = self->parts->pdata[i];
      if (part->n_ink > 0)
        all = worst_of (all, *rhy_plan_get_stretch (part));
    }
  return all;
}

guint
rhy_plan_find_line_bands (const RhyPlan *self,
                          RhyLineBand   *bands)
{
  g_return_val_if_fail (self != NULL && bands != NULL, 0);

  const RhyPlanNumbers *n = &self->numbers;
  const guint most = rhy_job_get_data (self->job)->output.bands;
  if (most <= 1 || !(n->s_high_mm > n->s_low_mm))
    return 0;
  return rhy_exposure_bands (self->wall, n->travel_per_turn_mm, n->tilt_rad, n->s_low_mm, n->s_high_mm, most, bands);
}

/* A third of a small drawing's time, and only the verdict asks. */
const RhyStretchRange *
rhy_plan_get_stretch (const RhyPlan *self)
{
  RhyPlan *known = (RhyPlan *) self;
  if (g_once_init_enter (&known->stretch_known))
    {
      known->stretch = stretch_of (self);
      g_once_init_leave (&known->stretch_known, 1);
    }
  return &known->stretch;
}

RhyArtwork *
rhy_plan_get_source (const RhyPlan *self)
{
  return self->source;
}

RhyArtwork *
rhy_plan_get_artwork (const RhyPlan *self)
{
  return self->artwork;
}

RhyMap *
rhy_plan_get_lay (const RhyPlan *self)
{
  return self->lay;
}

RhyMap *
rhy_plan_get_drive (const RhyPlan *self)
{
  return self->drive;
}

RhyMap *
rhy_plan_get_unroll (const RhyPlan *self)
{
  return self->unroll;
}

const RhyPlanNumbers *
rhy_plan_get_numbers (const RhyPlan *self)
{
  return &self->numbers;
}

const RhyArtPoint *
rhy_plan_get_ink (const RhyPlan *self,
                  gsize         *n)
{
  *n = self->n_ink;
  return self->ink;
}

double
rhy_plan_get_spacing (const RhyPlan *self)
{
  return self->spacing_mm;
}

/* ---- maps between any two spaces ---- */

/* From the wall; NULL for the wall itself. */
static RhyMap *
map_from_wall (const RhyPlan *self,
               RhySpace       to)
{
  switch (to)
    {
    case RHY_SPACE_ART:
      return rhy_map_new_inverse (self->lay);
    case RHY_SPACE_PATTERN:
      return rhy_map_ref (self->unroll);
    case RHY_SPACE_BED:
      return rhy_map_ref (self->drive);
    default:
      return NULL;
    }
}

static RhyMap *
map_to_wall (const RhyPlan *self,
             RhySpace       from)
{
  switch (from)
    {
    case RHY_SPACE_ART:
      return rhy_map_ref (self->lay);
    case RHY_SPACE_PATTERN:
      return rhy_map_new_inverse (self->unroll);
    case RHY_SPACE_BED:
      return rhy_map_new_inverse (self->drive);
    default:
      return NULL;
    }
}

RhyMap *
rhy_plan_dup_map (const RhyPlan *self,
                  RhySpace       from,
                  RhySpace       to,
                  GError       **error)
{
  g_return_val_if_fail (self != NULL, NULL);

  if (from == to)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "the two spaces are the same: nothing to map");
      return NULL;
    }
  g_autoptr (RhyMap) first = map_to_wall (self, from);
  g_autoptr (RhyMap) second = map_from_wall (self, to);
  if (first == NULL)
    return g_steal_pointer (&second);
  if (second == NULL)
    return g_steal_pointer (&first);
  return rhy_map_new_chain (first, second);
}
