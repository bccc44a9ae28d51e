/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-sources.h"

#include <string.h>
#include <sys/stat.h>

#include <rhyton/intake.h>

gboolean
rhyton_stamp_of (const char  *path,
                 RhytonStamp *stamp)
{
  struct stat st;
  if (path == NULL || stat (path, &st) != 0)
    return FALSE;
  *stamp = (RhytonStamp) { st.st_size, (gint64) st.st_mtim.tv_sec * 1000000000 + st.st_mtim.tv_nsec };
  return TRUE;
}

static void
clear_source (gpointer data)
{
  RhytonSource *source = data;
  g_free (source->path);
  rhy_artwork_unref (source->artwork);
}

RhytonSource *
rhyton_source_ref (RhytonSource *self)
{
  return g_atomic_rc_box_acquire (self);
}

void
rhyton_source_unref (RhytonSource *self)
{
  g_atomic_rc_box_release_full (self, clear_source);
}

/* @stamp: from before it was read: what is written meanwhile is read again.
 * @artwork: (transfer full) (nullable): then the source is, too */
static RhytonSource *
new_source (const char  *path,
            RhytonStamp  stamp,
            RhyArtwork  *artwork)
{
  if (artwork == NULL)
    return NULL;
  RhytonSource *source = g_atomic_rc_box_new0 (RhytonSource);
  *source = (RhytonSource) { g_strdup (path), stamp, artwork };
  return source;
}

RhytonSource *
rhyton_source_read (const char    *path,
                    GCancellable  *cancellable,
                    GError       **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  RhytonStamp stamp = { -1, -1 };
  rhyton_stamp_of (path, &stamp);
  return new_source (path, stamp, rhy_intake_file (path, NULL, cancellable, error));
}

gboolean
rhyton_source_is_current (const RhytonSource *self)
{
  g_return_val_if_fail (self != NULL, FALSE);

  RhytonStamp now;
  return rhyton_stamp_of (self->path, &now) && now.size == self->stamp.size && now.mtime_ns == self->stamp.mtime_ns;
}

static void
unref_source (gpointer source)
{
  rhyton_source_unref (source);
}

GPtrArray *
rhyton_sources_new (void)
{
  return g_ptr_array_new_with_free_func (unref_source);
}

RhytonSource *
rhyton_sources_find (const GPtrArray *self,
                     const char      *path)
{
  g_return_val_if_fail (self != NULL && path != NULL, NULL);

  for (guint i = 0; i < self->len; i++)
    {
      RhytonSource *source = self->pdata[i];
      if (strcmp (source->path, path) == 0)
        return source;
    }
  return NULL;
}

GPtrArray *
rhyton_sources_with (const GPtrArray *self,
                     RhytonSource    *source)
{
  g_return_val_if_fail (self != NULL && source != NULL, NULL);

  GPtrArray *all = rhyton_sources_new ();
  g_ptr_array_add (all, rhyton_source_ref (source));
  for (guint i = 0; i < self->len; i++)
    if (strcmp (((RhytonSource *) self->pdata[i])->path, source->path) != 0)
      g_ptr_array_add (all, rhyton_source_ref (self->pdata[i]));
  return all;
}

/* The known source if it is still what the file holds; else the file, read. Dragging a heavy
 * drawing must never read it again. */
static RhytonSource *
source_of (const GPtrArray *known,
           const RhyJob    *job,
           gsize            i,
           const char      *path,
           GCancellable    *cancellable,
           GError         **error)
{
  RhytonSource *before = rhyton_sources_find (known, path);
  if (before != NULL && rhyton_source_is_current (before))
    return rhyton_source_ref (before);
  RhytonStamp stamp = { -1, -1 };
  rhyton_stamp_of (path, &stamp);
  return new_source (path, stamp, rhy_job_load_artwork (job, i, cancellable, error));
}

static void
gather_one (RhytonGathered  *self,
            const GPtrArray *known,
            const RhyJob    *job,
            gsize            i,
            GCancellable    *cancellable)
{
  const RhyJobArtwork *group = &rhy_job_get_data (job)->artworks[i];
  if (group->text != NULL || group->file == NULL || *group->file == '\0')
    return;
  g_autofree char *path = rhy_job_resolve (job, group->file);
  RhytonSource *source = rhyton_sources_find (self->sources, path);
  if (source == NULL)
    {
      GError *why = NULL;
      RhytonSource *before = rhyton_sources_find (known, path);
      source = source_of (known, job, i, path, cancellable, &why);
      if (source == NULL && before != NULL && !g_cancellable_is_cancelled (cancellable))
        source = rhyton_source_ref (before);
      if (why != NULL && self->error == NULL)
        self->error = g_steal_pointer (&why);
      g_clear_error (&why);
      if (source == NULL)
        {
          g_ptr_array_add (self->missing, g_strdup (group->group));
          return;
        }
      g_ptr_array_add (self->sources, source);
    }
  self->artworks[i] = source->artwork;
}

RhytonGathered *
rhyton_sources_gather (const GPtrArray *known,
                       const RhyJob    *job,
                       GCancellable    *cancellable)
{
  g_return_val_if_fail (known != NULL && job != NULL, NULL);

  RhytonGathered *self = g_new0 (RhytonGathered, 1);
  self->sources = rhyton_sources_new ();
  self->artworks = g_new0 (RhyArtwork *, rhy_job_get_data (job)->n_artworks);
  self->missing = g_ptr_array_new_with_free_func (g_free);
  for (gsize i = 0; i < rhy_job_get_data (job)->n_artworks; i++)
    gather_one (self, known, job, i, cancellable);
  return self;
}

void
rhyton_gathered_free (RhytonGathered *self)
{
  g_return_if_fail (self != NULL);

  g_ptr_array_unref (self->sources);
  g_free (self->artworks);
  g_ptr_array_unref (self->missing);
  g_clear_error (&self->error);
  g_free (self);
}
