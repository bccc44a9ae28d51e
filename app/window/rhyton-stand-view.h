/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_STAND_VIEW (rhyton_stand_view_get_type ())
/**
 * RhytonStandView:
 *
 * The held work from the side with the head over it, and how much room there is; the
 * head is moved along the ink by a slider.
 */
G_DECLARE_FINAL_TYPE (RhytonStandView, rhyton_stand_view, RHYTON, STAND_VIEW, RhytonPart)

/** rhyton_stand_view_is_busy: Returns: whether a picture is on its way. */
gboolean rhyton_stand_view_is_busy (RhytonStandView *self);

/** rhyton_stand_view_get_picture: Returns: (transfer none) (nullable): what is shown. */
cairo_surface_t *rhyton_stand_view_get_picture (RhytonStandView *self);

G_END_DECLS
