/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/scene.h>

#include <math.h>
#include <string.h>

#include "../shape/parallel.h"
#include "burn.h"
#include "../art/late-cairo.h"
#include "lathe.h"
#include "texture.h"

typedef float v4 __attribute__ ((vector_size (16)));
typedef int v4i __attribute__ ((vector_size (16)));

/* Light is a table over the normal as the eye sees it: a still studio that goes
 * with the camera, so a turned vessel is lit the same from every side. */
#define BALL 128

typedef enum { SKIN_PLAIN, SKIN_STRETCH, SKIN_CIRCLES, SKIN_N } Skin;

struct _RhyScene
{
  RhyPlan    *plan;
  RhyLathe   *lathe;
  gboolean    through_machine;
  RhyArtwork *drawing;          /* what is placed: the art, or the bed drawing */
  double      finest_per_mm;    /* of what is painted on the wall */
  double      reach_percent;    /* end of the stretch map's scale */
  float       light[BALL * BALL];

  /* Made when first looked at; a skin never changes after that. */
  GMutex      lock;
  RhyTexture *skins[SKIN_N];
};

/* --- placing the drawing on the wall -------------------------------------- */

static void
place_by_lay (gconstpointer data,
              gsize         n,
              const double *x,
              const double *y,
              double       *s,
              double       *angle,
              guint8       *valid)
{
  rhy_map_forward (data, n, x, y, s, angle, valid);
}

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
  Skin            skin;
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
  if (job->skin == SKIN_PLAIN)
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

/* Blue through near white to orange: told apart with any common kind of colour
 * blindness, and the two ends differ in lightness from the middle alike. */
static void
stretch_colour (double x,
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
          stretch_colour (100.0 * value / job->scene->reach_percent, rgb);
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

static RhyPath *
circle (double x, double y, double r)
{
  const double k = 4.0 / 3.0 * (G_SQRT2 - 1.0) * r;
  RhyPath *p = rhy_path_new ();
  rhy_path_move_to (p, x + r, y);
  rhy_path_cubic_to (p, x + r, y + k, x + k, y + r, x, y + r);
  rhy_path_cubic_to (p, x - k, y + r, x - r, y + k, x - r, y);
  rhy_path_cubic_to (p, x - r, y - k, x - k, y - r, x, y - r);
  rhy_path_cubic_to (p, x + k, y - r, x + r, y - k, x + r, y);
  rhy_path_close (p);
  return p;
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
      g_autoptr (RhyPath) art = circle (at.x, at.y, radius);
      g_autoptr (RhyPath) laid = rhy_texture_place (art, place_by_lay, lay, FALSE);
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
  for (gsize i = 0; job->skin != SKIN_PLAIN && i < n; i++)
    paint_field (cr, r_ref, job, rhy_plan_get_part (job->scene->plan, i), job->frames->pdata[i]);
  paint_ink (cr, r_ref, job);
  for (gsize i = 0; job->skin == SKIN_CIRCLES && i < n; i++)
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
  return rhy_texture_place (frame, place_by_lay, rhy_plan_get_lay (plan), FALSE);
}

static RhyTexture *
make_skin (const RhyScene *self,
           Skin            skin,
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
      job.placing = place_by_lay;
      job.data = rhy_plan_get_lay (self->plan);
    }
  place_all (&job);
  job.frames = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_path_unref);
  RhyBounds box = job.box;
  for (gsize i = 0; skin != SKIN_PLAIN && i < rhy_plan_get_n_parts (self->plan); i++)
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

/* --- the scene ------------------------------------------------------------ */

static double
bell (double x,
      double middle,
      double width)
{
  const double q = (x - middle) / width;
  return exp (-q * q);
}

/* Satin metal in a room with a tall window on the left and a low one on the
 * right: calm across the middle, where the artwork is read. */
static float
light_on (double x,
          double y)
{
  const double edge = MIN (x * x + y * y, 1.0);
  const double z = sqrt (1.0 - edge);
  double light = 0.60 + 0.13 * z + 0.10 * y;
  light += 0.20 * bell (x, -0.50, 0.17) + 0.06 * bell (x, 0.66, 0.12);
  light -= 0.30 * pow (fabs (x), 6.0);
  light -= 0.05 * bell (x, 0.30, 0.25);
  return (float) light;
}

static void
make_light (RhyScene *self)
{
  for (int j = 0; j < BALL; j++)
    for (int i = 0; i < BALL; i++)
      self->light[j * BALL + i] = light_on (2.0 * i / (BALL - 1) - 1.0, 2.0 * j / (BALL - 1) - 1.0);
}

/* The end of the scale: a round number that holds what is under the ink. */
static double
scale_end (const RhyPlan *plan)
{
  static const double ends[] = { 1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 40.0, 50.0, 75.0, 100.0 };
  const RhyStretchRange range = *rhy_plan_get_stretch (plan);
  const double most = 100.0 * MAX (fabs (range.major_max - 1.0), fabs (range.minor_min - 1.0));
  for (gsize i = 0; i < G_N_ELEMENTS (ends); i++)
    if (most <= ends[i] * 1.0001)
      return ends[i];
  return ends[G_N_ELEMENTS (ends) - 1];
}

static void
clear_scene (gpointer data)
{
  RhyScene *self = data;
  g_clear_pointer (&self->plan, rhy_plan_unref);
  g_clear_pointer (&self->lathe, rhy_lathe_free);
  g_clear_pointer (&self->drawing, rhy_artwork_unref);
  for (int i = 0; i < SKIN_N; i++)
    g_clear_pointer (&self->skins[i], rhy_texture_free);
  g_mutex_clear (&self->lock);
}

