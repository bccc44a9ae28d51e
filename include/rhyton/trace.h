/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/**
 * RhyTraceOptions:
 * @threshold: 0 to 1: what is darker than that, over white, is ink; 0.5 is half way in coded sRGB
 * @smoothing: 0 to 1: 0 keeps every corner and draws polygons, 1 rounds every corner (default 0.75)
 * @speck_mm: specks of ink, and holes in it, of less area than a square of this side are left out
 *   (default 0.2)
 * @tolerance_mm: > 0: how far from the true edge outlines may be where the picture is fine
 *   enough to tell (default 0.01)
 */
typedef struct
{
  double threshold;
  double smoothing;
  double speck_mm;
  double tolerance_mm;
} RhyTraceOptions;

#define RHY_TRACE_OPTIONS_INIT { .threshold = 0.5, .smoothing = 0.75, .speck_mm = 0.2, .tolerance_mm = 0.01 }

/** rhy_trace_is_available: Returns: whether this build has potrace. */
RHY_API
gboolean rhy_trace_is_available (void);

/**
 * RHY_TRACE_PIXELS_MAX: a paint is looked at in no more dots than that.
 */
#define RHY_TRACE_PIXELS_MAX 12e6

/**
 * rhy_trace_pitch:
 *
 * Returns: the side of the dots that @paint is looked at in over @box, mm: twice the
 *   tolerance, but a picture's own pixels are not cut into more than four each way, and the
 *   dots are no more than %RHY_TRACE_PIXELS_MAX.
 */
RHY_API
double rhy_trace_pitch (const RhyPaint *paint, RhyBounds box, double tolerance_mm);

/**
 * rhy_paint_traced:
 * @box: where, in the paint's space; outlines end at its edges
 *
 * The dark parts of a picture or gradient as outlines: it is drawn at rhy_trace_pitch(), made
 * grey by rhy_raster_grey() over white, cut at the threshold, and traced by potrace (Selinger 2003,
 * Potrace: a polygon-based tracing algorithm). Edges are within about one such dot.
 *
 * Returns: (transfer full): outlines to fill by the even-odd rule, none where all is light.
 *   %RHY_ERROR_UNSUPPORTED where this build has no potrace, or an option is out of its range.
 */
RHY_API
RhyPath *rhy_paint_traced (const RhyPaint *self, RhyBounds box, const RhyTraceOptions *options, GError **error);

/**
 * rhy_artwork_traced:
 * @over_bare: whether the light parts of an opaque paint take away what lies under them: a white
 *   shape is put under its outlines
 *
 * Every shape painted with a picture or gradient as the outlines of its dark parts, black, kept
 * inside its own outline and clips. Strokes are outlined where one has such a paint. Everything
 * else as it was.
 *
 * Returns: (transfer full): the artwork without paints. Errors as above.
 */
RHY_API
RhyArtwork *rhy_artwork_traced (RhyArtwork *self, const RhyTraceOptions *options, gboolean over_bare, GError **error);

G_END_DECLS
