/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "geos-zones.h"

#include <math.h>

#include <rhyton/unroll.h>

#include "../art/ink.h"
#include "../art/late-geos.h"
#include "../shape/late-gio.h"

/* Chords against the curve, and the longest chord, so that a straight line follows
 * the bend that the lay gives it (1 mm on a radius of 20 mm: 0.006 mm off). */
#define FLATTEN_MM 0.01
#define CHORD_MM   1.0

#define ARC_STEPS 12            /* of a quarter circle: round joins and caps */

struct _RhyInkArea
{
  GEOSContextHandle_t geos;
  GEOSGeometry       *ink;      /* art space */
  gboolean            failed;

  /* The ink in equal-area coordinates, kept from zone to zone: mapping and uniting it is most of the work. */
  GEOSGeometry               *laid;
  const GEOSPreparedGeometry *laid_index;
  RhyMap                     *laid_by;
  double                      laid_scale;
};

static void
drop (RhyInkArea   *self,
      GEOSGeometry *g)
{
  if (g != NULL)
    GEOSGeom_destroy_r (self->geos, g);
}

/* Passes @g on and notes its absence: every GEOS call reports trouble by NULL. */
static GEOSGeometry *
kept (RhyInkArea   *self,
      GEOSGeometry *g)
{
  self->failed |= g == NULL;
  return g;
}

/* @parts: (transfer full) */
static GEOSGeometry *
united (RhyInkArea *self,
        GPtrArray  *parts)
{
  /* One part is whole in itself: fills are joined faces, pens are buffers. */
  if (parts->len == 1)
    return parts->pdata[0];
  GEOSGeometry *all = kept (self, GEOSGeom_createCollection_r (self->geos, GEOS_GEOMETRYCOLLECTION,
                                                               (GEOSGeometry **) parts->pdata, parts->len));
  GEOSGeometry *merged = all != NULL ? kept (self, GEOSUnaryUnion_r (self->geos, all)) : NULL;
  drop (self, all);
  return merged;
}

/* The same for faces that meet edge to edge and never overlap: a tenth of the time. @parts: (transfer full) */
static GEOSGeometry *
joined (RhyInkArea *self,
        GPtrArray  *parts)
{
  GEOSGeometry *all = kept (self, GEOSGeom_createCollection_r (self->geos, GEOS_MULTIPOLYGON,
                                                               (GEOSGeometry **) parts->pdata, parts->len));
  GEOSGeometry *merged = all != NULL ? GEOSCoverageUnion_r (self->geos, all) : NULL;
  if (all != NULL && merged == NULL)
    merged = kept (self, GEOSUnaryUnion_r (self->geos, all));
  drop (self, all);
  return merged;
}

/* ---- ink in art space ---- */

static void
add_line (RhyInkArea *self,
          GPtrArray  *parts,
          GArray     *xy)
{
  const guint n = xy->len / 2;
  GEOSCoordSequence *seq = n >= 2 ? GEOSCoordSeq_copyFromBuffer_r (self->geos, (const double *) (void *) xy->data,
                                                                   n, FALSE, FALSE) : NULL;
  GEOSGeometry *line = seq != NULL ? kept (self, GEOSGeom_createLineString_r (self->geos, seq)) : NULL;
  if (line != NULL)
    g_ptr_array_add (parts, line);
  g_array_set_size (xy, 0);
}

static void
add_xy (GArray  *xy,
        RhyPoint p)
{
  g_array_append_val (xy, p.x);
  g_array_append_val (xy, p.y);
}

/* @close: back to the start of each subpath, as a fill does. */
static GEOSGeometry *
lines_of (RhyInkArea    *self,
          const RhyPath *path,
          gboolean       close)
{
  g_autoptr (GArray) xy = g_array_new (FALSE, FALSE, sizeof (double));
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, FLATTEN_MM);
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0.0, 0.0 };
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    {
      if (g.first)
        {
          if (close && xy->len > 0)
            add_xy (xy, start);
          add_line (self, parts, xy);
          start = g.p[0];
          add_xy (xy, start);
        }
      add_xy (xy, g.p[1]);
    }
  if (close && xy->len > 0)
    add_xy (xy, start);
  add_line (self, parts, xy);
  return kept (self, GEOSGeom_createCollection_r (self->geos, GEOS_MULTILINESTRING,
                                                  (GEOSGeometry **) parts->pdata, parts->len));
}

