/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-batch-maker.h"

#include <string.h>

#include "rhyton-dialogs.h"
#include "rhyton-making.h"

/* A list that is wrong from end to end need not be read to its end here: the manifest has it all. */
#define N_SHOWN 50u

/* In the order of the lists in the template. */
enum { PNG = 2 };
enum { PAPER_A4, PAPER_LETTER, PAPER_NONE };

struct _RhytonBatchMaker
{
  RhytonPart    parent_instance;

  /* Template children */
  GtkWidget    *box;
  GtkWidget    *list_name;
  GtkWidget    *columns;
  GtkDropDown  *format;
  GtkWidget    *dpi_row;
  GtkWidget    *dpi;
  GtkWidget    *dpi_complaint;
  GtkWidget    *name_row;
  GtkDropDown  *name_by;
  GtkWidget    *part_row;
  GtkSpinButton *part;
  GtkSpinButton *parts;
  GtkDropDown  *paper;
  GtkWidget    *go;
  GtkWidget    *stop;
  GtkWidget    *progress;
  GtkWidget    *result;
  GtkWidget    *complaint;

  /* Owned */
  char         *path;
  RhyTable     *table;
  GCancellable *running;        /* nullable */
  GString      *bad;            /* a line for each row that is not ready */
  guint         n_bad;
};

G_DEFINE_FINAL_TYPE (RhytonBatchMaker, rhyton_batch_maker, RHYTON_TYPE_PART)

typedef struct
{
  RhytonBatchMaker *maker;      /* of the main thread */
  RhyJob           *job;
  RhyTable         *table;
  char             *folder;
  char             *name_by;    /* nullable */
  RhyBatchOptions   options;
} Batch;

/* One row's news on its way to the main thread. */
typedef struct
{
  RhytonBatchMaker *maker;
  GCancellable     *running;
  gsize             done, total;
  char             *line;       /* nullable */
} News;

static void
free_batch (gpointer data)
{
  Batch *batch = data;
  g_object_unref (batch->maker);
  rhy_job_unref (batch->job);
  rhy_table_unref (batch->table);
  g_free (batch->folder);
  g_free (batch->name_by);
  g_free (batch);
}

static void
free_news (gpointer data)
{
  News *news = data;
  g_object_unref (news->maker);
  g_object_unref (news->running);
  g_free (news->line);
  g_free (news);
}

static void
say (RhytonBatchMaker *self,
     const char       *text,
     const char       *complaint)
{
  /* Its window may have gone meanwhile. */
  if (self->box == NULL)
    return;
  gtk_label_set_label (GTK_LABEL (self->result), text != NULL ? text : "");
  gtk_widget_set_visible (self->result, text != NULL);
  gtk_label_set_label (GTK_LABEL (self->complaint), complaint != NULL ? complaint : "");
  gtk_widget_set_visible (self->complaint, complaint != NULL);
}

static void
refresh (RhytonBatchMaker *self)
{
  const gboolean running = self->running != NULL;

  if (self->box == NULL)
    return;
  gtk_widget_set_sensitive (self->go, self->table != NULL && !running);
  gtk_widget_set_visible (self->stop, running);
  gtk_widget_set_visible (self->progress, running);
}

/* "name, crew; 40 rows: Anna, Berta, Clara ..." */
static char *
describe (const RhyTable *table)
{
  GString *text = g_string_new (NULL);
  const gsize n = rhy_table_get_n_rows (table);

  for (gsize i = 0; i < rhy_table_get_n_columns (table); i++)
    g_string_append_printf (text, "%s{%s}", i > 0 ? ", " : "", rhy_table_get_column (table, i));
  g_string_append_printf (text, "\n%" G_GSIZE_FORMAT " %s", n, n == 1 ? "row" : "rows");
  for (gsize i = 0; i < MIN (n, 3); i++)
    g_string_append_printf (text, "%s%s", i > 0 ? ", " : ": ", rhy_table_get (table, i, 0));
  if (n > 3)
    g_string_append (text, " \u2026");
  return g_string_free (text, FALSE);
}

/* Its columns, the first chosen: that is what files are named by unless told. */
static void
show_columns (RhytonBatchMaker *self)
{
  g_autoptr (GtkStringList) names = gtk_string_list_new (NULL);
  for (gsize i = 0; i < rhy_table_get_n_columns (self->table); i++)
    gtk_string_list_append (names, rhy_table_get_column (self->table, i));
  gtk_drop_down_set_model (self->name_by, G_LIST_MODEL (names));
  gtk_widget_set_visible (self->name_row, TRUE);
}

