/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-document.h"

#include <math.h>
#include <string.h>

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
  RhyJob    *job;
  GPtrArray *sources;           /* of RhytonSource, never changed once made */
  RhyPlan   *plan;              /* nullable: the last one, to be renewed where the artwork is the same */
} Order;

typedef struct
{
  RhyJob    *job;
  RhyPlan   *plan;
  gboolean   is_bare;           /* the plan: of the vessel alone, see error */
  char      *missing;           /* nullable: an artwork file that is not there */
  GError    *error;
  GPtrArray *sources;
} Outcome;

typedef struct
{
  Order           order;
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
clear_order (Order *order)
{
  rhy_job_unref (order->job);
  g_ptr_array_unref (order->sources);
  g_clear_pointer (&order->plan, rhy_plan_unref);
}

static void
free_order (gpointer data)
{
  clear_order (data);
  g_free (data);
}

static void
free_outcome (gpointer data)
{
  Outcome *outcome = data;
  rhy_job_unref (outcome->job);
  g_clear_pointer (&outcome->plan, rhy_plan_unref);
  g_free (outcome->missing);
  g_clear_error (&outcome->error);
  g_ptr_array_unref (outcome->sources);
  g_free (outcome);
}

static void
free_run (gpointer data)
{
  Run *run = data;
  clear_order (&run->order);
  if (run->free_options != NULL)
    run->free_options (run->options);
  g_free (run);
}

/* What an edit has not touched, the sized and outlined artwork above all, is taken
 * over from the plan before: that is what makes dragging follow the hand. */
static RhyPlan *
plan_of (const Order           *order,
         const RhytonGathered  *gathered,
         GCancellable          *cancellable,
         GError               **error)
{
  return rhy_plan_new_like (order->job, gathered->artworks, order->plan, cancellable, error);
}

/* The vessel and its zones alone are still better to look at than nothing. */
static RhyPlan *
bare_plan_of (const Order  *order,
              GCancellable *cancellable)
{
  const RhyJobData *data = rhy_job_get_data (order->job);
  g_autoptr (RhyJob) bare = rhy_job_ref (order->job);
  RhyArtwork *none[1] = { NULL };

  for (gsize i = 0; i < data->n_artworks; i++)
    {
      RhyJob *without = rhy_job_without_group (bare, data->artworks[i].group, NULL);
      if (without == NULL)
        return NULL;
      rhy_job_unref (bare);
      bare = without;
    }
  return rhy_plan_new_like (bare, none, order->plan, cancellable, NULL);
}

static char *
find_missing (const RhytonGathered *gathered,
              RhyJob               *job)
{
  const RhyJobData *data = rhy_job_get_data (job);

  for (gsize i = 0; gathered->missing->len > 0 && i < data->n_artworks; i++)
    if (strcmp (data->artworks[i].group, gathered->missing->pdata[0]) == 0)
      {
        g_autofree char *path = rhy_job_resolve (job, data->artworks[i].file);
        return g_file_test (path, G_FILE_TEST_EXISTS) ? NULL : g_steal_pointer (&path);
      }
  return NULL;
}

/* In a thread. */
static gpointer
work_out (gpointer      input,
          GCancellable *cancellable)
{
  const Order *order = input;
  g_autoptr (RhytonGathered) gathered = rhyton_sources_gather (order->sources, order->job, cancellable);
  Outcome *outcome = g_new0 (Outcome, 1);

  outcome->job = rhy_job_ref (order->job);
  outcome->sources = g_ptr_array_ref (gathered->sources);
  outcome->error = g_steal_pointer (&gathered->error);
  outcome->missing = find_missing (gathered, order->job);
  if (gathered->missing->len == 0)
    outcome->plan = plan_of (order, gathered, cancellable, outcome->error == NULL ? &outcome->error : NULL);
  if (outcome->plan == NULL && !g_cancellable_is_cancelled (cancellable))
    {
      outcome->plan = bare_plan_of (order, cancellable);
      outcome->is_bare = TRUE;
    }
  return outcome;
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
  Outcome *outcome = result;

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
  free_outcome (outcome);
}

static void
fill_order (RhytonDocument *self,
            Order          *order)
{
  order->job = rhy_job_ref (self->job);
  order->sources = g_ptr_array_ref (self->sources);
  order->plan = self->plan != NULL ? rhy_plan_ref (self->plan) : NULL;
}

static gpointer
gather (gpointer owner)
{
  Order *order = g_new0 (Order, 1);
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

/* Beside the job or below it: named from there, so that the folder can travel. */
static char *
name_from_job (const RhyJob *job,
               const char   *path)
{
  const char *job_path = rhy_job_get_path (job);
  if (job_path == NULL)
    return g_strdup (path);
  g_autoptr (GFile) job_file = g_file_new_for_path (job_path);
  g_autoptr (GFile) folder = g_file_get_parent (job_file);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  char *relative = folder != NULL ? g_file_get_relative_path (folder, file) : NULL;
  return relative != NULL ? relative : g_strdup (path);
}

/* The job with every drawing beside or below it named from there, as far as that can be. */
static RhyJob *
shorten_names (RhyJob *job)
{
  g_autoptr (RhyJob) now = rhy_job_ref (job);

  for (gsize i = 0; i < rhy_job_get_data (job)->n_artworks; i++)
    {
      const RhyJobArtwork *artwork = &rhy_job_get_data (job)->artworks[i];
      if (artwork->file == NULL || !g_path_is_absolute (artwork->file))
        continue;
      g_autofree char *name = name_from_job (job, artwork->file);
      RhyJob *renamed = g_path_is_absolute (name) ? NULL : rhy_job_with_text (now, artwork->group, "File", name, NULL);
      if (renamed == NULL)
        continue;
      rhy_job_unref (now);
      now = renamed;
    }
  return g_steal_pointer (&now);
}

/* A job that had no place yet names its drawings by the whole path. Returns: the
 * job as saved; the one given if that cannot be bettered. @saved: (transfer full) */
static RhyJob *
save_shortened (RhyJob     *saved,
                const char *path)
{
  g_autoptr (RhyJob) shortened = shorten_names (saved);
  RhyJob *again = shortened != saved ? rhy_job_save (shortened, path, NULL) : NULL;
  if (again == NULL)
    return saved;
  rhy_job_unref (saved);
  return again;
}

gboolean
rhyton_document_save_as (RhytonDocument  *self,
                         const char      *path,
                         GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && path != NULL, FALSE);

  RhyJob *saved = rhy_job_save (self->job, path, error);
  if (saved == NULL)
    return FALSE;
  saved = save_shortened (saved, path);

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

/* The window's steps edit the selected artwork, whatever its group is called. */
static const char *
group_in (const RhytonDocument *self,
          const char           *group)
{
  return strcmp (group, "Artwork") == 0 ? rhy_job_get_data (self->job)->artworks[self->selected].group : group;
}

/* Of a size there is one: another way to say it takes the place of what said it before. */
static const char *const sizes[] = { "Width", "Height", "Span", "FontSize", NULL };

static gboolean
is_size (const RhytonEdit *edit)
{
  return strcmp (edit->group, "Artwork") == 0 && edit->value != NULL && g_strv_contains (sizes, edit->key);
}

static void
drop_other_sizes (GKeyFile         *keys,
                  const char       *group,
                  const RhytonEdit *edit)
{
  if (!is_size (edit))
    return;
  for (gsize i = 0; sizes[i] != NULL; i++)
    if (strcmp (sizes[i], edit->key) != 0)
      g_key_file_remove_key (keys, group, sizes[i], NULL);
}

/* Several keys change together, so that lists which must match in length can. */
static RhyJob *
with_edits (const RhytonDocument  *self,
            const RhytonEdit      *edits,
            gsize                  n,
            GError               **error)
{
  gsize length = 0;
  g_autofree char *before = rhy_job_to_data (self->job, &length);
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  const GKeyFileFlags flags = G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS;
  if (!g_key_file_load_from_data (keys, before, length, flags, error))
    return NULL;
  for (gsize i = 0; i < n; i++)
    {
      const char *group = group_in (self, edits[i].group);
      drop_other_sizes (keys, group, &edits[i]);
      if (edits[i].value != NULL)
        g_key_file_set_value (keys, group, edits[i].key, edits[i].value);
      else
        g_key_file_remove_key (keys, group, edits[i].key, NULL);
    }
  g_autofree char *after = g_key_file_to_data (keys, &length, NULL);
  return rhy_job_new_from_data (after, (gssize) length, rhy_job_get_path (self->job), error);
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
  return with_edits (self, edits, n, error);
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

  RhyJob *job = with_edits (self, edits, n, error);
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

/* The order of the groups says which artwork is the mark, so it must not change. */
static char *
with_group_line (const char *text,
                 const char *from,
                 const char *to)
{
  g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
  g_autofree char *old = g_strdup_printf ("[%s]", from);

  for (gsize i = 0; lines[i] != NULL; i++)
    {
      g_autofree char *line = g_strstrip (g_strdup (lines[i]));
      if (strcmp (line, old) != 0)
        continue;
      g_free (lines[i]);
      lines[i] = g_strdup_printf ("[%s]", to);
      break;
    }
  return g_strjoinv ("\n", lines);
}

gboolean
rhyton_document_rename_group (RhytonDocument  *self,
                              const char      *name,
                              const char      *from,
                              const char      *to,
                              GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && from != NULL && to != NULL, FALSE);

  g_autofree char *text = rhy_job_to_data (self->job, NULL);
  g_autofree char *renamed = with_group_line (text, from, to);
  RhyJob *job = rhy_job_new_from_data (renamed, -1, rhy_job_get_path (self->job), error);
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
  return name_from_job (self->job, path);
}

gboolean
rhyton_document_change_number (RhytonDocument  *self,
                               const char      *name,
                               const char      *tag,
                               const char      *group,
                               const char      *key,
                               double           value,
                               GError         **error)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  const RhytonEdit edit = { group, key, g_ascii_dtostr (text, sizeof text, value) };
  return rhyton_document_change (self, name, tag, &edit, 1, error);
}

/* The job file says what a pointer or a sum came to, to a thousandth: finer than
 * any machine, and readable. */
static const char *
thousandths (char   *text,
             gsize   size,
             double  value)
{
  const double rounded = round (value * 1e3) / 1e3;
  return g_ascii_dtostr (text, (int) size, rounded == 0.0 ? 0.0 : rounded);
}

gboolean
rhyton_document_move_artwork (RhytonDocument  *self,
                              const char      *tag,
                              double           at_mm,
                              double           around_deg,
                              GError         **error)
{
  char at[G_ASCII_DTOSTR_BUF_SIZE], around[G_ASCII_DTOSTR_BUF_SIZE];
  const double turned = remainder (around_deg, 360.0);
  const RhytonEdit edits[] = {
    { "Artwork", "At", thousandths (at, sizeof at, at_mm) },
    { "Artwork", "Around", thousandths (around, sizeof around, turned) },
  };
  return rhyton_document_change (self, "Move of the artwork", tag, edits, G_N_ELEMENTS (edits), error);
}

gboolean
rhyton_document_set_artwork_file (RhytonDocument  *self,
                                  const char      *path,
                                  GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && path != NULL, FALSE);

  g_autofree char *name = name_from_job (self->job, path);
  /* A key file's value is escaped text. */
  g_autoptr (GKeyFile) scratch = g_key_file_new ();
  g_key_file_set_string (scratch, "Artwork", "File", name);
  g_autofree char *value = g_key_file_get_value (scratch, "Artwork", "File", NULL);
  /* A drawing takes the place of lettering, and of what only letters have. */
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (self);
  const RhyPlan *part = rhyton_document_get_part (self);
  const double width_mm = part != NULL ? rhy_plan_get_numbers (part)->width_mm : 0.0;
  char width[G_ASCII_DTOSTR_BUF_SIZE];
  RhytonEdit edits[4];
  gsize n = 0;
  edits[n++] = (RhytonEdit) { "Artwork", "File", value };
  if (artwork->text != NULL)
    edits[n++] = (RhytonEdit) { "Artwork", "Text", NULL };
  if (artwork->font_size_mm > 0.0)
    edits[n++] = (RhytonEdit) { "Artwork", "Width", thousandths (width, sizeof width, width_mm > 0.0 ? width_mm : 50.0) };
  return rhyton_document_change (self, "Choice of the artwork", NULL, edits, n, error);
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
  g_autoptr (RhytonGathered) gathered = rhyton_sources_gather (run->order.sources, run->order.job, cancellable);
  g_autoptr (GError) trouble = g_steal_pointer (&gathered->error);
  g_autoptr (RhyPlan) plan = trouble == NULL ? plan_of (&run->order, gathered, cancellable, &trouble) : NULL;

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
