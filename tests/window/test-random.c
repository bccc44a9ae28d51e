/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <stdlib.h>
#include <string.h>

#include "rhyton-howto.h"

/*
 * Whatever somebody does in whatever order: GTK has nothing to complain about (that is
 * fatal here), and undo leads back to the start, byte for byte, and redo to the end.
 * What can be done is found in the window itself, so that a new panel is in it at once.
 *
 * RHYTON_TEST_ACTIONS says how many (10000 in a long run), RHYTON_TEST_SEED which.
 */
#define N_ACTIONS 300
#define SEED 7

static GRand *dice;

static int
roll (int n)
{
  return g_rand_int_range (dice, 0, n);
}

static guint
number_from (const char *name,
             guint       otherwise)
{
  const char *text = g_getenv (name);
  return text != NULL ? (guint) strtoul (text, NULL, 10) : otherwise;
}

/* Two artworks, zones of every sort, and a machine of the job's own, so that nothing
 * outside the test's folder is ever written. */
static void
open_rich_job (Fixture *f)
{
  g_autofree char *crest = demo ("crest.svg");
  g_autofree char *text = g_strdup_printf (
    "# A comment that stays.\n[Job]\nFormat=1\nTitle=Larkmoor trial\n\n"
    "[Vessel]\nHeights=0;60;120\nDiameters=70;78;86\n\n"
    "[Zone ear]\nKind=handle\nCentre=180\nWidth=30\nFrom=20\nTo=90\nStand=30\n\n"
    "[Zone lip]\nKind=rim\nFrom=110\nTo=120\n\n"
    "[Artwork]\nFile=%s\nWidth=45\nAt=64\n\n"
    "[Artwork name]\nText=Larkmoor\nHeight=7\nAt=40\nAround=90\nLay=ringed\n\n"
    "[Hold]\nDrive=chuck\n\n[Machine]\nTravelPerTurn=200\n", crest);
  g_autofree char *path = g_build_filename (f->folder, "trial.rhyton", NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  open_job (f, path);
}

/* ---- what there is to do ---- */

static gboolean
opens_a_dialog (GtkWidget *widget)
{
  const char *label = GTK_IS_BUTTON (widget) ? gtk_button_get_label (GTK_BUTTON (widget)) : NULL;
  const char *action = GTK_IS_ACTIONABLE (widget) ? gtk_actionable_get_action_name (GTK_ACTIONABLE (widget)) : NULL;
  static const char *const away[] = { "win.save", "win.save-as", "win.close", "app.open", "app.new", "app.quit", "win.open-demo",
                                      "win.open-artwork", "win.export-bed", "win.export-pattern", "win.show-folder", "app.about",
                                      "window.close", "window.minimize", "window.toggle-maximized", NULL };
  return (label != NULL && (g_str_has_suffix (label, "\u2026") || strcmp (label, "Save") == 0))
         || (action != NULL && g_strv_contains (away, action));
}

static void
gather (GtkWidget *widget,
        gpointer   data)
{
  const gboolean acts = RHYTON_IS_MEASURE_ENTRY (widget) || GTK_IS_ENTRY (widget) || GTK_IS_DROP_DOWN (widget)
                        || GTK_IS_LIST_BOX (widget) || GTK_IS_CHECK_BUTTON (widget) || GTK_IS_SWITCH (widget)
                        || GTK_IS_BUTTON (widget) || GTK_IS_SCALE (widget) || GTK_IS_FONT_BUTTON (widget) || RHYTON_IS_HOWTO (widget);
  if (acts && gtk_widget_get_mapped (widget) && gtk_widget_is_sensitive (widget) && !opens_a_dialog (widget)
      && gtk_widget_get_ancestor (widget, GTK_TYPE_WINDOW_CONTROLS) == NULL
      /* What pops up needs a monitor and takes all input till it closes; what lists choose is chosen without. */
      && (GTK_IS_DROP_DOWN (widget) || gtk_widget_get_ancestor (widget, GTK_TYPE_DROP_DOWN) == NULL)
      && gtk_widget_get_ancestor (widget, GTK_TYPE_MENU_BUTTON) == NULL
      /* The font dialog of GTK 4.8 loses its parser of language names; the font is chosen without. */
      && (GTK_IS_FONT_BUTTON (widget) || gtk_widget_get_ancestor (widget, GTK_TYPE_FONT_BUTTON) == NULL)
      && (RHYTON_IS_HOWTO (widget) || gtk_widget_get_ancestor (widget, RHYTON_TYPE_HOWTO) == NULL)
      && gtk_widget_get_ancestor (widget, GTK_TYPE_POPOVER) == NULL)
    g_ptr_array_add (data, widget);
}

static const char *const texts[] = { "40", "12,5", "1 1/2 in", "88.9/2", "nonsense", "-3", "0", "300", "70 + 2", "", "1e9", "5",
                                     "Larkmoor", "20 40", "a]b", "92 mm", "\u00e9t\u00e9" };

static const char *
some_text (void)
{
  return texts[roll (G_N_ELEMENTS (texts))];
}

static void
choose_row (GtkListBox *list)
{
  int n = 0;
  while (gtk_list_box_get_row_at_index (list, n) != NULL)
    n++;
  if (n == 0)
    return;
  GtkListBoxRow *row = gtk_list_box_get_row_at_index (list, roll (n));
  if (gtk_list_box_get_selection_mode (list) != GTK_SELECTION_NONE)
    gtk_list_box_select_row (list, row);
  else
    g_signal_emit_by_name (list, "row-activated", row);
}

/* It opens a few frames later, once its button is in sight; somebody may do something else meanwhile. */
static void
open_howto (GtkWidget *howto)
{
  if (roll (4) > 0)
    return;
  g_signal_emit_by_name (gtk_widget_get_first_child (howto), "clicked");
  for (int i = roll (4); i > 0; i--)
    gui_frame (howto);
}

static void
close_howto (GtkWidget *widget,
             gpointer   data)
{
  if (RHYTON_IS_HOWTO (widget) && rhyton_howto_is_open (RHYTON_HOWTO (widget)) && roll (2) > 0)
    gtk_popover_popdown (GTK_POPOVER (rhyton_howto_get_popover (RHYTON_HOWTO (widget))));
}

static void
use (GtkWidget *widget)
{
  if (RHYTON_IS_MEASURE_ENTRY (widget))
    rhyton_measure_entry_enter (RHYTON_MEASURE_ENTRY (widget), some_text ());
  else if (GTK_IS_ENTRY (widget))
    {
      gtk_editable_set_text (GTK_EDITABLE (widget), some_text ());
      g_signal_emit_by_name (widget, "activate");
    }
  else if (RHYTON_IS_HOWTO (widget))
    open_howto (widget);
  else if (GTK_IS_FONT_BUTTON (widget))
    {
      static const char *const fonts[] = { "Serif 10", "DejaVu Sans Bold 10", "Larkmoor Not There 12" };
      gtk_font_chooser_set_font (GTK_FONT_CHOOSER (widget), fonts[roll (G_N_ELEMENTS (fonts))]);
      g_signal_emit_by_name (widget, "font-set");
    }
  else if (GTK_IS_DROP_DOWN (widget))
    {
      GListModel *model = gtk_drop_down_get_model (GTK_DROP_DOWN (widget));
      const guint n = model != NULL ? g_list_model_get_n_items (model) : 0;
      if (n > 0)
        gtk_drop_down_set_selected (GTK_DROP_DOWN (widget), (guint) roll ((int) n));
    }
  else if (GTK_IS_LIST_BOX (widget))
    choose_row (GTK_LIST_BOX (widget));
  else if (GTK_IS_SCALE (widget))
    {
      GtkAdjustment *a = gtk_range_get_adjustment (GTK_RANGE (widget));
      gtk_adjustment_set_value (a, g_rand_double_range (dice, gtk_adjustment_get_lower (a), gtk_adjustment_get_upper (a) + 1e-9));
    }
  else if (GTK_IS_SWITCH (widget))
    gtk_switch_set_active (GTK_SWITCH (widget), roll (2));
  else if (GTK_IS_CHECK_BUTTON (widget))
    gtk_check_button_set_active (GTK_CHECK_BUTTON (widget), roll (2));
  else if (GTK_IS_TOGGLE_BUTTON (widget))
    gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (widget), roll (2));
  else
    g_signal_emit_by_name (widget, "clicked");
}

