/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-sketch.h"

#include <math.h>

#include "rhyton-look.h"
#include "rhyton-pens.h"

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

/* ---- things ---- */

static void
ruler (Pens  *p,
       double x,
       double top,
       double bottom)
{
  cairo_rectangle (p->cr, x, top, 14.0, bottom - top);
  rhyton_pens_stroke (p, p->ink, 1.2);
  int n = 0;
  for (double y = bottom - 5.0; y > top + 2.0; y -= 5.0)
    rhyton_pens_line (p, p->ink, 0.8, x, y, x + (++n % 5 == 0 ? 9.0 : 5.0), y);
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
  rhyton_pens_stroke (p, p->ink, 1.2);
  for (double tick = x - r - 6.0; tick < x + r + 30.0; tick += 5.0)
    rhyton_pens_line (p, p->ink, 0.7, tick, beam + 10.0, tick, beam + 6.0);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (p->cr, x + side * r, beam);
      cairo_line_to (p->cr, x + side * r, y - 12.0);
      cairo_line_to (p->cr, x + side * (r + 5.0), y - 12.0);
      cairo_line_to (p->cr, x + side * (r + 11.0), beam);
      cairo_close_path (p->cr);
      rhyton_pens_solid (p, 0.12, 1.2);
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
  rhyton_pens_ellipse (p, x, y - 4.0, r, 0.14 * r, 0.0, G_PI);
  cairo_line_to (p->cr, x - r, y + 4.0);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y + 4.0);
  cairo_scale (p->cr, r, 0.14 * r);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, G_PI, 0.0);
  cairo_restore (p->cr);
  cairo_close_path (p->cr);
  rhyton_pens_ink (p, c, 0.25);
  cairo_fill_preserve (p->cr);
  rhyton_pens_stroke (p, c, 1.3);
  for (double a = 0.15 * G_PI; a < 0.9 * G_PI; a += 0.1 * G_PI)
    rhyton_pens_line (p, c, 0.8, x + r * cos (a), y + 4.0 + 0.14 * r * sin (a), x + r * cos (a), y + 0.14 * r * sin (a));
  cairo_restore (p->cr);
}

/* ---- the vessel's numbers ---- */

static void
height_to (Pens    *p,
           gboolean mark)
{
  rhyton_pens_table (p, 30.0, 240.0, 140.0);
  rhyton_pens_glass (p, 100.0, 140.0, 30.0, 42.0, 104.0);
  if (mark)
    rhyton_pens_cross (p, p->accent, 100.0, 80.0, 7.0);
  else
    tape_round (p, p->soft, 100.0, 76.0, 37.0, 0.0);
  rhyton_pens_dashed (p, p->accent, mark ? 110.0 : 138.0, 80.0, 222.0, 80.0);
  ruler (p, 176.0, 22.0, 140.0);
  rhyton_pens_measure (p, 214.0, 140.0, 214.0, 80.0);
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

  rhyton_pens_table (p, 30.0, 240.0, 140.0);
  cairo_move_to (p->cr, 100.0 - r, level);
  cairo_line_to (p->cr, 70.0, 137.0);
  cairo_line_to (p->cr, 130.0, 137.0);
  cairo_line_to (p->cr, 100.0 + r, level);
  cairo_close_path (p->cr);
  rhyton_pens_ink (p, p->accent, 0.25);
  cairo_fill (p->cr);
  rhyton_pens_glass (p, 100.0, 140.0, 30.0, 42.0, 104.0);
  rhyton_pens_line (p, p->accent, 1.8, 100.0 - r, level, 100.0 + r, level);
  rhyton_pens_dashed (p, p->accent, 100.0 + r, level, 222.0, level);
  ruler (p, 176.0, 22.0, 140.0);
  rhyton_pens_measure (p, 214.0, 140.0, 214.0, level);
}

/* A straight bar lies on the rim. */
void
rhyton_sketch_overall (const RhytonPens *p)
{
  rhyton_pens_table (p, 30.0, 240.0, 140.0);
  rhyton_pens_glass (p, 100.0, 140.0, 30.0, 42.0, 104.0);
  cairo_rectangle (p->cr, 46.0, 22.0, 140.0, 8.0);
  rhyton_pens_solid (p, 0.12, 1.2);
  ruler (p, 176.0, 30.0, 140.0);
  rhyton_pens_dashed (p, p->accent, 186.0, 30.0, 222.0, 30.0);
  rhyton_pens_measure (p, 214.0, 140.0, 214.0, 30.0);
}

