/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/resolve.h>

#include <math.h>

#include <rhyton/light.h>
#include <rhyton/stroke.h>

#include "ink.h"
#include "late-geos.h"

/* How the tolerance is spent: chords against the curves, rounding to the grid
 * (half its diagonal: 0.07), the fit of cubics to the chords: 0.82 in all. */
static const double CHORDS = 0.25;
static const double GRID = 0.1;
static const double REFIT = 0.5;

/* So many layers that touch are laid over each other by halves. */
#define MANY 24

typedef enum { INK, BARE } Paint;

/* One filled outline of the drawing, in painting order. */
typedef struct
{
  RhyPath    *path;
  RhyFillRule rule;
  Paint       paint;
  gboolean    is_stroke;
  const guint *clips;           /* borrowed from the artwork's shape */
  gsize       n_clips;
  RhyBounds   box;              /* cut to its clips, a grid's pitch wider */
  RhyRegion  *region;
  guint       group;            /* union-find parent */
} Layer;

/* What may end the work before it is done. */
typedef struct
{
  GCancellable *cancellable;
  gint64        deadline;
} Patience;

typedef struct
{
  GEOSContextHandle_t geos;
  Patience            patience;
  char                trouble[256];
  const RhyArtwork   *artwork;
  double              tolerance;
  GArray             *layers;           /* Layer */
  RhyRegion         **clip_regions;
} Work;

static void
clear_layer (gpointer data)
{
  Layer *layer = data;
  rhy_path_unref (layer->path);
  g_clear_pointer (&layer->region, rhy_region_free);
}

static void
remember (const char *message,
          void       *data)
{
  Work *work = data;
  g_strlcpy (work->trouble, message, sizeof work->trouble);
}

/* ---- stopping ---- */

static gboolean
is_over (const Patience *patience)
{
  return g_cancellable_is_cancelled (patience->cancellable) || g_get_monotonic_time () > patience->deadline;
}

/* GEOS asks one function of the whole process whether to go on, in whichever thread works: each
 * thread's own patience tells. A request is taken up where it is made, right after the call. */
static _Thread_local const Patience *patience_here;
static GEOSInterruptCallback *asked_before;

static void
ask (void)
{
  if (asked_before != NULL)
    asked_before ();
  if (patience_here != NULL && is_over (patience_here))
    GEOS_interruptRequest ();
}

static void
be_patient (const Patience *patience)
{
  static gsize registered = 0;
  if (g_once_init_enter (&registered))
    {
      asked_before = GEOS_interruptRegisterCallback (ask);
      g_once_init_leave (&registered, 1);
    }
  patience_here = patience;
}

static void
set_impatient (const Work              *work,
               const RhyResolveOptions *options,
               GError                 **error)
{
  if (!g_cancellable_set_error_if_cancelled (work->patience.cancellable, error))
    g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                 "to unite what overlaps takes longer than the %g seconds allowed: simplify it in the drawing program, or set Ink=drawn",
                 options->seconds);
}

static Layer *
layer_at (Work *work,
          guint i)
{
  return &g_array_index (work->layers, Layer, i);
}

/* ---- which paint is ink ---- */

/* Luma of coded sRGB. Source: ITU-R BT.709-6, item 3.2. */
static double
luma (RhyColour c)
{
  return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}

static RhyBounds
intersection (RhyBounds a,
              RhyBounds b)
{
  return (RhyBounds) { MAX (a.min_x, b.min_x), MAX (a.min_y, b.min_y), MIN (a.max_x, b.max_x), MIN (a.max_y, b.max_y) };
}

static gboolean
meet (RhyBounds a,
      RhyBounds b)
{
  return a.min_x <= b.max_x && b.min_x <= a.max_x && a.min_y <= b.max_y && b.min_y <= a.max_y;
}

