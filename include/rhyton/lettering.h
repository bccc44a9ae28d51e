/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/intake.h>

G_BEGIN_DECLS

/** RHY_LETTERING_EM_MM: the font's em in lettering as it comes from rhy_lettering_new(). */
#define RHY_LETTERING_EM_MM 10.0

/**
 * rhy_lettering_new:
 * @text: UTF-8, one line; blanks at the ends are left off
 * @font: (nullable): family and style words, e.g. "DejaVu Serif Bold Italic"; %NULL: "serif"
 * @options: (nullable): limits, as for a file
 *
 * A line of lettering as outlines: shaped by the text engine that reads SVG text,
 * in the intake's process and under its limits. Its capitals are some 7 mm high;
 * size it with rhy_artwork_sized().
 *
 * Returns: (transfer full): the artwork; %RHY_ERROR_ARTWORK if @text has nothing to
 *   print or holds a control character.
 */
RHY_API
RhyArtwork *rhy_lettering_new (const char *text, const char *font, const RhyIntakeOptions *options,
                               GCancellable *cancellable, GError **error);

/**
 * rhy_lettering_to_svg: the SVG that rhy_lettering_new() reads: text as text.
 *
 * Returns: (transfer full): the document
 */
RHY_API
char *rhy_lettering_to_svg (const char *text, const char *font);

G_END_DECLS
