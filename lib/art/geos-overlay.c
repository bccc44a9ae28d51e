/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/resolve.h>

#include <math.h>
#include <time.h>

#include <rhyton/light.h>

#include "../shape/late-gio.h"
#include "late-geos.h"
#include "layers.h"

/* How the tolerance is spent: chords against the curves, rounding to the grid
 * (half its diagonal: 0.07), the fit of cubics to the chords: 0.82 in all. */
static const double CHORDS = 0.25;
static const double GRID = 0.1;
static const double REFIT = 0.5;

/* So many layers that touch are laid over each other by halves. */
#define MANY 24

/* By the clock so many times the processor time may pass: a busy machine refuses no good drawing. */
static const double CLOCK_FACTOR = 6.0;
/* The thread's processor time is asked for this often, us: that is a call into the system. */
static const gint64 LOOK_EVERY = 10000;

/* What may end the work before it is done. It is all done in one thread. */
typedef struct
{
  GCancellable *cancellable;
  gint64        deadline;       /* monotonic, us */
  gint64        next_look;      /* monotonic, us */
  double        had_s;          /* of the thread's processor time, at the start */
  double        seconds;        /* of it allowed */
  gboolean      is_spent;
} Patience;

typedef struct
{
  guint       shade;
  RhyPath    *path;             /* owned */
  RhyFillRule rule;
} Made;

typedef struct
{
  GEOSContextHandle_t geos;
  Patience            patience;
  char                trouble[256];
  RhyHeap             heap;
  double              tolerance;
  GArray             *made;             /* Made: what has come out */
} Work;

static void
remember (const char *message,
          void       *data)
{
  Work *work = data;
  g_strlcpy (work->trouble, message, sizeof work->trouble);
}

/* ---- stopping ---- */

/* Processor time of this thread, s; 0 where the system does not say. */
static double
thread_time (void)
{
  struct timespec t;
  return clock_gettime (CLOCK_THREAD_CPUTIME_ID, &t) == 0 ? (double) t.tv_sec + 1e-9 * (double) t.tv_nsec : 0.0;
}

static Patience
patience_new (GCancellable *cancellable,
              double        seconds)
{
  const gint64 now = g_get_monotonic_time ();
  return (Patience) { cancellable, now + (gint64) (CLOCK_FACTOR * seconds * G_USEC_PER_SEC), now, thread_time (), seconds, FALSE };
}

static gboolean
is_over (Patience *patience)
{
  const gint64 now = g_get_monotonic_time ();
  if (now >= patience->next_look)
    {
      patience->next_look = now + LOOK_EVERY;
      patience->is_spent = patience->is_spent || thread_time () - patience->had_s > patience->seconds;
    }
  return patience->is_spent || now > patience->deadline || g_cancellable_is_cancelled (patience->cancellable);
}

/* GEOS asks one function of the whole process whether to go on, in whichever thread works: each
 * thread's own patience tells. A request is taken up where it is made, right after the call. */
static _Thread_local Patience *patience_here;
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
be_patient (Patience *patience)
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
  if (g_cancellable_set_error_if_cancelled (work->patience.cancellable, error))
    return;
  if (work->patience.is_spent)
    g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                 "to unite what overlaps takes more than the %g seconds of processor time allowed: simplify it in the drawing program, or set Ink=drawn",
                 options->seconds);
  else
    g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                 "what overlaps is not united after %g seconds, of which it had less than %g to work in: try again when the machine is less busy",
                 CLOCK_FACTOR * options->seconds, options->seconds);
}

/* ---- groups of layers that may touch ---- */

static guint
group_of (Work *work,
          guint i)
{
  while (rhy_heap_layer (&work->heap, i)->group != i)
    i = rhy_heap_layer (&work->heap, i)->group = rhy_heap_layer (&work->heap, rhy_heap_layer (&work->heap, i)->group)->group;
  return i;
}

static int
by_left_edge (gconstpointer a,
              gconstpointer b,
              gpointer      data)
{
  Work *work = data;
  const double x = rhy_heap_layer (&work->heap, *(const guint *) a)->box.min_x;
  const double y = rhy_heap_layer (&work->heap, *(const guint *) b)->box.min_x;
  return (x > y) - (x < y);
}

