/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <math.h>
#include <string.h>

#define DEGREES (180.0 / G_PI)

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
from_grid (const Options  *o,
           RhyPlan        *plan,
           double          set,
           double          u,
           RhyCalibration *c,
           GError        **error)
{
  static const char *const names[] = { "height", "angle", "nominal_along", "printed_along",
                                       "nominal_around", "printed_around" };
  g_autoptr (RhyTable) table = rhy_table_new_from_file (o->grid, error);
  if (table == NULL)
    return FALSE;
  gsize columns[G_N_ELEMENTS (names)];
  for (gsize k = 0; k < G_N_ELEMENTS (names); k++)
    if (!rhy_table_find_column (table, names[k], &columns[k]))
      {
        g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:1: no column %s: wanted height, angle, nominal_along, "
                     "printed_along, nominal_around, printed_around (mm, degrees)", o->grid, names[k]);
        return FALSE;
      }
  const gsize n = rhy_table_get_n_rows (table);
  if (n == 0)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: no readings below the header", o->grid);
      return FALSE;
    }
  g_autofree RhyGridReading *readings = g_new (RhyGridReading, n);
  for (gsize i = 0; i < n; i++)
    {
      double v[G_N_ELEMENTS (names)];
      for (gsize k = 0; k < G_N_ELEMENTS (names); k++)
        {
          const char *text = rhy_table_get (table, i, columns[k]);
          if (!cli_number (text, &v[k]))
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%" G_GSIZE_FORMAT ": %s is %s: "
                           "must be a number with a decimal point", o->grid, rhy_table_get_line (table, i), names[k],
                           *text != '\0' ? text : "empty");
              return FALSE;
            }
        }
      readings[i] = (RhyGridReading) { v[0], v[1] / DEGREES, v[2], v[3], v[4], v[5] };
    }
  return rhy_calibration_from_grid (rhy_plan_get_wall (plan), rhy_plan_get_numbers (plan)->tilt_rad, set,
                                    readings, n, u, c, error);
}

/* What a cause is called in a sentence, and its value in the unit a maker reads. */
static char *
cause_sentence (RhyCauseKind    kind,
                const RhyCause *c)
{
  switch (kind)
    {
    case RHY_CAUSE_TRAVEL:
      return g_strdup_printf ("travel per turn off by %+.2f +- %.2f mm", c->value, c->uncertainty);
    case RHY_CAUSE_AXIS_SCALE:
      return g_strdup_printf ("scale along the axis %+.2f +- %.2f %%", 100 * c->value, 100 * c->uncertainty);
    case RHY_CAUSE_SHEAR:
      return g_strdup_printf ("rotary axis askew by %+.2f +- %.2f degrees", DEGREES * c->value, DEGREES * c->uncertainty);
    case RHY_CAUSE_TAPER:
      return g_strdup_printf ("widths change by %+.3f +- %.3f %% per 10 mm of height: taper misjudged",
                              1000 * c->value, 1000 * c->uncertainty);
    default:
      return g_strdup_printf ("tilt off by %+.2f +- %.2f degrees", DEGREES * c->value, DEGREES * c->uncertainty);
    }
}

static void
append_text (GString              *text,
             const RhyCalibration *c,
             double                set,
             RhyPlan              *plan)
{
  g_string_append_printf (text, "Travel per turn %.2f +- %.2f mm (about 95 %%); the piece was made with %.2f\n",
                          c->travel_per_turn_mm, c->uncertainty_mm, set);
  for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
    {
      const RhyCause *cause = &c->causes[i];
      if (!cause->testable)
        {
          g_string_append_printf (text, "  cannot tell     %s: these readings say nothing about it\n",
                                  rhy_cause_kind_to_string (i));
          continue;
        }
      g_autofree char *sentence = cause_sentence (i, cause);
      g_string_append_printf (text, "  %s  %s\n", cause->supported ? "there         " : "not supported ", sentence);
    }
  g_string_append (text, "Causes are told apart by an F-test at the 1 % level.\n");

  const RhyCause *scale = &c->causes[RHY_CAUSE_AXIS_SCALE];
  if (scale->supported && scale->value > 0.0 && !c->causes[RHY_CAUSE_TILT].testable)
    g_string_append_printf (text, "A tilt off by %.1f degrees would print as much too long along the axis: "
                            "check the tilt before the scale.\n", DEGREES * acos (1.0 / (1.0 + scale->value)));

  if (c->causes[RHY_CAUSE_TAPER].supported)
    {
      const RhyJobData *job = rhy_job_get_data (rhy_plan_get_job (plan));
      g_string_append (text, "Diameters that would explain it:");
      for (gsize i = 0; i < job->vessel.n_stations; i++)
        g_string_append_printf (text, "%s %.2f mm at %.4g", i > 0 ? "," : "", job->vessel.diameters_mm[i]
                                * (1.0 + c->causes[RHY_CAUSE_TAPER].value * (job->vessel.heights_mm[i] - c->middle_height_mm)),
                                job->vessel.heights_mm[i]);
      g_string_append (text, " (measure again before you believe it)\n");
    }
}

static void
append_number (GString    *json,
               const char *name,
               double      value,
               const char *end)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  g_string_append_printf (json, "\"%s\": %s%s", name, g_ascii_formatd (buffer, sizeof buffer, "%.17g", value), end);
}

