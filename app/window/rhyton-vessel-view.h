/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-view.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_VESSEL_VIEW (rhyton_vessel_view_get_type ())
/**
 * RhytonVesselView:
 *
 * The artwork on the vessel, as the library renders it in a thread. Dragging
 * the artwork moves it, dragging anything else turns and lifts the vessel,
 * scrolling zooms; arrow keys nudge the artwork (Shift: finely), with Ctrl they
 * turn and lift. Its accessible description tells the camera.
 */
G_DECLARE_FINAL_TYPE (RhytonVesselView, rhyton_vessel_view, RHYTON, VESSEL_VIEW, RhytonView)

/** rhyton_vessel_view_face: turns the vessel so that a wall angle (radians) is in front. */
void rhyton_vessel_view_face (RhytonVesselView *self, double angle_rad);
void rhyton_vessel_view_set_stretch (RhytonVesselView *self, gboolean stretch);
RhyCamera rhyton_vessel_view_get_camera (RhytonVesselView *self);
void rhyton_vessel_view_set_camera (RhytonVesselView *self, RhyCamera camera);
/** rhyton_vessel_view_get_scene: Returns: (nullable): what is shown. */
RhyScene *rhyton_vessel_view_get_scene (RhytonVesselView *self);

G_END_DECLS
