/* SPDX-License-Identifier: LGPL-2.1-or-later */

/*
 * Real drawings that nobody here drew: Debian's packages openclipart-svg and
 * librsvg2-tests. Each is taken in, drawn back flat with plain cairo, and held
 * against librsvg's own picture of it at 256 px. The reference runs librsvg in a
 * process of its own per file, because some of these files end it.
 *
 *   corpus [--sample=N] [--seed=N] [--outlined] [--verbose] [--keep=FOLDER] [FILE...]
 *
 * Without files: a sample of N of the packages' files, all of them with --sample=0.
 * All are compared in all four channels. At 256 px librsvg itself rounds the cells of
 * patterns to whole pixels and sets small letters on them, and filters work on so few:
 * what differs there is drawn again by both sides eight times as fine and averaged
 * down, and counted apart when it agrees then. The rest is listed. A
 * file said to have no ink is believed when librsvg's picture of it is clear all over.
 * Exit status 0 within the bounds below, 1 outside them, 77 if there are no files.
 */

#include <cairo.h>
#include <librsvg/rsvg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <rhyton/artwork.h>
#include <rhyton/brush.h>
#include <rhyton/intake.h>
#include <rhyton/stroke.h>

static const int PIXELS = 256;
static const guint ALLOWED = 32;                /* of 255, in any channel */
static const double SHARE_ALLOWED = 0.001;      /* of the pixels */
static const int FINER = 8;

/* Where Debian puts them, and what is asked of each set: the share of files that
 * must come in, and of those compared, that must agree. */
static const struct { const char *name, *folder; double in, agree; } sets[] = {
  { "openclipart", "/usr/share/openclipart/svg", 0.999, 0.999 },
  { "librsvg", "/usr/libexec/installed-tests/RSVG/fixtures", 0.90, 0.95 },
};

typedef enum { REFUSED, EMPTY, UNKNOWN, FLAT, GRADIENT, PICTURE, N_CLASSES } Class;
static const char *const class_names[] = { "refused", "empty", "no reference", "outlines only", "with gradients", "with pictures" };

typedef struct
{
  Class    class;
  gboolean limit;               /* refused for a limit */
  double   share;               /* of the pixels that differ */
  gboolean finely;              /* once drawn finer */
  double   seconds;
  char     message[200];
} Result;

/* ---- drawing back ---- */

static cairo_surface_t *
draw_back (const RhyArtwork *artwork,
           int               width,
           int               height,
           double            px_per_mm)
{
  double page_width, page_height;
  rhy_artwork_get_page (artwork, &page_width, &page_height);
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height);
  cairo_t *cr = cairo_create (surface);
  cairo_transform (cr, &(cairo_matrix_t) { px_per_mm, 0, 0, -px_per_mm, 0, page_height * px_per_mm });
  rhy_brush_artwork (cr, artwork, 0.0);
  cairo_destroy (cr);
  return surface;
}

/* @width_px, @height_px: the page; 0 for what the file says itself. */
static cairo_surface_t *
draw_reference (GBytes *bytes,
                int     width,
                int     height,
                double  width_px,
                double  height_px,
                double  scale)
{
  g_autoptr (GInputStream) raw = g_memory_input_stream_new_from_bytes (bytes);
  RsvgHandle *handle = rsvg_handle_new_from_stream_sync (raw, NULL, RSVG_HANDLE_FLAGS_NONE, NULL, NULL);
  if (handle == NULL)
    return NULL;
  rsvg_handle_set_dpi (handle, 96.0);
  if (width_px == 0.0)
    {
      if (!rsvg_handle_get_intrinsic_size_in_pixels (handle, &width_px, &height_px) || !(width_px > 0.0) || !(height_px > 0.0))
        width_px = height_px = PIXELS;
      scale = PIXELS / MAX (width_px, height_px);
      width = MAX (1, (int) (width_px * scale));
      height = MAX (1, (int) (height_px * scale));
    }
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height);
  cairo_t *cr = cairo_create (surface);
  cairo_scale (cr, scale, scale);
  const RsvgRectangle viewport = { 0, 0, width_px, height_px };
  const gboolean ok = rsvg_handle_render_document (handle, cr, &viewport, NULL);
  cairo_destroy (cr);
  g_object_unref (handle);
  if (!ok)
    g_clear_pointer (&surface, cairo_surface_destroy);
  return surface;
}

