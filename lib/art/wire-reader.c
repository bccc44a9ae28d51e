/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "wire-reader.h"

#include <math.h>
#include <string.h>

#include <rhyton/intake-wire.h>

#include "../shape/error-line.h"
#include "ink.h"

/* Outside this no drawing makes sense, and sums of it might overflow. */
static const double LENGTH_MAX_MM = 1e9;
/* What cairo's rounding may push ink over an edge it was drawn up to: parts of the page. */
static const double EDGE_SLACK = 1e-6;

/* A stretch of the stream; every take checks what is left. */
typedef struct
{
  const guint8 *at;
  gsize         left;
} Cursor;

static const void *
take (Cursor *cursor,
      guint64 count,
      gsize   size)
{
  if (count > cursor->left / size)
    return NULL;
  const gsize length = ((gsize) count * size + 7) & ~(gsize) 7;
  if (length > cursor->left)
    return NULL;
  const void *taken = cursor->at;
  cursor->at += length;
  cursor->left -= length;
  return taken;
}

/* A clip as it came; it enters the artwork when the first shape needs it. */
typedef struct
{
  RhyPath    *path;
  RhyFillRule rule;
  RhyBounds   box;
  gboolean    is_box;
  gboolean    is_used;
  guint       index;            /* in the artwork, once used */
} WireClip;

typedef struct
{
  RhyArtworkBuilder *builder;
  GArray            *clips;     /* WireClip; the first is the page */
  GPtrArray         *rasters;   /* RhyRaster */
  GPtrArray         *paints;    /* RhyPaint */
  guint64            n_pixels;
  RhyWireSize        size;
  gboolean           has_size;
} Reader;

static gboolean
is_length (double x)
{
  return fabs (x) <= LENGTH_MAX_MM;     /* fails for NaN */
}

static gboolean
are_lengths (const double *x,
             gsize         n)
{
  gboolean good = TRUE;
  for (gsize i = 0; i < n; i++)
    good = good && is_length (x[i]);
  return good;
}

/* Verbs must start with a move and have exactly the points that are there. */
static RhyPath *
read_path (Cursor *cursor)
{
  const guint64 *counts = take (cursor, 2, sizeof (guint64));
  if (counts == NULL)
    return NULL;
  const guint64 n_verbs = counts[0];
  const guint64 n_points = counts[1];
  const RhyPoint *points = take (cursor, n_points, sizeof (RhyPoint));
  const guint8 *verbs = points != NULL ? take (cursor, n_verbs, 1) : NULL;
  if (verbs == NULL || (n_verbs > 0 && verbs[0] != RHY_PATH_MOVE)
      || !are_lengths ((const double *) points, 2 * (gsize) n_points))
    return NULL;

  guint64 used = 0;
  for (gsize i = 0; i < n_verbs; i++)
    switch (verbs[i])
      {
      case RHY_PATH_MOVE:
      case RHY_PATH_LINE:
        used += 1;
        break;
      case RHY_PATH_CUBIC:
        used += 3;
        break;
      case RHY_PATH_CLOSE:
        break;
      default:
        return NULL;
      }
  if (used != n_points)
    return NULL;

  RhyPath *path = rhy_path_new ();
  path->n_verbs = path->verbs_room = (gsize) n_verbs;
  path->n_points = path->points_room = (gsize) n_points;
  path->verbs = g_memdup2 (verbs, (gsize) n_verbs);
  path->points = g_memdup2 (points, (gsize) n_points * sizeof (RhyPoint));
  return path;
}

static gboolean
is_box (const RhyPath *path)
{
  if (path->n_points < 4 || path->n_points > 5 || path->n_verbs < 4)
    return FALSE;
  for (gsize i = 0; i < path->n_verbs; i++)
    if (path->verbs[i] == RHY_PATH_CUBIC || (i > 0 && path->verbs[i] == RHY_PATH_MOVE))
      return FALSE;
  const RhyPoint *p = path->points;
  if (path->n_points == 5 && (p[4].x != p[0].x || p[4].y != p[0].y))
    return FALSE;
  const gboolean level_first = p[0].y == p[1].y && p[1].x == p[2].x && p[2].y == p[3].y && p[3].x == p[0].x;
  const gboolean upright_first = p[0].x == p[1].x && p[1].y == p[2].y && p[2].x == p[3].x && p[3].y == p[0].y;
  return level_first || upright_first;
}

