/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-flat-view.h"

#include <math.h>
#include <string.h>

#include "rhyton-flat.h"

#define ZOOM_MIN 0.5
#define ZOOM_MAX 40.0
#define GRIP_SLACK_PX 6.0
/* Room for the view's name above, the scale bar below, and the ends' names. */
#define MARGIN_PX 24.0
#define TOP_PX 48.0
#define BOTTOM_PX 44.0

typedef struct
{
  RhySpace          space;
  double            zoom;
  double            pan_x, pan_y;       /* px */
  double            width, height;      /* px, of the widget */
  RhytonFlatColours colours;
} Look;

struct _RhytonFlatView
{
  RhytonView parent_instance;

  RhySpace   space;
  double     zoom;
  double     pan_x, pan_y;
  double     drag_pan_x, drag_pan_y;    /* at the start of a drag */
};

enum { PROP_SPACE = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonFlatView, rhyton_flat_view, RHYTON_TYPE_VIEW)

/* ---- the picture ---- */

static Look
look_of (RhytonFlatView *self)
{
  GtkWidget *widget = GTK_WIDGET (self);
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  Look look = { .space = self->space, .zoom = self->zoom, .pan_x = self->pan_x, .pan_y = self->pan_y,
                .width = gtk_widget_get_width (widget), .height = gtk_widget_get_height (widget) };

  gtk_style_context_get_color (style, &look.colours.text);
  look.colours.accent = look.colours.bad = look.colours.text;
  gtk_style_context_lookup_color (style, "theme_selected_bg_color", &look.colours.accent);
  gtk_style_context_lookup_color (style, "error_color", &look.colours.bad);
  return look;
}

static gpointer
look (RhytonView *view)
{
  const Look now = look_of (RHYTON_FLAT_VIEW (view));
  return g_memdup2 (&now, sizeof now);
}

/* Where some of the ink has no image, the rest is still to be seen: it never fails. */
static gpointer
make (const RhytonSight *sight,
      GError           **error)
{
  const Look *from = sight->look;
  return rhyton_flat_new (sight->plan, from->space, sight->is_draft);
}

static void
free_flat (gpointer flat)
{
  rhyton_flat_free (flat);
}

/* Space to pixels: the box fitted into the widget, then zoomed and shifted. */
static RhyAffine
to_pixels (const Look       *look,
           const RhytonFlat *flat)
{
  const RhyBounds box = flat->box;
  const double box_width = MAX (box.max_x - box.min_x, 1e-3);
  const double box_height = MAX (box.max_y - box.min_y, 1e-3);
  const double fit = MIN (MAX (look->width - 2.0 * MARGIN_PX, 10.0) / box_width,
                          MAX (look->height - TOP_PX - BOTTOM_PX, 10.0) / box_height);
  const double scale = fit * look->zoom;
  /* y is up on the pattern, down on the bed as on the screen. */
  const double down = look->space == RHY_SPACE_PATTERN ? -scale : scale;
  return (RhyAffine) {
    .xx = scale,
    .yy = down,
    .x0 = 0.5 * look->width + look->pan_x - scale * 0.5 * (box.min_x + box.max_x),
    .y0 = 0.5 * (look->height + TOP_PX - BOTTOM_PX) + look->pan_y - down * 0.5 * (box.min_y + box.max_y),
  };
}

static void
paint (gconstpointer      subject,
       gconstpointer      before,
       const RhytonSight *sight,
       guint8            *pixels,
       int                stride)
{
  const RhytonFlat *flat = subject;
  const Look *from = sight->look;

  memset (pixels, 0, (gsize) stride * (gsize) sight->height);
  cairo_surface_t *surface = cairo_image_surface_create_for_data (pixels, CAIRO_FORMAT_ARGB32, sight->width, sight->height, stride);
  cairo_surface_set_device_scale (surface, sight->scale, sight->scale);
  cairo_t *cr = cairo_create (surface);
  rhyton_flat_paint (flat, cr, to_pixels (from, flat), &from->colours);
  cairo_destroy (cr);
  cairo_surface_destroy (surface);
}

/* ---- pixels and the wall, in the newest look ---- */

static RhyAffine
affine_now (RhytonFlatView   *self,
            const RhytonFlat *flat)
{
  const Look now = look_of (self);
  return to_pixels (&now, flat);
}

static gboolean
pick (gpointer      view,
      double        x,
      double        y,
      RhyWallPoint *at)
{
  const RhytonFlat *flat = rhyton_view_get_subject (view);
  RhyPoint wall;

  if (flat == NULL)
    return FALSE;
  const RhyAffine m = affine_now (view, flat);
  if (!rhy_map_point_inverse (rhyton_flat_map (flat), (RhyPoint) { (x - m.x0) / m.xx, (y - m.y0) / m.yy }, &wall))
    return FALSE;
  *at = (RhyWallPoint) { wall.x, wall.y };
  return TRUE;
}

