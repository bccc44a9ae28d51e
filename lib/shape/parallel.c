/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "parallel.h"

typedef struct
{
  gatomicrefcount refs;         /* the caller's, and each helper's that is still to come */
  guint    n;
  int      next;
  guint    done;                /* under the lock */
  GMutex   lock;
  GCond    finished;
  RhyPiece piece;
  gpointer data;
} Work;

/* Not NULL in a thread that is one of many at work already. */
static GPrivate alone;

void
rhy_parallel_stay_alone (gboolean stay)
{
  g_private_set (&alone, GINT_TO_POINTER (stay));
}

static Work *
work_new (guint    n,
          RhyPiece piece,
          gpointer data)
{
  Work *work = g_new0 (Work, 1);
  g_atomic_ref_count_init (&work->refs);
  g_mutex_init (&work->lock);
  g_cond_init (&work->finished);
  work->n = n;
  work->piece = piece;
  work->data = data;
  return work;
}

static void
work_unref (Work *work)
{
  if (!g_atomic_ref_count_dec (&work->refs))
    return;
  g_mutex_clear (&work->lock);
  g_cond_clear (&work->finished);
  g_free (work);
}

static void
take_pieces (Work *work)
{
  guint did = 0;
  for (;; did++)
    {
      const guint i = (guint) g_atomic_int_add (&work->next, 1);
      if (i >= work->n)
        break;
      work->piece (i, work->data);
    }
  if (did == 0)
    return;
  g_mutex_lock (&work->lock);
  work->done += did;
  if (work->done == work->n)
    g_cond_signal (&work->finished);
  g_mutex_unlock (&work->lock);
}

/* One that comes when all is taken, or done, finds nothing to do. */
static void
help (gpointer item,
      gpointer data)
{
  Work *work = item;
  (void) data;
  rhy_parallel_stay_alone (TRUE);
  take_pieces (work);
  rhy_parallel_stay_alone (FALSE);
  work_unref (work);
}

/* GLib keeps its threads for a while: starting one takes as long as bending a small drawing. NULL where
 * there are none to be had. */
static GThreadPool *
helpers (void)
{
  static GThreadPool *pool;
  static gsize made = 0;
  if (g_once_init_enter (&made))
    {
      pool = g_thread_pool_new (help, NULL, -1, FALSE, NULL);
      g_once_init_leave (&made, 1);
    }
  return pool;
}

static gboolean
ask_for_help (Work *work)
{
  g_autoptr (GError) error = NULL;
  g_atomic_ref_count_inc (&work->refs);
  /* Where no thread can be had, the item waits for one that may never come: the caller does the work. */
  return g_thread_pool_push (helpers (), work, &error);
}

void
rhy_parallel_get_ready (void)
{
  if (g_get_num_processors () < 2 || helpers () == NULL)
    return;
  Work *nothing = work_new (0, NULL, NULL);
  ask_for_help (nothing);
  work_unref (nothing);
}

void
rhy_parallel (guint    n,
              guint    threads,
              RhyPiece piece,
              gpointer data)
{
  const gpointer before = g_private_get (&alone);
  const guint want = before != NULL ? 1 : MIN (MIN (threads == 0 ? g_get_num_processors () : threads, 64u), n);
  if (want <= 1 || helpers () == NULL)
    {
      for (guint i = 0; i < n; i++)
        piece (i, data);
      return;
    }

  Work *work = work_new (n, piece, data);
  rhy_parallel_stay_alone (TRUE);
  for (guint i = 1; i < want && ask_for_help (work); i++)
    ;
  take_pieces (work);
  g_private_set (&alone, before);
  g_mutex_lock (&work->lock);
  while (work->done < n)
    g_cond_wait (&work->finished, &work->lock);
  g_mutex_unlock (&work->lock);
  work_unref (work);
}
