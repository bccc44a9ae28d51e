/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-piece-guide.h"

#include <math.h>

#include "rhyton-measure.h"
#include "rhyton-panel.h"

void
rhyton_piece_guide_clear (GtkGrid *grid)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (GTK_WIDGET (grid))) != NULL)
    gtk_grid_remove (grid, child);
}

static GtkWidget *
put_label (GtkGrid    *grid,
           const char *text,
           int         column,
           int         row,
           float       xalign,
           const char *style)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (label), xalign);
  gtk_widget_add_css_class (label, "caption");
  if (style != NULL)
    gtk_widget_add_css_class (label, style);
  gtk_grid_attach (grid, label, column, row, 1, 1);
  return label;
}

/* ---- the ladder ---- */

static void
draw_swatch (GtkDrawingArea *area,
             cairo_t        *cr,
             int             width,
             int             height,
             gpointer        data)
{
  const RhyColour *c = data;
  cairo_set_source_rgb (cr, c->r, c->g, c->b);
  cairo_paint (cr);
}

static void
put_swatch (GtkGrid   *grid,
            RhyColour  colour,
            int        row)
{
  GtkWidget *area = gtk_drawing_area_new ();
  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (area), 16);
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (area), 12);
  gtk_widget_set_valign (area, GTK_ALIGN_CENTER);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (area), draw_swatch, g_memdup2 (&colour, sizeof colour), g_free);
  gtk_grid_attach (grid, area, 0, row, 1, 1);
}

static void
put_number (GtkGrid *grid,
            double   value,
            int      column,
            int      row)
{
  /* Four digits are more than a machine's dial has. */
  const double step = pow (10.0, floor (log10 (value)) - 3.0);
  g_autofree char *text = rhyton_measure_format (round (value / step) * step, RHYTON_UNIT_MM);
  put_label (grid, text, column, row, 1.0f, NULL);
}

void
rhyton_piece_guide_show_ladder (GtkGrid               *grid,
                                const RhyPieceOptions *options,
                                const RhyPieceBeam    *beam)
{
  static const char *const heads[] = { NULL, "colour", "power %", "mm/s", "J/mm\u00b2" };
  const gboolean has_energy = beam->watts > 0.0;
  const gsize n_cells = options->n_powers * options->n_speeds;

  rhyton_piece_guide_clear (grid);
  for (int i = 1; i < (has_energy ? 5 : 4); i++)
    put_label (grid, heads[i], i, 0, i == 1 ? 0.0f : 1.0f, "dim-label");
  for (gsize k = 0; k < n_cells; k++)
    {
      const RhyColour colour = rhy_piece_ladder_colour (k, n_cells);
      const double power = options->powers[k % options->n_powers], speed = options->speeds[k / options->n_powers];
      const int row = (int) k + 1;
      g_autofree char *hex = g_strdup_printf ("#%02x%02x%02x", (guint) lround (255 * colour.r), (guint) lround (255 * colour.g),
                                              (guint) lround (255 * colour.b));
      put_swatch (grid, colour, row);
      put_label (grid, hex, 1, row, 0.0f, "monospace");
      put_number (grid, power, 2, row);
      put_number (grid, speed, 3, row);
      if (has_energy)
        put_number (grid, rhy_piece_energy (beam->watts, power, speed, beam->line_distance_mm), 4, row);
    }
}

/* ---- the arrow ---- */

typedef struct
{
  RhytonPart           *part;   /* the button's panel */
  const RhyArrowAnswer *answer;
} Remedy;

static void
free_remedy (gpointer  data,
             GClosure *closure)
{
  g_free (data);
}

static void
on_set (GtkButton *button,
        Remedy    *remedy)
{
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (rhyton_part_get_document (remedy->part)));
  RhytonEdit edits[3];
  gsize n = 0;

  if (remedy->answer->axis)
    edits[n++] = (RhytonEdit) { "Machine", "Axis", data->machine.axis == RHY_AXIS_X ? "y" : "x" };
  if (remedy->answer->mouth)
    edits[n++] = (RhytonEdit) { "Machine", "Mouth", data->machine.mouth == RHY_MOUTH_PLUS ? "minus" : "plus" };
  if (remedy->answer->turn)
    edits[n++] = (RhytonEdit) { "Machine", "TurnReversed", data->machine.turn_reversed ? "false" : "true" };
  rhyton_panel_enter (remedy->part, NULL, "What the arrow shows", edits, n);
}

/* "Arrow to the mouth, flag to its left" */
static char *
sentence (const char *text)
{
  g_autofree char *first = g_strndup (text, 1);
  g_autofree char *upper = g_utf8_strup (first, -1);
  return g_strconcat (upper, text + 1, NULL);
}

void
rhyton_piece_guide_show_arrow (GtkGrid    *grid,
                               RhytonPart *part)
{
  gsize n;
  const RhyArrowAnswer *answers = rhy_piece_get_arrow_answers (&n);

  rhyton_piece_guide_clear (grid);
  for (gsize i = 0; i < n; i++)
    {
      const gboolean is_right = !answers[i].axis && !answers[i].mouth && !answers[i].turn;
      g_autofree char *seen = sentence (answers[i].seen);
      GtkWidget *label = put_label (grid, seen, 0, (int) i, 0.0f, NULL);
      gtk_label_set_wrap (GTK_LABEL (label), TRUE);
      gtk_label_set_max_width_chars (GTK_LABEL (label), 24);
      gtk_widget_set_hexpand (label, TRUE);
      if (is_right)
        {
          put_label (grid, "All is right", 1, (int) i, 0.5f, "dim-label");
          continue;
        }
      GtkWidget *button = gtk_button_new_with_label (answers[i].axis ? "Set, burn again" : "Set it right");
      g_autofree char *tip = g_strdup_printf ("Changes in the job: %s%s%s%s. Undo takes it back.", answers[i].axis ? "the rotary axis" : "",
                                              answers[i].mouth ? "the direction of the mouth" : "",
                                              answers[i].mouth && answers[i].turn ? ", " : "",
                                              answers[i].turn ? "whether the turn runs backwards" : "");
      Remedy *remedy = g_new (Remedy, 1);
      *remedy = (Remedy) { part, &answers[i] };
      gtk_widget_set_tooltip_text (button, tip);
      gtk_widget_set_valign (button, GTK_ALIGN_CENTER);
      gtk_widget_add_css_class (button, "caption");
      gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, seen, -1);
      g_signal_connect_data (button, "clicked", G_CALLBACK (on_set), remedy, free_remedy, 0);
      gtk_grid_attach (grid, button, 1, (int) i, 1, 1);
    }
}
