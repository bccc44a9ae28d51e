/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/photo-profile.h>
#include <rhyton/raster.h>

G_BEGIN_DECLS

/**
 * rhy_silhouette_find:
 * @picture: an empty vessel against a plain background, all of it within the frame
 * @base, @rim: about where its axis meets the level of base and rim; pixels, x right,
 *   y down, (0, 0) the upper left corner
 *
 * The vessel's outline, to a fraction of a pixel. The background may have a gradient,
 * noise and soft shadows: an edge is where colour changes as sharply as it does along
 * most of the outline. What is inside the outline does not matter: highlights,
 * decoration, glass.
 *
 * Returns: (transfer full): the outline; %NULL with %RHY_ERROR_ARTWORK: marks too near each
 *   other or outside, nothing that stands out, a background that is not plain, a vessel
 *   that reaches the frame.
 */
RHY_API
RhyOutline *rhy_silhouette_find (const RhyRaster *picture, RhyPoint base, RhyPoint rim, GError **error);

G_END_DECLS
