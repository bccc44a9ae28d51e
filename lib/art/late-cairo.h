/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <cairo-pdf.h>

/* cairo, loaded at its first use: the calls below read as if it were linked. What is
 * missing here gets linked after all, and a test says so: add it to the list and to the names.
 * Without RHY_LATE_CAIRO (not an ELF system), or in a program that always paints and says
 * RHY_CAIRO_LINKED, it is linked. */
#if defined (RHY_LATE_CAIRO) && !defined (RHY_CAIRO_LINKED)

#define RHY_LATE_CAIRO_CALLS(F) \
  F (cairo_arc) F (cairo_arc_negative) F (cairo_clip) F (cairo_close_path) F (cairo_create)        \
  F (cairo_curve_to) F (cairo_destroy) F (cairo_fill) F (cairo_fill_preserve)                      \
  F (cairo_font_options_create) F (cairo_font_options_destroy)                                     \
  F (cairo_font_options_set_hint_metrics) F (cairo_font_options_set_hint_style)                    \
  F (cairo_get_matrix) F (cairo_get_source) F (cairo_image_surface_create) F (cairo_image_surface_create_for_data)      \
  F (cairo_image_surface_create_from_png) F (cairo_image_surface_get_data) F (cairo_image_surface_get_stride) F (cairo_line_to)            \
  F (cairo_matrix_invert) F (cairo_move_to) F (cairo_new_path) F (cairo_paint)                     \
  F (cairo_paint_with_alpha) F (cairo_path_extents) F (cairo_pattern_add_color_stop_rgb)           \
  F (cairo_pattern_add_color_stop_rgba) F (cairo_pattern_create_for_surface)                       \
  F (cairo_pattern_create_linear) F (cairo_pattern_create_radial) F (cairo_pattern_destroy)        \
  F (cairo_pattern_set_extend) F (cairo_pattern_set_filter) F (cairo_pattern_set_matrix)           \
  F (cairo_pop_group_to_source) F (cairo_push_group) F (cairo_set_antialias)                       \
  F (cairo_pdf_surface_create_for_stream) F (cairo_pdf_surface_set_metadata)                       \
  F (cairo_recording_surface_create) F (cairo_rectangle) F (cairo_restore) F (cairo_rotate)        \
  F (cairo_save) F (cairo_scale) F (cairo_select_font_face) F (cairo_set_dash)                     \
  F (cairo_set_fill_rule) F (cairo_set_font_options) F (cairo_set_font_size)                       \
  F (cairo_set_line_cap) F (cairo_set_line_join) F (cairo_set_line_width)                          \
  F (cairo_set_miter_limit) F (cairo_set_operator) F (cairo_set_source) F (cairo_set_source_rgb)                          \
  F (cairo_set_source_rgba) F (cairo_set_source_surface) F (cairo_show_page) F (cairo_show_text)   \
  F (cairo_status) F (cairo_status_to_string) F (cairo_stroke) F (cairo_surface_destroy)           \
  F (cairo_surface_finish) F (cairo_surface_flush) F (cairo_surface_mark_dirty)                    \
  F (cairo_surface_set_user_data) F (cairo_surface_status) F (cairo_surface_write_to_png_stream)   \
  F (cairo_text_extents) F (cairo_transform) F (cairo_translate)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_CAIRO_CALLS (CALL)
#undef CALL
} RhyLateCairo;

const RhyLateCairo *rhy_late_cairo_get (void);

