/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "rhyton-machine-chooser.h"
#include "rhyton-stand-view.h"
#include "rhyton-zone-grip.h"
#include "rhyton-zone-list.h"

static void
open_mug (Fixture *f)
{
  g_autofree char *path = demo ("mug.rhyton");
  open_job (f, path);
}

/* What is entered is the job file's key, in its unit; emptied, the key goes. */
static void
test_figures_are_the_job_s_keys (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);

  rhyton_measure_entry_enter (field (f, "Nozzle radius"), "1/4 in");
  assert_near (data_of (f)->machine.nozzle_radius_mm, 6.35, 1e-12);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Nozzle radius");
  rhyton_measure_entry_enter (field (f, "Droop"), "1.5");
  assert_near (data_of (f)->hold.sag_rad, 1.5 * G_PI / 180.0, 1e-15);
  rhyton_measure_entry_enter (field (f, "Nozzle radius"), "");
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autofree char *text = text_of (f);
  assert_true (g_key_file_load_from_data (keys, text, (gsize) -1, G_KEY_FILE_NONE, NULL));
  assert_false (g_key_file_has_key (keys, "Machine", "NozzleRadius", NULL));
  rhyton_measure_entry_enter (field (f, "Chuck radius"), "-4");
  assert_non_null (strstr (rhyton_measure_entry_get_message (field (f, "Chuck radius")), "0"));
  settle (f);
  expect_back (f, start);
}

static gboolean
shows (Fixture    *f,
       const char *label)
{
  return gtk_widget_get_visible (GTK_WIDGET (field (f, label)));
}

/* Pins are no matter where there is a chuck. */
static void
test_figures_follow_the_way_of_holding (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  open_fold (f, "Figures of the machine");
  assert_true (shows (f, "Jaws take"));
  assert_false (shows (f, "Pin radius"));
  assert_false (shows (f, "Contact height"));
  assert_false (shows (f, "Tailstock radius"));
  gtk_drop_down_set_selected (list (f, "Support of the free end"), 1);
  assert_int_equal (data_of (f)->hold.support, RHY_SUPPORT_TAILSTOCK);
  assert_true (shows (f, "Tailstock radius"));
  gtk_drop_down_set_selected (list (f, "Way of holding"), 2);
  assert_true (shows (f, "Pin radius"));
  assert_false (shows (f, "Jaws take"));
  gtk_drop_down_set_selected (list (f, "Way of holding"), 1);
  assert_true (shows (f, "Contact height"));
  assert_false (gtk_widget_get_visible (GTK_WIDGET (list (f, "Held end"))));
  settle (f);
  expect_back (f, start);
}

/* Another machine replaces all that was said of the one before; taken over, its figures
 * are the job's own and the same. */
static void
test_machine_is_chosen_and_taken_over (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  g_autofree char *path = g_build_filename (g_getenv ("RHYTON_DATADIR"), "machines", "gantry-rotary.machine", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);

  /* The demo's machine file is one that only this job knows: it is named all the same. */
  GListModel *names = gtk_drop_down_get_model (list (f, "Machine"));
  const guint own = gtk_drop_down_get_selected (list (f, "Machine"));
  assert_int_equal (own, g_list_model_get_n_items (names) - 1);
  assert_string_equal (gtk_string_list_get_string (GTK_STRING_LIST (names), own), "chuck.machine");
  rhyton_machine_chooser_take (part_of (f, RHYTON_TYPE_MACHINE_CHOOSER), file);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Machine");
  /* gantry-rotary.machine says so. */
  assert_near (data_of (f)->machine.travel_per_turn_mm, 250.0, 0.0);
  assert_near (data_of (f)->machine.jaw_stand_mm, 18.0, 0.0);
  settle (f);
  gtk_drop_down_set_selected (list (f, "Machine"), 1);
  assert_null (data_of (f)->machine.file);
  assert_near (data_of (f)->machine.travel_per_turn_mm, 250.0, 0.0);
  assert_near (data_of (f)->machine.jaw_stand_mm, 18.0, 0.0);
  gtk_drop_down_set_selected (list (f, "Machine"), 0);
  assert_false (data_of (f)->machine.given);
  settle (f);

  g_autofree char *none = g_build_filename (f->folder, "none.machine", NULL);
  g_autoptr (GFile) missing = g_file_new_for_path (none);
  g_autofree char *before = text_of (f);
  rhyton_machine_chooser_take (part_of (f, RHYTON_TYPE_MACHINE_CHOOSER), missing);
  g_autofree char *after = text_of (f);
  assert_string_equal (before, after);
  expect_back (f, start);
}

