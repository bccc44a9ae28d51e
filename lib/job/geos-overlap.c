/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "geos-overlap.h"

#include <math.h>

#include "../art/late-geos.h"
#include "../shape/late-gio.h"

/* Chords against the curve, and the longest chord, so that a straight line follows
 * the bend that the lay gives it (1 mm on a radius of 20 mm: 0.006 mm). Far below
 * what an overlap has to be to matter. */
#define FLATTEN_MM 0.02
#define CHORD_MM   1.0

#define ARC_STEPS 8             /* of a quarter circle, round joins and caps */

typedef struct
{
  GEOSContextHandle_t geos;
  const RhyMap       *lay;
  double              mm_per_rad;
  gboolean            failed;
} Work;

static void
drop (Work         *w,
      GEOSGeometry *g)
{
  if (g != NULL)
    GEOSGeom_destroy_r (w->geos, g);
}

/* Passes @g on and notes its absence: every GEOS call reports trouble by NULL. */
static GEOSGeometry *
kept (Work         *w,
      GEOSGeometry *g)
{
  w->failed |= g == NULL;
  return g;
}

/* ---- outlines on the unrolled wall: x = arc, y = slant ---- */

typedef struct
{
  GArray *x, *y;                /* double */
  GArray *starts;               /* gsize: first point of each subpath */
} Rings;

static void
rings_clear (Rings *r)
{
  g_array_unref (r->x);
  g_array_unref (r->y);
  g_array_unref (r->starts);
}

static void
add_point (Rings   *r,
           RhyPoint p)
{
  g_array_append_val (r->x, p.x);
  g_array_append_val (r->y, p.y);
}

static void
add_start (Rings *r)
{
  const gsize start = r->x->len;
  g_array_append_val (r->starts, start);
}

/* @close: back to the start of each subpath, as a fill does. */
static Rings
rings_of (Work          *w,
          const RhyPath *path,
          double         shift_mm,
          gboolean       close)
{
  Rings r = { g_array_new (FALSE, FALSE, sizeof (double)), g_array_new (FALSE, FALSE, sizeof (double)),
              g_array_new (FALSE, FALSE, sizeof (gsize)) };
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, FLATTEN_MM);
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0.0, 0.0 };
  RhyPoint end = { 0.0, 0.0 };
  gboolean more = TRUE;
  rhy_path_iter_init (&iter, flat);
  while (more)
    {
      more = rhy_path_iter_next (&iter, &g);
      if ((!more || g.first) && r.x->len > 0 && close && (start.x != end.x || start.y != end.y))
        add_point (&r, start);
      if (!more)
        break;
      if (g.first)
        {
          add_start (&r);
          add_point (&r, g.p[0]);
          start = g.p[0];
        }
      const double dx = g.p[1].x - g.p[0].x;
      const double dy = g.p[1].y - g.p[0].y;
      const double n = MAX (1.0, ceil (hypot (dx, dy) / CHORD_MM));
      for (double k = 1.0; k <= n; k += 1.0)
        add_point (&r, (RhyPoint) { g.p[0].x + dx * (k / n), g.p[0].y + dy * (k / n) });
      end = g.p[1];
    }
  add_start (&r);               /* a sentinel */

  double *x = (double *) (void *) r.x->data;
  double *y = (double *) (void *) r.y->data;
  w->failed |= rhy_map_forward (w->lay, r.x->len, x, y, x, y, NULL) > 0;
  for (guint i = 0; i < r.x->len; i++)
    {
      const double s = x[i];
      x[i] = y[i] * w->mm_per_rad + shift_mm;
      y[i] = s;
    }
  return r;
}

static GEOSGeometry *
line_of (Work        *w,
         const Rings *r,
         gsize        from,
         gsize        to)
{
  const double *x = (const double *) (void *) r->x->data;
  const double *y = (const double *) (void *) r->y->data;
  GEOSCoordSequence *seq = GEOSCoordSeq_create_r (w->geos, (unsigned) (to - from), 2);
  if (seq == NULL)
    return kept (w, NULL);
  for (gsize i = from; i < to; i++)
    GEOSCoordSeq_setXY_r (w->geos, seq, (unsigned) (i - from), x[i], y[i]);
  return kept (w, GEOSGeom_createLineString_r (w->geos, seq));
}

static GEOSGeometry *
collect (Work      *w,
         int        type,
         GPtrArray *parts)
{
  return kept (w, GEOSGeom_createCollection_r (w->geos, type, (GEOSGeometry **) parts->pdata, parts->len));
}

