/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/brush.h>

#include "draft.h"
#include "../art/late-cairo.h"

G_BEGIN_DECLS

/* What a sheet is made of, for those who write it: draft-svg.c, draft-pdf.c, draft-png.c. */

typedef enum
{
  ITEM_OPEN,
  ITEM_CLOSE,
  ITEM_ARTWORK,
  ITEM_PATH,
  ITEM_TEXT,
} ItemKind;

typedef struct
{
  ItemKind      kind;
  char         *text;       /* OPEN: the id; TEXT */
  char         *title;      /* OPEN; or NULL */
  RhyArtwork   *artwork;
  RhyPath      *path;
  RhyDraftPaint paint;
  double        x, y, size_mm, turn_rad;
  RhyTextAnchor anchor;
} Item;

struct _RhyDraft
{
  RhyBounds box;
  char     *title;
  char     *description;
  GArray   *items;
};

static inline double
box_width (RhyBounds b)
{
  return b.max_x - b.min_x;
}

static inline double
box_height (RhyBounds b)
{
  return b.max_y - b.min_y;
}

/* A pen that scales evenly keeps its outline round in the path's own space, so
 * a plain stroke width says it; @scale is that width's factor. The bound is
 * relative: 1e-9 of a pen's width is nothing a machine resolves. */
gboolean rhy_pen_is_even (const RhyPen *pen, double *scale);
/* Whether it leaves no ink: flattened onto a line. */
gboolean rhy_pen_is_flat (const RhyPen *pen);

/* The whole sheet; user space is mm with the box's upper left corner at (0, 0). */
void rhy_draft_draw (const RhyDraft *self, cairo_t *cr);

GBytes *rhy_draft_to_svg (const RhyDraft *self);
GBytes *rhy_draft_to_pdf (const RhyDraft *self, GError **error);
GBytes *rhy_draft_to_png (const RhyDraft *self, double dpi, GError **error);

/* A gradient, or a picture as a pattern, to be named "paint-@id". @m: from the space of
 * the artwork to that of the shape's element. */
void rhy_svg_put_paint (GString *out, const RhyPaint *paint, guint id, RhyAffine m);
/* Whether a fill is a picture that lies there once: an image says that to more programs
 * than a pattern does. */
gboolean rhy_svg_is_image (const RhyPaint *paint);
void rhy_svg_put_image (GString *out, const RhyPaint *paint);
void rhy_svg_put_matrix (GString *out, const char *name, RhyAffine m);

/* For cairo's streams into a GByteArray. */
cairo_status_t rhy_draft_gather (void *closure, const unsigned char *data, unsigned int length);
gboolean rhy_draft_check_cairo (cairo_status_t status, GError **error);

G_END_DECLS
