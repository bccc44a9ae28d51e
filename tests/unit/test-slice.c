/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/slice.h>

#include <math.h>

#include "winding.h"

/* Integral of x dy, open subpaths closed. Three points of Gauss are exact to degree 5 (Abramowitz and
 * Stegun, 25.4.29), which a cubic's x dy has. */
static double
area (const RhyPath *path)
{
  static const double nodes[] = { 0.1127016653792583, 0.5, 0.8872983346207417 };
  static const double weights[] = { 5.0 / 18.0, 8.0 / 18.0, 5.0 / 18.0 };
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0, 0 };
  RhyPoint end = { 0, 0 };
  double sum = 0;
  rhy_path_iter_init (&iter, path);
  while (rhy_path_iter_next (&iter, &g))
    {
      if (g.first)
        {
          sum += 0.5 * (end.x + start.x) * (start.y - end.y);
          start = g.p[0];
        }
      end = g.p[g.verb == RHY_PATH_LINE ? 1 : 3];
      if (g.verb == RHY_PATH_LINE)
        sum += 0.5 * (g.p[0].x + g.p[1].x) * (g.p[1].y - g.p[0].y);
      else
        for (int i = 0; i < 3; i++)
          {
            const double t = nodes[i];
            const double m = 1 - t;
            const double x = m * m * m * g.p[0].x + 3 * m * m * t * g.p[1].x + 3 * m * t * t * g.p[2].x + t * t * t * g.p[3].x;
            const double dy = 3 * (m * m * (g.p[1].y - g.p[0].y) + 2 * m * t * (g.p[2].y - g.p[1].y) + t * t * (g.p[3].y - g.p[2].y));
            sum += weights[i] * x * dy;
          }
    }
  return sum + 0.5 * (end.x + start.x) * (start.y - end.y);
}

static double
length_along (const RhyPath *path,
              RhySliceWay    way,
              double         at,
              gsize         *n)
{
  RhyPathIter iter;
  RhySegment g;
  double sum = 0;
  rhy_path_iter_init (&iter, path);
  *n = 0;
  while (rhy_path_iter_next (&iter, &g))
    if (g.verb == RHY_PATH_LINE && (way == RHY_SLICE_X ? g.p[0].x == at && g.p[1].x == at : g.p[0].y == at && g.p[1].y == at))
      {
        sum += hypot (g.p[1].x - g.p[0].x, g.p[1].y - g.p[0].y);
        ++*n;
      }
  return sum;
}

/* Heaps of crossing curves: winding numbers in each slice are the whole path's, and 0 outside it;
 * areas add up to the whole's. No ink is lost, and none is there twice. */
static void
test_slices_are_the_whole (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (29);
#define SOME() g_rand_double_range (rand, -40, 40)
  for (int round = 0; round < 60; round++)
    {
      const RhySliceWay way = round % 2 == 0 ? RHY_SLICE_X : RHY_SLICE_Y;
      g_autoptr (RhyPath) path = rhy_path_new ();
      for (int sub = 0; sub < 3; sub++)
        {
          rhy_path_move_to (path, SOME (), SOME ());
          for (int k = 0; k < 6; k++)
            if (g_rand_boolean (rand))
              rhy_path_line_to (path, SOME (), SOME ());
            else
              rhy_path_cubic_to (path, SOME (), SOME (), SOME (), SOME (), SOME (), SOME ());
          if (sub != 1)
            rhy_path_close (path);
        }
      const double cuts[] = { -INFINITY, -21.5, -3, 0.25, 17, INFINITY };
      double sum = 0;
      for (gsize i = 0; i + 1 < G_N_ELEMENTS (cuts); i++)
        {
          g_autoptr (RhyPath) slice = rhy_path_slice (path, way, cuts[i], cuts[i + 1]);
          const RhyBounds b = rhy_path_get_bounds (slice);
          assert_true ((way == RHY_SLICE_X ? b.min_x : b.min_y) >= cuts[i] - 1e-9);
          assert_true ((way == RHY_SLICE_X ? b.max_x : b.max_y) <= cuts[i + 1] + 1e-9);
          sum += area (slice);
          for (int k = 0; k < 60; k++)
            {
              const double x = SOME ();
              const double y = SOME ();
              const double at = way == RHY_SLICE_X ? x : y;
              if (fabs (at - cuts[i]) < 1e-3 || fabs (at - cuts[i + 1]) < 1e-3)
                continue;
              /* Chords of 1e-4 on either: off by chance only within that of an edge; the seed has none. */
              assert_int_equal (winding (slice, x, y), at > cuts[i] && at < cuts[i + 1] ? winding (path, x, y) : 0);
            }
        }
      assert_near (sum, area (path), 1e-8);
    }
}

