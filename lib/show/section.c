/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/section.h>

#include <math.h>
#include <string.h>

#include <rhyton/capacity.h>
#include <rhyton/plan.h>

#include "../art/late-cairo.h"
#include "elevation.h"
#include "late-pango.h"
#include "page-text.h"

/* A cross of uncertainty is enlarged to at most this much of the em: to be seen, not
 * to cover its neighbours. */
#define CROSS_EM 0.8

struct _RhySection
{
  RhyJob  *job;
  RhyWall *wall;
  RhyWall *inside;              /* nullable: no room for one */
  gsize    n;                   /* readings that are drawn: none beside a profile */
  double   floor_mm, thickness_mm;
  double   volume_ml, level_mm;
  char    *trouble;             /* why the volume has no level */
};

static void
find_level (RhySection       *self,
            const RhyJobData *d)
{
  const RhyInside inside = { d->vessel.wall_thickness_mm, d->vessel.floor_mm, NAN };
  g_autoptr (GError) error = NULL;

  self->level_mm = NAN;
  if (self->volume_ml > 0.0 && !rhy_wall_fill_height (self->wall, &inside, self->volume_ml, &self->level_mm, &error))
    self->trouble = g_strdup (error->message);
}

RhySection *
rhy_section_new (const RhyJob *job,
                 double        volume_ml,
                 GError      **error)
{
  g_return_val_if_fail (job != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  RhyWall *wall = rhy_job_make_wall (job, error);
  if (wall == NULL)
    return NULL;
  const RhyJobData *d = rhy_job_get_data (job);
  RhySection *self = g_atomic_rc_box_new0 (RhySection);
  self->job = rhy_job_ref ((RhyJob *) job);
  self->wall = wall;
  self->n = d->vessel.profile_file == NULL ? d->vessel.n_stations : 0;
  self->thickness_mm = d->vessel.wall_thickness_mm;
  self->volume_ml = volume_ml;
  self->inside = rhy_wall_new_inside (wall, self->thickness_mm, NULL);
  self->floor_mm = !isnan (d->vessel.floor_mm) ? d->vessel.floor_mm
                   : self->inside != NULL      ? rhy_wall_at (self->inside, 0.0).z_mm
                                               : rhy_wall_at (wall, 0.0).z_mm;
  find_level (self, d);
  return self;
}

RhySection *
rhy_section_ref (RhySection *self)
{
  return g_atomic_rc_box_acquire (self);
}

static void
clear (gpointer data)
{
  RhySection *self = data;
  rhy_job_unref (self->job);
  rhy_wall_unref (self->wall);
  g_clear_pointer (&self->inside, rhy_wall_unref);
  g_free (self->trouble);
}

void
rhy_section_unref (RhySection *self)
{
  g_atomic_rc_box_release_full (self, clear);
}

double
rhy_section_get_level (const RhySection *self)
{
  g_return_val_if_fail (self != NULL, NAN);
  return self->level_mm;
}

/* ---- in words ---- */

static char *
say (const RhySectionLook *look,
     double                mm)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  if (look->say != NULL)
    return look->say (mm, look->data);
  return g_strconcat (g_ascii_formatd (text, sizeof text, "%.1f", mm), " mm", NULL);
}

static char *
say_volume (double ml)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  return g_strconcat (g_ascii_formatd (text, sizeof text, "%.4g", ml), " ml", NULL);
}

char *
rhy_section_describe_level (const RhySection     *self,
                            const RhySectionLook *look)
{
  g_return_val_if_fail (self != NULL && look != NULL, NULL);

  if (!(self->volume_ml > 0.0))
    return NULL;
  if (isnan (self->level_mm))
    return g_strdup (self->trouble);
  g_autofree char *volume = say_volume (self->volume_ml);
  g_autofree char *level = say (look, self->level_mm);
  return g_strdup_printf ("%s stand %s above the base.", volume, level);
}

static gboolean
is_on_wall (const RhySection *self,
            const RhyZone    *zone)
{
  const double top = rhy_wall_at (self->wall, rhy_wall_get_length (self->wall)).z_mm;
  return zone->from_mm < top && zone->to_mm > rhy_wall_at (self->wall, 0.0).z_mm;
}

static const char *
name_of (const RhyZone *zone)
{
  return zone->name != NULL && *zone->name != '\0' ? zone->name : rhy_zone_kind_to_string (zone->kind);
}

