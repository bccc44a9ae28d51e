/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/readings.h>

#include <math.h>

/* A reading said to be exact still gets a weight; a nanometre is far below any
 * caliper, and keeps the weights finite. */
static const double LEAST_U_MM = 1e-6;

/* The straight profile D = mean_d + taper (h - mean_h). */
typedef struct
{
  double mean_h, mean_d;
  double taper;       /* of the diameter: twice the tangent of the slope */
  double u_taper;
} Line;

static double
square (double x)
{
  return x * x;
}

static gboolean
check_readings (const RhyReadings *r,
                GError           **error)
{
  if (r->n < 2)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "%" G_GSIZE_FORMAT " reading%s: at least 2 are needed, at different heights",
                   r->n, r->n == 1 ? "" : "s");
      return FALSE;
    }
  if (!(r->u_height_mm >= 0.0 && isfinite (r->u_height_mm))
      || !(r->u_diameter_mm >= 0.0 && isfinite (r->u_diameter_mm)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "uncertainties %g and %g mm: each must be a number, 0 or more",
                   r->u_height_mm, r->u_diameter_mm);
      return FALSE;
    }

  for (gsize i = 0; i < r->n; i++)
    {
      if (!isfinite (r->heights_mm[i]) || !(r->diameters_mm[i] > 0.0 && isfinite (r->diameters_mm[i])))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "diameter %g mm at height %g mm: both must be numbers, the diameter above 0",
                       r->diameters_mm[i], r->heights_mm[i]);
          return FALSE;
        }
      if (i > 0 && !(r->heights_mm[i] > r->heights_mm[i - 1]))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "height %g mm follows %g mm: heights must increase from the base up",
                       r->heights_mm[i], r->heights_mm[i - 1]);
          return FALSE;
        }
    }
  return TRUE;
}

/* Source: York, Evensen, Lopez Martinez and Delgado, "Unified equations for the
 * slope, intercept, and standard errors of the best straight line", American
 * Journal of Physics 72 (2004), 367-375, with no correlation (from memory,
 * rederived). Both coordinates carry an error; at the least sum of
 *
 *   W (D - line)^2,   W = 1/(ud^2 + taper^2 uh^2)
 *
 * the derivative, weights included, gives the fixed point that is iterated.
 */
static gboolean
fit_line (const RhyReadings *r,
          Line              *line,
          GError           **error)
{
  const double ud2 = square (MAX (r->u_diameter_mm, LEAST_U_MM));
  const double uh2 = square (r->u_height_mm);
  const gsize last = r->n - 1;
  double b = (r->diameters_mm[last] - r->diameters_mm[0]) / (r->heights_mm[last] - r->heights_mm[0]);

  double mean_h = 0.0, mean_d = 0.0;
  for (gsize i = 0; i < r->n; i++)
    {
      mean_h += r->heights_mm[i] / (double) r->n;
      mean_d += r->diameters_mm[i] / (double) r->n;
    }

  for (int round = 0; round < 100; round++)
    {
      const double W = 1.0 / (ud2 + b * b * uh2);
      double up = 0.0, down = 0.0, spread = 0.0;
      for (gsize i = 0; i < r->n; i++)
        {
          const double U = r->heights_mm[i] - mean_h;
          const double V = r->diameters_mm[i] - mean_d;
          const double beta = W * (U * ud2 + b * V * uh2);
          up += beta * V;
          down += beta * U;
          spread += W * beta * beta;
        }
      const double next = up / down;
      const gboolean settled = fabs (next - b) <= 1e-14 * (1.0 + fabs (next));
      b = next;
      if (settled)
        {
          *line = (Line) { mean_h, mean_d, b, 1.0 / sqrt (spread) };
          return TRUE;
        }
    }
  g_set_error_literal (error, RHY_ERROR, RHY_ERROR_NO_CONVERGENCE,
                       "the readings settle on no straight wall: they scatter too much");
  return FALSE;
}

/* What the readings say of the wall found: the one that is farthest off in
 * terms of its own uncertainty, and whether all stay within twice that. */
static void
judge (const RhyReadings *r,
       RhyFit            *fit)
{
  double most = -1.0;
  fit->agrees = TRUE;
  for (gsize i = 0; i < r->n; i++)
    {
      RhyRing ring;
      if (!rhy_wall_at_height (fit->wall, r->heights_mm[i], &ring))
        continue;
      const double off = r->diameters_mm[i] - 2.0 * ring.r_mm;
      const double u = hypot (r->u_diameter_mm, 2.0 * tan (ring.slope_rad) * r->u_height_mm);
      const double ratio = fabs (off) / MAX (u, LEAST_U_MM);
      if (ratio > 2.0)
        fit->agrees = FALSE;
      if (ratio > most)
        {
          most = ratio;
          fit->worst = i;
          fit->worst_mm = off;
        }
    }
}

gboolean
rhy_readings_fit_straight (const RhyReadings *readings,
                           RhyFit            *fit,
                           GError           **error)
{
  g_return_val_if_fail (readings != NULL && fit != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  Line line;
  if (!check_readings (readings, error) || !fit_line (readings, &line, error))
    return FALSE;

  const double low = readings->heights_mm[0];
  const double high = readings->heights_mm[readings->n - 1];
  double radii[2];
  if (readings->n == 2)
    {
      radii[0] = 0.5 * readings->diameters_mm[0];
      radii[1] = 0.5 * readings->diameters_mm[1];
    }
  else
    {
      radii[0] = 0.5 * (line.mean_d + line.taper * (low - line.mean_h));
      radii[1] = 0.5 * (line.mean_d + line.taper * (high - line.mean_h));
    }

  RhyFit found = { 0 };
  found.wall = rhy_wall_new_straight ((const double[]) { low, high }, radii, 2, error);
  if (found.wall == NULL)
    return FALSE;

  /* tan (slope) = taper/2 */
  found.slope_u_rad = 0.5 * line.u_taper / (1.0 + square (0.5 * line.taper));
  judge (readings, &found);
  *fit = found;
  return TRUE;
}
