/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <stdio.h>
#include <string.h>
#include <sys/stat.h>

#include <glib/gstdio.h>

static gboolean
is_same_file (const char *a,
              const char *b)
{
  GStatBuf sa, sb;
  return a != NULL && g_stat (a, &sa) == 0 && g_stat (b, &sb) == 0 && S_ISREG (sa.st_mode)
         && sa.st_dev == sb.st_dev && sa.st_ino == sb.st_ino;
}

/* A drawing named like the artwork it was made from would be the end of the artwork. */
static gboolean
is_source (RhyJob     *job,
           const char *name)
{
  const RhyJobData *d = rhy_job_get_data (job);
  const char *const files[] = { d->machine.file, d->vessel.profile_file };
  if (is_same_file (rhy_job_get_path (job), name))
    return TRUE;
  for (gsize i = 0; i < d->n_artworks; i++)
    {
      g_autofree char *path = d->artworks[i].file != NULL ? rhy_job_resolve (job, d->artworks[i].file) : NULL;
      if (is_same_file (path, name))
        return TRUE;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (files); i++)
    {
      g_autofree char *path = files[i] != NULL ? rhy_job_resolve (job, files[i]) : NULL;
      if (is_same_file (path, name))
        return TRUE;
    }
  return FALSE;
}

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
      if (cli_print (data, length))
        return TRUE;
      g_set_error_literal (error, G_FILE_ERROR, G_FILE_ERROR_IO, "standard output: cannot be written");
      return FALSE;
    }
  if (is_source (rhy_plan_get_job (plan), name))
    {
      g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_EXIST, "%s: the job is made from this file; name another with -o", name);
      return FALSE;
    }
  if (!rhy_drawing_save (bytes, name, error))
    return FALSE;
  fprintf (stderr, "rhyton-cli: wrote %s\n", name);
  return TRUE;
}
