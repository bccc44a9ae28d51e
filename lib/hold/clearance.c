/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/clearance.h>

#include <math.h>
#include <stdlib.h>

/* Chords stand for arcs, moved out by as much as the arc stands over them; inner faces are
 * taken back in by that and the arc's own height. */
#define SAGITTA_MM 0.01
#define LIFT_MM    (2.0 * SAGITTA_MM)

/* Searches over a sector's faces stop when they are this sure. */
#define SURE_MM 0.02

/* The head's way in starts clear of everything by this. */
#define BEYOND_MM 5.0

/*
 * The work's own frame: height z on the axis, radius, and phi around from the top. Tilted
 * by t, with h from the axis at the held height and x along the bed:
 *
 *   x = z cos t + rho cos phi sin t      h = rho cos phi cos t - z sin t      y = rho sin phi
 *
 * which for the top line (phi = 0) is the drive's X and focus: dx/ds = cos (b - t), dh/ds = sin (b - t).
 */
typedef struct { double x, h, y; } Spot;

typedef struct { double cos_t, sin_t, held_z; } Frame;

static Frame
frame_of (const RhyClearanceCase *c)
{
  return (Frame) { cos (c->tilt_rad), sin (c->tilt_rad), c->held_z_mm };
}

static Spot
spot_at (const Frame *f,
         double       z,
         double       rho,
         double       phi)
{
  const double up = rho * cos (phi);
  z -= f->held_z;
  return (Spot) { z * f->cos_t + up * f->sin_t, up * f->cos_t - z * f->sin_t, rho * sin (phi) };
}

static Spot
top_of (const RhyClearanceCase *c,
        double                  s)
{
  const Frame f = frame_of (c);
  const RhyRing ring = rhy_wall_at (c->wall, s);
  return spot_at (&f, ring.z_mm, ring.r_mm, 0.0);
}

/* ---- the head, over a stretch of the bed ---- */

/* An upright prism without an upper end; its axis goes from x0 to x1. */
typedef struct
{
  double   x0, x1;
  double   half;                /* half its width, or its radius */
  gboolean round;
  double   bottom;
} Prism;

typedef struct { Prism nozzle, body; } Swept;

static Swept
head_over (const RhyClearanceCase *c,
           double                  x0,
           double                  x1)
{
  const double tip = top_of (c, c->level_s_mm).h + c->head.working_distance_mm;
  const double low = MIN (x0, x1);
  const double high = MAX (x0, x1);
  return (Swept) { { low, high, c->head.nozzle_radius_mm, TRUE, tip },
                   { low, high, c->head.body_half_width_mm, FALSE, tip + c->head.body_height_mm } };
}

static Swept
head_over_drawing (const RhyClearanceCase *c)
{
  /* X grows along the wall, but on a wall that turns its back to the head. */
  double x0 = G_MAXDOUBLE;
  double x1 = -G_MAXDOUBLE;
  for (int i = 0; i <= 32; i++)
    {
      const double x = top_of (c, c->s_low_mm + (c->s_high_mm - c->s_low_mm) * i / 32).x;
      x0 = MIN (x0, x);
      x1 = MAX (x1, x);
    }
  return head_over (c, x0, x1);
}

static double
outside (double v,
         double low,
         double high)
{
  return v < low ? low - v : v > high ? v - high : 0.0;
}

/* Distance in space, 0 inside: a convex function of @p. */
static double
distance_to (const Prism *w,
             Spot         p)
{
  const double dh = MAX (0.0, w->bottom - p.h);
  /* sqrt, not hypot: it is a tenth of the time, and nothing here is near the ends of double. */
  if (w->round)
    {
      const double ax = outside (p.x, w->x0, w->x1);
      const double d = MAX (0.0, sqrt (ax * ax + p.y * p.y) - w->half);
      return sqrt (d * d + dh * dh);
    }
  const double dx = outside (p.x, w->x0 - w->half, w->x1 + w->half);
  const double dy = MAX (0.0, fabs (p.y) - w->half);
  return sqrt (dx * dx + dy * dy + dh * dh);
}

