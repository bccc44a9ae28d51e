/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "photo-render.h"
#include "rhy-test.h"

#include <stdlib.h>

#include <glib/gstdio.h>

#include "gui.h"
#include "rhyton-measure-entry.h"
#include "rhyton-photo-page.h"

/* The page in one's hands, without the window about it. */

typedef struct
{
  char            *folder, *photo;
  RhyPoint         base, rim;
  RhytonDocument  *document;
  RhytonPhotoPage *page;
} Fixture;

static gboolean
is_quiet (gpointer page)
{
  return !rhyton_photo_page_is_busy (page);
}

static void
settle (Fixture *f)
{
  assert_true (gui_until (is_quiet, f->page, 60.0));
  gui_settle ();
}

/* A cone, 70 to 90 mm over 120 mm, seen from 800 mm. */
static int
set_up (void **state)
{
  const double heights[] = { 0.0, 120.0 }, radii[] = { 35.0, 45.0 };
  Fixture *f = g_new0 (Fixture, 1);
  f->folder = g_dir_make_tmp ("rhyton-photo-XXXXXX", NULL);
  f->photo = g_build_filename (f->folder, "cup; of the club.png", NULL);
  g_autoptr (RhyWall) cone = rhy_wall_new_straight (heights, radii, 2, NULL);
  PhotoScene scene = PHOTO_SCENE_INIT;
  scene.width = 500;
  scene.height = 600;
  scene.distance_mm = 800.0;
  scene.eye_mm = scene.aim_mm = 60.0;
  scene.focal_px = 800.0 * 3.7;
  g_autoptr (RhyRaster) picture = photo_render (&scene, cone);
  cairo_surface_t *surface = cairo_image_surface_create_for_data ((unsigned char *) rhy_raster_get_pixels (picture),
                                                                  CAIRO_FORMAT_ARGB32, 500, 600, 4 * 500);
  assert_int_equal (cairo_surface_write_to_png (surface, f->photo), CAIRO_STATUS_SUCCESS);
  cairo_surface_destroy (surface);
  f->base = photo_mark (&scene, 0.0, 35.0);
  f->rim = photo_mark (&scene, 120.0, 45.0);

  f->document = rhyton_document_new ();
  f->page = g_object_ref (RHYTON_PHOTO_PAGE (rhyton_photo_page_new (NULL, f->document)));
  gtk_window_present (GTK_WINDOW (f->page));
  gui_frame (GTK_WIDGET (f->page));
  *state = f;
  return 0;
}

static int
tear_down (void **state)
{
  Fixture *f = *state;
  /* Taking the profile has closed it. */
  if (gtk_widget_get_visible (GTK_WIDGET (f->page)))
    gtk_window_destroy (GTK_WINDOW (f->page));
  g_object_unref (f->page);
  gui_settle ();
  g_object_unref (f->document);
  g_autoptr (GDir) dir = g_dir_open (f->folder, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (f->folder, name, NULL);
      g_unlink (path);
    }
  g_rmdir (f->folder);
  g_free (f->folder);
  g_free (f->photo);
  g_free (f);
  return 0;
}

static void
enter (Fixture *f, const char *label, const char *text)
{
  GtkWidget *entry = gui_labelled (GTK_WIDGET (f->page), GTK_TYPE_ENTRY, label);
  assert_non_null (entry);
  rhyton_measure_entry_enter (RHYTON_MEASURE_ENTRY (gtk_widget_get_ancestor (entry, RHYTON_TYPE_MEASURE_ENTRY)), text);
}

static void
find_profile (Fixture *f)
{
  rhyton_photo_page_open (f->page, f->photo);
  settle (f);
  assert_non_null (strstr (rhyton_photo_page_get_text (f->page), "Enter the height"));
  rhyton_photo_page_set_marks (f->page, f->base, f->rim);
  enter (f, "Height, base to rim", "120");
  enter (f, "Diameter at its mark", "80");
  enter (f, "Camera to axis", "800");
  settle (f);
  if (strstr (rhyton_photo_page_get_text (f->page), "Diameters: standard uncertainty") == NULL)
    fail_msg ("%s", rhyton_photo_page_get_text (f->page));
}

static void
take (Fixture *f)
{
  GtkWidget *button = GTK_WIDGET (gtk_widget_get_template_child (GTK_WIDGET (f->page), RHYTON_TYPE_PHOTO_PAGE, "take"));
  assert_true (gtk_widget_get_sensitive (button));
  g_signal_emit_by_name (button, "clicked");
  gui_settle ();
}