gboolean
rhyton_flat_view_locate (RhytonFlatView *self,
                         RhyWallPoint    at,
                         double         *x,
                         double         *y)
{
  g_return_val_if_fail (RHYTON_IS_FLAT_VIEW (self), FALSE);

  const RhytonFlat *flat = rhyton_view_get_subject (RHYTON_VIEW (self));
  RhyPoint p;
  if (flat == NULL || !rhy_map_point (rhyton_flat_map (flat), (RhyPoint) { at.s, at.angle }, &p))
    return FALSE;
  p = rhy_affine_apply (affine_now (self, flat), p);
  *x = p.x;
  *y = p.y;
  return TRUE;
}

static gboolean
locate (gpointer      view,
        RhyWallPoint  at,
        double       *x,
        double       *y)
{
  return rhyton_flat_view_locate (view, at, x, y);
}

static double
get_slack_mm (gpointer view)
{
  const RhytonFlat *flat = rhyton_view_get_subject (view);
  return flat != NULL ? GRIP_SLACK_PX / affine_now (view, flat).xx : 0.0;
}

static double
get_middle (gpointer view)
{
  const RhytonFlat *flat = rhyton_view_get_subject (view);
  return flat != NULL ? rhyton_flat_middle (flat) : 0.0;
}

/* The bed drawing is about the mark, which is the first artwork's anchor. */
static gboolean
keeps_mark (gpointer view)
{
  return RHYTON_FLAT_VIEW (view)->space == RHY_SPACE_BED;
}

/* ---- words over it ---- */

static PangoLayout *
small_words (RhytonView     *view,
             const char     *words,
             PangoRectangle *box)
{
  PangoLayout *layout = gtk_widget_create_pango_layout (GTK_WIDGET (view), words);
  g_autoptr (PangoAttrList) attributes = pango_attr_list_new ();

  pango_attr_list_insert (attributes, pango_attr_scale_new (PANGO_SCALE_SMALL));
  pango_layout_set_attributes (layout, attributes);
  pango_layout_get_pixel_extents (layout, NULL, box);
  return layout;
}

static void
append_words (GtkSnapshot *snapshot,
              PangoLayout *layout,
              GdkRGBA      colour,
              float        alpha)
{
  colour.alpha *= alpha;
  gtk_snapshot_append_layout (snapshot, layout, &colour);
}

/* Near an end of the wall, just outside it. */
static void
name_end (RhytonView  *view,
          GtkSnapshot *snapshot,
          const char  *name,
          RhyPoint     end,
          RhyPoint     other,
          GdkRGBA      text)
{
  const double length = MAX (hypot (end.x - other.x, end.y - other.y), 1e-6);
  const double dx = (end.x - other.x) / length, dy = (end.y - other.y) / length;
  PangoRectangle box;
  g_autoptr (PangoLayout) layout = small_words (view, name, &box);

  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) (end.x + dx * 11.0), (float) (end.y + dy * 11.0)));
  /* Along the edge: on the bed it may run down the page. */
  if (fabs (dx) > fabs (dy))
    gtk_snapshot_rotate (snapshot, -90.0f);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT (-0.5f * (float) box.width, -0.5f * (float) box.height));
  append_words (snapshot, layout, text, 0.75f);
  gtk_snapshot_restore (snapshot);
}

static void
append_scale_bar (RhytonView  *view,
                  GtkSnapshot *snapshot,
                  double       px_per_mm,
                  GdkRGBA      text)
{
  static const double lengths[] = { 0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200 };
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (view));
  const gboolean inches = document != NULL && rhyton_document_get_inches (document);
  const double unit_px = (inches ? 25.4 : 1.0) * px_per_mm;
  const double width = gtk_widget_get_width (GTK_WIDGET (view)), height = gtk_widget_get_height (GTK_WIDGET (view));
  double length = lengths[0];

  for (gsize i = 0; i < G_N_ELEMENTS (lengths); i++)
    if (lengths[i] * unit_px <= 0.3 * width)
      length = lengths[i];
  g_autofree char *name = g_strdup_printf ("%g %s", length, inches ? "in" : "mm");
  PangoRectangle box;
  g_autoptr (PangoLayout) layout = small_words (view, name, &box);
  const double y = height - 8.5, right = width - 10.5, left = right - length * unit_px;

  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &GRAPHENE_RECT_INIT ((float) left - 2.0f, (float) y - 6.0f,
                                                                          (float) (right - left) + 4.0f, 8.0f));
  cairo_move_to (cr, left, y - 4.0);
  cairo_line_to (cr, left, y);
  cairo_line_to (cr, right, y);
  cairo_line_to (cr, right, y - 4.0);
  cairo_set_source_rgba (cr, text.red, text.green, text.blue, 0.7 * text.alpha);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);
  cairo_destroy (cr);
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) left - (float) box.width - 6.0f, (float) y - (float) box.height + 3.0f));
  append_words (snapshot, layout, text, 0.7f);
  gtk_snapshot_restore (snapshot);
}

