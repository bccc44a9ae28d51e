/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/stroke.h>

#include <math.h>

#include <rhyton/light.h>

#include "../shape/parallel.h"
#include "late-freetype.h"

/* FreeType's stroker works in whole numbers. The path's greatest coordinate is
 * brought to this many of them, which leaves a rounding of 1.5e-8 of the path
 * and room below 2^31 for pens a few times as wide as the path. */
static const double UNITS = 67108864.0;         /* 2^26 */
/* A pen much wider than its path is what sets the unit then. */
static const double PEN_UNITS = 134217728.0;    /* 2^27 */

/* Segments this short, in units, are the stroker's roundings. */
static const FT_Pos CRUMB = 16;

/* The stroker offsets a curve by its handles; pieces that turn by more than
 * this are visibly bumpy. Source: measured against cairo's own strokes on real
 * drawings (seven times the error unsplit). */
static const double TURN_MAX = 12.0 / 180.0 * G_PI;
/* What the bumps may be, in half widths, when only the stroker itself splits (at 22.5 degrees).
 * Source: seen from about 0.0125 upwards, by the pixels that differ from cairo's stroke. */
static const double BUMP = 0.02;
static const guint SPLITS_MAX = 10;

/* ---- lengths along a segment, for dashes ---- */

typedef struct { RhyPoint p[4]; gboolean is_curve; } Piece;

static RhyPoint
mix (RhyPoint a,
     RhyPoint b,
     double   t)
{
  return (RhyPoint) { a.x + t * (b.x - a.x), a.y + t * (b.y - a.y) };
}

/* De Casteljau: the part of a cubic between two parameters. */
static void
split (const RhyPoint p[4],
       double         t,
       RhyPoint       left[4],
       RhyPoint       right[4])
{
  const RhyPoint a = mix (p[0], p[1], t);
  const RhyPoint b = mix (p[1], p[2], t);
  const RhyPoint c = mix (p[2], p[3], t);
  const RhyPoint ab = mix (a, b, t);
  const RhyPoint bc = mix (b, c, t);
  const RhyPoint m = mix (ab, bc, t);
  const RhyPoint l[4] = { p[0], a, ab, m };
  const RhyPoint r[4] = { m, bc, c, p[3] };
  for (int i = 0; i < 4; i++)
    {
      left[i] = l[i];
      right[i] = r[i];
    }
}

static Piece
part_of (const Piece *whole,
         double       t0,
         double       t1)
{
  Piece part = *whole;
  if (!whole->is_curve)
    {
      part.p[0] = mix (whole->p[0], whole->p[1], t0);
      part.p[1] = mix (whole->p[0], whole->p[1], t1);
      return part;
    }
  RhyPoint other[4];
  if (t1 < 1.0)
    split (part.p, t1, part.p, other);
  if (t0 > 0.0)
    split (part.p, t0 / t1, other, part.p);
  return part;
}

static double
speed (const RhyPoint p[4],
       double         t)
{
  const double m = 1.0 - t;
  const double a = m * m, b = 2.0 * m * t, c = t * t;
  return 3.0 * hypot (a * (p[1].x - p[0].x) + b * (p[2].x - p[1].x) + c * (p[3].x - p[2].x),
                      a * (p[1].y - p[0].y) + b * (p[2].y - p[1].y) + c * (p[3].y - p[2].y));
}

/* Gauss-Legendre, five nodes. Source: Abramowitz & Stegun, table 25.4. */
static double
length_between (const RhyPoint p[4],
                double         t0,
                double         t1)
{
  static const double x[3] = { 0.0, 0.5384693101056831, 0.9061798459386640 };
  static const double w[3] = { 0.5688888888888889, 0.4786286704993665, 0.2369268850561891 };
  const double mid = 0.5 * (t0 + t1);
  const double half = 0.5 * (t1 - t0);
  double sum = w[0] * speed (p, mid);
  for (int i = 1; i < 3; i++)
    sum += w[i] * (speed (p, mid - half * x[i]) + speed (p, mid + half * x[i]));
  return half * sum;
}

