/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-measure-entry.h"

#include <math.h>
#include <string.h>

struct _RhytonMeasureEntry
{
  GtkWidget  parent_instance;

  /* Template children */
  GtkWidget *box;
  GtkWidget *entry;
  GtkWidget *unit;
  GtkWidget *message;

  /* Owned */
  char      *shown;             /* the text of value as last shown */
  char      *label;
  double     value;
  double     step;
  gboolean   angle;
  gboolean   inches;
  gboolean   optional;
};

enum
{
  PROP_LABEL = 1,
  PROP_VALUE,
  PROP_STEP,
  PROP_ANGLE,
  PROP_INCHES,
  PROP_OPTIONAL,
  PROP_PLACEHOLDER,
  N_PROPS,
};

enum { COMMIT, TYPED, N_SIGNALS };

static GParamSpec *properties[N_PROPS];
static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (RhytonMeasureEntry, rhyton_measure_entry, GTK_TYPE_WIDGET)

static RhytonUnit
unit_of (RhytonMeasureEntry *self)
{
  if (self->angle)
    return RHYTON_UNIT_DEGREE;
  return self->inches ? RHYTON_UNIT_INCH : RHYTON_UNIT_MM;
}

static void
show_message (RhytonMeasureEntry *self,
              const char         *message)
{
  const gboolean bad = message != NULL;
  gtk_label_set_label (GTK_LABEL (self->message), bad ? message : "");
  gtk_widget_set_visible (self->message, bad);
  if (bad)
    gtk_widget_add_css_class (self->entry, "error");
  else
    gtk_widget_remove_css_class (self->entry, "error");
  gtk_accessible_update_state (GTK_ACCESSIBLE (self->entry), GTK_ACCESSIBLE_STATE_INVALID,
                               bad ? GTK_ACCESSIBLE_INVALID_TRUE : GTK_ACCESSIBLE_INVALID_FALSE, -1);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->entry), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION,
                                  bad ? message : "", -1);
}

static void
show_value (RhytonMeasureEntry *self)
{
  g_free (self->shown);
  self->shown = isfinite (self->value) ? rhyton_measure_format (self->value, unit_of (self)) : g_strdup ("");
  if (strcmp (gtk_editable_get_text (GTK_EDITABLE (self->entry)), self->shown) != 0)
    gtk_editable_set_text (GTK_EDITABLE (self->entry), self->shown);
  gtk_label_set_label (GTK_LABEL (self->unit), rhyton_unit_get_symbol (unit_of (self)));
  show_message (self, NULL);
}

static void
commit (RhytonMeasureEntry *self,
        double              value)
{
  /* The handler may well throw the field away. */
  g_object_ref (self);
  show_message (self, NULL);
  g_signal_emit (self, signals[COMMIT], 0, value);
  /* Taken, perhaps as the value that was there before: show it as we write it. */
  if (self->message != NULL && !gtk_widget_get_visible (self->message))
    show_value (self);
  g_object_unref (self);
}

static void
read_text (RhytonMeasureEntry *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->entry));
  g_autoptr (GError) error = NULL;
  double value = NAN;

  /* Leaving a field untouched must not round the value to what is shown. */
  if (strcmp (text, self->shown) == 0)
    {
      show_message (self, NULL);
      return;
    }
  g_autofree char *stripped = g_strstrip (g_strdup (text));
  if (*stripped == '\0' && self->optional)
    {
      commit (self, NAN);
      return;
    }
  if (!rhyton_measure_parse (text, self->angle ? RHYTON_MEASURE_ANGLE : RHYTON_MEASURE_LENGTH,
                             unit_of (self), &value, &error))
    {
      show_message (self, error->message);
      return;
    }
  commit (self, value);
}

/* What stands there half typed is no mistake yet: it is only said when it is a value. */
static void
on_changed (RhytonMeasureEntry *self)
{
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->entry));
  double value = self->value;

  if (self->optional && text[strspn (text, " ")] == '\0')
    g_signal_emit (self, signals[TYPED], 0, NAN);
  else if (strcmp (text, self->shown) == 0
           || rhyton_measure_parse (text, self->angle ? RHYTON_MEASURE_ANGLE : RHYTON_MEASURE_LENGTH, unit_of (self),
                                    &value, NULL))
    g_signal_emit (self, signals[TYPED], 0, value);
}

