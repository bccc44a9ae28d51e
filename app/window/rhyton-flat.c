/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-flat.h"

#include <math.h>


/* Points along a full parallel: chords of a 600 mm wide arc stay within 0.05 mm. */
#define N_AROUND 181

/* What the artwork lies on: neither the theme's colour nor the vessel's, so that
 * black and white ink both show. */
static const GdkRGBA PAPER = { 0.957f, 0.949f, 0.929f, 1.0f };

/* About what a screen shows of pictures while a hand drags them. */
static const RhyDots draft_dots = { .per_inch = 96.0, .quick = TRUE };

void
rhyton_flat_free (RhytonFlat *self)
{
  g_return_if_fail (self != NULL);

  rhy_plan_unref (self->plan);
  rhy_path_unref (self->wall);
  rhy_path_unref (self->front);
  rhy_path_unref (self->zones);
  g_clear_pointer (&self->art, rhy_artwork_unref);
  g_clear_pointer (&self->ink, rhy_path_unref);
  g_free (self);
}

const RhyMap *
rhyton_flat_map (const RhytonFlat *self)
{
  g_return_val_if_fail (self != NULL, NULL);
  return self->space == RHY_SPACE_BED ? rhy_plan_get_drive (self->plan) : rhy_plan_get_unroll (self->plan);
}

double
rhyton_flat_middle (const RhytonFlat *self)
{
  g_return_val_if_fail (self != NULL, 0.0);
  return self->space == RHY_SPACE_BED ? rhy_plan_get_numbers (self->plan)->anchor.angle : 0.0;
}

/* ---- laying it flat ---- */

/* Part of a wall may have no image: a flare that a tilt turns away from the head. */
static void
line_to (RhyPath      *path,
         const RhyMap *map,
         double        s,
         double        angle,
         gboolean     *begun)
{
  RhyPoint p;
  if (!rhy_map_point (map, (RhyPoint) { s, angle }, &p))
    return;
  if (*begun)
    rhy_path_line_to (path, p.x, p.y);
  else
    rhy_path_move_to (path, p.x, p.y);
  *begun = TRUE;
}

/* The patch between two slants and two angles, its sides along meridians. */
static void
add_patch (RhyPath      *path,
           const RhyMap *map,
           double        s0,
           double        s1,
           double        angle0,
           double        angle1)
{
  gboolean begun = FALSE;

  for (int i = 0; i < N_AROUND; i++)
    line_to (path, map, s0, angle0 + (angle1 - angle0) * i / (N_AROUND - 1), &begun);
  for (int i = N_AROUND - 1; i >= 0; i--)
    line_to (path, map, s1, angle0 + (angle1 - angle0) * i / (N_AROUND - 1), &begun);
  if (begun)
    rhy_path_close (path);
}

static void
add_zone (RhytonFlat    *flat,
          const RhyMap  *map,
          const RhyZone *zone,
          double         middle)
{
  RhyWall *wall = rhy_plan_get_wall (flat->plan);
  const double length = rhy_wall_get_length (wall);
  const gboolean all_round = zone->width_rad >= 2.0 * G_PI - 1e-9;
  RhyRing low = { 0 }, high = { .s_mm = length };

  rhy_wall_at_height (wall, zone->from_mm, &low);
  rhy_wall_at_height (wall, zone->to_mm, &high);
  if (!(low.s_mm < high.s_mm))
    return;
  if (all_round)
    {
      add_patch (flat->zones, map, low.s_mm, high.s_mm, middle - G_PI, middle + G_PI);
      return;
    }
  const double centre = middle + remainder (zone->centre_rad - middle, 2.0 * G_PI);
  const double half = 0.5 * zone->width_rad;
  /* What reaches over the end of the turn comes in again at the other. */
  for (int turn = -1; turn <= 1; turn++)
    {
      const double from = MAX (centre - half + 2.0 * G_PI * turn, middle - G_PI);
      const double to = MIN (centre + half + 2.0 * G_PI * turn, middle + G_PI);
      if (from < to)
        add_patch (flat->zones, map, low.s_mm, high.s_mm, from, to);
    }
}

/* Where some of the ink has no image the library bends none of it; its sampled
 * points that have one still show where it is. */
static void
add_ink (RhytonFlat   *flat,
         const RhyMap *map)
{
  RhyPoint wall, at;

  flat->ink = rhy_path_new ();
  for (gsize k = 0; k < rhy_plan_get_n_parts (flat->plan); k++)
    {
      const RhyPlan *part = rhy_plan_get_part (flat->plan, k);
      gsize n = 0;
      const RhyArtPoint *ink = rhy_plan_get_ink (part, &n);
      for (gsize i = 0; i < n; i++)
        if (rhy_map_point (rhy_plan_get_lay (part), (RhyPoint) { ink[i].u, ink[i].v }, &wall)
            && rhy_map_point (map, wall, &at))
          {
            rhy_path_move_to (flat->ink, at.x, at.y);
            rhy_path_line_to (flat->ink, at.x, at.y);
          }
    }
}

