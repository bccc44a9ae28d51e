/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/error.h>
#include <rhyton/space.h>

G_BEGIN_DECLS

/**
 * RHY_RASTER_PIXELS_MAX: more pixels than this in one picture are refused; four
 *   bytes each, so 256 MiB.
 */
#define RHY_RASTER_PIXELS_MAX G_GUINT64_CONSTANT (67108864)

/**
 * RhyRaster:
 *
 * A picture of pixels, premultiplied sRGB with alpha, one 32-bit number a pixel in
 * the machine's own order (0xAARRGGBB, as cairo's ARGB32). Pixel (i, j) covers
 * the square from (i, j) to (i + 1, j + 1) of pixel space, x right, y down, (0, 0)
 * the upper left corner. Opaque, reference counted, immutable.
 */
typedef struct _RhyRaster RhyRaster;

/**
 * rhy_raster_new:
 * @pixels: (array) (transfer full): @width times @height numbers, row by row from the top
 */
RHY_API
RhyRaster *rhy_raster_new (guint width, guint height, guint32 *pixels);
RHY_API
RhyRaster *rhy_raster_ref (RhyRaster *self);
RHY_API
void rhy_raster_unref (RhyRaster *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyRaster, rhy_raster_unref)

RHY_API
guint rhy_raster_get_width (const RhyRaster *self);
RHY_API
guint rhy_raster_get_height (const RhyRaster *self);
/** rhy_raster_get_pixels: Returns: (array): width times height numbers, borrowed. */
RHY_API
const guint32 *rhy_raster_get_pixels (const RhyRaster *self);
/**
 * rhy_raster_dup_halved:
 *
 * Two by two pixels become one, their mean; an odd last row or column is taken twice. Made at
 * the first call, for who shows a large picture small again and again.
 *
 * Returns: (transfer full): a picture of half the sides, rounded up
 */
RHY_API
RhyRaster *rhy_raster_dup_halved (RhyRaster *self);

G_END_DECLS
