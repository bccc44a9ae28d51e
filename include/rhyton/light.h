/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/**
 * RhyLightReport:
 * @segments_in: lines and cubics read
 * @segments_out: lines and cubics written
 * @subpaths_merged: subpaths that came out lighter
 */
typedef struct
{
  gsize segments_in;
  gsize segments_out;
  gsize subpaths_merged;
} RhyLightReport;

/**
 * rhy_path_lightened:
 * @tolerance: greatest distance between the path and the lighter one, either way, > 0
 * @report: (inout) (optional): added to; start from zeros
 *
 * Merges runs of segments that one cubic (or one line) can carry. Corners stay
 * corners. A subpath that would not come out at half its segments or fewer is left as it
 * is to the last bit: clean drawings are not touched, traced outlines and
 * polylines with a node every tenth of a millimetre become curves.
 *
 * Returns: (transfer full): the lighter path
 */
RHY_API
RhyPath *rhy_path_lightened (const RhyPath *self, double tolerance, RhyLightReport *report);

/** rhy_artwork_lightened: every shape's path lightened (clips stay); @self itself (referenced) if nothing changed. */
RHY_API
RhyArtwork *rhy_artwork_lightened (RhyArtwork *self, double tolerance_mm, RhyLightReport *report);

G_END_DECLS
