/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/light.h>

#include <math.h>
#include <string.h>

#include "../shape/parallel.h"
#include "arc.h"

/* A join that turns by more than this is a corner and stays one. */
#define CORNER_COS 0.8660254037844387   /* cos 30 degrees */

/* What the fit may use at its samples; every node and edge is checked after. */
#define FIT_PART 0.85

/* Subpaths of fewer segments have nothing to give. */
#define FEWEST 8

/* Longer ones are tried first, here and there and four segments at a time, so that drawings with
 * nothing to merge cost next to nothing. */
#define PROBED 32
#define PROBE_STEP 4
#define PROBES_MAX 16

typedef struct
{
  RhySegment *segments;
  gsize       n;
  gboolean    closed;           /* ends where it starts, by a CLOSE */
  double     *along;            /* n + 1: length up to each node, by control polygons */
  RhyPoint   *leave;            /* n: unit tangent at the start of segment i */
  RhyPoint   *arrive;           /* n: unit tangent at its end */
  gsize       corner;           /* the first one past the node last asked about */
} Run;

static RhyPoint
end_of (const RhySegment *g)
{
  return g->verb == RHY_PATH_CUBIC ? g->p[3] : g->p[1];
}

static RhyPoint
point_on (const RhySegment *g,
          double            t)
{
  const RhyPoint *p = g->p;
  const double m = 1.0 - t;
  if (g->verb != RHY_PATH_CUBIC)
    return (RhyPoint) { m * p[0].x + t * p[1].x, m * p[0].y + t * p[1].y };
  return (RhyPoint) { m * m * (m * p[0].x + 3.0 * t * p[1].x) + t * t * (3.0 * m * p[2].x + t * p[3].x),
                      m * m * (m * p[0].y + 3.0 * t * p[1].y) + t * t * (3.0 * m * p[2].y + t * p[3].y) };
}

static double
size_of (const RhySegment *g)
{
  double size = rhy_point_length (rhy_point_sum (g->p[1], -1.0, g->p[0]));
  for (int i = 2; g->verb == RHY_PATH_CUBIC && i < 4; i++)
    size += rhy_point_length (rhy_point_sum (g->p[i], -1.0, g->p[i - 1]));
  return size;
}

static RhyPoint
unit (RhyPoint p)
{
  const double l = rhy_point_length (p);
  return l > 0.0 ? (RhyPoint) { p.x / l, p.y / l } : (RhyPoint) { 0.0, 0.0 };
}

/* Direction at an end: towards the first control point that is elsewhere. */
static RhyPoint
end_direction (const RhySegment *g,
               gboolean          at_start)
{
  const int last = g->verb == RHY_PATH_CUBIC ? 3 : 1;
  for (int i = 1; i <= last; i++)
    {
      const RhyPoint d = at_start ? rhy_point_sum (g->p[i], -1.0, g->p[0])
                                  : rhy_point_sum (g->p[last], -1.0, g->p[last - i]);
      if (rhy_point_length (d) > 0.0)
        return unit (d);
    }
  return (RhyPoint) { 0.0, 0.0 };
}

/* Where two straight edges of a polyline meet smoothly, the curve they stand for
 * runs along the tangent of the circle through the three nodes: the edges'
 * directions, each weighed by the other edge's length. Where a curve meets, its
 * own tangent is true.
 */
static void
share_tangent (Run  *run,
               gsize before,
               gsize after)
{
  const RhyPoint a = run->arrive[before];
  const RhyPoint b = run->leave[after];
  if (!(a.x * b.x + a.y * b.y > CORNER_COS))
    return;
  const gboolean line_a = run->segments[before].verb != RHY_PATH_CUBIC;
  const gboolean line_b = run->segments[after].verb != RHY_PATH_CUBIC;
  double wa = run->along[after + 1] - run->along[after];
  double wb = run->along[before + 1] - run->along[before];
  if (line_a != line_b)
    {
      wa = line_a ? 0.0 : 1.0;
      wb = line_b ? 0.0 : 1.0;
    }
  const RhyPoint shared = unit ((RhyPoint) { wa * a.x + wb * b.x, wa * a.y + wb * b.y });
  run->arrive[before] = shared;
  run->leave[after] = shared;
}

