/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <glib/gstdio.h>

#include "fixture.h"
#include "rhyton-comparison.h"
#include "rhyton-make-panel.h"
#include "rhyton-making.h"
#include "rhyton-frame.h"

static void
test_shows_the_demo (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  assert_string_equal (rhyton_window_get_verdict (f->window), "Ready.");
  assert_non_null (strstr (gtk_window_get_title (GTK_WINDOW (f->window)), "winner's tumbler"));
  assert_non_null (rhyton_vessel_view_get_scene (rhyton_stage_get_vessel_view (f->stage)));
  assert_non_null (rhyton_flat_view_get_art (rhyton_stage_get_pattern_view (f->stage)));
  assert_non_null (rhyton_flat_view_get_art (rhyton_stage_get_bed_view (f->stage)));
}

/* A screen reader must have a name for whatever takes the focus. */
static void
check_name (GtkWidget *widget,
            gpointer   data)
{
  guint *n_nameless = data;
  GtkAccessible *accessible = GTK_ACCESSIBLE (widget);
  const gboolean own_text = GTK_IS_BUTTON (widget) && gtk_button_get_label (GTK_BUTTON (widget)) != NULL;
  const gboolean inner = gtk_widget_get_ancestor (widget, GTK_TYPE_DROP_DOWN) != NULL && !GTK_IS_DROP_DOWN (widget);
  const gboolean chrome = gtk_widget_get_ancestor (widget, GTK_TYPE_WINDOW_CONTROLS) != NULL
                          || gtk_widget_get_ancestor (widget, GTK_TYPE_POPOVER) != NULL
                          || (GTK_IS_TOGGLE_BUTTON (widget) && gtk_widget_get_ancestor (widget, GTK_TYPE_MENU_BUTTON) != NULL);
  const gboolean wanted = GTK_IS_ENTRY (widget) || GTK_IS_BUTTON (widget) || GTK_IS_DROP_DOWN (widget)
                          || GTK_IS_MENU_BUTTON (widget) || GTK_IS_LIST_BOX_ROW (widget)
                          || RHYTON_IS_VESSEL_VIEW (widget) || RHYTON_IS_FLAT_VIEW (widget);

  if (!wanted || own_text || inner || chrome)
    return;
  if (gtk_test_accessible_has_property (accessible, GTK_ACCESSIBLE_PROPERTY_LABEL)
      || gtk_test_accessible_has_relation (accessible, GTK_ACCESSIBLE_RELATION_LABELLED_BY))
    return;
  print_error ("no accessible name: %s in %s\n", G_OBJECT_TYPE_NAME (widget),
               G_OBJECT_TYPE_NAME (gtk_widget_get_parent (widget)));
  (*n_nameless)++;
}

static void
test_everything_has_a_name (void **state)
{
  Fixture *f = *state;
  guint n_nameless = 0;
  open_demo (f);
  gui_each (GTK_WIDGET (f->window), check_name, &n_nameless);
  assert_int_equal (n_nameless, 0);
  assert_true (gtk_test_accessible_has_role (GTK_ACCESSIBLE (rhyton_stage_get_vessel_view (f->stage)),
                                             GTK_ACCESSIBLE_ROLE_IMG));
}

static void
test_actions_have_keys (void **state)
{
  Fixture *f = *state;
  static const char *const actions[] = {
    "app.new", "app.open", "app.quit", "win.save", "win.save-as", "win.open-artwork", "win.export-bed",
    "win.export-pattern", "win.undo", "win.redo", "win.close", "win.face-artwork", "win.view('pattern')",
    "win.step('make')", "win.show-help-overlay",
  };
  for (gsize i = 0; i < G_N_ELEMENTS (actions); i++)
    {
      g_auto (GStrv) keys = gtk_application_get_accels_for_action (gtk_window_get_application (GTK_WINDOW (f->window)), actions[i]);
      if (keys[0] == NULL)
        print_error ("no key for %s\n", actions[i]);
      assert_non_null (keys[0]);
      g_autofree char *name = NULL;
      g_autoptr (GVariant) target = NULL;
      assert_true (g_action_parse_detailed_name (strchr (actions[i], '.') + 1, &name, &target, NULL));
      GActionMap *map = g_str_has_prefix (actions[i], "app.") ? G_ACTION_MAP (gtk_window_get_application (GTK_WINDOW (f->window))) : G_ACTION_MAP (f->window);
      assert_non_null (g_action_map_lookup_action (map, name));
    }
}

