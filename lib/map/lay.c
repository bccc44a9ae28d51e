/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/lay.h>

#include <rhyton/unroll.h>

#include <math.h>
#include <string.h>

#include "lay-private.h"
#include "map-private.h"
#include "roll.h"

/* The lays with a closed form. Each first turns the art about its anchor, then
 * maps (u, v) to slant and angle from the anchor.
 */
typedef struct
{
  RhyMap       map;
  RhyWall     *wall;
  RhyLayKind   kind;
  RhyWallPoint anchor;
  double       cos_turn, sin_turn;
  double       r0;              /* the wall's radius at the anchor */
  double       r_ref;           /* ringed: the radius at which widths are true */
  RhyRoll      roll;            /* rolled */
  double       s_max;
} Lay;

static const char *const kind_names[] = {
  [RHY_LAY_ROLLED] = "rolled",
  [RHY_LAY_RINGED] = "ringed",
  [RHY_LAY_RINGED_BALANCED] = "ringed-balanced",
  [RHY_LAY_ANGLE_TRUE] = "angle-true",
  [RHY_LAY_AREA_TRUE] = "area-true",
  [RHY_LAY_SEEN] = "seen",
  [RHY_LAY_LEAST_STRETCH] = "least-stretch",
};

const char *
rhy_lay_kind_to_string (RhyLayKind kind)
{
  g_return_val_if_fail ((gsize) kind < G_N_ELEMENTS (kind_names), NULL);

  return kind_names[kind];
}

gboolean
rhy_lay_kind_from_string (const char *text,
                          RhyLayKind *kind)
{
  g_return_val_if_fail (text != NULL && kind != NULL, FALSE);

  for (gsize i = 0; i < G_N_ELEMENTS (kind_names); i++)
    if (strcmp (text, kind_names[i]) == 0)
      {
        *kind = (RhyLayKind) i;
        return TRUE;
      }
  return FALSE;
}

RHY_MANY static void
turn_points (double        cos_turn,
             double        sin_turn,
             gsize         n,
             const double *in0,
             const double *in1,
             double       *out0,
             double       *out1)
{
  RHY_IVDEP
  for (gsize i = 0; i < n; i++)
    {
      const double u = in0[i];
      const double v = in1[i];
      out0[i] = cos_turn * u - sin_turn * v;
      out1[i] = sin_turn * u + cos_turn * v;
    }
}

/* Radius at which one mm of width is one mm around, for the ringed family. */
static double
around_radius (const Lay *self)
{
  return self->kind == RHY_LAY_RINGED || self->kind == RHY_LAY_RINGED_BALANCED ? self->r_ref : self->r0;
}

/* From heights v above the anchor to slants. */
static double
slant_of (const Lay *self,
          double     v)
{
  switch (self->kind)
    {
    case RHY_LAY_ANGLE_TRUE:
      return rhy_wall_isometric_inverse (self->wall, self->anchor.s, v / self->r0);
    case RHY_LAY_AREA_TRUE:
      return rhy_wall_authalic_inverse (self->wall, self->anchor.s, v * self->r0);
    default:
      return self->anchor.s + v;
    }
}

static double
height_of (const Lay *self,
           double     s)
{
  switch (self->kind)
    {
    case RHY_LAY_ANGLE_TRUE:
      return rhy_wall_isometric (self->wall, self->anchor.s, s) * self->r0;
    case RHY_LAY_AREA_TRUE:
      return rhy_wall_authalic (self->wall, self->anchor.s, s) / self->r0;
    default:
      return s - self->anchor.s;
    }
}

/* ds/dv where the radius is r. */
static double
slant_rate (const Lay *self,
            double     r)
{
  switch (self->kind)
    {
    case RHY_LAY_ANGLE_TRUE:
      return r / self->r0;
    case RHY_LAY_AREA_TRUE:
      return self->r0 / r;
    default:
      return 1.0;
    }
}

RHY_MANY static void
place (double  s0,
       double  a0,
       gsize   n,
       double *s,
       double *a)
{
  for (gsize i = 0; i < n; i++)
    {
      s[i] += s0;
      a[i] += a0;
    }
}

/* in place: (u, v) from the anchor, turned, to (s, angle) */
static void
ringed_points (const Lay *self,
               gsize      n,
               double    *s,
               double    *a)
{
  const double by_r = 1.0 / around_radius (self);
  for (gsize i = 0; i < n; i++)
    {
      const double angle = self->anchor.angle + s[i] * by_r;
      s[i] = slant_of (self, a[i]);
      a[i] = angle;
    }
}

