/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <math.h>
#include <string.h>

#include "rhyton-howto.h"
#include "rhyton-photo-page.h"
#include "rhyton-section.h"

static RhytonSection *
section_of (Fixture *f)
{
  return part_of (f, RHYTON_TYPE_SECTION);
}

static void
expect (Fixture    *f,
        const char *part)
{
  g_autofree char *text = rhyton_section_describe (section_of (f));
  if (strstr (text, part) == NULL)
    print_error ("\"%s\" is not in \"%s\"\n", part, text);
  assert_non_null (strstr (text, part));
  /* A screen reader is told the same. */
  g_autofree char *bad = gtk_test_accessible_check_property (GTK_ACCESSIBLE (section_of (f)),
                                                             GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, text);
  assert_null (bad);
}

static GtkEditable *
text_in (RhytonMeasureEntry *entry)
{
  GtkWidget *child = gtk_widget_get_first_child (gtk_widget_get_first_child (gtk_widget_get_first_child (GTK_WIDGET (entry))));
  assert_true (GTK_IS_ENTRY (child));
  return GTK_EDITABLE (child);
}

#define NARROW "\u202f"

/* The tumbler of the demonstration: 62 below, 88 above, 150 high. */
static void
test_section_is_of_the_job (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  go_to (f, "vessel");
  gtk_test_accessible_assert_role (section_of (f), GTK_ACCESSIBLE_ROLE_IMG);
  gtk_test_accessible_assert_property (section_of (f), GTK_ACCESSIBLE_PROPERTY_LABEL, "Section of the vessel");
  expect (f, "Section: 2 readings, 150" NARROW "mm high, 62" NARROW "mm to 88" NARROW "mm across; lip from");
  rhyton_measure_entry_enter (field (f, "Diameter 2"), "80");
  expect (f, "62" NARROW "mm to 80" NARROW "mm across");
  act (f, "undo");
  expect (f, "62" NARROW "mm to 88" NARROW "mm across");
  rhyton_document_set_inches (f->document, TRUE);
  expect (f, "2.441" NARROW "in to 3.465" NARROW "in across");
  rhyton_document_set_inches (f->document, FALSE);
}

/* At once, before anything is entered; Escape takes it back, and the job never knew. */
static void
test_typing_is_drawn_at_once (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  GtkEditable *text = text_in (field (f, "Diameter 2"));

  gtk_editable_set_text (text, "100");
  expect (f, "62" NARROW "mm to 100" NARROW "mm across");
  expect (f, "; reading 2: 150" NARROW "mm up, 100" NARROW "mm across");
  g_autofree char *meanwhile = text_of (f);
  assert_string_equal (meanwhile, start);
  /* What is no number yet, or no diameter, leaves the drawing. */
  gtk_editable_set_text (text, "12x");
  expect (f, "mm to 100" NARROW "mm across");
  gtk_editable_set_text (text, "0");
  expect (f, "mm to 100" NARROW "mm across");
  gtk_editable_set_text (text, "88");
  expect (f, "62" NARROW "mm to 88" NARROW "mm across");

  /* A height typed past its neighbour is drawn where it would go. */
  gtk_editable_set_text (text_in (field (f, "Height 1")), "200");
  expect (f, "200" NARROW "mm high");
  expect (f, "; reading 2: 200" NARROW "mm up, 62" NARROW "mm across");
  gtk_editable_set_text (text_in (field (f, "Height 1")), "0");
  expect (f, "150" NARROW "mm high");
}

static void
test_the_reading_with_the_focus_is_marked (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  gtk_window_set_focus (GTK_WINDOW (f->window), NULL);
  gtk_widget_grab_focus (GTK_WIDGET (field (f, "Diameter 1")));
  expect (f, "; reading 1: 0" NARROW "mm up, 62" NARROW "mm across");
  gtk_widget_grab_focus (GTK_WIDGET (field (f, "Height 2")));
  expect (f, "; reading 2: 150" NARROW "mm up");
  /* A click on the other's dot takes its field. */
  g_signal_emit_by_name (section_of (f), "picked", 0);
  expect (f, "; reading 1: 0" NARROW "mm up");
  gtk_window_set_focus (GTK_WINDOW (f->window), NULL);
  g_autofree char *text = rhyton_section_describe (section_of (f));
  assert_null (strstr (text, "reading 1"));
}

