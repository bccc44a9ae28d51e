/* SPDX-License-Identifier: LGPL-2.1-or-later */
/* Pictures in a job's artwork, through the plan to the bed. */
#include "show-fixture.h"

#include <cairo.h>
#include <math.h>
#include <stdlib.h>

/* ---- artwork with pictures ---- */

#define SQUARES 6
#define SQUARE 40               /* pixels */

static guint32
checker (guint x,
         guint y)
{
  return (x / SQUARE + y / SQUARE) % 2 == 0 ? 0xff000000u : 0xffffffffu;
}

static void
add_picture (RhyArtworkBuilder *builder,
             guint              n,
             guint32           *pixels,
             double             mm)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, 0, 0);
  rhy_path_line_to (path, mm, 0);
  rhy_path_line_to (path, mm, mm);
  rhy_path_line_to (path, 0, mm);
  rhy_path_close (path);
  RhyPaint *paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_PAD, .smooth = TRUE, .alpha = 1.0,
                                                 .matrix = { mm / n, 0, 0, -mm / n, 0, mm }, .raster = rhy_raster_new (n, n, pixels) });
  rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0.5, 0.5, 0.5, 1 }, .fill_paint = paint,
                                                        .pen.matrix = RHY_AFFINE_IDENTITY });
}

static RhyArtwork *
picture_of (guint   (*pixel) (guint x, guint y),
            guint     n,
            double    mm)
{
  guint32 *pixels = g_new (guint32, n * n);
  for (guint y = 0; y < n; y++)
    for (guint x = 0; x < n; x++)
      pixels[y * n + x] = pixel (x, y);
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add_picture (builder, n, pixels, mm);
  rhy_artwork_builder_set_size (builder, mm, mm, RHY_SIZE_PHYSICAL);
  return rhy_artwork_builder_end (builder);
}

static RhyPlan *
plan_on_cone (RhyArtwork *art,
              const char *artwork,
              int         machine,
              const char *output)
{
  g_autofree char *rest = g_strdup_printf ("[Hold]\nDrive=chuck\n[Machine]\nTravelPerTurn=200\nAxis=%s\nMouth=%s\nTurnReversed=%s\n"
                                           "[Output]\n%s\n", machine & 1 ? "x" : "y", machine & 2 ? "plus" : "minus",
                                           machine & 4 ? "true" : "false", output);
  g_autofree char *placed = g_strdup_printf ("Width=42\nAt=80\n%s", artwork);
  return plan_with (art, "Heights=0;150\nDiameters=62;88", placed, rest);
}

static RhyArtwork *
bend (RhyPlan       *plan,
      RhySpace       to,
      const RhyDots *dots)
{
  GError *error = NULL;
  RhyArtwork *bent = rhy_plan_bend_dots (plan, to, dots, NULL, &error);
  assert_no_error (error);
  return bent;
}

/* ---- where things are in a picture ---- */

static guint32
at_point (const RhyPaint *paint,
          RhyPoint        p)
{
  const double pitch = paint->matrix.xx;
  const int x = (int) floor ((p.x - paint->matrix.x0) / pitch);
  const int y = (int) floor ((p.y - paint->matrix.y0) / pitch);
  const int width = (int) rhy_raster_get_width (paint->raster);
  const int height = (int) rhy_raster_get_height (paint->raster);
  assert_true (x >= 0 && y >= 0 && x < width && y < height);
  return rhy_raster_get_pixels (paint->raster)[(gsize) y * (gsize) width + (gsize) x];
}

/* The corner of a checkerboard near @p, in pixels: the point that every edge around points to, that
 * is where the sum of g g^T (q - p) is 0 over the gradients g. Source: Förstner and Gülch 1987,
 * A fast operator for detection and precise location of distinct points, eq. 5. */
