/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/artwork.h>

#include <math.h>

#include "ink.h"

struct _RhyArtwork
{
  GArray       *shapes;         /* RhyShape, owning their pointers */
  GArray       *clips;          /* RhyClip, owning their paths */
  GArray       *pictures;       /* RhyPicture */
  GPtrArray    *notes;          /* NULL-terminated after the end */
  double        page_width_mm;
  double        page_height_mm;
  RhySizeSource size_source;
  RhyBounds     ink_box;
};

struct _RhyArtworkBuilder
{
  RhyArtwork *artwork;
};

static void
clear_shape (gpointer data)
{
  RhyShape *shape = data;
  g_clear_pointer (&shape->path, rhy_path_unref);
  g_clear_pointer (&shape->fill_paint, rhy_paint_unref);
  g_clear_pointer (&shape->stroke_paint, rhy_paint_unref);
  g_clear_pointer (&shape->pen.dashes, g_free);
  g_clear_pointer (&shape->clips, g_free);
}

RhyShape
rhy_shape_dup (const RhyShape *self,
               RhyPath        *path)
{
  RhyShape shape = *self;
  shape.path = path;
  if (shape.fill_paint != NULL)
    rhy_paint_ref (shape.fill_paint);
  if (shape.stroke_paint != NULL)
    rhy_paint_ref (shape.stroke_paint);
  shape.pen.dashes = g_memdup2 (self->pen.dashes, self->pen.n_dashes * sizeof (double));
  shape.clips = g_memdup2 (self->clips, self->n_clips * sizeof (guint));
  return shape;
}

static void
clear_clip (gpointer data)
{
  RhyClip *clip = data;
  g_clear_pointer (&clip->path, rhy_path_unref);
}

static RhyArtwork *
artwork_new (void)
{
  RhyArtwork *self = g_atomic_rc_box_new0 (RhyArtwork);
  self->shapes = g_array_new (FALSE, TRUE, sizeof (RhyShape));
  g_array_set_clear_func (self->shapes, clear_shape);
  self->clips = g_array_new (FALSE, TRUE, sizeof (RhyClip));
  g_array_set_clear_func (self->clips, clear_clip);
  self->pictures = g_array_new (FALSE, TRUE, sizeof (RhyPicture));
  self->notes = g_ptr_array_new_with_free_func (g_free);
  self->size_source = RHY_SIZE_INK;
  self->ink_box = RHY_BOUNDS_EMPTY;
  return self;
}

static void
clear_artwork (gpointer data)
{
  RhyArtwork *self = data;
  g_array_unref (self->shapes);
  g_array_unref (self->clips);
  g_array_unref (self->pictures);
  g_ptr_array_unref (self->notes);
}

RhyArtwork *
rhy_artwork_ref (RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_artwork_unref (RhyArtwork *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear_artwork);
}

RhyArtworkBuilder *
rhy_artwork_builder_new (void)
{
  RhyArtworkBuilder *self = g_new (RhyArtworkBuilder, 1);
  self->artwork = artwork_new ();
  return self;
}

guint
rhy_artwork_builder_add_clip (RhyArtworkBuilder *self,
                              RhyPath           *path,
                              RhyFillRule        rule)
{
  g_return_val_if_fail (self != NULL && path != NULL, 0);

  const RhyClip clip = { path, rule };
  g_array_append_val (self->artwork->clips, clip);
  return self->artwork->clips->len - 1;
}

void
rhy_artwork_builder_add_shape (RhyArtworkBuilder *self,
                               const RhyShape    *shape)
{
  g_return_if_fail (self != NULL && shape != NULL && shape->path != NULL);
  for (gsize i = 0; i < shape->n_clips; i++)
    g_return_if_fail (shape->clips[i] < self->artwork->clips->len);

  g_array_append_vals (self->artwork->shapes, shape, 1);
}

