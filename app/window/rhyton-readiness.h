/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_READINESS (rhyton_readiness_get_type ())
/**
 * RhytonReadiness:
 *
 * What stands between the job and the machine, where something is about to be made; nothing
 * where the job is ready.
 */
G_DECLARE_FINAL_TYPE (RhytonReadiness, rhyton_readiness, RHYTON, READINESS, RhytonPart)

G_END_DECLS