static RhyPoint
corner_near (const RhyRaster *raster,
             RhyPoint         p,
             int              reach)
{
  const int width = (int) rhy_raster_get_width (raster);
  const guint32 *pixels = rhy_raster_get_pixels (raster);
  for (int round = 0; round < 5; round++)
    {
      double a = 0, b = 0, c = 0, u = 0, v = 0;
      for (int y = (int) p.y - reach; y <= (int) p.y + reach; y++)
        for (int x = (int) p.x - reach; x <= (int) p.x + reach; x++)
          {
            const guint32 *q = pixels + (gsize) y * (gsize) width + (gsize) x;
            const double gx = (double) (q[1] & 255u) - (double) (q[-1] & 255u);
            const double gy = (double) (q[width] & 255u) - (double) (q[-width] & 255u);
            a += gx * gx;
            b += gx * gy;
            c += gy * gy;
            u += gx * gx * (x + 0.5) + gx * gy * (y + 0.5);
            v += gx * gy * (x + 0.5) + gy * gy * (y + 0.5);
          }
      const double det = a * c - b * b;
      assert_true (det > 0.0);
      p = (RhyPoint) { (c * u - b * v) / det, (a * v - b * u) / det };
    }
  return p;
}

/* ---- tests ---- */

/* All 25 inner corners, on a cone, for each of the eight machines, with a turn: each within half a dot
 * of where the lay and the drive put it; the maps are tested elsewhere against closed form. */
static void
test_checkerboard_corners (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (checker, SQUARES * SQUARE, 42);
  for (int machine = 0; machine < 8; machine++)
    {
      g_autoptr (RhyPlan) plan = plan_on_cone (art, "Turn=25\nAround=30", machine, "DotsPerInch=150");
      g_autoptr (RhyArtwork) bent = bend (plan, RHY_SPACE_BED, NULL);
      const RhyPaint *paint = rhy_artwork_get_shape (bent, 0)->fill_paint;
      double worst = 0.0;
      for (int j = 1; j < SQUARES; j++)
        for (int i = 1; i < SQUARES; i++)
          {
            RhyPoint p = { 42.0 * i / SQUARES - 21.0, 42.0 * j / SQUARES - 21.0 };
            assert_true (rhy_map_point (rhy_plan_get_lay (plan), p, &p));
            assert_true (rhy_map_point (rhy_plan_get_drive (plan), p, &p));
            const RhyPoint want = { (p.x - paint->matrix.x0) / paint->matrix.xx, (p.y - paint->matrix.y0) / paint->matrix.yy };
            const RhyPoint found = corner_near (paint->raster, want, 8);
            worst = MAX (worst, hypot (found.x - want.x, found.y - want.y));
          }
      print_message ("# machine %d: worst corner %.3f dots off\n", machine, worst);
      assert_true (worst < 0.5);
    }
}

typedef struct { const guint8 *data; gsize n; } Stream;

static cairo_status_t
read_stream (void          *closure,
             unsigned char *data,
             unsigned int   length)
{
  Stream *stream = closure;
  if (stream->n < length)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (data, stream->data, length);
  stream->data += length;
  stream->n -= length;
  return CAIRO_STATUS_SUCCESS;
}

/* As another program opens it. */
static RhyRaster *
read_png (GBytes *png)
{
  Stream stream = { NULL, 0 };
  stream.data = g_bytes_get_data (png, &stream.n);
  cairo_surface_t *surface = cairo_image_surface_create_from_png_stream (read_stream, &stream);
  assert_int_equal (cairo_surface_status (surface), CAIRO_STATUS_SUCCESS);
  const guint width = (guint) cairo_image_surface_get_width (surface);
  const guint height = (guint) cairo_image_surface_get_height (surface);
  guint32 *pixels = g_new (guint32, (gsize) width * height);
  for (guint y = 0; y < height; y++)
    memcpy (pixels + (gsize) y * width, cairo_image_surface_get_data (surface) + (gsize) y * (gsize) cairo_image_surface_get_stride (surface),
            4 * (gsize) width);
  cairo_surface_destroy (surface);
  return rhy_raster_new (width, height, pixels);
}

