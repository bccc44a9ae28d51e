/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-document.h"

#include <gtk/gtk.h>

G_BEGIN_DECLS

#define RHYTON_TYPE_PHOTO_PAGE (rhyton_photo_page_get_type ())
/**
 * RhytonPhotoPage:
 *
 * A profile from a photograph: the picture with marks to drag (or to move with the arrow
 * keys), the measurements beside it, the outline that was found, and what it is worth.
 */
G_DECLARE_FINAL_TYPE (RhytonPhotoPage, rhyton_photo_page, RHYTON, PHOTO_PAGE, GtkWindow)

/** rhyton_photo_page_new: @document: what the profile goes to. */
GtkWidget *rhyton_photo_page_new (GtkWindow *parent, RhytonDocument *document);
/** rhyton_photo_page_open: @path: a PNG or JPEG picture, read in the background. */
void rhyton_photo_page_open (RhytonPhotoPage *self, const char *path);
/** rhyton_photo_page_is_busy: Returns: whether a picture is read or an outline searched for. */
gboolean rhyton_photo_page_is_busy (RhytonPhotoPage *self);
/** rhyton_photo_page_set_marks: in the picture's pixels. */
void rhyton_photo_page_set_marks (RhytonPhotoPage *self, RhyPoint base, RhyPoint rim);
/** rhyton_photo_page_get_text: Returns: what the page says of the profile, or of why there is none. */
const char *rhyton_photo_page_get_text (RhytonPhotoPage *self);

G_END_DECLS
