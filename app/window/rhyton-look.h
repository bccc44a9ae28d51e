/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include "rhyton-grip.h"

G_BEGIN_DECLS

/* What the views have in common in their looks and keys. */

/** rhyton_look_is_dark: Returns: whether a widget's text is lighter than what is behind it. */
gboolean rhyton_look_is_dark (GtkWidget *widget);
/** rhyton_look_colours: the theme's: text, what is behind it, and what is chosen, legible on that. */
void rhyton_look_colours (GtkWidget *widget, RhyColour *ink, RhyColour *paper, RhyColour *accent);
/** rhyton_look_write: a line of text in the middle, in the widget's own colour; @text nullable. */
void rhyton_look_write (GtkWidget *widget, GtkSnapshot *snapshot, const char *text);
/** rhyton_look_tip: sets a tooltip; the same again costs nothing, where GTK asks the display for the pointer. */
void rhyton_look_tip (GtkWidget *widget, const char *tip);
/** rhyton_look_nudge: arrow keys move the artwork by 1 mm, with Shift by 0.1 mm. Returns: whether it was one. */
gboolean rhyton_look_nudge (RhytonDocument *document, guint keyval, GdkModifierType state);

/** rhyton_look_cursor: Returns: (nullable): the name of the pointer over a handle. */
const char *rhyton_look_cursor (RhytonHandle handle);
/** rhyton_look_level_icon: Returns: the name of the icon of a level of finding. */
const char *rhyton_look_level_icon (RhyLevel level);
/** rhyton_look_level_class: Returns: the style class of a level. */
const char *rhyton_look_level_class (RhyLevel level);
/** rhyton_look_level_name: Returns: what a screen reader says first. */
const char *rhyton_look_level_name (RhyLevel level);

G_END_DECLS
