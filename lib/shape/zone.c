/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/zone.h>

#include <string.h>

static const char *const kind_names[] = {
  [RHY_ZONE_HANDLE] = "handle",
  [RHY_ZONE_JAWS] = "jaws",
  [RHY_ZONE_TAILSTOCK] = "tailstock",
  [RHY_ZONE_SEAM] = "seam",
  [RHY_ZONE_RIM] = "rim",
  [RHY_ZONE_BASE] = "base",
  [RHY_ZONE_MARK] = "mark",
};

const char *
rhy_zone_kind_to_string (RhyZoneKind kind)
{
  g_return_val_if_fail ((gsize) kind < G_N_ELEMENTS (kind_names), NULL);

  return kind_names[kind];
}

gboolean
rhy_zone_kind_from_string (const char  *text,
                           RhyZoneKind *kind)
{
  g_return_val_if_fail (text != NULL && kind != NULL, FALSE);

  for (gsize i = 0; i < G_N_ELEMENTS (kind_names); i++)
    if (strcmp (text, kind_names[i]) == 0)
      {
        *kind = (RhyZoneKind) i;
        return TRUE;
      }
  return FALSE;
}
