/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_TEXT_LINE (rhyton_text_line_get_type ())
/**
 * RhytonTextLine:
 *
 * A line of lettering in place of a file, as it is typed: its font, and what its
 * size goes by.
 */
G_DECLARE_FINAL_TYPE (RhytonTextLine, rhyton_text_line, RHYTON, TEXT_LINE, RhytonPart)

/**
 * rhyton_text_line_name_font:
 * @font: a font as GTK names it, "DejaVu Sans Semi-Bold Italic 12"
 *
 * Returns: (transfer full): the same font, without a size, in the style words that a job file takes
 */
char *rhyton_text_line_name_font (const char *font);

G_END_DECLS
