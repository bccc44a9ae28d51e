/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * rhy_wall_new_smooth:
 * @heights_mm: (array length=n): heights of the stations, strictly increasing
 * @radii_mm: (array length=n): radii there, > 0
 * @n: at least 2; two make a cylinder or a cone
 *
 * Curved through the stations: a chain of circular arcs without a kink, exact
 * at every station. Each slope at a station is that of the circle through it
 * and its two neighbours, so stations on one circle give back that circle;
 * between stations on a smooth profile the error falls as the cube of their
 * spacing.
 *
 * Where the stations rise or fall without turning back, so does the wall: it
 * does not overshoot them. Around a station that is the widest or narrowest of
 * its neighbours, the wall may pass it, as a bulge does whose fattest ring lies
 * between two readings.
 *
 * Returns: (transfer full): the wall, or %NULL with %RHY_ERROR_PROFILE as
 *   rhy_wall_new_straight(), or where the curve would close to a point.
 */
RHY_API
RhyWall *rhy_wall_new_smooth (const double *heights_mm, const double *radii_mm, gsize n, GError **error);

G_END_DECLS
