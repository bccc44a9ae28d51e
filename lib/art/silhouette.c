/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/silhouette.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Rows across the axis; more make no wall better, and a photograph has thousands. */
enum { MOST_ROWS = 500, COLUMNS = 61 };

/* A mark set by hand on a screen: common practice, no source. */
static const double MARK_U_PX = 2.0;
static const double MARK_U_SHARE = 0.003;

/* A level that stands out: so much of the vessel's own, or so many deviations of noise. */
static const double LEVEL_SHARE = 0.12;
static const double LEVEL_NOISES = 6.0;

/* An edge changes, for what it changes by, at least so steeply beside the typical one: a
 * shadow's does not. */
static const double STEEP_SHARE = 0.4;

/* Shorter than this between base and rim is no photograph of a vessel. */
static const double LEAST_AXIS_PX = 60.0;

/* ---- colours ---- */

typedef struct { double r, g, b; } Colour;

typedef struct
{
  const guint32 *pixels;
  int            width, height;
  double         linear[256];
  double         ground[6][3];  /* the background, a quadratic of x and y in -1..1 */
  double         noise;         /* of one pixel's colour, all channels */
  double         unevenness;    /* of the background about its quadratic */
} Picture;

static Colour
minus (Colour a,
       Colour b)
{
  return (Colour) { a.r - b.r, a.g - b.g, a.b - b.b };
}

static double
size_of (Colour c)
{
  return sqrt (c.r * c.r + c.g * c.g + c.b * c.b);
}

/* Light as it fell on the sensor: blur is a mean of light, so that an edge is where half of
 * it has changed. IEC 61966-2-1. What is transparent stands on white. */
static Colour
pixel (const Picture *p,
       int            x,
       int            y)
{
  const guint32 v = p->pixels[(gsize) CLAMP (y, 0, p->height - 1) * p->width + CLAMP (x, 0, p->width - 1)];
  const guint32 clear = 255 - (v >> 24);
  return (Colour) { p->linear[MIN (((v >> 16) & 255) + clear, 255)],
                    p->linear[MIN (((v >> 8) & 255) + clear, 255)],
                    p->linear[MIN ((v & 255) + clear, 255)] };
}

/* Between the middles of pixels. */
static Colour
light_at (const Picture *p,
          double         x,
          double         y)
{
  const double fx = floor (x - 0.5), fy = floor (y - 0.5);
  const double tx = x - 0.5 - fx, ty = y - 0.5 - fy;
  const int ix = (int) fx, iy = (int) fy;
  const Colour a = pixel (p, ix, iy), b = pixel (p, ix + 1, iy);
  const Colour c = pixel (p, ix, iy + 1), d = pixel (p, ix + 1, iy + 1);
  return (Colour) {
    (a.r * (1 - tx) + b.r * tx) * (1 - ty) + (c.r * (1 - tx) + d.r * tx) * ty,
    (a.g * (1 - tx) + b.g * tx) * (1 - ty) + (c.g * (1 - tx) + d.g * tx) * ty,
    (a.b * (1 - tx) + b.b * tx) * (1 - ty) + (c.b * (1 - tx) + d.b * tx) * ty,
  };
}

/* ---- the background ---- */

static void
quadratic (const Picture *p,
           double         x,
           double         y,
           double        *terms)
{
  const double u = 2.0 * x / p->width - 1.0, v = 2.0 * y / p->height - 1.0;
  terms[0] = 1.0;
  terms[1] = u;
  terms[2] = v;
  terms[3] = u * u;
  terms[4] = u * v;
  terms[5] = v * v;
}

static Colour
ground_at (const Picture *p,
           double         x,
           double         y)
{
  double terms[6];
  Colour c = { 0 };
  quadratic (p, x, y, terms);
  for (int i = 0; i < 6; i++)
    {
      c.r += terms[i] * p->ground[i][0];
      c.g += terms[i] * p->ground[i][1];
      c.b += terms[i] * p->ground[i][2];
    }
  return c;
}

/* Gaussian elimination of a symmetric positive system of n rows with m right sides. */
static gboolean
eliminate (double *a,
           double *y,
           int     n,
           int     m)
{
  for (int i = 0; i < n; i++)
    {
      if (!(a[i * n + i] > 1e-12))
        return FALSE;
      for (int k = i + 1; k < n; k++)
        {
          const double f = a[k * n + i] / a[i * n + i];
          for (int j = i; j < n; j++)
            a[k * n + j] -= f * a[i * n + j];
          for (int j = 0; j < m; j++)
            y[k * m + j] -= f * y[i * m + j];
        }
    }
  for (int i = n; i-- > 0;)
    for (int j = 0; j < m; j++)
      {
        for (int k = i + 1; k < n; k++)
          y[i * m + j] -= a[i * n + k] * y[k * m + j];
        y[i * m + j] /= a[i * n + i];
      }
  return TRUE;
}