static void
prepare (Run *run)
{
  run->along = g_new0 (double, run->n + 1);
  run->leave = g_new (RhyPoint, run->n);
  run->arrive = g_new (RhyPoint, run->n);
  for (gsize i = 0; i < run->n; i++)
    {
      run->along[i + 1] = run->along[i] + size_of (&run->segments[i]);
      run->leave[i] = end_direction (&run->segments[i], TRUE);
      run->arrive[i] = end_direction (&run->segments[i], FALSE);
    }
  for (gsize i = 0; i + 1 < run->n; i++)
    share_tangent (run, i, i + 1);
  if (run->closed && run->n > 1)
    share_tangent (run, run->n - 1, 0);
}

static gboolean
is_corner (const Run *run,
           gsize      node)
{
  const RhyPoint a = run->arrive[node - 1];
  const RhyPoint b = run->leave[node];
  return !(a.x * b.x + a.y * b.y > CORNER_COS);
}

/* The point a given length along segments from..to. */
static RhyPoint
point_at_length (const Run *run,
                 gsize      from,
                 gsize      to,
                 double     length)
{
  gsize low = from;
  gsize high = to;
  while (high - low > 1)
    {
      const gsize mid = (low + high) / 2;
      if (run->along[mid] <= length)
        low = mid;
      else
        high = mid;
    }
  const double size = run->along[low + 1] - run->along[low];
  return point_on (&run->segments[low], size > 0.0 ? CLAMP ((length - run->along[low]) / size, 0.0, 1.0) : 0.0);
}

static gboolean
lines_are_straight (const Run *run,
                    gsize      from,
                    gsize      to,
                    double     tolerance)
{
  const RhyPoint a = run->segments[from].p[0];
  const RhyPoint d = rhy_point_sum (end_of (&run->segments[to - 1]), -1.0, a);
  const double dd = d.x * d.x + d.y * d.y;
  double last = 0.0;
  for (gsize i = from; i < to; i++)
    {
      if (run->segments[i].verb == RHY_PATH_CUBIC)
        return FALSE;
      const RhyPoint e = rhy_point_sum (end_of (&run->segments[i]), -1.0, a);
      const double f = dd > 0.0 ? (e.x * d.x + e.y * d.y) / dd : 0.0;
      if (!(f >= last) || rhy_point_length (rhy_point_sum (e, -f, d)) > tolerance)
        return FALSE;
      last = f;
    }
  return TRUE;
}

/* Whether the arc passes within a tolerance of @q near *@t, which is moved there: no farther than
 * that takes, since where it is nearest does not matter. */
static gboolean
passes_by (const RhyArc *arc,
           RhyPoint      q,
           double        tolerance,
           double       *t)
{
  for (int step = 0;; step++)
    {
      const RhyPoint e = rhy_point_sum (q, -1.0, rhy_arc_at (arc, *t));
      if (e.x * e.x + e.y * e.y <= tolerance * tolerance)
        return TRUE;
      if (step == 3 || !isfinite (e.x * e.y))
        return FALSE;
      *t = rhy_arc_nearest (arc, q, *t);
    }
}

/* Every node, and points of every edge no farther apart than a hundredth of the
 * run, must lie on the arc, and must come in order with no gap: then the arc
 * between two of them is as near as they are.
 */
