/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-types.h"

G_DEFINE_BOXED_TYPE (RhyJob, rhyton_job, rhy_job_ref, rhy_job_unref)
G_DEFINE_BOXED_TYPE (RhyPlan, rhyton_plan, rhy_plan_ref, rhy_plan_unref)
G_DEFINE_BOXED_TYPE (RhyVerdict, rhyton_verdict, rhy_verdict_ref, rhy_verdict_unref)
