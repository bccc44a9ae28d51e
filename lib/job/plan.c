/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/plan.h>

#include <rhyton/holds.h>
#include <rhyton/resolve.h>
#include <rhyton/stroke.h>
#include <rhyton/trim.h>

#include "job-private.h"
#include "pictures.h"
#include "print.h"

#include <math.h>

struct _RhyPlan
{
  RhyJob        *job;
  RhyWall       *wall;
  RhyFit         fit;           /* fit.wall is the wall */
  RhyProfileReport profile;     /* n_rows 0: readings */
  RhyArtwork    *source;
  RhyArtwork    *unit;          /* one copy, sized */
  RhyArtPoint   *unit_ink;
  gsize          n_unit_ink;
  RhyArtwork    *artwork;       /* all copies */
  RhyMap        *lay;
  RhyMap        *drive;
  RhyMap        *unroll;
  RhyConic       conic;         /* of the unroll */
  RhyArtPoint   *ink;
  gsize          n_ink;
  double         spacing_mm;
  RhyPlanNumbers numbers;
};

static const char *
name_of (const RhyPlan *self)
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
make_wall_of_profile (RhyPlan *self,
                      GError **error)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  g_autofree char *path = rhy_job_resolve (self->job, d->vessel.profile_file);
  self->wall = rhy_wall_new_profile_file (path, d->vessel.diameter_uncertainty_mm, &self->profile, error);
  if (self->wall == NULL)
    return FALSE;
  self->fit = (RhyFit) { .wall = rhy_wall_ref (self->wall),
                         .agrees = TRUE,
                         .model = rhy_wall_is_cone (self->wall) ? RHY_FIT_CONE : RHY_FIT_SMOOTH,
                         .slope_u_rad = NAN };
  return TRUE;
}

static gboolean
make_wall (RhyPlan *self,
           GError **error)
{
  if (rhy_job_get_data (self->job)->vessel.profile_file != NULL)
    return make_wall_of_profile (self, error);

  RhySlant slant;
  const RhyReadings readings = rhy_job_readings (self->job, &slant);
  if (!rhy_readings_fit (&readings, rhy_job_get_data (self->job)->vessel.form, &self->fit, error))
    {
      g_prefix_error (error, "%s: [Vessel]: ", name_of (self));
      return FALSE;
    }
  self->wall = rhy_wall_ref (self->fit.wall);
  return TRUE;
}

/* ---- artwork ---- */

static RhyArtwork *
with_strokes_as_asked (RhyArtwork       *sized,
                       const RhyJobData *d,
                       GError          **error)
{
  if (d->artwork.strokes == RHY_STROKES_CENTRELINE)
    return rhy_artwork_ref (sized);
  return rhy_artwork_outlined (sized, 0.1 * d->output.tolerance_mm, error);
}

/* Ink as it is seen has an extent of its own (a white page has none), and its size is what
 * was asked for: sized once to learn that extent, then resolved at its true size. */
static RhyArtwork *
seen_at_size (RhyArtwork *sized,
              double      width,
              double      height,
              double      tolerance_mm,
              GError    **error)
{
  const RhyResolveOptions options = { .tolerance_mm = 0.3 * tolerance_mm, .lightest_ink = 0.75 };
  g_autoptr (RhyArtwork) first = rhy_artwork_resolved (sized, &options, NULL, error);
  if (first == NULL)
    return NULL;
  const RhyBounds box = rhy_artwork_get_ink_box (first);
  const double extent = width > 0.0 ? box.max_x - box.min_x : box.max_y - box.min_y;
  const double scale = (width > 0.0 ? width : height) / extent;
  if (rhy_bounds_is_empty (box) || !(scale < 1.0 + 1e-6))
    {
      if (rhy_bounds_is_empty (box) || !isfinite (scale))
        return rhy_artwork_sized (first, width, height, error);
      g_autoptr (RhyArtwork) larger = rhy_artwork_transformed (sized, (RhyAffine) { scale, 0, 0, scale, 0, 0 });
      g_clear_pointer (&first, rhy_artwork_unref);
      first = rhy_artwork_resolved (larger, &options, NULL, error);
    }
  return first != NULL ? rhy_artwork_sized (first, width, height, error) : NULL;
}

static gboolean
has_artwork (const RhyJobData *d)
{
  return d->artwork.file != NULL || d->artwork.text != NULL;
}