static void
test_zones_come_and_go (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  const gsize n = data_of (f)->n_zones;
  RhytonZoneList *zones = part_of (f, RHYTON_TYPE_ZONE_LIST);

  for (int kind = RHY_ZONE_HANDLE; kind <= RHY_ZONE_MARK; kind++)
    {
      assert_true (rhyton_zone_list_add (zones, (RhyZoneKind) kind));
      assert_int_equal (data_of (f)->zones[data_of (f)->n_zones - 1].kind, kind);
    }
  assert_int_equal (data_of (f)->n_zones, n + 7);
  /* A second one of a kind has a name of its own. */
  assert_true (rhyton_zone_list_add (zones, RHY_ZONE_SEAM));
  assert_string_equal (data_of (f)->zones[n + 7].name, "seam 2");
  rhyton_measure_entry_enter (field (f, "Width of the zone around"), "25");
  assert_near (data_of (f)->zones[n + 7].width_rad, 25.0 * G_PI / 180.0, 1e-12);
  GtkWidget *name = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_ENTRY, "Name of the zone");
  gtk_editable_set_text (GTK_EDITABLE (name), "weld");
  g_signal_emit_by_name (name, "activate");
  assert_string_equal (data_of (f)->zones[n + 7].name, "weld");
  gtk_editable_set_text (GTK_EDITABLE (name), "seam");
  g_signal_emit_by_name (name, "activate");
  assert_string_equal (data_of (f)->zones[n + 7].name, "weld");
  click (f, "Remove this zone");
  assert_int_equal (data_of (f)->n_zones, n + 7);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Removal of a zone");
  settle (f);
  expect_back (f, start);
}

/* Dragged by its middle on the pattern, a handle's zone follows the pointer, to a whole
 * degree and mm; by an edge, only that edge. */
static void
test_zone_is_dragged (void **state)
{
  Fixture *f = *state;
  open_mug (f);
  g_autofree char *start = text_of (f);
  RhytonFlatView *view = rhyton_stage_get_bed_view (f->stage);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "view", g_variant_new_string ("bed"));
  gui_frame (GTK_WIDGET (f->window));
  settle (f);
  RhyPlan *plan = rhyton_document_get_plan (f->document);
  const RhyZone before = data_of (f)->zones[0];
  assert_int_equal (before.kind, RHY_ZONE_HANDLE);
  RhyRing low, middle, high;
  assert_true (rhy_wall_at_height (rhy_plan_get_wall (plan), before.from_mm, &low));
  assert_true (rhy_wall_at_height (rhy_plan_get_wall (plan), before.to_mm, &high));
  assert_true (rhy_wall_at_height (rhy_plan_get_wall (plan), 0.5 * (before.from_mm + before.to_mm), &middle));
  const double angle = before.centre_rad - 0.2 * before.width_rad;
  double x, y, to_x, to_y;

  assert_true (rhyton_flat_view_locate (view, (RhyWallPoint) { middle.s_mm, angle }, &x, &y));
  assert_true (rhyton_flat_view_locate (view, (RhyWallPoint) { middle.s_mm, angle - 20.0 * G_PI / 180.0 }, &to_x, &to_y));
  drag (GTK_WIDGET (view), x, y, to_x - x, to_y - y);
  const RhyZone *moved = &data_of (f)->zones[0];
  assert_near (remainder (moved->centre_rad - before.centre_rad, 2.0 * G_PI) * 180.0 / G_PI, -20.0, 1e-6);
  assert_near (moved->width_rad, before.width_rad, 1e-12);
  assert_near (moved->from_mm, before.from_mm, 1e-9);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Place of a zone");
  settle (f);

  assert_true (rhyton_flat_view_locate (view, (RhyWallPoint) { high.s_mm, moved->centre_rad }, &x, &y));
  assert_true (rhyton_flat_view_locate (view, (RhyWallPoint) { middle.s_mm, moved->centre_rad }, &to_x, &to_y));
  drag (GTK_WIDGET (view), x, y, to_x - x, to_y - y);
  const RhyZone *cut = &data_of (f)->zones[0];
  assert_near (cut->to_mm, 0.5 * (before.from_mm + before.to_mm), 0.51);
  assert_near (cut->from_mm, before.from_mm, 1e-9);
  settle (f);
  expect_back (f, start);
}

