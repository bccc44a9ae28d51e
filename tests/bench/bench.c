/* SPDX-License-Identifier: LGPL-2.1-or-later */
/*
 * rhyton-bench DEMO-FOLDER [points] [wrap] [nodes] [pictures] [frames] [drag]
 *
 * Prints one table: how fast, and with how few nodes, beside a neighbour measured
 * in the same run. Machines and their load differ, so a ratio says more than a
 * figure; the pairs are interleaved and the median of their ratios is shown.
 */
#include "config.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>

#include <cairo.h>
#include <glib/gstdio.h>
#include <proj.h>
#include <rhyton/rhyton.h>

#include "photo.h"

/* The cone of the demonstration's tumbler: 62 mm at the base, 88 mm at the rim, 150 mm high. */
static const double CONE_HEIGHTS_MM[] = { 0.0, 150.0 };
static const double CONE_RADII_MM[] = { 31.0, 44.0 };
static const double CONE_TRAVEL_MM = 200.0;
static const double TOLERANCE_MM = 0.01;

typedef struct
{
  RhyWall *wall;
  RhyMap  *lay;
  RhyMap  *drive;
} Cone;

static void
fail_on (GError *error)
{
  if (error == NULL)
    return;
  g_printerr ("rhyton-bench: %s\n", error->message);
  exit (2);
}

static double
seconds (void)
{
  return (double) g_get_monotonic_time () * 1e-6;
}

static int
compare_doubles (gconstpointer a, gconstpointer b)
{
  const double x = *(const double *) a, y = *(const double *) b;
  return (x > y) - (x < y);
}

static int
compare_names (gconstpointer a, gconstpointer b)
{
  return strcmp (*(char *const *) a, *(char *const *) b);
}

static double
median (double *values, gsize n)
{
  qsort (values, n, sizeof *values, compare_doubles);
  return n % 2 == 1 ? values[n / 2] : 0.5 * (values[n / 2 - 1] + values[n / 2]);
}

static void
row (const char *what, const char *ours, const char *beside, const char *ratio, const char *goal, gboolean met)
{
  g_print ("%-44s %16s %20s %9s  %-16s %s\n", what, ours, beside, ratio, goal, met ? "met" : "MISSED");
  fflush (stdout);
}

static Cone
make_cone (void)
{
  GError *error = NULL;
  Cone cone = { .wall = rhy_wall_new_straight (CONE_HEIGHTS_MM, CONE_RADII_MM, 2, &error) };
  fail_on (error);

  const RhyWallPoint middle = { .s = 0.5 * rhy_wall_get_length (cone.wall), .angle = 0.0 };
  const RhyLayOptions lay = { .kind = RHY_LAY_ROLLED, .anchor = middle };
  cone.lay = rhy_lay_new (cone.wall, &lay, &error);
  fail_on (error);

  const RhyDriveOptions drive = { .mark = middle,
                                  .travel_per_turn_mm = CONE_TRAVEL_MM,
                                  .tilt_rad = rhy_wall_at (cone.wall, middle.s).slope_rad,
                                  .axis = RHY_AXIS_X,
                                  .mouth = RHY_MOUTH_PLUS };
  cone.drive = rhy_drive_new (cone.wall, &drive, &error);
  fail_on (error);
  return cone;
}

static void
clear_cone (Cone *cone)
{
  rhy_map_unref (cone->drive);
  rhy_map_unref (cone->lay);
  rhy_wall_unref (cone->wall);
}

/* ---- (a) points ---- */

/* PROJ's equidistant conic is the same family of formula: radius linear along the
 * meridian, angle times a cone constant. Both sides get the same number of points,
 * spread at random, in arrays of doubles. */