static gsize
lay_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
             double *out0, double *out1, guint8 *valid)
{
  const Lay *self = (const Lay *) map;
  turn_points (self->cos_turn, self->sin_turn, n, in0, in1, out0, out1);
  if (self->kind == RHY_LAY_ROLLED)
    {
      rhy_roll_on (self->roll, n, out0, out1, out0, out1);
      place (self->anchor.s, self->anchor.angle, n, out0, out1);
    }
  else
    ringed_points (self, n, out0, out1);
  return rhy_map_mark_on_wall (n, out0, out1, -RHY_WALL_SLACK_MM, self->s_max, valid);
}

static gsize
lay_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
             double *out0, double *out1, guint8 *valid)
{
  const Lay *self = (const Lay *) map;
  gsize missing = rhy_map_mark_on_wall (n, in0, in1, -RHY_WALL_SLACK_MM, self->s_max, valid);

  if (self->kind == RHY_LAY_ROLLED)
    {
      for (gsize i = 0; i < n; i++)
        {
          out0[i] = in0[i] - self->anchor.s;
          out1[i] = in1[i] - self->anchor.angle;
          /* Once round the apex the sheet meets itself: nothing of it lies beyond. */
          if (valid[i] && !(fabs (self->roll.n * out1[i]) < G_PI))
            {
              valid[i] = 0;
              missing++;
            }
        }
      rhy_roll_off (self->roll, n, out0, out1, out0, out1);
    }
  else
    {
      const double r = around_radius (self);
      for (gsize i = 0; i < n; i++)
        {
          const double u = (in1[i] - self->anchor.angle) * r;
          out1[i] = valid[i] ? height_of (self, in0[i]) : 0.0;
          out0[i] = u;
        }
    }
  turn_points (self->cos_turn, -self->sin_turn, n, out0, out1, out0, out1);
  return missing;
}

/* Rolled: with phi = n a the sheet's directions turn by phi on the wall, and the
 * parallel that the sheet takes for r' has that arc per radian:
 * ds = sin phi du + cos phi dv, r' da = cos phi du - sin phi dv.
 * Source: derived here (polar coordinates about the apex).
 */
static RhyJacobian
rolled_jacobian (const Lay *self,
                 double     s,
                 double     a)
{
  const double phi = self->roll.n * (a - self->anchor.angle);
  const double r = self->roll.r + self->roll.n * (s - self->anchor.s);
  return (RhyJacobian) { sin (phi), cos (phi), cos (phi) / r, -sin (phi) / r };
}

static gsize
lay_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
              double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const Lay *self = (const Lay *) map;
  const gsize missing = lay_forward (map, n, in0, in1, out0, out1, valid);
  for (gsize i = 0; i < n; i++)
    {
      RhyJacobian j = { 0.0, 0.0, 1.0 / around_radius (self), 0.0 };
      if (!valid[i])
        j = (RhyJacobian) { 0.0, 0.0, 0.0, 0.0 };
      else if (self->kind == RHY_LAY_ROLLED)
        j = rolled_jacobian (self, out0[i], out1[i]);
      else
        j.xy = slant_rate (self, rhy_wall_at (self->wall, out0[i]).r_mm);

      /* The turn comes first: u' = u cos - v sin, v' = u sin + v cos. */
      jacobians[i] = (RhyJacobian) {
        j.xx * self->cos_turn + j.xy * self->sin_turn, -j.xx * self->sin_turn + j.xy * self->cos_turn,
        j.yx * self->cos_turn + j.yy * self->sin_turn, -j.yx * self->sin_turn + j.yy * self->cos_turn,
      };
    }
  return missing;
}

static gboolean
lay_affine (const RhyMap *map, RhyAffine *affine)
{
  const Lay *self = (const Lay *) map;
  const gboolean ringed = self->kind == RHY_LAY_RINGED || self->kind == RHY_LAY_RINGED_BALANCED;
  const gboolean cylinder = rhy_wall_is_cone (self->wall) && rhy_wall_get_piece (self->wall, 0)->slope_rad == 0.0;
  const gboolean flat = self->kind == RHY_LAY_ROLLED && self->roll.n == 0.0;
  if (!ringed && !cylinder && !flat)
    return FALSE;

  const double by_r = 1.0 / (flat ? self->roll.r : around_radius (self));
  *affine = (RhyAffine) { .xx = self->sin_turn, .xy = self->cos_turn, .x0 = self->anchor.s,
                          .yx = by_r * self->cos_turn, .yy = -by_r * self->sin_turn, .y0 = self->anchor.angle };
  return TRUE;
}

