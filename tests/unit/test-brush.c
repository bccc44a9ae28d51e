/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/brush.h>
#include <rhyton/intake.h>

#include "painted.h"

static cairo_surface_t *
drawn_back (RhyArtwork *artwork)
{
  double width_mm, height_mm;
  rhy_artwork_get_page (artwork, &width_mm, &height_mm);
  const double k = WIDTH / width_mm;
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  cairo_t *cr = cairo_create (surface);
  cairo_transform (cr, &(cairo_matrix_t) { k, 0, 0, -k, 0, HEIGHT });
  rhy_brush_artwork (cr, artwork, 0.0);
  assert_int_equal (cairo_status (cr), CAIRO_STATUS_SUCCESS);
  cairo_destroy (cr);
  return surface;
}

static guint
inked (cairo_surface_t *a)
{
  cairo_surface_t *clear = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  const guint n = differing (a, clear, 16);
  cairo_surface_destroy (clear);
  return n;
}

static void
test_drawn_back_as_librsvg_draws_it (void **state)
{
  const Row *row = *state;
  GError *error = NULL;
  g_autofree char *svg = svg_of (row->content);
  g_autoptr (GBytes) bytes = g_bytes_new (svg, strlen (svg));
  g_autoptr (RhyArtwork) artwork = rhy_intake_bytes (bytes, NULL, NULL, &error);
  assert_no_error (error);
  cairo_surface_t *wanted = reference (svg);
  cairo_surface_t *got = drawn_back (artwork);
  const guint n = differing (got, wanted, 32);
  if (n * 1000 > (guint) (WIDTH * HEIGHT))
    {
      print_error ("%s: %u pixels differ\n", row->name, n);
      const char *keep = g_getenv ("RHYTON_TEST_KEEP");
      if (keep != NULL)
        {
          g_autofree char *a = g_strconcat (keep, "/", row->name, "-wanted.png", NULL);
          g_autofree char *b = g_strconcat (keep, "/", row->name, "-got.png", NULL);
          cairo_surface_write_to_png (wanted, a);
          cairo_surface_write_to_png (got, b);
        }
    }
  assert_true (n * 1000 <= (guint) (WIDTH * HEIGHT));
  assert_true (inked (wanted) > 200);
  cairo_surface_destroy (wanted);
  cairo_surface_destroy (got);
}

static RhyPath *
square (double size)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, 0.0, 0.0);
  rhy_path_line_to (path, size, 0.0);
  rhy_path_line_to (path, size, size);
  rhy_path_line_to (path, 0.0, size);
  rhy_path_close (path);
  return path;
}

/* A paint flattened to a line would put cairo's context in error, and all that
 * comes after would be missing. */
static void
test_collapsed_paint_is_drawn_in_its_nearest_colour (void **state)
{
  (void) state;
  RhyStop *stops = g_new0 (RhyStop, 1);
  stops[0].colour.a = 1.0;
  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  const RhyShape shape = { .path = square (100.0), .has_fill = TRUE, .fill = { 1, 0, 0, 1 }, .pen.matrix = RHY_AFFINE_IDENTITY,
                           .fill_paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_LINEAR, .x1 = 1.0, .stops = stops, .n_stops = 1,
                                                                      .alpha = 1.0, .matrix = { 1, 1, 1, 1, 0, 0 } }) };
  rhy_artwork_builder_add_shape (builder, &shape);
  rhy_artwork_builder_set_size (builder, 100.0, 50.0, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyArtwork) artwork = rhy_artwork_builder_end (g_steal_pointer (&builder));
  cairo_surface_t *got = drawn_back (artwork);
  const guint32 *pixels = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (got);
  assert_int_equal (pixels[50 * WIDTH + 100], 0xffff0000u);
  cairo_surface_destroy (got);
}

/* By hand: half of each pixel's four channels. */
static void
test_raster_goes_by_its_pixels (void **state)
{
  (void) state;
  guint32 *pixels = g_new (guint32, 2);
  pixels[0] = 0xff0000ffu;      /* blue, then half clear green */
  pixels[1] = 0x80008000u;
  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  const RhyShape shape = { .path = square (100.0), .has_fill = TRUE, .fill = { 0, 0, 1, 1 }, .pen.matrix = RHY_AFFINE_IDENTITY,
                           .fill_paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .raster = rhy_raster_new (2, 1, pixels),
                                                                      .alpha = 0.5, .extend = RHY_EXTEND_NONE,
                                                                      .matrix = { 50, 0, 0, -100, 0, 50 } }) };
  rhy_artwork_builder_add_shape (builder, &shape);
  rhy_artwork_builder_set_size (builder, 100.0, 50.0, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyArtwork) artwork = rhy_artwork_builder_end (g_steal_pointer (&builder));
  cairo_surface_t *got = drawn_back (artwork);
  const guint32 *p = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (got);
  assert_int_equal (p[50 * WIDTH + 40], 0x80000080u);
  assert_int_equal (p[50 * WIDTH + 160], 0x40004000u);
  cairo_surface_destroy (got);
}

int
main (void)
{
  struct CMUnitTest tests[G_N_ELEMENTS (rows) + 2];
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    tests[i] = (struct CMUnitTest) { rows[i].name, test_drawn_back_as_librsvg_draws_it, NULL, NULL, (void *) &rows[i] };
  tests[G_N_ELEMENTS (rows)] = (struct CMUnitTest) cmocka_unit_test (test_collapsed_paint_is_drawn_in_its_nearest_colour);
  tests[G_N_ELEMENTS (rows) + 1] = (struct CMUnitTest) cmocka_unit_test (test_raster_goes_by_its_pixels);
  return cmocka_run_group_tests (tests, NULL, NULL);
}
