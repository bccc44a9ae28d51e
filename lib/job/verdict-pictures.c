/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "verdict-private.h"

#include <math.h>

#include "print.h"

/* A picture whose own dots are this much larger than the drawing's looks soft. Common
 * practice in print, no source: two thirds of the resolution still look sharp. */
#define COARSE 1.5

static const char *const picture_words[RHY_PICTURE_N_KINDS] = {
  [RHY_PICTURE_IMAGE] = "picture",
  [RHY_PICTURE_FILTER] = "filter effect",
  [RHY_PICTURE_MASK] = "mask",
  [RHY_PICTURE_GRADIENT] = "gradient",
  [RHY_PICTURE_PATTERN] = "pattern fill",
  [RHY_PICTURE_BLEND] = "blend mode",
  [RHY_PICTURE_UNKNOWN] = "element without outlines",
};

/* ---- what will be missing ---- */

static void
check_missing (RhyVerdict    *self,
               const RhyPlan *part)
{
  const RhyArtwork *artwork = rhy_plan_get_artwork (part);
  gsize counts[RHY_PICTURE_N_KINDS] = { 0 };
  const gsize n = rhy_artwork_get_n_pictures (artwork);
  gsize missing = 0;
  RhyBounds box = RHY_BOUNDS_EMPTY;
  for (gsize i = 0; i < n; i++)
    {
      const RhyPicture *p = rhy_artwork_get_picture (artwork, i);
      if (p->is_drawn)
        continue;
      missing++;
      counts[p->kind]++;
      box = rhy_bounds_union (box, p->box);
    }
  if (missing == 0)
    return;
  g_autoptr (GString) list = g_string_new (NULL);
  for (guint k = 0; k < RHY_PICTURE_N_KINDS; k++)
    if (counts[k] > 0)
      g_string_append_printf (list, "%s%" G_GSIZE_FORMAT " %s%s", list->len > 0 ? ", " : "", counts[k],
                              picture_words[k], counts[k] > 1 ? "s" : "");
  rhy_verdict_find (self, RHY_LEVEL_STOP, "picture-inside",
                    rhy_print ("The artwork holds what has no outlines and will be missing from the drawing: %s, "
                               "in an area of %.1f x %.1f mm. Turn it into outlines in the program that drew it.",
                               list->str, rhy_bounds_is_empty (box) ? 0.0 : box.max_x - box.min_x,
                               rhy_bounds_is_empty (box) ? 0.0 : box.max_y - box.min_y),
                    NAN, NAN);
}

/* ---- what is drawn as a picture ---- */

typedef struct
{
  guint            pictures, gradients;
  double           fine_mm, coarse_mm;  /* sides of the pictures' own dots, before any stretch */
  const RhyRaster *coarsest;            /* of those that are to look smooth */
  double           coarsest_mm;
} Paints;

static void
count_paint (Paints         *paints,
             const RhyPaint *paint)
{
  if (paint == NULL)
    return;
  if (paint->kind != RHY_PAINT_RASTER)
    {
      paints->gradients++;
      return;
    }
  const RhyAffine m = paint->matrix;
  const double a = hypot (m.xx, m.yx);
  const double b = hypot (m.xy, m.yy);
  paints->pictures++;
  paints->fine_mm = MIN (paints->fine_mm, MIN (a, b));
  paints->coarse_mm = MAX (paints->coarse_mm, MAX (a, b));
  if (paint->smooth && MAX (a, b) > paints->coarsest_mm)
    {
      paints->coarsest = paint->raster;
      paints->coarsest_mm = MAX (a, b);
    }
}

static Paints
count_paints (const RhyArtwork *artwork,
              guint             copies)
{
  Paints paints = { .fine_mm = G_MAXDOUBLE };
  const gsize n = rhy_artwork_get_n_shapes (artwork) / copies;
  for (gsize i = 0; i < n; i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      count_paint (&paints, shape->has_fill ? shape->fill_paint : NULL);
      count_paint (&paints, shape->has_stroke ? shape->stroke_paint : NULL);
    }
  return paints;
}

