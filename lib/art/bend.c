/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/bend.h>

#include <math.h>

#include "arc.h"

struct _RhyBender
{
  RhyWall  *wall;
  RhyMap   *lay;
  RhyMap   *out;
  double    tolerance_mm;
  gboolean  is_affine;
  RhyAffine lay_affine;
  RhyAffine affine;
};

/* A line counts as straight when its image leaves the chord by less than this
 * part of the tolerance: the file is lighter, and the bend at its ends stays
 * invisible.
 */
#define STRAIGHT_PART 0.1

/* What the fit may use of the tolerance at its samples; the rest is for what lies
 * between them (an error curve with a handful of lobes, three samples each).
 */
#define FIT_PART 0.92
#define CHECK_PART 0.98

enum { MAX_SAMPLES = 15, MAX_DEPTH = 18, MAX_PARTS = 6 };

typedef struct
{
  RhyPoint  at;               /* output space */
  RhyMetric metric;           /* wall lengths (along, around) of an error there */
} Sample;

RhyBender *
rhy_bender_new (RhyWall *wall,
                RhyMap  *lay,
                RhyMap  *out,
                double   tolerance_mm)
{
  g_return_val_if_fail (wall != NULL && lay != NULL && out != NULL, NULL);
  g_return_val_if_fail (rhy_map_get_from (lay) == RHY_SPACE_ART && rhy_map_get_to (lay) == RHY_SPACE_WALL
                        && rhy_map_get_from (out) == RHY_SPACE_WALL && tolerance_mm > 0.0, NULL);

  RhyBender *self = g_new0 (RhyBender, 1);
  self->wall = rhy_wall_ref (wall);
  self->lay = rhy_map_ref (lay);
  self->out = rhy_map_ref (out);
  self->tolerance_mm = tolerance_mm;
  RhyAffine out_affine;
  self->is_affine = rhy_map_is_affine (lay, &self->lay_affine) && rhy_map_is_affine (out, &out_affine);
  if (self->is_affine)
    self->affine = rhy_affine_then (self->lay_affine, out_affine);
  return self;
}

void
rhy_bender_unref (RhyBender *self)
{
  g_return_if_fail (self != NULL);

  rhy_wall_unref (self->wall);
  rhy_map_unref (self->lay);
  rhy_map_unref (self->out);
  g_free (self);
}

static RhyPoint
source_at (const RhySegment *g,
           double            t)
{
  const RhyPoint *p = g->p;
  const double m = 1.0 - t;
  if (g->verb == RHY_PATH_LINE)
    return (RhyPoint) { m * p[0].x + t * p[1].x, m * p[0].y + t * p[1].y };
  return (RhyPoint) { m * m * (m * p[0].x + 3.0 * t * p[1].x) + t * t * (3.0 * m * p[2].x + t * p[3].x),
                      m * m * (m * p[0].y + 3.0 * t * p[1].y) + t * t * (3.0 * m * p[2].y + t * p[3].y) };
}

static RhyPoint
source_rate (const RhySegment *g,
             double            t)
{
  const RhyPoint *p = g->p;
  if (g->verb == RHY_PATH_LINE)
    return rhy_point_sum (p[1], -1.0, p[0]);
  const double m = 1.0 - t;
  return (RhyPoint) {
    3.0 * (m * m * (p[1].x - p[0].x) + 2.0 * m * t * (p[2].x - p[1].x) + t * t * (p[3].x - p[2].x)),
    3.0 * (m * m * (p[1].y - p[0].y) + 2.0 * m * t * (p[2].y - p[1].y) + t * t * (p[3].y - p[2].y)),
  };
}

/* The direction of the source at t, for a fit on the side of @toward (+1: the
 * segment goes on from t, -1: it ends there). Where the rate is 0 (a handle on
 * its end, a cusp) the direction is the limit from that side.
 */
static RhyPoint
source_direction (const RhySegment *g,
                  double            t,
                  double            toward,
                  double            size)
{
  RhyPoint d = source_rate (g, t);
  if (rhy_point_length (d) > 1e-7 * size)
    return d;
  const RhyPoint *p = g->p;
  if (t == 0.0 || t == 1.0)
    {
      d = t == 0.0 ? rhy_point_sum (p[2], -1.0, p[0]) : rhy_point_sum (p[3], -1.0, p[1]);
      return rhy_point_length (d) > 1e-7 * size ? d : rhy_point_sum (p[3], -1.0, p[0]);
    }
  const RhyPoint step = rhy_point_sum (source_at (g, t + 1e-5 * toward), -1.0, source_at (g, t));
  return (RhyPoint) { toward * step.x, toward * step.y };
}

static gboolean
outside (RhyPoint p,
         GError **error)
{
  g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
               "ink at %.4g mm right and %.4g mm up of the artwork's anchor is off the wall: "
               "make the artwork smaller or move it", p.x, p.y);
  return FALSE;
}

