/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Enough for the loops to run at their speed, few enough to stream. */
#define BLOCK 4096

typedef struct
{
  const char *name, *first, *second;
} Space;

static const Space spaces[] = {
  [RHY_SPACE_ART] = { "art", "u", "v" },
  [RHY_SPACE_WALL] = { "wall", "s", "angle" },
  [RHY_SPACE_PATTERN] = { "pattern", "x", "y" },
  [RHY_SPACE_BED] = { "bed", "x", "y" },
};

static gboolean
read_space (const char *text,
            RhySpace   *space)
{
  for (gsize i = 0; i < G_N_ELEMENTS (spaces); i++)
    if (text != NULL && strcmp (text, spaces[i].name) == 0)
      {
        *space = (RhySpace) i;
        return TRUE;
      }
  return FALSE;
}

typedef struct
{
  RhyPlan *plan;
  const RhyPlan *part;          /* whose artwork's space is meant */
  RhySpace from, to;
  RhyMap  *map;                 /* NULL: from = to */
  RhyMap  *to_wall;             /* NULL: from is the wall */
  gboolean stretch;
  gsize    n;
  double   x[BLOCK], y[BLOCK];
  GString *out;
} Job;

static void
put_number (GString *out,
            double   value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  if (isnan (value))
    g_string_append (out, "nan");
  else
    g_string_append (out, g_ascii_formatd (text, sizeof text, "%.17g", value));
}

static void
put_row (GString      *out,
         const double *values,
         gsize         n)
{
  for (gsize i = 0; i < n; i++)
    {
      if (i > 0)
        g_string_append_c (out, ',');
      put_number (out, values[i]);
    }
  g_string_append_c (out, '\n');
}

/* major, minor, area, angle_deg, focus where the wall point (@s, @angle) is. */
static void
measure (const Job *job,
         double     s,
         double     angle,
         double     values[5])
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (job->plan);
  const RhyWall *wall = rhy_plan_get_wall (job->plan);
  const RhyMap *lay = rhy_plan_get_lay (job->part);
  RhyPoint art;
  RhyStretch stretch;
  for (int i = 0; i < 5; i++)
    values[i] = NAN;
  if (!isfinite (s) || !rhy_wall_has (wall, s))
    return;
  values[4] = rhy_drive_focus (wall, n->tilt_rad, n->anchor.s, s);
  if (!rhy_map_point_inverse (lay, (RhyPoint) { s, angle }, &art)
      || !rhy_stretch_at (lay, wall, (RhyArtPoint) { art.x, art.y }, &stretch))
    return;
  values[0] = stretch.major;
  values[1] = stretch.minor;
  values[2] = stretch.area;
  values[3] = stretch.angle_rad / G_PI * 180.0;
}

static void
image_of (const Job *job,
          double    *x,
          double    *y,
          guint8    *valid)
{
  const double to_rad = job->from == RHY_SPACE_WALL && job->map != NULL ? G_PI / 180.0 : 1.0;
  for (gsize i = 0; i < job->n; i++)
    {
      x[i] = job->x[i];
      y[i] = to_rad == 1.0 ? job->y[i] : job->y[i] / 180.0 * G_PI;
    }
  if (job->map != NULL)
    {
      rhy_map_forward (job->map, job->n, x, y, x, y, valid);
      return;
    }
  for (gsize i = 0; i < job->n; i++)
    valid[i] = isfinite (x[i]) && isfinite (y[i])
               && (job->from != RHY_SPACE_WALL || rhy_wall_has (rhy_plan_get_wall (job->plan), x[i]));
}

static void
wall_of (const Job *job,
         double    *s,
         double    *angle,
         guint8    *valid)
{
  const gboolean is_wall = job->from == RHY_SPACE_WALL;
  for (gsize i = 0; i < job->n; i++)
    {
      s[i] = job->x[i];
      angle[i] = is_wall ? job->y[i] / 180.0 * G_PI : job->y[i];
      valid[i] = 1;
    }
  if (!is_wall)
    rhy_map_forward (job->to_wall, job->n, s, angle, s, angle, valid);
}

