/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "ease.h"

#include <math.h>

/* The uniform cubic B-spline on one cell, t from 0 to 1: its four pieces, and their
 * first derivatives per cell. */
static void
pieces (double t,
        double w[4],
        double d[4])
{
  const double m = 1.0 - t;
  w[0] = m * m * m / 6.0;
  w[1] = (4.0 - 6.0 * t * t + 3.0 * t * t * t) / 6.0;
  w[2] = (4.0 - 6.0 * m * m + 3.0 * m * m * m) / 6.0;
  w[3] = t * t * t / 6.0;
  d[0] = -0.5 * m * m;
  d[1] = -2.0 * t + 1.5 * t * t;
  d[2] = 2.0 * m - 1.5 * m * m;
  d[3] = 0.5 * t * t;
}

/* The first of the 4 x 4 controls of a point (of the grid's edge if it is past that), and
 * the splines there along both axes. */
static guint
place_in_grid (const RhyEase *self,
               const double   p[2],
               double         w[2][4],
               double         d[2][4])
{
  guint i[2];
  for (guint axis = 0; axis < 2; axis++)
    {
      const double along = CLAMP ((p[axis] - self->low[axis]) / self->cell[axis], 0.0, (double) self->n[axis]);
      i[axis] = MIN ((guint) along, self->n[axis] - 1);
      pieces (along - i[axis], w[axis], d[axis]);
      for (guint k = 0; k < 4; k++)
        d[axis][k] /= self->cell[axis];
    }
  return i[self->slow] * self->stride + 2 * i[1 - self->slow];
}

typedef struct { double d[2], by_x[2], by_y[2], by_xy[2]; } Shift;

static Shift
shift_in_grid (const RhyEase *self,
               const double   p[2])
{
  double w[2][4], d[2][4];
  const double *c = self->controls + place_in_grid (self, p, w, d);
  Shift s = { { 0.0, 0.0 }, { 0.0, 0.0 }, { 0.0, 0.0 }, { 0.0, 0.0 } };
  for (guint k = 0; k < 16; k++)
    {
      const guint kx = self->slow == 0 ? k / 4 : k % 4;
      const guint ky = self->slow == 0 ? k % 4 : k / 4;
      const double *v = c + rhy_ease_index (self, 0, k);
      for (guint q = 0; q < 2; q++)
        {
          s.d[q] += w[0][kx] * w[1][ky] * v[q];
          s.by_x[q] += d[0][kx] * w[1][ky] * v[q];
          s.by_y[q] += w[0][kx] * d[1][ky] * v[q];
          s.by_xy[q] += d[0][kx] * d[1][ky] * v[q];
        }
    }
  return s;
}

/* Past the grid by o along an axis: d (p) = d (edge) + g . grad d (edge) with g = o/(1 + |o|/w)
 * and w a cell. It starts as the spline goes, so that a path over the edge has no kink,
 * and ends at a cell's worth, so that what is far out stays in order. The edge point
 * moves only along axes that are not past: there the mixed derivative adds to the slope. */
static Shift
shift_at (const RhyEase *self,
          const double   p[2])
{
  Shift s = shift_in_grid (self, p);
  double g[2], rate[2];
  gboolean past[2];
  for (guint axis = 0; axis < 2; axis++)
    {
      const double o = p[axis] - CLAMP (p[axis], self->low[axis], self->low[axis] + self->n[axis] * self->cell[axis]);
      const double by = 1.0 + fabs (o) / self->cell[axis];
      past[axis] = o != 0.0;
      g[axis] = o / by;
      rate[axis] = 1.0 / (by * by);
    }
  if (!past[0] && !past[1])
    return s;
  for (guint q = 0; q < 2; q++)
    {
      s.d[q] += g[0] * s.by_x[q] + g[1] * s.by_y[q];
      s.by_x[q] = past[0] ? s.by_x[q] * rate[0] : s.by_x[q] + g[1] * s.by_xy[q];
      s.by_y[q] = past[1] ? s.by_y[q] * rate[1] : s.by_y[q] + g[0] * s.by_xy[q];
    }
  return s;
}

/* The eased plane's own derivative, and whether it keeps its side: far past the grid it
 * may fold, and there is no image there. */
static gboolean
derivative (Shift        s,
            RhyJacobian *j)
{
  *j = (RhyJacobian) { 1.0 + s.by_x[0], s.by_y[0], s.by_x[1], 1.0 + s.by_y[1] };
  return j->xx * j->yy - j->xy * j->yx > 0.0;
}

static gsize
ease_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
               double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const RhyEase *self = (const RhyEase *) map;
  const double c = self->cos_turn;
  const double s = self->sin_turn;
  gsize missing = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double p[2] = { c * in0[i] - s * in1[i], s * in0[i] + c * in1[i] };
      Shift at = { { 0.0, 0.0 }, { 0.0, 0.0 }, { 0.0, 0.0 }, { 0.0, 0.0 } };
      RhyJacobian j;
      const gboolean finite = isfinite (p[0]) && isfinite (p[1]);
      if (finite)
        at = shift_at (self, p);
      valid[i] = derivative (at, &j) && finite;
      missing += !valid[i];
      out0[i] = valid[i] ? p[0] + at.d[0] : 0.0;
      out1[i] = valid[i] ? p[1] + at.d[1] : 0.0;
      jacobians[i] = (RhyJacobian) { j.xx * c + j.xy * s, -j.xx * s + j.xy * c, j.yx * c + j.yy * s, -j.yx * s + j.yy * c };
    }
  return missing;
}

