/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-sketch.h"

#include <math.h>

#include "rhyton-pens.h"

typedef const RhytonPens Pens;

/* ---- the machine's numbers ---- */

/* The axis dips towards the mouth, which counts plus, until the line under the head is level. */
void
rhyton_sketch_tilt (const RhytonPens *p)
{
  const double tilt = 0.16, x = 50.0, y = 64.0, reach = 164.0;

  rhyton_pens_table (p, 10.0, 250.0, 150.0);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, tilt);
  cairo_rectangle (p->cr, -34.0, -32.0, 30.0, 64.0);
  rhyton_pens_solid (p, 0.15, 1.3);
  cairo_move_to (p->cr, -4.0, -26.0);
  cairo_line_to (p->cr, 126.0, -26.0 - 130.0 * tan (tilt));
  cairo_line_to (p->cr, 126.0, 26.0 + 130.0 * tan (tilt));
  cairo_line_to (p->cr, -4.0, 26.0);
  cairo_close_path (p->cr);
  rhyton_pens_solid (p, 0.06, 1.5);
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  rhyton_pens_line (p, p->ink, 1.0, -40.0, 0.0, 186.0, 0.0);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
  cairo_restore (p->cr);
  rhyton_pens_dashed (p, p->soft, x, y, 240.0, y);
  cairo_arc (p->cr, x, y, reach, 0.0, tilt);
  rhyton_pens_stroke (p, p->accent, 1.5);
  rhyton_pens_head (p, x + reach * cos (tilt), y + reach * sin (tilt), 0.5 * G_PI + tilt);
  rhyton_pens_say (p, p->soft, 244.0, y - 6.0, 1.0, "level");
}

/* A line as long as a turn on the sheet comes out as a ring that closes. */
void
rhyton_sketch_travel (const RhytonPens *p)
{
  const double x = 186.0, y = 82.0, half = 48.0, r = 40.0, flat = 9.0;

  cairo_rectangle (p->cr, 24.0, 14.0, 64.0, 132.0);
  rhyton_pens_stroke (p, p->soft, 1.2);
  rhyton_pens_measure (p, 56.0, 22.0, 56.0, 138.0);
  rhyton_pens_line (p, p->ink, 1.5, 102.0, 80.0, 116.0, 80.0);
  rhyton_pens_line (p, p->ink, 1.5, 116.0, 80.0, 111.0, 76.0);
  rhyton_pens_line (p, p->ink, 1.5, 116.0, 80.0, 111.0, 84.0);

  cairo_move_to (p->cr, x + half, y - r);
  cairo_line_to (p->cr, x - half, y - r);
  cairo_save (p->cr);
  cairo_translate (p->cr, x - half, y);
  cairo_scale (p->cr, flat, r);
  cairo_arc_negative (p->cr, 0.0, 0.0, 1.0, -0.5 * G_PI, 0.5 * G_PI);
  cairo_restore (p->cr);
  cairo_line_to (p->cr, x + half, y + r);
  rhyton_pens_solid (p, 0.06, 1.5);
  cairo_new_sub_path (p->cr);
  rhyton_pens_ellipse (p, x + half, y, flat, r, 0.0, 2.0 * G_PI);
  rhyton_pens_stroke (p, p->ink, 1.5);
  rhyton_pens_ellipse (p, x, y, flat, r, 0.5 * G_PI, 1.5 * G_PI);
  rhyton_pens_stroke (p, p->accent, 2.0);
  cairo_set_dash (p->cr, (const double[]) { 3.0, 3.0 }, 2, 0.0);
  rhyton_pens_ellipse (p, x, y, flat, r, -0.5 * G_PI, 0.5 * G_PI);
  rhyton_pens_stroke (p, p->accent, 1.2);
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
  rhyton_pens_solid (p, 0.15, 1.3);
  cairo_move_to (p->cr, x, y - r);
  cairo_line_to (p->cr, x + length, y - r - grow);
  cairo_line_to (p->cr, x + length, y + r + grow);
  cairo_line_to (p->cr, x, y + r);
  cairo_close_path (p->cr);
  rhyton_pens_solid (p, 0.06, 1.5);
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  rhyton_pens_line (p, p->ink, 1.0, x - 34.0, y, x + length + 16.0, y);
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
  rhyton_pens_solid (p, 0.12, 1.3);
}