/* The same through the PNG that a machine is given, at 254 dots an inch, ten to the mm, the mark in the
 * page's middle: half a pixel from where the maps put them. */
static void
test_corners_in_the_png (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (checker, SQUARES * SQUARE, 42);
  for (int machine = 0; machine < 8; machine += 3)
    {
      g_autoptr (RhyPlan) plan = plan_on_cone (art, "Turn=10", machine, "Mark=false");
      const RhyDrawingOptions options = { .dpi = 254 };
      g_autoptr (GBytes) png = rhy_drawing_bed (plan, RHY_FORMAT_PNG, &options, NULL, NULL);
      assert_non_null (png);
      g_autoptr (RhyRaster) page = read_png (png);
      double worst = 0.0;
      for (int j = 1; j < SQUARES; j++)
        for (int i = 1; i < SQUARES; i++)
          {
            RhyPoint p = { 42.0 * i / SQUARES - 21.0, 42.0 * j / SQUARES - 21.0 };
            assert_true (rhy_map_point (rhy_plan_get_lay (plan), p, &p));
            assert_true (rhy_map_point (rhy_plan_get_drive (plan), p, &p));
            const RhyPoint want = { 10.0 * p.x + 0.5 * rhy_raster_get_width (page), 10.0 * p.y + 0.5 * rhy_raster_get_height (page) };
            const RhyPoint found = corner_near (page, want, 8);
            worst = MAX (worst, hypot (found.x - want.x, found.y - want.y));
          }
      print_message ("# machine %d: worst corner %.3f pixels off\n", machine, worst);
      assert_true (worst < 0.5);
    }
}

/* Red where x is small, green where y is small, blue nowhere: it equals none of its turns and mirrors. */
static guint
three_colours (guint x,
               guint y)
{
  return 0xff000000u | (x < 100 ? 0xff0000u : 0u) | (y < 60 ? 0xff00u : 0u);
}

/* The table of DEVELOPERS.md: which way the art's right and up go on the page, x right and y down. */
static const struct { const char *name; RhyPoint right, up; } ways[] = {
  /* Axis=y, mouth minus: down the page: turned 180 degrees */
  [0] = { "y minus", { -1, 0 }, { 0, 1 } },
  [1] = { "x minus", { 0, -1 }, { -1, 0 } },
  [2] = { "y plus", { 1, 0 }, { 0, -1 } },
  [3] = { "x plus", { 0, 1 }, { 1, 0 } },
  /* Turned backwards, what goes around is negated. */
  [4] = { "y minus, reversed", { 1, 0 }, { 0, 1 } },
  [5] = { "x minus, reversed", { 0, 1 }, { -1, 0 } },
  [6] = { "y plus, reversed", { -1, 0 }, { 0, -1 } },
  [7] = { "x plus, reversed", { 0, -1 }, { 1, 0 } },
};

static void
test_right_way_round (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (three_colours, 200, 42);
  for (int machine = 0; machine < 8; machine++)
    {
      g_autoptr (RhyPlan) plan = plan_on_cone (art, "Shades=colour", machine, "Mark=true");
      g_autoptr (RhyArtwork) bent = bend (plan, RHY_SPACE_BED, NULL);
      const RhyPaint *paint = rhy_artwork_get_shape (bent, 0)->fill_paint;
      const RhyPoint r = ways[machine].right;
      const RhyPoint t = ways[machine].up;
      /* 10 mm this way and that from the mark; on the page that is 7 to 11 mm. */
      static const struct { double right, up; guint32 colour; } places[] = {
        { -10, 15, 0xffffff00u }, { 10, 15, 0xff00ff00u }, { -10, -10, 0xffff0000u }, { 10, -10, 0xff000000u },
      };
      for (gsize k = 0; k < G_N_ELEMENTS (places); k++)
        {
          const RhyPoint p = { places[k].right * r.x + places[k].up * t.x, places[k].right * r.y + places[k].up * t.y };
          if (at_point (paint, p) != places[k].colour)
            fail_msg ("%s: at %g %g found %08x, wanted %08x", ways[machine].name, p.x, p.y, at_point (paint, p), places[k].colour);
        }
    }
}

