/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-paint.h"

#include <math.h>

void
rhyton_paint_path (cairo_t       *cr,
                   const RhyPath *path)
{
  const RhyPoint *p = path->points;

  for (gsize i = 0; i < path->n_verbs; i++)
    switch ((RhyPathVerb) path->verbs[i])
      {
      case RHY_PATH_MOVE:
        cairo_move_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_LINE:
        cairo_line_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_CUBIC:
        cairo_curve_to (cr, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
        p += 3;
        break;
      case RHY_PATH_CLOSE:
        cairo_close_path (cr);
        break;
      default:
        g_return_if_reached ();
      }
}

static cairo_fill_rule_t
cairo_rule (RhyFillRule rule)
{
  return rule == RHY_FILL_EVENODD ? CAIRO_FILL_RULE_EVEN_ODD : CAIRO_FILL_RULE_WINDING;
}

static void
set_source (cairo_t   *cr,
            RhyColour  colour)
{
  cairo_set_source_rgba (cr, colour.r, colour.g, colour.b, colour.a);
}

static void
set_clips (cairo_t          *cr,
           const RhyArtwork *artwork,
           const RhyShape   *shape)
{
  for (gsize i = 0; i < shape->n_clips; i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, shape->clips[i]);
      rhyton_paint_path (cr, clip->path);
      cairo_set_fill_rule (cr, cairo_rule (clip->rule));
      cairo_clip (cr);
    }
}

static void
stroke (cairo_t        *cr,
        const RhyShape *shape,
        double          hairline)
{
  static const cairo_line_cap_t caps[] = {
    [RHY_CAP_BUTT] = CAIRO_LINE_CAP_BUTT,
    [RHY_CAP_ROUND] = CAIRO_LINE_CAP_ROUND,
    [RHY_CAP_SQUARE] = CAIRO_LINE_CAP_SQUARE,
  };
  static const cairo_line_join_t joins[] = {
    [RHY_JOIN_MITER] = CAIRO_LINE_JOIN_MITER,
    [RHY_JOIN_ROUND] = CAIRO_LINE_JOIN_ROUND,
    [RHY_JOIN_BEVEL] = CAIRO_LINE_JOIN_BEVEL,
  };
  const RhyPen *pen = &shape->pen;
  const RhyAffine *m = &pen->matrix;
  const double det = m->xx * m->yy - m->xy * m->yx;
  const double scale = sqrt (fabs (det));

  if (!(scale > 0.0))
    return;
  /* The path is in place; only the pen is in its own space. */
  const cairo_matrix_t matrix = { m->xx, m->yx, m->xy, m->yy, 0.0, 0.0 };
  cairo_transform (cr, &matrix);
  cairo_set_line_width (cr, MAX (pen->width, hairline / scale));
  cairo_set_line_cap (cr, caps[pen->cap]);
  cairo_set_line_join (cr, joins[pen->join]);
  cairo_set_miter_limit (cr, pen->miter_limit);
  cairo_set_dash (cr, pen->dashes, (int) pen->n_dashes, pen->dash_offset);
  cairo_stroke (cr);
}

void
rhyton_paint_artwork (cairo_t          *cr,
                      const RhyArtwork *artwork,
                      double            hairline)
{
  const gsize n = rhy_artwork_get_n_shapes (artwork);

  for (gsize i = 0; i < n; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      cairo_save (cr);
      set_clips (cr, artwork, shape);
      cairo_new_path (cr);
      rhyton_paint_path (cr, shape->path);
      cairo_set_fill_rule (cr, cairo_rule (shape->rule));
      if (shape->has_fill)
        {
          set_source (cr, shape->fill);
          cairo_fill_preserve (cr);
        }
      if (shape->has_stroke)
        {
          set_source (cr, shape->stroke);
          stroke (cr, shape, hairline);
        }
      cairo_restore (cr);
      cairo_new_path (cr);
    }
}