/* The faces that the outlines cut the plane into, those kept that the rule calls inside. */
static GEOSGeometry *
fill_of (RhyInkArea    *self,
         const RhyPath *path,
         RhyFillRule    rule)
{
  g_autoptr (RhyRegion) region = rhy_region_new (path, rule, FLATTEN_MM);
  g_autoptr (GPtrArray) inside = g_ptr_array_new ();
  GEOSGeometry *lines = lines_of (self, path, TRUE);
  GEOSGeometry *noded = lines != NULL ? kept (self, GEOSUnaryUnion_r (self->geos, lines)) : NULL;
  const GEOSGeometry *list[1] = { noded };
  GEOSGeometry *faces = noded != NULL ? kept (self, GEOSPolygonize_r (self->geos, list, 1)) : NULL;

  const int n = faces != NULL ? GEOSGetNumGeometries_r (self->geos, faces) : 0;
  for (int i = 0; i < n; i++)
    {
      const GEOSGeometry *face = GEOSGetGeometryN_r (self->geos, faces, i);
      GEOSGeometry *point = kept (self, GEOSPointOnSurface_r (self->geos, face));
      double x = NAN;
      double y = NAN;
      if (point != NULL)
        {
          GEOSGeomGetX_r (self->geos, point, &x);
          GEOSGeomGetY_r (self->geos, point, &y);
        }
      if (rhy_region_has (region, x, y))
        g_ptr_array_add (inside, GEOSGeom_clone_r (self->geos, face));
      drop (self, point);
    }
  drop (self, lines);
  drop (self, noded);
  drop (self, faces);
  return joined (self, inside);
}

/* A pen whose own space is stretched draws an oval; it counts as the round of the same
 * area, which is what an even pen is. */
static GEOSGeometry *
stroke_of (RhyInkArea     *self,
           const RhyShape *shape)
{
  const RhyPen *pen = &shape->pen;
  const RhyAffine m = pen->matrix;
  const double half = 0.5 * pen->width * sqrt (fabs (m.xx * m.yy - m.xy * m.yx));
  const int caps[] = { [RHY_CAP_BUTT] = GEOSBUF_CAP_FLAT, [RHY_CAP_ROUND] = GEOSBUF_CAP_ROUND,
                       [RHY_CAP_SQUARE] = GEOSBUF_CAP_SQUARE };
  const int joins[] = { [RHY_JOIN_MITER] = GEOSBUF_JOIN_MITRE, [RHY_JOIN_ROUND] = GEOSBUF_JOIN_ROUND,
                        [RHY_JOIN_BEVEL] = GEOSBUF_JOIN_BEVEL };
  GEOSGeometry *lines = lines_of (self, shape->path, FALSE);
  GEOSGeometry *ink = lines == NULL ? NULL
                      : kept (self, GEOSBufferWithStyle_r (self->geos, lines, half, ARC_STEPS, caps[pen->cap],
                                                           joins[pen->join], pen->miter_limit));
  drop (self, lines);
  return ink;
}

static GEOSGeometry *
clipped (RhyInkArea       *self,
         const RhyArtwork *artwork,
         const RhyShape   *shape,
         GEOSGeometry     *ink)
{
  for (gsize i = 0; i < shape->n_clips && ink != NULL; i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, shape->clips[i]);
      GEOSGeometry *region = fill_of (self, clip->path, clip->rule);
      GEOSGeometry *rest = region != NULL ? kept (self, GEOSIntersection_r (self->geos, ink, region)) : NULL;
      drop (self, region);
      drop (self, ink);
      ink = rest;
    }
  return ink;
}

