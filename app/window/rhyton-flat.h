/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/**
 * RhytonFlat:
 *
 * The wall and the artwork laid flat, everything to be drawn of them, in the pattern's space or the
 * bed's; immutable once made, and painted in any thread.
 */
typedef struct
{
  RhyPlan    *plan;
  RhySpace    space;
  RhyPath    *wall;             /* one turn of it */
  RhyPath    *front;            /* the front line */
  RhyPath    *zones;
  RhyArtwork *art;              /* NULL: some of the ink has no image there */
  RhyPath    *ink;              /* then, points of ink that are on the wall */
  gboolean    reaches_over;     /* ink goes past an end of the turn that is shown ... */
  RhyAffine   turn;             /* ... and comes in at the other, moved by this */
  RhyPoint    mark;             /* bed: where the beam is lined up */
  RhyPoint    rim, base;        /* middles of the two ends */
  RhyBounds   box;
} RhytonFlat;

/** RhytonFlatColours: of the theme: outlines, the mark, and ink that cannot be drawn. */
typedef struct
{
  GdkRGBA text, accent, bad;
} RhytonFlatColours;

/** rhyton_flat_new: @is_draft: pictures no finer than a screen shows them while a hand drags. */
RhytonFlat *rhyton_flat_new (RhyPlan *plan, RhySpace space, gboolean is_draft);
void rhyton_flat_free (RhytonFlat *self);
/** rhyton_flat_paint: @m: from its space to @cr's, whose unit is a pixel of the widget */
void rhyton_flat_paint (const RhytonFlat *self, cairo_t *cr, RhyAffine m, const RhytonFlatColours *colours);
/** rhyton_flat_map: Returns: from the wall to the space. */
const RhyMap *rhyton_flat_map (const RhytonFlat *self);
/** rhyton_flat_middle: Returns: the angle that it is about: the front on the pattern, the mark on the bed. */
double rhyton_flat_middle (const RhytonFlat *self);

G_END_DECLS
