/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artwork-panel.h"

#include <string.h>

#include "rhyton-artwork-file.h"
#include "rhyton-artwork-list.h"
#include "rhyton-artwork-preview.h"
#include "rhyton-ink-options.h"
#include "rhyton-panel.h"
#include "rhyton-paste.h"
#include "rhyton-picture-options.h"
#include "rhyton-text-line.h"

struct _RhytonArtworkPanel
{
  RhytonPart            parent_instance;

  /* Template children */
  GtkWidget            *box;
  GtkWidget            *trouble;
  GtkWidget            *message;
  GtkWidget            *reload;
  RhytonArtworkPreview *preview;
  GtkToggleButton      *by_file;
  GtkToggleButton      *by_text;
  GtkWidget            *file_box;
  GtkWidget            *text_line;
  GtkWidget            *name;
  GtkWidget            *hint;
  GtkWidget            *facts;
  GtkWidget            *notes;
  GtkWidget            *ink;

  /* Owned */
  RhytonArtworkFile    *file;
  GCancellable         *pasting;
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

  const RhyPaint *paint = rhy_artwork_get_n_shapes (source) == 1 ? rhy_artwork_get_shape (source, 0)->fill_paint : NULL;
  if (paint != NULL && paint->kind == RHY_PAINT_RASTER)
    return g_strdup_printf ("A picture of %u \u00d7 %u pixels", rhy_raster_get_width (paint->raster),
                            rhy_raster_get_height (paint->raster));
  g_autofree char *width = rhyton_panel_format_length (part, ink.max_x - ink.min_x);
  g_autofree char *height = rhyton_panel_format_length (part, ink.max_y - ink.min_y);
  const gsize n = rhy_artwork_get_n_shapes (source);
  return g_strdup_printf ("Ink as drawn: %s \u00d7 %s, %s\n%" G_GSIZE_FORMAT " %s",
                          width, height, size_sources[rhy_artwork_get_size_source (source)],
                          n, n == 1 ? "shape" : "shapes");
}

/* Notes come as the rest of a line that begins with a file's name. */
static void
append_sentence (GString    *text,
                 const char *note)
{
  const char *rest = g_utf8_next_char (note);
  g_autofree char *first = g_utf8_strup (note, rest - note);
  const gboolean ends = g_str_has_suffix (note, ".");
  g_string_append_printf (text, "%s%s%s%s", text->len > 0 ? "\n" : "", first, rest, ends ? "" : ".");
}

static char *
list_notes (const RhyArtwork *source)
{
  guint missing[RHY_PICTURE_N_KINDS] = { 0 };
  GString *text = g_string_new (NULL);

  for (gsize i = 0; i < rhy_artwork_get_n_pictures (source); i++)
    {
      const RhyPicture *picture = rhy_artwork_get_picture (source, i);
      if (!picture->is_drawn)
        missing[picture->kind]++;
    }
  for (guint kind = 0; kind < RHY_PICTURE_N_KINDS; kind++)
    if (missing[kind] > 0)
      g_string_append_printf (text, "%sIt has %s without outlines (%u\u00d7).",
                              text->len > 0 ? "\n" : "", picture_kinds[kind], missing[kind]);
  const char *const *notes = rhy_artwork_get_notes (source);
  for (; *notes != NULL; notes++)
    append_sentence (text, *notes);
  return g_string_free (text, FALSE);
}