static void
test_fields_edit_the_job (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  const RhyJobData *data;

  rhyton_measure_entry_enter (field (f, "Width"), "2 in");
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_near (data->artwork.width_mm, 50.8, 1e-12);
  settle (f);
  rhyton_measure_entry_enter (field (f, "Height"), "88,9/2");
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_near (data->artwork.height_mm, 44.45, 1e-12);
  assert_near (data->artwork.width_mm, 0.0, 0.0);
  rhyton_measure_entry_enter (field (f, "Around from the front"), "360/8");
  rhyton_measure_entry_enter (field (f, "Turn"), "-10\u00b0");
  rhyton_measure_entry_enter (field (f, "Height above the base"), "80");
  settle (f);
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (rhyton_document_get_plan (f->document));
  assert_near (numbers->height_mm, 44.45, 1e-9);
  assert_near (numbers->anchor.angle, G_PI / 4.0, 1e-12);

  for (int i = 0; i < 5; i++)
    act (f, "undo");
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
  assert_null (rhyton_document_get_undo_name (f->document));
  assert_false (g_action_group_get_action_enabled (G_ACTION_GROUP (f->window), "undo"));
}

static void
test_field_refuses_with_a_reason (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  static const struct { const char *field, *text; } bad[] = {
    { "Width", "1.234,5" }, { "Width", "sixty" }, { "Width", "-5" }, { "Width", "0" },
    { "Turn", "5 mm" }, { "Height above the base", "400" },
    { "Diameter 1", "0" }, { "Height 2", "0" }, { "Height 1", "x" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      RhytonMeasureEntry *entry = field (f, bad[i].field);
      const double before = rhyton_measure_entry_get_value (entry);
      rhyton_measure_entry_enter (entry, bad[i].text);
      if (*rhyton_measure_entry_get_message (entry) == '\0')
        print_error ("%s took %s\n", bad[i].field, bad[i].text);
      assert_true (*rhyton_measure_entry_get_message (entry) != '\0');
      assert_near (rhyton_measure_entry_get_value (entry), before, 0.0);
      g_autofree char *now = text_of (f);
      assert_string_equal (now, start);
    }
  /* A good value afterwards clears the message. */
  rhyton_measure_entry_enter (field (f, "Width"), "61");
  assert_string_equal (rhyton_measure_entry_get_message (field (f, "Width")), "");
}

/* Showing inches, and back, must not touch a stored value. */
static void
test_inches_change_nothing (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "inches", g_variant_new_boolean (TRUE));
  rhyton_measure_entry_enter (field (f, "Diameter 2"), "3.4646");   /* what is shown for 88 mm */
  g_autofree char *inches = text_of (f);
  assert_string_equal (inches, start);
  rhyton_measure_entry_enter (field (f, "Diameter 2"), "3 1/2");
  assert_near (rhy_job_get_data (rhyton_document_get_job (f->document))->vessel.diameters_mm[1], 88.9, 1e-9);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "inches", g_variant_new_boolean (FALSE));
  act (f, "undo");
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

static void
find_add (GtkWidget *widget,
          gpointer   data)
{
  if (GTK_IS_BUTTON (widget) && g_strcmp0 (gtk_button_get_label (GTK_BUTTON (widget)), "Add a reading") == 0)
    *(GtkWidget **) data = widget;
}

/* The catalogue's own figures are the expected ones: what is picked is what the job gets. */
static void
test_blank_is_a_click (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *before = text_of (f);
  GtkWidget *button = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_MENU_BUTTON, "Begin with a blank");
  assert_non_null (button);
  gtk_menu_button_popup (GTK_MENU_BUTTON (button));
  gui_settle ();
  GtkWidget *popover = GTK_WIDGET (gtk_menu_button_get_popover (GTK_MENU_BUTTON (button)));
  GtkWidget *search = gui_labelled (popover, GTK_TYPE_SEARCH_ENTRY, "Search for a blank");
  assert_non_null (search);
  gtk_editable_set_text (GTK_EDITABLE (search), "MUG 11");
  g_signal_emit_by_name (search, "search-changed");
  g_signal_emit_by_name (search, "activate");
  settle (f);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  g_autoptr (RhyVessels) vessels = rhy_vessels_new (NULL, NULL);
  const RhyVesselEntry *mug = rhy_vessels_find (vessels, "mug-11oz", NULL);
  assert_non_null (mug);
  const RhyJobData *want = rhy_job_get_data (mug->job);
  assert_string_equal (data->vessel.name, want->vessel.name);
  assert_int_equal (data->vessel.n_stations, want->vessel.n_stations);
  assert_near (data->vessel.diameters_mm[0], want->vessel.diameters_mm[0], 0.0);
  assert_int_equal (data->n_zones, want->n_zones);
  act (f, "undo");
  settle (f);
  g_autofree char *after = text_of (f);
  assert_string_equal (after, before);
}

