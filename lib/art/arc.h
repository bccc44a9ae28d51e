/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* One cubic with given ends and end tangents, fitted to samples of a curve: what
 * bending a path through a map and making a path lighter have in common.
 */

#include <math.h>

#include <rhyton/space.h>

/* From (0, 0). @t0, @t1: unit tangents, both pointing forwards. @a, @b: arm lengths. */
typedef struct
{
  RhyPoint end;
  RhyPoint t0, t1;
  double   a, b;
} RhyArc;

/* A 2 x 2 matrix. */
typedef struct { double xx, xy, yx, yy; } RhyMetric;

enum { RHY_ARC_MAX_SAMPLES = 24 };

static inline RhyPoint
rhy_point_sum (RhyPoint p, double f, RhyPoint q)
{
  return (RhyPoint) { p.x + f * q.x, p.y + f * q.y };
}

static inline double
rhy_point_length (RhyPoint p)
{
  return sqrt (p.x * p.x + p.y * p.y);
}

static inline RhyPoint
rhy_metric_apply (RhyMetric m, RhyPoint e)
{
  return (RhyPoint) { m.xx * e.x + m.xy * e.y, m.yx * e.x + m.yy * e.y };
}

static inline RhyMetric
rhy_metric_inverse (RhyMetric m)
{
  const double det = m.xx * m.yy - m.xy * m.yx;
  return (RhyMetric) { m.yy / det, -m.xy / det, -m.yx / det, m.xx / det };
}

/* First @b, then @a. */
static inline RhyMetric
rhy_metric_product (RhyMetric a, RhyMetric b)
{
  return (RhyMetric) { a.xx * b.xx + a.xy * b.yx, a.xx * b.xy + a.xy * b.yy,
                       a.yx * b.xx + a.yy * b.yx, a.yx * b.xy + a.yy * b.yy };
}

static inline RhyPoint
rhy_arc_at (const RhyArc *c,
            double        t)
{
  const double m = 1.0 - t;
  const double f0 = 3.0 * m * m * t * c->a;
  const double f2 = 3.0 * m * t * t;
  const double f3 = f2 + t * t * t;
  const double f1 = -f2 * c->b;
  return (RhyPoint) { f0 * c->t0.x + f1 * c->t1.x + f3 * c->end.x,
                      f0 * c->t0.y + f1 * c->t1.y + f3 * c->end.y };
}

static inline RhyPoint
rhy_arc_rate (const RhyArc *c,
              double        t)
{
  const double m = 1.0 - t;
  const double f0 = 3.0 * m * (m - 2.0 * t) * c->a;
  const double f1 = -3.0 * t * (2.0 * m - t) * c->b;
  const double f3 = 6.0 * m * t;
  return (RhyPoint) { f0 * c->t0.x + f1 * c->t1.x + f3 * c->end.x,
                      f0 * c->t0.y + f1 * c->t1.y + f3 * c->end.y };
}

/* Moves t to where the arc is nearest to q: one Newton step on the projection, the
 * second derivative left out, since the arc passes close by. */
static inline double
rhy_arc_nearest (const RhyArc *c,
                 RhyPoint      q,
                 double        t)
{
  const RhyPoint e = rhy_point_sum (q, -1.0, rhy_arc_at (c, t));
  const RhyPoint d = rhy_arc_rate (c, t);
  const double dd = d.x * d.x + d.y * d.y;
  if (!(dd > 0.0))
    return t;
  return CLAMP (t + CLAMP ((e.x * d.x + e.y * d.y) / dd, -0.1, 0.1), 0.0, 1.0);
}

/* Fits the arms to n points @q (at most RHY_ARC_MAX_SAMPLES, in order, ends left
 * out), starting from those given and from places @t, which it moves. @metrics
 * (n of them, or NULL) turn an error into the lengths it is judged by. Stops at
 * the first fit whose greatest error is at most @enough. Returns that error. */
double rhy_arc_fit (RhyArc *arc, const RhyPoint *q, const RhyMetric *metrics, gsize n, double *t, double enough);

/* Whether the places go forwards without a gap: an arc that loops between two
 * samples passes near both and is still wrong. */
gboolean rhy_arc_goes_forwards (const double *t, gsize n);
