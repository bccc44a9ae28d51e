/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "render.h"

#include <cairo-svg.h>
#include <librsvg/rsvg.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <math.h>
#include <pango/pangocairo.h>
#include <string.h>

#include "drain.h"
#include "flat.h"
#include "fonts.h"
#include "source.h"

/* cairo rounds to 1/256 of its unit: over ink between half and all of this many units long that is at
 * most 5e-7 of it. No finer, because librsvg has cairo flatten each stroke to within a unit, to know
 * its extents. */
static const double INK_UNITS = 16384.0;
/* A page with little ink on it is at most this long. */
static const double PAGE_UNITS = 65536.0;
/* Past 2^23 units cairo 1.16's fixed point wraps round; ink may reach beyond
 * the page, so this is kept well inside. */
static const double REACH_MAX = 2097152.0;
/* librsvg sizes pictures for masks and filters by the scale it is told. */
static const double TOLD_MIN = 512.0;
static const double TOLD_MAX = 2048.0;
/* No drawing within the input limit comes near this; a filter's picture may. */
static const gsize WRITTEN_MAX = 512 * 1024 * 1024;
static const double MM_PER_PX = 25.4 / 96.0;
/* Of one attribute, and what libxml2 reads of a file whose lines and attributes it cannot yet let go
 * (XML_MAX_TEXT_LENGTH, XML_MAX_LOOKUP_LIMIT): where that is passed it ends in the middle of good drawings. */
static const gsize ATTRIBUTE_MAX = 10000000;
/* A document from a file of fewer bytes is not worth the time of taking it apart. */
static const gsize LARGE = 4 * 1024 * 1024;
/* A page larger than this is a slip of the unit, not a drawing. */
static const double PAGE_MAX_MM = 1e6;

/* Stands in for cairo's where librsvg calls it: the dynamic linker takes a program's own first. librsvg asks
 * for every path what its fill would cover, for the ink's extents alone; cairo finds that by cutting the
 * fill into trapezoids, which takes as long as the path has crossings: 12 s for 2,000 triangles across each
 * other, and a tenth of the whole intake for a usual drawing. The path's own box is enough; a path
 * without width or height covers nothing. */
void
cairo_fill_extents (cairo_t *cr,
                    double  *x1,
                    double  *y1,
                    double  *x2,
                    double  *y2)
{
  double box[4] = { 0.0, 0.0, 0.0, 0.0 };
  cairo_path_extents (cr, &box[0], &box[1], &box[2], &box[3]);
  const gboolean is_flat = !(box[2] > box[0] && box[3] > box[1]);
  double *out[4] = { x1, y1, x2, y2 };
  for (int i = 0; i < 4; i++)
    if (out[i] != NULL)
      *out[i] = is_flat ? 0.0 : box[i];
}

typedef struct
{
  Wire         *wire;
  RsvgHandle   *handle;
  const char   *element;        /* "#id" or NULL */
  double        width, height;  /* px */
  RhySizeSource size_source;
  double        reach;          /* px: how far from the corner ink lies */
  double        extent;         /* px: the ink's longer side */
  gboolean      is_large;       /* its file: memory counts for more than time */
} Drawing;

static RsvgRectangle
rectangle (double width,
           double height)
{
  return (RsvgRectangle) { 0.0, 0.0, width, height };
}

/* One line out of librsvg's, without the parser's domain and code numbers. */
static char *
plain_reason (const GError *error)
{
  const char *text = error->message;
  if (g_str_has_prefix (text, "XML parse error: "))
    text += strlen ("XML parse error: ");
  const char *on = strstr (text, " on line ");
  if (g_str_has_prefix (text, "Error domain") && on != NULL)
    text = on + strlen (" on ");
  /* "error code=201 (3) in (null):2:1: ..." for what is well-formed but for its namespaces. */
  const char *in = g_str_has_prefix (text, "error code=") ? strstr (text, "(null):") : NULL;
  if (in != NULL)
    text = in + strlen ("(null):");
  char *line = g_strdup (text);
  g_strdelimit (line, "\n\r\t", ' ');
  return g_strstrip (line);
}

