/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

/*
 * Writes a whole file or nothing: a temporary file in the same folder, fsync,
 * rename, fsync of the folder. A symbolic link stays one, an existing file keeps its
 * mode. What is not a plain file (a device, a pipe) is written to as it stands.
 * Errors are of G_FILE_ERROR and name the file.
 */
gboolean rhy_save (const char *path, const void *data, gsize length, GError **error);

/* As it comes, to an open descriptor; @name is for the message. */
gboolean rhy_save_to_descriptor (int fd, const char *name, const void *data, gsize length, GError **error);
