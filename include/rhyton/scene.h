/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/plan.h>

G_BEGIN_DECLS

/**
 * RhyCamera:
 * @turn_rad: how far the vessel is turned: the angle that faces the camera
 * @lift_rad: camera above (positive) or below the level of the vessel's middle, -pi/2 to pi/2
 * @zoom: 1 fits the vessel into the picture at any lift; 0.05 to 50
 * @pan_x, @pan_y: shift to the right and down, in fractions of the picture's width and height
 */
typedef struct
{
  double turn_rad, lift_rad;
  double zoom;
  double pan_x, pan_y;
} RhyCamera;

#define RHY_CAMERA_INIT { .turn_rad = 0.0, .lift_rad = 0.2, .zoom = 1.0, .pan_x = 0.0, .pan_y = 0.0 }

/**
 * RhySceneOptions:
 * @stretch: colour the wall by the lay's stretch where the artwork lies, with a scale
 * @dark: for dark surroundings
 * @threads: 0: as many as there are processors; the picture's bytes do not depend on it
 * @circles: with @stretch: draw what becomes of circles of the artwork, round the
 *   circles they should be
 */
typedef struct
{
  gboolean stretch;
  gboolean dark;
  guint    threads;
  gboolean circles;
} RhySceneOptions;

#define RHY_SCENE_OPTIONS_INIT { .stretch = FALSE, .dark = FALSE, .threads = 0, .circles = FALSE }

/**
 * RhyScene:
 *
 * A plan made ready to be looked at: the lathe's mesh and the laid artwork as a
 * texture. Immutable; rendering is safe from any thread and deterministic.
 */
typedef struct _RhyScene RhyScene;

/**
 * rhy_scene_new:
 * @through_machine: %FALSE: the artwork as the lay puts it; %TRUE: as the machine of
 *   the job would burn the bed drawing (which is what shows a wrong hand)
 */
RHY_API
RhyScene *rhy_scene_new (RhyPlan *plan, gboolean through_machine, GError **error);
/**
 * rhy_scene_new_burnt: what the machine will burn; where the artwork does not fit the wall, what it would be.
 */
RHY_API
RhyScene *rhy_scene_new_burnt (RhyPlan *plan, GError **error);
/**
 * rhy_scene_new_draft:
 * @per_mm: pixels that a mm of the wall has, at most, where it will be shown
 *
 * As rhy_scene_new() without the machine, the artwork painted no finer than that: for
 * pictures that are gone with the next movement of the hand.
 */
RHY_API
RhyScene *rhy_scene_new_draft (RhyPlan *plan, double per_mm, GError **error);
RHY_API
RhyScene *rhy_scene_ref (RhyScene *self);
RHY_API
void rhy_scene_unref (RhyScene *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyScene, rhy_scene_unref)

/**
 * rhy_scene_render:
 * @pixels: height x stride bytes, filled with premultiplied BGRA (cairo's ARGB32)
 * @stride: bytes a row, at least 4 x width, a multiple of 4
 */
RHY_API
void rhy_scene_render (const RhyScene *self, const RhyCamera *camera, const RhySceneOptions *options,
                       guint8 *pixels, int width, int height, int stride);

/**
 * rhy_scene_render_after:
 * @before: (nullable): what @pixels show now, by the same camera, options, width, height and stride
 *
 * As rhy_scene_render(), to the same bytes; of the same vessel only where artwork is or was, which is
 * what a hand that drags it changes.
 */
RHY_API
void rhy_scene_render_after (const RhyScene *self, const RhyScene *before, const RhyCamera *camera,
                             const RhySceneOptions *options, guint8 *pixels, int width, int height, int stride);

/**
 * rhy_scene_pick:
 * @x, @y: pixels from the upper left
 *
 * Returns: %FALSE if the outside of the wall is not seen there; else the wall point
 *   in front, its angle within half a turn of the camera's.
 */
RHY_API
gboolean rhy_scene_pick (const RhyScene *self, const RhyCamera *camera, int width, int height,
                         double x, double y, RhyWallPoint *at);

/**
 * rhy_scene_project: where a wall point is in the picture.
 * Returns: %FALSE, @x and @y untouched, if it is hidden or off the wall.
 */
RHY_API
gboolean rhy_scene_project (const RhyScene *self, const RhyCamera *camera, int width, int height,
                            RhyWallPoint at, double *x, double *y);

/** rhy_scene_to_png: Returns: (transfer full): a PNG of the picture. */
RHY_API
GBytes *rhy_scene_to_png (const RhyScene *self, const RhyCamera *camera, const RhySceneOptions *options,
                          int width, int height, GError **error);

G_END_DECLS
