/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/batch.h>

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>

#include <rhyton/fill.h>
#include <rhyton/intake.h>
#include <rhyton/scene.h>
#include <rhyton/verdict.h>

#include "../job/save.h"
#include "../shape/error-line.h"
#include "../shape/late-gio.h"
#include "../shape/parallel.h"
#include "contact.h"

#define SLUG_MAX 40             /* letters of a name in a file's name */
#define COLUMNS "row,name,file,bytes,verdict,findings,sha256,inputs\n"

typedef struct
{
  const RhyTable        *table;
  RhyBatchOptions        o;
  RhyJob                *job;
  RhyPlan               *first;         /* of some row: its wall and what all rows share are taken over */
  GBytes               **markup;        /* of each artwork: the text of an SVG that has columns in it, or NULL */
  RhyArtwork           **shared;        /* of each artwork: the same for every row, or NULL */
  char                  *common;        /* SHA-256 of what all rows are made from */
  GHashTable            *finished;      /* row number -> RhyBatchRow of an earlier run */
  int                    journal;
  GPtrArray             *rows;
  gsize                 *at;            /* where each of them is in the table */
  gsize                  name_column;
  int                    digits;
  RhyBatchProgress       progress;
  gpointer               data;
  GCancellable          *cancellable;
  GMutex                 lock;          /* of what follows, of the journal and of progress */
  gsize                  done;
  GError                *error;         /* the first that ends it all: a folder that is full */
} Batch;

const char *
rhy_row_state_to_string (RhyRowState state)
{
  static const char *const words[] = { "ready", "not ready", "bad" };
  return words[state];
}

static void
row_free (gpointer data)
{
  RhyBatchRow *row = data;
  g_free (row->name);
  g_free (row->file);
  g_free (row->findings);
  g_free (row->sha256);
  g_free (row->inputs);
  g_free (row->message);
  g_free (row);
}

/* ---- names ---- */

static const char *
ending_of (RhyFormat format)
{
  static const char *const endings[] = { [RHY_FORMAT_SVG] = "svg", [RHY_FORMAT_PDF] = "pdf", [RHY_FORMAT_PNG] = "png" };
  return endings[format];
}

/* Letters and digits of any script, the rest a dash: never a path, never hidden. */
static char *
slug_of (const char *name)
{
  g_autofree char *composed = g_utf8_normalize (name, -1, G_NORMALIZE_NFC);
  GString *slug = g_string_new (NULL);
  gsize letters = 0;
  gboolean dash = FALSE;
  for (const char *p = composed != NULL ? composed : ""; *p != '\0' && letters < SLUG_MAX; p = g_utf8_next_char (p))
    {
      const gunichar c = g_utf8_get_char (p);
      if (!g_unichar_isalnum (c))
        {
          dash = letters > 0;
          continue;
        }
      if (dash)
        g_string_append_c (slug, '-');
      dash = FALSE;
      g_string_append_unichar (slug, c);
      letters++;
    }
  return g_string_free (slug, FALSE);
}

/* "007-mira-anders": the number keeps rows of one name apart and files in the list's order. */
static char *
stem_of (const Batch       *b,
         const RhyBatchRow *row)
{
  g_autofree char *slug = slug_of (row->name);
  return g_strdup_printf ("%0*" G_GSIZE_FORMAT "%s%s", b->digits, row->row, *slug != '\0' ? "-" : "", slug);
}

static char *
in_folder (const Batch *b,
           const char  *name)
{
  return g_build_filename (b->o.folder, name, NULL);
}

static char *
preview_of (const Batch       *b,
            const RhyBatchRow *row)
{
  g_autofree char *stem = stem_of (b, row);
  g_autofree char *name = g_strconcat (stem, ".png", NULL);
  return g_build_filename (b->o.folder, "previews", name, NULL);
}

/* "manifest.csv", "manifest-2-of-5.csv" */
static char *
named_by_part (const Batch *b,
               const char  *name,
               const char  *ending)
{
  g_autofree char *file = b->o.n_parts > 1 ? g_strdup_printf ("%s-%u-of-%u%s", name, b->o.part, b->o.n_parts, ending)
                                           : g_strconcat (name, ending, NULL);
  return in_folder (b, file);
}

/* ---- the manifest ---- */

