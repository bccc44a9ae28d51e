/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "contact.h"

#include <math.h>

#include "../art/late-cairo.h"
#include "draft-private.h"
#include "late-pango.h"
#include "page-text.h"
#include "words.h"

#define MARGIN_MM 15.0
#define TITLE_MM 11.0
#define GAP_MM 4.0
#define COLUMNS 4
#define ROWS 5
#define CELLS (COLUMNS * ROWS)
/* Under each picture: the name, and what the verdict is, in letters that get smaller until all lines fit;
 * about 60 letters of a name do. */
#define NAME_MM 6.6
#define VERDICT_MM 5.4
#define TEXT_MM (NAME_MM + VERDICT_MM + 0.8)
#define LEAST_MM 2.0

static const RhyColour dark = { 0.10, 0.11, 0.13, 1.0 };
static const RhyColour soft = { 0.38, 0.41, 0.45, 1.0 };
static const RhyColour frame = { 0.80, 0.82, 0.84, 1.0 };
static const RhyColour stop = { 0.66, 0.13, 0.10, 1.0 };
static const RhyColour good = { 0.07, 0.42, 0.27, 1.0 };

typedef struct
{
  cairo_t     *cr;              /* mm */
  PangoLayout *layout;
  double       width, height;
} Page;

static void
add_picture (const Page *p,
             double      x,
             double      y,
             double      side,
             const char *preview)
{
  cairo_surface_t *picture = preview != NULL ? cairo_image_surface_create_from_png (preview) : NULL;
  cairo_save (p->cr);
  if (picture != NULL && cairo_surface_status (picture) == CAIRO_STATUS_SUCCESS)
    {
      cairo_translate (p->cr, x, y);
      cairo_scale (p->cr, side / RHY_CONTACT_WIDTH, side / RHY_CONTACT_HEIGHT);
      cairo_set_source_surface (p->cr, picture, 0.0, 0.0);
      cairo_paint (p->cr);
    }
  else
    rhy_page_text (p->cr, p->layout, x + 0.5 * side, y + 0.5 * side - 2.0, 0.0, 3.0, FALSE, RHY_PLACE_MIDDLE, FALSE, soft,
                   _("no preview"));
  cairo_restore (p->cr);
  if (picture != NULL)
    cairo_surface_destroy (picture);
  cairo_rectangle (p->cr, x, y, side, side);
  cairo_set_line_width (p->cr, 0.2);
  cairo_set_source_rgba (p->cr, frame.r, frame.g, frame.b, frame.a);
  cairo_stroke (p->cr);
}

static void
add_cell (const Page        *p,
          guint              cell,
          const RhyBatchRow *row,
          const char        *preview)
{
  const double side = (p->width - 2.0 * MARGIN_MM - (COLUMNS - 1) * GAP_MM) / COLUMNS;
  const double pitch = MIN (side + TEXT_MM + 1.0, (p->height - 2.0 * MARGIN_MM - TITLE_MM) / ROWS);
  /* On a low page the pictures give way, not the text. */
  const double picture = MIN (side, pitch - TEXT_MM - 1.0);
  const double x = MARGIN_MM + (cell % COLUMNS) * (side + GAP_MM);
  const double y = MARGIN_MM + TITLE_MM + (cell / COLUMNS) * pitch;
  add_picture (p, x + 0.5 * (side - picture), y, picture, preview);

  g_autofree char *name = g_strdup_printf ("%" G_GSIZE_FORMAT "  %s", row->row, row->name);
  const gboolean ready = row->state == RHY_ROW_READY;
  static const char *const states[] = { [RHY_ROW_READY] = N_("ready"), [RHY_ROW_NOT_READY] = N_("not ready"), [RHY_ROW_BAD] = N_("bad") };
  g_autofree char *verdict = ready || *row->findings == '\0' ? g_strdup (_(states[row->state]))
                                                             : g_strdup_printf ("%s: %s", _(states[row->state]), row->findings);
  const double h = rhy_page_text_in (p->cr, p->layout, x, y + picture + 0.8, side, NAME_MM, 3.0, LEAST_MM, TRUE, dark, name);
  rhy_page_text_in (p->cr, p->layout, x, y + picture + 0.8 + h, side, VERDICT_MM, 2.6, LEAST_MM, FALSE, ready ? good : stop, verdict);
}

static void
add_frame (const Page *p,
           const char *title,
           guint       page,
           guint       n_pages,
           GPtrArray  *rows)
{
  guint ready = 0;
  for (guint i = 0; i < rows->len; i++)
    ready += ((const RhyBatchRow *) rows->pdata[i])->state == RHY_ROW_READY;
  g_autofree char *count = g_strdup_printf (_("%u of %u ready"), ready, rows->len);
  g_autofree char *number = g_strdup_printf (_("Contact sheet, page %u of %u"), page, n_pages);
  const double width = p->width - 2.0 * MARGIN_MM;
  const double taken = rhy_page_text_width (p->layout, 3.4, FALSE, count) + 4.0;
  rhy_page_text_in (p->cr, p->layout, MARGIN_MM, MARGIN_MM - 3.0, width - taken, TITLE_MM, 5.0, 3.0, TRUE, dark, title);
  rhy_page_text (p->cr, p->layout, MARGIN_MM + width, MARGIN_MM - 1.8, 0.0, 3.4, FALSE, RHY_PLACE_RIGHT, FALSE,
                 ready == rows->len ? good : stop, count);
  rhy_page_text (p->cr, p->layout, MARGIN_MM + width, p->height - 10.0, 0.0, 2.8, FALSE, RHY_PLACE_RIGHT, FALSE, soft, number);
  rhy_page_text (p->cr, p->layout, MARGIN_MM, p->height - 10.0, 0.0, 2.8, FALSE, RHY_PLACE_LEFT, FALSE, soft, _("Made by Rhyton."));
}

GBytes *
rhy_contact_sheet (GPtrArray   *rows,
                   char *const *previews,
                   const char  *title,
                   RhyPaper     paper,
                   GError     **error)
{
  Page p;
  g_auto (RhyWords) words = rhy_words_begin ();
  rhy_paper_get_size (paper, &p.width, &p.height);
  g_autoptr (GByteArray) out = g_byte_array_new ();
  cairo_surface_t *surface
    = cairo_pdf_surface_create_for_stream (rhy_draft_gather, out, p.width * RHY_PT_PER_MM, p.height * RHY_PT_PER_MM);
  /* A fixed date, so that the same rows give the same bytes. */
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, title);
  const guint n_pages = (rows->len + CELLS - 1) / CELLS;
  cairo_status_t status = CAIRO_STATUS_SUCCESS;
  for (guint page = 0; page < n_pages && status == CAIRO_STATUS_SUCCESS; page++)
    {
      p.cr = cairo_create (surface);
      cairo_scale (p.cr, RHY_PT_PER_MM, RHY_PT_PER_MM);
      p.layout = pango_cairo_create_layout (p.cr);
      pango_context_set_round_glyph_positions (pango_layout_get_context (p.layout), FALSE);
      add_frame (&p, title, page + 1, n_pages, rows);
      for (guint i = page * CELLS; i < MIN (rows->len, (page + 1) * CELLS); i++)
        add_cell (&p, i % CELLS, rows->pdata[i], previews[i]);
      cairo_show_page (p.cr);
      status = cairo_status (p.cr);
      g_object_unref (p.layout);
      cairo_destroy (p.cr);
    }
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);
  if (!rhy_draft_check_cairo (status, error))
    return NULL;
  return g_byte_array_free_to_bytes (g_steal_pointer (&out));
}