/* Along the slanting side, not upright beside it. */
void
rhyton_sketch_slant (const RhytonPens *p)
{
  const double x0 = 150.0, y0 = 137.0, x1 = 178.0, y1 = 30.0, off = 14.0;
  const double length = hypot (x1 - x0, y1 - y0), nx = -(y1 - y0) / length, ny = (x1 - x0) / length;

  rhyton_pens_table (p, 40.0, 240.0, 140.0);
  rhyton_pens_glass (p, 112.0, 140.0, 38.0, 66.0, 110.0);
  rhyton_pens_line (p, p->soft, 6.0, x0 + 3.0 * nx, y0 + 3.0 * ny, x1 + 3.0 * nx, y1 + 3.0 * ny);
  rhyton_pens_dashed (p, p->accent, x0, y0, x0 + (off + 6.0) * nx, y0 + (off + 6.0) * ny);
  rhyton_pens_dashed (p, p->accent, x1, y1, x1 + (off + 6.0) * nx, y1 + (off + 6.0) * ny);
  rhyton_pens_measure (p, x0 + off * nx, y0 + off * ny, x1 + off * nx, y1 + off * ny);
}

void
rhyton_sketch_diameter (const RhytonPens *p)
{
  const double x = 176.0, y = 72.0, r = 40.0;

  rhyton_pens_table (p, 10.0, 104.0, 140.0);
  rhyton_pens_glass (p, 56.0, 140.0, 24.0, 34.0, 100.0);
  rhyton_pens_dashed (p, p->accent, 14.0, 84.0, 100.0, 84.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r, 0.0, 2.0 * G_PI);
  rhyton_pens_solid (p, 0.06, 1.5);
  caliper_round (p, x, y, r);
  rhyton_pens_measure (p, x - r, y, x + r, y);
}

void
rhyton_sketch_circumference (const RhytonPens *p)
{
  rhyton_pens_table (p, 10.0, 250.0, 140.0);
  rhyton_pens_glass (p, 72.0, 140.0, 30.0, 42.0, 104.0);
  tape_round (p, p->accent, 72.0, 84.0, 36.0, 0.0);
  rhyton_pens_glass (p, 188.0, 140.0, 30.0, 42.0, 104.0);
  tape_round (p, p->soft, 188.0, 84.0, 36.0, 26.0);
  /* The one on the right is how not to. */
  rhyton_pens_line (p, p->ink, 2.0, 218.0, 12.0, 230.0, 24.0);
  rhyton_pens_line (p, p->ink, 2.0, 230.0, 12.0, 218.0, 24.0);
  rhyton_pens_line (p, p->accent, 2.0, 100.0, 18.0, 105.0, 24.0);
  rhyton_pens_line (p, p->accent, 2.0, 105.0, 24.0, 114.0, 11.0);
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
  rhyton_pens_hatch (p, 60.0, 40.0, 150.0, 165.0);
  cairo_append_path (p->cr, wall);
  cairo_path_destroy (wall);
  rhyton_pens_stroke (p, p->ink, 1.5);

  cairo_save (p->cr);
  cairo_translate (p->cr, 118.0, 62.0);
  cairo_rotate (p->cr, 0.18);
  cairo_rectangle (p->cr, -0.5 * t - 26.0, -40.0, 120.0, 12.0);
  rhyton_pens_stroke (p, p->ink, 1.2);
  for (double x = -0.5 * t - 20.0; x < 76.0; x += 5.0)
    rhyton_pens_line (p, p->ink, 0.7, x, -40.0, x, -36.0);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_move_to (p->cr, side * 0.5 * t, -28.0);
      cairo_line_to (p->cr, side * 0.5 * t, 34.0);
      cairo_line_to (p->cr, side * (0.5 * t + 4.0), 34.0);
      cairo_line_to (p->cr, side * (0.5 * t + 12.0), -28.0);
      cairo_close_path (p->cr);
      rhyton_pens_solid (p, 0.12, 1.2);
    }
  rhyton_pens_dashed (p, p->accent, -0.5 * t, 34.0, -0.5 * t, 62.0);
  rhyton_pens_dashed (p, p->accent, 0.5 * t, 34.0, 0.5 * t, 62.0);
  rhyton_pens_line (p, p->accent, 1.5, -0.5 * t - 18.0, 52.0, -0.5 * t, 52.0);
  rhyton_pens_head (p, -0.5 * t, 52.0, 0.0);
  rhyton_pens_line (p, p->accent, 1.5, 0.5 * t + 18.0, 52.0, 0.5 * t, 52.0);
  rhyton_pens_head (p, 0.5 * t, 52.0, G_PI);
  cairo_restore (p->cr);
  rhyton_pens_say (p, p->soft, 52.0, 140.0, 0.5, "inside");
  rhyton_pens_say (p, p->soft, 180.0, 140.0, 0.5, "outside");
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
  rhyton_pens_table (p, 20.0, 240.0, 140.0);
  add_cut_mug (p);
  rhyton_pens_hatch (p, 70.0, 30.0, 160.0, 140.0);
  add_cut_mug (p);
  rhyton_pens_stroke (p, p->ink, 1.5);
  /* A bar over the brim, a rod down from it. */
  cairo_rectangle (p->cr, 58.0, 22.0, 114.0, 8.0);
  rhyton_pens_stroke (p, p->ink, 1.2);
  cairo_rectangle (p->cr, 94.0, 10.0, 6.0, 108.0);
  rhyton_pens_solid (p, 0.12, 1.2);
  rhyton_pens_measure (p, 122.0, 30.0, 122.0, 118.0);
  rhyton_pens_say (p, p->accent, 128.0, 80.0, 0.0, "D");
  rhyton_pens_dashed (p, p->accent, 160.0, 30.0, 204.0, 30.0);
  rhyton_pens_measure (p, 196.0, 30.0, 196.0, 140.0);
  rhyton_pens_say (p, p->accent, 202.0, 90.0, 0.0, "H");
  rhyton_pens_dashed (p, p->accent, 78.0, 118.0, 34.0, 118.0);
  rhyton_pens_measure (p, 42.0, 118.0, 42.0, 140.0);
  rhyton_pens_say (p, p->accent, 42.0, 110.0, 0.5, "H \u2212 D");
}

