/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "profiles.h"

/* Closed forms for one arc and Pappus's theorems. The two rows whose slope reaches
 * 90 degrees are no wall and must be refused; a wall whose ends stop 1e-9 rad
 * short of that is one, and misses the row's numbers by what those ends hold. */
static void
check_arc (const CsvRow *row)
{
  const double c = csv_number (row, "in_c_mm");
  const double rho = csv_number (row, "in_rho_mm");
  const double sign = csv_number (row, "in_sign");
  double p1 = csv_number (row, "in_p1_rad");
  double p2 = csv_number (row, "in_p2_rad");
  const double cut = 1e-9;
  double lost = 0.0;

  if (p2 >= G_PI_2)
    {
      GError *error = NULL;
      const RhyWallPiece whole = { .length_mm = rho * (p2 - p1), .slope_rad = -sign * p1, .curvature_per_mm = -sign / rho };
      assert_null (rhy_wall_new_pieces (0.0, MAX (c + sign * rho * cos (p1), 1.0), &whole, 1, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
      p1 += cut;
      p2 -= cut;
      lost = 2.0 * rho * cut;
    }

  g_autoptr (RhyWall) wall = arc_wall (c, rho, sign, p1, rho * (p2 - p1));
  const double L = rhy_wall_get_length (wall);
  const RhyRing low = rhy_wall_at (wall, 0.0);
  const RhyRing high = rhy_wall_at (wall, L);
  const double widest = rhy_wall_widest (wall, 0.0, L).r_mm;
  const double area = rhy_wall_area (wall, 0.0, L);
  const double volume = rhy_wall_volume (wall, 0.0, L);

  csv_check_within (row, "out_r1_mm", low.r_mm, lost);
  csv_check_within (row, "out_r2_mm", high.r_mm, lost);
  csv_check_within (row, "out_height_mm", high.z_mm - low.z_mm, lost);
  csv_check_within (row, "out_s_length_mm", L, lost);
  csv_check_within (row, "out_lateral_area_mm2", area, 2.0 * G_PI * widest * lost);
  csv_check_within (row, "out_volume_mm3", volume, G_PI * widest * widest * lost);
  csv_check_within (row, "out_arc_centroid_r_mm", area / (2.0 * G_PI * L), 2.0 * lost);
  csv_check_within (row, "out_plane_centroid_r_mm", volume / (2.0 * G_PI * csv_number (row, "out_plane_area_mm2")), 2.0 * lost);
  csv_check (row, "out_int_ds_over_r", rhy_wall_isometric (wall, 0.0, L));
}

/* The totals of straight chains. Where a profile steps sideways at one height, that
 * flat ring is no wall: it is refused, and the walls on either side with the
 * ring's own closed forms make the row. */
typedef struct
{
  double  s, z, r;     /* where a part starts */
  double  r_end;       /* a flat ring's other radius */
  RhyWall *wall;       /* NULL: a flat ring */
} Part;

static GArray *
parts_of (const CsvRow *row)
{
  g_auto (GStrv) words = g_strsplit (csv_text (row, "in_profile_z_r_mm"), ";", -1);
  const gsize n = g_strv_length (words);
  g_autofree double *z = g_new (double, n);
  g_autofree double *r = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    {
      char *end = NULL;
      z[i] = g_ascii_strtod (words[i], &end);
      r[i] = g_ascii_strtod (end, NULL);
    }

  GArray *parts = g_array_new (FALSE, FALSE, sizeof (Part));
  double s = 0.0;
  for (gsize i = 0; i + 1 < n;)
    {
      gsize last = i;
      while (last + 1 < n && z[last + 1] > z[last])
        last++;
      Part part = { s, z[i], r[i], r[i + 1], NULL };
      GError *error = NULL;
      if (last > i)
        {
          part.wall = rhy_wall_new_straight (z + i, r + i, last - i + 1, &error);
          assert_no_error (error);
          s += rhy_wall_get_length (part.wall);
          i = last;
        }
      else
        {
          assert_null (rhy_wall_new_straight (z + i, r + i, 2, &error));
          assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
          s += fabs (r[i + 1] - r[i]);
          i++;
        }
      g_array_append_val (parts, part);
    }
  return parts;
}

static void
free_parts (GArray *parts)
{
  for (guint i = 0; i < parts->len; i++)
    g_clear_pointer (&g_array_index (parts, Part, i).wall, rhy_wall_unref);
  g_array_unref (parts);
}

static void
check_polyline_totals (const CsvRow *row)
{
  GArray *parts = parts_of (row);
  double length = 0.0, area = 0.0, volume = 0.0, isometric = 0.0;
  for (guint i = 0; i < parts->len; i++)
    {
      const Part *p = &g_array_index (parts, Part, i);
      const double L = p->wall != NULL ? rhy_wall_get_length (p->wall) : fabs (p->r_end - p->r);
      length += L;
      area += p->wall != NULL ? rhy_wall_area (p->wall, 0.0, L) : G_PI * fabs (p->r_end * p->r_end - p->r * p->r);
      volume += p->wall != NULL ? rhy_wall_volume (p->wall, 0.0, L) : 0.0;
      isometric += p->wall != NULL ? rhy_wall_isometric (p->wall, 0.0, L) : fabs (log (p->r_end / p->r));
    }
  csv_check (row, "out_arc_length_mm", length);
  csv_check (row, "out_lateral_area_mm2", area);
  csv_check (row, "out_volume_mm3", volume);
  csv_check (row, "out_int_ds_over_r", isometric);
  free_parts (parts);
}

static void
check_polyline_query (const CsvRow *row)
{
  GArray *parts = parts_of (row);
  const double s = csv_number (row, "in_s_mm");
  guint i = parts->len - 1;
  while (i > 0 && g_array_index (parts, Part, i).s > s)
    i--;
  const Part *p = &g_array_index (parts, Part, i);
  if (p->wall != NULL)
    {
      const RhyRing ring = rhy_wall_at (p->wall, s - p->s);
      csv_check (row, "out_z_mm", ring.z_mm);
      csv_check (row, "out_r_mm", ring.r_mm);
      csv_check (row, "out_beta_rad", ring.slope_rad);
      RhyRing back;
      assert_true (rhy_wall_at_height (p->wall, ring.z_mm, &back));
      assert_near (back.s_mm, s - p->s, csv_tolerance (row, "out_z_mm"));
    }
  free_parts (parts);
}

static void
check_frustum (const CsvRow *row)
{
  const double heights[] = { 0.0, csv_number (row, "in_height_mm") };
  const double radii[] = { 0.5 * csv_number (row, "in_d_bottom_mm"), 0.5 * csv_number (row, "in_d_top_mm") };
  GError *error = NULL;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (heights, radii, 2, &error);
  if (radii[1] == 0.0)
    {
      assert_null (wall);
      assert_error (error, RHY_ERROR, RHY_ERROR_PROFILE);
      return;
    }
  assert_no_error (error);

  const double L = rhy_wall_get_length (wall);
  const double n = sin (rhy_wall_get_piece (wall, 0)->slope_rad);
  csv_check (row, "out_beta_rad", rhy_wall_get_piece (wall, 0)->slope_rad);
  csv_check (row, "out_slant_mm", L);
  csv_check (row, "out_lateral_area_mm2", rhy_wall_area (wall, 0.0, L));
  csv_check (row, "out_volume_mm3", rhy_wall_volume (wall, 0.0, L));
  csv_check (row, "out_sector_rad", 2.0 * G_PI * fabs (n));
  csv_check (row, "out_sector_deg", 360.0 * fabs (n));
  if (n != 0.0)
    {
      csv_check (row, "out_rho_small_mm", MIN (radii[0], radii[1]) / fabs (n));
      csv_check (row, "out_rho_large_mm", MAX (radii[0], radii[1]) / fabs (n));
    }
}

/* Printed worked examples; the inputs' unit carries through. */
static void
check_cone_published (const CsvRow *row)
{
  const double r0 = 0.5 * csv_number_or (row, "in_d_bottom", 0.0);
  const double r1 = 0.5 * csv_number_or (row, "in_d_top", 0.0);
  double slope, length;
  if (csv_has (row, "in_half_angle_deg"))
    {
      slope = RAD (csv_number (row, "in_half_angle_deg"));
      length = 10.0;
    }
  else if (csv_has (row, "in_slant"))
    {
      length = csv_number (row, "in_slant");
      slope = asin ((r1 - r0) / length);
    }
  else
    {
      length = hypot (r1 - r0, csv_number (row, "in_height"));
      slope = atan2 (r1 - r0, csv_number (row, "in_height"));
    }

  /* A cone that ends in its point is no wall; one whose top is 1e-9 of its base is,
   * and what is missing is far under the last printed digit (1e-18 of the area). */
  const double base = r0 > 0.0 ? r0 : 1.0;
  const double cut = r1 > 0.0 || r0 == 0.0 ? 1.0 : 1.0 - 1e-9;
  g_autoptr (RhyWall) wall = cone_wall (base, slope, length * cut);
  const double n = fabs (sin (rhy_wall_get_piece (wall, 0)->slope_rad));
  const double L = rhy_wall_get_length (wall);

  double found;
  if (csv_is (row, "out_quantity", "rho_small"))
    found = MIN (r0, rhy_wall_at (wall, L).r_mm) / n;
  else if (csv_is (row, "out_quantity", "rho_large"))
    found = MAX (r0, rhy_wall_at (wall, L).r_mm) / n;
  else if (csv_is (row, "out_quantity", "sector_deg"))
    found = 360.0 * n;
  else if (csv_is (row, "out_quantity", "base_circumference"))
    found = 2.0 * G_PI * rhy_wall_at (wall, 0.0).r_mm;
  else if (csv_is (row, "out_quantity", "lateral_area"))
    found = rhy_wall_area (wall, 0.0, L);
  else if (csv_is (row, "out_quantity", "lateral_area_over_pi"))
    found = rhy_wall_area (wall, 0.0, L) / G_PI;
  else
    found = rhy_wall_volume (wall, 0.0, L) / G_PI;
  /* Values of hundreds printed as whole numbers are exact in the row (tol_abs 1e-12):
   * a few roundings of 2e-16 of them are added. */
  csv_check_within (row, "out_value", found, 4e-16 * fabs (found) * 4.0);
}

/* A paraboloid of revolution, r^2 = 2 q z, between two heights, as biarcs. */
static RhyWall *
paraboloid_wall (double q, double z0, double z1, gsize n)
{
  g_autoptr (GArray) pieces = g_array_new (FALSE, FALSE, sizeof (RhyWallPiece));
  Station from = { sqrt (2.0 * q * z0), z0, 0.0 };
  const double base = from.r;
  from.slope = atan2 (q, from.r);
  for (gsize i = 1; i <= n; i++)
    {
      /* equal steps of the radius, which the curve near its point needs */
      const double r = base + (sqrt (2.0 * q * z1) - base) * (double) i / (double) n;
      const Station to = { r, r * r / (2.0 * q), atan2 (q, r) };
      append_biarc (pieces, from, to);
      from = to;
    }
  return wall_or_fail (z0, base, (const RhyWallPiece *) (const void *) pieces->data, pieces->len);
}

static double
whole_volume (RhyWall *wall)
{
  const double v = rhy_wall_volume (wall, 0.0, rhy_wall_get_length (wall));
  rhy_wall_unref (wall);
  return v;
}

static void
check_handbook (const CsvRow *row)
{
  const char *example = csv_text (row, "in_example");
  const double cut = 1e-6;     /* of a radius left out at a pole: 1e-12 of a volume */
  double found;

  if (g_str_equal (example, "sphere"))
    {
      const double R = 0.5 * csv_number (row, "in_d1");
      found = whole_volume (sphere_wall (R, -G_PI_2 + cut, R * (G_PI - 2.0 * cut)));
    }
  else if (g_str_has_prefix (example, "sphere of"))
    /* volume grows with the cube of the radius */
    found = cbrt (64.0 / whole_volume (sphere_wall (1.0, -G_PI_2 + cut, G_PI - 2.0 * cut)));
  else if (g_str_has_prefix (example, "spherical segment"))
    {
      /* chord c, height h: R = (c^2/4 + h^2)/(2h), by Pythagoras; rim at latitude asin (1 - h/R) */
      const double c = csv_number (row, "in_d1");
      const double h = csv_number (row, "in_h");
      const double R = (0.25 * c * c + h * h) / (2.0 * h);
      const double lat = asin (1.0 - h / R);
      found = whole_volume (sphere_wall (R, lat, R * (G_PI_2 - cut - lat)));
    }
  else if (g_str_has_prefix (example, "paraboloid"))
    {
      const double r0 = 0.5 * csv_number_or (row, "in_d2", 0.0);
      const double r1 = 0.5 * csv_number (row, "in_d1");
      const double h = csv_number (row, "in_h");
      const double q = (r1 * r1 - r0 * r0) / (2.0 * h);
      /* starting at a radius of 1e-3 of the rim's leaves out 1e-12 of the volume */
      const double start = MAX (r0, 1e-3 * r1);
      found = whole_volume (paraboloid_wall (q, start * start / (2.0 * q), r1 * r1 / (2.0 * q), 2000));
    }
  else if (g_str_has_prefix (example, "cylinder"))
    found = whole_volume (cone_wall (0.5 * csv_number (row, "in_d1"), 0.0, csv_number (row, "in_h")));
  else if (g_str_has_prefix (example, "hollow sphere"))
    {
      /* outer diameter 8, wall 1.5 */
      const double R = 0.5 * csv_number (row, "in_d1");
      const double r = R - 1.5;
      found = whole_volume (sphere_wall (R, -G_PI_2 + cut, R * (G_PI - 2.0 * cut)))
              - whole_volume (sphere_wall (r, -G_PI_2 + cut, r * (G_PI - 2.0 * cut)));
    }
  else
    {
      /* a barrel: D in the middle, d at the ends, h high; the arc's radius by Pythagoras */
      const double D = csv_number (row, "in_d1");
      const double d = csv_number (row, "in_d2");
      const double h = csv_number (row, "in_h");
      const double sag = 0.5 * (D - d);
      const double rho = (0.25 * h * h + sag * sag) / (2.0 * sag);
      const double p = asin (0.5 * h / rho);
      found = whole_volume (arc_wall (0.5 * D - rho, rho, 1.0, -p, 2.0 * rho * p));
    }
  csv_check (row, "out_value", found);
}

/* Radius, height, slant, the integral of ds/r, zone area and volume from the
 * equator to a latitude. The wall stands for the spheroid by biarcs, so each may
 * be off by what the chain's distance does to it. */
static void
check_meridian (const CsvRow *row)
{
  const double a = csv_number (row, "in_a_mm");
  const double b = csv_number (row, "in_b_mm");
  const double lat = csv_number (row, "out_lat_rad");
  g_autoptr (RhyWall) wall = spheroid_wall (a, b, MIN (lat, 0.0), MAX (lat, 0.0), 2000);
  const double L = rhy_wall_get_length (wall);
  const double sign = lat < 0.0 ? -1.0 : 1.0;
  const RhyRing end = rhy_wall_at (wall, lat < 0.0 ? 0.0 : L);
  const RhyRing equator = rhy_wall_at (wall, lat < 0.0 ? L : 0.0);
  const double r_min = csv_number (row, "out_r_mm");
  double off, slope;
  chain_error (wall, &off, &slope);
  assert_true (off < 1e-7);

  csv_check_within (row, "out_r_mm", end.r_mm, off);
  csv_check_within (row, "out_z_from_equator_mm", end.z_mm - equator.z_mm, off);
  csv_check_within (row, "out_s_from_equator_mm", sign * L, off);
  csv_check_within (row, "out_isometric", sign * rhy_wall_isometric (wall, 0.0, L), off * L / (r_min * r_min));
  csv_check_within (row, "out_zone_area_mm2", sign * rhy_wall_area (wall, 0.0, L), 2.0 * G_PI * L * off);
  csv_check_within (row, "out_volume_from_equator_mm3", sign * rhy_wall_volume (wall, 0.0, L), 2.0 * G_PI * a * L * off);
  assert_near (end.slope_rad, -lat, 1e-10);
}

int
main (void)
{
  static const CsvCheck checks[] = {
    { "arc_profile.csv", check_arc },
    { "polyline_totals.csv", check_polyline_totals },
    { "polyline_query.csv", check_polyline_query },
    { "frustum.csv", check_frustum },
    { "cone_published.csv", check_cone_published },
    { "handbook_volumes.csv", check_handbook },
    { "spheroid_meridian.csv", check_meridian },
  };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
