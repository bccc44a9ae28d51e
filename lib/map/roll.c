/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "roll.h"

#include <math.h>

#include "../shape/sinc.h"
#include "map-private.h"

/* atan (w)/w for |w| <= tan (pi/8), from q = w^2. Numerator and denominator are
 * the rational approximation of the Cephes mathematical library's atan (S. L.
 * Moshier, double precision, |w| <= 0.66; peak relative error 1.8e-16): branch
 * free, so the loop below runs in vector registers, which libm's atan2 does not.
 */
static inline double
atanc_small (double q)
{
  const double p = (((-8.750608600031904122785e-1 * q - 1.615753718733365076637e1) * q
                     - 7.500855792314704667340e1) * q - 1.228866684490136173410e2) * q
                   - 6.485021904942025371773e1;
  const double d = ((((q + 2.485846490142306297962e1) * q + 1.650270098316988542046e2) * q
                     + 4.328810604912902668951e2) * q + 4.853903996359136964868e2) * q
                   + 1.945506571482613964425e2;
  return 1.0 + q * p / d;
}

/* Source: derived here. On the sheet the anchor lies at distance r/n from the
 * apex. With c = n/r the point (x, y) has distance rho = h/c from it, h =
 * hypot (1 + c y, c x), at phi = atan2 (c x, 1 + c y) from the front line:
 *
 *   ds = (h - 1)/c = (c (x^2 + y^2) + 2 y)/(1 + h)      a = phi/(c r)
 *
 * phi is found by halving its angle first, w = tan (phi/2) = c x/(h + 1 + c y), which
 * folds (-pi, pi) into (-pi/2, pi/2) with no branch. Since a = 2 atanc (w) w/(c r),
 * dividing w by c beforehand leaves a form that is exact as c goes to 0.
 * Where |w| > tan (pi/8), atan (w) = pi/4 + atan ((w - 1)/(w + 1)) (|w| <= 2.41) or
 * pi/2 - atan (1/w), and c is not small.
 */
RHY_MANY void
rhy_roll_on (RhyRoll       roll,
             gsize         n,
             const double *x,
             const double *y,
             double       *ds,
             double       *a)
{
  const double c = roll.n / roll.r;
  const double cr = c != 0.0 ? roll.n : 1.0;
  const double two_by_r = 2.0 / roll.r;

  RHY_IVDEP
  for (gsize i = 0; i < n; i++)
    {
      const double u = x[i];
      const double v = y[i];
      const double cu = c * u;
      const double up = 1.0 + c * v;
      const double h = sqrt (up * up + cu * cu);
      const double w_by_c = u / (h + up);
      const double w = c * w_by_c;

      const double t = fabs (w);
      const gboolean far = t > 0.41421356237309504880;
      const gboolean beyond = t > 2.41421356237309504880;
      const double num = beyond ? -1.0 : t - 1.0;
      const double den = beyond ? t : t + 1.0;
      const double z = far ? num / den : w;
      const double small = atanc_small (z * z);
      const double bent = (beyond ? G_PI_2 : G_PI_4) + z * small;
      const double angle = far ? copysign (2.0 * bent, w) / cr : two_by_r * w_by_c * small;

      ds[i] = (c * (u * u + v * v) + 2.0 * v) / (1.0 + h);
      a[i] = angle;
    }
}

/* Source: derived here (development of a cone), from the anchor: with r' = r + n ds the sheet's
 * arc per radian there, phi = n a: x = r' a sinc (phi), y = ds - r' a (1 - cos phi)/phi,
 * the last as n r' a^2/2 sinc^2 (phi/2). */
RHY_MANY void
rhy_roll_off (RhyRoll       roll,
              gsize         n,
              const double *ds,
              const double *a,
              double       *x,
              double       *y)
{
  for (gsize i = 0; i < n; i++)
    {
      const double arc = (roll.r + roll.n * ds[i]) * a[i];
      const double half = 0.5 * roll.n * a[i];
      const double half_sinc = rhy_sinc (half);
      const double up = ds[i] - arc * half * half_sinc * half_sinc;
      x[i] = arc * half_sinc * cos (half);
      y[i] = up;
    }
}
