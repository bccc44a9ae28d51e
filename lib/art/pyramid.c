/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "pyramid.h"

#include <math.h>

#include "../shape/parallel.h"

double
rhy_lanczos (double x)
{
  x = fabs (x);
  if (!(x < RHY_LOBES))
    return 0.0;
  if (x < 1e-9)
    return 1.0;
  if (x == floor (x))
    return 0.0;
  const double y = G_PI * x;
  return RHY_LOBES * sin (y) * sin (y / RHY_LOBES) / (y * y);
}

int
rhy_extended (RhyExtend extend,
              int       i,
              int       n)
{
  if (i >= 0 && i < n)
    return i;
  switch (extend)
    {
    case RHY_EXTEND_PAD:
      return CLAMP (i, 0, n - 1);
    case RHY_EXTEND_REPEAT:
      return ((i % n) + n) % n;
    case RHY_EXTEND_REFLECT:
      {
        const int k = ((i % (2 * n)) + 2 * n) % (2 * n);
        return k < n ? k : 2 * n - 1 - k;
      }
    default:
      return -1;
    }
}

guint32
rhy_pixel_of (const float sums[4])
{
  const int alpha = CLAMP ((int) lrintf (sums[3]), 0, 255);
  int c[3];
  for (int i = 0; i < 3; i++)
    c[i] = CLAMP ((int) lrintf (sums[i]), 0, alpha);
  return (guint32) alpha << 24 | (guint32) c[2] << 16 | (guint32) c[1] << 8 | (guint32) c[0];
}

/* --- one level from the one before ---------------------------------------- */

/* The filter at twice its width meets twelve pixels, symmetrically: six weights, in 1/2^14. */
#define TAPS (4 * RHY_LOBES)
#define ONE (1 << 14)
#define MARGIN (TAPS / 2 + 1)

typedef struct
{
  RhyExtend extend;
  gint16    weights[TAPS / 2];  /* from the middle outwards */
  RhyLevel  from;
  guint     width, height;
  guint32  *pixels;
} Half;

static void
find_weights (gint16 *weights)
{
  double w[TAPS / 2];
  double total = 0.0;
  int rest = ONE / 2;
  for (int k = 0; k < TAPS / 2; k++)
    total += w[k] = rhy_lanczos (0.5 * (k + 0.5));
  for (int k = TAPS / 2 - 1; k > 0; k--)
    rest -= weights[k] = (gint16) lrint (w[k] / total * ONE / 2);
  weights[0] = (gint16) rest;
}

static const guint8 *
bytes_of_row (const Half *half,
              int         y,
              const guint8 *none)
{
  const int at = rhy_extended (half->extend, y, (int) half->from.height);
  return at < 0 ? none : (const guint8 *) (half->from.pixels + (gsize) at * half->from.width);
}

static inline guint8
to_byte (int sum)
{
  return (guint8) CLAMP ((sum + ONE / 2) >> 14, 0, 255);
}

/* @row: (array length=n): the twelve rows around put together, channel by channel. */
static void
squeeze_rows (const Half   *half,
              int           y,
              const guint8 *none,
              guint8       *row)
{
  const gsize n = 4 * (gsize) half->from.width;
  const guint8 *above[TAPS / 2];
  const guint8 *below[TAPS / 2];
  for (int k = 0; k < TAPS / 2; k++)
    {
      above[k] = bytes_of_row (half, 2 * y - k, none);
      below[k] = bytes_of_row (half, 2 * y + 1 + k, none);
    }
  for (gsize start = 0; start < n; start += 512)
    {
      const gsize m = MIN (512, n - start);
      int sums[512] = { 0 };
      for (int k = 0; k < TAPS / 2; k++)
        {
          const gint16 w = half->weights[k];
          const guint8 *a = above[k] + start;
          const guint8 *b = below[k] + start;
          for (gsize i = 0; i < m; i++)
            sums[i] += w * (gint16) (a[i] + b[i]);
        }
      for (gsize i = 0; i < m; i++)
        row[start + i] = to_byte (sums[i]);
    }
}

