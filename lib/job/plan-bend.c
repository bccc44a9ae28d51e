/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "plan-private.h"

#include "../shape/parallel.h"
#include "pictures.h"
#include "print.h"

#include <math.h>

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
  const char *name = rhy_plan_name (self);
  const char *group = self->group->group;
  if (n->past_rim_mm > 0.0 && n->past_base_mm > 0.0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: the ink reaches %.2f mm past the rim and %.2f mm past the base: make the artwork smaller",
                     name, n->past_rim_mm, n->past_base_mm);
  else if (n->past_rim_mm > 0.0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: the ink reaches %.2f mm past the rim: set [%s] At lower, or make the artwork smaller",
                     name, n->past_rim_mm, group);
  else if (n->past_base_mm > 0.0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: the ink reaches %.2f mm past the base: set [%s] At higher, or make the artwork smaller",
                     name, n->past_base_mm, group);
  else if (rhy_artwork_get_n_shapes (self->artwork) == 0)
    g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK, "%s: no outlines to draw: name an SVG file in [%s] File", name, group);
  else if (n->n_unseen > 0)
    rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                     "%s: part of the ink has no place on the wall: make the artwork narrower, or use another lay", name);
  else
    return TRUE;
  return FALSE;
}

/* All paths of an artwork, its clips' first: each by itself. */
typedef struct
{
  const RhyArtwork *artwork;
  const RhyBender  *bender;
  guint             n_clips, n;
  RhyPath         **bent;       /* NULL where there is an error */
  RhyBendReport    *reports;
  GError          **errors;
} Bending;

static const RhyPath *
path_of (const Bending *self,
         guint          i)
{
  return i < self->n_clips ? rhy_artwork_get_clip (self->artwork, i)->path
                           : rhy_artwork_get_shape (self->artwork, i - self->n_clips)->path;
}

static void
bend_each (guint    i,
           gpointer data)
{
  Bending *self = data;
  self->bent[i] = rhy_bender_bend (self->bender, path_of (self, i), &self->reports[i], &self->errors[i]);
}

static void
clear_bending (Bending *self)
{
  for (guint i = 0; i < self->n; i++)
    {
      g_clear_pointer (&self->bent[i], rhy_path_unref);
      g_clear_error (&self->errors[i]);
    }
  g_free (self->bent);
  g_free (self->reports);
  g_free (self->errors);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Bending, clear_bending)

