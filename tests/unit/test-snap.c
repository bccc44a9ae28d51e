/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/snap.h>

#include <glib/gstdio.h>
#include <math.h>

/* Expected places are by hand. On a cylinder of radius 30 a rolled artwork of width w reaches
 * w / 60 radians to either side of its anchor and half its height up and down. */

#define DEGREE (G_PI / 180.0)
/* Sampled outlines end at their corners; the lays are closed forms. */
#define TOL_MM 1e-9
#define TOL_RAD 1e-11

#define LIP  "[Zone lip]\nKind=rim\nFrom=90\nTo=100\nMargin=2\n"
#define FOOT "[Zone foot]\nKind=base\nFrom=0\nTo=4\nMargin=2\n"
#define HANDLE "[Zone handle]\nKind=handle\nCentre=100\nWidth=30\nFrom=20\nTo=80\n"

static const RhySnap *
find (const RhySnap *snaps,
      gsize          n,
      RhySnapKind    kind,
      const char    *name)
{
  for (gsize i = 0; i < n; i++)
    if (snaps[i].kind == kind && (name == NULL || g_strcmp0 (snaps[i].names[0], name) == 0))
      return &snaps[i];
  return NULL;
}

static gsize
count (const RhySnap *snaps,
       gsize          n,
       RhySnapKind    kind)
{
  gsize found = 0;
  for (gsize i = 0; i < n; i++)
    found += snaps[i].kind == kind;
  return found;
}

static void
assert_words (const RhySnap *snap,
              const char    *words)
{
  g_autofree char *got = rhy_snap_dup_words (snap);
  assert_string_equal (got, words);
}

static void
test_front_and_opposite_the_handle (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER HANDLE "[Artwork]\nWidth=24\nAt=50\n", block (24, 12));
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 50.0, -70.0 * DEGREE }, &n);

  const RhySnap *front = find (snaps, n, RHY_SNAP_FRONT, NULL);
  assert_near (front->at.angle, 0.0, TOL_RAD);
  assert_near (front->at.s, 50.0, 0.0);
  assert_words (front, "front");
  assert_near (front->lines[0][0].s, 0.0, 0.0);
  assert_near (front->lines[0][1].s, 100.0, TOL_MM);
  const RhySnap *opposite = find (snaps, n, RHY_SNAP_OPPOSITE, "handle");
  assert_near (opposite->at.angle, -80.0 * DEGREE, TOL_RAD);
  assert_words (opposite, "opposite handle");
  /* With nothing but the handle, as far from both its sides is opposite to it: said once. */
  assert_int_equal (count (snaps, n, RHY_SNAP_SIDES), 0);
}

static void
test_angles_are_next_to_where_it_is (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER HANDLE "[Artwork]\nWidth=24\nAt=50\n", block (24, 12));
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 50.0, 290.0 * DEGREE }, &n);
  assert_near (find (snaps, n, RHY_SNAP_OPPOSITE, "handle")->at.angle, 280.0 * DEGREE, TOL_RAD);
  assert_near (find (snaps, n, RHY_SNAP_FRONT, NULL)->at.angle, 360.0 * DEGREE, TOL_RAD);
}

/* Between 4 + 2 and 90 - 2; without zones between 0 and 100. */
static void
test_middle_of_the_free_height (void **state)
{
  (void) state;
  static const struct { const char *job; double s_mm; } rows[] = {
    { CYLINDER "[Artwork]\nWidth=24\n", 50.0 },
    { CYLINDER LIP FOOT "[Artwork]\nWidth=24\n", 47.0 },
    { CYLINDER LIP HANDLE "[Artwork]\nWidth=24\n", 44.0 },
    /* A band round the vessel at 60 to 66: below it. */
    { CYLINDER "[Zone band]\nKind=mark\nFrom=60\nTo=66\n[Artwork]\nWidth=24\n", 30.0 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (RhyPlan) plan = good_plan (rows[i].job, block (24, 12));
      gsize n = 0;
      g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 40.0, 0.0 }, &n);
      const RhySnap *middle = find (snaps, n, RHY_SNAP_MIDDLE, NULL);
      assert_near (middle->at.s, rows[i].s_mm, TOL_MM);
      assert_words (middle, "middle of the free height");
      /* The same line as the middle of the free height. */
      assert_int_equal (count (snaps, n, RHY_SNAP_ENDS), 0);
    }
}

