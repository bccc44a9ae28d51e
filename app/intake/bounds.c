/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "bounds.h"

#include <math.h>
#include <signal.h>
#include <sys/resource.h>
#include <unistd.h>

#include <rhyton/intake.h>

/* An address sanitizer reserves terabytes of address space and cannot live
 * under a limit on it. */
#if defined(__SANITIZE_ADDRESS__)
#define SANITIZED 1
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define SANITIZED 1
#endif
#endif

/* Never above what the system allows already. */
static void
bind_to (int    what,
         rlim_t soft,
         rlim_t hard)
{
  struct rlimit now;
  if (getrlimit (what, &now) != 0)
    return;
  const struct rlimit limit = { MIN (soft, now.rlim_max), MIN (hard, now.rlim_max) };
  setrlimit (what, &limit);
}

void
bounds_set (double seconds,
            guint  memory_mb)
{
  /* In whole seconds: the parent looks more closely. */
  const rlim_t cpu = (rlim_t) CLAMP (ceil (seconds), 1.0, 86400.0);
  bind_to (RLIMIT_CPU, cpu, cpu + 1);
  signal (SIGXFSZ, SIG_IGN);    /* a font cache that cannot be written is no reason to die */
  bind_to (RLIMIT_FSIZE, 0, 0);
  bind_to (RLIMIT_CORE, 0, 0);
  bind_to (RLIMIT_NOFILE, 64, 64);
  bind_to (RLIMIT_STACK, 64 << 20, 64 << 20);
#ifndef SANITIZED
  bind_to (RLIMIT_AS, (rlim_t) memory_mb << 20, (rlim_t) memory_mb << 20);
#else
  (void) memory_mb;
#endif
  /* Should the parent be gone, processor time alone would not end a sleeper. */
  alarm ((unsigned) (RHY_INTAKE_PATIENCE * (double) cpu) + 2);

  /* What the parent had open is none of a stranger's business. */
#ifdef __linux__
  if (close_range (3, ~0U, 0) != 0)
#endif
    for (int fd = 3; fd < 1024; fd++)
      close (fd);
}
