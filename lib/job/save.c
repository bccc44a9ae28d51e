/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "save.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>

#define LINKS_LIMIT 40          /* as the kernel's own */

static gboolean
fail (const char *path,
      const char *doing,
      int         code,
      GError    **error)
{
  g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (code), "%s: %s: %s", path, doing, g_strerror (code));
  return FALSE;
}

/* Follows links to the name that is to be replaced, also where nothing is there yet. */
static char *
behind_links (const char *path)
{
  char *name = g_strdup (path);
  for (int i = 0; i < LINKS_LIMIT; i++)
    {
      g_autofree char *target = g_file_read_link (name, NULL);
      if (target == NULL)
        break;
      g_autofree char *folder = g_path_get_dirname (name);
      char *next = g_path_is_absolute (target) ? g_strdup (target) : g_build_filename (folder, target, NULL);
      g_free (name);
      name = next;
    }
  return name;
}

static gboolean
write_all (int         fd,
           const char *data,
           gsize       length)
{
  while (length > 0)
    {
      const gssize n = write (fd, data, length);
      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        return FALSE;
      data += n;
      length -= (gsize) n;
    }
  return TRUE;
}

gboolean
rhy_save_to_descriptor (int         fd,
                        const char *name,
                        const void *data,
                        gsize       length,
                        GError    **error)
{
  return write_all (fd, data, length) || fail (name, "cannot be written", errno, error);
}

static gboolean
write_in_place (const char *path,
                const void *data,
                gsize       length,
                GError    **error)
{
  const int fd = g_open (path, O_WRONLY | O_CLOEXEC, 0);
  if (fd < 0)
    return fail (path, "cannot be written", errno, error);
  const gboolean written = write_all (fd, data, length);
  const int code = errno;
  if (close (fd) != 0 && written)
    return fail (path, "cannot be written", errno, error);
  return written || fail (path, "cannot be written", code, error);
}

/* A new file of a name nobody has; its mode is the usual one, or private until it takes
 * over that of the file it will replace. -1 with errno. */
static int
open_beside (const char  *folder,
             const char  *base,
             gboolean     private,
             char       **name)
{
  for (int i = 0; i < 100; i++)
    {
      g_autofree char *own = g_strdup_printf (".%s.%08x", base, g_random_int ());
      g_autofree char *path = g_build_filename (folder, own, NULL);
      const int fd = g_open (path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, private ? 0600 : 0666);
      if (fd >= 0)
        *name = g_steal_pointer (&path);
      if (fd >= 0 || errno != EEXIST)
        return fd;
    }
  return -1;
}

/* Best effort: the name is already right, this makes it survive a power cut. */
static void
sync_folder (const char *folder)
{
  const int fd = g_open (folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC, 0);
  if (fd < 0)
    return;
  (void) fsync (fd);
  close (fd);
}

gboolean
rhy_save (const char *path,
          const void *data,
          gsize       length,
          GError    **error)
{
  g_autofree char *name = behind_links (path);
  g_autofree char *folder = g_path_get_dirname (name);
  g_autofree char *base = g_path_get_basename (name);
  struct stat before;
  const gboolean exists = g_stat (name, &before) == 0;

  if (exists && S_ISDIR (before.st_mode))
    return fail (path, "cannot be written", EISDIR, error);
  if (exists && !S_ISREG (before.st_mode))
    return write_in_place (name, data, length, error);
  /* A rename would pass over the file's own protection. */
  if (exists && g_access (name, W_OK) != 0)
    return fail (path, "cannot be written", errno, error);

  g_autofree char *temporary = NULL;
  const int fd = open_beside (folder, base, exists, &temporary);
  if (fd < 0)
    {
      const int code = errno;
      g_autofree char *doing = g_strdup_printf ("no file can be made in folder %s", folder);
      return fail (path, doing, code, error);
    }

  gboolean ok = write_all (fd, data, length)
                && (!exists || fchmod (fd, before.st_mode & 07777) == 0)
                && fsync (fd) == 0;
  int code = errno;
  if (close (fd) != 0 && ok)
    {
      code = errno;
      ok = FALSE;
    }
  if (ok && g_rename (temporary, name) != 0)
    {
      code = errno;
      ok = FALSE;
    }
  if (!ok)
    {
      g_unlink (temporary);
      return fail (path, "cannot be written", code, error);
    }
  sync_folder (folder);
  return TRUE;
}
