/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/smooth.h>

/* A chain of a few dozen pieces adds as many roundings on lengths up to 3e2 mm:
 * 40 * 3e2 * 2.2e-16 = 3e-12, times four. */
static const double TOL_MM = 1e-11;

static double
radius_at (const RhyWall *wall,
           double         z)
{
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, z, &ring));
  return ring.r_mm;
}

/* Slopes at every join, from below and from above. */
static void
assert_no_kink (const RhyWall *wall)
{
  for (gsize i = 1; i < rhy_wall_get_n_pieces (wall); i++)
    {
      const RhyWallPiece *below = rhy_wall_get_piece (wall, i - 1);
      const RhyWallPiece *above = rhy_wall_get_piece (wall, i);
      assert_near (below->slope_rad + below->length_mm * below->curvature_per_mm, above->slope_rad, 1e-12);
    }
}

typedef struct
{
  const char *name;
  gsize       n;
  double      z[12], r[12];
} Stations;

static Stations stations[] = {
  { "two", 2, { 0, 90 }, { 30, 40 } },
  { "cylinder", 5, { 0, 10, 30, 80, 90 }, { 33, 33, 33, 33, 33 } },
  /* Heights and radii of one cone, as decimals. */
  { "cone", 4, { 0, 40, 60, 100 }, { 30, 34, 36, 40 } },
  { "shoulder of a bottle", 7, { 0, 100, 180, 200, 220, 240, 290 }, { 37.5, 37.5, 37.5, 34, 22, 15, 14 } },
  { "foot, stem and bowl", 9, { 0, 3, 10, 55, 60, 75, 100, 130, 155 },
    { 32.5, 20, 4.5, 4.5, 8, 27, 32.5, 27.5, 23 } },
  { "nearly flat step", 4, { 0, 50, 50.5, 100 }, { 30, 30, 38, 38 } },
  { "bulge, equal pair on top", 4, { 0, 20, 40, 60 }, { 30, 35, 35, 30 } },
  /* Rapidly rising monotone data, after the sets that cubic splines overshoot on. */
  { "flat, then steep", 9, { 0, 20, 30, 50, 60, 80, 90, 110, 120 },
    { 10, 10, 10, 10, 10.5, 15, 50, 60, 85 } },
  { "falling, uneven", 6, { 0, 1, 40, 41, 90, 200 }, { 60, 59, 58, 30, 29.9, 10 } },
};

static void
test_exact_at_stations_without_kink (void **state)
{
  const Stations *c = *state;
  GError *error = NULL;
  g_autoptr (RhyWall) wall = rhy_wall_new_smooth (c->z, c->r, c->n, &error);
  assert_no_error (error);
  assert_no_kink (wall);
  for (gsize i = 0; i < c->n; i++)
    assert_near (radius_at (wall, c->z[i]), c->r[i], TOL_MM);
  assert_near (rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm, c->z[c->n - 1], TOL_MM);
}

/* Between stations that go on in one direction (their neighbours included) the
 * radius stays between theirs. */
static void
test_no_overshoot (void **state)
{
  const Stations *c = *state;
  g_autoptr (RhyWall) wall = rhy_wall_new_smooth (c->z, c->r, c->n, NULL);
  assert_non_null (wall);
  for (gsize i = 0; i + 1 < c->n; i++)
    {
      const double here = c->r[i + 1] - c->r[i];
      const double before = i > 0 ? c->r[i] - c->r[i - 1] : here;
      const double after = i + 2 < c->n ? c->r[i + 2] - c->r[i + 1] : here;
      if (before * here < 0.0 || after * here < 0.0 || before * after < 0.0)
        continue;
      double last = c->r[i];
      for (int k = 1; k <= 200; k++)
        {
          const double z = c->z[i] + (c->z[i + 1] - c->z[i]) * k / 200.0;
          const double r = radius_at (wall, z);
          assert_true (here >= 0.0 ? r >= last - TOL_MM : r <= last + TOL_MM);
          assert_true (r <= MAX (c->r[i], c->r[i + 1]) + TOL_MM);
          assert_true (r >= MIN (c->r[i], c->r[i + 1]) - TOL_MM);
          last = r;
        }
    }
}