static void
show_machine (Fixture *f)
{
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("hold"));
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_TOGGLE_BUTTON,
                                                                 "Figures of the machine")), TRUE);
  gui_frame (GTK_WIDGET (f->window));
  settle (f);
}

/* pi * 80 = 251.327: what one turn is, where the machine's software turns a diameter into travel. */
static void
test_facts_follow_the_diameter (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);
  show_machine (f);
  rhyton_measure_entry_enter (field (f, "Travel per turn"), "");
  settle (f);
  /* Beside its empty field: 49.19 of height about 84 end 24.5 higher, where 62 + 26 * 108.5 / 150 = 80.8. */
  assert_non_null (line_with (f, "In use: 80.8"));
  rhyton_measure_entry_enter (field (f, "Reference diameter"), "80");
  settle (f);
  assert_non_null (line_with (f, "One turn is 251.33"));
  assert_null (line_with (f, "In use: 80.8"));
  expect_back (f, start);
}

/* A cylinder of radius 30, its nozzle 8 over it, the axis 80 over the bed: 50 free below; the tip has to be
 * 80 + 30 + 8 = 118 high, and where it comes only to 100, 18 are missing. Of an axis only 25 high, 5 and the margin
 * of 1 are. */
static void
test_facts_say_what_is_missing (void **state)
{
  Fixture *f = *state;
  g_autofree char *crest = demo ("crest.svg");
  g_autofree char *text = g_strdup_printf (
    "[Job]\nFormat=1\n[Vessel]\nHeights=0;100\nDiameters=60;60\n[Artwork]\nFile=%s\nWidth=20\nAt=50\n[Hold]\nDrive=chuck\n"
    "[Machine]\nTravelPerTurn=360\nAxisHeight=80\nWorkingDistance=8\nNozzleRadius=4\nHeadHalfWidth=25\nHeadHeight=35\n"
    "JawDepth=0\nJawStand=0\nNozzleTop=100\n", crest);
  g_autofree char *path = g_build_filename (f->folder, "can.rhyton", NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  open_job (f, path);
  show_machine (f);
  assert_non_null (line_with (f, "The work keeps 50\u202fmm from the bed"));
  assert_non_null (line_with (f, "Riser under the head's frame: 18\u202fmm"));
  assert_non_null (line_with (f, "The head keeps 8\u202fmm from everything"));
  rhyton_measure_entry_enter (field (f, "Axis above the bed"), "25");
  rhyton_measure_entry_enter (field (f, "Nozzle at its highest"), "120");
  settle (f);
  assert_non_null (line_with (f, "The work meets the bed: prop the rotary up by 6\u202fmm"));
  assert_non_null (line_with (f, "High enough: no riser"));
}

static gboolean
is_drawn (gpointer view)
{
  return !rhyton_stand_view_is_busy (view);
}

/* The column in which the body of the head, the blue of stand.c, begins. */
static int
head_column (RhytonStandView *view)
{
  cairo_surface_t *picture = rhyton_stand_view_get_picture (view);
  assert_non_null (picture);
  cairo_surface_flush (picture);
  for (int x = 0; x < cairo_image_surface_get_width (picture); x++)
    for (int y = 0; y < cairo_image_surface_get_height (picture); y++)
      {
        const guint8 *p = cairo_image_surface_get_data (picture) + y * cairo_image_surface_get_stride (picture) + 4 * x;
        if (abs (p[2] - 56) < 3 && abs (p[1] - 115) < 3 && abs (p[0] - 143) < 3)
          return x;
      }
  return -1;
}

/* Held at the base, the mouth is at the right: higher ink has the head farther right. */
static void
test_head_follows_the_slider (void **state)
{
  Fixture *f = *state;
  open_mug (f);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("hold"));
  gui_frame (GTK_WIDGET (f->window));
  RhytonStandView *view = part_of (f, RHYTON_TYPE_STAND_VIEW);
  GtkWidget *where = gui_labelled (GTK_WIDGET (view), GTK_TYPE_SCALE, "Where the head is along the ink, percent");
  int columns[2];
  assert_non_null (where);
  for (int i = 0; i < 2; i++)
    {
      gtk_range_set_value (GTK_RANGE (where), 100.0 * i);
      assert_true (gui_until (is_drawn, view, 20.0));
      columns[i] = head_column (view);
    }
  assert_true (columns[0] >= 0 && columns[1] > columns[0] + 10);
}

