/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_FLAT_VIEW (rhyton_flat_view_get_type ())
/**
 * RhytonFlatView:
 *
 * The wall and the artwork laid flat: the pattern (property "space" is
 * %RHY_SPACE_PATTERN) or what the machine is given (%RHY_SPACE_BED). Everything
 * drawn comes from the library's maps. Dragging the artwork on the pattern
 * moves it, dragging anything else shifts the view, scrolling zooms.
 */
G_DECLARE_FINAL_TYPE (RhytonFlatView, rhyton_flat_view, RHYTON, FLAT_VIEW, RhytonPart)

/** rhyton_flat_view_fit: all of it in sight again. */
void rhyton_flat_view_fit (RhytonFlatView *self);
/** rhyton_flat_view_get_art: Returns: (nullable): the bent artwork that is shown. */
RhyArtwork *rhyton_flat_view_get_art (RhytonFlatView *self);
/** rhyton_flat_view_is_busy: Returns: whether a newer drawing is on its way. */
gboolean rhyton_flat_view_is_busy (RhytonFlatView *self);
/** rhyton_flat_view_locate: where a wall point is drawn; Returns: %FALSE if it is not. */
gboolean rhyton_flat_view_locate (RhytonFlatView *self, RhyWallPoint at, double *x, double *y);
/** rhyton_flat_view_point_at: draws a ring around a wall point; @at: %NULL takes the ring away. */
void rhyton_flat_view_point_at (RhytonFlatView *self, const RhyWallPoint *at);

G_END_DECLS
