/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "flat.h"

#include <cairo.h>
#include <math.h>
#include <string.h>

/* A `use` inside a definition inside a `use`: cairo writes a level for every
 * group librsvg paints apart, and librsvg stops at its own limits. */
static const guint DEPTH_MAX = 512;
/* A symbol used over and over is read once but sent every time. */
static const guint64 POINTS_MAX = 40 * 1000 * 1000;

typedef struct _Clip Clip;
struct _Clip
{
  const Clip *outer;
  guint32     index;
  RhyBounds   box;
};

/* What holds at a place in the tree, handed down by value. */
typedef struct
{
  RhyAffine   m;                /* to cairo's page */
  double      alpha;
  const Clip *clip;
  guint       depth;
} Here;

typedef struct
{
  Wire       *wire;
  Tree       *tree;
  RhyAffine   to_mm;
  double      page_width, page_height;  /* cairo's units */
  GHashTable *clips;            /* "node pointer, matrix" to index + 1 */
  guint32     n_clips;
  guint64     n_points;
  gsize       n_sent;
  gboolean    found_picture;
  RhyBounds   seen;             /* mm, of what was sent since it was last emptied */
  GHashTable *unknown;          /* element names already spoken of */
} Flat;

static void walk (Flat *flat, const Node *node, Here here);
static void walk_children (Flat *flat, const Node *node, Here here);

static gboolean
is (const Node *node,
    const char *name)
{
  return strcmp (node->name, name) == 0;
}

static RhyBounds
intersection (RhyBounds a,
              RhyBounds b)
{
  return (RhyBounds) { MAX (a.min_x, b.min_x), MAX (a.min_y, b.min_y),
                       MIN (a.max_x, b.max_x), MIN (a.max_y, b.max_y) };
}

/* The box of the control points: never too small. */
static RhyBounds
hull (const WirePath *path,
      RhyAffine       m)
{
  RhyBounds box = RHY_BOUNDS_EMPTY;
  for (guint i = 0; i < path->points->len; i++)
    {
      const RhyPoint p = rhy_affine_apply (m, g_array_index (path->points, RhyPoint, i));
      box = rhy_bounds_with (box, p.x, p.y);
    }
  return box;
}

static RhyBounds
box_through (double    x,
             double    y,
             double    width,
             double    height,
             RhyAffine m)
{
  RhyBounds box = RHY_BOUNDS_EMPTY;
  for (int i = 0; i < 4; i++)
    {
      const RhyPoint p = rhy_affine_apply (m, (RhyPoint) { i & 1 ? x + width : x, i & 2 ? y + height : y });
      box = rhy_bounds_with (box, p.x, p.y);
    }
  return box;
}

static RhyBounds
within_clips (RhyBounds   box,
              const Clip *clip)
{
  for (; clip != NULL; clip = clip->outer)
    box = intersection (box, clip->box);
  return box;
}

static void
send_picture (Flat          *flat,
              RhyPictureKind kind,
              RhyBounds      box,
              const Here    *here)
{
  const RhyBounds page = box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  box = intersection (within_clips (box, here->clip), page);
  if (rhy_bounds_is_empty (box))
    return;
  wire_picture (flat->wire, kind, box);
  flat->seen = rhy_bounds_union (flat->seen, box);
  flat->n_sent++;
}

/* ---- paint ---- */

typedef struct
{
  gboolean       inks;
  RhyColour      colour;
  gboolean       is_picture;    /* also of that kind */
  RhyPictureKind kind;
  const Node    *image;         /* of an image paint, */
  RhyAffine      image_matrix;  /* from its pixels to the path's coordinates */
} Paint;

