/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/trace.h>

#include <math.h>
#include <rhyton/light.h>
#include <rhyton/stroke.h>
#include <rhyton/tone.h>
#include <rhyton/warp.h>

#include "potrace.h"

/* potrace joins curves that stay this near to the edge, dots. Its own default. */
#define SLACK 0.2

double
rhy_trace_pitch (const RhyPaint *paint,
                 RhyBounds       box,
                 double          tolerance_mm)
{
  const RhyAffine m = paint->matrix;
  const double own = MIN (hypot (m.xx, m.yx), hypot (m.xy, m.yy));
  const double area = (box.max_x - box.min_x) * (box.max_y - box.min_y);
  double pitch = 2.0 * tolerance_mm;
  if (paint->kind == RHY_PAINT_RASTER)
    pitch = MAX (pitch, 0.25 * own);
  return MAX (pitch, sqrt (area / RHY_TRACE_PIXELS_MAX));
}

static gboolean
are_in_range (const RhyTraceOptions *o,
              GError               **error)
{
  if (o->threshold >= 0.0 && o->threshold <= 1.0 && o->smoothing >= 0.0 && o->smoothing <= 1.0
      && o->speck_mm >= 0.0 && isfinite (o->speck_mm) && o->tolerance_mm > 0.0)
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED,
               "tracing: threshold %g and smoothing %g must be from 0 to 1, the speck %g mm not negative, the tolerance %g mm above 0",
               o->threshold, o->smoothing, o->speck_mm, o->tolerance_mm);
  return FALSE;
}

/* A byte for each pixel: whether it is darker over white than the threshold. */
static guint8 *
cut (const RhyRaster *raster,
     double           threshold)
{
  g_autoptr (RhyRaster) grey = rhy_raster_grey (raster);
  const gsize n = (gsize) rhy_raster_get_width (grey) * rhy_raster_get_height (grey);
  const guint32 *pixels = rhy_raster_get_pixels (grey);
  const double limit = 255.0 * threshold;
  guint8 *ink = g_new (guint8, n);
  for (gsize i = 0; i < n; i++)
    ink[i] = (pixels[i] & 255u) + 255u - (pixels[i] >> 24) < limit;
  return ink;
}

RhyPath *
rhy_paint_traced (const RhyPaint        *self,
                  RhyBounds              box,
                  const RhyTraceOptions *options,
                  GError               **error)
{
  static const RhyTraceOptions defaults = RHY_TRACE_OPTIONS_INIT;
  g_return_val_if_fail (self != NULL, NULL);
  if (options == NULL)
    options = &defaults;
  if (!are_in_range (options, error))
    return NULL;
  const double width = box.max_x - box.min_x;
  const double height = box.max_y - box.min_y;
  if (!(width > 0.0 && height > 0.0))
    return rhy_path_new ();

  /* Whole dots from edge to edge, so that ink which reaches the box's edge ends exactly there. */
  const double pitch = rhy_trace_pitch (self, box, options->tolerance_mm);
  const double across = CLAMP (ceil (width / pitch - 1e-6), 1.0, 30000.0);
  const double down = CLAMP (ceil (height / pitch - 1e-6), 1.0, 30000.0);
  const double sx = width / across;
  const double sy = height / down;
  const RhyAffine to_dots = { 1.0 / sx, 0.0, 0.0, -1.0 / sy, -box.min_x / sx, box.max_y / sy };
  const RhyAffine to_box = { sx, 0.0, 0.0, -sy, box.min_x, box.max_y };
  g_autoptr (RhyPaint) dotted = rhy_paint_transformed (self, to_dots);
  const RhyGrid grid = { { 0.0, 0.0 }, 1.0, (guint) across, (guint) down };
  g_autoptr (RhyPaint) flat = rhy_paint_warped (dotted, NULL, &grid);
  g_autofree guint8 *ink = cut (flat->raster, options->threshold);
  const RhyBits bits = { grid.width, grid.height, ink };
  const double speck = MIN (options->speck_mm * options->speck_mm / (sx * sy), 1e9);
  g_autoptr (RhyPath) path = rhy_potrace (&bits, (int) speck, 4.0 / 3.0 * options->smoothing, SLACK, to_box, error);
  /* potrace's curves are short; a dot's corner is no detail. */
  return path != NULL ? rhy_path_lightened (path, 0.5 * MAX (sx, sy), NULL) : NULL;
}

/* ---- artwork ---- */

static gboolean
is_opaque (const RhyPaint *paint)
{
  if (paint->alpha < 1.0)
    return FALSE;
  for (gsize i = 0; i < paint->n_stops; i++)
    if (paint->stops[i].colour.a < 1.0)
      return FALSE;
  if (paint->kind != RHY_PAINT_RASTER)
    return TRUE;
  const gsize n = (gsize) rhy_raster_get_width (paint->raster) * rhy_raster_get_height (paint->raster);
  const guint32 *pixels = rhy_raster_get_pixels (paint->raster);
  for (gsize i = 0; i < n; i++)
    if (pixels[i] >> 24 != 255u)
      return FALSE;
  return TRUE;
}

