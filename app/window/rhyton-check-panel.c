/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-check-panel.h"

#include <math.h>

#include "rhyton-look.h"
#include "rhyton-panel.h"

struct _RhytonCheckPanel
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkListBox *findings;
  GtkWidget  *nothing;
  GtkWidget  *names;
  GtkWidget  *numbers;

  /* Owned */
  char       *shown;            /* what the rows say and do: they are made again only when that changes */
};

enum { SHOW_PLACE, N_SIGNALS };

static guint signals[N_SIGNALS];

G_DEFINE_FINAL_TYPE (RhytonCheckPanel, rhyton_check_panel, RHYTON_TYPE_PART)

/* The verdict may be a newer one by now: the button holds what it was made for. */
typedef struct
{
  RhytonCheckPanel *panel;
  char             *label;
  gsize             n;
  RhytonEdit        edits[2];
} Mend;

static void
free_mend (gpointer  data,
           GClosure *closure)
{
  Mend *mend = data;
  for (gsize i = 0; i < mend->n; i++)
    {
      g_free ((char *) mend->edits[i].group);
      g_free ((char *) mend->edits[i].key);
      g_free ((char *) mend->edits[i].value);
    }
  g_free (mend->label);
  g_free (mend);
}

static void
on_mend (GtkButton *button,
         Mend      *mend)
{
  rhyton_panel_enter (RHYTON_PART (mend->panel), NULL, mend->label, mend->edits, mend->n);
}

static GtkWidget *
make_remedy (RhytonCheckPanel *self,
             const RhyRemedy  *remedy,
             const char       *message)
{
  GtkWidget *button = gtk_button_new_with_label (remedy->label);
  Mend *mend = g_new0 (Mend, 1);

  mend->panel = self;
  mend->label = g_strdup (remedy->label);
  for (; mend->n < remedy->n_edits; mend->n++)
    {
      const RhyRemedyEdit *edit = &remedy->edits[mend->n];
      mend->edits[mend->n] = (RhytonEdit) { g_strdup (edit->group), g_strdup (edit->key), g_strdup (edit->value) };
    }
  gtk_widget_set_halign (button, GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (button, "Changes the job so that this is mended; undo takes it back");
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_DESCRIPTION, message, -1);
  g_signal_connect_data (button, "clicked", G_CALLBACK (on_mend), mend, free_mend, 0);
  return button;
}

static GtkWidget *
make_row (RhytonCheckPanel *self,
          RhyLevel          level,
          const char       *message,
          const RhyRemedy  *remedy)
{
  GtkWidget *texts = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  GtkWidget *row = gtk_list_box_row_new ();
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 9);
  GtkWidget *icon = gtk_image_new_from_icon_name (rhyton_look_level_icon (level));
  GtkWidget *label = gtk_label_new (message);

  gtk_widget_add_css_class (icon, rhyton_look_level_class (level));
  gtk_widget_set_valign (icon, GTK_ALIGN_START);
  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_xalign (GTK_LABEL (label), 0.0f);
  gtk_label_set_max_width_chars (GTK_LABEL (label), 30);
  gtk_widget_set_hexpand (label, TRUE);
  gtk_box_append (GTK_BOX (box), icon);
  gtk_box_append (GTK_BOX (texts), label);
  if (remedy != NULL)
    gtk_box_append (GTK_BOX (texts), make_remedy (self, remedy, message));
  gtk_box_append (GTK_BOX (box), texts);
  gtk_list_box_row_set_child (GTK_LIST_BOX_ROW (row), box);
  g_autofree char *name = g_strdup_printf ("%s: %s", rhyton_look_level_name (level), message);
  gtk_accessible_update_property (GTK_ACCESSIBLE (row), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
  return row;
}

static char *
describe (const RhyVerdict *verdict,
          const char       *trouble)
{
  GString *text = g_string_new (trouble);

  for (gsize i = 0; verdict != NULL && i < rhy_verdict_get_n_findings (verdict); i++)
    {
      const RhyFinding *finding = rhy_verdict_get_finding (verdict, i);
      g_string_append_printf (text, "\n%d %s", finding->level, finding->message);
      for (gsize k = 0; finding->remedy != NULL && k < finding->remedy->n_edits; k++)
        {
          const RhyRemedyEdit *edit = &finding->remedy->edits[k];
          g_string_append_printf (text, "\n[%s] %s=%s", edit->group, edit->key, edit->value != NULL ? edit->value : "");
        }
    }
  return g_string_free (text, FALSE);
}