static int
compare_doubles (const void *a,
                 const void *b)
{
  const double x = *(const double *) a, y = *(const double *) b;
  return (x > y) - (x < y);
}

/* Sorts in place. */
static double
median (double *values,
        gsize   n)
{
  qsort (values, n, sizeof (double), compare_doubles);
  return n > 0 ? values[n / 2] : 0.0;
}

typedef struct
{
  double x, y;
  Colour light;
  double weight;
  gboolean outer;
} Cell;

static void
fit_ground (Picture *p,
            Cell    *cells,
            gsize    n)
{
  double a[36] = { 0 }, y[18] = { 0 };
  for (gsize i = 0; i < n; i++)
    {
      double terms[6];
      quadratic (p, cells[i].x, cells[i].y, terms);
      const double w = cells[i].weight;
      for (int j = 0; j < 6; j++)
        {
          for (int k = 0; k < 6; k++)
            a[j * 6 + k] += w * terms[j] * terms[k];
          y[j * 3] += w * terms[j] * cells[i].light.r;
          y[j * 3 + 1] += w * terms[j] * cells[i].light.g;
          y[j * 3 + 2] += w * terms[j] * cells[i].light.b;
        }
    }
  for (int j = 0; j < 6; j++)
    a[j * 6 + j] += 1e-6;
  if (eliminate (a, y, 6, 3))
    memcpy (p->ground, y, sizeof p->ground);
}

/* Begins at the frame, where the background is, and takes in what goes on smoothly
 * from there; what does not is left out (Tukey's biweight). */
static void
find_ground (Picture *p)
{
  enum { ACROSS = 48, DOWN = 48, SAMPLES = 6 };
  g_autofree Cell *cells = g_new (Cell, ACROSS * DOWN);
  g_autofree double *steps = g_new (double, ACROSS * DOWN * SAMPLES);
  g_autofree double *off = g_new (double, ACROSS * DOWN);
  gsize n = 0, n_steps = 0;
  for (int j = 0; j < DOWN; j++)
    for (int i = 0; i < ACROSS; i++)
      {
        Cell *cell = &cells[n++];
        *cell = (Cell) { .x = (i + 0.5) * p->width / ACROSS, .y = (j + 0.5) * p->height / DOWN };
        cell->outer = i < 3 || i >= ACROSS - 3 || j < 2;
        cell->weight = cell->outer ? 1.0 : 0.0;
        for (int k = 0; k < SAMPLES * SAMPLES; k++)
          {
            const Colour c = pixel (p, (int) (cell->x + (k % SAMPLES - 2.5) * p->width / (ACROSS * (SAMPLES + 1.0))),
                                    (int) (cell->y + (k / SAMPLES - 2.5) * p->height / (DOWN * (SAMPLES + 1.0))));
            cell->light.r += c.r / (SAMPLES * SAMPLES);
            cell->light.g += c.g / (SAMPLES * SAMPLES);
            cell->light.b += c.b / (SAMPLES * SAMPLES);
          }
        for (int k = 0; k < SAMPLES && cell->outer; k++)
          {
            const int x = (int) cell->x + k, y = (int) cell->y;
            steps[n_steps++] = size_of (minus (pixel (p, x + 2, y), pixel (p, x, y)));
          }
      }
  /* The length of a difference of two colours with equal noise in each channel: its median
   * is 1.538 of one channel's sigma sqrt 2 (chi distribution, three degrees of freedom). */
  p->noise = median (steps, n_steps) / 1.538 / G_SQRT2 * sqrt (3.0);

  for (int round = 0; round < 6; round++)
    {
      fit_ground (p, cells, n);
      gsize count = 0;
      for (gsize i = 0; i < n; i++)
        if (cells[i].outer)
          off[count++] = size_of (minus (cells[i].light, ground_at (p, cells[i].x, cells[i].y)));
      p->unevenness = median (off, count);
      const double reach = 6.0 * p->unevenness + 0.5 * p->noise + 0.002;
      for (gsize i = 0; i < n; i++)
        {
          const double u = size_of (minus (cells[i].light, ground_at (p, cells[i].x, cells[i].y))) / reach;
          cells[i].weight = u < 1.0 ? (1.0 - u * u) * (1.0 - u * u) : 0.0;
        }
    }
  /* The upper end counts: a frame that is half plain is not plain. */
  gsize count = 0;
  for (gsize i = 0; i < n; i++)
    if (cells[i].outer)
      off[count++] = size_of (minus (cells[i].light, ground_at (p, cells[i].x, cells[i].y)));
  median (off, count);
  p->unevenness = off[count * 7 / 10];
}

