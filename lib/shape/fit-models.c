/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "fit-models.h"

#include <math.h>

static double
square (double x)
{
  return x * x;
}

RhyStations *
rhy_stations_new (gsize n)
{
  RhyStations *self = g_new0 (RhyStations, 1);
  self->n = n;
  self->h = g_new0 (double, n);
  self->d = g_new0 (double, n);
  self->u_h = g_new0 (double, n);
  self->u_d = g_new0 (double, n);
  return self;
}

void
rhy_stations_free (RhyStations *self)
{
  if (self == NULL)
    return;
  g_free (self->h);
  g_free (self->d);
  g_free (self->u_h);
  g_free (self->u_d);
  g_free (self);
}

RhyStations *
rhy_stations_without (const RhyStations *self,
                      gsize              skip)
{
  RhyStations *copy = rhy_stations_new (self->n - 1);
  for (gsize i = 0, k = 0; i < self->n; i++)
    {
      if (i == skip)
        continue;
      copy->h[k] = self->h[i];
      copy->d[k] = self->d[i];
      copy->u_h[k] = self->u_h[i];
      copy->u_d[k] = self->u_d[i];
      k++;
    }
  return copy;
}

double
rhy_straight_fit_at (const RhyStraightFit *fit,
                     double                h,
                     double               *taper)
{
  const gsize i = fit->n == 3 && h > fit->h[1] ? 1 : 0;
  const double b = (fit->d[i + 1] - fit->d[i]) / (fit->h[i + 1] - fit->h[i]);
  if (taper != NULL)
    *taper = b;
  return fit->d[i] + b * (h - fit->h[i]);
}

static double
chi_square_of (const RhyStations    *st,
               const RhyStraightFit *fit)
{
  double sum = 0.0;
  for (gsize i = 0; i < st->n; i++)
    {
      double b;
      const double off = st->d[i] - rhy_straight_fit_at (fit, st->h[i], &b);
      sum += off * off / (square (st->u_d[i]) + square (b * st->u_h[i]));
    }
  return sum;
}

gboolean
rhy_fit_cylinder (const RhyStations *st,
                  RhyStraightFit    *fit)
{
  double up = 0.0, down = 0.0;
  for (gsize i = 0; i < st->n; i++)
    {
      up += st->d[i] / square (st->u_d[i]);
      down += 1.0 / square (st->u_d[i]);
    }
  *fit = (RhyStraightFit) { .n = 2,
                            .h = { st->h[0], st->h[st->n - 1] },
                            .d = { up / down, up / down },
                            .n_free = st->n - 1 };
  fit->chi_square = chi_square_of (st, fit);
  return TRUE;
}

/* Source: York, Evensen, Lopez Martinez and De Basabe Delgado, "Unified equations
 * for the slope, intercept, and standard errors of the best straight line",
 * American Journal of Physics 72 (2004), 367-375, with no correlation (from
 * memory, rederived). Both coordinates carry an error; at the least sum of
 *
 *   W (d - line)^2,   W = 1/(u_d^2 + b^2 u_h^2)
 *
 * the derivative, weights included, gives the fixed point that is iterated.
 */
gboolean
rhy_fit_cone (const RhyStations *st,
              RhyStraightFit    *fit)
{
  const gsize last = st->n - 1;
  double b = (st->d[last] - st->d[0]) / (st->h[last] - st->h[0]);

  for (int round = 0; round < 200; round++)
    {
      double sum_w = 0.0, mean_h = 0.0, mean_d = 0.0;
      for (gsize i = 0; i < st->n; i++)
        {
          const double W = 1.0 / (square (st->u_d[i]) + square (b * st->u_h[i]));
          sum_w += W;
          mean_h += W * st->h[i];
          mean_d += W * st->d[i];
        }
      mean_h /= sum_w;
      mean_d /= sum_w;

      /* beta is the height, from the mean, of each reading's best point. */
      double up = 0.0, down = 0.0, spread = 0.0, mean_beta = 0.0;
      for (gsize i = 0; i < st->n; i++)
        {
          const double W = 1.0 / (square (st->u_d[i]) + square (b * st->u_h[i]));
          const double U = st->h[i] - mean_h;
          const double V = st->d[i] - mean_d;
          const double beta = W * (U * square (st->u_d[i]) + b * V * square (st->u_h[i]));
          up += W * beta * V;
          down += W * beta * U;
          spread += W * beta * beta;
          mean_beta += W * beta / sum_w;
        }
      spread -= sum_w * square (mean_beta);
      const double next = up / down;
      if (!isfinite (next) || !(spread > 0.0))
        return FALSE;
      const gboolean settled = fabs (next - b) <= 1e-14 * (1.0 + fabs (next));
      b = next;
      if (!settled)
        continue;

      *fit = (RhyStraightFit) { .n = 2,
                                .h = { st->h[0], st->h[last] },
                                .d = { mean_d + b * (st->h[0] - mean_h), mean_d + b * (st->h[last] - mean_h) },
                                .n_free = st->n - 2,
                                /* tan (slope) = b/2 */
                                .u_slope = 0.5 / sqrt (spread) / (1.0 + 0.25 * b * b) };
      fit->chi_square = chi_square_of (st, fit);
      return TRUE;
    }
  return FALSE;
}