static void
bench_points (void)
{
  enum { N = 1 << 20, ROUNDS = 15 };
  Cone cone = make_cone ();
  g_autoptr (RhyMap) chain = rhy_map_new_chain (cone.lay, cone.drive);

  g_autofree double *u = g_new (double, N);
  g_autofree double *v = g_new (double, N);
  g_autofree double *x = g_new0 (double, N);
  g_autofree double *y = g_new0 (double, N);
  g_autofree double *lon = g_new (double, N);
  g_autofree double *lat = g_new (double, N);
  g_autofree guint8 *valid = g_new0 (guint8, N);
  g_autoptr (GRand) random = g_rand_new_with_seed (1);
  for (gsize i = 0; i < N; i++)
    {
      u[i] = g_rand_double_range (random, -30.0, 30.0);
      v[i] = g_rand_double_range (random, -30.0, 30.0);
    }

  PJ_CONTEXT *context = proj_context_create ();
  PJ *eqdc = proj_create (context, "+proj=eqdc +lat_1=35 +lat_2=55 +lat_0=45 +R=6371000");
  if (eqdc == NULL)
    fail_on (g_error_new_literal (RHY_ERROR, RHY_ERROR_UNSUPPORTED, "PROJ knows no equidistant conic"));

  double ours[ROUNDS], theirs[ROUNDS], ratio[ROUNDS];
  for (int k = 0; k < ROUNDS; k++)
    {
      double t = seconds ();
      if (rhy_map_forward (chain, N, u, v, x, y, valid) != 0)
        fail_on (g_error_new_literal (RHY_ERROR, RHY_ERROR_OUTSIDE, "a point of the bench is off the wall"));
      ours[k] = N / (seconds () - t) * 1e-6;

      /* In place, so PROJ gets fresh points each time. */
      for (gsize i = 0; i < N; i++)
        {
          lon[i] = u[i] * 0.02;
          lat[i] = 0.8 + v[i] * 0.01;
        }
      t = seconds ();
      if (proj_trans_generic (eqdc, PJ_FWD, lon, sizeof *lon, N, lat, sizeof *lat, N, NULL, 0, 0, NULL, 0, 0) != N)
        fail_on (g_error_new_literal (RHY_ERROR, RHY_ERROR_OUTSIDE, "PROJ left points out"));
      theirs[k] = N / (seconds () - t) * 1e-6;
      ratio[k] = ours[k] / theirs[k];
    }
  proj_destroy (eqdc);
  proj_context_destroy (context);
  clear_cone (&cone);

  const double r = median (ratio, ROUNDS);
  g_autofree char *a = g_strdup_printf ("%.0f M/s", median (ours, ROUNDS));
  g_autofree char *b = g_strdup_printf ("PROJ %.0f M/s", median (theirs, ROUNDS));
  g_autofree char *c = g_strdup_printf ("%.2f", r);
  row ("points: rolled + chuck on a cone, forward", a, b, c, ">= 3", r >= 3.0);
}

/* ---- (b) whole files ---- */

static double
time_command (const char *const *argv)
{
  GError *error = NULL;
  int status = 0;
  const double t = seconds ();
  g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_SEARCH_PATH | G_SPAWN_STDERR_TO_DEV_NULL,
                NULL, NULL, NULL, NULL, &status, &error);
  const double took = seconds () - t;
  fail_on (error);
  if (!g_spawn_check_wait_status (status, &error))
    {
      g_prefix_error (&error, "%s: ", argv[0]);
      fail_on (error);
    }
  return took;
}

/* A job that lays @svg on the tumbler, its longer side 60 mm. %NULL: no ink in it.
 * Strokes stay centre lines, as rsvg-convert leaves them strokes too. */
static char *
write_job (const char *folder, const char *svg)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyArtwork) artwork = rhy_intake_file (svg, NULL, NULL, &error);
  if (artwork == NULL)
    return NULL;
  const RhyBounds box = rhy_artwork_get_ink_box (artwork);
  if (rhy_bounds_is_empty (box))
    return NULL;

  const char *side = box.max_x - box.min_x >= box.max_y - box.min_y ? "Width" : "Height";
  g_autofree char *text = g_strdup_printf ("[Job]\nFormat=1\n[Vessel]\nHeights=0;150\nDiameters=62;88\n"
                                           "[Artwork]\nFile=%s\n%s=60\nAt=80\nStrokes=centreline\n", svg, side);
  char *path = g_build_filename (folder, "bench.rhyton", NULL);
  g_file_set_contents (path, text, -1, &error);
  fail_on (g_steal_pointer (&error));
  return path;
}

