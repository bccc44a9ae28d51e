/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>

G_BEGIN_DECLS

/**
 * RhyVesselEntry:
 * @name: short name, as a command line takes it
 * @title: what it is called
 * @kind: e.g. "glass", "mug", "bottle"
 * @source: where the sizes come from, in words
 * @note: (nullable): anything to mind
 * @published: whether the sizes are a published standard's or specification's;
 *   else they are typical, and yours is to be measured
 * @own: whether it comes from the user's folder
 * @job: its sizes and zones, as a job file without artwork
 *
 * A blank by shape and size. All borrowed from the catalogue.
 */
typedef struct
{
  const char *name;
  const char *title;
  const char *kind;
  const char *source;
  const char *note;
  gboolean    published;
  gboolean    own;
  RhyJob     *job;
} RhyVesselEntry;

/**
 * RhyVessels:
 *
 * The catalogue of blanks: those that come with the library, and the user's own.
 * A vessel is a file NAME.vessel with the groups [Vessel] and [Zone ...] of a job
 * file and a group [Catalogue] with Kind=, Standing=published|typical, Source= and
 * Note=. Opaque, reference counted, immutable.
 */
typedef struct _RhyVessels RhyVessels;

/**
 * rhy_vessels_new:
 * @folder: (nullable): the user's own vessels; %NULL: rhyton/vessels in the user's
 *   data folder ($XDG_DATA_HOME). It need not exist. An own vessel replaces one of
 *   the same name.
 * @problems: (out) (optional) (transfer full): a line about each own file that cannot
 *   be used; the rest of the catalogue is there all the same
 */
RHY_API
RhyVessels *rhy_vessels_new (const char *folder, char ***problems);
RHY_API
RhyVessels *rhy_vessels_ref (RhyVessels *self);
RHY_API
void rhy_vessels_unref (RhyVessels *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyVessels, rhy_vessels_unref)

RHY_API
gsize rhy_vessels_get_n (const RhyVessels *self);
/** rhy_vessels_get: Returns: the entry; entries are in order of their names. */
RHY_API
const RhyVesselEntry *rhy_vessels_get (const RhyVessels *self, gsize i);

/**
 * rhy_vessels_find:
 *
 * Returns: the entry, or %NULL with %RHY_ERROR_JOB, which names those that begin alike.
 */
RHY_API
const RhyVesselEntry *rhy_vessels_find (const RhyVessels *self, const char *name, GError **error);

/** rhy_vessels_to_text: Returns: (transfer full): a table for a terminal. */
RHY_API
char *rhy_vessels_to_text (const RhyVessels *self);
/** rhy_vessels_to_json: Returns: (transfer full): one document, sorted keys, ending with a newline. */
RHY_API
char *rhy_vessels_to_json (const RhyVessels *self);

G_END_DECLS
