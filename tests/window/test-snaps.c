/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <math.h>
#include <string.h>

#include "rhyton-grip.h"
#include "rhyton-panel.h"

/* A cylinder of radius 40 and three artworks side by side: places are by hand, as on paper. */
static const char three[] = "[Job]\nFormat=1\n[Vessel]\nHeights=0;100\nDiameters=80;80\n"
                            "[Artwork left]\nText=A\nWidth=20\nAt=50\nAround=-60\n"
                            "[Artwork name]\nText=A\nWidth=10\nAt=40\nAround=7\n"
                            "[Artwork right]\nText=A\nWidth=20\nAt=54\nAround=70\n"
                            "[Machine]\nTravelPerTurn=200\n";

static void
open_three (Fixture *f)
{
  g_autofree char *path = g_build_filename (f->folder, "three.rhyton", NULL);
  assert_true (g_file_set_contents (path, three, -1, NULL));
  open_job (f, path);
}

static const RhyJobArtwork *
artwork (Fixture *f,
         gsize    i)
{
  return &rhy_job_get_data (rhyton_document_get_job (f->document))->artworks[i];
}

static RhyWallPoint
anchor_of (Fixture *f,
           gsize    i)
{
  return rhy_plan_get_numbers (rhy_plan_get_part (rhyton_document_get_plan (f->document), i))->anchor;
}

static void
grip (Fixture    *f,
      RhytonGrip *held,
      gsize       i)
{
  rhyton_document_select (f->document, i);
  assert_true (rhyton_grip_take (held, f->document, RHYTON_HANDLE_BODY, anchor_of (f, i)));
}

/* Left ends 10 mm right of -60 degrees, right begins 10 mm left of 70: between them is 5 degrees, and
 * 40 * 130 degrees - 20 - 10 mm make two gaps. */