static void
add_part (GPtrArray    *parts,
          GEOSGeometry *part)
{
  if (part != NULL)
    g_ptr_array_add (parts, part);
}

static GEOSGeometry *
box_of (RhyInkArea *self,
        RhyBounds   box)
{
  const double corners[] = { box.min_x, box.min_y, box.max_x, box.max_y };
  GEOSCoordSequence *seq = GEOSCoordSeq_copyFromBuffer_r (self->geos, corners, 2, FALSE, FALSE);
  GEOSGeometry *diagonal = seq != NULL ? kept (self, GEOSGeom_createLineString_r (self->geos, seq)) : NULL;
  GEOSGeometry *all = diagonal != NULL ? kept (self, GEOSEnvelope_r (self->geos, diagonal)) : NULL;
  drop (self, diagonal);
  return all;
}

static GEOSGeometry *
ink_of (RhyInkArea       *self,
        const RhyArtwork *artwork,
        GCancellable     *cancellable)
{
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork) && !self->failed && !g_cancellable_is_cancelled (cancellable); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      if (shape->has_fill && shape->fill.a > 0.0)
        add_part (parts, clipped (self, artwork, shape, fill_of (self, shape->path, shape->rule)));
      if (shape->has_stroke && shape->stroke.a > 0.0 && !self->failed)
        add_part (parts, clipped (self, artwork, shape, stroke_of (self, shape)));
    }
  for (gsize i = 0; i < rhy_artwork_get_n_pictures (artwork); i++)
    {
      const RhyPicture *picture = rhy_artwork_get_picture (artwork, i);
      if (!picture->is_drawn && !rhy_bounds_is_empty (picture->box))
        add_part (parts, box_of (self, picture->box));
    }
  if (g_cancellable_is_cancelled (cancellable))
    {
      for (guint i = 0; i < parts->len; i++)
        drop (self, parts->pdata[i]);
      return NULL;
    }
  if (g_cancellable_is_cancelled (cancellable))
    {
      for (guint i = 0; i < parts->len; i++)
        drop (self, parts->pdata[i]);
      return NULL;
    }
  return united (self, parts);
}

static gboolean
complain (const RhyInkArea *self,
          GError          **error)
{
  if (self->failed)
    g_set_error_literal (error, RHY_ERROR, RHY_ERROR_GEOMETRY,
                         "the artwork's shapes cannot be compared with the zones: simplify the artwork");
  return !self->failed;
}

static void
forget_laid (RhyInkArea *self)
{
  if (self->laid_index != NULL)
    GEOSPreparedGeom_destroy_r (self->geos, self->laid_index);
  drop (self, self->laid);
  self->laid_index = NULL;
  self->laid = NULL;
  g_clear_pointer (&self->laid_by, rhy_map_unref);
}

RhyInkArea *
rhy_ink_area_new (const RhyArtwork *artwork,
                  GCancellable     *cancellable,
                  GError          **error)
{
  g_return_val_if_fail (artwork != NULL, NULL);

  g_autoptr (RhyInkArea) self = g_new0 (RhyInkArea, 1);
  self->geos = GEOS_init_r ();
  self->ink = ink_of (self, artwork, cancellable);
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  return complain (self, error) ? g_steal_pointer (&self) : NULL;
}

void
rhy_ink_area_free (RhyInkArea *self)
{
  forget_laid (self);
  drop (self, self->ink);
  GEOS_finish_r (self->geos);
  g_free (self);
}

/* ---- ink on the wall ---- */

/* Where polygons are drawn for measuring: equal-area, x = angle and y = integral of r ds, so
 * that a plane area is the wall's; or unrolled, so that a plane distance is the wall's. */
typedef struct
{
  RhyWall *wall;
  RhyMap  *lay;                 /* (nullable): points are wall points already */
  double   scale;               /* of art before the lay */
  RhyMap  *unroll;              /* (nullable): equal-area */
  double   s_ref;
  double   angle_shift;
} Sheet;

