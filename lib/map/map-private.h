/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/map.h>

/* What a kind of map supplies. Blocks hold at most RHY_MAP_BLOCK points, @valid is
 * never NULL, and outputs may be the inputs: read a point before writing it.
 * Each returns how many of the n points have no image.
 */
#define RHY_MAP_BLOCK 512

typedef struct
{
  gsize (*forward) (const RhyMap *self, gsize n, const double *in0, const double *in1,
                    double *out0, double *out1, guint8 *valid);
  gsize (*inverse) (const RhyMap *self, gsize n, const double *in0, const double *in1,
                    double *out0, double *out1, guint8 *valid);
  gsize (*jacobian) (const RhyMap *self, gsize n, const double *in0, const double *in1,
                     double *out0, double *out1, RhyJacobian *jacobians, guint8 *valid);
  /* NULL where the map is never affine. */
  gboolean (*affine) (const RhyMap *self, RhyAffine *affine);
  void (*clear) (RhyMap *self);
} RhyMapClass;

/* The head of every map. */
struct _RhyMap
{
  const RhyMapClass *klass;
  RhySpace           from;
  RhySpace           to;
};

/* Type must begin with a RhyMap; the rest is zero. */
#define rhy_map_alloc(Type, map_class, map_from, map_to) \
  ((Type *) rhy_map_init ((RhyMap *) g_atomic_rc_box_new0 (Type), (map_class), (map_from), (map_to)))

RhyMap *rhy_map_init (RhyMap *self, const RhyMapClass *klass, RhySpace from, RhySpace to);

/* Loops over many points are compiled for AVX2 as well where the C library can
 * choose at load time. No contraction, so both give the same bits. Sanitizers
 * start too late for such a choice.
 */
#if defined __x86_64__ && defined __GLIBC__ && !defined __SANITIZE_ADDRESS__ \
    && !defined __SANITIZE_THREAD__ && !defined __clang__
# define RHY_MANY __attribute__ ((target_clones ("avx2", "default")))
#else
# define RHY_MANY
#endif

/* Each point depends on itself alone: outputs alias inputs only index by index. */
#if defined __GNUC__ && !defined __clang__
# define RHY_IVDEP _Pragma ("GCC ivdep")
#else
# define RHY_IVDEP
#endif

/* Marks the points with lo <= s <= hi and a finite angle; returns how many are not. */
gsize rhy_map_mark_on_wall (gsize n, const double *s, const double *angle, double lo, double hi, guint8 *valid);