RhyScene *
rhy_scene_new_burnt (RhyPlan *plan,
                     GError **error)
{
  RhyScene *scene = rhy_scene_new (plan, TRUE, NULL);
  return scene != NULL ? scene : rhy_scene_new (plan, FALSE, error);
}

RhyScene *
rhy_scene_ref (RhyScene *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_scene_unref (RhyScene *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear_scene);
}

static RhyArtwork *
all_artwork (const RhyPlan *plan)
{
  g_autoptr (GPtrArray) all = g_ptr_array_new ();
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    g_ptr_array_add (all, rhy_plan_get_artwork (rhy_plan_get_part (plan, i)));
  return rhy_artwork_joined ((RhyArtwork *const *) all->pdata, all->len);
}

static RhyScene *
make_scene (RhyPlan  *plan,
            gboolean  through_machine,
            double    finest_per_mm,
            GError  **error)
{
  RhyArtwork *drawing = through_machine ? rhy_plan_bend (plan, RHY_SPACE_BED, NULL, error) : all_artwork (plan);
  if (drawing == NULL)
    return NULL;

  RhyScene *self = g_atomic_rc_box_new0 (RhyScene);
  g_mutex_init (&self->lock);
  self->plan = rhy_plan_ref (plan);
  self->drawing = drawing;
  self->through_machine = through_machine;
  self->finest_per_mm = finest_per_mm;
  self->lathe = rhy_lathe_new (rhy_plan_get_wall (plan));
  self->reach_percent = scale_end (plan);
  make_light (self);
  self->skins[SKIN_PLAIN] = make_skin (self, SKIN_PLAIN, error);
  if (self->skins[SKIN_PLAIN] == NULL)
    g_clear_pointer (&self, rhy_scene_unref);
  return self;
}

RhyScene *
rhy_scene_new (RhyPlan  *plan,
               gboolean  through_machine,
               GError  **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  return make_scene (plan, through_machine, RHY_TEXTURE_FINEST_PER_MM, error);
}

RhyScene *
rhy_scene_new_draft (RhyPlan *plan,
                     double   per_mm,
                     GError **error)
{
  g_return_val_if_fail (plan != NULL && per_mm > 0.0, NULL);

  return make_scene (plan, FALSE, CLAMP (per_mm, 1.0, RHY_TEXTURE_FINEST_PER_MM), error);
}

/* Where memory is short for another skin the plain one is shown. */
static const RhyTexture *
get_skin (RhyScene *self,
          Skin      skin)
{
  g_mutex_lock (&self->lock);
  if (self->skins[skin] == NULL)
    self->skins[skin] = make_skin (self, skin, NULL);
  const RhyTexture *texture = self->skins[skin] != NULL ? self->skins[skin] : self->skins[SKIN_PLAIN];
  g_mutex_unlock (&self->lock);
  return texture;
}

/* --- looking at the texture ----------------------------------------------- */

/* Pixels are mixed two channels at a time, in whole numbers: every second byte of
 * a word has room above it for a product with 256. */
typedef struct { guint32 rb, ag; } Mix;

static inline Mix
mix_words (guint32 a,
           guint32 b,
           guint32 w)           /* of b, of 256 */
{
  return (Mix) { (((a & 0xff00ffu) * (256 - w) + (b & 0xff00ffu) * w) >> 8) & 0xff00ffu,
                 ((((a >> 8) & 0xff00ffu) * (256 - w) + ((b >> 8) & 0xff00ffu) * w) >> 8) & 0xff00ffu };
}

static inline Mix
mix (Mix     a,
     Mix     b,
     guint32 w)
{
  return (Mix) { ((a.rb * (256 - w) + b.rb * w) >> 8) & 0xff00ffu, ((a.ag * (256 - w) + b.ag * w) >> 8) & 0xff00ffu };
}

static Mix
texel (const RhyTexture *texture,
       int               level,
       float             x,
       float             y)
{
  const int w = texture->width[level];
  const int h = texture->height[level];
  const float inverse = 1.0f / (float) (1 << level);
  /* In 1/256 of a pixel; a shift of a negative number rounds down, as floor() does. */
  const int fx = (int) ((x * inverse + 0.5f) * 256.0f) - 256;
  const int fy = (int) ((y * inverse + 0.5f) * 256.0f) - 256;
  int x0 = fx >> 8;
  int x1 = x0 + 1;
  int y0 = fy >> 8;
  int y1 = y0 + 1;
  if ((guint) x0 >= (guint) (w - 1) || (guint) y0 >= (guint) (h - 1))
    {
      if (texture->wraps)
        {
          x0 = x0 < 0 ? x0 + w : x0 >= w ? x0 - w : x0;
          x1 = x1 >= w ? x1 - w : x1 < 0 ? x1 + w : x1;
        }
      x0 = CLAMP (x0, 0, w - 1);
      x1 = CLAMP (x1, 0, w - 1);
      y0 = CLAMP (y0, 0, h - 1);
      y1 = CLAMP (y1, 0, h - 1);
    }
  const guint32 *a = texture->pixels[level] + (gsize) w * (gsize) y0;
  const guint32 *b = texture->pixels[level] + (gsize) w * (gsize) y1;
  if ((a[x0] | a[x1] | b[x0] | b[x1]) == 0)
    return (Mix) { 0, 0 };
  const guint32 p = (guint32) fx & 255;
  return mix (mix_words (a[x0], a[x1], p), mix_words (b[x0], b[x1], p), (guint32) fy & 255);
}