static void
append_json (GString              *json,
             const RhyCalibration *c)
{
  g_string_append (json, "{\n  \"causes\": [\n");
  for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
    {
      const RhyCause *cause = &c->causes[i];
      g_string_append_printf (json, "    {\"name\": \"%s\", \"supported\": %s, ", rhy_cause_kind_to_string (i),
                              cause->supported ? "true" : "false");
      if (cause->testable)
        {
          append_number (json, "uncertainty", cause->uncertainty, ", ");
          append_number (json, "value", cause->value, "}");
        }
      else
        g_string_append (json, "\"uncertainty\": null, \"value\": null}");
      g_string_append (json, i + 1 < RHY_CAUSE_N_KINDS ? ",\n" : "\n");
    }
  g_string_append (json, "  ],\n  \"format\": 1,\n  \"travel_per_turn_mm\": {");
  append_number (json, "uncertainty", c->uncertainty_mm, ", ");
  append_number (json, "value", c->travel_per_turn_mm, "}\n}\n");
}

/* Earlier results, then the new one: "160.1;0.4;159.8;0.5". */
static GArray *
known_travels (GKeyFile             *file,
               const RhyCalibration *c)
{
  GArray *list = g_array_new (FALSE, FALSE, sizeof (double));
  g_autofree char *text = g_key_file_get_value (file, "Machine", "TravelReadings", NULL);
  g_auto (GStrv) words = text != NULL ? g_strsplit (text, ";", -1) : NULL;
  for (char **w = words; w != NULL && w[0] != NULL && w[1] != NULL; w += 2)
    {
      double pair[2];
      if (cli_number (g_strstrip (w[0]), &pair[0]) && cli_number (g_strstrip (w[1]), &pair[1])
          && pair[0] > 0.0 && pair[1] > 0.0)
        g_array_append_vals (list, pair, 2);
    }
  const double now[] = { c->travel_per_turn_mm, c->uncertainty_mm };
  g_array_append_vals (list, now, 2);
  return list;
}

/* The learnt travel goes into the machine's file, or the job's own [Machine]; what
 * stood there stays as a comment, and what was learnt before counts.
 */
static gboolean
write_back (RhyJob               *job,
            const RhyCalibration *c,
            GError              **error)
{
  const RhyJobData *data = rhy_job_get_data (job);
  g_autofree char *path = data->machine.file != NULL ? rhy_job_resolve (job, data->machine.file)
                                                     : g_strdup (rhy_job_get_path (job));
  if (path == NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_JOB,
                           "--write needs a file to write to: name the job by its file, not by -");
      return FALSE;
    }
  g_autoptr (GKeyFile) file = g_key_file_new ();
  if (!g_key_file_load_from_file (file, path, G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS, error))
    {
      g_prefix_error (error, "%s: ", path);
      return FALSE;
    }

  g_autoptr (GArray) known = known_travels (file, c);
  const gsize n = known->len / 2;
  g_autofree double *travels = g_new (double, n);
  g_autofree double *uncertainties = g_new (double, n);
  g_autoptr (GString) readings = g_string_new (NULL);
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  for (gsize i = 0; i < n; i++)
    {
      travels[i] = g_array_index (known, double, 2 * i);
      uncertainties[i] = g_array_index (known, double, 2 * i + 1);
      g_string_append_printf (readings, "%s%s", i > 0 ? ";" : "",
                              g_ascii_formatd (buffer, sizeof buffer, "%.4f", travels[i]));
      g_string_append_printf (readings, ";%s", g_ascii_formatd (buffer, sizeof buffer, "%.4f", uncertainties[i]));
    }
  double travel, uncertainty;
  rhy_calibration_combine (travels, uncertainties, n, &travel, &uncertainty);

  g_autofree char *old = g_key_file_get_value (file, "Machine", "TravelPerTurn", NULL);
  g_key_file_set_value (file, "Machine", "TravelPerTurn", g_ascii_formatd (buffer, sizeof buffer, "%.4f", travel));
  g_key_file_set_value (file, "Machine", "TravelReadings", readings->str);
  g_autofree char *before = g_key_file_get_comment (file, "Machine", "TravelPerTurn", NULL);
  g_autofree char *comment = g_strdup_printf ("%s%s TravelPerTurn was %s; learnt from %" G_GSIZE_FORMAT " test piece%s",
                                              before != NULL ? before : "", before != NULL && *before != '\0'
                                              && !g_str_has_suffix (before, "\n") ? "\n" : "",
                                              old != NULL ? old : "auto", n, n == 1 ? "" : "s");
  g_key_file_set_comment (file, "Machine", "TravelPerTurn", comment, NULL);

  gsize length;
  char *text = g_key_file_to_data (file, &length, NULL);
  g_autoptr (GBytes) bytes = g_bytes_new_take (text, length);
  if (!rhy_drawing_save (bytes, path, error))
    return FALSE;
  g_printerr ("rhyton-cli: %s: TravelPerTurn is now %.4f (was %s)\n", path, travel, old != NULL ? old : "auto");
  return TRUE;
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
                                : from_grid (o, plan, set, u, &c, &error)))
    return cli_fail ("learn", error);

  g_autoptr (GString) text = g_string_new (NULL);
  if (o->json)
    append_json (text, &c);
  else
    append_text (text, &c, set, plan);
  if (!cli_print (text->str, text->len))
    return CLI_BAD;
  if (o->write && !write_back (rhy_plan_get_job (plan), &c, &error))
    return cli_fail (name, error);
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
