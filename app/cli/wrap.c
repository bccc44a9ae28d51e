/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <stdio.h>
#include <string.h>

static void
say_what_was_drawn (const RhyPlan       *plan,
                    const RhyBendReport *report)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  g_autofree char *merged = n->lightened_mm > 0.0 ? g_strdup_printf (" (merged from %" G_GSIZE_FORMAT ")", n->nodes_in) : g_strdup ("");
  const gsize n_parts = rhy_plan_get_n_parts (plan);
  g_autofree char *ink = n_parts > 1 ? g_strdup_printf ("%" G_GSIZE_FORMAT " artworks", n_parts)
                                     : g_strdup_printf ("ink %.2f x %.2f mm", n->width_mm, n->height_mm);
  fprintf (stderr, "rhyton-cli: %s on the wall; %" G_GSIZE_FORMAT " segments in%s, %" G_GSIZE_FORMAT
                   " out; greatest error on the wall %.4f mm\n",
           ink, report->segments_in, merged, report->segments_out, report->error_max_mm);
}

static void
say_bands (const RhyPlan *plan,
           RhyFormat      format)
{
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  const guint n = rhy_plan_find_line_bands (plan, bands);
  if (n > 0 && format != RHY_FORMAT_SVG)
    fputs ("rhyton-cli: no bands: only an SVG has groups\n", stderr);
  const double wanted = rhy_job_get_data (rhy_plan_get_job (plan))->output.line_distance_mm;
  for (guint i = 0; i < n && format == RHY_FORMAT_SVG; i++)
    fprintf (stderr, "rhyton-cli: band %u: line distance %.4f mm, %.1f lines per inch: energy then %.1f to %.1f %%\n", i + 1,
             wanted * bands[i].correction, 25.4 / (wanted * bands[i].correction), 100.0 * bands[i].energy_min,
             100.0 * bands[i].energy_max);
}

int
cli_wrap (int    argc,
          char **argv)
{
  g_autofree char *output = NULL;
  g_autofree char *dpi = NULL;
  gboolean free_area = FALSE;
  g_auto (CliBands) bands = { NULL, NULL };
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, "Where to (default: the job's name, -bed.svg); - for standard output",
      "FILE.svg|.pdf|.png" },
    { "dpi", 'd', 0, G_OPTION_ARG_FILENAME, &dpi, "Dots per inch of a PNG, 10 to 2400 (default 300)", "N" },
    { "free-area", 0, 0, G_OPTION_ARG_NONE, &free_area, "With an outline of where ink may be", NULL },
    CLI_BANDS_ENTRIES (bands),
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "The bed drawing: what the machine is given, in true mm.",
                    "The page's group \"mark\" shows the point to line the beam up with; --free-area adds\n"
                    "a group of that name: hide it before burning. In bands (SVG) every group is called for\n"
                    "its line distance; give the same --bands to check, sheet and proof, or put Bands= in the job.\n"
                    "Exit status: 0 written, 1 the artwork does not fit the wall, 2 bad data or nothing written.", &status))
    return status;

  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  if (dpi != NULL && (!cli_number (dpi, &options.dpi) || !(options.dpi >= 10.0 && options.dpi <= 2400.0)))
    return cli_usage ("wrap", "--dpi: found \"%s\": allowed: a number from 10 to 2400", dpi);
  options.free_area = free_area;
  if (output == NULL)
    output = cli_default_name (argv[1], "-bed.svg");
  RhyFormat format = RHY_FORMAT_SVG;
  GError *error = NULL;
  if (strcmp (output, "-") != 0 && !rhy_format_from_name (output, &format, &error))
    return cli_fail (output, error);

  g_autoptr (RhyPlan) plan = cli_plan_with_bands (argv[1], &bands, &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  RhyBendReport report = { 0 };
  g_autoptr (GBytes) bytes = rhy_drawing_bed (plan, format, &options, &report, &error);
  if (bytes == NULL)
    return cli_fail (cli_job_name (argv[1]), error);
  if (!cli_save (plan, bytes, output, &error))
    return cli_fail (output, error);
  say_what_was_drawn (plan, &report);
  say_bands (plan, format);
  return CLI_DONE;
}
