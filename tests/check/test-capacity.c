/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include <string.h>

#include "profiles.h"

#include <rhyton/capacity.h>

static void
check_units (const CsvRow *row)
{
  const struct { const char *unit; double value; } units[] = {
    { "inch", RHY_MM_PER_INCH },
    { "cubic inch", RHY_ML_PER_CUBIC_INCH },
    { "US fluid ounce", RHY_ML_PER_US_FLUID_OUNCE },
    { "imperial fluid ounce", RHY_ML_PER_IMPERIAL_FLUID_OUNCE },
    { "avoirdupois ounce", RHY_G_PER_OUNCE },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (units); i++)
    if (csv_is (row, "in_unit", units[i].unit))
      {
        csv_check (row, "out_value", units[i].value);
        return;
      }
  fail_msg ("no constant for %s", csv_text (row, "in_unit"));
}

/* Sizes from the code, the cylinder they make, and the can's published capacity
 * (the weight of water it holds): that lies below the outside's, and not far. */
static void
check_can (const CsvRow *row)
{
  double d, h, ml;
  GError *error = NULL;
  assert_true (rhy_can_code_parse (csv_text (row, "in_code"), &d, &h, &error));
  assert_no_error (error);
  csv_check (row, "out_diameter_in", d / RHY_MM_PER_INCH);
  csv_check (row, "out_height_in", h / RHY_MM_PER_INCH);
  csv_check (row, "out_diameter_mm", d);
  csv_check (row, "out_height_mm", h);
  csv_check (row, "out_circumference_mm", G_PI * d);

  const double heights[] = { 0.0, h };
  const double radii[] = { 0.5 * d, 0.5 * d };
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (heights, radii, 2, &error);
  assert_no_error (error);
  assert_true (rhy_wall_capacity (wall, NULL, &ml, &error));
  csv_check (row, "out_nominal_cylinder_ml", ml);
  if (csv_has (row, "out_capacity_ml"))
    {
      const double water = csv_number (row, "pub_capacity_oz_water") * RHY_G_PER_OUNCE / 0.99821;
      csv_check (row, "out_capacity_ml", water);
      assert_true (water < ml && water > 0.75 * ml);
    }
}

/* How high a volume stands. A frustum that starts in a point starts here at a
 * radius of 1e-6 mm, a sphere 1e-9 mm above its pole (a wall has no flat place):
 * what is left out is below 1e-13 mm^3. */
static void
check_fill (const CsvRow *row)
{
  GError *error = NULL;
  g_autoptr (RhyWall) wall = NULL;
  const double ml = csv_number (row, "in_volume_ml");
  if (csv_is (row, "in_shape", "frustum"))
    {
      const double height = csv_number (row, "in_height_mm");
      const double r1 = 0.5 * csv_number (row, "in_d_top_mm");
      double r0 = 0.5 * csv_number (row, "in_d_bottom_mm");
      double z0 = 0.0;
      if (r0 == 0.0)
        {
          r0 = 1e-6;
          z0 = height * r0 / r1;
        }
      const double heights[] = { z0, height };
      const double radii[] = { r0, r1 };
      wall = rhy_wall_new_straight (heights, radii, 2, &error);
    }
  else
    {
      const double R = csv_number (row, "in_R_mm");
      const double cut = sqrt (2.0 * 1e-9 / R);
      g_autoptr (RhyWall) sphere = sphere_wall (R, -G_PI_2 + cut, R * (G_PI - 2.0 * cut));
      const RhyWallPiece piece = *rhy_wall_get_piece (sphere, 0);
      wall = rhy_wall_new_pieces (R * (1.0 - cos (cut)), R * sin (cut), &piece, 1, &error);
    }
  assert_no_error (error);

  double level;
  assert_true (rhy_wall_fill_height (wall, NULL, ml, &level, &error));
  csv_check (row, "out_level_mm", level);
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, level, &ring));
  csv_check (row, "out_radius_at_level_mm", ring.r_mm);

  const RhyInside to_level = { .wall_mm = 0.0, .floor_mm = NAN, .fill_mm = level };
  double back;
  assert_true (rhy_wall_capacity (wall, &to_level, &back, &error));
  assert_near (back, ml, 1e-12 * ml);
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "units.csv", check_units },
    { "can_codes.csv", check_can },
    { "fill_level.csv", check_fill },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
