/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "texture.h"

#include <rhyton/map.h>

#include <math.h>
#include <string.h>

/* A bound on memory: 3 million pixels are 12 MB. */
#define MOST_PIXELS 3.0e6
/* Clear columns and rows around the paint, so that the coarser copies down to
 * the fifth still end in nothing. */
#define EDGE 32
#define CELL 32

/* Chords this far off the curve are under a tenth of the finest pixel; lines are
 * cut up because straight in art is not straight on the wall. */
#define CHORD_MM 0.004
#define STEP_MM 0.6

void
rhy_texture_free (RhyTexture *self)
{
  for (int i = 0; i < self->n_levels; i++)
    g_free (self->pixels[i]);
  g_free (self->cells);
  g_free (self);
}

/* --- placing -------------------------------------------------------------- */

typedef struct
{
  GArray *x, *y;        /* double */
  GArray *starts;       /* gboolean a point: begins a subpath */
} Points;

static void
push (Points  *points,
      double   x,
      double   y,
      gboolean starts)
{
  g_array_append_val (points->x, x);
  g_array_append_val (points->y, y);
  g_array_append_val (points->starts, starts);
}

static void
push_line (Points  *points,
           RhyPoint a,
           RhyPoint b)
{
  const int n = (int) MIN (ceil (hypot (b.x - a.x, b.y - a.y) / STEP_MM), 10000.0);
  for (int i = 1; i < n; i++)
    push (points, a.x + (b.x - a.x) * i / n, a.y + (b.y - a.y) * i / n, FALSE);
  push (points, b.x, b.y, FALSE);
}

void
rhy_place_by_map (gconstpointer data,
                  gsize         n,
                  const double *x,
                  const double *y,
                  double       *s,
                  double       *angle,
                  guint8       *valid)
{
  rhy_map_forward (data, n, x, y, s, angle, valid);
}

RhyPath *
rhy_texture_place (const RhyPath *path,
                   RhyPlacing     placing,
                   gconstpointer  data,
                   gboolean       gaps)
{
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, CHORD_MM);
  Points points = { g_array_new (FALSE, FALSE, sizeof (double)), g_array_new (FALSE, FALSE, sizeof (double)),
                    g_array_new (FALSE, FALSE, sizeof (gboolean)) };
  RhyPathIter iter;
  RhySegment segment;

  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &segment))
    {
      if (segment.first)
        push (&points, segment.p[0].x, segment.p[0].y, TRUE);
      push_line (&points, segment.p[0], segment.p[1]);
    }

  const gsize n = points.x->len;
  g_autofree double *s = g_new (double, n + 1);
  g_autofree double *angle = g_new (double, n + 1);
  g_autofree guint8 *valid = g_new (guint8, n + 1);
  placing (data, n, (double *) (void *) points.x->data, (double *) (void *) points.y->data, s, angle, valid);

  RhyPath *placed = rhy_path_new ();
  gboolean open = FALSE;
  for (gsize i = 0; i < n; i++)
    {
      if (g_array_index (points.starts, gboolean, i) || (gaps && !valid[i]))
        open = FALSE;
      if (!valid[i])
        continue;
      if (open)
        rhy_path_line_to (placed, angle[i], s[i]);
      else
        rhy_path_move_to (placed, angle[i], s[i]);
      open = TRUE;
    }
  g_array_unref (points.x);
  g_array_unref (points.y);
  g_array_unref (points.starts);
  return placed;
}

/* --- making --------------------------------------------------------------- */

static void
halve (const guint32 *from, int w, int h,
       guint32 *to, int tw, int th)
{
  for (int y = 0; y < th; y++)
    {
      const guint32 *a = from + (gsize) w * (gsize) MIN (2 * y, h - 1);
      const guint32 *b = from + (gsize) w * (gsize) MIN (2 * y + 1, h - 1);
      for (int x = 0; x < tw; x++)
        {
          const int x0 = MIN (2 * x, w - 1);
          const int x1 = MIN (2 * x + 1, w - 1);
          /* Two channels at a time, each with room above it for the sum of four. */
          const guint32 even = (a[x0] & 0xff00ffu) + (a[x1] & 0xff00ffu) + (b[x0] & 0xff00ffu) + (b[x1] & 0xff00ffu);
          const guint32 odd = ((a[x0] >> 8) & 0xff00ffu) + ((a[x1] >> 8) & 0xff00ffu)
                              + ((b[x0] >> 8) & 0xff00ffu) + ((b[x1] >> 8) & 0xff00ffu);
          to[(gsize) tw * (gsize) y + (gsize) x] = (((even + 0x20002u) >> 2) & 0xff00ffu)
                                                   | ((((odd + 0x20002u) >> 2) & 0xff00ffu) << 8);
        }
    }
}

static gboolean
make_levels (RhyTexture *self)
{
  while (self->n_levels < RHY_TEXTURE_LEVELS)
    {
      const int k = self->n_levels;
      const int w = self->width[k - 1];
      const int h = self->height[k - 1];
      /* A copy that goes round must halve exactly, or its joint would drift. */
      if ((w <= 2 && h <= 2) || (self->wraps && w % 2 != 0))
        break;
      self->width[k] = (w + 1) / 2;
      self->height[k] = (h + 1) / 2;
      self->pixels[k] = g_try_malloc_n ((gsize) self->width[k] * (gsize) self->height[k], sizeof (guint32));
      if (self->pixels[k] == NULL)
        return FALSE;
      halve (self->pixels[k - 1], w, h, self->pixels[k], self->width[k], self->height[k]);
      self->n_levels++;
    }
  return TRUE;
}