/* RFC 4180: quoted where it has to be. */
static void
put_field (GString    *out,
           const char *field)
{
  if (field == NULL)
    return;
  if (strpbrk (field, ",\"\r\n") == NULL)
    {
      g_string_append (out, field);
      return;
    }
  g_string_append_c (out, '"');
  for (const char *p = field; *p != '\0'; p++)
    {
      if (*p == '"')
        g_string_append_c (out, '"');
      g_string_append_c (out, *p);
    }
  g_string_append_c (out, '"');
}

static void
put_row (GString           *out,
         const RhyBatchRow *row)
{
  g_string_append_printf (out, "%" G_GSIZE_FORMAT ",", row->row);
  put_field (out, row->name);
  g_string_append_c (out, ',');
  put_field (out, row->file);
  g_string_append_printf (out, ",%" G_GUINT64_FORMAT ",%s,%s,%s,%s\n", row->bytes, rhy_row_state_to_string (row->state), row->findings,
                          row->sha256 != NULL ? row->sha256 : "", row->inputs);
}

static RhyBatchRow *
row_of_record (const RhyTable *table,
               gsize           i)
{
  static const char *const wanted[] = { "row", "name", "file", "bytes", "verdict", "findings", "sha256", "inputs" };
  gsize at[G_N_ELEMENTS (wanted)];
  guint64 number, bytes;
  for (gsize k = 0; k < G_N_ELEMENTS (wanted); k++)
    if (!rhy_table_find_column (table, wanted[k], &at[k]))
      return NULL;
  if (!g_ascii_string_to_unsigned (rhy_table_get (table, i, at[0]), 10, 1, G_MAXSIZE, &number, NULL)
      || !g_ascii_string_to_unsigned (rhy_table_get (table, i, at[3]), 10, 0, G_MAXUINT64, &bytes, NULL))
    return NULL;
  int state = RHY_ROW_BAD;
  while (state > RHY_ROW_READY && strcmp (rhy_table_get (table, i, at[4]), rhy_row_state_to_string ((RhyRowState) state)) != 0)
    state--;
  RhyBatchRow *row = g_new0 (RhyBatchRow, 1);
  *row = (RhyBatchRow) { .row = (gsize) number, .name = g_strdup (rhy_table_get (table, i, at[1])), .bytes = bytes,
                         .state = (RhyRowState) state, .findings = g_strdup (rhy_table_get (table, i, at[5])),
                         .inputs = g_strdup (rhy_table_get (table, i, at[7])) };
  if (state == RHY_ROW_READY)
    {
      row->file = g_strdup (rhy_table_get (table, i, at[2]));
      row->sha256 = g_strdup (rhy_table_get (table, i, at[6]));
    }
  return row;
}

/* What a run before wrote down, its last line possibly torn: none of it is believed without a look. */
static void
read_records (Batch      *b,
              const char *path)
{
  g_autofree char *text = NULL;
  gsize length = 0;
  if (!g_file_get_contents (path, &text, &length, NULL))
    return;
  while (length > 0 && text[length - 1] != '\n')
    length--;
  g_autoptr (RhyTable) table = rhy_table_new_from_data (text, length, path, NULL);
  for (gsize i = 0; table != NULL && i < rhy_table_get_n_rows (table); i++)
    {
      RhyBatchRow *row = row_of_record (table, i);
      if (row != NULL)
        g_hash_table_replace (b->finished, GSIZE_TO_POINTER (row->row), row);
    }
}

/* ---- inputs ---- */

static void
add_bytes (GChecksum  *sum,
           const char *what,
           const void *data,
           gsize       length)
{
  g_autofree char *head = g_strdup_printf ("%s %" G_GSIZE_FORMAT "\n", what, length);
  g_checksum_update (sum, (const guchar *) head, -1);
  g_checksum_update (sum, data, (gssize) length);
}

static void
add_file (GChecksum    *sum,
          const RhyJob *job,
          const char   *what,
          const char   *name)
{
  if (name == NULL)
    return;
  g_autofree char *path = rhy_job_resolve (job, name);
  g_autofree char *data = NULL;
  gsize length = 0;
  if (g_file_get_contents (path, &data, &length, NULL))
    add_bytes (sum, what, data, length);
}

