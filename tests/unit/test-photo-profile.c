/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "photo-render.h"
#include "rhy-test.h"

#include <glib/gstdio.h>

/* Outlines come from photo-render.h: dense points of the surface, projected one by one. */

static RhyVessels *catalogue;

/* A ray at (a, c) touches a sphere of radius R about the axis' point at height 0 where the
 * distance of its line from the centre is R, and does so at the line's foot: by hand, for
 * the eye at (-D, h): with n = (a, 1, c) the foot is at t = (D - c h)/|n|^2. */
static void
test_tangent_of_sphere (G_GNUC_UNUSED void **state)
{
  const double distance = 500.0, eye = 120.0, radius = 60.0;
  for (int i = -5; i <= 5; i++)
    {
      const double c = -eye / distance + 0.018 * i;
      /* |o|^2 - (o n)^2/|n|^2 = R^2 with o = (0, -D, h): solved for a^2. */
      const double on = -distance + c * eye, oo = distance * distance + eye * eye;
      const double a = sqrt (on * on / (oo - radius * radius) - 1.0 - c * c);
      /* From the same equation, a a' = on e/(oo - R^2) - c. */
      const double slope = (on * eye / (oo - radius * radius) - c) / a;
      const double t = -on / (a * a + 1.0 + c * c);
      double z, r;
      rhy_tangent_point (distance, eye, a, c, slope, &z, &r);
      assert_near (z, eye + c * t, 1e-9);
      assert_near (r, sqrt (radius * radius - z * z), 1e-9);
    }
}

/* A cylinder looks R/sqrt (1 - (R/D)^2) wide at its axis: the sine of half the angle it
 * fills is R/D. */
static void
test_tangent_of_cylinder (G_GNUC_UNUSED void **state)
{
  double z, r;
  rhy_tangent_point (400.0, 50.0, tan (asin (41.0 / 400.0)), 0.1, 0.0, &z, &r);
  assert_near (r, 41.0, 1e-10);
}

typedef struct
{
  gsize stations, within_stated, outside_both;
  gsize cases, worst_case;
  double worst;
} Score;

static gboolean
add_case (Score *score, const RhyVesselEntry *entry, guint32 seed, gboolean with_distance, gboolean with_diameter)
{
  g_autoptr (RhyWall) wall = photo_vessel_wall (entry);
  const PhotoSizes sizes = photo_sizes (wall);
  GRand *rand = g_rand_new_with_seed (seed);
  PhotoScene scene = PHOTO_SCENE_INIT;
  photo_random_camera (&scene, wall, rand);
  RhyPoint base = photo_mark (&scene, 0.0, sizes.base_r), rim = photo_mark (&scene, sizes.height_mm, sizes.rim_r);
  const double mark_u = MAX (2.0, 0.003 * hypot (rim.x - base.x, rim.y - base.y));
  g_autoptr (RhyOutline) outline = photo_outline (&scene, wall, base, rim, 140, 0.1, rand);
  outline->base.x += mark_u * photo_normal (rand);
  outline->base.y += mark_u * photo_normal (rand);
  outline->rim.x += mark_u * photo_normal (rand);
  outline->rim.y += mark_u * photo_normal (rand);

  const double where = 0.6 * sizes.height_mm;
  const RhyPhotoDiameter diameter = { photo_true_diameter (wall, where) + RHY_CALIPER_U_MM * photo_normal (rand), where, 0.0 };
  RhyPhotoKnown known = { .height_mm = sizes.height_mm + RHY_HEIGHT_U_MM * photo_normal (rand), .diameters = &diameter,
                          .n_diameters = with_diameter };
  const double off = photo_normal (rand);
  if (with_distance)
    known.distance_mm = scene.distance_mm + off * hypot (0.01 * scene.distance_mm, 10.0);
  g_rand_free (rand);

  g_autoptr (GError) error = NULL;
  g_autoptr (RhyPhotoProfile) profile = rhy_photo_profile_new (outline, &known, &error);
  if (profile == NULL)
    print_error ("%s, seed %u: %s\n", entry->name, seed, error->message);
  assert_non_null (profile);
  gsize bad = 0;
  for (gsize i = 0; i < profile->n; i++)
    {
      const double error_mm = fabs (profile->diameters_mm[i] - photo_true_diameter (wall, profile->heights_mm[i]));
      score->within_stated += error_mm <= 2.0 * profile->u_mm[i];
      bad += error_mm > MAX (0.5, 2.0 * profile->u_mm[i]);
      if (error_mm > MAX (0.5, 2.0 * profile->u_mm[i]) && error_mm / profile->u_mm[i] > score->worst)
        {
          score->worst = error_mm / profile->u_mm[i];
          print_message ("# %s, seed %u: off by %.2f mm at height %.1f mm, uncertainty %.2f mm; camera %.0f mm, found %.0f\n",
                         entry->name, seed, error_mm, profile->heights_mm[i], profile->u_mm[i], scene.distance_mm,
                         profile->distance_mm);
        }
    }
  score->stations += profile->n;
  score->outside_both += bad;
  score->cases++;
  return bad == 0;
}

