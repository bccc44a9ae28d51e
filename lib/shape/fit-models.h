/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/readings.h>

/* The readings as the models see them: one diameter and one height a station,
 * each with its own standard uncertainty. */
typedef struct
{
  gsize   n;
  double *h, *d;
  double *u_h, *u_d;
} RhyStations;

/* A straight profile in one or two parts: diameters at 2 or 3 heights, chi-square
 * of the stations about it, and the standard uncertainty of the (first) slope. */
typedef struct
{
  gsize  n;
  double h[3], d[3];
  double chi_square;
  gsize  n_free;
  double u_slope;
} RhyStraightFit;

RhyStations *rhy_stations_new (gsize n);
void rhy_stations_free (RhyStations *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyStations, rhy_stations_free)

/* A copy without station @skip. */
RhyStations *rhy_stations_without (const RhyStations *self, gsize skip);

gboolean rhy_fit_cylinder (const RhyStations *st, RhyStraightFit *fit);
gboolean rhy_fit_cone (const RhyStations *st, RhyStraightFit *fit);
/* Needs 5 stations. */
gboolean rhy_fit_two_cones (const RhyStations *st, RhyStraightFit *fit);
/* As that, the break known to within some mm. */
gboolean rhy_fit_two_cones_near (const RhyStations *st, double break_h, double within, RhyStraightFit *fit);

/* The diameter at a height, carried on past the ends, and its change per mm. */
double rhy_straight_fit_at (const RhyStraightFit *fit, double h, double *taper);

/* The wall of the same model as one that was fitted to much the same readings, whether or
 * not it explains these; in readings.c. */
RhyWall *rhy_readings_fit_like (const RhyReadings *readings, const RhyFit *like, GError **error);
