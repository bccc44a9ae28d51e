/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-recovery.h"

#include <fcntl.h>
#include <string.h>
#include <sys/file.h>
#include <unistd.h>

#include <glib/gstdio.h>

#define SUFFIX ".recovery"
#define GROUP "Recovery"

struct _RhytonRecovery
{
  RhytonDocument *document;
  guint           seconds;
  guint           waiting;      /* source id */
  char           *path;
  char           *lock_path;
  int             lock;         /* held while this program lives */
};

static char *
folder (void)
{
  return g_build_filename (g_get_user_state_dir (), "rhyton", "recovery", NULL);
}

static char *
lock_of (const char *path)
{
  return g_strconcat (path, ".lock", NULL);
}

/* A lock goes with its process, whatever ends it; a process number would not. */
static int
take_lock (const char *lock_path)
{
  const int lock = g_open (lock_path, O_RDWR | O_CREAT | O_CLOEXEC, 0600);
  if (lock >= 0 && flock (lock, LOCK_EX | LOCK_NB) != 0)
    {
      close (lock);
      return -1;
    }
  return lock;
}

static void
write_now (RhytonRecovery *self)
{
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autofree char *text = rhy_job_to_data (rhyton_document_get_job (self->document), NULL);
  const char *job_path = rhy_job_get_path (rhyton_document_get_job (self->document));
  const char *path = rhyton_document_get_path (self->document);

  if (self->lock < 0)
    {
      g_autofree char *where = folder ();
      g_mkdir_with_parents (where, 0700);
      self->lock = take_lock (self->lock_path);
    }
  g_key_file_set_string (keys, GROUP, "Job", text);
  if (path != NULL)
    g_key_file_set_string (keys, GROUP, "Path", path);
  if (job_path != NULL)
    g_key_file_set_string (keys, GROUP, "NamesFrom", job_path);
  gsize length = 0;
  g_autofree char *whole = g_key_file_to_data (keys, &length, NULL);
  /* A failure here must not disturb the work; the next change tries again. */
  g_file_set_contents_full (self->path, whole, (gssize) length,
                            G_FILE_SET_CONTENTS_CONSISTENT | G_FILE_SET_CONTENTS_DURABLE, 0600, NULL);
}

static void
forget (RhytonRecovery *self)
{
  g_clear_handle_id (&self->waiting, g_source_remove);
  if (self->lock < 0)
    return;
  g_unlink (self->path);
  g_unlink (self->lock_path);
  close (self->lock);
  self->lock = -1;
}

static gboolean
on_time (gpointer data)
{
  RhytonRecovery *self = data;
  self->waiting = 0;
  write_now (self);
  return G_SOURCE_REMOVE;
}

static void
on_modified (RhytonRecovery *self)
{
  if (!rhyton_document_is_modified (self->document))
    forget (self);
  else if (self->waiting == 0)
    self->waiting = g_timeout_add_seconds (self->seconds, on_time, self);
}

RhytonRecovery *
rhyton_recovery_new (RhytonDocument *document,
                     guint           seconds)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (document), NULL);

  RhytonRecovery *self = g_new0 (RhytonRecovery, 1);
  g_autofree char *where = folder ();
  g_autofree char *id = g_uuid_string_random ();
  g_autofree char *name = g_strconcat (id, SUFFIX, NULL);
  self->document = g_object_ref (document);
  self->seconds = seconds;
  self->path = g_build_filename (where, name, NULL);
  self->lock_path = lock_of (self->path);
  self->lock = -1;
  g_signal_connect_swapped (document, "notify::modified", G_CALLBACK (on_modified), self);
  return self;
}

void
rhyton_recovery_free (RhytonRecovery *self)
{
  g_return_if_fail (self != NULL);

  g_signal_handlers_disconnect_by_data (self->document, self);
  forget (self);
  g_object_unref (self->document);
  g_free (self->path);
  g_free (self->lock_path);
  g_free (self);
}

void
rhyton_recovery_flush (RhytonRecovery *self)
{
  g_return_if_fail (self != NULL);

  if (self->waiting == 0)
    return;
  g_clear_handle_id (&self->waiting, g_source_remove);
  write_now (self);
}

char **
rhyton_recovery_list (void)
{
  g_autoptr (GStrvBuilder) names = g_strv_builder_new ();
  g_autofree char *where = folder ();
  g_autoptr (GDir) dir = g_dir_open (where, 0, NULL);
  const char *name;

  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      if (!g_str_has_suffix (name, SUFFIX))
        continue;
      g_autofree char *path = g_build_filename (where, name, NULL);
      g_autofree char *lock_path = lock_of (path);
      const int lock = take_lock (lock_path);
      if (lock < 0)
        continue;
      close (lock);
      g_strv_builder_add (names, path);
    }
  return g_strv_builder_end (names);
}

void
rhyton_recovery_discard (const char *name)
{
  g_return_if_fail (name != NULL);

  g_autofree char *lock_path = lock_of (name);
  g_unlink (name);
  g_unlink (lock_path);
}

gboolean
rhyton_recovery_restore (const char      *name,
                         RhytonDocument  *document,
                         GError         **error)
{
  g_return_val_if_fail (name != NULL && RHYTON_IS_DOCUMENT (document), FALSE);

  g_autoptr (GKeyFile) keys = g_key_file_new ();
  if (!g_key_file_load_from_file (keys, name, G_KEY_FILE_NONE, error))
    return FALSE;
  g_autofree char *text = g_key_file_get_string (keys, GROUP, "Job", error);
  if (text == NULL)
    return FALSE;
  g_autofree char *path = g_key_file_get_string (keys, GROUP, "Path", NULL);
  g_autofree char *names_from = g_key_file_get_string (keys, GROUP, "NamesFrom", NULL);
  if (!rhyton_document_restore (document, text, names_from, path, error))
    return FALSE;
  rhyton_recovery_discard (name);
  return TRUE;
}
