/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "lay-private.h"

#include <math.h>

#include "../shape/sinc.h"
#include "map-private.h"

/* The lay that looks undistorted from one place: an upright plane with the art
 * stands at the anchor, facing the eye, and each of its points goes along the
 * line of sight to where that first enters the vessel.
 *
 * Axes: x from the vessel's axis to the eye's side through the anchor, y along the
 * wall there (growing angle), z up. The eye is at (E, 0, h), the plane at x = r0,
 * r0 the radius at the anchor. With q = 1/(E - r0), and q = 0 for parallel sight, the
 * line through the art point (u, v) is
 *
 *   x = r0 - t,  y = u (1 + q t),  z = zp + q (zp - h) t,  zp = z0 + v
 *
 * which starts near the wall (t = 0 on the plane; the eye is at t = -1/q), so that
 * a far eye costs no digits, and needs no case for parallel sight.
 * Source: derived here.
 *
 * The vessel counts as solid, closed by flat discs at the base and at the mouth:
 * what is seen through the mouth is the inside, which is not this wall.
 */
typedef struct
{
  double z, r, s;              /* at the piece's lower end */
  double sin_b, cos_b;         /* of its slope there */
  double k;
} Piece;

typedef struct
{
  RhyMap       map;
  RhyWall     *wall;
  RhyWallPoint anchor;
  double       cos_turn, sin_turn;
  double       r0, z0;         /* at the anchor */
  double       q, h;           /* the eye */
  double       r_reach;        /* a little more than the wall's greatest radius */
  gsize        n;
  Piece       *pieces;
  double      *z_low;          /* n + 1 heights between the pieces, the ends with the slack */
} Seen;

/* One line of sight. */
typedef struct { double u, zp, r0, q, m; } Sight;

typedef enum { SIGHT_PASSES, SIGHT_ENTERS_WALL, SIGHT_ENTERS_END } SightEnd;

/* How far the line is outside the wall, d - R with d its distance from the axis,
 * and how that changes along it. */
typedef struct { double g, slope; } Gap;

/* Slope and radius of a piece where it has risen by dz: sin b grows evenly with
 * height, and the chord's slope has the tangent (sin b0 + sin b)/(cos b0 + cos b). */
static inline void
piece_at (const Piece *p,
          double       dz,
          double      *r,
          double      *sin_b,
          double      *cos_b)
{
  *sin_b = CLAMP (p->sin_b + p->k * dz, -1.0, 1.0);
  *cos_b = p->k == 0.0 ? p->cos_b : sqrt ((1.0 - *sin_b) * (1.0 + *sin_b));
  *r = p->r + dz * (p->sin_b + *sin_b) / (p->cos_b + *cos_b);
}

static Gap
gap_at (const Piece *p,
        Sight        l,
        double       t)
{
  const double x = l.r0 - t;
  const double y = l.u * (1.0 + l.q * t);
  const double d = hypot (x, y);
  double r, sin_b, cos_b;
  piece_at (p, l.zp + l.m * t - p->z, &r, &sin_b, &cos_b);
  const double along = d > 0.0 ? (l.u * l.q * y - x) / d : 0.0;
  return (Gap) { d - r, along - (l.m != 0.0 ? l.m * sin_b / cos_b : 0.0) };
}

/* The crossing between @a (outside) and @b (not): Newton's steps, halving where
 * one would leave the bracket. */
static double
solve (const Piece *p,
       Sight        l,
       double       a,
       double       b)
{
  double t = 0.5 * (a + b);
  for (int i = 0; i < 100; i++)
    {
      const Gap at = gap_at (p, l, t);
      if (at.g > 0.0)
        a = t;
      else
        b = t;
      double next = t - at.g / at.slope;
      if (!(next > a && next < b))
        next = 0.5 * (a + b);
      const double step = fabs (next - t);
      t = next;
      if (step <= 1e-15 * (l.r0 + fabs (t)))
        break;
    }
  return t;
}

/* Where |d''| and |R''| are bounded over a stretch of the line, so is the gap's
 * second derivative: @least <= g'' <= @most. d'' = (x y' - y x')^2/d^3, its
 * numerator the same all along a line; R'' = m^2 k/cos^3 b.
 * Source: derived here.
 */
