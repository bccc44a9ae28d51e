/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-make-panel.h"

#include <math.h>

#include "rhyton-batch-maker.h"
#include "rhyton-learner.h"
#include "rhyton-making.h"
#include "rhyton-panel.h"
#include "rhyton-picture-maker.h"
#include "rhyton-piece-maker.h"
#include "rhyton-print.h"
#include "rhyton-proof-check.h"
#include "rhyton-readiness.h"
#include "rhyton-thumbnail.h"

#define TAB_MM 8.0
#define OVERLAP_MM 10.0

struct _RhytonMakePanel
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkDropDown        *paper;
  RhytonMeasureEntry *tab;
  GtkWidget          *overlap_row;
  RhytonMeasureEntry *overlap;
  GtkDropDown        *cut;
  GtkWidget          *stretch;
  GtkWidget          *stretch_complaint;
  GtkDropDown        *sheet_paper;
  GtkWidget          *power;
  GtkWidget          *speed;
  GtkWidget          *lines;
  GtkWidget          *dpi;
  GtkWidget          *dpi_complaint;
  GtkWidget          *mark;
  GtkSpinButton      *bands;
  GtkWidget          *distance_row;
  RhytonMeasureEntry *distance;
  GtkWidget          *bands_text;
  GtkCheckButton     *free_area;
  RhytonThumbnail    *pattern_page;
  RhytonThumbnail    *sheet_page;

  double              tab_mm;
  double              overlap_mm;
  gboolean            refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonMakePanel, rhyton_make_panel, RHYTON_TYPE_PART)

/* In the order of the lists in the template. */
enum { PAPER_SHEET, PAPER_A4, PAPER_LETTER };

/* The line distance of each, the highest first, as on the vessel. */
static char *
describe_bands (RhytonPart    *part,
                const RhyPlan *plan)
{
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  const guint n = rhy_plan_find_line_bands (plan, bands);
  const double wanted = rhy_job_get_data (rhy_plan_get_job (plan))->output.line_distance_mm;
  GString *text = g_string_new (NULL);
  for (guint i = n; i-- > 0;)
    {
      g_autofree char *from = rhyton_panel_format_length (part, rhy_wall_at (rhy_plan_get_wall (plan), bands[i].s0_mm).z_mm);
      g_autofree char *to = rhyton_panel_format_length (part, rhy_wall_at (rhy_plan_get_wall (plan), bands[i].s1_mm).z_mm);
      const double drawn = wanted * bands[i].correction;
      g_string_append_printf (text, "band-%u, %s to %s up:\n%.4f\u202fmm, %.1f lines per inch\n", i + 1, from, to, drawn, 25.4 / drawn);
    }
  if (n > 0)
    g_string_append_printf (text, "Energy an area is then within %.1f\u202f%% of even.", 100.0 * (bands[0].energy_max - 1.0));
  return g_string_free (text, FALSE);
}

