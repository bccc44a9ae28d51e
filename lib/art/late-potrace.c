/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#ifdef HAVE_POTRACE

#define RHY_LATE_POTRACE_BY_NAME
#include "late-potrace.h"

#include "../shape/late.h"

#ifdef RHY_LATE_POTRACE

const RhyLatePotrace *
rhy_late_potrace_get (void)
{
  static const char *const names[] = {
#define CALL(name) #name,
    RHY_LATE_POTRACE_CALLS (CALL)
#undef CALL
    NULL
  };
  /* Set once, as the dynamic linker's own tables are. */
  static union { RhyLatePotrace calls; gpointer slots[G_N_ELEMENTS (names)]; } table;
  static gsize loaded = 0;
  if (g_once_init_enter (&loaded))
    {
      rhy_late_load (RHY_LATE_POTRACE, names, table.slots);
      g_once_init_leave (&loaded, 1);
    }
  return &table.calls;
}

#endif

#endif
