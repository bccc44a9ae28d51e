/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <string.h>

#ifdef GDK_WINDOWING_X11
#include <gdk/x11/gdkx.h>
#endif

/* Real keys and clicks, sent by xdotool to the display that the window is on. */

#define MOST_TABS 120

static guint n_actions;         /* chords, texts and clicks since reset; walking by Tab is not counted */

static gboolean
has_exited (gpointer data)
{
  return *(gboolean *) data;
}

static void
note_exit (GObject      *source,
           GAsyncResult *result,
           gpointer      data)
{
  GError *error = NULL;
  g_subprocess_wait_check_finish (G_SUBPROCESS (source), result, &error);
  assert_no_error (error);
  *(gboolean *) data = TRUE;
}

/* GTK handles the events while xdotool sends them, and a frame after the last. */
static void
send (Fixture           *f,
      const char *const *arguments)
{
  GError *error = NULL;
  gboolean exited = FALSE;
  g_autoptr (GSubprocess) tool = g_subprocess_newv (arguments, G_SUBPROCESS_FLAGS_STDOUT_SILENCE, &error);
  assert_no_error (error);
  g_subprocess_wait_check_async (tool, NULL, note_exit, &exited);
  assert_true (gui_until (has_exited, &exited, 30.0));
  for (int i = 0; i < 2; i++)
    {
      gui_settle ();
      gui_frame (GTK_WIDGET (f->window));
    }
}

/* What a window manager does: the newest window has the keyboard. */
static void
give_keyboard (Fixture   *f,
               GtkWindow *window)
{
#ifdef GDK_WINDOWING_X11
  GdkSurface *surface = gtk_native_get_surface (GTK_NATIVE (window));
  if (!GDK_IS_X11_SURFACE (surface))
    return;
  g_autofree char *id = g_strdup_printf ("%lu", gdk_x11_surface_get_xid (surface));
  send (f, (const char *[]) { "xdotool", "windowfocus", id, NULL });
#endif
}

static void
key (Fixture    *f,
     const char *chord)
{
  n_actions++;
  send (f, (const char *[]) { "xdotool", "key", "--clearmodifiers", chord, NULL });
}

static void
type (Fixture    *f,
      const char *text)
{
  n_actions++;
  send (f, (const char *[]) { "xdotool", "type", "--delay", "20", text, NULL });
}

static void
click_on (Fixture   *f,
          GtkWidget *widget)
{
  GtkWidget *window = GTK_WIDGET (gtk_widget_get_root (widget));
  graphene_point_t at;
  double left, top;

  assert_true (gtk_widget_get_mapped (widget) && gtk_widget_is_sensitive (widget));
  assert_true (gtk_widget_compute_point (widget, window,
                                         &GRAPHENE_POINT_INIT (0.5f * (float) gtk_widget_get_width (widget),
                                                               0.5f * (float) gtk_widget_get_height (widget)), &at));
  gtk_native_get_surface_transform (GTK_NATIVE (window), &left, &top);
  g_autofree char *x = g_strdup_printf ("%.0f", at.x + left);
  g_autofree char *y = g_strdup_printf ("%.0f", at.y + top);
  n_actions++;
  send (f, (const char *[]) { "xdotool", "mousemove", x, y, "click", "1", NULL });
}

static gboolean
is_called (GtkWidget  *widget,
           const char *label)
{
  g_autofree char *bad = gtk_test_accessible_check_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, label);
  return bad == NULL || (GTK_IS_BUTTON (widget) && g_strcmp0 (gtk_button_get_label (GTK_BUTTON (widget)), label) == 0);
}

/* The text inside an entry has the focus, the entry has the name. */
static gboolean
has_focus (Fixture    *f,
           const char *label)
{
  GtkWidget *widget = gtk_window_get_focus (GTK_WINDOW (f->window));
  for (int i = 0; widget != NULL && i < 3; i++, widget = gtk_widget_get_parent (widget))
    if (is_called (widget, label))
      return TRUE;
  return FALSE;
}

static void
walk_to (Fixture    *f,
         const char *label)
{
  for (int i = 0; i < MOST_TABS && !has_focus (f, label); i++)
    {
      key (f, "Tab");
      n_actions--;
    }
  if (!has_focus (f, label))
    print_error ("Tab does not lead to %s\n", label);
  assert_true (has_focus (f, label));
}

/* As one does who goes through a form: Tab selects what is there, typing takes its place. */
static void
fill (Fixture    *f,
      const char *label,
      const char *text)
{
  walk_to (f, label);
  send (f, (const char *[]) { "xdotool", "key", "--clearmodifiers", "ctrl+a", NULL });
  type (f, text);
  send (f, (const char *[]) { "xdotool", "key", "--clearmodifiers", "Tab", NULL });
  settle (f);
}

static gboolean
is_dialog_up (gpointer data)
{
  g_autoptr (GListModel) all = g_object_ref (gtk_window_get_toplevels ());
  GtkWindow **found = data;
  for (guint i = 0; i < g_list_model_get_n_items (all); i++)
    {
      g_autoptr (GtkWindow) window = g_list_model_get_item (all, i);
      if (GTK_IS_DIALOG (window) && gtk_widget_get_mapped (GTK_WIDGET (window)))
        *found = window;
    }
  return *found != NULL;
}

static gboolean
is_dialog_gone (gpointer data)
{
  GtkWindow *found = NULL;
  return !is_dialog_up (&found);
}

