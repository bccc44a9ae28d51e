/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/error.h>
#include <rhyton/space.h>

G_BEGIN_DECLS

/**
 * RhyMap:
 *
 * A map from one space to another: a lay (art to wall), a drive (wall to bed),
 * an unroll (wall to pattern), or a chain of those. Opaque, reference counted,
 * immutable: share one between threads freely.
 *
 * Points go in and out as two arrays, one a coordinate, so that the loops
 * vectorise: art (u, v), wall (s, angle), pattern and bed (x, y). Output arrays
 * may be the input arrays. Every function takes @valid, n bytes set to 1 where
 * the point has an image and 0 where it has none (past the rim, behind the
 * silhouette, not finite); its outputs are then unspecified. @valid may be %NULL.
 * Returns the number of points without an image.
 */
typedef struct _RhyMap RhyMap;

/**
 * RhyJacobian:
 *
 * Derivative of the output coordinates (first, second) by the input ones: raw
 * coordinates, so on a wall mm and radians. xx = d out0/d in0, xy = d out0/d in1,
 * yx = d out1/d in0, yy = d out1/d in1.
 */
typedef struct { double xx, xy, yx, yy; } RhyJacobian;

RHY_API
RhyMap *rhy_map_ref (RhyMap *self);
RHY_API
void rhy_map_unref (RhyMap *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyMap, rhy_map_unref)

RHY_API
RhySpace rhy_map_get_from (const RhyMap *self);
RHY_API
RhySpace rhy_map_get_to (const RhyMap *self);

RHY_API
gsize rhy_map_forward (const RhyMap *self, gsize n,
                       const double *in0, const double *in1,
                       double *out0, double *out1, guint8 *valid);
RHY_API
gsize rhy_map_inverse (const RhyMap *self, gsize n,
                       const double *in0, const double *in1,
                       double *out0, double *out1, guint8 *valid);
/** rhy_map_jacobian: forward, with the derivative at each point in @jacobians (n of them). */
RHY_API
gsize rhy_map_jacobian (const RhyMap *self, gsize n,
                        const double *in0, const double *in1,
                        double *out0, double *out1,
                        RhyJacobian *jacobians, guint8 *valid);

/**
 * rhy_map_new_chain:
 * @first: a map
 * @second: a map that starts where @first ends
 *
 * Returns: (transfer full): first, then second. Both are referenced.
 */
RHY_API
RhyMap *rhy_map_new_chain (RhyMap *first, RhyMap *second);

/** rhy_map_new_inverse: Returns: (transfer full): the map the other way round. @map is referenced. */
RHY_API
RhyMap *rhy_map_new_inverse (RhyMap *map);

/**
 * rhy_map_is_affine:
 * @affine: (out) (optional): the matrix
 *
 * Returns: whether the map is affine throughout (any lay, drive and unroll of
 *   a cylinder is): control points of a path may then be mapped directly.
 */
RHY_API
gboolean rhy_map_is_affine (const RhyMap *self, RhyAffine *affine);

/* One point at a time, for callers with few of them. FALSE: no image, output untouched. */
RHY_API
gboolean rhy_map_point (const RhyMap *self, RhyPoint in, RhyPoint *out);
RHY_API
gboolean rhy_map_point_inverse (const RhyMap *self, RhyPoint in, RhyPoint *out);

G_END_DECLS