#define STEPS 32

/* Lengths from the start to each of equal steps in the parameter. */
static void
measure (const Piece *piece,
         double       lengths[STEPS + 1])
{
  lengths[0] = 0.0;
  const double whole = piece->is_curve ? 0.0 : hypot (piece->p[1].x - piece->p[0].x, piece->p[1].y - piece->p[0].y);
  for (int i = 0; i < STEPS; i++)
    lengths[i + 1] = piece->is_curve
                       ? lengths[i] + length_between (piece->p, (double) i / STEPS, (i + 1.0) / STEPS)
                       : whole * (i + 1.0) / STEPS;
}

static double
parameter_at (const Piece *piece,
              const double lengths[STEPS + 1],
              double       length)
{
  int i = 0;
  while (i < STEPS - 1 && lengths[i + 1] < length)
    i++;
  const double from = (double) i / STEPS;
  const double wide = lengths[i + 1] - lengths[i];
  double t = from + (wide > 0.0 ? CLAMP ((length - lengths[i]) / wide, 0.0, 1.0) : 0.0) / STEPS;
  /* Newton, kept inside the step; straight pieces are right already. */
  for (int k = 0; piece->is_curve && k < 4; k++)
    {
      const double v = speed (piece->p, t);
      if (!(v > 0.0))
        break;
      t = CLAMP (t - (lengths[i] + length_between (piece->p, from, t) - length) / v, from, from + 1.0 / STEPS);
    }
  return t;
}

/* ---- feeding the stroker ---- */

typedef struct
{
  FT_Stroker stroker;
  RhyPoint   middle;            /* pen space, made the origin */
  double     unit;              /* stroker units per unit of the pen's space */
  RhyAffine  back;              /* from stroker units to the path's own space */
  RhyCap     cap;
  double     turn_max;          /* of a piece of curve */
  RhyPath   *outline;
  FT_Error   trouble;
} Work;

static FT_Vector
to_units (const Work *work,
          RhyPoint    p)
{
  return (FT_Vector) { lrint ((p.x - work->middle.x) * work->unit), lrint ((p.y - work->middle.y) * work->unit) };
}

static double
angle_between (RhyPoint a,
               RhyPoint b)
{
  return fabs (atan2 (a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y));
}

static double
turning (const RhyPoint p[4])
{
  RhyPoint legs[3];
  int n = 0;
  for (int i = 0; i < 3; i++)
    if (p[i + 1].x != p[i].x || p[i + 1].y != p[i].y)
      legs[n++] = (RhyPoint) { p[i + 1].x - p[i].x, p[i + 1].y - p[i].y };
  double turn = 0.0;
  for (int i = 1; i < n; i++)
    turn += angle_between (legs[i - 1], legs[i]);
  return turn;
}

static void
feed_curve (Work          *work,
            const RhyPoint p[4],
            guint          depth)
{
  if (work->trouble != 0)
    return;
  if (depth < SPLITS_MAX && turning (p) > work->turn_max)
    {
      RhyPoint left[4], right[4];
      split (p, 0.5, left, right);
      feed_curve (work, left, depth + 1);
      feed_curve (work, right, depth + 1);
      return;
    }
  FT_Vector a = to_units (work, p[1]);
  FT_Vector b = to_units (work, p[2]);
  FT_Vector c = to_units (work, p[3]);
  work->trouble = FT_Stroker_CubicTo (work->stroker, &a, &b, &c);
}

static void
feed_piece (Work        *work,
            const Piece *piece)
{
  if (piece->is_curve)
    feed_curve (work, piece->p, 0);
  else if (work->trouble == 0)
    {
      FT_Vector to = to_units (work, piece->p[1]);
      work->trouble = FT_Stroker_LineTo (work->stroker, &to);
    }
}

