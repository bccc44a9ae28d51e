/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-catalogue.h"

#include <math.h>
#include <string.h>

#include "rhyton-measure.h"

struct _RhytonCatalogue
{
  GtkPopover      parent_instance;

  /* Template children */
  GtkSearchEntry *search;
  GtkListBox     *blanks;
  GtkWidget      *problem;

  /* Owned */
  RhyVessels     *vessels;      /* NULL until it is shown */
  GStrv           words;        /* of the search, folded */
  gboolean        inches;
};

enum { CHOSEN, N_SIGNALS };

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (RhytonCatalogue, rhyton_catalogue, GTK_TYPE_POPOVER)

static const RhyVesselEntry *
entry_of (RhytonCatalogue *self,
          GtkListBoxRow   *row)
{
  return rhy_vessels_get (self->vessels, (gsize) gtk_list_box_row_get_index (row));
}

static char *
format (RhytonCatalogue *self,
        double           mm)
{
  const double step_mm = self->inches ? 0.254 : 0.1;
  return rhyton_measure_format (round (mm / step_mm) * step_mm, self->inches ? RHYTON_UNIT_INCH : RHYTON_UNIT_MM);
}

/* What a caliper would find at the lowest reading, at the highest, and between which heights. */
static char *
describe (RhytonCatalogue      *self,
          const RhyVesselEntry *entry)
{
  const RhyJobData *data = rhy_job_get_data (entry->job);
  const gsize last = data->vessel.n_stations - 1;
  g_autofree char *low = format (self, data->vessel.diameters_mm[0]);
  g_autofree char *high = format (self, data->vessel.diameters_mm[last]);
  g_autofree char *tall = format (self, data->vessel.heights_mm[last]);
  const char *standing = entry->own ? "your own" : entry->published ? "published sizes" : "typical sizes: measure yours";
  const char *unit = rhyton_unit_get_symbol (self->inches ? RHYTON_UNIT_INCH : RHYTON_UNIT_MM);

  if (g_strcmp0 (low, high) == 0)
    return g_strdup_printf ("\u2300\u202f%s, up to %s\u202f%s, %s", low, tall, unit, standing);
  return g_strdup_printf ("\u2300\u202f%s below, %s above, up to %s\u202f%s, %s", low, high, tall, unit, standing);
}

static GtkWidget *
make_label (const char *text,
            const char *style)
{
  GtkWidget *label = gtk_label_new (text);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  if (style != NULL)
    gtk_widget_add_css_class (label, style);
  return label;
}

static GtkWidget *
make_row (RhytonCatalogue      *self,
          const RhyVesselEntry *entry)
{
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  g_autofree char *sizes = describe (self, entry);
  g_autofree char *name = g_strdup_printf ("%s: %s", entry->title, sizes);
  g_autofree char *more = g_strdup_printf ("%s%s%s", entry->source != NULL ? entry->source : "",
                                           entry->note != NULL ? "\n" : "", entry->note != NULL ? entry->note : "");
  GtkWidget *caption = make_label (sizes, "dim-label");

  gtk_widget_add_css_class (caption, "caption");
  gtk_box_append (GTK_BOX (box), make_label (entry->title, NULL));
  gtk_box_append (GTK_BOX (box), caption);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_widget_set_tooltip_text (row, more);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  return row;
}

static void
fill (RhytonCatalogue *self)
{
  GtkWidget *row;

  while ((row = GTK_WIDGET (gtk_list_box_get_row_at_index (self->blanks, 0))) != NULL)
    gtk_list_box_remove (self->blanks, row);
  for (gsize i = 0; i < rhy_vessels_get_n (self->vessels); i++)
    gtk_list_box_append (self->blanks, make_row (self, rhy_vessels_get (self->vessels, i)));
}

