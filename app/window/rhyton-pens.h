/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-sketch.h"

G_BEGIN_DECLS

/* What the sketches are drawn with: lines, and the things that several of them show. */

/** rhyton_pens_ink: the colour of what is drawn next. */
void rhyton_pens_ink (const RhytonPens *p, RhyColour c, double alpha);
/** rhyton_pens_stroke: what has been traced. */
void rhyton_pens_stroke (const RhytonPens *p, RhyColour c, double width);
/** rhyton_pens_solid: filled lightly and outlined, what has been traced. */
void rhyton_pens_solid (const RhytonPens *p, double shade, double width);
/** rhyton_pens_line: from here to there. */
void rhyton_pens_line (const RhytonPens *p, RhyColour c, double width, double x0, double y0, double x1, double y1);
/** rhyton_pens_dashed: what only helps to see. */
void rhyton_pens_dashed (const RhytonPens *p, RhyColour c, double x0, double y0, double x1, double y1);
/** rhyton_pens_head: of an arrow. */
void rhyton_pens_head (const RhytonPens *p, double x, double y, double angle);
/** rhyton_pens_measure: what is measured: a line with a head at either end. */
void rhyton_pens_measure (const RhytonPens *p, double x0, double y0, double x1, double y1);
/** rhyton_pens_say: @along: 0 begins at @x, 0.5 is in the middle there, 1 ends there. */
void rhyton_pens_say (const RhytonPens *p, RhyColour c, double x, double y, double along, const char *text);
/** rhyton_pens_ellipse: traces a part of one. */
void rhyton_pens_ellipse (const RhytonPens *p, double x, double y, double rx, double ry, double from, double to);
/** rhyton_pens_table: what things stand on. */
void rhyton_pens_table (const RhytonPens *p, double x0, double x1, double y);
/** rhyton_pens_glass: standing on @y, seen a little from above. */
void rhyton_pens_glass (const RhytonPens *p, double x, double y, double base, double rim, double height);
/** rhyton_pens_cross: a mark. */
void rhyton_pens_cross (const RhytonPens *p, RhyColour c, double x, double y, double size);
/** rhyton_pens_hatch: what has been traced, cut open. */
void rhyton_pens_hatch (const RhytonPens *p, double x0, double y0, double x1, double y1);
/** rhyton_pens_disc: seen along its axis. */
void rhyton_pens_disc (const RhytonPens *p, double x, double y, double r, double shade);

G_END_DECLS
