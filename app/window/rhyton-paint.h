/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo.h>

#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/** rhyton_paint_path: adds a path to the current one. */
void rhyton_paint_path (cairo_t *cr, const RhyPath *path);

G_END_DECLS