static gboolean
is_near (FT_Vector a,
         FT_Vector b)
{
  return ABS (a.x - b.x) <= CRUMB && ABS (a.y - b.y) <= CRUMB;
}

/* One contour: on-points are joined by lines, two off-points before one make a
 * cubic. (The stroker makes no conics from lines and cubics.) Segments of a few
 * units, which it leaves at joins, are swept up. */
static void
append_contour (Work            *work,
                const FT_Vector *points,
                const char      *tags,
                guint            n)
{
  if (n < 2)
    return;
  FT_Vector current = points[0];
  const RhyPoint start = rhy_affine_apply (work->back, (RhyPoint) { (double) current.x, (double) current.y });
  rhy_path_move_to (work->outline, start.x, start.y);
  for (guint i = 1; i <= n;)
    {
      const guint step = i < n && FT_CURVE_TAG (tags[i]) != FT_CURVE_TAG_ON ? 3 : 1;
      RhyPoint p[3];
      gboolean is_crumb = TRUE;
      for (guint k = 0; k < step; k++)
        {
          const FT_Vector v = points[(i + k) % n];
          p[k] = rhy_affine_apply (work->back, (RhyPoint) { (double) v.x, (double) v.y });
          is_crumb = is_crumb && is_near (v, current);
        }
      if (!is_crumb)
        {
          if (step == 3)
            rhy_path_cubic_to (work->outline, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
          else if (i < n)
            rhy_path_line_to (work->outline, p[0].x, p[0].y);
          current = points[(i + step - 1) % n];
        }
      i += step;
    }
  rhy_path_close (work->outline);
}

/* Each border of one subpath is one contour, so the outline's own contour list
 * (of 16 bits) is never asked and long paths need no splitting. */
static void
take_border (Work           *work,
             FT_StrokerBorder border)
{
  FT_UInt n_points = 0;
  FT_UInt n_contours = 0;
  if (FT_Stroker_GetBorderCounts (work->stroker, border, &n_points, &n_contours) != 0 || n_points == 0)
    return;
  g_autofree FT_Vector *points = g_new0 (FT_Vector, n_points);
  g_autofree char *tags = g_new0 (char, n_points);
  g_autofree short *contours = g_new0 (short, n_contours + 1);
  FT_Outline outline = { .points = points, .tags = (gpointer) tags, .contours = (gpointer) contours };
  FT_Stroker_ExportBorder (work->stroker, border, &outline);
  append_contour (work, points, tags, n_points);
}

static void
stroke_run (Work        *work,
            const Piece *pieces,
            gsize        n,
            gboolean     closed)
{
  if (work->trouble != 0 || n == 0)
    return;
  FT_Stroker_Rewind (work->stroker);
  FT_Vector start = to_units (work, pieces[0].p[0]);
  work->trouble = FT_Stroker_BeginSubPath (work->stroker, &start, !closed);
  for (gsize i = 0; i < n; i++)
    feed_piece (work, &pieces[i]);
  if (work->trouble == 0)
    work->trouble = FT_Stroker_EndSubPath (work->stroker);
  if (work->trouble != 0)
    return;
  take_border (work, FT_STROKER_BORDER_LEFT);
  if (closed)
    take_border (work, FT_STROKER_BORDER_RIGHT);
}

/* The stroker draws nothing for a run of no length; a line of two units has the
 * caps, and the winding, that are wanted. */
static void
stroke_dot (Work    *work,
            RhyPoint at,
            RhyPoint along)
{
  if (work->cap == RHY_CAP_BUTT)
    return;
  const double length = hypot (along.x, along.y);
  const RhyPoint step = length > 0.0 ? (RhyPoint) { along.x / length / work->unit, along.y / length / work->unit }
                                     : (RhyPoint) { 1.0 / work->unit, 0.0 };
  const Piece dot = { { { at.x - step.x, at.y - step.y }, { at.x + step.x, at.y + step.y } }, FALSE };
  stroke_run (work, &dot, 1, FALSE);
}

static gboolean
has_length (const Work  *work,
            const Piece *piece)
{
  const FT_Vector a = to_units (work, piece->p[0]);
  for (int i = 1; i < (piece->is_curve ? 4 : 2); i++)
    {
      const FT_Vector b = to_units (work, piece->p[i]);
      if (a.x != b.x || a.y != b.y)
        return TRUE;
    }
  return FALSE;
}

/* ---- dashes ---- */

typedef struct
{
  const double *dashes;
  gsize         n;              /* even, or the list is walked twice */
  gsize         index;
  double        left;           /* of the present dash or gap */
} Dasher;

static gboolean
is_on (const Dasher *dasher)
{
  return dasher->index % 2 == 0;
}

static void
advance (Dasher *dasher)
{
  const gsize period = dasher->n % 2 == 0 ? dasher->n : 2 * dasher->n;
  dasher->index = (dasher->index + 1) % period;
  dasher->left = dasher->dashes[dasher->index % dasher->n];
}

static Dasher
dasher_at (const RhyPen *pen,
           double        period)
{
  Dasher dasher = { pen->dashes, pen->n_dashes, 0, pen->dashes[0] };
  double offset = fmod (pen->dash_offset, period);
  if (offset < 0.0)
    offset += period;
  while (offset >= dasher.left && offset > 0.0)
    {
      offset -= dasher.left;
      advance (&dasher);
    }
  dasher.left -= offset;
  return dasher;
}

static RhyPoint
direction_of (const Piece *piece)
{
  for (int i = 1; i < (piece->is_curve ? 4 : 2); i++)
    if (piece->p[i].x != piece->p[0].x || piece->p[i].y != piece->p[0].y)
      return (RhyPoint) { piece->p[i].x - piece->p[0].x, piece->p[i].y - piece->p[0].y };
  return (RhyPoint) { 1.0, 0.0 };
}

static void
end_dash (Work   *work,
          GArray *dash)
{
  if (dash->len == 1 && !has_length (work, &g_array_index (dash, Piece, 0)))
    stroke_dot (work, g_array_index (dash, Piece, 0).p[0], direction_of (&g_array_index (dash, Piece, 0)));
  else
    stroke_run (work, (const Piece *) (gpointer) dash->data, dash->len, FALSE);
  g_array_set_size (dash, 0);
}

/* Walks the run, cutting where a dash ends. On a closed run whose start and end
 * both lie in a dash, the first dash waits to be joined to the last. */
static void
stroke_dashed (Work         *work,
               const RhyPen *pen,
               double        period,
               const Piece  *pieces,
               gsize         n,
               gboolean      closed)
{
  Dasher dasher = dasher_at (pen, period);
  g_autoptr (GArray) dash = g_array_new (FALSE, FALSE, sizeof (Piece));
  g_autoptr (GArray) first = NULL;
  gboolean in_first = closed && is_on (&dasher);

  for (gsize i = 0; i < n; i++)
    {
      double lengths[STEPS + 1];
      measure (&pieces[i], lengths);
      const double whole = lengths[STEPS];
      double at = 0.0;
      double t = 0.0;
      while (at + dasher.left < whole)
        {
          at += dasher.left;
          const double t1 = parameter_at (&pieces[i], lengths, at);
          if (is_on (&dasher) && t1 > t)
            {
              const Piece part = part_of (&pieces[i], t, t1);
              g_array_append_val (dash, part);
            }
          if (is_on (&dasher) && dash->len == 0)
            {
              /* A dash of no length: a dot, turned along the line. */
              const Piece rest = part_of (&pieces[i], t, 1.0);
              stroke_dot (work, rest.p[0], direction_of (&rest));
            }
          else if (is_on (&dasher) && in_first)
            {
              first = g_steal_pointer (&dash);
              dash = g_array_new (FALSE, FALSE, sizeof (Piece));
            }
          else if (is_on (&dasher))
            end_dash (work, dash);
          in_first = FALSE;
          t = t1;
          advance (&dasher);
        }
      if (is_on (&dasher) && t < 1.0)
        {
          const Piece rest = part_of (&pieces[i], t, 1.0);
          g_array_append_val (dash, rest);
        }
      dasher.left -= whole - at;
    }

  if (dash->len > 0 && in_first)
    stroke_run (work, (const Piece *) (gpointer) dash->data, dash->len, TRUE);  /* one dash all round */
  else if (dash->len > 0 && first != NULL)
    {
      g_array_append_vals (dash, first->data, first->len);
      end_dash (work, dash);
    }
  else
    {
      if (dash->len > 0)
        end_dash (work, dash);
      if (first != NULL)
        end_dash (work, first);
    }
}

static double
length_of (const Piece *pieces,
           gsize        n)
{
  double sum = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      double lengths[STEPS + 1];
      measure (&pieces[i], lengths);
      sum += lengths[STEPS];
    }
  return sum;
}

