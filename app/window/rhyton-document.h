/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include "rhyton-edits.h"
#include "rhyton-sources.h"
#include "rhyton-types.h"

G_BEGIN_DECLS

#define RHYTON_TYPE_DOCUMENT (rhyton_document_get_type ())
/**
 * RhytonDocument:
 *
 * One job being edited: the job itself, what was undone and can be redone, the
 * file it belongs to, and the plan and verdict that the library works out from
 * it in a thread. Widgets read a document and watch its properties; they do not
 * know each other. Knows nothing of GTK.
 */
G_DECLARE_FINAL_TYPE (RhytonDocument, rhyton_document, RHYTON, DOCUMENT, GObject)

/**
 * RhytonRun: work on a job that is not shown in a view: something to make.
 * @plan: (nullable): %NULL where the job makes none and the work asked for none
 * @options: as given to rhyton_document_run()
 *
 * In a thread. Returns: (transfer full) (nullable): its result, or %NULL with an error
 */
typedef gpointer (*RhytonRun) (RhyJob *job, RhyPlan *plan, gpointer options, GCancellable *cancellable, GError **error);

/** rhyton_document_new: Returns: (transfer full): a document with a new job in it. */
RhytonDocument *rhyton_document_new (void);

/** rhyton_document_open: replaces everything by the job file; on failure all stays. */
gboolean rhyton_document_open (RhytonDocument *self, const char *path, GError **error);
/**
 * rhyton_document_restore:
 * @text: a job's text
 * @names_from: (nullable): the file that its relative names are seen from
 * @path: (nullable): the file that saving goes to
 *
 * As rhyton_document_open(), but everything counts as not saved.
 */
gboolean rhyton_document_restore (RhytonDocument *self, const char *text, const char *names_from, const char *path,
                                  GError **error);
/** rhyton_document_save: to rhyton_document_get_path(), which must not be %NULL. */
gboolean rhyton_document_save (RhytonDocument *self, GError **error);
/** rhyton_document_save_as: and the document belongs to @path from then on. */
gboolean rhyton_document_save_as (RhytonDocument *self, const char *path, GError **error);

/* All borrowed; nullable where it says so. */
RhyJob *rhyton_document_get_job (RhytonDocument *self);
/** rhyton_document_get_plan: Returns: (nullable): of the newest job that was worked out. */
RhyPlan *rhyton_document_get_plan (RhytonDocument *self);
/** rhyton_document_get_part: Returns: (nullable): of that plan, the part of the selected artwork; of a vessel alone none. */
const RhyPlan *rhyton_document_get_part (RhytonDocument *self);
/** rhyton_document_get_selected: Returns: which of the job's artworks is edited, from 0. */
gsize rhyton_document_get_selected (RhytonDocument *self);
/** rhyton_document_get_artwork: Returns: what the job says of the selected artwork. */
const RhyJobArtwork *rhyton_document_get_artwork (RhytonDocument *self);
/** rhyton_document_get_verdict: Returns: (nullable): of that plan, or of the one before until it is judged. */
RhyVerdict *rhyton_document_get_verdict (RhytonDocument *self);
/**
 * rhyton_document_get_trouble:
 *
 * Returns: (nullable): why there is no plan, one line; or, beside a plan, which file cannot be
 *   read any more: the plan then shows what it held before; or why the plan is of the vessel alone.
 */
const char *rhyton_document_get_trouble (RhytonDocument *self);
/** rhyton_document_get_missing: Returns: (nullable): an artwork's file that is not where the job looks for it. */
const char *rhyton_document_get_missing (RhytonDocument *self);
/** rhyton_document_get_path: Returns: (nullable): the job file, %NULL until it has one. */
const char *rhyton_document_get_path (RhytonDocument *self);
/** rhyton_document_get_title: Returns: the job's title, or its file's name, or "New job". */
const char *rhyton_document_get_title (RhytonDocument *self);
/** rhyton_document_is_modified: Returns: whether saving would change the file. */
gboolean rhyton_document_is_modified (RhytonDocument *self);
/** rhyton_document_is_busy: Returns: whether the plan or the verdict is of an older job than the current one. */
gboolean rhyton_document_is_busy (RhytonDocument *self);
/** rhyton_document_is_changed_on_disk: Returns: whether somebody else wrote the job file since. */
gboolean rhyton_document_is_changed_on_disk (RhytonDocument *self);

/**
 * rhyton_document_select:
 * @i: which artwork; one that is not there: the first
 *
 * From here on edits of the group "Artwork" go to it. Selecting is no step to undo.
 */
void rhyton_document_select (RhytonDocument *self, gsize i);

/**
 * rhyton_document_try:
 *
 * Returns: (transfer full): the job as rhyton_document_change() would make it, which is not
 *   taken: for what is to be seen while somebody types.
 */
RhyJob *rhyton_document_try (RhytonDocument *self, const RhytonEdit *edits, gsize n, GError **error);

