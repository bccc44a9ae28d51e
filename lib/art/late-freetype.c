/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#define RHY_LATE_FREETYPE_BY_NAME
#include "late-freetype.h"

#include "../shape/late.h"

#ifdef RHY_LATE_FREETYPE

const RhyLateFreetype *
rhy_late_freetype_get (void)
{
  static const char *const names[] = {
#define CALL(name) #name,
    RHY_LATE_FREETYPE_CALLS (CALL)
#undef CALL
    NULL
  };
  /* Set once, as the dynamic linker's own tables are. */
  static union { RhyLateFreetype calls; gpointer slots[G_N_ELEMENTS (names)]; } table;
  static gsize loaded = 0;
  if (g_once_init_enter (&loaded))
    {
      rhy_late_load (RHY_LATE_FREETYPE, names, table.slots);
      g_once_init_leave (&loaded, 1);
    }
  return &table.calls;
}

#endif
