/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/path.h>

/* By chords, half open in y, as textbooks do it. */
static inline int
winding (const RhyPath *path,
         double         x,
         double         y)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, 1e-4);
  RhyPathIter iter;
  RhySegment g;
  RhyPoint start = { 0, 0 };
  RhyPoint end = { 0, 0 };
  int sum = 0;
  gboolean more = TRUE;
  gboolean any = FALSE;
  rhy_path_iter_init (&iter, flat);
  while (more)
    {
      more = rhy_path_iter_next (&iter, &g);
      RhyPoint a = end;
      RhyPoint b = start;
      if (any && (!more || g.first))    /* fills close what is open */
        {
          if ((a.y <= y) != (b.y <= y) && a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y) < x)
            sum += a.y < b.y ? 1 : -1;
        }
      if (!more)
        break;
      if (g.first)
        start = g.p[0];
      a = g.p[0];
      b = end = g.p[1];
      any = TRUE;
      if ((a.y <= y) != (b.y <= y) && a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y) < x)
        sum += a.y < b.y ? 1 : -1;
    }
  return sum;
}
