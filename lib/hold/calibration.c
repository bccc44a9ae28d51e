/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/calibration.h>

#include <math.h>
#include <string.h>

/* Student's t for 1 to 30 degrees of freedom and for infinitely many, two-sided
 * 95 % and 99 %. Source: NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2
 * (values from memory). The F-test of one more term compares with the square of
 * the second: F(1, n) = t(n)^2.
 */
static const double student[2][31] = {
  { 12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228, 2.201,
    2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086, 2.080, 2.074,
    2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042, 1.960 },
  { 63.657, 9.925, 5.841, 4.604, 4.032, 3.707, 3.499, 3.355, 3.250, 3.169, 3.106,
    3.055, 3.012, 2.977, 2.947, 2.921, 2.898, 2.878, 2.861, 2.845, 2.831, 2.819,
    2.807, 2.797, 2.787, 2.779, 2.771, 2.763, 2.756, 2.750, 2.576 },
};

enum { LEVEL_95, LEVEL_99 };

static double
t_quantile (int   level,
            gsize freedom)
{
  const double *t = student[level];
  if (freedom <= 30)
    return t[freedom - 1];
  /* Nearly linear in 1/n from there on. */
  return t[30] + (t[29] - t[30]) * 30.0 / (double) freedom;
}

static const char *const cause_names[] = {
  [RHY_CAUSE_TRAVEL] = "travel",
  [RHY_CAUSE_AXIS_SCALE] = "axis-scale",
  [RHY_CAUSE_SHEAR] = "shear",
  [RHY_CAUSE_TAPER] = "taper",
  [RHY_CAUSE_TILT] = "tilt",
};

const char *
rhy_cause_kind_to_string (RhyCauseKind kind)
{
  g_return_val_if_fail ((gsize) kind < G_N_ELEMENTS (cause_names), NULL);

  return cause_names[kind];
}

static gboolean
is_length (double      value_mm,
           const char *what,
           GError    **error)
{
  if (value_mm > 0.0 && isfinite (value_mm))
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "%s %g mm: must be a number above 0", what, value_mm);
  return FALSE;
}

/* From the factor by which everything came out too wide: T = T_set/q. */
static void
set_travel (RhyCalibration *result,
            double          travel_set,
            double          q,
            double          u_q)
{
  result->travel_per_turn_mm = travel_set / q;
  result->uncertainty_mm = result->travel_per_turn_mm * u_q / q;
  RhyCause *cause = &result->causes[RHY_CAUSE_TRAVEL];
  cause->testable = TRUE;
  cause->value = result->travel_per_turn_mm - travel_set;
  cause->uncertainty = result->uncertainty_mm;
}

gboolean
rhy_calibration_from_lengths (double                  travel_set_mm,
                              const RhyLengthReading *readings,
                              gsize                   n,
                              RhyCalibration         *result,
                              GError                **error)
{
  g_return_val_if_fail (readings != NULL && n >= 1 && result != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  if (!is_length (travel_set_mm, "travel per turn", error))
    return FALSE;
  double sum_w = 0.0;
  double sum = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      const RhyLengthReading *r = &readings[i];
      if (!is_length (r->nominal_mm, "nominal length", error) || !is_length (r->printed_mm, "printed length", error)
          || !is_length (r->u_mm, "uncertainty", error))
        return FALSE;
      const double w = (r->nominal_mm / r->u_mm) * (r->nominal_mm / r->u_mm);
      sum_w += w;
      sum += w * r->printed_mm / r->nominal_mm;
    }

  const double q = sum / sum_w;
  double chi2 = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      const double e = (readings[i].printed_mm - q * readings[i].nominal_mm) / readings[i].u_mm;
      chi2 += e * e;
    }
  /* Readings that scatter more than they claim have the larger uncertainty. */
  const double birge = n > 1 ? MAX (1.0, sqrt (chi2 / (double) (n - 1))) : 1.0;
  const double u_q = birge / sqrt (sum_w);
  const gboolean scattered = birge > 1.0;
  const double k95 = scattered ? t_quantile (LEVEL_95, n - 1) : 2.0;
  const double k99 = scattered ? t_quantile (LEVEL_99, n - 1) : student[LEVEL_99][30];

  *result = (RhyCalibration) { .scatter_mm = birge * readings[0].u_mm };
  set_travel (result, travel_set_mm, q, k95 * u_q);
  result->causes[RHY_CAUSE_TRAVEL].supported = fabs (q - 1.0) > k99 * u_q;
  return TRUE;
}