static gboolean
is_within (RhyBounds inner,
           RhyBounds outer,
           double    slack)
{
  return inner.min_x >= outer.min_x - slack && inner.min_y >= outer.min_y - slack
         && inner.max_x <= outer.max_x + slack && inner.max_y <= outer.max_y + slack;
}

static void
add_clip (Reader     *self,
          RhyPath    *path,
          RhyFillRule rule)
{
  const WireClip clip = { path, rule, rhy_path_get_bounds (path), is_box (path), FALSE, 0 };
  g_array_append_val (self->clips, clip);
}

static void
clear_clip (gpointer data)
{
  rhy_path_unref (((WireClip *) data)->path);
}

static gboolean
read_size (Reader *self,
           Cursor *cursor)
{
  const RhyWireSize *size = take (cursor, 1, sizeof *size);
  if (size == NULL || self->has_size || !(size->width_mm > 0.0) || !(size->height_mm > 0.0)
      || !is_length (size->width_mm) || !is_length (size->height_mm) || size->source > RHY_SIZE_INK)
    return FALSE;
  self->size = *size;
  self->has_size = TRUE;
  rhy_artwork_builder_set_size (self->builder, size->width_mm, size->height_mm, (RhySizeSource) size->source);

  /* Ink past the page's edge is drawn by nobody: the page is the outermost clip. */
  RhyPath *page = rhy_path_new ();
  rhy_path_move_to (page, 0.0, 0.0);
  rhy_path_line_to (page, size->width_mm, 0.0);
  rhy_path_line_to (page, size->width_mm, size->height_mm);
  rhy_path_line_to (page, 0.0, size->height_mm);
  rhy_path_close (page);
  add_clip (self, page, RHY_FILL_NONZERO);
  return TRUE;
}

static gboolean
read_clip (Reader *self,
           Cursor *cursor)
{
  const guint64 *rule = take (cursor, 1, sizeof *rule);
  if (rule == NULL || *rule > RHY_FILL_EVENODD || !self->has_size)
    return FALSE;
  RhyPath *path = read_path (cursor);
  if (path == NULL)
    return FALSE;
  add_clip (self, path, (RhyFillRule) *rule);
  return TRUE;
}

static gboolean
is_colour (RhyColour c)
{
  return c.r >= 0.0 && c.r <= 1.0 && c.g >= 0.0 && c.g <= 1.0 && c.b >= 0.0 && c.b <= 1.0 && c.a >= 0.0 && c.a <= 1.0;
}

/* Whether no pixel is brighter than its alpha lets it be. */
static gboolean
are_pixels (const guint32 *pixels,
            gsize          n)
{
  gboolean good = TRUE;
  for (gsize i = 0; i < n; i++)
    {
      const guint32 a = pixels[i] >> 24;
      good &= (pixels[i] >> 16 & 255) <= a && (pixels[i] >> 8 & 255) <= a && (pixels[i] & 255) <= a;
    }
  return good;
}

static gboolean
read_raster (Reader *self,
             Cursor *cursor)
{
  const RhyWireRaster *r = take (cursor, 1, sizeof *r);
  if (r == NULL || r->width == 0 || r->height == 0)
    return FALSE;
  const guint64 n = (guint64) r->width * r->height;
  const guint32 *pixels = n <= RHY_RASTER_PIXELS_MAX - self->n_pixels ? take (cursor, n, sizeof (guint32)) : NULL;
  if (pixels == NULL || !are_pixels (pixels, (gsize) n))
    return FALSE;
  self->n_pixels += n;
  g_ptr_array_add (self->rasters, rhy_raster_new (r->width, r->height, g_memdup2 (pixels, (gsize) n * sizeof (guint32))));
  return TRUE;
}

static gboolean
are_stops (const RhyStop *stops,
           gsize          n)
{
  double at = 0.0;
  for (gsize i = 0; i < n; i++)
    {
      if (!is_colour (stops[i].colour) || !(stops[i].offset >= at && stops[i].offset <= 1.0))
        return FALSE;
      at = stops[i].offset;
    }
  return n > 0;
}