static void
add_layer (Work           *work,
           const RhyShape *shape,
           RhyPath        *path,
           RhyFillRule     rule,
           Paint           paint,
           gboolean        is_stroke)
{
  Layer layer = { path, rule, paint, is_stroke, shape->clips, shape->n_clips, rhy_path_get_bounds (path), NULL, work->layers->len };
  for (gsize i = 0; i < shape->n_clips; i++)
    layer.box = intersection (layer.box, rhy_path_get_bounds (rhy_artwork_get_clip (work->artwork, shape->clips[i])->path));
  if (rhy_bounds_is_empty (layer.box))
    {
      rhy_path_unref (path);
      return;
    }
  /* So that neighbours across a gap that the grid closes are found to meet. */
  const double grid = GRID * work->tolerance;
  layer.box = (RhyBounds) { layer.box.min_x - grid, layer.box.min_y - grid, layer.box.max_x + grid, layer.box.max_y + grid };
  g_array_append_val (work->layers, layer);
}

typedef struct { guint bare, faint, painted; } Losses;

static gboolean
is_counted (RhyColour       c,
            const RhyPaint *varied,
            double          lightest_ink,
            Paint          *paint,
            Losses         *losses)
{
  losses->painted += varied != NULL;
  if (c.a < 0.5)
    {
      losses->faint++;
      return FALSE;
    }
  *paint = luma (c) < lightest_ink ? INK : BARE;
  losses->bare += *paint == BARE;
  return TRUE;
}

static gboolean
is_picture (const RhyShape *shape)
{
  return shape->has_fill && shape->fill_paint != NULL && shape->fill_paint->kind == RHY_PAINT_RASTER;
}

/* No one colour says what a picture is: it stays one, over the rest. */
static void
add_pictures (RhyArtworkBuilder *builder,
              const RhyArtwork  *artwork)
{
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (artwork, i);
      if (!is_picture (source))
        continue;
      RhyShape shape = rhy_shape_dup (source, rhy_path_ref (source->path));
      shape.has_stroke = FALSE;         /* that is resolved with the rest */
      for (gsize k = 0; k < shape.n_clips; k++)
        {
          const RhyClip *clip = rhy_artwork_get_clip (artwork, source->clips[k]);
          shape.clips[k] = rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
        }
      rhy_artwork_builder_add_shape (builder, &shape);
    }
}

static gboolean
collect_layers (Work                    *work,
                const RhyResolveOptions *options,
                Losses                  *losses,
                GError                 **error)
{
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (work->artwork); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (work->artwork, i);
      Paint paint;
      if (shape->has_fill && !is_picture (shape) && is_counted (shape->fill, shape->fill_paint, options->lightest_ink, &paint, losses))
        add_layer (work, shape, rhy_path_ref (shape->path), shape->rule, paint, FALSE);
      if (!shape->has_stroke || !is_counted (shape->stroke, shape->stroke_paint, options->lightest_ink, &paint, losses))
        continue;
      RhyPath *outline = rhy_stroke_outline (shape->path, &shape->pen, error);
      if (outline == NULL)
        return FALSE;
      add_layer (work, shape, outline, RHY_FILL_NONZERO, paint, TRUE);
    }
  return TRUE;
}

/* ---- groups of layers that may touch ---- */

static guint
group_of (Work *work,
          guint i)
{
  while (layer_at (work, i)->group != i)
    i = layer_at (work, i)->group = layer_at (work, layer_at (work, i)->group)->group;
  return i;
}

static int
by_left_edge (gconstpointer a,
              gconstpointer b,
              gpointer      data)
{
  Work *work = data;
  const double x = layer_at (work, *(const guint *) a)->box.min_x;
  const double y = layer_at (work, *(const guint *) b)->box.min_x;
  return (x > y) - (x < y);
}

/* A bare layer with no ink under it takes nothing away. The usual white page
 * at the bottom would else tie everything together. */
