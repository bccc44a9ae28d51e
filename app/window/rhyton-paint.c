/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-paint.h"

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
