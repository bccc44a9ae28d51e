/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/artwork.h>
#include <rhyton/drive.h>
#include <rhyton/error.h>
#include <rhyton/holding.h>
#include <rhyton/lay.h>
#include <rhyton/readings.h>
#include <rhyton/zone.h>

G_BEGIN_DECLS

typedef enum { RHY_STROKES_OUTLINE, RHY_STROKES_CENTRELINE } RhyStrokes;
/** RhyInk: every shape as drawn, or what is seen of them in one colour or in shades (rhy_artwork_resolved()). */
typedef enum { RHY_INK_DRAWN, RHY_INK_SEEN, RHY_INK_SHADES } RhyInk;
/** RhyShades: what pictures are drawn in: greys, black dots as dense as they are dark, or their own colours. */
typedef enum { RHY_SHADES_GREY, RHY_SHADES_DOTS, RHY_SHADES_COLOUR } RhyShades;
typedef enum { RHY_DRIVE_CHUCK, RHY_DRIVE_ROLLERS, RHY_DRIVE_PINS } RhyDriveKind;
typedef enum { RHY_END_BASE, RHY_END_MOUTH } RhyEnd;
typedef enum { RHY_GRIP_OUTSIDE, RHY_GRIP_INSIDE } RhyGrip;
typedef enum { RHY_TILT_AUTO, RHY_TILT_LEVEL, RHY_TILT_SET } RhyTiltMode;
typedef enum { RHY_PAGE_INK, RHY_PAGE_TURN } RhyPage;

/** RHY_JOB_ARTWORKS_MAX: more artworks than this in one job are refused. */
#define RHY_JOB_ARTWORKS_MAX 64

/**
 * RhyJobArtwork:
 *
 * One group [Artwork] or [Artwork NAME].
 */
typedef struct
{
  const char *group;                      /* as in the file, for rhy_job_with(); "Artwork" where there is none */
  const char *name;                       /* of [Artwork NAME]; NULL for plain [Artwork] */
  const char *file;                       /* as written in the file */
  const char *text;                       /* a line of lettering instead of a file */
  const char *font;                       /* family and style words; NULL: serif */
  double      font_size_mm;               /* of lettering: its em; 0: by width, height or span */
  double      span_rad;                   /* width as an angle of the vessel at the anchor; 0: by width or height */
  double      width_mm;                   /* 0: by height */
  double      height_mm;                  /* 0: by width */
  double      width_max_mm;               /* wider ink is shrunk to it; 0: no limit */
  double      shrink_min;                 /* how small it may get by that, 1: not at all; default 0.7 */
  RhyLayKind  lay;                        /* default rolled */
  double      at_mm;                      /* height of the anchor; NAN: middle of the wall */
  double      around_rad;
  double      turn_rad;
  double      eye_distance_mm;            /* default 600; 0 parallel */
  double      eye_height_mm;              /* NAN: level with the anchor */
  RhyStrokes  strokes;
  RhyInk      ink;
  guint       ink_shades;                 /* for ink in shades: how many, default 4 */
  RhyShades   shades;                     /* default grey */
  guint       repeat;                     /* default 1 */
  gboolean    trace;                      /* pictures and gradients as outlines; default FALSE */
  double      trace_threshold;            /* 0 to 1, what is darker is ink; default 0.5 */
  double      trace_smoothing;            /* 0 corners to 1 none; default 0.75 */
  double      trace_speck_mm;             /* smallest speck; default 0.2 */
} RhyJobArtwork;

/**
 * RhyJobData:
 *
 * A job file's values: mm, and degrees converted to radians (fields ending in
 * _rad). A field that the file leaves out holds the documented default; where
 * "not given" matters the value is NAN and the comment says so. Strings may be NULL.
 */