static Mix
between_levels (const RhyTexture *texture,
                float             level,
                float             x,
                float             y)
{
  const int k = (int) level;
  if (k >= texture->n_levels - 1)
    return texel (texture, texture->n_levels - 1, x, y);
  const guint32 w = (guint32) ((level - (float) k) * 256.0f);
  const Mix fine = texel (texture, k, x, y);
  return w == 0 ? fine : mix (fine, texel (texture, k + 1, x, y), w);
}

/* The power of two in a number >= 1, with the rest run straight between powers:
 * 0.09 off at most, and one level's blend is no sharper than that. */
static inline float
rough_log2 (float v)
{
  union { float f; guint32 u; } bits = { .f = v };
  return (float) (int) (bits.u - 0x3f800000u) * (1.0f / 8388608.0f);
}

/* A pixel covers a long thin patch of the wall near the silhouette: several
 * samples along its length, at the coarseness of its width. */
#define MOST_TAPS 6

typedef struct { float x, y; } Step;

/* Returns: premultiplied B, G, R, A, 0 to 255. */
static v4
look_up (const RhyTexture *texture,
         float             x,
         float             y,
         Step              across,
         Step              down)
{
  float major2 = across.x * across.x + across.y * across.y;
  const float other2 = down.x * down.x + down.y * down.y;
  Step axis = across;
  if (other2 > major2)
    {
      major2 = other2;
      axis = down;
    }
  const v4 nothing = { 0.0f, 0.0f, 0.0f, 0.0f };
  if (major2 < 1024.0f && !texture->cells[((int) y >> 5) * texture->cells_across + ((int) x >> 5)])
    return nothing;
  const float major = sqrtf (major2);
  /* Width across the long axis, not the other step's length: the two are rarely square. */
  const float minor = MAX (fabsf (across.x * down.y - across.y * down.x) / MAX (major, 1e-6f), 1.0f);
  if (major <= 1.5f * minor)
    {
      const Mix one = between_levels (texture, rough_log2 (MAX (0.5f * (major + minor), 1.0f)), x, y);
      return (v4) { (float) (one.rb & 0xffff), (float) (one.ag & 0xffff), (float) (one.rb >> 16), (float) (one.ag >> 16) };
    }

  const int taps = (int) MIN (ceilf (major / minor), (float) MOST_TAPS);
  const float level = rough_log2 (MAX (minor, major / MOST_TAPS));
  const float width = (float) texture->width[0];
  Mix sum = { 0, 0 };
  for (int i = 0; i < taps; i++)
    {
      const float k = ((float) i + 0.5f) / (float) taps - 0.5f;
      float sx = x + k * axis.x;
      if (texture->wraps)
        sx = sx < 0.0f ? sx + width : sx >= width ? sx - width : sx;
      const Mix one = between_levels (texture, level, CLAMP (sx, 0.0f, width),
                                      CLAMP (y + k * axis.y, 0.0f, (float) texture->height[0]));
      sum.rb += one.rb;
      sum.ag += one.ag;
    }
  const v4 total = { (float) (sum.rb & 0xffff), (float) (sum.ag & 0xffff), (float) (sum.rb >> 16), (float) (sum.ag >> 16) };
  return total * (1.0f / (float) taps);
}

/* --- shading -------------------------------------------------------------- */

typedef struct
{
  const RhyScene   *scene;
  const RhyLathe   *lathe;
  const RhyTexture *texture;
  RhyEye            eye;
  float             turn;
  gboolean          dark;
  guint8           *pixels;
  int               width, height, stride;
  float             s_end;
  float             tick_reach;         /* mm of the wall from either end */
  float             rise;               /* 1 over the height that the table darkens */
  float             shadow_fade;
  int               shadow_top, shadow_bottom;  /* rows it may fall on */
} Picture;

/* What a row's rays met, worked out together so that the sums run as vectors. */
typedef struct
{
  float x[RHY_LANES], z[RHY_LANES];
  float nearer[RHY_LANES];                      /* -uy */
  float r[RHY_LANES], ux[RHY_LANES], uy[RHY_LANES];
  float s[RHY_LANES], sin[RHY_LANES], cos[RHY_LANES];
  float right[RHY_LANES], up[RHY_LANES];        /* of the outward normal, as the eye sees it */
  float around[RHY_LANES];                      /* from the side that faces the eye */
  float tx[RHY_LANES], ty[RHY_LANES];           /* in the texture */
  float ax[RHY_LANES], ay[RHY_LANES];           /* texture covered by a pixel to the right, */
  float bx[RHY_LANES], by[RHY_LANES];           /* and by one up */
  float shadow[RHY_LANES];
} __attribute__ ((aligned (32))) Surface;

/* atan2 of many unit vectors, to 2e-6 rad, a tenth of a micron on a mug: an odd
 * polynomial of the smaller over the larger. Source: derived here (least squares
 * at Chebyshev nodes on [0, 1]). No branch, so that it runs as vectors. */
RHY_RAYS static void
angles_of (int          n,
           const float *restrict y,
           const float *restrict x,
           float       *restrict angle)
{
  for (int k = 0; k < n; k++)
    {
      const float ax = fabsf (x[k]);
      const float ay = fabsf (y[k]);
      const float small = ax < ay ? ax : ay;
      const float large = ax < ay ? ay : ax;
      const float q = small / (large + 1e-20f);
      const float q2 = q * q;
      const float p = q * (0.99999611f + q2 * (-0.33317376f + q2 * (0.19807869f + q2 * (-0.13233510f
                           + q2 * (0.07962632f + q2 * (-0.03360627f + q2 * 0.00681246f))))));
      const float up = ax < ay ? (float) G_PI_2 - p : p;
      const float side = x[k] < 0.0f ? (float) G_PI - up : up;
      angle[k] = y[k] < 0.0f ? -side : side;
    }
}

