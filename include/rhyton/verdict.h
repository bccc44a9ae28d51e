/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/holding.h>
#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhyLevel:
 * @RHY_LEVEL_STOP: would spoil the blank or hit something: not ready
 * @RHY_LEVEL_CARE: look at this before burning
 * @RHY_LEVEL_NOTE: worth knowing
 */
typedef enum { RHY_LEVEL_STOP, RHY_LEVEL_CARE, RHY_LEVEL_NOTE } RhyLevel;

/**
 * RhyRemedyEdit: one key of the job file and what to set it to, as text.
 */
typedef struct
{
  char *group, *key, *value;
} RhyRemedyEdit;

/**
 * RhyRemedy:
 * @label: what it does, in a few words, e.g. "Move it to the free place"
 * @edits: (array length=n_edits): keys to set together
 *
 * What would mend a finding without anything else to be decided.
 */
typedef struct
{
  char         *label;
  gsize         n_edits;
  RhyRemedyEdit edits[2];
} RhyRemedy;

/**
 * RhyFinding:
 * @code: stable, e.g. "past-rim"
 * @message: one sentence with numbers and what to do
 * @height_mm, @angle_rad: the place it is about, NAN if none
 * @remedy: (nullable): a change of the job that takes the finding away
 */
typedef struct
{
  RhyLevel   level;
  char      *code;
  char      *message;
  double     height_mm, angle_rad;
  RhyRemedy *remedy;
} RhyFinding;

/**
 * RhyVerdict:
 *
 * What is to be said of a plan, worst first. Opaque, reference counted, immutable.
 */
typedef struct _RhyVerdict RhyVerdict;

/**
 * rhy_verdict_new:
 * @cancellable: (nullable): looked at between the long parts, within about a second
 *
 * Returns: (transfer full) (nullable): the verdict; %NULL only if cancelled.
 */
RHY_API
RhyVerdict *rhy_verdict_new (RhyPlan *plan, GCancellable *cancellable);
RHY_API
RhyVerdict *rhy_verdict_ref (RhyVerdict *self);
RHY_API
void rhy_verdict_unref (RhyVerdict *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyVerdict, rhy_verdict_unref)

RHY_API
gboolean rhy_verdict_is_ready (const RhyVerdict *self);
RHY_API
gsize rhy_verdict_get_n_findings (const RhyVerdict *self);
RHY_API
const RhyFinding *rhy_verdict_get_finding (const RhyVerdict *self, gsize i);
/** rhy_verdict_get_holding: Returns: what was judged of the job's own way of holding, over the whole drawing. */
RHY_API
const RhyHolding *rhy_verdict_get_holding (const RhyVerdict *self);
/** rhy_verdict_to_text: Returns: (transfer full): for a terminal, ending with a newline. */
RHY_API
char *rhy_verdict_to_text (const RhyVerdict *self);
/** rhy_verdict_to_json: Returns: (transfer full): one document, sorted keys, ending with a newline. */
RHY_API
char *rhy_verdict_to_json (const RhyVerdict *self);

/**
 * rhy_verdict_trouble_to_json:
 * @error: %RHY_ERROR_OUTSIDE from rhy_plan_new(): the job can be read, but nothing worked out
 *   from it, as with an anchor off the wall
 *
 * Returns: (transfer full): the document that says so: one stop, what is not known null.
 */
RHY_API
char *rhy_verdict_trouble_to_json (const RhyJob *job, const GError *error);

G_END_DECLS