/* Whether a path is its own box: its ink then ends with the dots, and no clip is needed. */
static gboolean
is_box (const RhyPath *path,
        RhyBounds      box)
{
  gsize n = path->n_verbs;
  if (n > 0 && path->verbs[n - 1] == RHY_PATH_CLOSE)
    n--;
  if (n < 4 || n > 5 || path->n_points != n)
    return FALSE;
  const double slack = 1e-9 * (box.max_x - box.min_x + box.max_y - box.min_y);
  for (gsize i = 0; i < n; i++)
    {
      const RhyPoint p = path->points[i];
      const RhyPoint q = path->points[(i + 1) % n];
      const gboolean at_x = fabs (p.x - box.min_x) <= slack || fabs (p.x - box.max_x) <= slack;
      const gboolean at_y = fabs (p.y - box.min_y) <= slack || fabs (p.y - box.max_y) <= slack;
      const gboolean level = fabs (p.x - q.x) <= slack || fabs (p.y - q.y) <= slack;
      if (path->verbs[i] != (i == 0 ? RHY_PATH_MOVE : RHY_PATH_LINE) || !at_x || !at_y || !level)
        return FALSE;
    }
  return TRUE;
}

static RhyBounds
seen_box (const RhyArtwork *artwork,
          const RhyShape   *shape)
{
  RhyBounds box = rhy_path_get_bounds (shape->path);
  for (gsize k = 0; k < shape->n_clips; k++)
    {
      const RhyBounds clip = rhy_path_get_bounds (rhy_artwork_get_clip (artwork, shape->clips[k])->path);
      box = (RhyBounds) { MAX (box.min_x, clip.min_x), MAX (box.min_y, clip.min_y),
                          MIN (box.max_x, clip.max_x), MIN (box.max_y, clip.max_y) };
    }
  return box;
}

static gboolean
add_traced (RhyArtworkBuilder     *builder,
            const RhyArtwork      *artwork,
            const RhyShape        *shape,
            const RhyTraceOptions *options,
            gboolean               over_bare,
            GError               **error)
{
  const RhyBounds box = seen_box (artwork, shape);
  RhyPath *path = rhy_paint_traced (shape->fill_paint, box, options, error);
  if (path == NULL)
    return FALSE;

  RhyShape made = { .rule = shape->rule, .has_fill = TRUE, .fill = { 1, 1, 1, 1 }, .pen.matrix = RHY_AFFINE_IDENTITY };
  if (over_bare && is_opaque (shape->fill_paint))
    {
      made.path = rhy_path_ref (shape->path);
      made.clips = g_memdup2 (shape->clips, shape->n_clips * sizeof (guint));
      made.n_clips = shape->n_clips;
      rhy_artwork_builder_add_shape (builder, &made);
    }
  if (path->n_verbs == 0)
    {
      rhy_path_unref (path);
      return TRUE;
    }
  made.path = path;
  made.rule = RHY_FILL_EVENODD;
  made.fill = (RhyColour) { 0, 0, 0, 1 };
  made.n_clips = shape->n_clips;
  made.clips = g_new (guint, shape->n_clips + 1);
  for (gsize k = 0; k < shape->n_clips; k++)
    made.clips[k] = shape->clips[k];
  if (!is_box (shape->path, rhy_path_get_bounds (shape->path)))
    made.clips[made.n_clips++] = rhy_artwork_builder_add_clip (builder, rhy_path_ref (shape->path), shape->rule);
  rhy_artwork_builder_add_shape (builder, &made);
  return TRUE;
}

RhyArtwork *
rhy_artwork_traced (RhyArtwork            *self,
                    const RhyTraceOptions *options,
                    gboolean               over_bare,
                    GError               **error)
{
  static const RhyTraceOptions defaults = RHY_TRACE_OPTIONS_INIT;
  g_return_val_if_fail (self != NULL, NULL);
  if (options == NULL)
    options = &defaults;

  gboolean fills = FALSE;
  gboolean strokes = FALSE;
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (self); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (self, i);
      fills |= shape->has_fill && shape->fill_paint != NULL;
      strokes |= shape->has_stroke && shape->stroke_paint != NULL;
    }
  if (!fills && !strokes)
    return rhy_artwork_ref (self);
  g_autoptr (RhyArtwork) source = strokes ? rhy_artwork_outlined (self, 0.1 * options->tolerance_mm, error) : rhy_artwork_ref (self);
  if (source == NULL)
    return NULL;

  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  double width, height;
  rhy_artwork_get_page (source, &width, &height);
  rhy_artwork_builder_set_size (builder, width, height, rhy_artwork_get_size_source (source));
  for (gsize i = 0; i < rhy_artwork_get_n_clips (source); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (source, i);
      rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (source); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (source, i);
      const gboolean painted = shape->has_fill && shape->fill_paint != NULL;
      if (painted && !add_traced (builder, source, shape, options, over_bare, error))
        return NULL;
      if (painted && !shape->has_stroke)
        continue;
      RhyShape rest = rhy_shape_dup (shape, rhy_path_ref (shape->path));
      rest.has_fill = shape->has_fill && !painted;
      if (painted)
        g_clear_pointer (&rest.fill_paint, rhy_paint_unref);
      rhy_artwork_builder_add_shape (builder, &rest);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_pictures (source); i++)
    rhy_artwork_builder_add_picture (builder, *rhy_artwork_get_picture (source, i));
  for (const char *const *note = rhy_artwork_get_notes (source); *note != NULL; note++)
    rhy_artwork_builder_add_note (builder, *note);
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}
