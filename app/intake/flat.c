/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "flat.h"

#include <cairo.h>
#include <math.h>
#include <string.h>

#include "flat-private.h"

/* A `use` inside a definition inside a `use`: cairo writes a level for every
 * group librsvg paints apart, and librsvg stops at its own limits. */
static const guint DEPTH_MAX = 512;
/* What has no outlines is drawn this finely, in parts of the size that the drawing
 * states, and less finely where it would take more pixels than these in all. */
static const double DOTS_PER_INCH = 600.0;
static const double DRAWN_PIXELS = 32e6;
/* A pattern of outlines comes as outlines, cell by cell, up to so many cells and points. */
static const double CELLS_MAX = 4096.0;
static const double CELL_POINTS_MAX = 400e3;

static void walk_children (Flat *flat, const Node *node, Here here);

RhyBounds
flat_intersection (RhyBounds a,
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
  for (gsize i = 0; i < path->n_points; i++)
    {
      const RhyPoint p = rhy_affine_apply (m, path->points[i]);
      box = rhy_bounds_with (box, p.x, p.y);
    }
  return box;
}

RhyBounds
flat_box_through (double    x,
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
    box = flat_intersection (box, clip->box);
  return box;
}

void
flat_send_picture (Flat          *flat,
                   RhyPictureKind kind,
                   RhyBounds      box,
                   gboolean       is_drawn,
                   const Here    *here)
{
  const RhyBounds page = flat_box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  box = flat_intersection (within_clips (box, here->clip), page);
  if (rhy_bounds_is_empty (box))
    return;
  flat->seen = rhy_bounds_union (flat->seen, box);
  flat->n_sent++;
  if (flat->measuring == 0)
    wire_picture (flat->wire, kind, box, is_drawn);
}

/* ---- paints ---- */

static guint32
send_raster (Flat      *flat,
             RhyRaster *raster)
{
  const guint32 known = GPOINTER_TO_UINT (g_hash_table_lookup (flat->rasters, raster));
  if (known > 0)
    return known - 1;
  flat->n_pixels += (guint64) rhy_raster_get_width (raster) * rhy_raster_get_height (raster);
  if (flat->n_pixels > RHY_RASTER_PIXELS_MAX)
    wire_fail (flat->wire, RHY_ERROR_LIMIT,
               "its pictures have %.0f million pixels, more than the %.0f million allowed: make them smaller in the drawing program",
               1e-6 * (double) flat->n_pixels, 1e-6 * (double) RHY_RASTER_PIXELS_MAX);
  wire_raster (flat->wire, raster);
  g_hash_table_insert (flat->rasters, rhy_raster_ref (raster), GUINT_TO_POINTER (++flat->n_rasters));
  return flat->n_rasters - 1;
}

gboolean
flat_has_inverse (RhyAffine m)
{
  const double det = m.xx * m.yy - m.xy * m.yx;
  return fabs (det) > 0.0 && isfinite (det) && isfinite (1.0 / det);
}

