/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* The tables' profiles as walls. */

#include "csv.h"

#include <rhyton/wall.h>

#define RAD(deg) ((deg) * (G_PI / 180.0))

static inline RhyWall *
wall_or_fail (double z, double r, const RhyWallPiece *pieces, gsize n)
{
  GError *error = NULL;
  RhyWall *wall = rhy_wall_new_pieces (z, r, pieces, n, &error);
  assert_no_error (error);
  return wall;
}

/* One straight piece from its base radius and slope. */
static inline RhyWall *
cone_wall (double r_base, double slope, double length)
{
  return wall_or_fail (0.0, r_base, &(RhyWallPiece) { .length_mm = length, .slope_rad = slope }, 1);
}

/* r = c + sign rho cos p from p0 on: slope -sign p, curvature -sign / rho. A
 * sphere is c = 0, sign = 1 and p the latitude. */
static inline RhyWall *
arc_wall (double c, double rho, double sign, double p0, double length)
{
  return wall_or_fail (0.0, c + sign * rho * cos (p0),
                       &(RhyWallPiece) { .length_mm = length,
                                         .slope_rad = -sign * p0,
                                         .curvature_per_mm = -sign / rho }, 1);
}

static inline RhyWall *
sphere_wall (double R, double lat_base, double length)
{
  return arc_wall (0.0, R, 1.0, lat_base, length);
}

/* A point of a profile with its tangent. */
typedef struct { double r, z, slope; } Station;

/* Two arcs from a to b, tangent to both, their tangents at the join equally far
 * from either end. Source: derived here. The control points Q0 = A + d ta and
 * Q1 = B - d tb must lie 2 d apart with the join midway:
 * |V|^2 - 2 d V.(ta + tb) - 2 d^2 (1 - ta.tb) = 0, V = B - A, for d > 0 in the
 * form that does not cancel. An arc of chord c that starts delta off its chord
 * has length c / sinc (delta) and turns by 2 delta. */
static inline void
append_biarc (GArray *pieces, Station a, Station b)
{
  const double vr = b.r - a.r;
  const double vz = b.z - a.z;
  const double tr = sin (a.slope) + sin (b.slope);
  const double tz = cos (a.slope) + cos (b.slope);
  const double along = vr * tr + vz * tz;
  const double half_turn = sin (0.5 * (b.slope - a.slope));
  const double v2 = vr * vr + vz * vz;
  const double d = v2 / (along + sqrt (along * along + 4.0 * half_turn * half_turn * v2));
  const double jr = 0.5 * (vr + d * (sin (a.slope) - sin (b.slope)));
  const double jz = 0.5 * (vz + d * (cos (a.slope) - cos (b.slope)));
  const double chords[2][2] = { { jr, jz }, { vr - jr, vz - jz } };

  double slope = a.slope;
  for (gsize i = 0; i < 2; i++)
    {
      const double delta = atan2 (chords[i][0], chords[i][1]) - slope;
      const double length = hypot (chords[i][0], chords[i][1]) * (fabs (delta) < 1e-4 ? 1.0 + delta * delta / 6.0 : delta / sin (delta));
      const RhyWallPiece piece = { .length_mm = length, .slope_rad = slope, .curvature_per_mm = 2.0 * delta / length };
      g_array_append_val (pieces, piece);
      slope += 2.0 * delta;
    }
}

/* Geodetic latitude: slope = -lat; a the equatorial radius, b half the axis. */
static inline Station
spheroid_at (double a, double b, double lat)
{
  const double w = hypot (a * cos (lat), b * sin (lat));
  return (Station) { a * a * cos (lat) / w, b * b * sin (lat) / w, -lat };
}

/* A spheroid from @lat0 to @lat1, with @n biarcs at equal steps of latitude: exact
 * in radius, height (0 at @lat0) and slope at the @n + 1 stations. chain_error()
 * bounds it between them. */
static inline RhyWall *
spheroid_wall (double a, double b, double lat0, double lat1, gsize n)
{
  g_autoptr (GArray) pieces = g_array_new (FALSE, FALSE, sizeof (RhyWallPiece));
  const Station base = spheroid_at (a, b, lat0);
  Station from = base;
  for (gsize i = 1; i <= n; i++)
    {
      const Station to = spheroid_at (a, b, lat0 + (lat1 - lat0) * (double) i / (double) n);
      append_biarc (pieces, from, to);
      from = to;
    }
  return wall_or_fail (0.0, base.r, (const RhyWallPiece *) (const void *) pieces->data, pieces->len);
}

/* The same from @lat0 on for a given slant length: the last latitude is read off a longer
 * wall, then put right by what the length is still off (dlat = |curvature| ds). */
static inline RhyWall *
spheroid_wall_to (double a, double b, double lat0, double length)
{
  RhyWall *wall = spheroid_wall (a, b, lat0, RAD (89.9), 2000);
  double lat1 = -rhy_wall_at (wall, length).slope_rad;
  for (int i = 0; i < 4; i++)
    {
      rhy_wall_unref (wall);
      wall = spheroid_wall (a, b, lat0, lat1, 2000);
      const double L = rhy_wall_get_length (wall);
      lat1 += fabs (rhy_wall_at (wall, L).curvature_per_mm) * (length - L);
    }
  return wall;
}

/* How far a chain of biarcs through exact stations may be off between them:
 * distance in mm, and slope in radians.
 *
 * Source: derived here. Where the curve's curvature is k0 + k' x, stations h
 * apart, equal slopes and positions at both ends force the arcs' curvatures to
 * k0 -+ k' h/3; integrating what is left once and twice, the slope is off by at
 * most k' h^2/24 (at the join) and the distance by k' h^3/324 (a third of the
 * way). So k' h = 3/2 of the arcs' difference. Twice that, for the terms of the
 * next order. */
static inline void
chain_error (const RhyWall *wall, double *distance, double *slope)
{
  *distance = *slope = 0.0;
  for (gsize i = 0; i + 1 < rhy_wall_get_n_pieces (wall); i += 2)
    {
      const RhyWallPiece *low = rhy_wall_get_piece (wall, i);
      const RhyWallPiece *high = rhy_wall_get_piece (wall, i + 1);
      const double rise = 1.5 * fabs (high->curvature_per_mm - low->curvature_per_mm);
      const double h = low->length_mm + high->length_mm;
      *distance = MAX (*distance, 2.0 * rise * h * h / 324.0);
      *slope = MAX (*slope, 2.0 * rise * h / 24.0);
    }
}

/* The wall of a row whose profile is cone (p1 base radius, p2 slope) or barrel,
 * waist (p1 = c, p2 = rho, sign, p4 = p at the base). */
static inline RhyWall *
drive_row_wall (const CsvRow *row, double length)
{
  const double p1 = csv_number (row, "in_p1");
  const double p2 = csv_number (row, "in_p2");
  if (csv_is (row, "in_profile", "cone"))
    return cone_wall (p1, p2, length);
  return arc_wall (p1, p2, csv_number (row, "in_sign"), csv_number (row, "in_p4"), length);
}
