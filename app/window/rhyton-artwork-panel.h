/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_ARTWORK_PANEL (rhyton_artwork_panel_get_type ())
/**
 * RhytonArtworkPanel:
 *
 * The selected artwork: every way in (a file, the clipboard, a line of lettering), what it
 * looks like inked, how its pictures and strokes come out, and what there is to know of it.
 */
G_DECLARE_FINAL_TYPE (RhytonArtworkPanel, rhyton_artwork_panel, RHYTON, ARTWORK_PANEL, RhytonPart)

/** rhyton_artwork_panel_take: @path: a drawing or picture; tried first, what cannot be used changes nothing. */
void rhyton_artwork_panel_take (RhytonArtworkPanel *self, const char *path);
/** rhyton_artwork_panel_paste: what is on the clipboard, kept as a file. */
void rhyton_artwork_panel_paste (RhytonArtworkPanel *self);
/** rhyton_artwork_panel_is_busy: Returns: whether something is on its way in, or a picture of it is to come. */
gboolean rhyton_artwork_panel_is_busy (RhytonArtworkPanel *self);

G_END_DECLS