static void
drop_idle_bare (Work *work)
{
  RhyBounds inked = RHY_BOUNDS_EMPTY;
  guint kept = 0;
  for (guint i = 0; i < work->layers->len; i++)
    {
      Layer *layer = layer_at (work, i);
      if (layer->paint == BARE && !meet (layer->box, inked))
        {
          clear_layer (layer);
          continue;
        }
      if (layer->paint == INK)
        inked = rhy_bounds_union (inked, layer->box);
      Layer moved = *layer;
      moved.group = kept;
      *layer_at (work, kept++) = moved;
    }
  g_array_set_clear_func (work->layers, NULL);
  g_array_set_size (work->layers, kept);
  g_array_set_clear_func (work->layers, clear_layer);
}

/* Boxes from left to right; those that have not ended yet are the ones to meet. */
static void
find_groups (Work *work)
{
  const guint n = work->layers->len;
  g_autofree guint *order = g_new (guint, n + 1);
  for (guint i = 0; i < n; i++)
    order[i] = i;
  g_qsort_with_data (order, (gint) n, sizeof (guint), by_left_edge, work);

  g_autofree guint *open = g_new (guint, n + 1);
  guint n_open = 0;
  for (guint k = 0; k < n; k++)
    {
      const RhyBounds box = layer_at (work, order[k])->box;
      guint still = 0;
      for (guint i = 0; i < n_open; i++)
        {
          const RhyBounds other = layer_at (work, open[i])->box;
          if (other.max_x < box.min_x)
            continue;
          open[still++] = open[i];
          if (meet (box, other))
            layer_at (work, group_of (work, order[k]))->group = group_of (work, open[i]);
        }
      n_open = still;
      open[n_open++] = order[k];
    }
}

/* ---- to GEOS and back ---- */

static double
on_grid (const Work *work,
         double      x)
{
  const double grid = GRID * work->tolerance;
  return rint (x / grid) * grid;
}

static void
add_line (Work      *work,
          GPtrArray *lines,
          GArray    *ring)
{
  if (ring->len < 2)
    return;
  const RhyPoint *p = (const RhyPoint *) (gconstpointer) ring->data;
  if (p[0].x != p[ring->len - 1].x || p[0].y != p[ring->len - 1].y)
    {
      const RhyPoint start = p[0];
      g_array_append_val (ring, start);
    }
  if (ring->len < 4)
    return;     /* there and back: no area */
  GEOSCoordSequence *points = GEOSCoordSeq_copyFromBuffer_r (work->geos, (const double *) (gpointer) ring->data, ring->len, FALSE, FALSE);
  GEOSGeometry *line = points != NULL ? GEOSGeom_createLineString_r (work->geos, points) : NULL;
  if (line != NULL)
    g_ptr_array_add (lines, line);
}

/* Every subpath as a closed chain of chords, corners on the grid. */
static void
add_lines (Work          *work,
           GPtrArray     *lines,
           const RhyPath *path)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, CHORDS * work->tolerance);
  g_autoptr (GArray) ring = g_array_new (FALSE, FALSE, sizeof (RhyPoint));
  const RhyPoint *p = flat->points;
  for (gsize i = 0; i < flat->n_verbs; i++)
    {
      if (flat->verbs[i] == RHY_PATH_CLOSE)
        continue;
      if (flat->verbs[i] == RHY_PATH_MOVE)
        {
          add_line (work, lines, ring);
          g_array_set_size (ring, 0);
        }
      const RhyPoint at = { on_grid (work, p->x), on_grid (work, p->y) };
      p++;
      const RhyPoint *last = ring->len > 0 ? &g_array_index (ring, RhyPoint, ring->len - 1) : NULL;
      if (last == NULL || last->x != at.x || last->y != at.y)
        g_array_append_val (ring, at);
    }
  add_line (work, lines, ring);
}

static GEOSGeometry *
collect (Work      *work,
         int        type,
         GPtrArray *parts)
{
  GEOSGeometry *all = GEOSGeom_createCollection_r (work->geos, type, (GEOSGeometry **) parts->pdata, parts->len);
  g_ptr_array_set_size (parts, 0);
  return all;
}

