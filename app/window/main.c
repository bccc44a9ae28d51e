/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-application.h"

#ifdef __GLIBC__
#include <malloc.h>
#endif

int
main (int    argc,
      char **argv)
{
#ifdef __GLIBC__
  /* GTK's picture buffers would go back to the kernel after every frame, and fresh
   * pages are dearer than the drawing: 12 frames a second without this and 58 with
   * it were seen at 1280x960. 32 MiB is the greatest threshold glibc takes. */
  mallopt (M_MMAP_THRESHOLD, 32 << 20);
  mallopt (M_TRIM_THRESHOLD, 256 << 20);
  mallopt (M_TOP_PAD, 16 << 20);
#endif
  g_autoptr (RhytonApplication) application = rhyton_application_new ();
  return g_application_run (G_APPLICATION (application), argc, argv);
}