static gboolean
has_compared (gpointer list)
{
  GtkWidget *comparison = gtk_widget_get_ancestor (list, RHYTON_TYPE_COMPARISON);
  return !rhyton_comparison_is_busy (RHYTON_COMPARISON (comparison)) && gtk_list_box_get_row_at_index (list, 0) != NULL;
}

static GtkListBox *
comparison (Fixture    *f,
            const char *step,
            const char *label)
{
  g_action_group_activate_action (G_ACTION_GROUP (f->window), "step", g_variant_new_string (step));
  gui_settle ();
  GtkWidget *list = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_LIST_BOX, label);
  assert_non_null (list);
  assert_true (gui_until (has_compared, list, 30.0));
  return GTK_LIST_BOX (list);
}

/* The demo is a cone: a paper cut-out lies on it without stretch, which is why rolled is
 * recommended; a ringed lay takes the second place of seven in the library's order. */
static void
test_lay_is_taken_from_the_comparison (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *before = text_of (f);
  GtkListBox *lays = comparison (f, "placement", "Lays compared");
  assert_non_null (gtk_list_box_get_row_at_index (lays, RHY_LAY_N_KINDS - 1));
  assert_null (gtk_list_box_get_row_at_index (lays, RHY_LAY_N_KINDS));
  assert_non_null (gui_labelled (GTK_WIDGET (lays), GTK_TYPE_LIST_BOX_ROW,
                                 "Rolled on, as now: No stretch. Recommended: a sheet lies on this wall: "
                                 "nothing is stretched."));
  g_signal_emit_by_name (lays, "row-activated", gtk_list_box_get_row_at_index (lays, RHY_LAY_RINGED));
  settle (f);
  assert_int_equal (rhy_job_get_data (rhyton_document_get_job (f->document))->artwork.lay, RHY_LAY_RINGED);
  act (f, "undo");
  settle (f);
  g_autofree char *after = text_of (f);
  assert_string_equal (after, before);
}

/* Every way in the list can be taken and is the job's own afterwards. */
static void
test_hold_is_taken_from_the_comparison (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  for (int i = 0; i < RHY_N_WAYS; i++)
    {
      GtkListBox *holds = comparison (f, "hold", "Ways of holding compared");
      g_autoptr (GPtrArray) rows = rhy_plan_compare_holds (rhyton_document_get_plan (f->document), NULL);
      if (i >= (int) rows->len)
        break;
      const RhyHoldRow *want = g_ptr_array_index (rows, i);
      g_signal_emit_by_name (holds, "row-activated", gtk_list_box_get_row_at_index (holds, i));
      settle (f);
      RhyJob *job = rhyton_document_get_job (f->document);
      assert_int_equal (rhy_job_way (job), want->way);
      assert_int_equal (rhy_job_get_data (job)->hold.support, want->support);
    }
}

/* The demo's wall ends at 150 mm: artwork of 49 mm about 140 mm goes past it. */
static void
test_finding_is_mended_by_its_button (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhytonEdit high = { "Artwork", "At", "140" };
  assert_true (rhyton_document_change (f->document, "Too high", NULL, &high, 1, NULL));
  settle (f);
  assert_false (rhy_verdict_is_ready (rhyton_document_get_verdict (f->document)));
  g_autofree char *before = text_of (f);
  g_action_group_activate_action (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("check"));
  gui_settle ();
  GtkWidget *button = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "Move it to the free place");
  assert_non_null (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "Move it down onto the wall"));
  assert_non_null (button);
  g_signal_emit_by_name (button, "clicked");
  settle (f);
  assert_true (rhy_verdict_is_ready (rhyton_document_get_verdict (f->document)));
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Move it to the free place");
  act (f, "undo");
  settle (f);
  g_autofree char *after = text_of (f);
  assert_string_equal (after, before);
}

