/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "photo-case.h"

#include <math.h>

/* Source: derived here. With the eye at the distance D from the axis, the ray
 * (a, c) is at depth t at (a t, c t) from the axis' foot and the eye's height h, and
 * r^2 = a^2 t^2 + (t - D)^2 from the axis. Along an outline a = a(c). The rays that
 * touch the surface are its envelope in (z, r): with z = h + c t held still,
 * dt/dc = -t/c, and the derivative of r^2 by c must vanish:
 *
 *   a a' t^2 - (a^2 t + t - D) t/c = 0,   t = D/(1 + a^2 - a a' c).
 *
 * A cylinder has a' = 0: r = a D/sqrt (1 + a^2), the apparent radius a D shortened.
 */
void
rhy_tangent_point (double  distance_mm,
                   double  eye_mm,
                   double  a,
                   double  c,
                   double  slope,
                   double *z_mm,
                   double *r_mm)
{
  const double t = distance_mm / (1.0 + a * a - a * slope * c);
  *z_mm = eye_mm + c * t;
  *r_mm = hypot (a * t, t - distance_mm);
}

static RhyPhotoVec
mix (double      a,
     RhyPhotoVec u,
     double      b,
     RhyPhotoVec v)
{
  return (RhyPhotoVec) { a * u.x + b * v.x, a * u.y + b * v.y, a * u.z + b * v.z };
}

static double
dot (RhyPhotoVec u,
     RhyPhotoVec v)
{
  return u.x * v.x + u.y * v.y + u.z * v.z;
}

static RhyPhotoVec
cross (RhyPhotoVec u,
       RhyPhotoVec v)
{
  return (RhyPhotoVec) { u.y * v.z - u.z * v.y, u.z * v.x - u.x * v.z, u.x * v.y - u.y * v.x };
}

static RhyPhotoVec
unit (RhyPhotoVec u)
{
  const double length = sqrt (dot (u, u));
  return (RhyPhotoVec) { u.x / length, u.y / length, u.z / length };
}

void
rhy_photo_case_init (RhyPhotoCase        *self,
                     const RhyOutline    *outline,
                     const RhyPhotoKnown *known)
{
  *self = (RhyPhotoCase) { .outline = outline, .known = known, .axis = { outline->base, outline->rim },
                           .off = { outline->mark_u_px, 0.0, outline->mark_u_px } };
  for (int s = 0; s < 2; s++)
    {
      RhyPhotoSide *side = &self->side[s];
      self->use[s] = g_new0 (gboolean, outline->n_rows);
      self->use_end[s] = outline->n_end[s] > 0;
      side->a = g_new (double, outline->n_rows);
      side->c = g_new (double, outline->n_rows);
      side->z = g_new (double, outline->n_rows);
      side->r = g_new (double, outline->n_rows);
      side->row = g_new (gsize, outline->n_rows);
    }
}

void
rhy_photo_case_clear (RhyPhotoCase *self)
{
  for (int s = 0; s < 2; s++)
    {
      g_free (self->use[s]);
      g_free (self->side[s].a);
      g_free (self->side[s].c);
      g_free (self->side[s].z);
      g_free (self->side[s].r);
      g_free (self->side[s].row);
    }
}

/* ---- rays ---- */

double
rhy_photo_distance (const double *x)
{
  return exp (x[RHY_PHOTO_LN_DISTANCE]);
}

double
rhy_photo_focal (const double *x)
{
  return exp (x[RHY_PHOTO_LN_DISTANCE] + x[RHY_PHOTO_LN_SCALE]);
}

/* How far the camera looks down. */
double
rhy_photo_case_tilt (const RhyPhotoCase *self,
                     const double       *x)
{
  return atan ((x[RHY_PHOTO_EYE_HEIGHT] - 0.5 * self->known->height_mm) / rhy_photo_distance (x)) - x[RHY_PHOTO_AIM];
}

double
rhy_photo_pixel_mm (const double *x)
{
  return exp (-x[RHY_PHOTO_LN_SCALE]);
}

static RhyPhotoVec
direction_of (const RhyOutline *o,
              const double     *x,
              RhyPoint          p)
{
  const double px = p.x - 0.5 * o->width, py = p.y - 0.5 * o->height;
  const double half = 0.5 * hypot (o->width, o->height);
  const double s = 1.0 + x[RHY_PHOTO_DISTORTION] * (px * px + py * py) / (half * half);
  return (RhyPhotoVec) { px * s, py * s, rhy_photo_focal (x) };
}

/* The plane through the eye and the axis, and in it the axis: straight up in the
 * picture's sense, leaning by the tilt. */
