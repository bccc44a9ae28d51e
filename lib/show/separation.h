/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/*
 * rhy_artwork_by_paint:
 *
 * A machine's settings go by colour: what is painted alike is brought together as far as
 * the painting order allows, that is, past shapes whose boxes it does not touch.
 *
 * Returns: (transfer full): #RhyArtwork, each of one paint, in painting order
 */
GPtrArray *rhy_artwork_by_paint (RhyArtwork *self);

/* Returns: (transfer full): what an artwork of one paint is painted with, fit for an id:
 * "ff8000", "line-0000ff", "ff8000-line-0000ff", "picture". */
char *rhy_artwork_paint_name (const RhyArtwork *self);

G_END_DECLS
