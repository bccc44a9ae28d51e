/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/paint.h>

G_BEGIN_DECLS

/*
 * @per_mm: pixels a mm that a picture will be shown with
 *
 * The paint with its picture taken from halves that are about as fine as that, so that four of its
 * pixels say what one shows: a photo has ten times as many, and all would be read at each drag.
 * The halves stay with the picture. Any paint but a smooth picture comes back as it is.
 */
RhyPaint *rhy_paint_halved (RhyPaint *self, double per_mm);

G_END_DECLS
