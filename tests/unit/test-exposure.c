/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/exposure.h>

#include <math.h>
#include <string.h>

/* Radii 30 and 60 over 40 of height: slant 50, slope atan (30/40), whose cosine is 0.8. */
static RhyWall *
cone (void)
{
  static const double z[] = { 0, 40 };
  static const double r[] = { 30, 60 };
  RhyWall *wall = rhy_wall_new_straight (z, r, 2, NULL);
  assert_non_null (wall);
  return wall;
}

#define SLOPE atan2 (30, 40)

/* Closed form: 2 pi r / T between lines along the axis, 1 / cos (b - t) between lines along the turn. */
static void
test_cone_level (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cone ();
  const double travel = 2.0 * G_PI * 45.0;
  const RhyEvenness e = rhy_exposure_evenness (wall, travel, SLOPE, 0, 50);
  assert_near (e.along_axis.distance_min, 30.0 / 45.0, 1e-12);
  assert_near (e.along_axis.distance_max, 60.0 / 45.0, 1e-12);
  assert_near (e.along_axis.energy_min, 1, 1e-12);
  assert_near (e.along_axis.energy_max, 1, 1e-12);
  assert_near (e.along_turn.distance_min, 1, 1e-12);
  assert_near (e.along_turn.distance_max, 1, 1e-12);
  assert_near (e.along_turn.energy_min, 45.0 / 60.0, 1e-12);
  assert_near (e.along_turn.energy_max, 45.0 / 30.0, 1e-12);
  assert_int_equal (e.better, RHY_LINES_TURN);
  assert_near (rhy_exposure_at (wall, travel, SLOPE, 25), 1, 1e-12);
}

/* With its axis level a cone's slant is 5/4 of what is travelled, everywhere. */
static void
test_cone_untilted (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cone ();
  const RhyEvenness e = rhy_exposure_evenness (wall, 2.0 * G_PI * 60.0, 0.0, 0, 50);
  assert_near (e.along_turn.distance_min, 1.25, 1e-12);
  assert_near (e.along_turn.distance_max, 1.25, 1e-12);
  assert_near (e.along_axis.energy_max, 0.8, 1e-12);
  assert_near (rhy_exposure_at (wall, 2.0 * G_PI * 60.0, 0.0, 50), 0.8, 1e-12);
}

static void
test_cylinder (void **state)
{
  (void) state;
  static const double z[] = { 0, 100 };
  static const double r[] = { 30, 30 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
  const RhyEvenness e = rhy_exposure_evenness (wall, 200, 0, 10, 90);
  assert_int_equal (e.better, RHY_LINES_EITHER);
  assert_near (e.along_axis.distance_max, 2.0 * G_PI * 30.0 / 200.0, 1e-12);
}

/* A bulge that is as wide at both ends, in the middle hardly wider, but steep: its ends lean by
 * 40 degrees and lines along the turn spread by 1 / cos 40 = 1.305; radii only by
 * (30 + 50 (1 - cos 40)) / 30 = 1.390. With a wide foot of 300 that is 1.039. */
static void
test_bulge (void **state)
{
  (void) state;
  const double lean = 40.0 * G_PI / 180.0;
  const RhyWallPiece piece = { .length_mm = 50.0 * 2.0 * lean, .slope_rad = lean, .curvature_per_mm = -1.0 / 50.0 };
  g_autoptr (RhyWall) narrow = rhy_wall_new_pieces (0, 30, &piece, 1, NULL);
  g_autoptr (RhyWall) wide = rhy_wall_new_pieces (0, 300, &piece, 1, NULL);
  const RhyEvenness a = rhy_exposure_evenness (narrow, 200, 0, 0, piece.length_mm);
  assert_near (a.along_turn.distance_max, 1.0 / cos (lean), 1e-9);
  assert_near (a.along_axis.distance_max / a.along_axis.distance_min, (30.0 + 50.0 * (1.0 - cos (lean))) / 30.0, 1e-9);
  assert_int_equal (a.better, RHY_LINES_TURN);
  assert_int_equal (rhy_exposure_evenness (wide, 200, 0, 0, piece.length_mm).better, RHY_LINES_AXIS);
}

/* Exposure goes as 1 / r on a level cone, so that the most even bands are of equal ratios of radii:
 * n of them from 30 to 60 have the ratio 2^(1/n) each, edges at 30 2^(k/n), and energies within its root.
 * The line distance that is right is that of the geometric mean of the two radii. */
static void
test_bands_of_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cone ();
  const double travel = 2.0 * G_PI * 45.0;
  const guint counts[] = { 1, 2, 4, 7, RHY_LINE_BANDS_MAX };
  for (gsize i = 0; i < G_N_ELEMENTS (counts); i++)
    {
      RhyLineBand bands[RHY_LINE_BANDS_MAX];
      const guint n = rhy_exposure_bands (wall, travel, SLOPE, 0, 50, counts[i], bands);
      assert_int_equal (n, counts[i]);
      assert_near (bands[0].s0_mm, 0, 0);
      assert_near (bands[n - 1].s1_mm, 50, 0);
      for (guint k = 0; k < n; k++)
        {
          const double r0 = 30 * pow (2, (double) k / n);
          const double r1 = 30 * pow (2, (k + 1.0) / n);
          /* Radius 30 + 0.6 s. Between steps of 0.05 mm the log of 1 / r is taken for straight: off by
           * (0.05 / 50)^2 / 8 of its bend, under 1e-7. */
          assert_near (30 + 0.6 * bands[k].s0_mm, r0, 2e-4);
          assert_near (30 + 0.6 * bands[k].s1_mm, r1, 2e-4);
          assert_near (bands[k].correction, 45 / sqrt (r0 * r1), 1e-5);
          assert_near (bands[k].energy_max, sqrt (r1 / r0), 1e-5);
          assert_near (bands[k].energy_min, sqrt (r0 / r1), 1e-5);
          /* Along the axis the line distance on the wall is r / 45 of the drawn one. */
          assert_near (bands[k].axis_min, sqrt (r0 / r1), 1e-5);
          assert_near (bands[k].axis_max, sqrt (r1 / r0), 1e-5);
          assert_near (bands[k].turn_max, bands[k].correction, 1e-12);
        }
    }
}