#ifndef RHY_LATE_CAIRO_BY_NAME
#define cairo_arc (rhy_late_cairo_get ()->cairo_arc)
#define cairo_arc_negative (rhy_late_cairo_get ()->cairo_arc_negative)
#define cairo_clip (rhy_late_cairo_get ()->cairo_clip)
#define cairo_close_path (rhy_late_cairo_get ()->cairo_close_path)
#define cairo_create (rhy_late_cairo_get ()->cairo_create)
#define cairo_curve_to (rhy_late_cairo_get ()->cairo_curve_to)
#define cairo_destroy (rhy_late_cairo_get ()->cairo_destroy)
#define cairo_fill (rhy_late_cairo_get ()->cairo_fill)
#define cairo_fill_preserve (rhy_late_cairo_get ()->cairo_fill_preserve)
#define cairo_font_options_create (rhy_late_cairo_get ()->cairo_font_options_create)
#define cairo_font_options_destroy (rhy_late_cairo_get ()->cairo_font_options_destroy)
#define cairo_font_options_set_hint_metrics (rhy_late_cairo_get ()->cairo_font_options_set_hint_metrics)
#define cairo_font_options_set_hint_style (rhy_late_cairo_get ()->cairo_font_options_set_hint_style)
#define cairo_get_matrix (rhy_late_cairo_get ()->cairo_get_matrix)
#define cairo_get_source (rhy_late_cairo_get ()->cairo_get_source)
#define cairo_image_surface_create (rhy_late_cairo_get ()->cairo_image_surface_create)
#define cairo_image_surface_create_for_data (rhy_late_cairo_get ()->cairo_image_surface_create_for_data)
#define cairo_image_surface_create_from_png (rhy_late_cairo_get ()->cairo_image_surface_create_from_png)
#define cairo_image_surface_get_data (rhy_late_cairo_get ()->cairo_image_surface_get_data)
#define cairo_image_surface_get_stride (rhy_late_cairo_get ()->cairo_image_surface_get_stride)
#define cairo_line_to (rhy_late_cairo_get ()->cairo_line_to)
#define cairo_matrix_invert (rhy_late_cairo_get ()->cairo_matrix_invert)
#define cairo_move_to (rhy_late_cairo_get ()->cairo_move_to)
#define cairo_new_path (rhy_late_cairo_get ()->cairo_new_path)
#define cairo_paint (rhy_late_cairo_get ()->cairo_paint)
#define cairo_paint_with_alpha (rhy_late_cairo_get ()->cairo_paint_with_alpha)
#define cairo_path_extents (rhy_late_cairo_get ()->cairo_path_extents)
#define cairo_pattern_add_color_stop_rgb (rhy_late_cairo_get ()->cairo_pattern_add_color_stop_rgb)
#define cairo_pattern_add_color_stop_rgba (rhy_late_cairo_get ()->cairo_pattern_add_color_stop_rgba)
#define cairo_pattern_create_for_surface (rhy_late_cairo_get ()->cairo_pattern_create_for_surface)
#define cairo_pattern_create_linear (rhy_late_cairo_get ()->cairo_pattern_create_linear)
#define cairo_pattern_create_radial (rhy_late_cairo_get ()->cairo_pattern_create_radial)
#define cairo_pattern_destroy (rhy_late_cairo_get ()->cairo_pattern_destroy)
#define cairo_pattern_set_extend (rhy_late_cairo_get ()->cairo_pattern_set_extend)
#define cairo_pattern_set_filter (rhy_late_cairo_get ()->cairo_pattern_set_filter)
#define cairo_pattern_set_matrix (rhy_late_cairo_get ()->cairo_pattern_set_matrix)
#define cairo_pop_group_to_source (rhy_late_cairo_get ()->cairo_pop_group_to_source)
#define cairo_push_group (rhy_late_cairo_get ()->cairo_push_group)
#define cairo_set_antialias (rhy_late_cairo_get ()->cairo_set_antialias)
#define cairo_pdf_surface_create_for_stream (rhy_late_cairo_get ()->cairo_pdf_surface_create_for_stream)
#define cairo_pdf_surface_set_metadata (rhy_late_cairo_get ()->cairo_pdf_surface_set_metadata)
#define cairo_recording_surface_create (rhy_late_cairo_get ()->cairo_recording_surface_create)
#define cairo_rectangle (rhy_late_cairo_get ()->cairo_rectangle)
#define cairo_restore (rhy_late_cairo_get ()->cairo_restore)
#define cairo_rotate (rhy_late_cairo_get ()->cairo_rotate)
#define cairo_save (rhy_late_cairo_get ()->cairo_save)
#define cairo_scale (rhy_late_cairo_get ()->cairo_scale)
#define cairo_select_font_face (rhy_late_cairo_get ()->cairo_select_font_face)
#define cairo_set_dash (rhy_late_cairo_get ()->cairo_set_dash)
#define cairo_set_fill_rule (rhy_late_cairo_get ()->cairo_set_fill_rule)
#define cairo_set_font_options (rhy_late_cairo_get ()->cairo_set_font_options)
#define cairo_set_font_size (rhy_late_cairo_get ()->cairo_set_font_size)
#define cairo_set_line_cap (rhy_late_cairo_get ()->cairo_set_line_cap)
#define cairo_set_line_join (rhy_late_cairo_get ()->cairo_set_line_join)
#define cairo_set_line_width (rhy_late_cairo_get ()->cairo_set_line_width)
#define cairo_set_miter_limit (rhy_late_cairo_get ()->cairo_set_miter_limit)
#define cairo_set_operator (rhy_late_cairo_get ()->cairo_set_operator)
#define cairo_set_source (rhy_late_cairo_get ()->cairo_set_source)
#define cairo_set_source_rgb (rhy_late_cairo_get ()->cairo_set_source_rgb)
#define cairo_set_source_rgba (rhy_late_cairo_get ()->cairo_set_source_rgba)
#define cairo_set_source_surface (rhy_late_cairo_get ()->cairo_set_source_surface)
#define cairo_show_page (rhy_late_cairo_get ()->cairo_show_page)
#define cairo_show_text (rhy_late_cairo_get ()->cairo_show_text)
#define cairo_status (rhy_late_cairo_get ()->cairo_status)
#define cairo_status_to_string (rhy_late_cairo_get ()->cairo_status_to_string)
#define cairo_stroke (rhy_late_cairo_get ()->cairo_stroke)
#define cairo_surface_destroy (rhy_late_cairo_get ()->cairo_surface_destroy)
#define cairo_surface_finish (rhy_late_cairo_get ()->cairo_surface_finish)
#define cairo_surface_flush (rhy_late_cairo_get ()->cairo_surface_flush)
#define cairo_surface_mark_dirty (rhy_late_cairo_get ()->cairo_surface_mark_dirty)
#define cairo_surface_set_user_data (rhy_late_cairo_get ()->cairo_surface_set_user_data)
#define cairo_surface_status (rhy_late_cairo_get ()->cairo_surface_status)
#define cairo_surface_write_to_png_stream (rhy_late_cairo_get ()->cairo_surface_write_to_png_stream)
#define cairo_text_extents (rhy_late_cairo_get ()->cairo_text_extents)
#define cairo_transform (rhy_late_cairo_get ()->cairo_transform)
#define cairo_translate (rhy_late_cairo_get ()->cairo_translate)
#endif

#endif
