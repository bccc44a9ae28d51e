/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "scene-private.h"

#include <math.h>
#include <string.h>

#include "../art/late-cairo.h"
#include "../shape/parallel.h"

typedef float v4 __attribute__ ((vector_size (16)));
typedef int v4i __attribute__ ((vector_size (16)));

/* --- looking at the texture ----------------------------------------------- */

/* Pixels are mixed two channels at a time, in whole numbers: every second byte of
 * a word has room above it for a product with 256. */
typedef struct { guint32 rb, ag; } Mix;

static inline Mix
mix_words (guint32 a,
           guint32 b,
           guint32 w)           /* of b, of 256 */
{
  return (Mix) { (((a & 0xff00ffu) * (256 - w) + (b & 0xff00ffu) * w) >> 8) & 0xff00ffu,
                 ((((a >> 8) & 0xff00ffu) * (256 - w) + ((b >> 8) & 0xff00ffu) * w) >> 8) & 0xff00ffu };
}

static inline Mix
mix (Mix     a,
     Mix     b,
     guint32 w)
{
  return (Mix) { ((a.rb * (256 - w) + b.rb * w) >> 8) & 0xff00ffu, ((a.ag * (256 - w) + b.ag * w) >> 8) & 0xff00ffu };
}

static Mix
texel (const RhyTexture *texture,
       int               level,
       float             x,
       float             y)
{
  const int w = texture->width[level];
  const int h = texture->height[level];
  const float inverse = 1.0f / (float) (1 << level);
  /* In 1/256 of a pixel; a shift of a negative number rounds down, as floor() does. */
  const int fx = (int) ((x * inverse + 0.5f) * 256.0f) - 256;
  const int fy = (int) ((y * inverse + 0.5f) * 256.0f) - 256;
  int x0 = fx >> 8;
  int x1 = x0 + 1;
  int y0 = fy >> 8;
  int y1 = y0 + 1;
  if ((guint) x0 >= (guint) (w - 1) || (guint) y0 >= (guint) (h - 1))
    {
      if (texture->wraps)
        {
          x0 = x0 < 0 ? x0 + w : x0 >= w ? x0 - w : x0;
          x1 = x1 >= w ? x1 - w : x1 < 0 ? x1 + w : x1;
        }
      x0 = CLAMP (x0, 0, w - 1);
      x1 = CLAMP (x1, 0, w - 1);
      y0 = CLAMP (y0, 0, h - 1);
      y1 = CLAMP (y1, 0, h - 1);
    }
  const guint32 *a = texture->pixels[level] + (gsize) w * (gsize) y0;
  const guint32 *b = texture->pixels[level] + (gsize) w * (gsize) y1;
  if ((a[x0] | a[x1] | b[x0] | b[x1]) == 0)
    return (Mix) { 0, 0 };
  const guint32 p = (guint32) fx & 255;
  return mix (mix_words (a[x0], a[x1], p), mix_words (b[x0], b[x1], p), (guint32) fy & 255);
}

static Mix
between_levels (const RhyTexture *texture,
                float             level,
                float             x,
                float             y)
{
  const int k = (int) level;
  if (k >= texture->n_levels - 1)
    return texel (texture, texture->n_levels - 1, x, y);
  const guint32 w = (guint32) ((level - (float) k) * 256.0f);
  const Mix fine = texel (texture, k, x, y);
  return w == 0 ? fine : mix (fine, texel (texture, k + 1, x, y), w);
}

/* The power of two in a number >= 1, with the rest run straight between powers:
 * 0.09 off at most, and one level's blend is no sharper than that. */
static inline float
rough_log2 (float v)
{
  union { float f; guint32 u; } bits = { .f = v };
  return (float) (int) (bits.u - 0x3f800000u) * (1.0f / 8388608.0f);
}

/* A pixel covers a long thin patch of the wall near the silhouette: several
 * samples along its length, at the coarseness of its width. */
#define MOST_TAPS 6

typedef struct { float x, y; } Step;

