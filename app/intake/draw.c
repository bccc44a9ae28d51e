/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draw.h"

#include <math.h>
#include <string.h>

#include <rhyton/brush.h>

/* As for the outlines: what cairo writes nests no deeper in earnest. */
static const guint DEPTH_MAX = 512;

typedef struct
{
  cairo_t           *cr;
  const DrawOptions *options;
  gboolean           stopped;
  double             alpha;     /* of the groups around, when they are drawn evenly */
  guint              depth;
} Draw;

static void draw (Draw *self, const Node *node, RhyAffine m);

gboolean
mask_is_opacity (const Node *mask,
                 double     *alpha)
{
  const Node *node = mask->first;
  while (node != NULL && node_is (node, "g") && node->next == NULL)
    node = node->first;
  if (node == NULL || node->next != NULL || !(node_is (node, "rect") || node->path != NULL))
    return FALSE;
  const char *fill = node_get_style (node, "fill");
  if (fill != NULL && g_str_has_prefix (fill, "url("))
    return FALSE;
  *alpha = CLAMP (node_get_number (node, "fill-opacity", 1.0), 0.0, 1.0);
  return TRUE;
}

/* The modes of Compositing and Blending, level 1; the first three have no name of
 * their own there. */
gboolean
node_has_blend (const Node       *node,
                cairo_operator_t *blend)
{
  static const struct { const char *name; cairo_operator_t operator; } modes[] = {
    { "multiply", CAIRO_OPERATOR_MULTIPLY }, { "screen", CAIRO_OPERATOR_SCREEN }, { "overlay", CAIRO_OPERATOR_OVERLAY },
    { "darken", CAIRO_OPERATOR_DARKEN }, { "lighten", CAIRO_OPERATOR_LIGHTEN }, { "color-dodge", CAIRO_OPERATOR_COLOR_DODGE },
    { "color-burn", CAIRO_OPERATOR_COLOR_BURN }, { "hard-light", CAIRO_OPERATOR_HARD_LIGHT },
    { "soft-light", CAIRO_OPERATOR_SOFT_LIGHT }, { "difference", CAIRO_OPERATOR_DIFFERENCE },
    { "exclusion", CAIRO_OPERATOR_EXCLUSION }, { "hue", CAIRO_OPERATOR_HSL_HUE }, { "saturation", CAIRO_OPERATOR_HSL_SATURATION },
    { "color", CAIRO_OPERATOR_HSL_COLOR }, { "luminosity", CAIRO_OPERATOR_HSL_LUMINOSITY },
  };
  const char *name = node_get_style (node, "comp-op");
  if (name == NULL)
    name = node_get_style (node, "mix-blend-mode");
  *blend = CAIRO_OPERATOR_OVER;
  for (gsize i = 0; name != NULL && i < G_N_ELEMENTS (modes); i++)
    if (value_is (name, modes[i].name))
      *blend = modes[i].operator;
  return name != NULL && !value_is (name, "src-over") && !value_is (name, "normal");
}

static void
trace (cairo_t        *cr,
       const WirePath *path)
{
  const RhyPath view = { .verbs = path->verbs, .n_verbs = path->n_verbs, .points = path->points, .n_points = path->n_points };
  rhy_brush_path (cr, &view);
}

static void
set_matrix (cairo_t  *cr,
            RhyAffine m)
{
  cairo_transform (cr, &(cairo_matrix_t) { m.xx, m.yx, m.xy, m.yy, m.x0, m.y0 });
}

static void
set_source (Draw  *self,
            Paint *paint)
{
  RhyPaint faint = { 0 };
  paint->colour.a *= self->alpha;
  if (paint->paint != NULL)
    {
      faint = *paint->paint;
      faint.alpha *= self->alpha;
    }
  rhy_brush_set_source (self->cr, paint->colour, paint->paint != NULL ? &faint : NULL);
}

static void
set_pen (cairo_t    *cr,
         const Node *node)
{
  const char *cap = node_get_style (node, "stroke-linecap");
  const char *join = node_get_style (node, "stroke-linejoin");
  const char *list = node_get_style (node, "stroke-dasharray");
  double dashes[1024];
  const gsize n = list != NULL && !value_is (list, "none") ? scan_numbers (list, dashes, G_N_ELEMENTS (dashes)) : 0;
  cairo_set_line_width (cr, node_get_number (node, "stroke-width", 1.0));
  cairo_set_line_cap (cr, value_is (cap, "round") ? CAIRO_LINE_CAP_ROUND : value_is (cap, "square") ? CAIRO_LINE_CAP_SQUARE
                                                                                                  : CAIRO_LINE_CAP_BUTT);
  cairo_set_line_join (cr, value_is (join, "round") ? CAIRO_LINE_JOIN_ROUND : value_is (join, "bevel") ? CAIRO_LINE_JOIN_BEVEL
                                                                                                     : CAIRO_LINE_JOIN_MITER);
  cairo_set_miter_limit (cr, node_get_number (node, "stroke-miterlimit", 4.0));
  double whole = 0.0;
  for (gsize i = 0; i < n; i++)
    whole += MAX (dashes[i], 0.0);
  if (whole > 0.0)
    cairo_set_dash (cr, dashes, (int) n, node_get_number (node, "stroke-dashoffset", 0.0));
}

