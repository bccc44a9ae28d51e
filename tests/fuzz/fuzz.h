/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/rhyton.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* libFuzzer's two entry points. */
int LLVMFuzzerInitialize (int *argc, char ***argv);
int LLVMFuzzerTestOneInput (const guint8 *data, gsize size);

/* What must hold whatever the input; the fuzzer counts an abort as a find. */
#define MUST(what) \
  G_STMT_START { \
    if (!(what)) \
      { \
        fprintf (stderr, "%s:%d: not so: %s\n", __FILE__, __LINE__, #what); \
        abort (); \
      } \
  } G_STMT_END

/* A failed read says why in one line, a good one says nothing. */
static inline void
must_be_told (gboolean      ok,
              const GError *error)
{
  MUST (ok == (error == NULL));
  if (error != NULL && (strchr (error->message, '\n') != NULL || !g_utf8_validate (error->message, -1, NULL)))
    fprintf (stderr, "message: \"%s\"\n", error->message);
  MUST (error == NULL || (*error->message != '\0' && strchr (error->message, '\n') == NULL
                          && g_utf8_validate (error->message, -1, NULL)));
}
