/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyRuler:
 * @distance_mm: length of the line
 * @azimuth_from_rad, @azimuth_to_rad: its direction at either end, from the meridian
 *   upwards towards growing angle; unspecified where the points coincide
 * @narrowest_mm: smallest radius that it passes
 */
typedef struct { double distance_mm, azimuth_from_rad, azimuth_to_rad, narrowest_mm; } RhyRuler;

/**
 * rhy_ruler_between:
 * @from, @to: points of the wall; their angles say which way round, and how far:
 *   less than a turn apart
 *
 * The straightest line on the wall, as a tape pulled tight lies: a geodesic. On one
 * straight piece by its development; elsewhere by shooting, with the deviation of
 * neighbouring geodesics (m'' = -K m) as the derivative. The line may dip below the
 * wall's ends, where the end pieces are carried on.
 *
 * Returns: %FALSE with %RHY_ERROR_OUTSIDE if an end is off the wall, %RHY_ERROR_NO_CONVERGENCE
 *   where no line of the sort is found (a cone's far side, points nearly opposite).
 */
RHY_API
gboolean rhy_ruler_between (const RhyWall *wall, RhyWallPoint from, RhyWallPoint to, RhyRuler *ruler, GError **error);

G_END_DECLS