static void
draw_shape (Draw           *self,
            const Node     *node,
            const WirePath *path,
            RhyAffine       m)
{
  Palette *palette = self->options->palette;
  Paint fill = palette_read (palette, node, "fill", m);
  Paint stroke = palette_read (palette, node, "stroke", m);
  trace (self->cr, path);
  rhy_brush_set_rule (self->cr, value_is (node_get_style (node, "fill-rule"), "evenodd") ? RHY_FILL_EVENODD : RHY_FILL_NONZERO);
  if (fill.inks)
    {
      set_source (self, &fill);
      cairo_fill_preserve (self->cr);
    }
  if (stroke.inks)
    {
      set_source (self, &stroke);
      cairo_save (self->cr);
      set_pen (self->cr, node);
      cairo_stroke_preserve (self->cr);
      cairo_restore (self->cr);
    }
  cairo_new_path (self->cr);
  paint_clear (&fill);
  paint_clear (&stroke);
}

static void
draw_rectangle (Draw       *self,
                const Node *node,
                RhyAffine   m)
{
  WirePath *path = wire_path_new_rectangle (node_get_number (node, "x", 0.0), node_get_number (node, "y", 0.0),
                                            node_get_number (node, "width", 0.0), node_get_number (node, "height", 0.0));
  draw_shape (self, node, path, m);
  wire_path_free (path);
}

static void
draw_image (Draw       *self,
            const Node *node)
{
  RhyRaster *raster = palette_get_image (self->options->palette, node);
  if (raster == NULL)
    return;
  g_autoptr (RhyPaint) paint = paint_new_picture (raster, RHY_AFFINE_IDENTITY, RHY_EXTEND_NONE, self->alpha);
  rhy_brush_set_source (self->cr, (RhyColour) { 0, 0, 0, 0 }, paint);
  cairo_paint (self->cr);
}

static void
draw_children (Draw       *self,
               const Node *node,
               RhyAffine   m)
{
  for (const Node *child = node->first; child != NULL && !self->stopped; child = child->next)
    draw (self, child, m);
}

static void
draw_content (Draw       *self,
              const Node *node,
              RhyAffine   m)
{
  const Node *target = node_is (node, "use") ? tree_find (self->options->palette->tree, node_get (node, "href")) : NULL;
  if (node->path != NULL)
    draw_shape (self, node, node->path, m);
  else if (node_is (node, "rect"))
    draw_rectangle (self, node, m);
  else if (node_is (node, "image"))
    draw_image (self, node);
  else if (target != NULL)
    {
      const RhyAffine shift = { 1, 0, 0, 1, node_get_number (node, "x", 0.0), node_get_number (node, "y", 0.0) };
      set_matrix (self->cr, shift);
      m = rhy_affine_then (shift, m);
      if (node_is (target, "symbol"))
        draw_children (self, target, m);
      else
        draw (self, target, m);
    }
  else if (node_is (node, "g") || node_is (node, "svg"))
    draw_children (self, node, m);
}

static void
set_clip (Draw       *self,
          const Node *node)
{
  const Node *definition = tree_find (self->options->palette->tree, node_get_style (node, "clip-path"));
  const Node *shape = definition != NULL ? definition->first : NULL;
  if (shape == NULL || (shape->path == NULL && !node_is (shape, "rect")))
    return;
  cairo_matrix_t before;
  cairo_get_matrix (self->cr, &before);
  set_matrix (self->cr, node_get_matrix (shape, "transform"));
  if (shape->path != NULL)
    trace (self->cr, shape->path);
  else
    cairo_rectangle (self->cr, node_get_number (shape, "x", 0.0), node_get_number (shape, "y", 0.0),
                     node_get_number (shape, "width", 0.0), node_get_number (shape, "height", 0.0));
  const gboolean evenodd = value_is (node_get_style (node, "clip-rule"), "evenodd")
                           || value_is (node_get_style (shape, "clip-rule"), "evenodd");
  rhy_brush_set_rule (self->cr, evenodd ? RHY_FILL_EVENODD : RHY_FILL_NONZERO);
  cairo_clip (self->cr);
  cairo_set_matrix (self->cr, &before);
}

