/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-zone-list.h"

#include <math.h>
#include <string.h>

#include "rhyton-howto.h"
#include "rhyton-panel.h"

#define ALL_ROUND_RAD (2.0 * G_PI - 1e-9)
#define N_FIELDS 6u

struct _RhytonZoneList
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkListBox         *list;
  GtkDropDown        *kind;
  GtkWidget          *fields;
  GtkWidget          *name;
  RhytonMeasureEntry *from;
  RhytonMeasureEntry *to;
  RhytonMeasureEntry *centre;
  RhytonMeasureEntry *width;
  RhytonMeasureEntry *stand;
  RhytonMeasureEntry *margin;
  GtkWidget          *complaint;

  gsize               selected;
  char               *shown;    /* what the rows say */
  gboolean            refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonZoneList, rhyton_zone_list, RHYTON_TYPE_PART)

/* In the order of the library's enumeration and of the list in the template. */
static const char *const kind_names[] = {
  [RHY_ZONE_HANDLE] = "handle",
  [RHY_ZONE_JAWS] = "jaws",
  [RHY_ZONE_TAILSTOCK] = "tailstock",
  [RHY_ZONE_SEAM] = "seam",
  [RHY_ZONE_RIM] = "rim",
  [RHY_ZONE_BASE] = "base",
  [RHY_ZONE_MARK] = "mark",
};

static const RhyJobData *
data_of (RhytonZoneList *self)
{
  return rhy_job_get_data (rhyton_document_get_job (rhyton_part_get_document (RHYTON_PART (self))));
}

static const RhyZone *
selected_zone (RhytonZoneList *self)
{
  const RhyJobData *data = data_of (self);
  return self->selected < data->n_zones ? &data->zones[self->selected] : NULL;
}

static void
complain (RhytonZoneList *self,
          const char     *text)
{
  gtk_label_set_label (GTK_LABEL (self->complaint), text != NULL ? text : "");
  gtk_widget_set_visible (self->complaint, text != NULL);
}

static char *
place_of (RhytonZoneList *self,
          const RhyZone  *zone)
{
  g_autofree char *from = rhyton_panel_format_length (RHYTON_PART (self), zone->from_mm);
  g_autofree char *to = rhyton_panel_format_length (RHYTON_PART (self), zone->to_mm);
  const char *kind = rhy_zone_kind_to_string (zone->kind);

  if (zone->width_rad >= ALL_ROUND_RAD)
    return g_strdup_printf ("%s, %s to %s up, all round", kind, from, to);
  return g_strdup_printf ("%s, %s to %s up, %.0f\u00b0 wide about %.0f\u00b0", kind, from, to, zone->width_rad * 180.0 / G_PI,
                          zone->centre_rad * 180.0 / G_PI);
}

static void
append_row (RhytonZoneList *self,
            const RhyZone  *zone)
{
  g_autofree char *place = place_of (self, zone);
  g_autofree char *label = g_strdup_printf ("%s: %s", zone->name, place);
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 2);
  GtkWidget *texts[] = { gtk_label_new (zone->name), gtk_label_new (place) };

  for (gsize i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      gtk_label_set_xalign (GTK_LABEL (texts[i]), 0.0f);
      gtk_label_set_wrap (GTK_LABEL (texts[i]), TRUE);
      gtk_label_set_max_width_chars (GTK_LABEL (texts[i]), 32);
      gtk_box_append (GTK_BOX (box), texts[i]);
    }
  gtk_widget_add_css_class (texts[1], "caption");
  gtk_widget_add_css_class (texts[1], "dim-label");
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, label, -1);
  gtk_list_box_append (self->list, row);
}

static void
refresh_rows (RhytonZoneList   *self,
              const RhyJobData *data)
{
  g_autoptr (GString) now = g_string_new (NULL);
  GtkListBoxRow *row;

  for (gsize i = 0; i < data->n_zones; i++)
    {
      g_autofree char *place = place_of (self, &data->zones[i]);
      g_string_append_printf (now, "%s\n%s\n", data->zones[i].name, place);
    }
  if (g_strcmp0 (now->str, self->shown) == 0)
    return;
  g_free (self->shown);
  self->shown = g_strdup (now->str);
  while ((row = gtk_list_box_get_row_at_index (self->list, 0)) != NULL)
    gtk_list_box_remove (self->list, GTK_WIDGET (row));
  for (gsize i = 0; i < data->n_zones; i++)
    append_row (self, &data->zones[i]);
}

