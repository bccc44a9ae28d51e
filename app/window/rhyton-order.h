/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-sources.h"

G_BEGIN_DECLS

/**
 * RhytonOrder: a job to be worked out, and what is known already. All in it is immutable, for a thread.
 * @sources: of #RhytonSource
 * @plan: (nullable): the last one, to be renewed where the artwork is the same
 */
typedef struct
{
  RhyJob    *job;
  GPtrArray *sources;
  RhyPlan   *plan;
} RhytonOrder;

/**
 * RhytonOutcome:
 * @plan: (nullable)
 * @is_bare: the plan is of the vessel alone, see @error
 * @missing: (nullable): an artwork file that is not there
 * @error: (nullable): why it is not all that the job says
 * @sources: of the files that could be read
 */
typedef struct
{
  RhyJob    *job;
  RhyPlan   *plan;
  gboolean   is_bare;
  char      *missing;
  GError    *error;
  GPtrArray *sources;
} RhytonOutcome;

void rhyton_order_clear (RhytonOrder *self);
/** rhyton_order_work_out: what can be shown of the job; never %NULL. */
RhytonOutcome *rhyton_order_work_out (const RhytonOrder *order, GCancellable *cancellable);
/** rhyton_order_plan: Returns: (transfer full): the plan of the whole job, or %NULL with the error: for what is made. */
RhyPlan *rhyton_order_plan (const RhytonOrder *order, GCancellable *cancellable, GError **error);
void rhyton_outcome_free (RhytonOutcome *self);

G_END_DECLS
