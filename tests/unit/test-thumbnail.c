/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "show-fixture.h"

#include <math.h>

/* All expected pixels are by hand: where the artwork's box lies in a picture that leaves
 * a twentieth free, and what colour is there. */

#define SIDE 200u

static guint32
at (const RhyRaster *picture,
    double           x,
    double           y)
{
  return rhy_raster_get_pixels (picture)[(guint) y * rhy_raster_get_width (picture) + (guint) x];
}

static RhyRaster *
thumbnail (RhyPlan  *plan,
           gboolean  original,
           guint     width,
           guint     height)
{
  GError *error = NULL;
  RhyRaster *picture = rhy_thumbnail_new (plan, original, width, height, &error);
  assert_no_error (error);
  assert_int_equal (rhy_raster_get_width (picture), width);
  assert_int_equal (rhy_raster_get_height (picture), height);
  return picture;
}

/* The F is 30 by 50: 180 pixels high of 200, so 3.6 a unit and 108 wide. Its left edge is at
 * 100 - 54, its top at 10. A mirrored or upside-down one has paper where this one has ink. */
static void
test_letter_is_upright (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = f_plan (0);
  for (int original = 0; original < 2; original++)
    {
      g_autoptr (RhyRaster) picture = thumbnail (plan, original, SIDE, SIDE);
      assert_int_equal (at (picture, 46 + 3.6 * 4, 190 - 3.6 * 4), 0xff000000u);        /* foot of the stem */
      assert_int_equal (at (picture, 46 + 3.6 * 28, 190 - 3.6 * 46), 0xff000000u);      /* end of the long arm */
      assert_int_equal (at (picture, 46 + 3.6 * 28, 190 - 3.6 * 24), 0xffffffffu);      /* beyond the short one */
      assert_int_equal (at (picture, 46 + 3.6 * 20, 190 - 3.6 * 4), 0xffffffffu);
      assert_int_equal (at (picture, 46 - 2, 100), 0xffffffffu);
      assert_int_equal (at (picture, 5, 5), 0xffffffffu);
    }
}

/* As wide as it fits where the width decides: 30 units over 90 of 100 pixels. */
static void
test_narrow_picture_fits_the_width (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = f_plan (0);
  g_autoptr (RhyRaster) picture = thumbnail (plan, FALSE, 100, 400);
  assert_int_equal (at (picture, 6, 200), 0xff000000u);
  assert_int_equal (at (picture, 4, 200), 0xffffffffu);
  assert_int_equal (at (picture, 93, 200 - 3 * 23), 0xff000000u);
  assert_int_equal (at (picture, 96, 200 - 3 * 23), 0xffffffffu);
}

/* A square picture of 40 mm, its left half of one colour, its right half of another. */
static RhyPlan *
halves (guint32     left,
        guint32     right,
        const char *artwork)
{
  const guint n = 40;
  guint32 *pixels = g_new (guint32, n * n);
  for (guint i = 0; i < n * n; i++)
    pixels[i] = i % n < n / 2 ? left : right;
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, 0, 0);
  rhy_path_line_to (path, n, 0);
  rhy_path_line_to (path, n, n);
  rhy_path_line_to (path, 0, n);
  rhy_path_close (path);
  RhyPaint *paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_PAD, .smooth = TRUE, .alpha = 1.0,
                                                 .matrix = { 1, 0, 0, -1, 0, n }, .raster = rhy_raster_new (n, n, pixels) });
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0.5, 0.5, 0.5, 1 }, .fill_paint = paint,
                                                        .pen.matrix = RHY_AFFINE_IDENTITY });
  rhy_artwork_builder_set_size (builder, n, n, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyArtwork) art = rhy_artwork_builder_end (builder);
  g_autofree char *placed = g_strdup_printf ("Width=40\nAt=80\n%s", artwork);
  return plan_with (art, "Heights=0;150\nDiameters=62;88", placed, "");
}

/* Red's grey is 127: Y = 0.2126 coded as sRGB (IEC 61966-2-1). As it came in it is red. */
static void
test_shades_are_the_job_s (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) grey = halves (0xffff0000u, 0xffffffffu, "Shades=grey");
  g_autoptr (RhyRaster) result = thumbnail (grey, FALSE, SIDE, SIDE);
  g_autoptr (RhyRaster) original = thumbnail (grey, TRUE, SIDE, SIDE);
  assert_int_equal (at (result, 50, 100), 0xff7f7f7fu);
  assert_int_equal (at (result, 150, 100), 0xffffffffu);
  assert_int_equal (at (original, 50, 100), 0xffff0000u);
  g_autoptr (RhyPlan) colour = halves (0xffff0000u, 0xffffffffu, "Shades=colour");
  g_autoptr (RhyRaster) own = thumbnail (colour, FALSE, SIDE, SIDE);
  assert_int_equal (at (own, 50, 100), 0xffff0000u);
}

/* Dots are black or white and nothing between, and as dense as the tone: 0x40 of 255 leaves 25 % white. */
static void
test_dots_are_crisp (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = halves (0xff404040u, 0xff404040u, "Shades=dots\n[Output]\nDotsPerInch=600");
  g_autoptr (RhyRaster) picture = thumbnail (plan, FALSE, SIDE, SIDE);
  guint white = 0, other = 0, n = 0;
  for (guint y = 20; y < 180; y++)
    for (guint x = 20; x < 180; x++, n++)
      {
        const guint32 pixel = at (picture, x, y);
        white += pixel == 0xffffffffu;
        other += pixel != 0xffffffffu && pixel != 0xff000000u;
      }
  assert_int_equal (other, 0);
  assert_near ((double) white / n, 0x40 / 255.0, 0.01);
}

/* Traced, only the dark half is left, and it is that which is 40 mm wide: it fills the picture
 * from edge to edge, half as wide as high. */
static void
test_tracing_leaves_the_dark_half (void **state)
{
  (void) state;
  if (!rhy_trace_is_available ())
    skip ();
  g_autoptr (RhyPlan) plan = halves (0xff505050u, 0xffb0b0b0u, "Trace=yes");
  g_autoptr (RhyRaster) picture = thumbnail (plan, FALSE, SIDE, SIDE);
  assert_int_equal (at (picture, 100, 100), 0xff000000u);
  assert_int_equal (at (picture, 58, 100), 0xff000000u);
  assert_int_equal (at (picture, 51, 100), 0xffffffffu);
  assert_int_equal (at (picture, 149, 100), 0xffffffffu);
  assert_int_equal (at (picture, 100, 13), 0xff000000u);
  assert_int_equal (at (picture, 100, 7), 0xffffffffu);
}

static void
test_no_ink_is_an_error (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data ("[Job]\nFormat=1\n[Vessel]\nHeights=0;150\nDiameters=62;88\n", -1, NULL, &error);
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, NULL, NULL, &error);
  assert_no_error (error);
  assert_null (rhy_thumbnail_new (plan, FALSE, SIDE, SIDE, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_letter_is_upright),
    cmocka_unit_test (test_narrow_picture_fits_the_width),
    cmocka_unit_test (test_shades_are_the_job_s),
    cmocka_unit_test (test_dots_are_crisp),
    cmocka_unit_test (test_tracing_leaves_the_dark_half),
    cmocka_unit_test (test_no_ink_is_an_error),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
