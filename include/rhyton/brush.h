/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/*
 * Drawing artwork flat through cairo, which whoever calls these has included: the
 * context's own space is the artwork's, whatever transformation it has set.
 */
typedef struct _cairo cairo_t;

/** rhy_brush_path: begins a new path in @cr and adds @path to it. */
RHY_API
void rhy_brush_path (cairo_t *cr, const RhyPath *path);

RHY_API
void rhy_brush_set_rule (cairo_t *cr, RhyFillRule rule);

/**
 * rhy_brush_set_source:
 * @colour: what is taken where there is no @paint, and where it has collapsed to
 *   a line or a point
 * @paint: (nullable)
 */
RHY_API
void rhy_brush_set_source (cairo_t *cr, RhyColour colour, const RhyPaint *paint);

/**
 * rhy_brush_shape:
 * @artwork: what @shape's clips are of
 * @hairline: strokes are at least this wide, units of @cr's space; 0: as they are
 */
RHY_API
void rhy_brush_shape (cairo_t *cr, const RhyArtwork *artwork, const RhyShape *shape, double hairline);

/** rhy_brush_artwork: all shapes in painting order. */
RHY_API
void rhy_brush_artwork (cairo_t *cr, const RhyArtwork *artwork, double hairline);

G_END_DECLS