static void
refresh_fields (RhytonZoneList *self)
{
  const RhyZone *zone = selected_zone (self);
  const gboolean inches = rhyton_document_get_inches (rhyton_part_get_document (RHYTON_PART (self)));
  RhytonMeasureEntry *const lengths[] = { self->from, self->to, self->stand, self->margin };

  gtk_widget_set_visible (self->fields, zone != NULL);
  if (zone == NULL)
    return;
  for (gsize i = 0; i < G_N_ELEMENTS (lengths); i++)
    rhyton_measure_entry_set_inches (lengths[i], inches);
  rhyton_measure_entry_set_value (self->from, zone->from_mm);
  rhyton_measure_entry_set_value (self->to, zone->to_mm);
  rhyton_measure_entry_set_value (self->centre, zone->centre_rad * 180.0 / G_PI);
  rhyton_measure_entry_set_value (self->width, zone->width_rad * 180.0 / G_PI);
  rhyton_measure_entry_set_value (self->stand, zone->stand_mm);
  rhyton_measure_entry_set_value (self->margin, zone->margin_mm);
  if (!gtk_widget_has_focus (GTK_WIDGET (gtk_editable_get_delegate (GTK_EDITABLE (self->name)))))
    gtk_editable_set_text (GTK_EDITABLE (self->name), zone->name);
}

static void
rhyton_zone_list_changed (RhytonPart *part)
{
  RhytonZoneList *self = RHYTON_ZONE_LIST (part);
  const RhyJobData *data = data_of (self);

  if (self->selected >= data->n_zones)
    self->selected = 0;
  self->refreshing = TRUE;
  refresh_rows (self, data);
  gtk_list_box_select_row (self->list, gtk_list_box_get_row_at_index (self->list, (int) self->selected));
  self->refreshing = FALSE;
  gtk_widget_set_visible (GTK_WIDGET (self->list), data->n_zones > 0);
  refresh_fields (self);
  complain (self, NULL);
}

static void
on_row_selected (GtkListBox     *list,
                 GtkListBoxRow  *row,
                 RhytonZoneList *self)
{
  if (self->refreshing || row == NULL)
    return;
  self->selected = (gsize) gtk_list_box_row_get_index (row);
  refresh_fields (self);
}

/* ---- adding ---- */

static gboolean
is_taken (const RhyJobData *data,
          const char       *name)
{
  for (gsize i = 0; i < data->n_zones; i++)
    if (strcmp (data->zones[i].name, name) == 0)
      return TRUE;
  return FALSE;
}

static char *
free_name (const RhyJobData *data,
           const char       *kind)
{
  if (!is_taken (data, kind))
    return g_strdup (kind);
  for (guint i = 2;; i++)
    {
      g_autofree char *name = g_strdup_printf ("%s %u", kind, i);
      if (!is_taken (data, name))
        return g_steal_pointer (&name);
    }
}

/* Where such a thing usually is; to be dragged or typed over. */
static RhyZone
usual_place (RhyZoneKind kind,
             double      low_mm,
             double      high_mm)
{
  const double height = high_mm - low_mm;
  RhyZone zone = { .kind = kind, .from_mm = low_mm, .to_mm = high_mm, .centre_rad = G_PI, .width_rad = 2.0 * G_PI };

  switch (kind)
    {
    case RHY_ZONE_HANDLE:
      zone.width_rad = 40.0 / 180.0 * G_PI;
      zone.from_mm = low_mm + 0.15 * height;
      zone.to_mm = high_mm - 0.15 * height;
      zone.stand_mm = 35.0;
      break;
    case RHY_ZONE_SEAM:
    case RHY_ZONE_MARK:
      zone.width_rad = 10.0 / 180.0 * G_PI;
      break;
    case RHY_ZONE_JAWS:
    case RHY_ZONE_BASE:
      zone.centre_rad = 0.0;
      zone.to_mm = low_mm + 0.1 * height;
      break;
    case RHY_ZONE_TAILSTOCK:
    case RHY_ZONE_RIM:
    default:
      zone.centre_rad = 0.0;
      zone.from_mm = high_mm - 0.1 * height;
      break;
    }
  return zone;
}

gboolean
rhyton_zone_list_add (RhytonZoneList *self,
                      RhyZoneKind     kind)
{
  g_return_val_if_fail (RHYTON_IS_ZONE_LIST (self), FALSE);

  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  RhyPlan *plan = rhyton_document_get_plan (document);
  const RhyJobData *data = data_of (self);
  if (plan == NULL)
    {
      complain (self, "First the vessel needs readings that make a wall.");
      return FALSE;
    }
  RhyWall *wall = rhy_plan_get_wall (plan);
  const RhyZone zone = usual_place (kind, rhy_wall_at (wall, 0.0).z_mm, rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm);
  g_autofree char *name = free_name (data, kind_names[kind]);
  g_autofree char *group = g_strconcat ("Zone ", name, NULL);
  char texts[5][G_ASCII_DTOSTR_BUF_SIZE];
  const struct { const char *key; double value, otherwise; } keys[] = {
    { "Centre", zone.centre_rad * 180.0 / G_PI, 0.0 },
    { "Width", zone.width_rad * 180.0 / G_PI, 360.0 },
    { "From", zone.from_mm, NAN },
    { "To", zone.to_mm, NAN },
    { "Stand", zone.stand_mm, 0.0 },
  };
  RhytonEdit edits[1 + G_N_ELEMENTS (keys)] = { { group, "Kind", rhy_zone_kind_to_string (kind) } };
  gsize n = 1;
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      const double rounded = round (keys[i].value * 1e3) / 1e3;
      if (rounded != keys[i].otherwise)
        edits[n++] = (RhytonEdit) { group, keys[i].key, rhy_number_to_text (texts[i], rounded) };
    }
  g_autoptr (GError) error = NULL;
  if (!rhyton_document_change (document, "New zone", NULL, edits, n, &error))
    {
      g_autofree char *why = rhyton_panel_explain (error);
      complain (self, why);
      return FALSE;
    }
  self->selected = data_of (self)->n_zones - 1;
  rhyton_zone_list_changed (RHYTON_PART (self));
  return TRUE;
}

