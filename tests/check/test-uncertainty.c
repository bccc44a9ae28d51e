/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include <string.h>

#include "csv.h"

#include <rhyton/uncertainty.h>

/* The measurands of JCGM 100 examples for this trade, written down here from the
 * formulas in the tables; what is tested is the propagation. The tables' u and c
 * come from closed forms; beside them stand a Monte Carlo run's mean and standard
 * deviation, which first order must meet within that run's own tolerance. */

static double
cone_slope (const double *x, gpointer data)
{
  (void) data;
  return atan ((x[1] - x[0]) / (2.0 * x[2]));
}

static double
cone_sector (const double *x, gpointer data)
{
  return 2.0 * G_PI * fabs (sin (cone_slope (x, data)));
}

static double
cone_slant (const double *x, gpointer data)
{
  (void) data;
  return hypot (x[2], 0.5 * (x[1] - x[0]));
}

static void
check_monte_carlo (const CsvRow *row, double u)
{
  /* The sampled deviation holds the higher orders too: mc_tol_sd covers four
   * standard errors and those (README.md). */
  assert_near (u, csv_number (row, "mc_sd"), csv_number (row, "mc_tol_sd") + 1e-11);
}

static double
correlated (const CsvRow *row, RhyMeasurand f, gpointer data, const double *x, const double *u, gsize n, double *c, double *y)
{
  double correlation[9] = { 0.0 };
  for (gsize i = 0; i < n; i++)
    correlation[i * n + i] = 1.0;
  if (n > 1)
    correlation[1] = correlation[n] = csv_number_or (row, "in_corr_12", 0.0);
  return rhy_u_propagate (f, data, x, u, n, correlation, c, y);
}

static void
check_result (const CsvRow *row, double y, double u)
{
  csv_check (row, "out_y", y);
  csv_check (row, "out_u_first_order", u);
  csv_check (row, "out_U_k2", 2.0 * u);
  check_monte_carlo (row, u);
}

