/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

G_BEGIN_DECLS

/**
 * RhytonHandle: what of the artwork a pointer can take hold of.
 */
typedef enum
{
  RHYTON_HANDLE_NONE,
  RHYTON_HANDLE_BODY,           /* moves it */
  RHYTON_HANDLE_CORNER,         /* scales it about its anchor */
  RHYTON_HANDLE_TURN,           /* turns it about its anchor */
} RhytonHandle;

/**
 * RhytonGrip:
 *
 * Artwork held by a pointer: by what, where on the wall it was taken hold of, and
 * how it stood then. The same for every view, which only turns its pixels into
 * wall points. A value; start from zeros, end with rhyton_grip_drop().
 */
typedef struct
{
  RhytonHandle  handle;
  RhyPlan      *plan;           /* as it was */
  gsize         part;           /* of it */
  RhyWallPoint  from;
  RhyPoint      art;            /* where that is on the artwork */
  RhySnap       snaps[2];       /* where it was drawn to, of @plan */
  gsize         n_snaps;
} RhytonGrip;

/**
 * rhyton_grip_is_over:
 * @part: the plan of one artwork
 * @slack_mm: how far beside the ink's box still counts
 *
 * Returns: whether the wall point lies on the artwork.
 */
gboolean rhyton_grip_is_over (const RhyPlan *part, RhyWallPoint at, double slack_mm);

/** rhyton_grip_take: Returns: whether the selected artwork could be taken hold of there. */
gboolean rhyton_grip_take (RhytonGrip *self, RhytonDocument *document, RhytonHandle handle, RhyWallPoint at);

/**
 * rhyton_grip_move:
 * @reach_mm: how near a place draws the artwork to it, along the wall; 0: none does
 *
 * What was held is now to be at @to; everything until rhyton_grip_drop() is one
 * step to undo. Moved artwork is drawn to the places of rhy_snap_to(), turned
 * artwork to steps of 15 degrees.
 */
void rhyton_grip_move (RhytonGrip *self, RhytonDocument *document, RhyWallPoint to, double reach_mm);

/** rhyton_grip_drop: lets go. */
void rhyton_grip_drop (RhytonGrip *self, RhytonDocument *document);

/** rhyton_grip_describe: Returns: (transfer full): what is being changed, as a line to show beside it. */
char *rhyton_grip_describe (const RhytonGrip *self, RhytonDocument *document);

/** rhyton_grip_describe_artwork: Returns: (transfer full): artwork @i of the job: its name, where it is, its size if it is known. */
char *rhyton_grip_describe_artwork (RhytonDocument *document, gsize i);

/** rhyton_grip_describe_snap: Returns: (transfer full): what place that is, with its distance. */
char *rhyton_grip_describe_snap (const RhySnap *snap, RhytonDocument *document);

/** rhyton_grip_nudge: moves the selected artwork up and around (to the right), mm on the wall. */
void rhyton_grip_nudge (RhytonDocument *document, double right_mm, double up_mm);

G_END_DECLS
