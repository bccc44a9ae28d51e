/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-flat-view.h"

#include <math.h>

#include "rhyton-hand.h"
#include "rhyton-look.h"
#include "rhyton-paint.h"
#include "rhyton-worker.h"

#define ZOOM_MIN 0.5
#define ZOOM_MAX 40.0
#define SCROLL_ZOOM 1.15
#define GRIP_SLACK_PX 6.0
/* Room for the view's name above, the scale bar below, and the ends' names. */
#define MARGIN_PX 24.0
#define TOP_PX 48.0
#define BOTTOM_PX 44.0
/* Points along a full parallel: chords of a 600 mm wide arc stay within 0.05 mm. */
#define N_AROUND 181

/* What the artwork lies on: neither the theme's colour nor the vessel's, so that
 * black and white ink both show. */
static const GdkRGBA PAPER = { 0.957f, 0.949f, 0.929f, 1.0f };

/* Everything to draw, in the view's space; immutable once made. */
typedef struct
{
  RhyPlan    *plan;
  RhyPath    *wall;             /* one turn of it */
  RhyPath    *front;            /* the front line */
  RhyPath    *zones;
  RhyArtwork *art;              /* NULL: see error */
  RhyPath    *ink;              /* points of ink that are on the wall, if not all is */
  gboolean    reaches_over;     /* ink goes past an end of the turn that is shown ... */
  RhyAffine   turn;             /* ... and comes in at the other, moved by this */
  RhyPoint    mark;             /* bed: where the beam is lined up */
  RhyPoint    rim, base;        /* middles of the two ends */
  RhyBounds   box;
  char       *error;
  gboolean    draft;            /* pictures are coarse, to be made again once the hand lets go */
} Flat;

typedef struct
{
  RhyPlan  *plan;
  RhySpace  space;
  gboolean  draft;
} Order;

struct _RhytonFlatView
{
  RhytonPart    parent_instance;

  /* Owned */
  RhytonWorker *worker;
  Flat         *flat;

  RhySpace      space;
  double        zoom;
  double        pan_x, pan_y;   /* px */
  double        drag_pan_x, drag_pan_y; /* at the start of a drag */
  double        pointer_x, pointer_y;
  RhytonHand    hand;
  gboolean      points;         /* there is a ring around: */
  RhyWallPoint  place;
};

enum { PROP_SPACE = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonFlatView, rhyton_flat_view, RHYTON_TYPE_PART)

/* About what a screen shows of pictures while a hand drags them. */
static const RhyDots draft_dots = { .per_inch = 96.0 };

static void
free_flat (gpointer data)
{
  Flat *flat = data;
  rhy_plan_unref (flat->plan);
  g_clear_pointer (&flat->wall, rhy_path_unref);
  g_clear_pointer (&flat->front, rhy_path_unref);
  g_clear_pointer (&flat->zones, rhy_path_unref);
  g_clear_pointer (&flat->art, rhy_artwork_unref);
  g_clear_pointer (&flat->ink, rhy_path_unref);
  g_free (flat->error);
  g_free (flat);
}

static void
free_order (gpointer data)
{
  Order *order = data;
  rhy_plan_unref (order->plan);
  g_free (order);
}

static const RhyMap *
map_of (const RhyPlan *plan,
        RhySpace       space)
{
  return space == RHY_SPACE_BED ? rhy_plan_get_drive (plan) : rhy_plan_get_unroll (plan);
}

/* One turn about the front on the pattern, about the mark on the bed. */
static double
middle_of (const RhyPlan *plan,
           RhySpace       space)
{
  return space == RHY_SPACE_BED ? rhy_plan_get_numbers (plan)->anchor.angle : 0.0;
}

/* Part of a wall may have no image: a flare that a tilt turns away from the head. */
static void
line_to (RhyPath      *path,
         const RhyMap *map,
         double        s,
         double        angle,
         gboolean     *begun)
{
  RhyPoint p;
  if (!rhy_map_point (map, (RhyPoint) { s, angle }, &p))
    return;
  if (*begun)
    rhy_path_line_to (path, p.x, p.y);
  else
    rhy_path_move_to (path, p.x, p.y);
  *begun = TRUE;
}

