/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "verdict-private.h"

#include "print.h"

#include <math.h>

/* What is narrower than the beam burns as wide as the beam, and a gap narrower than it closes.
 * Beams that draw on drinkware are some 0.05 to 0.2 mm wide (common practice, no source): this is
 * finer than most of them. */
#define BEAM_MM 0.08

/* Chords off a curve by this much move a width of BEAM_MM by some percent. */
#define FLAT_MM 0.002

typedef struct
{
  gsize    n;
  double   narrowest_mm;
  RhyPoint at;                  /* art space */
} Details;

static void
add_detail (Details *self,
            double   width_mm,
            RhyPoint at)
{
  if (!(width_mm < BEAM_MM))
    return;
  if (self->n == 0 || width_mm < self->narrowest_mm)
    {
      self->narrowest_mm = width_mm;
      self->at = at;
    }
  self->n++;
}

/* The shorter side of the rectangle with that area and perimeter: exact for bars, pi/4 of the
 * diameter for a dot, which has more area than any rectangle of its perimeter. Source: derived here,
 * from w l = area and 2 (w + l) = perimeter. */
static double
width_of (double area,
          double perimeter)
{
  const double half = 0.5 * perimeter;
  const double root = half * half - 4.0 * area;
  /* 2 area/(half + sqrt) is (half - sqrt)/2 without its cancellation. */
  return root > 0.0 ? 2.0 * area / (half + sqrt (root)) : 0.5 * half;
}

typedef struct
{
  double    area;               /* > 0: counterclockwise */
  double    perimeter;
  RhyBounds box;
  RhyPoint  start;
} Ring;

static gboolean
is_within (RhyBounds a,
           RhyBounds b)
{
  return a.min_x >= b.min_x && a.min_y >= b.min_y && a.max_x <= b.max_x && a.max_y <= b.max_y;
}

/* An outline by itself: as ink it is too narrow, as a hole it burns shut. With the one before it,
 * where one is the other's hole: a line that runs round has two such. */
static void
add_ring (Details     *details,
          const Ring  *ring,
          const Ring  *before,
          RhyFillRule  rule)
{
  add_detail (details, width_of (fabs (ring->area), ring->perimeter), ring->start);
  if (before == NULL)
    return;
  const gboolean is_hole = rule == RHY_FILL_EVENODD || ring->area * before->area < 0.0;
  if (is_hole && (is_within (ring->box, before->box) || is_within (before->box, ring->box)))
    add_detail (details, width_of (fabs (fabs (before->area) - fabs (ring->area)), before->perimeter + ring->perimeter), ring->start);
}

static void
list_outlines (const RhyShape *shape,
               Details        *details)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (shape->path, FLAT_MM);
  RhyPathIter iter;
  RhySegment segment;
  Ring rings[2] = { 0 };
  gsize n_rings = 0, n = 0;
  rhy_path_iter_init (&iter, flat);
  for (;;)
    {
      const gboolean more = rhy_path_iter_next (&iter, &segment);
      Ring *ring = &rings[n_rings % 2];
      if (n > 0 && (!more || segment.first))
        {
          if (ring->perimeter > 0.0)
            {
              add_ring (details, ring, n_rings > 0 ? &rings[(n_rings + 1) % 2] : NULL, shape->rule);
              ring = &rings[++n_rings % 2];
            }
          n = 0;
        }
      if (!more)
        return;
      if (n++ == 0)
        *ring = (Ring) { .box = rhy_bounds_with (RHY_BOUNDS_EMPTY, segment.p[0].x, segment.p[0].y), .start = segment.p[0] };
      /* From the start, which keeps what is small beside where it lies. What is open is closed for it. */
      const double ax = segment.p[0].x - ring->start.x, ay = segment.p[0].y - ring->start.y;
      const double bx = segment.p[1].x - ring->start.x, by = segment.p[1].y - ring->start.y;
      ring->area += 0.5 * (ax * by - bx * ay);
      ring->perimeter += hypot (bx - ax, by - ay);
      ring->box = rhy_bounds_with (ring->box, segment.p[1].x, segment.p[1].y);
    }
}

void
rhy_verdict_check_detail (RhyVerdict *self)
{
  const RhyArtwork *artwork = rhy_plan_get_artwork (self->part);
  const gsize n = rhy_artwork_get_n_shapes (artwork);
  Details details = { 0 };
  for (gsize i = 0; i < n; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      /* What is a picture is made of dots, whose size is told elsewhere; a line without a width has none. */
      if (shape->has_fill && shape->fill_paint == NULL)
        list_outlines (shape, &details);
    }
  if (details.n == 0)
    return;

  RhyPoint at = { NAN, NAN };
  const gboolean placed = rhy_map_point (rhy_plan_get_lay (self->part), details.at, &at);
  const double height = placed ? rhy_wall_at (rhy_plan_get_wall (self->part), at.x).z_mm : NAN;
  rhy_verdict_find (self, RHY_LEVEL_CARE, "detail-too-fine",
                    rhy_print ("%" G_GSIZE_FORMAT " %s narrower than %.2f mm, the least %.3f mm: most beams are wider, so that lines burn "
                               "wider than drawn and gaps close. Make the artwork larger, or draw them wider.",
                               details.n, details.n == 1 ? "line or gap of the ink is" : "lines or gaps of the ink are", BEAM_MM,
                               details.narrowest_mm),
                    height, placed ? at.y : NAN);
}
