/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <cairo.h>

#include <rhyton/rhyton.h>

static RhyColour
rgb (guint hex)
{
  return (RhyColour) { (hex >> 16 & 255u) / 255.0, (hex >> 8 & 255u) / 255.0, (hex & 255u) / 255.0, 1.0 };
}

/* CIE 15:2004, 8.2.1: L* = 116 Y^(1/3) - 16, or 903.2963 Y below 0.008856, and IEC 61966-2-1's luminance,
 * worked out with a desk calculator: the primaries' Y are 0.2126, 0.7152 and 0.0722; the coded 119 is
 * ((119/255 + 0.055) / 1.055)^2.4 = 0.184475; 10 is 10/255/12.92 = 0.003035, the straight part. */
static void
test_lightness_of_known_colours (void **state)
{
  (void) state;
  static const struct { guint colour; double lightness; } cases[] = {
    { 0xff0000, 53.233 }, { 0x00ff00, 87.737 }, { 0x0000ff, 32.303 }, { 0x777777, 50.034 },
    { 0x0a0a0a, 2.7418 }, { 0xffffff, 100.0 }, { 0x000000, 0.0 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    assert_near (rhy_colour_lightness (rgb (cases[i].colour)), cases[i].lightness, 2e-3);
  /* Black at 136/255 over white is the coded 119, by arithmetic. */
  assert_near (rhy_colour_lightness ((RhyColour) { 0, 0, 0, 136.0 / 255.0 }), 50.034, 2e-3);
  /* Clear paint of any colour is the white under it. */
  assert_near (rhy_colour_lightness ((RhyColour) { 1, 0, 0, 0 }), 100.0, 1e-9);
}

/* W3C Compositing Level 1, 5.1: half of black over half of white, nothing under: alpha 3/4,
 * premultiplied 1/4, so a straight third. */
static void
test_paint_over_paint (void **state)
{
  (void) state;
  const RhyColour c = rhy_colour_over ((RhyColour) { 0, 0, 0, 0.5 }, (RhyColour) { 1, 1, 1, 0.5 });
  assert_near (c.a, 0.75, 1e-12);
  assert_near (c.r, 1.0 / 3.0, 1e-12);
}

/* Each shade's grey has the lightness that it stands for and is its own nearest shade; a hair to either
 * side of half way between two goes to the nearer. */
static void
test_shades_are_even_steps_of_lightness (void **state)
{
  (void) state;
  for (guint n = 1; n <= RHY_SHADES_MAX; n++)
    for (guint k = 0; k <= n; k++)
      {
        const RhyColour grey = rhy_shade_colour (k, n);
        assert_near (rhy_colour_lightness (grey), 100.0 * (1.0 - (double) k / n), 1e-6);
        assert_int_equal (rhy_colour_shade (grey, n), k);
        if (k == n)
          continue;
        const RhyColour half = rhy_shade_colour (2 * k + 1, 2 * n);
        const RhyColour lighter = { half.r + 1e-6, half.g + 1e-6, half.b + 1e-6, 1.0 };
        const RhyColour darker = { half.r - 1e-6, half.g - 1e-6, half.b - 1e-6, 1.0 };
        assert_int_equal (rhy_colour_shade (lighter, n), k);
        assert_int_equal (rhy_colour_shade (darker, n), k + 1);
      }
}

/* ---- artwork in shades ---- */

static RhyPath *
rectangle (double x0, double y0, double x1, double y1)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, x0, y0);
  rhy_path_line_to (path, x1, y0);
  rhy_path_line_to (path, x1, y1);
  rhy_path_line_to (path, x0, y1);
  rhy_path_close (path);
  return path;
}

static void
add (RhyArtworkBuilder *builder, RhyPath *path, RhyColour colour, RhyPaint *paint)
{
  const RhyShape shape = { .path = path, .has_fill = TRUE, .fill = colour, .fill_paint = paint, .pen.matrix = RHY_AFFINE_IDENTITY };
  rhy_artwork_builder_add_shape (builder, &shape);
}

static RhyArtwork *
in_shades (RhyArtworkBuilder *builder, guint n)
{
  GError *error = NULL;
  RhyResolveOptions options = RHY_RESOLVE_OPTIONS_INIT;
  options.shades = n;
  g_autoptr (RhyArtwork) artwork = rhy_artwork_builder_end (builder);
  RhyArtwork *result = rhy_artwork_resolved (artwork, &options, NULL, &error);
  assert_no_error (error);
  return result;
}

/* Which shade covers a point, even-odd by counting crossings of the chords; -1: more than one does. */
static int
shade_at (RhyArtwork *artwork, guint n, double x, double y)
{
  int found = 0;
  for (gsize s = 0; s < rhy_artwork_get_n_shapes (artwork); s++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, s);
      g_autoptr (RhyPath) flat = rhy_path_flatten (shape->path, 1e-4);
      RhyPathIter iter;
      RhySegment g;
      gboolean in = FALSE;
      rhy_path_iter_init (&iter, flat);
      while (rhy_path_iter_next (&iter, &g))
        if ((g.p[0].y > y) != (g.p[1].y > y) && x < (g.p[1].x - g.p[0].x) * (y - g.p[0].y) / (g.p[1].y - g.p[0].y) + g.p[0].x)
          in = !in;
      if (in)
        found = found == 0 ? (int) rhy_colour_shade (shape->fill, n) : -1;
    }
  return found;
}