static Spot
between (Spot   a,
         Spot   b,
         double u)
{
  return (Spot) { a.x + u * (b.x - a.x), a.h + u * (b.h - a.h), a.y + u * (b.y - a.y) };
}

/* The least along a line, where it is convex: thirds close in on it, to 1/30000 of the line. */
static double
least_along (const Prism *w,
             Spot         a,
             Spot         b,
             double      *at)
{
  double low = 0.0;
  double high = 1.0;
  for (int i = 0; i < 26; i++)
    {
      const double u = low + (high - low) / 3.0;
      const double v = high - (high - low) / 3.0;
      if (distance_to (w, between (a, b, u)) <= distance_to (w, between (a, b, v)))
        high = v;
      else
        low = u;
    }
  *at = 0.5 * (low + high);
  double least = distance_to (w, between (a, b, *at));
  for (int end = 0; end < 2; end++)
    {
      const double d = distance_to (w, end ? b : a);
      if (d < least)
        {
          least = d;
          *at = end;
        }
    }
  return least;
}

/* ---- outlines of what turns ---- */

/* A frustum of the outline: z and rho at both ends. */
typedef struct { double z0, r0, z1, r1; } Chord;

static void
add_chord (GArray *chords,
           double  z0,
           double  r0,
           double  z1,
           double  r1)
{
  const Chord chord = { z0, r0, z1, r1 };
  g_array_append_val (chords, chord);
}

/* The wall between two slants, @out further out. */
static void
add_wall (GArray        *chords,
          const RhyWall *wall,
          double         s0,
          double         s1,
          double         out)
{
  for (gsize i = 0; i < rhy_wall_get_n_pieces (wall); i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (wall, i);
      const double from = MAX (s0, p->s_mm);
      const double to = MIN (s1, p->s_mm + p->length_mm);
      if (!(to > from))
        continue;
      const double k = fabs (p->curvature_per_mm);
      const double n = MAX (1.0, ceil ((to - from) * sqrt (k / (8.0 * SAGITTA_MM))));
      const double lift = k > 0.0 ? SAGITTA_MM : 0.0;
      for (double j = 0.0; j < n; j += 1.0)
        {
          const RhyRing a = rhy_wall_at (wall, from + (to - from) * (j / n));
          const RhyRing b = rhy_wall_at (wall, from + (to - from) * ((j + 1.0) / n));
          add_chord (chords, a.z_mm, a.r_mm + out + lift, b.z_mm, b.r_mm + out + lift);
        }
    }
}

static double
slant_at (const RhyWall *wall,
          double         z)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, z, &ring))
    return CLAMP (ring.s_mm, 0.0, rhy_wall_get_length (wall));
  return z <= rhy_wall_at (wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (wall);
}

static GArray *
outline_of (const RhyClearanceCase *c,
            int                     body)
{
  GArray *chords = g_array_new (FALSE, FALSE, sizeof (Chord));
  const double length = rhy_wall_get_length (c->wall);
  if (body < 0)
    {
      add_wall (chords, c->wall, 0.0, length, 0.0);
      return chords;
    }
  const RhyBody *b = &c->bodies[body];
  if (b->radius_mm > 0.0)
    {
      add_chord (chords, b->from_mm, b->radius_mm, b->to_mm, b->radius_mm);
      return chords;
    }
  const RhyRing base = rhy_wall_at (c->wall, 0.0);
  const RhyRing rim = rhy_wall_at (c->wall, length);
  if (b->from_mm < base.z_mm)
    add_chord (chords, b->from_mm, base.r_mm + b->stand_mm, MIN (b->to_mm, base.z_mm), base.r_mm + b->stand_mm);
  add_wall (chords, c->wall, slant_at (c->wall, b->from_mm), slant_at (c->wall, b->to_mm), b->stand_mm);
  if (b->to_mm > rim.z_mm)
    add_chord (chords, MAX (b->from_mm, rim.z_mm), rim.r_mm + b->stand_mm, b->to_mm, rim.r_mm + b->stand_mm);
  return chords;
}

/* ---- what turns all round: a plane problem ----
 *
 * The head reaches to both sides of the plane through the axis, and a body of revolution, seen
 * across that plane, is no higher anywhere than its own cut by it: the nearest two points lie
 * in it. There the head is two strips open upwards, and the body's top edge is chords.
 */
