/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* A map of the art plane to itself: a turn, then p -> p + d (p) with d a bicubic
 * spline on a grid, carried on smoothly for a cell past the grid's edges and then held.
 */

#include "map-private.h"

typedef struct
{
  RhyMap  map;
  double  cos_turn, sin_turn;
  double  low[2], cell[2];    /* of the grid, along x and y */
  guint   n[2];               /* cells */
  guint   slow;               /* the axis along which control values lie farther apart */
  guint   stride;             /* numbers from one to the next along it */
  double *controls;           /* pairs (dx, dy), (n[0] + 3)(n[1] + 3) of them, zero at first */
} RhyEase;

RhyEase *rhy_ease_new (double turn_rad, RhyBounds box, guint cells);

/* How many numbers the controls are. */
guint rhy_ease_get_n_controls (const RhyEase *self);

/* The 4 x 4 controls that a point of the grid depends on, with their weights and the
 * weights' derivatives: the k-th control's dx is number rhy_ease_index (self, first, k),
 * its dy the next; numbers grow with k. */
void rhy_ease_weights (const RhyEase *self, double x, double y, guint *first, double n[16], double nx[16], double ny[16]);

static inline guint
rhy_ease_index (const RhyEase *self,
                guint          first,
                guint          k)
{
  return first + (k / 4) * self->stride + 2 * (k % 4);
}
