/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/drawing.h>

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_MAKE_PANEL (rhyton_make_panel_get_type ())
/**
 * RhytonMakePanel:
 *
 * What can be made from the job, and the cautions that go with it.
 */
G_DECLARE_FINAL_TYPE (RhytonMakePanel, rhyton_make_panel, RHYTON, MAKE_PANEL, RhytonPart)

/** rhyton_make_panel_save_bed, rhyton_make_panel_save_pattern: as its buttons: ask where to. */
void rhyton_make_panel_save_bed (RhytonMakePanel *self);
void rhyton_make_panel_save_pattern (RhytonMakePanel *self);
/** rhyton_make_panel_read_pattern: @options: (out): what its fields say; FALSE, said below the field: nothing that a pattern can be. */
gboolean rhyton_make_panel_read_pattern (RhytonMakePanel *self, RhyDrawingOptions *options);

G_END_DECLS