static void
add_zones (const RhySection     *self,
           const RhySectionLook *look,
           GString              *text)
{
  const RhyJobData *d = rhy_job_get_data (self->job);
  for (gsize i = 0; i < d->n_zones; i++)
    {
      const RhyZone *zone = &d->zones[i];
      if (!is_on_wall (self, zone))
        continue;
      g_autofree char *from = say (look, zone->from_mm);
      g_autofree char *to = say (look, zone->to_mm);
      g_string_append_printf (text, "; %s from %s to %s", name_of (zone), from, to);
    }
}

char *
rhy_section_describe (const RhySection     *self,
                      const RhySectionLook *look)
{
  g_return_val_if_fail (self != NULL && look != NULL, NULL);

  const RhyJobData *d = rhy_job_get_data (self->job);
  const double length = rhy_wall_get_length (self->wall);
  g_autofree char *high = say (look, rhy_wall_at (self->wall, length).z_mm);
  g_autofree char *narrow = say (look, 2.0 * rhy_wall_narrowest (self->wall, 0.0, length).r_mm);
  g_autofree char *wide = say (look, 2.0 * rhy_wall_widest (self->wall, 0.0, length).r_mm);
  g_autofree char *level = rhy_section_describe_level (self, look);
  GString *text = g_string_new ("Section: ");

  if (self->n > 0)
    g_string_append_printf (text, "%" G_GSIZE_FORMAT " readings, ", self->n);
  else
    g_string_append (text, "a profile, ");
  g_string_append_printf (text, "%s high, %s", high, narrow);
  if (g_strcmp0 (narrow, wide) != 0)
    g_string_append_printf (text, " to %s", wide);
  g_string_append (text, " across");
  add_zones (self, look, text);
  if (!isnan (d->vessel.fill_height_mm))
    {
      g_autofree char *fill = say (look, d->vessel.fill_height_mm);
      g_string_append_printf (text, "; fill line at %s", fill);
    }
  if (look->marked >= 0 && (gsize) look->marked < self->n)
    {
      g_autofree char *z = say (look, d->vessel.heights_mm[look->marked]);
      g_autofree char *across = say (look, d->vessel.diameters_mm[look->marked]);
      g_string_append_printf (text, "; reading %d: %s up, %s across", look->marked + 1, z, across);
    }
  if (level != NULL)
    g_string_append_printf (text, ". %s", level);
  return g_string_free (text, FALSE);
}

/* ---- drawn ---- */

typedef struct
{
  const RhySection     *section;
  const RhySectionLook *look;
  const RhyJobData     *d;
  RhyElevation          e;
  RhyColour             soft, faint;
  double                em, table, widest;      /* height of the table, greatest radius drawn, mm */
  double                width, height;
  cairo_t              *cr;
  PangoLayout          *layout;
} Drawing;

static RhyColour
thinned (RhyColour c,
         double    alpha)
{
  c.a *= alpha;
  return c;
}

/* For a figure, whatever the font: digits are at most so wide, and the unit is as wide as they. */
static double
room_for (const RhySectionLook *look,
          double                mm)
{
  g_autofree char *text = say (look, mm);
  return 0.66 * look->text_px * (double) g_utf8_strlen (text, -1);
}

/* In pixels of the look, before its scale. */
static void
lay_out (Drawing              *g,
         const RhySection     *self,
         const RhySectionLook *look,
         double                width,
         double                height)
{
  const double length = rhy_wall_get_length (self->wall);
  const RhyRing low = rhy_wall_at (self->wall, 0.0);
  const double top = rhy_wall_at (self->wall, length).z_mm;
  const double em = look->text_px;
  *g = (Drawing) { .section = self, .look = look, .d = rhy_job_get_data (self->job), .em = em, .width = width,
                   .height = height, .table = MIN (0.0, low.z_mm), .soft = thinned (look->ink, 0.65),
                   .faint = thinned (look->ink, 0.25) };
  g->widest = rhy_wall_widest (self->wall, 0.0, length).r_mm;
  for (gsize i = 0; i < self->n; i++)
    g->widest = MAX (g->widest, 0.5 * g->d->vessel.diameters_mm[i]);
  /* Room for the height on the left, for a reading's number and height on the right, for
   * diameters above and below and a line of small print. */
  double right = 0.0;
  for (gsize i = 0; i < self->n; i++)
    right = MAX (right, room_for (look, g->d->vessel.heights_mm[i]));
  right += 3.4 * em;
  const double left = room_for (look, top) + 2.3 * em, above = 2.6 * em, below = 4.2 * em;
  const double room_x = MAX (width - left - right, em), room_y = MAX (height - above - below, em);
  const double scale = MIN (room_x / (2.0 * g->widest), room_y / (top - g->table));
  g->e = (RhyElevation) { .x = left + 0.5 * room_x,
                          .y = above + 0.5 * (room_y + (top - g->table) * scale),
                          .scale = scale,
                          .z0 = g->table };
}