static void
stroke_subpath (Work         *work,
                const RhyPen *pen,
                const GArray *run,
                gboolean      closed)
{
  g_autoptr (GArray) drawn = g_array_new (FALSE, FALSE, sizeof (Piece));
  for (guint i = 0; i < run->len; i++)
    if (has_length (work, &g_array_index (run, Piece, i)))
      g_array_append_val (drawn, g_array_index (run, Piece, i));
  if (drawn->len == 0)
    {
      if (run->len > 0)
        stroke_dot (work, g_array_index (run, Piece, 0).p[0], (RhyPoint) { 1.0, 0.0 });
      return;
    }

  const Piece *pieces = (const Piece *) (gpointer) drawn->data;
  double period = 0.0;
  for (gsize i = 0; i < pen->n_dashes; i++)
    period += pen->dashes[i];
  if (pen->n_dashes % 2 != 0)
    period *= 2.0;
  if (period > 0.0
      && length_of (pieces, drawn->len) / period * (double) pen->n_dashes < (double) RHY_STROKE_DASHES_MAX)
    stroke_dashed (work, pen, period, pieces, drawn->len, closed);
  else
    stroke_run (work, pieces, drawn->len, closed);
}

static void
stroke_all (Work          *work,
            const RhyPen  *pen,
            const RhyPath *own)
{
  g_autoptr (GArray) run = g_array_new (FALSE, FALSE, sizeof (Piece));
  RhyPathIter iter;
  RhySegment g;
  rhy_path_iter_init (&iter, own);
  while (rhy_path_iter_next (&iter, &g))
    {
      if (g.first && run->len > 0)
        {
          stroke_subpath (work, pen, run, FALSE);
          g_array_set_size (run, 0);
        }
      const Piece piece = { { g.p[0], g.p[1], g.p[2], g.p[3] }, g.verb == RHY_PATH_CUBIC };
      g_array_append_val (run, piece);
      if (g.closes)
        {
          stroke_subpath (work, pen, run, TRUE);
          g_array_set_size (run, 0);
        }
    }
  if (run->len > 0)
    stroke_subpath (work, pen, run, FALSE);
}

