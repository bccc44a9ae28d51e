/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/api.h>

G_BEGIN_DECLS

/**
 * RhySpace:
 * @RHY_SPACE_ART: the drawing as drawn; u right, v up, mm; (0, 0) is its anchor
 * @RHY_SPACE_WALL: the vessel's side; s mm along the slant from the base, angle
 *   in radians, counter-clockwise seen from above, 0 at the front
 * @RHY_SPACE_PATTERN: the flat development; x right, y up, mm
 * @RHY_SPACE_BED: what the machine is given; x right, y down, mm; (0, 0) is the mark
 */
typedef enum
{
  RHY_SPACE_ART,
  RHY_SPACE_WALL,
  RHY_SPACE_PATTERN,
  RHY_SPACE_BED,
} RhySpace;

/**
 * RhyArtPoint:
 * @u: to the right, mm
 * @v: up, mm
 */
typedef struct { double u, v; } RhyArtPoint;

/**
 * RhyWallPoint:
 * @s: slant length along the meridian from the lowest station, mm
 * @angle: around, radians, counter-clockwise seen from above
 */
typedef struct { double s, angle; } RhyWallPoint;

/**
 * RhyPatternPoint:
 * @x: to the right, mm
 * @y: up, mm
 */
typedef struct { double x, y; } RhyPatternPoint;

/**
 * RhyBedPoint:
 * @x: to the right, mm
 * @y: down the page, mm
 */
typedef struct { double x, y; } RhyBedPoint;

/**
 * RhyPoint:
 *
 * A point of whichever space a #RhyPath is in: (u, v), (s, angle) or (x, y).
 */
typedef struct { double x, y; } RhyPoint;

/**
 * RhyBounds:
 *
 * A box, mm (in wall space: mm and radians). Empty when min_x > max_x or
 * min_y > max_y.
 */
typedef struct { double min_x, min_y, max_x, max_y; } RhyBounds;

#define RHY_BOUNDS_EMPTY ((RhyBounds) { G_MAXDOUBLE, G_MAXDOUBLE, -G_MAXDOUBLE, -G_MAXDOUBLE })

/**
 * RhyAffine:
 *
 * x' = xx x + xy y + x0, y' = yx x + yy y + y0 (the order of cairo_matrix_t).
 */
typedef struct { double xx, yx, xy, yy, x0, y0; } RhyAffine;

#define RHY_AFFINE_IDENTITY ((RhyAffine) { 1.0, 0.0, 0.0, 1.0, 0.0, 0.0 })

static inline gboolean
rhy_bounds_is_empty (RhyBounds b)
{
  return !(b.min_x <= b.max_x && b.min_y <= b.max_y);
}

static inline RhyBounds
rhy_bounds_with (RhyBounds b, double x, double y)
{
  return (RhyBounds) { MIN (b.min_x, x), MIN (b.min_y, y), MAX (b.max_x, x), MAX (b.max_y, y) };
}

static inline RhyBounds
rhy_bounds_union (RhyBounds a, RhyBounds b)
{
  return (RhyBounds) { MIN (a.min_x, b.min_x), MIN (a.min_y, b.min_y),
                       MAX (a.max_x, b.max_x), MAX (a.max_y, b.max_y) };
}

static inline RhyPoint
rhy_affine_apply (RhyAffine m, RhyPoint p)
{
  return (RhyPoint) { m.xx * p.x + m.xy * p.y + m.x0, m.yx * p.x + m.yy * p.y + m.y0 };
}

/* First @a, then @b. */
static inline RhyAffine
rhy_affine_then (RhyAffine a, RhyAffine b)
{
  return (RhyAffine) { b.xx * a.xx + b.xy * a.yx,
                       b.yx * a.xx + b.yy * a.yx,
                       b.xx * a.xy + b.xy * a.yy,
                       b.yx * a.xy + b.yy * a.yy,
                       b.xx * a.x0 + b.xy * a.y0 + b.x0,
                       b.yx * a.x0 + b.yy * a.y0 + b.y0 };
}

G_END_DECLS