static gboolean
seen_at (gpointer      view,
         RhyWallPoint  at,
         double       *x,
         double       *y)
{
  const RhyCamera camera = rhyton_vessel_view_get_camera (view);
  return rhy_scene_project (rhyton_vessel_view_get_scene (view), &camera, gtk_widget_get_width (view),
                            gtk_widget_get_height (view), at, x, y);
}

static gboolean
is_red (cairo_surface_t *picture,
        double           x,
        double           y)
{
  const guint8 *row = cairo_image_surface_get_data (picture)
                      + (int) lround (y) * cairo_image_surface_get_stride (picture);
  const guint8 *p = row + 4 * (int) lround (x);
  return p[2] > p[1] + 60 && p[2] > p[0] + 60;
}

/* Any of what is drawn beside the point, at up to 30 pixels, is the ring's red. */
static gboolean
has_ring (GtkWidget *view,
          double     x,
          double     y)
{
  gui_frame (view);
  cairo_surface_t *picture = gui_picture (view);
  gboolean found = FALSE;
  for (double d = 8.0; d < 30.0 && !found; d += 1.0)
    found = is_red (picture, x + d, y);
  cairo_surface_destroy (picture);
  return found;
}

/* The demo's rim is 150 mm up; artwork about 140 mm and a third of the way around goes
 * past it there, and nowhere else on the wall. */
static void
test_finding_shows_its_place (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhytonEdit edits[] = { { "Artwork", "At", "140" }, { "Artwork", "Around", "120" } };
  assert_true (rhyton_document_change (f->document, "Too high", NULL, edits, 2, NULL));
  settle (f);
  g_action_group_activate_action (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("check"));
  gui_settle ();
  GtkWidget *findings = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_LIST_BOX, "Findings");
  assert_non_null (findings);
  const RhyVerdict *verdict = rhyton_document_get_verdict (f->document);
  int place = 0;
  while (strcmp (rhy_verdict_get_finding (verdict, (gsize) place)->code, "past-rim") != 0)
    place++;
  GtkWidget *vessel = GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
  RhytonFlatView *pattern = rhyton_stage_get_pattern_view (f->stage);
  RhyRing rim;
  assert_true (rhy_wall_at_height (rhy_plan_get_wall (rhyton_document_get_plan (f->document)), 150.0, &rim));
  const RhyWallPoint at = { rim.s_mm, 2.0 * G_PI / 3.0 };
  double x, y;

  g_signal_emit_by_name (findings, "row-activated", gtk_list_box_get_row_at_index (GTK_LIST_BOX (findings), place));
  settle (f);
  assert_near (rhyton_vessel_view_get_camera (RHYTON_VESSEL_VIEW (vessel)).turn_rad, 2.0 * G_PI / 3.0, 1e-9);
  assert_true (seen_at (vessel, at, &x, &y));
  assert_true (has_ring (vessel, x, y));
  assert_true (rhyton_flat_view_locate (pattern, at, &x, &y));
  assert_true (has_ring (GTK_WIDGET (pattern), x, y));

  /* Whatever the job is next, that was said of another. */
  act (f, "undo");
  settle (f);
  assert_true (seen_at (vessel, at, &x, &y));
  assert_false (has_ring (vessel, x, y));
}

static void
find_text (GtkWidget *widget,
           gpointer   data)
{
  const char **wanted = data;
  if (*wanted != NULL && GTK_IS_LABEL (widget) && gtk_widget_get_mapped (widget)
      && strstr (gtk_label_get_label (GTK_LABEL (widget)), *wanted) != NULL)
    *wanted = NULL;
}

static gboolean
is_said (Fixture    *f,
         const char *text)
{
  gui_each (GTK_WIDGET (f->window), find_text, &text);
  return text == NULL;
}

/* The demo is a frustum of 62 and 88 mm over 150: pi 150/12 (62^2 + 62 88 + 88^2) = 669316 mm^3,
 * 11.6 % more than 600 ml. */
