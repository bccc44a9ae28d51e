/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include "rhyton-mosaic.h"

/* ---- pictures in tiles ---- */

enum { WIDTH = 250, HEIGHT = 130, TILE = 120 };

static guint32 *
noise (void)
{
  guint32 *pixels = g_new (guint32, WIDTH * HEIGHT);
  for (guint i = 0; i < WIDTH * HEIGHT; i++)
    {
      const guint32 grey = (i * 2654435761u) >> 24;
      /* Premultiplied: opaque, half and not at all. */
      pixels[i] = i % 3 == 0 ? 0xff000000u | grey * 0x10101u : i % 3 == 1 ? 0x80000000u | (grey / 2) * 0x10101u : 0;
    }
  return pixels;
}

static RhytonMosaic *
mosaic_of (const guint32      *pixels,
           const RhytonMosaic *before)
{
  return rhyton_mosaic_new ((const guint8 *) pixels, WIDTH, HEIGHT, 4 * WIDTH, before);
}

/* By hand: 250 x 130 pixels are three by two tiles of 120; one pixel lies in one of them. */
static void
test_only_the_tile_of_a_changed_pixel_is_new (void **state)
{
  g_autofree guint32 *pixels = noise ();
  g_autoptr (RhytonMosaic) first = mosaic_of (pixels, NULL);
  assert_int_equal (rhyton_mosaic_get_n_tiles (first), 6);

  g_autoptr (RhytonMosaic) same = mosaic_of (pixels, first);
  assert_int_equal (rhyton_mosaic_count_shared (first, same), 6);
  pixels[125 * WIDTH + 241] = 0xff654321u;
  g_autoptr (RhytonMosaic) other = mosaic_of (pixels, same);
  assert_int_equal (rhyton_mosaic_count_shared (first, other), 5);
  /* Alike in its pixels, but not of that picture's making. */
  g_autoptr (RhytonMosaic) apart = mosaic_of (pixels, NULL);
  assert_int_equal (rhyton_mosaic_count_shared (other, apart), 0);
  g_autoptr (RhytonMosaic) narrower = rhyton_mosaic_new ((const guint8 *) pixels, WIDTH - 1, HEIGHT, 4 * WIDTH, other);
  assert_int_equal (rhyton_mosaic_count_shared (other, narrower), 0);
}

static void
assert_drawn (RhytonWallpaper *wallpaper,
              const guint32   *pixels)
{
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  rhyton_wallpaper_draw (wallpaper, snapshot, WIDTH, HEIGHT);
  GskRenderNode *node = gtk_snapshot_free_to_node (snapshot);
  assert_non_null (node);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  cairo_t *cr = cairo_create (surface);
  gsk_render_node_draw (node, cr);
  cairo_destroy (cr);
  gsk_render_node_unref (node);
  cairo_surface_flush (surface);
  for (int y = 0; y < HEIGHT; y++)
    assert_memory_equal (cairo_image_surface_get_data (surface) + y * cairo_image_surface_get_stride (surface),
                         pixels + y * WIDTH, 4 * WIDTH);
  cairo_surface_destroy (surface);
}

static void
assert_no_seam (RhytonWallpaper *wallpaper)
{
  GtkSnapshot *snapshot = gtk_snapshot_new ();
  gtk_snapshot_scale (snapshot, 0.97f, 0.97f);
  rhyton_wallpaper_draw (wallpaper, snapshot, WIDTH, HEIGHT);
  GskRenderNode *node = gtk_snapshot_free_to_node (snapshot);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, WIDTH, HEIGHT);
  cairo_t *cr = cairo_create (surface);
  gsk_render_node_draw (node, cr);
  cairo_destroy (cr);
  gsk_render_node_unref (node);
  cairo_surface_flush (surface);
  for (int y = 2; y < (int) (0.97 * HEIGHT) - 2; y++)
    for (int x = 2; x < (int) (0.97 * WIDTH) - 2; x++)
      {
        const guint32 *row = (const guint32 *) (const void *) (cairo_image_surface_get_data (surface) + y * cairo_image_surface_get_stride (surface));
        assert_true (row[x] >> 24 >= 0xfe);
      }
  cairo_surface_destroy (surface);
}

