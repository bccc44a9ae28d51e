/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/slice.h>

#include <math.h>

/* ---- one cut ----
 *
 * A closed path crosses a line as often one way as the other. What is on the side kept are
 * pieces from a crossing in to a crossing out; ends are joined to beginnings along the line. However
 * they are paired, winding numbers off the line are kept: two pairings differ by a closed walk on
 * the line, which winds round nothing. Pairing them like brackets, in the order along the line,
 * puts no more edges on any stretch of it than its winding number needs. Source: derived here.
 */

typedef struct
{
  RhySliceWay way;
  double      at;
  double      keep;             /* 1: what is above, -1: below */
} Cut;

static double
over (const Cut *cut,
      RhyPoint   p)
{
  return cut->keep * ((cut->way == RHY_SLICE_X ? p.x : p.y) - cut->at);
}

/* On the line is below it for either side, so that the two sides never keep the same edge. */
static gboolean
is_kept (const Cut *cut,
         RhyPoint   p)
{
  const double d = (cut->way == RHY_SLICE_X ? p.x : p.y) - cut->at;
  return cut->keep > 0.0 ? d > 0.0 : d <= 0.0;
}

static RhyPoint
on_line (const Cut *cut,
         RhyPoint   p)
{
  return cut->way == RHY_SLICE_X ? (RhyPoint) { cut->at, p.y } : (RhyPoint) { p.x, cut->at };
}

static double
place (const Cut *cut,
       RhyPoint   p)
{
  return cut->way == RHY_SLICE_X ? p.y : p.x;
}

static RhyPoint
between (RhyPoint a,
         RhyPoint b,
         double   t)
{
  return (RhyPoint) { a.x + t * (b.x - a.x), a.y + t * (b.y - a.y) };
}

/* The part of a segment from @t0 to @t1. */
static RhySegment
part (const RhySegment *g,
      double            t0,
      double            t1)
{
  RhySegment out = { .verb = g->verb };
  if (g->verb == RHY_PATH_LINE)
    {
      out.p[0] = t0 > 0.0 ? between (g->p[0], g->p[1], t0) : g->p[0];
      out.p[1] = t1 < 1.0 ? between (g->p[0], g->p[1], t1) : g->p[1];
      return out;
    }
  /* De Casteljau, each point a blossom of @t0 and @t1. */
  const double t[4][3] = { { t0, t0, t0 }, { t0, t0, t1 }, { t0, t1, t1 }, { t1, t1, t1 } };
  for (int i = 0; i < 4; i++)
    {
      const RhyPoint ab = between (g->p[0], g->p[1], t[i][0]);
      const RhyPoint bc = between (g->p[1], g->p[2], t[i][0]);
      const RhyPoint cd = between (g->p[2], g->p[3], t[i][0]);
      out.p[i] = between (between (ab, bc, t[i][1]), between (bc, cd, t[i][1]), t[i][2]);
    }
  if (t0 <= 0.0)
    out.p[0] = g->p[0];
  if (t1 >= 1.0)
    out.p[3] = g->p[3];
  return out;
}

static double
height_at (const Cut        *cut,
           const RhySegment *g,
           double            t)
{
  if (g->verb == RHY_PATH_LINE)
    return over (cut, g->p[0]) + t * (over (cut, g->p[1]) - over (cut, g->p[0]));
  const double m = 1.0 - t;
  return m * m * m * over (cut, g->p[0]) + 3.0 * m * m * t * over (cut, g->p[1])
         + 3.0 * m * t * t * over (cut, g->p[2]) + t * t * t * over (cut, g->p[3]);
}

