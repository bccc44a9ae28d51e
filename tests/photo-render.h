/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <math.h>
#include <string.h>

#include <rhyton/rhyton.h>

/* Photographs of vessels by a pinhole camera, for tests. The surface is a dense mesh of
 * points that are projected one by one; a row of the picture is covered from the least to
 * the greatest x of what crosses it. No formula of the library's is used or turned round. */

typedef struct
{
  int      width, height;
  double   focal_px;
  double   distance_mm;     /* level, from the axis */
  double   eye_mm;          /* above the base */
  double   aside_mm, aim_mm;/* what the camera looks at: beside the axis, above the base */
  double   roll_rad;
  double   blur_px;
  double   noise;           /* of a channel, of 255 */
  double   vessel[3], ground[3], slope[3], bend;    /* linear light; the ground's change across and down */
  gboolean handle;          /* to the right */
  gboolean glass;           /* light inside, a dark line along its edge */
  double   shadow;          /* soft, about the base: share of light lost */
  double   stem_mm, stem_r_mm;  /* what it stands on, below the wall */
  guint32  seed;
} PhotoScene;

#define PHOTO_SCENE_INIT \
  { .width = 900, .height = 1000, .focal_px = 0.0, .distance_mm = 700.0, .blur_px = 0.8, .noise = 2.0, \
    .vessel = { 0.12, 0.14, 0.2 }, .ground = { 0.75, 0.74, 0.7 }, .slope = { 0.1, -0.08, 0.0 } }

typedef struct { double x, y, z; } PhotoVec;

static inline PhotoVec
photo_unit (double x, double y, double z)
{
  const double n = sqrt (x * x + y * y + z * z);
  return (PhotoVec) { x / n, y / n, z / n };
}

/* x right, y away from the camera, z up; the camera stands at (0, -distance, eye). */
static inline RhyPoint
photo_project (const PhotoScene *s, double x, double y, double z)
{
  const PhotoVec ahead = photo_unit (s->aside_mm, s->distance_mm, s->aim_mm - s->eye_mm);
  const PhotoVec level = photo_unit (ahead.y, -ahead.x, 0.0);
  const PhotoVec up = { level.y * ahead.z - level.z * ahead.y, level.z * ahead.x - level.x * ahead.z,
                        level.x * ahead.y - level.y * ahead.x };
  const PhotoVec d = { x, y + s->distance_mm, z - s->eye_mm };
  const double depth = d.x * ahead.x + d.y * ahead.y + d.z * ahead.z;
  const double u = s->focal_px * (d.x * level.x + d.y * level.y + d.z * level.z) / depth;
  const double v = -s->focal_px * (d.x * up.x + d.y * up.y + d.z * up.z) / depth;
  return (RhyPoint) { 0.5 * s->width + u * cos (s->roll_rad) - v * sin (s->roll_rad),
                      0.5 * s->height + u * sin (s->roll_rad) + v * cos (s->roll_rad) };
}

enum { PHOTO_SUB = 6, PHOTO_RINGS = 400, PHOTO_SPOKES = 240 };

static inline void
photo_edge (const PhotoScene *s, RhyPoint a, RhyPoint b, double *low, double *high)
{
  if (a.y > b.y)
    {
      const RhyPoint t = a;
      a = b;
      b = t;
    }
  const int from = MAX ((int) ceil (a.y * PHOTO_SUB - 0.5), 0);
  const int to = MIN ((int) floor (b.y * PHOTO_SUB - 0.5), s->height * PHOTO_SUB - 1);
  for (int i = from; i <= to; i++)
    {
      const double y = (i + 0.5) / PHOTO_SUB;
      const double x = b.y > a.y ? a.x + (b.x - a.x) * (y - a.y) / (b.y - a.y) : a.x;
      low[i] = MIN (low[i], x);
      high[i] = MAX (high[i], x);
    }
}

static inline void
photo_cover (const PhotoScene *s, double *low, double *high, float *cover)
{
  for (int i = 0; i < s->height * PHOTO_SUB; i++)
    {
      if (!(low[i] < high[i]))
        continue;
      for (int x = MAX ((int) low[i], 0); x < s->width && x < high[i]; x++)
        cover[(gsize) (i / PHOTO_SUB) * s->width + x]
          += (float) ((MIN (high[i], x + 1.0) - MAX (low[i], (double) x)) / PHOTO_SUB);
    }
}