/* Points of the source, through both maps, with the wall's metric at each. */
static gboolean
take_samples (const RhyBender  *self,
              const RhySegment *g,
              const double     *t,
              gsize             n,
              Sample           *samples,
              GError          **error)
{
  double x[MAX_SAMPLES + 2], y[MAX_SAMPLES + 2], s[MAX_SAMPLES + 2];
  RhyJacobian j[MAX_SAMPLES + 2];
  guint8 valid[MAX_SAMPLES + 2];

  for (gsize i = 0; i < n; i++)
    {
      const RhyPoint p = source_at (g, t[i]);
      x[i] = p.x;
      y[i] = p.y;
    }
  gboolean missing = rhy_map_forward (self->lay, n, x, y, x, y, valid) != 0;
  if (!missing)
    {
      for (gsize i = 0; i < n; i++)
        s[i] = x[i];
      missing = rhy_map_jacobian (self->out, n, x, y, x, y, j, valid) != 0;
    }
  for (gsize i = 0; missing && i < n; i++)
    if (!valid[i])
      return outside (source_at (g, t[i]), error);

  for (gsize i = 0; i < n; i++)
    {
      const double r = rhy_wall_at (self->wall, s[i]).r_mm;
      const RhyMetric back = rhy_metric_inverse ((RhyMetric) { j[i].xx, j[i].xy, j[i].yx, j[i].yy });
      samples[i].at = (RhyPoint) { x[i], y[i] };
      samples[i].metric = (RhyMetric) { back.xx, back.xy, r * back.yx, r * back.yy };
    }
  return TRUE;
}

/* The derivative of the whole map along direction @d of the source at @p. */
static RhyPoint
image_direction (const RhyBender *self,
                 RhyPoint         p,
                 RhyPoint         d)
{
  RhyJacobian a, b;
  double x, y;
  rhy_map_jacobian (self->lay, 1, &p.x, &p.y, &x, &y, &a, NULL);
  rhy_map_jacobian (self->out, 1, &x, &y, &x, &y, &b, NULL);
  const RhyPoint on_wall = { a.xx * d.x + a.xy * d.y, a.yx * d.x + a.yy * d.y };
  return (RhyPoint) { b.xx * on_wall.x + b.xy * on_wall.y, b.yx * on_wall.x + b.yy * on_wall.y };
}

/* The fit's plane: wall mm at the middle of the segment, from its start. */
typedef struct
{
  RhyPoint  origin;
  RhyMetric to_plane;
  RhyMetric from_plane;
} Plane;

static double
error_of (const Plane  *plane,
          const Sample *sample,
          RhyPoint      e)
{
  return rhy_point_length (rhy_metric_apply (sample->metric, rhy_metric_apply (plane->from_plane, e)));
}

/* Greatest error between the samples: at the true curve's points half way. */
static gboolean
check_between (const RhyBender  *self,
               const RhySegment *g,
               double            t0,
               double            t1,
               const RhyArc        *arc,
               const Plane      *plane,
               gsize             n,
               double           *worst,
               GError          **error)
{
  double t[MAX_SAMPLES + 1];
  Sample samples[MAX_SAMPLES + 1];
  for (gsize i = 0; i <= n; i++)
    t[i] = t0 + (t1 - t0) * ((double) i + 0.5) / ((double) n + 1.0);
  if (!take_samples (self, g, t, n + 1, samples, error))
    return FALSE;
  for (gsize i = 0; i <= n; i++)
    {
      const RhyPoint q = rhy_metric_apply (plane->to_plane, rhy_point_sum (samples[i].at, -1.0, plane->origin));
      double place = ((double) i + 0.5) / ((double) n + 1.0);
      for (int k = 0; k < 4; k++)
        place = rhy_arc_nearest (arc, q, place);
      *worst = MAX (*worst, error_of (plane, &samples[i], rhy_point_sum (rhy_arc_at (arc, place), -1.0, q)));
    }
  return TRUE;
}

static gsize
samples_for (double length_mm)
{
  /* The map's own bending shows over centimetres: short segments need few. */
  return length_mm < 4.0 ? 7 : length_mm < 15.0 ? 11 : MAX_SAMPLES;
}

static double
chord_error (const Sample *samples,
             gsize         n,
             RhyPoint      from,
             RhyPoint      to)
{
  const RhyPoint d = rhy_point_sum (to, -1.0, from);
  const double dd = d.x * d.x + d.y * d.y;
  double worst = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      const RhyPoint e = rhy_point_sum (samples[i].at, -1.0, from);
      const double f = dd > 0.0 ? CLAMP ((e.x * d.x + e.y * d.y) / dd, 0.0, 1.0) : 0.0;
      worst = MAX (worst, rhy_point_length (rhy_metric_apply (samples[i].metric, rhy_point_sum (e, -f, d))));
    }
  return worst;
}

