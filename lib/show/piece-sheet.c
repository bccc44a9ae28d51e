/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/piece.h>

#include <math.h>

#include <rhyton/brush.h>
#include <rhyton/table.h>

#include "../art/late-cairo.h"
#include "draft-private.h"
#include "late-pango.h"
#include "page-text.h"
#include "words.h"

#define MARGIN_MM 15.0
#define FOOT_MM 15.0
#define SMALL 3.2
#define BODY 3.8
#define HEADING 4.6
#define TITLE 6.4
#define PICTURE_MM 72.0

static const RhyColour ink = { 0.10, 0.11, 0.13, 1.0 };
static const RhyColour soft = { 0.38, 0.41, 0.45, 1.0 };
static const RhyColour rule = { 0.72, 0.75, 0.78, 1.0 };
static const RhyColour accent = { 0.05, 0.36, 0.50, 1.0 };
static const RhyColour stop = { 0.66, 0.13, 0.10, 1.0 };

typedef struct
{
  cairo_surface_t *surface;
  cairo_t         *cr;          /* mm */
  PangoLayout     *layout;
  double           width, height, y;
  int              page;        /* from 1 */
  const char      *name;
} Page;

static void
add_footer (Page *p)
{
  g_autofree char *text = g_strdup_printf (_("%s, page %d"), p->name, p->page);
  const double taken = rhy_page_text_width (p->layout, 3.0, FALSE, text) + 4.0;
  rhy_page_text (p->cr, p->layout, p->width - MARGIN_MM, p->height - 11.0, 0.0, 3.0, FALSE, RHY_PLACE_RIGHT, FALSE, soft, text);
  rhy_page_text_in (p->cr, p->layout, MARGIN_MM, p->height - 11.0, p->width - 2.0 * MARGIN_MM - taken, 4.5, 3.0, 2.0, FALSE, soft,
                    _("Made by Rhyton. Lengths in mm, angles in degrees."));
}

/* On to the next page unless this one has that much room. */
static gboolean
need (Page  *p,
      double height)
{
  if (p->y + height <= p->height - FOOT_MM)
    return FALSE;
  add_footer (p);
  cairo_show_page (p->cr);
  p->page++;
  p->y = MARGIN_MM;
  return TRUE;
}

static double
text (Page       *p,
      double      x,
      double      width,
      double      size,
      gboolean    bold,
      RhyColour   c,
      const char *what)
{
  return rhy_page_text (p->cr, p->layout, x, p->y, width, size, bold, RHY_PLACE_LEFT, FALSE, c, what);
}

static void
block (Page       *p,
       double      size,
       gboolean    bold,
       RhyColour   c,
       const char *what)
{
  need (p, 12.0);
  p->y += text (p, MARGIN_MM, p->width - 2.0 * MARGIN_MM, size, bold, c, what) + 0.8;
}

static void
line (Page  *p,
      double x0,
      double x1,
      double y)
{
  cairo_move_to (p->cr, x0, y);
  cairo_line_to (p->cr, x1, y);
  cairo_set_line_width (p->cr, 0.2);
  cairo_set_source_rgba (p->cr, rule.r, rule.g, rule.b, rule.a);
  cairo_stroke (p->cr);
}

/* The piece as it is drawn, as large as there is room, at most at its size. */
static void
add_picture (Page       *p,
             RhyArtwork *art)
{
  const RhyBounds box = rhy_artwork_get_ink_box (art);
  const double wide = p->width - 2.0 * MARGIN_MM;
  const double scale = MIN (1.0, MIN (wide / (box.max_x - box.min_x), PICTURE_MM / MAX (box.max_y - box.min_y, 1.0)));
  const double tall = scale * (box.max_y - box.min_y);
  p->y += 3.0;
  need (p, tall);
  cairo_save (p->cr);
  cairo_translate (p->cr, MARGIN_MM + 0.5 * wide - 0.5 * scale * (box.min_x + box.max_x), p->y + scale * box.max_y);
  cairo_scale (p->cr, scale, -scale);
  rhy_brush_artwork (p->cr, art, 0.15 / scale);
  cairo_restore (p->cr);
  p->y += tall + 4.0;
}

/* ---- tables ---- */

/* Titles at the head of each page that has rows. */
typedef struct
{
  const char *const *titles;
  const double      *widths;    /* fractions of the page's */
  guint              n;
} Columns;

static void
add_titles (Page          *p,
            const Columns *c)
{
  const double wide = p->width - 2.0 * MARGIN_MM;
  double x = MARGIN_MM;
  double tall = 0.0;
  for (guint k = 0; k < c->n; k++)
    {
      const double h = text (p, x, c->widths[k] * wide - 3.0, SMALL, FALSE, soft, c->titles[k]);
      tall = MAX (tall, h);
      x += c->widths[k] * wide;
    }
  p->y += tall + 1.0;
  line (p, MARGIN_MM, p->width - MARGIN_MM, p->y);
  p->y += 1.2;
}

