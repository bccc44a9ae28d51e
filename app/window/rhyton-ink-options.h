/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_INK_OPTIONS (rhyton_ink_options_get_type ())
/**
 * RhytonInkOptions:
 *
 * What of the selected artwork is ink, and what becomes of its strokes.
 */
G_DECLARE_FINAL_TYPE (RhytonInkOptions, rhyton_ink_options, RHYTON, INK_OPTIONS, RhytonPart)

G_END_DECLS