void
rhyton_batch_maker_take_list (RhytonBatchMaker *self,
                              GFile            *file)
{
  g_return_if_fail (RHYTON_IS_BATCH_MAKER (self) && G_IS_FILE (file));

  g_autoptr (GError) error = NULL;
  g_autofree char *path = g_file_get_path (file);
  RhyTable *table = path != NULL ? rhy_table_new_from_file (path, &error) : NULL;
  if (table == NULL)
    {
      say (self, NULL, error != NULL ? error->message : "This list is not on a disk of this machine.");
      return;
    }
  g_clear_pointer (&self->table, rhy_table_unref);
  self->table = table;
  g_free (self->path);
  self->path = g_steal_pointer (&path);
  g_autofree char *name = g_path_get_basename (self->path);
  g_autofree char *columns = describe (table);
  gtk_label_set_label (GTK_LABEL (self->list_name), name);
  gtk_label_set_label (GTK_LABEL (self->columns), columns);
  gtk_widget_set_visible (self->columns, TRUE);
  show_columns (self);
  say (self, NULL, NULL);
  refresh (self);
}

/* ---- running ---- */

static gboolean
hear (gpointer data)
{
  const News *news = data;
  RhytonBatchMaker *self = news->maker;

  if (self->running != news->running || self->box == NULL)
    return G_SOURCE_REMOVE;
  g_autofree char *text = g_strdup_printf ("%" G_GSIZE_FORMAT " of %" G_GSIZE_FORMAT, news->done, news->total);
  gtk_progress_bar_set_fraction (GTK_PROGRESS_BAR (self->progress), (double) news->done / (double) MAX (news->total, 1));
  gtk_progress_bar_set_text (GTK_PROGRESS_BAR (self->progress), text);
  if (news->line != NULL)
    {
      if (self->n_bad < N_SHOWN)
        g_string_append_printf (self->bad, "%s%s", self->bad->len > 0 ? "\n" : "", news->line);
      self->n_bad++;
      say (self, NULL, self->bad->str);
    }
  return G_SOURCE_REMOVE;
}

/* In a thread of the batch. */
static void
on_row (gsize              done,
        gsize              total,
        const RhyBatchRow *row,
        gpointer           data)
{
  const Batch *batch = data;
  News *news = g_new0 (News, 1);

  news->maker = g_object_ref (batch->maker);
  news->running = g_object_ref (batch->maker->running);
  news->done = done;
  news->total = total;
  if (row->state != RHY_ROW_READY)
    news->line = g_strdup_printf ("Row %" G_GSIZE_FORMAT ", %s: %s", row->row, row->name,
                                  row->message != NULL ? row->message : rhy_row_state_to_string (row->state));
  g_main_context_invoke_full (NULL, G_PRIORITY_DEFAULT, hear, news, free_news);
}

static void
free_rows (gpointer data)
{
  g_ptr_array_unref (data);
}

static void
run_in_thread (GTask        *task,
               gpointer      source,
               gpointer      data,
               GCancellable *cancellable)
{
  Batch *batch = data;
  GError *error = NULL;

  batch->options.folder = batch->folder;
  batch->options.name_by = batch->name_by;
  GPtrArray *rows = rhy_batch_run (batch->job, batch->table, &batch->options, on_row, batch, cancellable, &error);
  if (rows == NULL)
    g_task_return_error (task, error);
  else
    g_task_return_pointer (task, rows, free_rows);
}

static void
show_rows (RhytonBatchMaker      *self,
           const GPtrArray       *rows,
           const RhyBatchOptions *options,
           const char            *folder)
{
  guint n_ready = 0, n_kept = 0;

  for (guint i = 0; i < rows->len; i++)
    {
      const RhyBatchRow *row = rows->pdata[i];
      n_ready += row->state == RHY_ROW_READY;
      n_kept += row->is_kept;
    }
  g_autofree char *kept = n_kept > 0 ? g_strdup_printf (" (%u from an earlier run)", n_kept) : g_strdup ("");
  g_autofree char *share = options->n_parts > 1 ? g_strdup_printf ("-%u-of-%u", options->part, options->n_parts) : g_strdup ("");
  g_autofree char *contact = options->contact ? g_strdup_printf (" and contact%s.pdf", share) : g_strdup ("");
  g_autofree char *list = g_strdup_printf ("manifest%s.csv", share);
  g_auto (GStrv) strays = rhy_batch_find_strays (options, rows);
  const guint n_strays = g_strv_length (strays);
  g_autofree char *others = n_strays > 0 ? g_strdup_printf (" %u of an earlier list %s still there (%s%s): take %s away before you burn the folder.",
                                                            n_strays, n_strays == 1 ? "is" : "are", strays[0], n_strays == 1 ? "" : ", ...",
                                                            n_strays == 1 ? "it" : "them") : g_strdup ("");
  g_autofree char *text = g_strdup_printf ("%u of %u rows are drawn%s, with %s%s.%s", n_ready, rows->len, kept, list, contact, others);
  g_autofree char *manifest = g_build_filename (folder, list, NULL);
  say (self, text, self->n_bad > 0 ? self->bad->str : NULL);
  rhyton_making_notice (RHYTON_PART (self), text, manifest);
}