static gsize
ease_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
              double *out0, double *out1, guint8 *valid)
{
  RhyJacobian unwanted[RHY_MAP_BLOCK];
  return ease_jacobian (map, n, in0, in1, out0, out1, unwanted, valid);
}

/* Newton's steps from p. */
static gboolean
settle (const RhyEase *self,
        const double   q[2],
        double         p[2])
{
  const double enough = 1e-14 * (1.0 + hypot (q[0], q[1]));
  double left = INFINITY;
  for (int i = 0; i < 30; i++)
    {
      const Shift s = shift_at (self, p);
      const double rx = p[0] + s.d[0] - q[0];
      const double ry = p[1] + s.d[1] - q[1];
      RhyJacobian j;
      left = hypot (rx, ry);
      if (!derivative (s, &j))
        return FALSE;
      if (left <= enough)
        break;
      const double det = j.xx * j.yy - j.xy * j.yx;
      p[0] -= (j.yy * rx - j.xy * ry) / det;
      p[1] -= (j.xx * ry - j.yx * rx) / det;
    }
  return left <= 100.0 * enough;
}

/* The shift is small and smooth as a rule, and the point less its own shift a good start.
 * Where art is eased by more than its own width that may lie off the grid: then from the
 * corner of a cell whose image is nearest. */
static gboolean
solve (const RhyEase *self,
       const double   q[2],
       double         p[2])
{
  const Shift guess = shift_at (self, q);
  p[0] = q[0] - guess.d[0];
  p[1] = q[1] - guess.d[1];
  if (settle (self, q, p))
    return TRUE;

  double nearest = INFINITY;
  for (guint x = 0; x <= self->n[0]; x++)
    for (guint y = 0; y <= self->n[1]; y++)
      {
        const double corner[2] = { self->low[0] + x * self->cell[0], self->low[1] + y * self->cell[1] };
        const Shift s = shift_at (self, corner);
        const double off = hypot (corner[0] + s.d[0] - q[0], corner[1] + s.d[1] - q[1]);
        if (off < nearest)
          {
            nearest = off;
            p[0] = corner[0];
            p[1] = corner[1];
          }
      }
  return settle (self, q, p);
}

static gsize
ease_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
              double *out0, double *out1, guint8 *valid)
{
  const RhyEase *self = (const RhyEase *) map;
  gsize missing = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double q[2] = { in0[i], in1[i] };
      double p[2] = { 0.0, 0.0 };
      valid[i] = isfinite (q[0]) && isfinite (q[1]) && solve (self, q, p);
      missing += !valid[i];
      out0[i] = self->cos_turn * p[0] + self->sin_turn * p[1];
      out1[i] = -self->sin_turn * p[0] + self->cos_turn * p[1];
    }
  return missing;
}

static void
ease_clear (RhyMap *map)
{
  g_free (((RhyEase *) map)->controls);
}

static const RhyMapClass ease_class = { ease_forward, ease_inverse, ease_jacobian, NULL, ease_clear };

RhyEase *
rhy_ease_new (double    turn_rad,
              RhyBounds box,
              guint     cells)
{
  RhyEase *self = rhy_map_alloc (RhyEase, &ease_class, RHY_SPACE_ART, RHY_SPACE_ART);
  const double size[2] = { box.max_x - box.min_x, box.max_y - box.min_y };
  const double longer = MAX (size[0], size[1]);
  self->cos_turn = cos (turn_rad);
  self->sin_turn = sin (turn_rad);
  self->low[0] = box.min_x;
  self->low[1] = box.min_y;
  for (guint axis = 0; axis < 2; axis++)
    {
      self->n[axis] = MAX (3, (guint) ceil (cells * size[axis] / longer));
      self->cell[axis] = size[axis] / self->n[axis];
    }
  self->slow = self->n[0] >= self->n[1] ? 0 : 1;
  self->stride = 2 * (self->n[1 - self->slow] + 3);
  self->controls = g_new0 (double, rhy_ease_get_n_controls (self));
  return self;
}

guint
rhy_ease_get_n_controls (const RhyEase *self)
{
  return 2 * (self->n[0] + 3) * (self->n[1] + 3);
}

void
rhy_ease_weights (const RhyEase *self,
                  double         x,
                  double         y,
                  guint         *first,
                  double         n[16],
                  double         nx[16],
                  double         ny[16])
{
  const double p[2] = { x, y };
  double w[2][4], d[2][4];
  *first = place_in_grid (self, p, w, d);
  for (guint k = 0; k < 16; k++)
    {
      const guint kx = self->slow == 0 ? k / 4 : k % 4;
      const guint ky = self->slow == 0 ? k % 4 : k / 4;
      n[k] = w[0][kx] * w[1][ky];
      nx[k] = d[0][kx] * w[1][ky];
      ny[k] = w[0][kx] * d[1][ky];
    }
}
