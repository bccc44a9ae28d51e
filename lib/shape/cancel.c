/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/cancel.h>

#include "late-gio.h"

GCancellable *
rhy_cancellable_new (void)
{
  return g_cancellable_new ();
}

void
rhy_cancellable_cancel (GCancellable *cancellable)
{
  g_cancellable_cancel (cancellable);
}

gboolean
rhy_error_is_cancelled (const GError *error)
{
  return g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}
