/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-frame.h"

#include <math.h>

/* Wide enough that what it is about stays seen in it. */
#define RING_PX 16.0
#define HANDLE_PX 4.5
#define HIT_PX 9.0
/* How far above the artwork the turn knob is, of the artwork's height. */
#define KNOB_RISE 0.18
#define TICK_PX 5.0
/* In a narrower view words would hide what the line is about; they are at the foot, too. */
#define WORDS_PX 300
#define N_SIDE 24
#define N_ROUND 120

static gboolean
wall_at (const RhyPlan *plan,
         double         u,
         double         v,
         RhyWallPoint  *at)
{
  RhyPoint wall;
  if (!rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { u, v }, &wall))
    return FALSE;
  *at = (RhyWallPoint) { wall.x, wall.y };
  return TRUE;
}

static RhyPoint
corner_of (RhyBounds box,
           int       corner)
{
  return (RhyPoint) { corner == 1 || corner == 2 ? box.max_x : box.min_x, corner >= 2 ? box.max_y : box.min_y };
}

static RhyPoint
knob_of (RhyBounds box)
{
  return (RhyPoint) { 0.5 * (box.min_x + box.max_x), box.max_y + KNOB_RISE * (box.max_y - box.min_y) };
}

gboolean
rhyton_frame_corner (const RhyPlan *plan,
                     int            corner,
                     RhyWallPoint  *at)
{
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  const RhyPoint art = corner_of (box, corner);
  return !rhy_bounds_is_empty (box) && wall_at (plan, art.x, art.y, at);
}

gboolean
rhyton_frame_knob (const RhyPlan *plan,
                   RhyWallPoint  *at)
{
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  const RhyPoint art = knob_of (box);
  return !rhy_bounds_is_empty (box) && wall_at (plan, art.x, art.y, at);
}

static gboolean
is_near (RhytonLocate locate,
         gpointer     view,
         RhyWallPoint at,
         double       x,
         double       y,
         double       within_px)
{
  double px, py;
  return locate (view, at, &px, &py) && hypot (px - x, py - y) <= within_px;
}

/* Of artwork that is shown so small that its handles meet, the middle still moves it. */
static double
hit_distance (const RhyPlan *plan,
              RhytonLocate   locate,
              gpointer       view,
              double         x,
              double         y)
{
  double px, py;
  if (!locate (view, rhy_plan_get_numbers (plan)->anchor, &px, &py))
    return HIT_PX;
  return MIN (HIT_PX, hypot (px - x, py - y));
}

RhytonHandle
rhyton_frame_hit (const RhyPlan *plan,
                  RhytonLocate   locate,
                  gpointer       view,
                  double         x,
                  double         y)
{
  const double within_px = hit_distance (plan, locate, view, x, y);
  RhyWallPoint at;

  if (rhyton_frame_knob (plan, &at) && is_near (locate, view, at, x, y, within_px))
    return RHYTON_HANDLE_TURN;
  for (int corner = 0; corner < 4; corner++)
    if (rhyton_frame_corner (plan, corner, &at) && is_near (locate, view, at, x, y, within_px))
      return RHYTON_HANDLE_CORNER;
  return RHYTON_HANDLE_NONE;
}

/* One side of the frame, broken where it is not seen. */
static void
add_side (cairo_t       *cr,
          const RhyPlan *plan,
          RhytonLocate   locate,
          gpointer       view,
          RhyPoint       from,
          RhyPoint       to)
{
  gboolean drawing = FALSE;

  for (int i = 0; i <= N_SIDE; i++)
    {
      const double t = (double) i / N_SIDE;
      RhyWallPoint at;
      double x, y;
      const gboolean seen = wall_at (plan, from.x + t * (to.x - from.x), from.y + t * (to.y - from.y), &at)
                            && locate (view, at, &x, &y);
      if (seen && drawing)
        cairo_line_to (cr, x, y);
      else if (seen)
        cairo_move_to (cr, x, y);
      drawing = seen;
    }
}

