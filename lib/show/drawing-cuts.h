/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/*
 * Where a bed drawing is parted into bands: along the rotary axis, in the drawing's own
 * coordinate; @cuts: room for @n + 1, band i lies between cuts i and i + 1, the outer ones infinite.
 */
void rhy_drawing_find_cuts (const RhyPlan *plan, const RhyLineBand *bands, guint n, double *cuts);

G_END_DECLS
