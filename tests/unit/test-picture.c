/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <gdk-pixbuf/gdk-pixbuf.h>
#include <string.h>

#include <glib/gstdio.h>

#include <rhyton/intake.h>

/* PNG and JPEG files as artwork. They are written here by gdk-pixbuf; what they state
 * of their size is put in by hand, by ISO/IEC 15948 and by Exif 2.3. */

/* Left half red, right half blue, the lowest row green. */
static GByteArray *
picture (const char *type,
         int         width,
         int         height,
         const char *dpi)
{
  g_autoptr (GdkPixbuf) pixbuf = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, width, height);
  guint8 *pixels = gdk_pixbuf_get_pixels (pixbuf);
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        guint8 *p = pixels + y * gdk_pixbuf_get_rowstride (pixbuf) + 3 * x;
        p[0] = y < height / 2 && x < width / 2 ? 255 : 0;
        p[1] = y >= height / 2 ? 255 : 0;
        p[2] = y < height / 2 && x >= width / 2 ? 255 : 0;
      }
  char *data = NULL;
  gsize size = 0;
  GError *error = NULL;
  char *keys[] = { dpi != NULL ? (char *) "x-dpi" : NULL, (char *) "y-dpi", NULL };
  char *values[] = { (char *) dpi, (char *) dpi, NULL };
  gdk_pixbuf_save_to_bufferv (pixbuf, &data, &size, type, keys, values, &error);
  assert_no_error (error);
  GByteArray *bytes = g_byte_array_new_take ((guint8 *) data, size);
  return bytes;
}

static void
insert (GByteArray   *bytes,
        guint         at,
        const guint8 *data,
        guint         n)
{
  g_byte_array_set_size (bytes, bytes->len + n);
  memmove (bytes->data + at + n, bytes->data + at, bytes->len - n - at);
  memcpy (bytes->data + at, data, n);
}

static RhyArtwork *
take_in (GByteArray *bytes,
         GError    **error)
{
  g_autoptr (GBytes) copy = g_bytes_new (bytes->data, bytes->len);
  return rhy_intake_bytes (copy, NULL, NULL, error);
}

static void
check_size (GByteArray *bytes,
            double      width_mm,
            double      height_mm,
            gboolean    stated)
{
  GError *error = NULL;
  g_autoptr (RhyArtwork) a = take_in (bytes, &error);
  assert_no_error (error);
  double width, height;
  rhy_artwork_get_page (a, &width, &height);
  assert_near (width, width_mm, 1e-9);
  assert_near (height, height_mm, 1e-9);
  assert_int_equal (rhy_artwork_get_size_source (a), stated ? RHY_SIZE_PHYSICAL : RHY_SIZE_VIEWBOX);
  const RhyBounds ink = rhy_artwork_get_ink_box (a);
  assert_near (ink.max_x - ink.min_x, width_mm, 1e-9);
  assert_near (ink.min_y, 0.0, 1e-9);
  assert_true ((rhy_artwork_get_notes (a)[0] == NULL) == stated);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  assert_int_equal (rhy_artwork_get_n_pictures (a), 1);
  assert_int_equal (rhy_artwork_get_picture (a, 0)->kind, RHY_PICTURE_IMAGE);
  g_byte_array_unref (bytes);
}

/* Sizes by hand: pixels over pixels a mm. */
static void
test_size_as_the_file_states (void **state)
{
  (void) state;
  /* 5000 x 10000 pixels a metre, and the check sum (zlib's crc32). */
  static const guint8 phys[] = { 0, 0, 0, 9, 'p', 'H', 'Y', 's', 0, 0, 0x13, 0x88, 0, 0, 0x27, 0x10, 1, 0x39, 0x70, 0x44, 0x76 };
  GByteArray *png = picture ("png", 30, 20, NULL);
  insert (png, 33, phys, sizeof phys);
  check_size (png, 6.0, 2.0, TRUE);
  check_size (picture ("png", 30, 20, NULL), 30 * 25.4 / 96, 20 * 25.4 / 96, FALSE);
  check_size (picture ("jpeg", 30, 20, "300"), 30 * 25.4 / 300, 20 * 25.4 / 300, TRUE);
  /* JFIF: bytes 13 to 17 are the unit and two densities; unit 2 is the centimetre. */
  GByteArray *jpeg = picture ("jpeg", 30, 20, "300");
  memcpy (jpeg->data + 13, (const guint8[]) { 2, 0, 100, 0, 50 }, 5);
  check_size (jpeg, 3.0, 4.0, TRUE);
  jpeg = picture ("jpeg", 30, 20, "300");
  jpeg->data[13] = 0;
  check_size (jpeg, 30 * 25.4 / 96, 20 * 25.4 / 96, FALSE);
}