static inline float
light_at (const RhyScene *scene,
          float           x,
          float           y)
{
  const float fx = (x * 0.5f + 0.5f) * (BALL - 1);
  const float fy = (y * 0.5f + 0.5f) * (BALL - 1);
  const int i = CLAMP ((int) fx, 0, BALL - 2);
  const int j = CLAMP ((int) fy, 0, BALL - 2);
  const float p = fx - (float) i;
  const float q = fy - (float) j;
  const float *l = scene->light + j * BALL + i;
  const float a = l[0] + (l[1] - l[0]) * p;
  const float b = l[BALL] + (l[BALL + 1] - l[BALL]) * p;
  return a + (b - a) * q;
}

static inline v4
grey (float light)
{
  /* B, G, R, A: metal is a little cool; never as bright as to run over a byte. */
  const float l = MIN (light, 0.99f);
  return (v4) { l * 257.0f, l * 253.0f, l * 249.0f, 255.0f };
}

static v4
background (const Picture *pic,
            float          row)
{
  const float down = row / (float) pic->height;
  const v4 light = { 251.0f - 22.0f * down, 249.0f - 24.0f * down, 247.0f - 27.0f * down, 255.0f };
  const v4 dark = { 52.0f - 20.0f * down, 47.0f - 19.0f * down, 44.0f - 18.0f * down, 255.0f };
  return pic->dark ? dark : light;
}

/* A soft shadow on the table that the vessel stands on: dark out to three
 * quarters of the base, gone at a little over its double. */
#define SHADOW_ASIDE 0.12f

static inline float
shadow_reach (const RhyLathe *l)
{
  return 1.15f * l->r_base + 0.08f * (float) l->reach;
}

RHY_RAYS static G_GNUC_NO_INLINE void
cast_shadow (const Picture *pic,
             int            n,
             const RhyRays *restrict rays,
             float         *restrict shadow)
{
  const RhyLathe *l = pic->lathe;
  const float inverse = 1.0f / shadow_reach (l);
  const float aside = SHADOW_ASIDE * l->r_base;
  const float dark = pic->shadow_fade * (pic->dark ? 0.55f : 0.34f);
  for (int k = 0; k < n; k++)
    {
      const float dz = MIN (rays->dz[k], -1e-3f);
      const float t = (l->z_base - rays->oz[k]) / dz;
      const float x = rays->ox[k] + t * rays->dx[k] - aside;
      const float y = rays->oy[k] + t * rays->dy[k];
      const float far = 1.0f - (sqrtf (x * x + y * y) - 0.75f * l->r_base) * inverse;
      const float q = far > 0.0f ? MIN (far, 1.0f) : 0.0f;
      shadow[k] = 1.0f - dark * q * q * (3.0f - 2.0f * q);
    }
}

static void
find_shadow_rows (Picture *pic)
{
  const RhyLathe *l = pic->lathe;
  const double r = 0.75 * l->r_base + shadow_reach (l) + SHADOW_ASIDE * l->r_base;
  double px, front, back, side;
  pic->shadow_fade = CLAMP ((pic->eye.sin_lift - 0.02f) * 8.0f, 0.0f, 1.0f);
  pic->shadow_top = pic->shadow_bottom = 0;
  if (pic->shadow_fade <= 0.0f)
    return;
  rhy_eye_project (&pic->eye, 0.0, -r, l->z_base, &px, &front);
  rhy_eye_project (&pic->eye, 0.0, r, l->z_base, &px, &back);
  rhy_eye_project (&pic->eye, r, 0.0, l->z_base, &px, &side);
  pic->shadow_top = (int) CLAMP (floor (MIN (MIN (front, back), side)) - 1.0, 0.0, (double) pic->height);
  pic->shadow_bottom = (int) CLAMP (ceil (MAX (MAX (front, back), side)) + 1.0, 0.0, (double) pic->height);
}

static gboolean
row_has_shadow (const Picture *pic,
                int            y)
{
  return y >= pic->shadow_top && y < pic->shadow_bottom;
}

/* Where each ray's wall is in the texture, and how much of it a pixel covers. A
 * step of a mm around and up the wall moves (ar, au) and (sr, su) mm in the
 * picture; the inverse turns pixels into wall. */
RHY_RAYS static G_GNUC_NO_INLINE void
find_in_texture (const Picture *pic,
                 int            n,
                 Surface       *restrict f)
{
  const RhyTexture *texture = pic->texture;
  const float sin_lift = pic->eye.sin_lift;
  const float cos_lift = pic->eye.cos_lift;
  const float turn = (float) remainder (pic->turn - texture->angle_mid, 2.0 * G_PI);
  const float half = 0.5f * (float) texture->width[0];
  const float per_rad = (float) texture->per_rad;
  const float per_mm = (float) texture->per_mm;
  const float s_top = (float) texture->s_top;
  const float px = 1.0f / pic->eye.per_mm;

  for (int k = 0; k < n; k++)
    {
      /* Both parts are within half a turn: one turn more or less brings the sum in. */
      const float sum = f->around[k] + turn;
      const float low = sum < (float) -G_PI ? sum + (float) (2.0 * G_PI) : sum;
      const float in = low > (float) G_PI ? low - (float) (2.0 * G_PI) : low;
      const float au = f->ux[k] * sin_lift;
      const float ar = -f->uy[k];
      const float sr = f->ux[k] * f->sin[k];
      const float su = f->uy[k] * f->sin[k] * sin_lift + f->cos[k] * cos_lift;
      const float det = ar * su - au * sr;
      const float size = fabsf (det) < 0.02f ? 0.02f : fabsf (det);
      const float q = px / (det < 0.0f ? -size : size);
      const float col = per_rad * q / (f->r[k] + 1e-6f);
      f->tx[k] = half + in * per_rad;
      f->ty[k] = (s_top - f->s[k]) * per_mm;
      f->ax[k] = su * col;
      f->ay[k] = au * per_mm * q;
      f->bx[k] = -sr * col;
      f->by[k] = -ar * per_mm * q;
    }
}

