/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PROOF_CHECK (rhyton_proof_check_get_type ())
/**
 * RhytonProofCheck:
 *
 * Puts a bed drawing that is there already back on the wall, and says how far it is from what the job means.
 */
G_DECLARE_FINAL_TYPE (RhytonProofCheck, rhyton_proof_check, RHYTON, PROOF_CHECK, RhytonPart)

/** rhyton_proof_check_read: @file: a bed drawing, SVG; measured in the background. */
void rhyton_proof_check_read (RhytonProofCheck *self, GFile *file);

G_END_DECLS
