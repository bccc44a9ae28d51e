/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#ifdef __GLIBC__
#include <malloc.h>
#endif
#include <pthread.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

typedef struct { char *names, *folder, *part, *format, *dpi, *name_by, *jobs, *paper; gboolean no_contact; } Options;

/* ---- being stopped ---- */

/* The thread waits for as long as the program runs, with a reference of its own. */
static GCancellable *listening;

static gpointer
wait_for_stop (gpointer data)
{
  (void) data;
  sigset_t set;
  int number;
  sigemptyset (&set);
  sigaddset (&set, SIGINT);
  sigaddset (&set, SIGTERM);
  sigwait (&set, &number);
  rhy_cancellable_cancel (listening);
  return NULL;
}

/* What is being written is finished, or not begun: a stop is taken between rows. Threads that are
 * started later have these signals blocked too, so that this one alone hears them. */
static void
listen_for_stop (void)
{
  sigset_t set;
  sigemptyset (&set);
  sigaddset (&set, SIGINT);
  sigaddset (&set, SIGTERM);
  pthread_sigmask (SIG_BLOCK, &set, NULL);
  listening = rhy_cancellable_new ();   /* as long as the process lives */
  g_thread_unref (g_thread_new ("stop", wait_for_stop, NULL));
}

/* ---- progress ---- */

/* Each row takes the same few megabytes for its picture: given back to the system and asked for again, with
 * every page cleared, they cost a quarter of the time. */
static void
keep_memory (void)
{
#ifdef __GLIBC__
  mallopt (M_MMAP_THRESHOLD, 16 << 20);
  mallopt (M_TRIM_THRESHOLD, 64 << 20);
#endif
}

/* What comes after the rows, the contact sheet, grows with their number. */
static void
let_memory_go (void)
{
#ifdef __GLIBC__
  mallopt (M_MMAP_THRESHOLD, 128 << 10);
  malloc_trim (0);
#endif
}

static void
show_progress (gsize              done,
               gsize              total,
               const RhyBatchRow *row,
               gpointer           data)
{
  const gboolean *terminal = data;
  if (*terminal)
    fprintf (stderr, "\r\033[K%" G_GSIZE_FORMAT " of %" G_GSIZE_FORMAT "  %.60s", done, total, row->name);
  if (done == total)
    let_memory_go ();
}

static gsize
count_names_met_twice (GPtrArray *rows)
{
  g_autoptr (GHashTable) seen = g_hash_table_new (g_str_hash, g_str_equal);
  gsize again = 0;
  for (guint i = 0; i < rows->len; i++)
    again += !g_hash_table_add (seen, ((RhyBatchRow *) rows->pdata[i])->name);
  return again;
}

static void
report_strays (const RhyBatchOptions *options,
               const GPtrArray       *rows)
{
  g_auto (GStrv) strays = rhy_batch_find_strays (options, rows);
  const guint n = g_strv_length (strays);
  if (n > 0)
    fprintf (stderr, "rhyton-cli: %s: %u drawing%s of an earlier list, none of this one (%s%s): take %s away before you burn the folder\n",
             options->folder, n, n == 1 ? " is" : "s are", strays[0], n == 1 ? "" : ", ...", n == 1 ? "it" : "them");
}

static int
report (GPtrArray  *rows,
        const char *folder)
{
  gsize counts[3] = { 0 };
  gsize kept = 0;
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyBatchRow *row = rows->pdata[i];
      counts[row->state]++;
      kept += row->is_kept;
      if (row->state != RHY_ROW_READY)
        fprintf (stderr, "rhyton-cli: row %" G_GSIZE_FORMAT " (%s): %s: %s\n", row->row, row->name, rhy_row_state_to_string (row->state),
                 row->message != NULL ? row->message : "");
    }
  const gsize again = count_names_met_twice (rows);
  if (again > 0)
    fprintf (stderr, "rhyton-cli: %" G_GSIZE_FORMAT " name%s stood in the list before; each row has its own drawing\n", again, again == 1 ? "" : "s");
  fprintf (stderr, "rhyton-cli: %u row%s: %" G_GSIZE_FORMAT " ready (%" G_GSIZE_FORMAT " from an earlier run), %" G_GSIZE_FORMAT
                   " not ready, %" G_GSIZE_FORMAT " bad; drawings and manifest in %s\n",
           rows->len, rows->len == 1 ? "" : "s", counts[RHY_ROW_READY], kept, counts[RHY_ROW_NOT_READY], counts[RHY_ROW_BAD], folder);
  return counts[RHY_ROW_READY] == rows->len ? CLI_DONE : CLI_NOT_READY;
}

