/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>
#include <rhyton/readings.h>

/* What was measured, borrowed from the job; @slant holds the one slant length, if there is one. */
RhyReadings rhy_job_readings (const RhyJob *job, RhySlant *slant);
