/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/zones.h>

#include <math.h>
#include <stdlib.h>

#include "../shape/late-gio.h"
#include "geos-zones.h"

/* Points of the ink that searches move about: beyond this many, every so manieth. Where zones are
 * many, fewer, so that points times zones stay within the second number; true shapes have the last word. */
#define POINTS_LIMIT 2000
#define PAIRS_LIMIT  50000

#define GREATEST_SCALE 50.0
#define LEAST_SCALE    0.01

/* Steps of a search are checked against the true shapes; what lies between two points
 * of the ink can stand out by a little, and then the margin grows by this much and the
 * search goes again. */
#define ROUNDS 6

/* The zone's slants where it is on the wall. */
static gboolean
slants_of (const RhyWall *wall,
           const RhyZone *zone,
           double        *low,
           double        *high)
{
  const double length = rhy_wall_get_length (wall);
  const double z0 = rhy_wall_at (wall, 0.0).z_mm;
  const double z1 = rhy_wall_at (wall, length).z_mm;
  RhyRing ring;
  if (!(zone->from_mm < z1 && zone->to_mm > z0))
    return FALSE;
  *low = 0.0;
  *high = length;
  if (zone->from_mm > z0 && rhy_wall_at_height (wall, zone->from_mm, &ring))
    *low = ring.s_mm;
  if (zone->to_mm < z1 && rhy_wall_at_height (wall, zone->to_mm, &ring))
    *high = ring.s_mm;
  return TRUE;
}

gboolean
rhy_zones_measure (RhyWall          *wall,
                   RhyInkArea       *area,
                   const RhyMap     *lay,
                   const RhyZone    *zones,
                   gsize             n_zones,
                   RhyZoneGap       *gaps,
                   GCancellable     *cancellable,
                   GError          **error)
{
  g_return_val_if_fail (wall != NULL && area != NULL && lay != NULL, FALSE);
  g_return_val_if_fail (n_zones == 0 || (zones != NULL && gaps != NULL), FALSE);

  for (gsize i = 0; i < n_zones; i++)
    {
      double low, high;
      gaps[i] = (RhyZoneGap) { 0 };
      if (g_cancellable_set_error_if_cancelled (cancellable, error))
        return FALSE;
      if (slants_of (wall, &zones[i], &low, &high)
          && !rhy_ink_area_measure (area, wall, lay, 1.0, &zones[i], low, high, &gaps[i], error))
        return FALSE;
    }
  return TRUE;
}

gboolean
rhy_zones_clash (const RhyZone *a,
                 const RhyZone *b)
{
  g_return_val_if_fail (a != NULL && b != NULL, FALSE);

  const double apart = fabs (remainder (a->centre_rad - b->centre_rad, 2.0 * G_PI));
  return a->from_mm < b->to_mm && b->from_mm < a->to_mm && apart < 0.5 * (a->width_rad + b->width_rad);
}

/* ---- where the ink's points may be ---- */

typedef struct
{
  const RhyPlacement *p;
  RhyArtPoint        *ink;
  gsize               n;
  double              grow_mm;  /* margins are this much wider */
  double             *s, *a, *r;    /* the ink on the wall, after lay_at() */
  guint8             *valid;
} Search;

static void
search_init (Search             *self,
             const RhyPlacement *p)
{
  const gsize most = CLAMP (PAIRS_LIMIT / MAX (p->n_zones, 1), 100, POINTS_LIMIT);
  const gsize step = (p->lay.n_ink + most - 1) / most;
  *self = (Search) { .p = p };
  self->ink = g_new (RhyArtPoint, p->lay.n_ink + 1);
  for (gsize i = 0; i < p->lay.n_ink; i += MAX (step, 1))
    self->ink[self->n++] = p->lay.ink[i];
  self->s = g_new (double, self->n + 1);
  self->a = g_new (double, self->n + 1);
  self->valid = g_new (guint8, self->n + 1);
  self->r = g_new (double, self->n + 1);
}

static void
search_clear (Search *self)
{
  g_free (self->ink);
  g_free (self->s);
  g_free (self->a);
  g_free (self->valid);
  g_free (self->r);
}

