/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "job-private.h"

#include <rhyton/exposure.h>

#include <rhyton/shade.h>
#include <rhyton/units.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "../shape/late-gio.h"
#include "key-source.h"

/* Ten metres of tableware: beyond it a unit or a sign has gone wrong. */
#define LENGTH_LIMIT_MM 1e4

#define STATIONS_LIMIT 10000

#define NEWEST_FORMAT 1

gboolean
rhy_job_is_artwork (const char *group)
{
  return strcmp (group, "Artwork") == 0 || g_str_has_prefix (group, "Artwork ");
}

/* ---- [Vessel] ---- */

static gboolean
read_list (const RhyKeySource *source,
           const char         *key,
           const char         *allowed,
           gboolean            positive,
           double            **values,
           gsize              *n,
           GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, "Vessel", key);
  *n = 0;
  if (text == NULL)
    return TRUE;

  g_auto (GStrv) parts = g_strsplit (text, ";", -1);
  gsize count = g_strv_length (parts);
  /* Key files allow a list to end with its separator. */
  if (count > 0 && *g_strstrip (parts[count - 1]) == '\0')
    count--;
  if (count > STATIONS_LIMIT)
    return rhy_key_complain (source, "Vessel", key, text, "at most 10000 numbers", error);

  g_autofree double *list = g_new0 (double, count + 1);
  for (gsize i = 0; i < count; i++)
    {
      const char *part = g_strstrip (parts[i]);
      if (rhy_key_is_number (part, &list[i]) && fabs (list[i]) <= LENGTH_LIMIT_MM && (!positive || list[i] > 0.0))
        continue;
      g_autofree char *quote = rhy_key_quoted (part, strlen (part));
      g_autofree char *more = g_strdup_printf ("%s (number %" G_GSIZE_FORMAT " is %s)", allowed, i + 1, quote);
      return rhy_key_complain (source, "Vessel", key, text, more, error);
    }
  *values = g_steal_pointer (&list);
  *n = count;
  return TRUE;
}

#define HEIGHTS_ALLOWED "two or more heights in mm, lowest first, each above the one before, separated by ;"

static gboolean
read_heights (const RhyKeySource *source,
              RhyJob             *self,
              GError            **error)
{
  gsize n = 0;
  if (!read_list (source, "Heights", HEIGHTS_ALLOWED, FALSE, &self->heights, &n, error))
    return FALSE;
  g_autofree char *text = g_key_file_get_value (source->file, "Vessel", "Heights", NULL);
  if (n < 2)
    return rhy_key_complain (source, "Vessel", "Heights", text, HEIGHTS_ALLOWED, error);
  for (gsize i = 1; i < n; i++)
    if (!(self->heights[i] > self->heights[i - 1]))
      {
        g_autofree char *more = g_strdup_printf (HEIGHTS_ALLOWED " (number %" G_GSIZE_FORMAT
                                                 " is not above number %" G_GSIZE_FORMAT ")", i + 1, i);
        return rhy_key_complain (source, "Vessel", "Heights", text, more, error);
      }
  self->data.vessel.n_stations = n;
  self->data.vessel.heights_mm = self->heights;
  return TRUE;
}

/* One number for each height. */
static gboolean
read_readings (const RhyKeySource *source,
               RhyJob             *self,
               const char         *key,
               const char         *allowed,
               gboolean            positive,
               double            **values,
               GError            **error)
{
  gsize n = 0;
  if (!read_list (source, key, allowed, positive, values, &n, error))
    return FALSE;
  if (n == self->data.vessel.n_stations)
    return TRUE;
  g_autofree char *text = g_key_file_get_value (source->file, "Vessel", key, NULL);
  g_autofree char *more = g_strdup_printf ("%s (found %" G_GSIZE_FORMAT " for %" G_GSIZE_FORMAT " heights)",
                                           allowed, n, self->data.vessel.n_stations);
  return rhy_key_complain (source, "Vessel", key, text, more, error);
}