/* Returns: the ratio of a whole file's time to the peer's; NAN where there is no ink in it. */
static double
time_wrap (const char *cli, const char *folder, const char *svg, gboolean tell)
{
  enum { ROUNDS = 11 };
  g_autofree char *job = write_job (folder, svg);
  g_autofree char *name = g_path_get_basename (svg);
  if (job == NULL)
    {
      if (tell)
        g_print ("wrap %s: no outlines in it, left out\n", name);
      return NAN;
    }
  g_autofree char *bed = g_build_filename (folder, "bed.svg", NULL);
  g_autofree char *plain = g_build_filename (folder, "plain.svg", NULL);
  const char *const wrap[] = { cli, "wrap", "-o", bed, job, NULL };
  const char *const convert[] = { "rsvg-convert", "-f", "svg", "-o", plain, svg, NULL };

  double ours[ROUNDS], theirs[ROUNDS], ratio[ROUNDS];
  for (int k = -1; k < ROUNDS; k++)
    {
      const double a = time_command (wrap), b = time_command (convert);
      if (k < 0)
        continue;   /* the first pair warms the caches */
      ours[k] = a * 1e3;
      theirs[k] = b * 1e3;
      ratio[k] = a / b;
    }
  g_remove (bed);
  g_remove (plain);
  g_remove (job);

  const double r = median (ratio, ROUNDS);
  if (!tell)
    return r;
  g_autofree char *what = g_strdup_printf ("wrap %s", name);
  g_autofree char *a = g_strdup_printf ("%.1f ms", median (ours, ROUNDS));
  g_autofree char *b = g_strdup_printf ("rsvg-convert %.1f ms", median (theirs, ROUNDS));
  g_autofree char *c = g_strdup_printf ("%.2f", r);
  row (what, a, b, c, "<= 1.5", r <= 1.5);
  return r;
}

/* ---- large files ---- */

static double
peak_mb (const char *const *argv)
{
  GError *error = NULL;
  GPid pid;
  int status = 0;
  struct rusage used;
  g_spawn_async (NULL, (char **) argv, NULL, G_SPAWN_SEARCH_PATH | G_SPAWN_DO_NOT_REAP_CHILD | G_SPAWN_STDERR_TO_DEV_NULL, NULL, NULL,
                 &pid, &error);
  fail_on (error);
  /* Of the program and of those it waited for, whichever is the greatest: kB on Linux. */
  if (wait4 (pid, &status, 0, &used) != pid || !g_spawn_check_wait_status (status, &error))
    fail_on (error != NULL ? error : g_error_new_literal (G_SPAWN_ERROR, G_SPAWN_ERROR_FAILED, "a program of the bench is lost"));
  return (double) used.ru_maxrss / 1024.0;
}

/* A hundred flowers, each a polyline of @n points. */
static char *
write_flowers (const char *folder, int n)
{
  GError *error = NULL;
  g_autoptr (GString) svg = g_string_new ("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\">\n");
  for (int i = 0; i < 100; i++)
    {
      g_string_append (svg, "<path d=\"");
      for (int k = 0; k < n; k++)
        {
          const double a = 2.0 * G_PI * k / n;
          const double r = 3.0 + sin (5.0 * a);
          g_string_append_printf (svg, "%c%.4f,%.4f", k == 0 ? 'M' : 'L', 5.0 + 10.0 * (i % 10) + r * cos (a), 5.0 + 10.0 * (i / 10) + r * sin (a));
        }
      g_string_append (svg, "Z\"/>\n");
    }
  g_string_append (svg, "</svg>\n");
  char *path = g_strdup_printf ("%s/flowers-%d.svg", folder, n);
  g_file_set_contents (path, svg->str, (gssize) svg->len, &error);
  fail_on (error);
  return path;
}

