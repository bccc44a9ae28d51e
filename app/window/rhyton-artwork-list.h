/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_ARTWORK_LIST (rhyton_artwork_list_get_type ())
/**
 * RhytonArtworkList:
 *
 * The artworks of the job, one selected; buttons that add, copy and remove, and the
 * selected one's name.
 */
G_DECLARE_FINAL_TYPE (RhytonArtworkList, rhyton_artwork_list, RHYTON, ARTWORK_LIST, RhytonPart)

G_END_DECLS