/* ---- lines of samples ---- */

typedef struct
{
  RhyPoint from, step;    /* a pixel a step, from outside inwards */
  int      n;
} Line;

static RhyPoint
on_line (const Line *line,
         double      i)
{
  return (RhyPoint) { line->from.x + i * line->step.x, line->from.y + i * line->step.y };
}

static Colour
over_ground (const Picture *p,
             RhyPoint       at)
{
  return minus (light_at (p, at.x, at.y), ground_at (p, at.x, at.y));
}

static double
level_at (const Picture *p,
          const Line    *line,
          int            i)
{
  Colour sum = { 0 };
  for (int k = -1; k <= 1; k++)
    {
      const Colour c = over_ground (p, on_line (line, i + k));
      sum.r += c.r / 3.0;
      sum.g += c.g / 3.0;
      sum.b += c.b / 3.0;
    }
  return size_of (sum);
}

/* The first run along the line that stands out; -1: none. */
static int
first_run (const Picture *p,
           const Line    *line,
           double         threshold,
           int            least)
{
  int run = 0;
  for (int i = 0; i < line->n; i++)
    {
      run = level_at (p, line, i) > threshold ? run + 1 : 0;
      if (run >= least)
        return i - run + 1;
    }
  return -1;
}

/* How steeply colour changes, in whichever direction: Sobel's differences, which see less noise. */
static double
steepness (const Picture *p,
           RhyPoint       at)
{
  Colour n[3][3];
  for (int j = 0; j < 3; j++)
    for (int i = 0; i < 3; i++)
      if (i != 1 || j != 1)
        n[j][i] = light_at (p, at.x + i - 1.0, at.y + j - 1.0);
  Colour x = { 0 }, y = { 0 };
  for (int k = 0; k < 3; k++)
    {
      const double w = k == 1 ? 0.25 : 0.125;
      const Colour across = minus (n[k][2], n[k][0]), down = minus (n[2][k], n[0][k]);
      x = (Colour) { x.r + w * across.r, x.g + w * across.g, x.b + w * across.b };
      y = (Colour) { y.r + w * down.r, y.g + w * down.g, y.b + w * down.b };
    }
  return hypot (size_of (x), size_of (y));
}

/* The same, of what stands out just behind: blur alone decides it. Noise has a sharpness of
 * its own where nothing stands out: 0.43 of its deviation, which an edge must exceed by far. */
static double
sharpness (const Picture *p,
           const Line    *line,
           int            i,
           double         contrast)
{
  const double steep = steepness (p, on_line (line, i));
  if (steep < 1.5 * p->noise)
    return 0.0;
  double level = 0.4 * contrast;
  for (int k = i; k <= MIN (i + 6, line->n - 1); k += 2)
    level = MAX (level, level_at (p, line, k));
  return steep / level;
}

static double
sharpest_near (const Picture *p,
               const Line    *line,
               int            i,
               double         contrast)
{
  double most = 0.0;
  for (int k = MAX (i - 3, 0); k <= MIN (i + 5, line->n - 1); k++)
    most = MAX (most, sharpness (p, line, k, contrast));
  return most;
}

/* The first place from outside, near or behind where the line begins to stand out, that is as
 * steep as an edge; -1: none. */
static int
first_edge (const Picture *p,
            const Line    *line,
            int            run,
            int            reach,
            double         contrast,
            double         sharp)
{
  enum { BEFORE = 6, WITHIN = 3 };
  const int from = MAX (run - BEFORE, 1), to = MIN (run + reach, line->n - 1);
  for (int i = from; i < to; i++)
    {
      if (sharpness (p, line, i, contrast) < sharp)
        continue;
      double g = steepness (p, on_line (line, i));
      int best = i;
      for (int k = i + 1; k < to && k <= best + WITHIN; k++)
        {
          const double next = steepness (p, on_line (line, k));
          if (next > g)
            {
              g = next;
              best = k;
            }
        }
      return best;
    }
  return -1;
}

/* ---- an edge to a fraction of a pixel ---- */

enum { MOST_SAMPLES = 96 };

typedef struct
{
  int    n;
  double t[MOST_SAMPLES], y[MOST_SAMPLES];
} Samples;