/* In the preview, pushed through the machine, reversed ones too, the picture reads right: what colour is strongest
 * at the pixels under which four places of the art lie. */
static void
test_preview_reads_right (void **state)
{
  (void) state;
  enum { SIDE = 480 };
  g_autoptr (RhyArtwork) art = picture_of (three_colours, 200, 42);
  g_autofree guint32 *pixels = g_new (guint32, SIDE * SIDE);
  for (int machine = 0; machine < 8; machine++)
    {
      g_autoptr (RhyPlan) plan = plan_on_cone (art, "Shades=colour", machine, "");
      g_autoptr (RhyScene) scene = rhy_scene_new (plan, TRUE, NULL);
      const RhyCamera camera = RHY_CAMERA_INIT;
      rhy_scene_render (scene, &camera, NULL, (guint8 *) pixels, SIDE, SIDE, 4 * SIDE);
      guint seen[4] = { 0 };
      for (int y = 2; y < SIDE; y += 3)
        for (int x = 2; x < SIDE; x += 3)
          {
            RhyWallPoint wall;
            RhyPoint p;
            if (!rhy_scene_pick (scene, &camera, SIDE, SIDE, x + 0.5, y + 0.5, &wall)
                || !rhy_map_point_inverse (rhy_plan_get_lay (plan), (RhyPoint) { wall.s, wall.angle }, &p)
                || fabs (p.x) > 19.0 || fabs (p.y) > 19.0 || fabs (p.x) < 1.5 || fabs (p.y - 8.4) < 1.5)
              continue;
            const gboolean left = p.x < 0.0;    /* 100 of 200 pixels: the middle */
            const gboolean high = p.y > 8.4;    /* 60 of 200 pixels from the top: 21 - 12.6 mm */
            const guint32 pixel = pixels[y * SIDE + x];
            const int r = (int) ((pixel >> 16) & 255u);
            const int g = (int) ((pixel >> 8) & 255u);
            const int b = (int) (pixel & 255u);
            assert_int_equal (r > b + 40, left);
            assert_int_equal (g > b + 40, high);
            seen[left + 2 * high]++;
          }
      for (int k = 0; k < 4; k++)
        assert_true (seen[k] > 100);
    }
}

static guint
ramp (guint x,
      guint y)
{
  (void) y;
  const guint g = x * 255 / 199;
  return 0xff000000u | g * 0x010101u;
}

static void
test_shades (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) coloured = picture_of (three_colours, 200, 42);
  g_autoptr (RhyPlan) plan = plan_on_cone (coloured, "", 2, "");
  g_autoptr (RhyArtwork) bent = bend (plan, RHY_SPACE_BED, NULL);
  /* Red's grey, see the test of tones. */
  assert_int_equal (at_point (rhy_artwork_get_shape (bent, 0)->fill_paint, (RhyPoint) { -10, 10 }), 0xff7f7f7fu);

  g_autoptr (RhyArtwork) grey = picture_of (ramp, 200, 42);
  g_autoptr (RhyPlan) dotted = plan_on_cone (grey, "Shades=dots", 2, "");
  g_autoptr (RhyArtwork) dots = bend (dotted, RHY_SPACE_BED, NULL);
  const RhyPaint *paint = rhy_artwork_get_shape (dots, 0)->fill_paint;
  const gsize n = (gsize) rhy_raster_get_width (paint->raster) * rhy_raster_get_height (paint->raster);
  gsize counts[2] = { 0, 0 };
  assert_false (paint->smooth);
  for (gsize i = 0; i < n; i++)
    {
      const guint32 pixel = rhy_raster_get_pixels (paint->raster)[i];
      assert_true (pixel == 0 || pixel == 0xff000000u || pixel == 0xffffffffu);
      counts[0] += pixel == 0xff000000u;
      counts[1] += pixel == 0xffffffffu;
    }
  /* A ramp from black to white is half of each; the picture is a little wider at its top. */
  assert_near ((double) counts[0] / (double) (counts[0] + counts[1]), 0.5, 0.01);
}

