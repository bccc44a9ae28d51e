/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

#include <glib/gstdio.h>

typedef enum { VALUE, LIST, TEXT, NAME, SWITCH } Kind;

/* Every option is a key of the job file; the job file's own reader says what is allowed. */
typedef struct
{
  const char *option;
  char        letter;
  Kind        kind;
  const char *group, *key;
  const char *argument;
  const char *help;
} Setting;

static const Setting settings[] = {
  { "title", 't', TEXT, "Job", "Title", "TEXT", "What the job is" },
  { "note", 0, TEXT, "Job", "Note", "TEXT", "Anything worth keeping with it" },
  { "name", 0, TEXT, "Vessel", "Name", "TEXT", "What the vessel is called" },
  { "wall", 0, VALUE, "Vessel", "Wall", "FORM", "auto, straight, stepped or smooth (default auto)" },
  { "heights", 'z', LIST, "Vessel", "Heights", "MM,MM...", "Heights of the readings above the base, lowest first" },
  { "diameters", 'd', LIST, "Vessel", "Diameters", "MM,MM...", "Outside diameters there, by caliper" },
  { "circumferences", 'c', LIST, "Vessel", "Circumferences", "MM,MM...", "or circumferences, by tape; beside diameters, to compare (0: none)" },
  { "height-uncertainty", 0, VALUE, "Vessel", "HeightUncertainty", "MM", "Standard uncertainty of a height (default 0.5)" },
  { "diameter-uncertainty", 0, VALUE, "Vessel", "DiameterUncertainty", "MM",
    "Standard uncertainty of a diameter (default 0.05; by tape 0.16)" },
  { "slant", 0, VALUE, "Vessel", "Slant", "MM", "Length along the wall from the lowest to the highest reading, by tape" },
  { "overall-height", 0, VALUE, "Vessel", "OverallHeight", "MM", "Height of the highest reading, measured on its own" },
  { "profile", 'p', NAME, "Vessel", "Profile", "FILE", "or a file of heights and diameters, two numbers a line" },
  { "capacity", 0, VALUE, "Vessel", "Capacity", "ML", "What it is said to hold, to compare with: ml, or '16 US fl oz', '20 imperial fl oz'" },
  { "fill-height", 0, VALUE, "Vessel", "FillHeight", "MM", "Height of its fill line (default the brim)" },
  { "wall-thickness", 0, VALUE, "Vessel", "WallThickness", "MM", "Thickness of its side" },
  { "floor", 0, VALUE, "Vessel", "Floor", "MM", "Height of the floor inside" },
  { "artwork", 'a', NAME, "Artwork", "File", "FILE.svg", "The artwork" },
  { "text", 0, TEXT, "Artwork", "Text", "TEXT", "A line of lettering instead of a file" },
  { "font", 0, TEXT, "Artwork", "Font", "FONT", "Its font, e.g. \"DejaVu Serif Bold\"" },
  { "span", 0, VALUE, "Artwork", "Span", "DEG", "Width of the artwork as an angle of the vessel" },
  { "width", 'W', VALUE, "Artwork", "Width", "MM", "Width of its ink" },
  { "height", 'H', VALUE, "Artwork", "Height", "MM", "or height of its ink" },
  { "lay", 'l', VALUE, "Artwork", "Lay", "LAY",
    "rolled, ringed, ringed-balanced, angle-true, area-true, seen or least-stretch (default rolled)" },
  { "at", 0, VALUE, "Artwork", "At", "MM", "Height of its middle above the base (default half way up)" },
  { "around", 0, VALUE, "Artwork", "Around", "DEG", "How far round from the front, counter-clockwise from above" },
  { "turn", 0, VALUE, "Artwork", "Turn", "DEG", "Turn of the artwork in its own plane, anticlockwise" },
  { "eye-distance", 0, VALUE, "Artwork", "EyeDistance", "MM", "For seen: from the eye to the axis (default 600; 0 parallel)" },
  { "eye-height", 0, VALUE, "Artwork", "EyeHeight", "MM", "For seen: height of the eye (default level with the artwork)" },
  { "strokes", 0, VALUE, "Artwork", "Strokes", "WORD", "outline or centreline (default outline)" },
  { "ink", 0, VALUE, "Artwork", "Ink", "WORD",
    "drawn: every shape; seen: in one colour, white takes ink away, overlaps united; shades: in greys (default drawn)" },
  { "ink-shades", 0, VALUE, "Artwork", "InkShades", "N", "For ink in shades: how many, 1 to 16 (default 4)" },
  { "shades", 0, VALUE, "Artwork", "Shades", "WORD", "Pictures in greys, in black dots, or in colour: grey, dots or colour (default grey)" },
  { "trace", 0, VALUE, "Artwork", "Trace", "yes|no", "Pictures and gradients as outlines of their dark parts (default no)" },
  { "trace-threshold", 0, VALUE, "Artwork", "TraceThreshold", "N", "What is darker is ink, 0 black to 1 white (default 0.5)" },
  { "trace-smoothing", 0, VALUE, "Artwork", "TraceSmoothing", "N", "0 keeps every corner, 1 none (default 0.75)" },
  { "trace-speck", 0, VALUE, "Artwork", "TraceSpeck", "MM", "Smaller specks are left out (default 0.2)" },
  { "drive", 0, VALUE, "Hold", "Drive", "WORD", "chuck, rollers or pins (default chuck)" },
  { "end", 0, VALUE, "Hold", "End", "WORD", "Which end is held: base or mouth (default base)" },
  { "tilt", 0, VALUE, "Hold", "Tilt", "auto|level|DEG", "How far the work is tilted (default auto)" },
  { "contact-height", 0, VALUE, "Hold", "ContactHeight", "MM", "Rollers: height of the ring that they touch" },
  { "reference-diameter", 0, VALUE, "Hold", "ReferenceDiameter", "auto|MM", "Diameter that the machine is set to (default auto)" },
  { "machine", 'm', NAME, "Machine", "File", "FILE", "A machine file" },
  { "travel-per-turn", 'T', VALUE, "Machine", "TravelPerTurn", "auto|MM", "Drawing mm that turn the work once" },
  { "axis", 0, VALUE, "Machine", "Axis", "x|y", "Bed axis along the rotary axis (default x)" },
  { "mouth", 0, VALUE, "Machine", "Mouth", "plus|minus", "Which way the mouth points (default plus: right, or up)" },
  { "turn-reversed", 0, SWITCH, "Machine", "TurnReversed", NULL, "The machine turns the wrong way round" },
  { "tolerance", 0, VALUE, "Output", "Tolerance", "MM", "Greatest error on the wall (default 0.01)" },
  { "dots-per-inch", 0, VALUE, "Output", "DotsPerInch", "N", "How fine pictures are in the drawing (default 300)" },
  { "page", 0, VALUE, "Output", "Page", "ink|turn", "Page as large as the ink, or one whole turn (default ink)" },
};

