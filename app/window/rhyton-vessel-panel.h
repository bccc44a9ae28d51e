/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_VESSEL_PANEL (rhyton_vessel_panel_get_type ())
/**
 * RhytonVesselPanel:
 *
 * The readings: heights and diameters or circumferences, and how the wall runs
 * between them.
 */
G_DECLARE_FINAL_TYPE (RhytonVesselPanel, rhyton_vessel_panel, RHYTON, VESSEL_PANEL, RhytonPart)

G_END_DECLS