static GEOSGeometry *
lines_of (Work        *w,
          const Rings *r)
{
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  for (guint i = 0; i + 1 < r->starts->len; i++)
    {
      const gsize from = g_array_index (r->starts, gsize, i);
      const gsize to = g_array_index (r->starts, gsize, i + 1);
      GEOSGeometry *line = to - from >= 2 ? line_of (w, r, from, to) : NULL;
      if (line != NULL)
        g_ptr_array_add (parts, line);
    }
  return collect (w, GEOS_MULTILINESTRING, parts);
}

static int
winding_at (const Rings *r,
            double       px,
            double       py)
{
  const double *x = (const double *) (void *) r->x->data;
  const double *y = (const double *) (void *) r->y->data;
  int winding = 0;
  for (guint i = 0; i + 1 < r->starts->len; i++)
    for (gsize k = g_array_index (r->starts, gsize, i); k + 1 < g_array_index (r->starts, gsize, i + 1); k++)
      {
        const gboolean up = y[k] <= py && py < y[k + 1];
        const gboolean down = y[k + 1] <= py && py < y[k];
        if ((up || down) && x[k] + (x[k + 1] - x[k]) * ((py - y[k]) / (y[k + 1] - y[k])) < px)
          winding += up ? 1 : -1;
      }
  return winding;
}

/* The faces that the outlines cut the plane into, those kept that the rule calls inside. */
static GEOSGeometry *
fill_of (Work          *w,
         const RhyPath *path,
         RhyFillRule    rule,
         double         shift_mm)
{
  Rings r = rings_of (w, path, shift_mm, TRUE);
  g_autoptr (GPtrArray) inside = g_ptr_array_new ();
  GEOSGeometry *lines = w->failed ? NULL : lines_of (w, &r);
  GEOSGeometry *noded = lines != NULL ? kept (w, GEOSUnaryUnion_r (w->geos, lines)) : NULL;
  const GEOSGeometry *list[1] = { noded };
  GEOSGeometry *faces = noded != NULL ? kept (w, GEOSPolygonize_r (w->geos, list, 1)) : NULL;

  const int n = faces != NULL ? GEOSGetNumGeometries_r (w->geos, faces) : 0;
  for (int i = 0; i < n; i++)
    {
      const GEOSGeometry *face = GEOSGetGeometryN_r (w->geos, faces, i);
      GEOSGeometry *point = kept (w, GEOSPointOnSurface_r (w->geos, face));
      double px = 0.0;
      double py = 0.0;
      if (point == NULL)
        continue;
      GEOSGeomGetX_r (w->geos, point, &px);
      GEOSGeomGetY_r (w->geos, point, &py);
      drop (w, point);
      const int winding = winding_at (&r, px, py);
      if (rule == RHY_FILL_NONZERO ? winding != 0 : (winding & 1) != 0)
        g_ptr_array_add (inside, GEOSGeom_clone_r (w->geos, face));
    }
  drop (w, lines);
  drop (w, noded);
  drop (w, faces);
  rings_clear (&r);
  GEOSGeometry *all = collect (w, GEOS_GEOMETRYCOLLECTION, inside);
  GEOSGeometry *merged = all != NULL ? kept (w, GEOSUnaryUnion_r (w->geos, all)) : NULL;
  drop (w, all);
  return merged;
}

static GEOSGeometry *
stroke_of (Work           *w,
           const RhyShape *shape,
           double          shift_mm)
{
  const RhyPen *pen = &shape->pen;
  const RhyAffine m = pen->matrix;
  const double half = 0.5 * pen->width * sqrt (fabs (m.xx * m.yy - m.xy * m.yx));
  const int caps[] = { [RHY_CAP_BUTT] = GEOSBUF_CAP_FLAT, [RHY_CAP_ROUND] = GEOSBUF_CAP_ROUND,
                       [RHY_CAP_SQUARE] = GEOSBUF_CAP_SQUARE };
  const int joins[] = { [RHY_JOIN_MITER] = GEOSBUF_JOIN_MITRE, [RHY_JOIN_ROUND] = GEOSBUF_JOIN_ROUND,
                        [RHY_JOIN_BEVEL] = GEOSBUF_JOIN_BEVEL };
  Rings r = rings_of (w, shape->path, shift_mm, FALSE);
  GEOSGeometry *lines = w->failed ? NULL : lines_of (w, &r);
  GEOSGeometry *ink = lines == NULL ? NULL
                      : kept (w, GEOSBufferWithStyle_r (w->geos, lines, half, ARC_STEPS, caps[pen->cap],
                                                        joins[pen->join], pen->miter_limit));
  drop (w, lines);
  rings_clear (&r);
  return ink;
}

