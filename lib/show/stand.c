/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/stand.h>

#include <math.h>
#include <string.h>

#include <rhyton/holds.h>
#include <rhyton/scene.h>

#include "../art/late-cairo.h"
#include "elevation.h"
#include "late-pango.h"

/* Of a chuck that is longer than any head is wide, this much is drawn; of a head's body too. */
#define CHUCK_DRAWN_MM 25.0
#define BODY_DRAWN_MM  35.0
/* A support roller's half width. */
#define ROLLER_DRAWN_MM 10.0

#define HATCH_MM 4.0

/* Radius of the ring about where things come nearest, in units of the picture. */
#define RING 5.0

static const RhyStandLook on_paper = { .ink = { 0.20, 0.23, 0.27, 1 }, .paper = { 0.965, 0.957, 0.937, 1 } };
static const RhyColour glaze = { 0.78, 0.81, 0.85, 1 };
static const RhyColour metal = { 0.45, 0.49, 0.54, 1 };
static const RhyColour clay = { 0.70, 0.55, 0.42, 1 };
static const RhyColour tool = { 0.22, 0.45, 0.56, 1 };
static const RhyColour amber = { 0.85, 0.58, 0.13, 1 };
static const RhyColour red = { 0.78, 0.19, 0.15, 1 };

typedef struct
{
  RhyPlan          *plan;
  const RhyJobData *d;
  RhyWall          *wall;
  RhyWallPoint      at;
  RhyHolding       *here;       /* with the beam there and nowhere else */
  RhyHolding       *all;        /* over the drawing */
  double            cos_t, sin_t, held_z;
  double            tip;        /* nozzle's tip over the axis at the held end; NAN: not known */
  const RhyStandLook *look;
  cairo_t          *cr;
  double            text_px;
} Stand;

/* What is told of the machine there; bad: something meets. */
typedef struct
{
  char    *text;
  gboolean bad;
} Line;

/* ---- pens ---- */

static void
set_colour (Stand    *s,
            RhyColour c)
{
  cairo_set_source_rgba (s->cr, c.r, c.g, c.b, c.a);
}

static void
fill_and_line (Stand    *s,
               RhyColour c)
{
  set_colour (s, c);
  cairo_fill_preserve (s->cr);
  set_colour (s, s->look->ink);
  cairo_set_line_width (s->cr, 1.2);
  cairo_stroke (s->cr);
}

/* One line; returns its height. */
static double
write_line (Stand      *s,
            double      x,
            double      y,
            RhyColour   c,
            const char *text)
{
  PangoLayout *layout = pango_cairo_create_layout (s->cr);
  PangoFontDescription *font = pango_font_description_from_string ("Sans");
  int height = 0;
  pango_font_description_set_absolute_size (font, s->text_px * PANGO_SCALE);
  pango_layout_set_font_description (layout, font);
  pango_layout_set_text (layout, text, -1);
  pango_layout_get_pixel_size (layout, NULL, &height);
  set_colour (s, c);
  cairo_move_to (s->cr, x, y);
  pango_cairo_show_layout (s->cr, layout);
  pango_font_description_free (font);
  g_object_unref (layout);
  return height;
}

static double
degrees (double rad)
{
  return rad / G_PI * 180.0;
}

static RhyColour
body_colour (const Stand *s,
             int          body)
{
  const RhyBody *b = &s->here->bodies[body];
  const double margin = MAX (b->margin_mm, RHY_CLEARANCE_MARGIN_MM);
  const double least = MIN (s->here->head[body + 1].distance_mm, s->here->bed[body + 1].distance_mm);
  if (least <= 0.0)
    return red;
  if (least < margin)
    return amber;
  return b->kind == RHY_ZONE_JAWS || b->kind == RHY_ZONE_TAILSTOCK ? metal : clay;
}

static RhyColour
head_colour (const Stand *s)
{
  const double least = rhy_holding_least (s->here, s->here->head, -1).distance_mm;
  return least <= 0.0 ? red : least < RHY_CLEARANCE_MARGIN_MM ? amber : tool;
}

/* ---- rollers under the work ---- */