static void
bench_large (const char *cli, const char *folder)
{
  enum { ROUNDS = 5, MILLION = 10000 };
  double took[2][ROUNDS];
  double most = 0.0, theirs = 0.0;
  for (int large = 0; large < 2; large++)
    {
      g_autofree char *svg = write_flowers (folder, large ? MILLION : MILLION / 10);
      g_autofree char *job = write_job (folder, svg);
      g_autofree char *bed = g_build_filename (folder, "bed.svg", NULL);
      const char *const wrap[] = { cli, "wrap", "-o", bed, job, NULL };
      const char *const convert[] = { "rsvg-convert", "-u", "-f", "svg", "-o", bed, svg, NULL };
      for (int k = 0; k < ROUNDS; k++)
        took[large][k] = time_command (wrap);
      if (large)
        {
          most = peak_mb (wrap);
          theirs = peak_mb (convert);
        }
      g_remove (bed);
      g_remove (job);
      g_remove (svg);
    }
  const double few = median (took[0], ROUNDS), many = median (took[1], ROUNDS);
  g_autofree char *a = g_strdup_printf ("%.2f s", many);
  g_autofree char *b = g_strdup_printf ("a tenth of it %.2f s", few);
  g_autofree char *c = g_strdup_printf ("%.1f", many / few);
  row ("wrap: a million points", a, b, c, "<= 11", many / few <= 11.0);
  /* A point and its verb, as a path holds them. */
  const double geometry = 100.0 * MILLION * (sizeof (RhyPoint) + 1) / (1024.0 * 1024.0);
  g_autofree char *d = g_strdup_printf ("%.0f MB", most);
  g_autofree char *e = g_strdup_printf ("path %.1f, rsvg-convert %.0f MB", geometry, theirs);
  g_autofree char *f = g_strdup_printf ("%.2f", most / geometry);
  row ("wrap: their memory at most", d, e, f, "<= 4", most / geometry <= 4.0);
}

/* Openly licensed drawings, where the distribution's package of them is installed:
 * every so many-th one, so that the choice is not ours. */
static void
bench_clip_art (const char *cli, const char *folder)
{
  const char *find[] = { "find", "/usr/share/openclipart/svg", "-name", "*.svg", NULL };
  g_autofree char *out = NULL;
  if (!g_file_test (find[1], G_FILE_TEST_IS_DIR) ||
      !g_spawn_sync (NULL, (char **) find, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, &out, NULL, NULL, NULL))
    return;
  g_auto (GStrv) files = g_strsplit (g_strchomp (out), "\n", -1);
  const guint n = g_strv_length (files);
  qsort (files, n, sizeof *files, compare_names);
  enum { FILES = 50 };
  double ratios[FILES];
  gsize k = 0;
  for (guint i = n / (2 * FILES); i < n && k < FILES; i += MAX (n / FILES, 1))
    if (isfinite (ratios[k] = time_wrap (cli, folder, files[i], FALSE)))
      k++;
  if (k == 0)
    return;
  const double r = median (ratios, k);
  g_autofree char *a = g_strdup_printf ("%" G_GSIZE_FORMAT " files", k);
  g_autofree char *c = g_strdup_printf ("%.2f", r);
  row ("wrap: clip art, the median", a, "rsvg-convert", c, "<= 1.5", r <= 1.5);
}

static void
bench_wrap (const char *demo)
{
  const char *cli = g_getenv ("RHYTON_CLI");
  GError *error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-bench-XXXXXX", &error);
  fail_on (error);

  const char *const names[] = { "crest.svg", "regatta.svg" };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *folder_of_demo = g_canonicalize_filename (demo, NULL);
      g_autofree char *svg = g_build_filename (folder_of_demo, names[i], NULL);
      time_wrap (cli != NULL ? cli : "rhyton-cli", folder, svg, TRUE);
    }
  bench_clip_art (cli != NULL ? cli : "rhyton-cli", folder);
  bench_large (cli != NULL ? cli : "rhyton-cli", folder);
  g_rmdir (folder);
}

/* ---- (c) nodes ---- */

typedef struct { double x, y, s; } Sample;

/* Distance on the wall between a sample and the chord from @a to @b, all on the bed:
 * near a point of the wall the drive is a scaling along its two axes. */
static double
chord_distance (const Cone *cone, const Sample *p, const Sample *a, const Sample *b)
{
  const RhyRing ring = rhy_wall_at (cone->wall, p->s);
  const double fx = 1.0;   /* tilted by its slope, a cone's X is its slant */
  const double fy = 2.0 * G_PI * ring.r_mm / CONE_TRAVEL_MM;
  const double ax = (a->x - p->x) * fx, ay = (a->y - p->y) * fy;
  const double bx = (b->x - p->x) * fx, by = (b->y - p->y) * fy;
  const double dx = bx - ax, dy = by - ay;
  const double l2 = dx * dx + dy * dy;
  const double t = l2 > 0.0 ? CLAMP (-(ax * dx + ay * dy) / l2, 0.0, 1.0) : 0.0;
  return hypot (ax + t * dx, ay + t * dy);
}

