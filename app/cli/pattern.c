/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

static gboolean
read_cut (const char *text,
          RhyCut     *cut)
{
  static const struct { const char *word; RhyCut cut; } words[] = {
    { "auto", RHY_CUT_AUTO }, { "whole", RHY_CUT_WHOLE }, { "rings", RHY_CUT_RINGS }, { "gores", RHY_CUT_GORES },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
    if (strcmp (text, words[i].word) == 0)
      {
        *cut = words[i].cut;
        return TRUE;
      }
  return FALSE;
}

int
cli_pattern (int    argc,
             char **argv)
{
  g_autofree char *output = NULL;
  g_autofree char *cut = NULL;
  g_autofree char *paper_stretch = NULL;
  g_autofree char *tab = NULL;
  g_autofree char *paper = NULL;
  g_autofree char *overlap = NULL;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output,
      "Where to (default: the job's name, -pattern.svg); - for standard output", "FILE.svg|.pdf" },
    { "cut", 0, 0, G_OPTION_ARG_FILENAME, &cut, "How a curved wall is cut: auto (default), whole, rings or gores", "WORD" },
    { "paper-stretch", 0, 0, G_OPTION_ARG_FILENAME, &paper_stretch, "What the paper may be asked to give, percent (default 1)", "PERCENT" },
    { "paper", 0, 0, G_OPTION_ARG_FILENAME, &paper,
      "What it is printed on: sheet (default: one as large as it needs), a4 or letter (pages to tape together)", "WORD" },
    { "overlap", 0, 0, G_OPTION_ARG_FILENAME, &overlap, "How much pages overlap (default 10)", "MM" },
    { "tab", 0, 0, G_OPTION_ARG_FILENAME, &tab, "How wide the tab to glue is (default 8; 0: none)", "MM" },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "The flat pattern, 1:1: print it, cut it out, wrap it round the blank and look.",
                    "Print at 100 % and measure the scale bar before you trust the paper.\n"
                    "Exit status: 0 written, 1 the artwork does not fit the wall, 2 bad data or nothing written.", &status))
    return status;

  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  double percent = 100.0 * options.paper_stretch;
  if (cut != NULL && !read_cut (cut, &options.cut))
    return cli_usage ("pattern", "--cut: found \"%s\": allowed: auto, whole, rings, gores", cut);
  if (paper_stretch != NULL && (!cli_number (paper_stretch, &percent) || !(percent >= 0.1 && percent <= 20.0)))
    return cli_usage ("pattern", "--paper-stretch: found \"%s\": allowed: a number of percent from 0.1 to 20", paper_stretch);
  options.paper_stretch = percent / 100.0;

  options.tab_mm = 8.0;
  if (tab != NULL && (!cli_number (tab, &options.tab_mm) || !(options.tab_mm >= 0.0 && options.tab_mm <= 30.0)))
    return cli_usage ("pattern", "--tab: found \"%s\": allowed: a number of mm from 0 to 30", tab);

  options.on_pages = paper != NULL && strcmp (paper, "sheet") != 0;
  if (options.on_pages && !rhy_paper_from_string (paper, &options.paper))
    return cli_usage ("pattern", "--paper: found \"%s\": allowed: sheet, a4, letter", paper);
  if (overlap != NULL && (!cli_number (overlap, &options.overlap_mm) || !(options.overlap_mm >= 5.0 && options.overlap_mm <= 40.0)))
    return cli_usage ("pattern", "--overlap: found \"%s\": allowed: a number of mm from 5 to 40", overlap);

  if (output == NULL)
    output = cli_default_name (argv[1], options.on_pages ? "-pattern.pdf" : "-pattern.svg");
  RhyFormat format = RHY_FORMAT_SVG;
  GError *error = NULL;
  if (strcmp (output, "-") != 0 && !rhy_format_from_name (output, &format, &error))
    return cli_fail (output, error);

  g_autoptr (RhyPlan) plan = cli_plan (argv[1], &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  g_autoptr (GBytes) bytes = rhy_drawing_pattern (plan, format, &options, &error);
  if (bytes == NULL)
    return cli_fail (cli_job_name (argv[1]), error);
  return cli_save (plan, bytes, output, &error) ? CLI_DONE : cli_fail (output, error);
}