/* 300 an inch unless told; the raster's corner at the mark, or where it is asked for. */
static void
test_dots_an_inch (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (ramp, 200, 42);
  g_autoptr (RhyPlan) plan = plan_on_cone (art, "", 2, "");
  g_autoptr (RhyArtwork) bent = bend (plan, RHY_SPACE_BED, NULL);
  const RhyPaint *paint = rhy_artwork_get_shape (bent, 0)->fill_paint;
  assert_near (paint->matrix.xx, 25.4 / 300.0, 1e-12);
  assert_near (remainder (paint->matrix.x0, 25.4 / 300.0), 0.0, 1e-9);

  const RhyDots dots = { .per_inch = 72, .corner = { 0.11, -0.07 } };
  g_autoptr (RhyArtwork) coarse = bend (plan, RHY_SPACE_BED, &dots);
  const RhyPaint *other = rhy_artwork_get_shape (coarse, 0)->fill_paint;
  assert_near (other->matrix.xx, 25.4 / 72.0, 1e-12);
  assert_near (remainder (other->matrix.x0 - 0.11, 25.4 / 72.0), 0.0, 1e-9);
  assert_near (remainder (other->matrix.y0 + 0.07, 25.4 / 72.0), 0.0, 1e-9);

  const RhyDots none = { .per_inch = 0 };
  g_autoptr (RhyArtwork) plain = bend (plan, RHY_SPACE_BED, &none);
  assert_null (rhy_artwork_get_shape (plain, 0)->fill_paint);
  assert_near (rhy_artwork_get_shape (plain, 0)->fill.r, 0.5, 0.0);
}

static guint
fine_ramp (guint x,
           guint y)
{
  (void) y;
  const guint g = x * 255 / 1599;
  return 0xff000000u | g * 0x010101u;
}

/* Any filter that is even and whose weights sum to 1 leaves a straight ramp as it is: halved first or
 * not, the dots are the same, but for roundings (one level a halving, of which there are three) and
 * next to the ends. */
static void
test_quick_dots_say_the_same (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (fine_ramp, 1600, 42);
  g_autoptr (RhyPlan) plan = plan_on_cone (art, "", 2, "");
  const RhyDots careful = { .per_inch = 96 };
  const RhyDots quick = { .per_inch = 96, .quick = TRUE };
  g_autoptr (RhyArtwork) a = bend (plan, RHY_SPACE_BED, &careful);
  g_autoptr (RhyArtwork) b = bend (plan, RHY_SPACE_BED, &quick);
  const RhyPaint *first = rhy_artwork_get_shape (a, 0)->fill_paint, *second = rhy_artwork_get_shape (b, 0)->fill_paint;
  const guint n = rhy_raster_get_width (first->raster) * rhy_raster_get_height (first->raster);
  assert_int_equal (rhy_raster_get_width (second->raster) * rhy_raster_get_height (second->raster), n);
  guint seen = 0;
  for (guint i = 0; i < n; i++)
    {
      const guint32 p = rhy_raster_get_pixels (first->raster)[i], q = rhy_raster_get_pixels (second->raster)[i];
      const int level = (int) (p & 0xff);
      if (p >> 24 < 0xff || q >> 24 < 0xff || level < 16 || level > 239)
        continue;
      assert_true (abs (level - (int) (q & 0xff)) <= 3);
      seen++;
    }
  /* Of the square's 159 dots each way by far the most. */
  assert_true (seen > 159 * 159 * 3 / 4);
}

