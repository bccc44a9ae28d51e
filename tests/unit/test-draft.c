/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/intake.h>

#include "../../lib/show/draft.h"
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

int
main (void)
{
  struct CMUnitTest tests[2 * G_N_ELEMENTS (rows) + 1];
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      tests[2 * i] = (struct CMUnitTest) { rows[i].name, test_svg, NULL, NULL, (void *) &rows[i] };
      tests[2 * i + 1] = (struct CMUnitTest) { rows[i].name, test_png, NULL, NULL, (void *) &rows[i] };
    }
  tests[2 * G_N_ELEMENTS (rows)] = (struct CMUnitTest) cmocka_unit_test (test_picture_is_an_image_in_its_clip);
  return cmocka_run_group_tests (tests, NULL, NULL);
}