RhyPhotoFrame
rhy_photo_case_frame (const RhyPhotoCase *self,
                      const double       *x)
{
  const RhyPoint base = self->axis[0], rim = self->axis[1];
  const double length = hypot (rim.x - base.x, rim.y - base.y);
  const RhyPoint aside = { -(rim.y - base.y) / length, (rim.x - base.x) / length };
  const double off_base = self->off[0] * x[RHY_PHOTO_AXIS_BASE];
  const double off_rim = self->off[1] * x[RHY_PHOTO_AXIS_BASE] + self->off[2] * x[RHY_PHOTO_AXIS_RIM];
  const RhyPhotoVec low = direction_of (self->outline, x, (RhyPoint) { base.x + off_base * aside.x, base.y + off_base * aside.y });
  const RhyPhotoVec high = direction_of (self->outline, x, (RhyPoint) { rim.x + off_rim * aside.x, rim.y + off_rim * aside.y });

  const RhyPhotoVec right = unit (cross (low, high));
  const RhyPhotoVec ahead = unit (mix (1.0, (RhyPhotoVec) { 0.0, 0.0, 1.0 }, -right.z, right));
  const RhyPhotoVec above = cross (right, ahead);
  const double tilt = rhy_photo_case_tilt (self, x);
  return (RhyPhotoFrame) { .right = right,
                   .forward = mix (sin (tilt), above, cos (tilt), ahead),
                   .up = mix (cos (tilt), above, -sin (tilt), ahead) };
}

void
rhy_photo_case_ray (const RhyPhotoCase  *self,
                    const double        *x,
                    const RhyPhotoFrame *frame,
                    RhyPoint             p,
                    double              *a,
                    double              *c)
{
  const RhyPhotoVec d = direction_of (self->outline, x, p);
  const double depth = dot (d, frame->forward);
  *a = dot (d, frame->right) / depth;
  *c = dot (d, frame->up) / depth;
}

RhyPoint
rhy_photo_case_point (const RhyPhotoCase  *self,
                      const double        *x,
                      const RhyPhotoFrame *frame,
                      double               a,
                      double               c)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoVec d = mix (1.0, mix (1.0, frame->forward, a, frame->right), c, frame->up);
  const double half = 0.5 * hypot (o->width, o->height);
  const double px = d.x / d.z * rhy_photo_focal (x), py = d.y / d.z * rhy_photo_focal (x);
  double s = 1.0;
  for (int i = 0; i < 8; i++)
    s = 1.0 / (1.0 + x[RHY_PHOTO_DISTORTION] * s * s * (px * px + py * py) / (half * half));
  return (RhyPoint) { px * s + 0.5 * o->width, py * s + 0.5 * o->height };
}

/* ---- from the outline to the profile ---- */

/* The slope of r over t near entry i, by least squares over neighbours. */
double
rhy_photo_slope_near (const double *t,
                      const double *r,
                      gsize         n,
                      gsize         i,
                      gsize         reach)
{
  const gsize from = i > reach ? i - reach : 0;
  const gsize to = MIN (i + reach + 1, n);
  double st = 0.0, sr = 0.0, stt = 0.0, str = 0.0;
  for (gsize k = from; k < to; k++)
    {
      st += t[k] - t[i];
      sr += r[k] - r[i];
    }
  const double mt = st / (double) (to - from), mr = sr / (double) (to - from);
  for (gsize k = from; k < to; k++)
    {
      const double dt = t[k] - t[i] - mt;
      stt += dt * dt;
      str += dt * (r[k] - r[i] - mr);
    }
  return stt > 0.0 ? str / stt : 0.0;
}

static void
trace_side (RhyPhotoCase        *self,
            const double        *x,
            const RhyPhotoFrame *frame,
            int                  s)
{
  const RhyOutline *o = self->outline;
  RhyPhotoSide *side = &self->side[s];
  gsize n = 0;
  for (gsize i = 0; i < o->n_rows; i++)
    {
      if (!self->use[s][i])
        continue;
      rhy_photo_case_ray (self, x, frame, o->side[s][i], &side->a[n], &side->c[n]);
      if (s == 0)
        side->a[n] = -side->a[n];
      side->row[n] = i;
      n++;
    }

  /* An error of the slope moves the point along its ray, which touches the profile:
   * it counts by its square. */
  const gsize reach = MAX (3, o->n_rows / 150);
  const double edge = x[RHY_PHOTO_EDGE] / rhy_photo_focal (x);
  gsize kept = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double slope = rhy_photo_slope_near (side->c, side->a, n, i, reach);
      double z, r;
      rhy_tangent_point (rhy_photo_distance (x), x[RHY_PHOTO_EYE_HEIGHT], side->a[i] - edge * hypot (1.0, slope), side->c[i],
                         slope, &z, &r);
      if (kept > 0 && !(z > side->z[kept - 1]))
        continue;
      side->z[kept] = z;
      side->r[kept] = r;
      side->row[kept] = side->row[i];
      kept++;
    }
  side->n = kept;
}

