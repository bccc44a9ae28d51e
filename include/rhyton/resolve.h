/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/artwork.h>

G_BEGIN_DECLS

/**
 * RhyResolveOptions:
 * @tolerance_mm: greatest distance between an edge that is made here and the true one,
 *   > 0 (default 0.01)
 * @seconds: processor time allowed, > 0 (default 30); by the clock six times as much, so that a busy
 *   machine refuses nothing
 * @lightest_ink: luma (0 black, 1 white) below which paint is ink, 0 to 1 (default 0.75)
 * @shades: 0: in one colour (default); else how many shades are told apart, up to %RHY_SHADES_MAX
 */
typedef struct
{
  double tolerance_mm;
  double lightest_ink;
  double seconds;
  guint  shades;
} RhyResolveOptions;

#define RHY_RESOLVE_OPTIONS_INIT { .tolerance_mm = 0.01, .lightest_ink = 0.75, .seconds = 30.0, .shades = 0 }

/**
 * rhy_artwork_resolved:
 * @options: (nullable): %NULL for the defaults
 *
 * What is seen of the artwork, in one colour: ink or bare. Paint of luma
 * (0.2126 R + 0.7152 G + 0.0722 B of the coded values) below @lightest_ink is ink,
 * lighter paint is bare and takes away what lies under it; paint less than half
 * opaque counts for nothing. A gradient counts as the one colour that comes nearest (its mean,
 * weighted by alpha), all over its outline. Strokes are outlined, clips applied, overlaps united,
 * so that no place is burnt twice and every line of the result is an edge of ink.
 *
 * With @shades, what is seen is worked out in colour, with all that shines through, and each
 * place given to the nearest shade by rhy_colour_shade(), or to none where it is nearer to white;
 * @lightest_ink is not asked. Gradients are cut into bands where the shade changes; those that
 * repeat, and cones of circles, count as their mean.
 *
 * Outlines that meet no other, nor themselves, stay as they are to the last bit;
 * the rest is worked on as chords and put back into cubics, all within the
 * tolerance. Gaps narrower than a tenth of it are closed. Notes and pictures are kept, shapes
 * filled with a picture over all the rest with their clips,
 * and a note says what was taken for bare.
 *
 * Returns: (transfer full): pictures, and black shapes (or greys by rhy_shade_colour(), lightest first), filled by the even-odd rule where they
 *   were made here, without clips or strokes. %RHY_ERROR_GEOMETRY if the
 *   shapes cannot be worked on, %RHY_ERROR_LIMIT if that takes too long; @cancellable
 *   ends it within a fraction of a second.
 */
RHY_API
RhyArtwork *rhy_artwork_resolved (RhyArtwork *self, const RhyResolveOptions *options,
                                  GCancellable *cancellable, GError **error);

G_END_DECLS