/* Where a cubic turns towards or away from the line, so that between them it goes one way. */
static guint
turning_points (const Cut        *cut,
                const RhySegment *g,
                double            t[4])
{
  guint n = 0;
  t[n++] = 0.0;
  if (g->verb == RHY_PATH_CUBIC)
    {
      const double d0 = over (cut, g->p[1]) - over (cut, g->p[0]);
      const double d1 = over (cut, g->p[2]) - over (cut, g->p[1]);
      const double d2 = over (cut, g->p[3]) - over (cut, g->p[2]);
      const double a = d0 - 2.0 * d1 + d2;
      const double b = d0 - d1;
      const double disc = b * b - a * d0;
      if (disc > 0.0)
        {
          const double q = b + copysign (sqrt (disc), b);
          double roots[2] = { q != 0.0 ? d0 / q : -1.0, a != 0.0 ? q / a : -1.0 };
          if (roots[0] > roots[1])
            {
              const double swap = roots[0];
              roots[0] = roots[1];
              roots[1] = swap;
            }
          for (int i = 0; i < 2; i++)
            if (roots[i] > t[n - 1] && roots[i] < 1.0)
              t[n++] = roots[i];
        }
    }
  t[n++] = 1.0;
  return n;
}

/* Whether the curve is kept at @t, by its own ends where they are meant. */
static gboolean
is_kept_at (const Cut        *cut,
            const RhySegment *g,
            double            t)
{
  if (t <= 0.0)
    return is_kept (cut, g->p[0]);
  if (t >= 1.0)
    return is_kept (cut, g->p[g->verb == RHY_PATH_LINE ? 1 : 3]);
  const double d = height_at (cut, g, t);
  return cut->keep > 0.0 ? d > 0.0 : d >= 0.0;
}

static double
crossing (const Cut        *cut,
          const RhySegment *g,
          double            t0,
          double            t1)
{
  const gboolean from = is_kept_at (cut, g, t0);
  for (int i = 0; i < 60 && t1 - t0 > 1e-17; i++)
    {
      const double t = 0.5 * (t0 + t1);
      *(is_kept_at (cut, g, t) == from ? &t0 : &t1) = t;
    }
  return 0.5 * (t0 + t1);
}

/* A piece of the path on the kept side, from a crossing in to a crossing out. */
typedef struct
{
  GArray  *segments;            /* RhySegment */
  double   in, out;             /* places along the line */
  gboolean done;
} Piece;

typedef struct
{
  const Cut *cut;
  RhyPath   *path;              /* what is finished */
  GPtrArray *pieces;            /* Piece */
  Piece     *now;               /* being walked along; NULL: on the other side */
  Piece     *first;             /* began inside: the last one may run into it */
} Walk;

static void
free_piece (gpointer data)
{
  Piece *piece = data;
  g_array_unref (piece->segments);
  g_free (piece);
}

static Piece *
piece_new (void)
{
  Piece *piece = g_new0 (Piece, 1);
  piece->segments = g_array_new (FALSE, FALSE, sizeof (RhySegment));
  return piece;
}

static void
put_segment (RhyPath          *path,
             const RhySegment *g)
{
  if (g->verb == RHY_PATH_LINE)
    rhy_path_line_to (path, g->p[1].x, g->p[1].y);
  else
    rhy_path_cubic_to (path, g->p[1].x, g->p[1].y, g->p[2].x, g->p[2].y, g->p[3].x, g->p[3].y);
}

static RhyPoint
end_of (const RhySegment *g)
{
  return g->p[g->verb == RHY_PATH_LINE ? 1 : 3];
}

static void
walk_segment (Walk             *w,
              const RhySegment *g)
{
  const Cut *cut = w->cut;
  double turns[4];
  const guint n = turning_points (cut, g, turns);
  double from = 0.0;
  for (guint i = 0; i + 1 < n; i++)
    {
      const gboolean kept = is_kept_at (cut, g, turns[i]);
      if (kept == is_kept_at (cut, g, turns[i + 1]))
        continue;
      const double t = crossing (cut, g, turns[i], turns[i + 1]);
      RhySegment piece = part (g, from, t);
      if (from > 0.0)
        piece.p[0] = on_line (cut, piece.p[0]);
      const RhyPoint at = on_line (cut, end_of (&piece));
      if (kept)
        {
          piece.p[piece.verb == RHY_PATH_LINE ? 1 : 3] = at;
          g_array_append_val (w->now->segments, piece);
          w->now->out = place (cut, at);
          if (w->now != w->first)
            g_ptr_array_add (w->pieces, w->now);
          w->now = NULL;
        }
      else
        {
          w->now = piece_new ();
          w->now->in = place (cut, at);
        }
      from = t;
    }
  if (w->now != NULL)
    {
      RhySegment piece = part (g, from, 1.0);
      if (from > 0.0)
        piece.p[0] = on_line (cut, piece.p[0]);
      g_array_append_val (w->now->segments, piece);
    }
}

