/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "show-fixture.h"

#include <cairo.h>
#include <glib/gstdio.h>
#include <locale.h>
#include <sys/stat.h>
#include <unistd.h>

static GBytes *
bed (RhyPlan                 *plan,
     RhyFormat                format,
     const RhyDrawingOptions *options)
{
  GError *error = NULL;
  GBytes *bytes = rhy_drawing_bed (plan, format, options, NULL, &error);
  assert_no_error (error);
  return bytes;
}

static GBytes *
pattern (RhyPlan  *plan,
         RhyFormat format)
{
  GError *error = NULL;
  GBytes *bytes = rhy_drawing_pattern (plan, format, NULL, &error);
  assert_no_error (error);
  return bytes;
}

static double
number_after (const char *from,
              const char *what)
{
  return g_ascii_strtod (after (from, what), NULL);
}

/* The numbers of a d="" attribute, in order; letters are passed over. */
static gsize
numbers_of (const char *d,
            double     *out,
            gsize       room)
{
  gsize n = 0;
  while (*d != '"' && n < room)
    {
      char *end;
      const double v = g_ascii_strtod (d, &end);
      if (end == d)
        {
          d++;
          continue;
        }
      out[n++] = v;
      d = end;
    }
  return n;
}

static void
well_formed (const char *text)
{
  const GMarkupParser parser = { 0 };
  GError *error = NULL;
  GMarkupParseContext *context = g_markup_parse_context_new (&parser, 0, NULL, NULL);
  assert_true (g_markup_parse_context_parse (context, text, -1, &error));
  assert_no_error (error);
  assert_true (g_markup_parse_context_end_parse (context, &error));
  g_markup_parse_context_free (context);
}

static RhyPlan *
can_plan (const char *rest)
{
  g_autoptr (RhyArtwork) art = letter_f ();
  return plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=30\nAt=60", rest);
}

