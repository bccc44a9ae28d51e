/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_PICTURE_OPTIONS (rhyton_picture_options_get_type ())
/**
 * RhytonPictureOptions:
 *
 * How the pictures and gradients of the selected artwork come out: in shades, in
 * dots, in their own colours, or traced. Not to be seen where it has none.
 */
G_DECLARE_FINAL_TYPE (RhytonPictureOptions, rhyton_picture_options, RHYTON, PICTURE_OPTIONS, RhytonPart)

G_END_DECLS
