/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/brush.h>

#include <math.h>

#include "late-cairo.h"

/* cairo's images end here on either side. */
static const guint SIDE_MAX = 32767;

void
rhy_brush_path (cairo_t       *cr,
                const RhyPath *path)
{
  g_return_if_fail (cr != NULL && path != NULL);

  const RhyPoint *p = path->points;
  cairo_new_path (cr);
  for (gsize i = 0; i < path->n_verbs; i++)
    switch (path->verbs[i])
      {
      case RHY_PATH_MOVE:
        cairo_move_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_LINE:
        cairo_line_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_CUBIC:
        cairo_curve_to (cr, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
        p += 3;
        break;
      default:
        cairo_close_path (cr);
        break;
      }
}

void
rhy_brush_set_rule (cairo_t    *cr,
                    RhyFillRule rule)
{
  cairo_set_fill_rule (cr, rule == RHY_FILL_EVENODD ? CAIRO_FILL_RULE_EVEN_ODD : CAIRO_FILL_RULE_WINDING);
}

static cairo_pattern_t *
make_gradient (const RhyPaint *paint)
{
  cairo_pattern_t *pattern = paint->kind == RHY_PAINT_LINEAR
    ? cairo_pattern_create_linear (paint->x0, paint->y0, paint->x1, paint->y1)
    : cairo_pattern_create_radial (paint->x0, paint->y0, paint->r0, paint->x1, paint->y1, paint->r1);
  for (gsize i = 0; i < paint->n_stops; i++)
    {
      const RhyColour c = paint->stops[i].colour;
      cairo_pattern_add_color_stop_rgba (pattern, paint->stops[i].offset, c.r, c.g, c.b, c.a * paint->alpha);
    }
  return pattern;
}

static guint32
faded (guint32 pixel,
       guint32 part)
{
  guint32 result = 0;
  for (int shift = 0; shift < 32; shift += 8)
    result |= (((pixel >> shift & 255) * part + 127) / 255) << shift;
  return result;
}

static void
release (gpointer raster)
{
  rhy_raster_unref (raster);
}

/* A pattern has no alpha of its own: a picture that is painted faintly is a faint copy. */
static cairo_pattern_t *
make_picture (const RhyPaint *paint)
{
  static const cairo_user_data_key_t key;
  const guint width = rhy_raster_get_width (paint->raster);
  const guint height = rhy_raster_get_height (paint->raster);
  RhyRaster *raster = rhy_raster_ref (paint->raster);
  if (paint->alpha < 1.0)
    {
      const guint32 part = (guint32) lrint (255.0 * MAX (paint->alpha, 0.0));
      const gsize n = (gsize) width * height;
      const guint32 *from = rhy_raster_get_pixels (raster);
      guint32 *pixels = g_new (guint32, n);
      for (gsize i = 0; i < n; i++)
        pixels[i] = faded (from[i], part);
      rhy_raster_unref (raster);
      raster = rhy_raster_new (width, height, pixels);
    }
  cairo_surface_t *surface = cairo_image_surface_create_for_data ((guchar *) (gpointer) rhy_raster_get_pixels (raster),
                                                                  CAIRO_FORMAT_ARGB32, (int) width, (int) height, (int) width * 4);
  if (cairo_surface_set_user_data (surface, &key, raster, release) != CAIRO_STATUS_SUCCESS)
    rhy_raster_unref (raster);
  cairo_pattern_t *pattern = cairo_pattern_create_for_surface (surface);
  cairo_surface_destroy (surface);
  cairo_pattern_set_filter (pattern, paint->smooth ? CAIRO_FILTER_GOOD : CAIRO_FILTER_NEAREST);
  return pattern;
}

static gboolean
is_drawable (const RhyPaint *paint)
{
  return paint->kind != RHY_PAINT_RASTER
         || (rhy_raster_get_width (paint->raster) <= SIDE_MAX && rhy_raster_get_height (paint->raster) <= SIDE_MAX);
}

void
rhy_brush_set_source (cairo_t        *cr,
                      RhyColour       colour,
                      const RhyPaint *paint)
{
  static const cairo_extend_t extends[] = {
    [RHY_EXTEND_NONE] = CAIRO_EXTEND_NONE, [RHY_EXTEND_PAD] = CAIRO_EXTEND_PAD,
    [RHY_EXTEND_REPEAT] = CAIRO_EXTEND_REPEAT, [RHY_EXTEND_REFLECT] = CAIRO_EXTEND_REFLECT,
  };
  cairo_matrix_t m = { 0 };
  if (paint != NULL)
    m = (cairo_matrix_t) { paint->matrix.xx, paint->matrix.yx, paint->matrix.xy, paint->matrix.yy, paint->matrix.x0, paint->matrix.y0 };
  /* A matrix without an inverse would put the whole context in error. */
  if (paint == NULL || !is_drawable (paint) || cairo_matrix_invert (&m) != CAIRO_STATUS_SUCCESS)
    {
      cairo_set_source_rgba (cr, colour.r, colour.g, colour.b, colour.a);
      return;
    }
  cairo_pattern_t *pattern = paint->kind == RHY_PAINT_RASTER ? make_picture (paint) : make_gradient (paint);
  cairo_pattern_set_matrix (pattern, &m);
  cairo_pattern_set_extend (pattern, extends[paint->extend]);
  cairo_set_source (cr, pattern);
  cairo_pattern_destroy (pattern);
}
