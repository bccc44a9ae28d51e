/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <stdio.h>
#include <string.h>

/* The user's own files that cannot be used are said, and the rest goes on. */
RhyVessels *
cli_vessels (void)
{
  g_auto (GStrv) problems = NULL;
  RhyVessels *vessels = rhy_vessels_new (NULL, &problems);
  for (gsize i = 0; problems[i] != NULL; i++)
    fprintf (stderr, "rhyton-cli: %s\n", problems[i]);
  return vessels;
}

static char *
show (const RhyVesselEntry *entry)
{
  gsize length = 0;
  g_autofree char *text = rhy_job_to_data (entry->job, &length);
  return g_strdup (text);
}

int
cli_vessels_verb (int    argc,
                  char **argv)
{
  gboolean json = FALSE;
  g_autofree char *name = NULL;
  const GOptionEntry entries[] = {
    { "json", 'j', 0, G_OPTION_ARG_NONE, &json, "One JSON document instead of a table", NULL },
    { "show", 's', 0, G_OPTION_ARG_STRING, &name, "One vessel's file: its readings, where they come from, what to mind", "NAME" },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "", "Lists the catalogue of blanks.",
                    "Begin a job with one: rhyton-cli new -v NAME ...\n"
                    "Your own are NAME.vessel files in $XDG_DATA_HOME/rhyton/vessels (~/.local/share if that is not set).",
                    &status))
    return status;
  if (json && name != NULL)
    return cli_usage ("vessels", "--json lists them all; --show shows one");

  GError *error = NULL;
  g_autoptr (RhyVessels) vessels = cli_vessels ();
  const RhyVesselEntry *entry = NULL;
  if (name != NULL && (entry = rhy_vessels_find (vessels, name, &error)) == NULL)
    return cli_fail ("vessels", error);
  g_autofree char *text = entry != NULL ? show (entry)
                          : json ? rhy_vessels_to_json (vessels) : rhy_vessels_to_text (vessels);
  return cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;
}