/* Boxes from left to right; those that have not ended yet are the ones to meet. */
static void
find_groups (Work *work)
{
  const guint n = work->heap.layers->len;
  g_autofree guint *order = g_new (guint, n + 1);
  for (guint i = 0; i < n; i++)
    order[i] = i;
  g_qsort_with_data (order, (gint) n, sizeof (guint), by_left_edge, work);

  g_autofree guint *open = g_new (guint, n + 1);
  guint n_open = 0;
  for (guint k = 0; k < n; k++)
    {
      const RhyBounds box = rhy_heap_layer (&work->heap, order[k])->box;
      guint still = 0;
      for (guint i = 0; i < n_open; i++)
        {
          const RhyBounds other = rhy_heap_layer (&work->heap, open[i])->box;
          if (other.max_x < box.min_x)
            continue;
          open[still++] = open[i];
          if (rhy_boxes_meet (box, other))
            rhy_heap_layer (&work->heap, group_of (work, order[k]))->group = group_of (work, open[i]);
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

/* The faces into which all edges together cut the plane; each is of one shade as a
 * whole. One rule so serves fill rules, clips, overlaps and crossings alike.
 * @inked: (array length=shades+1): to add to */
static void
sort_faces (Work         *work,
            const GArray *members,
            GEOSGeometry *faces,
            GPtrArray   **inked)
{
  const int n = GEOSGetNumGeometries_r (work->geos, faces);
  for (int i = 0; i < n && !is_over (&work->patience); i++)
    {
      const GEOSGeometry *face = GEOSGetGeometryN_r (work->geos, faces, i);
      GEOSGeometry *inside = GEOSPointOnSurface_r (work->geos, face);
      double x, y;
      if (inside != NULL && GEOSGeomGetX_r (work->geos, inside, &x) && GEOSGeomGetY_r (work->geos, inside, &y))
        {
          const guint shade = rhy_heap_shade (&work->heap, rhy_heap_colour_at (&work->heap, members, x, y));
          if (shade > 0)
            g_ptr_array_add (inked[shade], GEOSGeom_clone_r (work->geos, face));
        }
      if (inside != NULL)
        GEOSGeom_destroy_r (work->geos, inside);
    }
}

static void
free_geometry (Work         *work,
               GEOSGeometry *g)
{
  if (g != NULL)
    GEOSGeom_destroy_r (work->geos, g);
}

static void
free_areas (Work          *work,
            GEOSGeometry **areas)
{
  for (guint k = 0; k <= RHY_SHADES_MAX; k++)
    {
      free_geometry (work, areas[k]);
      areas[k] = NULL;
    }
}

/* @areas: (out) (array length=RHY_SHADES_MAX+1): the ink of each shade as polygons, NULL: none.
 * Returns: whether all went well. */
static gboolean
overlay (Work          *work,
         const GArray  *members,
         GEOSGeometry  *lines,
         GEOSGeometry **areas)
{
  GEOSGeometry *noded = GEOSUnaryUnionPrec_r (work->geos, lines, GRID * work->tolerance);
  const GEOSGeometry *one[] = { noded };
  GEOSGeometry *faces = noded != NULL ? GEOSPolygonize_r (work->geos, one, 1) : NULL;
  gboolean ok = faces != NULL;
  GPtrArray *inked[RHY_SHADES_MAX + 1] = { NULL };
  for (guint k = 1; k <= work->heap.shades; k++)
    inked[k] = g_ptr_array_new ();
  if (ok)
    sort_faces (work, members, faces, inked);
  for (guint k = 1; k <= work->heap.shades; k++)
    {
      GEOSGeometry *all = inked[k]->len > 0 ? collect (work, GEOS_MULTIPOLYGON, inked[k]) : NULL;
      areas[k] = all != NULL ? GEOSCoverageUnion_r (work->geos, all) : NULL;
      /* Faces as slim as the grid's step may lie over each other by its rounding. */
      if (all != NULL && areas[k] == NULL && !is_over (&work->patience))
        areas[k] = GEOSUnaryUnionPrec_r (work->geos, all, GRID * work->tolerance);
      ok = ok && (all == NULL || areas[k] != NULL);
      free_geometry (work, all);
      g_ptr_array_unref (inked[k]);
    }
  free_geometry (work, noded);
  free_geometry (work, faces);
  return ok;
}

/* ---- many layers ---- */

/* What a run of layers shows in one colour. Parts of a run do not overlap, but for bare ones under
 * ink where all is opaque: ink counts there. */
typedef struct
{
  RhyColour     colour;
  GEOSGeometry *area;           /* owned */
} Part;

/* Edges cross and are rounded on every level: a grid this much finer keeps that out of sight. */
static double
fine_grid (const Work *work)
{
  return 0.1 * GRID * work->tolerance;
}

static gboolean
is_same (RhyColour a,
         RhyColour b)
{
  return a.r == b.r && a.g == b.g && a.b == b.b && a.a == b.a;
}

/* Where polygons touch or collapse on the grid, lines and points come of it too: without those. Taken over. */
static GEOSGeometry *
only_areas (Work         *work,
            GEOSGeometry *g)
{
  if (g == NULL || GEOSGeomTypeId_r (work->geos, g) != GEOS_GEOMETRYCOLLECTION)
    return g;
  g_autoptr (GPtrArray) areas = g_ptr_array_new ();
  const int n = GEOSGetNumGeometries_r (work->geos, g);
  for (int i = 0; i < n; i++)
    {
      const GEOSGeometry *part = GEOSGetGeometryN_r (work->geos, g, i);
      if (GEOSGeomTypeId_r (work->geos, part) == GEOS_POLYGON)
        g_ptr_array_add (areas, GEOSGeom_clone_r (work->geos, part));
    }
  GEOSGeometry *all = collect (work, GEOS_MULTIPOLYGON, areas);
  free_geometry (work, g);
  return all;
}

/* @area is taken over. */
static void
add_part (Work         *work,
          GArray       *parts,
          RhyColour     colour,
          GEOSGeometry *area,
          gboolean     *ok)
{
  *ok = *ok && area != NULL;
  if (area == NULL || GEOSisEmpty_r (work->geos, area))
    {
      free_geometry (work, area);
      return;
    }
  for (guint i = 0; i < parts->len; i++)
    {
      Part *part = &g_array_index (parts, Part, i);
      if (!is_same (part->colour, colour))
        continue;
      GEOSGeometry *all = only_areas (work, GEOSUnionPrec_r (work->geos, part->area, area, fine_grid (work)));
      *ok = *ok && all != NULL;
      free_geometry (work, area);
      if (all != NULL)
        {
          free_geometry (work, part->area);
          part->area = all;
        }
      return;
    }
  const Part part = { colour, area };
  g_array_append_val (parts, part);
}

static void
take_away (Work         *work,
           Part         *part,
           const Part   *over,
           gboolean     *ok)
{
  GEOSGeometry *left = only_areas (work, GEOSDifferencePrec_r (work->geos, part->area, over->area, fine_grid (work)));
  *ok = *ok && left != NULL;
  if (left == NULL)
    return;
  free_geometry (work, part->area);
  part->area = left;
}

/* What shines through @over, which stands above all of @under: taken from both, added to @seen. */
static void
shine_through (Work         *work,
               GArray       *seen,
               GArray       *under,
               Part         *over,
               gboolean     *ok)
{
  const Part whole = { over->colour, GEOSGeom_clone_r (work->geos, over->area) };
  for (guint i = 0; i < under->len && *ok && whole.area != NULL; i++)
    {
      Part *part = &g_array_index (under, Part, i);
      GEOSGeometry *through = only_areas (work, GEOSIntersectionPrec_r (work->geos, part->area, whole.area, fine_grid (work)));
      if (through != NULL && !GEOSisEmpty_r (work->geos, through))
        {
          take_away (work, over, part, ok);
          take_away (work, part, &whole, ok);
        }
      add_part (work, seen, rhy_colour_over (over->colour, part->colour), through, ok);
    }
  *ok = *ok && whole.area != NULL;
  free_geometry (work, whole.area);
}

/* Both are taken over. */
static GArray *
lay_over (Work     *work,
          GArray   *under,
          GArray   *over,
          gboolean *ok)
{
  GArray *seen = g_array_new (FALSE, FALSE, sizeof (Part));
  for (guint k = 0; k < over->len && *ok; k++)
    {
      Part *o = &g_array_index (over, Part, k);
      if (o->colour.a < 1.0)
        shine_through (work, seen, under, o, ok);
    }
  for (guint k = 0; k < over->len && *ok; k++)
    {
      const Part *o = &g_array_index (over, Part, k);
      for (guint i = 0; i < under->len && *ok && o->colour.a >= 1.0; i++)
        {
          Part *part = &g_array_index (under, Part, i);
          const gboolean is_idle = work->heap.is_opaque && rhy_heap_shade (&work->heap, part->colour) == 0;
          if (!is_idle && !is_same (part->colour, o->colour))
            take_away (work, part, o, ok);
        }
    }
  GArray *both[] = { under, over };
  for (int b = 0; b < 2; b++)
    {
      for (guint i = 0; i < both[b]->len; i++)
        add_part (work, seen, g_array_index (both[b], Part, i).colour, g_array_index (both[b], Part, i).area, ok);
      g_array_unref (both[b]);
    }
  return seen;
}

/* A layer by itself: its fill rule, its clips. */
static GArray *
seen_of_layer (Work     *work,
               guint     i,
               gboolean *ok)
{
  RhyLayer *layer = rhy_heap_layer (&work->heap, i);
  GArray *seen = g_array_new (FALSE, FALSE, sizeof (Part));
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  g_autoptr (GArray) self = g_array_new (FALSE, FALSE, sizeof (guint));
  g_array_append_val (self, i);
  add_lines (work, parts, layer->path);
  for (gsize k = 0; k < layer->n_clips; k++)
    add_lines (work, parts, rhy_heap_clip (&work->heap, layer->clips[k])->path);
  if (parts->len == 0)
    return seen;
  GEOSGeometry *lines = collect (work, GEOS_MULTILINESTRING, parts);
  const RhyColour colour = layer->colour;
  layer->colour = (RhyColour) { 0.0, 0.0, 0.0, 1.0 };   /* where it is, whatever it is */
  GEOSGeometry *areas[RHY_SHADES_MAX + 1] = { NULL };
  *ok = lines != NULL && overlay (work, self, lines, areas) && *ok;
  layer->colour = colour;
  free_geometry (work, lines);
  if (areas[work->heap.shades] != NULL)
    add_part (work, seen, colour, g_steal_pointer (&areas[work->heap.shades]), ok);
  free_areas (work, areas);
  return seen;
}

/* Halves, so that what lies hidden is gone before much is laid over it. */
static GArray *
seen_of (Work         *work,
         const GArray *members,
         guint         from,
         guint         to,
         gboolean     *ok)
{
  if (!*ok || from == to || is_over (&work->patience))
    return g_array_new (FALSE, FALSE, sizeof (Part));
  if (to - from == 1)
    return seen_of_layer (work, g_array_index (members, guint, from), ok);
  const guint middle = from + (to - from) / 2;
  GArray *under = seen_of (work, members, from, middle, ok);
  GArray *over = seen_of (work, members, middle, to, ok);
  return lay_over (work, under, over, ok);
}

/* As overlay(); gaps are closed. */
static gboolean
overlay_by_halves (Work          *work,
                   const GArray  *members,
                   GEOSGeometry **areas)
{
  gboolean ok = TRUE;
  g_autoptr (GArray) seen = seen_of (work, members, 0, members->len, &ok);
  for (guint k = 0; k <= work->heap.shades; k++)
    {
      g_autoptr (GPtrArray) parts = g_ptr_array_new ();
      for (guint i = 0; i < seen->len; i++)
        {
          Part *part = &g_array_index (seen, Part, i);
          if (part->area != NULL && rhy_heap_shade (&work->heap, part->colour) == k)
            g_ptr_array_add (parts, g_steal_pointer (&part->area));
        }
      GEOSGeometry *all = parts->len > 0 ? collect (work, GEOS_GEOMETRYCOLLECTION, parts) : NULL;
      if (all != NULL && k > 0)
        areas[k] = GEOSUnaryUnionPrec_r (work->geos, all, GRID * work->tolerance);
      ok = ok && (all == NULL || k == 0 || areas[k] != NULL);
      free_geometry (work, all);
    }
  return ok;
}

/* @path is taken over. */
static void
add_made (Work       *work,
          guint       shade,
          RhyPath    *path,
          RhyFillRule rule)
{
  const Made made = { shade, path, rule };
  g_array_append_val (work->made, made);
}

static void
clear_made (gpointer data)
{
  rhy_path_unref (((Made *) data)->path);
}

/* Shade by shade, the lightest first. */
static void
add_all_made (const Work        *work,
              RhyArtworkBuilder *builder)
{
  for (guint k = 1; k <= work->heap.shades; k++)
    for (guint i = 0; i < work->made->len; i++)
      {
        const Made *made = &g_array_index (work->made, Made, i);
        const RhyShape shape = { .path = made->path, .rule = made->rule, .has_fill = TRUE,
                                 .fill = rhy_shade_colour (k, work->heap.shades), .pen.matrix = RHY_AFFINE_IDENTITY };
        if (made->shade != k)
          continue;
        rhy_path_ref (made->path);
        rhy_artwork_builder_add_shape (builder, &shape);
      }
}

static gboolean
resolve_group (Work         *work,
               const GArray *members,
               GError      **error)
{
  const RhyLayer *first = rhy_heap_layer (&work->heap, g_array_index (members, guint, 0));
  g_autoptr (GPtrArray) parts = g_ptr_array_new ();
  g_autoptr (GHashTable) clips = g_hash_table_new (NULL, NULL);
  for (guint i = 0; i < members->len; i++)
    {
      const RhyLayer *layer = rhy_heap_layer (&work->heap, g_array_index (members, guint, i));
      add_lines (work, parts, layer->path);
      for (gsize k = 0; k < layer->n_clips; k++)
        if (g_hash_table_add (clips, GUINT_TO_POINTER (layer->clips[k] + 1)))
          add_lines (work, parts, rhy_heap_clip (&work->heap, layer->clips[k])->path);
    }
  if (parts->len == 0)
    return TRUE;

  const guint n_lines = parts->len;
  GEOSGeometry *lines = collect (work, GEOS_MULTILINESTRING, parts);
  const guint alone = members->len == 1 && first->n_clips == 0 && !first->is_stroke ? rhy_heap_shade (&work->heap, first->colour) : 0;
  const gboolean is_simple = alone > 0 && lines != NULL && GEOSisSimple_r (work->geos, lines) == 1;
  GEOSGeometry *areas[RHY_SHADES_MAX + 1] = { NULL };
  const gboolean ok = lines != NULL && (members->len < MANY ? overlay (work, members, lines, areas)
                                                            : overlay_by_halves (work, members, areas));
  free_geometry (work, lines);
  if (!ok)
    g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY, "shapes that overlap cannot be united: %s",
                 work->trouble[0] != '\0' ? work->trouble : "no reason given");

  for (guint k = 1; k <= work->heap.shades && ok; k++)
    {
      if (areas[k] == NULL)
        continue;
      g_autoptr (RhyPath) chords = rhy_path_new ();
      const guint n_rings = append_polygons (work, chords, areas[k]);
      if (is_simple && n_rings == n_lines)
        add_made (work, k, rhy_path_ref (first->path), first->rule);
      else if (chords->n_verbs > 0)
        add_made (work, k, rhy_path_lightened (chords, REFIT * work->tolerance, NULL), RHY_FILL_EVENODD);
    }
  free_areas (work, areas);
  return ok;
}

static gboolean
resolve_groups (Work    *work,
                GError **error)
{
  const guint n = work->heap.layers->len;
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
    if (is_over (&work->patience) || !resolve_group (work, groups->pdata[i], error))
      return FALSE;
  return TRUE;
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
  g_return_val_if_fail (options->tolerance_mm > 0.0 && options->seconds > 0.0 && options->shades <= RHY_SHADES_MAX, NULL);

  const double seconds = MIN (options->seconds, 86400.0);
  Work work = { .geos = GEOS_init_r (), .tolerance = options->tolerance_mm,
                .patience = patience_new (cancellable, seconds),
                .made = g_array_new (FALSE, FALSE, sizeof (Made)) };
  GEOSContext_setErrorMessageHandler_r (work.geos, remember, &work);
  g_array_set_clear_func (work.made, clear_made);
  be_patient (&work.patience);

  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  double width, height;
  rhy_artwork_get_page (self, &width, &height);
  rhy_artwork_builder_set_size (builder, width, height, rhy_artwork_get_size_source (self));

  gboolean ok = rhy_heap_init (&work.heap, self, options, GRID * work.tolerance, CHORDS * work.tolerance, error);
  if (ok && !is_over (&work.patience))
    {
      find_groups (&work);
      ok = resolve_groups (&work, error);
    }
  be_patient (NULL);
  if (is_over (&work.patience))
    {
      g_clear_error (error);
      set_impatient (&work, options, error);
      ok = FALSE;
    }
  if (ok)
    {
      add_all_made (&work, builder);
      rhy_heap_add_pictures (&work.heap, builder);
      for (gsize i = 0; i < rhy_artwork_get_n_pictures (self); i++)
        rhy_artwork_builder_add_picture (builder, *rhy_artwork_get_picture (self, i));
      rhy_heap_add_notes (&work.heap, options->shades, builder);
    }
  rhy_heap_clear (&work.heap);
  g_array_unref (work.made);
  GEOS_finish_r (work.geos);
  if (!ok)
    return NULL;
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}