void
rhyton_sketch_capacity (const RhytonPens *p)
{
  rhyton_pens_table (p, 20.0, 240.0, 150.0);
  /* Full to the brim, on kitchen scales. */
  cairo_move_to (p->cr, 48.0, 150.0);
  cairo_line_to (p->cr, 56.0, 122.0);
  cairo_line_to (p->cr, 128.0, 122.0);
  cairo_line_to (p->cr, 136.0, 150.0);
  cairo_close_path (p->cr);
  rhyton_pens_solid (p, 0.06, 1.3);
  rhyton_pens_line (p, p->ink, 2.0, 46.0, 118.0, 138.0, 118.0);
  cairo_rectangle (p->cr, 76.0, 129.0, 32.0, 14.0);
  rhyton_pens_stroke (p, p->soft, 1.0);
  rhyton_pens_say (p, p->ink, 92.0, 140.0, 0.5, "g");
  cairo_move_to (p->cr, 92.0 - 32.0, 26.0);
  cairo_line_to (p->cr, 92.0 - 24.0, 115.0);
  cairo_line_to (p->cr, 92.0 + 24.0, 115.0);
  cairo_line_to (p->cr, 92.0 + 32.0, 26.0);
  cairo_close_path (p->cr);
  rhyton_pens_ink (p, p->accent, 0.25);
  cairo_fill (p->cr);
  rhyton_pens_glass (p, 92.0, 117.0, 24.0, 32.0, 93.0);
  rhyton_pens_say (p, p->ink, 164.0, 62.0, 0.0, "full \u2212 empty");
  rhyton_pens_say (p, p->accent, 164.0, 84.0, 0.0, "1 g = 1 ml");
}

/* ---- where the artwork goes ---- */

