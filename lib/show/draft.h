/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>
#include <rhyton/drawing.h>

#include "pages.h"

G_BEGIN_DECLS

/*
 * RhyDraft: one sheet of drawing in true mm, x right and y down, put together
 * item by item and then written as SVG, PDF or PNG. All three show the same
 * thing at the same size. The sheet's box need not start at (0, 0): whatever
 * origin the drawing is about (the mark, the pattern's front base) keeps its
 * coordinates in the file.
 */
typedef struct _RhyDraft RhyDraft;

/*
 * RhyDraftPaint: how a path of the sheet itself (not of artwork) is drawn.
 * @width_mm: 0 fills by nonzero, else strokes that wide
 * @dash_mm: 0 a full line, else dash and gap
 */
typedef struct
{
  RhyColour colour;
  double    width_mm;
  double    dash_mm;
} RhyDraftPaint;

typedef enum { RHY_TEXT_START, RHY_TEXT_MIDDLE, RHY_TEXT_END } RhyTextAnchor;

/* @title, @description: one line each, plain text; copied. */
RhyDraft *rhy_draft_new (RhyBounds box, const char *title, const char *description);
void rhy_draft_free (RhyDraft *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyDraft, rhy_draft_free)

/* A group with an id, or one inside it. */
void rhy_draft_open (RhyDraft *self, const char *id);
/* And with a title for people, where the format has such; plain text or NULL. */
void rhy_draft_open_titled (RhyDraft *self, const char *id, const char *title);
void rhy_draft_close (RhyDraft *self);

/* The artwork in sheet coordinates (y down), with its paints, pens and clips. */
void rhy_draft_add_artwork (RhyDraft *self, RhyArtwork *artwork);
/* @path: (transfer full) */
void rhy_draft_add_path (RhyDraft *self, RhyPath *path, RhyDraftPaint paint);
/* @size_mm: of the font's em; @turn_rad: clockwise on the page; (x, y) is on the base line. */
void rhy_draft_add_text (RhyDraft *self, double x, double y, double size_mm, RhyTextAnchor anchor,
                         double turn_rad, RhyColour colour, const char *text);

/* Lines of @width mm at most, broken between words, @pitch mm apart, the first base line at @y.
 * @self: (nullable): only counted. Returns: how many lines. */
guint rhy_draft_add_block (RhyDraft *self, double x, double y, double width, double size_mm, double pitch, RhyColour colour,
                           const char *text);
/* As rhy_draft_add_text(), smaller where it would be wider than @width, down to @least_mm; what is still
 * wider ends in dots. */
void rhy_draft_add_fitted (RhyDraft *self, double x, double y, double width, double size_mm, double least_mm, RhyTextAnchor anchor,
                           double turn_rad, RhyColour colour, const char *text);

/* The file's bytes; the same sheet gives the same bytes. */
GBytes *rhy_draft_write (const RhyDraft *self, RhyFormat format, double dpi, GError **error);

/* As a PDF of pages of that size, upright or across, whichever needs fewer: each shows a part of
 * the sheet at 1:1 and overlaps its neighbours by @overlap_mm, with marks to lay them by. */
GBytes *rhy_draft_to_pages (const RhyDraft *self, double page_width_mm, double page_height_mm,
                            double overlap_mm, GError **error);

/* The same pages, to be printed. @self: (transfer full) */
RhyPages *rhy_draft_take_pages (RhyDraft *self, double page_width_mm, double page_height_mm, double overlap_mm,
                                GError **error);

/* A number for people: at most @decimals, trailing zeros dropped, a point whatever the locale. */
typedef char RhyDigits[G_ASCII_DTOSTR_BUF_SIZE];
const char *rhy_say (RhyDigits buffer, double value, int decimals);

/* The job's title, or without one only @what, which kind of sheet it is. */
char *rhy_draft_title (RhyPlan *plan, const char *what);
RhyPath *rhy_draft_line (double x0, double y0, double x1, double y1);

static inline double
rhy_degrees (double radians)
{
  return radians * 180.0 / G_PI;
}

G_END_DECLS
