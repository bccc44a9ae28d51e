/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/error.h>

G_BEGIN_DECLS

/* All of a file, a NUL added; a pipe will do. Bounded, so that a device, which has no end, cannot fill the memory.
 * @what: "a job file". Messages begin with @path. */
gboolean rhy_load (const char *path, gsize most_bytes, const char *what, char **text, gsize *length, GError **error);

G_END_DECLS
