/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "proof-pictures.h"

#include <math.h>
#include <rhyton/tone.h>
#include <rhyton/warp.h>

/* Displacements are looked for in squares of so many dots: enough for a slope each way, few enough
 * that the map is one displacement there. */
#define SQUARE 24
/* A square whose tones rise by less than this of 255 a dot, in the mean, shows no place. */
#define SLOPE 6.0
/* A picture's own edge, where its last pixels fade, is the outline's to prove. */
#define EDGE 5
/* A line of one dot has no slope to speak of, and black dots only show tones when they are blurred: half the
 * width of the blur, taken twice. */
#define BLUR 1
#define BLUR_DOTS 4

/* A picture in art space: how dark each dot is, 0 to 255, and whether it is known. */
typedef struct
{
  guint   width, height;
  float  *tone;
  guint8 *known;
} Tones;

static Tones
tones_new (const RhyGrid *grid)
{
  const gsize n = (gsize) grid->width * grid->height;
  return (Tones) { grid->width, grid->height, g_new0 (float, n), g_new0 (guint8, n) };
}

static void
tones_clear (Tones *self)
{
  g_free (self->tone);
  g_free (self->known);
}

static inline float
tone_of (guint32 pixel)
{
  return (float) ((pixel & 255u) + 255u - (pixel >> 24));       /* over white */
}

/* What was meant: the picture as it came in, filtered to the dots. */
static Tones
meant_tones (const RhyPaint *paint,
             const RhyGrid  *grid)
{
  Tones self = tones_new (grid);
  g_autoptr (RhyPaint) flat = rhy_paint_warped (paint, NULL, grid);
  g_autoptr (RhyRaster) grey = rhy_raster_grey (flat->raster);
  const guint32 *pixels = rhy_raster_get_pixels (grey);
  for (gsize i = 0; i < (gsize) grid->width * grid->height; i++)
    {
      self.tone[i] = tone_of (pixels[i]);
      self.known[i] = 1;
    }
  return self;
}

/* What is burnt: each dot's place through the maps forwards, and the drawing's tone there, linear
 * between its dots. */
static Tones
burnt_tones (const RhyPaint *paint,
             const RhyMap   *lay,
             const RhyMap   *drive,
             const RhyGrid  *grid)
{
  Tones self = tones_new (grid);
  g_autoptr (RhyRaster) grey = rhy_raster_grey (paint->raster);
  const guint32 *pixels = rhy_raster_get_pixels (grey);
  const int width = (int) rhy_raster_get_width (grey);
  const int height = (int) rhy_raster_get_height (grey);
  const RhyAffine m = paint->matrix;
  const double det = m.xx * m.yy - m.xy * m.yx;
  g_autofree double *x = g_new (double, grid->width);
  g_autofree double *y = g_new (double, grid->width);
  g_autofree guint8 *on_wall = g_new (guint8, grid->width);
  g_autofree guint8 *on_bed = g_new (guint8, grid->width);
  for (guint j = 0; j < grid->height; j++)
    {
      for (guint i = 0; i < grid->width; i++)
        {
          x[i] = grid->corner.x + (i + 0.5) * grid->pitch_mm;
          y[i] = grid->corner.y + (j + 0.5) * grid->pitch_mm;
        }
      rhy_map_forward (lay, grid->width, x, y, x, y, on_wall);
      rhy_map_forward (drive, grid->width, x, y, x, y, on_bed);
      for (guint i = 0; i < grid->width; i++)
        {
          const double px = (m.yy * (x[i] - m.x0) - m.xy * (y[i] - m.y0)) / det - 0.5;
          const double py = (m.xx * (y[i] - m.y0) - m.yx * (x[i] - m.x0)) / det - 0.5;
          if (!on_wall[i] || !on_bed[i] || !(px >= 1.0 && py >= 1.0 && px < width - 2.0 && py < height - 2.0))
            continue;
          const int ix = (int) px;
          const int iy = (int) py;
          const float fx = (float) (px - ix);
          const float fy = (float) (py - iy);
          const guint32 *p = pixels + (gsize) iy * (gsize) width + (gsize) ix;
          const float above = tone_of (p[0]) + fx * (tone_of (p[1]) - tone_of (p[0]));
          const float below = tone_of (p[width]) + fx * (tone_of (p[width + 1]) - tone_of (p[width]));
          self.tone[(gsize) j * grid->width + i] = above + fy * (below - above);
          self.known[(gsize) j * grid->width + i] = 1;
        }
    }
  return self;
}

/* The mean of 2 reach + 1 dots along a row or column, as far as they are there. */
static void
blur_line (const float *from,
           float       *to,
           gsize        n,
           gsize        step,
           gsize        reach)
{
  for (gsize i = 0; i < n; i++)
    {
      const gsize first = i > reach ? i - reach : 0;
      const gsize last = MIN (i + reach, n - 1);
      float sum = 0.0f;
      for (gsize k = first; k <= last; k++)
        sum += from[k * step];
      to[i * step] = sum / (float) (last - first + 1);
    }
}

static void
blur (Tones *self,
      gsize  reach)
{
  g_autofree float *half = g_new (float, (gsize) self->width * self->height);
  for (int round = 0; round < 2; round++)
    {
      for (guint y = 0; y < self->height; y++)
        blur_line (self->tone + (gsize) y * self->width, half + (gsize) y * self->width, self->width, 1, reach);
      for (guint x = 0; x < self->width; x++)
        blur_line (half + x, self->tone + x, self->height, self->width, reach);
    }
}

/* How far a square of what is burnt lies from where it was meant, dots: least squares of
 * meant - burnt = slope . shift, along the ways in which there is a slope. Source: Lucas and Kanade
 * 1981, An iterative image registration technique, section 4. */
