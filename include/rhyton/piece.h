/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>
#include <rhyton/paper.h>
#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhyPiece:
 * @RHY_PIECE_RULER: a grid of 10 mm steps, labelled, to be measured
 * @RHY_PIECE_ARROW: an arrow towards the mouth with a flag to its right: shows
 *   direction and mirror in one burn
 * @RHY_PIECE_LADDER: cells of power by speed, labelled, each its own colour
 * @RHY_PIECE_TURN: a line of exactly one turn: where its end meets the scale at its
 *   start is the overrun
 */
typedef enum { RHY_PIECE_RULER, RHY_PIECE_ARROW, RHY_PIECE_LADDER, RHY_PIECE_TURN } RhyPiece;

/**
 * RhyPieceOptions:
 * @width_mm, @height_mm: ruler: size of the grid, whole steps of 10 are used;
 *   ladder: size of one cell
 * @around_mm: turn: the length of one turn where it is burnt
 * @powers: (array length=n_powers): ladder: percent
 * @speeds: (array length=n_speeds): ladder: mm/s
 */
typedef struct
{
  double        width_mm, height_mm;
  double        around_mm;
  const double *powers;
  gsize         n_powers;
  const double *speeds;
  gsize         n_speeds;
} RhyPieceOptions;

RHY_API
const char *rhy_piece_to_string (RhyPiece piece);
RHY_API
gboolean rhy_piece_from_string (const char *text, RhyPiece *piece);

/**
 * rhy_piece_new:
 *
 * A test piece as artwork, true mm, (0, 0) in the middle of the grid, at the
 * arrow's foot, in the ladder's lower left corner, at the line's start. Labels
 * are single strokes, readable from 2 mm up.
 *
 * Returns: (transfer full): the artwork; %RHY_ERROR_ARTWORK for a size that holds no
 *   step, or a ladder without powers or speeds.
 */
RHY_API
RhyArtwork *rhy_piece_new (RhyPiece piece, const RhyPieceOptions *options, GError **error);

/**
 * rhy_piece_energy:
 * @watts: power of the beam at 100 %
 * @power_percent: power set
 * @speed_mm_s: along the line
 * @line_distance_mm: from line to line
 *
 * Returns: energy per area, J/mm^2: P/(v d)
 */
RHY_API
double rhy_piece_energy (double watts, double power_percent, double speed_mm_s, double line_distance_mm);

/** rhy_piece_ladder_colour: cell @i of @n: even steps of hue at one lightness. */
RHY_API
RhyColour rhy_piece_ladder_colour (gsize i, gsize n);

/**
 * rhy_piece_plan:
 * @options: its @around_mm is filled in from the vessel
 * @piece_art: (out) (optional) (transfer full): the piece itself
 *
 * The test piece in place of the job's artworks, about the first one's mark, level
 * with the rim, every line run once.
 *
 * Returns: (transfer full): a plan to be drawn
 */
RHY_API
RhyPlan *rhy_piece_plan (RhyJob *job, RhyPiece piece, RhyPieceOptions *options, RhyArtwork **piece_art, GError **error);

/**
 * rhy_piece_readings_form:
 * @plan: of a ruler
 *
 * Returns: (transfer full): CSV of the grid's crossings as they are meant, to be filled
 *   in with what is found, and read by rhy_learning_from_grid_file()
 */
RHY_API
GBytes *rhy_piece_readings_form (const RhyPlan *plan, RhyArtwork *piece_art, const RhyPieceOptions *options);

/**
 * RhyPieceBeam:
 * @watts: power at 100 %; 0: not known, no energies
 * @line_distance_mm: from line to line
 */
typedef struct { double watts, line_distance_mm; } RhyPieceBeam;

/** rhy_piece_ladder_table: Returns: (transfer full): a line for each cell: colour, power, speed, energy. */
RHY_API
char *rhy_piece_ladder_table (const RhyPieceOptions *options, const RhyPieceBeam *beam);

/**
 * RhyArrowAnswer:
 * @seen: what the burnt arrow looks like, the mouth up
 * @set: what to change in the job file for it
 * @axis, @mouth, @turn: which of the machine's Axis, Mouth and TurnReversed that is
 */
typedef struct { const char *seen, *set; gboolean axis, mouth, turn; } RhyArrowAnswer;

/** rhy_piece_get_arrow_answers: Returns: (transfer none) (array length=n): one for each way an arrow can come out. */
RHY_API
const RhyArrowAnswer *rhy_piece_get_arrow_answers (gsize *n);

/** rhy_piece_arrow_table: Returns: (transfer full): the same as lines of plain text. */
RHY_API
char *rhy_piece_arrow_table (void);
/**
 * rhy_piece_sheet_new:
 * @plan, @piece_art: as rhy_piece_plan() made them with @options
 *
 * What to take to the machine with a test piece: what it looks like, what to set, and what to do with it:
 * the table of an arrow, the cells of a ladder with their energies, a form for the readings of a ruler or a turn.
 *
 * Returns: (transfer full): a PDF; same job, same bytes in the same language
 */
RHY_API
GBytes *rhy_piece_sheet_new (const RhyPlan *plan, RhyPiece piece, RhyArtwork *piece_art, const RhyPieceOptions *options,
                             const RhyPieceBeam *beam, RhyPaper paper, GError **error);

G_END_DECLS
