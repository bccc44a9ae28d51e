/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "flat.h"

#include <cairo.h>
#include <math.h>
#include <string.h>

#include "draw.h"

/* A `use` inside a definition inside a `use`: cairo writes a level for every
 * group librsvg paints apart, and librsvg stops at its own limits. */
static const guint DEPTH_MAX = 512;
/* A symbol used over and over is read once but sent every time. */
static const guint64 POINTS_MAX = 40 * 1000 * 1000;
/* What has no outlines is drawn this finely, in parts of the size that the drawing
 * states, and less finely where it would take more pixels than these in all. */
static const double DOTS_PER_INCH = 600.0;
static const double DRAWN_PIXELS = 32e6;
/* A pattern of outlines comes as outlines, cell by cell, up to so many cells and points. */
static const double CELLS_MAX = 4096.0;
static const double CELL_POINTS_MAX = 400e3;
/* Group opacity is kept in the members where nobody can tell the difference: at
 * most this share of the pixels of a small picture is off by more than this. */
static const double TRIAL_PIXELS = 256.0;
static const int TRIAL_OFF = 32;
static const double TRIAL_SHARE = 0.0005;

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
  const Node *ground;           /* the group painted apart that this is in, */
  RhyAffine   ground_m;         /* and what it is in, to cairo's page */
} Here;

typedef struct
{
  Wire       *wire;
  Tree       *tree;
  Palette    *palette;
  RhyAffine   to_mm;
  double      page_width, page_height;  /* cairo's units */
  GHashTable *clips;            /* "node pointer, matrix" to index + 1 */
  guint32     n_clips;
  guint64     n_points;
  gsize       n_sent;
  gboolean    found_picture;
  RhyBounds   seen;             /* mm, of what was sent since it was last emptied */
  GHashTable *even;             /* Node: whether its opacity may go to its members */
  GHashTable *unknown;          /* element names already spoken of */
  GHashTable *rasters;          /* RhyRaster to its number on the wire, from 1 */
  guint32     n_rasters, n_paints;
  guint64     n_pixels;
  guint       measuring;        /* while > 0 nothing is sent, only @seen grows */
  gboolean    drew;             /* whether something was drawn as a picture here */
} Flat;

