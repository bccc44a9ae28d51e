/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <math.h>
#include <string.h>

typedef struct
{
  char *output;
  char *csv;
  char *width, *height;
  char *powers, *speeds;
  char *watts, *line_distance;
} Options;

/* A piece is laid level with the rim about the job's mark, lines run once. */
static const struct { const char *key, *value; } overrides[] = {
  { "File", NULL }, { "Width", NULL }, { "Height", NULL }, { "Text", NULL }, { "Font", NULL }, { "Turn", NULL }, { "Repeat", NULL },
  { "Lay", "ringed" }, { "Strokes", "centreline" },
};

static RhyJob *
job_for_piece (RhyJob  *job,
               GError **error)
{
  g_autoptr (RhyJob) changed = rhy_job_ref (job);
  for (gsize i = 0; i < G_N_ELEMENTS (overrides); i++)
    {
      RhyJob *next = rhy_job_with (changed, "Artwork", overrides[i].key, overrides[i].value, error);
      if (next == NULL)
        return NULL;
      rhy_job_unref (changed);
      changed = next;
    }
  return g_steal_pointer (&changed);
}

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
static void
append_guidance (GString               *text,
                 RhyPiece               piece,
                 const Options         *o,
                 const RhyPieceOptions *p,
                 double                 watts,
                 double                 line_distance)
{
  switch (piece)
    {
    case RHY_PIECE_RULER:
      g_string_append (text, "Measure from the middle cross along and around, write what you find into the CSV (--csv), then:\n"
                             "  rhyton-cli learn --grid READINGS.csv JOB\n");
      break;
    case RHY_PIECE_ARROW:
      g_string_append (text,
        "Look at the wall with the mouth up:\n"
        "  what you see                              what to set\n"
        "  arrow to the mouth, flag to its right     nothing: it runs as the job says\n"
        "  arrow to the mouth, flag to its left      change TurnReversed\n"
        "  arrow to the base, flag to its left       change Mouth (plus or minus)\n"
        "  arrow to the base, flag to its right      change Mouth and TurnReversed\n"
        "  arrow lies around the vessel              change Axis, then burn it again\n");
      break;
    case RHY_PIECE_LADDER:
      g_string_append (text, "Set each colour's power and speed in the machine's software:\n"
                             "  colour   power %  speed mm/s  energy J/mm2\n");
      for (gsize k = 0; k < p->n_speeds; k++)
        for (gsize i = 0; i < p->n_powers; i++)
          {
            const RhyColour c = rhy_piece_ladder_colour (k * p->n_powers + i, p->n_powers * p->n_speeds);
            g_string_append_printf (text, "  #%02x%02x%02x  %7.4g  %10.4g  ", (guint) lround (255 * c.r),
                                    (guint) lround (255 * c.g), (guint) lround (255 * c.b), p->powers[i], p->speeds[k]);
            if (o->watts != NULL)
              g_string_append_printf (text, "%12.4g\n", rhy_piece_energy (watts, p->powers[i], p->speeds[k], line_distance));
            else
              g_string_append (text, "     (--watts)\n");
          }
      g_string_append (text, "Figures below the cells are powers in percent, beside them speeds in mm/s.\n");
      break;
    default:
      g_string_append (text, "Read where the end's mark, below the line, meets the scale above it (right of 0 counts plus), then:\n"
                             "  rhyton-cli learn --overrun MM --diameter MM JOB\n");
      break;
    }
}

/* The grid's crossings with what is meant, to be filled in. */
static GBytes *
readings_form (RhyPlan               *plan,
               RhyArtwork            *piece,
               const RhyPieceOptions *p)
{
  const RhyBounds box = rhy_artwork_get_ink_box (piece);
  const double cu = 0.5 * (box.min_x + box.max_x);
  const double cv = 0.5 * (box.min_y + box.max_y);
  const int across = (int) floor (p->width_mm / 20.0 + 1e-9);
  const int up = (int) floor (p->height_mm / 20.0 + 1e-9);
  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyPoint mark;
  g_autoptr (GString) csv = g_string_new ("height,angle,nominal_along,printed_along,nominal_around,printed_around\n");
  if (!rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { -cu, -cv }, &mark))
    return g_string_free_to_bytes (g_steal_pointer (&csv));

  for (int k = -up; k <= up; k++)
    for (int i = -across; i <= across; i++)
      {
        RhyPoint at;
        if ((i == 0 && k == 0)
            || !rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { 10.0 * i - cu, 10.0 * k - cv }, &at))
          continue;
        const RhyRing ring = rhy_wall_at (wall, at.x);
        const double values[] = { ring.z_mm, at.y * 180.0 / G_PI, at.x - mark.x, ring.r_mm * (at.y - mark.y) };
        char text[4][G_ASCII_DTOSTR_BUF_SIZE];
        for (gsize m = 0; m < 4; m++)
          g_ascii_formatd (text[m], sizeof text[m], "%.4f", values[m] + 0.0);
        g_string_append_printf (csv, "%s,%s,%s,,%s,\n", text[0], text[1], text[2], text[3]);
      }
  return g_string_free_to_bytes (g_steal_pointer (&csv));
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
  double watts = 0.0;
  double line_distance = 0.1;
  if (speeds == NULL || !number_option (o->width, "--width", &p.width_mm, &error)
      || !number_option (o->height, "--height", &p.height_mm, &error) || !number_option (o->watts, "--watts", &watts, &error)
      || !number_option (o->line_distance, "--line-distance", &line_distance, &error))
    return cli_fail ("piece", error);
  p.powers = (const double *) (void *) powers->data;
  p.n_powers = powers->len;
  p.speeds = (const double *) (void *) speeds->data;
  p.n_speeds = speeds->len;

  g_autoptr (RhyJob) job = cli_job (name, &error);
  g_autoptr (RhyJob) changed = job != NULL ? job_for_piece (job, &error) : NULL;
  /* Without artwork first: the vessel says how far a turn is. */
  g_autoptr (RhyPlan) bare = changed != NULL ? rhy_plan_new (changed, NULL, NULL, &error) : NULL;
  if (bare == NULL)
    return cli_fail (name, error);
  p.around_mm = 2.0 * G_PI * rhy_wall_at (rhy_plan_get_wall (bare), rhy_plan_get_numbers (bare)->anchor.s).r_mm;

  g_autoptr (RhyArtwork) art = rhy_piece_new (piece, &p, &error);
  if (art == NULL)
    return cli_fail ("piece", error);
  g_autoptr (RhyPlan) plan = rhy_plan_new (changed, art, NULL, &error);
  if (plan == NULL)
    return cli_fail (name, error);

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
      g_autoptr (GBytes) form = readings_form (plan, art, &p);
      if (!cli_save (plan, form, o->csv, &error))
        return cli_fail (o->csv, error);
    }
  if (strcmp (output, "-") == 0)
    return CLI_DONE;
  g_autoptr (GString) text = g_string_new (NULL);
  append_guidance (text, piece, o, &p, watts, line_distance);
  return cli_print (text->str, text->len) ? CLI_DONE : CLI_BAD;
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
  return status;
}