static void
test_dragged_between_two (void **state)
{
  Fixture *f = *state;
  open_three (f);
  g_autofree char *start = text_of (f);
  RhytonGrip held = { 0 };

  grip (f, &held, 1);
  rhyton_grip_move (&held, f->document, (RhyWallPoint) { 45.0, 4.0 * G_PI / 180.0 }, 1.0);
  assert_int_equal (held.n_snaps, 1);
  assert_int_equal (held.snaps[0].kind, RHY_SNAP_SIDES);
  assert_near (artwork (f, 1)->around_rad, 5.0 * G_PI / 180.0, 1e-12);
  assert_near (artwork (f, 1)->at_mm, 45.0, 1e-9);
  const double gap_mm = 0.5 * (40.0 * 130.0 * G_PI / 180.0 - 30.0);
  assert_near (held.snaps[0].gap_mm, gap_mm, 1e-9);
  g_autofree char *told = rhyton_grip_describe (&held, f->document);
  assert_near (gap_mm, 30.37856, 1e-5);
  assert_string_equal (told, "45\u202fmm up, 5.0\u00b0 around\nas far from left as from right: 30.38\u202fmm");

  /* Both a height and an angle: level with left, on the front. */
  rhyton_grip_move (&held, f->document, (RhyWallPoint) { 50.4, -0.01 }, 1.0);
  assert_int_equal (held.n_snaps, 2);
  assert_near (artwork (f, 1)->around_rad, 0.0, 0.0);
  assert_near (artwork (f, 1)->at_mm, 50.0, 0.0);
  rhyton_grip_drop (&held, f->document);
  settle (f);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Move of the artwork");
  rhyton_document_undo (f->document);
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

static void
test_free_drag_goes_anywhere (void **state)
{
  Fixture *f = *state;
  open_three (f);
  RhytonGrip held = { 0 };
  grip (f, &held, 1);
  rhyton_grip_move (&held, f->document, (RhyWallPoint) { 50.4, -0.01 }, 0.0);
  assert_int_equal (held.n_snaps, 0);
  assert_near (artwork (f, 1)->at_mm, 50.4, 1e-9);
  assert_near (artwork (f, 1)->around_rad, -0.01, 1e-5);
  rhyton_grip_drop (&held, f->document);
}

/* ---- the line ---- */

static double
darkness (cairo_surface_t *picture,
          int              x,
          int              y)
{
  const guint8 *p = cairo_image_surface_get_data (picture) + y * cairo_image_surface_get_stride (picture) + 4 * x;
  return 255.0 - (p[0] + p[1] + p[2]) / 3.0;
}

/* What stands out of the paper around a wall point, on the row that it is on. */
static double
darkest_near (Fixture        *f,
              RhytonFlatView *view,
              RhyWallPoint    at)
{
  double x, y, most = 0.0;
  assert_true (rhyton_flat_view_locate (view, at, &x, &y));
  gui_frame (GTK_WIDGET (view));
  cairo_surface_t *picture = gui_picture (GTK_WIDGET (view));
  for (int dy = -12; dy <= 12; dy++)
    for (int dx = -1; dx <= 1; dx++)
      most = MAX (most, darkness (picture, (int) x + dx, (int) y + dy));
  cairo_surface_destroy (picture);
  return most;
}

static void
begin_drag (GtkWidget *view,
            double     x,
            double     y,
            double     dx,
            double     dy,
            gboolean   end)
{
  GtkGesture *gesture = NULL;
  for (guint i = 0; (gesture = gui_controller (view, GTK_TYPE_GESTURE_DRAG, i)) != NULL; i++)
    if (gtk_gesture_single_get_button (GTK_GESTURE_SINGLE (gesture)) == GDK_BUTTON_PRIMARY)
      break;
  assert_non_null (gesture);
  if (!end)
    {
      g_signal_emit_by_name (gesture, "drag-begin", x, y);
      g_signal_emit_by_name (gesture, "drag-update", dx, dy);
    }
  else
    g_signal_emit_by_name (gesture, "drag-end", dx, dy);
}

/* Opposite left is at 120 degrees, where nothing is drawn: while right is held there, a line is. */
static void
test_line_is_seen_while_held (void **state)
{
  Fixture *f = *state;
  open_three (f);
  rhyton_stage_set_large (f->stage, "pattern");
  gui_frame (GTK_WIDGET (f->stage));
  RhytonFlatView *view = rhyton_stage_get_pattern_view (f->stage);
  const RhyWallPoint anchor = anchor_of (f, 2);
  const RhyWallPoint beside = { 20.0, 120.0 * G_PI / 180.0 };
  double x, y, to_x, to_y;

  const double before = darkest_near (f, view, beside);
  assert_true (rhyton_flat_view_locate (view, anchor, &x, &y));
  assert_true (rhyton_flat_view_locate (view, (RhyWallPoint) { 80.0, beside.angle + 0.01 }, &to_x, &to_y));
  begin_drag (GTK_WIDGET (view), x, y, to_x - x, to_y - y, FALSE);
  assert_near (artwork (f, 2)->around_rad, beside.angle, 1e-5);
  settle (f);
  const double held = darkest_near (f, view, beside);
  begin_drag (GTK_WIDGET (view), x, y, to_x - x, to_y - y, TRUE);
  settle (f);
  const double after = darkest_near (f, view, beside);
  assert_true (held > before + 40.0);
  assert_near (after, before, 1.0);
}

/* In a view beside, a name is a few pixels high and its handles are as large: what is in its middle
 * moves it all the same. */
static void
test_small_artwork_is_moved_by_its_middle (void **state)
{
  Fixture *f = *state;
  open_three (f);
  rhyton_document_change_number (f->document, "Width", NULL, "Artwork", "Width", 4.0, NULL);
  rhyton_stage_set_large (f->stage, "bed");
  gui_frame (GTK_WIDGET (f->stage));
  settle (f);
  RhytonFlatView *view = rhyton_stage_get_pattern_view (f->stage);
  const RhyWallPoint anchor = anchor_of (f, 0);
  double x, y;

  assert_true (rhyton_flat_view_locate (view, anchor, &x, &y));
  drag (GTK_WIDGET (view), x, y, 0.0, 12.0);
  settle (f);
  assert_near (artwork (f, 0)->turn_rad, 0.0, 0.0);
  assert_near (artwork (f, 0)->width_mm, 4.0, 0.0);
  assert_true (artwork (f, 0)->at_mm < 45.0);
}

/* ---- by a button ---- */

static GtkWidget *
places_of (Fixture *f)
{
  GtkWidget *button = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_MENU_BUTTON, "Places");
  assert_non_null (button);
  assert_true (gtk_widget_get_sensitive (button));
  return GTK_WIDGET (gtk_menu_button_get_popover (GTK_MENU_BUTTON (button)));
}

