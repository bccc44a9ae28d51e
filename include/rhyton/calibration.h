/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyLengthReading:
 * @nominal_mm: how long it was meant to be, > 0
 * @printed_mm: how long it came out, > 0
 * @u_mm: standard uncertainty of @printed_mm, > 0
 *
 * A length around the vessel, read off a test piece.
 */
typedef struct { double nominal_mm, printed_mm, u_mm; } RhyLengthReading;

/**
 * RhyGridReading:
 * @height_mm: height above the base
 * @angle_rad: angle around
 * @nominal_along_mm, @printed_along_mm: distance from the mark along the wall, meant and found
 * @nominal_around_mm, @printed_around_mm: likewise around
 *
 * One crossing (or cell) of a ruler test piece.
 */
typedef struct
{
  double height_mm, angle_rad;
  double nominal_along_mm, printed_along_mm;
  double nominal_around_mm, printed_around_mm;
} RhyGridReading;

/**
 * RhyCauseKind:
 * @RHY_CAUSE_TRAVEL: travel per turn: everything too wide or too narrow by one factor; value: true travel less the one set, mm
 * @RHY_CAUSE_AXIS_SCALE: scale along the axis; value: printed/nominal less 1
 * @RHY_CAUSE_SHEAR: the rotary axis does not lie along the machine's; value: angle, radians
 * @RHY_CAUSE_TAPER: widths change with height: taper misjudged; value: change of printed/nominal per mm of height
 * @RHY_CAUSE_TILT: the tilt is not the one set; value: true tilt less the one set, radians
 */
typedef enum
{
  RHY_CAUSE_TRAVEL,
  RHY_CAUSE_AXIS_SCALE,
  RHY_CAUSE_SHEAR,
  RHY_CAUSE_TAPER,
  RHY_CAUSE_TILT,
  RHY_CAUSE_N_KINDS,
} RhyCauseKind;

/**
 * RhyCause:
 * @testable: whether the readings can tell at all (enough of them, spread out)
 * @supported: whether they say that it is there: F-test of the model with it against
 *   the one without, at the 1 % level
 * @value: the estimate (see #RhyCauseKind)
 * @uncertainty: expanded, about 95 %
 */
typedef struct
{
  gboolean testable;
  gboolean supported;
  double   value;
  double   uncertainty;
} RhyCause;

/**
 * RhyCalibration:
 * @travel_per_turn_mm: what the machine truly moves for one turn
 * @uncertainty_mm: of it, expanded, about 95 % (k = 2, or Student's t for few readings)
 * @causes: by #RhyCauseKind
 * @scatter_mm: standard deviation of the readings about the fit (the stated
 *   uncertainty where there are too few to tell)
 * @middle_height_mm: where the taper's factor is 1
 */
typedef struct
{
  double   travel_per_turn_mm;
  double   uncertainty_mm;
  RhyCause causes[RHY_CAUSE_N_KINDS];
  double   scatter_mm;
  double   middle_height_mm;
} RhyCalibration;

/** rhy_cause_kind_to_string: Returns: a stable word, e.g. "axis-scale". */
RHY_API
const char *rhy_cause_kind_to_string (RhyCauseKind kind);

/**
 * rhy_calibration_from_lengths:
 * @travel_set_mm: travel per turn that the piece was made with, > 0
 * @readings: (array length=n): at least one
 *
 * T_true = T_set nominal/printed; several readings by weighted least squares of
 * printed/nominal.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE if a value is not a number above 0.
 */
RHY_API
gboolean rhy_calibration_from_lengths (double travel_set_mm, const RhyLengthReading *readings, gsize n,
                                       RhyCalibration *result, GError **error);

/**
 * rhy_calibration_from_overrun:
 * @overrun_mm: how far a line of one full turn runs past its start (negative: falls short)
 * @u_overrun_mm: its standard uncertainty
 * @diameter_mm: diameter where it was burnt
 * @u_diameter_mm: its standard uncertainty
 *
 * T_true = T_set/(1 + o/(pi D)); uncertainty to first order (JCGM 100, eq. 10).
 */
RHY_API
gboolean rhy_calibration_from_overrun (double travel_set_mm, double overrun_mm, double u_overrun_mm,
                                       double diameter_mm, double u_diameter_mm,
                                       RhyCalibration *result, GError **error);

/**
 * rhy_calibration_from_grid:
 * @wall: the vessel it was burnt on
 * @tilt_rad: the tilt that was set
 * @readings: (array length=n): at least one
 * @u_mm: standard uncertainty of one reading, > 0
 *
 * Fits around = nominal_around (q + c (height - middle)) + k nominal_along, and
 * along = nominal_along p cos (slope - tilt)/cos (slope - tilt - e), by least squares: q is the travel's
 * factor, c the taper's trend, k the shear, p the scale along, e the tilt's error.
 * A cause that the readings cannot tell from another is left out and said not to
 * be testable.
 */
RHY_API
gboolean rhy_calibration_from_grid (RhyWall *wall, double tilt_rad, double travel_set_mm,
                                    const RhyGridReading *readings, gsize n, double u_mm,
                                    RhyCalibration *result, GError **error);

/**
 * rhy_calibration_combine:
 * @travels_mm: (array length=n): travels per turn learnt before
 * @uncertainties_mm: (array length=n): their expanded uncertainties
 *
 * The weighted mean of several; its uncertainty is enlarged by the Birge ratio
 * where they scatter more than they claim.
 */
RHY_API
void rhy_calibration_combine (const double *travels_mm, const double *uncertainties_mm, gsize n,
                              double *travel_mm, double *uncertainty_mm);

G_END_DECLS
