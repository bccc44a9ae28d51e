/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/scene.h>

/* Loops over rays, built twice and picked when the library is loaded: eight rays
 * at a time where the processor can. No sum is contracted (the build says so), so
 * both give the same bytes. Sanitizers start too late for such a choice. */
#if defined __x86_64__ && defined __GLIBC__ && !defined __clang__ \
    && !defined __SANITIZE_ADDRESS__ && !defined __SANITIZE_THREAD__
# define RHY_RAYS __attribute__ ((target_clones ("avx2", "default")))
#else
# define RHY_RAYS
#endif

G_BEGIN_DECLS

/*
 * RhyLathe: the vessel as a solid of revolution to be looked at: the wall outside,
 * a wall inside it (a blank's thickness is not measured: a likely one), the rim
 * between, a floor and a base. The profile is cut into bands, each a piece of a
 * cone, fine enough that a chord is 0.01 mm off an arc.
 *
 * View frame: X right, Y away from the eye (level), Z up; (0, 0, 0) is the middle
 * of the axis. The eye looks at that middle from @dist mm.
 */
typedef struct
{
  float z0, z1;                 /* from the middle, mm; z0 < z1 */
  float r0, taper;              /* radius at z0, dr/dz */
  float s0, s_per_z;            /* slant at z0, ds/dz */
  float sin0, sin_per_z;        /* of the slope, for the normal: run evenly from end to end */
  float cos0, cos_per_z;
  float side;                   /* 1 outside, -1 inside */
} RhyBand;

typedef struct
{
  RhyBand *bands;               /* outside ones first, upwards; then inside ones */
  int      n_bands, n_outside;
  double   z_middle;            /* height of the middle */
  double   reach;               /* radius of the ball that holds the vessel */
  double   r_widest;
  float    z_base, r_base;
  float    z_rim, r_rim, r_mouth;
  float    z_floor, r_floor;
} RhyLathe;

/* What a ray met: a band's index, one of these, or nothing. */
enum
{
  RHY_MET_NOTHING = -1,
  RHY_MET_RIM = -2,
  RHY_MET_BASE = -3,
  RHY_MET_FLOOR = -4,
};

/* RhyEye: a camera and a picture's size made ready. A pixel is the ray through (a, b), mm to the
 * right and up in the plane through the middle that faces the eye. */
typedef struct
{
  float sin_lift, cos_lift;
  float dist;
  float per_mm;                 /* pixels a mm in that plane */
  float centre_x, centre_y;     /* pixel of the middle */
} RhyEye;

/* Lanes: as many rays as are followed together; a multiple of the widest vector. */
#define RHY_LANES 40

typedef struct
{
  float ox[RHY_LANES], oy[RHY_LANES], oz[RHY_LANES];
  float dx[RHY_LANES], dy[RHY_LANES], dz[RHY_LANES];
  float dd[RHY_LANES], od[RHY_LANES], oo[RHY_LANES];    /* of the level parts */
} __attribute__ ((aligned (32))) RhyRays;

typedef struct
{
  float  t[RHY_LANES];
  gint32 met[RHY_LANES];
} __attribute__ ((aligned (32))) RhyHits;

RhyLathe *rhy_lathe_new (const RhyWall *wall);
void rhy_lathe_free (RhyLathe *self);

RhyEye rhy_eye_new (const RhyLathe *self, const RhyCamera *camera, int width, int height);
void rhy_eye_aim (const RhyEye *self, int n, const float *a, const float *b, RhyRays *rays);
/* A point of the view frame to its pixel; Returns: t of it on its ray. */
double rhy_eye_project (const RhyEye *self, double x, double y, double z, double *px, double *py);

/* Nearest thing on each ray among @list's bands (NULL: all) and the discs. */
void rhy_lathe_trace (const RhyLathe *self, const RhyEye *eye, const guint16 *list, int n_list,
                      int n, const RhyRays *rays, RhyHits *hits);

/*
 * RhyRows: for a strip of columns, which bands may be met in each row of pixels.
 */
typedef struct
{
  guint32 *start;               /* rows + 1 */
  guint16 *items;
  int      top, bottom;         /* rows outside [top, bottom) meet nothing at all */
} RhyRows;

/* @a: (array length=n): the columns' rays; rows are given with a pixel and a half to spare. */
void rhy_lathe_list_rows (const RhyLathe *self, const RhyEye *eye, int n, const float *a,
                          int height, RhyRows *rows);
void rhy_rows_clear (RhyRows *rows);

G_END_DECLS
