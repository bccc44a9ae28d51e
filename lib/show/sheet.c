/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/sheet.h>

#include <math.h>
#include <string.h>

#include <rhyton/exposure.h>
#include <rhyton/ruler.h>
#include <rhyton/scene.h>

#include "../art/late-cairo.h"
#include "elevation.h"
#include "late-pango.h"
#include "page-text.h"
#include "pages.h"
#include "words.h"

#define PT_PER_MM RHY_PT_PER_MM
#define DEGREES (180.0 / G_PI)
#define MARGIN_MM 15.0

/* Text sizes, mm of em: large enough to be read at arm's length. */
#define SMALL 3.0
#define BODY 3.8
#define HEADING 4.6
#define TITLE 6.4

/* What footers and margins leave free at the foot of a page. */
#define FOOT_MM 15.0

/* The text flows over as many pages as it takes; one of them is drawn at a time, the others go nowhere. */
typedef struct
{
  cairo_t     *cr;              /* mm; of the page or of nowhere */
  cairo_t     *page_cr, *nowhere;
  PangoLayout *layout;          /* points */
  double       width, height;   /* page, mm */
  double       y;               /* where the next block goes */
  int          page, wanted;    /* from 0; wanted -1: pages are counted only */
  int          n_pages;         /* for the footers */
  const char  *title;
  gboolean     is_ready;
} Sheet;

static const RhyColour ink = { 0.10, 0.11, 0.13, 1.0 };
static const RhyColour soft = { 0.38, 0.41, 0.45, 1.0 };
static const RhyColour rule = { 0.72, 0.75, 0.78, 1.0 };
static const RhyColour band = { 0.93, 0.95, 0.96, 1.0 };
static const RhyColour accent = { 0.05, 0.36, 0.50, 1.0 };
static const RhyColour good = { 0.07, 0.42, 0.27, 1.0 };
static const RhyColour stop = { 0.66, 0.13, 0.10, 1.0 };
static const RhyColour care = { 0.60, 0.38, 0.0, 1.0 };

static void
colour (Sheet    *s,
        RhyColour c)
{
  cairo_set_source_rgba (s->cr, c.r, c.g, c.b, c.a);
}

typedef enum { LEFT = RHY_PLACE_LEFT, MIDDLE = RHY_PLACE_MIDDLE, RIGHT = RHY_PLACE_RIGHT } Place;

static double
text_at (Sheet      *s,
         double      x,
         double      y,
         double      width,
         double      size,
         gboolean    bold,
         Place       place,
         RhyColour   c,
         const char *text)
{
  return rhy_page_text (s->cr, s->layout, x, y, width, size, bold, (RhyPlace) place, FALSE, c, text);
}

static double
height_of (Sheet      *s,
           double      width,
           double      size,
           gboolean    bold,
           const char *text)
{
  return rhy_page_text (s->nowhere, s->layout, 0.0, 0.0, width, size, bold, RHY_PLACE_LEFT, FALSE, ink, text);
}

static void begin_page (Sheet *s);
static void add_footer (Sheet *s);

/* On to the next page unless this one has that much room. */
static void
need (Sheet *s,
      double height)
{
  if (s->y + height <= s->height - FOOT_MM)
    return;
  add_footer (s);
  s->page++;
  begin_page (s);
}

/* Line by line, so that what is longer than a page goes on to the next. */
static void
block (Sheet      *s,
       double      size,
       gboolean    bold,
       RhyColour   c,
       const char *text)
{
  const double width = s->width - 2.0 * MARGIN_MM;
  const double h = height_of (s, width, size, bold, text);
  if (h <= 40.0)
    {
      need (s, h);
      s->y += text_at (s, MARGIN_MM, s->y, width, size, bold, LEFT, c, text);
      return;
    }
  g_autoptr (GPtrArray) lines = g_ptr_array_new_with_free_func (g_free);
  for (GSList *l = pango_layout_get_lines_readonly (s->layout); l != NULL; l = l->next)
    {
      const PangoLayoutLine *one = l->data;
      g_ptr_array_add (lines, g_strndup (text + one->start_index, (gsize) one->length));
    }
  for (guint i = 0; i < lines->len; i++)
    {
      need (s, 1.5 * size);
      s->y += text_at (s, MARGIN_MM, s->y, 0.0, size, bold, LEFT, c, lines->pdata[i]);
    }
}

static void
heading (Sheet      *s,
         const char *text)
{
  need (s, 24.0);               /* no heading alone at the foot */
  s->y += 4.5;
  block (s, HEADING, TRUE, accent, text);
  s->y += 0.6;
  cairo_move_to (s->cr, MARGIN_MM, s->y);
  cairo_line_to (s->cr, s->width - MARGIN_MM, s->y);
  cairo_set_line_width (s->cr, 0.25);
  colour (s, rule);
  cairo_stroke (s->cr);
  s->y += 1.8;
}

static void
line (Sheet    *s,
      double    x0,
      double    y0,
      double    x1,
      double    y1,
      double    width,
      RhyColour c)
{
  rhy_elevation_line (s->cr, x0, y0, x1, y1, width, c);
}

/* ---- first page: verdict, vessel, settings ---- */

static RhyColour
level_colour (RhyLevel level)
{
  return level == RHY_LEVEL_STOP ? stop : level == RHY_LEVEL_CARE ? care : soft;
}

static void
add_bar (Sheet *s)
{
  const double width = s->width - 2.0 * MARGIN_MM;
  const char *text = s->is_ready ? _("Ready") : _("NOT READY: do not burn this job as it stands");
  const double tall = height_of (s, width - 8.0, 4.2, TRUE, text) + 4.9;
  need (s, tall + 2.0);
  cairo_rectangle (s->cr, MARGIN_MM, s->y, width, tall);
  colour (s, s->is_ready ? good : stop);
  cairo_fill (s->cr);
  text_at (s, MARGIN_MM + 4.0, s->y + 2.3, width - 8.0, 4.2, TRUE, LEFT, (RhyColour) { 1, 1, 1, 1 }, text);
  s->y += tall + 2.0;
}