/* Everything that does not change from row to row; the job's own text comes with each row. */
static char *
sum_common (const Batch *b)
{
  const RhyJobData *d = rhy_job_get_data (b->job);
  g_autoptr (GChecksum) sum = g_checksum_new (G_CHECKSUM_SHA256);
  g_autofree char *head = g_strdup_printf ("%s %s %.17g %s", RHYTON_VERSION, ending_of (b->o.format), b->o.dpi, b->o.contact ? "previews" : "");
  add_bytes (sum, "batch", head, strlen (head));
  add_file (sum, b->job, "machine", d->machine.file);
  add_file (sum, b->job, "profile", d->vessel.profile_file);
  for (gsize i = 0; i < d->n_artworks; i++)
    add_file (sum, b->job, "artwork", d->artworks[i].file);
  return g_strdup (g_checksum_get_string (sum));
}

static char *
sum_row (const Batch  *b,
         const RhyJob *filled,
         gsize         row)
{
  gsize length;
  g_autofree char *text = rhy_job_to_data (filled, &length);
  g_autoptr (GChecksum) sum = g_checksum_new (G_CHECKSUM_SHA256);
  add_bytes (sum, "common", b->common, strlen (b->common));
  add_bytes (sum, "job", text, length);
  /* Which columns a drawing asks for is not looked up again: any field may be in it. */
  gboolean any = FALSE;
  for (gsize i = 0; i < rhy_job_get_data (b->job)->n_artworks; i++)
    any = any || b->markup[i] != NULL;
  for (gsize k = 0; any && k < rhy_table_get_n_columns (b->table); k++)
    add_bytes (sum, "field", rhy_table_get (b->table, row, k), strlen (rhy_table_get (b->table, row, k)));
  return g_strdup (g_checksum_get_string (sum));
}

static gboolean
is_file_of (const Batch       *b,
            const RhyBatchRow *row)
{
  /* A manifest is a file that anybody may have written to: only a name that this run would give itself counts. */
  g_autofree char *stem = stem_of (b, row);
  g_autofree char *name = g_strdup_printf ("%s.%s", stem, ending_of (b->o.format));
  if (g_strcmp0 (row->file, name) != 0)
    return FALSE;
  g_autofree char *path = in_folder (b, name);
  g_autofree char *data = NULL;
  gsize length = 0;
  if (!g_file_get_contents (path, &data, &length, NULL))
    return FALSE;
  g_autofree char *sum = g_compute_checksum_for_data (G_CHECKSUM_SHA256, (const guchar *) data, length);
  return g_strcmp0 (sum, row->sha256) == 0;
}

/* ---- one row ---- */

static RhyArtwork *
artwork_of_markup (const Batch *b,
                   gsize        i,
                   gsize        row,
                   GError     **error)
{
  gsize n, length;
  const char *text = g_bytes_get_data (b->markup[i], &length);
  g_autofree char *whole = g_strndup (text, length);
  g_autofree char *filled = rhy_fill_markup (whole, b->table, row, &n);
  const gsize size = strlen (filled);
  g_autoptr (GBytes) bytes = g_bytes_new_take (g_steal_pointer (&filled), size);
  RhyArtwork *artwork = rhy_intake_bytes (bytes, NULL, b->cancellable, error);
  if (artwork == NULL)
    g_prefix_error (error, "%s: ", rhy_job_get_data (b->job)->artworks[i].file);
  return artwork;
}

static RhyPlan *
plan_of (const Batch *b,
         RhyJob      *filled,
         gsize        row,
         GError     **error)
{
  const gsize n = rhy_job_get_data (filled)->n_artworks;
  g_autoptr (GPtrArray) own = g_ptr_array_new_with_free_func ((GDestroyNotify) rhy_artwork_unref);
  g_autofree RhyArtwork **sources = g_new0 (RhyArtwork *, n);
  for (gsize i = 0; i < n; i++)
    {
      sources[i] = b->shared[i];
      if (b->markup[i] == NULL)
        continue;
      sources[i] = artwork_of_markup (b, i, row, error);
      if (sources[i] == NULL)
        return NULL;
      g_ptr_array_add (own, sources[i]);
    }
  return rhy_plan_new_like (filled, sources, b->first, b->cancellable, error);
}