static RhyBounds
with_path (RhyBounds      box,
           const RhyPath *path)
{
  for (gsize i = 0; i < path->n_points; i++)
    box = rhy_bounds_with (box, path->points[i].x, path->points[i].y);
  return box;
}

/* One turn on, a flat wall is the same wall moved and turned as a whole: by what two of
 * its points say. */
static gboolean
find_turn (const RhyMap *map,
           double        length,
           double        middle,
           RhyAffine    *turn)
{
  RhyPoint a, b, a1, b1;
  if (!rhy_map_point (map, (RhyPoint) { 0.0, middle }, &a) || !rhy_map_point (map, (RhyPoint) { length, middle }, &b)
      || !rhy_map_point (map, (RhyPoint) { 0.0, middle + 2.0 * G_PI }, &a1)
      || !rhy_map_point (map, (RhyPoint) { length, middle + 2.0 * G_PI }, &b1))
    return FALSE;
  const double ux = b.x - a.x, uy = b.y - a.y, vx = b1.x - a1.x, vy = b1.y - a1.y;
  const double square = ux * ux + uy * uy;
  if (!(square > 0.0))
    return FALSE;
  const double c = (ux * vx + uy * vy) / square, s = (ux * vy - uy * vx) / square;
  *turn = (RhyAffine) { .xx = c, .yx = s, .xy = -s, .yy = c,
                        .x0 = a1.x - c * a.x + s * a.y, .y0 = a1.y - s * a.x - c * a.y };
  return TRUE;
}

static gboolean
reaches_over (const RhyPlan *plan,
              double         middle)
{
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  return numbers->angle_low_rad < middle - G_PI || numbers->angle_high_rad > middle + G_PI;
}

static void
lay_outlines (RhytonFlat *flat)
{
  const RhyJobData *data = rhy_job_get_data (rhy_plan_get_job (flat->plan));
  const RhyMap *map = rhyton_flat_map (flat);
  const double length = rhy_wall_get_length (rhy_plan_get_wall (flat->plan));
  const double middle = rhyton_flat_middle (flat);
  const RhyWallPoint anchor = rhy_plan_get_numbers (flat->plan)->anchor;
  /* Within the turn that is shown. */
  const double front = middle + remainder (-middle, 2.0 * G_PI);
  gboolean begun = FALSE;

  add_patch (flat->wall, map, 0.0, length, middle - G_PI, middle + G_PI);
  line_to (flat->front, map, 0.0, front, &begun);
  line_to (flat->front, map, length, front, &begun);
  for (gsize i = 0; i < data->n_zones; i++)
    add_zone (flat, map, &data->zones[i], middle);
  rhy_map_point (map, (RhyPoint) { anchor.s, anchor.angle }, &flat->mark);
  rhy_map_point (map, (RhyPoint) { 0.0, middle }, &flat->base);
  rhy_map_point (map, (RhyPoint) { length, middle }, &flat->rim);
  flat->box = with_path (rhy_bounds_with (RHY_BOUNDS_EMPTY, flat->mark.x, flat->mark.y), flat->wall);
}

RhytonFlat *
rhyton_flat_new (RhyPlan *plan,
                 RhySpace space,
                 gboolean is_draft)
{
  g_return_val_if_fail (plan != NULL, NULL);

  RhytonFlat *flat = g_new0 (RhytonFlat, 1);

  flat->plan = rhy_plan_ref (plan);
  flat->space = space;
  flat->wall = rhy_path_new ();
  flat->front = rhy_path_new ();
  flat->zones = rhy_path_new ();
  lay_outlines (flat);

  /* The bed is shown as the machine is given it: ink past the turn is run past it. */
  const double middle = rhyton_flat_middle (flat);
  flat->reaches_over = space == RHY_SPACE_PATTERN && reaches_over (plan, middle)
                       && find_turn (rhyton_flat_map (flat), rhy_wall_get_length (rhy_plan_get_wall (plan)), middle, &flat->turn);
  flat->art = is_draft ? rhy_plan_bend_dots (plan, space, &draft_dots, NULL, NULL) : rhy_plan_bend (plan, space, NULL, NULL);
  if (flat->art == NULL)
    add_ink (flat, rhyton_flat_map (flat));
  return flat;
}

/* ---- painting it ---- */

