/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/capacity.h>
#include <rhyton/smooth.h>

/* A straight mug 80 across and 95 high, side 4, floor 6: pi 36^2 (95 - 6). */
static void
test_straight_mug (void **state)
{
  (void) state;
  const double z[] = { 0, 95 };
  const double r[] = { 40, 40 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
  const RhyInside inside = { .wall_mm = 4, .floor_mm = 6, .fill_mm = NAN };
  double ml, level;
  assert_true (rhy_wall_capacity (wall, &inside, &ml, NULL));
  assert_near (ml, G_PI * 36 * 36 * 89 / 1000, 1e-10);
  assert_true (rhy_wall_fill_height (wall, &inside, 100.0, &level, NULL));
  assert_near (level, 6 + 100000 / (G_PI * 36 * 36), 1e-10);
}

/* A cone of slope asin (3/5) shifted square by 4: every radius loses 4/cos b = 5.
 * From floor 10 (outside radius 37.5, inside 32.5) to the brim 40 (60, 55):
 * pi/3 30 (32.5^2 + 32.5 55 + 55^2). */
static void
test_cone_keeps_its_thickness (void **state)
{
  (void) state;
  const double z[] = { 0, 40 };
  const double r[] = { 30, 60 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
  const RhyInside inside = { .wall_mm = 4, .floor_mm = 10, .fill_mm = NAN };
  double ml;
  assert_true (rhy_wall_capacity (wall, &inside, &ml, NULL));
  assert_near (ml, G_PI * 10 * (32.5 * 32.5 + 32.5 * 55 + 55 * 55) / 1000, 1e-9);
}

/* How high ml stand in a cone frustum of radius r0 + t z: V = pi ((r0 + t z)^3 - r0^3) / (3 t), so
 * z = (cbrt (r0^3 + 3 t V / pi) - r0) / t. Opening and closing. */
static void
test_level_in_a_cone (void **state)
{
  (void) state;
  static const struct { double r0, r1, h; } cones[] = { { 30, 44, 110 }, { 44, 30, 110 }, { 5, 60, 90 } };
  for (gsize i = 0; i < G_N_ELEMENTS (cones); i++)
    {
      const double z[] = { 0, cones[i].h };
      const double r[] = { cones[i].r0, cones[i].r1 };
      const double t = (r[1] - r[0]) / cones[i].h;
      g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
      for (double ml = 10.0; ml <= 250.0; ml += 20.0)
        {
          double level;
          assert_true (rhy_wall_fill_height (wall, NULL, ml, &level, NULL));
          assert_near (level, (cbrt (r[0] * r[0] * r[0] + 3.0 * t * ml * 1000.0 / G_PI) - r[0]) / t, 1e-9);
        }
    }
}

/* Nothing stands at the floor, all of it at the brim. */
static void
test_level_at_the_ends (void **state)
{
  (void) state;
  const double z[] = { 0, 40 };
  const double r[] = { 30, 60 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
  const RhyInside inside = { .wall_mm = 4, .floor_mm = 10, .fill_mm = NAN };
  double ml, level;
  assert_true (rhy_wall_fill_height (wall, &inside, 0.0, &level, NULL));
  assert_near (level, 10.0, 1e-12);
  assert_true (rhy_wall_capacity (wall, &inside, &ml, NULL));
  assert_true (rhy_wall_fill_height (wall, &inside, ml, &level, NULL));
  assert_near (level, 40.0, 1e-9);
}

/* Two tapers, kinked: upright at radius 30 to z = 50, then at 45 degrees. Shifted
 * by t the parts meet where the bisector leads: the upright at 30 - t, the cone
 * lower by t (sqrt 2) in radius, so the kink stands at 50 - t + t sqrt 2. */
static void
test_kink_is_mitred (void **state)
{
  (void) state;
  const double t = 3.0;
  const double z[] = { 0, 50, 80 };
  const double r[] = { 30, 30, 60 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 3, NULL);
  g_autoptr (RhyWall) inside = rhy_wall_new_inside (wall, t, NULL);
  assert_near (rhy_wall_get_piece (inside, 1)->z_mm, 50 - t + t * sqrt (2.0), 1e-12);
  assert_near (rhy_wall_get_piece (inside, 1)->r_mm, 30 - t, 1e-12);
}

/* Shells of a torus bulge are arcs about one centre: r = 10 + sqrt (35^2 - z^2)
 * less 2 is 10 + sqrt (33^2 - z^2). */
static void
test_arcs_keep_their_centre (void **state)
{
  (void) state;
  const double z[] = { -20, 0, 20 };
  double r[3];
  for (int i = 0; i < 3; i++)
    r[i] = 10 + sqrt (35.0 * 35.0 - z[i] * z[i]);
  g_autoptr (RhyWall) wall = rhy_wall_new_smooth (z, r, 3, NULL);
  g_autoptr (RhyWall) inside = rhy_wall_new_inside (wall, 2, NULL);
  for (double at = -18; at <= 18; at += 1.5)
    {
      RhyRing ring;
      assert_true (rhy_wall_at_height (inside, at, &ring));
      assert_near (ring.r_mm, 10 + sqrt (33.0 * 33.0 - at * at), 1e-11);
    }
}

static void
test_bad (void **state)
{
  (void) state;
  const double z[] = { 0, 40 };
  const double r[] = { 30, 60 };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (z, r, 2, NULL);
  double ml = 77.0;
  GError *error = NULL;
  const RhyInside thick = { .wall_mm = 40, .floor_mm = NAN, .fill_mm = NAN };
  assert_false (rhy_wall_capacity (wall, &thick, &ml, &error));
  /* The narrowest ring is the base's. */
  assert_non_null (strstr (error->message, "40 mm thick leaves no room at height 0 mm, where the radius is 30 mm"));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  const RhyInside high = { .wall_mm = 0, .floor_mm = 50, .fill_mm = NAN };
  assert_false (rhy_wall_capacity (wall, &high, &ml, &error));
  assert_non_null (strstr (error->message, "floor at height 50 mm: it must lie below the brim at 40 mm"));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_false (rhy_wall_fill_height (wall, &high, 1.0, &ml, &error));
  assert_non_null (strstr (error->message, "floor at height 50 mm"));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  const RhyInside negative = { .wall_mm = -1, .floor_mm = NAN, .fill_mm = NAN };
  assert_false (rhy_wall_capacity (wall, &negative, &ml, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  const RhyInside over = { .wall_mm = 0, .floor_mm = 0, .fill_mm = 41 };
  assert_false (rhy_wall_capacity (wall, &over, &ml, &error));
  assert_non_null (strstr (error->message, "brim at 40 mm"));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_false (rhy_wall_fill_height (wall, NULL, 1e6, &ml, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_false (rhy_wall_fill_height (wall, NULL, NAN, &ml, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
  assert_near (ml, 77.0, 0.0);

  double d, h;
  const char *const codes[] = { "", "211", "211x", "211x41", "211x4133", "216x413", "2a1x413", "211-413", "000x413" };
  for (gsize i = 0; i < G_N_ELEMENTS (codes); i++)
    {
      assert_false (rhy_can_code_parse (codes[i], &d, &h, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_straight_mug),
    cmocka_unit_test (test_cone_keeps_its_thickness),
    cmocka_unit_test (test_level_in_a_cone),
    cmocka_unit_test (test_level_at_the_ends),
    cmocka_unit_test (test_kink_is_mitred),
    cmocka_unit_test (test_arcs_keep_their_centre),
    cmocka_unit_test (test_bad),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
