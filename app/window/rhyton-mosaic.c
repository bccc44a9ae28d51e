/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-mosaic.h"

#include <math.h>
#include <string.h>

/* Whole pixels of the widget at any scale up to 6, or seams would show. */
#define TILE_PX 120

typedef struct
{
  gatomicrefcount count;
  int             width, height, stride;
  guint8          pixels[];
} Tile;

struct _RhytonMosaic
{
  gatomicrefcount count;
  int             width, height;
  guint           across, down;
  Tile           *tiles[];
};

static void
unref_tile (gpointer data)
{
  Tile *tile = data;
  if (g_atomic_ref_count_dec (&tile->count))
    g_free (tile);
}

static Tile *
ref_tile (Tile *tile)
{
  g_atomic_ref_count_inc (&tile->count);
  return tile;
}

/* Opaque pixels, drawn twice, are what they were; others would not be. */
static guint32
lapped (guint32 pixel)
{
  return pixel >> 24 == 0xff ? pixel : 0;
}

/* Where the picture goes on, a tile has a row and a column of its neighbours below its own: between
 * tiles drawn at a fraction of a pixel, as in a picture of a window, the ground would shine through. */
static void
cut_tile (Tile         *tile,
          const guint8 *pixels,
          int           width,
          int           height,
          int           stride)
{
  for (int y = 0; y < tile->height; y++)
    {
      const guint32 *from = (const guint32 *) (const void *) (pixels + (gsize) stride * (gsize) y);
      guint32 *to = (guint32 *) (void *) (tile->pixels + (gsize) tile->stride * (gsize) y);
      memcpy (to, from, 4 * (gsize) tile->width);
      for (int x = y < height ? width : 0; x < tile->width; x++)
        to[x] = lapped (from[x]);
    }
}

static Tile *
new_tile (int width,
          int height)
{
  Tile *tile = g_malloc (sizeof (Tile) + 4 * (gsize) width * (gsize) height);

  g_atomic_ref_count_init (&tile->count);
  tile->width = width;
  tile->height = height;
  tile->stride = 4 * width;
  return tile;
}

static gboolean
is_same (const Tile *a,
         const Tile *b)
{
  return a->width == b->width && a->height == b->height
         && memcmp (a->pixels, b->pixels, (gsize) a->stride * (gsize) a->height) == 0;
}

RhytonMosaic *
rhyton_mosaic_new (const guint8       *pixels,
                   int                 width,
                   int                 height,
                   int                 stride,
                   const RhytonMosaic *before)
{
  g_return_val_if_fail (pixels != NULL && width > 0 && height > 0 && stride >= 4 * width, NULL);

  const guint across = (guint) ((width + TILE_PX - 1) / TILE_PX), down = (guint) ((height + TILE_PX - 1) / TILE_PX);
  const gboolean alike = before != NULL && before->width == width && before->height == height;
  RhytonMosaic *self = g_malloc (sizeof (RhytonMosaic) + sizeof (Tile *) * across * down);

  g_atomic_ref_count_init (&self->count);
  self->width = width;
  self->height = height;
  self->across = across;
  self->down = down;
  for (guint i = 0; i < across * down; i++)
    {
      const int x = (int) (i % across) * TILE_PX, y = (int) (i / across) * TILE_PX;
      const int left = width - x, below = height - y;
      Tile *tile = new_tile (MIN (TILE_PX + 1, left), MIN (TILE_PX + 1, below));
      cut_tile (tile, pixels + (gsize) stride * (gsize) y + 4 * (gsize) x, MIN (TILE_PX, left), MIN (TILE_PX, below), stride);
      const gboolean same = alike && is_same (before->tiles[i], tile);
      self->tiles[i] = same ? ref_tile (before->tiles[i]) : tile;
      if (same)
        unref_tile (tile);
    }
  return self;
}

RhytonMosaic *
rhyton_mosaic_ref (RhytonMosaic *self)
{
  g_return_val_if_fail (self != NULL, NULL);
  g_atomic_ref_count_inc (&self->count);
  return self;
}

void
rhyton_mosaic_unref (RhytonMosaic *self)
{
  g_return_if_fail (self != NULL);

  if (!g_atomic_ref_count_dec (&self->count))
    return;
  for (guint i = 0; i < self->across * self->down; i++)
    unref_tile (self->tiles[i]);
  g_free (self);
}

int
rhyton_mosaic_get_width (const RhytonMosaic *self)
{
  g_return_val_if_fail (self != NULL, 0);
  return self->width;
}

int
rhyton_mosaic_get_height (const RhytonMosaic *self)
{
  g_return_val_if_fail (self != NULL, 0);
  return self->height;
}

guint
rhyton_mosaic_get_n_tiles (const RhytonMosaic *self)
{
  g_return_val_if_fail (self != NULL, 0);
  return self->across * self->down;
}

