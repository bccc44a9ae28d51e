/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <complex.h>
#undef I

#include <rhyton/lay.h>
#include <rhyton/stretch.h>

/* What holds for the lays with a closed form, on any wall. Round trips and central
 * differences are in test-map.c, printed and computed values in tests/check. */

static const RhyLayKind kinds[] = {
  RHY_LAY_ROLLED, RHY_LAY_RINGED, RHY_LAY_RINGED_BALANCED, RHY_LAY_ANGLE_TRUE, RHY_LAY_AREA_TRUE,
};

static RhyWall *
wall_of (double r, double slope, double curvature)
{
  GError *error = NULL;
  const RhyWallPiece piece = { .length_mm = 120, .slope_rad = slope, .curvature_per_mm = curvature };
  RhyWall *wall = rhy_wall_new_pieces (0, r, &piece, 1, &error);
  assert_no_error (error);
  return wall;
}

static RhyMap *
lay_of (RhyWall *wall, RhyLayKind kind, double s, double angle)
{
  const RhyArtPoint ink[] = { { -25, -20 }, { 25, -20 }, { 0, 0 }, { 25, 20 }, { -25, 20 } };
  const RhyLayOptions options = { .kind = kind, .anchor = { s, angle }, .ink = ink, .n_ink = G_N_ELEMENTS (ink) };
  GError *error = NULL;
  RhyMap *lay = rhy_lay_new (wall, &options, &error);
  assert_no_error (error);
  return lay;
}

typedef void (*Each) (double u, double v, RhyPoint a, RhyPoint b, double size);

static void
over_art (RhyMap *one, RhyMap *two, double sign_u, Each each, double size)
{
  for (int i = -5; i <= 5; i++)
    for (int k = -5; k <= 5; k++)
      {
        const double u = 5.1 * i, v = 4.3 * k;
        RhyPoint a, b;
        assert_true (rhy_map_point (one, (RhyPoint) { u, v }, &a));
        assert_true (rhy_map_point (two, (RhyPoint) { sign_u * u, v }, &b));
        each (u, v, a, b, size);
      }
}

/* On the cylinder all lays are the same, and with a slope e or a curvature of e per 120 mm
 * they differ from it by about e u^2/r, at most e times 2 mm for each mm. */
static void
near_each_other (double u, double v, RhyPoint a, RhyPoint b, double size)
{
  (void) u;
  (void) v;
  assert_near (a.x, b.x, 100.0 * size + 1e-11);
  assert_near (a.y, b.y, 10.0 * size + 1e-13);
}

static void
test_cone_tends_to_cylinder (void **state)
{
  (void) state;
  g_autoptr (RhyWall) cylinder = wall_of (35, 0, 0);
  g_autoptr (RhyMap) plain = lay_of (cylinder, RHY_LAY_RINGED, 60, 0.3);
  const double sizes[] = { 1e-3, 1e-6, 1e-9, 1e-12, 1e-300, 0.0 };
  for (gsize k = 0; k < G_N_ELEMENTS (kinds); k++)
    for (gsize i = 0; i < G_N_ELEMENTS (sizes); i++)
      for (int sign = -1; sign <= 1; sign += 2)
        {
          g_autoptr (RhyWall) cone = wall_of (35, sign * sizes[i], 0);
          g_autoptr (RhyWall) arc = wall_of (35, 0, sign * sizes[i] / 120);
          g_autoptr (RhyMap) one = lay_of (cone, kinds[k], 60, 0.3);
          g_autoptr (RhyMap) two = lay_of (arc, kinds[k], 60, 0.3);
          over_art (one, plain, 1.0, near_each_other, sizes[i]);
          over_art (two, plain, 1.0, near_each_other, sizes[i]);
        }
}

static void
mirrored (double u, double v, RhyPoint a, RhyPoint b, double size)
{
  (void) v;
  assert_near (a.x, b.x, 1e-12);
  assert_near (a.y - size, size - b.y, 1e-14);
  /* growing angle is to the right */
  assert_true (u == 0.0 || (a.y > size) == (u > 0.0));
}

static void
moved (double u, double v, RhyPoint a, RhyPoint b, double size)
{
  (void) u;
  (void) v;
  assert_near (a.x, b.x, 0.0);
  assert_near (a.y + size, b.y, 4e-15 * (1.0 + fabs (b.y)));
}

