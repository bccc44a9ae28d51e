/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/proof.h>

G_BEGIN_DECLS

/* The pictures of @drawing, bed space, put back on the wall: fills in what a proof says of them. */
gboolean rhy_proof_pictures (const RhyPlan *plan, const RhyArtwork *drawing, RhyProof *proof, GError **error);

G_END_DECLS
