/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <cairo.h>

#include <rhyton/stroke.h>

/* The judge is cairo's own stroker: the same path stroked by cairo and the
 * outline filled by cairo, compared pixel by pixel. */
enum { SIZE = 512 };

static void
replay (cairo_t       *cr,
        const RhyPath *path)
{
  const RhyPoint *p = path->points;
  for (gsize i = 0; i < path->n_verbs; i++)
    switch (path->verbs[i])
      {
      case RHY_PATH_MOVE:
        cairo_move_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_LINE:
        cairo_line_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_CUBIC:
        cairo_curve_to (cr, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
        p += 3;
        break;
      default:
        cairo_close_path (cr);
      }
}

static cairo_t *
paper (void)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_A8, SIZE, SIZE);
  cairo_t *cr = cairo_create (surface);
  cairo_surface_destroy (surface);
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_BEST);
  cairo_set_tolerance (cr, 0.01);
  return cr;
}

static void
stroke_with_cairo (cairo_t       *cr,
                   const RhyPath *path,
                   const RhyPen  *pen)
{
  static const cairo_line_cap_t caps[] = { CAIRO_LINE_CAP_BUTT, CAIRO_LINE_CAP_ROUND, CAIRO_LINE_CAP_SQUARE };
  static const cairo_line_join_t joins[] = { CAIRO_LINE_JOIN_MITER, CAIRO_LINE_JOIN_ROUND, CAIRO_LINE_JOIN_BEVEL };
  replay (cr, path);
  cairo_transform (cr, &(cairo_matrix_t) { pen->matrix.xx, pen->matrix.yx, pen->matrix.xy, pen->matrix.yy, 0, 0 });
  cairo_set_line_width (cr, pen->width);
  cairo_set_line_cap (cr, caps[pen->cap]);
  cairo_set_line_join (cr, joins[pen->join]);
  cairo_set_miter_limit (cr, pen->miter_limit);
  cairo_set_dash (cr, pen->dashes, (int) pen->n_dashes, pen->dash_offset);
  cairo_stroke (cr);
}

/* How many pixels differ by more than 32 of 255, and how many are inked. */
static guint
count_differing (cairo_t *a,
                 cairo_t *b,
                 guint   *inked)
{
  cairo_surface_t *sa = cairo_get_target (a);
  cairo_surface_t *sb = cairo_get_target (b);
  cairo_surface_flush (sa);
  cairo_surface_flush (sb);
  guint n = 0;
  *inked = 0;
  for (int y = 0; y < SIZE; y++)
    {
      const guchar *ra = cairo_image_surface_get_data (sa) + y * cairo_image_surface_get_stride (sa);
      const guchar *rb = cairo_image_surface_get_data (sb) + y * cairo_image_surface_get_stride (sb);
      for (int x = 0; x < SIZE; x++)
        {
          n += ABS ((int) ra[x] - (int) rb[x]) > 32;
          *inked += ra[x] > 127;
        }
    }
  return n;
}

static guint
compare_with_cairo (const RhyPath *path,
                    const RhyPen  *pen)
{
  GError *error = NULL;
  g_autoptr (RhyPath) outline = rhy_stroke_outline (path, pen, &error);
  assert_no_error (error);
  cairo_t *theirs = paper ();
  cairo_t *ours = paper ();
  stroke_with_cairo (theirs, path, pen);
  replay (ours, outline);
  cairo_fill (ours);
  guint inked;
  const guint n = count_differing (theirs, ours, &inked);
  if (g_getenv ("RHYTON_KEEP_PICTURES") != NULL)
    {
      cairo_surface_write_to_png (cairo_get_target (theirs), "stroke-cairo.png");
      cairo_surface_write_to_png (cairo_get_target (ours), "stroke-ours.png");
    }
  cairo_destroy (theirs);
  cairo_destroy (ours);
  assert_true (inked > 200);
  return n;
}

/* Corners of many angles, a curve with a turn back, a closed ring, a polygon
 * whose last point stands on its first. */
static RhyPath *
zigzag (void)
{
  RhyPath *p = rhy_path_new ();
  rhy_path_move_to (p, 60, 80);
  rhy_path_line_to (p, 150, 60);
  rhy_path_line_to (p, 90, 140);
  rhy_path_line_to (p, 230, 120);
  rhy_path_line_to (p, 110, 180);
  rhy_path_move_to (p, 300, 80);
  rhy_path_line_to (p, 420, 70);
  rhy_path_line_to (p, 400, 190);
  rhy_path_close (p);
  return p;
}

static RhyPath *
curves (void)
{
  RhyPath *p = rhy_path_new ();
  rhy_path_move_to (p, 60, 250);
  rhy_path_cubic_to (p, 160, 50, 300, 450, 440, 100);
  rhy_path_cubic_to (p, 470, 30, 480, 220, 400, 250);
  rhy_path_move_to (p, 380, 380);
  rhy_path_cubic_to (p, 380, 424, 344, 460, 300, 460);
  rhy_path_cubic_to (p, 256, 460, 220, 424, 220, 380);
  rhy_path_cubic_to (p, 220, 336, 256, 300, 300, 300);
  rhy_path_cubic_to (p, 344, 300, 380, 336, 380, 380);
  rhy_path_close (p);
  return p;
}

