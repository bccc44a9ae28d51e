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

/* @what as above; @number: (inout): that of the paint, if there is one */
static void
put_source (GString        *out,
            const char     *what,
            RhyColour       colour,
            const RhyPaint *paint,
            guint          *number)
{
  if (paint == NULL)
    {
      put_paint (out, what, colour);
      return;
    }
  g_string_append_printf (out, " %s=\"url(#paint-%u)\"", what, (*number)++);
  if (paint->alpha < 1.0 && paint->kind != RHY_PAINT_RASTER)
    {
      g_autofree char *name = g_strconcat (what, "-opacity", NULL);
      put_attribute (out, name, paint->alpha);
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
          const RhyShape *shape,
          guint          *paint)
{
  if (!shape->has_fill || rhy_svg_is_image (shape->fill_paint))
    {
      g_string_append (out, " fill=\"none\"");
      return;
    }
  put_source (out, "fill", shape->fill, shape->fill_paint, paint);
  if (shape->rule == RHY_FILL_EVENODD)
    g_string_append (out, " fill-rule=\"evenodd\"");
}

/* Which space a shape is written in: its pen's, if that is round there only.
 * Returns: whether the shape has a stroke at all. */
static gboolean
find_space (const RhyShape *shape,
            RhyAffine      *m,
            double         *scale)
{
  *m = RHY_AFFINE_IDENTITY;
  *scale = 1.0;
  if (!shape->has_stroke || rhy_pen_is_flat (&shape->pen))
    return FALSE;
  if (!rhy_pen_is_even (&shape->pen, scale))
    {
      *m = linear_inverse (shape->pen.matrix);
      *scale = 1.0;
    }
  return TRUE;
}

static gboolean
is_identity (RhyAffine m)
{
  return m.xx == 1.0 && m.yx == 0.0 && m.xy == 0.0 && m.yy == 1.0 && m.x0 == 0.0 && m.y0 == 0.0;
}

/* @paint: (inout): the next paint's number; put_paints() counts in the same order. */
static void
put_shape (GString        *out,
           const RhyShape *shape,
           guint          *paint)
{
  RhyAffine m;
  double scale;
  const gboolean stroke = find_space (shape, &m, &scale);
  const gboolean image = shape->has_fill && rhy_svg_is_image (shape->fill_paint);

  if (image)
    {
      g_string_append_printf (out, "<g clip-path=\"url(#paint-%u)\">", (*paint)++);
      rhy_svg_put_image (out, shape->fill_paint);
      g_string_append (out, "</g>\n");
    }
  if (!stroke && (!shape->has_fill || image))
    return;
  g_string_append (out, "<path");
  put_fill (out, shape, paint);
  if (stroke)
    {
      put_source (out, "stroke", shape->stroke, shape->stroke_paint, paint);
      put_pen (out, &shape->pen, scale);
    }
  if (!is_identity (m))
    {
      /* The pen is round in its own space only: draw there. */
      RhyAffine pen = shape->pen.matrix;
      pen.x0 = pen.y0 = 0.0;
      rhy_svg_put_matrix (out, "transform", pen);
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
             guint       first_clip,
             guint      *paint)
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
      put_shape (out, shape, paint);
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

/* What a picture lies in is its clip; all else is a paint. */
static void
put_shape_paints (GString        *out,
                  const RhyShape *shape,
                  guint          *id)
{
  RhyAffine m;
  double scale;
  const gboolean stroke = find_space (shape, &m, &scale);
  if (shape->has_fill && rhy_svg_is_image (shape->fill_paint))
    {
      g_string_append_printf (out, "<clipPath id=\"paint-%u\"><path", (*id)++);
      if (shape->rule == RHY_FILL_EVENODD)
        g_string_append (out, " clip-rule=\"evenodd\"");
      put_path_data (out, shape->path, RHY_AFFINE_IDENTITY);
      g_string_append (out, "/></clipPath>\n");
    }
  else if (shape->has_fill && shape->fill_paint != NULL)
    rhy_svg_put_paint (out, shape->fill_paint, (*id)++, m);
  if (stroke && shape->stroke_paint != NULL)
    rhy_svg_put_paint (out, shape->stroke_paint, (*id)++, m);
}

static void
put_paints (GString        *out,
            const RhyDraft *self)
{
  g_autoptr (GString) paints = g_string_new (NULL);
  guint id = 1;
  for (guint i = 0; i < self->items->len; i++)
    {
      const Item *item = &g_array_index (self->items, Item, i);
      for (gsize k = 0; item->kind == ITEM_ARTWORK && k < rhy_artwork_get_n_shapes (item->artwork); k++)
        put_shape_paints (paints, rhy_artwork_get_shape (item->artwork, k), &id);
    }
  if (paints->len > 0)
    g_string_append_printf (out, "<defs>\n%s</defs>\n", paints->str);
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
  put_paints (out, self);

  guint clip = 1;
  guint paint = 1;
  for (guint i = 0; i < self->items->len; i++)
    {
      const Item *item = &g_array_index (self->items, Item, i);
      switch (item->kind)
        {
        case ITEM_OPEN:
          g_string_append_printf (out, "<g id=\"%s\">\n", item->text);
          if (item->title != NULL)
            {
              g_string_append (out, "<title>");
              put_escaped (out, item->title);
              g_string_append (out, "</title>\n");
            }
          break;
        case ITEM_CLOSE:
          g_string_append (out, "</g>\n");
          break;
        case ITEM_ARTWORK:
          put_artwork (out, item->artwork, clip, &paint);
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
