/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "plan-private.h"

#include <rhyton/light.h>
#include <rhyton/lettering.h>
#include <rhyton/resolve.h>
#include <rhyton/stroke.h>
#include <rhyton/trim.h>

#include "print.h"
#include "traced.h"

#include <math.h>

/* ---- the artwork at its size ---- */

static double
tolerance_of (const RhyPlan *self)
{
  return rhy_job_get_data (self->job)->output.tolerance_mm;
}

static RhyArtwork *
with_strokes_as_asked (const RhyPlan *self,
                       RhyArtwork    *sized,
                       GError       **error)
{
  if (self->group->strokes == RHY_STROKES_CENTRELINE)
    return rhy_artwork_ref (sized);
  return rhy_artwork_outlined (sized, 0.1 * tolerance_of (self), error);
}

static gsize
count_segments (const RhyArtwork *artwork)
{
  gsize n = 0;
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    n += rhy_path_count_segments (rhy_artwork_get_shape (artwork, i)->path);
  return n;
}

/* What has many more nodes than the tolerance asks for (traced outlines, polylines out of
 * other programs) comes out as curves; bending leaves room for what that costs. */
static void
lighten (RhyPlan *self)
{
  const double spent_mm = 0.2 * tolerance_of (self);
  RhyLightReport report = { 0 };
  RhyArtwork *lighter = rhy_artwork_lightened (self->unit, spent_mm, &report);
  rhy_artwork_unref (self->unit);
  self->unit = lighter;
  self->numbers.lightened_mm = report.subpaths_merged > 0 ? spent_mm : 0.0;
  self->numbers.nodes_in = count_segments (self->source);
  self->numbers.nodes_out = report.segments_out;
}

/* Ink as it is seen has an extent of its own (a white page has none), and its size is what
 * was asked for: sized once to learn that extent, then resolved at its true size. */
static RhyArtwork *
seen_at_size (RhyArtwork   *sized,
              double        width,
              double        height,
              double        tolerance_mm,
              guint         shades,
              GCancellable *cancellable,
              GError      **error)
{
  const RhyResolveOptions options = { .tolerance_mm = 0.3 * tolerance_mm, .lightest_ink = 0.75, .seconds = 30.0, .shades = shades };
  g_autoptr (RhyArtwork) first = rhy_artwork_resolved (sized, &options, cancellable, error);
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
      first = rhy_artwork_resolved (larger, &options, cancellable, error);
    }
  return first != NULL ? rhy_artwork_sized (first, width, height, error) : NULL;
}

gboolean
rhy_plan_has_artwork (const RhyJobArtwork *group)
{
  return group->file != NULL || group->text != NULL;
}

static gboolean
size_artwork (RhyPlan      *self,
              GCancellable *cancellable,
              GError      **error)
{
  const RhyJobArtwork *a = self->group;
  const RhyBounds box = rhy_artwork_get_ink_box (self->source);
  if (!rhy_plan_has_artwork (a) && rhy_bounds_is_empty (box))
    {
      /* A job that is only begun: the vessel can be looked at already. */
      self->unit = rhy_artwork_ref (self->source);
      return TRUE;
    }
  double width = a->width_mm;
  double height = a->height_mm;
  if (a->span_rad > 0.0)
    width = a->span_rad * rhy_wall_at (self->wall, self->numbers.anchor.s).r_mm;
  if (a->font_size_mm > 0.0 && !rhy_bounds_is_empty (box))
    width = (box.max_x - box.min_x) * a->font_size_mm / RHY_LETTERING_EM_MM;
  /* Neither asked for: the size that the file states. */
  if (width == 0.0 && height == 0.0 && !rhy_bounds_is_empty (box))
    {
      width = box.max_x - box.min_x;
      height = width > 0.0 ? 0.0 : box.max_y - box.min_y;
    }
  /* A long name gets smaller letters rather than more room. */
  const double would_be = width > 0.0 ? width : height * (box.max_x - box.min_x) / (box.max_y - box.min_y);
  self->numbers.shrink = a->width_max_mm > 0.0 && would_be > a->width_max_mm ? a->width_max_mm / would_be : 1.0;
  width *= self->numbers.shrink;
  height *= self->numbers.shrink;
  g_autoptr (RhyArtwork) all = rhy_artwork_sized (self->source, width, height, error);
  g_autoptr (RhyArtwork) sized = all != NULL ? rhy_traced_at_size (all, a, tolerance_of (self), width, height, error) : NULL;
  if (sized != NULL && a->ink != RHY_INK_DRAWN)
    {
      g_autoptr (RhyArtwork) whole = g_steal_pointer (&sized);
      const guint shades = a->ink == RHY_INK_SHADES ? a->ink_shades : 0;
      sized = seen_at_size (whole, width, height, tolerance_of (self), shades, cancellable, error);
    }
  self->unit = sized != NULL ? with_strokes_as_asked (self, sized, error) : NULL;
  if (self->unit == NULL)
    {
      g_autofree char *path = a->file != NULL ? rhy_job_resolve (self->job, a->file) : g_strdup (rhy_plan_name (self));
      g_prefix_error (error, "%s: ", path);
      return FALSE;
    }

  lighten (self);
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
  const RhyJobArtwork *a = self->group;
  const double low = rhy_wall_at (self->wall, 0.0).z_mm;
  const double high = rhy_wall_at (self->wall, rhy_wall_get_length (self->wall)).z_mm;
  const double at = isnan (a->at_mm) ? 0.5 * (low + high) : a->at_mm;
  RhyRing ring;
  if (!rhy_wall_at_height (self->wall, at, &ring))
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                       "%s: [%s] At: found \"%g\": allowed: a height on the wall, from %g to %g mm",
                       rhy_plan_name (self), a->group, at, low, high);
      return FALSE;
    }
  self->numbers.anchor = (RhyWallPoint) { ring.s_mm, a->around_rad };
  return TRUE;
}