static GtkWidget *
row_of (GtkWidget  *popover,
        const char *label)
{
  GtkWidget *row;
  g_signal_emit_by_name (popover, "show");
  row = gui_labelled (popover, GTK_TYPE_BUTTON, label);
  if (row == NULL)
    print_error ("no place %s\n", label);
  assert_non_null (row);
  return row;
}

static void
test_places_by_button (void **state)
{
  Fixture *f = *state;
  open_three (f);
  g_autofree char *start = text_of (f);
  act (f, "step::place");
  rhyton_document_select (f->document, 1);
  settle (f);
  GtkWidget *popover = places_of (f);

  g_signal_emit_by_name (row_of (popover, "Level with right"), "clicked");
  settle (f);
  assert_near (artwork (f, 1)->at_mm, 54.0, 0.0);
  g_signal_emit_by_name (row_of (popover, "As far from left as from right: 30.38\u202fmm"), "clicked");
  settle (f);
  assert_near (artwork (f, 1)->around_rad, 5.0 * G_PI / 180.0, 1e-12);
  /* Where it is already there is nothing to do. */
  assert_false (gtk_widget_get_sensitive (row_of (popover, "Level with right (it is there)")));
  g_signal_emit_by_name (row_of (popover, "Opposite left"), "clicked");
  settle (f);
  assert_near (artwork (f, 1)->around_rad, 120.0 * G_PI / 180.0, 1e-12);
  assert_near (artwork (f, 0)->around_rad, -60.0 * G_PI / 180.0, 1e-12);
  while (rhyton_document_undo (f->document))
    ;
  g_autofree char *end = text_of (f);
  assert_string_equal (end, start);
}

/* Between lip and foot of the demo 8 to 136 mm are free. */
static void
test_middle_is_of_what_is_free (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  act (f, "to-middle");
  settle (f);
  assert_near (artwork (f, 0)->at_mm, 72.0, 0.0);
}

/* ---- figures ---- */

static void
nudge (GtkWidget       *view,
       guint            keyval,
       GdkModifierType  state)
{
  gboolean taken = FALSE;
  g_signal_emit_by_name (gui_controller (view, GTK_TYPE_EVENT_CONTROLLER_KEY, 0), "key-pressed", keyval, 0, state, &taken);
  assert_true (taken);
}

/* Every artwork, in every view: a millimetre along the wall, or a tenth, which is 1/40 rad around. */
static void
test_keys_move_whichever_is_selected (void **state)
{
  Fixture *f = *state;
  open_three (f);
  GtkWidget *const views[] = { GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage)),
                               GTK_WIDGET (rhyton_stage_get_pattern_view (f->stage)),
                               GTK_WIDGET (rhyton_stage_get_bed_view (f->stage)) };
  for (gsize i = 0; i < 3; i++)
    {
      const double at_mm = artwork (f, i)->at_mm, around_rad = artwork (f, i)->around_rad;
      rhyton_document_select (f->document, i);
      nudge (views[i], GDK_KEY_Up, 0);
      nudge (views[i], GDK_KEY_Down, GDK_SHIFT_MASK);
      nudge (views[i], GDK_KEY_Right, 0);
      nudge (views[i], GDK_KEY_Left, GDK_SHIFT_MASK);
      settle (f);
      assert_near (artwork (f, i)->at_mm, at_mm + 0.9, 2e-3);
      assert_near (40.0 * (artwork (f, i)->around_rad - around_rad), 0.9, 2e-3);
    }
}

