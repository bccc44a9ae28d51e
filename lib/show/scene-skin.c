/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "scene-private.h"

#include <math.h>

#include "../art/late-cairo.h"
#include "burn.h"

/* --- placing the drawing on the wall -------------------------------------- */

static void
place_by_burn (gconstpointer data,
               gsize         n,
               const double *x,
               const double *y,
               double       *s,
               double       *angle,
               guint8       *valid)
{
  rhy_burn_points (data, n, x, y, s, angle, valid);
}

typedef struct
{
  RhyPath *path;                /* x angle, y s */
  RhyPath *gapped;              /* for strokes: interrupted off the wall */
  double   pen[4];              /* the pen's space to wall mm: xx yx xy yy; y up */
} Placed;

typedef struct
{
  const RhyScene *scene;
  RhyBurn         burn;
  RhyPlacing      placing;
  gconstpointer   data;
  Placed         *shapes;
  Placed         *clips;
  gsize           n_shapes, n_clips;
  RhyBounds       box;
  RhySceneSkin    skin;
  GPtrArray      *frames;       /* RhyPath: each artwork's ink box laid on the wall */
} Job;

/* How a small step of the drawing lands on the wall, mm: by differences, the
 * same for either way of placing. */
static gboolean
local_scale (const Job *job,
             RhyPoint   at,
             double     m[4])
{
  const double h = 0.02;
  const double x[4] = { at.x - h, at.x + h, at.x, at.x };
  const double y[4] = { at.y, at.y, at.y - h, at.y + h };
  double s[4], a[4];
  guint8 valid[4];
  job->placing (job->data, 4, x, y, s, a, valid);
  if (!(valid[0] && valid[1] && valid[2] && valid[3]))
    return FALSE;
  const double r = rhy_wall_at (rhy_plan_get_wall (job->scene->plan), 0.25 * (s[0] + s[1] + s[2] + s[3])).r_mm;
  m[0] = r * (a[1] - a[0]) / (2.0 * h);
  m[1] = (s[1] - s[0]) / (2.0 * h);
  m[2] = r * (a[3] - a[2]) / (2.0 * h);
  m[3] = (s[3] - s[2]) / (2.0 * h);
  return TRUE;
}

static double
pen_reach (const RhyPen *pen)
{
  const RhyAffine m = pen->matrix;
  const double grow = pen->join == RHY_JOIN_MITER ? MIN (MAX (pen->miter_limit, 1.5), 4.0) : 1.5;
  return 0.5 * pen->width * grow * MAX (hypot (m.xx, m.yx), hypot (m.xy, m.yy));
}

static RhyBounds
grow (RhyBounds b,
      double    angle,
      double    s)
{
  if (rhy_bounds_is_empty (b))
    return b;
  return (RhyBounds) { b.min_x - angle, b.min_y - s, b.max_x + angle, b.max_y + s };
}

static void
place_shape (Job            *job,
             const RhyShape *shape,
             Placed         *placed)
{
  RhyWall *wall = rhy_plan_get_wall (job->scene->plan);
  placed->path = rhy_texture_place (shape->path, job->placing, job->data, FALSE);
  RhyBounds box = rhy_path_get_bounds (placed->path);
  if (shape->has_stroke && shape->path->n_points > 0)
    {
      double m[4] = { 1.0, 0.0, 0.0, 1.0 };
      gboolean known = FALSE;
      for (gsize i = 0; i < shape->path->n_points && !known; i++)
        known = local_scale (job, shape->path->points[i], m);
      const RhyAffine p = shape->pen.matrix;
      placed->pen[0] = m[0] * p.xx + m[2] * p.yx;
      placed->pen[1] = m[1] * p.xx + m[3] * p.yx;
      placed->pen[2] = m[0] * p.xy + m[2] * p.yy;
      placed->pen[3] = m[1] * p.xy + m[3] * p.yy;
      placed->gapped = rhy_texture_place (shape->path, job->placing, job->data, TRUE);
      const double reach = 1.3 * pen_reach (&shape->pen);
      box = grow (box, reach / rhy_wall_narrowest (wall, 0.0, rhy_wall_get_length (wall)).r_mm, reach);
    }
  job->box = rhy_bounds_union (job->box, box);
}

