/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo.h>

#include <rhyton/artwork.h>

#include "tree.h"

G_BEGIN_DECLS

/*
 * What cairo's drawing paints with. Pictures are unpacked once, cells of patterns
 * drawn once; what is drawn here takes at most a quarter of the pixels still
 * left each, so that no drawing runs out of them.
 * @per_unit: pixels wanted per cairo's unit
 * @room: pixels left for what is drawn here
 */
typedef struct
{
  Tree       *tree;
  GHashTable *rasters;          /* Node to RhyRaster; NULL: cannot be read */
  double      per_unit;
  double      room;
} Palette;

/* @px_per_unit as above; @room: pixels. */
Palette *palette_new (Tree *tree, double per_unit, double room);
void palette_free (Palette *self);

/* The scale, at most @wanted, at which a box of that size keeps to the pixels left. */
double palette_afford (const Palette *self, double width, double height, double wanted);
/* An embedded picture, or NULL; borrowed. */
RhyRaster *palette_get_image (Palette *self, const Node *image);

/*
 * How a node fills or strokes.
 * @colour: the one colour that comes nearest, its alpha with the property's own opacity
 * @paint: (nullable): in the node's coordinates, with that opacity
 * @kind: what @paint, or what cannot be painted at all, is
 * @image: for what cairo paints all over and clips: the picture, its pixels by @image_matrix
 */
typedef struct
{
  gboolean       inks;
  RhyColour      colour;
  RhyPaint      *paint;
  gboolean       is_picture;
  RhyPictureKind kind;
  const Node    *image;
  RhyAffine      image_matrix;
} Paint;

/* @property: "fill" or "stroke"; @m: the node's coordinates to cairo's page. */
Paint palette_read (Palette *self, const Node *node, const char *property, RhyAffine m);
void paint_clear (Paint *paint);
/* A paint of @raster whose pixels go by @matrix. */
RhyPaint *paint_new_picture (RhyRaster *raster, RhyAffine matrix, RhyExtend extend, double alpha);
/* The mean, colours weighted by their alpha as paint lying side by side is. */
RhyColour raster_get_mean (const RhyRaster *raster);
/* A copy of a surface; NULL if it is in error or too large. */
RhyRaster *raster_new_whole (cairo_surface_t *surface);
/* A copy of a surface's part; NULL if there is nothing in it. @box: (out): which
 * part is not clear, in pixels, and is what is copied. */
RhyRaster *raster_new_cropped (cairo_surface_t *surface, RhyBounds *box);

/* The part of @raster that is not clear, NULL if there is none. @m: (inout): its
 * pixels to somewhere. */
RhyRaster *raster_new_part (const RhyRaster *raster, RhyAffine *m);

G_END_DECLS
