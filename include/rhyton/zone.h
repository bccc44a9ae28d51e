/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/space.h>

G_BEGIN_DECLS

typedef enum
{
  RHY_ZONE_HANDLE,
  RHY_ZONE_JAWS,
  RHY_ZONE_TAILSTOCK,
  RHY_ZONE_SEAM,
  RHY_ZONE_RIM,
  RHY_ZONE_BASE,
  RHY_ZONE_MARK,
} RhyZoneKind;

/**
 * RhyZone:
 * @name: from the group's title, "Zone NAME"
 * @centre_rad: middle, radians around
 * @width_rad: full width around; 2 pi: all round
 * @from_mm: lower height
 * @to_mm: upper height
 * @stand_mm: how far it stands out of the wall
 * @margin_mm: how far ink must stay away
 */
typedef struct
{
  const char *name;
  RhyZoneKind kind;
  double      centre_rad, width_rad;
  double      from_mm, to_mm;
  double      stand_mm, margin_mm;
} RhyZone;

RHY_API
const char *rhy_zone_kind_to_string (RhyZoneKind kind);
RHY_API
gboolean rhy_zone_kind_from_string (const char *text, RhyZoneKind *kind);

G_END_DECLS
