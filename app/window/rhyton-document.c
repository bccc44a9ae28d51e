/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-document.h"

#include <math.h>
#include <string.h>

#include "rhyton-order.h"
#include "rhyton-worker.h"

/* A pause longer than this between two nudges makes two steps to undo. */
#define STEP_PAUSE_US G_USEC_PER_SEC
/* While a hand drags: still felt at once, and most of the processors' time is left to what it moves. */
#define VERDICT_MS 100

/* A middling tumbler: something to look at, and to overtype with readings. */
static const char NEW_JOB[] = "[Job]\n"
                              "Format=1\n"
                              "\n"
                              "[Vessel]\n"
                              "Heights=0;120\n"
                              "Diameters=70;84\n"
                              "\n"
                              "[Artwork]\n"
                              "Width=50\n";

typedef struct
{
  RhyJob *job;
  char   *name;                 /* of the change that led away from it */
} Step;

typedef struct
{
  RhytonOrder     order;
  RhytonRun       run;
  gboolean        needs_plan;
  gpointer        options;
  GDestroyNotify  free_options;
  GDestroyNotify  free_result;
} Run;

struct _RhytonDocument
{
  GObject       parent_instance;

  RhyJob       *job;
  RhyJob       *saved;          /* as it is in the file, NULL if in none */
  char         *path;
  RhytonStamp   saved_stamp;
  char         *title;
  GPtrArray    *done;           /* of Step */
  GPtrArray    *undone;         /* of Step */
  const char   *tag;
  gint64        tag_time_us;
  gboolean      step_held;

  RhytonWorker *worker;
  RhytonWorker *judge;          /* apart: a verdict may take longer than views can wait */
  gboolean      busy;
  GPtrArray    *sources;        /* of RhytonSource: the artwork files as they came in */
  RhyPlan      *plan;
  gboolean      is_bare;        /* the plan */
  char         *missing;        /* nullable */
  RhyVerdict   *verdict;
  char         *trouble;
  gboolean      inches;
  gsize         selected;       /* which artwork is edited */
  GCancellable *running;        /* nullable: of what rhyton_document_run() does */
  guint         n_runs;
};

enum
{
  PROP_JOB = 1,
  PROP_PLAN,
  PROP_VERDICT,
  PROP_TROUBLE,
  PROP_TITLE,
  PROP_MODIFIED,
  PROP_BUSY,
  PROP_UNDO_NAME,
  PROP_REDO_NAME,
  PROP_INCHES,
  PROP_SELECTED,
  PROP_HELD,
  N_PROPS,
};

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonDocument, rhyton_document, G_TYPE_OBJECT)

static void
free_step (gpointer data)
{
  Step *step = data;
  rhy_job_unref (step->job);
  g_free (step->name);
  g_free (step);
}

static void
free_run (gpointer data)
{
  Run *run = data;
  rhyton_order_clear (&run->order);
  if (run->free_options != NULL)
    run->free_options (run->options);
  g_free (run);
}

static void
set_busy (RhytonDocument *self,
          gboolean        busy)
{
  if (self->busy == busy)
    return;
  self->busy = busy;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
}

static void
set_trouble (RhytonDocument *self,
             const char     *trouble)
{
  if (g_strcmp0 (self->trouble, trouble) == 0)
    return;
  g_free (self->trouble);
  self->trouble = g_strdup (trouble);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_TROUBLE]);
}

static void
refresh_busy (RhytonDocument *self)
{
  set_busy (self, rhyton_worker_is_busy (self->worker) || rhyton_worker_is_busy (self->judge));
}

static void
unref_plan (gpointer plan)
{
  rhy_plan_unref (plan);
}

static void
unref_verdict (gpointer verdict)
{
  rhy_verdict_unref (verdict);
}

static gpointer
gather_plan (gpointer owner)
{
  RhytonDocument *self = owner;
  return self->plan != NULL ? rhy_plan_ref (self->plan) : NULL;
}

/* In a thread. */
static gpointer
judge_plan (gpointer      input,
            GCancellable *cancellable)
{
  return rhy_verdict_new (input, cancellable);
}

static void
judged (gpointer owner,
        gpointer result)
{
  RhytonDocument *self = owner;

  g_clear_pointer (&self->verdict, rhy_verdict_unref);
  self->verdict = result;
  g_object_freeze_notify (G_OBJECT (self));
  refresh_busy (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_VERDICT]);
  g_object_thaw_notify (G_OBJECT (self));
}

