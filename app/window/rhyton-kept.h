/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include "rhyton-document.h"

G_BEGIN_DECLS

/* What a window keeps from one run to the next. */

/** rhyton_kept_remember: a job file that was opened or saved, unless the desktop is to keep no traces. */
void rhyton_kept_remember (GtkWidget *window, const char *path);
/** rhyton_kept_list_recent: fills a menu with the last of them, newest first. */
void rhyton_kept_list_recent (GMenu *menu);
/** rhyton_kept_save: the window's size and the unit of lengths. */
void rhyton_kept_save (GtkWindow *window, RhytonDocument *document);
/** rhyton_kept_restore: through the window's action "inches", which must be there. */
void rhyton_kept_restore (GtkWindow *window);

G_END_DECLS