/* Points in place; returns how many are left after those without an image are taken out. */
static guint
to_sheet (const Sheet *sheet,
          guint        n,
          double      *x,
          double      *y)
{
  g_autofree guint8 *valid = g_new (guint8, n + 1);
  if (sheet->lay != NULL)
    {
      for (guint i = 0; i < n; i++)
        {
          x[i] *= sheet->scale;
          y[i] *= sheet->scale;
        }
      rhy_map_forward (sheet->lay, n, x, y, x, y, valid);
      guint left = 0;
      for (guint i = 0; i < n; i++)
        if (valid[i])
          {
            x[left] = x[i];
            y[left++] = y[i];
          }
      n = left;
    }
  for (guint i = 0; i < n; i++)
    y[i] += sheet->angle_shift;
  if (sheet->unroll != NULL)
    {
      rhy_map_forward (sheet->unroll, n, x, y, x, y, valid);
      return n;
    }
  for (guint i = 0; i < n; i++)
    {
      const double s = x[i];
      x[i] = y[i];
      y[i] = rhy_wall_authalic (sheet->wall, sheet->s_ref, s);
    }
  return n;
}

static GEOSGeometry *
ring_on_sheet (RhyInkArea         *self,
               const Sheet        *sheet,
               const GEOSGeometry *ring)
{
  const GEOSCoordSequence *seq = GEOSGeom_getCoordSeq_r (self->geos, ring);
  unsigned n = 0;
  if (seq == NULL || GEOSCoordSeq_getSize_r (self->geos, seq, &n) == 0 || n < 4)
    return NULL;
  g_autofree double *x = g_new (double, n);
  g_autofree double *y = g_new (double, n);
  GEOSCoordSeq_copyToArrays_r (self->geos, seq, x, y, NULL, NULL);
  guint left = to_sheet (sheet, n - 1, x, y);     /* the last is the first again */
  if (left < 3)
    return NULL;
  x[left] = x[0];
  y[left++] = y[0];
  GEOSCoordSequence *mapped = GEOSCoordSeq_copyFromArrays_r (self->geos, x, y, NULL, NULL, left);
  return mapped != NULL ? kept (self, GEOSGeom_createLinearRing_r (self->geos, mapped)) : NULL;
}

static GEOSGeometry *
polygon_on_sheet (RhyInkArea         *self,
                  const Sheet        *sheet,
                  const GEOSGeometry *polygon)
{
  GEOSGeometry *shell = ring_on_sheet (self, sheet, GEOSGetExteriorRing_r (self->geos, polygon));
  if (shell == NULL)
    return NULL;
  g_autoptr (GPtrArray) holes = g_ptr_array_new ();
  const int n = GEOSGetNumInteriorRings_r (self->geos, polygon);
  for (int i = 0; i < n; i++)
    add_part (holes, ring_on_sheet (self, sheet, GEOSGetInteriorRingN_r (self->geos, polygon, i)));
  GEOSGeometry *g = kept (self, GEOSGeom_createPolygon_r (self->geos, shell, (GEOSGeometry **) holes->pdata, holes->len));
  /* Slivers thinner than the chords may cross themselves by then. */
  if (g != NULL && GEOSisValid_r (self->geos, g) != 1)
    {
      GEOSGeometry *valid = kept (self, GEOSMakeValid_r (self->geos, g));
      drop (self, g);
      return valid;
    }
  return g;
}

static GEOSGeometry *
on_sheet (RhyInkArea         *self,
          const Sheet        *sheet,
          const GEOSGeometry *g)
{
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  GEOSGeometry *dense = kept (self, GEOSDensify_r (self->geos, g, CHORD_MM / sheet->scale));
  const int n = dense != NULL ? GEOSGetNumGeometries_r (self->geos, dense) : 0;
  for (int i = 0; i < n; i++)
    {
      const GEOSGeometry *part = GEOSGetGeometryN_r (self->geos, dense, i);
      if (GEOSGeomTypeId_r (self->geos, part) == GEOS_POLYGON && GEOSisEmpty_r (self->geos, part) == 0)
        add_part (parts, polygon_on_sheet (self, sheet, part));
    }
  drop (self, dense);
  return united (self, parts);
}