static const RhytonWorkerClass judge_class = {
  .gather = gather_plan,
  .work = judge_plan,
  .done = judged,
  .free_input = unref_plan,
  .free_result = unref_verdict,
};

/* The verdict before stands until the new one is there; without a plan there is none. */
static void
worked_out (gpointer owner,
            gpointer result)
{
  RhytonDocument *self = owner;
  RhytonOutcome *outcome = result;

  /* A drawing that is refused must not make the others be read again. */
  if (!outcome->is_bare || outcome->sources->len >= self->sources->len)
    {
      g_ptr_array_unref (self->sources);
      self->sources = g_ptr_array_ref (outcome->sources);
    }
  g_clear_pointer (&self->plan, rhy_plan_unref);
  self->plan = g_steal_pointer (&outcome->plan);
  self->is_bare = outcome->is_bare;
  g_free (self->missing);
  self->missing = g_steal_pointer (&outcome->missing);
  g_object_freeze_notify (G_OBJECT (self));
  if (self->plan != NULL && !self->is_bare)
    rhyton_worker_request_spaced (self->judge, self->step_held ? VERDICT_MS : 0);
  else
    {
      rhyton_worker_cancel (self->judge);
      g_clear_pointer (&self->verdict, rhy_verdict_unref);
      g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_VERDICT]);
    }
  refresh_busy (self);
  if (self->missing != NULL)
    {
      g_autofree char *name = g_path_get_basename (self->missing);
      g_autofree char *text = g_strdup_printf ("%s is not where the job looks for it. Put it there, or find it: %s", name, self->missing);
      set_trouble (self, text);
    }
  else
    set_trouble (self, outcome->error != NULL ? outcome->error->message : NULL);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_PLAN]);
  g_object_thaw_notify (G_OBJECT (self));
  rhyton_outcome_free (outcome);
}

static void
free_order (gpointer data)
{
  rhyton_order_clear (data);
  g_free (data);
}

static void
free_outcome (gpointer outcome)
{
  rhyton_outcome_free (outcome);
}

/* In a thread. */
static gpointer
work_out (gpointer      input,
          GCancellable *cancellable)
{
  return rhyton_order_work_out (input, cancellable);
}

static void
fill_order (RhytonDocument *self,
            RhytonOrder    *order)
{
  order->job = rhy_job_ref (self->job);
  order->sources = g_ptr_array_ref (self->sources);
  order->plan = self->plan != NULL ? rhy_plan_ref (self->plan) : NULL;
}

static gpointer
gather (gpointer owner)
{
  RhytonOrder *order = g_new0 (RhytonOrder, 1);
  fill_order (owner, order);
  return order;
}

static const RhytonWorkerClass worker_class = {
  .gather = gather,
  .work = work_out,
  .done = worked_out,
  .free_input = free_order,
  .free_result = free_outcome,
};

static void
refresh (RhytonDocument *self)
{
  rhyton_worker_request (self->worker);
  set_busy (self, TRUE);
}

static void
refresh_title (RhytonDocument *self)
{
  const char *title = rhy_job_get_data (self->job)->job.title;
  g_autofree char *now = NULL;

  if (title != NULL && *title != '\0')
    now = g_strdup (title);
  else if (self->path != NULL)
    now = g_path_get_basename (self->path);
  else
    now = g_strdup ("New job");
  if (g_strcmp0 (now, self->title) == 0)
    return;
  g_free (self->title);
  self->title = g_steal_pointer (&now);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_TITLE]);
}

static gboolean
has_other_artwork (const RhyJob *a,
                   const RhyJob *b)
{
  const RhyJobData *before = rhy_job_get_data (a);
  const RhyJobData *now = rhy_job_get_data (b);

  for (gsize i = 0; i < before->n_artworks && i < now->n_artworks; i++)
    if (g_strcmp0 (before->artworks[i].file, now->artworks[i].file) != 0)
      return TRUE;
  return before->n_artworks != now->n_artworks;
}

void
rhyton_document_select (RhytonDocument *self,
                        gsize           i)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self));

  const gsize n = rhy_job_get_data (self->job)->n_artworks;
  const gsize selected = i < n ? i : 0;
  if (self->selected == selected)
    return;
  self->selected = selected;
  self->tag = NULL;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_SELECTED]);
}