void
rhyton_sketch_reference (const RhytonPens *p)
{
  const double x = 66.0, y = 80.0;

  held_work (p, x, y, 32.0, 22.0, 140.0);
  /* The ink, and the fattest ring that it reaches. */
  cairo_rectangle (p->cr, x + 44.0, y - 14.0, 52.0, 28.0);
  rhyton_pens_ink (p, p->ink, 0.2);
  cairo_fill (p->cr);
  const double at = 96.0, r = 32.0 + 22.0 * at / 140.0;
  rhyton_pens_dashed (p, p->accent, x + at, y - r - 8.0, x + at, y + r + 8.0);
  rhyton_pens_measure (p, x + at, y - r, x + at, y + r);
}

/* A dial stands on the work while it turns. */
void
rhyton_sketch_wobble (const RhytonPens *p)
{
  const double x = 66.0, y = 106.0;

  held_work (p, x, y, 26.0, 0.0, 150.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x + 110.0, 34.0, 20.0, 0.0, 2.0 * G_PI);
  rhyton_pens_stroke (p, p->ink, 1.4);
  rhyton_pens_line (p, p->ink, 1.4, x + 110.0, 54.0, x + 110.0, y - 27.0);
  rhyton_pens_line (p, p->soft, 1.0, x + 110.0, 34.0, x + 101.0, 21.0);
  rhyton_pens_line (p, p->accent, 1.8, x + 110.0, 34.0, x + 119.0, 21.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x + 110.0, 34.0, 13.0, -0.69 * G_PI, -0.31 * G_PI);
  rhyton_pens_stroke (p, p->accent, 1.5);
  cairo_new_path (p->cr);
  rhyton_pens_ellipse (p, x + 178.0, y, 8.0, 20.0, -0.8 * G_PI, 0.6 * G_PI);
  rhyton_pens_stroke (p, p->soft, 1.5);
}

void
rhyton_sketch_axis (const RhytonPens *p)
{
  rhyton_pens_table (p, 10.0, 250.0, 146.0);
  held_work (p, 60.0, 84.0, 30.0, 0.0, 120.0);
  rhyton_pens_line (p, p->soft, 1.2, 40.0, 118.0, 40.0, 146.0);
  rhyton_pens_line (p, p->soft, 1.2, 54.0, 118.0, 54.0, 146.0);
  rhyton_pens_dashed (p, p->accent, 196.0, 84.0, 232.0, 84.0);
  rhyton_pens_measure (p, 222.0, 146.0, 222.0, 84.0);
}

void
rhyton_sketch_nozzle_top (const RhytonPens *p)
{
  rhyton_pens_table (p, 10.0, 250.0, 146.0);
  nozzle (p, 110.0, 50.0);
  rhyton_pens_dashed (p, p->accent, 114.0, 50.0, 200.0, 50.0);
  rhyton_pens_measure (p, 190.0, 146.0, 190.0, 50.0);
  /* As far up as it goes. */
  rhyton_pens_line (p, p->soft, 2.0, 60.0, 4.0, 160.0, 4.0);
}

void
rhyton_sketch_distance (const RhytonPens *p)
{
  rhyton_pens_table (p, 10.0, 250.0, 152.0);
  held_work (p, 60.0, 114.0, 28.0, 0.0, 150.0);
  nozzle (p, 130.0, 54.0);
  rhyton_pens_dashed (p, p->accent, 134.0, 54.0, 176.0, 54.0);
  rhyton_pens_measure (p, 168.0, 54.0, 168.0, 86.0);
}

/* From the end: the clear space between two rollers under the work. */
void
rhyton_sketch_rollers (const RhytonPens *p)
{
  const double r = 20.0, half = 32.0, y = 122.0, work = 44.0;
  const double up = sqrt ((r + work) * (r + work) - half * half);

  rhyton_pens_table (p, 40.0, 220.0, y + r + 2.0);
  cairo_new_path (p->cr);
  cairo_arc (p->cr, 130.0, y - up, work, 0.0, 2.0 * G_PI);
  rhyton_pens_solid (p, 0.06, 1.5);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_new_path (p->cr);
      cairo_arc (p->cr, 130.0 + side * half, y, r, 0.0, 2.0 * G_PI);
      rhyton_pens_solid (p, 0.15, 1.4);
    }
  rhyton_pens_measure (p, 130.0 - half + r, y, 130.0 + half - r, y);
}