static void
add_findings (Sheet            *s,
              const RhyVerdict *verdict)
{
  const double width = s->width - 2.0 * MARGIN_MM;
  static const char *const words[] = { [RHY_LEVEL_STOP] = N_("Stop"), [RHY_LEVEL_CARE] = N_("Care"), [RHY_LEVEL_NOTE] = N_("Note") };
  const gsize n = rhy_verdict_get_n_findings (verdict);
  const gsize shown = MIN (n, 6);
  double column = 12.0;
  for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
    column = MAX (column, rhy_page_text_width (s->layout, SMALL, TRUE, _(words[i])) + 2.0);
  for (gsize i = 0; i < shown; i++)
    {
      const RhyFinding *f = rhy_verdict_get_finding (verdict, i);
      need (s, height_of (s, width - column, SMALL, FALSE, f->message));
      text_at (s, MARGIN_MM, s->y, 0.0, SMALL, TRUE, LEFT, level_colour (f->level), _(words[f->level]));
      s->y += text_at (s, MARGIN_MM + column, s->y, width - column, SMALL, FALSE, LEFT, ink, f->message) + 0.8;
    }
  if (n > shown)
    {
      g_autofree char *more = g_strdup_printf (_("and %u more: see the check"), (guint) (n - shown));
      block (s, SMALL, FALSE, soft, more);
    }
}

/* Side view with its measures, the ink's band and the mark. */
static void
add_elevation (Sheet   *s,
               RhyPlan *plan,
               double   x,
               double   y,
               double   width,
               double   height)
{
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double length = rhy_wall_get_length (wall);
  const RhyRing low = rhy_wall_at (wall, 0.0);
  const RhyRing high = rhy_wall_at (wall, length);
  const double widest = 2.0 * rhy_wall_widest (wall, 0.0, length).r_mm;
  const double tall = high.z_mm - low.z_mm;
  /* Room for the height's figure on the left and the mark's on the right. */
  const double left_mm = 21.0;
  const double right_mm = 31.0;
  const double scale = MIN ((width - left_mm - right_mm) / widest, (height - 18.0) / tall);
  const RhyElevation e = { x + left_mm + 0.5 * (width - left_mm - right_mm), y + 0.5 * (height + tall * scale), scale, low.z_mm };

  cairo_new_path (s->cr);
  rhy_elevation_trace (&e, s->cr, wall, 0.0, length);
  colour (s, band);
  cairo_fill_preserve (s->cr);
  colour (s, ink);
  cairo_set_line_width (s->cr, 0.35);
  cairo_stroke (s->cr);

  if (n->s_high_mm > n->s_low_mm)
    {
      rhy_elevation_trace (&e, s->cr, wall, CLAMP (n->s_low_mm, 0.0, length), CLAMP (n->s_high_mm, 0.0, length));
      cairo_set_source_rgba (s->cr, accent.r, accent.g, accent.b, 0.18);
      cairo_fill (s->cr);
    }

  char text[96], a[G_ASCII_DTOSTR_BUF_SIZE], b[G_ASCII_DTOSTR_BUF_SIZE];
  const double top = rhy_elevation_up (&e, high.z_mm);
  const double bottom = rhy_elevation_up (&e, low.z_mm);
  const RhyDimensionStyle style = { .line = 0.15, .tick = 1.0, .text = SMALL, .left_gap = 1.4, .below_gap = 0.6,
                                    .soft = soft, .ink = ink };
  g_snprintf (text, sizeof text, "%s mm", g_ascii_formatd (a, sizeof a, "%.1f", 2.0 * low.r_mm));
  rhy_elevation_dimension (s->cr, s->layout, &style, e.x - low.r_mm * scale, bottom + 2.2, e.x + low.r_mm * scale,
                           bottom + 2.2, FALSE, text);
  g_snprintf (text, sizeof text, "%s mm", g_ascii_formatd (a, sizeof a, "%.1f", 2.0 * high.r_mm));
  rhy_elevation_dimension (s->cr, s->layout, &style, e.x - high.r_mm * scale, top - 2.2, e.x + high.r_mm * scale,
                           top - 2.2, TRUE, text);
  const double left = e.x - 0.5 * widest * scale - 3.0;
  g_snprintf (text, sizeof text, "%s mm", g_ascii_formatd (a, sizeof a, "%.1f", tall));
  rhy_elevation_dimension (s->cr, s->layout, &style, left, bottom, left, top, FALSE, text);

  /* The mark: where the beam is lined up. */
  const RhyRing mark = rhy_wall_at (wall, n->anchor.s);
  const double my = rhy_elevation_up (&e, mark.z_mm);
  line (s, e.x - 3.0, my, e.x + 3.0, my, 0.3, accent);
  line (s, e.x, my - 3.0, e.x, my + 3.0, 0.3, accent);
  const double right = e.x + 0.5 * widest * scale + 3.0;
  line (s, e.x + 3.4, my, right, my, 0.12, accent);
  g_autofree char *mark_text = g_strdup_printf (_("mark %s mm up\n%s\xc2\xb0 around"), g_ascii_formatd (a, sizeof a, "%.1f", mark.z_mm),
                                                g_ascii_formatd (b, sizeof b, "%.1f", n->anchor.angle * DEGREES));
  rhy_page_text_in (s->cr, s->layout, right + 0.6, my - 3.4, x + width - right + 2.4, 24.0, SMALL, 2.2, FALSE, accent, mark_text);
}

