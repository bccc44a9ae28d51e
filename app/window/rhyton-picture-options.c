/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-picture-options.h"

#include <math.h>

#include "rhyton-panel.h"

#include <rhyton/trace.h>

struct _RhytonPictureOptions
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkDropDown        *way;
  GtkWidget          *meaning;
  GtkWidget          *tracing;
  GtkSpinButton      *threshold;
  GtkSpinButton      *smoothing;
  RhytonMeasureEntry *speck;

  gboolean            refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonPictureOptions, rhyton_picture_options, RHYTON_TYPE_PART)

typedef enum { WAY_GREY, WAY_DOTS, WAY_COLOUR, WAY_TRACED, N_WAYS } Way;

/* The shades before it stay in the job when it is traced. */
static const struct { const char *shades, *meaning; } ways[N_WAYS] = {
  [WAY_GREY] = { "grey", "The beam's power has to follow the grey: for machines and materials that can tell shades apart." },
  [WAY_DOTS] = { "dots", "Black dots, as dense as the picture is dark: for machines that know only on and off." },
  [WAY_COLOUR] = { "colour", "In its own colours, for machines that print or tell jobs apart by colour." },
  [WAY_TRACED] = { NULL, "Its dark parts become outlines, as if cut out of paper." },
};

static Way
way_of (const RhyJobArtwork *artwork)
{
  static const Way by_shades[] = { [RHY_SHADES_GREY] = WAY_GREY, [RHY_SHADES_DOTS] = WAY_DOTS, [RHY_SHADES_COLOUR] = WAY_COLOUR };
  return artwork->trace ? WAY_TRACED : by_shades[artwork->shades];
}

static gboolean
has_pictures (const RhyPlan *plan)
{
  RhyArtwork *source = plan != NULL ? rhy_plan_get_source (plan) : NULL;

  for (gsize i = 0; source != NULL && i < rhy_artwork_get_n_shapes (source); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (source, i);
      if (shape->fill_paint != NULL || shape->stroke_paint != NULL)
        return TRUE;
    }
  return FALSE;
}

static void
rhyton_picture_options_job_changed (RhytonPart *part)
{
  RhytonPictureOptions *self = RHYTON_PICTURE_OPTIONS (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const Way way = way_of (artwork);

  self->refreshing = TRUE;
  gtk_drop_down_set_selected (self->way, way);
  gtk_spin_button_set_value (self->threshold, 100.0 * artwork->trace_threshold);
  gtk_spin_button_set_value (self->smoothing, 100.0 * artwork->trace_smoothing);
  self->refreshing = FALSE;
  rhyton_measure_entry_set_inches (self->speck, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_value (self->speck, artwork->trace_speck_mm);
  gtk_label_set_label (GTK_LABEL (self->meaning), ways[way].meaning);
  gtk_widget_set_visible (self->tracing, way == WAY_TRACED);
}

/* While a file is read, or cannot be, what was there before says nothing. */
static void
rhyton_picture_options_plan_changed (RhytonPart *part)
{
  RhytonPictureOptions *self = RHYTON_PICTURE_OPTIONS (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyPlan *plan = rhyton_document_get_part (document);

  if (plan != NULL)
    gtk_widget_set_visible (self->box, has_pictures (plan));
  else
    /* A threshold that leaves nothing makes no plan: it must still be possible to mend it. */
    gtk_widget_set_visible (self->box, rhyton_document_get_artwork (document)->trace);
}

static void
on_way (GtkDropDown          *drop_down,
        GParamSpec           *pspec,
        RhytonPictureOptions *self)
{
  const guint way = gtk_drop_down_get_selected (drop_down);

  if (self->refreshing || way >= N_WAYS || rhyton_part_get_document (RHYTON_PART (self)) == NULL)
    return;
  if (way == WAY_TRACED && !rhy_trace_is_available ())
    {
      rhyton_picture_options_job_changed (RHYTON_PART (self));
      gtk_label_set_label (GTK_LABEL (self->meaning), "This copy of Rhyton is built without tracing.");
      return;
    }
  const RhytonEdit edits[] = { { "Artwork", "Trace", way == WAY_TRACED ? "yes" : NULL }, { "Artwork", "Shades", ways[way].shades } };
  rhyton_panel_enter (RHYTON_PART (self), NULL, "How pictures come out", edits, way == WAY_TRACED ? 1 : 2);
}

/* Turning the wheel is one step to undo. */
static void
enter_part (RhytonPictureOptions *self,
            GtkSpinButton        *spin,
            const char           *name,
            const char           *tag,
            const char           *key)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (self->refreshing || document == NULL)
    return;
  rhyton_document_change_number (document, name, tag, "Artwork", key, round (gtk_spin_button_get_value (spin)) / 100.0, NULL);
}

static void
on_threshold (GtkSpinButton        *spin,
              RhytonPictureOptions *self)
{
  enter_part (self, spin, "Threshold of tracing", "trace-threshold", "TraceThreshold");
}

static void
on_smoothing (GtkSpinButton        *spin,
              RhytonPictureOptions *self)
{
  enter_part (self, spin, "Smoothing of tracing", "trace-smoothing", "TraceSmoothing");
}

static void
on_speck (RhytonMeasureEntry   *entry,
          double                value,
          RhytonPictureOptions *self)
{
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Smallest speck", "Artwork", "TraceSpeck", value);
}

static void
rhyton_picture_options_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_PICTURE_OPTIONS);
  G_OBJECT_CLASS (rhyton_picture_options_parent_class)->dispose (object);
}

static void
rhyton_picture_options_class_init (RhytonPictureOptionsClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_picture_options_dispose;
  part_class->job_changed = rhyton_picture_options_job_changed;
  part_class->plan_changed = rhyton_picture_options_plan_changed;

  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-picture-options.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, way);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, meaning);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, tracing);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, threshold);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, smoothing);
  gtk_widget_class_bind_template_child (widget_class, RhytonPictureOptions, speck);
  gtk_widget_class_bind_template_callback (widget_class, on_way);
  gtk_widget_class_bind_template_callback (widget_class, on_threshold);
  gtk_widget_class_bind_template_callback (widget_class, on_smoothing);
  gtk_widget_class_bind_template_callback (widget_class, on_speck);
}

static void
rhyton_picture_options_init (RhytonPictureOptions *self)
{
  self->refreshing = TRUE;
  gtk_widget_init_template (GTK_WIDGET (self));
  self->refreshing = FALSE;
}
