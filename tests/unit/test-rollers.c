/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/rollers.h>

/* 15 + 10 on the slope, 5 + 10 across: a 3-4-5 triangle, sin = 0.6, 20 high. */
static void
test_seat_by_hand (void **state)
{
  (void) state;
  assert_near (rhy_rollers_seat (15, 10, 10), asin (0.6), 1e-15);
  assert_near (rhy_rollers_axis (15, 10, 10), 20, 1e-12);
  assert_near (rhy_rollers_gap (15, 10, asin (0.6)), 10, 1e-12);
  /* Rollers that touch, work of their own size: an even triangle. */
  assert_near (rhy_rollers_seat (10, 10, 0), G_PI / 6, 1e-15);
  /* As wide as the gap: it is just through. */
  assert_true (isnan (rhy_rollers_seat (15, 10, 30)));
  assert_true (isnan (rhy_rollers_axis (15, 10, 31)));
}

static void
test_gap_and_seat_undo_each_other (void **state)
{
  (void) state;
  for (double r = 12; r < 70; r += 3.7)
    for (double q = 4; q < 25; q += 2.3)
      for (double seat = 0.45; seat < 1.05; seat += 0.1)
        {
          const double gap = rhy_rollers_gap (r, q, seat);
          if (gap >= 0)
            assert_near (rhy_rollers_seat (r, q, gap), seat, 1e-12);
        }
}

static void
test_cylinder_rolls_true (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight ((const double[]) { 0, 100 }, (const double[]) { 33, 33 }, 2, NULL);
  const RhyRolling rolling = rhy_rollers_rolling (wall, 50, 0, 100, 10, 40);
  assert_near (rolling.climb_rad, 0, 0);
  assert_near (rolling.walk_mm, 0, 0);
  assert_near (rolling.slip, 0, 0);
}

/* Ends of 15 and 29 on rollers of 10 that are 10 apart: the axis lies 20 and 36 high (3-4-5 and
 * 5-12-13 triangles), 32 mm from each other. */
static void
test_taper_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight ((const double[]) { 0, 32 }, (const double[]) { 15, 29 }, 2, NULL);
  const RhyRolling rolling = rhy_rollers_rolling (wall, 0, 0, rhy_wall_get_length (wall), 10, 10);
  assert_near (rolling.climb_rad, atan (0.5), 1e-12);
  assert_near (rolling.slip, 29.0 / 15 - 1, 1e-12);

  /* The walk, from a turn of one millionth about the climbing axis: how far the point that touches,
   * at the seat angle from straight down, moves along the level rollers. Rotation by Rodrigues' formula. */
  const double t = atan (0.5), a = asin (0.6), w = 1e-6;
  const double k[3] = { cos (t), 0, sin (t) };
  /* across the axis and down, in the plane square to it */
  const double down[3] = { sin (t), 0, -cos (t) };
  const double p[3] = { 15 * cos (a) * down[0], 15 * sin (a), 15 * cos (a) * down[2] };
  const double cross_x = k[1] * p[2] - k[2] * p[1];
  const double dot = k[0] * p[0] + k[1] * p[1] + k[2] * p[2];
  const double x = p[0] * cos (w) + cross_x * sin (w) + k[0] * dot * (1 - cos (w));
  assert_near (rolling.walk_mm, fabs (x - p[0]) / w * 2 * G_PI, 1e-4);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_seat_by_hand),
    cmocka_unit_test (test_gap_and_seat_undo_each_other),
    cmocka_unit_test (test_cylinder_rolls_true),
    cmocka_unit_test (test_taper_by_hand),
  };
  return cmocka_run_group_tests_name ("rollers", tests, NULL, NULL);
}
