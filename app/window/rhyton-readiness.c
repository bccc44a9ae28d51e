/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-readiness.h"

#include "rhyton-panel.h"

struct _RhytonReadiness
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkWidget  *text;
};

G_DEFINE_FINAL_TYPE (RhytonReadiness, rhyton_readiness, RHYTON_TYPE_PART)

/* Returns: (nullable) */
static char *
describe (const RhyVerdict *verdict,
          gboolean          inches)
{
  GString *text = g_string_new (NULL);
  gsize n = 0;

  for (gsize i = 0; verdict != NULL && i < rhy_verdict_get_n_findings (verdict); i++)
    {
      const RhyFinding *finding = rhy_verdict_get_finding (verdict, i);
      if (finding->level != RHY_LEVEL_STOP)
        continue;
      g_autofree char *plain = rhyton_panel_plain (finding, inches);
      if (n++ == 0)
        g_string_append (text, plain);
    }
  if (n > 1)
    g_string_append_printf (text, " And %" G_GSIZE_FORMAT " more.", n - 1);
  return g_string_free (text, n == 0);
}

static void
rhyton_readiness_changed (RhytonPart *part)
{
  RhytonReadiness *self = RHYTON_READINESS (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const char *trouble = rhyton_document_get_trouble (document);
  g_autofree char *stops = trouble != NULL ? g_strdup (trouble) : describe (rhyton_document_get_verdict (document),
                                                                                rhyton_document_get_inches (document));
  g_autofree char *text = stops != NULL ? g_strconcat ("Not ready. ", stops, NULL) : NULL;

  gtk_label_set_label (GTK_LABEL (self->text), text != NULL ? text : "");
  gtk_widget_set_visible (GTK_WIDGET (self), text != NULL);
}

static void
rhyton_readiness_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_READINESS);
  G_OBJECT_CLASS (rhyton_readiness_parent_class)->dispose (object);
}

static void
rhyton_readiness_class_init (RhytonReadinessClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_readiness_dispose;
  RHYTON_PART_CLASS (klass)->job_changed = rhyton_readiness_changed;
  RHYTON_PART_CLASS (klass)->plan_changed = rhyton_readiness_changed;
  RHYTON_PART_CLASS (klass)->follows_unseen = TRUE;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-readiness.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonReadiness, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonReadiness, text);
}

static void
rhyton_readiness_init (RhytonReadiness *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  gtk_widget_set_visible (GTK_WIDGET (self), FALSE);
}