static void
decorate (RhytonView  *view,
          GtkSnapshot *snapshot)
{
  const RhytonFlat *flat = rhyton_view_get_subject (view);
  const Look now = look_of (RHYTON_FLAT_VIEW (view));

  if (flat == NULL)
    return;
  const RhyAffine m = to_pixels (&now, flat);
  const RhyPoint rim = rhy_affine_apply (m, flat->rim), base = rhy_affine_apply (m, flat->base);
  name_end (view, snapshot, "rim", rim, base, now.colours.text);
  name_end (view, snapshot, "base", base, rim, now.colours.text);
  append_scale_bar (view, snapshot, m.xx, now.colours.text);
}

/* ---- the pointer ---- */

static void
grab (RhytonView *view)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (view);
  self->drag_pan_x = self->pan_x;
  self->drag_pan_y = self->pan_y;
}

static void
shift (RhytonView *view,
       double      dx,
       double      dy)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (view);
  self->pan_x = self->drag_pan_x + dx;
  self->pan_y = self->drag_pan_y + dy;
  rhyton_view_look_changed (view);
}

static void
zoom (RhytonView *view,
      double      factor,
      double      x,
      double      y)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (view);
  const double width = gtk_widget_get_width (GTK_WIDGET (self));
  const double height = gtk_widget_get_height (GTK_WIDGET (self));
  const double now = CLAMP (self->zoom * factor, ZOOM_MIN, ZOOM_MAX);
  const double grown = now / self->zoom;
  const double middle = 0.5 * (height + TOP_PX - BOTTOM_PX);

  self->pan_x = (x - 0.5 * width) - grown * (x - 0.5 * width - self->pan_x);
  self->pan_y = (y - middle) - grown * (y - middle - self->pan_y);
  self->zoom = now;
  rhyton_view_look_changed (view);
}

void
rhyton_flat_view_fit (RhytonFlatView *self)
{
  g_return_if_fail (RHYTON_IS_FLAT_VIEW (self));

  self->zoom = 1.0;
  self->pan_x = self->pan_y = 0.0;
  rhyton_view_look_changed (RHYTON_VIEW (self));
}

RhyArtwork *
rhyton_flat_view_get_art (RhytonFlatView *self)
{
  g_return_val_if_fail (RHYTON_IS_FLAT_VIEW (self), NULL);
  const RhytonFlat *flat = rhyton_view_get_subject (RHYTON_VIEW (self));
  return flat != NULL ? flat->art : NULL;
}

/* ---- the class ---- */

static void
set_space (RhytonFlatView *self,
           RhySpace        space)
{
  const gboolean bed = space == RHY_SPACE_BED;

  self->space = space;
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  bed ? "Drawing on the bed" : "Flat pattern", -1);
}

static void
rhyton_flat_view_set_property (GObject      *object,
                               guint         id,
                               const GValue *value,
                               GParamSpec   *pspec)
{
  if (id == PROP_SPACE)
    set_space (RHYTON_FLAT_VIEW (object), (RhySpace) g_value_get_int (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_flat_view_class_init (RhytonFlatViewClass *klass)
{
  RhytonViewClass *view_class = RHYTON_VIEW_CLASS (klass);

  G_OBJECT_CLASS (klass)->set_property = rhyton_flat_view_set_property;
  view_class->locate = locate;
  view_class->pick = pick;
  view_class->get_slack_mm = get_slack_mm;
  view_class->get_middle = get_middle;
  view_class->keeps_mark = keeps_mark;
  view_class->look = look;
  view_class->look_size = sizeof (Look);
  view_class->make = make;
  view_class->paint = paint;
  view_class->free_subject = free_flat;
  view_class->decorate = decorate;
  view_class->grab = grab;
  view_class->turn = shift;
  view_class->shift = shift;
  view_class->zoom = zoom;

  /* %RHY_SPACE_PATTERN or %RHY_SPACE_BED */
  properties[PROP_SPACE] = g_param_spec_int ("space", NULL, NULL, RHY_SPACE_PATTERN, RHY_SPACE_BED,
                                             RHY_SPACE_PATTERN,
                                             G_PARAM_WRITABLE | G_PARAM_CONSTRUCT_ONLY | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (G_OBJECT_CLASS (klass), N_PROPS, properties);
}

static void
rhyton_flat_view_init (RhytonFlatView *self)
{
  self->zoom = 1.0;
}