/* The patch between two slants and two angles, its sides along meridians. */
static void
add_patch (RhyPath      *path,
           const RhyMap *map,
           double        s0,
           double        s1,
           double        angle0,
           double        angle1)
{
  gboolean begun = FALSE;

  for (int i = 0; i < N_AROUND; i++)
    line_to (path, map, s0, angle0 + (angle1 - angle0) * i / (N_AROUND - 1), &begun);
  for (int i = N_AROUND - 1; i >= 0; i--)
    line_to (path, map, s1, angle0 + (angle1 - angle0) * i / (N_AROUND - 1), &begun);
  if (begun)
    rhy_path_close (path);
}

static void
add_zone (Flat          *flat,
          const RhyMap  *map,
          const RhyZone *zone,
          double         middle)
{
  RhyWall *wall = rhy_plan_get_wall (flat->plan);
  const double length = rhy_wall_get_length (wall);
  const gboolean all_round = zone->width_rad >= 2.0 * G_PI - 1e-9;
  RhyRing low = { 0 }, high = { .s_mm = length };

  rhy_wall_at_height (wall, zone->from_mm, &low);
  rhy_wall_at_height (wall, zone->to_mm, &high);
  if (!(low.s_mm < high.s_mm))
    return;
  if (all_round)
    {
      add_patch (flat->zones, map, low.s_mm, high.s_mm, middle - G_PI, middle + G_PI);
      return;
    }
  const double centre = middle + remainder (zone->centre_rad - middle, 2.0 * G_PI);
  const double half = 0.5 * zone->width_rad;
  /* What reaches over the end of the turn comes in again at the other. */
  for (int turn = -1; turn <= 1; turn++)
    {
      const double from = MAX (centre - half + 2.0 * G_PI * turn, middle - G_PI);
      const double to = MIN (centre + half + 2.0 * G_PI * turn, middle + G_PI);
      if (from < to)
        add_patch (flat->zones, map, low.s_mm, high.s_mm, from, to);
    }
}

/* Where some of the ink has no image the library bends none of it; its sampled
 * points that have one still show where it is. */
static void
add_ink (Flat         *flat,
         const RhyMap *map)
{
  RhyPoint wall, at;

  flat->ink = rhy_path_new ();
  for (gsize k = 0; k < rhy_plan_get_n_parts (flat->plan); k++)
    {
      const RhyPlan *part = rhy_plan_get_part (flat->plan, k);
      gsize n = 0;
      const RhyArtPoint *ink = rhy_plan_get_ink (part, &n);
      for (gsize i = 0; i < n; i++)
        if (rhy_map_point (rhy_plan_get_lay (part), (RhyPoint) { ink[i].u, ink[i].v }, &wall)
            && rhy_map_point (map, wall, &at))
          {
            rhy_path_move_to (flat->ink, at.x, at.y);
            rhy_path_line_to (flat->ink, at.x, at.y);
          }
    }
}

static RhyBounds
with_path (RhyBounds      box,
           const RhyPath *path)
{
  for (gsize i = 0; i < path->n_points; i++)
    box = rhy_bounds_with (box, path->points[i].x, path->points[i].y);
  return box;
}

/* One turn on, a flat wall is the same wall moved and turned as a whole: by what two of
 * its points say. */
static gboolean
find_turn (const RhyMap *map,
           double        length,
           double        middle,
           RhyAffine    *turn)
{
  RhyPoint a, b, a1, b1;
  if (!rhy_map_point (map, (RhyPoint) { 0.0, middle }, &a) || !rhy_map_point (map, (RhyPoint) { length, middle }, &b)
      || !rhy_map_point (map, (RhyPoint) { 0.0, middle + 2.0 * G_PI }, &a1)
      || !rhy_map_point (map, (RhyPoint) { length, middle + 2.0 * G_PI }, &b1))
    return FALSE;
  const double ux = b.x - a.x, uy = b.y - a.y, vx = b1.x - a1.x, vy = b1.y - a1.y;
  const double square = ux * ux + uy * uy;
  if (!(square > 0.0))
    return FALSE;
  const double c = (ux * vx + uy * vy) / square, s = (ux * vy - uy * vx) / square;
  *turn = (RhyAffine) { .xx = c, .yx = s, .xy = -s, .yy = c,
                        .x0 = a1.x - c * a.x + s * a.y, .y0 = a1.y - s * a.x - c * a.y };
  return TRUE;
}

