/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-text-line.h"

#include <math.h>
#include <string.h>

#include "rhyton-howto.h"
#include "rhyton-panel.h"

struct _RhytonTextLine
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkEditable        *text;
  GtkFontChooser     *font;
  GtkWidget          *complaint;
  GtkDropDown        *fit;
  GtkWidget          *size_label;
  RhytonMeasureEntry *length;
  RhytonMeasureEntry *angle;
  RhytonMeasureEntry *width_max;
  GtkWidget          *shrink_label;
  GtkSpinButton      *shrink_min;

  gboolean            refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonTextLine, rhyton_text_line, RHYTON_TYPE_PART)

typedef enum { FIT_WIDTH, FIT_HEIGHT, FIT_LETTERS, FIT_ANGLE, N_FITS } Fit;

static const struct { const char *key, *label, *name; } fits[N_FITS] = {
  [FIT_WIDTH] = { "Width", "Width", "Width" },
  [FIT_HEIGHT] = { "Height", "Height", "Height" },
  [FIT_LETTERS] = { "FontSize", "Size of the letters", "Size of the letters" },
  [FIT_ANGLE] = { "Span", "Angle around", "Angle of the lettering" },
};

static const RhyJobArtwork *
artwork_of (RhytonTextLine *self)
{
  return rhyton_document_get_artwork (rhyton_part_get_document (RHYTON_PART (self)));
}

/* ---- what the job says ---- */

static Fit
fit_of (const RhyJobArtwork *artwork)
{
  if (artwork->span_rad > 0.0)
    return FIT_ANGLE;
  if (artwork->font_size_mm > 0.0)
    return FIT_LETTERS;
  return artwork->height_mm > 0.0 ? FIT_HEIGHT : FIT_WIDTH;
}

/* What the size is by each of the ways to say it, mm or degrees; NAN: not known yet. */
static double
size_by (const RhyPlan *plan,
         Fit            fit)
{
  const RhyPlanNumbers *n = plan != NULL ? rhy_plan_get_numbers (plan) : NULL;
  if (n == NULL || !(n->width_mm > 0.0))
    return NAN;
  const double sizes[N_FITS] = { n->width_mm, n->height_mm, n->font_size_mm, n->span_rad * 180.0 / G_PI };
  return sizes[fit];
}

static double
size_in_job (const RhyJobArtwork *artwork,
             Fit                  fit)
{
  const double sizes[N_FITS] = { artwork->width_mm, artwork->height_mm, artwork->font_size_mm, artwork->span_rad * 180.0 / G_PI };
  return sizes[fit] > 0.0 ? sizes[fit] : NAN;
}

static gboolean
is_same_line (const char *typed,
              const char *text)
{
  g_autofree char *a = g_strstrip (g_strdup (typed));
  g_autofree char *b = g_strstrip (g_strdup (text != NULL ? text : ""));
  return strcmp (a, b) == 0;
}

