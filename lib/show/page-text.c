/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "page-text.h"

#include "../art/late-cairo.h"
#include "late-pango.h"

/* Returns: its height, mm. */
static double
set_text (PangoLayout *layout,
          double       width,
          double       size,
          gboolean     bold,
          gboolean     one_line,
          const char  *text,
          double      *text_width)
{
  PangoFontDescription *font = pango_font_description_new ();
  pango_font_description_set_family_static (font, "sans-serif");
  pango_font_description_set_weight (font, bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size (font, size * RHY_PT_PER_MM * PANGO_SCALE);
  pango_layout_set_font_description (layout, font);
  pango_font_description_free (font);
  pango_layout_set_width (layout, width > 0.0 ? (int) (width * RHY_PT_PER_MM * PANGO_SCALE) : -1);
  pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_ellipsize (layout, one_line ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
  pango_layout_set_height (layout, -1);
  pango_layout_set_text (layout, text, -1);

  int w, h;
  pango_layout_get_size (layout, &w, &h);
  *text_width = w / (PANGO_SCALE * RHY_PT_PER_MM);
  return h / (PANGO_SCALE * RHY_PT_PER_MM);
}

static void
show (cairo_t     *cr,
      PangoLayout *layout,
      double       x,
      double       y,
      RhyColour    c)
{
  cairo_save (cr);
  cairo_translate (cr, x, y);
  cairo_scale (cr, 1.0 / RHY_PT_PER_MM, 1.0 / RHY_PT_PER_MM);
  cairo_set_source_rgba (cr, c.r, c.g, c.b, c.a);
  pango_cairo_show_layout (cr, layout);
  cairo_restore (cr);
}

double
rhy_page_text (cairo_t     *cr,
               PangoLayout *layout,
               double       x,
               double       y,
               double       width,
               double       size,
               gboolean     bold,
               RhyPlace     place,
               gboolean     one_line,
               RhyColour    c,
               const char  *text)
{
  double text_width;
  const double height = set_text (layout, width, size, bold, one_line, text, &text_width);
  if (width == 0.0)
    x -= place == RHY_PLACE_LEFT ? 0.0 : place == RHY_PLACE_MIDDLE ? 0.5 * text_width : text_width;
  show (cr, layout, x, y, c);
  return height;
}

double
rhy_page_text_in (cairo_t     *cr,
                  PangoLayout *layout,
                  double       x,
                  double       y,
                  double       width,
                  double       height,
                  double       size,
                  double       least,
                  gboolean     bold,
                  RhyColour    c,
                  const char  *text)
{
  double unused;
  double tall = set_text (layout, width, size, bold, FALSE, text, &unused);
  while (tall > height && size > least)
    {
      size = MAX (least, size - 0.1);
      tall = set_text (layout, width, size, bold, FALSE, text, &unused);
    }
  if (tall > height)
    {
      pango_layout_set_ellipsize (layout, PANGO_ELLIPSIZE_END);
      pango_layout_set_height (layout, (int) (height * RHY_PT_PER_MM * PANGO_SCALE));
      int w, h;
      pango_layout_get_size (layout, &w, &h);
      tall = h / (PANGO_SCALE * RHY_PT_PER_MM);
    }
  show (cr, layout, x, y, c);
  return tall;
}

double
rhy_page_text_width (PangoLayout *layout,
                     double       size,
                     gboolean     bold,
                     const char  *text)
{
  double width;
  set_text (layout, 0.0, size, bold, FALSE, text, &width);
  return width;
}
