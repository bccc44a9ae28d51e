/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-paste.h"

#include <errno.h>
#include <glib/gstdio.h>
#include <string.h>

#include <rhyton/intake.h>

#define NAMES_MAX 1000

typedef struct
{
  char       *folder;           /* nullable */
  char       *stem;
  const char *suffix;           /* of the bytes being read */
  gboolean    is_new;
} Paste;

/* In the order in which they are wanted. */
static const struct { const char *type, *suffix; } kinds[] = {
  { "image/svg+xml", ".svg" },
  { "image/png", ".png" },
  { "image/jpeg", ".jpg" },
};

static void
free_paste (gpointer data)
{
  Paste *paste = data;
  g_free (paste->folder);
  g_free (paste->stem);
  g_free (paste);
}

static void
fail (GTask      *task,
      const char *why)
{
  g_task_return_new_error (task, G_IO_ERROR, G_IO_ERROR_NOT_SUPPORTED, "%s", why);
  g_object_unref (task);
}

static void
fail_with (GTask  *task,
           GError *error)
{
  g_task_return_error (task, error);
  g_object_unref (task);
}

/* ---- keeping ---- */

/* Nothing that is there already is written over. */
static char *
write_new (const char  *folder,
           const char  *stem,
           const char  *suffix,
           GBytes      *bytes,
           GError     **error)
{
  for (guint i = 1; i <= NAMES_MAX; i++)
    {
      g_autofree char *name = i == 1 ? g_strconcat (stem, "-pasted", suffix, NULL)
                                     : g_strdup_printf ("%s-pasted-%u%s", stem, i, suffix);
      g_autofree char *path = g_build_filename (folder, name, NULL);
      g_autoptr (GFile) file = g_file_new_for_path (path);
      g_autoptr (GError) trouble = NULL;
      g_autoptr (GFileOutputStream) stream = g_file_create (file, G_FILE_CREATE_NONE, NULL, &trouble);
      if (stream == NULL && g_error_matches (trouble, G_IO_ERROR, G_IO_ERROR_EXISTS))
        continue;
      if (stream != NULL
          && g_output_stream_write_all (G_OUTPUT_STREAM (stream), g_bytes_get_data (bytes, NULL), g_bytes_get_size (bytes), NULL, NULL, &trouble)
          && g_output_stream_close (G_OUTPUT_STREAM (stream), NULL, &trouble))
        return g_steal_pointer (&path);
      if (stream != NULL)
        g_unlink (path);
      g_propagate_error (error, g_steal_pointer (&trouble));
      return NULL;
    }
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_EXISTS, "%s has %d pasted drawings already: remove some", folder, NAMES_MAX);
  return NULL;
}

static void
keep (GTask  *task,
      GBytes *bytes)
{
  Paste *paste = g_task_get_task_data (task);
  g_autofree char *own = g_build_filename (g_get_user_data_dir (), "rhyton", "pasted", NULL);
  GError *error = NULL;
  char *path = NULL;

  if (g_bytes_get_size (bytes) == 0)
    {
      fail (task, "What is on the clipboard is empty.");
      return;
    }
  if (g_bytes_get_size (bytes) > RHY_INTAKE_BYTES_MAX)
    {
      fail (task, "What is on the clipboard has more than 64 MiB: save it as a file and choose that.");
      return;
    }
  if (paste->folder != NULL)
    path = write_new (paste->folder, paste->stem, paste->suffix, bytes, NULL);
  if (path == NULL && g_mkdir_with_parents (own, 0700) != 0)
    {
      g_task_return_new_error (task, G_IO_ERROR, g_io_error_from_errno (errno), "What was pasted cannot be kept: %s: %s",
                               own, g_strerror (errno));
      g_object_unref (task);
      return;
    }
  if (path == NULL)
    path = write_new (own, paste->stem, paste->suffix, bytes, &error);
  if (path == NULL)
    {
      g_prefix_error (&error, "What was pasted cannot be kept: ");
      fail_with (task, error);
      return;
    }
  paste->is_new = TRUE;
  g_task_return_pointer (task, path, g_free);
  g_object_unref (task);
}

/* ---- reading ---- */

static void
spliced (GObject      *source,
         GAsyncResult *result,
         gpointer      data)
{
  GTask *task = data;
  GError *error = NULL;

  if (g_output_stream_splice_finish (G_OUTPUT_STREAM (source), result, &error) < 0)
    {
      fail_with (task, error);
      return;
    }
  g_autoptr (GBytes) bytes = g_memory_output_stream_steal_as_bytes (G_MEMORY_OUTPUT_STREAM (source));
  keep (task, bytes);
}