static void
finished (GObject      *source,
          GAsyncResult *result,
          gpointer      data)
{
  RhytonBatchMaker *self = RHYTON_BATCH_MAKER (source);
  const Batch *batch = g_task_get_task_data (G_TASK (result));
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) rows = g_task_propagate_pointer (G_TASK (result), &error);

  g_clear_object (&self->running);
  refresh (self);
  if (rows != NULL)
    show_rows (self, rows, &batch->options, batch->folder);
  else if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    say (self, "Stopped. What is finished is kept: the same list and folder go on from here.", NULL);
  else
    say (self, NULL, error->message);
}

/* FALSE, said below the field: not a number that a picture can have. */
static gboolean
read_dpi (RhytonBatchMaker *self,
          double           *dpi)
{
  char *end;
  const char *text = gtk_editable_get_text (GTK_EDITABLE (self->dpi));
  const double value = g_strtod (text, &end);
  const gboolean ok = gtk_drop_down_get_selected (self->format) != PNG
                      || (end != text && *g_strchug (end) == '\0' && value >= 10.0 && value <= 2400.0);

  gtk_widget_set_visible (self->dpi_complaint, !ok);
  if (ok && gtk_drop_down_get_selected (self->format) == PNG)
    *dpi = value;
  return ok;
}

static void
on_dpi (RhytonBatchMaker *self)
{
  double dpi;
  read_dpi (self, &dpi);
}

static void
on_format (RhytonBatchMaker *self)
{
  gtk_widget_set_visible (self->dpi_row, gtk_drop_down_get_selected (self->format) == PNG);
  on_dpi (self);
}

/* There is no third of two shares. */
static void
on_share (RhytonBatchMaker *self)
{
  gtk_spin_button_set_range (self->part, 1.0, gtk_spin_button_get_value (self->parts));
  gtk_widget_set_visible (self->part_row, gtk_spin_button_get_value_as_int (self->parts) > 1);
}

void
rhyton_batch_maker_run (RhytonBatchMaker *self,
                        GFile            *folder)
{
  g_return_if_fail (RHYTON_IS_BATCH_MAKER (self) && G_IS_FILE (folder));

  static const RhyFormat formats[] = { RHY_FORMAT_SVG, RHY_FORMAT_PDF, RHY_FORMAT_PNG };
  RhytonDocument *document = rhyton_part_get_document (RHYTON_PART (self));
  double dpi = 300.0;
  if (document == NULL || self->table == NULL || self->running != NULL || !read_dpi (self, &dpi))
    return;
  Batch *batch = g_new0 (Batch, 1);
  batch->maker = g_object_ref (self);
  batch->job = rhy_job_ref (rhyton_document_get_job (document));
  batch->table = rhy_table_ref (self->table);
  batch->folder = g_file_get_path (folder);
  batch->options = (RhyBatchOptions) RHY_BATCH_OPTIONS_INIT;
  batch->options.format = formats[MIN (gtk_drop_down_get_selected (self->format), G_N_ELEMENTS (formats) - 1)];
  batch->options.dpi = dpi;
  batch->options.paper = gtk_drop_down_get_selected (self->paper) == PAPER_LETTER ? RHY_PAPER_LETTER : RHY_PAPER_A4;
  batch->options.contact = gtk_drop_down_get_selected (self->paper) != PAPER_NONE;
  batch->options.part = (guint) gtk_spin_button_get_value_as_int (self->part);
  batch->options.n_parts = (guint) gtk_spin_button_get_value_as_int (self->parts);
  if (gtk_drop_down_get_selected (self->name_by) != GTK_INVALID_LIST_POSITION)
    batch->name_by = g_strdup (rhy_table_get_column (self->table, gtk_drop_down_get_selected (self->name_by)));
  self->running = g_cancellable_new ();
  g_string_truncate (self->bad, 0);
  self->n_bad = 0;
  gtk_progress_bar_set_fraction (GTK_PROGRESS_BAR (self->progress), 0.0);
  gtk_progress_bar_set_text (GTK_PROGRESS_BAR (self->progress), "Beginning");
  say (self, NULL, NULL);
  refresh (self);
  g_autoptr (GTask) task = g_task_new (self, self->running, finished, NULL);
  g_task_set_task_data (task, batch, free_batch);
  g_task_run_in_thread (task, run_in_thread);
}

