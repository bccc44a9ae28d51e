/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/drawing.h>
#include <rhyton/sheet.h>

G_BEGIN_DECLS

/* That of cairo.h, which whoever draws has included. */
typedef struct _cairo cairo_t;

/**
 * RhyPages:
 *
 * Pages of one size as they go to a printer: the same that the PDF files hold, to be
 * drawn on any cairo context. Opaque, immutable.
 */
typedef struct _RhyPages RhyPages;

/**
 * rhy_pages_new_pattern: the flat pattern on pages of @options' paper.
 *
 * Returns: (transfer full): as rhy_drawing_pattern() with @on_pages, its errors too
 */
RHY_API
RhyPages *rhy_pages_new_pattern (RhyPlan *plan, const RhyDrawingOptions *options, GError **error);

/** rhy_pages_new_sheet: the setup sheet, as rhy_sheet_new(). */
RHY_API
RhyPages *rhy_pages_new_sheet (RhyPlan *plan, RhyVerdict *verdict, const RhySheetOptions *options);

RHY_API
void rhy_pages_free (RhyPages *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyPages, rhy_pages_free)

RHY_API
gsize rhy_pages_get_n (const RhyPages *self);
/** rhy_pages_get_size: @width_mm, @height_mm: (out): as they lie; a page may lie across. */
RHY_API
void rhy_pages_get_size (const RhyPages *self, double *width_mm, double *height_mm);

/**
 * rhy_pages_draw:
 * @cr: (type cairo.Context): user units are mm, (0, 0) the page's upper left corner, y down
 */
RHY_API
void rhy_pages_draw (const RhyPages *self, gsize i, cairo_t *cr);

G_END_DECLS