static gboolean
reaches_over (const RhyPlan *plan,
              double         middle)
{
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  return numbers->angle_low_rad < middle - G_PI || numbers->angle_high_rad > middle + G_PI;
}

/* In a thread. */
static gpointer
lay_flat (gpointer      input,
          GCancellable *cancellable)
{
  const Order *order = input;
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (order->plan));
  const RhyMap *map = map_of (order->plan, order->space);
  const double length = rhy_wall_get_length (rhy_plan_get_wall (order->plan));
  const double middle = middle_of (order->plan, order->space);
  const RhyWallPoint anchor = rhy_plan_get_numbers (order->plan)->anchor;
  g_autoptr (GError) error = NULL;
  Flat *flat = g_new0 (Flat, 1);

  flat->plan = rhy_plan_ref (order->plan);
  flat->wall = rhy_path_new ();
  flat->front = rhy_path_new ();
  flat->zones = rhy_path_new ();
  add_patch (flat->wall, map, 0.0, length, middle - G_PI, middle + G_PI);
  /* The front: within the turn that is shown. */
  const double front = middle + remainder (-middle, 2.0 * G_PI);
  gboolean begun = FALSE;
  line_to (flat->front, map, 0.0, front, &begun);
  line_to (flat->front, map, length, front, &begun);
  for (gsize i = 0; i < data->n_zones; i++)
    add_zone (flat, map, &data->zones[i], middle);
  rhy_map_point (map, (RhyPoint) { anchor.s, anchor.angle }, &flat->mark);
  rhy_map_point (map, (RhyPoint) { 0.0, middle }, &flat->base);
  rhy_map_point (map, (RhyPoint) { length, middle }, &flat->rim);

  /* The bed is shown as the machine is given it: ink past the turn is run past it. */
  flat->reaches_over = order->space == RHY_SPACE_PATTERN && reaches_over (order->plan, middle)
                       && find_turn (map, length, middle, &flat->turn);
  flat->draft = order->draft;
  flat->art = order->draft ? rhy_plan_bend_dots (order->plan, order->space, &draft_dots, NULL, &error)
                           : rhy_plan_bend (order->plan, order->space, NULL, &error);
  if (flat->art == NULL)
    {
      flat->error = g_strdup (error->message);
      add_ink (flat, map);
    }
  flat->box = with_path (rhy_bounds_with (RHY_BOUNDS_EMPTY, flat->mark.x, flat->mark.y), flat->wall);
  return flat;
}

static gboolean
has_pictures (const RhyPlan *plan)
{
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    {
      const RhyArtwork *art = rhy_plan_get_artwork (rhy_plan_get_part (plan, i));
      for (gsize k = 0; k < rhy_artwork_get_n_shapes (art); k++)
        if (rhy_artwork_get_shape (art, k)->fill_paint != NULL || rhy_artwork_get_shape (art, k)->stroke_paint != NULL)
          return TRUE;
    }
  return FALSE;
}

static gpointer
gather (gpointer owner)
{
  RhytonFlatView *self = owner;
  RhytonDocument *document = rhyton_part_get_document (owner);
  RhyPlan *plan = document != NULL ? rhyton_document_get_plan (document) : NULL;

  if (plan == NULL)
    return NULL;
  const gboolean held = rhyton_document_is_held (document);
  if (self->flat != NULL && self->flat->plan == plan && (held || !self->flat->draft))
    return NULL;
  Order *order = g_new0 (Order, 1);
  order->plan = rhy_plan_ref (plan);
  order->space = self->space;
  order->draft = held && has_pictures (plan);
  return order;
}

