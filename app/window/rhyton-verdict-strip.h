/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_VERDICT_STRIP (rhyton_verdict_strip_get_type ())
/**
 * RhytonVerdictStrip:
 *
 * One line that is always in sight: whether the job is ready, and if not, what
 * stops it; the size on the wall; and, when work takes long, a way to stop it.
 */
G_DECLARE_FINAL_TYPE (RhytonVerdictStrip, rhyton_verdict_strip, RHYTON, VERDICT_STRIP, RhytonPart)

/** rhyton_verdict_strip_get_text: Returns: what it says. */
const char *rhyton_verdict_strip_get_text (RhytonVerdictStrip *self);

G_END_DECLS
