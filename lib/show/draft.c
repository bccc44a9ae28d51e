/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft-private.h"

#include <math.h>
#include <string.h>

static void
clear_item (gpointer data)
{
  Item *item = data;
  g_free (item->text);
  g_free (item->title);
  g_clear_pointer (&item->artwork, rhy_artwork_unref);
  g_clear_pointer (&item->path, rhy_path_unref);
}

RhyDraft *
rhy_draft_new (RhyBounds   box,
               const char *title,
               const char *description)
{
  RhyDraft *self = g_new0 (RhyDraft, 1);
  self->box = box;
  self->title = g_strdup (title);
  self->description = g_strdup (description);
  self->items = g_array_new (FALSE, TRUE, sizeof (Item));
  g_array_set_clear_func (self->items, clear_item);
  return self;
}

void
rhy_draft_free (RhyDraft *self)
{
  g_free (self->title);
  g_free (self->description);
  g_array_unref (self->items);
  g_free (self);
}

static void
add (RhyDraft *self,
     Item      item)
{
  g_array_append_val (self->items, item);
}

void
rhy_draft_open (RhyDraft   *self,
                const char *id)
{
  rhy_draft_open_titled (self, id, NULL);
}

void
rhy_draft_open_titled (RhyDraft   *self,
                       const char *id,
                       const char *title)
{
  add (self, (Item) { .kind = ITEM_OPEN, .text = g_strdup (id), .title = g_strdup (title) });
}

void
rhy_draft_close (RhyDraft *self)
{
  add (self, (Item) { .kind = ITEM_CLOSE });
}

void
rhy_draft_add_artwork (RhyDraft   *self,
                       RhyArtwork *artwork)
{
  add (self, (Item) { .kind = ITEM_ARTWORK, .artwork = rhy_artwork_ref (artwork) });
}

void
rhy_draft_add_path (RhyDraft     *self,
                    RhyPath      *path,
                    RhyDraftPaint paint)
{
  add (self, (Item) { .kind = ITEM_PATH, .path = path, .paint = paint });
}

void
rhy_draft_add_text (RhyDraft     *self,
                    double        x,
                    double        y,
                    double        size_mm,
                    RhyTextAnchor anchor,
                    double        turn_rad,
                    RhyColour     colour,
                    const char   *text)
{
  add (self, (Item) { .kind = ITEM_TEXT, .text = g_strdup (text), .x = x, .y = y, .size_mm = size_mm,
                      .turn_rad = turn_rad, .anchor = anchor, .paint = { .colour = colour } });
}

/* ---- text that must keep to a width ---- */

static void
set_font (cairo_t *cr,
          double   size_mm)
{
  /* Hinting would fit letters to the device's pixels; a 1:1 drawing has none. */
  cairo_font_options_t *options = cairo_font_options_create ();
  cairo_font_options_set_hint_style (options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics (options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options (cr, options);
  cairo_font_options_destroy (options);
  cairo_select_font_face (cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size (cr, size_mm);
}

static cairo_t *
measure_new (double size_mm)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, 1, 1);
  cairo_t *cr = cairo_create (surface);
  cairo_surface_destroy (surface);
  set_font (cr, size_mm);
  return cr;
}

static double
width_of (cairo_t    *cr,
          const char *text)
{
  cairo_text_extents_t extents;
  cairo_text_extents (cr, text, &extents);
  return extents.x_advance;
}

/* How many bytes of @text, whole characters, are no wider than @width; at least one character. */
static gsize
fits (cairo_t    *cr,
      const char *text,
      double      width)
{
  const char *end = g_utf8_next_char (text);
  while (*end != '\0')
    {
      const char *next = g_utf8_next_char (end);
      g_autofree char *head = g_strndup (text, (gsize) (next - text));
      if (width_of (cr, head) > width)
        break;
      end = next;
    }
  return (gsize) (end - text);
}

guint
rhy_draft_add_block (RhyDraft   *self,
                     double      x,
                     double      y,
                     double      width,
                     double      size_mm,
                     double      pitch,
                     RhyColour   colour,
                     const char *text)
{
  cairo_t *cr = measure_new (size_mm);
  guint n = 0;
  while (*text != '\0')
    {
      gsize length = fits (cr, text, width);
      if (text[length] != '\0' && text[length] != ' ')
        {
          const char *blank = g_strrstr_len (text, (gssize) length, " ");
          if (blank != NULL && blank > text)
            length = (gsize) (blank - text);
        }
      g_autofree char *line = g_strchomp (g_strndup (text, length));
      if (self != NULL)
        rhy_draft_add_text (self, x, y + pitch * n, size_mm, RHY_TEXT_START, 0.0, colour, line);
      n++;
      text += length;
      while (*text == ' ')
        text++;
    }
  cairo_destroy (cr);
  return n;
}

void
rhy_draft_add_fitted (RhyDraft     *self,
                      double        x,
                      double        y,
                      double        width,
                      double        size_mm,
                      double        least_mm,
                      RhyTextAnchor anchor,
                      double        turn_rad,
                      RhyColour     colour,
                      const char   *text)
{
  cairo_t *cr = measure_new (size_mm);
  const double wanted = width_of (cr, text);
  if (wanted > width)
    size_mm = MAX (least_mm, size_mm * width / wanted);
  set_font (cr, size_mm);
  g_autofree char *shown = g_strdup (text);
  if (width_of (cr, text) > width * (1.0 + 1e-9))
    {
      const double dots = width_of (cr, "\xe2\x80\xa6");
      g_autofree char *head = g_strchomp (g_strndup (text, fits (cr, text, width - dots)));
      g_free (shown);
      shown = g_strconcat (head, "\xe2\x80\xa6", NULL);
    }
  cairo_destroy (cr);
  rhy_draft_add_text (self, x, y, size_mm, anchor, turn_rad, colour, shown);
}

const char *
rhy_say (RhyDigits buffer,
         double    value,
         int       decimals)
{
  char format[8];
  g_snprintf (format, sizeof format, "%%.%df", decimals);
  g_ascii_formatd (buffer, sizeof (RhyDigits), format, value);
  if (strchr (buffer, '.') != NULL)
    {
      char *end = buffer + strlen (buffer);
      while (end[-1] == '0')
        *--end = '\0';
      if (end[-1] == '.')
        *--end = '\0';
    }
  return strcmp (buffer, "-0") == 0 ? "0" : buffer;
}

char *
rhy_draft_title (RhyPlan    *plan,
                 const char *what)
{
  const char *title = rhy_job_get_data (rhy_plan_get_job (plan))->job.title;
  return title != NULL && *title != '\0' ? g_strdup_printf ("%s: %s", title, what) : g_strdup (what);
}

RhyPath *
rhy_draft_line (double x0, double y0, double x1, double y1)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, x0, y0);
  rhy_path_line_to (path, x1, y1);
  return path;
}