/* Their radius and how far from straight down they touch, at a ring; 0: none, or not known. */
static double
roller_of (const Stand *s,
           RhyRing     *ring,
           double      *seat)
{
  const RhyJobData *d = s->d;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (s->plan);
  const double length = rhy_wall_get_length (s->wall);
  const gboolean drive = d->hold.drive == RHY_DRIVE_ROLLERS;
  if (!(d->machine.roller_radius_mm > 0.0) || (!drive && (d->hold.drive != RHY_DRIVE_CHUCK || d->hold.support != RHY_SUPPORT_ROLLER)))
    return 0.0;
  const double height = drive ? d->hold.contact_height_mm : d->hold.support_height_mm;
  *ring = rhy_wall_at (s->wall, drive ? n->anchor.s : d->hold.end == RHY_END_BASE ? 0.75 * length : 0.25 * length);
  if (!isnan (height))
    rhy_wall_at_height (s->wall, height, ring);
  *seat = drive ? rhy_rollers_seat (ring->r_mm, d->machine.roller_radius_mm, d->machine.roller_gap_mm) : 0.0;
  return isnan (*seat) ? 0.0 : d->machine.roller_radius_mm;
}

static RhyColour
roller_colour (const Stand *s)
{
  for (gsize i = 0; i < s->here->n_bodies; i++)
    if (s->here->rollers[i])
      return red;
  return metal;
}

/* ---- from the side: x along the bed, h over the axis at the held end ---- */

typedef struct { double x0, y0, scale; } View;

static void
side_point (const Stand *s,
            const View  *v,
            double       z,
            double       up,
            double      *x,
            double      *y)
{
  z -= s->held_z;
  *x = v->x0 + v->scale * (z * s->cos_t + up * s->sin_t);
  *y = v->y0 - v->scale * (up * s->cos_t - z * s->sin_t);
}

static void
side_to (Stand      *s,
         const View *v,
         double      z,
         double      up)
{
  double x, y;
  side_point (s, v, z, up, &x, &y);
  cairo_line_to (s->cr, x, y);
}

static double
radius_at (const Stand *s,
           double       z)
{
  RhyRing ring;
  const double length = rhy_wall_get_length (s->wall);
  if (rhy_wall_at_height (s->wall, z, &ring))
    return ring.r_mm;
  return rhy_wall_at (s->wall, z < rhy_wall_at (s->wall, 0.0).z_mm ? 0.0 : length).r_mm;
}

static void
trace_side (Stand      *s,
            const View *v,
            double      z0,
            double      z1,
            double      out,
            double      radius,
            double      top,
            double      bottom)
{
  /* Above the axis a sector ends at its outer face, below it too; its other end is at the wall. */
  const double out_top = top > 0.0 ? out : 0.0;
  const double out_bottom = bottom < 0.0 ? out : 0.0;
  cairo_new_path (s->cr);
  for (int i = 0; i <= 64; i++)
    {
      const double z = z0 + (z1 - z0) * i / 64;
      side_to (s, v, z, top * (radius > 0.0 ? radius : radius_at (s, z) + out_top));
    }
  for (int i = 64; i >= 0; i--)
    {
      const double z = z0 + (z1 - z0) * i / 64;
      side_to (s, v, z, bottom * (radius > 0.0 ? radius : radius_at (s, z) + out_bottom));
    }
  cairo_close_path (s->cr);
}

static void
body_span (const Stand   *s,
           const RhyBody *b,
           double        *z0,
           double        *z1)
{
  const double base = rhy_wall_at (s->wall, 0.0).z_mm;
  const double rim = rhy_wall_at (s->wall, rhy_wall_get_length (s->wall)).z_mm;
  *z0 = MAX (b->from_mm, MIN (base, b->to_mm) - CHUCK_DRAWN_MM);
  *z1 = MIN (b->to_mm, MAX (rim, b->from_mm) + CHUCK_DRAWN_MM);
}

/* Cosines of what of a sector is highest and lowest with @turn on top. */
static void
heights_of (const RhyBody *b,
            double         turn,
            double        *top,
            double        *bottom)
{
  const double middle = fabs (remainder (b->centre_rad - turn, 2.0 * G_PI));
  const double half = MIN (0.5 * b->width_rad, G_PI);
  *top = cos (MAX (0.0, middle - half));
  *bottom = cos (MIN (G_PI, middle + half));
}

static void
draw_bodies_from_side (Stand      *s,
                       const View *v,
                       gboolean    behind)
{
  for (gsize i = 0; i < s->here->n_bodies; i++)
    {
      const RhyBody *b = &s->here->bodies[i];
      double z0, z1, top, bottom;
      const gboolean round = !(b->width_rad < 2.0 * G_PI);
      if (round == behind)
        continue;
      body_span (s, b, &z0, &z1);
      heights_of (b, s->at.angle, &top, &bottom);
      trace_side (s, v, z0, z1, b->stand_mm, b->radius_mm, top, bottom);
      fill_and_line (s, body_colour (s, (int) i));
    }
}

