/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "lay-private.h"

#include <rhyton/stretch.h>

#include <math.h>
#include <string.h>

#include "ease.h"
#include "map-private.h"

/* As little stretch as a sheet can have: the art is eased in its own plane, then
 * rolled on. On a cylinder or cone the roll alone has no stretch and no easing is
 * needed; elsewhere the easing d (p) minimises an energy of the whole.
 *
 * With c = n/R the roll's cone, the wall measures a step dp of the sheet at p by
 * dp' G dp, where G = 1 + (k^2 - 1) t t' : true along the slant, and stretched by
 * k = r (s)/(R h) along the parallel t, h = |(c x, 1 + c y)| the distance from the
 * sheet's apex over that of the anchor. The lay's metric is C = F' G F, F = 1 + grad d,
 * and its stretches are the roots of C's eigenvalues.
 *
 * The energy is the mean over the ink of |T|^p, T = (C - 1/C)/4. T's
 * eigenvalues are sinh (2 ln sigma)/2: about sigma - 1 near 1, the same for half as
 * for double, and without bound where the sheet would fold. p = 2 is least squares;
 * a higher p looks at the greatest stretch, which is what a maker sees.
 * Source: derived here; that symmetric measures keep sheets from folding: Smith &
 * Schaefer, Bijective parameterization with free boundaries, 2015 (from memory).
 *
 * d is a bicubic spline on a grid over the ink (so the lay's second derivatives are
 * continuous, and paths through it bend into few cubics), and its control values are
 * the unknowns of Newton's steps, with T linear in them.
 */

/* Cells along the longer side of the ink. 20 take four times as long and lower the greatest
 * stretch of a crest on a glass by a thirtieth of it. */
#define CELLS 12
#define POINTS 3        /* Gauss points along a side of a cell */

/* What lies between ink counts this much, as plain squares. Seen on a crest whose parts
 * stand apart: with a tenth of it the ink stretches by 1.1 % but the gaps shrink by
 * 4 %, which pulls the parts out of their places; with ten times it the corners, where
 * nothing is, cost the ink 2.7 %. */
#define BARE_WEIGHT 0.1

/* The exponents gone through, each started from the one before. */
static const double exponents[] = { 2.0, 6.0, 18.0 };

#define STEPS_MAX 40

typedef struct
{
  double x, y, weight;
  gboolean inked;
  guint  first;                 /* of its 4 x 4 control values: index of the lowest */
  double n[16], nx[16], ny[16]; /* spline weights and their derivatives */
} Sample;

typedef struct
{
  RhyWall *wall;
  RhyRoll  roll;
  double   s0, s_max;
  RhyEase *ease;
  guint    n;                   /* unknowns */
  guint    band;                /* half width of the normal equations, diagonal included */
  gsize    n_samples;
  Sample  *samples;
  double  *matrix, *factor;     /* n rows of band: lower triangle, [i][band - 1] the diagonal */
  double   fixed[3][32];        /* rows that hold place and turn at the anchor */
  guint    fixed_first;         /* of the 4 x 4 controls around the anchor */
} Fit;

static void
fit_clear (Fit *f)
{
  g_free (f->samples);
  g_free (f->matrix);
  g_free (f->factor);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Fit, fit_clear)

/* Symmetric 2 x 2: xx, xy, yy. */
typedef struct { double xx, xy, yy; } Sym;

/* The wall's metric on the sheet, and how it changes. */
typedef struct { Sym g, dx, dy; } Metric;

static Sym
outer (double ax, double ay, double bx, double by, double factor)
{
  return (Sym) { factor * 2.0 * ax * bx, factor * (ax * by + ay * bx), factor * 2.0 * ay * by };
}

static Sym
sum (Sym a, Sym b)
{
  return (Sym) { a.xx + b.xx, a.xy + b.xy, a.yy + b.yy };
}

/* The slant where a point of the sheet is rolled on. */
static double
slant_at (const Fit *f,
          double     x,
          double     y)
{
  const double c = f->roll.n / f->roll.r;
  return f->s0 + (c * (x * x + y * y) + 2.0 * y) / (1.0 + hypot (c * x, 1.0 + c * y));
}

