/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/raster.h>

G_BEGIN_DECLS

/** RhyColour: straight (not premultiplied) sRGB and alpha, each 0 to 1. */
typedef struct { double r, g, b, a; } RhyColour;

/**
 * RhyPaintKind:
 * @RHY_PAINT_LINEAR, @RHY_PAINT_RADIAL: gradients as in SVG 2, chapter 14
 * @RHY_PAINT_RASTER: a picture
 */
typedef enum { RHY_PAINT_LINEAR, RHY_PAINT_RADIAL, RHY_PAINT_RASTER } RhyPaintKind;

/** RhyExtend: how a paint goes on outside itself. @RHY_EXTEND_NONE: not at all. */
typedef enum { RHY_EXTEND_NONE, RHY_EXTEND_PAD, RHY_EXTEND_REPEAT, RHY_EXTEND_REFLECT } RhyExtend;

/** RhyStop: a gradient's colour at @offset, 0 to 1, not falling from one to the next. */
typedef struct
{
  double    offset;
  RhyColour colour;
} RhyStop;

/**
 * RhyPaint:
 * @matrix: the paint's own space to the artwork's. The own space of a raster is its pixels
 * @linear: the gradient runs from (x0, y0) to (x1, y1), own space
 * @radial: from circle (x0, y0, r0) to circle (x1, y1, r1), own space
 * @stops: (array length=n_stops): of gradients; at least one
 * @raster: of pictures
 * @smooth: pictures: whether pixels blend into each other where they are large
 * @alpha: 0 to 1, multiplies all of it
 *
 * What fills a shape where one colour does not say it. Reference counted, read
 * only once shared.
 */
typedef struct
{
  RhyPaintKind kind;
  RhyExtend    extend;
  RhyAffine    matrix;
  double       x0, y0, r0, x1, y1, r1;
  RhyStop     *stops;
  gsize        n_stops;
  RhyRaster   *raster;
  gboolean     smooth;
  double       alpha;
} RhyPaint;

/**
 * rhy_paint_new:
 * @paint: its pointers are taken over: @stops (g_free), @raster (a reference)
 *
 * Returns: (transfer full): a copy to share
 */
RHY_API
RhyPaint *rhy_paint_new (const RhyPaint *paint);
RHY_API
RhyPaint *rhy_paint_ref (RhyPaint *self);
RHY_API
void rhy_paint_unref (RhyPaint *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyPaint, rhy_paint_unref)

/** rhy_paint_transformed: Returns: (transfer full): the same paint in a space that @m leads to. */
RHY_API
RhyPaint *rhy_paint_transformed (const RhyPaint *self, RhyAffine m);

G_END_DECLS
