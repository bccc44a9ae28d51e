/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <gio/gio.h>

#include <rhyton/error.h>
#include <rhyton/paint.h>
#include <rhyton/path.h>

G_BEGIN_DECLS

typedef enum { RHY_FILL_NONZERO, RHY_FILL_EVENODD } RhyFillRule;
typedef enum { RHY_CAP_BUTT, RHY_CAP_ROUND, RHY_CAP_SQUARE } RhyCap;
typedef enum { RHY_JOIN_MITER, RHY_JOIN_ROUND, RHY_JOIN_BEVEL } RhyJoin;

/**
 * RhyPen:
 * @width: in the pen's own space
 * @miter_limit: as in SVG
 * @dashes: (array length=n_dashes): in the pen's own space; none: a full line
 * @matrix: the pen's space to the path's (its linear part; skewed pens occur)
 */
typedef struct
{
  double    width;
  RhyCap    cap;
  RhyJoin   join;
  double    miter_limit;
  double   *dashes;
  gsize     n_dashes;
  double    dash_offset;
  RhyAffine matrix;
} RhyPen;

/** RhyClip: a region that ink is kept inside; several of them intersect. */
typedef struct
{
  RhyPath    *path;
  RhyFillRule rule;
} RhyClip;

/**
 * RhyShape:
 * @path: outline, artwork space
 * @has_fill: whether it is filled with @fill by @rule
 * @has_stroke: whether it is stroked with @stroke by @pen
 * @fill_paint, @stroke_paint: (nullable): what it is painted with where that is more than one
 *   colour; @fill or @stroke is then the one colour that comes nearest
 * @clips: (array length=n_clips): indices of the artwork's clips, all applying
 *
 * Shapes are in painting order: later ones lie above earlier ones. Opacity of
 * groups is multiplied into the colours' alpha.
 */
typedef struct
{
  RhyPath    *path;
  RhyFillRule rule;
  gboolean    has_fill;
  RhyColour   fill;
  RhyPaint   *fill_paint;
  gboolean    has_stroke;
  RhyColour   stroke;
  RhyPaint   *stroke_paint;
  RhyPen      pen;
  guint      *clips;
  gsize       n_clips;
} RhyShape;

/**
 * rhy_shape_dup:
 * @path: (transfer full): its outline
 *
 * Returns: @self with that outline and with pointers of its own, for a builder to take over
 */
RHY_API
RhyShape rhy_shape_dup (const RhyShape *self, RhyPath *path);

/**
 * RhyPictureKind: what in a file has no outlines.
 */
typedef enum
{
  RHY_PICTURE_IMAGE,
  RHY_PICTURE_FILTER,
  RHY_PICTURE_MASK,
  RHY_PICTURE_GRADIENT,
  RHY_PICTURE_PATTERN,
  RHY_PICTURE_BLEND,
  RHY_PICTURE_UNKNOWN,
  RHY_PICTURE_N_KINDS,
} RhyPictureKind;

/**
 * RhyPicture:
 * @kind: why it is no outline
 * @box: where it lies, artwork space
 * @is_drawn: whether a shape with a paint stands for it; if not it is missing
 *
 * Something in the artwork that could not be kept as outlines in one colour.
 */
typedef struct
{
  RhyPictureKind kind;
  RhyBounds      box;
  gboolean       is_drawn;
} RhyPicture;

/**
 * RhySizeSource:
 * @RHY_SIZE_PHYSICAL: the file states a size with a physical unit (or px at 96 per inch)
 * @RHY_SIZE_VIEWBOX: only a viewBox, or a picture without a size: units, or pixels, taken as 1/96 inch
 * @RHY_SIZE_INK: neither: the ink box
 */
typedef enum { RHY_SIZE_PHYSICAL, RHY_SIZE_VIEWBOX, RHY_SIZE_INK } RhySizeSource;

/**
 * RhyArtwork:
 *
 * Outlines with their paint, in mm, u right and v up, as they came in or placed
 * at a size. Opaque, reference counted, immutable.
 */
typedef struct _RhyArtwork RhyArtwork;

RHY_API
RhyArtwork *rhy_artwork_ref (RhyArtwork *self);
RHY_API
void rhy_artwork_unref (RhyArtwork *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyArtwork, rhy_artwork_unref)

/**
 * RhyArtworkBuilder:
 *
 * Makes an artwork shape by shape. Functions taking a path or shape take
 * ownership of what they are given.
 */
typedef struct _RhyArtworkBuilder RhyArtworkBuilder;

