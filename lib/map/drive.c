/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/drive.h>

#include <math.h>

#include "../shape/sinc.h"
#include "map-private.h"

typedef struct
{
  RhyMap   map;
  RhyWall *wall;
  double   s_mark, angle_mark;
  double   tilt;
  double   mm_per_rad;          /* T/2 pi */
  double   mark_travel;         /* X at the mark, from the wall's start */
  double  *starts;              /* X at each piece's start */
  gsize    first, last;         /* pieces that face the head */
  double   s_min, s_max;        /* the wall that faces the head */
  /* bed x = along_x X + around_x A, bed y = along_y X + around_y A */
  double   along_x, around_x, along_y, around_y;
} Drive;

/* dz and dr over d mm of a piece from where its slope is b. */
static void
advance (double  b,
         double  k,
         double  d,
         double *dz,
         double *dr)
{
  const double half = 0.5 * k * d;
  const double chord = d * rhy_sinc (half);
  *dz = chord * cos (b + half);
  *dr = chord * sin (b + half);
}

/* The wall between two slants, turned by the tilt: along (X) and towards the head.
 * integral of cos (b - t) ds = dz cos t + dr sin t, of sin (b - t) ds = dr cos t - dz sin t.
 * Source: derived here (the profile turned by t); the sums piece by piece keep short distances exact.
 */
static void
turned (const RhyWall *wall,
        double         tilt,
        double         s0,
        double         s1,
        double        *along,
        double        *nearer)
{
  const double low = MIN (s0, s1);
  const double high = MAX (s0, s1);
  const gsize n = rhy_wall_get_n_pieces (wall);
  double x = 0.0;
  double y = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      const double from = i == 0 ? low : MAX (low, p->s_mm);
      const double to = i + 1 == n ? high : MIN (high, p->s_mm + p->length_mm);
      if (!(from < to))
        continue;
      double dx, dy;
      advance (p->slope_rad + p->curvature_per_mm * (from - p->s_mm) - tilt, p->curvature_per_mm, to - from, &dx, &dy);
      x += dx;
      y += dy;
    }
  *along = s0 <= s1 ? x : -x;
  *nearer = s0 <= s1 ? y : -y;
}

double
rhy_drive_focus (const RhyWall *wall,
                 double         tilt_rad,
                 double         s_level_mm,
                 double         s_mm)
{
  g_return_val_if_fail (wall != NULL, 0.0);

  double along, nearer;
  turned (wall, tilt_rad, s_level_mm, s_mm, &along, &nearer);
  return nearer;
}

double
rhy_drive_travel (const RhyWall *wall,
                  double         tilt_rad,
                  double         s0_mm,
                  double         s1_mm)
{
  g_return_val_if_fail (wall != NULL, 0.0);

  double along, nearer;
  turned (wall, tilt_rad, s0_mm, s1_mm, &along, &nearer);
  return along;
}

void
rhy_drive_focus_range (const RhyWall *wall,
                       double         tilt_rad,
                       double         s_level_mm,
                       double         s0_mm,
                       double         s1_mm,
                       double        *least_mm,
                       double        *greatest_mm)
{
  g_return_if_fail (wall != NULL && least_mm != NULL && greatest_mm != NULL);

  const double low = MIN (s0_mm, s1_mm);
  const double high = MAX (s0_mm, s1_mm);
  const gsize n = rhy_wall_get_n_pieces (wall);
  double focus = rhy_drive_focus (wall, tilt_rad, s_level_mm, low);
  double least = focus;
  double greatest = focus;
  for (gsize i = 0; i < n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      const double from = i == 0 ? low : MAX (low, p->s_mm);
      const double to = i + 1 == n ? high : MIN (high, p->s_mm + p->length_mm);
      if (!(from < to))
        continue;
      /* The piece's upper end, and where an arc runs parallel to the bed. */
      const double k = p->curvature_per_mm;
      const double b = p->slope_rad + k * (from - p->s_mm) - tilt_rad;
      const double tries[] = { k != 0.0 ? CLAMP (-b / k, 0.0, to - from) : 0.0, to - from };
      double along;
      double nearer = 0.0;
      for (gsize m = 0; m < G_N_ELEMENTS (tries); m++)
        {
          advance (b, k, tries[m], &along, &nearer);
          least = MIN (least, focus + nearer);
          greatest = MAX (greatest, focus + nearer);
        }
      focus += nearer;
    }
  *least_mm = least;
  *greatest_mm = greatest;
}