/* Not inlined: within a larger function the loops are no longer made vectors. */
RHY_RAYS static G_GNUC_NO_INLINE void
survey (const Picture *pic,
        int            n,
        gboolean       shadowed,
        const RhyRays *restrict rays,
        const RhyHits *restrict hits,
        Surface       *restrict f)
{
  const float sin_lift = pic->eye.sin_lift;
  const float cos_lift = pic->eye.cos_lift;

  for (int k = 0; k < n; k++)
    {
      /* Of what is no band only the place is asked. */
      const RhyBand *band = &pic->lathe->bands[MAX (hits->met[k], 0)];
      const float z = rays->oz[k] + hits->t[k] * rays->dz[k];
      const float dz = z - band->z0;
      f->z[k] = z;
      f->s[k] = band->s0 + dz * band->s_per_z;
      f->sin[k] = band->sin0 + dz * band->sin_per_z;
      f->cos[k] = band->cos0 + dz * band->cos_per_z;
    }
  for (int k = 0; k < n; k++)
    {
      const float x = rays->ox[k] + hits->t[k] * rays->dx[k];
      const float y = rays->oy[k] + hits->t[k] * rays->dy[k];
      const float r = sqrtf (x * x + y * y);
      const float inverse = 1.0f / (r + 1e-6f);
      f->x[k] = x;
      f->r[k] = r;
      f->ux[k] = x * inverse;
      f->uy[k] = y * inverse;
      f->nearer[k] = -y * inverse;
      f->right[k] = x * inverse * f->cos[k];
      f->up[k] = y * inverse * f->cos[k] * sin_lift - f->sin[k] * cos_lift;
    }
  angles_of (n, f->ux, f->nearer, f->around);
  find_in_texture (pic, n, f);
  if (shadowed)
    cast_shadow (pic, n, rays, f->shadow);
}

/* A fine line on the wall at the front, by the rim and by the base: which way
 * round the vessel stands. */
static float
front_tick (const Picture *pic,
            float          from_end,
            float          turn,
            float          r)
{
  const float around_mm = fabsf (turn - (float) (2.0 * G_PI) * rintf (turn * (float) (0.5 / G_PI))) * r;
  const float px = 1.0f / pic->eye.per_mm;
  if (around_mm > 0.2f + px)
    return 0.0f;
  const float across = CLAMP ((0.18f - around_mm) / px + 0.5f, 0.0f, 1.0f) * MIN (1.0f, 0.36f / px + 0.35f);
  const float along = CLAMP ((4.0f - from_end) / px + 0.5f, 0.0f, 1.0f);
  return 0.55f * across * along;
}

static v4
shade_outside (const Picture *pic,
               const Surface *f,
               int            k)
{
  const float low = MIN ((f->z[k] - pic->lathe->z_base) * pic->rise, 1.0f);
  const float light = light_at (pic->scene, f->right[k], f->up[k]) * (0.90f + 0.10f * low * (2.0f - low));
  v4 colour = grey (light);

  const float from_end = MIN (f->s[k], pic->s_end - f->s[k]);
  if (from_end < pic->tick_reach)
    {
      const float tick = front_tick (pic, from_end, f->around[k] + pic->turn, f->r[k]);
      colour = colour * (1.0f - tick) + (v4) { 0.0f, 0.0f, 0.0f, 255.0f } * tick;
    }

  const RhyTexture *texture = pic->texture;
  const float tx = f->tx[k];
  const float ty = f->ty[k];
  if (!(ty >= 0.0f && ty < (float) texture->height[0] && tx >= 0.0f && tx < (float) texture->width[0]))
    return colour;
  const v4 ink = look_up (texture, tx, ty, (Step) { f->ax[k], f->ay[k] }, (Step) { f->bx[k], f->by[k] });
  if (ink[3] <= 0.0f)
    return colour;
  /* Ink is matt: it takes the light's broad run, not the window. */
  const float matt = CLAMP (0.55f + 0.62f * light, 0.6f, 1.0f);
  return ink * matt + colour * (1.0f - ink[3] * (1.0f / 255.0f));
}

static v4
shade_inside (const Picture *pic,
              const Surface *f,
              int            k)
{
  const float depth = (pic->lathe->z_rim - f->z[k]) / pic->lathe->r_mouth;
  return grey (light_at (pic->scene, -f->right[k], -f->up[k]) * (0.38f + 0.48f * expf (-1.1f * depth)));
}

static v4
shade_disc (const Picture *pic,
            const Surface *f,
            int            k,
            gint32         met)
{
  const RhyLathe *l = pic->lathe;
  const float x = f->x[k] / l->r_rim;
  if (met == RHY_MET_RIM)
    return grey (0.84f + 0.10f * (x < 0.0f ? -x : -0.4f * x));
  if (met == RHY_MET_BASE)
    return grey (0.42f - 0.10f * f->r[k] * f->r[k] / (l->r_base * l->r_base));
  return grey (0.62f * (0.38f + 0.48f * expf (-1.1f * (l->z_rim - l->z_floor) / l->r_mouth)));
}

