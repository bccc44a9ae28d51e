/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/**
 * RHY_STROKE_DASHES_MAX:
 *
 * A subpath that would fall into more dashes than this is drawn full: such
 * dashes are finer than any machine's line.
 */
#define RHY_STROKE_DASHES_MAX 20000

/**
 * rhy_stroke_outline:
 * @path: a centre line
 * @pen: its pen: dashes, caps, joins, mitre limit, any invertible matrix
 *
 * Returns: (transfer full): the outline of the line as the pen draws it, to be
 *   filled by the non-zero rule; empty for a pen without width. Overlaps are kept.
 *   %RHY_ERROR_GEOMETRY for coordinates or a pen that cannot be worked with.
 */
RHY_API
RhyPath *rhy_stroke_outline (const RhyPath *path, const RhyPen *pen, GError **error);

/**
 * rhy_artwork_outlined:
 * @tolerance_mm: the stroker leaves a node every few degrees; neighbours that one cubic
 *   can carry within this are put together (rhy_path_lightened()); 0: none are
 *
 * Returns: (transfer full): the artwork with every stroke turned into a filled
 *   shape of its own, right above its shape's fill, so that line widths go through
 *   the maps as everything else does; @self itself if it has no strokes.
 */
RHY_API
RhyArtwork *rhy_artwork_outlined (RhyArtwork *self, double tolerance_mm, GError **error);

G_END_DECLS
