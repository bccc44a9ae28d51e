/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/* What becomes of a job by an edit: another job, or a GError and the one there was. */

/**
 * RhytonEdit: one key of the job file and its new text, %NULL to remove it.
 */
typedef struct
{
  const char *group;
  const char *key;
  const char *value;
} RhytonEdit;

/**
 * rhyton_edits_apply:
 * @artwork: the group that edits of "Artwork" go to
 * @edits: (array length=n): applied together; a size takes the place of other ways to say it
 */
RhyJob *rhyton_edits_apply (const RhyJob *job, const char *artwork, const RhytonEdit *edits, gsize n, GError **error);
/** rhyton_edits_rename_group: the group keeps its place in the file. */
RhyJob *rhyton_edits_rename_group (const RhyJob *job, const char *from, const char *to, GError **error);
/** rhyton_edits_name_file: Returns: (transfer full): @path as the job is to call it: beside or below the job's
 * file from there, so that the folder can travel. */
char *rhyton_edits_name_file (const RhyJob *job, const char *path);
/** rhyton_edits_save: writes the file. Returns: the job as saved: a new place may shorten the names of its drawings. */
RhyJob *rhyton_edits_save (RhyJob *job, const char *path, GError **error);

G_END_DECLS
