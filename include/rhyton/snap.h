/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhySnapKind:
 * @RHY_SNAP_FRONT: the anchor on the front line
 * @RHY_SNAP_OPPOSITE: half a turn from a handle, or from another artwork's anchor
 * @RHY_SNAP_SIDES: the same distance to what stands on the left as to what stands on the right
 * @RHY_SNAP_MIDDLE: the anchor half way up what zones that go all round leave free there, margins
 *   taken off
 * @RHY_SNAP_LEVEL: at the height of another artwork's anchor
 * @RHY_SNAP_ENDS: the same distance to what stands below as to what stands above
 */
typedef enum
{
  RHY_SNAP_FRONT,
  RHY_SNAP_OPPOSITE,
  RHY_SNAP_SIDES,
  RHY_SNAP_MIDDLE,
  RHY_SNAP_LEVEL,
  RHY_SNAP_ENDS,
} RhySnapKind;

/**
 * RhySnap:
 * @at: where the anchor would be; only its height or only its angle is another
 * @names: (nullable): what it goes by: on the left or below, on the right or above; borrowed
 *   from the plan's job
 * @gap_mm: of sides and ends: either distance, from the ink's outermost points to the edges (margins
 *   not taken off), around measured at the anchor's height
 * @n_lines: 1, of sides and ends 2
 * @lines: what shows it: the line it lies on, or the two distances; each along a meridian or a
 *   parallel, angles next to each other
 *
 * A place that an artwork could well have.
 */
typedef struct
{
  RhySnapKind  kind;
  RhyWallPoint at;
  const char  *names[2];
  double       gap_mm;
  gsize        n_lines;
  RhyWallPoint lines[2][2];
} RhySnap;

/** rhy_snap_is_height: Returns: whether it sets the height; else the angle. */
RHY_API
gboolean rhy_snap_is_height (RhySnapKind kind);

/** rhy_snap_dup_words: Returns: (transfer full): which place that is, e.g. "opposite handle"; without figures. */
RHY_API
char *rhy_snap_dup_words (const RhySnap *self);

/**
 * rhy_snap_list:
 * @part: which of the plan's artworks
 * @at: where its anchor is thought to be: this decides what its neighbours are. Heights off
 *   the wall count as its nearest end.
 * @n: (out): how many
 *
 * Heights, then angles. Distances are by the ink as it would lie at @at; of the lay of least
 * stretch, which takes long to work out, by its width and height where it is, which is exact on
 * a cylinder. An artwork that is repeated around has no sides.
 *
 * Returns: (array length=n) (transfer full): free with g_free().
 */
RHY_API
RhySnap *rhy_snap_list (const RhyPlan *self, gsize part, RhyWallPoint at, gsize *n);

/**
 * rhy_snap_to:
 * @at: (inout): where the anchor is thought to be; then where the nearest height and the nearest
 *   angle within @reach_mm along the wall are
 * @found: (out caller-allocates) (array length=2): those
 *
 * Returns: how many of the two there were.
 */
RHY_API
gsize rhy_snap_to (const RhyPlan *self, gsize part, RhyWallPoint *at, double reach_mm, RhySnap found[2]);

G_END_DECLS
