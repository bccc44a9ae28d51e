/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/tone.h>

#include <math.h>
#include <string.h>

/* IEC 61966-2-1, both ways. */
static double
to_linear (double v)
{
  return v <= 0.04045 ? v / 12.92 : pow ((v + 0.055) / 1.055, 2.4);
}

static double
to_coded (double v)
{
  return v <= 0.0031308 ? 12.92 * v : 1.055 * pow (v, 1.0 / 2.4) - 0.055;
}

typedef struct
{
  float  linear[256];
  guint8 coded[4097];           /* of (i / 4096)^2: finer where the curve is steep */
} Curve;

/* Four thousand powers, and a drawing may have fifty pictures: made once. */
static const Curve *
get_curve (void)
{
  static Curve curve;
  static gsize made = 0;
  if (g_once_init_enter (&made))
    {
      for (int i = 0; i < 256; i++)
        curve.linear[i] = (float) to_linear (i / 255.0);
      for (int i = 0; i <= 4096; i++)
        curve.coded[i] = (guint8) lrint (255.0 * to_coded ((i / 4096.0) * (i / 4096.0)));
      g_once_init_leave (&made, 1);
    }
  return &curve;
}

/* Straight values in, the grey's coded value out. */
static guint
grey_of (const Curve *curve,
         guint        r,
         guint        g,
         guint        b)
{
  if (r == g && g == b)
    return r;
  const float y = 0.2126f * curve->linear[r] + 0.7152f * curve->linear[g] + 0.0722f * curve->linear[b];
  return curve->coded[lrintf (4096.0f * sqrtf (MIN (y, 1.0f)))];
}

static guint32
grey_pixel (const Curve *curve,
            guint32      pixel)
{
  const guint a = pixel >> 24;
  const guint r = (pixel >> 16) & 255u;
  const guint g = (pixel >> 8) & 255u;
  const guint b = pixel & 255u;
  if (r == g && g == b)
    return pixel;
  /* Not all equal, so that alpha is not 0. */
  if (a == 255u)
    return 0xff000000u | grey_of (curve, r, g, b) * 0x010101u;
  const guint grey = grey_of (curve, MIN ((255u * r + a / 2) / a, 255u), MIN ((255u * g + a / 2) / a, 255u),
                              MIN ((255u * b + a / 2) / a, 255u));
  const guint y = (grey * a + 127u) / 255u;
  return (guint32) a << 24 | y << 16 | y << 8 | y;
}

RhyRaster *
rhy_raster_grey (const RhyRaster *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  const gsize n = (gsize) rhy_raster_get_width (self) * rhy_raster_get_height (self);
  const guint32 *in = rhy_raster_get_pixels (self);
  guint32 *out = g_new (guint32, n);
  const Curve *curve = get_curve ();
  /* Neighbours are often alike. */
  guint32 last = 0;
  guint32 grey = 0;
  for (gsize i = 0; i < n; i++)
    {
      if (in[i] != last)
        grey = grey_pixel (curve, last = in[i]);
      out[i] = grey;
    }
  return rhy_raster_new (rhy_raster_get_width (self), rhy_raster_get_height (self), out);
}

/* A number from 0 to 2^32 - 1 for each place: Wang's integer hash of it. */
static guint32
noise_at (guint x,
          guint y)
{
  guint32 h = x * 0x9e3779b1u ^ (y * 0x85ebca77u + 0x52687974u);
  h = (h ^ 61u) ^ (h >> 16);
  h *= 9u;
  h ^= h >> 4;
  h *= 0x27d4eb2du;
  return h ^ (h >> 15);
}

/* Whole numbers throughout, so that every machine makes the same dots: tones and errors
 * in 1/16 of 1/255. */
RhyRaster *
rhy_raster_dots (const RhyRaster *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  const int width = (int) rhy_raster_get_width (self);
  const guint height = rhy_raster_get_height (self);
  g_autoptr (RhyRaster) grey = rhy_raster_grey (self);
  const guint32 *in = rhy_raster_get_pixels (grey);
  guint32 *out = g_new0 (guint32, (gsize) width * height);
  g_autofree int *rows = g_new0 (int, 2 * (gsize) width);
  int *here = rows;
  int *below = rows + width;

  for (guint y = 0; y < height; y++)
    {
      const int step = y % 2 == 0 ? 1 : -1;
      for (int i = 0; i < width; i++)
        {
          const int x = step > 0 ? i : width - 1 - i;
          const guint32 pixel = in[(gsize) y * (gsize) width + (gsize) x];
          const int alpha = (int) (pixel >> 24);
          if (alpha == 0)
            continue;           /* what was handed on to here ends here */
          const int tone = 16 * ((int) (pixel & 255u) + 255 - alpha) + here[x];
          const int shaken = 8 * 255 + (int) (noise_at ((guint) x, y) >> 21) - 1024;
          const gboolean black = tone < shaken;
          const int error = tone - (black ? 0 : 16 * 255);
          /* 7, 3, 5 and the rest of sixteen parts, so that nothing is lost. */
          const int next = error * 7 / 16;
          const int back = error * 3 / 16;
          const int under = error * 5 / 16;
          const int ahead = x + step >= 0 && x + step < width ? x + step : x;
          const int behind = x - step >= 0 && x - step < width ? x - step : x;
          /* At a row's ends the shares go straight down. */
          *(ahead == x ? &below[x] : &here[ahead]) += next;
          below[behind] += back;
          below[x] += under;
          below[ahead] += error - next - back - under;
          out[(gsize) y * (gsize) width + (gsize) x] = black ? 0xff000000u : alpha == 255 ? 0xffffffffu : 0;
        }
      int *done = here;
      here = below;
      below = done;
      memset (below, 0, (gsize) width * sizeof *below);
    }
  return rhy_raster_new ((guint) width, height, out);
}
