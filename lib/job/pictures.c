/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "pictures.h"

#include <math.h>
#include <rhyton/tone.h>
#include <rhyton/warp.h>

#include "../art/halved.h"
#include "print.h"

#define MM_PER_INCH 25.4
/* A look that is gone at once: a pixel and a half of the picture to a dot are plenty for the filter. */
#define QUICK_PER_DOT 1.5

RhyPictures
rhy_pictures_for (const RhyJobData    *job,
                  const RhyJobArtwork *group,
                  const RhyDots       *dots,
                  guint64             *left)
{
  const RhyDots own = { .per_inch = job->output.dots_per_inch };
  return (RhyPictures) { dots != NULL ? *dots : own, group->shades, left };
}

/* In the shades asked for; takes the picture over. */
static RhyPaint *
shaded (RhyPaint *picture,
        RhyShades shades)
{
  if (shades == RHY_SHADES_COLOUR)
    return picture;
  g_autoptr (RhyPaint) coloured = picture;
  RhyPaint paint = *coloured;
  paint.raster = shades == RHY_SHADES_DOTS ? rhy_raster_dots (coloured->raster) : rhy_raster_grey (coloured->raster);
  paint.smooth = shades != RHY_SHADES_DOTS;
  return rhy_paint_new (&paint);
}

/* @reach_mm: how far ink goes beyond the outline. */
static gboolean
bend_paint (RhyPictures   *self,
            const RhyMap  *map,
            RhyBounds      box,
            const RhyPath *outline,
            double         reach_mm,
            RhyPaint     **paint,
            GError       **error)
{
  g_autoptr (RhyPaint) source = g_steal_pointer (paint);
  if (source == NULL || !(self->dots.per_inch > 0.0) || rhy_bounds_is_empty (box))
    return TRUE;
  RhyGrid grid;
  if (!rhy_grid_over (box, self->dots.per_inch, self->dots.corner, &grid, error))
    {
      g_prefix_error (error, "[Output] DotsPerInch: ");
      return FALSE;
    }
  const guint64 dots = (guint64) grid.width * grid.height;
  if (dots > *self->left)
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                       "[Output] DotsPerInch: the drawing's pictures have more than %" G_GUINT64_FORMAT
                       " dots at %.4g an inch; take fewer", RHY_RASTER_PIXELS_MAX, self->dots.per_inch);
      return FALSE;
    }
  *self->left -= dots;
  if (self->dots.quick)
    {
      RhyPaint *halved = rhy_paint_halved (source, QUICK_PER_DOT * self->dots.per_inch / MM_PER_INCH);
      rhy_paint_unref (source);
      source = halved;
    }
  *paint = shaded (rhy_paint_warped_inside (source, map, &grid, outline, reach_mm), self->shades);
  return TRUE;
}

static RhyBounds
meet (RhyBounds a,
      RhyBounds b)
{
  return (RhyBounds) { MAX (a.min_x, b.min_x), MAX (a.min_y, b.min_y), MIN (a.max_x, b.max_x), MIN (a.max_y, b.max_y) };
}

gboolean
rhy_pictures_bend (RhyPictures  *self,
                   const RhyMap *map,
                   RhyBounds     inside,
                   RhyShape     *shape,
                   GError      **error)
{
  if (shape->fill_paint == NULL && shape->stroke_paint == NULL)
    return TRUE;
  const RhyBounds outline = rhy_path_get_bounds (shape->path);
  /* Bounded from above: a miter reaches furthest. */
  const RhyAffine m = shape->pen.matrix;
  const double pen = shape->pen.width * MAX (shape->pen.miter_limit, 1.5) * MAX (hypot (m.xx, m.yx), hypot (m.xy, m.yy));
  const RhyBounds stroked = { outline.min_x - pen, outline.min_y - pen, outline.max_x + pen, outline.max_y + pen };
  return bend_paint (self, map, meet (outline, inside), shape->path, 0.0, &shape->fill_paint, error)
         && bend_paint (self, map, meet (stroked, inside), shape->path, pen, &shape->stroke_paint, error);
}