static gboolean
is_clear_for_librsvg (GBytes *bytes)
{
  cairo_surface_t *surface = draw_reference (bytes, 0, 0, 0.0, 0.0, 1.0);
  gboolean clear = surface != NULL;
  for (int y = 0; clear && y < cairo_image_surface_get_height (surface); y++)
    {
      const guint32 *row = (const guint32 *) (gconstpointer) (cairo_image_surface_get_data (surface) + y * cairo_image_surface_get_stride (surface));
      for (int x = 0; x < cairo_image_surface_get_width (surface); x++)
        clear = clear && row[x] == 0;
    }
  if (surface != NULL)
    cairo_surface_destroy (surface);
  return clear;
}

static double
share_differing (cairo_surface_t *a,
                 cairo_surface_t *b)
{
  const int width = cairo_image_surface_get_width (a);
  const int height = cairo_image_surface_get_height (a);
  guint n = 0;
  cairo_surface_flush (a);
  cairo_surface_flush (b);
  for (int y = 0; y < height; y++)
    {
      const guint32 *ra = (const guint32 *) (gconstpointer) (cairo_image_surface_get_data (a) + y * cairo_image_surface_get_stride (a));
      const guint32 *rb = (const guint32 *) (gconstpointer) (cairo_image_surface_get_data (b) + y * cairo_image_surface_get_stride (b));
      for (int x = 0; x < width; x++)
        {
          gboolean differs = FALSE;
          for (int shift = 0; shift < 32; shift += 8)
            differs = differs || ABS ((int) (ra[x] >> shift & 255) - (int) (rb[x] >> shift & 255)) > (int) ALLOWED;
          n += differs;
        }
    }
  return (double) n / ((double) width * height);
}

/* ---- one file ---- */

/* The mean of n by n pixels each. */
static cairo_surface_t *
averaged (cairo_surface_t *fine,
          int              n)
{
  const int width = cairo_image_surface_get_width (fine) / n;
  const int height = cairo_image_surface_get_height (fine) / n;
  cairo_surface_t *coarse = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, width, height);
  cairo_surface_flush (fine);
  for (int y = 0; y < height; y++)
    for (int x = 0; x < width; x++)
      {
        guint sums[4] = { 0 };
        for (int j = 0; j < n; j++)
          {
            const guint32 *row = (const guint32 *) (gconstpointer) (cairo_image_surface_get_data (fine)
                                                                    + (y * n + j) * cairo_image_surface_get_stride (fine));
            for (int i = 0; i < n; i++)
              for (int k = 0; k < 4; k++)
                sums[k] += row[x * n + i] >> (8 * k) & 255;
          }
        guint32 *to = (guint32 *) (gpointer) (cairo_image_surface_get_data (coarse) + y * cairo_image_surface_get_stride (coarse));
        for (int k = 0; k < 4; k++)
          to[x] |= sums[k] / (guint) (n * n) << (8 * k);
      }
  cairo_surface_mark_dirty (coarse);
  cairo_surface_destroy (fine);
  return coarse;
}

static Class
class_of (const RhyArtwork *artwork)
{
  Class class = FLAT;
  for (gsize i = 0; i < rhy_artwork_get_n_pictures (artwork); i++)
    if (rhy_artwork_get_picture (artwork, i)->kind != RHY_PICTURE_GRADIENT)
      return PICTURE;
    else
      class = GRADIENT;
  return class;
}

static void
keep_picture (cairo_surface_t *surface,
              const char      *folder,
              const char      *path,
              const char      *what)
{
  g_autofree char *name = g_path_get_basename (path);
  g_autofree char *file = g_strconcat (folder, "/", name, what, ".png", NULL);
  cairo_surface_write_to_png (surface, file);
}

