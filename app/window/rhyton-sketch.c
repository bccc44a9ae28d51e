/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-sketch.h"

#include <math.h>

#include "rhyton-look.h"

typedef const RhytonPens Pens;

void
rhyton_sketch_show (RhytonSketch sketch,
                    GtkWidget   *widget,
                    cairo_t     *cr,
                    double       width,
                    double       height)
{
  RhytonPens pens = { .cr = cr };
  RhyColour paper;
  const double scale = MIN (width / RHYTON_SKETCH_WIDTH, height / RHYTON_SKETCH_HEIGHT);

  rhyton_look_colours (widget, &pens.ink, &paper, &pens.accent);
  pens.soft = pens.ink;
  pens.soft.a *= 0.6;
  cairo_translate (cr, 0.5 * (width - scale * RHYTON_SKETCH_WIDTH), 0.5 * (height - scale * RHYTON_SKETCH_HEIGHT));
  cairo_scale (cr, scale, scale);
  sketch (&pens);
}

/* ---- pens ---- */

static void
ink_with (Pens     *p,
          RhyColour c,
          double    alpha)
{
  cairo_set_source_rgba (p->cr, c.r, c.g, c.b, c.a * alpha);
}

static void
stroke (Pens     *p,
        RhyColour c,
        double    width)
{
  ink_with (p, c, 1.0);
  cairo_set_line_width (p->cr, width);
  cairo_stroke (p->cr);
}

/* Filled lightly and outlined, what has been traced. */
static void
solid (Pens  *p,
       double shade,
       double width)
{
  ink_with (p, p->ink, shade);
  cairo_fill_preserve (p->cr);
  stroke (p, p->ink, width);
}

static void
line (Pens     *p,
      RhyColour c,
      double    width,
      double    x0,
      double    y0,
      double    x1,
      double    y1)
{
  cairo_move_to (p->cr, x0, y0);
  cairo_line_to (p->cr, x1, y1);
  stroke (p, c, width);
}

static void
dashed (Pens     *p,
        RhyColour c,
        double    x0,
        double    y0,
        double    x1,
        double    y1)
{
  const double dashes[] = { 4.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  line (p, c, 1.0, x0, y0, x1, y1);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
}

static void
head (Pens  *p,
      double x,
      double y,
      double angle)
{
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, angle);
  cairo_move_to (p->cr, 0.0, 0.0);
  cairo_line_to (p->cr, -8.0, 3.0);
  cairo_line_to (p->cr, -8.0, -3.0);
  cairo_close_path (p->cr);
  ink_with (p, p->accent, 1.0);
  cairo_fill (p->cr);
  cairo_restore (p->cr);
}

/* What is measured: a line with a head at either end. */
static void
measure (Pens  *p,
         double x0,
         double y0,
         double x1,
         double y1)
{
  const double angle = atan2 (y1 - y0, x1 - x0);
  line (p, p->accent, 1.5, x0, y0, x1, y1);
  head (p, x1, y1, angle);
  head (p, x0, y0, angle + G_PI);
}

/* @along: 0 begins at @x, 0.5 is in the middle there, 1 ends there. */
static void
say (Pens       *p,
     RhyColour   c,
     double      x,
     double      y,
     double      along,
     const char *text)
{
  cairo_text_extents_t e;
  cairo_select_font_face (p->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size (p->cr, 12.0);
  cairo_text_extents (p->cr, text, &e);
  cairo_move_to (p->cr, x - along * e.x_advance, y);
  ink_with (p, c, 1.0);
  cairo_show_text (p->cr, text);
}

/* ---- things ---- */

static void
add_ellipse (Pens  *p,
             double x,
             double y,
             double rx,
             double ry,
             double from,
             double to)
{
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_scale (p->cr, rx, ry);
  cairo_arc (p->cr, 0.0, 0.0, 1.0, from, to);
  cairo_restore (p->cr);
}

static void
table (Pens  *p,
       double x0,
       double x1,
       double y)
{
  line (p, p->soft, 1.0, x0, y, x1, y);
  for (double x = x0 + 4.0; x < x1; x += 6.0)
    line (p, p->soft, 0.7, x, y, x - 4.0, y + 4.0);
}

/* Standing on @y, seen a little from above. */
static void
glass (Pens  *p,
       double x,
       double y,
       double base,
       double rim,
       double height)
{
  cairo_new_path (p->cr);
  cairo_move_to (p->cr, x - rim, y - height);
  cairo_line_to (p->cr, x - base, y - 0.12 * base);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y - 0.12 * base);
  cairo_scale (p->cr, base, 0.12 * base);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, G_PI, 0.0);
  cairo_restore (p->cr);
  cairo_line_to (p->cr, x + rim, y - height);
  solid (p, 0.06, 1.5);
  cairo_new_sub_path (p->cr);
  add_ellipse (p, x, y - height, rim, 0.14 * rim, 0.0, 2.0 * G_PI);
  stroke (p, p->ink, 1.5);
}

static void
ruler (Pens  *p,
       double x,
       double top,
       double bottom)
{
  cairo_rectangle (p->cr, x, top, 14.0, bottom - top);
  stroke (p, p->ink, 1.2);
  int n = 0;
  for (double y = bottom - 5.0; y > top + 2.0; y -= 5.0)
    line (p, p->ink, 0.8, x, y, x + (++n % 5 == 0 ? 9.0 : 5.0), y);
}

static void
cross (Pens     *p,
       RhyColour c,
       double    x,
       double    y,
       double    size)
{
  line (p, c, 1.8, x - size, y, x + size, y);
  line (p, c, 1.8, x, y - size, x, y + size);
}

/* Seen from above: the beam below, both jaws up to either side of a ring. */
static void
caliper_round (Pens  *p,
               double x,
               double y,
               double r)
{
  const double beam = y + r + 14.0;
  cairo_rectangle (p->cr, x - r - 12.0, beam, 2.0 * r + 44.0, 10.0);
  stroke (p, p->ink, 1.2);
  for (double tick = x - r - 6.0; tick < x + r + 30.0; tick += 5.0)
    line (p, p->ink, 0.7, tick, beam + 10.0, tick, beam + 6.0);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (p->cr, x + side * r, beam);
      cairo_line_to (p->cr, x + side * r, y - 12.0);
      cairo_line_to (p->cr, x + side * (r + 5.0), y - 12.0);
      cairo_line_to (p->cr, x + side * (r + 11.0), beam);
      cairo_close_path (p->cr);
      solid (p, 0.12, 1.2);
    }
}