static void
add_findings (RhyBatchRow      *row,
              const RhyVerdict *verdict)
{
  GString *codes = g_string_new (NULL);
  for (gsize i = 0; i < rhy_verdict_get_n_findings (verdict); i++)
    {
      const RhyFinding *f = rhy_verdict_get_finding (verdict, i);
      g_string_append_printf (codes, "%s%s", i > 0 ? " " : "", f->code);
      if (f->level == RHY_LEVEL_STOP && row->message == NULL)
        row->message = g_strdup (f->message);
    }
  row->findings = g_string_free (codes, FALSE);
}

static gboolean
save_preview (const Batch       *b,
              const RhyBatchRow *row,
              RhyPlan           *plan,
              GError           **error)
{
  g_autofree char *path = preview_of (b, row);
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, NULL);
  if (scene == NULL)
    return TRUE;                /* nothing to be seen: the sheet says so */
  RhyCamera camera = RHY_CAMERA_INIT;
  camera.turn_rad = rhy_plan_get_numbers (plan)->anchor.angle;
  RhySceneOptions options = RHY_SCENE_OPTIONS_INIT;
  options.threads = 1;
  g_autoptr (GBytes) png = rhy_scene_to_png (scene, &camera, &options, RHY_CONTACT_WIDTH, RHY_CONTACT_HEIGHT, error);
  gsize length;
  const void *data = png != NULL ? g_bytes_get_data (png, &length) : NULL;
  return data != NULL && rhy_save (path, data, length, error);
}

/* @error: only for what ends the whole batch. What is wrong with the row is said in it. */
static gboolean
make_row (Batch       *b,
          RhyBatchRow *row,
          gsize        at,
          GError     **error)
{
  g_autoptr (GError) bad = NULL;
  g_autoptr (RhyJob) filled = rhy_fill_job (b->job, b->table, at, &bad);
  g_autoptr (RhyPlan) plan = filled != NULL ? plan_of (b, filled, at, &bad) : NULL;
  g_autoptr (RhyVerdict) verdict = plan != NULL ? rhy_verdict_new (plan, b->cancellable) : NULL;
  if (g_cancellable_set_error_if_cancelled (b->cancellable, error))
    return FALSE;
  if (verdict == NULL)
    {
      row->state = RHY_ROW_BAD;
      row->findings = g_strdup ("");
      row->message = g_strdup (bad != NULL ? bad->message : "it cannot be worked out");
      return TRUE;
    }
  add_findings (row, verdict);
  if (b->o.contact && !save_preview (b, row, plan, error))
    return FALSE;
  row->state = RHY_ROW_NOT_READY;
  if (!rhy_verdict_is_ready (verdict))
    return TRUE;

  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  options.dpi = b->o.dpi;
  g_autoptr (GBytes) bytes = rhy_drawing_bed (plan, b->o.format, &options, NULL, &bad);
  if (bytes == NULL)
    {
      row->message = g_strdup (bad->message);
      return TRUE;
    }
  g_autofree char *stem = stem_of (b, row);
  row->file = g_strdup_printf ("%s.%s", stem, ending_of (b->o.format));
  g_autofree char *path = in_folder (b, row->file);
  gsize length;
  const void *data = g_bytes_get_data (bytes, &length);
  if (!rhy_save (path, data, length, error))
    return FALSE;
  row->state = RHY_ROW_READY;
  row->bytes = length;
  row->sha256 = g_compute_checksum_for_bytes (G_CHECKSUM_SHA256, bytes);
  return TRUE;
}

/* Takes over what an earlier run finished, where nothing has changed since. */
static gboolean
is_finished (const Batch *b,
             RhyBatchRow *row)
{
  RhyBatchRow *before = g_hash_table_lookup (b->finished, GSIZE_TO_POINTER (row->row));
  if (before == NULL || g_strcmp0 (before->inputs, row->inputs) != 0 || g_strcmp0 (before->name, row->name) != 0)
    return FALSE;
  /* A bad row costs little to look at again, and has its reason then; so has one that is not ready. */
  if (before->state != RHY_ROW_READY || !is_file_of (b, before))
    return FALSE;
  g_autofree char *preview = preview_of (b, row);
  if (b->o.contact && !g_file_test (preview, G_FILE_TEST_IS_REGULAR))
    return FALSE;
  row->state = before->state;
  row->file = g_strdup (before->file);
  row->bytes = before->bytes;
  row->findings = g_strdup (before->findings);
  row->sha256 = g_strdup (before->sha256);
  row->is_kept = TRUE;
  return TRUE;
}