static void
test_one_band_is_enough_for_a_cylinder (void **state)
{
  (void) state;
  static const double z[] = { 0, 100 };
  static const double r[] = { 30, 30 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
  RhyLineBand band;
  assert_int_equal (rhy_exposure_bands (wall, 200, 0, 10, 90, 1, &band), 1);
  RhyLineBand bands[6];
  assert_int_equal (rhy_exposure_bands (wall, 200, 0, 10, 90, 6, bands), 1);
  assert_near (bands[0].s0_mm, 10, 0);
  assert_near (bands[0].s1_mm, 90, 0);
  assert_near (bands[0].correction, 200 / (60 * G_PI), 1e-12);
  assert_near (bands[0].energy_max, 1, 1e-12);
}

/* Up and down again: held against every way to part 160 steps, by dynamic programming (Bellman 1957),
 * with radii from the circle and the cosine from its normal, not from the wall. */
static void
test_bands_of_a_bulge_are_the_most_even (void **state)
{
  (void) state;
  enum { M = 160 };
  const double lean = 50.0 * G_PI / 180.0;
  const double length = 40.0 * 2.0 * lean;
  const RhyWallPiece piece = { .length_mm = length, .slope_rad = lean, .curvature_per_mm = -1.0 / 40.0 };
  g_autoptr (RhyWall) wall = rhy_wall_new_pieces (0, 30, &piece, 1, NULL);
  double e[M + 1];
  for (int i = 0; i <= M; i++)
    {
      const double b = lean - length * i / M / 40.0;
      const double radius = 30.0 + 40.0 * (cos (b) - cos (lean));
      e[i] = log (200.0 / (2.0 * G_PI * radius) * cos (b - 0.1));
    }
  for (guint n = 2; n <= 6; n++)
    {
      double best[7][M + 1];
      for (int i = 0; i <= M; i++)
        best[0][i] = i == 0 ? 0.0 : G_MAXDOUBLE;
      for (guint k = 1; k <= n; k++)
        for (int i = 0; i <= M; i++)
          {
            double low = e[i];
            double high = e[i];
            best[k][i] = best[k - 1][i];
            for (int j = i; j >= 0; j--)
              {
                low = MIN (low, e[j]);
                high = MAX (high, e[j]);
                best[k][i] = MIN (best[k][i], MAX (best[k - 1][j], high - low));
              }
          }
      RhyLineBand bands[6];
      const guint got = rhy_exposure_bands (wall, 200, 0.1, 0, length, n, bands);
      assert_true (got >= 1 && got <= n);
      double worst = 0;
      for (guint k = 0; k < got; k++)
        {
          assert_true (k == 0 || bands[k].s0_mm == bands[k - 1].s1_mm);
          worst = MAX (worst, log (bands[k].energy_max / bands[k].energy_min));
          /* What is left in it, from the circle, at 500 places. */
          for (int i = 0; i <= 500; i++)
            {
              const double b = lean - (bands[k].s0_mm + (bands[k].s1_mm - bands[k].s0_mm) * i / 500) / 40.0;
              const double energy = 200.0 / (2.0 * G_PI * (30.0 + 40.0 * (cos (b) - cos (lean)))) * cos (b - 0.1) / bands[k].correction;
              assert_true (energy >= bands[k].energy_min - 1e-4 && energy <= bands[k].energy_max + 1e-4);
            }
        }
      /* Edges on the grid are at worst as even; and at best a step's change, 0.02, less even. */
      assert_true (worst <= best[n][M] + 1e-4);
      assert_true (worst >= best[n][M] - 0.04);
    }
}

static void
test_words (void **state)
{
  (void) state;
  assert_string_equal (rhy_line_way_to_string (RHY_LINES_EITHER), "either");
  assert_string_equal (rhy_line_way_to_string (RHY_LINES_AXIS), "axis");
  assert_string_equal (rhy_line_way_to_string (RHY_LINES_TURN), "turn");
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_cone_level), cmocka_unit_test (test_cone_untilted), cmocka_unit_test (test_cylinder),
    cmocka_unit_test (test_bulge), cmocka_unit_test (test_words), cmocka_unit_test (test_bands_of_a_cone),
    cmocka_unit_test (test_one_band_is_enough_for_a_cylinder), cmocka_unit_test (test_bands_of_a_bulge_are_the_most_even),
  };
  return cmocka_run_group_tests_name ("exposure", tests, NULL, NULL);
}
