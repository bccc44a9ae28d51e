/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* Rolling a sheet on a cone, and unrolling it: the kernels that the rolled lay
 * and the unroll map share. The sheet's point (x, y) is measured from the
 * anchor; a, ds are the angle and the slant from the anchor.
 */

#include <rhyton/space.h>

/* @r: radius of the cone at the anchor, mm. @n: its sine. */
typedef struct { double r, n; } RhyRoll;

void rhy_roll_on (RhyRoll roll, gsize n, const double *x, const double *y, double *ds, double *a);
void rhy_roll_off (RhyRoll roll, gsize n, const double *ds, const double *a, double *x, double *y);
