/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/drawing.h>

#include <rhyton/free-area.h>
#include <rhyton/shade.h>
#include <rhyton/slice.h>

#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "../job/save.h"
#include "draft.h"
#include "drawing-cuts.h"
#include "separation.h"

gboolean
rhy_format_from_name (const char *file_name,
                      RhyFormat  *format,
                      GError    **error)
{
  static const struct { const char *ending; RhyFormat format; } formats[] = {
    { ".svg", RHY_FORMAT_SVG }, { ".pdf", RHY_FORMAT_PDF }, { ".png", RHY_FORMAT_PNG },
  };
  g_return_val_if_fail (file_name != NULL && format != NULL, FALSE);

  const gsize n = strlen (file_name);
  for (gsize i = 0; i < G_N_ELEMENTS (formats); i++)
    if (n >= 4 && g_ascii_strcasecmp (file_name + n - 4, formats[i].ending) == 0)
      {
        *format = formats[i].format;
        return TRUE;
      }
  g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED,
               "%s: the ending must be .svg, .pdf or .png", file_name);
  return FALSE;
}

/* --- bed ------------------------------------------------------------------ */

#define MARK_ARM_MM 3.0
#define MARK_LINE_MM 0.1
#define AREA_LINE_MM 0.2
#define AREA_DASH_MM 2.0

static char *
describe_bed (RhyPlan *plan)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyRing ring = rhy_wall_at (rhy_plan_get_wall (plan), n->anchor.s);
  static const char *const mouths[2][2] = { { "right", "left" }, { "top", "bottom" } };
  RhyDigits travel, tilt, height, around;

  return g_strdup_printf ("Bed drawing for a rotary axis along %s, mouth towards the %s of the page. "
                          "Travel per turn %s mm, tilt %s degrees%s. True millimetres: do not scale, mirror or turn. "
                          "(0, 0) is the mark: height %s mm, %s degrees around.",
                          data->machine.axis == RHY_AXIS_X ? "x" : "y",
                          mouths[data->machine.axis][data->machine.mouth],
                          rhy_say (travel, n->travel_per_turn_mm, 3), rhy_say (tilt, rhy_degrees (n->tilt_rad), 2),
                          data->machine.turn_reversed ? ", turn reversed (drawn mirrored on purpose)" : "",
                          rhy_say (height, ring.z_mm, 2), rhy_say (around, rhy_degrees (n->anchor.angle), 2));
}

/* Outwards to a hundredth of a mm, so that page sizes are round numbers. */
static double
outwards (double half)
{
  return ceil (half * 100.0 - 1e-6) / 100.0;
}

/* @area: (nullable): drawn besides the ink */
static RhyBounds
bed_page (RhyPlan       *plan,
          RhyBounds      ink,
          const RhyPath *area)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  double half_x = MAX (fabs (ink.min_x), fabs (ink.max_x));
  double half_y = MAX (fabs (ink.min_y), fabs (ink.max_y));
  for (gsize i = 0; area != NULL && i < area->n_points; i++)
    {
      half_x = MAX (half_x, fabs (area->points[i].x) + 0.5 * AREA_LINE_MM);
      half_y = MAX (half_y, fabs (area->points[i].y) + 0.5 * AREA_LINE_MM);
    }
  if (data->output.mark)
    {
      half_x = MAX (half_x, MARK_ARM_MM);
      half_y = MAX (half_y, MARK_ARM_MM);
    }
  half_x = outwards (half_x);
  half_y = outwards (half_y);

  if (data->output.page == RHY_PAGE_TURN)
    {
      /* What reaches past half a turn, as artwork on the far side does, is never cut. */
      const double half_turn = 0.5 * rhy_plan_get_numbers (plan)->travel_per_turn_mm;
      if (data->machine.axis == RHY_AXIS_X)
        half_y = MAX (half_y, half_turn);
      else
        half_x = MAX (half_x, half_turn);
    }
  return (RhyBounds) { -half_x, -half_y, half_x, half_y };
}

/* Where ink may be, on the bed. Slant goes along one axis and angle along the other, so that lines
 * along them stay such lines on any wall. */
