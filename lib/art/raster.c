/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/raster.h>

struct _RhyRaster
{
  guint      width, height;
  guint32   *pixels;
  RhyRaster *halved;            /* atomic; nullable: not asked for yet */
};

RhyRaster *
rhy_raster_new (guint    width,
                guint    height,
                guint32 *pixels)
{
  g_return_val_if_fail (width > 0 && height > 0 && pixels != NULL, NULL);
  g_return_val_if_fail ((guint64) width * height <= RHY_RASTER_PIXELS_MAX, NULL);

  RhyRaster *self = g_atomic_rc_box_new (RhyRaster);
  *self = (RhyRaster) { .width = width, .height = height, .pixels = pixels };
  return self;
}

RhyRaster *
rhy_raster_ref (RhyRaster *self)
{
  return g_atomic_rc_box_acquire (self);
}

static void
clear (gpointer data)
{
  RhyRaster *self = data;
  g_free (self->pixels);
  g_clear_pointer (&self->halved, rhy_raster_unref);
}

void
rhy_raster_unref (RhyRaster *self)
{
  g_atomic_rc_box_release_full (self, clear);
}

guint
rhy_raster_get_width (const RhyRaster *self)
{
  return self->width;
}

guint
rhy_raster_get_height (const RhyRaster *self)
{
  return self->height;
}

const guint32 *
rhy_raster_get_pixels (const RhyRaster *self)
{
  return self->pixels;
}

static RhyRaster *
halve (const RhyRaster *self)
{
  const guint width = (self->width + 1) / 2;
  const guint height = (self->height + 1) / 2;
  guint32 *pixels = g_new (guint32, (gsize) width * height);
  for (guint y = 0; y < height; y++)
    {
      const guint32 *a = self->pixels + (gsize) self->width * (2 * y);
      const guint32 *b = self->pixels + (gsize) self->width * MIN (2 * y + 1, self->height - 1);
      guint32 *to = pixels + (gsize) width * y;
      for (guint x = 0; x < width; x++)
        {
          const guint x0 = 2 * x;
          const guint x1 = MIN (x0 + 1, self->width - 1);
          /* Two channels at a time, each with room above it for the sum of four. */
          const guint32 even = (a[x0] & 0xff00ffu) + (a[x1] & 0xff00ffu) + (b[x0] & 0xff00ffu) + (b[x1] & 0xff00ffu);
          const guint32 odd = ((a[x0] >> 8) & 0xff00ffu) + ((a[x1] >> 8) & 0xff00ffu)
                              + ((b[x0] >> 8) & 0xff00ffu) + ((b[x1] >> 8) & 0xff00ffu);
          to[x] = (((even + 0x20002u) >> 2) & 0xff00ffu) | ((((odd + 0x20002u) >> 2) & 0xff00ffu) << 8);
        }
    }
  return rhy_raster_new (width, height, pixels);
}

RhyRaster *
rhy_raster_dup_halved (RhyRaster *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  RhyRaster *halved = g_atomic_pointer_get (&self->halved);
  if (halved != NULL)
    return rhy_raster_ref (halved);
  /* Two threads may both make it: the first one's is kept. */
  halved = halve (self);
  if (!g_atomic_pointer_compare_and_exchange (&self->halved, NULL, halved))
    {
      rhy_raster_unref (halved);
      halved = g_atomic_pointer_get (&self->halved);
    }
  return rhy_raster_ref (halved);
}
