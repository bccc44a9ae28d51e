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
