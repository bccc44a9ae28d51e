/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "photo-case.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "cholesky.h"

/* Steps of the difference quotients: far above rounding, far below what bends. */
static const double STEPS[RHY_PHOTO_N_UNKNOWNS] = {
  [RHY_PHOTO_LN_DISTANCE] = 1e-4,
  [RHY_PHOTO_LN_SCALE] = 1e-5,
  [RHY_PHOTO_EYE_HEIGHT] = 1e-2,
  [RHY_PHOTO_AIM] = 1e-5,
  [RHY_PHOTO_HEIGHT] = 1e-2,
  [RHY_PHOTO_DISTORTION] = 1e-4,
  [RHY_PHOTO_EDGE] = 1e-2,
  [RHY_PHOTO_ROUND_BASE] = 1e-3,
  [RHY_PHOTO_ROUND_RIM] = 1e-3,
  [RHY_PHOTO_AXIS_BASE] = 1e-2,
  [RHY_PHOTO_AXIS_RIM] = 1e-2,
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

/* Rows fewer than these tell no profile. */
static const gsize LEAST_ROWS = 16;

/* A camera that explains the picture worse by this much (chi-square) is out: e^-10. */
static const double LEAST_DIFFERENCE = 20.0;

/* A base or rim edge whose points scatter more about a circle's image is none. */
static const double END_SCATTER_PX = 1.0;

/* How high the ray with the given a stands that meets a ring: its nearer or farther
 * side, whichever sticks out, upwards at the rim and downwards at the base. */
static double
ring_ray (const double *x,
          int           end,
          double        z,
          double        r,
          double        a)
{
  const double distance = rhy_photo_distance (x);
  const double q = 1.0 + a * a;
  const double root = sqrt (MAX (distance * distance - q * (distance * distance - r * r), 0.0));
  const double near = (z - x[RHY_PHOTO_EYE_HEIGHT]) * q / (distance - root);
  const double far = (z - x[RHY_PHOTO_EYE_HEIGHT]) * q / (distance + root);
  return end == 0 ? MIN (near, far) : MAX (near, far);
}

/* ---- finding the camera ---- */

enum { FIRST_ROUNDS = 12 };

static void
end_residuals (const RhyPhotoCase  *self,
               const double        *x,
               const RhyPhotoFrame *frame,
               int                  e,
               RhyPhotoResiduals   *out)
{
  const RhyOutline *o = self->outline;
  const double focal = rhy_photo_focal (x);
  const double z = e == 0 ? 0.0 : x[RHY_PHOTO_HEIGHT];
  double a, c;
  if (!self->use_end[e])
    {
      /* The mark stands where the sides end: at the ring's widest, a little nearer than the axis. */
      const double distance = rhy_photo_distance (x);
      const double depth = distance - self->end_radius[e] * self->end_radius[e] / distance;
      rhy_photo_case_ray (self, x, frame, self->axis[e], &a, &c);
      out->r[out->n++] = (c - (z - x[RHY_PHOTO_EYE_HEIGHT]) / depth) * focal / o->mark_u_px;
      return;
    }
  const double r = self->end_radius[e] * (1.0 - x[e == 0 ? RHY_PHOTO_ROUND_BASE : RHY_PHOTO_ROUND_RIM]);
  const double u = o->end_noise_px[e] * sqrt ((double) o->n_end[e] / MIN (END_WEIGHT, (double) o->n_end[e]));
  for (gsize i = 0; i < o->n_end[e]; i++)
    {
      rhy_photo_case_ray (self, x, frame, o->end[e][i], &a, &c);
      const double edge = e == 0 ? -x[RHY_PHOTO_EDGE] : x[RHY_PHOTO_EDGE];
      out->r[out->n++] = ((c - ring_ray (x, e, z, r, a)) * focal - edge) / u;
    }
}

void
rhy_photo_case_residuals (RhyPhotoCase      *self,
                          const double      *x,
                          RhyPhotoResiduals *out)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoKnown *known = self->known;
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  rhy_photo_case_trace (self, x);
  out->n = 0;

  end_residuals (self, x, &frame, 0, out);
  end_residuals (self, x, &frame, 1, out);
  out->height = out->n;
  out->r[out->n++] = (x[RHY_PHOTO_HEIGHT] - known->height_mm) / rhy_photo_u_or (known->u_height_mm, RHY_HEIGHT_U_MM);
  out->distance = out->n;
  if (known->distance_mm > 0.0)
    out->r[out->n++] = (rhy_photo_distance (x) - known->distance_mm)
                       / rhy_photo_u_or (known->u_distance_mm, hypot (0.01 * known->distance_mm, 10.0));
  else
    out->r[out->n++] = (x[RHY_PHOTO_LN_DISTANCE] - log (HEIGHTS_AWAY * known->height_mm)) / U_LN_DISTANCE;
  out->r[out->n++] = rhy_photo_case_tilt (self, x) / U_TILT[(self->use_end[0] != 0) + (self->use_end[1] != 0)];
  /* What stands on a table is not seen from below it. */
  out->r[out->n++] = MIN (x[RHY_PHOTO_EYE_HEIGHT], 0.0) / (0.05 * known->height_mm);
  out->r[out->n++] = x[RHY_PHOTO_DISTORTION] / U_DISTORTION;
  out->r[out->n++] = x[RHY_PHOTO_EDGE] / hypot (U_EDGE_BLURS * o->blur_px, U_EDGE_PX);
  out->r[out->n++] = x[RHY_PHOTO_ROUND_BASE] / U_ROUND_BASE;
  out->r[out->n++] = x[RHY_PHOTO_ROUND_RIM] / U_ROUND;
  out->r[out->n++] = x[RHY_PHOTO_AXIS_BASE];
  out->r[out->n++] = x[RHY_PHOTO_AXIS_RIM];

  const double step = known->height_mm / (double) o->n_rows;
  for (gsize k = 0; k < known->n_diameters; k++)
    {
      const RhyPhotoDiameter *m = &known->diameters[k];
      double d = 0.0;
      const gboolean found = isnan (m->height_mm) ? rhy_photo_case_greatest_diameter (self, step, &d)
                                                  : rhy_photo_case_smooth_diameter (self, m->height_mm, step, &d);
      const double noise = o->noise_px * rhy_photo_pixel_mm (x);
      out->diameter[k] = out->n;
      out->r[out->n++] = found ? (d - m->diameter_mm) / hypot (rhy_photo_u_or (m->u_mm, RHY_CALIPER_U_MM), noise) : 0.0;
    }
}

