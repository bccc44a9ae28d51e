/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/job.h>
#include <rhyton/units.h>

#include "save.h"

#include <rhyton/intake.h>
#include <rhyton/lettering.h>
#include <rhyton/shade.h>

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>

/* A job file is a page of text; a sampled profile lives in a file of its own.
 * The bound keeps an endless device or a wrong file from filling the memory. */
#define FILE_LIMIT_BYTES (4u << 20)

/* Ten metres of tableware: beyond it a unit or a sign has gone wrong. */
#define LENGTH_LIMIT_MM 1e4

#define STATIONS_LIMIT 10000

#define NEWEST_FORMAT 1

struct _RhyJob
{
  GKeyFile     *file;
  char         *path;
  GStringChunk *strings;
  double       *heights;
  double       *diameters;
  double       *tapes;          /* beside diameters by caliper */
  RhyZone      *zones;
  RhyJobArtwork *artworks;
  char        **unknown;
  RhyJobData    data;
};

/* A key file being read, and what messages need to point into it. */
typedef struct
{
  GKeyFile     *file;
  const char   *name;
  const char   *text;           /* NULL: lines are not worth naming (an edit) */
  GStringChunk *strings;
  GPtrArray    *known;          /* "Group\nKey" of all that was asked for */
} Source;

/* ---- messages ---- */

static const char *
skip_mark (const char *text)
{
  return g_str_has_prefix (text, "\xEF\xBB\xBF") ? text + 3 : text;
}

/* What was found, fit for one line of a terminal. */
static char *
quoted (const char *found,
        gsize       length)
{
  const gsize most = 60;
  GString *s = g_string_new ("\"");
  const char *end = found + length;
  gsize n = 0;
  for (const char *p = found; p < end && n < most; p = g_utf8_next_char (p), n++)
    {
      const gunichar c = g_utf8_get_char_validated (p, end - p);
      if (c == (gunichar) -1 || c == (gunichar) -2)
        break;
      g_string_append_unichar (s, g_unichar_isprint (c) ? c : 0xFFFD);
    }
  if (n == most)
    g_string_append (s, "...");
  g_string_append_c (s, '"');
  return g_string_free (s, FALSE);
}

typedef struct
{
  const char *start, *end;      /* without line break and outer blanks */
  guint       number;
} Line;

static gboolean
next_line (const char **cursor,
           Line        *line)
{
  if (**cursor == '\0')
    return FALSE;
  const char *start = *cursor;
  const char *end = start + strcspn (start, "\n");
  *cursor = *end == '\n' ? end + 1 : end;
  while (start < end && g_ascii_isspace (*start))
    start++;
  while (end > start && g_ascii_isspace (end[-1]))
    end--;
  line->start = start;
  line->end = end;
  line->number++;
  return TRUE;
}

typedef enum { LINE_NOTHING, LINE_GROUP, LINE_KEY, LINE_BAD } LineKind;

/* @name: the group's or the key's, borrowed from the text. */
static LineKind
kind_of (const Line  *line,
         const char **name,
         gsize       *length)
{
  if (line->start == line->end || *line->start == '#')
    return LINE_NOTHING;
  if (*line->start == '[')
    {
      if (line->end[-1] != ']' || line->end - line->start < 3)
        return LINE_BAD;
      *name = line->start + 1;
      *length = (gsize) (line->end - line->start) - 2;
      return LINE_GROUP;
    }
  const char *equals = memchr (line->start, '=', (gsize) (line->end - line->start));
  if (equals == NULL || equals == line->start)
    return LINE_BAD;
  const char *end = equals;
  while (end > line->start && g_ascii_isspace (end[-1]))
    end--;
  *name = line->start;
  *length = (gsize) (end - line->start);
  return *length > 0 ? LINE_KEY : LINE_BAD;
}

/* Where a key stands, or its group if there is no such key; 0 if neither is there. */
static guint
line_of (const char *text,
         const char *group,
         const char *key)
{
  Line line = { .number = 0 };
  guint group_line = 0;
  gboolean inside = FALSE;
  const char *cursor = text != NULL ? skip_mark (text) : "";
  while (next_line (&cursor, &line))
    {
      const char *name = NULL;
      gsize n = 0;
      switch (kind_of (&line, &name, &n))
        {
        case LINE_GROUP:
          inside = strlen (group) == n && memcmp (group, name, n) == 0;
          if (inside && group_line == 0)
            group_line = line.number;
          break;
        case LINE_KEY:
          if (inside && strlen (key) == n && memcmp (key, name, n) == 0)
            return line.number;
          break;
        default:
          break;
        }
    }
  return group_line;
}

static char *
place (const char *name,
       guint       line)
{
  return line > 0 ? g_strdup_printf ("%s:%u", name, line) : g_strdup (name);
}

/* @found: (nullable): NULL says that the key is missing. Always FALSE. */
static gboolean
complain (const Source *source,
          const char   *group,
          const char   *key,
          const char   *found,
          const char   *allowed,
          GError      **error)
{
  g_autofree char *at = place (source->name, line_of (source->text, group, key));
  if (found == NULL)
    g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: [%s] %s: missing: allowed: %s", at, group, key, allowed);
  else
    {
      g_autofree char *quote = quoted (found, strlen (found));
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: [%s] %s: found %s: allowed: %s",
                   at, group, key, quote, allowed);
    }
  return FALSE;
}

/* ---- values ---- */

/* The raw text of a key, blanks off; NULL if the file has no such key. */
static char *
raw (const Source *source,
     const char   *group,
     const char   *key)
{
  if (source->known != NULL)
    g_ptr_array_add (source->known, g_strconcat (group, "\n", key, NULL));
  char *text = g_key_file_get_value (source->file, group, key, NULL);
  return text != NULL ? g_strstrip (text) : NULL;
}

/* A plain decimal number with a point: no hexadecimal, no infinity, nothing after it. */
static gboolean
is_number (const char *text,
           double     *value)
{
  if (*text == '\0' || text[strspn (text, "0123456789+-.eE")] != '\0')
    return FALSE;
  char *end = NULL;
  *value = g_ascii_strtod (text, &end);
  return end != text && *end == '\0' && isfinite (*value);
}

/* Halves and quarters of a turn come out exact in this order. */
static double
radians (double degrees)
{
  return degrees / 180.0 * G_PI;
}

typedef enum
{
  PLAIN = 0,
  DEGREES = 1 << 0,     /* stored in radians */
  MAY_BE_AUTO = 1 << 1, /* the word stands for 0 */
  ABOVE = 1 << 2,       /* the least value itself is not allowed */
} NumberFlags;

typedef struct
{
  const char *group, *key;
  gsize       offset;
  double      least, greatest;
  NumberFlags flags;
  const char *unit;
} NumberKey;