static void
refresh_bands (RhytonMakePanel *self,
               const RhyPlan   *plan)
{
  RhytonPart *part = RHYTON_PART (self);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  g_autofree char *text = plan != NULL ? describe_bands (part, plan) : g_strdup ("");

  self->refreshing = TRUE;
  gtk_spin_button_set_value (self->bands, data->output.bands);
  self->refreshing = FALSE;
  rhyton_measure_entry_set_inches (self->distance, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_value (self->distance, data->output.line_distance_mm);
  gtk_widget_set_visible (self->distance_row, data->output.bands > 1);
  gtk_label_set_label (GTK_LABEL (self->bands_text), text);
  gtk_widget_set_visible (self->bands_text, *text != '\0');
}

static void
rhyton_make_panel_plan_changed (RhytonPart *part)
{
  RhytonMakePanel *self = RHYTON_MAKE_PANEL (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  RhyPlan *plan = rhyton_document_get_plan (document);

  rhyton_measure_entry_set_inches (self->tab, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_value (self->tab, self->tab_mm);
  rhyton_measure_entry_set_inches (self->overlap, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_value (self->overlap, self->overlap_mm);
  refresh_bands (self, plan);
  if (plan == NULL)
    {
      gtk_label_set_label (GTK_LABEL (self->mark), "");
      return;
    }
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  const RhyRing ring = rhy_wall_at (rhy_plan_get_wall (plan), numbers->anchor.s);
  g_autofree char *height = rhyton_panel_format_length (part, ring.z_mm);
  g_autofree char *travel = rhyton_panel_format_length (part, numbers->travel_per_turn_mm);
  g_autofree char *text = g_strdup_printf ("The mark, where the beam is lined up, is %s above the base and %.1f\u00b0 "
                                           "around from the front. One turn of the work is %s of drawing.",
                                           height, numbers->anchor.angle * 180.0 / G_PI, travel);
  gtk_label_set_label (GTK_LABEL (self->mark), text);
}

/* ---- the paper pattern ---- */

/* FALSE, with @complaint in sight: no number from @least to @most. */
static gboolean
read_number (GtkWidget *entry,
             GtkWidget *complaint,
             double     least,
             double     most,
             double    *value)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (entry));
  char *end;
  const double found = g_strtod (text, &end);
  const gboolean ok = end != text && *g_strchug (end) == '\0' && found >= least && found <= most;

  gtk_widget_set_visible (complaint, !ok);
  if (ok)
    *value = found;
  return ok;
}

gboolean
rhyton_make_panel_read_pattern (RhytonMakePanel   *self,
                                RhyDrawingOptions *options)
{
  static const RhyCut cuts[] = { RHY_CUT_AUTO, RHY_CUT_WHOLE, RHY_CUT_RINGS, RHY_CUT_GORES };
  const guint paper = gtk_drop_down_get_selected (self->paper);
  double percent;

  if (!read_number (self->stretch, self->stretch_complaint, 0.1, 20.0, &percent))
    return FALSE;
  *options = (RhyDrawingOptions) RHY_DRAWING_OPTIONS_INIT;
  options->paper_stretch = percent / 100.0;
  options->cut = cuts[MIN (gtk_drop_down_get_selected (self->cut), G_N_ELEMENTS (cuts) - 1)];
  options->overlap_mm = self->overlap_mm;
  options->tab_mm = self->tab_mm;
  options->on_pages = paper != PAPER_SHEET;
  options->paper = paper == PAPER_LETTER ? RHY_PAPER_LETTER : RHY_PAPER_A4;
  return TRUE;
}

static void
on_pattern_choice (RhytonMakePanel *self)
{
  RhyDrawingOptions options;

  gtk_widget_set_visible (self->overlap_row, gtk_drop_down_get_selected (self->paper) != PAPER_SHEET);
  if (rhyton_make_panel_read_pattern (self, &options))
    rhyton_thumbnail_show_pattern (self->pattern_page, &options);
}

static void
on_tab (RhytonMeasureEntry *entry,
        double              value,
        RhytonMakePanel    *self)
{
  if (!(value >= 0.0 && value <= 30.0))
    {
      rhyton_measure_entry_refuse (entry, "A tab is from 0 to 30 mm wide.");
      return;
    }
  self->tab_mm = value;
  rhyton_measure_entry_set_value (entry, value);
  on_pattern_choice (self);
}

static void
on_overlap (RhytonMeasureEntry *entry,
            double              value,
            RhytonMakePanel    *self)
{
  if (!(value >= 5.0 && value <= 40.0))
    {
      rhyton_measure_entry_refuse (entry, "Pages overlap by 5 to 40 mm.");
      return;
    }
  self->overlap_mm = value;
  rhyton_measure_entry_set_value (entry, value);
  on_pattern_choice (self);
}

void
rhyton_make_panel_save_pattern (RhytonMakePanel *self)
{
  g_return_if_fail (RHYTON_IS_MAKE_PANEL (self));

  RhyDrawingOptions options;
  if (rhyton_make_panel_read_pattern (self, &options))
    rhyton_making_ask (RHYTON_PART (self), options.on_pages ? &rhyton_product_pages : &rhyton_product_pattern,
                       g_memdup2 (&options, sizeof options), g_free);
}

/* ---- printing ---- */

typedef struct
{
  RhyDrawingOptions drawing;
  RhySheetOptions   sheet;
  gboolean          is_sheet;
} Print;

static void
clear_sheet_options (RhySheetOptions *options)
{
  g_free ((char *) options->power);
  g_free ((char *) options->speed);
  g_free ((char *) options->lines);
}

static void
free_sheet_options (gpointer data)
{
  clear_sheet_options (data);
  g_free (data);
}

static void
free_print (gpointer data)
{
  Print *print = data;
  clear_sheet_options (&print->sheet);
  g_free (print);
}

static void
free_pages (gpointer data)
{
  rhy_pages_free (data);
}

/* In a thread. */
static gpointer
lay_pages_out (RhyJob        *job,
               RhyPlan       *plan,
               gpointer       data,
               GCancellable  *cancellable,
               GError       **error)
{
  const Print *print = data;
  if (!print->is_sheet)
    return rhy_pages_new_pattern (plan, &print->drawing, error);
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, cancellable);
  return rhy_pages_new_sheet (plan, verdict, &print->sheet);
}

static void
printed (GtkPrintOperation       *operation,
         GtkPrintOperationResult  result,
         RhytonPart              *part)
{
  g_autoptr (GError) error = NULL;
  if (result != GTK_PRINT_OPERATION_RESULT_ERROR)
    return;
  gtk_print_operation_get_error (operation, &error);
  rhyton_making_tell (part, error);
}

static void
pages_ready (GObject      *source,
             GAsyncResult *result,
             gpointer      data)
{
  g_autoptr (RhytonPart) part = data;
  RhytonDocument *document = RHYTON_DOCUMENT (source);
  g_autoptr (GError) error = NULL;
  RhyPages *pages = rhyton_document_run_finish (document, result, &error);

  if (pages == NULL)
    {
      rhyton_making_tell (part, error);
      return;
    }
  g_autoptr (GtkPrintOperation) operation = rhyton_print_new (pages, rhyton_document_get_title (document));
  gtk_print_operation_set_allow_async (operation, TRUE);
  g_signal_connect_object (operation, "done", G_CALLBACK (printed), part, 0);
  if (gtk_print_operation_run (operation, GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG, rhyton_making_window (part), &error)
      == GTK_PRINT_OPERATION_RESULT_ERROR)
    rhyton_making_tell (part, error);
}

static void
print (RhytonMakePanel *self,
       Print           *order)
{
  rhyton_document_run (rhyton_part_get_document (RHYTON_PART (self)), lay_pages_out, TRUE, order, free_print, free_pages,
                       pages_ready, g_object_ref (self));
}

static void
on_print_pattern (RhytonMakePanel *self)
{
  RhyDrawingOptions options;
  if (!rhyton_make_panel_read_pattern (self, &options))
    return;
  Print *order = g_new0 (Print, 1);
  order->drawing = options;
  print (self, order);
}

/* ---- the setup sheet ---- */

static char *
text_in (GtkWidget *entry)
{
  char *text = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (entry))));
  if (*text != '\0')
    return text;
  g_free (text);
  return NULL;
}