/* e points away from the apex, t along the parallel; moving by dp turns both by
 * (c/h) t.dp, and changes h by c e.dp, s by e.dp. Past the wall's ends it goes on
 * straight, and close to the sheet's apex as it is there: such cells hold no ink that
 * lands, but must not spoil their neighbours. */
static Metric
metric_at (const Fit *f,
           double     x,
           double     y)
{
  const double c = f->roll.n / f->roll.r;
  const double cx = c * x;
  const double up = 1.0 + c * y;
  const double h = MAX (hypot (cx, up), 0.05);
  const double ex = cx / h, ey = up / h;
  const double tx = ey, ty = -ex;
  const double s = slant_at (f, x, y);
  const RhyRing ring = rhy_wall_at (f->wall, CLAMP (s, 0.0, f->s_max));
  const double r = MAX (ring.r_mm + sin (ring.slope_rad) * (s - ring.s_mm), 0.2 * ring.r_mm);
  const double k = r / (f->roll.r * h);
  const double dk = sin (ring.slope_rad) / (f->roll.r * h) - k * c / h;
  const double q = k * k - 1.0;

  return (Metric) {
    sum ((Sym) { 1.0, 0.0, 1.0 }, outer (tx, ty, tx, ty, 0.5 * q)),
    sum (outer (tx, ty, tx, ty, k * dk * ex), outer (ex, ey, tx, ty, -q * c / h * tx)),
    sum (outer (tx, ty, tx, ty, k * dk * ey), outer (ex, ey, tx, ty, -q * c / h * ty)),
  };
}

/* F' A F */
static Sym
pulled (Sym a, const double F[2][2])
{
  const double p0 = a.xx * F[0][0] + a.xy * F[1][0];
  const double p1 = a.xy * F[0][0] + a.yy * F[1][0];
  const double q0 = a.xx * F[0][1] + a.xy * F[1][1];
  const double q1 = a.xy * F[0][1] + a.yy * F[1][1];
  return (Sym) { F[0][0] * p0 + F[1][0] * p1, F[0][1] * p0 + F[1][1] * p1, F[0][1] * q0 + F[1][1] * q1 };
}

/* T as three residuals whose squares add to |T|^2, and, if asked, how they change with
 * each of the sample's 32 control values. FALSE: folded. */
static gboolean
residual_at (const Fit    *f,
             const Sample *at,
             double        T[3],
             double        dT[3][32])
{
  const double *controls = f->ease->controls;
  double dx = 0.0, dy = 0.0;
  double F[2][2] = { { 1.0, 0.0 }, { 0.0, 1.0 } };
  for (guint k = 0; k < 16; k++)
    {
      const double *d = controls + rhy_ease_index (f->ease, at->first, k);
      dx += at->n[k] * d[0];
      dy += at->n[k] * d[1];
      F[0][0] += at->nx[k] * d[0];
      F[0][1] += at->ny[k] * d[0];
      F[1][0] += at->nx[k] * d[1];
      F[1][1] += at->ny[k] * d[1];
    }
  if (!(F[0][0] * F[1][1] - F[0][1] * F[1][0] > 0.0))
    return FALSE;

  const Metric m = metric_at (f, at->x + dx, at->y + dy);
  const Sym C = pulled (m.g, F);
  const double det = C.xx * C.yy - C.xy * C.xy;
  if (!(det > 0.0 && isfinite (det)))
    return FALSE;
  const Sym D = { C.yy / det, -C.xy / det, C.xx / det };
  T[0] = 0.25 * (C.xx - D.xx);
  T[1] = 0.25 * G_SQRT2 * (C.xy - D.xy);
  T[2] = 0.25 * (C.yy - D.yy);
  if (dT == NULL)
    return TRUE;

  const double A[2][2] = {      /* G F: its rows times grad N are F' G dF */
    { m.g.xx * F[0][0] + m.g.xy * F[1][0], m.g.xx * F[0][1] + m.g.xy * F[1][1] },
    { m.g.xy * F[0][0] + m.g.yy * F[1][0], m.g.xy * F[0][1] + m.g.yy * F[1][1] },
  };
  const Sym P[2] = { pulled (m.dx, F), pulled (m.dy, F) };
  for (guint k = 0; k < 16; k++)
    for (guint i = 0; i < 2; i++)
      {
        const double nx = at->nx[k], ny = at->ny[k], n = at->n[k];
        const Sym dC = { 2.0 * nx * A[i][0] + n * P[i].xx,
                         nx * A[i][1] + ny * A[i][0] + n * P[i].xy,
                         2.0 * ny * A[i][1] + n * P[i].yy };
        /* d (1/C) = -D dC D */
        const double u0 = D.xx * dC.xx + D.xy * dC.xy, u1 = D.xx * dC.xy + D.xy * dC.yy;
        const double v0 = D.xy * dC.xx + D.yy * dC.xy, v1 = D.xy * dC.xy + D.yy * dC.yy;
        dT[0][2 * k + i] = 0.25 * (dC.xx + u0 * D.xx + u1 * D.xy);
        dT[1][2 * k + i] = 0.25 * G_SQRT2 * (dC.xy + u0 * D.xy + u1 * D.yy);
        dT[2][2 * k + i] = 0.25 * (dC.yy + v0 * D.xy + v1 * D.yy);
      }
  return TRUE;
}

