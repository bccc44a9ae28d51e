/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/** RHY_INTAKE_BYTES_MAX: the largest file that is read, before and after unpacking. */
#define RHY_INTAKE_BYTES_MAX (64u << 20)

/** RHY_INTAKE_POINTS_MAX: that a drawing's outlines may have together, symbols and cells of patterns each time they are used. */
#define RHY_INTAKE_POINTS_MAX 40000000u

/** RHY_INTAKE_PATIENCE: how many times the processor time may pass by the clock. */
#define RHY_INTAKE_PATIENCE 6.0

/**
 * RhyIntakeOptions:
 * @seconds: processor time allowed, > 0 (default 10); by the clock %RHY_INTAKE_PATIENCE times as much, so
 *   that a busy machine refuses nothing
 * @memory_mb: address space allowed, MiB (default 1024)
 * @layer: (nullable): read only the element of this id (with what is in it)
 * @points: that outlines may have together, 0: %RHY_INTAKE_POINTS_MAX
 * @program: (nullable): the intake program; %NULL: beside the build, then the
 *   installed one, or $RHYTON_INTAKE
 */
typedef struct
{
  double      seconds;
  guint       memory_mb;
  guint       points;
  const char *layer;
  const char *program;
} RhyIntakeOptions;

#define RHY_INTAKE_OPTIONS_INIT { .seconds = 10.0, .memory_mb = 1024, .layer = NULL, .program = NULL }

/**
 * rhy_intake_file:
 * @path: a file, SVG, SVGZ, PNG or JPEG
 * @options: (nullable): %NULL for the defaults
 * @cancellable: (nullable): ends the child within 100 ms
 *
 * Reads artwork in a process of its own, under limits: bytes go in by a pipe,
 * outlines come back. When the child dies, the error says so in one line.
 *
 * Returns: (transfer full): the artwork at the size the file states, ink box not
 *   yet moved: (0, 0) is the page's lower left corner. A picture is one shape filled with it,
 *   of the size that it states or at 96 pixels an inch. What has no outline is drawn in at
 *   most 600 dots an inch of the size stated. On failure %RHY_ERROR_ARTWORK,
 *   %RHY_ERROR_LIMIT or a %G_IO_ERROR, message without the file's name.
 */
RHY_API
RhyArtwork *rhy_intake_file (const char *path, const RhyIntakeOptions *options,
                             GCancellable *cancellable, GError **error);

/** rhy_intake_bytes: as rhy_intake_file(), from memory. */
RHY_API
RhyArtwork *rhy_intake_bytes (GBytes *bytes, const RhyIntakeOptions *options,
                              GCancellable *cancellable, GError **error);

/**
 * rhy_intake_get_ready:
 *
 * Starts the program that reads artwork, so that the next rhy_intake_bytes() or rhy_intake_file() with
 * default limits and no layer finds it started: half of its time goes into that. For a program that
 * is about to read, since its limit by the clock runs from here. Nothing is said where it fails.
 */
RHY_API
void rhy_intake_get_ready (void);

/**
 * rhy_intake_picture:
 * @path: a PNG or JPEG file
 *
 * The pixels of a picture, turned as its camera was held, read as rhy_intake_file() does.
 *
 * Returns: (transfer full): %NULL with an error as rhy_intake_file(), or %RHY_ERROR_ARTWORK for
 *   what is a drawing.
 */
RHY_API
RhyRaster *rhy_intake_picture (const char *path, const RhyIntakeOptions *options,
                               GCancellable *cancellable, GError **error);

G_END_DECLS
