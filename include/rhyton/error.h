/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/api.h>

G_BEGIN_DECLS

/**
 * RhyError:
 * @RHY_ERROR_PROFILE: the readings or the wall make no vessel
 * @RHY_ERROR_ARTWORK: the artwork cannot be read or has no ink
 * @RHY_ERROR_JOB: the job file is not one, or holds a bad value
 * @RHY_ERROR_OUTSIDE: something has no image: past the rim, behind the silhouette
 * @RHY_ERROR_NO_CONVERGENCE: an iteration met its cap
 * @RHY_ERROR_GEOMETRY: shapes that cannot be worked on
 * @RHY_ERROR_UNSUPPORTED: this build, or this format, cannot do it
 * @RHY_ERROR_LIMIT: a stated limit (size, time, memory, nesting) was met
 *
 * Codes name what a caller can do about it. Messages are one line with the
 * value found, its unit and what is allowed.
 */
typedef enum
{
  RHY_ERROR_PROFILE,
  RHY_ERROR_ARTWORK,
  RHY_ERROR_JOB,
  RHY_ERROR_OUTSIDE,
  RHY_ERROR_NO_CONVERGENCE,
  RHY_ERROR_GEOMETRY,
  RHY_ERROR_UNSUPPORTED,
  RHY_ERROR_LIMIT,
} RhyError;

#define RHY_ERROR (rhy_error_quark ())

RHY_API
GQuark rhy_error_quark (void);

G_END_DECLS
