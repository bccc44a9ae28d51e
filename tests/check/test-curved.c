/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "lays.h"

/* Ringed, angle-true and area-true on spheroids and on single arcs. Arcs are exact.
 * A spheroid stands as biarcs that are off by at most (distance) between stations:
 * the integrals of ds/r and r ds over a length L then differ by less than
 * L/r times that, relative to their size, and so do places and scales. */
static void
check_curved (const CsvRow *row)
{
  const double s0 = csv_number (row, "in_s0_mm");
  const double length = MAX (s0, csv_number (row, "out_s_mm"));
  const double p1 = csv_number (row, "in_a_or_c_mm");
  const double p2 = csv_number (row, "in_b_or_rho_mm");
  const double base = csv_number (row, "in_param_base_rad");
  const gboolean spheroid = csv_is (row, "in_profile", "spheroid");
  const double sign = csv_is (row, "in_profile", "waist") ? -1.0 : 1.0;
  g_autoptr (RhyWall) wall = spheroid ? spheroid_wall_to (p1, p2, base, length + 0.5) : arc_wall (p1, p2, sign, base, length);

  Extra extra = no_extra;
  double off = 0.0, tilt = 0.0;
  if (spheroid)
    {
      const double thin = rhy_wall_narrowest (wall, 0.0, rhy_wall_get_length (wall)).r_mm;
      const double grow = 1.0 + length / thin + fabs (csv_number (row, "in_u_mm")) / thin;
      chain_error (wall, &off, &tilt);
      extra = (Extra) { grow * grow * off, grow * grow * off / thin };
      assert_true (extra.place < 1e-6);
    }
  const RhyRing ring = check_lay_row (row, wall, extra);
  csv_check_within (row, "out_beta_rad", ring.slope_rad, tilt + extra.place * fabs (ring.curvature_per_mm));
  csv_check_within (row, "out_param_rad", -sign * ring.slope_rad, tilt + extra.place * fabs (ring.curvature_per_mm));
}

int
main (void)
{
  static const CsvCheck checks[] = { { "lay_curved.csv", check_curved } };
  return csv_run (checks, G_N_ELEMENTS (checks));
}