static void
bound_bend (const Piece *p,
            Sight        l,
            double       a,
            double       b,
            double      *least,
            double      *most)
{
  const double cross = l.u * (1.0 + l.q * l.r0);
  const double uq = l.u * l.q;
  const double nearest = CLAMP ((l.r0 - uq * l.u) / (1.0 + uq * uq), a, b);
  const double d = hypot (l.r0 - nearest, l.u * (1.0 + l.q * nearest));
  double r, sin_b, cos_a, cos_b;
  piece_at (p, l.zp + l.m * a - p->z, &r, &sin_b, &cos_a);
  piece_at (p, l.zp + l.m * b - p->z, &r, &sin_b, &cos_b);
  const double cos_least = MIN (cos_a, cos_b);
  const double bend = l.m == 0.0 ? 0.0 : l.m * l.m * p->k / (cos_least * cos_least * cos_least);
  *least = bend > 0.0 ? -bend : 0.0;
  *most = cross * cross / (d * d * d) + (bend < 0.0 ? -bend : 0.0);
}

/* The first crossing on an arc between @a (outside) and @b, NAN if none. A line can
 * cross a waist up to four times, so a sign at each end does not tell: halves are
 * looked at, the nearer one first, until the bounds on g'' say that there is no
 * crossing, or only one. Only where the line grazes the wall does that go deep. */
static double
first_on_arc (const Piece *p,
              Sight        l,
              double       a,
              Gap          ga,
              double       b,
              Gap          gb,
              int          depth)
{
  double least, most;
  bound_bend (p, l, a, b, &least, &most);
  const double w = b - a;

  if (gb.g > 0.0)
    {
      const double half = 0.5 * w;
      const double bend = 0.5 * least * half * half;
      if (ga.g + half * ga.slope + bend > 0.0 && gb.g - half * gb.slope + bend > 0.0)
        return NAN;
    }
  else if (least == 0.0 || ga.slope + most * w < 0.0)
    return solve (p, l, a, b);

  if (depth == 0)
    return gb.g > 0.0 ? NAN : solve (p, l, a, b);

  const double mid = a + 0.5 * w;
  const Gap gm = gap_at (p, l, mid);
  const double t = first_on_arc (p, l, a, ga, mid, gm, depth - 1);
  if (!isnan (t) || gm.g <= 0.0)
    return t;
  return first_on_arc (p, l, mid, gm, b, gb, depth - 1);
}

/* On a straight piece: x^2 + y^2 = (rho + nu t)^2, of which the root is wanted that
 * goes in, on the nappe with a positive radius. One step of Newton's on d - R takes
 * off what the squares have lost. */
static double
first_on_cone (const Piece *p,
               Sight        l,
               double       a,
               double       b)
{
  const double tan_b = p->sin_b / p->cos_b;
  const double rho = p->r + (l.zp - p->z) * tan_b;
  const double nu = l.m * tan_b;
  const double A = 1.0 + l.u * l.u * l.q * l.q - nu * nu;
  const double B = l.u * l.u * l.q - l.r0 - rho * nu;
  const double C = l.u * l.u + (l.r0 - rho) * (l.r0 + rho);
  const double disc = B * B - A * C;
  if (!(disc >= 0.0))
    return NAN;

  const double w = -(B + copysign (sqrt (disc), B));
  const double roots[2] = { A != 0.0 ? w / A : NAN, w != 0.0 ? C / w : NAN };
  double first = NAN;
  for (gsize i = 0; i < 2; i++)
    {
      const double t = roots[i];
      if (t >= a && t <= b && rho + nu * t > 0.0 && A * t + B <= 0.0 && !(t >= first))
        first = t;
    }
  if (isnan (first))
    return NAN;
  const Gap at = gap_at (p, l, first);
  const double next = first - at.g / at.slope;
  return fabs (next - first) < 1e-6 ? CLAMP (next, a, b) : first;
}

static gsize
piece_of (const Seen *self,
          double      z)
{
  gsize low = 0;
  gsize high = self->n;
  while (high - low > 1)
    {
      const gsize mid = (low + high) / 2;
      if (self->z_low[mid] <= z)
        low = mid;
      else
        high = mid;
    }
  return low;
}