static void
refresh_words (RhytonArtworkPanel *self)
{
  RhytonPart *part = RHYTON_PART (self);
  RhytonDocument *document = rhyton_part_get_document (part);
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  const RhyPlan *plan = rhyton_document_get_part (document);
  const gboolean has_artwork = artwork->file != NULL || artwork->text != NULL;
  RhyArtwork *source = plan != NULL && has_artwork ? rhy_plan_get_source (plan) : NULL;
  g_autofree char *name = artwork->file != NULL ? g_path_get_basename (artwork->file) : g_strdup ("None yet");
  /* How large letters come out of the font is nothing to know. */
  g_autofree char *facts = source != NULL && artwork->file != NULL ? describe (part, source) : g_strdup ("");
  g_autofree char *notes = source != NULL ? list_notes (source) : g_strdup ("");

  gtk_label_set_label (GTK_LABEL (self->name), name);
  gtk_widget_set_tooltip_text (self->name, artwork->file);
  gtk_label_set_label (GTK_LABEL (self->facts), facts);
  gtk_widget_set_visible (self->facts, *facts != '\0');
  gtk_label_set_label (GTK_LABEL (self->notes), notes);
  gtk_widget_set_visible (self->notes, *notes != '\0');
  gtk_widget_set_visible (self->hint, artwork->file == NULL);
  gtk_widget_set_visible (self->ink, has_artwork);
}

/* Which of the two ways in is open: that of the artwork there is; with none, the one last chosen. */
static void
rhyton_artwork_panel_job_changed (RhytonPart *part)
{
  RhytonArtworkPanel *self = RHYTON_ARTWORK_PANEL (part);
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (rhyton_part_get_document (part));

  if (artwork->text != NULL)
    gtk_toggle_button_set_active (self->by_text, TRUE);
  else if (artwork->file != NULL)
    gtk_toggle_button_set_active (self->by_file, TRUE);
  refresh_words (self);
}

static void
rhyton_artwork_panel_plan_changed (RhytonPart *part)
{
  refresh_words (RHYTON_ARTWORK_PANEL (part));
}

static void
on_way (RhytonArtworkPanel *self)
{
  /* Its own state: the other one's may come after this. */
  const gboolean text = !gtk_toggle_button_get_active (self->by_file);
  gtk_widget_set_visible (self->file_box, !text);
  gtk_widget_set_visible (self->text_line, text);
}

/* ---- ways in ---- */

static void
refresh_message (RhytonArtworkPanel *self)
{
  const char *message = self->file != NULL ? rhyton_artwork_file_get_message (self->file) : NULL;

  gtk_label_set_label (GTK_LABEL (self->message), message != NULL ? message : "");
  gtk_widget_set_visible (self->trouble, message != NULL);
  gtk_widget_set_visible (self->reload, self->file != NULL && rhyton_artwork_file_is_changed (self->file));
  /* Where it is read here or in the line at the foot, saying it twice is one too many. */
  const char *trouble = rhyton_document_get_trouble (rhyton_part_get_document (RHYTON_PART (self)));
  if (message != NULL && !gtk_widget_get_mapped (GTK_WIDGET (self)) && g_strcmp0 (message, trouble) != 0)
    gtk_widget_activate_action (GTK_WIDGET (self), "win.notice", "(ss)", message, "");
}

static void
on_document (RhytonArtworkPanel *self)
{
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));

  g_clear_object (&self->file);
  if (document == NULL)
    return;
  self->file = rhyton_artwork_file_new (document);
  g_signal_connect_object (self->file, "notify::message", G_CALLBACK (refresh_message), self, G_CONNECT_SWAPPED);
  refresh_message (self);
}

static void
on_reload (RhytonArtworkPanel *self)
{
  rhyton_artwork_file_reload (self->file);
}

void
rhyton_artwork_panel_take (RhytonArtworkPanel *self,
                           const char         *path)
{
  g_return_if_fail (RHYTON_IS_ARTWORK_PANEL (self) && path != NULL && self->file != NULL);
  rhyton_artwork_file_take (self->file, path, NULL);
}

