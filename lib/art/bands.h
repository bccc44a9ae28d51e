/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/paint.h>
#include <rhyton/path.h>

G_BEGIN_DECLS

/* A part of a gradient in one shade, inside @path (owned, artwork's space) by the even-odd rule. */
typedef struct
{
  RhyPath  *path;
  RhyColour colour;
} RhyBand;

/*
 * rhy_paint_bands:
 * @box: where it is wanted
 * @shades: how many there are
 *
 * A gradient cut where its shade over white changes (and where its alpha passes a step of as
 * many), each band in the colour of its middle. They meet and do not overlap.
 *
 * Returns: (transfer full) (nullable): of #RhyBand, clears itself; %NULL where it has no such
 *   bands: one that repeats, circles that do not lie in each other, and ones that have collapsed
 */
GArray *rhy_paint_bands (const RhyPaint *paint, RhyBounds box, guint shades);

G_END_DECLS
