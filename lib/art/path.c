/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/path.h>

#include <math.h>

RhyPath *
rhy_path_new (void)
{
  return g_atomic_rc_box_new0 (RhyPath);
}

RhyPath *
rhy_path_ref (RhyPath *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

static void
clear (gpointer data)
{
  RhyPath *self = data;
  g_free (self->verbs);
  g_free (self->points);
}

void
rhy_path_unref (RhyPath *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

static void
append (RhyPath        *self,
        RhyPathVerb     verb,
        const RhyPoint *points,
        gsize           n)
{
  if (self->n_verbs == self->verbs_room)
    {
      self->verbs_room = MAX (16, 2 * self->verbs_room);
      self->verbs = g_realloc_n (self->verbs, self->verbs_room, sizeof (guint8));
    }
  if (self->n_points + n > self->points_room)
    {
      self->points_room = MAX (16, 2 * self->points_room);
      self->points = g_realloc_n (self->points, self->points_room, sizeof (RhyPoint));
    }
  self->verbs[self->n_verbs++] = (guint8) verb;
  for (gsize i = 0; i < n; i++)
    self->points[self->n_points++] = points[i];
}

void
rhy_path_move_to (RhyPath *self,
                  double   x,
                  double   y)
{
  append (self, RHY_PATH_MOVE, &(RhyPoint) { x, y }, 1);
}

void
rhy_path_line_to (RhyPath *self,
                  double   x,
                  double   y)
{
  g_return_if_fail (self->n_verbs > 0);

  append (self, RHY_PATH_LINE, &(RhyPoint) { x, y }, 1);
}

void
rhy_path_cubic_to (RhyPath *self,
                   double   x1,
                   double   y1,
                   double   x2,
                   double   y2,
                   double   x,
                   double   y)
{
  g_return_if_fail (self->n_verbs > 0);

  append (self, RHY_PATH_CUBIC, (const RhyPoint[]) { { x1, y1 }, { x2, y2 }, { x, y } }, 3);
}

void
rhy_path_close (RhyPath *self)
{
  g_return_if_fail (self->n_verbs > 0);

  append (self, RHY_PATH_CLOSE, NULL, 0);
}

void
rhy_path_add_circle (RhyPath *self,
                     double   x,
                     double   y,
                     double   radius)
{
  const double r = radius;
  const double k = 4.0 / 3.0 * (G_SQRT2 - 1.0) * r;
  rhy_path_move_to (self, x + r, y);
  rhy_path_cubic_to (self, x + r, y + k, x + k, y + r, x, y + r);
  rhy_path_cubic_to (self, x - k, y + r, x - r, y + k, x - r, y);
  rhy_path_cubic_to (self, x - r, y - k, x - k, y - r, x, y - r);
  rhy_path_cubic_to (self, x + k, y - r, x + r, y - k, x + r, y);
  rhy_path_close (self);
}

void
rhy_path_append (RhyPath       *self,
                 const RhyPath *other)
{
  g_return_if_fail (self != NULL && other != NULL && self != other);

  const RhyPoint *p = other->points;
  static const gsize n_points[] = { [RHY_PATH_MOVE] = 1, [RHY_PATH_LINE] = 1, [RHY_PATH_CUBIC] = 3, [RHY_PATH_CLOSE] = 0 };
  for (gsize i = 0; i < other->n_verbs; i++)
    {
      const gsize n = n_points[other->verbs[i]];
      append (self, other->verbs[i], p, n);
      p += n;
    }
}

RhyPath *
rhy_path_transformed (const RhyPath *self,
                      RhyAffine      m)
{
  g_return_val_if_fail (self != NULL, NULL);

  RhyPath *path = rhy_path_new ();
  path->n_verbs = path->verbs_room = self->n_verbs;
  path->n_points = path->points_room = self->n_points;
  path->verbs = g_memdup2 (self->verbs, self->n_verbs);
  path->points = g_new (RhyPoint, self->n_points);
  for (gsize i = 0; i < self->n_points; i++)
    path->points[i] = rhy_affine_apply (m, self->points[i]);
  return path;
}

void
rhy_path_iter_init (RhyPathIter   *iter,
                    const RhyPath *path)
{
  *iter = (RhyPathIter) { .path = path };
}

gboolean
rhy_path_iter_next (RhyPathIter *iter,
                    RhySegment  *segment)
{
  const RhyPath *path = iter->path;

  while (iter->verb < path->n_verbs)
    {
      const RhyPathVerb verb = path->verbs[iter->verb++];
      const RhyPoint *p = path->points + iter->point;

      if (verb == RHY_PATH_MOVE)
        {
          iter->start = iter->current = p[0];
          iter->point += 1;
          iter->first = TRUE;
          continue;
        }
      if (verb == RHY_PATH_CLOSE)
        {
          const RhyPoint from = iter->current;
          iter->current = iter->start;
          /* A close after a curve that came back already draws nothing. */
          if (from.x == iter->start.x && from.y == iter->start.y)
            continue;
          *segment = (RhySegment) { RHY_PATH_LINE, { from, iter->start }, iter->first, TRUE };
          iter->first = TRUE;
          return TRUE;
        }

      const gsize n = verb == RHY_PATH_CUBIC ? 3 : 1;
      *segment = (RhySegment) { .verb = verb, .p = { iter->current }, .first = iter->first };
      for (gsize i = 0; i < n; i++)
        segment->p[i + 1] = p[i];
      iter->point += n;
      iter->current = p[n - 1];
      segment->closes = iter->verb < path->n_verbs && path->verbs[iter->verb] == RHY_PATH_CLOSE
                        && iter->current.x == iter->start.x && iter->current.y == iter->start.y;
      /* After a close the next segment starts a subpath again, at the same start. */
      iter->first = segment->closes;
      return TRUE;
    }
  return FALSE;
}

gsize
rhy_path_count_segments (const RhyPath *self)
{
  RhyPathIter iter;
  RhySegment segment;
  gsize n = 0;
  rhy_path_iter_init (&iter, self);
  while (rhy_path_iter_next (&iter, &segment))
    n++;
  return n;
}

static double
cubic_at (double a, double b, double c, double d, double t)
{
  const double m = 1.0 - t;
  return m * m * (m * a + 3.0 * t * b) + t * t * (3.0 * m * c + t * d);
}

/* Where a coordinate of a cubic turns: the roots of its derivative, a
 * quadratic solved without cancellation. */
static gsize
turning_points (double a, double b, double c, double d, double t[2])
{
  const double q0 = b - a;
  const double q1 = c - b;
  const double q2 = d - c;
  const double A = q0 - 2.0 * q1 + q2;
  const double B = q1 - q0;
  const double disc = B * B - A * q0;
  if (!(disc >= 0.0))
    return 0;
  const double w = -(B + copysign (sqrt (disc), B));
  gsize n = 0;
  if (A != 0.0)
    t[n++] = w / A;
  if (w != 0.0)
    t[n++] = q0 / w;
  return n;
}

RhyBounds
rhy_path_get_bounds (const RhyPath *self)
{
  g_return_val_if_fail (self != NULL, RHY_BOUNDS_EMPTY);

  RhyBounds box = RHY_BOUNDS_EMPTY;
  RhyPathIter iter;
  RhySegment g;

  rhy_path_iter_init (&iter, self);
  while (rhy_path_iter_next (&iter, &g))
    {
      const RhyPoint *p = g.p;
      const RhyPoint end = g.verb == RHY_PATH_CUBIC ? p[3] : p[1];
      box = rhy_bounds_with (rhy_bounds_with (box, p[0].x, p[0].y), end.x, end.y);
      if (g.verb != RHY_PATH_CUBIC)
        continue;

      double t[4];
      gsize n = turning_points (p[0].x, p[1].x, p[2].x, p[3].x, t);
      n += turning_points (p[0].y, p[1].y, p[2].y, p[3].y, t + n);
      for (gsize i = 0; i < n; i++)
        if (t[i] > 0.0 && t[i] < 1.0)
          box = rhy_bounds_with (box, cubic_at (p[0].x, p[1].x, p[2].x, p[3].x, t[i]),
                                 cubic_at (p[0].y, p[1].y, p[2].y, p[3].y, t[i]));
    }
  return box;
}

/* Chords of equal steps in t lie within |second difference| * 3/4 / n^2 of the
 * cubic: the deviation of a chord over a step h is at most h^2/8 max|B''|, and
 * max|B''| <= 6 max (|p0 - 2 p1 + p2|, |p1 - 2 p2 + p3|).
 * Source: derived here (Taylor; B'' is linear between those two values).
 */
static guint
steps_of (const RhyPoint p[4],
          double         tolerance)
{
  const double d0 = hypot (p[0].x - 2.0 * p[1].x + p[2].x, p[0].y - 2.0 * p[1].y + p[2].y);
  const double d1 = hypot (p[1].x - 2.0 * p[2].x + p[3].x, p[1].y - 2.0 * p[2].y + p[3].y);
  const double n = ceil (sqrt (0.75 * MAX (d0, d1) / tolerance));
  return n >= 1.0 ? (guint) MIN (n, 65536.0) : 1;
}

RhyPath *
rhy_path_flatten (const RhyPath *self,
                  double         tolerance)
{
  g_return_val_if_fail (self != NULL && tolerance > 0.0, NULL);

  RhyPath *flat = rhy_path_new ();
  const RhyPoint *p = self->points;
  RhyPoint current = { 0.0, 0.0 };
  RhyPoint start = { 0.0, 0.0 };

  for (gsize i = 0; i < self->n_verbs; i++)
    switch (self->verbs[i])
      {
      case RHY_PATH_MOVE:
        start = current = *p++;
        rhy_path_move_to (flat, current.x, current.y);
        break;
      case RHY_PATH_LINE:
        current = *p++;
        rhy_path_line_to (flat, current.x, current.y);
        break;
      case RHY_PATH_CUBIC:
        {
          const RhyPoint c[4] = { current, p[0], p[1], p[2] };
          const guint n = steps_of (c, tolerance);
          for (guint k = 1; k < n; k++)
            {
              const double t = (double) k / n;
              rhy_path_line_to (flat, cubic_at (c[0].x, c[1].x, c[2].x, c[3].x, t),
                                cubic_at (c[0].y, c[1].y, c[2].y, c[3].y, t));
            }
          current = p[2];
          rhy_path_line_to (flat, current.x, current.y);
          p += 3;
          break;
        }
      default:
        rhy_path_close (flat);
        current = start;
        break;
      }
  return flat;
}