/* Returns: premultiplied B, G, R, A, 0 to 255. */
static v4
look_up (const RhyTexture *texture,
         float             x,
         float             y,
         Step              across,
         Step              down)
{
  float major2 = across.x * across.x + across.y * across.y;
  const float other2 = down.x * down.x + down.y * down.y;
  Step axis = across;
  if (other2 > major2)
    {
      major2 = other2;
      axis = down;
    }
  const v4 nothing = { 0.0f, 0.0f, 0.0f, 0.0f };
  if (major2 < 1024.0f && !texture->cells[((int) y >> 5) * texture->cells_across + ((int) x >> 5)])
    return nothing;
  const float major = sqrtf (major2);
  /* Width across the long axis, not the other step's length: the two are rarely square. */
  const float minor = MAX (fabsf (across.x * down.y - across.y * down.x) / MAX (major, 1e-6f), 1.0f);
  if (major <= 1.5f * minor)
    {
      const Mix one = between_levels (texture, rough_log2 (MAX (0.5f * (major + minor), 1.0f)), x, y);
      return (v4) { (float) (one.rb & 0xffff), (float) (one.ag & 0xffff), (float) (one.rb >> 16), (float) (one.ag >> 16) };
    }

  const int taps = (int) MIN (ceilf (major / minor), (float) MOST_TAPS);
  const float level = rough_log2 (MAX (minor, major / MOST_TAPS));
  const float width = (float) texture->width[0];
  Mix sum = { 0, 0 };
  for (int i = 0; i < taps; i++)
    {
      const float k = ((float) i + 0.5f) / (float) taps - 0.5f;
      float sx = x + k * axis.x;
      if (texture->wraps)
        sx = sx < 0.0f ? sx + width : sx >= width ? sx - width : sx;
      const Mix one = between_levels (texture, level, CLAMP (sx, 0.0f, width),
                                      CLAMP (y + k * axis.y, 0.0f, (float) texture->height[0]));
      sum.rb += one.rb;
      sum.ag += one.ag;
    }
  const v4 total = { (float) (sum.rb & 0xffff), (float) (sum.ag & 0xffff), (float) (sum.rb >> 16), (float) (sum.ag >> 16) };
  return total * (1.0f / (float) taps);
}

/* --- shading -------------------------------------------------------------- */

typedef struct
{
  const RhyScene   *scene;
  const RhyLathe   *lathe;
  const RhyTexture *texture;
  RhyEye            eye;
  float             turn;
  gboolean          dark;
  guint8           *pixels;
  int               width, height, stride;
  int               left, top, right, bottom;   /* pixels that are painted: up to right, bottom */
  float             s_end;
  float             tick_reach;         /* mm of the wall from either end */
  float             rise;               /* 1 over the height that the table darkens */
  float             shadow_fade;
  int               shadow_top, shadow_bottom;  /* rows it may fall on */
} Picture;

/* What a row's rays met, worked out together so that the sums run as vectors. */
typedef struct
{
  float x[RHY_LANES], z[RHY_LANES];
  float nearer[RHY_LANES];                      /* -uy */
  float r[RHY_LANES], ux[RHY_LANES], uy[RHY_LANES];
  float s[RHY_LANES], sin[RHY_LANES], cos[RHY_LANES];
  float right[RHY_LANES], up[RHY_LANES];        /* of the outward normal, as the eye sees it */
  float around[RHY_LANES];                      /* from the side that faces the eye */
  float tx[RHY_LANES], ty[RHY_LANES];           /* in the texture */
  float ax[RHY_LANES], ay[RHY_LANES];           /* texture covered by a pixel to the right, */
  float bx[RHY_LANES], by[RHY_LANES];           /* and by one up */
  float shadow[RHY_LANES];
} __attribute__ ((aligned (32))) Surface;

/* atan2 of many unit vectors, to 2e-6 rad, a tenth of a micron on a mug: an odd
 * polynomial of the smaller over the larger. Source: derived here (least squares
 * at Chebyshev nodes on [0, 1]). No branch, so that it runs as vectors. */
RHY_RAYS static void
angles_of (int          n,
           const float *restrict y,
           const float *restrict x,
           float       *restrict angle)
{
  for (int k = 0; k < n; k++)
    {
      const float ax = fabsf (x[k]);
      const float ay = fabsf (y[k]);
      const float small = ax < ay ? ax : ay;
      const float large = ax < ay ? ay : ax;
      const float q = small / (large + 1e-20f);
      const float q2 = q * q;
      const float p = q * (0.99999611f + q2 * (-0.33317376f + q2 * (0.19807869f + q2 * (-0.13233510f
                           + q2 * (0.07962632f + q2 * (-0.03360627f + q2 * 0.00681246f))))));
      const float up = ax < ay ? (float) G_PI_2 - p : p;
      const float side = x[k] < 0.0f ? (float) G_PI - up : up;
      angle[k] = y[k] < 0.0f ? -side : side;
    }
}

