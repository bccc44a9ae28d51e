/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>
#include <glib/gstdio.h>

#include <rhyton/learning.h>

static const char JOB[] = "[Vessel]\nHeights=0;100\nDiameters=80;80\n[Artwork]\nAt=50\n[Machine]\nTravelPerTurn=170\n";

static RhyPlan *
plan_of (const char *path)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (JOB, -1, path, &error);
  assert_no_error (error);
  RhyPlan *plan = rhy_plan_new (job, NULL, NULL, &error);
  assert_no_error (error);
  return plan;
}

/* 65 printed where 60 was meant, at 170: 170*60/65 = 156.92 by hand. */
static void
test_text_and_json_say_the_travel (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = plan_of (NULL);
  const RhyLengthReading reading = { 60.0, 65.0, 0.5 };
  RhyCalibration learnt;
  assert_true (rhy_calibration_from_lengths (170.0, &reading, 1, &learnt, NULL));
  g_autofree char *text = rhy_learning_to_text (&learnt, 170.0, plan);
  g_autofree char *json = rhy_learning_to_json (&learnt);
  assert_non_null (strstr (text, "Travel per turn 156.92 +- "));
  assert_non_null (strstr (text, "made with 170.00"));
  assert_non_null (strstr (json, "\"value\": 156.923"));
  assert_non_null (strstr (json, "\"name\": \"taper\""));
}

static gboolean
read_grid (RhyPlan        *plan,
           const char     *folder,
           const char     *text,
           RhyCalibration *learnt,
           GError        **error)
{
  g_autofree char *path = g_build_filename (folder, "grid.csv", NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  const gboolean ok = rhy_learning_from_grid_file (plan, path, 170.0, 0.05, learnt, error);
  g_unlink (path);
  return ok;
}

#define HEADER "height,angle,nominal_along,printed_along,nominal_around,printed_around\n"

static void
test_grid_file_says_what_is_wrong (void **state)
{
  (void) state;
  static const struct { const char *text, *part; } bad[] = {
    { "height,angle\n50,0\n", "grid.csv:1: no column nominal_along" },
    { HEADER, "no readings below the header" },
    { HEADER "50,0,0,,20,20\n", "grid.csv:2: printed_along is empty" },
    { HEADER "50,0,0,0,20,2O\n", "grid.csv:2: printed_around is 2O" },
    { HEADER "50,0,0,0,20,1e999\n", "printed_around is 1e999" },
    { HEADER "50,0,0,0,20,20\n50,0,0,1e300,20,20\n", "grid.csv:3: printed_along: found \"1e300\": allowed: a number from -10000 to 10000" },
    { HEADER "-50,0,0,0,20,20\n", "grid.csv:2: height: found \"-50\": allowed: a height on the wall, from 0 to 100 mm" },
  };
  g_autoptr (RhyPlan) plan = plan_of (NULL);
  g_autofree char *folder = g_dir_make_tmp ("rhyton-learning-XXXXXX", NULL);
  RhyCalibration learnt;
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autoptr (GError) error = NULL;
      assert_false (read_grid (plan, folder, bad[i].text, &learnt, &error));
      if (strstr (error->message, bad[i].part) == NULL)
        print_error ("%s\n", error->message);
      assert_non_null (strstr (error->message, bad[i].part));
    }
  /* Everything 2 % too wide: the travel is 2 % too large, 170/1.02 by hand. */
  g_autoptr (GError) error = NULL;
  assert_true (read_grid (plan, folder, HEADER "50,10,0,0,20,20.4\n50,20,0,0,40,40.8\n50,-20,0,0,-40,-40.8\n70,0,20,20,0,0\n",
                          &learnt, &error));
  assert_near (learnt.travel_per_turn_mm, 170.0 / 1.02, 0.05);
  g_rmdir (folder);
}

/* What was learnt before counts; the old value stays as a comment. */
static void
test_write_goes_to_the_job_s_machine (void **state)
{
  (void) state;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-learning-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "a.rhyton", NULL);
  assert_true (g_file_set_contents (path, JOB, -1, NULL));
  g_autoptr (RhyJob) job = rhy_job_new_from_file (path, NULL);
  const RhyLengthReading readings[] = { { 60.0, 65.0, 0.05 }, { 60.0, 63.75, 0.05 } };
  g_autoptr (GError) error = NULL;
  RhyCalibration learnt;

  assert_true (rhy_calibration_from_lengths (170.0, &readings[0], 1, &learnt, NULL));
  g_autofree char *said = rhy_learning_write (job, &learnt, &error);
  assert_no_error (error);
  assert_non_null (strstr (said, "a.rhyton: TravelPerTurn is now 156.9231 (was 170)"));
  assert_true (rhy_calibration_from_lengths (170.0, &readings[1], 1, &learnt, NULL));
  g_autofree char *again = rhy_learning_write (job, &learnt, &error);
  assert_no_error (error);
  g_autofree char *text = NULL;
  assert_true (g_file_get_contents (path, &text, NULL, NULL));
  assert_non_null (strstr (text, "# TravelPerTurn was 170; learnt from 1 test piece\n"));
  assert_non_null (strstr (text, "learnt from 2 test pieces\n"));
  assert_non_null (strstr (text, "TravelReadings=156.9231;"));
  g_unlink (path);
  g_rmdir (folder);

  g_autoptr (RhyPlan) nowhere = plan_of (NULL);
  assert_null (rhy_learning_write (rhy_plan_get_job (nowhere), &learnt, &error));
  assert_non_null (strstr (error->message, "save it first"));
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_text_and_json_say_the_travel),
    cmocka_unit_test (test_grid_file_says_what_is_wrong),
    cmocka_unit_test (test_write_goes_to_the_job_s_machine),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