static RhyBounds
box_of_points (const RhyPath *path)
{
  RhyBounds box = RHY_BOUNDS_EMPTY;
  for (gsize i = 0; i < path->n_points; i++)
    box = rhy_bounds_with (box, path->points[i].x, path->points[i].y);
  return box;
}

static gboolean
set_geometry_error (GError    **error,
                    const char *what)
{
  g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY, "a stroke cannot be outlined: %s", what);
  return FALSE;
}

static gboolean
set_up (Work          *work,
        FT_Library     library,
        const RhyPen  *pen,
        const RhyPath *own,
        GError       **error)
{
  const RhyBounds box = box_of_points (own);
  const double half = 0.5 * pen->width;
  const double reach = 0.5 * MAX (box.max_x - box.min_x, box.max_y - box.min_y);
  work->middle = (RhyPoint) { 0.5 * (box.min_x + box.max_x), 0.5 * (box.min_y + box.max_y) };
  work->unit = MIN (UNITS / MAX (reach, 1e-300), PEN_UNITS / half);
  if (!isfinite (reach) || !isfinite (work->unit) || !(work->unit > 0.0))
    return set_geometry_error (error, "its coordinates are not finite");
  if (!(half * work->unit >= 1.0))
    return TRUE;        /* thinner than a unit: no ink; the stroker stays NULL */

  if (FT_Stroker_New (library, &work->stroker) != 0)
    return set_geometry_error (error, "no stroker");
  static const FT_Stroker_LineCap caps[] = { FT_STROKER_LINECAP_BUTT, FT_STROKER_LINECAP_ROUND, FT_STROKER_LINECAP_SQUARE };
  static const FT_Stroker_LineJoin joins[] = { FT_STROKER_LINEJOIN_MITER_FIXED, FT_STROKER_LINEJOIN_ROUND, FT_STROKER_LINEJOIN_BEVEL };
  FT_Stroker_Set (work->stroker, lrint (half * work->unit), caps[pen->cap], joins[pen->join],
                  lrint (CLAMP (pen->miter_limit, 1.0, 30000.0) * 65536.0));
  const RhyAffine to_pen = { 1.0 / work->unit, 0.0, 0.0, 1.0 / work->unit, work->middle.x, work->middle.y };
  work->back = rhy_affine_then (to_pen, (RhyAffine) { pen->matrix.xx, pen->matrix.yx, pen->matrix.xy, pen->matrix.yy, 0.0, 0.0 });
  return TRUE;
}