static void
load (Drawing *drawing,
      GBytes  *source)
{
  g_autoptr (GError) error = NULL;
  /* A large file is bounded by this process's own limits of time and memory, not by libxml2's. */
  const gboolean is_large = g_bytes_get_size (source) >= ATTRIBUTE_MAX;
  if (is_large && source_longest_attribute (source) >= ATTRIBUTE_MAX)
    wire_fail (drawing->wire, RHY_ERROR_LIMIT, "an outline of more than the 10 MB allowed in one piece: split it in the drawing program");
  g_autoptr (GInputStream) stream = drain_stream_new (source);
  drawing->handle = rsvg_handle_new_from_stream_sync (stream, NULL, is_large ? RSVG_HANDLE_FLAG_UNLIMITED : RSVG_HANDLE_FLAGS_NONE,
                                                      NULL, &error);
  if (drawing->handle == NULL)
    {
      g_autofree char *reason = plain_reason (error);
      if (strstr (reason, "memory") != NULL)
        wire_fail (drawing->wire, RHY_ERROR_LIMIT, "takes more memory than it is allowed");
      if (strstr (reason, "Excessive depth") != NULL)
        wire_fail (drawing->wire, RHY_ERROR_LIMIT, "nested deeper than the 256 levels allowed: ungroup it in the drawing program");
      wire_fail (drawing->wire, RHY_ERROR_ARTWORK, "not a readable SVG drawing: %s", reason);
    }
  rsvg_handle_set_dpi (drawing->handle, 96.0);
  if (drawing->element != NULL && !rsvg_handle_has_sub (drawing->handle, drawing->element))
    wire_fail (drawing->wire, RHY_ERROR_ARTWORK, "it has no element with the id \"%s\"", drawing->element + 1);
}

static gboolean
is_absolute (RsvgLength length)
{
  return length.unit != RSVG_UNIT_PERCENT && length.unit != RSVG_UNIT_EM && length.unit != RSVG_UNIT_EX;
}

static double
in_px (RsvgLength length)
{
  switch (length.unit)
    {
    case RSVG_UNIT_IN:
      return length.length * 96.0;
    case RSVG_UNIT_CM:
      return length.length * 96.0 / 2.54;
    case RSVG_UNIT_MM:
      return length.length * 96.0 / 25.4;
    case RSVG_UNIT_PT:
      return length.length * 96.0 / 72.0;
    case RSVG_UNIT_PC:
      return length.length * 96.0 / 6.0;
    default:
      return length.length;
    }
}

static gboolean
is_size (double width,
         double height)
{
  return width > 0.0 && height > 0.0 && isfinite (width) && isfinite (height);
}

/* Sets the page's size as the file says it, or, where it says none, as its
 * viewBox or its ink say. */
static void
read_size (Drawing *drawing)
{
  gboolean has_width, has_height, has_box;
  RsvgLength width, height;
  RsvgRectangle box;
  rsvg_handle_get_intrinsic_dimensions (drawing->handle, &has_width, &width, &has_height, &height, &has_box, &box);
  const gboolean width_stated = has_width && is_absolute (width);
  const gboolean height_stated = has_height && is_absolute (height);
  if ((width_stated && width.length == 0.0) || (height_stated && height.length == 0.0))
    wire_fail (drawing->wire, RHY_ERROR_ARTWORK, "its %s is 0: nothing of it can be seen",
               width_stated && width.length == 0.0 ? "width" : "height");

  has_box = has_box && is_size (box.width, box.height);
  drawing->size_source = RHY_SIZE_PHYSICAL;
  if (rsvg_handle_get_intrinsic_size_in_pixels (drawing->handle, &drawing->width, &drawing->height)
      && is_size (drawing->width, drawing->height))
    return;
  if (width_stated && has_box && is_size (in_px (width), 1.0))
    drawing->width = in_px (width), drawing->height = drawing->width * box.height / box.width;
  else if (height_stated && has_box && is_size (in_px (height), 1.0))
    drawing->height = in_px (height), drawing->width = drawing->height * box.width / box.height;
  else if (has_box)
    {
      drawing->size_source = RHY_SIZE_VIEWBOX;
      drawing->width = box.width;
      drawing->height = box.height;
    }
  else
    {
      RsvgRectangle ink = { 0 };
      const RsvgRectangle viewport = rectangle (1000.0, 1000.0);
      drawing->size_source = RHY_SIZE_INK;
      rsvg_handle_get_geometry_for_layer (drawing->handle, NULL, &viewport, &ink, NULL, NULL);
      drawing->width = ink.x + ink.width;
      drawing->height = ink.y + ink.height;
    }
}

