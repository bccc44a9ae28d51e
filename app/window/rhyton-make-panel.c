/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-make-panel.h"

#include "rhyton-panel.h"

struct _RhytonMakePanel
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkWidget  *mark;
};

G_DEFINE_FINAL_TYPE (RhytonMakePanel, rhyton_make_panel, RHYTON_TYPE_PART)

static void
rhyton_make_panel_plan_changed (RhytonPart *part)
{
  RhytonMakePanel *self = RHYTON_MAKE_PANEL (part);
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (part));

  if (plan == NULL)
    {
      gtk_label_set_label (GTK_LABEL (self->mark), "");
      return;
    }
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  const RhyRing ring = rhy_wall_at (rhy_plan_get_wall (plan), numbers->anchor.s);
  g_autofree char *height = rhyton_panel_format_length (part, ring.z_mm);
  g_autofree char *travel = rhyton_panel_format_length (part, numbers->travel_per_turn_mm);
  g_autofree char *text = g_strdup_printf ("The mark, where the beam is lined up, is %s above the base and %.1f\u00b0 "
                                           "around from the front. One turn of the work is %s of drawing.",
                                           height, numbers->anchor.angle * 180.0 / G_PI, travel);
  gtk_label_set_label (GTK_LABEL (self->mark), text);
}

static void
rhyton_make_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_MAKE_PANEL);
  G_OBJECT_CLASS (rhyton_make_panel_parent_class)->dispose (object);
}

static void
rhyton_make_panel_class_init (RhytonMakePanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_make_panel_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_make_panel_plan_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_make_panel_plan_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-make-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonMakePanel, mark);
}

static void
rhyton_make_panel_init (RhytonMakePanel *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
