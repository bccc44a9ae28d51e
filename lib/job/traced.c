/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "traced.h"

#include <math.h>
#include <rhyton/trace.h>

#include "print.h"

static RhyArtwork *
traced (RhyArtwork          *artwork,
        const RhyJobArtwork *group,
        double               tolerance_mm,
        GError             **error)
{
  const RhyTraceOptions options = {
    .threshold = group->trace_threshold,
    .smoothing = group->trace_smoothing,
    .speck_mm = group->trace_speck_mm,
    .tolerance_mm = tolerance_mm,
  };
  return rhy_artwork_traced (artwork, &options, group->ink != RHY_INK_DRAWN, error);
}

/* A picture's dark parts have an extent of their own, and their size is what was asked for:
 * traced once to learn it, then at the true size, where specks and tolerance are what they say. */
RhyArtwork *
rhy_traced_at_size (RhyArtwork          *sized,
                    const RhyJobArtwork *group,
                    double               tolerance_mm,
                    double               width_mm,
                    double               height_mm,
                    GError             **error)
{
  if (!group->trace)
    return rhy_artwork_ref (sized);
  g_autoptr (RhyArtwork) first = traced (sized, group, tolerance_mm, error);
  if (first == NULL || first == sized)
    return g_steal_pointer (&first);
  const RhyBounds box = rhy_artwork_get_ink_box (first);
  if (rhy_bounds_is_empty (box))
    {
      rhy_print_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                       "[%s] TraceThreshold: found %g: nothing in the pictures is that dark; take more, up to 1",
                       group->group, group->trace_threshold);
      return NULL;
    }
  const double extent = width_mm > 0.0 ? box.max_x - box.min_x : box.max_y - box.min_y;
  const double scale = (width_mm > 0.0 ? width_mm : height_mm) / extent;
  if (isfinite (scale) && fabs (scale - 1.0) > 0.01)
    {
      g_autoptr (RhyArtwork) true_size = rhy_artwork_transformed (sized, (RhyAffine) { scale, 0, 0, scale, 0, 0 });
      g_clear_pointer (&first, rhy_artwork_unref);
      first = traced (true_size, group, tolerance_mm, error);
    }
  return first != NULL ? rhy_artwork_sized (first, width_mm, height_mm, error) : NULL;
}

gboolean
rhy_is_traced_alike (const RhyJobArtwork *a,
                     const RhyJobArtwork *b)
{
  if (!a->trace && !b->trace)
    return TRUE;
  return a->trace == b->trace && a->trace_threshold == b->trace_threshold
         && a->trace_smoothing == b->trace_smoothing && a->trace_speck_mm == b->trace_speck_mm;
}