static double
x_of (const Drawing *g,
      double         r)
{
  return g->e.x + r * g->e.scale;
}

static double
y_of (const Drawing *g,
      double         z)
{
  return rhy_elevation_up (&g->e, z);
}

static void
ink_with (Drawing  *g,
          RhyColour c)
{
  cairo_set_source_rgba (g->cr, c.r, c.g, c.b, c.a);
}

static void
stroke (Drawing  *g,
        double    width,
        RhyColour c)
{
  ink_with (g, c);
  cairo_set_line_width (g->cr, width);
  cairo_stroke (g->cr);
}

/* A figure on paper of its own, so that lines behind it do not cross it out. */
static void
figure (Drawing    *g,
        double      x,
        double      y,
        RhyPlace    place,
        RhyColour   c,
        const char *text)
{
  int w, h;
  rhy_page_text (g->cr, g->layout, x, y, 0.0, g->em, FALSE, place, FALSE, (RhyColour) { 0, 0, 0, 0 }, text);
  pango_layout_get_size (g->layout, &w, &h);
  const double tw = w / (PANGO_SCALE * RHY_PT_PER_MM), th = h / (PANGO_SCALE * RHY_PT_PER_MM);
  const double x0 = place == RHY_PLACE_LEFT ? x : place == RHY_PLACE_MIDDLE ? x - 0.5 * tw : x - tw;
  cairo_rectangle (g->cr, x0 - 2.0, y, tw + 4.0, th);
  ink_with (g, thinned (g->look->paper, 0.85));
  cairo_fill (g->cr);
  rhy_page_text (g->cr, g->layout, x, y, 0.0, g->em, FALSE, place, FALSE, c, text);
}

/* The slant of the inside at a height, or its nearer end. */
static double
slant_inside (const Drawing *g,
              double         z)
{
  const RhyWall *inside = g->section->inside;
  RhyRing ring;
  if (rhy_wall_at_height (inside, z, &ring))
    return ring.s_mm;
  return z < rhy_wall_at (inside, 0.0).z_mm ? 0.0 : rhy_wall_get_length (inside);
}

/* The inside between two heights, its ends level there. */
static void
trace_inside (Drawing *g,
              double   z0,
              double   z1)
{
  const RhyWall *inside = g->section->inside;
  const double s0 = slant_inside (g, z0), s1 = slant_inside (g, z1);
  const double r0 = rhy_wall_at (inside, s0).r_mm, r1 = rhy_wall_at (inside, s1).r_mm;
  cairo_move_to (g->cr, x_of (g, -r0), y_of (g, z0));
  rhy_elevation_trace_side (&g->e, g->cr, inside, -1, s0, s1);
  cairo_line_to (g->cr, x_of (g, -r1), y_of (g, z1));
  cairo_line_to (g->cr, x_of (g, r1), y_of (g, z1));
  rhy_elevation_trace_side (&g->e, g->cr, inside, 1, s1, s0);
  cairo_line_to (g->cr, x_of (g, r0), y_of (g, z0));
  cairo_close_path (g->cr);
}

static double
brim (const Drawing *g)
{
  return rhy_wall_at (g->section->wall, rhy_wall_get_length (g->section->wall)).z_mm;
}

static void
draw_liquid (Drawing *g)
{
  const double level = g->section->level_mm;
  if (isnan (level) || g->section->inside == NULL)
    return;
  cairo_new_path (g->cr);
  trace_inside (g, g->section->floor_mm, level);
  ink_with (g, thinned (g->look->accent, 0.22));
  cairo_fill (g->cr);
}

