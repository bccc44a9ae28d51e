/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/exposure.h>

#include <math.h>

/* Two ways whose spreads differ by less are as good as each other: no eye sees it. */
#define SAME 0.002

#define STEPS 64

const char *
rhy_line_way_to_string (RhyLineWay way)
{
  static const char *const words[] = { "either", "axis", "turn" };
  g_return_val_if_fail (way <= RHY_LINES_TURN, NULL);
  return words[way];
}

/* Source: derived here. The drive is dx = cos (b - t) ds along the axis and dy = T / (2 pi r) times the arc
 * along the turn; energy an area goes with dx dy over ds r da. */
static double
along (const RhyWall *wall,
       double         tilt,
       double         s)
{
  return cos (rhy_wall_at (wall, s).slope_rad - tilt);
}

static double
around (const RhyWall *wall,
        double         travel,
        double         s)
{
  return travel / (2.0 * G_PI * rhy_wall_at (wall, s).r_mm);
}

double
rhy_exposure_at (const RhyWall *wall,
                 double         travel_per_turn_mm,
                 double         tilt_rad,
                 double         s_mm)
{
  g_return_val_if_fail (wall != NULL, NAN);

  return around (wall, travel_per_turn_mm, s_mm) * along (wall, tilt_rad, s_mm);
}

RhyEvenness
rhy_exposure_evenness (const RhyWall *wall,
                       double         travel_per_turn_mm,
                       double         tilt_rad,
                       double         s0_mm,
                       double         s1_mm)
{
  RhyEvenness e = { { G_MAXDOUBLE, 0.0, G_MAXDOUBLE, 0.0 }, { G_MAXDOUBLE, 0.0, G_MAXDOUBLE, 0.0 }, RHY_LINES_EITHER };
  g_return_val_if_fail (wall != NULL, e);

  for (int i = 0; i <= STEPS; i++)
    {
      const double s = s0_mm + (s1_mm - s0_mm) * i / STEPS;
      const double a = along (wall, tilt_rad, s);
      const double t = around (wall, travel_per_turn_mm, s);
      e.along_axis.distance_min = MIN (e.along_axis.distance_min, 1.0 / t);
      e.along_axis.distance_max = MAX (e.along_axis.distance_max, 1.0 / t);
      e.along_axis.energy_min = MIN (e.along_axis.energy_min, a);
      e.along_axis.energy_max = MAX (e.along_axis.energy_max, a);
      e.along_turn.distance_min = MIN (e.along_turn.distance_min, 1.0 / a);
      e.along_turn.distance_max = MAX (e.along_turn.distance_max, 1.0 / a);
      e.along_turn.energy_min = MIN (e.along_turn.energy_min, t);
      e.along_turn.energy_max = MAX (e.along_turn.energy_max, t);
    }
  const double axis = e.along_axis.distance_max / e.along_axis.distance_min;
  const double turn = e.along_turn.distance_max / e.along_turn.distance_min;
  if (fabs (axis - turn) > SAME)
    e.better = axis < turn ? RHY_LINES_AXIS : RHY_LINES_TURN;
  return e;
}
