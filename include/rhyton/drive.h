/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/** RhyAxis: which bed axis the rotary axis lies along. */
typedef enum { RHY_AXIS_X, RHY_AXIS_Y } RhyAxis;
/** RhyMouth: whether the mouth points right or up the page (plus), or left or down (minus). */
typedef enum { RHY_MOUTH_PLUS, RHY_MOUTH_MINUS } RhyMouth;

/**
 * RhyDriveOptions:
 * @mark: the wall point that the maker lines the beam up with; bed (0, 0)
 * @travel_per_turn_mm: T: how many drawing mm turn the work once, > 0
 * @tilt_rad: t: how far the work is tilted; X = integral of cos (b - t) ds
 * @axis: rotary axis along the bed's x or y
 * @mouth: which way the mouth points
 * @turn_reversed: a machine whose turn is wired backwards: negates along the turn
 */
typedef struct
{
  RhyWallPoint mark;
  double       travel_per_turn_mm;
  double       tilt_rad;
  RhyAxis      axis;
  RhyMouth     mouth;
  gboolean     turn_reversed;
} RhyDriveOptions;

/**
 * rhy_drive_new:
 *
 * Returns: (transfer full): a map from wall to bed (chuck and rollers alike:
 *   rollers set T to 2 pi r of the contact ring). Its domain is the stretch of wall about
 *   the mark that faces the head (slope less tilt within 90 degrees). %RHY_ERROR_GEOMETRY
 *   if T is not positive, or the wall at the mark turns its back.
 */
RHY_API
RhyMap *rhy_drive_new (RhyWall *wall, const RhyDriveOptions *options, GError **error);

/**
 * rhy_drive_focus:
 *
 * Returns: how much nearer the head the top line is at @s_mm than at
 *   @s_level_mm, mm (negative: farther): integral of sin (b - t) ds.
 */
RHY_API
double rhy_drive_focus (const RhyWall *wall, double tilt_rad, double s_level_mm, double s_mm);

/** rhy_drive_travel: X from one slant to another, mm: integral of cos (b - t) ds. */
RHY_API
double rhy_drive_travel (const RhyWall *wall, double tilt_rad, double s0_mm, double s1_mm);

/**
 * rhy_drive_best_tilt:
 * @spread_mm: (out) (optional): greatest less smallest focus at that tilt, mm
 *
 * Returns: the tilt of least spread of focus between two slants, radians. On a
 *   cone that is its slope.
 */
RHY_API
double rhy_drive_best_tilt (const RhyWall *wall, double s0_mm, double s1_mm, double *spread_mm);

/** rhy_drive_focus_range: smallest and greatest focus between two slants against @s_level_mm, mm. */
RHY_API
void rhy_drive_focus_range (const RhyWall *wall, double tilt_rad, double s_level_mm,
                            double s0_mm, double s1_mm, double *least_mm, double *greatest_mm);

G_END_DECLS
