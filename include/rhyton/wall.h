/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/error.h>
#include <rhyton/space.h>

G_BEGIN_DECLS

/**
 * RhyWall:
 *
 * A vessel's side: a surface of revolution whose profile is a chain of pieces
 * of constant curvature (straight, or a circular arc). Opaque, reference
 * counted, immutable: share one between threads freely.
 *
 * A position along the profile is its slant s, the arc length in mm from the
 * lowest station. Slope b is the angle of the profile against the axis:
 * dz/ds = cos b, dr/ds = sin b, so b > 0 opens upwards.
 */
typedef struct _RhyWall RhyWall;

/**
 * RhyWallPiece:
 * @length_mm: arc length, > 0
 * @slope_rad: slope at the lower end, strictly between -pi/2 and pi/2
 * @curvature_per_mm: change of slope per mm; 0 is straight
 * @s_mm: slant at the lower end (set by the wall)
 * @z_mm: height at the lower end (set by the wall)
 * @r_mm: radius at the lower end (set by the wall)
 */
typedef struct
{
  double length_mm;
  double slope_rad;
  double curvature_per_mm;
  double s_mm;
  double z_mm;
  double r_mm;
} RhyWallPiece;

/**
 * RhyRing:
 *
 * The parallel at one slant: its height, radius (both mm), slope (radians) and
 * the profile's curvature (per mm) there.
 */
typedef struct { double s_mm, z_mm, r_mm, slope_rad, curvature_per_mm; } RhyRing;

/**
 * RHY_WALL_SLACK_MM:
 *
 * A point this far past an end still counts as on the wall, so that artwork
 * made to reach the rim exactly is not refused for a rounding. It is far below
 * anything a machine resolves.
 */
#define RHY_WALL_SLACK_MM 1e-6

/**
 * rhy_wall_new_pieces:
 * @base_z_mm: height of the lowest point
 * @base_r_mm: radius there, > 0
 * @pieces: (array length=n_pieces): lengths, slopes and curvatures, upwards
 * @n_pieces: at least 1
 *
 * Returns: (transfer full): a wall, or %NULL with %RHY_ERROR_PROFILE: a value that
 *   is not finite, a length <= 0, a slope reaching +-pi/2, a radius reaching 0.
 */
RHY_API
RhyWall *rhy_wall_new_pieces (double base_z_mm, double base_r_mm,
                              const RhyWallPiece *pieces, gsize n_pieces, GError **error);

/**
 * rhy_wall_new_straight:
 * @heights_mm: (array length=n): heights of the stations, strictly increasing
 * @radii_mm: (array length=n): radii there, > 0
 * @n: at least 2
 *
 * Straight from station to station: exact at each. Two stations make a cylinder
 * or a cone.
 */
RHY_API
RhyWall *rhy_wall_new_straight (const double *heights_mm, const double *radii_mm, gsize n, GError **error);

RHY_API
RhyWall *rhy_wall_ref (RhyWall *self);
RHY_API
void rhy_wall_unref (RhyWall *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyWall, rhy_wall_unref)

/** rhy_wall_get_length: Returns: the slant length of the whole profile, mm. */
RHY_API
double rhy_wall_get_length (const RhyWall *self);
RHY_API
gsize rhy_wall_get_n_pieces (const RhyWall *self);
RHY_API
const RhyWallPiece *rhy_wall_get_piece (const RhyWall *self, gsize i);

/** rhy_wall_is_cone: Returns: whether the wall is one straight piece: a cylinder or a cone. */
RHY_API
gboolean rhy_wall_is_cone (const RhyWall *self);

/** rhy_wall_has: Returns: whether @s_mm is on the wall, ends included, within %RHY_WALL_SLACK_MM. */
RHY_API
gboolean rhy_wall_has (const RhyWall *self, double s_mm);

/**
 * rhy_wall_at:
 * @s_mm: slant; past an end the end piece goes on (so the slack above costs no
 *   accuracy and searches may step over the edge)
 *
 * Returns: the ring there. At a join of two pieces, the upper one's slope.
 */
RHY_API
RhyRing rhy_wall_at (const RhyWall *self, double s_mm);

/**
 * rhy_wall_at_height:
 * @z_mm: height
 * @ring: (out): the ring there
 *
 * Returns: %FALSE, @ring untouched, if the wall has no such height (within the
 *   slack) or @z_mm is not finite.
 */
RHY_API
gboolean rhy_wall_at_height (const RhyWall *self, double z_mm, RhyRing *ring);

/** rhy_wall_widest: Returns: the ring of greatest radius between two slants (either order). */
RHY_API
RhyRing rhy_wall_widest (const RhyWall *self, double s0_mm, double s1_mm);
/** rhy_wall_narrowest: Returns: the ring of smallest radius between two slants (either order). */
RHY_API
RhyRing rhy_wall_narrowest (const RhyWall *self, double s0_mm, double s1_mm);

/**
 * rhy_wall_isometric:
 *
 * Returns: the integral of ds/r from @s0_mm to @s1_mm (dimensionless), which
 *   is Mercator's northing on this surface. Negative when @s1_mm < @s0_mm.
 */
RHY_API
double rhy_wall_isometric (const RhyWall *self, double s0_mm, double s1_mm);
/** rhy_wall_isometric_inverse: Returns: the slant where the integral of ds/r from @s0_mm is @q. */
RHY_API
double rhy_wall_isometric_inverse (const RhyWall *self, double s0_mm, double q);

/** rhy_wall_authalic: Returns: the integral of r ds from @s0_mm to @s1_mm, mm^2 (zone area over 2 pi). */
RHY_API
double rhy_wall_authalic (const RhyWall *self, double s0_mm, double s1_mm);
/**
 * rhy_wall_authalic_inverse:
 * Returns: the slant where the integral of r ds from @s0_mm is @q_mm2; where
 *   the end piece, carried on, closes to a point before that, a value off the wall.
 */
RHY_API
double rhy_wall_authalic_inverse (const RhyWall *self, double s0_mm, double q_mm2);

/** rhy_wall_area: Returns: lateral area between two slants, mm^2. */
RHY_API
double rhy_wall_area (const RhyWall *self, double s0_mm, double s1_mm);
/** rhy_wall_volume: Returns: volume enclosed between two slants, mm^3. */
RHY_API
double rhy_wall_volume (const RhyWall *self, double s0_mm, double s1_mm);

G_END_DECLS
