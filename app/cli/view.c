/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <string.h>

#define SIZE_LEAST 16
#define SIZE_MOST  8192

/* "1280x960" */
static gboolean
read_size (const char *text,
           int        *width,
           int        *height)
{
  g_auto (GStrv) parts = g_strsplit (text, "x", -1);
  gint64 w = 0;
  gint64 h = 0;
  if (g_strv_length (parts) != 2
      || !g_ascii_string_to_signed (parts[0], 10, SIZE_LEAST, SIZE_MOST, &w, NULL)
      || !g_ascii_string_to_signed (parts[1], 10, SIZE_LEAST, SIZE_MOST, &h, NULL))
    return FALSE;
  *width = (int) w;
  *height = (int) h;
  return TRUE;
}

static GBytes *
picture (RhyPlan               *plan,
         const RhyCamera       *camera,
         const RhySceneOptions *options,
         int                    width,
         int                    height,
         GError               **error)
{
  g_autoptr (RhyScene) scene = rhy_scene_new_burnt (plan, error);
  return scene != NULL ? rhy_scene_to_png (scene, camera, options, width, height, error) : NULL;
}

/* "-12.5,30" */
static gboolean
read_point (const char  *text,
            RhyBedPoint *at)
{
  g_auto (GStrv) parts = g_strsplit (text, ",", -1);
  return g_strv_length (parts) == 2 && cli_number (parts[0], &at->x) && cli_number (parts[1], &at->y);
}

int
cli_view (int    argc,
          char **argv)
{
  g_autofree char *output = NULL;
  g_autofree char *size = NULL;
  g_autofree char *turn = NULL;
  g_autofree char *lift = NULL;
  g_autofree char *head = NULL;
  RhySceneOptions options = RHY_SCENE_OPTIONS_INIT;
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &output, "Where to (default: the job's name, -view.png); - for standard output",
      "FILE.png" },
    { "size", 's', 0, G_OPTION_ARG_FILENAME, &size, "Pixels (default 1280x960)", "WxH" },
    { "turn", 't', 0, G_OPTION_ARG_FILENAME, &turn, "Which angle of the vessel faces you (default 0)", "DEG" },
    { "lift", 'l', 0, G_OPTION_ARG_FILENAME, &lift, "From how far above you look, -89 to 89 (default 11.5)", "DEG" },
    { "head", 0, 0, G_OPTION_ARG_FILENAME, &head,
      "The machine with its head there instead, mm from the mark: from the side, from the mouth, what is out of reach", "X,Y" },
    { "stretch", 0, 0, G_OPTION_ARG_NONE, &options.stretch, "Colour the wall by the stretch of the artwork", NULL },
    { "circles", 0, 0, G_OPTION_ARG_NONE, &options.circles, "and draw what becomes of small circles", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "A picture of the vessel with the artwork that the machine will burn on it.",
                    NULL, &status))
    return status;

  options.stretch |= options.circles;
  int width = 1280;
  int height = 960;
  double degrees = 0.0;
  RhyCamera camera = RHY_CAMERA_INIT;
  if (size != NULL && !read_size (size, &width, &height))
    return cli_usage ("view", "--size: found \"%s\": allowed: WIDTHxHEIGHT, each 16 to 8192 pixels", size);
  if (turn != NULL && !cli_number (turn, &degrees))
    return cli_usage ("view", "--turn: found \"%s\": allowed: a number of degrees", turn);
  if (turn != NULL)
    camera.turn_rad = degrees / 180.0 * G_PI;
  if (lift != NULL && !(cli_number (lift, &degrees) && degrees >= -89.0 && degrees <= 89.0))
    return cli_usage ("view", "--lift: found \"%s\": allowed: a number of degrees from -89 to 89", lift);
  if (lift != NULL)
    camera.lift_rad = degrees / 180.0 * G_PI;
  RhyBedPoint at = { 0.0, 0.0 };
  if (head != NULL && !read_point (head, &at))
    return cli_usage ("view", "--head: found \"%s\": allowed: X,Y, two numbers of mm on the bed", head);
  if (output == NULL)
    output = cli_default_name (argv[1], "-view.png");
  RhyFormat format = RHY_FORMAT_PNG;
  GError *error = NULL;
  if (strcmp (output, "-") != 0 && !rhy_format_from_name (output, &format, &error))
    return cli_fail (output, error);
  if (format != RHY_FORMAT_PNG)
    return cli_usage ("view", "-o: found \"%s\": allowed: a name ending in .png", output);

  g_autoptr (RhyPlan) plan = cli_plan (argv[1], &error);
  if (plan == NULL)
    return cli_fail (NULL, error);
  g_autoptr (GBytes) png = head != NULL ? rhy_stand_to_png (plan, at, width, height, &error)
                                        : picture (plan, &camera, &options, width, height, &error);
  if (png == NULL)
    return cli_fail (cli_job_name (argv[1]), error);
  return cli_save (plan, png, output, &error) ? CLI_DONE : cli_fail (output, error);
}
