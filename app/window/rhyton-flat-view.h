/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-view.h"

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
G_DECLARE_FINAL_TYPE (RhytonFlatView, rhyton_flat_view, RHYTON, FLAT_VIEW, RhytonView)

/** rhyton_flat_view_fit: all of it in sight again. */
void rhyton_flat_view_fit (RhytonFlatView *self);
/** rhyton_flat_view_get_art: Returns: (nullable): the bent artwork that is shown. */
RhyArtwork *rhyton_flat_view_get_art (RhytonFlatView *self);
/** rhyton_flat_view_locate: where a wall point is drawn; Returns: %FALSE if it is not. */
gboolean rhyton_flat_view_locate (RhytonFlatView *self, RhyWallPoint at, double *x, double *y);

G_END_DECLS
