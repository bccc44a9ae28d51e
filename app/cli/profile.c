/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct
{
  RhyPoint         base, rim;
  RhyPhotoDiameter diameters[RHY_PHOTO_MAX_DIAMETERS];
  RhyPhotoKnown    known;
} Asked;

/* "X0,Y0,X1,Y1" */
static gboolean
read_axis (const char *text,
           Asked      *asked)
{
  double n[4];
  g_auto (GStrv) parts = g_strsplit (text, ",", -1);
  if (g_strv_length (parts) != 4)
    return FALSE;
  for (int i = 0; i < 4; i++)
    if (!cli_number (parts[i], &n[i]))
      return FALSE;
  asked->base = (RhyPoint) { n[0], n[1] };
  asked->rim = (RhyPoint) { n[2], n[3] };
  return TRUE;
}

/* "MM" or "MM@HEIGHT" */
static gboolean
read_diameter (const char       *text,
               RhyPhotoDiameter *diameter)
{
  const char *at = strchr (text, '@');
  g_autofree char *across = at != NULL ? g_strndup (text, (gsize) (at - text)) : g_strdup (text);
  *diameter = (RhyPhotoDiameter) { .height_mm = NAN };
  return cli_number (across, &diameter->diameter_mm) && (at == NULL || cli_number (at + 1, &diameter->height_mm));
}

/* What is missing or wrong on the command line is said; FALSE then. */
static gboolean
read_asked (const char  *axis,
            const char  *height,
            char       **diameters,
            const char  *distance,
            const char  *distance_u,
            Asked       *asked,
            int         *status)
{
  if (axis == NULL || !read_axis (axis, asked))
    {
      *status = cli_usage ("profile", "--axis: found \"%s\": wanted X0,Y0,X1,Y1, where the axis meets base and rim in the picture, "
                           "in pixels from its upper left corner", axis != NULL ? axis : "");
      return FALSE;
    }
  if (height == NULL || !cli_number (height, &asked->known.height_mm))
    {
      *status = cli_usage ("profile", "--height: found \"%s\": wanted the height from base to rim, mm", height != NULL ? height : "");
      return FALSE;
    }
  for (gsize i = 0; diameters != NULL && diameters[i] != NULL; i++)
    {
      if (i == RHY_PHOTO_MAX_DIAMETERS || !read_diameter (diameters[i], &asked->diameters[i]))
        {
          *status = cli_usage ("profile", "--diameter: found \"%s\": wanted MM or MM@HEIGHT, at most %d times", diameters[i],
                               RHY_PHOTO_MAX_DIAMETERS);
          return FALSE;
        }
      asked->known.n_diameters++;
    }
  asked->known.diameters = asked->diameters;
  if ((distance != NULL && !cli_number (distance, &asked->known.distance_mm))
      || (distance_u != NULL && !(cli_number (distance_u, &asked->known.u_distance_mm) && asked->known.u_distance_mm > 0.0)))
    {
      *status = cli_usage ("profile", "--distance and --distance-uncertainty: found \"%s\": wanted a number of mm",
                           distance_u != NULL ? distance_u : distance);
      return FALSE;
    }
  return TRUE;
}

static RhyPhotoProfile *
develop (const char  *photo,
         const Asked *asked,
         GError     **error)
{
  g_autoptr (RhyRaster) picture = rhy_intake_picture (photo, NULL, NULL, error);
  if (picture == NULL)
    return NULL;
  g_autoptr (RhyOutline) outline = rhy_silhouette_find (picture, asked->base, asked->rim, error);
  return outline != NULL ? rhy_photo_profile_new (outline, &asked->known, error) : NULL;
}

static int
save (const char            *photo,
      const char            *output,
      const RhyPhotoProfile *profile)
{
  g_autofree char *name = g_path_get_basename (photo);
  g_autofree char *text = rhy_photo_profile_to_text (profile, name);
  if (strcmp (output, "-") == 0)
    return cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;

  GError *error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  if (!rhy_drawing_save (bytes, output, &error))
    return cli_fail (output, error);
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_autofree char *words = rhy_photo_profile_describe (profile);
  g_autofree char *report = g_strdup_printf ("%sFor the job: Profile=%s DiameterUncertainty=%s\n", words, output,
                                             g_ascii_formatd (number, sizeof number, "%.2f", MAX (profile->typical_u_mm, 0.01)));
  fprintf (stderr, "rhyton-cli: wrote %s\n", output);
  return cli_print (report, strlen (report)) ? CLI_DONE : CLI_BAD;
}

int
cli_profile (int    argc,
             char **argv)
{
  g_autofree char *output = NULL;
  g_autofree char *axis = NULL;
  g_autofree char *height = NULL;
  g_auto (GStrv) diameters = NULL;
  g_autofree char *distance = NULL;
  g_autofree char *distance_u = NULL;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output,
      "Where to (default: the photograph's name, -profile.csv); - for standard output", "FILE.csv" },
    { "axis", 'a', 0, G_OPTION_ARG_STRING, &axis,
      "Where the vessel's axis meets the level of base and rim, pixels from the upper left corner", "X0,Y0,X1,Y1" },
    { "height", 'z', 0, G_OPTION_ARG_STRING, &height, "Height from base to rim, mm", "MM" },
    { "diameter", 'd', 0, G_OPTION_ARG_STRING_ARRAY, &diameters,
      "A diameter by caliper, at a height or the greatest; several times for several", "MM[@HEIGHT]" },
    { "distance", 'D', 0, G_OPTION_ARG_STRING, &distance, "From the camera's lens to the vessel's axis, mm", "MM" },
    { "distance-uncertainty", 0, 0, G_OPTION_ARG_STRING, &distance_u, "Of the distance (default: 1 % and 10 mm)", "MM" },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "PHOTO", "A vessel's profile from a photograph of it against a plain background.",
                    "The vessel empty, upright and whole in the picture; the camera level with its middle, some six heights\n"
                    "away or more. PNG or JPEG, as the camera made it: not cropped. It is read on this machine alone.\n"
                    "Exit status: 0 written, 2 bad data or nothing written.", &status))
    return status;

  Asked asked = { 0 };
  if (!read_asked (axis, height, diameters, distance, distance_u, &asked, &status))
    return status;
  if (output == NULL)
    output = cli_default_name (argv[1], "-profile.csv");
  if (strcmp (output, argv[1]) == 0)
    return cli_usage ("profile", "%s: the photograph itself; name another with -o", output);

  GError *error = NULL;
  g_autoptr (RhyPhotoProfile) profile = develop (argv[1], &asked, &error);
  return profile != NULL ? save (argv[1], output, profile) : cli_fail (argv[1], error);
}
