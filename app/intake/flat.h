/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "tree.h"

G_BEGIN_DECLS

/*
 * Walks the drawing that cairo wrote and sends its outlines.
 * @scale: cairo's units per px of the document
 * @width_px, @height_px: the document's page
 * @found_picture: (out): whether an embedded picture, or a filter's, was among it
 *
 * Returns: how many shapes and pictures there were.
 */
gsize flat_send (Wire *wire, Tree *tree, double scale, double width_px, double height_px,
                 gboolean *found_picture);

G_END_DECLS
