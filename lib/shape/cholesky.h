/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <math.h>

#include <glib.h>

/* The lower factor of a symmetric matrix of n rows, in place (what is above the
 * diagonal stays); FALSE if it is not positive. */
static inline gboolean
rhy_cholesky_factor (double *a,
                     gsize   n)
{
  for (gsize i = 0; i < n; i++)
    for (gsize j = 0; j <= i; j++)
      {
        double sum = a[i * n + j];
        for (gsize k = 0; k < j; k++)
          sum -= a[i * n + k] * a[j * n + k];
        if (i == j && !(sum > 0.0))
          return FALSE;
        a[i * n + j] = i == j ? sqrt (sum) : sum / a[j * n + j];
      }
  return TRUE;
}

/* Solves with the factor; y in, the solution out. */
static inline void
rhy_cholesky_solve (const double *a,
                    double       *y,
                    gsize         n)
{
  for (gsize i = 0; i < n; i++)
    {
      for (gsize k = 0; k < i; k++)
        y[i] -= a[i * n + k] * y[k];
      y[i] /= a[i * n + i];
    }
  for (gsize i = n; i-- > 0;)
    {
      for (gsize k = i + 1; k < n; k++)
        y[i] -= a[k * n + i] * y[k];
      y[i] /= a[i * n + i];
    }
}