static void
check_cone (const CsvRow *row)
{
  const char *model = csv_text (row, "in_model");
  const RhyMeasurand f = g_str_has_prefix (model, "beta") ? cone_slope
                         : g_str_has_prefix (model, "sector") ? cone_sector : cone_slant;
  const double x[3] = { csv_number (row, "in_D1"), csv_number (row, "in_D2"), csv_number (row, "in_L") };
  const double u[3] = { csv_number (row, "in_u_D1"), csv_number (row, "in_u_D2"), csv_number (row, "in_u_L") };
  double c[3], y;
  const double combined = correlated (row, f, NULL, x, u, 3, c, &y);
  check_result (row, y, combined);
  csv_check (row, "out_c_D1", c[0]);
  csv_check (row, "out_c_D2", c[1]);
  csv_check (row, "out_c_L", c[2]);

  /* Two stations through the fit: the lower height is exact, the upper has u_L.
   * The library shares one u among heights, so half the variance goes to each. */
  if (f != cone_slope || csv_has (row, "in_corr_12"))
    return;
  const double h[] = { 0.0, x[2] };
  const double d[] = { x[0], x[1] };
  const RhyReadings readings = { .n = 2, .heights_mm = h, .diameters_mm = d, .u_height_mm = u[2] / sqrt (2.0),
                                 .u_diameter_mm = u[0] };
  RhyFit fit;
  assert_true (rhy_readings_fit (&readings, RHY_WALL_STRAIGHT, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  csv_check (row, "out_y", rhy_wall_at (wall, 0.0).slope_rad);
  csv_check (row, "out_u_first_order", fit.slope_u_rad);

  RhyPrintUncertainty print_u;
  const RhyPrint print = { .anchor_mm = 0.5 * x[2], .low_mm = 0.4 * x[2], .high_mm = 0.6 * x[2], .width_mm = 10.0 };
  assert_true (rhy_readings_print_uncertainty (&readings, &fit, &print, &print_u, NULL));
  /* Steps of a whole u instead of a derivative: off by the cube of u/x. */
  const double rough = MAX (pow (u[2] / x[2], 2.0), pow (u[0] / x[2], 2.0));
  csv_check_within (row, "out_u_first_order", print_u.u_slope_rad, rough * fit.slope_u_rad);
}

typedef struct { double w, set; gboolean theta; } Width;

static double
printed_width (const double *x, gpointer data)
{
  const Width *width = data;
  return width->theta ? 2.0 * width->w / x[0] : width->w * x[0] / width->set;
}

static double
over_pi (const double *x, gpointer data)
{
  (void) data;
  return x[0] / G_PI;
}

static void
check_width (const CsvRow *row)
{
  const char *model = csv_text (row, "in_model");
  const double x = csv_number (row, "in_D_true");
  const double u = csv_number (row, "in_u_D_true");
  Width width = { csv_number_or (row, "in_w_mm", 0.0), csv_number_or (row, "in_D_set_mm", 0.0),
                  g_str_has_prefix (model, "theta") };
  double c, y;
  const double combined = correlated (row, g_str_has_prefix (model, "D = C") ? over_pi : printed_width,
                                      &width, &x, &u, 1, &c, &y);
  check_result (row, y, combined);
  csv_check (row, "out_c_D_true", c);

  /* The same through readings: a cylinder read twice, both readings with the
   * covariance that makes their mean's u the row's. Only the middle height counts. */
  if (!g_str_has_prefix (model, "printed"))
    return;
  const double h[] = { 0.0, 100.0 };
  const double d[] = { x, x };
  const RhyReadings readings = { .n = 2, .heights_mm = h, .diameters_mm = d, .u_height_mm = 0.5,
                                 .u_diameter_mm = u * sqrt (2.0) };
  RhyFit fit;
  assert_true (rhy_readings_fit (&readings, RHY_WALL_AUTO, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  assert_non_null (wall);
  const RhyPrint print = { .anchor_mm = 50.0, .low_mm = 40.0, .high_mm = 60.0, .width_mm = width.w };
  RhyPrintUncertainty print_u;
  assert_true (rhy_readings_print_uncertainty (&readings, &fit, &print, &print_u, NULL));
  csv_check_within (row, "out_u_first_order", print_u.u_width_mm, 1e-10);
}

typedef struct { double w, T; } Calibration;

static double
printed_of_gap (const double *x, gpointer data)
{
  const Calibration *k = data;
  return k->w * (1.0 + x[1] / (G_PI * x[0]));
}

static double
travel_of_gap (const double *x, gpointer data)
{
  const Calibration *k = data;
  return k->T / (1.0 + x[1] / (G_PI * x[0]));
}

static void
check_calibration (const CsvRow *row)
{
  const gboolean printed = g_str_has_prefix (csv_text (row, "in_model"), "printed");
  Calibration k = { csv_number_or (row, "in_w_mm", 0.0), csv_number_or (row, "in_T_set_mm", 0.0) };
  const double x[2] = { csv_number (row, "in_D"), csv_number (row, "in_a") };
  const double u[2] = { csv_number (row, "in_u_D"), csv_number (row, "in_u_a") };
  double c[2], y;
  const double combined = correlated (row, printed ? printed_of_gap : travel_of_gap, &k, x, u, 2, c, &y);
  check_result (row, y, combined);
  csv_check (row, "out_c_D", c[0]);
  csv_check (row, "out_c_a", c[1]);
}

static void
check_type_b (const CsvRow *row)
{
  const char *kind = csv_text (row, "in_distribution");
  const double a = csv_number (row, "in_a_mm");
  const double u = g_str_has_prefix (kind, "rectangular") ? rhy_u_rectangular (a)
                   : g_str_has_prefix (kind, "triangular") ? rhy_u_triangular (a) : rhy_u_resolution (a);
  csv_check (row, "out_u_mm", u);
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "uncertainty_cone.csv", check_cone },
    { "uncertainty_width.csv", check_width },
    { "uncertainty_calibration.csv", check_calibration },
    { "uncertainty_type_b.csv", check_type_b },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
