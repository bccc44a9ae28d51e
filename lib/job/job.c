/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/job.h>

#include "job-private.h"
#include "key-source.h"
#include "save.h"

#include <rhyton/intake.h>
#include <rhyton/lettering.h>

#include <stdlib.h>
#include <string.h>

static void
clear (gpointer data)
{
  RhyJob *self = data;
  g_clear_pointer (&self->file, g_key_file_unref);
  g_clear_pointer (&self->strings, g_string_chunk_free);
  g_free (self->path);
  g_free (self->heights);
  g_free (self->diameters);
  g_free (self->tapes);
  g_free (self->zones);
  g_free (self->artworks);
  g_strfreev (self->unknown);
}

/* @file: (transfer full). @text: (nullable): what @file was read from, for line numbers. */
static RhyJob *
new_from_key_file (GKeyFile   *file,
                   const char *path,
                   const char *text,
                   GError    **error)
{
  g_autoptr (RhyJob) self = g_atomic_rc_box_new0 (RhyJob);
  self->file = file;
  self->path = g_strdup (path);
  self->strings = g_string_chunk_new (256);
  return rhy_job_read (self, text, error) ? g_steal_pointer (&self) : NULL;
}

RhyJob *
rhy_job_new_from_data (const char *text,
                       gssize      length,
                       const char *path,
                       GError    **error)
{
  g_return_val_if_fail (text != NULL, NULL);

  const gsize n = length < 0 ? strlen (text) : (gsize) length;
  g_autofree char *copy = g_malloc (n + 1);
  memcpy (copy, text, n);
  copy[n] = '\0';

  GKeyFile *file = rhy_key_parse (copy, n, path != NULL ? path : "job", "a job file", rhy_job_is_artwork, error);
  return file != NULL ? new_from_key_file (file, path, copy, error) : NULL;
}

RhyJob *
rhy_job_new_from_file (const char *path,
                       GError    **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autofree char *text = NULL;
  gsize length = 0;
  if (!rhy_key_load (path, &text, &length, error))
    return NULL;
  return rhy_job_new_from_data (text, (gssize) length, path, error);
}

RhyJob *
rhy_job_ref (RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_job_unref (RhyJob *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

const RhyJobData *
rhy_job_get_data (const RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return &self->data;
}

const char *
rhy_job_get_path (const RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->path;
}

const char *const *
rhy_job_get_unknown_keys (const RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return (const char *const *) self->unknown;
}

char *
rhy_job_resolve (const RhyJob *self,
                 const char   *name)
{
  g_return_val_if_fail (self != NULL && name != NULL, NULL);

  if (g_path_is_absolute (name) || self->path == NULL || strchr (self->path, G_DIR_SEPARATOR) == NULL)
    return g_strdup (name);
  g_autofree char *folder = g_path_get_dirname (self->path);
  return g_build_filename (folder, name, NULL);
}

char *
rhy_job_to_data (const RhyJob *self,
                 gsize        *length)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_key_file_to_data (self->file, length, NULL);
}

static GKeyFile *
dup_key_file (const RhyJob *self)
{
  gsize length = 0;
  g_autofree char *text = g_key_file_to_data (self->file, &length, NULL);
  GKeyFile *file = g_key_file_new ();
  g_key_file_load_from_data (file, text, length, G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS, NULL);
  return file;
}

/* What GKeyFile would refuse with a warning, or would not read back. */
static gboolean
can_be_written (const char *group,
                const char *key,
                const char *value,
                GError    **error)
{
  const char *const parts[] = { group, key, value };
  const char *const forbidden[] = { "[]\n\r", "=[]\n\r", "\n\r" };
  for (gsize i = 0; i < G_N_ELEMENTS (parts); i++)
    if (parts[i] != NULL
        && (!g_utf8_validate (parts[i], -1, NULL) || strpbrk (parts[i], forbidden[i]) != NULL
            || (i < 2 && *parts[i] == '\0')))
      {
        g_autofree char *quote = rhy_key_quoted (parts[i], strlen (parts[i]));
        g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                     "%s: cannot stand in a job file: allowed: one line of UTF-8 text%s", quote,
                     i < 2 ? " without brackets" : "");
        return FALSE;
      }
  return TRUE;
}

RhyJob *
rhy_job_with (const RhyJob *self,
              const char   *group,
              const char   *key,
              const char   *value,
              GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL && key != NULL, NULL);

  if (!can_be_written (group, key, value, error))
    return NULL;
  GKeyFile *file = dup_key_file (self);
  if (value != NULL)
    g_key_file_set_value (file, group, key, value);
  else
    g_key_file_remove_key (file, group, key, NULL);
  return new_from_key_file (file, self->path, NULL, error);
}

RhyJob *
rhy_job_with_text (const RhyJob *self,
                   const char   *group,
                   const char   *key,
                   const char   *text,
                   GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL && key != NULL && text != NULL, NULL);

  /* Line breaks are escaped; the rest of the rules is the key file's. */
  if (!g_utf8_validate (text, -1, NULL) || !can_be_written (group, key, NULL, error))
    return rhy_job_with (self, group, key, text, error);
  GKeyFile *file = dup_key_file (self);
  g_key_file_set_string (file, group, key, text);
  return new_from_key_file (file, self->path, NULL, error);
}

static gboolean
is_new_group (GKeyFile   *file,
              const char *group,
              GError    **error)
{
  if (!can_be_written (group, "Key", NULL, error))
    return FALSE;
  if (!g_key_file_has_group (file, group))
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "[%s]: allowed: a group that is not there yet", group);
  return FALSE;
}