/* Diagonal lines over what has been traced, which is kept as a clip and then dropped. */
static void
hatch (Stand    *s,
       double    x0,
       double    y0,
       double    x1,
       double    y1,
       double    step,
       RhyColour c)
{
  rhy_elevation_hatch (s->cr, x0, y0, x1, y1, step, c);
}

static void
hatch_side (Stand      *s,
            const View *v,
            double      z0,
            double      z1)
{
  double x0, y0, x1, y1;
  if (!(z1 > z0 + 0.01))
    return;
  trace_side (s, v, z0, z1, 0.0, 0.0, 1.0, -1.0);
  cairo_path_extents (s->cr, &x0, &y0, &x1, &y1);
  hatch (s, x0, y0, x1, y1, MAX (6.0, HATCH_MM * v->scale), amber);
}

static void
draw_head (Stand      *s,
           const View *v,
           double      x)
{
  const RhyHead head = { s->d->machine.working_distance_mm, s->d->machine.nozzle_radius_mm, s->d->machine.head_half_width_mm,
                         isnan (s->d->machine.head_height_mm) ? 0.0 : s->d->machine.head_height_mm };
  const double tip = v->y0 - v->scale * s->tip;
  const double body = tip - v->scale * head.body_height_mm;
  const double k = v->scale;
  cairo_rectangle (s->cr, x - k * head.nozzle_radius_mm, body, 2.0 * k * head.nozzle_radius_mm, tip - body);
  fill_and_line (s, head_colour (s));
  cairo_rectangle (s->cr, x - k * head.body_half_width_mm, body - v->scale * BODY_DRAWN_MM, 2.0 * k * head.body_half_width_mm,
                   v->scale * BODY_DRAWN_MM);
  fill_and_line (s, head_colour (s));
  set_colour (s, red);
  cairo_set_line_width (s->cr, 1.5);
  cairo_move_to (s->cr, x, tip);
  cairo_line_to (s->cr, x, tip + v->scale * head.working_distance_mm);
  cairo_stroke (s->cr);
}

static void
draw_bed (Stand      *s,
          const View *v,
          double      left,
          double      right)
{
  if (isnan (s->d->machine.axis_height_mm))
    return;
  const double y = v->y0 + v->scale * s->d->machine.axis_height_mm;
  const gboolean met = rhy_holding_least (s->here, s->here->bed, -1).distance_mm <= 0.0;
  set_colour (s, met ? red : s->look->ink);
  cairo_set_line_width (s->cr, 3.0);
  cairo_move_to (s->cr, left, y);
  cairo_line_to (s->cr, right, y);
  cairo_stroke (s->cr);
}

static void
draw_rollers_from_side (Stand      *s,
                        const View *v)
{
  RhyRing ring;
  double seat;
  const double q = roller_of (s, &ring, &seat);
  if (!(q > 0.0))
    return;
  const gboolean drive = s->d->hold.drive == RHY_DRIVE_ROLLERS;
  const double z0 = drive ? rhy_wall_at (s->wall, 0.0).z_mm - 4.0 : ring.z_mm - ROLLER_DRAWN_MM;
  const double z1 = drive ? rhy_wall_at (s->wall, rhy_wall_get_length (s->wall)).z_mm + 4.0 : ring.z_mm + ROLLER_DRAWN_MM;
  const double axis = (ring.r_mm + q) * cos (seat);
  cairo_new_path (s->cr);
  side_to (s, v, z0, -(axis - q));
  side_to (s, v, z1, -(axis - q));
  side_to (s, v, z1, -(axis + q));
  side_to (s, v, z0, -(axis + q));
  cairo_close_path (s->cr);
  fill_and_line (s, roller_colour (s));
}

/* Of head and bed, over the whole drawing, what meets worst; FALSE if nothing does. */
static gboolean
worst_contact (const Stand *s,
               RhyContact  *worst,
               gboolean    *is_bed)
{
  const RhyContact head = rhy_holding_least (s->all, s->all->head, -1);
  const RhyContact bed = rhy_holding_least (s->all, s->all->bed, -1);
  *is_bed = bed.distance_mm < head.distance_mm;
  *worst = *is_bed ? bed : head;
  return worst->distance_mm < -1e-6;
}

/* A ring where it happens, on top or below, wherever the head is now. */
static void
ring_contact (Stand      *s,
              const View *v)
{
  RhyContact worst;
  gboolean is_bed;
  double x, y;
  if (!worst_contact (s, &worst, &is_bed))
    return;
  const RhyBody *b = worst.body < 0 ? NULL : &s->all->bodies[worst.body];
  const double out = b == NULL ? radius_at (s, worst.height_mm)
                     : b->radius_mm > 0.0 ? b->radius_mm : radius_at (s, worst.height_mm) + b->stand_mm;
  side_point (s, v, worst.height_mm, is_bed ? -out : out, &x, &y);
  set_colour (s, red);
  cairo_set_line_width (s->cr, 2.0);
  cairo_new_path (s->cr);
  cairo_arc (s->cr, x, y, RING, 0.0, 2.0 * G_PI);
  cairo_stroke (s->cr);
}

