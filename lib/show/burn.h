/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/*
 * RhyBurn: the job's machine, as a thing of metal: the bed, a rotary on it, a
 * vessel that turns under a beam. It takes a bed drawing as the machine does and
 * says where on the wall each point is burnt. Written from what happens, not from
 * the drive's formulas, so that a wrong sign in one of them shows as a picture
 * that reads wrong.
 */
typedef struct
{
  RhyWall     *wall;          /* borrowed */
  RhyWallPoint mark;
  double       travel_per_turn_mm;
  double       tilt_rad;
  double       along[2];      /* unit vector on the bed, x right and y UP: base to mouth */
  double       across[2];     /* the way that the top line's growing angle points, on the same bed */
  double       hand;          /* -1: the turn is wired backwards */
} RhyBurn;

RhyBurn rhy_burn_for_plan (const RhyPlan *plan);

/* Bed points (x right, y down) to wall points; @valid 0 where the beam misses the wall. */
void rhy_burn_points (const RhyBurn *self, gsize n, const double *x, const double *y,
                      double *s, double *angle, guint8 *valid);

G_END_DECLS