/* Of a cone heights are along the axis, slants along the wall: 20 of 40 mm is 25 of 50. */
static void
test_middle_on_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nWidth=10\n", block (10, 5));
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 10.0, 0.0 }, &n);
  assert_near (find (snaps, n, RHY_SNAP_MIDDLE, NULL)->at.s, 25.0, TOL_MM);
}

/* A handle from 85 to 115 degrees and a mark from 235 to 245: from 115 to 235 are 120 degrees, the
 * artwork's 24 mm take 24/30 radians, and its middle is at 175. From 245 over the front to 85 are 200,
 * middle at 345 = -15. */
static void
test_as_far_from_left_as_from_right (void **state)
{
  (void) state;
  static const struct { double at_deg, middle_deg, room_deg; const char *left, *right; } rows[] = {
    { 150.0, 175.0, 120.0, "handle", "label" },
    { 10.0, -15.0, 200.0, "label", "handle" },
    { -90.0, -15.0, 200.0, "label", "handle" },
  };
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER HANDLE
                                        "[Zone label]\nKind=mark\nCentre=240\nWidth=10\nFrom=40\nTo=60\n"
                                        "[Zone far up]\nKind=mark\nCentre=160\nWidth=10\nFrom=80\nTo=90\n"
                                        "[Artwork]\nWidth=24\nAt=50\n", block (24, 12));
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      gsize n = 0;
      g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 50.0, rows[i].at_deg * DEGREE }, &n);
      const RhySnap *sides = find (snaps, n, RHY_SNAP_SIDES, NULL);
      const double gap_rad = 0.5 * (rows[i].room_deg * DEGREE - 24.0 / 30.0);
      assert_near (sides->at.angle, rows[i].middle_deg * DEGREE, TOL_RAD);
      assert_near (sides->gap_mm, 30.0 * gap_rad, TOL_MM);
      assert_string_equal (sides->names[0], rows[i].left);
      assert_string_equal (sides->names[1], rows[i].right);
      assert_int_equal (sides->n_lines, 2);
      assert_near (sides->lines[0][1].angle - sides->lines[0][0].angle, gap_rad, TOL_RAD);
      assert_near (sides->lines[1][0].angle, (rows[i].middle_deg * DEGREE) + 12.0 / 30.0, TOL_RAD);
      assert_near (sides->lines[1][1].angle - sides->lines[1][0].angle, gap_rad, TOL_RAD);
      g_autofree char *words = g_strdup_printf ("as far from %s as from %s", rows[i].left, rows[i].right);
      assert_words (sides, words);
    }
}

/* Up to the far mark's edge at 80 the artwork is under it: below is the base, 80 high, so the middle
 * of 12 mm is at 40 with 34 on either side. */
static void
test_as_far_from_below_as_from_above (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Zone stamp]\nKind=mark\nCentre=0\nWidth=10\nFrom=80\nTo=90\n"
                                        "[Artwork]\nWidth=24\nAt=50\n", block (24, 12));
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 50.0, 25.0 * DEGREE }, &n);
  const RhySnap *ends = find (snaps, n, RHY_SNAP_ENDS, NULL);
  assert_near (ends->at.s, 40.0, TOL_MM);
  assert_near (ends->gap_mm, 34.0, TOL_MM);
  assert_words (ends, "as far from base as from stamp");
  assert_near (ends->lines[0][1].s - ends->lines[0][0].s, 34.0, TOL_MM);
  assert_near (ends->lines[1][1].s - ends->lines[1][0].s, 34.0, TOL_MM);

  /* 24 mm are 45.8 degrees wide: with its middle at 30 its left is at 7, past the stamp's 5. */
  g_autofree RhySnap *beside = rhy_snap_list (plan, 0, (RhyWallPoint) { 50.0, 30.0 * DEGREE }, &n);
  assert_int_equal (count (beside, n, RHY_SNAP_ENDS), 0);
}