/* A stated uncertainty is standard: twice it must hold 95 in 100 (JCGM 100:2008, 6.3.3). What
 * is measured is drawn at random about the truth with just the uncertainties assumed. */
static void
test_uncertainty_is_honest (G_GNUC_UNUSED void **state)
{
  Score score = { 0 };
  const gsize n = rhy_vessels_get_n (catalogue);
  for (guint32 seed = 0; score.cases < 210; seed++)
    {
      const RhyVesselEntry *entry = rhy_vessels_get (catalogue, seed % n);
      add_case (&score, entry, 1000 + seed, seed % 3 != 0, seed % 5 != 0);
    }
  const double share = (double) score.within_stated / (double) score.stations;
  const double out = (double) score.outside_both / (double) score.stations;
  print_message ("# %zu cases, %zu stations: %.1f %% within twice the stated uncertainty, %.2f %% beyond it and 0.5 mm\n",
                 score.cases, score.stations, 100.0 * share, 100.0 * out);
  assert_true (share >= 0.95);
  assert_true (out <= 0.025);
}

/* A cylinder photographed from 600 mm, everything measured well. */
typedef struct { PhotoScene scene; RhyWall *wall; RhyOutline *outline; } Plain;

static int
set_up_plain (G_GNUC_UNUSED void **state)
{
  const double heights[] = { 0.0, 100.0 }, radii[] = { 40.0, 40.0 };
  Plain *plain = g_new0 (Plain, 1);
  plain->scene = (PhotoScene) PHOTO_SCENE_INIT;
  plain->scene.distance_mm = 600.0;
  plain->scene.eye_mm = 70.0;
  plain->scene.aim_mm = 50.0;
  plain->scene.focal_px = 600.0 * 7.0;
  plain->wall = rhy_wall_new_straight (heights, radii, 2, NULL);
  GRand *rand = g_rand_new_with_seed (1);
  plain->outline = photo_outline (&plain->scene, plain->wall, photo_mark (&plain->scene, 0.0, 40.0),
                                  photo_mark (&plain->scene, 100.0, 40.0), 140, 0.05, rand);
  g_rand_free (rand);
  *state = plain;
  return 0;
}

static int
tear_down_plain (G_GNUC_UNUSED void **state)
{
  Plain *plain = *state;
  rhy_outline_free (plain->outline);
  rhy_wall_unref (plain->wall);
  g_free (plain);
  return 0;
}

/* Without the correction the cylinder would be 80/sqrt (1 - (40/600)^2) = 80.18 mm wide: with the
 * distance told it must be right to a third of that; without, within its uncertainty. */
