/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RHY_PROFILE_MAX_ROWS, RHY_PROFILE_MAX_PIECES:
 *
 * More rows than any scan of one side needs; more pieces than a vessel has
 * features. Beyond them a file is taken for something else.
 */
#define RHY_PROFILE_MAX_ROWS 200000
#define RHY_PROFILE_MAX_PIECES 48

/**
 * RhyProfileReport:
 * @n_rows: rows read
 * @n_pieces: straight pieces and arcs that it took
 * @noise_mm: standard deviation of a row's diameter about its neighbours'
 * @rms_mm: root mean square of a row's distance from the wall, as a diameter
 * @worst_mm: the greatest, signed: row less wall
 * @worst_height_mm: where that is
 */
typedef struct
{
  gsize  n_rows;
  gsize  n_pieces;
  double noise_mm;
  double rms_mm;
  double worst_mm;
  double worst_height_mm;
} RhyProfileReport;

/**
 * rhy_profile_read:
 * @path: a text file: height and diameter in mm, two numbers a line
 * @heights_mm, @diameters_mm: (out) (transfer full) (array length=n): by increasing height
 *
 * Numbers are parted by blanks, a tab, a comma or a semicolon (with a tab or
 * semicolon, a comma is a decimal sign); lines that are empty or start with #
 * are skipped, and so is one line of headings. Rows may come from the rim down or
 * a little out of order; rows at one height are averaged.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE naming the line, %RHY_ERROR_LIMIT, or the
 *   error of reading the file.
 */
RHY_API
gboolean rhy_profile_read (const char *path, double **heights_mm, double **diameters_mm, gsize *n, GError **error);

/**
 * rhy_wall_new_profile:
 * @heights_mm: (array length=n): strictly increasing
 * @diameters_mm: (array length=n): > 0, with noise
 * @n: at least 2
 * @tolerance_mm: how far the wall's diameter may stray from the rows once their
 *   noise is averaged out, > 0
 * @report: (out) (optional)
 *
 * Least squares by a chain of straight pieces and arcs without a kink, whose
 * joins are free to move, with as few pieces as keep the tolerance; one straight
 * piece if that does. Single rows far off both neighbours are left out of the
 * fit, not of the report. With up to eight rows, rhy_wall_new_smooth() through them.
 *
 * Returns: (transfer full): a wall from the lowest to the highest row, or %NULL with
 *   %RHY_ERROR_PROFILE (values that make no wall, rows that scatter too much) or
 *   %RHY_ERROR_NO_CONVERGENCE (more than %RHY_PROFILE_MAX_PIECES needed).
 */
RHY_API
RhyWall *rhy_wall_new_profile (const double *heights_mm, const double *diameters_mm, gsize n,
                               double tolerance_mm, RhyProfileReport *report, GError **error);

/** rhy_wall_new_profile_file: rhy_profile_read() and rhy_wall_new_profile(); messages name @path. */
RHY_API
RhyWall *rhy_wall_new_profile_file (const char *path, double tolerance_mm, RhyProfileReport *report, GError **error);

G_END_DECLS
