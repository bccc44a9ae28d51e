/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/smooth.h>

#include <math.h>

#include "sinc.h"

/* Two pieces of slopes this close are one straight line: over a wall of 300 mm
 * the difference moves a point by 3e-12 mm, a rounding. */
static const double SAME_SLOPE_RAD = 1e-14;

/* How far a slope may go beyond its chord's towards lying flat (90 degrees), as
 * a share of what is left: an arc that reaches 90 degrees has no height. */
static const double STEEPEST_SHARE = 0.75;

/* A tangent at most three times as steep as either chord beside it: beyond that
 * a curve through monotone stations turns back. The same bound is sufficient
 * for cubics: Fritsch and Carlson, "Monotone piecewise cubic interpolation",
 * SIAM J. Numer. Anal. 17 (1980), 238-246 (from memory). Here it only keeps
 * arcs from being cramped: the middle slope below forbids the overshoot. */
static const double STEEPER_THAN_CHORD = 3.0;

/* See may_bow(). Finer readings of any smooth profile pass both, so they do not
 * touch the order of the error. */
static const double MOST_TURN_RAD = G_PI / 6.0;
static const double MOST_BOW = 0.1;

typedef struct
{
  double length, slope;       /* of the straight line between two stations */
} Chord;

typedef struct
{
  RhyWallPiece *pieces;
  gsize         n;
} Chain;

static double
steepest (double slope)
{
  return fabs (slope) + STEEPEST_SHARE * (G_PI_2 - fabs (slope));
}

/* Appends an arc that spans a chord of this length while the slope goes from b0
 * to b1. A straight piece that carries on a straight one lengthens it. */
static void
add_arc (Chain *chain,
         double chord,
         double b0,
         double b1)
{
  if (!(chord > 0.0))
    return;

  const double turn = fabs (b1 - b0) < SAME_SLOPE_RAD ? 0.0 : b1 - b0;
  const double length = chord / rhy_sinc (0.5 * turn);
  RhyWallPiece *last = chain->n > 0 ? &chain->pieces[chain->n - 1] : NULL;

  if (last != NULL && turn == 0.0 && last->curvature_per_mm == 0.0
      && fabs (last->slope_rad - b0) < SAME_SLOPE_RAD)
    {
      last->length_mm += length;
      return;
    }
  chain->pieces[chain->n++] = (RhyWallPiece) { .length_mm = length,
                                               .slope_rad = b0,
                                               .curvature_per_mm = turn / length };
}

/* Source: derived here. An arc's chord lies along the mean of its end slopes.
 * Two arcs b0 -> m -> b1 therefore close the chord (L, c) for any m between
 * 2c - b0 and 2c - b1; the middle of that range, m = 2c - (b0 + b1)/2, makes
 * both chords equal, 0.5 L/cos ((b1 - b0)/4): no division that could vanish,
 * and a single circle when the three slopes belong to one.
 *
 * Where that m would turn the wall back (its sign against three slopes that
 * agree) or lay it flat, m stops at the bound and a straight piece of slope m
 * goes between the arcs. With g = (m + (b0 + b1)/2)/2, the slope of the two
 * arcs' chords together, the sine rule in the triangle gives
 *
 *   line = L sin (c - g)/sin (m - g),   arcs = L sin (m - c)/sin (m - g).
 */
static void
add_span (Chain *chain,
          Chord  chord,
          double b0,
          double b1)
{
  const double c = chord.slope;
  const double free_m = 2.0 * c - 0.5 * (b0 + b1);
  const double spread = cos (0.25 * (b1 - b0));
  double low = -steepest (c);
  double high = steepest (c);
  if (c >= 0.0 && b0 >= 0.0 && b1 >= 0.0)
    low = 0.0;
  if (c <= 0.0 && b0 <= 0.0 && b1 <= 0.0)
    high = 0.0;

  const double m = CLAMP (free_m, low, high);
  double line = 0.0;
  double arcs = chord.length;
  if (m != free_m)
    {
      const double g = 0.5 * m + 0.25 * (b0 + b1);
      line = chord.length * sin (c - g) / sin (m - g);
      arcs = chord.length * sin (m - c) / sin (m - g);
    }
  add_arc (chain, 0.5 * arcs / spread, b0, m);
  add_arc (chain, line, m, m);
  add_arc (chain, 0.5 * arcs / spread, m, b1);
}

static int
sign_of (double x)
{
  return (x > 0.0) - (x < 0.0);
}

/* Whether a chord may hold the widest or narrowest ring of a bulge or waist: the
 * readings must be dense enough for one. Chords that turn by more than 30
 * degrees, or a bow of more than a tenth of the radius, are a stem
 * between foot and bowl, not a waist. A bow over a chord L that turns by t at
 * its ends is L t/8 high. */
static gboolean
may_bow (const Chord *chords,
         gsize        n,
         gsize        i,
         double       radius)
{
  const double below = i > 0 ? fabs (chords[i].slope - chords[i - 1].slope) : 0.0;
  const double above = i + 1 < n ? fabs (chords[i].slope - chords[i + 1].slope) : 0.0;
  const double turn = MAX (below, above);
  return turn < MOST_TURN_RAD && chords[i].length * turn / 8.0 < MOST_BOW * radius;
}