static void
mark_cell (RhyTexture *self,
           int         cx,
           int         cy)
{
  for (int dy = -1; dy <= 1; dy++)
    for (int dx = -1; dx <= 1; dx++)
      {
        const int y = cy + dy;
        const int x = self->wraps ? (cx + dx + self->cells_across) % self->cells_across : cx + dx;
        if (x >= 0 && x < self->cells_across && y >= 0 && y < self->cells_down)
          self->cells[y * self->cells_across + x] = 1;
      }
}

static void
make_cells (RhyTexture *self)
{
  self->cells_across = (self->width[0] + CELL - 1) / CELL;
  self->cells_down = (self->height[0] + CELL - 1) / CELL;
  self->cells = g_malloc0 ((gsize) self->cells_across * (gsize) self->cells_down);
  for (int y = 0; y < self->height[0]; y++)
    {
      const guint32 *row = self->pixels[0] + (gsize) self->width[0] * (gsize) y;
      for (int cx = 0; cx < self->cells_across; cx++)
        {
          const int end = MIN ((cx + 1) * CELL, self->width[0]);
          guint32 any = 0;
          for (int x = cx * CELL; x < end; x++)
            any |= row[x];
          if (any != 0)
            mark_cell (self, cx, y / CELL);
        }
    }
}

static gboolean
paint (RhyTexture *self,
       RhyBounds   box,
       double      r_ref,
       RhyPainting painting,
       gpointer    data)
{
  const int w = self->width[0];
  const int h = self->height[0];
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, w, h);
  cairo_t *cr = cairo_create (surface);
  /* Outlines are already finely cut up; cairo's own tolerance is a tenth of a pixel. */
  const int first = self->wraps ? (int) floor ((self->angle_mid - G_PI - box.max_x) / (2.0 * G_PI)) : 0;
  const int last = self->wraps ? (int) ceil ((self->angle_mid + G_PI - box.min_x) / (2.0 * G_PI)) : 0;
  for (int k = first; k <= last; k++)
    {
      cairo_save (cr);
      cairo_translate (cr, 0.5 * w, 0.0);
      cairo_scale (cr, self->per_rad / r_ref, -self->per_mm);
      cairo_translate (cr, r_ref * (2.0 * G_PI * k - self->angle_mid), -self->s_top);
      painting (cr, r_ref, data);
      cairo_restore (cr);
    }
  gboolean ok = cairo_status (cr) == CAIRO_STATUS_SUCCESS;
  cairo_destroy (cr);
  cairo_surface_flush (surface);
  self->pixels[0] = ok ? g_try_malloc_n ((gsize) w * (gsize) h, sizeof (guint32)) : NULL;
  if (self->pixels[0] != NULL)
    {
      const guint8 *from = cairo_image_surface_get_data (surface);
      const int stride = cairo_image_surface_get_stride (surface);
      for (int y = 0; y < h; y++)
        memcpy (self->pixels[0] + (gsize) w * (gsize) y, from + (gsize) stride * (gsize) y, (gsize) w * 4);
      self->n_levels = 1;
    }
  cairo_surface_destroy (surface);
  return self->pixels[0] != NULL;
}

RhyTexture *
rhy_texture_new (RhyBounds   box,
                 double      wall_length_mm,
                 double      r_ref_mm,
                 double      finest_per_mm,
                 RhyPainting painting,
                 gpointer    data,
                 GError    **error)
{
  RhyTexture *self = g_new0 (RhyTexture, 1);

  if (rhy_bounds_is_empty (box))
    box = (RhyBounds) { 0.0, 0.0, 0.0, 0.0 };
  const double low = MAX (box.min_y, 0.0);
  const double high = MAX (MIN (box.max_y, wall_length_mm), low);
  self->wraps = box.max_x - box.min_x > 1.9 * G_PI;
  self->angle_mid = 0.5 * (box.min_x + box.max_x);
  const double reach = self->wraps ? 2.0 * G_PI : box.max_x - box.min_x;
  const double across = MAX (reach * r_ref_mm, 0.1);
  const double down = MAX (high - low, 0.1);
  const double per_mm = MIN (finest_per_mm, sqrt (MOST_PIXELS / (across * down)));

  self->per_mm = per_mm;
  self->height[0] = (int) ceil (down * per_mm) + 2 * EDGE;
  self->s_top = 0.5 * (low + high) + 0.5 * self->height[0] / per_mm;
  if (self->wraps)
    {
      self->width[0] = 256 * MAX (1, (int) lrint (across * per_mm / 256.0));
      self->per_rad = self->width[0] / (2.0 * G_PI);
    }
  else
    {
      self->width[0] = (int) ceil (across * per_mm) + 2 * EDGE;
      self->per_rad = r_ref_mm * per_mm;
    }
  /* A hair-thin line all round would still be too long for an image. */
  if (self->width[0] > 32000 || self->height[0] > 32000
      || !paint (self, box, r_ref_mm, painting, data) || !make_levels (self))
    {
      rhy_texture_free (self);
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_LIMIT, "preview: not enough memory for the artwork's picture");
      return NULL;
    }
  make_cells (self);
  return self;
}
