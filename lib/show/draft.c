/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <math.h>
#include <string.h>

typedef enum
{
  ITEM_OPEN,
  ITEM_CLOSE,
  ITEM_ARTWORK,
  ITEM_PATH,
  ITEM_TEXT,
} ItemKind;

typedef struct
{
  ItemKind      kind;
  char         *text;       /* OPEN: the id; TEXT */
  RhyArtwork   *artwork;
  RhyPath      *path;
  RhyDraftPaint paint;
  double        x, y, size_mm, turn_rad;
  RhyTextAnchor anchor;
} Item;

struct _RhyDraft
{
  RhyBounds box;
  char     *title;
  char     *description;
  GArray   *items;
};

static void
clear_item (gpointer data)
{
  Item *item = data;
  g_free (item->text);
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
  add (self, (Item) { .kind = ITEM_OPEN, .text = g_strdup (id) });
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

static inline double
box_width (RhyBounds b)
{
  return b.max_x - b.min_x;
}

static inline double
box_height (RhyBounds b)
{
  return b.max_y - b.min_y;
}

/* A pen that scales evenly keeps its outline round in the path's own space, so
 * a plain stroke width says it; @scale is that width's factor. The bound is
 * relative: 1e-9 of a pen's width is nothing a machine resolves. */
static gboolean
pen_is_even (const RhyPen *pen,
             double       *scale)
{
  const RhyAffine m = pen->matrix;
  const double a = hypot (m.xx, m.yx);
  const double b = hypot (m.xy, m.yy);
  *scale = sqrt (fabs (m.xx * m.yy - m.xy * m.yx));
  return fabs (a - b) <= 1e-9 * a && fabs (m.xx * m.xy + m.yx * m.yy) <= 1e-9 * a * a;
}

static gboolean
pen_is_flat (const RhyPen *pen)
{
  const RhyAffine m = pen->matrix;
  return !(fabs (m.xx * m.yy - m.xy * m.yx) > 0.0);
}

/* --- SVG ------------------------------------------------------------------ */

/* Six decimals of a mm, trailing zeros dropped: a nanometre, far under any
 * machine's step, and the same bytes in every locale. Written out here because
 * a drawing is mostly numbers and g_ascii_formatd() takes ten times as long. */
static void
put_number (GString *out,
            double   value)
{
  g_return_if_fail (fabs (value) < 1e12);

  char digits[32];
  char *end = digits + sizeof digits;
  char *p = end;
  gint64 n = llround (value * 1e6);
  const gboolean negative = n < 0;
  if (negative)
    n = -n;

  gint64 whole = n / 1000000;
  int part = (int) (n % 1000000);
  if (part != 0)
    {
      int places = 6;
      for (; part % 10 == 0; part /= 10)
        places--;
      for (; places > 0; places--, part /= 10)
        *--p = (char) ('0' + part % 10);
      *--p = '.';
    }
  do
    *--p = (char) ('0' + whole % 10);
  while ((whole /= 10) > 0);
  if (negative)
    *--p = '-';
  g_string_append_len (out, p, end - p);
}

static void
put_pair (GString *out,
          RhyPoint p)
{
  put_number (out, p.x);
  g_string_append_c (out, ' ');
  put_number (out, p.y);
}

static void
put_attribute (GString    *out,
               const char *name,
               double      value)
{
  g_string_append_printf (out, " %s=\"", name);
  put_number (out, value);
  g_string_append_c (out, '"');
}

static void
put_escaped (GString    *out,
             const char *text)
{
  g_autofree char *escaped = g_markup_escape_text (text, -1);
  g_string_append (out, escaped);
}

static void
put_path_data (GString       *out,
               const RhyPath *path,
               RhyAffine      m)
{
  static const struct { char letter; guint8 n; } verbs[] = {
    [RHY_PATH_MOVE] = { 'M', 1 }, [RHY_PATH_LINE] = { 'L', 1 },
    [RHY_PATH_CUBIC] = { 'C', 3 }, [RHY_PATH_CLOSE] = { 'Z', 0 },
  };
  const RhyPoint *p = path->points;

  g_string_append (out, " d=\"");
  for (gsize i = 0; i < path->n_verbs; i++)
    {
      const guint8 verb = path->verbs[i];
      g_string_append_c (out, verbs[verb].letter);
      for (guint8 k = 0; k < verbs[verb].n; k++)
        {
          if (k > 0)
            g_string_append_c (out, ' ');
          put_pair (out, rhy_affine_apply (m, *p++));
        }
    }
  g_string_append_c (out, '"');
}

static int
to_byte (double v)
{
  return (int) lrint (255.0 * CLAMP (v, 0.0, 1.0));
}

/* @what: "fill" or "stroke" */
static void
put_paint (GString    *out,
           const char *what,
           RhyColour   c)
{
  g_string_append_printf (out, " %s=\"#%02x%02x%02x\"", what, to_byte (c.r), to_byte (c.g), to_byte (c.b));
  if (c.a < 1.0)
    {
      g_autofree char *name = g_strconcat (what, "-opacity", NULL);
      put_attribute (out, name, MAX (c.a, 0.0));
    }
}

static void
put_pen (GString      *out,
         const RhyPen *pen,
         double        scale)
{
  static const char *const caps[] = { "butt", "round", "square" };
  static const char *const joins[] = { "miter", "round", "bevel" };

  put_attribute (out, "stroke-width", pen->width * scale);
  if (pen->cap != RHY_CAP_BUTT)
    g_string_append_printf (out, " stroke-linecap=\"%s\"", caps[pen->cap]);
  if (pen->join != RHY_JOIN_MITER)
    g_string_append_printf (out, " stroke-linejoin=\"%s\"", joins[pen->join]);
  else
    put_attribute (out, "stroke-miterlimit", pen->miter_limit);
  if (pen->n_dashes == 0)
    return;
  g_string_append (out, " stroke-dasharray=\"");
  for (gsize i = 0; i < pen->n_dashes; i++)
    {
      if (i > 0)
        g_string_append_c (out, ' ');
      put_number (out, pen->dashes[i] * scale);
    }
  g_string_append_c (out, '"');
  put_attribute (out, "stroke-dashoffset", pen->dash_offset * scale);
}

static RhyAffine
linear_inverse (RhyAffine m)
{
  const double det = m.xx * m.yy - m.xy * m.yx;
  return (RhyAffine) { m.yy / det, -m.yx / det, -m.xy / det, m.xx / det, 0.0, 0.0 };
}

static void
put_fill (GString        *out,
          const RhyShape *shape)
{
  if (!shape->has_fill)
    {
      g_string_append (out, " fill=\"none\"");
      return;
    }
  put_paint (out, "fill", shape->fill);
  if (shape->rule == RHY_FILL_EVENODD)
    g_string_append (out, " fill-rule=\"evenodd\"");
}

static void
put_shape (GString        *out,
           const RhyShape *shape)
{
  RhyAffine m = RHY_AFFINE_IDENTITY;
  double scale = 1.0;
  const gboolean stroke = shape->has_stroke && !pen_is_flat (&shape->pen);
  const gboolean even = !stroke || pen_is_even (&shape->pen, &scale);

  if (!stroke && !shape->has_fill)
    return;
  g_string_append (out, "<path");
  put_fill (out, shape);
  if (stroke)
    {
      put_paint (out, "stroke", shape->stroke);
      put_pen (out, &shape->pen, even ? scale : 1.0);
    }
  if (!even)
    {
      /* The pen is round in its own space only: draw there. */
      const RhyAffine pen = shape->pen.matrix;
      const double values[] = { pen.xx, pen.yx, pen.xy, pen.yy, 0.0, 0.0 };
      m = linear_inverse (pen);
      g_string_append (out, " transform=\"matrix(");
      for (guint i = 0; i < 6; i++)
        {
          char digits[G_ASCII_DTOSTR_BUF_SIZE];
          g_string_append (out, i > 0 ? " " : "");
          g_string_append (out, g_ascii_dtostr (digits, sizeof digits, values[i]));
        }
      g_string_append (out, ")\"");
    }
  put_path_data (out, shape->path, m);
  g_string_append (out, "/>\n");
}

static gboolean
same_clips (const RhyShape *a,
            const RhyShape *b)
{
  return a->n_clips == b->n_clips
         && (a->n_clips == 0 || memcmp (a->clips, b->clips, a->n_clips * sizeof *a->clips) == 0);
}

/* Several clips intersect, which nested groups say in every reader. */
static void
put_artwork (GString    *out,
             RhyArtwork *artwork,
             guint       first_clip)
{
  const gsize n = rhy_artwork_get_n_shapes (artwork);
  const RhyShape *before = NULL;

  for (gsize i = 0; i < n; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      const gboolean fresh = before == NULL || !same_clips (before, shape);
      for (gsize k = 0; fresh && before != NULL && k < before->n_clips; k++)
        g_string_append (out, "</g>\n");
      for (gsize k = 0; fresh && k < shape->n_clips; k++)
        g_string_append_printf (out, "<g clip-path=\"url(#clip-%u)\">\n", first_clip + shape->clips[k]);
      put_shape (out, shape);
      before = shape;
    }
  for (gsize k = 0; before != NULL && k < before->n_clips; k++)
    g_string_append (out, "</g>\n");
}

static void
put_text (GString    *out,
          const Item *item)
{
  static const char *const anchors[] = { "start", "middle", "end" };

  g_string_append (out, "<text");
  put_attribute (out, "x", item->x);
  put_attribute (out, "y", item->y);
  put_attribute (out, "font-size", item->size_mm);
  g_string_append (out, " font-family=\"sans-serif\"");
  if (item->anchor != RHY_TEXT_START)
    g_string_append_printf (out, " text-anchor=\"%s\"", anchors[item->anchor]);
  put_paint (out, "fill", item->paint.colour);
  if (item->turn_rad != 0.0)
    {
      g_string_append (out, " transform=\"rotate(");
      put_number (out, item->turn_rad * 180.0 / G_PI);
      g_string_append_c (out, ' ');
      put_pair (out, (RhyPoint) { item->x, item->y });
      g_string_append (out, ")\"");
    }
  g_string_append_c (out, '>');
  put_escaped (out, item->text);
  g_string_append (out, "</text>\n");
}

static void
put_line (GString    *out,
          const Item *item)
{
  g_string_append (out, "<path");
  if (item->paint.width_mm > 0.0)
    {
      g_string_append (out, " fill=\"none\"");
      put_paint (out, "stroke", item->paint.colour);
      put_attribute (out, "stroke-width", item->paint.width_mm);
      if (item->paint.dash_mm > 0.0)
        put_attribute (out, "stroke-dasharray", item->paint.dash_mm);
    }
  else
    put_paint (out, "fill", item->paint.colour);
  put_path_data (out, item->path, RHY_AFFINE_IDENTITY);
  g_string_append (out, "/>\n");
}

static void
put_clips (GString        *out,
           const RhyDraft *self)
{
  guint id = 1;
  for (guint i = 0; i < self->items->len; i++)
    {
      const Item *item = &g_array_index (self->items, Item, i);
      if (item->kind != ITEM_ARTWORK)
        continue;
      const gsize n = rhy_artwork_get_n_clips (item->artwork);
      for (gsize k = 0; k < n; k++, id++)
        {
          const RhyClip *clip = rhy_artwork_get_clip (item->artwork, k);
          g_string_append_printf (out, "%s<clipPath id=\"clip-%u\"><path", id == 1 ? "<defs>\n" : "", id);
          if (clip->rule == RHY_FILL_EVENODD)
            g_string_append (out, " clip-rule=\"evenodd\"");
          put_path_data (out, clip->path, RHY_AFFINE_IDENTITY);
          g_string_append (out, "/></clipPath>\n");
        }
    }
  if (id > 1)
    g_string_append (out, "</defs>\n");
}

static GBytes *
to_svg (const RhyDraft *self)
{
  GString *out = g_string_sized_new (1 << 16);
  const RhyBounds b = self->box;

  g_string_append (out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
                        "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"");
  put_number (out, box_width (b));
  g_string_append (out, "mm\" height=\"");
  put_number (out, box_height (b));
  g_string_append (out, "mm\" viewBox=\"");
  put_pair (out, (RhyPoint) { b.min_x, b.min_y });
  g_string_append_c (out, ' ');
  put_pair (out, (RhyPoint) { box_width (b), box_height (b) });
  g_string_append (out, "\">\n<title>");
  put_escaped (out, self->title);
  g_string_append (out, "</title>\n<desc>");
  put_escaped (out, self->description);
  g_string_append (out, "</desc>\n");
  put_clips (out, self);

  guint clip = 1;
  for (guint i = 0; i < self->items->len; i++)
    {
      const Item *item = &g_array_index (self->items, Item, i);
      switch (item->kind)
        {
        case ITEM_OPEN:
          g_string_append_printf (out, "<g id=\"%s\">\n", item->text);
          break;
        case ITEM_CLOSE:
          g_string_append (out, "</g>\n");
          break;
        case ITEM_ARTWORK:
          put_artwork (out, item->artwork, clip);
          clip += (guint) rhy_artwork_get_n_clips (item->artwork);
          break;
        case ITEM_PATH:
          put_line (out, item);
          break;
        default:
          put_text (out, item);
          break;
        }
    }
  g_string_append (out, "</svg>\n");
  return g_string_free_to_bytes (out);
}

/* --- cairo: PDF and PNG --------------------------------------------------- */

static void
trace (cairo_t       *cr,
       const RhyPath *path)
{
  const RhyPoint *p = path->points;

  cairo_new_path (cr);
  for (gsize i = 0; i < path->n_verbs; i++)
    switch (path->verbs[i])
      {
      case RHY_PATH_MOVE:
        cairo_move_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_LINE:
        cairo_line_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_CUBIC:
        cairo_curve_to (cr, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
        p += 3;
        break;
      default:
        cairo_close_path (cr);
        break;
      }
}

static void
set_colour (cairo_t  *cr,
            RhyColour c)
{
  cairo_set_source_rgba (cr, c.r, c.g, c.b, c.a);
}

static void
stroke_shape (cairo_t        *cr,
              const RhyShape *shape)
{
  static const cairo_line_cap_t caps[] = { CAIRO_LINE_CAP_BUTT, CAIRO_LINE_CAP_ROUND, CAIRO_LINE_CAP_SQUARE };
  static const cairo_line_join_t joins[] = { CAIRO_LINE_JOIN_MITER, CAIRO_LINE_JOIN_ROUND, CAIRO_LINE_JOIN_BEVEL };
  const RhyPen *pen = &shape->pen;
  const cairo_matrix_t m = { pen->matrix.xx, pen->matrix.yx, pen->matrix.xy, pen->matrix.yy, 0.0, 0.0 };

  /* The path stays where it is; only the pen is skewed. */
  cairo_transform (cr, &m);
  cairo_set_line_width (cr, pen->width);
  cairo_set_line_cap (cr, caps[pen->cap]);
  cairo_set_line_join (cr, joins[pen->join]);
  cairo_set_miter_limit (cr, pen->miter_limit);
  cairo_set_dash (cr, pen->dashes, (int) pen->n_dashes, pen->dash_offset);
  set_colour (cr, shape->stroke);
  cairo_stroke (cr);
}

static void
draw_shape (cairo_t          *cr,
            const RhyArtwork *artwork,
            const RhyShape   *shape)
{
  cairo_save (cr);
  for (gsize k = 0; k < shape->n_clips; k++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (artwork, shape->clips[k]);
      trace (cr, clip->path);
      cairo_set_fill_rule (cr, clip->rule == RHY_FILL_EVENODD ? CAIRO_FILL_RULE_EVEN_ODD
                                                              : CAIRO_FILL_RULE_WINDING);
      cairo_clip (cr);
    }
  trace (cr, shape->path);
  if (shape->has_fill)
    {
      set_colour (cr, shape->fill);
      cairo_set_fill_rule (cr, shape->rule == RHY_FILL_EVENODD ? CAIRO_FILL_RULE_EVEN_ODD
                                                               : CAIRO_FILL_RULE_WINDING);
      cairo_fill_preserve (cr);
    }
  if (shape->has_stroke && !pen_is_flat (&shape->pen))
    stroke_shape (cr, shape);
  cairo_restore (cr);
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
  trace (cr, item->path);
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

static void
draw (cairo_t        *cr,
      const RhyDraft *self)
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
        for (gsize k = 0; k < rhy_artwork_get_n_shapes (item->artwork); k++)
          draw_shape (cr, item->artwork, rhy_artwork_get_shape (item->artwork, k));
      else if (item->kind == ITEM_PATH)
        draw_line (cr, item);
      else if (item->kind == ITEM_TEXT)
        draw_text (cr, item);
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
check_cairo (cairo_status_t status,
             GError       **error)
{
  if (status == CAIRO_STATUS_SUCCESS)
    return TRUE;
  g_set_error (error, RHY_ERROR, status == CAIRO_STATUS_NO_MEMORY ? RHY_ERROR_LIMIT : RHY_ERROR_GEOMETRY,
               "drawing: %s", cairo_status_to_string (status));
  return FALSE;
}

/* Where an indirect object's text stands, by the classical cross-reference
 * table that cairo writes: "xref", "FIRST COUNT", then rows of 20 bytes. */
static const char *
find_object (const char *pdf,
             gsize       length,
             const char *xref,
             gint64      number)
{
  const char *end = pdf + length;
  const char *p = xref + strlen ("xref");
  char *next;
  const gint64 first = g_ascii_strtoll (p, &next, 10);
  const gint64 count = g_ascii_strtoll (next, &next, 10);
  while (next < end && g_ascii_isspace (*next))
    next++;
  if (number < first || number >= first + count)
    return NULL;
  const char *row = next + 20 * (number - first);
  if (row + 20 > end)
    return NULL;
  const gint64 offset = g_ascii_strtoll (row, NULL, 10);
  return offset > 0 && (gsize) offset < length ? pdf + offset : NULL;
}

/* The last place of a word; strrstr and its like stop at the zero bytes that
 * compressed streams hold. */
static const char *
find_last (const char *text,
           gsize       length,
           const char *word)
{
  const gsize n = strlen (word);
  for (gsize i = length; i >= n; i--)
    if (memcmp (text + i - n, word, n) == 0)
      return text + i - n;
  return NULL;
}

static gboolean
read_number_after (const char *from,
                   const char *key,
                   gint64     *number)
{
  const char *p = strstr (from, key);
  if (p == NULL)
    return FALSE;
  *number = g_ascii_strtoll (p + strlen (key), NULL, 10);
  return *number > 0;
}

/* A print dialog starts at "fit to page" unless the catalog says otherwise, and
 * cairo has no way to say it. An incremental update (ISO 32000-1, 7.5.6) adds
 * a second version of the catalog that does; nothing cairo wrote is touched. */
static gboolean
forbid_print_scaling (GByteArray *pdf,
                      GError    **error)
{
  g_byte_array_append (pdf, (const guint8 *) "", 1);    /* so that str functions stop */
  pdf->len--;
  const char *text = (const char *) pdf->data;
  const char *start = find_last (text, pdf->len, "startxref");
  const char *trailer = find_last (text, pdf->len, "trailer");
  gint64 xref, root, size, info;
  const char *catalog = NULL;
  const char *end = NULL;

  if (start != NULL && trailer != NULL && read_number_after (start, "startxref", &xref)
      && (gsize) xref < pdf->len && g_str_has_prefix (text + xref, "xref")
      && read_number_after (trailer, "/Root", &root) && read_number_after (trailer, "/Size", &size)
      && read_number_after (trailer, "/Info", &info))
    catalog = find_object (text, pdf->len, text + xref, root);
  if (catalog != NULL)
    end = strstr (catalog, "endobj");
  const char *close = end != NULL ? find_last (catalog, (gsize) (end - catalog), ">>") : NULL;
  if (close == NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED,
                           "PDF: this version of cairo writes its catalog in a way that is not known here");
      return FALSE;
    }

  const gsize at = pdf->len;
  g_autoptr (GString) more = g_string_new_len (catalog, close - catalog);
  g_string_append (more, "   /ViewerPreferences << /PrintScaling /None >>\n>>\nendobj\n");
  g_string_append_printf (more, "xref\n%" G_GINT64_FORMAT " 1\n%010" G_GSIZE_FORMAT " 00000 n \n"
                                "trailer\n<< /Size %" G_GINT64_FORMAT "\n   /Root %" G_GINT64_FORMAT " 0 R\n"
                                "   /Info %" G_GINT64_FORMAT " 0 R\n   /Prev %" G_GINT64_FORMAT "\n>>\nstartxref\n%" G_GSIZE_FORMAT "\n%%%%EOF\n",
                          root, at, size, root, info, xref, at + more->len);
  g_byte_array_append (pdf, (const guint8 *) more->str, (guint) more->len);
  return TRUE;
}

/* cairo keeps path points to 1/256 of a unit, which in points is 1.4 um. Drawn
 * through a recording in hundredths of a point it is 0.014 um, and the page is
 * still in points; a sheet may then be 29 m long. */
#define FINE 100.0

static GBytes *
to_pdf (const RhyDraft *self,
        GError        **error)
{
  const double pt = 72.0 / 25.4;
  const double width = box_width (self->box) * pt;
  const double height = box_height (self->box) * pt;
  if (!(MAX (width, height) * FINE < 8e6))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "PDF: page of %.0f x %.0f mm: at most 28000 mm",
                   box_width (self->box), box_height (self->box));
      return NULL;
    }

  g_autoptr (GByteArray) out = g_byte_array_new ();
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (gather, out, width, height);
  /* One fixed date, so that the same job gives the same bytes. */
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, self->title);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_SUBJECT, self->description);

  const cairo_rectangle_t extents = { 0.0, 0.0, width * FINE, height * FINE };
  cairo_surface_t *fine = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, &extents);
  cairo_t *cr = cairo_create (fine);
  cairo_scale (cr, pt * FINE, pt * FINE);
  draw (cr, self);
  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);

  cr = cairo_create (surface);
  cairo_scale (cr, 1.0 / FINE, 1.0 / FINE);
  cairo_set_source_surface (cr, fine, 0.0, 0.0);
  cairo_paint (cr);
  cairo_show_page (cr);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_status (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (fine);
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);

  if (!check_cairo (status, error) || !forbid_print_scaling (out, error))
    return NULL;
  return g_byte_array_free_to_bytes (g_steal_pointer (&out));
}

