/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

int
cli_machines (int    argc,
              char **argv)
{
  g_autofree char *folder = NULL;
  gboolean json = FALSE;
  const GOptionEntry entries[] = {
    { "folder", 'd', 0, G_OPTION_ARG_FILENAME, &folder, "Only those in this folder", "DIR" },
    { "json", 'j', 0, G_OPTION_ARG_NONE, &json, "A JSON array instead of a table", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "", "The machine files there are, with their figures.",
                    "Files named *.machine are looked for in $RHYTON_MACHINES, in rhyton/machines under the user's and the\n"
                    "system's data folders, and where Rhyton is installed.", &status))
    return status;

  GError *error = NULL;
  g_autoptr (GPtrArray) machines = rhy_machines_list (folder, &error);
  if (machines == NULL)
    return cli_fail (NULL, error);
  g_autofree char *text = json ? rhy_machines_to_json (machines) : rhy_machines_to_text (machines);
  return cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;
}