static void
lay_clear (RhyMap *map)
{
  rhy_wall_unref (((Lay *) map)->wall);
}

static const RhyMapClass lay_class = { lay_forward, lay_inverse, lay_jacobian, lay_affine, lay_clear };

RhyRoll
rhy_lay_get_roll (const RhyMap *rolled)
{
  return ((const Lay *) rolled)->roll;
}

/* Where the ink lies along the wall: rolled on the tangent cone at the anchor,
 * which is near enough to say which band a better cone is to be fitted to.
 */
static double *
ink_slants (const Lay           *self,
            const RhyLayOptions *o,
            gsize               *n)
{
  const RhyRing ring = rhy_wall_at (self->wall, self->anchor.s);
  const RhyRoll tangent = { ring.r_mm, sin (ring.slope_rad) };
  double *s = g_new (double, o->n_ink + 1);
  *n = 0;
  for (gsize i = 0; i < o->n_ink; i++)
    {
      double u, v, a;
      turn_points (self->cos_turn, self->sin_turn, 1, &o->ink[i].u, &o->ink[i].v, &u, &v);
      if (self->kind == RHY_LAY_ROLLED)
        rhy_roll_on (tangent, 1, &u, &v, &v, &a);
      v += self->anchor.s;
      if (rhy_wall_has (self->wall, v))
        s[(*n)++] = CLAMP (v, 0.0, self->s_max);
    }
  return s;
}

/* Balanced: widths are true at the radius in the middle between the widest and
 * the narrowest under the ink; the greatest stretch either way is then the same,
 * (r_max - r_min)/(r_max + r_min), and no other radius has a smaller one.
 */
static double
balanced_radius (RhyWall      *wall,
                 const double *s,
                 gsize         n,
                 double        r0)
{
  if (n == 0)
    return r0;
  double low = s[0];
  double high = s[0];
  for (gsize i = 1; i < n; i++)
    {
      low = MIN (low, s[i]);
      high = MAX (high, s[i]);
    }
  return 0.5 * (rhy_wall_widest (wall, low, high).r_mm + rhy_wall_narrowest (wall, low, high).r_mm);
}

RhyMap *
rhy_lay_new (RhyWall             *wall,
             const RhyLayOptions *options,
             GError             **error)
{
  g_return_val_if_fail (wall != NULL && options != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (!rhy_wall_has (wall, options->anchor.s) || !isfinite (options->anchor.angle) || !isfinite (options->turn_rad))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE,
                   "the artwork's anchor is %g mm up the wall, which is %g mm long: it must be on it",
                   options->anchor.s, rhy_wall_get_length (wall));
      return NULL;
    }

  if (options->kind == RHY_LAY_SEEN)
    return rhy_lay_new_seen (wall, options, error);
  if (options->kind == RHY_LAY_LEAST_STRETCH)
    return rhy_lay_new_least (wall, options, error);

  Lay *self = rhy_map_alloc (Lay, &lay_class, RHY_SPACE_ART, RHY_SPACE_WALL);
  self->wall = rhy_wall_ref (wall);
  self->kind = options->kind;
  self->anchor = options->anchor;
  self->cos_turn = cos (options->turn_rad);
  self->sin_turn = sin (options->turn_rad);
  self->s_max = rhy_wall_get_length (wall) + RHY_WALL_SLACK_MM;
  self->r0 = rhy_wall_at (wall, options->anchor.s).r_mm;
  self->r_ref = self->r0;

  if (options->kind == RHY_LAY_ROLLED || options->kind == RHY_LAY_RINGED_BALANCED)
    {
      /* Rolled on a cone, the cone is what it is, wherever the ink lies. */
      const gboolean is_given = options->kind == RHY_LAY_ROLLED && rhy_wall_is_cone (wall);
      gsize n = 0;
      g_autofree double *slants = is_given ? NULL : ink_slants (self, options, &n);
      if (options->kind == RHY_LAY_RINGED_BALANCED)
        self->r_ref = balanced_radius (wall, slants, n, self->r0);
      else
        {
          const RhyConic conic = rhy_conic_fit (wall, slants, n, options->anchor.s);
          self->roll = (RhyRoll) { conic.r_mm, conic.sine };
        }
    }
  return &self->map;
}