/* The part of a line, from t = @lo to @hi, that is both within the greatest radius and
 * between base and mouth, this side of the eye. */
static gboolean
within_reach (const Seen *self,
              Sight       l,
              double     *lo,
              double     *hi)
{
  const double A = 1.0 + l.u * l.u * l.q * l.q;
  const double B = l.u * l.u * l.q - l.r0;
  const double C = l.u * l.u + (l.r0 - self->r_reach) * (l.r0 + self->r_reach);
  const double disc = B * B - A * C;
  if (!(disc > 0.0))
    return FALSE;
  *lo = (-B - sqrt (disc)) / A;
  *hi = (-B + sqrt (disc)) / A;
  if (l.q > 0.0)
    *lo = MAX (*lo, -1.0 / l.q);

  const double bottom = self->z_low[0];
  const double top = self->z_low[self->n];
  if (l.m == 0.0)
    return l.zp >= bottom && l.zp <= top && *lo < *hi;
  const double t0 = (bottom - l.zp) / l.m;
  const double t1 = (top - l.zp) / l.m;
  *lo = MAX (*lo, MIN (t0, t1));
  *hi = MIN (*hi, MAX (t0, t1));
  return *lo < *hi;
}

static SightEnd
follow (const Seen *self,
        Sight       l,
        double     *t,
        gsize      *piece)
{
  double lo, hi;
  if (!within_reach (self, l, &lo, &hi))
    return SIGHT_PASSES;

  gsize i = piece_of (self, l.zp + l.m * lo);
  if (gap_at (&self->pieces[i], l, lo).g < 0.0)
    return SIGHT_ENTERS_END;

  double a = lo;
  for (;;)
    {
      const Piece *p = &self->pieces[i];
      const gboolean last = l.m == 0.0 || (l.m > 0.0 ? i + 1 == self->n : i == 0);
      double b = hi;
      if (!last)
        b = CLAMP ((self->z_low[l.m > 0.0 ? i + 1 : i] - l.zp) / l.m, a, hi);

      const Gap ga = gap_at (p, l, a);
      double found;
      if (ga.g <= 0.0)
        found = a;      /* the crossing is at the join, and rounding hid it from the piece before */
      else if (p->k == 0.0)
        found = first_on_cone (p, l, a, b);
      else
        found = first_on_arc (p, l, a, ga, b, gap_at (p, l, b), 48);
      if (!isnan (found))
        {
          *t = found;
          *piece = i;
          return SIGHT_ENTERS_WALL;
        }
      if (last || b >= hi)
        return SIGHT_PASSES;
      a = b;
      i = l.m > 0.0 ? i + 1 : i - 1;
    }
}

static inline Sight
sight_through (const Seen *self,
               double      u,
               double      v)
{
  const double zp = self->z0 + v;
  return (Sight) { u, zp, self->r0, self->q, self->q * (zp - self->h) };
}

/* A point of the wall as the eye's frame has it. */
typedef struct { double s, phi, x, y, z, r, sin_b, cos_b; } Spot;

static gboolean
spot_seen (const Seen *self,
           double      u,
           double      v,
           Spot       *spot)
{
  if (!isfinite (u) || !isfinite (v))
    return FALSE;
  const Sight l = sight_through (self, u, v);
  double t;
  gsize i;
  if (follow (self, l, &t, &i) != SIGHT_ENTERS_WALL)
    return FALSE;

  const Piece *p = &self->pieces[i];
  spot->x = l.r0 - t;
  spot->y = l.u * (1.0 + l.q * t);
  spot->z = l.zp + l.m * t;
  spot->phi = atan2 (spot->y, spot->x);
  const double dz = spot->z - p->z;
  piece_at (p, dz, &spot->r, &spot->sin_b, &spot->cos_b);
  const double along = p->cos_b + spot->cos_b;
  const double chord = dz / along * hypot (along, p->sin_b + spot->sin_b);
  spot->s = p->s + chord * rhy_asinc (CLAMP (0.5 * p->k * chord, -1.0, 1.0));
  return rhy_wall_has (self->wall, spot->s);
}

