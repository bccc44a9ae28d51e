/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * rhy_late_load:
 * @library: its name as the dynamic linker knows it
 * @names: (array zero-terminated=1): functions
 * @functions: (out) (array): where each goes
 *
 * Loads a library that few commands need when the first of them needs it: loading and
 * relocating GEOS and pango takes longer than all that most commands do. Where it is
 * missing the process ends as it would at its start were it linked: one line, exit 127.
 */
void rhy_late_load (const char *library, const char *const *names, gpointer *functions);

G_END_DECLS
