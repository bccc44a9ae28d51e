/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft-private.h"
#include "words.h"

#include <math.h>
#include <string.h>

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

static const double PT = 72.0 / 25.4;

static cairo_surface_t *
begin_pdf (const RhyDraft *self,
           GByteArray     *out,
           double          width_mm,
           double          height_mm)
{
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (rhy_draft_gather, out, width_mm * PT, height_mm * PT);
  /* One fixed date, so that the same job gives the same bytes. */
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, self->title);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_SUBJECT, self->description);
  return surface;
}

/* The sheet, its corner at (0, 0), to be painted at 1/FINE. */
static cairo_surface_t *
record (const RhyDraft *self,
        cairo_status_t *status)
{
  const cairo_rectangle_t extents = { 0.0, 0.0, box_width (self->box) * PT * FINE, box_height (self->box) * PT * FINE };
  cairo_surface_t *fine = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, &extents);
  cairo_t *cr = cairo_create (fine);
  cairo_scale (cr, PT * FINE, PT * FINE);
  rhy_draft_draw (self, cr);
  *status = cairo_status (cr);
  cairo_destroy (cr);
  return fine;
}

static GBytes *
end_pdf (cairo_surface_t *surface,
         cairo_status_t   status,
         GByteArray      *out,
         GError         **error)
{
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);
  if (!rhy_draft_check_cairo (status, error) || !forbid_print_scaling (out, error))
    {
      g_byte_array_unref (out);
      return NULL;
    }
  return g_byte_array_free_to_bytes (out);
}

GBytes *
rhy_draft_to_pdf (const RhyDraft *self,
                  GError        **error)
{
  if (!(MAX (box_width (self->box), box_height (self->box)) * PT * FINE < 8e6))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "PDF: page of %.0f x %.0f mm: at most 28000 mm",
                   box_width (self->box), box_height (self->box));
      return NULL;
    }
  GByteArray *out = g_byte_array_new ();
  cairo_surface_t *surface = begin_pdf (self, out, box_width (self->box), box_height (self->box));
  cairo_status_t status;
  cairo_surface_t *fine = record (self, &status);
  cairo_t *cr = cairo_create (surface);
  cairo_scale (cr, 1.0 / FINE, 1.0 / FINE);
  cairo_set_source_surface (cr, fine, 0.0, 0.0);
  cairo_paint (cr);
  cairo_show_page (cr);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_status (cr);
  cairo_destroy (cr);
  cairo_surface_destroy (fine);
  return end_pdf (surface, status, out, error);
}

/* --- over several pages --------------------------------------------------- */

/* Office printers leave 4 to 6 mm of a page white (from memory; a printer's manual says its own). */
#define WHITE_MM 8.0
/* Under the tile: which page this is, and a bar to check its scale. */
#define STRIP_MM 11.0
#define PAGES_MAX 60

typedef struct
{
  double page_width, page_height;       /* mm */
  double width, height;                 /* of a tile */
  double overlap;
  int    columns, rows;
} Tiling;

static int
count (double extent,
       double tile,
       double overlap)
{
  /* A hair over is rounding, not a page. */
  return extent <= tile + 1e-6 ? 1 : 1 + (int) ceil ((extent - tile) / (tile - overlap) - 1e-6);
}

static Tiling
tiling (const RhyDraft *self,
        double          page_width,
        double          page_height,
        double          overlap)
{
  Tiling t = { .page_width = page_width, .page_height = page_height, .overlap = overlap,
               .width = page_width - 2.0 * WHITE_MM, .height = page_height - 2.0 * WHITE_MM - STRIP_MM };
  t.columns = count (MIN (box_width (self->box), 1e6), t.width, overlap);
  t.rows = count (MIN (box_height (self->box), 1e6), t.height, overlap);
  return t;
}

/* The same mark at the same place of the sheet is on both pages that meet there. */
static void
add_mark (RhyDraft *page,
          double    x,
          double    y)
{
  const RhyDraftPaint pen = { .colour = { 0.0, 0.0, 0.0, 1.0 }, .width_mm = 0.1 };
  rhy_draft_add_path (page, rhy_draft_line (x - 3.0, y, x + 3.0, y), pen);
  rhy_draft_add_path (page, rhy_draft_line (x, y - 3.0, x, y + 3.0), pen);
  RhyPath *ring = rhy_path_new ();
  rhy_path_add_circle (ring, x, y, 1.8);
  rhy_draft_add_path (page, ring, pen);
}

/* The middle of an overlap, dashed, with two marks; @along runs down the page. */
static void
add_joint (RhyDraft     *page,
           const Tiling *t,
           gboolean      along,
           double        at)
{
  const RhyDraftPaint pen = { .colour = { 0.6, 0.6, 0.6, 1.0 }, .width_mm = 0.1, .dash_mm = 3.0 };
  const double length = along ? t->height : t->width;
  rhy_draft_add_path (page, along ? rhy_draft_line (at, WHITE_MM, at, WHITE_MM + length)
                                  : rhy_draft_line (WHITE_MM, at, WHITE_MM + length, at), pen);
  for (int i = 0; i < 2; i++)
    {
      const double place = WHITE_MM + (i == 0 ? 0.25 : 0.75) * length;
      add_mark (page, along ? at : place, along ? place : at);
    }
}

