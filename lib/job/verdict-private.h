/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/holds.h>
#include <rhyton/verdict.h>

struct _RhyVerdict
{
  GPtrArray    *findings;       /* RhyFinding, worst first */
  RhyPlan      *plan;
  const RhyPlan *part;          /* while checking: the artwork it is about; NULL: all of them */
  RhyHolding   *holding;        /* the job's own way */
  GCancellable *cancellable;    /* (nullable): while it is made */
};

/* @message: (transfer full) */
void rhy_verdict_find (RhyVerdict *self, RhyLevel level, const char *code, char *message,
                       double height_mm, double angle_rad);

/* The last finding can be mended so. @value: (transfer full) */
void rhy_verdict_mend (RhyVerdict *self, const char *label, const char *group, const char *key, char *value);

/* One artwork, self->part: its place on the wall, zones, stretch, and what it is made of. */
void rhy_verdict_check_artwork (RhyVerdict *self);

/* Each artwork against the others. */
void rhy_verdict_check_pairs (RhyVerdict *self);

/* What has no outlines: what is drawn of it, and what is not. */
void rhy_verdict_check_pictures (RhyVerdict *self);

/* What is too narrow for a beam; in verdict-detail.c. */
void rhy_verdict_check_detail (RhyVerdict *self);

/* Holding, clearance, focus, tilt, rollers and zones that make no sense. */
void rhy_verdict_check_hold (RhyVerdict *self);