static RhyPath *
outline_with (FT_Library     library,
              const RhyPath *path,
              const RhyPen  *pen,
              double         tolerance,
              GError       **error)
{
  const RhyAffine m = pen->matrix;
  const double det = m.xx * m.yy - m.xy * m.yx;
  g_autoptr (RhyPath) outline = rhy_path_new ();
  if (!isfinite (det) || !isfinite (pen->width))
    {
      set_geometry_error (error, "its pen is not finite");
      return NULL;
    }
  if (!(pen->width > 0.0) || det == 0.0 || path->n_points == 0)
    return g_steal_pointer (&outline);

  const RhyAffine inverse = { m.yy / det, -m.yx / det, -m.xy / det, m.xx / det, 0.0, 0.0 };
  g_autoptr (RhyPath) own = rhy_path_transformed (path, inverse);
  const double half = 0.5 * pen->width * MAX (hypot (m.xx, m.yx), hypot (m.xy, m.yy));
  Work work = { .cap = pen->cap, .outline = outline, .turn_max = BUMP * half <= tolerance ? G_PI : TURN_MAX };
  if (!set_up (&work, library, pen, own, error))
    return NULL;
  if (work.stroker == NULL)
    return g_steal_pointer (&outline);

  stroke_all (&work, pen, own);
  FT_Stroker_Done (work.stroker);
  if (work.trouble != 0)
    {
      set_geometry_error (error, "FreeType refused it");
      return NULL;
    }
  return g_steal_pointer (&outline);
}

static gboolean
open_library (FT_Library *library,
              GError    **error)
{
  return FT_Init_FreeType (library) == 0 || set_geometry_error (error, "FreeType does not start");
}

RhyPath *
rhy_stroke_outline (const RhyPath *path,
                    const RhyPen  *pen,
                    GError       **error)
{
  g_return_val_if_fail (path != NULL && pen != NULL, NULL);

  FT_Library library;
  if (!open_library (&library, error))
    return NULL;
  RhyPath *outline = outline_with (library, path, pen, 0.0, error);
  FT_Done_FreeType (library);
  return outline;
}

static gboolean
has_strokes (RhyArtwork *artwork)
{
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    if (rhy_artwork_get_shape (artwork, i)->has_stroke)
      return TRUE;
  return FALSE;
}