static inline float
light_at (const RhyScene *scene,
          float           x,
          float           y)
{
  const float fx = (x * 0.5f + 0.5f) * (RHY_SCENE_BALL - 1);
  const float fy = (y * 0.5f + 0.5f) * (RHY_SCENE_BALL - 1);
  const int i = CLAMP ((int) fx, 0, RHY_SCENE_BALL - 2);
  const int j = CLAMP ((int) fy, 0, RHY_SCENE_BALL - 2);
  const float p = fx - (float) i;
  const float q = fy - (float) j;
  const float *l = scene->light + j * RHY_SCENE_BALL + i;
  const float a = l[0] + (l[1] - l[0]) * p;
  const float b = l[RHY_SCENE_BALL] + (l[RHY_SCENE_BALL + 1] - l[RHY_SCENE_BALL]) * p;
  return a + (b - a) * q;
}

static inline v4
grey (float light)
{
  /* B, G, R, A: metal is a little cool; never as bright as to run over a byte. */
  const float l = MIN (light, 0.99f);
  return (v4) { l * 257.0f, l * 253.0f, l * 249.0f, 255.0f };
}

static v4
background (const Picture *pic,
            float          row)
{
  const float down = row / (float) pic->height;
  const v4 light = { 251.0f - 22.0f * down, 249.0f - 24.0f * down, 247.0f - 27.0f * down, 255.0f };
  const v4 dark = { 52.0f - 20.0f * down, 47.0f - 19.0f * down, 44.0f - 18.0f * down, 255.0f };
  return pic->dark ? dark : light;
}

/* A soft shadow on the table that the vessel stands on: dark out to three
 * quarters of the base, gone at a little over its double. */
#define SHADOW_ASIDE 0.12f

static inline float
shadow_reach (const RhyLathe *l)
{
  return 1.15f * l->r_base + 0.08f * (float) l->reach;
}

RHY_RAYS static G_GNUC_NO_INLINE void
cast_shadow (const Picture *pic,
             int            n,
             const RhyRays *restrict rays,
             float         *restrict shadow)
{
  const RhyLathe *l = pic->lathe;
  const float inverse = 1.0f / shadow_reach (l);
  const float aside = SHADOW_ASIDE * l->r_base;
  const float dark = pic->shadow_fade * (pic->dark ? 0.55f : 0.34f);
  for (int k = 0; k < n; k++)
    {
      const float dz = MIN (rays->dz[k], -1e-3f);
      const float t = (l->z_base - rays->oz[k]) / dz;
      const float x = rays->ox[k] + t * rays->dx[k] - aside;
      const float y = rays->oy[k] + t * rays->dy[k];
      const float far = 1.0f - (sqrtf (x * x + y * y) - 0.75f * l->r_base) * inverse;
      const float q = far > 0.0f ? MIN (far, 1.0f) : 0.0f;
      shadow[k] = 1.0f - dark * q * q * (3.0f - 2.0f * q);
    }
}

static void
find_shadow_rows (Picture *pic)
{
  const RhyLathe *l = pic->lathe;
  const double r = 0.75 * l->r_base + shadow_reach (l) + SHADOW_ASIDE * l->r_base;
  double px, front, back, side;
  pic->shadow_fade = CLAMP ((pic->eye.sin_lift - 0.02f) * 8.0f, 0.0f, 1.0f);
  pic->shadow_top = pic->shadow_bottom = 0;
  if (pic->shadow_fade <= 0.0f)
    return;
  rhy_eye_project (&pic->eye, 0.0, -r, l->z_base, &px, &front);
  rhy_eye_project (&pic->eye, 0.0, r, l->z_base, &px, &back);
  rhy_eye_project (&pic->eye, r, 0.0, l->z_base, &px, &side);
  pic->shadow_top = (int) CLAMP (floor (MIN (MIN (front, back), side)) - 1.0, 0.0, (double) pic->height);
  pic->shadow_bottom = (int) CLAMP (ceil (MAX (MAX (front, back), side)) + 1.0, 0.0, (double) pic->height);
}

static gboolean
row_has_shadow (const Picture *pic,
                int            y)
{
  return y >= pic->shadow_top && y < pic->shadow_bottom;
}

/* Where each ray's wall is in the texture, and how much of it a pixel covers. A
 * step of a mm around and up the wall moves (ar, au) and (sr, su) mm in the
 * picture; the inverse turns pixels into wall. */