/* A blurred step: background, step, and a slope behind it, for how the vessel's shading
 * goes on; these three by linear least squares for each place and blur. The slope is
 * held near 0 or it would take the step's part. Returns the sum of squares. */
static double
step_misfit (const Samples *s,
             double         place,
             double         blur,
             double        *step)
{
  double a[9] = { 0 }, y[3] = { 0 }, basis[MOST_SAMPLES][3];
  for (int i = 0; i < s->n; i++)
    {
      const double u = (s->t[i] - place) / blur;
      const double share = 0.5 * erfc (-u / G_SQRT2);
      basis[i][0] = 1.0;
      basis[i][1] = share;
      basis[i][2] = blur * (u * share + exp (-0.5 * u * u) / sqrt (2.0 * G_PI));
      for (int j = 0; j < 3; j++)
        {
          for (int k = 0; k < 3; k++)
            a[j * 3 + k] += basis[i][j] * basis[i][k];
          y[j] += basis[i][j] * s->y[i];
        }
    }
  a[8] += 4.0 * blur * blur;
  a[0] += 1e-9;
  a[4] += 1e-9;
  if (!eliminate (a, y, 3, 1))
    return G_MAXDOUBLE;
  double sum = 0.0;
  for (int i = 0; i < s->n; i++)
    {
      const double off = s->y[i] - basis[i][0] * y[0] - basis[i][1] * y[1] - basis[i][2] * y[2];
      sum += off * off;
    }
  *step = y[1];
  return sum + 4.0 * blur * blur * y[2] * y[2];
}

/* Newton's method with second differences, place and blur in turn: they hardly depend on
 * each other. */
static gboolean
refine_edge (const Samples *s,
             double        *place,
             double        *blur)
{
  const double start = *place;
  double step;
  double width = log (*blur);
  for (int round = 0; round < 8; round++)
    {
      const double h = 0.15 * exp (width);
      const double here = step_misfit (s, *place, exp (width), &step);
      const double low = step_misfit (s, *place - h, exp (width), &step);
      const double high = step_misfit (s, *place + h, exp (width), &step);
      const double bend = low + high - 2.0 * here;
      const double move = bend > 0.0 ? 0.5 * h * (low - high) / bend : low < high ? -h : h;
      *place += CLAMP (move, -exp (width), exp (width));

      const double dw = 0.1;
      const double now = step_misfit (s, *place, exp (width), &step);
      const double less = step_misfit (s, *place, exp (width - dw), &step);
      const double more = step_misfit (s, *place, exp (width + dw), &step);
      const double curve = less + more - 2.0 * now;
      const double change = curve > 0.0 ? 0.5 * dw * (less - more) / curve : less < more ? -dw : dw;
      width = CLAMP (width + CLAMP (change, -0.3, 0.3), log (0.3), log (15.0));
      if (fabs (move) < 1e-3 && fabs (change) < 1e-2)
        break;
    }
  *blur = exp (width);
  step_misfit (s, *place, *blur, &step);
  return step > 0.0 && fabs (*place - start) <= 2.0 * *blur + 2.0;
}

/* Where the edge near sample @i lies along the line, and its blur along it. */
static gboolean
locate_edge (const Picture *p,
             const Line    *line,
             int            i,
             double        *place,
             double        *blur)
{
  /* Seen along the direction in colour from the background to what is inside. */
  Colour inside = { 0 }, outside = { 0 };
  for (int k = 0; k < 3; k++)
    {
      const Colour in = over_ground (p, on_line (line, i + 1 + k));
      const Colour out = over_ground (p, on_line (line, i - 2 - k));
      inside = (Colour) { inside.r + in.r / 3.0, inside.g + in.g / 3.0, inside.b + in.b / 3.0 };
      outside = (Colour) { outside.r + out.r / 3.0, outside.g + out.g / 3.0, outside.b + out.b / 3.0 };
    }
  const Colour change = minus (inside, outside);
  const double size = size_of (change);
  if (!(size > 0.0))
    return FALSE;

  double along[2 * MOST_SAMPLES];
  const int from = MAX (i - MOST_SAMPLES / 2, 0), to = MIN (i + MOST_SAMPLES / 2, line->n);
  for (int k = from; k < to; k++)
    {
      const Colour c = over_ground (p, on_line (line, k));
      along[k - from] = (c.r * change.r + c.g * change.g + c.b * change.b) / size;
    }
  /* The line may cross the edge aslant, which spreads it. */
  double steep = 0.0;
  for (int k = MAX (i - 1, from + 1); k <= MIN (i + 1, to - 2); k++)
    steep = MAX (steep, 0.5 * (along[k + 1 - from] - along[k - 1 - from]));
  if (!(steep > 0.0))
    return FALSE;
  double rough = CLAMP (size / (steep * sqrt (2.0 * G_PI)), 0.4, 12.0);

  for (int pass = 0; pass < 2; pass++)
    {
      const int reach = (int) ceil (3.0 * rough + 2.0);
      Samples s = { 0 };
      /* Not past the crest behind the edge: a glass has a dark rim with light behind it. */
      double crest = -G_MAXDOUBLE;
      for (int k = MAX (i - reach, from); k <= MIN (i + reach, to - 1) && s.n < MOST_SAMPLES; k++)
        {
          const double y = along[k - from];
          if (k > i + 1 && y < crest - 0.25 * size)
            break;
          if (k > i)
            crest = MAX (crest, y);
          s.t[s.n] = k;
          s.y[s.n++] = y;
        }
      if (s.n < 5)
        return FALSE;
      *place = i;
      *blur = rough;
      if (!refine_edge (&s, place, blur))
        return FALSE;
      rough = CLAMP (*blur, 0.4, 12.0);
      i = (int) lround (*place);
      if (i <= from + 1 || i >= to - 2)
        return FALSE;
    }
  return TRUE;
}