static void
make_rows (RhytonCheckPanel *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyVerdict *verdict = rhyton_document_get_verdict (document);
  const char *trouble = rhyton_document_get_trouble (document);
  const gsize n = verdict != NULL ? rhy_verdict_get_n_findings (verdict) : 0;
  GtkWidget *row;

  while ((row = gtk_widget_get_first_child (GTK_WIDGET (self->findings))) != NULL)
    gtk_list_box_remove (self->findings, row);
  if (trouble != NULL)
    gtk_list_box_append (self->findings, make_row (self, RHY_LEVEL_STOP, trouble, NULL));
  for (gsize i = 0; i < n; i++)
    {
      const RhyFinding *finding = rhy_verdict_get_finding (verdict, i);
      g_autofree char *message = rhyton_panel_plain (finding, rhyton_document_get_inches (document));
      gtk_list_box_append (self->findings, make_row (self, finding->level, message, finding->remedy));
    }
}

/* A hand that drags artwork brings a verdict at every frame, most of which say the same. */
static void
refresh_findings (RhytonCheckPanel *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const RhyVerdict *verdict = rhyton_document_get_verdict (document);
  const char *trouble = rhyton_document_get_trouble (document);
  const gsize n = verdict != NULL ? rhy_verdict_get_n_findings (verdict) : 0;
  g_autofree char *now = describe (verdict, trouble);

  if (g_strcmp0 (now, self->shown) != 0)
    {
      g_free (self->shown);
      self->shown = g_steal_pointer (&now);
      make_rows (self);
    }
  gtk_widget_set_visible (GTK_WIDGET (self->findings), trouble != NULL || n > 0);
  gtk_widget_set_visible (self->nothing, trouble == NULL && n == 0 && verdict != NULL);
}

/* "none" for what no eye and no machine could tell. */
static char *
format_stretch (const RhyStretchRange *stretch)
{
  const double least = (stretch->minor_min - 1.0) * 100.0;
  const double most = (stretch->major_max - 1.0) * 100.0;

  if (fabs (least) < 0.05 && fabs (most) < 0.05)
    return g_strdup ("none");
  return g_strdup_printf ("%+.1f\u202f%% to %+.1f\u202f%%", least, most);
}

static char *
format_focus (RhytonPart           *part,
              const RhyPlanNumbers *numbers)
{
  g_autofree char *near = rhyton_panel_format_length (part, numbers->focus_greatest_mm);
  g_autofree char *far = rhyton_panel_format_length (part, numbers->focus_least_mm);

  if (numbers->focus_greatest_mm - numbers->focus_least_mm < 0.005)
    return g_strdup ("the same all over");
  return g_strdup_printf ("%s to %s", far, near);
}

static char *
format_distance (RhytonPart *part,
                 double      mm)
{
  if (!(mm < G_MAXDOUBLE))
    return g_strdup ("not known");
  if (mm > 0.0)
    return rhyton_panel_format_length (part, mm);
  g_autofree char *depth = rhyton_panel_format_length (part, -mm);
  return g_strdup_printf ("meets, by %s", depth);
}

/* Twice the standard uncertainty of width and height, as people mean it; what would read 0 is left out. */
static char *
format_certainty (RhytonPart    *part,
                  const RhyPlan *plan)
{
  RhyPrintUncertainty u;

  if (!rhy_plan_get_uncertainty (plan, &u) || !isfinite (u.u_width_mm))
    return g_strdup ("not known");
  g_autofree char *width = rhyton_panel_format_length (part, 2.0 * u.u_width_mm);
  if (!(2.0 * u.u_height_mm >= 0.005))
    return g_strconcat (width, " in width", NULL);
  g_autofree char *height = rhyton_panel_format_length (part, 2.0 * u.u_height_mm);
  return g_strdup_printf ("%s \u00d7 %s", width, height);
}

