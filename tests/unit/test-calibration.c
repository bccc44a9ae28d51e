/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/calibration.h>

static void
test_a_single_reading (void **state)
{
  (void) state;
  /* Set at 170, a 60 mm mark came out 65 wide: 170 * 60/65 = 156.92 by hand;
   * read by tape (0.5 mm, k = 2) that is 2 * 156.92 * 0.5/65 = 2.41 mm either way.
   * The 160 found by hand (common practice, no source) would have printed 63.75:
   * 1.25 mm, or 2.5 standard uncertainties of the tape, from the reading. */
  const RhyLengthReading r = { 60, 65, 0.5 };
  RhyCalibration c;
  assert_true (rhy_calibration_from_lengths (170, &r, 1, &c, NULL));
  assert_near (c.travel_per_turn_mm, 170.0 * 60 / 65, 1e-12);
  assert_near (c.uncertainty_mm, 2 * 170.0 * 60 / 65 * 0.5 / 65, 1e-12);
  assert_true (c.causes[RHY_CAUSE_TRAVEL].supported);
  assert_false (c.causes[RHY_CAUSE_SHEAR].testable);
}

static void
test_several_readings_are_weighed (void **state)
{
  (void) state;
  /* Two readings that agree, one four times as good: weights 16 to 1, by hand
   * q = (16 * 1.01 + 1.02)/17. */
  const RhyLengthReading r[] = { { 100, 101, 0.25 }, { 100, 102, 1.0 } };
  RhyCalibration c;
  assert_true (rhy_calibration_from_lengths (200, r, 2, &c, NULL));
  assert_near (c.travel_per_turn_mm, 200 / ((16 * 1.01 + 1.02) / 17), 1e-12);
}

typedef struct { double d, o, t, want; } Overrun;
static const Overrun overruns[] = {
  /* T_true = T_set/(1 + o/(pi D)), by hand with pi D = 282.743 */
  { 90, 0, 100, 100 },
  { 90, 28.274333882308139, 110, 100 },       /* a tenth of a turn too far */
  { 90, -28.274333882308139, 90, 100 },
};

static void
test_overrun (void **state)
{
  (void) state;
  for (gsize i = 0; i < G_N_ELEMENTS (overruns); i++)
    {
      RhyCalibration c;
      assert_true (rhy_calibration_from_overrun (overruns[i].t, overruns[i].o, 0.5, overruns[i].d, 0.05, &c, NULL));
      assert_near (c.travel_per_turn_mm, overruns[i].want, 1e-11);
    }
}

/* A machine with faults, by the physics of each and not by the fitted model: the
 * travel sets how far a drawn length turns the work, the true radius what that is
 * on the wall, the axis error moves the spot across as it goes along, and a tilt
 * error lengthens by the ratio of cosines. */
typedef struct { double travel, axis, shear, taper, tilt; } Faults;

static void
burn (const RhyWall *wall, double tilt, double set, Faults f, double noise, GRand *rand, RhyGridReading *r, gsize *n)
{
  *n = 0;
  for (double h = 20; h <= 130; h += 22)
    for (int k = -2; k <= 2; k++)
      {
        RhyRing ring, mark;
        rhy_wall_at_height (wall, h, &ring);
        rhy_wall_at_height (wall, 75, &mark);
        const double along = ring.s_mm - mark.s_mm, around = 15.0 * k;
        const double true_r = ring.r_mm * (1 + f.taper * (h - 75));
        double got_around = around / ring.r_mm * set / f.travel * true_r + along * sin (f.shear);
        double got_along = along * (1 + f.axis) * cos (ring.slope_rad - tilt) / cos (ring.slope_rad - tilt - f.tilt);
        /* Noise: the sum of 12 uniforms, less 6, has variance 1. */
        for (int m = 0; m < 12; m++)
          {
            got_around += noise * (g_rand_double (rand) - 0.5);
            got_along += noise * (g_rand_double (rand) - 0.5);
          }
        r[(*n)++] = (RhyGridReading) { h, around / ring.r_mm, along, got_along, around, got_around };
      }
}

/* One thousand machines, each fault there or not by a coin, at caliper noise: the
 * travel within its stated uncertainty in at least 95 % of them, and every cause
 * called right in at least 90 %. The mean height is that of the mark, 75, so that
 * a wrong taper leaves the travel's factor alone. */
