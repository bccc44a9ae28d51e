/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-places.h"

#include <math.h>

#include "rhyton-grip.h"

/* Nobody could tell a place from one so near; places are written to a thousandth. */
#define THERE_MM 0.002

struct _RhytonPlaces
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *button;
  GtkWidget  *popover;
  GtkWidget  *list;

  /* Owned */
  RhyPlan    *plan;             /* of which the snaps are */
  RhySnap    *snaps;            /* the rows, in order */
};

G_DEFINE_FINAL_TYPE (RhytonPlaces, rhyton_places, RHYTON_TYPE_PART)

static RhySnap *
list_places (RhytonDocument *document,
             gsize          *n)
{
  RhyPlan *plan = rhyton_document_get_plan (document);
  const RhyPlan *part = rhyton_document_get_part (document);

  *n = 0;
  if (plan == NULL || part == NULL)
    return NULL;
  return rhy_snap_list (plan, rhyton_document_get_selected (document), rhy_plan_get_numbers (part)->anchor, n);
}

static void
go (RhytonDocument *document,
    const RhyPlan  *plan,
    const RhySnap  *snap)
{
  const gboolean is_height = rhy_snap_is_height (snap->kind);
  const double value = is_height ? rhy_wall_at (rhy_plan_get_wall (plan), snap->at.s).z_mm
                                 : remainder (snap->at.angle, 2.0 * G_PI) * 180.0 / G_PI;
  /* A place is on the wall, so this is not refused. */
  rhyton_document_change_number (document, "Move of the artwork", NULL, "Artwork", is_height ? "At" : "Around",
                                 round (value * 1e3) / 1e3, NULL);
}

void
rhyton_places_take (RhytonDocument *document,
                    RhySnapKind     kind)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (document));

  gsize n = 0;
  g_autofree RhySnap *snaps = list_places (document, &n);
  for (gsize i = 0; i < n; i++)
    if (snaps[i].kind == kind)
      {
        go (document, rhyton_document_get_plan (document), &snaps[i]);
        return;
      }
}

/* ---- the list ---- */

static gboolean
is_there (const RhyPlan *plan,
          const RhySnap *snap,
          RhyWallPoint   anchor)
{
  const double r_mm = rhy_wall_at (rhy_plan_get_wall (plan), anchor.s).r_mm;
  return hypot (snap->at.s - anchor.s, (snap->at.angle - anchor.angle) * r_mm) < THERE_MM;
}

static void
on_place (GtkButton    *row,
          RhytonPlaces *self)
{
  const RhySnap *snap = g_object_get_data (G_OBJECT (row), "snap");
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (document != NULL)
    go (document, self->plan, snap);
  gtk_popover_popdown (GTK_POPOVER (self->popover));
}

/* "Opposite handle" and whether it is there already. */
static void
append_row (RhytonPlaces  *self,
            RhySnap       *snap,
            RhyWallPoint   anchor)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  g_autofree char *words = rhyton_grip_describe_snap (snap, document);
  const gboolean there = is_there (self->plan, snap, anchor);
  words[0] = g_ascii_toupper (words[0]);
  g_autofree char *text = g_strconcat (words, there ? " (it is there)" : "", NULL);
  GtkWidget *row = gtk_button_new_with_label (text);
  GtkWidget *label = gtk_button_get_child (GTK_BUTTON (row));

  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 36);
  gtk_widget_add_css_class (row, "flat");
  gtk_widget_set_sensitive (row, !there);
  gtk_widget_set_tooltip_text (row, rhy_snap_is_height (snap->kind) ? "Another height; the angle stays"
                                                                    : "Another angle; the height stays");
  g_object_set_data (G_OBJECT (row), "snap", snap);
  g_signal_connect (row, "clicked", G_CALLBACK (on_place), self);
  gtk_box_append (GTK_BOX (self->list), row);
}

static void
clear_rows (RhytonPlaces *self)
{
  GtkWidget *row;
  while ((row = gtk_widget_get_first_child (self->list)) != NULL)
    gtk_box_remove (GTK_BOX (self->list), row);
  g_clear_pointer (&self->snaps, g_free);
  g_clear_pointer (&self->plan, rhy_plan_unref);
}

/* Made when they are looked at: a drag makes a plan every frame. */
static void
on_show (GtkWidget    *popover,
         RhytonPlaces *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  gsize n = 0;

  clear_rows (self);
  if (document == NULL)
    return;
  self->snaps = list_places (document, &n);
  if (n == 0)
    return;
  self->plan = rhy_plan_ref (rhyton_document_get_plan (document));
  const RhyWallPoint anchor = rhy_plan_get_numbers (rhyton_document_get_part (document))->anchor;
  for (gsize i = 0; i < n; i++)
    append_row (self, &self->snaps[i], anchor);
}

static void
rhyton_places_plan_changed (RhytonPart *part)
{
  RhytonPlaces *self = RHYTON_PLACES (part);
  gtk_widget_set_sensitive (self->button, rhyton_document_get_plan (rhyton_part_get_document (part)) != NULL);
}

static void
rhyton_places_dispose (GObject *object)
{
  RhytonPlaces *self = RHYTON_PLACES (object);

  if (self->list != NULL)
    clear_rows (self);
  gtk_widget_dispose_template (GTK_WIDGET (self), RHYTON_TYPE_PLACES);
  G_OBJECT_CLASS (rhyton_places_parent_class)->dispose (object);
}

static void
rhyton_places_class_init (RhytonPlacesClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_places_dispose;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_places_plan_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-places.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonPlaces, button);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlaces, popover);
  gtk_widget_class_bind_template_child (widget_class, RhytonPlaces, list);
  gtk_widget_class_bind_template_callback (widget_class, on_show);
}

static void
rhyton_places_init (RhytonPlaces *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