static void
refresh_numbers (RhytonCheckPanel *self)
{
  RhytonPart *part = RHYTON_PART (self);
  RhyPlan *plan = rhyton_document_get_plan (rhyton_part_get_document (part));

  gtk_widget_set_visible (self->names, plan != NULL);
  gtk_widget_set_visible (self->numbers, plan != NULL);
  if (plan == NULL)
    return;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  g_autofree char *width = rhyton_panel_format_length (part, n->width_mm);
  g_autofree char *height = rhyton_panel_format_length (part, n->height_mm);
  g_autofree char *travel = rhyton_panel_format_length (part, n->travel_per_turn_mm);
  g_autofree char *stretch = format_stretch (rhy_plan_get_stretch (plan));
  g_autofree char *focus = format_focus (part, n);
  /* Of the plan before, until this one is judged. */
  const RhyVerdict *verdict = rhyton_document_get_verdict (rhyton_part_get_document (part));
  const RhyHolding *h = verdict != NULL ? rhy_verdict_get_holding (verdict) : NULL;
  g_autofree char *head = format_distance (part, h != NULL ? rhy_holding_least (h, h->head, -1).distance_mm : G_MAXDOUBLE);
  g_autofree char *bed = format_distance (part, h != NULL ? rhy_holding_least (h, h->bed, -1).distance_mm : G_MAXDOUBLE);
  g_autofree char *sure = format_certainty (part, plan);
  g_autofree char *text = g_strdup_printf ("%s \u00d7 %s\n%s\n%s\n%.1f\u00b0\n%s\n%s\n%s\n%s",
                                           width, height, stretch, travel,
                                           n->tilt_rad * 180.0 / G_PI, focus, head, bed, sure);
  gtk_label_set_label (GTK_LABEL (self->numbers), text);
}

static void
rhyton_check_panel_changed (RhytonPart *part)
{
  refresh_findings (RHYTON_CHECK_PANEL (part));
  refresh_numbers (RHYTON_CHECK_PANEL (part));
}

static void
on_row_activated (GtkListBox       *list,
                  GtkListBoxRow    *row,
                  RhytonCheckPanel *self)
{
  const RhyVerdict *verdict = rhyton_document_get_verdict (rhyton_part_get_document (RHYTON_PART (self)));
  const int i = gtk_list_box_row_get_index (row);

  if (verdict == NULL || i < 0 || (gsize) i >= rhy_verdict_get_n_findings (verdict))
    return;
  const RhyFinding *finding = rhy_verdict_get_finding (verdict, (gsize) i);
  if (isfinite (finding->angle_rad))
    g_signal_emit (self, signals[SHOW_PLACE], 0, finding->height_mm, finding->angle_rad);
}

static void
rhyton_check_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_CHECK_PANEL);
  G_OBJECT_CLASS (rhyton_check_panel_parent_class)->dispose (object);
}

static void
rhyton_check_panel_finalize (GObject *object)
{
  g_free (RHYTON_CHECK_PANEL (object)->shown);
  G_OBJECT_CLASS (rhyton_check_panel_parent_class)->finalize (object);
}

static void
rhyton_check_panel_class_init (RhytonCheckPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_check_panel_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_check_panel_finalize;
  part_class->job_changed = rhyton_check_panel_changed;
  part_class->plan_changed = rhyton_check_panel_changed;

  signals[SHOW_PLACE] = g_signal_new ("show-place", RHYTON_TYPE_CHECK_PANEL, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                      NULL, G_TYPE_NONE, 2, G_TYPE_DOUBLE, G_TYPE_DOUBLE);

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-check-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonCheckPanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonCheckPanel, findings);
  gtk_widget_class_bind_template_child (widget_class, RhytonCheckPanel, nothing);
  gtk_widget_class_bind_template_child (widget_class, RhytonCheckPanel, names);
  gtk_widget_class_bind_template_child (widget_class, RhytonCheckPanel, numbers);
  gtk_widget_class_bind_template_callback (widget_class, on_row_activated);
}

static void
rhyton_check_panel_init (RhytonCheckPanel *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
