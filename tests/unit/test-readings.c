/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/readings.h>

/* Positions come out of one hypot, atan2, sin and cos each: ten roundings on
 * values up to 2e2 mm are 4e-13. */
static const double TOL_MM = 1e-12;

static RhyReadings
readings (gsize         n,
          const double *h,
          const double *d,
          double        u_h,
          double        u_d)
{
  return (RhyReadings) { .n = n, .heights_mm = h, .diameters_mm = d, .u_height_mm = u_h, .u_diameter_mm = u_d };
}

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
  const RhyReadings r = readings (2, h, d, 0.5, 0.05);
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
  const RhyReadings r = readings (4, h, d, 0.0, 0.1);
  RhyFit fit;
  assert_true (rhy_readings_fit_straight (&r, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  assert_non_null (wall);
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
  const RhyReadings r = readings (3, h, d, 2.0, 2.0);
  RhyFit fit;
  assert_true (rhy_readings_fit_straight (&r, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  assert_non_null (wall);
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
  const RhyReadings r = readings (c->n, c->h, c->d, 0.5, 0.05);
  RhyFit fit = { .worst = 77 };
  GError *error = NULL;
  assert_false (rhy_readings_fit_straight (&r, &fit, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, c->says));
  assert_null (strchr (error->message, '\n'));
  assert_int_equal (fit.worst, 77);
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
}

/* Pearson's table of chi-square, 5 % points (in every statistics text; from memory). */
static void
test_chi_square_limits (void **state)
{
  (void) state;
  const struct { gsize n; double limit; } rows[] = {
    { 1, 3.841 }, { 2, 5.991 }, { 3, 7.815 }, { 4, 9.488 }, { 5, 11.070 }, { 10, 18.307 }, { 30, 43.773 }, { 100, 124.342 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    assert_near (rhy_chi_square_limit (rows[i].n, 0.95), rows[i].limit, 0.0005);
  /* Two degrees of freedom: 1 - exp (-x/2), closed form. */
  assert_near (rhy_chi_square_limit (2, 0.99), -2.0 * log (0.01), 1e-11);
}

typedef struct
{
  const char *name;
  RhyWallForm form;
  gsize       n;
  double      h[8], d[8];
  double      u_h, u_d;
  /* wanted */
  RhyFitModel model;
  gboolean    agrees;
  gsize       worst;        /* where they disagree */
  double      off_mm, within_mm;
  RhyDoubt    doubt;
  const char *says;
} Case;

/* All invented. Cones and bends are written down from their formula, errors are
 * added by hand, so what must be found is known. */
static Case cases[] = {
  { "two equal", RHY_WALL_AUTO, 2, { 0, 90 }, { 66, 66 }, 0.5, 0.05, .model = RHY_FIT_CYLINDER, .agrees = TRUE },
  { "two", RHY_WALL_AUTO, 2, { 0, 90 }, { 60, 66 }, 0.5, 0.05, .model = RHY_FIT_CONE, .agrees = TRUE },
  { "cylinder by caliper", RHY_WALL_AUTO, 5, { 5, 25, 50, 75, 95 }, { 66.02, 65.96, 66.05, 66.01, 65.97 }, 0.5, 0.05,
    .model = RHY_FIT_CYLINDER, .agrees = TRUE },
  { "cylinder at three stations", RHY_WALL_AUTO, 3, { 5, 50, 95 }, { 66, 66, 66 }, 0.5, 0.05,
    .model = RHY_FIT_CYLINDER, .agrees = TRUE },
  /* D = 60 + h/5, read to 0.1 mm or so. */
  { "cone", RHY_WALL_AUTO, 5, { 0, 30, 60, 90, 120 }, { 60.06, 65.9, 72.05, 78.0, 84.08 }, 0.5, 0.05,
    .model = RHY_FIT_CONE, .agrees = TRUE },
  /* D = 60 + h/10 to h = 70, then 67 + (h - 70)/3. */
  { "two tapers", RHY_WALL_AUTO, 7, { 0, 30, 60, 80, 100, 120, 130 }, { 60.0, 63.0, 66.0, 70.333, 77.0, 83.667, 87.0 },
    0.5, 0.05, .model = RHY_FIT_TWO_CONES, .agrees = TRUE },
  /* A barrel: r = 40 - (z - 50)^2/250, far from two straight parts at u = 0.05. */
  { "barrel", RHY_WALL_AUTO, 7, { 0, 15, 35, 50, 65, 85, 100 }, { 60, 70.2, 78.2, 80, 78.2, 70.2, 60 }, 0.1, 0.05,
    .model = RHY_FIT_SMOOTH, .agrees = TRUE },
  { "flared rim is a shape", RHY_WALL_AUTO, 4, { 0, 40, 80, 100 }, { 60, 60, 60, 70 }, 0.5, 0.05,
    .model = RHY_FIT_SMOOTH, .agrees = TRUE },

  /* 69 typed for 66: the cone through the rest is D = 60 + h/10. */
  { "one contradicts", RHY_WALL_AUTO, 5, { 0, 30, 60, 90, 120 }, { 60, 63, 69, 69, 72 }, 0.5, 0.05,
    .model = RHY_FIT_CONE, .agrees = FALSE, .worst = 2, .off_mm = 3.0, .within_mm = 1e-9,
    .says = "69.00 mm at height 60.0 mm is 3.00 mm more" },
  { "taken as it is on demand", RHY_WALL_SMOOTH, 5, { 0, 30, 60, 90, 120 }, { 60, 63, 69, 69, 72 }, 0.5, 0.05,
    .model = RHY_FIT_SMOOTH, .agrees = TRUE },
  { "straight wanted, is not", RHY_WALL_STRAIGHT, 3, { 0, 50, 100 }, { 60, 75, 70 }, 0.0, 0.05,
    .model = RHY_FIT_CONE, .agrees = FALSE, .worst = 1, .off_mm = 20.0 / 3.0, .within_mm = 1e-9,
    .says = "75.00 mm at height 50.0 mm is 6.67 mm more" },
  { "one in inches", RHY_WALL_AUTO, 4, { 0, 50, 100, 150 }, { 62, 70, 3.07, 86 }, 0.5, 0.05,
    .model = RHY_FIT_CONE, .agrees = FALSE, .worst = 2, .off_mm = 3.07 - 78, .within_mm = 1e-9,
    .doubt = RHY_DOUBT_INCHES, .says = "would fit as inches" },
  { "last in centimetres", RHY_WALL_AUTO, 3, { 0, 50, 100 }, { 62, 70, 7.8 }, 0.5, 0.05,
    .model = RHY_FIT_SMOOTH, .agrees = FALSE, .worst = 2, .off_mm = 7.8 - 78, .within_mm = 1e-9,
    .doubt = RHY_DOUBT_CENTIMETRES, .says = "would fit as centimetres" },
  { "one by tape", RHY_WALL_AUTO, 3, { 0, 50, 100 }, { 62, 219.9, 78 }, 0.5, 0.05,
    .model = RHY_FIT_SMOOTH, .agrees = FALSE, .worst = 1, .off_mm = 219.9 - 70, .within_mm = 1e-9,
    .doubt = RHY_DOUBT_CIRCUMFERENCE, .says = "would fit as a circumference" },
  { "all in inches", RHY_WALL_AUTO, 2, { 0, 5.9 }, { 2.4, 3.5 }, 0.02, 0.002,
    .model = RHY_FIT_CONE, .agrees = FALSE, .doubt = RHY_DOUBT_ALL_SMALL, .says = "inches or centimetres" },
  { "heights in inches", RHY_WALL_AUTO, 2, { 0, 5.9 }, { 62, 88 }, 0.02, 0.05,
    .model = RHY_FIT_CONE, .agrees = FALSE, .doubt = RHY_DOUBT_HEIGHTS, .says = "If the heights are inches" },
};

static void
test_what_is_found (void **state)
{
  const Case *c = *state;
  const RhyReadings r = readings (c->n, c->h, c->d, c->u_h, c->u_d);
  RhyFit fit;
  GError *error = NULL;
  rhy_readings_fit (&r, c->form, &fit, &error);
  assert_no_error (error);
  g_autoptr (RhyWall) wall = fit.wall;
  assert_int_equal (fit.model, c->model);
  assert_int_equal (fit.agrees, c->agrees);
  assert_int_equal (fit.doubt, c->doubt);
  assert_near (rhy_wall_at (wall, 0.0).z_mm, c->h[0], TOL_MM);
  assert_near (rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm, c->h[c->n - 1], TOL_MM);

  g_autofree char *says = rhy_readings_disagreement (&r, &fit);
  g_autofree char *found = rhy_readings_describe (&r, &fit);
  print_message ("# %s: %s\n# %s\n", c->name, found, says != NULL ? says : "agree");
  if (c->agrees)
    {
      assert_null (says);
      return;
    }
  if (c->within_mm > 0.0)
    {
      assert_int_equal (fit.worst, c->worst);
      assert_near (fit.worst_mm, c->off_mm, c->within_mm);
    }
  assert_non_null (strstr (says, c->says));
}

/* The break of two cones, exact readings: at h = 70, D = 67 by construction. */
static void
test_break_is_found (void **state)
{
  (void) state;
  double h[9], d[9];
  for (gsize i = 0; i < 9; i++)
    {
      h[i] = 16.0 * (double) i;
      d[i] = h[i] < 70.0 ? 60.0 + h[i] / 10.0 : 67.0 + (h[i] - 70.0) / 4.0;
    }
  const RhyReadings r = readings (9, h, d, 0.5, 0.05);
  RhyFit fit;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  g_autoptr (RhyWall) wall = fit.wall;
  assert_int_equal (fit.model, RHY_FIT_TWO_CONES);
  assert_int_equal (rhy_wall_get_n_pieces (wall), 2);
  assert_near (rhy_wall_get_piece (wall, 1)->z_mm, 70.0, 1e-6);
  assert_near (2.0 * rhy_wall_get_piece (wall, 1)->r_mm, 67.0, 1e-6);
}

/* Caliper 66.00 +- 0.05, tape 207.0 +- 0.5: over pi 65.8901 +- 0.1592. By hand:
 * weights 400 and 39.48, mean 65.9901; difference -0.1099, u 0.1668: agree.
 * A tape at 210 (66.8451) is off 0.8451 of 0.3336 allowed. */
static void
test_tape_against_caliper (void **state)
{
  (void) state;
  const double h[] = { 0, 100 };
  const double d[] = { 66, 66 };
  double tape[] = { 207.0, NAN };
  RhyReadings r = readings (2, h, d, 0.5, 0.05);
  r.circumferences_mm = tape;
  RhyFit fit;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  assert_true (fit.agrees);
  assert_near (diameter_at (&fit, 0), 65.9901, 1e-4);
  assert_near (diameter_at (&fit, 100), 66.0, TOL_MM);
  rhy_wall_unref (fit.wall);

  tape[0] = 210.0;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  assert_false (fit.agrees);
  assert_int_equal (fit.worst_kind, RHY_READING_CIRCUMFERENCE);
  assert_near (fit.worst_mm, 0.8451, 1e-4);
  assert_near (fit.worst_allowed_mm, 0.3337, 1e-4);
  g_autofree char *says = rhy_readings_disagreement (&r, &fit);
  assert_non_null (strstr (says, "tape gives a diameter 0.85 mm more than the caliper"));
  rhy_wall_unref (fit.wall);
}

/* A 3-4-5 cone: 80 high, 60 wider in radius, slant 100 (cos b = 0.8). The slant
 * read as 101 +- 0.3 moves the upper height, +- 0.5, by
 *   0.5^2 0.8 / (0.8^2 0.5^2 + 0.3^2) = 0.8 mm per mm (diameters exact). */
static void
test_slant_moves_a_height (void **state)
{
  (void) state;
  const double h[] = { 0, 80 };
  const double d[] = { 40, 160 };
  RhySlant slant = { 0, 1, 101.0, 0.3 };
  RhyReadings r = readings (2, h, d, 0.5, 0.0);
  r.slants = &slant;
  r.n_slants = 1;
  RhyFit fit;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  assert_near (rhy_wall_at (fit.wall, rhy_wall_get_length (fit.wall)).z_mm, 80.8, 1e-9);
  assert_near (fit.chi_square, 1.0 / (0.16 + 0.09), 1e-9);
  assert_false (fit.agrees);      /* 4.0 on 1; limit 3.84 */
  rhy_wall_unref (fit.wall);

  slant.length_mm = 104.0;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  assert_int_equal (fit.worst_kind, RHY_READING_SLANT);
  assert_near (fit.worst_mm, 4.0, 1e-9);
  g_autofree char *says = rhy_readings_disagreement (&r, &fit);
  assert_non_null (strstr (says, "slant length 104.0 mm is 4.00 mm more"));
  rhy_wall_unref (fit.wall);
}

/* Two readings of one height with equal uncertainty: their mean. */
static void
test_overall_height_counts (void **state)
{
  (void) state;
  const double h[] = { 0, 100 };
  const double d[] = { 60, 70 };
  RhyReadings r = readings (2, h, d, 0.5, 0.05);
  r.overall_height_mm = 101.0;
  RhyFit fit;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  assert_true (fit.agrees);
  assert_near (rhy_wall_at (fit.wall, rhy_wall_get_length (fit.wall)).z_mm, 100.5, 1e-9);
  rhy_wall_unref (fit.wall);
  r.overall_height_mm = 110.0;
  assert_true (rhy_readings_fit (&r, RHY_WALL_AUTO, &fit, NULL));
  assert_false (fit.agrees);
  assert_int_equal (fit.worst_kind, RHY_READING_OVERALL_HEIGHT);
  rhy_wall_unref (fit.wall);
}

/* A straight wall through these sinks below 0 at the top. */
static void
test_radius_through_zero (void **state)
{
  (void) state;
  const double h[] = { 0, 10, 20, 30, 100 };
  const double d[] = { 90, 70, 50, 30, 5 };
  const RhyReadings r = readings (5, h, d, 0.0, 0.05);
  RhyFit fit;
  GError *error = NULL;
  assert_false (rhy_readings_fit (&r, RHY_WALL_STRAIGHT, &fit, &error));
  assert_non_null (strstr (error->message, "closes to a point"));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
}

/* On noise as stated, about 5 % of true cones are refused, no more: 2000 sets
 * of six readings; four standard deviations of the count are 39. */
static void
test_true_cones_are_kept (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (20);
  guint refused = 0;
  for (guint t = 0; t < 2000; t++)
    {
      double h[6], d[6];
      for (gsize i = 0; i < 6; i++)
        {
          double noise[2];
          for (gsize k = 0; k < 2; k++)
            noise[k] = sqrt (-2.0 * log (1.0 - g_rand_double (rand))) * cos (2.0 * G_PI * g_rand_double (rand));
          const double z = 25.0 * (double) i;
          h[i] = z + 0.5 * noise[0];
          d[i] = 62.0 + 0.2 * z + 0.05 * noise[1];
        }
      const RhyReadings r = readings (6, h, d, 0.5, 0.05);
      RhyFit fit;
      assert_true (rhy_readings_fit (&r, RHY_WALL_STRAIGHT, &fit, NULL));
      refused += !fit.agrees;
      rhy_wall_unref (fit.wall);
    }
  print_message ("# %u of 2000 refused\n", refused);
  assert_true (refused > 100 - 39 && refused < 100 + 39);
}

int
main (void)
{
  g_autoptr (GArray) tests = g_array_new (FALSE, TRUE, sizeof (struct CMUnitTest));
  const struct CMUnitTest plain[] = {
    cmocka_unit_test (test_two_stations_are_met_exactly),
    cmocka_unit_test (test_more_stations_are_least_squares),
    cmocka_unit_test (test_errors_in_height_count),
    cmocka_unit_test (test_chi_square_limits),
    cmocka_unit_test (test_break_is_found),
    cmocka_unit_test (test_tape_against_caliper),
    cmocka_unit_test (test_slant_moves_a_height),
    cmocka_unit_test (test_overall_height_counts),
    cmocka_unit_test (test_radius_through_zero),
    cmocka_unit_test (test_true_cones_are_kept),
  };
  g_array_append_vals (tests, plain, G_N_ELEMENTS (plain));
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const struct CMUnitTest row = { cases[i].name, test_what_is_found, NULL, NULL, &cases[i] };
      g_array_append_val (tests, row);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (bad_cases); i++)
    {
      const struct CMUnitTest row = { bad_cases[i].name, test_bad, NULL, NULL, &bad_cases[i] };
      g_array_append_val (tests, row);
    }
  return _cmocka_run_group_tests ("readings", (struct CMUnitTest *) tests->data, tests->len, NULL, NULL);
}
