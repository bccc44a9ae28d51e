/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "gradient.h"

#include <math.h>

/* Premultiplied red, green, blue, and alpha. */
typedef struct { double c[4]; } Mix;

struct _RhyGradient
{
  const RhyPaint *paint;        /* borrowed */
  Mix            *up_to;        /* the colour's integral from 0 to each stop */
  Mix             whole;        /* from 0 to 1 */
};

static Mix
sum (Mix    a,
     double f,
     Mix    b)
{
  for (int i = 0; i < 4; i++)
    a.c[i] += f * b.c[i];
  return a;
}

static Mix
mix_of (RhyColour c)
{
  return (Mix) { { c.r * c.a, c.g * c.a, c.b * c.a, c.a } };
}

/* The integral of the premultiplied colour over the first part @x, 0 to 1, of the way from
 * stop @a to stop @b. Colours run straight (SVG 2, 14.2), so premultiplied ones are
 * products of two linear functions: (c + x dc)(o + x do), integrated term by term. */
static Mix
part_of (const RhyStop *a,
         const RhyStop *b,
         double         x)
{
  const double from[4] = { a->colour.r, a->colour.g, a->colour.b, 1.0 };
  const double to[4] = { b->colour.r, b->colour.g, b->colour.b, 1.0 };
  const double o = a->colour.a;
  const double d_o = b->colour.a - o;
  const double width = b->offset - a->offset;
  Mix m;
  for (int i = 0; i < 4; i++)
    {
      const double c = from[i];
      const double dc = to[i] - c;
      m.c[i] = width * x * (c * o + x * (0.5 * (c * d_o + o * dc) + x * dc * d_o / 3.0));
    }
  return m;
}

/* The last stop at or before @t, from 0; -1 before the first. */
static int
stop_before (const RhyPaint *paint,
             double          t)
{
  int low = -1;
  int high = (int) paint->n_stops;
  while (high - low > 1)
    {
      const int middle = (low + high) / 2;
      if (paint->stops[middle].offset <= t)
        low = middle;
      else
        high = middle;
    }
  return low;
}

/* The colour at @t in [0, 1]. */
static Mix
colour_at (const RhyPaint *paint,
           double          t)
{
  const int k = stop_before (paint, t);
  if (k < 0)
    return mix_of (paint->stops[0].colour);
  if (k + 1 == (int) paint->n_stops)
    return mix_of (paint->stops[k].colour);
  const RhyStop *a = &paint->stops[k];
  const double x = (t - a->offset) / (a[1].offset - a->offset);
  return mix_of ((RhyColour) { a->colour.r + x * (a[1].colour.r - a->colour.r),
                               a->colour.g + x * (a[1].colour.g - a->colour.g),
                               a->colour.b + x * (a[1].colour.b - a->colour.b),
                               a->colour.a + x * (a[1].colour.a - a->colour.a) });
}

/* The integral from 0 to @t in [0, 1]. */
static Mix
integral_within (const RhyGradient *self,
                 double             t)
{
  const RhyPaint *paint = self->paint;
  const int k = stop_before (paint, t);
  if (k < 0)
    return sum ((Mix) { { 0 } }, t, mix_of (paint->stops[0].colour));
  const RhyStop *a = &paint->stops[k];
  if (k + 1 == (int) paint->n_stops)
    return sum (self->up_to[k], t - a->offset, mix_of (a->colour));
  return sum (self->up_to[k], 1.0, part_of (a, a + 1, (t - a->offset) / (a[1].offset - a->offset)));
}

/* And for any @t, by how the gradient goes on. */
static Mix
integral_to (const RhyGradient *self,
             double             t)
{
  const RhyPaint *paint = self->paint;
  const double n = floor (t);
  const double f = t - n;
  switch (paint->extend)
    {
    case RHY_EXTEND_REPEAT:
      return sum (integral_within (self, f), n, self->whole);
    case RHY_EXTEND_REFLECT:
      if (fmod (n, 2.0) == 0.0)
        return sum (integral_within (self, f), n, self->whole);
      return sum (sum ((Mix) { { 0 } }, n + 1.0, self->whole), -1.0, integral_within (self, 1.0 - f));
    default:
      {
        const Mix within = integral_within (self, CLAMP (t, 0.0, 1.0));
        if (paint->extend == RHY_EXTEND_NONE || (t >= 0.0 && t <= 1.0))
          return within;
        return t < 0.0 ? sum (within, t, mix_of (paint->stops[0].colour))
                       : sum (within, t - 1.0, mix_of (paint->stops[paint->n_stops - 1].colour));
      }
    }
}

