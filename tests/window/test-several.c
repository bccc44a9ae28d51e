/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <math.h>
#include <string.h>

#include "rhyton-artworks.h"
#include "rhyton-frame.h"

static void
open_both_sides (Fixture *f)
{
  g_autofree char *path = demo ("both-sides.rhyton");
  open_job (f, path);
}

/* Fields show and edit the artwork that is selected, and leave the other alone. */
static void
test_fields_are_the_selected_artwork_s (void **state)
{
  Fixture *f = *state;
  open_both_sides (f);
  g_autofree char *start = text_of (f);
  const double crest_mm = data_of (f)->artworks[0].width_mm;

  rhyton_document_select (f->document, 1);
  gui_settle ();
  assert_near (rhyton_measure_entry_get_value (field (f, "Around from the front")), 180.0, 1e-9);
  rhyton_measure_entry_enter (field (f, "Width"), "44");
  settle (f);
  assert_near (data_of (f)->artworks[1].width_mm, 44.0, 0.0);
  assert_near (data_of (f)->artworks[0].width_mm, crest_mm, 0.0);
  assert_near (rhy_plan_get_numbers (rhyton_document_get_part (f->document))->width_mm, 44.0, 1e-9);
  rhyton_document_select (f->document, 0);
  gui_settle ();
  assert_near (rhyton_measure_entry_get_value (field (f, "Width")), crest_mm, 1e-9);
  expect_back (f, start);
}

static void
place_of_part (Fixture *f,
               gsize    i,
               double  *x,
               double  *y)
{
  const RhyPlan *part = rhy_plan_get_part (rhyton_document_get_plan (f->document), i);
  assert_true (rhyton_flat_view_locate (rhyton_stage_get_pattern_view (f->stage), rhy_plan_get_numbers (part)->anchor, x, y));
}

/* What is under the pointer is taken hold of, whichever artwork was selected. */
static void
test_any_artwork_is_selected_and_dragged (void **state)
{
  Fixture *f = *state;
  open_both_sides (f);
  g_autofree char *start = text_of (f);
  rhyton_document_change_number (f->document, "Angle", NULL, "Artwork", "Around", -60.0, NULL);
  rhyton_document_select (f->document, 1);
  rhyton_document_change_number (f->document, "Angle", NULL, "Artwork", "Around", 60.0, NULL);
  rhyton_document_select (f->document, 0);
  settle (f);
  GtkWidget *view = GTK_WIDGET (rhyton_stage_get_pattern_view (f->stage));
  const double crest_at = data_of (f)->artworks[0].around_rad;
  double x, y, now_x, now_y;

  place_of_part (f, 1, &x, &y);
  drag (view, x, y, -15.0, 9.0);
  settle (f);
  assert_int_equal (rhyton_document_get_selected (f->document), 1);
  place_of_part (f, 1, &now_x, &now_y);
  assert_near (now_x, x - 15.0, 0.1);
  assert_near (now_y, y + 9.0, 0.1);
  assert_near (data_of (f)->artworks[0].around_rad, crest_at, 0.0);

  place_of_part (f, 0, &x, &y);
  drag (view, x, y, 0.0, 0.0);
  assert_int_equal (rhyton_document_get_selected (f->document), 0);
  expect_back (f, start);
}

/* On the bed the first artwork is the mark, which stays; the other is dragged. */
static void
test_mark_stays_on_the_bed (void **state)
{
  Fixture *f = *state;
  open_both_sides (f);
  g_autofree char *start = text_of (f);
  RhytonFlatView *view = rhyton_stage_get_bed_view (f->stage);
  const RhyPlan *plan = rhyton_document_get_plan (f->document);
  const RhyWallPoint anchor = rhy_plan_get_numbers (rhy_plan_get_part (plan, 1))->anchor;
  double x, y;

  assert_true (rhyton_flat_view_locate (view, rhy_plan_get_numbers (plan)->anchor, &x, &y));
  drag (GTK_WIDGET (view), x, y, 20.0, 10.0);
  g_autofree char *after = text_of (f);
  assert_string_equal (after, start);
  rhyton_flat_view_fit (view);
  assert_true (rhyton_flat_view_locate (view, anchor, &x, &y));
  drag (GTK_WIDGET (view), x, y, 8.0, 0.0);
  settle (f);
  assert_int_equal (rhyton_document_get_selected (f->document), 1);
  assert_true (fabs (rhy_plan_get_numbers (rhyton_document_get_part (f->document))->anchor.s - anchor.s) > 0.5);
  expect_back (f, start);
}