/* Whether anything lies where a look at the mark does not show it, or only from the side. */
static gboolean
has_back (const RhyPlan *plan)
{
  const double seen = 75.0 / DEGREES;
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  if (n->s_high_mm > n->s_low_mm && MAX (n->angle_high_rad - n->anchor.angle, n->anchor.angle - n->angle_low_rad) > seen)
    return TRUE;
  for (gsize i = 0; i < d->n_zones; i++)
    if (d->zones[i].width_rad < 2.0 * G_PI
        && fabs (remainder (d->zones[i].centre_rad - n->anchor.angle, 2.0 * G_PI)) + 0.5 * d->zones[i].width_rad > seen)
      return TRUE;
  return FALSE;
}

/* As large as a box lets it be; a scene fits into a square of the box's lesser side. */
static double
zoom_for (const RhyPlan *plan,
          double         width,
          double         height)
{
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const double length = rhy_wall_get_length (wall);
  const double across = 2.0 * rhy_wall_widest (wall, 0.0, length).r_mm;
  const double tall = rhy_wall_at (wall, length).z_mm - rhy_wall_at (wall, 0.0).z_mm;
  const double least = MIN (width, height);
  return MAX (1.0, 0.75 * hypot (across, tall) * MIN (width / (least * across), height / (least * tall)));
}

/* A side of a zone, where it is seen. @dot: mm of paper a pixel of the picture, whose corner is (0, 0). */
static void
add_side (Sheet           *s,
          const RhyScene  *scene,
          const RhyCamera *camera,
          int              w,
          int              h,
          double           dot,
          RhyWallPoint     from,
          RhyWallPoint     to)
{
  enum { STEPS = 48 };
  gboolean down = FALSE;
  for (int i = 0; i <= STEPS; i++)
    {
      const double f = (double) i / STEPS;
      const RhyWallPoint at = { from.s + f * (to.s - from.s), from.angle + f * (to.angle - from.angle) };
      double x, y;
      const gboolean seen = rhy_scene_project (scene, camera, w, h, at, &x, &y);
      if (seen && down)
        cairo_line_to (s->cr, x * dot, y * dot);
      else if (seen)
        cairo_move_to (s->cr, x * dot, y * dot);
      down = seen;
    }
}

/* Words of the job file, as they stand on the sheet. */
G_GNUC_UNUSED static const char *const words_of_the_job[] = {
  N_("rolled"), N_("ringed"), N_("ringed-balanced"), N_("angle-true"), N_("area-true"), N_("seen"), N_("least-stretch"),
  N_("handle"), N_("jaws"), N_("tailstock"), N_("seam"), N_("rim"), N_("base"), N_("mark"),
};

/* Zones that do not go all round, outlined with their names. */
static void
add_zones (Sheet           *s,
           RhyPlan         *plan,
           const RhyScene  *scene,
           const RhyCamera *camera,
           int              w,
           int              h,
           double           dot)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const double low = rhy_wall_at (wall, 0.0).z_mm;
  const double high = rhy_wall_at (wall, rhy_wall_get_length (wall)).z_mm;
  double above = G_MAXDOUBLE;   /* where names are already, mm of the picture */
  double below = 0.0;
  for (gsize i = 0; i < d->n_zones; i++)
    {
      const RhyZone *z = &d->zones[i];
      RhyRing r0, r1;
      double x, y;
      if (z->width_rad >= 2.0 * G_PI || z->from_mm > high || z->to_mm < low
          || !rhy_wall_at_height (wall, MAX (z->from_mm, low), &r0) || !rhy_wall_at_height (wall, MIN (z->to_mm, high), &r1))
        continue;
      const double a0 = z->centre_rad - 0.5 * z->width_rad;
      const double a1 = z->centre_rad + 0.5 * z->width_rad;
      cairo_new_path (s->cr);
      add_side (s, scene, camera, w, h, dot, (RhyWallPoint) { r0.s_mm, a0 }, (RhyWallPoint) { r0.s_mm, a1 });
      add_side (s, scene, camera, w, h, dot, (RhyWallPoint) { r0.s_mm, a1 }, (RhyWallPoint) { r1.s_mm, a1 });
      add_side (s, scene, camera, w, h, dot, (RhyWallPoint) { r1.s_mm, a1 }, (RhyWallPoint) { r1.s_mm, a0 });
      add_side (s, scene, camera, w, h, dot, (RhyWallPoint) { r1.s_mm, a0 }, (RhyWallPoint) { r0.s_mm, a0 });
      cairo_set_line_width (s->cr, 0.35);
      colour (s, care);
      cairo_stroke (s->cr);
      if (rhy_scene_project (scene, camera, w, h, (RhyWallPoint) { r0.s_mm, z->centre_rad }, &x, &y))
        {
          /* Below its lower edge, across the picture: not over what it names. */
          const double across = 0.94 * w * dot;
          g_autofree char *name = g_strdup_printf ("%s: %s", _(rhy_zone_kind_to_string (z->kind)), z->name);
          const gboolean same = g_strcmp0 (z->name, rhy_zone_kind_to_string (z->kind)) == 0;
          const double most = 12.0;
          pango_layout_set_alignment (s->layout, PANGO_ALIGN_CENTER);
          const double tall = rhy_page_text_in (s->nowhere, s->layout, 0.0, 0.0, across, most, 2.6, 2.0, TRUE, ink, same ? z->name : name);
          /* Under the names that are there, or where the picture ends above them. */
          double top = y * dot + 1.0;
          if (top < below)
            top = below;
          if (top + tall + 1.0 > h * dot)
            top = MAX (0.0, MIN (above, h * dot - 1.0) - tall);
          rhy_page_text_in (s->cr, s->layout, 0.03 * w * dot, top, across, most, 2.6, 2.0, TRUE, ink, same ? z->name : name);
          above = MIN (above, top);
          below = MAX (below, top + tall);
          pango_layout_set_alignment (s->layout, PANGO_ALIGN_LEFT);
        }
    }
}