static gboolean
flush (Job *job)
{
  double *x = g_new (double, BLOCK);
  double *y = g_new (double, BLOCK);
  double *s = g_new (double, BLOCK);
  double *angle = g_new (double, BLOCK);
  guint8 valid[BLOCK], on_wall[BLOCK];

  image_of (job, x, y, valid);
  if (job->stretch)
    wall_of (job, s, angle, on_wall);
  for (gsize i = 0; i < job->n; i++)
    {
      double row[7] = { NAN, NAN };
      if (valid[i])
        {
          row[0] = x[i];
          row[1] = job->to == RHY_SPACE_WALL && job->map != NULL ? y[i] / G_PI * 180.0 : y[i];
        }
      if (job->stretch)
        measure (job, on_wall[i] ? s[i] : NAN, angle[i], row + 2);
      put_row (job->out, row, job->stretch ? 7 : 2);
    }
  g_free (x);
  g_free (y);
  g_free (s);
  g_free (angle);
  job->n = 0;
  const gboolean printed = cli_print (job->out->str, job->out->len);
  g_string_truncate (job->out, 0);
  return printed;
}

/* "nan" is what this verb itself prints for a point without an image. */
static gboolean
read_number (const char *text,
             double     *value)
{
  if (g_ascii_strcasecmp (text, "nan") != 0)
    return cli_number (text, value);
  *value = NAN;
  return TRUE;
}

/* Two numbers with a comma or blanks between them. */
static gboolean
read_pair (char   *line,
           double *x,
           double *y)
{
  char *first = line + strspn (line, " \t");
  char *after = first + strcspn (first, " \t,");
  char *second = after + strspn (after, " \t");
  if (*second == ',')
    second += 1 + strspn (second + 1, " \t");
  if (second == after)
    return FALSE;
  *after = '\0';
  return read_number (first, x) && read_number (second, y);
}

/* Two words; a point that stands in one ("inf,0") is a bad point, not passed over. */
static gboolean
is_header (const char *line)
{
  const char *second = line + strcspn (line, " \t,");
  second += strspn (second, " \t,\"");
  line += *line == '"';
  return g_ascii_isalpha (*line) && g_ascii_isalpha (*second) && g_ascii_strncasecmp (line, "nan", 3) != 0
         && g_ascii_strncasecmp (line, "inf", 3) != 0;
}

static int
run (Job *job)
{
  char *line = NULL;
  size_t room = 0;
  gssize length;
  guint number = 0;
  gboolean any = FALSE;
  int status = CLI_DONE;
  while (status == CLI_DONE && (length = getline (&line, &room, stdin)) >= 0)
    {
      number++;
      /* A byte order mark: what some editors begin a file with. */
      if (number == 1 && g_str_has_prefix (line, "\xef\xbb\xbf"))
        memset (line, ' ', 3);
      line[strcspn (line, "#\r\n")] = '\0';
      g_strchomp (line);
      const char *start = line + strspn (line, " \t");
      if (*start == '\0' || (!any && is_header (start)))
        {
          any |= *start != '\0';
          continue;
        }
      any = TRUE;
      g_autofree char *copy = g_strdup (start);
      if (!read_pair (line, &job->x[job->n], &job->y[job->n]))
        {
          g_autofree char *shown = g_str_to_ascii (copy, "C");
          fprintf (stderr, "rhyton-cli: standard input:%u: found \"%.60s\": allowed: two numbers, a comma or blanks between them\n",
                   number, shown);
          status = CLI_BAD;
        }
      else if (++job->n == BLOCK && !flush (job))
        status = CLI_BAD;
    }
  if (ferror (stdin))
    {
      fprintf (stderr, "rhyton-cli: standard input: %s\n", g_strerror (errno));
      status = CLI_BAD;
    }
  free (line);
  if (job->n > 0 && !flush (job))
    status = CLI_BAD;
  return status;
}