void
rhy_artwork_builder_add_picture (RhyArtworkBuilder *self,
                                 RhyPicture         picture)
{
  g_return_if_fail (self != NULL);

  g_array_append_val (self->artwork->pictures, picture);
}

void
rhy_artwork_builder_add_note (RhyArtworkBuilder *self,
                              const char        *note)
{
  g_return_if_fail (self != NULL && note != NULL);

  g_ptr_array_add (self->artwork->notes, g_strdup (note));
}

void
rhy_artwork_builder_set_size (RhyArtworkBuilder *self,
                              double             width_mm,
                              double             height_mm,
                              RhySizeSource      source)
{
  g_return_if_fail (self != NULL);

  self->artwork->page_width_mm = width_mm;
  self->artwork->page_height_mm = height_mm;
  self->artwork->size_source = source;
}

static RhyBounds
cut_to_clips (const RhyArtwork *self,
              const RhyShape   *shape,
              RhyBounds         box)
{
  for (gsize i = 0; i < shape->n_clips; i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (self, shape->clips[i]);
      const RhyBounds c = rhy_path_get_bounds (clip->path);
      box = (RhyBounds) { MAX (box.min_x, c.min_x), MAX (box.min_y, c.min_y),
                          MIN (box.max_x, c.max_x), MIN (box.max_y, c.max_y) };
    }
  return box;
}

static RhyBounds
find_ink_box (const RhyArtwork *self)
{
  RhyBounds ink = RHY_BOUNDS_EMPTY;

  for (gsize i = 0; i < self->shapes->len; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (self, i);
      RhyBounds box = RHY_BOUNDS_EMPTY;
      if (shape->has_fill && shape->fill.a > 0.0)
        box = rhy_path_get_bounds (shape->path);
      if (shape->has_stroke && shape->stroke.a > 0.0)
        box = rhy_bounds_union (box, rhy_ink_stroke_bounds (shape->path, &shape->pen));
      if (!rhy_bounds_is_empty (box) && shape->n_clips > 0)
        box = cut_to_clips (self, shape, box);
      if (!rhy_bounds_is_empty (box))
        ink = rhy_bounds_union (ink, box);
    }
  for (gsize i = 0; i < self->pictures->len; i++)
    {
      const RhyPicture *picture = rhy_artwork_get_picture (self, i);
      if (!picture->is_drawn && !rhy_bounds_is_empty (picture->box))
        ink = rhy_bounds_union (ink, picture->box);
    }
  return ink;
}

static RhyArtwork *
finished (RhyArtwork *self)
{
  g_ptr_array_add (self->notes, NULL);
  self->ink_box = find_ink_box (self);
  return self;
}

RhyArtwork *
rhy_artwork_builder_end (RhyArtworkBuilder *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  RhyArtwork *artwork = finished (self->artwork);
  g_free (self);
  return artwork;
}

void
rhy_artwork_builder_free (RhyArtworkBuilder *self)
{
  g_return_if_fail (self != NULL);

  rhy_artwork_unref (self->artwork);
  g_free (self);
}

gsize
rhy_artwork_get_n_shapes (const RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->shapes->len;
}

const RhyShape *
rhy_artwork_get_shape (const RhyArtwork *self,
                       gsize             i)
{
  g_return_val_if_fail (self != NULL && i < self->shapes->len, NULL);

  return &g_array_index (self->shapes, RhyShape, i);
}

gsize
rhy_artwork_get_n_clips (const RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->clips->len;
}

const RhyClip *
rhy_artwork_get_clip (const RhyArtwork *self,
                      gsize             i)
{
  g_return_val_if_fail (self != NULL && i < self->clips->len, NULL);

  return &g_array_index (self->clips, RhyClip, i);
}

gsize
rhy_artwork_get_n_pictures (const RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->pictures->len;
}

const RhyPicture *
rhy_artwork_get_picture (const RhyArtwork *self,
                         gsize             i)
{
  g_return_val_if_fail (self != NULL && i < self->pictures->len, NULL);

  return &g_array_index (self->pictures, RhyPicture, i);
}

