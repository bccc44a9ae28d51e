/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>
#include <rhyton/rhyton.h>

G_BEGIN_DECLS

#define RHYTON_TYPE_CATALOGUE (rhyton_catalogue_get_type ())
/**
 * RhytonCatalogue:
 *
 * A popover with the blanks that the library knows and the maker's own, to be
 * searched by any word of title or kind. It knows no document: "chosen" (job: a
 * pointer to a RhyJob, borrowed) tells whoever opened it. Read when first shown.
 */
G_DECLARE_FINAL_TYPE (RhytonCatalogue, rhyton_catalogue, RHYTON, CATALOGUE, GtkPopover)

/** rhyton_catalogue_set_inches: sizes are to be shown in inches. */
void rhyton_catalogue_set_inches (RhytonCatalogue *self, gboolean inches);

G_END_DECLS