/* Read from the rim down, the same vessel comes out. */
static void
test_upside_down_is_the_same (void **state)
{
  const Stations *c = *state;
  double z[12], r[12];
  for (gsize i = 0; i < c->n; i++)
    {
      z[i] = -c->z[c->n - 1 - i];
      r[i] = c->r[c->n - 1 - i];
    }
  g_autoptr (RhyWall) up = rhy_wall_new_smooth (c->z, c->r, c->n, NULL);
  g_autoptr (RhyWall) down = rhy_wall_new_smooth (z, r, c->n, NULL);
  assert_near (rhy_wall_get_length (down), rhy_wall_get_length (up), TOL_MM);
  for (int k = 0; k <= 100; k++)
    {
      const double at = c->z[0] + (c->z[c->n - 1] - c->z[0]) * k / 100.0;
      assert_near (radius_at (down, -at), radius_at (up, at), 1e-9);
    }
}

static void
test_straight_stations_make_one_piece (void **state)
{
  (void) state;
  for (gsize i = 0; i < 3; i++)
    {
      g_autoptr (RhyWall) wall = rhy_wall_new_smooth (stations[i].z, stations[i].r, stations[i].n, NULL);
      assert_true (rhy_wall_is_cone (wall));
    }
}

/* Stations on a torus bulge: r = 12 + sqrt (45^2 - z^2), one circle: closed form. */
static void
test_circle_comes_back (void **state)
{
  (void) state;
  const double z[] = { -40, -21, -3, 11, 30, 38 };
  double r[G_N_ELEMENTS (z)];
  for (gsize i = 0; i < G_N_ELEMENTS (z); i++)
    r[i] = 12.0 + sqrt (45.0 * 45.0 - z[i] * z[i]);
  g_autoptr (RhyWall) wall = rhy_wall_new_smooth (z, r, G_N_ELEMENTS (z), NULL);
  for (double at = -40.0; at <= 38.0; at += 0.5)
    assert_near (radius_at (wall, at), 12.0 + sqrt (45.0 * 45.0 - at * at), TOL_MM);
  for (gsize i = 0; i < rhy_wall_get_n_pieces (wall); i++)
    assert_near (rhy_wall_get_piece (wall, i)->curvature_per_mm, -1.0 / 45.0, 1e-12);
}

/* Known profiles, closed forms. The stations' spacing swings by a factor of two,
 * so that no lucky symmetry helps. */
typedef double (*Profile) (double z);

static double prolate (double z) { return 40.0 * sqrt (1.0 - z * z / (60.0 * 60.0)); }
static double oblate (double z) { return 45.0 * sqrt (1.0 - z * z / (32.0 * 32.0)); }
static double wave (double z) { return 35.0 + 5.0 * sin (z / 20.0) + 0.05 * z; }

/* An egg, r = b sqrt ((a^2 - x^2)/(a^2 + 2 w x + w^2)) (Huegelschaeffer's curve, from
 * memory; widest, b, at x = -w), of the size of the ISO 3591 tasting glass: 65 across
 * at height 79, 46 at 155. */
static double
egg (double z)
{
  const double a = 77.8, w = 60.0, x = z - 139.0;
  return 32.5 * sqrt ((a * a - x * x) / (a * a + 2.0 * w * x + w * w));
}

typedef struct
{
  const char *name;
  Profile     profile;
  double      low, high;
} Order;

static Order orders[] = {
  { "prolate spheroid", prolate, -45, 50 },
  { "oblate spheroid", oblate, -22, 25 },
  { "wave with turns", wave, -70, 90 },
  { "egg of a tasting glass", egg, 70, 155 },
};

