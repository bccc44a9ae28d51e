/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "pages.h"

#include "../art/late-cairo.h"

struct _RhyPages
{
  double         width_mm, height_mm;
  gsize          n;
  RhyPagesDraw   draw;
  gpointer       data;
  GDestroyNotify free_data;
};

RhyPages *
rhy_pages_new (double         width_mm,
               double         height_mm,
               gsize          n,
               RhyPagesDraw   draw,
               gpointer       data,
               GDestroyNotify free_data)
{
  RhyPages *self = g_new (RhyPages, 1);
  *self = (RhyPages) { width_mm, height_mm, n, draw, data, free_data };
  return self;
}

void
rhy_pages_free (RhyPages *self)
{
  g_return_if_fail (self != NULL);

  self->free_data (self->data);
  g_free (self);
}

gsize
rhy_pages_get_n (const RhyPages *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->n;
}

void
rhy_pages_get_size (const RhyPages *self,
                    double         *width_mm,
                    double         *height_mm)
{
  g_return_if_fail (self != NULL);

  *width_mm = self->width_mm;
  *height_mm = self->height_mm;
}

void
rhy_pages_draw (const RhyPages *self,
                gsize           i,
                cairo_t        *cr)
{
  g_return_if_fail (self != NULL && i < self->n && cr != NULL);

  cairo_save (cr);
  self->draw (self->data, i, cr);
  cairo_restore (cr);
}
