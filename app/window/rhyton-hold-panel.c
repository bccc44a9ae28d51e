/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-hold-panel.h"

#include <math.h>

#include "rhyton-comparison.h"
#include "rhyton-figures.h"
#include "rhyton-machine-chooser.h"
#include "rhyton-howto.h"
#include "rhyton-panel.h"
#include "rhyton-stand-view.h"

struct _RhytonHoldPanel
{
  RhytonPart          parent_instance;

  /* Template children */
  GtkWidget          *box;
  GtkDropDown        *drive;
  GtkDropDown        *end;
  GtkDropDown        *grip;
  GtkDropDown        *support;
  GtkDropDown        *tilt;
  GtkWidget          *tilt_row;
  RhytonMeasureEntry *tilt_angle;
  RhytonMeasureEntry *travel;
  GtkDropDown        *axis;
  GtkDropDown        *mouth;
  GtkCheckButton     *reversed;
  GtkDropDown        *page;
  GtkLabel           *tilt_fact;
  GtkLabel           *travel_fact;

  gboolean            refreshing;
};

G_DEFINE_FINAL_TYPE (RhytonHoldPanel, rhyton_hold_panel, RHYTON_TYPE_PART)

/* In the order of the library's enumerations and of the lists in the template. */
static const char *const drive_words[] = { "chuck", "rollers", "pins" };
static const char *const end_words[] = { "base", "mouth" };
static const char *const grip_words[] = { "outside", "inside" };
static const char *const support_words[] = { "none", "tailstock", "roller" };
static const char *const tilt_words[] = { "auto", "level" };
static const char *const axis_words[] = { "x", "y" };
static const char *const mouth_words[] = { "plus", "minus" };
static const char *const page_words[] = { "ink", "turn" };

/* What comes of the choices, below them. */
static void
refresh_facts (RhytonHoldPanel *self)
{
  RhytonPart *part = RHYTON_PART (self);
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (part));

  gtk_widget_set_visible (GTK_WIDGET (self->tilt_fact), plan != NULL);
  gtk_widget_set_visible (GTK_WIDGET (self->travel_fact), plan != NULL);
  if (plan == NULL)
    return;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double spread_mm = n->focus_greatest_mm - n->focus_least_mm;
  g_autofree char *travel = rhyton_panel_format_length (part, n->travel_per_turn_mm);
  g_autofree char *spread = rhyton_panel_format_length (part, spread_mm);
  g_autofree char *differs = spread_mm < 0.005 ? g_strdup ("the whole drawing is in focus")
                                               : g_strdup_printf ("over the drawing the focus differs by %s", spread);
  g_autofree char *tilt = g_strdup_printf ("Tilted by %.1f\u00b0: %s.", n->tilt_rad * 180.0 / G_PI, differs);
  g_autofree char *turn = g_strdup_printf ("One turn is %s of drawing.", travel);
  gtk_label_set_label (self->tilt_fact, tilt);
  gtk_label_set_label (self->travel_fact, turn);
}

static void
rhyton_hold_panel_job_changed (RhytonPart *part)
{
  RhytonHoldPanel *self = RHYTON_HOLD_PANEL (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  const gboolean set = data->hold.tilt_mode == RHY_TILT_SET;

  self->refreshing = TRUE;
  gtk_drop_down_set_selected (self->drive, data->hold.drive);
  gtk_drop_down_set_selected (self->end, data->hold.end);
  gtk_drop_down_set_selected (self->grip, data->hold.grip);
  gtk_drop_down_set_selected (self->support, data->hold.support);
  gtk_drop_down_set_selected (self->tilt, data->hold.tilt_mode);
  gtk_drop_down_set_selected (self->axis, data->machine.axis);
  gtk_drop_down_set_selected (self->mouth, data->machine.mouth);
  gtk_drop_down_set_selected (self->page, data->output.page);
  gtk_check_button_set_active (self->reversed, data->machine.turn_reversed);
  self->refreshing = FALSE;
  /* Only a chuck has an end, and only at the mouth can it be inside. */
  const gboolean is_chuck = data->hold.drive == RHY_DRIVE_CHUCK;
  gtk_widget_set_visible (GTK_WIDGET (self->end), is_chuck);
  gtk_widget_set_visible (GTK_WIDGET (self->grip), is_chuck && data->hold.end == RHY_END_MOUTH);
  gtk_widget_set_visible (GTK_WIDGET (self->support), is_chuck);
  gtk_widget_set_visible (self->tilt_row, set);
  rhyton_measure_entry_set_inches (self->travel, rhyton_document_get_inches (document));
  rhyton_measure_entry_set_value (self->travel, data->machine.travel_per_turn_mm > 0.0
                                                  ? data->machine.travel_per_turn_mm : NAN);
  rhyton_measure_entry_set_value (self->tilt_angle, set ? data->hold.tilt_rad * 180.0 / G_PI : NAN);
  /* In another unit. */
  refresh_facts (self);
}

static void
rhyton_hold_panel_plan_changed (RhytonPart *part)
{
  refresh_facts (RHYTON_HOLD_PANEL (part));
}

static void
choose (RhytonHoldPanel   *self,
        GtkDropDown       *drop_down,
        const char        *name,
        const char        *group,
        const char        *key,
        const char *const *words,
        gsize              n_words)
{
  const guint selected = gtk_drop_down_get_selected (drop_down);

  if (self->refreshing || selected >= n_words)
    return;
  const RhytonEdit edit = { group, key, words[selected] };
  rhyton_panel_enter (RHYTON_PART (self), NULL, name, &edit, 1);
}

static void
on_drive (GtkDropDown     *drop_down,
          GParamSpec      *pspec,
          RhytonHoldPanel *self)
{
  choose (self, drop_down, "Way of holding", "Hold", "Drive", drive_words, G_N_ELEMENTS (drive_words));
}

static void
on_end (GtkDropDown     *drop_down,
        GParamSpec      *pspec,
        RhytonHoldPanel *self)
{
  choose (self, drop_down, "Held end", "Hold", "End", end_words, G_N_ELEMENTS (end_words));
}

static void
on_grip (GtkDropDown     *drop_down,
         GParamSpec      *pspec,
         RhytonHoldPanel *self)
{
  choose (self, drop_down, "Grip", "Hold", "Grip", grip_words, G_N_ELEMENTS (grip_words));
}

static void
on_support (GtkDropDown     *drop_down,
            GParamSpec      *pspec,
            RhytonHoldPanel *self)
{
  choose (self, drop_down, "Support", "Hold", "Support", support_words, G_N_ELEMENTS (support_words));
}

/* "By an angle" begins with the tilt that was taken before. */
static void
on_tilt (GtkDropDown     *drop_down,
         GParamSpec      *pspec,
         RhytonHoldPanel *self)
{
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (RHYTON_PART (self)));

  if (!self->refreshing && gtk_drop_down_get_selected (drop_down) == RHY_TILT_SET)
    {
      const double tilt = plan != NULL ? rhy_plan_get_numbers (plan)->tilt_rad * 180.0 / G_PI : 0.0;
      rhyton_panel_enter_number (RHYTON_PART (self), NULL, "Tilt", "Hold", "Tilt", round (tilt * 100.0) / 100.0);
    }
  else
    choose (self, drop_down, "Tilt", "Hold", "Tilt", tilt_words, G_N_ELEMENTS (tilt_words));
}

