/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/readings.h>

G_BEGIN_DECLS

/*
 * Uncertainty after JCGM 100:2008, "Guide to the expression of uncertainty in
 * measurement": standard uncertainties go in and come out; twice that (coverage
 * factor k = 2) is what about 19 in 20 stay within.
 */

/** rhy_u_rectangular: anything within +-@half_width is equally likely (JCGM 100, 4.3.7). */
RHY_API
double rhy_u_rectangular (double half_width);
/** rhy_u_triangular: within +-@half_width, the middle the likeliest (JCGM 100, 4.3.9). */
RHY_API
double rhy_u_triangular (double half_width);
/** rhy_u_resolution: read to the nearest @step of a scale (JCGM 100, F.2.2.1). */
RHY_API
double rhy_u_resolution (double step);

/**
 * rhy_u_combine:
 * @c: (array length=n): sensitivity coefficients, dy/dx
 * @u: (array length=n): standard uncertainties of the inputs
 * @correlation: (array length=n*n) (nullable): correlation coefficients, row by row;
 *   %NULL: none
 *
 * Returns: the combined standard uncertainty (JCGM 100, eq. 10 and 13).
 */
RHY_API
double rhy_u_combine (const double *c, const double *u, gsize n, const double *correlation);

/** RhyMeasurand: a quantity worked out from the inputs @x. */
typedef double (*RhyMeasurand) (const double *x, gpointer data);

/**
 * rhy_u_propagate:
 * @f: smooth near @x
 * @x, @u: (array length=n): inputs and their standard uncertainties
 * @correlation: (array length=n*n) (nullable): as rhy_u_combine()
 * @c: (out) (array length=n) (optional): sensitivity coefficients, by extrapolated
 *   differences: to about eleven digits where @f is smooth
 * @y: (out) (optional): the quantity
 *
 * Returns: the combined standard uncertainty of f(x), to first order.
 */
RHY_API
double rhy_u_propagate (RhyMeasurand f, gpointer data, const double *x, const double *u, gsize n,
                        const double *correlation, double *c, double *y);

/**
 * RhyPrint:
 * @anchor_mm: height of the artwork's anchor, where the beam is lined up
 * @low_mm, @high_mm: heights that the ink reaches down and up to
 * @width_mm: the artwork's width at the anchor
 * @tilt_rad: tilt of the work
 * @rollers: whether the work turns on rollers, which drive its surface; else a
 *   chuck, which turns it by angle
 * @contact_mm: rollers: height of the ring they touch
 *
 * What is going to be printed, as far as its size depends on the readings.
 */
typedef struct
{
  double   anchor_mm;
  double   low_mm, high_mm;
  double   width_mm;
  double   tilt_rad;
  gboolean rollers;
  double   contact_mm;
} RhyPrint;

/**
 * RhyPrintUncertainty:
 * @u_width_mm: standard uncertainty of the printed width
 * @u_height_mm: of the printed height, along the wall
 * @u_slope_rad: of the slope at the anchor
 * @u_sector_rad: of the flat pattern's sector angle, 2 pi sin (slope), there
 * @again_kind, @again: the one reading that would be worth taking again: it
 *   contributes most to width and height together
 * @again_share: its share of their variance, 0 to 1
 */
typedef struct
{
  double         u_width_mm;
  double         u_height_mm;
  double         u_slope_rad;
  double         u_sector_rad;
  RhyReadingKind again_kind;
  gsize          again;
  double         again_share;
} RhyPrintUncertainty;

/**
 * rhy_readings_print_uncertainty:
 * @fit: what rhy_readings_fit() found in @readings
 *
 * The drawing is made for the wall that was fitted and printed on the true one.
 * Each reading is moved up and down by its standard uncertainty and the wall
 * fitted again, as the same model (a cylinder as a cone: it may have a taper too
 * small to see); half the difference of the printed sizes is that reading's
 * share (JCGM 100, 5.1.3 note 2), the root of the sum of squares the result.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE, @uncertainty untouched: a height that is
 *   not on the wall, readings that make no wall when moved; with %RHY_ERROR_LIMIT: more
 *   than 100 readings, which are a profile rather.
 */
RHY_API
gboolean rhy_readings_print_uncertainty (const RhyReadings *readings, const RhyFit *fit, const RhyPrint *print,
                                         RhyPrintUncertainty *uncertainty, GError **error);

/**
 * rhy_print_uncertainty_advice:
 *
 * Returns: (transfer full): in one line, e.g. "the diameter at height 150.0 mm makes
 *   82 % of it: take that one again first".
 */
RHY_API
char *rhy_print_uncertainty_advice (const RhyReadings *readings, const RhyPrintUncertainty *uncertainty);

G_END_DECLS