static double
square (const double T[3])
{
  return T[0] * T[0] + T[1] * T[1] + T[2] * T[2];
}

/* Sum of (|T|^2 / unit)^(p/2) over the ink's samples and of a little |T|^2 / unit over the
 * others, which must only follow; INFINITY where the sheet is folded. @top: the
 * greatest |T|^2 under ink. */
static double
energy (const Fit *f,
        double     p,
        double     unit,
        double    *top)
{
  double total = 0.0;
  *top = 0.0;
  for (gsize i = 0; i < f->n_samples; i++)
    {
      const Sample *at = &f->samples[i];
      double T[3];
      if (!residual_at (f, at, T, NULL))
        return INFINITY;
      const double e = square (T);
      total += at->weight * (at->inked ? pow (e / unit, 0.5 * p) : e / unit);
      if (at->inked)
        *top = MAX (*top, e);
    }
  return total;
}

/* What one sample adds to its cell's own equations, lower triangle: w times the rows' squares. */
RHY_MANY static void
add_squares (double       H[32][32],
             const double rows[4][32],
             double       w)
{
  for (guint a = 0; a < 32; a++)
    {
      const double r0 = w * rows[0][a], r1 = w * rows[1][a], r2 = w * rows[2][a], r3 = w * rows[3][a];
      RHY_IVDEP
      for (guint b = 0; b <= a; b++)
        H[a][b] += r0 * rows[0][b] + r1 * rows[1][b] + r2 * rows[2][b] + r3 * rows[3][b];
    }
}

/* Newton's equations of energy() / p, with T taken as linear and @unit the greatest |T|^2
 * under ink: for each sample of ink w (J'J + (p - 2) j j') with w = (|T|^2 / unit)^(p/2 - 1)
 * and j = J'T/|T|, and the gradient w J'T. The second part is a fourth row beside T's
 * three. For the others p is 2, and 2/p the factor. A cell's samples share their controls
 * and are summed before they go into the band. */
static void
assemble (const Fit *f,
          double     p,
          double     unit,
          double    *gradient)
{
  memset (f->matrix, 0, sizeof (double) * f->n * f->band);
  memset (gradient, 0, sizeof (double) * f->n);
  for (gsize i = 0; i < f->n_samples; i += POINTS * POINTS)
    {
      double H[32][32] = { { 0.0 } };
      double g[32] = { 0.0 };
      for (gsize k = 0; k < POINTS * POINTS; k++)
        {
          const Sample *at = &f->samples[i + k];
          double T[3], rows[4][32];
          residual_at (f, at, T, rows);
          const double e = square (T);
          const double w = at->weight * (at->inked ? pow (e / unit, 0.5 * p - 1.0) : 2.0 / p);
          const double along = at->inked && e > 0.0 ? sqrt ((p - 2.0) / e) : 0.0;
          for (guint a = 0; a < 32; a++)
            {
              const double slope = rows[0][a] * T[0] + rows[1][a] * T[1] + rows[2][a] * T[2];
              rows[3][a] = along * slope;
              g[a] += w * slope;
            }
          add_squares (H, rows, w);
        }

      guint index[32];
      for (guint a = 0; a < 32; a++)
        index[a] = rhy_ease_index (f->ease, f->samples[i].first, a / 2) + a % 2;
      for (guint a = 0; a < 32; a++)
        {
          double *line = f->matrix + (gsize) index[a] * f->band + f->band - 1 - index[a];
          gradient[index[a]] += g[a];
          for (guint b = 0; b <= a; b++)
            line[index[b]] += H[a][b];
        }
    }
}

