/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/trim.h>

#include <math.h>

/* Halvings of a segment that crosses an edge; what is left then is a thousandth of it. */
#define DEPTH 10

typedef struct
{
  RhyPath  *path;
  RhyBounds box;
} Trim;

static RhyPoint
pulled (RhyBounds box,
        RhyPoint  p)
{
  return (RhyPoint) { CLAMP (p.x, box.min_x, box.max_x), CLAMP (p.y, box.min_y, box.max_y) };
}

static RhyPoint
middle (RhyPoint a,
        RhyPoint b)
{
  return (RhyPoint) { 0.5 * (a.x + b.x), 0.5 * (a.y + b.y) };
}

/* Pulling to a box is a continuous map that leaves the inside alone and can be reached
 * from the identity without crossing it, so winding numbers there are kept. Where a
 * segment lies wholly beyond one edge its image lies on that edge, and a line along it to
 * the image of its end is the same to the inside. Source: derived here. */
static void
add_cubic (Trim           *t,
           const RhyPoint  p[4],
           guint           depth)
{
  const RhyBounds box = t->box;
  RhyBounds hull = RHY_BOUNDS_EMPTY;
  for (guint i = 0; i < 4; i++)
    hull = rhy_bounds_with (hull, p[i].x, p[i].y);

  if (hull.min_x >= box.min_x && hull.max_x <= box.max_x && hull.min_y >= box.min_y && hull.max_y <= box.max_y)
    {
      rhy_path_cubic_to (t->path, p[1].x, p[1].y, p[2].x, p[2].y, p[3].x, p[3].y);
      return;
    }
  const gboolean beyond = hull.min_x >= box.max_x || hull.max_x <= box.min_x
                          || hull.min_y >= box.max_y || hull.max_y <= box.min_y;
  if (beyond || depth == 0)
    {
      const RhyPoint end = pulled (box, p[3]);
      rhy_path_line_to (t->path, end.x, end.y);
      return;
    }

  const RhyPoint ab = middle (p[0], p[1]);
  const RhyPoint bc = middle (p[1], p[2]);
  const RhyPoint cd = middle (p[2], p[3]);
  const RhyPoint abc = middle (ab, bc);
  const RhyPoint bcd = middle (bc, cd);
  const RhyPoint at = middle (abc, bcd);
  add_cubic (t, (const RhyPoint[]) { p[0], ab, abc, at }, depth - 1);
  add_cubic (t, (const RhyPoint[]) { at, bcd, cd, p[3] }, depth - 1);
}

/* A line is cut where it crosses the edges, not by halves. */
static void
add_line (Trim     *t,
          RhyPoint  a,
          RhyPoint  b)
{
  const double dx = b.x - a.x;
  const double dy = b.y - a.y;
  double cuts[6] = { 0.0, 1.0 };
  guint n = 2;
  const double at[4] = { (t->box.min_x - a.x) / dx, (t->box.max_x - a.x) / dx,
                         (t->box.min_y - a.y) / dy, (t->box.max_y - a.y) / dy };
  for (guint i = 0; i < 4; i++)
    if (at[i] > 0.0 && at[i] < 1.0)
      {
        guint k = n++;
        for (; k > 0 && cuts[k - 1] > at[i]; k--)
          cuts[k] = cuts[k - 1];
        cuts[k] = at[i];
      }
  for (guint i = 1; i < n; i++)
    {
      const RhyPoint p = { a.x + cuts[i] * dx, a.y + cuts[i] * dy };
      const RhyPoint to = pulled (t->box, i + 1 < n ? p : b);
      rhy_path_line_to (t->path, to.x, to.y);
    }
}

/* The closing line may cross the box as any other does. */
static void
close_subpath (Trim     *t,
               RhyPoint  current,
               RhyPoint  start)
{
  if (current.x != start.x || current.y != start.y)
    add_line (t, current, start);
  rhy_path_close (t->path);
}

RhyPath *
rhy_path_trimmed (const RhyPath *self,
                  RhyBounds      box,
                  gboolean       fill)
{
  g_return_val_if_fail (self != NULL && !rhy_bounds_is_empty (box), NULL);

  Trim t = { rhy_path_new (), box };
  const RhyPoint *p = self->points;
  RhyPoint start = { 0.0, 0.0 };
  RhyPoint current = { 0.0, 0.0 };
  gboolean open = FALSE;
  for (gsize i = 0; i < self->n_verbs; i++)
    {
      const guint8 verb = self->verbs[i];
      if (verb == RHY_PATH_CLOSE || (verb == RHY_PATH_MOVE && open && fill))
        close_subpath (&t, current, start);
      switch (verb)
        {
        case RHY_PATH_MOVE:
          start = current = *p++;
          rhy_path_move_to (t.path, pulled (box, current).x, pulled (box, current).y);
          break;
        case RHY_PATH_LINE:
          add_line (&t, current, *p);
          current = *p++;
          break;
        case RHY_PATH_CUBIC:
          add_cubic (&t, (const RhyPoint[]) { current, p[0], p[1], p[2] }, DEPTH);
          current = p[2];
          p += 3;
          break;
        default:
          current = start;
          break;
        }
      open = verb == RHY_PATH_LINE || verb == RHY_PATH_CUBIC;
    }
  if (open && fill)
    close_subpath (&t, current, start);
  return t.path;
}