static gboolean
size_artwork (RhyPlan *self,
              GError **error)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  const RhyBounds box = rhy_artwork_get_ink_box (self->source);
  if (!has_artwork (d) && rhy_bounds_is_empty (box))
    {
      /* A job that is only begun: the vessel can be looked at already. */
      self->unit = rhy_artwork_ref (self->source);
      return TRUE;
    }
  double width = d->artwork.width_mm;
  double height = d->artwork.height_mm;
  if (d->artwork.span_rad > 0.0)
    width = d->artwork.span_rad * rhy_wall_at (self->wall, self->numbers.anchor.s).r_mm;
  /* Neither asked for: the size that the file states. */
  if (width == 0.0 && height == 0.0 && !rhy_bounds_is_empty (box))
    {
      width = box.max_x - box.min_x;
      height = width > 0.0 ? 0.0 : box.max_y - box.min_y;
    }
  g_autoptr (RhyArtwork) sized = rhy_artwork_sized (self->source, width, height, error);
  if (sized != NULL && d->artwork.ink == RHY_INK_SEEN)
    {
      g_autoptr (RhyArtwork) whole = g_steal_pointer (&sized);
      sized = seen_at_size (whole, width, height, d->output.tolerance_mm, error);
    }
  self->unit = sized != NULL ? with_strokes_as_asked (sized, d, error) : NULL;
  if (self->unit == NULL)
    {
      g_autofree char *path = d->artwork.file != NULL ? rhy_job_resolve (self->job, d->artwork.file) : g_strdup (name_of (self));
      g_prefix_error (error, "%s: ", path);
      return FALSE;
    }

  const RhyBounds ink = rhy_artwork_get_ink_box (sized);
  const double w = ink.max_x - ink.min_x;
  const double h = ink.max_y - ink.min_y;
  self->numbers.width_mm = w;
  self->numbers.height_mm = h;
  /* About ten thousand points of a full square, and no fewer along a band of lettering. */
  self->spacing_mm = MAX (sqrt (w * h) / 100.0, MAX (w, h) / 400.0);
  self->unit_ink = rhy_artwork_sample_ink (self->unit, self->spacing_mm, &self->n_unit_ink);
  return TRUE;
}

/* ---- lay ---- */

static gboolean
find_anchor (RhyPlan *self,
             GError **error)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  const double low = rhy_wall_at (self->wall, 0.0).z_mm;
  const double high = rhy_wall_at (self->wall, rhy_wall_get_length (self->wall)).z_mm;
  const double at = isnan (d->artwork.at_mm) ? 0.5 * (low + high) : d->artwork.at_mm;
  RhyRing ring;
  if (!rhy_wall_at_height (self->wall, at, &ring))
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                       "%s: [Artwork] At: found \"%g\": allowed: a height on the wall, from %g to %g mm",
                       name_of (self), at, low, high);
      return FALSE;
    }
  self->numbers.anchor = (RhyWallPoint) { ring.s_mm, d->artwork.around_rad };
  return TRUE;
}

static RhyMap *
make_lay (const RhyPlan *self,
          RhyWall       *wall,
          RhyWallPoint   anchor,
          GError       **error)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  const double eye = d->artwork.eye_height_mm;
  const RhyLayOptions options = {
    .kind = d->artwork.lay,
    .anchor = anchor,
    .turn_rad = d->artwork.turn_rad,
    .eye_distance_mm = d->artwork.eye_distance_mm,
    .eye_height_mm = isnan (eye) ? rhy_wall_at (wall, anchor.s).z_mm : eye,
    .ink = self->unit_ink,
    .n_ink = self->n_unit_ink,
  };
  return rhy_lay_new (wall, &options, error);
}

/* ---- reach ---- */

/* How far a straight piece of slope @b can go on from radius @r before it nears the
 * axis: to a twentieth of @r, where no artwork lies any more. */
static double
room (double r,
      double taper)
{
  return taper < 0.0 ? 0.95 * r / -taper : G_MAXDOUBLE;
}

/* The wall with both ends carried on straight by up to @more_mm, so that artwork that
 * overhangs has somewhere to be measured. @below_mm: what was added below the base. */
static RhyWall *
extended (const RhyWall *wall,
          double         more_mm,
          double        *below_mm)
{
  const gsize n = rhy_wall_get_n_pieces (wall);
  const RhyRing base = rhy_wall_at (wall, 0.0);
  const RhyRing rim = rhy_wall_at (wall, rhy_wall_get_length (wall));
  const double below = MIN (more_mm, room (base.r_mm, -sin (base.slope_rad)));
  const double above = MIN (more_mm, room (rim.r_mm, sin (rim.slope_rad)));

  g_autofree RhyWallPiece *pieces = g_new (RhyWallPiece, n + 2);
  pieces[0] = (RhyWallPiece) { .length_mm = below, .slope_rad = base.slope_rad };
  for (gsize i = 0; i < n; i++)
    pieces[i + 1] = *rhy_wall_get_piece (wall, i);
  pieces[n + 1] = (RhyWallPiece) { .length_mm = above, .slope_rad = rim.slope_rad };
  *below_mm = below;
  return rhy_wall_new_pieces (base.z_mm - below * cos (base.slope_rad), base.r_mm - below * sin (base.slope_rad),
                              pieces, n + 2, NULL);
}

