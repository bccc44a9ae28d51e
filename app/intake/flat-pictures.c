/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "flat-private.h"

#include <math.h>

/* Group opacity is kept in the members where nobody can tell the difference: at
 * most this share of the pixels of a small picture is off by more than this. */
static const double TRIAL_PIXELS = 256.0;
static const int TRIAL_OFF = 32;
static const double TRIAL_SHARE = 0.0005;

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
  if (!(shape.fill.a > 0.0) || !flat_has_inverse (to_mm))
    return;
  g_autoptr (RhyPaint) paint = paint_new_picture (raster, RHY_AFFINE_IDENTITY, extend, alpha);
  shape.fill_paint = flat_send_paint (flat, paint, to_mm, here->alpha);
  WirePath *path = wire_path_new_rectangle (0.0, 0.0, rhy_raster_get_width (raster), rhy_raster_get_height (raster));
  flat_send_outline (flat, &shape, NULL, path, to_mm, here);
  flat->n_sent++;
  wire_path_free (path);
}

/* A picture that covers exactly the page is what librsvg made of a filter. */
static gboolean
covers_page (const Flat *flat,
             const Node *image,
             RhyAffine   m)
{
  const RhyBounds box = flat_box_through (0, 0, node_get_number (image, "width", 0.0),
                                     node_get_number (image, "height", 0.0), m);
  const double slack = MAX (hypot (m.xx, m.yx), hypot (m.xy, m.yy)) * 1.01;
  return fabs (box.min_x) < 1e-3 * slack && fabs (box.min_y) < 1e-3 * slack
         && m.xy == 0.0 && m.yx == 0.0
         && fabs (box.max_x - flat->page_width) <= slack && fabs (box.max_y - flat->page_height) <= slack;
}

/* What a filter leaves is a picture of the whole page, mostly clear, and neither the
 * ink box nor the drawing must grow to the page for it. */
void
flat_send_image (Flat       *flat,
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
  /* librsvg pads what is embedded; a photo may well fill the page. */
  const gboolean is_filter = extend == RHY_EXTEND_NONE && covers_page (flat, image, m);
  g_autoptr (RhyRaster) part = is_filter ? raster_new_part (raster, &m) : rhy_raster_ref (raster);
  if (part == NULL)
    return;
  const RhyBounds box = flat_box_through (0, 0, rhy_raster_get_width (part), rhy_raster_get_height (part),
                                     rhy_affine_then (m, flat->to_mm));
  flat_send_picture (flat, is_filter ? RHY_PICTURE_FILTER : RHY_PICTURE_IMAGE, flat_intersection (box, within), TRUE, here);
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
  flat_walk (flat, node, here);
  flat->measuring--;
  const RhyBounds page = flat_box_through (0, 0, flat->page_width, flat->page_height, flat->to_mm);
  const RhyBounds box = flat_intersection (flat->seen, page);
  flat->seen = before;
  flat->n_sent = sent;
  flat->found_picture = found;
  return box;
}

/* @node with all that is done to it, as a picture of @kind. */
void
flat_send_drawn (Flat          *flat,
                 const Node    *node,
                 RhyPictureKind kind,
                 const Here    *here)
{
  const RhyBounds box = measure (flat, node, *here);
  if (rhy_bounds_is_empty (box))
    return;
  const Frame frame = frame_around (flat, box, G_MAXDOUBLE);
  cairo_surface_t *surface = draw_frame (flat, frame, node, (DrawOptions) { .m = here->m });
  flat_send_picture (flat, kind, box, TRUE, here);
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

void
flat_send_blended (Flat            *flat,
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
  flat_send_picture (flat, RHY_PICTURE_BLEND, box, TRUE, here);
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
gboolean
flat_is_even (Flat       *flat,
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

