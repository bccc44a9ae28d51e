/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "lays.h"

#include <rhyton/drive.h>
#include <rhyton/unroll.h>

#ifdef HAVE_PROJ
# include <proj.h>
#endif

/* On a sphere the ringed lay is the equidistant cylindrical projection, angle-true is
 * Mercator's, area-true Lambert's cylindrical equal-area, and the conic behind
 * rolled the equidistant conic. A projection's scale goes from the surface to the
 * map: h along the meridian, k around. */
typedef struct { double h, k, areal, omega; } Scales;

static Scales
scales_from (RhyJacobian to_map, double r)
{
  const double h = hypot (to_map.xx, to_map.yx);
  const double k = hypot (to_map.xy, to_map.yy) / r;
  const double det = fabs (to_map.xx * to_map.yy - to_map.xy * to_map.yx) / r;
  const double sum = sqrt (h * h + k * k + 2.0 * det);
  const double diff = sqrt (MAX (h * h + k * k - 2.0 * det, 0.0));
  return (Scales) { h, k, det, 2.0 * asin (diff / sum) };
}

/* Of a map off the wall, at a wall point. */
static Scales
scales_at (const RhyMap *map, const RhyWall *wall, double s, double angle, RhyPoint *place)
{
  RhyJacobian j;
  RhyPoint p;
  assert_int_equal (rhy_map_jacobian (map, 1, &s, &angle, &p.x, &p.y, &j, NULL), 0);
  if (place != NULL)
    *place = p;
  return scales_from (j, rhy_wall_at (wall, s).r_mm);
}

static void
check_sphere (const CsvRow *row)
{
  const double R = csv_number (row, "in_R_mm");
  const double lat_base = csv_number (row, "in_lat_base_rad");
  const double s0 = csv_number (row, "in_s0_mm");
  g_autoptr (RhyWall) wall = sphere_wall (R, lat_base, MAX (s0, csv_number (row, "out_s_mm")));
  const RhyRing ring = check_lay_row (row, wall, no_extra);
  csv_check (row, "out_lat_rad", -ring.slope_rad);

  g_autoptr (RhyMap) lay = lay_or_fail (wall, row_kind (row), s0, csv_number (row, "in_theta0_rad"));
  g_autoptr (RhyMap) back = rhy_map_new_inverse (lay);
  const Scales scales = scales_at (back, wall, csv_number (row, "out_s_mm"), csv_number (row, "out_theta_rad"), NULL);
  csv_check (row, "out_h", scales.h);
  csv_check (row, "out_k", scales.k);
}

#define FIRST_LAT RAD (-80.0)
#define LAST_LAT RAD (85.0)

/* The equidistant conic with two standard parallels, from the wall's own radii and
 * slants: n is the radii's difference over the meridian's length between them.
 * Source: Snyder, USGS PP 1395, eqs 16-4 and 16-10. */
static RhyConic
equidistant_conic (const RhyWall *wall, double s1, double s2)
{
  const RhyRing one = rhy_wall_at (wall, s1);
  const RhyRing two = rhy_wall_at (wall, s2);
  const double n = s1 == s2 ? sin (one.slope_rad) : (two.r_mm - one.r_mm) / (s2 - s1);
  return (RhyConic) { s1, one.r_mm, n };
}