/* @report: of the shapes; the first error is said. */
static gboolean
bend_all (Bending         *self,
          const RhyBender *bender,
          const char      *name,
          RhyBendReport   *report,
          GError         **error)
{
  self->bender = bender;
  self->bent = g_new0 (RhyPath *, self->n);
  self->reports = g_new0 (RhyBendReport, self->n);
  self->errors = g_new0 (GError *, self->n);
  rhy_parallel (self->n, 0, bend_each, self);

  *report = (RhyBendReport) { 0 };
  for (guint i = 0; i < self->n; i++)
    {
      if (self->errors[i] != NULL)
        {
          g_propagate_prefixed_error (error, g_steal_pointer (&self->errors[i]), "%s: ", name);
          return FALSE;
        }
      if (i < self->n_clips)
        continue;
      report->segments_in += self->reports[i].segments_in;
      report->segments_out += self->reports[i].segments_out;
      report->error_max_mm = MAX (report->error_max_mm, self->reports[i].error_max_mm);
    }
  return TRUE;
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

/* The greatest stretch of the lay near enough: what lightening took is a fifth of the tolerance, and the
 * stretch changes little from one point of the ink to the next. All points take as long as a small
 * drawing's bending. */
static double
greatest_stretch (const RhyPlan *self)
{
  enum { ENOUGH = 500 };
  const gsize step = self->n_ink / ENOUGH + 1;
  RhyArtPoint some[ENOUGH + 1];
  gsize n = 0;
  for (gsize i = 0; i < self->n_ink; i += step)
    some[n++] = self->ink[i];
  return n > 0 ? rhy_stretch_over (self->lay, self->wall, some, n).major_max : 1.0;
}

static RhyArtwork *
bend_through (const RhyPlan *self,
              RhyWall       *wall,
              RhyMap        *lay,
              RhyMap        *out,
              const RhyDots *dots,
              guint64       *left,
              RhyBendReport *report,
              GError       **error)
{
  const RhyArtwork *artwork = self->artwork;
  RhyPictures pictures = rhy_pictures_for (rhy_job_get_data (self->job), self->group, dots, left);
  /* What lightening took, on the wall; no more than half, whatever the lay stretches. */
  const double all = rhy_job_get_data (self->job)->output.tolerance_mm;
  const double lightened = self->numbers.lightened_mm;
  const double taken = lightened > 0.0 ? MIN (lightened * MAX (greatest_stretch (self), 1.0), 0.5 * all) : 0.0;
  const double tolerance = all - taken;
  g_autoptr (RhyBender) bender = rhy_bender_new (wall, lay, out, tolerance);
  g_autoptr (RhyMap) through = rhy_map_new_chain (lay, out);
  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  g_autofree RhyBounds *clip_boxes = g_new (RhyBounds, rhy_artwork_get_n_clips (artwork) + 1);
  g_auto (Bending) bending = { .artwork = artwork, .n_clips = (guint) rhy_artwork_get_n_clips (artwork) };
  bending.n = bending.n_clips + (guint) rhy_artwork_get_n_shapes (artwork);
  if (!bend_all (&bending, bender, rhy_plan_name (self), report, error))
    return NULL;

  for (guint i = 0; i < bending.n_clips; i++)
    {
      clip_boxes[i] = rhy_path_get_bounds (bending.bent[i]);
      rhy_artwork_builder_add_clip (builder, g_steal_pointer (&bending.bent[i]), rhy_artwork_get_clip (artwork, i)->rule);
    }
  for (guint i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (artwork, i);
      RhyPath *path = g_steal_pointer (&bending.bent[bending.n_clips + i]);
      RhyShape shape = rhy_shape_dup (source, path);
      bend_pen (through, source->path, &shape.pen);
      const gboolean painted = rhy_pictures_bend (&pictures, through, inside_clips (clip_boxes, source), &shape, error);
      rhy_artwork_builder_add_shape (builder, &shape);
      if (!painted)
        {
          g_prefix_error (error, "%s: ", rhy_plan_name (self));
          return NULL;
        }
    }
  report->error_max_mm += taken;
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}

/* All ink is on the wall, but paths reach off it by less than the tolerance, or by the margin that
 * hidden ones are left with: the same maps on a wall carried on. */
static RhyArtwork *
bend_carried_on (const RhyPlan *self,
                 RhySpace       to,
                 const RhyDots *dots,
                 guint64       *left,
                 RhyBendReport *report,
                 GError       **error)
{
  double below = 0.0;
  g_autoptr (RhyWall) wall = NULL;
  g_autoptr (RhyMap) lay = rhy_plan_lay_carried_on (self, &wall, &below);
  const RhyWallPoint mark = { self->mark.s + below, self->mark.angle };
  const RhyConic conic = { self->conic.s_mm + below, self->conic.r_mm, self->conic.sine };
  g_autoptr (RhyMap) out = NULL;
  if (lay != NULL)
    out = to == RHY_SPACE_BED ? rhy_plan_drive_on (self, wall, mark, NULL) : rhy_unroll_new (wall, &conic, NULL);
  if (out == NULL)
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                       "%s: the artwork has paths off the wall, hidden by clips: cut them off in the program that drew it",
                       rhy_plan_name (self));
      return NULL;
    }
  g_autoptr (RhyArtwork) bent = bend_through (self, wall, lay, out, dots, left, report, error);
  if (bent == NULL || to == RHY_SPACE_BED)
    return g_steal_pointer (&bent);
  /* The pattern's origin is at the lowest station, which is lower here. */
  return rhy_artwork_transformed (bent, (RhyAffine) { 1.0, 0.0, 0.0, 1.0, 0.0, -below });
}

static RhyArtwork *
bend_one (const RhyPlan *self,
          RhySpace       to,
          const RhyDots *dots,
          guint64       *left,
          RhyBendReport *report,
          GError       **error)
{
  if (!is_on_wall (self, error))
    return NULL;
  RhyMap *out = to == RHY_SPACE_BED ? self->drive : self->unroll;
  g_autoptr (GError) local = NULL;
  const guint64 had = *left;
  RhyArtwork *bent = bend_through (self, self->wall, self->lay, out, dots, left, report, &local);
  if (g_error_matches (local, RHY_ERROR, RHY_ERROR_OUTSIDE))
    {
      g_clear_error (&local);
      *left = had;
      bent = bend_carried_on (self, to, dots, left, report, &local);
    }
  if (bent == NULL)
    g_propagate_error (error, g_steal_pointer (&local));
  return bent;
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

  RhyBendReport sum = { 0 };
  guint64 left = RHY_RASTER_PIXELS_MAX;
  g_autoptr (GPtrArray) bent = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_artwork_unref);
  for (gsize i = 0; i < rhy_plan_get_n_parts (self); i++)
    {
      RhyBendReport one = { 0 };
      RhyArtwork *artwork = bend_one (rhy_plan_get_part (self, i), to, dots, &left, &one, error);
      if (artwork == NULL)
        return NULL;
      g_ptr_array_add (bent, artwork);
      sum.segments_in += one.segments_in;
      sum.segments_out += one.segments_out;
      sum.error_max_mm = MAX (sum.error_max_mm, one.error_max_mm);
    }
  if (report != NULL)
    *report = sum;
  return rhy_artwork_joined ((RhyArtwork *const *) bent->pdata, bent->len);
}
