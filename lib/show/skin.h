/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/drawing.h>
#include <rhyton/unroll.h>

G_BEGIN_DECLS

/*
 * RhyPatch: a part of the wall, s0..s1 by a0..a1, and how it is laid flat on
 * paper: a ring or the whole by the unroll of a cone, a gore each parallel by the
 * cone that touches the wall there (the polyconic development: true along its
 * middle, and the paper's only stretch is along its edges).
 * @turn: the angle that comes to stand upright on the page
 * @tab_mm: width of the tab that its right end is glued by; 0: none. Gores have none
 * @dx, @dy: where the patch lies on the page, added last; x right, y down
 */
typedef struct
{
  double  s0, s1, a0, a1;
  double  turn;
  double  tab_mm;
  RhyMap *unroll;               /* NULL: a gore */
  double  dx, dy;
} RhyPatch;

/*
 * RhySkin: a wall's patches, from the base up or by growing angle.
 * @stretch: the paper's greatest stretch or shrinkage in any of them, signed
 */
typedef struct
{
  RhyWall  *wall;               /* borrowed */
  RhyCut    cut;                /* WHOLE, RINGS or GORES */
  RhyPatch *patches;
  guint     n_patches;
  double    stretch;
} RhySkin;

/* @middle: the angle about which the paper is laid: its ends meet opposite. */
gboolean rhy_skin_init (RhySkin *self, RhyWall *wall, RhyMap *whole, double middle, RhyCut cut,
                        double limit, GError **error);
void rhy_skin_clear (RhySkin *self);

/* A wall point on the page; it need not lie in the patch. */
RhyPoint rhy_patch_point (const RhyPatch *self, const RhyWall *wall, double s, double angle);
/* The way of growing angle there on the page, radians clockwise from right. */
double rhy_patch_heading (const RhyPatch *self, const RhyWall *wall, double s, double angle);
/* The line along which the right end meets the left one, base first; the tab's corners are at
 * [2] and [3], upper one first. */
void rhy_patch_seam (const RhyPatch *self, const RhyWall *wall, RhyPoint corners[4]);
/* The patch's edge on the page, round its tab, closed. */
RhyPath *rhy_patch_outline (const RhyPatch *self, const RhyWall *wall);

/* The artwork's part in the patch, in chords, on the page; NULL if there is none. */
RhyArtwork *rhy_patch_ink (const RhyPatch *self, const RhyWall *wall, const RhyArtwork *art, const RhyMap *lay);

G_END_DECLS