static void
on_activate (RhytonMeasureEntry *self)
{
  read_text (self);
  GtkWidget *text = GTK_WIDGET (gtk_editable_get_delegate (GTK_EDITABLE (self->entry)));
  if (*rhyton_measure_entry_get_message (self) == '\0' && gtk_widget_has_focus (text))
    gtk_editable_select_region (GTK_EDITABLE (self->entry), 0, -1);
}

static void
on_leave (RhytonMeasureEntry *self)
{
  read_text (self);
}

static gboolean
step_by (RhytonMeasureEntry *self,
         double              steps)
{
  if (!isfinite (self->value))
    return FALSE;
  const double step_mm = self->inches && !self->angle ? 25.4 / 16.0 : self->step;
  commit (self, self->value + steps * step_mm);
  return TRUE;
}

static gboolean
on_key (GtkEventControllerKey *controller,
        guint                  keyval,
        guint                  keycode,
        GdkModifierType        state,
        RhytonMeasureEntry    *self)
{
  const double steps = state & GDK_SHIFT_MASK ? 0.1 : 1.0;

  if (state & (GDK_CONTROL_MASK | GDK_ALT_MASK))
    return GDK_EVENT_PROPAGATE;
  switch (keyval)
    {
    case GDK_KEY_Up:
    case GDK_KEY_KP_Up:
      return step_by (self, steps);
    case GDK_KEY_Down:
    case GDK_KEY_KP_Down:
      return step_by (self, -steps);
    case GDK_KEY_Escape:
      if (strcmp (gtk_editable_get_text (GTK_EDITABLE (self->entry)), self->shown) == 0)
        return GDK_EVENT_PROPAGATE;
      show_value (self);
      return GDK_EVENT_STOP;
    default:
      return GDK_EVENT_PROPAGATE;
    }
}

double
rhyton_measure_entry_get_value (RhytonMeasureEntry *self)
{
  g_return_val_if_fail (RHYTON_IS_MEASURE_ENTRY (self), NAN);
  return self->value;
}

void
rhyton_measure_entry_set_value (RhytonMeasureEntry *self,
                                double              value)
{
  g_return_if_fail (RHYTON_IS_MEASURE_ENTRY (self));

  /* News from elsewhere must not wipe out what somebody is typing. */
  if (self->value == value || (isnan (self->value) && isnan (value)))
    return;
  self->value = value;
  show_value (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_VALUE]);
}

void
rhyton_measure_entry_set_inches (RhytonMeasureEntry *self,
                                 gboolean            inches)
{
  g_return_if_fail (RHYTON_IS_MEASURE_ENTRY (self));

  if (self->inches == inches)
    return;
  self->inches = inches;
  show_value (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_INCHES]);
}

void
rhyton_measure_entry_refuse (RhytonMeasureEntry *self,
                             const char         *message)
{
  g_return_if_fail (RHYTON_IS_MEASURE_ENTRY (self) && message != NULL);
  show_message (self, message);
}

const char *
rhyton_measure_entry_get_message (RhytonMeasureEntry *self)
{
  g_return_val_if_fail (RHYTON_IS_MEASURE_ENTRY (self), NULL);
  return gtk_label_get_label (GTK_LABEL (self->message));
}

void
rhyton_measure_entry_enter (RhytonMeasureEntry *self,
                            const char         *text)
{
  g_return_if_fail (RHYTON_IS_MEASURE_ENTRY (self) && text != NULL);
  gtk_editable_set_text (GTK_EDITABLE (self->entry), text);
  on_activate (self);
}

GtkWidget *
rhyton_measure_entry_new (void)
{
  return g_object_new (RHYTON_TYPE_MEASURE_ENTRY, NULL);
}

static void
set_label (RhytonMeasureEntry *self,
           const char         *label)
{
  g_free (self->label);
  self->label = g_strdup (label);
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->entry), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  label != NULL ? label : "", -1);
}

