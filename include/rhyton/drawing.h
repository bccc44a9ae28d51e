/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/paper.h>
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
 * RhyCut: into what pieces the flat pattern of a wall is cut.
 * @RHY_CUT_AUTO: one piece where paper lies on the wall within the limit, else rings
 *   or gores, whichever are fewer (rings where the wall has an edge)
 * @RHY_CUT_WHOLE: one piece, whatever it stretches
 * @RHY_CUT_RINGS: one above another, each all the way round
 * @RHY_CUT_GORES: side by side, each from base to rim
 */
typedef enum { RHY_CUT_AUTO, RHY_CUT_WHOLE, RHY_CUT_RINGS, RHY_CUT_GORES } RhyCut;

/**
 * RhyDrawingOptions:
 * @dpi: PNG only, dots per inch, 10 to 2400 (default 300)
 * @free_area: bed only: with an outline of where ink may be, even if the job does not ask for it
 *   (default no)
 * @cut: pattern only (default auto)
 * @paper_stretch: pattern only: how much paper may be asked to stretch or shrink, as
 *   a fraction, 0.001 to 0.2 (default 0.01)
 * @tab_mm: pattern only: how wide the tab is that one end is glued to the other by, 0
 *   (default, none) to 30; gores have none
 * @on_pages: pattern as PDF only: spread over pages of @paper (default: one sheet as large
 *   as it needs)
 * @overlap_mm: how much pages overlap, 5 to 40 (default 10)
 */
typedef struct
{
  double dpi;
  gboolean free_area;
  RhyCut cut;
  double paper_stretch;
  double tab_mm;
  gboolean on_pages;
  RhyPaper paper;
  double overlap_mm;
} RhyDrawingOptions;

#define RHY_DRAWING_OPTIONS_INIT { .dpi = 300.0, .cut = RHY_CUT_AUTO, .paper_stretch = 0.01, .overlap_mm = 10.0 }

/**
 * rhy_drawing_bed:
 *
 * The bed drawing: true mm, the mark at (0, 0) in a group of its own (id "mark"), the ink in
 * one group (id "ink"), in it one for each artwork where there are several (id "artwork-N-NAME"), in
 * that one for each paint (id "ink-N-RRGGBB", "ink-N-line-RRGGBB", "ink-N-picture"). The outline of
 * rhy_plan_free_area() is in a group of its own (id "free-area") beneath them. Where the job asks for bands, an
 * SVG has one group for each ("band-K", with its line distance as title), in it the groups above of what
 * lies in it; pictures (group "pictures", beneath) and lines ("lines", above) stay whole. Same job, same bytes.
 *
 * Returns: (transfer full): the file. %RHY_ERROR_OUTSIDE if ink is off the wall.
 */
RHY_API
GBytes *rhy_drawing_bed (RhyPlan *plan, RhyFormat format, const RhyDrawingOptions *options,
                         RhyBendReport *report, GError **error);

/**
 * rhy_drawing_pattern: the flat pattern, 1:1: cut line, front line, scale bar, artwork in place.
 *
 * In one piece it is in pattern space, turned to the page (y down). A curved wall is
 * cut into pieces, each labelled, with marks where neighbours meet.
 *
 * Returns: (transfer full): the file. %RHY_ERROR_OUTSIDE if ink is off the wall,
 *   %RHY_ERROR_UNSUPPORTED for gores on a wall with an edge, for pages that are not PDF, and
 *   for an option out of range; %RHY_ERROR_LIMIT for more than 60 pages.
 */
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
