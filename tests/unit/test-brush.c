/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <cairo.h>
#include <librsvg/rsvg.h>
#include <stdlib.h>
#include <string.h>

#include <rhyton/brush.h>
#include <rhyton/intake.h>

/* What comes in and is drawn back flat, against librsvg's own picture of the same
 * file: 200 x 100 pixels, two a unit, so that whatever librsvg rounds to pixels
 * (cells of patterns, pictures for masks) is whole already. */
static const int WIDTH = 200;
static const int HEIGHT = 100;

static cairo_surface_t *
reference (const char *svg)
{
  GError *error = NULL;
  RsvgHandle *handle = rsvg_handle_new_from_data ((const guint8 *) svg, strlen (svg), &error);
  assert_no_error (error);
  rsvg_handle_set_dpi (handle, 96.0);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  cairo_t *cr = cairo_create (surface);
  const RsvgRectangle viewport = { 0, 0, WIDTH, HEIGHT };
  assert_true (rsvg_handle_render_document (handle, cr, &viewport, NULL));
  cairo_destroy (cr);
  g_object_unref (handle);
  return surface;
}

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

/* How many of the pixels differ by more than @allowed of 255 in a channel. */
static guint
differing (cairo_surface_t *a,
           cairo_surface_t *b,
           int              allowed)
{
  guint n = 0;
  cairo_surface_flush (a);
  cairo_surface_flush (b);
  const guint32 *pa = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (a);
  const guint32 *pb = (const guint32 *) (gconstpointer) cairo_image_surface_get_data (b);
  for (int i = 0; i < WIDTH * HEIGHT; i++)
    {
      gboolean differs = FALSE;
      for (int shift = 0; shift < 32; shift += 8)
        differs = differs || abs ((int) (pa[i] >> shift & 255) - (int) (pb[i] >> shift & 255)) > allowed;
      n += differs;
    }
  return n;
}

static guint
inked (cairo_surface_t *a)
{
  cairo_surface_t *clear = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  const guint n = differing (a, clear, 16);
  cairo_surface_destroy (clear);
  return n;
}

#define STOPS "<stop stop-color='#c00'/><stop offset='.4' stop-color='#fc0' stop-opacity='.4'/><stop offset='1' stop-color='#00c'/>"
/* A chequer of 2 x 2 pixels, red and half clear green, PNG. */
#define CHEQUER "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAIAAAACCAYAAABytg0kAAAAFElEQVR4nGP4z8DwHwgbQFQDiAMAPlsG+6q0BZYAAAAASUVORK5CYII="

typedef struct { const char *name, *content; } Row;

static const Row rows[] = {
  { "linear gradient", "<linearGradient id='g'>" STOPS "</linearGradient><rect x='10' y='10' width='80' height='30' fill='url(#g)'/>" },
  { "linear gradient, turned, reflected, faint",
    "<linearGradient id='g' spreadMethod='reflect' x2='.3' gradientTransform='rotate(20)'>" STOPS "</linearGradient>"
    "<circle cx='50' cy='25' r='20' fill='url(#g)' fill-opacity='.6'/>" },
  { "radial gradient with a focus, repeated",
    "<radialGradient id='g' fx='.4' fy='.45' r='.3' spreadMethod='repeat'>" STOPS "</radialGradient><ellipse cx='50' cy='25' rx='45' ry='20' fill='url(#g)'/>" },
  { "radial gradient from a circle to a circle",
    "<radialGradient id='g' fx='.4' fr='.2' r='.5'>" STOPS "</radialGradient><ellipse cx='50' cy='25' rx='45' ry='20' fill='url(#g)'/>" },
  { "gradient on a stroke with a skewed pen",
    "<linearGradient id='g'>" STOPS "</linearGradient><g transform='translate(30,5) skewX(30) scale(1,.5)'>"
    "<path d='M5,10C60,0 0,70 60,70' fill='none' stroke='url(#g)' stroke-width='9' stroke-dasharray='20 5'/></g>" },
  { "gradients on fill and stroke of one path",
    "<linearGradient id='g'>" STOPS "</linearGradient><radialGradient id='h'>" STOPS "</radialGradient>"
    "<rect x='20' y='10' width='50' height='30' fill='url(#g)' stroke='url(#h)' stroke-width='6' transform='rotate(7)'/>" },
  { "picture, turned, faint, cut", "<clipPath id='c'><circle cx='50' cy='20' r='20'/></clipPath><g clip-path='url(#c)'>"
    "<image x='30' y='0' width='40' height='40' transform='rotate(5)' opacity='.7' xlink:href='" CHEQUER "'/></g>" },
  { "pattern of outlines", "<pattern id='p' width='8' height='8' patternUnits='userSpaceOnUse'><circle cx='4' cy='4' r='3' fill='#080'/></pattern>"
    "<path d='M10,10H90L50,45Z' fill='url(#p)'/>" },
  { "pattern on a stroke", "<pattern id='p' width='8' height='8' patternUnits='userSpaceOnUse'><rect width='4' height='8' fill='#080'/></pattern>"
    "<path d='M10,10H90L50,40Z' fill='none' stroke='url(#p)' stroke-width='8'/>" },
  { "mask", "<linearGradient id='g'><stop stop-color='#fff'/><stop offset='1' stop-color='#000'/></linearGradient>"
    "<mask id='m'><rect width='100' height='50' fill='url(#g)'/></mask><circle cx='50' cy='25' r='20' fill='#b30' mask='url(#m)'/>" },
  { "opacity of a group that overlaps", "<g opacity='.5'><rect x='10' y='10' width='40' height='30' fill='#c00'/>"
    "<rect x='30' y='15' width='40' height='30' fill='#00c'/></g>" },
  { "opacity of a group that does not", "<g opacity='.5'><rect x='10' y='10' width='20' height='30' fill='#c00'/>"
    "<rect x='40' y='15' width='40' height='30' fill='#00c'/></g>" },
  { "blend mode over ink and over nothing", "<rect x='10' y='5' width='40' height='30' fill='#fc0' fill-opacity='.8'/>"
    "<circle cx='50' cy='25' r='20' fill='#08c' fill-opacity='.7' style='mix-blend-mode:multiply'/><rect x='60' y='20' width='30' height='10' fill='#333'/>" },
  { "blend mode inside a faint group", "<rect width='100' height='20' fill='#9c6'/><g opacity='.6'><rect x='10' y='5' width='40' height='30' fill='#fc0'/>"
    "<circle cx='50' cy='25' r='20' fill='#08c' style='mix-blend-mode:difference'/></g>" },
  { "filter", "<filter id='f'><feGaussianBlur stdDeviation='2'/></filter><rect x='30' y='10' width='40' height='30' fill='#063' filter='url(#f)'/>" },
};

static void
test_drawn_back_as_librsvg_draws_it (void **state)
{
  const Row *row = *state;
  GError *error = NULL;
  g_autofree char *svg = g_strconcat ("<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
                                      "width='200' height='100' viewBox='0 0 100 50'>", row->content, "</svg>", NULL);
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
