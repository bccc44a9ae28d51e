/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/drawing.h>
#include <rhyton/table.h>

G_BEGIN_DECLS

/**
 * RhyBatchOptions:
 * @folder: where everything goes; made where it is not there
 * @format, @dpi: of the drawings
 * @name_by: (nullable): the column that file names are made of; %NULL: the first
 * @part, @n_parts: this run's share of the rows: every @n_parts th one, from the @part th on, 1-based
 * @threads: 0: as many as there are processors
 * @contact: whether the contact sheet is made, with a preview of every row
 * @paper: of the contact sheet
 */
typedef struct
{
  const char *folder;
  RhyFormat   format;
  double      dpi;
  const char *name_by;
  guint       part, n_parts;
  guint       threads;
  gboolean    contact;
  RhyPaper    paper;
} RhyBatchOptions;

#define RHY_BATCH_OPTIONS_INIT { .folder = ".", .format = RHY_FORMAT_SVG, .dpi = 300.0, .name_by = NULL, .part = 1, .n_parts = 1, \
                                 .threads = 0, .contact = TRUE, .paper = RHY_PAPER_A4 }

/**
 * RhyRowState:
 * @RHY_ROW_READY: judged ready, its drawing written
 * @RHY_ROW_NOT_READY: judged not ready, nothing written
 * @RHY_ROW_BAD: no plan can be made of it
 */
typedef enum { RHY_ROW_READY, RHY_ROW_NOT_READY, RHY_ROW_BAD } RhyRowState;

/**
 * RhyBatchRow:
 * @row: in the list, 1-based, empty rows not counted
 * @name: what @name_by says
 * @file: (nullable): the drawing, in the folder
 * @bytes: its length
 * @findings: codes, worst first, with blanks between them
 * @sha256: (nullable): of the drawing
 * @inputs: SHA-256 of all that the row is made from
 * @message: (nullable): what stops it, in one line
 * @is_kept: it was finished by an earlier run, from the same inputs
 */
typedef struct
{
  gsize       row;
  char       *name;
  char       *file;
  guint64     bytes;
  RhyRowState state;
  char       *findings;
  char       *sha256;
  char       *inputs;
  char       *message;
  gboolean    is_kept;
} RhyBatchRow;

/**
 * RhyBatchProgress: called from one thread at a time, after each row.
 */
typedef void (*RhyBatchProgress) (gsize done, gsize total, const RhyBatchRow *row, gpointer data);

/**
 * rhy_batch_run:
 *
 * One drawing for each row of @table: the job filled in (rhy_fill_job()), and so the text of its
 * SVG artwork (rhy_fill_markup()). Beside the drawings: manifest.csv, contact.pdf and the folder
 * previews; with several parts their names say which. A row that is not ready, or bad, spoils
 * no other. Rows that a run before has finished from the same inputs are kept, so that a
 * batch that was interrupted goes on, and ends with the same bytes.
 *
 * Returns: (transfer full) (element-type RhyBatchRow): every row of the share, in order.
 *   %NULL where nothing can be begun: a column that is not there (%RHY_ERROR_JOB), no row at all, a folder
 *   that cannot be written to; or %G_IO_ERROR_CANCELLED, what is finished being kept.
 */
RHY_API
GPtrArray *rhy_batch_run (RhyJob *job, const RhyTable *table, const RhyBatchOptions *options,
                          RhyBatchProgress progress, gpointer data, GCancellable *cancellable, GError **error);

/**
 * rhy_batch_find_strays:
 * @options: as the run had
 * @rows: (element-type RhyBatchRow): what it gave
 *
 * Drawings in the folder that are named as this share's would be and are none of them: of a list that
 * was another, or of a row that is no longer ready. Whoever burns a whole folder would burn them too.
 *
 * Returns: (transfer full) (array zero-terminated=1): their names, in order; empty where the folder cannot be read
 */
RHY_API
char **rhy_batch_find_strays (const RhyBatchOptions *options, const GPtrArray *rows);

/** rhy_row_state_to_string: "ready", "not ready" or "bad". */
RHY_API
const char *rhy_row_state_to_string (RhyRowState state);

G_END_DECLS