/* A tape round a glass, its front half: @lean is how much lower its right side is. */
static void
tape_round (Pens     *p,
            RhyColour c,
            double    x,
            double    y,
            double    r,
            double    lean)
{
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, atan2 (lean, 2.0 * r));
  cairo_translate (p->cr, -x, -y);
  cairo_new_path (p->cr);
  add_ellipse (p, x, y - 4.0, r, 0.14 * r, 0.0, G_PI);
  cairo_line_to (p->cr, x - r, y + 4.0);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y + 4.0);
  cairo_scale (p->cr, r, 0.14 * r);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, G_PI, 0.0);
  cairo_restore (p->cr);
  cairo_close_path (p->cr);
  ink_with (p, c, 0.25);
  cairo_fill_preserve (p->cr);
  stroke (p, c, 1.3);
  for (double a = 0.15 * G_PI; a < 0.9 * G_PI; a += 0.1 * G_PI)
    line (p, c, 0.8, x + r * cos (a), y + 4.0 + 0.14 * r * sin (a), x + r * cos (a), y + 0.14 * r * sin (a));
  cairo_restore (p->cr);
}

static void
hatched (Pens  *p,
         double x0,
         double y0,
         double x1,
         double y1)
{
  cairo_save (p->cr);
  cairo_clip (p->cr);
  for (double x = x0 - (y1 - y0); x < x1; x += 5.0)
    line (p, p->soft, 0.8, x, y1, x + (y1 - y0), y0);
  cairo_restore (p->cr);
}

/* ---- the vessel's numbers ---- */

static void
height_to (Pens    *p,
           gboolean mark)
{
  table (p, 30.0, 240.0, 140.0);
  glass (p, 100.0, 140.0, 30.0, 42.0, 104.0);
  if (mark)
    cross (p, p->accent, 100.0, 80.0, 7.0);
  else
    tape_round (p, p->soft, 100.0, 76.0, 37.0, 0.0);
  dashed (p, p->accent, mark ? 110.0 : 138.0, 80.0, 222.0, 80.0);
  ruler (p, 176.0, 22.0, 140.0);
  measure (p, 214.0, 140.0, 214.0, 80.0);
}

void
rhyton_sketch_height (const RhytonPens *p)
{
  height_to (p, FALSE);
}

void
rhyton_sketch_place (const RhytonPens *p)
{
  height_to (p, TRUE);
}

void
rhyton_sketch_fill (const RhytonPens *p)
{
  const double level = 66.0, r = 30.0 + 12.0 * (140.0 - level) / 104.0;

  table (p, 30.0, 240.0, 140.0);
  cairo_move_to (p->cr, 100.0 - r, level);
  cairo_line_to (p->cr, 70.0, 137.0);
  cairo_line_to (p->cr, 130.0, 137.0);
  cairo_line_to (p->cr, 100.0 + r, level);
  cairo_close_path (p->cr);
  ink_with (p, p->accent, 0.25);
  cairo_fill (p->cr);
  glass (p, 100.0, 140.0, 30.0, 42.0, 104.0);
  line (p, p->accent, 1.8, 100.0 - r, level, 100.0 + r, level);
  dashed (p, p->accent, 100.0 + r, level, 222.0, level);
  ruler (p, 176.0, 22.0, 140.0);
  measure (p, 214.0, 140.0, 214.0, level);
}

/* A straight bar lies on the rim. */
void
rhyton_sketch_overall (const RhytonPens *p)
{
  table (p, 30.0, 240.0, 140.0);
  glass (p, 100.0, 140.0, 30.0, 42.0, 104.0);
  cairo_rectangle (p->cr, 46.0, 22.0, 140.0, 8.0);
  solid (p, 0.12, 1.2);
  ruler (p, 176.0, 30.0, 140.0);
  dashed (p, p->accent, 186.0, 30.0, 222.0, 30.0);
  measure (p, 214.0, 140.0, 214.0, 30.0);
}

/* Along the slanting side, not upright beside it. */
void
rhyton_sketch_slant (const RhytonPens *p)
{
  const double x0 = 150.0, y0 = 137.0, x1 = 178.0, y1 = 30.0, off = 14.0;
  const double length = hypot (x1 - x0, y1 - y0), nx = -(y1 - y0) / length, ny = (x1 - x0) / length;

  table (p, 40.0, 240.0, 140.0);
  glass (p, 112.0, 140.0, 38.0, 66.0, 110.0);
  line (p, p->soft, 6.0, x0 + 3.0 * nx, y0 + 3.0 * ny, x1 + 3.0 * nx, y1 + 3.0 * ny);
  dashed (p, p->accent, x0, y0, x0 + (off + 6.0) * nx, y0 + (off + 6.0) * ny);
  dashed (p, p->accent, x1, y1, x1 + (off + 6.0) * nx, y1 + (off + 6.0) * ny);
  measure (p, x0 + off * nx, y0 + off * ny, x1 + off * nx, y1 + off * ny);
}

void
rhyton_sketch_diameter (const RhytonPens *p)
{
  const double x = 176.0, y = 72.0, r = 40.0;

  table (p, 10.0, 104.0, 140.0);
  glass (p, 56.0, 140.0, 24.0, 34.0, 100.0);
  dashed (p, p->accent, 14.0, 84.0, 100.0, 84.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r, 0.0, 2.0 * G_PI);
  solid (p, 0.06, 1.5);
  caliper_round (p, x, y, r);
  measure (p, x - r, y, x + r, y);
}

void
rhyton_sketch_circumference (const RhytonPens *p)
{
  table (p, 10.0, 250.0, 140.0);
  glass (p, 72.0, 140.0, 30.0, 42.0, 104.0);
  tape_round (p, p->accent, 72.0, 84.0, 36.0, 0.0);
  glass (p, 188.0, 140.0, 30.0, 42.0, 104.0);
  tape_round (p, p->soft, 188.0, 84.0, 36.0, 26.0);
  /* The one on the right is how not to. */
  line (p, p->ink, 2.0, 218.0, 12.0, 230.0, 24.0);
  line (p, p->ink, 2.0, 230.0, 12.0, 218.0, 24.0);
  line (p, p->accent, 2.0, 100.0, 18.0, 105.0, 24.0);
  line (p, p->accent, 2.0, 105.0, 24.0, 114.0, 11.0);
}