/* @row: from MARGIN pixels left of the first. */
static void
squeeze_columns (const Half   *half,
                 const guint8 *row,
                 guint32      *out)
{
  for (guint x = 0; x < half->width; x++)
    {
      const guint8 *right = row + 4 * (MARGIN + 2 * (gsize) x + 1);
      const guint8 *left = right - 4;
      int sums[4] = { 0 };
      for (int k = 0; k < TAPS / 2; k++, left -= 4, right += 4)
        for (int c = 0; c < 4; c++)
          sums[c] += half->weights[k] * (left[c] + right[c]);
      /* Lobes can carry a colour over its alpha. */
      guint8 v[4];
      for (int c = 0; c < 4; c++)
        v[c] = to_byte (sums[c]);
      const guint8 alpha = G_BYTE_ORDER == G_LITTLE_ENDIAN ? v[3] : v[0];
      for (int c = 0; c < 4; c++)
        ((guint8 *) &out[x])[c] = MIN (v[c], alpha);
    }
}

static void
extend_row (const Half *half,
            guint8     *row)
{
  const int n = (int) half->from.width;
  guint32 *pixels = (guint32 *) (void *) row + MARGIN;
  for (int i = 1; i <= MARGIN; i++)
    {
      const int left = rhy_extended (half->extend, -i, n);
      const int right = rhy_extended (half->extend, n - 1 + i, n);
      pixels[-i] = left < 0 ? 0 : pixels[left];
      pixels[n - 1 + i] = right < 0 ? 0 : pixels[right];
    }
}

static void
halve_row (guint    y,
           gpointer data)
{
  const Half *half = data;
  g_autofree guint8 *none = half->extend == RHY_EXTEND_NONE ? g_new0 (guint8, 4 * (gsize) half->from.width) : NULL;
  g_autofree guint8 *row = g_new (guint8, 4 * ((gsize) half->from.width + 2 * MARGIN));
  squeeze_rows (half, (int) y, none, row + 4 * MARGIN);
  extend_row (half, row);
  squeeze_columns (half, row, half->pixels + (gsize) y * half->width);
}

RhyPyramid *
rhy_pyramid_new (const RhyRaster *raster,
                 RhyExtend        extend,
                 guint            depth)
{
  RhyPyramid *self = g_new0 (RhyPyramid, 1);
  self->extend = extend;
  self->levels[0] = (RhyLevel) { rhy_raster_get_width (raster), rhy_raster_get_height (raster), rhy_raster_get_pixels (raster) };
  self->n_levels = 1;
  for (guint i = 0; i < G_N_ELEMENTS (self->kernel); i++)
    self->kernel[i] = (float) rhy_lanczos ((double) i / RHY_KERNEL_STEPS);
  Half half = { .extend = extend };
  find_weights (half.weights);
  for (guint k = 1; k <= depth && k < G_N_ELEMENTS (self->levels); k++)
    {
      half.from = self->levels[k - 1];
      const gboolean repeats = extend == RHY_EXTEND_REPEAT || extend == RHY_EXTEND_REFLECT;
      /* Half of an odd side would repeat at another place. */
      if ((half.from.width == 1 && half.from.height == 1)
          || (repeats && (half.from.width % 2 != 0 || half.from.height % 2 != 0)))
        break;
      half.width = (half.from.width + 1) / 2;
      half.height = (half.from.height + 1) / 2;
      half.pixels = g_new (guint32, (gsize) half.width * half.height);
      rhy_parallel (half.height, 0, halve_row, &half);
      self->levels[k] = (RhyLevel) { half.width, half.height, half.pixels };
      self->n_levels++;
    }
  return self;
}

void
rhy_pyramid_free (RhyPyramid *self)
{
  for (guint k = 1; k < self->n_levels; k++)
    g_free ((guint32 *) self->levels[k].pixels);
  g_free (self);
}
