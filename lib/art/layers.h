/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/resolve.h>
#include <rhyton/shade.h>

#include "ink.h"

G_BEGIN_DECLS

/* One filled outline of the drawing, in one colour. */
typedef struct
{
  RhyPath    *path;
  RhyFillRule rule;
  RhyColour   colour;
  gboolean    is_stroke;
  guint      *clips;            /* of the heap */
  gsize       n_clips;
  RhyBounds   box;              /* cut to its clips, @near wider */
  RhyRegion  *region;           /* made on first use */
  guint       group;            /* for whoever groups them: its own index at first */
} RhyLayer;

typedef struct
{
  RhyPath    *path;
  RhyFillRule rule;
  RhyRegion  *region;           /* made on first use */
} RhyLayerClip;

/*
 * RhyHeap:
 *
 * What a drawing is to whoever resolves it: layers in painting order, bottom first, without those that
 * change nothing. In one colour they are black or white and opaque.
 */
typedef struct
{
  const RhyArtwork *artwork;    /* borrowed */
  double   near;                /* distance at which layers are taken to meet */
  double   chords;              /* tolerance of regions */
  guint    shades;              /* 1: ink or bare */
  gboolean is_opaque;           /* no layer lets another shine through */
  GArray  *layers;              /* RhyLayer */
  GArray  *clips;               /* RhyLayerClip: the artwork's and more */
  struct { guint bare, faint, painted, banded; } losses;
} RhyHeap;

/* rhy_heap_init: fails where a stroke has no outline. To be cleared either way. */
gboolean rhy_heap_init (RhyHeap *self, const RhyArtwork *artwork, const RhyResolveOptions *options,
                        double near_mm, double chords_mm, GError **error);
void rhy_heap_clear (RhyHeap *self);

static inline RhyLayer *
rhy_heap_layer (const RhyHeap *self,
                guint          i)
{
  return &g_array_index (self->layers, RhyLayer, i);
}

static inline RhyLayerClip *
rhy_heap_clip (const RhyHeap *self,
               guint          i)
{
  return &g_array_index (self->clips, RhyLayerClip, i);
}

gboolean rhy_boxes_meet (RhyBounds a, RhyBounds b);

/* rhy_heap_shade: Returns: 0 for bare, to @shades. */
guint rhy_heap_shade (const RhyHeap *self, RhyColour colour);

/* rhy_heap_colour_at: what is seen at a point of layers @members (guint, bottom first). */
RhyColour rhy_heap_colour_at (RhyHeap *self, const GArray *members, double x, double y);

/* rhy_heap_add_pictures: no one colour says what a picture is: they stay pictures, for above the rest. */
void rhy_heap_add_pictures (const RhyHeap *self, RhyArtworkBuilder *builder);

/* rhy_heap_add_notes: the artwork's, and what was lost here. @shades: as asked for. */
void rhy_heap_add_notes (const RhyHeap *self, guint shades, RhyArtworkBuilder *builder);

G_END_DECLS