/* Along the work's axis: from the base to the ring that lies on the roller. */
void
rhyton_sketch_contact (const RhytonPens *p)
{
  const double x = 60.0, y = 66.0, at = 84.0;

  rhyton_pens_table (p, 10.0, 250.0, 140.0);
  cairo_rectangle (p->cr, x, y - 34.0, 140.0, 68.0);
  rhyton_pens_solid (p, 0.06, 1.4);
  rhyton_pens_disc (p, x + at, y + 34.0 + 18.0, 18.0, 0.15);
  rhyton_pens_dashed (p, p->accent, x, y - 34.0, x, 20.0);
  rhyton_pens_dashed (p, p->accent, x + at, y + 34.0, x + at, 20.0);
  rhyton_pens_measure (p, x, 24.0, x + at, 24.0);
  rhyton_pens_say (p, p->soft, x - 6.0, y + 4.0, 1.0, "base");
}

void
rhyton_sketch_support (const RhytonPens *p)
{
  const double x = 56.0, y = 68.0, at = 116.0;

  rhyton_pens_table (p, 10.0, 250.0, 140.0);
  held_work (p, x, y, 34.0, 0.0, 150.0);
  rhyton_pens_disc (p, x + at, y + 34.0 + 17.0, 17.0, 0.15);
  rhyton_pens_dashed (p, p->accent, x, y - 38.0, x, 14.0);
  rhyton_pens_dashed (p, p->accent, x + at, y + 34.0, x + at, 14.0);
  rhyton_pens_measure (p, x, 18.0, x + at, 18.0);
  rhyton_pens_say (p, p->soft, x + 4.0, y + 28.0, 0.0, "base");
}

/* A level shows how far a heavy piece hangs from the line of its chuck. */
void
rhyton_sketch_droop (const RhytonPens *p)
{
  const double x = 56.0, y = 60.0, droop = 0.14, reach = 176.0;

  rhyton_pens_table (p, 10.0, 250.0, 150.0);
  cairo_rectangle (p->cr, x - 30.0, y - 38.0, 30.0, 76.0);
  rhyton_pens_solid (p, 0.15, 1.4);
  cairo_save (p->cr);
  cairo_translate (p->cr, x, y);
  cairo_rotate (p->cr, droop);
  cairo_rectangle (p->cr, 0.0, -30.0, 150.0, 60.0);
  rhyton_pens_solid (p, 0.06, 1.4);
  /* The level, with its bubble. */
  cairo_rectangle (p->cr, 36.0, -44.0, 84.0, 13.0);
  rhyton_pens_solid (p, 0.1, 1.4);
  cairo_rectangle (p->cr, 66.0, -41.0, 24.0, 7.0);
  rhyton_pens_stroke (p, p->soft, 1.0);
  cairo_restore (p->cr);
  rhyton_pens_dashed (p, p->soft, x, y, 246.0, y);
  rhyton_pens_dashed (p, p->accent, x, y, x + (reach + 8.0) * cos (droop), y + (reach + 8.0) * sin (droop));
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, reach, 0.0, droop - 0.03);
  rhyton_pens_stroke (p, p->accent, 1.5);
  rhyton_pens_head (p, x + reach * cos (droop), y + reach * sin (droop), 0.5 * G_PI + droop);
}

/* The beam's waist is above the work by this. */
void
rhyton_sketch_defocus (const RhytonPens *p)
{
  const double waist = 84.0, work = 116.0;

  rhyton_pens_table (p, 40.0, 220.0, work);
  nozzle (p, 110.0, 40.0);
  for (int side = -1; side <= 1; side += 2)
    {
      rhyton_pens_line (p, p->accent, 1.2, 110.0 + side * 4.0, 40.0, 110.0 + side * 1.0, waist);
      rhyton_pens_line (p, p->accent, 1.2, 110.0 + side * 1.0, waist, 110.0 + side * 4.0, work);
    }
  rhyton_pens_dashed (p, p->accent, 114.0, waist, 176.0, waist);
  rhyton_pens_measure (p, 168.0, waist, 168.0, work);
  rhyton_pens_say (p, p->soft, 182.0, waist + 4.0, 0.0, "focus");
  rhyton_pens_say (p, p->soft, 130.0, 146.0, 0.5, "the work");
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
      rhyton_pens_stroke (p, p->accent, 1.2);
    }
  for (int i = 0; i < 7; i++)
    rhyton_pens_line (p, p->ink, widths[i], 120.0, 42.0 + 17.0 * i, 180.0, 42.0 + 17.0 * i);
  rhyton_pens_dashed (p, p->accent, 66.0, 70.0, 226.0, 70.0);
  rhyton_pens_dashed (p, p->accent, 66.0, 116.0, 226.0, 116.0);
  rhyton_pens_measure (p, 218.0, 70.0, 218.0, 116.0);
}

