/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artwork-file.h"

#include <string.h>

/* Programs write a file in several goes. */
#define QUIET_MS 250

struct _RhytonArtworkFile
{
  GObject         parent_instance;

  RhytonDocument *document;     /* weak: a file being tried may outlive it */
  GCancellable   *trying;
  GFileMonitor   *monitor;
  char           *path;         /* that is watched */
  char           *message;
  char           *trouble;      /* nullable: what the document says of the file */
  gboolean        changed;
  guint           quiet;        /* source id */
};

enum { PROP_MESSAGE = 1, PROP_CHANGED, PROP_BUSY, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonArtworkFile, rhyton_artwork_file, G_TYPE_OBJECT)

static void
say (RhytonArtworkFile *self,
     const char        *message,
     gboolean           changed)
{
  if (g_strcmp0 (message, self->message) == 0 && changed == self->changed)
    return;
  char *copy = g_strdup (message);
  g_free (self->message);
  self->message = copy;
  self->changed = changed;
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_MESSAGE]);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_CHANGED]);
}

/* ---- watching ---- */

static void
look (RhytonArtworkFile *self)
{
  if (self->path == NULL || !rhyton_document_is_artwork_changed (self->document))
    {
      if (self->changed)
        say (self, NULL, FALSE);
      return;
    }
  g_autofree char *name = g_path_get_basename (self->path);
  g_autofree char *message = NULL;
  if (!g_file_test (self->path, G_FILE_TEST_EXISTS))
    message = g_strdup_printf ("%s is not where it was. Shown is what was read before: put it back, or choose another.", name);
  else
    message = g_strdup_printf ("%s has changed on disk since it was read.", name);
  say (self, message, TRUE);
}

static gboolean
on_quiet (gpointer data)
{
  RhytonArtworkFile *self = data;
  self->quiet = 0;
  if (self->document != NULL)
    look (self);
  return G_SOURCE_REMOVE;
}

static void
on_file_event (RhytonArtworkFile *self)
{
  g_clear_handle_id (&self->quiet, g_source_remove);
  self->quiet = g_timeout_add (QUIET_MS, on_quiet, self);
}

static void
watch (RhytonArtworkFile *self,
       const char        *path)
{
  if (g_strcmp0 (path, self->path) == 0)
    return;
  g_clear_handle_id (&self->quiet, g_source_remove);
  if (self->monitor != NULL)
    g_signal_handlers_disconnect_by_data (self->monitor, self);
  g_clear_object (&self->monitor);
  char *copy = g_strdup (path);
  g_free (self->path);
  self->path = copy;
  if (path == NULL)
    return;
  g_autoptr (GFile) file = g_file_new_for_path (path);
  self->monitor = g_file_monitor_file (file, G_FILE_MONITOR_WATCH_MOVES, NULL, NULL);
  if (self->monitor != NULL)
    g_signal_connect_swapped (self->monitor, "changed", G_CALLBACK (on_file_event), self);
}

/* ---- what the document says ---- */

static char *
dup_path (RhytonArtworkFile *self)
{
  const char *file = rhyton_document_get_artwork (self->document)->file;
  return file != NULL && *file != '\0' ? rhy_job_resolve (rhyton_document_get_job (self->document), file) : NULL;
}

/* Something else is done: what was said is over, but for a change that still stands. */
static void
on_job (RhytonArtworkFile *self)
{
  g_autofree char *path = dup_path (self);
  if (g_strcmp0 (path, self->path) != 0 || !self->changed)
    say (self, NULL, FALSE);
  watch (self, path);
}

/* The document reads a file again when it works a job out and the file is another. */
static void
on_plan (RhytonArtworkFile *self)
{
  const char *trouble = rhyton_document_get_trouble (self->document);
  const gboolean is_ours = trouble != NULL && self->path != NULL && strstr (trouble, self->path) != NULL;

  g_free (self->trouble);
  self->trouble = is_ours ? g_strdup (trouble) : NULL;
  if (!is_ours)
    look (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_MESSAGE]);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_CHANGED]);
}

