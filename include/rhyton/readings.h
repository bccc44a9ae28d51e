/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyReadings:
 *
 * What was measured: outside diameters at heights, with standard uncertainties.
 */
typedef struct
{
  gsize         n;
  const double *heights_mm;
  const double *diameters_mm;
  double        u_height_mm;
  double        u_diameter_mm;
} RhyReadings;

/**
 * RhyFit:
 * @wall: (transfer full): the wall; release it with rhy_wall_unref()
 * @worst: index of the reading that fits worst
 * @worst_mm: how far its diameter is off the wall, mm (signed: reading less wall)
 * @agrees: whether every reading lies within its expanded uncertainty (k = 2)
 * @slope_u_rad: standard uncertainty of a single cone's slope
 */
typedef struct
{
  RhyWall *wall;
  gsize    worst;
  double   worst_mm;
  gboolean agrees;
  double   slope_u_rad;
} RhyFit;

/**
 * rhy_readings_fit_straight:
 *
 * One cylinder or cone: exact through two stations, weighted least squares for
 * more; the wall runs from the lowest to the highest station.
 */
RHY_API
gboolean rhy_readings_fit_straight (const RhyReadings *readings, RhyFit *fit, GError **error);

G_END_DECLS