/* The same from art as drawn, before its turn. */
static guint8
turned_spot (const Seen *self,
             double      u,
             double      v,
             Spot       *spot)
{
  return (guint8) spot_seen (self, self->cos_turn * u - self->sin_turn * v,
                             self->sin_turn * u + self->cos_turn * v, spot);
}

/* From a spot back to the plane, and how u and v change with s and angle there: with
 * t = r0 - x and f = 1 + q t, u = y/f and zp = (z + q h t)/f, so
 * du = (dy + u q dx)/f, dv = (dz + q (zp - h) dx)/f.
 * Source: derived here. */
static void
project (const Seen  *self,
         Spot         p,
         double      *u,
         double      *v,
         RhyJacobian *back)
{
  const double t = self->r0 - p.x;
  const double f = 1.0 + self->q * t;
  *u = p.y / f;
  const double zp = (p.z + self->q * self->h * t) / f;
  *v = zp - self->z0;

  const double cos_phi = cos (p.phi);
  const double sin_phi = sin (p.phi);
  const double dx_ds = p.sin_b * cos_phi;
  const double dy_ds = p.sin_b * sin_phi;
  const double dx_da = -p.r * sin_phi;
  const double dy_da = p.r * cos_phi;
  const double up = self->q * (zp - self->h);
  *back = (RhyJacobian) { (dy_ds + *u * self->q * dx_ds) / f, (dy_da + *u * self->q * dx_da) / f,
                          (p.cos_b + up * dx_ds) / f, up * dx_da / f };
}

static gsize
seen_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
              double *out0, double *out1, guint8 *valid)
{
  const Seen *self = (const Seen *) map;
  gsize missing = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double u = in0[i];
      const double v = in1[i];
      Spot spot = { 0 };
      valid[i] = turned_spot (self, u, v, &spot);
      missing += !valid[i];
      out0[i] = valid[i] ? spot.s : 0.0;
      out1[i] = valid[i] ? self->anchor.angle + spot.phi : 0.0;
    }
  return missing;
}

/* The derivative is the inverse of the way back's: its determinant is the cosine of
 * incidence but for factors that do not vanish, so it fails only at the edge of
 * sight, where the lay's stretch has no bound either. */
static gsize
seen_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
               double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const Seen *self = (const Seen *) map;
  gsize missing = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double u = in0[i];
      const double v = in1[i];
      Spot spot = { 0 };
      RhyJacobian j = { 0.0, 0.0, 0.0, 0.0 };
      valid[i] = turned_spot (self, u, v, &spot);
      if (valid[i])
        {
          double pu, pv;
          RhyJacobian b;
          project (self, spot, &pu, &pv, &b);
          const double det = b.xx * b.yy - b.xy * b.yx;
          j = (RhyJacobian) { b.yy / det, -b.xy / det, -b.yx / det, b.xx / det };
        }
      missing += !valid[i];
      out0[i] = valid[i] ? spot.s : 0.0;
      out1[i] = valid[i] ? self->anchor.angle + spot.phi : 0.0;
      jacobians[i] = (RhyJacobian) {
        j.xx * self->cos_turn + j.xy * self->sin_turn, -j.xx * self->sin_turn + j.xy * self->cos_turn,
        j.yx * self->cos_turn + j.yy * self->sin_turn, -j.yx * self->sin_turn + j.yy * self->cos_turn,
      };
    }
  return missing;
}

/* At the edge of sight two crossings run together and each is known only to the
 * root of the rounding; a wall point that the line reaches this little before its
 * own place is that point itself, not something in front of it. */
#define SAME_SPOT_MM 1e-5

static gboolean
is_in_sight (const Seen *self,
             Spot        p,
             double      u,
             double      v)
{
  const Sight l = sight_through (self, u, v);
  const double facing = p.cos_b * (cos (p.phi) - l.u * l.q * sin (p.phi)) + p.sin_b * l.m;
  if (!(facing >= 0.0))
    return FALSE;

  double t;
  gsize i;
  switch (follow (self, l, &t, &i))
    {
    case SIGHT_ENTERS_WALL:
      return t >= self->r0 - p.x - SAME_SPOT_MM;
    case SIGHT_PASSES:
      return TRUE;      /* it grazes: facing above says from which side */
    default:
      return FALSE;
    }
}

