/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/wall.h>

G_BEGIN_DECLS

/**
 * RhyOutline:
 * @width, @height: size of the picture, pixels
 * @base, @rim: where the vessel's axis meets the level of its base and of its rim,
 *   as somebody marked them; pixels, x right, y down, (0, 0) the upper left corner
 * @mark_u_px: standard uncertainty of these two marks
 * @n_rows: rows across the axis, evenly from below the base to above the rim
 * @side: (array length=n_rows): the wall's edge left and right of the axis, base
 *   down; both coordinates NAN where there is none
 * @end: (array length=n_end): points of the near or far edge of the base (0) and the
 *   rim (1), between the sides; none where no clean edge was found
 * @noise_px: standard deviation of a side's point across the axis
 * @end_noise_px: the same of an end's point along the axis
 * @blur_px: standard deviation of the edges' blur
 *
 * A vessel's outline in a photograph, as rhy_silhouette_find() finds it.
 */
typedef struct
{
  guint     width, height;
  RhyPoint  base, rim;
  double    mark_u_px;
  gsize     n_rows;
  RhyPoint *side[2];
  RhyPoint *end[2];
  gsize     n_end[2];
  double    noise_px;
  double    end_noise_px[2];
  double    blur_px;
} RhyOutline;

/** rhy_outline_free: frees the arrays and @outline itself. */
RHY_API
void rhy_outline_free (RhyOutline *outline);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyOutline, rhy_outline_free)

/**
 * RhyPhotoDiameter:
 * @diameter_mm: an outside diameter, by caliper, > 0
 * @height_mm: its height above the base mark; NAN: it is the greatest there is
 * @u_mm: its standard uncertainty; 0: %RHY_CALIPER_U_MM
 */
typedef struct { double diameter_mm, height_mm, u_mm; } RhyPhotoDiameter;

/**
 * RHY_PHOTO_MAX_DIAMETERS:
 *
 * More than anyone measures beside a photograph.
 */
#define RHY_PHOTO_MAX_DIAMETERS 16

/**
 * RhyPhotoKnown:
 * @height_mm: height of the rim mark above the base mark, along the axis, > 0
 * @u_height_mm: its standard uncertainty; 0: %RHY_HEIGHT_U_MM
 * @diameters: (array length=n_diameters) (nullable): measured diameters
 * @n_diameters: up to %RHY_PHOTO_MAX_DIAMETERS
 * @distance_mm: from the camera's lens to the vessel's axis; 0: not measured
 * @u_distance_mm: its standard uncertainty; 0: a hundredth of it and 10 mm
 *
 * What was measured beside the photograph.
 */
typedef struct
{
  double                  height_mm, u_height_mm;
  const RhyPhotoDiameter *diameters;
  gsize                   n_diameters;
  double                  distance_mm, u_distance_mm;
} RhyPhotoKnown;

/**
 * RhyPhotoProfile:
 * @n: number of stations
 * @heights_mm, @diameters_mm, @u_mm: (array length=n): strictly increasing heights from
 *   the base mark (0) to the rim mark, outside diameters, their standard uncertainties; an end
 *   where the wall turns in too steeply for the picture is left out
 * @typical_u_mm: the median of @u_mm
 * @worst_u_mm, @worst_u_height_mm: the greatest, and where
 * @noise_mm: standard deviation of a single station's diameter, part of @u_mm
 * @distance_mm, @u_distance_mm: from the lens to the axis, as used
 * @eye_height_mm, @u_eye_height_mm: of the lens above the base mark
 * @tilt_rad, @u_tilt_rad: how far the camera looks down, about the vessel's own level
 * @focal_px: focal length in pixels
 * @pixel_mm: what a pixel covers at the axis
 * @blur_px: as the outline has it
 * @asymmetry_mm: root mean square of the left radius less the right, where both are used
 * @worst_asymmetry_mm, @worst_asymmetry_height_mm: the greatest of its means over some
 *   rows, signed, and where
 * @one_sided: share of the stations that only one side tells, the other hidden by a
 *   handle or not found
 * @end_found: whether the edges of the base and rim told the camera's height; else only the marks
 * @axis: the axis in the picture, as refined, at the levels of base and rim
 * @n_walls: length of @wall_px
 * @wall_px: (array length=n_walls): what was used of the outline, in the picture
 * @doubt: (nullable): what was measured that does not go with the picture, in one line
 *
 * Call rhy_photo_profile_free() on it.
 */
typedef struct
{
  gsize     n;
  double   *heights_mm, *diameters_mm, *u_mm;
  double    typical_u_mm;
  double    worst_u_mm, worst_u_height_mm;
  double    noise_mm;
  double    distance_mm, u_distance_mm;
  double    eye_height_mm, u_eye_height_mm;
  double    tilt_rad, u_tilt_rad;
  double    focal_px;
  double    pixel_mm;
  double    blur_px;
  double    asymmetry_mm;
  double    worst_asymmetry_mm, worst_asymmetry_height_mm;
  double    one_sided;
  gboolean  end_found[2];
  RhyPoint  axis[2];
  gsize     n_walls;
  RhyPoint *wall_px;
  char     *doubt;
} RhyPhotoProfile;

/**
 * rhy_photo_profile_new:
 * @outline: found in a picture whose optical axis goes through its middle
 *
 * The profile that a photograph shows, corrected for perspective. The outline of a
 * surface of revolution is where rays from the lens touch it, not its section; the
 * point of the profile that each ray touches follows from the ray's direction and
 * the outline's slope there. Distance, height, tilt and focal length of the camera
 * are found together, by least squares, from what was measured, from the marks and
 * from the curved edges of base and rim, which tell how far above or below them the
 * lens was. What stays unknown of them, of the lens's distortion and of the exact
 * place of the edges is carried into the uncertainty (JCGM 100:2008).
 *
 * A photograph shows one direction: an oval vessel shows one of its diameters. What
 * another part hides is not seen: a hollow is filled up as far as the rays reach.
 *
 * Returns: (transfer full): %NULL with %RHY_ERROR_PROFILE (measurements that are no lengths,
 *   too little outline) or %RHY_ERROR_NO_CONVERGENCE (nothing fits them together).
 */
RHY_API
RhyPhotoProfile *rhy_photo_profile_new (const RhyOutline *outline, const RhyPhotoKnown *known, GError **error);
RHY_API
void rhy_photo_profile_free (RhyPhotoProfile *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyPhotoProfile, rhy_photo_profile_free)

/**
 * rhy_photo_profile_to_text:
 * @source: (nullable): what to call the picture
 *
 * Returns: (transfer full): a profile file (rhy_profile_read()): what is known of it in
 *   lines that start with #, then height and diameter a line.
 */
RHY_API
char *rhy_photo_profile_to_text (const RhyPhotoProfile *self, const char *source);

/** rhy_photo_profile_describe: Returns: (transfer full): what was found, lines for people. */
RHY_API
char *rhy_photo_profile_describe (const RhyPhotoProfile *self);

/**
 * rhy_tangent_point:
 * @distance_mm: from the eye to the axis
 * @eye_mm: height of the eye
 * @a, @c: direction of the ray: for each mm towards the axis, so far aside and so far up
 * @slope: da/dc along the outline there
 * @z_mm, @r_mm: (out): height and radius where the ray touches the surface
 *
 * The correction itself. A ray at depth t is a·t aside and c·t above the eye, so
 * r² = a²t² + (t - D)²; the surface is the envelope of the rays of its outline.
 */
RHY_API
void rhy_tangent_point (double distance_mm, double eye_mm, double a, double c, double slope,
                        double *z_mm, double *r_mm);

G_END_DECLS
