/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/trim.h>

#include <math.h>

#include "winding.h"

static const RhyBounds box = { -10, -8, 12, 9 };

static void
test_winding_within_is_kept (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (11);
#define SOME() g_rand_double_range (rand, -40, 40)
  for (int round = 0; round < 40; round++)
    {
      g_autoptr (RhyPath) path = rhy_path_new ();
      for (int sub = 0; sub < 2; sub++)
        {
          rhy_path_move_to (path, SOME (), SOME ());
          for (int k = 0; k < 5; k++)
            if (g_rand_boolean (rand))
              rhy_path_line_to (path, SOME (), SOME ());
            else
              rhy_path_cubic_to (path, SOME (), SOME (), SOME (), SOME (), SOME (), SOME ());
          if (sub == 0)
            rhy_path_close (path);
        }
      g_autoptr (RhyPath) trimmed = rhy_path_trimmed (path, box, TRUE);
      const RhyBounds b = rhy_path_get_bounds (trimmed);
      assert_true (b.min_x >= box.min_x && b.max_x <= box.max_x && b.min_y >= box.min_y && b.max_y <= box.max_y);
      /* Half a millimetre within the edges, where the last halving of a curve cannot reach: a
       * curve of 200 mm over 2^10. */
      for (int i = 0; i < 200; i++)
        {
          const double x = g_rand_double_range (rand, box.min_x + 0.5, box.max_x - 0.5);
          const double y = g_rand_double_range (rand, box.min_y + 0.5, box.max_y - 0.5);
          assert_int_equal (winding (trimmed, x, y), winding (path, x, y));
        }
    }
}

static void
test_what_is_within_is_untouched (void **state)
{
  (void) state;
  g_autoptr (RhyPath) path = rhy_path_new ();
  rhy_path_move_to (path, -9, -7);
  rhy_path_line_to (path, 11, -7);
  rhy_path_cubic_to (path, 11, 0, 5, 8, 0, 8);
  rhy_path_close (path);
  g_autoptr (RhyPath) trimmed = rhy_path_trimmed (path, box, FALSE);
  assert_int_equal (rhy_path_count_segments (trimmed), rhy_path_count_segments (path));
  for (gsize i = 0; i < path->n_points; i++)
    {
      assert_near (trimmed->points[i].x, path->points[i].x, 0);
      assert_near (trimmed->points[i].y, path->points[i].y, 0);
    }
}

/* A line through the box is cut where it crosses the edges: y = x/2 meets x = -10 at -5 and
 * x = 12 at 6. */
static void
test_lines_are_cut_at_the_edges (void **state)
{
  (void) state;
  g_autoptr (RhyPath) path = rhy_path_new ();
  rhy_path_move_to (path, -400, -200);
  rhy_path_line_to (path, 400, 200);
  g_autoptr (RhyPath) trimmed = rhy_path_trimmed (path, box, FALSE);
  gboolean low = FALSE;
  gboolean high = FALSE;
  for (gsize i = 0; i < trimmed->n_points; i++)
    {
      low |= fabs (trimmed->points[i].x + 10) < 1e-12 && fabs (trimmed->points[i].y + 5) < 1e-9;
      high |= fabs (trimmed->points[i].x - 12) < 1e-12 && fabs (trimmed->points[i].y - 6) < 1e-9;
    }
  assert_true (low && high);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_winding_within_is_kept),
    cmocka_unit_test (test_what_is_within_is_untouched),
    cmocka_unit_test (test_lines_are_cut_at_the_edges),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