/* The outlines alone: they need not be united to find what is near them. */
static GEOSGeometry *
edges_on_sheet (RhyInkArea         *self,
                const Sheet        *sheet,
                const GEOSGeometry *g)
{
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  GEOSGeometry *dense = kept (self, GEOSDensify_r (self->geos, g, CHORD_MM / sheet->scale));
  const int n = dense != NULL ? GEOSGetNumGeometries_r (self->geos, dense) : 0;
  for (int i = 0; i < n; i++)
    {
      const GEOSGeometry *part = GEOSGetGeometryN_r (self->geos, dense, i);
      if (GEOSGeomTypeId_r (self->geos, part) != GEOS_POLYGON || GEOSisEmpty_r (self->geos, part) != 0)
        continue;
      const int holes = GEOSGetNumInteriorRings_r (self->geos, part);
      add_part (parts, ring_on_sheet (self, sheet, GEOSGetExteriorRing_r (self->geos, part)));
      for (int k = 0; k < holes; k++)
        add_part (parts, ring_on_sheet (self, sheet, GEOSGetInteriorRingN_r (self->geos, part, k)));
    }
  drop (self, dense);
  return kept (self, GEOSGeom_createCollection_r (self->geos, GEOS_MULTILINESTRING, (GEOSGeometry **) parts->pdata, parts->len));
}

/* The zone's rectangle of wall, @turns further round, its long sides in short chords. */
static GEOSGeometry *
zone_on_sheet (RhyInkArea    *self,
               const Sheet   *sheet,
               const RhyZone *zone,
               double         low,
               double         high,
               int            turns)
{
  const double r = rhy_wall_widest (sheet->wall, low, high).r_mm;
  const guint n = (guint) MAX (8.0, ceil (zone->width_rad * r / CHORD_MM));
  const guint m = (guint) MAX (8.0, ceil ((high - low) / CHORD_MM));
  const guint total = 2 * (n + m);
  const double a0 = zone->centre_rad - 0.5 * zone->width_rad + 2.0 * G_PI * turns;
  g_autofree double *s = g_new (double, total + 1);
  g_autofree double *a = g_new (double, total + 1);
  guint k = 0;
  for (guint i = 0; i < n; i++, k++)
    {
      s[k] = low;
      a[k] = a0 + zone->width_rad * i / n;
    }
  for (guint i = 0; i < m; i++, k++)
    {
      s[k] = low + (high - low) * i / m;
      a[k] = a0 + zone->width_rad;
    }
  for (guint i = 0; i < n; i++, k++)
    {
      s[k] = high;
      a[k] = a0 + zone->width_rad * (n - i) / n;
    }
  for (guint i = 0; i < m; i++, k++)
    {
      s[k] = low + (high - low) * (m - i) / m;
      a[k] = a0;
    }
  Sheet bare = *sheet;
  bare.lay = NULL;
  to_sheet (&bare, total, s, a);
  s[total] = s[0];
  a[total] = a[0];
  GEOSCoordSequence *seq = GEOSCoordSeq_copyFromArrays_r (self->geos, s, a, NULL, NULL, total + 1);
  GEOSGeometry *ring = seq != NULL ? kept (self, GEOSGeom_createLinearRing_r (self->geos, seq)) : NULL;
  return ring != NULL ? kept (self, GEOSGeom_createPolygon_r (self->geos, ring, NULL, 0)) : NULL;
}

