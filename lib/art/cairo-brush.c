/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/brush.h>

#include <math.h>

#include "late-cairo.h"

static void
stroke (cairo_t        *cr,
        const RhyShape *shape,
        double          hairline)
{
  static const cairo_line_cap_t caps[] = { CAIRO_LINE_CAP_BUTT, CAIRO_LINE_CAP_ROUND, CAIRO_LINE_CAP_SQUARE };
  static const cairo_line_join_t joins[] = { CAIRO_LINE_JOIN_MITER, CAIRO_LINE_JOIN_ROUND, CAIRO_LINE_JOIN_BEVEL };
  const RhyPen *pen = &shape->pen;
  const RhyAffine m = pen->matrix;
  const double scale = sqrt (fabs (m.xx * m.yy - m.xy * m.yx));
  if (!(scale > 0.0))
    return;

  /* The path stays where it is; only the pen is skewed. The source is set before
   * that, because it is in the path's space. */
  rhy_brush_set_source (cr, shape->stroke, shape->stroke_paint);
  cairo_transform (cr, &(cairo_matrix_t) { m.xx, m.yx, m.xy, m.yy, 0.0, 0.0 });
  cairo_set_line_width (cr, MAX (pen->width, hairline / scale));
  cairo_set_line_cap (cr, caps[pen->cap]);
  cairo_set_line_join (cr, joins[pen->join]);
  cairo_set_miter_limit (cr, pen->miter_limit);
  cairo_set_dash (cr, pen->dashes, (int) pen->n_dashes, pen->dash_offset);
  cairo_stroke (cr);
}

void
rhy_brush_shape (cairo_t          *cr,
                 const RhyArtwork *artwork,
                 const RhyShape   *shape,
                 double            hairline)
{
  g_return_if_fail (cr != NULL && artwork != NULL && shape != NULL);

  cairo_save (cr);
  for (gsize i = 0; i < shape->n_clips; i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, shape->clips[i]);
      rhy_brush_path (cr, clip->path);
      rhy_brush_set_rule (cr, clip->rule);
      cairo_clip (cr);
    }
  rhy_brush_path (cr, shape->path);
  if (shape->has_fill)
    {
      rhy_brush_set_source (cr, shape->fill, shape->fill_paint);
      rhy_brush_set_rule (cr, shape->rule);
      cairo_fill_preserve (cr);
    }
  if (shape->has_stroke)
    stroke (cr, shape, hairline);
  cairo_restore (cr);
  cairo_new_path (cr);
}

void
rhy_brush_artwork (cairo_t          *cr,
                   const RhyArtwork *artwork,
                   double            hairline)
{
  g_return_if_fail (cr != NULL && artwork != NULL);

  const gsize n = rhy_artwork_get_n_shapes (artwork);
  for (gsize i = 0; i < n; i++)
    rhy_brush_shape (cr, artwork, rhy_artwork_get_shape (artwork, i), hairline);
}
