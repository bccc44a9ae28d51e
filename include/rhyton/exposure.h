/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyLineWay: which way the lines of a filled area run.
 * @RHY_LINES_EITHER: nothing to choose between the two
 * @RHY_LINES_AXIS: along the rotary axis, the work turned from line to line
 * @RHY_LINES_TURN: along the turn, the head moved from line to line
 */
typedef enum { RHY_LINES_EITHER, RHY_LINES_AXIS, RHY_LINES_TURN } RhyLineWay;

/** rhy_line_way_to_string: Returns: "either", "axis" or "turn". */
RHY_API
const char *rhy_line_way_to_string (RhyLineWay way);

/**
 * RhyLineRange:
 * @distance_min, @distance_max: what the distance of two lines is on the wall against that in the drawing
 * @energy_min, @energy_max: energy a mm of line on the wall against that in the drawing, power and
 *   speed unchanged
 */
typedef struct { double distance_min, distance_max, energy_min, energy_max; } RhyLineRange;

/**
 * RhyEvenness:
 * @along_axis, @along_turn: of lines that run so
 * @better: the one whose distances are more even on the wall; the energy of an area is the same
 *   either way, but lines too far apart leave gaps and lines too near lie over each other
 */
typedef struct
{
  RhyLineRange along_axis, along_turn;
  RhyLineWay   better;
} RhyEvenness;

/**
 * rhy_exposure_at:
 *
 * Returns: energy a mm^2 of wall against that a mm^2 of drawing, T / (2 pi r) cos (b - t)
 */
RHY_API
double rhy_exposure_at (const RhyWall *wall, double travel_per_turn_mm, double tilt_rad, double s_mm);

/**
 * rhy_exposure_evenness:
 * @s0_mm, @s1_mm: slants that ink goes from and to
 *
 * On a cone from r1 to r2 held level, lines along the turn stay as far apart as they are drawn, and
 * lines along the axis spread as r2 / r1.
 */
RHY_API
RhyEvenness rhy_exposure_evenness (const RhyWall *wall, double travel_per_turn_mm, double tilt_rad, double s0_mm, double s1_mm);

/** RHY_LINE_BANDS_MAX: more bands than that nobody sets by hand. */
#define RHY_LINE_BANDS_MAX 20

/**
 * RhyLineBand: a ring of the wall whose areas are filled at a line distance of its own.
 * @s0_mm, @s1_mm: slants from and to
 * @correction: the line distance to draw with against the one that is wanted on the wall
 * @energy_min, @energy_max: energy an area over the ring, drawn so, against the one that is wanted
 * @axis_min, @axis_max: distance on the wall of lines along the axis, drawn so, against the one that is wanted
 * @turn_min, @turn_max: likewise of lines along the turn
 */
typedef struct
{
  double s0_mm, s1_mm;
  double correction;
  double energy_min, energy_max;
  double axis_min, axis_max, turn_min, turn_max;
} RhyLineBand;

/**
 * rhy_exposure_bands:
 * @s0_mm, @s1_mm: slants that ink goes from and to
 * @n: how many bands at most, 1 to %RHY_LINE_BANDS_MAX
 * @bands: (out caller-allocates) (array length=n)
 *
 * Parts the wall into rings so that the worst of them is as even as it can be, and gives each the
 * line distance that brings the middle of its exposures to the one wanted, whichever way lines run.
 *
 * Returns: how many there are: as few as are that even, so one where exposure does not change
 */
RHY_API
guint rhy_exposure_bands (const RhyWall *wall, double travel_per_turn_mm, double tilt_rad, double s0_mm, double s1_mm,
                          guint n, RhyLineBand *bands);

G_END_DECLS
