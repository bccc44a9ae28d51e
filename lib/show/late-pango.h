/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "../shape/late-gio.h"

#include <pango/pangocairo.h>

/* pango on cairo, loaded at its first use: the calls below read as if it were linked. What is
 * missing here gets linked after all, and a test says so: add it to the list and to the names.
 * Without RHY_LATE_PANGO (not an ELF system) it is linked. */
#ifdef RHY_LATE_PANGO

#define RHY_LATE_PANGO_CALLS(F) \
  F (pango_cairo_create_layout) F (pango_cairo_show_layout)                                        \
  F (pango_context_set_round_glyph_positions) F (pango_font_description_free)                      \
  F (pango_font_description_from_string) F (pango_font_description_new)                            \
  F (pango_font_description_set_absolute_size) F (pango_font_description_set_family_static)        \
  F (pango_font_description_set_weight) F (pango_layout_get_context)                               \
  F (pango_layout_get_pixel_size) F (pango_layout_get_size) F (pango_layout_set_font_description)  \
  F (pango_layout_get_lines_readonly) F (pango_layout_set_alignment) \
  F (pango_layout_set_ellipsize) F (pango_layout_set_height) F (pango_layout_set_text) F (pango_layout_set_width) F (pango_layout_set_wrap)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_PANGO_CALLS (CALL)
#undef CALL
} RhyLatePango;

const RhyLatePango *rhy_late_pango_get (void);

#ifndef RHY_LATE_PANGO_BY_NAME
#define pango_cairo_create_layout (rhy_late_pango_get ()->pango_cairo_create_layout)
#define pango_cairo_show_layout (rhy_late_pango_get ()->pango_cairo_show_layout)
#define pango_context_set_round_glyph_positions (rhy_late_pango_get ()->pango_context_set_round_glyph_positions)
#define pango_font_description_free (rhy_late_pango_get ()->pango_font_description_free)
#define pango_font_description_from_string (rhy_late_pango_get ()->pango_font_description_from_string)
#define pango_font_description_new (rhy_late_pango_get ()->pango_font_description_new)
#define pango_font_description_set_absolute_size (rhy_late_pango_get ()->pango_font_description_set_absolute_size)
#define pango_font_description_set_family_static (rhy_late_pango_get ()->pango_font_description_set_family_static)
#define pango_font_description_set_weight (rhy_late_pango_get ()->pango_font_description_set_weight)
#define pango_layout_get_context (rhy_late_pango_get ()->pango_layout_get_context)
#define pango_layout_get_pixel_size (rhy_late_pango_get ()->pango_layout_get_pixel_size)
#define pango_layout_get_size (rhy_late_pango_get ()->pango_layout_get_size)
#define pango_layout_set_font_description (rhy_late_pango_get ()->pango_layout_set_font_description)
#define pango_layout_get_lines_readonly (rhy_late_pango_get ()->pango_layout_get_lines_readonly)
#define pango_layout_set_alignment (rhy_late_pango_get ()->pango_layout_set_alignment)
#define pango_layout_set_ellipsize (rhy_late_pango_get ()->pango_layout_set_ellipsize)
#define pango_layout_set_height (rhy_late_pango_get ()->pango_layout_set_height)
#define pango_layout_set_text (rhy_late_pango_get ()->pango_layout_set_text)
#define pango_layout_set_width (rhy_late_pango_get ()->pango_layout_set_width)
#define pango_layout_set_wrap (rhy_late_pango_get ()->pango_layout_set_wrap)
#endif

#endif
