/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/photo-profile.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <rhyton/readings.h>

#include "cholesky.h"

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

/* What is unknown of camera and picture, beside the profile itself: chosen so that one can
 * move without the picture moving much otherwise, which lets the search go straight. */
typedef enum
{
  LN_DISTANCE,
  LN_SCALE,       /* pixels a millimetre at the axis */
  EYE_HEIGHT,
  AIM,            /* how far up the camera looks of the wall's middle */
  HEIGHT,
  DISTORTION,     /* at the picture's corner */
  EDGE,           /* px that the edges were found too far out */
  ROUND_BASE,     /* share of the end's radius that its edge is rounded by */
  ROUND_RIM,
  AXIS_BASE,      /* sideways errors of the axis there, in their own standard deviations */
  AXIS_RIM,
  N_UNKNOWNS
} Unknown;

/* Steps of the difference quotients: far above rounding, far below what bends. */
static const double STEPS[N_UNKNOWNS] = {
  [LN_DISTANCE] = 1e-4, [LN_SCALE] = 1e-5, [EYE_HEIGHT] = 1e-2, [AIM] = 1e-5, [HEIGHT] = 1e-2, [DISTORTION] = 1e-4,
  [EDGE] = 1e-2, [ROUND_BASE] = 1e-3, [ROUND_RIM] = 1e-3, [AXIS_BASE] = 1e-2, [AXIS_RIM] = 1e-2,
};

/* What is known of them before looking. Common practice, no source: a lens is rated
 * as good below 1 % of distortion at the corner; people stand some six times a vessel's height
 * away, within a factor of 2.2 (its logarithm is what is normal); a camera held
 * as level as one can is within 8 degrees, and ends that are seen tell better; an edge found in the blur is good to a seventh of
 * it; lips are rounded by some hundredths of the radius, bases by more. */
static const double U_DISTORTION = 0.005;
static const double HEIGHTS_AWAY = 6.0;
static const double U_LN_DISTANCE = 0.8;
static const double U_TILT[3] = { 8.0 * G_PI / 180.0, 8.0 * G_PI / 180.0, 15.0 * G_PI / 180.0 };   /* by ends found */
static const double U_EDGE_BLURS = 0.15;
static const double U_EDGE_PX = 0.05;
static const double U_ROUND = 0.04;
static const double U_ROUND_BASE = 0.12;

/* Points of one end have errors in common (a chip, a lip out of level): together they
 * weigh as these. */
static const double END_WEIGHT = 12.0;

/* A wall is carried on to its ends where its diameter changes by no more on the way. */
static const double MOST_BEYOND_MM = 0.5;

/* Rows fewer than these tell no profile. */
static const gsize LEAST_ROWS = 16;

/* A camera that explains the picture worse by this much (chi-square) is out: e^-10. */
static const double LEAST_DIFFERENCE = 20.0;

/* A base or rim edge whose points scatter more about a circle's image is none. */
static const double END_SCATTER_PX = 1.0;

typedef struct { double x, y, z; } Vec;

static Vec
mix (double a,
     Vec    u,
     double b,
     Vec    v)
{
  return (Vec) { a * u.x + b * v.x, a * u.y + b * v.y, a * u.z + b * v.z };
}

static double
dot (Vec u,
     Vec v)
{
  return u.x * v.x + u.y * v.y + u.z * v.z;
}

static Vec
cross (Vec u,
       Vec v)
{
  return (Vec) { u.y * v.z - u.z * v.y, u.z * v.x - u.x * v.z, u.x * v.y - u.y * v.x };
}

static Vec
unit (Vec u)
{
  const double length = sqrt (dot (u, u));
  return (Vec) { u.x / length, u.y / length, u.z / length };
}

/* One side of the wall. */
typedef struct
{
  gsize   n;
  double *a, *c;      /* the rays, a outwards, by increasing c */
  double *z, *r;      /* where they touch */
  gsize  *row;
} Side;

typedef struct
{
  const RhyOutline    *outline;
  const RhyPhotoKnown *known;
  RhyPoint             axis[2];
  double               off[3];        /* lower factor of the covariance of the axis' ends, px */
  gboolean            *use[2];
  gboolean             use_end[2];
  double               end_radius[2];
  Side                 side[2];
  gboolean             has_other;     /* a second camera that explains the picture too */
  double               other[N_UNKNOWNS];
} Case;

static void
side_init (Side *side,
           gsize n)
{
  side->a = g_new (double, n);
  side->c = g_new (double, n);
  side->z = g_new (double, n);
  side->r = g_new (double, n);
  side->row = g_new (gsize, n);
}

static void
case_clear (Case *self)
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

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Case, case_clear)

static gboolean
is_point (RhyPoint p)
{
  return isfinite (p.x) && isfinite (p.y);
}

/* ---- rays ---- */

typedef struct { Vec right, forward, up; } Frame;

static double
distance_of (const double *x)
{
  return exp (x[LN_DISTANCE]);
}

static double
focal_of (const double *x)
{
  return exp (x[LN_DISTANCE] + x[LN_SCALE]);
}

/* How far the camera looks down. */
static double
tilt_of (const Case   *self,
         const double *x)
{
  return atan ((x[EYE_HEIGHT] - 0.5 * self->known->height_mm) / distance_of (x)) - x[AIM];
}

static double
pixel_mm (const double *x)
{
  return exp (-x[LN_SCALE]);
}

static Vec
direction_of (const RhyOutline *o,
              const double     *x,
              RhyPoint          p)
{
  const double px = p.x - 0.5 * o->width, py = p.y - 0.5 * o->height;
  const double half = 0.5 * hypot (o->width, o->height);
  const double s = 1.0 + x[DISTORTION] * (px * px + py * py) / (half * half);
  return (Vec) { px * s, py * s, focal_of (x) };
}

/* The plane through the eye and the axis, and in it the axis: straight up in the
 * picture's sense, leaning by the tilt. */
static Frame
make_frame (const Case   *self,
            const double *x)
{
  const RhyPoint base = self->axis[0], rim = self->axis[1];
  const double length = hypot (rim.x - base.x, rim.y - base.y);
  const RhyPoint aside = { -(rim.y - base.y) / length, (rim.x - base.x) / length };
  const double off_base = self->off[0] * x[AXIS_BASE];
  const double off_rim = self->off[1] * x[AXIS_BASE] + self->off[2] * x[AXIS_RIM];
  const Vec low = direction_of (self->outline, x, (RhyPoint) { base.x + off_base * aside.x, base.y + off_base * aside.y });
  const Vec high = direction_of (self->outline, x, (RhyPoint) { rim.x + off_rim * aside.x, rim.y + off_rim * aside.y });

  const Vec right = unit (cross (low, high));
  const Vec ahead = unit (mix (1.0, (Vec) { 0.0, 0.0, 1.0 }, -right.z, right));
  const Vec above = cross (right, ahead);
  const double tilt = tilt_of (self, x);
  return (Frame) { .right = right,
                   .forward = mix (sin (tilt), above, cos (tilt), ahead),
                   .up = mix (cos (tilt), above, -sin (tilt), ahead) };
}

