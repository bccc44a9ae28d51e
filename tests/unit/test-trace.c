/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/rhyton.h>

/* ---- pictures to trace: 20 x 20 mm, (0, 0) in the middle ---- */

#define HALF 10.0

typedef double (*Depth) (double x, double y);   /* how far inside the ink, mm; negative outside */

/* Each pixel as dark as the ink covers it, by 8 x 8 points. */
static RhyPaint *
drawn (Depth depth,
       guint n)
{
  const double mm = 2.0 * HALF / n;
  guint32 *pixels = g_new (guint32, n * n);
  for (guint j = 0; j < n; j++)
    for (guint i = 0; i < n; i++)
      {
        guint covered = 0;
        for (int k = 0; k < 64; k++)
          covered += depth (-HALF + (i + (k % 8 + 0.5) / 8.0) * mm, HALF - (j + (k / 8 + 0.5) / 8.0) * mm) > 0.0;
        const guint32 g = 255u - covered * 255u / 64u;
        pixels[j * n + i] = 0xff000000u | g * 0x010101u;
      }
  return rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_PAD, .matrix = { mm, 0, 0, -mm, -HALF, HALF },
                                      .raster = rhy_raster_new (n, n, pixels), .smooth = TRUE, .alpha = 1.0 });
}

static const RhyBounds all = { -HALF, -HALF, HALF, HALF };

static RhyPath *
trace (Depth                  depth,
       guint                  n,
       const RhyTraceOptions *options)
{
  GError *error = NULL;
  g_autoptr (RhyPaint) paint = drawn (depth, n);
  RhyPath *path = rhy_paint_traced (paint, all, options, &error);
  assert_no_error (error);
  return path;
}

/* The greatest distance of the outlines from the true edge, mm. */
static double
worst_depth (const RhyPath *path,
             Depth          depth)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, 1e-4);
  RhyPathIter iter;
  RhySegment g;
  double worst = 0.0;
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    for (int i = 0; i < 8; i++)
      {
        const double t = i / 8.0;
        worst = MAX (worst, fabs (depth (g.p[0].x + t * (g.p[1].x - g.p[0].x), g.p[0].y + t * (g.p[1].y - g.p[0].y))));
      }
  return worst;
}

static guint
count_outlines (const RhyPath *path)
{
  guint n = 0;
  for (gsize i = 0; i < path->n_verbs; i++)
    n += path->verbs[i] == RHY_PATH_MOVE;
  return n;
}

/* Twice the area inside, by the shoelace formula over chords; holes go the other way. */
static double
area_of (const RhyPath *path)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, 1e-4);
  RhyPathIter iter;
  RhySegment g;
  double sum = 0.0;
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    sum += g.p[0].x * g.p[1].y - g.p[1].x * g.p[0].y;
  return fabs (0.5 * sum);
}

/* ---- shapes ---- */

static double
disc (double x, double y)
{
  return 7.0 - hypot (x - 0.3, y + 0.2);
}

/* A hexagon of apothem 6 mm, a corner up, turned a little: the least distance to its six sides. */
static double
hexagon (double x, double y)
{
  double least = G_MAXDOUBLE;
  for (int k = 0; k < 6; k++)
    {
      const double a = 0.17 + k * G_PI / 3.0;
      least = MIN (least, 6.0 - x * cos (a) - y * sin (a));
    }
  return least;
}

static double
ring (double x, double y)
{
  const double r = hypot (x, y);
  return MIN (7.0 - r, r - 4.0);
}

/* A disc, and apart from it a square of 0.3 mm. */
static double
disc_and_speck (double x, double y)
{
  return MAX (5.0 - hypot (x, y), 0.15 - MAX (fabs (x - 8.0), fabs (y - 8.0)));
}

/* ---- tests ---- */

/* 20 mm over 400 pixels are 0.05 mm each, cut into four: the edge comes back within half a pixel
 * of the picture, and the area, over which errors cancel, within a thousandth. */
static void
test_disc (void **state)
{
  (void) state;
  g_autoptr (RhyPath) path = trace (disc, 400, NULL);
  const double worst = worst_depth (path, disc);
  print_message ("# disc: %.4f mm off, %zu verbs\n", worst, path->n_verbs);
  assert_int_equal (count_outlines (path), 1);
  assert_true (worst < 0.025);
  assert_near (area_of (path), G_PI * 49.0, 0.15);
  assert_true (path->n_verbs <= 12);
}

/* Corners stay where smoothing is low: within a pixel and a half of the true ones. */
static void
test_hexagon (void **state)
{
  (void) state;
  RhyTraceOptions options = RHY_TRACE_OPTIONS_INIT;
  options.smoothing = 0.3;
  g_autoptr (RhyPath) path = trace (hexagon, 400, &options);
  const double worst = worst_depth (path, hexagon);
  print_message ("# hexagon: %.4f mm off, %zu verbs\n", worst, path->n_verbs);
  assert_int_equal (count_outlines (path), 1);
  assert_true (worst < 0.025);
  for (int k = 0; k < 6; k++)
    {
      const double a = 0.17 + (k + 0.5) * G_PI / 3.0;
      const double r = 6.0 / cos (G_PI / 6.0);
      double nearest = G_MAXDOUBLE;
      for (gsize i = 0; i < path->n_points; i++)
        nearest = MIN (nearest, hypot (path->points[i].x - r * cos (a), path->points[i].y - r * sin (a)));
      assert_true (nearest < 0.075);
    }
}

