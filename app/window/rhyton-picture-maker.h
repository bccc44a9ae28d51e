/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PICTURE_MAKER (rhyton_picture_maker_get_type ())
/**
 * RhytonPictureMaker:
 *
 * A picture of the vessel with what the machine will burn on it, to be shown before anything is burnt.
 */
G_DECLARE_FINAL_TYPE (RhytonPictureMaker, rhyton_picture_maker, RHYTON, PICTURE_MAKER, RhytonPart)

/** rhyton_picture_maker_save_to: as it is set. */
void rhyton_picture_maker_save_to (RhytonPictureMaker *self, GFile *file);

G_END_DECLS