/* No room, no place: 12 mm of ink between 50 and 60. */
static void
test_no_place_without_room (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Zone low]\nKind=mark\nWidth=10\nFrom=40\nTo=50\n"
                                        "[Zone high]\nKind=mark\nWidth=10\nFrom=60\nTo=70\n"
                                        "[Artwork]\nWidth=24\nAt=55\n", block (24, 12));
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 55.0, 0.0 }, &n);
  assert_int_equal (count (snaps, n, RHY_SNAP_ENDS), 0);
}

static RhyPlan *
plan_at (const char *rest,
         double      at_mm)
{
  char at[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *job = g_strdup_printf ("%s[Artwork]\nWidth=50\nAt=%s\n", rest,
                                          g_ascii_formatd (at, sizeof at, "%.9f", at_mm));
  return good_plan (job, block (50, 6));
}

/* On a cone a rolled block sags at its ends, more so further down: where it is as far from both marks
 * is checked by placing it there and measuring. */
static void
test_ends_on_a_cone_hold_when_placed (void **state)
{
  (void) state;
  const char *const rest = CONE "[Zone low]\nKind=mark\nWidth=30\nFrom=0\nTo=4\n"
                           "[Zone high]\nKind=mark\nWidth=30\nFrom=36\nTo=40\n";
  g_autoptr (RhyPlan) plan = plan_at (rest, 26.0);
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, rhy_plan_get_numbers (plan)->anchor, &n);
  const RhySnap *ends = find (snaps, n, RHY_SNAP_ENDS, NULL);
  assert_non_null (ends);

  /* 4 and 36 mm up the axis are 5 and 45 mm up the wall. */
  g_autoptr (RhyPlan) placed = plan_at (rest, rhy_wall_at (rhy_plan_get_wall (plan), ends->at.s).z_mm);
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (placed);
  /* It is found step by step, and heights are written to a thousandth. */
  assert_near (numbers->s_low_mm - 5.0, 45.0 - numbers->s_high_mm, 1e-4);
  assert_near (ends->gap_mm, numbers->s_low_mm - 5.0, 1e-4);
  assert_true (fabs (ends->at.s - 25.0) > 0.1);         /* not simply the middle */
}

/* ---- several ---- */

static const char square[] = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"20mm\" height=\"20mm\" viewBox=\"0 0 20 20\">"
                             "<path d=\"M0 0h20v20h-20z\"/></svg>";

static RhyPlan *
plan_of_three (void)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("rhy-snap-XXXXXX", NULL);
  g_autofree char *svg = g_build_filename (folder, "square.svg", NULL);
  g_autofree char *path = g_build_filename (folder, "job.rhyton", NULL);
  g_file_set_contents (svg, square, -1, NULL);
  g_autoptr (RhyJob) job = rhy_job_new_from_data (CYLINDER
                                                  "[Artwork crest]\nFile=square.svg\nWidth=20\nAt=30\nAround=-60\n"
                                                  "[Artwork name]\nFile=square.svg\nWidth=12\nAt=34\nAround=5\n"
                                                  "[Artwork year]\nFile=square.svg\nWidth=16\nAt=36\nAround=80\n",
                                                  -1, path, &error);
  assert_no_error (error);
  RhyPlan *plan = rhy_plan_new (job, NULL, NULL, &error);
  assert_no_error (error);
  g_unlink (svg);
  g_rmdir (folder);
  return plan;
}

/* Crest reaches to -60 degrees + 10/30, year from 80 degrees - 8/30 on: the middle between them is
 * at 10 degrees + 1/30. */