/* The demo's nozzle is 8 mm, 0.315 in, from the work: said in the unit that is chosen, to those who see
 * the picture and those who do not; and light lines on a dark ground where the theme is so. */
static void
test_holding_is_told_in_words_and_in_the_theme (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("hold"));
  gui_frame (GTK_WIDGET (f->window));
  RhytonStandView *view = part_of (f, RHYTON_TYPE_STAND_VIEW);
  assert_true (gui_until (is_drawn, view, 20.0));
  assert_non_null (strstr (line_with (f, "Height 84"), "Head to vessel: 8\u202fmm free"));
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "inches", g_variant_new_boolean (TRUE));
  assert_true (gui_until (is_drawn, view, 20.0));
  const char *words = line_with (f, "Height 3.307");
  assert_non_null (strstr (words, "Head to vessel: 0.315\u202fin free"));
  GtkWidget *picture = gui_labelled (GTK_WIDGET (view), GTK_TYPE_DRAWING_AREA,
                                     "The held work from the side, tilted 5.0\u00b0, with the head over it");
  assert_non_null (picture);
  g_autofree char *differs = gtk_test_accessible_check_property (GTK_ACCESSIBLE (picture), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                                                 words);
  assert_null (differs);

  for (int dark = 0; dark < 2; dark++)
    {
      g_object_set (gtk_settings_get_default (), "gtk-application-prefer-dark-theme", dark == 1, NULL);
      gui_frame (GTK_WIDGET (f->window));
      assert_true (gui_until (is_drawn, view, 20.0));
      cairo_surface_t *drawn = rhyton_stand_view_get_picture (view);
      cairo_surface_flush (drawn);
      const guint8 *corner = cairo_image_surface_get_data (drawn);
      assert_true (dark == 1 ? corner[1] < 80 : corner[1] > 200);
    }
  g_object_set (gtk_settings_get_default (), "gtk-application-prefer-dark-theme", FALSE, NULL);
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "inches", g_variant_new_boolean (FALSE));
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    with (test_figures_are_the_job_s_keys),
    with (test_figures_follow_the_way_of_holding),
    with (test_machine_is_chosen_and_taken_over),
    with (test_zones_come_and_go),
    with (test_zone_is_dragged),
    with (test_head_follows_the_slider),
    with (test_facts_follow_the_diameter),
    with (test_facts_say_what_is_missing),
    with (test_holding_is_told_in_words_and_in_the_theme),
  };
  return fixture_run (tests);
}