/* The rim cut open, near to; jaws on both sides of it, square to it. */
void
rhyton_sketch_thickness (const RhytonPens *p)
{
  const double t = 20.0;

  cairo_save (p->cr);
  cairo_translate (p->cr, 118.0, 62.0);
  cairo_rotate (p->cr, 0.18);
  cairo_rectangle (p->cr, -0.5 * t, 0.0, t, 140.0);
  cairo_restore (p->cr);
  cairo_path_t *wall = cairo_copy_path (p->cr);
  hatched (p, 60.0, 40.0, 150.0, 165.0);
  cairo_append_path (p->cr, wall);
  cairo_path_destroy (wall);
  stroke (p, p->ink, 1.5);

  cairo_save (p->cr);
  cairo_translate (p->cr, 118.0, 62.0);
  cairo_rotate (p->cr, 0.18);
  cairo_rectangle (p->cr, -0.5 * t - 26.0, -40.0, 120.0, 12.0);
  stroke (p, p->ink, 1.2);
  for (double x = -0.5 * t - 20.0; x < 76.0; x += 5.0)
    line (p, p->ink, 0.7, x, -40.0, x, -36.0);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (p->cr, side * 0.5 * t, -28.0);
      cairo_line_to (p->cr, side * 0.5 * t, 34.0);
      cairo_line_to (p->cr, side * (0.5 * t + 4.0), 34.0);
      cairo_line_to (p->cr, side * (0.5 * t + 12.0), -28.0);
      cairo_close_path (p->cr);
      solid (p, 0.12, 1.2);
    }
  dashed (p, p->accent, -0.5 * t, 34.0, -0.5 * t, 62.0);
  dashed (p, p->accent, 0.5 * t, 34.0, 0.5 * t, 62.0);
  line (p, p->accent, 1.5, -0.5 * t - 18.0, 52.0, -0.5 * t, 52.0);
  head (p, -0.5 * t, 52.0, 0.0);
  line (p, p->accent, 1.5, 0.5 * t + 18.0, 52.0, 0.5 * t, 52.0);
  head (p, 0.5 * t, 52.0, G_PI);
  cairo_restore (p->cr);
  say (p, p->soft, 52.0, 140.0, 0.5, "inside");
  say (p, p->soft, 180.0, 140.0, 0.5, "outside");
}

static void
add_cut_mug (Pens *p)
{
  cairo_move_to (p->cr, 70.0, 30.0);
  cairo_line_to (p->cr, 70.0, 140.0);
  cairo_line_to (p->cr, 160.0, 140.0);
  cairo_line_to (p->cr, 160.0, 30.0);
  cairo_line_to (p->cr, 152.0, 30.0);
  cairo_line_to (p->cr, 152.0, 118.0);
  cairo_line_to (p->cr, 78.0, 118.0);
  cairo_line_to (p->cr, 78.0, 30.0);
  cairo_close_path (p->cr);
}

void
rhyton_sketch_floor (const RhytonPens *p)
{
  table (p, 20.0, 240.0, 140.0);
  add_cut_mug (p);
  hatched (p, 70.0, 30.0, 160.0, 140.0);
  add_cut_mug (p);
  stroke (p, p->ink, 1.5);
  /* A bar over the brim, a rod down from it. */
  cairo_rectangle (p->cr, 58.0, 22.0, 114.0, 8.0);
  stroke (p, p->ink, 1.2);
  cairo_rectangle (p->cr, 94.0, 10.0, 6.0, 108.0);
  solid (p, 0.12, 1.2);
  measure (p, 122.0, 30.0, 122.0, 118.0);
  say (p, p->accent, 128.0, 80.0, 0.0, "D");
  dashed (p, p->accent, 160.0, 30.0, 204.0, 30.0);
  measure (p, 196.0, 30.0, 196.0, 140.0);
  say (p, p->accent, 202.0, 90.0, 0.0, "H");
  dashed (p, p->accent, 78.0, 118.0, 34.0, 118.0);
  measure (p, 42.0, 118.0, 42.0, 140.0);
  say (p, p->accent, 42.0, 110.0, 0.5, "H \u2212 D");
}

void
rhyton_sketch_capacity (const RhytonPens *p)
{
  table (p, 20.0, 240.0, 150.0);
  /* Full to the brim, on kitchen scales. */
  cairo_move_to (p->cr, 48.0, 150.0);
  cairo_line_to (p->cr, 56.0, 122.0);
  cairo_line_to (p->cr, 128.0, 122.0);
  cairo_line_to (p->cr, 136.0, 150.0);
  cairo_close_path (p->cr);
  solid (p, 0.06, 1.3);
  line (p, p->ink, 2.0, 46.0, 118.0, 138.0, 118.0);
  cairo_rectangle (p->cr, 76.0, 129.0, 32.0, 14.0);
  stroke (p, p->soft, 1.0);
  say (p, p->ink, 92.0, 140.0, 0.5, "g");
  cairo_move_to (p->cr, 92.0 - 32.0, 26.0);
  cairo_line_to (p->cr, 92.0 - 24.0, 115.0);
  cairo_line_to (p->cr, 92.0 + 24.0, 115.0);
  cairo_line_to (p->cr, 92.0 + 32.0, 26.0);
  cairo_close_path (p->cr);
  ink_with (p, p->accent, 0.25);
  cairo_fill (p->cr);
  glass (p, 92.0, 117.0, 24.0, 32.0, 93.0);
  say (p, p->ink, 164.0, 62.0, 0.0, "full \u2212 empty");
  say (p, p->accent, 164.0, 84.0, 0.0, "1 g = 1 ml");
}

/* ---- where the artwork goes ---- */

void
rhyton_sketch_width (const RhytonPens *p)
{
  const double x = 130.0, r = 46.0, a0 = 0.28 * G_PI, a1 = 0.72 * G_PI;

  table (p, 40.0, 220.0, 144.0);
  glass (p, x, 144.0, 40.0, 52.0, 118.0);
  /* The ink's box, bent with the wall. */
  add_ellipse (p, x, 60.0, r + 1.5, 0.14 * r, a0, a1);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, 92.0);
  cairo_scale (p->cr, r - 1.5, 0.14 * r);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, a1, a0);
  cairo_restore (p->cr);
  cairo_close_path (p->cr);
  solid (p, 0.15, 1.2);
  /* The tape lies on the wall under it. */
  add_ellipse (p, x, 106.0, r - 2.0, 0.14 * r, a0, a1);
  stroke (p, p->accent, 1.8);
  for (int end = 0; end < 2; end++)
    {
      const double a = end == 0 ? a0 : a1;
      head (p, x + (r - 2.0) * cos (a), 106.0 + 0.14 * r * sin (a), end == 0 ? -0.12 : G_PI + 0.12);
      dashed (p, p->accent, x + r * cos (a), 70.0, x + (r - 2.0) * cos (a), 116.0);
    }
}

