/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

int
cli_proof (int    argc,
           char **argv)
{
  g_auto (CliBands) bands = { NULL, NULL };
  const GOptionEntry entries[] = {
    CLI_BANDS_ENTRIES (bands),
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB DRAWING.svg",
                    "Puts a bed drawing back on the wall: the greatest distance from what was meant, in mm.",
                    "Exit status: 0 within the job's tolerance, 1 beyond it, 2 bad data.", &status))
    return status;

  GError *error = NULL;
  g_autoptr (RhyPlan) plan = cli_plan_with_bands (argv[1], &bands, &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  RhyProof proof;
  if (!rhy_proof_file (plan, argv[2], &proof, &error))
    return cli_fail (argv[2], error);

  g_autofree char *text = rhy_proof_describe (&proof, plan);
  g_autofree char *lines = g_strconcat (text, "\n", NULL);
  if (!cli_print (lines, strlen (lines)))
    return CLI_BAD;
  return rhy_proof_is_good (&proof, plan) ? CLI_DONE : CLI_NOT_READY;
}
