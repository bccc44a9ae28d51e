/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo.h>
#include <pango/pango.h>

#include <rhyton/paint.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/*
 * A vessel seen from the side on a page of any unit: the axis at @x, height @z0 at
 * @y (down the page), @scale units of the page a mm.
 */
typedef struct { double x, y, scale, z0; } RhyElevation;

/* How dimensions are drawn: units of the page. */
typedef struct
{
  double    line, tick, text;   /* width of a line, half a tick, the em of figures */
  double    left_gap, below_gap;        /* from the line to its figure */
  RhyColour soft, ink;          /* lines, figures */
} RhyDimensionStyle;

double rhy_elevation_up (const RhyElevation *self, double z);

/* The silhouette between two slants as a closed path, left side up and right side down. */
void rhy_elevation_trace (const RhyElevation *self, cairo_t *cr, const RhyWall *wall, double s0, double s1);

/* One side only, added to the path: @side -1 left, +1 right; from @s0 to @s1. */
void rhy_elevation_trace_side (const RhyElevation *self, cairo_t *cr, const RhyWall *wall, int side, double s0,
                               double s1);

void rhy_elevation_line (cairo_t *cr, double x0, double y0, double x1, double y1, double width, RhyColour c);

/* Diagonal lines over the path as it is, within the box; the path is used up. */
void rhy_elevation_hatch (cairo_t *cr, double x0, double y0, double x1, double y1, double step, RhyColour c);

/* A line with end ticks, level or upright, and its figure below or on the left of it;
 * @above: a level one's above it. */
void rhy_elevation_dimension (cairo_t *cr, PangoLayout *layout, const RhyDimensionStyle *style, double x0, double y0,
                              double x1, double y1, gboolean above, const char *text);

G_END_DECLS