/* The lay with its anchor at @anchor and the artwork scaled. The numerical lay is
 * too dear to be made a hundred times: rolled stands in for it while searching. */
static RhyMap *
lay_for (const Search *self,
         RhyWallPoint  anchor,
         double        scale,
         gboolean      exact)
{
  const RhyPlacement *p = self->p;
  g_autofree RhyArtPoint *ink = g_new (RhyArtPoint, self->n + 1);
  RhyLayOptions o = p->lay;
  for (gsize i = 0; i < self->n; i++)
    ink[i] = (RhyArtPoint) { scale * self->ink[i].u, scale * self->ink[i].v };
  o.ink = ink;
  o.n_ink = self->n;
  if (p->eye_follows)
    o.eye_height_mm += rhy_wall_at (p->wall, anchor.s).z_mm - rhy_wall_at (p->wall, p->lay.anchor.s).z_mm;
  o.anchor = anchor;
  if (o.kind == RHY_LAY_LEAST_STRETCH && !exact)
    o.kind = RHY_LAY_ROLLED;
  return rhy_lay_new (p->wall, &o, NULL);
}

/* Lays the points; FALSE if any is off the wall, or the ink laps itself. */
static gboolean
lay_at (Search      *self,
        RhyWallPoint anchor,
        double       scale)
{
  g_autoptr (RhyMap) lay = lay_for (self, anchor, scale, FALSE);
  if (lay == NULL)
    return FALSE;
  double low = G_MAXDOUBLE;
  double high = -G_MAXDOUBLE;
  for (gsize i = 0; i < self->n; i++)
    {
      self->s[i] = scale * self->ink[i].u;
      self->a[i] = scale * self->ink[i].v;
    }
  if (rhy_map_forward (lay, self->n, self->s, self->a, self->s, self->a, self->valid) > 0)
    return FALSE;
  for (gsize i = 0; i < self->n; i++)
    {
      self->r[i] = rhy_wall_at (self->p->wall, self->s[i]).r_mm;
      low = MIN (low, self->a[i]);
      high = MAX (high, self->a[i]);
    }
  return high - low < 2.0 * G_PI;
}

/* Half the angle that a zone and its margin take up at a slant; negative: none. The
 * corner is rounded, as a distance is. */
static double
half_angle_at (const RhyZone *zone,
               double         low,
               double         high,
               double         margin_mm,
               double         s,
               double         r)
{
  const double beyond = s < low ? low - s : s > high ? s - high : 0.0;
  if (beyond > margin_mm)
    return -1.0;
  const double reach = sqrt ((margin_mm - beyond) * (margin_mm + beyond));
  return MIN (0.5 * zone->width_rad + reach / r, G_PI);
}

static gboolean
is_clear (const Search *self)
{
  for (gsize k = 0; k < self->p->n_zones; k++)
    {
      const RhyZone *zone = &self->p->zones[k];
      double low, high;
      if (!slants_of (self->p->wall, zone, &low, &high))
        continue;
      for (gsize i = 0; i < self->n; i++)
        {
          const double half = half_angle_at (zone, low, high, zone->margin_mm + self->grow_mm, self->s[i], self->r[i]);
          if (fabs (remainder (self->a[i] - zone->centre_rad, 2.0 * G_PI)) < half)
            return FALSE;
        }
    }
  return TRUE;
}

/* Whether a zone is so far from the ink as it lies that the true shapes need not be asked: across an
 * angle g points are at least r sin g apart, r the smallest radius. The ink is known by points; its
 * edges lie within a spacing of them, or more where not every point is looked at. */