RHY_RAYS static G_GNUC_NO_INLINE void
find_in_texture (const Picture *pic,
                 int            n,
                 Surface       *restrict f)
{
  const RhyTexture *texture = pic->texture;
  const float sin_lift = pic->eye.sin_lift;
  const float cos_lift = pic->eye.cos_lift;
  const float turn = (float) remainder (pic->turn - texture->angle_mid, 2.0 * G_PI);
  const float half = 0.5f * (float) texture->width[0];
  const float per_rad = (float) texture->per_rad;
  const float per_mm = (float) texture->per_mm;
  const float s_top = (float) texture->s_top;
  const float px = 1.0f / pic->eye.per_mm;

  for (int k = 0; k < n; k++)
    {
      /* Both parts are within half a turn: one turn more or less brings the sum in. */
      const float sum = f->around[k] + turn;
      const float low = sum < (float) -G_PI ? sum + (float) (2.0 * G_PI) : sum;
      const float in = low > (float) G_PI ? low - (float) (2.0 * G_PI) : low;
      const float au = f->ux[k] * sin_lift;
      const float ar = -f->uy[k];
      const float sr = f->ux[k] * f->sin[k];
      const float su = f->uy[k] * f->sin[k] * sin_lift + f->cos[k] * cos_lift;
      const float det = ar * su - au * sr;
      const float size = fabsf (det) < 0.02f ? 0.02f : fabsf (det);
      const float q = px / (det < 0.0f ? -size : size);
      const float col = per_rad * q / (f->r[k] + 1e-6f);
      f->tx[k] = half + in * per_rad;
      f->ty[k] = (s_top - f->s[k]) * per_mm;
      f->ax[k] = su * col;
      f->ay[k] = au * per_mm * q;
      f->bx[k] = -sr * col;
      f->by[k] = -ar * per_mm * q;
    }
}

/* Not inlined: within a larger function the loops are no longer made vectors. */
RHY_RAYS static G_GNUC_NO_INLINE void
survey (const Picture *pic,
        int            n,
        gboolean       shadowed,
        const RhyRays *restrict rays,
        const RhyHits *restrict hits,
        Surface       *restrict f)
{
  const float sin_lift = pic->eye.sin_lift;
  const float cos_lift = pic->eye.cos_lift;

  for (int k = 0; k < n; k++)
    {
      /* Of what is no band only the place is asked. */
      const RhyBand *band = &pic->lathe->bands[MAX (hits->met[k], 0)];
      const float z = rays->oz[k] + hits->t[k] * rays->dz[k];
      const float dz = z - band->z0;
      f->z[k] = z;
      f->s[k] = band->s0 + dz * band->s_per_z;
      f->sin[k] = band->sin0 + dz * band->sin_per_z;
      f->cos[k] = band->cos0 + dz * band->cos_per_z;
    }
  for (int k = 0; k < n; k++)
    {
      const float x = rays->ox[k] + hits->t[k] * rays->dx[k];
      const float y = rays->oy[k] + hits->t[k] * rays->dy[k];
      const float r = sqrtf (x * x + y * y);
      const float inverse = 1.0f / (r + 1e-6f);
      f->x[k] = x;
      f->r[k] = r;
      f->ux[k] = x * inverse;
      f->uy[k] = y * inverse;
      f->nearer[k] = -y * inverse;
      f->right[k] = x * inverse * f->cos[k];
      f->up[k] = y * inverse * f->cos[k] * sin_lift - f->sin[k] * cos_lift;
    }
  angles_of (n, f->ux, f->nearer, f->around);
  find_in_texture (pic, n, f);
  if (shadowed)
    cast_shadow (pic, n, rays, f->shadow);
}

/* A fine line on the wall at the front, by the rim and by the base: which way
 * round the vessel stands. */
static float
front_tick (const Picture *pic,
            float          from_end,
            float          turn,
            float          r)
{
  const float around_mm = fabsf (turn - (float) (2.0 * G_PI) * rintf (turn * (float) (0.5 / G_PI))) * r;
  const float px = 1.0f / pic->eye.per_mm;
  if (around_mm > 0.2f + px)
    return 0.0f;
  const float across = CLAMP ((0.18f - around_mm) / px + 0.5f, 0.0f, 1.0f) * MIN (1.0f, 0.36f / px + 0.35f);
  const float along = CLAMP ((4.0f - from_end) / px + 0.5f, 0.0f, 1.0f);
  return 0.55f * across * along;
}