gsize
rhy_photo_side_below (const RhyPhotoSide *side,
                      double              z)
{
  gsize low = 0, high = side->n - 1;
  while (high - low > 1)
    {
      const gsize mid = (low + high) / 2;
      if (side->z[mid] <= z)
        low = mid;
      else
        high = mid;
    }
  return low;
}

/* FALSE where the side has no points near. */
gboolean
rhy_photo_side_at (const RhyPhotoSide *side,
                   double              z,
                   double             *r)
{
  enum { GAP = 6 };
  if (side->n < 2 || !(z >= side->z[0] && z <= side->z[side->n - 1]))
    return FALSE;
  const gsize i = rhy_photo_side_below (side, z);
  if (side->row[i + 1] - side->row[i] > GAP)
    return FALSE;
  const double t = (z - side->z[i]) / (side->z[i + 1] - side->z[i]);
  *r = side->r[i] + t * (side->r[i + 1] - side->r[i]);
  return TRUE;
}

/* Twice the only radius where there is one. */
gboolean
rhy_photo_case_diameter_at (const RhyPhotoCase *self,
                            double              z,
                            double             *d,
                            gboolean           *both)
{
  double left, right;
  const gboolean has_left = rhy_photo_side_at (&self->side[0], z, &left);
  const gboolean has_right = rhy_photo_side_at (&self->side[1], z, &right);
  *both = has_left && has_right;
  if (*both)
    *d = left + right;
  else
    *d = 2.0 * (has_left ? left : right);
  return has_left || has_right;
}

/* Carried on in a straight line to an end of the wall, which the rows do not quite reach. */
gboolean
rhy_photo_case_diameter_beyond (const RhyPhotoCase *self,
                                double              z,
                                double             *d)
{
  enum { ROWS = 8 };
  double sum = 0.0;
  int sides = 0;
  for (int s = 0; s < 2; s++)
    {
      const RhyPhotoSide *side = &self->side[s];
      if (side->n < ROWS)
        continue;
      const gboolean below = z < side->z[side->n / 2];
      const gsize from = below ? 0 : side->n - ROWS;
      const gsize mid = from + ROWS / 2;
      const double slope = rhy_photo_slope_near (side->z + from, side->r + from, ROWS, ROWS / 2, ROWS);
      double mz = 0.0, mr = 0.0;
      for (gsize i = from; i < from + ROWS; i++)
        {
          mz += side->z[i] / ROWS;
          mr += side->r[i] / ROWS;
        }
      /* A side that ends earlier, hidden by a handle, says nothing of the end. */
      if (fabs (side->z[mid] - z) > 0.12 * (side->z[side->n - 1] - side->z[0]))
        continue;
      sum += mr + slope * (z - mz);
      sides++;
    }
  if (sides == 0)
    return FALSE;
  *d = 2.0 * sum / sides;
  return *d > 0.0;
}

/* The mean of a few rows about a height: noise averages out, and slope too. */
gboolean
rhy_photo_case_smooth_diameter (const RhyPhotoCase *self,
                                double              z,
                                double              step,
                                double             *d)
{
  double sum = 0.0;
  int n = 0;
  for (int i = -3; i <= 3; i++)
    {
      double up, down;
      gboolean both;
      if (!rhy_photo_case_diameter_at (self, z + i * step, &up, &both)
          || !rhy_photo_case_diameter_at (self, z - i * step, &down, &both))
        continue;
      sum += 0.5 * (up + down);
      n++;
    }
  if (n == 0)
    return rhy_photo_case_diameter_beyond (self, z, d);
  *d = sum / n;
  return TRUE;
}

gboolean
rhy_photo_case_greatest_diameter (const RhyPhotoCase *self,
                                  double              step,
                                  double             *d)
{
  const RhyPhotoSide *side = &self->side[self->side[0].n >= self->side[1].n ? 0 : 1];
  double most = 0.0;
  for (gsize i = 0; i < side->n; i++)
    {
      double here;
      if (rhy_photo_case_smooth_diameter (self, side->z[i], step, &here))
        most = MAX (most, here);
    }
  for (int e = 0; e < 2; e++)
    {
      double here;
      if (rhy_photo_case_diameter_beyond (self, e == 0 ? 0.0 : self->known->height_mm, &here))
        most = MAX (most, here);
    }
  *d = most;
  return most > 0.0;
}

void
rhy_photo_case_trace (RhyPhotoCase *self,
                      const double *x)
{
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  trace_side (self, x, &frame, 0);
  trace_side (self, x, &frame, 1);
  for (int e = 0; e < 2; e++)
    {
      double d;
      self->end_radius[e] = rhy_photo_case_diameter_beyond (self, e == 0 ? 0.0 : x[RHY_PHOTO_HEIGHT], &d) ? 0.5 * d : 0.0;
    }
}