static void
laid_flat (gpointer owner,
           gpointer result)
{
  RhytonFlatView *self = owner;

  g_clear_pointer (&self->flat, free_flat);
  self->flat = result;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = lay_flat,
  .done = laid_flat,
  .free_input = free_order,
  .free_result = free_flat,
};

/* Space to pixels: the box fitted into the widget, then zoomed and shifted. */
static RhyAffine
to_pixels (RhytonFlatView *self)
{
  const double width = gtk_widget_get_width (GTK_WIDGET (self));
  const double height = gtk_widget_get_height (GTK_WIDGET (self));
  const RhyBounds box = self->flat->box;
  const double box_width = MAX (box.max_x - box.min_x, 1e-3);
  const double box_height = MAX (box.max_y - box.min_y, 1e-3);
  const double fit = MIN (MAX (width - 2.0 * MARGIN_PX, 10.0) / box_width,
                          MAX (height - TOP_PX - BOTTOM_PX, 10.0) / box_height);
  const double scale = fit * self->zoom;
  /* y is up on the pattern, down on the bed as on the screen. */
  const double down = self->space == RHY_SPACE_PATTERN ? -scale : scale;
  return (RhyAffine) {
    .xx = scale,
    .yy = down,
    .x0 = 0.5 * width + self->pan_x - scale * 0.5 * (box.min_x + box.max_x),
    .y0 = 0.5 * (height + TOP_PX - BOTTOM_PX) + self->pan_y - down * 0.5 * (box.min_y + box.max_y),
  };
}

static RhyPoint
from_pixels (RhytonFlatView *self,
             double          x,
             double          y)
{
  const RhyAffine m = to_pixels (self);
  return (RhyPoint) { (x - m.x0) / m.xx, (y - m.y0) / m.yy };
}

static gboolean
pick (gpointer      view,
      double        x,
      double        y,
      RhyWallPoint *at)
{
  RhytonFlatView *self = view;
  RhyPoint wall;
  if (self->flat == NULL
      || !rhy_map_point_inverse (map_of (self->flat->plan, self->space), from_pixels (self, x, y), &wall))
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

  RhyPoint p;
  if (self->flat == NULL
      || !rhy_map_point (map_of (self->flat->plan, self->space), (RhyPoint) { at.s, at.angle }, &p))
    return FALSE;
  p = rhy_affine_apply (to_pixels (self), p);
  *x = p.x;
  *y = p.y;
  return TRUE;
}