static void
chord_to_prism (const Frame *f,
                const Prism *w,
                const Chord *q,
                RhyContact  *best)
{
  const Spot a = spot_at (f, q->z0, q->r0, 0.0);
  const Spot b = spot_at (f, q->z1, q->r1, 0.0);
  if (distance_to (w, between (a, b, 0.5)) - 0.5 * hypot (b.x - a.x, b.h - a.h) > best->distance_mm)
    return;

  double at;
  double least = least_along (w, a, b, &at);
  if (least < 1e-6)
    {
      /* They meet: what is under the prism is deepest in it at one of its ends. */
      const double run = b.x - a.x;
      double in = 0.0;
      double out = 1.0;
      if (fabs (run) > 1e-12)
        {
          const double u = (w->x0 - w->half - a.x) / run;
          const double v = (w->x1 + w->half - a.x) / run;
          in = CLAMP (MIN (u, v), 0.0, 1.0);
          out = CLAMP (MAX (u, v), 0.0, 1.0);
        }
      at = between (a, b, in).h > between (a, b, out).h ? in : out;
      least = MIN (0.0, w->bottom - between (a, b, at).h);
    }
  if (least < best->distance_mm)
    {
      best->distance_mm = least;
      best->height_mm = q->z0 + at * (q->z1 - q->z0);
    }
}

static void
ring_to_prism (const RhyClearanceCase *c,
              const Prism            *w,
              const GArray           *outline,
              RhyContact             *best)
{
  const Frame f = frame_of (c);
  for (guint i = 0; i < outline->len; i++)
    {
      const Chord *q = &g_array_index (outline, Chord, i);
      chord_to_prism (&f, w, q, best);
    }
  /* The flat ends, down to the axis. */
  const Chord *first = &g_array_index (outline, Chord, 0);
  const Chord *last = &g_array_index (outline, Chord, outline->len - 1);
  const Chord ends[] = { { first->z0, 0.0, first->z0, first->r0 }, { last->z1, last->r1, last->z1, 0.0 } };
  chord_to_prism (&f, w, &ends[0], best);
  chord_to_prism (&f, w, &ends[1], best);
}

/* ---- sectors ----
 *
 * The head is the same on both sides of the axis, so a sector folds onto phi in [near, far]
 * within [0, pi]. Its nearest point is on its outer face, its ends or its near side. With v fixed each
 * face is a straight line in u, along which the distance is convex; over v, nothing in an interval is
 * nearer than its middle less what half of it can move a point: intervals that cannot better the
 * best are dropped, the others halved.
 */
typedef enum { FACE_OUTER, FACE_SIDE, FACE_LOW_END, FACE_HIGH_END, N_FACES } FaceKind;

typedef struct
{
  Frame        f;
  const Prism *w;
  const Chord *q;
  double       stand;           /* inner radii are this much less */
  double       near, far;
  FaceKind     kind;
  double       mm_v;            /* a point moves at most this far over the whole of v */
  double       best, z;
  double       enough;          /* nearer than this, it need not be known better */
} Search;

static double
inner (const Search *self,
       double        outer)
{
  return MAX (0.0, outer - self->stand - LIFT_MM);
}

static void
line_at (const Search *self,
         double        v,
         Spot         *a,
         Spot         *b)
{
  const Chord *q = self->q;
  const double phi = self->kind == FACE_SIDE ? self->near : self->near + v * (self->far - self->near);
  switch (self->kind)
    {
    case FACE_SIDE:
      *a = spot_at (&self->f, q->z0, inner (self, q->r0) + v * (q->r0 - inner (self, q->r0)), phi);
      *b = spot_at (&self->f, q->z1, inner (self, q->r1) + v * (q->r1 - inner (self, q->r1)), phi);
      break;
    case FACE_LOW_END:
      *a = spot_at (&self->f, q->z0, inner (self, q->r0), phi);
      *b = spot_at (&self->f, q->z0, q->r0, phi);
      break;
    case FACE_HIGH_END:
      *a = spot_at (&self->f, q->z1, inner (self, q->r1), phi);
      *b = spot_at (&self->f, q->z1, q->r1, phi);
      break;
    default:
      *a = spot_at (&self->f, q->z0, q->r0, phi);
      *b = spot_at (&self->f, q->z1, q->r1, phi);
    }
}

