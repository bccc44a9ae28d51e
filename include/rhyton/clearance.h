/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>
#include <rhyton/zone.h>

G_BEGIN_DECLS

/**
 * RHY_CLEARANCE_MARGIN_MM:
 *
 * What must stay free between things that move past each other where no margin is asked
 * for: common practice, no source; about what a bed and a belt give way.
 */
#define RHY_CLEARANCE_MARGIN_MM 1.0

/**
 * RhyHead:
 * @working_distance_mm: nozzle's tip to the work, set once, at the levelled point
 * @nozzle_radius_mm: the nozzle is a round pin of this radius, up to the body
 * @body_half_width_mm: the body is a square box about it
 * @body_height_mm: from the nozzle's tip up to the body's underside, >= 0
 */
typedef struct
{
  double working_distance_mm;
  double nozzle_radius_mm;
  double body_half_width_mm;
  double body_height_mm;
} RhyHead;

/**
 * RhyBody:
 * @name: (nullable): for messages
 * @kind: what it is
 * @from_mm, @to_mm: heights on the vessel's axis; may lie past the wall's ends
 * @stand_mm: how far it stands out of the wall (past an end: out of that end's ring)
 * @radius_mm: if above 0, its radius about the axis instead
 * @centre_rad, @width_rad: its sector around; 2 pi or more: all round
 * @margin_mm: what must stay free about it
 *
 * Something that turns with the work: a handle, jaws, the chuck behind them.
 */
typedef struct
{
  const char *name;
  RhyZoneKind kind;
  double      from_mm, to_mm;
  double      stand_mm;
  double      radius_mm;
  double      centre_rad, width_rad;
  double      margin_mm;
} RhyBody;

/** rhy_body_from_zone: Returns: whether the zone stands out at all; @body is set if so. */
RHY_API
gboolean rhy_body_from_zone (const RhyZone *zone, RhyBody *body);

/**
 * RhyClearanceCase:
 * @wall: the vessel's side
 * @head: see #RhyHead
 * @tilt_rad: how far the axis dips towards the mouth
 * @level_s_mm: slant of the levelled point
 * @held_z_mm: height on the axis that @axis_height_mm is measured at
 * @axis_height_mm: axis over the bed there; NAN: the bed is not looked at
 * @s_low_mm, @s_high_mm, @angle_low_rad, @angle_high_rad: the drawing on the wall. The head
 *   goes anywhere along it, and the work to any of its turns, in any combination.
 * @roller_rad: half of the sector about the lowest line that rollers under the work take up; 0: none
 * @roller_from_mm, @roller_to_mm: heights on the axis between which they lie
 * @rest_angle_rad: angle on top while the head comes in
 * @bodies: (array length=n_bodies)
 */
typedef struct
{
  RhyWall       *wall;
  RhyHead        head;
  double         tilt_rad;
  double         level_s_mm;
  double         held_z_mm;
  double         axis_height_mm;
  double         s_low_mm, s_high_mm;
  double         angle_low_rad, angle_high_rad;
  double         roller_rad, roller_from_mm, roller_to_mm;
  double         rest_angle_rad;
  const RhyBody *bodies;
  gsize          n_bodies;
} RhyClearanceCase;

/**
 * RhyContact:
 * @distance_mm: least distance, in space; below 0: they meet, and the head (or the
 *   work, over the bed) would have to be this much higher to come free
 * @body: index of the body, -1 for the vessel itself
 * @height_mm: height on the axis of the nearest point
 * @turn_rad: the vessel's angle on top when it happens
 */
typedef struct
{
  double distance_mm;
  int    body;
  double height_mm;
  double turn_rad;
} RhyContact;

#define RHY_CONTACT_NONE ((RhyContact) { G_MAXDOUBLE, -1, 0.0, 0.0 })

/**
 * rhy_clearance_head:
 * @body: index, or -1: the vessel itself
 *
 * Least distance between the head, wherever the drawing takes it, and a body at every turn
 * of the drawing. Distances of what turns all round are exact (chords of arcs lie
 * outside by 0.01 mm), of sectors rounded down by at most 0.02 mm: never too great.
 */
RHY_API
RhyContact rhy_clearance_head (const RhyClearanceCase *self, int body);

/** rhy_clearance_bed: the same between a body, or the vessel (-1), and the bed. */
RHY_API
RhyContact rhy_clearance_bed (const RhyClearanceCase *self, int body);

/**
 * rhy_clearance_way_in:
 * @over_mouth: from beyond the mouth, or from beyond the base
 *
 * Least distance on the head's way from beyond everything to the levelled point, at its
 * working height, with the work at rest.
 */
RHY_API
RhyContact rhy_clearance_way_in (const RhyClearanceCase *self, gboolean over_mouth);

/** rhy_clearance_rollers: Returns: whether a body that does not go all round comes upon the rollers at a turn of the drawing. */
RHY_API
gboolean rhy_clearance_rollers (const RhyClearanceCase *self, int body);

/**
 * rhy_clearance_turns:
 * @low_rad, @high_rad: (out): angles that may be on top, about the middle of the drawing
 *
 * The turns at which every body that does not go all round keeps its margin from the head
 * and the bed, and keeps off rollers, as far as they go without a break on either side of the drawing's middle.
 *
 * Returns: %FALSE, outputs untouched, if there is no limit. @low_rad above @high_rad if the
 *   middle itself is forbidden; then they are the ends of the nearest free turns below and above.
 */
RHY_API
gboolean rhy_clearance_turns (const RhyClearanceCase *self, double *low_rad, double *high_rad);

/**
 * rhy_clearance_reach:
 * @low_mm, @high_mm: (out): heights on the axis
 *
 * The heights about the levelled point where the head may stand with the drawing's turns.
 *
 * Returns: %FALSE, both set to the levelled point's height, if it cannot stand even there.
 */
RHY_API
gboolean rhy_clearance_reach (const RhyClearanceCase *self, double *low_mm, double *high_mm);

G_END_DECLS