/* Returns: its number, from 1; 0 if one colour does, or must do. */
guint32
flat_send_paint (Flat           *flat,
                 const RhyPaint *paint,
                 RhyAffine       m,
                 double          alpha)
{
  if (paint == NULL || !flat_has_inverse (rhy_affine_then (paint->matrix, m)))
    return 0;
  RhyPaint faint = *paint;
  faint.alpha *= alpha;
  const guint32 raster = paint->raster != NULL ? send_raster (flat, paint->raster) : 0;
  wire_paint (flat->wire, &faint, m, raster);
  return ++flat->n_paints;
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

void
flat_send_outline (Flat           *flat,
                   RhyWireShape   *shape,
                   const double   *dashes,
                   const WirePath *path,
                   RhyAffine       m,
                   const Here     *here)
{
  flat->n_points += path->n_points;
  /* A symbol used over and over is read once but sent every time. */
  if (flat->n_points > flat->wire->points_max)
    wire_fail (flat->wire, RHY_ERROR_LIMIT, "more than the %" G_GUINT64_FORMAT " points allowed: simplify it in the drawing program",
               flat->wire->points_max);
  g_autofree guint32 *clips = list_clips (here->clip, &shape->n_clips);
  wire_shape (flat->wire, shape, dashes, clips, path, m);
}

/* ---- patterns of outlines ---- */

/* Counts the points under @node, or leaves it at that when there is anything that is
 * no outline in one colour or a gradient. */
static gboolean
count_outlines (const Flat *flat,
                const Node *node,
                guint       depth,
                gsize      *n)
{
  cairo_operator_t blend;
  double alpha;
  const Node *mask = tree_find (flat->tree, node_get_style (node, "mask"));
  const Node *fill = tree_find (flat->tree, node_get_style (node, "fill"));
  if (depth > 16 || node_is (node, "image") || node_has_blend (node, &blend) || (mask != NULL && !mask_is_opacity (mask, &alpha))
      || (fill != NULL && node_is (fill, "pattern")) || node_get_style (node, "filter") != NULL)
    return FALSE;
  *n += node->path != NULL ? node->path->n_points : node_is (node, "rect") ? 4 : 0;
  const Node *target = node_is (node, "use") ? tree_find (flat->tree, node_get (node, "href")) : NULL;
  if (target != NULL && !count_outlines (flat, target, depth + 1, n))
    return FALSE;
  for (const Node *child = node->first; child != NULL; child = child->next)
    if (!count_outlines (flat, child, depth + 1, n))
      return FALSE;
  return TRUE;
}

/* The cells that a shape shows of a pattern: whole numbers, first to last. */
typedef struct
{
  const Node *server;
  RhyAffine   m;                /* the cell's own space to cairo's page */
  double      width, height;
  double      first_x, last_x, first_y, last_y;
} Cells;

static gboolean
find_cells (Flat       *flat,
            const Node *node,
            RhyAffine   m,
            RhyBounds   outline,
            const Here *here,
            Cells      *cells)
{
  const char *fill = node_get_style (node, "fill");
  const Node *server = fill != NULL && g_str_has_prefix (fill, "url(") ? tree_find (flat->tree, fill) : NULL;
  gsize n = 0;
  if (server == NULL || !node_is (server, "pattern") || here->depth > DEPTH_MAX / 2
      || !count_outlines (flat, server, 0, &n) || n == 0)
    return FALSE;
  *cells = (Cells) { .server = server, .m = rhy_affine_then (node_get_matrix (server, "patternTransform"), m),
                     .width = node_get_number (server, "width", 0.0), .height = node_get_number (server, "height", 0.0) };
  const RhyAffine to_mm = rhy_affine_then (cells->m, flat->to_mm);
  const RhyBounds page = flat_box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  const RhyBounds seen = flat_intersection (within_clips (outline, here->clip), page);
  cairo_matrix_t back = { to_mm.xx, to_mm.yx, to_mm.xy, to_mm.yy, to_mm.x0, to_mm.y0 };
  if (!(cells->width > 0.0 && cells->height > 0.0) || rhy_bounds_is_empty (seen) || cairo_matrix_invert (&back) != CAIRO_STATUS_SUCCESS)
    return FALSE;
  const RhyBounds box = flat_box_through (seen.min_x, seen.min_y, seen.max_x - seen.min_x, seen.max_y - seen.min_y,
                                     (RhyAffine) { back.xx, back.yx, back.xy, back.yy, back.x0, back.y0 });
  cells->first_x = floor (box.min_x / cells->width);
  cells->last_x = floor (box.max_x / cells->width);
  cells->first_y = floor (box.min_y / cells->height);
  cells->last_y = floor (box.max_y / cells->height);
  const double count = (cells->last_x - cells->first_x + 1.0) * (cells->last_y - cells->first_y + 1.0);
  return count <= CELLS_MAX && count * (double) n <= CELL_POINTS_MAX;
}

/* The shape becomes a clip, and what it is filled with lies in it. cairo has cut
 * the content to the cell already. */
static void
send_cells (Flat           *flat,
            const Node     *node,
            const WirePath *path,
            const Cells    *cells,
            RhyAffine       to_mm,
            RhyBounds       outline,
            Here            here)
{
  const gboolean evenodd = value_is (node_get_style (node, "fill-rule"), "evenodd");
  const Clip clip = { here.clip, flat->n_clips, outline };
  if (flat->measuring == 0)
    {
      wire_clip (flat->wire, evenodd ? RHY_FILL_EVENODD : RHY_FILL_NONZERO, path, to_mm);
      flat->n_clips++;
    }
  here.clip = &clip;
  here.alpha *= CLAMP (node_get_number (node, "fill-opacity", 1.0), 0.0, 1.0);
  here.depth++;
  for (double j = cells->first_y; j <= cells->last_y; j += 1.0)
    for (double i = cells->first_x; i <= cells->last_x; i += 1.0)
      {
        here.m = rhy_affine_then ((RhyAffine) { 1.0, 0.0, 0.0, 1.0, i * cells->width, j * cells->height }, cells->m);
        here.ground = cells->server;
        here.ground_m = here.m;
        walk_children (flat, cells->server, here);
      }
}

static void
send_shape (Flat           *flat,
            const Node     *node,
            const WirePath *path,
            Here            here)
{
  const RhyAffine m = rhy_affine_then (node_get_matrix (node, "transform"), here.m);
  const RhyAffine to_mm = rhy_affine_then (m, flat->to_mm);
  const RhyBounds outline = hull (path, to_mm);
  if (path->n_verbs == 0 || rhy_bounds_is_empty (outline))
    return;
  Cells cells;
  Paint fill = { 0 };
  if (find_cells (flat, node, m, outline, &here, &cells))
    send_cells (flat, node, path, &cells, to_mm, outline, here);
  else
    fill = palette_read (flat->palette, node, "fill", m);
  Paint stroke = palette_read (flat->palette, node, "stroke", m);
  if (fill.inks && fill.image != NULL)
    {
      /* The path only frames the image. */
      fill.colour.a = fill.paint->alpha;
      flat_send_image (flat, fill.image, rhy_affine_then (fill.image_matrix, m), outline, RHY_EXTEND_PAD, fill.colour.a, &here);
      fill.inks = FALSE;
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
    flat_send_picture (flat, fill.kind, outline, fill.paint != NULL, &here);
  if (stroke.inks && stroke.is_picture)
    flat_send_picture (flat, stroke.kind, box, stroke.paint != NULL, &here);
  if (shape.has_fill || shape.has_stroke)
    {
      const RhyBounds cut = within_clips (box, here.clip);
      if (!rhy_bounds_is_empty (cut))
        flat->seen = rhy_bounds_union (flat->seen, cut);
      flat->n_sent++;
      if (flat->measuring == 0)
        {
          shape.fill_paint = shape.has_fill ? flat_send_paint (flat, fill.paint, to_mm, here.alpha) : 0;
          shape.stroke_paint = shape.has_stroke ? flat_send_paint (flat, stroke.paint, to_mm, here.alpha) : 0;
          flat_send_outline (flat, &shape, dashes, path, to_mm, &here);
        }
    }
  paint_clear (&fill);
  paint_clear (&stroke);
}

/* ---- clips, masks, groups ---- */

static WirePath *
path_of_rectangle (const Node *node)
{
  return wire_path_new_rectangle (node_get_number (node, "x", 0.0), node_get_number (node, "y", 0.0),
                                  node_get_number (node, "width", 0.0), node_get_number (node, "height", 0.0));
}

static gboolean
open_clip (Flat       *flat,
           const Node *group,
           const Here *here,
           Clip       *clip)
{
  const Node *definition = tree_find (flat->tree, node_get_style (group, "clip-path"));
  const Node *shape = definition != NULL ? definition->first : NULL;
  if (shape == NULL || (shape->path == NULL && !node_is (shape, "rect")))
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
  if (known == 0 && flat->measuring == 0)
    {
      wire_clip (flat->wire, evenodd ? RHY_FILL_EVENODD : RHY_FILL_NONZERO, path, to_mm);
      clip->index = flat->n_clips++;
      g_hash_table_insert (flat->clips, g_steal_pointer (&key), GUINT_TO_POINTER (flat->n_clips));
    }
  if (own != NULL)
    wire_path_free (own);
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
  flat_walk (flat, node, here);
  const RhyBounds box = flat->seen;
  flat->seen = rhy_bounds_union (before, box);
  if (!rhy_bounds_is_empty (box))
    flat_send_picture (flat, kind, box, FALSE, &here);
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
        const Node *target = node_is (part, "feImage") ? tree_find (flat->tree, node_get (part, "href")) : NULL;
        if (target == NULL || !value_is (node_get (part, "result"), order[i]))
          continue;
        any = TRUE;
        if (i == 0)
          flat_walk (flat, target, here);
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
  if (node_is (target, "image"))
    flat_send_image (flat, target, here.m, flat_box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), RHY_EXTEND_NONE, 1.0, &here);
  else if (node_is (target, "symbol"))
    walk_children (flat, target, here);
  else
    {
      here.ground = target;
      here.ground_m = here.m;
      flat_walk (flat, target, here);
    }
}

static void
note_unknown (Flat       *flat,
              const Node *node,
              Here        here)
{
  flat_send_picture (flat, RHY_PICTURE_UNKNOWN, flat_box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), FALSE, &here);
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
    if (node_is (node, definitions[i]))
      return;

  if (node->path != NULL)
    send_shape (flat, node, node->path, here);
  else if (node_is (node, "rect"))
    {
      WirePath *path = path_of_rectangle (node);
      send_shape (flat, node, path, here);
      wire_path_free (path);
    }
  else if (node_is (node, "image"))
    flat_send_image (flat, node, rhy_affine_then (node_get_matrix (node, "transform"), here.m),
                flat_box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), RHY_EXTEND_NONE, 1.0, &here);
  else if (node_is (node, "g") || node_is (node, "svg") || node_is (node, "use"))
    {
      here.m = rhy_affine_then (node_get_matrix (node, "transform"), here.m);
      if (node_get_style (node, "filter") != NULL && walk_compositing (flat, node, here))
        return;
      if (node_is (node, "use"))
        walk_use (flat, node, here);
      else
        walk_children (flat, node, here);
    }
  else if (!node_is (node, "path"))
    note_unknown (flat, node, here);
}

