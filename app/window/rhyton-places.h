/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PLACES (rhyton_places_get_type ())
/**
 * RhytonPlaces:
 *
 * A button with the places that the selected artwork could well have, which are those that
 * it is drawn to when dragged; a click puts it there.
 */
G_DECLARE_FINAL_TYPE (RhytonPlaces, rhyton_places, RHYTON, PLACES, RhytonPart)

/** rhyton_places_take: the selected artwork goes to the first place of that kind, if there is one. */
void rhyton_places_take (RhytonDocument *document, RhySnapKind kind);

G_END_DECLS