/* ---- the sides ---- */

typedef struct
{
  const Picture *picture;
  RhyPoint       base, up, right;   /* the marked axis, pixels */
  double         length;
  double         contrast, threshold;
  double         sharp;
  int            least_run;
} Search;

static RhyPoint
place_of (const Search *search,
          double        along,
          double        across)
{
  return (RhyPoint) { search->base.x + along * search->up.x + across * search->right.x,
                      search->base.y + along * search->up.y + across * search->right.y };
}

static double
side_of (const Search *search,
         RhyPoint      at)
{
  return (at.x - search->base.x) * search->right.x + (at.y - search->base.y) * search->right.y;
}

/* How far from a point in a direction the picture reaches. */
static double
room (const Picture *p,
      RhyPoint       at,
      RhyPoint       direction)
{
  double most = 1e9;
  if (direction.x != 0.0)
    most = MIN (most, ((direction.x > 0.0 ? p->width : 0.0) - at.x) / direction.x);
  if (direction.y != 0.0)
    most = MIN (most, ((direction.y > 0.0 ? p->height : 0.0) - at.y) / direction.y);
  return most;
}

/* From the picture's edge to the axis. */
static gboolean
side_line (const Search *search,
           double        along,
           int           s,
           Line         *line)
{
  const RhyPoint axis = place_of (search, along, 0.0);
  const double sign = s == 0 ? -1.0 : 1.0;
  const RhyPoint out = { sign * search->right.x, sign * search->right.y };
  const Picture *p = search->picture;
  if (!(axis.x > 0.0 && axis.y > 0.0 && axis.x < p->width && axis.y < p->height))
    return FALSE;
  const int n = (int) floor (room (p, axis, out));
  *line = (Line) { .from = { axis.x + n * out.x, axis.y + n * out.y }, .step = { -out.x, -out.y }, .n = n };
  return n > 8;
}

static double
row_along (const Search     *search,
           const RhyOutline *o,
           gsize             row)
{
  return search->length * (-0.03 + 1.06 * (double) row / (double) (o->n_rows - 1));
}

/* What stands out in most rows, and how much. */
static double
find_contrast (const Search     *search,
               const RhyOutline *o)
{
  g_autofree double *most = g_new (double, o->n_rows);
  gsize n = 0;
  for (gsize row = 0; row < o->n_rows; row += MAX (o->n_rows / 80, 1))
    {
      const double along = row_along (search, o, row);
      double here = 0.0;
      for (int s = 0; s < 2 && along >= 0.0 && along <= search->length; s++)
        {
          Line line;
          if (!side_line (search, along, s, &line))
            continue;
          for (int i = 0; i < line.n; i++)
            here = MAX (here, level_at (search->picture, &line, i));
        }
      if (along >= 0.0 && along <= search->length)
        most[n++] = here;
    }
  return median (most, n);
}

