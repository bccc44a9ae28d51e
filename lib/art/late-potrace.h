/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <potracelib.h>

/* potrace, loaded at its first use: the calls below read as if it were linked. What is
 * missing here gets linked after all, and a test says so: add it to the list and to the names.
 * Without RHY_LATE_POTRACE (not an ELF system) it is linked. */
#ifdef RHY_LATE_POTRACE

#define RHY_LATE_POTRACE_CALLS(F) \
  F (potrace_param_default) \
  F (potrace_param_free) \
  F (potrace_state_free) \
  F (potrace_trace)

typedef struct
{
#define CALL(name) __typeof__ (name) *name;
  RHY_LATE_POTRACE_CALLS (CALL)
#undef CALL
} RhyLatePotrace;

const RhyLatePotrace *rhy_late_potrace_get (void);

#ifndef RHY_LATE_POTRACE_BY_NAME
#define potrace_param_default (rhy_late_potrace_get ()->potrace_param_default)
#define potrace_param_free (rhy_late_potrace_get ()->potrace_param_free)
#define potrace_state_free (rhy_late_potrace_get ()->potrace_state_free)
#define potrace_trace (rhy_late_potrace_get ()->potrace_trace)
#endif

#endif
