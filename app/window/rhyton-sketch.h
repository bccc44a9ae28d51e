/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/* Small drawings of how something is measured: no one's vessel, nothing to scale. */

#define RHYTON_SKETCH_WIDTH  260
#define RHYTON_SKETCH_HEIGHT 160

/** RhytonPens: what a sketch is drawn with: things, what helps to see them, what is measured. */
typedef struct
{
  cairo_t  *cr;
  RhyColour ink, soft, accent;
} RhytonPens;

typedef void (*RhytonSketch) (const RhytonPens *pens);

/** rhyton_sketch_show: a sketch in the middle of @width and @height, as large as fits, in the theme's colours. */
void rhyton_sketch_show (RhytonSketch sketch, GtkWidget *widget, cairo_t *cr, double width, double height);

void rhyton_sketch_height (const RhytonPens *pens);
void rhyton_sketch_diameter (const RhytonPens *pens);
void rhyton_sketch_circumference (const RhytonPens *pens);
void rhyton_sketch_thickness (const RhytonPens *pens);
void rhyton_sketch_floor (const RhytonPens *pens);
void rhyton_sketch_capacity (const RhytonPens *pens);
void rhyton_sketch_fill (const RhytonPens *pens);
void rhyton_sketch_overall (const RhytonPens *pens);
void rhyton_sketch_slant (const RhytonPens *pens);
void rhyton_sketch_width (const RhytonPens *pens);
void rhyton_sketch_place (const RhytonPens *pens);
void rhyton_sketch_around (const RhytonPens *pens);
void rhyton_sketch_eye (const RhytonPens *pens);
void rhyton_sketch_tilt (const RhytonPens *pens);
void rhyton_sketch_reference (const RhytonPens *pens);
void rhyton_sketch_wobble (const RhytonPens *pens);
void rhyton_sketch_axis (const RhytonPens *pens);
void rhyton_sketch_nozzle_top (const RhytonPens *pens);
void rhyton_sketch_distance (const RhytonPens *pens);
void rhyton_sketch_rollers (const RhytonPens *pens);
void rhyton_sketch_travel (const RhytonPens *pens);
void rhyton_sketch_contact (const RhytonPens *pens);
void rhyton_sketch_support (const RhytonPens *pens);
void rhyton_sketch_droop (const RhytonPens *pens);
void rhyton_sketch_defocus (const RhytonPens *pens);
void rhyton_sketch_focus_depth (const RhytonPens *pens);
void rhyton_sketch_head (const RhytonPens *pens);
void rhyton_sketch_tilt_limits (const RhytonPens *pens);
void rhyton_sketch_jaws (const RhytonPens *pens);
void rhyton_sketch_tailstock (const RhytonPens *pens);
void rhyton_sketch_pins (const RhytonPens *pens);
void rhyton_sketch_bed (const RhytonPens *pens);
void rhyton_sketch_zone_edges (const RhytonPens *pens);
void rhyton_sketch_zone_around (const RhytonPens *pens);
void rhyton_sketch_tall (const RhytonPens *pens);
void rhyton_sketch_turn (const RhytonPens *pens);
void rhyton_sketch_spread (const RhytonPens *pens);
void rhyton_sketch_lettering (const RhytonPens *pens);
void rhyton_sketch_camera (const RhytonPens *pens);

G_END_DECLS
