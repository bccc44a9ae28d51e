/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <glib.h>

G_BEGIN_DECLS

/**
 * RhytonMeasureKind:
 * @RHYTON_MEASURE_LENGTH: the value is in mm
 * @RHYTON_MEASURE_ANGLE: the value is in degrees
 */
typedef enum
{
  RHYTON_MEASURE_LENGTH,
  RHYTON_MEASURE_ANGLE,
} RhytonMeasureKind;

/**
 * RhytonUnit: what a bare number means, and what is shown.
 */
typedef enum
{
  RHYTON_UNIT_MM,
  RHYTON_UNIT_INCH,
  RHYTON_UNIT_DEGREE,
} RhytonUnit;

/**
 * RhytonMeasureError: the one code of its domain: the text is no measurement.
 */
typedef enum { RHYTON_MEASURE_ERROR_TEXT } RhytonMeasureError;

#define RHYTON_MEASURE_ERROR (rhyton_measure_error_quark ())
GQuark rhyton_measure_error_quark (void);

/**
 * rhyton_measure_parse:
 * @text: what was typed, UTF-8
 * @kind: whether mm or degrees are wanted
 * @bare: the unit of a number that names none
 * @value: (out): mm or degrees; untouched on failure
 *
 * Reads a measurement the way people write them: a point or a comma as decimal
 * sign, whole numbers with a fraction ("3 1/4", "3½"), mm, cm, in, ", deg, °,
 * and sums, differences, products and quotients of those with brackets
 * ("88.9/2", "82,5 + 1/8 in"). A unit belongs to the whole product or quotient
 * before it. Marks between thousands are refused rather than guessed.
 *
 * Returns: %FALSE with one line that says what cannot be read.
 */
gboolean rhyton_measure_parse (const char        *text,
                               RhytonMeasureKind  kind,
                               RhytonUnit         bare,
                               double            *value,
                               GError           **error);

/**
 * rhyton_measure_format:
 * @value: mm or degrees
 * @unit: what to show it in
 *
 * Returns: (transfer full): the number in that unit with the locale's decimal
 *   sign and no needless zeros: to 0.001 mm, 0.0001 in or 0.001°; without the unit.
 */
char *rhyton_measure_format (double value, RhytonUnit unit);

/** rhyton_unit_get_symbol: Returns: "mm", "in" or "°". */
const char *rhyton_unit_get_symbol (RhytonUnit unit);

G_END_DECLS