/* A line for the next run, should this one not get to its manifest. */
static void
note_down (Batch             *b,
           const RhyBatchRow *row)
{
  GString *line = g_string_new (NULL);
  put_row (line, row);
  if (b->journal >= 0 && write (b->journal, line->str, line->len) != (gssize) line->len)
    {
      /* Without it this row is only done again. */
      close (b->journal);
      b->journal = -1;
    }
  g_string_free (line, TRUE);
}

static void
do_row (gpointer item,
        gpointer data)
{
  Batch *b = data;
  const gsize i = GPOINTER_TO_SIZE (item) - 1;
  RhyBatchRow *row = b->rows->pdata[i];
  g_autoptr (GError) error = NULL;
  g_mutex_lock (&b->lock);
  const gboolean over = b->error != NULL || g_cancellable_is_cancelled (b->cancellable);
  g_mutex_unlock (&b->lock);
  if (over)
    return;

  g_autoptr (RhyJob) filled = rhy_fill_job (b->job, b->table, b->at[i], NULL);
  row->inputs = filled != NULL ? sum_row (b, filled, b->at[i]) : g_strdup ("");
  const gboolean good = is_finished (b, row) || make_row (b, row, b->at[i], &error);

  g_mutex_lock (&b->lock);
  if (!good && b->error == NULL)
    b->error = g_steal_pointer (&error);
  if (good)
    {
      b->done++;
      if (!row->is_kept)
        note_down (b, row);
      if (b->progress != NULL)
        b->progress (b->done, b->rows->len, row, b->data);
    }
  g_mutex_unlock (&b->lock);
}

/* Rows are what is shared out; within one nothing more is. */
static void
work_on (gpointer item,
         gpointer data)
{
  rhy_parallel_stay_alone (TRUE);
  do_row (item, data);
  rhy_parallel_stay_alone (FALSE);
}

/* ---- the batch ---- */

static gboolean
is_empty (const RhyTable *table,
          gsize           row)
{
  for (gsize k = 0; k < rhy_table_get_n_columns (table); k++)
    if (rhy_table_get (table, row, k)[strspn (rhy_table_get (table, row, k), " \t\r\n")] != '\0')
      return FALSE;
  return TRUE;
}

static gboolean
find_rows (Batch   *b,
           GError **error)
{
  b->name_column = 0;
  if (b->o.name_by != NULL && !rhy_table_find_column (b->table, b->o.name_by, &b->name_column))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "the list of names has no column \"%s\" to name the files by", b->o.name_by);
      return FALSE;
    }
  const gsize n = rhy_table_get_n_rows (b->table);
  b->at = g_new (gsize, n + 1);
  gsize number = 0;
  for (gsize i = 0; i < n; i++)
    {
      if (is_empty (b->table, i))
        continue;
      number++;
      if ((number - 1) % b->o.n_parts != b->o.part - 1)
        continue;
      b->at[b->rows->len] = i;
      RhyBatchRow *row = g_new0 (RhyBatchRow, 1);
      row->row = number;
      row->name = rhy_error_line (rhy_table_get (b->table, i, b->name_column), -1, 200);
      g_strstrip (row->name);
      g_ptr_array_add (b->rows, row);
    }
  b->digits = 1;
  for (gsize most = number; most >= 10; most /= 10)
    b->digits++;
  if (number > 0)
    return TRUE;
  g_set_error_literal (error, RHY_ERROR, RHY_ERROR_JOB, "the list of names has no row");
  return FALSE;
}

/* An SVG in which a column of the list is named is filled in for every row. */
static gboolean
find_markup (Batch   *b,
             gsize    i,
             GError **error)
{
  const char *file = rhy_job_get_data (b->job)->artworks[i].file;
  if (file == NULL)
    return TRUE;
  g_autofree char *path = rhy_job_resolve (b->job, file);
  g_autofree char *text = NULL;
  gsize length, n = 0;
  GStatBuf about;
  if (g_stat (path, &about) == 0 && S_ISREG (about.st_mode) && about.st_size <= RHY_INTAKE_BYTES_MAX
      && g_file_get_contents (path, &text, &length, NULL) && g_utf8_validate (text, (gssize) length, NULL))
    {
      g_autofree char *filled = rhy_fill_markup (text, b->table, b->at[0], &n);
      if (n > 0)
        b->markup[i] = g_bytes_new (text, length);
    }
  if (n == 0)
    b->shared[i] = rhy_job_load_artwork (b->job, i, b->cancellable, error);
  return n > 0 || b->shared[i] != NULL;
}

