/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>
#include <rhyton/readings.h>

/* What was measured, borrowed from the job; @slant holds the one slant length, if there is one. */
RhyReadings rhy_job_readings (const RhyJob *job, RhySlant *slant);

struct _RhyJob
{
  GKeyFile     *file;
  char         *path;
  GStringChunk *strings;
  double       *heights;
  double       *diameters;
  double       *tapes;          /* beside diameters by caliper */
  RhyZone      *zones;
  RhyJobArtwork *artworks;
  char        **unknown;
  RhyJobData    data;
};

/* From self->file, which was read from @text (nullable: an edit) into the rest of the job; in job-keys.c. */
gboolean rhy_job_read (RhyJob *self, const char *text, GError **error);

/* "Artwork", "Artwork NAME". */
gboolean rhy_job_is_artwork (const char *group);

/* A file that is not there is most often one that was moved: add to the message who asks for it. */
void rhy_job_say_who_names (const RhyJob *self, const char *group, const char *key, GError **error);