gboolean
rhyton_batch_maker_is_running (RhytonBatchMaker *self)
{
  g_return_val_if_fail (RHYTON_IS_BATCH_MAKER (self), FALSE);
  return self->running != NULL;
}

/* ---- buttons ---- */

static void
list_chosen (GFile    *file,
             gpointer  data)
{
  g_autoptr (RhytonBatchMaker) self = data;
  if (file != NULL)
    rhyton_batch_maker_take_list (self, file);
}

static void
on_choose_list (RhytonBatchMaker *self)
{
  g_autofree char *folder = rhyton_making_folder (rhyton_part_get_document (RHYTON_PART (self)));
  rhyton_dialogs_choose_file (rhyton_making_window (RHYTON_PART (self)), "Open a List of Names", RHYTON_CHOICE_TABLE, NULL, folder,
                              list_chosen, g_object_ref (self));
}

static void
folder_chosen (GFile    *file,
               gpointer  data)
{
  g_autoptr (RhytonBatchMaker) self = data;
  if (file != NULL)
    rhyton_batch_maker_run (self, file);
}

static void
on_go (RhytonBatchMaker *self)
{
  g_autofree char *folder = rhyton_making_folder (rhyton_part_get_document (RHYTON_PART (self)));
  rhyton_dialogs_choose_file (rhyton_making_window (RHYTON_PART (self)), "Choose a Folder for the Drawings", RHYTON_CHOICE_FOLDER,
                              NULL, folder, folder_chosen, g_object_ref (self));
}

static void
on_stop (RhytonBatchMaker *self)
{
  if (self->running != NULL)
    g_cancellable_cancel (self->running);
}

static void
rhyton_batch_maker_dispose (GObject *object)
{
  on_stop (RHYTON_BATCH_MAKER (object));
  gtk_widget_dispose_template (GTK_WIDGET (object), RHYTON_TYPE_BATCH_MAKER);
  G_OBJECT_CLASS (rhyton_batch_maker_parent_class)->dispose (object);
}

static void
rhyton_batch_maker_finalize (GObject *object)
{
  RhytonBatchMaker *self = RHYTON_BATCH_MAKER (object);

  g_clear_object (&self->running);
  g_clear_pointer (&self->table, rhy_table_unref);
  g_string_free (self->bad, TRUE);
  g_free (self->path);
  G_OBJECT_CLASS (rhyton_batch_maker_parent_class)->finalize (object);
}

static void
rhyton_batch_maker_class_init (RhytonBatchMakerClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  G_OBJECT_CLASS (klass)->dispose = rhyton_batch_maker_dispose;
  G_OBJECT_CLASS (klass)->finalize = rhyton_batch_maker_finalize;

  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BIN_LAYOUT);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-batch-maker.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, box);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, list_name);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, columns);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, format);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, dpi_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, dpi);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, dpi_complaint);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, name_by);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, name_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, part_row);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, part);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, parts);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, paper);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, go);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, stop);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, progress);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, result);
  gtk_widget_class_bind_template_child (widget_class, RhytonBatchMaker, complaint);
  gtk_widget_class_bind_template_callback (widget_class, on_choose_list);
  gtk_widget_class_bind_template_callback (widget_class, on_dpi);
  gtk_widget_class_bind_template_callback (widget_class, on_format);
  gtk_widget_class_bind_template_callback (widget_class, on_share);
  gtk_widget_class_bind_template_callback (widget_class, on_go);
  gtk_widget_class_bind_template_callback (widget_class, on_stop);
}

static void
rhyton_batch_maker_init (RhytonBatchMaker *self)
{
  self->bad = g_string_new (NULL);
  gtk_widget_init_template (GTK_WIDGET (self));
  on_format (self);
  on_share (self);
  refresh (self);
}
