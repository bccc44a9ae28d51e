/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/**
 * RhytonMosaic:
 *
 * A picture in tiles. Where a tile has the same pixels as the picture before, it is that
 * picture's tile: what is drawn of it stays as it is, and GTK draws, and gives to the display, only
 * what has changed. Of a vessel whose artwork is dragged most tiles stay. Immutable, so safe in any thread.
 */
typedef struct _RhytonMosaic RhytonMosaic;

/**
 * rhyton_mosaic_new:
 * @pixels: height x stride bytes in cairo's ARGB32; copied
 * @before: (nullable): the picture that was shown before
 */
RhytonMosaic *rhyton_mosaic_new (const guint8 *pixels, int width, int height, int stride, const RhytonMosaic *before);
RhytonMosaic *rhyton_mosaic_ref (RhytonMosaic *self);
void rhyton_mosaic_unref (RhytonMosaic *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhytonMosaic, rhyton_mosaic_unref)

int rhyton_mosaic_get_width (const RhytonMosaic *self);
int rhyton_mosaic_get_height (const RhytonMosaic *self);
/** rhyton_mosaic_count_shared: Returns: how many tiles two pictures have in common. */
guint rhyton_mosaic_count_shared (const RhytonMosaic *self, const RhytonMosaic *other);
/** rhyton_mosaic_get_n_tiles: Returns: of how many tiles it is. */
guint rhyton_mosaic_get_n_tiles (const RhytonMosaic *self);

/**
 * RhytonWallpaper:
 *
 * What a widget shows of mosaics, one after the other: belongs to the main thread. A value; start from zeros.
 */
typedef struct
{
  RhytonMosaic *mosaic;         /* nullable */
  int           scale;
  GPtrArray    *nodes;          /* of GskRenderNode, one a tile */
  GPtrArray    *surfaces;       /* that they draw: cairo copies one that goes before its node does, */
  GPtrArray    *surfaces_before;        /* and GTK keeps the nodes of a frame for the next */
} RhytonWallpaper;

/** rhyton_wallpaper_set: @mosaic: (transfer full) (nullable); @scale: its pixels to one of the widget's */
void rhyton_wallpaper_set (RhytonWallpaper *self, RhytonMosaic *mosaic, int scale);
void rhyton_wallpaper_clear (RhytonWallpaper *self);
/** rhyton_wallpaper_draw: fitted into @width x @height, of the widget's pixels, its middle in the middle. */
void rhyton_wallpaper_draw (RhytonWallpaper *self, GtkSnapshot *snapshot, int width, int height);

G_END_DECLS
