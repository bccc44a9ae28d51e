/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "bands.h"

#include <math.h>

#include <rhyton/shade.h>

/* Bands narrower than this part of the gradient are passed over. */
#define LOOKS 1024

/* Halvings of a look: an edge is then within a millionth of the gradient. */
#define HALVINGS 10

static RhyColour
colour_at (const RhyPaint *paint,
           double          t)
{
  gsize k = 0;
  while (k < paint->n_stops && paint->stops[k].offset <= t)
    k++;
  const RhyStop *b = &paint->stops[MIN (k, paint->n_stops - 1)];
  const RhyStop *a = &paint->stops[k > 0 ? k - 1 : 0];
  const double x = b->offset > a->offset ? (t - a->offset) / (b->offset - a->offset) : 0.0;
  return (RhyColour) { a->colour.r + x * (b->colour.r - a->colour.r), a->colour.g + x * (b->colour.g - a->colour.g),
                       a->colour.b + x * (b->colour.b - a->colour.b),
                       paint->alpha * (a->colour.a + x * (b->colour.a - a->colour.a)) };
}

/* One number for all that look alike. */
static guint
kind_at (const RhyPaint *paint,
         double          t,
         guint           shades)
{
  const RhyColour c = colour_at (paint, t);
  return (RHY_SHADES_MAX + 1) * rhy_colour_shade (c, shades) + (guint) lrint (shades * CLAMP (c.a, 0.0, 1.0));
}

/* Where the kind changes, from 0 to 1, both ends added. */
static GArray *
find_edges (const RhyPaint *paint,
            guint           shades)
{
  GArray *edges = g_array_new (FALSE, FALSE, sizeof (double));
  double from = 0.0;
  guint before = kind_at (paint, 0.0, shades);
  g_array_append_val (edges, from);
  for (int i = 1; i <= LOOKS; i++)
    {
      const double to = (double) i / LOOKS;
      const guint kind = kind_at (paint, to, shades);
      if (kind == before)
        continue;
      double low = (i - 1.0) / LOOKS;
      double high = to;
      for (int h = 0; h < HALVINGS; h++)
        {
          const double middle = 0.5 * (low + high);
          if (kind_at (paint, middle, shades) == before)
            low = middle;
          else
            high = middle;
        }
      g_array_append_val (edges, high);
      before = kind;
    }
  const double end = 1.0;
  g_array_append_val (edges, end);
  return edges;
}

static RhyPoint
through (RhyAffine m,
         double    x,
         double    y)
{
  return (RhyPoint) { m.xx * x + m.xy * y + m.x0, m.yx * x + m.yy * y + m.y0 };
}

/* The gradient's way, in its own space, as the x axis from 0 to 1. */
static gboolean
along_way (const RhyPaint *paint,
           RhyAffine      *to_art,
           RhyAffine      *from_art)
{
  const double dx = paint->x1 - paint->x0;
  const double dy = paint->y1 - paint->y0;
  const RhyAffine m = paint->matrix;
  const RhyPoint origin = through (m, paint->x0, paint->y0);
  *to_art = (RhyAffine) { m.xx * dx + m.xy * dy, m.yx * dx + m.yy * dy, m.xy * dx - m.xx * dy, m.yy * dx - m.yx * dy,
                          origin.x, origin.y };
  const RhyAffine a = *to_art;
  const double det = a.xx * a.yy - a.xy * a.yx;
  if (!(fabs (det) > 0.0) || !isfinite (det))
    return FALSE;
  *from_art = (RhyAffine) { a.yy / det, -a.yx / det, -a.xy / det, a.xx / det,
                            (a.xy * origin.y - a.yy * origin.x) / det, (a.yx * origin.x - a.xx * origin.y) / det };
  return TRUE;
}

static void
add_band (GArray         *bands,
          const RhyPaint *paint,
          double          from,
          double          to,
          RhyPath        *path)
{
  const RhyBand band = { path, colour_at (paint, 0.5 * (from + to)) };
  g_array_append_val (bands, band);
}

static void
add_quad (RhyPath  *path,
          RhyAffine m,
          RhyBounds box)
{
  const RhyPoint p[4] = { through (m, box.min_x, box.min_y), through (m, box.max_x, box.min_y),
                          through (m, box.max_x, box.max_y), through (m, box.min_x, box.max_y) };
  rhy_path_move_to (path, p[0].x, p[0].y);
  for (int i = 1; i < 4; i++)
    rhy_path_line_to (path, p[i].x, p[i].y);
  rhy_path_close (path);
}