/* A paint that is flattened to a line has no place in an artwork; who sends it
 * was to send the nearest colour alone. */
static gboolean
has_inverse (RhyAffine m)
{
  const double det = m.xx * m.yy - m.xy * m.yx;
  return fabs (det) > 0.0 && isfinite (1.0 / det);
}

static gboolean
read_paint (Reader *self,
            Cursor *cursor)
{
  const RhyWirePaint *p = take (cursor, 1, sizeof *p);
  if (p == NULL || p->kind > RHY_PAINT_RASTER || p->extend > RHY_EXTEND_REFLECT || p->smooth > 1
      || !(p->alpha >= 0.0 && p->alpha <= 1.0) || !(p->r0 >= 0.0 && p->r1 >= 0.0) || !has_inverse (p->matrix)
      || !are_lengths ((const double[]) { p->matrix.xx, p->matrix.yx, p->matrix.xy, p->matrix.yy, p->matrix.x0, p->matrix.y0,
                                          p->x0, p->y0, p->r0, p->x1, p->y1, p->r1 }, 12))
    return FALSE;
  const gboolean is_raster = p->kind == RHY_PAINT_RASTER;
  const RhyStop *stops = take (cursor, p->n_stops, sizeof (RhyStop));
  if (stops == NULL || (is_raster ? p->n_stops > 0 || p->raster >= self->rasters->len : !are_stops (stops, (gsize) p->n_stops)))
    return FALSE;
  const RhyPaint paint = {
    .kind = (RhyPaintKind) p->kind, .extend = (RhyExtend) p->extend, .matrix = p->matrix,
    .x0 = p->x0, .y0 = p->y0, .r0 = p->r0, .x1 = p->x1, .y1 = p->y1, .r1 = p->r1,
    .stops = is_raster ? NULL : g_memdup2 (stops, (gsize) p->n_stops * sizeof (RhyStop)), .n_stops = (gsize) p->n_stops,
    .raster = is_raster ? rhy_raster_ref (g_ptr_array_index (self->rasters, p->raster)) : NULL,
    .smooth = p->smooth != 0, .alpha = p->alpha,
  };
  g_ptr_array_add (self->paints, rhy_paint_new (&paint));
  return TRUE;
}

/* @number counts from 1. */
static RhyPaint *
paint_of (const Reader *self,
          guint32       number)
{
  return number > 0 ? rhy_paint_ref (g_ptr_array_index (self->paints, number - 1)) : NULL;
}

static gboolean
is_drawable (const RhyWireShape *s)
{
  const double numbers[] = { s->width, s->miter_limit, s->dash_offset, s->xx, s->yx, s->xy, s->yy };
  return s->has_fill <= 1 && s->has_stroke <= 1 && s->rule <= RHY_FILL_EVENODD && s->cap <= RHY_CAP_SQUARE
         && s->join <= RHY_JOIN_BEVEL && s->width >= 0.0 && are_lengths (numbers, G_N_ELEMENTS (numbers))
         && is_colour (s->fill) && is_colour (s->stroke);
}

static void
keep_clip (Reader   *self,
           WireClip *clip,
           RhyShape *shape)
{
  if (!clip->is_used)
    clip->index = rhy_artwork_builder_add_clip (self->builder, rhy_path_ref (clip->path), clip->rule);
  clip->is_used = TRUE;
  shape->clips[shape->n_clips++] = clip->index;
}

static RhyBounds
intersection (RhyBounds a,
              RhyBounds b)
{
  return (RhyBounds) { MAX (a.min_x, b.min_x), MAX (a.min_y, b.min_y), MIN (a.max_x, b.max_x), MIN (a.max_y, b.max_y) };
}

/* Boxes that cut nothing off what the other clips leave are left out: librsvg
 * sets one for every viewport, and the page is one. Real shapes first, then
 * boxes from the innermost outwards, so that the tightest is the one that stays. */
