/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <rhyton/job.h>
#include <rhyton/paint.h>

G_BEGIN_DECLS

/**
 * RhySection:
 *
 * The vessel cut along its axis: wall, readings, zones, and how high a volume stands in
 * it. Opaque, reference counted, immutable.
 */
typedef struct _RhySection RhySection;

/** RhySayLength: Returns: (transfer full): a length with its unit, as people read it. */
typedef char *(*RhySayLength) (double mm, gpointer data);

/**
 * RhySectionLook:
 * @ink: lines and figures
 * @paper: what the drawing lies on; it is put behind figures
 * @accent: the reading that is marked, and what stands in the vessel
 * @text_px: em of the figures, >= 6
 * @scale: pixels of the picture for one of these, > 0
 * @marked: index of a reading, from the lowest; -1: none
 * @say: (nullable): %NULL: mm to a tenth, with a point
 * @data: for @say
 */
typedef struct
{
  RhyColour    ink, paper, accent;
  double       text_px;
  double       scale;
  int          marked;
  RhySayLength say;
  gpointer     data;
} RhySectionLook;

#define RHY_SECTION_LOOK_INIT                                                                   \
  { .ink = { 0.13, 0.15, 0.18, 1.0 }, .paper = { 1.0, 1.0, 1.0, 1.0 }, .accent = { 0.05, 0.36, 0.50, 1.0 }, \
    .text_px = 12.0, .scale = 1.0, .marked = -1 }

/**
 * rhy_section_new:
 * @volume_ml: to see how high it stands; 0: none
 *
 * Returns: (transfer full): %NULL where the job's readings make no wall. A volume that it
 *   does not hold, or an inside without room, is no error: see rhy_section_describe_level().
 */
RHY_API
RhySection *rhy_section_new (const RhyJob *job, double volume_ml, GError **error);
RHY_API
RhySection *rhy_section_ref (RhySection *self);
RHY_API
void rhy_section_unref (RhySection *self);
G_DEFINE_AUTOPTR_CLEANUP_FUNC (RhySection, rhy_section_unref)

/** rhy_section_get_level: Returns: how high the volume stands above the base, mm; NAN: not at all. */
RHY_API
double rhy_section_get_level (const RhySection *self);

/**
 * rhy_section_describe:
 *
 * Returns: (transfer full): what the drawing shows, in one line for somebody who does not
 *   see it, e.g. "Section: 3 readings, 92.0 mm high, 74.0 mm to 88.0 mm across".
 */
RHY_API
char *rhy_section_describe (const RhySection *self, const RhySectionLook *look);

/**
 * rhy_section_describe_level:
 *
 * Returns: (transfer full) (nullable): e.g. "250 ml stand 71.3 mm above the base.", or why
 *   they do not; %NULL without a volume.
 */
RHY_API
char *rhy_section_describe_level (const RhySection *self, const RhySectionLook *look);

/**
 * rhy_section_render:
 * @pixels: @height x @stride bytes, filled with premultiplied BGRA (cairo's ARGB32)
 * @width, @height: pixels
 *
 * Wall (cut, where its thickness is known), axis, table, readings with twice their
 * standard uncertainties (enlarged where they would not be seen, which is then said), zones, diameters at
 * both ends, height, the marked reading's two figures, fill line and level. Nothing
 * but the drawing: what is behind it is left clear.
 */
RHY_API
void rhy_section_render (const RhySection *self, const RhySectionLook *look, guint8 *pixels, int width, int height,
                         int stride);

/**
 * rhy_section_locate:
 * @height_mm, @radius_mm: a point of the section; a radius below 0 is on the left
 * @x, @y: (out): pixels from the picture's upper left
 */
RHY_API
void rhy_section_locate (const RhySection *self, const RhySectionLook *look, int width, int height, double height_mm,
                         double radius_mm, double *x, double *y);

/** rhy_section_pick: Returns: the reading drawn nearest to a pixel, within an em; -1: none. */
RHY_API
int rhy_section_pick (const RhySection *self, const RhySectionLook *look, int width, int height, double x, double y);

G_END_DECLS
