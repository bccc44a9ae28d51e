/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

#define RHY_LAY_N_KINDS (RHY_LAY_LEAST_STRETCH + 1)

/**
 * RhyLayChoice:
 * @kind: the lay
 * @is_possible: whether all the ink has a place on the wall with it; the rest counts only then
 * @stretch: over the ink
 * @widest_mm, @narrowest_mm: heights where the greatest and the smallest scale factor stand
 */
typedef struct
{
  RhyLayKind      kind;
  gboolean        is_possible;
  RhyStretchRange stretch;
  double          widest_mm, narrowest_mm;
} RhyLayChoice;

/**
 * rhy_plan_compare_lays:
 * @choices: (out caller-allocates) (array fixed-size=7): by #RhyLayKind
 *
 * What every lay would make of the plan's artwork where it is. The numerical lay takes
 * a tenth of a second on a curved wall.
 */
RHY_API
void rhy_plan_compare_lays (const RhyPlan *self, RhyLayChoice choices[RHY_LAY_N_KINDS]);

/**
 * rhy_plan_recommend_lay:
 * @choices: from rhy_plan_compare_lays()
 * @reason: (out) (transfer full): why, in a few words
 *
 * Rolled where it stretches nothing; a ringed lay for a band of lettering that would
 * bend away from the rim; area-true for pictures on a curved wall; else the one of
 * least greatest stretch, the simpler one of two that are as good.
 */
RHY_API
RhyLayKind rhy_plan_recommend_lay (const RhyPlan *self, const RhyLayChoice choices[RHY_LAY_N_KINDS], char **reason);

G_END_DECLS
