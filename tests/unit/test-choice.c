/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/choice.h>

/* A bowl: the middle zone of a sphere of radius 50, stations on its circle. */
#define BOWL "[Vessel]\nWall=smooth\nHeights=10;20;30;40;50;60;70;80;90\n" \
             "Diameters=60;80;91.651513899116793;97.979589711327122;100;97.979589711327122;91.651513899116793;80;60\n"

static RhyLayKind
recommended (const RhyPlan *plan,
             RhyLayChoice   choices[RHY_LAY_N_KINDS])
{
  g_autofree char *reason = NULL;
  rhy_plan_compare_lays (plan, choices);
  const RhyLayKind kind = rhy_plan_recommend_lay (plan, choices, &reason);
  assert_non_null (reason);
  return kind;
}

static void
test_sheet_on_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nAt=20\n", block (20, 10));
  RhyLayChoice c[RHY_LAY_N_KINDS];
  assert_int_equal (recommended (plan, c), RHY_LAY_ROLLED);
  assert_near (c[RHY_LAY_ROLLED].stretch.major_max, 1, 1e-9);
  /* Ringed: radii 42 to 48 against 45, at heights 16 and 24. */
  assert_near (c[RHY_LAY_RINGED].stretch.major_max, 48.0 / 45.0, 1e-9);
  assert_near (c[RHY_LAY_RINGED].stretch.minor_min, 42.0 / 45.0, 1e-9);
  assert_near (c[RHY_LAY_RINGED].widest_mm, 24, 1e-6);
  assert_near (c[RHY_LAY_RINGED].narrowest_mm, 16, 1e-6);
  assert_near (c[RHY_LAY_ANGLE_TRUE].stretch.angle_max_rad, 0, 1e-6);
  assert_near (c[RHY_LAY_AREA_TRUE].stretch.area_max, 1, 1e-9);
  assert_near (c[RHY_LAY_AREA_TRUE].stretch.area_min, 1, 1e-9);
}

static void
test_band_on_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nAt=20\n", block (90, 5));
  RhyLayChoice c[RHY_LAY_N_KINDS];
  assert_int_equal (recommended (plan, c), RHY_LAY_RINGED_BALANCED);
  /* On end it is no band of lettering. */
  g_autoptr (RhyPlan) upright = good_plan (CONE "[Artwork]\nAt=20\nTurn=90\n", block (20, 5));
  assert_int_equal (recommended (upright, c), RHY_LAY_ROLLED);
  /* On a cylinder everything is level as it is. */
  g_autoptr (RhyPlan) straight = good_plan (CYLINDER, block (90, 5));
  assert_int_equal (recommended (straight, c), RHY_LAY_ROLLED);
}

static void
test_bowl (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (BOWL, block (50, 50));
  RhyLayChoice c[RHY_LAY_N_KINDS];
  const RhyLayKind kind = recommended (plan, c);
  const double worst = MAX (c[kind].stretch.major_max - 1, 1 - c[kind].stretch.minor_min);
  for (int k = 0; k < RHY_LAY_N_KINDS; k++)
    if (c[k].is_possible)
      assert_true (0.9 * worst <= MAX (c[k].stretch.major_max - 1, 1 - c[k].stretch.minor_min) + 1e-12);
  /* On a sphere ringed is the equidistant cylindrical projection: the parallel at 25 mm of arc from
   * the equator, 0.5 rad, is cos 0.5 of it (USGS PP 1395, equations 12-1 to 12-4: k = cos phi1/cos phi, here the
   * other way round, from the sheet to the sphere). */
  assert_near (c[RHY_LAY_RINGED].stretch.minor_min, cos (0.5), 2e-4);
}

static void
test_pictures_on_a_bowl (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add_rectangle (builder, -20, -20, 40, 40);
  rhy_artwork_builder_add_picture (builder, (RhyPicture) { RHY_PICTURE_IMAGE, { -20, -20, 20, 20 }, FALSE });
  rhy_artwork_builder_set_size (builder, 40, 40, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyPlan) plan = good_plan (BOWL, rhy_artwork_builder_end (builder));
  RhyLayChoice c[RHY_LAY_N_KINDS];
  assert_int_equal (recommended (plan, c), RHY_LAY_AREA_TRUE);
}

static void
test_what_does_not_fit (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Artwork]\nAt=90\n", block (20, 40));
  RhyLayChoice c[RHY_LAY_N_KINDS];
  rhy_plan_compare_lays (plan, c);
  for (int k = 0; k < RHY_LAY_N_KINDS; k++)
    assert_false (c[k].is_possible);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_sheet_on_a_cone),
    cmocka_unit_test (test_band_on_a_cone),
    cmocka_unit_test (test_bowl),
    cmocka_unit_test (test_pictures_on_a_bowl),
    cmocka_unit_test (test_what_does_not_fit),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
