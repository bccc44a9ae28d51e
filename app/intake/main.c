/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#ifdef __GLIBC__
#include <malloc.h>
#endif

#include <rhyton/intake.h>

#include "bounds.h"
#include "picture.h"
#include "render.h"
#include "source.h"

static const char usage[] =
  "Usage: rhyton-intake [--seconds=N] [--memory=MIB] [--bytes=N] [--points=N] [--layer=ID] < DRAWING | READER\n"
  "\n"
  "Reads a drawing from strangers on behalf of Rhyton, in a process of its own and\n"
  "under limits, and writes its outlines to a pipe. Not meant to be run by hand.\n";

static double
number_after (const char *text)
{
  char *end;
  const double value = g_ascii_strtod (text, &end);
  return *end == '\0' && value > 0.0 && isfinite (value) ? value : NAN;
}

int
main (int    argc,
      char **argv)
{
  double seconds = 10.0;
  double memory_mb = 1024.0;
  double bytes = 64.0 * 1024.0 * 1024.0;
  double points = RHY_INTAKE_POINTS_MAX;
  const char *layer = NULL;

  for (int i = 1; i < argc; i++)
    {
      if (g_str_has_prefix (argv[i], "--seconds="))
        seconds = number_after (argv[i] + 10);
      else if (g_str_has_prefix (argv[i], "--memory="))
        memory_mb = number_after (argv[i] + 9);
      else if (g_str_has_prefix (argv[i], "--bytes="))
        bytes = number_after (argv[i] + 8);
      else if (g_str_has_prefix (argv[i], "--points="))
        points = number_after (argv[i] + 9);
      else if (g_str_has_prefix (argv[i], "--layer="))
        layer = argv[i] + 8;
      else if (strcmp (argv[i], "--help") == 0)
        return fputs (usage, stdout) < 0;
      else if (strcmp (argv[i], "--version") == 0)
        return puts ("rhyton-intake " RHYTON_VERSION) < 0;
      else
        return fputs (usage, stderr), 2;
    }
  if (!(seconds > 0.0 && memory_mb >= 16.0 && memory_mb < 1e6 && bytes >= 1.0 && bytes < 1e12 && points >= 1.0 && points < 1e12))
    return fputs (usage, stderr), 2;

#ifdef __GLIBC__
  /* Fixed: left to itself it rises with what is freed, and then holes of many MB stay between blocks. */
  mallopt (M_MMAP_THRESHOLD, 1024 * 1024);
#endif
  bounds_set (seconds, (guint) memory_mb);
  Wire wire;
  wire_begin (&wire);
  wire.points_max = (guint64) points;
  GBytes *source = source_read (&wire, (gsize) bytes);
  if (picture_is_one (source))
    picture_send (&wire, source, layer);
  else
    render_send (&wire, source, layer);
  /* Nothing is left to do, and tearing down a million nodes takes time. */
  _exit (0);
}