/* @cells: NULL: a line to write on. @swatch: (nullable): a spot of that colour before the first. */
static void
add_row (Page              *p,
         const Columns     *c,
         const char *const *cells,
         const RhyColour   *swatch)
{
  const double wide = p->width - 2.0 * MARGIN_MM;
  if (need (p, 14.0))
    add_titles (p, c);
  double x = MARGIN_MM;
  double tall = 5.4;
  if (swatch != NULL)
    {
      cairo_rectangle (p->cr, x, p->y + 0.3, 4.2, 4.2);
      cairo_set_source_rgba (p->cr, swatch->r, swatch->g, swatch->b, 1.0);
      cairo_fill (p->cr);
    }
  for (guint k = 0; k < c->n; k++)
    {
      const double indent = k == 0 && swatch != NULL ? 6.0 : 0.0;
      const double room = c->widths[k] * wide - 3.0 - indent;
      if (cells[k] == NULL)
        line (p, x, x + room, p->y + 4.6);
      else
        {
          const double h = text (p, x + indent, room, BODY, FALSE, ink, cells[k]) + 0.8;
          tall = MAX (tall, h);
        }
      x += c->widths[k] * wide;
    }
  p->y += tall;
}

static void
add_answers (Page *p)
{
  const char *const titles[] = { _("What you see, the mouth up"), _("What to set") };
  static const double widths[] = { 0.5, 0.5 };
  const Columns columns = { titles, widths, 2 };
  gsize n;
  const RhyArrowAnswer *answers = rhy_piece_get_arrow_answers (&n);
  add_titles (p, &columns);
  for (gsize i = 0; i < n; i++)
    {
      const char *const cells[] = { _(answers[i].seen), _(answers[i].set) };
      add_row (p, &columns, cells, NULL);
    }
}

static void
add_cells (Page                  *p,
           const RhyPieceOptions *o,
           const RhyPieceBeam    *beam)
{
  const char *const titles[] = { _("Colour"), _("Power, %"), _("Speed, mm/s"), _("Energy, J/mm\xc2\xb2"), _("What it looks like") };
  static const double widths[] = { 0.18, 0.16, 0.18, 0.2, 0.28 };
  const Columns columns = { titles, widths, 5 };
  add_titles (p, &columns);
  for (gsize k = 0; k < o->n_speeds; k++)
    for (gsize i = 0; i < o->n_powers; i++)
      {
        const RhyColour c = rhy_piece_ladder_colour (k * o->n_powers + i, o->n_powers * o->n_speeds);
        g_autofree char *colour = g_strdup_printf ("#%02x%02x%02x", (guint) lround (255 * c.r), (guint) lround (255 * c.g),
                                                   (guint) lround (255 * c.b));
        RhyDigits power, speed, energy;
        g_ascii_formatd (energy, sizeof energy, "%.4g",
                         rhy_piece_energy (beam->watts, o->powers[i], o->speeds[k], beam->line_distance_mm));
        const char *const cells[] = { colour, rhy_say (power, o->powers[i], 2), rhy_say (speed, o->speeds[k], 2),
                                      beam->watts > 0.0 ? energy : "", NULL };
        add_row (p, &columns, cells, &c);
      }
}

/* Every crossing of the grid, to be filled in by hand; the CSV has them in the same order. */
static void
add_readings (Page                  *p,
              const RhyPlan         *plan,
              RhyArtwork            *art,
              const RhyPieceOptions *o)
{
  const char *const titles[] = { _("Height"), _("Angle"), _("Along, meant"), _("Along, found"), _("Around, meant"), _("Around, found") };
  static const double widths[] = { 0.15, 0.15, 0.17, 0.18, 0.17, 0.18 };
  const Columns columns = { titles, widths, 6 };
  g_autoptr (GBytes) form = rhy_piece_readings_form (plan, art, o);
  gsize length;
  const char *csv = g_bytes_get_data (form, &length);
  g_autoptr (RhyTable) table = rhy_table_new_from_data (csv, length, "", NULL);
  if (table == NULL)
    return;
  add_titles (p, &columns);
  for (gsize i = 0; i < rhy_table_get_n_rows (table); i++)
    {
      RhyDigits digits[6];
      const char *cells[6];
      for (gsize k = 0; k < 6; k++)
        {
          const char *field = rhy_table_get (table, i, k);
          cells[k] = *field != '\0' ? rhy_say (digits[k], g_ascii_strtod (field, NULL), 2) : NULL;
        }
      add_row (p, &columns, cells, NULL);
    }
}

/* ---- the sheet ---- */

typedef struct
{
  const char *name, *purpose, *steps;
} Words;

