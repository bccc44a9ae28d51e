/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/rollers.h>

#include <math.h>

/* The work's axis, a roller's axis and the middle between the rollers make a right triangle:
 * hypotenuse r + roller, one side half of what is between the rollers' axes. */
double
rhy_rollers_seat (double r_mm,
                  double roller_mm,
                  double gap_mm)
{
  const double ratio = (0.5 * gap_mm + roller_mm) / (r_mm + roller_mm);
  return ratio >= 0.0 && ratio < 1.0 ? asin (ratio) : NAN;
}

double
rhy_rollers_gap (double r_mm,
                 double roller_mm,
                 double seat_rad)
{
  return 2.0 * ((r_mm + roller_mm) * sin (seat_rad) - roller_mm);
}

double
rhy_rollers_axis (double r_mm,
                  double roller_mm,
                  double gap_mm)
{
  return (r_mm + roller_mm) * cos (rhy_rollers_seat (r_mm, roller_mm, gap_mm));
}

/* Source: derived here. The axis lies as high over the rollers as each end's radius makes it, so it
 * climbs by atan (dh/dz) between the ends. Turning by one turn about an axis that dips by t, a point at
 * radius r and angle a from straight down moves along the rollers by the rate w sin t r sin a, forwards on
 * one side and backwards on the other: 2 pi r sin a sin t per turn. A ring of radius r' runs at r'/r
 * times the speed of the ring that drives.
 */
RhyRolling
rhy_rollers_rolling (const RhyWall *wall,
                     double         contact_s_mm,
                     double         s_low_mm,
                     double         s_high_mm,
                     double         roller_mm,
                     double         gap_mm)
{
  g_return_val_if_fail (wall != NULL, ((RhyRolling) { NAN, NAN, NAN }));

  const RhyRing contact = rhy_wall_at (wall, contact_s_mm);
  const RhyRing low = rhy_wall_at (wall, s_low_mm);
  const RhyRing high = rhy_wall_at (wall, s_high_mm);
  const double seat = rhy_rollers_seat (contact.r_mm, roller_mm, gap_mm);
  const double rise = rhy_rollers_axis (high.r_mm, roller_mm, gap_mm) - rhy_rollers_axis (low.r_mm, roller_mm, gap_mm);
  const double climb = high.z_mm > low.z_mm ? atan2 (rise, high.z_mm - low.z_mm) : 0.0;
  const double widest = rhy_wall_widest (wall, s_low_mm, s_high_mm).r_mm;
  const double narrowest = rhy_wall_narrowest (wall, s_low_mm, s_high_mm).r_mm;
  return (RhyRolling) {
    .climb_rad = climb,
    .walk_mm = 2.0 * G_PI * contact.r_mm * sin (seat) * fabs (sin (climb)),
    .slip = MAX (widest / contact.r_mm - 1.0, 1.0 - narrowest / contact.r_mm),
  };
}