static void
examine (const char *path,
         gboolean    outlined,
         const char *keep,
         Result     *result)
{
  g_autoptr (GError) error = NULL;
  const gint64 start = g_get_monotonic_time ();
  g_autoptr (RhyArtwork) artwork = rhy_intake_file (path, NULL, NULL, &error);
  result->seconds = (double) (g_get_monotonic_time () - start) / G_USEC_PER_SEC;
  if (artwork != NULL && outlined)
    {
      g_autoptr (RhyArtwork) centre = g_steal_pointer (&artwork);
      artwork = rhy_artwork_outlined (centre, 0.0, &error);
    }
  g_autofree char *data = NULL;
  gsize size = 0;
  g_file_get_contents (path, &data, &size, NULL);
  g_autoptr (GBytes) bytes = g_bytes_new_take (g_steal_pointer (&data), size);
  if (artwork == NULL)
    {
      result->class = REFUSED;
      if (strstr (error->message, "no ink") != NULL && is_clear_for_librsvg (bytes))
        result->class = EMPTY;
      result->limit = g_error_matches (error, RHY_ERROR, RHY_ERROR_LIMIT);
      g_strlcpy (result->message, error->message, sizeof result->message);
      return;
    }

  double width_mm, height_mm;
  rhy_artwork_get_page (artwork, &width_mm, &height_mm);
  const double px_per_mm = PIXELS / MAX (width_mm, height_mm);
  /* Whole pixels of the page: librsvg paints on past its edge, we end there. */
  const int width = MAX (1, (int) floor (width_mm * px_per_mm + 1e-6));
  const int height = MAX (1, (int) floor (height_mm * px_per_mm + 1e-6));
  const double doc_px = 96.0 / 25.4;
  cairo_surface_t *wanted = draw_reference (bytes, width, height, width_mm * doc_px, height_mm * doc_px, px_per_mm / doc_px);
  if (wanted == NULL)
    return;
  cairo_surface_t *got = draw_back (artwork, width, height, px_per_mm);
  result->class = class_of (artwork);
  result->share = share_differing (got, wanted);
  cairo_surface_t *finer = NULL;
  if (result->share >= SHARE_ALLOWED)
    finer = draw_reference (bytes, width * FINER, height * FINER, width_mm * doc_px, height_mm * doc_px, FINER * px_per_mm / doc_px);
  if (finer != NULL)
    {
      cairo_surface_destroy (wanted);
      cairo_surface_destroy (got);
      wanted = averaged (finer, FINER);
      got = averaged (draw_back (artwork, width * FINER, height * FINER, FINER * px_per_mm), FINER);
      result->share = share_differing (got, wanted);
      result->finely = TRUE;
    }
  if (keep != NULL && result->share >= SHARE_ALLOWED)
    {
      keep_picture (wanted, keep, path, "-wanted");
      keep_picture (got, keep, path, "-got");
    }
  cairo_surface_destroy (wanted);
  cairo_surface_destroy (got);
}

/* In a process of its own, since librsvg may not come back from the reference. */
static Result
examine_apart (const char *path,
               gboolean    outlined,
               const char *keep)
{
  Result result = { .class = UNKNOWN };
  int ends[2];
  if (pipe (ends) != 0)
    return result;
  const pid_t child = fork ();
  if (child == 0)
    {
      Result own = { .class = UNKNOWN };
      setrlimit (RLIMIT_CPU, &(struct rlimit) { 20, 20 });
      examine (path, outlined, keep, &own);
      _exit (write (ends[1], &own, sizeof own) == (gssize) sizeof own ? 0 : 1);
    }
  close (ends[1]);
  Result own;
  if (read (ends[0], &own, sizeof own) == (gssize) sizeof own)
    result = own;
  close (ends[0]);
  waitpid (child, NULL, 0);
  return result;
}

/* ---- sets of files ---- */

static int
by_name (gconstpointer a,
         gconstpointer b)
{
  return strcmp (*(const char *const *) a, *(const char *const *) b);
}

static void
collect (GPtrArray  *files,
         const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      char *path = g_build_filename (folder, name, NULL);
      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        {
          collect (files, path);
          g_free (path);
        }
      else if (g_str_has_suffix (name, ".svg") || g_str_has_suffix (name, ".svgz"))
        g_ptr_array_add (files, path);
      else
        g_free (path);
    }
}

static void
keep_sample (GPtrArray *files,
             guint      n,
             guint32    seed)
{
  g_ptr_array_sort (files, by_name);
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
  if (n == 0 || n >= files->len)
    return;
  for (guint i = 0; i < n; i++)
    {
      const guint j = (guint) g_rand_int_range (rand, (gint32) i, (gint32) files->len);
      gpointer kept = files->pdata[i];
      files->pdata[i] = files->pdata[j];
      files->pdata[j] = kept;
    }
  g_ptr_array_set_size (files, (gint) n);
}

static int
by_number (gconstpointer a,
           gconstpointer b)
{
  const double x = *(const double *) a;
  const double y = *(const double *) b;
  return (x > y) - (x < y);
}