static double
farthest_radius (const Stand *s)
{
  double r = rhy_wall_widest (s->wall, 0.0, rhy_wall_get_length (s->wall)).r_mm;
  const double wall = r;
  for (gsize i = 0; i < s->here->n_bodies; i++)
    r = MAX (r, s->here->bodies[i].radius_mm > 0.0 ? s->here->bodies[i].radius_mm : wall + s->here->bodies[i].stand_mm);
  return r;
}

static double
height_above (const Stand *s)
{
  const double body = isnan (s->d->machine.head_height_mm) ? 0.0 : s->d->machine.head_height_mm;
  return MAX (farthest_radius (s), (isnan (s->tip) ? 0.0 : s->tip + body + BODY_DRAWN_MM)) + 4.0;
}

static double
height_below (const Stand *s)
{
  const double bed = s->d->machine.axis_height_mm;
  return MAX (farthest_radius (s) + 25.0, isnan (bed) ? 0.0 : bed + 4.0);
}

static void
draw_side (Stand *s,
           double x,
           double y,
           double w,
           double h)
{
  const double length = rhy_wall_get_length (s->wall);
  const double base = rhy_wall_at (s->wall, 0.0).z_mm;
  const double rim = rhy_wall_at (s->wall, length).z_mm;
  double margin = 34.0 + CHUCK_DRAWN_MM;
  for (gsize i = 0; i < s->here->n_bodies; i++)
    {
      double z0, z1;
      body_span (s, &s->here->bodies[i], &z0, &z1);
      margin = MAX (margin, 9.0 + MAX (base - z0, z1 - rim));
    }
  const double scale = MIN (w / (rim - base + 2.0 * margin), h / (height_above (s) + height_below (s)));
  const View v = { x + 0.5 * w - scale * (0.5 * (base + rim) - s->held_z), y + scale * height_above (s), scale };
  const RhyRing ring = rhy_wall_at (s->wall, s->at.s);
  double head_x, head_y;

  cairo_save (s->cr);
  cairo_rectangle (s->cr, x, y, w, h);
  cairo_clip (s->cr);
  draw_bed (s, &v, x + 10, x + w - 10);
  draw_bodies_from_side (s, &v, TRUE);
  draw_rollers_from_side (s, &v);
  trace_side (s, &v, base, rim, 0.0, 0.0, 1.0, -1.0);
  fill_and_line (s, glaze);
  if (s->all->reaches)
    {
      hatch_side (s, &v, base, s->all->reach_low_mm);
      hatch_side (s, &v, s->all->reach_high_mm, rim);
    }
  draw_bodies_from_side (s, &v, FALSE);
  side_point (s, &v, ring.z_mm, ring.r_mm, &head_x, &head_y);
  if (!isnan (s->tip))
    draw_head (s, &v, head_x);
  ring_contact (s, &v);

  /* The axis. */
  double x0, y0, x1, y1;
  const double dashes[] = { 12, 4, 2, 4 };
  side_point (s, &v, base - 12.0, 0.0, &x0, &y0);
  side_point (s, &v, rim + 12.0, 0.0, &x1, &y1);
  RhyColour faint = s->look->ink;
  faint.a *= 0.45;
  set_colour (s, faint);
  cairo_set_line_width (s->cr, 1.0);
  cairo_set_dash (s->cr, dashes, 4, 0.0);
  cairo_move_to (s->cr, x0, y0);
  cairo_line_to (s->cr, x1, y1);
  cairo_stroke (s->cr);
  cairo_restore (s->cr);
}

/* ---- from the mouth, cut at the head ---- */

static void
trace_sector (Stand      *s,
              const View *v,
              double      r0,
              double      r1,
              double      low,
              double      high)
{
  /* phi counter-clockwise from the top, as the angle grows for somebody who looks into the mouth;
   * cairo's angles grow clockwise from the right. */
  cairo_new_path (s->cr);
  cairo_arc_negative (s->cr, v->x0, v->y0, v->scale * r1, -G_PI_2 - low, -G_PI_2 - high);
  if (r0 > 0.0)
    cairo_arc (s->cr, v->x0, v->y0, v->scale * r0, -G_PI_2 - high, -G_PI_2 - low);
  cairo_close_path (s->cr);
}