void
rhyton_sketch_around (const RhytonPens *p)
{
  const double x = 130.0, y = 72.0, r = 46.0, to = 0.5 * G_PI - G_PI / 3.0;

  cairo_arc (p->cr, x, y, r, 0.0, 2.0 * G_PI);
  solid (p, 0.06, 1.5);
  /* A handle, at the back. */
  cairo_rectangle (p->cr, x - 6.0, y - r - 18.0, 12.0, 18.0);
  stroke (p, p->soft, 1.2);
  dashed (p, p->soft, x, y, x, y + r + 12.0);
  dashed (p, p->accent, x, y, x + (r + 12.0) * cos (to), y + (r + 12.0) * sin (to));
  cairo_arc_negative (p->cr, x, y, r + 7.0, 0.5 * G_PI, to + 0.1);
  stroke (p, p->accent, 1.5);
  head (p, x + (r + 7.0) * cos (to), y + (r + 7.0) * sin (to), to - 0.5 * G_PI);
  cairo_arc (p->cr, x + r * cos (to), y + r * sin (to), 4.0, 0.0, 2.0 * G_PI);
  ink_with (p, p->accent, 1.0);
  cairo_fill (p->cr);
  say (p, p->soft, x, y + r + 26.0, 0.5, "front");
  say (p, p->soft, 12.0, 20.0, 0.0, "from above");
}

void
rhyton_sketch_eye (const RhytonPens *p)
{
  table (p, 10.0, 250.0, 134.0);
  glass (p, 50.0, 134.0, 22.0, 30.0, 90.0);
  dashed (p, p->soft, 50.0, 30.0, 50.0, 152.0);
  dashed (p, p->soft, 62.0, 92.0, 208.0, 46.0);
  cross (p, p->ink, 54.0, 94.0, 5.0);
  /* The eye. */
  cairo_move_to (p->cr, 204.0, 46.0);
  cairo_curve_to (p->cr, 210.0, 36.0, 222.0, 36.0, 228.0, 46.0);
  cairo_curve_to (p->cr, 222.0, 55.0, 210.0, 55.0, 204.0, 46.0);
  stroke (p, p->ink, 1.5);
  cairo_arc (p->cr, 214.0, 46.0, 4.0, 0.0, 2.0 * G_PI);
  ink_with (p, p->ink, 1.0);
  cairo_fill (p->cr);
  measure (p, 240.0, 134.0, 240.0, 46.0);
  dashed (p, p->accent, 216.0, 56.0, 216.0, 152.0);
  measure (p, 50.0, 150.0, 216.0, 150.0);
}

/* ---- the machine's numbers ---- */

/* The axis dips towards the mouth, which counts plus, until the line under the head is level. */
void
rhyton_sketch_tilt (const RhytonPens *p)
{
  const double tilt = 0.16, x = 50.0, y = 64.0, reach = 164.0;

  table (p, 10.0, 250.0, 150.0);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, tilt);
  cairo_rectangle (p->cr, -34.0, -32.0, 30.0, 64.0);
  solid (p, 0.15, 1.3);
  cairo_move_to (p->cr, -4.0, -26.0);
  cairo_line_to (p->cr, 126.0, -26.0 - 130.0 * tan (tilt));
  cairo_line_to (p->cr, 126.0, 26.0 + 130.0 * tan (tilt));
  cairo_line_to (p->cr, -4.0, 26.0);
  cairo_close_path (p->cr);
  solid (p, 0.06, 1.5);
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  line (p, p->ink, 1.0, -40.0, 0.0, 186.0, 0.0);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
  cairo_restore (p->cr);
  dashed (p, p->soft, x, y, 240.0, y);
  cairo_arc (p->cr, x, y, reach, 0.0, tilt);
  stroke (p, p->accent, 1.5);
  head (p, x + reach * cos (tilt), y + reach * sin (tilt), 0.5 * G_PI + tilt);
  say (p, p->soft, 244.0, y - 6.0, 1.0, "level");
}

/* A line as long as a turn on the sheet comes out as a ring that closes. */
void
rhyton_sketch_travel (const RhytonPens *p)
{
  const double x = 186.0, y = 82.0, half = 48.0, r = 40.0, flat = 9.0;

  cairo_rectangle (p->cr, 24.0, 14.0, 64.0, 132.0);
  stroke (p, p->soft, 1.2);
  measure (p, 56.0, 22.0, 56.0, 138.0);
  line (p, p->ink, 1.5, 102.0, 80.0, 116.0, 80.0);
  line (p, p->ink, 1.5, 116.0, 80.0, 111.0, 76.0);
  line (p, p->ink, 1.5, 116.0, 80.0, 111.0, 84.0);

  cairo_move_to (p->cr, x + half, y - r);
  cairo_line_to (p->cr, x - half, y - r);
  cairo_save (p->cr);
  cairo_translate (p->cr, x - half, y);
  cairo_scale (p->cr, flat, r);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, -0.5 * G_PI, 0.5 * G_PI);
  cairo_restore (p->cr);
  cairo_line_to (p->cr, x + half, y + r);
  solid (p, 0.06, 1.5);
  cairo_new_sub_path (p->cr);
  add_ellipse (p, x + half, y, flat, r, 0.0, 2.0 * G_PI);
  stroke (p, p->ink, 1.5);
  add_ellipse (p, x, y, flat, r, 0.5 * G_PI, 1.5 * G_PI);
  stroke (p, p->accent, 2.0);
  cairo_set_dash (p->cr, (const double[]) { 3.0, 3.0 }, 2, 0.0);
  add_ellipse (p, x, y, flat, r, -0.5 * G_PI, 0.5 * G_PI);
  stroke (p, p->accent, 1.2);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
}

/* Held at the left, lying; @grow: how much wider it gets towards the right. */
static void
held_work (Pens  *p,
           double x,
           double y,
           double r,
           double grow,
           double length)
{
  cairo_rectangle (p->cr, x - 26.0, y - r - 4.0, 26.0, 2.0 * r + 8.0);
  solid (p, 0.15, 1.3);
  cairo_move_to (p->cr, x, y - r);
  cairo_line_to (p->cr, x + length, y - r - grow);
  cairo_line_to (p->cr, x + length, y + r + grow);
  cairo_line_to (p->cr, x, y + r);
  cairo_close_path (p->cr);
  solid (p, 0.06, 1.5);
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  line (p, p->ink, 1.0, x - 34.0, y, x + length + 16.0, y);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
}