static gboolean
add_preview (Sheet   *s,
             RhyPlan *plan,
             double   turn_rad,
             double   x,
             double   y,
             double   width,
             double   height,
             GError **error)
{
  if (s->cr == s->nowhere)
    return TRUE;
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, error);
  if (scene == NULL)
    return FALSE;
  const double dpi = 200.0;
  const int w = (int) (width / 25.4 * dpi);
  const int h = (int) (height / 25.4 * dpi);
  RhyCamera camera = RHY_CAMERA_INIT;
  camera.turn_rad = turn_rad;
  camera.zoom = zoom_for (plan, width, height);
  const RhySceneOptions options = RHY_SCENE_OPTIONS_INIT;
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_ARGB32, w, h);
  rhy_scene_render (scene, &camera, &options, cairo_image_surface_get_data (surface), w, h,
                    cairo_image_surface_get_stride (surface));
  cairo_surface_mark_dirty (surface);
  cairo_save (s->cr);
  cairo_translate (s->cr, x, y);
  cairo_scale (s->cr, width / w, height / h);
  cairo_set_source_surface (s->cr, surface, 0.0, 0.0);
  cairo_paint (s->cr);
  cairo_restore (s->cr);
  cairo_surface_destroy (surface);
  cairo_save (s->cr);
  cairo_rectangle (s->cr, x, y, width, height);
  cairo_clip (s->cr);
  cairo_translate (s->cr, x, y);
  add_zones (s, plan, scene, &camera, w, h, width / w);
  cairo_restore (s->cr);
  cairo_rectangle (s->cr, x, y, width, height);
  cairo_set_line_width (s->cr, 0.2);
  colour (s, rule);
  cairo_stroke (s->cr);
  return TRUE;
}

/* The mark's side and, where something lies there, the other one. */
static gboolean
add_previews (Sheet   *s,
              RhyPlan *plan,
              double   x,
              double   width,
              double   height,
              GError **error)
{
  const double turn = rhy_plan_get_numbers (plan)->anchor.angle;
  const double gap = 3.0;
  const char *const captions[] = { _("the mark's side"), _("the other side") };
  if (!has_back (plan))
    return add_preview (s, plan, turn, x, s->y, width, height, error);
  const double half = 0.5 * (width - gap);
  const double caption = MAX (height_of (s, half, SMALL, FALSE, captions[0]), height_of (s, half, SMALL, FALSE, captions[1])) + 0.8;
  pango_layout_set_alignment (s->layout, PANGO_ALIGN_CENTER);
  for (int i = 0; i < 2; i++)
    text_at (s, x + i * (half + gap), s->y + height - caption + 0.6, half, SMALL, FALSE, LEFT, soft, captions[i]);
  pango_layout_set_alignment (s->layout, PANGO_ALIGN_LEFT);
  return add_preview (s, plan, turn, x, s->y, half, height - caption, error)
         && add_preview (s, plan, turn + G_PI, x + half + gap, s->y, half, height - caption, error);
}

/* A row of the settings: what, how much, and why or from where. */
static void
setting (Sheet      *s,
         const char *what,
         const char *value,
         const char *remark)
{
  const double column = 44.0;
  const double value_width = 56.0;
  const double width = s->width - 2.0 * MARGIN_MM;
  need (s, MAX (height_of (s, column - 2.0, BODY, FALSE, what),
                MAX (height_of (s, value_width - 2.0, BODY, TRUE, value), height_of (s, width - column - value_width, SMALL, FALSE, remark) + 0.5)));
  const double h0 = text_at (s, MARGIN_MM, s->y, column - 2.0, BODY, FALSE, LEFT, soft, what);
  const double h1 = text_at (s, MARGIN_MM + column, s->y, value_width - 2.0, BODY, TRUE, LEFT, ink, value);
  const double h2 = text_at (s, MARGIN_MM + column + value_width, s->y + 0.5, width - column - value_width, SMALL, FALSE, LEFT, soft, remark);
  s->y += MAX (MAX (h0, h1), h2) + 0.7;
}

/* With no minus before a zero. */
static char *
number (const char *format,
        double      value)
{
  char buffer[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (buffer, sizeof buffer, format, value);
  return g_strdup (buffer[0] == '-' && buffer[strspn (buffer, "-0.")] == '\0' ? buffer + 1 : buffer);
}

/* For a value that the maker enters by hand: a line to write on. */
static const char *
or_line (const char *entered)
{
  return entered != NULL && *entered != '\0' ? entered : "____________";
}

/* What a tape pulled tight from the ink box's lower left to its upper right corner
 * reads on the burnt piece: one reading that shows a wrong width, height or skew. */
static void
add_tape_check (Sheet   *s,
                RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  RhyPoint low, high;
  RhyRuler ruler;
  if (n->copies > 1 || !(n->width_mm > 0.0 && n->height_mm > 0.0)
      || !rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { -0.5 * n->width_mm, -0.5 * n->height_mm }, &low)
      || !rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { 0.5 * n->width_mm, 0.5 * n->height_mm }, &high)
      || !rhy_ruler_between (rhy_plan_get_wall (plan), (RhyWallPoint) { low.x, low.y }, (RhyWallPoint) { high.x, high.y },
                             &ruler, NULL))
    return;
  g_autofree char *diagonal = number ("%.1f", ruler.distance_mm);
  g_autofree char *text = g_strdup_printf ("%s mm", diagonal);
  setting (s, _("Tape check"), text, _("corner to corner of the ink, on the burnt piece"));
}