static void
check_factors (const CsvRow *row)
{
  const double R = csv_number (row, "in_R_mm");
  const double lat1 = RAD (csv_number (row, "in_lat1_deg"));
  const double lat2 = RAD (csv_number (row, "in_lat2_deg"));
  const double lat = RAD (csv_number (row, "in_lat_deg"));
  const double lon = RAD (csv_number (row, "in_lon_deg"));
  const char *name = csv_text (row, "in_proj");
  g_autoptr (RhyWall) wall = sphere_wall (R, FIRST_LAT, R * (LAST_LAT - FIRST_LAT));
  const double s1 = R * (lat1 - FIRST_LAT);
  const double s = R * (lat - FIRST_LAT);

  g_autoptr (RhyMap) map = NULL;
  if (g_str_equal (name, "eqdc"))
    {
      const RhyConic conic = equidistant_conic (wall, s1, R * (lat2 - FIRST_LAT));
      GError *error = NULL;
      map = rhy_unroll_new (wall, &conic, &error);
      assert_no_error (error);
    }
  else
    {
      const RhyLayKind kind = g_str_equal (name, "eqc") ? RHY_LAY_RINGED : g_str_equal (name, "merc") ? RHY_LAY_ANGLE_TRUE : RHY_LAY_AREA_TRUE;
      g_autoptr (RhyMap) lay = lay_or_fail (wall, kind, s1, 0.0);
      map = rhy_map_new_inverse (lay);
    }

  RhyPoint place, origin;
  const Scales scales = scales_at (map, wall, s, lon, &place);
  assert_true (rhy_map_point (map, (RhyPoint) { s1, 0.0 }, &origin));
  csv_check (row, "out_h", scales.h);
  csv_check (row, "out_k", scales.k);
  csv_check (row, "out_areal", scales.areal);
  csv_check (row, "out_sigma_theta", 1.0 / scales.k);
  csv_check (row, "out_sigma_s", 1.0 / scales.h);
  csv_check (row, "out_lay_area_scale", 1.0 / scales.areal);
  /* two equal singular values differ by the root of their rounding in this form */
  csv_check_within (row, "out_omega_rad", scales.omega, 1e-7);

  /* A trap: a chuck without tilt moves with the height, not with the slant, so on a
   * sphere the bare drive of T = 2 pi R is the equal-area cylinder about the equator
   * all by itself (Archimedes), not the equidistant one. */
  if (g_str_equal (name, "cea") && lat1 == 0.0)
    {
      const RhyDriveOptions options = { .mark = { s1, 0.0 }, .travel_per_turn_mm = 2.0 * G_PI * R };
      GError *error = NULL;
      g_autoptr (RhyMap) drive = rhy_drive_new (wall, &options, &error);
      assert_no_error (error);
      const Scales bare = scales_at (drive, wall, s, lon, NULL);
      csv_check (row, "out_h", bare.h);
      csv_check (row, "out_k", bare.k);
      csv_check (row, "out_areal", bare.areal);
    }

#ifdef HAVE_PROJ
  g_autofree char *definition = g_str_equal (name, "eqdc")
    ? g_strdup_printf ("+proj=eqdc +R=%s +lat_0=%s +lat_1=%s +lat_2=%s", csv_text (row, "in_R_mm"),
                       csv_text (row, "in_lat1_deg"), csv_text (row, "in_lat1_deg"), csv_text (row, "in_lat2_deg"))
    : g_strdup_printf ("+proj=%s +R=%s +lat_ts=%s", name, csv_text (row, "in_R_mm"), csv_text (row, "in_lat1_deg"));
  PJ_CONTEXT *context = proj_context_create ();
  PJ *proj = proj_create (context, definition);
  assert_non_null (proj);
  const PJ_COORD there = proj_trans (proj, PJ_FWD, proj_coord (lon, lat, 0.0, 0.0));
  const PJ_COORD here = proj_trans (proj, PJ_FWD, proj_coord (0.0, lat1, 0.0, 0.0));
  assert_near (place.x, there.xy.x, 1e-11 * R);
  assert_near (place.y - origin.y, there.xy.y - here.xy.y, 1e-11 * R);
  /* PROJ differentiates numerically: 3e-8 */
  const PJ_FACTORS factors = proj_factors (proj, proj_coord (lon, lat, 0.0, 0.0));
  assert_near (scales.h, factors.meridional_scale, 3e-8 * scales.h);
  assert_near (scales.k, factors.parallel_scale, 3e-8 * scales.k);
  assert_near (scales.areal, factors.areal_scale, 6e-8 * scales.areal);
  proj_destroy (proj);
  proj_context_destroy (context);
#endif
}

/* A surface by its two axes: one arc where they are equal, else biarcs. */
static RhyWall *
globe (double a, double b, double lat0, double lat1, gsize n)
{
  return a == b ? sphere_wall (a, lat0, a * (lat1 - lat0)) : spheroid_wall (a, b, lat0, lat1, n);
}

/* Printed Mercator table: y from the equator, and the scale. */
static void
check_mercator (const CsvRow *row)
{
  const double a = csv_number (row, "in_a");
  g_autoptr (RhyWall) wall = globe (a, csv_number (row, "in_b"), 0.0, RAD (csv_number (row, "in_lat_deg")), 400);
  g_autoptr (RhyMap) lay = lay_or_fail (wall, RHY_LAY_ANGLE_TRUE, 0.0, 0.0);
  g_autoptr (RhyMap) map = rhy_map_new_inverse (lay);
  RhyPoint place;
  const Scales scales = scales_at (map, wall, rhy_wall_get_length (wall), 0.0, &place);
  csv_check (row, "out_y", place.y);
  csv_check (row, "out_k", scales.k);
  /* the biarcs are good to 1e-10 of the radius, which near 85 degrees is a tenth of it */
  assert_near (place.y, csv_number (row, "exact_y"), 1e-8);
  assert_near (scales.k, csv_number (row, "exact_k"), 1e-7);
  assert_near (scales.h, scales.k, 1e-12 * scales.k);
}

/* Printed table of the equidistant conic with standard parallels 29.5 and 45.5. The
 * radius on the sheet is read off the unrolled parallel, x = rho sin (n angle). */
