/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "wire.h"

#include <rhyton/intake.h>

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const guint FLUSH_AT = 256 * 1024;
static const guint POINTS_AT_ONCE = 8192;

static void
write_out (const guint8 *at,
           gsize         left)
{
  while (left > 0)
    {
      const gssize n = write (STDOUT_FILENO, at, left);
      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        _exit (3);
      at += n;
      left -= (gsize) n;
    }
}

static void
flush (Wire *wire)
{
  write_out (wire->pending->data, wire->pending->len);
  g_byte_array_set_size (wire->pending, 0);
}

static void
put (Wire       *wire,
     const void *data,
     gsize       size)
{
  static const guint8 zeros[8];
  g_byte_array_append (wire->pending, data, (guint) size);
  if (size % 8 != 0)
    g_byte_array_append (wire->pending, zeros, (guint) (8 - size % 8));
}

static gsize
padded (gsize size)
{
  return (size + 7) & ~(gsize) 7;
}

static void
head (Wire       *wire,
      RhyWireKind kind,
      gsize       length)
{
  if (wire->pending->len > FLUSH_AT)
    flush (wire);
  put (wire, &(RhyWireHead) { kind, length }, sizeof (RhyWireHead));
  wire->n_records++;
}

void
wire_begin (Wire *wire)
{
  wire->pending = g_byte_array_sized_new (FLUSH_AT);
  wire->n_records = 0;
  wire->points_max = RHY_INTAKE_POINTS_MAX;
  put (wire, (const guint64[]) { RHY_WIRE_MAGIC, RHY_WIRE_VERSION }, 16);
}

void
wire_size (Wire         *wire,
           double        width_mm,
           double        height_mm,
           RhySizeSource source)
{
  const RhyWireSize size = { width_mm, height_mm, source };
  head (wire, RHY_WIRE_SIZE, sizeof size);
  put (wire, &size, sizeof size);
}

static gsize
path_length (const WirePath *path)
{
  return 16 + path->n_points * sizeof (RhyPoint) + padded (path->n_verbs);
}

static void
put_path (Wire           *wire,
          const WirePath *path,
          RhyAffine       m)
{
  put (wire, (const guint64[]) { path->n_verbs, path->n_points }, 16);
  /* In parts: a path of a million points is not held a second time. */
  for (gsize from = 0; from < path->n_points; from += POINTS_AT_ONCE)
    {
      const guint n = (guint) MIN (path->n_points - from, POINTS_AT_ONCE);
      const guint offset = wire->pending->len;
      g_byte_array_set_size (wire->pending, offset + n * (guint) sizeof (RhyPoint));
      RhyPoint *to = (RhyPoint *) (gpointer) (wire->pending->data + offset);
      for (guint i = 0; i < n; i++)
        to[i] = rhy_affine_apply (m, path->points[from + i]);
      if (wire->pending->len > FLUSH_AT)
        flush (wire);
    }
  put (wire, path->verbs, path->n_verbs);
}

void
wire_clip (Wire           *wire,
           RhyFillRule     rule,
           const WirePath *path,
           RhyAffine       m)
{
  head (wire, RHY_WIRE_CLIP, 8 + path_length (path));
  put (wire, &(guint64) { rule }, 8);
  put_path (wire, path, m);
}

void
wire_shape (Wire               *wire,
            const RhyWireShape *shape,
            const double       *dashes,
            const guint32      *clips,
            const WirePath     *path,
            RhyAffine           m)
{
  const gsize dash_size = shape->n_dashes * sizeof (double);
  const gsize clip_size = shape->n_clips * sizeof (guint32);
  head (wire, RHY_WIRE_SHAPE, sizeof *shape + dash_size + padded (clip_size) + path_length (path));
  put (wire, shape, sizeof *shape);
  put (wire, dashes, dash_size);
  put (wire, clips, clip_size);
  put_path (wire, path, m);
}

void
wire_raster (Wire            *wire,
             const RhyRaster *raster)
{
  static const guint8 zeros[8];
  const RhyWireRaster size = { rhy_raster_get_width (raster), rhy_raster_get_height (raster) };
  const gsize length = (gsize) size.width * size.height * sizeof (guint32);
  head (wire, RHY_WIRE_RASTER, sizeof size + padded (length));
  put (wire, &size, sizeof size);
  flush (wire);
  write_out ((const guint8 *) rhy_raster_get_pixels (raster), length);
  write_out (zeros, padded (length) - length);
}

void
wire_paint (Wire           *wire,
            const RhyPaint *paint,
            RhyAffine       m,
            guint32         raster)
{
  const RhyWirePaint p = { paint->kind, paint->extend, paint->smooth, raster, paint->n_stops, rhy_affine_then (paint->matrix, m),
                           paint->x0, paint->y0, paint->r0, paint->x1, paint->y1, paint->r1, paint->alpha };
  const gsize length = paint->n_stops * sizeof (RhyStop);
  head (wire, RHY_WIRE_PAINT, sizeof p + length);
  put (wire, &p, sizeof p);
  put (wire, paint->stops, length);
}

void
wire_picture (Wire          *wire,
              RhyPictureKind kind,
              RhyBounds      box,
              gboolean       is_drawn)
{
  const RhyWirePicture picture = { kind, is_drawn, box };
  head (wire, RHY_WIRE_PICTURE, sizeof picture);
  put (wire, &picture, sizeof picture);
}

void
wire_note (Wire       *wire,
           const char *note)
{
  const gsize length = strlen (note);
  head (wire, RHY_WIRE_NOTE, 8 + padded (length));
  put (wire, &(guint64) { length }, 8);
  put (wire, note, length);
}

void
wire_end (Wire *wire)
{
  const guint64 n = wire->n_records;
  head (wire, RHY_WIRE_END, 8);
  put (wire, &n, 8);
  flush (wire);
}

void
wire_fail (Wire       *wire,
           RhyError    code,
           const char *format,
           ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *message = g_strdup_vprintf (format, args);
  va_end (args);

  const gsize length = strlen (message);
  head (wire, RHY_WIRE_ERROR, 16 + padded (length));
  put (wire, (const guint64[]) { code, length }, 16);
  put (wire, message, length);
  flush (wire);
  _exit (1);
}
