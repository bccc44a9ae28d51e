/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "png.h"

#include <stdlib.h>
#include <string.h>

#include "../shape/late-gio.h"

guint32
rhy_png_crc (const guint8 *data,
             gsize         n)
{
  /* Four bits at a time: the remainders of 0 to 15. */
  guint32 table[16];
  for (guint32 i = 0; i < 16; i++)
    {
      table[i] = i;
      for (int k = 0; k < 4; k++)
        table[i] = (table[i] >> 1) ^ (0xedb88320u & (0u - (table[i] & 1u)));
    }
  guint32 crc = 0xffffffffu;
  for (gsize i = 0; i < n; i++)
    {
      crc = table[(crc ^ data[i]) & 15u] ^ (crc >> 4);
      crc = table[(crc ^ (data[i] >> 4)) & 15u] ^ (crc >> 4);
    }
  return ~crc;
}

static void
put_be32 (guint8 *p,
          guint32 v)
{
  for (int i = 0; i < 4; i++)
    p[i] = (guint8) (v >> (24 - 8 * i));
}

static void
put_chunk (GByteArray   *png,
           const char   *kind,
           const guint8 *data,
           guint         n)
{
  const guint start = png->len;
  g_byte_array_set_size (png, start + 12 + n);
  guint8 *p = png->data + start;
  put_be32 (p, n);
  memcpy (p + 4, kind, 4);
  if (n > 0)
    memcpy (p + 8, data, n);
  put_be32 (p + 8 + n, rhy_png_crc (p + 4, n + 4));
}

/* What is in the pixels. */
typedef struct
{
  gboolean is_grey, is_opaque, is_two_tone;
  guint    bytes;               /* a pixel; two-tone rows are packed */
} Kind;

static Kind
kind_of (const guint32 *pixels,
         gsize          n)
{
  guint32 coloured = 0, clear = 0, toned = 0;
  for (gsize i = 0; i < n; i++)
    {
      const guint32 p = pixels[i];
      const guint32 grey = (p & 255u) * 0x010101u;
      coloured |= (p & 0xffffffu) ^ grey;
      clear |= ~p & 0xff000000u;
      toned |= (p & 255u) != 0 && (p & 255u) != 255u;
    }
  Kind k = { coloured == 0, clear == 0, coloured == 0 && clear == 0 && toned == 0, 0 };
  k.bytes = (k.is_grey ? 1 : 3) + (k.is_opaque ? 0 : 1);
  return k;
}

/* One row as the file has it, straight colours; @to has room for four bytes a pixel. */
static void
unpack (const Kind    *kind,
        const guint32 *row,
        guint          width,
        guint8        *to)
{
  if (kind->is_two_tone)
    {
      memset (to, 0, (width + 7) / 8);
      for (guint i = 0; i < width; i++)
        to[i / 8] |= (guint8) ((row[i] & 1u) << (7 - i % 8));
      return;
    }
  for (guint i = 0; i < width; i++)
    {
      const guint32 a = row[i] >> 24;
      for (int shift = kind->is_grey ? 0 : 16; shift >= 0; shift -= 8)
        {
          const guint32 c = (row[i] >> shift) & 255u;
          *to++ = (guint8) (a == 255u ? c : a == 0 ? 0 : MIN (255u, (c * 255u + a / 2) / a));
        }
      if (!kind->is_opaque)
        *to++ = (guint8) a;
    }
}

/* Differences from the row above or from the pixel to the left, whichever are smaller in sum
 * (the usual choice; ISO/IEC 15948, 12.8). @out: the filter's number and the row. */
static void
filter (const guint8 *row,
        const guint8 *above,
        gsize         n,
        guint         bytes,
        guint8       *out)
{
  guint64 up = 0, left = 0;
  for (gsize i = 0; i < n; i++)
    {
      const guint8 before = i >= bytes ? row[i - bytes] : 0;
      up += (guint64) abs ((gint8) (row[i] - above[i]));
      left += (guint64) abs ((gint8) (row[i] - before));
    }
  out[0] = up <= left ? 2 : 1;
  for (gsize i = 0; i < n; i++)
    out[1 + i] = (guint8) (row[i] - (up <= left ? above[i] : i >= bytes ? row[i - bytes] : 0));
}

static void
pack (GConverter   *zlib,
      const guint8 *data,
      gsize         n,
      gboolean      is_last,
      GByteArray   *packed)
{
  GConverterResult result = G_CONVERTER_CONVERTED;
  while (n > 0 || (is_last && result != G_CONVERTER_FINISHED))
    {
      guint8 out[16384];
      gsize read = 0, written = 0;
      result = g_converter_convert (zlib, data, n, out, sizeof out, is_last ? G_CONVERTER_INPUT_AT_END : G_CONVERTER_NO_FLAGS,
                                    &read, &written, NULL);
      if (result == G_CONVERTER_ERROR)
        return;         /* it wants more than there is: not after the last row */
      g_byte_array_append (packed, out, (guint) written);
      data += read;
      n -= read;
    }
}

static GByteArray *
packed_rows (const RhyRaster *raster,
             const Kind      *kind)
{
  const guint width = rhy_raster_get_width (raster);
  const guint height = rhy_raster_get_height (raster);
  const gsize n = kind->is_two_tone ? (width + 7) / 8 : (gsize) width * kind->bytes;
  g_autofree guint8 *row = g_malloc0 (4 * (gsize) width + 8);
  g_autofree guint8 *above = g_malloc0 (4 * (gsize) width + 8);
  g_autofree guint8 *out = g_malloc0 (n + 1);
  GConverter *zlib = (GConverter *) g_zlib_compressor_new (G_ZLIB_COMPRESSOR_FORMAT_ZLIB, 4);
  GByteArray *packed = g_byte_array_new ();
  for (guint y = 0; y < height; y++)
    {
      unpack (kind, rhy_raster_get_pixels (raster) + (gsize) y * width, width, row);
      if (kind->is_two_tone)
        memcpy (out + 1, row, n);       /* dots are like nothing beside them */
      else
        filter (row, above, n, kind->bytes, out);
      pack (zlib, out, n + 1, y + 1 == height, packed);
      guint8 *last = above;
      above = row;
      row = last;
    }
  g_object_unref (zlib);
  return packed;
}

GByteArray *
rhy_png_of (const RhyRaster *raster)
{
  static const guint8 magic[8] = { 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n' };
  const guint width = rhy_raster_get_width (raster);
  const guint height = rhy_raster_get_height (raster);
  const Kind kind = kind_of (rhy_raster_get_pixels (raster), (gsize) width * height);
  guint8 header[13] = { 0 };
  put_be32 (header, width);
  put_be32 (header + 4, height);
  header[8] = kind.is_two_tone ? 1 : 8;
  header[9] = (guint8) ((kind.is_grey ? 0 : 2) + (kind.is_opaque ? 0 : 4));

  g_autoptr (GByteArray) packed = packed_rows (raster, &kind);
  GByteArray *png = g_byte_array_new ();
  g_byte_array_append (png, magic, sizeof magic);
  put_chunk (png, "IHDR", header, sizeof header);
  put_chunk (png, "IDAT", packed->data, packed->len);
  put_chunk (png, "IEND", NULL, 0);
  return png;
}