static void
test_camera_is_found (void **state)
{
  const Plain *plain = *state;
  const RhyPhotoKnown known = { .height_mm = 100.0, .u_height_mm = 0.01 };
  g_autoptr (RhyPhotoProfile) profile = rhy_photo_profile_new (plain->outline, &known, NULL);
  assert_non_null (profile);
  assert_near (profile->distance_mm, 600.0, 3.0 * profile->u_distance_mm);
  assert_near (profile->eye_height_mm, 70.0, 3.0 * profile->u_eye_height_mm);
  assert_near (profile->diameters_mm[profile->n / 2], 80.0, 2.0 * profile->u_mm[profile->n / 2]);
  const RhyPhotoKnown with_distance = { .height_mm = 100.0, .u_height_mm = 0.01, .distance_mm = 600.0 };
  g_autoptr (RhyPhotoProfile) told = rhy_photo_profile_new (plain->outline, &with_distance, NULL);
  assert_non_null (told);
  assert_near (told->diameters_mm[told->n / 2], 80.0, 0.06);
  assert_true (profile->heights_mm[0] == 0.0);
  assert_near (profile->heights_mm[profile->n - 1], 100.0, 0.1);
  assert_null (profile->doubt);
}

/* A distance that is told halves nothing else; an unknown one without the ends' edges must cost. */
static void
test_what_is_unknown_is_carried (void **state)
{
  const Plain *plain = *state;
  RhyPhotoKnown known = { .height_mm = 100.0, .u_height_mm = 0.01, .distance_mm = 600.0 };
  plain->outline->n_end[0] = plain->outline->n_end[1] = 0;
  g_autoptr (RhyPhotoProfile) told = rhy_photo_profile_new (plain->outline, &known, NULL);
  known.distance_mm = 0.0;
  g_autoptr (RhyPhotoProfile) untold = rhy_photo_profile_new (plain->outline, &known, NULL);
  assert_non_null (told);
  assert_non_null (untold);
  assert_true (untold->u_distance_mm > 5.0 * told->u_distance_mm);
  assert_true (untold->typical_u_mm > told->typical_u_mm);
  assert_false (untold->end_found[0] || untold->end_found[1]);
  assert_near (untold->diameters_mm[untold->n / 2], 80.0, 3.0 * untold->u_mm[untold->n / 2]);
}

/* A measured diameter that is 3 mm off is named, not believed. */
static void
test_doubt_names_a_wrong_diameter (void **state)
{
  const Plain *plain = *state;
  const RhyPhotoDiameter diameter = { 83.0, 50.0, 0.05 };
  const RhyPhotoKnown known = { .height_mm = 100.0, .u_height_mm = 0.01, .distance_mm = 600.0, .diameters = &diameter,
                                .n_diameters = 1 };
  g_autoptr (RhyPhotoProfile) profile = rhy_photo_profile_new (plain->outline, &known, NULL);
  assert_non_null (profile);
  assert_non_null (profile->doubt);
}

/* Something stands out to the right over half the height. */
static void
test_handle_is_left_out (void **state)
{
  const Plain *plain = *state;
  for (gsize i = 40; i < 110; i++)
    plain->outline->side[1][i].x += 160.0;
  const RhyPhotoKnown known = { .height_mm = 100.0 };
  g_autoptr (RhyPhotoProfile) profile = rhy_photo_profile_new (plain->outline, &known, NULL);
  assert_non_null (profile);
  assert_true (profile->one_sided > 0.4 && profile->one_sided < 0.75);
  for (gsize i = 0; i < profile->n; i++)
    assert_near (profile->diameters_mm[i], 80.0, MAX (0.5, 2.0 * profile->u_mm[i]));
}

/* One side 1 mm nearer the axis than the other, over a third of the height. */
static void
test_asymmetry_is_reported (void **state)
{
  const Plain *plain = *state;
  for (gsize i = 60; i < 100; i++)
    plain->outline->side[0][i].x -= 0.28 * 7.0 * sin (G_PI * (double) (i - 60) / 40.0);
  const RhyPhotoKnown known = { .height_mm = 100.0 };
  g_autoptr (RhyPhotoProfile) profile = rhy_photo_profile_new (plain->outline, &known, NULL);
  assert_non_null (profile);
  assert_near (profile->worst_asymmetry_mm, 0.28, 0.08);
  assert_near (profile->worst_asymmetry_height_mm, 100.0 * (-0.03 + 1.06 * 80.0 / 139.0), 12.0);
}

