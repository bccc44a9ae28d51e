/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "ink.h"

#include <math.h>
#include <stdlib.h>

/* How far a stroke reaches, exactly. In the pen's space the pen is a disc of
 * radius h; a direction e of artwork space is the functional n = M^T e there
 * (M the pen's matrix), so what is sought is the greatest n.q over the stroke's
 * points q, with k = |n|. Source: derived here.
 *
 * An offset curve c + h N moves along the tangent, so on a smooth piece n.q is
 * stationary only where the tangent is across n, with value n.c + h k; the
 * other candidates are the corners at its ends, n.c + h |n.N|. Round joins and
 * caps add the disc, n.c + h k; a square cap its two corners; a mitre its tip.
 */
typedef struct
{
  RhyPoint n;
  double   k;
  double   h;
  double   reach;
} Support;

static double
dot (RhyPoint a, RhyPoint b)
{
  return a.x * b.x + a.y * b.y;
}

static RhyPoint
unit (RhyPoint from,
      RhyPoint to)
{
  const double x = to.x - from.x;
  const double y = to.y - from.y;
  const double length = hypot (x, y);
  return length > 0.0 ? (RhyPoint) { x / length, y / length } : (RhyPoint) { 0.0, 0.0 };
}

static gboolean
same (RhyPoint a, RhyPoint b)
{
  return a.x == b.x && a.y == b.y;
}

/* Tangent at the start (or, with reversed points, minus that at the end) of a
 * segment: towards the first control point that is elsewhere. */
static RhyPoint
leaving (const RhySegment *g)
{
  const int last = g->verb == RHY_PATH_CUBIC ? 3 : 1;
  for (int i = 1; i <= last; i++)
    if (!same (g->p[i], g->p[0]))
      return unit (g->p[0], g->p[i]);
  return (RhyPoint) { 0.0, 0.0 };
}

static RhyPoint
arriving (const RhySegment *g)
{
  const int last = g->verb == RHY_PATH_CUBIC ? 3 : 1;
  for (int i = last - 1; i >= 0; i--)
    if (!same (g->p[i], g->p[last]))
      return unit (g->p[i], g->p[last]);
  return (RhyPoint) { 0.0, 0.0 };
}

static void
meet (Support *s,
      double   value)
{
  if (value > s->reach)
    s->reach = value;
}

static void
meet_disc (Support *s,
           RhyPoint p)
{
  meet (s, dot (s->n, p) + s->h * s->k);
}

static void
meet_corners (Support *s,
              RhyPoint p,
              RhyPoint tangent)
{
  meet (s, dot (s->n, p) + s->h * fabs (s->n.y * tangent.x - s->n.x * tangent.y));
}

static void
meet_cap (Support *s,
          RhyCap   cap,
          RhyPoint p,
          RhyPoint outwards)
{
  const gboolean dot_only = outwards.x == 0.0 && outwards.y == 0.0;
  if (cap == RHY_CAP_ROUND)
    meet_disc (s, p);
  else if (cap == RHY_CAP_SQUARE && dot_only)
    meet (s, dot (s->n, p) + s->h * (fabs (s->n.x) + fabs (s->n.y)));
  else if (cap == RHY_CAP_SQUARE)
    meet_corners (s, (RhyPoint) { p.x + s->h * outwards.x, p.y + s->h * outwards.y }, outwards);
}

/* The mitre's tip lies along the outer bisector at h / cos (half the turn); the
 * limit is on 1 / sin (half the angle between the segments), the same number.
 * Source: SVG 2, section 13.5.6. */