guint
rhyton_mosaic_count_shared (const RhytonMosaic *self,
                            const RhytonMosaic *other)
{
  g_return_val_if_fail (self != NULL && other != NULL, 0);

  guint shared = 0;
  for (guint i = 0; self->width == other->width && self->height == other->height && i < self->across * self->down; i++)
    shared += self->tiles[i] == other->tiles[i];
  return shared;
}

/* ---- showing them ---- */

static cairo_surface_t *
new_surface (Tile *tile,
             int   scale)
{
  static const cairo_user_data_key_t key;
  cairo_surface_t *surface = cairo_image_surface_create_for_data (tile->pixels, CAIRO_FORMAT_ARGB32, tile->width, tile->height,
                                                                  tile->stride);
  cairo_surface_set_device_scale (surface, scale, scale);
  cairo_surface_set_user_data (surface, &key, ref_tile (tile), unref_tile);
  return surface;
}

static GskRenderNode *
new_node (cairo_surface_t *surface,
          int              x,
          int              y,
          int              scale)
{
  const double left = (double) x / scale, top = (double) y / scale;
  GskRenderNode *node = gsk_cairo_node_new (&GRAPHENE_RECT_INIT ((float) left, (float) top,
                                                                 (float) cairo_image_surface_get_width (surface) / (float) scale,
                                                                 (float) cairo_image_surface_get_height (surface) / (float) scale));
  cairo_t *cr = gsk_cairo_node_get_draw_context (node);
  cairo_set_source_surface (cr, surface, left, top);
  cairo_pattern_set_extend (cairo_get_source (cr), CAIRO_EXTEND_PAD);
  cairo_paint (cr);
  cairo_destroy (cr);
  return node;
}

static void
unref_node (gpointer node)
{
  gsk_render_node_unref (node);
}

static void
unref_surface (gpointer surface)
{
  cairo_surface_destroy (surface);
}

static void
add_tile (RhytonWallpaper       *self,
          const RhytonWallpaper *before,
          guint                  i)
{
  const RhytonMosaic *mosaic = self->mosaic;
  const gboolean alike = before->mosaic != NULL && before->mosaic->width == mosaic->width
                         && before->mosaic->height == mosaic->height && before->scale == self->scale;
  if (alike && before->mosaic->tiles[i] == mosaic->tiles[i])
    {
      g_ptr_array_add (self->surfaces, cairo_surface_reference (before->surfaces->pdata[i]));
      g_ptr_array_add (self->nodes, gsk_render_node_ref (before->nodes->pdata[i]));
      return;
    }
  const int x = (int) (i % mosaic->across) * TILE_PX, y = (int) (i / mosaic->across) * TILE_PX;
  cairo_surface_t *surface = new_surface (mosaic->tiles[i], self->scale);
  g_ptr_array_add (self->surfaces, surface);
  g_ptr_array_add (self->nodes, new_node (surface, x, y, self->scale));
}

void
rhyton_wallpaper_set (RhytonWallpaper *self,
                      RhytonMosaic    *mosaic,
                      int              scale)
{
  g_return_if_fail (self != NULL && scale > 0);

  RhytonWallpaper before = *self;
  *self = (RhytonWallpaper) { .mosaic = mosaic, .scale = scale, .surfaces_before = before.surfaces };
  if (mosaic != NULL)
    {
      self->nodes = g_ptr_array_new_with_free_func (unref_node);
      self->surfaces = g_ptr_array_new_with_free_func (unref_surface);
      for (guint i = 0; i < mosaic->across * mosaic->down; i++)
        add_tile (self, &before, i);
    }
  g_clear_pointer (&before.mosaic, rhyton_mosaic_unref);
  g_clear_pointer (&before.nodes, g_ptr_array_unref);
  g_clear_pointer (&before.surfaces_before, g_ptr_array_unref);
}

void
rhyton_wallpaper_clear (RhytonWallpaper *self)
{
  g_return_if_fail (self != NULL);

  rhyton_wallpaper_set (self, NULL, 1);
  g_clear_pointer (&self->surfaces_before, g_ptr_array_unref);
}

void
rhyton_wallpaper_draw (RhytonWallpaper *self,
                       GtkSnapshot     *snapshot,
                       int              width,
                       int              height)
{
  g_return_if_fail (self != NULL && GTK_IS_SNAPSHOT (snapshot));

  if (self->mosaic == NULL)
    return;
  const double shown_width = (double) self->mosaic->width / self->scale, shown_height = (double) self->mosaic->height / self->scale;
  const double fit = MIN (width / shown_width, height / shown_height);
  const gboolean fits = fabs (shown_width - width) <= 0.5 && fabs (shown_height - height) <= 0.5;

  gtk_snapshot_save (snapshot);
  if (!fits)
    {
      gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) (0.5 * (width - shown_width * fit)),
                                                              (float) (0.5 * (height - shown_height * fit))));
      gtk_snapshot_scale (snapshot, (float) fit, (float) fit);
    }
  for (guint i = 0; i < self->nodes->len; i++)
    gtk_snapshot_append_node (snapshot, self->nodes->pdata[i]);
  gtk_snapshot_restore (snapshot);
}
