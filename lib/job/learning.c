/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/learning.h>

#include <math.h>

#include <rhyton/table.h>

#include "print.h"
#include "save.h"

#define DEGREES (180.0 / G_PI)

/* A plain number with a decimal point, whatever the locale, and nothing after it. */
/* Longer than anything that is burnt, as in a job file; more only spoils the sums. */
#define READING_MAX 10000.0

static gboolean
read_number (const char *text,
             double     *value)
{
  char *end;
  if (!g_ascii_isdigit (*text) && *text != '-' && *text != '+' && *text != '.')
    return FALSE;
  *value = g_ascii_strtod (text, &end);
  return end != text && *end == '\0' && isfinite (*value);
}

gboolean
rhy_learning_from_grid_file (RhyPlan         *plan,
                             const char      *path,
                             double           travel_set_mm,
                             double           u_mm,
                             RhyCalibration  *result,
                             GError         **error)
{
  g_return_val_if_fail (plan != NULL && path != NULL && result != NULL, FALSE);

  static const char *const names[] = { "height", "angle", "nominal_along", "printed_along",
                                       "nominal_around", "printed_around" };
  g_autoptr (RhyTable) table = rhy_table_new_from_file (path, error);
  if (table == NULL)
    return FALSE;
  gsize columns[G_N_ELEMENTS (names)];
  for (gsize k = 0; k < G_N_ELEMENTS (names); k++)
    if (!rhy_table_find_column (table, names[k], &columns[k]))
      {
        g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:1: no column %s: wanted height, angle, nominal_along, "
                     "printed_along, nominal_around, printed_around (mm, degrees)", path, names[k]);
        return FALSE;
      }
  const gsize n = rhy_table_get_n_rows (table);
  if (n == 0)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: no readings below the header", path);
      return FALSE;
    }
  RhyWall *wall = rhy_plan_get_wall (plan);
  g_autofree RhyGridReading *readings = g_new (RhyGridReading, n);
  for (gsize i = 0; i < n; i++)
    {
      double v[G_N_ELEMENTS (names)];
      for (gsize k = 0; k < G_N_ELEMENTS (names); k++)
        {
          const char *text = rhy_table_get (table, i, columns[k]);
          if (!read_number (text, &v[k]))
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%" G_GSIZE_FORMAT ": %s is %s: "
                           "must be a number with a decimal point", path, rhy_table_get_line (table, i), names[k],
                           *text != '\0' ? text : "empty");
              return FALSE;
            }
          if (!(fabs (v[k]) <= READING_MAX))
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%" G_GSIZE_FORMAT ": %s: found \"%s\": allowed: a number from %g to %g",
                           path, rhy_table_get_line (table, i), names[k], text, -READING_MAX, READING_MAX);
              return FALSE;
            }
        }
      RhyRing ring;
      if (!rhy_wall_at_height (wall, v[0], &ring))
        {
          g_autofree char *allowed = rhy_print ("a height on the wall, from %g to %g mm", rhy_wall_at (wall, 0.0).z_mm,
                                                rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm);
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%" G_GSIZE_FORMAT ": height: found \"%s\": allowed: %s", path,
                       rhy_table_get_line (table, i), rhy_table_get (table, i, columns[0]), allowed);
          return FALSE;
        }
      readings[i] = (RhyGridReading) { v[0], v[1] / DEGREES, v[2], v[3], v[4], v[5] };
    }
  return rhy_calibration_from_grid (wall, rhy_plan_get_numbers (plan)->tilt_rad, travel_set_mm,
                                    readings, n, u_mm, result, error);
}

char *
rhy_learning_describe_cause (RhyCauseKind    kind,
                             const RhyCause *c)
{
  g_return_val_if_fail (c != NULL, NULL);

  switch (kind)
    {
    case RHY_CAUSE_TRAVEL:
      return rhy_print ("travel per turn off by %+.2f +- %.2f mm", c->value, c->uncertainty);
    case RHY_CAUSE_AXIS_SCALE:
      return rhy_print ("scale along the axis %+.2f +- %.2f %%", 100 * c->value, 100 * c->uncertainty);
    case RHY_CAUSE_SHEAR:
      return rhy_print ("rotary axis askew by %+.2f +- %.2f degrees", DEGREES * c->value, DEGREES * c->uncertainty);
    case RHY_CAUSE_TAPER:
      return rhy_print ("widths change by %+.3f +- %.3f %% per 10 mm of height: taper misjudged",
                              1000 * c->value, 1000 * c->uncertainty);
    default:
      return rhy_print ("tilt off by %+.2f +- %.2f degrees", DEGREES * c->value, DEGREES * c->uncertainty);
    }
}

