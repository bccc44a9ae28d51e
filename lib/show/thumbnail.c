/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/thumbnail.h>

#include <math.h>
#include <string.h>

#include <rhyton/brush.h>

#include "../art/late-cairo.h"
#include "../job/pictures.h"
#include "../job/plan-private.h"

#define MM_PER_INCH 25.4
#define MARGIN 0.05
#define SIDE_MAX 4096u

/* Where the artwork's middle goes, and how large a millimetre is. */
typedef struct
{
  RhyBounds box;
  double    per_mm;
} Fit;

static Fit
fit_into (RhyBounds box,
          guint     width,
          guint     height)
{
  const double room = 1.0 - 2.0 * MARGIN;
  const double w = MAX (box.max_x - box.min_x, 1e-9);
  const double h = MAX (box.max_y - box.min_y, 1e-9);
  return (Fit) { box, room * MIN (width / w, height / h) };
}

/* The shapes with their paints as the drawing will have them, at a pixel a dot or coarser. */
static RhyArtwork *
inked (const RhyPlan *plan,
       const Fit     *fit,
       guint          width,
       guint          height,
       GError       **error)
{
  const RhyJobData *job = rhy_job_get_data (plan->job);
  /* A corner of the picture is a corner of dots: at a pixel a dot they stay crisp. */
  const RhyPoint corner = { 0.5 * (fit->box.min_x + fit->box.max_x - width / fit->per_mm),
                            0.5 * (fit->box.min_y + fit->box.max_y + height / fit->per_mm) };
  const RhyDots dots = { .per_inch = MIN (MM_PER_INCH * fit->per_mm, job->output.dots_per_inch), .corner = corner };
  guint64 left = RHY_RASTER_PIXELS_MAX;
  RhyPictures pictures = rhy_pictures_for (job, plan->group, &dots, &left);
  const RhyBounds everywhere = { -G_MAXDOUBLE, -G_MAXDOUBLE, G_MAXDOUBLE, G_MAXDOUBLE };
  g_autoptr (RhyArtworkBuilder) builder = rhy_artwork_builder_new ();

  for (gsize i = 0; i < rhy_artwork_get_n_clips (plan->unit); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (plan->unit, i);
      rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
    }
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (plan->unit); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (plan->unit, i);
      RhyShape shape = rhy_shape_dup (source, rhy_path_ref (source->path));
      const gboolean ok = rhy_pictures_bend (&pictures, NULL, everywhere, &shape, error);
      rhy_artwork_builder_add_shape (builder, &shape);
      if (!ok)
        return NULL;
    }
  return rhy_artwork_builder_end (g_steal_pointer (&builder));
}

/* Returns: (transfer full) (nullable): the pixels row by row */
static guint32 *
painted (const RhyArtwork *artwork,
         const Fit        *fit,
         guint             width,
         guint             height)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, (int) width, (int) height);
  cairo_t *cr = cairo_create (surface);
  cairo_set_source_rgb (cr, 1.0, 1.0, 1.0);
  cairo_paint (cr);
  cairo_translate (cr, 0.5 * width, 0.5 * height);
  cairo_scale (cr, fit->per_mm, -fit->per_mm);
  cairo_translate (cr, -0.5 * (fit->box.min_x + fit->box.max_x), -0.5 * (fit->box.min_y + fit->box.max_y));
  rhy_brush_artwork (cr, artwork, 1.0 / fit->per_mm);
  const gboolean ok = cairo_status (cr) == CAIRO_STATUS_SUCCESS;
  cairo_destroy (cr);
  cairo_surface_flush (surface);

  guint32 *pixels = ok ? g_try_malloc_n ((gsize) width * height, sizeof (guint32)) : NULL;
  const guint8 *from = cairo_image_surface_get_data (surface);
  const int stride = cairo_image_surface_get_stride (surface);
  for (guint y = 0; pixels != NULL && y < height; y++)
    memcpy (pixels + (gsize) width * y, from + (gsize) stride * y, (gsize) width * 4);
  cairo_surface_destroy (surface);
  return pixels;
}

RhyRaster *
rhy_thumbnail_new (const RhyPlan *plan,
                   gboolean       original,
                   guint          width,
                   guint          height,
                   GError       **error)
{
  g_return_val_if_fail (plan != NULL, NULL);
  g_return_val_if_fail (width > 0 && height > 0 && width <= SIDE_MAX && height <= SIDE_MAX, NULL);

  const RhyPlan *part = rhy_plan_get_part (plan, 0);
  RhyArtwork *source = original ? part->source : part->unit;
  const RhyBounds box = rhy_artwork_get_ink_box (source);
  if (rhy_bounds_is_empty (box))
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "there is no ink to show");
      return NULL;
    }
  const Fit fit = fit_into (box, width, height);
  g_autoptr (RhyArtwork) artwork = original ? rhy_artwork_ref (source) : inked (part, &fit, width, height, error);
  if (artwork == NULL)
    return NULL;
  guint32 *pixels = painted (artwork, &fit, width, height);
  if (pixels == NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_LIMIT, "not enough memory for the picture");
      return NULL;
    }
  return rhy_raster_new (width, height, pixels);
}
