/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-verdict-strip.h"

#include <string.h>

#include "rhyton-look.h"
#include "rhyton-panel.h"

/* Shorter work than this needs no word. */
#define PATIENCE_MS 500

struct _RhytonVerdictStrip
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkWidget  *icon;
  GtkWidget  *text;
  GtkWidget  *find;
  GtkWidget  *size;
  GtkWidget  *working;
  GtkWidget  *spinner;

  guint       patience;         /* source id */
};

G_DEFINE_FINAL_TYPE (RhytonVerdictStrip, rhyton_verdict_strip, RHYTON_TYPE_PART)

static void
show_line (RhytonVerdictStrip *self,
           const char         *icon,
           const char         *style,
           const char         *text)
{
  const char *const styles[] = { "success", "warning", "error", "dim-label" };

  for (gsize i = 0; i < G_N_ELEMENTS (styles); i++)
    if (strcmp (styles[i], style) != 0)
      gtk_widget_remove_css_class (self->icon, styles[i]);
  gtk_widget_add_css_class (self->icon, style);
  gtk_image_set_from_icon_name (GTK_IMAGE (self->icon), icon);
  gtk_label_set_label (GTK_LABEL (self->text), text);
  rhyton_look_tip (self->text, text);
}

static void
show_verdict (RhytonVerdictStrip *self,
              const RhyVerdict   *verdict,
              gboolean            inches)
{
  const gsize n = rhy_verdict_get_n_findings (verdict);
  gsize n_cares = 0;

  g_autofree char *first = n > 0 ? rhyton_panel_plain (rhy_verdict_get_finding (verdict, 0), inches) : NULL;
  for (gsize i = 0; i < n; i++)
    n_cares += rhy_verdict_get_finding (verdict, i)->level == RHY_LEVEL_CARE;
  if (!rhy_verdict_is_ready (verdict) && n > 0)
    {
      g_autofree char *text = g_strdup_printf ("Not ready. %s", first);
      show_line (self, "dialog-error-symbolic", "error", text);
    }
  else if (n_cares > 0)
    {
      g_autofree char *text = g_strdup_printf ("Ready. Look at this first: %s", first);
      show_line (self, "dialog-warning-symbolic", "warning", text);
    }
  else
    show_line (self, "emblem-ok-symbolic", "success", "Ready.");
}

static void
rhyton_verdict_strip_changed (RhytonPart *part)
{
  RhytonVerdictStrip *self = RHYTON_VERDICT_STRIP (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyVerdict *verdict = rhyton_document_get_verdict (document);
  const char *trouble = rhyton_document_get_trouble (document);
  RhyPlan *plan = rhyton_document_get_plan (document);

  /* A verdict on what was there a while ago is none. */
  if (gtk_widget_get_visible (self->working) && rhyton_document_is_busy (document))
    show_line (self, "content-loading-symbolic", "dim-label", "Working it out\u2026");
  else if (trouble != NULL)
    show_line (self, "dialog-error-symbolic", "error", trouble);
  else if (verdict != NULL)
    show_verdict (self, verdict, rhyton_document_get_inches (document));
  else
    show_line (self, "content-loading-symbolic", "dim-label", "");

  gtk_widget_set_visible (self->find, rhyton_document_get_missing (document) != NULL);

  g_autofree char *size = NULL;
  if (plan != NULL && rhy_plan_get_numbers (plan)->width_mm > 0.0)
    {
      const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
      g_autofree char *width = rhyton_panel_format_length (part, numbers->width_mm);
      g_autofree char *height = rhyton_panel_format_length (part, numbers->height_mm);
      size = g_strdup_printf ("%s \u00d7 %s on the wall", width, height);
    }
  gtk_label_set_label (GTK_LABEL (self->size), size != NULL ? size : "");
}

static gboolean
patience_over (gpointer data)
{
  RhytonVerdictStrip *self = data;
  self->patience = 0;
  gtk_widget_set_visible (self->working, TRUE);
  gtk_spinner_start (GTK_SPINNER (self->spinner));
  rhyton_verdict_strip_changed (RHYTON_PART (self));
  return G_SOURCE_REMOVE;
}

static void
busy_changed (RhytonVerdictStrip *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const gboolean busy = document != NULL && (rhyton_document_is_busy (document) || rhyton_document_is_running (document));

  if (busy && self->patience == 0)
    self->patience = g_timeout_add (PATIENCE_MS, patience_over, self);
  if (busy)
    return;
  g_clear_handle_id (&self->patience, g_source_remove);
  gtk_spinner_stop (GTK_SPINNER (self->spinner));
  gtk_widget_set_visible (self->working, FALSE);
  if (document != NULL)
    rhyton_verdict_strip_changed (RHYTON_PART (self));
}

static void
on_document (RhytonVerdictStrip *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  if (document != NULL)
    g_signal_connect_object (document, "notify::busy", G_CALLBACK (busy_changed), self, G_CONNECT_SWAPPED);
}

const char *
rhyton_verdict_strip_get_text (RhytonVerdictStrip *self)
{
  g_return_val_if_fail (RHYTON_IS_VERDICT_STRIP (self), NULL);
  return gtk_label_get_label (GTK_LABEL (self->text));
}

static void
rhyton_verdict_strip_dispose (GObject *object)
{
  RhytonVerdictStrip *self = RHYTON_VERDICT_STRIP (object);

  g_clear_handle_id (&self->patience, g_source_remove);
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_VERDICT_STRIP);
  G_OBJECT_CLASS (rhyton_verdict_strip_parent_class)->dispose (object);
}

static void
rhyton_verdict_strip_class_init (RhytonVerdictStripClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_verdict_strip_dispose;
  part_class->job_changed = rhyton_verdict_strip_changed;
  part_class->plan_changed = rhyton_verdict_strip_changed;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-verdict-strip.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, icon);
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, text);
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, find);
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, size);
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, working);
  gtk_widget_class_bind_template_child (widget_class, RhytonVerdictStrip, spinner);
}

static void
rhyton_verdict_strip_init (RhytonVerdictStrip *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  g_signal_connect (self, "notify::document", G_CALLBACK (on_document), NULL);
}