static void
ray_of (const Case   *self,
        const double *x,
        const Frame  *frame,
        RhyPoint      p,
        double       *a,
        double       *c)
{
  const Vec d = direction_of (self->outline, x, p);
  const double depth = dot (d, frame->forward);
  *a = dot (d, frame->right) / depth;
  *c = dot (d, frame->up) / depth;
}

static RhyPoint
point_of (const Case   *self,
          const double *x,
          const Frame  *frame,
          double        a,
          double        c)
{
  const RhyOutline *o = self->outline;
  const Vec d = mix (1.0, mix (1.0, frame->forward, a, frame->right), c, frame->up);
  const double half = 0.5 * hypot (o->width, o->height);
  const double px = d.x / d.z * focal_of (x), py = d.y / d.z * focal_of (x);
  double s = 1.0;
  for (int i = 0; i < 8; i++)
    s = 1.0 / (1.0 + x[DISTORTION] * s * s * (px * px + py * py) / (half * half));
  return (RhyPoint) { px * s + 0.5 * o->width, py * s + 0.5 * o->height };
}

/* ---- from the outline to the profile ---- */

/* The slope of r over t near entry i, by least squares over neighbours. */
static double
slope_near (const double *t,
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
trace_side (Case         *self,
            const double *x,
            const Frame  *frame,
            int           s)
{
  const RhyOutline *o = self->outline;
  Side *side = &self->side[s];
  gsize n = 0;
  for (gsize i = 0; i < o->n_rows; i++)
    {
      if (!self->use[s][i])
        continue;
      ray_of (self, x, frame, o->side[s][i], &side->a[n], &side->c[n]);
      if (s == 0)
        side->a[n] = -side->a[n];
      side->row[n] = i;
      n++;
    }

  /* An error of the slope moves the point along its ray, which touches the profile:
   * it counts by its square. */
  const gsize reach = MAX (3, o->n_rows / 150);
  const double edge = x[EDGE] / focal_of (x);
  gsize kept = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double slope = slope_near (side->c, side->a, n, i, reach);
      double z, r;
      rhy_tangent_point (distance_of (x), x[EYE_HEIGHT], side->a[i] - edge * hypot (1.0, slope), side->c[i],
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

static gsize
index_below (const Side *side,
             double      z)
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
static gboolean
side_at (const Side *side,
         double      z,
         double     *r)
{
  enum { GAP = 6 };
  if (side->n < 2 || !(z >= side->z[0] && z <= side->z[side->n - 1]))
    return FALSE;
  const gsize i = index_below (side, z);
  if (side->row[i + 1] - side->row[i] > GAP)
    return FALSE;
  const double t = (z - side->z[i]) / (side->z[i + 1] - side->z[i]);
  *r = side->r[i] + t * (side->r[i + 1] - side->r[i]);
  return TRUE;
}

/* Twice the only radius where there is one. */
static gboolean
diameter_at (const Case *self,
             double      z,
             double     *d,
             gboolean   *both)
{
  double left, right;
  const gboolean has_left = side_at (&self->side[0], z, &left);
  const gboolean has_right = side_at (&self->side[1], z, &right);
  *both = has_left && has_right;
  if (*both)
    *d = left + right;
  else
    *d = 2.0 * (has_left ? left : right);
  return has_left || has_right;
}

/* Carried on in a straight line to an end of the wall, which the rows do not quite reach. */
static gboolean
diameter_beyond (const Case *self,
                 double      z,
                 double     *d)
{
  enum { ROWS = 8 };
  double sum = 0.0;
  int sides = 0;
  for (int s = 0; s < 2; s++)
    {
      const Side *side = &self->side[s];
      if (side->n < ROWS)
        continue;
      const gboolean below = z < side->z[side->n / 2];
      const gsize from = below ? 0 : side->n - ROWS;
      const gsize mid = from + ROWS / 2;
      const double slope = slope_near (side->z + from, side->r + from, ROWS, ROWS / 2, ROWS);
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
static gboolean
smooth_diameter (const Case *self,
                 double      z,
                 double      step,
                 double     *d)
{
  double sum = 0.0;
  int n = 0;
  for (int i = -3; i <= 3; i++)
    {
      double up, down;
      gboolean both;
      if (!diameter_at (self, z + i * step, &up, &both) || !diameter_at (self, z - i * step, &down, &both))
        continue;
      sum += 0.5 * (up + down);
      n++;
    }
  if (n == 0)
    return diameter_beyond (self, z, d);
  *d = sum / n;
  return TRUE;
}

static gboolean
greatest_diameter (const Case *self,
                   double      step,
                   double     *d)
{
  const Side *side = &self->side[self->side[0].n >= self->side[1].n ? 0 : 1];
  double most = 0.0;
  for (gsize i = 0; i < side->n; i++)
    {
      double here;
      if (smooth_diameter (self, side->z[i], step, &here))
        most = MAX (most, here);
    }
  for (int e = 0; e < 2; e++)
    {
      double here;
      if (diameter_beyond (self, e == 0 ? 0.0 : self->known->height_mm, &here))
        most = MAX (most, here);
    }
  *d = most;
  return most > 0.0;
}

static void
trace (Case         *self,
       const double *x)
{
  const Frame frame = make_frame (self, x);
  trace_side (self, x, &frame, 0);
  trace_side (self, x, &frame, 1);
  for (int e = 0; e < 2; e++)
    {
      double d;
      self->end_radius[e] = diameter_beyond (self, e == 0 ? 0.0 : x[HEIGHT], &d) ? 0.5 * d : 0.0;
    }
}

/* How high the ray with the given a stands that meets a ring: its nearer or farther
 * side, whichever sticks out, upwards at the rim and downwards at the base. */
static double
ring_ray (const double *x,
          int           end,
          double        z,
          double        r,
          double        a)
{
  const double distance = distance_of (x);
  const double q = 1.0 + a * a;
  const double root = sqrt (MAX (distance * distance - q * (distance * distance - r * r), 0.0));
  const double near = (z - x[EYE_HEIGHT]) * q / (distance - root);
  const double far = (z - x[EYE_HEIGHT]) * q / (distance + root);
  return end == 0 ? MIN (near, far) : MAX (near, far);
}

/* ---- finding the camera ---- */

enum { ROUNDS = 100, FIRST_ROUNDS = 12 };

enum { MOST_RESIDUALS = 2 * 256 + N_UNKNOWNS + RHY_PHOTO_MAX_DIAMETERS + 5 };

typedef struct
{
  gsize  n;
  double r[MOST_RESIDUALS];     /* each over its standard uncertainty */
  gsize  height, distance;      /* which one is that measurement's */
  gsize  diameter[RHY_PHOTO_MAX_DIAMETERS];
} Residuals;

static double
u_or (double u,
      double usual)
{
  return u > 0.0 ? u : usual;
}

static void
end_residuals (const Case   *self,
               const double *x,
               const Frame  *frame,
               int           e,
               Residuals    *out)
{
  const RhyOutline *o = self->outline;
  const double focal = focal_of (x);
  const double z = e == 0 ? 0.0 : x[HEIGHT];
  double a, c;
  if (!self->use_end[e])
    {
      /* The mark stands where the sides end: at the ring's widest, a little nearer than the axis. */
      const double distance = distance_of (x);
      const double depth = distance - self->end_radius[e] * self->end_radius[e] / distance;
      ray_of (self, x, frame, self->axis[e], &a, &c);
      out->r[out->n++] = (c - (z - x[EYE_HEIGHT]) / depth) * focal / o->mark_u_px;
      return;
    }
  const double r = self->end_radius[e] * (1.0 - x[e == 0 ? ROUND_BASE : ROUND_RIM]);
  const double u = o->end_noise_px[e] * sqrt ((double) o->n_end[e] / MIN (END_WEIGHT, (double) o->n_end[e]));
  for (gsize i = 0; i < o->n_end[e]; i++)
    {
      ray_of (self, x, frame, o->end[e][i], &a, &c);
      const double edge = e == 0 ? -x[EDGE] : x[EDGE];
      out->r[out->n++] = ((c - ring_ray (x, e, z, r, a)) * focal - edge) / u;
    }
}

static void
find_residuals (Case         *self,
                const double *x,
                Residuals    *out)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoKnown *known = self->known;
  const Frame frame = make_frame (self, x);
  trace (self, x);
  out->n = 0;

  end_residuals (self, x, &frame, 0, out);
  end_residuals (self, x, &frame, 1, out);
  out->height = out->n;
  out->r[out->n++] = (x[HEIGHT] - known->height_mm) / u_or (known->u_height_mm, RHY_HEIGHT_U_MM);
  out->distance = out->n;
  if (known->distance_mm > 0.0)
    out->r[out->n++] = (distance_of (x) - known->distance_mm)
                       / u_or (known->u_distance_mm, hypot (0.01 * known->distance_mm, 10.0));
  else
    out->r[out->n++] = (x[LN_DISTANCE] - log (HEIGHTS_AWAY * known->height_mm)) / U_LN_DISTANCE;
  out->r[out->n++] = tilt_of (self, x) / U_TILT[(self->use_end[0] != 0) + (self->use_end[1] != 0)];
  /* What stands on a table is not seen from below it. */
  out->r[out->n++] = MIN (x[EYE_HEIGHT], 0.0) / (0.05 * known->height_mm);
  out->r[out->n++] = x[DISTORTION] / U_DISTORTION;
  out->r[out->n++] = x[EDGE] / hypot (U_EDGE_BLURS * o->blur_px, U_EDGE_PX);
  out->r[out->n++] = x[ROUND_BASE] / U_ROUND_BASE;
  out->r[out->n++] = x[ROUND_RIM] / U_ROUND;
  out->r[out->n++] = x[AXIS_BASE];
  out->r[out->n++] = x[AXIS_RIM];

  const double step = known->height_mm / (double) o->n_rows;
  for (gsize k = 0; k < known->n_diameters; k++)
    {
      const RhyPhotoDiameter *m = &known->diameters[k];
      double d = 0.0;
      const gboolean found = isnan (m->height_mm) ? greatest_diameter (self, step, &d)
                                                  : smooth_diameter (self, m->height_mm, step, &d);
      const double noise = o->noise_px * pixel_mm (x);
      out->diameter[k] = out->n;
      out->r[out->n++] = found ? (d - m->diameter_mm) / hypot (u_or (m->u_mm, RHY_CALIPER_U_MM), noise) : 0.0;
    }
}

static double
sum_of_squares (const Residuals *residuals)
{
  double sum = 0.0;
  for (gsize i = 0; i < residuals->n; i++)
    sum += residuals->r[i] * residuals->r[i];
  return sum;
}

static void
normal_equations (Case         *self,
                  const double *x,
                  double       *normal,
                  double       *gradient)
{
  Residuals here, up, down;
  g_autofree double *jacobian = g_new (double, N_UNKNOWNS * MOST_RESIDUALS);
  find_residuals (self, x, &here);
  for (gsize j = 0; j < N_UNKNOWNS; j++)
    {
      double moved[N_UNKNOWNS];
      memcpy (moved, x, sizeof moved);
      moved[j] = x[j] + STEPS[j];
      find_residuals (self, moved, &up);
      moved[j] = x[j] - STEPS[j];
      find_residuals (self, moved, &down);
      for (gsize i = 0; i < here.n; i++)
        jacobian[j * MOST_RESIDUALS + i] = (up.r[i] - down.r[i]) / (2.0 * STEPS[j]);
    }
  for (gsize j = 0; j < N_UNKNOWNS; j++)
    {
      const double *row = &jacobian[j * MOST_RESIDUALS];
      gradient[j] = 0.0;
      for (gsize i = 0; i < here.n; i++)
        gradient[j] -= row[i] * here.r[i];
      for (gsize k = 0; k < N_UNKNOWNS; k++)
        {
          double sum = 0.0;
          for (gsize i = 0; i < here.n; i++)
            sum += row[i] * jacobian[k * MOST_RESIDUALS + i];
          normal[j * N_UNKNOWNS + k] = sum;
        }
    }
}

/* Chi-square that is no longer worth a step: moves of a hundredth of a standard uncertainty. */
static const double LEAST_GAIN = 1e-4;

/* Damped Gauss-Newton. Everything unknown has a measurement or an expectation of its
 * own, so that the normal matrix is positive. */
static gboolean
find_camera (Case   *self,
             double *x,
             int     rounds)
{
  double normal[N_UNKNOWNS * N_UNKNOWNS], factor[N_UNKNOWNS * N_UNKNOWNS];
  double gradient[N_UNKNOWNS], step[N_UNKNOWNS];
  Residuals residuals;
  double damping = 1e-3;
  find_residuals (self, x, &residuals);
  double best = sum_of_squares (&residuals);
  if (!isfinite (best))
    return FALSE;

  for (int round = 0; round < rounds; round++)
    {
      normal_equations (self, x, normal, gradient);
      gboolean better = FALSE;
      double gain = 0.0;
      for (int attempt = 0; attempt < 12 && !better; attempt++)
        {
          memcpy (factor, normal, sizeof factor);
          memcpy (step, gradient, sizeof step);
          for (gsize j = 0; j < N_UNKNOWNS; j++)
            factor[j * N_UNKNOWNS + j] *= 1.0 + damping;
          if (!rhy_cholesky_factor (factor, N_UNKNOWNS))
            {
              damping *= 10.0;
              continue;
            }
          rhy_cholesky_solve (factor, step, N_UNKNOWNS);
          double moved[N_UNKNOWNS];
          for (gsize j = 0; j < N_UNKNOWNS; j++)
            moved[j] = x[j] + step[j];
          find_residuals (self, moved, &residuals);
          const double sum = sum_of_squares (&residuals);
          better = isfinite (sum) && sum < best;
          if (better)
            {
              gain = best - sum;
              best = sum;
              memcpy (x, moved, sizeof moved);
            }
          damping = better ? MAX (damping / 10.0, 1e-9) : damping * 10.0;
        }
      /* Along a valley where what is unknown trades off, a hundred steps end near enough. */
      if (!better || gain <= (round + 1 < rounds ? 1e-5 : 1e-2) * best + LEAST_GAIN)
        return TRUE;
    }
  return FALSE;
}

/* ---- which rows, which side, which axis ---- */

static gboolean
row_height (const Case   *self,
            const double *x,
            const Frame  *frame,
            gsize         row,
            double       *z)
{
  for (int s = 0; s < 2; s++)
    {
      if (!is_point (self->outline->side[s][row]))
        continue;
      double a, c, r;
      ray_of (self, x, frame, self->outline->side[s][row], &a, &c);
      rhy_tangent_point (distance_of (x), x[EYE_HEIGHT], a, c, 0.0, z, &r);
      return TRUE;
    }
  return FALSE;
}

/* All rows with an edge, but none that the blur of an end reaches. */
static void
use_rows (Case         *self,
          const double *x,
          double        margin_px)
{
  const RhyOutline *o = self->outline;
  const Frame frame = make_frame (self, x);
  const double margin = margin_px * pixel_mm (x);
  for (gsize i = 0; i < o->n_rows; i++)
    {
      double z;
      const gboolean within = row_height (self, x, &frame, i, &z) && z > margin && z < x[HEIGHT] - margin;
      for (int s = 0; s < 2; s++)
        self->use[s][i] = within && is_point (o->side[s][i]);
    }
}

typedef struct { double c, off; } Middle;

/* The line that most of the middles agree on, and its least squares with the marks as
 * two more readings: a handle pulls the others aside. */
static void
refine_axis (Case   *self,
             double *x)
{
  enum { TRIALS = 48 };
  const RhyOutline *o = self->outline;
  const Frame frame = make_frame (self, x);
  const double focal = focal_of (x);
  const double length = hypot (o->rim.x - o->base.x, o->rim.y - o->base.y);
  trace (self, x);

  double ends[2], a;
  ray_of (self, x, &frame, self->axis[0], &a, &ends[0]);
  ray_of (self, x, &frame, self->axis[1], &a, &ends[1]);
  g_autofree Middle *middles = g_new (Middle, o->n_rows);
  gsize n = 0;
  for (gsize i = 0; i < o->n_rows; i++)
    {
      if (!self->use[0][i] || !self->use[1][i])
        continue;
      double al, cl, ar, cr;
      ray_of (self, x, &frame, o->side[0][i], &al, &cl);
      ray_of (self, x, &frame, o->side[1][i], &ar, &cr);
      middles[n++] = (Middle) { (0.5 * (cl + cr) - ends[0]) / (ends[1] - ends[0]), 0.5 * (al + ar) * focal };
    }

  const double within = 3.0 * o->noise_px + 0.6;
  const double reach = 3.0 * o->mark_u_px + 0.01 * length;
  double base = 0.0, rim = 0.0;
  gsize most = 0;
  const gsize stride = MAX (n / TRIALS, 1);
  for (gsize i = 0; i < n; i += stride)
    for (gsize k = i + stride; k < n; k += stride)
      {
        const double slope = (middles[k].off - middles[i].off) / (middles[k].c - middles[i].c);
        const double low = middles[i].off - slope * middles[i].c;
        if (!(fabs (low) <= reach && fabs (low + slope) <= reach))
          continue;
        gsize count = 0;
        for (gsize m = 0; m < n; m++)
          count += fabs (middles[m].off - low - slope * middles[m].c) <= within;
        if (count > most)
          {
            most = count;
            base = low;
            rim = low + slope;
          }
      }

  /* Rows have errors in common: they count as if their noise were three times what it is. */
  const double w = 1.0 / (9.0 * MAX (o->noise_px, 0.1) * MAX (o->noise_px, 0.1));
  const double w_mark = 1.0 / (o->mark_u_px * o->mark_u_px);
  double mark[2], c;
  ray_of (self, x, &frame, o->base, &mark[0], &c);
  ray_of (self, x, &frame, o->rim, &mark[1], &c);
  double m00 = w_mark, m01 = 0.0, m11 = w_mark;
  double y0 = w_mark * mark[0] * focal, y1 = w_mark * mark[1] * focal;
  for (gsize m = 0; m < n; m++)
    {
      const double t = middles[m].c;
      if (fabs (middles[m].off - base - (rim - base) * t) > within || most < LEAST_ROWS / 2)
        continue;
      m00 += w * (1.0 - t) * (1.0 - t);
      m01 += w * t * (1.0 - t);
      m11 += w * t * t;
      y0 += w * (1.0 - t) * middles[m].off;
      y1 += w * t * middles[m].off;
    }
  const double det = m00 * m11 - m01 * m01;
  base = (m11 * y0 - m01 * y1) / det;
  rim = (m00 * y1 - m01 * y0) / det;
  self->off[0] = sqrt (m11 / det);
  self->off[1] = -m01 / det / self->off[0];
  self->off[2] = sqrt (MAX (m00 / det - self->off[1] * self->off[1], 0.0));
  self->axis[0] = point_of (self, x, &frame, base / focal, ends[0]);
  self->axis[1] = point_of (self, x, &frame, rim / focal, ends[1]);
  x[AXIS_BASE] = x[AXIS_RIM] = 0.0;
}

/* Where the sides differ by more than makers' ovals do, something stands on the outer one. */
static void
drop_handle (Case         *self,
             const double *x)
{
  enum { AROUND = 8 };
  const RhyOutline *o = self->outline;
  trace (self, x);
  for (int s = 0; s < 2; s++)
    {
      const Side *side = &self->side[s];
      const Side *other = &self->side[1 - s];
      g_autofree gboolean *bad = g_new0 (gboolean, o->n_rows);
      for (gsize i = 0; i < side->n; i++)
        {
          double r;
          if (!side_at (other, side->z[i], &r))
            continue;
          const double slope = slope_near (other->z, other->r, other->n, index_below (other, side->z[i]), 3);
          const double allowed = 4.0 * o->noise_px * pixel_mm (x) * hypot (1.0, slope) + 0.005 * r + 0.15;
          if (side->r[i] - r > allowed)
            for (gsize k = side->row[i] - MIN (side->row[i], AROUND); k <= MIN (side->row[i] + AROUND, o->n_rows - 1); k++)
              bad[k] = TRUE;
        }
      for (gsize i = 0; i < o->n_rows; i++)
        if (bad[i])
          self->use[s][i] = FALSE;
    }
}

/* Where the wall turns in steeply, what the rows tell of an end's radius is no good for its ring. */
static gboolean
drop_steep_ends (Case         *self,
                 const double *x)
{
  gboolean dropped = FALSE;
  trace (self, x);
  for (int e = 0; e < 2; e++)
    for (int s = 0; s < 2; s++)
      {
        const Side *side = &self->side[s];
        const double last = side->n > 0 ? side->r[e == 0 ? 0 : side->n - 1] : 0.0;
        if (!self->use_end[e] || fabs (self->end_radius[e] - last) <= U_ROUND * last)
          continue;
        self->use_end[e] = FALSE;
        dropped = TRUE;
      }
  /* One end alone does not tell from how far it is seen. */
  if (!(self->known->distance_mm > 0.0) && (self->use_end[0] != self->use_end[1]))
    {
      self->use_end[0] = self->use_end[1] = FALSE;
      dropped = TRUE;
    }
  return dropped;
}

static gsize
count_rows (const Case *self)
{
  gsize n = 0;
  for (gsize i = 0; i < self->outline->n_rows; i++)
    n += self->use[0][i] || self->use[1][i];
  return n;
}

/* Root mean square of an end's distances from the ring fitted, px. */
static double
end_scatter (Case         *self,
             const double *x,
             int           e)
{
  const RhyOutline *o = self->outline;
  const Frame frame = make_frame (self, x);
  Residuals residuals = { 0 };
  trace (self, x);
  end_residuals (self, x, &frame, e, &residuals);
  const double u = o->end_noise_px[e] * sqrt ((double) o->n_end[e] / MIN (END_WEIGHT, (double) o->n_end[e]));
  return sqrt (sum_of_squares (&residuals) / (double) residuals.n) * u;
}

/* Level with the wall's middle. */
static void
guess_camera (const Case *self,
              double     *x)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoKnown *known = self->known;
  const double length = hypot (o->rim.x - o->base.x, o->rim.y - o->base.y);
  memset (x, 0, N_UNKNOWNS * sizeof (double));
  x[HEIGHT] = known->height_mm;
  x[EYE_HEIGHT] = 0.5 * known->height_mm;
  x[LN_SCALE] = log (length / known->height_mm);
  x[LN_DISTANCE] = known->distance_mm > 0.0 ? log (known->distance_mm)
                                            : log (HEIGHTS_AWAY * known->height_mm);
  const Frame frame = make_frame (self, x);
  double a, base, rim;
  ray_of (self, x, &frame, self->axis[0], &a, &base);
  ray_of (self, x, &frame, self->axis[1], &a, &rim);
  x[AIM] = -0.5 * (atan (base) + atan (rim));
}

typedef struct { double sum, x[N_UNKNOWNS]; } Trial;

static int
compare_trials (const void *a,
                const void *b)
{
  const double x = ((const Trial *) a)->sum, y = ((const Trial *) b)->sum;
  return (x > y) - (x < y);
}

static double
unlikeliness (Case         *self,
              const double *x)
{
  Residuals residuals;
  find_residuals (self, x, &residuals);
  const double sum = sum_of_squares (&residuals);
  return isfinite (sum) ? sum : G_MAXDOUBLE;
}

static void
weigh_trial (Case  *self,
             Trial *trial)
{
  trial->sum = unlikeliness (self, trial->x);
}

/* A ring's edge bulges alike seen from so far above it and from so far below, and from afar
 * as from near: the search begins in several places, goes on with the best few, and keeps the
 * best; and the second best, which may be nearly as good. */
static gboolean
find_camera_anew (Case   *self,
                  double *x)
{
  enum { HEIGHTS = 5, DISTANCES = 3, FEW = 5 };
  static const double heights[HEIGHTS] = { 0.5, 0.15, 0.8, 1.2, 1.6 };
  static const double distances[DISTANCES] = { 1.0, 0.4, 2.5 };
  Trial trials[HEIGHTS * DISTANCES];
  const gsize n = HEIGHTS * (self->known->distance_mm > 0.0 ? 1 : DISTANCES);
  for (gsize i = 0; i < n; i++)
    {
      memcpy (trials[i].x, x, sizeof trials[i].x);
      trials[i].x[EYE_HEIGHT] = heights[i % HEIGHTS] * x[HEIGHT];
      trials[i].x[LN_DISTANCE] += log (distances[i / HEIGHTS]);
      find_camera (self, trials[i].x, FIRST_ROUNDS);
      weigh_trial (self, &trials[i]);
    }
  qsort (trials, n, sizeof (Trial), compare_trials);
  gsize found = 0;
  for (gsize i = 0; i < MIN (n, FEW); i++)
    {
      if (!find_camera (self, trials[i].x, ROUNDS))
        continue;
      trials[found] = trials[i];
      weigh_trial (self, &trials[found++]);
    }
  if (found == 0 || !(trials[0].sum < G_MAXDOUBLE))
    return FALSE;
  qsort (trials, found, sizeof (Trial), compare_trials);
  memcpy (x, trials[0].x, sizeof trials[0].x);
  self->has_other = FALSE;
  for (gsize i = 1; i < found && !self->has_other; i++)
    if (fabs (trials[i].x[EYE_HEIGHT] - x[EYE_HEIGHT]) > 0.02 * x[HEIGHT] && trials[i].sum < trials[0].sum + LEAST_DIFFERENCE)
      {
        self->has_other = TRUE;
        memcpy (self->other, trials[i].x, sizeof self->other);
      }
  return TRUE;
}

static gboolean
fit_case (Case    *self,
          double  *x,
          GError **error)
{
  const RhyOutline *o = self->outline;
  const double blur = 2.5 * o->blur_px + 1.5;
  gboolean anew = TRUE;
  for (int pass = 0; pass < 3; pass++)
    {
      if (anew)
        guess_camera (self, x);
      use_rows (self, x, blur + (pass == 0 ? 2.0 * o->mark_u_px : 0.0));
      refine_axis (self, x);
      refine_axis (self, x);
      drop_handle (self, x);
      if (drop_steep_ends (self, x) && !anew)
        {
          anew = TRUE;
          pass = -1;
          continue;
        }
      if (count_rows (self) < LEAST_ROWS)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "%" G_GSIZE_FORMAT " rows with an edge between the marks: at least %" G_GSIZE_FORMAT " are needed; "
                       "take the picture from nearer, or look whether the marks stand at base and rim",
                       count_rows (self), LEAST_ROWS);
          return FALSE;
        }
      if (anew ? !find_camera_anew (self, x) : !find_camera (self, x, ROUNDS))
        {
          g_set_error_literal (error, RHY_ERROR, RHY_ERROR_NO_CONVERGENCE,
                               "no camera explains the picture with these measurements: look at the marks, the height "
                               "between them and the camera's distance");
          return FALSE;
        }
      /* What an end said that is none may have led astray: begin again without it. */
      anew = FALSE;
      for (int e = 0; e < 2; e++)
        if (self->use_end[e] && end_scatter (self, x, e) > MAX (END_SCATTER_PX, 3.0 * o->end_noise_px[e]))
          {
            self->use_end[e] = FALSE;
            anew = TRUE;
            pass = -1;
          }
    }
  return TRUE;
}

/* ---- the result ---- */

typedef struct
{
  gsize   n;
  double *z, *d, *u2;
} Stations;

/* The heights at which either side has a row; the ends themselves. */
static gsize
list_heights (const Case   *self,
              const double *x,
              double       *z)
{
  const Side *left = &self->side[0], *right = &self->side[1];
  const double least = 1e-3 * x[HEIGHT] / (double) self->outline->n_rows + 1e-6;
  gsize n = 0, i = 0, k = 0;
  z[n++] = 0.0;
  while (i < left->n || k < right->n)
    {
      /* A row has a left and a right at nearly one height: the left one's. */
      const gsize row_left = i < left->n ? left->row[i] : G_MAXSIZE;
      const gsize row_right = k < right->n ? right->row[k] : G_MAXSIZE;
      const double here = row_left <= row_right ? left->z[i] : right->z[k];
      const gsize row = MIN (row_left, row_right);
      i += row_left == row;
      k += row_right == row;
      if (here > z[n - 1] + least && here < x[HEIGHT] - least)
        z[n++] = here;
    }
  z[n++] = x[HEIGHT];
  return n;
}

static gboolean
station_diameter (const Case *self,
                  double      z,
                  double     *d,
                  gboolean   *both)
{
  return diameter_at (self, z, d, both) || (*both = TRUE, diameter_beyond (self, z, d));
}

/* The camera moved by each column of its covariance's factor, one after the other: half
 * the difference is that share of the uncertainty (JCGM 100:2008, 5.1.3 note 2). The base and
 * rim stay the wall's ends. */
static void
add_camera_uncertainty (Case            *self,
                        const double    *x,
                        RhyPhotoProfile *out)
{
  double normal[N_UNKNOWNS * N_UNKNOWNS], gradient[N_UNKNOWNS];
  normal_equations (self, x, normal, gradient);
  g_return_if_fail (rhy_cholesky_factor (normal, N_UNKNOWNS));

  double u2_distance = 0.0, u2_eye = 0.0, u2_tilt = 0.0;
  g_autofree double *high = g_new (double, out->n);
  for (gsize j = 0; j < N_UNKNOWNS; j++)
    {
      /* With N = L L^T the covariance is L^-T L^-1: its factor's columns are L^-T e_j. */
      double column[N_UNKNOWNS] = { 0 };
      column[j] = 1.0;
      for (gsize i = N_UNKNOWNS; i-- > 0;)
        {
          for (gsize k = i + 1; k < N_UNKNOWNS; k++)
            column[i] -= normal[k * N_UNKNOWNS + i] * column[k];
          column[i] /= normal[i * N_UNKNOWNS + i];
        }
      double moved[N_UNKNOWNS];
      for (gsize i = 0; i < N_UNKNOWNS; i++)
        moved[i] = x[i] + column[i];
      trace (self, moved);
      for (gsize i = 0; i < out->n; i++)
        {
          gboolean both;
          if (!station_diameter (self, out->heights_mm[i], &high[i], &both))
            high[i] = out->diameters_mm[i];
        }
      for (gsize i = 0; i < N_UNKNOWNS; i++)
        moved[i] = x[i] - column[i];
      trace (self, moved);
      for (gsize i = 0; i < out->n; i++)
        {
          double low;
          gboolean both;
          if (!station_diameter (self, out->heights_mm[i], &low, &both))
            low = out->diameters_mm[i];
          const double share = 0.5 * (high[i] - low);
          out->u_mm[i] += share * share;
        }
      u2_distance += column[LN_DISTANCE] * column[LN_DISTANCE];
      u2_eye += column[EYE_HEIGHT] * column[EYE_HEIGHT];
      const double tilt = tilt_of (self, moved) - tilt_of (self, x);
      u2_tilt += tilt * tilt;
    }
  out->u_distance_mm = distance_of (x) * sqrt (u2_distance);
  out->u_eye_height_mm = sqrt (u2_eye);
  out->u_tilt_rad = sqrt (u2_tilt);
  trace (self, x);
}

/* The second camera's profile, as likely beside the first as exp (-difference/2). */
static void
add_other_camera (Case            *self,
                  const double    *x,
                  RhyPhotoProfile *out)
{
  double other[N_UNKNOWNS];
  memcpy (other, self->other, sizeof other);
  if (!self->has_other || !find_camera (self, other, ROUNDS))
    return;
  const double odds = exp (-0.5 * MAX (unlikeliness (self, other) - unlikeliness (self, x), 0.0));
  const double weight = odds / (1.0 + odds);
  trace (self, other);
  for (gsize i = 0; i < out->n; i++)
    {
      double d;
      gboolean both;
      if (!station_diameter (self, out->heights_mm[i], &d, &both))
        continue;
      out->u_mm[i] += weight * (d - out->diameters_mm[i]) * (d - out->diameters_mm[i]);
    }
  const double farther = distance_of (other) - distance_of (x), higher = other[EYE_HEIGHT] - x[EYE_HEIGHT];
  const double steeper = tilt_of (self, other) - tilt_of (self, x);
  out->u_distance_mm = sqrt (out->u_distance_mm * out->u_distance_mm + weight * farther * farther);
  out->u_eye_height_mm = sqrt (out->u_eye_height_mm * out->u_eye_height_mm + weight * higher * higher);
  out->u_tilt_rad = sqrt (out->u_tilt_rad * out->u_tilt_rad + weight * steeper * steeper);
  trace (self, x);
}

static int
compare_doubles (const void *a,
                 const void *b)
{
  const double x = *(const double *) a, y = *(const double *) b;
  return (x > y) - (x < y);
}

static void
find_asymmetry (const Case      *self,
                RhyPhotoProfile *out)
{
  enum { ROWS = 9 };
  const Side *left = &self->side[0];
  double sum = 0.0, run[ROWS] = { 0 }, mean = 0.0;
  gsize n = 0;
  for (gsize i = 0; i < left->n; i++)
    {
      double r;
      if (!side_at (&self->side[1], left->z[i], &r))
        continue;
      const double off = left->r[i] - r;
      sum += off * off;
      mean += (off - run[n % ROWS]) / ROWS;
      run[n++ % ROWS] = off;
      if (n >= ROWS && fabs (mean) > fabs (out->worst_asymmetry_mm))
        {
          out->worst_asymmetry_mm = mean;
          out->worst_asymmetry_height_mm = left->z[i - MIN (i, ROWS / 2)];
        }
    }
  out->asymmetry_mm = n > 0 ? sqrt (sum / (double) n) : 0.0;
}

/* Three standard uncertainties beside its own reading: one in 370 good ones. */
static const double DOUBT = 3.0;

static void
find_doubt (Case            *self,
            const double    *x,
            RhyPhotoProfile *out)
{
  const RhyPhotoKnown *known = self->known;
  Residuals residuals;
  find_residuals (self, x, &residuals);
  double most = DOUBT;
  for (gsize k = 0; k < known->n_diameters; k++)
    {
      const double off = residuals.r[residuals.diameter[k]];
      if (!(fabs (off) > most))
        continue;
      most = fabs (off);
      g_free (out->doubt);
      const double u = hypot (u_or (known->diameters[k].u_mm, RHY_CALIPER_U_MM), self->outline->noise_px * pixel_mm (x));
      out->doubt = g_strdup_printf ("The measured diameter %.2f mm does not go with the picture: the rest gives %.2f mm there. "
                                    "Measure it again, and look whether its height is right.",
                                    known->diameters[k].diameter_mm, known->diameters[k].diameter_mm + off * u);
    }
  if (fabs (residuals.r[residuals.height]) > most)
    {
      most = fabs (residuals.r[residuals.height]);
      g_free (out->doubt);
      out->doubt = g_strdup_printf ("The measured height %.1f mm does not go with the picture: the rest gives %.1f mm. "
                                    "Measure it again, and look whether the marks stand at its ends.",
                                    known->height_mm, x[HEIGHT]);
    }
  if (known->distance_mm > 0.0 && fabs (residuals.r[residuals.distance]) > most)
    {
      g_free (out->doubt);
      out->doubt = g_strdup_printf ("The measured distance of the camera, %.0f mm, does not go with the picture: the rest gives "
                                    "%.0f mm, from the lens to the vessel's axis.",
                                    known->distance_mm, distance_of (x));
    }
}

static void
list_wall_pixels (const Case      *self,
                  RhyPhotoProfile *out)
{
  const RhyOutline *o = self->outline;
  out->wall_px = g_new (RhyPoint, 2 * o->n_rows);
  for (int s = 0; s < 2; s++)
    for (gsize i = 0; i < o->n_rows; i++)
      if (self->use[s][i])
        out->wall_px[out->n_walls++] = o->side[s][i];
}

static RhyPhotoProfile *
make_profile (Case         *self,
              const double *x)
{
  const RhyOutline *o = self->outline;
  RhyPhotoProfile *out = g_new0 (RhyPhotoProfile, 1);
  trace (self, x);
  out->heights_mm = g_new (double, 2 * o->n_rows + 2);
  const gsize listed = list_heights (self, x, out->heights_mm);
  out->diameters_mm = g_new (double, listed);
  out->u_mm = g_new0 (double, listed);
  g_autofree gboolean *both = g_new (gboolean, listed);
  gsize one_sided = 0;
  for (gsize i = 0; i < listed; i++)
    {
      double d, near;
      gboolean two, ignored;
      if (!station_diameter (self, out->heights_mm[i], &d, &two) || !(d > 0.0))
        continue;
      /* An end that the rows do not reach, and where the wall turns in steeply, is left out. */
      const gboolean is_end = i == 0 || i + 1 == listed;
      if (is_end && (!diameter_at (self, out->heights_mm[i == 0 ? 1 : i - 1], &near, &ignored) || fabs (d - near) > MOST_BEYOND_MM))
        continue;
      out->heights_mm[out->n] = out->heights_mm[i];
      out->diameters_mm[out->n] = d;
      both[out->n++] = two;
      one_sided += !two;
    }

  add_camera_uncertainty (self, x, out);
  add_other_camera (self, x, out);
  out->pixel_mm = pixel_mm (x);
  out->noise_mm = G_SQRT2 * o->noise_px * out->pixel_mm;
  for (gsize i = 0; i < out->n; i++)
    {
      const double slope = 0.5 * slope_near (out->heights_mm, out->diameters_mm, out->n, i, 3);
      const double noise = out->noise_mm * (both[i] ? 1.0 : G_SQRT2) * hypot (1.0, slope);
      /* Carried on beyond the rows, a wall may go on otherwise. */
      const gsize near = i == 0 ? 1 : i + 1 == out->n ? i - 1 : i;
      const double beyond = near != i ? out->diameters_mm[i] - out->diameters_mm[near] : 0.0;
      out->u_mm[i] = sqrt (out->u_mm[i] + noise * noise + beyond * beyond);
      if (out->u_mm[i] > out->worst_u_mm)
        {
          out->worst_u_mm = out->u_mm[i];
          out->worst_u_height_mm = out->heights_mm[i];
        }
    }
  g_autofree double *sorted = g_memdup2 (out->u_mm, out->n * sizeof (double));
  qsort (sorted, out->n, sizeof (double), compare_doubles);
  out->typical_u_mm = sorted[out->n / 2];

  out->distance_mm = distance_of (x);
  out->eye_height_mm = x[EYE_HEIGHT];
  out->tilt_rad = tilt_of (self, x);
  out->focal_px = focal_of (x);
  out->blur_px = o->blur_px;
  out->one_sided = (double) one_sided / (double) out->n;
  out->end_found[0] = self->use_end[0];
  out->end_found[1] = self->use_end[1];
  const Frame frame = make_frame (self, x);
  for (int e = 0; e < 2; e++)
    out->axis[e] = point_of (self, x, &frame, 0.0, ((e == 0 ? 0.0 : x[HEIGHT]) - x[EYE_HEIGHT]) / out->distance_mm);
  find_asymmetry (self, out);
  find_doubt (self, x, out);
  list_wall_pixels (self, out);
  return out;
}

static gboolean
is_length (double mm)
{
  return mm > 0.0 && mm <= 1e4;
}

static gboolean
check_known (const RhyPhotoKnown *known,
             GError             **error)
{
  if (!is_length (known->height_mm) || !(known->u_height_mm >= 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "height %g mm between base and rim: wanted more than 0 up to 10000 mm", known->height_mm);
      return FALSE;
    }
  if (known->n_diameters > RHY_PHOTO_MAX_DIAMETERS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE, "%" G_GSIZE_FORMAT " measured diameters: at most %d",
                   known->n_diameters, RHY_PHOTO_MAX_DIAMETERS);
      return FALSE;
    }
  for (gsize i = 0; i < known->n_diameters; i++)
    {
      const RhyPhotoDiameter *m = &known->diameters[i];
      if (!is_length (m->diameter_mm) || !(m->u_mm >= 0.0))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "measured diameter %g mm: wanted more than 0 up to 10000 mm", m->diameter_mm);
          return FALSE;
        }
      if (!isnan (m->height_mm) && !(m->height_mm >= 0.0 && m->height_mm <= known->height_mm))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                       "measured diameter at height %g mm: wanted from 0 to %g mm, the height between base and rim",
                       m->height_mm, known->height_mm);
          return FALSE;
        }
    }
  if (!(known->distance_mm == 0.0 || (known->distance_mm >= 50.0 && known->distance_mm <= 1e5)) || !(known->u_distance_mm >= 0.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "camera distance %g mm: wanted from 50 to 100000 mm, from the lens to the vessel's axis", known->distance_mm);
      return FALSE;
    }
  return TRUE;
}