static void
test_between_two_other_artworks (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = plan_of_three ();
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 1, rhy_plan_get_numbers (rhy_plan_get_part (plan, 1))->anchor, &n);

  const RhySnap *sides = find (snaps, n, RHY_SNAP_SIDES, "crest");
  assert_near (sides->at.angle, 10.0 * DEGREE + 1.0 / 30.0, TOL_RAD);
  assert_near (sides->gap_mm, 0.5 * (30.0 * 140.0 * DEGREE - 10.0 - 8.0 - 12.0), TOL_MM);
  assert_words (sides, "as far from crest as from year");
  assert_near (find (snaps, n, RHY_SNAP_LEVEL, "crest")->at.s, 30.0, TOL_MM);
  assert_near (find (snaps, n, RHY_SNAP_LEVEL, "year")->at.s, 36.0, TOL_MM);
  assert_words (find (snaps, n, RHY_SNAP_LEVEL, "year"), "level with year");
  assert_near (find (snaps, n, RHY_SNAP_OPPOSITE, "crest")->at.angle, 120.0 * DEGREE, TOL_RAD);
  assert_int_equal (count (snaps, n, RHY_SNAP_LEVEL), 2);
}

static void
test_nearest_height_and_angle_are_taken (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = plan_of_three ();
  RhySnap found[2];
  /* 0.6 mm below year's height, and 0.9 mm to the left of the front. */
  RhyWallPoint at = { 35.4, -0.03 };
  assert_int_equal (rhy_snap_to (plan, 1, &at, 1.0, found), 2);
  assert_near (at.s, 36.0, TOL_MM);
  assert_near (at.angle, 0.0, TOL_RAD);
  assert_int_equal (found[0].kind, RHY_SNAP_LEVEL);
  assert_int_equal (found[1].kind, RHY_SNAP_FRONT);
  /* The height's line follows the artwork around. */
  assert_near (found[0].lines[0][0].angle, -G_PI, TOL_RAD);

  at = (RhyWallPoint) { 35.4, -0.03 };
  assert_int_equal (rhy_snap_to (plan, 1, &at, 0.7, found), 1);
  assert_near (at.s, 36.0, TOL_MM);
  assert_near (at.angle, -0.03, 0.0);
  at = (RhyWallPoint) { 35.4, -0.03 };
  assert_int_equal (rhy_snap_to (plan, 1, &at, 0.5, found), 0);
  assert_near (at.s, 35.4, 0.0);
}

/* What goes all round has no left and no right. */
static void
test_repeated_artwork_has_no_sides (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER HANDLE "[Zone label]\nKind=mark\nCentre=240\nWidth=10\nFrom=40\nTo=60\n"
                                        "[Artwork]\nWidth=10\nRepeat=6\nAt=50\n", block (10, 6));
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 50.0, 0.0 }, &n);
  assert_int_equal (count (snaps, n, RHY_SNAP_SIDES), 0);
}

/* A vessel without artwork still has a front and a middle. */
static void
test_without_ink (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (CYLINDER HANDLE, -1, NULL, &error);
  assert_no_error (error);
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, NULL, NULL, &error);
  assert_no_error (error);
  gsize n = 0;
  g_autofree RhySnap *snaps = rhy_snap_list (plan, 0, (RhyWallPoint) { 500.0, 0.0 }, &n);
  assert_int_equal (n, 3);
  assert_near (find (snaps, n, RHY_SNAP_FRONT, NULL)->at.s, 100.0, TOL_MM);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_front_and_opposite_the_handle),
    cmocka_unit_test (test_angles_are_next_to_where_it_is),
    cmocka_unit_test (test_middle_of_the_free_height),
    cmocka_unit_test (test_middle_on_a_cone),
    cmocka_unit_test (test_as_far_from_left_as_from_right),
    cmocka_unit_test (test_as_far_from_below_as_from_above),
    cmocka_unit_test (test_no_place_without_room),
    cmocka_unit_test (test_ends_on_a_cone_hold_when_placed),
    cmocka_unit_test (test_between_two_other_artworks),
    cmocka_unit_test (test_nearest_height_and_angle_are_taken),
    cmocka_unit_test (test_repeated_artwork_has_no_sides),
    cmocka_unit_test (test_without_ink),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