/* The file that it writes is a profile file, and makes the wall. */
static void
test_text_makes_a_wall (void **state)
{
  const Plain *plain = *state;
  const RhyPhotoKnown known = { .height_mm = 100.0, .distance_mm = 600.0 };
  g_autoptr (RhyPhotoProfile) profile = rhy_photo_profile_new (plain->outline, &known, NULL);
  g_autofree char *text = rhy_photo_profile_to_text (profile, "a\nb.jpg");
  g_autofree char *path = NULL;
  const int fd = g_file_open_tmp ("rhyton-XXXXXX.csv", &path, NULL);
  assert_true (fd >= 0 && g_close (fd, NULL));
  assert_true (g_file_set_contents (path, text, -1, NULL));
  RhyProfileReport report;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyWall) wall = rhy_wall_new_profile_file (path, profile->typical_u_mm, &report, &error);
  g_unlink (path);
  assert_no_error (error);
  assert_int_equal (report.n_rows, profile->n);
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, 50.0, &ring));
  assert_near (2.0 * ring.r_mm, 80.0, 0.3);
}

typedef struct { const char *name; RhyPhotoKnown known; const char *says; } BadCase;

static const RhyPhotoDiameter no_diameter = { -3.0, 50.0, 0.0 }, high_diameter = { 80.0, 150.0, 0.0 };
static const BadCase bad_cases[] = {
  { "no height", { .height_mm = 0.0 }, "height 0 mm" },
  { "height not a number", { .height_mm = NAN }, "height nan mm" },
  { "diameter below 0", { .height_mm = 100.0, .diameters = &no_diameter, .n_diameters = 1 }, "measured diameter -3 mm" },
  { "diameter above the rim", { .height_mm = 100.0, .diameters = &high_diameter, .n_diameters = 1 }, "at height 150 mm" },
  { "camera within the vessel", { .height_mm = 100.0, .distance_mm = 10.0 }, "camera distance 10 mm" },
  { "camera at infinity", { .height_mm = 100.0, .distance_mm = INFINITY }, "camera distance inf mm" },
};

static void
test_bad_measurements (G_GNUC_UNUSED void **state)
{
  void *fixture;
  set_up_plain (&fixture);
  const Plain *plain = fixture;
  for (gsize i = 0; i < G_N_ELEMENTS (bad_cases); i++)
    {
      g_autoptr (GError) error = NULL;
      assert_null (rhy_photo_profile_new (plain->outline, &bad_cases[i].known, &error));
      assert_non_null (error);
      if (strstr (error->message, bad_cases[i].says) == NULL)
        print_error ("%s: %s\n", bad_cases[i].name, error->message);
      assert_non_null (strstr (error->message, bad_cases[i].says));
      assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
    }
  tear_down_plain (&fixture);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_tangent_of_sphere),
    cmocka_unit_test (test_tangent_of_cylinder),
    cmocka_unit_test_setup_teardown (test_camera_is_found, set_up_plain, tear_down_plain),
    cmocka_unit_test_setup_teardown (test_what_is_unknown_is_carried, set_up_plain, tear_down_plain),
    cmocka_unit_test_setup_teardown (test_doubt_names_a_wrong_diameter, set_up_plain, tear_down_plain),
    cmocka_unit_test_setup_teardown (test_handle_is_left_out, set_up_plain, tear_down_plain),
    cmocka_unit_test_setup_teardown (test_asymmetry_is_reported, set_up_plain, tear_down_plain),
    cmocka_unit_test_setup_teardown (test_text_makes_a_wall, set_up_plain, tear_down_plain),
    cmocka_unit_test (test_bad_measurements),
    cmocka_unit_test (test_uncertainty_is_honest),
  };
  catalogue = rhy_vessels_new ("/nonexistent", NULL);
  const int status = cmocka_run_group_tests (tests, NULL, NULL);
  rhy_vessels_unref (catalogue);
  return status;
}