static void
append_ring (Work               *work,
             RhyPath            *path,
             const GEOSGeometry *ring)
{
  const GEOSCoordSequence *points = GEOSGeom_getCoordSeq_r (work->geos, ring);
  unsigned n = 0;
  if (points == NULL || !GEOSCoordSeq_getSize_r (work->geos, points, &n))
    return;
  for (unsigned i = 0; i + 1 < n; i++)
    {
      double x, y;
      GEOSCoordSeq_getXY_r (work->geos, points, i, &x, &y);
      if (i == 0)
        rhy_path_move_to (path, x, y);
      else
        rhy_path_line_to (path, x, y);
    }
  if (n > 1)
    rhy_path_close (path);
}

static guint
append_polygons (Work               *work,
                 RhyPath            *path,
                 const GEOSGeometry *polygons)
{
  guint n_rings = 0;
  const int n = GEOSGetNumGeometries_r (work->geos, polygons);
  for (int i = 0; i < n; i++)
    {
      const GEOSGeometry *polygon = GEOSGetGeometryN_r (work->geos, polygons, i);
      if (GEOSGeomTypeId_r (work->geos, polygon) != GEOS_POLYGON || GEOSisEmpty_r (work->geos, polygon))
        continue;
      append_ring (work, path, GEOSGetExteriorRing_r (work->geos, polygon));
      n_rings++;
      const int holes = GEOSGetNumInteriorRings_r (work->geos, polygon);
      for (int k = 0; k < holes; k++, n_rings++)
        append_ring (work, path, GEOSGetInteriorRingN_r (work->geos, polygon, k));
    }
  return n_rings;
}

/* ---- one group ---- */

static gboolean
is_within_clips (Work        *work,
                 const Layer *layer,
                 double       x,
                 double       y)
{
  for (gsize i = 0; i < layer->n_clips; i++)
    {
      RhyRegion **region = &work->clip_regions[layer->clips[i]];
      const RhyClip *clip = rhy_artwork_get_clip (work->artwork, layer->clips[i]);
      if (*region == NULL)
        *region = rhy_region_new (clip->path, clip->rule, CHORDS * work->tolerance);
      if (!rhy_region_has (*region, x, y))
        return FALSE;
    }
  return TRUE;
}

/* What is seen at a point: the paint of the uppermost layer there. */
static gboolean
is_ink_at (Work         *work,
           const GArray *members,
           double        x,
           double        y)
{
  for (guint i = members->len; i-- > 0;)
    {
      Layer *layer = layer_at (work, g_array_index (members, guint, i));
      if (!(x >= layer->box.min_x && x <= layer->box.max_x && y >= layer->box.min_y && y <= layer->box.max_y))
        continue;
      if (layer->region == NULL)
        layer->region = rhy_region_new (layer->path, layer->rule, CHORDS * work->tolerance);
      if (rhy_region_has (layer->region, x, y) && is_within_clips (work, layer, x, y))
        return layer->paint == INK;
    }
  return FALSE;
}

/* The faces into which all edges together cut the plane; each is ink or bare as a
 * whole. One rule so serves fill rules, clips, overlaps and crossings alike. */
static GEOSGeometry *
ink_faces (Work         *work,
           const GArray *members,
           GEOSGeometry *faces)
{
  g_autoptr (GPtrArray) inked = g_ptr_array_new ();
  const int n = GEOSGetNumGeometries_r (work->geos, faces);
  for (int i = 0; i < n && !is_over (&work->patience); i++)
    {
      const GEOSGeometry *face = GEOSGetGeometryN_r (work->geos, faces, i);
      GEOSGeometry *inside = GEOSPointOnSurface_r (work->geos, face);
      double x, y;
      if (inside != NULL && GEOSGeomGetX_r (work->geos, inside, &x) && GEOSGeomGetY_r (work->geos, inside, &y)
          && is_ink_at (work, members, x, y))
        g_ptr_array_add (inked, GEOSGeom_clone_r (work->geos, face));
      if (inside != NULL)
        GEOSGeom_destroy_r (work->geos, inside);
    }
  return collect (work, GEOS_MULTIPOLYGON, inked);
}