static gboolean
read_colour (const char *value,
             RhyColour  *colour)
{
  static const struct { const char *name; double r, g, b; } names[] = {
    { "black", 0, 0, 0 }, { "white", 1, 1, 1 }, { "red", 1, 0, 0 }, { "lime", 0, 1, 0 }, { "blue", 0, 0, 1 },
  };
  if (g_str_has_prefix (value, "rgb("))
    {
      /* "12.5%, 0%, 100%": the percent sign ends a number. */
      double v[3];
      const char *at = value + 4;
      for (int i = 0; i < 3; i++)
        {
          if (scan_numbers (at, &v[i], 1) != 1)
            return FALSE;
          at += strcspn (at, ",)");
          at += *at == ',';
        }
      const double full = strchr (value, '%') != NULL && strchr (value, '%') < at ? 100.0 : 255.0;
      *colour = (RhyColour) { v[0] / full, v[1] / full, v[2] / full, 1.0 };
      return TRUE;
    }
  if (*value == '#')
    {
      guint64 bits = 0;
      gsize n = 0;
      while (g_ascii_isxdigit (value[1 + n]) && n < 6)
        bits = bits << 4 | (guint64) g_ascii_xdigit_value (value[1 + n++]);
      if (n == 3)
        bits = (bits & 0xf00) * 0x1100 | (bits & 0xf0) * 0x110 | (bits & 0xf) * 0x11;
      *colour = (RhyColour) { (double) (bits >> 16 & 255) / 255.0, (double) (bits >> 8 & 255) / 255.0,
                              (double) (bits & 255) / 255.0, 1.0 };
      return n == 3 || n == 6;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    if (value_is (value, names[i].name))
      {
        *colour = (RhyColour) { names[i].r, names[i].g, names[i].b, 1.0 };
        return TRUE;
      }
  return FALSE;
}

/* The mean over the gradient's own length, stops weighted by the stretch they
 * rule; colours weighted by their alpha, as paint lying side by side is. */
static RhyColour
mean_of_stops (const Node *gradient)
{
  double r = 0, g = 0, b = 0, a = 0, total = 0;
  RhyColour before = { 0, 0, 0, 0 };
  double at = 0.0;
  gboolean any = FALSE;

  for (const Node *stop = gradient->first; stop != NULL; stop = stop->next)
    {
      RhyColour c = { 0, 0, 0, 1 };
      const char *colour = node_get_style (stop, "stop-color");
      if (!is (stop, "stop") || (colour != NULL && !read_colour (colour, &c)))
        continue;
      c.a = CLAMP (node_get_number (stop, "stop-opacity", 1.0), 0.0, 1.0);
      const double offset = CLAMP (node_get_number (stop, "offset", 0.0), 0.0, 1.0);
      const RhyColour from = any ? before : c;
      const double w = MAX (0.0, offset - at);
      const double area = 0.5 * w * (from.a + c.a);
      r += 0.5 * w * (from.r * from.a + c.r * c.a);
      g += 0.5 * w * (from.g * from.a + c.g * c.a);
      b += 0.5 * w * (from.b * from.a + c.b * c.a);
      a += area;
      total += w;
      before = c;
      at = MAX (at, offset);
      any = TRUE;
    }
  const double rest = any ? 1.0 - at : 0.0;
  r += rest * before.r * before.a;
  g += rest * before.g * before.a;
  b += rest * before.b * before.a;
  a += rest * before.a;
  total += rest;
  if (!(a > 0.0) || !(total > 0.0))
    return (RhyColour) { 0, 0, 0, 0 };
  return (RhyColour) { r / a, g / a, b / a, a / total };
}

/* The first plain colour painted under @node, looking through `use`. */
static gboolean
first_colour (Flat       *flat,
              const Node *node,
              guint       depth,
              RhyColour  *colour)
{
  static const char *const paints[] = { "fill", "stroke" };
  if (depth > 16)
    return FALSE;
  for (gsize i = 0; node->path != NULL && i < G_N_ELEMENTS (paints); i++)
    {
      const char *value = node_get_style (node, paints[i]);
      if (value != NULL && read_colour (value, colour))
        return TRUE;
    }
  const Node *used = is (node, "use") ? tree_find (flat->tree, node_get (node, "href")) : NULL;
  if (used != NULL && first_colour (flat, used, depth + 1, colour))
    return TRUE;
  for (const Node *child = node->first; child != NULL; child = child->next)
    if (first_colour (flat, child, depth + 1, colour))
      return TRUE;
  return FALSE;
}

/* An image under @node, with the matrix from its pixels to @node's space. */
static const Node *
image_in (Flat       *flat,
          const Node *node,
          guint       depth,
          RhyAffine  *m)
{
  if (depth > 16)
    return NULL;
  for (const Node *child = node->first; child != NULL; child = child->next)
    {
      const RhyAffine own = rhy_affine_then (node_get_matrix (child, "transform"), *m);
      const Node *used = is (child, "use") ? tree_find (flat->tree, node_get (child, "href")) : child;
      if (used == NULL)
        continue;
      if (is (used, "image"))
        {
          *m = own;
          return used;
        }
      RhyAffine inner = own;
      const Node *found = image_in (flat, used, depth + 1, &inner);
      if (found != NULL)
        {
          *m = inner;
          return found;
        }
    }
  return NULL;
}

static Paint
read_paint (Flat       *flat,
            const Node *node,
            const char *property,
            const char *opacity)
{
  const char *value = node_get_style (node, property);
  Paint paint = { 0 };
  if (value == NULL)
    {
      /* SVG's own defaults: black fill, no stroke. */
      paint.inks = strcmp (property, "fill") == 0;
      paint.colour.a = 1.0;
    }
  else if (g_str_has_prefix (value, "url("))
    {
      const Node *server = tree_find (flat->tree, value);
      paint.inks = server != NULL;
      paint.is_picture = server != NULL;
      paint.kind = RHY_PICTURE_UNKNOWN;
      paint.colour = (RhyColour) { 0.5, 0.5, 0.5, 1.0 };
      if (server != NULL && g_str_has_suffix (server->name, "Gradient"))
        {
          paint.kind = RHY_PICTURE_GRADIENT;
          const Node *stops = server;
          if (server->first == NULL && node_get (server, "href") != NULL)
            stops = tree_find (flat->tree, node_get (server, "href"));
          paint.colour = mean_of_stops (stops != NULL ? stops : server);
        }
      else if (server != NULL && is (server, "pattern"))
        {
          paint.kind = RHY_PICTURE_PATTERN;
          paint.image_matrix = node_get_matrix (server, "patternTransform");
          paint.image = image_in (flat, server, 0, &paint.image_matrix);
          if (paint.image != NULL)
            paint.kind = RHY_PICTURE_IMAGE;
          else
            first_colour (flat, server, 0, &paint.colour);
        }
    }
  else if (!value_is (value, "none"))
    paint.inks = read_colour (value, &paint.colour);

  paint.colour.a *= CLAMP (node_get_number (node, opacity, 1.0), 0.0, 1.0);
  return paint;
}

/* ---- pictures ---- */

/* The part of a PNG that is not clear, in its pixels; the whole of it if it
 * cannot be read. What a filter leaves is a picture of the whole page, mostly
 * clear, and the ink box must not grow to the page for it. */
typedef struct { const guchar *data; gsize length; } Bytes;

static cairo_status_t
read_bytes (void         *closure,
            unsigned char *data,
            unsigned int   length)
{
  Bytes *bytes = closure;
  if (length > bytes->length)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (data, bytes->data, length);
  bytes->data += length;
  bytes->length -= length;
  return CAIRO_STATUS_SUCCESS;
}

static RhyBounds
painted_part (const Node *image)
{
  const double width = node_get_number (image, "width", 0.0);
  const double height = node_get_number (image, "height", 0.0);
  const RhyBounds whole = { 0, 0, width, height };
  const char *href = node_get (image, "href");
  const char *comma = href != NULL ? strchr (href, ',') : NULL;
  if (comma == NULL || !g_str_has_prefix (href, "data:image/png;base64"))
    return whole;

  gsize length = 0;
  g_autofree guchar *png = g_base64_decode (comma + 1, &length);
  Bytes bytes = { png, length };
  cairo_surface_t *surface = cairo_image_surface_create_from_png_stream (read_bytes, &bytes);
  RhyBounds box = RHY_BOUNDS_EMPTY;
  if (cairo_surface_status (surface) == CAIRO_STATUS_SUCCESS
      && cairo_image_surface_get_format (surface) == CAIRO_FORMAT_ARGB32)
    {
      const guchar *data = cairo_image_surface_get_data (surface);
      const int stride = cairo_image_surface_get_stride (surface);
      const int w = cairo_image_surface_get_width (surface);
      const int h = cairo_image_surface_get_height (surface);
      for (int y = 0; y < h; y++)
        {
          const guint32 *row = (const guint32 *) (gconstpointer) (data + (gsize) y * (gsize) stride);
          for (int x = 0; x < w; x++)
            if (row[x] >> 24 != 0)
              {
                box = rhy_bounds_with (box, x, y);
                box = rhy_bounds_with (box, x + 1, y + 1);
              }
        }
    }
  else
    box = whole;
  cairo_surface_destroy (surface);
  return box;
}

/* A picture that covers exactly the page is what librsvg made of a filter. */
static gboolean
covers_page (const Flat *flat,
             const Node *image,
             RhyAffine   m)
{
  const RhyBounds box = box_through (0, 0, node_get_number (image, "width", 0.0),
                                     node_get_number (image, "height", 0.0), m);
  const double slack = MAX (hypot (m.xx, m.yx), hypot (m.xy, m.yy)) * 1.01;
  return fabs (box.min_x) < 1e-3 * slack && fabs (box.min_y) < 1e-3 * slack
         && m.xy == 0.0 && m.yx == 0.0
         && fabs (box.max_x - flat->page_width) <= slack && fabs (box.max_y - flat->page_height) <= slack;
}

static void
send_image (Flat       *flat,
            const Node *image,
            RhyAffine   m,
            RhyBounds   within,
            const Here *here)
{
  flat->found_picture = TRUE;
  const RhyBounds part = painted_part (image);
  if (rhy_bounds_is_empty (part))
    return;
  const RhyBounds box = box_through (part.min_x, part.min_y, part.max_x - part.min_x, part.max_y - part.min_y,
                                     rhy_affine_then (m, flat->to_mm));
  send_picture (flat, covers_page (flat, image, m) ? RHY_PICTURE_FILTER : RHY_PICTURE_IMAGE,
                intersection (box, within), here);
}

/* ---- shapes ---- */

static guint32 *
list_clips (const Clip *clip,
            guint32    *n)
{
  *n = 0;
  for (const Clip *c = clip; c != NULL; c = c->outer)
    ++*n;
  guint32 *list = g_new (guint32, MAX (*n, 1));
  guint32 i = *n;
  for (const Clip *c = clip; c != NULL; c = c->outer)
    list[--i] = c->index;
  return list;
}

static void
read_pen (const Node   *node,
          RhyAffine     to_mm,
          RhyWireShape *shape,
          double      **dashes)
{
  const char *cap = node_get_style (node, "stroke-linecap");
  const char *join = node_get_style (node, "stroke-linejoin");
  shape->cap = value_is (cap, "round") ? RHY_CAP_ROUND : value_is (cap, "square") ? RHY_CAP_SQUARE : RHY_CAP_BUTT;
  shape->join = value_is (join, "round") ? RHY_JOIN_ROUND : value_is (join, "bevel") ? RHY_JOIN_BEVEL : RHY_JOIN_MITER;
  shape->width = node_get_number (node, "stroke-width", 1.0);
  shape->miter_limit = node_get_number (node, "stroke-miterlimit", 4.0);
  shape->dash_offset = node_get_number (node, "stroke-dashoffset", 0.0);
  shape->xx = to_mm.xx;
  shape->yx = to_mm.yx;
  shape->xy = to_mm.xy;
  shape->yy = to_mm.yy;

  const char *list = node_get_style (node, "stroke-dasharray");
  if (list == NULL || value_is (list, "none"))
    return;
  *dashes = g_new (double, 1024);
  shape->n_dashes = scan_numbers (list, *dashes, 1024);
}

static void
send_shape (Flat       *flat,
            const Node *node,
            const WirePath *path,
            Here        here)
{
  const RhyAffine m = rhy_affine_then (node_get_matrix (node, "transform"), here.m);
  const RhyAffine to_mm = rhy_affine_then (m, flat->to_mm);
  Paint fill = read_paint (flat, node, "fill", "fill-opacity");
  Paint stroke = read_paint (flat, node, "stroke", "stroke-opacity");
  const RhyBounds outline = hull (path, to_mm);
  if (path->verbs->len == 0 || rhy_bounds_is_empty (outline))
    return;

  if (fill.inks && fill.image != NULL)
    {
      /* The path only frames the image. */
      send_image (flat, fill.image, rhy_affine_then (fill.image_matrix, m), outline, &here);
      fill = (Paint) { 0 };
    }

  g_autofree double *dashes = NULL;
  RhyWireShape shape = { .rule = value_is (node_get_style (node, "fill-rule"), "evenodd") ? RHY_FILL_EVENODD : RHY_FILL_NONZERO,
                         .xx = 1.0, .yy = 1.0, .miter_limit = 4.0 };
  if (stroke.inks)
    read_pen (node, to_mm, &shape, &dashes);
  fill.colour.a *= here.alpha;
  stroke.colour.a *= here.alpha;
  shape.fill = fill.colour;
  shape.stroke = stroke.colour;
  shape.has_fill = fill.inks && fill.colour.a > 0.0;
  shape.has_stroke = stroke.inks && stroke.colour.a > 0.0 && shape.width > 0.0;

  const double reach = shape.has_stroke ? 0.5 * shape.width * MAX (hypot (to_mm.xx, to_mm.xy), hypot (to_mm.yx, to_mm.yy)) : 0.0;
  const RhyBounds box = { outline.min_x - reach, outline.min_y - reach, outline.max_x + reach, outline.max_y + reach };
  if (fill.inks && fill.is_picture)
    send_picture (flat, fill.kind, outline, &here);
  if (stroke.inks && stroke.is_picture)
    send_picture (flat, stroke.kind, box, &here);
  if (!shape.has_fill && !shape.has_stroke)
    return;

  flat->n_points += path->points->len;
  if (flat->n_points > POINTS_MAX)
    wire_fail (flat->wire, RHY_ERROR_LIMIT, "more than the %" G_GUINT64_FORMAT " points allowed", POINTS_MAX);
  g_autofree guint32 *clips = list_clips (here.clip, &shape.n_clips);
  wire_shape (flat->wire, &shape, dashes, clips, path, to_mm);
  const RhyBounds cut = within_clips (box, here.clip);
  if (!rhy_bounds_is_empty (cut))
    flat->seen = rhy_bounds_union (flat->seen, cut);
  flat->n_sent++;
}

static WirePath *
path_of_rectangle (const Node *node)
{
  const double x = node_get_number (node, "x", 0.0);
  const double y = node_get_number (node, "y", 0.0);
  const double w = node_get_number (node, "width", 0.0);
  const double h = node_get_number (node, "height", 0.0);
  WirePath *path = wire_path_new ();
  wire_path_add (path, RHY_PATH_MOVE, &(RhyPoint) { x, y }, 1);
  wire_path_add (path, RHY_PATH_LINE, &(RhyPoint) { x + w, y }, 1);
  wire_path_add (path, RHY_PATH_LINE, &(RhyPoint) { x + w, y + h }, 1);
  wire_path_add (path, RHY_PATH_LINE, &(RhyPoint) { x, y + h }, 1);
  wire_path_add (path, RHY_PATH_CLOSE, NULL, 0);
  return path;
}

/* ---- clips, masks, groups ---- */

static gboolean
open_clip (Flat       *flat,
           const Node *group,
           const Here *here,
           Clip       *clip)
{
  const Node *definition = tree_find (flat->tree, node_get_style (group, "clip-path"));
  const Node *shape = definition != NULL ? definition->first : NULL;
  if (shape == NULL || (shape->path == NULL && !is (shape, "rect")))
    return FALSE;

  const RhyAffine m = rhy_affine_then (node_get_matrix (shape, "transform"), here->m);
  const RhyAffine to_mm = rhy_affine_then (m, flat->to_mm);
  WirePath *own = shape->path == NULL ? path_of_rectangle (shape) : NULL;
  const WirePath *path = own != NULL ? own : shape->path;
  /* The rule stands on the group in cairo 1.16, on the path in 1.18. */
  const gboolean evenodd = value_is (node_get_style (group, "clip-rule"), "evenodd")
                           || value_is (node_get_style (shape, "clip-rule"), "evenodd");

  g_autofree char *key = g_strdup_printf ("%p %d %a %a %a %a %a %a", (void *) shape, evenodd, to_mm.xx, to_mm.yx,
                                          to_mm.xy, to_mm.yy, to_mm.x0, to_mm.y0);
  const guint32 known = GPOINTER_TO_UINT (g_hash_table_lookup (flat->clips, key));
  clip->outer = here->clip;
  clip->box = hull (path, to_mm);
  clip->index = known - 1;
  if (known == 0)
    {
      wire_clip (flat->wire, evenodd ? RHY_FILL_EVENODD : RHY_FILL_NONZERO, path, to_mm);
      clip->index = flat->n_clips++;
      g_hash_table_insert (flat->clips, g_steal_pointer (&key), GUINT_TO_POINTER (flat->n_clips));
    }
  if (own != NULL)
    wire_path_free (own);
  return TRUE;
}

/* A mask that is one plain paint all over is the opacity of a group. */
static gboolean
is_opacity (const Node *mask,
            double     *alpha)
{
  const Node *node = mask->first;
  while (node != NULL && is (node, "g") && node->next == NULL)
    node = node->first;
  if (node == NULL || node->next != NULL || !(is (node, "rect") || node->path != NULL))
    return FALSE;
  const char *fill = node_get_style (node, "fill");
  if (fill != NULL && g_str_has_prefix (fill, "url("))
    return FALSE;
  *alpha = CLAMP (node_get_number (node, "fill-opacity", 1.0), 0.0, 1.0);
  return TRUE;
}

/* Runs over what a group holds, then reports it as a picture of @kind: the
 * outlines are kept, what the effect does to them is not. */
static void
walk_as_picture (Flat          *flat,
                 const Node    *node,
                 Here           here,
                 RhyPictureKind kind)
{
  const RhyBounds before = flat->seen;
  flat->seen = RHY_BOUNDS_EMPTY;
  walk (flat, node, here);
  const RhyBounds box = flat->seen;
  flat->seen = rhy_bounds_union (before, box);
  if (!rhy_bounds_is_empty (box))
    send_picture (flat, kind, box, &here);
}

static gboolean
has_blend (const Node *node)
{
  const char *blend = node_get_style (node, "comp-op");
  if (blend == NULL)
    blend = node_get_style (node, "mix-blend-mode");
  return blend != NULL && !value_is (blend, "src-over") && !value_is (blend, "normal");
}

/* Newer cairo writes an operator as a filter of two groups: what was there
 * before, and what comes upon it. */
static gboolean
walk_compositing (Flat       *flat,
                  const Node *node,
                  Here        here)
{
  static const char *const order[] = { "destination", "source" };
  const Node *filter = tree_find (flat->tree, node_get_style (node, "filter"));
  gboolean any = FALSE;
  for (gsize i = 0; filter != NULL && i < G_N_ELEMENTS (order); i++)
    for (const Node *part = filter->first; part != NULL; part = part->next)
      {
        const Node *target = is (part, "feImage") ? tree_find (flat->tree, node_get (part, "href")) : NULL;
        if (target == NULL || !value_is (node_get (part, "result"), order[i]))
          continue;
        any = TRUE;
        if (i == 0)
          walk (flat, target, here);
        else
          walk_as_picture (flat, target, here, RHY_PICTURE_BLEND);
      }
  return any;
}

static void
walk_use (Flat       *flat,
          const Node *node,
          Here        here)
{
  const Node *target = tree_find (flat->tree, node_get (node, "href"));
  if (target == NULL)
    return;

  const RhyAffine shift = { 1, 0, 0, 1, node_get_number (node, "x", 0.0), node_get_number (node, "y", 0.0) };
  here.m = rhy_affine_then (shift, here.m);
  if (is (target, "image"))
    send_image (flat, target, here.m, box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), &here);
  else if (has_blend (node))
    walk_as_picture (flat, target, here, RHY_PICTURE_BLEND);
  else if (is (target, "symbol"))
    walk_children (flat, target, here);
  else
    walk (flat, target, here);
}