/* CRC of the PNG specification (ISO/IEC 15948, annex D), bit by bit: 13 bytes only. */
static guint32
png_crc (const guint8 *data,
         gsize         n)
{
  guint32 crc = 0xffffffffu;
  for (gsize i = 0; i < n; i++)
    {
      crc ^= data[i];
      for (int k = 0; k < 8; k++)
        crc = (crc >> 1) ^ (0xedb88320u & (0u - (crc & 1u)));
    }
  return ~crc;
}

static void
put_be32 (guint8 *p,
          guint32 v)
{
  for (int i = 0; i < 4; i++)
    p[i] = (guint8) (v >> (24 - 8 * i));
}

/* pHYs tells the pixel's size in pixels per metre; without it every program
 * guesses one. It stands right after IHDR, which ends at byte 33 of any PNG. */
static GBytes *
with_resolution (const GByteArray *png,
                 double            dpi)
{
  const gsize header = 33;
  guint8 chunk[21] = { 0, 0, 0, 9, 'p', 'H', 'Y', 's' };
  const guint32 per_metre = (guint32) lrint (dpi / 0.0254);
  put_be32 (chunk + 8, per_metre);
  put_be32 (chunk + 12, per_metre);
  chunk[16] = 1;
  put_be32 (chunk + 17, png_crc (chunk + 4, 13));

  GByteArray *out = g_byte_array_sized_new (png->len + (guint) sizeof chunk);
  g_byte_array_append (out, png->data, (guint) header);
  g_byte_array_append (out, chunk, (guint) sizeof chunk);
  g_byte_array_append (out, png->data + header, png->len - (guint) header);
  return g_byte_array_free_to_bytes (out);
}

