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

/* Dots a side of the cells in which places are interpolated, and how far off, dots, they may be there. */
#define CELL 9
#define OFF_MOST (1.0 / 256.0)

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

/* Dots of a row, from @from up to before @to. */
typedef struct { int from, to; } Stretch;

typedef struct
{
  const RhyPaint    *paint;
  const RhyMap      *map;
  const RhyGrid     *grid;
  RhyAffine          to_own;
  const RhyPyramid  *pyramid;   /* pictures */
  const RhyGradient *gradient;
  const Stretch     *rows;      /* (array length=height) what is wanted of each */
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

/* Places of the dots [x0, x0 + across) x [y0, y0 + down) of the grid; -1 is a dot beside it. */
typedef struct
{
  int     x0, y0;
  guint   across, down;
  double *x, *y;                /* (array length=across*down) in the paint's own space */
  guint8 *valid;
} Places;

static double
dot_x (const RhyGrid *grid,
       double         i)
{
  return grid->corner.x + (i + 0.5) * grid->pitch_mm;
}

static double
dot_y (const RhyGrid *grid,
       double         j)
{
  return grid->corner.y + (j + 0.5) * grid->pitch_mm;
}

/* Every dot through the map. */
static void
find_each (const Warp   *warp,
           const Places *places)
{
  const gsize n = (gsize) places->across * places->down;
  gsize at = 0;
  for (guint j = 0; j < places->down; j++)
    for (guint i = 0; i < places->across; i++, at++)
      {
        places->x[at] = dot_x (warp->grid, places->x0 + (int) i);
        places->y[at] = dot_y (warp->grid, places->y0 + (int) j);
      }
  to_own_space (warp, n, places->x, places->y, places->valid);
}

/* Nodes half a cell apart. */
typedef struct
{
  guint   across, down;         /* cells */
  double  step_x, step_y;       /* dots between two nodes */
  double *x, *y;
  guint8 *valid;
} Lattice;

static RhyPoint
node (const Lattice *lattice,
      gsize          i,
      gsize          j)
{
  const gsize at = j * (2 * lattice->across + 1) + i;
  return (RhyPoint) { lattice->x[at], lattice->y[at] };
}

static double
square_from_middle (RhyPoint a,
                    RhyPoint b,
                    RhyPoint p)
{
  const double x = p.x - 0.5 * (a.x + b.x);
  const double y = p.y - 0.5 * (a.y + b.y);
  return x * x + y * y;
}

/* Whether places within a cell follow from its corners: at the middle and those of the sides they
 * would be farthest off. */
static gboolean
is_even (const Lattice *lattice,
         guint          p,
         guint          q)
{
  const gsize i = 2 * (gsize) p;
  const gsize j = 2 * (gsize) q;
  const gsize stride = 2 * lattice->across + 1;
  for (gsize k = 0; k < 9; k++)
    if (!lattice->valid[(j + k / 3) * stride + i + k % 3])
      return FALSE;
  const RhyPoint a = node (lattice, i, j), b = node (lattice, i + 2, j);
  const RhyPoint c = node (lattice, i, j + 2), d = node (lattice, i + 2, j + 2);
  const RhyPoint left = node (lattice, i, j + 1), right = node (lattice, i + 2, j + 1);
  double off = square_from_middle (a, b, node (lattice, i + 1, j));
  off = MAX (off, square_from_middle (c, d, node (lattice, i + 1, j + 2)));
  off = MAX (off, square_from_middle (a, c, left));
  off = MAX (off, square_from_middle (b, d, right));
  off = MAX (off, square_from_middle (left, right, node (lattice, i + 1, j + 1)));
  const double wide = 4.0 * square_from_middle (a, a, b) / (lattice->step_x * lattice->step_x);
  const double high = 4.0 * square_from_middle (a, a, c) / (lattice->step_y * lattice->step_y);
  return off <= OFF_MOST * OFF_MOST * MIN (wide, high) / 16.0;
}

static void
fill_cell (const Warp    *warp,
           const Lattice *lattice,
           guint          p,
           guint          q,
           const Places  *places)
{
  const double wide = 2.0 * lattice->step_x;
  const double high = 2.0 * lattice->step_y;
  const guint i0 = (guint) ceil (p * wide);
  const guint j0 = (guint) ceil (q * high);
  const guint i1 = p + 1 == lattice->across ? places->across : (guint) ceil ((p + 1) * wide);
  const guint j1 = q + 1 == lattice->down ? places->down : (guint) ceil ((q + 1) * high);
  if (!is_even (lattice, p, q))
    {
      double x[(CELL + 2) * (CELL + 2)], y[(CELL + 2) * (CELL + 2)];
      guint8 valid[(CELL + 2) * (CELL + 2)];
      const Places own = { places->x0 + (int) i0, places->y0 + (int) j0, i1 - i0, j1 - j0, x, y, valid };
      find_each (warp, &own);
      for (guint j = j0; j < j1; j++)
        {
          const gsize to = (gsize) j * places->across + i0;
          const gsize from = (gsize) (j - j0) * own.across;
          memcpy (places->x + to, x + from, own.across * sizeof (double));
          memcpy (places->y + to, y + from, own.across * sizeof (double));
          memcpy (places->valid + to, valid + from, own.across);
        }
      return;
    }
  const RhyPoint a = node (lattice, 2 * p, 2 * q), b = node (lattice, 2 * p + 2, 2 * q);
  const RhyPoint c = node (lattice, 2 * p, 2 * q + 2), d = node (lattice, 2 * p + 2, 2 * q + 2);
  for (guint j = j0; j < j1; j++)
    {
      const double v = (j - q * high) / high;
      const RhyPoint from = { a.x + v * (c.x - a.x), a.y + v * (c.y - a.y) };
      const RhyPoint to = { b.x + v * (d.x - b.x), b.y + v * (d.y - b.y) };
      const double dx = (to.x - from.x) / wide;
      const double dy = (to.y - from.y) / wide;
      const gsize row = (gsize) j * places->across;
      for (guint i = i0; i < i1; i++)
        {
          places->x[row + i] = from.x + (i - p * wide) * dx;
          places->y[row + i] = from.y + (i - p * wide) * dy;
          places->valid[row + i] = 1;
        }
    }
}

/* A map may cost a dozen sines a point, and bends little within a cell of dots. */
static void
find_places (const Warp   *warp,
             const Places *places)
{
  RhyAffine m;
  if (warp->map == NULL || rhy_map_is_affine (warp->map, &m))
    {
      find_each (warp, places);
      return;
    }
  Lattice lattice = { .across = (places->across - 2) / CELL + 1, .down = (places->down - 2) / CELL + 1 };
  lattice.step_x = 0.5 * (places->across - 1) / lattice.across;
  lattice.step_y = 0.5 * (places->down - 1) / lattice.down;
  const gsize n = (2 * (gsize) lattice.across + 1) * (2 * (gsize) lattice.down + 1);
  g_autofree double *x = lattice.x = g_new (double, n);
  g_autofree double *y = lattice.y = g_new (double, n);
  g_autofree guint8 *valid = lattice.valid = g_new (guint8, n);
  gsize at = 0;
  for (guint j = 0; j <= 2 * lattice.down; j++)
    for (guint i = 0; i <= 2 * lattice.across; i++, at++)
      {
        x[at] = dot_x (warp->grid, places->x0 + i * lattice.step_x);
        y[at] = dot_y (warp->grid, places->y0 + j * lattice.step_y);
      }
  to_own_space (warp, n, x, y, valid);
  for (guint q = 0; q < lattice.down; q++)
    for (guint p = 0; p < lattice.across; p++)
      fill_cell (warp, &lattice, p, q, places);
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

/* How much the places on a gradient of the neighbours differ; by amount, since a middle lies between likes. */
static double
step_along (const double *t,
            const guint8 *valid,
            gsize         at,
            gssize        by)
{
  const double before = valid[at - by] ? fabs (t[at] - t[at - by]) : 0.0;
  const double after = valid[at + by] ? fabs (t[at + by] - t[at]) : 0.0;
  return (valid[at - by] && valid[at + by] ? 0.5 : 1.0) * (before + after);
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
  const double apart = sqrt (0.25 * (a - c) * (a - c) + b * b);
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
  Stretch all = { (int) grid->width, 0 };
  for (guint j = y0; j < y1; j++)
    all = (Stretch) { MIN (all.from, warp->rows[j].from), MAX (all.to, warp->rows[j].to) };
  if (all.from >= all.to)
    return;
  /* A dot more all round, to tell how neighbours differ. */
  const gsize across = (gsize) (all.to - all.from) + 2;
  const gsize n = across * (y1 - y0 + 2);
  g_autofree double *x = g_new (double, n);
  g_autofree double *y = g_new (double, n);
  g_autofree guint8 *valid = g_new (guint8, n);
  const Places places = { all.from - 1, (int) y0 - 1, (guint) across, y1 - y0 + 2, x, y, valid };
  find_places (warp, &places);
  if (warp->gradient != NULL)
    rhy_gradient_places (warp->gradient, n, x, y, valid);

  for (guint j = y0; j < y1; j++)
    for (int i = warp->rows[j].from; i < warp->rows[j].to; i++)
      {
        const gsize from = (gsize) (j - y0 + 1) * across + (gsize) (i - all.from) + 1;
        const gsize to = (gsize) j * grid->width + (gsize) i;
        warp->imaged[to] = valid[from] != 0;
        if (!valid[from])
          continue;
        if (warp->gradient != NULL)
          {
            const double right = step_along (x, valid, from, 1);
            const double down = step_along (x, valid, from, (gssize) across);
            warp->pixels[to] = rhy_gradient_colour (warp->gradient, x[from], sqrt (right * right + down * down));
            continue;
          }
        const RhyPoint right = step_at (x, y, valid, from, 1);
        const RhyPoint down = step_at (x, y, valid, from, (gssize) across);
        warp->pixels[to] = picture_colour (warp, (RhyPoint) { x[from], y[from] }, right, down);
        if (warp->paint->alpha < 1.0)
          warp->pixels[to] = faded (warp->pixels[to], MAX (warp->paint->alpha, 0.0));
      }
}

/* --- which dots are wanted ------------------------------------------------ */

/* Widens the rows from @low to @high, places in dots, to hold [left, right]. */
static void
want (const RhyGrid *grid,
      Stretch       *rows,
      double         low,
      double         high,
      double         left,
      double         right)
{
  const int last = (int) grid->height - 1;
  const int from = (int) CLAMP (floor (left), 0.0, grid->width);
  const int to = (int) CLAMP (ceil (right), 0.0, grid->width);
  const int j1 = (int) CLAMP (floor (high), -1.0, last);
  for (int j = (int) CLAMP (floor (low), 0.0, last + 1.0); j <= j1; j++)
    rows[j] = (Stretch) { MIN (rows[j].from, from), MAX (rows[j].to, to) };
}

/* On each row all between the outermost edges: a line's part within a row is no wider than the line
 * has room for there. */
static void
want_line (const RhyGrid *grid,
           Stretch       *rows,
           RhyPoint       a,
           RhyPoint       b,
           double         margin)
{
  const RhyPoint top = a.y < b.y ? a : b;
  const RhyPoint bottom = a.y < b.y ? b : a;
  const double low = MAX (floor (top.y - margin), 0.0);
  const double high = MIN (bottom.y + margin, grid->height);
  const double slope = bottom.y > top.y ? (bottom.x - top.x) / (bottom.y - top.y) : 0.0;
  if (!(bottom.y - top.y > 1.0))
    {
      want (grid, rows, low, high, MIN (a.x, b.x) - margin, MAX (a.x, b.x) + margin);
      return;
    }
  for (double j = low; j <= high; j += 1.0)
    {
      const double x0 = top.x + slope * (CLAMP (j - margin, top.y, bottom.y) - top.y);
      const double x1 = top.x + slope * (CLAMP (j + 1.0 + margin, top.y, bottom.y) - top.y);
      want (grid, rows, j, j, MIN (x0, x1) - margin, MAX (x0, x1) + margin);
    }
}

static void
find_wanted (const RhyGrid *grid,
             const RhyPath *outline,
             double         margin_mm,
             Stretch       *rows)
{
  const double pitch = grid->pitch_mm;
  const double margin = margin_mm / pitch + 2.0;        /* whoever shows it interpolates */
  g_autoptr (RhyPath) flat = rhy_path_flatten (outline, 0.5 * pitch);
  const RhyAffine to_dots = { 1.0 / pitch, 0.0, 0.0, 1.0 / pitch, -grid->corner.x / pitch, -grid->corner.y / pitch };
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0.0, 0.0 };
  RhyPoint end = { 0.0, 0.0 };
  gboolean any = FALSE;
  for (guint j = 0; j < grid->height; j++)
    rows[j] = (Stretch) { (int) grid->width, 0 };
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    {
      const RhyPoint a = rhy_affine_apply (to_dots, g.p[0]);
      if (g.first && any)
        want_line (grid, rows, end, start, margin);     /* fills close what is open */
      if (g.first)
        start = a;
      end = rhy_affine_apply (to_dots, g.p[1]);
      any = TRUE;
      want_line (grid, rows, a, end, margin);
    }
  if (any)
    want_line (grid, rows, end, start, margin);
}

/* What is not wanted is like what is wanted beside it, so that it takes no room in a file. */
static void
spread_wanted (Warp *warp)
{
  const guint width = warp->grid->width;
  const guint32 *above = NULL;
  guint first = 0;
  for (guint j = 0; j < warp->grid->height; j++)
    {
      guint32 *row = warp->pixels + (gsize) j * width;
      const Stretch s = warp->rows[j];
      if (s.from < s.to)
        {
          for (int i = 0; i < s.from; i++)
            row[i] = row[s.from];
          for (int i = s.to; i < (int) width; i++)
            row[i] = row[s.to - 1];
          if (above == NULL)
            first = j;
          above = row;
        }
      else if (above != NULL)
        memcpy (row, above, width * sizeof *row);
    }
  for (guint j = 0; j < first; j++)
    memcpy (warp->pixels + (gsize) j * width, warp->pixels + (gsize) first * width, width * sizeof *warp->pixels);
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
    for (int x = warp->rows[y].from; x < warp->rows[y].to; x++)
      {
        const gsize at = (gsize) y * grid->width + (gsize) x;
        if (!warp->imaged[at])
          warp->pixels[at] = mean_of_neighbours (warp, (guint) x, y);
      }
}

RhyPaint *
rhy_paint_warped (const RhyPaint *self,
                  const RhyMap   *map,
                  const RhyGrid  *grid)
{
  return rhy_paint_warped_inside (self, map, grid, NULL, 0.0);
}

RhyPaint *
rhy_paint_warped_inside (const RhyPaint *self,
                         const RhyMap   *map,
                         const RhyGrid  *grid,
                         const RhyPath  *outline,
                         double          margin_mm)
{
  g_return_val_if_fail (self != NULL && grid != NULL && grid->pitch_mm > 0.0, NULL);
  g_return_val_if_fail (grid->width > 0 && grid->height > 0
                        && (guint64) grid->width * grid->height <= RHY_RASTER_PIXELS_MAX, NULL);

  const gsize n = (gsize) grid->width * grid->height;
  g_autofree guint8 *imaged = g_new0 (guint8, n);
  g_autofree Stretch *rows = g_new (Stretch, grid->height);
  Warp warp = { .paint = self, .map = map, .grid = grid, .rows = rows, .pixels = g_new0 (guint32, n), .imaged = imaged };
  g_autoptr (RhyPyramid) pyramid = NULL;
  g_autoptr (RhyGradient) gradient = NULL;
  if (outline != NULL)
    find_wanted (grid, outline, margin_mm, rows);
  for (guint j = 0; j < grid->height && outline == NULL; j++)
    rows[j] = (Stretch) { 0, (int) grid->width };
  if (invert (self->matrix, &warp.to_own))
    {
      if (self->kind == RHY_PAINT_RASTER)
        warp.pyramid = pyramid = rhy_pyramid_new (self->raster, self->extend, deepest_level (&warp));
      else
        warp.gradient = gradient = rhy_gradient_new (self);
      rhy_parallel ((grid->height + STRIP - 1) / STRIP, 0, warp_strip, &warp);
      carry_on (&warp);
      spread_wanted (&warp);
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
