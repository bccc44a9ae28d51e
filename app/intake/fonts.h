/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "wire.h"

G_BEGIN_DECLS

/* Notes the fonts that the drawing's lettering asks for and this system lacks:
 * another stands in for them, with other shapes and widths. */
void fonts_note_missing (Wire *wire, GBytes *source);

/* Notes the letters that no font of this system has: a box with their number would stand for each. */
void fonts_note_no_glyph (Wire *wire, GBytes *source);

G_END_DECLS