/* Every time: a vessel that was kept a minute ago is there, and a file that cannot be read is named. */
static void
rhyton_catalogue_map (GtkWidget *widget)
{
  RhytonCatalogue *self = RHYTON_CATALOGUE (widget);
  g_auto (GStrv) problems = NULL;

  g_clear_pointer (&self->vessels, rhy_vessels_unref);
  self->vessels = rhy_vessels_new (NULL, &problems);
  fill (self);
  g_autofree char *text = problems != NULL ? g_strjoinv ("\n", problems) : NULL;
  gtk_label_set_label (GTK_LABEL (self->problem), text != NULL ? text : "");
  gtk_widget_set_visible (self->problem, text != NULL && *text != '\0');
  GTK_WIDGET_CLASS (rhyton_catalogue_parent_class)->map (widget);
  gtk_editable_set_text (GTK_EDITABLE (self->search), "");
  gtk_widget_grab_focus (GTK_WIDGET (self->search));
}

static gboolean
is_found (GtkListBoxRow *row,
          gpointer       data)
{
  RhytonCatalogue *self = data;

  if (self->words == NULL || self->vessels == NULL)
    return TRUE;
  const RhyVesselEntry *entry = entry_of (self, row);
  g_autofree char *all = g_strconcat (entry->title, " ", entry->kind, " ", entry->name, NULL);
  g_autofree char *folded = g_utf8_casefold (all, -1);
  for (gsize i = 0; self->words[i] != NULL; i++)
    if (strstr (folded, self->words[i]) == NULL)
      return FALSE;
  return TRUE;
}

static void
on_search (RhytonCatalogue *self)
{
  g_autofree char *folded = g_utf8_casefold (gtk_editable_get_text (GTK_EDITABLE (self->search)), -1);

  g_strfreev (self->words);
  self->words = g_strsplit_set (folded, " ", -1);
  gtk_list_box_invalidate_filter (self->blanks);
}

static void
choose (RhytonCatalogue *self,
        GtkListBoxRow   *row)
{
  /* Closing may read the catalogue anew while somebody still uses the entry. */
  g_autoptr (RhyJob) job = rhy_job_ref (entry_of (self, row)->job);
  gtk_popover_popdown (GTK_POPOVER (self));
  g_signal_emit (self, signals[CHOSEN], 0, job);
}

static void
on_row_activated (RhytonCatalogue *self,
                  GtkListBoxRow   *row)
{
  choose (self, row);
}

/* Enter in the search takes the first that is left. */
static void
on_enter (RhytonCatalogue *self)
{
  GtkListBoxRow *row;

  for (int i = 0; (row = gtk_list_box_get_row_at_index (self->blanks, i)) != NULL; i++)
    if (is_found (row, self))
      {
        choose (self, row);
        return;
      }
}

void
rhyton_catalogue_set_inches (RhytonCatalogue *self,
                             gboolean         inches)
{
  g_return_if_fail (RHYTON_IS_CATALOGUE (self));
  self->inches = inches;
}

static void
rhyton_catalogue_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_CATALOGUE);
  G_OBJECT_CLASS (rhyton_catalogue_parent_class)->dispose (object);
}

static void
rhyton_catalogue_finalize (GObject *object)
{
  RhytonCatalogue *self = RHYTON_CATALOGUE (object);

  g_clear_pointer (&self->vessels, rhy_vessels_unref);
  g_strfreev (self->words);
  G_OBJECT_CLASS (rhyton_catalogue_parent_class)->finalize (object);
}

static void
rhyton_catalogue_class_init (RhytonCatalogueClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = rhyton_catalogue_dispose;
  object_class->finalize = rhyton_catalogue_finalize;
  widget_class->map = rhyton_catalogue_map;

  signals[CHOSEN] = g_signal_new ("chosen", RHYTON_TYPE_CATALOGUE, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                  G_TYPE_NONE, 1, G_TYPE_POINTER);

  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-catalogue.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonCatalogue, search);
  gtk_widget_class_bind_template_child (widget_class, RhytonCatalogue, blanks);
  gtk_widget_class_bind_template_child (widget_class, RhytonCatalogue, problem);
  gtk_widget_class_bind_template_callback (widget_class, on_search);
  gtk_widget_class_bind_template_callback (widget_class, on_enter);
  gtk_widget_class_bind_template_callback (widget_class, on_row_activated);
}

static void
rhyton_catalogue_init (RhytonCatalogue *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_list_box_set_filter_func (self->blanks, is_found, self, NULL);
}
