/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "tree.h"

#include <math.h>
#include <string.h>

struct _Tree
{
  GMarkupParseContext *context;
  GStringChunk        *strings;
  GHashTable          *ids;             /* borrowed strings to borrowed nodes */
  GPtrArray           *nodes;           /* all of them, owned */
  Node                *root, *open;
  guint                depth;
  GArray              *points;          /* of the path that is being read */
  GByteArray          *verbs;
};

/* cairo nests no deeper than librsvg lets a document; far below any stack. */
static const guint DEPTH_MAX = 4096;

static WirePath *
path_new (const RhyPoint *points,
          gsize           n_points,
          const guint8   *verbs,
          gsize           n_verbs)
{
  WirePath *path = g_new (WirePath, 1);
  *path = (WirePath) { g_memdup2 (points, n_points * sizeof *points), g_memdup2 (verbs, n_verbs), n_points, n_verbs };
  return path;
}

void
wire_path_free (WirePath *path)
{
  g_free (path->points);
  g_free (path->verbs);
  g_free (path);
}

WirePath *
wire_path_new_rectangle (double x,
                         double y,
                         double width,
                         double height)
{
  static const guint8 verbs[] = { RHY_PATH_MOVE, RHY_PATH_LINE, RHY_PATH_LINE, RHY_PATH_LINE, RHY_PATH_CLOSE };
  const RhyPoint corners[] = { { x, y }, { x + width, y }, { x + width, y + height }, { x, y + height } };
  return path_new (corners, G_N_ELEMENTS (corners), verbs, G_N_ELEMENTS (verbs));
}

/* Digits gathered in a whole number below 2^53 and one division by an exact
 * power of ten give the nearest double, as strtod would, without its cost or
 * its locale. Anything longer goes to g_ascii_strtod(). */
static gboolean
scan_number (const char **text,
             double      *number)
{
  static const double tens[] = { 1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15 };
  const char *at = *text;
  while (g_ascii_isspace (*at) || *at == ',')
    at++;
  const char *start = at;
  const gboolean negative = *at == '-';
  if (*at == '-' || *at == '+')
    at++;

  guint64 whole = 0;
  guint digits = 0;
  guint decimals = 0;
  for (; g_ascii_isdigit (*at); at++, digits++)
    whole = whole * 10 + (guint64) (*at - '0');
  if (*at == '.')
    for (at++; g_ascii_isdigit (*at); at++, digits++, decimals++)
      whole = whole * 10 + (guint64) (*at - '0');
  if (digits == 0)
    return FALSE;

  if (digits > 15 || *at == 'e' || *at == 'E')
    {
      char *end;
      *number = g_ascii_strtod (start, &end);
      *text = end;
      return end != start;
    }
  const double value = (double) whole / tens[decimals];
  *number = negative ? -value : value;
  *text = at;
  return TRUE;
}

gsize
scan_numbers (const char *text,
              double     *numbers,
              gsize       max)
{
  gsize n = 0;
  while (n < max && scan_number (&text, &numbers[n]))
    n++;
  return n;
}

/* Absolute M, L, C (and H, V, which newer versions write) and Z; a lone M that
 * cairo leaves after a Z is dropped. */
