/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyWallForm:
 * @RHY_WALL_AUTO: the simplest wall that explains the readings within their uncertainty
 * @RHY_WALL_STRAIGHT: one cylinder or cone
 * @RHY_WALL_STEPPED: straight from station to station
 * @RHY_WALL_SMOOTH: curved through the stations
 */
typedef enum
{
  RHY_WALL_AUTO,
  RHY_WALL_STRAIGHT,
  RHY_WALL_STEPPED,
  RHY_WALL_SMOOTH,
} RhyWallForm;

/**
 * RhyReadings:
 * @n: number of stations, at least 2
 * @heights_mm: (array length=n): their heights above the base, strictly increasing
 * @diameters_mm: (array length=n): outside diameters there, > 0
 * @u_height_mm: standard uncertainty of a height, >= 0
 * @u_diameter_mm: standard uncertainty of a diameter, >= 0
 *
 * What was measured: outside diameters at heights, with standard uncertainties
 * (a circumference over pi is a diameter).
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
 * more (diameters and heights both carry their uncertainty); the wall runs from
 * the lowest to the highest station.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE, @fit untouched: fewer than 2 stations, a
 *   value that is not a number, a diameter <= 0, heights that do not increase.
 */
RHY_API
gboolean rhy_readings_fit_straight (const RhyReadings *readings, RhyFit *fit, GError **error);

G_END_DECLS
