/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "palette.h"

#include <math.h>
#include <string.h>

#include "draw.h"

/* cairo's images end here on either side. */
static const double SIDE_MAX = 32767.0;
/* Of the pixels left, what one picture that is drawn here may take. */
static const double SHARE = 0.25;

static void
drop (gpointer raster)
{
  if (raster != NULL)
    rhy_raster_unref (raster);
}

Palette *
palette_new (Tree  *tree,
             double per_unit,
             double room)
{
  Palette *self = g_new (Palette, 1);
  *self = (Palette) { tree, g_hash_table_new_full (NULL, NULL, NULL, drop), per_unit, room };
  return self;
}

void
palette_free (Palette *self)
{
  g_hash_table_unref (self->rasters);
  g_free (self);
}

double
palette_afford (const Palette *self,
                double         width,
                double         height,
                double         wanted)
{
  const double most = sqrt (SHARE * MAX (self->room, 1.0) / (width * height));
  return MIN (MIN (wanted, most), (SIDE_MAX - 4.0) / MAX (width, height));
}

/* ---- pictures ---- */

typedef struct { const guchar *data; gsize length; } Bytes;

static cairo_status_t
read_bytes (void         *closure,
            unsigned char *data,
            unsigned int   length)
{
  Bytes *bytes = closure;
  if (length > bytes->length)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (data, bytes->data, length);
  bytes->data += length;
  bytes->length -= length;
  return CAIRO_STATUS_SUCCESS;
}

/* Pixels of a surface, with alpha whether its format has it or not. */
static RhyRaster *
copy_part (cairo_surface_t *surface,
           int              x,
           int              y,
           int              width,
           int              height)
{
  const guint32 opaque = cairo_image_surface_get_format (surface) == CAIRO_FORMAT_RGB24 ? 0xff000000u : 0;
  const guchar *data = cairo_image_surface_get_data (surface);
  const gsize stride = (gsize) cairo_image_surface_get_stride (surface);
  guint32 *pixels = g_new (guint32, (gsize) width * (gsize) height);
  for (int j = 0; j < height; j++)
    {
      const guint32 *row = (const guint32 *) (gconstpointer) (data + (gsize) (y + j) * stride) + x;
      for (int i = 0; i < width; i++)
        pixels[(gsize) j * (gsize) width + (gsize) i] = row[i] | opaque;
    }
  return rhy_raster_new ((guint) width, (guint) height, pixels);
}

static gboolean
is_usable (cairo_surface_t *surface)
{
  if (cairo_surface_status (surface) != CAIRO_STATUS_SUCCESS)
    return FALSE;
  const cairo_format_t format = cairo_image_surface_get_format (surface);
  const guint64 n = (guint64) cairo_image_surface_get_width (surface) * (guint64) cairo_image_surface_get_height (surface);
  return (format == CAIRO_FORMAT_ARGB32 || format == CAIRO_FORMAT_RGB24) && n > 0 && n <= RHY_RASTER_PIXELS_MAX;
}

RhyRaster *
raster_new_whole (cairo_surface_t *surface)
{
  cairo_surface_flush (surface);
  return is_usable (surface)
           ? copy_part (surface, 0, 0, cairo_image_surface_get_width (surface), cairo_image_surface_get_height (surface)) : NULL;
}

static RhyRaster *
unpack (const Node *image)
{
  const char *href = node_get (image, "href");
  const char *comma = href != NULL ? strchr (href, ',') : NULL;
  if (comma == NULL || !g_str_has_prefix (href, "data:image/png;base64"))
    return NULL;
  gsize length = 0;
  g_autofree guchar *png = g_base64_decode (comma + 1, &length);
  Bytes bytes = { png, length };
  cairo_surface_t *surface = cairo_image_surface_create_from_png_stream (read_bytes, &bytes);
  RhyRaster *raster = raster_new_whole (surface);
  cairo_surface_destroy (surface);
  return raster;
}

RhyRaster *
palette_get_image (Palette    *self,
                   const Node *image)
{
  gpointer known;
  if (g_hash_table_lookup_extended (self->rasters, image, NULL, &known))
    return known;
  RhyRaster *raster = unpack (image);
  g_hash_table_insert (self->rasters, (gpointer) image, raster);
  return raster;
}