static gboolean
chord_fits (const Cone *cone, const Sample *samples, gsize from, gsize to)
{
  for (gsize i = from + 1; i < to; i++)
    if (chord_distance (cone, &samples[i], &samples[from], &samples[to]) > TOLERANCE_MM)
      return FALSE;
  return TRUE;
}

/* The fewest chords with their ends on the curve: each goes as far as it may. */
static gsize
count_chords (const Cone *cone, const Sample *samples, gsize n)
{
  gsize chords = 0;
  for (gsize from = 0; from + 1 < n; chords++)
    {
      gsize to = from + 1, step = 1;
      while (to + step < n && chord_fits (cone, samples, from, to + step))
        {
          to += step;
          step *= 2;
        }
      for (; step > 0; step /= 2)
        if (to + step < n && chord_fits (cone, samples, from, to + step))
          to += step;
      from = to;
    }
  return chords;
}

static RhyPoint
segment_at (const RhySegment *segment, double t)
{
  const double m = 1.0 - t;
  if (segment->verb == RHY_PATH_LINE)
    return (RhyPoint) { m * segment->p[0].x + t * segment->p[1].x, m * segment->p[0].y + t * segment->p[1].y };
  const double b0 = m * m * m, b1 = 3.0 * m * m * t, b2 = 3.0 * m * t * t, b3 = t * t * t;
  return (RhyPoint) { b0 * segment->p[0].x + b1 * segment->p[1].x + b2 * segment->p[2].x + b3 * segment->p[3].x,
                      b0 * segment->p[0].y + b1 * segment->p[1].y + b2 * segment->p[2].y + b3 * segment->p[3].y };
}

static gsize
count_polyline (const Cone *cone, const RhyPath *path)
{
  enum { N = 2000 };
  g_autofree Sample *samples = g_new (Sample, N + 1);
  gsize chords = 0;
  RhyPathIter iter;
  RhySegment segment;
  rhy_path_iter_init (&iter, path);
  while (rhy_path_iter_next (&iter, &segment))
    {
      for (gsize i = 0; i <= N; i++)
        {
          RhyPoint wall, bed;
          if (!rhy_map_point (cone->lay, segment_at (&segment, (double) i / N), &wall) ||
              !rhy_map_point (cone->drive, wall, &bed))
            fail_on (g_error_new_literal (RHY_ERROR, RHY_ERROR_OUTSIDE, "a shape of the bench is off the wall"));
          samples[i] = (Sample) { bed.x, bed.y, wall.x };
        }
      chords += count_chords (cone, samples, N + 1);
    }
  return chords;
}

static RhyBendReport
bend (const Cone *cone, RhyPath *const *paths, gsize n, gsize *chords)
{
  GError *error = NULL;
  g_autoptr (RhyBender) bender = rhy_bender_new (cone->wall, cone->lay, cone->drive, TOLERANCE_MM);
  RhyBendReport report = { 0 };
  *chords = 0;
  for (gsize i = 0; i < n; i++)
    {
      g_autoptr (RhyPath) bent = rhy_bender_bend (bender, paths[i], &report, &error);
      fail_on (error);
      *chords += count_polyline (cone, paths[i]);
    }
  return report;
}

static void
row_nodes (const char *what, RhyBendReport report, gsize chords, double most)
{
  const double growth = (double) report.segments_out / (double) report.segments_in;
  g_autofree char *full = g_strdup_printf ("nodes: %s, %" G_GSIZE_FORMAT " in", what, report.segments_in);
  g_autofree char *a = g_strdup_printf ("%" G_GSIZE_FORMAT " out", report.segments_out);
  g_autofree char *b = g_strdup_printf ("polyline %" G_GSIZE_FORMAT, chords);
  g_autofree char *c = g_strdup_printf ("%.3f", growth);
  g_autofree char *d = g_strdup_printf ("<= %.2f", most);
  row (full, a, b, c, d, growth <= most && report.error_max_mm <= TOLERANCE_MM);
}