static const Words words_of[] = {
  [RHY_PIECE_RULER] = { N_("Test piece: ruler"), N_("A grid of 10 mm steps. What it measures on the vessel teaches the machine's travel per turn, and what else is off."),
                        N_("Burn it, then measure from the middle cross along the vessel and around it with a tape, and write down what you find. "
                           "With these numbers in the table of readings, learning from it says what to set.") },
  [RHY_PIECE_ARROW] = { N_("Test piece: arrow"), N_("One burn shows which way the drawing comes out, and whether it is mirrored."),
                        N_("Burn it, turn the mouth up, look at the wall, and find the row that says what you see.") },
  [RHY_PIECE_LADDER] = { N_("Test piece: ladder"), N_("Powers by speeds, to choose from on the coating of the job."),
                         N_("Set each colour's power and speed in the machine's software, as below. Figures below the cells are powers in percent, "
                            "beside them speeds in mm/s.") },
  [RHY_PIECE_TURN] = { N_("Test piece: turn"), N_("A line once round: how far its end runs past its start, or falls short of it, teaches the travel per turn."),
                       N_("Read where the end's mark, below the line, meets the scale above it: right of 0 counts plus, left of it minus. "
                          "Measure the diameter there.") },
};

static void
add_settings (Page          *p,
              const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  RhyDigits travel, diameter, tilt, height, around;
  g_autofree char *text_of = g_strdup_printf (_("Travel per turn %s mm, reference diameter %s mm, tilt %s\xc2\xb0. The mark is %s mm up, %s\xc2\xb0 around."),
                                              rhy_say (travel, n->travel_per_turn_mm, 3), rhy_say (diameter, n->reference_diameter_mm, 2),
                                              rhy_say (tilt, rhy_degrees (n->tilt_rad), 2),
                                              rhy_say (height, rhy_wall_at (rhy_plan_get_wall (plan), n->anchor.s).z_mm, 1),
                                              rhy_say (around, rhy_degrees (n->anchor.angle), 1));
  block (p, BODY, FALSE, ink, text_of);
}

static void
add_blanks (Page *p)
{
  const char *const titles[] = { _("Past its start by, mm"), _("Diameter there, mm") };
  static const double widths[] = { 0.5, 0.5 };
  const Columns columns = { titles, widths, 2 };
  const char *const cells[] = { NULL, NULL };
  add_titles (p, &columns);
  for (int i = 0; i < 3; i++)
    {
      p->y += 2.0;
      add_row (p, &columns, cells, NULL);
    }
}

static void
draw (Page                  *p,
      RhyPiece               piece,
      const RhyPlan         *plan,
      RhyArtwork            *art,
      const RhyPieceOptions *o,
      const RhyPieceBeam    *beam)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  block (p, TITLE, TRUE, ink, p->name);
  block (p, BODY, FALSE, soft, d->job.title != NULL ? d->job.title : _("Untitled job"));
  p->y += 2.0;
  block (p, BODY, FALSE, ink, _(words_of[piece].purpose));
  add_settings (p, plan);
  block (p, BODY, TRUE, stop, _("On scrap of the same shape. Eye protection on, extraction on; stay with the machine until it has stopped, "
                                "and follow its manual."));
  add_picture (p, art);
  block (p, HEADING, TRUE, accent, _("What to do with it"));
  block (p, BODY, FALSE, ink, _(words_of[piece].steps));
  p->y += 2.0;
  switch (piece)
    {
    case RHY_PIECE_ARROW:
      add_answers (p);
      break;
    case RHY_PIECE_LADDER:
      add_cells (p, o, beam);
      break;
    case RHY_PIECE_RULER:
      add_readings (p, plan, art, o);
      break;
    default:
      add_blanks (p);
      break;
    }
  add_footer (p);
}

GBytes *
rhy_piece_sheet_new (const RhyPlan         *plan,
                     RhyPiece               piece,
                     RhyArtwork            *piece_art,
                     const RhyPieceOptions *options,
                     const RhyPieceBeam    *beam,
                     RhyPaper               paper,
                     GError               **error)
{
  g_return_val_if_fail (plan != NULL && piece_art != NULL && options != NULL && beam != NULL, NULL);

  g_auto (RhyWords) words = rhy_words_begin ();
  Page p = { .y = MARGIN_MM, .page = 1, .name = _(words_of[piece].name) };
  rhy_paper_get_size (paper, &p.width, &p.height);
  g_autoptr (GByteArray) out = g_byte_array_new ();
  p.surface = cairo_pdf_surface_create_for_stream (rhy_draft_gather, out, p.width * RHY_PT_PER_MM, p.height * RHY_PT_PER_MM);
  /* A fixed date, so that the same job gives the same bytes. */
  cairo_pdf_surface_set_metadata (p.surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata (p.surface, CAIRO_PDF_METADATA_TITLE, p.name);
  p.cr = cairo_create (p.surface);
  cairo_scale (p.cr, RHY_PT_PER_MM, RHY_PT_PER_MM);
  p.layout = pango_cairo_create_layout (p.cr);
  pango_context_set_round_glyph_positions (pango_layout_get_context (p.layout), FALSE);
  draw (&p, piece, plan, piece_art, options, beam);
  cairo_show_page (p.cr);
  cairo_status_t status = cairo_status (p.cr);
  g_object_unref (p.layout);
  cairo_destroy (p.cr);
  cairo_surface_finish (p.surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (p.surface);
  cairo_surface_destroy (p.surface);
  return rhy_draft_check_cairo (status, error) ? g_byte_array_free_to_bytes (g_steal_pointer (&out)) : NULL;
}
