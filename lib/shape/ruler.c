/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/ruler.h>

#include <math.h>

#include "sinc.h"

/* A geodesic's state, with the deviation m of its neighbours and its rate. */
typedef struct { double s, angle, azimuth, m, dm; } State;

/* Source: s' = cos a, angle' = sin a / r, a' = -sin b sin a / r (Clairaut: r sin a stays),
 * and m'' = -K m with the Gaussian curvature K = -r''/r = -k cos b / r (do Carmo,
 * Differential Geometry of Curves and Surfaces, 4.4 and 5.5; from memory, checked
 * against the tables). Primes are by length.
 */
static State
rates (const RhyWall *wall,
       State          y)
{
  const RhyRing ring = rhy_wall_at (wall, y.s);
  const double around = sin (y.azimuth) / ring.r_mm;
  return (State) { cos (y.azimuth), around, -sin (ring.slope_rad) * around, y.dm,
                   ring.curvature_per_mm * cos (ring.slope_rad) / ring.r_mm * y.m };
}

static State
moved (State  y,
       double h,
       State  d)
{
  return (State) { y.s + h * d.s, y.angle + h * d.angle, y.azimuth + h * d.azimuth, y.m + h * d.m, y.dm + h * d.dm };
}

/* Runge and Kutta's classical step: so many that its error, as (h/r)^4, stays below
 * 1e-12; and a few to look around with. */
enum { FINE = 1500, COARSE = 150 };

static State
shoot (const RhyWall *wall,
       State          y,
       double         length,
       int            steps,
       double        *narrowest)
{
  const double h = length / steps;
  double low = y.s;
  double high = y.s;
  /* Where the line turns from down to up, or up to down, r sin a says how wide it is. */
  const double turning = fabs (rhy_wall_at (wall, y.s).r_mm * sin (y.azimuth));
  gboolean turned = FALSE;
  for (int i = 0; i < steps; i++)
    {
      const State a = rates (wall, y);
      const State b = rates (wall, moved (y, 0.5 * h, a));
      const State c = rates (wall, moved (y, 0.5 * h, b));
      const State d = rates (wall, moved (y, h, c));
      const double before = cos (y.azimuth);
      y = (State) { y.s + h / 6.0 * (a.s + 2.0 * (b.s + c.s) + d.s),
                    y.angle + h / 6.0 * (a.angle + 2.0 * (b.angle + c.angle) + d.angle),
                    y.azimuth + h / 6.0 * (a.azimuth + 2.0 * (b.azimuth + c.azimuth) + d.azimuth),
                    y.m + h / 6.0 * (a.m + 2.0 * (b.m + c.m) + d.m),
                    y.dm + h / 6.0 * (a.dm + 2.0 * (b.dm + c.dm) + d.dm) };
      turned |= before * cos (y.azimuth) < 0.0;
      low = MIN (low, y.s);
      high = MAX (high, y.s);
    }
  *narrowest = rhy_wall_narrowest (wall, low, high).r_mm;
  if (turned)
    *narrowest = MIN (*narrowest, turning);
  return y;
}

/* On one straight piece: a straight line on the development. */
static gboolean
on_cone (const RhyWall *wall,
         RhyWallPoint   from,
         RhyWallPoint   to,
         RhyRuler      *ruler)
{
  const double n = sin (rhy_wall_get_piece (wall, 0)->slope_rad);
  const double r = rhy_wall_at (wall, from.s).r_mm;
  const double a = to.angle - from.angle;
  const double phi = n * a;
  if (!(fabs (phi) < G_PI))
    return FALSE;
  const double arc = (r + n * (to.s - from.s)) * a;
  const double half_sinc = rhy_sinc (0.5 * phi);
  const double x = arc * rhy_sinc (phi);
  const double y = to.s - from.s - 0.5 * arc * phi * half_sinc * half_sinc;
  /* The line's nearest approach to the apex, if it lies between the ends: r sin (azimuth),
   * since r sin (azimuth) is the same all along. */
  const double start = atan2 (x, y);
  const double r0 = r;
  const double r1 = r + n * (to.s - from.s);
  const double turns0 = n * cos (start);
  const double turns1 = n * cos (start - phi);
  *ruler = (RhyRuler) { hypot (x, y), start, start - phi,
                        turns0 < 0.0 && turns1 > 0.0 ? fabs (r0 * sin (start)) : MIN (r0, r1) };
  return TRUE;
}

