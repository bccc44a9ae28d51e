/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "profiles.h"

#include <rhyton/lay.h>
#include <rhyton/stretch.h>

static RhyWall *
row_wall (const CsvRow *row, double length, double *distance, double *slope)
{
  const double p1 = csv_number (row, "in_p1");
  const double p2 = csv_number_or (row, "in_p2", 0.0);
  *distance = *slope = 0.0;
  if (csv_is (row, "in_surface", "sphere"))
    return sphere_wall (p1, p2, length);
  if (!csv_is (row, "in_surface", "spheroid"))
    return cone_wall (p1, p2, length);

  RhyWall *wall = spheroid_wall_to (p1, p2, csv_number (row, "in_p3"), length);
  chain_error (wall, distance, slope);
  return wall;
}

/* Where lines of sight land, and the stretch there. Cylinders, cones and spheres at
 * the row's own tolerance. A spheroid stands as biarcs: with a spot off by
 * (distance) across the line of sight it moves that much over the cosine of
 * incidence along the wall; the Jacobian goes with the wall's slope, over that
 * cosine again. */
static void
check_seen (const CsvRow *row)
{
  double off, tilt;
  g_autoptr (RhyWall) wall = row_wall (row, csv_number (row, "in_s_top_mm"), &off, &tilt);
  const double E = csv_number (row, "in_E_mm");
  const RhyLayOptions options = {
    .kind = RHY_LAY_SEEN,
    .anchor = { csv_number (row, "in_s0_mm"), csv_number (row, "in_theta0_rad") },
    .eye_distance_mm = isinf (E) ? 0.0 : E,
    .eye_height_mm = csv_number_or (row, "in_eye_height_mm", 0.0),
  };
  GError *error = NULL;
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &options, &error);
  assert_no_error (error);

  const double u = csv_number (row, "in_u_mm");
  const double v = csv_number (row, "in_v_mm");
  double s, angle;
  RhyJacobian j;
  guint8 valid;
  rhy_map_jacobian (lay, 1, &u, &v, &s, &angle, &j, &valid);
  assert_int_equal (valid, csv_is (row, "out_hit", "1"));
  if (!valid)
    return;

  const RhyRing ring = rhy_wall_at (wall, s);
  const double incidence = csv_number (row, "out_cos_incidence");
  const double moved = 4.0 * off / incidence;
  const double bent = 8.0 * (tilt + off / ring.r_mm) / (incidence * incidence);
  csv_check_within (row, "out_theta_rad", angle, moved / ring.r_mm);
  csv_check_within (row, "out_s_mm", s, moved);
  csv_check_within (row, "out_z_mm", ring.z_mm, moved);
  csv_check_within (row, "out_r_mm", ring.r_mm, moved);
  csv_check_within (row, "out_J_theta_u", ring.r_mm * j.yx, bent);
  csv_check_within (row, "out_J_theta_v", ring.r_mm * j.yy, bent);
  csv_check_within (row, "out_J_s_u", j.xx, bent);
  csv_check_within (row, "out_J_s_v", j.xy, bent);
  const RhyStretch stretch = rhy_stretch_from_jacobian (j, ring.r_mm);
  csv_check_within (row, "out_sigma1", stretch.major, bent);
  csv_check_within (row, "out_sigma2", stretch.minor, bent);
  csv_check_within (row, "out_area_scale", stretch.area, 2.0 * stretch.major * bent);
  csv_check_within (row, "out_omega_rad", stretch.angle_rad, 2.0 * bent);

  RhyPoint back;
  assert_true (rhy_map_point_inverse (lay, (RhyPoint) { s, angle }, &back));
  assert_near (back.x, u, 1e-9);
  assert_near (back.y, v, 1e-9);
}

typedef struct
{
  RhyMap *lay;
  double  s0, angle0;
} Search;

/* The last of a growing number that has an image, halved down to neighbours. */
static double
last_with_image (double low, double high, gboolean (*has) (const Search *search, double x), const Search *search)
{
  assert_true (has (search, low));
  assert_false (has (search, high));
  for (int i = 0; i < 200; i++)
    {
      const double mid = 0.5 * (low + high);
      if (mid == low || mid == high)
        break;
      if (has (search, mid))
        low = mid;
      else
        high = mid;
    }
  return low;
}

static gboolean
has_art (const Search *search, double u)
{
  RhyPoint out;
  return rhy_map_point (search->lay, (RhyPoint) { u, 0.0 }, &out);
}

static gboolean
has_wall (const Search *search, double angle)
{
  RhyPoint out;
  return rhy_map_point_inverse (search->lay, (RhyPoint) { search->s0, search->angle0 + angle }, &out);
}

/* The edge of sight: as an angle on the wall (on a cone at every height the same),
 * and as a width on the plane of the art. */
static void
check_limit (const CsvRow *row)
{
  double off, tilt;
  g_autoptr (RhyWall) wall = row_wall (row, csv_is (row, "in_surface", "sphere") ? 1.4 * csv_number (row, "in_p1") : 200.0, &off, &tilt);
  const double E = csv_number (row, "in_E_mm");
  const RhyLayOptions options = {
    .kind = RHY_LAY_SEEN,
    .anchor = { csv_number_or (row, "in_s0_mm", 70.0), 0.0 },
    .eye_distance_mm = isinf (E) ? 0.0 : E,
    .eye_height_mm = csv_number_or (row, "in_eye_height_mm", 0.0),
  };
  GError *error = NULL;
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &options, &error);
  assert_no_error (error);

  const double slants[] = { options.anchor.s, 20.0, 90.0 };
  const gboolean sphere = csv_is (row, "in_surface", "sphere");
  for (gsize i = 0; i < (sphere ? 1 : 3); i++)
    {
      const Search search = { lay, slants[i], 0.0 };
      csv_check (row, "out_theta_max_rad", last_with_image (0.0, 3.0, has_wall, &search));
      csv_check (row, "out_theta_max_rad", -last_with_image (0.0, -3.0, has_wall, &search));
    }
  const Search search = { lay, options.anchor.s, 0.0 };
  if (csv_has (row, "out_u_max_mm"))
    {
      csv_check (row, "out_u_max_mm", last_with_image (0.0, 200.0, has_art, &search));
      csv_check (row, "out_u_max_mm", -last_with_image (0.0, -200.0, has_art, &search));
    }
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "seen.csv", check_seen },
    { "seen_limits.csv", check_limit },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