void
rhyton_sketch_width (const RhytonPens *p)
{
  const double x = 130.0, r = 46.0, a0 = 0.28 * G_PI, a1 = 0.72 * G_PI;

  rhyton_pens_table (p, 40.0, 220.0, 144.0);
  rhyton_pens_glass (p, x, 144.0, 40.0, 52.0, 118.0);
  /* The ink's box, bent with the wall. */
  rhyton_pens_ellipse (p, x, 60.0, r + 1.5, 0.14 * r, a0, a1);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, 92.0);
  cairo_scale (p->cr, r - 1.5, 0.14 * r);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, a1, a0);
  cairo_restore (p->cr);
  cairo_close_path (p->cr);
  rhyton_pens_solid (p, 0.15, 1.2);
  /* The tape lies on the wall under it. */
  rhyton_pens_ellipse (p, x, 106.0, r - 2.0, 0.14 * r, a0, a1);
  rhyton_pens_stroke (p, p->accent, 1.8);
  for (int end = 0; end < 2; end++)
    {
      const double a = end == 0 ? a0 : a1;
      rhyton_pens_head (p, x + (r - 2.0) * cos (a), 106.0 + 0.14 * r * sin (a), end == 0 ? -0.12 : G_PI + 0.12);
      rhyton_pens_dashed (p, p->accent, x + r * cos (a), 70.0, x + (r - 2.0) * cos (a), 116.0);
    }
}

void
rhyton_sketch_around (const RhytonPens *p)
{
  const double x = 130.0, y = 72.0, r = 46.0, to = 0.5 * G_PI - G_PI / 3.0;

  cairo_arc (p->cr, x, y, r, 0.0, 2.0 * G_PI);
  rhyton_pens_solid (p, 0.06, 1.5);
  /* A handle, at the back. */
  cairo_rectangle (p->cr, x - 6.0, y - r - 18.0, 12.0, 18.0);
  rhyton_pens_stroke (p, p->soft, 1.2);
  rhyton_pens_dashed (p, p->soft, x, y, x, y + r + 12.0);
  rhyton_pens_dashed (p, p->accent, x, y, x + (r + 12.0) * cos (to), y + (r + 12.0) * sin (to));
  cairo_arc_negative (p->cr, x, y, r + 7.0, 0.5 * G_PI, to + 0.1);
  rhyton_pens_stroke (p, p->accent, 1.5);
  rhyton_pens_head (p, x + (r + 7.0) * cos (to), y + (r + 7.0) * sin (to), to - 0.5 * G_PI);
  cairo_arc (p->cr, x + r * cos (to), y + r * sin (to), 4.0, 0.0, 2.0 * G_PI);
  rhyton_pens_ink (p, p->accent, 1.0);
  cairo_fill (p->cr);
  rhyton_pens_say (p, p->soft, x, y + r + 26.0, 0.5, "front");
  rhyton_pens_say (p, p->soft, 12.0, 20.0, 0.0, "from above");
}

void
rhyton_sketch_eye (const RhytonPens *p)
{
  rhyton_pens_table (p, 10.0, 250.0, 134.0);
  rhyton_pens_glass (p, 50.0, 134.0, 22.0, 30.0, 90.0);
  rhyton_pens_dashed (p, p->soft, 50.0, 30.0, 50.0, 152.0);
  rhyton_pens_dashed (p, p->soft, 62.0, 92.0, 208.0, 46.0);
  rhyton_pens_cross (p, p->ink, 54.0, 94.0, 5.0);
  /* The eye. */
  cairo_move_to (p->cr, 204.0, 46.0);
  cairo_curve_to (p->cr, 210.0, 36.0, 222.0, 36.0, 228.0, 46.0);
  cairo_curve_to (p->cr, 222.0, 55.0, 210.0, 55.0, 204.0, 46.0);
  rhyton_pens_stroke (p, p->ink, 1.5);
  cairo_arc (p->cr, 214.0, 46.0, 4.0, 0.0, 2.0 * G_PI);
  rhyton_pens_ink (p, p->ink, 1.0);
  cairo_fill (p->cr);
  rhyton_pens_measure (p, 240.0, 134.0, 240.0, 46.0);
  rhyton_pens_dashed (p, p->accent, 216.0, 56.0, 216.0, 152.0);
  rhyton_pens_measure (p, 50.0, 150.0, 216.0, 150.0);
}

/* ---- more of both ---- */