static double
shift_of (const Tones *meant,
          const Tones *burnt,
          guint        x0,
          guint        y0)
{
  const gsize w = meant->width;
  double a = 0, b = 0, c = 0, u = 0, v = 0;
  for (guint y = y0; y < y0 + SQUARE; y++)
    for (guint x = x0; x < x0 + SQUARE; x++)
      {
        const gsize at = (gsize) y * w + x;
        if (!burnt->known[at] || !burnt->known[at - 1] || !burnt->known[at + 1] || !burnt->known[at - w] || !burnt->known[at + w])
          return 0.0;
        /* The mean of both slopes: their errors cancel to second order. */
        const double gx = 0.25 * (meant->tone[at + 1] - meant->tone[at - 1] + burnt->tone[at + 1] - burnt->tone[at - 1]);
        const double gy = 0.25 * (meant->tone[at + w] - meant->tone[at - w] + burnt->tone[at + w] - burnt->tone[at - w]);
        const double off = meant->tone[at] - burnt->tone[at];
        a += gx * gx;
        b += gx * gy;
        c += gy * gy;
        u += gx * off;
        v += gy * off;
      }
  const double mean = 0.5 * (a + c);
  const double apart = hypot (0.5 * (a - c), b);
  const double angle = 0.5 * atan2 (b, 0.5 * (a - c));
  const double least = SQUARE * SQUARE * SLOPE * SLOPE;
  double shift2 = 0.0;
  for (int k = 0; k < 2; k++)
    {
      const double value = k == 0 ? mean + apart : mean - apart;
      const double ex = k == 0 ? cos (angle) : -sin (angle);
      const double ey = k == 0 ? sin (angle) : cos (angle);
      const double along = (ex * u + ey * v) / value;
      if (value > least)
        shift2 += along * along;
    }
  return sqrt (shift2);
}

static gboolean
compare (const RhyPlan  *plan,
         const RhyPlan  *part,
         const RhyShape *shape,
         const RhyPaint *burnt,
         RhyProof       *proof,
         GError        **error)
{
  const double pitch = hypot (burnt->matrix.xx, burnt->matrix.yx);
  RhyGrid grid;
  const RhyBounds box = rhy_path_get_bounds (shape->path);
  if (!(pitch > 0.0) || !rhy_grid_over (box, 25.4 / pitch, (RhyPoint) { box.min_x, box.min_y }, &grid, error))
    return FALSE;
  const gboolean dots = rhy_plan_get_group (part)->shades == RHY_SHADES_DOTS;
  Tones a = meant_tones (shape->fill_paint, &grid);
  Tones b = burnt_tones (burnt, rhy_plan_get_lay (part), rhy_plan_get_drive (plan), &grid);
  blur (&a, dots ? BLUR_DOTS : BLUR);
  blur (&b, dots ? BLUR_DOTS : BLUR);
  double sum = 0.0;
  gsize n = 0;
  for (gsize i = 0; i < (gsize) a.width * a.height; i++)
    if (b.known[i])
      {
        sum += fabs (a.tone[i] - b.tone[i]);
        n++;
      }
  proof->tone = MAX (proof->tone, n > 0 ? sum / (255.0 * (double) n) : 1.0);
  /* Half a dot; of black dots the tones' own noise hides less than two. */
  proof->shift_limit_mm = MAX (proof->shift_limit_mm, (dots ? 2.0 : 0.5) * pitch);
  for (guint y = EDGE; y + SQUARE + EDGE <= a.height; y += SQUARE / 2)
    for (guint x = EDGE; x + SQUARE + EDGE <= a.width; x += SQUARE / 2)
      {
        const double shift = pitch * shift_of (&a, &b, x, y);
        RhyPoint at = { grid.corner.x + (x + SQUARE / 2) * pitch, grid.corner.y + (y + SQUARE / 2) * pitch };
        if (shift > proof->shift_mm && rhy_map_point (rhy_plan_get_lay (part), at, &at))
          {
            proof->shift_mm = shift;
            proof->shift_where = (RhyWallPoint) { at.x, at.y };
          }
      }
  tones_clear (&a);
  tones_clear (&b);
  return TRUE;
}

static const RhyPaint *
next_picture (const RhyArtwork *drawing,
              gsize            *next)
{
  while (*next < rhy_artwork_get_n_shapes (drawing))
    {
      const RhyShape *shape = rhy_artwork_get_shape (drawing, (*next)++);
      if (shape->has_fill && shape->fill_paint != NULL && shape->fill_paint->kind == RHY_PAINT_RASTER)
        return shape->fill_paint;
    }
  return NULL;
}

gboolean
rhy_proof_pictures (const RhyPlan    *plan,
                    const RhyArtwork *drawing,
                    RhyProof         *proof,
                    GError          **error)
{
  gsize next = 0;
  for (gsize k = 0; k < rhy_plan_get_n_parts (plan); k++)
    {
      const RhyPlan *part = rhy_plan_get_part (plan, k);
      const RhyArtwork *artwork = rhy_plan_get_artwork (part);
      for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
        {
          const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
          if (!shape->has_fill || shape->fill_paint == NULL)
            continue;
          const RhyPaint *burnt = next_picture (drawing, &next);
          if (burnt == NULL)
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                           "the drawing holds %u of the job's pictures and gradients, and not the next: write it again", proof->n_pictures);
              return FALSE;
            }
          if (!compare (plan, part, shape, burnt, proof, error))
            return FALSE;
          proof->n_pictures++;
        }
    }
  return TRUE;
}
