/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

int
cli_check (int    argc,
           char **argv)
{
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "json", 'j', 0, G_OPTION_ARG_NONE, &json, "One JSON document instead of text", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "The verdict: ready, or what stops the job, with numbers and the remedy.",
                    "Exit status: 0 ready, 1 not ready, 2 the job cannot be read.", &status))
    return status;

  GError *error = NULL;
  g_autoptr (RhyPlan) plan = cli_plan (argv[1], &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan);
  g_autofree char *text = json ? rhy_verdict_to_json (verdict) : rhy_verdict_to_text (verdict);
  if (!cli_print (text, strlen (text)))
    return CLI_BAD;
  return rhy_verdict_is_ready (verdict) ? CLI_DONE : CLI_NOT_READY;
}
