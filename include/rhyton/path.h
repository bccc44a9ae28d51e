/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/space.h>

G_BEGIN_DECLS

/**
 * RhyPathVerb:
 * @RHY_PATH_MOVE: 1 point
 * @RHY_PATH_LINE: 1 point
 * @RHY_PATH_CUBIC: 3 points: two handles, the end
 * @RHY_PATH_CLOSE: 0 points; the current point is the subpath's start again
 */
typedef enum
{
  RHY_PATH_MOVE,
  RHY_PATH_LINE,
  RHY_PATH_CUBIC,
  RHY_PATH_CLOSE,
} RhyPathVerb;

/**
 * RhyPath:
 * @verbs: (array length=n_verbs): #RhyPathVerb values
 * @points: (array length=n_points): their points, one verb's after another's
 *
 * Lines and cubics in any one space. Reference counted. Append only while you
 * hold the one reference; once shared, it is read only.
 */
typedef struct
{
  guint8   *verbs;
  RhyPoint *points;
  gsize     n_verbs;
  gsize     n_points;
  /*< private >*/
  gsize     verbs_room;
  gsize     points_room;
} RhyPath;

RHY_API
RhyPath *rhy_path_new (void);
RHY_API
RhyPath *rhy_path_ref (RhyPath *self);
RHY_API
void rhy_path_unref (RhyPath *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyPath, rhy_path_unref)

RHY_API
void rhy_path_move_to (RhyPath *self, double x, double y);
RHY_API
void rhy_path_line_to (RhyPath *self, double x, double y);
RHY_API
void rhy_path_cubic_to (RhyPath *self, double x1, double y1, double x2, double y2, double x, double y);
RHY_API
void rhy_path_close (RhyPath *self);

/**
 * rhy_path_add_circle:
 *
 * Adds a closed circle, counterclockwise where y points up, as four cubics with handles of
 * 4/3 (sqrt(2) - 1) radii: nowhere inside, and at most 2.8e-4 of the radius outside (source: the
 * handles that make t = 1/2 meet the circle).
 */
RHY_API
void rhy_path_add_circle (RhyPath *self, double x, double y, double radius);

/** rhy_path_append: adds all of @other, which is not @self, to @self. */
RHY_API
void rhy_path_append (RhyPath *self, const RhyPath *other);

/** rhy_path_transformed: Returns: (transfer full): a new path, every point through @m. */
RHY_API
RhyPath *rhy_path_transformed (const RhyPath *self, RhyAffine m);

/** rhy_path_get_bounds: Returns: the exact box of the curves (not of the handles); empty for no segment. */
RHY_API
RhyBounds rhy_path_get_bounds (const RhyPath *self);

/** rhy_path_count_segments: Returns: how many lines and cubics; a close that draws counts one. */
RHY_API
gsize rhy_path_count_segments (const RhyPath *self);

/**
 * rhy_path_flatten:
 * @tolerance: greatest distance between curve and chords, in the path's unit, > 0
 *
 * Returns: (transfer full): the path in lines only; verbs MOVE, LINE, CLOSE.
 */
RHY_API
RhyPath *rhy_path_flatten (const RhyPath *self, double tolerance);

/**
 * RhySegment:
 * @verb: LINE or CUBIC (a CLOSE that draws comes as a LINE)
 * @p: p[0] start; LINE: p[1] end; CUBIC: p[1], p[2] handles, p[3] end
 * @first: whether a MOVE stands before it
 * @closes: whether a CLOSE follows it at once
 */
typedef struct
{
  RhyPathVerb verb;
  RhyPoint    p[4];
  gboolean    first;
  gboolean    closes;
} RhySegment;

/** RhyPathIter: walks the drawn segments of a path; private fields. */
typedef struct
{
  const RhyPath *path;
  gsize          verb, point;
  RhyPoint       start, current;
  gboolean       first;
} RhyPathIter;

RHY_API
void rhy_path_iter_init (RhyPathIter *iter, const RhyPath *path);
/** rhy_path_iter_next: Returns: %FALSE at the end. Lone MOVEs are passed over. */
RHY_API
gboolean rhy_path_iter_next (RhyPathIter *iter, RhySegment *segment);

G_END_DECLS