void
flat_walk (Flat       *flat,
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

  if (node->path == NULL && !node_is (node, "rect"))
    inner.alpha *= CLAMP (node_get_number (node, "opacity", 1.0), 0.0, 1.0);

  const Node *mask = tree_find (flat->tree, node_get_style (node, "mask"));
  cairo_operator_t blend = CAIRO_OPERATOR_OVER;
  double alpha = 1.0;
  const gboolean is_opacity = mask != NULL && mask_is_opacity (mask, &alpha);
  if (flat->measuring > 0)
    walk_content (flat, node, inner);
  else if (node_has_blend (node, &blend) && blend != CAIRO_OPERATOR_OVER)
    flat_send_blended (flat, node, blend, &here);
  else if (mask != NULL && !is_opacity)
    flat_send_drawn (flat, node, RHY_PICTURE_MASK, &here);
  else if (is_opacity && alpha < 1.0 && !flat_is_even (flat, node, &here))
    flat_send_drawn (flat, node, RHY_PICTURE_BLEND, &here);
  else
    {
      inner.alpha *= alpha;
      walk_content (flat, node, inner);
    }
}

static void
walk_children (Flat       *flat,
               const Node *node,
               Here        here)
{
  for (const Node *child = node->first; child != NULL; child = child->next)
    flat_walk (flat, child, here);
}

static void
drop_raster (gpointer raster)
{
  rhy_raster_unref (raster);
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
    .even = g_hash_table_new (NULL, NULL),
    .rasters = g_hash_table_new_full (NULL, NULL, drop_raster, NULL),
    .palette = palette_new (tree, DOTS_PER_INCH / 96.0 / scale, DRAWN_PIXELS),
    .seen = RHY_BOUNDS_EMPTY,
  };
  const Node *root = tree_get_root (tree);
  if (root != NULL)
    flat_walk (&flat, root, (Here) { .m = RHY_AFFINE_IDENTITY, .alpha = 1.0, .ground = root, .ground_m = RHY_AFFINE_IDENTITY });
  if (flat.drew)
    {
      g_autofree char *note = g_strdup_printf ("masks, blend modes and opacity of groups that overlap come as pictures of %g dots per inch",
                                               DOTS_PER_INCH);
      wire_note (wire, note);
    }
  *found_picture = flat.found_picture;
  g_hash_table_unref (flat.clips);
  g_hash_table_unref (flat.unknown);
  g_hash_table_unref (flat.even);
  g_hash_table_unref (flat.rasters);
  palette_free (flat.palette);
  return flat.n_sent;
}
