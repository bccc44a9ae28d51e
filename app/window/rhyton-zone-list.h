/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_ZONE_LIST (rhyton_zone_list_get_type ())
/**
 * RhytonZoneList:
 *
 * The parts of the wall to keep away from: each with its kind, its place and its name;
 * added where such a thing usually is, and removed.
 */
G_DECLARE_FINAL_TYPE (RhytonZoneList, rhyton_zone_list, RHYTON, ZONE_LIST, RhytonPart)

/** rhyton_zone_list_add: Returns: whether a zone of that kind is there now. */
gboolean rhyton_zone_list_add (RhytonZoneList *self, RhyZoneKind kind);

G_END_DECLS