static GBytes *
to_png (const RhyDraft *self,
        double          dpi,
        GError        **error)
{
  if (!(dpi >= 10.0 && dpi <= 2400.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "%g dpi: must be from 10 to 2400", dpi);
      return NULL;
    }
  const double width = MAX (1.0, rint (box_width (self->box) * dpi / 25.4));
  const double height = MAX (1.0, rint (box_height (self->box) * dpi / 25.4));
  /* cairo's images end at 32767 a side; 400 million pixels are 1.6 GB. */
  if (!(width <= 32767.0 && height <= 32767.0 && width * height <= 4e8))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
                   "PNG of %.0f x %.0f pixels: at most 32767 a side and 400 million; take fewer than %g dpi",
                   width, height, dpi);
      return NULL;
    }

  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, (int) width, (int) height);
  cairo_t *cr = cairo_create (surface);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  cairo_paint (cr);
  cairo_scale (cr, dpi / 25.4, dpi / 25.4);
  draw (cr, self);
  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);

  g_autoptr (GByteArray) png = g_byte_array_new ();
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_write_to_png_stream (surface, gather, png);
  cairo_surface_destroy (surface);
  if (!check_cairo (status, error))
    return NULL;
  return with_resolution (png, dpi);
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
      return to_pdf (self, error);
    case RHY_FORMAT_PNG:
      return to_png (self, dpi, error);
    default:
      return to_svg (self);
    }
}
