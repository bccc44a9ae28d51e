/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "parallel.h"

typedef struct
{
  guint    n;
  int      next;
  RhyPiece piece;
  gpointer data;
} Work;

static gpointer
take_pieces (gpointer data)
{
  Work *work = data;
  for (;;)
    {
      const guint i = (guint) g_atomic_int_add (&work->next, 1);
      if (i >= work->n)
        return NULL;
      work->piece (i, work->data);
    }
}

void
rhy_parallel (guint    n,
              guint    threads,
              RhyPiece piece,
              gpointer data)
{
  Work work = { .n = n, .piece = piece, .data = data };
  GThread *helpers[63];
  guint count = 0;
  const guint want = MIN (MIN (threads == 0 ? g_get_num_processors () : threads, G_N_ELEMENTS (helpers) + 1), n);
  while (count + 1 < want)
    {
      /* Where no thread can be had, this one does the work. */
      helpers[count] = g_thread_try_new ("rhy-parallel", take_pieces, &work, NULL);
      if (helpers[count] == NULL)
        break;
      count++;
    }
  take_pieces (&work);
  while (count > 0)
    g_thread_join (helpers[--count]);
}
