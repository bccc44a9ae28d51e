/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <math.h>

#include <rhyton/units.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyInside:
 * @wall_mm: thickness of the side, measured square to it, >= 0
 * @floor_mm: height of the inside's floor (taken as flat); NAN: where the inside of
 *   the side begins
 * @fill_mm: height of the fill line; NAN: the brim
 *
 * What lies between the outside, which is measured, and what the vessel holds.
 */
typedef struct
{
  double wall_mm;
  double floor_mm;
  double fill_mm;
} RhyInside;

#define RHY_INSIDE_INIT { .wall_mm = 0.0, .floor_mm = NAN, .fill_mm = NAN }

/**
 * rhy_wall_new_inside:
 * @self: the outside
 * @thickness_mm: >= 0, the same all over
 *
 * Returns: (transfer full): the inside: every arc with the same centre, every
 *   straight piece parallel, kinks between straight pieces mitred. %NULL with
 *   %RHY_ERROR_PROFILE where the thickness leaves no room.
 */
RHY_API
RhyWall *rhy_wall_new_inside (const RhyWall *self, double thickness_mm, GError **error);

/**
 * rhy_wall_capacity:
 * @self: the outside
 * @inside: (nullable): %NULL: an outside of no thickness, from end to end
 * @ml: (out): what it holds up to the fill line, ml
 *
 * An independent check of the readings against a stated capacity: a diameter off
 * by 1 % changes it by 2 %. Divide by %RHY_ML_PER_US_FLUID_OUNCE or
 * %RHY_ML_PER_IMPERIAL_FLUID_OUNCE for fluid ounces.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE, @ml untouched, where there is no inside.
 */
RHY_API
gboolean rhy_wall_capacity (const RhyWall *self, const RhyInside *inside, double *ml, GError **error);

/**
 * rhy_wall_fill_height:
 * @ml: a volume, >= 0
 * @height_mm: (out): how high it stands, in the outside's heights
 *
 * The inverse of rhy_wall_capacity(); @inside's fill line is not looked at.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE where it holds less than @ml to the brim.
 */
RHY_API
gboolean rhy_wall_fill_height (const RhyWall *self, const RhyInside *inside, double ml,
                               double *height_mm, GError **error);

G_END_DECLS
