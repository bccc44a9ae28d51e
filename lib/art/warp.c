/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/warp.h>

#include <math.h>
#include <string.h>

#include "../shape/parallel.h"
#include "gradient.h"
#include "pyramid.h"

typedef float v4 __attribute__ ((vector_size (16)));

/* Rows that one thread takes at a time. */
#define STRIP 16

/* A dot's filter is worked out on the level where the dot is at least this wide, pixels: the
 * halving's own filter is then flat, within 1 %, over all that the dot can show. */
#define DOT_LEAST 2.0

/* More taps each way than this are not taken: only a map that squeezes a picture more
 * than ten times one way than the other asks for them. */
#define REACH_MOST 96.0

/* --- grids ---------------------------------------------------------------- */

gboolean
rhy_grid_over (RhyBounds box,
               double    dots_per_inch,
               RhyPoint  origin,
               RhyGrid  *grid,
               GError  **error)
{
  g_return_val_if_fail (!rhy_bounds_is_empty (box) && dots_per_inch > 0.0 && grid != NULL, FALSE);

  const double pitch = 25.4 / dots_per_inch;
  /* A box that ends on the raster, but for a rounding, ends there. */
  const double slack = 1e-6;
  const double left = floor ((box.min_x - origin.x) / pitch + slack) - 1.0;
  const double top = floor ((box.min_y - origin.y) / pitch + slack) - 1.0;
  const double width = ceil ((box.max_x - origin.x) / pitch - slack) + 1.0 - left;
  const double height = ceil ((box.max_y - origin.y) / pitch - slack) + 1.0 - top;
  if (!(width * height <= (double) RHY_RASTER_PIXELS_MAX))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                   "picture of %.0f x %.0f dots at %.0f dots an inch: at most %" G_GUINT64_FORMAT " dots; take fewer an inch",
                   width, height, dots_per_inch, RHY_RASTER_PIXELS_MAX);
      return FALSE;
    }
  *grid = (RhyGrid) { { origin.x + left * pitch, origin.y + top * pitch }, pitch, (guint) width, (guint) height };
  return TRUE;
}

/* --- where dots come from ------------------------------------------------- */

typedef struct
{
  const RhyPaint    *paint;
  const RhyMap      *map;
  const RhyGrid     *grid;
  RhyAffine          to_own;
  const RhyPyramid  *pyramid;   /* pictures */
  const RhyGradient *gradient;
  guint32           *pixels;
  guint8            *imaged;    /* whether a dot has an image */
} Warp;

static gboolean
invert (RhyAffine  m,
        RhyAffine *inverse)
{
  const double det = m.xx * m.yy - m.xy * m.yx;
  if (!(fabs (det) > 0.0) || !isfinite (1.0 / det))
    return FALSE;
  *inverse = (RhyAffine) { m.yy / det, -m.yx / det, -m.xy / det, m.xx / det,
                           (m.xy * m.y0 - m.yy * m.x0) / det, (m.yx * m.x0 - m.xx * m.y0) / det };
  return TRUE;
}

/* @x, @y: (array length=n) (inout): from the grid's space to the paint's own. */
static void
to_own_space (const Warp *warp,
              gsize       n,
              double     *x,
              double     *y,
              guint8     *valid)
{
  if (warp->map != NULL)
    rhy_map_inverse (warp->map, n, x, y, x, y, valid);
  else
    memset (valid, 1, n);
  const RhyAffine m = warp->to_own;
  for (gsize i = 0; i < n; i++)
    {
      const double u = x[i];
      const double v = y[i];
      x[i] = m.xx * u + m.xy * v + m.x0;
      y[i] = m.yx * u + m.yy * v + m.y0;
    }
}

/* Half the difference of the two neighbours, or what there is of it. */
static RhyPoint
step_at (const double *x,
         const double *y,
         const guint8 *valid,
         gsize         at,
         gssize        by)
{
  const gsize before = valid[at - by] ? at - by : at;
  const gsize after = valid[at + by] ? at + by : at;
  const double f = before != at && after != at ? 0.5 : 1.0;
  return (RhyPoint) { f * (x[after] - x[before]), f * (y[after] - y[before]) };
}

/* The widths of the filter, its axes along the picture's: S = sqrt (J J^T) with both
 * principal values at least 1, J the picture's pixels by dots. Unlike J itself S does not turn
 * where J only turns, and it changes smoothly with it. */
typedef struct { double xx, xy, yy, minor, major; } Spread;

