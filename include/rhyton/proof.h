/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhyProof:
 * @distance_mm: greatest distance on the wall between what the drawing burns and
 *   what was meant, either way round
 * @where: the wall point of it
 * @n_pictures: pictures and gradients that were compared
 * @shift_mm: greatest distance between where a picture's tones change and where they should
 * @shift_limit_mm: what a drawing of those dots can keep: half a dot, of black dots two
 * @shift_where: the wall point of it
 * @tone: greatest mean difference of a picture's tones, 0 to 1
 */
typedef struct
{
  double       distance_mm;
  RhyWallPoint where;
  guint        n_pictures;
  double       shift_mm;
  double       shift_limit_mm;
  RhyWallPoint shift_where;
  double       tone;
} RhyProof;

/** RHY_PROOF_TONE_MAX: a drawing's pictures differ by less than that from what was meant. */
#define RHY_PROOF_TONE_MAX 0.05

/**
 * rhy_proof_file:
 * @path: a bed drawing, SVG
 *
 * Reads the file as a machine would, takes its ink back to the wall through the
 * drive, and measures it against the laid artwork by dense sampling; independent
 * of how the drawing was fitted. Pictures are taken back to the art, dot by dot, and laid over what they
 * were made from.
 */
RHY_API
gboolean rhy_proof_file (RhyPlan *plan, const char *path, RhyProof *proof, GError **error);

/** rhy_proof_is_good: Returns: whether the lines keep the tolerance of @plan's job, and the pictures their limits. */
RHY_API
gboolean rhy_proof_is_good (const RhyProof *proof, RhyPlan *plan);

/** rhy_proof_describe: Returns: (transfer full): what was measured, where, and against what: one line, pictures another. */
RHY_API
char *rhy_proof_describe (const RhyProof *proof, RhyPlan *plan);

G_END_DECLS