static GtkEditable *
volume (Fixture *f)
{
  GtkWidget *entry = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_ENTRY, "How high this volume stands");
  assert_non_null (entry);
  return GTK_EDITABLE (entry);
}

/* A cylinder 80 across, side 4, floor 6: 250000 / (pi 36^2) = 61.4 mm above the floor; with
 * nothing known of the inside 250000 / (pi 40^2) = 49.74 mm. */
static void
test_a_volume_stands_in_it (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  rhyton_measure_entry_enter (field (f, "Diameter 1"), "80");
  rhyton_measure_entry_enter (field (f, "Diameter 2"), "80");
  gtk_editable_set_text (volume (f), "250 ml");
  expect (f, "250 ml stand 49.74" NARROW "mm above the base.");
  rhyton_measure_entry_enter (field (f, "Thickness of the wall"), "4");
  rhyton_measure_entry_enter (field (f, "Height of the floor"), "6");
  expect (f, "250 ml stand 67.4" NARROW "mm above the base.");
  /* A floor half typed moves it at once. */
  gtk_editable_set_text (text_in (field (f, "Height of the floor")), "16");
  expect (f, "250 ml stand 77.4" NARROW "mm above the base.");
  gtk_editable_set_text (text_in (field (f, "Height of the floor")), "6");
  /* 4071.504 mm^2 times 144 mm is 586.3 ml. */
  gtk_editable_set_text (volume (f), "20 imperial fl oz");
  expect (f, "568.3 ml stand 145.57" NARROW "mm above the base.");
  gtk_editable_set_text (volume (f), "600");
  expect (f, "600 ml: the vessel holds 0 to 586.3 ml");
  g_autofree char *before = text_of (f);
  gtk_editable_set_text (volume (f), "much");
  assert_true (gtk_widget_has_css_class (GTK_WIDGET (volume (f)), "error"));
  gtk_editable_set_text (volume (f), "");
  assert_false (gtk_widget_has_css_class (GTK_WIDGET (volume (f)), "error"));
  g_autofree char *text = rhyton_section_describe (section_of (f));
  assert_null (strstr (text, " ml"));
  g_autofree char *after = text_of (f);
  assert_string_equal (before, after);
}

/* Each number is the job's, is drawn while it is typed, can be emptied and undone. */
static void
test_numbers_go_into_the_job (void **state)
{
  Fixture *f = *state;
  static const struct { const char *label, *key, *text; } numbers[] = {
    { "Height of the fill line", "FillHeight=120", "120" },
    { "Overall height", "OverallHeight=150.2", "150.2" },
    { "Length along the wall", "Slant=150.6", "150.6" },
    { "Thickness of the wall", "WallThickness=2.5", "2.5" },
    { "Height of the floor", "Floor=4", "4" },
  };
  open_demo (f);
  g_autofree char *start = text_of (f);
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    {
      assert_true (isnan (rhyton_measure_entry_get_value (field (f, numbers[i].label))));
      rhyton_measure_entry_enter (field (f, numbers[i].label), numbers[i].text);
      g_autofree char *with = text_of (f);
      assert_non_null (strstr (with, numbers[i].key));
      rhyton_measure_entry_enter (field (f, numbers[i].label), "");
      g_autofree char *without = text_of (f);
      assert_null (strstr (without, numbers[i].key));
      assert_true (isnan (rhyton_measure_entry_get_value (field (f, numbers[i].label))));
      act (f, "undo");
      assert_false (isnan (rhyton_measure_entry_get_value (field (f, numbers[i].label))));
      act (f, "undo");
    }
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
  gtk_editable_set_text (text_in (field (f, "Height of the fill line")), "110");
  expect (f, "; fill line at 110" NARROW "mm");
  gtk_editable_set_text (text_in (field (f, "Height of the fill line")), "");
  g_autofree char *emptied = rhyton_section_describe (section_of (f));
  assert_null (strstr (emptied, "fill line"));
  g_autofree char *meanwhile = text_of (f);
  assert_string_equal (meanwhile, start);
}

static void
collect_howtos (GtkWidget *widget,
                gpointer   list)
{
  if (RHYTON_IS_HOWTO (widget) && gtk_widget_get_mapped (widget))
    g_ptr_array_add (list, widget);
}

static gboolean
is_open (gpointer howto)
{
  return rhyton_howto_is_open (howto);
}