static void
rhyton_measure_entry_set_property (GObject      *object,
                                   guint         id,
                                   const GValue *value,
                                   GParamSpec   *pspec)
{
  RhytonMeasureEntry *self = RHYTON_MEASURE_ENTRY (object);

  switch (id)
    {
    case PROP_LABEL:
      set_label (self, g_value_get_string (value));
      break;
    case PROP_VALUE:
      rhyton_measure_entry_set_value (self, g_value_get_double (value));
      break;
    case PROP_STEP:
      self->step = g_value_get_double (value);
      break;
    case PROP_ANGLE:
      self->angle = g_value_get_boolean (value);
      show_value (self);
      break;
    case PROP_INCHES:
      rhyton_measure_entry_set_inches (self, g_value_get_boolean (value));
      break;
    case PROP_OPTIONAL:
      self->optional = g_value_get_boolean (value);
      break;
    case PROP_PLACEHOLDER:
      gtk_entry_set_placeholder_text (GTK_ENTRY (self->entry), g_value_get_string (value));
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
rhyton_measure_entry_get_property (GObject    *object,
                                   guint       id,
                                   GValue     *value,
                                   GParamSpec *pspec)
{
  RhytonMeasureEntry *self = RHYTON_MEASURE_ENTRY (object);

  switch (id)
    {
    case PROP_LABEL:
      g_value_set_string (value, self->label);
      break;
    case PROP_VALUE:
      g_value_set_double (value, self->value);
      break;
    case PROP_STEP:
      g_value_set_double (value, self->step);
      break;
    case PROP_ANGLE:
      g_value_set_boolean (value, self->angle);
      break;
    case PROP_INCHES:
      g_value_set_boolean (value, self->inches);
      break;
    case PROP_OPTIONAL:
      g_value_set_boolean (value, self->optional);
      break;
    case PROP_PLACEHOLDER:
      g_value_set_string (value, gtk_entry_get_placeholder_text (GTK_ENTRY (self->entry)));
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
rhyton_measure_entry_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_MEASURE_ENTRY);
  G_OBJECT_CLASS (rhyton_measure_entry_parent_class)->dispose (object);
}

static void
rhyton_measure_entry_finalize (GObject *object)
{
  RhytonMeasureEntry *self = RHYTON_MEASURE_ENTRY (object);

  g_free (self->shown);
  g_free (self->label);
  G_OBJECT_CLASS (rhyton_measure_entry_parent_class)->finalize (object);
}

static gboolean
rhyton_measure_entry_grab_focus (GtkWidget *widget)
{
  return gtk_widget_grab_focus (RHYTON_MEASURE_ENTRY (widget)->entry);
}

static void
rhyton_measure_entry_class_init (RhytonMeasureEntryClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  const GParamFlags flags = G_PARAM_READWRITE | G_PARAM_STATIC_STRINGS;

  object_class->set_property = rhyton_measure_entry_set_property;
  object_class->get_property = rhyton_measure_entry_get_property;
  object_class->dispose = rhyton_measure_entry_dispose;
  object_class->finalize = rhyton_measure_entry_finalize;
  widget_class->grab_focus = rhyton_measure_entry_grab_focus;

  properties[PROP_LABEL] = g_param_spec_string ("label", NULL, NULL, NULL, flags);
  properties[PROP_VALUE] = g_param_spec_double ("value", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0.0,
                                                flags | G_PARAM_EXPLICIT_NOTIFY);
  properties[PROP_STEP] = g_param_spec_double ("step", NULL, NULL, 0.0, G_MAXDOUBLE, 1.0, flags);
  properties[PROP_ANGLE] = g_param_spec_boolean ("angle", NULL, NULL, FALSE, flags);
  properties[PROP_INCHES] = g_param_spec_boolean ("inches", NULL, NULL, FALSE,
                                                  flags | G_PARAM_EXPLICIT_NOTIFY);
  properties[PROP_OPTIONAL] = g_param_spec_boolean ("optional", NULL, NULL, FALSE, flags);
  properties[PROP_PLACEHOLDER] = g_param_spec_string ("placeholder", NULL, NULL, NULL, flags);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  signals[COMMIT] = g_signal_new ("commit", RHYTON_TYPE_MEASURE_ENTRY, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 1, G_TYPE_DOUBLE);

  signals[TYPED] = g_signal_new ("typed", RHYTON_TYPE_MEASURE_ENTRY, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 1, G_TYPE_DOUBLE);

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-measure-entry.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonMeasureEntry, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonMeasureEntry, entry);
  gtk_widget_class_bind_template_child (widget_class, RhytonMeasureEntry, unit);
  gtk_widget_class_bind_template_child (widget_class, RhytonMeasureEntry, message);
  gtk_widget_class_bind_template_callback (widget_class, on_activate);
  gtk_widget_class_bind_template_callback (widget_class, on_changed);
  gtk_widget_class_bind_template_callback (widget_class, on_leave);
  gtk_widget_class_bind_template_callback (widget_class, on_key);
}

static void
rhyton_measure_entry_init (RhytonMeasureEntry *self)
{
  self->step = 1.0;
  self->shown = g_strdup ("");
  gtk_widget_init_template (GTK_WIDGET (self));
  show_value (self);
}