gboolean
rhy_calibration_from_overrun (double          travel_set_mm,
                              double          overrun_mm,
                              double          u_overrun_mm,
                              double          diameter_mm,
                              double          u_diameter_mm,
                              RhyCalibration *result,
                              GError        **error)
{
  g_return_val_if_fail (result != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  if (!is_length (travel_set_mm, "travel per turn", error) || !is_length (diameter_mm, "diameter", error)
      || !is_length (u_overrun_mm, "uncertainty of the overrun", error)
      || !is_length (u_diameter_mm, "uncertainty of the diameter", error))
    return FALSE;
  const double around = G_PI * diameter_mm;
  if (!(fabs (overrun_mm) < 0.5 * around))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "overrun %g mm on a vessel %g mm around: must be less than half a turn", overrun_mm, around);
      return FALSE;
    }

  const double q = 1.0 + overrun_mm / around;
  const double u_q = hypot (u_overrun_mm / around, overrun_mm / around * u_diameter_mm / diameter_mm);
  *result = (RhyCalibration) { .scatter_mm = u_overrun_mm };
  set_travel (result, travel_set_mm, q, 2.0 * u_q);
  result->causes[RHY_CAUSE_TRAVEL].supported = fabs (q - 1.0) > student[LEVEL_99][30] * u_q;
  return TRUE;
}

/* Least squares with at most three terms. */
enum { MAX_TERMS = 3 };

typedef struct
{
  double   value[MAX_TERMS];
  double   u[MAX_TERMS];        /* standard uncertainty for unit variance of a reading */
  gboolean used[MAX_TERMS];
  double   sum_squares;
  gsize    n_used;
} Fit;

/* Columns that are (nearly) combinations of earlier ones are left out: modified
 * Gram-Schmidt, term by term, tells which, and gives the solution by back
 * substitution and the variances by the inverse of R (Golub & Van Loan, Matrix
 * Computations, 5.2 and 5.3). */
static Fit
least_squares (const double *columns,   /* n_terms of n */
               const double *y,
               gsize         n,
               gsize         n_terms)
{
  Fit fit = { 0 };
  g_autofree double *q = g_memdup2 (columns, n * n_terms * sizeof (double));
  g_autofree double *rest = g_memdup2 (y, n * sizeof (double));
  double R[MAX_TERMS][MAX_TERMS] = { { 0 } };
  double c[MAX_TERMS] = { 0 };

  for (gsize j = 0; j < n_terms; j++)
    {
      double *col = q + j * n;
      double before = 0.0, after = 0.0;
      for (gsize i = 0; i < n; i++)
        before += col[i] * col[i];
      for (gsize k = 0; k < j; k++)
        {
          if (!fit.used[k])
            continue;
          for (gsize i = 0; i < n; i++)
            R[k][j] += q[k * n + i] * col[i];
          for (gsize i = 0; i < n; i++)
            col[i] -= R[k][j] * q[k * n + i];
        }
      for (gsize i = 0; i < n; i++)
        after += col[i] * col[i];
      /* Under a thousandth of it new: the readings cannot tell it from the others. */
      fit.used[j] = before > 0.0 && after > 1e-6 * before && fit.n_used < n;
      if (!fit.used[j])
        continue;
      fit.n_used++;
      R[j][j] = sqrt (after);
      for (gsize i = 0; i < n; i++)
        {
          col[i] /= R[j][j];
          c[j] += col[i] * rest[i];
        }
      for (gsize i = 0; i < n; i++)
        rest[i] -= c[j] * col[i];
    }

  for (gsize i = 0; i < n; i++)
    fit.sum_squares += rest[i] * rest[i];
  /* R x = c, and row sums of squares of R^-1. */
  for (gsize m = 0; m < n_terms; m++)
    {
      double inverse[MAX_TERMS] = { 0 };
      if (!fit.used[m])
        continue;
      /* Solve R z = e_m backwards: column m of the inverse. */
      for (gsize jj = m + 1; jj-- > 0;)
        {
          if (!fit.used[jj])
            continue;
          double v = jj == m ? 1.0 : 0.0;
          for (gsize k = jj + 1; k <= m; k++)
            v -= R[jj][k] * inverse[k];
          inverse[jj] = v / R[jj][jj];
          fit.value[jj] += inverse[jj] * c[m];
          fit.u[jj] += inverse[jj] * inverse[jj];
        }
    }
  for (gsize m = 0; m < n_terms; m++)
    fit.u[m] = sqrt (fit.u[m]);
  return fit;
}

