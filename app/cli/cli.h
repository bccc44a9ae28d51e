/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/rhyton.h>

/* Exit statuses, documented and stable. */
enum
{
  CLI_DONE = 0,                 /* done, or ready */
  CLI_NOT_READY = 1,            /* read, but the job is not ready */
  CLI_BAD = 2,                  /* bad usage, bad data, or nothing could be written */
};

/* One a verb; @argv[0] is the verb. Each returns an exit status. */
int cli_new (int argc, char **argv);
int cli_check (int argc, char **argv);
int cli_wrap (int argc, char **argv);
int cli_pattern (int argc, char **argv);
int cli_view (int argc, char **argv);
int cli_proof (int argc, char **argv);
int cli_points (int argc, char **argv);
int cli_hold (int argc, char **argv);
int cli_sheet (int argc, char **argv);
int cli_machines (int argc, char **argv);
int cli_batch (int argc, char **argv);
int cli_piece (int argc, char **argv);
int cli_learn (int argc, char **argv);
int cli_profile (int argc, char **argv);
int cli_vessels_verb (int argc, char **argv);

/*
 * Reads options. @arguments and what follows them: "JOB", "JOB DRAWING.svg"; exactly
 * that many are allowed. FALSE: the caller returns *@status (help was printed, or
 * the usage was wrong).
 */
gboolean cli_options (int *argc, char ***argv, const GOptionEntry *entries,
                      const char *arguments, const char *summary, const char *description, int *status);

/* "rhyton-cli: FILE: what is wrong"; @error is freed. @file is NULL where the message names one
 * already, as those of jobs and plans do. Returns the exit status for it. */
int cli_fail (const char *file, GError *error);
int cli_usage (const char *verb, const char *format, ...) G_GNUC_PRINTF (2, 3);

/* What messages call a JOB argument. */
const char *cli_job_name (const char *argument);

/* A job by its name, "-" for standard input. */
RhyJob *cli_job (const char *name, GError **error);
RhyPlan *cli_plan (const char *name, GError **error);

/* --bands and --line-distance: instead of what the job says. */
typedef struct { char *n, *distance; } CliBands;
#define CLI_BANDS_ENTRIES(bands) \
  { "bands", 0, 0, G_OPTION_ARG_STRING, &(bands).n, "Areas in so many bands at most, each with its line distance", "N" }, \
  { "line-distance", 0, 0, G_OPTION_ARG_STRING, &(bands).distance, "Line distance wanted on the wall, mm (default 0.1)", "MM" }

/* The job by its name with those, and its plan. */
RhyJob *cli_job_with_bands (const char *name, const CliBands *bands, GError **error);
RhyPlan *cli_plan_with_bands (const char *name, const CliBands *bands, GError **error);
void cli_bands_clear (CliBands *bands);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (CliBands, cli_bands_clear)

/* The catalogue of blanks; what is wrong with the user's own is said on standard error. */
RhyVessels *cli_vessels (void);

/* A plain number with a decimal point, whatever the locale. */
gboolean cli_number (const char *text, double *value);

/* To standard output, all of it, or FALSE with errno; a reader that has gone ends the program quietly. */
gboolean cli_write (const char *text, gsize length);

/* All of it, or FALSE after a message; a reader that has gone ends the program quietly. */
gboolean cli_print (const char *text, gsize length);

/* The job's own name with another ending ("-bed.svg": never that of its artwork), in the current
 * folder. */
char *cli_default_name (const char *job, const char *ending);

/*
 * Saves and says so on standard error (unless @name is "-"). What the job itself is made from
 * is never written over.
 */
gboolean cli_save (const RhyPlan *plan, GBytes *bytes, const char *name, GError **error);