/* All that is placed alike. */
static void
place_range (Job  *job,
             gsize first_shape,
             gsize n_shapes,
             gsize first_clip,
             gsize n_clips)
{
  const RhyArtwork *art = job->scene->drawing;
  for (gsize i = first_shape; i < first_shape + n_shapes; i++)
    place_shape (job, rhy_artwork_get_shape (art, i), &job->shapes[i]);
  for (gsize i = first_clip; i < first_clip + n_clips; i++)
    job->clips[i].path = rhy_texture_place (rhy_artwork_get_clip (art, i)->path, job->placing, job->data, FALSE);
}

/* Each artwork by its own lay; what a machine burns, all by the machine. */
static void
place_all (Job *job)
{
  const RhyArtwork *art = job->scene->drawing;
  job->n_shapes = rhy_artwork_get_n_shapes (art);
  job->n_clips = rhy_artwork_get_n_clips (art);
  job->shapes = g_new0 (Placed, job->n_shapes + 1);
  job->clips = g_new0 (Placed, job->n_clips + 1);
  job->box = RHY_BOUNDS_EMPTY;
  if (job->scene->through_machine)
    {
      place_range (job, 0, job->n_shapes, 0, job->n_clips);
      return;
    }
  gsize shape = 0;
  gsize clip = 0;
  for (gsize i = 0; i < rhy_plan_get_n_parts (job->scene->plan); i++)
    {
      const RhyPlan *part = rhy_plan_get_part (job->scene->plan, i);
      const gsize n_shapes = rhy_artwork_get_n_shapes (rhy_plan_get_artwork (part));
      const gsize n_clips = rhy_artwork_get_n_clips (rhy_plan_get_artwork (part));
      job->data = rhy_plan_get_lay (part);
      place_range (job, shape, n_shapes, clip, n_clips);
      shape += n_shapes;
      clip += n_clips;
    }
}

static void
clear_placed (Placed *placed,
              gsize   n)
{
  for (gsize i = 0; i < n; i++)
    {
      g_clear_pointer (&placed[i].path, rhy_path_unref);
      g_clear_pointer (&placed[i].gapped, rhy_path_unref);
    }
  g_free (placed);
}

/* --- painting skins ------------------------------------------------------- */

static void
trace_placed (cairo_t       *cr,
              double         r_ref,
              const RhyPath *path)
{
  cairo_new_path (cr);
  for (gsize i = 0; i < path->n_verbs; i++)
    if (path->verbs[i] == RHY_PATH_MOVE)
      cairo_move_to (cr, r_ref * path->points[i].x, path->points[i].y);
    else
      cairo_line_to (cr, r_ref * path->points[i].x, path->points[i].y);
}

static cairo_fill_rule_t
cairo_rule (RhyFillRule rule)
{
  return rule == RHY_FILL_EVENODD ? CAIRO_FILL_RULE_EVEN_ODD : CAIRO_FILL_RULE_WINDING;
}

static void
stroke_placed (cairo_t        *cr,
               double          r_ref,
               double          r_here,
               const RhyShape *shape,
               const Placed   *placed)
{
  static const cairo_line_cap_t caps[] = { CAIRO_LINE_CAP_BUTT, CAIRO_LINE_CAP_ROUND, CAIRO_LINE_CAP_SQUARE };
  static const cairo_line_join_t joins[] = { CAIRO_LINE_JOIN_MITER, CAIRO_LINE_JOIN_ROUND, CAIRO_LINE_JOIN_BEVEL };
  const double k = r_ref / r_here;
  const cairo_matrix_t m = { k * placed->pen[0], placed->pen[1], k * placed->pen[2], placed->pen[3], 0.0, 0.0 };
  if (!(fabs (m.xx * m.yy - m.xy * m.yx) > 1e-12))
    return;

  trace_placed (cr, r_ref, placed->gapped);
  cairo_save (cr);
  cairo_transform (cr, &m);
  cairo_set_line_width (cr, shape->pen.width);
  cairo_set_line_cap (cr, caps[shape->pen.cap]);
  cairo_set_line_join (cr, joins[shape->pen.join]);
  cairo_set_miter_limit (cr, shape->pen.miter_limit);
  cairo_set_dash (cr, shape->pen.dashes, (int) shape->pen.n_dashes, shape->pen.dash_offset);
  cairo_stroke (cr);
  cairo_restore (cr);
}

