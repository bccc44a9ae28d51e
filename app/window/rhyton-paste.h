/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

G_BEGIN_DECLS

/* A drawing or picture from the clipboard, as a file: a job names its artwork by file. */

/**
 * rhyton_paste_read:
 * @folder: (nullable): of the job; %NULL, or where it cannot be written to: the user's data folder
 * @stem: what the name of a new file begins with
 *
 * Takes the first of: a file that was copied, SVG, PNG, JPEG, any other picture, and text
 * that is SVG. What is no file yet becomes one, under a name that is still free.
 */
void rhyton_paste_read (GdkClipboard        *clipboard,
                        const char          *folder,
                        const char          *stem,
                        GCancellable        *cancellable,
                        GAsyncReadyCallback  callback,
                        gpointer             data);
/**
 * rhyton_paste_read_finish:
 * @is_new: (out): whether the file was made
 *
 * Returns: (transfer full): the file's path; %NULL with one line that says what is on the clipboard instead
 */
char *rhyton_paste_read_finish (GAsyncResult *result, gboolean *is_new, GError **error);

G_END_DECLS
