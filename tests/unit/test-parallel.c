/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include "../../lib/shape/parallel.h"

enum { N = 1000 };

typedef struct
{
  int      count[N];            /* of times that a piece was done */
  GThread *by[N];
  int      inner;
} Seen;

static void
note (guint    i,
      gpointer data)
{
  Seen *seen = data;
  g_atomic_int_inc (&seen->count[i]);
  seen->by[i] = g_thread_self ();
  if (i < 4)
    g_usleep (20000);           /* long enough for somebody else to come */
}

static void
expect_each_once (const Seen *seen,
                  guint       n)
{
  for (guint i = 0; i < N; i++)
    assert_int_equal (seen->count[i], i < n ? 1 : 0);
}

static guint
threads_of (const Seen *seen,
            guint       n)
{
  g_autoptr (GHashTable) met = g_hash_table_new (NULL, NULL);
  for (guint i = 0; i < n; i++)
    g_hash_table_add (met, seen->by[i]);
  return g_hash_table_size (met);
}

static void
test_each_piece_is_done_once (void **state)
{
  static const guint sizes[] = { 0, 1, 2, 3, 17, N };
  (void) state;
  rhy_parallel_get_ready ();
  for (gsize k = 0; k < G_N_ELEMENTS (sizes); k++)
    for (guint threads = 0; threads <= 8; threads++)
      {
        Seen seen = { { 0 }, { NULL }, 0 };
        rhy_parallel (sizes[k], threads, note, &seen);
        expect_each_once (&seen, sizes[k]);
        assert_true (threads_of (&seen, sizes[k]) <= (threads == 0 ? MAX (g_get_num_processors (), 1) : threads) || sizes[k] == 0);
      }
}

static void
test_several_work_at_once (void **state)
{
  Seen seen = { { 0 }, { NULL }, 0 };
  (void) state;
  rhy_parallel (4, 4, note, &seen);
  expect_each_once (&seen, 4);
  assert_true (threads_of (&seen, 4) > 1);
}

static void
test_one_stays_alone (void **state)
{
  Seen seen = { { 0 }, { NULL }, 0 };
  (void) state;
  rhy_parallel_stay_alone (TRUE);
  rhy_parallel (N, 8, note, &seen);
  rhy_parallel_stay_alone (FALSE);
  expect_each_once (&seen, N);
  assert_int_equal (threads_of (&seen, N), 1);
  assert_ptr_equal (seen.by[0], g_thread_self ());
}

static void
note_within (guint    i,
             gpointer data)
{
  Seen own = { { 0 }, { NULL }, 0 };
  (void) i;
  rhy_parallel (8, 8, note, &own);
  expect_each_once (&own, 8);
  if (threads_of (&own, 8) == 1)
    g_atomic_int_inc (&((Seen *) data)->inner);
}

/* And the thread that asked is no longer alone afterwards. */
static void
test_pieces_share_no_more (void **state)
{
  Seen seen = { { 0 }, { NULL }, 0 };
  (void) state;
  rhy_parallel (6, 4, note_within, &seen);
  assert_int_equal (seen.inner, 6);
  test_several_work_at_once (state);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_each_piece_is_done_once),
    cmocka_unit_test (test_several_work_at_once),
    cmocka_unit_test (test_one_stays_alone),
    cmocka_unit_test (test_pieces_share_no_more),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
