/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-look.h"

#include <math.h>

gboolean
rhyton_look_is_dark (GtkWidget *widget)
{
  GdkRGBA text;

  gtk_style_context_get_color (gtk_widget_get_style_context (widget), &text);
  return 0.2126f * text.red + 0.7152f * text.green + 0.0722f * text.blue > 0.5f;
}

/* Relative luminance. Source: WCAG 2.1, definition of the term. */
static double
luminance (RhyColour c)
{
  const double in[] = { c.r, c.g, c.b };
  static const double weights[] = { 0.2126, 0.7152, 0.0722 };
  double sum = 0.0;

  for (int i = 0; i < 3; i++)
    sum += weights[i] * (in[i] <= 0.03928 ? in[i] / 12.92 : pow ((in[i] + 0.055) / 1.055, 2.4));
  return sum;
}

static double
contrast (RhyColour a,
          RhyColour b)
{
  const double la = luminance (a), lb = luminance (b);
  return (MAX (la, lb) + 0.05) / (MIN (la, lb) + 0.05);
}

static RhyColour
mixed (RhyColour a,
       RhyColour b,
       double    t)
{
  return (RhyColour) { a.r + t * (b.r - a.r), a.g + t * (b.g - a.g), a.b + t * (b.b - a.b), 1.0 };
}

static RhyColour
colour_named (GtkStyleContext *style,
              const char      *name,
              RhyColour        otherwise)
{
  GdkRGBA c;
  if (!gtk_style_context_lookup_color (style, name, &c))
    return otherwise;
  return (RhyColour) { c.red, c.green, c.blue, c.alpha };
}

void
rhyton_look_colours (GtkWidget *widget,
                     RhyColour *ink,
                     RhyColour *paper,
                     RhyColour *accent)
{
  GtkStyleContext *style = gtk_widget_get_style_context (widget);
  const gboolean dark = rhyton_look_is_dark (widget);
  GdkRGBA text;

  gtk_style_context_get_color (style, &text);
  *ink = (RhyColour) { text.red, text.green, text.blue, text.alpha };
  *paper = colour_named (style, "theme_base_color", dark ? (RhyColour) { 0, 0, 0, 1 } : (RhyColour) { 1, 1, 1, 1 });
  *accent = colour_named (style, "theme_selected_bg_color", *ink);
  /* A colour that text lies on need not be legible as text: 4.5 is what WCAG 2.1 asks of that (1.4.3). */
  const RhyColour ground = *accent;
  for (double t = 0.1; contrast (*accent, *paper) < 4.5 && t < 1.0; t += 0.1)
    *accent = mixed (ground, *ink, t);
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

void
rhyton_look_tip (GtkWidget  *widget,
                 const char *tip)
{
  if (g_strcmp0 (gtk_widget_get_tooltip_text (widget), tip) != 0)
    gtk_widget_set_tooltip_text (widget, tip);
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