static RhyMap *
make_lay (const RhyPlan *self,
          RhyWall       *wall,
          RhyWallPoint   anchor,
          GError       **error)
{
  const RhyJobArtwork *a = self->group;
  const double eye = a->eye_height_mm;
  const RhyLayOptions options = {
    .kind = a->lay,
    .anchor = anchor,
    .turn_rad = a->turn_rad,
    .eye_distance_mm = a->eye_distance_mm,
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
RhyMap *
rhy_plan_lay_carried_on (const RhyPlan *self,
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
  return mm > tolerance_of (self) ? mm : 0.0;
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
  g_autoptr (RhyMap) lay = rhy_plan_lay_carried_on (self, &wall, &below);
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

/* The lay's size where it is, at another place: true to length there, as on a cylinder. */
static RhyReach
carried_to (const RhyPlan *self,
            RhyWallPoint   to)
{
  const RhyWallPoint from = self->numbers.anchor;
  const Reach reach = reach_of_ink (self->lay, self->unit_ink, self->n_unit_ink);
  if (reach.n == 0)
    return (RhyReach) { G_MAXDOUBLE, -G_MAXDOUBLE, G_MAXDOUBLE, -G_MAXDOUBLE };
  const double wider = rhy_wall_at (self->wall, from.s).r_mm / rhy_wall_at (self->wall, to.s).r_mm;
  return (RhyReach) { to.s + reach.s_low - from.s, to.s + reach.s_high - from.s,
                      to.angle + wider * (reach.a_low - from.angle), to.angle + wider * (reach.a_high - from.angle) };
}

RhyReach
rhy_plan_reach_at (const RhyPlan *self,
                   RhyWallPoint   anchor)
{
  g_autoptr (RhyMap) lay = self->group->lay != RHY_LAY_LEAST_STRETCH ? make_lay (self, self->wall, anchor, NULL) : NULL;
  if (lay == NULL)
    return carried_to (self, anchor);
  const Reach reach = reach_of_ink (lay, self->unit_ink, self->n_unit_ink);
  return (RhyReach) { reach.s_low, reach.s_high, reach.a_low, reach.a_high };
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
  const guint n = self->group->repeat;
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

/* The other ways to say what size came out. */
static void
name_size (RhyPlan *self)
{
  RhyPlanNumbers *n = &self->numbers;
  const RhyBounds box = rhy_artwork_get_ink_box (self->source);
  n->span_rad = n->width_mm / rhy_wall_at (self->wall, n->anchor.s).r_mm;
  n->font_size_mm = 0.0;
  if (self->group->text != NULL && box.max_x > box.min_x)
    n->font_size_mm = RHY_LETTERING_EM_MM * n->width_mm / (box.max_x - box.min_x);
}

gboolean
rhy_plan_place (RhyPlan      *self,
                GCancellable *cancellable,
                GError      **error)
{
  if (!find_anchor (self, error) || (self->unit == NULL && !size_artwork (self, cancellable, error)))
    return FALSE;
  name_size (self);
  self->lay = make_lay (self, self->wall, self->numbers.anchor, error);
  if (self->lay == NULL)
    {
      g_prefix_error (error, "%s: [%s] Lay: ", rhy_plan_name (self), self->group->group);
      return FALSE;
    }
  make_copies (self);
  measure_reach (self);
  drop_hidden (self);
  return TRUE;
}