RhyRaster *
raster_new_cropped (cairo_surface_t *surface,
                    RhyBounds       *box)
{
  *box = RHY_BOUNDS_EMPTY;
  cairo_surface_flush (surface);
  if (!is_usable (surface))
    return NULL;
  const int width = cairo_image_surface_get_width (surface);
  const int height = cairo_image_surface_get_height (surface);
  const guchar *data = cairo_image_surface_get_data (surface);
  const gsize stride = (gsize) cairo_image_surface_get_stride (surface);
  const gboolean solid = cairo_image_surface_get_format (surface) == CAIRO_FORMAT_RGB24;
  for (int y = 0; y < height; y++)
    {
      const guint32 *row = (const guint32 *) (gconstpointer) (data + (gsize) y * stride);
      int first = 0;
      int last = width;
      while (!solid && first < width && row[first] >> 24 == 0)
        first++;
      while (!solid && last > first && row[last - 1] >> 24 == 0)
        last--;
      if (first == last)
        continue;
      *box = rhy_bounds_with (*box, first, y);
      *box = rhy_bounds_with (*box, last, y + 1);
    }
  if (rhy_bounds_is_empty (*box))
    return NULL;
  return copy_part (surface, (int) box->min_x, (int) box->min_y, (int) (box->max_x - box->min_x), (int) (box->max_y - box->min_y));
}

RhyRaster *
raster_new_part (const RhyRaster *raster,
                 RhyAffine       *m)
{
  const int width = (int) rhy_raster_get_width (raster);
  cairo_surface_t *surface = cairo_image_surface_create_for_data ((guchar *) (gpointer) rhy_raster_get_pixels (raster),
                                                                  CAIRO_FORMAT_ARGB32, width, (int) rhy_raster_get_height (raster), width * 4);
  RhyBounds box;
  RhyRaster *part = raster_new_cropped (surface, &box);
  cairo_surface_destroy (surface);
  if (part != NULL)
    *m = rhy_affine_then ((RhyAffine) { 1.0, 0.0, 0.0, 1.0, box.min_x, box.min_y }, *m);
  return part;
}

RhyColour
raster_get_mean (const RhyRaster *raster)
{
  const guint32 *pixels = rhy_raster_get_pixels (raster);
  const gsize n = (gsize) rhy_raster_get_width (raster) * rhy_raster_get_height (raster);
  guint64 sums[4] = { 0 };
  for (gsize i = 0; i < n; i++)
    for (int k = 0; k < 4; k++)
      sums[k] += pixels[i] >> (8 * k) & 255;
  const double a = (double) sums[3];
  if (!(a > 0.0))
    return (RhyColour) { 0, 0, 0, 0 };
  return (RhyColour) { MIN ((double) sums[2] / a, 1.0), MIN ((double) sums[1] / a, 1.0), MIN ((double) sums[0] / a, 1.0),
                       a / (255.0 * (double) n) };
}

RhyPaint *
paint_new_picture (RhyRaster *raster,
                   RhyAffine  matrix,
                   RhyExtend  extend,
                   double     alpha)
{
  return rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .extend = extend, .matrix = matrix,
                                      .raster = rhy_raster_ref (raster), .smooth = TRUE, .alpha = alpha });
}

/* ---- colours ---- */