static char *
allowed_number (const NumberKey *k)
{
  char least[G_ASCII_DTOSTR_BUF_SIZE], greatest[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (least, sizeof least, "%.6g", k->least);
  g_ascii_formatd (greatest, sizeof greatest, "%.6g", k->greatest);
  const char *comma = k->unit[0] != '\0' ? " " : "";
  return g_strdup_printf ("%sa number %s %s up to %s%s%s",
                          k->flags & MAY_BE_AUTO ? "auto, or " : "",
                          k->flags & ABOVE ? "above" : "from", least, greatest, comma, k->unit);
}

static gboolean
read_number (const Source    *source,
             const NumberKey *k,
             void            *base,
             GError         **error)
{
  g_autofree char *text = raw (source, k->group, k->key);
  if (text == NULL)
    return TRUE;

  double value = 0.0;
  if ((k->flags & MAY_BE_AUTO) && strcmp (text, "auto") == 0)
    value = 0.0;
  else if (!is_number (text, &value)
           || !(k->flags & ABOVE ? value > k->least : value >= k->least)
           || !(value <= k->greatest))
    {
      g_autofree char *allowed = allowed_number (k);
      return complain (source, k->group, k->key, text, allowed, error);
    }
  *(double *) ((char *) base + k->offset) = k->flags & DEGREES ? radians (value) : value;
  return TRUE;
}

typedef struct
{
  const char        *group, *key;
  gsize              offset;    /* of an enumeration or a gboolean */
  const char *const *words;     /* NULL-terminated, in the enumeration's order */
} WordKey;

static gboolean
read_word (const Source  *source,
           const WordKey *k,
           void          *base,
           GError       **error)
{
  g_autofree char *text = raw (source, k->group, k->key);
  if (text == NULL)
    return TRUE;

  for (int i = 0; k->words[i] != NULL; i++)
    if (strcmp (text, k->words[i]) == 0)
      {
        memcpy ((char *) base + k->offset, &i, sizeof i);
        return TRUE;
      }
  g_autofree char *allowed = g_strjoinv (", ", (char **) k->words);
  return complain (source, k->group, k->key, text, allowed, error);
}

/* @value: set to a string of the source's, or NULL where the key is missing or empty. */
static gboolean
read_string (const Source *source,
             const char   *group,
             const char   *key,
             const char  **value,
             GError      **error)
{
  g_autofree char *text = raw (source, group, key);
  *value = NULL;
  if (text == NULL || *text == '\0')
    return TRUE;

  g_autoptr (GError) local = NULL;
  g_autofree char *plain = g_key_file_get_string (source->file, group, key, &local);
  if (plain == NULL || local != NULL)
    return complain (source, group, key, text, "text, with a backslash written as \\\\", error);
  *value = g_string_chunk_insert (source->strings, plain);
  return TRUE;
}

/* ---- [Vessel] ---- */

static gboolean
read_list (const Source *source,
           const char   *key,
           const char   *allowed,
           gboolean      positive,
           double      **values,
           gsize        *n,
           GError      **error)
{
  g_autofree char *text = raw (source, "Vessel", key);
  *n = 0;
  if (text == NULL)
    return TRUE;

  g_auto (GStrv) parts = g_strsplit (text, ";", -1);
  gsize count = g_strv_length (parts);
  /* Key files allow a list to end with its separator. */
  if (count > 0 && *g_strstrip (parts[count - 1]) == '\0')
    count--;
  if (count > STATIONS_LIMIT)
    return complain (source, "Vessel", key, text, "at most 10000 numbers", error);

  g_autofree double *list = g_new0 (double, count + 1);
  for (gsize i = 0; i < count; i++)
    {
      const char *part = g_strstrip (parts[i]);
      if (is_number (part, &list[i]) && fabs (list[i]) <= LENGTH_LIMIT_MM && (!positive || list[i] > 0.0))
        continue;
      g_autofree char *quote = quoted (part, strlen (part));
      g_autofree char *more = g_strdup_printf ("%s (number %" G_GSIZE_FORMAT " is %s)", allowed, i + 1, quote);
      return complain (source, "Vessel", key, text, more, error);
    }
  *values = g_steal_pointer (&list);
  *n = count;
  return TRUE;
}

#define HEIGHTS_ALLOWED "two or more heights in mm, lowest first, each above the one before, separated by ;"

static gboolean
read_heights (const Source *source,
              RhyJob       *self,
              GError      **error)
{
  gsize n = 0;
  if (!read_list (source, "Heights", HEIGHTS_ALLOWED, FALSE, &self->heights, &n, error))
    return FALSE;
  g_autofree char *text = g_key_file_get_value (source->file, "Vessel", "Heights", NULL);
  if (n < 2)
    return complain (source, "Vessel", "Heights", text, HEIGHTS_ALLOWED, error);
  for (gsize i = 1; i < n; i++)
    if (!(self->heights[i] > self->heights[i - 1]))
      {
        g_autofree char *more = g_strdup_printf (HEIGHTS_ALLOWED " (number %" G_GSIZE_FORMAT
                                                 " is not above number %" G_GSIZE_FORMAT ")", i + 1, i);
        return complain (source, "Vessel", "Heights", text, more, error);
      }
  self->data.vessel.n_stations = n;
  self->data.vessel.heights_mm = self->heights;
  return TRUE;
}

/* One number for each height. */
static gboolean
read_readings (const Source *source,
               RhyJob       *self,
               const char   *key,
               const char   *allowed,
               gboolean      positive,
               double      **values,
               GError      **error)
{
  gsize n = 0;
  if (!read_list (source, key, allowed, positive, values, &n, error))
    return FALSE;
  if (n == self->data.vessel.n_stations)
    return TRUE;
  g_autofree char *text = g_key_file_get_value (source->file, "Vessel", key, NULL);
  g_autofree char *more = g_strdup_printf ("%s (found %" G_GSIZE_FORMAT " for %" G_GSIZE_FORMAT " heights)",
                                           allowed, n, self->data.vessel.n_stations);
  return complain (source, "Vessel", key, text, more, error);
}

static gboolean
read_diameters (const Source *source,
                RhyJob       *self,
                GError      **error)
{
  const gboolean has_tape = g_key_file_has_key (source->file, "Vessel", "Circumferences", NULL);
  const gboolean has_caliper = g_key_file_has_key (source->file, "Vessel", "Diameters", NULL);
  const gboolean by_tape = has_tape && !has_caliper;
  const gsize n = self->data.vessel.n_stations;
  if (!by_tape
      && !read_readings (source, self, "Diameters",
                         "outside diameters above 0 up to 10000 mm, one for each height, separated by ;",
                         TRUE, &self->diameters, error))
    return FALSE;
  if (by_tape
      && !read_readings (source, self, "Circumferences",
                         "outside circumferences above 0 up to 10000 mm, one for each height, separated by ;",
                         TRUE, &self->diameters, error))
    return FALSE;
  for (gsize i = 0; by_tape && i < n; i++)
    self->diameters[i] /= G_PI;
  self->data.vessel.diameters_mm = self->diameters;
  self->data.vessel.by_tape = by_tape;
  /* Common practice, no source: a caliper is good for 0.05 mm, a tape for 0.5 mm of girth. */
  self->data.vessel.diameter_uncertainty_mm = by_tape ? RHY_TAPE_U_MM / G_PI : RHY_CALIPER_U_MM;

  if (!has_tape || by_tape)
    return TRUE;
  const char *allowed = "beside Diameters: outside circumferences up to 10000 mm, one for each height, "
                        "0 where there is none, separated by ;";
  if (!read_readings (source, self, "Circumferences", allowed, FALSE, &self->tapes, error))
    return FALSE;
  for (gsize i = 0; i < n; i++)
    {
      if (self->tapes[i] < 0.0)
        {
          g_autofree char *text = g_key_file_get_value (source->file, "Vessel", "Circumferences", NULL);
          return complain (source, "Vessel", "Circumferences", text, allowed, error);
        }
      if (self->tapes[i] == 0.0)
        self->tapes[i] = NAN;
    }
  self->data.vessel.circumferences_mm = self->tapes;
  return TRUE;
}

/* A number of ml, or of fluid ounces of either kind. */
static gboolean
read_capacity (const Source *source,
               RhyJobData   *data,
               GError      **error)
{
  g_autofree char *text = raw (source, "Vessel", "Capacity");
  if (text == NULL)
    return TRUE;
  if (!rhy_volume_parse (text, &data->vessel.capacity_ml))
    return complain (source, "Vessel", "Capacity", text,
                     "a number above 0 up to 1000000, in ml unless US fl oz or imperial fl oz follows", error);
  return TRUE;
}

static gboolean
read_vessel (const Source *source,
             RhyJob       *self,
             GError      **error)
{
  if (!read_string (source, "Vessel", "Name", &self->data.vessel.name, error)
      || !read_string (source, "Vessel", "Profile", &self->data.vessel.profile_file, error)
      || !read_capacity (source, &self->data, error))
    return FALSE;
  if (self->data.vessel.profile_file != NULL
      && !g_key_file_has_key (source->file, "Vessel", "Heights", NULL))
    {
      self->data.vessel.diameter_uncertainty_mm = 0.05;
      return TRUE;
    }
  return read_heights (source, self, error) && read_diameters (source, self, error);
}

/* ---- [Zone NAME] ---- */

static const char *const zone_words[] = { "handle", "jaws", "tailstock", "seam", "rim", "base", "mark", NULL };

static gboolean
read_zone (const Source *source,
           const char   *group,
           RhyZone      *zone,
           GError      **error)
{
  const NumberKey numbers[] = {
    { group, "Centre", offsetof (RhyZone, centre_rad), -36000, 36000, DEGREES, "degrees" },
    { group, "Width", offsetof (RhyZone, width_rad), 0, 360, DEGREES | ABOVE, "degrees" },
    { group, "From", offsetof (RhyZone, from_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
    { group, "To", offsetof (RhyZone, to_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
    { group, "Stand", offsetof (RhyZone, stand_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
    { group, "Margin", offsetof (RhyZone, margin_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  };
  const WordKey kind = { group, "Kind", offsetof (RhyZone, kind), zone_words };

  zone->name = g_string_chunk_insert (source->strings, group + strlen ("Zone "));
  if (!g_key_file_has_key (source->file, group, "Kind", NULL))
    {
      g_autofree char *allowed = g_strjoinv (", ", (char **) zone_words);
      return complain (source, group, "Kind", NULL, allowed, error);
    }
  if (!read_word (source, &kind, zone, error))
    return FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (!read_number (source, &numbers[i], zone, error))
      return FALSE;
  if (!(zone->from_mm < zone->to_mm))
    {
      g_autofree char *text = g_key_file_get_value (source->file, group, "To", NULL);
      return complain (source, group, "To", text, "a height above From", error);
    }
  return TRUE;
}

/* More than anybody marks on a vessel; every one is held against the ink's true shapes. */
#define ZONES_LIMIT 100

static gboolean
read_zones (const Source *source,
            RhyJob       *self,
            GError      **error)
{
  const gsize n_stations = self->data.vessel.n_stations;
  const RhyZone all_round = {
    .width_rad = 2.0 * G_PI,
    .from_mm = n_stations > 0 ? self->heights[0] : -LENGTH_LIMIT_MM,
    .to_mm = n_stations > 0 ? self->heights[n_stations - 1] : LENGTH_LIMIT_MM,
  };
  g_autoptr (GArray) zones = g_array_new (FALSE, TRUE, sizeof (RhyZone));
  g_auto (GStrv) groups = g_key_file_get_groups (source->file, NULL);
  for (gsize i = 0; groups[i] != NULL; i++)
    {
      if (!g_str_has_prefix (groups[i], "Zone "))
        continue;
      RhyZone zone = all_round;
      if (zones->len == ZONES_LIMIT)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%s: [%s]: more than %d zones: allowed: up to %d; let one zone stand for several",
                       source->name, groups[i], ZONES_LIMIT, ZONES_LIMIT);
          return FALSE;
        }
      if (!read_zone (source, groups[i], &zone, error))
        return FALSE;
      g_array_append_val (zones, zone);
    }
  self->data.n_zones = zones->len;
  self->zones = (RhyZone *) (void *) g_array_free (g_steal_pointer (&zones), FALSE);
  self->data.zones = self->zones;
  return TRUE;
}

/* ---- the flat keys ---- */

#define WORDS(...) (const char *const[]) { __VA_ARGS__, NULL }
#define AT(field) offsetof (RhyJobData, field)

static const NumberKey number_keys[] = {
  { "Vessel", "HeightUncertainty", AT (vessel.height_uncertainty_mm), 0, 100, ABOVE, "mm" },
  { "Vessel", "DiameterUncertainty", AT (vessel.diameter_uncertainty_mm), 0, 100, ABOVE, "mm" },
  { "Vessel", "Slant", AT (vessel.slant_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
  { "Vessel", "OverallHeight", AT (vessel.overall_height_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
  { "Vessel", "WallThickness", AT (vessel.wall_thickness_mm), 0, 1000, PLAIN, "mm" },
  { "Vessel", "Floor", AT (vessel.floor_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Vessel", "FillHeight", AT (vessel.fill_height_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Hold", "ContactHeight", AT (hold.contact_height_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Hold", "ReferenceDiameter", AT (hold.reference_diameter_mm), 0, LENGTH_LIMIT_MM, ABOVE | MAY_BE_AUTO, "mm" },
  { "Hold", "Sag", AT (hold.sag_rad), -45, 45, DEGREES, "degrees" },
  { "Hold", "Runout", AT (hold.runout_mm), 0, 100, PLAIN, "mm" },
  { "Hold", "SupportHeight", AT (hold.support_height_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Hold", "Defocus", AT (hold.defocus_mm), -1000, 1000, PLAIN, "mm" },
  /* Finer than a rounding of the numbers is no use, coarser than a millimetre no drawing. */
  { "Output", "Tolerance", AT (output.tolerance_mm), 1e-5, 1, PLAIN, "mm" },
  /* A picture coarser than that is none; no beam is finer than 0.01 mm. */
  { "Output", "DotsPerInch", AT (output.dots_per_inch), 20, 2400, PLAIN, "dots an inch" },
};

static const WordKey word_keys[] = {
  { "Vessel", "Wall", AT (vessel.form), WORDS ("auto", "straight", "stepped", "smooth") },
  { "Hold", "Drive", AT (hold.drive), WORDS ("chuck", "rollers", "pins") },
  { "Hold", "End", AT (hold.end), WORDS ("base", "mouth") },
  { "Hold", "Grip", AT (hold.grip), WORDS ("outside", "inside") },
  { "Hold", "Support", AT (hold.support), WORDS ("none", "tailstock", "roller") },
  { "Output", "Page", AT (output.page), WORDS ("ink", "turn") },
  { "Output", "Mark", AT (output.mark), WORDS ("false", "true") },
  { "Output", "FreeArea", AT (output.free_area), WORDS ("false", "true") },
};

static const NumberKey machine_numbers[] = {
  { "Machine", "TravelPerTurn", AT (machine.travel_per_turn_mm), 0, 1e5, ABOVE | MAY_BE_AUTO, "mm" },
  { "Machine", "BedWidth", AT (machine.bed_width_mm), 0, 1e5, ABOVE, "mm" },
  { "Machine", "BedHeight", AT (machine.bed_height_mm), 0, 1e5, ABOVE, "mm" },
  { "Machine", "TiltMin", AT (machine.tilt_min_rad), -90, 90, DEGREES, "degrees" },
  { "Machine", "TiltMax", AT (machine.tilt_max_rad), -90, 90, DEGREES, "degrees" },
  { "Machine", "AxisHeight", AT (machine.axis_height_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "WorkingDistance", AT (machine.working_distance_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "NozzleRadius", AT (machine.nozzle_radius_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "HeadHalfWidth", AT (machine.head_half_width_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "DepthOfFocus", AT (machine.depth_of_focus_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
  { "Machine", "HeadHeight", AT (machine.head_height_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "NozzleTop", AT (machine.nozzle_top_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "JawDepth", AT (machine.jaw_depth_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "JawStand", AT (machine.jaw_stand_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "ChuckRadius", AT (machine.chuck_radius_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "PinRadius", AT (machine.pin_radius_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
  { "Machine", "PinLength", AT (machine.pin_length_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
  { "Machine", "TailstockRadius", AT (machine.tailstock_radius_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
  { "Machine", "RollerRadius", AT (machine.roller_radius_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
  { "Machine", "RollerGap", AT (machine.roller_gap_mm), 0, LENGTH_LIMIT_MM, PLAIN, "mm" },
};

static const WordKey machine_words[] = {
  { "Machine", "Axis", AT (machine.axis), WORDS ("x", "y") },
  { "Machine", "Mouth", AT (machine.mouth), WORDS ("plus", "minus") },
  { "Machine", "TurnReversed", AT (machine.turn_reversed), WORDS ("false", "true") },
};

static gboolean
read_flat (const Source    *source,
           const NumberKey *numbers,
           gsize            n_numbers,
           const WordKey   *words,
           gsize            n_words,
           RhyJobData      *data,
           GError         **error)
{
  for (gsize i = 0; i < n_numbers; i++)
    if (!read_number (source, &numbers[i], data, error))
      return FALSE;
  for (gsize i = 0; i < n_words; i++)
    if (!read_word (source, &words[i], data, error))
      return FALSE;
  return TRUE;
}

static gboolean
read_tilt (const Source *source,
           RhyJobData   *data,
           GError      **error)
{
  g_autofree char *text = raw (source, "Hold", "Tilt");
  double degrees = 0.0;
  if (text == NULL || strcmp (text, "auto") == 0)
    data->hold.tilt_mode = RHY_TILT_AUTO;
  else if (strcmp (text, "level") == 0)
    data->hold.tilt_mode = RHY_TILT_LEVEL;
  else if (is_number (text, &degrees) && degrees > -90.0 && degrees < 90.0)
    {
      data->hold.tilt_mode = RHY_TILT_SET;
      data->hold.tilt_rad = radians (degrees);
    }
  else
    return complain (source, "Hold", "Tilt", text, "auto, level, or a number between -90 and 90 degrees", error);
  return TRUE;
}

/* ---- [Artwork], [Artwork NAME] ---- */

#define IN_ARTWORK(field) offsetof (RhyJobArtwork, field)

static gboolean
read_count (const Source *source,
            const char   *group,
            const char   *key,
            guint         most,
            guint        *count,
            GError      **error)
{
  g_autofree char *text = raw (source, group, key);
  guint64 n = 0;
  if (text == NULL)
    return TRUE;
  if (!g_ascii_string_to_unsigned (text, 10, 1, most, &n, NULL))
    {
      g_autofree char *allowed = g_strdup_printf ("a whole number from 1 to %u", most);
      return complain (source, group, key, text, allowed, error);
    }
  *count = (guint) n;
  return TRUE;
}

static gboolean
read_artwork_values (const Source  *source,
                     RhyJobArtwork *artwork,
                     GError       **error)
{
  const char *g = artwork->group;
  const NumberKey numbers[] = {
    { g, "Width", IN_ARTWORK (width_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
    { g, "Height", IN_ARTWORK (height_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
    { g, "FontSize", IN_ARTWORK (font_size_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
    { g, "WidthMax", IN_ARTWORK (width_max_mm), 0, LENGTH_LIMIT_MM, ABOVE, "mm" },
    { g, "ShrinkMin", IN_ARTWORK (shrink_min), 0, 1, ABOVE, "(1: not at all)" },
    { g, "Span", IN_ARTWORK (span_rad), 0, 360, DEGREES, "degrees" },
    { g, "At", IN_ARTWORK (at_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, PLAIN, "mm" },
    { g, "Around", IN_ARTWORK (around_rad), -36000, 36000, DEGREES, "degrees" },
    { g, "Turn", IN_ARTWORK (turn_rad), -36000, 36000, DEGREES, "degrees" },
    { g, "EyeDistance", IN_ARTWORK (eye_distance_mm), 0, 1e6, PLAIN, "mm (0: parallel sight)" },
    { g, "EyeHeight", IN_ARTWORK (eye_height_mm), -1e6, 1e6, PLAIN, "mm" },
    { g, "TraceThreshold", IN_ARTWORK (trace_threshold), 0, 1, PLAIN, "(0 black, 1 white)" },
    { g, "TraceSmoothing", IN_ARTWORK (trace_smoothing), 0, 1, PLAIN, "(0 every corner, 1 none)" },
    { g, "TraceSpeck", IN_ARTWORK (trace_speck_mm), 0, 100, PLAIN, "mm" },
  };
  const WordKey words[] = {
    { g, "Lay", IN_ARTWORK (lay), WORDS ("rolled", "ringed", "ringed-balanced", "angle-true", "area-true",
                                         "seen", "least-stretch") },
    { g, "Strokes", IN_ARTWORK (strokes), WORDS ("outline", "centreline") },
    { g, "Ink", IN_ARTWORK (ink), WORDS ("drawn", "seen", "shades") },
    { g, "Shades", IN_ARTWORK (shades), WORDS ("grey", "dots", "colour") },
    { g, "Trace", IN_ARTWORK (trace), WORDS ("no", "yes") },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (!read_number (source, &numbers[i], artwork, error))
      return FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
    if (!read_word (source, &words[i], artwork, error))
      return FALSE;
  return read_count (source, g, "InkShades", RHY_SHADES_MAX, &artwork->ink_shades, error)
         && read_count (source, g, "Repeat", 1000, &artwork->repeat, error);
}

static gboolean
read_artwork (const Source  *source,
              RhyJobArtwork *artwork,
              GError       **error)
{
  const char *group = artwork->group;
  if (!read_artwork_values (source, artwork, error)
      || !read_string (source, group, "File", &artwork->file, error)
      || !read_string (source, group, "Text", &artwork->text, error)
      || !read_string (source, group, "Font", &artwork->font, error))
    return FALSE;
  if (artwork->file != NULL && artwork->text != NULL)
    return complain (source, group, "Text", artwork->text, "either File or Text, not both", error);
  const gboolean by_width = artwork->width_mm > 0.0;
  const gboolean by_height = artwork->height_mm > 0.0;
  const gboolean by_span = artwork->span_rad > 0.0;
  const gboolean by_font = artwork->font_size_mm > 0.0;
  if (by_font && (artwork->text == NULL || by_width || by_height || by_span))
    {
      g_autofree char *text = g_key_file_get_value (source->file, group, "FontSize", NULL);
      return complain (source, group, "FontSize", text, "beside Text, in place of Width, Height and Span", error);
    }
  if (by_width + by_height + by_span > 1)
    {
      const char *key = by_span ? "Span" : "Height";
      g_autofree char *text = g_key_file_get_value (source->file, group, key, NULL);
      return complain (source, group, key, text, by_span ? "either Span or one of Width and Height" : "either Width or Height, not both",
                       error);
    }
  return TRUE;
}

static gboolean
is_artwork (const char *group)
{
  return strcmp (group, "Artwork") == 0 || g_str_has_prefix (group, "Artwork ");
}

static gboolean
read_artworks (const Source *source,
               RhyJob       *self,
               GError      **error)
{
  const RhyJobArtwork plain = { .group = "Artwork", .at_mm = NAN, .eye_distance_mm = 600.0, .eye_height_mm = NAN, .repeat = 1,
                                .shrink_min = 0.7, .ink_shades = 4,
                                .trace_threshold = 0.5, .trace_smoothing = 0.75, .trace_speck_mm = 0.2 };
  g_autoptr (GArray) artworks = g_array_new (FALSE, TRUE, sizeof (RhyJobArtwork));
  g_auto (GStrv) groups = g_key_file_get_groups (source->file, NULL);
  for (gsize i = 0; groups[i] != NULL; i++)
    {
      if (!is_artwork (groups[i]))
        continue;
      RhyJobArtwork artwork = plain;
      artwork.group = g_string_chunk_insert (source->strings, groups[i]);
      artwork.name = strchr (artwork.group, ' ') != NULL ? artwork.group + strlen ("Artwork ") : NULL;
      g_autofree char *at = place (source->name, line_of (source->text, groups[i], ""));
      if (artwork.name != NULL && artwork.name[strspn (artwork.name, " ")] == '\0')
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: found \"[%s]\": allowed: [Artwork], or [Artwork NAME] with a name",
                       at, groups[i]);
          return FALSE;
        }
      if (artworks->len == RHY_JOB_ARTWORKS_MAX)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%s: [%s]: allowed: at most %d artworks in a job", at, groups[i],
                       RHY_JOB_ARTWORKS_MAX);
          return FALSE;
        }
      if (!read_artwork (source, &artwork, error))
        return FALSE;
      g_array_append_val (artworks, artwork);
    }
  if (artworks->len == 0)
    g_array_append_val (artworks, plain);
  self->data.n_artworks = artworks->len;
  self->artworks = (RhyJobArtwork *) (void *) g_array_free (g_steal_pointer (&artworks), FALSE);
  self->data.artworks = self->artworks;
  self->data.artwork = self->artworks[0];
  return TRUE;
}

static gboolean
read_format (const Source *source,
             GError      **error)
{
  g_autofree char *text = raw (source, "Job", "Format");
  guint64 format = 0;
  if (text == NULL)
    return TRUE;
  if (!g_ascii_string_to_unsigned (text, 10, 1, G_MAXUINT32, &format, NULL))
    return complain (source, "Job", "Format", text, "1", error);
  if (format > NEWEST_FORMAT)
    return complain (source, "Job", "Format", text, "1; a newer Rhyton wrote this file, use that one", error);
  return TRUE;
}

/* ---- text to key file ---- */

/* GKeyFile takes the last of two equal keys, and makes one of two equal groups, in silence; here
 * that might burn the wrong size, or one artwork of two. Keys are seen as GROUP\nKEY, groups as GROUP. */
static gboolean
check_lines (const char *text,
             const char *name,
             GError    **error)
{
  g_autoptr (GHashTable) seen = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autofree char *group = NULL;
  Line line = { .number = 0 };
  const char *cursor = text;
  while (next_line (&cursor, &line))
    {
      const char *start = NULL;
      gsize n = 0;
      const LineKind kind = kind_of (&line, &start, &n);
      if (kind == LINE_NOTHING)
        continue;
      if (kind == LINE_BAD || (kind == LINE_KEY && group == NULL))
        {
          g_autofree char *quote = quoted (line.start, (gsize) (line.end - line.start));
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                       "%s:%u: found %s: allowed: [Group], then Key=value, or # comment", name, line.number, quote);
          return FALSE;
        }
      g_autofree char *word = g_strndup (start, n);
      if (kind == LINE_GROUP)
        {
          const guint first = GPOINTER_TO_UINT (g_hash_table_lookup (seen, word));
          if (first > 0 && is_artwork (word))
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                           "%s:%u: found [%s] twice, first on line %u: allowed: once; give each artwork a name of its own",
                           name, line.number, word, first);
              return FALSE;
            }
          g_hash_table_insert (seen, g_strdup (word), GUINT_TO_POINTER (line.number));
          g_free (group);
          group = g_steal_pointer (&word);
          continue;
        }
      char *id = g_strconcat (group, "\n", word, NULL);
      const guint before = GPOINTER_TO_UINT (g_hash_table_lookup (seen, id));
      if (before > 0)
        {
          g_free (id);
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%u: [%s] %s: found twice, first on line %u: allowed: once",
                       name, line.number, group, word, before);
          return FALSE;
        }
      g_hash_table_insert (seen, id, GUINT_TO_POINTER (line.number));
    }
  return TRUE;
}

static guint
line_at (const char *text,
         const char *where)
{
  guint line = 1;
  for (const char *p = text; p < where; p++)
    line += *p == '\n';
  return line;
}

/* @what: "a job file", "a machine file". */
static GKeyFile *
parse (const char *text,
       gsize       length,
       const char *name,
       const char *what,
       GError    **error)
{
  const char *bad = NULL;
  if (memchr (text, '\0', length) != NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: holds binary data, not %s", name, what);
      return NULL;
    }
  if (!g_utf8_validate (text, (gssize) length, &bad))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%u: not UTF-8 text; %s is UTF-8", name, line_at (text, bad), what);
      return NULL;
    }
  const char *start = skip_mark (text);
  if (start[strspn (start, " \t\r\n")] == '\0')
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: empty, not %s", name, what);
      return NULL;
    }
  if (!check_lines (start, name, error))
    return NULL;

  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autoptr (GError) local = NULL;
  if (!g_key_file_load_from_data (file, start, strlen (start), G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS,
                                  &local))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: not %s: %s", name, what, local->message);
      return NULL;
    }
  return g_steal_pointer (&file);
}

static gboolean
no_file (const char *path,
         int         code,
         GError    **error)
{
  g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (code), "%s: %s", path, g_strerror (code));
  return FALSE;
}

/* A text file as a string, NUL added; bounded, so that a device cannot fill the memory. */
static gboolean
load_text (const char *path,
           char      **text,
           gsize      *length,
           GError    **error)
{
  const int fd = g_open (path, O_RDONLY | O_CLOEXEC, 0);
  if (fd < 0)
    return no_file (path, errno, error);

  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  guint8 buffer[65536];
  gssize got = 0;
  while (bytes->len <= FILE_LIMIT_BYTES)
    {
      got = read (fd, buffer, sizeof buffer);
      if (got < 0 && errno == EINTR)
        continue;
      if (got <= 0)
        break;
      g_byte_array_append (bytes, buffer, (guint) got);
    }
  const int code = errno;
  close (fd);
  if (got < 0)
    return no_file (path, code, error);
  if (bytes->len > FILE_LIMIT_BYTES)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%s: more than %u MiB, too long for a job file", path,
                   FILE_LIMIT_BYTES >> 20);
      return FALSE;
    }
  *length = bytes->len;
  g_byte_array_append (bytes, (const guint8 *) "", 1);
  *text = (char *) g_byte_array_free (g_steal_pointer (&bytes), FALSE);
  return TRUE;
}

/* ---- [Machine] ---- */

static gboolean
read_machine_keys (const Source *source,
                   RhyJobData   *data,
                   GError      **error)
{
  return read_flat (source, machine_numbers, G_N_ELEMENTS (machine_numbers),
                    machine_words, G_N_ELEMENTS (machine_words), data, error);
}

/* A file that is not there is most often one that was moved: say who asks for it. */
static void
say_who_names (const RhyJob *self,
               const char   *group,
               const char   *key,
               GError      **error)
{
  if (error == NULL || *error == NULL
      || !(g_error_matches (*error, G_FILE_ERROR, G_FILE_ERROR_NOENT) || g_error_matches (*error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND)))
    return;
  g_autofree char *message = (*error)->message;
  (*error)->message = g_strdup_printf ("%s; %s names it as [%s] %s: put it there, or change that line", message,
                                       self->path != NULL ? self->path : "the job", group, key);
}

static gboolean
read_machine_file (const RhyJob *self,
                   RhyJobData   *data,
                   GError      **error)
{
  g_autofree char *path = rhy_job_resolve (self, data->machine.file);
  g_autofree char *text = NULL;
  gsize length = 0;
  if (!load_text (path, &text, &length, error))
    {
      say_who_names (self, "Machine", "File", error);
      return FALSE;
    }
  g_autoptr (GKeyFile) file = parse (text, length, path, "a machine file", error);
  if (file == NULL)
    return FALSE;
  const Source source = { .file = file, .name = path, .text = text };
  if (!g_key_file_has_group (file, "Machine"))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: no [Machine] group, not a machine file", path);
      return FALSE;
    }
  return read_machine_keys (&source, data, error);
}

/* A machine file first; keys beside File= then have the last word. */
static gboolean
read_machine (const Source *source,
              RhyJob       *self,
              GError      **error)
{
  RhyJobData *data = &self->data;
  if (!read_string (source, "Machine", "File", &data->machine.file, error))
    return FALSE;
  g_auto (GStrv) keys = g_key_file_get_keys (source->file, "Machine", NULL, NULL);
  data->machine.given = keys != NULL && keys[0] != NULL;
  if (data->machine.file != NULL && !read_machine_file (self, data, error))
    return FALSE;
  if (!read_machine_keys (source, data, error))
    return FALSE;
  if (data->machine.tilt_min_rad > data->machine.tilt_max_rad)
    {
      g_autofree char *text = g_key_file_get_value (source->file, "Machine", "TiltMax", NULL);
      return complain (source, "Machine", "TiltMax", text, "degrees not below TiltMin", error);
    }
  return TRUE;
}

/* ---- the job ---- */

static gboolean
is_ours (const char *group)
{
  const char *const ours[] = { "Job", "Vessel", "Hold", "Machine", "Output", NULL };
  return g_strv_contains (ours, group) || g_str_has_prefix (group, "Zone ") || is_artwork (group);
}

/* Keys in our own groups that nothing asked for: kept, but a slip of the pen shows. */
static char **
unknown_of (GKeyFile  *file,
            GPtrArray *known)
{
  GPtrArray *unknown = g_ptr_array_new ();
  g_auto (GStrv) groups = g_key_file_get_groups (file, NULL);
  for (gsize i = 0; groups[i] != NULL; i++)
    {
      if (!is_ours (groups[i]))
        continue;
      g_auto (GStrv) keys = g_key_file_get_keys (file, groups[i], NULL, NULL);
      for (gsize k = 0; keys[k] != NULL; k++)
        {
          g_autofree char *id = g_strconcat (groups[i], "\n", keys[k], NULL);
          if (!g_ptr_array_find_with_equal_func (known, id, g_str_equal, NULL))
            g_ptr_array_add (unknown, g_strdup_printf ("[%s] %s", groups[i], keys[k]));
        }
    }
  g_ptr_array_add (unknown, NULL);
  return (char **) g_ptr_array_free (unknown, FALSE);
}

static void
set_defaults (RhyJobData *data)
{
  *data = (RhyJobData) {
    .vessel = { .height_uncertainty_mm = 0.5, .floor_mm = NAN, .fill_height_mm = NAN },
    .hold = { .contact_height_mm = NAN, .support_height_mm = NAN },
    .machine = { .bed_width_mm = NAN, .bed_height_mm = NAN, .tilt_min_rad = NAN, .tilt_max_rad = NAN,
                 .axis_height_mm = NAN, .working_distance_mm = NAN, .nozzle_radius_mm = NAN,
                 .head_half_width_mm = NAN, .depth_of_focus_mm = NAN, .head_height_mm = NAN, .nozzle_top_mm = NAN,
                 .jaw_depth_mm = NAN, .jaw_stand_mm = NAN, .chuck_radius_mm = NAN, .roller_radius_mm = NAN,
                 .roller_gap_mm = NAN, .pin_radius_mm = NAN, .pin_length_mm = NAN, .tailstock_radius_mm = NAN },
    .output = { .tolerance_mm = 0.01, .dots_per_inch = 300.0, .mark = TRUE },
  };
}

static gboolean
read_all (RhyJob     *self,
          const char *text,
          GError    **error)
{
  g_autoptr (GPtrArray) known = g_ptr_array_new_with_free_func (g_free);
  const Source source = { .file = self->file,
                          .name = self->path != NULL ? self->path : "job",
                          .text = text,
                          .strings = self->strings,
                          .known = known };
  RhyJobData *data = &self->data;
  set_defaults (data);

  if (!g_key_file_has_group (self->file, "Job") && !g_key_file_has_group (self->file, "Vessel"))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: no [Job] and no [Vessel] group, not a job file", source.name);
      return FALSE;
    }
  if (!read_format (&source, error)
      || !read_string (&source, "Job", "Title", &data->job.title, error)
      || !read_string (&source, "Job", "Note", &data->job.note, error)
      || !read_vessel (&source, self, error)
      || !read_flat (&source, number_keys, G_N_ELEMENTS (number_keys), word_keys, G_N_ELEMENTS (word_keys), data, error)
      || !read_artworks (&source, self, error)
      || !read_tilt (&source, data, error)
      || !read_machine (&source, self, error)
      || !read_zones (&source, self, error))
    return FALSE;

  /* Asked for by presence only, or left alone beside a profile. */
  const char *const more[] = { "Heights", "Diameters", "Circumferences" };
  for (gsize i = 0; i < G_N_ELEMENTS (more); i++)
    g_ptr_array_add (known, g_strconcat ("Vessel\n", more[i], NULL));
  self->unknown = unknown_of (self->file, known);
  return TRUE;
}

static void
clear (gpointer data)
{
  RhyJob *self = data;
  g_clear_pointer (&self->file, g_key_file_unref);
  g_clear_pointer (&self->strings, g_string_chunk_free);
  g_free (self->path);
  g_free (self->heights);
  g_free (self->diameters);
  g_free (self->tapes);
  g_free (self->zones);
  g_free (self->artworks);
  g_strfreev (self->unknown);
}

/* @file: (transfer full). @text: (nullable): what @file was read from, for line numbers. */
static RhyJob *
new_from_key_file (GKeyFile   *file,
                   const char *path,
                   const char *text,
                   GError    **error)
{
  g_autoptr (RhyJob) self = g_atomic_rc_box_new0 (RhyJob);
  self->file = file;
  self->path = g_strdup (path);
  self->strings = g_string_chunk_new (256);
  return read_all (self, text, error) ? g_steal_pointer (&self) : NULL;
}

RhyJob *
rhy_job_new_from_data (const char *text,
                       gssize      length,
                       const char *path,
                       GError    **error)
{
  g_return_val_if_fail (text != NULL, NULL);

  const gsize n = length < 0 ? strlen (text) : (gsize) length;
  g_autofree char *copy = g_malloc (n + 1);
  memcpy (copy, text, n);
  copy[n] = '\0';

  GKeyFile *file = parse (copy, n, path != NULL ? path : "job", "a job file", error);
  return file != NULL ? new_from_key_file (file, path, copy, error) : NULL;
}

RhyJob *
rhy_job_new_from_file (const char *path,
                       GError    **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autofree char *text = NULL;
  gsize length = 0;
  if (!load_text (path, &text, &length, error))
    return NULL;
  return rhy_job_new_from_data (text, (gssize) length, path, error);
}

RhyJob *
rhy_job_ref (RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_job_unref (RhyJob *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

const RhyJobData *
rhy_job_get_data (const RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return &self->data;
}

const char *
rhy_job_get_path (const RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return self->path;
}

const char *const *
rhy_job_get_unknown_keys (const RhyJob *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return (const char *const *) self->unknown;
}

char *
rhy_job_resolve (const RhyJob *self,
                 const char   *name)
{
  g_return_val_if_fail (self != NULL && name != NULL, NULL);

  if (g_path_is_absolute (name) || self->path == NULL || strchr (self->path, G_DIR_SEPARATOR) == NULL)
    return g_strdup (name);
  g_autofree char *folder = g_path_get_dirname (self->path);
  return g_build_filename (folder, name, NULL);
}

char *
rhy_job_to_data (const RhyJob *self,
                 gsize        *length)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_key_file_to_data (self->file, length, NULL);
}

static GKeyFile *
dup_key_file (const RhyJob *self)
{
  gsize length = 0;
  g_autofree char *text = g_key_file_to_data (self->file, &length, NULL);
  GKeyFile *file = g_key_file_new ();
  g_key_file_load_from_data (file, text, length, G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS, NULL);
  return file;
}

/* What GKeyFile would refuse with a warning, or would not read back. */
static gboolean
can_be_written (const char *group,
                const char *key,
                const char *value,
                GError    **error)
{
  const char *const parts[] = { group, key, value };
  const char *const forbidden[] = { "[]\n\r", "=[]\n\r", "\n\r" };
  for (gsize i = 0; i < G_N_ELEMENTS (parts); i++)
    if (parts[i] != NULL
        && (!g_utf8_validate (parts[i], -1, NULL) || strpbrk (parts[i], forbidden[i]) != NULL
            || (i < 2 && *parts[i] == '\0')))
      {
        g_autofree char *quote = quoted (parts[i], strlen (parts[i]));
        g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                     "%s: cannot stand in a job file: allowed: one line of UTF-8 text%s", quote,
                     i < 2 ? " without brackets" : "");
        return FALSE;
      }
  return TRUE;
}

RhyJob *
rhy_job_with (const RhyJob *self,
              const char   *group,
              const char   *key,
              const char   *value,
              GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL && key != NULL, NULL);

  if (!can_be_written (group, key, value, error))
    return NULL;
  GKeyFile *file = dup_key_file (self);
  if (value != NULL)
    g_key_file_set_value (file, group, key, value);
  else
    g_key_file_remove_key (file, group, key, NULL);
  return new_from_key_file (file, self->path, NULL, error);
}

RhyJob *
rhy_job_with_text (const RhyJob *self,
                   const char   *group,
                   const char   *key,
                   const char   *text,
                   GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL && key != NULL && text != NULL, NULL);

  /* Line breaks are escaped; the rest of the rules is the key file's. */
  if (!g_utf8_validate (text, -1, NULL) || !can_be_written (group, key, NULL, error))
    return rhy_job_with (self, group, key, text, error);
  GKeyFile *file = dup_key_file (self);
  g_key_file_set_string (file, group, key, text);
  return new_from_key_file (file, self->path, NULL, error);
}

static gboolean
is_new_group (GKeyFile   *file,
              const char *group,
              GError    **error)
{
  if (!can_be_written (group, "Key", NULL, error))
    return FALSE;
  if (!g_key_file_has_group (file, group))
    return TRUE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "[%s]: allowed: a group that is not there yet", group);
  return FALSE;
}

RhyJob *
rhy_job_with_copy (const RhyJob *self,
                   const char   *group,
                   const char   *copy,
                   GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL && copy != NULL, NULL);

  GKeyFile *file = dup_key_file (self);
  if (!is_new_group (file, copy, error))
    {
      g_key_file_unref (file);
      return NULL;
    }
  g_auto (GStrv) keys = g_key_file_get_keys (file, group, NULL, NULL);
  for (gsize i = 0; keys != NULL && keys[i] != NULL; i++)
    {
      g_autofree char *value = g_key_file_get_value (file, group, keys[i], NULL);
      g_key_file_set_value (file, copy, keys[i], value);
    }
  return new_from_key_file (file, self->path, NULL, error);
}

RhyJob *
rhy_job_without_group (const RhyJob *self,
                       const char   *group,
                       GError      **error)
{
  g_return_val_if_fail (self != NULL && group != NULL, NULL);

  GKeyFile *file = dup_key_file (self);
  g_key_file_remove_group (file, group, NULL);
  return new_from_key_file (file, self->path, NULL, error);
}

RhyJob *
rhy_job_with_number (const RhyJob *self,
                     const char   *group,
                     const char   *key,
                     double        value,
                     GError      **error)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  return rhy_job_with (self, group, key, rhy_number_to_text (text, value), error);
}

const char *
rhy_number_to_text (char  *text,
                    double value)
{
  g_return_val_if_fail (text != NULL, NULL);

  /* 15 digits survive text-double-text, 17 double-text-double: one of three reads back. */
  const char *const formats[] = { "%.15g", "%.16g", "%.17g" };
  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    {
      g_ascii_formatd (text, G_ASCII_DTOSTR_BUF_SIZE, formats[i], value);
      if (g_ascii_strtod (text, NULL) == value)
        break;
    }
  return text;
}

/* ---- saving ---- */

static char *
real_folder (const char *path)
{
  g_autofree char *folder = g_path_get_dirname (path);
  return realpath (folder, NULL);
}

/* @path as seen from @folder (both real and absolute): beside or below it, or up and
 * down again; absolute where only the root is shared, for such a name would break by
 * moving either. */
static char *
seen_from (const char *folder,
           const char *path)
{
  g_auto (GStrv) f = g_strsplit (folder + 1, "/", -1);
  g_auto (GStrv) p = g_strsplit (path + 1, "/", -1);
  gsize same = 0;
  while (f[same] != NULL && p[same] != NULL && p[same + 1] != NULL && strcmp (f[same], p[same]) == 0)
    same++;
  const gboolean is_root = f[0] == NULL || *f[0] == '\0';
  if (same == 0 && !is_root)
    return g_strdup (path);

  GString *name = g_string_new (NULL);
  for (gsize i = same; !is_root && f[i] != NULL; i++)
    g_string_append (name, "../");
  for (gsize i = same; p[i] != NULL; i++)
    g_string_append_printf (name, "%s%s", i > same ? "/" : "", p[i]);
  return g_string_free (name, FALSE);
}

/* Names the same file from another folder. */
static void
move_name (const RhyJob *self,
           GKeyFile     *file,
           const char   *group,
           const char   *key,
           const char   *new_folder)
{
  g_autofree char *name = g_key_file_get_string (file, group, key, NULL);
  if (name == NULL || *name == '\0' || g_path_is_absolute (name))
    return;
  g_autofree char *path = rhy_job_resolve (self, name);
  g_autofree char *folder = real_folder (path);
  if (folder == NULL)
    return;                     /* nothing there to keep in touch with */
  g_autofree char *base = g_path_get_basename (path);
  g_autofree char *real = g_build_filename (folder, base, NULL);
  g_autofree char *moved = seen_from (new_folder, real);
  if (g_utf8_validate (moved, -1, NULL))
    g_key_file_set_string (file, group, key, moved);
}

RhyJob *
rhy_job_save (const RhyJob *self,
              const char   *path,
              GError      **error)
{
  g_return_val_if_fail (self != NULL && path != NULL, NULL);

  g_autoptr (GKeyFile) file = dup_key_file (self);
  g_autofree char *old_folder = real_folder (self->path != NULL ? self->path : "job");
  g_autofree char *new_folder = real_folder (path);
  if (new_folder != NULL && g_strcmp0 (old_folder, new_folder) != 0)
    {
      for (gsize i = 0; i < self->data.n_artworks; i++)
        move_name (self, file, self->data.artworks[i].group, "File", new_folder);
      move_name (self, file, "Machine", "File", new_folder);
      move_name (self, file, "Vessel", "Profile", new_folder);
    }

  gsize length = 0;
  g_autofree char *text = g_key_file_to_data (file, &length, NULL);
  if (!rhy_save (path, text, length, error))
    return NULL;
  return new_from_key_file (g_steal_pointer (&file), path, NULL, error);
}

RhyArtwork *
rhy_job_load_artwork (const RhyJob *self,
                      gsize         i,
                      GCancellable *cancellable,
                      GError      **error)
{
  g_return_val_if_fail (self != NULL && i < self->data.n_artworks, NULL);

  const RhyJobArtwork *a = &self->artworks[i];
  const char *name = self->path != NULL ? self->path : "job";
  if (a->text != NULL)
    {
      RhyArtwork *lettering = rhy_lettering_new (a->text, a->font, NULL, cancellable, error);
      if (lettering == NULL)
        g_prefix_error (error, "%s: [%s] Text: ", name, a->group);
      return lettering;
    }
  if (a->file == NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: [%s] File: missing: allowed: the name of an SVG, PNG or JPEG file",
                   name, a->group);
      return NULL;
    }
  g_autofree char *path = rhy_job_resolve (self, a->file);
  RhyArtwork *artwork = rhy_intake_file (path, NULL, cancellable, error);
  if (artwork == NULL)
    {
      g_prefix_error (error, "%s: ", path);
      say_who_names (self, a->group, "File", error);
    }
  return artwork;
}