static gboolean
bend_part (const RhyBender  *self,
           const RhySegment *g,
           double            t0,
           double            t1,
           double            size,
           int               depth,
           RhyPath          *path,
           RhyBendReport    *report,
           GError          **error)
{
  const double tolerance = self->tolerance_mm;
  const gsize n = samples_for (size * (t1 - t0));
  double t[MAX_SAMPLES + 2];
  Sample samples[MAX_SAMPLES + 2];
  for (gsize i = 0; i < n + 2; i++)
    t[i] = i == n + 1 ? t1 : t0 + (t1 - t0) * (double) i / ((double) n + 1.0);
  if (!take_samples (self, g, t, n + 2, samples, error))
    return FALSE;

  const RhyPoint from = samples[0].at;
  const RhyPoint to = samples[n + 1].at;
  if (g->verb == RHY_PATH_LINE || depth >= MAX_DEPTH)
    {
      const double straight = chord_error (samples + 1, n, from, to);
      if (straight <= (depth >= MAX_DEPTH ? 1.0 : STRAIGHT_PART) * tolerance)
        {
          rhy_path_line_to (path, to.x, to.y);
          report->segments_out++;
          report->error_max_mm = MAX (report->error_max_mm, straight);
          return TRUE;
        }
      if (depth >= MAX_DEPTH)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_NO_CONVERGENCE,
                       "a curve near %.4g, %.4g mm of the artwork cannot be followed within %g mm",
                       source_at (g, t0).x, source_at (g, t0).y, tolerance);
          return FALSE;
        }
    }

  const RhyMetric middle = samples[(n + 1) / 2].metric;
  const Plane plane = { from, middle, rhy_metric_inverse (middle) };
  const RhyPoint d0 = rhy_metric_apply (middle, image_direction (self, source_at (g, t0), source_direction (g, t0, 1.0, size)));
  const RhyPoint d1 = rhy_metric_apply (middle, image_direction (self, source_at (g, t1), source_direction (g, t1, -1.0, size)));
  const double l0 = rhy_point_length (d0);
  const double l1 = rhy_point_length (d1);
  const gboolean rests0 = !(rhy_point_length (source_rate (g, t0)) > 1e-7 * size);
  const gboolean rests1 = !(rhy_point_length (source_rate (g, t1)) > 1e-7 * size);
  RhyArc arc = { .end = rhy_metric_apply (middle, rhy_point_sum (to, -1.0, from)),
              .t0 = { d0.x / l0, d0.y / l0 }, .t1 = { d1.x / l1, d1.y / l1 },
              .a = rests0 ? 0.0 : l0 * (t1 - t0) / 3.0, .b = rests1 ? 0.0 : l1 * (t1 - t0) / 3.0 };

  double places[MAX_SAMPLES];
  RhyPoint q[MAX_SAMPLES];
  RhyMetric metrics[MAX_SAMPLES];
  for (gsize i = 0; i < n; i++)
    {
      places[i] = ((double) i + 1.0) / ((double) n + 1.0);
      q[i] = rhy_metric_apply (plane.to_plane, rhy_point_sum (samples[i + 1].at, -1.0, from));
      metrics[i] = rhy_metric_product (samples[i + 1].metric, plane.from_plane);
    }
  double worst = l0 > 0.0 && l1 > 0.0 ? rhy_arc_fit (&arc, q, metrics, n, places, FIT_PART * tolerance) : INFINITY;

  if (worst <= FIT_PART * tolerance && rhy_arc_goes_forwards (places, n))
    {
      if (worst > 0.2 * tolerance && !check_between (self, g, t0, t1, &arc, &plane, n, &worst, error))
        return FALSE;
      if (worst <= CHECK_PART * tolerance)
        {
          const RhyPoint h0 = rhy_point_sum (from, arc.a, rhy_metric_apply (plane.from_plane, arc.t0));
          const RhyPoint h1 = rhy_point_sum (to, -arc.b, rhy_metric_apply (plane.from_plane, arc.t1));
          rhy_path_cubic_to (path, h0.x, h0.y, h1.x, h1.y, to.x, to.y);
          report->segments_out++;
          report->error_max_mm = MAX (report->error_max_mm, worst);
          return TRUE;
        }
    }

  /* The error falls as h^6: as many equal parts as that takes. */
  const double want = ceil (pow (worst / (FIT_PART * tolerance), 1.0 / 6.0));
  const int parts = want >= 2.0 && want <= MAX_PARTS ? (int) want : want > MAX_PARTS ? MAX_PARTS : 2;
  for (int i = 0; i < parts; i++)
    if (!bend_part (self, g, t0 + (t1 - t0) * i / parts, i + 1 == parts ? t1 : t0 + (t1 - t0) * (i + 1) / parts,
                    size, depth + 1, path, report, error))
      return FALSE;
  return TRUE;
}