static gboolean
arc_holds (const Run    *run,
           gsize         from,
           gsize         to,
           const RhyArc *arc,
           double        tolerance)
{
  const RhyPoint origin = run->segments[from].p[0];
  const double total = run->along[to] - run->along[from];
  double last = 0.0;
  for (gsize i = from; i < to; i++)
    {
      const double size = run->along[i + 1] - run->along[i];
      const int steps = (int) CLAMP (ceil (100.0 * size / total), 2.0, 100.0);
      for (int k = 1; k <= steps; k++)
        {
          const RhyPoint q = rhy_point_sum (point_on (&run->segments[i], (double) k / steps), -1.0, origin);
          double t = MIN (last + size / steps / total, 1.0);
          if (!passes_by (arc, q, tolerance, &t) || t < last - 1e-3 || t > last + 0.1)
            return FALSE;
          last = MAX (last, t);
        }
    }
  return TRUE;
}

/* In the arc's space, from the start of the stretch. */
static RhyPoint
sample (const Run *run,
        gsize      from,
        gsize      to,
        double     part)
{
  const double length = run->along[from] + (run->along[to] - run->along[from]) * part;
  return rhy_point_sum (point_at_length (run, from, to, length), -1.0, run->segments[from].p[0]);
}

static gboolean
fit_run (const Run *run,
         gsize      from,
         gsize      to,
         double     tolerance,
         RhyArc    *arc)
{
  const RhyPoint origin = run->segments[from].p[0];
  const double total = run->along[to] - run->along[from];
  const RhyPoint t0 = run->leave[from];
  const RhyPoint t1 = run->arrive[to - 1];
  if (!(total > 0.0) || (t0.x == 0.0 && t0.y == 0.0) || (t1.x == 0.0 && t1.y == 0.0))
    return FALSE;

  *arc = (RhyArc) { .end = rhy_point_sum (end_of (&run->segments[to - 1]), -1.0, origin),
                    .t0 = t0, .t1 = t1, .a = total / 3.0, .b = total / 3.0 };

  /* Most stretches are no one arc, which a few samples say. Their arms are where all of them begin. */
  static const double few[] = { 0.125, 0.25, 0.5, 0.75, 0.875 };
  enum { N = 15, FEW = G_N_ELEMENTS (few) };
  RhyPoint q[N];
  double t[N];
  for (int i = 0; i < FEW; i++)
    {
      t[i] = few[i];
      q[i] = sample (run, from, to, t[i]);
    }
  if (rhy_arc_fit (arc, q, NULL, FEW, t, tolerance) > 2.0 * tolerance)
    return FALSE;

  for (int i = 0; i < N; i++)
    {
      t[i] = (i + 1.0) / (N + 1.0);
      q[i] = sample (run, from, to, t[i]);
    }
  /* Aim low: samples of a polyline say little about what lies between them. */
  if (rhy_arc_fit (arc, q, NULL, N, t, 0.5 * tolerance) > FIT_PART * tolerance || !rhy_arc_goes_forwards (t, N))
    return FALSE;
  return arc_holds (run, from, to, arc, tolerance);
}

typedef struct
{
  gsize    to;
  gboolean line;
  RhyArc   arc;
} Merge;

static gboolean
try_merge (const Run *run,
           gsize      from,
           gsize      to,
           double     tolerance,
           Merge     *merge)
{
  Merge m = { .to = to };
  m.line = lines_are_straight (run, from, to, 0.5 * tolerance);
  if (!m.line && !fit_run (run, from, to, tolerance, &m.arc))
    return FALSE;
  *merge = m;
  return TRUE;
}

/* The longest run from a node, by doubling and then halving the doubt: the work is
 * proportional to what is merged. */
static gboolean
longest_merge (Run    *run,
               gsize   from,
               double  tolerance,
               Merge  *merge)
{
  /* Looked for once: a smooth run of a million segments is merged piece by piece. */
  if (run->corner <= from)
    for (run->corner = from + 1; run->corner < run->n && !is_corner (run, run->corner);)
      run->corner++;
  const gsize limit = run->corner;

  gsize good = from + 1;
  gsize bad = limit + 1;
  for (gsize step = 2; good < limit; step *= 2)
    {
      const gsize to = MIN (from + step, limit);
      if (!try_merge (run, from, to, tolerance, merge))
        {
          bad = to;
          break;
        }
      good = to;
    }
  while (bad - good > 1 && good < limit && bad <= limit)
    {
      const gsize mid = (good + bad) / 2;
      if (try_merge (run, from, mid, tolerance, merge))
        good = mid;
      else
        bad = mid;
    }
  return good > from + 1;
}

