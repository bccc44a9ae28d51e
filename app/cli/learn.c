/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

typedef struct
{
  char    *nominal, *printed;
  char    *overrun, *diameter;
  char    *grid;
  char    *set, *uncertainty;
  gboolean tape, json, write;
} Options;

static gboolean
bad (GError    **error,
     const char *what,
     const char *found,
     const char *allowed)
{
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s %s: %s", what, found, allowed);
  return FALSE;
}

static gboolean
length_of (const char *text,
           const char *what,
           double     *value,
           GError    **error)
{
  if (cli_number (text, value))
    return TRUE;
  return bad (error, what, text, "must be a number of mm with a decimal point");
}

/* "60;100" to numbers; both separators of lists are taken. */
static GArray *
lengths_of (const char *text,
            const char *what,
            GError    **error)
{
  g_autoptr (GArray) list = g_array_new (FALSE, FALSE, sizeof (double));
  g_auto (GStrv) words = g_strsplit_set (text, ";,", -1);
  for (char **w = words; *w != NULL; w++)
    {
      double value;
      if (!length_of (g_strstrip (*w), what, &value, error))
        return NULL;
      g_array_append_val (list, value);
    }
  return g_steal_pointer (&list);
}

static gboolean
from_lengths (const Options  *o,
              double          set,
              double          u,
              RhyCalibration *c,
              GError        **error)
{
  g_autoptr (GArray) nominal = lengths_of (o->nominal, "--nominal", error);
  if (nominal == NULL)
    return FALSE;
  g_autoptr (GArray) printed = lengths_of (o->printed, "--printed", error);
  if (printed == NULL)
    return FALSE;
  if (nominal->len != printed->len)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%u nominal lengths and %u printed ones: give as many of each",
                   nominal->len, printed->len);
      return FALSE;
    }
  g_autofree RhyLengthReading *readings = g_new (RhyLengthReading, nominal->len);
  for (guint i = 0; i < nominal->len; i++)
    readings[i] = (RhyLengthReading) { g_array_index (nominal, double, i), g_array_index (printed, double, i), u };
  return rhy_calibration_from_lengths (set, readings, nominal->len, c, error);
}

static gboolean
from_overrun (const Options  *o,
              double          set,
              double          u,
              double          u_diameter,
              RhyCalibration *c,
              GError        **error)
{
  double overrun, diameter;
  return length_of (o->overrun, "--overrun", &overrun, error)
         && length_of (o->diameter, "--diameter", &diameter, error)
         && rhy_calibration_from_overrun (set, overrun, u, diameter, u_diameter, c, error);
}

static gboolean
one_way (const Options *o,
         const char   **fault)
{
  const int ways = (o->nominal != NULL) + (o->overrun != NULL) + (o->grid != NULL);
  if ((o->nominal == NULL) != (o->printed == NULL))
    *fault = "--nominal and --printed go together";
  else if ((o->overrun == NULL) != (o->diameter == NULL))
    *fault = "--overrun and --diameter go together";
  else if (ways != 1)
    *fault = "give readings in one way: --nominal and --printed, --overrun and --diameter, or --grid";
  else
    return TRUE;
  return FALSE;
}

static int
learn (const Options *o,
       const char    *name)
{
  GError *error = NULL;
  g_autoptr (RhyPlan) plan = cli_plan (name, &error);
  if (plan == NULL)
    return cli_fail (name, error);

  double set = rhy_plan_get_numbers (plan)->travel_per_turn_mm;
  double u = o->tape ? 0.5 : 0.05;
  RhyCalibration c;
  if ((o->set != NULL && !length_of (o->set, "--set", &set, &error))
      || (o->uncertainty != NULL && !length_of (o->uncertainty, "--uncertainty", &u, &error))
      || !(o->nominal != NULL ? from_lengths (o, set, u, &c, &error)
           : o->overrun != NULL ? from_overrun (o, set, u, 0.05, &c, &error)
                                : rhy_learning_from_grid_file (plan, o->grid, set, u, &c, &error)))
    return cli_fail ("learn", error);

  g_autofree char *text = o->json ? rhy_learning_to_json (&c) : rhy_learning_to_text (&c, set, plan);
  if (!cli_print (text, strlen (text)))
    return CLI_BAD;
  if (!o->write)
    return CLI_DONE;
  g_autofree char *written = rhy_learning_write (rhy_plan_get_job (plan), &c, &error);
  if (written == NULL)
    return cli_fail (name, error);
  g_printerr ("rhyton-cli: %s\n", written);
  return CLI_DONE;
}

int
cli_learn (int    argc,
           char **argv)
{
  Options o = { 0 };
  const GOptionEntry entries[] = {
    { "nominal", 0, 0, G_OPTION_ARG_STRING, &o.nominal, "Length around that was meant, mm (several: 60;100)", "MM" },
    { "printed", 0, 0, G_OPTION_ARG_STRING, &o.printed, "Length around that came out, mm", "MM" },
    { "overrun", 0, 0, G_OPTION_ARG_STRING, &o.overrun, "How far a full-turn line ran past its start, mm", "MM" },
    { "diameter", 0, 0, G_OPTION_ARG_STRING, &o.diameter, "Diameter where that line is, mm", "MM" },
    { "grid", 0, 0, G_OPTION_ARG_FILENAME, &o.grid, "Readings of a ruler piece", "FILE.csv" },
    { "set", 0, 0, G_OPTION_ARG_STRING, &o.set, "Travel per turn the piece was made with (default: the job's)", "MM" },
    { "uncertainty", 'u', 0, G_OPTION_ARG_STRING, &o.uncertainty, "Standard uncertainty of a reading (default 0.05)", "MM" },
    { "tape", 0, 0, G_OPTION_ARG_NONE, &o.tape, "Read by tape: uncertainty 0.5 mm", NULL },
    { "write", 'w', 0, G_OPTION_ARG_NONE, &o.write, "Write the travel into the machine's file (or the job)", NULL },
    { "json", 'j', 0, G_OPTION_ARG_NONE, &o.json, "One JSON document instead of text", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  const char *fault;
  if (cli_options (&argc, &argv, entries, "JOB", "Learns the machine's true travel per turn, and what else is off, "
                   "from readings of a test piece.",
                   "A grid file has the columns height, angle, nominal_along, printed_along, nominal_around,\n"
                   "printed_around: distances from the mark, mm and degrees.", &status))
    status = one_way (&o, &fault) ? learn (&o, argv[1]) : cli_usage ("learn", "%s", fault);
  g_free (o.nominal);
  g_free (o.printed);
  g_free (o.overrun);
  g_free (o.diameter);
  g_free (o.grid);
  g_free (o.set);
  g_free (o.uncertainty);
  return status;
}