/* The chooser's text line takes a path: '/' opens it where files are chosen. */
static void
answer_chooser (Fixture    *f,
                const char *path)       /* (nullable): what is proposed */
{
  GtkWindow *dialog = NULL;
  assert_true (gui_until (is_dialog_up, &dialog, 20.0));
  gui_frame (GTK_WIDGET (dialog));
  give_keyboard (f, dialog);
  if (path != NULL)
    {
      if (gtk_file_chooser_get_action (GTK_FILE_CHOOSER (dialog)) == GTK_FILE_CHOOSER_ACTION_SAVE)
        send (f, (const char *[]) { "xdotool", "key", "ctrl+a", NULL });
      type (f, path);
    }
  key (f, "Return");
  assert_true (gui_until (is_dialog_gone, NULL, 20.0));
  give_keyboard (f, GTK_WINDOW (f->window));
  settle (f);
}

static gboolean
is_there (gpointer path)
{
  return g_file_test (path, G_FILE_TEST_EXISTS);
}

/* What the command line writes for the same job is what has to be in the file. */
static void
assert_is_bed_of (Fixture    *f,
                  const char *path,
                  const char *job)
{
  g_autofree char *wanted_path = g_build_filename (f->folder, "wanted.svg", NULL);
  g_autofree char *got = NULL;
  g_autofree char *wanted = NULL;
  GError *error = NULL;

  assert_true (gui_until (is_there, (gpointer) path, 20.0));
  settle (f);
  const char *arguments[] = { g_getenv ("RHYTON_CLI"), "wrap", "-o", wanted_path, job, NULL };
  int status = 1;
  g_spawn_sync (NULL, (char **) arguments, NULL, G_SPAWN_STDERR_TO_DEV_NULL, NULL, NULL, NULL, NULL, &status, &error);
  assert_no_error (error);
  assert_int_equal (status, 0);
  g_file_get_contents (path, &got, NULL, &error);
  assert_no_error (error);
  g_file_get_contents (wanted_path, &wanted, NULL, &error);
  assert_no_error (error);
  assert_string_equal (got, wanted);
}

/* The demo's tumbler from an empty job to the machine's file, by keys alone. */
static void
test_a_job_by_keys_alone (void **state)
{
  Fixture *f = *state;
  g_autofree char *crest = demo ("crest.svg");
  g_autofree char *real = g_canonicalize_filename (crest, NULL);
  g_autofree char *job = g_build_filename (f->folder, "prize.rhyton", NULL);
  g_autofree char *bed = g_build_filename (f->folder, "prize-bed.svg", NULL);

  n_actions = 0;
  give_keyboard (f, GTK_WINDOW (f->window));
  key (f, "ctrl+1");
  assert_true (has_focus (f, "Height 1"));
  fill (f, "Diameter 1", "62");
  fill (f, "Height 2", "150");
  fill (f, "Diameter 2", "88");
  key (f, "ctrl+d");
  answer_chooser (f, real);
  key (f, "ctrl+3");
  fill (f, "Width", "60");
  fill (f, "Height above the base", "84");
  key (f, "ctrl+4");
  fill (f, "Travel per turn", "200");
  key (f, "ctrl+s");
  answer_chooser (f, job);
  assert_true (g_file_test (job, G_FILE_TEST_EXISTS));
  key (f, "ctrl+e");
  /* Beside the job, and called after it. */
  answer_chooser (f, NULL);
  assert_is_bed_of (f, bed, job);

  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_near (data->vessel.heights_mm[1], 150.0, 1e-9);
  assert_near (data->vessel.diameters_mm[0], 62.0, 1e-9);
  assert_near (data->vessel.diameters_mm[1], 88.0, 1e-9);
  g_print ("# %u chords and texts\n", n_actions);
  assert_true (n_actions <= 17);
}

/* A new maker's first drawing: seen, and in the machine's format, before any setting is understood. */
static void
test_the_demo_in_twelve_actions (void **state)
{
  Fixture *f = *state;
  g_autofree char *bed = g_build_filename (f->folder, "first.svg", NULL);

  n_actions = 0;
  GtkWidget *button = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "Look at the demo");
  assert_non_null (button);
  click_on (f, button);
  settle (f);
  GtkWidget *make = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_LIST_BOX_ROW, "Make");
  assert_non_null (make);
  click_on (f, make);
  settle (f);
  key (f, "ctrl+e");
  answer_chooser (f, bed);
  assert_is_bed_of (f, bed, f->job);
  g_print ("# %u clicks, chords and texts\n", n_actions);
  assert_true (n_actions <= 12);
}

/* GTK's list of rows would take Tab through each step, so that only the last one's panel was reached. */
static void
test_tab_leaves_the_list_of_steps (void **state)
{
  Fixture *f = *state;

  give_keyboard (f, GTK_WINDOW (f->window));
  open_demo (f);
  walk_to (f, "Placement");
  key (f, "Up");
  key (f, "Tab");
  GtkWidget *focus = gtk_window_get_focus (GTK_WINDOW (f->window));
  assert_non_null (focus);
  assert_null (gtk_widget_get_ancestor (focus, GTK_TYPE_LIST_BOX_ROW));
  g_autoptr (GVariant) step = g_action_group_get_action_state (G_ACTION_GROUP (f->window), "step");
  assert_string_equal (g_variant_get_string (step, NULL), "artwork");
  key (f, "shift+Tab");
  assert_true (has_focus (f, "Artwork"));
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown (test_the_demo_in_twelve_actions, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_tab_leaves_the_list_of_steps, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_a_job_by_keys_alone, fixture_set_up, fixture_tear_down),
  };
  g_autofree char *tool = g_find_program_in_path ("xdotool");
  if (tool == NULL || g_getenv ("WAYLAND_DISPLAY") != NULL)
    {
      g_print ("1..0 # SKIP real keys need xdotool and an X display\n");
      return 0;
    }
  /* As g_application_run() does: file choosers note by whom a file was written. */
  g_set_prgname ("rhyton");
  return fixture_run (tests);
}