static RhyPath *
free_area_on_bed (const RhyPlan *plan)
{
  g_autoptr (RhyPath) wall = rhy_plan_free_area (plan);
  RhyPath *bed = rhy_path_new ();
  gsize point = 0;
  for (gsize i = 0; i < wall->n_verbs; i++)
    {
      if (wall->verbs[i] == RHY_PATH_CLOSE)
        {
          rhy_path_close (bed);
          continue;
        }
      RhyPoint at = { 0.0, 0.0 };
      rhy_map_point (rhy_plan_get_drive (plan), wall->points[point++], &at);
      if (wall->verbs[i] == RHY_PATH_MOVE)
        rhy_path_move_to (bed, at.x, at.y);
      else
        rhy_path_line_to (bed, at.x, at.y);
    }
  return bed;
}

static gboolean
has_paints (const RhyArtwork *artwork)
{
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (artwork); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (artwork, i);
      if (shape->fill_paint != NULL || shape->stroke_paint != NULL)
        return TRUE;
    }
  return FALSE;
}

/* A name as people write it, fit for an id. */
static char *
id_for (guint       number,
        const char *name)
{
  g_autofree char *plain = g_strdup (name != NULL ? name : "");
  g_strcanon (plain, G_CSET_a_2_z G_CSET_A_2_Z "0123456789_", '-');
  return g_strdup_printf ("artwork-%u%s%s", number, *plain != '\0' ? "-" : "", plain);
}

/* Which of its shades all of @ink is; NULL: none. */
static char *
shade_title (const RhyPlan    *part,
             const RhyArtwork *ink)
{
  const RhyJobArtwork *group = rhy_plan_get_group (part);
  const RhyShape *shape = rhy_artwork_get_n_shapes (ink) > 0 ? rhy_artwork_get_shape (ink, 0) : NULL;
  if (group->ink != RHY_INK_SHADES || shape == NULL || !shape->has_fill || shape->fill_paint != NULL)
    return NULL;
  return g_strdup_printf ("shade %u of %u", rhy_colour_shade (shape->fill, group->ink_shades), group->ink_shades);
}

/* What of an artwork goes into a group. */
typedef struct _Part Part;
struct _Part
{
  RhyArtwork *(*take) (RhyArtwork *all, const Part *self);
  RhySliceWay way;
  double      low, high;
};

static RhyArtwork *
take_slice (RhyArtwork *all,
            const Part *self)
{
  return rhy_artwork_slice (all, self->way, self->low, self->high);
}

static RhyArtwork *
take_pictures (RhyArtwork *all,
               const Part *self)
{
  (void) self;
  return rhy_artwork_pictures (all);
}

static RhyArtwork *
take_lines (RhyArtwork *all,
            const Part *self)
{
  (void) self;
  return rhy_artwork_lines (all);
}

static gboolean
any_of (RhyArtwork   *all,
        RhyArtwork *(*take) (RhyArtwork *self))
{
  g_autoptr (RhyArtwork) some = take (all);
  return rhy_artwork_get_n_shapes (some) > 0;
}

/* Each artwork's ink in a group of its own where there are several, in it one for each paint.
 * @of: (nullable): what of it; @ending: of ids; @number: (inout): the next group's */
static void
add_ink_of (RhyDraft      *draft,
            const RhyPlan *plan,
            RhyArtwork    *bent,
            const Part    *of,
            const char    *ending,
            guint         *number)
{
  const gsize n = rhy_plan_get_n_parts (plan);
  gsize first = 0;
  for (gsize i = 0; i < n; i++)
    {
      const RhyPlan *part = rhy_plan_get_part (plan, i);
      const gsize count = rhy_artwork_get_n_shapes (rhy_plan_get_artwork (part));
      g_autofree gsize *shapes = g_new (gsize, count + 1);
      for (gsize k = 0; k < count; k++)
        shapes[k] = first + k;
      first += count;
      g_autoptr (RhyArtwork) all = n > 1 ? rhy_artwork_subset (bent, shapes, count) : rhy_artwork_ref (bent);
      g_autoptr (RhyArtwork) own = of != NULL ? of->take (all, of) : g_steal_pointer (&all);
      if (of != NULL && rhy_artwork_get_n_shapes (own) == 0)
        continue;
      const char *name = rhy_plan_get_group (part)->name;
      g_autofree char *plain = id_for ((guint) i + 1, name);
      g_autofree char *id = g_strconcat (plain, ending, NULL);
      if (n > 1)
        rhy_draft_open_titled (draft, id, name);
      g_autoptr (GPtrArray) paints = rhy_artwork_by_paint (own);
      for (guint k = 0; k < paints->len; k++)
        {
          g_autofree char *shade = shade_title (part, paints->pdata[k]);
          g_autofree char *paint_name = shade != NULL ? g_strdup (shade) : rhy_artwork_paint_name (paints->pdata[k]);
          g_strdelimit (paint_name, " ", '-');
          g_autofree char *paint_id = g_strdup_printf ("ink-%u-%s", (*number)++, paint_name);
          rhy_draft_open_titled (draft, paint_id, shade);
          rhy_draft_add_artwork (draft, paints->pdata[k]);
          rhy_draft_close (draft);
        }
      if (n > 1)
        rhy_draft_close (draft);
    }
}

