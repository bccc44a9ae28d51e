/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <stdio.h>
#include <string.h>

#include <glib/gstdio.h>

#include <rhyton/intake.h>

/* cairo rounds to 1/256 of a unit and the ink is at least 8192 units long:
 * 4.8e-7 of the ink; twice that, for two roundings. */
static const double ROUNDING = 9.6e-7;

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
  const struct { RhyPictureKind kind; const char *content; } rows[] = {
    { RHY_PICTURE_GRADIENT, "<linearGradient id='g'><stop stop-color='#000'/><stop offset='1' stop-color='#fff'/></linearGradient>"
                            "<rect x='10' y='10' width='20' height='20' fill='url(#g)'/>" },
    { RHY_PICTURE_IMAGE, "<image x='10' y='10' width='20' height='20' xlink:href='" DOT "'/>" },
    { RHY_PICTURE_FILTER, "<filter id='f'><feGaussianBlur stdDeviation='.5'/></filter>"
                          "<rect x='12' y='12' width='16' height='16' filter='url(#f)'/>" },
    { RHY_PICTURE_MASK, "<mask id='m'><circle cx='20' cy='20' r='10' fill='#fff'/></mask>"
                        "<rect x='10' y='10' width='20' height='20' mask='url(#m)'/>" },
    { RHY_PICTURE_PATTERN, "<pattern id='p' width='4' height='4' patternUnits='userSpaceOnUse'><image width='3' height='3' xlink:href='" DOT "'/></pattern>"
                           "<rect x='10' y='10' width='20' height='20' fill='url(#p)'/>" },
    { RHY_PICTURE_BLEND, "<rect x='10' y='10' width='20' height='20' fill='#0f0' style='mix-blend-mode:multiply'/>" },
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
      /* And it is there, with a paint. */
      assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
      assert_non_null (rhy_artwork_get_shape (a, 0)->fill_paint);
    }
}

/* 5 x 4 cells by hand; the shape itself becomes their clip, and the lines are drawn as lines. */
static void
test_pattern_of_outlines_comes_as_outlines (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (
    SVG ("width='100mm' height='50mm' viewBox='0 0 100 50'",
         "<pattern id='p' width='4' height='5' patternUnits='userSpaceOnUse'><path d='M0,2H4' stroke='#0f0'/></pattern>"
         "<path d='M20.5,10.5H39.5V29.5H20.5Z' fill='url(#p)'/>"), NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_pictures (a), 0);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 20);
  const RhyShape *shape = rhy_artwork_get_shape (a, 19);
  assert_true (shape->has_stroke && shape->n_clips >= 1);
  assert_near (shape->path->points[0].x, 36.0, 0.02);
  assert_near (shape->path->points[0].y, 50.0 - 27.0, 0.02);
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
  /* A part of another file, and one of this. */
  g_autoptr (RhyArtwork) used = intake (SVG ("width='100' height='100'", "<path id='p' d='M0,0H50V50Z'/><use xlink:href='#p' x='9'/>"
                                             "<use xlink:href='parts/oars.svg#left'/>"), NULL, &error);
  assert_no_error (error);
  assert_true (has_note (used, "1 linked drawing is left out (oars.svg#left)"));
}

/* No system has this font; every fontconfig knows the generic names. */
static void
test_missing_fonts_are_named (void **state)
{
  (void) state;
  const struct { const char *content, *named; } rows[] = {
    { "<text y='50' font-family='Larkmoor Plain Invented'>a</text>", "Larkmoor Plain Invented" },
    { "<text y='50' style='font-family:\"Larkmoor Invented\", serif;fill:#000'>a</text>", "Larkmoor Invented" },
    { "<style>text { font-family: Larkmoor Round Invented }</style><text y='50'>a</text>", "Larkmoor Round Invented" },
    { "<text y='50' font-family='sans-serif'>a</text>", NULL },
    { "<text y='50'>a</text>", NULL },
    { "<path d='M0,0H9V9Z' style='font-family:Larkmoor Unused Invented'/>", NULL },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      GError *error = NULL;
      g_autofree char *svg = g_strconcat ("<svg xmlns='http://www.w3.org/2000/svg' width='100' height='100'>", rows[i].content, "</svg>", NULL);
      g_autoptr (RhyArtwork) a = intake (svg, NULL, &error);
      assert_no_error (error);
      const char *const *notes = rhy_artwork_get_notes (a);
      if (rows[i].named == NULL)
        assert_null (notes[0]);
      else
        {
          g_autofree char *quoted = g_strconcat ("\"", rows[i].named, "\"", NULL);
          assert_true (has_note (a, quoted));
          assert_null (notes[1]);
        }
    }
}

