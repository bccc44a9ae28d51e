/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/paper.h>
#include <rhyton/verdict.h>

G_BEGIN_DECLS

/**
 * RhySheetOptions:
 * @paper: of one page
 * @power: (nullable): as the maker enters it, e.g. "65 %"; %NULL leaves a line to write on
 * @speed: (nullable): likewise
 * @lines: (nullable): lines per mm or their distance, likewise
 */
typedef struct
{
  RhyPaper    paper;
  const char *power;
  const char *speed;
  const char *lines;
} RhySheetOptions;

#define RHY_SHEET_OPTIONS_INIT { .paper = RHY_PAPER_A4, .power = NULL, .speed = NULL, .lines = NULL }

/**
 * rhy_sheet_new:
 * @verdict: of @plan
 *
 * The setup sheet, two pages of PDF or, where names and findings are long, more: the verdict, the vessel with its measures and
 * the artwork in place, what to set on the machine, the steps to tick off, cautions,
 * and room for what happened. Same job, same bytes. A job that is not ready says so
 * first.
 *
 * Returns: (transfer full): the file
 */
RHY_API
GBytes *rhy_sheet_new (RhyPlan *plan, RhyVerdict *verdict, const RhySheetOptions *options, GError **error);

G_END_DECLS
