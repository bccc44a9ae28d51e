/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

typedef struct
{
  char    *output, *paper, *power, *speed, *lines;
  CliBands bands;
} Options;

static int
make (const Options  *o,
      RhySheetOptions options,
      const char     *name)
{
  GError *error = NULL;
  g_autofree char *output = o->output != NULL ? g_strdup (o->output) : cli_default_name (name, "-sheet.pdf");
  if (strcmp (output, "-") != 0 && !g_str_has_suffix (output, ".pdf"))
    return cli_usage ("sheet", "-o %s: the sheet is a PDF, name it .pdf", output);
  g_autoptr (RhyPlan) plan = cli_plan_with_bands (name, &o->bands, &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  g_autoptr (GBytes) bytes = rhy_sheet_new (plan, verdict, &options, &error);
  if (bytes == NULL)
    return cli_fail (cli_job_name (name), error);
  if (!cli_save (plan, bytes, output, &error))
    return cli_fail (output, error);
  return rhy_verdict_is_ready (verdict) ? CLI_DONE : CLI_NOT_READY;
}

int
cli_sheet (int    argc,
           char **argv)
{
  Options o = { 0 };
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &o.output, "Where to (default: the job's name, -sheet.pdf); - for standard output", "FILE.pdf" },
    { "paper", 0, 0, G_OPTION_ARG_STRING, &o.paper, "a4 (default) or letter", "SIZE" },
    { "power", 0, 0, G_OPTION_ARG_STRING, &o.power, "Power, to be printed as you write it", "TEXT" },
    { "speed", 0, 0, G_OPTION_ARG_STRING, &o.speed, "Speed, likewise", "TEXT" },
    { "lines", 0, 0, G_OPTION_ARG_STRING, &o.lines, "Lines per mm, likewise", "TEXT" },
    CLI_BANDS_ENTRIES (o.bands),
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (cli_options (&argc, &argv, entries, "JOB", "The setup sheet: pages to take to the machine.",
                   "Exit status: 0 written and ready, 1 written, but the job is not ready (the sheet says so on top),\n"
                   "2 bad data or nothing written.", &status))
    {
      RhySheetOptions options = { .paper = RHY_PAPER_A4, .power = o.power, .speed = o.speed, .lines = o.lines };
      if (o.paper != NULL && !rhy_paper_from_string (o.paper, &options.paper))
        status = cli_usage ("sheet", "--paper %s: the papers are a4 and letter", o.paper);
      else
        status = make (&o, options, argv[1]);
    }
  g_free (o.output);
  g_free (o.paper);
  g_free (o.power);
  g_free (o.speed);
  g_free (o.lines);
  cli_bands_clear (&o.bands);
  return status;
}
