/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <math.h>

#include <rhyton/photo-profile.h>
#include <rhyton/readings.h>

/* What is unknown of camera and picture, beside the profile itself: chosen so that one can
 * move without the picture moving much otherwise, which lets the search go straight. */
typedef enum
{
  RHY_PHOTO_LN_DISTANCE,
  RHY_PHOTO_LN_SCALE,       /* pixels a millimetre at the axis */
  RHY_PHOTO_EYE_HEIGHT,
  RHY_PHOTO_AIM,            /* how far up the camera looks of the wall's middle */
  RHY_PHOTO_HEIGHT,
  RHY_PHOTO_DISTORTION,     /* at the picture's corner */
  RHY_PHOTO_EDGE,           /* px that the edges were found too far out */
  RHY_PHOTO_ROUND_BASE,     /* share of the end's radius that its edge is rounded by */
  RHY_PHOTO_ROUND_RIM,
  RHY_PHOTO_AXIS_BASE,      /* sideways errors of the axis there, in their own standard deviations */
  RHY_PHOTO_AXIS_RIM,
  RHY_PHOTO_N_UNKNOWNS
} RhyPhotoUnknown;

typedef struct { double x, y, z; } RhyPhotoVec;

/* One side of the wall. */
typedef struct
{
  gsize   n;
  double *a, *c;      /* the rays, a outwards, by increasing c */
  double *z, *r;      /* where they touch */
  gsize  *row;
} RhyPhotoSide;

typedef struct
{
  const RhyOutline    *outline;
  const RhyPhotoKnown *known;
  RhyPoint             axis[2];
  double               off[3];        /* lower factor of the covariance of the axis' ends, px */
  gboolean            *use[2];
  gboolean             use_end[2];
  double               end_radius[2];
  RhyPhotoSide         side[2];
  gboolean             has_other;     /* a second camera that explains the picture too */
  double               other[RHY_PHOTO_N_UNKNOWNS];
} RhyPhotoCase;

void rhy_photo_case_init (RhyPhotoCase *self, const RhyOutline *outline, const RhyPhotoKnown *known);
void rhy_photo_case_clear (RhyPhotoCase *self);
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (RhyPhotoCase, rhy_photo_case_clear)

/* The plane through the eye and the axis, and in it the axis: straight up in the
 * picture's sense, leaning by the tilt. */
typedef struct { RhyPhotoVec right, forward, up; } RhyPhotoFrame;

RhyPhotoFrame rhy_photo_case_frame (const RhyPhotoCase *self, const double *x);

double rhy_photo_distance (const double *x);
double rhy_photo_focal (const double *x);
double rhy_photo_pixel_mm (const double *x);
/* How far the camera looks down. */
double rhy_photo_case_tilt (const RhyPhotoCase *self, const double *x);

void rhy_photo_case_ray (const RhyPhotoCase *self, const double *x, const RhyPhotoFrame *frame, RhyPoint p, double *a, double *c);
RhyPoint rhy_photo_case_point (const RhyPhotoCase *self, const double *x, const RhyPhotoFrame *frame, double a, double c);

/* The slope of r over t near entry i, by least squares over neighbours. */
double rhy_photo_slope_near (const double *t, const double *r, gsize n, gsize i, gsize reach);

/* The rows in use as the camera @x sees them: fills the sides and the ends' radii, which
 * what follows reads. */
void rhy_photo_case_trace (RhyPhotoCase *self, const double *x);

gsize rhy_photo_side_below (const RhyPhotoSide *side, double z);
/* FALSE where the side has no points near. */
gboolean rhy_photo_side_at (const RhyPhotoSide *side, double z, double *r);
/* Twice the only radius where there is one. */
gboolean rhy_photo_case_diameter_at (const RhyPhotoCase *self, double z, double *d, gboolean *both);
/* Carried on in a straight line to an end of the wall, which the rows do not quite reach. */
gboolean rhy_photo_case_diameter_beyond (const RhyPhotoCase *self, double z, double *d);
/* The mean of a few rows about a height: noise averages out, and slope too. */
gboolean rhy_photo_case_smooth_diameter (const RhyPhotoCase *self, double z, double step, double *d);
gboolean rhy_photo_case_greatest_diameter (const RhyPhotoCase *self, double step, double *d);

/* ---- finding the camera, in photo-camera.c ---- */

enum { RHY_PHOTO_MOST_RESIDUALS = 2 * 256 + RHY_PHOTO_N_UNKNOWNS + RHY_PHOTO_MAX_DIAMETERS + 5 };

typedef struct
{
  gsize  n;
  double r[RHY_PHOTO_MOST_RESIDUALS];   /* each over its standard uncertainty */
  gsize  height, distance;              /* which one is that measurement's */
  gsize  diameter[RHY_PHOTO_MAX_DIAMETERS];
} RhyPhotoResiduals;

static inline double
rhy_photo_u_or (double u,
                double usual)
{
  return u > 0.0 ? u : usual;
}

void rhy_photo_case_residuals (RhyPhotoCase *self, const double *x, RhyPhotoResiduals *out);
/* Chi-square of all that is known, G_MAXDOUBLE where it is not finite. */
double rhy_photo_case_unlikeliness (RhyPhotoCase *self, const double *x);
/* Of the least squares at @x: the matrix by rows, and minus the gradient of half chi-square. */
void rhy_photo_case_normal_equations (RhyPhotoCase *self, const double *x, double *normal, double *gradient);
enum { RHY_PHOTO_ROUNDS = 100 };
/* From @x to the nearest least; FALSE where it is not found in so many rounds. */
gboolean rhy_photo_case_find_camera (RhyPhotoCase *self, double *x, int rounds);
/* Rows, ends, axis and camera, from nothing. */
gboolean rhy_photo_case_fit (RhyPhotoCase *self, double *x, GError **error);