/* The zone and its copies next to the ink, whole turns on either side. */
static GEOSGeometry *
zones_on_sheet (RhyInkArea    *self,
                const Sheet   *sheet,
                const RhyZone *zone,
                double         low,
                double         high,
                double         angle_low,
                double         angle_high)
{
  const double half = 0.5 * zone->width_rad;
  const double turn = 2.0 * G_PI;
  const int first = (int) ceil ((angle_low - G_PI - half - zone->centre_rad) / turn);
  const int last = (int) floor ((angle_high + G_PI + half - zone->centre_rad) / turn);
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  for (int k = first; k <= last; k++)
    add_part (parts, zone_on_sheet (self, sheet, zone, low, high, k));
  return united (self, parts);
}

static const GEOSGeometry *
laid (RhyInkArea  *self,
      const Sheet *sheet)
{
  if (self->laid != NULL && self->laid_by == sheet->lay && self->laid_scale == sheet->scale)
    return self->laid;
  forget_laid (self);
  self->laid = on_sheet (self, sheet, self->ink);
  self->laid_index = self->laid != NULL ? GEOSPrepare_r (self->geos, self->laid) : NULL;
  self->laid_by = rhy_map_ref (sheet->lay);
  self->laid_scale = sheet->scale;
  return self->laid;
}

/* Box of equal-area coordinates back to angles and slants. */
static gboolean
reach_of (RhyInkArea         *self,
          const Sheet        *sheet,
          const GEOSGeometry *ink,
          double             *angle_low,
          double             *angle_high,
          double             *s_low,
          double             *s_high)
{
  double y0, y1;
  if (GEOSGeom_getXMin_r (self->geos, ink, angle_low) == 0 || GEOSGeom_getXMax_r (self->geos, ink, angle_high) == 0
      || GEOSGeom_getYMin_r (self->geos, ink, &y0) == 0 || GEOSGeom_getYMax_r (self->geos, ink, &y1) == 0)
    return FALSE;
  *s_low = rhy_wall_authalic_inverse (sheet->wall, sheet->s_ref, y0);
  *s_high = rhy_wall_authalic_inverse (sheet->wall, sheet->s_ref, y1);
  return TRUE;
}

static gboolean
meet (RhyInkArea         *self,
      const Sheet        *sheet,
      const GEOSGeometry *ink,
      const GEOSGeometry *zones,
      RhyZoneGap         *gap)
{
  if (self->laid_index != NULL && GEOSPreparedIntersects_r (self->geos, self->laid_index, zones) == 0)
    return FALSE;
  GEOSGeometry *both = kept (self, GEOSIntersection_r (self->geos, ink, zones));
  double area = 0.0;
  if (both == NULL || GEOSArea_r (self->geos, both, &area) == 0 || !(area > 0.0))
    {
      drop (self, both);
      return FALSE;
    }
  GEOSGeometry *middle = kept (self, GEOSPointOnSurface_r (self->geos, both));
  double x = 0.0;
  double y = 0.0;
  if (middle != NULL)
    {
      GEOSGeomGetX_r (self->geos, middle, &x);
      GEOSGeomGetY_r (self->geos, middle, &y);
    }
  gap->overlap_mm2 = area;
  gap->ink = gap->zone = (RhyWallPoint) { rhy_wall_authalic_inverse (sheet->wall, sheet->s_ref, y), x };
  drop (self, middle);
  drop (self, both);
  return TRUE;
}

static RhyMap *
unroll_between (RhyWall *wall,
                double   s0,
                double   s1)
{
  enum { N = 17 };
  double s[N];
  for (int i = 0; i < N; i++)
    s[i] = s0 + (s1 - s0) * i / (N - 1);
  RhyConic conic = rhy_conic_fit (wall, s, N, 0.5 * (s0 + s1));
  RhyMap *unroll = rhy_unroll_new (wall, &conic, NULL);
  /* The cone that fits a steep band best may come to a point elsewhere on the wall.
   * A blunter one serves: flat enough, it is a cylinder, which no wall refuses. */
  while (unroll == NULL)
    {
      conic.sine = fabs (conic.sine) > 1e-3 ? 0.5 * conic.sine : 0.0;
      unroll = rhy_unroll_new (wall, &conic, NULL);
    }
  return unroll;
}

