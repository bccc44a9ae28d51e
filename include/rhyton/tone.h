/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/raster.h>

G_BEGIN_DECLS

/**
 * rhy_raster_grey:
 *
 * Colours to the grey of the same luminance, alpha untouched: Y = 0.2126 R + 0.7152 G +
 * 0.0722 B of the linear values, then coded as sRGB again. Source: IEC 61966-2-1 (sRGB),
 * whose primaries these weights are.
 *
 * Returns: (transfer full): another raster; greys come out to the bit
 */
RHY_API
RhyRaster *rhy_raster_grey (const RhyRaster *self);

/**
 * rhy_raster_dots:
 *
 * One bit a pixel: black dots, as dense as the grey of rhy_raster_grey() over white is
 * dark in its coded value; white between them where @self is opaque, nothing where
 * it is not. The error of each dot is handed on to its neighbours by Floyd and Steinberg's
 * weights, rows alternately from either end, with a threshold shaken by fixed noise so that
 * even tones make no pattern (Ulichney 1987, Digital Halftoning, ch. 8). Coded values, not
 * luminance: dots burn larger than they are drawn (common practice, no source).
 *
 * Returns: (transfer full): another raster; the same bytes for the same raster, always
 */
RHY_API
RhyRaster *rhy_raster_dots (const RhyRaster *self);

G_END_DECLS