/* @box: what of the drawing the paint is wanted over */
static void
set_paint (cairo_t        *cr,
           double          r_ref,
           const Job      *job,
           RhyBounds       box,
           RhyColour       c,
           const RhyPaint *paint)
{
  /* Over a map of colours the artwork's own would be read as stretch. */
  if (job->skin == RHY_SCENE_SKIN_PLAIN)
    rhy_texture_set_source (cr, r_ref, job->placing, job->data, box, c, paint);
  else
    cairo_set_source_rgba (cr, 0.10, 0.10, 0.12, 0.72 * c.a);
}

static double
radius_at (const Job     *job,
           const RhyPath *path)
{
  const RhyBounds b = rhy_path_get_bounds (path);
  RhyWall *wall = rhy_plan_get_wall (job->scene->plan);
  return rhy_wall_at (wall, rhy_bounds_is_empty (b) ? 0.0 : 0.5 * (b.min_y + b.max_y)).r_mm;
}

static void
paint_ink (cairo_t   *cr,
           double     r_ref,
           const Job *job)
{
  const RhyArtwork *art = job->scene->drawing;
  for (gsize i = 0; i < job->n_shapes; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (art, i);
      const Placed *placed = &job->shapes[i];
      cairo_save (cr);
      for (gsize k = 0; k < shape->n_clips; k++)
        {
          trace_placed (cr, r_ref, job->clips[shape->clips[k]].path);
          cairo_set_fill_rule (cr, cairo_rule (rhy_artwork_get_clip (art, shape->clips[k])->rule));
          cairo_clip (cr);
        }
      if (shape->has_fill)
        {
          set_paint (cr, r_ref, job, rhy_path_get_bounds (shape->path), shape->fill, shape->fill_paint);
          trace_placed (cr, r_ref, placed->path);
          cairo_set_fill_rule (cr, cairo_rule (shape->rule));
          cairo_fill (cr);
        }
      if (shape->has_stroke && placed->gapped != NULL)
        {
          const double reach = pen_reach (&shape->pen);
          set_paint (cr, r_ref, job, grow (rhy_path_get_bounds (shape->path), reach, reach), shape->stroke, shape->stroke_paint);
          stroke_placed (cr, r_ref, radius_at (job, placed->path), shape, placed);
        }
      cairo_restore (cr);
    }
}

void
rhy_scene_stretch_colour (double x,
                          double rgb[3])
{
  static const double stops[7][3] = {
    { 0.03, 0.19, 0.42 }, { 0.13, 0.44, 0.71 }, { 0.57, 0.77, 0.87 }, { 0.97, 0.97, 0.96 },
    { 0.99, 0.75, 0.44 }, { 0.85, 0.45, 0.08 }, { 0.50, 0.22, 0.02 },
  };
  const double p = CLAMP (0.5 * (x + 1.0), 0.0, 1.0) * 6.0;
  const int i = MIN ((int) p, 5);
  for (int c = 0; c < 3; c++)
    rgb[c] = stops[i][c] + (p - i) * (stops[i + 1][c] - stops[i][c]);
}

double
rhy_scene_stretch_end (const RhyPlan *plan)
{
  static const double ends[] = { 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 75.0, 100.0 };
  const RhyStretchRange range = *rhy_plan_get_stretch (plan);
  const double most = 100.0 * MAX (fabs (range.major_max - 1.0), fabs (range.minor_min - 1.0));
  for (gsize i = 0; i < G_N_ELEMENTS (ends); i++)
    if (most <= ends[i] * 1.0001)
      return ends[i];
  return ends[G_N_ELEMENTS (ends) - 1];
}

/* One number with a sign for a map in colours: the principal stretch that is
 * farther from true. Where both are as far (equal-area lays), widening is told. */
static double
signed_stretch (RhyStretch s)
{
  return log (s.major) >= -log (s.minor) * (1.0 - 1e-4) ? s.major - 1.0 : s.minor - 1.0;
}

#define FIELD 96

