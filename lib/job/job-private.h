/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>
#include <rhyton/readings.h>

/* What was measured, borrowed from the job. */
RhyReadings rhy_job_readings (const RhyJob *job);