static int
make (const char            *name,
      const char            *names,
      const RhyBatchOptions *options)
{
  GError *error = NULL;
  g_autoptr (RhyJob) job = cli_job (name, &error);
  if (job == NULL)
    return cli_fail (NULL, error);
  g_autoptr (RhyTable) table = rhy_table_new_from_file (names, &error);
  if (table == NULL)
    return cli_fail (NULL, error);
  listen_for_stop ();
  keep_memory ();
  gboolean terminal = isatty (STDERR_FILENO) != 0;
  g_autoptr (GPtrArray) rows = rhy_batch_run (job, table, options, show_progress, &terminal, listening, &error);
  if (terminal)
    fputs ("\r\033[K", stderr);
  if (rows != NULL)
    {
      report_strays (options, rows);
      return report (rows, options->folder);
    }
  if (rhy_error_is_cancelled (error))
    {
      g_error_free (error);
      fputs ("rhyton-cli: stopped; what is finished is kept, and the same command goes on from here\n", stderr);
      return CLI_BAD;
    }
  return cli_fail (error->domain == RHY_ERROR ? cli_job_name (name) : NULL, error);
}

/* "2/5" */
static gboolean
read_part (const char      *text,
           RhyBatchOptions *options)
{
  g_auto (GStrv) both = g_strsplit (text, "/", 3);
  guint64 part, parts;
  if (g_strv_length (both) != 2 || !g_ascii_string_to_unsigned (both[1], 10, 1, 100000, &parts, NULL)
      || !g_ascii_string_to_unsigned (both[0], 10, 1, parts, &part, NULL))
    return FALSE;
  options->part = (guint) part;
  options->n_parts = (guint) parts;
  return TRUE;
}

static int
start (const Options *o,
       const char    *name)
{
  RhyBatchOptions options = RHY_BATCH_OPTIONS_INIT;
  guint64 threads = 0;
  if (o->names == NULL || o->folder == NULL)
    return cli_usage ("batch", "%s is missing", o->names == NULL ? "--names FILE.csv" : "-d FOLDER");
  if (o->part != NULL && !read_part (o->part, &options))
    return cli_usage ("batch", "--part: found \"%s\": allowed: I/N, as in 2/5", o->part);
  g_autofree char *as_file = g_strconcat ("x.", o->format != NULL ? o->format : "svg", NULL);
  if (!rhy_format_from_name (as_file, &options.format, NULL))
    return cli_usage ("batch", "--format: found \"%s\": allowed: svg, pdf, png", o->format);
  if (o->dpi != NULL && (!cli_number (o->dpi, &options.dpi) || !(options.dpi >= 10.0 && options.dpi <= 2400.0)))
    return cli_usage ("batch", "--dpi: found \"%s\": allowed: a number from 10 to 2400", o->dpi);
  if (o->jobs != NULL && !g_ascii_string_to_unsigned (o->jobs, 10, 1, 256, &threads, NULL))
    return cli_usage ("batch", "--jobs: found \"%s\": allowed: a whole number from 1 to 256", o->jobs);
  if (o->paper != NULL && !rhy_paper_from_string (o->paper, &options.paper))
    return cli_usage ("batch", "--paper: found \"%s\": allowed: a4, letter", o->paper);
  options.folder = o->folder;
  options.name_by = o->name_by;
  options.threads = (guint) threads;
  options.contact = !o->no_contact;
  return make (name, o->names, &options);
}

int
cli_batch (int    argc,
           char **argv)
{
  Options o = { 0 };
  const GOptionEntry entries[] = {
    { "names", 'n', 0, G_OPTION_ARG_FILENAME, &o.names, "The list: a row for each piece, a header with the columns' names", "FILE.csv" },
    { "directory", 'd', 0, G_OPTION_ARG_FILENAME, &o.folder, "The folder for drawings, previews, manifest and contact sheet", "FOLDER" },
    { "part", 0, 0, G_OPTION_ARG_STRING, &o.part, "Do only the I-th of N shares of the rows", "I/N" },
    { "format", 0, 0, G_OPTION_ARG_STRING, &o.format, "What drawings are: svg (default), pdf or png", "WORD" },
    { "dpi", 0, 0, G_OPTION_ARG_STRING, &o.dpi, "Dots per inch of a PNG (300)", "N" },
    { "name-by", 0, 0, G_OPTION_ARG_STRING, &o.name_by, "The column that files are named by (default: the first)", "COLUMN" },
    { "jobs", 'j', 0, G_OPTION_ARG_STRING, &o.jobs, "How many rows at a time (default: as many as there are processors)", "N" },
    { "paper", 0, 0, G_OPTION_ARG_STRING, &o.paper, "Of the contact sheet: a4 (default) or letter", "SIZE" },
    { "no-contact", 0, 0, G_OPTION_ARG_NONE, &o.no_contact, "No previews and no contact sheet", NULL },
    G_OPTION_ENTRY_NULL
  };
  int status;
  if (cli_options (&argc, &argv, entries, "JOB", "One bed drawing for each row of a list of names.",
                   "{column} in Text, Title and Note, and in the text of an SVG artwork, stands for the row's field.\n"
                   "Rows finished by an earlier run from the same inputs are kept. A row that is not ready, or bad,\n"
                   "spoils no other.\n"
                   "Exit status: 0 every row is ready, 1 some are not, 2 nothing was made.", &status))
    status = start (&o, argv[1]);
  char *const strings[] = { o.names, o.folder, o.part, o.format, o.dpi, o.name_by, o.jobs, o.paper };
  for (gsize i = 0; i < G_N_ELEMENTS (strings); i++)
    g_free (strings[i]);
  return status;
}
