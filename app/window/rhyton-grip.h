/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

G_BEGIN_DECLS

/**
 * RhytonGrip:
 *
 * Artwork held by a pointer: where on the wall it was taken hold of, and where
 * it stood then. The same for every view, which only turns its pixels into wall
 * points. A value; zero it to let go.
 */
typedef struct
{
  gboolean     held;
  RhyWallPoint from;
  RhyWallPoint anchor;
} RhytonGrip;

/**
 * rhyton_grip_is_over:
 * @slack_mm: how far beside the ink's box still counts
 *
 * Returns: whether the wall point lies on the artwork.
 */
gboolean rhyton_grip_is_over (RhytonDocument *document, RhyWallPoint at, double slack_mm);

/** rhyton_grip_take: Returns: whether there is artwork at @at to take hold of. */
gboolean rhyton_grip_take (RhytonGrip *self, RhytonDocument *document, RhyWallPoint at, double slack_mm);

/** rhyton_grip_move: what was held at its start is now to be at @to; one step to undo per grip. */
void rhyton_grip_move (RhytonGrip *self, RhytonDocument *document, RhyWallPoint to);

/** rhyton_grip_nudge: moves the artwork up and around (to the right), mm on the wall. */
void rhyton_grip_nudge (RhytonDocument *document, double right_mm, double up_mm);

G_END_DECLS
