/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-flat-view.h"
#include "rhyton-vessel-view.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_STAGE (rhyton_stage_get_type ())
/**
 * RhytonStage:
 *
 * The three views of a document: one large, the other two small beside it. The
 * property "large" ("vessel", "pattern" or "bed") says which.
 */
G_DECLARE_FINAL_TYPE (RhytonStage, rhyton_stage, RHYTON, STAGE, RhytonPart)

void rhyton_stage_set_large (RhytonStage *self, const char *name);
const char *rhyton_stage_get_large (RhytonStage *self);
RhytonVesselView *rhyton_stage_get_vessel_view (RhytonStage *self);
RhytonFlatView *rhyton_stage_get_pattern_view (RhytonStage *self);
RhytonFlatView *rhyton_stage_get_bed_view (RhytonStage *self);
/** rhyton_stage_point_at: shows a wall point in every view until the job changes. */
void rhyton_stage_point_at (RhytonStage *self, RhyWallPoint at);
/** rhyton_stage_is_busy: Returns: whether a view is not yet up to date. */
gboolean rhyton_stage_is_busy (RhytonStage *self);

G_END_DECLS