static void
use_something (Fixture *f)
{
  g_autoptr (GPtrArray) widgets = g_ptr_array_new ();
  gui_each (GTK_WIDGET (f->window), gather, widgets);
  if (widgets->len > 0)
    use (widgets->pdata[roll ((int) widgets->len)]);
}

static GtkWidget *
some_view (Fixture *f)
{
  switch (roll (3))
    {
    case 0:
      return GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
    case 1:
      return GTK_WIDGET (rhyton_stage_get_pattern_view (f->stage));
    default:
      return GTK_WIDGET (rhyton_stage_get_bed_view (f->stage));
    }
}

static void
drag_something (Fixture *f)
{
  GtkWidget *view = some_view (f);
  drag (view, g_rand_double_range (dice, 0, gtk_widget_get_width (view) + 1), g_rand_double_range (dice, 0, gtk_widget_get_height (view) + 1),
        g_rand_double_range (dice, -200, 200), g_rand_double_range (dice, -200, 200));
}

static void
point_at_something (Fixture *f)
{
  GtkWidget *view = some_view (f);
  GtkEventController *motion = gui_controller (view, GTK_TYPE_EVENT_CONTROLLER_MOTION, 0);
  if (roll (8) == 0)
    g_signal_emit_by_name (motion, "leave");
  else
    g_signal_emit_by_name (motion, "motion", g_rand_double_range (dice, 0, gtk_widget_get_width (view) + 1),
                           g_rand_double_range (dice, 0, gtk_widget_get_height (view) + 1));
}