/* Four sums side by side, which one alone would make wait for each other. */
static inline double
dot (const double *a,
     const double *b,
     guint         n)
{
  double s0 = 0.0, s1 = 0.0, s2 = 0.0, s3 = 0.0;
  guint k = 0;
  for (; k + 4 <= n; k += 4)
    {
      s0 += a[k] * b[k];
      s1 += a[k + 1] * b[k + 1];
      s2 += a[k + 2] * b[k + 2];
      s3 += a[k + 3] * b[k + 3];
    }
  for (; k < n; k++)
    s0 += a[k] * b[k];
  return (s0 + s1) + (s2 + s3);
}

/* Cholesky in place, within the band. FALSE: not positive definite. */
static gboolean
factorise (double *m,
           guint   n,
           guint   band)
{
  for (guint i = 0; i < n; i++)
    {
      const guint from = i + 1 > band ? i + 1 - band : 0;
      double *ri = m + (gsize) i * band + band - 1 - i;
      for (guint j = from; j <= i; j++)
        {
          const guint low = MAX (from, j + 1 > band ? j + 1 - band : 0);
          const double *rj = m + (gsize) j * band + band - 1 - j;
          const double v = ri[j] - dot (ri + low, rj + low, j - low);
          if (j < i)
            ri[j] = v / rj[j];
          else if (v > 0.0 && isfinite (v))
            ri[i] = sqrt (v);
          else
            return FALSE;
        }
    }
  return TRUE;
}

static void
substitute (const double *m,
            guint         n,
            guint         band,
            double       *x)
{
  for (guint i = 0; i < n; i++)
    {
      const double *ri = m + (gsize) i * band + band - 1 - i;
      const guint low = i + 1 > band ? i + 1 - band : 0;
      x[i] = (x[i] - dot (ri + low, x + low, i - low)) / ri[i];
    }
  for (guint i = n; i-- > 0;)
    {
      const double *ri = m + (gsize) i * band + band - 1 - i;
      x[i] /= ri[i];
      for (guint k = i + 1 > band ? i + 1 - band : 0; k < i; k++)
        x[k] -= ri[k] * x[i];
    }
}

/* The step of least squares that moves neither place nor turn at the anchor: with the
 * held rows B and H x = -g, x = H^-1 (-g - B' m) where B x = 0 gives three equations
 * for m. Adding a multiple of B'B to H changes nothing on B x = 0 and makes H definite
 * (a sheet alone may be shifted and turned about for nothing). */
