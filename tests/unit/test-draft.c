/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/intake.h>

#include "../../lib/show/draft.h"
#include "../../lib/show/png.h"
#include "painted.h"

/* Sheets with paints: what is written is, flat, what librsvg draws of the file that
 * came in. */

static RhyDraft *
sheet_of (const char *svg)
{
  GError *error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new (svg, strlen (svg));
  g_autoptr (RhyArtwork) artwork = rhy_intake_bytes (bytes, NULL, NULL, &error);
  assert_no_error (error);
  double width, height;
  rhy_artwork_get_page (artwork, &width, &height);
  g_autoptr (RhyArtwork) down = rhy_artwork_transformed (artwork, (RhyAffine) { 1, 0, 0, -1, 0, height });
  RhyDraft *draft = rhy_draft_new ((RhyBounds) { 0, 0, width, height }, "painted", "a test");
  rhy_draft_add_artwork (draft, down);
  return draft;
}

static void
check_agrees (const char      *name,
              const char      *format,
              int              allowed,
              cairo_surface_t *got,
              cairo_surface_t *wanted)
{
  const guint n = differing (got, wanted, allowed);
  if (n * 1000 > (guint) (WIDTH * HEIGHT))
    print_error ("%s, %s: %u pixels differ\n", name, format, n);
  assert_true (n * 1000 <= (guint) (WIDTH * HEIGHT));
}

static void
test_svg (void **state)
{
  const Row *row = *state;
  GError *error = NULL;
  g_autofree char *svg = svg_of (row->content);
  g_autoptr (RhyDraft) draft = sheet_of (svg);
  g_autoptr (GBytes) bytes = rhy_draft_write (draft, RHY_FORMAT_SVG, 0.0, &error);
  assert_no_error (error);
  gsize size;
  const char *data = g_bytes_get_data (bytes, &size);
  g_autofree char *text = g_strndup (data, size);
  cairo_surface_t *wanted = reference (svg);
  cairo_surface_t *got = reference (text);
  /* librsvg rounds cells of patterns to whole pixels: edges may be off by half of one. */
  const gboolean has_cells = strstr (text, "<pattern") != NULL;
  check_agrees (row->name, "SVG", has_cells ? 128 : 32, got, wanted);
  cairo_surface_destroy (wanted);
  cairo_surface_destroy (got);
}

typedef struct { const guint8 *data; gsize left; } Rest;

static cairo_status_t
read_rest (void         *closure,
           unsigned char *data,
           unsigned int   length)
{
  Rest *rest = closure;
  if (length > rest->left)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (data, rest->data, length);
  rest->data += length;
  rest->left -= length;
  return CAIRO_STATUS_SUCCESS;
}

static void
test_png (void **state)
{
  const Row *row = *state;
  GError *error = NULL;
  g_autofree char *svg = svg_of (row->content);
  g_autoptr (RhyDraft) draft = sheet_of (svg);
  g_autoptr (GBytes) bytes = rhy_draft_write (draft, RHY_FORMAT_PNG, 96.0, &error);
  assert_no_error (error);
  Rest rest;
  rest.data = g_bytes_get_data (bytes, &rest.left);
  cairo_surface_t *got = cairo_image_surface_create_from_png_stream (read_rest, &rest);
  assert_int_equal (cairo_image_surface_get_width (got), WIDTH);
  assert_int_equal (cairo_image_surface_get_height (got), HEIGHT);

  /* A drawing's PNG stands on white. */
  cairo_surface_t *wanted = cairo_image_surface_create (CAIRO_FORMAT_RGB24, WIDTH, HEIGHT);
  cairo_surface_t *ink = reference (svg);
  cairo_t *cr = cairo_create (wanted);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  cairo_paint (cr);
  cairo_set_source_surface (cr, ink, 0.0, 0.0);
  cairo_paint (cr);
  cairo_destroy (cr);
  check_agrees (row->name, "PNG", 32, got, wanted);
  cairo_surface_destroy (ink);
  cairo_surface_destroy (wanted);
  cairo_surface_destroy (got);
}

/* What is a picture once is an image, which more programs read than patterns. */
static void
test_picture_is_an_image_in_its_clip (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autofree char *svg = svg_of ("<image x='30' y='0' width='40' height='40' opacity='.7' xlink:href='" CHEQUER "'/>");
  g_autoptr (RhyDraft) draft = sheet_of (svg);
  g_autoptr (GBytes) bytes = rhy_draft_write (draft, RHY_FORMAT_SVG, 0.0, &error);
  assert_no_error (error);
  g_autofree char *text = g_strndup (g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes));
  assert_null (strstr (text, "<pattern"));
  assert_non_null (strstr (text, "<image width=\"2\" height=\"2\""));
  assert_non_null (strstr (text, "data:image/png;base64,"));
}