static void
note_unknown (Flat       *flat,
              const Node *node,
              Here        here)
{
  send_picture (flat, RHY_PICTURE_UNKNOWN, box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), &here);
  if (g_hash_table_add (flat->unknown, (gpointer) node->name))
    {
      g_autofree char *note = g_strdup_printf ("something that is no outline is left out (%s)", node->name);
      wire_note (flat->wire, note);
    }
}

static void
walk_content (Flat       *flat,
              const Node *node,
              Here        here)
{
  static const char *const definitions[]
    = { "defs", "symbol", "clipPath", "mask", "linearGradient", "radialGradient", "pattern", "filter", "style", "title" };
  for (gsize i = 0; i < G_N_ELEMENTS (definitions); i++)
    if (is (node, definitions[i]))
      return;

  if (node->path != NULL)
    send_shape (flat, node, node->path, here);
  else if (is (node, "rect"))
    {
      WirePath *path = path_of_rectangle (node);
      send_shape (flat, node, path, here);
      wire_path_free (path);
    }
  else if (is (node, "image"))
    send_image (flat, node, rhy_affine_then (node_get_matrix (node, "transform"), here.m),
                box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), &here);
  else if (is (node, "g") || is (node, "svg") || is (node, "use"))
    {
      here.m = rhy_affine_then (node_get_matrix (node, "transform"), here.m);
      if (node_get_style (node, "filter") != NULL && walk_compositing (flat, node, here))
        return;
      if (is (node, "use"))
        walk_use (flat, node, here);
      else
        walk_children (flat, node, here);
    }
  else if (!is (node, "path"))
    note_unknown (flat, node, here);
}