gboolean
rhy_pen_is_even (const RhyPen *pen,
                 double       *scale)
{
  const RhyAffine m = pen->matrix;
  const double a = hypot (m.xx, m.yx);
  const double b = hypot (m.xy, m.yy);
  *scale = sqrt (fabs (m.xx * m.yy - m.xy * m.yx));
  return fabs (a - b) <= 1e-9 * a && fabs (m.xx * m.xy + m.yx * m.yy) <= 1e-9 * a * a;
}

gboolean
rhy_pen_is_flat (const RhyPen *pen)
{
  const RhyAffine m = pen->matrix;
  return !(fabs (m.xx * m.yy - m.xy * m.yx) > 0.0);
}

static void
set_colour (cairo_t  *cr,
            RhyColour c)
{
  cairo_set_source_rgba (cr, c.r, c.g, c.b, c.a);
}

static void
draw_text (cairo_t    *cr,
           const Item *item)
{
  cairo_text_extents_t extents;

  cairo_save (cr);
  cairo_select_font_face (cr, "sans-serif", CAIRO_FONT_SLANT_NORMAL, CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size (cr, item->size_mm);
  cairo_text_extents (cr, item->text, &extents);
  cairo_translate (cr, item->x, item->y);
  cairo_rotate (cr, item->turn_rad);
  cairo_move_to (cr, item->anchor == RHY_TEXT_START ? 0.0
                     : -extents.x_advance * (item->anchor == RHY_TEXT_MIDDLE ? 0.5 : 1.0), 0.0);
  set_colour (cr, item->paint.colour);
  cairo_show_text (cr, item->text);
  cairo_restore (cr);
}

static void
draw_line (cairo_t    *cr,
           const Item *item)
{
  cairo_save (cr);
  rhy_brush_path (cr, item->path);
  set_colour (cr, item->paint.colour);
  if (item->paint.width_mm > 0.0)
    {
      cairo_set_line_width (cr, item->paint.width_mm);
      if (item->paint.dash_mm > 0.0)
        cairo_set_dash (cr, &item->paint.dash_mm, 1, 0.0);
      cairo_stroke (cr);
    }
  else
    cairo_fill (cr);
  cairo_restore (cr);
}

void
rhy_draft_draw (const RhyDraft *self,
                cairo_t        *cr)
{
  /* Hinting would fit letters to the device's pixels; a 1:1 drawing has none. */
  cairo_font_options_t *options = cairo_font_options_create ();
  cairo_font_options_set_hint_style (options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics (options, CAIRO_HINT_METRICS_OFF);
  cairo_set_font_options (cr, options);
  cairo_font_options_destroy (options);
  cairo_translate (cr, -self->box.min_x, -self->box.min_y);

  for (guint i = 0; i < self->items->len; i++)
    {
      const Item *item = &g_array_index (self->items, Item, i);
      if (item->kind == ITEM_ARTWORK)
        rhy_brush_artwork (cr, item->artwork, 0.0);
      else if (item->kind == ITEM_PATH)
        draw_line (cr, item);
      else if (item->kind == ITEM_TEXT)
        draw_text (cr, item);
    }
}

cairo_status_t
rhy_draft_gather (void                *closure,
                  const unsigned char *data,
                  unsigned int         length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

gboolean
rhy_draft_check_cairo (cairo_status_t status,
                       GError       **error)
{
  if (status == CAIRO_STATUS_SUCCESS)
    return TRUE;
  g_set_error (error, RHY_ERROR, status == CAIRO_STATUS_NO_MEMORY ? RHY_ERROR_LIMIT : RHY_ERROR_GEOMETRY,
               "drawing: %s", cairo_status_to_string (status));
  return FALSE;
}

GBytes *
rhy_draft_write (const RhyDraft *self,
                 RhyFormat       format,
                 double          dpi,
                 GError        **error)
{
  switch (format)
    {
    case RHY_FORMAT_PDF:
      return rhy_draft_to_pdf (self, error);
    case RHY_FORMAT_PNG:
      return rhy_draft_to_png (self, dpi, error);
    default:
      return rhy_draft_to_svg (self);
    }
}