static v4
shade_outside (const Picture *pic,
               const Surface *f,
               int            k)
{
  const float low = MIN ((f->z[k] - pic->lathe->z_base) * pic->rise, 1.0f);
  const float light = light_at (pic->scene, f->right[k], f->up[k]) * (0.90f + 0.10f * low * (2.0f - low));
  v4 colour = grey (light);

  const float from_end = MIN (f->s[k], pic->s_end - f->s[k]);
  if (from_end < pic->tick_reach)
    {
      const float tick = front_tick (pic, from_end, f->around[k] + pic->turn, f->r[k]);
      colour = colour * (1.0f - tick) + (v4) { 0.0f, 0.0f, 0.0f, 255.0f } * tick;
    }

  const RhyTexture *texture = pic->texture;
  const float tx = f->tx[k];
  const float ty = f->ty[k];
  if (!(ty >= 0.0f && ty < (float) texture->height[0] && tx >= 0.0f && tx < (float) texture->width[0]))
    return colour;
  const v4 ink = look_up (texture, tx, ty, (Step) { f->ax[k], f->ay[k] }, (Step) { f->bx[k], f->by[k] });
  if (ink[3] <= 0.0f)
    return colour;
  /* Ink is matt: it takes the light's broad run, not the window. */
  const float matt = CLAMP (0.55f + 0.62f * light, 0.6f, 1.0f);
  return ink * matt + colour * (1.0f - ink[3] * (1.0f / 255.0f));
}

static v4
shade_inside (const Picture *pic,
              const Surface *f,
              int            k)
{
  const float depth = (pic->lathe->z_rim - f->z[k]) / pic->lathe->r_mouth;
  return grey (light_at (pic->scene, -f->right[k], -f->up[k]) * (0.38f + 0.48f * expf (-1.1f * depth)));
}

static v4
shade_disc (const Picture *pic,
            const Surface *f,
            int            k,
            gint32         met)
{
  const RhyLathe *l = pic->lathe;
  const float x = f->x[k] / l->r_rim;
  if (met == RHY_MET_RIM)
    return grey (0.84f + 0.10f * (x < 0.0f ? -x : -0.4f * x));
  if (met == RHY_MET_BASE)
    return grey (0.42f - 0.10f * f->r[k] * f->r[k] / (l->r_base * l->r_base));
  return grey (0.62f * (0.38f + 0.48f * expf (-1.1f * (l->z_rim - l->z_floor) / l->r_mouth)));
}

static v4
shade (const Picture *pic,
       const RhyHits *hits,
       const Surface *f,
       int            k,
       int            row)
{
  const gint32 met = hits->met[k];
  if (met >= 0 && met < pic->lathe->n_outside)
    return shade_outside (pic, f, k);
  if (met == RHY_MET_NOTHING)
    return background (pic, (float) row + 0.5f) * (row_has_shadow (pic, row) ? f->shadow[k] : 1.0f);
  return met < 0 ? shade_disc (pic, f, k, met) : shade_inside (pic, f, k);
}

static inline guint32
pack (v4 c)
{
  const v4i i = __builtin_convertvector (c + 0.5f, v4i);
  return 0xff000000u | (guint32) i[2] << 16 | (guint32) i[1] << 8 | (guint32) i[0];
}

/* --- rendering ------------------------------------------------------------ */

#define STRIP 38                /* columns a strip; one more on each side to see edges */
#define LANES_USED 40           /* STRIP + 2, up to a multiple of the vector */
#define SUB 4                   /* an edge pixel is SUB x SUB rays */

/* What tells surfaces apart: the same solid's outside, inside, rim ... */
static inline int
surface_of (const Picture *pic,
            gint32         met)
{
  return met < 0 ? met : met < pic->lathe->n_outside ? 0 : 1;
}

static inline gboolean
differs (const Picture *pic,
         const RhyHits *a,
         int            i,
         const RhyHits *b,
         int            j,
         float          jump)
{
  return surface_of (pic, a->met[i]) != surface_of (pic, b->met[j])
         || (a->met[i] != RHY_MET_NOTHING && fabsf (a->t[i] - b->t[j]) > jump);
}

typedef struct
{
  const guint16 *items;
  int            n;
} List;

static List
list_of (const RhyRows *rows,
         int            height,
         int            y)
{
  if (y < 0 || y >= height)
    return (List) { NULL, 0 };
  return (List) { rows->items + rows->start[y], (int) (rows->start[y + 1] - rows->start[y]) };
}

static void
trace_row (const Picture *pic,
           const RhyRows *rows,
           const float   *a,
           int            y,
           RhyRays       *rays,
           RhyHits       *hits)
{
  float b[RHY_LANES];
  const List list = list_of (rows, pic->height, y);
  for (int k = 0; k < LANES_USED; k++)
    b[k] = (pic->eye.centre_y - ((float) y + 0.5f)) / pic->eye.per_mm;
  rhy_eye_aim (&pic->eye, LANES_USED, a, b, rays);
  rhy_lathe_trace (pic->lathe, &pic->eye, list.items != NULL ? list.items : (const guint16 *) "", list.n,
                   LANES_USED, rays, hits);
}