static double
look (Search *self,
      double  v)
{
  Spot a, b;
  double u;
  line_at (self, v, &a, &b);
  const double d = least_along (self->w, a, b, &u);
  if (d < self->best)
    {
      self->best = d;
      self->z = self->kind == FACE_LOW_END ? self->q->z0 : self->kind == FACE_HIGH_END ? self->q->z1
                : self->q->z0 + u * (self->q->z1 - self->q->z0);
    }
  return d;
}

static void
halve (Search *self,
       double  low,
       double  high)
{
  const double reach = 0.5 * (high - low) * self->mm_v;
  if (self->best <= self->enough || look (self, 0.5 * (low + high)) - reach > self->best - SURE_MM || reach < 0.25 * SURE_MM)
    return;
  halve (self, low, 0.5 * (low + high));
  halve (self, 0.5 * (low + high), high);
}

/* How deep they are in each other, on a grid: it is for telling, no more. */
static double
depth_of (const Search *search)
{
  enum { N = 48 };
  Search self = *search;
  double depth = 0.0;
  for (int side = 0; side < 2; side++)
    for (int i = 0; i <= N; i++)
      {
        Spot a, b;
        self.kind = side ? FACE_SIDE : FACE_OUTER;
        line_at (&self, (double) i / N, &a, &b);
        for (int k = 0; k <= N; k++)
          {
            const Spot p = between (a, b, (double) k / N);
            if (distance_to (self.w, p) == 0.0)
              depth = MAX (depth, p.h - self.w->bottom);
          }
      }
  return depth;
}

/* The prism's distance from a box about a chord's sector: no point of it is nearer. */
static double
at_least (const Search *self,
          const Chord  *q)
{
  const Frame *f = &self->f;
  const Prism *w = self->w;
  const double least = MIN (inner (self, q->r0), inner (self, q->r1));
  const double most = MAX (q->r0, q->r1);
  const double cos_near = cos (self->near);
  const double cos_far = cos (self->far);
  const double up_high = cos_near * (cos_near > 0.0 ? most : least);
  const double up_low = cos_far * (cos_far > 0.0 ? least : most);
  const double aside = least * MIN (sin (self->near), sin (self->far));
  const double z0 = MIN (q->z0, q->z1) - f->held_z;
  const double z1 = MAX (q->z0, q->z1) - f->held_z;
  const double x_low = z0 * f->cos_t + MIN (up_low * f->sin_t, up_high * f->sin_t);
  const double x_high = z1 * f->cos_t + MAX (up_low * f->sin_t, up_high * f->sin_t);
  const double h_high = up_high * f->cos_t - MIN (z0 * f->sin_t, z1 * f->sin_t);
  const double dx = MAX (0.0, MAX (w->x0 - w->half - x_high, x_low - w->x1 - w->half));
  const double dy = MAX (0.0, aside - w->half);
  const double dh = MAX (0.0, w->bottom - h_high);
  return sqrt (dx * dx + dy * dy + dh * dh);
}

static void
search_chord (Search       *self,
              const GArray *outline,
              guint         i)
{
  const Chord *q = &g_array_index (outline, Chord, i);
  for (FaceKind kind = FACE_OUTER; kind < N_FACES; kind++)
    {
      if ((kind == FACE_LOW_END && i > 0) || (kind == FACE_HIGH_END && i + 1 < outline->len))
        continue;
      self->q = q;
      self->kind = kind;
      self->mm_v = kind == FACE_SIDE ? MIN (self->stand + LIFT_MM, MAX (q->r0, q->r1)) : MAX (q->r0, q->r1) * (self->far - self->near);
      look (self, kind == FACE_SIDE ? 1.0 : 0.0);
      halve (self, 0.0, 1.0);
    }
}