static void
meet_join (Support      *s,
           const RhyPen *pen,
           RhyPoint      p,
           RhyPoint      in,
           RhyPoint      out)
{
  if (pen->join == RHY_JOIN_ROUND)
    {
      meet_disc (s, p);
      return;
    }
  if (pen->join != RHY_JOIN_MITER)
    return;

  const double cos_turn = dot (in, out);
  const double sin_turn = in.x * out.y - in.y * out.x;
  const double cos_half = sqrt (MAX (0.0, 0.5 * (1.0 + cos_turn)));
  if (!(cos_half * pen->miter_limit >= 1.0) || sin_turn == 0.0)
    return;
  const RhyPoint side = unit ((RhyPoint) { 0.0, 0.0 }, (RhyPoint) { in.x - out.x, in.y - out.y });
  const double tip = s->h / cos_half;
  meet (s, dot (s->n, (RhyPoint) { p.x + tip * side.x, p.y + tip * side.y }));
}

static void
meet_segment (Support          *s,
              const RhySegment *g)
{
  meet_corners (s, g->p[0], leaving (g));
  meet_corners (s, g->p[g->verb == RHY_PATH_CUBIC ? 3 : 1], arriving (g));
  if (g->verb != RHY_PATH_CUBIC)
    return;

  /* Roots of the derivative of n.c(t), as in rhy_path_get_bounds(). */
  const double a = dot (s->n, g->p[0]);
  const double b = dot (s->n, g->p[1]);
  const double c = dot (s->n, g->p[2]);
  const double d = dot (s->n, g->p[3]);
  const double A = (b - a) - 2.0 * (c - b) + (d - c);
  const double B = (c - b) - (b - a);
  const double disc = B * B - A * (b - a);
  if (!(disc >= 0.0))
    return;
  const double w = -(B + copysign (sqrt (disc), B));
  const double roots[2] = { A != 0.0 ? w / A : NAN, w != 0.0 ? (b - a) / w : NAN };
  for (int i = 0; i < 2; i++)
    if (roots[i] > 0.0 && roots[i] < 1.0)
      {
        const double t = roots[i];
        const double m = 1.0 - t;
        meet (s, m * m * (m * a + 3.0 * t * b) + t * t * (3.0 * m * c + t * d) + s->h * s->k);
      }
}

static double
find_reach (const RhyPath *path,
            const RhyPen  *pen,
            RhyPoint       n)
{
  Support s = { n, hypot (n.x, n.y), 0.5 * pen->width, -G_MAXDOUBLE };
  RhyPathIter iter;
  RhySegment g;
  RhySegment first = { 0 };
  RhySegment before = { 0 };
  gboolean open = FALSE;

  rhy_path_iter_init (&iter, path);
  while (TRUE)
    {
      const gboolean more = rhy_path_iter_next (&iter, &g);
      if (open && (!more || g.first))
        {
          const RhyPoint out = leaving (&first);
          meet_cap (&s, pen->cap, first.p[0], (RhyPoint) { -out.x, -out.y });
          meet_cap (&s, pen->cap, before.p[before.verb == RHY_PATH_CUBIC ? 3 : 1], arriving (&before));
          open = FALSE;
        }
      if (!more)
        break;
      if (g.first)
        first = g;
      else
        meet_join (&s, pen, g.p[0], arriving (&before), leaving (&g));
      meet_segment (&s, &g);
      before = g;
      open = !g.closes;
      if (g.closes)
        meet_join (&s, pen, first.p[0], arriving (&g), leaving (&first));
    }
  return s.reach;
}

RhyBounds
rhy_ink_stroke_bounds (const RhyPath *path,
                       const RhyPen  *pen)
{
  const RhyAffine m = pen->matrix;
  const double det = m.xx * m.yy - m.xy * m.yx;
  if (!(fabs (det) > 0.0) || path->n_verbs == 0)
    return rhy_path_get_bounds (path);

  const RhyAffine inverse = { m.yy / det, -m.yx / det, -m.xy / det, m.xx / det, 0.0, 0.0 };
  g_autoptr (RhyPath) own = rhy_path_transformed (path, inverse);
  const double right = find_reach (own, pen, (RhyPoint) { m.xx, m.xy });
  if (right == -G_MAXDOUBLE)
    return RHY_BOUNDS_EMPTY;
  return (RhyBounds) { -find_reach (own, pen, (RhyPoint) { -m.xx, -m.xy }),
                       -find_reach (own, pen, (RhyPoint) { -m.yx, -m.yy }),
                       right,
                       find_reach (own, pen, (RhyPoint) { m.yx, m.yy }) };
}