/* @job: (transfer full) */
static void
take_job (RhytonDocument *self,
          RhyJob         *job)
{
  RhyJob *before = self->job;
  self->job = job;

  g_object_freeze_notify (G_OBJECT (self));
  refresh_title (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_JOB]);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_MODIFIED]);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_UNDO_NAME]);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_REDO_NAME]);
  rhyton_document_select (self, self->selected);
  /* Reading a file that is no longer asked for may take its whole time limit. */
  if (before != NULL && has_other_artwork (before, job))
    rhyton_worker_cancel (self->worker);
  refresh (self);
  g_object_thaw_notify (G_OBJECT (self));
  g_clear_pointer (&before, rhy_job_unref);
}

static void
push_step (GPtrArray  *steps,
           RhyJob     *job,
           const char *name)
{
  Step *step = g_new (Step, 1);
  step->job = rhy_job_ref (job);
  step->name = g_strdup (name);
  g_ptr_array_add (steps, step);
}

static void
start_over (RhytonDocument *self,
            RhyJob         *job,
            const char     *path)
{
  g_ptr_array_set_size (self->done, 0);
  g_ptr_array_set_size (self->undone, 0);
  self->tag = NULL;
  self->selected = 0;
  g_free (self->path);
  self->path = g_strdup (path);
  take_job (self, job);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_SELECTED]);
}

static void
mark_saved (RhytonDocument *self)
{
  self->saved = rhy_job_ref (self->job);
  if (!rhyton_stamp_of (self->path, &self->saved_stamp))
    self->saved_stamp.size = -1;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_MODIFIED]);
}

gboolean
rhyton_document_open (RhytonDocument  *self,
                      const char      *path,
                      GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && path != NULL, FALSE);

  RhyJob *job = rhy_job_new_from_file (path, error);
  if (job == NULL)
    return FALSE;
  g_clear_pointer (&self->saved, rhy_job_unref);
  rhyton_worker_cancel (self->worker);
  start_over (self, job, path);
  mark_saved (self);
  return TRUE;
}

gboolean
rhyton_document_restore (RhytonDocument  *self,
                         const char      *text,
                         const char      *names_from,
                         const char      *path,
                         GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && text != NULL, FALSE);

  RhyJob *job = rhy_job_new_from_data (text, -1, names_from, error);
  if (job == NULL)
    return FALSE;
  g_clear_pointer (&self->saved, rhy_job_unref);
  rhyton_worker_cancel (self->worker);
  start_over (self, job, path);
  if (!rhyton_stamp_of (self->path, &self->saved_stamp))
    self->saved_stamp.size = -1;
  return TRUE;
}

gboolean
rhyton_document_save_as (RhytonDocument  *self,
                         const char      *path,
                         GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && path != NULL, FALSE);

  RhyJob *saved = rhyton_edits_save (self->job, path, error);
  if (saved == NULL)
    return FALSE;

  char *copy = g_strdup (path);
  g_free (self->path);
  self->path = copy;
  rhy_job_unref (self->job);
  self->job = saved;
  self->tag = NULL;
  g_clear_pointer (&self->saved, rhy_job_unref);
  g_object_freeze_notify (G_OBJECT (self));
  mark_saved (self);
  refresh_title (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_JOB]);
  g_object_thaw_notify (G_OBJECT (self));
  return TRUE;
}

gboolean
rhyton_document_save (RhytonDocument  *self,
                      GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && self->path != NULL, FALSE);
  return rhyton_document_save_as (self, self->path, error);
}

/* @job: (transfer full) */
static void
take_step (RhytonDocument *self,
           const char     *name,
           const char     *tag,
           RhyJob         *job)
{
  const gint64 now_us = g_get_monotonic_time ();
  const gboolean same_step = tag != NULL && g_strcmp0 (tag, self->tag) == 0
                             && (self->step_held || now_us - self->tag_time_us < STEP_PAUSE_US);
  if (!same_step)
    push_step (self->done, self->job, name);
  g_ptr_array_set_size (self->undone, 0);
  self->tag = tag;
  self->tag_time_us = now_us;
  take_job (self, job);
}

RhyJob *
rhyton_document_try (RhytonDocument   *self,
                     const RhytonEdit *edits,
                     gsize             n,
                     GError          **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && n > 0, NULL);
  return rhyton_edits_apply (self->job, rhyton_document_get_artwork (self)->group, edits, n, error);
}

gboolean
rhyton_document_change (RhytonDocument    *self,
                        const char        *name,
                        const char        *tag,
                        const RhytonEdit  *edits,
                        gsize              n,
                        GError           **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && name != NULL && n > 0, FALSE);

  /* The window's steps edit the selected artwork, whatever its group is called. */
  RhyJob *job = rhyton_edits_apply (self->job, rhyton_document_get_artwork (self)->group, edits, n, error);
  if (job == NULL)
    return FALSE;
  take_step (self, name, tag, job);
  return TRUE;
}

