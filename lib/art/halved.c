/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "halved.h"

#include <math.h>

/* From here on cairo's better filter takes four neighbours. Source: cairo 1.16, cairo_filter_t. */
#define FINER_LEAST 0.75

/* A tile's sides must halve exactly, or it would grow. */
static gboolean
may_halve (const RhyPaint  *paint,
           const RhyRaster *raster)
{
  const guint width = rhy_raster_get_width (raster), height = rhy_raster_get_height (raster);
  const gboolean tile = paint->extend == RHY_EXTEND_REPEAT || paint->extend == RHY_EXTEND_REFLECT;
  return width > 1 && height > 1 && !(tile && (width % 2 != 0 || height % 2 != 0));
}

RhyPaint *
rhy_paint_halved (RhyPaint *self,
                  double    per_mm)
{
  if (self->kind != RHY_PAINT_RASTER || !self->smooth)
    return rhy_paint_ref (self);
  g_autoptr (RhyRaster) raster = rhy_raster_ref (self->raster);
  const RhyAffine m = self->matrix;
  double pixel = sqrt (fabs (m.xx * m.yy - m.xy * m.yx)) * per_mm;
  double grown = 1.0;
  while (pixel > 0.0 && pixel <= FINER_LEAST && may_halve (self, raster))
    {
      RhyRaster *halved = rhy_raster_dup_halved (raster);
      rhy_raster_unref (raster);
      raster = halved;
      pixel *= 2.0;
      grown *= 2.0;
    }
  RhyPaint suited = *self;
  suited.raster = g_steal_pointer (&raster);
  suited.matrix = rhy_affine_then ((RhyAffine) { grown, 0.0, 0.0, grown, 0.0, 0.0 }, m);
  return rhy_paint_new (&suited);
}