static void
keep_clips_that_cut (Reader        *self,
                     RhyShape      *shape,
                     const guint32 *clips,
                     gsize          n_clips,
                     RhyBounds      box)
{
  const double slack = EDGE_SLACK * MAX (self->size.width_mm, self->size.height_mm);
  shape->clips = g_new (guint, n_clips + 1);
  for (gsize i = 0; i < n_clips; i++)
    {
      WireClip *clip = &g_array_index (self->clips, WireClip, clips[i] + 1);
      if (clip->is_box)
        continue;
      keep_clip (self, clip, shape);
      box = intersection (box, clip->box);
    }
  for (gsize i = n_clips + 1; i-- > 0;)
    {
      WireClip *clip = &g_array_index (self->clips, WireClip, i == 0 ? 0 : clips[i - 1] + 1);
      if (!clip->is_box || is_within (box, clip->box, slack))
        continue;
      keep_clip (self, clip, shape);
      box = intersection (box, clip->box);
    }
  if (shape->n_clips == 0)
    g_clear_pointer (&shape->clips, g_free);
}

static gboolean
read_shape (Reader *self,
            Cursor *cursor)
{
  const RhyWireShape *s = take (cursor, 1, sizeof *s);
  if (s == NULL || !self->has_size || !is_drawable (s)
      || s->fill_paint > self->paints->len || s->stroke_paint > self->paints->len)
    return FALSE;
  const double *dashes = take (cursor, s->n_dashes, sizeof (double));
  const guint32 *clips = dashes != NULL ? take (cursor, s->n_clips, sizeof (guint32)) : NULL;
  if (clips == NULL || !are_lengths (dashes, (gsize) s->n_dashes))
    return FALSE;
  for (gsize i = 0; i < s->n_clips; i++)
    if (clips[i] >= self->clips->len - 1)
      return FALSE;
  double whole = 0.0;
  for (gsize i = 0; i < s->n_dashes; i++)
    if (!(dashes[i] >= 0.0))
      return FALSE;
    else
      whole += dashes[i];

  RhyPath *path = read_path (cursor);
  if (path == NULL)
    return FALSE;
  RhyShape shape = {
    .path = path,
    .rule = (RhyFillRule) s->rule,
    .has_fill = s->has_fill != 0,
    .fill = s->fill,
    .fill_paint = paint_of (self, s->fill_paint),
    .has_stroke = s->has_stroke != 0,
    .stroke = s->stroke,
    .stroke_paint = paint_of (self, s->stroke_paint),
    .pen = { .width = s->width, .cap = (RhyCap) s->cap, .join = (RhyJoin) s->join, .miter_limit = s->miter_limit,
             .dash_offset = s->dash_offset, .matrix = { s->xx, s->yx, s->xy, s->yy, 0.0, 0.0 } },
  };
  /* Dashes that add up to nothing are a full line (SVG 2, section 13.5.6). */
  if (whole > 0.0)
    {
      shape.pen.n_dashes = (gsize) s->n_dashes;
      shape.pen.dashes = g_memdup2 (dashes, (gsize) s->n_dashes * sizeof (double));
    }

  RhyBounds box = shape.has_fill ? rhy_path_get_bounds (path) : RHY_BOUNDS_EMPTY;
  if (shape.has_stroke)
    box = rhy_bounds_union (box, rhy_ink_stroke_bounds (path, &shape.pen));
  keep_clips_that_cut (self, &shape, clips, s->n_clips, box);
  rhy_artwork_builder_add_shape (self->builder, &shape);
  return TRUE;
}

static gboolean
read_picture (Reader *self,
              Cursor *cursor)
{
  const RhyWirePicture *picture = take (cursor, 1, sizeof *picture);
  if (picture == NULL || picture->kind >= RHY_PICTURE_N_KINDS || picture->is_drawn > 1
      || !are_lengths ((const double[]) { picture->box.min_x, picture->box.min_y, picture->box.max_x, picture->box.max_y }, 4))
    return FALSE;
  rhy_artwork_builder_add_picture (self->builder, (RhyPicture) { (RhyPictureKind) picture->kind, picture->box, picture->is_drawn != 0 });
  return TRUE;
}

/* A line that is safe to show: valid, without control characters, not endless. */
static char *
read_line (Cursor *cursor)
{
  const guint64 *length = take (cursor, 1, sizeof *length);
  const char *text = length != NULL ? take (cursor, *length, 1) : NULL;
  if (text == NULL)
    return NULL;
  return rhy_error_line (text, (gssize) *length, 400);
}

