/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/zones.h>

/*
 * The ink of an artwork as polygons in art space, made once and then measured against
 * zones through any lay. Not for several threads at a time.
 */
typedef struct _RhyInkArea RhyInkArea;

RhyInkArea *rhy_ink_area_new (const RhyArtwork *artwork, GError **error);
void rhy_ink_area_free (RhyInkArea *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyInkArea, rhy_ink_area_free)

/* @scale: of the artwork about its anchor, before the lay. @low, @high: the zone's slants, on the wall. */
gboolean rhy_ink_area_measure (RhyInkArea *self, RhyWall *wall, const RhyMap *lay, double scale, const RhyZone *zone,
                               double low, double high, RhyZoneGap *gap, GError **error);