static void
press_something (Fixture *f)
{
  static const guint keys[] = { GDK_KEY_Left, GDK_KEY_Right, GDK_KEY_Up, GDK_KEY_Down, GDK_KEY_plus, GDK_KEY_minus, GDK_KEY_Page_Up,
                                GDK_KEY_Page_Down, GDK_KEY_a };
  static const guint states[] = { 0, GDK_SHIFT_MASK, GDK_CONTROL_MASK };
  GtkEventController *controller = gui_controller (some_view (f), GTK_TYPE_EVENT_CONTROLLER_KEY, 0);
  gboolean taken = FALSE;
  g_signal_emit_by_name (controller, "key-pressed", keys[roll (G_N_ELEMENTS (keys))], 0, states[roll (G_N_ELEMENTS (states))], &taken);
}

static void
act_somehow (Fixture *f)
{
  static const char *const names[] = { "undo", "undo", "redo", "to-front", "to-middle", "face-artwork", "stop" };
  static const char *const views[] = { "vessel", "pattern", "bed" };
  static const char *const steps[] = { "vessel", "artwork", "placement", "hold", "check", "make" };
  GActionGroup *actions = G_ACTION_GROUP (f->window);

  switch (roll (5))
    {
    case 0:
      g_action_group_change_action_state (actions, "view", g_variant_new_string (views[roll (G_N_ELEMENTS (views))]));
      break;
    case 1:
      g_action_group_change_action_state (actions, "step", g_variant_new_string (steps[roll (G_N_ELEMENTS (steps))]));
      break;
    case 2:
      g_action_group_change_action_state (actions, roll (2) ? "inches" : "stretch", g_variant_new_boolean (roll (2)));
      break;
    default:
      act (f, names[roll (G_N_ELEMENTS (names))]);
      break;
    }
}

static void
do_something (Fixture *f)
{
  gui_each (GTK_WIDGET (f->window), close_howto, NULL);
  switch (roll (10))
    {
    case 0:
      drag_something (f);
      break;
    case 1:
      point_at_something (f);
      break;
    case 2:
      press_something (f);
      break;
    case 3:
    case 4:
      act_somehow (f);
      break;
    case 5:
      if (roll (20) == 0)
        g_object_set (gtk_settings_get_default (), "gtk-application-prefer-dark-theme", roll (2), NULL);
      break;
    default:
      use_something (f);
      break;
    }
}

static void
test_random_actions_undo_to_the_start (void **state)
{
  Fixture *f = *state;
  const guint n = number_from ("RHYTON_TEST_ACTIONS", N_ACTIONS);
  const guint seed = number_from ("RHYTON_TEST_SEED", SEED);
  print_message ("# %u actions, RHYTON_TEST_SEED=%u\n", n, seed);
  dice = g_rand_new_with_seed (seed);
  open_rich_job (f);
  g_autofree char *start = text_of (f);
  for (guint i = 0; i < n; i++)
    {
      do_something (f);
      if (i % 4 == 0)
        gui_settle ();
      if (i % 500 == 499)
        settle (f);
    }
  g_rand_free (dice);
  settle (f);

  /* What was undone last is no part of it: from the last step on. */
  while (rhyton_document_redo (f->document))
    ;
  g_autofree char *last = text_of (f);
  gsize steps = 0;
  while (rhyton_document_undo (f->document))
    steps++;
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
  assert_false (rhyton_document_is_modified (f->document));
  gsize again = 0;
  while (rhyton_document_redo (f->document))
    again++;
  g_autofree char *redone = text_of (f);
  assert_int_equal (again, steps);
  assert_string_equal (redone, last);
  settle (f);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown (test_random_actions_undo_to_the_start, fixture_set_up, fixture_tear_down),
  };
  return fixture_run (tests);
}