/* The chord that may be nearest first: then most of a long outline is out of the question. */
static void
sector_to_prism (const RhyClearanceCase *c,
                 const Prism            *w,
                 const GArray           *outline,
                 double                  stand,
                 double                  near,
                 double                  far,
                 double                  enough,
                 RhyContact             *best)
{
  Search search = { .f = frame_of (c), .w = w, .stand = stand, .near = near, .far = far, .best = G_MAXDOUBLE,
                    .enough = MAX (0.0, enough + SURE_MM) };
  g_autofree double *bounds = g_new (double, outline->len);
  guint first = 0;
  double depth = 0.0;
  if (!(enough > 0.0))
    search.enough = 0.0;
  for (guint i = 0; i < outline->len; i++)
    {
      bounds[i] = at_least (&search, &g_array_index (outline, Chord, i));
      if (bounds[i] < bounds[first])
        first = i;
    }
  search_chord (&search, outline, first);
  for (guint i = 0; i < outline->len && search.best > search.enough; i++)
    if (i != first && bounds[i] < search.best)
      search_chord (&search, outline, i);
  for (guint i = 0; i < outline->len && search.best == 0.0 && !(enough > 0.0); i++)
    {
      search.q = &g_array_index (outline, Chord, i);
      if (bounds[i] == 0.0)
        depth = MAX (depth, depth_of (&search));
    }
  const double least = search.best == 0.0 ? -depth : MAX (0.0, search.best - SURE_MM);
  if (least < best->distance_mm)
    {
      best->distance_mm = least;
      best->height_mm = search.z;
    }
}

/* ---- sectors folded ---- */

typedef struct { double near, far; gboolean all_round; } Fold;

/* @low, @high: a sector of phi. Which of it is nearest to the top, and to the bottom. */
static Fold
fold (double low,
      double high)
{
  const double turn = 2.0 * G_PI;
  if (!(high - low < turn))
    return (Fold) { 0.0, G_PI, TRUE };
  const double middle = fabs (remainder (0.5 * (low + high), turn));
  const double half = 0.5 * (high - low);
  return (Fold) { MAX (0.0, middle - half), MIN (G_PI, middle + half), FALSE };
}

static Fold
fold_of (const RhyBody *b,
         double         angle_low,
         double         angle_high)
{
  return fold (b->centre_rad - 0.5 * b->width_rad - angle_high, b->centre_rad + 0.5 * b->width_rad - angle_low);
}

/* A body with a radius of its own is solid to the axis. */
static double
stand_of (const RhyBody *b)
{
  return b->radius_mm > 0.0 ? b->radius_mm : b->stand_mm;
}

/* @enough_mm: whether they are nearer than this is all that is asked; 0: the distance, and the depth
 * where they meet. */
static RhyContact
head_to (const RhyClearanceCase *c,
         const Swept            *w,
         int                     body,
         double                  angle_low,
         double                  angle_high,
         double                  enough_mm)
{
  RhyContact best = RHY_CONTACT_NONE;
  g_autoptr (GArray) outline = outline_of (c, body);
  best.body = body;
  best.turn_rad = 0.5 * (angle_low + angle_high);
  if (outline->len == 0)
    return best;
  const Fold f = body < 0 ? (Fold) { 0.0, G_PI, TRUE } : fold_of (&c->bodies[body], angle_low, angle_high);
  const Prism *const parts[] = { &w->nozzle, &w->body };
  for (int i = 0; i < 2 && !(enough_mm > 0.0 && best.distance_mm < enough_mm); i++)
    if (f.all_round || f.near == 0.0)
      ring_to_prism (c, parts[i], outline, &best);
    else
      sector_to_prism (c, parts[i], outline, stand_of (&c->bodies[body]), f.near, f.far, enough_mm, &best);
  if (body >= 0 && !f.all_round)
    {
      /* The end of the drawing that brings it nearest to the top, or puts it there. */
      const double centre = c->bodies[body].centre_rad;
      const double low = fabs (remainder (centre - angle_low, 2.0 * G_PI));
      const double high = fabs (remainder (centre - angle_high, 2.0 * G_PI));
      best.turn_rad = low < high ? angle_low : angle_high;
    }
  return best;
}

