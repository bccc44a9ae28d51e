/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

G_BEGIN_DECLS

/**
 * RhytonRecovery:
 *
 * Keeps what is not saved of a document in a file of its own in the user's state
 * folder, so that it outlives a crash. Knows nothing of GTK.
 */
typedef struct _RhytonRecovery RhytonRecovery;

/**
 * rhyton_recovery_new:
 * @document: referenced
 * @seconds: how long after a change it is written at the latest
 */
RhytonRecovery *rhyton_recovery_new (RhytonDocument *document, guint seconds);
/** rhyton_recovery_free: the work is saved or given up: what was kept goes. */
void rhyton_recovery_free (RhytonRecovery *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhytonRecovery, rhyton_recovery_free)
/** rhyton_recovery_flush: writes what waits to be written. */
void rhyton_recovery_flush (RhytonRecovery *self);

/** rhyton_recovery_list: Returns: (transfer full): names of files whose owner is gone, never %NULL. */
char **rhyton_recovery_list (void);
/** rhyton_recovery_restore: into @document, as changes not saved; and the file goes. */
gboolean rhyton_recovery_restore (const char *name, RhytonDocument *document, GError **error);
/** rhyton_recovery_discard: the file goes. */
void rhyton_recovery_discard (const char *name);

G_END_DECLS
