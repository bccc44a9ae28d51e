/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

/*
 * A plan is of one artwork, or of several: then it holds one plan for each, and
 * stands for the first of them but for what is common: numbers over all the ink,
 * the drive, the unroll.
 */
struct _RhyPlan
{
  RhyJob              *job;
  const RhyJobArtwork *group;   /* the job's */
  GPtrArray           *parts;   /* RhyPlan, one for each artwork; NULL: there is one artwork */
  RhyWall             *wall;
  RhyFit               fit;     /* fit.wall is the wall */
  RhyProfileReport     profile; /* n_rows 0: readings */
  RhyArtwork          *source;
  RhyArtwork          *unit;    /* one copy, sized */
  RhyArtPoint         *unit_ink;
  gsize                n_unit_ink;
  RhyArtwork          *artwork; /* all copies */
  RhyMap              *lay;
  RhyMap              *drive;
  RhyMap              *unroll;
  RhyConic             conic;   /* of the unroll */
  RhyWallPoint         mark;    /* of the drive: the first artwork's anchor */
  RhyArtPoint         *ink;
  gsize                n_ink;
  double               spacing_mm;
  RhyPlanNumbers       numbers;
  gsize                stretch_known;   /* g_once_init_enter() */
  RhyStretchRange      stretch;
};

/* The job's file, for messages. */
const char *rhy_plan_name (const RhyPlan *self);

/* Whether the group names anything to burn. */
gboolean rhy_plan_has_artwork (const RhyJobArtwork *group);

/*
 * Sizes the source, lays it on the wall and measures where it comes to lie: fills in
 * what a plan has of its own artwork. A unit that is there already is taken as it is.
 */
gboolean rhy_plan_place (RhyPlan *self, GCancellable *cancellable, GError **error);

/*
 * RhyReach: how far the ink of one copy comes: slants, angles. None: low above high.
 */
typedef struct
{
  double s_low, s_high, a_low, a_high;
} RhyReach;

/* Where one copy of the ink would come to lie with its anchor there; what is off the wall is left out. */
RhyReach rhy_plan_reach_at (const RhyPlan *self, RhyWallPoint anchor);

/*
 * The wall carried on straight past both ends, so that what overhangs has a place, and
 * the lay on it. @below_mm: (out): how much further down slants start. NULL where there
 * is no such lay.
 */
RhyMap *rhy_plan_lay_carried_on (const RhyPlan *self, RhyWall **wall, double *below_mm);

/* The plan's drive on another wall, about another mark. */
RhyMap *rhy_plan_drive_on (const RhyPlan *self, RhyWall *wall, RhyWallPoint mark, GError **error);