static const RhyAffine matrices[] = {
  { 1, 0, 0, 1, 0, 0 },
  { 1, 0, 0, -1, 0, 0 },                /* turned over, as every drawing from a page is */
  { 1.6, 0, 0, 0.5, 0, 0 },
  { 0.9, 0.5, -0.3, 1.4, 0, 0 },
};

static void
test_caps_joins_and_pens_match_cairo (void **state)
{
  (void) state;
  for (gsize m = 0; m < G_N_ELEMENTS (matrices); m++)
    for (int cap = RHY_CAP_BUTT; cap <= RHY_CAP_SQUARE; cap++)
      for (int join = RHY_JOIN_MITER; join <= RHY_JOIN_BEVEL; join++)
        for (int shape = 0; shape < 2; shape++)
          {
            g_autoptr (RhyPath) path = shape == 0 ? zigzag () : curves ();
            const RhyPen pen = { .width = 14, .cap = (RhyCap) cap, .join = (RhyJoin) join, .miter_limit = shape == 0 ? 10 : 4,
                                 .matrix = matrices[m] };
            const guint n = compare_with_cairo (path, &pen);
            if (n > 0)
              print_error ("matrix %zu cap %d join %d shape %d: %u pixels\n", m, cap, join, shape, n);
            assert_int_equal (n, 0);
          }
}

static void
test_mitre_limit_matches_cairo (void **state)
{
  (void) state;
  const double limits[] = { 1.0, 1.2, 1.5, 2, 3, 5, 20 };
  for (gsize i = 0; i < G_N_ELEMENTS (limits); i++)
    {
      g_autoptr (RhyPath) path = zigzag ();
      const RhyPen pen = { .width = 9, .miter_limit = limits[i], .matrix = RHY_AFFINE_IDENTITY };
      assert_int_equal (compare_with_cairo (path, &pen), 0);
    }
}

static void
test_dashes_match_cairo (void **state)
{
  (void) state;
  double lists[][4] = { { 20, 10 }, { 31, 7, 3, 12 }, { 0, 25 }, { 13, 13, 13 } };
  const gsize lengths[] = { 2, 4, 2, 3 };
  const double offsets[] = { 0, 7, -11 };
  for (gsize d = 0; d < G_N_ELEMENTS (lists); d++)
    for (gsize o = 0; o < G_N_ELEMENTS (offsets); o++)
      for (gsize m = 0; m < G_N_ELEMENTS (matrices); m++)
        for (int shape = 0; shape < 2; shape++)
          {
            g_autoptr (RhyPath) path = shape == 0 ? zigzag () : curves ();
            const RhyPen pen = { .width = 8, .cap = RHY_CAP_ROUND, .join = RHY_JOIN_ROUND, .miter_limit = 4,
                                 .dashes = lists[d], .n_dashes = lengths[d], .dash_offset = offsets[o], .matrix = matrices[m] };
            const guint n = compare_with_cairo (path, &pen);
            if (n > 0)
              print_error ("dashes %zu offset %zu matrix %zu shape %d: %u pixels\n", d, o, m, shape, n);
            assert_int_equal (n, 0);
          }
}

/* By hand: a dot of width 10 is a disc of area 25 pi, or a square of 100. */
static double
area_of (const RhyPath *path)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, 1e-5);
  RhyPathIter iter;
  RhySegment g;
  double area = 0;
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    area += 0.5 * (g.p[0].x * g.p[1].y - g.p[1].x * g.p[0].y);
  return fabs (area);
}

static void
test_dots_and_lines_have_their_area (void **state)
{
  (void) state;
  const struct { double length; RhyCap cap; double area; } rows[] = {
    { 0, RHY_CAP_ROUND, 25 * G_PI },
    { 0, RHY_CAP_SQUARE, 100 },
    { 0, RHY_CAP_BUTT, 0 },
    { 50, RHY_CAP_BUTT, 500 },
    { 50, RHY_CAP_SQUARE, 600 },
    { 50, RHY_CAP_ROUND, 500 + 25 * G_PI },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (RhyPath) path = rhy_path_new ();
      rhy_path_move_to (path, 1000, 2000);
      rhy_path_line_to (path, 1000 + rows[i].length * 0.6, 2000 + rows[i].length * 0.8);
      const RhyPen pen = { .width = 10, .cap = rows[i].cap, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY };
      GError *error = NULL;
      g_autoptr (RhyPath) outline = rhy_stroke_outline (path, &pen, &error);
      assert_no_error (error);
      /* A quarter disc as one cubic is 2.7e-4 of the radius off at most, 3e-4 of the area. */
      assert_near (area_of (outline), rows[i].area, rows[i].cap == RHY_CAP_ROUND ? 3e-4 * rows[i].area : 1e-3);
    }
}