static void
begin_subpath (Walk     *w,
               RhyPoint  start)
{
  w->now = w->first = is_kept (w->cut, start) ? piece_new () : NULL;
}

static void
end_subpath (Walk     *w,
             RhyPoint  start,
             RhyPoint  end)
{
  if (start.x != end.x || start.y != end.y)
    walk_segment (w, &(RhySegment) { RHY_PATH_LINE, .p = { end, start } });
  if (w->first != NULL && w->now == w->first)
    {
      /* Never crossed: as it is. */
      rhy_path_move_to (w->path, start.x, start.y);
      for (guint i = 0; i < w->first->segments->len; i++)
        put_segment (w->path, &g_array_index (w->first->segments, RhySegment, i));
      rhy_path_close (w->path);
      free_piece (w->first);
    }
  else if (w->first != NULL)
    {
      /* The one that came in last runs on into the one that the subpath began with. */
      g_array_append_vals (w->now->segments, w->first->segments->data, w->first->segments->len);
      w->now->out = w->first->out;
      free_piece (w->first);
      g_ptr_array_add (w->pieces, w->now);
    }
  w->now = w->first = NULL;
}

typedef struct
{
  double   at;
  gboolean is_in;
  guint    piece;
} End;

static int
by_place (gconstpointer a,
          gconstpointer b)
{
  const End *x = a;
  const End *y = b;
  return x->at < y->at ? -1 : x->at > y->at ? 1 : x->piece < y->piece ? -1 : x->piece > y->piece ? 1 : x->is_in - y->is_in;
}

/* A line that only touches the cut, and back. */
static gboolean
is_nothing (const Piece *piece)
{
  return piece->segments->len == 1 && g_array_index (piece->segments, RhySegment, 0).verb == RHY_PATH_LINE;
}

static void
join_pieces (Walk *w)
{
  const guint n = w->pieces->len;
  g_autofree End *ends = g_new (End, 2 * n + 1);
  g_autofree guint *next = g_new (guint, n + 1);
  g_autofree guint *open = g_new (guint, 2 * n + 1);
  for (guint i = 0; i < n; i++)
    {
      const Piece *piece = w->pieces->pdata[i];
      ends[2 * i] = (End) { piece->in, TRUE, i };
      ends[2 * i + 1] = (End) { piece->out, FALSE, i };
    }
  qsort (ends, 2 * n, sizeof *ends, by_place);
  guint depth = 0;
  for (guint i = 0; i < 2 * n; i++)
    {
      if (depth == 0 || ends[open[depth - 1]].is_in == ends[i].is_in)
        {
          open[depth++] = i;
          continue;
        }
      const End *other = &ends[open[--depth]];
      next[ends[i].is_in ? other->piece : ends[i].piece] = ends[i].is_in ? ends[i].piece : other->piece;
    }

  for (guint i = 0; i < n; i++)
    {
      if (((Piece *) w->pieces->pdata[i])->done)
        continue;
      if (next[i] == i && is_nothing (w->pieces->pdata[i]))
        continue;
      gboolean first = TRUE;
      for (guint k = i; !((Piece *) w->pieces->pdata[k])->done; k = next[k])
        {
          Piece *piece = w->pieces->pdata[k];
          const RhySegment *segments = (const RhySegment *) (void *) piece->segments->data;
          piece->done = TRUE;
          if (first)
            rhy_path_move_to (w->path, segments[0].p[0].x, segments[0].p[0].y);
          else
            rhy_path_line_to (w->path, segments[0].p[0].x, segments[0].p[0].y);
          first = FALSE;
          for (guint j = 0; j < piece->segments->len; j++)
            put_segment (w->path, &segments[j]);
        }
      rhy_path_close (w->path);
    }
}

