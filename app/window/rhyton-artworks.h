/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

G_BEGIN_DECLS

/* The artworks of a document's job as a list that is edited: each a step to undo. */

/** rhyton_artworks_title: Returns: (transfer full): what to call an artwork: its name, its lettering, its file's name. */
char *rhyton_artworks_title (const RhyJobArtwork *artwork);
/** rhyton_artworks_any: Returns: whether the job names a file or lettering. */
gboolean rhyton_artworks_any (RhytonDocument *document);
/** rhyton_artworks_select_file: the first artwork whose file is at @path. */
void rhyton_artworks_select_file (RhytonDocument *document, const char *path);
/**
 * rhyton_artworks_add:
 * @copy: all that the selected artwork has, else an empty one
 *
 * It goes to the other side of the vessel, where both are seen, and is selected.
 */
gboolean rhyton_artworks_add (RhytonDocument *document, gboolean copy, GError **error);
/** rhyton_artworks_rename: the selected one; it keeps its place among the others. */
gboolean rhyton_artworks_rename (RhytonDocument *document, const char *name, GError **error);
/** rhyton_artworks_remove: the selected one, of several. */
gboolean rhyton_artworks_remove (RhytonDocument *document, GError **error);

G_END_DECLS
