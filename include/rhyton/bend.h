/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>
#include <rhyton/path.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyBendReport:
 * @segments_in: lines and cubics read
 * @segments_out: lines and cubics written
 * @error_max_mm: greatest distance on the wall seen while fitting
 */
typedef struct
{
  gsize  segments_in;
  gsize  segments_out;
  double error_max_mm;
} RhyBendReport;

/**
 * RhyBender:
 *
 * Bends paths from art space through a lay and then a map off the wall (a drive
 * or an unroll), as few cubics as keep the error on the wall under a tolerance.
 * Immutable; share it between threads.
 */
typedef struct _RhyBender RhyBender;

/**
 * rhy_bender_new:
 * @wall: the wall both maps are on
 * @lay: from art to wall
 * @out: from wall to bed or pattern
 * @tolerance_mm: greatest distance on the wall, > 0
 */
RHY_API
RhyBender *rhy_bender_new (RhyWall *wall, RhyMap *lay, RhyMap *out, double tolerance_mm);
RHY_API
void rhy_bender_unref (RhyBender *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyBender, rhy_bender_unref)

/**
 * rhy_bender_bend:
 * @path: art space
 * @report: (inout) (optional): added to; start from zeros
 *
 * End points and tangents are exact; a straight line that stays straight stays
 * a line; where the maps are affine the control points are mapped and nothing else.
 *
 * Returns: (transfer full): the path in the last map's space. %RHY_ERROR_OUTSIDE if
 *   any part of @path has no image.
 */
RHY_API
RhyPath *rhy_bender_bend (const RhyBender *self, const RhyPath *path, RhyBendReport *report, GError **error);

G_END_DECLS
