/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "lays.h"

#include <rhyton/unroll.h>

/* The isometric development about an anchor: forward, and back. */
static void
check_point (const CsvRow *row)
{
  const double r_base = csv_number (row, "in_r_base_mm");
  const double beta = csv_number (row, "in_beta_rad");
  const double s0 = csv_number (row, "in_s0_mm");
  const double theta0 = csv_number (row, "in_theta0_rad");
  const double s = csv_number (row, "in_s_mm");
  const double theta = csv_number (row, "in_theta_rad");
  g_autoptr (RhyWall) wall = cone_wall (r_base, beta, MAX (s0, s));
  const RhyRing ring = rhy_wall_at (wall, s);
  csv_check (row, "out_r0_mm", rhy_wall_at (wall, s0).r_mm);
  csv_check (row, "out_r_mm", ring.r_mm);
  csv_check (row, "out_z_mm", ring.z_mm);

  const RhyConic conic = rhy_conic_fit (wall, NULL, 0, s0);
  csv_check (row, "out_r0_mm", conic.r_mm);
  if (csv_has (row, "out_rho0_mm"))
    {
      csv_check (row, "out_rho0_mm", conic.r_mm / conic.sine);
      csv_check (row, "out_rho_mm", conic.r_mm / conic.sine + (s - conic.s_mm));
    }
  csv_check (row, "out_phi_rad", (theta - theta0) * conic.sine);

  /* rhy_unroll_new() puts the front at the lowest station at (0, 0); the row's flat
   * is about (s0, theta0). Turned to that angle, they differ along the front line. */
  GError *error = NULL;
  g_autoptr (RhyMap) unroll = rhy_unroll_new (wall, NULL, &error);
  assert_no_error (error);
  RhyPoint flat, anchor;
  assert_true (rhy_map_point (unroll, (RhyPoint) { s, theta - theta0 }, &flat));
  assert_true (rhy_map_point (unroll, (RhyPoint) { s0, 0.0 }, &anchor));
  assert_near (anchor.x, 0.0, 0.0);
  csv_check (row, "out_u_mm", flat.x);
  csv_check (row, "out_v_mm", flat.y - anchor.y);

  /* Rolled is the way back, as far as the sheet goes round its apex once. */
  if (fabs ((theta - theta0) * conic.sine) < 3.0)
    {
      g_autoptr (RhyMap) lay = lay_or_fail (wall, RHY_LAY_ROLLED, s0, theta0);
      RhyPoint on, off;
      assert_true (rhy_map_point_inverse (lay, (RhyPoint) { s, theta }, &off));
      csv_check (row, "out_u_mm", off.x);
      csv_check (row, "out_v_mm", off.y);
      assert_true (rhy_map_point (lay, off, &on));
      assert_near (on.x, s, 1e-11);
      assert_near (on.y * ring.r_mm, theta * ring.r_mm, 1e-11);
    }
}

static void
check_lay (const CsvRow *row)
{
  const double s0 = csv_number (row, "in_s0_mm");
  g_autoptr (RhyWall) wall = cone_wall (csv_number (row, "in_r_base_mm"), csv_number (row, "in_beta_rad"),
                                        MAX (s0, csv_number (row, "out_s_mm")));
  check_lay_row (row, wall, no_extra);
}

/* The bounding box of a frustum's sheet, laid out symmetric about its bisector. */
static void
check_sheet (const CsvRow *row)
{
  const double heights[] = { 0.0, csv_number (row, "in_height_mm") };
  const double radii[] = { 0.5 * csv_number (row, "in_d_bottom_mm"), 0.5 * csv_number (row, "in_d_top_mm") };
  if (radii[1] == 0.0)
    return;     /* a full cone is no wall: test-profile.c */
  GError *error = NULL;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (heights, radii, 2, &error);
  assert_no_error (error);
  g_autoptr (RhyMap) unroll = rhy_unroll_new (wall, NULL, &error);
  assert_no_error (error);

  const double L = rhy_wall_get_length (wall);
  const double n = fabs (sin (rhy_wall_get_piece (wall, 0)->slope_rad));
  RhyBounds box = RHY_BOUNDS_EMPTY;
  /* the edges' ends, the middles of both arcs, and where an arc is widest: a quarter
   * turn from the bisector, if it goes so far */
  const double quarter = n > 0.5 ? G_PI_2 / n : G_PI;
  const double angles[] = { -G_PI, -quarter, 0.0, quarter, G_PI };
  for (gsize i = 0; i < 2; i++)
    for (gsize k = 0; k < 5; k++)
      {
        RhyPoint p;
        assert_true (rhy_map_point (unroll, (RhyPoint) { i == 0 ? 0.0 : L, angles[k] }, &p));
        box = rhy_bounds_with (box, p.x, p.y);
      }
  csv_check (row, "out_sheet_width_mm", box.max_x - box.min_x);
  csv_check (row, "out_sheet_height_mm", box.max_y - box.min_y);
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "cone_points.csv", check_point },
    { "lay_cone.csv", check_lay },
    { "frustum.csv", check_sheet },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
