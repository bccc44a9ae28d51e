/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "layers.h"

#include <rhyton/stroke.h>

#include "bands.h"

static const RhyColour INK = { 0.0, 0.0, 0.0, 1.0 };
static const RhyColour BARE = { 1.0, 1.0, 1.0, 1.0 };

static void
clear_layer (gpointer data)
{
  RhyLayer *layer = data;
  rhy_path_unref (layer->path);
  g_free (layer->clips);
  g_clear_pointer (&layer->region, rhy_region_free);
}

static void
clear_clip (gpointer data)
{
  RhyLayerClip *clip = data;
  rhy_path_unref (clip->path);
  g_clear_pointer (&clip->region, rhy_region_free);
}

static guint
add_clip (RhyHeap       *self,
          const RhyPath *path,
          RhyFillRule    rule)
{
  const RhyLayerClip clip = { rhy_path_ref ((RhyPath *) path), rule, NULL };
  g_array_append_val (self->clips, clip);
  return self->clips->len - 1;
}

/* ---- which paint is ink ---- */

/* Luma of coded sRGB. Source: ITU-R BT.709-6, item 3.2. */
static double
luma (RhyColour c)
{
  return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}

static RhyBounds
intersection (RhyBounds a,
              RhyBounds b)
{
  return (RhyBounds) { MAX (a.min_x, b.min_x), MAX (a.min_y, b.min_y), MIN (a.max_x, b.max_x), MIN (a.max_y, b.max_y) };
}

gboolean
rhy_boxes_meet (RhyBounds a,
                RhyBounds b)
{
  return a.min_x <= b.max_x && b.min_x <= a.max_x && a.min_y <= b.max_y && b.min_y <= a.max_y;
}

guint
rhy_heap_shade (const RhyHeap *self,
                RhyColour      colour)
{
  return rhy_colour_shade (colour, self->shades);
}

static gboolean
is_bare (const RhyHeap  *self,
         const RhyLayer *layer)
{
  return layer->colour.a >= 1.0 && rhy_heap_shade (self, layer->colour) == 0;
}

/* @path is taken over; @more_clip: one beyond the shape's own, or %G_MAXUINT. */
static void
add_layer (RhyHeap        *self,
           const RhyShape *shape,
           RhyPath        *path,
           RhyFillRule     rule,
           RhyColour       colour,
           gboolean        is_stroke,
           guint           more_clip)
{
  RhyLayer layer = { path, rule, colour, is_stroke, g_new (guint, shape->n_clips + 1), shape->n_clips,
                     rhy_path_get_bounds (path), NULL, self->layers->len };
  for (gsize i = 0; i < shape->n_clips; i++)
    layer.clips[i] = shape->clips[i];
  if (more_clip != G_MAXUINT)
    layer.clips[layer.n_clips++] = more_clip;
  for (gsize i = 0; i < layer.n_clips; i++)
    layer.box = intersection (layer.box, rhy_path_get_bounds (rhy_heap_clip (self, layer.clips[i])->path));
  if (rhy_bounds_is_empty (layer.box))
    {
      clear_layer (&layer);
      return;
    }
  /* So that neighbours across a gap that the grid closes are found to meet. */
  const double near = self->near;
  layer.box = (RhyBounds) { layer.box.min_x - near, layer.box.min_y - near, layer.box.max_x + near, layer.box.max_y + near };
  g_array_append_val (self->layers, layer);
}

/* In one colour: what @c counts as. */
static gboolean
is_counted (RhyHeap   *self,
            RhyColour  c,
            double     lightest_ink,
            RhyColour *counted)
{
  if (c.a < 0.5)
    {
      self->losses.faint++;
      return FALSE;
    }
  const gboolean is_ink = luma (c) < lightest_ink;
  *counted = is_ink ? INK : BARE;
  self->losses.bare += !is_ink;
  return TRUE;
}

/* A gradient band by band, each inside the outline. */
static void
add_bands (RhyHeap        *self,
           const RhyShape *shape,
           const RhyPath  *path,
           RhyFillRule     rule,
           const GArray   *bands)
{
  const guint outline = add_clip (self, path, rule);
  for (guint i = 0; i < bands->len; i++)
    {
      const RhyBand *band = &g_array_index (bands, RhyBand, i);
      if (band->colour.a > 0.0)
        add_layer (self, shape, rhy_path_ref (band->path), RHY_FILL_EVENODD, band->colour, FALSE, outline);
    }
}

