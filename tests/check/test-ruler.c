/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "profiles.h"

#include <rhyton/ruler.h>

static void
compare (const CsvRow *row, const RhyWall *wall, RhyWallPoint from, RhyWallPoint to, double extra)
{
  RhyRuler ruler;
  GError *error = NULL;
  if (!rhy_ruler_between (wall, from, to, &ruler, &error))
    fail_msg ("%s: %s", row->fields[0], error->message);
  csv_check_within (row, "out_distance_mm", ruler.distance_mm, extra);
  csv_check_within (row, "out_azimuth1_rad", ruler.azimuth_from_rad, extra);
  csv_check_within (row, "out_azimuth2_rad", ruler.azimuth_to_rad, extra);
  if (csv_column (row, "out_min_r_mm") >= 0)
    csv_check (row, "out_min_r_mm", ruler.narrowest_mm);

  /* The tape the other way round is as long. */
  RhyRuler back;
  assert_true (rhy_ruler_between (wall, to, from, &back, NULL));
  assert_near (back.distance_mm, ruler.distance_mm, 1e-9);
}

static void
check_ruler (const CsvRow *row)
{
  const RhyWallPoint from = { csv_number (row, "in_s1_mm"), csv_number (row, "in_theta1_rad") };
  const RhyWallPoint to = { csv_number (row, "in_s2_mm"), csv_number (row, "in_theta2_rad") };
  const double length = MAX (MAX (from.s, to.s), 1.0);
  const double p1 = csv_number (row, "in_p1");
  g_autoptr (RhyWall) wall = NULL;
  if (csv_is (row, "in_surface", "cylinder"))
    wall = cone_wall (p1, 0.0, length);
  else if (csv_is (row, "in_surface", "cone"))
    wall = cone_wall (p1, csv_number (row, "in_p2"), length);
  else if (csv_is (row, "in_surface", "sphere"))
    wall = sphere_wall (p1, csv_number (row, "in_p2"), length);
  else
    wall = arc_wall (p1, csv_number (row, "in_p2"), csv_number (row, "in_p3"), csv_number (row, "in_p4"), length);
  compare (row, wall, from, to, 0.0);
}

/* A spheroid stands as 2,000 biarcs, nowhere farther off than chain_error() says. A
 * surface moved by d along its normal changes the length of a line on it by d times
 * its normal curvature, at most 1/20 mm here, per mm; directions by as much. */
static void
check_spheroid (const CsvRow *row)
{
  const double a = csv_number (row, "in_a_mm");
  const double b = csv_number (row, "in_b_mm");
  const Station low = spheroid_at (a, b, RAD (-85));
  g_autoptr (RhyWall) wall = spheroid_wall (a, b, RAD (-85), RAD (85), 2000);
  RhyRing from, to;
  assert_true (rhy_wall_at_height (wall, spheroid_at (a, b, RAD (csv_number (row, "in_lat1_deg"))).z - low.z, &from));
  assert_true (rhy_wall_at_height (wall, spheroid_at (a, b, RAD (csv_number (row, "in_lat2_deg"))).z - low.z, &to));
  double distance, slope;
  chain_error (wall, &distance, &slope);
  compare (row, wall, (RhyWallPoint) { from.s_mm, 0.0 }, (RhyWallPoint) { to.s_mm, RAD (csv_number (row, "in_dtheta_deg")) },
           distance * (1.0 + csv_number (row, "out_distance_mm") / 20.0));
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "ruler.csv", check_ruler },
    { "ruler_spheroid.csv", check_spheroid },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
