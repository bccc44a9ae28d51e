/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/zones.h>

/* @scale: of the artwork about its anchor, before the lay. For the last lay and scale the ink is kept laid out. @low, @high: the zone's slants, on the wall. */
gboolean rhy_ink_area_measure (RhyInkArea *self, RhyWall *wall, const RhyMap *lay, double scale, const RhyZone *zone,
                               double low, double high, RhyZoneGap *gap, GError **error);