/* A picture that would fill the memory is refused in one line that says what to change: 150 mm at
 * 2400 dots an inch are 14173 each way. */
static void
test_too_many_dots (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (ramp, 2, 42);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;200\nDiameters=80;80", "Width=150", "[Output]\nDotsPerInch=2400\n");
  GError *error = NULL;
  assert_null (rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, "[Output] DotsPerInch"));
  assert_null (strchr (error->message, '\n'));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

/* All artworks of a job together: 60 mm at 2400 dots an inch are 5670 each way, 32 million; three of them are
 * more than the 67 million allowed, two are not. The gradients have collapsed to nothing, so that none takes long. */
static void
test_too_many_dots_together (void **state)
{
  (void) state;
  for (guint n = 2; n <= 3; n++)
    {
      g_autoptr (GPtrArray) artworks = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_artwork_unref);
      g_autoptr (GString) text = g_string_new ("[Job]\nFormat=1\n[Vessel]\nHeights=0;200\nDiameters=80;80\n[Output]\nDotsPerInch=2400\n");
      for (guint i = 0; i < n; i++)
        {
          RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
          RhyPath *path = rhy_path_new ();
          rhy_path_move_to (path, 0, 0);
          rhy_path_line_to (path, 60, 0);
          rhy_path_line_to (path, 60, 60);
          rhy_path_line_to (path, 0, 60);
          rhy_path_close (path);
          RhyPaint *paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_LINEAR, .extend = RHY_EXTEND_PAD, .alpha = 1.0,
                                                         .stops = g_new0 (RhyStop, 1), .n_stops = 1 });
          rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0, 0, 0, 1 }, .fill_paint = paint,
                                                                .pen.matrix = RHY_AFFINE_IDENTITY });
          g_ptr_array_add (artworks, rhy_artwork_builder_end (builder));
          g_string_append_printf (text, "[Artwork %c]\nWidth=60\nFile=%c.svg\nAround=%u\n", 'a' + i, 'a' + i, 120 * i);
        }
      GError *error = NULL;
      g_autoptr (RhyJob) job = rhy_job_new_from_data (text->str, text->len, "test.rhyton", &error);
      assert_no_error (error);
      g_autoptr (RhyPlan) plan = rhy_plan_new_like (job, (RhyArtwork *const *) artworks->pdata, NULL, NULL, &error);
      assert_no_error (error);
      g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error);
      if (n == 2)
        assert_no_error (error);
      else
        {
          assert_null (bent);
          assert_non_null (strstr (error->message, "more than 67108864 dots"));
          assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
        }
    }
}

static const RhyFinding *
finding_of (const RhyVerdict *verdict,
            const char       *code)
{
  for (gsize i = 0; i < rhy_verdict_get_n_findings (verdict); i++)
    if (strcmp (rhy_verdict_get_finding (verdict, i)->code, code) == 0)
      return rhy_verdict_get_finding (verdict, i);
  return NULL;
}

/* 42 mm over 200 pixels are 0.21 mm each, and a rolled lay on a cone stretches nothing: coarser
 * than one and a half times 25.4/300 = 0.085 mm; 42/0.0847 = 496 pixels would do. */