static gsize
seen_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
              double *out0, double *out1, guint8 *valid)
{
  const Seen *self = (const Seen *) map;
  gsize missing = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double s = in0[i];
      const double angle = in1[i];
      double u = 0.0;
      double v = 0.0;
      valid[i] = isfinite (angle) && rhy_wall_has (self->wall, s);
      if (valid[i])
        {
          const RhyRing ring = rhy_wall_at (self->wall, s);
          const double phi = remainder (angle - self->anchor.angle, 2.0 * G_PI);
          const Spot spot = { s, phi, ring.r_mm * cos (phi), ring.r_mm * sin (phi), ring.z_mm, ring.r_mm,
                              sin (ring.slope_rad), cos (ring.slope_rad) };
          RhyJacobian unwanted;
          valid[i] = 1.0 + self->q * (self->r0 - spot.x) > 0.0;
          if (valid[i])
            {
              project (self, spot, &u, &v, &unwanted);
              valid[i] = (guint8) is_in_sight (self, spot, u, v);
            }
        }
      missing += !valid[i];
      out0[i] = self->cos_turn * u + self->sin_turn * v;
      out1[i] = -self->sin_turn * u + self->cos_turn * v;
    }
  return missing;
}

static void
seen_clear (RhyMap *map)
{
  Seen *self = (Seen *) map;
  rhy_wall_unref (self->wall);
  g_free (self->pieces);
  g_free (self->z_low);
}

static const RhyMapClass seen_class = { seen_forward, seen_inverse, seen_jacobian, NULL, seen_clear };

/* Whether an eye stands clear of the vessel; sets the radius it must be beyond. */
static gboolean
is_outside (RhyWall *wall,
            double   distance,
            double   height,
            double   r0,
            double  *must)
{
  RhyRing ring;
  *must = r0;
  if (rhy_wall_at_height (wall, height, &ring))
    *must = MAX (*must, ring.r_mm);
  return distance > *must;
}

RhyMap *
rhy_lay_new_seen (RhyWall             *wall,
                  const RhyLayOptions *options,
                  GError             **error)
{
  const double E = options->eye_distance_mm;
  const double h = options->eye_height_mm;
  const RhyRing at = rhy_wall_at (wall, options->anchor.s);
  double must;

  if (!(E >= 0.0 && isfinite (E)) || (E > 0.0 && !isfinite (h)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY,
                   "eye %g mm from the axis, %g mm high: the distance must be 0 (parallel sight) or more", E, h);
      return NULL;
    }
  if (E > 0.0 && !is_outside (wall, E, h, at.r_mm, &must))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY,
                   "eye distance %g mm from the axis: it must be more than %.4g mm, or the eye is inside the vessel",
                   E, must);
      return NULL;
    }

  Seen *self = rhy_map_alloc (Seen, &seen_class, RHY_SPACE_ART, RHY_SPACE_WALL);
  self->wall = rhy_wall_ref (wall);
  self->anchor = options->anchor;
  self->cos_turn = cos (options->turn_rad);
  self->sin_turn = sin (options->turn_rad);
  self->r0 = at.r_mm;
  self->z0 = at.z_mm;
  self->q = E > 0.0 ? 1.0 / (E - at.r_mm) : 0.0;
  self->h = E > 0.0 ? h : 0.0;

  const double length = rhy_wall_get_length (wall);
  self->r_reach = 1e-3 + rhy_wall_widest (wall, 0.0, length).r_mm;
  self->n = rhy_wall_get_n_pieces (wall);
  self->pieces = g_new (Piece, self->n);
  self->z_low = g_new (double, self->n + 1);
  for (gsize i = 0; i < self->n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      self->pieces[i] = (Piece) { p->z_mm, p->r_mm, p->s_mm, sin (p->slope_rad), cos (p->slope_rad), p->curvature_per_mm };
      self->z_low[i] = p->z_mm;
    }
  self->z_low[0] -= RHY_WALL_SLACK_MM;
  self->z_low[self->n] = rhy_wall_at (wall, length).z_mm + RHY_WALL_SLACK_MM;
  return &self->map;
}