static guint32
edge_pixel (const Picture *pic,
            const RhyRows *rows,
            int            x,
            int            y)
{
  float a[RHY_LANES], b[RHY_LANES];
  RhyRays rays;
  RhyHits hits;
  for (int k = 0; k < SUB * SUB; k++)
    {
      const float sx = (float) x + ((float) (k % SUB) + 0.5f) / SUB;
      const float sy = (float) y + ((float) (k / SUB) + 0.5f) / SUB;
      a[k] = (sx - pic->eye.centre_x) / pic->eye.per_mm;
      b[k] = (pic->eye.centre_y - sy) / pic->eye.per_mm;
    }
  const List list = list_of (rows, pic->height, y);
  rhy_eye_aim (&pic->eye, SUB * SUB, a, b, &rays);
  rhy_lathe_trace (pic->lathe, &pic->eye, list.items, list.n, SUB * SUB, &rays, &hits);

  Surface surface;
  survey (pic, SUB * SUB, row_has_shadow (pic, y), &rays, &hits, &surface);
  v4 sum = { 0.0f, 0.0f, 0.0f, 0.0f };
  for (int k = 0; k < SUB * SUB; k++)
    sum += shade (pic, &hits, &surface, k, y);
  return pack (sum * (1.0f / (SUB * SUB)));
}

static void
render_empty_row (const Picture *pic,
                  int            x0,
                  int            x1,
                  int            y,
                  const float   *a)
{
  guint32 *out = (guint32 *) (void *) (pic->pixels + (gsize) pic->stride * (gsize) y);
  const v4 colour = background (pic, (float) y + 0.5f);
  const guint32 plain = pack (colour);
  if (!row_has_shadow (pic, y))
    {
      for (int x = x0; x < x1; x++)
        out[x] = plain;
      return;
    }
  float b[RHY_LANES], shadow[RHY_LANES];
  RhyRays rays;
  for (int k = 0; k < LANES_USED; k++)
    b[k] = (pic->eye.centre_y - ((float) y + 0.5f)) / pic->eye.per_mm;
  rhy_eye_aim (&pic->eye, LANES_USED, a, b, &rays);
  cast_shadow (pic, LANES_USED, &rays, shadow);
  for (int x = x0; x < x1; x++)
    out[x] = shadow[x - x0 + 1] == 1.0f ? plain : pack (colour * shadow[x - x0 + 1]);
}

static void
render_strip (const Picture *pic,
              int            strip)
{
  const int x0 = strip * STRIP;
  const int x1 = MIN (x0 + STRIP, pic->width);
  const float jump = 10.0f / pic->eye.per_mm;
  float a[RHY_LANES];
  RhyRays rays[3];
  RhyHits hits[3];
  Surface surface;
  RhyRows rows;

  for (int k = 0; k < LANES_USED; k++)
    a[k] = ((float) (x0 + k - 1) + 0.5f - pic->eye.centre_x) / pic->eye.per_mm;
  rhy_lathe_list_rows (pic->lathe, &pic->eye, LANES_USED, a, pic->height, &rows);

  const int first = MAX (rows.top, pic->top);
  if (first < rows.bottom)
    {
      trace_row (pic, &rows, a, first - 1, &rays[(first + 2) % 3], &hits[(first + 2) % 3]);
      trace_row (pic, &rows, a, first, &rays[first % 3], &hits[first % 3]);
    }
  for (int y = pic->top; y < pic->bottom; y++)
    {
      if (y < rows.top || y >= rows.bottom)
        {
          render_empty_row (pic, x0, x1, y, a);
          continue;
        }
      const int here = y % 3;
      const int below = (y + 1) % 3;
      const int above = (y + 2) % 3;
      trace_row (pic, &rows, a, y + 1, &rays[below], &hits[below]);
      survey (pic, LANES_USED, row_has_shadow (pic, y), &rays[here], &hits[here], &surface);
      guint32 *out = (guint32 *) (void *) (pic->pixels + (gsize) pic->stride * (gsize) y);
      for (int x = x0; x < x1; x++)
        {
          const int k = x - x0 + 1;
          const RhyHits *h = &hits[here];
          if (differs (pic, h, k, h, k - 1, jump) || differs (pic, h, k, h, k + 1, jump)
              || differs (pic, h, k, &hits[above], k, jump) || differs (pic, h, k, &hits[below], k, jump))
            out[x] = edge_pixel (pic, &rows, x, y);
          else
            out[x] = pack (shade (pic, h, &surface, k, y));
        }
    }
  rhy_rows_clear (&rows);
}

