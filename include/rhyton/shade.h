/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/paint.h>

G_BEGIN_DECLS

/** RHY_SHADES_MAX: more steps than a beam's power tells apart on one material. Common practice, no source. */
#define RHY_SHADES_MAX 16

/**
 * rhy_colour_over:
 *
 * Returns: what is seen of @above over @under, blended in coded values as SVG renderers do
 *   (W3C Compositing and Blending Level 1, section 5.1)
 */
RHY_API
RhyColour rhy_colour_over (RhyColour above, RhyColour under);

/**
 * rhy_colour_lightness:
 *
 * Returns: CIE 1976 L* of @colour over white, 0 black to 100 white, of the luminance
 *   Y = 0.2126 R + 0.7152 G + 0.0722 B of its linear values. Sources: IEC 61966-2-1; CIE 15:2004, 8.2.1.
 *   Equal steps of it look equal, which those of luminance do not: half of all luminances
 *   would be lighter than a grey of 76.
 */
RHY_API
double rhy_colour_lightness (RhyColour colour);

/**
 * rhy_colour_shade:
 * @n: how many shades there are, 1 to %RHY_SHADES_MAX
 *
 * Returns: the nearest of the lightnesses 100 (1 - k / n): k from 0, bare, to @n, black
 */
RHY_API
guint rhy_colour_shade (RhyColour colour, guint n);

/** rhy_shade_colour: Returns: the grey of shade @k of @n: of lightness 100 (1 - k / n). */
RHY_API
RhyColour rhy_shade_colour (guint k, guint n);

G_END_DECLS