/* Text at letters of about 20 mm would not fit the wall in one line: four lines of some 10 mm. */
static const char LETTERING[] =
  "<svg xmlns='http://www.w3.org/2000/svg' width='110mm' height='60mm' viewBox='0 0 110 60'>"
  "<g font-family='DejaVu Serif, serif' font-size='11'>"
  "<text x='2' y='12'>Larkmoor Rowing</text><text x='2' y='26'>Club &amp; Regatta 83</text>"
  "<text x='2' y='40'>Sculls, Pairs, Eights</text><text x='2' y='54'>Won by a Length</text></g></svg>";

static void
bench_lettering (const Cone *cone)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GBytes) bytes = g_bytes_new_static (LETTERING, sizeof LETTERING - 1);
  g_autoptr (RhyArtwork) read = rhy_intake_bytes (bytes, NULL, NULL, &error);
  fail_on (g_steal_pointer (&error));
  g_autoptr (RhyArtwork) artwork = rhy_artwork_sized (read, 110.0, 0.0, &error);
  fail_on (g_steal_pointer (&error));

  g_autoptr (GPtrArray) paths = g_ptr_array_new ();
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    g_ptr_array_add (paths, rhy_artwork_get_shape (artwork, i)->path);
  gsize chords;
  const RhyBendReport report = bend (cone, (RhyPath *const *) paths->pdata, paths->len, &chords);
  row_nodes ("lettering", report, chords, 1.02);
}