/* Over any artwork and material: a dark line in a light one, or the other way. */
static void
stroke_twice (cairo_t       *cr,
              const GdkRGBA *accent,
              double         width)
{
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.75);
  cairo_set_line_width (cr, width + 2.0);
  cairo_stroke_preserve (cr);
  gdk_cairo_set_source_rgba (cr, accent);
  cairo_set_line_width (cr, width);
  cairo_stroke (cr);
}

static void
draw_knobs (cairo_t       *cr,
            const RhyPlan *plan,
            RhytonLocate   locate,
            gpointer       view,
            const GdkRGBA *accent)
{
  RhyWallPoint at;
  double x, y;

  for (int corner = 0; corner < 4; corner++)
    if (rhyton_frame_corner (plan, corner, &at) && locate (view, at, &x, &y))
      cairo_rectangle (cr, x - HANDLE_PX, y - HANDLE_PX, 2.0 * HANDLE_PX, 2.0 * HANDLE_PX);
  if (rhyton_frame_knob (plan, &at) && locate (view, at, &x, &y))
    {
      cairo_new_sub_path (cr);
      cairo_arc (cr, x, y, HANDLE_PX + 0.5, 0.0, 2.0 * G_PI);
    }
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.95);
  cairo_fill_preserve (cr);
  gdk_cairo_set_source_rgba (cr, accent);
  cairo_set_line_width (cr, 1.5);
  cairo_stroke (cr);
}

/* Text on a ground of its own with its middle at (x, y), moved into the widget. */
static void
write_at (GtkWidget   *widget,
          cairo_t     *cr,
          PangoLayout *layout,
          double       x,
          double       y)
{
  const double padding = 4.0;
  PangoRectangle box;
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  GdkRGBA text, ground;

  pango_layout_get_pixel_extents (layout, NULL, &box);
  const double most_x = gtk_widget_get_width (widget) - box.width - 2.0 * padding;
  const double most_y = gtk_widget_get_height (widget) - box.height - padding;
  x = CLAMP (x - 0.5 * box.width, 2.0 * padding, MAX (most_x, 2.0 * padding));
  y = CLAMP (y - 0.5 * box.height, padding, MAX (most_y, padding));
  gtk_style_context_get_color (style, &text);
  ground = (GdkRGBA) { 1.0f - text.red, 1.0f - text.green, 1.0f - text.blue, 1.0f };
  gtk_style_context_lookup_color (style, "theme_bg_color", &ground);
  ground.alpha = 0.88f;
  gdk_cairo_set_source_rgba (cr, &ground);
  cairo_rectangle (cr, x - 2.0 * padding, y - padding, box.width + 4.0 * padding, box.height + 2.0 * padding);
  cairo_fill (cr);
  gdk_cairo_set_source_rgba (cr, &text);
  cairo_move_to (cr, x - box.x, y - box.y);
  pango_cairo_show_layout (cr, layout);
}

void
rhyton_frame_note (GtkWidget  *widget,
                   cairo_t    *cr,
                   const char *note)
{
  const int width = gtk_widget_get_width (widget), height = gtk_widget_get_height (widget);
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (widget, note);
  PangoRectangle box;

  pango_layout_set_width (layout, MAX (width - 24, 24) * PANGO_SCALE);
  pango_layout_set_alignment (layout, PANGO_ALIGN_CENTER);
  pango_layout_get_pixel_extents (layout, NULL, &box);
  write_at (widget, cr, layout, 0.5 * width, height - 18.0 - 0.5 * box.height);
}

static GdkRGBA
accent_of (GtkWidget *widget)
{
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  GdkRGBA accent;

  gtk_style_context_get_color (style, &accent);
  gtk_style_context_lookup_color (style, "theme_selected_bg_color", &accent);
  return accent;
}

void
rhyton_frame_outline (GtkWidget     *widget,
                      cairo_t       *cr,
                      const RhyPlan *plan,
                      RhytonLocate   locate)
{
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  const GdkRGBA accent = accent_of (widget);

  if (rhy_bounds_is_empty (box))
    return;
  for (int corner = 0; corner < 4; corner++)
    add_side (cr, plan, locate, widget, corner_of (box, corner), corner_of (box, (corner + 1) % 4));
  stroke_twice (cr, &accent, 1.0);
}

