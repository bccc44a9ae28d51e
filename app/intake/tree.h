/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "wire.h"

G_BEGIN_DECLS

/* The SVG that cairo writes, as a light tree: path data is turned into points
 * as it streams by, everything else stays as short strings. */
typedef struct _Node Node;
typedef struct { const char *name, *value; } Attribute;

struct _Node
{
  const char *name;             /* interned, without prefix */
  Attribute  *attributes;
  guint       n_attributes;
  WirePath   *path;             /* of a "d" attribute */
  Node       *parent, *first, *last, *next;
};

typedef struct _Tree Tree;

Tree *tree_new (void);
void tree_free (Tree *tree);
/* Feeds bytes as cairo writes them. */
gboolean tree_feed (Tree *tree, const char *text, gsize length, GError **error);
gboolean tree_end (Tree *tree, GError **error);
Node *tree_get_root (Tree *tree);
/* Takes away the rectangle over the whole page that was painted first, in this colour. */
extern const double tree_ground[3];
void tree_drop_ground (Tree *tree);
/* By "#id", "url(#id)" or "id"; NULL if there is none. */
Node *tree_find (Tree *tree, const char *reference);

gboolean node_is (const Node *node, const char *name);
const char *node_get (const Node *node, const char *name);
/* An attribute, or the same property in "style"; NULL if it is in neither.
 * The value ends at a NUL or a semicolon. */
const char *node_get_style (const Node *node, const char *name);
gboolean value_is (const char *value, const char *word);
double node_get_number (const Node *node, const char *name, double otherwise);
RhyAffine node_get_matrix (const Node *node, const char *name);
/* Up to @max numbers; Returns: how many. */
gsize scan_numbers (const char *text, double *numbers, gsize max);
void wire_path_free (WirePath *path);
WirePath *wire_path_new_rectangle (double x, double y, double width, double height);

G_END_DECLS
