/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/api.h>

G_BEGIN_DECLS

/**
 * RhyPaper: a printer's page.
 * @RHY_PAPER_A4: 210 x 297 mm (ISO 216)
 * @RHY_PAPER_LETTER: 8.5 x 11 in (ASME Y14.1, size A)
 */
typedef enum { RHY_PAPER_A4, RHY_PAPER_LETTER } RhyPaper;

/** rhy_paper_get_size: @width_mm, @height_mm: (out): upright. */
RHY_API
void rhy_paper_get_size (RhyPaper paper, double *width_mm, double *height_mm);
/** rhy_paper_from_string: "a4" or "letter", in any case; %FALSE for anything else. */
RHY_API
gboolean rhy_paper_from_string (const char *text, RhyPaper *paper);

G_END_DECLS
