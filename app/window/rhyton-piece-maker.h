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

/** RhytonPieceFile: the drawing of the piece that is chosen, the ruler's table of readings, or the sheet to take along. */
typedef enum { RHYTON_PIECE_DRAWING, RHYTON_PIECE_TABLE, RHYTON_PIECE_SHEET } RhytonPieceFile;

void rhyton_piece_maker_save_to (RhytonPieceMaker *self, RhytonPieceFile what, GFile *file);

G_END_DECLS
