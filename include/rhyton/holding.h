/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/clearance.h>
#include <rhyton/rollers.h>
#include <rhyton/zone.h>

G_BEGIN_DECLS

/**
 * RhyWay:
 * @RHY_WAY_BASE: jaws about the base
 * @RHY_WAY_MOUTH: jaws about the mouth
 * @RHY_WAY_INSIDE: jaws inside the mouth, spread
 * @RHY_WAY_ROLLERS: on two rollers
 * @RHY_WAY_PINS: between two pins on the axis, as balls are
 */
typedef enum { RHY_WAY_BASE, RHY_WAY_MOUTH, RHY_WAY_INSIDE, RHY_WAY_ROLLERS, RHY_WAY_PINS, RHY_N_WAYS } RhyWay;

/**
 * RhySupport:
 * @RHY_SUPPORT_NONE: the end that is not held is free
 * @RHY_SUPPORT_TAILSTOCK: something on the axis presses against it
 * @RHY_SUPPORT_ROLLER: a free roller carries it from below
 *
 * What a chuck is helped by.
 */
typedef enum { RHY_SUPPORT_NONE, RHY_SUPPORT_TAILSTOCK, RHY_SUPPORT_ROLLER } RhySupport;

/** rhy_support_to_string: Returns: "none", "tailstock" or "roller". */
RHY_API
const char *rhy_support_to_string (RhySupport support);

/** rhy_way_to_string: Returns: "base", "mouth", "inside", "rollers" or "pins". */
RHY_API
const char *rhy_way_to_string (RhyWay way);

/**
 * rhy_way_tilt:
 * @set_rad: what the maker sets, as a dip towards the mouth; NAN: the best within the limits
 * @best_rad: the best tilt of the work
 * @sag_rad: how far the free end droops
 * @min_rad, @max_rad: the chuck's limits, its free end below it; NAN: none
 * @chuck_rad: (out) (optional): the chuck's own tilt
 * @beyond_rad: (out) (optional): by how much what is wanted lies beyond a limit, 0 within
 *
 * Pins hold both ends level: where no limits are given, theirs are 0. The free end is the mouth where the base is held, and the base where the mouth is: the same
 * chuck then dips the other way.
 *
 * Returns: the tilt that the work has, its axis dipping towards the mouth.
 */
RHY_API
double rhy_way_tilt (RhyWay way, double set_rad, double best_rad, double sag_rad, double min_rad, double max_rad,
                     double *chuck_rad, double *beyond_rad);

/** rhy_way_sense: Returns: 1 where the free end dips with the mouth, -1 where against it. */
RHY_API
double rhy_way_sense (RhyWay way);

/**
 * RhyHoldingCase:
 * @wall: the vessel's side
 * @way: how it is held
 * @head, @axis_height_mm, @nozzle_top_mm, @tilt_min_rad, @tilt_max_rad, @depth_of_focus_mm,
 *   @jaw_depth_mm, @jaw_stand_mm, @chuck_radius_mm, @roller_mm, @gap_mm: the machine; NAN where
 *   it does not say. @nozzle_top_mm is how high over the bed the nozzle's tip can go; tilts are those
 *   of the free end below the chuck.
 * @pin_radius_mm, @pin_length_mm: of pins: radius, and from the work to what holds them
 * @tailstock_radius_mm: of what presses against the free end
 * @support: of a chuck
 * @support_s_mm: slant of the ring on a support roller
 * @sag_rad: how far a heavy piece droops from its chuck
 * @runout_mm: wobble, highest to lowest reading of a dial
 * @defocus_mm: how far the head is set above its focus on purpose
 * @set_tilt_rad: the tilt that is set, as a dip towards the mouth; NAN: the best within the limits
 * @contact_s_mm: slant of the ring on the rollers
 * @level_s_mm: slant of the mark, where the working distance is set
 * @s_low_mm, @s_high_mm, @angle_low_rad, @angle_high_rad: the drawing
 * @zones: (array length=n_zones): those that stand out are bodies; jaws among them stand for the
 *   machine's own
 * @cancellable: (nullable): looked at from body to body
 */