/* ---- a new file ---- */

typedef struct
{
  char *path;
  char *group;          /* of the artwork that is to have it */
  char *note;           /* nullable: what to say once it has */
} Try;

static void
free_try (gpointer data)
{
  Try *try = data;
  g_free (try->path);
  g_free (try->group);
  g_free (try->note);
  g_free (try);
}

static void
unref_source (gpointer source)
{
  rhyton_source_unref (source);
}

/* In a thread. */
static void
try_file (GTask        *task,
          gpointer      object,
          gpointer      data,
          GCancellable *cancellable)
{
  const Try *try = data;
  g_autoptr (GError) error = NULL;
  RhytonSource *source = rhyton_source_read (try->path, cancellable, &error);

  if (source != NULL && rhy_bounds_is_empty (rhy_artwork_get_ink_box (source->artwork)))
    {
      g_clear_pointer (&source, rhyton_source_unref);
      g_set_error_literal (&error, RHY_ERROR, RHY_ERROR_ARTWORK, "there is nothing drawn in it");
    }
  if (source == NULL)
    g_task_return_error (task, g_steal_pointer (&error));
  else
    g_task_return_pointer (task, source, unref_source);
}

static void
select_group (RhytonDocument *document,
              const char     *group)
{
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (document));
  for (gsize i = 0; i < data->n_artworks; i++)
    if (strcmp (data->artworks[i].group, group) == 0)
      rhyton_document_select (document, i);
}

static void
refuse (RhytonArtworkFile *self,
        const char        *path,
        const char        *why)
{
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (self->document);
  g_autofree char *name = g_path_get_basename (path);
  g_autofree char *message = g_strdup_printf ("%s cannot be used: %s. %s", name, why,
                                              artwork->file != NULL || artwork->text != NULL
                                                ? "The artwork that was there stays." : "Choose another file.");
  say (self, message, FALSE);
}

static void
tried (GObject      *object,
       GAsyncResult *result,
       gpointer      data)
{
  RhytonArtworkFile *self = RHYTON_ARTWORK_FILE (object);
  const Try *try = g_task_get_task_data (G_TASK (result));
  g_autoptr (GError) error = NULL;
  g_autoptr (RhytonSource) source = g_task_propagate_pointer (G_TASK (result), &error);

  if (g_task_get_cancellable (G_TASK (result)) != self->trying || self->document == NULL)
    return;
  g_clear_object (&self->trying);
  if (source != NULL)
    {
      select_group (self->document, try->group);
      rhyton_document_take_artwork (self->document, source, &error);
    }
  if (error != NULL)
    refuse (self, try->path, error->message);
  else if (try->note != NULL)
    say (self, try->note, FALSE);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
}

void
rhyton_artwork_file_take (RhytonArtworkFile *self,
                          const char        *path,
                          const char        *note)
{
  g_return_if_fail (RHYTON_IS_ARTWORK_FILE (self) && path != NULL);

  if (self->trying != NULL)
    g_cancellable_cancel (self->trying);
  g_set_object (&self->trying, NULL);
  self->trying = g_cancellable_new ();
  say (self, NULL, FALSE);
  Try *try = g_new (Try, 1);
  *try = (Try) { g_strdup (path), g_strdup (rhyton_document_get_artwork (self->document)->group), g_strdup (note) };
  g_autoptr (GTask) task = g_task_new (self, self->trying, tried, NULL);
  g_task_set_task_data (task, try, free_try);
  g_task_run_in_thread (task, try_file);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
}

void
rhyton_artwork_file_tell (RhytonArtworkFile *self,
                          const char        *message)
{
  g_return_if_fail (RHYTON_IS_ARTWORK_FILE (self));
  say (self, message, FALSE);
}

void
rhyton_artwork_file_reload (RhytonArtworkFile *self)
{
  g_return_if_fail (RHYTON_IS_ARTWORK_FILE (self));
  rhyton_document_work_out (self->document);
}

