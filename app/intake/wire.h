/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/intake-wire.h>

G_BEGIN_DECLS

/* Writes records to standard output, buffered; gives up (exit 3) when the
 * reader is gone. */
typedef struct
{
  GByteArray *pending;
  guint64     n_records;
  guint64     points_max;       /* that shapes may have together */
} Wire;

/* A path as it goes over the wire. */
typedef struct
{
  RhyPoint *points;
  guint8   *verbs;              /* RhyPathVerb */
  gsize     n_points, n_verbs;
} WirePath;

void wire_begin (Wire *wire);
void wire_size (Wire *wire, double width_mm, double height_mm, RhySizeSource source);
void wire_clip (Wire *wire, RhyFillRule rule, const WirePath *path, RhyAffine m);
void wire_shape (Wire *wire, const RhyWireShape *shape, const double *dashes, const guint32 *clips,
                 const WirePath *path, RhyAffine m);
/* @raster: is written without a copy. */
void wire_raster (Wire *wire, const RhyRaster *raster);
/* @m: its space to mm; @raster: which, of pictures. */
void wire_paint (Wire *wire, const RhyPaint *paint, RhyAffine m, guint32 raster);
void wire_picture (Wire *wire, RhyPictureKind kind, RhyBounds box, gboolean is_drawn);
void wire_note (Wire *wire, const char *note);
void wire_end (Wire *wire);
/* Ends the stream with @message instead of a drawing, and the process. */
void wire_fail (Wire *wire, RhyError code, const char *format, ...) G_GNUC_PRINTF (3, 4) G_GNUC_NORETURN;

G_END_DECLS