static RhySheetOptions
sheet_options (RhytonMakePanel *self)
{
  return (RhySheetOptions) {
    .paper = gtk_drop_down_get_selected (self->sheet_paper) == 1 ? RHY_PAPER_LETTER : RHY_PAPER_A4,
    .power = text_in (self->power),
    .speed = text_in (self->speed),
    .lines = text_in (self->lines),
  };
}

static void
on_sheet_choice (RhytonMakePanel *self)
{
  RhySheetOptions options = sheet_options (self);
  rhyton_thumbnail_show_sheet (self->sheet_page, &options);
  clear_sheet_options (&options);
}

static void
on_save_sheet (RhytonMakePanel *self)
{
  const RhySheetOptions options = sheet_options (self);
  rhyton_making_ask (RHYTON_PART (self), &rhyton_product_sheet, g_memdup2 (&options, sizeof options), free_sheet_options);
}

static void
on_print_sheet (RhytonMakePanel *self)
{
  Print *order = g_new0 (Print, 1);
  order->is_sheet = TRUE;
  order->sheet = sheet_options (self);
  print (self, order);
}

/* ---- the bed drawing ---- */

/* FALSE, said below the field: not a number that a picture can have. */
static gboolean
read_dpi (RhytonMakePanel *self,
          double          *dpi)
{
  return read_number (self->dpi, self->dpi_complaint, 10.0, 2400.0, dpi);
}

