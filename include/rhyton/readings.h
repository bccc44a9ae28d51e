/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RHY_CALIPER_U_MM, RHY_TAPE_U_MM, RHY_HEIGHT_U_MM:
 *
 * Standard uncertainties assumed where none is told: a diameter by caliper, a
 * length or circumference by tape, the height of a station. Common practice,
 * no source: they are meant to be replaced by one's own.
 */
#define RHY_CALIPER_U_MM 0.05
#define RHY_TAPE_U_MM 0.5
#define RHY_HEIGHT_U_MM 0.5

/**
 * RhyWallForm:
 * @RHY_WALL_AUTO: the simplest wall that explains the readings within their uncertainty
 * @RHY_WALL_STRAIGHT: one cylinder or cone
 * @RHY_WALL_STEPPED: straight from station to station
 * @RHY_WALL_SMOOTH: curved through the stations
 */
typedef enum
{
  RHY_WALL_AUTO,
  RHY_WALL_STRAIGHT,
  RHY_WALL_STEPPED,
  RHY_WALL_SMOOTH,
} RhyWallForm;

/**
 * RhySlant:
 * @low: index of the lower station
 * @high: index of the upper station
 * @length_mm: length between them along the wall, by tape, > 0
 * @u_mm: its standard uncertainty, > 0; 0: %RHY_TAPE_U_MM
 */
typedef struct
{
  gsize  low, high;
  double length_mm;
  double u_mm;
} RhySlant;

/**
 * RhyReadings:
 * @n: number of stations, at least 2
 * @heights_mm: (array length=n): their heights above the base, strictly increasing
 * @diameters_mm: (array length=n): outside diameters there, > 0
 * @u_height_mm: standard uncertainty of a height, >= 0
 * @u_diameter_mm: standard uncertainty of a diameter, >= 0 (a circumference over
 *   pi is a diameter, with the tape's uncertainty over pi)
 * @u_diameters_mm: (array length=n) (nullable): one for each diameter instead
 * @circumferences_mm: (array length=n) (nullable): the tape's readings at the same
 *   stations as the caliper's, NAN where there is none: they are compared, and
 *   the weighted mean is used
 * @u_circumference_mm: standard uncertainty of a circumference; 0: %RHY_TAPE_U_MM
 * @slants: (array length=n_slants) (nullable): lengths along the wall
 * @n_slants: how many
 * @overall_height_mm: height of the highest station measured on its own, as over
 *   the whole vessel where that is the rim; 0: not measured
 * @u_overall_height_mm: its standard uncertainty; 0: @u_height_mm
 *
 * What was measured. Everything from @u_diameters_mm on may be left zero.
 */
typedef struct
{
  gsize           n;
  const double   *heights_mm;
  const double   *diameters_mm;
  double          u_height_mm;
  double          u_diameter_mm;

  const double   *u_diameters_mm;
  const double   *circumferences_mm;
  double          u_circumference_mm;
  const RhySlant *slants;
  gsize           n_slants;
  double          overall_height_mm;
  double          u_overall_height_mm;
} RhyReadings;

/**
 * RhyFitModel:
 *
 * What the readings were found to be. %RHY_FIT_STEPPED and %RHY_FIT_SMOOTH go
 * through every station and explain anything.
 */
typedef enum
{
  RHY_FIT_CYLINDER,
  RHY_FIT_CONE,
  RHY_FIT_TWO_CONES,
  RHY_FIT_STEPPED,
  RHY_FIT_SMOOTH,
} RhyFitModel;

/**
 * RhyDoubt:
 * @RHY_DOUBT_NONE: nothing
 * @RHY_DOUBT_INCHES: would fit if the figure were inches
 * @RHY_DOUBT_CENTIMETRES: would fit if it were centimetres
 * @RHY_DOUBT_CIRCUMFERENCE: would fit if it were a circumference
 * @RHY_DOUBT_RADIUS: would fit if it were a radius
 * @RHY_DOUBT_ALL_SMALL: all figures are those of a thimble: inches or centimetres?
 * @RHY_DOUBT_HEIGHTS: the heights are very small beside the diameters: inches?
 */
typedef enum
{
  RHY_DOUBT_NONE,
  RHY_DOUBT_INCHES,
  RHY_DOUBT_CENTIMETRES,
  RHY_DOUBT_CIRCUMFERENCE,
  RHY_DOUBT_RADIUS,
  RHY_DOUBT_ALL_SMALL,
  RHY_DOUBT_HEIGHTS,
} RhyDoubt;