/* A nozzle with its tip at (@x, @y), and what carries it. */
static void
nozzle (Pens  *p,
        double x,
        double y)
{
  cairo_move_to (p->cr, x - 22.0, 4.0);
  cairo_line_to (p->cr, x + 22.0, 4.0);
  cairo_line_to (p->cr, x + 22.0, y - 20.0);
  cairo_line_to (p->cr, x + 8.0, y - 20.0);
  cairo_line_to (p->cr, x + 4.0, y);
  cairo_line_to (p->cr, x - 4.0, y);
  cairo_line_to (p->cr, x - 8.0, y - 20.0);
  cairo_line_to (p->cr, x - 22.0, y - 20.0);
  cairo_close_path (p->cr);
  solid (p, 0.12, 1.3);
}

void
rhyton_sketch_reference (const RhytonPens *p)
{
  const double x = 66.0, y = 80.0;

  held_work (p, x, y, 32.0, 22.0, 140.0);
  /* The ink, and the fattest ring that it reaches. */
  cairo_rectangle (p->cr, x + 44.0, y - 14.0, 52.0, 28.0);
  ink_with (p, p->ink, 0.2);
  cairo_fill (p->cr);
  const double at = 96.0, r = 32.0 + 22.0 * at / 140.0;
  dashed (p, p->accent, x + at, y - r - 8.0, x + at, y + r + 8.0);
  measure (p, x + at, y - r, x + at, y + r);
}

/* A dial stands on the work while it turns. */
void
rhyton_sketch_wobble (const RhytonPens *p)
{
  const double x = 66.0, y = 106.0;

  held_work (p, x, y, 26.0, 0.0, 150.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x + 110.0, 34.0, 20.0, 0.0, 2.0 * G_PI);
  stroke (p, p->ink, 1.4);
  line (p, p->ink, 1.4, x + 110.0, 54.0, x + 110.0, y - 27.0);
  line (p, p->soft, 1.0, x + 110.0, 34.0, x + 101.0, 21.0);
  line (p, p->accent, 1.8, x + 110.0, 34.0, x + 119.0, 21.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x + 110.0, 34.0, 13.0, -0.69 * G_PI, -0.31 * G_PI);
  stroke (p, p->accent, 1.5);
  cairo_new_path (p->cr);
  add_ellipse (p, x + 178.0, y, 8.0, 20.0, -0.8 * G_PI, 0.6 * G_PI);
  stroke (p, p->soft, 1.5);
}

void
rhyton_sketch_axis (const RhytonPens *p)
{
  table (p, 10.0, 250.0, 146.0);
  held_work (p, 60.0, 84.0, 30.0, 0.0, 120.0);
  line (p, p->soft, 1.2, 40.0, 118.0, 40.0, 146.0);
  line (p, p->soft, 1.2, 54.0, 118.0, 54.0, 146.0);
  dashed (p, p->accent, 196.0, 84.0, 232.0, 84.0);
  measure (p, 222.0, 146.0, 222.0, 84.0);
}

void
rhyton_sketch_nozzle_top (const RhytonPens *p)
{
  table (p, 10.0, 250.0, 146.0);
  nozzle (p, 110.0, 50.0);
  dashed (p, p->accent, 114.0, 50.0, 200.0, 50.0);
  measure (p, 190.0, 146.0, 190.0, 50.0);
  /* As far up as it goes. */
  line (p, p->soft, 2.0, 60.0, 4.0, 160.0, 4.0);
}

void
rhyton_sketch_distance (const RhytonPens *p)
{
  table (p, 10.0, 250.0, 152.0);
  held_work (p, 60.0, 114.0, 28.0, 0.0, 150.0);
  nozzle (p, 130.0, 54.0);
  dashed (p, p->accent, 134.0, 54.0, 176.0, 54.0);
  measure (p, 168.0, 54.0, 168.0, 86.0);
}

/* From the end: the clear space between two rollers under the work. */
void
rhyton_sketch_rollers (const RhytonPens *p)
{
  const double r = 20.0, half = 32.0, y = 122.0, work = 44.0;
  const double up = sqrt ((r + work) * (r + work) - half * half);

  table (p, 40.0, 220.0, y + r + 2.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, 130.0, y - up, work, 0.0, 2.0 * G_PI);
  solid (p, 0.06, 1.5);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_new_path (p->cr);
      cairo_arc (p->cr, 130.0 + side * half, y, r, 0.0, 2.0 * G_PI);
      solid (p, 0.15, 1.4);
    }
  measure (p, 130.0 - half + r, y, 130.0 + half - r, y);
}

/* ---- more of the machine's numbers ---- */

static void
disc (Pens  *p,
      double x,
      double y,
      double r,
      double shade)
{
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r, 0.0, 2.0 * G_PI);
  solid (p, shade, 1.4);
}

/* Along the work's axis: from the base to the ring that lies on the roller. */
void
rhyton_sketch_contact (const RhytonPens *p)
{
  const double x = 60.0, y = 66.0, at = 84.0;

  table (p, 10.0, 250.0, 140.0);
  cairo_rectangle (p->cr, x, y - 34.0, 140.0, 68.0);
  solid (p, 0.06, 1.4);
  disc (p, x + at, y + 34.0 + 18.0, 18.0, 0.15);
  dashed (p, p->accent, x, y - 34.0, x, 20.0);
  dashed (p, p->accent, x + at, y + 34.0, x + at, 20.0);
  measure (p, x, 24.0, x + at, 24.0);
  say (p, p->soft, x - 6.0, y + 4.0, 1.0, "base");
}

void
rhyton_sketch_support (const RhytonPens *p)
{
  const double x = 56.0, y = 68.0, at = 116.0;

  table (p, 10.0, 250.0, 140.0);
  held_work (p, x, y, 34.0, 0.0, 150.0);
  disc (p, x + at, y + 34.0 + 17.0, 17.0, 0.15);
  dashed (p, p->accent, x, y - 38.0, x, 14.0);
  dashed (p, p->accent, x + at, y + 34.0, x + at, 14.0);
  measure (p, x, 18.0, x + at, 18.0);
  say (p, p->soft, x + 4.0, y + 28.0, 0.0, "base");
}