static void
test_a_thousand_machines (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (4711);
  g_autoptr (RhyWall) wall = rhy_wall_new_pieces (0, 32,
    &(RhyWallPiece) { .length_mm = 152, .slope_rad = 0.35, .curvature_per_mm = -0.0035 }, 1, NULL);
  const double tilt = 0.08, set = 250;
  int within = 0, named = 0;
  for (int run = 0; run < 1000; run++)
    {
      Faults f = { .travel = set };
      gboolean there[RHY_CAUSE_N_KINDS];
      for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
        there[i] = g_rand_boolean (rand);
      const double sign = g_rand_boolean (rand) ? 1 : -1;
      if (there[RHY_CAUSE_TRAVEL])
        f.travel = set * (1 + sign * g_rand_double_range (rand, 0.01, 0.08));
      if (there[RHY_CAUSE_AXIS_SCALE])
        f.axis = sign * g_rand_double_range (rand, 0.004, 0.02);
      if (there[RHY_CAUSE_SHEAR])
        f.shear = sign * g_rand_double_range (rand, 0.004, 0.02);
      if (there[RHY_CAUSE_TAPER])
        f.taper = sign * g_rand_double_range (rand, 1e-4, 5e-4);
      if (there[RHY_CAUSE_TILT])
        f.tilt = sign * g_rand_double_range (rand, 0.02, 0.05);
      RhyGridReading r[64];
      gsize n;
      burn (wall, tilt, set, f, 0.05, rand, r, &n);
      RhyCalibration c;
      assert_true (rhy_calibration_from_grid (wall, tilt, set, r, n, 0.05, &c, NULL));
      within += fabs (c.travel_per_turn_mm - f.travel) <= c.uncertainty_mm;
      gboolean right = TRUE;
      for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
        right &= c.causes[i].supported == there[i];
      named += right;
    }
  print_message ("# travel within its uncertainty in %d of 1000, causes right in %d\n", within, named);
  assert_true (within >= 950);
  assert_true (named >= 900);
}

static void
test_what_the_readings_cannot_tell_is_said (void **state)
{
  (void) state;
  /* On a cone held at its own slope the tilt's cosine is flat: no tilt from lengths. */
  g_autoptr (RhyWall) cone = rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 31, 44 }, 2, NULL);
  const double slope = atan2 (13, 150);
  RhyGridReading r[64];
  gsize n;
  g_autoptr (GRand) rand = g_rand_new_with_seed (1);
  burn (cone, slope, 250, (Faults) { .travel = 240 }, 0.05, rand, r, &n);
  RhyCalibration c;
  assert_true (rhy_calibration_from_grid (cone, slope, 250, r, n, 0.05, &c, NULL));
  assert_false (c.causes[RHY_CAUSE_TILT].testable);
  assert_true (c.causes[RHY_CAUSE_TRAVEL].supported);
  assert_false (c.causes[RHY_CAUSE_AXIS_SCALE].supported);

  /* One reading tells the travel and nothing else. */
  assert_true (rhy_calibration_from_grid (cone, slope, 250, r, 1, 0.05, &c, NULL));
  assert_false (c.causes[RHY_CAUSE_TAPER].testable);
  assert_false (c.causes[RHY_CAUSE_SHEAR].testable);
}

static void
test_combining (void **state)
{
  (void) state;
  double t, u;
  /* Equal weights: the mean, sqrt 2 better. */
  rhy_calibration_combine ((const double[]) { 159.9, 160.1 }, (const double[]) { 0.4, 0.4 }, 2, &t, &u);
  assert_near (t, 160, 1e-12);
  assert_near (u, 0.4 / sqrt (2), 1e-12);
  /* Ten apart at 0.4 each: standard 0.2, chi2 = 2 (5/0.2)^2 = 1250. */
  rhy_calibration_combine ((const double[]) { 155, 165 }, (const double[]) { 0.4, 0.4 }, 2, &t, &u);
  assert_near (u, 0.4 / sqrt (2) * sqrt (1250), 1e-9);
}

static void
test_bad_readings (void **state)
{
  (void) state;
  GError *error = NULL;
  RhyCalibration c = { .travel_per_turn_mm = 7 };
  assert_false (rhy_calibration_from_lengths (170, &(RhyLengthReading) { 60, 0, 0.1 }, 1, &c, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_false (rhy_calibration_from_lengths (NAN, &(RhyLengthReading) { 60, 60, 0.1 }, 1, &c, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_false (rhy_calibration_from_overrun (170, 500, 0.5, 80, 0.05, &c, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  g_autoptr (RhyWall) cone = rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 31, 44 }, 2, NULL);
  const RhyGridReading off = { 200, 0, 10, 10, 10, 10 };
  assert_false (rhy_calibration_from_grid (cone, 0, 170, &off, 1, 0.1, &c, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
  const RhyGridReading mirrored = { 100, 0, 10, 10, 10, -10 };
  assert_false (rhy_calibration_from_grid (cone, 0, 170, &mirrored, 1, 0.1, &c, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_near (c.travel_per_turn_mm, 7, 0);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_a_single_reading),
    cmocka_unit_test (test_several_readings_are_weighed),
    cmocka_unit_test (test_overrun),
    cmocka_unit_test (test_a_thousand_machines),
    cmocka_unit_test (test_what_the_readings_cannot_tell_is_said),
    cmocka_unit_test (test_combining),
    cmocka_unit_test (test_bad_readings),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
