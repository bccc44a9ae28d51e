/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyConic:
 * @r_mm: the parallel's arc length on the sheet per radian around, at the reference slant
 * @sine: n: angle on the sheet per radian around; on a cone sin b
 * @s_mm: reference slant
 *
 * The cone (or cylinder, n = 0) whose development stands in for a wall near
 * @s_mm: a parallel at slant s lies at rho = r/n + (s - s_mm).
 */
typedef struct { double s_mm, r_mm, sine; } RhyConic;

/**
 * rhy_conic_fit:
 * @s_mm: (array length=n): slants of the ink (repeats weigh more)
 * @s_ref_mm: reference slant
 *
 * The conic of least mean squared log-stretch along the parallels over those
 * slants; on one straight piece exactly that cone. With no slants, the
 * tangent cone at @s_ref_mm.
 */
RHY_API
RhyConic rhy_conic_fit (const RhyWall *wall, const double *s_mm, gsize n, double s_ref_mm);

/**
 * rhy_unroll_new:
 * @conic: (nullable): the cone to unroll on; %NULL: the wall's own if it is one
 *   cone, else the one fitted to the whole wall
 *
 * The front (angle 0) at the lowest station is (0, 0), the front line is the y axis.
 *
 * Returns: (transfer full): a map from wall to pattern
 */
RHY_API
RhyMap *rhy_unroll_new (RhyWall *wall, const RhyConic *conic, GError **error);

/**
 * rhy_unroll_new_band:
 *
 * As rhy_unroll_new() with a cone that need only carry the wall from @s_low_mm to @s_high_mm: a
 * steep part's comes to a point elsewhere on the wall. Beyond the band no point has an image.
 */
RHY_API
RhyMap *rhy_unroll_new_band (RhyWall *wall, const RhyConic *conic, double s_low_mm, double s_high_mm, GError **error);

G_END_DECLS