static v4
shade (const Picture *pic,
       const RhyHits *hits,
       const Surface *f,
       int            k,
       int            row)
{
  const gint32 met = hits->met[k];
  if (met >= 0 && met < pic->lathe->n_outside)
    return shade_outside (pic, f, k);
  if (met == RHY_MET_NOTHING)
    return background (pic, (float) row + 0.5f) * (row_has_shadow (pic, row) ? f->shadow[k] : 1.0f);
  return met < 0 ? shade_disc (pic, f, k, met) : shade_inside (pic, f, k);
}

static inline guint32
pack (v4 c)
{
  const v4i i = __builtin_convertvector (c + 0.5f, v4i);
  return 0xff000000u | (guint32) i[2] << 16 | (guint32) i[1] << 8 | (guint32) i[0];
}

/* --- rendering ------------------------------------------------------------ */

#define STRIP 38                /* columns a strip; one more on each side to see edges */
#define LANES_USED 40           /* STRIP + 2, up to a multiple of the vector */
#define SUB 4                   /* an edge pixel is SUB x SUB rays */

/* What tells surfaces apart: the same solid's outside, inside, rim ... */
static inline int
surface_of (const Picture *pic,
            gint32         met)
{
  return met < 0 ? met : met < pic->lathe->n_outside ? 0 : 1;
}

static inline gboolean
differs (const Picture *pic,
         const RhyHits *a,
         int            i,
         const RhyHits *b,
         int            j,
         float          jump)
{
  return surface_of (pic, a->met[i]) != surface_of (pic, b->met[j])
         || (a->met[i] != RHY_MET_NOTHING && fabsf (a->t[i] - b->t[j]) > jump);
}

typedef struct
{
  const guint16 *items;
  int            n;
} List;

static List
list_of (const RhyRows *rows,
         int            height,
         int            y)
{
  if (y < 0 || y >= height)
    return (List) { NULL, 0 };
  return (List) { rows->items + rows->start[y], (int) (rows->start[y + 1] - rows->start[y]) };
}

static void
trace_row (const Picture *pic,
           const RhyRows *rows,
           const float   *a,
           int            y,
           RhyRays       *rays,
           RhyHits       *hits)
{
  float b[RHY_LANES];
  const List list = list_of (rows, pic->height, y);
  for (int k = 0; k < LANES_USED; k++)
    b[k] = (pic->eye.centre_y - ((float) y + 0.5f)) / pic->eye.per_mm;
  rhy_eye_aim (&pic->eye, LANES_USED, a, b, rays);
  rhy_lathe_trace (pic->lathe, &pic->eye, list.items != NULL ? list.items : (const guint16 *) "", list.n,
                   LANES_USED, rays, hits);
}

static guint32
edge_pixel (const Picture *pic,
            const RhyRows *rows,
            int            x,
            int            y)
{
  float a[RHY_LANES], b[RHY_LANES];
  RhyRays rays;
  RhyHits hits;
  for (int k = 0; k < SUB * SUB; k++)
    {
      const float sx = (float) x + ((float) (k % SUB) + 0.5f) / SUB;
      const float sy = (float) y + ((float) (k / SUB) + 0.5f) / SUB;
      a[k] = (sx - pic->eye.centre_x) / pic->eye.per_mm;
      b[k] = (pic->eye.centre_y - sy) / pic->eye.per_mm;
    }
  const List list = list_of (rows, pic->height, y);
  rhy_eye_aim (&pic->eye, SUB * SUB, a, b, &rays);
  rhy_lathe_trace (pic->lathe, &pic->eye, list.items, list.n, SUB * SUB, &rays, &hits);

  Surface surface;
  survey (pic, SUB * SUB, row_has_shadow (pic, y), &rays, &hits, &surface);
  v4 sum = { 0.0f, 0.0f, 0.0f, 0.0f };
  for (int k = 0; k < SUB * SUB; k++)
    sum += shade (pic, &hits, &surface, k, y);
  return pack (sum * (1.0f / (SUB * SUB)));
}

static void
render_empty_row (const Picture *pic,
                  int            x0,
                  int            x1,
                  int            y,
                  const float   *a)
{
  guint32 *out = (guint32 *) (void *) (pic->pixels + (gsize) pic->stride * (gsize) y);
  const v4 colour = background (pic, (float) y + 0.5f);
  const guint32 plain = pack (colour);
  if (!row_has_shadow (pic, y))
    {
      for (int x = x0; x < x1; x++)
        out[x] = plain;
      return;
    }
  float b[RHY_LANES], shadow[RHY_LANES];
  RhyRays rays;
  for (int k = 0; k < LANES_USED; k++)
    b[k] = (pic->eye.centre_y - ((float) y + 0.5f)) / pic->eye.per_mm;
  rhy_eye_aim (&pic->eye, LANES_USED, a, b, &rays);
  cast_shadow (pic, LANES_USED, &rays, shadow);
  for (int x = x0; x < x1; x++)
    out[x] = shadow[x - x0 + 1] == 1.0f ? plain : pack (colour * shadow[x - x0 + 1]);
}

