/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/raster.h>

struct _RhyRaster
{
  guint    width, height;
  guint32 *pixels;
};

RhyRaster *
rhy_raster_new (guint    width,
                guint    height,
                guint32 *pixels)
{
  g_return_val_if_fail (width > 0 && height > 0 && pixels != NULL, NULL);
  g_return_val_if_fail ((guint64) width * height <= RHY_RASTER_PIXELS_MAX, NULL);

  RhyRaster *self = g_atomic_rc_box_new (RhyRaster);
  *self = (RhyRaster) { width, height, pixels };
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
  g_free (((RhyRaster *) data)->pixels);
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
