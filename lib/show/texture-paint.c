/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "texture.h"

#include <math.h>

#include <rhyton/brush.h>

/* A paint is laid on the wall cell by cell, each as if the wall were flat there: over
 * 1.2 mm a lay on a wall of 20 mm radius is within 1.2^2 / (8 * 20) = 0.009 mm of
 * that, under a quarter of the finest pixel. */
#define CELL_MM 1.2
/* More cells than this a side are not worth their time: a large paint then has larger ones. */
#define CELLS_MAX 48

typedef struct { double x, y; gboolean valid; } Corner;

static Corner *
place_corners (RhyBounds     box,
               int           across,
               int           down,
               double        r_ref_mm,
               RhyPlacing    placing,
               gconstpointer data)
{
  const gsize n = (gsize) (across + 1) * (gsize) (down + 1);
  g_autofree double *x = g_new (double, n);
  g_autofree double *y = g_new (double, n);
  g_autofree double *s = g_new (double, n);
  g_autofree double *angle = g_new (double, n);
  g_autofree guint8 *valid = g_new (guint8, n);
  for (gsize k = 0; k < n; k++)
    {
      x[k] = box.min_x + (box.max_x - box.min_x) * (double) (k % (gsize) (across + 1)) / across;
      y[k] = box.min_y + (box.max_y - box.min_y) * (double) (k / (gsize) (across + 1)) / down;
    }
  placing (data, n, x, y, s, angle, valid);
  Corner *corners = g_new (Corner, n);
  for (gsize k = 0; k < n; k++)
    corners[k] = (Corner) { r_ref_mm * angle[k], s[k], valid[k] != 0 };
  return corners;
}

/* The affine map that comes nearest to what happens to a cell's corners. */
static RhyAffine
flat_map (RhyPoint      from,
          double        width,
          double        height,
          const Corner *c[4])
{
  const double xx = 0.5 * (c[1]->x - c[0]->x + c[3]->x - c[2]->x) / width;
  const double yx = 0.5 * (c[1]->y - c[0]->y + c[3]->y - c[2]->y) / width;
  const double xy = 0.5 * (c[2]->x - c[0]->x + c[3]->x - c[1]->x) / height;
  const double yy = 0.5 * (c[2]->y - c[0]->y + c[3]->y - c[1]->y) / height;
  const double u = from.x + 0.5 * width;
  const double v = from.y + 0.5 * height;
  return (RhyAffine) { xx, yx, xy, yy, 0.25 * (c[0]->x + c[1]->x + c[2]->x + c[3]->x) - xx * u - xy * v,
                       0.25 * (c[0]->y + c[1]->y + c[2]->y + c[3]->y) - yx * u - yy * v };
}

void
rhy_texture_set_source (cairo_t        *cr,
                        double          r_ref_mm,
                        RhyPlacing      placing,
                        gconstpointer   data,
                        RhyBounds       box,
                        RhyColour       colour,
                        const RhyPaint *paint)
{
  const double width = box.max_x - box.min_x;
  const double height = box.max_y - box.min_y;
  if (paint == NULL || !(width > 0.0 && height > 0.0))
    {
      cairo_set_source_rgba (cr, colour.r, colour.g, colour.b, colour.a);
      return;
    }
  const int across = (int) CLAMP (ceil (width / CELL_MM), 1.0, CELLS_MAX);
  const int down = (int) CLAMP (ceil (height / CELL_MM), 1.0, CELLS_MAX);
  g_autofree Corner *corners = place_corners (box, across, down, r_ref_mm, placing, data);

  cairo_push_group (cr);
  /* Neighbours share their edges, and each pixel's middle lies in one of them. */
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_NONE);
  for (int j = 0; j < down; j++)
    for (int i = 0; i < across; i++)
      {
        const Corner *first = &corners[j * (across + 1) + i];
        const Corner *c[4] = { first, first + 1, first + across + 1, first + across + 2 };
        if (!(c[0]->valid && c[1]->valid && c[2]->valid && c[3]->valid))
          continue;
        const RhyPoint from = { box.min_x + width * i / across, box.min_y + height * j / down };
        g_autoptr (RhyPaint) flat = rhy_paint_transformed (paint, flat_map (from, width / across, height / down, c));
        rhy_brush_set_source (cr, colour, flat);
        cairo_new_path (cr);
        cairo_move_to (cr, c[0]->x, c[0]->y);
        cairo_line_to (cr, c[1]->x, c[1]->y);
        cairo_line_to (cr, c[3]->x, c[3]->y);
        cairo_line_to (cr, c[2]->x, c[2]->y);
        cairo_close_path (cr);
        cairo_fill (cr);
      }
  cairo_pop_group_to_source (cr);
}