static void
test_tiles_have_no_seams_at_a_fraction_of_a_pixel (void **state)
{
  g_autofree guint32 *pixels = noise ();
  RhytonWallpaper wallpaper = { 0 };

  for (guint i = 0; i < WIDTH * HEIGHT; i++)
    pixels[i] = 0xff808080u;
  rhyton_wallpaper_set (&wallpaper, mosaic_of (pixels, NULL), 1);
  assert_no_seam (&wallpaper);
  rhyton_wallpaper_clear (&wallpaper);
}

/* Tiles that stay and tiles that are new make the picture that came in, to the last bit. */
static void
test_tiles_make_the_picture (void **state)
{
  g_autofree guint32 *pixels = noise ();
  RhytonWallpaper wallpaper = { 0 };

  rhyton_wallpaper_set (&wallpaper, mosaic_of (pixels, NULL), 1);
  assert_drawn (&wallpaper, pixels);
  for (int i = 0; i < 3; i++)
    {
      pixels[(40 * i + 5) * WIDTH + 100 * i + 20] = 0xff123456u;
      rhyton_wallpaper_set (&wallpaper, mosaic_of (pixels, wallpaper.mosaic), 1);
      assert_drawn (&wallpaper, pixels);
    }
  rhyton_wallpaper_clear (&wallpaper);
  assert_null (wallpaper.mosaic);
}

/* ---- parts out of sight ---- */

static void
test_a_part_follows_once_it_is_seen (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  RhytonMeasureEntry *diameter = field (f, "Diameter 2");
  assert_near (rhyton_measure_entry_get_value (diameter), 88.0, 1e-9);
  go_to (f, "placement");
  const RhytonEdit edit = { "Vessel", "Diameters", "62;80" };
  assert_true (rhyton_document_change (f->document, "Diameter", NULL, &edit, 1, NULL));
  settle (f);
  assert_near (rhyton_measure_entry_get_value (diameter), 88.0, 1e-9);
  go_to (f, "vessel");
  assert_near (rhyton_measure_entry_get_value (field (f, "Diameter 2")), 80.0, 1e-9);
}

/* ---- dragging ---- */

/* Coarse while the hand moves, and in the end what the job says, as fine as it goes: all views are of
 * the document's plan, and the scene's wall is painted as a scene that nobody dragged. */
static void
test_a_drag_is_one_step_and_ends_fine (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  GtkWidget *view = GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
  const double x = 0.5 * gtk_widget_get_width (view), y = 0.5 * gtk_widget_get_height (view);

  drag (view, x, y, 60.0, 0.0);
  assert_false (rhyton_document_is_held (f->document));
  settle (f);
  RhyPlan *plan = rhyton_document_get_plan (f->document);
  RhytonView *const views[] = { RHYTON_VIEW (view), RHYTON_VIEW (rhyton_stage_get_pattern_view (f->stage)),
                                RHYTON_VIEW (rhyton_stage_get_bed_view (f->stage)) };
  for (gsize i = 0; i < G_N_ELEMENTS (views); i++)
    assert_ptr_equal (rhyton_view_get_plan (views[i]), plan);

  enum { SIDE = 200 };
  const RhyCamera camera = rhyton_vessel_view_get_camera (RHYTON_VESSEL_VIEW (view));
  g_autoptr (RhyScene) fine = rhy_scene_new (plan, FALSE, NULL);
  g_autofree guint8 *want = g_malloc0 (4 * SIDE * SIDE);
  g_autofree guint8 *got = g_malloc0 (4 * SIDE * SIDE);
  rhy_scene_render (fine, &camera, NULL, want, SIDE, SIDE, 4 * SIDE);
  rhy_scene_render (rhyton_vessel_view_get_scene (RHYTON_VESSEL_VIEW (view)), &camera, NULL, got, SIDE, SIDE, 4 * SIDE);
  assert_memory_equal (got, want, 4 * SIDE * SIDE);

  assert_true (rhyton_document_undo (f->document));
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
  assert_null (rhyton_document_get_undo_name (f->document));
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_only_the_tile_of_a_changed_pixel_is_new),
    cmocka_unit_test (test_tiles_make_the_picture),
    cmocka_unit_test (test_tiles_have_no_seams_at_a_fraction_of_a_pixel),
    with (test_a_part_follows_once_it_is_seen),
    with (test_a_drag_is_one_step_and_ends_fine),
  };
  return fixture_run (tests);
}