void
rhy_drawing_find_cuts (const RhyPlan     *plan,
                       const RhyLineBand *bands,
                       guint              n,
                       double            *cuts)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const gboolean along_x = data->machine.axis == RHY_AXIS_X;
  const double angle = rhy_plan_get_numbers (plan)->anchor.angle;
  /* Towards the mouth: right, or up the page, where y is less. */
  const double up = along_x == (data->machine.mouth == RHY_MOUTH_PLUS) ? 1.0 : -1.0;
  cuts[0] = -up * INFINITY;
  cuts[n] = up * INFINITY;
  for (guint i = 1; i < n; i++)
    {
      RhyPoint at = { 0.0, 0.0 };
      rhy_map_point (rhy_plan_get_drive (plan), (RhyPoint) { bands[i].s0_mm, angle }, &at);
      cuts[i] = along_x ? at.x : at.y;
    }
}

/* Bands are parted across the rotary axis. Pictures, whose lines are their dots, and lines, which
 * are no areas, stay whole: pictures beneath, lines above. */
static void
add_bands (RhyDraft          *draft,
           const RhyPlan     *plan,
           RhyArtwork        *bent,
           const RhyLineBand *bands,
           guint              n_bands)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhySliceWay way = data->machine.axis == RHY_AXIS_X ? RHY_SLICE_X : RHY_SLICE_Y;
  double cuts[RHY_LINE_BANDS_MAX + 1];
  rhy_drawing_find_cuts (plan, bands, n_bands, cuts);
  guint number = 1;
  if (any_of (bent, rhy_artwork_pictures))
    {
      rhy_draft_open_titled (draft, "pictures", "Pictures, whole: lines as far apart as their dots");
      add_ink_of (draft, plan, bent, &(Part) { .take = take_pictures }, "-pictures", &number);
      rhy_draft_close (draft);
    }
  for (guint i = 0; i < n_bands; i++)
    {
      const Part slice = { take_slice, way, MIN (cuts[i], cuts[i + 1]), MAX (cuts[i], cuts[i + 1]) };
      const double distance = data->output.line_distance_mm * bands[i].correction;
      RhyDigits low, high, mm, inch;
      g_autofree char *id = g_strdup_printf ("band-%u", i + 1);
      g_autofree char *ending = g_strconcat ("-", id, NULL);
      g_autofree char *title = g_strdup_printf ("Band %u of %u, height %s to %s mm: line distance %s mm, %s lines per inch", i + 1, n_bands,
                                                rhy_say (low, rhy_wall_at (rhy_plan_get_wall (plan), bands[i].s0_mm).z_mm, 2),
                                                rhy_say (high, rhy_wall_at (rhy_plan_get_wall (plan), bands[i].s1_mm).z_mm, 2),
                                                rhy_say (mm, distance, 4), rhy_say (inch, 25.4 / distance, 1));
      rhy_draft_open_titled (draft, id, title);
      add_ink_of (draft, plan, bent, &slice, ending, &number);
      rhy_draft_close (draft);
    }
  if (any_of (bent, rhy_artwork_lines))
    {
      rhy_draft_open_titled (draft, "lines", "Lines, whole");
      add_ink_of (draft, plan, bent, &(Part) { .take = take_lines }, "-lines", &number);
      rhy_draft_close (draft);
    }
}

