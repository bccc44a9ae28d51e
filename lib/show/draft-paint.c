/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft-private.h"
#include "png.h"

#include <math.h>

/* As many digits as tell one double from the next: a paint's own space is of any size. */
static void
put_exact (GString    *out,
           const char *name,
           double      value)
{
  char digits[G_ASCII_DTOSTR_BUF_SIZE];
  g_string_append_printf (out, " %s=\"%s\"", name, g_ascii_dtostr (digits, sizeof digits, value));
}

void
rhy_svg_put_matrix (GString    *out,
                    const char *name,
                    RhyAffine   m)
{
  const double values[] = { m.xx, m.yx, m.xy, m.yy, m.x0, m.y0 };
  g_string_append_printf (out, " %s=\"matrix(", name);
  for (guint i = 0; i < G_N_ELEMENTS (values); i++)
    {
      char digits[G_ASCII_DTOSTR_BUF_SIZE];
      g_string_append (out, i > 0 ? " " : "");
      g_string_append (out, g_ascii_dtostr (digits, sizeof digits, values[i]));
    }
  g_string_append (out, ")\"");
}

static void
put_stops (GString        *out,
           const RhyPaint *paint)
{
  for (gsize i = 0; i < paint->n_stops; i++)
    {
      const RhyColour c = paint->stops[i].colour;
      g_string_append (out, "<stop");
      put_exact (out, "offset", paint->stops[i].offset);
      g_string_append_printf (out, " stop-color=\"#%02x%02x%02x\"", (int) lrint (255.0 * c.r), (int) lrint (255.0 * c.g),
                              (int) lrint (255.0 * c.b));
      if (c.a < 1.0)
        put_exact (out, "stop-opacity", c.a);
      g_string_append (out, "/>");
    }
}

static void
put_gradient (GString        *out,
              const RhyPaint *paint,
              guint           id,
              RhyAffine       m)
{
  static const char *const spreads[] = { "pad", "pad", "repeat", "reflect" };
  const gboolean linear = paint->kind == RHY_PAINT_LINEAR;
  const char *element = linear ? "linearGradient" : "radialGradient";
  g_string_append_printf (out, "<%s id=\"paint-%u\" gradientUnits=\"userSpaceOnUse\"", element, id);
  if (linear)
    {
      put_exact (out, "x1", paint->x0);
      put_exact (out, "y1", paint->y0);
      put_exact (out, "x2", paint->x1);
      put_exact (out, "y2", paint->y1);
    }
  else
    {
      put_exact (out, "cx", paint->x1);
      put_exact (out, "cy", paint->y1);
      put_exact (out, "r", paint->r1);
      put_exact (out, "fx", paint->x0);
      put_exact (out, "fy", paint->y0);
      if (paint->r0 > 0.0)
        put_exact (out, "fr", paint->r0);
    }
  if (paint->extend == RHY_EXTEND_REPEAT || paint->extend == RHY_EXTEND_REFLECT)
    g_string_append_printf (out, " spreadMethod=\"%s\"", spreads[paint->extend]);
  rhy_svg_put_matrix (out, "gradientTransform", rhy_affine_then (paint->matrix, m));
  g_string_append_c (out, '>');
  put_stops (out, paint);
  g_string_append_printf (out, "</%s>\n", element);
}

/* The picture as a PNG inside the drawing, in its own pixels. */
static void
put_image (GString        *out,
           const RhyPaint *paint,
           const RhyAffine *m)
{
  const int width = (int) rhy_raster_get_width (paint->raster);
  const int height = (int) rhy_raster_get_height (paint->raster);
  g_autoptr (GByteArray) png = rhy_png_of (paint->raster);
  g_string_append_printf (out, "<image width=\"%d\" height=\"%d\" preserveAspectRatio=\"none\"", width, height);
  if (m != NULL)
    rhy_svg_put_matrix (out, "transform", rhy_affine_then (paint->matrix, *m));
  if (paint->alpha < 1.0)
    put_exact (out, "opacity", paint->alpha);
  if (!paint->smooth)
    g_string_append (out, " style=\"image-rendering:pixelated\"");
  g_autofree char *text = g_base64_encode (png->data, png->len);
  g_string_append_printf (out, " xmlns:xlink=\"http://www.w3.org/1999/xlink\" xlink:href=\"data:image/png;base64,%s\"/>", text);
}

gboolean
rhy_svg_is_image (const RhyPaint *paint)
{
  return paint != NULL && paint->kind == RHY_PAINT_RASTER
         && (paint->extend == RHY_EXTEND_NONE || paint->extend == RHY_EXTEND_PAD);
}

void
rhy_svg_put_image (GString        *out,
                   const RhyPaint *paint)
{
  put_image (out, paint, &RHY_AFFINE_IDENTITY);
  g_string_append_c (out, '\n');
}

void
rhy_svg_put_paint (GString        *out,
                   const RhyPaint *paint,
                   guint           id,
                   RhyAffine       m)
{
  if (paint->kind != RHY_PAINT_RASTER)
    {
      put_gradient (out, paint, id, m);
      return;
    }
  g_string_append_printf (out, "<pattern id=\"paint-%u\" patternUnits=\"userSpaceOnUse\" width=\"%u\" height=\"%u\"", id,
                          rhy_raster_get_width (paint->raster), rhy_raster_get_height (paint->raster));
  rhy_svg_put_matrix (out, "patternTransform", rhy_affine_then (paint->matrix, m));
  g_string_append_c (out, '>');
  put_image (out, paint, NULL);
  g_string_append (out, "</pattern>\n");
}