static void walk (Flat *flat, const Node *node, Here here);
static void walk_children (Flat *flat, const Node *node, Here here);
static void send_image (Flat *flat, const Node *image, RhyAffine m, RhyBounds within, RhyExtend extend, double alpha,
                        const Here *here);

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
              gboolean       is_drawn,
              const Here    *here)
{
  const RhyBounds page = box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  box = intersection (within_clips (box, here->clip), page);
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

static gboolean
has_inverse (RhyAffine m)
{
  const double det = m.xx * m.yy - m.xy * m.yx;
  return fabs (det) > 0.0 && isfinite (det) && isfinite (1.0 / det);
}

/* Returns: its number, from 1; 0 if one colour does, or must do. */
static guint32
send_paint (Flat           *flat,
            const RhyPaint *paint,
            RhyAffine       m,
            double          alpha)
{
  if (paint == NULL || !has_inverse (rhy_affine_then (paint->matrix, m)))
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

static void
send_outline (Flat           *flat,
              RhyWireShape   *shape,
              const double   *dashes,
              const WirePath *path,
              RhyAffine       m,
              const Here     *here)
{
  flat->n_points += path->points->len;
  if (flat->n_points > POINTS_MAX)
    wire_fail (flat->wire, RHY_ERROR_LIMIT, "more than the %" G_GUINT64_FORMAT " points allowed", POINTS_MAX);
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
  *n += node->path != NULL ? node->path->points->len : node_is (node, "rect") ? 4 : 0;
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
  const RhyBounds page = box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  const RhyBounds seen = intersection (within_clips (outline, here->clip), page);
  cairo_matrix_t back = { to_mm.xx, to_mm.yx, to_mm.xy, to_mm.yy, to_mm.x0, to_mm.y0 };
  if (!(cells->width > 0.0 && cells->height > 0.0) || rhy_bounds_is_empty (seen) || cairo_matrix_invert (&back) != CAIRO_STATUS_SUCCESS)
    return FALSE;
  const RhyBounds box = box_through (seen.min_x, seen.min_y, seen.max_x - seen.min_x, seen.max_y - seen.min_y,
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
  if (path->verbs->len == 0 || rhy_bounds_is_empty (outline))
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
      send_image (flat, fill.image, rhy_affine_then (fill.image_matrix, m), outline, RHY_EXTEND_PAD, fill.colour.a, &here);
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
    send_picture (flat, fill.kind, outline, fill.paint != NULL, &here);
  if (stroke.inks && stroke.is_picture)
    send_picture (flat, stroke.kind, box, stroke.paint != NULL, &here);
  if (shape.has_fill || shape.has_stroke)
    {
      const RhyBounds cut = within_clips (box, here.clip);
      if (!rhy_bounds_is_empty (cut))
        flat->seen = rhy_bounds_union (flat->seen, cut);
      flat->n_sent++;
      if (flat->measuring == 0)
        {
          shape.fill_paint = shape.has_fill ? send_paint (flat, fill.paint, to_mm, here.alpha) : 0;
          shape.stroke_paint = shape.has_stroke ? send_paint (flat, stroke.paint, to_mm, here.alpha) : 0;
          send_outline (flat, &shape, dashes, path, to_mm, &here);
        }
    }
  paint_clear (&fill);
  paint_clear (&stroke);
}

/* ---- pictures ---- */

/* A raster as a shape that is filled with it: the rectangle of its pixels. @m: its
 * pixels to cairo's page. */
static void
send_raster_shape (Flat       *flat,
                   RhyRaster  *raster,
                   RhyAffine   m,
                   RhyExtend   extend,
                   double      alpha,
                   const Here *here)
{
  const RhyAffine to_mm = rhy_affine_then (m, flat->to_mm);
  RhyWireShape shape = { .has_fill = TRUE, .fill = raster_get_mean (raster), .xx = 1.0, .yy = 1.0, .miter_limit = 4.0 };
  shape.fill.a *= alpha * here->alpha;
  if (!(shape.fill.a > 0.0) || !has_inverse (to_mm))
    return;
  g_autoptr (RhyPaint) paint = paint_new_picture (raster, RHY_AFFINE_IDENTITY, extend, alpha);
  shape.fill_paint = send_paint (flat, paint, to_mm, here->alpha);
  WirePath *path = wire_path_new_rectangle (0.0, 0.0, rhy_raster_get_width (raster), rhy_raster_get_height (raster));
  send_outline (flat, &shape, NULL, path, to_mm, here);
  flat->n_sent++;
  wire_path_free (path);
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

/* What a filter leaves is a picture of the whole page, mostly clear, and neither the
 * ink box nor the drawing must grow to the page for it. */
static void
send_image (Flat       *flat,
            const Node *image,
            RhyAffine   m,
            RhyBounds   within,
            RhyExtend   extend,
            double      alpha,
            const Here *here)
{
  flat->found_picture = TRUE;
  RhyRaster *raster = palette_get_image (flat->palette, image);
  if (raster == NULL)
    return;
  const gboolean is_filter = covers_page (flat, image, m);
  g_autoptr (RhyRaster) part = is_filter ? raster_new_part (raster, &m) : rhy_raster_ref (raster);
  if (part == NULL)
    return;
  const RhyBounds box = box_through (0, 0, rhy_raster_get_width (part), rhy_raster_get_height (part),
                                     rhy_affine_then (m, flat->to_mm));
  send_picture (flat, is_filter ? RHY_PICTURE_FILTER : RHY_PICTURE_IMAGE, intersection (box, within), TRUE, here);
  if (flat->measuring == 0)
    send_raster_shape (flat, part, m, is_filter ? RHY_EXTEND_NONE : extend, alpha, here);
}

/* How finely a box of cairo's page is drawn, and where. */
typedef struct
{
  double scale;                 /* pixels a unit */
  double x, y;                  /* the first pixel's corner, in units */
  int    width, height;
} Frame;

static Frame
frame_around (const Flat *flat,
              RhyBounds   box,
              double      most)
{
  const double mm = flat->to_mm.xx;
  const double x = box.min_x / mm;
  const double y = flat->page_height - box.max_y / mm;
  const double width = MAX ((box.max_x - box.min_x) / mm, 1e-9);
  const double height = MAX ((box.max_y - box.min_y) / mm, 1e-9);
  const double scale = palette_afford (flat->palette, width, height, MIN (flat->palette->per_unit, most / MAX (width, height)));
  /* A clear pixel all round, so that the rectangle's own edge is never seen. */
  return (Frame) { scale, x - 1.0 / scale, y - 1.0 / scale, (int) ceil (width * scale) + 2, (int) ceil (height * scale) + 2 };
}

static cairo_surface_t *
draw_frame (const Flat  *flat,
            Frame        frame,
            const Node  *node,
            DrawOptions  options)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, frame.width, frame.height);
  cairo_t *cr = cairo_create (surface);
  options.palette = flat->palette;
  cairo_scale (cr, frame.scale, frame.scale);
  cairo_translate (cr, -frame.x, -frame.y);
  draw_node (cr, node, &options);
  const cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);
  cairo_surface_flush (surface);
  if (status != CAIRO_STATUS_SUCCESS || cairo_surface_status (surface) != CAIRO_STATUS_SUCCESS)
    wire_fail (flat->wire, status == CAIRO_STATUS_NO_MEMORY ? RHY_ERROR_LIMIT : RHY_ERROR_ARTWORK,
               "a part of it that has no outlines cannot be drawn: %s", cairo_status_to_string (status));
  return surface;
}

static void
send_surface (Flat            *flat,
              cairo_surface_t *surface,
              Frame            frame,
              const Here      *here)
{
  RhyBounds part;
  g_autoptr (RhyRaster) raster = raster_new_cropped (surface, &part);
  if (raster == NULL)
    return;
  flat->palette->room -= (double) frame.width * frame.height;
  flat->drew = TRUE;
  const double pixel = 1.0 / frame.scale;
  send_raster_shape (flat, raster, (RhyAffine) { pixel, 0.0, 0.0, pixel, frame.x + part.min_x * pixel, frame.y + part.min_y * pixel },
                     RHY_EXTEND_NONE, 1.0, here);
}

/* The box of what is painted under @node, mm; @here is what it is in. */
static RhyBounds
measure (Flat       *flat,
         const Node *node,
         Here        here)
{
  const RhyBounds before = flat->seen;
  const gsize sent = flat->n_sent;
  const gboolean found = flat->found_picture;
  flat->seen = RHY_BOUNDS_EMPTY;
  flat->measuring++;
  walk (flat, node, here);
  flat->measuring--;
  const RhyBounds page = box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  const RhyBounds box = intersection (flat->seen, page);
  flat->seen = before;
  flat->n_sent = sent;
  flat->found_picture = found;
  return box;
}

/* @node with all that is done to it, as a picture of @kind. */
static void
send_drawn (Flat          *flat,
            const Node    *node,
            RhyPictureKind kind,
            const Here    *here)
{
  const RhyBounds box = measure (flat, node, *here);
  if (rhy_bounds_is_empty (box))
    return;
  const Frame frame = frame_around (flat, box, G_MAXDOUBLE);
  cairo_surface_t *surface = draw_frame (flat, frame, node, (DrawOptions) { .m = here->m });
  send_picture (flat, kind, box, TRUE, here);
  send_surface (flat, surface, frame, here);
  cairo_surface_destroy (surface);
}

/* @ground with @source blended onto it comes as what, painted over @ground, gives the
 * same. By Compositing and Blending level 1, section 5.8, premultiplied, the result is
 *   co = cs (1 - ab) + as ab B(Cb, Cs) + cb (1 - as)
 * and the first two terms are a paint of alpha as: co less what shows through of cb. */
static void
leave_over (cairo_surface_t *result,
            cairo_surface_t *ground,
            cairo_surface_t *source)
{
  const int width = cairo_image_surface_get_width (result);
  const int height = cairo_image_surface_get_height (result);
  const gsize stride = (gsize) cairo_image_surface_get_stride (result);
  for (int y = 0; y < height; y++)
    {
      guint32 *o = (guint32 *) (gpointer) (cairo_image_surface_get_data (result) + (gsize) y * stride);
      const guint32 *b = (const guint32 *) (gconstpointer) (cairo_image_surface_get_data (ground) + (gsize) y * stride);
      const guint32 *s = (const guint32 *) (gconstpointer) (cairo_image_surface_get_data (source) + (gsize) y * stride);
      for (int x = 0; x < width; x++)
        {
          const int alpha = (int) (s[x] >> 24);
          guint32 pixel = (guint32) alpha << 24;
          for (int shift = 0; shift < 24; shift += 8)
            {
              const int through = ((int) (b[x] >> shift & 255) * (255 - alpha) + 127) / 255;
              pixel |= (guint32) CLAMP ((int) (o[x] >> shift & 255) - through, 0, alpha) << shift;
            }
          o[x] = pixel;
        }
    }
  cairo_surface_mark_dirty (result);
}

static void
send_blended (Flat            *flat,
              const Node      *node,
              cairo_operator_t blend,
              const Here      *here)
{
  const RhyBounds box = measure (flat, node, *here);
  if (rhy_bounds_is_empty (box))
    return;
  const Frame frame = frame_around (flat, box, G_MAXDOUBLE);
  cairo_surface_t *source = draw_frame (flat, frame, node, (DrawOptions) { .m = here->m, .plain = node });
  cairo_surface_t *ground = draw_frame (flat, frame, here->ground, (DrawOptions) { .m = here->ground_m, .stop = node });
  cairo_surface_t *result = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, frame.width, frame.height);
  cairo_t *cr = cairo_create (result);
  cairo_set_source_surface (cr, ground, 0.0, 0.0);
  cairo_paint (cr);
  cairo_set_source_surface (cr, source, 0.0, 0.0);
  cairo_set_operator (cr, blend);
  cairo_paint (cr);
  cairo_destroy (cr);
  cairo_surface_flush (result);
  leave_over (result, ground, source);
  send_picture (flat, RHY_PICTURE_BLEND, box, TRUE, here);
  send_surface (flat, result, frame, here);
  cairo_surface_destroy (source);
  cairo_surface_destroy (ground);
  cairo_surface_destroy (result);
}

