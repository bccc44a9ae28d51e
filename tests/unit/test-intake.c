/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/intake.h>

/* cairo rounds to 1/256 of a unit and the page is at least 32768 units long:
 * 1.2e-7 of the page; twice that, for two roundings. */
static const double ROUNDING = 2.4e-7;

static RhyArtwork *
intake (const char             *svg,
        const RhyIntakeOptions *options,
        GError                **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new (svg, strlen (svg));
  return rhy_intake_bytes (bytes, options, NULL, error);
}

#define SVG(attributes, content) \
  "<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' " attributes ">" content "</svg>"

/* Page of 100 x 50 mm, a unit a mm: positions by hand, v counted up from the
 * lower edge. */
static void
test_units_and_axes (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (SVG ("width='100mm' height='50mm' viewBox='0 0 100 50'",
                                          "<rect x='10' y='5' width='30' height='20' fill='#ff8000'/>"), NULL, &error);
  assert_no_error (error);
  double width, height;
  rhy_artwork_get_page (a, &width, &height);
  assert_near (width, 100, 1e-9);
  assert_near (height, 50, 1e-9);
  assert_int_equal (rhy_artwork_get_size_source (a), RHY_SIZE_PHYSICAL);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  assert_int_equal (rhy_artwork_get_n_clips (a), 0);
  const RhyBounds b = rhy_artwork_get_ink_box (a);
  assert_near (b.min_x, 10, 100 * ROUNDING);
  assert_near (b.max_x, 40, 100 * ROUNDING);
  assert_near (b.max_y, 45, 100 * ROUNDING);
  assert_near (b.min_y, 25, 100 * ROUNDING);
  const RhyShape *shape = rhy_artwork_get_shape (a, 0);
  assert_true (shape->has_fill && !shape->has_stroke);
  assert_near (shape->fill.r, 1.0, 1e-6);
  assert_near (shape->fill.g, 128.0 / 255.0, 1e-6);
  assert_near (shape->fill.b, 0.0, 1e-6);
}

/* CSS 2.2, section 4.3.2: 1 in = 25.4 mm = 96 px = 72 pt = 6 pc. */
static void
test_sizes_as_the_standard_says (void **state)
{
  (void) state;
  const struct { const char *svg; double width, height; RhySizeSource source; } rows[] = {
    { SVG ("width='96' height='192'", "<path d='M0,0H9V9Z'/>"), 25.4, 50.8, RHY_SIZE_PHYSICAL },
    { SVG ("width='72pt' height='6pc'", "<path d='M0,0H9V9Z'/>"), 25.4, 25.4, RHY_SIZE_PHYSICAL },
    { SVG ("width='2in' height='1cm'", "<path d='M0,0H9V9Z'/>"), 50.8, 10, RHY_SIZE_PHYSICAL },
    { SVG ("viewBox='-10 -20 96 48'", "<path d='M0,0H9V9Z'/>"), 25.4, 12.7, RHY_SIZE_VIEWBOX },
    { SVG ("width='50mm' viewBox='0 0 20 10'", "<path d='M0,0H9V9Z'/>"), 50, 25, RHY_SIZE_PHYSICAL },
    { SVG ("width='100%' height='100%' viewBox='0 0 96 96'", "<path d='M0,0H9V9Z'/>"), 25.4, 25.4, RHY_SIZE_VIEWBOX },
    { SVG ("", "<path d='M0,0H96V48H0Z'/>"), 25.4, 12.7, RHY_SIZE_INK },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      GError *error = NULL;
      g_autoptr (RhyArtwork) a = intake (rows[i].svg, NULL, &error);
      assert_no_error (error);
      double width, height;
      rhy_artwork_get_page (a, &width, &height);
      assert_near (width, rows[i].width, 1e-6);
      assert_near (height, rows[i].height, 1e-6);
      assert_int_equal (rhy_artwork_get_size_source (a), rows[i].source);
    }
}

