/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_ARTWORK_FILE (rhyton_artwork_file_get_type ())
/**
 * RhytonArtworkFile:
 *
 * The file of a document's selected artwork: a new one is tried before the job
 * takes it, so that one that cannot be used costs nothing; the one there is is
 * watched. "message" says what there is to know, one line; "changed" that
 * rhyton_artwork_file_reload() would bring something new. "busy": one is tried.
 */
G_DECLARE_FINAL_TYPE (RhytonArtworkFile, rhyton_artwork_file, RHYTON, ARTWORK_FILE, GObject)

RhytonArtworkFile *rhyton_artwork_file_new (RhytonDocument *document);
/**
 * rhyton_artwork_file_take:
 * @note: (nullable): what to say once it is taken
 *
 * Reads @path in a thread; the selected artwork has it if it can be read, else all stays.
 */
void rhyton_artwork_file_take (RhytonArtworkFile *self, const char *path, const char *note);
/** rhyton_artwork_file_tell: a message of somebody else's, about a way in. */
void rhyton_artwork_file_tell (RhytonArtworkFile *self, const char *message);
/** rhyton_artwork_file_reload: the drawing as the file holds it now. */
void rhyton_artwork_file_reload (RhytonArtworkFile *self);
/** rhyton_artwork_file_get_message: Returns: (nullable) */
const char *rhyton_artwork_file_get_message (RhytonArtworkFile *self);
gboolean rhyton_artwork_file_is_changed (RhytonArtworkFile *self);
gboolean rhyton_artwork_file_is_busy (RhytonArtworkFile *self);

G_END_DECLS