static void
add_ink (RhyDraft      *draft,
         const RhyPlan *plan,
         RhyArtwork    *bent)
{
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  const guint n_bands = rhy_plan_find_line_bands (plan, bands);
  guint number = 1;
  rhy_draft_open (draft, "ink");
  if (n_bands > 0)
    add_bands (draft, plan, bent, bands, n_bands);
  else
    add_ink_of (draft, plan, bent, NULL, "", &number);
  rhy_draft_close (draft);
}

static gboolean
any_has_paints (const RhyPlan *plan)
{
  gboolean any = FALSE;
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan) && !any; i++)
    any = has_paints (rhy_plan_get_artwork (rhy_plan_get_part (plan, i)));
  return any;
}

GBytes *
rhy_drawing_bed (RhyPlan                 *plan,
                 RhyFormat                format,
                 const RhyDrawingOptions *options,
                 RhyBendReport           *report,
                 GError                 **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const RhyDrawingOptions defaults = RHY_DRAWING_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  /* A PNG's pictures are worked out on its own pixels, straight from their source; where those
   * lie follows from the outlines. */
  RhyDots dots = { .per_inch = 0.0 };
  g_autoptr (RhyArtwork) bent = rhy_plan_bend_dots (plan, RHY_SPACE_BED, format == RHY_FORMAT_PNG ? &dots : NULL, report, error);
  if (bent == NULL)
    return NULL;
  const gboolean has_area = options->free_area || rhy_job_get_data (rhy_plan_get_job (plan))->output.free_area;
  g_autoptr (RhyPath) area = has_area ? free_area_on_bed (plan) : NULL;
  const RhyBounds page = bed_page (plan, rhy_artwork_get_ink_box (bent), area);
  if (format == RHY_FORMAT_PNG && any_has_paints (plan))
    {
      g_autoptr (RhyArtwork) outlines = g_steal_pointer (&bent);
      /* Resolutions that no PNG is written at are refused there. */
      dots = (RhyDots) { .per_inch = options->dpi <= 2400.0 ? options->dpi : 0.0, .corner = { page.min_x, page.min_y } };
      bent = rhy_plan_bend_dots (plan, RHY_SPACE_BED, &dots, NULL, error);
      if (bent == NULL)
        return NULL;
    }

  g_autofree char *title = rhy_draft_title (plan, "bed drawing");
  g_autofree char *description = describe_bed (plan);
  g_autoptr (RhyDraft) draft = rhy_draft_new (page, title, description);
  if (area != NULL)
    {
      rhy_draft_open_titled (draft, "free-area", "Where ink may be: hide before burning");
      rhy_draft_add_path (draft, rhy_path_ref (area), (RhyDraftPaint) { { 0.0, 0.62, 0.45, 1.0 }, AREA_LINE_MM, AREA_DASH_MM });
      rhy_draft_close (draft);
    }
  add_ink (draft, plan, bent);
  if (rhy_job_get_data (rhy_plan_get_job (plan))->output.mark)
    {
      const RhyDraftPaint pen = { .colour = { 0.84, 0.37, 0.0, 1.0 }, .width_mm = MARK_LINE_MM };
      rhy_draft_open (draft, "mark");
      rhy_draft_add_path (draft, rhy_draft_line (-MARK_ARM_MM, 0.0, MARK_ARM_MM, 0.0), pen);
      rhy_draft_add_path (draft, rhy_draft_line (0.0, -MARK_ARM_MM, 0.0, MARK_ARM_MM), pen);
      rhy_draft_close (draft);
    }
  return rhy_draft_write (draft, format, options->dpi, error);
}

/* --- saving --------------------------------------------------------------- */

gboolean
rhy_drawing_save (GBytes     *bytes,
                  const char *path,
                  GError    **error)
{
  g_return_val_if_fail (bytes != NULL && path != NULL, FALSE);

  gsize length = 0;
  const void *data = g_bytes_get_data (bytes, &length);
  return strcmp (path, "-") == 0 ? rhy_save_to_descriptor (STDOUT_FILENO, "standard output", data, length, error)
                                 : rhy_save (path, data, length, error);
}
