/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <signal.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include "rhyton-recovery.h"

/* What outlives a window: unsaved work of a program that was killed, other windows, and what was
 * opened last. */

static const char *program;

static void
set_width (RhytonDocument *document,
           double          width_mm)
{
  GError *error = NULL;
  rhyton_document_change_number (document, "Width", NULL, "Artwork", "Width", width_mm, &error);
  assert_no_error (error);
}

static double
width_of (RhytonWindow *window)
{
  return rhy_job_get_data (rhyton_document_get_job (rhyton_window_get_document (window)))->artworks[0].width_mm;
}

/* The other process: work that is not saved, then an end that nothing can be done at. */
static int
work_and_be_killed (const char *job)
{
  g_autoptr (RhytonDocument) document = rhyton_document_new ();
  if (!rhyton_document_open (document, job, NULL))
    return 1;
  RhytonRecovery *recovery = rhyton_recovery_new (document, 60);
  if (!rhyton_document_change_number (document, "Width", NULL, "Artwork", "Width", 31.25, NULL))
    return 1;
  rhyton_recovery_flush (recovery);
  kill (getpid (), SIGKILL);
  return 1;
}

static void
test_work_outlives_being_killed (void **state)
{
  Fixture *f = *state;
  g_autoptr (GError) error = NULL;
  g_autofree char *before = NULL;
  g_autofree char *after = NULL;
  const char *arguments[] = { program, "--work-and-be-killed", f->job, NULL };
  int status = 0;

  assert_true (g_file_get_contents (f->job, &before, NULL, NULL));
  assert_true (g_spawn_sync (NULL, (char **) arguments, NULL, G_SPAWN_DEFAULT, NULL, NULL, NULL, NULL, &status, &error));
  assert_true (WIFSIGNALED (status) && WTERMSIG (status) == SIGKILL);

  g_auto (GStrv) names = rhyton_recovery_list ();
  assert_int_equal (g_strv_length (names), 1);
  assert_true (rhyton_window_restore (f->window, names[0]));
  settle (f);
  assert_near (width_of (f->window), 31.25, 1e-12);
  assert_true (rhyton_document_is_modified (f->document));
  assert_string_equal (rhyton_document_get_path (f->document), f->job);
  g_auto (GStrv) none = rhyton_recovery_list ();
  assert_int_equal (g_strv_length (none), 0);
  /* The job's own file is as it was. */
  assert_true (g_file_get_contents (f->job, &after, NULL, NULL));
  assert_string_equal (after, before);
}

static guint
count_windows (Fixture *f)
{
  return g_list_length (gtk_application_get_windows (gtk_window_get_application (GTK_WINDOW (f->window))));
}

static void
test_windows_know_nothing_of_each_other (void **state)
{
  Fixture *f = *state;
  GApplication *application = G_APPLICATION (gtk_window_get_application (GTK_WINDOW (f->window)));
  const guint n = count_windows (f);

  open_demo (f);
  g_action_group_activate_action (G_ACTION_GROUP (application), "new", NULL);
  assert_int_equal (count_windows (f), n + 1);
  RhytonWindow *other = RHYTON_WINDOW (gtk_application_get_windows (GTK_APPLICATION (application))->data);
  assert_ptr_not_equal (other, f->window);
  assert_true (rhyton_window_is_pristine (other));

  const double there = width_of (other);
  set_width (f->document, 41.0);
  assert_near (width_of (other), there, 0.0);
  set_width (rhyton_window_get_document (other), 22.0);
  assert_near (width_of (f->window), 41.0, 0.0);
  assert_true (rhyton_document_undo (f->document));
  assert_near (width_of (f->window), 60.0, 0.0);
  assert_near (width_of (other), 22.0, 0.0);
  assert_true (rhyton_document_undo (rhyton_window_get_document (other)));
  settle (f);

  Fixture second = { .window = other };
  settle (&second);
  gtk_window_destroy (GTK_WINDOW (other));
  gui_settle ();
  assert_int_equal (count_windows (f), n);
  assert_true (rhyton_document_redo (f->document));
  assert_near (width_of (f->window), 41.0, 0.0);
}

static void
collect_recent (GMenuModel *menu,
                GPtrArray  *uris)
{
  for (int i = 0; i < g_menu_model_get_n_items (menu); i++)
    {
      g_autofree char *action = NULL;
      g_autofree char *target = NULL;
      if (g_menu_model_get_item_attribute (menu, i, G_MENU_ATTRIBUTE_ACTION, "s", &action)
          && strcmp (action, "app.open-recent") == 0
          && g_menu_model_get_item_attribute (menu, i, G_MENU_ATTRIBUTE_TARGET, "s", &target))
        g_ptr_array_add (uris, g_steal_pointer (&target));
      static const char *const links[] = { G_MENU_LINK_SECTION, G_MENU_LINK_SUBMENU };
      for (gsize k = 0; k < G_N_ELEMENTS (links); k++)
        {
          g_autoptr (GMenuModel) linked = g_menu_model_get_item_link (menu, i, links[k]);
          if (linked != NULL)
            collect_recent (linked, uris);
        }
    }
}

static gboolean
offers_one (gpointer data)
{
  GtkWidget *button = gui_labelled (GTK_WIDGET (((Fixture *) data)->window), GTK_TYPE_MENU_BUTTON, "Menu");
  g_autoptr (GPtrArray) uris = g_ptr_array_new_with_free_func (g_free);
  collect_recent (gtk_menu_button_get_menu_model (GTK_MENU_BUTTON (button)), uris);
  return uris->len == 1;
}

/* What was opened is offered, by its whole name. */
static void
test_what_was_opened_last_is_offered (void **state)
{
  Fixture *f = *state;
  g_autofree char *path = g_build_filename (f->folder, "last.rhyton", NULL);
  static const char text[] = "[Job]\nFormat=1\n[Vessel]\nHeights=0;120\nDiameters=70;84\n";

  g_object_set (gtk_settings_get_default (), "gtk-recent-files-enabled", TRUE, NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  open_job (f, path);
  assert_true (gui_until (offers_one, f, 10.0));

  GtkWidget *button = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_MENU_BUTTON, "Menu");
  g_autoptr (GPtrArray) uris = g_ptr_array_new_with_free_func (g_free);
  collect_recent (gtk_menu_button_get_menu_model (GTK_MENU_BUTTON (button)), uris);
  g_autofree char *uri = g_filename_to_uri (path, NULL, NULL);
  assert_string_equal (uris->pdata[0], uri);
  g_object_set (gtk_settings_get_default (), "gtk-recent-files-enabled", FALSE, NULL);
}

int
main (int    argc,
      char **argv)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown (test_work_outlives_being_killed, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_windows_know_nothing_of_each_other, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_what_was_opened_last_is_offered, fixture_set_up, fixture_tear_down),
  };
  if (argc == 3 && strcmp (argv[1], "--work-and-be-killed") == 0)
    return work_and_be_killed (argv[2]);
  program = argv[0];
  return fixture_run (tests);
}