static gboolean
is_single (const Flat *flat,
           const Node *node,
           guint       depth)
{
  if (depth > 32)
    return FALSE;
  if (node_is (node, "use"))
    {
      const Node *target = tree_find (flat->tree, node_get (node, "href"));
      return target == NULL || is_single (flat, target, depth + 1);
    }
  if (node->path != NULL || node_is (node, "rect"))
    {
      const char *fill = node_get_style (node, "fill");
      const char *stroke = node_get_style (node, "stroke");
      return value_is (fill, "none") || stroke == NULL || value_is (stroke, "none");
    }
  return node->first == NULL || (node->first->next == NULL && is_single (flat, node->first, depth + 1));
}

/* Whether members that each have the group's opacity look as the group does: a
 * trial of both, drawn small. */
static gboolean
try_even (Flat       *flat,
          const Node *node,
          const Here *here)
{
  if (is_single (flat, node, 0))
    return TRUE;
  const RhyBounds box = measure (flat, node, *here);
  if (rhy_bounds_is_empty (box))
    return TRUE;
  const Frame frame = frame_around (flat, box, TRIAL_PIXELS);
  cairo_surface_t *group = draw_frame (flat, frame, node, (DrawOptions) { .m = here->m });
  cairo_surface_t *members = draw_frame (flat, frame, node, (DrawOptions) { .m = here->m, .evenly = TRUE });
  const gsize n = (gsize) cairo_image_surface_get_stride (group) * (gsize) frame.height;
  const guchar *a = cairo_image_surface_get_data (group);
  const guchar *b = cairo_image_surface_get_data (members);
  gsize off = 0;
  for (gsize i = 0; i < n; i++)
    off += ABS (a[i] - b[i]) > TRIAL_OFF;
  cairo_surface_destroy (group);
  cairo_surface_destroy (members);
  return (double) off <= TRIAL_SHARE * (double) n;
}