static Spread
spread_of (RhyPoint right,
           RhyPoint down)
{
  const double a = right.x * right.x + down.x * down.x;
  const double b = right.x * right.y + down.x * down.y;
  const double c = right.y * right.y + down.y * down.y;
  const double mean = 0.5 * (a + c);
  const double apart = hypot (0.5 * (a - c), b);
  const double major = MAX (1.0, sqrt (MAX (0.0, mean + apart)));
  const double minor = MAX (1.0, sqrt (MAX (0.0, mean - apart)));
  /* S = minor I + (major - minor) e e^T, e the principal axis: e e^T = (I + N)/2 with N the
   * deviator of J J^T made unit. */
  const double half = 0.5 * (major - minor);
  const double p = apart > 0.0 ? 0.5 * (a - c) / apart : 0.0;
  const double q = apart > 0.0 ? b / apart : 0.0;
  return (Spread) { minor + half + half * p, half * q, minor + half - half * p, minor, major };
}

/* --- one dot of a picture ------------------------------------------------- */

static inline v4
channels_of (guint32 pixel)
{
  typedef guint8 b4 __attribute__ ((vector_size (4)));
  union { guint32 n; b4 b; } u = { .n = G_BYTE_ORDER == G_LITTLE_ENDIAN ? pixel : GUINT32_SWAP_LE_BE (pixel) };
  return __builtin_convertvector (u.b, v4);
}

#define MOST_TAPS 224           /* twice REACH_MOST, and a pixel at either end */

static void
find_columns (const RhyPyramid *pyramid,
              const RhyLevel   *level,
              int               first,
              int               n,
              int              *columns)
{
  if (first >= 0 && first + n <= (int) level->width)
    for (int i = 0; i < n; i++)
      columns[i] = first + i;
  else
    for (int i = 0; i < n; i++)
      columns[i] = rhy_extended (pyramid->extend, first + i, (int) level->width);
}

static v4
row_sum (const guint32 *row,
         const int     *columns,
         const float   *weights,
         int            n)
{
  v4 even = { 0 }, odd = { 0 };
  if (columns[0] >= 0 && columns[n - 1] == columns[0] + n - 1)
    {
      const guint32 *p = row + columns[0];
      int i = 0;
      for (; i + 1 < n; i += 2)
        {
          even += channels_of (p[i]) * weights[i];
          odd += channels_of (p[i + 1]) * weights[i + 1];
        }
      if (i < n)
        even += channels_of (p[i]) * weights[i];
      return even + odd;
    }
  for (int i = 0; i < n; i++)
    if (columns[i] >= 0)
      even += channels_of (row[columns[i]]) * weights[i];
  return even;
}

/* A filter that leans by less than a twentieth of its width is taken as upright: its
 * weights are then a product. */
static gboolean
is_upright (const Spread *s)
{
  return fabs (s->xy) <= 0.05 * s->minor;
}

static guint32
filtered (const RhyPyramid *pyramid,
          guint             k,
          RhyPoint          p,
          const Spread     *full)
{
  const RhyLevel *level = &pyramid->levels[k];
  const double shrink = ldexp (1.0, -(int) k);
  const double x = p.x * shrink - 0.5;
  const double y = p.y * shrink - 0.5;
  /* Never less than a pixel of the level. */
  const Spread s = { MAX (full->xx * shrink, 1.0), full->xy * shrink, MAX (full->yy * shrink, 1.0), MAX (full->minor * shrink, 1.0), 0.0 };
  const gboolean upright = is_upright (&s);
  const double lean = upright ? 0.0 : fabs (s.xy);
  const double reach_x = MIN (RHY_LOBES * (s.xx + lean), REACH_MOST);
  const double reach_y = MIN (RHY_LOBES * (s.yy + lean), REACH_MOST);
  const int x0 = (int) ceil (x - reach_x);
  const int y0 = (int) ceil (y - reach_y);
  const int nx = (int) floor (x + reach_x) - x0 + 1;
  const int ny = (int) floor (y + reach_y) - y0 + 1;
  int columns[MOST_TAPS];
  float across[MOST_TAPS];
  find_columns (pyramid, level, x0, nx, columns);

  v4 sums = { 0 };
  float total = 0.0f;
  float whole = 0.0f;
  if (upright)
    for (int i = 0; i < nx; i++)
      whole += across[i] = rhy_pyramid_kernel (pyramid, (float) ((x0 + i - x) / s.xx));
  const double det = s.xx * s.yy - s.xy * s.xy;
  for (int j = 0; j < ny; j++)
    {
      const int at = rhy_extended (pyramid->extend, y0 + j, (int) level->height);
      const double dy = y0 + j - y;
      float down = 1.0f;
      if (upright)
        down = rhy_pyramid_kernel (pyramid, (float) (dy / s.yy));
      else
        {
          whole = 0.0f;
          for (int i = 0; i < nx; i++)
            {
              const double dx = x0 + i - x;
              whole += across[i] = rhy_pyramid_kernel (pyramid, (float) ((s.yy * dx - s.xy * dy) / det))
                                    * rhy_pyramid_kernel (pyramid, (float) ((s.xx * dy - s.xy * dx) / det));
            }
        }
      total += down * whole;
      if (at >= 0)
        sums += down * row_sum (level->pixels + (gsize) at * level->width, columns, across, nx);
    }
  sums = sums / total;
  return rhy_pixel_of ((const float *) &sums);
}

