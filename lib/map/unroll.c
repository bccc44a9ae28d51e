/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/unroll.h>

#include <math.h>

#include "map-private.h"
#include "roll.h"

typedef struct
{
  RhyMap   map;
  RhyWall *wall;
  RhyRoll  roll;                /* at the lowest station */
  double   s_min, s_max;
} Unroll;

static gsize
unroll_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
                double *out0, double *out1, guint8 *valid)
{
  const Unroll *self = (const Unroll *) map;
  const gsize missing = rhy_map_mark_on_wall (n, in0, in1, self->s_min, self->s_max, valid);
  rhy_roll_off (self->roll, n, in0, in1, out0, out1);
  return missing;
}

static gsize
unroll_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
                double *out0, double *out1, guint8 *valid)
{
  const Unroll *self = (const Unroll *) map;
  rhy_roll_on (self->roll, n, in0, in1, out0, out1);
  return rhy_map_mark_on_wall (n, out0, out1, self->s_min, self->s_max, valid);
}

/* The inverse of the rolled lay's (see there). */
static gsize
unroll_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
                 double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const Unroll *self = (const Unroll *) map;
  for (gsize i = 0; i < n; i++)
    {
      const double phi = self->roll.n * in1[i];
      const double r = self->roll.r + self->roll.n * in0[i];
      jacobians[i] = (RhyJacobian) { sin (phi), r * cos (phi), cos (phi), -r * sin (phi) };
    }
  return unroll_forward (map, n, in0, in1, out0, out1, valid);
}

static gboolean
unroll_affine (const RhyMap *map, RhyAffine *affine)
{
  const Unroll *self = (const Unroll *) map;
  if (self->roll.n != 0.0)
    return FALSE;
  *affine = (RhyAffine) { .xy = self->roll.r, .yx = 1.0 };
  return TRUE;
}

static void
unroll_clear (RhyMap *map)
{
  rhy_wall_unref (((Unroll *) map)->wall);
}

static const RhyMapClass unroll_class = {
  unroll_forward, unroll_inverse, unroll_jacobian, unroll_affine, unroll_clear,
};

/* The straight piece that all slants lie on, or NULL. */
static const RhyWallPiece *
common_straight_piece (const RhyWall *wall,
                       const double  *s,
                       gsize          n,
                       double         s_ref)
{
  const gsize n_pieces = rhy_wall_get_n_pieces (wall);
  for (gsize k = 0; k < n_pieces; k++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, k);
      const double low = k == 0 ? -G_MAXDOUBLE : p->s_mm;
      const double high = k + 1 == n_pieces ? G_MAXDOUBLE : p->s_mm + p->length_mm;
      gboolean all = s_ref >= low && s_ref <= high && p->curvature_per_mm == 0.0;
      for (gsize i = 0; all && i < n; i++)
        all = s[i] >= low && s[i] <= high;
      if (all)
        return p;
    }
  return NULL;
}

/* The sum of squares, INFINITY where the cone comes to a point under the ink. */
static double
log_misfit (RhyConic      conic,
            const double *s_mm,
            const double *log_r,
            gsize         n)
{
  double sum = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      const double m = conic.r_mm + conic.sine * (s_mm[i] - conic.s_mm);
      if (!(m > 0.0))
        return INFINITY;
      const double e = log_r[i] - log (m);
      sum += e * e;
    }
  return sum;
}

/* Source: derived here. On the sheet a parallel has arc R + n (s - s_ref) per
 * radian, on the wall r (s): its stretch is r/(R + n ds), along the meridian there
 * is none. Least squares of e = ln r - ln (R + n ds) in R and n by Gauss-Newton
 * (de/dR = -1/m, de/dn = -ds/m with m = R + n ds), steps halved until they help. It
 * starts from the cylinder of the reference ring, which no band brings to a point.
 */