/* Lower and upper edge of what stands out, and how far. */
void
rhyton_sketch_zone_edges (const RhytonPens *p)
{
  const double x = 96.0, side = 136.0, low = 112.0, high = 52.0, out = 40.0;

  rhyton_pens_table (p, 20.0, 240.0, 140.0);
  rhyton_pens_glass (p, x, 140.0, 40.0, 40.0, 116.0);
  cairo_move_to (p->cr, side, high);
  cairo_curve_to (p->cr, side + 1.33 * out, high, side + 1.33 * out, low, side, low);
  cairo_curve_to (p->cr, side + 0.9 * out, low - 8.0, side + 0.9 * out, high + 8.0, side, high + 12.0);
  cairo_close_path (p->cr);
  rhyton_pens_solid (p, 0.2, 1.4);
  rhyton_pens_dashed (p, p->accent, side + 8.0, high, 240.0, high);
  rhyton_pens_dashed (p, p->accent, side + 8.0, low, 214.0, low);
  rhyton_pens_measure (p, 206.0, 140.0, 206.0, low);
  rhyton_pens_measure (p, 232.0, 140.0, 232.0, high);
  rhyton_pens_dashed (p, p->accent, side, high, side, 14.0);
  rhyton_pens_dashed (p, p->accent, side + out, 82.0, side + out, 14.0);
  rhyton_pens_measure (p, side, 20.0, side + out, 20.0);
}

/* From above: from the front to its middle, and from side to side. */
void
rhyton_sketch_zone_around (const RhytonPens *p)
{
  const double x = 118.0, y = 76.0, r = 42.0, middle = -0.25 * G_PI, half = 0.3;

  rhyton_pens_disc (p, x, y, r, 0.06);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r + 22.0, middle - half, middle + half);
  cairo_arc_negative (p->cr, x, y, r, middle + half, middle - half);
  cairo_close_path (p->cr);
  rhyton_pens_solid (p, 0.2, 1.4);
  rhyton_pens_dashed (p, p->soft, x, y, x, y + r + 14.0);
  rhyton_pens_dashed (p, p->accent, x, y, x + (r + 30.0) * cos (middle), y + (r + 30.0) * sin (middle));
  cairo_new_path (p->cr);
  cairo_arc_negative (p->cr, x, y, r + 8.0, 0.5 * G_PI, middle + half + 0.12);
  rhyton_pens_stroke (p, p->accent, 1.5);
  rhyton_pens_head (p, x + (r + 8.0) * cos (middle + half + 0.03), y + (r + 8.0) * sin (middle + half + 0.03), middle + half - 0.5 * G_PI);
  for (int end = -1; end <= 1; end += 2)
    rhyton_pens_dashed (p, p->accent, x, y, x + (r + 44.0) * cos (middle + end * half), y + (r + 44.0) * sin (middle + end * half));
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r + 36.0, middle - half + 0.06, middle + half - 0.06);
  rhyton_pens_stroke (p, p->accent, 1.5);
  rhyton_pens_head (p, x + (r + 36.0) * cos (middle + half), y + (r + 36.0) * sin (middle + half), middle + half + 0.5 * G_PI);
  rhyton_pens_head (p, x + (r + 36.0) * cos (middle - half), y + (r + 36.0) * sin (middle - half), middle - half - 0.5 * G_PI);
  rhyton_pens_say (p, p->soft, x, y + r + 28.0, 0.5, "front");
  rhyton_pens_say (p, p->soft, 10.0, 18.0, 0.0, "from above");
}

/* Up the wall, by a tape that lies on it, not upright beside the vessel. */
void
rhyton_sketch_tall (const RhytonPens *p)
{
  const double x = 118.0, lean = 22.0 / 118.0;

  rhyton_pens_table (p, 40.0, 230.0, 146.0);
  rhyton_pens_glass (p, x, 146.0, 36.0, 58.0, 120.0);
  cairo_rectangle (p->cr, x - 26.0, 64.0, 52.0, 44.0);
  rhyton_pens_solid (p, 0.15, 1.2);
  const double low = x + 36.0 + lean * (146.0 - 108.0), high = x + 36.0 + lean * (146.0 - 64.0), off = 16.0;
  rhyton_pens_dashed (p, p->accent, x + 26.0, 108.0, low + off + 4.0, 108.0);
  rhyton_pens_dashed (p, p->accent, x + 26.0, 64.0, high + off + 4.0, 64.0);
  rhyton_pens_measure (p, low + off, 108.0, high + off, 64.0);
}