/* Edges sorted into rows of equal height, so that a question looks at few. */
typedef struct { double x0, y0, x1, y1; int winding; } Edge;

struct _RhyRegion
{
  RhyFillRule rule;
  RhyBounds   box;
  GArray     *edges;            /* Edge, y0 < y1 */
  guint      *rows;             /* edge indices, row after row */
  gsize      *row_start;        /* n_rows + 1 offsets into them */
  gsize       n_rows;
  double      row_height;
};

static void
add_edge (RhyRegion *self,
          RhyPoint   a,
          RhyPoint   b)
{
  self->box = rhy_bounds_with (rhy_bounds_with (self->box, a.x, a.y), b.x, b.y);
  if (a.y == b.y)
    return;
  const Edge e = a.y < b.y ? (Edge) { a.x, a.y, b.x, b.y, 1 } : (Edge) { b.x, b.y, a.x, a.y, -1 };
  g_array_append_val (self->edges, e);
}

static gsize
row_of (const RhyRegion *self,
        double           y)
{
  const double row = (y - self->box.min_y) / self->row_height;
  return row >= (double) self->n_rows ? self->n_rows - 1 : row > 0.0 ? (gsize) row : 0;
}

static void
sort_into_rows (RhyRegion *self)
{
  self->n_rows = CLAMP (self->edges->len / 2, 1, 1024);
  self->row_height = (self->box.max_y - self->box.min_y) / (double) self->n_rows;
  if (!(self->row_height > 0.0))
    self->n_rows = 1, self->row_height = 1.0;
  self->row_start = g_new0 (gsize, self->n_rows + 1);

  for (guint i = 0; i < self->edges->len; i++)
    {
      const Edge *e = &g_array_index (self->edges, Edge, i);
      for (gsize r = row_of (self, e->y0); r <= row_of (self, e->y1); r++)
        self->row_start[r + 1]++;
    }
  for (gsize r = 0; r < self->n_rows; r++)
    self->row_start[r + 1] += self->row_start[r];

  self->rows = g_new (guint, MAX (1, self->row_start[self->n_rows]));
  g_autofree gsize *next = g_memdup2 (self->row_start, self->n_rows * sizeof (gsize));
  for (guint i = 0; i < self->edges->len; i++)
    {
      const Edge *e = &g_array_index (self->edges, Edge, i);
      for (gsize r = row_of (self, e->y0); r <= row_of (self, e->y1); r++)
        self->rows[next[r]++] = i;
    }
}

RhyRegion *
rhy_region_new (const RhyPath *path,
                RhyFillRule    rule,
                double         tolerance)
{
  RhyRegion *self = g_new0 (RhyRegion, 1);
  self->rule = rule;
  self->box = RHY_BOUNDS_EMPTY;
  self->edges = g_array_new (FALSE, FALSE, sizeof (Edge));

  g_autoptr (RhyPath) flat = rhy_path_flatten (path, tolerance);
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0.0, 0.0 };
  RhyPoint end = { 0.0, 0.0 };
  gboolean any = FALSE;
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    {
      if (g.first)
        {
          if (any)
            add_edge (self, end, start);        /* fills close what is open */
          start = g.p[0];
        }
      add_edge (self, g.p[0], g.p[1]);
      end = g.p[1];
      any = TRUE;
    }
  if (any)
    add_edge (self, end, start);
  sort_into_rows (self);
  return self;
}

void
rhy_region_free (RhyRegion *self)
{
  g_array_unref (self->edges);
  g_free (self->rows);
  g_free (self->row_start);
  g_free (self);
}