static double
spread_at (const RhyWall *wall,
           double         tilt,
           double         s0,
           double         s1)
{
  double least, greatest;
  rhy_drive_focus_range (wall, tilt, s0, s0, s1, &least, &greatest);
  return greatest - least;
}

/* Source: the width of a convex set is least in a direction square to one of its
 * hull's edges (Houle & Toussaint, IEEE PAMI 10(5), 1988). The profile under the
 * ink is sampled, every chord that can be a hull's edge tried (the slope of each
 * pair is too many: only pairs with all samples on one side), and its spread taken
 * over the true arcs, not the samples.
 */
double
rhy_drive_best_tilt (const RhyWall *wall,
                     double         s0_mm,
                     double         s1_mm,
                     double        *spread_mm)
{
  g_return_val_if_fail (wall != NULL, 0.0);

  enum { N = 65 };
  double z[N], r[N];
  const double low = MIN (s0_mm, s1_mm);
  const double high = MAX (s0_mm, s1_mm);
  const RhyRing middle = rhy_wall_at (wall, 0.5 * (low + high));
  double best = middle.slope_rad;
  double best_spread = spread_at (wall, best, low, high);
  /* A straight wall, to a millionth of the finest focus: every pair of samples would be tried. */
  if (best_spread < 1e-9)
    {
      if (spread_mm != NULL)
        *spread_mm = best_spread;
      return best;
    }

  for (int i = 0; i < N; i++)
    {
      const RhyRing ring = rhy_wall_at (wall, low + (high - low) * i / (N - 1));
      z[i] = ring.z_mm;
      r[i] = ring.r_mm;
    }
  for (int i = 0; i < N && high > low; i++)
    for (int k = i + 1; k < N; k++)
      {
        const double dz = z[k] - z[i];
        const double dr = r[k] - r[i];
        gboolean above = FALSE;
        gboolean below = FALSE;
        for (int m = 0; m < N && !(above && below); m++)
          {
            const double side = dz * (r[m] - r[i]) - dr * (z[m] - z[i]);
            above |= side > 1e-9 * dz;
            below |= side < -1e-9 * dz;
          }
        if (above && below)
          continue;
        const double tilt = atan2 (dr, dz);
        const double spread = spread_at (wall, tilt, low, high);
        if (spread < best_spread - 1e-12)
          {
            best = tilt;
            best_spread = spread;
          }
      }
  if (spread_mm != NULL)
    *spread_mm = best_spread;
  return best;
}

RHY_MANY static void
affine_points (RhyAffine     m,
               gsize         n,
               const double *in0,
               const double *in1,
               double       *out0,
               double       *out1)
{
  RHY_IVDEP
  for (gsize i = 0; i < n; i++)
    {
      const double p = in0[i];
      const double q = in1[i];
      out0[i] = m.xx * p + m.xy * q + m.x0;
      out1[i] = m.yx * p + m.yy * q + m.y0;
    }
}

/* X and A to the bed, one of them zero in each row. */
static RhyAffine
to_bed (const Drive *self)
{
  return (RhyAffine) { self->along_x, self->along_y, self->around_x, self->around_y, 0.0, 0.0 };
}

static gboolean
drive_affine (const RhyMap *map, RhyAffine *affine)
{
  const Drive *self = (const Drive *) map;
  if (!rhy_wall_is_cone (self->wall))
    return FALSE;
  /* (s, angle) to (X, A) first. */
  const double rate = cos (rhy_wall_get_piece (self->wall, 0)->slope_rad - self->tilt);
  const RhyAffine scale = { rate, 0.0, 0.0, self->mm_per_rad, -rate * self->s_mark,
                            -self->mm_per_rad * self->angle_mark };
  *affine = rhy_affine_then (scale, to_bed (self));
  return TRUE;
}

/* X of a slant from the mark. Points of one path come from near each other: the
 * caller's last piece is tried first. */