static guint32
nearest (const RhyPyramid *pyramid,
         RhyPoint          p)
{
  const RhyLevel *level = &pyramid->levels[0];
  const int x = rhy_extended (pyramid->extend, (int) floor (p.x), (int) level->width);
  const int y = rhy_extended (pyramid->extend, (int) floor (p.y), (int) level->height);
  return x < 0 || y < 0 ? 0 : level->pixels[(gsize) y * level->width + (gsize) x];
}

static guint
level_for (const Spread *s)
{
  double wide = s->minor;
  double long_way = s->major;
  guint k = 0;
  while (wide >= 2.0 * DOT_LEAST || RHY_LOBES * long_way > REACH_MOST)
    {
      wide *= 0.5;
      long_way *= 0.5;
      k++;
    }
  return k;
}

static guint32
faded (guint32 pixel,
       double  alpha)
{
  guint32 out = 0;
  for (int shift = 0; shift < 32; shift += 8)
    out |= (guint32) lrint (((pixel >> shift) & 255u) * alpha) << shift;
  return out;
}

static guint32
picture_colour (const Warp *warp,
                RhyPoint    p,
                RhyPoint    right,
                RhyPoint    down)
{
  const RhyPyramid *pyramid = warp->pyramid;
  const RhyLevel *whole = &pyramid->levels[0];
  const Spread s = spread_of (right, down);
  /* Far outside nothing is left of it; and counting pixels there would run over. */
  const double reach = RHY_LOBES * (s.major + 1.0);
  if (!isfinite (s.major) || !(fabs (p.x) < 1e8 && fabs (p.y) < 1e8)
      || (pyramid->extend == RHY_EXTEND_NONE
          && !(p.x > -reach && p.y > -reach && p.x < whole->width + reach && p.y < whole->height + reach)))
    return 0;
  if (!warp->paint->smooth && s.major <= 1.0)
    return nearest (pyramid, p);
  return filtered (pyramid, MIN (level_for (&s), pyramid->n_levels - 1), p, &s);
}

/* --- all dots ------------------------------------------------------------- */

static void
warp_strip (guint    strip,
            gpointer data)
{
  const Warp *warp = data;
  const RhyGrid *grid = warp->grid;
  const guint y0 = strip * STRIP;
  const guint y1 = MIN (y0 + STRIP, grid->height);
  const gsize across = (gsize) grid->width + 2;
  const gsize n = across * (y1 - y0 + 2);
  g_autofree double *x = g_new (double, n);
  g_autofree double *y = g_new (double, n);
  g_autofree guint8 *valid = g_new (guint8, n);
  gsize at = 0;
  /* A dot more all round, to tell how neighbours differ. */
  for (guint j = y0; j < y1 + 2; j++)
    for (guint i = 0; i < across; i++, at++)
      {
        x[at] = grid->corner.x + ((double) i - 0.5) * grid->pitch_mm;
        y[at] = grid->corner.y + ((double) j - 0.5) * grid->pitch_mm;
      }
  to_own_space (warp, n, x, y, valid);

  for (guint j = y0; j < y1; j++)
    for (guint i = 0; i < grid->width; i++)
      {
        const gsize from = (gsize) (j - y0 + 1) * across + i + 1;
        const gsize to = (gsize) j * grid->width + i;
        warp->imaged[to] = valid[from];
        if (!valid[from])
          continue;
        const RhyPoint p = { x[from], y[from] };
        const RhyPoint right = step_at (x, y, valid, from, 1);
        const RhyPoint down = step_at (x, y, valid, from, (gssize) across);
        if (warp->gradient != NULL)
          warp->pixels[to] = rhy_gradient_colour (warp->gradient, p, right, down);
        else
          warp->pixels[to] = picture_colour (warp, p, right, down);
        if (warp->gradient == NULL && warp->paint->alpha < 1.0)
          warp->pixels[to] = faded (warp->pixels[to], MAX (warp->paint->alpha, 0.0));
      }
}

