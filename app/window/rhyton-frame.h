/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gtk/gtk.h>

#include "rhyton-grip.h"

G_BEGIN_DECLS

/* The frame round the artwork with its handles, as any view shows it. */

/** RhytonLocate: where in a view a wall point is seen; Returns: %FALSE if it is not. */
typedef gboolean (*RhytonLocate) (gpointer view, RhyWallPoint at, double *x, double *y);

/** rhyton_frame_hit: Returns: the handle at a pixel: a corner or the turn knob, else none. */
RhytonHandle rhyton_frame_hit (const RhyPlan *plan, RhytonLocate locate, gpointer view, double x, double y);

/** rhyton_frame_draw: @plan: of one artwork. */
void rhyton_frame_draw (GtkWidget *widget, cairo_t *cr, const RhyPlan *plan, RhytonLocate locate);
/** rhyton_frame_outline: the frame without its handles, of artwork that a click would select. */
void rhyton_frame_outline (GtkWidget *widget, cairo_t *cr, const RhyPlan *plan, RhytonLocate locate);
/** rhyton_frame_outline_zone: the edges of the job's zone @i. */
void rhyton_frame_outline_zone (GtkWidget *widget, cairo_t *cr, const RhyPlan *plan, gsize i, RhytonLocate locate);
/**
 * rhyton_frame_guide:
 * @is_distance: with an end mark either side and @words at its middle; else dashed, @words at its end
 *
 * A line on the wall that artwork was drawn to.
 */
void rhyton_frame_guide (GtkWidget *widget, cairo_t *cr, RhytonLocate locate, const RhyWallPoint line[2],
                         gboolean is_distance, const char *words);
/** rhyton_frame_note: lines of text at the foot of the view. */
void rhyton_frame_note (GtkWidget *widget, cairo_t *cr, const char *note);

/** rhyton_frame_corner: where a corner (0 to 3, from the lower left round) is on the wall. */
gboolean rhyton_frame_corner (const RhyPlan *plan, int corner, RhyWallPoint *at);
/** rhyton_frame_knob: where the turn knob is on the wall. */
gboolean rhyton_frame_knob (const RhyPlan *plan, RhyWallPoint *at);

/** rhyton_frame_ring: a ring around a wall point, to lead the eye there; nothing where it is out of sight. */
void rhyton_frame_ring (GtkWidget *widget, cairo_t *cr, RhytonLocate locate, RhyWallPoint at);

G_END_DECLS
