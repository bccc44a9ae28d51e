/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-length-row.h"

#include <math.h>

#include "rhyton-measure-entry.h"

struct _RhytonLengthRow
{
  GtkWidget           parent_instance;

  /* Template children */
  GtkWidget          *box;
  RhytonMeasureEntry *nominal;
  RhytonMeasureEntry *printed;
  GtkWidget          *remove;
};

enum { CHANGED, REMOVE, N_SIGNALS };
static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (RhytonLengthRow, rhyton_length_row, GTK_TYPE_WIDGET)

GtkWidget *
rhyton_length_row_new (void)
{
  return g_object_new (RHYTON_TYPE_LENGTH_ROW, NULL);
}

void
rhyton_length_row_set_number (RhytonLengthRow *self,
                              guint            number)
{
  g_return_if_fail (RHYTON_IS_LENGTH_ROW (self));

  g_autofree char *meant = g_strdup_printf ("Length %u that was meant", number);
  g_autofree char *came_out = g_strdup_printf ("Length %u that came out", number);
  g_autofree char *away = g_strdup_printf ("Remove reading %u", number);
  g_object_set (self->nominal, "label", meant, NULL);
  g_object_set (self->printed, "label", came_out, NULL);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->remove), GTK_ACCESSIBLE_PROPERTY_LABEL, away, -1);
}

void
rhyton_length_row_set_inches (RhytonLengthRow *self,
                              gboolean         inches)
{
  g_return_if_fail (RHYTON_IS_LENGTH_ROW (self));

  rhyton_measure_entry_set_inches (self->nominal, inches);
  rhyton_measure_entry_set_inches (self->printed, inches);
}

void
rhyton_length_row_get (RhytonLengthRow *self,
                       double          *nominal,
                       double          *printed)
{
  g_return_if_fail (RHYTON_IS_LENGTH_ROW (self));

  *nominal = rhyton_measure_entry_get_value (self->nominal);
  *printed = rhyton_measure_entry_get_value (self->printed);
}

static void
on_value (RhytonMeasureEntry *entry,
          double              value,
          RhytonLengthRow    *self)
{
  if (value <= 0.0)
    {
      rhyton_measure_entry_refuse (entry, "This must be more than 0.");
      return;
    }
  rhyton_measure_entry_set_value (entry, value);
  g_signal_emit (self, signals[CHANGED], 0);
}

static void
on_remove (RhytonLengthRow *self)
{
  g_signal_emit (self, signals[REMOVE], 0);
}

static void
rhyton_length_row_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_LENGTH_ROW);
  G_OBJECT_CLASS (rhyton_length_row_parent_class)->dispose (object);
}

static void
rhyton_length_row_class_init (RhytonLengthRowClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_length_row_dispose;
  signals[CHANGED] = g_signal_new ("changed", RHYTON_TYPE_LENGTH_ROW, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[REMOVE] = g_signal_new ("remove", RHYTON_TYPE_LENGTH_ROW, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);

  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-length-row.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonLengthRow, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonLengthRow, nominal);
  gtk_widget_class_bind_template_child (widget_class, RhytonLengthRow, printed);
  gtk_widget_class_bind_template_child (widget_class, RhytonLengthRow, remove);
  gtk_widget_class_bind_template_callback (widget_class, on_value);
  gtk_widget_class_bind_template_callback (widget_class, on_remove);
}

static void
rhyton_length_row_init (RhytonLengthRow *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  rhyton_measure_entry_set_value (self->nominal, NAN);
  rhyton_measure_entry_set_value (self->printed, NAN);
}