static void
paint_field (cairo_t       *cr,
             double         r_ref,
             const Job     *job,
             const RhyPlan *part,
             const RhyPath *frame)
{
  RhyWall *wall = rhy_plan_get_wall (part);
  RhyMap *lay = rhy_plan_get_lay (part);
  const RhyBounds b = rhy_path_get_bounds (frame);
  const double reach_percent = rhy_scene_stretch_end (job->scene->plan);
  if (rhy_bounds_is_empty (b))
    return;
  cairo_surface_t *image = cairo_image_surface_create (CAIRO_FORMAT_RGB24, FIELD, FIELD);
  if (cairo_surface_status (image) != CAIRO_STATUS_SUCCESS)
    {
      cairo_surface_destroy (image);
      return;
    }
  guint8 *rows = cairo_image_surface_get_data (image);
  const int stride = cairo_image_surface_get_stride (image);
  double s[FIELD], a[FIELD], u[FIELD], v[FIELD];
  RhyJacobian jacobians[FIELD];
  guint8 valid[FIELD], also[FIELD];

  for (int y = 0; y < FIELD; y++)
    {
      for (int x = 0; x < FIELD; x++)
        {
          a[x] = b.min_x + (b.max_x - b.min_x) * (x + 0.5) / FIELD;
          s[x] = b.min_y + (b.max_y - b.min_y) * (y + 0.5) / FIELD;
        }
      rhy_map_inverse (lay, FIELD, s, a, u, v, valid);
      rhy_map_jacobian (lay, FIELD, u, v, s, a, jacobians, also);
      guint32 *row = (guint32 *) (void *) (rows + stride * y);
      for (int x = 0; x < FIELD; x++)
        {
          double value = 0.0;
          double rgb[3];
          if (valid[x] && also[x])
            value = signed_stretch (rhy_stretch_from_jacobian (jacobians[x], rhy_wall_at (wall, s[x]).r_mm));
          rhy_scene_stretch_colour (100.0 * value / reach_percent, rgb);
          row[x] = (guint32) lrint (rgb[0] * 255.0) << 16 | (guint32) lrint (rgb[1] * 255.0) << 8
                   | (guint32) lrint (rgb[2] * 255.0);
        }
    }
  cairo_surface_mark_dirty (image);

  cairo_save (cr);
  trace_placed (cr, r_ref, frame);
  cairo_clip (cr);
  cairo_translate (cr, r_ref * b.min_x, b.min_y);
  cairo_scale (cr, r_ref * (b.max_x - b.min_x) / FIELD, (b.max_y - b.min_y) / FIELD);
  cairo_set_source_surface (cr, image, 0.0, 0.0);
  cairo_pattern_set_extend (cairo_get_source (cr), CAIRO_EXTEND_PAD);
  cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_BILINEAR);
  cairo_paint_with_alpha (cr, 0.92);
  cairo_restore (cr);
  cairo_surface_destroy (image);
}

/* Tissot's indicatrix, drawn as it comes out (dark) round the circle that it
 * should be (pale, dashed), so that a few percent can be seen. */
static void
paint_circles (cairo_t       *cr,
               double         r_ref,
               const RhyPlan *part)
{
  RhyWall *wall = rhy_plan_get_wall (part);
  RhyMap *lay = rhy_plan_get_lay (part);
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (part));
  if (rhy_bounds_is_empty (box))
    return;
  const double w = box.max_x - box.min_x;
  const double h = box.max_y - box.min_y;
  /* Five along the longer side, or as many, up to sixteen, as fit into a narrow band. */
  const double pitch = MIN (MAX (w, h) / 5.0, MAX (MIN (w, h), MAX (w, h) / 16.0));
  const int across = MAX (1, (int) lrint (w / pitch));
  const int down = MAX (1, (int) lrint (h / pitch));
  const double radius = MIN (0.38 * pitch, 0.46 * MAX (MIN (w, h), 0.02 * MAX (w, h)));
  const double line = MAX (0.02 * pitch, 0.12);

  for (int i = 0; i < across * down; i++)
    {
      const RhyPoint at = { box.min_x + w * (i % across + 0.5) / across,
                            box.min_y + h * (i / across + 0.5) / down };
      RhyPoint on_wall;
      if (!rhy_map_point (lay, at, &on_wall))
        continue;
      const double r = rhy_wall_at (wall, on_wall.x).r_mm;
      g_autoptr (RhyPath) art = rhy_path_new ();
      rhy_path_add_circle (art, at.x, at.y, radius);
      g_autoptr (RhyPath) laid = rhy_texture_place (art, rhy_place_by_map, lay, FALSE);
      const double dash[2] = { 4.0 * line, 3.0 * line };

      cairo_new_path (cr);
      cairo_save (cr);
      cairo_translate (cr, r_ref * on_wall.y, on_wall.x);
      cairo_scale (cr, r_ref / r, 1.0);
      cairo_arc (cr, 0.0, 0.0, radius, 0.0, 2.0 * G_PI);
      cairo_restore (cr);
      cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.9);
      cairo_set_line_width (cr, line);
      cairo_set_dash (cr, dash, 2, 0.0);
      cairo_stroke (cr);
      cairo_set_dash (cr, NULL, 0, 0.0);

      trace_placed (cr, r_ref, laid);
      cairo_close_path (cr);
      cairo_set_source_rgba (cr, 0.05, 0.05, 0.08, 0.95);
      cairo_set_line_width (cr, 1.3 * line);
      cairo_stroke (cr);
    }
}