/* Rings of points from (z, r) to (z, r), joined. */
static inline void
photo_solid (const PhotoScene *s, const double *z, const double *r, gsize n, float *cover)
{
  g_autofree double *low = g_new (double, (gsize) s->height * PHOTO_SUB);
  g_autofree double *high = g_new (double, (gsize) s->height * PHOTO_SUB);
  g_autofree RhyPoint *rings = g_new (RhyPoint, 2 * PHOTO_SPOKES);
  for (int i = 0; i < s->height * PHOTO_SUB; i++)
    {
      low[i] = 1e9;
      high[i] = -1e9;
    }
  for (gsize j = 0; j < n; j++)
    {
      RhyPoint *ring = rings + (j % 2) * PHOTO_SPOKES, *last = rings + (1 - j % 2) * PHOTO_SPOKES;
      for (int k = 0; k < PHOTO_SPOKES; k++)
        ring[k] = photo_project (s, r[j] * cos (2.0 * G_PI * k / PHOTO_SPOKES), r[j] * sin (2.0 * G_PI * k / PHOTO_SPOKES), z[j]);
      for (int k = 0; k < PHOTO_SPOKES; k++)
        {
          photo_edge (s, ring[k], ring[(k + 1) % PHOTO_SPOKES], low, high);
          if (j > 0)
            photo_edge (s, last[k], ring[k], low, high);
        }
    }
  photo_cover (s, low, high, cover);
}

static inline void
photo_handle (const PhotoScene *s, const RhyWall *wall, float *cover)
{
  const double top = rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm;
  const double reach = 0.3 * top, thick = 5.0;
  for (int i = 0; i <= 400; i++)
    {
      const double t = G_PI * (i / 400.0 - 0.5);
      RhyRing ring;
      const double z = top * (0.5 + 0.36 * sin (t));
      if (!rhy_wall_at_height (wall, z, &ring))
        continue;
      const RhyPoint at = photo_project (s, ring.r_mm + reach * cos (t), 0.0, z);
      const double radius = s->focal_px * thick / s->distance_mm;
      for (int y = MAX ((int) (at.y - radius - 1.0), 0); y < s->height && y < at.y + radius + 1.0; y++)
        for (int x = MAX ((int) (at.x - radius - 1.0), 0); x < s->width && x < at.x + radius + 1.0; x++)
          {
            float *c = &cover[(gsize) y * s->width + x];
            *c = MAX (*c, (float) CLAMP (radius - hypot (x + 0.5 - at.x, y + 0.5 - at.y) + 0.5, 0.0, 1.0));
          }
    }
}

static inline void
photo_blur (float *light, int width, int height, double sigma)
{
  const int reach = (int) ceil (3.5 * sigma);
  if (!(sigma > 0.05))
    return;
  g_autofree double *kernel = g_new (double, 2 * reach + 1);
  double sum = 0.0;
  for (int i = -reach; i <= reach; i++)
    sum += kernel[i + reach] = exp (-0.5 * i * i / (sigma * sigma));
  g_autofree float *line = g_new (float, MAX (width, height));
  for (int pass = 0; pass < 2; pass++)
    {
      const int n = pass == 0 ? width : height, m = pass == 0 ? height : width;
      const gsize step = pass == 0 ? 1 : (gsize) width;
      for (int j = 0; j < m; j++)
        {
          float *at = light + (pass == 0 ? (gsize) j * width : (gsize) j);
          for (int i = 0; i < n; i++)
            {
              double total = 0.0;
              for (int k = -reach; k <= reach; k++)
                total += kernel[k + reach] * at[CLAMP (i + k, 0, n - 1) * step];
              line[i] = (float) (total / sum);
            }
          for (int i = 0; i < n; i++)
            at[i * step] = line[i];
        }
    }
}

static inline double
photo_normal (GRand *rand)
{
  return sqrt (-2.0 * log (g_rand_double_range (rand, 1e-12, 1.0))) * cos (2.0 * G_PI * g_rand_double (rand));
}

