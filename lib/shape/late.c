/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "late.h"

#include <dlfcn.h>
#include <stdlib.h>

void
rhy_late_load (const char        *library,
               const char *const *names,
               gpointer          *functions)
{
  void *handle = dlopen (library, RTLD_LAZY | RTLD_LOCAL);
  gsize i = 0;
  for (; handle != NULL && names[i] != NULL; i++)
    if ((functions[i] = dlsym (handle, names[i])) == NULL)
      break;
  if (handle != NULL && names[i] == NULL)
    return;             /* stays loaded as long as the process lives */
  g_printerr ("rhyton: %s: install it again\n", dlerror ());
  exit (127);
}