/* A level shows how far a heavy piece hangs from the line of its chuck. */
void
rhyton_sketch_droop (const RhytonPens *p)
{
  const double x = 56.0, y = 60.0, droop = 0.14, reach = 176.0;

  table (p, 10.0, 250.0, 150.0);
  cairo_rectangle (p->cr, x - 30.0, y - 38.0, 30.0, 76.0);
  solid (p, 0.15, 1.4);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, droop);
  cairo_rectangle (p->cr, 0.0, -30.0, 150.0, 60.0);
  solid (p, 0.06, 1.4);
  /* The level, with its bubble. */
  cairo_rectangle (p->cr, 36.0, -44.0, 84.0, 13.0);
  solid (p, 0.1, 1.4);
  cairo_rectangle (p->cr, 66.0, -41.0, 24.0, 7.0);
  stroke (p, p->soft, 1.0);
  cairo_restore (p->cr);
  dashed (p, p->soft, x, y, 246.0, y);
  dashed (p, p->accent, x, y, x + (reach + 8.0) * cos (droop), y + (reach + 8.0) * sin (droop));
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, reach, 0.0, droop - 0.03);
  stroke (p, p->accent, 1.5);
  head (p, x + reach * cos (droop), y + reach * sin (droop), 0.5 * G_PI + droop);
}

/* The beam's waist is above the work by this. */
void
rhyton_sketch_defocus (const RhytonPens *p)
{
  const double waist = 84.0, work = 116.0;

  table (p, 40.0, 220.0, work);
  nozzle (p, 110.0, 40.0);
  for (int side = -1; side <= 1; side += 2)
    {
      line (p, p->accent, 1.2, 110.0 + side * 4.0, 40.0, 110.0 + side * 1.0, waist);
      line (p, p->accent, 1.2, 110.0 + side * 1.0, waist, 110.0 + side * 4.0, work);
    }
  dashed (p, p->accent, 114.0, waist, 176.0, waist);
  measure (p, 168.0, waist, 168.0, work);
  say (p, p->soft, 182.0, waist + 4.0, 0.0, "focus");
  say (p, p->soft, 130.0, 146.0, 0.5, "the work");
}

/* Lines burnt at several heights: those within this span are as fine as the best. */
void
rhyton_sketch_focus_depth (const RhytonPens *p)
{
  static const double widths[] = { 7.0, 4.5, 2.0, 1.5, 2.0, 4.5, 7.0 };

  nozzle (p, 60.0, 36.0);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (p->cr, 60.0 + side * 10.0, 40.0);
      cairo_curve_to (p->cr, 60.0 + side * 1.5, 80.0, 60.0 + side * 1.5, 100.0, 60.0 + side * 10.0, 146.0);
      stroke (p, p->accent, 1.2);
    }
  for (int i = 0; i < 7; i++)
    line (p, p->ink, widths[i], 120.0, 42.0 + 17.0 * i, 180.0, 42.0 + 17.0 * i);
  dashed (p, p->accent, 66.0, 70.0, 226.0, 70.0);
  dashed (p, p->accent, 66.0, 116.0, 226.0, 116.0);
  measure (p, 218.0, 70.0, 218.0, 116.0);
}

/* r: the nozzle's, w: of the body to one side, h: from the tip up to the body. */
void
rhyton_sketch_head (const RhytonPens *p)
{
  const double x = 120.0, tip = 128.0, under = 66.0;

  cairo_rectangle (p->cr, x - 62.0, 14.0, 124.0, under - 14.0);
  solid (p, 0.12, 1.4);
  cairo_rectangle (p->cr, x - 16.0, under, 32.0, tip - under);
  solid (p, 0.12, 1.4);
  dashed (p, p->accent, x, 4.0, x, 152.0);
  measure (p, x, 34.0, x + 62.0, 34.0);
  say (p, p->accent, x + 31.0, 52.0, 0.5, "w");
  dashed (p, p->accent, x + 62.0, under, 222.0, under);
  dashed (p, p->accent, x + 16.0, tip, 222.0, tip);
  measure (p, 214.0, under, 214.0, tip);
  say (p, p->accent, 220.0, 102.0, 0.0, "h");
  dashed (p, p->accent, x + 16.0, tip, x + 16.0, 152.0);
  line (p, p->accent, 1.5, x, 146.0, x + 16.0, 146.0);
  say (p, p->accent, x + 24.0, 151.0, 0.0, "r");
}

/* How far the chuck goes either way from level. */
void
rhyton_sketch_tilt_limits (const RhytonPens *p)
{
  const double x = 64.0, y = 84.0, reach = 150.0, up = -0.2, down = 0.42;

  cairo_rectangle (p->cr, x - 34.0, y - 34.0, 34.0, 68.0);
  solid (p, 0.15, 1.4);
  dashed (p, p->soft, x, y, x + reach + 24.0, y);
  for (int end = 0; end < 2; end++)
    {
      const double a = end == 0 ? up : down;
      dashed (p, p->accent, x, y, x + (reach + 10.0) * cos (a), y + (reach + 10.0) * sin (a));
      cairo_new_path (p->cr);
      if (a < 0.0)
        cairo_arc_negative (p->cr, x, y, reach, 0.0, a + 0.04);
      else
        cairo_arc (p->cr, x, y, reach, 0.0, a - 0.04);
      stroke (p, p->accent, 1.5);
      head (p, x + reach * cos (a), y + reach * sin (a), a + (a < 0.0 ? -0.5 : 0.5) * G_PI);
    }
  say (p, p->accent, x + reach + 12.0, y - 16.0, 0.0, "\u2212");
  say (p, p->accent, x + reach + 10.0, y + 38.0, 0.0, "+");
}

