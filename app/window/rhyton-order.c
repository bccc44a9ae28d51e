/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-order.h"

#include <string.h>

void
rhyton_order_clear (RhytonOrder *self)
{
  rhy_job_unref (self->job);
  g_ptr_array_unref (self->sources);
  g_clear_pointer (&self->plan, rhy_plan_unref);
}

void
rhyton_outcome_free (RhytonOutcome *self)
{
  rhy_job_unref (self->job);
  g_clear_pointer (&self->plan, rhy_plan_unref);
  g_free (self->missing);
  g_clear_error (&self->error);
  g_ptr_array_unref (self->sources);
  g_free (self);
}

/* What an edit has not touched, the sized and outlined artwork above all, is taken
 * over from the plan before: that is what makes dragging follow the hand. */
static RhyPlan *
plan_of (const RhytonOrder     *order,
         const RhytonGathered  *gathered,
         GCancellable          *cancellable,
         GError               **error)
{
  return rhy_plan_new_like (order->job, gathered->artworks, order->plan, cancellable, error);
}

/* The vessel and its zones alone are still better to look at than nothing. */
static RhyPlan *
bare_plan_of (const RhytonOrder *order,
              GCancellable      *cancellable)
{
  const RhyJobData *data = rhy_job_get_data (order->job);
  g_autoptr (RhyJob) bare = rhy_job_ref (order->job);
  RhyArtwork *none[1] = { NULL };

  for (gsize i = 0; i < data->n_artworks; i++)
    {
      RhyJob *without = rhy_job_without_group (bare, data->artworks[i].group, NULL);
      if (without == NULL)
        return NULL;
      rhy_job_unref (bare);
      bare = without;
    }
  return rhy_plan_new_like (bare, none, order->plan, cancellable, NULL);
}

static char *
find_missing (const RhytonGathered *gathered,
              RhyJob               *job)
{
  const RhyJobData *data = rhy_job_get_data (job);

  for (gsize i = 0; gathered->missing->len > 0 && i < data->n_artworks; i++)
    if (strcmp (data->artworks[i].group, gathered->missing->pdata[0]) == 0)
      {
        g_autofree char *path = rhy_job_resolve (job, data->artworks[i].file);
        return g_file_test (path, G_FILE_TEST_EXISTS) ? NULL : g_steal_pointer (&path);
      }
  return NULL;
}

RhyPlan *
rhyton_order_plan (const RhytonOrder  *order,
                   GCancellable       *cancellable,
                   GError            **error)
{
  g_return_val_if_fail (order != NULL, NULL);

  g_autoptr (RhytonGathered) gathered = rhyton_sources_gather (order->sources, order->job, cancellable);
  if (gathered->error == NULL)
    return plan_of (order, gathered, cancellable, error);
  g_propagate_error (error, g_steal_pointer (&gathered->error));
  return NULL;
}

RhytonOutcome *
rhyton_order_work_out (const RhytonOrder *order,
                       GCancellable      *cancellable)
{
  g_return_val_if_fail (order != NULL, NULL);

  g_autoptr (RhytonGathered) gathered = rhyton_sources_gather (order->sources, order->job, cancellable);
  RhytonOutcome *outcome = g_new0 (RhytonOutcome, 1);

  outcome->job = rhy_job_ref (order->job);
  outcome->sources = g_ptr_array_ref (gathered->sources);
  outcome->error = g_steal_pointer (&gathered->error);
  outcome->missing = find_missing (gathered, order->job);
  if (gathered->missing->len == 0)
    outcome->plan = plan_of (order, gathered, cancellable, outcome->error == NULL ? &outcome->error : NULL);
  if (outcome->plan == NULL && !g_cancellable_is_cancelled (cancellable))
    {
      outcome->plan = bare_plan_of (order, cancellable);
      outcome->is_bare = TRUE;
    }
  return outcome;
}