static inline RhyRaster *
photo_render (const PhotoScene *s, const RhyWall *wall)
{
  const gsize n = (gsize) s->width * s->height;
  g_autofree float *cover = g_new0 (float, n);
  if (wall != NULL)
    {
      double z[PHOTO_RINGS], r[PHOTO_RINGS];
      for (gsize j = 0; j < PHOTO_RINGS; j++)
        {
          const RhyRing ring = rhy_wall_at (wall, rhy_wall_get_length (wall) * (double) j / (PHOTO_RINGS - 1));
          z[j] = ring.z_mm - rhy_wall_at (wall, 0.0).z_mm;
          r[j] = ring.r_mm;
        }
      photo_solid (s, z, r, PHOTO_RINGS, cover);
      if (s->stem_mm > 0.0)
        {
          const double stem_z[] = { -s->stem_mm, 0.5 }, stem_r[] = { s->stem_r_mm, s->stem_r_mm };
          photo_solid (s, stem_z, stem_r, 2, cover);
        }
      if (s->handle)
        photo_handle (s, wall, cover);
    }

  g_autofree float *inner = g_memdup2 (cover, n * sizeof (float));
  if (s->glass)
    photo_blur (inner, s->width, s->height, 3.0);
  const RhyPoint foot = photo_project (s, 0.0, 0.0, 0.0);
  g_autofree float *light = g_new (float, n);
  guint32 *pixels = g_new0 (guint32, n);
  GRand *rand = g_rand_new_with_seed (s->seed);
  for (int channel = 0; channel < 3; channel++)
    {
      for (gsize i = 0; i < n; i++)
        {
          const double u = (double) (i % s->width) / s->width - 0.5, v = (double) (i / s->width) / s->height - 0.5;
          double ground = s->ground[channel] + s->slope[0] * u + s->slope[1] * v + s->bend * (u * u + v * v);
          const double dx = ((double) (i % s->width) - foot.x) / (0.25 * s->width);
          const double dy = ((double) (i / s->width) - foot.y) / (0.03 * s->height);
          ground *= 1.0 - s->shadow * exp (-0.5 * (dx * dx + dy * dy));
          double fill = s->vessel[channel] * (1.0 + 0.8 * u + 0.3 * sin (25.0 * u));
          if (s->glass)
            fill = ground * 0.92 - 0.55 * ground * exp (-12.0 * (inner[i] - 0.5) * (inner[i] - 0.5));
          const double c = MIN (cover[i], 1.0f);
          light[i] = (float) (ground * (1.0 - c) + fill * c);
        }
      photo_blur (light, s->width, s->height, s->blur_px);
      for (gsize i = 0; i < n; i++)
        {
          const double y = CLAMP (light[i], 0.0f, 1.0f);
          const double code = 255.0 * (y <= 0.0031308 ? 12.92 * y : 1.055 * pow (y, 1.0 / 2.4) - 0.055);
          const int value = (int) lround (CLAMP (code + s->noise * photo_normal (rand), 0.0, 255.0));
          pixels[i] |= 0xff000000u | ((guint32) value << (8 * (2 - channel)));
        }
    }
  g_rand_free (rand);
  return rhy_raster_new ((guint) s->width, (guint) s->height, pixels);
}

/* Where somebody marks an end: on the axis, level with the ring's widest points, which are
 * where rays touch it: r^2/D nearer than the axis. */
static inline RhyPoint
photo_mark (const PhotoScene *s, double z, double r)
{
  return photo_project (s, 0.0, -r * r / s->distance_mm, z);
}

/* A vessel of the catalogue, as its own file has it. */
static inline RhyWall *
photo_vessel_wall (const RhyVesselEntry *entry)
{
  const RhyJobData *d = rhy_job_get_data (entry->job);
  const RhyReadings readings = { .n = d->vessel.n_stations, .heights_mm = d->vessel.heights_mm,
                                 .diameters_mm = d->vessel.diameters_mm,
                                 .u_height_mm = d->vessel.height_uncertainty_mm,
                                 .u_diameter_mm = d->vessel.diameter_uncertainty_mm };
  RhyFit fit = { 0 };
  return rhy_readings_fit (&readings, d->vessel.form, &fit, NULL) ? fit.wall : NULL;
}

/* What the vessel measures: ends of its wall and its greatest diameter. */
typedef struct { double low_mm, height_mm, base_r, rim_r, width_mm; } PhotoSizes;

static inline PhotoSizes
photo_sizes (const RhyWall *wall)
{
  const double length = rhy_wall_get_length (wall);
  const RhyRing low = rhy_wall_at (wall, 0.0), high = rhy_wall_at (wall, length);
  return (PhotoSizes) { low.z_mm, high.z_mm - low.z_mm, low.r_mm, high.r_mm,
                        2.0 * rhy_wall_widest (wall, 0.0, length).r_mm };
}

static inline double
photo_true_diameter (const RhyWall *wall, double above_base_mm)
{
  const PhotoSizes sizes = photo_sizes (wall);
  RhyRing ring = { 0 };
  rhy_wall_at_height (wall, sizes.low_mm + CLAMP (above_base_mm, 0.0, sizes.height_mm), &ring);
  return 2.0 * ring.r_mm;
}

/* A camera somewhere between 400 and 2000 mm, but no nearer than three times the
 * vessel's size, with a little roll, aimed about the middle, and the vessel filling its frame. */
static inline void
photo_random_camera (PhotoScene *s, const RhyWall *wall, GRand *rand)
{
  const PhotoSizes sizes = photo_sizes (wall);
  s->distance_mm = MAX (400.0 * pow (5.0, g_rand_double (rand)), 3.0 * MAX (sizes.height_mm, sizes.width_mm));
  s->eye_mm = sizes.height_mm * g_rand_double_range (rand, 0.1, 1.2);
  s->aim_mm = sizes.height_mm * g_rand_double_range (rand, 0.4, 0.6);
  s->aside_mm = sizes.width_mm * g_rand_double_range (rand, -0.1, 0.1);
  s->roll_rad = g_rand_double_range (rand, -0.03, 0.03);
  s->focal_px = s->distance_mm * MIN (0.75 * s->height / sizes.height_mm, 0.65 * s->width / sizes.width_mm);
}

