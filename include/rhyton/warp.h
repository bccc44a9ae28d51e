/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>
#include <rhyton/paint.h>
#include <rhyton/path.h>

G_BEGIN_DECLS

/**
 * RhyGrid:
 * @corner: the upper left corner of dot (0, 0), mm
 * @pitch_mm: a dot's side, > 0; y grows with the rows
 * @width, @height: how many dots
 *
 * The dots of a picture laid over a space.
 */
typedef struct
{
  RhyPoint corner;
  double   pitch_mm;
  guint    width, height;
} RhyGrid;

/**
 * rhy_grid_over:
 * @box: what to cover, mm, not empty
 * @dots_per_inch: > 0
 * @origin: a corner of dots, so that neighbouring pictures share one raster
 * @grid: (out): the smallest such grid that covers @box with a dot to spare all round
 *
 * Returns: %FALSE, @grid untouched, with %RHY_ERROR_LIMIT where it has more than
 *   %RHY_RASTER_PIXELS_MAX dots.
 */
RHY_API
gboolean rhy_grid_over (RhyBounds box, double dots_per_inch, RhyPoint origin, RhyGrid *grid, GError **error);

/**
 * rhy_paint_warped:
 * @map: (nullable): from @self's space to the grid's, taken backwards; %NULL: they are the same
 *
 * The paint as it looks through @map, one colour a dot, worked out in coded sRGB values,
 * premultiplied, as SVG compositing does by default.
 *
 * Pictures are filtered in their own pixels by a windowed sinc of three lobes (Lanczos; Duchon
 * 1979, J. Appl. Meteorology 18, 1016), widened each way by as much as the map shrinks there, so
 * that nothing finer than a dot folds over into stripes; enlarged, it interpolates. Where
 * a picture is neither turned nor scaled its pixels come out to the bit. Gradients are
 * averaged over a dot along themselves. Dots without an image are transparent, save
 * those beside one that has: they carry its colour on, so that a shape's edge does not fade.
 *
 * Where a map bends little, places are interpolated between dots nine apart: within 1/256 of
 * a dot. Same bytes whatever the number of threads.
 *
 * Returns: (transfer full): a picture paint in the grid's space
 */
RHY_API
RhyPaint *rhy_paint_warped (const RhyPaint *self, const RhyMap *map, const RhyGrid *grid);

/**
 * rhy_paint_warped_inside:
 * @outline: (nullable): in the grid's space, what the picture is wanted for; %NULL: all of it
 * @margin_mm: how far beyond the outline, >= 0 (a pen's reach)
 *
 * As rhy_paint_warped(), but on each row only the dots between the outermost edges of @outline are
 * worked out, with two more beside them; the others are like those.
 *
 * Returns: (transfer full): a picture paint in the grid's space
 */
RHY_API
RhyPaint *rhy_paint_warped_inside (const RhyPaint *self, const RhyMap *map, const RhyGrid *grid, const RhyPath *outline, double margin_mm);

G_END_DECLS