static void
find_size (Drawing *drawing)
{
  read_size (drawing);
  if (!is_size (drawing->width, drawing->height))
    wire_fail (drawing->wire, RHY_ERROR_ARTWORK, "it has no ink: nothing in it is painted");
  const double longer_mm = MAX (drawing->width, drawing->height) * MM_PER_PX;
  if (!(longer_mm <= PAGE_MAX_MM))
    wire_fail (drawing->wire, RHY_ERROR_LIMIT, "its page is %g m long, more than the %g m allowed: look at its unit",
               longer_mm / 1000.0, PAGE_MAX_MM / 1000.0);
}

/* Measured in a viewport of moderate size: librsvg measures by painting, and a
 * mask on a page of 30000 px would cost it gigabytes. */
static void
find_reach (Drawing *drawing)
{
  const double longer = MAX (drawing->width, drawing->height);
  const double q = MIN (1.0, 1024.0 / longer);
  const RsvgRectangle viewport = rectangle (drawing->width * q, drawing->height * q);
  RsvgRectangle ink = { 0 };
  drawing->reach = drawing->extent = longer;
  if (!rsvg_handle_get_geometry_for_layer (drawing->handle, drawing->element, &viewport, &ink, NULL, NULL))
    return;
  const double edges[] = { ink.x, ink.y, ink.x + ink.width, ink.y + ink.height };
  for (gsize i = 0; i < G_N_ELEMENTS (edges); i++)
    if (isfinite (edges[i]))
      drawing->reach = MAX (drawing->reach, fabs (edges[i]) / q);
  const double extent = MAX (ink.width, ink.height) / q;
  if (extent > 0.0 && isfinite (extent))
    drawing->extent = extent;
}

typedef struct
{
  Tree   *tree;
  gsize   written;
  GError *error;
} Sink;

static cairo_status_t
write_to_tree (void                *closure,
               const unsigned char *data,
               unsigned int         length)
{
  Sink *sink = closure;
  sink->written += length;
  if (sink->error == NULL && sink->written > WRITTEN_MAX)
    g_set_error_literal (&sink->error, RHY_ERROR, RHY_ERROR_LIMIT, "its outlines take more room than is allowed");
  if (sink->error == NULL)
    tree_feed (sink->tree, (const char *) data, length, &sink->error);
  return sink->error == NULL ? CAIRO_STATUS_SUCCESS : CAIRO_STATUS_WRITE_ERROR;
}

static double
power_of_two (double x)
{
  return exp2 (floor (log2 (x)));
}

/* The part of the scale that librsvg is told. */
static double
told_scale (double longer)
{
  if (longer < TOLD_MIN)
    return exp2 (ceil (log2 (TOLD_MIN / longer)));
  if (longer > TOLD_MAX)
    return power_of_two (TOLD_MAX / longer);
  return 1.0;
}

/* Returns: the tree and the scale it is in, or NULL with the reason. */
static Tree *
paint (Drawing *drawing,
       double   page_units,
       double   told,
       double  *scale,
       GError **error)
{
  const double longer = MAX (drawing->width, drawing->height);
  const double finest = MIN (page_units / longer, INK_UNITS / MIN (drawing->extent, longer));
  const double s = power_of_two (MIN (finest, REACH_MAX / drawing->reach));
  Sink sink = { tree_new (), 0, NULL };
  cairo_surface_t *surface
    = cairo_svg_surface_create_for_stream (write_to_tree, &sink, ceil (drawing->width * s), ceil (drawing->height * s));
  cairo_svg_surface_restrict_to_version (surface, CAIRO_SVG_VERSION_1_2);
  cairo_surface_set_fallback_resolution (surface, 72.0 / s, 72.0 / s);
  cairo_surface_set_device_scale (surface, s / told, s / told);

  cairo_t *cr = cairo_create (surface);
  /* cairo keeps the union of all that was painted as a region, and adding the box of a shape to
   * one of ten thousand boxes takes as long as that is large. A ground makes it one box. */
  cairo_save (cr);
  cairo_set_source_rgb (cr, tree_ground[0], tree_ground[1], tree_ground[2]);
  cairo_paint (cr);
  cairo_restore (cr);
  cairo_scale (cr, told, told);
  /* Curves are written as curves whatever this says; left at a tenth of a unit, cairo would
   * flatten every stroke that finely only to guess its extents. A tenth of a px will do. */
  cairo_set_tolerance (cr, 0.1 * s);
  const RsvgRectangle viewport = rectangle (drawing->width, drawing->height);
  GError *trouble = NULL;
  gboolean ok = drawing->element != NULL
                  ? rsvg_handle_render_layer (drawing->handle, cr, drawing->element, &viewport, &trouble)
                  : rsvg_handle_render_document (drawing->handle, cr, &viewport, &trouble);
  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);
  /* What is written out and read again takes as much memory as the document. */
  if (ok && status == CAIRO_STATUS_SUCCESS && drawing->is_large)
    {
      g_clear_object (&drawing->handle);
#ifdef __GLIBC__
      malloc_trim (0);
#endif
    }
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);

  if (ok && sink.error == NULL && status == CAIRO_STATUS_SUCCESS)
    tree_end (sink.tree, &sink.error);
  if (sink.error == NULL)
    tree_drop_ground (sink.tree);
  if (sink.error != NULL)
    {
      g_clear_error (&trouble);
      trouble = g_steal_pointer (&sink.error);
    }
  else if (status != CAIRO_STATUS_SUCCESS && trouble == NULL)
    g_set_error_literal (&trouble, RHY_ERROR, status == CAIRO_STATUS_NO_MEMORY ? RHY_ERROR_LIMIT : RHY_ERROR_ARTWORK,
                         cairo_status_to_string (status));
  if (trouble != NULL || !ok)
    {
      tree_free (sink.tree);
      g_propagate_error (error, trouble);
      return NULL;
    }
  *scale = s;
  return sink.tree;
}