typedef struct
{
  struct
  {
    const char *title;
    const char *note;
  } job;

  struct
  {
    const char   *name;
    RhyWallForm   form;
    gsize         n_stations;
    const double *heights_mm;
    const double *diameters_mm;             /* outside diameters; circumferences already over pi */
    gboolean      by_tape;                  /* the file gave Circumferences= */
    double        height_uncertainty_mm;    /* default 0.5 */
    double        diameter_uncertainty_mm;  /* default 0.05 by caliper, 0.5/pi by tape */
    const char   *profile_file;             /* Profile=, as written; NULL if none */
    const double *circumferences_mm;        /* given beside Diameters=, to compare; NAN where none; NULL if none at all */
    double        slant_mm;                 /* Slant=: along the wall from the lowest to the highest station; 0: none */
    double        overall_height_mm;        /* OverallHeight=: of the highest station, measured on its own; 0: none */
    double        capacity_ml;              /* Capacity=: what it is said to hold; 0: not given */
    double        wall_thickness_mm;        /* WallThickness=: default 0 */
    double        floor_mm;                 /* Floor=: height of the inside's floor; NAN: not given */
    double        fill_height_mm;           /* FillHeight=: of the fill line; NAN: the brim */
  } vessel;

  RhyJobArtwork        artwork;             /* the first of them */
  gsize                n_artworks;          /* at least one: an empty one where the file has none */
  const RhyJobArtwork *artworks;            /* all, in the file's order */

  struct
  {
    RhyDriveKind drive;
    RhyEnd       end;
    RhyTiltMode  tilt_mode;
    double       tilt_rad;                  /* RHY_TILT_SET only */
    double       contact_height_mm;         /* NAN: level with the anchor */
    double       reference_diameter_mm;     /* 0: auto */
    RhyGrip      grip;                      /* of a chuck at the mouth; default outside */
    double       sag_rad;                   /* how far a heavy piece droops from its chuck; default 0 */
    double       runout_mm;                 /* wobble, highest to lowest reading; default 0 */
    double       defocus_mm;                /* how far the head is set above its focus on purpose; default 0 */
    RhySupport   support;                   /* of a chuck; default none */
    double       support_height_mm;         /* of the ring on a support roller; NAN: a quarter of the wall from the free end */
  } hold;

  struct
  {
    gboolean    given;                      /* FALSE: the generic machine is assumed */
    const char *file;                       /* as written; NULL: inline */
    double      travel_per_turn_mm;         /* 0: auto */
    RhyAxis     axis;
    RhyMouth    mouth;
    gboolean    turn_reversed;
    /* NAN where not given */
    double      bed_width_mm, bed_height_mm, tilt_min_rad, tilt_max_rad, axis_height_mm,
                working_distance_mm, nozzle_radius_mm, head_half_width_mm, depth_of_focus_mm,
                head_height_mm,             /* nozzle's tip to the underside of the body */
                nozzle_top_mm,              /* how high over the bed the nozzle's tip can go */
                jaw_depth_mm, jaw_stand_mm, /* how much wall the jaws take, how far they stand out of it */
                chuck_radius_mm,            /* of what is behind the jaws */
                pin_radius_mm, pin_length_mm,       /* pins, and from the work to what holds them */
                tailstock_radius_mm,        /* of what presses against the free end */
                roller_radius_mm, roller_gap_mm;    /* the gap is the clear space between the two */
  } machine;

  struct
  {
    double   tolerance_mm;                  /* default 0.01 */
    double   dots_per_inch;                 /* of pictures in the drawing; default 300 */
    RhyPage  page;                          /* default ink */
    gboolean mark;                          /* default TRUE */
    gboolean free_area;                     /* its outline in the bed drawing; default FALSE */
    guint    bands;                         /* of a line distance each, at most; default 1: as it is */
    double   line_distance_mm;              /* wanted on the wall; default 0.1 */
  } output;

  gsize          n_zones;
  const RhyZone *zones;
} RhyJobData;

/**
 * RhyJob:
 *
 * A job file: its values, and everything else in it, so that saving keeps keys
 * and comments it does not know. Opaque, reference counted, immutable: an edit makes another job.
 */
typedef struct _RhyJob RhyJob;

/**
 * rhy_job_new_from_file:
 *
 * Returns: (transfer full): the job. %RHY_ERROR_JOB names file, group, key, what was
 *   found and what is allowed; %G_IO_ERROR or %G_FILE_ERROR as they come.
 */
