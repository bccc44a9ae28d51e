/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/pages.h>

G_BEGIN_DECLS

/*
 * Pages that are drawn anew each time: cairo's recordings replay paths through scales of
 * 1/256 steps, which is no true size.
 * @draw: page @i, in mm
 */
typedef void (*RhyPagesDraw) (gpointer data, gsize i, cairo_t *cr);
RhyPages *rhy_pages_new (double width_mm, double height_mm, gsize n, RhyPagesDraw draw, gpointer data, GDestroyNotify free_data);

G_END_DECLS
