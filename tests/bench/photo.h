/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

/** photo_write: a PNG as a camera makes photos: 12 million pixels, none like its neighbour. */
gboolean photo_write (const char *path, GError **error);
