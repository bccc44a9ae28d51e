/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/light.h>

/* Greatest distance from dense points of one path to another's dense polyline. */
static double
one_way (const RhyPath *from, const RhyPath *to, int steps)
{
  g_autoptr (RhyPath) a = rhy_path_flatten (from, 1e-5);
  g_autoptr (RhyPath) b = rhy_path_flatten (to, 1e-5);
  double worst = 0;
  RhyPathIter i, k;
  RhySegment g, h;
  rhy_path_iter_init (&i, a);
  while (rhy_path_iter_next (&i, &g))
    for (int s = 0; s < steps; s++)
      {
        const double f = (double) s / steps;
        const double x = g.p[0].x + f * (g.p[1].x - g.p[0].x), y = g.p[0].y + f * (g.p[1].y - g.p[0].y);
        double best = INFINITY;
        rhy_path_iter_init (&k, b);
        while (rhy_path_iter_next (&k, &h))
          {
            const double dx = h.p[1].x - h.p[0].x, dy = h.p[1].y - h.p[0].y, ex = x - h.p[0].x, ey = y - h.p[0].y;
            const double dd = dx * dx + dy * dy;
            const double t = dd > 0 ? CLAMP ((dx * ex + dy * ey) / dd, 0, 1) : 0;
            best = MIN (best, (ex - t * dx) * (ex - t * dx) + (ey - t * dy) * (ey - t * dy));
          }
        worst = MAX (worst, sqrt (best));
      }
  return worst;
}

static RhyPath *
polygon (int n, double rx, double ry)
{
  RhyPath *p = rhy_path_new ();
  for (int i = 0; i < n; i++)
    (i ? rhy_path_line_to : rhy_path_move_to) (p, rx * cos (2 * G_PI * i / n), ry * sin (2 * G_PI * i / n));
  rhy_path_close (p);
  return p;
}

static void
test_a_dense_circle_becomes_a_few_cubics (void **state)
{
  (void) state;
  /* Four cubics leave a circle by at best 1.96e-4 r (well known, from memory), 0.0039 mm
   * here; the error falls as the sixth power, so five can do it. */
  g_autoptr (RhyPath) p = polygon (2000, 20, 20);
  RhyLightReport report = { 0 };
  g_autoptr (RhyPath) light = rhy_path_lightened (p, 0.0025, &report);
  assert_int_equal (report.segments_in, 2000);
  assert_in_range (report.segments_out, 5, 10);
  assert_int_equal (report.segments_out, rhy_path_count_segments (light));
  assert_true (one_way (p, light, 2) <= 0.0025 + 2e-5);
  assert_true (one_way (light, p, 2) <= 0.0025 + 2e-5);
}

static void
test_corners_stay (void **state)
{
  (void) state;
  /* A square whose sides carry 50 nodes each: four lines, its corners exact. */
  g_autoptr (RhyPath) p = rhy_path_new ();
  const double c[5][2] = { { 0, 0 }, { 30, 0 }, { 30, 30 }, { 0, 30 }, { 0, 0 } };
  rhy_path_move_to (p, 0, 0);
  for (int s = 0; s < 4; s++)
    for (int i = 1; i <= 50; i++)
      rhy_path_line_to (p, c[s][0] + (c[s + 1][0] - c[s][0]) * i / 50, c[s][1] + (c[s + 1][1] - c[s][1]) * i / 50);
  rhy_path_close (p);
  RhyLightReport report = { 0 };
  g_autoptr (RhyPath) light = rhy_path_lightened (p, 0.0025, &report);
  assert_int_equal (report.segments_out, 4);
  assert_true (one_way (p, light, 4) < 1e-9);
}

static void
test_clean_drawings_are_left_to_the_bit (void **state)
{
  (void) state;
  g_autoptr (RhyPath) p = rhy_path_new ();
  rhy_path_move_to (p, 0, 0);
  for (int i = 0; i < 12; i++)      /* arches with corners between: nothing to merge */
    rhy_path_cubic_to (p, 10 * i + 1, 8, 10 * i + 9, 8, 10 * i + 10, 0);
  rhy_path_close (p);
  g_autoptr (RhyPath) light = rhy_path_lightened (p, 0.0025, NULL);
  assert_int_equal (light->n_verbs, p->n_verbs);
  assert_memory_equal (light->verbs, p->verbs, p->n_verbs);
  assert_memory_equal (light->points, p->points, p->n_points * sizeof (RhyPoint));
}

/* Random smooth closed curves sampled finely, with a sharp notch cut in: never
 * farther off than asked, either way. */
static void
test_random_outlines_keep_the_tolerance (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  const double tolerances[] = { 0.05, 0.01, 0.0025 };
  for (int n = 0; n < 12; n++)
    {
      double a[6], b[6];
      for (int k = 0; k < 6; k++)
        {
          a[k] = g_rand_double_range (rand, -1, 1) / (k + 1);
          b[k] = g_rand_double_range (rand, 0, 6);
        }
      g_autoptr (RhyPath) p = rhy_path_new ();
      const int m = 400;
      for (int i = 0; i < m; i++)
        {
          const double t = 2 * G_PI * i / m;
          double r = 15;
          for (int k = 0; k < 6; k++)
            r += 2 * a[k] * cos ((k + 1) * t + b[k]);
          if (i == 37 * (n % 3) + 50)
            r -= 2;
          (i ? rhy_path_line_to : rhy_path_move_to) (p, r * cos (t), r * sin (t));
        }
      rhy_path_close (p);
      const double tolerance = tolerances[n % 3];
      RhyLightReport report = { 0 };
      g_autoptr (RhyPath) light = rhy_path_lightened (p, tolerance, &report);
      const double there = one_way (p, light, 4), back = one_way (light, p, 4);
      if (there > tolerance || back > tolerance)
        print_error ("case %d at %g: %g, %g\n", n, tolerance, there, back);
      assert_true (there <= tolerance + 2e-5);
      assert_true (back <= tolerance + 2e-5);
    }
}

static void
test_growth_is_linear (void **state)
{
  (void) state;
  /* A million points: only that it ends, light, and right. */
  g_autoptr (RhyPath) p = polygon (1000000, 40, 25);
  RhyLightReport report = { 0 };
  g_autoptr (RhyPath) light = rhy_path_lightened (p, 0.0025, &report);
  assert_in_range (report.segments_out, 3, 16);
  const RhyBounds box = rhy_path_get_bounds (light);
  assert_near (box.max_y, 25, 0.0025);
  assert_near (box.min_x, -40, 0.0025);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_a_dense_circle_becomes_a_few_cubics),
    cmocka_unit_test (test_corners_stay),
    cmocka_unit_test (test_clean_drawings_are_left_to_the_bit),
    cmocka_unit_test (test_random_outlines_keep_the_tolerance),
    cmocka_unit_test (test_growth_is_linear),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
