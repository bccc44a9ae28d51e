/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/path.h>

G_BEGIN_DECLS

/* Bits row by row from the top, a byte each. */
typedef struct
{
  guint         width, height;
  const guint8 *ink;
} RhyBits;

/*
 * The outlines of the ink in bits, through @to (from their pixels, y down).
 * @speck: area of the largest speck left out, pixels; @corner: 0 to 4/3, potrace's alphamax; @slack: how
 * far a curve may be from the edge to be joined with the next, pixels. NULL with the error set where memory
 * runs out; where there is no potrace.
 */
RhyPath *rhy_potrace (const RhyBits *bits, int speck, double corner, double slack, RhyAffine to, GError **error);

G_END_DECLS
