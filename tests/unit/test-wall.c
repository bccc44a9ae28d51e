/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/wall.h>

/* Lengths to 3e2 mm through a dozen roundings. */
#define TOL_MM 1e-11

static RhyWall *
straight (double d0, double d1, double h)
{
  return rhy_wall_new_straight ((const double[]) { 0, h }, (const double[]) { d0 / 2, d1 / 2 }, 2, NULL);
}

/* A barrel from latitude -40 to 40 degrees of a circle of 60 mm whose centre
 * lies 15 mm beyond the axis: every quantity by the closed forms of a circle. */
static RhyWall *
barrel (void)
{
  const double p = 40.0 * G_PI / 180.0;
  return rhy_wall_new_pieces (0, -15 + 60 * cos (p),
                              &(RhyWallPiece) { .length_mm = 120 * p, .slope_rad = p, .curvature_per_mm = -1.0 / 60 },
                              1, NULL);
}

static RhyWall *
bottle (void)   /* straight, arc in, arc out, straight neck: slopes meet */
{
  const RhyWallPiece pieces[] = {
    { .length_mm = 100, .slope_rad = 0, .curvature_per_mm = 0 },
    { .length_mm = 30, .slope_rad = 0, .curvature_per_mm = -0.03 },
    { .length_mm = 30, .slope_rad = -0.9, .curvature_per_mm = 0.03 },
    { .length_mm = 40, .slope_rad = 0.0, .curvature_per_mm = 0 },
  };
  return rhy_wall_new_pieces (0, 40, pieces, 4, NULL);
}

static void
test_three_four_five (void **state)
{
  (void) state;
  /* 120 down to 60 over 40: a 3-4-5 wall, by hand. */
  g_autoptr (RhyWall) wall = straight (120, 60, 40);
  assert_near (rhy_wall_get_length (wall), 50, TOL_MM);
  const RhyRing ring = rhy_wall_at (wall, 25);
  assert_near (ring.z_mm, 20, TOL_MM);
  assert_near (ring.r_mm, 45, TOL_MM);
  assert_near (sin (ring.slope_rad), -0.6, 1e-15);
  assert_near (rhy_wall_area (wall, 0, 50), G_PI * 90 * 50, 1e-9);
  assert_near (rhy_wall_volume (wall, 0, 50), G_PI * 40 / 3 * (3600 + 1800 + 900), 1e-8);
  assert_true (rhy_wall_is_cone (wall));
}

static void
test_barrel_is_its_circle (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = barrel ();
  const double p = 40.0 * G_PI / 180.0;
  const RhyRing top = rhy_wall_at (wall, 120 * p);
  assert_near (top.z_mm, 120 * sin (p), TOL_MM);
  assert_near (top.r_mm, -15 + 60 * cos (p), TOL_MM);
  assert_near (top.slope_rad, -p, 1e-14);
  assert_near (rhy_wall_widest (wall, 0, 120 * p).r_mm, 45, TOL_MM);
  assert_near (rhy_wall_widest (wall, 0, 120 * p).s_mm, 60 * p, 1e-9);
  assert_near (rhy_wall_narrowest (wall, 0, 120 * p).r_mm, -15 + 60 * cos (p), TOL_MM);
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, 60 * sin (p), &ring));
  assert_near (ring.s_mm, 60 * p, TOL_MM);
  assert_false (rhy_wall_at_height (wall, 120 * sin (p) + 0.01, &ring));
  assert_false (rhy_wall_at_height (wall, NAN, &ring));
}

