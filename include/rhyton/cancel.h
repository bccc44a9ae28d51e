/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/api.h>

#include <gio/gio.h>

G_BEGIN_DECLS

/*
 * For a program that stops this library's work but has no other use for GIO: to link that for these would
 * take longer than a small job.
 */

/** rhy_cancellable_new: Returns: (transfer full): as g_cancellable_new(). */
RHY_API
GCancellable *rhy_cancellable_new (void);

/** rhy_cancellable_cancel: from any thread, as g_cancellable_cancel(). */
RHY_API
void rhy_cancellable_cancel (GCancellable *cancellable);

/** rhy_error_is_cancelled: whether work ended because it was asked to. */
RHY_API
gboolean rhy_error_is_cancelled (const GError *error);

G_END_DECLS
