/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/bend.h>
#include <rhyton/exposure.h>
#include <rhyton/job.h>
#include <rhyton/profile-file.h>
#include <rhyton/readings.h>
#include <rhyton/stretch.h>
#include <rhyton/uncertainty.h>
#include <rhyton/unroll.h>

G_BEGIN_DECLS

/**
 * RhyPlan:
 *
 * A job worked out: its wall, the artwork at its size, the maps, and the numbers
 * that follow. Everything that shows or makes something starts from a plan.
 * Opaque, reference counted, immutable.
 */
typedef struct _RhyPlan RhyPlan;

/**
 * RhyPlanNumbers:
 * @s_low_mm, @s_high_mm: the ink's band along the slant (where it is on the wall)
 * @angle_low_rad, @angle_high_rad: the ink's reach around
 * @past_rim_mm, @past_base_mm: how far ink would reach off the wall along it, 0 if not
 *   (or by less than the job's tolerance, which shows nowhere)
 * @n_unseen: points of the ink that have no place even on a wall carried on: behind
 *   the silhouette, beyond the apex
 * @nodes_in, @nodes_out: lines and curves of one copy, as it came in and as it is bent
 * @lightened_mm: what merging nodes may have moved outlines by, 0: nothing was merged
 * @best_tilt_rad: tilt of least spread of focus over the ink
 * @tilt_rad: the tilt taken: automatic ones keep to what the machine can do
 */
typedef struct
{
  RhyWallPoint    anchor;
  double          s_low_mm, s_high_mm;
  double          angle_low_rad, angle_high_rad;
  double          past_rim_mm, past_base_mm;
  gsize           n_unseen;
  double          width_mm, height_mm;        /* ink box of one copy in art space */
  double          span_rad;                   /* that width as an angle at the anchor */
  double          font_size_mm;               /* of lettering: its em at that size; 0: none */
  gsize           nodes_in, nodes_out;
  double          lightened_mm;
  double          shrink;                     /* to WidthMax=: 1 where it fits without */
  guint           copies;                     /* around; 1 where the lay cannot be repeated */
  double          copy_span_rad;              /* how far one copy reaches around */
  double          travel_per_turn_mm;
  double          reference_diameter_mm;
  double          best_tilt_rad;
  double          tilt_rad;
  double          focus_least_mm, focus_greatest_mm;  /* over the ink, from the anchor */
  double          exposure_min, exposure_max;         /* energy per mm^2 relative to the reference ring */
} RhyPlanNumbers;

/**
 * rhy_plan_new:
 * @artwork: (nullable): the job's artwork as it came in, when the caller has it
 *   already (a window that drags); %NULL: read it
 *
 * Never fails because the job is not ready (that is the verdict's to say): only
 * where nothing can be worked out: no wall, artwork that cannot be read, an anchor
 * off the wall. A job that names no artwork makes a plan without ink. Messages
 * begin with the name of the file they are about.
 */
RHY_API
RhyPlan *rhy_plan_new (RhyJob *job, RhyArtwork *artwork, GCancellable *cancellable, GError **error);

/**
 * rhy_plan_new_like:
 * @sources: (array) (nullable): one for each artwork of the job, as it came in; %NULL: read it
 * @like: (nullable): a plan whose artwork is taken over where the job names the same
 *
 * As rhy_plan_new(), for many jobs that have most in common.
 */
RHY_API
RhyPlan *rhy_plan_new_like (RhyJob *job, RhyArtwork *const *sources, const RhyPlan *like, GCancellable *cancellable,
                            GError **error);

/**
 * rhy_plan_renewed:
 * @job: @self's job, edited
 *
 * As rhy_plan_new() with the artwork that @self came with; what an edit has not touched
 * (the artwork at its size, its outlines) is taken over, so that dragging is cheap.
 */
RHY_API
RhyPlan *rhy_plan_renewed (RhyPlan *self, RhyJob *job, GError **error);

/**
 * rhy_job_make_wall:
 *
 * The wall alone, without the artwork, as rhy_plan_get_wall() has it: for what must be
 * there at once while somebody types readings.
 *
 * Returns: (transfer full): the wall of the job's readings or profile file; %NULL with the
 *   message that rhy_plan_new() would give.
 */
RHY_API
RhyWall *rhy_job_make_wall (const RhyJob *job, GError **error);

RHY_API
RhyPlan *rhy_plan_ref (RhyPlan *self);
RHY_API
void rhy_plan_unref (RhyPlan *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhyPlan, rhy_plan_unref)

/* All borrowed. */
RHY_API
RhyJob *rhy_plan_get_job (const RhyPlan *self);
RHY_API
RhyWall *rhy_plan_get_wall (const RhyPlan *self);
/** rhy_plan_get_fit: Returns: how the wall was found, and how well it explains the readings. */
RHY_API
const RhyFit *rhy_plan_get_fit (const RhyPlan *self);
/** rhy_plan_get_profile: Returns: (nullable): what a profile file was fitted with; %NULL for readings. */
RHY_API
const RhyProfileReport *rhy_plan_get_profile (const RhyPlan *self);
/** rhy_plan_describe_wall: Returns: (transfer full): what the wall was found to be, in one line. */
RHY_API
char *rhy_plan_describe_wall (const RhyPlan *self);
/**
 * rhy_plan_get_uncertainty:
 * @uncertainty: (out): standard uncertainties of what will be printed, from those of the readings
 *
 * For a profile file, whose rows' noise averages out, the instrument's own
 * uncertainty (DiameterUncertainty) is taken as common to all rows: it scales
 * the width; the other figures are NAN.
 *
 * Returns: %FALSE, @uncertainty untouched, where there is none to give (no ink, or
 *   readings that make no wall when moved).
 */