static void
pasted (GObject      *source,
        GAsyncResult *result,
        gpointer      data)
{
  g_autoptr (RhytonArtworkPanel) self = data;
  g_autoptr (GError) error = NULL;
  gboolean is_new = FALSE;
  g_autofree char *path = rhyton_paste_read_finish (result, &is_new, &error);
  g_autofree char *note = is_new ? g_strdup_printf ("Pasted and kept as %s.", path) : NULL;

  if (self->pasting == NULL || g_task_get_cancellable (G_TASK (result)) != self->pasting)
    return;
  g_clear_object (&self->pasting);
  if (path != NULL)
    rhyton_artwork_file_take (self->file, path, note);
  else
    rhyton_artwork_file_tell (self->file, error->message);
}

/* A job that is not saved yet has no name; its title has to do. */
static char *
stem_of (RhytonDocument *document)
{
  const char *path = rhyton_document_get_path (document);
  char *stem = path != NULL ? g_path_get_basename (path) : g_strdup (rhyton_document_get_title (document));
  char *dot = strrchr (stem, '.');

  if (path != NULL && dot != NULL && dot != stem)
    *dot = '\0';
  return g_strstrip (g_strdelimit (stem, "\n\t", ' '));
}

void
rhyton_artwork_panel_paste (RhytonArtworkPanel *self)
{
  g_return_if_fail (RHYTON_IS_ARTWORK_PANEL (self) && self->file != NULL);

  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  const char *path = rhyton_document_get_path (document);
  g_autofree char *folder = path != NULL ? g_path_get_dirname (path) : NULL;
  g_autofree char *stem = stem_of (document);

  if (self->pasting != NULL)
    g_cancellable_cancel (self->pasting);
  g_set_object (&self->pasting, NULL);
  self->pasting = g_cancellable_new ();
  rhyton_paste_read (gtk_widget_get_clipboard (GTK_WIDGET (self)), folder, stem, self->pasting, pasted, g_object_ref (self));
}

gboolean
rhyton_artwork_panel_is_busy (RhytonArtworkPanel *self)
{
  g_return_val_if_fail (RHYTON_IS_ARTWORK_PANEL (self), FALSE);
  return self->pasting != NULL || (self->file != NULL && rhyton_artwork_file_is_busy (self->file))
         || rhyton_artwork_preview_is_busy (self->preview);
}

/* ---- the class ---- */

static void
rhyton_artwork_panel_dispose (GObject *object)
{
  RhytonArtworkPanel *self = RHYTON_ARTWORK_PANEL (object);

  if (self->pasting != NULL)
    g_cancellable_cancel (self->pasting);
  g_clear_object (&self->pasting);
  g_clear_object (&self->file);
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_ARTWORK_PANEL);
  G_OBJECT_CLASS (rhyton_artwork_panel_parent_class)->dispose (object);
}

static void
rhyton_artwork_panel_class_init (RhytonArtworkPanelClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  RhytonPartClass *part_class = RHYTON_PART_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_artwork_panel_dispose;
  part_class->job_changed = rhyton_artwork_panel_job_changed;
  part_class->plan_changed = rhyton_artwork_panel_plan_changed;

  g_type_ensure (RHYTON_TYPE_ARTWORK_LIST);
  g_type_ensure (RHYTON_TYPE_ARTWORK_PREVIEW);
  g_type_ensure (RHYTON_TYPE_INK_OPTIONS);
  g_type_ensure (RHYTON_TYPE_PICTURE_OPTIONS);
  g_type_ensure (RHYTON_TYPE_TEXT_LINE);
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-artwork-panel.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, trouble);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, message);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, reload);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, preview);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, by_file);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, by_text);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, file_box);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, text_line);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, name);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, hint);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, facts);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, notes);
  gtk_widget_class_bind_template_child (widget_class, RhytonArtworkPanel, ink);
  gtk_widget_class_bind_template_callback (widget_class, on_way);
  gtk_widget_class_bind_template_callback (widget_class, on_reload);
}

static void
rhyton_artwork_panel_init (RhytonArtworkPanel *self)
{
  gtk_widget_init_template (GTK_WIDGET (self));
  g_signal_connect (self, "notify::document", G_CALLBACK (on_document), NULL);
}