static double
sum_of_squares (const RhyPhotoResiduals *residuals)
{
  double sum = 0.0;
  for (gsize i = 0; i < residuals->n; i++)
    sum += residuals->r[i] * residuals->r[i];
  return sum;
}

void
rhy_photo_case_normal_equations (RhyPhotoCase *self,
                                 const double *x,
                                 double       *normal,
                                 double       *gradient)
{
  RhyPhotoResiduals here, up, down;
  g_autofree double *jacobian = g_new (double, RHY_PHOTO_N_UNKNOWNS * RHY_PHOTO_MOST_RESIDUALS);
  rhy_photo_case_residuals (self, x, &here);
  for (gsize j = 0; j < RHY_PHOTO_N_UNKNOWNS; j++)
    {
      double moved[RHY_PHOTO_N_UNKNOWNS];
      memcpy (moved, x, sizeof moved);
      moved[j] = x[j] + STEPS[j];
      rhy_photo_case_residuals (self, moved, &up);
      moved[j] = x[j] - STEPS[j];
      rhy_photo_case_residuals (self, moved, &down);
      for (gsize i = 0; i < here.n; i++)
        jacobian[j * RHY_PHOTO_MOST_RESIDUALS + i] = (up.r[i] - down.r[i]) / (2.0 * STEPS[j]);
    }
  for (gsize j = 0; j < RHY_PHOTO_N_UNKNOWNS; j++)
    {
      const double *row = &jacobian[j * RHY_PHOTO_MOST_RESIDUALS];
      gradient[j] = 0.0;
      for (gsize i = 0; i < here.n; i++)
        gradient[j] -= row[i] * here.r[i];
      for (gsize k = 0; k < RHY_PHOTO_N_UNKNOWNS; k++)
        {
          double sum = 0.0;
          for (gsize i = 0; i < here.n; i++)
            sum += row[i] * jacobian[k * RHY_PHOTO_MOST_RESIDUALS + i];
          normal[j * RHY_PHOTO_N_UNKNOWNS + k] = sum;
        }
    }
}