/* A wrong column is wrong in every row: it is said once, before any is made. */
static gboolean
prepare (Batch   *b,
         GError **error)
{
  const RhyJobData *d = rhy_job_get_data (b->job);
  b->markup = g_new0 (GBytes *, d->n_artworks + 1);
  b->shared = g_new0 (RhyArtwork *, d->n_artworks + 1);
  g_autoptr (RhyJob) filled = rhy_fill_job (b->job, b->table, b->at[0], error);
  if (filled == NULL)
    return FALSE;
  for (gsize i = 0; i < d->n_artworks; i++)
    if (!find_markup (b, i, error))
      return FALSE;
  b->common = sum_common (b);
  /* Whatever is wrong with this row will be said when its turn comes. */
  b->first = plan_of (b, filled, b->at[0], NULL);
  return TRUE;
}

static gboolean
open_folder (Batch   *b,
             GError **error)
{
  g_autofree char *previews = in_folder (b, "previews");
  const char *deepest = b->o.contact ? previews : b->o.folder;
  if (g_mkdir_with_parents (deepest, 0777) != 0)
    {
      g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (errno), "%s: cannot be made a folder: %s", deepest,
                   g_strerror (errno));
      return FALSE;
    }
  g_autofree char *manifest = named_by_part (b, "manifest", ".csv");
  g_autofree char *journal = named_by_part (b, ".journal", ".csv");
  read_records (b, manifest);
  read_records (b, journal);
  /* What earlier runs have noted down stays until there is a manifest of it all. */
  const gboolean fresh = !g_file_test (journal, G_FILE_TEST_EXISTS);
  b->journal = open (journal, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0666);
  if (b->journal < 0)
    {
      g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (errno), "%s: %s", journal, g_strerror (errno));
      return FALSE;
    }
  /* A torn line of a run that was killed must not swallow the next one. */
  const char *start = fresh ? COLUMNS : "\n";
  if (write (b->journal, start, strlen (start)) == (gssize) strlen (start))
    return TRUE;
  g_set_error (error, G_FILE_ERROR, (int) g_file_error_from_errno (errno), "%s: cannot be written: %s", b->o.folder, g_strerror (errno));
  return FALSE;
}

static gboolean
finish (Batch   *b,
        GError **error)
{
  g_autoptr (GString) manifest = g_string_new (COLUMNS);
  for (guint i = 0; i < b->rows->len; i++)
    put_row (manifest, b->rows->pdata[i]);
  if (b->o.contact && b->rows->len > 0)
    {
      g_autoptr (GPtrArray) previews = g_ptr_array_new_with_free_func (g_free);
      for (guint i = 0; i < b->rows->len; i++)
        {
          const RhyBatchRow *row = b->rows->pdata[i];
          g_ptr_array_add (previews, row->state == RHY_ROW_BAD ? NULL : preview_of (b, row));
        }
      const char *title = rhy_job_get_data (b->job)->job.title;
      g_autoptr (GBytes) sheet = rhy_contact_sheet (b->rows, (char *const *) previews->pdata, title != NULL ? title : "Names", b->o.paper, error);
      g_autofree char *path = named_by_part (b, "contact", ".pdf");
      gsize length;
      const void *data = sheet != NULL ? g_bytes_get_data (sheet, &length) : NULL;
      if (data == NULL || !rhy_save (path, data, length, error))
        return FALSE;
    }
  g_autofree char *path = named_by_part (b, "manifest", ".csv");
  if (!rhy_save (path, manifest->str, manifest->len, error))
    return FALSE;
  g_autofree char *journal = named_by_part (b, ".journal", ".csv");
  g_unlink (journal);
  return TRUE;
}