static void
check_conic (const CsvRow *row)
{
  /* every tenth of a degree from 22 to 53 is a station, and so exact */
  const double first = 22.0, last = 53.0, lat = csv_number (row, "in_lat_deg");
  const double a = csv_number (row, "in_a_m");
  g_autoptr (RhyWall) wall = globe (a, csv_number (row, "in_b_m"), RAD (first), RAD (last), 310);
  const gboolean sphere = rhy_wall_get_n_pieces (wall) == 1;
  double slants[3];
  const double lats[3] = { csv_number (row, "in_lat1_deg"), csv_number (row, "in_lat2_deg"), lat };
  for (gsize i = 0; i < 3; i++)
    slants[i] = sphere ? a * RAD (lats[i] - first) : rhy_wall_get_piece (wall, (gsize) lround (20.0 * (lats[i] - first)))->s_mm;

  const RhyConic conic = equidistant_conic (wall, slants[0], slants[1]);
  GError *error = NULL;
  g_autoptr (RhyMap) unroll = rhy_unroll_new (wall, &conic, &error);
  assert_no_error (error);
  RhyPoint place;
  const Scales scales = scales_at (unroll, wall, slants[2], 0.5, &place);
  const double rho = place.x / sin (fabs (conic.sine) * 0.5);
  /* One printed radius is 0.504 of its last digit from the closed form in the same
   * row: where that is so, the row allows what the print is off. */
  if (csv_has (row, "out_rho_m"))
    {
      const double exact = csv_number (row, "exact_rho_m");
      csv_check_within (row, "out_rho_m", rho, MAX (0.0, fabs (exact - csv_number (row, "out_rho_m")) - 0.5) + 1e-4);
      assert_near (rho, exact, 1e-4);
    }
  if (csv_has (row, "out_k"))
    {
      csv_check (row, "out_k", scales.k);
      assert_near (scales.k, csv_number (row, "exact_k"), 1e-10);
    }
}

/* Printed lengths of one degree: the meridian's radius of curvature is found as the
 * slant over a tenth of a degree either way (its change is quadratic: below 1 mm). A
 * wall does not reach the pole: there the last tenth degrees before it are taken. */
static void
check_degree (const CsvRow *row)
{
  const double a = csv_number (row, "in_a_m");
  const double b = csv_number (row, "in_b_m");
  const double wanted = csv_number (row, "in_lat_deg");
  const gboolean pole = wanted == 90.0;
  const double lat = RAD (pole ? 89.8 : wanted);
  const double step = RAD (0.1);
  g_autoptr (RhyWall) wall = spheroid_wall (a, b, lat - step, lat + step, 20);
  csv_check (row, "out_deg_lat_m", RAD (1.0) * rhy_wall_get_length (wall) / (2.0 * step));
  if (!pole)
    csv_check (row, "out_deg_lon_m", RAD (1.0) * rhy_wall_get_piece (wall, 20)->r_mm);
}

/* What lies between a latitude near the pole and the pole, where no wall goes: the cap
 * is flat to (0.1 degree)^2. */
typedef struct { double slant, authalic; } Quadrant;

static Quadrant
quadrant (double a, double b)
{
  const double end = RAD (89.9);
  g_autoptr (RhyWall) wall = spheroid_wall (a, b, 0.0, end, 900);
  const double L = rhy_wall_get_length (wall);
  const double r = rhy_wall_at (wall, L).r_mm;
  return (Quadrant) { L + r, rhy_wall_authalic (wall, 0.0, L) + 0.5 * r * r };
}

/* Printed auxiliary latitudes, as seconds of arc from the geodetic one: conformal from
 * the integral of ds/r, authalic from that of r ds, rectifying from the slant,
 * geocentric and parametric from radius and height. */
static void
check_auxiliary (const CsvRow *row)
{
  const double a = csv_number (row, "in_a_m");
  const double b = csv_number (row, "in_b_m");
  const double lat = RAD (csv_number (row, "in_lat_deg"));
  const double seconds = 3600.0 / RAD (1.0);
  if (lat == 0.0)
    return;     /* all are 0 there by definition, with no wall between */
  g_autoptr (RhyWall) wall = spheroid_wall (a, b, 0.0, lat, 400);
  const double L = rhy_wall_get_length (wall);
  const RhyRing ring = rhy_wall_at (wall, L);
  const Quadrant all = quadrant (a, b);
  csv_check (row, "out_conformal_arcsec", seconds * (atan (sinh (rhy_wall_isometric (wall, 0.0, L))) - lat));
  csv_check (row, "out_authalic_arcsec", seconds * (asin (rhy_wall_authalic (wall, 0.0, L) / all.authalic) - lat));
  csv_check (row, "out_rectifying_arcsec", seconds * (0.5 * G_PI * L / all.slant - lat));
  csv_check (row, "out_geocentric_arcsec", seconds * (atan2 (ring.z_mm, ring.r_mm) - lat));
  csv_check (row, "out_parametric_arcsec", seconds * (atan2 (ring.z_mm / b, ring.r_mm / a) - lat));
}

