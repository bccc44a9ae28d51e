/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <glib/gstdio.h>

#include <rhyton/profile-file.h>

static double
normal (GRand *rand)
{
  return sqrt (-2.0 * log (1.0 - g_rand_double (rand))) * cos (2.0 * G_PI * g_rand_double (rand));
}

/* Known profiles (diameters), invented, so the wall's error is known, not only its
 * distance from noisy rows. The last column is what the shape is made of; for the
 * spheroid, least squares with 6 pieces from evenly spread joins strays 1.1 times
 * too far and with 7 keeps the tolerance (found by trying), so 7 is the fewest. */
typedef double (*Profile) (double z);

static double cone (double z) { return 62.0 + z * 26.0 / 150.0; }
static double barrel (double z) { return 2.0 * (sqrt (120.0 * 120.0 - (z - 75.0) * (z - 75.0)) - 80.0); }
static double spheroid (double z) { return 2.0 * 45.0 * sqrt (1.0 - (z - 75.0) * (z - 75.0) / (90.0 * 90.0)); }
/* Straight, an arc of radius 60, straight again (tangent by construction: the arc
 * turns from upright to slope asin (45/60) at z = 105). */
static double
shoulder (double z)
{
  const double c = 60.0, end = 60.0 + 45.0;
  if (z < 60.0)
    return 2.0 * 75.0;
  if (z < end)
    return 2.0 * (75.0 - c + sqrt (c * c - (z - 60.0) * (z - 60.0)));
  return 2.0 * (75.0 - c + sqrt (c * c - 45.0 * 45.0) - (z - end) * 0.75 / sqrt (1.0 - 0.75 * 0.75));
}
static double wave (double z) { return 70.0 + 12.0 * sin (z / 18.0); }

typedef struct
{
  const char *name;
  Profile     profile;
  gsize       rows;
  double      noise, tolerance;
  gsize       most_pieces;
} Case;

static Case cases[] = {
  { "cone, noisy", cone, 300, 0.05, 0.05, 1 },
  { "cone, exact", cone, 300, 0.0, 0.05, 1 },
  { "barrel, exact: one arc", barrel, 200, 0.0, 0.01, 1 },
  { "barrel, noisy", barrel, 400, 0.1, 0.05, 1 },
  { "shoulder, noisy: three parts", shoulder, 500, 0.05, 0.05, 3 },
  { "shoulder, exact", shoulder, 400, 0.0, 0.05, 3 },
  { "spheroid", spheroid, 600, 0.05, 0.05, 7 },
  { "wave", wave, 800, 0.05, 0.05, 11 },
  { "many rows", spheroid, 20000, 0.2, 0.05, 7 },
};

static void
test_known_profiles (void **state)
{
  const Case *c = *state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (5);
  g_autofree double *z = g_new (double, c->rows);
  g_autofree double *d = g_new (double, c->rows);
  for (gsize i = 0; i < c->rows; i++)
    {
      z[i] = 150.0 * ((double) i + 0.3 * g_rand_double (rand)) / (double) c->rows;
      d[i] = c->profile (z[i]) + c->noise * normal (rand);
    }

  GError *error = NULL;
  RhyProfileReport report;
  const gint64 start = g_get_monotonic_time ();
  g_autoptr (RhyWall) wall = rhy_wall_new_profile (z, d, c->rows, c->tolerance, &report, &error);
  const double ms = (double) (g_get_monotonic_time () - start) / 1000.0;
  assert_no_error (error);

  double worst = 0.0;
  for (int k = 0; k <= 1000; k++)
    {
      RhyRing ring;
      const double at = z[0] + (z[c->rows - 1] - z[0]) * k / 1000.0;
      assert_true (rhy_wall_at_height (wall, at, &ring));
      worst = MAX (worst, fabs (2.0 * ring.r_mm - c->profile (at)));
    }
  print_message ("# %s: %zu pieces, off the true diameter by %.4f mm at most, noise %.3f, rms %.3f, %.0f ms\n",
                 c->name, report.n_pieces, worst, report.noise_mm, report.rms_mm, ms);
  assert_int_equal (report.n_rows, c->rows);
  assert_int_equal (report.n_pieces, rhy_wall_get_n_pieces (wall));
  assert_true (report.n_pieces <= c->most_pieces);
  /* The tolerance holds for means of rows; single places may be off by half as
   * much again, which is where the mean of a bow is a third less than its top. */
  assert_true (worst < 1.5 * c->tolerance);
  /* A curve's bow between neighbouring rows, up to 0.01 mm here, looks like noise. */
  assert_near (report.noise_mm, c->noise, 0.15 * c->noise + 0.01);
  assert_near (report.rms_mm, c->noise, 0.1 * c->noise + 0.5 * c->tolerance);
  for (gsize i = 1; i < report.n_pieces; i++)
    {
      const RhyWallPiece *below = rhy_wall_get_piece (wall, i - 1);
      assert_near (below->slope_rad + below->length_mm * below->curvature_per_mm,
                   rhy_wall_get_piece (wall, i)->slope_rad, 1e-9);
    }
}

static void
test_few_rows_are_met (void **state)
{
  (void) state;
  const double z[] = { 0, 30, 60, 90 };
  const double d[] = { 60, 70, 74, 72 };
  g_autoptr (RhyWall) wall = rhy_wall_new_profile (z, d, 4, 0.05, NULL, NULL);
  for (gsize i = 0; i < 4; i++)
    {
      RhyRing ring;
      assert_true (rhy_wall_at_height (wall, z[i], &ring));
      assert_near (2.0 * ring.r_mm, d[i], 1e-11);
    }
}