/* Chi-square that is no longer worth a step: moves of a hundredth of a standard uncertainty. */
static const double LEAST_GAIN = 1e-4;

/* Damped Gauss-Newton. Everything unknown has a measurement or an expectation of its
 * own, so that the normal matrix is positive. */
gboolean
rhy_photo_case_find_camera (RhyPhotoCase *self,
                            double       *x,
                            int           rounds)
{
  double normal[RHY_PHOTO_N_UNKNOWNS * RHY_PHOTO_N_UNKNOWNS], factor[RHY_PHOTO_N_UNKNOWNS * RHY_PHOTO_N_UNKNOWNS];
  double gradient[RHY_PHOTO_N_UNKNOWNS], step[RHY_PHOTO_N_UNKNOWNS];
  RhyPhotoResiduals residuals;
  double damping = 1e-3;
  rhy_photo_case_residuals (self, x, &residuals);
  double best = sum_of_squares (&residuals);
  if (!isfinite (best))
    return FALSE;

  for (int round = 0; round < rounds; round++)
    {
      rhy_photo_case_normal_equations (self, x, normal, gradient);
      gboolean better = FALSE;
      double gain = 0.0;
      for (int attempt = 0; attempt < 12 && !better; attempt++)
        {
          memcpy (factor, normal, sizeof factor);
          memcpy (step, gradient, sizeof step);
          for (gsize j = 0; j < RHY_PHOTO_N_UNKNOWNS; j++)
            factor[j * RHY_PHOTO_N_UNKNOWNS + j] *= 1.0 + damping;
          if (!rhy_cholesky_factor (factor, RHY_PHOTO_N_UNKNOWNS))
            {
              damping *= 10.0;
              continue;
            }
          rhy_cholesky_solve (factor, step, RHY_PHOTO_N_UNKNOWNS);
          double moved[RHY_PHOTO_N_UNKNOWNS];
          for (gsize j = 0; j < RHY_PHOTO_N_UNKNOWNS; j++)
            moved[j] = x[j] + step[j];
          rhy_photo_case_residuals (self, moved, &residuals);
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

static gboolean
is_point (RhyPoint p)
{
  return isfinite (p.x) && isfinite (p.y);
}

/* ---- which rows, which side, which axis ---- */

static gboolean
row_height (const RhyPhotoCase  *self,
            const double        *x,
            const RhyPhotoFrame *frame,
            gsize                row,
            double              *z)
{
  for (int s = 0; s < 2; s++)
    {
      if (!is_point (self->outline->side[s][row]))
        continue;
      double a, c, r;
      rhy_photo_case_ray (self, x, frame, self->outline->side[s][row], &a, &c);
      rhy_tangent_point (rhy_photo_distance (x), x[RHY_PHOTO_EYE_HEIGHT], a, c, 0.0, z, &r);
      return TRUE;
    }
  return FALSE;
}

/* All rows with an edge, but none that the blur of an end reaches. */
static void
use_rows (RhyPhotoCase *self,
          const double *x,
          double        margin_px)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  const double margin = margin_px * rhy_photo_pixel_mm (x);
  for (gsize i = 0; i < o->n_rows; i++)
    {
      double z;
      const gboolean within = row_height (self, x, &frame, i, &z) && z > margin && z < x[RHY_PHOTO_HEIGHT] - margin;
      for (int s = 0; s < 2; s++)
        self->use[s][i] = within && is_point (o->side[s][i]);
    }
}

typedef struct { double c, off; } Middle;

/* The line that most of the middles agree on, and its least squares with the marks as
 * two more readings: a handle pulls the others aside. */
static void
refine_axis (RhyPhotoCase *self,
             double       *x)
{
  enum { TRIALS = 48 };
  const RhyOutline *o = self->outline;
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  const double focal = rhy_photo_focal (x);
  const double length = hypot (o->rim.x - o->base.x, o->rim.y - o->base.y);
  rhy_photo_case_trace (self, x);

  double ends[2], a;
  rhy_photo_case_ray (self, x, &frame, self->axis[0], &a, &ends[0]);
  rhy_photo_case_ray (self, x, &frame, self->axis[1], &a, &ends[1]);
  g_autofree Middle *middles = g_new (Middle, o->n_rows);
  gsize n = 0;
  for (gsize i = 0; i < o->n_rows; i++)
    {
      if (!self->use[0][i] || !self->use[1][i])
        continue;
      double al, cl, ar, cr;
      rhy_photo_case_ray (self, x, &frame, o->side[0][i], &al, &cl);
      rhy_photo_case_ray (self, x, &frame, o->side[1][i], &ar, &cr);
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
  rhy_photo_case_ray (self, x, &frame, o->base, &mark[0], &c);
  rhy_photo_case_ray (self, x, &frame, o->rim, &mark[1], &c);
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
  self->axis[0] = rhy_photo_case_point (self, x, &frame, base / focal, ends[0]);
  self->axis[1] = rhy_photo_case_point (self, x, &frame, rim / focal, ends[1]);
  x[RHY_PHOTO_AXIS_BASE] = x[RHY_PHOTO_AXIS_RIM] = 0.0;
}

/* Where the sides differ by more than makers' ovals do, something stands on the outer one. */
static void
drop_handle (RhyPhotoCase *self,
             const double *x)
{
  enum { AROUND = 8 };
  const RhyOutline *o = self->outline;
  rhy_photo_case_trace (self, x);
  for (int s = 0; s < 2; s++)
    {
      const RhyPhotoSide *side = &self->side[s];
      const RhyPhotoSide *other = &self->side[1 - s];
      g_autofree gboolean *bad = g_new0 (gboolean, o->n_rows);
      for (gsize i = 0; i < side->n; i++)
        {
          double r;
          if (!rhy_photo_side_at (other, side->z[i], &r))
            continue;
          const double slope = rhy_photo_slope_near (other->z, other->r, other->n, rhy_photo_side_below (other, side->z[i]), 3);
          const double allowed = 4.0 * o->noise_px * rhy_photo_pixel_mm (x) * hypot (1.0, slope) + 0.005 * r + 0.15;
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
drop_steep_ends (RhyPhotoCase *self,
                 const double *x)
{
  gboolean dropped = FALSE;
  rhy_photo_case_trace (self, x);
  for (int e = 0; e < 2; e++)
    for (int s = 0; s < 2; s++)
      {
        const RhyPhotoSide *side = &self->side[s];
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
count_rows (const RhyPhotoCase *self)
{
  gsize n = 0;
  for (gsize i = 0; i < self->outline->n_rows; i++)
    n += self->use[0][i] || self->use[1][i];
  return n;
}

/* Root mean square of an end's distances from the ring fitted, px. */
static double
end_scatter (RhyPhotoCase *self,
             const double *x,
             int           e)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  RhyPhotoResiduals residuals = { 0 };
  rhy_photo_case_trace (self, x);
  end_residuals (self, x, &frame, e, &residuals);
  const double u = o->end_noise_px[e] * sqrt ((double) o->n_end[e] / MIN (END_WEIGHT, (double) o->n_end[e]));
  return sqrt (sum_of_squares (&residuals) / (double) residuals.n) * u;
}

/* Level with the wall's middle. */
static void
guess_camera (const RhyPhotoCase *self,
              double             *x)
{
  const RhyOutline *o = self->outline;
  const RhyPhotoKnown *known = self->known;
  const double length = hypot (o->rim.x - o->base.x, o->rim.y - o->base.y);
  memset (x, 0, RHY_PHOTO_N_UNKNOWNS * sizeof (double));
  x[RHY_PHOTO_HEIGHT] = known->height_mm;
  x[RHY_PHOTO_EYE_HEIGHT] = 0.5 * known->height_mm;
  x[RHY_PHOTO_LN_SCALE] = log (length / known->height_mm);
  x[RHY_PHOTO_LN_DISTANCE] = known->distance_mm > 0.0 ? log (known->distance_mm)
                                            : log (HEIGHTS_AWAY * known->height_mm);
  const RhyPhotoFrame frame = rhy_photo_case_frame (self, x);
  double a, base, rim;
  rhy_photo_case_ray (self, x, &frame, self->axis[0], &a, &base);
  rhy_photo_case_ray (self, x, &frame, self->axis[1], &a, &rim);
  x[RHY_PHOTO_AIM] = -0.5 * (atan (base) + atan (rim));
}

typedef struct { double sum, x[RHY_PHOTO_N_UNKNOWNS]; } Trial;

static int
compare_trials (const void *a,
                const void *b)
{
  const double x = ((const Trial *) a)->sum, y = ((const Trial *) b)->sum;
  return (x > y) - (x < y);
}

double
rhy_photo_case_unlikeliness (RhyPhotoCase *self,
                             const double *x)
{
  RhyPhotoResiduals residuals;
  rhy_photo_case_residuals (self, x, &residuals);
  const double sum = sum_of_squares (&residuals);
  return isfinite (sum) ? sum : G_MAXDOUBLE;
}

static void
weigh_trial (RhyPhotoCase *self,
             Trial        *trial)
{
  trial->sum = rhy_photo_case_unlikeliness (self, trial->x);
}

/* A ring's edge bulges alike seen from so far above it and from so far below, and from afar
 * as from near: the search begins in several places, goes on with the best few, and keeps the
 * best; and the second best, which may be nearly as good. */
static gboolean
find_camera_anew (RhyPhotoCase *self,
                  double       *x)
{
  enum { HEIGHTS = 5, DISTANCES = 3, FEW = 5 };
  static const double heights[HEIGHTS] = { 0.5, 0.15, 0.8, 1.2, 1.6 };
  static const double distances[DISTANCES] = { 1.0, 0.4, 2.5 };
  Trial trials[HEIGHTS * DISTANCES];
  const gsize n = HEIGHTS * (self->known->distance_mm > 0.0 ? 1 : DISTANCES);
  for (gsize i = 0; i < n; i++)
    {
      memcpy (trials[i].x, x, sizeof trials[i].x);
      trials[i].x[RHY_PHOTO_EYE_HEIGHT] = heights[i % HEIGHTS] * x[RHY_PHOTO_HEIGHT];
      trials[i].x[RHY_PHOTO_LN_DISTANCE] += log (distances[i / HEIGHTS]);
      rhy_photo_case_find_camera (self, trials[i].x, FIRST_ROUNDS);
      weigh_trial (self, &trials[i]);
    }
  qsort (trials, n, sizeof (Trial), compare_trials);
  gsize found = 0;
  for (gsize i = 0; i < MIN (n, FEW); i++)
    {
      if (!rhy_photo_case_find_camera (self, trials[i].x, RHY_PHOTO_ROUNDS))
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
    if (fabs (trials[i].x[RHY_PHOTO_EYE_HEIGHT] - x[RHY_PHOTO_EYE_HEIGHT]) > 0.02 * x[RHY_PHOTO_HEIGHT]
        && trials[i].sum < trials[0].sum + LEAST_DIFFERENCE)
      {
        self->has_other = TRUE;
        memcpy (self->other, trials[i].x, sizeof self->other);
      }
  return TRUE;
}

gboolean
rhy_photo_case_fit (RhyPhotoCase *self,
                    double       *x,
                    GError      **error)
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
      if (anew ? !find_camera_anew (self, x) : !rhy_photo_case_find_camera (self, x, RHY_PHOTO_ROUNDS))
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