static gboolean
is_closed (gpointer howto)
{
  return !rhyton_howto_is_open (howto);
}

static void
find_drawing (GtkWidget *widget,
              gpointer   found)
{
  if (GTK_IS_DRAWING_AREA (widget))
    *(GtkWidget **) found = widget;
}

/* Something is drawn: more than one colour, and not all of it. */
static void
expect_drawing (GtkWidget *popover)
{
  GtkWidget *area = NULL;
  gui_each (popover, find_drawing, &area);
  assert_non_null (area);
  gtk_test_accessible_assert_role (area, GTK_ACCESSIBLE_ROLE_IMG);
  cairo_surface_t *picture = gui_picture (area);
  const int width = cairo_image_surface_get_width (picture), height = cairo_image_surface_get_height (picture);
  int marked = 0;
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      marked += cairo_image_surface_get_data (picture)[y * cairo_image_surface_get_stride (picture) + 4 * x + 3] > 128;
  assert_in_range (marked, width * height / 200, width * height / 2);
  cairo_surface_destroy (picture);
}

/* Down to its last line. */
static void
expect_whole (GtkWidget *page)
{
  graphene_rect_t last;
  assert_true (gtk_widget_compute_bounds (gtk_widget_get_last_child (page), page, &last));
  if (last.origin.y + last.size.height > (float) gtk_widget_get_height (page) + 1.0f)
    fail_msg ("its text goes down to %.0f px of %d", (double) (last.origin.y + last.size.height), gtk_widget_get_height (page));
}

/* From the keyboard: the button takes the focus and Space; Escape closes, and the focus is back. */
static void
open_and_close (RhytonHowto *howto)
{
  GtkWidget *button = gtk_widget_get_first_child (GTK_WIDGET (howto));
  gboolean handled = FALSE;

  assert_true (gtk_widget_grab_focus (button));
  assert_true (gtk_widget_activate (button));
  assert_true (gui_until (is_open, howto, 5.0));
  gtk_test_accessible_assert_state (button, GTK_ACCESSIBLE_STATE_EXPANDED, TRUE);
  GtkWidget *popover = rhyton_howto_get_popover (howto);
  assert_non_null (popover);
  gui_frame (popover);
  expect_drawing (popover);
  expect_whole (gtk_popover_get_child (GTK_POPOVER (popover)));
  g_autofree char *name = g_strconcat ("howto-", rhyton_howto_get_topic (howto), NULL);
  cairo_surface_t *page = gui_picture (gtk_popover_get_child (GTK_POPOVER (popover)));
  gui_keep (page, name);
  cairo_surface_destroy (page);
  GtkEventController *key = gui_controller (popover, GTK_TYPE_EVENT_CONTROLLER_KEY, 0);
  assert_non_null (key);
  g_signal_emit_by_name (key, "key-pressed", GDK_KEY_Escape, 0, 0, &handled);
  assert_true (gui_until (is_closed, howto, 5.0));
  gtk_test_accessible_assert_state (button, GTK_ACCESSIBLE_STATE_EXPANDED, FALSE);
}

/* What its button is scrolled away from would point at nothing. */
static void
scroll_away (RhytonHowto *howto)
{
  GtkWidget *button = gtk_widget_get_first_child (GTK_WIDGET (howto));
  GtkWidget *scroller = gtk_widget_get_ancestor (button, GTK_TYPE_SCROLLED_WINDOW);
  GtkAdjustment *height = gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (scroller));

  assert_true (gtk_widget_activate (button));
  assert_true (gui_until (is_open, howto, 5.0));
  const double most = gtk_adjustment_get_upper (height) - gtk_adjustment_get_page_size (height);
  assert_true (most > 0.0);
  gtk_adjustment_set_value (height, gtk_adjustment_get_value (height) > most / 2.0 ? 0.0 : most);
  assert_true (gui_until (is_closed, howto, 5.0));
}

static void
find_howto (GtkWidget *widget,
            gpointer   found)
{
  if (RHYTON_IS_HOWTO (widget))
    *(gboolean *) found = TRUE;
}

/* The rows of readings have theirs at the head of the table. */
static void
expect_help (GtkWidget *widget,
             gpointer   data)
{
  gboolean found = FALSE;
  if (!RHYTON_IS_MEASURE_ENTRY (widget) || !gtk_widget_get_mapped (widget))
    return;
  gui_each (gtk_widget_get_parent (widget), find_howto, &found);
  if (!found)
    fail_msg ("nobody says how to measure what is in a field of step %s", (const char *) data);
}