static GEOSGeometry *
clipped (Work             *w,
         const RhyArtwork *artwork,
         const RhyShape   *shape,
         GEOSGeometry     *ink,
         double            shift_mm)
{
  for (gsize i = 0; i < shape->n_clips && ink != NULL; i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, shape->clips[i]);
      GEOSGeometry *region = fill_of (w, clip->path, clip->rule, shift_mm);
      GEOSGeometry *rest = region != NULL ? kept (w, GEOSIntersection_r (w->geos, ink, region)) : NULL;
      drop (w, region);
      drop (w, ink);
      ink = rest;
    }
  return ink;
}

static GEOSGeometry *
ink_of (Work             *w,
        const RhyArtwork *artwork,
        double            shift_mm)
{
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork) && !w->failed; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      const gboolean filled = shape->has_fill && shape->fill.a > 0.0;
      const gboolean stroked = shape->has_stroke && shape->stroke.a > 0.0;
      GEOSGeometry *fill = filled ? fill_of (w, shape->path, shape->rule, shift_mm) : NULL;
      GEOSGeometry *stroke = stroked && !w->failed ? stroke_of (w, shape, shift_mm) : NULL;
      fill = clipped (w, artwork, shape, fill, shift_mm);
      stroke = clipped (w, artwork, shape, stroke, shift_mm);
      if (fill != NULL)
        g_ptr_array_add (parts, fill);
      if (stroke != NULL)
        g_ptr_array_add (parts, stroke);
    }
  GEOSGeometry *all = collect (w, GEOS_GEOMETRYCOLLECTION, parts);
  GEOSGeometry *merged = all != NULL ? kept (w, GEOSUnaryUnion_r (w->geos, all)) : NULL;
  drop (w, all);
  return merged;
}

static double
meeting_of (Work               *w,
            const GEOSGeometry *ink,
            const GEOSGeometry *copy,
            RhyWallPoint       *at)
{
  double area = 0.0;
  GEOSGeometry *both = kept (w, GEOSIntersection_r (w->geos, ink, copy));
  if (both == NULL || GEOSArea_r (w->geos, both, &area) == 0 || !(area > 0.0))
    {
      drop (w, both);
      return 0.0;
    }
  GEOSGeometry *middle = kept (w, GEOSPointOnSurface_r (w->geos, both));
  double x = 0.0;
  double y = 0.0;
  if (middle != NULL)
    {
      GEOSGeomGetX_r (w->geos, middle, &x);
      GEOSGeomGetY_r (w->geos, middle, &y);
    }
  *at = (RhyWallPoint) { y, x / w->mm_per_rad };
  drop (w, middle);
  drop (w, both);
  return area;
}

/* The ink against @other's copies, @first to @last turns further round. */
static double
overlap (Work                *w,
         const RhyOverlapInk *a,
         const RhyOverlapInk *b,
         int                  first,
         int                  last,
         GCancellable        *cancellable,
         RhyWallPoint        *at)
{
  double total = 0.0;
  double most = 0.0;
  w->lay = a->lay;
  GEOSGeometry *ink = first <= last ? ink_of (w, a->artwork, 0.0) : NULL;
  w->lay = b->lay;
  for (int k = first; k <= last && ink != NULL && !w->failed && !g_cancellable_is_cancelled (cancellable); k++)
    {
      GEOSGeometry *copy = ink_of (w, b->artwork, 2.0 * G_PI * w->mm_per_rad * k);
      RhyWallPoint here = { 0.0, 0.0 };
      const double area = copy != NULL ? meeting_of (w, ink, copy, &here) : 0.0;
      if (area > most)
        {
          most = area;
          *at = here;
        }
      total += area;
      drop (w, copy);
    }
  drop (w, ink);
  return total;
}

double
rhy_overlap_between (const RhyOverlapInk *a,
                     const RhyOverlapInk *b,
                     double               mm_per_rad,
                     int                  first,
                     int                  last,
                     GCancellable        *cancellable,
                     RhyWallPoint        *at)
{
  Work w = { GEOS_init_r (), a->lay, mm_per_rad, FALSE };
  const double total = overlap (&w, a, b, first, last, cancellable, at);
  GEOS_finish_r (w.geos);
  return w.failed ? -1.0 : total;
}

double
rhy_overlap_area (const RhyArtwork *artwork,
                  const RhyMap     *lay,
                  double            mm_per_rad,
                  guint             turns,
                  GCancellable     *cancellable,
                  RhyWallPoint     *at)
{
  const RhyOverlapInk ink = { artwork, lay };
  return rhy_overlap_between (&ink, &ink, mm_per_rad, 1, (int) turns, cancellable, at);
}
