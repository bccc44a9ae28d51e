/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib-object.h>

#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/* The library's immutable objects as boxed types, so that properties hold them. */
#define RHYTON_TYPE_JOB (rhyton_job_get_type ())
GType rhyton_job_get_type (void);
#define RHYTON_TYPE_PLAN (rhyton_plan_get_type ())
GType rhyton_plan_get_type (void);
#define RHYTON_TYPE_VERDICT (rhyton_verdict_get_type ())
GType rhyton_verdict_get_type (void);

G_END_DECLS