static gboolean
read_diameters (const RhyKeySource *source,
                RhyJob             *self,
                GError            **error)
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
          return rhy_key_complain (source, "Vessel", "Circumferences", text, allowed, error);
        }
      if (self->tapes[i] == 0.0)
        self->tapes[i] = NAN;
    }
  self->data.vessel.circumferences_mm = self->tapes;
  return TRUE;
}

/* A number of ml, or of fluid ounces of either kind. */
static gboolean
read_capacity (const RhyKeySource *source,
               RhyJobData         *data,
               GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, "Vessel", "Capacity");
  if (text == NULL)
    return TRUE;
  if (!rhy_volume_parse (text, &data->vessel.capacity_ml))
    return rhy_key_complain (source, "Vessel", "Capacity", text,
                     "a number above 0 up to 1000000, in ml unless US fl oz or imperial fl oz follows", error);
  return TRUE;
}

static gboolean
read_vessel (const RhyKeySource *source,
             RhyJob             *self,
             GError            **error)
{
  if (!rhy_key_string (source, "Vessel", "Name", &self->data.vessel.name, error)
      || !rhy_key_string (source, "Vessel", "Profile", &self->data.vessel.profile_file, error)
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
read_zone (const RhyKeySource *source,
           const char         *group,
           RhyZone            *zone,
           GError            **error)
{
  const RhyNumberKey numbers[] = {
    { group, "Centre", offsetof (RhyZone, centre_rad), -36000, 36000, RHY_NUMBER_DEGREES, "degrees" },
    { group, "Width", offsetof (RhyZone, width_rad), 0, 360, RHY_NUMBER_DEGREES | RHY_NUMBER_ABOVE, "degrees" },
    { group, "From", offsetof (RhyZone, from_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
    { group, "To", offsetof (RhyZone, to_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
    { group, "Stand", offsetof (RhyZone, stand_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
    { group, "Margin", offsetof (RhyZone, margin_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  };
  const RhyWordKey kind = { group, "Kind", offsetof (RhyZone, kind), zone_words };

  zone->name = g_string_chunk_insert (source->strings, group + strlen ("Zone "));
  if (!g_key_file_has_key (source->file, group, "Kind", NULL))
    {
      g_autofree char *allowed = g_strjoinv (", ", (char **) zone_words);
      return rhy_key_complain (source, group, "Kind", NULL, allowed, error);
    }
  if (!rhy_key_word (source, &kind, zone, error))
    return FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (!rhy_key_number (source, &numbers[i], zone, error))
      return FALSE;
  if (!(zone->from_mm < zone->to_mm))
    {
      g_autofree char *text = g_key_file_get_value (source->file, group, "To", NULL);
      return rhy_key_complain (source, group, "To", text, "a height above From", error);
    }
  return TRUE;
}

/* More than anybody marks on a vessel; every one is held against the ink's true shapes. */
#define ZONES_LIMIT 100

static gboolean
read_zones (const RhyKeySource *source,
            RhyJob             *self,
            GError            **error)
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

static const RhyNumberKey number_keys[] = {
  { "Vessel", "HeightUncertainty", AT (vessel.height_uncertainty_mm), 0, 100, RHY_NUMBER_ABOVE, "mm" },
  { "Vessel", "DiameterUncertainty", AT (vessel.diameter_uncertainty_mm), 0, 100, RHY_NUMBER_ABOVE, "mm" },
  { "Vessel", "Slant", AT (vessel.slant_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
  { "Vessel", "OverallHeight", AT (vessel.overall_height_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
  { "Vessel", "WallThickness", AT (vessel.wall_thickness_mm), 0, 1000, RHY_NUMBER_PLAIN, "mm" },
  { "Vessel", "Floor", AT (vessel.floor_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Vessel", "FillHeight", AT (vessel.fill_height_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Hold", "ContactHeight", AT (hold.contact_height_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Hold", "ReferenceDiameter", AT (hold.reference_diameter_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE | RHY_NUMBER_MAY_BE_AUTO, "mm" },
  { "Hold", "Sag", AT (hold.sag_rad), -45, 45, RHY_NUMBER_DEGREES, "degrees" },
  { "Hold", "Runout", AT (hold.runout_mm), 0, 100, RHY_NUMBER_PLAIN, "mm" },
  { "Hold", "SupportHeight", AT (hold.support_height_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Hold", "Defocus", AT (hold.defocus_mm), -1000, 1000, RHY_NUMBER_PLAIN, "mm" },
  /* Finer than a rounding of the numbers is no use, coarser than a millimetre no drawing. */
  { "Output", "Tolerance", AT (output.tolerance_mm), 1e-5, 1, RHY_NUMBER_PLAIN, "mm" },
  /* A picture coarser than that is none; no beam is finer than 0.01 mm. */
  { "Output", "DotsPerInch", AT (output.dots_per_inch), 20, 2400, RHY_NUMBER_PLAIN, "dots an inch" },
  /* Finer than a beam is no line, coarser no area. */
  { "Output", "LineDistance", AT (output.line_distance_mm), 0.005, 5, RHY_NUMBER_PLAIN, "mm" },
};

static const RhyWordKey word_keys[] = {
  { "Vessel", "Wall", AT (vessel.form), WORDS ("auto", "straight", "stepped", "smooth") },
  { "Hold", "Drive", AT (hold.drive), WORDS ("chuck", "rollers", "pins") },
  { "Hold", "End", AT (hold.end), WORDS ("base", "mouth") },
  { "Hold", "Grip", AT (hold.grip), WORDS ("outside", "inside") },
  { "Hold", "Support", AT (hold.support), WORDS ("none", "tailstock", "roller") },
  { "Output", "Page", AT (output.page), WORDS ("ink", "turn") },
  { "Output", "Mark", AT (output.mark), WORDS ("false", "true") },
  { "Output", "FreeArea", AT (output.free_area), WORDS ("false", "true") },
};

static const RhyNumberKey machine_numbers[] = {
  { "Machine", "TravelPerTurn", AT (machine.travel_per_turn_mm), 0, 1e5, RHY_NUMBER_ABOVE | RHY_NUMBER_MAY_BE_AUTO, "mm" },
  { "Machine", "BedWidth", AT (machine.bed_width_mm), 0, 1e5, RHY_NUMBER_ABOVE, "mm" },
  { "Machine", "BedHeight", AT (machine.bed_height_mm), 0, 1e5, RHY_NUMBER_ABOVE, "mm" },
  { "Machine", "TiltMin", AT (machine.tilt_min_rad), -90, 90, RHY_NUMBER_DEGREES, "degrees" },
  { "Machine", "TiltMax", AT (machine.tilt_max_rad), -90, 90, RHY_NUMBER_DEGREES, "degrees" },
  { "Machine", "AxisHeight", AT (machine.axis_height_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "WorkingDistance", AT (machine.working_distance_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "NozzleRadius", AT (machine.nozzle_radius_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "HeadHalfWidth", AT (machine.head_half_width_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "DepthOfFocus", AT (machine.depth_of_focus_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
  { "Machine", "HeadHeight", AT (machine.head_height_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "NozzleTop", AT (machine.nozzle_top_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "JawDepth", AT (machine.jaw_depth_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "JawStand", AT (machine.jaw_stand_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "ChuckRadius", AT (machine.chuck_radius_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "PinRadius", AT (machine.pin_radius_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
  { "Machine", "PinLength", AT (machine.pin_length_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
  { "Machine", "TailstockRadius", AT (machine.tailstock_radius_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
  { "Machine", "RollerRadius", AT (machine.roller_radius_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
  { "Machine", "RollerGap", AT (machine.roller_gap_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
};

static const RhyWordKey machine_words[] = {
  { "Machine", "Axis", AT (machine.axis), WORDS ("x", "y") },
  { "Machine", "Mouth", AT (machine.mouth), WORDS ("plus", "minus") },
  { "Machine", "TurnReversed", AT (machine.turn_reversed), WORDS ("false", "true") },
};

static gboolean
read_flat (const RhyKeySource *source,
           const RhyNumberKey *numbers,
           gsize               n_numbers,
           const RhyWordKey   *words,
           gsize               n_words,
           RhyJobData         *data,
           GError            **error)
{
  for (gsize i = 0; i < n_numbers; i++)
    if (!rhy_key_number (source, &numbers[i], data, error))
      return FALSE;
  for (gsize i = 0; i < n_words; i++)
    if (!rhy_key_word (source, &words[i], data, error))
      return FALSE;
  return TRUE;
}

static gboolean
read_tilt (const RhyKeySource *source,
           RhyJobData         *data,
           GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, "Hold", "Tilt");
  double degrees = 0.0;
  if (text == NULL || strcmp (text, "auto") == 0)
    data->hold.tilt_mode = RHY_TILT_AUTO;
  else if (strcmp (text, "level") == 0)
    data->hold.tilt_mode = RHY_TILT_LEVEL;
  else if (rhy_key_is_number (text, &degrees) && degrees > -90.0 && degrees < 90.0)
    {
      data->hold.tilt_mode = RHY_TILT_SET;
      data->hold.tilt_rad = rhy_key_radians (degrees);
    }
  else
    return rhy_key_complain (source, "Hold", "Tilt", text, "auto, level, or a number between -90 and 90 degrees", error);
  return TRUE;
}

/* ---- [Artwork], [Artwork NAME] ---- */

#define IN_ARTWORK(field) offsetof (RhyJobArtwork, field)

static gboolean
read_count (const RhyKeySource *source,
            const char         *group,
            const char         *key,
            guint               most,
            guint              *count,
            GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, group, key);
  guint64 n = 0;
  if (text == NULL)
    return TRUE;
  if (!g_ascii_string_to_unsigned (text, 10, 1, most, &n, NULL))
    {
      g_autofree char *allowed = g_strdup_printf ("a whole number from 1 to %u", most);
      return rhy_key_complain (source, group, key, text, allowed, error);
    }
  *count = (guint) n;
  return TRUE;
}

static gboolean
read_artwork_values (const RhyKeySource *source,
                     RhyJobArtwork      *artwork,
                     GError            **error)
{
  const char *g = artwork->group;
  const RhyNumberKey numbers[] = {
    { g, "Width", IN_ARTWORK (width_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
    { g, "Height", IN_ARTWORK (height_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
    { g, "FontSize", IN_ARTWORK (font_size_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
    { g, "WidthMax", IN_ARTWORK (width_max_mm), 0, LENGTH_LIMIT_MM, RHY_NUMBER_ABOVE, "mm" },
    { g, "ShrinkMin", IN_ARTWORK (shrink_min), 0, 1, RHY_NUMBER_ABOVE, "(1: not at all)" },
    { g, "Span", IN_ARTWORK (span_rad), 0, 360, RHY_NUMBER_DEGREES, "degrees" },
    { g, "At", IN_ARTWORK (at_mm), -LENGTH_LIMIT_MM, LENGTH_LIMIT_MM, RHY_NUMBER_PLAIN, "mm" },
    { g, "Around", IN_ARTWORK (around_rad), -36000, 36000, RHY_NUMBER_DEGREES, "degrees" },
    { g, "Turn", IN_ARTWORK (turn_rad), -36000, 36000, RHY_NUMBER_DEGREES, "degrees" },
    { g, "EyeDistance", IN_ARTWORK (eye_distance_mm), 0, 1e6, RHY_NUMBER_PLAIN, "mm (0: parallel sight)" },
    { g, "EyeHeight", IN_ARTWORK (eye_height_mm), -1e6, 1e6, RHY_NUMBER_PLAIN, "mm" },
    { g, "TraceThreshold", IN_ARTWORK (trace_threshold), 0, 1, RHY_NUMBER_PLAIN, "(0 black, 1 white)" },
    { g, "TraceSmoothing", IN_ARTWORK (trace_smoothing), 0, 1, RHY_NUMBER_PLAIN, "(0 every corner, 1 none)" },
    { g, "TraceSpeck", IN_ARTWORK (trace_speck_mm), 0, 100, RHY_NUMBER_PLAIN, "mm" },
  };
  const RhyWordKey words[] = {
    { g, "Lay", IN_ARTWORK (lay), WORDS ("rolled", "ringed", "ringed-balanced", "angle-true", "area-true",
                                         "seen", "least-stretch") },
    { g, "Strokes", IN_ARTWORK (strokes), WORDS ("outline", "centreline") },
    { g, "Ink", IN_ARTWORK (ink), WORDS ("drawn", "seen", "shades") },
    { g, "Shades", IN_ARTWORK (shades), WORDS ("grey", "dots", "colour") },
    { g, "Trace", IN_ARTWORK (trace), WORDS ("no", "yes") },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (numbers); i++)
    if (!rhy_key_number (source, &numbers[i], artwork, error))
      return FALSE;
  for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
    if (!rhy_key_word (source, &words[i], artwork, error))
      return FALSE;
  return read_count (source, g, "InkShades", RHY_SHADES_MAX, &artwork->ink_shades, error)
         && read_count (source, g, "Repeat", 1000, &artwork->repeat, error);
}

static gboolean
read_artwork (const RhyKeySource *source,
              RhyJobArtwork      *artwork,
              GError            **error)
{
  const char *group = artwork->group;
  if (!read_artwork_values (source, artwork, error)
      || !rhy_key_string (source, group, "File", &artwork->file, error)
      || !rhy_key_string (source, group, "Text", &artwork->text, error)
      || !rhy_key_string (source, group, "Font", &artwork->font, error))
    return FALSE;
  if (artwork->file != NULL && artwork->text != NULL)
    return rhy_key_complain (source, group, "Text", artwork->text, "either File or Text, not both", error);
  const gboolean by_width = artwork->width_mm > 0.0;
  const gboolean by_height = artwork->height_mm > 0.0;
  const gboolean by_span = artwork->span_rad > 0.0;
  const gboolean by_font = artwork->font_size_mm > 0.0;
  if (by_font && (artwork->text == NULL || by_width || by_height || by_span))
    {
      g_autofree char *text = g_key_file_get_value (source->file, group, "FontSize", NULL);
      return rhy_key_complain (source, group, "FontSize", text, "beside Text, in place of Width, Height and Span", error);
    }
  if (by_width + by_height + by_span > 1)
    {
      const char *key = by_span ? "Span" : "Height";
      g_autofree char *text = g_key_file_get_value (source->file, group, key, NULL);
      return rhy_key_complain (source, group, key, text,
                               by_span ? "either Span or one of Width and Height" : "either Width or Height, not both",
                               error);
    }
  return TRUE;
}

static gboolean
read_artworks (const RhyKeySource *source,
               RhyJob             *self,
               GError            **error)
{
  const RhyJobArtwork plain = { .group = "Artwork", .at_mm = NAN, .eye_distance_mm = 600.0, .eye_height_mm = NAN, .repeat = 1,
                                .shrink_min = 0.7, .ink_shades = 4,
                                .trace_threshold = 0.5, .trace_smoothing = 0.75, .trace_speck_mm = 0.2 };
  g_autoptr (GArray) artworks = g_array_new (FALSE, TRUE, sizeof (RhyJobArtwork));
  g_auto (GStrv) groups = g_key_file_get_groups (source->file, NULL);
  for (gsize i = 0; groups[i] != NULL; i++)
    {
      if (!rhy_job_is_artwork (groups[i]))
        continue;
      RhyJobArtwork artwork = plain;
      artwork.group = g_string_chunk_insert (source->strings, groups[i]);
      artwork.name = strchr (artwork.group, ' ') != NULL ? artwork.group + strlen ("Artwork ") : NULL;
      g_autofree char *at = rhy_key_place (source->name, rhy_key_line_of (source->text, groups[i], ""));
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
read_format (const RhyKeySource *source,
             GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, "Job", "Format");
  guint64 format = 0;
  if (text == NULL)
    return TRUE;
  if (!g_ascii_string_to_unsigned (text, 10, 1, G_MAXUINT32, &format, NULL))
    return rhy_key_complain (source, "Job", "Format", text, "1", error);
  if (format > NEWEST_FORMAT)
    return rhy_key_complain (source, "Job", "Format", text, "1; a newer Rhyton wrote this file, use that one", error);
  return TRUE;
}

/* ---- what is no key of ours ---- */

static gboolean
is_ours (const char *group)
{
  const char *const ours[] = { "Job", "Vessel", "Hold", "Machine", "Output", NULL };
  return g_strv_contains (ours, group) || g_str_has_prefix (group, "Zone ") || rhy_job_is_artwork (group);
}

/* What nothing asked for: kept, but a slip of the pen shows. A whole group too: "[zone handle]" is a handle
 * that nobody keeps clear of. Groups of other programs begin with X-, as in desktop entries. */
static void
add_unknown (GKeyFile  *file,
             const char *group,
             GPtrArray *known,
             const char *where,
             GPtrArray *unknown)
{
  g_auto (GStrv) keys = g_key_file_get_keys (file, group, NULL, NULL);
  for (gsize k = 0; keys[k] != NULL; k++)
    {
      g_autofree char *id = g_strconcat (group, "\n", keys[k], NULL);
      if (!g_ptr_array_find_with_equal_func (known, id, g_str_equal, NULL))
        g_ptr_array_add (unknown, g_strdup_printf ("%s[%s] %s", where, group, keys[k]));
    }
}

static void
add_unknown_of_job (GKeyFile  *file,
                    GPtrArray *known,
                    GPtrArray *unknown)
{
  g_auto (GStrv) groups = g_key_file_get_groups (file, NULL);
  for (gsize i = 0; groups[i] != NULL; i++)
    if (is_ours (groups[i]))
      add_unknown (file, groups[i], known, "", unknown);
    else if (!g_str_has_prefix (groups[i], "X-"))
      g_ptr_array_add (unknown, g_strdup_printf ("[%s]", groups[i]));
}

/* ---- [Machine] ---- */

static gboolean
read_machine_keys (const RhyKeySource *source,
                   RhyJobData         *data,
                   GError            **error)
{
  return read_flat (source, machine_numbers, G_N_ELEMENTS (machine_numbers),
                    machine_words, G_N_ELEMENTS (machine_words), data, error);
}

/* Names the key that stands in this file, for the other may be in the machine's. */
static gboolean
tilts_are_in_order (const RhyKeySource *source,
                    const RhyJobData   *data,
                    GError            **error)
{
  if (!(data->machine.tilt_min_rad > data->machine.tilt_max_rad))
    return TRUE;
  g_autofree char *highest = rhy_key_raw (source, "Machine", "TiltMax");
  g_autofree char *lowest = rhy_key_raw (source, "Machine", "TiltMin");
  return highest != NULL || lowest == NULL
           ? rhy_key_complain (source, "Machine", "TiltMax", highest, "degrees not below TiltMin", error)
           : rhy_key_complain (source, "Machine", "TiltMin", lowest, "degrees not above TiltMax", error);
}

/* Written by learn, and read by nothing else. */
static void
know_machine (GPtrArray *known)
{
  g_ptr_array_add (known, g_strdup ("Machine\nTravelReadings"));
}

/* A file that is not there is most often one that was moved: say who asks for it. */
void
rhy_job_say_who_names (const RhyJob *self,
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
                   GPtrArray    *unknown,
                   GError      **error)
{
  g_autofree char *path = rhy_job_resolve (self, data->machine.file);
  g_autofree char *text = NULL;
  gsize length = 0;
  if (!rhy_key_load (path, &text, &length, error))
    {
      rhy_job_say_who_names (self, "Machine", "File", error);
      return FALSE;
    }
  g_autoptr (GKeyFile) file = rhy_key_parse (text, length, path, "a machine file", rhy_job_is_artwork, error);
  if (file == NULL)
    return FALSE;
  g_autoptr (GPtrArray) known = g_ptr_array_new_with_free_func (g_free);
  const RhyKeySource source = { .file = file, .name = path, .text = text, .known = known };
  if (!g_key_file_has_group (file, "Machine"))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: no [Machine] group, not a machine file", path);
      return FALSE;
    }
  if (!read_machine_keys (&source, data, error) || !tilts_are_in_order (&source, data, error))
    return FALSE;
  g_autofree char *where = g_strconcat (path, ": ", NULL);
  know_machine (known);
  g_ptr_array_add (known, g_strdup ("Machine\nName"));
  add_unknown (file, "Machine", known, where, unknown);
  return TRUE;
}

/* A machine file first; keys beside File= then have the last word. */
static gboolean
read_machine (const RhyKeySource *source,
              RhyJob             *self,
              GPtrArray          *unknown,
              GError            **error)
{
  RhyJobData *data = &self->data;
  if (!rhy_key_string (source, "Machine", "File", &data->machine.file, error))
    return FALSE;
  g_auto (GStrv) keys = g_key_file_get_keys (source->file, "Machine", NULL, NULL);
  data->machine.given = keys != NULL && keys[0] != NULL;
  if (data->machine.file != NULL && !read_machine_file (self, data, unknown, error))
    return FALSE;
  return read_machine_keys (source, data, error) && tilts_are_in_order (source, data, error);
}

/* ---- all of it ---- */

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
    .output = { .tolerance_mm = 0.01, .dots_per_inch = 300.0, .mark = TRUE, .bands = 1, .line_distance_mm = 0.1 },
  };
}

gboolean
rhy_job_read (RhyJob     *self,
              const char *text,
              GError    **error)
{
  g_autoptr (GPtrArray) known = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GPtrArray) unknown = g_ptr_array_new_with_free_func (g_free);
  const RhyKeySource source = { .file = self->file,
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
      || !rhy_key_string (&source, "Job", "Title", &data->job.title, error)
      || !rhy_key_string (&source, "Job", "Note", &data->job.note, error)
      || !read_vessel (&source, self, error)
      || !read_flat (&source, number_keys, G_N_ELEMENTS (number_keys), word_keys, G_N_ELEMENTS (word_keys), data, error)
      || !read_count (&source, "Output", "Bands", RHY_LINE_BANDS_MAX, &data->output.bands, error)
      || !read_artworks (&source, self, error)
      || !read_tilt (&source, data, error)
      || !read_machine (&source, self, unknown, error)
      || !read_zones (&source, self, error))
    return FALSE;

  /* Asked for by presence only, or left alone beside a profile. */
  const char *const more[] = { "Heights", "Diameters", "Circumferences" };
  for (gsize i = 0; i < G_N_ELEMENTS (more); i++)
    g_ptr_array_add (known, g_strconcat ("Vessel\n", more[i], NULL));
  know_machine (known);
  add_unknown_of_job (self->file, known, unknown);
  g_ptr_array_add (unknown, NULL);
  self->unknown = (char **) g_ptr_array_steal (unknown, NULL);
  return TRUE;
}
