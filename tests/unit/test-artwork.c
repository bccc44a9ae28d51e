/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/artwork.h>

static RhyPath *
polygon (const double *xy,
         gsize         n,
         gboolean      closed)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, xy[0], xy[1]);
  for (gsize i = 1; i < n; i++)
    rhy_path_line_to (path, xy[2 * i], xy[2 * i + 1]);
  if (closed)
    rhy_path_close (path);
  return path;
}

static RhyPath *
rectangle (double x0,
           double y0,
           double x1,
           double y1)
{
  return polygon ((const double[]) { x0, y0, x1, y0, x1, y1, x0, y1 }, 4, TRUE);
}

/* Four cubics, handle 4/3 (sqrt 2 - 1): the extremes sit at the joins. */
static RhyPath *
circle (double r)
{
  const double k = 4.0 / 3.0 * (sqrt (2.0) - 1.0) * r;
  RhyPath *p = rhy_path_new ();
  rhy_path_move_to (p, r, 0);
  rhy_path_cubic_to (p, r, k, k, r, 0, r);
  rhy_path_cubic_to (p, -k, r, -r, k, -r, 0);
  rhy_path_cubic_to (p, -r, -k, -k, -r, 0, -r);
  rhy_path_cubic_to (p, k, -r, r, -k, r, 0);
  rhy_path_close (p);
  return p;
}

static RhyShape
filled (RhyPath *path)
{
  return (RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0, 0, 0, 1 },
                      .pen.matrix = RHY_AFFINE_IDENTITY };
}

static RhyShape
stroked (RhyPath *path,
         double   width,
         RhyCap   cap,
         RhyJoin  join,
         double   miter_limit)
{
  return (RhyShape) { .path = path, .has_stroke = TRUE, .stroke = { 0, 0, 0, 1 },
                      .pen = { .width = width, .cap = cap, .join = join, .miter_limit = miter_limit,
                               .matrix = RHY_AFFINE_IDENTITY } };
}

static RhyArtwork *
artwork_of (RhyShape shape)
{
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &shape);
  return rhy_artwork_builder_end (builder);
}

static void
assert_box (RhyArtwork *artwork,
            double      min_x,
            double      min_y,
            double      max_x,
            double      max_y)
{
  const RhyBounds b = rhy_artwork_get_ink_box (artwork);
  assert_near (b.min_x, min_x, 1e-12);
  assert_near (b.min_y, min_y, 1e-12);
  assert_near (b.max_x, max_x, 1e-12);
  assert_near (b.max_y, max_y, 1e-12);
}

/* All by hand: half the width is 1. */
static void
test_stroke_box_is_the_ink (void **state)
{
  (void) state;
  /* A mitred square reaches half a width out on every side, no more. */
  g_autoptr (RhyArtwork) square
    = artwork_of (stroked (rectangle (0, 0, 8, 8), 2, RHY_CAP_BUTT, RHY_JOIN_MITER, 4));
  assert_box (square, -1, -1, 9, 9);

  /* A slanting line with butt ends: corners at 45 degrees, 1/sqrt 2 out. */
  const double slant[] = { 0, 0, 10, 10 };
  const double c = sqrt (0.5);
  g_autoptr (RhyArtwork) butt
    = artwork_of (stroked (polygon (slant, 2, FALSE), 2, RHY_CAP_BUTT, RHY_JOIN_MITER, 4));
  assert_box (butt, -c, -c, 10 + c, 10 + c);
  g_autoptr (RhyArtwork) round
    = artwork_of (stroked (polygon (slant, 2, FALSE), 2, RHY_CAP_ROUND, RHY_JOIN_MITER, 4));
  assert_box (round, -1, -1, 11, 11);
  g_autoptr (RhyArtwork) projecting
    = artwork_of (stroked (polygon (slant, 2, FALSE), 2, RHY_CAP_SQUARE, RHY_JOIN_MITER, 4));
  assert_box (projecting, -2 * c, -2 * c, 10 + 2 * c, 10 + 2 * c);
}

