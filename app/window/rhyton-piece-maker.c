/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-piece-maker.h"

#include <math.h>

#include "rhyton-making.h"
#include "rhyton-panel.h"
#include "rhyton-piece-guide.h"

#define N_LIST 40u

struct _RhytonPieceMaker
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkDropDown        *piece;
  GtkWidget          *meaning;
  GtkWidget          *sizes;
  RhytonMeasureEntry *width;
  RhytonMeasureEntry *height;
  GtkWidget          *ladder;
  GtkWidget          *powers;
  GtkWidget          *speeds;
  GtkWidget          *watts;
  RhytonMeasureEntry *line_distance;
  GtkWidget          *guide;
  GtkGrid            *rows;
  GtkWidget          *complaint;
  GtkWidget          *table;

  /* mm; a ruler's grid, and a ladder's cell */
  double              grid_width_mm, grid_height_mm;
  double              cell_width_mm, cell_height_mm;
  double              line_distance_mm;
};

G_DEFINE_FINAL_TYPE (RhytonPieceMaker, rhyton_piece_maker, RHYTON_TYPE_PART)

static const char *const meanings[] = {
  [RHY_PIECE_RULER] = "A grid of 10 mm steps to be measured along and around: shows every error of size at once.",
  [RHY_PIECE_ARROW] = "An arrow to the mouth with a flag to its right: shows direction and mirror in one burn.",
  [RHY_PIECE_LADDER] = "Cells of power by speed, each in its own colour, to find what this coating wants.",
  [RHY_PIECE_TURN] = "A line of one full turn: where its end meets the scale at its start, the travel per turn is read.",
};

static const char *const guides[] = {
  [RHY_PIECE_ARROW] = "Look at the wall with the mouth up. Which do you see?",
  [RHY_PIECE_LADDER] = "Set each colour\u2019s power and speed in the machine\u2019s software.",
  [RHY_PIECE_RULER] = "Measure from the middle cross, write what you find into the table, and open that under "
                      "\u201cLearn from a test piece\u201d.",
  [RHY_PIECE_TURN] = "Read where the end\u2019s mark meets the scale above it, right of 0 counting plus, and enter it under "
                     "\u201cLearn from a test piece\u201d.",
};

/* What is made: values of its own, for a thread. */
typedef struct
{
  RhyPiece        piece;
  RhyPieceOptions options;
  double          powers[N_LIST], speeds[N_LIST];
  RhyPieceBeam    beam;
  RhyPaper        paper;
} Order;

static RhyPiece
chosen (RhytonPieceMaker *self)
{
  return (RhyPiece) gtk_drop_down_get_selected (self->piece);
}

static void
complain (RhytonPieceMaker *self,
          const char       *text)
{
  gtk_label_set_label (GTK_LABEL (self->complaint), text != NULL ? text : "");
  gtk_widget_set_visible (self->complaint, text != NULL);
}

/* "20 40 60": numbers above 0 with blanks or semicolons between. Returns: how many, 0 if it is not that. */
static gsize
read_list (GtkWidget *entry,
           double    *values)
{
  const char *p = gtk_editable_get_text (GTK_EDITABLE (entry));
  gsize n = 0;

  for (;;)
    {
      while (g_ascii_isspace (*p) || *p == ';')
        p++;
      if (*p == '\0')
        return n;
      char *end;
      const double value = g_strtod (p, &end);
      if (end == p || !(value > 0.0) || !isfinite (value) || n == N_LIST)
        return 0;
      values[n++] = value;
      p = end;
    }
}

/* 0 where there is not one number. */
static double
read_watts (RhytonPieceMaker *self)
{
  double values[N_LIST];
  return read_list (self->watts, values) == 1 ? values[0] : 0.0;
}

/* What the desktop's printers take. */
static RhyPaper
usual_paper (void)
{
  return g_str_has_prefix (gtk_paper_size_get_default (), GTK_PAPER_NAME_LETTER) ? RHY_PAPER_LETTER : RHY_PAPER_A4;
}

static gboolean
read_order (RhytonPieceMaker *self,
            Order            *order)
{
  const gboolean is_ladder = chosen (self) == RHY_PIECE_LADDER;

  *order = (Order) { .piece = chosen (self) };
  order->options.width_mm = is_ladder ? self->cell_width_mm : self->grid_width_mm;
  order->options.height_mm = is_ladder ? self->cell_height_mm : self->grid_height_mm;
  order->options.n_powers = read_list (self->powers, order->powers);
  order->options.n_speeds = read_list (self->speeds, order->speeds);
  order->options.powers = order->powers;
  order->options.speeds = order->speeds;
  order->beam = (RhyPieceBeam) { read_watts (self), self->line_distance_mm };
  order->paper = usual_paper ();
  if (is_ladder && (order->options.n_powers == 0 || order->options.n_speeds == 0))
    {
      complain (self, "Powers and speeds are numbers above 0 with blanks between, at most 40 of each: 20 40 60.");
      return FALSE;
    }
  complain (self, NULL);
  return TRUE;
}