const char *const *
rhy_artwork_get_notes (const RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return (const char *const *) self->notes->pdata;
}

RhySizeSource
rhy_artwork_get_size_source (const RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, RHY_SIZE_INK);

  return self->size_source;
}

void
rhy_artwork_get_page (const RhyArtwork *self,
                      double           *width_mm,
                      double           *height_mm)
{
  g_return_if_fail (self != NULL);

  if (width_mm != NULL)
    *width_mm = self->page_width_mm;
  if (height_mm != NULL)
    *height_mm = self->page_height_mm;
}

RhyBounds
rhy_artwork_get_ink_box (const RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, RHY_BOUNDS_EMPTY);

  return self->ink_box;
}

static RhyBounds
transformed_box (RhyBounds b,
                 RhyAffine m)
{
  if (rhy_bounds_is_empty (b))
    return b;
  const RhyPoint corners[4] = { { b.min_x, b.min_y }, { b.max_x, b.min_y },
                                { b.max_x, b.max_y }, { b.min_x, b.max_y } };
  RhyBounds box = RHY_BOUNDS_EMPTY;
  for (int i = 0; i < 4; i++)
    {
      const RhyPoint p = rhy_affine_apply (m, corners[i]);
      box = rhy_bounds_with (box, p.x, p.y);
    }
  return box;
}

static void
move_paint (RhyPaint **paint,
            RhyAffine  m)
{
  if (*paint == NULL)
    return;
  RhyPaint *moved = rhy_paint_transformed (*paint, m);
  rhy_paint_unref (*paint);
  *paint = moved;
}

/* Adds what @self holds to @made, through @m; outlines from @paths where there are any. */
static void
add_through (RhyArtwork     *made,
             RhyArtwork     *self,
             RhyAffine       m,
             RhyPath *const *paths)
{
  const RhyAffine linear = { m.xx, m.yx, m.xy, m.yy, 0.0, 0.0 };
  const guint clips_before = made->clips->len;

  for (gsize i = 0; i < self->clips->len; i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (self, i);
      const RhyClip moved = { rhy_path_transformed (clip->path, m), clip->rule };
      g_array_append_val (made->clips, moved);
    }
  for (gsize i = 0; i < self->shapes->len; i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (self, i);
      RhyShape shape = rhy_shape_dup (source, paths != NULL ? rhy_path_ref (paths[i]) : rhy_path_transformed (source->path, m));
      move_paint (&shape.fill_paint, m);
      move_paint (&shape.stroke_paint, m);
      shape.pen.matrix = rhy_affine_then (shape.pen.matrix, linear);
      for (gsize k = 0; k < shape.n_clips; k++)
        shape.clips[k] += clips_before;
      g_array_append_val (made->shapes, shape);
    }
  for (gsize i = 0; i < self->pictures->len; i++)
    {
      RhyPicture picture = *rhy_artwork_get_picture (self, i);
      picture.box = transformed_box (picture.box, m);
      g_array_append_val (made->pictures, picture);
    }
}

static RhyArtwork *
copies_through (RhyArtwork      *self,
                const RhyAffine *matrices,
                gsize            n,
                RhyPath *const  *paths)
{
  RhyArtwork *made = artwork_new ();
  made->page_width_mm = self->page_width_mm;
  made->page_height_mm = self->page_height_mm;
  made->size_source = self->size_source;
  for (gsize i = 0; i < n; i++)
    add_through (made, self, matrices[i], paths);
  for (const char *const *note = rhy_artwork_get_notes (self); *note != NULL; note++)
    g_ptr_array_add (made->notes, g_strdup (*note));
  return finished (made);
}