/* @path is taken over. */
static void
add_painted (RhyHeap                 *self,
             const RhyShape          *shape,
             RhyPath                 *path,
             gboolean                 is_stroke,
             const RhyResolveOptions *options)
{
  const RhyFillRule rule = is_stroke ? RHY_FILL_NONZERO : shape->rule;
  const RhyPaint *paint = is_stroke ? shape->stroke_paint : shape->fill_paint;
  RhyColour colour = is_stroke ? shape->stroke : shape->fill;
  g_autoptr (GArray) bands = paint != NULL && options->shades > 0
                             ? rhy_paint_bands (paint, rhy_path_get_bounds (path), options->shades) : NULL;
  self->losses.banded += bands != NULL;
  self->losses.painted += paint != NULL && bands == NULL;
  if (bands != NULL)
    add_bands (self, shape, path, rule, bands);
  else if (options->shades > 0 ? colour.a > 0.0 : is_counted (self, colour, options->lightest_ink, &colour))
    {
      self->losses.bare += options->shades > 0 && rhy_heap_shade (self, colour) == 0;
      add_layer (self, shape, rhy_path_ref (path), rule, colour, is_stroke, G_MAXUINT);
    }
  rhy_path_unref (path);
}

static gboolean
is_picture (const RhyShape *shape)
{
  return shape->has_fill && shape->fill_paint != NULL && shape->fill_paint->kind == RHY_PAINT_RASTER;
}

/* Nothing shines through: each layer is its shade from the start, and few colours are left. */
static void
take_shades (RhyHeap *self)
{
  self->is_opaque = TRUE;
  for (guint i = 0; i < self->layers->len; i++)
    self->is_opaque = self->is_opaque && rhy_heap_layer (self, i)->colour.a >= 1.0;
  for (guint i = 0; i < self->layers->len && self->is_opaque; i++)
    {
      RhyColour *colour = &rhy_heap_layer (self, i)->colour;
      *colour = rhy_shade_colour (rhy_heap_shade (self, *colour), self->shades);
    }
}

static gboolean
collect_layers (RhyHeap                 *self,
                const RhyResolveOptions *options,
                GError                 **error)
{
  for (gsize i = 0; i < rhy_artwork_get_n_clips (self->artwork); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (self->artwork, i);
      add_clip (self, clip->path, clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (self->artwork); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (self->artwork, i);
      if (shape->has_fill && !is_picture (shape))
        add_painted (self, shape, rhy_path_ref (shape->path), FALSE, options);
      if (!shape->has_stroke || shape->stroke.a <= 0.0)
        continue;
      RhyPath *outline = rhy_stroke_outline (shape->path, &shape->pen, error);
      if (outline == NULL)
        return FALSE;
      add_painted (self, shape, outline, TRUE, options);
    }
  take_shades (self);
  return TRUE;
}

/* A bare layer with no ink under it takes nothing away. The usual white page
 * at the bottom would else tie everything together. */
static void
drop_idle_bare (RhyHeap *self)
{
  RhyBounds inked = RHY_BOUNDS_EMPTY;
  guint kept = 0;
  for (guint i = 0; i < self->layers->len; i++)
    {
      RhyLayer *layer = rhy_heap_layer (self, i);
      if (is_bare (self, layer) && !rhy_boxes_meet (layer->box, inked))
        {
          clear_layer (layer);
          continue;
        }
      if (!is_bare (self, layer))
        inked = rhy_bounds_union (inked, layer->box);
      RhyLayer moved = *layer;
      moved.group = kept;
      *rhy_heap_layer (self, kept++) = moved;
    }
  g_array_set_clear_func (self->layers, NULL);
  g_array_set_size (self->layers, kept);
  g_array_set_clear_func (self->layers, clear_layer);
}

static gboolean
is_within_clips (RhyHeap        *self,
                 const RhyLayer *layer,
                 double          x,
                 double          y)
{
  for (gsize i = 0; i < layer->n_clips; i++)
    {
      RhyLayerClip *clip = rhy_heap_clip (self, layer->clips[i]);
      if (clip->region == NULL)
        clip->region = rhy_region_new (clip->path, clip->rule, self->chords);
      if (!rhy_region_has (clip->region, x, y))
        return FALSE;
    }
  return TRUE;
}

/* What is seen at a point: from the uppermost layer there down to one that nothing shines through. */
RhyColour
rhy_heap_colour_at (RhyHeap      *self,
                    const GArray *members,
                    double        x,
                    double        y)
{
  RhyColour seen = { 0.0, 0.0, 0.0, 0.0 };
  for (guint i = members->len; i-- > 0 && seen.a < 1.0;)
    {
      RhyLayer *layer = rhy_heap_layer (self, g_array_index (members, guint, i));
      if (!(x >= layer->box.min_x && x <= layer->box.max_x && y >= layer->box.min_y && y <= layer->box.max_y))
        continue;
      if (layer->region == NULL)
        layer->region = rhy_region_new (layer->path, layer->rule, self->chords);
      if (rhy_region_has (layer->region, x, y) && is_within_clips (self, layer, x, y))
        seen = rhy_colour_over (seen, layer->colour);
    }
  return seen;
}

void
rhy_heap_add_pictures (const RhyHeap     *self,
                       RhyArtworkBuilder *builder)
{
  const RhyArtwork *artwork = self->artwork;
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (artwork, i);
      if (!is_picture (source))
        continue;
      RhyShape shape = rhy_shape_dup (source, rhy_path_ref (source->path));
      shape.has_stroke = FALSE;         /* that is resolved with the rest */
      for (gsize k = 0; k < shape.n_clips; k++)
        {
          const RhyClip *clip = rhy_artwork_get_clip (artwork, source->clips[k]);
          shape.clips[k] = rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
        }
      rhy_artwork_builder_add_shape (builder, &shape);
    }
}

