/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <glib/gstdio.h>

#include "rhyton-application.h"

static GtkApplication *application;

static gboolean
is_quiet (gpointer window)
{
  return !rhyton_window_is_busy (window);
}

void
settle (Fixture *f)
{
  assert_true (gui_until (is_quiet, f->window, 90.0));
  gui_settle ();
  assert_true (gui_until (is_quiet, f->window, 90.0));
}

char *
demo (const char *name)
{
  return g_build_filename (g_getenv ("G_TEST_SRCDIR"), "..", "shared", "demo", name, NULL);
}

int
fixture_set_up (void **state)
{
  Fixture *f = g_new0 (Fixture, 1);
  f->folder = g_dir_make_tmp ("rhyton-window-XXXXXX", NULL);
  f->job = demo ("tumbler.rhyton");
  f->window = RHYTON_WINDOW (rhyton_window_new (application));
  f->document = rhyton_window_get_document (f->window);
  f->stage = rhyton_window_get_stage (f->window);
  gtk_window_present (GTK_WINDOW (f->window));
  gui_frame (GTK_WIDGET (f->window));
  settle (f);
  *state = f;
  return 0;
}

static void
remove_folder (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);
      if (g_file_test (path, G_FILE_TEST_IS_DIR) && !g_file_test (path, G_FILE_TEST_IS_SYMLINK))
        remove_folder (path);
      else
        g_unlink (path);
    }
  g_rmdir (folder);
}

int
fixture_tear_down (void **state)
{
  Fixture *f = *state;
  settle (f);
  gtk_window_destroy (GTK_WINDOW (f->window));
  gui_settle ();
  remove_folder (f->folder);
  g_free (f->folder);
  g_free (f->job);
  g_free (f);
  return 0;
}

void
open_job (Fixture    *f,
          const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  assert_true (rhyton_window_open_job (f->window, file));
  settle (f);
}

void
open_demo (Fixture *f)
{
  open_job (f, f->job);
}

char *
text_of (Fixture *f)
{
  return rhy_job_to_data (rhyton_document_get_job (f->document), NULL);
}

void
go_to (Fixture    *f,
       const char *step)
{
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "step", g_variant_new_string (step));
}

/* Parts that nobody sees do not follow the job, and have no rows yet: who looks for something goes
 * to its step. */
static GtkWidget *
find (Fixture    *f,
      GType       type,
      const char *label)
{
  static const char *const steps[] = { "vessel", "artwork", "placement", "hold", "check", "make" };
  GtkWidget *found = gui_labelled (GTK_WIDGET (f->window), type, label);

  for (gsize i = 0; i < G_N_ELEMENTS (steps) && found == NULL; i++)
    {
      go_to (f, steps[i]);
      found = gui_labelled (GTK_WIDGET (f->window), type, label);
    }
  if (found == NULL)
    print_error ("nothing is called %s\n", label);
  assert_non_null (found);
  GtkWidget *stack = gtk_widget_get_ancestor (found, GTK_TYPE_STACK);
  for (GtkWidget *page = found; stack != NULL; page = gtk_widget_get_parent (page))
    if (gtk_widget_get_parent (page) == stack)
      {
        go_to (f, gtk_stack_page_get_name (gtk_stack_get_page (GTK_STACK (stack), page)));
        break;
      }
  return found;
}

const RhyJobData *
data_of (Fixture *f)
{
  return rhy_job_get_data (rhyton_document_get_job (f->document));
}

void
expect_back (Fixture    *f,
             const char *start)
{
  while (rhyton_document_undo (f->document))
    ;
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

typedef struct
{
  GType       type;
  const char *beginning;
  GtkWidget  *found;
} Search;

static void
compare (GtkWidget *widget,
         gpointer   data)
{
  Search *search = data;
  if (search->found == NULL && G_TYPE_CHECK_INSTANCE_TYPE (widget, search->type)
      && (search->beginning == NULL
          || (gtk_widget_get_mapped (widget) && g_str_has_prefix (gtk_label_get_label (GTK_LABEL (widget)), search->beginning))))
    search->found = widget;
}

gpointer
part_of (Fixture *f,
         GType    type)
{
  Search search = { .type = type };
  gui_each (GTK_WIDGET (f->window), compare, &search);
  assert_non_null (search.found);
  return search.found;
}

const char *
line_with (Fixture    *f,
           const char *beginning)
{
  Search search = { .type = GTK_TYPE_LABEL, .beginning = beginning };
  gui_each (GTK_WIDGET (f->window), compare, &search);
  return search.found != NULL ? gtk_label_get_label (GTK_LABEL (search.found)) : NULL;
}

RhytonMeasureEntry *
field (Fixture    *f,
       const char *label)
{
  return RHYTON_MEASURE_ENTRY (gtk_widget_get_ancestor (find (f, GTK_TYPE_ENTRY, label), RHYTON_TYPE_MEASURE_ENTRY));
}

void
open_fold (Fixture    *f,
           const char *label)
{
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (find (f, GTK_TYPE_TOGGLE_BUTTON, label)), TRUE);
}

void
act (Fixture    *f,
     const char *name)
{
  g_action_group_activate_action (G_ACTION_GROUP (f->window), name, NULL);
}

GtkDropDown *
list (Fixture    *f,
      const char *label)
{
  return GTK_DROP_DOWN (find (f, GTK_TYPE_DROP_DOWN, label));
}

void
drag (GtkWidget *view,
      double     x,
      double     y,
      double     dx,
      double     dy)
{
  GtkGesture *gesture = NULL;
  for (guint i = 0; (gesture = gui_controller (view, GTK_TYPE_GESTURE_DRAG, i)) != NULL; i++)
    if (gtk_gesture_single_get_button (GTK_GESTURE_SINGLE (gesture)) == GDK_BUTTON_PRIMARY)
      break;
  assert_non_null (gesture);
  g_signal_emit_by_name (gesture, "drag-begin", x, y);
  for (int i = 1; i <= 4; i++)
    {
      g_signal_emit_by_name (gesture, "drag-update", dx * i / 4.0, dy * i / 4.0);
      gui_settle ();
    }
  g_signal_emit_by_name (gesture, "drag-end", dx, dy);
}

void
click (Fixture    *f,
       const char *label)
{
  GtkWidget *button = find (f, GTK_TYPE_BUTTON, label);
  assert_true (gtk_widget_get_sensitive (button));
  g_signal_emit_by_name (button, "clicked");
}

int
fixture_run_group (const struct CMUnitTest *tests,
                   gsize                    n)
{
  if (!gui_is_up ())
    {
      g_print ("1..0 # SKIP no display\n");
      return 0;
    }
  application = GTK_APPLICATION (rhyton_application_new ());
  if (!g_application_register (G_APPLICATION (application), NULL, NULL))
    return 1;
  /* GTK 4.8 loses a date whenever it notes a recent file. */
  g_object_set (gtk_settings_get_default (), "gtk-recent-files-enabled", FALSE, "gtk-cursor-blink", FALSE, NULL);

  /* What GTK complains about is a mistake of ours. */
  g_log_set_always_fatal (G_LOG_FATAL_MASK | G_LOG_LEVEL_CRITICAL | G_LOG_LEVEL_WARNING);
  const int failed = _cmocka_run_group_tests ("tests", tests, n, NULL, NULL);

  /* A registered application ends cleanly only by running once. */
  g_signal_connect (application, "activate", G_CALLBACK (g_application_quit), NULL);
  g_application_run (G_APPLICATION (application), 0, NULL);
  g_object_unref (application);
  return failed;
}