void
rhyton_flat_view_point_at (RhytonFlatView     *self,
                           const RhyWallPoint *at)
{
  g_return_if_fail (RHYTON_IS_FLAT_VIEW (self));

  self->points = at != NULL;
  if (at != NULL)
    self->place = *at;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
set_colour (cairo_t *cr,
            GdkRGBA  colour,
            double   alpha)
{
  cairo_set_source_rgba (cr, colour.red, colour.green, colour.blue, colour.alpha * alpha);
}

/* Adds a path in the view's space; the pen stays in pixels. */
static void
add_path (cairo_t       *cr,
          RhyAffine      m,
          const RhyPath *path)
{
  const cairo_matrix_t matrix = { m.xx, m.yx, m.xy, m.yy, m.x0, m.y0 };
  cairo_save (cr);
  cairo_transform (cr, &matrix);
  rhyton_paint_path (cr, path);
  cairo_restore (cr);
}

static void
draw_wall (RhytonFlatView *self,
           cairo_t        *cr,
           RhyAffine       m,
           GdkRGBA         text)
{
  const double dash[] = { 5.0, 4.0 };

  add_path (cr, m, self->flat->wall);
  set_colour (cr, PAPER, 1.0);
  cairo_fill (cr);

  /* On paper, so in ink colour whatever the theme. */
  add_path (cr, m, self->flat->zones);
  cairo_set_source_rgba (cr, 0.0, 0.0, 0.0, 0.10);
  cairo_fill (cr);
  add_path (cr, m, self->flat->front);
  cairo_set_source_rgba (cr, 0.0, 0.0, 0.0, 0.45);
  cairo_set_line_width (cr, 1.0);
  cairo_set_dash (cr, dash, G_N_ELEMENTS (dash), 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);

  add_path (cr, m, self->flat->wall);
  set_colour (cr, text, 0.55);
  cairo_stroke (cr);
}

static void
draw_art (RhytonFlatView *self,
          cairo_t        *cr,
          RhyAffine       m,
          GdkRGBA         bad)
{
  if (self->flat->art != NULL)
    {
      const cairo_matrix_t matrix = { m.xx, m.yx, m.xy, m.yy, m.x0, m.y0 };
      const RhyAffine t = self->flat->turn;
      cairo_matrix_t turn = { t.xx, t.yx, t.xy, t.yy, t.x0, t.y0 };
      const gboolean over = self->flat->reaches_over;
      cairo_save (cr);
      if (over)
        {
          add_path (cr, m, self->flat->wall);
          cairo_clip (cr);
        }
      cairo_transform (cr, &matrix);
      rhy_brush_artwork (cr, self->flat->art, 0.8 / m.xx);
      for (int side = 0; over && side < 2; side++)
        {
          cairo_save (cr);
          cairo_transform (cr, &turn);
          rhy_brush_artwork (cr, self->flat->art, 0.8 / m.xx);
          cairo_restore (cr);
          cairo_matrix_invert (&turn);
        }
      cairo_restore (cr);
      return;
    }
  add_path (cr, m, self->flat->ink);
  set_colour (cr, bad, 0.8);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_width (cr, 2.0);
  cairo_stroke (cr);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
}

static void
draw_mark (RhytonFlatView *self,
           cairo_t        *cr,
           RhyAffine       m,
           GdkRGBA         colour)
{
  const RhyPoint p = rhy_affine_apply (m, self->flat->mark);
  const double arm = 9.0, gap = 3.0;

  for (int i = 0; i < 4; i++)
    {
      const double dx = i == 0 ? 1.0 : i == 1 ? -1.0 : 0.0;
      const double dy = i == 2 ? 1.0 : i == 3 ? -1.0 : 0.0;
      cairo_move_to (cr, p.x + gap * dx, p.y + gap * dy);
      cairo_line_to (cr, p.x + arm * dx, p.y + arm * dy);
    }
  /* It shows on black ink and on white paper alike. */
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.8);
  cairo_set_line_width (cr, 3.5);
  cairo_stroke_preserve (cr);
  set_colour (cr, colour, 1.0);
  cairo_set_line_width (cr, 1.5);
  cairo_stroke (cr);
}

/* Text near an end of the wall, just outside it. */
static void
draw_end (RhytonFlatView *self,
          cairo_t        *cr,
          RhyAffine       m,
          const char     *name,
          RhyPoint        end,
          RhyPoint        other,
          GdkRGBA         text)
{
  const RhyPoint p = rhy_affine_apply (m, end);
  const RhyPoint q = rhy_affine_apply (m, other);
  const double length = MAX (hypot (p.x - q.x, p.y - q.y), 1e-6);
  const double dx = (p.x - q.x) / length, dy = (p.y - q.y) / length;
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (GTK_WIDGET (self), name);
  g_autoptr (PangoAttrList) attributes = pango_attr_list_new ();
  int width, height;

  pango_attr_list_insert (attributes, pango_attr_scale_new (PANGO_SCALE_SMALL));
  pango_layout_set_attributes (layout, attributes);
  pango_layout_get_pixel_size (layout, &width, &height);
  cairo_save (cr);
  cairo_translate (cr, p.x + dx * 11.0, p.y + dy * 11.0);
  /* Along the edge: on the bed it may run down the page. */
  if (fabs (dx) > fabs (dy))
    cairo_rotate (cr, -0.5 * G_PI);
  cairo_move_to (cr, -0.5 * width, -0.5 * height);
  set_colour (cr, text, 0.75);
  pango_cairo_show_layout (cr, layout);
  cairo_restore (cr);
}