static void
bench_nodes (void)
{
  Cone cone = make_cone ();
  gsize chords;
  bench_lettering (&cone);

  /* Handles of a quarter circle: 4/3 (sqrt 2 - 1) of the radius. */
  const double r = 30.0, h = r * 4.0 / 3.0 * (G_SQRT2 - 1.0);
  g_autoptr (RhyPath) circle = rhy_path_new ();
  rhy_path_move_to (circle, r, 0);
  rhy_path_cubic_to (circle, r, h, h, r, 0, r);
  rhy_path_cubic_to (circle, -h, r, -r, h, -r, 0);
  rhy_path_cubic_to (circle, -r, -h, -h, -r, 0, -r);
  rhy_path_cubic_to (circle, h, -r, r, -h, r, 0);
  rhy_path_close (circle);
  RhyBendReport report = bend (&cone, &circle, 1, &chords);
  row_nodes ("circle of radius 30 mm", report, chords, 1.0);

  static const struct { const char *what; double degrees; } lines[] = {
    { "line of 200 mm, level", 0.0 }, { "line of 200 mm, rising 30 degrees", 30.0 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    {
      const double a = lines[i].degrees * G_PI / 180.0;
      g_autoptr (RhyPath) line = rhy_path_new ();
      rhy_path_move_to (line, -100.0 * cos (a), -100.0 * sin (a));
      rhy_path_line_to (line, 100.0 * cos (a), 100.0 * sin (a));
      report = bend (&cone, &line, 1, &chords);
      row_nodes (lines[i].what, report, chords, 1.0);
    }
  clear_cone (&cone);
}

/* ---- (d) pictures ---- */

/* A photo of 12 million pixels, 60 mm wide on the cone, at 300 dots an inch; beside it cairo's best
 * filter scaling the same photo to the same dots, which is one affine map and no cone. Ours takes
 * all processors, cairo's takes one: the processor time of both is what is compared. */
static void
bench_pictures (void)
{
  enum { W = 4000, H = 3000, ROUNDS = 5 };
  Cone cone = make_cone ();
  g_autoptr (RhyMap) chain = rhy_map_new_chain (cone.lay, cone.drive);
  guint32 *pixels = g_new (guint32, W * H);
  for (guint i = 0; i < W * H; i++)
    {
      const guint32 g = (guint32) (127.5 + 120.0 * sin (i % W * 0.02) * cos (i / W * 0.013));
      pixels[i] = 0xff000000u | g << 16 | (255u - g) << 8 | ((i * 2654435761u) >> 24);
    }
  const double mm = 60.0 / W;
  g_autoptr (RhyPaint) photo = rhy_paint_new (&(RhyPaint) {
    .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_PAD, .smooth = TRUE, .alpha = 1.0,
    .matrix = { mm, 0.0, 0.0, -mm, -30.0, 22.5 }, .raster = rhy_raster_new (W, H, pixels) });
  RhyGrid grid;
  GError *error = NULL;
  rhy_grid_over ((RhyBounds) { -22.5, -30.0, 22.5, 30.0 }, 300.0, (RhyPoint) { 0.0, 0.0 }, &grid, &error);
  fail_on (error);

  cairo_surface_t *source = cairo_image_surface_create_for_data ((guchar *) pixels, CAIRO_FORMAT_ARGB32, W, H, 4 * W);
  double took[ROUNDS], ratio[ROUNDS], theirs[ROUNDS];
  for (int k = 0; k < ROUNDS; k++)
    {
      double t = seconds ();
      clock_t busy = clock ();
      g_autoptr (RhyPaint) warped = rhy_paint_warped (photo, chain, &grid);
      took[k] = (seconds () - t) * 1e3;
      const double ours = (double) (clock () - busy) / CLOCKS_PER_SEC * 1e3;

      busy = clock ();
      cairo_surface_t *target = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, (int) grid.height, (int) grid.width);
      cairo_t *cr = cairo_create (target);
      cairo_scale (cr, (double) grid.height / W, (double) grid.width / H);
      cairo_set_source_surface (cr, source, 0.0, 0.0);
      cairo_pattern_set_filter (cairo_get_source (cr), CAIRO_FILTER_BEST);
      cairo_pattern_set_extend (cairo_get_source (cr), CAIRO_EXTEND_PAD);
      cairo_paint (cr);
      cairo_destroy (cr);
      cairo_surface_destroy (target);
      theirs[k] = (double) (clock () - busy) / CLOCKS_PER_SEC * 1e3;
      ratio[k] = ours / theirs[k];
    }
  cairo_surface_destroy (source);
  clear_cone (&cone);

  const double r = median (ratio, ROUNDS);
  g_autofree char *a = g_strdup_printf ("%.0f ms", median (took, ROUNDS));
  g_autofree char *b = g_strdup_printf ("cairo best %.0f ms", median (theirs, ROUNDS));
  g_autofree char *c = g_strdup_printf ("%.2f", r);
  row ("picture: 12 Mpx onto a cone, 60 mm at 300 dpi", a, b, c, "<= 1.5", r <= 1.5);
}

/* ---- (e) preview frames ---- */

static void
bench_frames (const char *demo)
{
  enum { WIDTH = 1280, HEIGHT = 960, FRAMES = 61 };
  GError *error = NULL;
  g_autofree char *path = g_build_filename (demo, "tumbler.rhyton", NULL);
  g_autoptr (RhyJob) job = rhy_job_new_from_file (path, &error);
  fail_on (error);
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, NULL, NULL, &error);
  fail_on (error);
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  fail_on (error);

  g_autofree guint8 *pixels = g_malloc0 ((gsize) WIDTH * HEIGHT * 4);
  double took[FRAMES];
  clock_t processor = 0;
  for (int k = -2; k < FRAMES; k++)
    {
      if (k == 0)
        processor = clock ();
      RhyCamera camera = RHY_CAMERA_INIT;
      camera.turn_rad = k * 2.0 * G_PI / FRAMES;
      const RhySceneOptions options = RHY_SCENE_OPTIONS_INIT;
      const double t = seconds ();
      rhy_scene_render (scene, &camera, &options, pixels, WIDTH, HEIGHT, WIDTH * 4);
      if (k >= 0)
        took[k] = (seconds () - t) * 1e3;
    }
  const double ms = median (took, FRAMES);
  const double busy = (double) (clock () - processor) / CLOCKS_PER_SEC * 1e3 / FRAMES;
  g_autofree char *a = g_strdup_printf ("%.1f ms", ms);
  g_autofree char *b = g_strdup_printf ("processor %.1f ms", busy);
  row ("preview frame, 1280 x 960, tumbler turning", a, b, "", "<= 16 ms", ms <= 16.0);
}

/* ---- (f) frames while an artwork is dragged ---- */

/* All that stands between the hand's movement and the picture: the edited job, its plan,
 * the artwork painted on the wall, and the view. */