/* Left mirrors right; and the seam is nowhere: round the wall, across 180 degrees and past
 * several turns, the same art lies the same. */
static void
test_mirror_and_seam (void **state)
{
  (void) state;
  const double walls[][3] = { { 35, 0, 0 }, { 30, 0.2, 0 }, { 45, -0.3, 0 }, { 25, 0.7, -1.0 / 90 }, { 50, -0.6, 1.0 / 100 } };
  for (gsize w = 0; w < G_N_ELEMENTS (walls); w++)
    for (gsize k = 0; k < G_N_ELEMENTS (kinds); k++)
      {
        g_autoptr (RhyWall) wall = wall_of (walls[w][0], walls[w][1], walls[w][2]);
        g_autoptr (RhyMap) here = lay_of (wall, kinds[k], 60, 0.0);
        over_art (here, here, -1.0, mirrored, 0.0);
        const double turns[] = { G_PI, -G_PI, 2 * G_PI, 3.0, 20.0 };
        for (gsize i = 0; i < G_N_ELEMENTS (turns); i++)
          {
            g_autoptr (RhyMap) there = lay_of (wall, kinds[k], 60, turns[i]);
            over_art (here, there, 1.0, moved, turns[i]);
            RhyPoint a, b;
            assert_true (rhy_map_point_inverse (here, (RhyPoint) { 66, 0.4 }, &a));
            assert_true (rhy_map_point_inverse (there, (RhyPoint) { 66, 0.4 + turns[i] }, &b));
            assert_near (a.x, b.x, 1e-12);
            assert_near (a.y, b.y, 1e-12);
          }
      }
}

/* The formulas once more in complex numbers, as the textbooks have them. A step of 1e-40
 * i gives a derivative with no subtraction, so to the last digits. */
typedef double complex Z;
typedef void (*Formula) (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle);

static void
cone_rolled (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) R;
  (void) lat0;
  const double c = n / r0;
  *ds = (csqrt ((1 + c * v) * (1 + c * v) + c * c * u * u) - 1) / c;
  *angle = catan (c * u / (1 + c * v)) / n;
}

static void
cone_angle_true (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) R;
  (void) lat0;
  *ds = r0 * (cexp (v * n / r0) - 1) / n;
  *angle = u / r0;
}

static void
cone_area_true (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) R;
  (void) lat0;
  *ds = (csqrt (r0 * r0 + 2 * v * r0 * n) - r0) / n;
  *angle = u / r0;
}

static void
ringed (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) n;
  (void) R;
  (void) lat0;
  *ds = v;
  *angle = u / r0;
}

/* Mercator: sin lat = tanh of the northing. Snyder, USGS PP 1395, eq. 7-2 and 7-4. */
static void
sphere_angle_true (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) n;
  *ds = R * (casin (ctanh (v / r0 + atanh (sin (lat0)))) - lat0);
  *angle = u / r0;
}

/* Lambert's cylindrical equal-area: v cos lat0 = R (sin lat - sin lat0). The same, eq. 10-2. */
static void
sphere_area_true (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) n;
  *ds = R * (casin (sin (lat0) + v * r0 / (R * R)) - lat0);
  *angle = u / r0;
}

/* Equidistant conic touching at lat0. The same, eqs 16-1 to 16-4, 14-9 to 14-11. */
static void
sphere_rolled (double r0, double n, double R, double lat0, Z u, Z v, Z *ds, Z *angle)
{
  (void) R;
  (void) lat0;
  cone_rolled (r0, n, R, lat0, u, v, ds, angle);
}

typedef struct { const char *name; RhyLayKind kind; gboolean sphere; Formula formula; } Derived;

static const Derived derived[] = {
  { "rolled, cone", RHY_LAY_ROLLED, FALSE, cone_rolled },
  { "ringed, cone", RHY_LAY_RINGED, FALSE, ringed },
  { "angle-true, cone", RHY_LAY_ANGLE_TRUE, FALSE, cone_angle_true },
  { "area-true, cone", RHY_LAY_AREA_TRUE, FALSE, cone_area_true },
  { "rolled, sphere", RHY_LAY_ROLLED, TRUE, sphere_rolled },
  { "ringed, sphere", RHY_LAY_RINGED, TRUE, ringed },
  { "angle-true, sphere", RHY_LAY_ANGLE_TRUE, TRUE, sphere_angle_true },
  { "area-true, sphere", RHY_LAY_AREA_TRUE, TRUE, sphere_area_true },
};