static void
copy_segment (RhyPath          *path,
              const RhySegment *g)
{
  if (g->verb == RHY_PATH_CUBIC)
    rhy_path_cubic_to (path, g->p[1].x, g->p[1].y, g->p[2].x, g->p[2].y, g->p[3].x, g->p[3].y);
  else
    rhy_path_line_to (path, g->p[1].x, g->p[1].y);
}

/* Whether a run's neighbours can be merged at all: half of the segments can go only if
 * many a stretch of four becomes one. */
static gboolean
is_dense (const Run *run,
          double     tolerance)
{
  if (run->n < PROBED)
    return TRUE;
  const gsize probes = MIN (run->n / PROBED * 4, PROBES_MAX);
  gsize merged = 0;
  for (gsize k = 0; k < probes; k++)
    {
      const gsize from = (run->n - PROBE_STEP) * k / probes;
      Merge merge;
      gboolean smooth = TRUE;
      for (gsize i = from + 1; i < from + PROBE_STEP && smooth; i++)
        smooth = !is_corner (run, i);
      merged += smooth && try_merge (run, from, from + PROBE_STEP, tolerance, &merge);
    }
  return 4 * merged >= probes;
}

/* Appends the run, merged; returns how many segments that took. */
static gsize
append_merged (Run     *run,
               double   tolerance,
               RhyPath *path)
{
  gsize count = 0;
  for (gsize i = 0; i < run->n; count++)
    {
      Merge merge;
      if (!longest_merge (run, i, tolerance, &merge))
        {
          copy_segment (path, &run->segments[i++]);
          continue;
        }
      const RhyPoint origin = run->segments[i].p[0];
      const RhyPoint end = end_of (&run->segments[merge.to - 1]);
      const RhyPoint h0 = rhy_point_sum (origin, merge.arc.a, merge.arc.t0);
      const RhyPoint h1 = rhy_point_sum (end, -merge.arc.b, merge.arc.t1);
      if (merge.line)
        rhy_path_line_to (path, end.x, end.y);
      else
        rhy_path_cubic_to (path, h0.x, h0.y, h1.x, h1.y, end.x, end.y);
      i = merge.to;
    }
  return count;
}

/* A straight last stroke is the close's own. */
static void
close_run (const Run *run,
           RhyPath   *path)
{
  const RhyPoint start = run->segments[0].p[0];
  const RhyPoint last = path->points[path->n_points - 1];
  if (path->verbs[path->n_verbs - 1] == RHY_PATH_LINE && last.x == start.x && last.y == start.y)
    {
      path->n_verbs--;
      path->n_points--;
    }
  rhy_path_close (path);
}