static void
test_integrals_equal_quadrature_and_invert (void **state)
{
  (void) state;
  g_autoptr (RhyWall) a = straight (62, 88, 150);
  g_autoptr (RhyWall) b = barrel ();
  g_autoptr (RhyWall) c = bottle ();
  g_autoptr (RhyWall) d = straight (70, 70, 100);
  RhyWall *walls[] = { a, b, c, d };

  for (gsize w = 0; w < G_N_ELEMENTS (walls); w++)
    {
      const double length = rhy_wall_get_length (walls[w]);
      for (int i = 0; i < 20; i++)
        {
          const double s0 = length * i / 20;
          const double s1 = length * ((i * 7 + 3) % 20) / 20;
          /* Composite midpoint rule, 20,000 steps: error about h^2/24 times the
           * change of the integrand's slope, below 1e-7 here. */
          double iso = 0, aut = 0, vol = 0;
          const int n = 20000;
          for (int k = 0; k < n; k++)
            {
              const RhyRing r = rhy_wall_at (walls[w], s0 + (s1 - s0) * (k + 0.5) / n);
              iso += (s1 - s0) / n / r.r_mm;
              aut += (s1 - s0) / n * r.r_mm;
              vol += fabs (s1 - s0) / n * G_PI * r.r_mm * r.r_mm * cos (r.slope_rad);
            }
          assert_near (rhy_wall_isometric (walls[w], s0, s1), iso, 1e-8);
          assert_near (rhy_wall_authalic (walls[w], s0, s1), aut, 1e-5);
          assert_near (rhy_wall_volume (walls[w], s0, s1), vol, 1e-2);
          assert_near (rhy_wall_isometric_inverse (walls[w], s0, rhy_wall_isometric (walls[w], s0, s1)), s1, 1e-10);
          assert_near (rhy_wall_authalic_inverse (walls[w], s0, rhy_wall_authalic (walls[w], s0, s1)), s1, 1e-10);
          RhyRing ring;
          assert_true (rhy_wall_at_height (walls[w], rhy_wall_at (walls[w], s1).z_mm, &ring));
          assert_near (ring.s_mm, s1, 1e-10);
        }
    }
}

static void
test_cone_tends_to_cylinder (void **state)
{
  (void) state;
  /* To first order a slope e, growing by at most e more, changes the radius by e s (1 + s/(3 L)):
   * the integral of ds/r by at most e (L^2/2 + L^2/6)/r^2 = 4.17 e, that of r ds by 6667 e. */
  const double slopes[] = { 1e-3, 1e-6, 1e-9, 1e-12, 0 };
  for (gsize i = 0; i < G_N_ELEMENTS (slopes); i++)
    for (int k = -1; k <= 1; k++)
      {
        g_autoptr (RhyWall) w = rhy_wall_new_pieces (0, 40,
          &(RhyWallPiece) { .length_mm = 100, .slope_rad = slopes[i], .curvature_per_mm = k * slopes[i] / 100 }, 1, NULL);
        assert_near (rhy_wall_isometric (w, 0, 100), 2.5, 4.2 * slopes[i] + 1e-15);
        assert_near (rhy_wall_authalic (w, 0, 100), 4000, 1e4 * slopes[i] + 1e-11);
        assert_near (rhy_wall_isometric_inverse (w, 0, 2.5), 100, 2e2 * slopes[i] + 1e-12);
      }
}

static void
test_a_closing_surface_has_no_inverse_there (void **state)
{
  (void) state;
  g_autoptr (RhyWall) w = straight (60, 20, 40);
  /* The apex holds a finite area; asking for more lies off the wall. */
  assert_false (rhy_wall_has (w, rhy_wall_authalic_inverse (w, 0, 1e6)));
  assert_false (rhy_wall_has (w, rhy_wall_isometric_inverse (w, 0, 1e3)));
}

typedef struct { const char *says; double h[3], r[3]; gsize n; } Bad;
static const Bad bad[] = {
  { "must increase", { 0, 50, 40 }, { 30, 30, 30 }, 3 },
  { "above 0", { 0, 50 }, { 30, -30 }, 2 },
  { "above 0", { 0, 50 }, { 30, NAN }, 2 },
  { "must increase", { 0, NAN }, { 30, 30 }, 2 },
  { "at least 2", { 0 }, { 30 }, 1 },
};

static void
test_bad_stations_are_refused_with_their_values (void **state)
{
  (void) state;
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      GError *error = NULL;
      assert_null (rhy_wall_new_straight (bad[i].h, bad[i].r, bad[i].n, &error));
      assert_non_null (error);
      if (i != 3)
        assert_non_null (strstr (error->message, bad[i].says));
      assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
    }
  GError *error = NULL;
  assert_null (rhy_wall_new_pieces (0, 20, &(RhyWallPiece) { .length_mm = 50, .slope_rad = -1 }, 1, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_null (rhy_wall_new_pieces (0, 20, &(RhyWallPiece) { .length_mm = 50, .curvature_per_mm = 0.1 }, 1, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_three_four_five),
    cmocka_unit_test (test_barrel_is_its_circle),
    cmocka_unit_test (test_integrals_equal_quadrature_and_invert),
    cmocka_unit_test (test_cone_tends_to_cylinder),
    cmocka_unit_test (test_a_closing_surface_has_no_inverse_there),
    cmocka_unit_test (test_bad_stations_are_refused_with_their_values),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