RhyBounds
rhy_region_get_bounds (const RhyRegion *self)
{
  return self->box;
}

static gboolean
is_inside (const RhyRegion *self,
           int              winding)
{
  return self->rule == RHY_FILL_NONZERO ? winding != 0 : (winding & 1) != 0;
}

/* Half open in y, so that a corner between two edges counts once. */
static gboolean
crosses (const Edge *e,
         double      y,
         double     *x)
{
  if (!(e->y0 <= y && y < e->y1))
    return FALSE;
  *x = e->x0 + (e->x1 - e->x0) * ((y - e->y0) / (e->y1 - e->y0));
  return TRUE;
}

gboolean
rhy_region_has (const RhyRegion *self,
                double           x,
                double           y)
{
  if (!(x >= self->box.min_x && x <= self->box.max_x && y >= self->box.min_y && y <= self->box.max_y))
    return FALSE;

  const gsize row = row_of (self, y);
  int winding = 0;
  for (gsize i = self->row_start[row]; i < self->row_start[row + 1]; i++)
    {
      const Edge *e = &g_array_index (self->edges, Edge, self->rows[i]);
      double at;
      if (crosses (e, y, &at) && at < x)
        winding += e->winding;
    }
  return is_inside (self, winding);
}

typedef struct { double x; int winding; } Crossing;

static int
by_x (const void *a,
      const void *b)
{
  const double xa = ((const Crossing *) a)->x;
  const double xb = ((const Crossing *) b)->x;
  return (xa > xb) - (xa < xb);
}

void
rhy_region_row (const RhyRegion *self,
                double           y,
                GArray          *spans)
{
  g_array_set_size (spans, 0);
  if (!(y >= self->box.min_y && y <= self->box.max_y))
    return;

  const gsize row = row_of (self, y);
  Crossing few[64];
  const gsize most = self->row_start[row + 1] - self->row_start[row];
  g_autofree Crossing *many = most > G_N_ELEMENTS (few) ? g_new (Crossing, most) : NULL;
  Crossing *crossings = many != NULL ? many : few;
  gsize n = 0;
  for (gsize i = self->row_start[row]; i < self->row_start[row + 1]; i++)
    {
      const Edge *e = &g_array_index (self->edges, Edge, self->rows[i]);
      if (crosses (e, y, &crossings[n].x))
        crossings[n++].winding = e->winding;
    }
  if (n > 1)
    qsort (crossings, n, sizeof (Crossing), by_x);

  int winding = 0;
  for (gsize i = 0; i < n; i++)
    {
      const gboolean before = is_inside (self, winding);
      winding += crossings[i].winding;
      if (before != is_inside (self, winding))
        g_array_append_val (spans, crossings[i].x);
    }
}

/* ---- points of the ink ---- */

/* A grid finer than this many points a shape is widened: the points serve
 * statistics, and a careless spacing must not take the machine's memory. */
static const double GRID_MAX = 1e6;

/* From so many points on, those along an outline are left out where there is one nearly at the same
 * place: shapes that lie over each other a thousandfold tell nothing new. What reaches farther than all
 * before is kept. */
static const guint MANY = 100000;

/* Squares of the ink's box, each taken or not. */
typedef struct
{
  guint8   *taken;              /* NULL: not kept */
  RhyBounds box;
  double    side;
  gsize     across, down;
} Squares;

typedef struct
{
  GArray     *points;           /* RhyArtPoint */
  RhyRegion **clips;            /* per clip of the artwork, made on first use */
  const RhyArtwork *artwork;
  double      spacing;
  Squares     inside;           /* around each point of the grid */
  Squares     along;            /* of outlines, from MANY points on */
  RhyBounds   reached;          /* by all points so far */
} Sampler;

