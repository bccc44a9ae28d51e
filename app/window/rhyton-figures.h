/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_FIGURES (rhyton_figures_get_type ())
/**
 * RhytonFigures:
 *
 * A list of the numbers of the job's holding or machine, each with its field; only
 * those that matter for the way the work is held are shown. Property "about":
 * "work" or "machine".
 */
G_DECLARE_FINAL_TYPE (RhytonFigures, rhyton_figures, RHYTON, FIGURES, RhytonPart)

G_END_DECLS