static RhyCause
cause_from (const Fit *fit,
            gsize      term,
            double     null,
            double     sigma,
            gsize      freedom)
{
  if (!fit->used[term])
    return (RhyCause) { 0 };
  const double u = sigma * fit->u[term];
  const double k95 = freedom > 0 ? t_quantile (LEVEL_95, freedom) : 2.0;
  const double k99 = freedom > 0 ? t_quantile (LEVEL_99, freedom) : student[LEVEL_99][30];
  return (RhyCause) { TRUE, fabs (fit->value[term] - null) > k99 * u, fit->value[term] - null, k95 * u };
}

/* The scatter about the fit, but never less than what the reading is good for. */
static double
scatter (const Fit *fit,
         gsize      n,
         double     u)
{
  return n > fit->n_used ? MAX (u, sqrt (fit->sum_squares / (double) (n - fit->n_used))) : u;
}

/* Along the wall: printed = nominal p cos (l)/cos (l - e), l the slope less the tilt
 * that was set (drive_wrong_tilt's formula), p the scale, e the tilt's error. By
 * Gauss-Newton: at a tilt error of 3 degrees its square would pass for a scale of
 * a thousandth, which caliper readings see.
 */
static Fit
fit_along (const RhyGridReading *readings,
           const double         *lean,
           gsize                 n)
{
  g_autofree double *columns = g_new (double, 2 * n);
  g_autofree double *y = g_new (double, n);
  double p = 1.0;
  double e = 0.0;
  Fit fit = { 0 };
  for (int step = 0; step < 8; step++)
    {
      for (gsize i = 0; i < n; i++)
        {
          const double nominal = readings[i].nominal_along_mm;
          const double ratio = cos (lean[i]) / cos (lean[i] - e);
          columns[i] = nominal * ratio;
          columns[n + i] = -nominal * p * ratio * tan (lean[i] - e);
          y[i] = readings[i].printed_along_mm + columns[n + i] * e;
        }
      fit = least_squares (columns, y, n, 2);
      if (!fit.used[1] || fabs (fit.value[1]) > 0.5)
        break;
      p = fit.value[0];
      e = fit.value[1];
    }
  return fit;
}