static void
set_colour (cairo_t *cr,
            GdkRGBA  colour,
            double   alpha)
{
  cairo_set_source_rgba (cr, colour.red, colour.green, colour.blue, colour.alpha * alpha);
}

/* Begins a path in the view's space; the pen stays in pixels. */
static void
add_path (cairo_t       *cr,
          RhyAffine      m,
          const RhyPath *path)
{
  const cairo_matrix_t matrix = { m.xx, m.yx, m.xy, m.yy, m.x0, m.y0 };
  cairo_save (cr);
  cairo_transform (cr, &matrix);
  rhy_brush_path (cr, path);
  cairo_restore (cr);
}

static void
draw_wall (const RhytonFlat *self,
           cairo_t          *cr,
           RhyAffine         m,
           GdkRGBA           text)
{
  const double dash[] = { 5.0, 4.0 };

  add_path (cr, m, self->wall);
  set_colour (cr, PAPER, 1.0);
  cairo_fill (cr);

  /* On paper, so in ink colour whatever the theme. */
  add_path (cr, m, self->zones);
  cairo_set_source_rgba (cr, 0.0, 0.0, 0.0, 0.10);
  cairo_fill (cr);
  add_path (cr, m, self->front);
  cairo_set_source_rgba (cr, 0.0, 0.0, 0.0, 0.45);
  cairo_set_line_width (cr, 1.0);
  cairo_set_dash (cr, dash, G_N_ELEMENTS (dash), 0.0);
  cairo_stroke (cr);
  cairo_set_dash (cr, NULL, 0, 0.0);

  add_path (cr, m, self->wall);
  set_colour (cr, text, 0.55);
  cairo_stroke (cr);
}

static void
draw_art (const RhytonFlat *self,
          cairo_t          *cr,
          RhyAffine         m,
          GdkRGBA           bad)
{
  if (self->art != NULL)
    {
      const cairo_matrix_t matrix = { m.xx, m.yx, m.xy, m.yy, m.x0, m.y0 };
      const RhyAffine t = self->turn;
      cairo_matrix_t turn = { t.xx, t.yx, t.xy, t.yy, t.x0, t.y0 };
      const gboolean over = self->reaches_over;
      cairo_save (cr);
      if (over)
        {
          add_path (cr, m, self->wall);
          cairo_clip (cr);
        }
      cairo_transform (cr, &matrix);
      rhy_brush_artwork (cr, self->art, 0.8 / m.xx);
      for (int side = 0; over && side < 2; side++)
        {
          cairo_save (cr);
          cairo_transform (cr, &turn);
          rhy_brush_artwork (cr, self->art, 0.8 / m.xx);
          cairo_restore (cr);
          cairo_matrix_invert (&turn);
        }
      cairo_restore (cr);
      return;
    }
  add_path (cr, m, self->ink);
  set_colour (cr, bad, 0.8);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_ROUND);
  cairo_set_line_width (cr, 2.0);
  cairo_stroke (cr);
  cairo_set_line_cap (cr, CAIRO_LINE_CAP_BUTT);
}

static void
draw_mark (const RhytonFlat *self,
           cairo_t          *cr,
           RhyAffine         m,
           GdkRGBA           colour)
{
  const RhyPoint p = rhy_affine_apply (m, self->mark);
  const double arm = 9.0, gap = 3.0;

  for (int i = 0; i < 4; i++)
    {
      const double dx = i == 0 ? 1.0 : i == 1 ? -1.0 : 0.0;
      const double dy = i == 2 ? 1.0 : i == 3 ? -1.0 : 0.0;
      cairo_move_to (cr, p.x + gap * dx, p.y + gap * dy);
      cairo_line_to (cr, p.x + arm * dx, p.y + arm * dy);
    }
  /* It shows on black ink and on white paper alike. */
  cairo_set_source_rgba (cr, 1.0, 1.0, 1.0, 0.8);
  cairo_set_line_width (cr, 3.5);
  cairo_stroke_preserve (cr);
  set_colour (cr, colour, 1.0);
  cairo_set_line_width (cr, 1.5);
  cairo_stroke (cr);
}

void
rhyton_flat_paint (const RhytonFlat        *self,
                   cairo_t                 *cr,
                   RhyAffine                m,
                   const RhytonFlatColours *colours)
{
  g_return_if_fail (self != NULL && cr != NULL && colours != NULL);

  cairo_set_line_join (cr, CAIRO_LINE_JOIN_ROUND);
  draw_wall (self, cr, m, colours->text);
  draw_art (self, cr, m, colours->bad);
  if (self->space == RHY_SPACE_BED)
    draw_mark (self, cr, m, colours->accent);
}