/* Its size and lay; of several also where it stands, for only the first one's middle is the mark. */
static void
add_artwork (Sheet         *s,
             const RhyPlan *part,
             gsize          i,
             gsize          n_parts)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (part);
  const RhyJobArtwork *group = rhy_plan_get_group (part);
  g_autofree char *width = number ("%.1f", n->width_mm);
  g_autofree char *height = number ("%.1f", n->height_mm);
  g_autofree char *at = number ("%.1f", rhy_wall_at (rhy_plan_get_wall (part), n->anchor.s).z_mm);
  g_autofree char *around = number ("%.1f", n->anchor.angle * DEGREES);
  g_autofree char *size = g_strdup_printf ("%s \xc3\x97 %s mm", width, height);
  g_autofree char *where = n_parts > 1 ? g_strdup_printf (_("laid %s, %s mm up, %s\xc2\xb0 around%s"), _(rhy_lay_kind_to_string (group->lay)),
                                                          at, around, i == 0 ? _(": the mark") : "")
                                       : g_strdup_printf (_("on the wall, laid %s; import at 100 %%"), _(rhy_lay_kind_to_string (group->lay)));
  g_autofree char *name = group->name != NULL && n_parts > 1 ? g_strdup_printf (_("Artwork: %s"), group->name) : g_strdup (_("Artwork"));
  setting (s, name, size, where);
}

/* Which way to fill areas, and what the other way would do. */
static void
add_line_way (Sheet         *s,
              const RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const RhyEvenness e = rhy_exposure_evenness (rhy_plan_get_wall (plan), n->travel_per_turn_mm, n->tilt_rad, n->s_low_mm, n->s_high_mm);
  static const char *const ways[] = {
    [RHY_LINES_EITHER] = N_("along axis or turn"),
    [RHY_LINES_AXIS] = N_("along the axis"),
    [RHY_LINES_TURN] = N_("along the turn"),
  };
  g_autofree char *axis_min = number ("%.0f", 100.0 * e.along_axis.distance_min);
  g_autofree char *axis_max = number ("%.0f", 100.0 * e.along_axis.distance_max);
  g_autofree char *turn_min = number ("%.0f", 100.0 * e.along_turn.distance_min);
  g_autofree char *turn_max = number ("%.0f", 100.0 * e.along_turn.distance_max);
  g_autofree char *remark = g_strdup_printf (_("lines' distance: axis %s to %s %%, turn %s to %s %%"), axis_min, axis_max, turn_min, turn_max);
  setting (s, _("Fill areas in lines"), _(ways[e.better]), remark);
}

/* The line distance of each band, and how even it gets. */
static void
add_bands (Sheet         *s,
           const RhyPlan *plan)
{
  RhyLineBand bands[RHY_LINE_BANDS_MAX];
  const guint n = rhy_plan_find_line_bands (plan, bands);
  if (n == 0)
    return;
  const RhyWall *wall = rhy_plan_get_wall (plan);
  const double wanted = rhy_job_get_data (rhy_plan_get_job (plan))->output.line_distance_mm;
  static const char *const titles[] = { N_("Band"), N_("Height, mm"), N_("Line distance, mm"), N_("Lines per inch"), N_("Energy an area, %") };
  const double column = (s->width - 2.0 * MARGIN_MM) / G_N_ELEMENTS (titles);

  heading (s, _("Line distance of each band"));
  double axis_min = G_MAXDOUBLE, axis_max = 0.0, turn_min = G_MAXDOUBLE, turn_max = 0.0, height = 0.0;
  for (guint k = 0; k < G_N_ELEMENTS (titles); k++)
    height = MAX (height, height_of (s, column - 2.0, SMALL, FALSE, _(titles[k])));
  need (s, height + 14.0);
  for (guint k = 0; k < G_N_ELEMENTS (titles); k++)
    text_at (s, MARGIN_MM + k * column, s->y, column - 2.0, SMALL, FALSE, LEFT, soft, _(titles[k]));
  s->y += height + 0.6;
  for (guint i = n; i-- > 0;)   /* as they lie on the vessel: the highest first */
    {
      const RhyLineBand *b = &bands[i];
      g_autofree char *low = number ("%.1f", rhy_wall_at (wall, b->s0_mm).z_mm);
      g_autofree char *high = number ("%.1f", rhy_wall_at (wall, b->s1_mm).z_mm);
      g_autofree char *distance = number ("%.4f", wanted * b->correction);
      g_autofree char *inch = number ("%.1f", 25.4 / (wanted * b->correction));
      g_autofree char *least = number ("%.1f", 100.0 * b->energy_min);
      g_autofree char *most = number ("%.1f", 100.0 * b->energy_max);
      g_autofree char *name = g_strdup_printf ("band-%u", i + 1);
      g_autofree char *from_to = g_strdup_printf (_("%s to %s"), low, high);
      g_autofree char *energy = g_strdup_printf (_("%s to %s"), least, most);
      const char *const cells[] = { name, from_to, distance, inch, energy };
      need (s, 6.0);
      double tall = 0.0;
      for (guint k = 0; k < G_N_ELEMENTS (cells); k++)
        {
          const double h = text_at (s, MARGIN_MM + k * column, s->y, column - 2.0, BODY, k == 2 || k == 3, LEFT, ink, cells[k]);
          tall = MAX (tall, h);
        }
      s->y += tall + 0.7;
      axis_min = MIN (axis_min, b->axis_min);
      axis_max = MAX (axis_max, b->axis_max);
      turn_min = MIN (turn_min, b->turn_min);
      turn_max = MAX (turn_max, b->turn_max);
    }
  g_autofree char *a0 = number ("%.3f", wanted * axis_min);
  g_autofree char *a1 = number ("%.3f", wanted * axis_max);
  g_autofree char *t0 = number ("%.3f", wanted * turn_min);
  g_autofree char *t1 = number ("%.3f", wanted * turn_max);
  g_autofree char *remark = g_strdup_printf (_("Same power and speed in all bands. On the wall lines are then %s to %s mm apart if they run "
                                               "along the axis, %s to %s mm along the turn."), a0, a1, t0, t1);
  s->y += 0.6;
  block (s, SMALL, FALSE, soft, remark);
}