static void
open_in (GtkWidget  *window,
         const char *where,
         GHashTable *met)
{
  g_autoptr (GPtrArray) howtos = g_ptr_array_new ();

  gui_each (window, expect_help, (gpointer) where);
  gui_each (window, collect_howtos, howtos);
  for (guint i = 0; i < howtos->len; i++)
    if (g_hash_table_add (met, (gpointer) rhyton_howto_get_topic (howtos->pdata[i])))
      open_and_close (howtos->pdata[i]);
}

static void
open_all (Fixture    *f,
          GHashTable *met)
{
  static const char *const steps[] = { "vessel", "artwork", "placement", "hold" };

  settle (f);
  for (gsize step = 0; step < G_N_ELEMENTS (steps); step++)
    {
      go_to (f, steps[step]);
      gui_frame (GTK_WIDGET (f->window));
      open_in (GTK_WIDGET (f->window), steps[step], met);
    }
}

static void
test_what_says_how_closes_when_its_button_goes (void **state)
{
  Fixture *f = *state;
  g_autoptr (GPtrArray) howtos = g_ptr_array_new ();

  open_demo (f);
  settle (f);
  go_to (f, "hold");
  gui_frame (GTK_WIDGET (f->window));
  gui_each (GTK_WIDGET (f->window), collect_howtos, howtos);
  assert_true (howtos->len > 1);
  scroll_away (howtos->pdata[0]);
  scroll_away (howtos->pdata[howtos->len - 1]);

  GtkWidget *button = gtk_widget_get_first_child (GTK_WIDGET (howtos->pdata[0]));
  assert_true (gtk_widget_grab_focus (button));
  assert_true (gtk_widget_activate (button));
  assert_true (gui_until (is_open, howtos->pdata[0], 5.0));
  go_to (f, "vessel");
  assert_true (gui_until (is_closed, howtos->pdata[0], 5.0));
}

/* Each topic has its place, each place opens, and no field is without. */
static void
test_each_number_says_how_it_is_measured (void **state)
{
  Fixture *f = *state;
  g_autoptr (GHashTable) met = g_hash_table_new (g_str_hash, g_str_equal);
  const RhytonEdit lettering[] = { { "Artwork", "File", NULL }, { "Artwork", "Text", "Larkmoor" } };
  open_demo (f);
  rhyton_document_change (f->document, "Lay", NULL, &(RhytonEdit) { "Artwork", "Lay", "seen" }, 1, NULL);
  rhyton_document_change (f->document, "Tilt", NULL, &(RhytonEdit) { "Hold", "Tilt", "3" }, 1, NULL);
  settle (f);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_TOGGLE_BUTTON,
                                                                 "Figures of the machine")), TRUE);
  for (guint support = 0; support < 3; support++)
    {
      gtk_drop_down_set_selected (list (f, "Support of the free end"), support);
      open_all (f, met);
    }
  assert_true (rhyton_document_change (f->document, "Lettering", NULL, lettering, G_N_ELEMENTS (lettering), NULL));
  gtk_drop_down_set_selected (list (f, "How it was measured"), 1);
  for (guint way = 1; way < 3; way++)
    {
      gtk_drop_down_set_selected (list (f, "Way of holding"), way);
      open_all (f, met);
    }
  GtkWidget *page = rhyton_photo_page_new (GTK_WINDOW (f->window), f->document);
  gtk_window_present (GTK_WINDOW (page));
  gui_frame (page);
  open_in (page, "vessel, from a photograph", met);
  gtk_window_destroy (GTK_WINDOW (page));
  g_autofree const char **topics = rhyton_howto_get_topics ();
  for (gsize i = 0; topics[i] != NULL; i++)
    if (!g_hash_table_contains (met, topics[i]))
      fail_msg ("nobody says how to measure: %s", topics[i]);
  assert_non_null (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "How to measure the circumference"));
}

/* Of a cylinder of radius r around which a width w is laid by angle, the printed width is off as the
 * diameter is: w u / d a reading. Two readings of 80, ink half way up: w u / (d sqrt 2); 40 mm and u = 0.5
 * make 0.177, twice that 0.35. What is typed is the job file's key; emptied, the key goes. */
