/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyStretch:
 * @major: greater singular value s1 of the lay in the wall's orthonormal frame (1 = true)
 * @minor: smaller singular value s2
 * @area: s1 s2
 * @angle_rad: omega, the greatest angular error: 2 asin ((s1 - s2)/(s1 + s2))
 */
typedef struct { double major, minor, area, angle_rad; } RhyStretch;

/**
 * RhyStretchRange:
 *
 * Extremes over the ink; where (art space) the greatest major and smallest
 * minor stand. Zero points gives all ones and zeros.
 */
typedef struct
{
  double      major_max, minor_min, area_max, area_min, angle_max_rad;
  RhyArtPoint major_at, minor_at;
} RhyStretchRange;

/** rhy_stretch_from_jacobian: @j: of a lay, (s, angle) by (u, v); @r_mm: radius where it lands. */
RHY_API
RhyStretch rhy_stretch_from_jacobian (RhyJacobian j, double r_mm);

/**
 * rhy_stretch_at:
 *
 * Returns: %FALSE where the lay has no image.
 */
RHY_API
gboolean rhy_stretch_at (const RhyMap *lay, const RhyWall *wall, RhyArtPoint at, RhyStretch *stretch);

/** rhy_stretch_over: @ink: (array length=n): points of the ink; those without an image are passed over. */
RHY_API
RhyStretchRange rhy_stretch_over (const RhyMap *lay, const RhyWall *wall, const RhyArtPoint *ink, gsize n);

G_END_DECLS