static void
on_dpi (RhytonMakePanel *self)
{
  double dpi;
  read_dpi (self, &dpi);
}

static void
on_bands (RhytonMakePanel *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  if (!self->refreshing && document != NULL)
    rhyton_document_change_number (document, "Bands", "bands", "Output", "Bands", gtk_spin_button_get_value_as_int (self->bands), NULL);
}

static void
on_distance (RhytonMeasureEntry *entry,
             double              value,
             RhytonMakePanel    *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  if (!(value >= 0.005 && value <= 5.0))
    rhyton_measure_entry_refuse (entry, "Lines are 0.005 to 5 mm apart.");
  else if (document != NULL)
    rhyton_document_change_number (document, "Line distance", NULL, "Output", "LineDistance", value, NULL);
}

void
rhyton_make_panel_save_bed (RhytonMakePanel *self)
{
  g_return_if_fail (RHYTON_IS_MAKE_PANEL (self));

  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  options.free_area = gtk_check_button_get_active (self->free_area);
  if (read_dpi (self, &options.dpi))
    rhyton_making_ask (RHYTON_PART (self), &rhyton_product_bed, g_memdup2 (&options, sizeof options), g_free);
}

static void
rhyton_make_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_MAKE_PANEL);
  G_OBJECT_CLASS (rhyton_make_panel_parent_class)->dispose (object);
}

static void
rhyton_make_panel_class_init (RhytonMakePanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_make_panel_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_make_panel_plan_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_make_panel_plan_changed;

  g_type_ensure (RHYTON_TYPE_BATCH_MAKER);
  g_type_ensure (RHYTON_TYPE_LEARNER);
  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  g_type_ensure (RHYTON_TYPE_PICTURE_MAKER);
  g_type_ensure (RHYTON_TYPE_PIECE_MAKER);
  g_type_ensure (RHYTON_TYPE_PROOF_CHECK);
  g_type_ensure (RHYTON_TYPE_READINESS);
  g_type_ensure (RHYTON_TYPE_THUMBNAIL);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-make-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, paper);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, tab);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, overlap_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, overlap);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, cut);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, stretch);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, stretch_complaint);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, bands);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, distance_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, distance);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, bands_text);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, free_area);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, sheet_paper);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, power);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, speed);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, lines);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, dpi);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, dpi_complaint);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, mark);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, pattern_page);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, sheet_page);
  gtk_widget_class_bind_template_callback (widget_class, on_tab);
  gtk_widget_class_bind_template_callback (widget_class, on_overlap);
  gtk_widget_class_bind_template_callback (widget_class, on_bands);
  gtk_widget_class_bind_template_callback (widget_class, on_distance);
  gtk_widget_class_bind_template_callback (widget_class, on_dpi);
  gtk_widget_class_bind_template_callback (widget_class, on_pattern_choice);
  gtk_widget_class_bind_template_callback (widget_class, on_sheet_choice);
  gtk_widget_class_bind_template_callback (widget_class, on_print_pattern);
  gtk_widget_class_bind_template_callback (widget_class, on_print_sheet);
  gtk_widget_class_bind_template_callback (widget_class, on_save_sheet);
}

static void
rhyton_make_panel_init (RhytonMakePanel *self)
{
  self->tab_mm = TAB_MM;
  self->overlap_mm = OVERLAP_MM;
  gtk_widget_init_template (GTK_WIDGET (self));
  on_pattern_choice (self);
  on_sheet_choice (self);
}
