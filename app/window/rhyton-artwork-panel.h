/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_ARTWORK_PANEL (rhyton_artwork_panel_get_type ())
/**
 * RhytonArtworkPanel:
 *
 * Which drawing, how it came in, and what of it has no outlines.
 */
G_DECLARE_FINAL_TYPE (RhytonArtworkPanel, rhyton_artwork_panel, RHYTON, ARTWORK_PANEL, RhytonPart)

G_END_DECLS