/* pi (49 - 16) */
static void
test_holes_stay (void **state)
{
  (void) state;
  g_autoptr (RhyPath) path = trace (ring, 300, NULL);
  assert_int_equal (count_outlines (path), 2);
  assert_true (worst_depth (path, ring) < 0.034);
  assert_near (area_of (path), G_PI * 33.0, 0.15);
}

/* The square of 0.3 mm stays with a speck of 0.25 mm, and goes with one of 0.35. */
static void
test_specks_go (void **state)
{
  (void) state;
  RhyTraceOptions options = RHY_TRACE_OPTIONS_INIT;
  options.speck_mm = 0.25;
  g_autoptr (RhyPath) both = trace (disc_and_speck, 400, &options);
  assert_int_equal (count_outlines (both), 2);
  options.speck_mm = 0.35;
  g_autoptr (RhyPath) one = trace (disc_and_speck, 400, &options);
  assert_int_equal (count_outlines (one), 1);
}

/* From black at the left to white at the right: ink ends at the threshold's share of 20 mm. */
static void
test_threshold (void **state)
{
  (void) state;
  static const RhyStop stops[] = { { 0, { 0, 0, 0, 1 } }, { 1, { 1, 1, 1, 1 } } };
  g_autoptr (RhyPaint) paint = rhy_paint_new (&(RhyPaint) {
    .kind = RHY_PAINT_LINEAR, .extend = RHY_EXTEND_PAD, .matrix = RHY_AFFINE_IDENTITY, .x0 = -HALF, .x1 = HALF, .alpha = 1.0,
    .stops = g_memdup2 (stops, sizeof stops), .n_stops = 2 });
  for (double threshold = 0.1; threshold < 1.0; threshold += 0.2)
    {
      RhyTraceOptions options = RHY_TRACE_OPTIONS_INIT;
      options.threshold = threshold;
      g_autoptr (RhyPath) path = rhy_paint_traced (paint, all, &options, NULL);
      const RhyBounds box = rhy_path_get_bounds (path);
      /* One grey of 255 is 0.08 mm of that. */
      assert_near (box.max_x, -HALF + 20.0 * threshold, 0.1);
      /* Ink ends with the box, to the last bit but rounding. */
      assert_near (box.min_x, -HALF, 1e-9);
      assert_near (box.min_y, -HALF, 1e-9);
      assert_near (box.max_y, HALF, 1e-9);
    }
}

static void
add_square (RhyArtworkBuilder *builder,
            RhyPaint          *paint,
            double             half)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, -half, -half);
  rhy_path_line_to (path, half, -half);
  rhy_path_line_to (path, half, half);
  rhy_path_line_to (path, -half, half);
  rhy_path_close (path);
  rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0.2, 0.4, 0.6, 1 }, .fill_paint = paint,
                                                        .pen.matrix = RHY_AFFINE_IDENTITY });
}

/* A plain square stays; the picture becomes black outlines at its place, a white square under it only
 * if asked for. */
static void
test_artwork (void **state)
{
  (void) state;
  for (int over_bare = 0; over_bare < 2; over_bare++)
    {
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      add_square (builder, NULL, 3);
      add_square (builder, drawn (disc, 200), HALF);
      g_autoptr (RhyArtwork) art = rhy_artwork_builder_end (builder);
      GError *error = NULL;
      g_autoptr (RhyArtwork) traced = rhy_artwork_traced (art, NULL, over_bare, &error);
      assert_no_error (error);
      assert_int_equal (rhy_artwork_get_n_shapes (traced), 2 + over_bare);
      assert_near (rhy_artwork_get_shape (traced, 0)->fill.b, 0.6, 0.0);
      const RhyShape *last = rhy_artwork_get_shape (traced, 1 + (gsize) over_bare);
      assert_null (last->fill_paint);
      assert_near (last->fill.r, 0.0, 0.0);
      assert_int_equal (last->n_clips, 0);
      assert_true (worst_depth (last->path, disc) < 0.05);
    }
}

static void
test_bad_options (void **state)
{
  (void) state;
  g_autoptr (RhyPaint) paint = drawn (disc, 20);
  const RhyTraceOptions bad[] = { { -0.1, 0.5, 0.1, 0.01 }, { 0.5, 1.1, 0.1, 0.01 }, { 0.5, 0.5, -1, 0.01 }, { 0.5, 0.5, 0.1, 0 },
                                  { NAN, 0.5, 0.1, 0.01 } };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      GError *error = NULL;
      assert_null (rhy_paint_traced (paint, all, &bad[i], &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
    }
}

/* A build without potrace says so. */
static void
test_cannot_trace (void **state)
{
  (void) state;
  g_autoptr (RhyPaint) paint = drawn (disc, 20);
  GError *error = NULL;
  assert_null (rhy_paint_traced (paint, all, NULL, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, "Trace=no"));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_disc),
    cmocka_unit_test (test_hexagon),
    cmocka_unit_test (test_holes_stay),
    cmocka_unit_test (test_specks_go),
    cmocka_unit_test (test_threshold),
    cmocka_unit_test (test_artwork),
    cmocka_unit_test (test_bad_options),
  };
  const struct CMUnitTest without[] = {
    cmocka_unit_test (test_bad_options),
    cmocka_unit_test (test_cannot_trace),
  };
  return rhy_trace_is_available () ? cmocka_run_group_tests (tests, NULL, NULL) : cmocka_run_group_tests (without, NULL, NULL);
}