static void
add_filled (RhyArtworkBuilder *builder,
            const RhyShape    *like,
            RhyPath           *path,
            RhyFillRule        rule,
            RhyColour          colour,
            RhyPaint          *paint)
{
  const RhyShape shape = { .path = path, .rule = rule, .has_fill = TRUE, .fill = colour,
                           .fill_paint = paint != NULL ? rhy_paint_ref (paint) : NULL, .pen.matrix = RHY_AFFINE_IDENTITY,
                           .clips = g_memdup2 (like->clips, like->n_clips * sizeof (guint)), .n_clips = like->n_clips };
  rhy_artwork_builder_add_shape (builder, &shape);
}

typedef struct
{
  RhyArtwork *artwork;
  FT_Library  library;          /* strokers only take memory through it */
  double      tolerance_mm;
  RhyPath   **outlines;         /* of each shape; NULL: no stroke, or an error */
  GError    **errors;
} Outlining;

static void
outline_one (guint    i,
             gpointer data)
{
  Outlining *work = data;
  const RhyShape *shape = rhy_artwork_get_shape (work->artwork, i);
  if (!shape->has_stroke)
    return;
  RhyPath *outline = outline_with (work->library, shape->path, &shape->pen, work->tolerance_mm, &work->errors[i]);
  if (outline != NULL && outline->n_verbs > 0 && work->tolerance_mm > 0.0)
    {
      RhyPath *lighter = rhy_path_lightened (outline, work->tolerance_mm, NULL);
      rhy_path_unref (outline);
      outline = lighter;
    }
  work->outlines[i] = outline;
}

static void
add_outlined (RhyArtworkBuilder *builder,
              const RhyShape    *shape,
              RhyPath           *outline)
{
  if (shape->has_fill)
    add_filled (builder, shape, rhy_path_ref (shape->path), shape->rule, shape->fill, shape->fill_paint);
  if (outline != NULL && outline->n_verbs > 0)
    add_filled (builder, shape, outline, RHY_FILL_NONZERO, shape->stroke, shape->stroke_paint);
  else if (outline != NULL)
    rhy_path_unref (outline);
}

RhyArtwork *
rhy_artwork_outlined (RhyArtwork *self,
                      double      tolerance_mm,
                      GError    **error)
{
  g_return_val_if_fail (self != NULL, NULL);

  if (!has_strokes (self))
    return rhy_artwork_ref (self);

  const guint n = (guint) rhy_artwork_get_n_shapes (self);
  FT_Library library;
  if (!open_library (&library, error))
    return NULL;
  g_autofree RhyPath **outlines = g_new0 (RhyPath *, n);
  g_autofree GError **errors = g_new0 (GError *, n);
  Outlining work = { self, library, tolerance_mm, outlines, errors };
  rhy_parallel (n, 0, outline_one, &work);
  FT_Done_FreeType (library);

  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();
  double width, height;
  rhy_artwork_get_page (self, &width, &height);
  rhy_artwork_builder_set_size (builder, width, height, rhy_artwork_get_size_source (self));
  for (gsize i = 0; i < rhy_artwork_get_n_clips (self); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (self, i);
      rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
    }
  /* The first one's trouble is said. */
  gboolean ok = TRUE;
  for (guint i = 0; i < n; i++)
    {
      add_outlined (builder, rhy_artwork_get_shape (self, i), outlines[i]);
      if (errors[i] == NULL)
        continue;
      if (ok)
        g_propagate_error (error, errors[i]);
      else
        g_error_free (errors[i]);
      ok = FALSE;
    }
  if (!ok)
    return NULL;
  for (gsize i = 0; i < rhy_artwork_get_n_pictures (self); i++)
    rhy_artwork_builder_add_picture (builder, *rhy_artwork_get_picture (self, i));
  for (const char *const *note = rhy_artwork_get_notes (self); *note != NULL; note++)
    rhy_artwork_builder_add_note (builder, *note);
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}
