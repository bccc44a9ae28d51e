/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <sys/stat.h>

#include <glib/gstdio.h>

#include <rhyton/job.h>

static gboolean
is_same_file (const char *a,
              const char *b)
{
  GStatBuf sa, sb;
  return a != NULL && g_stat (a, &sa) == 0 && g_stat (b, &sb) == 0 && S_ISREG (sa.st_mode)
         && sa.st_dev == sb.st_dev && sa.st_ino == sb.st_ino;
}

gboolean
rhy_job_is_made_from (const RhyJob *job,
                      const char   *name)
{
  g_return_val_if_fail (job != NULL && name != NULL, FALSE);

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