static gboolean
run_set (const char *name,
         GPtrArray  *files,
         gboolean    outlined,
         gboolean    verbose,
         const char *keep,
         double      must_come_in,
         double      must_agree)
{
  guint counts[N_CLASSES] = { 0 };
  guint agree[N_CLASSES] = { 0 };
  guint finely = 0;
  g_autoptr (GArray) seconds = g_array_new (FALSE, FALSE, sizeof (double));

  for (guint i = 0; i < files->len; i++)
    {
      const char *path = files->pdata[i];
      const Result r = examine_apart (path, outlined, keep);
      counts[r.class]++;
      agree[r.class] += r.share < SHARE_ALLOWED;
      finely += r.finely && r.share < SHARE_ALLOWED;
      g_array_append_val (seconds, r.seconds);
      const gboolean odd = r.class == REFUSED || r.class == UNKNOWN || r.share >= SHARE_ALLOWED;
      if (odd || verbose)
        g_print ("# %s: %s%s%s, %.4f of the pixels differ, %.2f s\n", path, class_names[r.class],
                 r.class == REFUSED ? ": " : "", r.message, r.share, r.seconds);
    }

  g_array_sort (seconds, by_number);
  const double *t = (const double *) (gpointer) seconds->data;
  const guint come_in = files->len - counts[REFUSED] - counts[EMPTY];
  g_print ("%s%s: %u files, %u come in; median %.1f ms, slowest %.2f s\n", name, outlined ? ", strokes outlined" : "", files->len, come_in,
           1e3 * t[files->len / 2], t[files->len - 1]);
  g_print ("  outlines only:  %u, of which %u agree\n", counts[FLAT], agree[FLAT]);
  g_print ("  with gradients: %u, of which %u agree\n", counts[GRADIENT], agree[GRADIENT]);
  g_print ("  with pictures:  %u, of which %u agree\n", counts[PICTURE], agree[PICTURE]);
  g_print ("  without ink, as librsvg's own picture is: %u; refused: %u\n", counts[EMPTY], counts[REFUSED]);
  if (counts[UNKNOWN] > 0)
    g_print ("  without a reference: %u\n", counts[UNKNOWN]);

  const guint agreeing = agree[FLAT] + agree[GRADIENT] + agree[PICTURE];
  g_print ("  together: %u agree, %.4f of those that come in; %u of them when drawn finer than %d px\n", agreeing,
           (double) agreeing / MAX (come_in, 1), finely, PIXELS);

  /* Small samples: one file more than the share may miss. */
  const gboolean ok = come_in + counts[EMPTY] + 1 >= must_come_in * files->len
                      && agreeing + 1 >= must_agree * come_in;
  if (!ok)
    g_print ("  fewer than asked: %.4f must come in, %.4f agree\n", must_come_in, must_agree);
  return ok;
}

int
main (int    argc,
      char **argv)
{
  int sample = 0;
  int seed = 20260101;
  gboolean outlined = FALSE;
  gboolean verbose = FALSE;
  g_autofree char *keep = NULL;
  g_auto (GStrv) named = NULL;
  const GOptionEntry entries[] = {
    { "sample", 0, 0, G_OPTION_ARG_INT, &sample, "How many files of each set, 0 for all", "N" },
    { "seed", 0, 0, G_OPTION_ARG_INT, &seed, "Which sample", "N" },
    { "outlined", 0, 0, G_OPTION_ARG_NONE, &outlined, "Turn strokes into outlines first", NULL },
    { "verbose", 0, 0, G_OPTION_ARG_NONE, &verbose, "A line for every file", NULL },
    { "keep", 0, 0, G_OPTION_ARG_FILENAME, &keep, "Where to put both pictures of files that do not agree", "FOLDER" },
    { G_OPTION_REMAINING, 0, 0, G_OPTION_ARG_FILENAME_ARRAY, &named, NULL, "FILE..." },
    { 0 },
  };
  g_autoptr (GOptionContext) context = g_option_context_new (NULL);
  g_autoptr (GError) error = NULL;
  g_option_context_add_main_entries (context, entries, NULL);
  if (!g_option_context_parse (context, &argc, &argv, &error))
    {
      g_printerr ("corpus: %s\n", error->message);
      return 2;
    }

  gboolean ok = TRUE;
  gboolean any = FALSE;
  if (named != NULL)
    {
      g_autoptr (GPtrArray) files = g_ptr_array_new ();
      for (char **name = named; *name != NULL; name++)
        g_ptr_array_add (files, *name);
      return run_set ("named files", files, outlined, verbose, keep, 1.0, 1.0) ? 0 : 1;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (sets); i++)
    {
      g_autoptr (GPtrArray) files = g_ptr_array_new_with_free_func (g_free);
      collect (files, sets[i].folder);
      if (files->len == 0)
        {
          g_print ("%s: no files in %s\n", sets[i].name, sets[i].folder);
          continue;
        }
      any = TRUE;
      keep_sample (files, (guint) MAX (sample, 0), (guint32) seed);
      ok = run_set (sets[i].name, files, outlined, verbose, keep, sets[i].in, sets[i].agree) && ok;
    }
  return !any ? 77 : ok ? 0 : 1;
}