/* 3 unknowns, symmetric positive: elimination without pivots. */
static gboolean
solve3 (double a[3][3],
        double y[3],
        double x[3])
{
  for (int i = 0; i < 3; i++)
    {
      if (!(a[i][i] > 0.0))
        return FALSE;
      for (int k = i + 1; k < 3; k++)
        {
          const double f = a[k][i] / a[i][i];
          for (int j = i; j < 3; j++)
            a[k][j] -= f * a[i][j];
          y[k] -= f * y[i];
        }
    }
  for (int i = 2; i >= 0; i--)
    {
      x[i] = y[i];
      for (int j = i + 1; j < 3; j++)
        x[i] -= a[i][j] * x[j];
      x[i] /= a[i][i];
    }
  return TRUE;
}

/* The best two straight parts that meet at a given height: the diameters at the
 * lowest station, the break and the highest are linear unknowns. The weights
 * depend on the tapers, so they are found again a few times. */
static gboolean
fit_broken_at (const RhyStations *st,
               double             at,
               RhyStraightFit    *fit)
{
  *fit = (RhyStraightFit) { .n = 3,
                            .h = { st->h[0], at, st->h[st->n - 1] },
                            .n_free = st->n - 4 };
  double tapers[2] = { 0.0, 0.0 };
  for (int round = 0; round < 5; round++)
    {
      double a[3][3] = { { 0.0 } };
      double y[3] = { 0.0 };
      for (gsize i = 0; i < st->n; i++)
        {
          const int side = st->h[i] > at;
          const double t = (st->h[i] - fit->h[side]) / (fit->h[side + 1] - fit->h[side]);
          const double W = 1.0 / (square (st->u_d[i]) + square (tapers[side] * st->u_h[i]));
          const double base[2] = { 1.0 - t, t };
          for (int p = 0; p < 2; p++)
            {
              for (int q = 0; q < 2; q++)
                a[side + p][side + q] += W * base[p] * base[q];
              y[side + p] += W * base[p] * st->d[i];
            }
        }
      if (!solve3 (a, y, fit->d))
        return FALSE;
      for (int side = 0; side < 2; side++)
        tapers[side] = (fit->d[side + 1] - fit->d[side]) / (fit->h[side + 1] - fit->h[side]);
    }
  fit->chi_square = chi_square_of (st, fit);
  return TRUE;
}

/* Chi-square against the height of the break is smooth between two stations and
 * may have a valley in each interval: a scan finds the deepest, a golden section
 * its floor. With many stations the scan takes longer strides. */
static gboolean
search_break (const RhyStations *st,
              double             low,
              double             high,
              RhyStraightFit    *fit)
{
  const double golden = 0.5 * (sqrt (5.0) - 1.0);
  while (high - low > 1e-8)
    {
      const double a = high - golden * (high - low);
      const double b = low + golden * (high - low);
      RhyStraightFit fa, fb;
      if (!fit_broken_at (st, a, &fa) || !fit_broken_at (st, b, &fb))
        return FALSE;
      if (fa.chi_square <= fb.chi_square)
        high = b;
      else
        low = a;
    }
  return fit_broken_at (st, 0.5 * (low + high), fit);
}

gboolean
rhy_fit_two_cones (const RhyStations *st,
                   RhyStraightFit    *fit)
{
  enum { STEPS = 24, MOST_PLACES = 1200 };
  if (st->n < 5)
    return FALSE;

  const gsize intervals = st->n - 3;
  const gsize stride = 1 + intervals * STEPS / (MOST_PLACES + 1);
  double best = G_MAXDOUBLE;
  double at = 0.0, width = 0.0;
  RhyStraightFit trial;
  for (gsize k = 0; k <= intervals * STEPS; k += stride)
    {
      const gsize i = MIN (1 + k / STEPS, st->n - 3);
      const double step = (st->h[i + 1] - st->h[i]) / STEPS;
      const double z = st->h[i] + (double) (k - (i - 1) * STEPS) * step;
      if (fit_broken_at (st, z, &trial) && trial.chi_square < best)
        {
          best = trial.chi_square;
          at = z;
          width = step * (double) stride;
        }
    }
  return best < G_MAXDOUBLE
         && search_break (st, MAX (at - width, st->h[1]), MIN (at + width, st->h[st->n - 2]), fit);
}

gboolean
rhy_fit_two_cones_near (const RhyStations *st,
                        double             break_h,
                        double             within,
                        RhyStraightFit    *fit)
{
  return st->n >= 5
         && search_break (st, MAX (break_h - within, st->h[1]), MIN (break_h + within, st->h[st->n - 2]), fit);
}