static void
add_settings (Sheet                 *s,
              RhyPlan               *plan,
              const RhySheetOptions *o)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const gboolean chuck = d->hold.drive == RHY_DRIVE_CHUCK;
  g_autofree char *travel = number ("%.3f", n->travel_per_turn_mm);
  g_autofree char *diameter = number ("%.2f", n->reference_diameter_mm);
  g_autofree char *tilt = number ("%.2f", n->tilt_rad * DEGREES);
  g_autofree char *nearer = number ("%.2f", n->focus_greatest_mm);
  g_autofree char *farther = number ("%.2f", -n->focus_least_mm);
  g_autofree char *least = number ("%.0f", 100.0 * n->exposure_min);
  g_autofree char *most = number ("%.0f", 100.0 * n->exposure_max);

  heading (s, _("Set the machine"));
  g_autofree char *held = d->hold.drive == RHY_DRIVE_PINS ? g_strdup (_("Between pins"))
                           : g_strdup (chuck ? (d->hold.end == RHY_END_BASE ? _("Chuck, held at the base") : _("Chuck, held at the mouth"))
                                             : (d->hold.end == RHY_END_BASE ? _("Rollers, held at the base") : _("Rollers, held at the mouth")));
  setting (s, _("Holding"), held, chuck ? _("turn it once by hand and watch it run true")
                           : d->hold.drive == RHY_DRIVE_PINS ? _("on the axis at both ends, no play")
                                     : _("level on both rollers, no play"));
  const char *orientation
    = d->machine.axis == RHY_AXIS_X ? (d->machine.mouth == RHY_MOUTH_PLUS ? _("x, mouth to the right") : _("x, mouth to the left"))
                                    : (d->machine.mouth == RHY_MOUTH_PLUS ? _("y, mouth to the top") : _("y, mouth to the bottom"));
  setting (s, _("Rotary axis"), orientation, d->machine.turn_reversed ? _("turn wired backwards: mirrored on purpose")
                                                                   : _("as on the bed drawing"));
  g_autofree char *travel_text = g_strdup_printf ("%s mm", travel);
  setting (s, _("Travel per turn"), travel_text, _("drawing mm for one turn of the work"));
  g_autofree char *diameter_text = g_strdup_printf ("%s mm", diameter);
  setting (s, _("Reference diameter"), diameter_text, _("if the machine asks for a diameter"));
  g_autofree char *tilt_text = g_strdup_printf ("%s\xc2\xb0", tilt);
  setting (s, _("Tilt"), tilt_text, _("until the line under the ink is level"));
  g_autofree char *focus_remark = g_strdup_printf (_("over the ink up to %s mm nearer, %s mm farther"), nearer, farther);
  setting (s, _("Focus"), _("at the mark"), focus_remark);
  for (gsize i = 0; i < rhy_plan_get_n_parts (plan); i++)
    add_artwork (s, rhy_plan_get_part (plan, i), i, rhy_plan_get_n_parts (plan));
  add_tape_check (s, plan);
  g_autofree char *exposure_text = g_strdup_printf (_("%s to %s %%"), least, most);
  setting (s, _("Exposure"), exposure_text, _("of the ring as long as the travel per turn"));
  add_line_way (s, plan);
  setting (s, _("Power"), or_line (o->power), _("from a ladder on the same coating"));
  setting (s, _("Speed"), or_line (o->speed), "");
  setting (s, _("Lines"), or_line (o->lines), "");
  add_bands (s, plan);
}

/* ---- second page: steps, cautions, notes ---- */

static void
step (Sheet      *s,
      const char *text)
{
  const double box = 3.6;
  need (s, height_of (s, s->width - 2.0 * MARGIN_MM - 6.5, BODY, FALSE, text));
  cairo_rectangle (s->cr, MARGIN_MM, s->y + 0.4, box, box);
  cairo_set_line_width (s->cr, 0.3);
  colour (s, ink);
  cairo_stroke (s->cr);
  const double h = text_at (s, MARGIN_MM + 6.5, s->y, s->width - 2.0 * MARGIN_MM - 6.5, BODY, FALSE, LEFT, ink, text);
  s->y += MAX (h, box) + 1.5;
}

static void
add_steps (Sheet   *s,
           RhyPlan *plan)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double z = rhy_wall_at (rhy_plan_get_wall (plan), n->anchor.s).z_mm;
  g_autofree char *height = number ("%.1f", z);
  g_autofree char *angle = number ("%.1f", n->anchor.angle * DEGREES);
  g_autofree char *tilt = number ("%.2f", n->tilt_rad * DEGREES);
  g_autofree char *mark = g_strdup_printf (_("Mark the blank %s mm above its base, %s\xc2\xb0 around from the front "
                                           "(to the right as you face it). Check it with the wrapped paper pattern."), height, angle);
  g_autofree char *tilting = g_strdup_printf (_("Set the tilt to %s\xc2\xb0 and check that the line under the ink is level."), tilt);
  heading (s, _("Step by step"));
  step (s, _("The blank is clean and dry, empty and open; coating and material are known and safe to burn."));
  step (s, mark);
  step (s, _("Hold the blank as on page 1. Turn it one full turn by hand: nothing touches, nothing wobbles."));
  step (s, tilting);
  step (s, _("Import the bed drawing at 100 %, without mirroring. Its size and the sheet's agree."));
  step (s, _("Line the beam up with the mark on the blank; the drawing's small cross is that point."));
  step (s, _("Set the focus at the mark. Move along the axis: the head clears jaws, handle and rim."));
  step (s, _("Run the outline with the beam off, or at aiming power. Watch the whole turn."));
  step (s, _("Extraction on, eye protection on, fire blanket or extinguisher within reach."));
  step (s, _("Burn, and stay with the machine until it has stopped."));
}

