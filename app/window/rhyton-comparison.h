/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_COMPARISON (rhyton_comparison_get_type ())
/**
 * RhytonComparison:
 *
 * A list of what the job could do instead, with what would come of each: its
 * "subject" is "lays" or "holds". The library works it out in a thread, while the
 * list is on screen and the job has been left alone for a moment. Activating a
 * row takes it, as one change.
 */
G_DECLARE_FINAL_TYPE (RhytonComparison, rhyton_comparison, RHYTON, COMPARISON, RhytonPart)

/** rhyton_comparison_is_busy: Returns: whether the rows are still to follow the job. */
gboolean rhyton_comparison_is_busy (RhytonComparison *self);

G_END_DECLS
