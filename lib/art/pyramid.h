/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <math.h>

#include <rhyton/paint.h>

G_BEGIN_DECLS

/* The filter: sinc (x) sinc (x/3) for |x| < 3, else 0; sinc (x) = sin (pi x)/(pi x). Zero
 * at whole numbers to the last bit. Source: Duchon 1979, J. Appl. Meteorology 18, eq. 18
 * with its window one lobe of a sinc. */
#define RHY_LOBES 3
double rhy_lanczos (double x);

/*
 * RhyPyramid: a picture and its halves, quarters and so on, each through the filter above,
 * so that wide filters need not visit every pixel. Level 0 is the picture itself. A
 * pixel of level k + 1 covers two by two of level k.
 */
typedef struct
{
  guint          width, height;
  const guint32 *pixels;
} RhyLevel;

#define RHY_KERNEL_STEPS 512    /* a pixel */

typedef struct
{
  RhyExtend extend;
  guint     n_levels;
  RhyLevel  levels[16];
  float     kernel[RHY_LOBES * RHY_KERNEL_STEPS + 2];
} RhyPyramid;

/* The filter from a table, within 2e-5; zero where it is. */
static inline float
rhy_pyramid_kernel (const RhyPyramid *self,
                    float             x)
{
  const float at = MIN (fabsf (x) * (float) RHY_KERNEL_STEPS, (float) (RHY_LOBES * RHY_KERNEL_STEPS));
  const int i = (int) at;
  return self->kernel[i] + (at - (float) i) * (self->kernel[i + 1] - self->kernel[i]);
}

/* @depth: the level wanted; fewer are made where a picture that repeats has an odd side. The raster
 * must live as long. */
RhyPyramid *rhy_pyramid_new (const RhyRaster *raster, RhyExtend extend, guint depth);
void rhy_pyramid_free (RhyPyramid *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyPyramid, rhy_pyramid_free)

/* Which of @n pixels in a row stands at place @i; -1: none. */
int rhy_extended (RhyExtend extend, int i, int n);

/* Filtered premultiplied sums over a weight of 1, as a pixel: alpha 0 to 255, colours 0 to alpha. */
guint32 rhy_pixel_of (const float sums[4]);

G_END_DECLS
