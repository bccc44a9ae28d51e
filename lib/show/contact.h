/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/batch.h>

G_BEGIN_DECLS

/* Small pictures of every row, on pages. */
#define RHY_CONTACT_WIDTH 216
#define RHY_CONTACT_HEIGHT 216

/*
 * @rows: (element-type RhyBatchRow)
 * @previews: (array): PNG files of RHY_CONTACT_WIDTH by RHY_CONTACT_HEIGHT pixels, one for each row; NULL or missing: none
 *
 * Returns: (transfer full): the PDF; the same rows and pictures give the same bytes
 */
GBytes *rhy_contact_sheet (GPtrArray *rows, char *const *previews, const char *title, RhyPaper paper, GError **error);

G_END_DECLS