static void
draw_rollers_from_end (Stand      *s,
                       const View *level)
{
  RhyRing ring;
  double seat;
  const double q = roller_of (s, &ring, &seat);
  for (int side = -1; q > 0.0 && side <= 1; side += 2)
    {
      const double x = level->x0 + level->scale * side * (ring.r_mm + q) * sin (seat);
      const double y = level->y0 + level->scale * ((ring.z_mm - s->held_z) * s->sin_t + (ring.r_mm + q) * cos (seat));
      cairo_new_path (s->cr);
      cairo_arc (s->cr, x, y, level->scale * q, 0.0, 2.0 * G_PI);
      fill_and_line (s, roller_colour (s));
    }
}

static void
draw_end (Stand *s,
          double x,
          double y,
          double w,
          double h)
{
  const RhyRing ring = rhy_wall_at (s->wall, s->at.s);
  const double scale = MIN (w / (2.0 * farthest_radius (s) + 16.0), h / (height_above (s) + height_below (s)));
  /* The axis here, not at the held end. */
  const double down = (ring.z_mm - s->held_z) * s->sin_t;
  const View axis = { x + 0.5 * w, y + scale * (height_above (s) + down), scale };
  const View level = { axis.x0, y + scale * height_above (s), scale };

  cairo_save (s->cr);
  cairo_rectangle (s->cr, x, y, w, h);
  cairo_clip (s->cr);
  draw_bed (s, &level, x + 10, x + w - 10);
  for (int near = 0; near < 2; near++)
    for (gsize i = 0; i < s->here->n_bodies; i++)
      {
        const RhyBody *b = &s->here->bodies[i];
        const gboolean round = !(b->width_rad < 2.0 * G_PI);
        if (round == (near == 1))
          continue;
        const double z = CLAMP (ring.z_mm, b->from_mm, b->to_mm);
        const double r0 = b->radius_mm > 0.0 ? 0.0 : radius_at (s, z);
        const double r1 = b->radius_mm > 0.0 ? b->radius_mm : r0 + b->stand_mm;
        const double phi = b->centre_rad - s->at.angle;
        const View there = { axis.x0, level.y0 + scale * (z - s->held_z) * s->sin_t, scale };
        trace_sector (s, &there, round ? 0.0 : r0, r1, phi - 0.5 * MIN (b->width_rad, 2.0 * G_PI - 1e-6),
                      phi + 0.5 * MIN (b->width_rad, 2.0 * G_PI - 1e-6));
        RhyColour c = body_colour (s, (int) i);
        if (round)
          c.a = 0.25;
        fill_and_line (s, c);
      }
  draw_rollers_from_end (s, &level);
  trace_sector (s, &axis, 0.0, ring.r_mm, 0.0, 2.0 * G_PI - 1e-6);
  fill_and_line (s, glaze);
  /* The front, angle 0, as a tick. */
  const double front = -G_PI_2 + s->at.angle;
  set_colour (s, s->look->ink);
  cairo_set_line_width (s->cr, 2.0);
  cairo_move_to (s->cr, axis.x0 + scale * 0.8 * ring.r_mm * cos (front), axis.y0 + scale * 0.8 * ring.r_mm * sin (front));
  cairo_line_to (s->cr, axis.x0 + scale * ring.r_mm * cos (front), axis.y0 + scale * ring.r_mm * sin (front));
  cairo_stroke (s->cr);
  if (!isnan (s->tip))
    draw_head (s, &level, level.x0);
  cairo_restore (s->cr);
  write_line (s, x + 14, y + 10, s->look->ink, "From the mouth");
}

/* ---- the vessel as it stands, zones hatched ---- */

typedef struct
{
  const RhyScene  *scene;
  const RhyCamera *camera;
  int              width, height;
  double           x, y;        /* the picture's corner */
} Photo;

/* A line on the wall, drawn where it can be seen. */
static void
wall_line (Stand       *s,
           const Photo *p,
           RhyWallPoint a,
           RhyWallPoint b)
{
  const double length = rhy_wall_get_length (s->wall);
  const int steps = 48;
  gboolean on = FALSE;
  for (int i = 0; i <= steps; i++)
    {
      const double u = (double) i / steps;
      const RhyWallPoint q = { CLAMP (a.s + u * (b.s - a.s), 0.0, length), a.angle + u * (b.angle - a.angle) };
      double x, y;
      const gboolean seen = rhy_scene_project (p->scene, p->camera, p->width, p->height, q, &x, &y);
      if (seen && on)
        cairo_line_to (s->cr, p->x + x, p->y + y);
      else if (seen)
        cairo_move_to (s->cr, p->x + x, p->y + y);
      on = seen;
    }
}

