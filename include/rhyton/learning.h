/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/calibration.h>
#include <rhyton/plan.h>

G_BEGIN_DECLS

/* What test pieces taught, as a job and its machine keep it. */

/**
 * rhy_learning_from_grid_file:
 * @plan: of the job that the ruler was burnt for
 * @path: CSV with the columns height, angle, nominal_along, printed_along,
 *   nominal_around, printed_around: distances from the mark; mm and degrees
 * @travel_set_mm: travel per turn that the piece was made with
 * @u_mm: standard uncertainty of one reading
 *
 * Messages name the file and the line.
 */
RHY_API
gboolean rhy_learning_from_grid_file (RhyPlan *plan, const char *path, double travel_set_mm, double u_mm,
                                      RhyCalibration *result, GError **error);

/** rhy_learning_describe_cause: Returns: (transfer full): the cause and its value in the unit a maker reads, in one line. */
RHY_API
char *rhy_learning_describe_cause (RhyCauseKind kind, const RhyCause *cause);

/**
 * rhy_learning_advise: what else would explain what was found, and what to look at first.
 *
 * Returns: (transfer full): lines, each ending with a newline; "" where there is nothing to say
 */
RHY_API
char *rhy_learning_advise (const RhyCalibration *learnt, const RhyPlan *plan);

/** rhy_learning_to_text: Returns: (transfer full): what was learnt, for people. */
RHY_API
char *rhy_learning_to_text (const RhyCalibration *learnt, double travel_set_mm, const RhyPlan *plan);

/** rhy_learning_to_json: Returns: (transfer full): one document, keys sorted. */
RHY_API
char *rhy_learning_to_json (const RhyCalibration *learnt);

/**
 * rhy_learning_write:
 *
 * Writes the travel into the machine's file, or the job's own [Machine] where it
 * names none: all that was learnt before counts, and what stood there stays as a comment.
 *
 * Returns: (transfer full) (nullable): what was done, in one line
 */
RHY_API
char *rhy_learning_write (const RhyJob *job, const RhyCalibration *learnt, GError **error);

G_END_DECLS