static void
free_geometry (Work         *work,
               GEOSGeometry *g)
{
  if (g != NULL)
    GEOSGeom_destroy_r (work->geos, g);
}

/* Returns: the ink as polygons, or NULL in trouble. */
static GEOSGeometry *
overlay (Work         *work,
         const GArray *members,
         GEOSGeometry *lines)
{
  GEOSGeometry *noded = GEOSUnaryUnionPrec_r (work->geos, lines, GRID * work->tolerance);
  const GEOSGeometry *one[] = { noded };
  GEOSGeometry *faces = noded != NULL ? GEOSPolygonize_r (work->geos, one, 1) : NULL;
  GEOSGeometry *inked = faces != NULL ? ink_faces (work, members, faces) : NULL;
  GEOSGeometry *united = inked != NULL ? GEOSCoverageUnion_r (work->geos, inked) : NULL;
  free_geometry (work, noded);
  free_geometry (work, faces);
  free_geometry (work, inked);
  return united;
}

/* ---- many layers ---- */

/* What a run of layers shows: its ink, and where it takes ink away from what lies under it. Where
 * both are, ink lies uppermost. NULL: nothing. */
typedef struct
{
  GEOSGeometry *ink, *bare;
} Seen;

/* Edges cross and are rounded on every level: a grid this much finer keeps that out of sight. */
static double
fine_grid (const Work *work)
{
  return 0.1 * GRID * work->tolerance;
}

/* Both are taken over; NULL for nothing, or for trouble (then @ok is cleared). */
static GEOSGeometry *
both (Work         *work,
      GEOSGeometry *a,
      GEOSGeometry *b,
      gboolean     *ok)
{
  if (a == NULL || b == NULL)
    return a != NULL ? a : b;
  GEOSGeometry *all = GEOSUnionPrec_r (work->geos, a, b, fine_grid (work));
  *ok = *ok && all != NULL;
  free_geometry (work, a);
  free_geometry (work, b);
  return all;
}

static Seen
lay_over (Work     *work,
          Seen      under,
          Seen      over,
          gboolean *ok)
{
  if (under.ink != NULL && over.bare != NULL)
    {
      GEOSGeometry *left = GEOSDifferencePrec_r (work->geos, under.ink, over.bare, fine_grid (work));
      *ok = *ok && left != NULL;
      free_geometry (work, under.ink);
      under.ink = left;
    }
  Seen seen = { both (work, under.ink, over.ink, ok), NULL };
  seen.bare = both (work, under.bare, over.bare, ok);
  return seen;
}

/* A layer by itself: its fill rule, its clips. */
static Seen
seen_of_layer (Work     *work,
               guint     i,
               gboolean *ok)
{
  Layer *layer = layer_at (work, i);
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  g_autoptr (GArray) self = g_array_new (FALSE, FALSE, sizeof (guint));
  g_array_append_val (self, i);
  add_lines (work, parts, layer->path);
  for (gsize k = 0; k < layer->n_clips; k++)
    add_lines (work, parts, rhy_artwork_get_clip (work->artwork, layer->clips[k])->path);
  if (parts->len == 0)
    return (Seen) { NULL, NULL };
  GEOSGeometry *lines = collect (work, GEOS_MULTILINESTRING, parts);
  const Paint paint = layer->paint;
  layer->paint = INK;           /* where it is, whatever it is */
  GEOSGeometry *area = lines != NULL ? overlay (work, self, lines) : NULL;
  layer->paint = paint;
  free_geometry (work, lines);
  *ok = *ok && area != NULL;
  return paint == INK ? (Seen) { area, NULL } : (Seen) { NULL, area };
}