RHY_API
RhyArtworkBuilder *rhy_artwork_builder_new (void);
/** rhy_artwork_builder_add_clip: Returns: its index. @path: (transfer full) */
RHY_API
guint rhy_artwork_builder_add_clip (RhyArtworkBuilder *self, RhyPath *path, RhyFillRule rule);
/** rhy_artwork_builder_add_shape: @shape: its pointers (path, paints, dashes, clips) are taken over. */
RHY_API
void rhy_artwork_builder_add_shape (RhyArtworkBuilder *self, const RhyShape *shape);
RHY_API
void rhy_artwork_builder_add_picture (RhyArtworkBuilder *self, RhyPicture picture);
/** rhy_artwork_builder_add_note: something the user should know, one line (a missing font, clipped coordinates). */
RHY_API
void rhy_artwork_builder_add_note (RhyArtworkBuilder *self, const char *note);
RHY_API
void rhy_artwork_builder_set_size (RhyArtworkBuilder *self, double width_mm, double height_mm, RhySizeSource source);
/** rhy_artwork_builder_end: Returns: (transfer full): the artwork; the builder is freed. */
RHY_API
RhyArtwork *rhy_artwork_builder_end (RhyArtworkBuilder *self);
/** rhy_artwork_builder_free: drops a builder that was not ended. */
RHY_API
void rhy_artwork_builder_free (RhyArtworkBuilder *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyArtworkBuilder, rhy_artwork_builder_free)

RHY_API
gsize rhy_artwork_get_n_shapes (const RhyArtwork *self);
RHY_API
const RhyShape *rhy_artwork_get_shape (const RhyArtwork *self, gsize i);
RHY_API
gsize rhy_artwork_get_n_clips (const RhyArtwork *self);
RHY_API
const RhyClip *rhy_artwork_get_clip (const RhyArtwork *self, gsize i);
RHY_API
gsize rhy_artwork_get_n_pictures (const RhyArtwork *self);
RHY_API
const RhyPicture *rhy_artwork_get_picture (const RhyArtwork *self, gsize i);
/** RHY_ARTWORK_NO_GLYPH: how the note begins that letters come as boxes, for want of a font: not to be burnt. */
#define RHY_ARTWORK_NO_GLYPH "no font here has "
/** rhy_artwork_get_notes: Returns: (array zero-terminated=1): lines, never %NULL. */
RHY_API
const char *const *rhy_artwork_get_notes (const RhyArtwork *self);
RHY_API
RhySizeSource rhy_artwork_get_size_source (const RhyArtwork *self);
/** rhy_artwork_get_page: @width_mm, @height_mm: the document's page as it came in. */
RHY_API
void rhy_artwork_get_page (const RhyArtwork *self, double *width_mm, double *height_mm);

/**
 * rhy_artwork_get_ink_box:
 *
 * Returns: the box of the ink, mm: fills by their outlines, strokes by their
 *   outlines' box (half a pen's width around, caps and joins bounded from above
 *   by the pen's reach), each cut to its clips' boxes; pictures that are not drawn by their boxes.
 */
RHY_API
RhyBounds rhy_artwork_get_ink_box (const RhyArtwork *self);

/**
 * rhy_artwork_with_paths:
 * @paths: (array): one for each shape, in order, in the same space; referenced
 *
 * Returns: (transfer full): the same artwork with those outlines instead
 */
RHY_API
RhyArtwork *rhy_artwork_with_paths (RhyArtwork *self, RhyPath *const *paths);

/**
 * rhy_artwork_copies:
 * @matrices: (array length=n): where each copy goes
 *
 * Returns: (transfer full): n copies of @self, one through each matrix, in order
 */
RHY_API
RhyArtwork *rhy_artwork_copies (RhyArtwork *self, const RhyAffine *matrices, gsize n);

/**
 * rhy_artwork_subset:
 * @shapes: (array length=n): which of its shapes, in the order wanted
 *
 * Returns: (transfer full): those shapes alone, with the clips they need
 */
RHY_API
RhyArtwork *rhy_artwork_subset (RhyArtwork *self, const gsize *shapes, gsize n);

/** rhy_artwork_joined: Returns: (transfer full): all @n artworks in one, later ones above. */
RHY_API
RhyArtwork *rhy_artwork_joined (RhyArtwork *const *artworks, gsize n);

/** rhy_artwork_transformed: Returns: (transfer full): everything through @m, pens too. */
RHY_API
RhyArtwork *rhy_artwork_transformed (RhyArtwork *self, RhyAffine m);

/**
 * rhy_artwork_sized:
 * @width_mm: wanted width of the ink box, or 0 to go by @height_mm
 * @height_mm: wanted height of the ink box, or 0
 *
 * Returns: (transfer full): the artwork scaled evenly to that size with the
 *   middle of its ink box at (0, 0). %RHY_ERROR_ARTWORK if it has no ink, or no
 *   extent in that direction.
 */
RHY_API
RhyArtwork *rhy_artwork_sized (RhyArtwork *self, double width_mm, double height_mm, GError **error);

/**
 * rhy_artwork_sample_ink:
 * @spacing_mm: greatest distance between neighbouring points along outlines, and
 *   of the grid inside fills
 * @n: (out): how many
 *
 * Returns: (array length=n) (transfer full): points of the ink: outlines and, for
 *   filled shapes, a grid of points inside, each once however many shapes lie there; clips applied.
 *   Beyond a hundred thousand, points of outlines nearer to another than a fifth of the spacing are left
 *   out, but for those that reach farther up, down, left or right than all before. Stretch is reported over these. Free with g_free().
 */
RHY_API
RhyArtPoint *rhy_artwork_sample_ink (const RhyArtwork *self, double spacing_mm, gsize *n);

G_END_DECLS