static void
test_verdict (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = picture_of (ramp, 200, 42);
  g_autoptr (RhyPlan) plan = plan_on_cone (art, "", 2, "");
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  const RhyFinding *f = finding_of (verdict, "picture-inside");
  assert_non_null (f);
  assert_int_equal (f->level, RHY_LEVEL_NOTE);
  assert_non_null (strstr (f->message, "1 picture is drawn as a picture of 300 dots an inch (0.085 mm)"));
  assert_non_null (strstr (f->message, "0.210 to 0.210 mm on the wall"));
  f = finding_of (verdict, "picture-coarse");
  assert_non_null (f);
  assert_int_equal (f->level, RHY_LEVEL_CARE);
  assert_non_null (strstr (f->message, "200 x 200 pixels has dots of 0.21 mm on the wall"));
  assert_non_null (strstr (f->message, "497 x 497"));

  g_autoptr (RhyPlan) coarser = plan_on_cone (art, "Shades=dots", 2, "DotsPerInch=150");
  g_autoptr (RhyVerdict) fine = rhy_verdict_new (coarser, NULL);
  assert_null (finding_of (fine, "picture-coarse"));
  assert_non_null (strstr (finding_of (fine, "picture-inside")->message, "in black dots"));
}

static guint
disc_in_white (guint x,
               guint y)
{
  return hypot (x + 0.5 - 100.0, y + 0.5 - 100.0) < 50.0 ? 0xff000000u : 0xffffffffu;
}

/* Traced, a picture is the outline of its ink, and Width is that ink's: a disc of half the picture's
 * width comes out 42 mm wide. The disc's edge is in whole pixels of 0.42 mm. */
static void
test_traced (void **state)
{
  (void) state;
  if (!rhy_trace_is_available ())
    skip ();
  g_autoptr (RhyArtwork) art = picture_of (disc_in_white, 200, 42);
  g_autoptr (RhyPlan) plan = plan_on_cone (art, "Trace=yes", 2, "");
  const RhyArtwork *traced = rhy_plan_get_artwork (plan);
  assert_int_equal (rhy_artwork_get_n_shapes (traced), 1);
  const RhyShape *shape = rhy_artwork_get_shape (traced, 0);
  assert_null (shape->fill_paint);
  const RhyBounds box = rhy_path_get_bounds (shape->path);
  assert_near (box.max_x - box.min_x, 42.0, 1e-6);
  assert_near (box.max_y - box.min_y, 42.0, 0.42);
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_null (finding_of (verdict, "picture-inside"));
  assert_non_null (finding_of (verdict, "picture-traced"));
  assert_non_null (strstr (finding_of (verdict, "picture-traced")->message, "1 picture is traced to outlines"));

  /* A renewed plan with other tracing is another artwork. */
  g_autoptr (RhyJob) job = rhy_job_with (rhy_plan_get_job (plan), "Artwork", "Trace", "no", NULL);
  g_autoptr (RhyPlan) renewed = rhy_plan_renewed (plan, job, NULL);
  assert_non_null (rhy_artwork_get_shape (rhy_plan_get_artwork (renewed), 0)->fill_paint);
}

static guint
all_white (guint x,
           guint y)
{
  (void) x, (void) y;
  return 0xffffffffu;
}

static void
test_nothing_to_trace (void **state)
{
  (void) state;
  if (!rhy_trace_is_available ())
    skip ();
  g_autoptr (RhyArtwork) art = picture_of (all_white, 20, 42);
  g_autoptr (RhyJob) job = rhy_job_new_from_data ("[Job]\nFormat=1\n[Vessel]\nHeights=0;150\nDiameters=62;88\n[Artwork]\nFile=a.svg\n"
                                                  "Width=40\nTrace=yes\n", -1, NULL, NULL);
  GError *error = NULL;
  assert_null (rhy_plan_new (job, art, NULL, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, "TraceThreshold"));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_checkerboard_corners),
    cmocka_unit_test (test_corners_in_the_png),
    cmocka_unit_test (test_right_way_round),
    cmocka_unit_test (test_preview_reads_right),
    cmocka_unit_test (test_shades),
    cmocka_unit_test (test_dots_an_inch),
    cmocka_unit_test (test_quick_dots_say_the_same),
    cmocka_unit_test (test_too_many_dots),
    cmocka_unit_test (test_too_many_dots_together),
    cmocka_unit_test (test_verdict),
    cmocka_unit_test (test_traced),
    cmocka_unit_test (test_nothing_to_trace),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