static void
got_stream (GObject      *source,
            GAsyncResult *result,
            gpointer      data)
{
  GTask *task = data;
  Paste *paste = g_task_get_task_data (task);
  GError *error = NULL;
  const char *type = NULL;
  g_autoptr (GInputStream) stream = gdk_clipboard_read_finish (GDK_CLIPBOARD (source), result, &type, &error);

  if (stream == NULL)
    {
      fail_with (task, error);
      return;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    if (g_strcmp0 (type, kinds[i].type) == 0)
      paste->suffix = kinds[i].suffix;
  g_autoptr (GOutputStream) memory = g_memory_output_stream_new_resizable ();
  g_output_stream_splice_async (memory, stream, G_OUTPUT_STREAM_SPLICE_CLOSE_SOURCE | G_OUTPUT_STREAM_SPLICE_CLOSE_TARGET,
                                G_PRIORITY_DEFAULT, g_task_get_cancellable (task), spliced, task);
}

static void
got_files (GObject      *source,
           GAsyncResult *result,
           gpointer      data)
{
  GTask *task = data;
  GError *error = NULL;
  const GValue *value = gdk_clipboard_read_value_finish (GDK_CLIPBOARD (source), result, &error);
  const GSList *files = value != NULL ? g_value_get_boxed (value) : NULL;
  char *path = files != NULL ? g_file_get_path (files->data) : NULL;

  if (error != NULL)
    fail_with (task, error);
  else if (path == NULL)
    fail (task, "The file on the clipboard is not on a disk of this machine: copy it here first.");
  else
    {
      g_task_return_pointer (task, path, g_free);
      g_object_unref (task);
    }
}

static void
got_texture (GObject      *source,
             GAsyncResult *result,
             gpointer      data)
{
  GTask *task = data;
  Paste *paste = g_task_get_task_data (task);
  GError *error = NULL;
  g_autoptr (GdkTexture) texture = gdk_clipboard_read_texture_finish (GDK_CLIPBOARD (source), result, &error);

  if (texture == NULL)
    {
      fail_with (task, error);
      return;
    }
  g_autoptr (GBytes) bytes = gdk_texture_save_to_png_bytes (texture);
  paste->suffix = ".png";
  keep (task, bytes);
}

/* A drawing copied out of an editor of text: "<svg", or a declaration or comment before it. */
static gboolean
is_svg (const char *text)
{
  if (g_str_has_prefix (text, "\xef\xbb\xbf"))
    text += 3;
  while (g_ascii_isspace (*text))
    text++;
  return *text == '<' && strstr (text, "<svg") != NULL;
}

static void
got_text (GObject      *source,
          GAsyncResult *result,
          gpointer      data)
{
  GTask *task = data;
  Paste *paste = g_task_get_task_data (task);
  GError *error = NULL;
  g_autofree char *text = gdk_clipboard_read_text_finish (GDK_CLIPBOARD (source), result, &error);

  if (text == NULL && error != NULL)
    {
      fail_with (task, error);
      return;
    }
  if (text == NULL || !is_svg (text))
    {
      fail (task, "On the clipboard is text, not a drawing. For a line of lettering choose Lettering and paste it there.");
      return;
    }
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  paste->suffix = ".svg";
  keep (task, bytes);
}

void
rhyton_paste_read (GdkClipboard        *clipboard,
                   const char          *folder,
                   const char          *stem,
                   GCancellable        *cancellable,
                   GAsyncReadyCallback  callback,
                   gpointer             data)
{
  g_return_if_fail (GDK_IS_CLIPBOARD (clipboard) && stem != NULL);

  const char *types[G_N_ELEMENTS (kinds) + 1] = { NULL };
  GdkContentFormats *own = gdk_content_formats_ref (gdk_clipboard_get_formats (clipboard));
  GdkContentFormats *formats = gdk_content_formats_union_deserialize_gtypes (gdk_content_formats_ref (own));
  GTask *task = g_task_new (clipboard, cancellable, callback, data);
  Paste *paste = g_new0 (Paste, 1);
  gsize n = 0;

  paste->folder = g_strdup (folder);
  paste->stem = g_strdelimit (g_strdup (stem), "/\\", '-');
  g_task_set_task_data (task, paste, free_paste);
  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    if (gdk_content_formats_contain_mime_type (own, kinds[i].type))
      types[n++] = kinds[i].type;
  if (gdk_content_formats_contain_gtype (formats, GDK_TYPE_FILE_LIST))
    gdk_clipboard_read_value_async (clipboard, GDK_TYPE_FILE_LIST, G_PRIORITY_DEFAULT, cancellable, got_files, task);
  else if (n > 0)
    gdk_clipboard_read_async (clipboard, types, G_PRIORITY_DEFAULT, cancellable, got_stream, task);
  else if (gdk_content_formats_contain_gtype (formats, GDK_TYPE_TEXTURE))
    gdk_clipboard_read_texture_async (clipboard, cancellable, got_texture, task);
  else if (gdk_content_formats_contain_gtype (formats, G_TYPE_STRING))
    gdk_clipboard_read_text_async (clipboard, cancellable, got_text, task);
  else
    fail (task, "There is no drawing on the clipboard. Copy one, or a picture, or a file first.");
  gdk_content_formats_unref (formats);
  gdk_content_formats_unref (own);
}

char *
rhyton_paste_read_finish (GAsyncResult  *result,
                          gboolean      *is_new,
                          GError       **error)
{
  const Paste *paste = g_task_get_task_data (G_TASK (result));
  *is_new = paste->is_new;
  return g_task_propagate_pointer (G_TASK (result), error);
}
