/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhy-test.h"

#include <rhyton/plan.h>

#include <string.h>

/* Plans of small jobs with artwork made here, so that what is expected can be said by hand. */

static inline RhyPath *
rectangle (double x,
           double y,
           double w,
           double h)
{
  RhyPath *p = rhy_path_new ();
  rhy_path_move_to (p, x, y);
  rhy_path_line_to (p, x + w, y);
  rhy_path_line_to (p, x + w, y + h);
  rhy_path_line_to (p, x, y + h);
  rhy_path_close (p);
  return p;
}

static inline void
add_rectangle (RhyArtworkBuilder *builder,
               double             x,
               double             y,
               double             w,
               double             h)
{
  const RhyShape shape = { .path = rectangle (x, y, w, h),
                           .has_fill = TRUE,
                           .fill = { 0.0, 0.0, 0.0, 1.0 },
                           .pen.matrix = RHY_AFFINE_IDENTITY };
  rhy_artwork_builder_add_shape (builder, &shape);
}

/* One rectangle, its middle at (0, 0). */
static inline RhyArtwork *
block (double w,
       double h)
{
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add_rectangle (builder, -0.5 * w, -0.5 * h, w, h);
  rhy_artwork_builder_set_size (builder, w, h, RHY_SIZE_PHYSICAL);
  return rhy_artwork_builder_end (builder);
}

/* @artwork: (transfer full) */
static inline RhyPlan *
plan_of (const char *job_text,
         RhyArtwork *artwork,
         GError    **error)
{
  g_autoptr (GError) local = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (job_text, -1, NULL, &local);
  assert_no_error (local);
  RhyPlan *plan = rhy_plan_new (job, artwork, NULL, error);
  rhy_artwork_unref (artwork);
  return plan;
}

static inline RhyPlan *
good_plan (const char *job_text,
           RhyArtwork *artwork)
{
  g_autoptr (GError) error = NULL;
  RhyPlan *plan = plan_of (job_text, artwork, &error);
  assert_no_error (error);
  return plan;
}

/* A cylinder of radius 30 and height 100, and a 3-4-5 cone: base 60, rim 120, height 40,
 * slope atan (30/40), slant 50. */
#define CYLINDER "[Vessel]\nHeights=0;100\nDiameters=60;60\n"
#define CONE     "[Vessel]\nHeights=0;40\nDiameters=60;120\n"
