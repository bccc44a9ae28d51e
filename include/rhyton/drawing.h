/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhyFormat: what a drawing is written as.
 */
typedef enum { RHY_FORMAT_SVG, RHY_FORMAT_PDF, RHY_FORMAT_PNG } RhyFormat;

/** rhy_format_from_name: by a file name's ending; %RHY_ERROR_UNSUPPORTED names the ones allowed. */
RHY_API
gboolean rhy_format_from_name (const char *file_name, RhyFormat *format, GError **error);

/**
 * RhyDrawingOptions:
 * @dpi: PNG only, dots per inch, 10 to 2400 (default 300)
 */
typedef struct
{
  double dpi;
} RhyDrawingOptions;

#define RHY_DRAWING_OPTIONS_INIT { .dpi = 300.0 }

/**
 * rhy_drawing_bed:
 *
 * The bed drawing: true mm, the mark at (0, 0) in a group of its own (id "mark"), the ink in
 * one group (id "ink"). Same job, same bytes.
 *
 * Returns: (transfer full): the file. %RHY_ERROR_OUTSIDE if ink is off the wall.
 */
RHY_API
GBytes *rhy_drawing_bed (RhyPlan *plan, RhyFormat format, const RhyDrawingOptions *options,
                         RhyBendReport *report, GError **error);

/** rhy_drawing_pattern: the flat pattern, 1:1: cut line, front line, scale bar, artwork in place. */
RHY_API
GBytes *rhy_drawing_pattern (RhyPlan *plan, RhyFormat format, const RhyDrawingOptions *options, GError **error);

/**
 * rhy_drawing_save:
 * @path: a file name, or "-" for standard output
 *
 * A temporary file, then a rename: never half written.
 */
RHY_API
gboolean rhy_drawing_save (GBytes *bytes, const char *path, GError **error);

G_END_DECLS