void
rhyton_frame_draw (GtkWidget     *widget,
                   cairo_t       *cr,
                   const RhyPlan *plan,
                   RhytonLocate   locate)
{
  const RhyBounds box = rhy_artwork_get_ink_box (rhy_plan_get_artwork (plan));
  const GdkRGBA accent = accent_of (widget);

  if (rhy_bounds_is_empty (box))
    return;
  for (int corner = 0; corner < 4; corner++)
    add_side (cr, plan, locate, widget, corner_of (box, corner), corner_of (box, (corner + 1) % 4));
  add_side (cr, plan, locate, widget, (RhyPoint) { 0.5 * (box.min_x + box.max_x), box.max_y }, knob_of (box));
  stroke_twice (cr, &accent, 1.0);
  draw_knobs (cr, plan, locate, widget, &accent);
}

/* A line on the wall, broken where it is not seen. */
static void
add_wall_line (cairo_t      *cr,
               RhytonLocate  locate,
               gpointer      view,
               RhyWallPoint  from,
               RhyWallPoint  to)
{
  gboolean drawing = FALSE;

  for (int i = 0; i <= N_ROUND; i++)
    {
      const double t = (double) i / N_ROUND;
      const RhyWallPoint at = { from.s + t * (to.s - from.s), from.angle + t * (to.angle - from.angle) };
      double x, y;
      const gboolean seen = locate (view, at, &x, &y);
      if (seen && drawing)
        cairo_line_to (cr, x, y);
      else if (seen)
        cairo_move_to (cr, x, y);
      drawing = seen;
    }
}

/* Where what is seen of a line begins and ends. */
static gboolean
ends_seen (RhytonLocate        locate,
           gpointer            view,
           const RhyWallPoint  line[2],
           RhyPoint           *first,
           RhyPoint           *last)
{
  gboolean any = FALSE;

  for (int i = 0; i <= N_ROUND; i++)
    {
      const double t = (double) i / N_ROUND;
      const RhyWallPoint at = { line[0].s + t * (line[1].s - line[0].s),
                                line[0].angle + t * (line[1].angle - line[0].angle) };
      RhyPoint p;
      if (!locate (view, at, &p.x, &p.y))
        continue;
      if (!any)
        *first = p;
      *last = p;
      any = TRUE;
    }
  return any;
}

static void
add_tick (cairo_t  *cr,
          RhyPoint  at,
          RhyPoint  other)
{
  const double length = MAX (hypot (other.x - at.x, other.y - at.y), 1e-6);
  const double across_x = -(other.y - at.y) / length * TICK_PX, across_y = (other.x - at.x) / length * TICK_PX;

  cairo_move_to (cr, at.x - across_x, at.y - across_y);
  cairo_line_to (cr, at.x + across_x, at.y + across_y);
}

/* In the middle of a distance, beside it where it is short; beyond the end of a line. */
static void
write_words (GtkWidget  *widget,
             cairo_t    *cr,
             const char *words,
             RhyPoint    from,
             RhyPoint    to,
             gboolean    is_distance)
{
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (widget, words);
  g_autoptr (PangoAttrList) attributes = pango_attr_list_new ();
  const gboolean across = fabs (to.x - from.x) > fabs (to.y - from.y);
  const double length = MAX (hypot (to.x - from.x, to.y - from.y), 1e-6);
  int width, height;

  pango_attr_list_insert (attributes, pango_attr_scale_new (PANGO_SCALE_SMALL));
  pango_layout_set_attributes (layout, attributes);
  pango_layout_get_pixel_size (layout, &width, &height);
  RhyPoint at = { 0.5 * (from.x + to.x), 0.5 * (from.y + to.y) };
  if (!is_distance)
    at = (RhyPoint) { to.x + (to.x - from.x) / length * (0.5 * width + 12.0),
                      to.y + (to.y - from.y) / length * (0.5 * height + 12.0) };
  else if (across && fabs (to.x - from.x) < width + 30.0)
    at.y -= 0.5 * height + TICK_PX + 8.0;
  else if (!across && fabs (to.y - from.y) < height + 30.0)
    at.x += 0.5 * width + TICK_PX + 12.0;
  write_at (widget, cr, layout, at.x, at.y);
}

