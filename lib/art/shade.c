/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/shade.h>

#include <math.h>

/* CIE 15:2004, 8.2.1: where the cube root gives way to a straight line. */
#define DARK_Y (216.0 / 24389.0)
#define DARK_SLOPE (24389.0 / 27.0)

/* IEC 61966-2-1, both ways. */
static double
to_linear (double v)
{
  return v <= 0.04045 ? v / 12.92 : pow ((v + 0.055) / 1.055, 2.4);
}

static double
to_coded (double v)
{
  return v <= 0.0031308 ? 12.92 * v : 1.055 * pow (v, 1.0 / 2.4) - 0.055;
}

RhyColour
rhy_colour_over (RhyColour above,
                 RhyColour under)
{
  const double a = above.a + under.a * (1.0 - above.a);
  if (!(a > 0.0))
    return (RhyColour) { 0.0, 0.0, 0.0, 0.0 };
  const double f = above.a / a;
  return (RhyColour) { under.r + f * (above.r - under.r), under.g + f * (above.g - under.g),
                       under.b + f * (above.b - under.b), a };
}

double
rhy_colour_lightness (RhyColour colour)
{
  const RhyColour c = rhy_colour_over (colour, (RhyColour) { 1.0, 1.0, 1.0, 1.0 });
  const double y = 0.2126 * to_linear (c.r) + 0.7152 * to_linear (c.g) + 0.0722 * to_linear (c.b);
  return y > DARK_Y ? 116.0 * cbrt (y) - 16.0 : DARK_SLOPE * y;
}

guint
rhy_colour_shade (RhyColour colour,
                  guint     n)
{
  const double dark = 1.0 - rhy_colour_lightness (colour) / 100.0;
  return (guint) lrint (n * CLAMP (dark, 0.0, 1.0));
}

RhyColour
rhy_shade_colour (guint k,
                  guint n)
{
  const double l = 100.0 * (1.0 - (double) k / n);
  const double y = l > DARK_SLOPE * DARK_Y ? pow ((l + 16.0) / 116.0, 3.0) : l / DARK_SLOPE;
  const double v = CLAMP (to_coded (y), 0.0, 1.0);
  return (RhyColour) { v, v, v, 1.0 };
}
