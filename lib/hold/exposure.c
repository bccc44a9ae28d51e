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

/* ---- bands ---- */

/* So many steps over the ink; between them exposure is taken to change evenly. */
#define FINE 1024

typedef struct
{
  double s0, step;
  double e[FINE + 1];           /* log of the exposure */
} Course;

/* How far from @from, in steps, exposures keep within @range of each other. */
static double
reach (const Course *c,
       double        from,
       double        range)
{
  const guint i = (guint) MIN (floor (from), FINE - 1.0);
  const double here = c->e[i] + (from - i) * (c->e[i + 1] - c->e[i]);
  double low = here;
  double high = here;
  double last = here;
  for (guint k = i + 1; k <= FINE; k++)
    {
      const double before = MAX (from, k - 1.0);
      const double rise = c->e[k] - last;
      if (c->e[k] > low + range)
        return before + (k - before) * (low + range - last) / rise;
      if (c->e[k] < high - range)
        return before + (k - before) * (high - range - last) / rise;
      low = MIN (low, c->e[k]);
      high = MAX (high, c->e[k]);
      last = c->e[k];
    }
  return FINE;
}

/* As many bands of that range as it takes, @n at most. Returns: where the last ends. */
static double
lay_out (const Course *c,
         double        range,
         guint         n,
         double       *ends,
         guint        *n_bands)
{
  double at = 0.0;
  guint k = 0;
  while (k < n && at < FINE)
    ends[k++] = at = reach (c, at, range);
  *n_bands = k;
  return at;
}

static RhyLineBand
band_of (const RhyWall *wall,
         double         travel,
         double         tilt,
         double         s0,
         double         s1)
{
  RhyLineBand b = { s0, s1, 1.0, G_MAXDOUBLE, 0.0, G_MAXDOUBLE, 0.0, G_MAXDOUBLE, 0.0 };
  for (int i = 0; i <= STEPS; i++)
    {
      const double s = s0 + (s1 - s0) * i / STEPS;
      const double a = along (wall, tilt, s);
      const double t = around (wall, travel, s);
      b.energy_min = MIN (b.energy_min, a * t);
      b.energy_max = MAX (b.energy_max, a * t);
      b.axis_min = MIN (b.axis_min, 1.0 / t);
      b.axis_max = MAX (b.axis_max, 1.0 / t);
      b.turn_min = MIN (b.turn_min, 1.0 / a);
      b.turn_max = MAX (b.turn_max, 1.0 / a);
    }
  /* Energy an area goes with exposure over line distance: at this one its extremes lie as far above
   * as below, by ratio. */
  b.correction = sqrt (b.energy_min * b.energy_max);
  b.energy_min /= b.correction;
  b.energy_max /= b.correction;
  b.axis_min *= b.correction;
  b.axis_max *= b.correction;
  b.turn_min *= b.correction;
  b.turn_max *= b.correction;
  return b;
}

guint
rhy_exposure_bands (const RhyWall *wall,
                    double         travel_per_turn_mm,
                    double         tilt_rad,
                    double         s0_mm,
                    double         s1_mm,
                    guint          n,
                    RhyLineBand   *bands)
{
  g_return_val_if_fail (wall != NULL && bands != NULL && n >= 1 && n <= RHY_LINE_BANDS_MAX, 0);

  g_autofree Course *c = g_new (Course, 1);
  c->s0 = s0_mm;
  c->step = (s1_mm - s0_mm) / FINE;
  double low = G_MAXDOUBLE;
  double high = -G_MAXDOUBLE;
  for (guint i = 0; i <= FINE; i++)
    {
      c->e[i] = log (rhy_exposure_at (wall, travel_per_turn_mm, tilt_rad, s0_mm + i * c->step));
      low = MIN (low, c->e[i]);
      high = MAX (high, c->e[i]);
    }

  /* From one end on, each band as far as a range lets it: no other bands reach further, so the
   * least range with which @n get to the end is the least there is. */
  double ends[RHY_LINE_BANDS_MAX];
  guint n_bands = 1;
  double good = high - low;
  double bad = 0.0;
  if (good < log1p (SAME))
    n = 1;
  for (int i = 0; i < 60 && n > 1; i++)
    {
      const double range = 0.5 * (good + bad);
      *(lay_out (c, range, n, ends, &n_bands) >= FINE ? &good : &bad) = range;
    }
  lay_out (c, good, n, ends, &n_bands);
  double from = s0_mm;
  for (guint k = 0; k < n_bands; k++)
    {
      const double to = k + 1 == n_bands ? s1_mm : s0_mm + ends[k] * c->step;
      bands[k] = band_of (wall, travel_per_turn_mm, tilt_rad, from, to);
      from = to;
    }
  return n_bands;
}