/* Length of the straight line on the sheet that fits best between two wall points. */
static double
length_between (RhyWall     *wall,
                RhyWallPoint p,
                RhyWallPoint q)
{
  g_autoptr (RhyMap) unroll = unroll_between (wall, p.s, q.s);
  double s[2] = { p.s, q.s };
  double a[2] = { 0.0, q.angle - p.angle };
  rhy_map_forward (unroll, 2, s, a, s, a, NULL);
  return hypot (s[1] - s[0], a[1] - a[0]);
}

static void
find_distance (RhyInkArea    *self,
               const Sheet   *sheet,
               const RhyZone *zone,
               double         low,
               double         high,
               double         angle_low,
               double         angle_high,
               RhyZoneGap    *gap)
{
  GEOSGeometry *zones = zones_on_sheet (self, sheet, zone, low, high, angle_low, angle_high);
  /* They do not meet, so their edges are nearest. Only for lines does GEOS keep an index over the
   * segments; without it every one of the ink is held against every one of the zones. */
  GEOSGeometry *edges = edges_on_sheet (self, sheet, self->ink);
  const GEOSPreparedGeometry *indexed = edges != NULL ? GEOSPrepare_r (self->geos, edges) : NULL;
  GEOSCoordSequence *pair = indexed != NULL && zones != NULL ? GEOSPreparedNearestPoints_r (self->geos, indexed, zones) : NULL;
  self->failed |= pair == NULL;
  if (pair != NULL)
    {
      double x[2], y[2];
      GEOSCoordSeq_copyToArrays_r (self->geos, pair, x, y, NULL, NULL);
      rhy_map_inverse (sheet->unroll, 2, x, y, x, y, NULL);
      const double length = rhy_wall_get_length (sheet->wall);
      gap->ink = (RhyWallPoint) { CLAMP (x[0], 0.0, length), y[0] - sheet->angle_shift };
      gap->zone = (RhyWallPoint) { CLAMP (x[1], 0.0, length), y[1] - sheet->angle_shift };
      gap->distance_mm = length_between (sheet->wall, gap->ink, gap->zone);
      GEOSCoordSeq_destroy_r (self->geos, pair);
    }
  if (indexed != NULL)
    GEOSPreparedGeom_destroy_r (self->geos, indexed);
  drop (self, edges);
  drop (self, zones);
}

gboolean
rhy_ink_area_measure (RhyInkArea    *self,
                      RhyWall       *wall,
                      const RhyMap  *lay,
                      double         scale,
                      const RhyZone *zone,
                      double         low,
                      double         high,
                      RhyZoneGap    *gap,
                      GError       **error)
{
  *gap = (RhyZoneGap) { .is_on_wall = TRUE, .distance_mm = G_MAXDOUBLE };
  const Sheet sheet = { .wall = wall, .lay = (RhyMap *) lay, .scale = scale, .s_ref = 0.5 * rhy_wall_get_length (wall) };
  double angle_low, angle_high, s_low, s_high;

  const GEOSGeometry *ink = laid (self, &sheet);
  if (ink != NULL && GEOSisEmpty_r (self->geos, ink) == 0
      && reach_of (self, &sheet, ink, &angle_low, &angle_high, &s_low, &s_high))
    {
      GEOSGeometry *zones = zones_on_sheet (self, &sheet, zone, low, high, angle_low, angle_high);
      if (zones != NULL && meet (self, &sheet, ink, zones, gap))
        gap->distance_mm = 0.0;
      else if (zones != NULL)
        {
          /* Unrolled with the ink in the middle of the sheet, where a cone's is widest open. */
          g_autoptr (RhyMap) unroll = unroll_between (wall, MIN (s_low, low), MAX (s_high, high));
          const double shift = -0.5 * (angle_low + angle_high);
          const Sheet for_ink = { wall, (RhyMap *) lay, scale, unroll, 0.0, shift };
          find_distance (self, &for_ink, zone, low, high, angle_low, angle_high, gap);
        }
      drop (self, zones);
    }
  return complain (self, error);
}