/* The numerical examples of the same book's appendix. */
static void
check_example (const CsvRow *row)
{
  const char *example = csv_text (row, "in_example");
  const char *quantity = csv_text (row, "out_quantity");
  const double a = csv_number (row, "in_a");
  const double b = csv_number (row, "in_b");
  const double lat = RAD (csv_number (row, "in_lat_deg"));
  const double lon = RAD (csv_number_or (row, "in_lon_minus_lon0_deg", 0.0));
  double found;

  if (g_str_has_prefix (example, "Mercator"))
    {
      g_autoptr (RhyWall) wall = globe (a, b, 0.0, lat, 400);
      g_autoptr (RhyMap) lay = lay_or_fail (wall, RHY_LAY_ANGLE_TRUE, 0.0, 0.0);
      g_autoptr (RhyMap) map = rhy_map_new_inverse (lay);
      RhyPoint place;
      const Scales scales = scales_at (map, wall, rhy_wall_get_length (wall), lon, &place);
      found = g_str_equal (quantity, "y") ? place.y : scales.k;
    }
  else if (g_str_has_prefix (example, "Cylindrical Equal-Area"))
    {
      assert_string_equal (quantity, "x");
      const double lat1 = RAD (csv_number (row, "in_lat1_deg"));
      g_autoptr (RhyWall) wall = globe (a, b, 0.0, MAX (lat, lat1), 400);
      g_autoptr (RhyMap) lay = lay_or_fail (wall, RHY_LAY_AREA_TRUE, a * lat1, 0.0);
      RhyPoint place;
      assert_true (rhy_map_point_inverse (lay, (RhyPoint) { a * lat, lon }, &place));
      found = place.x;
    }
  else if (g_str_has_prefix (example, "Equidistant Conic"))
    {
      const double lat1 = RAD (csv_number (row, "in_lat1_deg"));
      const double lat2 = RAD (csv_number (row, "in_lat2_deg"));
      const double lat0 = RAD (csv_number (row, "in_lat0_deg"));
      g_autoptr (RhyWall) wall = globe (a, b, 0.0, RAD (60.0), 400);
      const RhyConic conic = equidistant_conic (wall, a * lat1, a * lat2);
      const double n = fabs (conic.sine);
      GError *error = NULL;
      g_autoptr (RhyMap) unroll = rhy_unroll_new (wall, &conic, &error);
      assert_no_error (error);
      RhyPoint place, origin;
      assert_true (rhy_map_point (unroll, (RhyPoint) { a * lat, lon }, &place));
      assert_true (rhy_map_point (unroll, (RhyPoint) { a * lat0, 0.0 }, &origin));
      if (g_str_equal (quantity, "n"))
        found = n;
      else if (g_str_equal (quantity, "G"))
        found = conic.r_mm / n / a + lat1;
      else if (g_str_equal (quantity, "rho"))
        found = place.x / sin (n * lon);
      else if (g_str_equal (quantity, "theta_deg"))
        found = n * lon / RAD (1.0);
      else
        found = place.y - origin.y;
    }
  else if (g_str_equal (quantity, "isometric"))
    {
      g_autoptr (RhyWall) wall = spheroid_wall (a, b, 0.0, lat, 400);
      found = rhy_wall_isometric (wall, 0.0, rhy_wall_get_length (wall));
    }
  else if (g_str_equal (quantity, "R_m"))
    {
      const double step = RAD (0.01);
      g_autoptr (RhyWall) wall = spheroid_wall (a, b, lat - step, lat + step, 2);
      found = rhy_wall_get_length (wall) / (2.0 * step);
    }
  else if (g_str_equal (quantity, "L_m"))
    {
      g_autoptr (RhyWall) wall = spheroid_wall (a, b, 0.0, lat, 400);
      found = RAD (1.0) * rhy_wall_at (wall, rhy_wall_get_length (wall)).r_mm;
    }
  else
    {
      assert_string_equal (quantity, "R_q_m");
      found = sqrt (quadrant (a, b).authalic);
    }
  csv_check (row, "out_value", found);
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "lay_sphere.csv", check_sphere },
    { "proj_factors.csv", check_factors },
    { "snyder_mercator.csv", check_mercator },
    { "snyder_equidistant_conic.csv", check_conic },
    { "snyder_degree_lengths.csv", check_degree },
    { "snyder_auxiliary_latitudes.csv", check_auxiliary },
    { "snyder_examples.csv", check_example },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