static gboolean
constrained_step (const Fit    *f,
                  const double *gradient,
                  double       *step)
{
  const guint n = f->n;
  double trace = 0.0;
  for (guint i = 0; i < n; i++)
    trace += f->matrix[(gsize) i * f->band + f->band - 1];
  const double mean = trace / n;

  memcpy (f->factor, f->matrix, sizeof (double) * n * f->band);
  guint index[32];
  for (guint a = 0; a < 32; a++)
    index[a] = rhy_ease_index (f->ease, f->fixed_first, a / 2) + a % 2;
  for (guint i = 0; i < n; i++)
    f->factor[(gsize) i * f->band + f->band - 1] += 1e-10 * mean;
  for (guint a = 0; a < 32; a++)
    for (guint b = 0; b <= a; b++)
      {
        double v = 0.0;
        for (guint r = 0; r < 3; r++)
          v += f->fixed[r][a] * f->fixed[r][b];
        f->factor[(gsize) index[a] * f->band + f->band - 1 - index[a] + index[b]] += mean * v;
      }
  if (!factorise (f->factor, n, f->band))
    return FALSE;

  g_autofree double *columns = g_new0 (double, 3 * (gsize) n);
  double S[3][4];
  for (guint i = 0; i < n; i++)
    step[i] = -gradient[i];
  substitute (f->factor, n, f->band, step);
  for (guint r = 0; r < 3; r++)
    {
      double *column = columns + (gsize) r * n;
      for (guint a = 0; a < 32; a++)
        column[index[a]] = f->fixed[r][a];
      substitute (f->factor, n, f->band, column);
    }
  for (guint r = 0; r < 3; r++)
    for (guint q = 0; q < 4; q++)
      {
        const double *column = q < 3 ? columns + (gsize) q * n : step;
        S[r][q] = 0.0;
        for (guint a = 0; a < 32; a++)
          S[r][q] += f->fixed[r][a] * column[index[a]];
      }
  /* Cramer's rule: S is 3 x 3, symmetric and positive */
  const double d0 = S[1][1] * S[2][2] - S[1][2] * S[2][1];
  const double d1 = S[1][2] * S[2][0] - S[1][0] * S[2][2];
  const double d2 = S[1][0] * S[2][1] - S[1][1] * S[2][0];
  const double det = S[0][0] * d0 + S[0][1] * d1 + S[0][2] * d2;
  const double m0 = S[0][3] * d0 + S[0][1] * (S[1][2] * S[2][3] - S[1][3] * S[2][2])
                    + S[0][2] * (S[1][3] * S[2][1] - S[1][1] * S[2][3]);
  const double m1 = S[0][0] * (S[1][3] * S[2][2] - S[1][2] * S[2][3]) + S[0][3] * d1
                    + S[0][2] * (S[1][0] * S[2][3] - S[1][3] * S[2][0]);
  const double m2 = S[0][0] * (S[1][1] * S[2][3] - S[1][3] * S[2][1])
                    + S[0][1] * (S[1][3] * S[2][0] - S[1][0] * S[2][3]) + S[0][3] * d2;
  if (!(det > 0.0))
    return FALSE;
  for (guint i = 0; i < n; i++)
    step[i] -= (m0 * columns[i] + m1 * columns[n + i] + m2 * columns[2 * (gsize) n + i]) / det;
  return TRUE;
}

/* Takes the step, halved until the energy falls. Returns how much of it was taken. */
static double
take_step (const Fit    *f,
           double        p,
           double        unit,
           const double *step,
           double       *from,
           double       *now,
           double       *top)
{
  double *controls = f->ease->controls;
  memcpy (from, controls, sizeof (double) * f->n);
  for (double t = 1.0; t > 1e-4; t *= 0.5)
    {
      double reached;
      for (guint k = 0; k < f->n; k++)
        controls[k] = from[k] + t * step[k];
      const double there = energy (f, p, unit, &reached);
      if (there < *now)
        {
          *now = there;
          *top = reached;
          return t;
        }
    }
  memcpy (controls, from, sizeof (double) * f->n);
  return 0.0;
}

/* Down to where a whole step lowers |T|'s p-mean by less than a thousandth of itself, or none
 * lowers it at all. FALSE: that did not come. */
static gboolean
minimise (const Fit *f)
{
  g_autofree double *gradient = g_new (double, f->n);
  g_autofree double *step = g_new (double, f->n);
  g_autofree double *from = g_new (double, f->n);
  double top;
  energy (f, 2.0, 1.0, &top);

  for (gsize e = 0; e < G_N_ELEMENTS (exponents); e++)
    {
      const double p = exponents[e];
      gboolean settled = FALSE;
      for (int i = 0; i < STEPS_MAX && !settled; i++)
        {
          const double unit = top;
          const double before = energy (f, p, unit, &top);
          double now = before;
          assemble (f, p, unit, gradient);
          if (!constrained_step (f, gradient, step))
            return FALSE;
          const double t = take_step (f, p, unit, step, from, &now, &top);
          settled = t == 0.0 || (t == 1.0 && now > before * (1.0 - 1e-3 * p));
        }
      if (!settled)
        return FALSE;
    }
  return TRUE;
}

/* Gauss-Legendre with three points on (0, 1): exact to the fifth degree. Source:
 * Abramowitz & Stegun, table 25.4. */
static const double gauss_at[POINTS] = { 0.11270166537925831148, 0.5, 0.88729833462074168852 };
static const double gauss_weight[POINTS] = { 5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0 };

