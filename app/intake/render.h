/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "wire.h"

G_BEGIN_DECLS

/* Has librsvg paint @source (transfer full) and sends the outlines; ends the process with one
 * clear line if it cannot. @layer: (nullable): the id of the one element wanted. */
void render_send (Wire *wire, GBytes *source, const char *layer);

G_END_DECLS