/**
 * rhyton_document_change:
 * @name: what was done, for Undo: a noun ("Width", "Move of the artwork")
 * @tag: (nullable): changes that follow each other within a second with the same
 *   tag (a string literal) are one step to undo
 * @edits: (array length=n): applied together
 *
 * Returns: %FALSE with the library's message; the job is as it was.
 */
gboolean rhyton_document_change (RhytonDocument    *self,
                                 const char        *name,
                                 const char        *tag,
                                 const RhytonEdit  *edits,
                                 gsize              n,
                                 GError           **error);
/** rhyton_document_replace: @job: (transfer full): takes the place of the job, as one step to undo. */
void rhyton_document_replace (RhytonDocument *self, const char *name, RhyJob *job);
/** rhyton_document_rename_group: as rhyton_document_change(); the group keeps its place in the file. */
gboolean rhyton_document_rename_group (RhytonDocument *self, const char *name, const char *from, const char *to, GError **error);
/** rhyton_document_name_file: Returns: (transfer full): what the job is to call a file: relative where that stays short. */
char *rhyton_document_name_file (RhytonDocument *self, const char *path);
/** rhyton_document_change_number: as rhyton_document_change(): one key, mm or degrees. */
gboolean rhyton_document_change_number (RhytonDocument  *self,
                                        const char      *name,
                                        const char      *tag,
                                        const char      *group,
                                        const char      *key,
                                        double           value,
                                        GError         **error);
/** rhyton_document_move_artwork: the anchor's height in mm and its angle in degrees, as one change. */
gboolean rhyton_document_move_artwork (RhytonDocument  *self,
                                       const char      *tag,
                                       double           at_mm,
                                       double           around_deg,
                                       GError         **error);
/**
 * rhyton_document_take_vessel:
 * @vessel: a job with readings, as the catalogue has them
 *
 * Takes over its [Vessel] and zones in place of those there are, as one change.
 * Artwork that would be above or below the new readings goes to the middle.
 */
gboolean rhyton_document_take_vessel (RhytonDocument *self, const RhyJob *vessel, GError **error);
/** rhyton_document_set_artwork_file: @path: a file; kept relative to the job where that stays short. */
gboolean rhyton_document_set_artwork_file (RhytonDocument *self, const char *path, GError **error);
/** rhyton_document_take_artwork: as rhyton_document_set_artwork_file(), of a file that has been read: that is enough. */
gboolean rhyton_document_take_artwork (RhytonDocument *self, RhytonSource *source, GError **error);
/** rhyton_document_is_artwork_changed: Returns: whether the selected artwork's file is another than the one that was read. */
gboolean rhyton_document_is_artwork_changed (RhytonDocument *self);
/** rhyton_document_work_out: works the job out again, reading files that have changed meanwhile. */
void rhyton_document_work_out (RhytonDocument *self);
/** rhyton_document_hold_step: from here changes with one tag are one step, however long it takes, until the step ends. */
void rhyton_document_hold_step (RhytonDocument *self);
/** rhyton_document_is_held: Returns: whether such a step is under way: views may be quick rather than fine. */
gboolean rhyton_document_is_held (RhytonDocument *self);
/** rhyton_document_end_step: the next change is a step of its own, whatever its tag. */
void rhyton_document_end_step (RhytonDocument *self);

gboolean rhyton_document_undo (RhytonDocument *self);
gboolean rhyton_document_redo (RhytonDocument *self);
/** rhyton_document_get_undo_name: Returns: (nullable): what undo would take back. */
const char *rhyton_document_get_undo_name (RhytonDocument *self);
/** rhyton_document_get_redo_name: Returns: (nullable): what redo would do again. */
const char *rhyton_document_get_redo_name (RhytonDocument *self);

/** rhyton_document_set_inches: lengths are to be shown in inches; the job stays in mm. */
void rhyton_document_set_inches (RhytonDocument *self, gboolean inches);
gboolean rhyton_document_get_inches (RhytonDocument *self);

/** rhyton_document_stop: gives up the work under way; the trouble says so. */
void rhyton_document_stop (RhytonDocument *self);

/**
 * rhyton_document_run:
 * @needs_plan: whether it fails where the job makes no plan
 * @options: (transfer full)
 *
 * Works the current job out and calls @run, in a thread; rhyton_document_stop() stops it.
 */
void rhyton_document_run (RhytonDocument      *self,
                          RhytonRun            run,
                          gboolean             needs_plan,
                          gpointer             options,
                          GDestroyNotify       free_options,
                          GDestroyNotify       free_result,
                          GAsyncReadyCallback  callback,
                          gpointer             data);
/** rhyton_document_run_finish: Returns: (transfer full) (nullable): what the run returned. */
gpointer rhyton_document_run_finish (RhytonDocument *self, GAsyncResult *result, GError **error);
/** rhyton_document_is_running: Returns: whether such work is under way. */
gboolean rhyton_document_is_running (RhytonDocument *self);
/**
 * rhyton_document_read_again: the files that the job names (a machine's), which something has written.
 *
 * No step to undo: the job file's text stays as it is.
 */
gboolean rhyton_document_read_again (RhytonDocument *self, GError **error);

G_END_DECLS