static Squares
squares_over (RhyBounds box,
              double    side)
{
  Squares s = { NULL, box, side, 0, 0 };
  const double across = ceil ((box.max_x - box.min_x) / side) + 1.0;
  const double down = ceil ((box.max_y - box.min_y) / side) + 1.0;
  if (rhy_bounds_is_empty (box) || !(across * down <= 64.0 * GRID_MAX))
    return s;
  s.across = (gsize) across;
  s.down = (gsize) down;
  s.taken = g_malloc0 (s.across * s.down);
  return s;
}

/* Whether the square at a point is taken for the first time; always, where none are kept. */
static gboolean
take (Squares *s,
      double   x,
      double   y)
{
  const double i = floor ((x - s->box.min_x) / s->side);
  const double j = floor ((y - s->box.min_y) / s->side);
  if (s->taken == NULL || !(i >= 0.0 && j >= 0.0 && i < (double) s->across && j < (double) s->down))
    return TRUE;
  guint8 *taken = &s->taken[(gsize) j * s->across + (gsize) i];
  const gboolean first = *taken == 0;
  *taken = 1;
  return first;
}

static gboolean
is_kept (Sampler        *self,
         const RhyShape *shape,
         double          x,
         double          y)
{
  for (gsize i = 0; i < shape->n_clips; i++)
    {
      const guint c = shape->clips[i];
      if (self->clips[c] == NULL)
        {
          const RhyClip *clip = rhy_artwork_get_clip (self->artwork, c);
          self->clips[c] = rhy_region_new (clip->path, clip->rule, 0.1 * self->spacing);
        }
      if (!rhy_region_has (self->clips[c], x, y))
        return FALSE;
    }
  return TRUE;
}

static void
add (Sampler *self,
     RhyPoint p)
{
  const RhyArtPoint at = { p.x, p.y };
  self->reached = rhy_bounds_with (self->reached, p.x, p.y);
  g_array_append_val (self->points, at);
}

static void
put (Sampler        *self,
     const RhyShape *shape,
     RhyPoint        p)
{
  if (is_kept (self, shape, p.x, p.y))
    add (self, p);
}

static void
begin_along (Sampler *self)
{
  self->along = squares_over (rhy_artwork_get_ink_box (self->artwork), 0.125 * self->spacing);
  for (guint i = 0; i < self->points->len; i++)
    take (&self->along, g_array_index (self->points, RhyArtPoint, i).u, g_array_index (self->points, RhyArtPoint, i).v);
}

static void
put_along (Sampler        *self,
           const RhyShape *shape,
           RhyPoint        p)
{
  const RhyBounds r = self->reached;
  const gboolean is_farther = p.x < r.min_x || p.x > r.max_x || p.y < r.min_y || p.y > r.max_y;
  if (self->points->len >= MANY && self->along.side == 0.0)
    begin_along (self);
  if (self->points->len < MANY || take (&self->along, p.x, p.y) || is_farther)
    put (self, shape, p);
}

/* The pen's edge on either side of @p: M (q +- h N) with q = M^-1 p, and N
 * across the tangent in the pen's space. */
static void
put_pen_edges (Sampler        *self,
               const RhyShape *shape,
               RhyPoint        p,
               RhyPoint        tangent)
{
  const RhyAffine m = shape->pen.matrix;
  const double det = m.xx * m.yy - m.xy * m.yx;
  const double tx = (m.yy * tangent.x - m.xy * tangent.y) / det;
  const double ty = (m.xx * tangent.y - m.yx * tangent.x) / det;
  const double length = hypot (tx, ty);
  if (!(length > 0.0))
    return;
  const double h = 0.5 * shape->pen.width / length;
  const RhyPoint across = { h * (m.xx * -ty + m.xy * tx), h * (m.yx * -ty + m.yy * tx) };
  put_along (self, shape, (RhyPoint) { p.x + across.x, p.y + across.y });
  put_along (self, shape, (RhyPoint) { p.x - across.x, p.y - across.y });
}