/* Cut surfaces are hatched, as drawings of this kind have it. */
static void
draw_cut (Drawing *g)
{
  const RhyWall *wall = g->section->wall;
  const double length = rhy_wall_get_length (wall);
  for (int pass = 0; pass < 2; pass++)
    {
      cairo_new_path (g->cr);
      rhy_elevation_trace (&g->e, g->cr, wall, 0.0, length);
      trace_inside (g, MIN (g->section->floor_mm, brim (g)), brim (g));
      cairo_set_fill_rule (g->cr, CAIRO_FILL_RULE_EVEN_ODD);
      if (pass == 0)
        rhy_elevation_hatch (g->cr, x_of (g, -g->widest), y_of (g, brim (g)), x_of (g, g->widest), y_of (g, g->table),
                             5.0, thinned (g->look->ink, 0.45));
      else
        stroke (g, 1.2, g->look->ink);
    }
}

static void
draw_wall (Drawing *g)
{
  const RhyWall *wall = g->section->wall;
  const double length = rhy_wall_get_length (wall);
  const RhyRing low = rhy_wall_at (wall, 0.0);

  if (low.z_mm > g->table)
    {
      /* Below the lowest reading nothing is known. */
      const double dash = 3.0;
      cairo_set_dash (g->cr, &dash, 1, 0.0);
      for (int side = -1; side <= 1; side += 2)
        rhy_elevation_line (g->cr, x_of (g, side * low.r_mm), y_of (g, low.z_mm), x_of (g, side * low.r_mm),
                            y_of (g, g->table), 1.0, g->soft);
      cairo_set_dash (g->cr, NULL, 0, 0.0);
    }
  if (g->section->inside != NULL && g->section->thickness_mm > 0.0)
    {
      draw_cut (g);
      return;
    }
  cairo_new_path (g->cr);
  rhy_elevation_trace_side (&g->e, g->cr, wall, -1, length, 0.0);
  rhy_elevation_trace_side (&g->e, g->cr, wall, 1, 0.0, length);
  stroke (g, 2.0, g->look->ink);
}

