/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/paint.h>

G_BEGIN_DECLS

/* RhyGradient: a gradient paint made ready: the integral of its colour up to each stop. */
typedef struct _RhyGradient RhyGradient;

RhyGradient *rhy_gradient_new (const RhyPaint *paint);
void rhy_gradient_free (RhyGradient *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyGradient, rhy_gradient_free)

/*
 * Where on the gradient points are: their t in place of @x. @valid: (inout): not zero
 * where there is one.
 */
void rhy_gradient_places (const RhyGradient *self, gsize n, double *x, const double *y, guint8 *valid);

/*
 * The mean colour over @width of the gradient about @t, premultiplied, 0xAARRGGBB: over a dot's
 * extent along it, so that hard stops come out smooth and fine repeats grey.
 */
guint32 rhy_gradient_colour (const RhyGradient *self, double t, double width);

G_END_DECLS
