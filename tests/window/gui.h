/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

/* What a test needs to hold a window in its hands. */

/** gui_is_up: Returns: whether there is a display; a test without one is to skip. */
gboolean gui_is_up (void);
/** gui_settle: runs the main loop until nothing is left to do at once. */
void gui_settle (void);
/** gui_until: Returns: whether @ok came true within the time. */
gboolean gui_until (gboolean (*ok) (gpointer), gpointer data, double seconds);
/** gui_frame: Returns: whether the widget's window painted a frame within five seconds. */
gboolean gui_frame (GtkWidget *widget);
/** gui_picture: Returns: (transfer full): a mapped widget as it is drawn, without a renderer. */
cairo_surface_t *gui_picture (GtkWidget *widget);
/** gui_keep: into the folder that RHYTON_PICTURES names, if it does, to be looked at. */
void gui_keep (cairo_surface_t *picture, const char *name);

/** gui_controller: Returns: (transfer none) (nullable): a widget's nth controller of a type. */
gpointer gui_controller (GtkWidget *widget, GType type, guint nth);
/** gui_each: calls @each for a widget and all below it. */
void gui_each (GtkWidget *widget, void (*each) (GtkWidget *widget, gpointer data), gpointer data);
/** gui_labelled: Returns: (transfer none) (nullable): the widget below @root with this accessible label. */
GtkWidget *gui_labelled (GtkWidget *root, GType type, const char *label);