/* Once a node: it may be used over and over. */
static gboolean
is_even (Flat       *flat,
         const Node *node,
         const Here *here)
{
  gpointer known;
  if (g_hash_table_lookup_extended (flat->even, node, NULL, &known))
    return GPOINTER_TO_INT (known);
  const gboolean even = try_even (flat, node, here);
  g_hash_table_insert (flat->even, (gpointer) node, GINT_TO_POINTER (even));
  return even;
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
  walk (flat, node, here);
  const RhyBounds box = flat->seen;
  flat->seen = rhy_bounds_union (before, box);
  if (!rhy_bounds_is_empty (box))
    send_picture (flat, kind, box, FALSE, &here);
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
  if (node_is (target, "image"))
    send_image (flat, target, here.m, box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), RHY_EXTEND_NONE, 1.0, &here);
  else if (node_is (target, "symbol"))
    walk_children (flat, target, here);
  else
    {
      here.ground = target;
      here.ground_m = here.m;
      walk (flat, target, here);
    }
}

static void
note_unknown (Flat       *flat,
              const Node *node,
              Here        here)
{
  send_picture (flat, RHY_PICTURE_UNKNOWN, box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), FALSE, &here);
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
    send_image (flat, node, rhy_affine_then (node_get_matrix (node, "transform"), here.m),
                box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm), RHY_EXTEND_NONE, 1.0, &here);
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

  if (node->path == NULL && !node_is (node, "rect"))
    inner.alpha *= CLAMP (node_get_number (node, "opacity", 1.0), 0.0, 1.0);

  const Node *mask = tree_find (flat->tree, node_get_style (node, "mask"));
  cairo_operator_t blend = CAIRO_OPERATOR_OVER;
  double alpha = 1.0;
  const gboolean is_opacity = mask != NULL && mask_is_opacity (mask, &alpha);
  if (flat->measuring > 0)
    walk_content (flat, node, inner);
  else if (node_has_blend (node, &blend) && blend != CAIRO_OPERATOR_OVER)
    send_blended (flat, node, blend, &here);
  else if (mask != NULL && !is_opacity)
    send_drawn (flat, node, RHY_PICTURE_MASK, &here);
  else if (is_opacity && alpha < 1.0 && !is_even (flat, node, &here))
    send_drawn (flat, node, RHY_PICTURE_BLEND, &here);
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
    walk (flat, child, here);
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
    walk (&flat, root, (Here) { .m = RHY_AFFINE_IDENTITY, .alpha = 1.0, .ground = root, .ground_m = RHY_AFFINE_IDENTITY });
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