RhyJob *
rhy_job_with_copy (const RhyJob *self,
                   const char   *group,
                   const char   *copy,
                   GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL && copy != NULL, NULL);

  GKeyFile *file = dup_key_file (self);
  if (!is_new_group (file, copy, error))
    {
      g_key_file_unref (file);
      return NULL;
    }
  g_auto (GStrv) keys = g_key_file_get_keys (file, group, NULL, NULL);
  for (gsize i = 0; keys != NULL && keys[i] != NULL; i++)
    {
      g_autofree char *value = g_key_file_get_value (file, group, keys[i], NULL);
      g_key_file_set_value (file, copy, keys[i], value);
    }
  return new_from_key_file (file, self->path, NULL, error);
}

RhyJob *
rhy_job_without_group (const RhyJob *self,
                       const char   *group,
                       GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL, NULL);

  GKeyFile *file = dup_key_file (self);
  g_key_file_remove_group (file, group, NULL);
  return new_from_key_file (file, self->path, NULL, error);
}

RhyJob *
rhy_job_with_number (const RhyJob *self,
                     const char   *group,
                     const char   *key,
                     double        value,
                     GError      **error)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  return rhy_job_with (self, group, key, rhy_number_to_text (text, value), error);
}

const char *
rhy_number_to_text (char  *text,
                    double value)
{
  g_return_val_if_fail (text != NULL, NULL);

  /* 15 digits survive text-double-text, 17 double-text-double: one of three reads back. */
  const char *const formats[] = { "%.15g", "%.16g", "%.17g" };
  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    {
      g_ascii_formatd (text, G_ASCII_DTOSTR_BUF_SIZE, formats[i], value);
      if (g_ascii_strtod (text, NULL) == value)
        break;
    }
  return text;
}

/* ---- saving ---- */

static char *
real_folder (const char *path)
{
  g_autofree char *folder = g_path_get_dirname (path);
  return realpath (folder, NULL);
}

/* @path as seen from @folder (both real and absolute): beside or below it, or up and
 * down again; absolute where only the root is shared, for such a name would break by
 * moving either. */
static char *
seen_from (const char *folder,
           const char *path)
{
  g_auto (GStrv) f = g_strsplit (folder + 1, "/", -1);
  g_auto (GStrv) p = g_strsplit (path + 1, "/", -1);
  gsize same = 0;
  while (f[same] != NULL && p[same] != NULL && p[same + 1] != NULL && strcmp (f[same], p[same]) == 0)
    same++;
  const gboolean is_root = f[0] == NULL || *f[0] == '\0';
  if (same == 0 && !is_root)
    return g_strdup (path);

  GString *name = g_string_new (NULL);
  for (gsize i = same; !is_root && f[i] != NULL; i++)
    g_string_append (name, "../");
  for (gsize i = same; p[i] != NULL; i++)
    g_string_append_printf (name, "%s%s", i > same ? "/" : "", p[i]);
  return g_string_free (name, FALSE);
}

/* Names the same file from another folder. */
static void
move_name (const RhyJob *self,
           GKeyFile     *file,
           const char   *group,
           const char   *key,
           const char   *new_folder)
{
  g_autofree char *name = g_key_file_get_string (file, group, key, NULL);
  if (name == NULL || *name == '\0' || g_path_is_absolute (name))
    return;
  g_autofree char *path = rhy_job_resolve (self, name);
  g_autofree char *folder = real_folder (path);
  if (folder == NULL)
    return;                     /* nothing there to keep in touch with */
  g_autofree char *base = g_path_get_basename (path);
  g_autofree char *real = g_build_filename (folder, base, NULL);
  g_autofree char *moved = seen_from (new_folder, real);
  if (g_utf8_validate (moved, -1, NULL))
    g_key_file_set_string (file, group, key, moved);
}

RhyJob *
rhy_job_save (const RhyJob *self,
              const char   *path,
              GError      **error)
{
  g_return_val_if_fail (self != NULL && path != NULL, NULL);

  g_autoptr (GKeyFile) file = dup_key_file (self);
  g_autofree char *old_folder = real_folder (self->path != NULL ? self->path : "job");
  g_autofree char *new_folder = real_folder (path);
  if (new_folder != NULL && g_strcmp0 (old_folder, new_folder) != 0)
    {
      for (gsize i = 0; i < self->data.n_artworks; i++)
        move_name (self, file, self->data.artworks[i].group, "File", new_folder);
      move_name (self, file, "Machine", "File", new_folder);
      move_name (self, file, "Vessel", "Profile", new_folder);
    }

  gsize length = 0;
  g_autofree char *text = g_key_file_to_data (file, &length, NULL);
  if (!rhy_save (path, text, length, error))
    return NULL;
  return new_from_key_file (g_steal_pointer (&file), path, NULL, error);
}

RhyArtwork *
rhy_job_load_artwork (const RhyJob *self,
                      gsize         i,
                      GCancellable *cancellable,
                      GError      **error)
{
  g_return_val_if_fail (self != NULL && i < self->data.n_artworks, NULL);

  const RhyJobArtwork *a = &self->artworks[i];
  const char *name = self->path != NULL ? self->path : "job";
  if (a->text != NULL)
    {
      RhyArtwork *lettering = rhy_lettering_new (a->text, a->font, NULL, cancellable, error);
      if (lettering == NULL)
        g_prefix_error (error, "%s: [%s] Text: ", name, a->group);
      return lettering;
    }
  if (a->file == NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: [%s] File: missing: allowed: the name of an SVG, PNG or JPEG file",
                   name, a->group);
      return NULL;
    }
  g_autofree char *path = rhy_job_resolve (self, a->file);
  RhyArtwork *artwork = rhy_intake_file (path, NULL, cancellable, error);
  if (artwork == NULL)
    {
      g_prefix_error (error, "%s: ", path);
      rhy_job_say_who_names (self, a->group, "File", error);
    }
  return artwork;
}