static void
test_derivative_by_a_complex_step (void **state)
{
  const Derived *d = *state;
  const double R = 60, lat0 = -0.3, slope = 0.3, s0 = 50;
  /* the sphere's base lies so that s0 is at lat0 */
  const double base = lat0 - s0 / R;
  g_autoptr (RhyWall) wall = d->sphere ? wall_of (R * cos (base), -base, -1 / R) : wall_of (30, slope, 0);
  const RhyLayOptions options = { .kind = d->kind, .anchor = { s0, 0.5 } };
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &options, NULL);
  const double r0 = d->sphere ? R * cos (lat0) : 30 + s0 * sin (slope);
  const double n = d->sphere ? sin (-lat0) : sin (slope);
  const double h = 1e-40;
  for (int i = -4; i <= 4; i++)
    for (int k = -4; k <= 4; k++)
      {
        const double u = 6.1 * i, v = 5.3 * k;
        double s, angle;
        RhyJacobian j;
        Z ds, a;
        assert_int_equal (rhy_map_jacobian (lay, 1, &u, &v, &s, &angle, &j, NULL), 0);
        d->formula (r0, n, R, lat0, u + h * _Complex_I, v, &ds, &a);
        assert_near (s, s0 + creal (ds), 1e-12);
        assert_near (angle, 0.5 + creal (a), 1e-14);
        assert_near (j.xx, cimag (ds) / h, 1e-13);
        assert_near (j.yx, cimag (a) / h, 1e-14);
        d->formula (r0, n, R, lat0, u, v + h * _Complex_I, &ds, &a);
        assert_near (j.xy, cimag (ds) / h, 1e-13);
        assert_near (j.yy, cimag (a) / h, 1e-14);
      }
}

/* What each lay promises: angle-true turns circles into circles, area-true keeps areas,
 * ringed keeps lengths up the wall, balanced is as much too wide as too narrow. */
static void
test_keeps_its_promise (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = wall_of (25, 0.7, -1.0 / 90);
  g_autoptr (RhyMap) angle_true = lay_of (wall, RHY_LAY_ANGLE_TRUE, 60, 0);
  g_autoptr (RhyMap) area_true = lay_of (wall, RHY_LAY_AREA_TRUE, 60, 0);
  RhyArtPoint ink[121];
  for (int i = 0; i < 121; i++)
    {
      RhyStretch stretch;
      ink[i] = (RhyArtPoint) { 5.0 * (i % 11 - 5), 4.0 * (i / 11 - 5) };
      assert_true (rhy_stretch_at (angle_true, wall, ink[i], &stretch));
      assert_near (stretch.major, stretch.minor, 1e-13);
      assert_true (rhy_stretch_at (area_true, wall, ink[i], &stretch));
      assert_near (stretch.area, 1.0, 1e-13);
    }
  const RhyLayOptions options = { .kind = RHY_LAY_RINGED_BALANCED, .anchor = { 60, 0 }, .ink = ink, .n_ink = 121 };
  g_autoptr (RhyMap) balanced = rhy_lay_new (wall, &options, NULL);
  const RhyStretchRange range = rhy_stretch_over (balanced, wall, ink, 121);
  /* the widest ring may lie half a step of the points (2 mm) from one: 2^2/(2 * 90)/r */
  assert_near (range.major_max - 1.0, 1.0 - range.minor_min, 4e-4);
}

int
main (void)
{
  struct CMUnitTest tests[16] = {
    cmocka_unit_test (test_cone_tends_to_cylinder),
    cmocka_unit_test (test_mirror_and_seam),
    cmocka_unit_test (test_keeps_its_promise),
  };
  char names[16][64];
  gsize n = 3;
  for (gsize i = 0; i < G_N_ELEMENTS (derived); i++, n++)
    {
      g_snprintf (names[n], sizeof names[n], "derivative by a complex step: %s", derived[i].name);
      tests[n] = (struct CMUnitTest) { names[n], test_derivative_by_a_complex_step, NULL, NULL, (void *) &derived[i] };
    }
  return _cmocka_run_group_tests ("lay", tests, n, NULL, NULL);
}