static guint32
pixel (RhyArtwork *a,
       guint       x,
       guint       y)
{
  const RhyRaster *raster = rhy_artwork_get_shape (a, 0)->fill_paint->raster;
  return rhy_raster_get_pixels (raster)[y * rhy_raster_get_width (raster) + x];
}

static void
test_pixels_lie_where_they_should (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (GByteArray) png = picture ("png", 30, 20, NULL);
  g_autoptr (RhyArtwork) a = take_in (png, &error);
  assert_no_error (error);
  assert_int_equal (pixel (a, 0, 0), 0xffff0000u);
  assert_int_equal (pixel (a, 29, 0), 0xff0000ffu);
  assert_int_equal (pixel (a, 0, 19), 0xff00ff00u);
  /* The upper left corner of pixel space is the upper left corner of the page. */
  const RhyPaint *paint = rhy_artwork_get_shape (a, 0)->fill_paint;
  const RhyPoint corner = rhy_affine_apply (paint->matrix, (RhyPoint) { 0, 0 });
  const RhyPoint other = rhy_affine_apply (paint->matrix, (RhyPoint) { 30, 20 });
  assert_near (corner.x, 0.0, 1e-9);
  assert_near (corner.y, 20 * 25.4 / 96, 1e-9);
  assert_near (other.x, 30 * 25.4 / 96, 1e-9);
  assert_near (other.y, 0.0, 1e-9);
}

/* Exif 2.3, tag 0x0112: 6 means that row 0 is the right side and column 0 the top. */
static void
test_camera_held_upright (void **state)
{
  (void) state;
  static const guint8 exif[] = { 0xff, 0xe1, 0, 34, 'E', 'x', 'i', 'f', 0, 0, 'M', 'M', 0, 42, 0, 0, 0, 8, 0, 1,
                                 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, 6, 0, 0, 0, 0, 0, 0 };
  GError *error = NULL;
  g_autoptr (GByteArray) jpeg = picture ("jpeg", 64, 32, "254");
  insert (jpeg, 20, exif, sizeof exif);         /* behind JFIF's segment of 18 bytes and the mark of 2 */
  g_autoptr (RhyArtwork) a = take_in (jpeg, &error);
  assert_no_error (error);
  double width, height;
  rhy_artwork_get_page (a, &width, &height);
  assert_near (width, 3.2, 1e-9);
  assert_near (height, 6.4, 1e-9);
  /* Red was upper left and is upper right; green was below and is on the left. JPEG is near, not exact. */
  assert_true ((pixel (a, 29, 4) >> 16 & 255) > 200 && (pixel (a, 29, 4) & 255) < 60);
  assert_true ((pixel (a, 29, 60) & 255) > 200);
  assert_true ((pixel (a, 3, 30) >> 8 & 255) > 200);
}

static void
check_refused (GByteArray *bytes,
               RhyError    code,
               const char *says)
{
  GError *error = NULL;
  assert_null (take_in (bytes, &error));
  assert_non_null (error);
  if (strstr (error->message, says) == NULL)
    print_error ("%s\n", error->message);
  assert_non_null (strstr (error->message, says));
  assert_null (strchr (error->message, '\n'));
  assert_error (error, RHY_ERROR, code);
  g_byte_array_unref (bytes);
}

/* What the header promises is not even begun to be unpacked. */
static void
test_too_many_pixels_are_refused_by_the_header (void **state)
{
  (void) state;
  GByteArray *png = picture ("png", 30, 20, NULL);
  memcpy (png->data + 16, (const guint8[]) { 0, 0, 0xea, 0x60, 0, 0, 0xea, 0x60 }, 8);
  check_refused (png, RHY_ERROR_LIMIT, "60000 x 60000 pixels: more than the 67 million");
  png = picture ("png", 30, 20, NULL);
  memcpy (png->data + 16, (const guint8[]) { 0, 0, 0x9c, 0x40, 0, 0, 0, 20 }, 8);
  check_refused (png, RHY_ERROR_LIMIT, "40000 x 20 pixels: longer than the 32767");
}

