/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#define RHY_LATE_CAIRO_BY_NAME
#include "late-cairo.h"

#include "../shape/late.h"

#ifdef RHY_LATE_CAIRO

const RhyLateCairo *
rhy_late_cairo_get (void)
{
  static const char *const names[] = {
#define CALL(name) #name,
    RHY_LATE_CAIRO_CALLS (CALL)
#undef CALL
    NULL
  };
  /* Set once, as the dynamic linker's own tables are. */
  static union { RhyLateCairo calls; gpointer slots[G_N_ELEMENTS (names)]; } table;
  static gsize loaded = 0;
  if (g_once_init_enter (&loaded))
    {
      rhy_late_load (RHY_LATE_CAIRO, names, table.slots);
      g_once_init_leave (&loaded, 1);
    }
  return &table.calls;
}

#endif
