/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/error.h>

#include "error-line.h"

#include <string.h>

G_DEFINE_QUARK (rhy-error-quark, rhy_error)

char *
rhy_error_line (const char *text,
                gssize      length,
                gsize       max)
{
  const gsize n = MIN (length < 0 ? strlen (text) : (gsize) length, max);
  char *line = g_utf8_make_valid (text, (gssize) n);
  for (char *c = line; *c != '\0'; c++)
    if (g_ascii_iscntrl (*c))
      *c = ' ';
  return line;
}