static gboolean
is_far (const Search  *self,
        double         scale,
        const RhyZone *zone,
        double         low,
        double         high)
{
  const RhyPlacement *p = self->p;
  const double every = MAX (1.0, (double) p->lay.n_ink / (double) self->n);
  const double margin = zone->margin_mm + p->spacing_mm * every * MAX (1.0, scale);
  double s0 = G_MAXDOUBLE, s1 = -G_MAXDOUBLE, a0 = G_MAXDOUBLE, a1 = -G_MAXDOUBLE;
  for (gsize i = 0; i < self->n; i++)
    {
      s0 = MIN (s0, self->s[i]);
      s1 = MAX (s1, self->s[i]);
      a0 = MIN (a0, self->a[i]);
      a1 = MAX (a1, self->a[i]);
    }
  if (low > s1 + margin || high < s0 - margin)
    return TRUE;
  const double between = fabs (remainder (zone->centre_rad - 0.5 * (a0 + a1), 2.0 * G_PI));
  const double gap = between - 0.5 * (a1 - a0) - 0.5 * zone->width_rad;
  const double r = rhy_wall_narrowest (p->wall, 0.0, rhy_wall_get_length (p->wall)).r_mm;
  return gap > 0.0 && r * sin (MIN (gap, 0.5 * G_PI)) > margin;
}

/* Against the true shapes. */
static gboolean
is_true (Search      *self,
         RhyWallPoint anchor,
         double       scale)
{
  const RhyPlacement *p = self->p;
  g_autoptr (RhyMap) lay = lay_for (self, anchor, scale, TRUE);
  /* Where the stand-in was searched with, the points do not lie where the ink will. */
  const gboolean knows = p->lay.kind != RHY_LAY_LEAST_STRETCH && lay_at (self, anchor, scale);
  if (lay == NULL || p->area == NULL)
    return FALSE;
  for (gsize k = 0; k < p->n_zones; k++)
    {
      double low, high;
      RhyZoneGap gap;
      if (!slants_of (p->wall, &p->zones[k], &low, &high) || (knows && is_far (self, scale, &p->zones[k], low, high)))
        continue;
      if (g_cancellable_is_cancelled (p->cancellable) || !rhy_ink_area_measure (p->area, p->wall, lay, scale, &p->zones[k], low, high, &gap, NULL)
          || gap.overlap_mm2 > 0.0 || gap.distance_mm < p->zones[k].margin_mm - RHY_WALL_SLACK_MM)
        return FALSE;
    }
  return TRUE;
}

/* ---- the nearest place ---- */

typedef struct { double from, to; } Span;

static int
by_from (const void *a,
         const void *b)
{
  const double fa = ((const Span *) a)->from;
  const double fb = ((const Span *) b)->from;
  return (fa > fb) - (fa < fb);
}

/* Turning the ink by x puts a point into a zone while x is within half an angle of
 * zone - point: what is left between all those spans is free. */
static GArray *
forbidden_turns (const Search *self)
{
  GArray *spans = g_array_new (FALSE, FALSE, sizeof (Span));
  for (gsize k = 0; k < self->p->n_zones; k++)
    {
      const RhyZone *zone = &self->p->zones[k];
      double low, high;
      if (!slants_of (self->p->wall, zone, &low, &high))
        continue;
      for (gsize i = 0; i < self->n; i++)
        {
          const double half = half_angle_at (zone, low, high, zone->margin_mm + self->grow_mm, self->s[i], self->r[i]);
          const double middle = remainder (zone->centre_rad - self->a[i], 2.0 * G_PI);
          for (int turn = -1; half > 0.0 && turn <= 1; turn++)
            {
              const Span span = { middle - half + 2.0 * G_PI * turn, middle + half + 2.0 * G_PI * turn };
              if (span.to > -G_PI && span.from < G_PI)
                g_array_append_val (spans, span);
            }
        }
    }
  g_array_sort (spans, by_from);
  return spans;
}

/* The smallest turn that is in no span; FALSE if there is none within half a turn. */
static gboolean
least_free_turn (const Search *self,
                 double       *turn)
{
  g_autoptr (GArray) spans = forbidden_turns (self);
  double reached = -G_PI;
  double best = G_MAXDOUBLE;
  for (guint i = 0; i <= spans->len; i++)
    {
      const Span span = i < spans->len ? g_array_index (spans, Span, i) : (Span) { G_PI, G_PI };
      if (span.from > reached)
        {
          const double nearest = CLAMP (0.0, reached, span.from);
          if (fabs (nearest) < fabs (best))
            best = nearest;
        }
      reached = MAX (reached, MIN (span.to, G_PI));
    }
  *turn = best;
  return fabs (best) <= G_PI;
}

