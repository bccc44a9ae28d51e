/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* Rows of lays on any wall: art point in, wall point, Jacobian and stretch out. */

#include "profiles.h"

#include <rhyton/lay.h>
#include <rhyton/stretch.h>

static inline RhyMap *
lay_or_fail (RhyWall *wall, RhyLayKind kind, double s0, double angle0)
{
  const RhyLayOptions options = { .kind = kind, .anchor = { s0, angle0 } };
  GError *error = NULL;
  RhyMap *lay = rhy_lay_new (wall, &options, &error);
  assert_no_error (error);
  return lay;
}

static inline RhyLayKind
row_kind (const CsvRow *row)
{
  const char *name = csv_text (row, "in_lay");
  if (g_str_equal (name, "rolled") || g_str_equal (name, "tangent_cone"))
    return RHY_LAY_ROLLED;      /* with no ink to fit to, the cone tangent at the anchor */
  if (g_str_equal (name, "ringed"))
    return RHY_LAY_RINGED;
  if (g_str_equal (name, "angle_true"))
    return RHY_LAY_ANGLE_TRUE;
  assert_string_equal (name, "area_true");
  return RHY_LAY_AREA_TRUE;
}

/* What a wall that only approximates the row's profile may add. */
typedef struct { double place, scale; } Extra;

static const Extra no_extra = { 0.0, 0.0 };

/* Returns the ring where the point lands. */
static inline RhyRing
check_lay_row (const CsvRow *row, RhyWall *wall, Extra extra)
{
  const double u = csv_number (row, "in_u_mm");
  const double v = csv_number (row, "in_v_mm");
  g_autoptr (RhyMap) lay = lay_or_fail (wall, row_kind (row), csv_number (row, "in_s0_mm"), csv_number (row, "in_theta0_rad"));
  double s, angle;
  RhyJacobian j;
  assert_int_equal (rhy_map_jacobian (lay, 1, &u, &v, &s, &angle, &j, NULL), 0);
  const RhyRing ring = rhy_wall_at (wall, s);
  const RhyStretch stretch = rhy_stretch_from_jacobian (j, ring.r_mm);

  csv_check_within (row, "out_theta_rad", angle, extra.place / ring.r_mm);
  csv_check_within (row, "out_s_mm", s, extra.place);
  csv_check_within (row, "out_r_mm", ring.r_mm, extra.place);
  csv_check_within (row, "out_z_mm", ring.z_mm, extra.place);
  csv_check_within (row, "out_J_theta_u", ring.r_mm * j.yx, extra.scale);
  csv_check_within (row, "out_J_theta_v", ring.r_mm * j.yy, extra.scale);
  csv_check_within (row, "out_J_s_u", j.xx, extra.scale);
  csv_check_within (row, "out_J_s_v", j.xy, extra.scale);
  csv_check_within (row, "out_sigma1", stretch.major, extra.scale);
  csv_check_within (row, "out_sigma2", stretch.minor, extra.scale);
  csv_check_within (row, "out_area_scale", stretch.area, 2.0 * stretch.major * extra.scale);
  csv_check_within (row, "out_omega_rad", stretch.angle_rad, 2.0 * extra.scale);

  RhyPoint back;
  assert_true (rhy_map_point_inverse (lay, (RhyPoint) { s, angle }, &back));
  assert_near (back.x, u, 1e-9);
  assert_near (back.y, v, 1e-9);
  return ring;
}
