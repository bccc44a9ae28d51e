/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RHY_SEAT_LEAST_RAD, RHY_SEAT_GREATEST_RAD:
 *
 * Below the first the work rolls out, above the second it wedges itself in. Common practice, no source.
 */
#define RHY_SEAT_LEAST_RAD    (25.0 / 180.0 * G_PI)
#define RHY_SEAT_GREATEST_RAD (60.0 / 180.0 * G_PI)

/**
 * rhy_rollers_seat:
 * @r_mm: the work's radius where it touches
 * @roller_mm: a roller's radius
 * @gap_mm: clear space between the two rollers
 *
 * Returns: the seat angle: from straight down to where a roller touches, seen from the work's
 *   axis, radians: sin = (gap/2 + roller)/(r + roller). NAN if the work falls through.
 */
RHY_API
double rhy_rollers_seat (double r_mm, double roller_mm, double gap_mm);

/** rhy_rollers_gap: Returns: the gap for a seat angle, mm; below 0 where the rollers would have to overlap. */
RHY_API
double rhy_rollers_gap (double r_mm, double roller_mm, double seat_rad);

/** rhy_rollers_axis: Returns: how high the work's axis is over those of the rollers, mm: (r + roller) cos seat. */
RHY_API
double rhy_rollers_axis (double r_mm, double roller_mm, double gap_mm);

/**
 * RhyRolling:
 * @climb_rad: by how much the axis climbs towards the mouth, because the wider end sits higher
 * @walk_mm: along the axis, per turn, what each roller pushes, one towards the mouth and one towards
 *   the base: where their grip differs, the work walks by up to that
 * @slip: greatest share by which the wall's speed differs from that of the contact ring, over
 *   the band that rests on the rollers
 *
 * What a taper does on two level rollers that are parallel.
 */
typedef struct { double climb_rad, walk_mm, slip; } RhyRolling;

/**
 * rhy_rollers_rolling:
 * @contact_s_mm: slant of the ring that drives
 *
 * Returns: the effects of the taper from @s_low_mm to @s_high_mm, all 0 on a cylinder. Each may be
 *   NAN where the work falls through.
 */
RHY_API
RhyRolling rhy_rollers_rolling (const RhyWall *wall, double contact_s_mm, double s_low_mm, double s_high_mm,
                                double roller_mm, double gap_mm);

G_END_DECLS