typedef struct { double distance_mm; RhyWallPoint anchor; } Place;

static void
try_slants (Search *self,
            double  from,
            double  to,
            int     steps,
            Place  *best)
{
  const RhyWallPoint here = self->p->lay.anchor;
  for (int i = 0; i <= steps; i++)
    {
      const double s = from + (to - from) * i / steps;
      double turn;
      if (g_cancellable_is_cancelled (self->p->cancellable) || fabs (s - here.s) >= best->distance_mm || !rhy_wall_has (self->p->wall, s)
          || !lay_at (self, (RhyWallPoint) { s, here.angle }, 1.0) || !least_free_turn (self, &turn))
        continue;
      const double distance = hypot (s - here.s, turn * rhy_wall_at (self->p->wall, s).r_mm);
      if (distance < best->distance_mm)
        *best = (Place) { distance, { s, here.angle + turn } };
    }
}

static gboolean
find_place (Search *self,
            Place  *best)
{
  const double length = rhy_wall_get_length (self->p->wall);
  const double step = length / 80.0;
  *best = (Place) { .distance_mm = G_MAXDOUBLE };
  /* Where it is already comes first: the sooner something near is found, the less is tried. */
  try_slants (self, self->p->lay.anchor.s, self->p->lay.anchor.s, 1, best);
  try_slants (self, 0.0, length, 80, best);
  if (!(best->distance_mm < G_MAXDOUBLE))
    return FALSE;
  for (double h = step; h > 0.02; h *= 0.25)
    try_slants (self, best->anchor.s - h, best->anchor.s + h, 8, best);
  return TRUE;
}

gboolean
rhy_placement_nearest (const RhyPlacement *self,
                       RhyWallPoint       *anchor)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL && anchor != NULL, FALSE);
  g_return_val_if_fail (self->lay.n_ink > 0, FALSE);

  Search search;
  Place place = { 0 };
  gboolean found = FALSE;
  search_init (&search, self);
  for (int i = 0; i < ROUNDS && !found; i++)
    {
      search.grow_mm = 0.5 * self->spacing_mm * i;
      if (!find_place (&search, &place))
        break;
      found = is_true (&search, place.anchor, 1.0);
    }
  search_clear (&search);
  if (found)
    *anchor = place.anchor;
  return found;
}

/* ---- the largest size ---- */

static gboolean
fits (Search *self,
      double  scale)
{
  return !g_cancellable_is_cancelled (self->p->cancellable) && lay_at (self, self->p->lay.anchor, scale) && is_clear (self);
}

/* Up from 1 while it fits, or down until it does; then halved. A shape can fit again
 * beyond a size that does not: the first limit is the answer, for growing is continuous. */
static double
find_scale (Search *self)
{
  const double factor = 1.05;
  double good = 0.0;
  double bad = 0.0;
  if (fits (self, 1.0))
    for (good = 1.0, bad = factor; bad < GREATEST_SCALE && fits (self, bad); bad *= factor)
      good = bad;
  else
    for (bad = 1.0; bad > LEAST_SCALE; bad /= factor)
      if (fits (self, bad / factor))
        {
          good = bad / factor;
          break;
        }
  if (good == 0.0 || bad >= GREATEST_SCALE)
    return MIN (good, GREATEST_SCALE);
  for (int i = 0; i < 12; i++)
    {
      const double middle = 0.5 * (good + bad);
      if (fits (self, middle))
        good = middle;
      else
        bad = middle;
    }
  return good;
}

double
rhy_placement_largest (const RhyPlacement *self)
{
  g_return_val_if_fail (self != NULL && self->wall != NULL, 0.0);
  g_return_val_if_fail (self->lay.n_ink > 0, 0.0);

  Search search;
  search_init (&search, self);
  double scale = 0.0;
  for (int i = 0; i < ROUNDS; i++)
    {
      search.grow_mm = 0.5 * self->spacing_mm * i;
      scale = find_scale (&search);
      if (scale == 0.0 || is_true (&search, self->lay.anchor, scale))
        break;
      if (i == ROUNDS - 1)
        scale = 0.0;
    }
  search_clear (&search);
  return scale;
}
