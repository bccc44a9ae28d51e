/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "texture.h"

#include <math.h>

#include <rhyton/brush.h>

#include "../art/halved.h"

/* A paint is laid on the wall cell by cell, each as if the wall were flat there: over a
 * cell c a lay on a wall of 20 mm radius is within c^2 / (8 * 20) mm of that, a quarter
 * of a pixel for c^2 = 40 mm / (pixels a mm). */
#define CELL_PIXEL_MM 40.0
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

/* As fine as the pixels it goes into, and opaque: cells that overlap must not add up. */
static RhyPaint *
suited_to (const RhyPaint *paint,
           double          per_mm)
{
  g_autoptr (RhyPaint) halved = rhy_paint_halved ((RhyPaint *) paint, per_mm);
  RhyPaint suited = *halved;
  suited.raster = rhy_raster_ref (halved->raster);
  suited.alpha = 1.0;
  return rhy_paint_new (&suited);
}

static double
pixels_per_mm (cairo_t *cr)
{
  cairo_matrix_t m;
  cairo_get_matrix (cr, &m);
  return sqrt (fabs (m.xx * m.yy - m.xy * m.yx));
}

/* All that the group holds so far. */
static void
fade (cairo_t *cr,
      double   alpha)
{
  cairo_set_operator (cr, CAIRO_OPERATOR_DEST_IN);
  cairo_set_source_rgba (cr, 0.0, 0.0, 0.0, alpha);
  cairo_paint (cr);
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
  const double per_mm = pixels_per_mm (cr);
  const double cell = sqrt (CELL_PIXEL_MM / per_mm);
  const int across = (int) CLAMP (ceil (width / cell), 1.0, CELLS_MAX);
  const int down = (int) CLAMP (ceil (height / cell), 1.0, CELLS_MAX);
  g_autoptr (RhyPaint) suited = paint->kind == RHY_PAINT_RASTER ? suited_to (paint, per_mm) : NULL;
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
        g_autoptr (RhyPaint) flat = rhy_paint_transformed (suited != NULL ? suited : paint, flat_map (from, width / across, height / down, c));
        rhy_brush_set_source (cr, colour, flat);
        cairo_new_path (cr);
        cairo_move_to (cr, c[0]->x, c[0]->y);
        cairo_line_to (cr, c[1]->x, c[1]->y);
        cairo_line_to (cr, c[3]->x, c[3]->y);
        cairo_line_to (cr, c[2]->x, c[2]->y);
        cairo_close_path (cr);
        cairo_fill (cr);
      }
  if (suited != NULL && paint->alpha < 1.0)
    fade (cr, MAX (paint->alpha, 0.0));
  cairo_pop_group_to_source (cr);
}