static void
draw_scale_bar (RhytonFlatView *self,
                cairo_t        *cr,
                RhyAffine       m,
                GdkRGBA         text)
{
  static const double lengths[] = { 0.1, 0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200 };
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const gboolean inches = document != NULL && rhyton_document_get_inches (document);
  const double unit_mm = inches ? 25.4 : 1.0;
  const double most_px = 0.3 * gtk_widget_get_width (GTK_WIDGET (self));
  const double y = gtk_widget_get_height (GTK_WIDGET (self)) - 8.5;
  double length = lengths[0];

  for (gsize i = 0; i < G_N_ELEMENTS (lengths); i++)
    if (lengths[i] * unit_mm * m.xx <= most_px)
      length = lengths[i];
  const double right = gtk_widget_get_width (GTK_WIDGET (self)) - 10.5;
  const double left = right - length * unit_mm * m.xx;
  cairo_move_to (cr, left, y - 4.0);
  cairo_line_to (cr, left, y);
  cairo_line_to (cr, right, y);
  cairo_line_to (cr, right, y - 4.0);
  set_colour (cr, text, 0.7);
  cairo_set_line_width (cr, 1.0);
  cairo_stroke (cr);

  g_autofree char *name = g_strdup_printf ("%g %s", length, inches ? "in" : "mm");
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (GTK_WIDGET (self), name);
  g_autoptr (PangoAttrList) attributes = pango_attr_list_new ();
  int width, height;
  pango_attr_list_insert (attributes, pango_attr_scale_new (PANGO_SCALE_SMALL));
  pango_layout_set_attributes (layout, attributes);
  pango_layout_get_pixel_size (layout, &width, &height);
  cairo_move_to (cr, left - width - 6.0, y - height + 3.0);
  pango_cairo_show_layout (cr, layout);
}

static gboolean locate (gpointer view, RhyWallPoint at, double *x, double *y);

static void
rhyton_flat_view_snapshot (GtkWidget   *widget,
                           GtkSnapshot *snapshot)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (widget);
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (widget));
  const int width = gtk_widget_get_width (widget);
  const int height = gtk_widget_get_height (widget);
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  GdkRGBA text, accent, bad;

  if (self->flat == NULL)
    {
      rhyton_look_write (widget, snapshot,
                         document != NULL ? rhyton_document_get_trouble (document) : NULL);
      return;
    }
  gtk_style_context_get_color (style, &text);
  accent = bad = text;
  gtk_style_context_lookup_color (style, "theme_selected_bg_color", &accent);
  gtk_style_context_lookup_color (style, "error_color", &bad);

  const graphene_rect_t area = GRAPHENE_RECT_INIT (0, 0, (float) width, (float) height);
  const RhyAffine m = to_pixels (self);
  cairo_t *cr = gtk_snapshot_append_cairo (snapshot, &area);
  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  draw_wall (self, cr, m, text);
  draw_art (self, cr, m, bad);
  if (self->space == RHY_SPACE_BED)
    draw_mark (self, cr, m, accent);
  draw_end (self, cr, m, "rim", self->flat->rim, self->flat->base, text);
  draw_end (self, cr, m, "base", self->flat->base, self->flat->rim, text);
  draw_scale_bar (self, cr, m, text);
  rhyton_hand_draw (&self->hand, cr);
  if (self->points)
    rhyton_frame_ring (widget, cr, locate, self->place);
  cairo_destroy (cr);
}

static double
get_slack_mm (gpointer view)
{
  RhytonFlatView *self = view;
  return self->flat != NULL ? GRIP_SLACK_PX / to_pixels (self).xx : 0.0;
}

static gboolean
locate (gpointer      view,
        RhyWallPoint  at,
        double       *x,
        double       *y)
{
  return rhyton_flat_view_locate (view, at, x, y);
}

static RhyPlan *
get_plan (gpointer view)
{
  const RhytonFlatView *self = view;
  return self->flat != NULL ? self->flat->plan : NULL;
}

static double
get_middle (gpointer view)
{
  const RhytonFlatView *self = view;
  return self->flat != NULL ? middle_of (self->flat->plan, self->space) : 0.0;
}