static void
test_page_keys_select (void **state)
{
  Fixture *f = *state;
  open_both_sides (f);
  GtkWidget *view = GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage));
  GtkEventController *keys = gui_controller (view, GTK_TYPE_EVENT_CONTROLLER_KEY, 0);
  gboolean taken = FALSE;

  g_signal_emit_by_name (keys, "key-pressed", GDK_KEY_Page_Down, 0, 0, &taken);
  assert_true (taken);
  assert_int_equal (rhyton_document_get_selected (f->document), 1);
  g_signal_emit_by_name (keys, "key-pressed", GDK_KEY_Page_Down, 0, 0, &taken);
  assert_int_equal (rhyton_document_get_selected (f->document), 0);
  g_signal_emit_by_name (keys, "key-pressed", GDK_KEY_Page_Up, 0, 0, &taken);
  assert_int_equal (rhyton_document_get_selected (f->document), 1);
  /* Keys nudge what is selected. */
  const double before = data_of (f)->artworks[1].at_mm;
  g_signal_emit_by_name (keys, "key-pressed", GDK_KEY_Up, 0, 0, &taken);
  assert_true (data_of (f)->artworks[1].at_mm > before + 0.9);
}

static void
test_artworks_come_and_go (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f);

  click (f, "Copy");
  settle (f);
  assert_int_equal (data_of (f)->n_artworks, 2);
  assert_int_equal (rhyton_document_get_selected (f->document), 1);
  assert_string_equal (data_of (f)->artworks[1].file, data_of (f)->artworks[0].file);
  assert_near (fabs (data_of (f)->artworks[1].around_rad), G_PI, 1e-9);
  assert_string_equal (rhyton_window_get_verdict (f->window), "Ready.");
  GtkWidget *name = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_ENTRY, "Name of the artwork");
  gtk_editable_set_text (GTK_EDITABLE (name), "back");
  g_signal_emit_by_name (name, "activate");
  assert_string_equal (data_of (f)->artworks[1].name, "back");
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Name of the artwork");
  settle (f);

  click (f, "Another");
  settle (f);
  assert_int_equal (data_of (f)->n_artworks, 3);
  assert_null (data_of (f)->artworks[2].file);
  click (f, "Remove");
  settle (f);
  assert_int_equal (data_of (f)->n_artworks, 2);
  assert_int_equal (rhyton_document_get_selected (f->document), 1);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Removal of the artwork");
  expect_back (f, start);
  settle (f);
  assert_int_equal (rhyton_document_get_selected (f->document), 0);
}

/* The first one in the file is the mark: a new name must not make it another. */
static void
test_rename_keeps_the_order (void **state)
{
  Fixture *f = *state;
  open_both_sides (f);
  g_autoptr (GError) error = NULL;
  g_autofree char *other = g_strdup (data_of (f)->artworks[1].name);

  assert_true (rhyton_artworks_rename (f->document, "front", &error));
  assert_string_equal (data_of (f)->artworks[0].name, "front");
  assert_string_equal (data_of (f)->artworks[1].name, other);
  assert_false (rhyton_artworks_rename (f->document, other, &error));
  assert_non_null (strstr (error->message, "already"));
  g_clear_error (&error);
  assert_false (rhyton_artworks_rename (f->document, "a]b", &error));
  assert_non_null (error);
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    with (test_fields_are_the_selected_artwork_s),
    with (test_any_artwork_is_selected_and_dragged),
    with (test_mark_stays_on_the_bed),
    with (test_page_keys_select),
    with (test_artworks_come_and_go),
    with (test_rename_keeps_the_order),
  };
  return fixture_run (tests);
}
