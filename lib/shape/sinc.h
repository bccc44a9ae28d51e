/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* Quotients that run through 0/0, written so that they do not: with them one
 * formula serves straight and curved pieces, cylinders and cones.
 *
 * Near 0 each uses its Taylor series where that is exact to the last bit, and
 * the plain quotient, which loses nothing there, elsewhere.
 * Source: derived here.
 */

#include <math.h>

/* sin (x) / x */
static inline double
rhy_sinc (double x)
{
  return fabs (x) < 1e-4 ? 1.0 - x * x / 6.0 : sin (x) / x;
}

/* (x - sin x) / x^3, 1/6 at 0. The quotient cancels: below 1 the series is used,
 * ten terms of it (the next is below 1e-20). */
static inline double
rhy_sin_remainder (double x)
{
  if (fabs (x) >= 1.0)
    return (x - sin (x)) / (x * x * x);
  /* 1/3! - x^2/5! + x^4/7! - ..., by nesting from the last term down. */
  const double q = x * x;
  double sum = 1.0;
  for (int k = 20; k >= 4; k -= 2)
    sum = 1.0 - q * sum / (k * (k + 1.0));
  return sum / 6.0;
}

/* atan (x) / x */
static inline double
rhy_atanc (double x)
{
  return fabs (x) < 1e-4 ? 1.0 - x * x / 3.0 : atan (x) / x;
}

/* asin (x) / x */
static inline double
rhy_asinc (double x)
{
  return fabs (x) < 1e-4 ? 1.0 + x * x / 6.0 : asin (x) / x;
}