static WirePath *
scan_path (Tree       *tree,
           const char *d)
{
  GArray *points = tree->points;
  GByteArray *verbs = tree->verbs;
  g_array_set_size (points, 0);
  g_byte_array_set_size (verbs, 0);
  RhyPoint current = { 0.0, 0.0 };
  char command = 0;

  while (TRUE)
    {
      while (g_ascii_isspace (*d) || *d == ',')
        d++;
      if (g_ascii_isalpha (*d))
        command = *d++;
      else if (*d == '\0')
        break;

      if (command == 'Z' || command == 'z')
        {
          if (verbs->len > 0)
            g_byte_array_append (verbs, &(guint8) { RHY_PATH_CLOSE }, 1);
          command = 0;
          continue;
        }
      const gsize wanted = command == 'C' ? 6 : command == 'M' || command == 'L' ? 2 : command == 'H' || command == 'V' ? 1 : 0;
      double v[6];
      gsize n = 0;
      while (n < wanted && scan_number (&d, &v[n]))
        n++;
      if (wanted == 0 || n < wanted)
        break;
      if (command == 'H')
        v[1] = current.y;
      else if (command == 'V')
        v[1] = v[0], v[0] = current.x;
      const guint count = command == 'C' ? 3 : 1;
      const guint8 verb = command == 'M' ? RHY_PATH_MOVE : command == 'C' ? RHY_PATH_CUBIC : RHY_PATH_LINE;
      if (verb != RHY_PATH_MOVE && verbs->len == 0)
        break;
      g_byte_array_append (verbs, &verb, 1);
      g_array_append_vals (points, v, count);
      current = (RhyPoint) { v[2 * count - 2], v[2 * count - 1] };
      if (command == 'M')
        command = 'L';
    }
  if (verbs->len > 0 && verbs->data[verbs->len - 1] == RHY_PATH_MOVE)
    {
      g_byte_array_set_size (verbs, verbs->len - 1);
      g_array_set_size (points, points->len - 1);
    }
  return path_new ((const RhyPoint *) (gconstpointer) points->data, points->len, verbs->data, verbs->len);
}

static const char *
without_prefix (const char *name)
{
  const char *colon = strchr (name, ':');
  return colon != NULL ? colon + 1 : name;
}

static void
start_element (GMarkupParseContext *context,
               const char          *name,
               const char         **names,
               const char         **values,
               gpointer             data,
               GError             **error)
{
  Tree *tree = data;
  (void) context;

  Node *node = g_new0 (Node, 1);
  g_ptr_array_add (tree->nodes, node);
  node->name = g_intern_string (without_prefix (name));
  node->parent = tree->open;

  guint n = 0;
  while (names[n] != NULL)
    n++;
  node->attributes = g_new (Attribute, n);
  for (guint i = 0; i < n; i++)
    {
      if (strcmp (names[i], "d") == 0)
        {
          node->path = scan_path (tree, values[i]);
          continue;
        }
      node->attributes[node->n_attributes++]
        = (Attribute) { g_intern_string (without_prefix (names[i])), g_string_chunk_insert (tree->strings, values[i]) };
    }

  if (tree->open == NULL)
    tree->root = node;
  else if (tree->open->last == NULL)
    tree->open->first = tree->open->last = node;
  else
    tree->open->last = tree->open->last->next = node;

  const char *id = node_get (node, "id");
  if (id != NULL)
    g_hash_table_insert (tree->ids, (gpointer) id, node);
  tree->open = node;

  if (++tree->depth > DEPTH_MAX)
    g_set_error_literal (error, RHY_ERROR, RHY_ERROR_LIMIT, "nested too deeply");
}

static void
end_element (GMarkupParseContext *context,
             const char          *name,
             gpointer             data,
             GError             **error)
{
  Tree *tree = data;
  (void) context;
  (void) name;
  (void) error;
  tree->open = tree->open->parent;
  tree->depth--;
}

static const GMarkupParser parser = { .start_element = start_element, .end_element = end_element };

static void
free_node (gpointer data)
{
  Node *node = data;
  g_clear_pointer (&node->path, wire_path_free);
  g_free (node->attributes);
  g_free (node);
}

Tree *
tree_new (void)
{
  Tree *tree = g_new0 (Tree, 1);
  tree->context = g_markup_parse_context_new (&parser, G_MARKUP_DEFAULT_FLAGS, tree, NULL);
  tree->strings = g_string_chunk_new (16 * 1024);
  tree->ids = g_hash_table_new (g_str_hash, g_str_equal);
  tree->nodes = g_ptr_array_new_with_free_func (free_node);
  tree->points = g_array_new (FALSE, FALSE, sizeof (RhyPoint));
  tree->verbs = g_byte_array_new ();
  return tree;
}

void
tree_free (Tree *tree)
{
  g_markup_parse_context_free (tree->context);
  g_hash_table_unref (tree->ids);
  g_ptr_array_unref (tree->nodes);
  g_string_chunk_free (tree->strings);
  g_array_unref (tree->points);
  g_byte_array_unref (tree->verbs);
  g_free (tree);
}