typedef struct
{
  RhyWall       *wall;
  RhyWay         way;
  RhyHead        head;
  double         axis_height_mm, nozzle_top_mm;
  double         tilt_min_rad, tilt_max_rad;
  double         depth_of_focus_mm;
  double         jaw_depth_mm, jaw_stand_mm, chuck_radius_mm;
  double         roller_mm, gap_mm;
  double         pin_radius_mm, pin_length_mm, tailstock_radius_mm;
  RhySupport     support;
  double         support_s_mm;
  double         sag_rad, runout_mm, defocus_mm;
  double         set_tilt_rad;
  double         contact_s_mm;
  double         level_s_mm;
  double         s_low_mm, s_high_mm;
  double         angle_low_rad, angle_high_rad;
  const RhyZone *zones;
  gsize          n_zones;
  GCancellable  *cancellable;
} RhyHoldingCase;

/**
 * RhyHolding:
 * @tilt_rad: of the work: how far its axis dips towards the mouth
 * @best_tilt_rad: that of least spread of focus over the drawing
 * @chuck_tilt_rad: what the chuck is set to: its free end below it, the sag taken off
 * @beyond_rad: by how much the best (or the set) tilt lies beyond the chuck's limits; 0: within
 * @focus_least_mm, @focus_greatest_mm: over the drawing, against the mark, runout counted, without defocus
 * @n_bodies, @bodies: what turns with the work
 * @is_head_known: whether nozzle, body and working distance are given; if not, contacts
 *   with the head are #RHY_CONTACT_NONE and the reach only leaves out what covers the wall
 * @head, @bed: (array length=n_bodies + 1): least distances, the vessel first
 * @way_in: from beyond the base, from beyond the mouth
 * @is_limited, @turn_low_rad, @turn_high_rad: turns, see rhy_clearance_turns()
 * @reaches: whether the beam can work at the mark at all
 * @reach_low_mm, @reach_high_mm: heights between which it can
 * @prop_mm: what the rotary has to be raised by for the work to miss the bed; 0: nothing, NAN: not known
 * @riser_mm: what the head's frame has to be raised by, the rotary propped; NAN: not known
 * @support_height_mm: over the bed: of a tailstock's axis at the free end, or of the top of a support roller;
 *   NAN: none, or not known
 * @rollers: (array length=n_bodies): whether a body meets rollers under the work
 * @seat_rad: on rollers; NAN if they are not given
 * @rolling: on rollers
 */
typedef struct
{
  double      tilt_rad, best_tilt_rad, chuck_tilt_rad, beyond_rad;
  double      focus_least_mm, focus_greatest_mm;
  gsize       n_bodies;
  RhyBody    *bodies;
  gboolean    is_head_known;
  RhyContact *head, *bed;
  RhyContact  way_in[2];
  gboolean    is_limited;
  double      turn_low_rad, turn_high_rad;
  gboolean    reaches;
  double      reach_low_mm, reach_high_mm;
  double      prop_mm, riser_mm;
  double      support_height_mm;
  gboolean   *rollers;
  double      seat_rad;
  RhyRolling  rolling;
} RhyHolding;

/** rhy_holding_new: Returns: (transfer full) (nullable): the case worked out, %NULL only if cancelled. Zones' names are borrowed. */
RHY_API
RhyHolding *rhy_holding_new (const RhyHoldingCase *c);
RHY_API
void rhy_holding_free (RhyHolding *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyHolding, rhy_holding_free)

/**
 * rhy_holding_least:
 * @contacts: @self's head or bed
 * @kind: of bodies: a #RhyZoneKind, or -1: any, and the vessel
 *
 * Returns: the least of them; %RHY_CONTACT_NONE if there is none.
 */
RHY_API
RhyContact rhy_holding_least (const RhyHolding *self, const RhyContact *contacts, int kind);

G_END_DECLS