static gboolean
read_note (Reader *self,
           Cursor *cursor)
{
  g_autofree char *line = read_line (cursor);
  if (line != NULL)
    rhy_artwork_builder_add_note (self->builder, line);
  return line != NULL;
}

static void
read_error (Cursor  *cursor,
            GError **error)
{
  const guint64 *code = take (cursor, 1, sizeof *code);
  g_autofree char *line = code != NULL ? read_line (cursor) : NULL;
  g_set_error_literal (error, RHY_ERROR, code != NULL && *code == RHY_ERROR_LIMIT ? RHY_ERROR_LIMIT : RHY_ERROR_ARTWORK,
                       line != NULL && *g_strstrip (line) != '\0' ? line : "it cannot be read");
}

static gboolean
next_record (Cursor       *stream,
             RhyWireHead  *head,
             Cursor       *payload)
{
  const RhyWireHead *h = take (stream, 1, sizeof *h);
  if (h == NULL)
    return FALSE;
  *head = *h;
  payload->left = (gsize) h->length;
  payload->at = take (stream, h->length, 1);
  return payload->at != NULL;
}

static gboolean
open_stream (Cursor       *stream,
             const guint8 *data,
             gsize         size)
{
  *stream = (Cursor) { data, size };
  const guint64 *start = take (stream, 2, sizeof *start);
  return start != NULL && start[0] == RHY_WIRE_MAGIC && start[1] == RHY_WIRE_VERSION;
}

gboolean
rhy_wire_is_complete (const guint8 *data,
                      gsize         size)
{
  Cursor stream, payload;
  RhyWireHead head;
  if (!open_stream (&stream, data, size))
    return FALSE;
  while (next_record (&stream, &head, &payload))
    if (head.kind == RHY_WIRE_END || head.kind == RHY_WIRE_ERROR)
      return TRUE;
  return FALSE;
}

static gboolean
read_record (Reader            *self,
             const RhyWireHead *head,
             Cursor            *payload)
{
  switch (head->kind)
    {
    case RHY_WIRE_SIZE:
      return read_size (self, payload);
    case RHY_WIRE_CLIP:
      return read_clip (self, payload);
    case RHY_WIRE_SHAPE:
      return read_shape (self, payload);
    case RHY_WIRE_RASTER:
      return read_raster (self, payload);
    case RHY_WIRE_PAINT:
      return read_paint (self, payload);
    case RHY_WIRE_PICTURE:
      return read_picture (self, payload);
    case RHY_WIRE_NOTE:
      return read_note (self, payload);
    default:
      return FALSE;
    }
}

RhyArtwork *
rhy_wire_read (const guint8 *data,
               gsize         size,
               GError      **error)
{
  Reader self = { .builder = rhy_artwork_builder_new (), .clips = g_array_new (FALSE, FALSE, sizeof (WireClip)),
                  .rasters = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_raster_unref),
                  .paints = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_paint_unref) };
  g_array_set_clear_func (self.clips, clear_clip);
  Cursor stream, payload;
  RhyWireHead head;
  guint64 n_records = 0;
  gboolean good = open_stream (&stream, data, size);
  gboolean ended = FALSE;

  while (good && !ended && (good = next_record (&stream, &head, &payload)))
    if (head.kind == RHY_WIRE_ERROR)
      {
        read_error (&payload, error);
        good = FALSE;
        error = NULL;           /* said already */
      }
    else if (head.kind == RHY_WIRE_END)
      {
        const guint64 *n = take (&payload, 1, sizeof *n);
        good = n != NULL && *n == n_records && self.has_size;
        ended = TRUE;
      }
    else
      {
        good = read_record (&self, &head, &payload);
        n_records++;
      }
  g_array_unref (self.clips);
  g_ptr_array_unref (self.rasters);
  g_ptr_array_unref (self.paints);

  if (!good || !ended)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "the program that reads drawings gave an answer that makes no sense");
      rhy_artwork_builder_free (self.builder);
      return NULL;
    }
  return rhy_artwork_builder_end (self.builder);
}
