/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/**
 * rhy_ink_stroke_bounds:
 *
 * Returns: the box of @path stroked by @pen, exact but for dashes, which count
 *   as a full line; empty for no segment.
 */
RhyBounds rhy_ink_stroke_bounds (const RhyPath *path, const RhyPen *pen);

/**
 * RhyRegion:
 *
 * A filled path made ready for asking which points and rows are inside.
 */
typedef struct _RhyRegion RhyRegion;

RhyRegion *rhy_region_new (const RhyPath *path, RhyFillRule rule, double tolerance);
void rhy_region_free (RhyRegion *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyRegion, rhy_region_free)

RhyBounds rhy_region_get_bounds (const RhyRegion *self);
gboolean rhy_region_has (const RhyRegion *self, double x, double y);

/**
 * rhy_region_row:
 * @spans: (element-type double): set to pairs, ends of the row's stretches inside
 */
void rhy_region_row (const RhyRegion *self, double y, GArray *spans);

G_END_DECLS
