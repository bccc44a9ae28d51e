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
 * The colour over a dot at @p, gradient's own space; @dx, @dy: how far the neighbouring
 * dots are from it there. Premultiplied, 0xAARRGGBB; the mean over the dot's extent along
 * the gradient, so that hard stops come out smooth and fine repeats grey.
 */
guint32 rhy_gradient_colour (const RhyGradient *self, RhyPoint p, RhyPoint dx, RhyPoint dy);

G_END_DECLS
