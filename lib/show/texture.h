/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/artwork.h>
#include <rhyton/wall.h>

#include "../art/late-cairo.h"

G_BEGIN_DECLS

/* Places n points (x, y) of the artwork's space on the wall; out arrays are not the in arrays. */
typedef void (*RhyPlacing) (gconstpointer data, gsize n, const double *x, const double *y,
                            double *s, double *angle, guint8 *valid);

/* One of them: through the #RhyMap that is the @data. */
void rhy_place_by_map (gconstpointer data, gsize n, const double *x, const double *y,
                       double *s, double *angle, guint8 *valid);

#define RHY_TEXTURE_LEVELS 10

/*
 * RhyTexture: what is painted on the wall, as premultiplied pixels over (angle,
 * s), with coarser and coarser copies so that it can be sampled at any size. It
 * covers the paint only; around it there is nothing. Immutable once made.
 */
typedef struct
{
  double   angle_mid;           /* radians, middle of the columns */
  double   s_top;               /* slant at the upper edge of row 0 */
  double   per_rad, per_mm;     /* columns a radian, rows a mm */
  gboolean wraps;               /* columns go all the way round */
  int      n_levels;
  int      width[RHY_TEXTURE_LEVELS], height[RHY_TEXTURE_LEVELS];
  guint32 *pixels[RHY_TEXTURE_LEVELS];
  /* One byte a cell of 32 x 32 pixels: whether there is paint in it or beside it. */
  int      cells_across, cells_down;
  guint8  *cells;
} RhyTexture;

void rhy_texture_free (RhyTexture *self);

/* An outline in wall space, flattened: x = angle, y = s; invalid points left out,
 * with a MOVE after a gap where @gaps. */
RhyPath *rhy_texture_place (const RhyPath *path, RhyPlacing placing, gconstpointer data, gboolean gaps);

/*
 * Called to paint: @cr has x = angle * r_ref and y = s, both mm (y up).
 */
typedef void (*RhyPainting) (cairo_t *cr, double r_ref_mm, gpointer data);

/*
 * Within such a painting: the source becomes @paint as it lies on the wall.
 * @box: the artwork's space that it is wanted over
 * @colour: what is taken where there is no @paint
 */
void rhy_texture_set_source (cairo_t *cr, double r_ref_mm, RhyPlacing placing, gconstpointer data, RhyBounds box,
                             RhyColour colour, const RhyPaint *paint);

/* About the finest detail that a picture of 1280 x 960 shows at four times its natural size. */
#define RHY_TEXTURE_FINEST_PER_MM 24.0

/*
 * @box: x angle, y s; @r_ref_mm: widest radius under it; @finest_per_mm: pixels a mm, at most.
 * NULL with an error when memory is short.
 */
RhyTexture *rhy_texture_new (RhyBounds box, double wall_length_mm, double r_ref_mm, double finest_per_mm,
                             RhyPainting painting, gpointer data, GError **error);

G_END_DECLS
