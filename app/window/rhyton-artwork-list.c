/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artwork-list.h"

#include <math.h>
#include <string.h>

#include "rhyton-artworks.h"
#include "rhyton-panel.h"

struct _RhytonArtworkList
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkListBox *list;
  GtkWidget  *remove;
  GtkWidget  *name_row;
  GtkWidget  *name;
  GtkWidget  *complaint;

  gboolean    refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonArtworkList, rhyton_artwork_list, RHYTON_TYPE_PART)

static void
complain (RhytonArtworkList *self,
          const char        *text)
{
  gtk_label_set_label (GTK_LABEL (self->complaint), text != NULL ? text : "");
  gtk_widget_set_visible (self->complaint, text != NULL);
}

static char *
place_of (RhytonPart          *part,
          const RhyJobArtwork *artwork)
{
  const double angle = artwork->around_rad * 180.0 / G_PI;
  if (isnan (artwork->at_mm))
    return g_strdup_printf ("at the middle, %.0f\u00b0 around", angle);
  g_autofree char *up = rhyton_panel_format_length (part, artwork->at_mm);
  return g_strdup_printf ("%s up, %.0f\u00b0 around", up, angle);
}

/* A title, and below it where it lies. */
static void
append_row (RhytonArtworkList *self)
{
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *texts[] = { gtk_label_new (NULL), gtk_label_new (NULL) };

  for (gsize i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      gtk_label_set_xalign (GTK_LABEL (texts[i]), 0.0f);
      gtk_label_set_ellipsize (GTK_LABEL (texts[i]), PANGO_ELLIPSIZE_END);
      gtk_box_append (GTK_BOX (box), texts[i]);
    }
  gtk_widget_add_css_class (texts[1], "caption");
  gtk_widget_add_css_class (texts[1], "dim-label");
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_list_box_append (self->list, row);
}

static void
tell_row (RhytonArtworkList   *self,
          GtkListBoxRow       *row,
          const RhyJobArtwork *artwork,
          gboolean             is_mark)
{
  GtkWidget *first = gtk_widget_get_first_child (gtk_list_box_row_get_child (row));
  GtkLabel *caption = GTK_LABEL (gtk_widget_get_next_sibling (first));
  g_autofree char *title = rhyton_artworks_title (artwork);
  g_autofree char *where = place_of (RHYTON_PART (self), artwork);
  g_autofree char *text = g_strconcat (where, is_mark ? ": the mark" : "", NULL);

  if (strcmp (gtk_label_get_label (GTK_LABEL (first)), title) == 0 && strcmp (gtk_label_get_label (caption), text) == 0)
    return;
  g_autofree char *name = g_strdup_printf ("%s, %s", title, text);
  gtk_label_set_label (GTK_LABEL (first), title);
  gtk_label_set_label (caption, text);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

/* A row stays as long as there is an artwork for it: while one is dragged only its words change. */
static void
refresh_rows (RhytonArtworkList *self,
              const RhyJobData  *data)
{
  const gsize n = data->n_artworks > 1 ? data->n_artworks : 0;
  GtkListBoxRow *row;

  for (gsize i = 0; i < n; i++)
    {
      if (gtk_list_box_get_row_at_index (self->list, (int) i) == NULL)
        append_row (self);
      tell_row (self, gtk_list_box_get_row_at_index (self->list, (int) i), &data->artworks[i], i == 0);
    }
  while ((row = gtk_list_box_get_row_at_index (self->list, (int) n)) != NULL)
    gtk_list_box_remove (self->list, GTK_WIDGET (row));
}

static void
rhyton_artwork_list_changed (RhytonPart *part)
{
  RhytonArtworkList *self = RHYTON_ARTWORK_LIST (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const gboolean several = data->n_artworks > 1;

  self->refreshing = TRUE;
  refresh_rows (self, data);
  gtk_list_box_select_row (self->list, several ? gtk_list_box_get_row_at_index (self->list, (int) rhyton_document_get_selected (document))
                                               : NULL);
  self->refreshing = FALSE;
  gtk_widget_set_visible (GTK_WIDGET (self->list), several);
  gtk_widget_set_visible (self->name_row, several);
  gtk_widget_set_visible (self->remove, several);
  if (!gtk_widget_has_focus (GTK_WIDGET (gtk_editable_get_delegate (GTK_EDITABLE (self->name)))))
    gtk_editable_set_text (GTK_EDITABLE (self->name), artwork->name != NULL ? artwork->name : "");
  complain (self, NULL);
}

static void
on_row_selected (GtkListBox        *list,
                 GtkListBoxRow     *row,
                 RhytonArtworkList *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (!self->refreshing && row != NULL && document != NULL)
    rhyton_document_select (document, (gsize) gtk_list_box_row_get_index (row));
}

static void
add (RhytonArtworkList *self,
     gboolean           copy)
{
  g_autoptr (GError) error = NULL;
  if (!rhyton_artworks_add (rhyton_part_get_document (RHYTON_PART (self)), copy, &error))
    complain (self, error->message);
}

static void
on_add (GtkButton         *button,
        RhytonArtworkList *self)
{
  add (self, FALSE);
}

static void
on_copy (GtkButton         *button,
         RhytonArtworkList *self)
{
  add (self, TRUE);
}

static void
on_remove (GtkButton         *button,
           RhytonArtworkList *self)
{
  g_autoptr (GError) error = NULL;
  if (!rhyton_artworks_remove (rhyton_part_get_document (RHYTON_PART (self)), &error))
    complain (self, error->message);
}

static void
on_name (RhytonArtworkList *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  g_autoptr (GError) error = NULL;

  if (document != NULL && gtk_widget_get_visible (self->name_row)
      && !rhyton_artworks_rename (document, gtk_editable_get_text (GTK_EDITABLE (self->name)), &error))
    complain (self, error->message);
}

static void
rhyton_artwork_list_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_ARTWORK_LIST);
  G_OBJECT_CLASS (rhyton_artwork_list_parent_class)->dispose (object);
}

static void
rhyton_artwork_list_class_init (RhytonArtworkListClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_artwork_list_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_artwork_list_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-artwork-list.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkList, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkList, list);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkList, remove);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkList, name_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkList, name);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkList, complaint);
  gtk_widget_class_bind_template_callback (widget_class, on_row_selected);
  gtk_widget_class_bind_template_callback (widget_class, on_add);
  gtk_widget_class_bind_template_callback (widget_class, on_copy);
  gtk_widget_class_bind_template_callback (widget_class, on_remove);
  gtk_widget_class_bind_template_callback (widget_class, on_name);
}

static void
rhyton_artwork_list_init (RhytonArtworkList *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