/* Whether the stations keep their direction through a chord: then the wall must.
 * A chord beside a turn may hold the turn itself. */
static gboolean
keeps_direction (const Chord *chords,
                 gsize        n,
                 gsize        i,
                 double       radius)
{
  if (!may_bow (chords, n, i, radius))
    return TRUE;

  const int here = sign_of (chords[i].slope);
  const int before = i > 0 ? sign_of (chords[i - 1].slope) : here;
  const int after = i + 1 < n ? sign_of (chords[i + 1].slope) : here;
  return here == 0 ? before * after >= 0 : before * here >= 0 && after * here >= 0;
}

static double
limit_by_chord (double b,
                double chord_slope)
{
  const double most = STEEPER_THAN_CHORD * fabs (chord_slope);
  return chord_slope >= 0.0 ? CLAMP (b, 0.0, most) : CLAMP (b, -most, 0.0);
}

/* An end's tangent by three stations is twice as far off as a middle one's; the
 * fourth gives what they lack. Source: Newton's divided differences, f'(x0) of the
 * cubic less that of the parabola is f[0123] (x0 - x1)(x0 - x2), with curvature
 * for twice f[..] and chord lengths for x. Where the chords turn sharply the
 * fourth tells little of the end, so it may change the tangent by no more than
 * half of their turn. Nothing is changed where the stations lie on one circle.
 */
static double
end_correction (Chord  first,
                Chord  second,
                Chord  third)
{
  const double turn = second.slope - first.slope;
  const double across = hypot (first.length * cos (first.slope) + second.length * cos (second.slope),
                               first.length * sin (first.slope) + second.length * sin (second.slope));
  const double across_next = hypot (second.length * cos (second.slope) + third.length * cos (third.slope),
                                    second.length * sin (second.slope) + third.length * sin (third.slope));
  const double change = 2.0 * sin (third.slope - second.slope) / across_next - 2.0 * sin (turn) / across;
  const double span = first.length + second.length;
  const double correction = 0.5 * change * first.length * span / (span + third.length);
  return CLAMP (correction, -0.5 * fabs (turn), 0.5 * fabs (turn));
}

static Chord
upside_down (Chord chord)
{
  return (Chord) { chord.length, -chord.slope };
}

/* The slope of the circle through three stations, by the angle between tangent
 * and chord: in the middle it is c01 + c12 - c02, at an end c01 + c02 - c12
 * (c: slopes of the chords). It lies between its neighbours' chords. */
static void
find_slopes (const double *z,
             const double *r,
             gsize         n,
             const Chord  *chords,
             double       *slopes)
{
  for (gsize i = 1; i + 1 < n; i++)
    {
      const double across = atan2 (r[i + 1] - r[i - 1], z[i + 1] - z[i - 1]);
      slopes[i] = chords[i - 1].slope + chords[i].slope - across;
      if (i == 1)
        slopes[0] = chords[0].slope + across - chords[1].slope;
      if (i + 2 == n)
        slopes[n - 1] = chords[n - 2].slope + across - chords[n - 3].slope;
    }

  /* Seen upside down, the same profile has all its slopes negated. */
  if (n >= 4)
    {
      slopes[0] += end_correction (chords[0], chords[1], chords[2]);
      slopes[n - 1] -= end_correction (upside_down (chords[n - 2]), upside_down (chords[n - 3]), upside_down (chords[n - 4]));
    }

  for (gsize i = 0; i < n; i++)
    {
      const gsize below = i > 0 ? i - 1 : 0;
      const gsize above = i + 1 < n ? i : n - 2;
      const double most = MAX (steepest (chords[below].slope), steepest (chords[above].slope));
      slopes[i] = CLAMP (slopes[i], -most, most);
      if (keeps_direction (chords, n - 1, below, r[i]))
        slopes[i] = limit_by_chord (slopes[i], chords[below].slope);
      if (keeps_direction (chords, n - 1, above, r[i]))
        slopes[i] = limit_by_chord (slopes[i], chords[above].slope);
    }
}

RhyWall *
rhy_wall_new_smooth (const double *heights_mm,
                     const double *radii_mm,
                     gsize         n,
                     GError      **error)
{
  g_return_val_if_fail (heights_mm != NULL && radii_mm != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  /* The straight wall makes the same demands on the stations, and gives the chords. */
  g_autoptr (RhyWall) straight = rhy_wall_new_straight (heights_mm, radii_mm, n, error);
  if (straight == NULL)
    return NULL;
  if (n == 2)
    return g_steal_pointer (&straight);

  g_autofree Chord *chords = g_new (Chord, n - 1);
  for (gsize i = 0; i + 1 < n; i++)
    {
      const RhyWallPiece *p = rhy_wall_get_piece (straight, i);
      chords[i] = (Chord) { p->length_mm, p->slope_rad };
    }

  g_autofree double *slopes = g_new (double, n);
  find_slopes (heights_mm, radii_mm, n, chords, slopes);

  g_autofree RhyWallPiece *pieces = g_new0 (RhyWallPiece, 3 * (n - 1));
  Chain chain = { pieces, 0 };
  for (gsize i = 0; i + 1 < n; i++)
    add_span (&chain, chords[i], slopes[i], slopes[i + 1]);
  return rhy_wall_new_pieces (heights_mm[0], radii_mm[0], chain.pieces, chain.n, error);
}
