/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artwork-panel.h"

#include "rhyton-artwork-list.h"
#include "rhyton-panel.h"

struct _RhytonArtworkPanel
{
  RhytonPart  parent_instance;

  /* Template children */
  GtkWidget  *box;
  GtkWidget  *name;
  GtkWidget  *facts;
  GtkWidget  *notes;
};

G_DEFINE_FINAL_TYPE (RhytonArtworkPanel, rhyton_artwork_panel, RHYTON_TYPE_PART)

static const char *const picture_kinds[RHY_PICTURE_N_KINDS] = {
  [RHY_PICTURE_IMAGE] = "an embedded picture",
  [RHY_PICTURE_FILTER] = "a filter effect",
  [RHY_PICTURE_MASK] = "a mask",
  [RHY_PICTURE_GRADIENT] = "a gradient",
  [RHY_PICTURE_PATTERN] = "a pattern fill",
  [RHY_PICTURE_BLEND] = "a blend mode",
  [RHY_PICTURE_UNKNOWN] = "something unknown",
};

static const char *const size_sources[] = {
  [RHY_SIZE_PHYSICAL] = "as its file says",
  [RHY_SIZE_VIEWBOX] = "taking its units as 1/96 in",
  [RHY_SIZE_INK] = "by its ink, for its file names no size",
};

static char *
describe (RhytonPart       *part,
          const RhyArtwork *source)
{
  const RhyBounds ink = rhy_artwork_get_ink_box (source);
  if (rhy_bounds_is_empty (ink))
    return g_strdup ("There is no ink in it.");

  g_autofree char *width = rhyton_panel_format_length (part, ink.max_x - ink.min_x);
  g_autofree char *height = rhyton_panel_format_length (part, ink.max_y - ink.min_y);
  const gsize n = rhy_artwork_get_n_shapes (source);
  return g_strdup_printf ("Ink as drawn: %s \u00d7 %s, %s\n%" G_GSIZE_FORMAT " %s",
                          width, height, size_sources[rhy_artwork_get_size_source (source)],
                          n, n == 1 ? "shape" : "shapes");
}

static char *
list_notes (const RhyArtwork *source)
{
  guint counts[RHY_PICTURE_N_KINDS] = { 0 };
  guint drawn[RHY_PICTURE_N_KINDS] = { 0 };
  GString *text = g_string_new (NULL);

  for (gsize i = 0; i < rhy_artwork_get_n_pictures (source); i++)
    {
      const RhyPicture *picture = rhy_artwork_get_picture (source, i);
      (picture->is_drawn ? drawn : counts)[picture->kind]++;
    }
  for (guint kind = 0; kind < RHY_PICTURE_N_KINDS; kind++)
    if (counts[kind] > 0)
      g_string_append_printf (text, "%sIt has %s without outlines (%u\u00d7).",
                              text->len > 0 ? "\n" : "", picture_kinds[kind], counts[kind]);
  for (guint kind = 0; kind < RHY_PICTURE_N_KINDS; kind++)
    if (drawn[kind] > 0)
      g_string_append_printf (text, "%sIt has %s (%u\u00d7), drawn in dots.",
                              text->len > 0 ? "\n" : "", picture_kinds[kind], drawn[kind]);
  const char *const *notes = rhy_artwork_get_notes (source);
  for (; *notes != NULL; notes++)
    g_string_append_printf (text, "%s%s", text->len > 0 ? "\n" : "", *notes);
  return g_string_free (text, FALSE);
}

static void
rhyton_artwork_panel_changed (RhytonPart *part)
{
  RhytonArtworkPanel *self = RHYTON_ARTWORK_PANEL (part);
  RhytonDocument *document = rhyton_part_get_document (part);
  const char *file = rhyton_document_get_artwork (document)->file;
  const RhyPlan *plan = rhyton_document_get_part (document);
  RhyArtwork *source = plan != NULL && file != NULL ? rhy_plan_get_source (plan) : NULL;
  g_autofree char *name = file != NULL ? g_path_get_basename (file) : g_strdup ("None yet");
  g_autofree char *facts = source != NULL ? describe (part, source) : g_strdup ("");
  g_autofree char *notes = source != NULL ? list_notes (source) : g_strdup ("");

  gtk_label_set_label (GTK_LABEL (self->name), name);
  gtk_widget_set_tooltip_text (self->name, file);
  gtk_label_set_label (GTK_LABEL (self->facts), facts);
  gtk_widget_set_visible (self->facts, *facts != '\0');
  gtk_label_set_label (GTK_LABEL (self->notes), notes);
  gtk_widget_set_visible (self->notes, *notes != '\0');
}

static void
rhyton_artwork_panel_dispose (GObject *object)
{
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_ARTWORK_PANEL);
  G_OBJECT_CLASS (rhyton_artwork_panel_parent_class)->dispose (object);
}

static void
rhyton_artwork_panel_class_init (RhytonArtworkPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_artwork_panel_dispose;
  part_class->job_changed = rhyton_artwork_panel_changed;
  part_class->plan_changed = rhyton_artwork_panel_changed;

  g_type_ensure (RHYTON_TYPE_ARTWORK_LIST);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-artwork-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, name);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, facts);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, notes);
}

static void
rhyton_artwork_panel_init (RhytonArtworkPanel *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
}