/* A font that was once asked for too large stays broken in pango's cache; and
 * filters that copy the whole target may need a smaller one. */
static Tree *
paint_somehow (Drawing *drawing,
               double  *scale)
{
  const double told = told_scale (MAX (drawing->width, drawing->height));
  const struct { double units, told; } attempts[] = { { PAGE_UNITS, told }, { PAGE_UNITS, 1.0 }, { 4096.0, 1.0 } };
  g_autoptr (GError) error = NULL;

  for (gsize i = 0; i < G_N_ELEMENTS (attempts) && drawing->handle != NULL; i++)
    {
      g_clear_error (&error);
      Tree *tree = paint (drawing, attempts[i].units, attempts[i].told, scale, &error);
      if (tree != NULL)
        return tree;
      pango_cairo_font_map_set_default (NULL);
    }
  g_autofree char *reason = error != NULL ? plain_reason (error) : g_strdup ("unknown reason");
  if (strstr (reason, "emory") != NULL)
    wire_fail (drawing->wire, RHY_ERROR_LIMIT, "takes more memory than it is allowed");
  wire_fail (drawing->wire, g_error_matches (error, RHY_ERROR, RHY_ERROR_LIMIT) ? RHY_ERROR_LIMIT : RHY_ERROR_ARTWORK,
             "cannot be painted: %s", reason);
}

void
render_send (Wire       *wire,
             GBytes     *source,
             const char *layer)
{
  g_autofree char *element = layer != NULL ? g_strconcat ("#", layer, NULL) : NULL;
  Drawing drawing = { .wire = wire, .element = element, .is_large = g_bytes_get_size (source) >= LARGE };
  source_check_texts (wire, source);
  source_note_silent_losses (wire, source);
  fonts_note_missing (wire, source);
  fonts_note_no_glyph (wire, source);
  const gboolean has_pictures = layer == NULL && source_has_pictures (source);
  load (&drawing, source);
  find_size (&drawing);
  find_reach (&drawing);
  wire_size (wire, drawing.width * MM_PER_PX, drawing.height * MM_PER_PX, drawing.size_source);

  double scale;
  Tree *tree = paint_somehow (&drawing, &scale);
  gboolean found_picture = FALSE;
  if (flat_send (wire, tree, scale, drawing.width, drawing.height, &found_picture) == 0)
    {
      if (layer != NULL)
        wire_fail (wire, RHY_ERROR_ARTWORK, "its element \"%s\" has no ink: nothing in it is painted", layer);
      if (has_pictures)
        wire_fail (wire, RHY_ERROR_ARTWORK, "its picture cannot be read (damaged, or too large), and it has no other ink");
      wire_fail (wire, RHY_ERROR_ARTWORK, "it has no ink: nothing in it is painted");
    }
  if (has_pictures && !found_picture)
    wire_note (wire, "a picture in it is left out: damaged, too large, hidden or off the page");
  wire_end (wire);
}