/* r: the nozzle's, w: of the body to one side, h: from the tip up to the body. */
void
rhyton_sketch_head (const RhytonPens *p)
{
  const double x = 120.0, tip = 128.0, under = 66.0;

  cairo_rectangle (p->cr, x - 62.0, 14.0, 124.0, under - 14.0);
  rhyton_pens_solid (p, 0.12, 1.4);
  cairo_rectangle (p->cr, x - 16.0, under, 32.0, tip - under);
  rhyton_pens_solid (p, 0.12, 1.4);
  rhyton_pens_dashed (p, p->accent, x, 4.0, x, 152.0);
  rhyton_pens_measure (p, x, 34.0, x + 62.0, 34.0);
  rhyton_pens_say (p, p->accent, x + 31.0, 52.0, 0.5, "w");
  rhyton_pens_dashed (p, p->accent, x + 62.0, under, 222.0, under);
  rhyton_pens_dashed (p, p->accent, x + 16.0, tip, 222.0, tip);
  rhyton_pens_measure (p, 214.0, under, 214.0, tip);
  rhyton_pens_say (p, p->accent, 220.0, 102.0, 0.0, "h");
  rhyton_pens_dashed (p, p->accent, x + 16.0, tip, x + 16.0, 152.0);
  rhyton_pens_line (p, p->accent, 1.5, x, 146.0, x + 16.0, 146.0);
  rhyton_pens_say (p, p->accent, x + 24.0, 151.0, 0.0, "r");
}

/* How far the chuck goes either way from level. */
void
rhyton_sketch_tilt_limits (const RhytonPens *p)
{
  const double x = 64.0, y = 84.0, reach = 150.0, up = -0.2, down = 0.42;

  cairo_rectangle (p->cr, x - 34.0, y - 34.0, 34.0, 68.0);
  rhyton_pens_solid (p, 0.15, 1.4);
  rhyton_pens_dashed (p, p->soft, x, y, x + reach + 24.0, y);
  for (int end = 0; end < 2; end++)
    {
      const double a = end == 0 ? up : down;
      rhyton_pens_dashed (p, p->accent, x, y, x + (reach + 10.0) * cos (a), y + (reach + 10.0) * sin (a));
      cairo_new_path (p->cr);
      if (a < 0.0)
        cairo_arc_negative (p->cr, x, y, reach, 0.0, a + 0.04);
      else
        cairo_arc (p->cr, x, y, reach, 0.0, a - 0.04);
      rhyton_pens_stroke (p, p->accent, 1.5);
      rhyton_pens_head (p, x + reach * cos (a), y + reach * sin (a), a + (a < 0.0 ? -0.5 : 0.5) * G_PI);
    }
  rhyton_pens_say (p, p->accent, x + reach + 12.0, y - 16.0, 0.0, "\u2212");
  rhyton_pens_say (p, p->accent, x + reach + 10.0, y + 38.0, 0.0, "+");
}

/* d: how much of the wall they cover, s: how far they stand out, R: of the chuck behind them. */
void
rhyton_sketch_jaws (const RhytonPens *p)
{
  const double x = 92.0, y = 84.0, r = 34.0;

  cairo_rectangle (p->cr, x - 50.0, y - 58.0, 30.0, 116.0);
  rhyton_pens_solid (p, 0.15, 1.4);
  cairo_rectangle (p->cr, x - 20.0, y - r, 160.0, 2.0 * r);
  rhyton_pens_solid (p, 0.06, 1.4);
  for (int side = -1; side <= 1; side += 2)
    {
      cairo_rectangle (p->cr, x - 20.0, side < 0 ? y - r - 14.0 : y + r, 44.0, 14.0);
      rhyton_pens_solid (p, 0.2, 1.4);
    }
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  rhyton_pens_line (p, p->ink, 1.0, x - 66.0, y, x + 156.0, y);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
  rhyton_pens_dashed (p, p->accent, x + 24.0, y - r - 14.0, x + 24.0, 14.0);
  rhyton_pens_dashed (p, p->accent, x - 20.0, y - r - 14.0, x - 20.0, 14.0);
  rhyton_pens_measure (p, x - 20.0, 20.0, x + 24.0, 20.0);
  rhyton_pens_say (p, p->accent, x + 32.0, 24.0, 0.0, "d");
  rhyton_pens_dashed (p, p->accent, x + 24.0, y - r - 14.0, x + 66.0, y - r - 14.0);
  rhyton_pens_line (p, p->accent, 1.5, x + 58.0, y - r - 14.0, x + 58.0, y - r);
  rhyton_pens_say (p, p->accent, x + 64.0, y - r - 3.0, 0.0, "s");
  rhyton_pens_measure (p, x - 58.0, y, x - 58.0, y - 58.0);
  rhyton_pens_dashed (p, p->accent, x - 66.0, y - 58.0, x - 50.0, y - 58.0);
  rhyton_pens_say (p, p->accent, x - 64.0, y - 24.0, 1.0, "R");
}

