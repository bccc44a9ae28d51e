/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include <math.h>
#include <sys/mman.h>
#include <unistd.h>

/* A profile file: what can be read is rows that rise, and the wall made of them is
 * one that can be asked anywhere. */

static int descriptor;
static char *path;

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  descriptor = memfd_create ("profile", 0);
  MUST (descriptor >= 0);
  path = g_strdup_printf ("/proc/self/fd/%d", descriptor);
  return 0;
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  MUST (ftruncate (descriptor, 0) == 0 && pwrite (descriptor, data, size, 0) == (gssize) size);
  g_autoptr (GError) error = NULL;
  g_autofree double *heights = NULL;
  g_autofree double *diameters = NULL;
  gsize n = 0;
  const gboolean good = rhy_profile_read (path, &heights, &diameters, &n, &error);
  must_be_told (good, error);
  if (!good)
    return 0;
  for (gsize i = 0; i < n; i++)
    MUST (isfinite (heights[i]) && diameters[i] > 0.0 && (i == 0 || heights[i] > heights[i - 1]));

  RhyProfileReport report;
  g_autoptr (RhyWall) wall = rhy_wall_new_profile (heights, diameters, n, 0.05, &report, &error);
  must_be_told (wall != NULL, error);
  if (wall == NULL)
    return 0;
  const double length = rhy_wall_get_length (wall);
  MUST (length > 0.0 && isfinite (length) && report.n_pieces <= RHY_PROFILE_MAX_PIECES);
  for (int i = 0; i <= 10; i++)
    {
      const RhyRing ring = rhy_wall_at (wall, length * i / 10.0);
      MUST (isfinite (ring.z_mm) && isfinite (ring.r_mm));
    }
  return 0;
}