static void
test_joins_reach_as_far_as_they_are_drawn (void **state)
{
  (void) state;
  /* Two arms 60 degrees apart with the point up: the mitre's tip stands
   * 1 / sin 30 = 2 above it (SVG 2, 13.5.6), a bevel's corners sin 30 = 1/2. */
  const double arm = 10.0;
  const double chevron[] = { -arm * 0.5, -arm * sqrt (0.75), 0, 0, arm * 0.5, -arm * sqrt (0.75) };
  const struct { RhyJoin join; double limit, top; } rows[] = {
    { RHY_JOIN_MITER, 4, 2 },
    { RHY_JOIN_MITER, 1.9, 0.5 },
    { RHY_JOIN_BEVEL, 4, 0.5 },
    { RHY_JOIN_ROUND, 4, 1 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (RhyArtwork) a = artwork_of (stroked (polygon (chevron, 3, FALSE), 2, RHY_CAP_BUTT,
                                                      rows[i].join, rows[i].limit));
      assert_near (rhy_artwork_get_ink_box (a).max_y, rows[i].top, 1e-12);
    }
}

static void
test_skewed_pens_and_curves (void **state)
{
  (void) state;
  /* A round pen stretched twofold along x: 2 wide each side, 1 up and down. */
  RhyShape ring = stroked (circle (10), 2, RHY_CAP_BUTT, RHY_JOIN_MITER, 4);
  ring.pen.matrix.xx = 2.0;
  g_autoptr (RhyArtwork) a = artwork_of (ring);
  assert_box (a, -12, -11, 12, 11);

  /* An arch y = 3 t (1 - t), top 3/4 at t = 1/2. */
  RhyPath *arch = rhy_path_new ();
  rhy_path_move_to (arch, 0, 0);
  rhy_path_cubic_to (arch, 1, 1, 2, 1, 3, 0);
  g_autoptr (RhyArtwork) b = artwork_of (stroked (arch, 2, RHY_CAP_BUTT, RHY_JOIN_MITER, 4));
  assert_near (rhy_artwork_get_ink_box (b).max_y, 1.75, 1e-12);

  /* A dot: a subpath of no length. */
  const double dot[] = { 5, 5, 5, 5 };
  g_autoptr (RhyArtwork) d
    = artwork_of (stroked (polygon (dot, 2, FALSE), 2, RHY_CAP_ROUND, RHY_JOIN_MITER, 4));
  assert_box (d, 4, 4, 6, 6);
}

static void
test_ink_box_is_cut_to_clips_and_takes_in_pictures (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  const guint clip = rhy_artwork_builder_add_clip (builder, rectangle (2, -5, 20, 3), RHY_FILL_NONZERO);
  RhyShape shape = filled (rectangle (0, 0, 10, 10));
  shape.clips = g_memdup2 (&clip, sizeof clip);
  shape.n_clips = 1;
  rhy_artwork_builder_add_shape (builder, &shape);
  RhyShape unseen = filled (rectangle (-90, -90, 90, 90));
  unseen.fill.a = 0.0;
  rhy_artwork_builder_add_shape (builder, &unseen);
  rhy_artwork_builder_add_picture (builder, (RhyPicture) { RHY_PICTURE_IMAGE, { 8, 1, 30, 2 }, FALSE });
  rhy_artwork_builder_add_note (builder, "a note");
  g_autoptr (RhyArtwork) a = rhy_artwork_builder_end (builder);
  assert_box (a, 2, 0, 30, 3);
  assert_string_equal (rhy_artwork_get_notes (a)[0], "a note");
  assert_null (rhy_artwork_get_notes (a)[1]);
}

static void
test_sized_takes_the_pen_along (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyArtwork) a
    = artwork_of (stroked (rectangle (100, 50, 108, 58), 2, RHY_CAP_BUTT, RHY_JOIN_MITER, 4));
  g_autoptr (RhyArtwork) b = rhy_artwork_sized (a, 60, 0, &error);
  assert_no_error (error);
  assert_box (b, -30, -30, 30, 30);             /* 10 across became 60 */
  assert_near (rhy_artwork_get_shape (b, 0)->pen.matrix.xx, 6.0, 1e-14);

  /* Turned a quarter: u' = -v, v' = u, by hand. */
  g_autoptr (RhyArtwork) c = artwork_of (filled (rectangle (1, 2, 5, 4)));
  g_autoptr (RhyArtwork) turned = rhy_artwork_transformed (c, (RhyAffine) { 0, 1, -1, 0, 0, 0 });
  assert_box (turned, -4, 1, -2, 5);
}

static void
test_sizing_what_has_no_extent (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) nothing = rhy_artwork_builder_end (rhy_artwork_builder_new ());
  assert_true (rhy_bounds_is_empty (rhy_artwork_get_ink_box (nothing)));
  assert_null (rhy_artwork_sized (nothing, 60, 0, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);

  const double upright[] = { 3, 0, 3, 9 };
  g_autoptr (RhyArtwork) line = artwork_of (filled (polygon (upright, 2, FALSE)));
  assert_null (rhy_artwork_sized (line, 60, 0, &error));
  assert_non_null (strstr (error->message, "width"));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
  g_autoptr (RhyArtwork) tall = rhy_artwork_sized (line, 0, 18, &error);
  assert_no_error (error);
  assert_near (rhy_artwork_get_ink_box (tall).max_y, 9, 1e-13);
}

