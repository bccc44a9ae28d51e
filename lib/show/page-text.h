/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo.h>
#include <pango/pango.h>

#include <rhyton/paint.h>

G_BEGIN_DECLS

#define RHY_PT_PER_MM (72.0 / 25.4)

typedef enum { RHY_PLACE_LEFT, RHY_PLACE_MIDDLE, RHY_PLACE_RIGHT } RhyPlace;

/*
 * Sets @text into a column of @width mm (0: one line) with its top at @y; where there
 * is no width, @x is its left, middle or right. @cr is in mm, @layout in points.
 * @one_line: what is too long for the width ends in dots instead of another line
 *
 * Returns: its height, mm.
 */
double rhy_page_text (cairo_t *cr, PangoLayout *layout, double x, double y, double width, double size, gboolean bold,
                      RhyPlace place, gboolean one_line, RhyColour c, const char *text);

/*
 * As rhy_page_text() with a width, in a box: letters get smaller, down to @least mm, until all lines
 * fit into @height; what still does not fit ends in dots.
 */
double rhy_page_text_in (cairo_t *cr, PangoLayout *layout, double x, double y, double width, double height, double size,
                         double least, gboolean bold, RhyColour c, const char *text);

/* How wide a text is in one line, mm. */
double rhy_page_text_width (PangoLayout *layout, double size, gboolean bold, const char *text);

G_END_DECLS