static void
refresh_sizes (RhytonTextLine *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyJobArtwork *artwork = artwork_of (self);
  const Fit fit = fit_of (artwork);
  double size = size_in_job (artwork, fit);
  if (isnan (size))
    size = size_by (rhyton_document_get_part (document), fit);

  gtk_label_set_label (GTK_LABEL (self->size_label), fits[fit].label);
  gtk_widget_set_visible (GTK_WIDGET (self->length), fit != FIT_ANGLE);
  gtk_widget_set_visible (GTK_WIDGET (self->angle), fit == FIT_ANGLE);
  rhyton_measure_entry_set_inches (self->length, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_inches (self->width_max, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_value (fit == FIT_ANGLE ? self->angle : self->length, size);
  rhyton_measure_entry_set_value (self->width_max, artwork->width_max_mm > 0.0 ? artwork->width_max_mm : NAN);
  gtk_widget_set_visible (self->shrink_label, artwork->width_max_mm > 0.0);
  gtk_widget_set_visible (GTK_WIDGET (self->shrink_min), artwork->width_max_mm > 0.0);
}

static void
rhyton_text_line_job_changed (RhytonPart *part)
{
  RhytonTextLine *self = RHYTON_TEXT_LINE (part);
  const RhyJobArtwork *artwork = artwork_of (self);

  self->refreshing = TRUE;
  if (!is_same_line (gtk_editable_get_text (self->text), artwork->text))
    gtk_editable_set_text (self->text, artwork->text != NULL ? artwork->text : "");
  gtk_font_chooser_set_font (self->font, artwork->font != NULL ? artwork->font : "serif");
  gtk_drop_down_set_selected (self->fit, fit_of (artwork));
  gtk_spin_button_set_value (self->shrink_min, 100.0 * artwork->shrink_min);
  self->refreshing = FALSE;
  refresh_sizes (self);
}

static void
rhyton_text_line_plan_changed (RhytonPart *part)
{
  refresh_sizes (RHYTON_TEXT_LINE (part));
}

/* ---- changing it ---- */

static void
complain (RhytonTextLine *self,
          const char     *why)
{
  gtk_label_set_label (GTK_LABEL (self->complaint), why != NULL ? why : "");
  gtk_widget_set_visible (self->complaint, why != NULL);
}

static void
change (RhytonTextLine   *self,
        const char       *name,
        const char       *tag,
        const RhytonEdit *edits,
        gsize             n)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *why = NULL;

  if (!rhyton_document_change (rhyton_part_get_document (RHYTON_PART (self)), name, tag, edits, n, &error))
    why = rhyton_panel_explain (error);
  complain (self, why);
}

/* Returns: (transfer full): as a key file's value is written */
static char *
escaped (const char *text)
{
  g_autoptr (GKeyFile) scratch = g_key_file_new ();
  g_key_file_set_string (scratch, "g", "k", text);
  return g_key_file_get_value (scratch, "g", "k", NULL);
}

/* Lettering takes the place of a file, which undo brings back. */
static void
on_text (RhytonTextLine *self)
{
  const char *typed = gtk_editable_get_text (self->text);

  if (self->refreshing || rhyton_part_get_document (RHYTON_PART (self)) == NULL || is_same_line (typed, artwork_of (self)->text))
    return;
  g_autofree char *line = g_strstrip (g_strdup (typed));
  g_autofree char *value = *line != '\0' ? escaped (line) : NULL;
  const RhyJobArtwork *artwork = artwork_of (self);
  char size[G_ASCII_DTOSTR_BUF_SIZE];
  /* A size of letters means nothing without any. */
  const double width = value == NULL && artwork->font_size_mm > 0.0
                         ? size_by (rhyton_document_get_part (rhyton_part_get_document (RHYTON_PART (self))), FIT_WIDTH) : NAN;
  RhytonEdit edits[4];
  gsize n = 0;
  edits[n++] = (RhytonEdit) { "Artwork", "File", NULL };
  edits[n++] = (RhytonEdit) { "Artwork", "Text", value };
  if (value == NULL && artwork->font_size_mm > 0.0)
    {
      edits[n++] = (RhytonEdit) { "Artwork", "FontSize", NULL };
      edits[n++] = (RhytonEdit) { "Artwork", "Width", rhy_number_to_text (size, isnan (width) ? 50.0 : round (100.0 * width) / 100.0) };
    }
  change (self, "Lettering", "lettering", edits, n);
}

static void
append_word (GString    *words,
             const char *word)
{
  g_string_append_printf (words, " %s", word);
}

/* Pango writes weights in words that a job file does not know. */
char *
rhyton_text_line_name_font (const char *font)
{
  static const struct { int least; const char *word; } weights[] = {
    { 850, "Black" }, { 750, "ExtraBold" }, { 650, "Bold" }, { 550, "SemiBold" }, { 450, "Medium" },
    { 370, NULL }, { 250, "Light" }, { 150, "ExtraLight" }, { 0, "Thin" },
  };
  g_return_val_if_fail (font != NULL, NULL);

  PangoFontDescription *description = pango_font_description_from_string (font);
  const char *family = pango_font_description_get_family (description);
  GString *words = g_string_new (family != NULL ? family : "serif");
  const int weight = pango_font_description_get_weight (description);
  gsize i = 0;
  while (weight < weights[i].least)
    i++;
  if (weights[i].word != NULL)
    append_word (words, weights[i].word);
  if (pango_font_description_get_stretch (description) < PANGO_STRETCH_NORMAL)
    append_word (words, "Condensed");
  if (pango_font_description_get_style (description) != PANGO_STYLE_NORMAL)
    append_word (words, pango_font_description_get_style (description) == PANGO_STYLE_ITALIC ? "Italic" : "Oblique");
  pango_font_description_free (description);
  return g_string_free (words, FALSE);
}

static void
on_font (RhytonTextLine *self)
{
  g_autofree char *chosen = gtk_font_chooser_get_font (self->font);
  g_autofree char *font = chosen != NULL ? rhyton_text_line_name_font (chosen) : NULL;

  if (font == NULL)
    return;
  g_autofree char *value = escaped (font);
  const RhytonEdit edit = { "Artwork", "Font", value };
  change (self, "Font", NULL, &edit, 1);
}

/* One of the ways in place of the others. */
static void
enter_size (RhytonTextLine     *self,
            RhytonMeasureEntry *entry,
            Fit                 fit,
            double              value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  RhytonEdit edits[N_FITS];

  if (!(value > 0.0))
    {
      if (entry != NULL)
        rhyton_measure_entry_refuse (entry, "A size must be more than 0.");
      return;
    }
  for (int i = 0; i < N_FITS; i++)
    edits[i] = (RhytonEdit) { "Artwork", fits[i].key, i == (int) fit ? rhy_number_to_text (text, value) : NULL };
  rhyton_panel_enter (RHYTON_PART (self), entry, fits[fit].name, edits, N_FITS);
}

/* Another way to say the size leaves the size as it is, to a hundredth. */
static void
on_fit (GtkDropDown    *drop_down,
        GParamSpec     *pspec,
        RhytonTextLine *self)
{
  const guint fit = gtk_drop_down_get_selected (drop_down);
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (self->refreshing || fit >= N_FITS || document == NULL)
    return;
  const double size = size_by (rhyton_document_get_part (document), (Fit) fit);
  if (artwork_of (self)->text == NULL || !(size > 0.0))
    {
      complain (self, "Type a line first.");
      rhyton_text_line_job_changed (RHYTON_PART (self));
      return;
    }
  complain (self, NULL);
  enter_size (self, NULL, (Fit) fit, round (100.0 * size) / 100.0);
}

static void
on_size (RhytonMeasureEntry *entry,
         double              value,
         RhytonTextLine     *self)
{
  enter_size (self, entry, fit_of (artwork_of (self)), value);
}

static void
on_width_max (RhytonMeasureEntry *entry,
              double              value,
              RhytonTextLine     *self)
{
  if (value <= 0.0)
    rhyton_measure_entry_refuse (entry, "Empty, or more than 0.");
  else
    rhyton_panel_enter_number (RHYTON_PART (self), entry, "Greatest width", "Artwork", "WidthMax", value);
}

static void
on_shrink_min (GtkSpinButton  *spin,
               RhytonTextLine *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  if (!self->refreshing && document != NULL)
    rhyton_document_change_number (document, "Smallest size", "shrink-min", "Artwork", "ShrinkMin",
                                   round (gtk_spin_button_get_value (spin)) / 100.0, NULL);
}

/* ---- the class ---- */

static void
rhyton_text_line_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_TEXT_LINE);
  G_OBJECT_CLASS (rhyton_text_line_parent_class)->dispose (object);
}