/* A square of side 20 with a hole of side 10: area 300. A grid of pitch 0.5
 * has 4 points per mm^2, counting an edge's points as half inside. */
static void
test_samples_fill_the_ink_and_nothing_else (void **state)
{
  (void) state;
  RhyPath *path = rectangle (-10, -10, 10, 10);
  rhy_path_move_to (path, -5, -5);
  rhy_path_line_to (path, 5, -5);
  rhy_path_line_to (path, 5, 5);
  rhy_path_line_to (path, -5, 5);
  rhy_path_close (path);
  RhyShape shape = filled (path);
  shape.rule = RHY_FILL_EVENODD;
  g_autoptr (RhyArtwork) a = artwork_of (shape);

  gsize n = 0;
  g_autofree RhyArtPoint *points = rhy_artwork_sample_ink (a, 0.5, &n);
  gsize inside = 0;
  gboolean corner = FALSE;
  for (gsize i = 0; i < n; i++)
    {
      const double far = MAX (fabs (points[i].u), fabs (points[i].v));
      assert_true (far >= 5 - 1e-12 && far <= 10 + 1e-12);
      inside += far > 5 + 1e-9 && far < 10 - 1e-9;
      corner = corner || (points[i].u == 10 && points[i].v == 10);
    }
  assert_true (corner);
  /* Strictly between the squares: 39^2 - 21^2 grid points, by counting. */
  assert_int_equal (inside, 39 * 39 - 21 * 21);
}

/* Two thousand squares of 20 mm, each a hair of its own: 39^2 points of the grid, each once, as one square
 * has. Beyond 100,000 points the outlines give at most one more to a square of 0.0625 mm, and each square its
 * two farthest corners, two ends of edges each. By counting. */
static void
test_heaps_are_sampled_once (void **state)
{
  (void) state;
  enum { N = 2000 };
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  for (int i = 0; i < N; i++)
    {
      RhyShape shape = filled (rectangle (-10 - 1e-6 * i, -10, 10, 10));
      rhy_artwork_builder_add_shape (builder, &shape);
    }
  g_autoptr (RhyArtwork) a = rhy_artwork_builder_end (builder);
  gsize n = 0;
  g_autofree RhyArtPoint *points = rhy_artwork_sample_ink (a, 0.5, &n);
  gsize inside = 0;
  double left = 0;
  for (gsize i = 0; i < n; i++)
    {
      inside += MAX (fabs (points[i].u), fabs (points[i].v)) < 10 - 1e-9;
      left = MIN (left, points[i].u);
    }
  assert_int_equal (inside, 39 * 39);
  assert_near (left, -10 - 1e-6 * (N - 1), 1e-12);
  assert_true (n < 100000 + 4 * N + 320 * 4 + 39 * 39);
}

static void
test_samples_follow_clips_and_pens (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  const guint clip = rhy_artwork_builder_add_clip (builder, circle (6), RHY_FILL_NONZERO);
  const double line[] = { -20, 0, 20, 0 };
  RhyShape shape = stroked (polygon (line, 2, FALSE), 4, RHY_CAP_BUTT, RHY_JOIN_MITER, 4);
  shape.clips = g_memdup2 (&clip, sizeof clip);
  shape.n_clips = 1;
  rhy_artwork_builder_add_shape (builder, &shape);
  g_autoptr (RhyArtwork) a = rhy_artwork_builder_end (builder);

  gsize n = 0;
  g_autofree RhyArtPoint *points = rhy_artwork_sample_ink (a, 0.25, &n);
  double top = -1, right = -1;
  for (gsize i = 0; i < n; i++)
    {
      assert_true (hypot (points[i].u, points[i].v) < 6.01);
      top = MAX (top, points[i].v);
      right = MAX (right, points[i].u);
    }
  assert_near (top, 2.0, 1e-12);                /* the pen's edge */
  assert_true (right > 5.7);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_stroke_box_is_the_ink),
    cmocka_unit_test (test_joins_reach_as_far_as_they_are_drawn),
    cmocka_unit_test (test_skewed_pens_and_curves),
    cmocka_unit_test (test_ink_box_is_cut_to_clips_and_takes_in_pictures),
    cmocka_unit_test (test_sized_takes_the_pen_along),
    cmocka_unit_test (test_sizing_what_has_no_extent),
    cmocka_unit_test (test_samples_fill_the_ink_and_nothing_else),
    cmocka_unit_test (test_heaps_are_sampled_once),
    cmocka_unit_test (test_samples_follow_clips_and_pens),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
