/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

G_BEGIN_DECLS

#define DRAIN_TYPE_STREAM (drain_stream_get_type ())
G_DECLARE_FINAL_TYPE (DrainStream, drain_stream, DRAIN, STREAM, GInputStream)

/* A stream of @bytes (transfer full, nobody else's) that gives the memory of what has been read back to the
 * system: while a drawing of 60 MB is read, it need not be there twice. What was read is zeros afterwards. */
GInputStream *drain_stream_new (GBytes *bytes);

G_END_DECLS
