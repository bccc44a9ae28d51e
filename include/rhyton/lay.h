/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>
#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyLayKind:
 * @RHY_LAY_ROLLED: as a paper cut-out stuck on; exact on any cylinder or cone
 * @RHY_LAY_RINGED: lines of lettering stay level with the rim; true width at the anchor
 * @RHY_LAY_RINGED_BALANCED: as ringed, with the reference radius of least greatest stretch
 * @RHY_LAY_ANGLE_TRUE: conformal: shapes stay right, size drifts with the radius
 * @RHY_LAY_AREA_TRUE: equal-area: coverage stays right
 * @RHY_LAY_SEEN: looks undistorted from where the reader stands
 * @RHY_LAY_LEAST_STRETCH: as little stretch as a sheet can have on this wall
 */
typedef enum
{
  RHY_LAY_ROLLED,
  RHY_LAY_RINGED,
  RHY_LAY_RINGED_BALANCED,
  RHY_LAY_ANGLE_TRUE,
  RHY_LAY_AREA_TRUE,
  RHY_LAY_SEEN,
  RHY_LAY_LEAST_STRETCH,
} RhyLayKind;

/**
 * RhyLayOptions:
 * @kind: which lay
 * @anchor: where the artwork's (0, 0) lands
 * @turn_rad: turn of the artwork in its own plane, anticlockwise for somebody who faces it
 * @eye_distance_mm: seen: eye to axis; 0 means parallel sight
 * @eye_height_mm: seen: height of the eye above the base
 * @ink: (array length=n_ink) (nullable): points of the ink in art space, borrowed
 *   for the call: the band over which balanced, rolled on a curved wall and
 *   least-stretch are fitted. %NULL: the anchor alone.
 */
typedef struct
{
  RhyLayKind         kind;
  RhyWallPoint       anchor;
  double             turn_rad;
  double             eye_distance_mm;
  double             eye_height_mm;
  const RhyArtPoint *ink;
  gsize              n_ink;
} RhyLayOptions;

/**
 * rhy_lay_new:
 *
 * Returns: (transfer full): a map from art to wall. %RHY_ERROR_OUTSIDE if the anchor
 *   is off the wall, %RHY_ERROR_NO_CONVERGENCE from the numerical lays.
 */
RHY_API
RhyMap *rhy_lay_new (RhyWall *wall, const RhyLayOptions *options, GError **error);

/** rhy_lay_kind_to_string: Returns: the job file's word, e.g. "ringed-balanced". */
RHY_API
const char *rhy_lay_kind_to_string (RhyLayKind kind);
RHY_API
gboolean rhy_lay_kind_from_string (const char *text, RhyLayKind *kind);

G_END_DECLS
