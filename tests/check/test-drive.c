/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "lays.h"

#include <rhyton/drive.h>

static RhyMap *
drive_or_fail (RhyWall *wall, RhyWallPoint mark, double travel, double tilt)
{
  const RhyDriveOptions options = {
    .mark = mark, .travel_per_turn_mm = travel, .tilt_rad = tilt, .axis = RHY_AXIS_X, .mouth = RHY_MOUTH_PLUS,
  };
  GError *error = NULL;
  RhyMap *drive = rhy_drive_new (wall, &options, &error);
  assert_no_error (error);
  return drive;
}

static void
check_chuck (const CsvRow *row)
{
  const double s = csv_number (row, "in_s_mm");
  const double s_level = csv_number (row, "in_s_level_mm");
  const double tau = csv_number (row, "in_tau_rad");
  g_autoptr (RhyWall) wall = drive_row_wall (row, MAX (s, s_level));
  const RhyRing ring = rhy_wall_at (wall, s);
  csv_check (row, "out_z_mm", ring.z_mm);
  csv_check (row, "out_r_mm", ring.r_mm);
  csv_check (row, "out_beta_rad", ring.slope_rad);
  csv_check (row, "out_X_mm", rhy_drive_travel (wall, tau, 0.0, s));
  csv_check (row, "out_height_mm", rhy_drive_focus (wall, tau, s_level, s));

  g_autoptr (RhyMap) drive = drive_or_fail (wall, (RhyWallPoint) { 0.0, 0.0 }, csv_number (row, "in_T_mm"), tau);
  RhyPoint bed, back;
  assert_true (rhy_map_point (drive, (RhyPoint) { s, csv_number (row, "in_theta_rad") }, &bed));
  csv_check (row, "out_X_mm", bed.x);
  csv_check (row, "out_Y_mm", bed.y);
  assert_true (rhy_map_point_inverse (drive, bed, &back));
  assert_near (back.x, s, 1e-9);
  assert_near (back.y, csv_number (row, "in_theta_rad"), 1e-11);
}

/* A drawing put on the bed with no lay: stretch of the way from bed to wall. */
static void
check_stretch (const CsvRow *row)
{
  const double s = csv_number (row, "in_s_mm");
  g_autoptr (RhyWall) wall = drive_row_wall (row, s);
  g_autoptr (RhyMap) drive = drive_or_fail (wall, (RhyWallPoint) { 0.0, 0.0 }, csv_number (row, "in_T_mm"), csv_number (row, "in_tau_rad"));
  g_autoptr (RhyMap) bare = rhy_map_new_inverse (drive);
  RhyPoint bed;
  assert_true (rhy_map_point (drive, (RhyPoint) { s, 0.25 }, &bed));
  double s_back, angle;
  RhyJacobian j;
  assert_int_equal (rhy_map_jacobian (bare, 1, &bed.x, &bed.y, &s_back, &angle, &j, NULL), 0);

  const RhyRing ring = rhy_wall_at (wall, s);
  const RhyStretch stretch = rhy_stretch_from_jacobian (j, ring.r_mm);
  csv_check (row, "out_r_mm", ring.r_mm);
  csv_check (row, "out_beta_rad", ring.slope_rad);
  csv_check (row, "out_sigma_theta", ring.r_mm * j.yy);
  csv_check (row, "out_sigma_s", j.xx);
  csv_check (row, "out_area_scale", stretch.area);
  csv_check (row, "out_omega_rad", stretch.angle_rad);
}