RhyContact
rhy_clearance_head (const RhyClearanceCase *self,
                    int                     body)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL, RHY_CONTACT_NONE);
  g_return_val_if_fail (body >= -1 && body < (int) self->n_bodies, RHY_CONTACT_NONE);

  const Swept w = head_over_drawing (self);
  return head_to (self, &w, body, self->angle_low_rad, self->angle_high_rad, 0.0);
}

/* ---- the bed ---- */

/* A chord's lowest point is at an end, where the sector is lowest; an inner edge only
 * where nothing of the sector points down. */
static RhyContact
bed_to (const RhyClearanceCase *c,
        int                     body,
        Fold                    f)
{
  RhyContact best = RHY_CONTACT_NONE;
  const Frame frame = frame_of (c);
  best.body = body;
  g_autoptr (GArray) outline = outline_of (c, body);
  const double stand = body < 0 ? 0.0 : stand_of (&c->bodies[body]);
  for (guint i = 0; i < outline->len; i++)
    {
      const Chord *q = &g_array_index (outline, Chord, i);
      for (int end = 0; end < 2; end++)
        {
          const double z = end ? q->z1 : q->z0;
          const double outer = end ? q->r1 : q->r0;
          const double rho = cos (f.far) < 0.0 ? outer : MAX (0.0, outer - stand - LIFT_MM);
          const double gap = c->axis_height_mm + spot_at (&frame, z, rho, f.far).h;
          if (gap < best.distance_mm)
            {
              best.distance_mm = gap;
              best.height_mm = z;
            }
        }
    }
  return best;
}

RhyContact
rhy_clearance_bed (const RhyClearanceCase *self,
                   int                     body)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL, RHY_CONTACT_NONE);
  g_return_val_if_fail (body >= -1 && body < (int) self->n_bodies, RHY_CONTACT_NONE);

  if (isnan (self->axis_height_mm))
    return RHY_CONTACT_NONE;
  const Fold f = body < 0 ? (Fold) { 0.0, G_PI, TRUE }
                          : fold_of (&self->bodies[body], self->angle_low_rad, self->angle_high_rad);
  RhyContact contact = bed_to (self, body, f);
  contact.turn_rad = 0.5 * (self->angle_low_rad + self->angle_high_rad);
  if (body >= 0 && !f.all_round)
    {
      const double opposite = self->bodies[body].centre_rad + G_PI;
      const double low = fabs (remainder (opposite - self->angle_low_rad, 2.0 * G_PI));
      const double high = fabs (remainder (opposite - self->angle_high_rad, 2.0 * G_PI));
      const double between = contact.turn_rad + remainder (opposite - contact.turn_rad, 2.0 * G_PI);
      contact.turn_rad = between >= self->angle_low_rad && between <= self->angle_high_rad ? between
                         : low < high ? self->angle_low_rad : self->angle_high_rad;
    }
  return contact;
}

/* ---- coming in ---- */

RhyContact
rhy_clearance_way_in (const RhyClearanceCase *self,
                      gboolean                over_mouth)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL, RHY_CONTACT_NONE);

  const Frame f = frame_of (self);
  const double sign = over_mouth ? 1.0 : -1.0;
  double end = -G_MAXDOUBLE;
  for (int body = -1; body < (int) self->n_bodies; body++)
    {
      g_autoptr (GArray) outline = outline_of (self, body);
      for (guint i = 0; i < outline->len; i++)
        {
          const Chord *q = &g_array_index (outline, Chord, i);
          const double a = sign * spot_at (&f, q->z0, q->r0, 0.0).x;
          const double b = sign * spot_at (&f, q->z1, q->r1, 0.0).x;
          end = MAX (end, MAX (a, b));
        }
    }
  end = sign * (end + MAX (self->head.body_half_width_mm, self->head.nozzle_radius_mm) + BEYOND_MM);

  const Swept w = head_over (self, end, top_of (self, self->level_s_mm).x);
  RhyContact best = RHY_CONTACT_NONE;
  for (int body = -1; body < (int) self->n_bodies; body++)
    {
      const RhyContact contact = head_to (self, &w, body, self->rest_angle_rad, self->rest_angle_rad, 0.0);
      if (contact.distance_mm < best.distance_mm)
        best = contact;
    }
  return best;
}