static Mix
point_colour (const RhyGradient *self,
              double             t)
{
  const RhyPaint *paint = self->paint;
  switch (paint->extend)
    {
    case RHY_EXTEND_NONE:
      return t >= 0.0 && t <= 1.0 ? colour_at (paint, t) : (Mix) { { 0 } };
    case RHY_EXTEND_PAD:
      return colour_at (paint, CLAMP (t, 0.0, 1.0));
    case RHY_EXTEND_REPEAT:
      return colour_at (paint, t - floor (t));
    default:
      return colour_at (paint, 1.0 - fabs (1.0 - (t - 2.0 * floor (0.5 * t))));
    }
}

/* Where on the gradient a point is. Linear: its foot on the line. Radial: the largest t whose
 * circle, centre and radius run straight from the first to the second, passes through
 * it: |p - c0 - t cd|^2 = (r0 + t dr)^2. Source: SVG 2, 14.2.3. */
static gboolean
place_on (const RhyPaint *paint,
          RhyPoint        p,
          double         *t)
{
  const double cx = paint->x1 - paint->x0;
  const double cy = paint->y1 - paint->y0;
  const double px = p.x - paint->x0;
  const double py = p.y - paint->y0;
  if (paint->kind == RHY_PAINT_LINEAR)
    {
      const double length2 = cx * cx + cy * cy;
      *t = length2 > 0.0 ? (px * cx + py * cy) / length2 : 1.0;
      return isfinite (*t);
    }
  const double dr = paint->r1 - paint->r0;
  const double a = cx * cx + cy * cy - dr * dr;
  const double b = px * cx + py * cy + paint->r0 * dr;
  const double c = px * px + py * py - paint->r0 * paint->r0;
  double roots[2];
  if (fabs (a) <= 1e-12 * (cx * cx + cy * cy + dr * dr))
    roots[0] = roots[1] = 0.5 * c / b;
  else
    {
      const double d = b * b - a * c;
      if (!(d >= 0.0))
        return FALSE;
      roots[0] = (b + sqrt (d)) / a;
      roots[1] = (b - sqrt (d)) / a;
    }
  const double high = MAX (roots[0], roots[1]);
  const double low = MIN (roots[0], roots[1]);
  *t = paint->r0 + high * dr >= 0.0 ? high : low;
  return isfinite (*t) && paint->r0 + *t * dr >= 0.0;
}

RhyGradient *
rhy_gradient_new (const RhyPaint *paint)
{
  RhyGradient *self = g_new0 (RhyGradient, 1);
  self->paint = paint;
  self->up_to = g_new0 (Mix, paint->n_stops);
  self->up_to[0] = sum ((Mix) { { 0 } }, paint->stops[0].offset, mix_of (paint->stops[0].colour));
  for (gsize k = 1; k < paint->n_stops; k++)
    self->up_to[k] = sum (self->up_to[k - 1], 1.0, part_of (&paint->stops[k - 1], &paint->stops[k], 1.0));
  self->whole = integral_within (self, 1.0);
  return self;
}

void
rhy_gradient_free (RhyGradient *self)
{
  g_free (self->up_to);
  g_free (self);
}

static guint32
to_pixel (Mix    m,
          double alpha)
{
  guint32 channel[4];
  channel[3] = (guint32) lrint (255.0 * CLAMP (alpha * m.c[3], 0.0, 1.0));
  for (int i = 0; i < 3; i++)
    channel[i] = MIN ((guint32) lrint (255.0 * CLAMP (alpha * m.c[i], 0.0, 1.0)), channel[3]);
  return channel[3] << 24 | channel[0] << 16 | channel[1] << 8 | channel[2];
}

guint32
rhy_gradient_colour (const RhyGradient *self,
                     RhyPoint           p,
                     RhyPoint           dx,
                     RhyPoint           dy)
{
  const RhyPaint *paint = self->paint;
  double t, right, down;
  if (!place_on (paint, p, &t))
    return 0;
  if (!place_on (paint, (RhyPoint) { p.x + dx.x, p.y + dx.y }, &right))
    right = t;
  if (!place_on (paint, (RhyPoint) { p.x + dy.x, p.y + dy.y }, &down))
    down = t;
  const double width = hypot (right - t, down - t);
  /* So narrow a part of the gradient has one colour, and differences of integrals would be noise. */
  if (!(width > 1e-7))
    return to_pixel (point_colour (self, t), paint->alpha);
  const Mix more = integral_to (self, t + 0.5 * width);
  const Mix less = integral_to (self, t - 0.5 * width);
  return to_pixel (sum ((Mix) { { 0 } }, 1.0 / width, sum (more, -1.0, less)), paint->alpha);
}