static void
test_capacity_checks_the_readings (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_action_group_activate_action (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("vessel"));
  settle (f);
  assert_true (is_said (f, "it holds 669\u202fml within its outside."));
  assert_true (is_said (f, "Printed width sure within"));
  assert_true (isnan (rhyton_measure_entry_get_value (field (f, "Thickness of the wall"))));
  assert_true (isnan (rhyton_measure_entry_get_value (field (f, "Height of the floor"))));
  GtkWidget *capacity = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_ENTRY, "Stated capacity");
  assert_non_null (capacity);
  gtk_editable_set_text (GTK_EDITABLE (capacity), "600");
  g_signal_emit_by_name (capacity, "activate");
  settle (f);
  assert_near (rhy_job_get_data (rhyton_document_get_job (f->document))->vessel.capacity_ml, 600.0, 1e-9);
  assert_true (is_said (f, "+12\u202f% against what is stated"));
  gtk_editable_set_text (GTK_EDITABLE (capacity), "a cupful");
  g_signal_emit_by_name (capacity, "activate");
  settle (f);
  assert_true (gtk_widget_has_css_class (capacity, "error"));
  assert_near (rhy_job_get_data (rhyton_document_get_job (f->document))->vessel.capacity_ml, 600.0, 1e-9);
  rhyton_measure_entry_enter (field (f, "Thickness of the wall"), "1.5");
  settle (f);
  assert_near (rhy_job_get_data (rhyton_document_get_job (f->document))->vessel.wall_thickness_mm, 1.5, 1e-9);
}

static void
test_readings_come_and_go (void **state)
{
  Fixture *f = *state;
  GtkWidget *add = NULL;
  open_demo (f);
  g_autofree char *start = text_of (f);
  gui_each (GTK_WIDGET (f->window), find_add, &add);
  assert_non_null (add);
  g_signal_emit_by_name (add, "clicked");
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_int_equal (data->vessel.n_stations, 3);
  /* Half way up a straight wall: half way between the diameters. */
  assert_near (data->vessel.heights_mm[1], 75.0, 0.0);
  assert_near (data->vessel.diameters_mm[1], 75.0, 1e-9);
  /* A height typed out of order is put in order. */
  rhyton_measure_entry_enter (field (f, "Height 3"), "20");
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_near (data->vessel.heights_mm[1], 20.0, 0.0);
  assert_near (data->vessel.diameters_mm[1], 88.0, 0.0);
  act (f, "undo");
  click (f, "Remove reading 2");
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_int_equal (data->vessel.n_stations, 2);
  act (f, "undo");
  act (f, "undo");
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

/* The bed drawing follows what the machine is said to be. */
static void
test_holding_changes_the_drawing (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  const RhyJobData *data;

  rhyton_measure_entry_enter (field (f, "Travel per turn"), "180");
  settle (f);
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->travel_per_turn_mm, 180.0, 0.0);
  gtk_drop_down_set_selected (list (f, "Way of holding"), 1);
  gtk_drop_down_set_selected (list (f, "Held end"), 1);
  gtk_drop_down_set_selected (list (f, "Tilt of the work"), 2);
  gtk_drop_down_set_selected (list (f, "Rotary axis"), 1);
  gtk_drop_down_set_selected (list (f, "Direction of the mouth"), 1);
  GtkWidget *lays = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_LIST_BOX, "Lays compared");
  assert_non_null (lays);
  g_signal_emit_by_name (lays, "row-activated", gtk_list_box_get_row_at_index (GTK_LIST_BOX (lays), RHY_LAY_ANGLE_TRUE));
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_int_equal (data->hold.drive, RHY_DRIVE_ROLLERS);
  assert_int_equal (data->hold.end, RHY_END_MOUTH);
  assert_int_equal (data->hold.tilt_mode, RHY_TILT_SET);
  assert_int_equal (data->machine.axis, RHY_AXIS_Y);
  assert_int_equal (data->machine.mouth, RHY_MOUTH_MINUS);
  assert_int_equal (data->artwork.lay, RHY_LAY_ANGLE_TRUE);
  settle (f);
  while (rhyton_document_undo (f->document))
    ;
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
  assert_int_equal (gtk_drop_down_get_selected (list (f, "Way of holding")), 0);
}

static void
test_drop_of_a_drawing (void **state)
{
  Fixture *f = *state;
  g_autofree char *drawing = demo ("crest.svg");
  g_autoptr (GFile) file = g_file_new_for_path (drawing);
  GtkDropTarget *target = gui_controller (GTK_WIDGET (f->window), GTK_TYPE_DROP_TARGET, 0);
  g_auto (GValue) value = G_VALUE_INIT;
  gboolean taken = FALSE;

  assert_non_null (target);
  g_value_init (&value, GDK_TYPE_FILE_LIST);
  g_value_take_boxed (&value, gdk_file_list_new_from_array (&file, 1));
  g_signal_emit_by_name (target, "drop", &value, 10.0, 10.0, &taken);
  assert_true (taken);
  settle (f);
  assert_non_null (rhyton_flat_view_get_art (rhyton_stage_get_bed_view (f->stage)));
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Choice of the artwork");

  g_autofree char *other = g_build_filename (f->folder, "notes.txt", NULL);
  g_autoptr (GFile) text = g_file_new_for_path (other);
  g_value_unset (&value);
  g_value_init (&value, GDK_TYPE_FILE_LIST);
  g_value_take_boxed (&value, gdk_file_list_new_from_array (&text, 1));
  g_signal_emit_by_name (target, "drop", &value, 10.0, 10.0, &taken);
  assert_false (taken);
}

