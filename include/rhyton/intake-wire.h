/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/*
 * What rhyton-intake says on its standard output; private to it and to
 * lib/art/intake.c, which are built and installed together: not installed.
 *
 * Numbers are in the machine's own order, every record and every array in it
 * starts at a multiple of 8 bytes, padded with zeros. The stream is the magic
 * and the version, then records; the last is END or ERROR, and a stream without
 * one of them was cut off. A reader trusts nothing in it.
 *
 * Lengths are mm, u right, v up, (0, 0) the page's lower left corner. "path" is
 *   u64 n_verbs, u64 n_points, RhyPoint[n_points], u8[n_verbs] (RhyPathVerb)
 * Clips, rasters and paints each count from 0 as they come, and come before what
 * speaks of them. All rasters together hold at most RHY_RASTER_PIXELS_MAX pixels.
 */
#define RHY_WIRE_MAGIC G_GUINT64_CONSTANT (0x6572697779687200)
#define RHY_WIRE_VERSION G_GUINT64_CONSTANT (2)

/* The message about what is of no known kind; only the parent knows what its file is called. */
#define RHY_INTAKE_NO_XML "not an SVG drawing: it is not XML"

typedef enum
{
  RHY_WIRE_SIZE = 1,    /* RhyWireSize */
  RHY_WIRE_CLIP,        /* u64 rule; path */
  RHY_WIRE_SHAPE,       /* RhyWireShape; f64[n_dashes]; u32[n_clips]; path */
  RHY_WIRE_PICTURE,     /* RhyWirePicture */
  RHY_WIRE_NOTE,        /* u64 length; UTF-8 */
  RHY_WIRE_ERROR,       /* u64 RhyError; u64 length; UTF-8 */
  RHY_WIRE_END,         /* u64 records before it */
  RHY_WIRE_RASTER,      /* RhyWireRaster; u32[width * height], as RhyRaster has them */
  RHY_WIRE_PAINT,       /* RhyWirePaint; RhyStop[n_stops] */
} RhyWireKind;

typedef struct { guint64 kind, length; } RhyWireHead;

typedef struct
{
  double  width_mm, height_mm;
  guint64 source;               /* RhySizeSource */
} RhyWireSize;

typedef struct
{
  guint32 has_fill, has_stroke;
  guint32 rule, cap, join;      /* RhyFillRule, RhyCap, RhyJoin */
  guint32 n_clips;
  guint32 fill_paint, stroke_paint;     /* counted from 1; 0: none, the colour says it all */
  guint64 n_dashes;
  RhyColour fill, stroke;
  double  width, miter_limit, dash_offset;
  double  xx, yx, xy, yy;       /* pen matrix */
} RhyWireShape;

typedef struct { guint32 width, height; } RhyWireRaster;

typedef struct
{
  guint32   kind, extend;       /* RhyPaintKind, RhyExtend */
  guint32   smooth, raster;     /* rasters: which */
  guint64   n_stops;            /* gradients */
  RhyAffine matrix;
  double    x0, y0, r0, x1, y1, r1;
  double    alpha;
} RhyWirePaint;

typedef struct
{
  guint32   kind, is_drawn;     /* RhyPictureKind */
  RhyBounds box;
} RhyWirePicture;

G_END_DECLS