RhyPhotoProfile *
rhy_photo_profile_new (const RhyOutline    *outline,
                       const RhyPhotoKnown *known,
                       GError             **error)
{
  g_return_val_if_fail (outline != NULL && known != NULL, NULL);
  g_return_val_if_fail (outline->n_end[0] <= 256 && outline->n_end[1] <= 256, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (!check_known (known, error))
    return NULL;
  g_auto (Case) self = { .outline = outline, .known = known, .axis = { outline->base, outline->rim },
                         .off = { outline->mark_u_px, 0.0, outline->mark_u_px } };
  for (int s = 0; s < 2; s++)
    {
      self.use[s] = g_new0 (gboolean, outline->n_rows);
      self.use_end[s] = outline->n_end[s] > 0;
      side_init (&self.side[s], outline->n_rows);
    }
  double x[N_UNKNOWNS];
  return fit_case (&self, x, error) ? make_profile (&self, x) : NULL;
}

void
rhy_photo_profile_free (RhyPhotoProfile *self)
{
  if (self == NULL)
    return;
  g_free (self->heights_mm);
  g_free (self->diameters_mm);
  g_free (self->u_mm);
  g_free (self->wall_px);
  g_free (self->doubt);
  g_free (self);
}

void
rhy_outline_free (RhyOutline *outline)
{
  if (outline == NULL)
    return;
  for (int s = 0; s < 2; s++)
    {
      g_free (outline->side[s]);
      g_free (outline->end[s]);
    }
  g_free (outline);
}

/* ---- words ---- */

static const char *
fixed (char       *text,
       const char *format,
       double      value)
{
  return g_ascii_formatd (text, G_ASCII_DTOSTR_BUF_SIZE, format, value);
}

char *
rhy_photo_profile_describe (const RhyPhotoProfile *self)
{
  char a[G_ASCII_DTOSTR_BUF_SIZE], b[G_ASCII_DTOSTR_BUF_SIZE], c[G_ASCII_DTOSTR_BUF_SIZE];
  GString *text = g_string_new (NULL);
  g_string_append_printf (text, "Diameters: standard uncertainty %s mm typically, %s mm at worst, at height %s mm\n",
                          fixed (a, "%.2f", self->typical_u_mm), fixed (b, "%.2f", self->worst_u_mm),
                          fixed (c, "%.1f", self->worst_u_height_mm));
  g_string_append_printf (text, "Camera: %s mm from the axis (standard uncertainty %s mm), ",
                          fixed (a, "%.0f", self->distance_mm), fixed (b, "%.0f", self->u_distance_mm));
  g_string_append_printf (text, "%s mm above the base (%s mm), looking down by %s degrees",
                          fixed (a, "%.0f", self->eye_height_mm), fixed (b, "%.0f", self->u_eye_height_mm),
                          fixed (c, "%.1f", round (self->tilt_rad * 1800.0 / G_PI) / 10.0 + 0.0));
  g_string_append_printf (text, " (%s)\n", fixed (a, "%.1f", self->u_tilt_rad * 180.0 / G_PI));
  g_string_append_printf (text, "Picture: a pixel is %s mm at the axis, edges blurred by %s pixels, rows scatter by %s mm\n",
                          fixed (a, "%.3f", self->pixel_mm), fixed (b, "%.1f", self->blur_px),
                          fixed (c, "%.2f", self->noise_mm));
  g_string_append_printf (text, "Left against right: %s mm in radius, at most %s mm, at height %s mm\n",
                          fixed (a, "%.2f", self->asymmetry_mm), fixed (b, "%+.2f", self->worst_asymmetry_mm),
                          fixed (c, "%.1f", self->worst_asymmetry_height_mm));
  if (self->one_sided >= 0.005)
    g_string_append_printf (text, "One side alone tells %s %% of the height\n", fixed (a, "%.0f", 100.0 * self->one_sided));
  if (!self->end_found[0] || !self->end_found[1])
    g_string_append_printf (text, "%s: no clean edge across the axis; taken where the mark stands\n",
                            self->end_found[1] ? "Base" : self->end_found[0] ? "Rim" : "Base and rim");
  if (self->doubt != NULL)
    g_string_append_printf (text, "%s\n", self->doubt);
  return g_string_free (text, FALSE);
}

char *
rhy_photo_profile_to_text (const RhyPhotoProfile *self,
                           const char            *source)
{
  char a[G_ASCII_DTOSTR_BUF_SIZE], b[G_ASCII_DTOSTR_BUF_SIZE];
  GString *text = g_string_new ("# Rhyton profile from a photograph. Height above the base, outside diameter, mm.\n");
  if (source != NULL)
    {
      g_autofree char *shown = g_strdelimit (g_utf8_make_valid (source, -1), "\r\n", ' ');
      g_string_append_printf (text, "# Picture: %s\n", shown);
    }
  g_autofree char *words = rhy_photo_profile_describe (self);
  g_auto (GStrv) lines = g_strsplit (words, "\n", -1);
  for (gsize i = 0; lines[i] != NULL; i++)
    if (*lines[i] != '\0')
      g_string_append_printf (text, "# %s\n", lines[i]);
  g_string_append (text, "height,diameter\n");
  for (gsize i = 0; i < self->n; i++)
    g_string_append_printf (text, "%s,%s\n", fixed (a, "%.4f", self->heights_mm[i]), fixed (b, "%.4f", self->diameters_mm[i]));
  return g_string_free (text, FALSE);
}
