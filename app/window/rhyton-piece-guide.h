/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

/* What to do with a test piece, as rows that fit a panel. */

/** rhyton_piece_guide_clear: takes all rows away. */
void rhyton_piece_guide_clear (GtkGrid *grid);
/** rhyton_piece_guide_show_ladder: a row for each cell: its colour, power, speed and energy. */
void rhyton_piece_guide_show_ladder (GtkGrid *grid, const RhyPieceOptions *options, const RhyPieceBeam *beam);
/** rhyton_piece_guide_show_arrow: a row for each way an arrow can come out, with a button that sets the job of @part right. */
void rhyton_piece_guide_show_arrow (GtkGrid *grid, RhytonPart *part);

G_END_DECLS
