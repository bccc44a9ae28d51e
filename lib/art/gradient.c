/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "gradient.h"

#include <math.h>

/* Premultiplied red, green, blue, and alpha. */
typedef struct { double c[4]; } Mix;

/* Red, green, blue, alpha, ready to be rounded: times 255 and the paint's own alpha. */
typedef float v4 __attribute__ ((vector_size (16)));

/* The colour from one stop to the next: c0 + c1 x + c2 x^2, x = t - from. */
typedef struct { double from, to; v4 c0, c1, c2; } Span;

struct _RhyGradient
{
  const RhyPaint *paint;        /* borrowed */
  Mix            *up_to;        /* the colour's integral from 0 to each stop */
  Mix             whole;        /* from 0 to 1 */
  Span           *spans;        /* n_stops + 1: before the first stop, between, and past the last */
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

/* Many at once: the usual ones without the general equation. */
void
rhy_gradient_places (const RhyGradient *self,
                     gsize              n,
                     double            *x,
                     const double      *y,
                     guint8            *valid)
{
  const RhyPaint *paint = self->paint;
  const double cx = paint->x1 - paint->x0;
  const double cy = paint->y1 - paint->y0;
  const double length2 = cx * cx + cy * cy;
  const double dr = paint->r1 - paint->r0;
  if (paint->kind == RHY_PAINT_LINEAR && length2 > 0.0 && isfinite (1.0 / length2))
    for (gsize i = 0; i < n; i++)
      x[i] = ((x[i] - paint->x0) * cx + (y[i] - paint->y0) * cy) / length2;
  else if (paint->kind == RHY_PAINT_RADIAL && length2 == 0.0 && dr != 0.0 && isfinite (1.0 / dr))
    for (gsize i = 0; i < n; i++)
      {
        const double dx = x[i] - paint->x0;
        const double dy = y[i] - paint->y0;
        x[i] = (sqrt (dx * dx + dy * dy) - paint->r0) / dr;
      }
  else
    for (gsize i = 0; i < n; i++)
      {
        double t = 0.0;
        valid[i] = valid[i] && place_on (paint, (RhyPoint) { x[i], y[i] }, &t);
        x[i] = t;
      }
}

/* As in part_of(): (c + x dc)(o + x do), x here as a part of the way. */
static Span
span_between (const RhyStop *a,
              const RhyStop *b,
              double         scale)
{
  const double from[4] = { a->colour.r, a->colour.g, a->colour.b, 1.0 };
  const double to[4] = { b->colour.r, b->colour.g, b->colour.b, 1.0 };
  const double o = a->colour.a;
  const double f = 1.0 / (b->offset - a->offset);
  const double d_o = b->colour.a - o;
  Span span = { .from = a->offset, .to = b->offset };
  for (int i = 0; i < 4; i++)
    {
      const double c = from[i];
      const double dc = to[i] - c;
      span.c0[i] = (float) (scale * c * o);
      span.c1[i] = (float) (scale * f * (c * d_o + o * dc));
      span.c2[i] = (float) (scale * f * f * dc * d_o);
    }
  return span;
}

static Span
span_of_one (double    from,
             double    to,
             RhyColour colour,
             double    scale)
{
  const Mix m = mix_of (colour);
  Span span = { .from = from, .to = to };
  for (int i = 0; i < 4; i++)
    span.c0[i] = (float) (scale * m.c[i]);
  return span;
}

RhyGradient *
rhy_gradient_new (const RhyPaint *paint)
{
  const double scale = 255.0 * paint->alpha;
  RhyGradient *self = g_new0 (RhyGradient, 1);
  const RhyStop *stops = paint->stops;
  const gsize n = paint->n_stops;
  self->paint = paint;
  self->up_to = g_new0 (Mix, n);
  self->spans = g_new0 (Span, n + 1);
  self->up_to[0] = sum ((Mix) { { 0 } }, stops[0].offset, mix_of (stops[0].colour));
  self->spans[0] = span_of_one (0.0, stops[0].offset, stops[0].colour, scale);
  for (gsize k = 1; k < n; k++)
    {
      self->up_to[k] = sum (self->up_to[k - 1], 1.0, part_of (&stops[k - 1], &stops[k], 1.0));
      if (stops[k].offset > stops[k - 1].offset)        /* one of no width is never looked up */
        self->spans[k] = span_between (&stops[k - 1], &stops[k], scale);
    }
  self->spans[n] = span_of_one (stops[n - 1].offset, 1.0, stops[n - 1].colour, scale);
  self->whole = integral_within (self, 1.0);
  return self;
}

void
rhy_gradient_free (RhyGradient *self)
{
  g_free (self->up_to);
  g_free (self->spans);
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

/* The mean over [@low, @high] where no stop lies between: that of a square is its value at the middle
 * and a twelfth of the width's square. */
static gboolean
is_within_span (const RhyGradient *self,
                double             low,
                double             high,
                guint32           *pixel)
{
  const RhyPaint *paint = self->paint;
  if (paint->extend == RHY_EXTEND_PAD)
    {
      if (low >= 1.0 || high <= 0.0)
        low = high = low >= 1.0 ? 1.0 : 0.0;
    }
  else if (paint->extend == RHY_EXTEND_NONE && (low >= 1.0 || high <= 0.0))
    {
      *pixel = 0;
      return TRUE;
    }
  else if (paint->extend != RHY_EXTEND_NONE && !(low >= 0.0 && high <= 1.0))
    {
      const double n = floor (low);
      const gboolean is_back = paint->extend == RHY_EXTEND_REFLECT && fmod (n, 2.0) != 0.0;
      const double before = low;
      low = is_back ? n + 1.0 - high : low - n;
      high = is_back ? n + 1.0 - before : high - n;
    }
  if (!(low >= 0.0 && high <= 1.0))
    return FALSE;
  const Span *span = &self->spans[stop_before (paint, low) + 1];
  if (!(high <= span->to))
    return FALSE;
  const float x = (float) (0.5 * (low + high) - span->from);
  const float w = (float) (high - low);
  const v4 mean = span->c0 + x * span->c1 + (x * x + w * w / 12.0f) * span->c2;
  const guint32 alpha = (guint32) lrintf (CLAMP (mean[3], 0.0f, 255.0f));
  *pixel = alpha << 24;
  for (int i = 0; i < 3; i++)
    *pixel |= MIN ((guint32) lrintf (MAX (mean[i], 0.0f)), alpha) << (16 - 8 * i);
  return TRUE;
}

guint32
rhy_gradient_colour (const RhyGradient *self,
                     double             t,
                     double             width)
{
  const RhyPaint *paint = self->paint;
  guint32 pixel;
  if (is_within_span (self, t - 0.5 * width, t + 0.5 * width, &pixel))
    return pixel;
  /* So narrow a part of the gradient has one colour, and differences of integrals would be noise. */
  if (!(width > 1e-7))
    return to_pixel (point_colour (self, t), paint->alpha);
  const Mix more = integral_to (self, t + 0.5 * width);
  const Mix less = integral_to (self, t - 0.5 * width);
  return to_pixel (sum ((Mix) { { 0 } }, 1.0 / width, sum (more, -1.0, less)), paint->alpha);
}
