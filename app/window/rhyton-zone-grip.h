/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

G_BEGIN_DECLS

/**
 * RhytonZoneEdge: what of a zone a pointer can take hold of.
 */
typedef enum
{
  RHYTON_ZONE_EDGE_NONE,
  RHYTON_ZONE_EDGE_BODY,        /* moves it; not of one that goes all round */
  RHYTON_ZONE_EDGE_LOW,
  RHYTON_ZONE_EDGE_HIGH,
  RHYTON_ZONE_EDGE_LEFT,        /* the smaller angle */
  RHYTON_ZONE_EDGE_RIGHT,
} RhytonZoneEdge;

/** RhytonZonePlace: a place on one of a job's zones; @zone counts from 0. */
typedef struct
{
  RhytonZoneEdge edge;
  gsize          zone;
} RhytonZonePlace;

/**
 * RhytonZoneGrip:
 *
 * A zone held by a pointer, as RhytonGrip holds artwork. A value; start from zeros,
 * end with rhyton_zone_grip_drop().
 */
typedef struct
{
  RhytonZonePlace place;
  RhyZone         was;          /* its name is not kept */
  RhyWallPoint    from;
} RhytonZoneGrip;

/** rhyton_zone_grip_find: Returns: the zone at a wall point, the one that was named last before others. */
RhytonZonePlace rhyton_zone_grip_find (const RhyPlan *plan, RhyWallPoint at, double slack_mm);
/** rhyton_zone_grip_cursor: Returns: (nullable): the pointer's look there. */
const char *rhyton_zone_grip_cursor (RhytonZonePlace place);
void rhyton_zone_grip_take (RhytonZoneGrip *self, RhytonDocument *document, RhytonZonePlace place, RhyWallPoint at);
/**
 * rhyton_zone_grip_move:
 * @free: to a thousandth; else to whole mm of height and whole degrees
 *
 * What was held is now to be at @to; everything until rhyton_zone_grip_drop() is one step to undo.
 */
void rhyton_zone_grip_move (RhytonZoneGrip *self, RhytonDocument *document, RhyWallPoint to, gboolean free);
void rhyton_zone_grip_drop (RhytonZoneGrip *self, RhytonDocument *document);
/** rhyton_zone_grip_describe: Returns: (transfer full) (nullable): the zone and where it is, as a line to show. */
char *rhyton_zone_grip_describe (RhytonZonePlace place, RhytonDocument *document);

G_END_DECLS