static double
slant_at (const Stand *s,
          double       z)
{
  RhyRing ring;
  if (rhy_wall_at_height (s->wall, z, &ring))
    return CLAMP (ring.s_mm, 0.0, rhy_wall_get_length (s->wall));
  return z <= rhy_wall_at (s->wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (s->wall);
}

static void
hatch_zone (Stand        *s,
            const Photo  *p,
            const RhyZone zone,
            RhyColour     c)
{
  const double low = slant_at (s, zone.from_mm);
  const double high = slant_at (s, zone.to_mm);
  const double a0 = zone.centre_rad - 0.5 * zone.width_rad;
  const double a1 = zone.centre_rad + 0.5 * zone.width_rad;
  const double r = rhy_wall_at (s->wall, 0.5 * (low + high)).r_mm;
  if (!(high > low + 0.5))
    return;
  set_colour (s, c);
  cairo_set_line_width (s->cr, 1.6);
  wall_line (s, p, (RhyWallPoint) { low, a0 }, (RhyWallPoint) { low, a1 });
  wall_line (s, p, (RhyWallPoint) { high, a0 }, (RhyWallPoint) { high, a1 });
  if (zone.width_rad < 2.0 * G_PI)
    {
      wall_line (s, p, (RhyWallPoint) { low, a0 }, (RhyWallPoint) { high, a0 });
      wall_line (s, p, (RhyWallPoint) { low, a1 }, (RhyWallPoint) { high, a1 });
    }
  cairo_stroke (s->cr);
  cairo_set_line_width (s->cr, 1.0);
  /* Slanting lines, at 45 degrees on the wall. */
  const double lean = (high - low) / r;
  for (double a = a0 - lean; a < a1; a += HATCH_MM / r)
    {
      const double from = MAX (a, a0);
      const double to = MIN (a + lean, a1);
      if (to > from)
        wall_line (s, p, (RhyWallPoint) { low + (from - a) * r, from }, (RhyWallPoint) { low + (to - a) * r, to });
    }
  cairo_stroke (s->cr);
}

static gboolean
draw_photo (Stand   *s,
            double   x,
            double   y,
            double   w,
            double   h,
            GError **error)
{
  g_autoptr (RhyScene) scene = rhy_scene_new (s->plan, FALSE, error);
  if (scene == NULL)
    return FALSE;
  RhyCamera camera = RHY_CAMERA_INIT;
  const RhySceneOptions options = RHY_SCENE_OPTIONS_INIT;
  camera.turn_rad = s->at.angle;
  const int pw = (int) w;
  const int ph = (int) h;
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, pw, ph);
  if (cairo_surface_status (surface) == CAIRO_STATUS_SUCCESS)
    {
      rhy_scene_render (scene, &camera, &options, cairo_image_surface_get_data (surface), pw, ph,
                        cairo_image_surface_get_stride (surface));
      cairo_surface_mark_dirty (surface);
      cairo_set_source_surface (s->cr, surface, x, y);
      cairo_paint (s->cr);
    }
  cairo_surface_destroy (surface);

  const Photo photo = { scene, &camera, pw, ph, x, y };
  for (gsize i = 0; i < s->d->n_zones; i++)
    hatch_zone (s, &photo, s->d->zones[i], s->d->zones[i].kind == RHY_ZONE_HANDLE ? clay : metal);
  if (s->all->reaches)
    {
      hatch_zone (s, &photo, (RhyZone) { .width_rad = 2.0 * G_PI, .from_mm = -G_MAXDOUBLE, .to_mm = s->all->reach_low_mm }, amber);
      hatch_zone (s, &photo, (RhyZone) { .width_rad = 2.0 * G_PI, .from_mm = s->all->reach_high_mm, .to_mm = G_MAXDOUBLE }, amber);
    }
  double px, py;
  if (rhy_scene_project (scene, &camera, pw, ph, s->at, &px, &py))
    {
      set_colour (s, red);
      cairo_set_line_width (s->cr, 2.0);
      cairo_new_path (s->cr);
      cairo_arc (s->cr, x + px, y + py, 7.0, 0.0, 2.0 * G_PI);
      cairo_stroke (s->cr);
    }
  return TRUE;
}

/* ---- words ---- */

static void
clear_line (gpointer line)
{
  g_free (((Line *) line)->text);
}

static void
add_line (GArray     *lines,
          gboolean    bad,
          const char *format,
          ...) G_GNUC_PRINTF (3, 4);