/* Made for one tilt and run at another. */
static void
check_wrong_tilt (const CsvRow *row)
{
  const double beta = csv_number (row, "in_beta_rad");
  const double L = csv_number (row, "in_length_mm");
  const double tau_set = csv_number (row, "in_tau_set_rad");
  const double tau_true = csv_number (row, "in_tau_true_rad");
  g_autoptr (RhyWall) wall = cone_wall (100.0, beta, 1.2 * L);
  g_autoptr (RhyMap) made = drive_or_fail (wall, (RhyWallPoint) { 0.0, 0.0 }, 200.0, tau_set);
  g_autoptr (RhyMap) run = drive_or_fail (wall, (RhyWallPoint) { 0.0, 0.0 }, 200.0, tau_true);
  RhyPoint bed, printed;
  assert_true (rhy_map_point (made, (RhyPoint) { L, 0.0 }, &bed));
  csv_check (row, "out_X_mm", bed.x);
  assert_true (rhy_map_point_inverse (run, bed, &printed));
  csv_check (row, "out_printed_mm", printed.x);
  csv_check (row, "out_ratio", printed.x / L);
  csv_check (row, "out_error_mm", printed.x - L);
  csv_check (row, "out_height_end_mm", rhy_drive_focus (wall, tau_true, 0.0, printed.x));
}

/* Focus along an arc that is levelled at its middle. */
static void
check_focus (const CsvRow *row)
{
  const double rho = csv_number (row, "in_rho_mm");
  const double half = csv_number (row, "in_half_length_s_mm");
  const double drop = csv_number (row, "in_allowed_drop_mm");
  const double sign = csv_is (row, "in_profile", "barrel") ? 1.0 : -1.0;
  const double reach = 1.2 * MAX (half, csv_number (row, "out_half_s_for_drop_mm"));
  g_autoptr (RhyWall) wall = arc_wall (sign > 0.0 ? 500.0 - rho : 100.0 + rho, rho, sign, -reach / rho, 2.0 * reach);
  csv_check (row, "out_height_end_mm", rhy_drive_focus (wall, 0.0, reach, reach + half));
  csv_check (row, "out_height_end_mm", rhy_drive_focus (wall, 0.0, reach, reach - half));
  csv_check (row, "out_X_end_mm", rhy_drive_travel (wall, 0.0, reach, reach + half));

  /* how far from the middle the top line may go before it has dropped or risen so much */
  double low = 0.0, high = reach;
  for (int i = 0; i < 100; i++)
    {
      const double mid = 0.5 * (low + high);
      if (fabs (rhy_drive_focus (wall, 0.0, reach, reach + mid)) < drop)
        low = mid;
      else
        high = mid;
    }
  csv_check (row, "out_half_s_for_drop_mm", low);
  csv_check (row, "out_half_X_for_drop_mm", rhy_drive_travel (wall, 0.0, reach, reach + low));

  double least, greatest;
  rhy_drive_focus_range (wall, 0.0, reach, reach - half, reach + half, &least, &greatest);
  csv_check (row, "out_height_end_mm", sign > 0.0 ? least : greatest);
  assert_near (sign > 0.0 ? greatest : least, 0.0, 1e-11);
}

/* Rollers drive by the ring that they touch. */
static void
check_roller (const CsvRow *row)
{
  const double contact = csv_number (row, "in_r_contact_mm");
  const double r = csv_number (row, "in_r_print_mm");
  const double w = csv_number (row, "in_width_mm");
  const double T = 2.0 * G_PI * contact;
  csv_check (row, "out_T_mm", T);

  g_autoptr (RhyWall) wall = cone_wall (r, 0.0, 10.0);
  g_autoptr (RhyMap) drive = drive_or_fail (wall, (RhyWallPoint) { 5.0, 0.0 }, T, 0.0);
  g_autoptr (RhyMap) lay = lay_or_fail (wall, RHY_LAY_ROLLED, 5.0, 0.0);
  RhyPoint at, bed;
  assert_true (rhy_map_point (lay, (RhyPoint) { w, 0.0 }, &at));
  csv_check (row, "out_theta_for_w_rad", at.y);
  assert_true (rhy_map_point (drive, at, &bed));
  csv_check (row, "out_Y_for_w_mm", bed.y);
  assert_true (rhy_map_point_inverse (drive, (RhyPoint) { 0.0, w }, &at));
  csv_check (row, "out_printed_if_Y_equals_w_mm", r * at.y);
  csv_check (row, "out_ratio", r * at.y / w);
}