/* Halves, so that what lies hidden is gone before much is laid over it. */
static Seen
seen_of (Work         *work,
         const GArray *members,
         guint         from,
         guint         to,
         gboolean     *ok)
{
  if (!*ok || from == to || is_over (&work->patience))
    return (Seen) { NULL, NULL };
  if (to - from == 1)
    return seen_of_layer (work, g_array_index (members, guint, from), ok);
  const guint middle = from + (to - from) / 2;
  const Seen under = seen_of (work, members, from, middle, ok);
  const Seen over = seen_of (work, members, middle, to, ok);
  return lay_over (work, under, over, ok);
}

/* Returns: the ink as polygons, gaps closed, or NULL in trouble. */
static GEOSGeometry *
overlay_by_halves (Work         *work,
                   const GArray *members)
{
  gboolean ok = TRUE;
  Seen seen = seen_of (work, members, 0, members->len, &ok);
  free_geometry (work, seen.bare);
  GEOSGeometry *ink = ok && seen.ink != NULL ? GEOSUnaryUnionPrec_r (work->geos, seen.ink, GRID * work->tolerance) : NULL;
  if (ok && seen.ink == NULL)
    ink = GEOSGeom_createEmptyCollection_r (work->geos, GEOS_MULTIPOLYGON);
  free_geometry (work, seen.ink);
  return ink;
}

static void
add_ink (RhyArtworkBuilder *builder,
         RhyPath           *path,
         RhyFillRule        rule)
{
  const RhyShape shape = { .path = path, .rule = rule, .has_fill = TRUE, .fill = { 0, 0, 0, 1 }, .pen.matrix = RHY_AFFINE_IDENTITY };
  rhy_artwork_builder_add_shape (builder, &shape);
}

static gboolean
resolve_group (Work              *work,
               RhyArtworkBuilder *builder,
               const GArray      *members,
               GError           **error)
{
  const Layer *first = layer_at (work, g_array_index (members, guint, 0));
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  g_autoptr (GHashTable) clips = g_hash_table_new (NULL, NULL);
  for (guint i = 0; i < members->len; i++)
    {
      const Layer *layer = layer_at (work, g_array_index (members, guint, i));
      add_lines (work, parts, layer->path);
      for (gsize k = 0; k < layer->n_clips; k++)
        if (g_hash_table_add (clips, GUINT_TO_POINTER (layer->clips[k] + 1)))
          add_lines (work, parts, rhy_artwork_get_clip (work->artwork, layer->clips[k])->path);
    }
  if (parts->len == 0)
    return TRUE;

  const guint n_lines = parts->len;
  GEOSGeometry *lines = collect (work, GEOS_MULTILINESTRING, parts);
  const gboolean is_alone = members->len == 1 && first->n_clips == 0 && !first->is_stroke && first->paint == INK;
  const gboolean is_simple = is_alone && lines != NULL && GEOSisSimple_r (work->geos, lines) == 1;
  GEOSGeometry *ink = NULL;
  if (lines != NULL)
    ink = members->len < MANY ? overlay (work, members, lines) : overlay_by_halves (work, members);
  free_geometry (work, lines);
  if (ink == NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY, "shapes that overlap cannot be united: %s",
                   work->trouble[0] != '\0' ? work->trouble : "no reason given");
      return FALSE;
    }

  g_autoptr (RhyPath) chords = rhy_path_new ();
  const guint n_rings = append_polygons (work, chords, ink);
  free_geometry (work, ink);
  if (is_simple && n_rings == n_lines)
    add_ink (builder, rhy_path_ref (first->path), first->rule);
  else if (chords->n_verbs > 0)
    add_ink (builder, rhy_path_lightened (chords, REFIT * work->tolerance, NULL), RHY_FILL_EVENODD);
  return TRUE;
}