static void
render_strip (const Picture *pic,
              int            strip)
{
  const int x0 = strip * STRIP;
  const int x1 = MIN (x0 + STRIP, pic->width);
  const float jump = 10.0f / pic->eye.per_mm;
  float a[RHY_LANES];
  RhyRays rays[3];
  RhyHits hits[3];
  Surface surface;
  RhyRows rows;

  for (int k = 0; k < LANES_USED; k++)
    a[k] = ((float) (x0 + k - 1) + 0.5f - pic->eye.centre_x) / pic->eye.per_mm;
  rhy_lathe_list_rows (pic->lathe, &pic->eye, LANES_USED, a, pic->height, &rows);

  if (rows.top < rows.bottom)
    {
      trace_row (pic, &rows, a, rows.top - 1, &rays[(rows.top + 2) % 3], &hits[(rows.top + 2) % 3]);
      trace_row (pic, &rows, a, rows.top, &rays[rows.top % 3], &hits[rows.top % 3]);
    }
  for (int y = 0; y < pic->height; y++)
    {
      if (y < rows.top || y >= rows.bottom)
        {
          render_empty_row (pic, x0, x1, y, a);
          continue;
        }
      const int here = y % 3;
      const int below = (y + 1) % 3;
      const int above = (y + 2) % 3;
      trace_row (pic, &rows, a, y + 1, &rays[below], &hits[below]);
      survey (pic, LANES_USED, row_has_shadow (pic, y), &rays[here], &hits[here], &surface);
      guint32 *out = (guint32 *) (void *) (pic->pixels + (gsize) pic->stride * (gsize) y);
      for (int x = x0; x < x1; x++)
        {
          const int k = x - x0 + 1;
          const RhyHits *h = &hits[here];
          if (differs (pic, h, k, h, k - 1, jump) || differs (pic, h, k, h, k + 1, jump)
              || differs (pic, h, k, &hits[above], k, jump) || differs (pic, h, k, &hits[below], k, jump))
            out[x] = edge_pixel (pic, &rows, x, y);
          else
            out[x] = pack (shade (pic, h, &surface, k, y));
        }
    }
  rhy_rows_clear (&rows);
}

/* Each strip writes its own columns only. */
static void
render_piece (guint    i,
              gpointer data)
{
  render_strip (data, (int) i);
}