/* L* of the colours, as above: red 53 and green 88 are shades 2 and 0 of 4; blue 32 is 3. */
static void
test_what_lies_above_is_what_is_burnt (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (0, 0, 30, 30), rgb (0x0000ff), NULL);
  add (builder, rectangle (10, 10, 40, 20), rgb (0xff0000), NULL);
  add (builder, rectangle (15, 0, 20, 40), rgb (0x00ff00), NULL);
  g_autoptr (RhyArtwork) a = in_shades (builder, 4);
  assert_int_equal (shade_at (a, 4, 5, 5), 3);
  assert_int_equal (shade_at (a, 4, 12, 15), 2);
  assert_int_equal (shade_at (a, 4, 35, 15), 2);
  assert_int_equal (shade_at (a, 4, 17, 15), 0);
  assert_int_equal (shade_at (a, 4, 17, 35), 0);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 2);
  /* The lightest first. */
  assert_int_equal (rhy_colour_shade (rhy_artwork_get_shape (a, 0)->fill, 4), 2);
}

/* Half-clear black over white is the coded 127.5, Y 0.2140, L* 53.4: shade 2 of 4; over blue (0, 0, 127.5),
 * Y 0.0722 * 0.2140 = 0.01545, L* 12.9: 87.1 / 25 = 3.48: shade 3. Two halves over each other are the coded
 * 63.75, Y 0.0508, L* 27.0: 2.92: shade 3. */
static void
test_what_shines_through_counts (void **state)
{
  (void) state;
  const RhyColour half = { 0, 0, 0, 0.5 };
  for (int many = 0; many < 2; many++)
    {
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      add (builder, rectangle (0, 0, 10, 30), rgb (0x0000ff), NULL);
      add (builder, rectangle (0, 10, 30, 20), half, NULL);
      add (builder, rectangle (20, 0, 30, 30), half, NULL);
      /* Enough of them to be laid over each other by halves. */
      for (int i = 0; many && i < 40; i++)
        add (builder, rectangle (12 + 0.1 * i, 8, 12.1 + 0.1 * i, 12), rgb (0xffffff), NULL);
      g_autoptr (RhyArtwork) a = in_shades (builder, 4);
      assert_int_equal (shade_at (a, 4, 5, 5), 3);
      assert_int_equal (shade_at (a, 4, 5, 15), 3);
      assert_int_equal (shade_at (a, 4, 15, 15), 2);
      assert_int_equal (shade_at (a, 4, 25, 15), 3);
      assert_int_equal (shade_at (a, 4, 25, 25), 2);
      assert_int_equal (shade_at (a, 4, 15, 25), 0);
      assert_int_equal (shade_at (a, 4, 14.05, 11), many ? 0 : 2);
      assert_int_equal (shade_at (a, 4, 14.05, 13), 2);
    }
}

static RhyPaint *
gradient (RhyPaintKind kind, double x0, double y0, double r0, double x1, double y1, double r1, RhyExtend extend)
{
  RhyStop *stops = g_new (RhyStop, 2);
  stops[0] = (RhyStop) { 0.0, { 0, 0, 0, 1 } };
  stops[1] = (RhyStop) { 1.0, { 1, 1, 1, 1 } };
  const RhyPaint paint = { kind, extend, RHY_AFFINE_IDENTITY, x0, y0, r0, x1, y1, r1, stops, 2, NULL, FALSE, 1.0 };
  return rhy_paint_new (&paint);
}

/* Black to white: shade k of n ends where the coded grey's L* is 100 (1 - (k - 1/2) / n). For n = 4 the
 * edges are L* 12.5, 37.5, 62.5, 87.5; Y = ((L* + 16) / 116)^3 = 0.014831, 0.098104, 0.309910, 0.710309; coded
 * 1.055 Y^(1/2.4) - 0.055 = 0.127489, 0.345980, 0.592541, 0.859862 (worked out in Python). */
static const double edges[4] = { 0.127489, 0.345980, 0.592541, 0.859862 };

static void
test_a_gradient_becomes_bands (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (-10, 0, 110, 20), rgb (0x777777), gradient (RHY_PAINT_LINEAR, 0, 0, 0, 100, 0, 0, RHY_EXTEND_PAD));
  g_autoptr (RhyArtwork) a = in_shades (builder, 4);
  assert_int_equal (shade_at (a, 4, -5, 10), 4);
  assert_int_equal (shade_at (a, 4, 105, 10), 0);
  for (int i = 0; i < 4; i++)
    {
      assert_int_equal (shade_at (a, 4, 100.0 * edges[i] - 0.02, 10), 4 - i);
      assert_int_equal (shade_at (a, 4, 100.0 * edges[i] + 0.02, 10), 3 - i);
      assert_int_equal (shade_at (a, 4, 100.0 * edges[i] - 0.5, 21), 0);
    }
}

