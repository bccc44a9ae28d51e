/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-edits.h"

#include <string.h>

#include <gio/gio.h>

/* ---- names of files ---- */

/* Beside the job or below it: named from there, so that the folder can travel. */
char *
rhyton_edits_name_file (const RhyJob *job,
                        const char   *path)
{
  const char *job_path = rhy_job_get_path (job);
  if (job_path == NULL)
    return g_strdup (path);
  g_autoptr (GFile) job_file = g_file_new_for_path (job_path);
  g_autoptr (GFile) folder = g_file_get_parent (job_file);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  char *relative = folder != NULL ? g_file_get_relative_path (folder, file) : NULL;
  return relative != NULL ? relative : g_strdup (path);
}

/* The job with every drawing beside or below it named from there, as far as that can be. */
static RhyJob *
shorten_names (RhyJob *job)
{
  g_autoptr (RhyJob) now = rhy_job_ref (job);

  for (gsize i = 0; i < rhy_job_get_data (job)->n_artworks; i++)
    {
      const RhyJobArtwork *artwork = &rhy_job_get_data (job)->artworks[i];
      if (artwork->file == NULL || !g_path_is_absolute (artwork->file))
        continue;
      g_autofree char *name = rhyton_edits_name_file (job, artwork->file);
      RhyJob *renamed = g_path_is_absolute (name) ? NULL : rhy_job_with_text (now, artwork->group, "File", name, NULL);
      if (renamed == NULL)
        continue;
      rhy_job_unref (now);
      now = renamed;
    }
  return g_steal_pointer (&now);
}

RhyJob *
rhyton_edits_save (RhyJob      *job,
                   const char  *path,
                   GError     **error)
{
  g_return_val_if_fail (job != NULL && path != NULL, NULL);

  RhyJob *saved = rhy_job_save (job, path, error);
  if (saved == NULL)
    return NULL;
  /* What cannot be bettered stays. */
  g_autoptr (RhyJob) shortened = shorten_names (saved);
  RhyJob *again = shortened != saved ? rhy_job_save (shortened, path, NULL) : NULL;
  if (again == NULL)
    return saved;
  rhy_job_unref (saved);
  return again;
}

/* ---- keys ---- */

/* Of a size there is one: another way to say it takes the place of what said it before. */
static const char *const sizes[] = { "Width", "Height", "Span", "FontSize", NULL };

static gboolean
is_size (const RhytonEdit *edit)
{
  return strcmp (edit->group, "Artwork") == 0 && edit->value != NULL && g_strv_contains (sizes, edit->key);
}

static void
drop_other_sizes (GKeyFile         *keys,
                  const char       *group,
                  const RhytonEdit *edit)
{
  if (!is_size (edit))
    return;
  for (gsize i = 0; sizes[i] != NULL; i++)
    if (strcmp (sizes[i], edit->key) != 0)
      g_key_file_remove_key (keys, group, sizes[i], NULL);
}

/* Several keys change together, so that lists which must match in length can. */
RhyJob *
rhyton_edits_apply (const RhyJob      *job,
                    const char        *artwork,
                    const RhytonEdit  *edits,
                    gsize              n,
                    GError           **error)
{
  g_return_val_if_fail (job != NULL && artwork != NULL, NULL);

  gsize length = 0;
  g_autofree char *before = rhy_job_to_data (job, &length);
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  const GKeyFileFlags flags = G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS;
  if (!g_key_file_load_from_data (keys, before, length, flags, error))
    return NULL;
  for (gsize i = 0; i < n; i++)
    {
      const char *group = strcmp (edits[i].group, "Artwork") == 0 ? artwork : edits[i].group;
      drop_other_sizes (keys, group, &edits[i]);
      if (edits[i].value != NULL)
        g_key_file_set_value (keys, group, edits[i].key, edits[i].value);
      else
        g_key_file_remove_key (keys, group, edits[i].key, NULL);
    }
  g_autofree char *after = g_key_file_to_data (keys, &length, NULL);
  return rhy_job_new_from_data (after, (gssize) length, rhy_job_get_path (job), error);
}

/* The order of the groups says which artwork is the mark, so it must not change. */
static char *
with_group_line (const char *text,
                 const char *from,
                 const char *to)
{
  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
  g_autofree char *old = g_strdup_printf ("[%s]", from);

  for (gsize i = 0; lines[i] != NULL; i++)
    {
      g_autofree char *line = g_strstrip (g_strdup (lines[i]));
      if (strcmp (line, old) != 0)
        continue;
      g_free (lines[i]);
      lines[i] = g_strdup_printf ("[%s]", to);
      break;
    }
  return g_strjoinv ("\n", lines);
}

RhyJob *
rhyton_edits_rename_group (const RhyJob  *job,
                           const char    *from,
                           const char    *to,
                           GError       **error)
{
  g_return_val_if_fail (job != NULL && from != NULL && to != NULL, NULL);

  g_autofree char *text = rhy_job_to_data (job, NULL);
  g_autofree char *renamed = with_group_line (text, from, to);
  return rhy_job_new_from_data (renamed, -1, rhy_job_get_path (job), error);
}