static void
test_pen_clip_opacity_and_use (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (
    SVG ("width='100mm' height='100mm' viewBox='0 0 100 100'",
         "<defs><path id='p' d='M0,0 C0,10 10,10 10,0 Z'/><clipPath id='c'><circle cx='50' cy='50' r='20'/></clipPath></defs>"
         "<style>.s{stroke:#00f;stroke-width:2;fill:none;stroke-linecap:round;stroke-linejoin:bevel;stroke-dasharray:3 1}</style>"
         "<g transform='scale(2,1)'><path class='s' d='M5,20 L25,20'/></g>"
         "<g clip-path='url(#c)'><rect x='0' y='0' width='60' height='60' fill-rule='evenodd'/></g>"
         "<g opacity='.5'><use xlink:href='#p' x='70' y='70' fill-opacity='.5'/><use xlink:href='#p' x='85' y='85'/></g>"),
    NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 4);
  assert_int_equal (rhy_artwork_get_n_pictures (a), 0);

  const RhyShape *line = rhy_artwork_get_shape (a, 0);
  assert_true (line->has_stroke && !line->has_fill);
  assert_int_equal (line->pen.cap, RHY_CAP_ROUND);
  assert_int_equal (line->pen.join, RHY_JOIN_BEVEL);
  assert_int_equal (line->pen.n_dashes, 2);
  /* Twice as wide as it is high: 2 across and 1 up, times half the width. */
  const RhyAffine m = line->pen.matrix;
  assert_near (0.5 * line->pen.width * hypot (m.xx, m.xy), 2.0, 1e-5);
  assert_near (0.5 * line->pen.width * hypot (m.yx, m.yy), 1.0, 1e-5);
  assert_near (line->pen.dashes[0] / line->pen.width, 1.5, 1e-6);
  assert_near (line->path->points[0].x, 10, 100 * ROUNDING);
  assert_near (line->path->points[1].x, 50, 100 * ROUNDING);
  assert_near (line->path->points[0].y, 80, 100 * ROUNDING);

  const RhyShape *clipped = rhy_artwork_get_shape (a, 1);
  assert_int_equal (clipped->n_clips, 1);
  const RhyBounds c = rhy_path_get_bounds (rhy_artwork_get_clip (a, clipped->clips[0])->path);
  assert_near (c.min_x, 30, 100 * ROUNDING);
  assert_near (c.max_y, 70, 100 * ROUNDING);

  assert_near (rhy_artwork_get_shape (a, 2)->fill.a, 0.25, 0.003);
  assert_near (rhy_artwork_get_shape (a, 3)->fill.a, 0.5, 0.003);
  assert_near (rhy_artwork_get_shape (a, 3)->path->points[0].x, 85, 100 * ROUNDING);
}

static void
test_lettering_comes_as_outlines (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (SVG ("width='100mm' height='50mm' viewBox='0 0 100 50'",
                                          "<text x='10' y='40' font-size='30'>oO</text>"), NULL, &error);
  assert_no_error (error);
  assert_true (rhy_artwork_get_n_shapes (a) >= 1);
  assert_int_equal (rhy_artwork_get_n_pictures (a), 0);
  const RhyBounds b = rhy_artwork_get_ink_box (a);
  /* A capital stands between half and the whole of the font's size high. */
  assert_true (b.max_y - b.min_y > 15 && b.max_y - b.min_y < 31);
  assert_true (b.min_y > 8 && b.min_y < 11);    /* on a baseline 10 mm up */
}

static void
test_what_has_no_outline_is_reported (void **state)
{
  (void) state;
  /* A red dot, 1 x 1 pixel, PNG. */
#define DOT "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR4nGP4z8DwHwAFAAH/iZk9HQAAAABJRU5ErkJggg=="
  const struct { RhyPictureKind kind; const char *content; gboolean keeps_outline; } rows[] = {
    { RHY_PICTURE_GRADIENT, "<linearGradient id='g'><stop stop-color='#000'/><stop offset='1' stop-color='#fff'/></linearGradient>"
                            "<rect x='10' y='10' width='20' height='20' fill='url(#g)'/>", TRUE },
    { RHY_PICTURE_IMAGE, "<image x='10' y='10' width='20' height='20' xlink:href='" DOT "'/>", FALSE },
    { RHY_PICTURE_FILTER, "<filter id='f'><feGaussianBlur stdDeviation='.5'/></filter>"
                          "<rect x='12' y='12' width='16' height='16' filter='url(#f)'/>", FALSE },
    { RHY_PICTURE_MASK, "<mask id='m'><circle cx='20' cy='20' r='10' fill='#fff'/></mask>"
                        "<rect x='10' y='10' width='20' height='20' mask='url(#m)'/>", TRUE },
    { RHY_PICTURE_PATTERN, "<pattern id='p' width='4' height='4' patternUnits='userSpaceOnUse'><circle cx='2' cy='2' r='1' fill='#0f0'/></pattern>"
                           "<rect x='10' y='10' width='20' height='20' fill='url(#p)'/>", TRUE },
    { RHY_PICTURE_BLEND, "<rect x='10' y='10' width='20' height='20' fill='#0f0' style='mix-blend-mode:multiply'/>", TRUE },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      GError *error = NULL;
      g_autofree char *svg = g_strconcat ("<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' "
                                          "width='100mm' height='50mm' viewBox='0 0 100 50'>", rows[i].content, "</svg>", NULL);
      g_autoptr (RhyArtwork) a = intake (svg, NULL, &error);
      assert_no_error (error);
      assert_int_equal (rhy_artwork_get_n_pictures (a), 1);
      const RhyPicture *picture = rhy_artwork_get_picture (a, 0);
      assert_int_equal (picture->kind, rows[i].kind);
      /* A blur of deviation 0.5 is seen at most 3 deviations out of a square of 16. */
      const double slack = rows[i].kind == RHY_PICTURE_FILTER ? 1.9 : 1e-4;
      assert_near (picture->box.min_x, 10, slack);
      assert_near (picture->box.max_x, 30, slack);
      assert_near (picture->box.max_y, 40, slack);
      assert_int_equal (rhy_artwork_get_n_shapes (a), rows[i].keeps_outline ? 1 : 0);
    }
}