typedef struct
{
  double s_low, s_high, a_low, a_high;
  gsize  n;                     /* points with an image */
} Reach;

static const Reach no_reach = { G_MAXDOUBLE, -G_MAXDOUBLE, G_MAXDOUBLE, -G_MAXDOUBLE, 0 };

/* @u, @v: (array length=n): overwritten. */
static void
reach_of (const RhyMap *lay,
          gsize         n,
          double       *u,
          double       *v,
          Reach        *reach)
{
  g_autofree guint8 *valid = g_new (guint8, n + 1);
  rhy_map_forward (lay, n, u, v, u, v, valid);
  for (gsize i = 0; i < n; i++)
    if (valid[i])
      {
        reach->s_low = MIN (reach->s_low, u[i]);
        reach->s_high = MAX (reach->s_high, u[i]);
        reach->a_low = MIN (reach->a_low, v[i]);
        reach->a_high = MAX (reach->a_high, v[i]);
        reach->n++;
      }
}

static Reach
reach_of_ink (const RhyMap      *lay,
              const RhyArtPoint *ink,
              gsize              n)
{
  Reach reach = no_reach;
  g_autofree double *u = g_new (double, n + 1);
  g_autofree double *v = g_new (double, n + 1);
  for (gsize i = 0; i < n; i++)
    {
      u[i] = ink[i].u;
      v[i] = ink[i].v;
    }
  reach_of (lay, n, u, v, &reach);
  return reach;
}

/* The wall carried on, and the lay on it. @below_mm: how much further down slants start. */
static RhyMap *
lay_carried_on (const RhyPlan *self,
                RhyWall      **wall,
                double        *below_mm)
{
  const RhyPlanNumbers *n = &self->numbers;
  *wall = extended (self->wall, 2.0 * (n->width_mm + n->height_mm) + 1.0, below_mm);
  if (*wall == NULL)
    return NULL;
  return make_lay (self, *wall, (RhyWallPoint) { n->anchor.s + *below_mm, n->anchor.angle }, NULL);
}

/* Less than the job's tolerance past an end shows nowhere, and artwork made to reach the rim
 * exactly comes from its file with a rounding. */
static double
past (const RhyPlan *self,
      double         mm)
{
  return mm > rhy_job_get_data (self->job)->output.tolerance_mm ? mm : 0.0;
}

/* Measures what is off the wall, on a wall carried on: how far past either end, and how
 * many points have no place even there (behind the silhouette, beyond the apex). */
static void
measure_overhang (RhyPlan           *self,
                  const RhyArtPoint *ink,
                  gsize              n_ink)
{
  RhyPlanNumbers *n = &self->numbers;
  const double length = rhy_wall_get_length (self->wall);
  double below = 0.0;
  g_autoptr (RhyWall) wall = NULL;
  g_autoptr (RhyMap) lay = lay_carried_on (self, &wall, &below);
  if (lay == NULL)
    return;
  const Reach reach = reach_of_ink (lay, ink, n_ink);
  n->n_unseen = (gsize) ceil ((double) self->n_ink * (double) (n_ink - reach.n) / (double) n_ink);
  if (reach.n == 0)
    return;
  n->past_base_mm = past (self, below - reach.s_low);
  n->past_rim_mm = past (self, reach.s_high - below - length);
  n->s_low_mm = CLAMP (reach.s_low - below, 0.0, length);
  n->s_high_mm = CLAMP (reach.s_high - below, 0.0, length);
  n->angle_low_rad = reach.a_low;
  n->angle_high_rad = reach.a_high;
}

static void
note_reach (RhyPlan *self,
            Reach    reach)
{
  RhyPlanNumbers *n = &self->numbers;
  const double length = rhy_wall_get_length (self->wall);
  if (reach.n == 0)
    return;
  n->s_low_mm = CLAMP (reach.s_low, 0.0, length);
  n->s_high_mm = CLAMP (reach.s_high, 0.0, length);
  n->angle_low_rad = reach.a_low;
  n->angle_high_rad = reach.a_high;
}

