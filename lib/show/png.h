/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/raster.h>

G_BEGIN_DECLS

/*
 * rhy_png_crc:
 *
 * Returns: the check sum of a PNG's chunk, over its kind and data (ISO/IEC 15948, annex D)
 */
guint32 rhy_png_crc (const guint8 *data, gsize n);

/*
 * rhy_png_of:
 *
 * A PNG file (ISO/IEC 15948) of all that @raster holds and no more: one bit a pixel for black
 * dots on white, greys without colours, alpha only where there is any.
 *
 * Returns: (transfer full): the file
 */
GByteArray *rhy_png_of (const RhyRaster *raster);

G_END_DECLS
