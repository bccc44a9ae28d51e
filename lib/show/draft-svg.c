/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft-private.h"

#include <math.h>
#include <string.h>

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
  const gboolean stroke = shape->has_stroke && !rhy_pen_is_flat (&shape->pen);
  const gboolean even = !stroke || rhy_pen_is_even (&shape->pen, &scale);

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

GBytes *
rhy_draft_to_svg (const RhyDraft *self)
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
