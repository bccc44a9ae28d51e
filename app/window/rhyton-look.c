/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-look.h"

gboolean
rhyton_look_is_dark (GtkWidget *widget)
{
  GdkRGBA text;

  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &text);
  return 0.2126f * text.red + 0.7152f * text.green + 0.0722f * text.blue > 0.5f;
}

void
rhyton_look_write (GtkWidget   *widget,
                   GtkSnapshot *snapshot,
                   const char  *text)
{
  const int width = gtk_widget_get_width (widget);
  const int height = gtk_widget_get_height (widget);
  const int margin = 18;
  GdkRGBA colour;
  int text_width, text_height;

  if (text == NULL || *text == '\0' || width <= 2 * margin)
    return;
  g_autoptr (PangoLayout) layout = gtk_widget_create_pango_layout (widget, text);
  pango_layout_set_width (layout, (width - 2 * margin) * PANGO_SCALE);
  pango_layout_set_wrap (layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_alignment (layout, PANGO_ALIGN_CENTER);
  pango_layout_get_pixel_size (layout, &text_width, &text_height);
  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &colour);
  colour.alpha *= 0.7f;
  gtk_snapshot_save (snapshot);
  gtk_snapshot_translate (snapshot, &GRAPHENE_POINT_INIT ((float) margin, 0.5f * (float) (height - text_height)));
  gtk_snapshot_append_layout (snapshot, layout, &colour);
  gtk_snapshot_restore (snapshot);
}

gboolean
rhyton_look_nudge (RhytonDocument  *document,
                   guint            keyval,
                   GdkModifierType  state)
{
  const double step_mm = state & GDK_SHIFT_MASK ? 0.1 : 1.0;

  switch (keyval)
    {
    case GDK_KEY_Left:
      rhyton_grip_nudge (document, -step_mm, 0.0);
      return TRUE;
    case GDK_KEY_Right:
      rhyton_grip_nudge (document, step_mm, 0.0);
      return TRUE;
    case GDK_KEY_Up:
      rhyton_grip_nudge (document, 0.0, step_mm);
      return TRUE;
    case GDK_KEY_Down:
      rhyton_grip_nudge (document, 0.0, -step_mm);
      return TRUE;
    default:
      return FALSE;
    }
}

static const struct { const char *icon, *style, *name; } levels[] = {
  [RHY_LEVEL_STOP] = { "dialog-error-symbolic", "error", "Stop" },
  [RHY_LEVEL_CARE] = { "dialog-warning-symbolic", "warning", "Care" },
  [RHY_LEVEL_NOTE] = { "dialog-information-symbolic", "dim-label", "Note" },
};

const char *
rhyton_look_level_icon (RhyLevel level)
{
  return levels[level].icon;
}

const char *
rhyton_look_level_class (RhyLevel level)
{
  return levels[level].style;
}

const char *
rhyton_look_level_name (RhyLevel level)
{
  return levels[level].name;
}

const char *
rhyton_look_cursor (RhytonHandle handle)
{
  switch (handle)
    {
    case RHYTON_HANDLE_BODY:
      return "grab";
    case RHYTON_HANDLE_CORNER:
      return "nwse-resize";
    case RHYTON_HANDLE_TURN:
      return "alias";
    case RHYTON_HANDLE_NONE:
    default:
      return NULL;
    }
}