void
rhy_heap_add_notes (const RhyHeap     *self,
                    guint              shades,
                    RhyArtworkBuilder *builder)
{
  for (const char *const *note = rhy_artwork_get_notes (self->artwork); *note != NULL; note++)
    rhy_artwork_builder_add_note (builder, *note);
  if (shades > 0)
    {
      g_autofree char *note = g_strdup_printf ("what is seen is parted into %u shade%s, each a group of the drawing: give each its own power",
                                               shades, shades == 1 ? "" : "s");
      rhy_artwork_builder_add_note (builder, note);
    }
  if (self->losses.banded > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u gradient%s cut into bands of one shade", self->losses.banded, self->losses.banded == 1 ? " is" : "s are");
      rhy_artwork_builder_add_note (builder, note);
    }
  if (self->losses.painted > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u gradient%s taken by %s mean colour, one for the whole of it", self->losses.painted,
                                               self->losses.painted == 1 ? " is" : "s are",
                                               self->losses.painted == 1 ? "its" : "their");
      rhy_artwork_builder_add_note (builder, note);
    }
  if (self->losses.bare > 0 && shades > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u paint%s nearer to white than to the lightest shade: bare", self->losses.bare,
                                               self->losses.bare == 1 ? " is" : "s are");
      rhy_artwork_builder_add_note (builder, note);
    }
  else if (self->losses.bare > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u light %s taken as bare: no ink there, and none of what lies under", self->losses.bare,
                                               self->losses.bare == 1 ? "paint is" : "paints are");
      rhy_artwork_builder_add_note (builder, note);
    }
  if (self->losses.faint > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u %s less than half opaque and left out", self->losses.faint, self->losses.faint == 1 ? "paint is" : "paints are");
      rhy_artwork_builder_add_note (builder, note);
    }
}


gboolean
rhy_heap_init (RhyHeap                 *self,
               const RhyArtwork        *artwork,
               const RhyResolveOptions *options,
               double                   near_mm,
               double                   chords_mm,
               GError                 **error)
{
  *self = (RhyHeap) { .artwork = artwork, .near = near_mm, .chords = chords_mm, .shades = MAX (options->shades, 1),
                      .layers = g_array_new (FALSE, FALSE, sizeof (RhyLayer)),
                      .clips = g_array_new (FALSE, FALSE, sizeof (RhyLayerClip)) };
  g_array_set_clear_func (self->layers, clear_layer);
  g_array_set_clear_func (self->clips, clear_clip);
  if (!collect_layers (self, options, error))
    return FALSE;
  drop_idle_bare (self);
  return TRUE;
}

void
rhy_heap_clear (RhyHeap *self)
{
  g_array_unref (self->layers);
  g_array_unref (self->clips);
}