/* The outline itself, without a picture: extents of the mesh along rows (or, turned, columns). */
static inline void
photo_extents (const PhotoScene *s, const RhyWall *wall, gboolean turned, double *low, double *high)
{
  enum { RINGS = 300, SPOKES = 180 };
  RhyPoint rings[2][SPOKES];
  const PhotoScene lines = { .height = turned ? s->width : s->height };
  const PhotoSizes sizes = photo_sizes (wall);
  for (int i = 0; i < lines.height * PHOTO_SUB; i++)
    {
      low[i] = 1e9;
      high[i] = -1e9;
    }
  for (int j = 0; j < RINGS; j++)
    {
      const RhyRing at = rhy_wall_at (wall, rhy_wall_get_length (wall) * j / (RINGS - 1.0));
      RhyPoint *ring = rings[j % 2], *last = rings[1 - j % 2];
      for (int k = 0; k < SPOKES; k++)
        {
          const double angle = 2.0 * G_PI * k / SPOKES;
          /* The polygon of equal area: its edges lie half within, half without the ring. */
          const double r = at.r_mm * sqrt (2.0 * G_PI / SPOKES / sin (2.0 * G_PI / SPOKES));
          const RhyPoint p = photo_project (s, r * cos (angle), r * sin (angle), at.z_mm - sizes.low_mm);
          ring[k] = turned ? (RhyPoint) { p.y, p.x } : p;
        }
      for (int k = 0; k < SPOKES; k++)
        {
          photo_edge (&lines, ring[k], ring[(k + 1) % SPOKES], low, high);
          if (j > 0)
            photo_edge (&lines, last[k], ring[k], low, high);
        }
    }
}

static inline RhyOutline *
photo_outline (const PhotoScene *s, const RhyWall *wall, RhyPoint base, RhyPoint rim, gsize rows, double noise_px, GRand *rand)
{
  enum { POINTS = 31 };
  const PhotoSizes sizes = photo_sizes (wall);
  const double length = hypot (rim.x - base.x, rim.y - base.y);
  const gsize size = (gsize) MAX (s->width, s->height) * PHOTO_SUB;
  g_autofree double *low = g_new (double, size);
  g_autofree double *high = g_new (double, size);
  RhyOutline *o = g_new0 (RhyOutline, 1);
  *o = (RhyOutline) { .width = (guint) s->width, .height = (guint) s->height, .base = base, .rim = rim,
                      .mark_u_px = MAX (2.0, 0.003 * length), .n_rows = rows, .noise_px = noise_px,
                      .end_noise_px = { MAX (noise_px, 0.1), MAX (noise_px, 0.1) }, .blur_px = 1.0 };
  photo_extents (s, wall, FALSE, low, high);
  for (int k = 0; k < 2; k++)
    {
      o->side[k] = g_new (RhyPoint, rows);
      o->end[k] = g_new (RhyPoint, POINTS);
    }
  for (gsize i = 0; i < rows; i++)
    {
      const double y = base.y + (rim.y - base.y) * (-0.03 + 1.06 * (double) i / (double) (rows - 1));
      const int line = CLAMP ((int) floor (y * PHOTO_SUB), 0, s->height * PHOTO_SUB - 1);
      const gboolean has = low[line] < high[line];
      for (int k = 0; k < 2; k++)
        o->side[k][i] = has ? (RhyPoint) { (k == 0 ? low : high)[line] + noise_px * photo_normal (rand), (line + 0.5) / PHOTO_SUB }
                            : (RhyPoint) { NAN, NAN };
    }
  photo_extents (s, wall, TRUE, low, high);
  for (int e = 0; e < 2; e++)
    {
      const double half = (e == 0 ? sizes.base_r : sizes.rim_r) * s->focal_px / s->distance_mm;
      for (int i = 0; i < POINTS; i++)
        {
          const double x = (e == 0 ? base : rim).x + 0.8 * half * (2.0 * i / (POINTS - 1.0) - 1.0);
          const int line = CLAMP ((int) floor (x * PHOTO_SUB), 0, s->width * PHOTO_SUB - 1);
          /* Pictures count y downwards: the base is at the greatest. */
          o->end[e][i] = (RhyPoint) { (line + 0.5) / PHOTO_SUB, (e == 0 ? high : low)[line] + noise_px * photo_normal (rand) };
        }
      o->n_end[e] = POINTS;
    }
  return o;
}