static void
sample_outline (Sampler        *self,
                const RhyShape *shape)
{
  const gboolean inked = shape->has_stroke && shape->stroke.a > 0.0;
  g_autoptr (RhyPath) flat = rhy_path_flatten (shape->path, 0.1 * self->spacing);
  RhyPathIter iter;
  RhySegment g;
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    {
      const RhyPoint a = g.p[0];
      const RhyPoint b = g.p[1];
      const RhyPoint tangent = { b.x - a.x, b.y - a.y };
      const double n = CLAMP (ceil (hypot (tangent.x, tangent.y) / self->spacing), 1.0, GRID_MAX);
      for (double k = g.first ? 0.0 : 1.0; k <= n; k += 1.0)
        {
          const RhyPoint p = { a.x + tangent.x * (k / n), a.y + tangent.y * (k / n) };
          put_along (self, shape, p);
          if (inked)
            put_pen_edges (self, shape, p, tangent);
        }
    }
}

static void
sample_inside (Sampler        *self,
               const RhyShape *shape)
{
  g_autoptr (RhyRegion) region = rhy_region_new (shape->path, shape->rule, 0.1 * self->spacing);
  const RhyBounds box = rhy_region_get_bounds (region);
  if (rhy_bounds_is_empty (box))
    return;

  const double area = (box.max_x - box.min_x) * (box.max_y - box.min_y);
  const double step = MAX (self->spacing, sqrt (area / GRID_MAX));
  g_autoptr (GArray) spans = g_array_new (FALSE, FALSE, sizeof (double));
  const gboolean once = step == self->spacing;
  for (double j = ceil (box.min_y / step); j * step <= box.max_y; j += 1.0)
    {
      rhy_region_row (region, j * step, spans);
      for (guint k = 0; k + 1 < spans->len; k += 2)
        {
          const double from = g_array_index (spans, double, k);
          const double to = g_array_index (spans, double, k + 1);
          for (double i = ceil (from / step); i * step <= to; i += 1.0)
            {
              const RhyPoint p = { i * step, j * step };
              if (is_kept (self, shape, p.x, p.y) && (!once || take (&self->inside, p.x, p.y)))
                add (self, p);
            }
        }
    }
}

RhyArtPoint *
rhy_artwork_sample_ink (const RhyArtwork *self,
                        double            spacing_mm,
                        gsize            *n)
{
  g_return_val_if_fail (self != NULL && spacing_mm > 0.0 && n != NULL, NULL);

  const gsize n_clips = rhy_artwork_get_n_clips (self);
  Sampler sampler = { .points = g_array_new (FALSE, FALSE, sizeof (RhyArtPoint)), .clips = g_new0 (RhyRegion *, n_clips + 1), .artwork = self,
                      .spacing = spacing_mm, .reached = RHY_BOUNDS_EMPTY };
  const RhyBounds box = rhy_artwork_get_ink_box (self);
  /* A point of the grid in the middle of each square. */
  sampler.inside = squares_over ((RhyBounds) { (floor (box.min_x / spacing_mm) - 0.5) * spacing_mm,
                                               (floor (box.min_y / spacing_mm) - 0.5) * spacing_mm, box.max_x, box.max_y }, spacing_mm);

  for (gsize i = 0; i < rhy_artwork_get_n_shapes (self); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (self, i);
      const gboolean filled = shape->has_fill && shape->fill.a > 0.0;
      if (filled || (shape->has_stroke && shape->stroke.a > 0.0))
        sample_outline (&sampler, shape);
      if (filled)
        sample_inside (&sampler, shape);
    }
  for (gsize i = 0; i < n_clips; i++)
    g_clear_pointer (&sampler.clips[i], rhy_region_free);
  g_free (sampler.clips);
  g_free (sampler.inside.taken);
  g_free (sampler.along.taken);

  *n = sampler.points->len;
  RhyArtPoint *points = (RhyArtPoint *) (gpointer) g_array_free (sampler.points, FALSE);
  return g_renew (RhyArtPoint, points, MAX (*n, 1));   /* an array grows by doubling */
}
