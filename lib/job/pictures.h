/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/*
 * RhyPictures: what turns the paints of a drawing's shapes into pictures in its space.
 * @dots: what is asked for
 * @left: (inout): how many dots the drawing may still hold, all artworks together
 */
typedef struct
{
  RhyDots   dots;
  RhyShades shades;
  guint64  *left;
} RhyPictures;

RhyPictures rhy_pictures_for (const RhyJobData *job, const RhyJobArtwork *group, const RhyDots *dots,
                              guint64 *left);

/*
 * The paints of @shape, whose outline is bent already, through @map (from the artwork's space to
 * the drawing's). @inside: what its clips leave of the space. Where no dots are asked for, and
 * where nothing is left to see, a paint is dropped: the shape's one colour stands in.
 */
gboolean rhy_pictures_bend (RhyPictures *self, const RhyMap *map, RhyBounds inside, RhyShape *shape, GError **error);

G_END_DECLS
