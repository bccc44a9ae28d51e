/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#define RHY_LATE_PANGO_BY_NAME
#include "late-pango.h"

#include "../shape/late.h"

#ifdef RHY_LATE_PANGO

const RhyLatePango *
rhy_late_pango_get (void)
{
  static const char *const names[] = {
#define CALL(name) #name,
    RHY_LATE_PANGO_CALLS (CALL)
#undef CALL
    NULL
  };
  /* Set once, as the dynamic linker's own tables are. */
  static union { RhyLatePango calls; gpointer slots[G_N_ELEMENTS (names)]; } table;
  static gsize loaded = 0;
  if (g_once_init_enter (&loaded))
    {
      rhy_late_load (RHY_LATE_PANGO, names, table.slots);
      g_once_init_leave (&loaded, 1);
    }
  return &table.calls;
}

#endif