RhyArtwork *
rhy_artwork_subset (RhyArtwork  *self,
                    const gsize *shapes,
                    gsize        n)
{
  g_return_val_if_fail (self != NULL && (shapes != NULL || n == 0), NULL);

  RhyArtwork *made = artwork_new ();
  made->page_width_mm = self->page_width_mm;
  made->page_height_mm = self->page_height_mm;
  made->size_source = self->size_source;
  /* One more than where a clip went; 0: not needed so far. */
  g_autofree guint *moved = g_new0 (guint, self->clips->len + 1);
  for (gsize i = 0; i < n; i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (self, shapes[i]);
      RhyShape shape = rhy_shape_dup (source, rhy_path_ref (source->path));
      for (gsize k = 0; k < shape.n_clips; k++)
        {
          const guint clip = shape.clips[k];
          if (moved[clip] == 0)
            {
              const RhyClip *c = rhy_artwork_get_clip (self, clip);
              const RhyClip kept = { rhy_path_ref (c->path), c->rule };
              g_array_append_val (made->clips, kept);
              moved[clip] = made->clips->len;
            }
          shape.clips[k] = moved[clip] - 1;
        }
      g_array_append_val (made->shapes, shape);
    }
  return finished (made);
}

RhyArtwork *
rhy_artwork_joined (RhyArtwork *const *artworks,
                    gsize              n)
{
  g_return_val_if_fail (artworks != NULL && n >= 1, NULL);

  if (n == 1)
    return rhy_artwork_ref (artworks[0]);
  RhyArtwork *made = artwork_new ();
  made->page_width_mm = artworks[0]->page_width_mm;
  made->page_height_mm = artworks[0]->page_height_mm;
  made->size_source = artworks[0]->size_source;
  for (gsize i = 0; i < n; i++)
    {
      add_through (made, artworks[i], RHY_AFFINE_IDENTITY, NULL);
      for (const char *const *note = rhy_artwork_get_notes (artworks[i]); *note != NULL; note++)
        g_ptr_array_add (made->notes, g_strdup (*note));
    }
  return finished (made);
}

RhyArtwork *
rhy_artwork_transformed (RhyArtwork *self,
                         RhyAffine   m)
{
  g_return_val_if_fail (self != NULL, NULL);

  return copies_through (self, &m, 1, NULL);
}

RhyArtwork *
rhy_artwork_copies (RhyArtwork      *self,
                    const RhyAffine *matrices,
                    gsize            n)
{
  g_return_val_if_fail (self != NULL && matrices != NULL && n >= 1, NULL);

  return copies_through (self, matrices, n, NULL);
}

RhyArtwork *
rhy_artwork_with_paths (RhyArtwork     *self,
                        RhyPath *const *paths)
{
  g_return_val_if_fail (self != NULL && paths != NULL, NULL);

  return copies_through (self, &RHY_AFFINE_IDENTITY, 1, paths);
}

RhyArtwork *
rhy_artwork_sized (RhyArtwork *self,
                   double      width_mm,
                   double      height_mm,
                   GError    **error)
{
  g_return_val_if_fail (self != NULL, NULL);
  g_return_val_if_fail (width_mm > 0.0 || height_mm > 0.0, NULL);

  const RhyBounds box = self->ink_box;
  if (rhy_bounds_is_empty (box))
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "the artwork has no ink");
      return NULL;
    }

  const gboolean by_width = width_mm > 0.0;
  const double wanted = by_width ? width_mm : height_mm;
  const double extent = by_width ? box.max_x - box.min_x : box.max_y - box.min_y;
  const double scale = wanted / extent;
  if (!(extent > 0.0) || !isfinite (scale) || !(scale > 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                   "the artwork's ink has no %s: give a %s instead",
                   by_width ? "width" : "height", by_width ? "height" : "width");
      return NULL;
    }

  const double u = 0.5 * (box.min_x + box.max_x);
  const double v = 0.5 * (box.min_y + box.max_y);
  return rhy_artwork_transformed (self, (RhyAffine) { scale, 0.0, 0.0, scale,
                                                      -scale * u, -scale * v });
}
