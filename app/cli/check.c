/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

/* A job that can be read and not worked out is not ready; that too is for other programs to know. */
static gboolean
print_trouble (RhyJob       *job,
               const GError *error)
{
  if (!g_error_matches (error, RHY_ERROR, RHY_ERROR_OUTSIDE))
    return TRUE;
  g_autofree char *text = rhy_verdict_trouble_to_json (job, error);
  return cli_print (text, strlen (text));
}

int
cli_check (int    argc,
           char **argv)
{
  gboolean json = FALSE;
  g_auto (CliBands) bands = { NULL, NULL };
  const GOptionEntry entries[] = {
    { "json", 'j', 0, G_OPTION_ARG_NONE, &json, "One JSON document instead of text", NULL },
    CLI_BANDS_ENTRIES (bands),
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "The verdict: ready, or what stops the job, with numbers and the remedy.",
                    "Exit status: 0 ready, 1 not ready, 2 the job cannot be read.", &status))
    return status;

  GError *error = NULL;
  g_autoptr (RhyJob) job = cli_job_with_bands (argv[1], &bands, &error);
  g_autoptr (RhyPlan) plan = job != NULL ? rhy_plan_new (job, NULL, NULL, &error) : NULL;
  if (plan == NULL)
    {
      const gboolean printed = job == NULL || !json || print_trouble (job, error);
      status = cli_fail (NULL, error);
      return printed ? status : CLI_BAD;
    }
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  g_autofree char *text = json ? rhy_verdict_to_json (verdict) : rhy_verdict_to_text (verdict);
  if (!cli_print (text, strlen (text)))
    return CLI_BAD;
  return rhy_verdict_is_ready (verdict) ? CLI_DONE : CLI_NOT_READY;
}
