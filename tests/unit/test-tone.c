/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/rhyton.h>

static guint32
one (RhyRaster *(*operation) (const RhyRaster *),
     guint32 pixel)
{
  guint32 *pixels = g_new (guint32, 1);
  pixels[0] = pixel;
  g_autoptr (RhyRaster) raster = rhy_raster_new (1, 1, pixels);
  g_autoptr (RhyRaster) made = operation (raster);
  return rhy_raster_get_pixels (made)[0];
}

/* The luminances of the primaries coded again, 255 (1.055 Y^(1/2.4) - 0.055), worked out with a
 * desk calculator: Y 0.2126 gives 127.1, 0.7152 gives 219.9, 0.0722 gives 76.0; yellow's
 * 0.9278 gives 246.8. */
static void
test_grey_of_primaries (void **state)
{
  (void) state;
  static const struct { guint32 colour; int grey; } cases[] = {
    { 0xffff0000u, 127 }, { 0xff00ff00u, 220 }, { 0xff0000ffu, 76 }, { 0xffffff00u, 247 },
    { 0xffffffffu, 255 }, { 0xff000000u, 0 }, { 0xff7b7b7bu, 123 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    assert_int_equal (one (rhy_raster_grey, cases[i].colour), 0xff000000u | (guint32) cases[i].grey * 0x010101u);
  /* Half of red: the same grey, at the same alpha. */
  assert_int_equal (one (rhy_raster_grey, 0x80800000u), 0x80404040u);
  assert_int_equal (one (rhy_raster_grey, 0), 0);
}

static RhyRaster *
ramp (guint width,
      guint height)
{
  guint32 *pixels = g_new (guint32, width * height);
  for (guint i = 0; i < width * height; i++)
    {
      const guint32 g = 255u * (i % width) / (width - 1);
      pixels[i] = 0xff000000u | g * 0x010101u;
    }
  return rhy_raster_new (width, height, pixels);
}

/* Ulichney 1987: a dither's mean is the tone's. Over blocks, and over all. */
static void
test_dots_keep_the_tone (void **state)
{
  (void) state;
  const guint w = 512, h = 512;
  g_autoptr (RhyRaster) raster = ramp (w, h);
  g_autoptr (RhyRaster) dots = rhy_raster_dots (raster);
  const guint32 *in = rhy_raster_get_pixels (raster);
  const guint32 *out = rhy_raster_get_pixels (dots);
  double all = 0.0;
  for (guint by = 0; by < h; by += 64)
    for (guint bx = 0; bx < w; bx += 64)
      {
        double off = 0.0;
        for (guint y = by; y < by + 64; y++)
          for (guint x = bx; x < bx + 64; x++)
            {
              assert_true (out[y * w + x] == 0xff000000u || out[y * w + x] == 0xffffffffu);
              off += (double) (out[y * w + x] & 255u) - (double) (in[y * w + x] & 255u);
            }
        all += off;
        assert_near (off / (64 * 64), 0.0, 4.0);        /* what block edges pass on to each other */
      }
  assert_near (all / (w * h), 0.0, 0.5);
}

/* Every even tone, a picture of its own, within 1/255. */
static void
test_even_tones (void **state)
{
  (void) state;
  const guint w = 150, h = 130;
  for (guint32 g = 0; g < 256; g += 3)
    {
      guint32 *pixels = g_new (guint32, w * h);
      for (guint i = 0; i < w * h; i++)
        pixels[i] = 0xff000000u | g * 0x010101u;
      g_autoptr (RhyRaster) raster = rhy_raster_new (w, h, pixels);
      g_autoptr (RhyRaster) dots = rhy_raster_dots (raster);
      double sum = 0.0;
      for (guint i = 0; i < w * h; i++)
        sum += rhy_raster_get_pixels (dots)[i] & 255u;
      assert_near (sum / (w * h), g, 1.0);
    }
}

/* A checkerboard out of an even half tone would be a pattern: of the dots in the middle no
 * more than three in four differ from their right neighbour. */
static void
test_half_tone_is_no_pattern (void **state)
{
  (void) state;
  const guint w = 200, h = 200;
  guint32 *pixels = g_new (guint32, w * h);
  for (guint i = 0; i < w * h; i++)
    pixels[i] = 0xff808080u;
  g_autoptr (RhyRaster) raster = rhy_raster_new (w, h, pixels);
  g_autoptr (RhyRaster) dots = rhy_raster_dots (raster);
  const guint32 *out = rhy_raster_get_pixels (dots);
  guint differ = 0;
  for (guint y = 20; y < 180; y++)
    for (guint x = 20; x < 180; x++)
      differ += out[y * w + x] != out[y * w + x + 1];
  print_message ("# %.3f of neighbours differ\n", differ / 25600.0);
  assert_true (differ < 25600 * 3 / 4);
  assert_true (differ > 25600 / 2);     /* but dots keep apart: chance would have them differ half the time */
}

static void
test_dots_are_the_same_again (void **state)
{
  (void) state;
  g_autoptr (RhyRaster) raster = ramp (301, 77);
  g_autoptr (RhyRaster) first = rhy_raster_dots (raster);
  g_autoptr (RhyRaster) again = rhy_raster_dots (raster);
  assert_memory_equal (rhy_raster_get_pixels (first), rhy_raster_get_pixels (again), 301 * 77 * 4);
}

/* Nothing is drawn where there is nothing, and nothing white over what lies under a veil. */
static void
test_dots_and_alpha (void **state)
{
  (void) state;
  assert_int_equal (one (rhy_raster_dots, 0), 0);
  assert_int_equal (one (rhy_raster_dots, 0xffffffffu), 0xffffffffu);
  assert_int_equal (one (rhy_raster_dots, 0xff000000u), 0xff000000u);
  assert_int_equal (one (rhy_raster_dots, 0x10000000u), 0);
  assert_int_equal (one (rhy_raster_dots, 0xf0000000u), 0xff000000u);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_grey_of_primaries),
    cmocka_unit_test (test_dots_keep_the_tone),
    cmocka_unit_test (test_even_tones),
    cmocka_unit_test (test_half_tone_is_no_pattern),
    cmocka_unit_test (test_dots_are_the_same_again),
    cmocka_unit_test (test_dots_and_alpha),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
