/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_CHECK_PANEL (rhyton_check_panel_get_type ())
/**
 * RhytonCheckPanel:
 *
 * What the verdict found, worst first. Signal "show-place" (double height_mm,
 * double angle_rad): a finding about a place was chosen.
 */
G_DECLARE_FINAL_TYPE (RhytonCheckPanel, rhyton_check_panel, RHYTON, CHECK_PANEL, RhytonPart)

G_END_DECLS
