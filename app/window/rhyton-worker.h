/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

/**
 * RhytonWorker:
 *
 * Does one kind of slow work in a thread, one piece at a time, always on the
 * newest state: asking again while it works makes it take the state of the
 * moment once it is done. A pointer that drags faster than the work is done sees
 * every result that gets ready, and the last one in the end.
 */
typedef struct _RhytonWorker RhytonWorker;

/**
 * RhytonWorkerClass:
 * @gather: Returns: (transfer full) (nullable): the input, immutable or copied, from
 *   the owner's state; %NULL: nothing to do. In the main thread.
 * @work: Returns: (transfer full) (nullable): the result. In a thread, never two at
 *   once for one worker; @cancellable is triggered when nobody wants it any more.
 * @done: @result: (transfer full): in the main thread, never for cancelled work
 * @free_input: frees what @gather made, in either thread
 * @free_result: frees what @work made
 */
typedef struct
{
  gpointer (*gather) (gpointer owner);
  gpointer (*work) (gpointer input, GCancellable *cancellable);
  void (*done) (gpointer owner, gpointer result);
  GDestroyNotify free_input;
  GDestroyNotify free_result;
} RhytonWorkerClass;

/** rhyton_worker_new: @klass: static; @owner: unowned: rhyton_worker_free() before it goes. */
RhytonWorker *rhyton_worker_new (const RhytonWorkerClass *klass, gpointer owner);
/** rhyton_worker_free: cancels what runs; the owner is not called any more. */
void rhyton_worker_free (RhytonWorker *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhytonWorker, rhyton_worker_free)

/** rhyton_worker_request: the owner's state has changed: work on it. */
void rhyton_worker_request (RhytonWorker *self);
/** rhyton_worker_request_spaced: as rhyton_worker_request(), but no sooner than @least_ms after the work before began. */
void rhyton_worker_request_spaced (RhytonWorker *self, guint least_ms);
/** rhyton_worker_cancel: drops the request and the result of what runs. */
void rhyton_worker_cancel (RhytonWorker *self);
/** rhyton_worker_is_busy: Returns: whether a result is still to come. */
gboolean rhyton_worker_is_busy (const RhytonWorker *self);

G_END_DECLS