/**
 * RhyReadingKind:
 *
 * Which of a station's readings, or which other one (a slant length by its
 * index; the overall height has index 0).
 */
typedef enum
{
  RHY_READING_DIAMETER,
  RHY_READING_HEIGHT,
  RHY_READING_CIRCUMFERENCE,
  RHY_READING_SLANT,
  RHY_READING_OVERALL_HEIGHT,
} RhyReadingKind;

/**
 * RhyFit:
 * @wall: (transfer full): the wall; release it with rhy_wall_unref()
 * @worst: index of the reading that fits worst
 * @worst_mm: how far it is off the wall, mm (signed: reading less wall)
 * @agrees: whether the wall explains the readings within their uncertainty
 * @slope_u_rad: standard uncertainty of a single cylinder's or cone's slope; NAN
 *   for other walls
 * @model: what was found
 * @chi_square: sum of squared residuals, each over its own standard uncertainty
 * @n_free: degrees of freedom: readings less what was fitted
 * @worst_kind: what kind of reading @worst is: a diameter, or one of two that
 *   ought to be equal (a circumference against the caliper, a slant length or
 *   the overall height against the wall)
 * @worst_allowed_mm: how far it may be off: its expanded uncertainty, k = 2
 * @doubt: a likely reason
 *
 * @agrees says: chi-square is at most its 95 % quantile for @n_free degrees of
 * freedom; each pair of readings of the same thing agrees within k = 2; no
 * single reading of a station between others contradicts a straight wall that
 * explains all the rest; there is no @doubt (a doubt about one reading is raised
 * for %RHY_WALL_AUTO and %RHY_WALL_STRAIGHT only).
 */
typedef struct
{
  RhyWall       *wall;
  gsize          worst;
  double         worst_mm;
  gboolean       agrees;
  double         slope_u_rad;
  RhyFitModel    model;
  double         chi_square;
  gsize          n_free;
  RhyReadingKind worst_kind;
  double         worst_allowed_mm;
  RhyDoubt       doubt;
} RhyFit;

/**
 * rhy_readings_fit:
 * @form: the wall wanted
 * @fit: (out): the wall and how well it fits
 *
 * The wall that the readings describe, from the lowest to the highest station.
 * Two stations are met exactly. More: weighted least squares in which diameters
 * and heights both carry their uncertainty. %RHY_WALL_AUTO takes the first of
 * cylinder, cone, two cones (breaking anywhere between stations; from five
 * readings on) whose chi-square is at most its 95 % quantile, else the smooth
 * wall through all. If one reading between others contradicts a cylinder, cone
 * or two cones that explain all the others, that wall is taken and the reading
 * named: ask for %RHY_WALL_SMOOTH to take it as it is.
 *
 * Slant lengths and the overall height move the heights of the stations they
 * join within their uncertainty (the lowest stays).
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE, @fit untouched: fewer than 2 stations, a
 *   value that is not a number, a diameter <= 0, heights that do not increase, a
 *   wall that closes to a point. With %RHY_ERROR_LIMIT: slants or an overall height
 *   with more than 64 stations.
 */
RHY_API
gboolean rhy_readings_fit (const RhyReadings *readings, RhyWallForm form, RhyFit *fit, GError **error);

/**
 * rhy_readings_fit_straight:
 *
 * rhy_readings_fit() for %RHY_WALL_STRAIGHT: one cylinder or cone.
 */
RHY_API
gboolean rhy_readings_fit_straight (const RhyReadings *readings, RhyFit *fit, GError **error);

/**
 * rhy_readings_describe:
 *
 * Returns: (transfer full): what was found, in one line, e.g. "one cone, slope 4.91
 *   degrees, explains 5 readings (chi-square 2.1 on 3, 95 % limit 7.8)".
 */
RHY_API
char *rhy_readings_describe (const RhyReadings *readings, const RhyFit *fit);

/**
 * rhy_readings_disagreement:
 *
 * Returns: (transfer full) (nullable): which reading does not fit, by how much, and
 *   what to do, in sentences on one line; %NULL where they agree.
 */
RHY_API
char *rhy_readings_disagreement (const RhyReadings *readings, const RhyFit *fit);

/**
 * rhy_chi_square_limit:
 * @n_free: degrees of freedom, at least 1
 * @probability: 0 < probability < 1
 *
 * Returns: the quantile of the chi-square distribution.
 */
RHY_API
double rhy_chi_square_limit (gsize n_free, double probability);

G_END_DECLS
