/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#define RHY_LATE_JSON_BY_NAME
#include "late-json.h"

#include "../shape/late.h"

#ifdef RHY_LATE_JSON

const RhyLateJson *
rhy_late_json_get (void)
{
  static const char *const names[] = {
#define CALL(name) #name,
    RHY_LATE_JSON_CALLS (CALL)
#undef CALL
    NULL
  };
  /* Set once, as the dynamic linker's own tables are. */
  static union { RhyLateJson calls; gpointer slots[G_N_ELEMENTS (names)]; } table;
  static gsize loaded = 0;
  if (g_once_init_enter (&loaded))
    {
      rhy_late_load (RHY_LATE_JSON, names, table.slots);
      g_once_init_leave (&loaded, 1);
    }
  return &table.calls;
}

#endif
