/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <string.h>

#include "rhyton-document.h"

/* A blank of the catalogue in place of the job's vessel. */

static gboolean
is_of_vessel (const char *group)
{
  return strcmp (group, "Vessel") == 0 || g_str_has_prefix (group, "Zone ");
}

/* What belongs to the vessel before must not be read as the new one's: a handle
 * where there is none, or a capacity that no wall holds. */
static void
drop_vessel (GKeyFile *keys)
{
  g_auto (GStrv) groups = g_key_file_get_groups (keys, NULL);
  g_auto (GStrv) names = g_key_file_get_keys (keys, "Vessel", NULL, NULL);

  for (gsize i = 0; groups[i] != NULL; i++)
    if (g_str_has_prefix (groups[i], "Zone "))
      g_key_file_remove_group (keys, groups[i], NULL);
  for (gsize i = 0; names != NULL && names[i] != NULL; i++)
    g_key_file_remove_key (keys, "Vessel", names[i], NULL);
}

static void
copy_vessel (GKeyFile *from,
             GKeyFile *to)
{
  g_auto (GStrv) groups = g_key_file_get_groups (from, NULL);

  for (gsize i = 0; groups[i] != NULL; i++)
    {
      if (!is_of_vessel (groups[i]))
        continue;
      g_auto (GStrv) names = g_key_file_get_keys (from, groups[i], NULL, NULL);
      for (gsize k = 0; names[k] != NULL; k++)
        {
          g_autofree char *value = g_key_file_get_value (from, groups[i], names[k], NULL);
          g_key_file_set_value (to, groups[i], names[k], value);
        }
    }
}

/* Artwork above a lower vessel's rim could not even be shown: it goes to the middle. */
static void
bring_down (GKeyFile         *keys,
            const RhyJobData *artwork_of,
            const RhyJobData *vessel_of)
{
  const double low = vessel_of->vessel.heights_mm[0];
  const double high = vessel_of->vessel.heights_mm[vessel_of->vessel.n_stations - 1];

  for (gsize i = 0; i < artwork_of->n_artworks; i++)
    {
      const RhyJobArtwork *artwork = &artwork_of->artworks[i];
      if (artwork->at_mm < low || artwork->at_mm > high)
        g_key_file_remove_key (keys, artwork->group, "At", NULL);
    }
}

gboolean
rhyton_document_take_vessel (RhytonDocument  *self,
                             const RhyJob    *vessel,
                             GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && vessel != NULL, FALSE);
  g_return_val_if_fail (rhy_job_get_data (vessel)->vessel.n_stations > 0, FALSE);

  RhyJob *before_job = rhyton_document_get_job (self);
  const GKeyFileFlags flags = G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS;
  gsize length = 0, vessel_length = 0;
  g_autofree char *before = rhy_job_to_data (before_job, &length);
  g_autofree char *text = rhy_job_to_data (vessel, &vessel_length);
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autoptr (GKeyFile) from = g_key_file_new ();
  if (!g_key_file_load_from_data (keys, before, length, flags, error)
      || !g_key_file_load_from_data (from, text, vessel_length, G_KEY_FILE_NONE, error))
    return FALSE;

  drop_vessel (keys);
  copy_vessel (from, keys);
  bring_down (keys, rhy_job_get_data (before_job), rhy_job_get_data (vessel));
  g_autofree char *after = g_key_file_to_data (keys, &length, NULL);
  RhyJob *job = rhy_job_new_from_data (after, (gssize) length, rhy_job_get_path (before_job), error);
  if (job == NULL)
    return FALSE;
  rhyton_document_replace (self, "Choice of a blank", job);
  return TRUE;
}