static double
size_of (const RhySegment *g)
{
  if (g->verb == RHY_PATH_LINE)
    return rhy_point_length (rhy_point_sum (g->p[1], -1.0, g->p[0]));
  return rhy_point_length (rhy_point_sum (g->p[1], -1.0, g->p[0])) + rhy_point_length (rhy_point_sum (g->p[2], -1.0, g->p[1]))
         + rhy_point_length (rhy_point_sum (g->p[3], -1.0, g->p[2]));
}

static gboolean
bend_segment (const RhyBender  *self,
              const RhySegment *g,
              RhyPath          *path,
              RhyBendReport    *report,
              GError          **error)
{
  const double size = size_of (g);
  report->segments_in++;
  if (size > 0.0)
    return bend_part (self, g, 0.0, 1.0, size, 0, path, report, error);

  /* A segment of no length stays one: a dot under a round pen. */
  const RhyPoint end = path->points[path->n_points - 1];
  rhy_path_line_to (path, end.x, end.y);
  report->segments_out++;
  return TRUE;
}

static gboolean
bend_move (const RhyBender *self,
           RhyPoint         p,
           RhyPath         *path,
           GError         **error)
{
  RhyPoint q;
  if (!rhy_map_point (self->lay, p, &q) || !rhy_map_point (self->out, q, &q))
    return outside (p, error);
  rhy_path_move_to (path, q.x, q.y);
  return TRUE;
}

/* A straight closing line is left to the close itself; a bent one is drawn first. */
static gboolean
bend_close (const RhyBender *self,
            RhyPoint         current,
            RhyPoint         start,
            RhyPath         *path,
            RhyBendReport   *report,
            GError         **error)
{
  if (current.x != start.x || current.y != start.y)
    {
      const RhySegment g = { RHY_PATH_LINE, { current, start }, FALSE, TRUE };
      const gsize verbs = path->n_verbs;
      if (!bend_segment (self, &g, path, report, error))
        return FALSE;
      if (path->n_verbs == verbs + 1 && path->verbs[verbs] == RHY_PATH_LINE)
        {
          path->n_verbs--;
          path->n_points--;
        }
    }
  rhy_path_close (path);
  return TRUE;
}

/* Affine throughout: the control points go through and nothing else. Whether it
 * is on the wall shows from the curve's exact box along the slant. */
static RhyPath *
bend_affine (const RhyBender *self,
             const RhyPath   *path,
             RhyBendReport   *report,
             GError         **error)
{
  g_autoptr (RhyPath) on_wall = rhy_path_transformed (path, self->lay_affine);
  const RhyBounds box = rhy_path_get_bounds (on_wall);
  const gboolean empty = rhy_bounds_is_empty (box);
  if (!empty && !(rhy_wall_has (self->wall, box.min_x) && rhy_wall_has (self->wall, box.max_x)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                   "ink reaches from %.4g to %.4g mm along the wall, which is %.4g mm long: "
                   "make the artwork smaller or move it", box.min_x, box.max_x, rhy_wall_get_length (self->wall));
      return NULL;
    }
  const gsize n = rhy_path_count_segments (path);
  report->segments_in += n;
  report->segments_out += n;
  return rhy_path_transformed (path, self->affine);
}

RhyPath *
rhy_bender_bend (const RhyBender *self,
                 const RhyPath   *path,
                 RhyBendReport   *report,
                 GError         **error)
{
  g_return_val_if_fail (self != NULL && path != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  RhyBendReport unwanted = { 0 };
  if (report == NULL)
    report = &unwanted;
  if (self->is_affine)
    return bend_affine (self, path, report, error);

  g_autoptr (RhyPath) bent = rhy_path_new ();
  const RhyPoint *p = path->points;
  RhyPoint start = { 0.0, 0.0 };
  RhyPoint current = { 0.0, 0.0 };
  for (gsize i = 0; i < path->n_verbs; i++)
    {
      const RhyPathVerb verb = path->verbs[i];
      gboolean ok;
      if (verb == RHY_PATH_MOVE)
        {
          start = current = *p++;
          ok = bend_move (self, current, bent, error);
        }
      else if (verb == RHY_PATH_CLOSE)
        {
          ok = bend_close (self, current, start, bent, report, error);
          current = start;
        }
      else
        {
          const gsize n = verb == RHY_PATH_CUBIC ? 3 : 1;
          RhySegment g = { .verb = verb, .p = { current } };
          for (gsize k = 0; k < n; k++)
            g.p[k + 1] = p[k];
          p += n;
          current = p[-1];
          ok = bend_segment (self, &g, bent, report, error);
        }
      if (!ok)
        return NULL;
    }
  return g_steal_pointer (&bent);
}