static void
draw_axis_and_table (Drawing *g)
{
  const double dashes[] = { 10.0, 3.0, 2.0, 3.0 };
  const double y = y_of (g, g->table), x0 = x_of (g, -g->widest) - g->em, x1 = x_of (g, g->widest) + g->em;

  cairo_set_dash (g->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
  rhy_elevation_line (g->cr, g->e.x, y + 0.5 * g->em, g->e.x, y_of (g, brim (g)) - 0.6 * g->em, 1.0, g->soft);
  cairo_set_dash (g->cr, NULL, 0, 0.0);
  rhy_elevation_line (g->cr, x0, y, x1, y, 1.0, g->soft);
  cairo_rectangle (g->cr, x0, y, x1 - x0, 4.0);
  rhy_elevation_hatch (g->cr, x0, y, x1, y + 4.0, 5.0, g->faint);
}

/* Whether a marked reading there gets its diameter: at an end that stands there already. */
static gboolean
has_figure (const Drawing *g,
            double         y)
{
  return y - y_of (g, brim (g)) > 1.6 * g->em
         && y_of (g, rhy_wall_at (g->section->wall, 0.0).z_mm) - y > 0.2 * g->em;
}

/* Whether the marked reading's diameter stands anywhere between two heights of the picture. */
static gboolean
is_crowded (const Drawing *g,
            double         from,
            double         to)
{
  if (g->look->marked < 0 || (gsize) g->look->marked >= g->section->n)
    return FALSE;
  const double marked = y_of (g, g->d->vessel.heights_mm[g->look->marked]);
  return has_figure (g, marked) && marked > from && marked - 1.5 * g->em < to;
}

/* Where a level's two figures begin: below the line, in what stands there; above it where the
 * marked reading or the base have theirs, and there is room. */
static double
first_figure (const Drawing *g,
              double         y)
{
  const double below = y + 2.0, above = y - 3.6 * g->em, tall = 2.8 * g->em;
  if (below + tall < y_of (g, g->table) && !is_crowded (g, below, below + tall))
    return below;
  if (!is_crowded (g, above, above + tall))
    return above;
  /* Above that reading's figure, clear of both. */
  const double clear_of = y_of (g, g->d->vessel.heights_mm[g->look->marked]) - 1.6 * g->em - tall;
  return clear_of > y_of (g, brim (g)) ? clear_of : below;
}

/* Whether a line of text at a height would run into the figures on the axis. */
static gboolean
is_taken (const Drawing *g,
          double         y)
{
  if (!isnan (g->section->level_mm))
    {
      const double first = first_figure (g, y_of (g, g->section->level_mm));
      if (y > first - 1.3 * g->em && y < first + 2.8 * g->em)
        return TRUE;
    }
  return is_crowded (g, y, y + 1.3 * g->em);
}

/* A zone's name in its middle, or else at its top or bottom; NAN: there is no room. */
static double
name_height (const Drawing *g,
             double         y0,
             double         y1,
             double         last)
{
  const double places[] = { 0.5 * (y0 + y1) - 0.7 * g->em, y1 + 1.0, y0 - 1.4 * g->em };
  for (gsize i = 0; i < G_N_ELEMENTS (places); i++)
    if (!is_taken (g, places[i]) && !(fabs (places[i] - last) < 1.2 * g->em))
      return places[i];
  return NAN;
}

/* A bar along the wall's left, its name inside the vessel. */
static void
draw_zones (Drawing *g)
{
  const RhyWall *wall = g->section->wall;
  const double low = rhy_wall_at (wall, 0.0).z_mm;
  double last = INFINITY;

  for (gsize i = 0; i < g->d->n_zones; i++)
    {
      const RhyZone *zone = &g->d->zones[i];
      RhyRing ring;
      if (!is_on_wall (g->section, zone))
        continue;
      const double z0 = MAX (zone->from_mm, low), z1 = MIN (zone->to_mm, brim (g));
      if (!rhy_wall_at_height (wall, 0.5 * (z0 + z1), &ring))
        continue;
      const double x = x_of (g, -g->widest) - 0.75 * g->em, y0 = y_of (g, z0), y1 = y_of (g, z1);
      cairo_rectangle (g->cr, x, y1, 0.5 * g->em, MAX (y0 - y1, 1.0));
      rhy_elevation_hatch (g->cr, x, y1, x + 0.5 * g->em, y0, 4.0, g->look->ink);
      cairo_rectangle (g->cr, x, y1, 0.5 * g->em, MAX (y0 - y1, 1.0));
      stroke (g, 1.0, g->soft);
      const double room = (ring.r_mm - g->section->thickness_mm) * g->e.scale - 8.0;
      const double y = name_height (g, y0, y1, last);
      if (room < 2.0 * g->em || isnan (y))
        continue;
      last = y;
      rhy_page_text (g->cr, g->layout, x_of (g, -ring.r_mm + g->section->thickness_mm) + 5.0, y, room, 0.9 * g->em, FALSE,
                     RHY_PLACE_LEFT, TRUE, g->soft, name_of (zone));
    }
}

/* How many times larger than true crosses are drawn; 0: there are none. */
static double
enlargement (const Drawing *g)
{
  const double most = MAX (2.0 * g->d->vessel.height_uncertainty_mm, g->d->vessel.diameter_uncertainty_mm) * g->e.scale;
  static const double steps[] = { 100, 50, 20, 10, 5, 2, 1 };

  if (g->section->n == 0 || !(most > 0.0))
    return 0.0;
  for (gsize i = 0; i < G_N_ELEMENTS (steps); i++)
    if (most * steps[i] <= CROSS_EM * g->em)
      return steps[i];
  return 1.0;
}

static void
draw_readings (Drawing *g)
{
  const double times = enlargement (g) * g->e.scale;
  const double dz = 2.0 * g->d->vessel.height_uncertainty_mm * times;
  const double dr = g->d->vessel.diameter_uncertainty_mm * times;       /* half of twice */
  double last = INFINITY;

  for (gsize i = 0; i < g->section->n; i++)
    {
      const gboolean marked = (int) i == g->look->marked;
      const RhyColour c = marked ? g->look->accent : g->look->ink;
      const double y = y_of (g, g->d->vessel.heights_mm[i]);
      const double x = x_of (g, 0.5 * g->d->vessel.diameters_mm[i]);
      rhy_elevation_line (g->cr, x - dr, y, x + dr, y, 1.0, c);
      rhy_elevation_line (g->cr, x, y - dz, x, y + dz, 1.0, c);
      cairo_new_path (g->cr);
      cairo_arc (g->cr, x, y, marked ? 4.0 : 2.2, 0.0, 2.0 * G_PI);
      ink_with (g, c);
      cairo_fill (g->cr);
      if (!marked && fabs (last - y) < 1.1 * g->em)
        continue;
      last = y;
      g_autofree char *number = g_strdup_printf ("%" G_GSIZE_FORMAT, i + 1);
      rhy_page_text (g->cr, g->layout, x + MAX (7.0, dr + 3.0), y - 0.7 * g->em, 0.0, g->em, marked, RHY_PLACE_LEFT, FALSE,
                     c, number);
    }
}

static void
draw_marked (Drawing *g)
{
  if (g->look->marked < 0 || (gsize) g->look->marked >= g->section->n)
    return;
  const RhyColour c = g->look->accent;
  const double z = g->d->vessel.heights_mm[g->look->marked], d = g->d->vessel.diameters_mm[g->look->marked];
  const double y = y_of (g, z), base = y_of (g, g->table);
  const double x = x_of (g, g->widest) + 2.4 * g->em;
  g_autofree char *height = say (g->look, z);
  g_autofree char *length = say (g->look, d);
  g_autofree char *across = g_strconcat ("\u2300 ", length, NULL);

  rhy_elevation_line (g->cr, x_of (g, -0.5 * d), y, x_of (g, 0.5 * d), y, 1.0, c);
  if (has_figure (g, y))
    figure (g, g->e.x, y - 1.5 * g->em, RHY_PLACE_MIDDLE, c, across);
  /* A height of nothing has no line. */
  if (base - y < 0.2 * g->em)
    return;
  rhy_elevation_line (g->cr, x_of (g, 0.5 * d) + 1.8 * g->em, y, x + 4.0, y, 1.0, c);
  rhy_elevation_line (g->cr, x, base, x, y, 1.0, c);
  rhy_elevation_line (g->cr, x - 4.0, base, x + 4.0, base, 1.0, c);
  figure (g, x + 6.0, 0.5 * (y + base) - 0.7 * g->em, RHY_PLACE_LEFT, c, height);
}

static void
draw_dimensions (Drawing *g)
{
  const RhyDimensionStyle style = { .line = 1.0, .tick = 3.5, .text = g->em, .left_gap = 6.0, .below_gap = 2.0,
                                    .soft = g->soft, .ink = g->look->ink };
  const RhyRing low = rhy_wall_at (g->section->wall, 0.0);
  const RhyRing high = rhy_wall_at (g->section->wall, rhy_wall_get_length (g->section->wall));
  const double left = x_of (g, -g->widest) - 1.4 * g->em;
  const double top = y_of (g, high.z_mm) - 0.9 * g->em, bottom = y_of (g, g->table) + 0.9 * g->em;
  g_autofree char *base = say (g->look, 2.0 * low.r_mm);
  g_autofree char *rim = say (g->look, 2.0 * high.r_mm);
  g_autofree char *tall = say (g->look, high.z_mm);

  rhy_elevation_dimension (g->cr, g->layout, &style, x_of (g, -low.r_mm), bottom, x_of (g, low.r_mm), bottom, FALSE, base);
  rhy_elevation_dimension (g->cr, g->layout, &style, x_of (g, -high.r_mm), top, x_of (g, high.r_mm), top, TRUE, rim);
  rhy_elevation_dimension (g->cr, g->layout, &style, left, y_of (g, 0.0), left, y_of (g, high.z_mm), FALSE, tall);
}

static void
draw_level (Drawing *g)
{
  const double level = g->section->level_mm, fill = g->d->vessel.fill_height_mm;
  RhyRing ring;

  if (!isnan (fill) && g->section->inside != NULL && rhy_wall_at_height (g->section->inside, fill, &ring))
    {
      const double dashes[] = { 6.0, 3.0 }, x = x_of (g, ring.r_mm), y = y_of (g, fill);
      cairo_set_dash (g->cr, dashes, G_N_ELEMENTS (dashes), 0.0);
      rhy_elevation_line (g->cr, x_of (g, -ring.r_mm), y, x, y, 1.0, g->soft);
      cairo_set_dash (g->cr, NULL, 0, 0.0);
      figure (g, x - 4.0, y + 1.0, RHY_PLACE_RIGHT, g->soft, "fill line");
    }
  if (isnan (level) || g->section->inside == NULL)
    return;
  const double r = rhy_wall_at (g->section->inside, slant_inside (g, level)).r_mm;
  const double x = x_of (g, r), y = y_of (g, level);
  g_autofree char *length = say (g->look, level);
  g_autofree char *volume = say_volume (g->section->volume_ml);
  rhy_elevation_line (g->cr, x_of (g, -r), y, x, y, 1.5, g->look->accent);
  /* The sign for a level: a triangle that stands on it. */
  cairo_move_to (g->cr, g->e.x + 0.5 * g->em, y - 1.0);
  cairo_line_to (g->cr, g->e.x + 0.15 * g->em, y - 0.65 * g->em);
  cairo_line_to (g->cr, g->e.x + 0.85 * g->em, y - 0.65 * g->em);
  cairo_close_path (g->cr);
  stroke (g, 1.0, g->look->accent);
  const double first = first_figure (g, y);
  figure (g, g->e.x, first, RHY_PLACE_MIDDLE, g->look->accent, volume);
  figure (g, g->e.x, first + 1.4 * g->em, RHY_PLACE_MIDDLE, g->look->accent, length);
}

static void
draw_small_print (Drawing *g)
{
  const double times = enlargement (g);
  if (!(times > 0.0))
    return;
  g_autofree char *text = times > 1.0 ? g_strdup_printf ("Crosses: uncertainty (k = 2), %.0f times as large", times)
                                      : g_strdup ("Crosses: uncertainty (k = 2)");
  rhy_page_text (g->cr, g->layout, 0.0, g->height - 1.4 * g->em, g->width, 0.85 * g->em, FALSE, RHY_PLACE_LEFT, TRUE,
                 g->soft, text);
}

void
rhy_section_render (const RhySection     *self,
                    const RhySectionLook *look,
                    guint8               *pixels,
                    int                   width,
                    int                   height,
                    int                   stride)
{
  g_return_if_fail (self != NULL && look != NULL && pixels != NULL && width > 0 && height > 0 && stride >= 4 * width);

  Drawing g;
  lay_out (&g, self, look, width / look->scale, height / look->scale);
  memset (pixels, 0, (gsize) stride * (gsize) height);
  cairo_surface_t *surface = cairo_image_surface_create_for_data (pixels, CAIRO_FORMAT_ARGB32, width, height, stride);
  g.cr = cairo_create (surface);
  cairo_scale (g.cr, look->scale, look->scale);
  g.layout = pango_cairo_create_layout (g.cr);
  draw_liquid (&g);
  draw_axis_and_table (&g);
  draw_wall (&g);
  draw_zones (&g);
  draw_dimensions (&g);
  draw_level (&g);
  draw_marked (&g);
  draw_readings (&g);
  draw_small_print (&g);
  g_object_unref (g.layout);
  cairo_destroy (g.cr);
  cairo_surface_flush (surface);
  cairo_surface_destroy (surface);
}

void
rhy_section_locate (const RhySection     *self,
                    const RhySectionLook *look,
                    int                   width,
                    int                   height,
                    double                height_mm,
                    double                radius_mm,
                    double               *x,
                    double               *y)
{
  g_return_if_fail (self != NULL && look != NULL && x != NULL && y != NULL);

  Drawing g;
  lay_out (&g, self, look, width / look->scale, height / look->scale);
  *x = x_of (&g, radius_mm) * look->scale;
  *y = y_of (&g, height_mm) * look->scale;
}

int
rhy_section_pick (const RhySection     *self,
                  const RhySectionLook *look,
                  int                   width,
                  int                   height,
                  double                x,
                  double                y)
{
  g_return_val_if_fail (self != NULL && look != NULL, -1);

  Drawing g;
  lay_out (&g, self, look, width / look->scale, height / look->scale);
  int best = -1;
  double least = g.em;
  for (gsize i = 0; i < self->n; i++)
    {
      const double far = hypot (x / look->scale - x_of (&g, 0.5 * g.d->vessel.diameters_mm[i]),
                                y / look->scale - y_of (&g, g.d->vessel.heights_mm[i]));
      if (far <= least)
        {
          best = (int) i;
          least = far;
        }
    }
  return best;
}
