/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

typedef struct
{
  char *output;
  char *csv;
  char *width, *height;
  char *powers, *speeds;
  char *watts, *line_distance;
  char *sheet, *paper;
} Options;

static gboolean
number_option (const char *text,
               const char *what,
               double     *value,
               GError    **error)
{
  if (text == NULL || (cli_number (text, value) && *value > 0.0))
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s %s: must be a number above 0, with a decimal point", what, text);
  return FALSE;
}

static GArray *
list_option (const char *text,
             const char *what,
             GError    **error)
{
  g_autoptr (GArray) list = g_array_new (FALSE, FALSE, sizeof (double));
  g_auto (GStrv) words = g_strsplit_set (text, ";,", -1);
  for (char **w = words; *w != NULL; w++)
    {
      double value = 0.0;
      if (!number_option (g_strstrip (*w), what, &value, error))
        return NULL;
      g_array_append_val (list, value);
    }
  return g_steal_pointer (&list);
}

/* What to do with the piece, for the terminal. */
static char *
guidance_for (RhyPiece               piece,
              const RhyPieceOptions *p,
              const RhyPieceBeam    *beam)
{
  g_autofree char *table = NULL;
  switch (piece)
    {
    case RHY_PIECE_RULER:
      return g_strdup ("Measure from the middle cross along and around, write what you find into the CSV (--csv), then:\n"
                       "  rhyton-cli learn --grid READINGS.csv JOB\n");
    case RHY_PIECE_ARROW:
      table = rhy_piece_arrow_table ();
      return g_strconcat ("Look at the wall with the mouth up:\n", table, NULL);
    case RHY_PIECE_LADDER:
      table = rhy_piece_ladder_table (p, beam);
      return g_strconcat ("Set each colour's power and speed in the machine's software:\n", table,
                          "Figures below the cells are powers in percent, beside them speeds in mm/s.",
                          beam->watts > 0.0 ? "\n" : " Energies need --watts.\n", NULL);
    default:
      return g_strdup ("Read where the end's mark, below the line, meets the scale above it (right of 0 counts plus), then:\n"
                       "  rhyton-cli learn --overrun MM --diameter MM JOB\n");
    }
}

static int
make (const Options *o,
      RhyPiece       piece,
      const char    *name)
{
  GError *error = NULL;
  g_autoptr (GArray) powers = list_option (o->powers != NULL ? o->powers : "20;40;60;80;100", "--powers", &error);
  g_autoptr (GArray) speeds = powers != NULL ? list_option (o->speeds != NULL ? o->speeds : "50;100;200;400", "--speeds", &error) : NULL;
  RhyPieceOptions p = { .width_mm = piece == RHY_PIECE_LADDER ? 6.0 : 60.0, .height_mm = piece == RHY_PIECE_LADDER ? 6.0 : 60.0 };
  RhyPieceBeam beam = { .watts = 0.0, .line_distance_mm = 0.1 };
  RhyPaper paper = RHY_PAPER_A4;
  if (o->paper != NULL && !rhy_paper_from_string (o->paper, &paper))
    return cli_usage ("piece", "--paper %s: the papers are a4 and letter", o->paper);
  if (o->sheet != NULL && !g_str_has_suffix (o->sheet, ".pdf"))
    return cli_usage ("piece", "--sheet %s: the sheet is a PDF, name it .pdf", o->sheet);
  if (speeds == NULL || !number_option (o->width, "--width", &p.width_mm, &error)
      || !number_option (o->height, "--height", &p.height_mm, &error) || !number_option (o->watts, "--watts", &beam.watts, &error)
      || !number_option (o->line_distance, "--line-distance", &beam.line_distance_mm, &error))
    return cli_fail ("piece", error);
  p.powers = (const double *) (void *) powers->data;
  p.n_powers = powers->len;
  p.speeds = (const double *) (void *) speeds->data;
  p.n_speeds = speeds->len;

  g_autoptr (RhyJob) job = cli_job (name, &error);
  g_autoptr (RhyArtwork) art = NULL;
  g_autoptr (RhyPlan) plan = job != NULL ? rhy_piece_plan (job, piece, &p, &art, &error) : NULL;
  if (plan == NULL)
    return cli_fail (g_error_matches (error, RHY_ERROR, RHY_ERROR_ARTWORK) ? "piece" : NULL, error);

  g_autofree char *ending = g_strdup_printf ("-%s.svg", rhy_piece_to_string (piece));
  g_autofree char *output = o->output != NULL ? g_strdup (o->output) : cli_default_name (name, ending);
  RhyFormat format = RHY_FORMAT_SVG;
  if (strcmp (output, "-") != 0 && !rhy_format_from_name (output, &format, &error))
    return cli_fail (output, error);
  g_autoptr (GBytes) drawing = rhy_drawing_bed (plan, format, NULL, NULL, &error);
  if (drawing == NULL)
    return cli_fail (name, error);
  if (!cli_save (plan, drawing, output, &error))
    return cli_fail (output, error);
  if (o->csv != NULL)
    {
      g_autoptr (GBytes) form = rhy_piece_readings_form (plan, art, &p);
      if (!cli_save (plan, form, o->csv, &error))
        return cli_fail (o->csv, error);
    }
  if (o->sheet != NULL)
    {
      g_autoptr (GBytes) sheet = rhy_piece_sheet_new (plan, piece, art, &p, &beam, paper, &error);
      if (sheet == NULL || !cli_save (plan, sheet, o->sheet, &error))
        return cli_fail (o->sheet, error);
    }
  if (strcmp (output, "-") == 0)
    return CLI_DONE;
  g_autofree char *text = guidance_for (piece, &p, &beam);
  return cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;
}