void
rhyton_document_replace (RhytonDocument *self,
                         const char     *name,
                         RhyJob         *job)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self) && name != NULL && job != NULL);
  take_step (self, name, NULL, job);
}

gboolean
rhyton_document_rename_group (RhytonDocument  *self,
                              const char      *name,
                              const char      *from,
                              const char      *to,
                              GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && from != NULL && to != NULL, FALSE);

  RhyJob *job = rhyton_edits_rename_group (self->job, from, to, error);
  if (job == NULL)
    return FALSE;
  take_step (self, name, NULL, job);
  return TRUE;
}

char *
rhyton_document_name_file (RhytonDocument *self,
                           const char     *path)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && path != NULL, NULL);
  return rhyton_edits_name_file (self->job, path);
}

gboolean
rhyton_document_take_artwork (RhytonDocument  *self,
                              RhytonSource    *source,
                              GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && source != NULL, FALSE);

  GPtrArray *with = rhyton_sources_with (self->sources, source);
  g_ptr_array_unref (self->sources);
  self->sources = with;
  return rhyton_document_set_artwork_file (self, source->path, error);
}

void
rhyton_document_work_out (RhytonDocument *self)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self));
  refresh (self);
}

gboolean
rhyton_document_is_artwork_changed (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);

  const char *file = rhyton_document_get_artwork (self)->file;
  if (file == NULL || *file == '\0')
    return FALSE;
  g_autofree char *path = rhy_job_resolve (self->job, file);
  const RhytonSource *source = rhyton_sources_find (self->sources, path);
  return source != NULL && !rhyton_source_is_current (source);
}

static void
set_held (RhytonDocument *self,
          gboolean        held)
{
  self->tag = NULL;
  if (self->step_held == held)
    return;
  self->step_held = held;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_HELD]);
}

void
rhyton_document_hold_step (RhytonDocument *self)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self));
  set_held (self, TRUE);
}

gboolean
rhyton_document_is_held (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  return self->step_held;
}

void
rhyton_document_end_step (RhytonDocument *self)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self));
  set_held (self, FALSE);
}

static gboolean
step_back (RhytonDocument *self,
           GPtrArray      *from,
           GPtrArray      *to)
{
  if (from->len == 0)
    return FALSE;
  Step *step = g_ptr_array_steal_index (from, from->len - 1);
  push_step (to, self->job, step->name);
  self->tag = NULL;
  take_job (self, rhy_job_ref (step->job));
  free_step (step);
  return TRUE;
}

gboolean
rhyton_document_undo (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  return step_back (self, self->done, self->undone);
}

gboolean
rhyton_document_redo (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  return step_back (self, self->undone, self->done);
}

static const char *
last_name (GPtrArray *steps)
{
  return steps->len > 0 ? ((Step *) g_ptr_array_index (steps, steps->len - 1))->name : NULL;
}

const char *
rhyton_document_get_undo_name (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return last_name (self->done);
}

const char *
rhyton_document_get_redo_name (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return last_name (self->undone);
}

RhyJob *
rhyton_document_get_job (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->job;
}

RhyPlan *
rhyton_document_get_plan (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->plan;
}

RhyVerdict *
rhyton_document_get_verdict (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->verdict;
}

gsize
rhyton_document_get_selected (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), 0);
  return self->selected;
}

const RhyJobArtwork *
rhyton_document_get_artwork (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return &rhy_job_get_data (self->job)->artworks[self->selected];
}

const RhyPlan *
rhyton_document_get_part (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  if (self->plan == NULL || self->is_bare || self->selected >= rhy_plan_get_n_parts (self->plan))
    return NULL;
  return rhy_plan_get_part (self->plan, self->selected);
}

const char *
rhyton_document_get_trouble (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->trouble;
}

const char *
rhyton_document_get_missing (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->missing;
}

const char *
rhyton_document_get_path (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->path;
}

const char *
rhyton_document_get_title (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), NULL);
  return self->title;
}

gboolean
rhyton_document_is_modified (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  /* Jobs are immutable: the same object is the same text, also after undo. */
  return self->job != self->saved;
}

gboolean
rhyton_document_is_busy (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  return self->busy;
}

gboolean
rhyton_document_is_changed_on_disk (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);

  RhytonStamp now;
  return rhyton_stamp_of (self->path, &now)
         && (now.size != self->saved_stamp.size || now.mtime_ns != self->saved_stamp.mtime_ns);
}