/* Half black, half white by length: the mean is mid grey. */
static void
test_gradient_keeps_the_outline_in_its_mean_colour (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (
    SVG ("width='100' height='100'", "<radialGradient id='g'><stop stop-color='#000'/><stop offset='1' stop-color='#fff'/></radialGradient>"
                                     "<circle cx='50' cy='50' r='40' fill='url(#g)' fill-opacity='.5'/>"), NULL, &error);
  assert_no_error (error);
  const RhyShape *shape = rhy_artwork_get_shape (a, 0);
  assert_near (shape->fill.r, 0.5, 0.01);
  assert_near (shape->fill.a, 0.5, 0.01);
}

static void
test_ink_past_the_page_is_cut_off_there (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (SVG ("width='100mm' height='50mm' viewBox='0 0 100 50'",
                                          "<circle cx='100' cy='25' r='20'/>"), NULL, &error);
  assert_no_error (error);
  const RhyBounds b = rhy_artwork_get_ink_box (a);
  assert_near (b.max_x, 100, 1e-4);
  assert_near (b.min_x, 80, 1e-4);
  assert_int_equal (rhy_artwork_get_shape (a, 0)->n_clips, 1);
}

static void
test_one_layer_alone (void **state)
{
  (void) state;
  GError *error = NULL;
  const char *svg = SVG ("width='100mm' height='50mm' viewBox='0 0 100 50'",
                         "<g id='mark'><path d='M0,0H5V5Z'/></g><g id='ink' transform='translate(50,0)'><rect width='10' height='10'/></g>");
  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.layer = "ink";
  g_autoptr (RhyArtwork) a = intake (svg, &options, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  assert_near (rhy_artwork_get_ink_box (a).min_x, 50, 1e-4);

  options.layer = "absent";
  assert_null (intake (svg, &options, &error));
  assert_non_null (strstr (error->message, "absent"));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
}

static gboolean
has_note (RhyArtwork *artwork,
          const char *about)
{
  for (const char *const *note = rhy_artwork_get_notes (artwork); *note != NULL; note++)
    if (strstr (*note, about) != NULL)
      return TRUE;
  return FALSE;
}

static void
test_silent_losses_are_named (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (
    SVG ("width='100' height='100'",
         "<path id='p' d='M0,0H50V50Z'/><text><textPath xlink:href='#p'>round</textPath></text>"
         "<image xlink:href='photos/eight.png' width='9' height='9'/><foreignObject width='9' height='9'/>"), NULL, &error);
  assert_no_error (error);
  assert_true (has_note (a, "along a path"));
  assert_true (has_note (a, "eight.png"));
  assert_true (has_note (a, "foreign object"));
  g_autoptr (RhyArtwork) plain = intake (SVG ("width='100' height='100'", "<path d='M0,0H50V50Z'/>"), NULL, &error);
  assert_no_error (error);
  assert_null (rhy_artwork_get_notes (plain)[0]);
}

static void
test_bad_input_gets_one_clear_line (void **state)
{
  (void) state;
  const struct { const char *bytes, *says; } rows[] = {
    { "", "empty" },
    { "  \n ", "blanks" },
    { "hello", "not XML" },
    { "\x89PNG\r\n\x1a\n", "PNG" },
    { "<html><body/></html>", "not a readable SVG" },
    { "<svg xmlns='http://www.w3.org/2000/svg'><g>", "not a readable SVG" },
    { SVG ("width='10' height='10'", ""), "no ink" },
    { SVG ("width='10' height='10'", "<path d='M0,0H5V5Z' fill='none'/>"), "no ink" },
    { SVG ("width='0' height='10'", "<path d='M0,0H5V5Z'/>"), "width is 0" },
    { "\x1f\x8b\x08 broken", "gzip" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      GError *error = NULL;
      assert_null (intake (rows[i].bytes, NULL, &error));
      assert_non_null (error);
      if (strstr (error->message, rows[i].says) == NULL)
        print_error ("row %zu: %s\n", i, error->message);
      assert_non_null (strstr (error->message, rows[i].says));
      assert_null (strchr (error->message, '\n'));
      assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
    }
  GError *error = NULL;
  assert_null (rhy_intake_file ("/nonexistent/x.svg", NULL, NULL, &error));
  assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND);
  assert_null (rhy_intake_file ("/", NULL, NULL, &error));
  assert_error (error, G_IO_ERROR, G_IO_ERROR_NOT_REGULAR_FILE);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_units_and_axes),
    cmocka_unit_test (test_sizes_as_the_standard_says),
    cmocka_unit_test (test_pen_clip_opacity_and_use),
    cmocka_unit_test (test_lettering_comes_as_outlines),
    cmocka_unit_test (test_what_has_no_outline_is_reported),
    cmocka_unit_test (test_gradient_keeps_the_outline_in_its_mean_colour),
    cmocka_unit_test (test_ink_past_the_page_is_cut_off_there),
    cmocka_unit_test (test_one_layer_alone),
    cmocka_unit_test (test_silent_losses_are_named),
    cmocka_unit_test (test_bad_input_gets_one_clear_line),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