static void
append (GString *text,
        char    *line)
{
  g_string_append (text, line);
  g_free (line);
}

char *
rhy_learning_advise (const RhyCalibration *c,
                     const RhyPlan        *plan)
{
  g_return_val_if_fail (c != NULL && plan != NULL, NULL);

  GString *text = g_string_new (NULL);
  const RhyCause *scale = &c->causes[RHY_CAUSE_AXIS_SCALE];
  if (scale->supported && scale->value > 0.0 && !c->causes[RHY_CAUSE_TILT].testable)
    append (text, rhy_print ("A tilt off by %.1f degrees would print as much too long along the axis: "
                            "check the tilt before the scale.\n", DEGREES * acos (1.0 / (1.0 + scale->value))));

  if (c->causes[RHY_CAUSE_TAPER].supported)
    {
      const RhyJobData *job = rhy_job_get_data (rhy_plan_get_job (plan));
      g_string_append (text, "Diameters that would explain it:");
      for (gsize i = 0; i < job->vessel.n_stations; i++)
        append (text, rhy_print ("%s %.2f mm at %.4g", i > 0 ? "," : "", job->vessel.diameters_mm[i]
                                * (1.0 + c->causes[RHY_CAUSE_TAPER].value * (job->vessel.heights_mm[i] - c->middle_height_mm)),
                                job->vessel.heights_mm[i]));
      g_string_append (text, " (measure again before you believe it)\n");
    }
  return g_string_free (text, FALSE);
}

char *
rhy_learning_to_text (const RhyCalibration *c,
                      double                set,
                      const RhyPlan        *plan)
{
  g_return_val_if_fail (c != NULL && plan != NULL, NULL);

  g_autofree char *advice = rhy_learning_advise (c, plan);
  GString *text = g_string_new (NULL);
  append (text, rhy_print ("Travel per turn %.2f +- %.2f mm (about 95 %%); the piece was made with %.2f\n",
                          c->travel_per_turn_mm, c->uncertainty_mm, set));
  for (int i = 0; i < RHY_CAUSE_N_KINDS; i++)
    {
      const RhyCause *cause = &c->causes[i];
      if (!cause->testable)
        {
          append (text, rhy_print ("  cannot tell     %s: these readings say nothing about it\n",
                                  rhy_cause_kind_to_string (i)));
          continue;
        }
      g_autofree char *sentence = rhy_learning_describe_cause (i, cause);
      append (text, rhy_print ("  %s  %s\n", cause->supported ? "there         " : "not supported ", sentence));
    }
  g_string_append (text, "Causes are told apart by an F-test at the 1 % level.\n");
  g_string_append (text, advice);
  return g_string_free (text, FALSE);
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

char *
rhy_learning_to_json (const RhyCalibration *c)
{
  g_return_val_if_fail (c != NULL, NULL);

  GString *json = g_string_new (NULL);
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
  return g_string_free (json, FALSE);
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
      if (read_number (g_strstrip (w[0]), &pair[0]) && read_number (g_strstrip (w[1]), &pair[1])
          && pair[0] > 0.0 && pair[1] > 0.0)
        g_array_append_vals (list, pair, 2);
    }
  const double now[] = { c->travel_per_turn_mm, c->uncertainty_mm };
  g_array_append_vals (list, now, 2);
  return list;
}

char *
rhy_learning_write (const RhyJob         *job,
                    const RhyCalibration *c,
                    GError              **error)
{
  g_return_val_if_fail (job != NULL && c != NULL, NULL);

  const RhyJobData *data = rhy_job_get_data (job);
  g_autofree char *path = data->machine.file != NULL ? rhy_job_resolve (job, data->machine.file)
                                                     : g_strdup (rhy_job_get_path (job));
  if (path == NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_JOB,
                           "the job is in no file yet, so there is nothing to write to: save it first");
      return NULL;
    }
  g_autoptr (GKeyFile) file = g_key_file_new ();
  if (!g_key_file_load_from_file (file, path, G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS, error))
    {
      g_prefix_error (error, "%s: ", path);
      return NULL;
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
  g_autofree char *text = g_key_file_to_data (file, &length, NULL);
  if (!rhy_save (path, text, length, error))
    return NULL;
  return rhy_print ("%s: TravelPerTurn is now %.4f (was %s)", path, travel, old != NULL ? old : "auto");
}