gboolean
rhy_calibration_from_grid (RhyWall              *wall,
                           double                tilt_rad,
                           double                travel_set_mm,
                           const RhyGridReading *readings,
                           gsize                 n,
                           double                u_mm,
                           RhyCalibration       *result,
                           GError              **error)
{
  g_return_val_if_fail (wall != NULL && readings != NULL && n >= 1 && result != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  if (!is_length (travel_set_mm, "travel per turn", error) || !is_length (u_mm, "uncertainty", error))
    return FALSE;

  g_autofree double *around = g_new (double, 3 * n);
  g_autofree double *y_around = g_new (double, n);
  g_autofree double *lean = g_new (double, n);
  double middle = 0.0;
  for (gsize i = 0; i < n; i++)
    middle += readings[i].height_mm / (double) n;

  gboolean any_around = FALSE;
  for (gsize i = 0; i < n; i++)
    {
      const RhyGridReading *r = &readings[i];
      RhyRing ring;
      if (!rhy_wall_at_height (wall, r->height_mm, &ring))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                       "reading %" G_GSIZE_FORMAT " at height %g mm: the wall has no such height", i + 1, r->height_mm);
          return FALSE;
        }
      around[i] = r->nominal_around_mm;
      around[n + i] = r->nominal_around_mm * (r->height_mm - middle);
      around[2 * n + i] = r->nominal_along_mm;
      y_around[i] = r->printed_around_mm;
      lean[i] = ring.slope_rad - tilt_rad;
      any_around |= r->nominal_around_mm != 0.0;
    }
  if (!any_around)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_PROFILE,
                           "no reading has a nominal length around: travel per turn cannot be learnt from these");
      return FALSE;
    }

  const Fit a = least_squares (around, y_around, n, 3);
  const Fit b = fit_along (readings, lean, n);
  if (!(a.value[0] > 0.0))
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_PROFILE,
                           "printed lengths around run against the nominal ones: the turn is wired the other way "
                           "(see the arrow piece), or the columns are swapped");
      return FALSE;
    }
  const double sigma_a = scatter (&a, n, u_mm);
  const double sigma_b = scatter (&b, n, u_mm);

  *result = (RhyCalibration) { .scatter_mm = MAX (sigma_a, sigma_b), .middle_height_mm = middle };
  const RhyCause q = cause_from (&a, 0, 1.0, sigma_a, n - a.n_used);
  set_travel (result, travel_set_mm, a.value[0], q.uncertainty);
  result->causes[RHY_CAUSE_TRAVEL].supported = q.supported;
  result->causes[RHY_CAUSE_TAPER] = cause_from (&a, 1, 0.0, sigma_a, n - a.n_used);
  result->causes[RHY_CAUSE_SHEAR] = cause_from (&a, 2, 0.0, sigma_a, n - a.n_used);
  result->causes[RHY_CAUSE_AXIS_SCALE] = cause_from (&b, 0, 1.0, sigma_b, n - b.n_used);
  result->causes[RHY_CAUSE_TILT] = cause_from (&b, 1, 0.0, sigma_b, n - b.n_used);
  /* The trend is the factor's, not the travel's times it. */
  result->causes[RHY_CAUSE_TAPER].value /= a.value[0];
  result->causes[RHY_CAUSE_TAPER].uncertainty /= a.value[0];
  return TRUE;
}

void
rhy_calibration_combine (const double *travels_mm,
                         const double *uncertainties_mm,
                         gsize         n,
                         double       *travel_mm,
                         double       *uncertainty_mm)
{
  g_return_if_fail (travels_mm != NULL && uncertainties_mm != NULL && n >= 1);
  g_return_if_fail (travel_mm != NULL && uncertainty_mm != NULL);

  double sum_w = 0.0;
  double sum = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      const double w = 1.0 / (uncertainties_mm[i] * uncertainties_mm[i]);
      sum_w += w;
      sum += w * travels_mm[i];
    }
  const double mean = sum / sum_w;
  double chi2 = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      /* Expanded uncertainties are twice the standard ones. */
      const double e = 2.0 * (travels_mm[i] - mean) / uncertainties_mm[i];
      chi2 += e * e;
    }
  const double birge = n > 1 ? MAX (1.0, sqrt (chi2 / (double) (n - 1))) : 1.0;
  *travel_mm = mean;
  *uncertainty_mm = birge / sqrt (sum_w);
}
