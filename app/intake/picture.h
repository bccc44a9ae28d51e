/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "wire.h"

G_BEGIN_DECLS

/* Whether its first bytes are those of a PNG or a JPEG. */
gboolean picture_is_one (GBytes *source);

/* Sends the picture as one shape filled with it, at the size that the file states:
 * PNG's pHYs, JPEG's JFIF density; without one, 96 pixels an inch. Ends the process
 * with one clear line if it is damaged, or has more pixels than are allowed: that
 * is read from its header, before anything is unpacked. */
void picture_send (Wire *wire, GBytes *source, const char *layer);

G_END_DECLS