static void
measure_reach (RhyPlan *self)
{
  RhyPlanNumbers *n = &self->numbers;
  const Reach reach = reach_of_ink (self->lay, self->ink, self->n_ink);
  const double length = rhy_wall_get_length (self->wall);

  n->s_low_mm = n->s_high_mm = n->anchor.s;
  n->angle_low_rad = n->angle_high_rad = n->anchor.angle;
  note_reach (self, reach);
  if (self->n_ink == 0
      || (reach.n == self->n_ink && reach.s_low > self->spacing_mm && reach.s_high < length - self->spacing_mm))
    return;

  /* Near an end a finer look is worth its time: there it decides. */
  gsize n_fine = 0;
  g_autofree RhyArtPoint *fine = rhy_artwork_sample_ink (self->artwork, 0.25 * self->spacing_mm, &n_fine);
  const Reach closer = reach_of_ink (self->lay, fine, n_fine);
  note_reach (self, closer);
  if (closer.n < n_fine)
    measure_overhang (self, fine, n_fine);
}

/* ---- what clips hide ---- */

static RhyBounds
grown (RhyBounds box,
       double    by)
{
  return (RhyBounds) { box.min_x - by, box.min_y - by, box.max_x + by, box.max_y + by };
}

static void
add_trimmed (RhyArtworkBuilder *builder,
             const RhyShape    *source,
             RhyBounds          box)
{
  RhyPath *path = source->n_clips > 0 ? rhy_path_trimmed (source->path, box, source->has_fill) : rhy_path_ref (source->path);
  const RhyShape shape = rhy_shape_dup (source, path);
  rhy_artwork_builder_add_shape (builder, &shape);
}

/* The artwork without what clips hide: nothing reaches further than a little beyond them, so
 * that a backdrop of any size may stand behind a small window. */
static RhyArtwork *
without_hidden (const RhyArtwork *artwork)
{
  const double margin_mm = 0.1;         /* ten times what a bend may be off */
  const RhyBounds ink = grown (rhy_artwork_get_ink_box (artwork), margin_mm);
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  for (gsize i = 0; i < rhy_artwork_get_n_clips (artwork); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, i);
      rhy_artwork_builder_add_clip (builder, rhy_path_trimmed (clip->path, ink, TRUE), clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    {
      RhyShape shape = *rhy_artwork_get_shape (artwork, i);
      const RhyAffine m = shape.pen.matrix;
      const double pen = shape.has_stroke ? shape.pen.width * (fabs (m.xx) + fabs (m.xy) + fabs (m.yx) + fabs (m.yy)) : 0.0;
      RhyBounds box = ink;
      for (gsize k = 0; k < shape.n_clips; k++)
        {
          const RhyBounds clip = grown (rhy_path_get_bounds (rhy_artwork_get_clip (artwork, shape.clips[k])->path), margin_mm);
          box = (RhyBounds) { MAX (box.min_x, clip.min_x), MAX (box.min_y, clip.min_y),
                              MIN (box.max_x, clip.max_x), MIN (box.max_y, clip.max_y) };
        }
      if (rhy_bounds_is_empty (box))
        continue;               /* hidden altogether */
      box = grown (box, pen);
      /* A fill closes what is open, a stroke does not: each gets its own. */
      if (shape.has_fill && shape.has_stroke && shape.n_clips > 0)
        {
          RhyShape fill = shape;
          fill.has_stroke = FALSE;
          add_trimmed (builder, &fill, box);
          shape.has_fill = FALSE;
        }
      add_trimmed (builder, &shape, box);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_pictures (artwork); i++)
    rhy_artwork_builder_add_picture (builder, *rhy_artwork_get_picture (artwork, i));
  return rhy_artwork_builder_end (builder);
}

static gboolean
is_off_wall (const RhyMap  *lay,
             const RhyPath *path)
{
  g_autofree double *u = g_new (double, path->n_points + 1);
  g_autofree double *v = g_new (double, path->n_points + 1);
  for (gsize i = 0; i < path->n_points; i++)
    {
      u[i] = path->points[i].x;
      v[i] = path->points[i].y;
    }
  return rhy_map_forward (lay, path->n_points, u, v, u, v, NULL) > 0;
}

/* Nobody has to cut off by hand what a clip hides already. */
static void
drop_hidden (RhyPlan *self)
{
  gboolean off = FALSE;
  for (gsize i = 0; i < rhy_artwork_get_n_clips (self->artwork) && !off; i++)
    off = is_off_wall (self->lay, rhy_artwork_get_clip (self->artwork, i)->path);
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (self->artwork) && !off; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (self->artwork, i);
      off = shape->n_clips > 0 && is_off_wall (self->lay, shape->path);
    }
  if (!off)
    return;
  RhyArtwork *all = self->artwork;
  self->artwork = without_hidden (all);
  rhy_artwork_unref (all);
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
                       name_of (self), d->hold.contact_height_mm, rhy_wall_at (self->wall, 0.0).z_mm,
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

/* Energy per mm^2 of wall against that per mm^2 of drawing: the drawing's dx dy over
 * the wall's ds r da, with dx = cos (b - t) ds and dy = T/2pi da. Source: derived here. */
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
      const RhyRing ring = rhy_wall_at (self->wall, s);
      const double e = n->travel_per_turn_mm / (2.0 * G_PI * ring.r_mm) * cos (ring.slope_rad - n->tilt_rad);
      n->exposure_min = MIN (n->exposure_min, e);
      n->exposure_max = MAX (n->exposure_max, e);
    }
}