static void
add_cautions (Sheet *s)
{
  static const char *const cautions[] = {
    N_("Eye protection rated for the wavelength; enclosure and interlocks closed where there are any. Never look at the beam."),
    N_("Never leave a burn unattended. Keep hands clear of the turning work."),
    N_("Never burn PVC, vinyl or a coating you do not know: some give off poisonous or corrosive fumes. Extract the fumes."),
    N_("Glass can crack or shatter and has sharp edges; never burn a closed or pressurised container."),
    N_("Keep solvents away from the machine, and let cleaned work dry before burning."),
    N_("A burnt coating where lips or drink touch is a question of food safety: ask the coating's maker."),
    N_("Follow the machine's manual, local rules and, where they apply, licensed practice (laser safety: IEC 60825-1). "
     "This sheet plans a job; it does not make a burn safe."),
  };
  heading (s, _("Cautions"));
  for (gsize i = 0; i < G_N_ELEMENTS (cautions); i++)
    {
      need (s, height_of (s, s->width - 2.0 * MARGIN_MM - 4.5, SMALL + 0.2, FALSE, _(cautions[i])));
      cairo_arc (s->cr, MARGIN_MM + 1.4, s->y + 1.9, 0.6, 0.0, 2.0 * G_PI);
      colour (s, stop);
      cairo_fill (s->cr);
      s->y += text_at (s, MARGIN_MM + 4.5, s->y, s->width - 2.0 * MARGIN_MM - 4.5, SMALL + 0.2, FALSE, LEFT, ink, _(cautions[i])) + 1.0;
    }
}

static void
add_notes (Sheet *s)
{
  need (s, 45.0);
  heading (s, _("What happened"));
  /* What is to be filled in, on as many lines as the words take. */
  const struct { const char *before; double room; const char *after; } blanks[] = {
    { _("Date"), 40.0, "" },
    /* Translators: "60 mm came out as ____ mm around", a line to write on between the two. */
    { _("60 mm came out as"), 22.0, _("mm around") },
  };
  double x = MARGIN_MM;
  for (gsize i = 0; i < G_N_ELEMENTS (blanks); i++)
    {
      const double before = rhy_page_text_width (s->layout, BODY, FALSE, blanks[i].before) + 2.0;
      const double after = rhy_page_text_width (s->layout, BODY, FALSE, blanks[i].after) + 2.0;
      if (x > MARGIN_MM && x + before + blanks[i].room + after > s->width - MARGIN_MM)
        {
          x = MARGIN_MM;
          s->y += 8.0;
        }
      text_at (s, x, s->y, 0.0, BODY, FALSE, LEFT, soft, blanks[i].before);
      line (s, x + before, s->y + 4.6, x + before + blanks[i].room, s->y + 4.6, 0.2, rule);
      text_at (s, x + before + blanks[i].room + 2.0, s->y, 0.0, BODY, FALSE, LEFT, soft, blanks[i].after);
      x += before + blanks[i].room + after + 6.0;
    }
  s->y += 9.0;
  for (; s->y < s->height - 22.0; s->y += 8.0)
    line (s, MARGIN_MM, s->y + 4.0, s->width - MARGIN_MM, s->y + 4.0, 0.2, rule);
}

static void
add_footer (Sheet *s)
{
  g_autofree char *text = g_strdup_printf (_("Setup sheet, page %d of %d"), s->page + 1, s->n_pages);
  const double taken = rhy_page_text_width (s->layout, SMALL, FALSE, text) + 4.0;
  text_at (s, s->width - MARGIN_MM, s->height - 11.0, 0.0, SMALL, FALSE, RIGHT, soft, text);
  rhy_page_text_in (s->cr, s->layout, MARGIN_MM, s->height - 11.0, s->width - 2.0 * MARGIN_MM - taken, 4.5, SMALL, 2.0, FALSE, soft,
                    _("Made by Rhyton. Lengths in mm, angles in degrees."));
}

/* Later pages say what they belong to, in one line each. */
static void
begin_page (Sheet *s)
{
  s->cr = s->page == s->wanted ? s->page_cr : s->nowhere;
  s->y = MARGIN_MM;
  if (s->page == 0)
    return;
  s->y += rhy_page_text (s->cr, s->layout, MARGIN_MM, s->y, s->width - 2.0 * MARGIN_MM, HEADING, TRUE, RHY_PLACE_LEFT, TRUE, ink, s->title);
  if (!s->is_ready)
    s->y += text_at (s, MARGIN_MM, s->y, 0.0, BODY, TRUE, LEFT, stop, _("NOT READY: see page 1"));
  s->y += 2.0;
}

/* How high the settings are with nothing above them. */
static double
height_of_settings (const Sheet           *s,
                    RhyPlan               *plan,
                    const RhySheetOptions *o)
{
  Sheet dry = *s;
  dry.cr = dry.nowhere;
  dry.y = 0.0;
  dry.height = G_MAXDOUBLE;
  add_settings (&dry, plan, o);
  return dry.y;
}

/* Returns: FALSE with @error where there is no picture of the job. */
static gboolean
draw_first (Sheet                 *s,
            RhyPlan               *plan,
            const RhyVerdict      *verdict,
            const RhySheetOptions *o,
            GError               **error)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  if (!s->is_ready)
    {
      add_bar (s);              /* before anything else can push it down */
      s->y += 2.0;
    }
  block (s, TITLE, TRUE, ink, s->title);
  s->y += 0.8;
  block (s, BODY, FALSE, soft, d->vessel.name != NULL ? d->vessel.name : _("Vessel without a name"));
  if (d->job.note != NULL)
    block (s, BODY, FALSE, soft, d->job.note);
  s->y += 3.0;
  if (s->is_ready)
    add_bar (s);
  add_findings (s, verdict);
  s->y += 3.0;

  const double half = 0.5 * (s->width - 2.0 * MARGIN_MM);
  need (s, 50.0);
  const double tall = CLAMP (s->height - FOOT_MM - s->y - height_of_settings (s, plan, o), 50.0, 100.0);
  add_elevation (s, plan, MARGIN_MM, s->y, half, tall);
  if (!add_previews (s, plan, MARGIN_MM + half + 4.0, half - 4.0, tall, error))
    return FALSE;
  s->y += tall;
  add_settings (s, plan, o);
  return TRUE;
}

