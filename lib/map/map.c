/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "map-private.h"

#include <math.h>
#include <string.h>

RhyMap *
rhy_map_init (RhyMap            *self,
              const RhyMapClass *klass,
              RhySpace           from,
              RhySpace           to)
{
  self->klass = klass;
  self->from = from;
  self->to = to;
  return self;
}

RhyMap *
rhy_map_ref (RhyMap *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

static void
clear (gpointer data)
{
  RhyMap *self = data;
  if (self->klass->clear != NULL)
    self->klass->clear (self);
}

void
rhy_map_unref (RhyMap *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

RhySpace
rhy_map_get_from (const RhyMap *self)
{
  g_return_val_if_fail (self != NULL, RHY_SPACE_ART);

  return self->from;
}

RhySpace
rhy_map_get_to (const RhyMap *self)
{
  g_return_val_if_fail (self != NULL, RHY_SPACE_ART);

  return self->to;
}

typedef gsize (*PointsFunc) (const RhyMap *, gsize, const double *, const double *, double *, double *, guint8 *);

static gsize
in_blocks (const RhyMap *self,
           PointsFunc    points,
           gsize         n,
           const double *in0,
           const double *in1,
           double       *out0,
           double       *out1,
           guint8       *valid)
{
  guint8 unwanted[RHY_MAP_BLOCK];
  gsize missing = 0;
  for (gsize i = 0; i < n; i += RHY_MAP_BLOCK)
    missing += points (self, MIN (n - i, RHY_MAP_BLOCK), in0 + i, in1 + i, out0 + i, out1 + i,
                       valid != NULL ? valid + i : unwanted);
  return missing;
}

gsize
rhy_map_forward (const RhyMap *self,
                 gsize         n,
                 const double *in0,
                 const double *in1,
                 double       *out0,
                 double       *out1,
                 guint8       *valid)
{
  g_return_val_if_fail (self != NULL, n);

  return in_blocks (self, self->klass->forward, n, in0, in1, out0, out1, valid);
}

gsize
rhy_map_inverse (const RhyMap *self,
                 gsize         n,
                 const double *in0,
                 const double *in1,
                 double       *out0,
                 double       *out1,
                 guint8       *valid)
{
  g_return_val_if_fail (self != NULL, n);

  return in_blocks (self, self->klass->inverse, n, in0, in1, out0, out1, valid);
}

gsize
rhy_map_jacobian (const RhyMap *self,
                  gsize         n,
                  const double *in0,
                  const double *in1,
                  double       *out0,
                  double       *out1,
                  RhyJacobian  *jacobians,
                  guint8       *valid)
{
  g_return_val_if_fail (self != NULL && jacobians != NULL, n);

  guint8 unwanted[RHY_MAP_BLOCK];
  gsize missing = 0;
  for (gsize i = 0; i < n; i += RHY_MAP_BLOCK)
    missing += self->klass->jacobian (self, MIN (n - i, RHY_MAP_BLOCK), in0 + i, in1 + i,
                                      out0 + i, out1 + i, jacobians + i,
                                      valid != NULL ? valid + i : unwanted);
  return missing;
}

gboolean
rhy_map_is_affine (const RhyMap *self,
                   RhyAffine    *affine)
{
  g_return_val_if_fail (self != NULL, FALSE);

  RhyAffine unwanted;
  return self->klass->affine != NULL && self->klass->affine (self, affine != NULL ? affine : &unwanted);
}

gboolean
rhy_map_point (const RhyMap *self,
               RhyPoint      in,
               RhyPoint     *out)
{
  g_return_val_if_fail (self != NULL && out != NULL, FALSE);

  RhyPoint p;
  if (rhy_map_forward (self, 1, &in.x, &in.y, &p.x, &p.y, NULL) != 0)
    return FALSE;
  *out = p;
  return TRUE;
}

gboolean
rhy_map_point_inverse (const RhyMap *self,
                       RhyPoint      in,
                       RhyPoint     *out)
{
  g_return_val_if_fail (self != NULL && out != NULL, FALSE);

  RhyPoint p;
  if (rhy_map_inverse (self, 1, &in.x, &in.y, &p.x, &p.y, NULL) != 0)
    return FALSE;
  *out = p;
  return TRUE;
}

/* One map after another. */
typedef struct
{
  RhyMap  map;
  RhyMap *first;
  RhyMap *second;
} Chain;

/* A point has an image if it has one in both steps. */
static gsize
merge (gsize         n,
       guint8       *valid,
       const guint8 *also)
{
  gsize missing = 0;
  for (gsize i = 0; i < n; i++)
    {
      valid[i] &= also[i];
      missing += !valid[i];
    }
  return missing;
}

/* The outputs carry the middle points, so no third pair of arrays is needed. */
static gsize
two_steps (PointsFunc    step1,
           const RhyMap *map1,
           PointsFunc    step2,
           const RhyMap *map2,
           gsize         n,
           const double *in0,
           const double *in1,
           double       *out0,
           double       *out1,
           guint8       *valid)
{
  guint8 also[RHY_MAP_BLOCK];
  const gsize missing1 = step1 (map1, n, in0, in1, out0, out1, valid);
  const gsize missing2 = step2 (map2, n, out0, out1, out0, out1, also);
  if (missing1 == 0 && missing2 == 0)
    return 0;
  return merge (n, valid, also);
}

static gsize
chain_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
               double *out0, double *out1, guint8 *valid)
{
  const Chain *self = (const Chain *) map;
  return two_steps (self->first->klass->forward, self->first, self->second->klass->forward, self->second,
                    n, in0, in1, out0, out1, valid);
}

static gsize
chain_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
               double *out0, double *out1, guint8 *valid)
{
  const Chain *self = (const Chain *) map;
  return two_steps (self->second->klass->inverse, self->second, self->first->klass->inverse, self->first,
                    n, in0, in1, out0, out1, valid);
}

