/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-measure-entry.h"
#include "rhyton-part.h"

G_BEGIN_DECLS

/* What the panels have in common. */

/** rhyton_panel_explain: Returns: (transfer full): what a job's refusal allows, for people who never saw the file. */
char *rhyton_panel_explain (const GError *error);

/**
 * rhyton_panel_plain:
 * @finding: its message speaks of the job file's keys, which a window does not show, and in mm
 *
 * Returns: (transfer full): the message in the words of the panels, and in their unit
 */
char *rhyton_panel_plain (const RhyFinding *finding, gboolean inches);

/** rhyton_panel_lengths_in: Returns: (transfer full): @text, its lengths in mm said in that unit and the locale's way. */
char *rhyton_panel_lengths_in (const char *text, gboolean inches);

/**
 * rhyton_panel_enter:
 * @entry: (nullable): where the value was entered; told if it is refused
 * @edits: (array length=n)
 *
 * Changes the job of a part's document.
 */
void rhyton_panel_enter (RhytonPart         *part,
                         RhytonMeasureEntry *entry,
                         const char         *name,
                         const RhytonEdit   *edits,
                         gsize               n);

/** rhyton_panel_enter_number: one key; NaN removes it. */
void rhyton_panel_enter_number (RhytonPart         *part,
                                RhytonMeasureEntry *entry,
                                const char         *name,
                                const char         *group,
                                const char         *key,
                                double              value);

/** rhyton_panel_format_length: Returns: (transfer full): with its unit, in the document's. */
char *rhyton_panel_format_length (RhytonPart *part, double mm);
/** rhyton_panel_format_mm: the same, where there is no part. @document: (nullable) */
char *rhyton_panel_format_mm (RhytonDocument *document, double mm);
/** rhyton_panel_format_in: the same in a thread, which must not ask a document. */
char *rhyton_panel_format_in (gboolean inches, double mm);

G_END_DECLS