/* Each strip writes its own columns only. */
static void
render_piece (guint    i,
              gpointer data)
{
  const Picture *pic = data;
  render_strip (pic, pic->left / STRIP + (int) i);
}

/* The scale of the stretch map, in the lower left corner. */
static void
draw_scale (const RhyScene *self,
            const Picture  *pic)
{
  const double unit = MAX (pic->height / 60.0, 7.0);
  cairo_surface_t *surface = cairo_image_surface_create_for_data (pic->pixels, CAIRO_FORMAT_ARGB32, pic->width,
                                                                  pic->height, pic->stride);
  cairo_t *cr = cairo_create (surface);
  const double x = 1.6 * unit;
  const double y = pic->height - 3.4 * unit;
  const double w = 18.0 * unit;
  const double text = pic->dark ? 0.92 : 0.15;
  const RhyStretchRange range = *rhy_plan_get_stretch (self->plan);
  const double reach_percent = rhy_scene_stretch_end (self->plan);
  char low[G_ASCII_DTOSTR_BUF_SIZE], high[G_ASCII_DTOSTR_BUF_SIZE];

  cairo_pattern_t *ramp = cairo_pattern_create_linear (x, 0.0, x + w, 0.0);
  for (int i = 0; i <= 24; i++)
    {
      double rgb[3];
      rhy_scene_stretch_colour (i / 12.0 - 1.0, rgb);
      cairo_pattern_add_color_stop_rgb (ramp, i / 24.0, rgb[0], rgb[1], rgb[2]);
    }
  cairo_set_source (cr, ramp);
  cairo_rectangle (cr, x, y, w, unit);
  cairo_fill (cr);
  cairo_pattern_destroy (ramp);
  cairo_set_source_rgb (cr, text, text, text);
  cairo_set_line_width (cr, 1.0);
  cairo_rectangle (cr, x, y, w, unit);
  cairo_stroke (cr);
  cairo_select_font_face (cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size (cr, 1.15 * unit);
  for (int i = -1; i <= 1; i++)
    {
      g_ascii_formatd (low, sizeof low, "%g", i * reach_percent);
      g_autofree char *label = i == 0 ? g_strdup ("true") : g_strdup_printf (i < 0 ? "%s %%" : "+%s %%", low);
      cairo_text_extents_t e;
      cairo_text_extents (cr, label, &e);
      const double at = x + 0.5 * w * (i + 1);
      cairo_move_to (cr, i < 0 ? at : i == 0 ? at - 0.5 * e.x_advance : at - e.x_advance, y + 2.3 * unit);
      cairo_show_text (cr, label);
    }
  const double least = 100.0 * (range.minor_min - 1.0);
  const double most = 100.0 * (range.major_max - 1.0);
  g_autofree char *title = NULL;
  if (fabs (least) < 0.05 && fabs (most) < 0.05)
    title = g_strdup ("No stretch under the ink");
  else
    {
      g_ascii_formatd (low, sizeof low, "%+.1f", least);
      g_ascii_formatd (high, sizeof high, "%+.1f", most);
      title = g_strdup_printf ("Stretch under the ink: %s %% to %s %%", low, high);
    }
  cairo_move_to (cr, x, y - 0.8 * unit);
  cairo_show_text (cr, title);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

/* --- what a drag changes ---------------------------------------------------- */

static gboolean
is_same_lathe (const RhyLathe *a,
               const RhyLathe *b)
{
  return a->n_bands == b->n_bands && a->n_outside == b->n_outside && a->z_middle == b->z_middle && a->reach == b->reach
         && a->r_widest == b->r_widest && a->z_base == b->z_base && a->r_base == b->r_base && a->z_rim == b->z_rim
         && a->r_rim == b->r_rim && a->r_mouth == b->r_mouth && a->z_floor == b->z_floor && a->r_floor == b->r_floor
         && memcmp (a->bands, b->bands, sizeof (RhyBand) * (gsize) a->n_bands) == 0;
}

/* Samples of a texture's patch of the wall, each way. Between two of them a silhouette bulges by
 * r (1 - cos (pi/64)) at most, a thousandth of the radius. */
#define PATCH_SAMPLES 65
#define PATCH_SLACK_PX 4.0

/* Where a texture is seen, whatever stands before it. */
static RhyBounds
patch_seen (const Picture    *pic,
            const RhyTexture *texture,
            RhyBounds         seen)
{
  RhyWall *wall = rhy_plan_get_wall (pic->scene->plan);
  if (texture->n_levels == 0 || texture->width[0] == 0)
    return seen;
  const double half = texture->wraps ? G_PI : MIN (0.5 * texture->width[0] / texture->per_rad, G_PI);
  const double s_low = MAX (texture->s_top - texture->height[0] / texture->per_mm, 0.0), s_high = MIN (texture->s_top, pic->s_end);
  for (int j = 0; j < PATCH_SAMPLES; j++)
    {
      const RhyRing ring = rhy_wall_at (wall, s_low + (s_high - s_low) * j / (PATCH_SAMPLES - 1));
      for (int i = 0; i < PATCH_SAMPLES; i++)
        {
          const double around = texture->angle_mid - (double) pic->turn + half * (2.0 * i / (PATCH_SAMPLES - 1) - 1.0);
          double x, y;
          rhy_eye_project (&pic->eye, ring.r_mm * sin (around), -ring.r_mm * cos (around), ring.z_mm - pic->lathe->z_middle, &x, &y);
          seen = rhy_bounds_with (seen, x, y);
        }
    }
  return seen;
}

static void
narrow (Picture          *pic,
        const RhyTexture *before)
{
  const RhyBounds seen = patch_seen (pic, before, patch_seen (pic, pic->texture, RHY_BOUNDS_EMPTY));
  pic->right = pic->bottom = 0;
  if (rhy_bounds_is_empty (seen))
    return;
  const double slack = PATCH_SLACK_PX + 0.002 * pic->lathe->r_widest * (double) pic->eye.per_mm;
  pic->left = (int) CLAMP (floor (seen.min_x - slack), 0.0, pic->width);
  pic->right = (int) CLAMP (ceil (seen.max_x + slack), 0.0, pic->width);
  pic->top = (int) CLAMP (floor (seen.min_y - slack), 0.0, pic->height);
  pic->bottom = (int) CLAMP (ceil (seen.max_y + slack), 0.0, pic->height);
}

void
rhy_scene_render_after (const RhyScene        *self,
                        const RhyScene        *before,
                        const RhyCamera       *camera,
                        const RhySceneOptions *options,
                        guint8                *pixels,
                        int                    width,
                        int                    height,
                        int                    stride)
{
  g_return_if_fail (self != NULL && camera != NULL && pixels != NULL);
  g_return_if_fail (width > 0 && height > 0 && stride >= 4 * width && stride % 4 == 0);

  const RhySceneOptions defaults = RHY_SCENE_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  const RhySceneSkin skin = !options->stretch ? RHY_SCENE_SKIN_PLAIN : options->circles ? RHY_SCENE_SKIN_CIRCLES : RHY_SCENE_SKIN_STRETCH;
  Picture pic = {
    .scene = self,
    .lathe = self->lathe,
    .texture = rhy_scene_get_skin ((RhyScene *) self, skin),
    .eye = rhy_eye_new (self->lathe, camera, width, height),
    .turn = isfinite (camera->turn_rad) ? (float) remainder (camera->turn_rad, 2.0 * G_PI) : 0.0f,
    .dark = options->dark,
    .pixels = pixels, .width = width, .height = height, .stride = stride,
    .right = width, .bottom = height,
    .rise = (float) (2.0 / self->lathe->reach),
    .s_end = (float) rhy_wall_get_length (rhy_plan_get_wall (self->plan)),
  };
  pic.tick_reach = 4.0f + 1.0f / pic.eye.per_mm;
  find_shadow_rows (&pic);
  /* The scale of a stretch map tells of all the artwork. */
  if (before != NULL && !options->stretch && is_same_lathe (self->lathe, before->lathe))
    narrow (&pic, rhy_scene_get_skin ((RhyScene *) before, skin));
  if (pic.left < pic.right && pic.top < pic.bottom)
    rhy_parallel ((guint) ((pic.right + STRIP - 1) / STRIP - pic.left / STRIP), options->threads, render_piece, &pic);
  if (options->stretch)
    draw_scale (self, &pic);
}

void
rhy_scene_render (const RhyScene        *self,
                  const RhyCamera       *camera,
                  const RhySceneOptions *options,
                  guint8                *pixels,
                  int                    width,
                  int                    height,
                  int                    stride)
{
  rhy_scene_render_after (self, NULL, camera, options, pixels, width, height, stride);
}
