/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

int
cli_pattern (int    argc,
             char **argv)
{
  g_autofree char *output = NULL;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output,
      "Where to (default: the job's name, -pattern.svg); - for standard output", "FILE.svg|.pdf" },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "The flat pattern, 1:1: print it, cut it out, wrap it round the blank and look.",
                    "Print at 100 % and measure the scale bar before you trust the paper.\n"
                    "Exit status: 0 written, 1 the artwork does not fit the wall, 2 bad data or nothing written.", &status))
    return status;

  if (output == NULL)
    output = cli_default_name (argv[1], "-pattern.svg");
  RhyFormat format = RHY_FORMAT_SVG;
  GError *error = NULL;
  if (strcmp (output, "-") != 0 && !rhy_format_from_name (output, &format, &error))
    return cli_fail (output, error);

  g_autoptr (RhyPlan) plan = cli_plan (argv[1], &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  g_autoptr (GBytes) bytes = rhy_drawing_pattern (plan, format, NULL, &error);
  if (bytes == NULL)
    return cli_fail (cli_job_name (argv[1]), error);
  return cli_save (plan, bytes, output, &error) ? CLI_DONE : cli_fail (output, error);
}