/* ---- rollers ---- */

static gboolean
is_over_rollers (const RhyClearanceCase *c,
                 const RhyBody          *b)
{
  return c->roller_rad > 0.0 && b->width_rad < 2.0 * G_PI && b->from_mm < c->roller_to_mm && b->to_mm > c->roller_from_mm;
}

gboolean
rhy_clearance_rollers (const RhyClearanceCase *self,
                       int                     body)
{
  g_return_val_if_fail (self != NULL && body >= 0 && body < (int) self->n_bodies, FALSE);

  const RhyBody *b = &self->bodies[body];
  const Fold f = fold_of (b, self->angle_low_rad, self->angle_high_rad);
  return is_over_rollers (self, b) && (f.all_round || f.far > G_PI - self->roller_rad);
}

/* ---- turns ---- */

static double
margin_of (const RhyBody *b)
{
  return MAX (b->margin_mm, RHY_CLEARANCE_MARGIN_MM);
}

/* How near to the top the body's near edge may come: 0, anywhere. */
static double
nearest_edge (const RhyClearanceCase *c,
              const Swept            *w,
              int                     body)
{
  const RhyBody *b = &c->bodies[body];
  double bad = -1e-6;
  double good = G_PI;
  for (int i = 0; i < 24; i++)
    {
      const double edge = i == 0 ? 0.0 : 0.5 * (bad + good);
      /* Put the body with its near edge there by asking for that turn. */
      const double turn = b->centre_rad - edge - 0.5 * b->width_rad;
      if (head_to (c, w, body, turn, turn, margin_of (b)).distance_mm >= margin_of (b))
        good = edge;
      else
        bad = edge;
      if (i == 0 && good == 0.0)
        return 0.0;
    }
  return good;
}

/* How far from the top its far edge may go: pi, anywhere. */
static double
farthest_edge (const RhyClearanceCase *c,
               int                     body)
{
  const double margin = margin_of (&c->bodies[body]);
  if (isnan (c->axis_height_mm) || bed_to (c, body, (Fold) { 0.0, G_PI, FALSE }).distance_mm >= margin)
    return G_PI;
  double good = 0.0;
  double bad = G_PI;
  for (int i = 0; i < 40; i++)
    {
      const double edge = 0.5 * (good + bad);
      if (bed_to (c, body, (Fold) { 0.0, edge, FALSE }).distance_mm >= margin)
        good = edge;
      else
        bad = edge;
    }
  return good;
}

typedef struct { double from, to; } Span;

static void
forbid (GArray *spans,
        double  middle,
        double  half)
{
  for (int turn = -1; half > 0.0 && turn <= 1; turn++)
    {
      const Span span = { middle - half + 2.0 * G_PI * turn, middle + half + 2.0 * G_PI * turn };
      g_array_append_val (spans, span);
    }
}