/* The file is there and is the cone; the job names it, whatever its name; undo takes it back. */
static void
test_profile_goes_to_the_job (void **state)
{
  Fixture *f = *state;
  find_profile (f);
  take (f);
  const RhyJobData *d = rhy_job_get_data (rhyton_document_get_job (f->document));
  g_autofree char *path = g_build_filename (f->folder, "cup; of the club-profile.csv", NULL);
  assert_string_equal (d->vessel.profile_file, path);
  g_autofree double *z = NULL;
  g_autofree double *across = NULL;
  gsize n;
  assert_true (rhy_profile_read (path, &z, &across, &n, NULL));
  for (gsize i = 0; i < n; i++)
    assert_near (across[i], 70.0 + z[i] / 6.0, 0.5);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Profile from a photograph");
  assert_true (rhyton_document_undo (f->document));
  assert_null (rhy_job_get_data (rhyton_document_get_job (f->document))->vessel.profile_file);
}

/* Marks that miss the vessel: said, and nothing to take. */
static void
test_trouble_is_said (void **state)
{
  Fixture *f = *state;
  find_profile (f);
  rhyton_photo_page_set_marks (f->page, (RhyPoint) { 20.0, 500.0 }, (RhyPoint) { 20.0, 100.0 });
  settle (f);
  assert_non_null (strstr (rhyton_photo_page_get_text (f->page), "the axis must go through the vessel"));
  GtkWidget *button = GTK_WIDGET (gtk_widget_get_template_child (GTK_WIDGET (f->page), RHYTON_TYPE_PHOTO_PAGE, "take"));
  assert_false (gtk_widget_get_sensitive (button));
}

static void
test_no_picture_is_said (void **state)
{
  Fixture *f = *state;
  g_autofree char *path = g_build_filename (f->folder, "words.png", NULL);
  assert_true (g_file_set_contents (path, "no picture at all", -1, NULL));
  rhyton_photo_page_open (f->page, path);
  settle (f);
  assert_true (*rhyton_photo_page_get_text (f->page) != '\0');
  assert_null (strstr (rhyton_photo_page_get_text (f->page), "Reading"));
}

/* A key moves the mark that has the focus, and its name is told. */
static void
test_marks_by_key (void **state)
{
  Fixture *f = *state;
  static const char *const names[] = { "Base mark", "Rim mark", "Diameter mark" };
  find_profile (f);
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      GtkWidget *mark = gui_labelled (GTK_WIDGET (f->page), GTK_TYPE_BUTTON, names[i]);
      assert_non_null (mark);
      assert_true (gtk_widget_get_focusable (mark));
      gboolean taken = FALSE;
      g_signal_emit_by_name (gui_controller (mark, GTK_TYPE_EVENT_CONTROLLER_KEY, 0), "key-pressed",
                             (guint) GDK_KEY_Up, 0u, (GdkModifierType) 0, &taken);
      assert_true (taken);
    }
  settle (f);
  assert_non_null (strstr (rhyton_photo_page_get_text (f->page), "Diameters: standard uncertainty"));
}

/* RHYTON_TEST_PICTURES names a folder to look at it in. */
static void
test_outline_is_drawn (void **state)
{
  Fixture *f = *state;
  find_profile (f);
  gui_frame (GTK_WIDGET (f->page));
  cairo_surface_t *surface = gui_picture (GTK_WIDGET (f->page));
  assert_int_equal (cairo_surface_status (surface), CAIRO_STATUS_SUCCESS);
  const char *folder = g_getenv ("RHYTON_TEST_PICTURES");
  if (folder != NULL)
    {
      g_autofree char *path = g_build_filename (folder, "photo-page.png", NULL);
      cairo_surface_write_to_png (surface, path);
    }
  /* The line's own red, which neither picture nor theme has. */
  const unsigned char *data = cairo_image_surface_get_data (surface);
  const int stride = cairo_image_surface_get_stride (surface);
  gsize red = 0;
  for (int y = 0; y < cairo_image_surface_get_height (surface); y++)
    for (int x = 0; x < cairo_image_surface_get_width (surface); x++)
      {
        const unsigned char *p = data + y * stride + 4 * x;
        red += p[2] > 150 && p[1] < 110 && p[0] < 160 && p[2] > p[0] + 40;
      }
  cairo_surface_destroy (surface);
  assert_true (red > 400);
}

int
main (void)
{
  if (!gui_is_up ())
    {
      g_print ("1..0 # SKIP no display\n");
      return 0;
    }
#define with(test) cmocka_unit_test_setup_teardown (test, set_up, tear_down)
  const struct CMUnitTest tests[] = {
    with (test_profile_goes_to_the_job),
    with (test_trouble_is_said),
    with (test_no_picture_is_said),
    with (test_marks_by_key),
    with (test_outline_is_drawn),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