/* A machine that believes one travel per turn and has another: what a width comes to,
 * and what a whole turn leaves over, both through the drive. */
static void
check_calibration (const CsvRow *row)
{
  const double D = csv_number (row, "in_diameter_mm");
  const double T_set = csv_number (row, "in_T_set_mm");
  const double T_true = csv_number (row, "out_T_true_mm");
  const double w = csv_number (row, "in_nominal_width_mm");
  g_autoptr (RhyWall) wall = cone_wall (0.5 * D, 0.0, 10.0);
  g_autoptr (RhyMap) lay = lay_or_fail (wall, RHY_LAY_ROLLED, 5.0, 0.0);
  g_autoptr (RhyMap) believed = drive_or_fail (wall, (RhyWallPoint) { 5.0, 0.0 }, T_set, 0.0);
  g_autoptr (RhyMap) real = drive_or_fail (wall, (RhyWallPoint) { 5.0, 0.0 }, T_true, 0.0);
  const double widths[] = { w, G_PI * D };
  double printed[2], angle[2];
  for (gsize i = 0; i < 2; i++)
    {
      RhyPoint at, bed, burnt;
      assert_true (rhy_map_point (lay, (RhyPoint) { widths[i], 0.0 }, &at));
      assert_true (rhy_map_point (believed, at, &bed));
      assert_true (rhy_map_point_inverse (real, bed, &burnt));
      printed[i] = 0.5 * D * burnt.y;
      angle[i] = burnt.y;
    }
  csv_check (row, "out_printed_mm", printed[0]);
  csv_check (row, "out_ratio", printed[0] / w);
  csv_check (row, "out_full_turn_printed_mm", printed[1]);
  csv_check (row, "out_overrun_rad", angle[1] - 2.0 * G_PI);
  assert_near (printed[1] - G_PI * D, csv_number (row, "in_overrun_mm"), 1e-11);
}

/* Art through a lay and a tilted drive. */
static void
check_pipeline (const CsvRow *row)
{
  const double s0 = csv_number (row, "in_s0_mm");
  const double tau = csv_number (row, "in_tau_rad");
  g_autoptr (RhyWall) wall = cone_wall (csv_number (row, "in_r_base_mm"), csv_number (row, "in_beta_rad"),
                                        MAX (s0, csv_number (row, "out_s_mm")));
  g_autoptr (RhyMap) lay = lay_or_fail (wall, row_kind (row), s0, csv_number (row, "in_theta0_rad"));
  g_autoptr (RhyMap) drive = drive_or_fail (wall, (RhyWallPoint) { 0.0, 0.0 }, csv_number (row, "in_T_mm"), tau);
  g_autoptr (RhyMap) whole = rhy_map_new_chain (lay, drive);
  const RhyPoint art = { csv_number (row, "in_u_mm"), csv_number (row, "in_v_mm") };
  RhyPoint at, bed, back;
  assert_true (rhy_map_point (lay, art, &at));
  csv_check (row, "out_s_mm", at.x);
  csv_check (row, "out_theta_rad", at.y);
  assert_true (rhy_map_point (whole, art, &bed));
  csv_check (row, "out_X_mm", bed.x);
  csv_check (row, "out_Y_mm", bed.y);
  csv_check (row, "out_height_mm", rhy_drive_focus (wall, tau, s0, at.x));
  assert_true (rhy_map_point_inverse (whole, bed, &back));
  assert_near (back.x, art.x, 1e-9);
  assert_near (back.y, art.y, 1e-9);
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "drive_chuck.csv", check_chuck },
    { "drive_stretch.csv", check_stretch },
    { "drive_wrong_tilt.csv", check_wrong_tilt },
    { "focus_arc.csv", check_focus },
    { "drive_roller.csv", check_roller },
    { "drive_calibration.csv", check_calibration },
    { "pipeline_cone.csv", check_pipeline },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