/* A first look at where each row stands out, for how steep the edges typically are. */
static gboolean
look_over (Search           *search,
           const RhyOutline *o,
           GError          **error)
{
  enum { CUT = 3 };
  g_autofree double *sharp = g_new (double, 2 * o->n_rows);
  gsize n = 0, cut = 0, looked = 0, with_edge[2] = { 0 };
  for (gsize row = 0; row < o->n_rows; row += MAX (o->n_rows / 200, 1))
    for (int s = 0; s < 2; s++)
      {
        Line line;
        const double along = row_along (search, o, row);
        if (along < 0.0 || along > search->length || !side_line (search, along, s, &line))
          continue;
        looked++;
        const int run = first_run (search->picture, &line, search->threshold, search->least_run);
        if (run >= 0 && run < CUT)
          cut++;
        else if (run >= 0)
          {
            sharp[n++] = sharpest_near (search->picture, &line, run, search->contrast);
            with_edge[s]++;
          }
      }
  if (cut * 40 > looked)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "something reaches the picture's edge beside the axis in %" G_GSIZE_FORMAT " of %" G_GSIZE_FORMAT
                   " rows: the vessel must be in the picture whole, with plain background on both sides", cut, looked);
      return FALSE;
    }
  if (MIN (with_edge[0], with_edge[1]) * 4 < looked)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "an edge left of the axis in %" G_GSIZE_FORMAT " and right of it in %" G_GSIZE_FORMAT " of %" G_GSIZE_FORMAT
                   " rows only: the axis must go through the vessel from its base to its rim",
                   with_edge[0], with_edge[1], looked / 2);
      return FALSE;
    }
  search->sharp = STEEP_SHARE * median (sharp, n);
  return TRUE;
}

static void
find_sides (const Search *search,
            RhyOutline   *o)
{
  g_autofree double *blurs = g_new (double, 2 * o->n_rows);
  const int reach = CLAMP ((int) (0.1 * search->length), 12, 240);
  gsize n = 0;
  for (gsize row = 0; row < o->n_rows; row++)
    for (int s = 0; s < 2; s++)
      {
        Line line;
        double place, blur;
        o->side[s][row] = (RhyPoint) { NAN, NAN };
        if (!side_line (search, row_along (search, o, row), s, &line))
          continue;
        const int run = first_run (search->picture, &line, search->threshold, search->least_run);
        const int edge = run < 0 ? -1 : first_edge (search->picture, &line, run, reach, search->contrast, search->sharp);
        if (edge < 3 || edge > line.n - 4 || !locate_edge (search->picture, &line, edge, &place, &blur))
          continue;
        o->side[s][row] = on_line (&line, place);
        blurs[n++] = blur;
      }
  o->blur_px = n > 0 ? median (blurs, n) : 1.0;
}

/* Second differences of a straight row of points have no mean and sqrt 6 of their noise. */
static double
find_noise (const Search     *search,
            const RhyOutline *o)
{
  g_autofree double *off = g_new (double, 2 * o->n_rows);
  gsize n = 0;
  for (int s = 0; s < 2; s++)
    for (gsize i = 1; i + 1 < o->n_rows; i++)
      if (isfinite (o->side[s][i - 1].x) && isfinite (o->side[s][i].x) && isfinite (o->side[s][i + 1].x))
        off[n++] = fabs (side_of (search, o->side[s][i - 1]) - 2.0 * side_of (search, o->side[s][i])
                         + side_of (search, o->side[s][i + 1]));
  return n > 0 ? median (off, n) / 0.6745 / sqrt (6.0) : G_MAXDOUBLE;
}

/* A point far off the straight line of its neighbours is a speck or a reflection. */
static gsize
drop_strays (const Search *search,
             RhyOutline   *o)
{
  enum { AROUND = 5 };
  gsize n = 0;
  for (int s = 0; s < 2; s++)
    {
      g_autofree gboolean *stray = g_new0 (gboolean, o->n_rows);
      for (gsize i = 0; i < o->n_rows; i++)
        {
          double here[2 * AROUND + 1];
          gsize count = 0;
          if (!isfinite (o->side[s][i].x))
            continue;
          for (gsize k = 1; k <= AROUND; k++)
            if (i >= k && i + k < o->n_rows && isfinite (o->side[s][i - k].x) && isfinite (o->side[s][i + k].x))
              here[count++] = 0.5 * (side_of (search, o->side[s][i - k]) + side_of (search, o->side[s][i + k]));
          /* A curve's chord lies inside: allow for what its neighbours bend. */
          if (count < 2)
            {
              stray[i] = i >= AROUND && i + AROUND < o->n_rows;
              continue;
            }
          double spread[2 * AROUND + 1];
          const double mid = here[0];
          for (gsize k = 0; k < count; k++)
            spread[k] = fabs (here[k] - mid);
          const double bend = median (spread, count);
          stray[i] = fabs (side_of (search, o->side[s][i]) - mid) > 6.0 * o->noise_px + 0.5 + 2.0 * bend;
        }
      for (gsize i = 0; i < o->n_rows; i++)
        {
          if (stray[i])
            o->side[s][i] = (RhyPoint) { NAN, NAN };
          n += isfinite (o->side[s][i].x);
        }
    }
  return n;
}

