/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo.h>

#include "draw.h"
#include "flat.h"

G_BEGIN_DECLS

/* Between flat.c, which walks the drawing and sends its outlines, and flat-pictures.c,
 * which sends what is pixels. */

typedef struct _Clip Clip;
struct _Clip
{
  const Clip *outer;
  guint32     index;
  RhyBounds   box;
};

/* What holds at a place in the tree, handed down by value. */
typedef struct
{
  RhyAffine   m;                /* to cairo's page */
  double      alpha;
  const Clip *clip;
  guint       depth;
  const Node *ground;           /* the group painted apart that this is in, */
  RhyAffine   ground_m;         /* and what it is in, to cairo's page */
} Here;

typedef struct
{
  Wire       *wire;
  Tree       *tree;
  Palette    *palette;
  RhyAffine   to_mm;
  double      page_width, page_height;  /* cairo's units */
  GHashTable *clips;            /* "node pointer, matrix" to index + 1 */
  guint32     n_clips;
  guint64     n_points;
  gsize       n_sent;
  gboolean    found_picture;
  RhyBounds   seen;             /* mm, of what was sent since it was last emptied */
  GHashTable *even;             /* Node: whether its opacity may go to its members */
  GHashTable *unknown;          /* element names already spoken of */
  GHashTable *rasters;          /* RhyRaster to its number on the wire, from 1 */
  guint32     n_rasters, n_paints;
  guint64     n_pixels;
  guint       measuring;        /* while > 0 nothing is sent, only @seen grows */
  gboolean    drew;             /* whether something was drawn as a picture here */
} Flat;

void flat_walk (Flat *flat, const Node *node, Here here);
RhyBounds flat_intersection (RhyBounds a, RhyBounds b);
RhyBounds flat_box_through (double x, double y, double width, double height, RhyAffine m);
gboolean flat_has_inverse (RhyAffine m);
/* Reports something that is no outline. @box: mm */
void flat_send_picture (Flat *flat, RhyPictureKind kind, RhyBounds box, gboolean is_drawn, const Here *here);
/* Returns: its number, from 1; 0 if one colour does, or must do. */
guint32 flat_send_paint (Flat *flat, const RhyPaint *paint, RhyAffine m, double alpha);
void flat_send_outline (Flat *flat, RhyWireShape *shape, const double *dashes, const WirePath *path, RhyAffine m, const Here *here);

/* @m: the image's pixels to cairo's page; @within: mm, what can be seen of it at most. */
void flat_send_image (Flat *flat, const Node *image, RhyAffine m, RhyBounds within, RhyExtend extend, double alpha, const Here *here);
/* @node with all that is done to it, as a picture of @kind. */
void flat_send_drawn (Flat *flat, const Node *node, RhyPictureKind kind, const Here *here);
/* @node as what, painted over the ground, looks as if blended onto it. */
void flat_send_blended (Flat *flat, const Node *node, cairo_operator_t blend, const Here *here);
/* Whether members that each have the group's opacity look as the group does. */
gboolean flat_is_even (Flat *flat, const Node *node, const Here *here);

G_END_DECLS