/* The level that the most shrunk of a lattice of places asks for. */
static guint
deepest_level (const Warp *warp)
{
  enum { SIDE = 24 };
  const RhyGrid *grid = warp->grid;
  double x[3 * SIDE * SIDE], y[3 * SIDE * SIDE];
  guint8 valid[3 * SIDE * SIDE];
  for (int i = 0; i < SIDE * SIDE; i++)
    for (int k = 0; k < 3; k++)
      {
        x[3 * i + k] = grid->corner.x + grid->pitch_mm * ((i % SIDE + 0.5) * grid->width / SIDE + (k == 1));
        y[3 * i + k] = grid->corner.y + grid->pitch_mm * ((i / SIDE + 0.5) * grid->height / SIDE + (k == 2));
      }
  to_own_space (warp, G_N_ELEMENTS (x), x, y, valid);
  guint deepest = 0;
  for (int i = 0; i < 3 * SIDE * SIDE; i += 3)
    if (valid[i] && valid[i + 1] && valid[i + 2])
      {
        const Spread s = spread_of ((RhyPoint) { x[i + 1] - x[i], y[i + 1] - y[i] },
                                    (RhyPoint) { x[i + 2] - x[i], y[i + 2] - y[i] });
        if (isfinite (s.major))
          deepest = MAX (deepest, level_for (&s));
      }
  return deepest;
}

static guint32
mean_of_neighbours (const Warp *warp,
                    guint       x,
                    guint       y)
{
  const RhyGrid *grid = warp->grid;
  guint sums[4] = { 0 };
  guint n = 0;
  for (guint j = y > 0 ? y - 1 : 0; j <= y + 1 && j < grid->height; j++)
    for (guint i = x > 0 ? x - 1 : 0; i <= x + 1 && i < grid->width; i++)
      {
        const gsize at = (gsize) j * grid->width + i;
        if (!warp->imaged[at])
          continue;
        n++;
        for (int c = 0; c < 4; c++)
          sums[c] += (warp->pixels[at] >> (8 * c)) & 255u;
      }
  guint32 pixel = 0;
  for (int c = 0; c < 4 && n > 0; c++)
    pixel |= (sums[c] + n / 2) / n << (8 * c);
  return pixel;
}

/* Dots are only read where they have an image, and written where they have none. */
static void
carry_on (Warp *warp)
{
  const RhyGrid *grid = warp->grid;
  for (guint y = 0; y < grid->height; y++)
    for (guint x = 0; x < grid->width; x++)
      {
        const gsize at = (gsize) y * grid->width + x;
        if (!warp->imaged[at])
          warp->pixels[at] = mean_of_neighbours (warp, x, y);
      }
}

RhyPaint *
rhy_paint_warped (const RhyPaint *self,
                  const RhyMap   *map,
                  const RhyGrid  *grid)
{
  g_return_val_if_fail (self != NULL && grid != NULL && grid->pitch_mm > 0.0, NULL);
  g_return_val_if_fail (grid->width > 0 && grid->height > 0
                        && (guint64) grid->width * grid->height <= RHY_RASTER_PIXELS_MAX, NULL);

  const gsize n = (gsize) grid->width * grid->height;
  g_autofree guint8 *imaged = g_new0 (guint8, n);
  Warp warp = { .paint = self, .map = map, .grid = grid, .pixels = g_new0 (guint32, n), .imaged = imaged };
  g_autoptr (RhyPyramid) pyramid = NULL;
  g_autoptr (RhyGradient) gradient = NULL;
  if (invert (self->matrix, &warp.to_own))
    {
      if (self->kind == RHY_PAINT_RASTER)
        warp.pyramid = pyramid = rhy_pyramid_new (self->raster, self->extend, deepest_level (&warp));
      else
        warp.gradient = gradient = rhy_gradient_new (self);
      rhy_parallel ((grid->height + STRIP - 1) / STRIP, 0, warp_strip, &warp);
      carry_on (&warp);
    }
  return rhy_paint_new (&(RhyPaint) {
    .kind = RHY_PAINT_RASTER,
    .extend = RHY_EXTEND_NONE,
    .matrix = { grid->pitch_mm, 0.0, 0.0, grid->pitch_mm, grid->corner.x, grid->corner.y },
    .raster = rhy_raster_new (grid->width, grid->height, warp.pixels),
    .smooth = TRUE,
    .alpha = 1.0,
  });
}