static RhyJacobian
product (RhyJacobian b,
         RhyJacobian a)
{
  return (RhyJacobian) { b.xx * a.xx + b.xy * a.yx, b.xx * a.xy + b.xy * a.yy,
                         b.yx * a.xx + b.yy * a.yx, b.yx * a.xy + b.yy * a.yy };
}

static gsize
chain_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
                double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const Chain *self = (const Chain *) map;
  guint8 also[RHY_MAP_BLOCK];
  RhyJacobian second[RHY_MAP_BLOCK];
  self->first->klass->jacobian (self->first, n, in0, in1, out0, out1, jacobians, valid);
  self->second->klass->jacobian (self->second, n, out0, out1, out0, out1, second, also);
  for (gsize i = 0; i < n; i++)
    jacobians[i] = product (second[i], jacobians[i]);
  return merge (n, valid, also);
}

static gboolean
chain_affine (const RhyMap *map, RhyAffine *affine)
{
  const Chain *self = (const Chain *) map;
  RhyAffine first, second;
  if (!rhy_map_is_affine (self->first, &first) || !rhy_map_is_affine (self->second, &second))
    return FALSE;
  *affine = rhy_affine_then (first, second);
  return TRUE;
}

static void
chain_clear (RhyMap *map)
{
  Chain *self = (Chain *) map;
  rhy_map_unref (self->first);
  rhy_map_unref (self->second);
}

static const RhyMapClass chain_class = {
  chain_forward, chain_inverse, chain_jacobian, chain_affine, chain_clear,
};

RhyMap *
rhy_map_new_chain (RhyMap *first,
                   RhyMap *second)
{
  g_return_val_if_fail (first != NULL && second != NULL && first->to == second->from, NULL);

  Chain *self = rhy_map_alloc (Chain, &chain_class, first->from, second->to);
  self->first = rhy_map_ref (first);
  self->second = rhy_map_ref (second);
  return &self->map;
}

/* A map the other way round. */
typedef struct
{
  RhyMap  map;
  RhyMap *of;
} Inverse;

static gsize
inverse_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
                 double *out0, double *out1, guint8 *valid)
{
  const Inverse *self = (const Inverse *) map;
  return self->of->klass->inverse (self->of, n, in0, in1, out0, out1, valid);
}

static gsize
inverse_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
                 double *out0, double *out1, guint8 *valid)
{
  const Inverse *self = (const Inverse *) map;
  return self->of->klass->forward (self->of, n, in0, in1, out0, out1, valid);
}

static gsize
inverse_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
                  double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const Inverse *self = (const Inverse *) map;
  double back0[RHY_MAP_BLOCK], back1[RHY_MAP_BLOCK];
  guint8 also[RHY_MAP_BLOCK];
  self->of->klass->inverse (self->of, n, in0, in1, out0, out1, valid);
  self->of->klass->jacobian (self->of, n, out0, out1, back0, back1, jacobians, also);
  for (gsize i = 0; i < n; i++)
    {
      const RhyJacobian j = jacobians[i];
      const double det = j.xx * j.yy - j.xy * j.yx;
      jacobians[i] = (RhyJacobian) { j.yy / det, -j.xy / det, -j.yx / det, j.xx / det };
    }
  return merge (n, valid, also);
}

static gboolean
inverse_affine (const RhyMap *map, RhyAffine *affine)
{
  const Inverse *self = (const Inverse *) map;
  RhyAffine m;
  if (!rhy_map_is_affine (self->of, &m))
    return FALSE;
  const double det = m.xx * m.yy - m.xy * m.yx;
  const RhyAffine linear = { m.yy / det, -m.yx / det, -m.xy / det, m.xx / det, 0.0, 0.0 };
  *affine = rhy_affine_then ((RhyAffine) { 1.0, 0.0, 0.0, 1.0, -m.x0, -m.y0 }, linear);
  return TRUE;
}

static void
inverse_clear (RhyMap *map)
{
  rhy_map_unref (((Inverse *) map)->of);
}

static const RhyMapClass inverse_class = {
  inverse_forward, inverse_inverse, inverse_jacobian, inverse_affine, inverse_clear,
};

RhyMap *
rhy_map_new_inverse (RhyMap *map)
{
  g_return_val_if_fail (map != NULL, NULL);

  Inverse *self = rhy_map_alloc (Inverse, &inverse_class, map->to, map->from);
  self->of = rhy_map_ref (map);
  return &self->map;
}

RHY_MANY static gint64
count_off_wall (gsize         n,
                const double *s,
                const double *angle,
                double        lo,
                double        hi)
{
  gint64 missing = 0;
  for (gsize i = 0; i < n; i++)
    missing += !(s[i] >= lo) | !(s[i] <= hi) | !(fabs (angle[i]) <= G_MAXDOUBLE);
  return missing;
}

gsize
rhy_map_mark_on_wall (gsize         n,
                      const double *s,
                      const double *angle,
                      double        lo,
                      double        hi,
                      guint8       *valid)
{
  /* Nearly always all are on the wall: count in vector registers first, and
   * look at single points only when one is not. */
  const gint64 missing = count_off_wall (n, s, angle, lo, hi);
  memset (valid, 1, n);
  if (missing != 0)
    for (gsize i = 0; i < n; i++)
      valid[i] = s[i] >= lo && s[i] <= hi && fabs (angle[i]) <= G_MAXDOUBLE;
  return (gsize) missing;
}
