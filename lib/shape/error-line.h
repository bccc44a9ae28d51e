/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/*
 * rhy_error_line:
 * @length: bytes of @text to look at, or -1 for all
 * @max: at most this many of them
 *
 * Returns: (transfer full): what a stranger wrote, fit to stand in a message:
 *   valid, one line, without control characters, not endless
 */
char *rhy_error_line (const char *text, gssize length, gsize max);

G_END_DECLS