/* The scale of the stretch map, in the lower left corner. */
static void
draw_scale (const RhyScene *self,
            const Picture  *pic)
{
  const double unit = MAX (pic->height / 60.0, 7.0);
  cairo_surface_t *surface = cairo_image_surface_create_for_data (pic->pixels, CAIRO_FORMAT_ARGB32, pic->width,
                                                                  pic->height, pic->stride);
  cairo_t *cr = cairo_create (surface);
  const double x = 1.6 * unit;
  const double y = pic->height - 3.4 * unit;
  const double w = 18.0 * unit;
  const double text = pic->dark ? 0.92 : 0.15;
  const RhyStretchRange range = *rhy_plan_get_stretch (self->plan);
  char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];

  cairo_pattern_t *ramp = cairo_pattern_create_linear (x, 0.0, x + w, 0.0);
  for (int i = 0; i <= 24; i++)
    {
      double rgb[3];
      stretch_colour (i / 12.0 - 1.0, rgb);
      cairo_pattern_add_color_stop_rgb (ramp, i / 24.0, rgb[0], rgb[1], rgb[2]);
    }
  cairo_set_source (cr, ramp);
  cairo_rectangle (cr, x, y, w, unit);
  cairo_fill (cr);
  cairo_pattern_destroy (ramp);
  cairo_set_source_rgb (cr, text, text, text);
  cairo_set_line_width (cr, 1.0);
  cairo_rectangle (cr, x, y, w, unit);
  cairo_stroke (cr);
  cairo_select_font_face (cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size (cr, 1.15 * unit);
  for (int i = -1; i <= 1; i++)
    {
      g_ascii_formatd (low, sizeof low, "%g", i * self->reach_percent);
      g_autofree char *label = i == 0 ? g_strdup ("true") : g_strdup_printf (i < 0 ? "%s %%" : "+%s %%", low);
      cairo_text_extents_t e;
      cairo_text_extents (cr, label, &e);
      const double at = x + 0.5 * w * (i + 1);
      cairo_move_to (cr, i < 0 ? at : i == 0 ? at - 0.5 * e.x_advance : at - e.x_advance, y + 2.3 * unit);
      cairo_show_text (cr, label);
    }
  const double least = 100.0 * (range.minor_min - 1.0);
  const double most = 100.0 * (range.major_max - 1.0);
  g_autofree char *title = NULL;
  if (fabs (least) < 0.05 && fabs (most) < 0.05)
    title = g_strdup ("No stretch under the ink");
  else
    {
      g_ascii_formatd (low, sizeof low, "%+.1f", least);
      g_ascii_formatd (high, sizeof high, "%+.1f", most);
      title = g_strdup_printf ("Stretch under the ink: %s %% to %s %%", low, high);
    }
  cairo_move_to (cr, x, y - 0.8 * unit);
  cairo_show_text (cr, title);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

void
rhy_scene_render (const RhyScene        *self,
                  const RhyCamera       *camera,
                  const RhySceneOptions *options,
                  guint8                *pixels,
                  int                    width,
                  int                    height,
                  int                    stride)
{
  g_return_if_fail (self != NULL && camera != NULL && pixels != NULL);
  g_return_if_fail (width > 0 && height > 0 && stride >= 4 * width && stride % 4 == 0);

  const RhySceneOptions defaults = RHY_SCENE_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  const Skin skin = !options->stretch ? SKIN_PLAIN : options->circles ? SKIN_CIRCLES : SKIN_STRETCH;
  Picture pic = {
    .scene = self,
    .lathe = self->lathe,
    .texture = get_skin ((RhyScene *) self, skin),
    .eye = rhy_eye_new (self->lathe, camera, width, height),
    .turn = isfinite (camera->turn_rad) ? (float) remainder (camera->turn_rad, 2.0 * G_PI) : 0.0f,
    .dark = options->dark,
    .pixels = pixels, .width = width, .height = height, .stride = stride,
    .rise = (float) (2.0 / self->lathe->reach),
    .s_end = (float) rhy_wall_get_length (rhy_plan_get_wall (self->plan)),
  };
  pic.tick_reach = 4.0f + 1.0f / pic.eye.per_mm;
  find_shadow_rows (&pic);
  rhy_parallel ((guint) ((width + STRIP - 1) / STRIP), options->threads, render_piece, &pic);
  if (options->stretch)
    draw_scale (self, &pic);
}

/* --- pointing ------------------------------------------------------------- */

static void
one_ray (const RhyScene *self,
         const RhyEye   *eye,
         double          px,
         double          py,
         RhyRays        *rays,
         RhyHits        *hits)
{
  const float a[4] = { (float) ((px - eye->centre_x) / eye->per_mm) };
  const float b[4] = { (float) ((eye->centre_y - py) / eye->per_mm) };
  memset (rays, 0, sizeof *rays);
  rhy_eye_aim (eye, 1, a, b, rays);
  rhy_lathe_trace (self->lathe, eye, NULL, 0, 1, rays, hits);
}

gboolean
rhy_scene_pick (const RhyScene  *self,
                const RhyCamera *camera,
                int              width,
                int              height,
                double           x,
                double           y,
                RhyWallPoint    *at)
{
  g_return_val_if_fail (self != NULL && camera != NULL && at != NULL, FALSE);

  const RhyEye eye = rhy_eye_new (self->lathe, camera, width, height);
  RhyRays rays;
  RhyHits hits;
  one_ray (self, &eye, x, y, &rays, &hits);
  const gint32 met = hits.met[0];
  if (met < 0 || met >= self->lathe->n_outside)
    return FALSE;

  const RhyBand *band = &self->lathe->bands[met];
  const double t = hits.t[0];
  const double px = rays.ox[0] + t * rays.dx[0];
  const double py = rays.oy[0] + t * rays.dy[0];
  const double pz = rays.oz[0] + t * rays.dz[0];
  const double length = rhy_wall_get_length (rhy_plan_get_wall (self->plan));
  at->s = CLAMP (band->s0 + (pz - band->z0) * band->s_per_z, 0.0, length);
  at->angle = camera->turn_rad + atan2 (px, -py);
  return TRUE;
}

gboolean
rhy_scene_project (const RhyScene  *self,
                   const RhyCamera *camera,
                   int              width,
                   int              height,
                   RhyWallPoint     at,
                   double          *x,
                   double          *y)
{
  g_return_val_if_fail (self != NULL && camera != NULL && x != NULL && y != NULL, FALSE);

  RhyWall *wall = rhy_plan_get_wall (self->plan);
  if (!rhy_wall_has (wall, at.s) || !isfinite (at.angle))
    return FALSE;
  const RhyEye eye = rhy_eye_new (self->lathe, camera, width, height);
  const RhyRing ring = rhy_wall_at (wall, at.s);
  const double around = at.angle - camera->turn_rad;
  double px, py;
  const double t = rhy_eye_project (&eye, ring.r_mm * sin (around), -ring.r_mm * cos (around),
                                    ring.z_mm - self->lathe->z_middle, &px, &py);
  RhyRays rays;
  RhyHits hits;
  one_ray (self, &eye, px, py, &rays, &hits);
  /* Hidden when something stands nearer; at the very silhouette the ray may slip
   * past, and the point still counts if it faces the eye. */
  const double slack = 0.01 * self->lathe->reach;
  if (hits.met[0] != RHY_MET_NOTHING && hits.t[0] < t - slack)
    return FALSE;
  const double facing = cos (around) * cos (ring.slope_rad) * eye.cos_lift - sin (ring.slope_rad) * eye.sin_lift;
  if (hits.met[0] == RHY_MET_NOTHING && facing < -0.2)
    return FALSE;
  *x = px;
  *y = py;
  return TRUE;
}

/* --- PNG ------------------------------------------------------------------ */

static cairo_status_t
gather (void                *closure,
        const unsigned char *data,
        unsigned int         length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

GBytes *
rhy_scene_to_png (const RhyScene        *self,
                  const RhyCamera       *camera,
                  const RhySceneOptions *options,
                  int                    width,
                  int                    height,
                  GError               **error)
{
  g_return_val_if_fail (self != NULL && camera != NULL, NULL);

  if (!(width >= 1 && width <= 16384 && height >= 1 && height <= 16384))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "picture of %d x %d pixels: each side must be from 1 to 16384",
                   width, height);
      return NULL;
    }
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height);
  cairo_status_t status = cairo_surface_status (surface);
  g_autoptr (GByteArray) png = g_byte_array_new ();
  if (status == CAIRO_STATUS_SUCCESS)
    {
      rhy_scene_render (self, camera, options, cairo_image_surface_get_data (surface), width, height,
                        cairo_image_surface_get_stride (surface));
      cairo_surface_mark_dirty (surface);
      status = cairo_surface_write_to_png_stream (surface, gather, png);
    }
  cairo_surface_destroy (surface);
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "picture: %s", cairo_status_to_string (status));
      return NULL;
    }
  return g_byte_array_free_to_bytes (g_steal_pointer (&png));
}