gboolean
rhy_clearance_turns (const RhyClearanceCase *self,
                     double                 *low_rad,
                     double                 *high_rad)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL && low_rad != NULL && high_rad != NULL, FALSE);

  const Swept w = head_over_drawing (self);
  const double middle = 0.5 * (self->angle_low_rad + self->angle_high_rad);
  g_autoptr (GArray) spans = g_array_new (FALSE, FALSE, sizeof (Span));
  for (int i = 0; i < (int) self->n_bodies; i++)
    {
      const RhyBody *b = &self->bodies[i];
      if (!(b->width_rad < 2.0 * G_PI))
        continue;
      const double near = nearest_edge (self, &w, i);
      const double far = farthest_edge (self, i);
      const double centre = remainder (b->centre_rad - middle, 2.0 * G_PI);
      /* With the body's middle at phi from the top: phi - width/2 >= near, phi + width/2 <= far. */
      if (near > 0.0)
        forbid (spans, centre, MIN (near + 0.5 * b->width_rad, G_PI));
      if (far < G_PI)
        forbid (spans, remainder (centre + G_PI, 2.0 * G_PI), MIN (G_PI - far + 0.5 * b->width_rad, G_PI));
      if (is_over_rollers (self, b))
        forbid (spans, remainder (centre + G_PI, 2.0 * G_PI), MIN (self->roller_rad + 0.5 * b->width_rad, G_PI));
    }
  if (spans->len == 0)
    return FALSE;

  /* From the middle out, as far as no span begins; from inside one, out of it both ways. */
  double low = -2.0 * G_PI;
  double high = 2.0 * G_PI;
  double out_low = 0.0;
  double out_high = 0.0;
  gboolean inside = FALSE;
  for (guint pass = 0; pass <= spans->len; pass++)
    for (guint i = 0; i < spans->len; i++)
      {
        const Span s = g_array_index (spans, Span, i);
        if (s.from < out_high && s.to > out_low)
          {
            inside = TRUE;
            out_low = MIN (out_low, s.from);
            out_high = MAX (out_high, s.to);
          }
        else if (s.from < 0.0 && s.to > 0.0)
          {
            inside = TRUE;
            out_low = MIN (out_low, s.from);
            out_high = MAX (out_high, s.to);
          }
        if (s.from >= 0.0)
          high = MIN (high, s.from);
        if (s.to <= 0.0)
          low = MAX (low, s.to);
      }
  *low_rad = middle + (inside ? out_high : low);
  *high_rad = middle + (inside ? out_low : high);
  return TRUE;
}

/* ---- heights ---- */

static gboolean
may_stand (const RhyClearanceCase *c,
           double                  s)
{
  const double x = top_of (c, s).x;
  const double z = rhy_wall_at (c->wall, s).z_mm;
  const Swept w = head_over (c, x, x);
  if (head_to (c, &w, -1, c->angle_low_rad, c->angle_high_rad, RHY_CLEARANCE_MARGIN_MM).distance_mm < RHY_CLEARANCE_MARGIN_MM)
    return FALSE;
  for (int i = 0; i < (int) c->n_bodies; i++)
    {
      const RhyBody *b = &c->bodies[i];
      /* What stands all round covers the wall itself. */
      if (!(b->width_rad < 2.0 * G_PI) && z > b->from_mm && z < b->to_mm)
        return FALSE;
      if (head_to (c, &w, i, c->angle_low_rad, c->angle_high_rad, margin_of (b)).distance_mm < margin_of (b))
        return FALSE;
    }
  return TRUE;
}

static double
reach_towards (const RhyClearanceCase *c,
               double                  end)
{
  const int steps = 40;
  double good = c->level_s_mm;
  for (int i = 1; i <= steps; i++)
    {
      double bad = c->level_s_mm + (end - c->level_s_mm) * i / steps;
      if (may_stand (c, bad))
        {
          good = bad;
          continue;
        }
      for (int k = 0; k < 12; k++)
        {
          const double middle = 0.5 * (good + bad);
          if (may_stand (c, middle))
            good = middle;
          else
            bad = middle;
        }
      break;
    }
  return good;
}

gboolean
rhy_clearance_reach (const RhyClearanceCase *self,
                     double                 *low_mm,
                     double                 *high_mm)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL && low_mm != NULL && high_mm != NULL, FALSE);

  *low_mm = *high_mm = rhy_wall_at (self->wall, self->level_s_mm).z_mm;
  if (!may_stand (self, self->level_s_mm))
    return FALSE;
  *low_mm = rhy_wall_at (self->wall, reach_towards (self, 0.0)).z_mm;
  *high_mm = rhy_wall_at (self->wall, reach_towards (self, rhy_wall_get_length (self->wall))).z_mm;
  return TRUE;
}

gboolean
rhy_body_from_zone (const RhyZone *zone,
                    RhyBody       *body)
{
  g_return_val_if_fail (zone != NULL && body != NULL, FALSE);

  if (!(zone->stand_mm > 0.0))
    return FALSE;
  *body = (RhyBody) { .name = zone->name, .kind = zone->kind, .from_mm = zone->from_mm, .to_mm = zone->to_mm,
                      .stand_mm = zone->stand_mm, .centre_rad = zone->centre_rad, .width_rad = zone->width_rad,
                      .margin_mm = zone->margin_mm };
  return TRUE;
}