static void
find_make (GtkWidget *widget,
           gpointer   data)
{
  if (RHYTON_IS_MAKE_PANEL (widget))
    *(RhytonPart **) data = RHYTON_PART (widget);
}

static RhytonPart *
some_part (Fixture *f)
{
  RhytonPart *part = NULL;
  gui_each (GTK_WIDGET (f->window), find_make, &part);
  assert_non_null (part);
  return part;
}

static void
test_export_is_the_library_s (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *path = g_build_filename (f->folder, "bed.svg", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  const RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  rhyton_making_save (some_part (f), &rhyton_product_bed, g_memdup2 (&options, sizeof options), g_free, file);
  settle (f);
  g_autoptr (GBytes) want = rhy_drawing_bed (rhyton_document_get_plan (f->document), RHY_FORMAT_SVG, &options,
                                             NULL, NULL);
  g_autofree char *text = NULL;
  gsize length = 0;
  assert_true (g_file_get_contents (path, &text, &length, NULL));
  assert_int_equal (length, g_bytes_get_size (want));
  assert_memory_equal (text, g_bytes_get_data (want, NULL), length);
}

/* Where the artwork was taken hold of, there the pointer must still be on it. */
static void
test_artwork_is_dragged_on_the_vessel (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  RhytonVesselView *view = rhyton_stage_get_vessel_view (f->stage);
  const int width = gtk_widget_get_width (GTK_WIDGET (view));
  const int height = gtk_widget_get_height (GTK_WIDGET (view));
  const RhyCamera camera = rhyton_vessel_view_get_camera (view);
  const RhyWallPoint anchor = rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->anchor;
  g_autofree char *start = text_of (f);
  double x, y;

  assert_true (rhy_scene_project (rhyton_vessel_view_get_scene (view), &camera, width, height, anchor, &x, &y));
  drag (GTK_WIDGET (view), x, y, 30.0, -20.0);
  settle (f);
  const RhyWallPoint moved = rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->anchor;
  double now_x, now_y;
  assert_true (rhy_scene_project (rhyton_vessel_view_get_scene (view), &camera, width, height, moved, &now_x, &now_y));
  /* Heights and angles are kept to a thousandth; a pixel is about 0.4 mm. */
  assert_near (now_x, x + 30.0, 0.5);
  assert_near (now_y, y - 20.0, 0.5);
  assert_true (moved.angle > anchor.angle && moved.s > anchor.s);
  assert_near (rhyton_vessel_view_get_camera (view).turn_rad, camera.turn_rad, 0.0);
  act (f, "undo");
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

static void
test_artwork_is_dragged_on_the_pattern (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  RhytonFlatView *view = rhyton_stage_get_pattern_view (f->stage);
  const RhyWallPoint anchor = rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->anchor;
  double x, y, now_x, now_y;

  assert_true (rhyton_flat_view_locate (view, anchor, &x, &y));
  drag (GTK_WIDGET (view), x, y, -12.0, 5.0);
  settle (f);
  const RhyWallPoint moved = rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->anchor;
  assert_true (rhyton_flat_view_locate (view, moved, &now_x, &now_y));
  assert_near (now_x, x - 12.0, 0.1);
  assert_near (now_y, y + 5.0, 0.1);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Move of the artwork");
}

/* Taken by a corner and drawn out to twice its distance from the middle, the
 * artwork is twice as large; a quarter turn of the knob turns it a quarter. */
static void
test_handles_scale_and_turn (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  rhyton_measure_entry_enter (field (f, "Width"), "20");
  settle (f);
  GtkWidget *view = GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
  g_autoptr (RhyPlan) plan = rhy_plan_ref (rhyton_document_get_plan (f->document));
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  RhyWallPoint at;
  RhyPoint wall;
  double x, y, to_x, to_y;

  assert_true (rhyton_frame_corner (plan, 2, &at));
  assert_true (seen_at (view, at, &x, &y));
  assert_int_equal (rhyton_frame_hit (plan, seen_at, view, x, y), RHYTON_HANDLE_CORNER);
  assert_true (rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { 2.0 * box.max_x, 2.0 * box.max_y }, &wall));
  assert_true (seen_at (view, (RhyWallPoint) { wall.x, wall.y }, &to_x, &to_y));
  drag (view, x, y, to_x - x, to_y - y);
  settle (f);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_near (data->artwork.width_mm, 40.0, 0.05);
  act (f, "undo");
  settle (f);

  assert_true (rhyton_frame_knob (plan, &at));
  assert_true (seen_at (view, at, &x, &y));
  assert_int_equal (rhyton_frame_hit (plan, seen_at, view, x, y), RHYTON_HANDLE_TURN);
  /* From above the middle to its left: anticlockwise. */
  const double reach = box.max_y + 0.18 * (box.max_y - box.min_y);
  assert_true (rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { -reach, 0.0 }, &wall));
  assert_true (seen_at (view, (RhyWallPoint) { wall.x, wall.y }, &to_x, &to_y));
  drag (view, x, y, to_x - x, to_y - y);
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  /* It snaps to steps of 15 degrees. */
  assert_near (data->artwork.turn_rad, G_PI / 2.0, 1e-12);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Turn of the artwork");
}

