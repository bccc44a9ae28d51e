/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-worker.h"

struct _RhytonWorker
{
  gatomicrefcount          count;       /* the owner's, and two per task: a task may die in its thread */
  const RhytonWorkerClass *klass;
  gpointer                 owner;       /* NULL once freed */
  GCancellable            *running;     /* of the task under way */
  gboolean                 requested;   /* while it is */
  gint64                   began_us;    /* the last one */
  guint                    later;       /* source id */
};

typedef struct
{
  RhytonWorker *worker;
  gpointer      input;
} Order;

static void
unref_worker (RhytonWorker *self)
{
  if (g_atomic_ref_count_dec (&self->count))
    g_free (self);
}

static void
free_order (gpointer data)
{
  Order *order = data;
  order->worker->klass->free_input (order->input);
  unref_worker (order->worker);
  g_free (order);
}

static void
run_order (GTask        *task,
           gpointer      source,
           gpointer      data,
           GCancellable *cancellable)
{
  Order *order = data;
  const RhytonWorkerClass *klass = order->worker->klass;
  g_task_return_pointer (task, klass->work (order->input, cancellable), klass->free_result);
}

static void
order_done (GObject      *source,
            GAsyncResult *result,
            gpointer      data)
{
  RhytonWorker *self = data;
  GCancellable *cancellable = g_task_get_cancellable (G_TASK (result));
  const gboolean wanted = self->owner != NULL && !g_cancellable_is_cancelled (cancellable);
  gpointer product = g_task_propagate_pointer (G_TASK (result), NULL);

  g_clear_object (&self->running);
  if (!wanted)
    g_clear_pointer (&product, self->klass->free_result);
  if (product != NULL)
    self->klass->done (self->owner, product);
  if (self->requested && self->owner != NULL)
    {
      self->requested = FALSE;
      rhyton_worker_request (self);
    }
  unref_worker (self);
}

RhytonWorker *
rhyton_worker_new (const RhytonWorkerClass *klass,
                   gpointer                 owner)
{
  g_return_val_if_fail (klass != NULL && owner != NULL, NULL);

  RhytonWorker *self = g_new0 (RhytonWorker, 1);
  g_atomic_ref_count_init (&self->count);
  self->klass = klass;
  self->owner = owner;
  return self;
}

void
rhyton_worker_free (RhytonWorker *self)
{
  g_return_if_fail (self != NULL);

  rhyton_worker_cancel (self);
  self->owner = NULL;
  unref_worker (self);
}

void
rhyton_worker_request (RhytonWorker *self)
{
  g_return_if_fail (self != NULL && self->owner != NULL);

  g_clear_handle_id (&self->later, g_source_remove);
  if (self->running != NULL)
    {
      self->requested = TRUE;
      return;
    }
  self->began_us = g_get_monotonic_time ();
  gpointer input = self->klass->gather (self->owner);
  if (input == NULL)
    return;

  Order *order = g_new (Order, 1);
  order->worker = self;
  order->input = input;
  g_atomic_ref_count_inc (&self->count);
  g_atomic_ref_count_inc (&self->count);
  self->running = g_cancellable_new ();

  g_autoptr (GTask) task = g_task_new (NULL, self->running, order_done, self);
  /* A cancelled task still hands over what it made, for us to free. */
  g_task_set_check_cancellable (task, FALSE);
  g_task_set_task_data (task, order, free_order);
  g_task_run_in_thread (task, run_order);
}

static gboolean
later_is_now (gpointer data)
{
  RhytonWorker *self = data;
  self->later = 0;
  rhyton_worker_request (self);
  return G_SOURCE_REMOVE;
}

void
rhyton_worker_request_spaced (RhytonWorker *self,
                              guint         least_ms)
{
  g_return_if_fail (self != NULL && self->owner != NULL);

  const gint64 since_ms = (g_get_monotonic_time () - self->began_us) / 1000;
  if (since_ms >= least_ms)
    rhyton_worker_request (self);
  else if (self->later == 0)
    self->later = g_timeout_add (least_ms - (guint) since_ms, later_is_now, self);
}

void
rhyton_worker_cancel (RhytonWorker *self)
{
  g_return_if_fail (self != NULL);

  g_clear_handle_id (&self->later, g_source_remove);
  self->requested = FALSE;
  if (self->running != NULL)
    g_cancellable_cancel (self->running);
}

gboolean
rhyton_worker_is_busy (const RhytonWorker *self)
{
  return self->requested || self->later != 0
         || (self->running != NULL && !g_cancellable_is_cancelled (self->running));
}