int
cli_piece (int    argc,
           char **argv)
{
  Options o = { 0 };
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &o.output, "Where to write it (default: the job's name and the piece's)", "FILE" },
    { "csv", 0, 0, G_OPTION_ARG_FILENAME, &o.csv, "ruler: also write the table of readings to be filled in", "FILE.csv" },
    { "width", 0, 0, G_OPTION_ARG_STRING, &o.width, "ruler: width of the grid (60); ladder: of a cell (6)", "MM" },
    { "height", 0, 0, G_OPTION_ARG_STRING, &o.height, "ruler: height of the grid (60); ladder: of a cell (6)", "MM" },
    { "powers", 0, 0, G_OPTION_ARG_STRING, &o.powers, "ladder: powers in percent (20;40;60;80;100)", "LIST" },
    { "speeds", 0, 0, G_OPTION_ARG_STRING, &o.speeds, "ladder: speeds in mm/s (50;100;200;400)", "LIST" },
    { "watts", 0, 0, G_OPTION_ARG_STRING, &o.watts, "ladder: power of the beam at 100 %, for the energies", "W" },
    { "line-distance", 0, 0, G_OPTION_ARG_STRING, &o.line_distance, "ladder: from line to line (0.1)", "MM" },
    { "sheet", 0, 0, G_OPTION_ARG_FILENAME, &o.sheet, "Also a sheet to take along: what to set, what to do with the piece", "FILE.pdf" },
    { "paper", 0, 0, G_OPTION_ARG_STRING, &o.paper, "Of the sheet: a4 (default) or letter", "SIZE" },
    G_OPTION_ENTRY_NULL
  };
  int status;
  RhyPiece piece;
  if (cli_options (&argc, &argv, entries, "ruler|arrow|ladder|turn JOB", "A test piece as a bed drawing for the job's vessel and machine.",
                   "ruler: a labelled grid to measure; arrow: shows direction and mirror in one burn;\n"
                   "ladder: powers by speeds; turn: a full-turn line that shows over-travel.\n"
                   "Burn test pieces on scrap of the same shape, and stay with the machine.", &status))
    {
      if (!rhy_piece_from_string (argv[1], &piece))
        status = cli_usage ("piece", "%s: the pieces are ruler, arrow, ladder and turn", argv[1]);
      else if (o.csv != NULL && piece != RHY_PIECE_RULER)
        status = cli_usage ("piece", "--csv: only a ruler has a table of readings");
      else
        status = make (&o, piece, argv[2]);
    }
  g_free (o.output);
  g_free (o.csv);
  g_free (o.width);
  g_free (o.height);
  g_free (o.powers);
  g_free (o.speeds);
  g_free (o.watts);
  g_free (o.line_distance);
  g_free (o.sheet);
  g_free (o.paper);
  return status;
}
