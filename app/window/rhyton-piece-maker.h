/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PIECE_MAKER (rhyton_piece_maker_get_type ())
/**
 * RhytonPieceMaker:
 *
 * Chooses a test piece, says what it is for, and saves it for the job's vessel and machine.
 */
G_DECLARE_FINAL_TYPE (RhytonPieceMaker, rhyton_piece_maker, RHYTON, PIECE_MAKER, RhytonPart)

/** rhyton_piece_maker_save_to: the piece that is chosen, or the ruler's @table of readings. */
void rhyton_piece_maker_save_to (RhytonPieceMaker *self, gboolean table, GFile *file);

G_END_DECLS
