/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/artwork.h>
#include <rhyton/map.h>

/*
 * How much of the laid ink lies on other ink a whole number of turns further round.
 * @mm_per_rad: radius that makes arcs of angles
 * @turns: copies to try, 1 to @turns turns away
 * @cancellable: (nullable): looked at from copy to copy
 * @at: where the middle of the greatest overlap is
 * Returns the area, mm^2; negative if the shapes could not be worked on.
 */
double rhy_overlap_area (const RhyArtwork *artwork, const RhyMap *lay, double mm_per_rad, guint turns,
                         GCancellable *cancellable, RhyWallPoint *at);

/* Ink and how it is laid. */
typedef struct
{
  const RhyArtwork *artwork;
  const RhyMap     *lay;
} RhyOverlapInk;

/*
 * How much of one artwork's laid ink lies on another's, the other one @first to @last
 * turns further round; @at and what is returned as above.
 */
double rhy_overlap_between (const RhyOverlapInk *a, const RhyOverlapInk *b, double mm_per_rad, int first, int last,
                            GCancellable *cancellable, RhyWallPoint *at);
