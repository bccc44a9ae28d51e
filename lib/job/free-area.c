/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/free-area.h>

#include <math.h>

#include <rhyton/holds.h>

/* Slant and angle, from and to. */
typedef struct { double s0, s1, a0, a1; } Box;

static double
slant_of (const RhyWall *wall,
          double         z_mm)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, z_mm, &ring))
    return ring.s_mm;
  return z_mm < rhy_wall_at (wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (wall);
}

/* Around, a margin is an angle that grows as the wall gets narrower: the narrowest ring
 * within reach of the zone counts. */
static Box
box_of_zone (const RhyWall *wall,
             const RhyZone *zone)
{
  const double length = rhy_wall_get_length (wall);
  const double s0 = slant_of (wall, zone->from_mm) - zone->margin_mm;
  const double s1 = slant_of (wall, zone->to_mm) + zone->margin_mm;
  const double r = rhy_wall_narrowest (wall, CLAMP (s0, 0.0, length), CLAMP (s1, 0.0, length)).r_mm;
  const double half = MIN (0.5 * zone->width_rad + zone->margin_mm / r, G_PI);
  return (Box) { s0, s1, zone->centre_rad - half, zone->centre_rad + half };
}

static gboolean
is_on_wall (const RhyWall *wall,
            const RhyZone *zone)
{
  return zone->to_mm >= rhy_wall_at (wall, 0.0).z_mm - zone->margin_mm
         && zone->from_mm <= rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm + zone->margin_mm;
}

/* An end of the band, brought towards the mark until it faces the head. */
static double
facing (const RhyMap *drive,
        RhyWallPoint  mark,
        double        s)
{
  RhyPoint out;
  if (rhy_map_point (drive, (RhyPoint) { s, mark.angle }, &out))
    return s;
  double good = mark.s;
  double bad = s;
  for (int i = 0; i < 60; i++)
    {
      const double middle = 0.5 * (good + bad);
      *(rhy_map_point (drive, (RhyPoint) { middle, mark.angle }, &out) ? &good : &bad) = middle;
    }
  return good;
}

static gboolean
whole_band (const RhyPlan *plan,
            Box           *band)
{
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyWallPoint mark = n->anchor;
  g_autoptr (RhyHolding) h = rhy_plan_hold (plan, rhy_job_way (rhy_plan_get_job (plan)), NULL);
  if (h == NULL || !h->reaches || (h->is_limited && h->turn_high_rad <= h->turn_low_rad))
    return FALSE;
  *band = (Box) { facing (rhy_plan_get_drive (plan), mark, slant_of (wall, h->reach_low_mm)),
                  facing (rhy_plan_get_drive (plan), mark, slant_of (wall, h->reach_high_mm)),
                  MIN (mark.angle - G_PI, n->angle_low_rad), MAX (mark.angle + G_PI, n->angle_high_rad) };
  if (h->is_limited)
    {
      band->a0 = MAX (band->a0, h->turn_low_rad);
      band->a1 = MIN (band->a1, h->turn_high_rad);
    }
  return band->s1 > band->s0 && band->a1 > band->a0;
}

/* ---- the outline ---- */

typedef struct
{
  gsize     n_s, n_a;           /* cells */
  double   *s, *a;              /* their edges, one more each */
  gboolean *is_free;
} Cells;

static int
by_value (const void *a,
          const void *b)
{
  const double x = *(const double *) a;
  const double y = *(const double *) b;
  return (x > y) - (x < y);
}

/* Sorted, each once; slivers that come of rounding are no cells. Returns: how many. */
static gsize
tidy (double *v,
      gsize   n)
{
  gsize kept = 1;
  qsort (v, n, sizeof *v, by_value);
  for (gsize i = 1; i < n; i++)
    if (v[i] - v[kept - 1] > 1e-9)
      v[kept++] = v[i];
  return kept;
}

static gboolean
cell_at (const Cells *c,
         gssize       i,
         gssize       k)
{
  return i >= 0 && k >= 0 && i < (gssize) c->n_s && k < (gssize) c->n_a && c->is_free[(gsize) i * c->n_a + (gsize) k];
}

