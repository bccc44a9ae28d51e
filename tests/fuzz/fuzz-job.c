/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include <string.h>

/* A job file: read, written and read again it is the same. */

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  return 0;
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data ((const char *) data, (gssize) size, NULL, &error);
  must_be_told (job != NULL, error);
  if (job == NULL)
    return 0;

  gsize length, again_length;
  g_autofree char *text = rhy_job_to_data (job, &length);
  g_autoptr (RhyJob) again = rhy_job_new_from_data (text, (gssize) length, NULL, &error);
  MUST (again != NULL);
  g_autofree char *again_text = rhy_job_to_data (again, &again_length);
  /* A carriage return at the very end is the one thing that GLib loses on the way. */
  MUST ((length == again_length && memcmp (text, again_text, length) == 0) || memchr (data, '\r', size) != NULL);
  return 0;
}