/* The bed drawing is about the mark, which is the first artwork's anchor. */
static gboolean
keeps_mark (gpointer view)
{
  return RHYTON_FLAT_VIEW (view)->space == RHY_SPACE_BED;
}

static const RhytonHandClass hand_class = {
  .get_plan = get_plan,
  .locate = locate,
  .pick = pick,
  .get_slack_mm = get_slack_mm,
  .get_middle = get_middle,
  .keeps_mark = keeps_mark,
};

static void
on_drag_begin (GtkGestureDrag *gesture,
               double          x,
               double          y,
               RhytonFlatView *self)
{
  gtk_widget_grab_focus (GTK_WIDGET (self));
  self->drag_pan_x = self->pan_x;
  self->drag_pan_y = self->pan_y;
  rhyton_hand_take (&self->hand, x, y);
}

static void
on_drag_update (GtkGestureDrag *gesture,
                double          dx,
                double          dy,
                RhytonFlatView *self)
{
  if (rhyton_hand_drag (&self->hand, dx, dy, gtk_event_controller_get_current_event_state (GTK_EVENT_CONTROLLER (gesture))))
    return;
  self->pan_x = self->drag_pan_x + dx;
  self->pan_y = self->drag_pan_y + dy;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static void
on_drag_end (GtkGestureDrag *gesture,
             double          dx,
             double          dy,
             RhytonFlatView *self)
{
  rhyton_hand_drop (&self->hand);
}

static void
on_motion (GtkEventControllerMotion *controller,
           double                    x,
           double                    y,
           RhytonFlatView           *self)
{
  self->pointer_x = x;
  self->pointer_y = y;
  rhyton_hand_hover (&self->hand, x, y);
}

static void
on_leave (GtkEventControllerMotion *controller,
          RhytonFlatView           *self)
{
  rhyton_hand_leave (&self->hand);
}

/* What is at (x, y) stays there. */
static void
zoom_about (RhytonFlatView *self,
            double          factor,
            double          x,
            double          y)
{
  const double width = gtk_widget_get_width (GTK_WIDGET (self));
  const double height = gtk_widget_get_height (GTK_WIDGET (self));
  const double zoom = CLAMP (self->zoom * factor, ZOOM_MIN, ZOOM_MAX);
  const double grown = zoom / self->zoom;

  self->pan_x = (x - 0.5 * width) - grown * (x - 0.5 * width - self->pan_x);
  const double middle = 0.5 * (height + TOP_PX - BOTTOM_PX);
  self->pan_y = (y - middle) - grown * (y - middle - self->pan_y);
  self->zoom = zoom;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

static gboolean
on_scroll (GtkEventControllerScroll *controller,
           double                    dx,
           double                    dy,
           RhytonFlatView           *self)
{
  zoom_about (self, pow (SCROLL_ZOOM, -dy), self->pointer_x, self->pointer_y);
  return GDK_EVENT_STOP;
}

static gboolean
on_key (GtkEventControllerKey *controller,
        guint                  keyval,
        guint                  keycode,
        GdkModifierType        state,
        RhytonFlatView        *self)
{
  const double x = 0.5 * gtk_widget_get_width (GTK_WIDGET (self));
  const double y = 0.5 * gtk_widget_get_height (GTK_WIDGET (self));

  if (state & GDK_CONTROL_MASK)
    return GDK_EVENT_PROPAGATE;
  switch (keyval)
    {
    case GDK_KEY_plus:
    case GDK_KEY_equal:
    case GDK_KEY_KP_Add:
      zoom_about (self, SCROLL_ZOOM, x, y);
      return GDK_EVENT_STOP;
    case GDK_KEY_minus:
    case GDK_KEY_KP_Subtract:
      zoom_about (self, 1.0 / SCROLL_ZOOM, x, y);
      return GDK_EVENT_STOP;
    default:
      return rhyton_hand_key (&self->hand, keyval, state);
    }
}

void
rhyton_flat_view_fit (RhytonFlatView *self)
{
  g_return_if_fail (RHYTON_IS_FLAT_VIEW (self));

  self->zoom = 1.0;
  self->pan_x = self->pan_y = 0.0;
  gtk_widget_queue_draw (GTK_WIDGET (self));
}

RhyArtwork *
rhyton_flat_view_get_art (RhytonFlatView *self)
{
  g_return_val_if_fail (RHYTON_IS_FLAT_VIEW (self), NULL);
  return self->flat != NULL ? self->flat->art : NULL;
}

gboolean
rhyton_flat_view_is_busy (RhytonFlatView *self)
{
  g_return_val_if_fail (RHYTON_IS_FLAT_VIEW (self), FALSE);
  return self->worker != NULL && rhyton_worker_is_busy (self->worker);
}

static void
tell_selected (RhytonFlatView *self)
{
  g_autofree char *selected = rhyton_hand_describe (&self->hand);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, selected, -1);
}

static void
rhyton_flat_view_job_changed (RhytonPart *part)
{
  tell_selected (RHYTON_FLAT_VIEW (part));
  /* The scale bar may be in another unit now, or the frame round another artwork. */
  gtk_widget_queue_draw (GTK_WIDGET (part));
}

static void
rhyton_flat_view_plan_changed (RhytonPart *part)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (part);

  tell_selected (self);
  if (rhyton_document_get_plan (rhyton_part_get_document (part)) == NULL)
    {
      g_clear_pointer (&self->flat, free_flat);
      gtk_widget_queue_draw (GTK_WIDGET (self));
    }
  if (self->worker != NULL)
    rhyton_worker_request (self->worker);
}

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
rhyton_flat_view_dispose (GObject *object)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (object);

  g_clear_pointer (&self->worker, rhyton_worker_free);
  rhyton_hand_clear (&self->hand);
  gtk_widget_dispose_template (GTK_WIDGET (self), RHYTON_TYPE_FLAT_VIEW);
  G_OBJECT_CLASS (rhyton_flat_view_parent_class)->dispose (object);
}