/* One subpath of @source, verbs [v0, v1), points from @point, to the lighter path. */
static void
lighten_subpath (const RhyPath  *source,
                 gsize           v0,
                 gsize           v1,
                 gsize           p0,
                 gsize           p1,
                 double          tolerance,
                 RhyPath        *path,
                 RhyLightReport *report)
{
  /* A view of the subpath alone, for the iterator. */
  const RhyPath part = { .verbs = source->verbs + v0, .points = source->points + p0,
                         .n_verbs = v1 - v0, .n_points = p1 - p0 };
  const gsize n = rhy_path_count_segments (&part);
  const gsize verbs = path->n_verbs;
  const gsize points = path->n_points;
  gsize merged = n;
  report->segments_in += n;

  /* A path that goes on after a close without a move is rare, and left alone. */
  const gboolean plain = memchr (part.verbs, RHY_PATH_CLOSE, part.n_verbs - 1) == NULL;
  Run run = { 0 };
  gboolean dense = FALSE;
  if (plain && n >= FEWEST)
    {
      run = (Run) { .segments = g_new (RhySegment, n), .closed = source->verbs[v1 - 1] == RHY_PATH_CLOSE };
      RhyPathIter iter;
      rhy_path_iter_init (&iter, &part);
      while (rhy_path_iter_next (&iter, &run.segments[run.n]))
        run.n++;
      prepare (&run);
      dense = is_dense (&run, tolerance);
    }
  if (dense)
    {
      rhy_path_move_to (path, run.segments[0].p[0].x, run.segments[0].p[0].y);
      merged = append_merged (&run, tolerance, path);
      if (run.closed)
        close_run (&run, path);
    }
  g_free (run.segments);
  g_free (run.along);
  g_free (run.leave);
  g_free (run.arrive);

  if (dense && 2 * merged <= n)
    report->subpaths_merged++;
  else
    {
      /* As it was, to the last bit. */
      path->n_verbs = verbs;
      path->n_points = points;
      rhy_path_append (path, &part);
      merged = n;
    }
  report->segments_out += merged;
}

RhyPath *
rhy_path_lightened (const RhyPath  *self,
                    double          tolerance,
                    RhyLightReport *report)
{
  g_return_val_if_fail (self != NULL && tolerance > 0.0, NULL);

  RhyLightReport unwanted = { 0 };
  if (report == NULL)
    report = &unwanted;

  static const guint8 points_of[] = { [RHY_PATH_MOVE] = 1, [RHY_PATH_LINE] = 1, [RHY_PATH_CUBIC] = 3, [RHY_PATH_CLOSE] = 0 };
  RhyPath *path = rhy_path_new ();
  gsize v0 = 0, p0 = 0, p = 0;
  for (gsize v = 0; v <= self->n_verbs; v++)
    {
      if (v > v0 && (v == self->n_verbs || self->verbs[v] == RHY_PATH_MOVE))
        {
          lighten_subpath (self, v0, v, p0, p, tolerance, path, report);
          v0 = v;
          p0 = p;
        }
      if (v < self->n_verbs)
        p += points_of[self->verbs[v]];
    }
  return path;
}

typedef struct
{
  RhyArtwork     *artwork;
  double          tolerance_mm;
  RhyPath       **paths;
  RhyLightReport *reports;
} Lightening;

static void
lighten_one (guint    i,
             gpointer data)
{
  Lightening *work = data;
  work->paths[i] = rhy_path_lightened (rhy_artwork_get_shape (work->artwork, i)->path, work->tolerance_mm, &work->reports[i]);
}

RhyArtwork *
rhy_artwork_lightened (RhyArtwork     *self,
                       double          tolerance_mm,
                       RhyLightReport *report)
{
  g_return_val_if_fail (self != NULL && tolerance_mm > 0.0, NULL);

  const guint n = (guint) rhy_artwork_get_n_shapes (self);
  g_autoptr (GPtrArray) paths = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_path_unref);
  g_autofree RhyLightReport *reports = g_new0 (RhyLightReport, n);
  g_ptr_array_set_size (paths, (int) n);
  Lightening work = { self, tolerance_mm, (RhyPath **) paths->pdata, reports };
  rhy_parallel (n, 0, lighten_one, &work);

  RhyLightReport own = { 0 };
  for (guint i = 0; i < n; i++)
    {
      own.segments_in += reports[i].segments_in;
      own.segments_out += reports[i].segments_out;
      own.subpaths_merged += reports[i].subpaths_merged;
    }
  if (report != NULL)
    {
      report->segments_in += own.segments_in;
      report->segments_out += own.segments_out;
      report->subpaths_merged += own.subpaths_merged;
    }
  if (own.subpaths_merged == 0)
    return rhy_artwork_ref (self);
  return rhy_artwork_with_paths (self, (RhyPath *const *) paths->pdata);
}