static void
refresh (RhytonPieceMaker *self)
{
  const RhyPiece piece = chosen (self);
  const gboolean is_ladder = piece == RHY_PIECE_LADDER;
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const gboolean inches = document != NULL && rhyton_document_get_inches (document);
  RhytonMeasureEntry *const lengths[] = { self->width, self->height, self->line_distance };
  Order order;

  for (gsize i = 0; i < G_N_ELEMENTS (lengths); i++)
    rhyton_measure_entry_set_inches (lengths[i], inches);
  rhyton_measure_entry_set_value (self->width, is_ladder ? self->cell_width_mm : self->grid_width_mm);
  rhyton_measure_entry_set_value (self->height, is_ladder ? self->cell_height_mm : self->grid_height_mm);
  rhyton_measure_entry_set_value (self->line_distance, self->line_distance_mm);
  gtk_label_set_label (GTK_LABEL (self->meaning), meanings[piece]);
  gtk_widget_set_visible (self->sizes, piece == RHY_PIECE_RULER || is_ladder);
  gtk_widget_set_visible (self->ladder, is_ladder);
  gtk_widget_set_visible (self->table, piece == RHY_PIECE_RULER);

  gtk_label_set_label (GTK_LABEL (self->guide), guides[piece]);
  rhyton_piece_guide_clear (self->rows);
  if (!read_order (self, &order))
    return;
  if (piece == RHY_PIECE_ARROW)
    rhyton_piece_guide_show_arrow (self->rows, RHYTON_PART (self));
  else if (is_ladder)
    rhyton_piece_guide_show_ladder (self->rows, &order.options, &order.beam);
}

static void
on_piece (GtkDropDown      *drop_down,
          GParamSpec       *pspec,
          RhytonPieceMaker *self)
{
  refresh (self);
}

static gboolean
take_length (RhytonMeasureEntry *entry,
             double              value,
             double             *kept)
{
  if (!(value > 0.0))
    {
      rhyton_measure_entry_refuse (entry, "A size must be more than 0.");
      return FALSE;
    }
  *kept = value;
  return TRUE;
}

static void
on_width (RhytonMeasureEntry *entry,
          double              value,
          RhytonPieceMaker   *self)
{
  if (take_length (entry, value, chosen (self) == RHY_PIECE_LADDER ? &self->cell_width_mm : &self->grid_width_mm))
    refresh (self);
}

static void
on_height (RhytonMeasureEntry *entry,
           double              value,
           RhytonPieceMaker   *self)
{
  if (take_length (entry, value, chosen (self) == RHY_PIECE_LADDER ? &self->cell_height_mm : &self->grid_height_mm))
    refresh (self);
}

static void
on_line_distance (RhytonMeasureEntry *entry,
                  double              value,
                  RhytonPieceMaker   *self)
{
  if (take_length (entry, value, &self->line_distance_mm))
    refresh (self);
}

/* In a thread. */
static GBytes *
make_piece (RhyJob        *job,
            RhyPlan       *plan,
            const char    *path,
            gpointer       data,
            GCancellable  *cancellable,
            GError       **error)
{
  Order *order = data;
  RhyFormat format;
  order->options.powers = order->powers;
  order->options.speeds = order->speeds;
  if (!rhy_format_from_name (path, &format, error))
    return NULL;
  g_autoptr (RhyPlan) piece = rhy_piece_plan (job, order->piece, &order->options, NULL, error);
  return piece != NULL ? rhy_drawing_bed (piece, format, NULL, NULL, error) : NULL;
}

/* In a thread. */
static GBytes *
make_table (RhyJob        *job,
            RhyPlan       *plan,
            const char    *path,
            gpointer       data,
            GCancellable  *cancellable,
            GError       **error)
{
  Order *order = data;
  g_autoptr (RhyArtwork) art = NULL;
  g_autoptr (RhyPlan) piece = rhy_piece_plan (job, RHY_PIECE_RULER, &order->options, &art, error);
  return piece != NULL ? rhy_piece_readings_form (piece, art, &order->options) : NULL;
}

/* In a thread. */
static GBytes *
make_piece_sheet (RhyJob        *job,
                  RhyPlan       *plan,
                  const char    *path,
                  gpointer       data,
                  GCancellable  *cancellable,
                  GError       **error)
{
  Order *order = data;
  order->options.powers = order->powers;
  order->options.speeds = order->speeds;
  if (!g_str_has_suffix (path, ".pdf"))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "%s: the sheet is a PDF: give it a name that ends in .pdf", path);
      return NULL;
    }
  g_autoptr (RhyArtwork) art = NULL;
  g_autoptr (RhyPlan) piece = rhy_piece_plan (job, order->piece, &order->options, &art, error);
  return piece != NULL ? rhy_piece_sheet_new (piece, order->piece, art, &order->options, &order->beam, order->paper, error) : NULL;
}

