/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/holding.h>
#include <rhyton/plan.h>

G_BEGIN_DECLS

/** rhy_job_way: Returns: how the job holds its vessel: Drive=, End= and Grip=. */
RHY_API
RhyWay rhy_job_way (const RhyJob *job);

/**
 * rhy_plan_hold:
 * @way: the job's own (rhy_job_way()), or another to be looked at: then the zones for jaws and
 *   tailstock, its support and its sag, which belong to the job's own way, are left out and the tilt is
 *   the best there
 * @cancellable: (nullable)
 *
 * Returns: (transfer full) (nullable): the plan's drawing held that way on the job's machine; %NULL
 *   only if cancelled.
 */
RHY_API
RhyHolding *rhy_plan_hold (const RhyPlan *plan, RhyWay way, GCancellable *cancellable);

/** rhy_plan_hold_at: Returns: (transfer full): the job's own way, with the beam at one wall point and nowhere else. */
RHY_API
RhyHolding *rhy_plan_hold_at (const RhyPlan *plan, RhyWallPoint at);

/**
 * RhyHoldRow:
 * @support: what helps the chuck
 * @is_own: whether it is the job's own way
 * @holding: (transfer full): the drawing held so
 * @part_name: (nullable): of several artworks, the one that has least room to grow
 * @width_mm, @height_mm: the largest that it can be about a mark in the middle of the
 *   reach, clear of every zone; 0 if it fits at no size, or there is no ink
 * @forbids: (nullable): what stands against it, one line
 */
typedef struct
{
  RhyWay      way;
  RhySupport  support;
  gboolean    is_own;
  RhyHolding *holding;
  char       *part_name;
  double      width_mm, height_mm;
  char       *forbids;
} RhyHoldRow;

/**
 * rhy_plan_compare_holds:
 * @cancellable: (nullable)
 *
 * Returns: (transfer full) (element-type RhyHoldRow) (nullable): every way of holding, those that nothing
 *   stands against first, then by reach; %NULL only if cancelled.
 */
RHY_API
GPtrArray *rhy_plan_compare_holds (const RhyPlan *plan, GCancellable *cancellable);

/** rhy_hold_rows_to_text: Returns: (transfer full): a table for a terminal. */
RHY_API
char *rhy_hold_rows_to_text (const GPtrArray *rows);
/** rhy_hold_rows_to_json: Returns: (transfer full): the same as an array, sorted keys, ending with a newline. */
RHY_API
char *rhy_hold_rows_to_json (const GPtrArray *rows);

G_END_DECLS