static gboolean
find_part (Job        *job,
           const char *name)
{
  for (gsize i = 0; i < rhy_plan_get_n_parts (job->plan); i++)
    {
      job->part = rhy_plan_get_part (job->plan, i);
      if (g_strcmp0 (rhy_plan_get_group (job->part)->name, name) == 0)
        return TRUE;
    }
  return FALSE;
}

int
cli_points (int    argc,
            char **argv)
{
  g_autofree char *from = NULL;
  g_autofree char *to = NULL;
  g_autofree char *artwork = NULL;
  gboolean stretch = FALSE;
  const GOptionEntry entries[] = {
    { "from", 'f', 0, G_OPTION_ARG_FILENAME, &from, "Where the points are: art, wall, pattern or bed", "SPACE" },
    { "to", 't', 0, G_OPTION_ARG_FILENAME, &to, "Where they go: art, wall, pattern or bed", "SPACE" },
    { "artwork", 'a', 0, G_OPTION_ARG_STRING, &artwork, "Whose space art is, of several: the NAME of [Artwork NAME] (default: the first)", "NAME" },
    { "stretch", 's', 0, G_OPTION_ARG_NONE, &stretch, "Add stretch of the lay (1 is true) and focus, mm", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (!cli_options (&argc, &argv, entries, "JOB", "Takes points from one space to another: two numbers a line in, CSV out.",
                    "art u,v mm; wall s mm, angle degrees; pattern x,y mm; bed x,y mm (y down, the mark at 0,0).\n"
                    "A point without an image prints nan. Lines may hold # comments.", &status))
    return status;

  Job *job = g_new0 (Job, 1);
  GError *error = NULL;
  if (!read_space (from, &job->from) || !read_space (to, &job->to))
    {
      g_free (job);
      return cli_usage ("points", "--from and --to: found \"%s\" and \"%s\": allowed: art, wall, pattern, bed",
                        from != NULL ? from : "", to != NULL ? to : "");
    }
  if (strcmp (argv[1], "-") == 0)
    {
      g_free (job);
      return cli_usage ("points", "the points come from standard input, so JOB has to be a file");
    }
  job->plan = cli_plan (argv[1], &error);
  if (job->plan != NULL)
    job->part = rhy_plan_get_part (job->plan, 0);
  if (job->plan != NULL && artwork != NULL && !find_part (job, artwork))
    {
      g_clear_pointer (&job->plan, rhy_plan_unref);
      g_free (job);
      return cli_usage ("points", "--artwork: found \"%s\": allowed: the NAME of an [Artwork NAME] group in %s", artwork, argv[1]);
    }
  if (job->plan != NULL && job->from != job->to)
    job->map = rhy_plan_dup_map (job->part, job->from, job->to, &error);
  if (job->plan != NULL && error == NULL && stretch && job->from != RHY_SPACE_WALL)
    job->to_wall = rhy_plan_dup_map (job->part, job->from, RHY_SPACE_WALL, &error);
  job->stretch = stretch;

  if (error != NULL)
    status = cli_fail (job->plan != NULL ? argv[1] : NULL, error);
  else
    {
      job->out = g_string_new (NULL);
      g_string_append_printf (job->out, "%s,%s%s\n", spaces[job->to].first, spaces[job->to].second,
                              stretch ? ",major,minor,area,angle_deg,focus" : "");
      status = cli_print (job->out->str, job->out->len) ? CLI_DONE : CLI_BAD;
      g_string_truncate (job->out, 0);
      if (status == CLI_DONE)
        status = run (job);
      g_string_free (job->out, TRUE);
    }
  g_clear_pointer (&job->map, rhy_map_unref);
  g_clear_pointer (&job->to_wall, rhy_map_unref);
  g_clear_pointer (&job->plan, rhy_plan_unref);
  g_free (job);
  return status;
}
