/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/holds.h>
#include <rhyton/verdict.h>

struct _RhyVerdict
{
  GPtrArray    *findings;       /* RhyFinding, worst first */
  RhyPlan      *plan;
  RhyHolding   *holding;        /* the job's own way */
  GCancellable *cancellable;    /* (nullable): while it is made */
};

/* @message: (transfer full) */
void rhy_verdict_find (RhyVerdict *self, RhyLevel level, const char *code, char *message,
                       double height_mm, double angle_rad);

/* What has no outlines: what is drawn of it, and what is not. */
void rhy_verdict_check_pictures (RhyVerdict *self);

/* Holding, clearance, focus, tilt, rollers and zones that make no sense. */
void rhy_verdict_check_hold (RhyVerdict *self);