/* The size that is told is the one of the artwork that is held. */
static void
test_size_is_told_of_each (void **state)
{
  Fixture *f = *state;
  open_three (f);
  for (gsize i = 0; i < 3; i++)
    {
      const RhyPlan *part = rhy_plan_get_part (rhyton_document_get_plan (f->document), i);
      const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (part));
      const RhyWallPoint anchor = anchor_of (f, i);
      const double aspect = (box.max_y - box.min_y) / (box.max_x - box.min_x);
      const RhyWallPoint corner = { anchor.s + box.max_y, anchor.angle + box.max_x / 40.0 };
      RhytonGrip held = { 0 };

      rhyton_document_select (f->document, i);
      assert_true (rhyton_grip_take (&held, f->document, RHYTON_HANDLE_CORNER, corner));
      /* Half as far again from its middle: half as large again. */
      rhyton_grip_move (&held, f->document, (RhyWallPoint) { anchor.s + 1.5 * box.max_y, anchor.angle + 1.5 * box.max_x / 40.0 }, 1.0);
      settle (f);
      g_autofree char *told = rhyton_grip_describe (&held, f->document);
      const double width_mm = i == 1 ? 15.0 : 30.0;
      const RhyPlanNumbers *numbers = rhy_plan_get_numbers (rhyton_document_get_part (f->document));
      assert_near (numbers->width_mm, width_mm, 1e-3);
      assert_near (numbers->height_mm, width_mm * aspect, 1e-3);
      g_autofree char *width = g_strdup_printf ("%g\u202fmm \u00d7 ", width_mm);
      assert_true (g_str_has_prefix (told, width));
      assert_near (g_ascii_strtod (told + strlen (width), NULL), width_mm * aspect, 6e-3);
      rhyton_grip_drop (&held, f->document);
    }
}

static void
expect_description (GtkWidget  *view,
                    const char *wanted)
{
  char *bad = gtk_test_accessible_check_property (GTK_ACCESSIBLE (view), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, wanted);
  if (bad != NULL)
    print_error ("described as %s, wanted %s\n", bad, wanted);
  assert_null (bad);
}

/* Who cannot see which frame has handles is told. */
static void
test_selected_artwork_is_said (void **state)
{
  Fixture *f = *state;
  open_three (f);
  GtkWidget *pattern = GTK_WIDGET (rhyton_stage_get_pattern_view (f->stage));
  const RhyPlanNumbers *name = rhy_plan_get_numbers (rhy_plan_get_part (rhyton_document_get_plan (f->document), 1));
  g_autofree char *height = rhyton_panel_format_mm (f->document, name->height_mm);
  g_autofree char *wanted = g_strdup_printf ("name: 40\u202fmm up, 7.0\u00b0 around, 10\u202fmm \u00d7 %s", height);

  nudge (pattern, GDK_KEY_Page_Down, 0);
  expect_description (pattern, wanted);
  expect_description (GTK_WIDGET (rhyton_stage_get_bed_view (f->stage)), wanted);
  g_autofree char *seen = g_strconcat (wanted, "; turned 0\u00b0, lifted 11\u00b0, zoom 1.00", NULL);
  expect_description (GTK_WIDGET (rhyton_stage_get_vessel_view (f->stage)), seen);
}

/* Artwork that a click would select is framed, and named, while the pointer is over it. */
static void
test_other_artwork_is_framed_under_the_pointer (void **state)
{
  Fixture *f = *state;
  open_three (f);
  rhyton_stage_set_large (f->stage, "pattern");
  gui_frame (GTK_WIDGET (f->stage));
  RhytonFlatView *view = rhyton_stage_get_pattern_view (f->stage);
  GtkEventController *motion = gui_controller (GTK_WIDGET (view), GTK_TYPE_EVENT_CONTROLLER_MOTION, 0);
  const RhyWallPoint anchor = anchor_of (f, 2);
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (rhy_plan_get_part (rhyton_document_get_plan (f->document), 2)));
  /* Beside the tip of the A, inside its box, there is no ink. */
  const RhyWallPoint edge = { anchor.s + box.max_y, anchor.angle + 0.6 * box.min_x / 40.0 };
  double x, y;

  assert_true (rhyton_flat_view_locate (view, anchor, &x, &y));
  const double before = darkest_near (f, view, edge);
  g_signal_emit_by_name (motion, "motion", x, y);
  settle (f);
  assert_int_equal (rhyton_document_get_selected (f->document), 0);
  assert_true (darkest_near (f, view, edge) > before + 40.0);
  g_signal_emit_by_name (motion, "leave");
  assert_near (darkest_near (f, view, edge), before, 1.0);
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    with (test_dragged_between_two),
    with (test_free_drag_goes_anywhere),
    with (test_line_is_seen_while_held),
    with (test_small_artwork_is_moved_by_its_middle),
    with (test_places_by_button),
    with (test_middle_is_of_what_is_free),
    with (test_keys_move_whichever_is_selected),
    with (test_size_is_told_of_each),
    with (test_selected_artwork_is_said),
    with (test_other_artwork_is_framed_under_the_pointer),
  };
  return fixture_run (tests);
}