static double
travel_of (const Drive *self,
           double       s,
           gsize       *piece)
{
  const gsize n = rhy_wall_get_n_pieces (self->wall);
  while (*piece + 1 < n && rhy_wall_get_piece (self->wall, *piece + 1)->s_mm <= s)
    (*piece)++;
  while (*piece > 0 && rhy_wall_get_piece (self->wall, *piece)->s_mm > s)
    (*piece)--;
  const RhyWallPiece *p = rhy_wall_get_piece (self->wall, *piece);
  double along, nearer;
  advance (p->slope_rad - self->tilt, p->curvature_per_mm, s - p->s_mm, &along, &nearer);
  return self->starts[*piece] - self->mark_travel + along;
}

/* The slant at a travel X from the mark: where the turned profile has advanced
 * that far (the same closed form as finding a height, slopes less the tilt). */
static double
slant_of (const Drive *self,
          double       x)
{
  const double from_start = x + self->mark_travel;
  gsize i = self->first;
  while (i < self->last && self->starts[i + 1] <= from_start)
    i++;
  const RhyWallPiece *p = rhy_wall_get_piece (self->wall, i);
  const double b = p->slope_rad - self->tilt;
  const double dx = from_start - self->starts[i];
  const double sin_b1 = sin (b) + p->curvature_per_mm * dx;
  if (!(fabs (sin_b1) <= 1.0))
    return NAN;
  const double along = cos (b) + sqrt ((1.0 - sin_b1) * (1.0 + sin_b1));
  const double chord = dx * hypot (along, sin (b) + sin_b1) / along;
  return p->s_mm + chord * rhy_asinc (0.5 * p->curvature_per_mm * chord);
}

static gsize
drive_forward (const RhyMap *map, gsize n, const double *in0, const double *in1,
               double *out0, double *out1, guint8 *valid)
{
  const Drive *self = (const Drive *) map;
  const gsize missing = rhy_map_mark_on_wall (n, in0, in1, self->s_min, self->s_max, valid);
  RhyAffine affine;
  if (drive_affine (map, &affine))
    {
      affine_points (affine, n, in0, in1, out0, out1);
      return missing;
    }

  gsize piece = 0;
  for (gsize i = 0; i < n; i++)
    {
      const double a = self->mm_per_rad * (in1[i] - self->angle_mark);
      out0[i] = valid[i] ? travel_of (self, in0[i], &piece) : 0.0;
      out1[i] = a;
    }
  affine_points (to_bed (self), n, out0, out1, out0, out1);
  return missing;
}

static gsize
drive_inverse (const RhyMap *map, gsize n, const double *in0, const double *in1,
               double *out0, double *out1, guint8 *valid)
{
  const Drive *self = (const Drive *) map;
  for (gsize i = 0; i < n; i++)
    {
      /* to_bed is a turn by quarters, perhaps with a mirror: its inverse is its transpose. */
      const double x = self->along_x * in0[i] + self->along_y * in1[i];
      const double a = self->around_x * in0[i] + self->around_y * in1[i];
      out0[i] = slant_of (self, x);
      out1[i] = self->angle_mark + a / self->mm_per_rad;
    }
  return rhy_map_mark_on_wall (n, out0, out1, self->s_min, self->s_max, valid);
}

static gsize
drive_jacobian (const RhyMap *map, gsize n, const double *in0, const double *in1,
                double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid)
{
  const Drive *self = (const Drive *) map;
  for (gsize i = 0; i < n; i++)
    {
      const double rate = cos (rhy_wall_at (self->wall, in0[i]).slope_rad - self->tilt);
      jacobians[i] = (RhyJacobian) { self->along_x * rate, self->around_x * self->mm_per_rad,
                                     self->along_y * rate, self->around_y * self->mm_per_rad };
    }
  return drive_forward (map, n, in0, in1, out0, out1, valid);
}

static void
drive_clear (RhyMap *map)
{
  Drive *self = (Drive *) map;
  rhy_wall_unref (self->wall);
  g_free (self->starts);
}

static const RhyMapClass drive_class = {
  drive_forward, drive_inverse, drive_jacobian, drive_affine, drive_clear,
};

/* With X growing towards the mouth and A counter-clockwise seen from above, bed y down:
 *
 *   axis x, mouth plus   ( X,  A)      axis y, mouth plus   ( A, -X)
 *   axis x, mouth minus  (-X, -A)      axis y, mouth minus  (-A,  X)
 *
 * Where the mouth points decides how the page is turned; it is never mirrored. A
 * turn wired backwards negates A, on purpose. */
