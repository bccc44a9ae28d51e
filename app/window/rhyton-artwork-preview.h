/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_ARTWORK_PREVIEW (rhyton_artwork_preview_get_type ())
/**
 * RhytonArtworkPreview:
 *
 * The selected artwork flat, as it will be inked or as it came in, with its true
 * size and what was made of its nodes. Drawn by the library in a thread.
 */
G_DECLARE_FINAL_TYPE (RhytonArtworkPreview, rhyton_artwork_preview, RHYTON, ARTWORK_PREVIEW, RhytonPart)

/** rhyton_artwork_preview_get_shown: Returns: (nullable) (transfer none): the picture on show. */
RhyRaster *rhyton_artwork_preview_get_shown (RhytonArtworkPreview *self);
/** rhyton_artwork_preview_is_busy: Returns: whether another picture is to come. */
gboolean rhyton_artwork_preview_is_busy (RhytonArtworkPreview *self);

G_END_DECLS