static void
test_bad_input_gets_one_clear_line (void **state)
{
  (void) state;
  const struct { const char *bytes, *says; } rows[] = {
    { "", "empty" },
    { "  \n ", "blanks" },
    { "hello", "not XML" },
    { "\x89PNG\r\n\x1a\n", "damaged PNG" },
    { "GIF89a", "GIF" },
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

/* A long drawing: @head, @unit @n times, @tail. */
static RhyArtwork *
intake_many (const char             *head,
             const char             *unit,
             gsize                   n,
             const char             *tail,
             const RhyIntakeOptions *options,
             GCancellable           *cancellable,
             GError                **error)
{
  GString *svg = g_string_new ("<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink' width='100' height='100'>");
  g_string_append (svg, head);
  for (gsize i = 0; i < n; i++)
    g_string_append (svg, unit);
  g_string_append (svg, tail);
  g_string_append (svg, "</svg>");
  g_autoptr (GBytes) bytes = g_string_free_to_bytes (svg);
  return rhy_intake_bytes (bytes, options, cancellable, error);
}

/* Over 10 MB, past which libxml2 stops in the middle unless told otherwise: many outlines and a comment with
 * an apostrophe, which is no attribute's. */
static void
test_a_large_drawing_comes_in_whole (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (GString) unit = g_string_new ("<path d='M0,0H9");
  for (int i = 0; i < 10000; i++)
    g_string_append_printf (unit, "L9,1.%04d", i);
  g_string_append (unit, "Z'/>\n");
  g_autoptr (RhyArtwork) a = intake_many ("<!-- it's \"large\" -->", unit->str, 12000000 / unit->len, "<path d='M50,50H90V90Z'/>", NULL, NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 12000000 / unit->len + 1);
  assert_near (rhy_artwork_get_ink_box (a).max_x - rhy_artwork_get_ink_box (a).min_x, 90.0 * 25.4 / 96.0, 1e-3);
}

#define TURBULENCE "<filter id='f'><feTurbulence baseFrequency='1' numOctaves='1000000000'/></filter>" \
                   "<rect width='50' height='50' filter='url(#f)'/>"

static void
test_hostile_drawings_end_in_one_line (void **state)
{
  (void) state;
  const struct { const char *head, *unit; gsize n; const char *tail; RhyError code; const char *says; } rows[] = {
    { "", "<g>", 1000, "", RHY_ERROR_LIMIT, "deeper than the 256 levels allowed" },
    { "<path d='M0,0", "L1,2", 2800000, "'/>", RHY_ERROR_LIMIT, "more than the 10 MB allowed in one piece" },
    { "<text y='9'>", "word ", 200000, "</text>", RHY_ERROR_LIMIT, "a text of 1000000 bytes in it, more than the 20000 allowed" },
    { "<text y='9'>", "<tspan>word</tspan> ", 5001, "</text>", RHY_ERROR_LIMIT, "a text of 25005 bytes in it, more than the 20000 allowed" },
    { "<filter id='f'><feConvolveMatrix order='200' kernelMatrix='", "1 ", 40000, "'/></filter><rect width='50' height='50' filter='url(#f)'/>",
      RHY_ERROR_ARTWORK, "died on it" },
    { "<g id='a'><use xlink:href='#b'/></g><g id='b'><use xlink:href='#a'/></g>", "", 0, "", RHY_ERROR_ARTWORK, "no ink" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      GError *error = NULL;
      assert_null (intake_many (rows[i].head, rows[i].unit, rows[i].n, rows[i].tail, NULL, NULL, &error));
      assert_non_null (error);
      if (strstr (error->message, rows[i].says) == NULL)
        print_error ("row %zu: %s\n", i, error->message);
      assert_non_null (strstr (error->message, rows[i].says));
      assert_error (error, RHY_ERROR, rows[i].code);
    }

  GError *error = NULL;
  const char *entities = "<!DOCTYPE svg [<!ENTITY x SYSTEM 'file:///etc/passwd'>]>"
                         "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'><text y='9'>&x;</text></svg>";
  assert_null (intake (entities, NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
  assert_null (intake ("<svg xmlns='http://www.w3.org/2000/svg' width='1e30' height='1e30'><rect width='5e29' height='5e29'/></svg>",
                       NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

/* 2,000 triangles across each other in one path are 6,000 lines with a million crossings, and are read as
 * lines: the processor time is a small part of what is allowed. A path of two points, filled, covers
 * nothing and gives a drawing without a stated size none. */
static void
test_crossings_take_no_time (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (20260202);
  g_autoptr (GString) svg = g_string_new ("<svg xmlns='http://www.w3.org/2000/svg' width='100mm' height='100mm' viewBox='0 0 100 100'><path d='");
  for (int i = 0; i < 2000; i++)
    for (int k = 0; k < 3; k++)
      g_string_append_printf (svg, "%c%.2f,%.2f%s", k == 0 ? 'M' : 'L', g_rand_double_range (rand, 0, 100),
                              g_rand_double_range (rand, 0, 100), k == 2 ? "Z" : "");
  g_string_append (svg, "'/></svg>");
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = intake (svg->str, NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  assert_int_equal (rhy_path_count_segments (rhy_artwork_get_shape (a, 0)->path), 6000);

  assert_null (intake (SVG ("", "<path d='M10,10L90,10'/>"), NULL, &error));
  assert_non_null (strstr (error->message, "no ink"));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
}

/* A cell of 4 points by 10 cells a side is 400 points a square, every time that it is filled with them: by
 * hand, 12 squares have 4,800. The limit stands at 40 million where nothing is said; such a drawing
 * takes half a gigabyte to refuse, so here it is lower. */
static void
test_points_are_limited (void **state)
{
  (void) state;
  assert_int_equal (RHY_INTAKE_POINTS_MAX, 40000000);
  g_autoptr (GString) svg = g_string_new ("<svg xmlns='http://www.w3.org/2000/svg' width='10mm' height='10mm' viewBox='0 0 10 10'>"
                                          "<pattern id='p' width='1' height='1' patternUnits='userSpaceOnUse'>"
                                          "<path d='M0.2,0.2H0.8V0.8H0.2Z'/></pattern>");
  for (int i = 0; i < 12; i++)
    g_string_append (svg, "<rect width='10' height='10' fill='url(#p)'/>");
  g_string_append (svg, "</svg>");
  for (int more = 0; more < 2; more++)
    {
      GError *error = NULL;
      RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
      options.points = more ? 10000 : 4000;
      g_autoptr (RhyArtwork) a = intake (svg->str, &options, &error);
      if (more)
        {
          assert_no_error (error);
          assert_int_equal (rhy_artwork_get_n_shapes (a), 1200);
          continue;
        }
      assert_null (a);
      assert_non_null (strstr (error->message, "more than the 4000 points allowed"));
      assert_null (strchr (error->message, '\n'));
      assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
    }
}

/* A gzip of 80 MiB of blanks, made here. */
static void
test_packed_bomb_is_not_unpacked (void **state)
{
  (void) state;
  g_autoptr (GConverter) gzip = G_CONVERTER (g_zlib_compressor_new (G_ZLIB_COMPRESSOR_FORMAT_GZIP, 9));
  g_autoptr (GOutputStream) memory = g_memory_output_stream_new_resizable ();
  g_autoptr (GOutputStream) packed = g_converter_output_stream_new (memory, gzip);
  g_autofree char *blanks = g_strnfill (1 << 20, ' ');
  for (int i = 0; i < 80; i++)
    assert_true (g_output_stream_write_all (packed, blanks, 1 << 20, NULL, NULL, NULL));
  assert_true (g_output_stream_close (packed, NULL, NULL));
  g_autoptr (GBytes) bytes = g_memory_output_stream_steal_as_bytes (G_MEMORY_OUTPUT_STREAM (memory));
  GError *error = NULL;
  assert_null (rhy_intake_bytes (bytes, NULL, NULL, &error));
  assert_non_null (strstr (error->message, "unpacks"));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

static void
test_time_is_up (void **state)
{
  (void) state;
  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.seconds = 0.3;
  GError *error = NULL;
  const gint64 start = g_get_monotonic_time ();
  assert_null (intake (SVG ("width='100' height='100'", TURBULENCE), &options, &error));
  assert_true (g_get_monotonic_time () - start < 3 * G_USEC_PER_SEC);
  assert_non_null (strstr (error->message, "0.3 seconds"));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

/* A busy machine is one where the child hardly gets to work: here it sleeps first, longer than
 * the processor time allowed and shorter than the clock's six times; and then for good. */
static void
test_sleep_is_no_work (void **state)
{
  (void) state;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-XXXXXX", NULL);
  g_autofree char *program = g_build_filename (folder, "sleepy", NULL);
  g_autofree char *self = g_file_read_link ("/proc/self/exe", NULL);
  g_autofree char *beside = g_path_get_dirname (self);
  g_autofree char *script = g_strdup_printf ("#!/bin/sh\nsleep 1\nexec '%s/../../app/intake/rhyton-intake' \"$@\"\n", beside);
  assert_true (g_file_set_contents_full (program, script, -1, G_FILE_SET_CONTENTS_NONE, 0755, NULL));
  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.program = program;
  options.seconds = 0.9;
  GError *error = NULL;
  g_autoptr (RhyArtwork) artwork = intake (SVG ("", "<rect width='9' height='9'/>"), &options, &error);
  assert_no_error (error);
  assert_non_null (artwork);

  options.seconds = 0.1;
  assert_null (intake (SVG ("", "<rect width='9' height='9'/>"), &options, &error));
  assert_non_null (strstr (error->message, "not read after 0.6 seconds"));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
  g_remove (program);
  g_rmdir (folder);
}

/* One byte more than is allowed, by the file's length alone: it is a hole. */
static void
test_large_files_are_not_opened_up (void **state)
{
  (void) state;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "large.svg", NULL);
  assert_true (g_file_set_contents (path, "", 0, NULL));
  assert_int_equal (truncate (path, (64 << 20) + 1), 0);
  GError *error = NULL;
  assert_null (rhy_intake_file (path, NULL, NULL, &error));
  assert_non_null (strstr (error->message, "larger than the 64 MiB allowed"));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
  g_remove (path);
  g_rmdir (folder);
}

static gpointer
cancel_soon (gpointer data)
{
  g_usleep (200000);
  g_cancellable_cancel (data);
  return GINT_TO_POINTER (1);
}

/* Within 100 ms of the call; the best of five, because a machine may be busy. */
static void
test_cancelling_ends_it_at_once (void **state)
{
  (void) state;
  gint64 best = G_MAXINT64;
  for (int i = 0; i < 5 && best >= 300000; i++)
    {
      GError *error = NULL;
      g_autoptr (GCancellable) cancellable = g_cancellable_new ();
      const gint64 start = g_get_monotonic_time ();
      GThread *thread = g_thread_new ("cancel", cancel_soon, cancellable);
      assert_null (intake_many (TURBULENCE, "", 0, "", NULL, cancellable, &error));
      best = MIN (best, g_get_monotonic_time () - start);
      g_thread_join (thread);
      assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
    }
  assert_true (best >= 200000 && best < 300000);
}

/* A child that was got ready is used once: with the program's name turned to nonsense meanwhile, what is
 * read next still comes in, and what is read after that does not. One with a layer of its own to
 * read is no use for that, and stays. */
static void
test_a_child_got_ready (void **state)
{
  (void) state;
  GError *error = NULL;
  const char *const drawing = SVG ("width='10mm' height='10mm' viewBox='0 0 10 10'", "<path id='one' d='M1,1H9V9Z'/>");
  rhy_intake_get_ready ();
  rhy_intake_get_ready ();      /* one is enough */
  g_autofree char *before = g_strdup (g_getenv ("RHYTON_INTAKE"));
  g_setenv ("RHYTON_INTAKE", "/no/such/program", TRUE);

  const RhyIntakeOptions layer = { .seconds = 10.0, .memory_mb = 1024, .layer = "one" };
  assert_null (intake (drawing, &layer, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
  error = NULL;
  g_autoptr (RhyArtwork) a = intake (drawing, NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  assert_null (intake (drawing, NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
  error = NULL;

  rhy_intake_get_ready ();      /* in vain, and in silence */
  if (before != NULL)
    g_setenv ("RHYTON_INTAKE", before, TRUE);
  else
    g_unsetenv ("RHYTON_INTAKE");
  g_autoptr (RhyArtwork) b = intake (drawing, NULL, &error);
  assert_no_error (error);
}

static void
test_memory_is_bounded (void **state)
{
  (void) state;
#if defined(__SANITIZE_ADDRESS__)
  skip ();      /* an address sanitizer cannot live under the limit */
#endif
  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.memory_mb = 200;
  GError *error = NULL;
  assert_null (intake_many ("", "<path d='M0,0H9V9Z'/>", 200000, "", &options, NULL, &error));
  assert_non_null (strstr (error->message, "200 MiB of memory"));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

/* Programs that answer with something else, or with nothing. */
static void
test_an_answer_is_not_believed (void **state)
{
  (void) state;
  const char *const scripts[] = {
    "#!/bin/sh\ncat >/dev/null\n",
    "#!/bin/sh\nhead -c 100000 /dev/zero\n",
    "#!/bin/sh\nexec 0<&-\nprintf '\\000rhywire\\002\\000\\000\\000\\000\\000\\000\\000\\007\\000\\000\\000\\000\\000\\000\\000\\010\\000\\000\\000\\000\\000\\000\\000\\000\\000\\000\\000\\000\\000\\000\\000'\n",
    "#!/bin/sh\nprintf '\\000rhywire\\002\\000\\000\\000\\000\\000\\000\\000\\002\\000\\000\\000\\000\\000\\000\\000\\377\\377\\377\\377\\377\\377\\377\\377'\n",
  };
  for (gsize i = 0; i < G_N_ELEMENTS (scripts); i++)
    {
      g_autofree char *folder = g_dir_make_tmp ("rhyton-XXXXXX", NULL);
      g_autofree char *program = g_build_filename (folder, "answer", NULL);
      assert_true (g_file_set_contents_full (program, scripts[i], -1, G_FILE_SET_CONTENTS_NONE, 0755, NULL));
      RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
      options.program = program;
      GError *error = NULL;
      assert_null (intake (SVG ("", "<rect width='9' height='9'/>"), &options, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
      g_remove (program);
      g_rmdir (folder);
    }
  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.program = "/nonexistent/rhyton-intake";
  GError *error = NULL;
  assert_null (intake ("<svg/>", &options, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

/* ---- a true answer, spoilt ---- */

/* This program itself stands in for the child: it gives the answer kept in a file with
 * some bytes changed, a number overwritten, or the end cut off, as the seed says. */
static int
answer_spoilt (const char *stream,
               const char *seed)
{
  g_autofree char *data = NULL;
  gsize size;
  if (!g_file_get_contents (stream, &data, &size, NULL))
    return 1;
  g_autoptr (GRand) rand = g_rand_new_with_seed ((guint32) g_ascii_strtoull (seed, NULL, 10));
  static const guint64 odd[] = { 0, 1, 3, 255, 65536, 1u << 31, G_MAXUINT32, G_MAXINT64, G_MAXUINT64,
                                 G_GUINT64_CONSTANT (0x7ff8000000000000), G_GUINT64_CONSTANT (0x7fefffffffffffff) };
  const int n = g_rand_int_range (rand, 1, 4);
  for (int i = 0; i < n; i++)
    {
      const gsize word = 16 + 8 * (gsize) g_rand_int_range (rand, 0, (gint32) (size / 8 - 2));
      if (g_rand_boolean (rand))
        data[word + (gsize) g_rand_int_range (rand, 0, 8)] ^= (char) (1 << g_rand_int_range (rand, 0, 8));
      else
        memcpy (data + word, &odd[g_rand_int_range (rand, 0, G_N_ELEMENTS (odd))], 8);
    }
  if (g_rand_int_range (rand, 0, 8) == 0)
    size = (gsize) g_rand_int_range (rand, 0, (gint32) size);
  return fwrite (data, 1, size, stdout) == size ? 0 : 1;
}

/* Whatever comes, there is an artwork whose every number is finite, or an error; under a
 * sanitizer this is also the test that nothing outside the answer is read. */
static void
test_spoilt_answers_do_no_harm (void **state)
{
  (void) state;
  const char *build = g_getenv ("G_TEST_BUILDDIR");
  g_autofree char *program = build != NULL ? g_build_filename (build, "app", "intake", "rhyton-intake", NULL) : NULL;
  g_autofree char *self = g_file_read_link ("/proc/self/exe", NULL);
  if (program == NULL || self == NULL || !g_file_test (program, G_FILE_TEST_IS_EXECUTABLE))
    skip ();

  const char *svg = SVG ("width='100mm' height='50mm' viewBox='0 0 100 50'",
                         "<clipPath id='c'><circle cx='50' cy='25' r='20'/></clipPath>"
                         "<linearGradient id='g'><stop/><stop offset='1' stop-color='#fff'/></linearGradient><radialGradient id='h'><stop/><stop offset='1' stop-color='#fff'/></radialGradient>"
                         "<image width='3' height='3' xlink:href='" DOT "'/><rect width='2' height='2' fill='url(#h)'/>"
                         "<g clip-path='url(#c)'><rect width='60' height='50'/></g><script/>"
                         "<path d='M5,5C9,9 20,1 30,30' fill='url(#g)' stroke='#f00' stroke-dasharray='3 1 2'/>");
  g_autoptr (GBytes) in = g_bytes_new_static (svg, strlen (svg));
  g_autoptr (GBytes) out = NULL;
  g_autoptr (GSubprocess) child = g_subprocess_new (G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE, NULL, program, NULL);
  assert_true (g_subprocess_communicate (child, in, NULL, &out, NULL, NULL));

  g_autofree char *folder = g_dir_make_tmp ("rhyton-XXXXXX", NULL);
  g_autofree char *stream = g_build_filename (folder, "answer", NULL);
  assert_true (g_file_set_contents (stream, g_bytes_get_data (out, NULL), (gssize) g_bytes_get_size (out), NULL));
  g_setenv ("RHYTON_TEST_STREAM", stream, TRUE);
  RhyIntakeOptions options = RHY_INTAKE_OPTIONS_INIT;
  options.program = self;
  guint taken = 0;
  for (int seed = 0; seed < 200; seed++)
    {
      g_autofree char *text = g_strdup_printf ("%d", seed);
      g_setenv ("RHYTON_TEST_SEED", text, TRUE);
      GError *error = NULL;
      g_autoptr (RhyArtwork) a = intake (svg, &options, &error);
      assert_true ((a == NULL) == (error != NULL));
      g_clear_error (&error);
      if (a == NULL)
        continue;
      taken++;
      for (gsize i = 0; i < rhy_artwork_get_n_shapes (a); i++)
        {
          const RhyShape *shape = rhy_artwork_get_shape (a, i);
          for (gsize k = 0; k < shape->path->n_points; k++)
            assert_true (isfinite (shape->path->points[k].x) && isfinite (shape->path->points[k].y));
          const RhyPaint *paint = shape->fill_paint;
          if (paint == NULL)
            continue;
          const RhyAffine m = paint->matrix;
          assert_true (fabs (m.xx * m.yy - m.xy * m.yx) > 0.0 && isfinite (m.x0 + m.y0 + paint->x0 + paint->r0 + paint->x1 + paint->r1));
          assert_true (paint->kind == RHY_PAINT_RASTER ? rhy_raster_get_width (paint->raster) > 0 : paint->n_stops > 0);
        }
    }
  g_unsetenv ("RHYTON_TEST_STREAM");
  g_remove (stream);
  g_rmdir (folder);
  assert_true (taken > 0 && taken < 200);
}

int
main (void)
{
  const char *stream = g_getenv ("RHYTON_TEST_STREAM");
  if (stream != NULL)
    return answer_spoilt (stream, g_getenv ("RHYTON_TEST_SEED"));

  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_units_and_axes),
    cmocka_unit_test (test_sizes_as_the_standard_says),
    cmocka_unit_test (test_pen_clip_opacity_and_use),
    cmocka_unit_test (test_lettering_comes_as_outlines),
    cmocka_unit_test (test_what_has_no_outline_is_reported),
    cmocka_unit_test (test_pattern_of_outlines_comes_as_outlines),
    cmocka_unit_test (test_gradient_keeps_the_outline_in_its_mean_colour),
    cmocka_unit_test (test_ink_past_the_page_is_cut_off_there),
    cmocka_unit_test (test_one_layer_alone),
    cmocka_unit_test (test_silent_losses_are_named),
    cmocka_unit_test (test_missing_fonts_are_named),
    cmocka_unit_test (test_bad_input_gets_one_clear_line),
    cmocka_unit_test (test_a_large_drawing_comes_in_whole),
    cmocka_unit_test (test_hostile_drawings_end_in_one_line),
    cmocka_unit_test (test_packed_bomb_is_not_unpacked),
    cmocka_unit_test (test_time_is_up),
    cmocka_unit_test (test_sleep_is_no_work),
    cmocka_unit_test (test_large_files_are_not_opened_up),
    cmocka_unit_test (test_cancelling_ends_it_at_once),
    cmocka_unit_test (test_crossings_take_no_time),
    cmocka_unit_test (test_points_are_limited),
    cmocka_unit_test (test_a_child_got_ready),
    cmocka_unit_test (test_memory_is_bounded),
    cmocka_unit_test (test_an_answer_is_not_believed),
    cmocka_unit_test (test_spoilt_answers_do_no_harm),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
