/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/error.h>

G_BEGIN_DECLS

/* Exact by definition. Source: NIST Handbook 44, Appendix C. */
#define RHY_MM_PER_INCH 25.4
#define RHY_ML_PER_CUBIC_INCH 16.387064
/* 231 cubic inches a US gallon, 128 fluid ounces a gallon. */
#define RHY_ML_PER_US_FLUID_OUNCE 29.5735295625
/* 4.54609 litres an imperial gallon, 160 fluid ounces a gallon. */
#define RHY_ML_PER_IMPERIAL_FLUID_OUNCE 28.4130625
#define RHY_G_PER_OUNCE 28.349523125

#define RHY_MM3_PER_ML 1000.0

/**
 * rhy_can_code_parse:
 * @code: a can size such as "211x413"
 * @diameter_mm: (out): nominal diameter over the seams
 * @height_mm: (out): nominal height over the seams
 *
 * The trade's code for cans: each figure is whole inches and two digits of
 * sixteenths, so 211 is 2 11/16 in. It names the size over the double seams: the
 * body that artwork goes on is narrower (a 211 beverage can's is 2.602 in, 3 %
 * less than 2 11/16): measure it.
 *
 * Returns: %FALSE with %RHY_ERROR_PROFILE, outputs untouched, for other text.
 */
RHY_API
gboolean rhy_can_code_parse (const char *code, double *diameter_mm, double *height_mm, GError **error);

/* More than any vessel that a rotary axis takes: a figure beyond it is a slip. */
#define RHY_VOLUME_LIMIT_ML 1e6

/**
 * rhy_volume_parse:
 * @text: a number, a point for decimals, and "ml" (or nothing), "US fl oz" or "imperial fl oz"
 * @ml: (out): more than 0, at most %RHY_VOLUME_LIMIT_ML figures of the unit
 *
 * Returns: %FALSE, @ml untouched, for other text.
 */
RHY_API
gboolean rhy_volume_parse (const char *text, double *ml);

G_END_DECLS
