/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/readings.h>

/* Positions come out of one hypot, atan2, sin and cos each: ten roundings on
 * values up to 2e2 mm are 4e-13. */
static const double TOL_MM = 1e-12;

static double
diameter_at (const RhyFit *fit,
             double        z)
{
  RhyRing ring;
  assert_true (rhy_wall_at_height (fit->wall, z, &ring));
  return 2.0 * ring.r_mm;
}

static void
test_two_stations_are_met_exactly (void **state)
{
  (void) state;
  const double h[] = { 3.0, 153.0 };
  const double d[] = { 62.3, 88.1 };
  const RhyReadings r = { 2, h, d, 0.5, 0.05 };
  RhyFit fit;
  GError *error = NULL;
  assert_true (rhy_readings_fit_straight (&r, &fit, &error));
  assert_no_error (error);
  g_autoptr (RhyWall) wall = fit.wall;
  assert_true (rhy_wall_is_cone (wall));
  assert_near (rhy_wall_at (wall, 0).r_mm, 31.15, 0.0);
  assert_near (rhy_wall_at (wall, 0).z_mm, 3.0, 0.0);
  assert_near (diameter_at (&fit, 153.0), 88.1, TOL_MM);
  assert_true (fit.agrees);
  assert_near (fit.worst_mm, 0.0, TOL_MM);
}

/* By hand: h = 0, 1, 2, 3 and D = 1, 3, 4, 6 (times 10): least squares without
 * errors in h: slope = sum (h - 1.5)(D - 3.5) / sum (h - 1.5)^2
 *   = (1.5*2.5 + 0.5*0.5 + 0.5*0.5 + 1.5*2.5)/5 = 8/5, mean 3.5. */
static void
test_more_stations_are_least_squares (void **state)
{
  (void) state;
  const double h[] = { 0, 10, 20, 30 };
  const double d[] = { 10, 30, 40, 60 };
  const RhyReadings r = { 4, h, d, 0.0, 0.1 };
  RhyFit fit;
  assert_true (rhy_readings_fit_straight (&r, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  assert_near (diameter_at (&fit, 0), 35 - 24, TOL_MM);
  assert_near (diameter_at (&fit, 30), 35 + 24, TOL_MM);
  assert_false (fit.agrees);
  /* Residuals -1, 3 ... by hand: 10-11, 30-27, 40-43, 60-59. */
  assert_near (fabs (fit.worst_mm), 3.0, TOL_MM);
}

/* Equal errors in h and D: the line through the centroid along the principal
 * axis of the scatter (orthogonal regression), by hand from
 * tan 2t = 2 Sxy/(Sxx - Syy): points (0,0), (10,12), (20,18) shifted up by 50:
 * Sxx = 200, Syy = 168, Sxy = 180 about the mean (10, 60). */
static void
test_errors_in_height_count (void **state)
{
  (void) state;
  const double h[] = { 0, 10, 20 };
  const double d[] = { 50, 62, 68 };
  const RhyReadings r = { 3, h, d, 2.0, 2.0 };
  RhyFit fit;
  assert_true (rhy_readings_fit_straight (&r, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  const double slope = tan (0.5 * atan2 (2.0 * 180.0, 200.0 - 168.0));
  assert_near (diameter_at (&fit, 20) - diameter_at (&fit, 0), 20.0 * slope, 1e-11);
  assert_near (diameter_at (&fit, 10), 60.0, 1e-11);
}

typedef struct
{
  const char *name;
  gsize       n;
  double      h[3], d[3];
  const char *says;
} BadCase;

static BadCase bad_cases[] = {
  { "too few", 1, { 0 }, { 60 }, "at least 2" },
  { "decreasing heights", 3, { 0, 90, 80 }, { 60, 70, 80 }, "80 mm follows 90" },
  { "same height twice", 2, { 50, 50 }, { 60, 70 }, "must increase" },
  { "negative diameter", 2, { 0, 90 }, { 60, -3 }, "-3 mm" },
  { "zero diameter", 2, { 0, 90 }, { 60, 0 }, "above 0" },
  { "not a number", 2, { 0, 90 }, { 60, NAN }, "numbers" },
  { "height not a number", 2, { NAN, 90 }, { 60, 70 }, "numbers" },
};

static void
test_bad (void **state)
{
  const BadCase *c = *state;
  const RhyReadings r = { c->n, c->h, c->d, 0.5, 0.05 };
  RhyFit fit = { .worst = 77 };
  GError *error = NULL;
  assert_false (rhy_readings_fit_straight (&r, &fit, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, c->says));
  assert_null (strchr (error->message, '\n'));
  assert_int_equal (fit.worst, 77);
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
}

int
main (void)
{
  struct CMUnitTest tests[3 + G_N_ELEMENTS (bad_cases)] = {
    cmocka_unit_test (test_two_stations_are_met_exactly),
    cmocka_unit_test (test_more_stations_are_least_squares),
    cmocka_unit_test (test_errors_in_height_count),
  };
  for (gsize i = 0; i < G_N_ELEMENTS (bad_cases); i++)
    tests[3 + i] = (struct CMUnitTest) { bad_cases[i].name, test_bad, NULL, NULL, &bad_cases[i] };
  return _cmocka_run_group_tests ("readings", tests, G_N_ELEMENTS (tests), NULL, NULL);
}
