/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhyProof:
 * @distance_mm: greatest distance on the wall between what the drawing burns and
 *   what was meant, either way round
 * @where: the wall point of it
 */
typedef struct
{
  double       distance_mm;
  RhyWallPoint where;
} RhyProof;

/**
 * rhy_proof_file:
 * @path: a bed drawing, SVG
 *
 * Reads the file as a machine would, takes its ink back to the wall through the
 * drive, and measures it against the laid artwork by dense sampling; independent
 * of how the drawing was fitted.
 */
RHY_API
gboolean rhy_proof_file (RhyPlan *plan, const char *path, RhyProof *proof, GError **error);

G_END_DECLS
