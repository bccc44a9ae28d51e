/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "draft-private.h"

#include <cairo-pdf.h>
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

GBytes *
rhy_draft_to_pdf (const RhyDraft *self,
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
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (rhy_draft_gather, out, width, height);
  /* One fixed date, so that the same job gives the same bytes. */
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, self->title);
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_SUBJECT, self->description);

  const cairo_rectangle_t extents = { 0.0, 0.0, width * FINE, height * FINE };
  cairo_surface_t *fine = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, &extents);
  cairo_t *cr = cairo_create (fine);
  cairo_scale (cr, pt * FINE, pt * FINE);
  rhy_draft_draw (self, cr);
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

  if (!rhy_draft_check_cairo (status, error) || !forbid_print_scaling (out, error))
    return NULL;
  return g_byte_array_free_to_bytes (g_steal_pointer (&out));
}
