/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include "rhyton-document.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PART (rhyton_part_get_type ())
/**
 * RhytonPart:
 *
 * What panels, views and the verdict strip have in common: each shows a part of
 * a document and hears when the job or what was worked out of it changes. Its
 * children come from the subclass's template.
 */
G_DECLARE_DERIVABLE_TYPE (RhytonPart, rhyton_part, RHYTON, PART, GtkWidget)

/**
 * RhytonPartClass:
 * @job_changed: the document has another job (or is another), or another artwork is selected
 * @plan_changed: there is another plan, verdict or trouble, or a hand has taken hold or let go
 * @follows_unseen: what it says of the document decides whether it is seen at all
 *
 * A part that is not mapped is told once, when it comes into sight.
 */
struct _RhytonPartClass
{
  GtkWidgetClass parent_class;

  void (*job_changed) (RhytonPart *self);
  void (*plan_changed) (RhytonPart *self);
  gboolean follows_unseen;
};

/** rhyton_part_get_document: Returns: (transfer none) (nullable): what is shown. */
RhytonDocument *rhyton_part_get_document (RhytonPart *self);
void rhyton_part_set_document (RhytonPart *self, RhytonDocument *document);

G_END_DECLS