typedef struct
{
  const char *name;
  const char *text;
  gsize       n;          /* 0: refused */
  double      z[4], d[4];
  const char *says;
} File;

static File files[] = {
  { "blanks", "0 60\n  50\t66 \n\n# rim\n100 70\n", 3, { 0, 50, 100 }, { 60, 66, 70 }, NULL },
  { "commas and headings", "height,diameter\n0,60\n50,66.5\n", 2, { 0, 50 }, { 60, 66.5 }, NULL },
  { "semicolons and decimal commas", "Z;D\r\n0;60,5\r\n50,25;66,5\r\n", 2, { 0, 50.25 }, { 60.5, 66.5 }, NULL },
  { "from the rim down", "100 70\n50 66\n0 60\n", 3, { 0, 50, 100 }, { 60, 66, 70 }, NULL },
  { "one height twice", "0 60\n50 66\n50 68\n100 70", 3, { 0, 50, 100 }, { 60, 67, 70 }, NULL },
  { "byte order mark", "\357\273\2770 60\n50 66\n", 2, { 0, 50 }, { 60, 66 }, NULL },
  { "empty", "", 0, { 0 }, { 0 }, "0 rows" },
  { "one row", "0 60\n", 0, { 0 }, { 0 }, "1 row" },
  { "one number", "0 60\n50\n", 0, { 0 }, { 0 }, "line 2 '50'" },
  { "three numbers", "0 60\n50 66 1\n", 0, { 0 }, { 0 }, "line 2" },
  { "words", "0 60\nfifty 66\n", 0, { 0 }, { 0 }, "line 2 'fifty 66'" },
  { "two headings", "a b\nmm mm\n0 60\n1 60\n", 0, { 0 }, { 0 }, "line 2" },
  { "zero", "0 60\n50 0\n", 0, { 0 }, { 0 }, "above 0" },
  { "wide as a house", "0 60\n50 1e20\n", 0, { 0 }, { 0 }, "up to 10000 mm" },
  { "high as a house", "0 60\n1e20 66\n", 0, { 0 }, { 0 }, "to 10000 mm" },
  { "not a number", "0 60\n50 nan\n", 0, { 0 }, { 0 }, "line 2" },
};

static void
test_files (void **state)
{
  const File *c = *state;
  g_autofree char *path = g_build_filename (g_get_tmp_dir (), "rhyton-test-profile-XXXXXX", NULL);
  const int fd = g_mkstemp (path);
  assert_true (fd >= 0);
  g_close (fd, NULL);
  assert_true (g_file_set_contents (path, c->text, -1, NULL));

  g_autofree double *z = NULL;
  g_autofree double *d = NULL;
  gsize n = 77;
  GError *error = NULL;
  const gboolean read = rhy_profile_read (path, &z, &d, &n, &error);
  if (c->n == 0)
    {
      assert_false (read);
      assert_non_null (strstr (error->message, c->says));
      assert_int_equal (n, 77);
      assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
      assert_null (rhy_wall_new_profile_file (path, 0.05, NULL, &error));
      assert_true (g_str_has_prefix (error->message, path));
      g_clear_error (&error);
    }
  else
    {
      assert_no_error (error);
      assert_int_equal (n, c->n);
      for (gsize i = 0; i < n; i++)
        {
          assert_near (z[i], c->z[i], 0.0);
          assert_near (d[i], c->d[i], 0.0);
        }
    }
  g_unlink (path);
}

static void
test_bad (void **state)
{
  (void) state;
  GError *error = NULL;
  assert_null (rhy_wall_new_profile_file ("/nowhere/profile.txt", 0.05, NULL, &error));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);

  assert_null (rhy_wall_new_profile_file ("/dev/zero", 0.05, NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);

  double z[40], d[40];
  for (int i = 0; i < 40; i++)
    {
      z[i] = i;
      d[i] = i % 2 == 0 ? 60.0 : 30.0;      /* both sides of a hollow foot, say */
    }
  assert_null (rhy_wall_new_profile (z, d, 40, 0.05, NULL, &error));
  assert_non_null (strstr (error->message, "one side"));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_null (rhy_wall_new_profile (z, d, 40, 0.0, NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  d[7] = NAN;
  assert_null (rhy_wall_new_profile (z, d, 40, 0.05, NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
}

int
main (void)
{
  g_autoptr (GArray) tests = g_array_new (FALSE, TRUE, sizeof (struct CMUnitTest));
  const struct CMUnitTest plain[] = {
    cmocka_unit_test (test_few_rows_are_met),
    cmocka_unit_test (test_bad),
  };
  g_array_append_vals (tests, plain, G_N_ELEMENTS (plain));
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      const struct CMUnitTest row = { cases[i].name, test_known_profiles, NULL, NULL, &cases[i] };
      g_array_append_val (tests, row);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (files); i++)
    {
      const struct CMUnitTest row = { files[i].name, test_files, NULL, NULL, &files[i] };
      g_array_append_val (tests, row);
    }
  return _cmocka_run_group_tests ("profile file", (struct CMUnitTest *) (void *) tests->data, tests->len, NULL, NULL);
}