static RhyPath *
cut_off (const RhyPath *self,
         RhySliceWay    way,
         double         at,
         double         keep)
{
  const Cut cut = { way, at, keep };
  Walk w = { .cut = &cut, .path = rhy_path_new (), .pieces = g_ptr_array_new_with_free_func (free_piece) };
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0.0, 0.0 };
  RhyPoint end = start;
  gboolean any = FALSE;
  rhy_path_iter_init (&iter, self);
  while (rhy_path_iter_next (&iter, &g))
    {
      if (g.first || !any)
        {
          if (any)
            end_subpath (&w, start, end);
          start = g.p[0];
          begin_subpath (&w, start);
          any = TRUE;
        }
      walk_segment (&w, &g);
      end = end_of (&g);
    }
  if (any)
    end_subpath (&w, start, end);
  join_pieces (&w);
  g_ptr_array_unref (w.pieces);
  return w.path;
}

RhyPath *
rhy_path_slice (const RhyPath *self,
                RhySliceWay    way,
                double         low,
                double         high)
{
  g_return_val_if_fail (self != NULL && low < high, NULL);

  const RhyBounds box = rhy_path_get_bounds (self);
  const double least = way == RHY_SLICE_X ? box.min_x : box.min_y;
  const double most = way == RHY_SLICE_X ? box.max_x : box.max_y;
  if (rhy_bounds_is_empty (box) || least > high || most <= low)
    return rhy_path_new ();
  g_autoptr (RhyPath) above = least <= low ? cut_off (self, way, low, 1.0) : NULL;
  const RhyPath *rest = above != NULL ? above : self;
  return most > high ? cut_off (rest, way, high, -1.0) : rhy_path_transformed (rest, RHY_AFFINE_IDENTITY);
}

/* ---- artworks ---- */

typedef enum { AREAS, PICTURES, LINES } What;

static RhyArtwork *
take (RhyArtwork  *self,
      What         what,
      RhySliceWay  way,
      double       low,
      double       high)
{
  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  for (gsize i = 0; i < rhy_artwork_get_n_clips (self); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (self, i);
      rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (self); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (self, i);
      if (what == LINES ? !source->has_stroke : !source->has_fill || (source->fill_paint != NULL) != (what == PICTURES))
        continue;
      g_autoptr (RhyPath) path = what == AREAS ? rhy_path_slice (source->path, way, low, high) : rhy_path_ref (source->path);
      if (path->n_verbs == 0)
        continue;
      RhyShape shape = rhy_shape_dup (source, g_steal_pointer (&path));
      if (what == LINES)
        {
          shape.has_fill = FALSE;
          g_clear_pointer (&shape.fill_paint, rhy_paint_unref);
        }
      else
        {
          shape.has_stroke = FALSE;
          g_clear_pointer (&shape.stroke_paint, rhy_paint_unref);
        }
      rhy_artwork_builder_add_shape (builder, &shape);
    }
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}

RhyArtwork *
rhy_artwork_slice (RhyArtwork  *self,
                   RhySliceWay  way,
                   double       low,
                   double       high)
{
  g_return_val_if_fail (self != NULL && low < high, NULL);

  return take (self, AREAS, way, low, high);
}

RhyArtwork *
rhy_artwork_pictures (RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return take (self, PICTURES, RHY_SLICE_X, -INFINITY, INFINITY);
}

RhyArtwork *
rhy_artwork_lines (RhyArtwork *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return take (self, LINES, RHY_SLICE_X, -INFINITY, INFINITY);
}