void
rhyton_frame_guide (GtkWidget          *widget,
                    cairo_t            *cr,
                    RhytonLocate        locate,
                    const RhyWallPoint  line[2],
                    gboolean            is_distance,
                    const char         *words)
{
  const double dash[] = { 6.0, 4.0 };
  const GdkRGBA accent = accent_of (widget);
  RhyPoint first, last;

  if (!ends_seen (locate, widget, line, &first, &last))
    return;
  add_wall_line (cr, locate, widget, line[0], line[1]);
  if (is_distance)
    {
      add_tick (cr, first, last);
      add_tick (cr, last, first);
    }
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.75);
  cairo_set_line_width (cr, 3.5);
  cairo_stroke_preserve (cr);
  gdk_cairo_set_source_rgba (cr, &accent);
  cairo_set_line_width (cr, 1.5);
  cairo_set_dash (cr, dash, is_distance ? 0 : G_N_ELEMENTS (dash), 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);
  /* What is held is described at the foot. */
  const gboolean turned = !is_distance && first.y < last.y;
  if (is_distance || gtk_widget_get_width (widget) >= WORDS_PX)
    write_words (widget, cr, words, turned ? last : first, turned ? first : last, is_distance);
}

void
rhyton_frame_outline_zone (GtkWidget     *widget,
                           cairo_t       *cr,
                           const RhyPlan *plan,
                           gsize          i,
                           RhytonLocate   locate)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  RhyWall *wall = rhy_plan_get_wall (plan);
  const GdkRGBA accent = accent_of (widget);
  RhyRing low = { .s_mm = 0.0 }, high = { .s_mm = rhy_wall_get_length (wall) };

  if (i >= data->n_zones)
    return;
  const RhyZone *zone = &data->zones[i];
  rhy_wall_at_height (wall, zone->from_mm, &low);
  rhy_wall_at_height (wall, zone->to_mm, &high);
  const double left = zone->centre_rad - 0.5 * zone->width_rad, right = zone->centre_rad + 0.5 * zone->width_rad;
  add_wall_line (cr, locate, widget, (RhyWallPoint) { low.s_mm, left }, (RhyWallPoint) { low.s_mm, right });
  add_wall_line (cr, locate, widget, (RhyWallPoint) { high.s_mm, left }, (RhyWallPoint) { high.s_mm, right });
  if (zone->width_rad < 2.0 * G_PI - 1e-9)
    {
      add_wall_line (cr, locate, widget, (RhyWallPoint) { low.s_mm, left }, (RhyWallPoint) { high.s_mm, left });
      add_wall_line (cr, locate, widget, (RhyWallPoint) { low.s_mm, right }, (RhyWallPoint) { high.s_mm, right });
    }
  stroke_twice (cr, &accent, 1.5);
}

void
rhyton_frame_ring (GtkWidget    *widget,
                   cairo_t      *cr,
                   RhytonLocate  locate,
                   RhyWallPoint  at)
{
  GdkRGBA colour;
  double x, y;

  if (!locate (widget, at, &x, &y))
    return;
  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &colour);
  gtk_style_context_lookup_color (gtk_widget_get_style_context (widget), "error_color", &colour);
  /* White below, or it is lost on dark steel. */
  cairo_new_sub_path (cr);
  cairo_arc (cr, x, y, RING_PX, 0.0, 2.0 * G_PI);
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.8);
  cairo_set_line_width (cr, 6.0);
  cairo_stroke_preserve (cr);
  gdk_cairo_set_source_rgba (cr, &colour);
  cairo_set_line_width (cr, 3.0);
  cairo_stroke (cr);
}