static void
add_line (GArray     *lines,
          gboolean    bad,
          const char *format,
          ...)
{
  va_list args;
  va_start (args, format);
  const Line line = { g_strdup_vprintf (format, args), bad };
  va_end (args);
  g_array_append_val (lines, line);
}

static char *
say_length (const Stand *s,
            double       mm)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  if (s->look->say != NULL)
    return s->look->say (mm, s->look->data);
  return g_strconcat (g_ascii_formatd (number, sizeof number, "%.1f", mm), " mm", NULL);
}

static void
add_distance (Stand      *s,
              GArray     *lines,
              const char *what,
              RhyContact  contact)
{
  const double d = contact.distance_mm;
  if (!(d < G_MAXDOUBLE))
    return;
  g_autofree char *distance = say_length (s, fabs (d));
  add_line (lines, d <= 0.0, d <= 0.0 ? "%s: meets, by %s" : "%s: %s free", what, distance);
}

static void
add_worst (Stand  *s,
           GArray *lines)
{
  RhyContact worst;
  gboolean is_bed;
  if (!worst_contact (s, &worst, &is_bed))
    return;
  const char *what = worst.body < 0 ? "vessel" : rhy_zone_kind_to_string (s->all->bodies[worst.body].kind);
  g_autofree char *deep = say_length (s, -worst.distance_mm);
  g_autofree char *height = say_length (s, worst.height_mm);
  add_line (lines, TRUE, "Over the drawing: %s meets %s,", is_bed ? "bed" : "head", what);
  add_line (lines, TRUE, "by %s at height %s", deep, height);
}

static GArray *
lines_of (Stand *s)
{
  char a[G_ASCII_DTOSTR_BUF_SIZE], b[G_ASCII_DTOSTR_BUF_SIZE];
  const RhyHolding *h = s->here;
  GArray *lines = g_array_new (FALSE, FALSE, sizeof (Line));
  g_array_set_clear_func (lines, clear_line);
  g_autofree char *height = say_length (s, rhy_wall_at (s->wall, s->at.s).z_mm);
  add_line (lines, FALSE, "Height %s, %s degrees on top", height, g_ascii_formatd (b, sizeof b, "%.1f", degrees (s->at.angle)));
  add_distance (s, lines, "Head to vessel", h->head[0]);
  add_distance (s, lines, "Head to handle", rhy_holding_least (h, h->head, RHY_ZONE_HANDLE));
  add_distance (s, lines, "Head to jaws", rhy_holding_least (h, h->head, RHY_ZONE_JAWS));
  add_distance (s, lines, "Work to bed", rhy_holding_least (h, h->bed, -1));
  add_worst (s, lines);
  if (s->all->is_limited && s->all->turn_low_rad <= s->all->turn_high_rad)
    add_line (lines, FALSE, "May be on top: %s to %s degrees",
              g_ascii_formatd (a, sizeof a, "%.0f", degrees (s->all->turn_low_rad)),
              g_ascii_formatd (b, sizeof b, "%.0f", degrees (s->all->turn_high_rad)));
  if (isnan (s->tip))
    add_line (lines, FALSE, "The machine does not give its head.");
  return lines;
}

static void
write_all (Stand  *s,
           double  x,
           double  y)
{
  g_autoptr (GArray) lines = lines_of (s);
  for (guint i = 0; i < lines->len; i++)
    {
      const Line *line = &g_array_index (lines, Line, i);
      y += write_line (s, x, y, line->bad ? red : s->look->ink, line->text);
    }
}

static cairo_status_t
gather (void                *closure,
        const unsigned char *data,
        unsigned int         length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

static gboolean
find_wall_point (Stand      *s,
                 RhyBedPoint head,
                 GError    **error)
{
  g_autoptr (RhyMap) map = rhy_plan_dup_map (s->plan, RHY_SPACE_BED, RHY_SPACE_WALL, error);
  RhyPoint at;
  if (map == NULL)
    return FALSE;
  if (!rhy_map_point (map, (RhyPoint) { head.x, head.y }, &at))
    {
      char x[G_ASCII_DTOSTR_BUF_SIZE], y[G_ASCII_DTOSTR_BUF_SIZE];
      g_set_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE, "head at %s,%s mm from the mark: the beam misses the wall there",
                   g_ascii_formatd (x, sizeof x, "%.6g", head.x), g_ascii_formatd (y, sizeof y, "%.6g", head.y));
      return FALSE;
    }
  s->at = (RhyWallPoint) { at.x, at.y };
  return TRUE;
}

