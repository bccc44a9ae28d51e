/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artwork-list.h"

#include <math.h>

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

  /* Owned */
  char       *shown;            /* what the rows say: they are made again only when that changes */
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

static void
append_row (RhytonArtworkList   *self,
            const RhyJobArtwork *artwork,
            gboolean             is_mark)
{
  g_autofree char *title = rhyton_artworks_title (artwork);
  g_autofree char *where = place_of (RHYTON_PART (self), artwork);
  g_autofree char *caption = g_strconcat (where, is_mark ? ": the mark" : "", NULL);
  g_autofree char *label = g_strdup_printf ("%s, %s", title, caption);
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *texts[] = { gtk_label_new (title), gtk_label_new (caption) };

  for (gsize i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      gtk_label_set_xalign (GTK_LABEL (texts[i]), 0.0f);
      gtk_label_set_ellipsize (GTK_LABEL (texts[i]), PANGO_ELLIPSIZE_END);
      gtk_box_append (GTK_BOX (box), texts[i]);
    }
  gtk_widget_add_css_class (texts[1], "caption");
  gtk_widget_add_css_class (texts[1], "dim-label");
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  gtk_list_box_append (self->list, row);
}

static char *
describe (RhytonArtworkList *self,
          const RhyJobData  *data)
{
  GString *text = g_string_new (NULL);
  for (gsize i = 0; i < data->n_artworks; i++)
    {
      g_autofree char *title = rhyton_artworks_title (&data->artworks[i]);
      g_autofree char *place = place_of (RHYTON_PART (self), &data->artworks[i]);
      g_string_append_printf (text, "%s\n%s\n", title, place);
    }
  return g_string_free (text, FALSE);
}

static void
refresh_rows (RhytonArtworkList *self,
              const RhyJobData  *data)
{
  g_autofree char *now = describe (self, data);
  GtkListBoxRow *row;

  if (g_strcmp0 (now, self->shown) == 0)
    return;
  g_free (self->shown);
  self->shown = g_steal_pointer (&now);
  while ((row = gtk_list_box_get_row_at_index (self->list, 0)) != NULL)
    gtk_list_box_remove (self->list, GTK_WIDGET (row));
  for (gsize i = 0; i < data->n_artworks; i++)
    append_row (self, &data->artworks[i], i == 0 && data->n_artworks > 1);
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
  gtk_list_box_select_row (self->list, gtk_list_box_get_row_at_index (self->list, (int) rhyton_document_get_selected (document)));
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
rhyton_artwork_list_finalize (GObject *object)
{
  g_free (RHYTON_ARTWORK_LIST (object)->shown);
  G_OBJECT_CLASS (rhyton_artwork_list_parent_class)->finalize (object);
}

static void
rhyton_artwork_list_class_init (RhytonArtworkListClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = rhyton_artwork_list_dispose;
  object_class->finalize = rhyton_artwork_list_finalize;
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