/* Ink far past the rim or the base, or round the back, is not laid at all, and would make
 * the grid coarse where it is. Returns how much is left. */
static gsize
keep_near_wall (const Fit   *f,
                RhyArtPoint *ink,
                gsize        n)
{
  gsize kept = 0;
  for (gsize i = 0; i < n; i++)
    {
      double ds, angle;
      rhy_roll_on (f->roll, 1, &ink[i].u, &ink[i].v, &ds, &angle);
      const double s = f->s0 + ds;
      if (s >= -0.25 * f->s_max && s <= 1.25 * f->s_max && fabs (angle) <= 1.25 * G_PI)
        ink[kept++] = ink[i];
    }
  return kept;
}

/* Whether a point of the sheet counts as laid: on the wall, or so little past it that
 * easing may bring it there. */
static gboolean
is_laid (const Fit *f,
         double     x,
         double     y)
{
  const double s = slant_at (f, x, y);
  return s >= -0.05 * f->s_max && s <= 1.05 * f->s_max;
}

/* Each sample stands for a ninth of its cell, and is of ink if any lies there, or as close as
 * this part of a ninth: an edge that runs along a border would have none on its side. */
#define NEAR 0.25

static guint8 *
inked_parts (const Fit         *f,
             const RhyArtPoint *ink,
             gsize              n_ink)
{
  const RhyEase *ease = f->ease;
  const guint parts[2] = { POINTS * ease->n[0], POINTS * ease->n[1] };
  guint8 *inked = g_new0 (guint8, parts[0] * parts[1]);
  for (gsize i = 0; i < n_ink; i++)
    for (int k = 0; k < 4 && is_laid (f, ink[i].u, ink[i].v); k++)
      {
        const double x = POINTS * (ink[i].u - ease->low[0]) / ease->cell[0] + (k % 2 == 0 ? -NEAR : NEAR);
        const double y = POINTS * (ink[i].v - ease->low[1]) / ease->cell[1] + (k / 2 == 0 ? -NEAR : NEAR);
        inked[MIN ((guint) MAX (x, 0.0), parts[0] - 1) * parts[1] + MIN ((guint) MAX (y, 0.0), parts[1] - 1)] = 1;
      }
  return inked;
}

static void
place_samples (Fit               *f,
               const RhyArtPoint *ink,
               gsize              n_ink)
{
  const RhyEase *ease = f->ease;
  g_autofree guint8 *inked = inked_parts (f, ink, n_ink);
  f->samples = g_new (Sample, (gsize) ease->n[0] * ease->n[1] * POINTS * POINTS);
  for (guint cell = 0; cell < ease->n[0] * ease->n[1]; cell++)
    for (guint k = 0; k < POINTS * POINTS; k++)
      {
        Sample *at = &f->samples[f->n_samples++];
        const guint x = cell / ease->n[1], y = cell % ease->n[1];
        const guint i = k / POINTS, j = k % POINTS;
        at->x = ease->low[0] + (x + gauss_at[i]) * ease->cell[0];
        at->y = ease->low[1] + (y + gauss_at[j]) * ease->cell[1];
        at->inked = inked[(x * POINTS + i) * POINTS * ease->n[1] + y * POINTS + j];
        at->weight = gauss_weight[i] * gauss_weight[j] * (at->inked ? 1.0 : BARE_WEIGHT);
        rhy_ease_weights (ease, at->x, at->y, &at->first, at->n, at->nx, at->ny);
      }
}

/* Held at the anchor: its place, and its turn, which is that of the nearest rotation to
 * the derivative: k0 du/dy = dv/dx, with k0 the roll's stretch along the parallel. */
static void
hold_anchor (Fit *f)
{
  double n[16], nx[16], ny[16];
  const double k0 = rhy_wall_at (f->wall, f->s0).r_mm / f->roll.r;
  rhy_ease_weights (f->ease, 0.0, 0.0, &f->fixed_first, n, nx, ny);
  for (guint k = 0; k < 16; k++)
    {
      f->fixed[0][2 * k] = n[k];
      f->fixed[1][2 * k + 1] = n[k];
      f->fixed[2][2 * k] = k0 * ny[k] * f->ease->cell[1];
      f->fixed[2][2 * k + 1] = -nx[k] * f->ease->cell[1];
    }
}