/* What a page has beside its part of the sheet. */
static RhyDraft *
page_frame (const RhyDraft *self,
            const Tiling   *t,
            int             column,
            int             row)
{
  g_auto (RhyWords) words = rhy_words_begin ();
  const RhyColour ink = { 0.0, 0.0, 0.0, 1.0 };
  const RhyColour grey = { 0.45, 0.45, 0.45, 1.0 };
  const RhyDraftPaint pen = { .colour = ink, .width_mm = 0.15 };
  RhyDraft *page = rhy_draft_new ((RhyBounds) { 0.0, 0.0, t->page_width, t->page_height }, self->title, self->description);
  const double first = WHITE_MM + 0.5 * t->overlap;
  if (column > 0)
    add_joint (page, t, TRUE, first);
  if (column + 1 < t->columns)
    add_joint (page, t, TRUE, WHITE_MM + t->width - 0.5 * t->overlap);
  if (row > 0)
    add_joint (page, t, FALSE, first);
  if (row + 1 < t->rows)
    add_joint (page, t, FALSE, WHITE_MM + t->height - 0.5 * t->overlap);

  const double base = t->page_height - WHITE_MM - 1.0;
  const double bar = t->page_width - WHITE_MM - 50.0;
  rhy_draft_add_path (page, rhy_draft_line (bar, base, bar + 50.0, base), pen);
  for (int i = 0; i <= 5; i++)
    rhy_draft_add_path (page, rhy_draft_line (bar + 10.0 * i, base - (i % 5 == 0 ? 3.0 : 1.5), bar + 10.0 * i, base), pen);
  rhy_draft_add_fitted (page, bar + 25.0, base - 3.6, 50.0, 2.8, 1.6, RHY_TEXT_MIDDLE, 0.0, ink, _("50 mm: measure it"));
  const int number = row * t->columns + column + 1;
  g_autofree char *which = t->columns * t->rows == 1
                             ? g_strdup (_("Print at 100 % (actual size)."))
                             : g_strdup_printf (_("Page %d of %d: column %d, row %d."), number, t->columns * t->rows, column + 1, row + 1);
  const double room = bar - WHITE_MM - 3.0;
  rhy_draft_add_fitted (page, WHITE_MM, base - 3.6, room, 3.2, 1.6, RHY_TEXT_START, 0.0, ink, which);
  if (t->columns * t->rows > 1)
    rhy_draft_add_fitted (page, WHITE_MM, base, room, 2.6, 1.6, RHY_TEXT_START, 0.0, grey,
                          _("Print at 100 %. Cut one page of each joint along its dashed line, lay ring on ring, tape."));
  return page;
}

static gboolean
choose_tiling (const RhyDraft *self,
               double          page_width_mm,
               double          page_height_mm,
               double          overlap_mm,
               Tiling         *t,
               GError        **error)
{
  const Tiling upright = tiling (self, page_width_mm, page_height_mm, overlap_mm);
  const Tiling across = tiling (self, page_height_mm, page_width_mm, overlap_mm);
  *t = across.columns * across.rows < upright.columns * upright.rows ? across : upright;
  if (t->columns * t->rows <= PAGES_MAX)
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%d pages: at most %d; leave the paper's size away for one large sheet",
               t->columns * t->rows, PAGES_MAX);
  return FALSE;
}

/* @cr: in mm */
static void
draw_page (const RhyDraft *self,
           const Tiling   *t,
           int             i,
           cairo_t        *cr)
{
  const int column = i % t->columns;
  const int row = i / t->columns;
  g_autoptr (RhyDraft) frame = page_frame (self, t, column, row);

  cairo_save (cr);
  cairo_rectangle (cr, WHITE_MM, WHITE_MM, t->width, t->height);
  cairo_clip (cr);
  cairo_translate (cr, WHITE_MM - column * (t->width - t->overlap), WHITE_MM - row * (t->height - t->overlap));
  rhy_draft_draw (self, cr);
  cairo_restore (cr);
  rhy_draft_draw (frame, cr);
}

GBytes *
rhy_draft_to_pages (const RhyDraft *self,
                    double          page_width_mm,
                    double          page_height_mm,
                    double          overlap_mm,
                    GError        **error)
{
  Tiling t;
  if (!choose_tiling (self, page_width_mm, page_height_mm, overlap_mm, &t, error))
    return NULL;

  GByteArray *out = g_byte_array_new ();
  cairo_surface_t *surface = begin_pdf (self, out, t.page_width, t.page_height);
  cairo_status_t status = CAIRO_STATUS_SUCCESS;
  for (int i = 0; i < t.columns * t.rows && status == CAIRO_STATUS_SUCCESS; i++)
    {
      cairo_t *cr = cairo_create (surface);
      /* Points to 1.4 um will do on paper. */
      cairo_scale (cr, PT, PT);
      draw_page (self, &t, i, cr);
      cairo_show_page (cr);
      status = cairo_status (cr);
      cairo_destroy (cr);
    }
  return end_pdf (surface, status, out, error);
}

typedef struct
{
  RhyDraft *draft;
  Tiling    tiling;
} Pages;

static void
draw_nth (gpointer data,
          gsize    i,
          cairo_t *cr)
{
  const Pages *pages = data;
  draw_page (pages->draft, &pages->tiling, (int) i, cr);
}

static void
free_pages (gpointer data)
{
  Pages *pages = data;
  rhy_draft_free (pages->draft);
  g_free (pages);
}

RhyPages *
rhy_draft_take_pages (RhyDraft *self,
                      double    page_width_mm,
                      double    page_height_mm,
                      double    overlap_mm,
                      GError  **error)
{
  Pages *pages = g_new (Pages, 1);
  pages->draft = self;
  if (!choose_tiling (self, page_width_mm, page_height_mm, overlap_mm, &pages->tiling, error))
    {
      free_pages (pages);
      return NULL;
    }
  const Tiling *t = &pages->tiling;
  return rhy_pages_new (t->page_width, t->page_height, (gsize) (t->columns * t->rows), draw_nth, pages, free_pages);
}