static double
greatest_error (const Order *c,
                gsize        n)
{
  double z[513], r[513];
  assert_true (n <= G_N_ELEMENTS (z));
  for (gsize i = 0; i < n; i++)
    {
      const double t = (double) i / (double) (n - 1);
      z[i] = c->low + (c->high - c->low) * (t + 0.05 * sin (2.0 * G_PI * t));
      r[i] = c->profile (z[i]);
    }
  g_autoptr (RhyWall) wall = rhy_wall_new_smooth (z, r, n, NULL);
  assert_non_null (wall);
  double worst = 0.0;
  for (int k = 0; k <= 5000; k++)
    {
      const double at = c->low + (c->high - c->low) * k / 5000.0;
      worst = MAX (worst, fabs (radius_at (wall, CLAMP (at, z[0], z[n - 1])) - c->profile (CLAMP (at, z[0], z[n - 1]))));
    }
  return worst;
}

static void
test_error_falls_as_the_cube (void **state)
{
  const Order *c = *state;
  double last = greatest_error (c, 17);
  assert_true (last < 0.25);
  for (gsize n = 33; n <= 513; n = 2 * n - 1)
    {
      const double now = greatest_error (c, n);
      print_message ("# %s: %zu stations: %.3g mm, order %.2f\n", c->name, n, now, log2 (last / now));
      /* Half the spacing: an eighth of the error. Near the poles, where the
       * spheroids are steepest, the order comes up to 3 from below. */
      if (n > 65)
        assert_true (now < last / pow (2.0, n > 129 ? 2.9 : 2.8));
      last = now;
    }
}

typedef struct
{
  const char *name;
  gsize       n;
  double      z[3], r[3];
  const char *says;
} Bad;

static Bad bads[] = {
  { "one station", 1, { 0 }, { 30 }, "at least 2" },
  { "heights fall", 3, { 0, 50, 40 }, { 30, 30, 30 }, "must increase" },
  { "radius zero", 3, { 0, 50, 60 }, { 30, 30, 0 }, "above 0" },
  { "infinite", 3, { 0, 50, INFINITY }, { 30, 30, 30 }, "number" },
};

static void
test_bad (void **state)
{
  const Bad *c = *state;
  GError *error = NULL;
  assert_null (rhy_wall_new_smooth (c->z, c->r, c->n, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, c->says));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
}

int
main (void)
{
  g_autoptr (GArray) tests = g_array_new (FALSE, TRUE, sizeof (struct CMUnitTest));
  const struct CMUnitTest plain[] = {
    cmocka_unit_test (test_straight_stations_make_one_piece),
    cmocka_unit_test (test_circle_comes_back),
  };
  g_array_append_vals (tests, plain, G_N_ELEMENTS (plain));
  for (gsize i = 0; i < G_N_ELEMENTS (stations); i++)
    {
      const struct CMUnitTest rows[] = {
        { stations[i].name, test_exact_at_stations_without_kink, NULL, NULL, &stations[i] },
        { stations[i].name, test_no_overshoot, NULL, NULL, &stations[i] },
        { stations[i].name, test_upside_down_is_the_same, NULL, NULL, &stations[i] },
      };
      g_array_append_vals (tests, rows, G_N_ELEMENTS (rows));
    }
  for (gsize i = 0; i < G_N_ELEMENTS (orders); i++)
    {
      const struct CMUnitTest row = { orders[i].name, test_error_falls_as_the_cube, NULL, NULL, &orders[i] };
      g_array_append_val (tests, row);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (bads); i++)
    {
      const struct CMUnitTest row = { bads[i].name, test_bad, NULL, NULL, &bads[i] };
      g_array_append_val (tests, row);
    }
  return _cmocka_run_group_tests ("smooth", (struct CMUnitTest *) tests->data, tests->len, NULL, NULL);
}