/* An isometry to rounding: |T| is about the stretch, and no easing betters it. */
#define NO_STRETCH 1e-12

/* The ink turned as the art will be; points that are no numbers are left out. */
static RhyArtPoint *
turned_ink (const RhyLayOptions *o,
            gsize               *n)
{
  const double c = cos (o->turn_rad);
  const double s = sin (o->turn_rad);
  RhyArtPoint *ink = g_new (RhyArtPoint, o->n_ink + 1);
  *n = 0;
  for (gsize i = 0; i < o->n_ink; i++)
    {
      const RhyArtPoint p = { c * o->ink[i].u - s * o->ink[i].v, s * o->ink[i].u + c * o->ink[i].v };
      if (isfinite (p.u) && isfinite (p.v))
        ink[(*n)++] = p;
    }
  return ink;
}

static double
greatest_stretch (const RhyMap        *lay,
                  RhyWall             *wall,
                  const RhyLayOptions *o)
{
  const RhyStretchRange range = rhy_stretch_over (lay, wall, o->ink, o->n_ink);
  return MAX (range.major_max - 1.0, 1.0 - range.minor_min);
}

RhyMap *
rhy_lay_new_least (RhyWall             *wall,
                   const RhyLayOptions *options,
                   GError             **error)
{
  gsize n_ink;
  g_autofree RhyArtPoint *ink = turned_ink (options, &n_ink);
  RhyLayOptions upright = *options;
  upright.kind = RHY_LAY_ROLLED;
  upright.turn_rad = 0.0;
  upright.ink = ink;
  upright.n_ink = n_ink;
  g_autoptr (RhyMap) rolled = rhy_lay_new (wall, &upright, error);
  if (rolled == NULL)
    return NULL;

  g_auto (Fit) f = { .wall = wall, .roll = rhy_lay_get_roll (rolled), .s0 = options->anchor.s,
                     .s_max = rhy_wall_get_length (wall) };
  n_ink = keep_near_wall (&f, ink, n_ink);
  RhyBounds box = { 0.0, 0.0, 0.0, 0.0 };       /* the anchor is in it: the easing is held there */
  for (gsize i = 0; i < n_ink; i++)
    box = rhy_bounds_with (box, ink[i].u, ink[i].v);
  const double width = box.max_x - box.min_x;
  const double height = box.max_y - box.min_y;
  const double margin = 0.05 + 0.01 * MAX (width, height);

  f.ease = rhy_ease_new (options->turn_rad, (RhyBounds) { box.min_x - margin, box.min_y - margin,
                                                          box.max_x + margin, box.max_y + margin }, CELLS);
  g_autoptr (RhyMap) ease = &f.ease->map;
  f.n = rhy_ease_get_n_controls (f.ease);
  f.band = 3 * f.ease->stride + 8;
  place_samples (&f, ink, n_ink);
  hold_anchor (&f);

  RhyLayOptions plain = *options;
  plain.kind = RHY_LAY_ROLLED;
  double top;
  energy (&f, 2.0, 1.0, &top);
  if (top < NO_STRETCH * NO_STRETCH)
    return rhy_lay_new (wall, &plain, error);

  f.matrix = g_new (double, (gsize) f.n * f.band);
  f.factor = g_new (double, (gsize) f.n * f.band);
  if (!minimise (&f))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_NO_CONVERGENCE,
                   "artwork %.4g mm wide and %.4g mm high finds no least stretch here: make it smaller, or choose another lay",
                   width, height);
      return NULL;
    }

  /* Art much larger than its wall lies in part where the grid says nothing: whichever
   * lay is the better one under the ink itself. */
  g_autoptr (RhyMap) eased = rhy_map_new_chain (ease, rolled);
  g_autoptr (RhyMap) uneased = rhy_lay_new (wall, &plain, error);
  if (uneased == NULL)
    return NULL;
  const gboolean gains = greatest_stretch (eased, wall, options) < greatest_stretch (uneased, wall, options);
  return rhy_map_ref (gains ? eased : uneased);
}
