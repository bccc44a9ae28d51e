/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define RHYTON_TYPE_LENGTH_ROW (rhyton_length_row_get_type ())
/**
 * RhytonLengthRow:
 *
 * One more length that was meant and that came out, and a button that takes the row away.
 *
 * Signals "changed": one of the two was entered; "remove": the button was pressed.
 */
G_DECLARE_FINAL_TYPE (RhytonLengthRow, rhyton_length_row, RHYTON, LENGTH_ROW, GtkWidget)

GtkWidget *rhyton_length_row_new (void);
/** rhyton_length_row_set_number: of the reading, 2 for the second; its fields are named by it. */
void rhyton_length_row_set_number (RhytonLengthRow *self, guint number);
void rhyton_length_row_set_inches (RhytonLengthRow *self, gboolean inches);
/** rhyton_length_row_get: @nominal, @printed: (out): mm; NaN: not entered. */
void rhyton_length_row_get (RhytonLengthRow *self, double *nominal, double *printed);

G_END_DECLS
