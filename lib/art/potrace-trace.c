/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/trace.h>

#include "potrace.h"

#ifdef HAVE_POTRACE

#include <errno.h>

#include "late-potrace.h"

gboolean
rhy_trace_is_available (void)
{
  return TRUE;
}

/* potrace's rows go up, its first pixel is a word's highest bit. */
static void
fill_bitmap (potrace_bitmap_t *bitmap,
             const RhyBits    *bits)
{
  const int per_word = 8 * (int) sizeof (potrace_word);
  for (int y = 0; y < bitmap->h; y++)
    {
      const guint8 *row = bits->ink + (gsize) y * bits->width;
      potrace_word *words = bitmap->map + (gssize) (bitmap->h - 1 - y) * bitmap->dy;
      for (int x = 0; x < bitmap->w; x++)
        if (row[x])
          words[x / per_word] |= (potrace_word) 1 << (per_word - 1 - x % per_word);
    }
}

static void
add_curve (RhyPath               *path,
           const potrace_curve_t *curve,
           RhyAffine              to)
{
#define AT(p) rhy_affine_apply (to, (RhyPoint) { (p).x, (p).y })
  const RhyPoint start = AT (curve->c[curve->n - 1][2]);
  rhy_path_move_to (path, start.x, start.y);
  for (int i = 0; i < curve->n; i++)
    {
      const potrace_dpoint_t *c = curve->c[i];
      const RhyPoint middle = AT (c[1]);
      const RhyPoint end = AT (c[2]);
      if (curve->tag[i] == POTRACE_CURVETO)
        {
          const RhyPoint first = AT (c[0]);
          rhy_path_cubic_to (path, first.x, first.y, middle.x, middle.y, end.x, end.y);
          continue;
        }
      rhy_path_line_to (path, middle.x, middle.y);
      rhy_path_line_to (path, end.x, end.y);
    }
  rhy_path_close (path);
#undef AT
}

RhyPath *
rhy_potrace (const RhyBits *bits,
             int            speck,
             double         corner,
             double         slack,
             RhyAffine      to,
             GError       **error)
{
  const int per_word = 8 * (int) sizeof (potrace_word);
  potrace_bitmap_t bitmap = { .w = (int) bits->width, .h = (int) bits->height, .dy = ((int) bits->width + per_word - 1) / per_word };
  g_autofree potrace_word *map = g_new0 (potrace_word, (gsize) bitmap.dy * (gsize) bitmap.h);
  bitmap.map = map;
  fill_bitmap (&bitmap, bits);

  potrace_param_t *param = potrace_param_default ();
  potrace_state_t *state = NULL;
  if (param != NULL)
    {
      param->turdsize = speck;
      param->alphamax = corner;
      param->opticurve = 1;
      param->opttolerance = slack;
      state = potrace_trace (param, &bitmap);
      potrace_param_free (param);
    }
  if (state == NULL || state->status != POTRACE_STATUS_OK)
    {
      if (state != NULL)
        potrace_state_free (state);
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "tracing: not enough memory for %u x %u dots", bits->width, bits->height);
      return NULL;
    }
  /* From rows that go up. */
  const RhyAffine down = { 1.0, 0.0, 0.0, -1.0, 0.0, bits->height };
  RhyPath *path = rhy_path_new ();
  for (const potrace_path_t *p = state->plist; p != NULL; p = p->next)
    add_curve (path, &p->curve, rhy_affine_then (down, to));
  potrace_state_free (state);
  return path;
}

#else

gboolean
rhy_trace_is_available (void)
{
  return FALSE;
}

RhyPath *
rhy_potrace (const RhyBits *bits,
             int            speck,
             double         corner,
             double         slack,
             RhyAffine      to,
             GError       **error)
{
  (void) bits, (void) speck, (void) corner, (void) slack, (void) to;
  g_set_error_literal (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED,
                       "this build cannot trace: set [Artwork] Trace=no, or build with potrace (-Dtracing=enabled)");
  return NULL;
}

#endif
