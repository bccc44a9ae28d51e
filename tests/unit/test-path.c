/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/path.h>

/* The usual four-cubic circle, handle 4/3 (sqrt 2 - 1): its box is exactly
 * the circle's, and it leaves the circle by at most 2.73e-4 r (both by hand:
 * the extremes sit at the joins). */
static RhyPath *
circle (double r)
{
  RhyPath *p = rhy_path_new ();
  rhy_path_add_circle (p, 0.0, 0.0, r);
  return p;
}

static void
test_bounds_are_of_the_curve_not_the_handles (void **state)
{
  (void) state;
  /* y = 3 t (1 - t) has its top 3/4 at t = 1/2; the handles lie at 1. */
  g_autoptr (RhyPath) p = rhy_path_new ();
  rhy_path_move_to (p, 0, 0);
  rhy_path_cubic_to (p, 1, 1, 2, 1, 3, 0);
  const RhyBounds b = rhy_path_get_bounds (p);
  assert_near (b.max_y, 0.75, 1e-15);
  assert_near (b.max_x, 3.0, 0.0);

  g_autoptr (RhyPath) c = circle (30);
  const RhyBounds box = rhy_path_get_bounds (c);
  assert_near (box.min_x, -30, 1e-13);
  assert_near (box.max_y, 30, 1e-13);

  g_autoptr (RhyPath) empty = rhy_path_new ();
  assert_true (rhy_bounds_is_empty (rhy_path_get_bounds (empty)));
}

/* Green: a circle's area is pi r^2 and counterclockwise; its distance from the middle by de Casteljau's weights. */
static void
test_a_circle_is_one (void **state)
{
  (void) state;
  g_autoptr (RhyPath) p = rhy_path_new ();
  rhy_path_add_circle (p, 7.0, -3.0, 2.0);
  RhyPathIter iter;
  RhySegment g;
  RhyPoint last = { 9.0, -3.0 };
  double area = 0.0;
  rhy_path_iter_init (&iter, p);
  while (rhy_path_iter_next (&iter, &g))
    for (int i = 1; i <= 1000; i++)
      {
        const double t = i / 1000.0, u = 1.0 - t;
        const RhyPoint at = { u * u * u * g.p[0].x + 3.0 * u * u * t * g.p[1].x + 3.0 * u * t * t * g.p[2].x + t * t * t * g.p[3].x,
                              u * u * u * g.p[0].y + 3.0 * u * u * t * g.p[1].y + 3.0 * u * t * t * g.p[2].y + t * t * t * g.p[3].y };
        const double r = hypot (at.x - 7.0, at.y + 3.0) / 2.0;
        assert_true (r > 1.0 - 1e-12 && r < 1.0 + 2.8e-4);
        area += 0.5 * ((last.x - 7.0) * (at.y + 3.0) - (at.x - 7.0) * (last.y + 3.0));
        last = at;
      }
  assert_near (area, 4.0 * G_PI, 4.0 * G_PI * 3e-4);
}

static void
test_flatten_keeps_the_tolerance (void **state)
{
  (void) state;
  const double tolerances[] = { 0.1, 0.01, 0.001 };
  for (gsize i = 0; i < G_N_ELEMENTS (tolerances); i++)
    {
      g_autoptr (RhyPath) c = circle (30);
      g_autoptr (RhyPath) flat = rhy_path_flatten (c, tolerances[i]);
      RhyPathIter iter;
      RhySegment g;
      rhy_path_iter_init (&iter, flat);
      while (rhy_path_iter_next (&iter, &g))
        {
          const double mx = 0.5 * (g.p[0].x + g.p[1].x);
          const double my = 0.5 * (g.p[0].y + g.p[1].y);
          assert_true (hypot (mx, my) > 30 - tolerances[i]);
        }
    }
}

static void
test_iteration_closes_and_counts (void **state)
{
  (void) state;
  g_autoptr (RhyPath) p = rhy_path_new ();
  rhy_path_move_to (p, 0, 0);
  rhy_path_line_to (p, 1, 0);
  rhy_path_line_to (p, 1, 1);
  rhy_path_close (p);
  rhy_path_move_to (p, 5, 5);     /* lone: draws nothing */
  RhyPathIter iter;
  RhySegment g;
  rhy_path_iter_init (&iter, p);
  assert_true (rhy_path_iter_next (&iter, &g));
  assert_true (g.first);
  assert_true (rhy_path_iter_next (&iter, &g));
  assert_false (g.first);
  assert_true (rhy_path_iter_next (&iter, &g));
  assert_true (g.closes);
  assert_near (g.p[1].x, 0.0, 0.0);
  assert_false (rhy_path_iter_next (&iter, &g));
  assert_int_equal (rhy_path_count_segments (p), 3);

  g_autoptr (RhyPath) c = circle (1);
  assert_int_equal (rhy_path_count_segments (c), 4);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_bounds_are_of_the_curve_not_the_handles),
    cmocka_unit_test (test_a_circle_is_one),
    cmocka_unit_test (test_flatten_keeps_the_tolerance),
    cmocka_unit_test (test_iteration_closes_and_counts),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
