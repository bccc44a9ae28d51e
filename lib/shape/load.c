/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "load.h"

#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

#include <glib/gstdio.h>

static gboolean
no_file (const char *path,
         int         code,
         GError    **error)
{
  g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (code), "%s: %s", path, g_strerror (code));
  return FALSE;
}

gboolean
rhy_load (const char *path,
          gsize       most_bytes,
          const char *what,
          char      **text,
          gsize      *length,
          GError    **error)
{
  const int fd = g_open (path, O_RDONLY | O_CLOEXEC, 0);
  if (fd < 0)
    return no_file (path, errno, error);

  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  guint8 buffer[65536];
  gssize got = 0;
  while (bytes->len <= most_bytes)
    {
      got = read (fd, buffer, sizeof buffer);
      if (got < 0 && errno == EINTR)
        continue;
      if (got <= 0)
        break;
      g_byte_array_append (bytes, buffer, (guint) got);
    }
  const int code = errno;
  close (fd);
  if (got < 0)
    return no_file (path, code, error);
  if (bytes->len > most_bytes)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%s: more than %" G_GSIZE_FORMAT " MiB, too long for %s", path,
                   most_bytes >> 20, what);
      return FALSE;
    }
  *length = bytes->len;
  g_byte_array_append (bytes, (const guint8 *) "", 1);
  *text = (char *) g_byte_array_free (g_steal_pointer (&bytes), FALSE);
  return TRUE;
}
