/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>
#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/**
 * rhyton_print_new:
 * @pages: (transfer full)
 * @name: what the printer's queue calls it
 *
 * Returns: (transfer full): an operation that prints the pages at their true size, each
 *   whole; run it with the dialog, or export it
 */
GtkPrintOperation *rhyton_print_new (RhyPages *pages, const char *name);

G_END_DECLS