static void
test_damaged_pictures (void **state)
{
  (void) state;
  GByteArray *bytes = picture ("png", 30, 20, NULL);
  check_refused (g_byte_array_set_size (bytes, 20), RHY_ERROR_ARTWORK, "damaged PNG");
  bytes = picture ("png", 30, 20, NULL);
  check_refused (g_byte_array_set_size (bytes, 60), RHY_ERROR_ARTWORK, "damaged PNG");
  bytes = picture ("jpeg", 30, 20, NULL);
  check_refused (g_byte_array_set_size (bytes, 30), RHY_ERROR_ARTWORK, "damaged JPEG");
  bytes = picture ("png", 30, 20, NULL);
  memset (bytes->data + 16, 0, 4);
  check_refused (bytes, RHY_ERROR_ARTWORK, "damaged PNG");
  g_autoptr (GdkPixbuf) clear = gdk_pixbuf_new (GDK_COLORSPACE_RGB, TRUE, 8, 4, 4);
  gdk_pixbuf_fill (clear, 0xff000000u);
  char *data;
  gsize size;
  assert_true (gdk_pixbuf_save_to_buffer (clear, &data, &size, "png", NULL, NULL));
  check_refused (g_byte_array_new_take ((guint8 *) data, size), RHY_ERROR_ARTWORK, "no ink");
}

/* A file that is called a picture and is none, nor a drawing, is a damaged picture; the same bytes called
 * a drawing are no drawing. What is inside decides where it can. */
/* SOF0 of ISO/IEC 10918-1, B.2.2: 8 bits, 2 lines of 3, four components; 10918-6, 6.5.3 (from memory), has the segment that
 * says how CMYK is counted, which is not there. */
static void
test_inks_that_may_be_upside_down (void **state)
{
  (void) state;
  static const guint8 bytes[] = { 0xff, 0xd8, 0xff, 0xc0, 0, 20, 8, 0, 2, 0, 3, 4, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0, 4, 0x11, 0, 0xff, 0xd9 };
  GByteArray *jpeg = g_byte_array_new ();
  g_byte_array_append (jpeg, bytes, sizeof bytes);
  check_refused (jpeg, RHY_ERROR_ARTWORK, "four printing inks");
}

static void
test_name_of_a_damaged_picture (void **state)
{
  (void) state;
  static const struct { const char *name, *part; } rows[] = {
    { "broken.png", "damaged picture" }, { "broken.JPG", "damaged picture" }, { "broken.jpeg", "damaged picture" },
    { "broken.svg", "not an SVG drawing" }, { "png", "not an SVG drawing" },
  };
  GError *error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-XXXXXX", &error);
  assert_no_error (error);
  g_autoptr (GByteArray) bytes = picture ("png", 30, 20, NULL);
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autofree char *path = g_build_filename (folder, rows[i].name, NULL);
      memcpy (bytes->data, "XX", 2);
      assert_true (g_file_set_contents (path, (const char *) bytes->data, bytes->len, NULL));
      assert_null (rhy_intake_file (path, NULL, NULL, &error));
      if (strstr (error->message, rows[i].part) == NULL || strchr (error->message, '\n') != NULL)
        fail_msg ("%s: %s", rows[i].name, error->message);
      assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
      error = NULL;

      memcpy (bytes->data, "\x89P", 2);
      assert_true (g_file_set_contents (path, (const char *) bytes->data, bytes->len, NULL));
      g_autoptr (RhyArtwork) a = rhy_intake_file (path, NULL, NULL, &error);
      assert_no_error (error);
      assert_int_equal (g_remove (path), 0);
    }
  assert_int_equal (g_rmdir (folder), 0);
}

/* Three pictures in one drawing, one of them twice: each where the drawing puts it, with its own
 * pixels. Places and colours by hand. */