RhyConic
rhy_conic_fit (const RhyWall *wall,
               const double  *s_mm,
               gsize          n,
               double         s_ref_mm)
{
  g_return_val_if_fail (wall != NULL && (s_mm != NULL || n == 0), (RhyConic) { 0 });

  const RhyWallPiece *piece = common_straight_piece (wall, s_mm, n, s_ref_mm);
  const RhyRing ring = rhy_wall_at (wall, s_ref_mm);
  RhyConic conic = { s_ref_mm, ring.r_mm, sin (ring.slope_rad) };
  if (piece != NULL)
    conic.sine = sin (piece->slope_rad);
  if (piece != NULL || n < 2)
    return conic;

  conic.sine = 0.0;
  g_autofree double *log_r = g_new (double, n);
  for (gsize i = 0; i < n; i++)
    log_r[i] = log (rhy_wall_at (wall, s_mm[i]).r_mm);

  double now = log_misfit (conic, s_mm, log_r, n);
  for (int step = 0; step < 50; step++)
    {
      double a = 0.0, b = 0.0, c = 0.0, p = 0.0, q = 0.0;
      for (gsize i = 0; i < n; i++)
        {
          const double ds = s_mm[i] - s_ref_mm;
          const double m = conic.r_mm + conic.sine * ds;
          const double e = log_r[i] - log (m);
          a += 1.0 / (m * m);
          b += ds / (m * m);
          c += ds * ds / (m * m);
          p += e / m;
          q += e * ds / m;
        }
      const double det = a * c - b * b;
      /* One ring only: its radius can be met, the taper stays as it is. */
      const gboolean one_ring = !(det > 1e-12 * a * c);
      const double dr = one_ring ? p / a : (c * p - b * q) / det;
      const double dn = one_ring ? 0.0 : (a * q - b * p) / det;

      RhyConic next = conic;
      double then = INFINITY;
      for (double part = 1.0; part > 1e-3 && !(then <= now); part *= 0.5)
        {
          next.r_mm = conic.r_mm + part * dr;
          next.sine = conic.sine + part * dn;
          then = log_misfit (next, s_mm, log_r, n);
        }
      if (!(then <= now))
        break;
      conic = next;
      now = then;
      if (fabs (dr) < 1e-13 * conic.r_mm && fabs (dn) < 1e-13)
        break;
    }
  return conic;
}

RhyMap *
rhy_unroll_new (RhyWall        *wall,
                const RhyConic *conic,
                GError        **error)
{
  g_return_val_if_fail (wall != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  enum { N_SLANTS = 129 };
  double slants[N_SLANTS];
  RhyConic own;
  if (conic == NULL)
    {
      for (int i = 0; i < N_SLANTS; i++)
        slants[i] = rhy_wall_get_length (wall) * i / (N_SLANTS - 1);
      own = rhy_conic_fit (wall, slants, N_SLANTS, 0.0);
      conic = &own;
    }

  return rhy_unroll_new_band (wall, conic, 0.0, rhy_wall_get_length (wall), error);
}

RhyMap *
rhy_unroll_new_band (RhyWall        *wall,
                     const RhyConic *conic,
                     double          s_low_mm,
                     double          s_high_mm,
                     GError        **error)
{
  g_return_val_if_fail (wall != NULL && conic != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  const double r0 = conic->r_mm - conic->sine * conic->s_mm;
  const double low = r0 + conic->sine * s_low_mm;
  const double high = r0 + conic->sine * s_high_mm;
  if (!(low > 0.0 && high > 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY,
                   "the pattern's cone comes to a point on the wall (%g mm at the lower end, %g mm at the upper): "
                   "unroll a smaller band", low, high);
      return NULL;
    }

  Unroll *self = rhy_map_alloc (Unroll, &unroll_class, RHY_SPACE_WALL, RHY_SPACE_PATTERN);
  self->wall = rhy_wall_ref (wall);
  self->roll = (RhyRoll) { r0, conic->sine };
  self->s_min = s_low_mm - RHY_WALL_SLACK_MM;
  self->s_max = s_high_mm + RHY_WALL_SLACK_MM;
  return &self->map;
}