void
rhyton_sketch_tailstock (const RhytonPens *p)
{
  const double x = 50.0, y = 80.0, free_end = 170.0, r = 22.0;

  rhyton_pens_table (p, 10.0, 250.0, 146.0);
  held_work (p, x, y, 38.0, 0.0, free_end - x);
  cairo_rectangle (p->cr, free_end, y - r, 14.0, 2.0 * r);
  rhyton_pens_solid (p, 0.2, 1.4);
  cairo_rectangle (p->cr, free_end + 14.0, y - 8.0, 26.0, 16.0);
  rhyton_pens_solid (p, 0.15, 1.4);
  rhyton_pens_line (p, p->soft, 1.2, free_end + 30.0, y + 8.0, free_end + 30.0, 146.0);
  rhyton_pens_dashed (p, p->accent, free_end + 14.0, y - r, 236.0, y - r);
  rhyton_pens_measure (p, 228.0, y, 228.0, y - r);
}

/* r: of a pin, l: from the ball to what carries the pin. */
void
rhyton_sketch_pins (const RhytonPens *p)
{
  const double x = 130.0, y = 84.0, r = 46.0, pin = 8.0, length = 34.0;

  for (int side = -1; side <= 1; side += 2)
    {
      cairo_rectangle (p->cr, side < 0 ? x - r - length : x + r, y - pin, length, 2.0 * pin);
      rhyton_pens_solid (p, 0.2, 1.4);
      cairo_rectangle (p->cr, side < 0 ? x - r - length - 26.0 : x + r + length, y - 26.0, 26.0, 52.0);
      rhyton_pens_solid (p, 0.15, 1.4);
    }
  rhyton_pens_disc (p, x, y, r, 0.06);
  rhyton_pens_dashed (p, p->accent, x + r, y - pin, x + r, 24.0);
  rhyton_pens_dashed (p, p->accent, x + r + length, y - 26.0, x + r + length, 24.0);
  rhyton_pens_measure (p, x + r, 30.0, x + r + length, 30.0);
  rhyton_pens_say (p, p->accent, x + r + 0.5 * length, 22.0, 0.5, "l");
  rhyton_pens_dashed (p, p->accent, x - r - 4.0, y, x - r - 4.0, y + 46.0);
  rhyton_pens_dashed (p, p->accent, x - r - length, y + pin, x - r + 14.0, y + pin);
  rhyton_pens_line (p, p->accent, 1.5, x - r - 16.0, y, x - r - 16.0, y + pin);
  rhyton_pens_say (p, p->accent, x - r - 16.0, y + 26.0, 0.5, "r");
}

/* From where the head can go to where it can go, not the table's edge. */
void
rhyton_sketch_bed (const RhytonPens *p)
{
  cairo_rectangle (p->cr, 34.0, 10.0, 170.0, 124.0);
  rhyton_pens_stroke (p, p->soft, 1.2);
  cairo_rectangle (p->cr, 48.0, 22.0, 142.0, 96.0);
  rhyton_pens_solid (p, 0.06, 1.4);
  for (int corner = 0; corner < 2; corner++)
    rhyton_pens_cross (p, p->ink, corner == 0 ? 48.0 : 190.0, corner == 0 ? 118.0 : 22.0, 6.0);
  rhyton_pens_dashed (p, p->accent, 48.0, 118.0, 48.0, 152.0);
  rhyton_pens_dashed (p, p->accent, 190.0, 118.0, 190.0, 152.0);
  rhyton_pens_measure (p, 48.0, 146.0, 190.0, 146.0);
  rhyton_pens_say (p, p->accent, 198.0, 151.0, 0.0, "x");
  rhyton_pens_dashed (p, p->accent, 190.0, 22.0, 230.0, 22.0);
  rhyton_pens_dashed (p, p->accent, 190.0, 118.0, 230.0, 118.0);
  rhyton_pens_measure (p, 222.0, 22.0, 222.0, 118.0);
  rhyton_pens_say (p, p->accent, 230.0, 74.0, 0.0, "y");
}