static void
walk (Flat       *flat,
      const Node *node,
      Here        here)
{
  if (++here.depth > DEPTH_MAX)
    wire_fail (flat->wire, RHY_ERROR_LIMIT, "nested deeper than the %u levels allowed", DEPTH_MAX);

  /* A clip holds in the space of the group that has it, its own transform included. */
  Clip clip;
  Here inner = here;
  if (node_get_style (node, "clip-path") != NULL)
    {
      Here at = here;
      at.m = rhy_affine_then (node_get_matrix (node, "transform"), here.m);
      if (open_clip (flat, node, &at, &clip))
        inner.clip = &clip;
    }

  if (node->path == NULL && !is (node, "rect"))
    inner.alpha *= CLAMP (node_get_number (node, "opacity", 1.0), 0.0, 1.0);

  const Node *mask = tree_find (flat->tree, node_get_style (node, "mask"));
  double alpha = 1.0;
  if (mask == NULL)
    walk_content (flat, node, inner);
  else if (is_opacity (mask, &alpha))
    {
      inner.alpha *= alpha;
      walk_content (flat, node, inner);
    }
  else
    {
      const RhyBounds before = flat->seen;
      flat->seen = RHY_BOUNDS_EMPTY;
      walk_content (flat, node, inner);
      const RhyBounds box = flat->seen;
      flat->seen = rhy_bounds_union (before, box);
      if (!rhy_bounds_is_empty (box))
        send_picture (flat, RHY_PICTURE_MASK, box, &inner);
    }
}

static void
walk_children (Flat       *flat,
               const Node *node,
               Here        here)
{
  for (const Node *child = node->first; child != NULL; child = child->next)
    walk (flat, child, here);
}

gsize
flat_send (Wire     *wire,
           Tree     *tree,
           double    scale,
           double    width_px,
           double    height_px,
           gboolean *found_picture)
{
  const double mm = 25.4 / 96.0 / scale;
  Flat flat = {
    .wire = wire,
    .tree = tree,
    .to_mm = { mm, 0.0, 0.0, -mm, 0.0, height_px * scale * mm },
    .page_width = width_px * scale,
    .page_height = height_px * scale,
    .clips = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL),
    .unknown = g_hash_table_new (g_str_hash, g_str_equal),
    .seen = RHY_BOUNDS_EMPTY,
  };
  const Node *root = tree_get_root (tree);
  if (root != NULL)
    walk (&flat, root, (Here) { RHY_AFFINE_IDENTITY, 1.0, NULL, 0 });
  *found_picture = flat.found_picture;
  g_hash_table_unref (flat.clips);
  g_hash_table_unref (flat.unknown);
  return flat.n_sent;
}