static void
on_axis (GtkDropDown     *drop_down,
         GParamSpec      *pspec,
         RhytonHoldPanel *self)
{
  choose (self, drop_down, "Rotary axis", "Machine", "Axis", axis_words, G_N_ELEMENTS (axis_words));
}

static void
on_mouth (GtkDropDown     *drop_down,
          GParamSpec      *pspec,
          RhytonHoldPanel *self)
{
  choose (self, drop_down, "Direction of the mouth", "Machine", "Mouth", mouth_words, G_N_ELEMENTS (mouth_words));
}

static void
on_page (GtkDropDown     *drop_down,
         GParamSpec      *pspec,
         RhytonHoldPanel *self)
{
  choose (self, drop_down, "Page of the drawing", "Output", "Page", page_words, G_N_ELEMENTS (page_words));
}

static void
on_reversed (GtkCheckButton  *button,
             RhytonHoldPanel *self)
{
  const RhytonEdit edit = { "Machine", "TurnReversed", gtk_check_button_get_active (button) ? "true" : "false" };

  if (!self->refreshing)
    rhyton_panel_enter (RHYTON_PART (self), NULL, "Direction of the turn", &edit, 1);
}

static void
on_tilt_angle (RhytonMeasureEntry *entry,
               double              value,
               RhytonHoldPanel    *self)
{
  rhyton_panel_enter_number (RHYTON_PART (self), entry, "Tilt", "Hold", "Tilt", value);
}

static void
on_travel (RhytonMeasureEntry *entry,
           double              value,
           RhytonHoldPanel    *self)
{
  const RhytonEdit automatic = { "Machine", "TravelPerTurn", "auto" };

  if (isnan (value))
    rhyton_panel_enter (RHYTON_PART (self), entry, "Travel per turn", &automatic, 1);
  else
    rhyton_panel_enter_number (RHYTON_PART (self), entry, "Travel per turn", "Machine", "TravelPerTurn", value);
}

static void
rhyton_hold_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_HOLD_PANEL);
  G_OBJECT_CLASS (rhyton_hold_panel_parent_class)->dispose (object);
}

static void
rhyton_hold_panel_class_init (RhytonHoldPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_hold_panel_dispose;
  part_class->job_changed = rhyton_hold_panel_job_changed;
  part_class->plan_changed = rhyton_hold_panel_plan_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-hold-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, drive);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, end);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, grip);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, support);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, tilt);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, tilt_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, tilt_angle);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, travel);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, axis);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, mouth);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, reversed);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, page);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, tilt_fact);
  gtk_widget_class_bind_template_child (widget_class, RhytonHoldPanel, travel_fact);
  gtk_widget_class_bind_template_callback (widget_class, on_drive);
  gtk_widget_class_bind_template_callback (widget_class, on_end);
  gtk_widget_class_bind_template_callback (widget_class, on_grip);
  gtk_widget_class_bind_template_callback (widget_class, on_support);
  gtk_widget_class_bind_template_callback (widget_class, on_tilt);
  gtk_widget_class_bind_template_callback (widget_class, on_axis);
  gtk_widget_class_bind_template_callback (widget_class, on_mouth);
  gtk_widget_class_bind_template_callback (widget_class, on_page);
  gtk_widget_class_bind_template_callback (widget_class, on_reversed);
  gtk_widget_class_bind_template_callback (widget_class, on_tilt_angle);
  gtk_widget_class_bind_template_callback (widget_class, on_travel);
}

static void
rhyton_hold_panel_init (RhytonHoldPanel *self)
{
  g_type_ensure (RHYTON_TYPE_COMPARISON);
  g_type_ensure (RHYTON_TYPE_FIGURES);
  g_type_ensure (RHYTON_TYPE_MACHINE_CHOOSER);
  g_type_ensure (RHYTON_TYPE_STAND_VIEW);
  g_type_ensure (RHYTON_TYPE_HOWTO);
  gtk_widget_init_template (GTK_WIDGET (self));
}