static gboolean
draw_all (Sheet                 *s,
          RhyPlan               *plan,
          const RhyVerdict      *verdict,
          const RhySheetOptions *o,
          GError               **error)
{
  s->page = 0;
  begin_page (s);
  if (!draw_first (s, plan, verdict, o, error))
    return FALSE;
  need (s, s->height);          /* the steps are on a page to take along */
  add_steps (s, plan);
  add_cautions (s);
  add_notes (s);
  add_footer (s);
  return TRUE;
}

/* One page on @cr, or with -1 none at all. Returns: FALSE with @error where there is no picture of the job. */
static gboolean
draw_page (cairo_t               *cr,
           int                    wanted,
           int                   *n_pages,
           RhyPlan               *plan,
           const RhyVerdict      *verdict,
           const RhySheetOptions *o,
           GError               **error)
{
  g_auto (RhyWords) words = rhy_words_begin ();
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  cairo_surface_t *empty = cairo_recording_surface_create (CAIRO_CONTENT_COLOR_ALPHA, &(cairo_rectangle_t) { 0.0, 0.0, 1.0, 1.0 });
  Sheet s = {
    .page_cr = cr,
    .nowhere = cairo_create (empty),
    .wanted = wanted,
    .n_pages = *n_pages,
    .title = d->job.title != NULL ? d->job.title : _("Untitled job"),
    .is_ready = rhy_verdict_is_ready (verdict),
  };
  rhy_paper_get_size (o->paper, &s.width, &s.height);
  cairo_scale (s.nowhere, PT_PER_MM, PT_PER_MM);
  /* Lines break alike wherever they are drawn. */
  s.layout = pango_cairo_create_layout (s.nowhere);
  pango_context_set_round_glyph_positions (pango_layout_get_context (s.layout), FALSE);
  const gboolean drawn = draw_all (&s, plan, verdict, o, error);
  *n_pages = s.page + 1;
  g_object_unref (s.layout);
  cairo_destroy (s.nowhere);
  cairo_surface_destroy (empty);
  return drawn;
}

typedef struct
{
  RhyPlan         *plan;
  RhyVerdict      *verdict;
  RhySheetOptions  options;
  int              n_pages;
} Pages;

static void
draw_nth (gpointer data,
          gsize    i,
          cairo_t *cr)
{
  const Pages *pages = data;
  int n_pages = pages->n_pages;
  draw_page (cr, (int) i, &n_pages, pages->plan, pages->verdict, &pages->options, NULL);
}

static void
free_pages (gpointer data)
{
  Pages *pages = data;
  rhy_plan_unref (pages->plan);
  rhy_verdict_unref (pages->verdict);
  g_free ((char *) pages->options.power);
  g_free ((char *) pages->options.speed);
  g_free ((char *) pages->options.lines);
  g_free (pages);
}

RhyPages *
rhy_pages_new_sheet (RhyPlan               *plan,
                     RhyVerdict            *verdict,
                     const RhySheetOptions *options)
{
  g_return_val_if_fail (plan != NULL && verdict != NULL, NULL);

  const RhySheetOptions defaults = RHY_SHEET_OPTIONS_INIT;
  const RhySheetOptions *o = options != NULL ? options : &defaults;
  Pages *pages = g_new (Pages, 1);
  *pages = (Pages) { .plan = rhy_plan_ref (plan), .verdict = rhy_verdict_ref (verdict), .options = *o };
  pages->options.power = g_strdup (o->power);
  pages->options.speed = g_strdup (o->speed);
  pages->options.lines = g_strdup (o->lines);
  double width, height;
  rhy_paper_get_size (o->paper, &width, &height);
  draw_page (NULL, -1, &pages->n_pages, plan, verdict, o, NULL);
  return rhy_pages_new (width, height, (gsize) pages->n_pages, draw_nth, pages, free_pages);
}

static cairo_status_t
take_bytes (void                *closure,
            const unsigned char *data,
            unsigned int         length)
{
  g_byte_array_append (closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

GBytes *
rhy_sheet_new (RhyPlan               *plan,
               RhyVerdict            *verdict,
               const RhySheetOptions *options,
               GError               **error)
{
  g_return_val_if_fail (plan != NULL && verdict != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  const RhySheetOptions defaults = RHY_SHEET_OPTIONS_INIT;
  const RhySheetOptions *o = options != NULL ? options : &defaults;
  double width, height;
  rhy_paper_get_size (o->paper, &width, &height);
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (take_bytes, bytes, width * PT_PER_MM, height * PT_PER_MM);
  /* A fixed date, so that the same job gives the same bytes. */
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, "2000-01-01T00:00:00Z");
  cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, "Setup sheet");
  cairo_t *cr = cairo_create (surface);
  cairo_scale (cr, PT_PER_MM, PT_PER_MM);
  int n_pages = 0;
  gboolean drawn = draw_page (NULL, -1, &n_pages, plan, verdict, o, error);
  for (int i = 0; i < n_pages && drawn; i++)
    {
      drawn = draw_page (cr, i, &n_pages, plan, verdict, o, error);
      cairo_show_page (cr);
    }
  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);
  if (!drawn)
    return NULL;
  if (status != CAIRO_STATUS_SUCCESS)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY, "the sheet cannot be drawn: %s", cairo_status_to_string (status));
      return NULL;
    }
  return g_byte_array_free_to_bytes (g_steal_pointer (&bytes));
}
