/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PLACEMENT_PANEL (rhyton_placement_panel_get_type ())
/**
 * RhytonPlacementPanel:
 *
 * Size, place, turn and lay of the artwork.
 */
G_DECLARE_FINAL_TYPE (RhytonPlacementPanel, rhyton_placement_panel, RHYTON, PLACEMENT_PANEL, RhytonPart)

G_END_DECLS
