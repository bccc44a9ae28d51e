/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <glib/gstdio.h>

#include <rhyton/capacity.h>
#include <rhyton/readings.h>
#include <rhyton/vessels.h>

static void
test_every_blank_is_a_vessel (void **state)
{
  (void) state;
  g_autoptr (RhyVessels) vessels = rhy_vessels_new ("/nowhere", NULL);
  const gsize n = rhy_vessels_get_n (vessels);
  assert_true (n >= 24);
  for (gsize i = 0; i < n; i++)
    {
      const RhyVesselEntry *entry = rhy_vessels_get (vessels, i);
      const RhyJobData *d = rhy_job_get_data (entry->job);
      if (i > 0)
        assert_true (strcmp (rhy_vessels_get (vessels, i - 1)->name, entry->name) < 0);
      assert_ptr_equal (rhy_vessels_find (vessels, entry->name, NULL), entry);
      assert_true (*entry->title != '\0' && strlen (entry->source) > 10);
      assert_false (entry->own);
      /* What is not published says that it must be measured. */
      if (!entry->published && strstr (entry->source, "easure") == NULL)
        fail_msg ("%s: says nothing of measuring", entry->name);

      const RhyReadings readings = { .n = d->vessel.n_stations, .heights_mm = d->vessel.heights_mm,
                                     .diameters_mm = d->vessel.diameters_mm,
                                     .u_height_mm = d->vessel.height_uncertainty_mm,
                                     .u_diameter_mm = d->vessel.diameter_uncertainty_mm };
      RhyFit fit;
      GError *error = NULL;
      if (!rhy_readings_fit (&readings, d->vessel.form, &fit, &error))
        fail_msg ("%s: %s", entry->name, error->message);
      g_autoptr (RhyWall) wall = fit.wall;
      assert_true (fit.agrees);

      /* A blank that states what it holds must hold it, as the verdict asks. */
      const RhyInside inside = { d->vessel.wall_thickness_mm, d->vessel.floor_mm, d->vessel.fill_height_mm };
      double ml = 0.0;
      if (d->vessel.capacity_ml > 0.0)
        {
          assert_true (rhy_wall_capacity (wall, &inside, &ml, &error));
          if (fabs (ml / d->vessel.capacity_ml - 1.0) > 0.05)
            fail_msg ("%s: holds %.1f ml, not %.1f", entry->name, ml, d->vessel.capacity_ml);
        }
      for (gsize k = 0; k < d->n_zones; k++)
        assert_true (d->zones[k].to_mm <= d->vessel.heights_mm[d->vessel.n_stations - 1]);
    }
}

/* Four sizes known from outside: see the sources in the files. */
static void
test_some_sizes (void **state)
{
  (void) state;
  g_autoptr (RhyVessels) vessels = rhy_vessels_new ("/nowhere", NULL);
  const RhyVesselEntry *can = rhy_vessels_find (vessels, "can-211", NULL);
  assert_true (can->published);
  assert_near (rhy_job_get_data (can->job)->vessel.diameters_mm[0], 2.602 * 25.4, 0.005);
  const RhyVesselEntry *ball = rhy_vessels_find (vessels, "ornament-80", NULL);
  const RhyJobData *d = rhy_job_get_data (ball->job);
  for (gsize i = 0; i < d->vessel.n_stations; i++)
    assert_near (hypot (0.5 * d->vessel.diameters_mm[i], d->vessel.heights_mm[i] - 40.0), 40.0, 5e-4);
}

static void
write_own (const char *folder,
           const char *base,
           const char *text)
{
  g_autofree char *path = g_build_filename (folder, base, NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
}

static void
test_own_vessels (void **state)
{
  (void) state;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-test-XXXXXX", NULL);
  write_own (folder, "larkmoor-cup.vessel", "[Vessel]\nName=Larkmoor cup\nHeights=0;90\nDiameters=60;70\n"
             "[Catalogue]\nKind=cup\nStanding=typical\nSource=measured on an invented cup\n");
  write_own (folder, "mug-11oz.vessel", "[Vessel]\nName=Our own mug\nHeights=0;95\nDiameters=81.3;81.4\n");
  write_own (folder, "broken.vessel", "[Vessel]\nHeights=0;95\nDiameters=-1;81\n");
  write_own (folder, "binary.vessel", "\001\002\003");
  write_own (folder, "readme.txt", "nothing to do with it");

  g_auto (GStrv) problems = NULL;
  g_autoptr (RhyVessels) plain = rhy_vessels_new ("/nowhere", NULL);
  g_autoptr (RhyVessels) vessels = rhy_vessels_new (folder, &problems);
  assert_int_equal (rhy_vessels_get_n (vessels), rhy_vessels_get_n (plain) + 1);
  assert_int_equal (g_strv_length (problems), 2);
  for (gsize i = 0; i < 2; i++)
    assert_true (strstr (problems[i], "broken.vessel") != NULL || strstr (problems[i], "binary.vessel") != NULL);

  const RhyVesselEntry *cup = rhy_vessels_find (vessels, "larkmoor-cup", NULL);
  assert_true (cup->own);
  assert_string_equal (cup->kind, "cup");
  const RhyVesselEntry *mug = rhy_vessels_find (vessels, "mug-11oz", NULL);
  assert_true (mug->own);
  assert_string_equal (mug->title, "Our own mug");
  g_autofree char *table = rhy_vessels_to_text (vessels);
  assert_non_null (strstr (table, "larkmoor-cup"));
  assert_non_null (strstr (table, "70.0 mm   90.0 mm  own"));
  g_autofree char *json = rhy_vessels_to_json (vessels);
  assert_non_null (strstr (json, "\"title\" : \"Our own mug\""));

  const char *const bases[] = { "larkmoor-cup.vessel", "mug-11oz.vessel", "broken.vessel", "binary.vessel", "readme.txt" };
  for (gsize i = 0; i < G_N_ELEMENTS (bases); i++)
    {
      g_autofree char *path = g_build_filename (folder, bases[i], NULL);
      g_unlink (path);
    }
  g_rmdir (folder);
}

static void
test_unknown_names_help (void **state)
{
  (void) state;
  g_autoptr (RhyVessels) vessels = rhy_vessels_new ("/nowhere", NULL);
  GError *error = NULL;
  assert_null (rhy_vessels_find (vessels, "pint", &error));
  assert_non_null (strstr (error->message, "pint-bulge, pint-conical, pint-shaker"));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  assert_null (rhy_vessels_find (vessels, "amphora", &error));
  assert_non_null (strstr (error->message, "lists what there is"));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_every_blank_is_a_vessel),
    cmocka_unit_test (test_some_sizes),
    cmocka_unit_test (test_own_vessels),
    cmocka_unit_test (test_unknown_names_help),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
