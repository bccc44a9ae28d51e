/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/* Binds this process, once and for all, before it has seen a byte from a
 * stranger: address space, processor time, no growing files, few descriptors,
 * no core file; a stack deep enough for honest drawings. */
void bounds_set (double seconds, guint memory_mb);

G_END_DECLS