typedef struct
{
  char    *text[G_N_ELEMENTS (settings)];
  gboolean on[G_N_ELEMENTS (settings)];
} Values;

/* Lists are written with commas, semicolons or blanks, as the shell makes it easiest. */
static char *
list_text (const char *text)
{
  g_auto (GStrv) parts = g_strsplit_set (text, ",; ", -1);
  g_autoptr (GString) list = g_string_new (NULL);
  for (gsize i = 0; parts[i] != NULL; i++)
    if (*parts[i] != '\0')
      g_string_append_printf (list, "%s%s", list->len > 0 ? ";" : "", parts[i]);
  return g_string_free (g_steal_pointer (&list), FALSE);
}

/* A vessel's own groups, and where they come from. */
static gboolean
begin_with (GKeyFile   *file,
            const char *vessel,
            GError    **error)
{
  g_autoptr (RhyVessels) vessels = cli_vessels ();
  const RhyVesselEntry *entry = rhy_vessels_find (vessels, vessel, error);
  if (entry == NULL)
    return FALSE;

  gsize length = 0;
  g_autofree char *text = rhy_job_to_data (entry->job, &length);
  g_autoptr (GKeyFile) from = g_key_file_new ();
  if (!g_key_file_load_from_data (from, text, length, G_KEY_FILE_NONE, error))
    return FALSE;
  g_autofree char *note = g_strdup_printf ("%s%s%s: %s", entry->name, entry->note != NULL ? ": " : "",
                                           entry->note != NULL ? entry->note : "",
                                           entry->published ? "published sizes, with tolerances" : "typical sizes: measure yours");
  g_key_file_set_string (file, "Job", "Note", note);
  g_auto (GStrv) groups = g_key_file_get_groups (from, NULL);
  for (gsize i = 0; groups[i] != NULL; i++)
    {
      g_auto (GStrv) keys = g_key_file_get_keys (from, groups[i], NULL, NULL);
      for (gsize k = 0; strcmp (groups[i], "Catalogue") != 0 && keys[k] != NULL; k++)
        {
          g_autofree char *value = g_key_file_get_value (from, groups[i], keys[k], NULL);
          g_key_file_set_value (file, groups[i], keys[k], value);
        }
    }
  return TRUE;
}

/* Readings of one's own take the place of the catalogue's, and so does how sure they are. */
static void
make_room (GKeyFile     *file,
           const Values *values)
{
  for (gsize i = 0; i < G_N_ELEMENTS (settings); i++)
    if (settings[i].kind == LIST && values->text[i] != NULL)
      {
        const char *const typical[] = { "Diameters", "Circumferences", "HeightUncertainty", "DiameterUncertainty",
                                        "WallThickness", "Floor", "Capacity" };
        for (gsize k = 0; k < G_N_ELEMENTS (typical); k++)
          g_key_file_remove_key (file, "Vessel", typical[k], NULL);
        g_key_file_remove_key (file, "Job", "Note", NULL);
        return;
      }
}

