/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

gboolean
cli_save (const RhyPlan *plan,
          GBytes        *bytes,
          const char    *name,
          GError       **error)
{
  if (strcmp (name, "-") == 0)
    {
      gsize length = 0;
      const char *data = g_bytes_get_data (bytes, &length);
      if (cli_write (data, length))
        return TRUE;
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_IO, "standard output: %s", g_strerror (errno));
      return FALSE;
    }
  if (rhy_job_is_made_from (rhy_plan_get_job (plan), name))
    {
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_EXIST, "%s: the job is made from this file; name another with -o", name);
      return FALSE;
    }
  if (!rhy_drawing_save (bytes, name, error))
    return FALSE;
  fprintf (stderr, "rhyton-cli: wrote %s\n", name);
  return TRUE;
}