static RhyPath *
circle (double x,
        double y,
        double r,
        double hand)
{
  const double k = 0.5522847498307936 * r;      /* 4/3 (sqrt 2 - 1) */
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, x + r, y);
  rhy_path_cubic_to (path, x + r, y + hand * k, x + k, y + hand * r, x, y + hand * r);
  rhy_path_cubic_to (path, x - k, y + hand * r, x - r, y + hand * k, x - r, y);
  rhy_path_cubic_to (path, x - r, y - hand * k, x - k, y - hand * r, x, y - hand * r);
  rhy_path_cubic_to (path, x + k, y - hand * r, x + r, y - hand * k, x + r, y);
  rhy_path_close (path);
  return path;
}

/* A circle of 10 cut at a height of 4: r^2 acos (h/r) - h sqrt (r^2 - h^2). Four cubics
 * run up to 2.73e-4 r outside their circle, here along an arc of 2 r acos (h/r). */
static void
test_a_segment_of_a_circle (void **state)
{
  (void) state;
  g_autoptr (RhyPath) path = circle (3, -2, 10, 1);
  g_autoptr (RhyPath) cap = rhy_path_slice (path, RHY_SLICE_Y, 2, INFINITY);
  const double exact = 100 * acos (0.4) - 4 * sqrt (84);
  assert_near (area (cap), exact, 2.73e-4 * 10 * 20 * acos (0.4));
  gsize n;
  assert_near (length_along (cap, RHY_SLICE_Y, 2, &n), 2 * sqrt (84), 0.01);
  assert_int_equal (n, 1);
}

/* A ring cut through its middle: two edges on the cut, each as long as the ring is thick, and one
 * outline. Nothing runs across the hole. */
static void
test_no_edge_runs_across_a_hole (void **state)
{
  (void) state;
  g_autoptr (RhyPath) ring = circle (0, 0, 10, 1);
  g_autoptr (RhyPath) hole = circle (0, 0, 6, -1);
  rhy_path_append (ring, hole);
  g_autoptr (RhyPath) half = rhy_path_slice (ring, RHY_SLICE_X, 0, INFINITY);
  gsize n;
  assert_near (length_along (half, RHY_SLICE_X, 0, &n), 8, 1e-9);
  assert_int_equal (n, 2);
  gsize subpaths = 0;
  for (gsize i = 0; i < half->n_verbs; i++)
    subpaths += half->verbs[i] == RHY_PATH_MOVE;
  assert_int_equal (subpaths, 1);
}

