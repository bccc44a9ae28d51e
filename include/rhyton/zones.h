/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/artwork.h>
#include <rhyton/lay.h>
#include <rhyton/zone.h>

G_BEGIN_DECLS

/**
 * RhyZoneGap:
 * @is_on_wall: whether any of the zone lies on the wall; all else is 0 if not
 * @overlap_mm2: ink inside the zone, mm^2 of wall
 * @distance_mm: from the ink to the zone along the wall, its margin not taken off; 0
 *   where they meet
 * @ink: the ink's nearest point; where they meet, a point inside both
 * @zone: the zone's nearest point, angle next to @ink's
 */
typedef struct
{
  gboolean     is_on_wall;
  double       overlap_mm2;
  double       distance_mm;
  RhyWallPoint ink;
  RhyWallPoint zone;
} RhyZoneGap;

/**
 * RhyInkArea:
 *
 * The ink of an artwork as polygons, made once and then asked about many times. Not for several
 * threads at a time.
 */
typedef struct _RhyInkArea RhyInkArea;

/** rhy_ink_area_new: @artwork: at its size. %RHY_ERROR_GEOMETRY if its shapes cannot be worked on, %G_IO_ERROR_CANCELLED. */
RHY_API
RhyInkArea *rhy_ink_area_new (const RhyArtwork *artwork, GCancellable *cancellable, GError **error);
RHY_API
void rhy_ink_area_free (RhyInkArea *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyInkArea, rhy_ink_area_free)

/**
 * rhy_zones_measure:
 * @area: the ink
 * @lay: art to wall; ink without an image is left out
 * @zones: (array length=n_zones)
 * @gaps: (out caller-allocates) (array length=n_zones)
 *
 * True shapes, clips and pens, not boxes. Areas are the wall's own on any wall.
 * Distances are exact on a cylinder or cone; on a curved wall they are measured on
 * the cone that fits best between the two points, which is right to second order.
 *
 * Returns: %FALSE with %RHY_ERROR_GEOMETRY if the shapes cannot be worked on, or %G_IO_ERROR_CANCELLED.
 */
RHY_API
gboolean rhy_zones_measure (RhyWall *wall, RhyInkArea *area, const RhyMap *lay, const RhyZone *zones, gsize n_zones,
                            RhyZoneGap *gaps, GCancellable *cancellable, GError **error);

/**
 * RhyPlacement:
 * @wall: the vessel's side
 * @area: (nullable): the artwork's ink at its size; without it nothing fits
 * @lay: how it lies: kind, anchor, turn, eye; its ink (at least 1 point) is what is moved and scaled
 * @eye_follows: seen: the eye keeps its height over the anchor when that moves
 * @spacing_mm: greatest distance between neighbouring points of the ink
 * @zones: (array length=n_zones): where it must not be, with their margins
 * @cancellable: (nullable): ends a search, which then has found nothing
 */
typedef struct
{
  RhyWall          *wall;
  RhyInkArea       *area;
  RhyLayOptions     lay;
  gboolean          eye_follows;
  double            spacing_mm;
  const RhyZone    *zones;
  gsize             n_zones;
  GCancellable     *cancellable;
} RhyPlacement;

/**
 * rhy_placement_nearest:
 * @anchor: (out): where the anchor would have to be
 *
 * The shortest move along the wall, up or down and around, after which the ink keeps every
 * margin and stays on the wall. Heights are tried at 1/80 of the wall and then finer;
 * around, the answer is exact.
 *
 * Returns: %FALSE, @anchor untouched, if there is no such place at this size.
 */
RHY_API
gboolean rhy_placement_nearest (const RhyPlacement *self, RhyWallPoint *anchor);

/**
 * rhy_placement_largest:
 *
 * Returns: by how much the artwork can be scaled about its anchor, where it is, before it
 *   meets a margin, an end of the wall or itself; 0 if it does not fit at any size.
 *   Below 1 if it has to shrink. Capped at 50.
 */
RHY_API
double rhy_placement_largest (const RhyPlacement *self);

/**
 * rhy_zones_clash:
 *
 * Returns: whether two zones cover common wall, margins not counted.
 */
RHY_API
gboolean rhy_zones_clash (const RhyZone *a, const RhyZone *b);

G_END_DECLS