/* Strips across the way; the outer ones go on for ever. */
static gboolean
add_linear (GArray         *bands,
            const RhyPaint *paint,
            const GArray   *edges,
            RhyBounds       box)
{
  RhyAffine to_art, from_art;
  if (!along_way (paint, &to_art, &from_art))
    return FALSE;
  RhyBounds own = RHY_BOUNDS_EMPTY;
  for (int i = 0; i < 4; i++)
    {
      const RhyPoint p = through (from_art, i & 1 ? box.max_x : box.min_x, i & 2 ? box.max_y : box.min_y);
      own = rhy_bounds_with (own, p.x, p.y);
    }
  const double room = (own.max_x - own.min_x) + (own.max_y - own.min_y);
  for (guint i = 0; i + 1 < edges->len; i++)
    {
      const double from = g_array_index (edges, double, i);
      const double to = g_array_index (edges, double, i + 1);
      const RhyBounds strip = { i == 0 ? MIN (own.min_x, from) - room : from, own.min_y - room,
                                i + 2 == edges->len ? MAX (own.max_x, to) + room : to, own.max_y + room };
      if (strip.max_x <= own.min_x || strip.min_x >= own.max_x)
        continue;
      RhyPath *path = rhy_path_new ();
      add_quad (path, to_art, strip);
      add_band (bands, paint, from, to, path);
    }
  return TRUE;
}

static void
add_disc (RhyPath  *path,
          RhyAffine m,
          double    x,
          double    y,
          double    r)
{
  g_autoptr (RhyPath) p = rhy_path_new ();
  rhy_path_add_circle (p, x, y, r);
  g_autoptr (RhyPath) there = rhy_path_transformed (p, m);
  rhy_path_append (path, there);
}

/* The circle at t: it runs from the one to the other straight in centre and radius (SVG 2, 14.2.3). */
static void
add_circle (RhyPath        *path,
            const RhyPaint *paint,
            double          t)
{
  const double r = paint->r0 + t * (paint->r1 - paint->r0);
  if (r > 0.0)
    add_disc (path, paint->matrix, paint->x0 + t * (paint->x1 - paint->x0), paint->y0 + t * (paint->y1 - paint->y0), r);
}

/* Rings in each other; the outermost goes on for ever. */
static gboolean
add_radial (GArray         *bands,
            const RhyPaint *paint,
            const GArray   *edges,
            RhyBounds       box)
{
  const double grows = paint->r1 - paint->r0;
  if (!(fabs (grows) > 0.0) || !(hypot (paint->x1 - paint->x0, paint->y1 - paint->y0) <= fabs (grows)))
    return FALSE;
  const guint outermost = grows > 0.0 ? edges->len - 2 : 0;
  const guint innermost = edges->len - 2 - outermost;
  for (guint i = 0; i + 1 < edges->len; i++)
    {
      const double from = g_array_index (edges, double, i);
      const double to = g_array_index (edges, double, i + 1);
      RhyPath *path = rhy_path_new ();
      if (i != outermost)
        add_circle (path, paint, grows > 0.0 ? to : from);
      if (i != innermost)
        add_circle (path, paint, grows > 0.0 ? from : to);
      if (i == outermost)
        {
          const double room = (box.max_x - box.min_x) + (box.max_y - box.min_y);
          const RhyBounds all = rhy_bounds_union (box, rhy_path_get_bounds (path));
          add_quad (path, RHY_AFFINE_IDENTITY, (RhyBounds) { all.min_x - room, all.min_y - room, all.max_x + room, all.max_y + room });
        }
      add_band (bands, paint, from, to, path);
    }
  return TRUE;
}

static void
clear_band (gpointer data)
{
  RhyBand *band = data;
  rhy_path_unref (band->path);
}

GArray *
rhy_paint_bands (const RhyPaint *paint,
                 RhyBounds       box,
                 guint           shades)
{
  if (paint->kind == RHY_PAINT_RASTER || paint->n_stops == 0
      || paint->extend == RHY_EXTEND_REPEAT || paint->extend == RHY_EXTEND_REFLECT)
    return NULL;
  g_autoptr (GArray) edges = find_edges (paint, shades);
  g_autoptr (GArray) bands = g_array_new (FALSE, FALSE, sizeof (RhyBand));
  g_array_set_clear_func (bands, clear_band);
  const gboolean has_bands = paint->kind == RHY_PAINT_LINEAR ? add_linear (bands, paint, edges, box)
                                                             : add_radial (bands, paint, edges, box);
  return has_bands ? g_steal_pointer (&bands) : NULL;
}
