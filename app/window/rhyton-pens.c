/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-pens.h"

#include <math.h>

typedef const RhytonPens Pens;

void
rhyton_pens_ink (Pens     *p,
                 RhyColour c,
                 double    alpha)
{
  cairo_set_source_rgba (p->cr, c.r, c.g, c.b, c.a * alpha);
}

void
rhyton_pens_stroke (Pens     *p,
                    RhyColour c,
                    double    width)
{
  rhyton_pens_ink (p, c, 1.0);
  cairo_set_line_width (p->cr, width);
  cairo_stroke (p->cr);
}

void
rhyton_pens_solid (Pens  *p,
                   double shade,
                   double width)
{
  rhyton_pens_ink (p, p->ink, shade);
  cairo_fill_preserve (p->cr);
  rhyton_pens_stroke (p, p->ink, width);
}

void
rhyton_pens_line (Pens     *p,
                  RhyColour c,
                  double    width,
                  double    x0,
                  double    y0,
                  double    x1,
                  double    y1)
{
  cairo_move_to (p->cr, x0, y0);
  cairo_line_to (p->cr, x1, y1);
  rhyton_pens_stroke (p, c, width);
}

void
rhyton_pens_dashed (Pens     *p,
                    RhyColour c,
                    double    x0,
                    double    y0,
                    double    x1,
                    double    y1)
{
  const double dashes[] = { 4.0, 3.0 };
  cairo_set_dash (p->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  rhyton_pens_line (p, c, 1.0, x0, y0, x1, y1);
  cairo_set_dash (p->cr, NULL, 0, 0.0);
}

void
rhyton_pens_head (Pens  *p,
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
  rhyton_pens_ink (p, p->accent, 1.0);
  cairo_fill (p->cr);
  cairo_restore (p->cr);
}

void
rhyton_pens_measure (Pens  *p,
                     double x0,
                     double y0,
                     double x1,
                     double y1)
{
  const double angle = atan2 (y1 - y0, x1 - x0);
  rhyton_pens_line (p, p->accent, 1.5, x0, y0, x1, y1);
  rhyton_pens_head (p, x1, y1, angle);
  rhyton_pens_head (p, x0, y0, angle + G_PI);
}

void
rhyton_pens_say (Pens       *p,
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
  rhyton_pens_ink (p, c, 1.0);
  cairo_show_text (p->cr, text);
}

/* ---- things ---- */

void
rhyton_pens_ellipse (Pens  *p,
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

void
rhyton_pens_table (Pens  *p,
                   double x0,
                   double x1,
                   double y)
{
  rhyton_pens_line (p, p->soft, 1.0, x0, y, x1, y);
  for (double x = x0 + 4.0; x < x1; x += 6.0)
    rhyton_pens_line (p, p->soft, 0.7, x, y, x - 4.0, y + 4.0);
}

void
rhyton_pens_glass (Pens  *p,
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
  rhyton_pens_solid (p, 0.06, 1.5);
  cairo_new_sub_path (p->cr);
  rhyton_pens_ellipse (p, x, y - height, rim, 0.14 * rim, 0.0, 2.0 * G_PI);
  rhyton_pens_stroke (p, p->ink, 1.5);
}

void
rhyton_pens_cross (Pens     *p,
                   RhyColour c,
                   double    x,
                   double    y,
                   double    size)
{
  rhyton_pens_line (p, c, 1.8, x - size, y, x + size, y);
  rhyton_pens_line (p, c, 1.8, x, y - size, x, y + size);
}

void
rhyton_pens_hatch (Pens  *p,
                   double x0,
                   double y0,
                   double x1,
                   double y1)
{
  cairo_save (p->cr);
  cairo_clip (p->cr);
  for (double x = x0 - (y1 - y0); x < x1; x += 5.0)
    rhyton_pens_line (p, p->soft, 0.8, x, y1, x + (y1 - y0), y0);
  cairo_restore (p->cr);
}

void
rhyton_pens_disc (Pens  *p,
                  double x,
                  double y,
                  double r,
                  double shade)
{
  cairo_new_path (p->cr);
  cairo_arc (p->cr, x, y, r, 0.0, 2.0 * G_PI);
  rhyton_pens_solid (p, shade, 1.4);
}