/* An E cut through its arms: three pieces, apart from each other. */
static void
test_pieces_come_apart (void **state)
{
  (void) state;
  static const RhyPoint e[] = { { 0, 0 }, { 30, 0 }, { 30, 8 }, { 8, 8 }, { 8, 21 }, { 24, 21 }, { 24, 29 }, { 8, 29 },
                                { 8, 42 }, { 30, 42 }, { 30, 50 }, { 0, 50 } };
  g_autoptr (RhyPath) path = rhy_path_new ();
  rhy_path_move_to (path, e[0].x, e[0].y);
  for (gsize i = 1; i < G_N_ELEMENTS (e); i++)
    rhy_path_line_to (path, e[i].x, e[i].y);
  rhy_path_close (path);
  g_autoptr (RhyPath) arms = rhy_path_slice (path, RHY_SLICE_X, 15, INFINITY);
  gsize n;
  assert_near (length_along (arms, RHY_SLICE_X, 15, &n), 24, 1e-12);
  assert_int_equal (n, 3);
  assert_near (area (arms), 8 * (15 + 9 + 15), 1e-9);
  /* The edge at 8 is on the cut: it bounds what is left of it alone. */
  g_autoptr (RhyPath) stem = rhy_path_slice (path, RHY_SLICE_X, -INFINITY, 8);
  g_autoptr (RhyPath) rest = rhy_path_slice (path, RHY_SLICE_X, 8, INFINITY);
  assert_near (area (stem), 400, 1e-9);
  assert_near (area (rest), 8 * (22 + 16 + 22), 1e-9);
}

/* Lines and pictures go elsewhere; clips stay. */
static void
test_what_is_taken_of_an_artwork (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  const guint clip = rhy_artwork_builder_add_clip (builder, circle (0, 0, 9, 1), RHY_FILL_EVENODD);
  rhy_artwork_builder_add_shape (builder, &(RhyShape) {
    .path = circle (0, 0, 10, 1), .has_fill = TRUE, .fill = { 0, 0, 0, 1 }, .clips = g_memdup2 (&clip, sizeof clip), .n_clips = 1 });
  rhy_artwork_builder_add_shape (builder, &(RhyShape) {
    .path = circle (0, 0, 5, 1), .has_fill = TRUE, .fill = { 1, 1, 1, 1 }, .has_stroke = TRUE, .stroke = { 1, 0, 0, 1 },
    .pen = { .width = 1, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY } });
  RhyPaint paint = { .kind = RHY_PAINT_LINEAR, .matrix = RHY_AFFINE_IDENTITY, .x1 = 1, .stops = g_new0 (RhyStop, 1), .n_stops = 1, .alpha = 1 };
  rhy_artwork_builder_add_shape (builder, &(RhyShape) {
    .path = circle (0, 0, 3, 1), .has_fill = TRUE, .fill_paint = rhy_paint_new (&paint) });
  g_autoptr (RhyArtwork) art = rhy_artwork_builder_end (builder);

  g_autoptr (RhyArtwork) slice = rhy_artwork_slice (art, RHY_SLICE_X, 6, INFINITY);
  assert_int_equal (rhy_artwork_get_n_shapes (slice), 1);
  assert_int_equal (rhy_artwork_get_shape (slice, 0)->n_clips, 1);
  assert_int_equal (rhy_artwork_get_n_clips (slice), 1);
  g_autoptr (RhyArtwork) lines = rhy_artwork_lines (art);
  assert_int_equal (rhy_artwork_get_n_shapes (lines), 1);
  assert_false (rhy_artwork_get_shape (lines, 0)->has_fill);
  g_autoptr (RhyArtwork) pictures = rhy_artwork_pictures (art);
  assert_int_equal (rhy_artwork_get_n_shapes (pictures), 1);
  assert_non_null (rhy_artwork_get_shape (pictures, 0)->fill_paint);
  g_autoptr (RhyArtwork) middle = rhy_artwork_slice (art, RHY_SLICE_Y, -1, 1);
  assert_int_equal (rhy_artwork_get_n_shapes (middle), 2);
  assert_false (rhy_artwork_get_shape (middle, 1)->has_stroke);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_slices_are_the_whole), cmocka_unit_test (test_a_segment_of_a_circle),
    cmocka_unit_test (test_no_edge_runs_across_a_hole), cmocka_unit_test (test_pieces_come_apart),
    cmocka_unit_test (test_what_is_taken_of_an_artwork),
  };
  return cmocka_run_group_tests_name ("slice", tests, NULL, NULL);
}
