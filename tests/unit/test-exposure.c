/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/exposure.h>

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
    cmocka_unit_test (test_bulge), cmocka_unit_test (test_words),
  };
  return cmocka_run_group_tests_name ("exposure", tests, NULL, NULL);
}
