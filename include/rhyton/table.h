/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/error.h>

G_BEGIN_DECLS

/* What a table may hold. */
#define RHY_TABLE_BYTES_MAX (64u << 20)
#define RHY_TABLE_FIELD_MAX (64u << 10)
#define RHY_TABLE_ROWS_MAX 1000000u

/**
 * RhyTable:
 *
 * Rows of text fields under named columns, as spreadsheets write them. Opaque,
 * reference counted, immutable.
 */
typedef struct _RhyTable RhyTable;

/**
 * rhy_table_new_from_data:
 * @text: comma-separated values after RFC 4180: a header row, fields quoted with "
 *   where they hold commas, quotes (doubled) or line ends; UTF-8 with or without
 *   a byte order mark; CRLF or LF. Empty rows are passed over.
 * @name: what messages call it
 *
 * Returns: (transfer full): the table; %RHY_ERROR_JOB names the line: a quote that
 *   does not end, more or fewer fields than the header, a column named twice;
 *   %RHY_ERROR_LIMIT for too much of anything.
 */
RHY_API
RhyTable *rhy_table_new_from_data (const char *text, gsize length, const char *name, GError **error);
RHY_API
RhyTable *rhy_table_new_from_file (const char *path, GError **error);

RHY_API
RhyTable *rhy_table_ref (RhyTable *self);
RHY_API
void rhy_table_unref (RhyTable *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyTable, rhy_table_unref)

RHY_API
gsize rhy_table_get_n_rows (const RhyTable *self);
RHY_API
gsize rhy_table_get_n_columns (const RhyTable *self);
RHY_API
const char *rhy_table_get_column (const RhyTable *self, gsize column);
/** rhy_table_find_column: Returns: %FALSE if there is none of that name. */
RHY_API
gboolean rhy_table_find_column (const RhyTable *self, const char *name, gsize *column);
RHY_API
const char *rhy_table_get (const RhyTable *self, gsize row, gsize column);
/** rhy_table_get_line: Returns: the line of the file on which the row starts, from 1. */
RHY_API
gsize rhy_table_get_line (const RhyTable *self, gsize row);

G_END_DECLS
