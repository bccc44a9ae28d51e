/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "photo.h"

#include <math.h>
#include <string.h>

#include <cairo.h>

gboolean
photo_write (const char *path,
             GError    **error)
{
  enum { W = 4000, H = 3000 };
  cairo_surface_t *photo = cairo_image_surface_create (CAIRO_FORMAT_RGB24, W, H);
  guint8 *rows = cairo_image_surface_get_data (photo);
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++)
      {
        const guint32 g = (guint32) (127.5 + 120.0 * sin (x * 0.02) * cos (y * 0.013));
        const guint32 pixel = g << 16 | (255u - g) << 8 | (((guint32) (y * W + x) * 2654435761u) >> 26);
        memcpy (rows + (gsize) y * (gsize) cairo_image_surface_get_stride (photo) + 4 * (gsize) x, &pixel, 4);
      }
  cairo_surface_mark_dirty (photo);
  const cairo_status_t status = cairo_surface_write_to_png (photo, path);
  cairo_surface_destroy (photo);
  if (status != CAIRO_STATUS_SUCCESS)
    g_set_error (error, G_FILE_ERROR, G_FILE_ERROR_FAILED, "%s cannot be written: %s", path, cairo_status_to_string (status));
  return status == CAIRO_STATUS_SUCCESS;
}