/* "7-Mira.svg", "007.svg": what stem_of() makes, whichever the list was. */
static gboolean
is_of_share (const RhyBatchOptions *options,
             const char            *name)
{
  const gsize digits = strspn (name, "0123456789");
  const char *rest = name + digits;
  g_autofree char *ending = g_strconcat (".", ending_of (options->format), NULL);
  if (digits == 0 || digits > 9 || !(*rest == '-' || strcmp (rest, ending) == 0) || !g_str_has_suffix (name, ending))
    return FALSE;
  const guint64 number = g_ascii_strtoull (name, NULL, 10);
  return number > 0 && (number - 1) % options->n_parts == options->part - 1;
}

static int
by_name (gconstpointer a,
         gconstpointer b)
{
  return strcmp (*(const char *const *) a, *(const char *const *) b);
}

char **
rhy_batch_find_strays (const RhyBatchOptions *options,
                       const GPtrArray       *rows)
{
  g_return_val_if_fail (options != NULL && rows != NULL, NULL);

  GPtrArray *strays = g_ptr_array_new ();
  g_autoptr (GHashTable) ours = g_hash_table_new (g_str_hash, g_str_equal);
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyBatchRow *row = rows->pdata[i];
      if (row->file != NULL)
        g_hash_table_add (ours, row->file);
    }
  g_autoptr (GDir) folder = g_dir_open (options->folder, 0, NULL);
  const char *name;
  while (folder != NULL && (name = g_dir_read_name (folder)) != NULL)
    if (is_of_share (options, name) && !g_hash_table_contains (ours, name))
      g_ptr_array_add (strays, g_strdup (name));
  g_ptr_array_sort (strays, by_name);
  g_ptr_array_add (strays, NULL);
  return (char **) g_ptr_array_free (strays, FALSE);
}

static void
clear (Batch *b)
{
  const gsize n = rhy_job_get_data (b->job)->n_artworks;
  for (gsize i = 0; i < n; i++)
    {
      if (b->markup != NULL && b->markup[i] != NULL)
        g_bytes_unref (b->markup[i]);
      if (b->shared != NULL && b->shared[i] != NULL)
        rhy_artwork_unref (b->shared[i]);
    }
  g_free (b->markup);
  g_free (b->shared);
  g_free (b->common);
  g_free (b->at);
  g_clear_pointer (&b->first, rhy_plan_unref);
  g_hash_table_unref (b->finished);
  if (b->journal >= 0)
    close (b->journal);
  g_mutex_clear (&b->lock);
}

static gboolean
run (Batch   *b,
     GError **error)
{
  if (!find_rows (b, error) || (b->rows->len > 0 && !prepare (b, error)) || !open_folder (b, error))
    return FALSE;
  const guint threads = b->o.threads > 0 ? b->o.threads : g_get_num_processors ();
  GThreadPool *pool = g_thread_pool_new (work_on, b, (int) MIN (threads, 256u), FALSE, error);
  if (pool == NULL)
    return FALSE;
  for (guint i = 0; i < b->rows->len; i++)
    g_thread_pool_push (pool, GSIZE_TO_POINTER ((gsize) i + 1), NULL);
  g_thread_pool_free (pool, FALSE, TRUE);
  if (b->error != NULL)
    {
      g_propagate_error (error, g_steal_pointer (&b->error));
      return FALSE;
    }
  return !g_cancellable_set_error_if_cancelled (b->cancellable, error) && finish (b, error);
}

GPtrArray *
rhy_batch_run (RhyJob                *job,
               const RhyTable        *table,
               const RhyBatchOptions *options,
               RhyBatchProgress       progress,
               gpointer               data,
               GCancellable          *cancellable,
               GError               **error)
{
  g_return_val_if_fail (job != NULL && table != NULL && options != NULL, NULL);
  g_return_val_if_fail (options->folder != NULL && options->part >= 1 && options->part <= options->n_parts, NULL);

  g_autoptr (GPtrArray) rows = g_ptr_array_new_with_free_func (row_free);
  Batch b = { .table = table, .o = *options, .job = job, .rows = rows, .journal = -1,
              .finished = g_hash_table_new_full (NULL, NULL, NULL, row_free),
              .progress = progress, .data = data, .cancellable = cancellable };
  g_mutex_init (&b.lock);
  const gboolean good = run (&b, error);
  g_clear_error (&b.error);
  clear (&b);
  return good ? g_steal_pointer (&rows) : NULL;
}
