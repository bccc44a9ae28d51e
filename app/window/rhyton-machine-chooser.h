/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_MACHINE_CHOOSER (rhyton_machine_chooser_get_type ())
/**
 * RhytonMachineChooser:
 *
 * Which machine the job is for: one whose file is known, one whose file is opened, one
 * described in the job itself, or none.
 */
G_DECLARE_FINAL_TYPE (RhytonMachineChooser, rhyton_machine_chooser, RHYTON, MACHINE_CHOOSER, RhytonPart)

/** rhyton_machine_chooser_take: as if the machine file had been chosen. */
void rhyton_machine_chooser_take (RhytonMachineChooser *self, GFile *file);

G_END_DECLS