/* d: how much of the wall they cover, s: how far they stand out, R: of the chuck behind them. */
void
rhyton_sketch_jaws (const RhytonPens *p)
{
  const double x = 92.0, y = 84.0, r = 34.0;

  cairo_rectangle (p->cr, x - 50.0, y - 58.0, 30.0, 116.0);
  solid (p, 0.15, 1.4);
  cairo_rectangle (p->cr, x - 20.0, y - r, 160.0, 2.0 * r);
  solid (p, 0.06, 1.4);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_rectangle (p->cr, x - 20.0, side < 0 ? y - r - 14.0 : y + r, 44.0, 14.0);
      solid (p, 0.2, 1.4);
    }
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  line (p, p->ink, 1.0, x - 66.0, y, x + 156.0, y);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
  dashed (p, p->accent, x + 24.0, y - r - 14.0, x + 24.0, 14.0);
  dashed (p, p->accent, x - 20.0, y - r - 14.0, x - 20.0, 14.0);
  measure (p, x - 20.0, 20.0, x + 24.0, 20.0);
  say (p, p->accent, x + 32.0, 24.0, 0.0, "d");
  dashed (p, p->accent, x + 24.0, y - r - 14.0, x + 66.0, y - r - 14.0);
  line (p, p->accent, 1.5, x + 58.0, y - r - 14.0, x + 58.0, y - r);
  say (p, p->accent, x + 64.0, y - r - 3.0, 0.0, "s");
  measure (p, x - 58.0, y, x - 58.0, y - 58.0);
  dashed (p, p->accent, x - 66.0, y - 58.0, x - 50.0, y - 58.0);
  say (p, p->accent, x - 64.0, y - 24.0, 1.0, "R");
}

void
rhyton_sketch_tailstock (const RhytonPens *p)
{
  const double x = 50.0, y = 80.0, free_end = 170.0, r = 22.0;

  table (p, 10.0, 250.0, 146.0);
  held_work (p, x, y, 38.0, 0.0, free_end - x);
  cairo_rectangle (p->cr, free_end, y - r, 14.0, 2.0 * r);
  solid (p, 0.2, 1.4);
  cairo_rectangle (p->cr, free_end + 14.0, y - 8.0, 26.0, 16.0);
  solid (p, 0.15, 1.4);
  line (p, p->soft, 1.2, free_end + 30.0, y + 8.0, free_end + 30.0, 146.0);
  dashed (p, p->accent, free_end + 14.0, y - r, 236.0, y - r);
  measure (p, 228.0, y, 228.0, y - r);
}

/* r: of a pin, l: from the ball to what carries the pin. */
void
rhyton_sketch_pins (const RhytonPens *p)
{
  const double x = 130.0, y = 84.0, r = 46.0, pin = 8.0, length = 34.0;

  for (int side = -1; side <= 1; side += 2)
    {
      cairo_rectangle (p->cr, side < 0 ? x - r - length : x + r, y - pin, length, 2.0 * pin);
      solid (p, 0.2, 1.4);
      cairo_rectangle (p->cr, side < 0 ? x - r - length - 26.0 : x + r + length, y - 26.0, 26.0, 52.0);
      solid (p, 0.15, 1.4);
    }
  disc (p, x, y, r, 0.06);
  dashed (p, p->accent, x + r, y - pin, x + r, 24.0);
  dashed (p, p->accent, x + r + length, y - 26.0, x + r + length, 24.0);
  measure (p, x + r, 30.0, x + r + length, 30.0);
  say (p, p->accent, x + r + 0.5 * length, 22.0, 0.5, "l");
  dashed (p, p->accent, x - r - 4.0, y, x - r - 4.0, y + 46.0);
  dashed (p, p->accent, x - r - length, y + pin, x - r + 14.0, y + pin);
  line (p, p->accent, 1.5, x - r - 16.0, y, x - r - 16.0, y + pin);
  say (p, p->accent, x - r - 16.0, y + 26.0, 0.5, "r");
}

/* From where the head can go to where it can go, not the table's edge. */
void
rhyton_sketch_bed (const RhytonPens *p)
{
  cairo_rectangle (p->cr, 34.0, 10.0, 170.0, 124.0);
  stroke (p, p->soft, 1.2);
  cairo_rectangle (p->cr, 48.0, 22.0, 142.0, 96.0);
  solid (p, 0.06, 1.4);
  for (int corner = 0; corner < 2; corner++)
    cross (p, p->ink, corner == 0 ? 48.0 : 190.0, corner == 0 ? 118.0 : 22.0, 6.0);
  dashed (p, p->accent, 48.0, 118.0, 48.0, 152.0);
  dashed (p, p->accent, 190.0, 118.0, 190.0, 152.0);
  measure (p, 48.0, 146.0, 190.0, 146.0);
  say (p, p->accent, 198.0, 151.0, 0.0, "x");
  dashed (p, p->accent, 190.0, 22.0, 230.0, 22.0);
  dashed (p, p->accent, 190.0, 118.0, 230.0, 118.0);
  measure (p, 222.0, 22.0, 222.0, 118.0);
  say (p, p->accent, 230.0, 74.0, 0.0, "y");
}

/* ---- more of vessel and artwork ---- */

/* Lower and upper edge of what stands out, and how far. */
void
rhyton_sketch_zone_edges (const RhytonPens *p)
{
  const double x = 96.0, side = 136.0, low = 112.0, high = 52.0, out = 40.0;

  table (p, 20.0, 240.0, 140.0);
  glass (p, x, 140.0, 40.0, 40.0, 116.0);
  cairo_move_to (p->cr, side, high);
  cairo_curve_to (p->cr, side + 1.33 * out, high, side + 1.33 * out, low, side, low);
  cairo_curve_to (p->cr, side + 0.9 * out, low - 8.0, side + 0.9 * out, high + 8.0, side, high + 12.0);
  cairo_close_path (p->cr);
  solid (p, 0.2, 1.4);
  dashed (p, p->accent, side + 8.0, high, 240.0, high);
  dashed (p, p->accent, side + 8.0, low, 214.0, low);
  measure (p, 206.0, 140.0, 206.0, low);
  measure (p, 232.0, 140.0, 232.0, high);
  dashed (p, p->accent, side, high, side, 14.0);
  dashed (p, p->accent, side + out, 82.0, side + out, 14.0);
  measure (p, side, 20.0, side + out, 20.0);
}

/* From above: from the front to its middle, and from side to side. */
void
rhyton_sketch_zone_around (const RhytonPens *p)
{
  const double x = 118.0, y = 76.0, r = 42.0, middle = -0.25 * G_PI, half = 0.3;

  disc (p, x, y, r, 0.06);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r + 22.0, middle - half, middle + half);
  cairo_arc_negative (p->cr, x, y, r, middle + half, middle - half);
  cairo_close_path (p->cr);
  solid (p, 0.2, 1.4);
  dashed (p, p->soft, x, y, x, y + r + 14.0);
  dashed (p, p->accent, x, y, x + (r + 30.0) * cos (middle), y + (r + 30.0) * sin (middle));
  cairo_new_path (p->cr);
  cairo_arc_negative (p->cr, x, y, r + 8.0, 0.5 * G_PI, middle + half + 0.12);
  stroke (p, p->accent, 1.5);
  head (p, x + (r + 8.0) * cos (middle + half + 0.03), y + (r + 8.0) * sin (middle + half + 0.03), middle + half - 0.5 * G_PI);
  for (int end = -1; end <= 1; end += 2)
    dashed (p, p->accent, x, y, x + (r + 44.0) * cos (middle + end * half), y + (r + 44.0) * sin (middle + end * half));
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r + 36.0, middle - half + 0.06, middle + half - 0.06);
  stroke (p, p->accent, 1.5);
  head (p, x + (r + 36.0) * cos (middle + half), y + (r + 36.0) * sin (middle + half), middle + half + 0.5 * G_PI);
  head (p, x + (r + 36.0) * cos (middle - half), y + (r + 36.0) * sin (middle - half), middle - half - 0.5 * G_PI);
  say (p, p->soft, x, y + r + 28.0, 0.5, "front");
  say (p, p->soft, 10.0, 18.0, 0.0, "from above");
}