typedef struct { double azimuth, length, arrival, narrowest; } Aim;

/* Shoots again until the line ends at @to: what is missing along it lengthens it, what is
 * missing square to it turns it, by the deviation m. */
static gboolean
home_in (const RhyWall *wall,
         RhyWallPoint   from,
         RhyWallPoint   to,
         int            steps,
         double         enough,
         Aim           *aim)
{
  for (int i = 0; i < 40; i++)
    {
      const State end = shoot (wall, (State) { from.s, from.angle, aim->azimuth, 0.0, 1.0 }, aim->length, steps,
                               &aim->narrowest);
      const double ds = to.s - end.s;
      const double arc = rhy_wall_at (wall, end.s).r_mm * (to.angle - end.angle);
      const double ahead = ds * cos (end.azimuth) + arc * sin (end.azimuth);
      const double aside = arc * cos (end.azimuth) - ds * sin (end.azimuth);
      if (!isfinite (ahead) || !isfinite (aside) || end.m == 0.0)
        return FALSE;
      aim->arrival = end.azimuth;
      if (fabs (ahead) < enough && fabs (aside) < enough)
        return TRUE;
      aim->azimuth += CLAMP (aside / end.m, -0.3, 0.3);
      aim->length += CLAMP (ahead, -0.3 * aim->length, 0.3 * aim->length);
    }
  return FALSE;
}

gboolean
rhy_ruler_between (const RhyWall *wall,
                   RhyWallPoint   from,
                   RhyWallPoint   to,
                   RhyRuler      *ruler,
                   GError       **error)
{
  g_return_val_if_fail (wall != NULL && ruler != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  if (!rhy_wall_has (wall, from.s) || !rhy_wall_has (wall, to.s) || !(fabs (to.angle - from.angle) < 2.0 * G_PI))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                   "from %g to %g mm along the wall and %g degrees around: both ends must be on the wall, which is %g mm "
                   "long, and less than a turn apart", from.s, to.s, (to.angle - from.angle) * 180.0 / G_PI,
                   rhy_wall_get_length (wall));
      return FALSE;
    }
  if (rhy_wall_is_cone (wall) && on_cone (wall, from, to, ruler))
    return TRUE;

  /* From the chord in space, which is neither longer nor far off in direction. */
  const RhyRing r0 = rhy_wall_at (wall, from.s);
  const RhyRing r1 = rhy_wall_at (wall, to.s);
  const double a = to.angle - from.angle;
  const double across = r1.r_mm * sin (a);
  const double along = (r1.r_mm * cos (a) - r0.r_mm) * sin (r0.slope_rad) + (r1.z_mm - r0.z_mm) * cos (r0.slope_rad);
  const double azimuth = atan2 (across, along);
  const double length = hypot (to.s - from.s, 0.5 * (r0.r_mm + r1.r_mm) * a);
  if (!(length > 0.0))
    {
      *ruler = (RhyRuler) { 0.0, 0.0, 0.0, r0.r_mm };
      return TRUE;
    }

  /* Between points far round there may be several such lines: from directions all about
   * the chord's, the shortest counts. */
  Aim best = { .length = INFINITY };
  for (int k = -4; k <= 4; k++)
    {
      Aim aim = { .azimuth = azimuth + 0.35 * k, .length = length };
      if (home_in (wall, from, to, COARSE, 1e-6, &aim) && aim.length < best.length)
        best = aim;
    }
  if (isfinite (best.length) && home_in (wall, from, to, FINE, 1e-11, &best))
    {
      *ruler = (RhyRuler) { best.length, remainder (best.azimuth, 2.0 * G_PI), remainder (best.arrival, 2.0 * G_PI),
                            best.narrowest };
      return TRUE;
    }
  g_set_error_literal (error, RHY_ERROR, RHY_ERROR_NO_CONVERGENCE,
                       "no tape lies tight between these points: they are too nearly opposite");
  return FALSE;
}