static gboolean
resolve_groups (Work              *work,
                RhyArtworkBuilder *builder,
                GError           **error)
{
  const guint n = work->layers->len;
  g_autoptr (GPtrArray) groups = g_ptr_array_new_with_free_func ((GDestroyNotify) g_array_unref);
  g_autofree GArray **members = g_new0 (GArray *, n + 1);
  for (guint i = 0; i < n; i++)
    {
      const guint root = group_of (work, i);
      if (members[root] == NULL)
        {
          members[root] = g_array_new (FALSE, FALSE, sizeof (guint));
          g_ptr_array_add (groups, members[root]);
        }
      g_array_append_val (members[root], i);
    }
  for (guint i = 0; i < groups->len; i++)
    if (is_over (&work->patience) || !resolve_group (work, builder, groups->pdata[i], error))
      return FALSE;
  return TRUE;
}

static void
add_notes (RhyArtworkBuilder *builder,
           const RhyArtwork  *artwork,
           Losses             losses)
{
  for (const char *const *note = rhy_artwork_get_notes (artwork); *note != NULL; note++)
    rhy_artwork_builder_add_note (builder, *note);
  if (losses.painted > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u gradient%s taken by %s mean colour, one for the whole of it", losses.painted,
                                               losses.painted == 1 ? " is" : "s are",
                                               losses.painted == 1 ? "its" : "their");
      rhy_artwork_builder_add_note (builder, note);
    }
  if (losses.bare > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u light %s taken as bare: no ink there, and none of what lies under", losses.bare,
                                               losses.bare == 1 ? "paint is" : "paints are");
      rhy_artwork_builder_add_note (builder, note);
    }
  if (losses.faint > 0)
    {
      g_autofree char *note = g_strdup_printf ("%u %s less than half opaque and left out", losses.faint, losses.faint == 1 ? "paint is" : "paints are");
      rhy_artwork_builder_add_note (builder, note);
    }
}

RhyArtwork *
rhy_artwork_resolved (RhyArtwork              *self,
                      const RhyResolveOptions *options,
                      GCancellable            *cancellable,
                      GError                 **error)
{
  static const RhyResolveOptions defaults = RHY_RESOLVE_OPTIONS_INIT;
  g_return_val_if_fail (self != NULL, NULL);
  if (options == NULL)
    options = &defaults;
  g_return_val_if_fail (options->tolerance_mm > 0.0 && options->seconds > 0.0, NULL);

  const gsize n_clips = rhy_artwork_get_n_clips (self);
  const double seconds = MIN (options->seconds, 86400.0);
  Work work = { .geos = GEOS_init_r (), .artwork = self,
                .patience = { cancellable, g_get_monotonic_time () + (gint64) (seconds * G_USEC_PER_SEC) },
                .tolerance = options->tolerance_mm,
                .layers = g_array_new (FALSE, FALSE, sizeof (Layer)), .clip_regions = g_new0 (RhyRegion *, n_clips + 1) };
  GEOSContext_setErrorMessageHandler_r (work.geos, remember, &work);
  g_array_set_clear_func (work.layers, clear_layer);
  be_patient (&work.patience);

  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  double width, height;
  rhy_artwork_get_page (self, &width, &height);
  rhy_artwork_builder_set_size (builder, width, height, rhy_artwork_get_size_source (self));

  Losses losses = { 0, 0, 0 };
  gboolean ok = collect_layers (&work, options, &losses, error);
  if (ok && !is_over (&work.patience))
    {
      drop_idle_bare (&work);
      find_groups (&work);
      ok = resolve_groups (&work, builder, error);
    }
  be_patient (NULL);
  if (is_over (&work.patience))
    {
      g_clear_error (error);
      set_impatient (&work, options, error);
      ok = FALSE;
    }
  g_array_unref (work.layers);
  for (gsize i = 0; i < n_clips; i++)
    g_clear_pointer (&work.clip_regions[i], rhy_region_free);
  g_free (work.clip_regions);
  GEOS_finish_r (work.geos);
  if (!ok)
    return NULL;

  add_pictures (builder, self);
  for (gsize i = 0; i < rhy_artwork_get_n_pictures (self); i++)
    rhy_artwork_builder_add_picture (builder, *rhy_artwork_get_picture (self, i));
  add_notes (builder, self, losses);
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}
