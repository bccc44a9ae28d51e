/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include "rhyton-measure.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_MEASURE_ENTRY (rhyton_measure_entry_get_type ())
/**
 * RhytonMeasureEntry:
 *
 * A field for one measurement. It takes what rhyton_measure_parse() reads; what
 * it cannot take it leaves standing, marks, and says why below the field.
 * Properties: "label" (its accessible name), "angle" (degrees, not lengths),
 * "inches" (shows lengths in inches), "value" (mm or degrees; NaN: empty),
 * "optional" (may be emptied), "placeholder", "step" (of the arrow keys).
 *
 * Signal "commit" (double value): somebody entered a value; NaN for emptied.
 * The handler sets "value" by what became of it, or calls
 * rhyton_measure_entry_refuse().
 *
 * Signal "typed" (double value): what stands in the field now is that value, entered or
 * not, NaN for emptied; for what is to be seen at once. Text that is no value is not told.
 */
G_DECLARE_FINAL_TYPE (RhytonMeasureEntry, rhyton_measure_entry, RHYTON, MEASURE_ENTRY, GtkWidget)

GtkWidget *rhyton_measure_entry_new (void);
double rhyton_measure_entry_get_value (RhytonMeasureEntry *self);
/** rhyton_measure_entry_set_value: shows @value if it is another one than before; else what is being typed stays. */
void rhyton_measure_entry_set_value (RhytonMeasureEntry *self, double value);
void rhyton_measure_entry_set_inches (RhytonMeasureEntry *self, gboolean inches);
/** rhyton_measure_entry_refuse: keeps what was typed and shows @message. */
void rhyton_measure_entry_refuse (RhytonMeasureEntry *self, const char *message);
/** rhyton_measure_entry_get_message: Returns: why the text was refused, "" if it was not. */
const char *rhyton_measure_entry_get_message (RhytonMeasureEntry *self);
/** rhyton_measure_entry_enter: as if somebody typed @text and pressed Enter. */
void rhyton_measure_entry_enter (RhytonMeasureEntry *self, const char *text);

G_END_DECLS