/* All keys at once: the readings make no job one by one. */
static RhyJob *
make_job (const Values *values,
          const char   *vessel,
          GError      **error)
{
  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_key_file_set_value (file, "Job", "Format", "1");
  if (vessel != NULL && !begin_with (file, vessel, error))
    return NULL;
  make_room (file, values);
  for (gsize i = 0; i < G_N_ELEMENTS (settings); i++)
    {
      const Setting *s = &settings[i];
      const char *text = values->text[i];
      if (s->kind == SWITCH && values->on[i])
        g_key_file_set_value (file, s->group, s->key, "true");
      if (text == NULL)
        continue;
      if (!g_utf8_validate (text, -1, NULL))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "--%s: not UTF-8 text", s->option);
          return NULL;
        }
      g_autofree char *list = s->kind == LIST ? list_text (text) : NULL;
      if (s->kind == TEXT || s->kind == NAME)
        g_key_file_set_string (file, s->group, s->key, text);
      else if (strpbrk (text, "\n\r") == NULL)
        g_key_file_set_value (file, s->group, s->key, list != NULL ? list : text);
      else
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "--%s: holds a line break", s->option);
          return NULL;
        }
    }
  gsize length = 0;
  g_autofree char *text = g_key_file_to_data (file, &length, NULL);
  return rhy_job_new_from_data (text, (gssize) length, NULL, error);
}

static gboolean
are_files_there (const Values *values,
                 GError      **error)
{
  for (gsize i = 0; i < G_N_ELEMENTS (settings); i++)
    if (settings[i].kind == NAME && values->text[i] != NULL && g_access (values->text[i], R_OK) != 0)
      {
        const int code = errno;
        g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (code), "%s: %s", values->text[i], g_strerror (code));
        return FALSE;
      }
  return TRUE;
}

static const char *
value_of (const Values *values,
          const char   *option)
{
  for (gsize i = 0; i < G_N_ELEMENTS (settings); i++)
    if (strcmp (settings[i].option, option) == 0)
      return values->text[i];
  return NULL;
}

static int
print_job (const RhyJob *job)
{
  gsize length = 0;
  g_autofree char *text = rhy_job_to_data (job, &length);
  return cli_print (text, length) ? CLI_DONE : CLI_BAD;
}

static int
save_job (const RhyJob *job,
          const char   *path)
{
  GError *error = NULL;
  g_autoptr (RhyJob) saved = rhy_job_save (job, path, &error);
  if (saved == NULL)
    return cli_fail (path, error);
  fprintf (stderr, "rhyton-cli: wrote %s; see what it makes of it with: rhyton-cli check %s\n", path, path);
  return CLI_DONE;
}

static int
run (const Values *values,
     const char   *vessel,
     const char   *output)
{
  const char *artwork = value_of (values, "artwork");
  GError *error = NULL;
  const gboolean has_girth = value_of (values, "diameters") != NULL || value_of (values, "circumferences") != NULL;
  if (vessel == NULL && value_of (values, "profile") == NULL
      && (value_of (values, "heights") == NULL || !has_girth))
    return cli_usage ("new", "--heights and --diameters (or --circumferences) are needed, or --profile, or --vessel");
  if (vessel != NULL && value_of (values, "heights") != NULL && !has_girth)
    return cli_usage ("new", "with heights of your own, --diameters or --circumferences are needed too");
  if (!are_files_there (values, &error))
    return cli_fail (NULL, error);
  g_autoptr (RhyJob) job = make_job (values, vessel, &error);
  if (job == NULL)
    return cli_fail ("new", error);
  if (g_strcmp0 (output, "-") == 0)
    return print_job (job);

  g_autofree char *path = output != NULL ? g_strdup (output) : cli_default_name (artwork != NULL ? artwork : "job", ".rhyton");
  if (output == NULL && g_file_test (path, G_FILE_TEST_EXISTS))
    return cli_usage ("new", "%s is there already; name it with -o to replace it", path);
  return save_job (job, path);
}

int
cli_new (int    argc,
         char **argv)
{
  Values values = { 0 };
  g_autofree char *output = NULL;
  g_autofree char *vessel = NULL;
  GOptionEntry entries[G_N_ELEMENTS (settings) + 3] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output,
      "Where to (default: the artwork's name, .rhyton); - for standard output", "JOB" },
    { "vessel", 'v', 0, G_OPTION_ARG_STRING, &vessel,
      "A blank of the catalogue to begin with (rhyton-cli vessels lists them)", "NAME" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (settings); i++)
    entries[i + 2] = (GOptionEntry) {
      .long_name = settings[i].option,
      .short_name = settings[i].letter,
      .arg = settings[i].kind == SWITCH ? G_OPTION_ARG_NONE : G_OPTION_ARG_FILENAME,
      .arg_data = settings[i].kind == SWITCH ? (gpointer) &values.on[i] : (gpointer) &values.text[i],
      .description = settings[i].help,
      .arg_description = settings[i].argument,
    };

  int status;
  if (cli_options (&argc, &argv, entries, "", "Writes a job file from readings and artwork.",
                   "For instance:\n  rhyton-cli new --heights 0,150 --diameters 62,88 --artwork crest.svg --width 60\n"
                   "  rhyton-cli new --vessel pint-conical --artwork crest.svg --width 60", &status))
    status = run (&values, vessel, output);
  for (gsize i = 0; i < G_N_ELEMENTS (settings); i++)
    g_free (values.text[i]);
  return status;
}