const char *
rhyton_artwork_file_get_message (RhytonArtworkFile *self)
{
  g_return_val_if_fail (RHYTON_IS_ARTWORK_FILE (self), NULL);
  return self->message != NULL && !(self->changed && self->trouble != NULL) ? self->message : self->trouble;
}

gboolean
rhyton_artwork_file_is_changed (RhytonArtworkFile *self)
{
  g_return_val_if_fail (RHYTON_IS_ARTWORK_FILE (self), FALSE);
  return self->changed || self->trouble != NULL;
}

gboolean
rhyton_artwork_file_is_busy (RhytonArtworkFile *self)
{
  g_return_val_if_fail (RHYTON_IS_ARTWORK_FILE (self), FALSE);
  return self->trying != NULL;
}

/* ---- the class ---- */

RhytonArtworkFile *
rhyton_artwork_file_new (RhytonDocument *document)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (document), NULL);

  RhytonArtworkFile *self = g_object_new (RHYTON_TYPE_ARTWORK_FILE, NULL);
  g_set_weak_pointer (&self->document, document);
  g_signal_connect_object (document, "notify::job", G_CALLBACK (on_job), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "notify::selected", G_CALLBACK (on_job), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "notify::plan", G_CALLBACK (on_plan), self, G_CONNECT_SWAPPED);
  g_signal_connect_object (document, "notify::trouble", G_CALLBACK (on_plan), self, G_CONNECT_SWAPPED);
  on_job (self);
  on_plan (self);
  return self;
}

static void
rhyton_artwork_file_get_property (GObject    *object,
                                  guint       id,
                                  GValue     *value,
                                  GParamSpec *pspec)
{
  RhytonArtworkFile *self = RHYTON_ARTWORK_FILE (object);

  if (id == PROP_MESSAGE)
    g_value_set_string (value, rhyton_artwork_file_get_message (self));
  else if (id == PROP_CHANGED)
    g_value_set_boolean (value, rhyton_artwork_file_is_changed (self));
  else if (id == PROP_BUSY)
    g_value_set_boolean (value, self->trying != NULL);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_artwork_file_dispose (GObject *object)
{
  RhytonArtworkFile *self = RHYTON_ARTWORK_FILE (object);

  g_clear_handle_id (&self->quiet, g_source_remove);
  if (self->trying != NULL)
    g_cancellable_cancel (self->trying);
  g_clear_object (&self->trying);
  if (self->monitor != NULL)
    g_signal_handlers_disconnect_by_data (self->monitor, self);
  g_clear_object (&self->monitor);
  g_clear_weak_pointer (&self->document);
  G_OBJECT_CLASS (rhyton_artwork_file_parent_class)->dispose (object);
}

static void
rhyton_artwork_file_finalize (GObject *object)
{
  RhytonArtworkFile *self = RHYTON_ARTWORK_FILE (object);

  g_free (self->path);
  g_free (self->message);
  g_free (self->trouble);
  G_OBJECT_CLASS (rhyton_artwork_file_parent_class)->finalize (object);
}

static void
rhyton_artwork_file_class_init (RhytonArtworkFileClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  const GParamFlags flags = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS;

  object_class->get_property = rhyton_artwork_file_get_property;
  object_class->dispose = rhyton_artwork_file_dispose;
  object_class->finalize = rhyton_artwork_file_finalize;
  properties[PROP_MESSAGE] = g_param_spec_string ("message", NULL, NULL, NULL, flags);
  properties[PROP_CHANGED] = g_param_spec_boolean ("changed", NULL, NULL, FALSE, flags);
  properties[PROP_BUSY] = g_param_spec_boolean ("busy", NULL, NULL, FALSE, flags);
  g_object_class_install_properties (object_class, N_PROPS, properties);
}

static void
rhyton_artwork_file_init (RhytonArtworkFile *self)
{
}