static void
rhyton_text_line_class_init (RhytonTextLineClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_text_line_dispose;
  part_class->job_changed = rhyton_text_line_job_changed;
  part_class->plan_changed = rhyton_text_line_plan_changed;

  g_type_ensure (RHYTON_TYPE_HOWTO);
  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-text-line.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, text);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, font);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, complaint);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, fit);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, size_label);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, length);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, angle);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, width_max);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, shrink_label);
  gtk_widget_class_bind_template_child (widget_class, RhytonTextLine, shrink_min);
  gtk_widget_class_bind_template_callback (widget_class, on_text);
  gtk_widget_class_bind_template_callback (widget_class, on_font);
  gtk_widget_class_bind_template_callback (widget_class, on_fit);
  gtk_widget_class_bind_template_callback (widget_class, on_size);
  gtk_widget_class_bind_template_callback (widget_class, on_width_max);
  gtk_widget_class_bind_template_callback (widget_class, on_shrink_min);
}

static void
rhyton_text_line_init (RhytonTextLine *self)
{
  self->refreshing = TRUE;
  gtk_widget_init_template (GTK_WIDGET (self));
  self->refreshing = FALSE;
  /* A font button's name does not reach the button inside, which has the focus. */
  GtkWidget *button = gtk_widget_get_first_child (GTK_WIDGET (self->font));
  if (button != NULL)
    gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, "Font of the lettering", -1);
}