gboolean
tree_feed (Tree       *tree,
           const char *text,
           gsize       length,
           GError    **error)
{
  return g_markup_parse_context_parse (tree->context, text, (gssize) length, error);
}

gboolean
tree_end (Tree    *tree,
          GError **error)
{
  return g_markup_parse_context_end_parse (tree->context, error);
}

Node *
tree_get_root (Tree *tree)
{
  return tree->root;
}

const double tree_ground[3] = { 0.01234, 0.45678, 0.89012 };

void
tree_drop_ground (Tree *tree)
{
  Node *root = tree_get_root (tree);
  Node *page = root != NULL ? root->first : NULL;
  while (page != NULL && !node_is (page, "g"))
    page = page->next;
  Node *ground = page != NULL ? page->first : NULL;
  if (ground == NULL || !node_is (ground, "rect"))
    return;
  /* Known by a colour that nobody uses: cairo leaves it out where a rectangle of the drawing's
   * own covers all of it. */
  const char *fill = node_get_style (ground, "fill");
  double rgb[3];
  if (fill == NULL || strncmp (fill, "rgb(", 4) != 0)
    return;
  g_autofree char *numbers = g_strndup (fill + 4, strcspn (fill + 4, ");"));
  g_strdelimit (numbers, "%", ' ');
  if (scan_numbers (numbers, rgb, 3) != 3)
    return;
  for (int i = 0; i < 3; i++)
    if (fabs (rgb[i] - 100.0 * tree_ground[i]) > 1e-3)
      return;
  page->first = ground->next;
  if (page->first == NULL)
    page->last = NULL;
}

Node *
tree_find (Tree       *tree,
           const char *reference)
{
  if (reference == NULL)
    return NULL;
  const char *from = reference;
  if (g_str_has_prefix (from, "url("))
    from += 4;
  while (*from == '#' || *from == '"' || *from == '\'')
    from++;
  g_autofree char *id = g_strndup (from, strcspn (from, ")\"';"));
  return g_hash_table_lookup (tree->ids, id);
}

gboolean
node_is (const Node *node,
         const char *name)
{
  return strcmp (node->name, name) == 0;
}

const char *
node_get (const Node *node,
          const char *name)
{
  for (guint i = 0; i < node->n_attributes; i++)
    if (strcmp (node->attributes[i].name, name) == 0)
      return node->attributes[i].value;
  return NULL;
}

const char *
node_get_style (const Node *node,
                const char *name)
{
  const char *style = node_get (node, "style");
  const gsize length = strlen (name);
  while (style != NULL)
    {
      while (*style == ';' || g_ascii_isspace (*style))
        style++;
      if (strncmp (style, name, length) == 0 && style[length] == ':')
        {
          style += length + 1;
          while (g_ascii_isspace (*style))
            style++;
          return style;
        }
      style = strchr (style, ';');
    }
  return node_get (node, name);
}

gboolean
value_is (const char *value,
          const char *word)
{
  if (value == NULL)
    return FALSE;
  const gsize length = strlen (word);
  return strncmp (value, word, length) == 0 && (value[length] == '\0' || value[length] == ';');
}

double
node_get_number (const Node *node,
                 const char *name,
                 double      otherwise)
{
  double value;
  const char *text = node_get_style (node, name);
  return text != NULL && scan_number (&text, &value) ? value : otherwise;
}

RhyAffine
node_get_matrix (const Node *node,
                 const char *name)
{
  const char *text = node_get (node, name);
  RhyAffine m = RHY_AFFINE_IDENTITY;
  double v[6];
  if (text == NULL)
    return m;
  const char *paren = strchr (text, '(');
  const gsize n = paren != NULL ? scan_numbers (paren + 1, v, 6) : 0;
  if (g_str_has_prefix (text, "matrix") && n == 6)
    m = (RhyAffine) { v[0], v[1], v[2], v[3], v[4], v[5] };
  else if (g_str_has_prefix (text, "translate") && n >= 1)
    m.x0 = v[0], m.y0 = n > 1 ? v[1] : 0.0;
  else if (g_str_has_prefix (text, "scale") && n >= 1)
    m.xx = v[0], m.yy = n > 1 ? v[1] : v[0];
  return m;
}