static void
test_formats (void **state)
{
  (void) state;
  RhyFormat format = RHY_FORMAT_SVG;
  GError *error = NULL;
  assert_true (rhy_format_from_name ("a/b.PDF", &format, &error));
  assert_int_equal (format, RHY_FORMAT_PDF);
  assert_true (rhy_format_from_name (".png", &format, &error));
  assert_int_equal (format, RHY_FORMAT_PNG);
  const char *const bad[] = { "", "svg", "x.svgz", "x.dxf", "x.svg/" };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      assert_false (rhy_format_from_name (bad[i], &format, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
    }
  assert_int_equal (format, RHY_FORMAT_PNG);
}

/* A can with travel pi D draws flat: the 30 x 50 mm F about its middle comes out
 * at its own size; axis along y, mouth to the top, is upright (x = u, y = -v). */
static void
test_true_size (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = can_plan ("[Machine]\nTravelPerTurn=auto\nAxis=y\nMouth=plus\n");
  g_autoptr (GBytes) bytes = bed (plan, RHY_FORMAT_SVG, NULL);
  g_autofree char *text = text_of (bytes);
  well_formed (text);
  assert_near (number_after (text, " width=\""), 30, 0.0);
  assert_true (g_str_has_prefix (after (text, " width=\"30"), "mm\""));
  assert_near (number_after (text, " height=\""), 50, 0.0);
  assert_true (g_str_has_prefix (after (text, " viewBox=\""), "-15 -25 30 50\""));

  static const double f[] = { -15, 25, -7, 25, -7, 5, 7, 5, 7, -3, -7, -3, -7, -17, 15, -17, 15, -25, -15, -25 };
  double found[64];
  const char *ink = after (text, "<g id=\"ink\">");
  assert_int_equal (numbers_of (after (ink, " d=\""), found, 64), G_N_ELEMENTS (f));
  for (gsize i = 0; i < G_N_ELEMENTS (f); i++)
    assert_near (found[i], f[i], 1e-6);

  /* The mark is a cross about (0, 0), in a group of its own, after the ink's. */
  const char *mark = after (ink, "<g id=\"mark\">");
  assert_true (strstr (ink, "</g>") < mark);
  assert_int_equal (numbers_of (after (mark, " d=\""), found, 64), 4);
  assert_near (found[0] + found[2], 0, 0.0);
  assert_near (found[1] + found[3], 0, 0.0);
  assert_non_null (strstr (text, "A &amp; B &lt;test&gt;"));
  assert_non_null (strstr (text, "do not scale"));
}

static void
test_pages_and_mark (void **state)
{
  (void) state;
  const struct { const char *rest; double width, height; gboolean mark; } rows[] = {
    /* One turn along the turn: pi 66 = 207.345115; the ink's 50 along the axis. */
    { "[Machine]\nAxis=y\nMouth=plus\n[Output]\nPage=turn\n", 207.345115, 50, TRUE },
    { "[Machine]\nAxis=x\nMouth=minus\n[Output]\nPage=turn\nMark=false\n", 50, 207.345115, FALSE },
    { "[Machine]\nAxis=x\nMouth=plus\nTravelPerTurn=180\n[Output]\nPage=turn\n", 50, 180, TRUE },
    { "[Machine]\nAxis=x\nMouth=plus\n[Output]\nMark=false\n", 50, 30, FALSE },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (RhyPlan) plan = can_plan (rows[i].rest);
      g_autoptr (GBytes) bytes = bed (plan, RHY_FORMAT_SVG, NULL);
      g_autofree char *text = text_of (bytes);
      assert_near (number_after (text, " width=\""), rows[i].width, 1.1e-6);
      assert_near (number_after (text, " height=\""), rows[i].height, 1.1e-6);
      assert_int_equal (strstr (text, "id=\"mark\"") != NULL, rows[i].mark);
    }
}

/* Strokes, dashes, clips and fill rules of artwork, kept. */
static void
test_paint_is_kept (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  RhyPath *clip = rhy_path_new ();
  rhy_path_move_to (clip, -5, -5);
  rhy_path_line_to (clip, 5, -5);
  rhy_path_line_to (clip, 5, 5);
  rhy_path_close (clip);
  const guint id = rhy_artwork_builder_add_clip (builder, clip, RHY_FILL_EVENODD);
  RhyPath *line = rhy_path_new ();
  rhy_path_move_to (line, -10, 0);
  rhy_path_line_to (line, 10, 0);
  RhyPath *area = rhy_path_new ();
  rhy_path_move_to (area, -10, -10);
  rhy_path_line_to (area, 10, -10);
  rhy_path_line_to (area, 10, 10);
  rhy_path_close (area);
  const RhyShape shapes[2] = {
    { .path = area, .rule = RHY_FILL_EVENODD, .has_fill = TRUE, .fill = { 1, 0.5, 0, 0.25 },
      .clips = g_memdup2 (&id, sizeof id), .n_clips = 1 },
    { .path = line, .has_stroke = TRUE, .stroke = { 0, 0, 1, 1 },
      .pen = { .width = 0.5, .cap = RHY_CAP_ROUND, .join = RHY_JOIN_BEVEL, .miter_limit = 4,
               .dashes = g_memdup2 ((const double[]) { 2, 1 }, 2 * sizeof (double)), .n_dashes = 2,
               .matrix = RHY_AFFINE_IDENTITY } },
  };
  rhy_artwork_builder_add_shape (builder, &shapes[0]);
  rhy_artwork_builder_add_shape (builder, &shapes[1]);
  g_autoptr (RhyArtwork) art = rhy_artwork_builder_end (builder);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=20.5\nAt=60\nStrokes=centreline",
                                        "[Machine]\nTravelPerTurn=auto\nAxis=y\nMouth=plus\n");
  g_autoptr (GBytes) bytes = bed (plan, RHY_FORMAT_SVG, NULL);
  g_autofree char *text = text_of (bytes);
  well_formed (text);
  assert_non_null (strstr (text, "fill=\"#ff8000\" fill-opacity=\"0.25\" fill-rule=\"evenodd\""));
  assert_non_null (strstr (text, "<clipPath id=\"clip-1\"><path clip-rule=\"evenodd\""));
  assert_non_null (strstr (text, "<g clip-path=\"url(#clip-1)\">"));
  assert_non_null (strstr (text, "fill=\"none\" stroke=\"#0000ff\""));
  assert_non_null (strstr (text, "stroke-linecap=\"round\" stroke-linejoin=\"bevel\""));
  const double scale = number_after (text, "stroke-width=\"") / 0.5;
  assert_true (scale > 0.9 && scale < 1.1);
  assert_near (number_after (text, "stroke-dasharray=\""), 2 * scale, 1e-5);
}