static void
test_artwork_snaps_to_the_front (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  rhyton_measure_entry_enter (field (f, "Around from the front"), "6");
  rhyton_measure_entry_enter (field (f, "Height above the base"), "80");
  settle (f);
  GtkWidget *view = GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
  RhyPlan *plan = rhyton_document_get_plan (f->document);
  const RhyWallPoint anchor = rhy_plan_get_numbers (plan)->anchor;
  RhyRing ring;
  double x, y, to_x, to_y;

  /* To 1 mm beside the front, and 1 mm above the middle of what lip and foot leave
   * free: 6 + 2 and 138 - 2 mm, so 72. */
  assert_true (rhy_wall_at_height (rhy_plan_get_wall (plan), 73.0, &ring));
  assert_true (seen_at (view, anchor, &x, &y));
  assert_true (seen_at (view, (RhyWallPoint) { ring.s_mm, 1.0 / ring.r_mm }, &to_x, &to_y));
  drag (view, x, y, to_x - x, to_y - y);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_near (data->artwork.around_rad, 0.0, 0.0);
  assert_near (data->artwork.at_mm, 72.0, 0.0);
}

static void
test_dragging_beside_turns_the_vessel (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  RhytonVesselView *view = rhyton_stage_get_vessel_view (f->stage);
  drag (GTK_WIDGET (view), 5.0, 5.0, 60.0, 0.0);
  settle (f);
  /* The pointer went right: what faced the viewer went right with it. */
  assert_true (rhyton_vessel_view_get_camera (view).turn_rad < 0.0);
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

static void
press (GtkWidget       *view,
       guint            keyval,
       GdkModifierType  state)
{
  GtkEventController *keys = gui_controller (view, GTK_TYPE_EVENT_CONTROLLER_KEY, 0);
  gboolean taken = FALSE;
  assert_non_null (keys);
  g_signal_emit_by_name (keys, "key-pressed", keyval, 0, state, &taken);
  assert_true (taken);
}

static void
test_arrow_keys_nudge (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  GtkWidget *view = GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
  g_autofree char *start = text_of (f);

  press (view, GDK_KEY_Up, 0);
  press (view, GDK_KEY_Up, GDK_SHIFT_MASK);
  /* 1.1 mm along the wall; the cone's slope is atan (13/150), its cosine 0.99627. */
  const double slope = atan2 (13.0, 150.0);
  assert_near (rhy_job_get_data (rhyton_document_get_job (f->document))->artwork.at_mm,
               84.0 + 1.1 * cos (slope), 1.1e-3);
  press (view, GDK_KEY_Right, 0);
  assert_true (rhy_job_get_data (rhyton_document_get_job (f->document))->artwork.around_rad > 0.0);
  act (f, "undo");
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
  press (view, GDK_KEY_plus, 0);
  assert_true (rhyton_vessel_view_get_camera (rhyton_stage_get_vessel_view (f->stage)).zoom > 1.0);
}

static void
test_views_change_places (void **state)
{
  Fixture *f = *state;
  static const char *const names[] = { "bed", "pattern", "vessel" };
  open_demo (f);
  GtkWidget *const views[] = {
    GTK_WIDGET (rhyton_stage_get_bed_view (f->stage)),
    GTK_WIDGET (rhyton_stage_get_pattern_view (f->stage)),
    GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage)),
  };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_action_group_change_action_state (G_ACTION_GROUP (f->window), "view", g_variant_new_string (names[i]));
      gui_frame (GTK_WIDGET (f->window));
      settle (f);
      for (gsize k = 0; k < G_N_ELEMENTS (views); k++)
        if (k != i)
          assert_true (gtk_widget_get_width (views[i]) > gtk_widget_get_width (views[k]));
    }
}