static void
find_frame (Stand *s)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (s->plan);
  const RhyWay way = rhy_job_way (rhy_plan_get_job (s->plan));
  const RhyRing level = rhy_wall_at (s->wall, n->anchor.s);
  double held = way == RHY_WAY_BASE || way == RHY_WAY_PINS ? 0.0 : way == RHY_WAY_ROLLERS ? n->anchor.s : rhy_wall_get_length (s->wall);
  if (way == RHY_WAY_ROLLERS && !isnan (s->d->hold.contact_height_mm))
    held = slant_at (s, s->d->hold.contact_height_mm);
  s->held_z = rhy_wall_at (s->wall, held).z_mm;
  s->cos_t = cos (n->tilt_rad);
  s->sin_t = sin (n->tilt_rad);
  s->tip = s->here->is_head_known ? level.r_mm * s->cos_t - (level.z_mm - s->held_z) * s->sin_t + s->d->machine.working_distance_mm
                                  : NAN;
}

static void
begin (Stand              *s,
       RhyPlan            *plan,
       const RhyStandLook *look)
{
  *s = (Stand) { .plan = plan, .d = rhy_job_get_data (rhy_plan_get_job (plan)), .wall = rhy_plan_get_wall (plan),
                 .look = look != NULL ? look : &on_paper };
}

/* Once it is known where. */
static void
hold (Stand *s)
{
  s->here = rhy_plan_hold_at (s->plan, s->at);
  s->all = rhy_plan_hold (s->plan, rhy_job_way (rhy_plan_get_job (s->plan)), NULL);
  find_frame (s);
}

static void
end (Stand *s)
{
  g_clear_pointer (&s->here, rhy_holding_free);
  g_clear_pointer (&s->all, rhy_holding_free);
}

void
rhy_stand_draw_side (RhyPlan            *plan,
                     RhyWallPoint        at,
                     const RhyStandLook *look,
                     cairo_t            *cr,
                     double              width,
                     double              height)
{
  g_return_if_fail (plan != NULL && cr != NULL);

  Stand s;
  begin (&s, plan, look);
  s.at = at;
  s.cr = cr;
  hold (&s);
  set_colour (&s, s.look->paper);
  cairo_rectangle (cr, 0.0, 0.0, width, height);
  cairo_fill (cr);
  draw_side (&s, 0.0, 0.0, width, height);
  end (&s);
}

static char *
join (GArray  *lines,
      gboolean bad)
{
  GString *text = g_string_new (NULL);
  for (guint i = 0; i < lines->len; i++)
    {
      const Line *line = &g_array_index (lines, Line, i);
      if (line->bad == bad)
        g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "", line->text);
    }
  return g_string_free (text, FALSE);
}

char *
rhy_stand_describe (RhyPlan            *plan,
                    RhyWallPoint        at,
                    const RhyStandLook *look,
                    char              **trouble)
{
  g_return_val_if_fail (plan != NULL && trouble != NULL, NULL);

  Stand s;
  begin (&s, plan, look);
  s.at = at;
  hold (&s);
  g_autoptr (GArray) lines = lines_of (&s);
  end (&s);
  *trouble = join (lines, TRUE);
  return join (lines, FALSE);
}

GBytes *
rhy_stand_to_png (RhyPlan    *plan,
                  RhyBedPoint head,
                  int         width,
                  int         height,
                  GError    **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  if (!(width >= 320 && width <= 8192 && height >= 320 && height <= 8192))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "picture of %d x %d pixels: each side must be from 320 to 8192", width, height);
      return NULL;
    }
  Stand s;
  begin (&s, plan, NULL);
  s.text_px = MAX (11.0, height / 58.0);
  if (!find_wall_point (&s, head, error))
    return NULL;
  hold (&s);

  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height);
  g_autoptr (GByteArray) png = g_byte_array_new ();
  s.cr = cairo_create (surface);
  set_colour (&s, s.look->paper);
  cairo_paint (s.cr);
  const double middle = floor (0.5 * height);
  draw_side (&s, 0, 0, width, middle);
  draw_end (&s, 0, middle, floor (0.5 * width), height - middle);
  gboolean done = draw_photo (&s, floor (0.5 * width), middle, width - floor (0.5 * width), height - middle, error);
  write_line (&s, 14, 10, s.look->ink, "From the side, base left, mouth right");
  write_all (&s, 14, 18 + 1.6 * s.text_px);
  cairo_status_t status = cairo_status (s.cr);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_write_to_png_stream (surface, gather, png);
  cairo_destroy (s.cr);
  cairo_surface_destroy (surface);
  end (&s);
  if (done && status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "picture: %s", cairo_status_to_string (status));
      done = FALSE;
    }
  return done ? g_byte_array_free_to_bytes (g_steal_pointer (&png)) : NULL;
}
