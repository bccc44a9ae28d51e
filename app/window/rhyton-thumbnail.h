/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_THUMBNAIL (rhyton_thumbnail_get_type ())
/**
 * RhytonThumbnail:
 *
 * The first page of what would leave now, small, and how many there are; or why there is none.
 */
G_DECLARE_FINAL_TYPE (RhytonThumbnail, rhyton_thumbnail, RHYTON, THUMBNAIL, RhytonPart)

/** rhyton_thumbnail_show_pattern: @options: whether it is on pages, and on which. */
void rhyton_thumbnail_show_pattern (RhytonThumbnail *self, const RhyDrawingOptions *options);
/** rhyton_thumbnail_show_sheet: the setup sheet; @options: copied. */
void rhyton_thumbnail_show_sheet (RhytonThumbnail *self, const RhySheetOptions *options);
/** rhyton_thumbnail_is_busy: Returns: whether the page is being drawn. */
gboolean rhyton_thumbnail_is_busy (RhytonThumbnail *self);
/** rhyton_thumbnail_get_text: Returns: what stands below the page. */
const char *rhyton_thumbnail_get_text (RhytonThumbnail *self);

G_END_DECLS
