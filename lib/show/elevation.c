/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "elevation.h"

#include "../art/late-cairo.h"
#include "page-text.h"

double
rhy_elevation_up (const RhyElevation *self,
                  double              z)
{
  return self->y - (z - self->z0) * self->scale;
}

void
rhy_elevation_trace_side (const RhyElevation *self,
                          cairo_t            *cr,
                          const RhyWall      *wall,
                          int                 side,
                          double              s0,
                          double              s1)
{
  enum { STEPS = 96 };
  for (int i = 0; i <= STEPS; i++)
    {
      const RhyRing ring = rhy_wall_at (wall, s0 + (s1 - s0) * i / STEPS);
      cairo_line_to (cr, self->x + side * ring.r_mm * self->scale, rhy_elevation_up (self, ring.z_mm));
    }
}

void
rhy_elevation_trace (const RhyElevation *self,
                     cairo_t            *cr,
                     const RhyWall      *wall,
                     double              s0,
                     double              s1)
{
  rhy_elevation_trace_side (self, cr, wall, -1, s0, s1);
  rhy_elevation_trace_side (self, cr, wall, 1, s1, s0);
  cairo_close_path (cr);
}

void
rhy_elevation_line (cairo_t  *cr,
                    double    x0,
                    double    y0,
                    double    x1,
                    double    y1,
                    double    width,
                    RhyColour c)
{
  cairo_move_to (cr, x0, y0);
  cairo_line_to (cr, x1, y1);
  cairo_set_line_width (cr, width);
  cairo_set_source_rgba (cr, c.r, c.g, c.b, c.a);
  cairo_stroke (cr);
}

void
rhy_elevation_dimension (cairo_t                 *cr,
                         PangoLayout             *layout,
                         const RhyDimensionStyle *style,
                         double                   x0,
                         double                   y0,
                         double                   x1,
                         double                   y1,
                         gboolean                 above,
                         const char              *text)
{
  const double line = style->line, tick = style->tick;
  rhy_elevation_line (cr, x0, y0, x1, y1, line, style->soft);
  if (y0 == y1)
    {
      rhy_elevation_line (cr, x0, y0 - tick, x0, y0 + tick, line, style->soft);
      rhy_elevation_line (cr, x1, y1 - tick, x1, y1 + tick, line, style->soft);
      /* A line of text is about 1.4 em high. */
      rhy_page_text (cr, layout, 0.5 * (x0 + x1), above ? y0 - style->below_gap - 1.4 * style->text : y0 + style->below_gap,
                     0.0, style->text, FALSE, RHY_PLACE_MIDDLE, FALSE, style->ink, text);
    }
  else
    {
      rhy_elevation_line (cr, x0 - tick, y0, x0 + tick, y0, line, style->soft);
      rhy_elevation_line (cr, x1 - tick, y1, x1 + tick, y1, line, style->soft);
      rhy_page_text (cr, layout, x0 - style->left_gap, 0.5 * (y0 + y1) - 0.57 * style->text, 0.0, style->text, FALSE,
                     RHY_PLACE_RIGHT, FALSE, style->ink, text);
    }
}

void
rhy_elevation_hatch (cairo_t  *cr,
                     double    x0,
                     double    y0,
                     double    x1,
                     double    y1,
                     double    step,
                     RhyColour c)
{
  cairo_save (cr);
  cairo_clip (cr);
  cairo_set_source_rgba (cr, c.r, c.g, c.b, c.a);
  cairo_set_line_width (cr, 1.0);
  for (double x = x0 - (y1 - y0); x < x1; x += step)
    {
      cairo_move_to (cr, x, y1);
      cairo_line_to (cr, x + (y1 - y0), y0);
    }
  cairo_stroke (cr);
  cairo_restore (cr);
}