typedef struct { const GByteArray *png; gsize at; } Reading;

static cairo_status_t
read_on (void          *closure,
         unsigned char *data,
         unsigned int   length)
{
  Reading *r = closure;
  if (r->png->len - r->at < length)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (data, r->png->data + r->at, length);
  r->at += length;
  return CAIRO_STATUS_SUCCESS;
}

/* Pictures of each kind, of odd widths, read back by libpng through cairo: opaque ones to the bit, clear ones
 * within the one level that dividing by alpha and back costs. Bit depth and colour type are bytes 24 and
 * 25 of the file (ISO/IEC 15948, 11.2.2). */
static void
test_pngs_hold_what_is_there_and_no_more (void **state)
{
  (void) state;
  static const struct { guint8 depth, type; gboolean grey, opaque, dots; } kinds[] = {
    { 1, 0, TRUE, TRUE, TRUE }, { 8, 0, TRUE, TRUE, FALSE }, { 8, 4, TRUE, FALSE, FALSE },
    { 8, 2, FALSE, TRUE, FALSE }, { 8, 6, FALSE, FALSE, FALSE },
  };
  for (gsize k = 0; k < G_N_ELEMENTS (kinds); k++)
    for (guint width = 1; width < 300; width = 3 * width + 2)
      {
        const guint height = 37;
        g_autoptr (GRand) rand = g_rand_new_with_seed ((guint32) (k + 10 * width));
        guint32 *pixels = g_new (guint32, width * height);
        for (guint i = 0; i < width * height; i++)
          {
            const guint32 a = kinds[k].opaque ? 255u : (guint32) g_rand_int_range (rand, 0, 256);
            guint32 c[3];
            for (int j = 0; j < 3; j++)
              c[j] = kinds[k].grey && j > 0 ? c[0] : kinds[k].dots ? 255u * (guint32) g_rand_boolean (rand)
                                                                   : (guint32) g_rand_int_range (rand, 0, (gint32) a + 1);
            pixels[i] = a << 24 | c[0] << 16 | c[1] << 8 | c[2];
          }
        g_autoptr (RhyRaster) raster = rhy_raster_new (width, height, pixels);
        g_autoptr (GByteArray) png = rhy_png_of (raster);
        assert_true (png->len > 33);
        if (width > 1)
          {
            assert_int_equal (png->data[24], kinds[k].depth);
            assert_int_equal (png->data[25], kinds[k].type);
          }
        Reading reading = { png, 0 };
        cairo_surface_t *surface = cairo_image_surface_create_from_png_stream (read_on, &reading);
        assert_int_equal (cairo_surface_status (surface), CAIRO_STATUS_SUCCESS);
        assert_int_equal (cairo_image_surface_get_width (surface), width);
        assert_int_equal (cairo_image_surface_get_height (surface), height);
        const guint8 *data = cairo_image_surface_get_data (surface);
        const int stride = cairo_image_surface_get_stride (surface);
        const gboolean has_alpha = cairo_image_surface_get_format (surface) == CAIRO_FORMAT_ARGB32;
        for (guint y = 0; y < height; y++)
          for (guint x = 0; x < width; x++)
            {
              guint32 got;
              memcpy (&got, data + (gsize) stride * y + 4 * x, 4);
              for (int shift = 0; shift < (has_alpha ? 32 : 24); shift += 8)
                assert_true (ABS ((int) (got >> shift & 255u) - (int) (pixels[y * width + x] >> shift & 255u)) <= (kinds[k].opaque ? 0 : 1));
            }
        cairo_surface_destroy (surface);
      }
}

int
main (void)
{
  struct CMUnitTest tests[2 * G_N_ELEMENTS (rows) + 2];
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      tests[2 * i] = (struct CMUnitTest) { rows[i].name, test_svg, NULL, NULL, (void *) &rows[i] };
      tests[2 * i + 1] = (struct CMUnitTest) { rows[i].name, test_png, NULL, NULL, (void *) &rows[i] };
    }
  tests[2 * G_N_ELEMENTS (rows)] = (struct CMUnitTest) cmocka_unit_test (test_picture_is_an_image_in_its_clip);
  tests[2 * G_N_ELEMENTS (rows) + 1] = (struct CMUnitTest) cmocka_unit_test (test_pngs_hold_what_is_there_and_no_more);
  return cmocka_run_group_tests (tests, NULL, NULL);
}