static void
on_add (RhytonZoneList *self)
{
  rhyton_zone_list_add (self, (RhyZoneKind) gtk_drop_down_get_selected (self->kind));
}

static void
on_remove (RhytonZoneList *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyZone *zone = selected_zone (self);

  if (zone == NULL)
    return;
  g_autofree char *group = g_strconcat ("Zone ", zone->name, NULL);
  RhyJob *job = rhy_job_without_group (rhyton_document_get_job (document), group, NULL);
  if (job != NULL)
    rhyton_document_replace (document, "Removal of a zone", job);
}

/* ---- editing ---- */

static void
on_value (RhytonMeasureEntry *entry,
          double              value,
          RhytonZoneList     *self)
{
  const struct { RhytonMeasureEntry *entry; const char *key, *name; } fields[N_FIELDS] = {
    { self->from, "From", "Lower edge of a zone" },
    { self->to, "To", "Upper edge of a zone" },
    { self->centre, "Centre", "Middle of a zone" },
    { self->width, "Width", "Width of a zone" },
    { self->stand, "Stand", "How far a zone stands out" },
    { self->margin, "Margin", "Margin of a zone" },
  };
  const RhyZone *zone = selected_zone (self);

  if (zone == NULL)
    return;
  g_autofree char *group = g_strconcat ("Zone ", zone->name, NULL);
  for (gsize i = 0; i < N_FIELDS; i++)
    if (fields[i].entry == entry)
      rhyton_panel_enter_number (RHYTON_PART (self), entry, fields[i].name, group, fields[i].key, value);
}

static void
on_name (RhytonZoneList *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyZone *zone = document != NULL ? selected_zone (self) : NULL;
  g_autofree char *name = g_strstrip (g_strdup (gtk_editable_get_text (GTK_EDITABLE (self->name))));

  if (zone == NULL || strcmp (name, zone->name) == 0)
    return;
  if (*name == '\0' || strpbrk (name, "[]\n") != NULL || is_taken (data_of (self), name))
    {
      complain (self, *name == '\0' ? "A zone needs a name." : strpbrk (name, "[]\n") != NULL ? "A name has no [, ] or line end in it."
                                                                                           : "Another zone has that name already.");
      return;
    }
  g_autofree char *from = g_strconcat ("Zone ", zone->name, NULL);
  g_autofree char *to = g_strconcat ("Zone ", name, NULL);
  g_autoptr (GError) error = NULL;
  if (!rhyton_document_rename_group (document, "Name of a zone", from, to, &error))
    complain (self, error->message);
}

static void
rhyton_zone_list_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_ZONE_LIST);
  G_OBJECT_CLASS (rhyton_zone_list_parent_class)->dispose (object);
}

static void
rhyton_zone_list_finalize (GObject *object)
{
  g_free (RHYTON_ZONE_LIST (object)->shown);
  G_OBJECT_CLASS (rhyton_zone_list_parent_class)->finalize (object);
}

static void
rhyton_zone_list_class_init (RhytonZoneListClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_zone_list_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_zone_list_finalize;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_zone_list_changed;

  g_type_ensure (RHYTON_TYPE_HOWTO);
  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-zone-list.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, list);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, kind);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, fields);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, name);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, from);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, to);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, centre);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, width);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, stand);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, margin);
  gtk_widget_class_bind_template_child (widget_class, RhytonZoneList, complaint);
  gtk_widget_class_bind_template_callback (widget_class, on_row_selected);
  gtk_widget_class_bind_template_callback (widget_class, on_add);
  gtk_widget_class_bind_template_callback (widget_class, on_remove);
  gtk_widget_class_bind_template_callback (widget_class, on_value);
  gtk_widget_class_bind_template_callback (widget_class, on_name);
}

static void
rhyton_zone_list_init (RhytonZoneList *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