/* What a mask lets through is its alpha: cairo turns that into luminance with a
 * filter of its own around it. */
static cairo_pattern_t *
draw_mask (Draw       *self,
           const Node *mask,
           RhyAffine   m)
{
  Draw own = { self->cr, self->options, FALSE, 1.0, self->depth };
  cairo_push_group (self->cr);
  draw_children (&own, mask, m);
  return cairo_pop_group (self->cr);
}

static gboolean
is_definition (const Node *node)
{
  static const char *const names[]
    = { "defs", "symbol", "clipPath", "mask", "linearGradient", "radialGradient", "pattern", "filter", "style", "title" };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    if (node_is (node, names[i]))
      return TRUE;
  return FALSE;
}

static void
draw (Draw       *self,
      const Node *node,
      RhyAffine   m)
{
  self->stopped = self->stopped || node == self->options->stop;
  if (self->stopped || self->depth >= DEPTH_MAX || is_definition (node))
    return;
  self->depth++;

  const double before = self->alpha;
  const RhyAffine own = node_get_matrix (node, "transform");
  if (!(fabs (own.xx * own.yy - own.xy * own.yx) > 0.0))
    {
      self->depth--;
      return;                   /* flattened to nothing; cairo would be in error */
    }
  m = rhy_affine_then (own, m);
  const Node *mask = tree_find (self->options->palette->tree, node_get_style (node, "mask"));
  double opacity = 1.0;
  if (mask != NULL && mask_is_opacity (mask, &opacity))
    mask = NULL;
  if (node->path == NULL && !node_is (node, "rect"))
    opacity *= CLAMP (node_get_number (node, "opacity", 1.0), 0.0, 1.0);
  cairo_operator_t blend = CAIRO_OPERATOR_OVER;
  if (node != self->options->plain)
    node_has_blend (node, &blend);
  const gboolean multiply = self->options->evenly && mask == NULL && blend == CAIRO_OPERATOR_OVER;
  const gboolean apart = !multiply && (mask != NULL || blend != CAIRO_OPERATOR_OVER || opacity < 1.0);

  cairo_save (self->cr);
  set_matrix (self->cr, own);
  set_clip (self, node);
  if (multiply)
    self->alpha *= opacity;
  if (apart)
    cairo_push_group (self->cr);
  cairo_save (self->cr);
  draw_content (self, node, m);
  cairo_restore (self->cr);
  if (apart)
    {
      cairo_pattern_t *content = cairo_pop_group (self->cr);
      cairo_pattern_t *through = mask != NULL ? draw_mask (self, mask, m) : cairo_pattern_create_rgba (0, 0, 0, opacity);
      cairo_set_source (self->cr, content);
      cairo_set_operator (self->cr, blend);
      cairo_mask (self->cr, through);
      cairo_pattern_destroy (through);
      cairo_pattern_destroy (content);
    }
  cairo_restore (self->cr);
  self->alpha = before;
  self->depth--;
}

void
draw_node (cairo_t           *cr,
           const Node        *node,
           const DrawOptions *options)
{
  Draw self = { cr, options, FALSE, 1.0, 0 };
  cairo_save (cr);
  set_matrix (cr, options->m);
  draw (&self, node, options->m);
  cairo_restore (cr);
}

RhyRaster *
draw_cell (Palette    *palette,
           const Node *server,
           double      width,
           double      height,
           RhyAffine   m)
{
  gpointer known;
  if (g_hash_table_lookup_extended (palette->rasters, server, NULL, &known))
    return known;
  /* A pattern that paints with itself finds nothing. */
  g_hash_table_insert (palette->rasters, (gpointer) server, NULL);
  const double across = width * hypot (m.xx, m.yx) * palette->per_unit;
  const double down = height * hypot (m.xy, m.yy) * palette->per_unit;
  if (!(across > 0.0 && down > 0.0 && isfinite (across) && isfinite (down)))
    return NULL;

  const double k = palette_afford (palette, across, down, 1.0);
  const int w = (int) MAX (ceil (across * k), 1.0);
  const int h = (int) MAX (ceil (down * k), 1.0);
  palette->room -= (double) w * h;
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, w, h);
  cairo_t *cr = cairo_create (surface);
  cairo_scale (cr, w / width, h / height);
  const DrawOptions options = { .palette = palette, .m = m };
  Draw self = { cr, &options, FALSE, 1.0, 0 };
  draw_children (&self, server, m);
  const gboolean ok = cairo_status (cr) == CAIRO_STATUS_SUCCESS;
  cairo_destroy (cr);
  RhyRaster *cell = ok ? raster_new_whole (surface) : NULL;
  cairo_surface_destroy (surface);
  g_hash_table_insert (palette->rasters, (gpointer) server, cell);
  return cell;
}