static guint
brightness (cairo_surface_t *picture,
            int              x,
            int              y)
{
  const guint8 *row = cairo_image_surface_get_data (picture) + y * cairo_image_surface_get_stride (picture);
  const guint8 *p = row + 4 * x;
  return ((guint) p[0] + p[1] + p[2]) / 3;
}

/* The vessel is there and lit, and the crest's black is on it. */
static void
test_picture_of_the_window (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  gui_frame (GTK_WIDGET (f->window));
  settle (f);
  cairo_surface_t *picture = gui_picture (GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage)));
  const int width = cairo_image_surface_get_width (picture);
  const int height = cairo_image_surface_get_height (picture);
  guint darkest = 255, lightest = 0;
  for (int y = height * 2 / 5; y < height * 3 / 5; y++)
    for (int x = width * 2 / 5; x < width * 3 / 5; x++)
      {
        darkest = MIN (darkest, brightness (picture, x, y));
        lightest = MAX (lightest, brightness (picture, x, y));
      }
  assert_true (darkest < 40);
  assert_true (lightest > 120);
  cairo_surface_destroy (picture);

  cairo_surface_t *whole = gui_picture (GTK_WIDGET (f->window));
  const char *build = g_getenv ("G_TEST_BUILDDIR");
  if (build != NULL)
    {
      g_autofree char *path = g_build_filename (build, "window.png", NULL);
      cairo_surface_write_to_png (whole, path);
    }
  cairo_surface_destroy (whole);
}

static void
test_demo_is_a_click_away (void **state)
{
  Fixture *f = *state;
  act (f, "open-demo");
  settle (f);
  assert_string_equal (rhyton_window_get_verdict (f->window), "Ready.");
  /* Saving it asks where to: the demo itself stays. */
  assert_null (rhyton_document_get_path (f->document));
}

static void
test_help_overlay_is_there (void **state)
{
  Fixture *f = *state;
  assert_non_null (gtk_application_window_get_help_overlay (GTK_APPLICATION_WINDOW (f->window)));
}

static void
test_bad_job_leaves_the_window (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *before = text_of (f);
  g_autofree char *path = g_build_filename (f->folder, "bad.rhyton", NULL);
  assert_true (g_file_set_contents (path, "no job at all", -1, NULL));
  g_autoptr (GFile) file = g_file_new_for_path (path);
  assert_false (rhyton_window_open_job (f->window, file));
  g_autofree char *after = text_of (f);
  assert_string_equal (after, before);
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    with (test_shows_the_demo),
    with (test_everything_has_a_name),
    with (test_actions_have_keys),
    with (test_fields_edit_the_job),
    with (test_field_refuses_with_a_reason),
    with (test_inches_change_nothing),
    with (test_blank_is_a_click),
    with (test_lay_is_taken_from_the_comparison),
    with (test_hold_is_taken_from_the_comparison),
    with (test_finding_is_mended_by_its_button),
    with (test_finding_shows_its_place),
    with (test_capacity_checks_the_readings),
    with (test_readings_come_and_go),
    with (test_holding_changes_the_drawing),
    with (test_drop_of_a_drawing),
    with (test_export_is_the_library_s),
    with (test_artwork_is_dragged_on_the_vessel),
    with (test_artwork_is_dragged_on_the_pattern),
    with (test_handles_scale_and_turn),
    with (test_artwork_snaps_to_the_front),
    with (test_dragging_beside_turns_the_vessel),
    with (test_arrow_keys_nudge),
    with (test_views_change_places),
    with (test_picture_of_the_window),
    with (test_demo_is_a_click_away),
    with (test_help_overlay_is_there),
    with (test_bad_job_leaves_the_window),
  };
  return fixture_run (tests);
}