RHY_API
gboolean rhy_plan_get_uncertainty (const RhyPlan *self, RhyPrintUncertainty *uncertainty);
/** rhy_plan_advise_reading: Returns: (transfer full) (nullable): as rhy_print_uncertainty_advice(); %NULL for a profile file. */
RHY_API
char *rhy_plan_advise_reading (const RhyPlan *self, const RhyPrintUncertainty *uncertainty);
/**
 * rhy_plan_get_n_parts: Returns: how many artworks the job has, at least 1.
 */
RHY_API
gsize rhy_plan_get_n_parts (const RhyPlan *self);
/**
 * rhy_plan_get_part:
 *
 * Returns: the plan of artwork @i alone: its own artwork, lay, ink and numbers; wall,
 *   drive and unroll are the whole plan's. Of one artwork it is the plan itself. What the
 *   whole plan says of an artwork it says of the first; its numbers go over all ink
 *   (band, reach, focus, exposure) and its stretch too, its sizes and anchor are the first one's.
 */
RHY_API
const RhyPlan *rhy_plan_get_part (const RhyPlan *self, gsize i);
/** rhy_plan_get_group: Returns: the job's group that says where the (first) artwork goes. */
RHY_API
const RhyJobArtwork *rhy_plan_get_group (const RhyPlan *self);
/** rhy_plan_get_source: the artwork as it came in. */
RHY_API
RhyArtwork *rhy_plan_get_source (const RhyPlan *self);
/** rhy_plan_get_artwork: the artwork at its size, (0, 0) its anchor, strokes as the job asks. */
RHY_API
RhyArtwork *rhy_plan_get_artwork (const RhyPlan *self);
RHY_API
RhyMap *rhy_plan_get_lay (const RhyPlan *self);
RHY_API
RhyMap *rhy_plan_get_drive (const RhyPlan *self);
RHY_API
RhyMap *rhy_plan_get_unroll (const RhyPlan *self);
RHY_API
const RhyPlanNumbers *rhy_plan_get_numbers (const RhyPlan *self);
/**
 * rhy_plan_find_line_bands:
 * @bands: (out caller-allocates): room for %RHY_LINE_BANDS_MAX
 *
 * The rings that the job's areas are filled in at a line distance of their own, over all ink.
 *
 * Returns: how many; 0 where the job asks for none, or has no ink
 */
RHY_API
guint rhy_plan_find_line_bands (const RhyPlan *self, RhyLineBand *bands);
/** rhy_plan_get_stretch: Returns: of the lay, over the ink; worked out when first asked for, in any thread. */
RHY_API
const RhyStretchRange *rhy_plan_get_stretch (const RhyPlan *self);
/** rhy_plan_get_ink: Returns: (array length=n): samples of the ink, art space. */
RHY_API
const RhyArtPoint *rhy_plan_get_ink (const RhyPlan *self, gsize *n);
/** rhy_plan_get_spacing: Returns: greatest distance between neighbours among those, mm. */
RHY_API
double rhy_plan_get_spacing (const RhyPlan *self);

/**
 * rhy_plan_dup_map:
 *
 * Returns: (transfer full): the map from one space to another, %NULL with
 *   %RHY_ERROR_UNSUPPORTED for from = to.
 */
RHY_API
RhyMap *rhy_plan_dup_map (const RhyPlan *self, RhySpace from, RhySpace to, GError **error);

/**
 * RhyDots:
 * @per_inch: how fine pictures and gradients are in a drawing; 0: they are left out, and
 *   each shape has the one colour that comes nearest
 * @corner: a corner of dots, in the drawing's space: all its pictures share one raster
 * @quick: the drawing is gone with the next movement of a hand: a picture much finer than the dots
 *   is halved first, plainly, and the halves are kept for the next time
 */
typedef struct
{
  double   per_inch;
  RhyPoint corner;
  gboolean quick;
} RhyDots;

/**
 * rhy_plan_bend:
 * @to: %RHY_SPACE_BED or %RHY_SPACE_PATTERN
 * @report: (out) (optional)
 *
 * Pictures and gradients become pictures in @to at the job's dots an inch, in its shades, with
 * a corner of dots at (0, 0).
 *
 * Returns: (transfer full): the artworks bent, one after another: same shapes, paints and clips,
 *   paths in @to; pens keep their width as the mean of the map's scale over the shape.
 *   %RHY_ERROR_OUTSIDE if ink is off the wall, %RHY_ERROR_ARTWORK if there is no ink,
 *   %RHY_ERROR_LIMIT if its pictures have more than %RHY_RASTER_PIXELS_MAX dots.
 */
RHY_API
RhyArtwork *rhy_plan_bend (const RhyPlan *self, RhySpace to, RhyBendReport *report, GError **error);

/** rhy_plan_bend_dots: @dots: (nullable): instead of the job's dots an inch; always from the pictures as they came in. */
RHY_API
RhyArtwork *rhy_plan_bend_dots (const RhyPlan *self, RhySpace to, const RhyDots *dots, RhyBendReport *report, GError **error);

G_END_DECLS