static void
test_uncertainty_is_entered_and_shown (void **state)
{
  Fixture *f = *state;
  g_autofree char *crest = demo ("crest.svg");
  g_autofree char *text = g_strdup_printf (
    "[Job]\nFormat=1\n[Vessel]\nWall=straight\nHeights=0;100\nDiameters=80;80\n[Artwork]\nFile=%s\nWidth=40\nAt=50\n"
    "[Hold]\nDrive=chuck\n[Machine]\nTravelPerTurn=250\n", crest);
  g_autofree char *path = g_build_filename (f->folder, "can.rhyton", NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  open_job (f, path);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("vessel"));
  gui_frame (GTK_WIDGET (f->window));
  g_autofree char *start = text_of (f);
  rhyton_measure_entry_enter (field (f, "Uncertainty of diameters"), "0,5");
  rhyton_measure_entry_enter (field (f, "Uncertainty of heights"), "0.2");
  settle (f);
  assert_near (data_of (f)->vessel.diameter_uncertainty_mm, 0.5, 0.0);
  assert_near (data_of (f)->vessel.height_uncertainty_mm, 0.2, 0.0);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Uncertainty of heights");
  gui_frame (GTK_WIDGET (f->window));
  const char *said = line_with (f, "Printed width sure within ");
  assert_non_null (said);
  assert_near (g_ascii_strtod (said + strlen ("Printed width sure within "), NULL), 0.35, 0.015);
  assert_non_null (strstr (said, "The diameter at height "));
  rhyton_measure_entry_enter (field (f, "Uncertainty of diameters"), "-1");
  assert_non_null (rhyton_measure_entry_get_message (field (f, "Uncertainty of diameters")));
  rhyton_measure_entry_enter (field (f, "Uncertainty of diameters"), "");
  rhyton_measure_entry_enter (field (f, "Uncertainty of heights"), "");
  /* A caliper's, a ruler's: the job file's defaults. */
  assert_near (data_of (f)->vessel.diameter_uncertainty_mm, 0.05, 0.0);
  assert_near (data_of (f)->vessel.height_uncertainty_mm, 0.5, 0.0);
  settle (f);
  expect_back (f, start);
}

static void
expect_refusal (Fixture    *f,
                const char *label,
                const char *text,
                const char *why)
{
  rhyton_measure_entry_enter (field (f, label), text);
  assert_string_equal (rhyton_measure_entry_get_message (field (f, label)), why);
}

/* The job file's limits (rhyton(5)), in words of the panels: no list with semicolons, no word for "empty". */
static void
test_refusals_speak_of_fields (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  expect_refusal (f, "Diameter 1", "99999", "Allowed: outside diameters above 0 up to 10000 mm");
  expect_refusal (f, "Travel per turn", "-5", "Allowed: empty, or a number above 0 up to 100000 mm");
  expect_refusal (f, "Droop", "95", "Allowed: a number from -45 up to 45\u00b0");
  assert_false (rhyton_document_is_modified (f->document));
}

/* Heights are sure within 0.5 mm, twice over: 20 mm contradict them, 0.2 mm do not. Said in words, not as a statistic. */
static void
test_disagreement_is_said_plainly (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  rhyton_measure_entry_enter (field (f, "Overall height"), "170");
  settle (f);
  gui_frame (GTK_WIDGET (f->window));
  const char *found = line_with (f, "Found: ");
  assert_non_null (strstr (found, "the readings do not agree: see Check"));
  assert_null (strstr (found, "chi"));
  rhyton_measure_entry_enter (field (f, "Overall height"), "150.2");
  settle (f);
  assert_non_null (strstr (line_with (f, "Found: "), "the readings agree with it"));
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test_setup_teardown (test_section_is_of_the_job, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_typing_is_drawn_at_once, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_the_reading_with_the_focus_is_marked, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_a_volume_stands_in_it, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_numbers_go_into_the_job, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_uncertainty_is_entered_and_shown, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_refusals_speak_of_fields, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_disagreement_is_said_plainly, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_each_number_says_how_it_is_measured, fixture_set_up, fixture_tear_down),
    cmocka_unit_test_setup_teardown (test_what_says_how_closes_when_its_button_goes, fixture_set_up, fixture_tear_down),
  };
  return fixture_run (tests);
}
