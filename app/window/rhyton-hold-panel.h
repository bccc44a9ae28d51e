/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_HOLD_PANEL (rhyton_hold_panel_get_type ())
/**
 * RhytonHoldPanel:
 *
 * How the work is held and turned, and what the machine is like.
 */
G_DECLARE_FINAL_TYPE (RhytonHoldPanel, rhyton_hold_panel, RHYTON, HOLD_PANEL, RhytonPart)

G_END_DECLS
