/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/section.h>

enum { W = 420, H = 320 };

static RhySection *
section_of (const char *text, double volume_ml)
{
  GError *error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (text, -1, NULL, &error);
  assert_no_error (error);
  RhySection *section = rhy_section_new (job, volume_ml, &error);
  assert_no_error (error);
  return section;
}

#define CONE "[Vessel]\nHeights=0;46;92\nDiameters=74;81;88\n"

static void
test_words (void **state)
{
  (void) state;
  RhySectionLook look = RHY_SECTION_LOOK_INIT;
  g_autoptr (RhySection) cone = section_of (CONE "[Zone grip]\nKind=handle\nFrom=20\nTo=70\n", 0.0);
  g_autofree char *plain = rhy_section_describe (cone, &look);
  assert_string_equal (plain, "Section: 3 readings, 92.0 mm high, 74.0 mm to 88.0 mm across; grip from 20.0 mm to 70.0 mm");
  assert_null (rhy_section_describe_level (cone, &look));
  assert_true (isnan (rhy_section_get_level (cone)));
  look.marked = 1;
  g_autofree char *marked = rhy_section_describe (cone, &look);
  assert_non_null (strstr (marked, "; reading 2: 46.0 mm up, 81.0 mm across"));
  g_autoptr (RhySection) lined = section_of (CONE "FillHeight=80\n", 0.0);
  look.marked = -1;
  g_autofree char *with_line = rhy_section_describe (lined, &look);
  assert_string_equal (with_line, "Section: 3 readings, 92.0 mm high, 74.0 mm to 88.0 mm across; fill line at 80.0 mm");
  look.marked = 3;
  g_autofree char *beyond = rhy_section_describe (cone, &look);
  assert_string_equal (beyond, plain);
}

/* pi 36^2 mm^2 takes 250 ml to 250000 / 4071.504 = 61.4 mm above a floor at 6. */
static void
test_level (void **state)
{
  (void) state;
  const RhySectionLook look = RHY_SECTION_LOOK_INIT;
  const char *mug = "[Vessel]\nHeights=0;95\nDiameters=80;80\nWallThickness=4\nFloor=6\n";
  g_autoptr (RhySection) half = section_of (mug, 250.0);
  assert_near (rhy_section_get_level (half), 6.0 + 250000.0 / (G_PI * 36.0 * 36.0), 1e-9);
  g_autofree char *said = rhy_section_describe_level (half, &look);
  assert_string_equal (said, "250 ml stand 67.4 mm above the base.");
  /* It holds 4071.504 mm^2 times 89 mm: 362.4 ml. */
  g_autoptr (RhySection) over = section_of (mug, 400.0);
  assert_true (isnan (rhy_section_get_level (over)));
  g_autofree char *why = rhy_section_describe_level (over, &look);
  assert_non_null (strstr (why, "362.4 ml"));
}

static void
test_no_wall (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (CONE "Profile=not-there.csv\n", -1, NULL, &error);
  assert_no_error (error);
  assert_null (rhy_section_new (job, 0.0, &error));
  assert_non_null (strstr (error->message, "not-there.csv"));
  g_clear_error (&error);
}

typedef struct { guint8 *pixels; int width, height; } Picture;

static Picture
picture_of (const RhySection *section, const RhySectionLook *look)
{
  Picture p = { .width = (int) (W * look->scale), .height = (int) (H * look->scale) };
  p.pixels = g_malloc ((gsize) p.width * (gsize) p.height * 4);
  memset (p.pixels, 0x55, (gsize) p.width * (gsize) p.height * 4);
  rhy_section_render (section, look, p.pixels, p.width, p.height, p.width * 4);
  return p;
}

/* Alpha of the strongest pixel within one of a place of the section. */
static int
alpha_at (const RhySection *section, const RhySectionLook *look, const Picture *p, double z, double r)
{
  double x, y;
  int most = 0;
  rhy_section_locate (section, look, p->width, p->height, z, r, &x, &y);
  for (int dy = -1; dy <= 1; dy++)
    for (int dx = -1; dx <= 1; dx++)
      most = MAX (most, p->pixels[4 * (((int) floor (y) + dy) * p->width + (int) floor (x) + dx) + 3]);
  return most;
}

/* The wall stands where the cone's line is, and nowhere inside; the same at double scale. */
static void
test_wall_is_drawn (void **state)
{
  (void) state;
  g_autoptr (RhySection) cone = section_of (CONE, 0.0);
  for (double scale = 1.0; scale <= 2.0; scale += 1.0)
    {
      RhySectionLook look = RHY_SECTION_LOOK_INIT;
      look.scale = scale;
      const Picture p = picture_of (cone, &look);
      for (double z = 5.0; z < 90.0; z += 7.0)
        {
          const double r = 37.0 + 7.0 * z / 92.0;
          assert_true (alpha_at (cone, &look, &p, z, r) > 200);
          assert_true (alpha_at (cone, &look, &p, z, -r) > 200);
          assert_int_equal (alpha_at (cone, &look, &p, z, 0.5 * r), 0);
        }
      g_free (p.pixels);
    }
}