void
rhyton_document_set_inches (RhytonDocument *self,
                            gboolean        inches)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self));

  if (self->inches == inches)
    return;
  self->inches = inches;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_INCHES]);
}

gboolean
rhyton_document_get_inches (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  return self->inches;
}

void
rhyton_document_stop (RhytonDocument *self)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self));

  if (self->n_runs > 0)
    g_cancellable_cancel (self->running);
  if (!self->busy)
    return;
  rhyton_worker_cancel (self->worker);
  rhyton_worker_cancel (self->judge);
  set_trouble (self, "Stopped. Change something to work it out again.");
  set_busy (self, FALSE);
}

static gpointer
run_order (const Run     *run,
           GCancellable  *cancellable,
           GError       **error)
{
  g_autoptr (GError) trouble = NULL;
  g_autoptr (RhyPlan) plan = rhyton_order_plan (&run->order, cancellable, &trouble);

  if (plan == NULL && run->needs_plan)
    {
      g_propagate_error (error, g_steal_pointer (&trouble));
      return NULL;
    }
  return run->run (run->order.job, plan, run->options, cancellable, error);
}

static void
run_in_thread (GTask        *task,
               gpointer      source,
               gpointer      data,
               GCancellable *cancellable)
{
  const Run *run = data;
  GError *error = NULL;
  gpointer result = run_order (run, cancellable, &error);

  if (error != NULL)
    g_task_return_error (task, error);
  else
    g_task_return_pointer (task, result, run->free_result);
}

static void
end_run (RhytonDocument *self)
{
  self->n_runs--;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
}

void
rhyton_document_run (RhytonDocument      *self,
                     RhytonRun            run,
                     gboolean             needs_plan,
                     gpointer             options,
                     GDestroyNotify       free_options,
                     GDestroyNotify       free_result,
                     GAsyncReadyCallback  callback,
                     gpointer             data)
{
  g_return_if_fail (RHYTON_IS_DOCUMENT (self) && run != NULL);

  if (self->running == NULL || g_cancellable_is_cancelled (self->running))
    {
      g_set_object (&self->running, NULL);
      self->running = g_cancellable_new ();
    }
  Run *order = g_new0 (Run, 1);
  fill_order (self, &order->order);
  order->run = run;
  order->needs_plan = needs_plan;
  order->options = options;
  order->free_options = free_options;
  order->free_result = free_result;
  g_autoptr (GTask) task = g_task_new (self, self->running, callback, data);
  g_task_set_task_data (task, order, free_run);
  self->n_runs++;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
  g_task_run_in_thread (task, run_in_thread);
}

gpointer
rhyton_document_run_finish (RhytonDocument  *self,
                            GAsyncResult    *result,
                            GError         **error)
{
  g_return_val_if_fail (g_task_is_valid (result, self), NULL);
  end_run (self);
  return g_task_propagate_pointer (G_TASK (result), error);
}

gboolean
rhyton_document_is_running (RhytonDocument *self)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);
  return self->n_runs > 0;
}

gboolean
rhyton_document_read_again (RhytonDocument  *self,
                            GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self), FALSE);

  const gboolean was_saved = self->job == self->saved;
  gsize length = 0;
  g_autofree char *text = rhy_job_to_data (self->job, &length);
  RhyJob *job = rhy_job_new_from_data (text, (gssize) length, rhy_job_get_path (self->job), error);
  if (job == NULL)
    return FALSE;
  take_job (self, job);
  if (was_saved)
    {
      g_clear_pointer (&self->saved, rhy_job_unref);
      mark_saved (self);
    }
  return TRUE;
}