/* Far more than the 32767 points that one FreeType outline can hold. */
static void
test_long_paths_stay_whole (void **state)
{
  (void) state;
  g_autoptr (RhyPath) path = rhy_path_new ();
  rhy_path_move_to (path, 0, 0);
  const int n = 100000;
  for (int i = 1; i <= n; i++)
    rhy_path_line_to (path, 0.01 * i, 0.002 * (i % 2));
  const RhyPen pen = { .width = 0.001, .join = RHY_JOIN_BEVEL, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY };
  GError *error = NULL;
  g_autoptr (RhyPath) outline = rhy_stroke_outline (path, &pen, &error);
  assert_no_error (error);
  assert_true (outline->n_points > 2 * n);
  /* Its length times its width; the corners, of 0.4 rad, take or give less
   * than a square of the width times a tenth each. */
  assert_near (area_of (outline), n * hypot (0.01, 0.002) * 0.001, n * 1e-7);
}

static void
test_outlined_artwork_keeps_order_and_box (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  const RhyShape shape = { .path = curves (), .has_fill = TRUE, .fill = { 1, 0, 0, 1 }, .has_stroke = TRUE, .stroke = { 0, 0, 1, .5 },
                           .pen = { .width = 12, .cap = RHY_CAP_ROUND, .join = RHY_JOIN_ROUND, .miter_limit = 4, .matrix = matrices[3] } };
  rhy_artwork_builder_add_shape (builder, &shape);
  rhy_artwork_builder_add_note (builder, "kept");
  g_autoptr (RhyArtwork) a = rhy_artwork_builder_end (builder);
  GError *error = NULL;
  g_autoptr (RhyArtwork) b = rhy_artwork_outlined (a, 0.0, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (b), 2);
  assert_near (rhy_artwork_get_shape (b, 0)->fill.r, 1, 0);
  assert_near (rhy_artwork_get_shape (b, 1)->fill.b, 1, 0);
  assert_near (rhy_artwork_get_shape (b, 1)->fill.a, .5, 0);
  assert_false (rhy_artwork_get_shape (b, 0)->has_stroke || rhy_artwork_get_shape (b, 1)->has_stroke);
  assert_string_equal (rhy_artwork_get_notes (b)[0], "kept");

  /* The exact box of the stroke (closed form, ink.c) and of its outline agree
   * to what a cubic misses of a quarter disc: 2.7e-4 of half a width. */
  const RhyBounds exact = rhy_artwork_get_ink_box (a);
  const RhyBounds outlined = rhy_artwork_get_ink_box (b);
  assert_near (outlined.min_x, exact.min_x, 0.01);
  assert_near (outlined.min_y, exact.min_y, 0.01);
  assert_near (outlined.max_x, exact.max_x, 0.01);
  assert_near (outlined.max_y, exact.max_y, 0.01);
}

/* With a tolerance there are fewer nodes, and cairo's own stroke is still met pixel by
 * pixel: a tolerance of 0.02 px moves no pixel by 32 of 255. */
static void
test_a_tolerance_buys_fewer_nodes (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  const RhyPen pen = { .width = 14, .cap = RHY_CAP_ROUND, .join = RHY_JOIN_ROUND, .miter_limit = 4, .matrix = matrices[3] };
  const RhyShape shape = { .path = curves (), .has_stroke = TRUE, .stroke = { 0, 0, 0, 1 }, .pen = pen };
  rhy_artwork_builder_add_shape (builder, &shape);
  g_autoptr (RhyArtwork) a = rhy_artwork_builder_end (builder);
  GError *error = NULL;
  g_autoptr (RhyArtwork) exact = rhy_artwork_outlined (a, 0.0, &error);
  assert_no_error (error);
  g_autoptr (RhyArtwork) light = rhy_artwork_outlined (a, 0.02, &error);
  assert_no_error (error);
  const RhyPath *path = rhy_artwork_get_shape (light, 0)->path;
  assert_true (2 * rhy_path_count_segments (path) < rhy_path_count_segments (rhy_artwork_get_shape (exact, 0)->path));

  cairo_t *theirs = paper ();
  cairo_t *ours = paper ();
  stroke_with_cairo (theirs, rhy_artwork_get_shape (a, 0)->path, &pen);
  replay (ours, path);
  cairo_fill (ours);
  guint inked;
  assert_int_equal (count_differing (theirs, ours, &inked), 0);
  assert_true (inked > 10000);
  cairo_destroy (theirs);
  cairo_destroy (ours);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_caps_joins_and_pens_match_cairo),
    cmocka_unit_test (test_mitre_limit_matches_cairo),
    cmocka_unit_test (test_dashes_match_cairo),
    cmocka_unit_test (test_dots_and_lines_have_their_area),
    cmocka_unit_test (test_long_paths_stay_whole),
    cmocka_unit_test (test_outlined_artwork_keeps_order_and_box),
    cmocka_unit_test (test_a_tolerance_buys_fewer_nodes),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
