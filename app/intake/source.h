/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "wire.h"

G_BEGIN_DECLS

/* Everything on standard input, unpacked when it is gzip; ends the process
 * with one clear line when it is too large, empty or plainly something else. */
GBytes *source_read (Wire *wire, gsize max_bytes);

/* Ends the process with one line when a text in it is longer than can be set: pango counts
 * 1/1024 of a pixel in an int, draws nothing past that, and takes minutes before. */
void source_check_texts (Wire *wire, GBytes *source);

/* What is shown of all its texts, one after the other, numeric references resolved: UTF-8
 * where the file is, and nothing where it is not. */
char *source_shown_text (GBytes *source);

/* Bytes of the longest attribute that is no embedded picture. */
gsize source_longest_attribute (GBytes *source);

/* Notes for what librsvg passes over without a word. */
void source_note_silent_losses (Wire *wire, GBytes *source);

/* Whether a start tag of that name is in it, with any prefix (or in a comment). */
gboolean source_has_element (GBytes *source, const char *element);

/* Whether a picture is embedded in it. */
gboolean source_has_pictures (GBytes *source);

G_END_DECLS