static void
drag (const char *what, RhyJob *job)
{
  enum { WIDTH = 1280, HEIGHT = 960, FRAMES = 41 };
  GError *error = NULL;
  g_autoptr (RhyArtwork) source = rhy_job_load_artwork (job, 0, NULL, &error);
  fail_on (error);
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, source, NULL, &error);
  fail_on (error);

  g_autofree guint8 *pixels = g_malloc0 ((gsize) WIDTH * HEIGHT * 4);
  const RhyCamera camera = RHY_CAMERA_INIT;
  const RhySceneOptions options = RHY_SCENE_OPTIONS_INIT;
  double took[FRAMES], planned[FRAMES], painted[FRAMES];
  g_autoptr (RhyScene) before = NULL;
  clock_t processor = 0;
  for (int k = -2; k < FRAMES; k++)
    {
      if (k == 0)
        processor = clock ();
      const double start = seconds ();
      g_autoptr (RhyJob) turned = rhy_job_with_number (job, "Artwork", "Around", 0.4 * k, &error);
      fail_on (error);
      RhyPlan *next = rhy_plan_new_like (turned, &source, plan, NULL, &error);
      fail_on (error);
      const double has_plan = seconds ();
      const double length = rhy_wall_get_length (rhy_plan_get_wall (next));
      RhyScene *scene = rhy_scene_new_draft (next, HEIGHT / length, &error);
      fail_on (error);
      const double has_scene = seconds ();
      rhy_scene_render_after (scene, before, &camera, &options, pixels, WIDTH, HEIGHT, WIDTH * 4);
      g_clear_pointer (&before, rhy_scene_unref);
      before = scene;
      if (k >= 0)
        {
          took[k] = (seconds () - start) * 1e3;
          planned[k] = (has_plan - start) * 1e3;
          painted[k] = (has_scene - has_plan) * 1e3;
        }
      rhy_plan_unref (plan);
      plan = next;
    }
  const double busy = (double) (clock () - processor) / CLOCKS_PER_SEC * 1e3 / FRAMES;
  const double ms = median (took, FRAMES);
  g_autofree char *a = g_strdup_printf ("%.1f ms, cpu %.1f", ms, busy);
  g_autofree char *b = g_strdup_printf ("plan %.1f, skin %.1f", median (planned, FRAMES), median (painted, FRAMES));
  row (what, a, b, "", "<= 16 ms", ms <= 16.0);
}

static void
bench_drag (const char *demo)
{
  GError *error = NULL;
  g_autofree char *path = g_build_filename (demo, "tumbler.rhyton", NULL);
  g_autoptr (RhyJob) job = rhy_job_new_from_file (path, &error);
  fail_on (error);
  drag ("dragged frame, 1280 x 960, tumbler's crest", job);

  g_autofree char *folder = g_dir_make_tmp ("rhyton-bench-XXXXXX", &error);
  fail_on (error);
  g_autofree char *photo = g_build_filename (folder, "photo.png", NULL);
  photo_write (photo, &error);
  fail_on (error);
  g_autoptr (RhyJob) with_photo = rhy_job_with_text (job, "Artwork", "File", photo, &error);
  fail_on (error);
  drag ("dragged frame, 1280 x 960, photo of 12 Mpx", with_photo);
  g_unlink (photo);
  g_rmdir (folder);
}

int
main (int argc, char **argv)
{
  if (argc < 2)
    {
      g_printerr ("usage: rhyton-bench DEMO-FOLDER [points] [wrap] [nodes] [pictures] [frames] [drag]\n");
      return 2;
    }
  const char *const *wanted = (const char *const *) argv + 2;
  const gboolean all = argc == 2;

  g_print ("%-44s %16s %20s %9s  %-16s\n", "what", "Rhyton", "beside it", "ratio", "goal");
  if (all || g_strv_contains (wanted, "points"))
    bench_points ();
  if (all || g_strv_contains (wanted, "wrap"))
    bench_wrap (argv[1]);
  if (all || g_strv_contains (wanted, "nodes"))
    bench_nodes ();
  if (all || g_strv_contains (wanted, "pictures"))
    bench_pictures ();
  if (all || g_strv_contains (wanted, "frames"))
    bench_frames (argv[1]);
  if (all || g_strv_contains (wanted, "drag"))
    bench_drag (argv[1]);
  return 0;
}