/* NULL: there are none. */
static char *
list_of (const Paints *paints)
{
  const guint p = paints->pictures;
  const guint g = paints->gradients;
  if (p > 0 && g > 0)
    return g_strdup_printf ("%u picture%s and %u gradient%s", p, p == 1 ? "" : "s", g, g == 1 ? "" : "s");
  if (p + g > 0)
    return g_strdup_printf ("%u %s%s", p + g, p > 0 ? "picture" : "gradient", p + g == 1 ? "" : "s");
  return NULL;
}

static void
check_painted (RhyVerdict    *self,
               const RhyPlan *part)
{
  static const char *const shades[] = {
    [RHY_SHADES_GREY] = "in greys: power has to follow them; for a machine that only knows on and off set [Artwork] Shades=dots",
    [RHY_SHADES_DOTS] = "in black dots",
    [RHY_SHADES_COLOUR] = "in their own colours",
  };
  const RhyArtwork *artwork = rhy_plan_get_artwork (part);
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (part));
  const RhyStretchRange *stretch = rhy_plan_get_stretch (part);
  const Paints paints = count_paints (artwork, rhy_plan_get_numbers (part)->copies);
  g_autofree char *list = list_of (&paints);
  if (list == NULL)
    return;

  const double dot_mm = 25.4 / d->output.dots_per_inch;
  g_autofree char *size = paints.pictures == 0 ? g_strdup ("")
                          : rhy_print (" The pictures' own dots are %.3f to %.3f mm on the wall.",
                                       paints.fine_mm * stretch->minor_min, paints.coarse_mm * stretch->major_max);
  rhy_verdict_find (self, RHY_LEVEL_NOTE, "picture-inside",
                    rhy_print ("%s %s of %.4g dots an inch (%.3f mm), bent like the outlines, %s.%s",
                               list, paints.pictures + paints.gradients == 1 ? "is drawn as a picture" : "are drawn as pictures", d->output.dots_per_inch, dot_mm,
                               shades[rhy_plan_get_group (part)->shades], size),
                    NAN, NAN);

  const double largest_mm = paints.coarsest_mm * stretch->major_max;
  if (paints.coarsest == NULL || !(largest_mm > COARSE * dot_mm))
    return;
  const guint width = rhy_raster_get_width (paints.coarsest);
  const guint height = rhy_raster_get_height (paints.coarsest);
  const double more = largest_mm / dot_mm;
  rhy_verdict_find (self, RHY_LEVEL_CARE, "picture-coarse",
                    rhy_print ("A picture of %u x %u pixels has dots of %.2f mm on the wall, coarser than the drawing's %.3f mm, and "
                               "will look soft. Take one of %.0f x %.0f pixels, make it smaller, or trace it.",
                               width, height, largest_mm, dot_mm, ceil (width * more), ceil (height * more)),
                    NAN, NAN);
}

/* ---- what was traced ---- */

static void
check_traced (RhyVerdict    *self,
              const RhyPlan *part)
{
  const RhyJobArtwork *group = rhy_plan_get_group (part);
  if (!group->trace)
    return;
  const Paints paints = count_paints (rhy_plan_get_source (part), 1);
  g_autofree char *list = list_of (&paints);
  if (list != NULL)
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "picture-traced",
                      rhy_print ("%s %s traced to outlines: ink is what is darker than %.4g of the way to white, without specks and "
                                 "holes under %.4g mm, within %.4g mm of the edges where the picture is fine enough to tell. "
                                 "Look at it in the preview.",
                                 list, paints.pictures + paints.gradients == 1 ? "is" : "are", group->trace_threshold,
                                 group->trace_speck_mm,
                                 2.0 * rhy_job_get_data (rhy_plan_get_job (part))->output.tolerance_mm),
                      NAN, NAN);
}

/* ---- what came in with more nodes than it needs ---- */

static void
check_nodes (RhyVerdict *self)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (self->part);
  if (n->lightened_mm > 0.0)
    rhy_verdict_find (self, RHY_LEVEL_NOTE, "lightened",
                      rhy_print ("The artwork came in with %" G_GSIZE_FORMAT " lines and curves and goes on with %" G_GSIZE_FORMAT
                                 ": runs that one curve can carry are merged, within %.4f mm.",
                                 n->nodes_in, n->nodes_out, n->lightened_mm),
                      NAN, NAN);
}

void
rhy_verdict_check_pictures (RhyVerdict *self)
{
  check_nodes (self);
  check_missing (self, self->part);
  check_traced (self, self->part);
  check_painted (self, self->part);
}
