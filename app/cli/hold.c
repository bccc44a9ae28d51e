/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

int
cli_hold (int    argc,
          char **argv)
{
  gboolean compare = FALSE;
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "compare", 'c', 0, G_OPTION_ARG_NONE, &compare, "Every way of holding this vessel on this machine", NULL },
    { "json", 'j', 0, G_OPTION_ARG_NONE, &json, "A JSON array instead of a table", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB",
                    "How the job holds its vessel: heights in reach, largest artwork, tilt, riser, focus, and what stands against it.",
                    "Without --compare only the job's own way is given.", &status))
    return status;

  GError *error = NULL;
  g_autoptr (RhyPlan) plan = cli_plan (argv[1], &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  g_autoptr (GPtrArray) rows = rhy_plan_compare_holds (plan, NULL);
  for (guint i = rows->len; i > 0 && !compare; i--)
    if (!((const RhyHoldRow *) rows->pdata[i - 1])->is_own)
      g_ptr_array_remove_index (rows, i - 1);
  g_autofree char *text = json ? rhy_hold_rows_to_json (rows) : rhy_hold_rows_to_text (rows);
  return cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;
}
