/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_LEARNER (rhyton_learner_get_type ())
/**
 * RhytonLearner:
 *
 * Readings of a test piece in; the machine's true travel per turn, and what else is
 * off, out; and where the maker says so, into the job or the machine's file.
 */
G_DECLARE_FINAL_TYPE (RhytonLearner, rhyton_learner, RHYTON, LEARNER, RhytonPart)

/** rhyton_learner_read_table: as if @file had been chosen as the ruler's table. */
void rhyton_learner_read_table (RhytonLearner *self, GFile *file);

G_END_DECLS
