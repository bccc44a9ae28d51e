/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/** RhySliceWay: which coordinate the cuts are at. */
typedef enum { RHY_SLICE_X, RHY_SLICE_Y } RhySliceWay;

/**
 * rhy_path_slice:
 * @low, @high: what to keep, between; may be infinite
 *
 * The part of a filled path between two parallel cuts, by either fill rule. Curves are cut where they
 * cross, so that what is kept of them is the curve itself; new edges lie on the cuts alone. Slices
 * that share a cut share its points, so that they meet and do not overlap. Open subpaths that are
 * cut are closed, as fills have them.
 *
 * Returns: (transfer full): without a verb where nothing lies between
 */
RHY_API
RhyPath *rhy_path_slice (const RhyPath *self, RhySliceWay way, double low, double high);

/**
 * rhy_artwork_slice:
 *
 * Returns: (transfer full): the areas filled with one colour between two cuts, in order, clips
 *   kept; neither lines nor pictures
 */
RHY_API
RhyArtwork *rhy_artwork_slice (RhyArtwork *self, RhySliceWay way, double low, double high);

/** rhy_artwork_pictures: Returns: (transfer full): what is filled with more than one colour, without lines. */
RHY_API
RhyArtwork *rhy_artwork_pictures (RhyArtwork *self);

/** rhy_artwork_lines: Returns: (transfer full): what is stroked, without its fill. */
RHY_API
RhyArtwork *rhy_artwork_lines (RhyArtwork *self);

G_END_DECLS
