/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include "../../lib/art/wire-reader.h"

#include <math.h>

/* What the intake process says, should it ever be taken over: the reader trusts
 * nothing, and what it lets through can be used. */

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  return 0;
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  /* As it comes off a pipe: in memory of its own, aligned. */
  g_autofree guint8 *copy = g_memdup2 (data, size);
  rhy_wire_is_complete (copy, size);
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyArtwork) artwork = rhy_wire_read (copy, size, &error);
  must_be_told (artwork != NULL, error);
  if (artwork == NULL)
    return 0;
  const RhyBounds box = rhy_artwork_get_ink_box (artwork);
  if (rhy_bounds_is_empty (box))
    return 0;
  g_autoptr (RhyArtwork) sized = rhy_artwork_sized (artwork, 60.0, 0.0, &error);
  must_be_told (sized != NULL, error);
  if (sized == NULL)
    return 0;
  gsize n;
  g_autofree RhyArtPoint *ink = rhy_artwork_sample_ink (sized, 1.0, &n);
  for (gsize i = 0; i < n; i++)
    MUST (isfinite (ink[i].u) && isfinite (ink[i].v));
  if (n > 20000)
    return 0;
  g_autoptr (RhyArtwork) outlined = rhy_artwork_outlined (sized, 0.01, &error);
  must_be_told (outlined != NULL, error);
  return 0;
}
