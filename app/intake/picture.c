/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "picture.h"

#include <gdk-pixbuf/gdk-pixbuf.h>
#include <math.h>
#include <string.h>

#include "palette.h"

static const double MM_PER_INCH = 25.4;
static const double PER_INCH = 96.0;
/* cairo, which draws them, has no longer ones. */
static const guint32 SIDE_MAX = 32767;
/* Resolutions that no picture is meant to have are slips: pixels from a tenth of a
 * micrometre to a centimetre are believed. */
static const double PER_MM_MAX = 1e4;
static const double PER_MM_MIN = 0.1;

static const guint8 png_magic[] = { 0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n' };
static const guint8 jpeg_magic[] = { 0xff, 0xd8, 0xff };

typedef struct
{
  const char *name;             /* "PNG" */
  const char *type;
  guint32     width, height;
  double      x_per_mm, y_per_mm;       /* 0: not stated */
  gboolean    ends;             /* is not cut off: unpacking would make up the rest */
  gboolean    is_inked;         /* four inks, */
  gboolean    says_how;         /* and the segment that says how they are counted */
} Header;

static gboolean
begins_with (const guint8 *data,
             gsize         size,
             const guint8 *magic,
             gsize         length)
{
  return size >= length && memcmp (data, magic, length) == 0;
}

static guint32
be32 (const guint8 *p)
{
  return (guint32) p[0] << 24 | (guint32) p[1] << 16 | (guint32) p[2] << 8 | p[3];
}

static guint32
be16 (const guint8 *p)
{
  return (guint32) p[0] << 8 | p[1];
}

/* ISO/IEC 15948, 11.2.2 and 11.3.5.3: chunks of length, type, data, check sum; pHYs
 * stands before the first IDAT, IEND last. */
static gboolean
read_png (const guint8 *data,
          gsize         size,
          Header       *header)
{
  gsize at = sizeof png_magic;
  while (size - at >= 12)
    {
      const guint32 length = be32 (data + at);
      const guint8 *type = data + at + 4;
      const guint8 *chunk = data + at + 8;
      if (length > size - at - 12)
        break;
      header->ends = memcmp (type, "IEND", 4) == 0;
      if (memcmp (type, "IHDR", 4) == 0 && length >= 8)
        {
          header->width = be32 (chunk);
          header->height = be32 (chunk + 4);
        }
      /* Unit 1 is the metre; 0 states a ratio only. */
      if (memcmp (type, "pHYs", 4) == 0 && length >= 9 && chunk[8] == 1)
        {
          header->x_per_mm = be32 (chunk) / 1000.0;
          header->y_per_mm = be32 (chunk + 4) / 1000.0;
        }
      at += (gsize) length + 12;
    }
  return header->width > 0 && header->height > 0;
}

static gboolean
is_frame (guint8 marker)
{
  /* SOF0 to SOF15 but for DHT, JPG and DAC: ISO/IEC 10918-1, table B.1. */
  return marker >= 0xc0 && marker <= 0xcf && marker != 0xc4 && marker != 0xc8 && marker != 0xcc;
}

/* ISO/IEC 10918-1, annex B, and 10918-5 for APP0: density unit 1 is dots an inch, 2
 * dots a cm, 0 a ratio only. */
static gboolean
read_jpeg (const guint8 *data,
           gsize         size,
           Header       *header)
{
  gsize at = 2;
  while (size - at >= 4)
    {
      if (data[at] != 0xff)
        return FALSE;
      const guint8 marker = data[at + 1];
      if (marker == 0xff || marker == 0x01 || (marker >= 0xd0 && marker <= 0xd8))
        {
          at += marker == 0xff ? 1 : 2;         /* fill bytes, and what has no length */
          continue;
        }
      const gsize length = be16 (data + at + 2);
      const guint8 *segment = data + at + 4;
      if (length < 2 || length > size - at - 2)
        return FALSE;
      if (marker == 0xe0 && length >= 14 && memcmp (segment, "JFIF", 5) == 0 && (segment[7] == 1 || segment[7] == 2))
        {
          const double unit_mm = segment[7] == 1 ? MM_PER_INCH : 10.0;
          header->x_per_mm = be16 (segment + 8) / unit_mm;
          header->y_per_mm = be16 (segment + 10) / unit_mm;
        }
      if (marker == 0xee && length >= 14 && memcmp (segment, "Adobe", 5) == 0)
        header->says_how = TRUE;
      if (is_frame (marker) && length >= 8)
        {
          header->is_inked = segment[5] == 4;
          header->height = be16 (segment + 1);
          header->width = be16 (segment + 3);
          header->ends = memmem (segment, size - at - 4, "\xff\xd9", 2) != NULL;
          return header->width > 0 && header->height > 0;
        }
      at += length + 2;
    }
  return FALSE;
}

gboolean
picture_is_one (GBytes *source)
{
  gsize size;
  const guint8 *data = g_bytes_get_data (source, &size);
  return begins_with (data, size, png_magic, sizeof png_magic) || begins_with (data, size, jpeg_magic, sizeof jpeg_magic);
}

static Header
read_header (Wire   *wire,
             GBytes *source)
{
  gsize size;
  const guint8 *data = g_bytes_get_data (source, &size);
  const gboolean is_png = begins_with (data, size, png_magic, sizeof png_magic);
  Header header = { .name = is_png ? "PNG" : "JPEG", .type = is_png ? "image/png" : "image/jpeg" };
  if (!(is_png ? read_png : read_jpeg) (data, size, &header))
    wire_fail (wire, RHY_ERROR_ARTWORK, "a damaged %s picture: its header does not say how large it is", header.name);
  const guint64 n = (guint64) header.width * header.height;
  if (n > RHY_RASTER_PIXELS_MAX)
    wire_fail (wire, RHY_ERROR_LIMIT, "a picture of %u x %u pixels: more than the %.0f million allowed; make it smaller in a picture program",
               header.width, header.height, 1e-6 * (double) RHY_RASTER_PIXELS_MAX);
  if (MAX (header.width, header.height) > SIDE_MAX)
    wire_fail (wire, RHY_ERROR_LIMIT, "a picture of %u x %u pixels: longer than the %u a side allowed; make it smaller in a picture program",
               header.width, header.height, SIDE_MAX);
  /* Unpacking takes 255 for no ink, as with that segment; without it 0 is none, and white would be burnt black. */
  if (header.is_inked && !header.says_how)
    wire_fail (wire, RHY_ERROR_ARTWORK, "a JPEG picture in four printing inks that does not say whether 0 or 255 is no ink: save it in RGB or grey");
  if (!header.ends)
    wire_fail (wire, RHY_ERROR_ARTWORK, "a damaged %s picture: it is cut off before its end", header.name);
  return header;
}

static GdkPixbuf *
unpack (Wire         *wire,
        GBytes       *source,
        const Header *header)
{
  g_autoptr (GError) error = NULL;
  GdkPixbufLoader *loader = gdk_pixbuf_loader_new_with_mime_type (header->type, &error);
  gboolean ok = loader != NULL;
  if (ok)
    ok = gdk_pixbuf_loader_write_bytes (loader, source, &error);
  if (loader != NULL)
    ok = gdk_pixbuf_loader_close (loader, ok ? &error : NULL) && ok;
  GdkPixbuf *pixbuf = ok ? gdk_pixbuf_loader_get_pixbuf (loader) : NULL;
  if (pixbuf == NULL)
    {
      g_autofree char *reason = g_strdup (error != NULL ? error->message : "nothing in it");
      g_strdelimit (reason, "\n\r\t", ' ');
      wire_fail (wire, RHY_ERROR_ARTWORK, "a damaged %s picture: %s", header->name, reason);
    }
  return pixbuf;
}

static guint32
premultiplied (const guint8 *p,
               int           channels)
{
  if (channels < 4)
    return 0xff000000u | (guint32) p[0] << 16 | (guint32) p[1] << 8 | p[2];
  const guint32 a = p[3];
  guint32 pixel = a << 24;
  for (int k = 0; k < 3; k++)
    pixel |= ((p[k] * a + 127) / 255) << (16 - 8 * k);
  return pixel;
}

static RhyRaster *
raster_of (Wire            *wire,
           const GdkPixbuf *pixbuf)
{
  const int width = gdk_pixbuf_get_width (pixbuf);
  const int height = gdk_pixbuf_get_height (pixbuf);
  const int channels = gdk_pixbuf_get_n_channels (pixbuf);
  const gsize stride = (gsize) gdk_pixbuf_get_rowstride (pixbuf);
  const guint8 *data = gdk_pixbuf_read_pixels (pixbuf);
  guint32 *pixels = g_try_new (guint32, (gsize) width * (gsize) height);
  if (pixels == NULL)
    wire_fail (wire, RHY_ERROR_LIMIT, "takes more memory than it is allowed");
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      pixels[(gsize) y * (gsize) width + (gsize) x] = premultiplied (data + (gsize) y * stride + (gsize) (x * channels), channels);
  return rhy_raster_new ((guint) width, (guint) height, pixels);
}

static gboolean
is_believed (double per_mm)
{
  return per_mm >= PER_MM_MIN && per_mm <= PER_MM_MAX;
}

void
picture_send (Wire       *wire,
              GBytes     *source,
              const char *layer)
{
  if (layer != NULL)
    wire_fail (wire, RHY_ERROR_ARTWORK, "it has no element with the id \"%s\": it is a picture", layer);
  Header header = read_header (wire, source);
  GdkPixbuf *flat = unpack (wire, source, &header);
  /* A camera held upright says so and leaves the turning to whoever shows it. */
  g_autoptr (GdkPixbuf) pixbuf = gdk_pixbuf_apply_embedded_orientation (flat);
  if (pixbuf == NULL)
    wire_fail (wire, RHY_ERROR_LIMIT, "takes more memory than it is allowed");
  const char *turned = gdk_pixbuf_get_option (flat, "orientation");
  if (turned != NULL && g_ascii_strtoll (turned, NULL, 10) >= 5)
    {
      const double x = header.x_per_mm;
      header.x_per_mm = header.y_per_mm;
      header.y_per_mm = x;
    }
  const gboolean stated = is_believed (header.x_per_mm) && is_believed (header.y_per_mm);
  if (!stated)
    header.x_per_mm = header.y_per_mm = PER_INCH / MM_PER_INCH;

  g_autoptr (RhyRaster) raster = raster_of (wire, pixbuf);
  const RhyColour mean = raster_get_mean (raster);
  if (!(mean.a > 0.0))
    wire_fail (wire, RHY_ERROR_ARTWORK, "it has no ink: the picture is clear all over");
  const double width = rhy_raster_get_width (raster);
  const double height = rhy_raster_get_height (raster);
  const RhyAffine to_mm = { 1.0 / header.x_per_mm, 0.0, 0.0, -1.0 / header.y_per_mm, 0.0, height / header.y_per_mm };

  wire_size (wire, width / header.x_per_mm, height / header.y_per_mm, stated ? RHY_SIZE_PHYSICAL : RHY_SIZE_VIEWBOX);
  if (!stated)
    wire_note (wire, "the picture states no size: taken at 96 pixels an inch");
  wire_picture (wire, RHY_PICTURE_IMAGE, (RhyBounds) { 0.0, 0.0, width / header.x_per_mm, height / header.y_per_mm }, TRUE);
  wire_raster (wire, raster);
  g_autoptr (RhyPaint) paint = paint_new_picture (raster, RHY_AFFINE_IDENTITY, RHY_EXTEND_PAD, 1.0);
  wire_paint (wire, paint, to_mm, 0);
  const RhyWireShape shape = { .has_fill = TRUE, .fill = mean, .fill_paint = 1, .xx = 1.0, .yy = 1.0, .miter_limit = 4.0 };
  WirePath *path = wire_path_new_rectangle (0.0, 0.0, width, height);
  wire_shape (wire, &shape, NULL, NULL, path, to_mm);
  wire_path_free (path);
  wire_end (wire);
}
