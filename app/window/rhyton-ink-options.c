/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-ink-options.h"

#include "rhyton-panel.h"

struct _RhytonInkOptions
{
  RhytonPart     parent_instance;

  /* Template children */
  GtkWidget     *box;
  GtkDropDown   *ink;
  GtkWidget     *ink_meaning;
  GtkWidget     *shades_row;
  GtkSpinButton *shades;
  GtkDropDown   *strokes;
  GtkWidget     *strokes_meaning;

  gboolean       refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonInkOptions, rhyton_ink_options, RHYTON_TYPE_PART)

/* In the order of RhyInk and RhyStrokes. */
static const char *const ink_words[] = { "drawn", "seen", "shades" };
static const char *const ink_meanings[] = {
  "Every shape is burnt as it is drawn, the light ones too, one over the other.",
  "Light paint takes away what lies under it, and shapes that overlap become one, so that no place is burnt twice.",
  "What is seen is parted by how light it is, each shade a group of the bed drawing with a power of its own.",
};
static const char *const strokes_words[] = { "outline", "centreline" };
static const char *const strokes_meanings[] = {
  "Strokes keep their width: their outlines are burnt.",
  "The machine follows the middle of each stroke once; its width is that of the beam.",
};

static void
rhyton_ink_options_changed (RhytonPart *part)
{
  RhytonInkOptions *self = RHYTON_INK_OPTIONS (part);
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (rhyton_part_get_document (part));
  const gboolean seen = artwork->ink != RHY_INK_DRAWN;

  self->refreshing = TRUE;
  gtk_drop_down_set_selected (self->ink, artwork->ink);
  gtk_spin_button_set_value (self->shades, artwork->ink_shades);
  gtk_drop_down_set_selected (self->strokes, artwork->strokes);
  self->refreshing = FALSE;
  gtk_label_set_label (GTK_LABEL (self->ink_meaning), ink_meanings[artwork->ink]);
  gtk_widget_set_visible (self->shades_row, artwork->ink == RHY_INK_SHADES);
  /* What is seen has no strokes left. */
  gtk_widget_set_sensitive (GTK_WIDGET (self->strokes), !seen);
  gtk_label_set_label (GTK_LABEL (self->strokes_meaning), seen ? "What is seen has outlines only." : strokes_meanings[artwork->strokes]);
}

static void
choose (RhytonInkOptions  *self,
        GtkDropDown       *drop_down,
        const char        *name,
        const char        *key,
        const char *const *words,
        gsize              n_words)
{
  const guint selected = gtk_drop_down_get_selected (drop_down);

  if (self->refreshing || selected >= n_words || rhyton_part_get_document (RHYTON_PART (self)) == NULL)
    return;
  const RhytonEdit edit = { "Artwork", key, words[selected] };
  rhyton_panel_enter (RHYTON_PART (self), NULL, name, &edit, 1);
}

static void
on_ink (GtkDropDown      *drop_down,
        GParamSpec       *pspec,
        RhytonInkOptions *self)
{
  choose (self, drop_down, "What is ink", "Ink", ink_words, G_N_ELEMENTS (ink_words));
}

static void
on_shades (GtkSpinButton    *spin,
           RhytonInkOptions *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  if (!self->refreshing && document != NULL)
    rhyton_document_change_number (document, "Number of shades", "ink-shades", "Artwork", "InkShades",
                                   gtk_spin_button_get_value_as_int (spin), NULL);
}

static void
on_strokes (GtkDropDown      *drop_down,
            GParamSpec       *pspec,
            RhytonInkOptions *self)
{
  choose (self, drop_down, "Strokes", "Strokes", strokes_words, G_N_ELEMENTS (strokes_words));
}

static void
rhyton_ink_options_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_INK_OPTIONS);
  G_OBJECT_CLASS (rhyton_ink_options_parent_class)->dispose (object);
}

static void
rhyton_ink_options_class_init (RhytonInkOptionsClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_ink_options_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_ink_options_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-ink-options.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, ink);
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, ink_meaning);
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, shades_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, shades);
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, strokes);
  gtk_widget_class_bind_template_child (widget_class, RhytonInkOptions, strokes_meaning);
  gtk_widget_class_bind_template_callback (widget_class, on_ink);
  gtk_widget_class_bind_template_callback (widget_class, on_shades);
  gtk_widget_class_bind_template_callback (widget_class, on_strokes);
}

static void
rhyton_ink_options_init (RhytonInkOptions *self)
{
  self->refreshing = TRUE;
  gtk_widget_init_template (GTK_WIDGET (self));
  self->refreshing = FALSE;
}