static gboolean
read_colour (const char *value,
             RhyColour  *colour)
{
  static const struct { const char *name; double r, g, b; } names[] = {
    { "black", 0, 0, 0 }, { "white", 1, 1, 1 }, { "red", 1, 0, 0 }, { "lime", 0, 1, 0 }, { "blue", 0, 0, 1 },
  };
  if (g_str_has_prefix (value, "rgb("))
    {
      /* "12.5%, 0%, 100%": the percent sign ends a number. */
      double v[3];
      const char *at = value + 4;
      for (int i = 0; i < 3; i++)
        {
          if (scan_numbers (at, &v[i], 1) != 1)
            return FALSE;
          at += strcspn (at, ",)");
          at += *at == ',';
        }
      const double full = strchr (value, '%') != NULL && strchr (value, '%') < at ? 100.0 : 255.0;
      *colour = (RhyColour) { v[0] / full, v[1] / full, v[2] / full, 1.0 };
      return TRUE;
    }
  if (*value == '#')
    {
      guint64 bits = 0;
      gsize n = 0;
      while (g_ascii_isxdigit (value[1 + n]) && n < 6)
        bits = bits << 4 | (guint64) g_ascii_xdigit_value (value[1 + n++]);
      if (n == 3)
        bits = (bits & 0xf00) * 0x1100 | (bits & 0xf0) * 0x110 | (bits & 0xf) * 0x11;
      *colour = (RhyColour) { (double) (bits >> 16 & 255) / 255.0, (double) (bits >> 8 & 255) / 255.0,
                              (double) (bits & 255) / 255.0, 1.0 };
      return n == 3 || n == 6;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    if (value_is (value, names[i].name))
      {
        *colour = (RhyColour) { names[i].r, names[i].g, names[i].b, 1.0 };
        return TRUE;
      }
  return FALSE;
}

/* ---- gradients ---- */

static GArray *
read_stops (const Node *gradient)
{
  GArray *stops = g_array_new (FALSE, FALSE, sizeof (RhyStop));
  double at = 0.0;
  for (const Node *node = gradient->first; node != NULL; node = node->next)
    {
      RhyStop stop = { 0.0, { 0, 0, 0, 1 } };
      const char *colour = node_get_style (node, "stop-color");
      if (!node_is (node, "stop") || (colour != NULL && !read_colour (colour, &stop.colour)))
        continue;
      stop.colour.a = CLAMP (node_get_number (node, "stop-opacity", 1.0), 0.0, 1.0);
      stop.offset = at = CLAMP (node_get_number (node, "offset", 0.0), at, 1.0);
      g_array_append_val (stops, stop);
    }
  return stops;
}

/* The mean over the gradient's own length, stops weighted by the stretch they
 * rule; colours weighted by their alpha, as paint lying side by side is. */
static RhyColour
mean_of_stops (const RhyStop *stops,
               guint          n)
{
  double r = 0, g = 0, b = 0, a = 0;
  for (guint i = 0; i <= n; i++)
    {
      const RhyStop from = i > 0 ? stops[i - 1] : (RhyStop) { 0.0, stops[0].colour };
      const RhyStop to = i < n ? stops[i] : (RhyStop) { 1.0, stops[n - 1].colour };
      const double w = 0.5 * (to.offset - from.offset);
      r += w * (from.colour.r * from.colour.a + to.colour.r * to.colour.a);
      g += w * (from.colour.g * from.colour.a + to.colour.g * to.colour.a);
      b += w * (from.colour.b * from.colour.a + to.colour.b * to.colour.a);
      a += w * (from.colour.a + to.colour.a);
    }
  if (!(a > 0.0))
    return (RhyColour) { 0, 0, 0, 0 };
  return (RhyColour) { MIN (r / a, 1.0), MIN (g / a, 1.0), MIN (b / a, 1.0), MIN (a, 1.0) };
}

static void
read_gradient (Palette    *self,
               const Node *server,
               double      opacity,
               Paint      *paint)
{
  const char *spread = node_get (server, "spreadMethod");
  const Node *from = server;
  if (server->first == NULL && tree_find (self->tree, node_get (server, "href")) != NULL)
    from = tree_find (self->tree, node_get (server, "href"));
  GArray *stops = read_stops (from);
  const guint n = stops->len;
  if (n == 0)
    {
      g_array_unref (stops);
      paint->inks = FALSE;      /* SVG 2, section 14.2.4.3: without stops, as if "none" */
      return;
    }
  paint->kind = RHY_PICTURE_GRADIENT;
  paint->is_picture = TRUE;
  RhyPaint gradient = {
    .kind = node_is (server, "linearGradient") ? RHY_PAINT_LINEAR : RHY_PAINT_RADIAL,
    .extend = value_is (spread, "repeat") ? RHY_EXTEND_REPEAT : value_is (spread, "reflect") ? RHY_EXTEND_REFLECT : RHY_EXTEND_PAD,
    .matrix = node_get_matrix (server, "gradientTransform"), .n_stops = n, .alpha = opacity,
  };
  gradient.stops = (RhyStop *) (gpointer) g_array_free (stops, FALSE);
  paint->colour = mean_of_stops (gradient.stops, n);
  if (gradient.kind == RHY_PAINT_LINEAR)
    {
      gradient.x0 = node_get_number (server, "x1", 0.0);
      gradient.y0 = node_get_number (server, "y1", 0.0);
      gradient.x1 = node_get_number (server, "x2", 0.0);
      gradient.y1 = node_get_number (server, "y2", 0.0);
    }
  else
    {
      gradient.x1 = node_get_number (server, "cx", 0.0);
      gradient.y1 = node_get_number (server, "cy", 0.0);
      gradient.r1 = MAX (node_get_number (server, "r", 0.0), 0.0);
      gradient.x0 = node_get_number (server, "fx", gradient.x1);
      gradient.y0 = node_get_number (server, "fy", gradient.y1);
      gradient.r0 = MAX (node_get_number (server, "fr", 0.0), 0.0);
    }
  paint->paint = rhy_paint_new (&gradient);
}

/* ---- patterns ---- */

static void
read_pattern (Palette    *self,
              const Node *server,
              double      opacity,
              RhyAffine   m,
              Paint      *paint)
{
  const RhyAffine own = node_get_matrix (server, "patternTransform");
  /* What cairo itself paints a picture with: its only content is the image. */
  const Node *child = server->first;
  const Node *target = child != NULL && node_is (child, "use") ? tree_find (self->tree, node_get (child, "href")) : child;
  paint->is_picture = TRUE;
  if (target != NULL && child->next == NULL && node_is (target, "image"))
    {
      paint->kind = RHY_PICTURE_IMAGE;
      paint->image = target;
      paint->image_matrix = rhy_affine_then (node_get_matrix (child, "transform"), own);
      RhyRaster *raster = palette_get_image (self, target);
      paint->inks = raster != NULL;
      if (raster == NULL)
        return;
      paint->colour = raster_get_mean (raster);
      paint->paint = paint_new_picture (raster, paint->image_matrix, RHY_EXTEND_PAD, opacity);
      return;
    }

  const double width = node_get_number (server, "width", 0.0);
  const double height = node_get_number (server, "height", 0.0);
  paint->kind = RHY_PICTURE_PATTERN;
  RhyRaster *cell = draw_cell (self, server, width, height, rhy_affine_then (own, m));
  paint->inks = cell != NULL;
  if (cell == NULL)
    return;
  const RhyAffine grow = { width / rhy_raster_get_width (cell), 0.0, 0.0, height / rhy_raster_get_height (cell), 0.0, 0.0 };
  paint->colour = raster_get_mean (cell);
  paint->paint = paint_new_picture (cell, rhy_affine_then (grow, own), RHY_EXTEND_REPEAT, opacity);
}

/* ---- all together ---- */

Paint
palette_read (Palette    *self,
              const Node *node,
              const char *property,
              RhyAffine   m)
{
  const gboolean is_fill = strcmp (property, "fill") == 0;
  const double opacity = CLAMP (node_get_number (node, is_fill ? "fill-opacity" : "stroke-opacity", 1.0), 0.0, 1.0);
  const char *value = node_get_style (node, property);
  Paint paint = { .kind = RHY_PICTURE_UNKNOWN };
  if (value == NULL)
    {
      /* SVG's own defaults: black fill, no stroke. */
      paint.inks = is_fill;
      paint.colour.a = 1.0;
    }
  else if (g_str_has_prefix (value, "url("))
    {
      const Node *server = tree_find (self->tree, value);
      paint.inks = server != NULL;
      if (server != NULL && g_str_has_suffix (server->name, "Gradient"))
        read_gradient (self, server, opacity, &paint);
      else if (server != NULL && node_is (server, "pattern"))
        read_pattern (self, server, opacity, m, &paint);
      else if (server != NULL)
        {
          paint.is_picture = TRUE;
          paint.colour = (RhyColour) { 0.5, 0.5, 0.5, 1.0 };
        }
    }
  else if (!value_is (value, "none"))
    paint.inks = read_colour (value, &paint.colour);
  paint.colour.a *= opacity;
  return paint;
}

void
paint_clear (Paint *paint)
{
  g_clear_pointer (&paint->paint, rhy_paint_unref);
}