static void
rhyton_flat_view_finalize (GObject *object)
{
  RhytonFlatView *self = RHYTON_FLAT_VIEW (object);

  g_clear_pointer (&self->flat, free_flat);
  G_OBJECT_CLASS (rhyton_flat_view_parent_class)->finalize (object);
}

static void
rhyton_flat_view_class_init (RhytonFlatViewClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->set_property = rhyton_flat_view_set_property;
  object_class->dispose = rhyton_flat_view_dispose;
  object_class->finalize = rhyton_flat_view_finalize;
  widget_class->snapshot = rhyton_flat_view_snapshot;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_flat_view_job_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_flat_view_plan_changed;

  /* %RHY_SPACE_PATTERN or %RHY_SPACE_BED */
  properties[PROP_SPACE] = g_param_spec_int ("space", NULL, NULL, RHY_SPACE_PATTERN, RHY_SPACE_BED,
                                             RHY_SPACE_PATTERN,
                                             G_PARAM_WRITABLE | G_PARAM_CONSTRUCT_ONLY | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  gtk_widget_class_set_accessible_role (widget_class, GTK_ACCESSIBLE_ROLE_IMG);
  gtk_widget_class_set_css_name (widget_class, "view-picture");
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-flat-view.ui");
  gtk_widget_class_bind_template_callback (widget_class, on_drag_begin);
  gtk_widget_class_bind_template_callback (widget_class, on_drag_update);
  gtk_widget_class_bind_template_callback (widget_class, on_drag_end);
  gtk_widget_class_bind_template_callback (widget_class, on_motion);
  gtk_widget_class_bind_template_callback (widget_class, on_leave);
  gtk_widget_class_bind_template_callback (widget_class, on_scroll);
  gtk_widget_class_bind_template_callback (widget_class, on_key);
}

static void
rhyton_flat_view_init (RhytonFlatView *self)
{
  self->zoom = 1.0;
  self->hand = (RhytonHand) { .klass = &hand_class, .view = RHYTON_PART (self) };
  self->worker = rhyton_worker_new (&worker_class, self);
  gtk_widget_init_template (GTK_WIDGET (self));
}
