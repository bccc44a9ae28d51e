/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

#include <rhyton/rhyton.h>

G_BEGIN_DECLS

/**
 * RhytonStamp: by what a file is taken to be the one that was read.
 */
typedef struct
{
  gint64 size;
  gint64 mtime_ns;
} RhytonStamp;

/** rhyton_stamp_of: Returns: %FALSE, @stamp untouched, where there is no such file; @path nullable. */
gboolean rhyton_stamp_of (const char *path, RhytonStamp *stamp);

/**
 * RhytonSource:
 *
 * An artwork file as it came in, and how to tell that the file is still the same. Immutable.
 */
typedef struct
{
  char       *path;
  RhytonStamp stamp;
  RhyArtwork *artwork;
} RhytonSource;

/** rhyton_source_read: Returns: (transfer full): the file, read; in a thread. */
RhytonSource *rhyton_source_read (const char *path, GCancellable *cancellable, GError **error);
RhytonSource *rhyton_source_ref (RhytonSource *self);
void rhyton_source_unref (RhytonSource *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhytonSource, rhyton_source_unref)
/** rhyton_source_is_current: Returns: whether the file is still the one that was read. */
gboolean rhyton_source_is_current (const RhytonSource *self);

/** rhyton_sources_new: Returns: (transfer full): a list of #RhytonSource, of each path one; no change once it is shared. */
GPtrArray *rhyton_sources_new (void);
/** rhyton_sources_with: Returns: (transfer full): the list with @source in the place of what has its path. */
GPtrArray *rhyton_sources_with (const GPtrArray *self, RhytonSource *source);
RhytonSource *rhyton_sources_find (const GPtrArray *self, const char *path);

/**
 * RhytonGathered:
 * @sources: of all files of the job that could be read, each once
 * @artworks: (array): one for each of the job's artworks; %NULL where it has no file
 * @missing: (element-type utf8): groups whose file cannot be read and never was
 * @error: (nullable): why, of the first file that is not what it was
 */
typedef struct
{
  GPtrArray   *sources;
  RhyArtwork **artworks;
  GPtrArray   *missing;
  GError      *error;
} RhytonGathered;

/**
 * rhyton_sources_gather:
 * @known: what was read before: not read again where the file is the same, and still better than nothing
 *   where it cannot be read any more
 *
 * In a thread.
 */
RhytonGathered *rhyton_sources_gather (const GPtrArray *known, const RhyJob *job, GCancellable *cancellable);
void rhyton_gathered_free (RhytonGathered *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhytonGathered, rhyton_gathered_free)

G_END_DECLS