/* Up the wall, by a tape that lies on it, not upright beside the vessel. */
void
rhyton_sketch_tall (const RhytonPens *p)
{
  const double x = 118.0, lean = 22.0 / 118.0;

  table (p, 40.0, 230.0, 146.0);
  glass (p, x, 146.0, 36.0, 58.0, 120.0);
  cairo_rectangle (p->cr, x - 26.0, 64.0, 52.0, 44.0);
  solid (p, 0.15, 1.2);
  const double low = x + 36.0 + lean * (146.0 - 108.0), high = x + 36.0 + lean * (146.0 - 64.0), off = 16.0;
  dashed (p, p->accent, x + 26.0, 108.0, low + off + 4.0, 108.0);
  dashed (p, p->accent, x + 26.0, 64.0, high + off + 4.0, 64.0);
  measure (p, low + off, 108.0, high + off, 64.0);
}

/* Anticlockwise for somebody who faces it. */
void
rhyton_sketch_turn (const RhytonPens *p)
{
  const double x = 120.0, y = 92.0, turn = 0.4, reach = 70.0;

  table (p, 30.0, 230.0, 152.0);
  glass (p, x, 152.0, 48.0, 58.0, 132.0);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, -turn);
  cairo_rectangle (p->cr, -30.0, -18.0, 60.0, 36.0);
  solid (p, 0.15, 1.2);
  cairo_restore (p->cr);
  dashed (p, p->soft, x, y, x + reach + 14.0, y);
  dashed (p, p->accent, x, y, x + (reach + 14.0) * cos (turn), y - (reach + 14.0) * sin (turn));
  cairo_new_path (p->cr);
  cairo_arc_negative (p->cr, x, y, reach, 0.0, -turn + 0.08);
  stroke (p, p->accent, 1.5);
  head (p, x + reach * cos (turn), y - reach * sin (turn), -turn - 0.5 * G_PI);
  say (p, p->soft, x + reach + 18.0, y + 4.0, 0.0, "level");
}

/* Several readings of the same thing on one scale: from their middle to where two of three lie. */
void
rhyton_sketch_spread (const RhytonPens *p)
{
  static const double readings[] = { 84.0, 108.0, 116.0, 126.0, 130.0, 137.0, 146.0, 152.0, 181.0 };
  const double y = 96.0, middle = 131.0, u = 28.0;

  line (p, p->ink, 1.5, 20.0, y, 240.0, y);
  for (double x = 25.0; x <= 235.0; x += 10.0)
    line (p, p->ink, 0.9, x, y, x, y - (fmod (x - 25.0, 50.0) == 0.0 ? 14.0 : 8.0));
  for (gsize i = 0; i < G_N_ELEMENTS (readings); i++)
    {
      line (p, p->accent, 1.2, readings[i], y + 6.0, readings[i], y + 22.0);
      head (p, readings[i], y + 2.0, -0.5 * G_PI);
    }
  dashed (p, p->soft, middle, 26.0, middle, y);
  for (int side = -1; side <= 1; side += 2)
    dashed (p, p->accent, middle + side * u, 36.0, middle + side * u, y);
  measure (p, middle - u, 46.0, middle, 46.0);
  measure (p, middle, 46.0, middle + u, 46.0);
  say (p, p->accent, middle + u + 8.0, 50.0, 0.0, "u");
  say (p, p->soft, 130.0, 142.0, 0.5, "the same thing, read nine times");
}

/* Letters from their foot to their head, and how wide they come out. */
void
rhyton_sketch_lettering (const RhytonPens *p)
{
  cairo_text_extents_t e;
  const double x = 44.0, foot = 96.0;

  cairo_select_font_face (p->cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_BOLD);
  cairo_set_font_size (p->cr, 56.0);
  cairo_text_extents (p->cr, "ABC", &e);
  cairo_move_to (p->cr, x - e.x_bearing, foot);
  ink_with (p, p->ink, 0.75);
  cairo_show_text (p->cr, "ABC");
  const double right = x + e.width, top = foot + e.y_bearing;
  dashed (p, p->accent, right, top, right + 40.0, top);
  dashed (p, p->accent, right, foot, right + 40.0, foot);
  measure (p, right + 30.0, top, right + 30.0, foot);
  dashed (p, p->accent, x, foot, x, foot + 32.0);
  dashed (p, p->accent, right, foot, right, foot + 32.0);
  measure (p, x, foot + 26.0, right, foot + 26.0);
}

/* The lens as high as the vessel's middle, and how far it is from the axis. */
void
rhyton_sketch_camera (const RhytonPens *p)
{
  const double x = 48.0, lens = 206.0, y = 76.0;

  table (p, 10.0, 250.0, 132.0);
  glass (p, x, 132.0, 24.0, 32.0, 104.0);
  dashed (p, p->soft, x, 14.0, x, 154.0);
  dashed (p, p->soft, x, y, lens, y);
  /* What it sees. */
  dashed (p, p->soft, lens, y, x - 32.0, 20.0);
  dashed (p, p->soft, lens, y, x - 24.0, 140.0);
  cairo_rectangle (p->cr, lens, y - 8.0, 10.0, 16.0);
  solid (p, 0.12, 1.4);
  cairo_rectangle (p->cr, lens + 10.0, y - 20.0, 26.0, 40.0);
  solid (p, 0.15, 1.4);
  line (p, p->soft, 1.4, lens + 23.0, y + 20.0, lens + 23.0, 132.0);
  dashed (p, p->accent, lens, y + 8.0, lens, 154.0);
  measure (p, x, 148.0, lens, 148.0);
}