/* Anticlockwise for somebody who faces it. */
void
rhyton_sketch_turn (const RhytonPens *p)
{
  const double x = 120.0, y = 92.0, turn = 0.4, reach = 70.0;

  rhyton_pens_table (p, 30.0, 230.0, 152.0);
  rhyton_pens_glass (p, x, 152.0, 48.0, 58.0, 132.0);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, -turn);
  cairo_rectangle (p->cr, -30.0, -18.0, 60.0, 36.0);
  rhyton_pens_solid (p, 0.15, 1.2);
  cairo_restore (p->cr);
  rhyton_pens_dashed (p, p->soft, x, y, x + reach + 14.0, y);
  rhyton_pens_dashed (p, p->accent, x, y, x + (reach + 14.0) * cos (turn), y - (reach + 14.0) * sin (turn));
  cairo_new_path (p->cr);
  cairo_arc_negative (p->cr, x, y, reach, 0.0, -turn + 0.08);
  rhyton_pens_stroke (p, p->accent, 1.5);
  rhyton_pens_head (p, x + reach * cos (turn), y - reach * sin (turn), -turn - 0.5 * G_PI);
  rhyton_pens_say (p, p->soft, x + reach + 18.0, y + 4.0, 0.0, "level");
}

/* Several readings of the same thing on one scale: from their middle to where two of three lie. */
void
rhyton_sketch_spread (const RhytonPens *p)
{
  static const double readings[] = { 84.0, 108.0, 116.0, 126.0, 130.0, 137.0, 146.0, 152.0, 181.0 };
  const double y = 96.0, middle = 131.0, u = 28.0;

  rhyton_pens_line (p, p->ink, 1.5, 20.0, y, 240.0, y);
  for (double x = 25.0; x <= 235.0; x += 10.0)
    rhyton_pens_line (p, p->ink, 0.9, x, y, x, y - (fmod (x - 25.0, 50.0) == 0.0 ? 14.0 : 8.0));
  for (gsize i = 0; i < G_N_ELEMENTS (readings); i++)
    {
      rhyton_pens_line (p, p->accent, 1.2, readings[i], y + 6.0, readings[i], y + 22.0);
      rhyton_pens_head (p, readings[i], y + 2.0, -0.5 * G_PI);
    }
  rhyton_pens_dashed (p, p->soft, middle, 26.0, middle, y);
  for (int side = -1; side <= 1; side += 2)
    rhyton_pens_dashed (p, p->accent, middle + side * u, 36.0, middle + side * u, y);
  rhyton_pens_measure (p, middle - u, 46.0, middle, 46.0);
  rhyton_pens_measure (p, middle, 46.0, middle + u, 46.0);
  rhyton_pens_say (p, p->accent, middle + u + 8.0, 50.0, 0.0, "u");
  rhyton_pens_say (p, p->soft, 130.0, 142.0, 0.5, "the same thing, read nine times");
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
  rhyton_pens_ink (p, p->ink, 0.75);
  cairo_show_text (p->cr, "ABC");
  const double right = x + e.width, top = foot + e.y_bearing;
  rhyton_pens_dashed (p, p->accent, right, top, right + 40.0, top);
  rhyton_pens_dashed (p, p->accent, right, foot, right + 40.0, foot);
  rhyton_pens_measure (p, right + 30.0, top, right + 30.0, foot);
  rhyton_pens_dashed (p, p->accent, x, foot, x, foot + 32.0);
  rhyton_pens_dashed (p, p->accent, right, foot, right, foot + 32.0);
  rhyton_pens_measure (p, x, foot + 26.0, right, foot + 26.0);
}

/* The lens as high as the vessel's middle, and how far it is from the axis. */
void
rhyton_sketch_camera (const RhytonPens *p)
{
  const double x = 48.0, lens = 206.0, y = 76.0;

  rhyton_pens_table (p, 10.0, 250.0, 132.0);
  rhyton_pens_glass (p, x, 132.0, 24.0, 32.0, 104.0);
  rhyton_pens_dashed (p, p->soft, x, 14.0, x, 154.0);
  rhyton_pens_dashed (p, p->soft, x, y, lens, y);
  /* What it sees. */
  rhyton_pens_dashed (p, p->soft, lens, y, x - 32.0, 20.0);
  rhyton_pens_dashed (p, p->soft, lens, y, x - 24.0, 140.0);
  cairo_rectangle (p->cr, lens, y - 8.0, 10.0, 16.0);
  rhyton_pens_solid (p, 0.12, 1.4);
  cairo_rectangle (p->cr, lens + 10.0, y - 20.0, 26.0, 40.0);
  rhyton_pens_solid (p, 0.15, 1.4);
  rhyton_pens_line (p, p->soft, 1.4, lens + 23.0, y + 20.0, lens + 23.0, 132.0);
  rhyton_pens_dashed (p, p->accent, lens, y + 8.0, lens, 154.0);
  rhyton_pens_measure (p, x, 148.0, lens, 148.0);
}