RHY_API
RhyJob *rhy_job_new_from_file (const char *path, GError **error);

/**
 * rhy_job_new_from_data:
 * @path: (nullable): where the text belongs: its folder resolves relative names,
 *   and messages name it
 */
RHY_API
RhyJob *rhy_job_new_from_data (const char *text, gssize length, const char *path, GError **error);

RHY_API
RhyJob *rhy_job_ref (RhyJob *self);
RHY_API
void rhy_job_unref (RhyJob *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyJob, rhy_job_unref)

RHY_API
const RhyJobData *rhy_job_get_data (const RhyJob *self);
/** rhy_job_get_path: Returns: (nullable): the file it came from or was saved to. */
RHY_API
const char *rhy_job_get_path (const RhyJob *self);
/**
 * rhy_job_get_unknown_keys:
 *
 * Returns: (array zero-terminated=1): "[Group] Key" of what stands in the groups
 *   of a job file without being a key of one, "FILE: [Machine] Key" of a machine file's,
 *   and "[Group]" of a whole group that is none of ours (X-... is another program's):
 *   kept on save, often a slip of the pen.
 */
RHY_API
const char *const *rhy_job_get_unknown_keys (const RhyJob *self);
/** rhy_job_resolve: Returns: (transfer full): @name as a path, relative names against the job's folder. */
RHY_API
char *rhy_job_resolve (const RhyJob *self, const char *name);
/**
 * rhy_job_is_made_from:
 *
 * Returns: whether @path is the job's own file, or one that it is made from: a drawing
 *   saved there would be the end of it.
 */
RHY_API
gboolean rhy_job_is_made_from (const RhyJob *self, const char *path);
/** rhy_job_to_data: Returns: (transfer full): the job file's text. */
RHY_API
char *rhy_job_to_data (const RhyJob *self, gsize *length);

/**
 * rhy_job_with:
 * @group: e.g. "Artwork"
 * @key: e.g. "Width"
 * @value: (nullable): the job file's text for it; %NULL removes the key
 *
 * Returns: (transfer full): another job with that one key changed, everything
 *   validated; or %NULL, this one untouched.
 */
RHY_API
RhyJob *rhy_job_with (const RhyJob *self, const char *group, const char *key, const char *value, GError **error);

/** rhy_job_with_text: as rhy_job_with(), for titles and file names: @text is escaped as a key file needs. */
RHY_API
RhyJob *rhy_job_with_text (const RhyJob *self, const char *group, const char *key, const char *text, GError **error);

/** rhy_job_with_copy: as rhy_job_with(), another group @copy with all that @group holds (none: an empty one). */
RHY_API
RhyJob *rhy_job_with_copy (const RhyJob *self, const char *group, const char *copy, GError **error);

/** rhy_job_without_group: as rhy_job_with(), without that group. */
RHY_API
RhyJob *rhy_job_without_group (const RhyJob *self, const char *group, GError **error);

/** rhy_job_with_number: as rhy_job_with(), the shortest text that reads back to @value (mm or degrees). */
RHY_API
RhyJob *rhy_job_with_number (const RhyJob *self, const char *group, const char *key, double value, GError **error);

/**
 * rhy_number_to_text:
 * @text: room for G_ASCII_DTOSTR_BUF_SIZE bytes
 *
 * Returns: @text: the shortest decimal text that reads back to @value, decimal
 *   point in every locale.
 */
RHY_API
const char *rhy_number_to_text (char *text, double value);

/**
 * rhy_job_save:
 *
 * Atomic: a temporary file beside it, fsync, rename; a symbolic link is kept and
 * so is the mode. Relative file names are rewritten when the folder changes.
 *
 * Returns: (transfer full): the job as saved (its path is @path); %NULL on failure.
 */
RHY_API
RhyJob *rhy_job_save (const RhyJob *self, const char *path, GError **error);

/** rhy_job_load_artwork: Returns: (transfer full): what artwork @i of the job names, as it came in, not yet sized. */
RHY_API
RhyArtwork *rhy_job_load_artwork (const RhyJob *self, gsize i, GCancellable *cancellable, GError **error);

G_END_DECLS