static void
make_cells (Cells        *c,
            Box           band,
            const GArray *boxes)
{
  c->s = g_new (double, 2 * boxes->len + 2);
  c->a = g_new (double, 2 * boxes->len + 2);
  gsize n = 0;
  c->s[n] = band.s0;
  c->a[n++] = band.a0;
  c->s[n] = band.s1;
  c->a[n++] = band.a1;
  for (guint i = 0; i < boxes->len; i++)
    {
      const Box *b = &g_array_index (boxes, Box, i);
      c->s[n] = CLAMP (b->s0, band.s0, band.s1);
      c->a[n++] = CLAMP (b->a0, band.a0, band.a1);
      c->s[n] = CLAMP (b->s1, band.s0, band.s1);
      c->a[n++] = CLAMP (b->a1, band.a0, band.a1);
    }
  c->n_s = tidy (c->s, n) - 1;
  c->n_a = tidy (c->a, n) - 1;
  c->is_free = g_new (gboolean, c->n_s * c->n_a + 1);
  for (gsize i = 0; i < c->n_s; i++)
    for (gsize k = 0; k < c->n_a; k++)
      {
        const double s = 0.5 * (c->s[i] + c->s[i + 1]);
        const double a = 0.5 * (c->a[k] + c->a[k + 1]);
        gboolean is_free = TRUE;
        for (guint j = 0; j < boxes->len && is_free; j++)
          {
            const Box *b = &g_array_index (boxes, Box, j);
            is_free = !(s > b->s0 && s < b->s1 && a > b->a0 && a < b->a1);
          }
        c->is_free[i * c->n_a + k] = is_free;
      }
}

/* Edges with what is free on their left, by the corner they start at: towards +s, +a, -s, -a. */
enum { UP_S, UP_A, DOWN_S, DOWN_A, N_WAYS };
static const int step_s[N_WAYS] = { 1, 0, -1, 0 };
static const int step_a[N_WAYS] = { 0, 1, 0, -1 };

static gboolean
has_edge (const Cells *c,
          gssize       i,
          gssize       k,
          int          way)
{
  switch (way)
    {
    case UP_S:   return cell_at (c, i, k) && !cell_at (c, i, k - 1);
    case UP_A:   return cell_at (c, i - 1, k) && !cell_at (c, i, k);
    case DOWN_S: return cell_at (c, i - 1, k - 1) && !cell_at (c, i - 1, k);
    default:     return cell_at (c, i, k - 1) && !cell_at (c, i - 1, k - 1);
    }
}

/* Round one outline from a corner. Where four edges meet, the sharper turn to the left is taken, so
 * that areas that only touch stay apart. */
static void
walk (const Cells *c,
      guint8      *done,
      gssize       i,
      gssize       k,
      int          way,
      RhyPath     *path)
{
  int last = -1;
  gboolean first = TRUE;
  while (!done[((gsize) i * (c->n_a + 1) + (gsize) k) * N_WAYS + (gsize) way])
    {
      done[((gsize) i * (c->n_a + 1) + (gsize) k) * N_WAYS + (gsize) way] = 1;
      if (first)
        rhy_path_move_to (path, c->s[i], c->a[k]);
      else if (way != last)
        rhy_path_line_to (path, c->s[i], c->a[k]);
      first = FALSE;
      last = way;
      i += step_s[way];
      k += step_a[way];
      const int left = (way + 1) % N_WAYS;
      const int right = (way + 3) % N_WAYS;
      way = has_edge (c, i, k, left) ? left : has_edge (c, i, k, way) ? way : right;
    }
  rhy_path_close (path);
}

static RhyPath *
outline (const Cells *c)
{
  RhyPath *path = rhy_path_new ();
  g_autofree guint8 *done = g_new0 (guint8, (c->n_s + 1) * (c->n_a + 1) * N_WAYS);
  for (gsize i = 0; i <= c->n_s; i++)
    for (gsize k = 0; k <= c->n_a; k++)
      for (int way = 0; way < N_WAYS; way++)
        /* Only from a corner, or the outline would begin in the middle of a line. */
        if (has_edge (c, (gssize) i, (gssize) k, way) && !done[(i * (c->n_a + 1) + k) * N_WAYS + (gsize) way]
            && !has_edge (c, (gssize) i - step_s[way], (gssize) k - step_a[way], way))
          walk (c, done, (gssize) i, (gssize) k, way, path);
  return path;
}

RhyPath *
rhy_plan_free_area (const RhyPlan *plan)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyWall *wall = rhy_plan_get_wall (plan);
  Box band;
  if (!whole_band (plan, &band))
    return rhy_path_new ();
  g_autoptr (GArray) boxes = g_array_new (FALSE, FALSE, sizeof (Box));
  for (gsize i = 0; i < d->n_zones; i++)
    if (is_on_wall (wall, &d->zones[i]))
      {
        const Box box = box_of_zone (wall, &d->zones[i]);
        const double first = ceil ((band.a0 - box.a1) / (2.0 * G_PI));
        for (double turn = first; box.a0 + 2.0 * G_PI * turn < band.a1; turn++)
          {
            const Box there = { box.s0, box.s1, box.a0 + 2.0 * G_PI * turn, box.a1 + 2.0 * G_PI * turn };
            g_array_append_val (boxes, there);
          }
      }
  Cells c = { 0 };
  make_cells (&c, band, boxes);
  RhyPath *path = outline (&c);
  g_free (c.s);
  g_free (c.a);
  g_free (c.is_free);
  return path;
}