static const RhytonProduct products[] = {
  [RHY_PIECE_RULER] = { "Save the Test Piece", "-ruler.svg", FALSE, FALSE, make_piece },
  [RHY_PIECE_ARROW] = { "Save the Test Piece", "-arrow.svg", FALSE, FALSE, make_piece },
  [RHY_PIECE_LADDER] = { "Save the Test Piece", "-ladder.svg", FALSE, FALSE, make_piece },
  [RHY_PIECE_TURN] = { "Save the Test Piece", "-turn.svg", FALSE, FALSE, make_piece },
};
static const RhytonProduct table_product = { "Save the Table of Readings", "-readings.csv", FALSE, FALSE, make_table };

static const RhytonProduct sheets[] = {
  [RHY_PIECE_RULER] = { "Save the Piece\u2019s Sheet", "-ruler.pdf", FALSE, FALSE, make_piece_sheet },
  [RHY_PIECE_ARROW] = { "Save the Piece\u2019s Sheet", "-arrow.pdf", FALSE, FALSE, make_piece_sheet },
  [RHY_PIECE_LADDER] = { "Save the Piece\u2019s Sheet", "-ladder.pdf", FALSE, FALSE, make_piece_sheet },
  [RHY_PIECE_TURN] = { "Save the Piece\u2019s Sheet", "-turn.pdf", FALSE, FALSE, make_piece_sheet },
};

static void
on_save_sheet (RhytonPieceMaker *self)
{
  Order order;
  if (read_order (self, &order))
    rhyton_making_ask (RHYTON_PART (self), &sheets[order.piece], g_memdup2 (&order, sizeof order), g_free);
}

static void
on_save (RhytonPieceMaker *self)
{
  Order order;
  if (read_order (self, &order))
    rhyton_making_ask (RHYTON_PART (self), &products[order.piece], g_memdup2 (&order, sizeof order), g_free);
}

static void
on_save_table (RhytonPieceMaker *self)
{
  Order order;
  if (read_order (self, &order))
    rhyton_making_ask (RHYTON_PART (self), &table_product, g_memdup2 (&order, sizeof order), g_free);
}

void
rhyton_piece_maker_save_to (RhytonPieceMaker *self,
                            RhytonPieceFile   what,
                            GFile            *file)
{
  g_return_if_fail (RHYTON_IS_PIECE_MAKER (self));

  Order order;
  if (read_order (self, &order))
    rhyton_making_save (RHYTON_PART (self), what == RHYTON_PIECE_TABLE ? &table_product
                                            : what == RHYTON_PIECE_SHEET ? &sheets[order.piece] : &products[order.piece], g_memdup2 (&order, sizeof order),
                        g_free, file);
}

static void
rhyton_piece_maker_job_changed (RhytonPart *part)
{
  refresh (RHYTON_PIECE_MAKER (part));
}

static void
rhyton_piece_maker_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_PIECE_MAKER);
  G_OBJECT_CLASS (rhyton_piece_maker_parent_class)->dispose (object);
}

static void
rhyton_piece_maker_class_init (RhytonPieceMakerClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_piece_maker_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_piece_maker_job_changed;

  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-piece-maker.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, piece);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, meaning);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, sizes);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, width);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, height);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, ladder);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, powers);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, speeds);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, watts);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, line_distance);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, guide);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, rows);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, complaint);
  gtk_widget_class_bind_template_child (widget_class, RhytonPieceMaker, table);
  gtk_widget_class_bind_template_callback (widget_class, on_piece);
  gtk_widget_class_bind_template_callback (widget_class, on_width);
  gtk_widget_class_bind_template_callback (widget_class, on_height);
  gtk_widget_class_bind_template_callback (widget_class, on_line_distance);
  gtk_widget_class_bind_template_callback (widget_class, on_save);
  gtk_widget_class_bind_template_callback (widget_class, on_save_table);
  gtk_widget_class_bind_template_callback (widget_class, on_save_sheet);
  gtk_widget_class_bind_template_callback (widget_class, refresh);
}

static void
rhyton_piece_maker_init (RhytonPieceMaker *self)
{
  self->grid_width_mm = self->grid_height_mm = 60.0;
  self->cell_width_mm = self->cell_height_mm = 6.0;
  self->line_distance_mm = 0.1;
  gtk_widget_init_template (GTK_WIDGET (self));
  refresh (self);
}