static void
test_several_in_one_drawing (void **state)
{
  (void) state;
  static const struct { double x, y; int which; } places[] = { { 0, 0, 0 }, { 40, 10, 1 }, { 10, 60, 2 }, { 60, 70, 1 } };
  static const guint32 colours[] = { 0xffff0000u, 0xff00ff00u, 0xff0000ffu };
  g_autoptr (GString) svg = g_string_new ("<svg xmlns='http://www.w3.org/2000/svg' xmlns:xlink='http://www.w3.org/1999/xlink'"
                                          " width='100mm' height='100mm' viewBox='0 0 100 100'>");
  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      g_autoptr (GdkPixbuf) pixbuf = gdk_pixbuf_new (GDK_COLORSPACE_RGB, FALSE, 8, 5 + places[i].which, 4);
      gdk_pixbuf_fill (pixbuf, colours[places[i].which] << 8 | 255u);
      char *data = NULL;
      gsize size = 0;
      assert_true (gdk_pixbuf_save_to_buffer (pixbuf, &data, &size, places[i].which == 2 ? "jpeg" : "png", NULL, NULL));
      g_autofree char *text = g_base64_encode ((const guint8 *) data, size);
      g_string_append_printf (svg, "<image x='%g' y='%g' width='20' height='10' preserveAspectRatio='none'"
                                   " xlink:href='data:image/%s;base64,%s'/>",
                              places[i].x, places[i].y, places[i].which == 2 ? "jpeg" : "png", text);
      g_free (data);
    }
  g_string_append (svg, "</svg>");

  GError *error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new (svg->str, svg->len);
  g_autoptr (RhyArtwork) a = rhy_intake_bytes (bytes, NULL, NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 4);
  assert_int_equal (rhy_artwork_get_n_pictures (a), 4);
  assert_null (rhy_artwork_get_notes (a)[0]);
  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (a, i);
      const RhyBounds box = rhy_path_get_bounds (shape->path);
      assert_near (box.min_x, places[i].x, 1e-3);
      assert_near (box.max_x, places[i].x + 20.0, 1e-3);
      assert_near (box.max_y, 100.0 - places[i].y, 1e-3);
      assert_near (box.min_y, 90.0 - places[i].y, 1e-3);
      const RhyRaster *raster = shape->fill_paint->raster;
      assert_int_equal (rhy_raster_get_width (raster), 5 + places[i].which);
      assert_int_equal (rhy_raster_get_height (raster), 4);
      const guint32 pixel = rhy_raster_get_pixels (raster)[7];
      for (int shift = 0; shift < 24; shift += 8)       /* JPEG is near, not equal */
        assert_near ((pixel >> shift) & 255u, (colours[places[i].which] >> shift) & 255u, 3.0);
    }
}

/* Any cut and any changed byte: an artwork or one line, never a death. */
static void
test_spoilt_pictures_end_in_one_line (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (20260101);
  for (int i = 0; i < 60; i++)
    {
      GError *error = NULL;
      g_autoptr (GByteArray) bytes = picture (i % 2 == 0 ? "png" : "jpeg", 30, 20, NULL);
      if (i % 3 == 0)
        g_byte_array_set_size (bytes, (guint) g_rand_int_range (rand, 10, (gint32) bytes->len));
      for (int k = 0; k < 3; k++)
        bytes->data[g_rand_int_range (rand, 8, (gint32) bytes->len)] ^= (guint8) (1 << g_rand_int_range (rand, 0, 8));
      g_autoptr (RhyArtwork) a = take_in (bytes, &error);
      assert_true ((a == NULL) == (error != NULL));
      if (error != NULL)
        {
          assert_null (strchr (error->message, '\n'));
          assert_null (strstr (error->message, "died"));
        }
      g_clear_error (&error);
    }
}

/* By hand: means of two by two, each channel by itself, halves rounded up; an odd last column and
 * row count twice. */
static void
test_halves (void **state)
{
  static const guint32 given[] = {
    0xff000000u, 0xff0000ffu, 0x80800000u,
    0xff00ff00u, 0xffff0000u, 0x00000000u,
    0xff102030u, 0xff102031u, 0xff000000u,
  };
  (void) state;
  g_autoptr (RhyRaster) whole = rhy_raster_new (3, 3, g_memdup2 (given, sizeof given));
  g_autoptr (RhyRaster) halved = rhy_raster_dup_halved (whole);
  g_autoptr (RhyRaster) again = rhy_raster_dup_halved (whole);
  assert_ptr_equal (halved, again);
  assert_int_equal (rhy_raster_get_width (halved), 2);
  assert_int_equal (rhy_raster_get_height (halved), 2);
  const guint32 *got = rhy_raster_get_pixels (halved);
  assert_int_equal (got[0], 0xff404040u);
  assert_int_equal (got[1], 0x40400000u);
  assert_int_equal (got[2], 0xff102031u);
  assert_int_equal (got[3], 0xff000000u);
  g_autoptr (RhyRaster) last = rhy_raster_dup_halved (halved);
  assert_int_equal (rhy_raster_get_width (last), 1);
  assert_int_equal (rhy_raster_get_height (last), 1);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_size_as_the_file_states),
    cmocka_unit_test (test_pixels_lie_where_they_should),
    cmocka_unit_test (test_halves),
    cmocka_unit_test (test_camera_held_upright),
    cmocka_unit_test (test_too_many_pixels_are_refused_by_the_header),
    cmocka_unit_test (test_damaged_pictures),
    cmocka_unit_test (test_inks_that_may_be_upside_down),
    cmocka_unit_test (test_name_of_a_damaged_picture),
    cmocka_unit_test (test_several_in_one_drawing),
    cmocka_unit_test (test_spoilt_pictures_end_in_one_line),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
