/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/paint.h>

RhyPaint *
rhy_paint_new (const RhyPaint *paint)
{
  g_return_val_if_fail (paint != NULL, NULL);
  g_return_val_if_fail (paint->kind == RHY_PAINT_RASTER ? paint->raster != NULL : paint->n_stops > 0, NULL);

  RhyPaint *self = g_atomic_rc_box_new (RhyPaint);
  *self = *paint;
  return self;
}

RhyPaint *
rhy_paint_ref (RhyPaint *self)
{
  return g_atomic_rc_box_acquire (self);
}

static void
clear (gpointer data)
{
  RhyPaint *self = data;
  g_free (self->stops);
  g_clear_pointer (&self->raster, rhy_raster_unref);
}

void
rhy_paint_unref (RhyPaint *self)
{
  g_atomic_rc_box_release_full (self, clear);
}

RhyPaint *
rhy_paint_transformed (const RhyPaint *self,
                       RhyAffine       m)
{
  g_return_val_if_fail (self != NULL, NULL);

  RhyPaint paint = *self;
  paint.matrix = rhy_affine_then (self->matrix, m);
  paint.stops = g_memdup2 (self->stops, self->n_stops * sizeof (RhyStop));
  if (paint.raster != NULL)
    rhy_raster_ref (paint.raster);
  return rhy_paint_new (&paint);
}