static void
set_orientation (Drive                 *self,
                 const RhyDriveOptions *o)
{
  const double mouth = o->mouth == RHY_MOUTH_PLUS ? 1.0 : -1.0;
  const double turn = o->turn_reversed ? -mouth : mouth;
  if (o->axis == RHY_AXIS_X)
    {
      self->along_x = mouth;
      self->around_y = turn;
    }
  else
    {
      self->along_y = -mouth;
      self->around_x = turn;
    }
}

/* The stretch of wall about the mark that faces the head, slope less tilt within 90
 * degrees: X grows along it. What lies beyond (a foot that flares, a shoulder that
 * closes) has no place in the drawing.
 */
static void
find_facing (const RhyWall         *wall,
             const RhyDriveOptions *o,
             double                *low,
             double                *high)
{
  const double mark = CLAMP (o->mark.s, 0.0, rhy_wall_get_length (wall));
  *low = -RHY_WALL_SLACK_MM;
  *high = rhy_wall_get_length (wall) + RHY_WALL_SLACK_MM;
  for (gsize i = 0; i < rhy_wall_get_n_pieces (wall); i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      const double lean = p->slope_rad - o->tilt_rad;
      const double k = p->curvature_per_mm;
      const double top = lean + k * p->length_mm;
      const double s1 = p->s_mm + p->length_mm;
      if (fabs (lean) < G_PI_2 && fabs (top) < G_PI_2)
        continue;
      /* Where an arc passes square, one way or the other; a straight piece is all over. */
      const double turn = k != 0.0 ? p->s_mm + (copysign (G_PI_2, fabs (lean) > fabs (top) ? lean : top) - lean) / k : p->s_mm;
      const gboolean lower_turned = fabs (lean) >= G_PI_2;
      const gboolean upper_turned = fabs (top) >= G_PI_2;
      if (s1 <= mark || (lower_turned && !upper_turned && turn <= mark))
        *low = MAX (*low, upper_turned ? s1 : turn);
      if (p->s_mm >= mark || (upper_turned && !lower_turned && turn >= mark))
        *high = MIN (*high, lower_turned ? p->s_mm : turn);
    }
}

RhyMap *
rhy_drive_new (RhyWall               *wall,
               const RhyDriveOptions *options,
               GError               **error)
{
  g_return_val_if_fail (wall != NULL && options != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (!(options->travel_per_turn_mm > 0.0 && isfinite (options->travel_per_turn_mm)))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY,
                   "travel per turn %g mm: must be a number above 0", options->travel_per_turn_mm);
      return NULL;
    }

  const double at_mark = rhy_wall_at (wall, options->mark.s).slope_rad;
  if (!(fabs (at_mark - options->tilt_rad) < G_PI_2))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY,
                   "tilt %.4g degrees: the wall, which slopes %.4g degrees at the mark, would turn its back to the head",
                   options->tilt_rad * 180.0 / G_PI, at_mark * 180.0 / G_PI);
      return NULL;
    }

  const gsize n = rhy_wall_get_n_pieces (wall);
  Drive *self = rhy_map_alloc (Drive, &drive_class, RHY_SPACE_WALL, RHY_SPACE_BED);
  self->wall = rhy_wall_ref (wall);
  self->s_mark = options->mark.s;
  self->angle_mark = options->mark.angle;
  self->tilt = options->tilt_rad;
  self->mm_per_rad = options->travel_per_turn_mm / (2.0 * G_PI);
  find_facing (wall, options, &self->s_min, &self->s_max);
  self->starts = g_new0 (double, n);
  for (gsize i = 0; i + 1 < n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      double along, nearer;
      advance (p->slope_rad - self->tilt, p->curvature_per_mm, p->length_mm, &along, &nearer);
      self->starts[i + 1] = self->starts[i] + along;
    }
  self->last = n - 1;
  while (self->first + 1 < n && rhy_wall_get_piece (wall, self->first + 1)->s_mm <= self->s_min)
    self->first++;
  while (self->last > self->first && rhy_wall_get_piece (wall, self->last)->s_mm >= self->s_max)
    self->last--;
  gsize piece = 0;
  self->mark_travel = travel_of (self, self->s_mark, &piece);
  set_orientation (self, options);
  return &self->map;
}