static void
paint_skin (cairo_t *cr,
            double   r_ref,
            gpointer data)
{
  const Job *job = data;
  const gsize n = rhy_plan_get_n_parts (job->scene->plan);
  for (gsize i = 0; job->skin != RHY_SCENE_SKIN_PLAIN && i < n; i++)
    paint_field (cr, r_ref, job, rhy_plan_get_part (job->scene->plan, i), job->frames->pdata[i]);
  paint_ink (cr, r_ref, job);
  for (gsize i = 0; job->skin == RHY_SCENE_SKIN_CIRCLES && i < n; i++)
    paint_circles (cr, r_ref, rhy_plan_get_part (job->scene->plan, i));
}

static RhyPath *
lay_frame (const RhyPlan *plan)
{
  const RhyBounds b = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  if (rhy_bounds_is_empty (b))
    return rhy_path_new ();
  const double spare = 0.02 * MAX (b.max_x - b.min_x, b.max_y - b.min_y);
  g_autoptr (RhyPath) frame = rhy_path_new ();
  rhy_path_move_to (frame, b.min_x - spare, b.min_y - spare);
  rhy_path_line_to (frame, b.max_x + spare, b.min_y - spare);
  rhy_path_line_to (frame, b.max_x + spare, b.max_y + spare);
  rhy_path_line_to (frame, b.min_x - spare, b.max_y + spare);
  rhy_path_close (frame);
  return rhy_texture_place (frame, rhy_place_by_map, rhy_plan_get_lay (plan), FALSE);
}

RhyTexture *
rhy_scene_make_skin (const RhyScene *self,
                     RhySceneSkin    skin,
                     GError        **error)
{
  RhyWall *wall = rhy_plan_get_wall (self->plan);
  Job job = { .scene = self, .skin = skin };
  if (self->through_machine)
    {
      job.burn = rhy_burn_for_plan (self->plan);
      job.placing = place_by_burn;
      job.data = &job.burn;
    }
  else
    {
      job.placing = rhy_place_by_map;
      job.data = rhy_plan_get_lay (self->plan);
    }
  place_all (&job);
  job.frames = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_path_unref);
  RhyBounds box = job.box;
  for (gsize i = 0; skin != RHY_SCENE_SKIN_PLAIN && i < rhy_plan_get_n_parts (self->plan); i++)
    {
      RhyPath *frame = lay_frame (rhy_plan_get_part (self->plan, i));
      g_ptr_array_add (job.frames, frame);
      box = rhy_bounds_union (box, rhy_path_get_bounds (frame));
    }

  const double r_ref = rhy_bounds_is_empty (box) ? rhy_wall_at (wall, 0.0).r_mm
                                                 : rhy_wall_widest (wall, box.min_y, box.max_y).r_mm;
  RhyTexture *texture = rhy_texture_new (box, rhy_wall_get_length (wall), r_ref, self->finest_per_mm,
                                         paint_skin, &job, error);
  clear_placed (job.shapes, job.n_shapes);
  clear_placed (job.clips, job.n_clips);
  g_ptr_array_unref (job.frames);
  return texture;
}