/* Same job, same bytes, whatever the locale's decimal sign. */
static void
test_bytes_are_the_same (void **state)
{
  (void) state;
  static const char *const locales[] = { "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "fr_FR.utf8" };
  g_autoptr (RhyPlan) plan = f_plan (5);
  for (int f = RHY_FORMAT_SVG; f <= RHY_FORMAT_PNG; f++)
    {
      g_autoptr (GBytes) a = bed (plan, (RhyFormat) f, NULL);
      g_autoptr (GBytes) pa = pattern (plan, (RhyFormat) f);
      for (gsize i = 0; i < G_N_ELEMENTS (locales) && setlocale (LC_ALL, locales[i]) == NULL; i++)
        ;
      g_autoptr (GBytes) b = bed (plan, (RhyFormat) f, NULL);
      g_autoptr (GBytes) pb = pattern (plan, (RhyFormat) f);
      setlocale (LC_ALL, "C");
      assert_true (g_bytes_equal (a, b));
      assert_true (g_bytes_equal (pa, pb));
    }
}

static const char *
find_bytes (GBytes     *bytes,
            const char *word)
{
  gsize n;
  const char *data = g_bytes_get_data (bytes, &n);
  return memmem (data, n, word, strlen (word));
}

/* 30 x 50 mm in points: 85.0394 x 141.7323 (25.4 mm are 72 points). The update at
 * the end must lead back to a table of objects (ISO 32000-1, 7.5.5 and 7.5.6). */
static void
test_pdf (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = can_plan ("[Machine]\nTravelPerTurn=auto\nAxis=y\nMouth=plus\n");
  g_autoptr (GBytes) bytes = bed (plan, RHY_FORMAT_PDF, NULL);
  gsize n;
  const char *data = g_bytes_get_data (bytes, &n);
  assert_memory_equal (data, "%PDF-1.", 7);
  const char *box = find_bytes (bytes, "/MediaBox [ 0 0 ");
  assert_non_null (box);
  assert_near (number_after (box, "[ 0 0 "), 30 * 72 / 25.4, 1e-3);
  char *height;
  g_ascii_strtod (after (box, "[ 0 0 "), &height);
  assert_near (g_ascii_strtod (height, NULL), 50 * 72 / 25.4, 1e-3);
  assert_non_null (find_bytes (bytes, "/ViewerPreferences << /PrintScaling /None >>"));

  g_autofree char *tail = g_strndup (data + n - 40, 40);
  const long xref = (long) number_after (tail, "startxref");
  assert_memory_equal (data + xref, "xref\n", 5);
  const long catalog = strtol (after (data + xref, " 1\n"), NULL, 10);
  assert_memory_equal (strchr (data + catalog, ' '), " 0 obj", 6);
  assert_non_null (strstr (data + catalog, "/Type /Catalog"));
  const long before = (long) number_after (data + xref, "/Prev ");
  assert_memory_equal (data + before, "xref\n", 5);
}

static guint32
be32 (const guint8 *p)
{
  return (guint32) p[0] << 24 | (guint32) p[1] << 16 | (guint32) p[2] << 8 | p[3];
}

/* ISO/IEC 15948: IHDR's width and height at bytes 16 and 20; pHYs in pixels a
 * metre. 254 dpi is 10 pixels a mm: 30 x 50 mm are 300 x 500, 10000 a metre. Its
 * CRC was computed with zlib's crc32 (Python 3.11) over the 13 bytes. */
static void
test_png (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = can_plan ("[Machine]\nTravelPerTurn=auto\nAxis=y\nMouth=plus\n");
  const RhyDrawingOptions options = { .dpi = 254.0 };
  g_autoptr (GBytes) bytes = bed (plan, RHY_FORMAT_PNG, &options);
  const guint8 *data = g_bytes_get_data (bytes, NULL);
  assert_int_equal (be32 (data + 16), 300);
  assert_int_equal (be32 (data + 20), 500);
  assert_memory_equal (data + 33 + 4, "pHYs", 4);
  assert_int_equal (be32 (data + 33 + 8), 10000);
  assert_int_equal (be32 (data + 33 + 12), 10000);
  assert_int_equal (data[33 + 16], 1);
  assert_int_equal (be32 (data + 33 + 17), 0x94695119u);

  GError *error = NULL;
  const double bad[] = { 0.0, 9.9, 2401.0, NAN };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      const RhyDrawingOptions wrong = { .dpi = bad[i] };
      assert_null (rhy_drawing_bed (plan, RHY_FORMAT_PNG, &wrong, NULL, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
    }
}

static double
cubic (const double *p,
       double        t)
{
  const double m = 1.0 - t;
  return m * m * m * p[0] + 3.0 * m * m * t * p[2] + 3.0 * m * t * t * p[4] + t * t * t * p[6];
}

/* A wall with radius 60 below and 30 above, 40 high, is a 3-4-5 cone: slant 50,
 * apex 100 up the wall, so the pattern is a ring sector of radii 100 and 50 about
 * (0, 100) of 0.6 of a turn. The cut line must lie on those circles, not near them. */
static void
test_pattern_of_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;40\nDiameters=120;60", "Height=20\nAt=20", "");
  g_autoptr (GBytes) bytes = pattern (plan, RHY_FORMAT_SVG);
  g_autofree char *text = text_of (bytes);
  well_formed (text);
  double p[512];
  const gsize n = numbers_of (after (after (text, "<g id=\"cut\">"), " d=\""), p, 512);
  /* Sixteen cubics a side, a move and a line: 2 (1 + 3 16) points. */
  assert_int_equal (n, 2 * 2 * 49);
  double swept[2] = { 0, 0 };
  for (int side = 0; side < 2; side++)
    for (int i = 0; i < 16; i++)
      {
        const double *q = p + side * 98 + 6 * i;
        for (int k = 0; k <= 20; k++)
          {
            const double x = cubic (q, k / 20.0);
            const double y = -cubic (q + 1, k / 20.0);      /* page to pattern: y up */
            assert_near (hypot (x, y - 100), side == 0 ? 100 : 50, 2e-5);
          }
        const double a = atan2 (q[0], q[1] + 100);
        const double b = atan2 (q[6], q[7] + 100);
        swept[side] += remainder (b - a, 2 * G_PI);
      }
  assert_near (fabs (swept[0]), 1.2 * G_PI, 1e-6);
  assert_near (fabs (swept[1]), 1.2 * G_PI, 1e-6);
  assert_non_null (strstr (text, "without stretch"));
  assert_non_null (strstr (text, "100 %"));
  assert_non_null (strstr (text, "font-family=\"sans-serif\""));

  /* The bar is 100 mm long. */
  assert_int_equal (numbers_of (after (after (text, "<g id=\"scale\">"), " d=\""), p, 512), 4);
  assert_near (p[2] - p[0], 100, 1e-6);
  assert_near (p[3] - p[1], 0, 0.0);
}

/* The paper's ends meet opposite the artwork: with it 90 degrees round on a can of
 * 66 mm, they are at x = 33 (pi/2 -+ pi), whatever the front is. */
static void
test_pattern_ends_opposite_the_artwork (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=30\nAt=60\nAround=90", "");
  g_autoptr (GBytes) bytes = pattern (plan, RHY_FORMAT_SVG);
  g_autofree char *text = text_of (bytes);
  double p[512];
  numbers_of (after (after (text, "<g id=\"cut\">"), " d=\""), p, 512);
  assert_near (p[0], -33 * G_PI / 2, 1e-6);
  assert_near (p[96], 33 * 1.5 * G_PI, 1e-6);
}

/* Area inside the closed lines of a group, and how many there are: chords of each
 * cubic, by the shoelace formula. */
static double
area_in (const char *text,
         const char *group,
         guint      *n_pieces)
{
  double total = 0.0;
  g_autofree char *open = g_strdup_printf ("<g id=\"%s\">", group);
  const char *end = strstr (after (text, open), "</g>");
  *n_pieces = 0;
  for (const char *d = strstr (text, open); (d = strstr (d, " d=\"")) != NULL && d < end;)
    {
      d += 4;
      if (memchr (d, 'Z', strcspn (d, "\"")) == NULL)
        continue;               /* hatching */
      const char *verb = d;
      double x = 0, y = 0, x0 = 0, y0 = 0, area = 0;
      while (*verb != '"')
        {
          if (*verb == 'M' || *verb == 'L')
            {
              char *next;
              const double nx = g_ascii_strtod (verb + 1, &next);
              const double ny = g_ascii_strtod (next, &next);
              if (*verb == 'M')
                x0 = nx, y0 = ny;
              else
                area += x * ny - nx * y;
              x = nx, y = ny;
              verb = next;
            }
          else if (*verb == 'C')
            {
              double q[8] = { x, y };
              char *next = (char *) verb + 1;
              for (int i = 2; i < 8; i++)
                q[i] = g_ascii_strtod (next, &next);
              for (int i = 1; i <= 50; i++)
                {
                  const double nx = cubic (q, i / 50.0);
                  const double ny = cubic (q + 1, i / 50.0);
                  area += x * ny - nx * y;
                  x = nx, y = ny;
                }
              verb = next;
            }
          else
            {
              area += x * y0 - x0 * y;
              verb++;
            }
        }
      total += 0.5 * fabs (area);
      (*n_pieces)++;
    }
  return total;
}

/* A drum of a ball: three stations on a ball of radius 50, 30 above and below its
 * middle (radii 40, 50, 40), smooth: its area is 2 pi 50 60 (Archimedes), and paper
 * in pieces that stretch under 1 % has that area within 2 %. By hand: gores of
 * half width a stretch a^2/2 along their edges at the middle, so 1 % needs
 * pi sqrt (50) = 22.2: 23 of them; a sheet in one piece is far off. */
static void
test_skin_of_a_ball (void **state)
{
  (void) state;
  static const struct { RhyCut cut; guint least, most; } rows[] = {
    { RHY_CUT_GORES, 22, 24 }, { RHY_CUT_RINGS, 2, 8 }, { RHY_CUT_AUTO, 2, 8 },
  };
  const double area = 2.0 * G_PI * 50.0 * 60.0;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Wall=smooth\nHeights=0;12;30;48;60\n"
                                             "Diameters=80;93.295230;100;93.295230;80", "Height=40\nAt=30", "");
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
      options.cut = rows[i].cut;
      g_autoptr (GBytes) bytes = rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &options, &error);
      assert_no_error (error);
      g_autofree char *text = text_of (bytes);
      well_formed (text);
      guint n;
      assert_near (area_in (text, "cut", &n) / area, 1.0, 0.02);
      assert_true (n >= rows[i].least && n <= rows[i].most);
      assert_non_null (strstr (text, "This wall is curved"));

      options.paper_stretch = 0.0025;   /* a quarter: twice the pieces, both ways */
      g_autoptr (GBytes) finer = rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &options, &error);
      assert_no_error (error);
      g_autofree char *finer_text = text_of (finer);
      guint more;
      assert_near (area_in (finer_text, "cut", &more) / area, 1.0, 0.005);
      assert_true (more >= 2 * n - 2 && more <= 2 * n + 2);
    }
  RhyDrawingOptions whole = RHY_DRAWING_OPTIONS_INIT;
  whole.cut = RHY_CUT_WHOLE;
  g_autoptr (GBytes) bytes = rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &whole, &error);
  g_autofree char *text = text_of (bytes);
  assert_non_null (strstr (text, "no sheet fits it"));

  whole.cut = RHY_CUT_RINGS;
  whole.paper_stretch = 0.5;
  assert_null (rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &whole, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

/* Two cones with an edge between them: a ring each, and both exact. */
static void
test_skin_of_two_cones (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Wall=stepped\nHeights=0;40;80\nDiameters=60;120;60", "Height=20\nAt=40", "");
  g_autoptr (GBytes) bytes = pattern (plan, RHY_FORMAT_SVG);
  g_autofree char *text = text_of (bytes);
  guint n;
  /* 3-4-5 twice: pi (30 + 60) 50 each. */
  assert_near (area_in (text, "cut", &n), 2.0 * G_PI * 90 * 50, 0.5);
  assert_int_equal (n, 2);
  assert_non_null (strstr (text, "without stretch"));
  RhyDrawingOptions gores = RHY_DRAWING_OPTIONS_INIT;
  gores.cut = RHY_CUT_GORES;
  assert_null (rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &gores, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

/* A bottle: the shoulder's cone would come to a point on the neck, were it carried on. */
static void
test_skin_of_a_bottle (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Wall=stepped\nHeights=0;60;80;140\nDiameters=80;80;30;30", "Height=20\nAt=30", "");
  g_autoptr (GBytes) bytes = pattern (plan, RHY_FORMAT_SVG);
  g_autofree char *text = text_of (bytes);
  guint n;
  /* pi d h of body and neck, pi (R + r) s of the shoulder. */
  assert_near (area_in (text, "cut", &n), G_PI * (80 * 60 + (40 + 15) * hypot (20, 25) + 30 * 60), 0.5);
  assert_int_equal (n, 3);
  assert_non_null (strstr (text, "without stretch"));
}

/* The cone of test_pattern_of_a_cone() with a tab of 8 mm: a sector of pi (60 + 30) 50
 * and a strip 50 long at the seam, 34 at its edge. By hand. */
static void
test_tab (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;40\nDiameters=120;60", "Height=20\nAt=20", "");
  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  options.tab_mm = 8.0;
  g_autoptr (GBytes) bytes = rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &options, NULL);
  g_autofree char *text = text_of (bytes);
  guint n;
  assert_near (area_in (text, "cut", &n), G_PI * 90 * 50 + 8 * (50 + 34) / 2.0, 0.5);
  assert_int_equal (n, 1);
  assert_non_null (strstr (text, "under the other end"));
  GError *error = NULL;
  options.tab_mm = 31.0;
  assert_null (rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &options, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

/* Zones on a can of radius 33: 30 degrees by 30 mm is 33 (pi/6) 30 mm^2, in one piece at the
 * side, in two where the paper's ends meet in its middle; all round it is 2 pi 33 by its height.
 * By hand. */
static void
test_zones_on_the_pattern (void **state)
{
  (void) state;
  static const struct { const char *zone; double area; guint pieces; } rows[] = {
    { "Centre=90\nWidth=30\nFrom=20\nTo=50", 33.0 * G_PI / 6.0 * 30.0, 1 },
    { "Centre=180\nWidth=30\nFrom=20\nTo=50", 33.0 * G_PI / 6.0 * 30.0, 2 },
    { "Centre=-200\nWidth=30\nFrom=20\nTo=50", 33.0 * G_PI / 6.0 * 30.0, 1 },
    { "Width=360\nFrom=105\nTo=115", 33.0 * 2.0 * G_PI * 10.0, 1 },
  };
  g_autoptr (RhyArtwork) art = letter_f ();
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autofree char *rest = g_strdup_printf ("[Zone keep off]\nKind=mark\n%s\n", rows[i].zone);
      g_autoptr (RhyPlan) plan = can_plan (rest);
      g_autoptr (GBytes) bytes = pattern (plan, RHY_FORMAT_SVG);
      g_autofree char *text = text_of (bytes);
      well_formed (text);
      guint n;
      assert_near (area_in (text, "zones", &n), rows[i].area, 1e-3);
      assert_int_equal (n, rows[i].pieces);
    }
}

static guint
count_bytes (GBytes     *bytes,
             const char *word)
{
  gsize n;
  const char *data = g_bytes_get_data (bytes, &n);
  guint count = 0;
  for (gsize i = 0; i + strlen (word) <= n; i++)
    count += memcmp (data + i, word, strlen (word)) == 0;
  return count;
}

/* A can's pattern is 2 pi 33 = 207 mm wide with margins of 8 on either side, and lower than
 * a page: two pages of A4 or Letter side by side. The papers' sizes are their standards'. */
static void
test_pages (void **state)
{
  (void) state;
  static const struct { RhyPaper paper; double width, height; } rows[] = {
    { RHY_PAPER_A4, 210.0, 297.0 }, { RHY_PAPER_LETTER, 215.9, 279.4 },
  };
  g_autoptr (RhyPlan) plan = can_plan ("");
  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  options.on_pages = TRUE;
  GError *error = NULL;
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      options.paper = rows[i].paper;
      g_autoptr (GBytes) bytes = rhy_drawing_pattern (plan, RHY_FORMAT_PDF, &options, &error);
      assert_no_error (error);
      assert_int_equal (count_bytes (bytes, "/MediaBox [ 0 0 "), 2);
      char *height;
      const char *box = find_bytes (bytes, "/MediaBox [ 0 0 ");
      assert_near (g_ascii_strtod (after (box, "[ 0 0 "), &height), rows[i].width * 72 / 25.4, 1e-3);
      assert_near (g_ascii_strtod (height, NULL), rows[i].height * 72 / 25.4, 1e-3);
      assert_non_null (find_bytes (bytes, "/PrintScaling /None"));
      g_autoptr (GBytes) again = rhy_drawing_pattern (plan, RHY_FORMAT_PDF, &options, NULL);
      assert_true (g_bytes_equal (bytes, again));
    }
  assert_null (rhy_drawing_pattern (plan, RHY_FORMAT_SVG, &options, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
  g_clear_error (&error);
  options.overlap_mm = 200.0;
  assert_null (rhy_drawing_pattern (plan, RHY_FORMAT_PDF, &options, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

/* The bar at the foot of a page is 50 mm between the middles of its end ticks: 500 px at
 * 10 px a mm. It lies 9 mm above the page's lower edge and ends 8 mm from its right one. */
static void
test_pages_for_a_printer (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = can_plan ("");
  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyPages) pages = rhy_pages_new_pattern (plan, &options, &error);
  assert_no_error (error);
  assert_int_equal (rhy_pages_get_n (pages), 2);
  double width, height;
  rhy_pages_get_size (pages, &width, &height);
  assert_near (width, 210.0, 1e-9);
  assert_near (height, 297.0, 1e-9);

  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 2100, 2970);
  cairo_t *cr = cairo_create (surface);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  cairo_paint (cr);
  cairo_scale (cr, 10.0, 10.0);
  rhy_pages_draw (pages, 1, cr);
  cairo_destroy (cr);
  cairo_surface_flush (surface);
  const guint8 *row = cairo_image_surface_get_data (surface) + (2970 - 90) * cairo_image_surface_get_stride (surface);
  int first = -1, last = -1;
  for (int x = 1400; x < 2100; x++)
    if (((const guint32 *) (const void *) row)[x] % 256 < 128)
      {
        first = first < 0 ? x : first;
        last = x;
      }
  assert_near (last - first, 500, 2);
  assert_near (0.5 * (first + last), 2100 - 80 - 250, 2);
  cairo_surface_destroy (surface);

  options.overlap_mm = 200.0;
  assert_null (rhy_pages_new_pattern (plan, &options, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
}

static char *
scratch (void)
{
  GError *error = NULL;
  char *folder = g_dir_make_tmp ("rhy-drawing-XXXXXX", &error);
  assert_no_error (error);
  return folder;
}

static guint
files_in (const char *folder)
{
  GDir *dir = g_dir_open (folder, 0, NULL);
  guint n = 0;
  while (g_dir_read_name (dir) != NULL)
    n++;
  g_dir_close (dir);
  return n;
}

static void
test_saving (void **state)
{
  (void) state;
  g_autofree char *folder = scratch ();
  g_autofree char *path = g_build_filename (folder, "out.svg", NULL);
  g_autofree char *link = g_build_filename (folder, "link.svg", NULL);
  g_autoptr (GBytes) first = g_bytes_new_static ("first", 5);
  g_autoptr (GBytes) second = g_bytes_new_static ("second", 6);
  g_autofree char *found = NULL;
  GError *error = NULL;
  struct stat st;

  assert_true (rhy_drawing_save (first, path, &error));
  assert_int_equal (g_chmod (path, 0640), 0);
  assert_int_equal (symlink ("out.svg", link), 0);
  assert_true (rhy_drawing_save (second, link, &error));
  assert_no_error (error);
  assert_true (g_file_get_contents (path, &found, NULL, NULL));
  assert_string_equal (found, "second");
  assert_int_equal (lstat (link, &st), 0);
  assert_true (S_ISLNK (st.st_mode));
  assert_int_equal (stat (path, &st), 0);
  assert_int_equal (st.st_mode & 0777, 0640);
  assert_int_equal (files_in (folder), 2);

  assert_false (rhy_drawing_save (first, folder, &error));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_ISDIR);
  assert_false (rhy_drawing_save (first, "/nowhere/at/all/out.svg", &error));
  assert_non_null (strstr (error->message, "/nowhere/at/all"));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
  if (g_access ("/dev/full", W_OK) == 0)
    {
      assert_false (rhy_drawing_save (first, "/dev/full", &error));
      assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOSPC);
      assert_int_equal (stat ("/dev/full", &st), 0);
      assert_true (S_ISCHR (st.st_mode));
    }
  if (geteuid () != 0)          /* root may write anywhere */
    {
      g_chmod (folder, 0555);
      g_autofree char *other = g_build_filename (folder, "other.svg", NULL);
      assert_false (rhy_drawing_save (first, other, &error));
      assert_error (error, G_FILE_ERROR, G_FILE_ERROR_ACCES);
      g_chmod (folder, 0755);
    }
  assert_int_equal (files_in (folder), 2);
  g_unlink (link);
  g_unlink (path);
  g_rmdir (folder);
}

/* Ink past the rim: one error, no bytes. */
static void
test_off_the_wall (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=30\nAt=100", "");
  GError *error = NULL;
  for (int f = RHY_FORMAT_SVG; f <= RHY_FORMAT_PNG; f++)
    {
      assert_null (rhy_drawing_bed (plan, (RhyFormat) f, NULL, NULL, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
      assert_null (rhy_drawing_pattern (plan, (RhyFormat) f, NULL, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_formats),
    cmocka_unit_test (test_true_size),
    cmocka_unit_test (test_pages_and_mark),
    cmocka_unit_test (test_paint_is_kept),
    cmocka_unit_test (test_bytes_are_the_same),
    cmocka_unit_test (test_pdf),
    cmocka_unit_test (test_png),
    cmocka_unit_test (test_pattern_of_a_cone),
    cmocka_unit_test (test_pattern_ends_opposite_the_artwork),
    cmocka_unit_test (test_skin_of_a_ball),
    cmocka_unit_test (test_skin_of_two_cones),
    cmocka_unit_test (test_skin_of_a_bottle),
    cmocka_unit_test (test_tab),
    cmocka_unit_test (test_zones_on_the_pattern),
    cmocka_unit_test (test_pages),
    cmocka_unit_test (test_pages_for_a_printer),
    cmocka_unit_test (test_saving),
    cmocka_unit_test (test_off_the_wall),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