/* One mm is as long up as across, and the axis in the middle. */
static void
test_true_to_scale (void **state)
{
  (void) state;
  const RhySectionLook look = RHY_SECTION_LOOK_INIT;
  g_autoptr (RhySection) cone = section_of (CONE, 0.0);
  double x0, y0, x1, y1, x2, y2;
  rhy_section_locate (cone, &look, W, H, 10.0, -20.0, &x0, &y0);
  rhy_section_locate (cone, &look, W, H, 10.0, 20.0, &x1, &y1);
  rhy_section_locate (cone, &look, W, H, 50.0, 0.0, &x2, &y2);
  assert_near (y0, y1, 1e-9);
  assert_near (x1 - x0, y0 - y2, 1e-9);
  assert_near (x2, 0.5 * (x0 + x1), 1e-9);
  assert_true (x0 > 0.0 && x1 < W && y2 > 0.0 && y0 < H);
}

static void
test_a_thick_wall_is_cut (void **state)
{
  (void) state;
  const RhySectionLook look = RHY_SECTION_LOOK_INIT;
  g_autoptr (RhySection) thick = section_of ("[Vessel]\nHeights=0;95\nDiameters=80;80\nWallThickness=8\nFloor=12\n", 0.0);
  const Picture p = picture_of (thick, &look);
  /* Outside, inside, floor: a line of 1.2 pixels leaves at least half on one. */
  assert_true (alpha_at (thick, &look, &p, 50.0, 40.0) > 127);
  assert_true (alpha_at (thick, &look, &p, 50.0, 32.0) > 127);
  assert_true (alpha_at (thick, &look, &p, 12.0, 10.0) > 127);
  assert_int_equal (alpha_at (thick, &look, &p, 50.0, 20.0), 0);
  g_free (p.pixels);
}

/* However long, figures keep off the picture's edges. */
static void
test_figures_are_not_cut_off (void **state)
{
  (void) state;
  RhySectionLook look = RHY_SECTION_LOOK_INIT;
  static const char *const jobs[] = {
    "[Vessel]\nHeights=0;171.8\nDiameters=155;155\n",
    "[Vessel]\nHeights=0;1171.8\nDiameters=1155;1155\n",
    "[Vessel]\nHeights=0;10\nDiameters=300;300\n",
    "[Vessel]\nHeights=0;1500\nDiameters=30;20\n",
  };
  look.marked = 1;
  for (gsize i = 0; i < G_N_ELEMENTS (jobs); i++)
    {
      g_autoptr (RhySection) section = section_of (jobs[i], 50.0);
      const Picture p = picture_of (section, &look);
      for (int y = 0; y < p.height - 20; y++)   /* the small print begins at the edge */
        {
          assert_int_equal (p.pixels[4 * (y * p.width) + 3], 0);
          assert_int_equal (p.pixels[4 * (y * p.width + p.width - 1) + 3], 0);
        }
      for (int x = 0; x < p.width; x++)
        assert_int_equal (p.pixels[4 * x + 3], 0);
      g_free (p.pixels);
    }
}

/* Below 60 mm there is colour, above it none. */
static void
test_liquid_ends_at_its_level (void **state)
{
  (void) state;
  const RhySectionLook look = RHY_SECTION_LOOK_INIT;
  g_autoptr (RhySection) mug = section_of ("[Vessel]\nHeights=0;100\nDiameters=80;80\n", G_PI * 1.6 * 60.0);
  assert_near (rhy_section_get_level (mug), 60.0, 1e-9);
  const Picture p = picture_of (mug, &look);
  assert_true (alpha_at (mug, &look, &p, 30.0, 30.0) > 30);
  assert_true (alpha_at (mug, &look, &p, 60.0, 30.0) > 200);
  assert_int_equal (alpha_at (mug, &look, &p, 66.0, 30.0), 0);
  g_free (p.pixels);
}

static void
test_readings_are_picked (void **state)
{
  (void) state;
  const RhySectionLook look = RHY_SECTION_LOOK_INIT;
  g_autoptr (RhySection) cone = section_of (CONE, 0.0);
  const double r[] = { 37.0, 40.5, 44.0 };
  double x, y;
  for (int i = 0; i < 3; i++)
    {
      rhy_section_locate (cone, &look, W, H, 46.0 * i, r[i], &x, &y);
      assert_int_equal (rhy_section_pick (cone, &look, W, H, x + 4.0, y - 3.0), i);
      assert_int_equal (rhy_section_pick (cone, &look, W, H, x + 40.0, y), -1);
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_words),          cmocka_unit_test (test_level),
    cmocka_unit_test (test_no_wall),        cmocka_unit_test (test_wall_is_drawn),
    cmocka_unit_test (test_true_to_scale),  cmocka_unit_test (test_a_thick_wall_is_cut),
    cmocka_unit_test (test_figures_are_not_cut_off),
    cmocka_unit_test (test_liquid_ends_at_its_level), cmocka_unit_test (test_readings_are_picked),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
