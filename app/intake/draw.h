/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "palette.h"

G_BEGIN_DECLS

/*
 * Draws a part of cairo's drawing as pixels, for what outlines cannot say.
 * @m: what @node is in, to cairo's page
 * @stop: (nullable): this node, and what comes after it, is left out
 * @plain: (nullable): this node's own blend mode is passed over
 * @evenly: the opacity of groups is multiplied into their members instead
 */
typedef struct
{
  Palette    *palette;
  RhyAffine   m;
  const Node *stop;
  const Node *plain;
  gboolean    evenly;
} DrawOptions;

/* @cr: its space is cairo's page. */
void draw_node (cairo_t *cr, const Node *node, const DrawOptions *options);
/* A pattern's cell of @width by @height units of its own, which go by @m to cairo's
 * page; borrowed, NULL if it has no extent. */
RhyRaster *draw_cell (Palette *palette, const Node *server, double width, double height, RhyAffine m);

/* A mask that is one plain paint all over is the opacity of a group. */
gboolean mask_is_opacity (const Node *mask, double *alpha);
/* Whether @node is put on what lies under it otherwise than over it. */
gboolean node_has_blend (const Node *node, cairo_operator_t *blend);

G_END_DECLS