static RhyMap *
drive_on (const RhyPlan *self,
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

static gboolean
make_drive (RhyPlan *self,
            GError **error)
{
  RhyPlanNumbers *n = &self->numbers;
  n->best_tilt_rad = rhy_drive_best_tilt (self->wall, n->s_low_mm, n->s_high_mm, NULL);
  n->tilt_rad = choose_tilt (self);
  if (!choose_travel (self, error))
    return FALSE;

  self->drive = drive_on (self, self->wall, n->anchor, error);
  if (self->drive == NULL)
    {
      g_prefix_error (error, "%s: [Hold] Tilt: ", name_of (self));
      return FALSE;
    }
  rhy_drive_focus_range (self->wall, n->tilt_rad, n->anchor.s, n->s_low_mm, n->s_high_mm,
                         &n->focus_least_mm, &n->focus_greatest_mm);
  measure_exposure (self);
  return TRUE;
}

/* ---- unroll ---- */

static void
find_conic (RhyPlan *self)
{
  const RhyRing base = rhy_wall_at (self->wall, 0.0);
  self->conic = (RhyConic) { 0.0, base.r_mm, sin (base.slope_rad) };
  if (rhy_wall_is_cone (self->wall))
    return;

  /* No sheet lies on this wall: unroll on the cone that fits best where the ink is. */
  g_autofree double *s = g_new (double, self->n_ink + 1);
  g_autofree double *a = g_new (double, self->n_ink + 1);
  g_autofree guint8 *valid = g_new (guint8, self->n_ink + 1);
  for (gsize i = 0; i < self->n_ink; i++)
    {
      s[i] = self->ink[i].u;
      a[i] = self->ink[i].v;
    }
  rhy_map_forward (self->lay, self->n_ink, s, a, s, a, valid);
  gsize n = 0;
  for (gsize i = 0; i < self->n_ink; i++)
    if (valid[i])
      s[n++] = s[i];
  self->conic = rhy_conic_fit (self->wall, s, n, self->numbers.anchor.s);
}

static gboolean
make_unroll (RhyPlan *self,
             GError **error)
{
  find_conic (self);
  self->unroll = rhy_unroll_new (self->wall, &self->conic, error);
  return self->unroll != NULL;
}

/* ---- the plan ---- */

static void
clear (gpointer data)
{
  RhyPlan *self = data;
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

/* ---- copies ---- */

/* Where a copy turned on by @angle goes in the art's own plane. Turning the wall about
 * its axis moves what a rolled sheet carries about the sheet's apex, and what a
 * ringed one carries sideways: a motion of the art's plane either way, read off
 * three points sent to the wall, turned, and brought back. A fourth tells whether
 * it is one: seen and least-stretch lays have no such motion.
 */
static gboolean
motion_for (const RhyMap *lay,
            double        step,
            double        angle,
            RhyAffine    *motion)
{
  for (int corner = 0; corner < 4; corner++)
    {
      const double h = corner & 1 ? -step : step;
      const double k = corner & 2 ? -step : step;
      double u[4] = { 0.0, h, 0.0, h };
      double v[4] = { 0.0, 0.0, k, k };
      if (rhy_map_forward (lay, 4, u, v, u, v, NULL) > 0)
        continue;
      for (int i = 0; i < 4; i++)
        v[i] += angle;
      if (rhy_map_inverse (lay, 4, u, v, u, v, NULL) > 0)
        continue;
      *motion = (RhyAffine) { (u[1] - u[0]) / h, (v[1] - v[0]) / h, (u[2] - u[0]) / k, (v[2] - v[0]) / k, u[0], v[0] };
      return hypot (u[3] - u[1] - u[2] + u[0], v[3] - v[1] - v[2] + v[0]) < 1e-7;
    }
  return FALSE;
}

/* Repeat= copies evenly around, each turned no more than half a turn either way. */
static void
make_copies (RhyPlan *self)
{
  const guint n = rhy_job_get_data (self->job)->artwork.repeat;
  const double step = MIN (5.0, 0.125 * rhy_wall_get_length (self->wall));
  g_autofree RhyAffine *motions = g_new (RhyAffine, n);
  gboolean all = n > 1 && self->n_unit_ink > 0;
  motions[0] = RHY_AFFINE_IDENTITY;
  for (guint k = 1; k < n && all; k++)
    all = motion_for (self->lay, step, 2.0 * G_PI * (2 * k <= n ? (double) k : (double) k - (double) n) / n, &motions[k]);

  self->numbers.copies = all ? n : 1;
  self->artwork = all ? rhy_artwork_copies (self->unit, motions, n) : rhy_artwork_ref (self->unit);
  self->n_ink = self->n_unit_ink * self->numbers.copies;
  self->ink = g_new (RhyArtPoint, self->n_ink + 1);
  for (gsize i = 0; i < self->n_ink; i++)
    {
      const RhyArtPoint p = self->unit_ink[i % self->n_unit_ink];
      const RhyPoint q = rhy_affine_apply (motions[i / self->n_unit_ink], (RhyPoint) { p.u, p.v });
      self->ink[i] = (RhyArtPoint) { q.x, q.y };
    }
  const Reach reach = reach_of_ink (self->lay, self->unit_ink, self->n_unit_ink);
  self->numbers.copy_span_rad = reach.n > 0 ? reach.a_high - reach.a_low : 0.0;
}

static gboolean
work_out (RhyPlan *self,
          GError **error)
{
  if (!make_wall (self, error))
    return FALSE;
  if (!find_anchor (self, error) || (self->unit == NULL && !size_artwork (self, error)))
    return FALSE;
  self->lay = make_lay (self, self->wall, self->numbers.anchor, error);
  if (self->lay == NULL)
    {
      g_prefix_error (error, "%s: [Artwork] Lay: ", name_of (self));
      return FALSE;
    }
  make_copies (self);
  measure_reach (self);
  drop_hidden (self);
  self->numbers.stretch = rhy_stretch_over (self->lay, self->wall, self->ink, self->n_ink);
  if (!make_drive (self, error))
    return FALSE;
  if (!make_unroll (self, error))
    {
      g_prefix_error (error, "%s: ", name_of (self));
      return FALSE;
    }
  return TRUE;
}

RhyPlan *
rhy_plan_new (RhyJob       *job,
              RhyArtwork   *artwork,
              GCancellable *cancellable,
              GError      **error)
{
  g_return_val_if_fail (job != NULL, NULL);

  g_autoptr (RhyPlan) self = g_atomic_rc_box_new0 (RhyPlan);
  self->job = rhy_job_ref (job);
  if (artwork != NULL)
    self->source = rhy_artwork_ref (artwork);
  else if (!has_artwork (rhy_job_get_data (job)))
    self->source = rhy_artwork_builder_end (rhy_artwork_builder_new ());
  else
    self->source = rhy_job_load_artwork (job, cancellable, error);
  if (self->source == NULL || !work_out (self, error))
    return NULL;
  return g_steal_pointer (&self);
}

static gboolean
is_sized_alike (const RhyJobData *a,
                const RhyJobData *b)
{
  return a->artwork.width_mm == b->artwork.width_mm && a->artwork.height_mm == b->artwork.height_mm
         && a->artwork.strokes == b->artwork.strokes && a->artwork.ink == b->artwork.ink
         && a->output.tolerance_mm == b->output.tolerance_mm
         && a->artwork.span_rad == 0.0 && b->artwork.span_rad == 0.0
         && g_strcmp0 (a->artwork.file, b->artwork.file) == 0 && g_strcmp0 (a->artwork.text, b->artwork.text) == 0
         && g_strcmp0 (a->artwork.font, b->artwork.font) == 0;
}

RhyPlan *
rhy_plan_renewed (RhyPlan *self,
                  RhyJob  *job,
                  GError **error)
{
  g_return_val_if_fail (self != NULL && job != NULL, NULL);

  if (!is_sized_alike (rhy_job_get_data (self->job), rhy_job_get_data (job)))
    return rhy_plan_new (job, self->source, NULL, error);
  g_autoptr (RhyPlan) plan = g_atomic_rc_box_new0 (RhyPlan);
  plan->job = rhy_job_ref (job);
  plan->source = rhy_artwork_ref (self->source);
  plan->unit = rhy_artwork_ref (self->unit);
  plan->unit_ink = g_memdup2 (self->unit_ink, self->n_unit_ink * sizeof (RhyArtPoint));
  plan->n_unit_ink = self->n_unit_ink;
  plan->spacing_mm = self->spacing_mm;
  plan->numbers.width_mm = self->numbers.width_mm;
  plan->numbers.height_mm = self->numbers.height_mm;
  return work_out (plan, error) ? g_steal_pointer (&plan) : NULL;
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

/* ---- bending ---- */

/* The map's mean scale over a path's nodes, and the orthogonal matrix nearest to its
 * derivative at their middle (how it turns, and whether it mirrors, what a pen draws). */
static void
scale_over (const RhyMap  *map,
            const RhyPath *path,
            double        *scale,
            RhyAffine     *turn)
{
  const gsize n = path->n_points;
  g_autofree double *x = g_new (double, n + 1);
  g_autofree double *y = g_new (double, n + 1);
  g_autofree guint8 *valid = g_new (guint8, n + 1);
  g_autofree RhyJacobian *j = g_new (RhyJacobian, n + 1);
  const RhyBounds box = rhy_path_get_bounds (path);
  for (gsize i = 0; i < n; i++)
    {
      x[i] = path->points[i].x;
      y[i] = path->points[i].y;
    }
  x[n] = 0.5 * (box.min_x + box.max_x);
  y[n] = 0.5 * (box.min_y + box.max_y);
  rhy_map_jacobian (map, n + 1, x, y, x, y, j, valid);

  double sum = 0.0;
  gsize count = 0;
  for (gsize i = 0; i < n; i++)
    if (valid[i])
      {
        sum += sqrt (fabs (j[i].xx * j[i].yy - j[i].xy * j[i].yx));
        count++;
      }
  *scale = count > 0 ? sum / (double) count : 1.0;

  /* Nearest rotation (or rotation with a mirror) to a 2 x 2 matrix: the sum of the matrix
   * and its cofactors, made unit. Source: derived here (polar decomposition in the plane). */
  const gsize m = valid[n] ? n : 0;
  const RhyJacobian c = j[m];
  const double hand = c.xx * c.yy - c.xy * c.yx < 0.0 ? -1.0 : 1.0;
  const double p = c.xx + hand * c.yy;
  const double q = c.yx - hand * c.xy;
  const double length = hypot (p, q);
  *turn = RHY_AFFINE_IDENTITY;
  if (valid[m] && length > 0.0)
    *turn = (RhyAffine) { p / length, q / length, -hand * q / length, hand * p / length, 0.0, 0.0 };
}

static void
bend_pen (const RhyMap  *map,
          const RhyPath *path,
          RhyPen        *pen)
{
  double scale;
  RhyAffine turn;
  scale_over (map, path, &scale, &turn);
  pen->width *= scale;
  pen->dash_offset *= scale;
  for (gsize i = 0; i < pen->n_dashes; i++)
    pen->dashes[i] *= scale;
  pen->matrix = rhy_affine_then (pen->matrix, turn);
}

static gboolean
is_on_wall (const RhyPlan *self,
            GError       **error)
{
  const RhyPlanNumbers *n = &self->numbers;
  const char *name = name_of (self);
  if (n->past_rim_mm > 0.0 && n->past_base_mm > 0.0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: the ink reaches %.2f mm past the rim and %.2f mm past the base: make the artwork smaller",
                     name, n->past_rim_mm, n->past_base_mm);
  else if (n->past_rim_mm > 0.0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: the ink reaches %.2f mm past the rim: set [Artwork] At lower, or make the artwork smaller",
                     name, n->past_rim_mm);
  else if (n->past_base_mm > 0.0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: the ink reaches %.2f mm past the base: set [Artwork] At higher, or make the artwork smaller",
                     name, n->past_base_mm);
  else if (rhy_artwork_get_n_shapes (self->artwork) == 0)
    g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK, "%s: no outlines to draw: name an SVG file in [Artwork] File", name);
  else if (n->n_unseen > 0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: part of the ink has no place on the wall: make the artwork narrower, or use another lay", name);
  else
    return TRUE;
  return FALSE;
}

static RhyPath *
bend_path (const RhyBender *bender,
           const RhyPath   *path,
           RhyBendReport   *report,
           const char      *name,
           GError         **error)
{
  RhyPath *bent = rhy_bender_bend (bender, path, report, error);
  if (bent == NULL)
    g_prefix_error (error, "%s: ", name);
  return bent;
}

static RhyBounds
inside_clips (const RhyBounds *clip_boxes,
              const RhyShape  *shape)
{
  RhyBounds box = { -G_MAXDOUBLE, -G_MAXDOUBLE, G_MAXDOUBLE, G_MAXDOUBLE };
  for (gsize k = 0; k < shape->n_clips; k++)
    {
      const RhyBounds clip = clip_boxes[shape->clips[k]];
      box = (RhyBounds) { MAX (box.min_x, clip.min_x), MAX (box.min_y, clip.min_y),
                          MIN (box.max_x, clip.max_x), MIN (box.max_y, clip.max_y) };
    }
  return box;
}

static RhyArtwork *
bend_through (const RhyPlan *self,
              RhyWall       *wall,
              RhyMap        *lay,
              RhyMap        *out,
              const RhyDots *dots,
              RhyBendReport *report,
              GError       **error)
{
  const RhyArtwork *artwork = self->artwork;
  RhyPictures pictures = rhy_pictures_for (rhy_job_get_data (self->job), dots);
  const double tolerance = rhy_job_get_data (self->job)->output.tolerance_mm;
  g_autoptr (RhyBender) bender = rhy_bender_new (wall, lay, out, tolerance);
  g_autoptr (RhyMap) through = rhy_map_new_chain (lay, out);
  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  g_autofree RhyBounds *clip_boxes = g_new (RhyBounds, rhy_artwork_get_n_clips (artwork) + 1);
  *report = (RhyBendReport) { 0 };

  for (gsize i = 0; i < rhy_artwork_get_n_clips (artwork); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, i);
      RhyPath *path = bend_path (bender, clip->path, NULL, name_of (self), error);
      if (path == NULL)
        return NULL;
      clip_boxes[i] = rhy_path_get_bounds (path);
      rhy_artwork_builder_add_clip (builder, path, clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (artwork, i);
      RhyPath *path = bend_path (bender, source->path, report, name_of (self), error);
      if (path == NULL)
        return NULL;
      RhyShape shape = rhy_shape_dup (source, path);
      bend_pen (through, source->path, &shape.pen);
      const gboolean painted = rhy_pictures_bend (&pictures, through, inside_clips (clip_boxes, source), &shape, error);
      rhy_artwork_builder_add_shape (builder, &shape);
      if (!painted)
        {
          g_prefix_error (error, "%s: ", name_of (self));
          return NULL;
        }
    }
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}

/* All ink is on the wall, but paths reach off it by less than the tolerance, or by the margin that
 * hidden ones are left with: the same maps on a wall carried on. */
static RhyArtwork *
bend_carried_on (const RhyPlan *self,
                 RhySpace       to,
                 const RhyDots *dots,
                 RhyBendReport *report,
                 GError       **error)
{
  double below = 0.0;
  g_autoptr (RhyWall) wall = NULL;
  g_autoptr (RhyMap) lay = lay_carried_on (self, &wall, &below);
  const RhyWallPoint mark = { self->numbers.anchor.s + below, self->numbers.anchor.angle };
  const RhyConic conic = { self->conic.s_mm + below, self->conic.r_mm, self->conic.sine };
  g_autoptr (RhyMap) out = NULL;
  if (lay != NULL)
    out = to == RHY_SPACE_BED ? drive_on (self, wall, mark, NULL) : rhy_unroll_new (wall, &conic, NULL);
  if (out == NULL)
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                       "%s: the artwork has paths off the wall, hidden by clips: cut them off in the program that drew it",
                       name_of (self));
      return NULL;
    }
  g_autoptr (RhyArtwork) bent = bend_through (self, wall, lay, out, dots, report, error);
  if (bent == NULL || to == RHY_SPACE_BED)
    return g_steal_pointer (&bent);
  /* The pattern's origin is at the lowest station, which is lower here. */
  return rhy_artwork_transformed (bent, (RhyAffine) { 1.0, 0.0, 0.0, 1.0, 0.0, -below });
}

RhyArtwork *
rhy_plan_bend (const RhyPlan *self,
               RhySpace       to,
               RhyBendReport *report,
               GError       **error)
{
  return rhy_plan_bend_dots (self, to, NULL, report, error);
}

RhyArtwork *
rhy_plan_bend_dots (const RhyPlan *self,
                    RhySpace       to,
                    const RhyDots *dots,
                    RhyBendReport *report,
                    GError       **error)
{
  g_return_val_if_fail (self != NULL && (to == RHY_SPACE_BED || to == RHY_SPACE_PATTERN), NULL);

  if (!is_on_wall (self, error))
    return NULL;
  RhyBendReport own = { 0 };
  RhyMap *out = to == RHY_SPACE_BED ? self->drive : self->unroll;
  g_autoptr (GError) local = NULL;
  RhyArtwork *bent = bend_through (self, self->wall, self->lay, out, dots, &own, &local);
  if (g_error_matches (local, RHY_ERROR, RHY_ERROR_OUTSIDE))
    {
      g_clear_error (&local);
      bent = bend_carried_on (self, to, dots, &own, &local);
    }
  if (bent == NULL)
    g_propagate_error (error, g_steal_pointer (&local));
  else if (report != NULL)
    *report = own;
  return bent;
}
