/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft-private.h"
#include "png.h"

#include <math.h>
#include <string.h>

static void
put_be32 (guint8 *p,
          guint32 v)
{
  for (int i = 0; i < 4; i++)
    p[i] = (guint8) (v >> (24 - 8 * i));
}

/* pHYs tells the pixel's size in pixels per metre; without it every program
 * guesses one. It stands right after IHDR, which ends at byte 33 of any PNG. */
static GBytes *
with_resolution (const GByteArray *png,
                 double            dpi)
{
  const gsize header = 33;
  guint8 chunk[21] = { 0, 0, 0, 9, 'p', 'H', 'Y', 's' };
  const guint32 per_metre = (guint32) lrint (dpi / 0.0254);
  put_be32 (chunk + 8, per_metre);
  put_be32 (chunk + 12, per_metre);
  chunk[16] = 1;
  put_be32 (chunk + 17, rhy_png_crc (chunk + 4, 13));

  GByteArray *out = g_byte_array_sized_new (png->len + (guint) sizeof chunk);
  g_byte_array_append (out, png->data, (guint) header);
  g_byte_array_append (out, chunk, (guint) sizeof chunk);
  g_byte_array_append (out, png->data + header, png->len - (guint) header);
  return g_byte_array_free_to_bytes (out);
}

GBytes *
rhy_draft_to_png (const RhyDraft *self,
                  double          dpi,
                  GError        **error)
{
  if (!(dpi >= 10.0 && dpi <= 2400.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "%g dpi: must be from 10 to 2400", dpi);
      return NULL;
    }
  const double width = MAX (1.0, rint (box_width (self->box) * dpi / 25.4));
  const double height = MAX (1.0, rint (box_height (self->box) * dpi / 25.4));
  /* cairo's images end at 32767 a side; 400 million pixels are 1.6 GB. */
  if (!(width <= 32767.0 && height <= 32767.0 && width * height <= 4e8))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                   "PNG of %.0f x %.0f pixels: at most 32767 a side and 400 million; take fewer than %g dpi",
                   width, height, dpi);
      return NULL;
    }

  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, (int) width, (int) height);
  cairo_t *cr = cairo_create (surface);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  cairo_paint (cr);
  cairo_scale (cr, dpi / 25.4, dpi / 25.4);
  rhy_draft_draw (self, cr);
  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);

  g_autoptr (GByteArray) png = g_byte_array_new ();
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_write_to_png_stream (surface, rhy_draft_gather, png);
  cairo_surface_destroy (surface);
  if (!rhy_draft_check_cairo (status, error))
    return NULL;
  return with_resolution (png, dpi);
}
