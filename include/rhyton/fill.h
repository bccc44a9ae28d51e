/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>
#include <rhyton/table.h>

G_BEGIN_DECLS

/**
 * rhy_fill_text:
 * @template: text with {column} where a row's field goes; {{ and }} are braces
 *
 * Returns: (transfer full): @template with the fields of @row. %RHY_ERROR_JOB names a column that the
 *   table does not have, and those it has.
 */
RHY_API
char *rhy_fill_text (const char *template, const RhyTable *table, gsize row, GError **error);

/**
 * rhy_fill_markup:
 * @markup: the text of a drawing, in which braces have other uses too
 * @n: (out): how many were filled in
 *
 * Returns: (transfer full): @markup with {column} replaced, escaped as XML asks, where the table has
 *   such a column; everything else as it is.
 */
RHY_API
char *rhy_fill_markup (const char *markup, const RhyTable *table, gsize row, gsize *n);

/**
 * rhy_fill_job:
 *
 * Returns: (transfer full): @job with Title, Note, and Text of every artwork filled in.
 */
RHY_API
RhyJob *rhy_fill_job (const RhyJob *job, const RhyTable *table, gsize row, GError **error);

G_END_DECLS