static void
rhyton_document_get_property (GObject    *object,
                              guint       id,
                              GValue     *value,
                              GParamSpec *pspec)
{
  RhytonDocument *self = RHYTON_DOCUMENT (object);

  switch (id)
    {
    case PROP_JOB:
      g_value_set_boxed (value, self->job);
      break;
    case PROP_PLAN:
      g_value_set_boxed (value, self->plan);
      break;
    case PROP_VERDICT:
      g_value_set_boxed (value, self->verdict);
      break;
    case PROP_TROUBLE:
      g_value_set_string (value, self->trouble);
      break;
    case PROP_TITLE:
      g_value_set_string (value, self->title);
      break;
    case PROP_MODIFIED:
      g_value_set_boolean (value, rhyton_document_is_modified (self));
      break;
    case PROP_BUSY:
      g_value_set_boolean (value, self->busy);
      break;
    case PROP_UNDO_NAME:
      g_value_set_string (value, rhyton_document_get_undo_name (self));
      break;
    case PROP_REDO_NAME:
      g_value_set_string (value, rhyton_document_get_redo_name (self));
      break;
    case PROP_INCHES:
      g_value_set_boolean (value, self->inches);
      break;
    case PROP_SELECTED:
      g_value_set_uint64 (value, self->selected);
      break;
    case PROP_HELD:
      g_value_set_boolean (value, self->step_held);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
rhyton_document_dispose (GObject *object)
{
  RhytonDocument *self = RHYTON_DOCUMENT (object);

  if (self->running != NULL)
    g_cancellable_cancel (self->running);
  g_clear_object (&self->running);
  g_clear_pointer (&self->worker, rhyton_worker_free);
  g_clear_pointer (&self->judge, rhyton_worker_free);
  G_OBJECT_CLASS (rhyton_document_parent_class)->dispose (object);
}

static void
rhyton_document_finalize (GObject *object)
{
  RhytonDocument *self = RHYTON_DOCUMENT (object);

  g_clear_pointer (&self->plan, rhy_plan_unref);
  g_clear_pointer (&self->verdict, rhy_verdict_unref);
  g_clear_pointer (&self->job, rhy_job_unref);
  g_clear_pointer (&self->saved, rhy_job_unref);
  g_clear_pointer (&self->done, g_ptr_array_unref);
  g_clear_pointer (&self->undone, g_ptr_array_unref);
  g_clear_pointer (&self->sources, g_ptr_array_unref);
  g_free (self->path);
  g_free (self->title);
  g_free (self->trouble);
  g_free (self->missing);
  G_OBJECT_CLASS (rhyton_document_parent_class)->finalize (object);
}

static void
rhyton_document_class_init (RhytonDocumentClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  const GParamFlags flags = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY;

  object_class->get_property = rhyton_document_get_property;
  object_class->dispose = rhyton_document_dispose;
  object_class->finalize = rhyton_document_finalize;

  properties[PROP_JOB] = g_param_spec_boxed ("job", NULL, NULL, RHYTON_TYPE_JOB, flags);
  properties[PROP_PLAN] = g_param_spec_boxed ("plan", NULL, NULL, RHYTON_TYPE_PLAN, flags);
  properties[PROP_VERDICT] = g_param_spec_boxed ("verdict", NULL, NULL, RHYTON_TYPE_VERDICT, flags);
  properties[PROP_TROUBLE] = g_param_spec_string ("trouble", NULL, NULL, NULL, flags);
  properties[PROP_TITLE] = g_param_spec_string ("title", NULL, NULL, NULL, flags);
  properties[PROP_MODIFIED] = g_param_spec_boolean ("modified", NULL, NULL, FALSE, flags);
  properties[PROP_BUSY] = g_param_spec_boolean ("busy", NULL, NULL, FALSE, flags);
  properties[PROP_UNDO_NAME] = g_param_spec_string ("undo-name", NULL, NULL, NULL, flags);
  properties[PROP_REDO_NAME] = g_param_spec_string ("redo-name", NULL, NULL, NULL, flags);
  properties[PROP_HELD] = g_param_spec_boolean ("held", NULL, NULL, FALSE, flags);
  properties[PROP_INCHES] = g_param_spec_boolean ("inches", NULL, NULL, FALSE, flags);
  properties[PROP_SELECTED] = g_param_spec_uint64 ("selected", NULL, NULL, 0, G_MAXUINT64, 0, flags);
  g_object_class_install_properties (object_class, N_PROPS, properties);
}

static void
rhyton_document_init (RhytonDocument *self)
{
  self->sources = rhyton_sources_new ();
  self->done = g_ptr_array_new_with_free_func (free_step);
  self->undone = g_ptr_array_new_with_free_func (free_step);
  self->worker = rhyton_worker_new (&worker_class, self);
  self->judge = rhyton_worker_new (&judge_class, self);

  g_autoptr (GError) error = NULL;
  RhyJob *job = rhy_job_new_from_data (NEW_JOB, -1, NULL, &error);
  if (job == NULL)
    g_error ("the new job is no job: %s", error->message);
  self->saved = rhy_job_ref (job);
  start_over (self, job, NULL);
}

RhytonDocument *
rhyton_document_new (void)
{
  return g_object_new (RHYTON_TYPE_DOCUMENT, NULL);
}