/* ---- the ends ---- */

typedef struct { RhyPoint at; double across, along; } EndPoint;

/* Half the width inside an end, and where its middle is. */
static gboolean
width_near (const Search     *search,
            const RhyOutline *o,
            int               e,
            double           *left,
            double           *right)
{
  g_autofree double *lefts = g_new (double, o->n_rows);
  g_autofree double *rights = g_new (double, o->n_rows);
  gsize n = 0;
  for (gsize i = 0; i < o->n_rows; i++)
    {
      const double along = row_along (search, o, i);
      const double inside = e == 0 ? along : search->length - along;
      if (inside < 0.01 * search->length || inside > 0.04 * search->length || !isfinite (o->side[0][i].x)
          || !isfinite (o->side[1][i].x))
        continue;
      lefts[n] = side_of (search, o->side[0][i]);
      rights[n++] = side_of (search, o->side[1][i]);
    }
  if (n < 3)
    return FALSE;
  *left = median (lefts, n);
  *right = median (rights, n);
  return TRUE;
}

static gsize
find_end_points (const Search *search,
                 int           e,
                 double        left,
                 double        right,
                 EndPoint     *points)
{
  const double sign = e == 0 ? -1.0 : 1.0;
  const double half = 0.5 * (right - left), middle = 0.5 * (right + left);
  const double mark = e == 0 ? 0.0 : search->length;
  const RhyPoint out = { sign * search->up.x, sign * search->up.y };
  gsize n = 0;
  for (int k = 0; k < COLUMNS; k++)
    {
      const double across = middle + 0.8 * half * (2.0 * k / (COLUMNS - 1) - 1.0);
      const RhyPoint at = place_of (search, mark, across);
      const double beyond = MIN (0.06 * search->length + 0.4 * half, floor (room (search->picture, at, out) - 2.0));
      const double within = 0.06 * search->length + 8.0;
      if (beyond < 6.0)
        continue;
      const Line line = { .from = { at.x + beyond * out.x, at.y + beyond * out.y }, .step = { -out.x, -out.y },
                          .n = (int) (beyond + within) };
      /* Nothing but background outside: a stem or a foot is no end. */
      const int run = first_run (search->picture, &line, search->threshold, 3);
      const int edge = run < 3 ? -1 : first_edge (search->picture, &line, run, (int) within, search->contrast, search->sharp);
      double place, blur;
      if (edge < 3 || edge > line.n - 4 || !locate_edge (search->picture, &line, edge, &place, &blur))
        continue;
      const RhyPoint found = on_line (&line, place);
      points[n++] = (EndPoint) { found, (across - middle) / half,
                                 (found.x - search->base.x) * search->up.x + (found.y - search->base.y) * search->up.y };
    }
  return n;
}

/* A ring's nearer or farther edge is half an ellipse as wide as the sides. Points off
 * it are left out; an end with too few left, or far from the mark, is none. */
static void
find_end (const Search *search,
          RhyOutline   *o,
          int           e)
{
  EndPoint points[COLUMNS];
  double left, right;
  if (!width_near (search, o, e, &left, &right))
    return;
  gsize n = find_end_points (search, e, left, right, points);
  double level = 0.0, bulge = 0.0, scatter = 0.0;
  for (int round = 0; round < 4 && n >= COLUMNS / 2; round++)
    {
      double a[4] = { 0 }, y[2] = { 0 }, off[COLUMNS];
      for (gsize i = 0; i < n; i++)
        {
          const double f = sqrt (1.0 - points[i].across * points[i].across);
          a[0] += 1.0;
          a[1] += f;
          a[3] += f * f;
          y[0] += points[i].along;
          y[1] += f * points[i].along;
        }
      a[2] = a[1];
      if (!eliminate (a, y, 2, 1))
        return;
      level = y[0];
      bulge = y[1];
      double sum = 0.0;
      for (gsize i = 0; i < n; i++)
        {
          off[i] = fabs (points[i].along - level - bulge * sqrt (1.0 - points[i].across * points[i].across));
          sum += off[i] * off[i];
        }
      scatter = sqrt (sum / (double) n);
      double sorted[COLUMNS];
      memcpy (sorted, off, sizeof off);
      const double limit = 3.0 * median (sorted, n) / 0.6745 + 0.1;
      gsize kept = 0;
      for (gsize i = 0; i < n; i++)
        if (off[i] <= limit)
          points[kept++] = points[i];
      n = kept;
    }
  const double mark = e == 0 ? 0.0 : search->length;
  if (n < COLUMNS / 2 || scatter > 1.0 + 0.5 * o->blur_px || fabs (level - mark) > 4.0 * o->mark_u_px + 2.0)
    return;
  o->end[e] = g_new (RhyPoint, n);
  o->n_end[e] = n;
  for (gsize i = 0; i < n; i++)
    o->end[e][i] = points[i].at;
  o->end_noise_px[e] = MAX (scatter, 0.1);
}