/* The same from a circle of 10 to one of 50 about a point aside: along the line through both middles
 * the circle at t ends at x0 + t dx + r. */
static void
test_circles_become_rings (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (-60, -60, 80, 60), rgb (0x777777), gradient (RHY_PAINT_RADIAL, 0, 0, 10, 20, 0, 50, RHY_EXTEND_PAD));
  g_autoptr (RhyArtwork) a = in_shades (builder, 4);
  assert_int_equal (shade_at (a, 4, 0, 0), 4);
  assert_int_equal (shade_at (a, 4, 75, 0), 0);
  for (int i = 0; i < 4; i++)
    for (int side = -1; side <= 1; side += 2)
      {
        const double x = 20.0 * edges[i] + side * (10.0 + 40.0 * edges[i]);
        assert_int_equal (shade_at (a, 4, x - side * 0.05, 1e-3), 4 - i);
        assert_int_equal (shade_at (a, 4, x + side * 0.05, 1e-3), 3 - i);
      }
}

/* What has no bands counts as its mean, and a note says so. */
static void
test_a_gradient_that_repeats_is_its_mean (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (0, 0, 100, 20), rgb (0x777777), gradient (RHY_PAINT_LINEAR, 0, 0, 0, 10, 0, 0, RHY_EXTEND_REPEAT));
  g_autoptr (RhyArtwork) a = in_shades (builder, 4);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  assert_int_equal (shade_at (a, 4, 1, 10), 2);
  gboolean told = FALSE;
  for (const char *const *note = rhy_artwork_get_notes (a); *note != NULL; note++)
    told = told || strstr (*note, "1 gradient is taken by its mean colour") != NULL;
  assert_true (told);
}

/* Random heaps against cairo's own painting: every pixel whose neighbours agree must be of the shade that
 * its painted grey is nearest to (cairo rounds to 1/255: greys that near an edge of two shades are passed over). */
static void
test_random_heaps_match_a_painter (void **state)
{
  (void) state;
  enum { SIZE = 60, N = 5 };
  for (guint seed = 1; seed <= 6; seed++)
    {
      g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, SIZE, SIZE);
      cairo_t *cr = cairo_create (surface);
      cairo_set_antialias (cr, CAIRO_ANTIALIAS_NONE);
      cairo_set_source_rgb (cr, 1, 1, 1);
      cairo_paint (cr);
      const int count = seed % 2 == 0 ? 12 : 30;
      for (int i = 0; i < count; i++)
        {
          RhyPath *path = rhy_path_new ();
          const RhyColour c = { g_rand_double (rand), g_rand_double (rand), g_rand_double (rand),
                                g_rand_boolean (rand) ? 1.0 : g_rand_double (rand) };
          for (int k = 0; k < 3; k++)
            {
              const double x = g_rand_double_range (rand, 0, SIZE), y = g_rand_double_range (rand, 0, SIZE);
              (k == 0 ? rhy_path_move_to : rhy_path_line_to) (path, x, y);
              (k == 0 ? cairo_move_to : cairo_line_to) (cr, x, y);
            }
          rhy_path_close (path);
          cairo_close_path (cr);
          cairo_set_source_rgba (cr, c.r, c.g, c.b, c.a);
          cairo_fill (cr);
          add (builder, path, c, NULL);
        }
      cairo_destroy (cr);
      cairo_surface_flush (surface);
      g_autoptr (RhyArtwork) a = in_shades (builder, N);
      const guint32 *pixels = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (surface);
      guint asked = 0;
      for (int y = 1; y < SIZE - 1; y += 3)
        for (int x = 1; x < SIZE - 1; x += 3)
          {
            const guint32 p = pixels[y * SIZE + x] & 0xffffffu;
            gboolean plain = TRUE;
            for (int k = 0; k < 9; k++)
              plain = plain && (pixels[(y + k / 3 - 1) * SIZE + x + k % 3 - 1] & 0xffffffu) == p;
            const double lightness = rhy_colour_lightness (rgb (p));
            const double at = N * (1.0 - lightness / 100.0);
            if (!plain || fabs (fabs (at - floor (at)) - 0.5) < 0.15)
              continue;
            asked++;
            assert_int_equal (shade_at (a, N, x + 0.5, y + 0.5), rhy_colour_shade (rgb (p), N));
          }
      assert_true (asked > 40);
      cairo_surface_destroy (surface);
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_lightness_of_known_colours),
    cmocka_unit_test (test_paint_over_paint),
    cmocka_unit_test (test_shades_are_even_steps_of_lightness),
    cmocka_unit_test (test_what_lies_above_is_what_is_burnt),
    cmocka_unit_test (test_what_shines_through_counts),
    cmocka_unit_test (test_a_gradient_becomes_bands),
    cmocka_unit_test (test_circles_become_rings),
    cmocka_unit_test (test_a_gradient_that_repeats_is_its_mean),
    cmocka_unit_test (test_random_heaps_match_a_painter),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