/* ---- all of it ---- */

static gboolean
is_inside (const Picture *p,
           RhyPoint       at)
{
  return at.x >= 0.0 && at.y >= 0.0 && at.x <= p->width && at.y <= p->height;
}

static gboolean
begin_search (Search           *search,
              Picture          *p,
              const RhyOutline *o,
              GError          **error)
{
  find_ground (p);
  const double contrast = find_contrast (search, o);
  const double noise = LEVEL_NOISES * p->noise / sqrt (3.0);
  if (!(contrast > MAX (1.2 * noise, 0.01)))
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                           "nothing stands out from the background between the marks: set the vessel against a plain "
                           "background much lighter or darker than itself");
      return FALSE;
    }
  if (p->unevenness > 0.2 * contrast || noise > contrast)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "the background is not plain: it varies by %.0f %% of what the vessel stands out by, allowed is 20 %%; "
                   "hang a sheet of one colour behind the vessel", 100.0 * MAX (p->unevenness, noise / 6.0) / contrast);
      return FALSE;
    }
  search->contrast = contrast;
  search->threshold = MAX (MAX (LEVEL_SHARE * contrast, noise), 3.0 * p->unevenness);
  search->least_run = MAX (3, (int) (0.003 * search->length));
  return look_over (search, o, error);
}

RhyOutline *
rhy_silhouette_find (const RhyRaster *picture,
                     RhyPoint         base,
                     RhyPoint         rim,
                     GError         **error)
{
  g_return_val_if_fail (picture != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  g_autofree Picture *p = g_new0 (Picture, 1);
  p->pixels = rhy_raster_get_pixels (picture);
  p->width = (int) rhy_raster_get_width (picture);
  p->height = (int) rhy_raster_get_height (picture);
  for (int i = 0; i < 256; i++)
    p->linear[i] = i <= 10 ? i / 255.0 / 12.92 : pow ((i / 255.0 + 0.055) / 1.055, 2.4);
  const double length = hypot (rim.x - base.x, rim.y - base.y);
  if (!is_inside (p, base) || !is_inside (p, rim) || !(length >= LEAST_AXIS_PX))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "axis from (%.0f, %.0f) to (%.0f, %.0f): wanted two points within the picture of %d x %d pixels, "
                   "at least %.0f pixels apart, base first", base.x, base.y, rim.x, rim.y, p->width, p->height, LEAST_AXIS_PX);
      return NULL;
    }

  const RhyPoint up = { (rim.x - base.x) / length, (rim.y - base.y) / length };
  Search search = { .picture = p, .base = base, .up = up, .right = { -up.y, up.x }, .length = length };
  g_autoptr (RhyOutline) o = g_new0 (RhyOutline, 1);
  *o = (RhyOutline) { .width = (guint) p->width, .height = (guint) p->height, .base = base, .rim = rim,
                      .mark_u_px = MAX (MARK_U_PX, MARK_U_SHARE * length),
                      .n_rows = MIN ((gsize) (1.06 * length) + 1, MOST_ROWS) };
  for (int s = 0; s < 2; s++)
    o->side[s] = g_new (RhyPoint, o->n_rows);

  if (!begin_search (&search, p, o, error))
    return NULL;
  find_sides (&search, o);
  o->noise_px = find_noise (&search, o);
  const gsize found = drop_strays (&search, o);
  if (found < o->n_rows * 3 / 5)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "a clear edge in %.0f %% of the rows only, at least 30 %% of both sides together are needed: use a plainer "
                   "background, softer light, and a sharp picture", 50.0 * (double) found / (double) o->n_rows);
      return NULL;
    }
  if (o->noise_px > 0.01 * length)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "the outline jumps by %.0f pixels from row to row: the background is not plain, or the vessel is not all "
                   "of the picture that stands out", o->noise_px);
      return NULL;
    }
  o->noise_px = MAX (o->noise_px, 0.02);
  find_end (&search, o, 0);
  find_end (&search, o, 1);
  return g_steal_pointer (&o);
}
