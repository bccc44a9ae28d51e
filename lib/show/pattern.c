/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/drawing.h>

#include <math.h>

#include "draft.h"
#include "skin.h"
#include "words.h"

static const RhyColour GUIDE = { 0.45, 0.45, 0.45, 1.0 };
static const RhyColour CUT = { 0.0, 0.0, 0.0, 1.0 };
static const RhyDraftPaint GUIDE_LINE = { .colour = { 0.45, 0.45, 0.45, 1.0 }, .width_mm = 0.15 };
static const RhyDraftPaint FRONT_LINE = { .colour = { 0.45, 0.45, 0.45, 1.0 }, .width_mm = 0.15, .dash_mm = 2.0 };
static const RhyDraftPaint CUT_LINE = { .colour = { 0.0, 0.0, 0.0, 1.0 }, .width_mm = 0.2 };

#define MARGIN_MM 8.0
#define GAP_MM 6.0
#define LETTER_MM 3.6
#define SMALL_MM 2.4
#define ROW_MM 400.0            /* gores stand side by side up to about this width */
#define FOOT_MM 63.0            /* title, bars and square; more where the words take more */
#define FOOT_WIDTH_MM 165.0
#define NOTES_WIDTH_MM 108.0    /* the square is beside them */
#define NOTES_MM 67.0           /* down from the title's base line */
#define LETTER_LEAST_MM 2.6
#define PITCH 1.39
#define TITLE_MM 5.0
#define TITLE_LEAST_MM 3.6

/* --- guides --------------------------------------------------------------- */

/* Lettering that follows the parallel, so that it reads level on the vessel: its
 * base line starts @down mm under the point. */
static void
add_level_text (RhyDraft       *draft,
                const RhyPatch *patch,
                const RhyWall  *wall,
                double          s,
                double          angle,
                double          down,
                RhyTextAnchor   anchor,
                double          size,
                const char     *text)
{
  const RhyPoint at = rhy_patch_point (patch, wall, s, angle);
  const double turn = rhy_patch_heading (patch, wall, s, angle);
  rhy_draft_add_text (draft, at.x - down * sin (turn), at.y + down * cos (turn), size, anchor, turn, GUIDE, text);
}

static void
add_tick (RhyDraft       *draft,
          const RhyPatch *patch,
          const RhyWall  *wall,
          double          s0,
          double          a0,
          double          s1,
          double          a1)
{
  const RhyPoint p = rhy_patch_point (patch, wall, s0, a0);
  const RhyPoint q = rhy_patch_point (patch, wall, s1, a1);
  rhy_draft_add_path (draft, rhy_draft_line (p.x, p.y, q.x, q.y), GUIDE_LINE);
}

/* Heights as a scale along the left end, where the artwork never is: ticks every
 * 5 mm, longer and labelled at tens. */
static void
add_heights (RhyDraft       *draft,
             const RhyPatch *patch,
             const RhyWall  *wall)
{
  const RhyRing low = rhy_wall_at (wall, patch->s0);
  const RhyRing high = rhy_wall_at (wall, patch->s1);
  for (int i = (int) ceil (low.z_mm / 5.0 + 1e-9); i * 5.0 < high.z_mm - 1e-6; i++)
    {
      RhyRing ring;
      RhyDigits digits;
      if (!rhy_wall_at_height (wall, i * 5.0, &ring))
        continue;
      const gboolean ten = i % 2 == 0;
      add_tick (draft, patch, wall, ring.s_mm, patch->a0, ring.s_mm, patch->a0 + (ten ? 4.0 : 2.0) / ring.r_mm);
      if (ten)
        add_level_text (draft, patch, wall, ring.s_mm, patch->a0 + 5.0 / ring.r_mm, 0.9, RHY_TEXT_START, SMALL_MM + 0.4,
                        rhy_say (digits, i * 5.0, 0));
    }
}

/* Heights off the wall are its ends. */
static double
s_of_height (const RhyWall *wall,
             double         height_mm)
{
  RhyRing ring;
  if (rhy_wall_at_height (wall, height_mm, &ring))
    return ring.s_mm;
  return height_mm <= rhy_wall_at (wall, 0.0).z_mm ? 0.0 : rhy_wall_get_length (wall);
}

/* The front line from base to rim where the patch has it, named at its foot. */
static void
add_front (RhyDraft       *draft,
           const RhyPatch *patch,
           const RhyWall  *wall)
{
  const double front = 2.0 * G_PI * ceil ((patch->a0 - 1e-9) / (2.0 * G_PI));
  if (front > patch->a1 + 1e-9)
    return;
  const int n = patch->unroll != NULL ? 1 : (int) ceil (patch->s1 - patch->s0);
  RhyPath *path = rhy_path_new ();
  for (int i = 0; i <= n; i++)
    {
      const RhyPoint p = rhy_patch_point (patch, wall, patch->s0 + (patch->s1 - patch->s0) * i / n, front);
      if (i == 0)
        rhy_path_move_to (path, p.x, p.y);
      else
        rhy_path_line_to (path, p.x, p.y);
    }
  rhy_draft_add_path (draft, path, FRONT_LINE);
  const double foot = MIN (patch->s0 + 3.0, patch->s1);
  if (patch->unroll != NULL)
    {
      const double angle = front + 1.5 / rhy_wall_at (wall, foot).r_mm;
      const RhyPoint p = rhy_patch_point (patch, wall, foot, angle);
      /* The name of a zone all round begins further right. */
      rhy_draft_add_fitted (draft, p.x, p.y, 14.0, SMALL_MM + 0.4, 1.6, RHY_TEXT_START, rhy_patch_heading (patch, wall, foot, angle),
                            GUIDE, _("front"));
    }
}

/* Where the ends meet, and what the tab beyond is for. */
static void
add_seam (RhyDraft       *draft,
          const RhyPatch *patch,
          const RhyWall  *wall)
{
  if (!(patch->tab_mm > 0.0))
    return;
  RhyPoint c[4];
  rhy_patch_seam (patch, wall, c);
  rhy_draft_add_path (draft, rhy_draft_line (c[0].x, c[0].y, c[1].x, c[1].y), FRONT_LINE);
  const double length = hypot (c[1].x - c[0].x, c[1].y - c[0].y);
  if (patch->tab_mm < 4.0 || length < 60.0)
    return;
  /* The base line runs up the seam, a little under the middle of the tab. */
  const double turn = atan2 (c[1].y - c[0].y, c[1].x - c[0].x);
  const double down = 0.5 * patch->tab_mm + 0.35 * SMALL_MM;
  rhy_draft_add_fitted (draft, 0.5 * (c[0].x + c[1].x) - down * sin (turn), 0.5 * (c[0].y + c[1].y) + down * cos (turn),
                        length - 4.0, SMALL_MM, 1.6, RHY_TEXT_MIDDLE, turn, GUIDE, _("glue: goes under the other end"));
}

/* --- zones ---------------------------------------------------------------- */

#define HATCH_MM 2.5
static const RhyColour HATCH = { 0.78, 0.78, 0.78, 1.0 };   /* light: lettering lies on it */

/* A band of the patch as a closed line of chords, at most 1 mm each. */
static RhyPath *
band_outline (const RhyPatch *patch,
              const RhyWall  *wall,
              double          s0,
              double          s1,
              double          a0,
              double          a1)
{
  const double r = MAX (rhy_wall_at (wall, s0).r_mm, rhy_wall_at (wall, s1).r_mm);
  const int across = CLAMP ((int) ceil (r * (a1 - a0)), 1, 1000);
  const int up = CLAMP ((int) ceil (s1 - s0), 1, 1000);
  RhyPath *path = rhy_path_new ();
  for (int i = 0; i < 2 * (across + up); i++)
    {
      const int k = i < across + up ? i : i - across - up;
      double along = k < across ? (double) k / across : 1.0;
      double rise = k < across ? 0.0 : (double) (k - across) / up;
      if (i >= across + up)     /* back along the other two sides */
        along = 1.0 - along, rise = 1.0 - rise;
      const RhyPoint p = rhy_patch_point (patch, wall, s0 + rise * (s1 - s0), a0 + along * (a1 - a0));
      if (i == 0)
        rhy_path_move_to (path, p.x, p.y);
      else
        rhy_path_line_to (path, p.x, p.y);
    }
  rhy_path_close (path);
  return path;
}

/* Slanting lines over @box: one path, to be kept inside the zone by a clip. */
static RhyPath *
hatching (RhyBounds box)
{
  RhyPath *path = rhy_path_new ();
  const double height = box.max_y - box.min_y;
  /* On a grid of the page's, so that neighbouring zones run on. */
  const double first = HATCH_MM * floor ((box.min_x - box.max_y) / HATCH_MM);
  for (double c = first; c < box.max_x - box.min_y + height; c += HATCH_MM)
    {
      rhy_path_move_to (path, c + box.min_y, box.min_y);
      rhy_path_line_to (path, c + box.max_y, box.max_y);
    }
  return path;
}

static void
add_zone_band (RhyArtworkBuilder *hatched,
               RhyDraft          *draft,
               const RhyPatch    *patch,
               const RhyWall     *wall,
               const RhyZone     *zone,
               RhyBounds          band)     /* x angle, y slant */
{
  RhyPath *edge = band_outline (patch, wall, band.min_y, band.max_y, band.min_x, band.max_x);
  const RhyBounds box = rhy_path_get_bounds (edge);
  const guint clip = rhy_artwork_builder_add_clip (hatched, rhy_path_ref (edge), RHY_FILL_NONZERO);
  const RhyShape lines = { .path = hatching (box), .has_stroke = TRUE, .stroke = HATCH,
                           .pen = { .width = 0.15, .miter_limit = 4.0, .matrix = RHY_AFFINE_IDENTITY },
                           .clips = g_memdup2 (&clip, sizeof clip), .n_clips = 1 };
  rhy_artwork_builder_add_shape (hatched, &lines);
  rhy_draft_add_path (draft, edge, GUIDE_LINE);
  /* Its name beside the middle: that is often where the front line runs. */
  const double wide = rhy_wall_at (wall, band.min_y).r_mm * (band.max_x - band.min_x);
  const double at = wide > 60.0 ? 0.62 : 0.5;
  if (wide > 14.0 && box.max_y - box.min_y > 5.0)
    {
      const double angle = band.min_x + at * (band.max_x - band.min_x);
      const double s = 0.5 * (band.min_y + band.max_y);
      const RhyPoint p = rhy_patch_point (patch, wall, s, angle);
      const double turn = rhy_patch_heading (patch, wall, s, angle);
      rhy_draft_add_fitted (draft, p.x - sin (turn), p.y + cos (turn), 2.0 * MIN (at, 1.0 - at) * wide - 2.0, SMALL_MM + 0.4, 1.6,
                            RHY_TEXT_MIDDLE, turn, GUIDE, zone->name);
    }
}

/* What to keep off, as it comes to lie on the patch: the paper may run round more than
 * once past a zone's angle, or end in the middle of one. */
static void
add_zones (RhyDraft      *draft,
           const RhySkin *skin,
           RhyPlan       *plan)
{
  const RhyJobData *d = rhy_job_get_data (rhy_plan_get_job (plan));
  if (d->n_zones == 0)
    return;
  g_autoptr (RhyArtworkBuilder) hatched = rhy_artwork_builder_new ();
  rhy_draft_open (draft, "zones");
  for (guint i = 0; i < skin->n_patches; i++)
    for (gsize k = 0; k < d->n_zones; k++)
      {
        const RhyPatch *patch = &skin->patches[i];
        const RhyZone *zone = &d->zones[k];
        const double low = s_of_height (skin->wall, zone->from_mm);
        const double high = s_of_height (skin->wall, zone->to_mm);
        const double width = MIN (zone->width_rad, 2.0 * G_PI);
        for (int turn = -2; turn <= 2; turn++)
          {
            const double a = zone->centre_rad + 2.0 * G_PI * turn - 0.5 * width;
            const RhyBounds band = { MAX (a, patch->a0), MAX (low, patch->s0), MIN (a + width, patch->a1), MIN (high, patch->s1) };
            if (band.max_x - band.min_x > 1e-6 && band.max_y - band.min_y > 1e-6)
              add_zone_band (hatched, draft, patch, skin->wall, zone, band);
          }
      }
  g_autoptr (RhyArtwork) lines = rhy_artwork_builder_end (g_steal_pointer (&hatched));
  rhy_draft_add_artwork (draft, lines);
  rhy_draft_close (draft);
}

/* --- where pieces meet ---------------------------------------------------- */

/* Joints are lettered A, B .. Z, then AA, AB .. */
static const char *
joint_name (guint joint,
            guint place,        /* 0: the letters alone */
            char  name[16])
{
  const char last = (char) ('A' + joint % 26);
  if (joint < 26 && place == 0)
    g_snprintf (name, 16, "%c", last);
  else if (joint < 26)
    g_snprintf (name, 16, "%c%u", last, place);
  else if (place == 0)
    g_snprintf (name, 16, "%c%c", (char) ('A' + joint / 26 - 1), last);
  else
    g_snprintf (name, 16, "%c%c%u", (char) ('A' + joint / 26 - 1), last, place);
  return name;
}

/* Twelve marks along an edge that meets another ring: A1 on one meets A1 on the
 * other. @inwards: 1 for a lower edge, -1 for an upper one */
static void
mark_ring_edge (RhyDraft       *draft,
                const RhyPatch *patch,
                const RhyWall  *wall,
                double          s,
                double          inwards,
                guint           joint)
{
  char name[16];
  const double r = rhy_wall_at (wall, s).r_mm;
  const double tick = MIN (2.5, 0.25 * (patch->s1 - patch->s0));
  for (guint i = 0; i < 12; i++)
    {
      const double a = patch->a0 + 2.0 * G_PI * (i + 0.5) / 12.0;
      add_tick (draft, patch, wall, s, a, s + inwards * tick, a);
      add_level_text (draft, patch, wall, s + inwards * tick, a + 0.7 / r, inwards > 0.0 ? 0.0 : 1.7, RHY_TEXT_START,
                      SMALL_MM, joint_name (joint, i + 1, name));
    }
}

static void
mark_gore_edges (RhyDraft       *draft,
                 const RhyPatch *patch,
                 const RhyWall  *wall,
                 guint           left,
                 guint           right)
{
  char name[16];
  const double span = patch->s1 - patch->s0;
  const int n = (int) MAX (3.0, rint (span / 20.0));
  for (int i = 1; i < n; i++)
    {
      const double s = patch->s0 + span * i / n;
      const double r = rhy_wall_at (wall, s).r_mm;
      const double width = r * (patch->a1 - patch->a0);
      const double tick = MIN (2.0, 0.2 * width);
      add_tick (draft, patch, wall, s, patch->a0, s, patch->a0 + tick / r);
      add_tick (draft, patch, wall, s, patch->a1 - tick / r, s, patch->a1);
      if (width < 10.0)
        continue;
      add_level_text (draft, patch, wall, s, patch->a0 + (tick + 0.4) / r, 0.8, RHY_TEXT_START, SMALL_MM,
                      joint_name (left, 0, name));
      add_level_text (draft, patch, wall, s, patch->a1 - (tick + 0.4) / r, 0.8, RHY_TEXT_END, SMALL_MM,
                      joint_name (right, 0, name));
    }
}

/* A ring's number stands on it; what it is stands above it, where the page is free. */
static void
label_ring (RhyDraft       *draft,
            const RhySkin  *skin,
            guint           i,
            double          left)
{
  const RhyPatch *patch = &skin->patches[i];
  RhyDigits low, high;
  g_autofree char *number = g_strdup_printf ("%u", i + 1);
  g_autofree char *label = g_strdup_printf (_("Ring %u of %u: height %s to %s mm"), i + 1, skin->n_patches,
                                            rhy_say (low, rhy_wall_at (skin->wall, patch->s0).z_mm, 1),
                                            rhy_say (high, rhy_wall_at (skin->wall, patch->s1).z_mm, 1));
  g_autoptr (RhyPath) outline = rhy_patch_outline (patch, skin->wall);
  add_level_text (draft, patch, skin->wall, 0.5 * (patch->s0 + patch->s1), patch->a0 + 2.0 * G_PI * 2.0 / 12.0, 1.4,
                  RHY_TEXT_MIDDLE, 4.0, number);
  rhy_draft_add_text (draft, left, rhy_path_get_bounds (outline).min_y - 2.0, SMALL_MM + 0.4, RHY_TEXT_START, 0.0, GUIDE,
                      label);
}

static void
label_gore (RhyDraft       *draft,
            const RhySkin  *skin,
            guint           i)
{
  const RhyPatch *patch = &skin->patches[i];
  g_autofree char *label = g_strdup_printf ("%u", i + 1);
  /* Where it is widest there is room, but lettering there would lie on the artwork:
   * at a quarter of the height, or three quarters, whichever is wider. */
  const double span = patch->s1 - patch->s0;
  const double low = patch->s0 + 0.12 * span;
  const double high = patch->s1 - 0.12 * span;
  const double s = rhy_wall_at (skin->wall, low).r_mm >= rhy_wall_at (skin->wall, high).r_mm ? low : high;
  add_level_text (draft, patch, skin->wall, s, patch->turn, 0.0, RHY_TEXT_MIDDLE, 3.2, label);
}

static void
add_joints (RhyDraft      *draft,
            const RhySkin *skin,
            double         left)
{
  for (guint i = 0; i < skin->n_patches; i++)
    {
      const RhyPatch *patch = &skin->patches[i];
      if (skin->cut == RHY_CUT_GORES)
        {
          mark_gore_edges (draft, patch, skin->wall, (i + skin->n_patches - 1) % skin->n_patches, i);
          label_gore (draft, skin, i);
          continue;
        }
      if (i > 0)
        mark_ring_edge (draft, patch, skin->wall, patch->s0, 1.0, i - 1);
      if (i + 1 < skin->n_patches)
        mark_ring_edge (draft, patch, skin->wall, patch->s1, -1.0, i);
      label_ring (draft, skin, i, left);
    }
}

/* --- the page ------------------------------------------------------------- */

/* Rings one above another, rim on top; gores in rows, from left to right as they
 * stand around. Returns: the box of all outlines. */
static RhyBounds
lay_out (RhySkin *skin)
{
  RhyBounds all = RHY_BOUNDS_EMPTY;
  double x = 0.0, y = 0.0, row = 0.0;
  for (guint k = 0; k < skin->n_patches; k++)
    {
      RhyPatch *patch = &skin->patches[skin->cut == RHY_CUT_RINGS ? skin->n_patches - 1 - k : k];
      g_autoptr (RhyPath) outline = rhy_patch_outline (patch, skin->wall);
      const RhyBounds b = rhy_path_get_bounds (outline);
      const double width = b.max_x - b.min_x;
      const double height = b.max_y - b.min_y;
      if (skin->cut == RHY_CUT_RINGS)
        {
          patch->dx = -0.5 * (b.min_x + b.max_x);
          y += GAP_MM;          /* the label's line */
          patch->dy = y - b.min_y;
          y += height + GAP_MM;
        }
      else if (skin->cut == RHY_CUT_GORES)
        {
          if (x > 0.0 && x + width > ROW_MM)
            {
              x = 0.0;
              y += row + GAP_MM;
              row = 0.0;
            }
          patch->dx = x - b.min_x;
          patch->dy = y - b.min_y;
          x += width + GAP_MM;
          row = MAX (row, height);
        }
      all = rhy_bounds_union (all, (RhyBounds) { b.min_x + patch->dx, b.min_y + patch->dy,
                                                 b.max_x + patch->dx, b.max_y + patch->dy });
    }
  return all;
}

/* A 100 mm bar, one of 4 inches and a 50 mm square: a printer's scale is seen with a ruler
 * before anything is cut, in both directions. */
static void
add_check (RhyDraft *draft,
           double    x,
           double    y)
{
  const RhyDraftPaint pen = { .colour = CUT, .width_mm = 0.15 };
  rhy_draft_open (draft, "scale");
  rhy_draft_add_path (draft, rhy_draft_line (x, y, x + 100.0, y), pen);
  for (int i = 0; i <= 10; i++)
    rhy_draft_add_path (draft, rhy_draft_line (x + 10.0 * i, y - (i % 5 == 0 ? 4.0 : 2.0), x + 10.0 * i, y), pen);
  rhy_draft_add_text (draft, x, y + 4.5, LETTER_MM, RHY_TEXT_START, 0.0, CUT, "0");
  rhy_draft_add_text (draft, x + 100.0, y + 4.5, LETTER_MM, RHY_TEXT_MIDDLE, 0.0, CUT, "100 mm");

  /* The same for who has an inch ruler, by quarters; an inch is 25.4 mm by definition. */
  const double inches = y + 12.0;
  rhy_draft_add_path (draft, rhy_draft_line (x, inches, x + 4.0 * 25.4, inches), pen);
  for (int i = 0; i <= 16; i++)
    rhy_draft_add_path (draft, rhy_draft_line (x + 6.35 * i, inches - (i % 4 == 0 ? 4.0 : 2.0), x + 6.35 * i, inches), pen);
  rhy_draft_add_text (draft, x, inches + 4.5, LETTER_MM, RHY_TEXT_START, 0.0, CUT, "0");
  rhy_draft_add_text (draft, x + 4.0 * 25.4, inches + 4.5, LETTER_MM, RHY_TEXT_MIDDLE, 0.0, CUT, "4 in");

  RhyPath *square = rhy_path_new ();
  rhy_path_move_to (square, x + 112.0, y - 4.0);
  rhy_path_line_to (square, x + 162.0, y - 4.0);
  rhy_path_line_to (square, x + 162.0, y + 46.0);
  rhy_path_line_to (square, x + 112.0, y + 46.0);
  rhy_path_close (square);
  rhy_draft_add_path (draft, square, pen);
  rhy_draft_add_text (draft, x + 137.0, y + 22.5, LETTER_MM, RHY_TEXT_MIDDLE, 0.0, CUT, "50 x 50 mm");
  rhy_draft_close (draft);
}

static char *
say_stretch (const RhySkin *skin)
{
  RhyDigits digits;
  if (fabs (skin->stretch) < 5e-5)
    return g_strdup (_("The paper lies on this wall without stretch."));
  rhy_say (digits, 100.0 * fabs (skin->stretch), 1);
  if (skin->cut == RHY_CUT_WHOLE)
    return g_strdup_printf (skin->stretch > 0.0 ? _("This wall is curved, no sheet fits it: this one is up to %s %% too wide.")
                                                : _("This wall is curved, no sheet fits it: this one is up to %s %% too narrow."), digits);
  return g_strdup_printf (skin->stretch > 0.0 ? _("This wall is curved: the pieces are up to %s %% too wide.")
                                              : _("This wall is curved: the pieces are up to %s %% too narrow."), digits);
}

/* The title above the bars, on the first page whatever there are; notes beside the square, and further down where they are
 * many. @draft: (nullable): only measured. @title_mm: (out) (nullable): what a title of more than one line
 * moves the rest down by. Returns: how far below @y the last line ends. */
static double
add_notes (RhyDraft      *draft,
           const RhySkin *skin,
           double         x,
           double         y,
           const char    *title,
           double        *title_mm)
{
  g_autofree char *stretch = say_stretch (skin);
  const gboolean tab = skin->patches[0].tab_mm > 0.0;
  const char *const whole[] = {
    _("Print at 100 % (actual size)."),
    _("Measure the bar and the square first."),
    tab ? _("Cut along the solid outline, wrap it round with the print outside, the tab under the other end.")
        : _("Cut along the solid outline, wrap it round with the print outside until the ends meet."),
    _("Front line to the front, lower edge to the base."),
    _("The scale at the left end is height above the base, mm."),
    stretch,
  };
  g_autofree char *order = skin->cut == RHY_CUT_RINGS
                             ? g_strdup (tab ? _("Each ring's tab goes under its other end, opposite the artwork.")
                                             : _("Each ring's ends meet opposite the artwork."))
                             : g_strdup_printf (_("1 to %u run to the right around the vessel."), skin->n_patches);
  const char *const pieces[] = {
    _("Print at 100 % (actual size). Measure the bar and the square first."),
    _("Cut out the pieces along their solid outlines."),
    skin->cut == RHY_CUT_RINGS ? _("Join them from the base up: mark A1 to A1, A2 to A2 ...")
                               : _("Join them side by side: edge A to A, B to B ..."),
    _("Front line to the front."),
    order,
    stretch,
  };
  G_STATIC_ASSERT (G_N_ELEMENTS (whole) == G_N_ELEMENTS (pieces));
  const char *const *lines = skin->cut == RHY_CUT_WHOLE ? whole : pieces;

  /* In smaller letters rather than further down, where they might take more pages. */
  double size = LETTER_MM + 0.1;
  double title_size = TITLE_MM + 0.1;
  double down, title_down;
  do
    {
      title_size = MAX (title_size - 0.1, TITLE_LEAST_MM);
      title_down = 1.2 * title_size * (rhy_draft_add_block (NULL, 0.0, 0.0, FOOT_WIDTH_MM, title_size, 0.0, CUT, title) - 1);
    }
  while (title_down > 0.0 && title_size > TITLE_LEAST_MM);
  do
    {
      size = MAX (size - 0.1, LETTER_LEAST_MM);
      down = 31.0;
      for (guint i = 0; i < G_N_ELEMENTS (whole); i++)
        down += PITCH * size * rhy_draft_add_block (NULL, 0.0, 0.0, NOTES_WIDTH_MM, size, 0.0, CUT, lines[i]);
    }
  while (down > NOTES_MM && size > LETTER_LEAST_MM);
  if (title_mm != NULL)
    *title_mm = title_down;
  /* Down to what hangs below the last base line, not to the next one. */
  const double end = down + title_down - (PITCH - 0.4) * size;
  if (draft == NULL)
    return end;

  rhy_draft_open (draft, "notes");
  rhy_draft_add_block (draft, x, y, FOOT_WIDTH_MM, title_size, 1.2 * title_size, CUT, title);
  double at = y + 31.0 + title_down;
  for (guint i = 0; i < G_N_ELEMENTS (whole); i++)
    at += PITCH * size * rhy_draft_add_block (draft, x, at, NOTES_WIDTH_MM, size, PITCH * size, CUT, lines[i]);
  rhy_draft_close (draft);
  return end;
}

static char *
describe (const RhySkin *skin)
{
  g_autofree char *stretch = say_stretch (skin);
  if (skin->cut == RHY_CUT_WHOLE)
    return g_strdup_printf ("Flat pattern of the wall in true millimetres: print at 100 %%, do not scale. "
                            "(0, 0) is the front at the base. %s", stretch);
  return g_strdup_printf ("Flat pattern of the wall in %u %s, true millimetres: print at 100 %%, do not scale. %s",
                          skin->n_patches, skin->cut == RHY_CUT_RINGS ? "rings" : "gores", stretch);
}

/* @art kept inside @outline. */
static RhyArtwork *
within (RhyArtwork *art,
        RhyPath    *outline)
{
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  for (gsize i = 0; i < rhy_artwork_get_n_clips (art); i++)
    {
      const RhyClip *clip = rhy_artwork_get_clip (art, i);
      rhy_artwork_builder_add_clip (builder, rhy_path_ref (clip->path), clip->rule);
    }
  const guint last = rhy_artwork_builder_add_clip (builder, rhy_path_ref (outline), RHY_FILL_NONZERO);
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (art); i++)
    {
      const RhyShape *source = rhy_artwork_get_shape (art, i);
      RhyShape shape = rhy_shape_dup (source, rhy_path_ref (source->path));
      shape.clips = g_renew (guint, shape.clips, shape.n_clips + 1);
      shape.clips[shape.n_clips++] = last;
      rhy_artwork_builder_add_shape (builder, &shape);
    }
  return rhy_artwork_builder_end (builder);
}

/* Where the page's points go when the vessel is turned on by @turns: the sheet rolls on a cone, so
 * that is a motion of the page, known by what becomes of three of its points. */
static RhyAffine
turned_on (const RhyPatch *patch,
           const RhyWall  *wall,
           int             turns)
{
  const double more = 2.0 * G_PI * turns;
  const double quarter = 0.25 * (patch->a1 - patch->a0);
  const RhyPoint p = rhy_patch_point (patch, wall, patch->s0, patch->turn);
  const RhyPoint q = rhy_patch_point (patch, wall, patch->s1, patch->turn);
  const RhyPoint r = rhy_patch_point (patch, wall, patch->s0, patch->turn + quarter);
  const RhyPoint p1 = rhy_patch_point (patch, wall, patch->s0, patch->turn + more);
  const RhyPoint q1 = rhy_patch_point (patch, wall, patch->s1, patch->turn + more);
  const RhyPoint r1 = rhy_patch_point (patch, wall, patch->s0, patch->turn + quarter + more);
  const RhyPoint e = { q.x - p.x, q.y - p.y }, f = { r.x - p.x, r.y - p.y };
  const RhyPoint e1 = { q1.x - p1.x, q1.y - p1.y }, f1 = { r1.x - p1.x, r1.y - p1.y };
  const double det = e.x * f.y - f.x * e.y;
  RhyAffine m = { (e1.x * f.y - f1.x * e.y) / det, (e1.y * f.y - f1.y * e.y) / det,
                  (f1.x * e.x - e1.x * f.x) / det, (f1.y * e.x - e1.y * f.x) / det, 0.0, 0.0 };
  m.x0 = p1.x - m.xx * p.x - m.xy * p.y;
  m.y0 = p1.y - m.yx * p.x - m.yy * p.y;
  return m;
}

/* Ink that runs over the paper's end comes in again at the other. */
static void
add_ink_round (RhyDraft       *draft,
               const RhyPatch *patch,
               const RhyWall  *wall,
               const RhyPlan  *plan,
               RhyArtwork     *art)
{
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  const double spare = 1e-9;
  if (n->angle_low_rad >= patch->a0 - spare && n->angle_high_rad <= patch->a1 + spare)
    {
      rhy_draft_add_artwork (draft, art);
      return;
    }
  g_autoptr (RhyPath) outline = rhy_patch_outline (patch, wall);
  for (int turns = -8; turns <= 8; turns++)
    {
      if (n->angle_high_rad + 2.0 * G_PI * turns <= patch->a0 || n->angle_low_rad + 2.0 * G_PI * turns >= patch->a1)
        continue;
      g_autoptr (RhyArtwork) moved = rhy_artwork_transformed (art, turned_on (patch, wall, turns));
      g_autoptr (RhyArtwork) inside = within (moved, outline);
      rhy_draft_add_artwork (draft, inside);
    }
}

static void
add_ink (RhyDraft      *draft,
         const RhySkin *skin,
         RhyPlan       *plan,
         RhyArtwork    *bent)
{
  rhy_draft_open (draft, "ink");
  if (skin->cut == RHY_CUT_WHOLE)
    {
      g_autoptr (RhyArtwork) art = rhy_artwork_transformed (bent, (RhyAffine) { 1.0, 0.0, 0.0, -1.0, 0.0, 0.0 });
      add_ink_round (draft, &skin->patches[0], skin->wall, plan, art);
    }
  else
    for (gsize i = 0; i < skin->n_patches * rhy_plan_get_n_parts (plan); i++)
      {
        const RhyPlan *one = rhy_plan_get_part (plan, i % rhy_plan_get_n_parts (plan));
        g_autoptr (RhyArtwork) part = rhy_patch_ink (&skin->patches[i / rhy_plan_get_n_parts (plan)], skin->wall,
                                                     rhy_plan_get_artwork (one), rhy_plan_get_lay (one));
        if (part != NULL)
          rhy_draft_add_artwork (draft, part);
      }
  rhy_draft_close (draft);
}

static RhyDraft *
draw_pattern (RhySkin    *skin,
              RhyPlan    *plan,
              RhyArtwork *bent)
{
  g_auto (RhyWords) words = rhy_words_begin ();
  const RhyBounds box = lay_out (skin);
  const double width = MAX (box.max_x - box.min_x, FOOT_WIDTH_MM);
  const double left = 0.5 * (box.min_x + box.max_x) - 0.5 * width;
  g_autofree char *title = rhy_draft_title (plan, _("flat pattern, 1:1"));
  double title_mm;
  const double notes = add_notes (NULL, skin, 0.0, 0.0, title, &title_mm);
  const RhyBounds page = {
    floor (left - MARGIN_MM), floor (box.min_y - MARGIN_MM),
    ceil (left + width + MARGIN_MM), ceil (box.max_y + MARGIN_MM + MAX (FOOT_MM + title_mm, 6.0 + notes) + 2.0),
  };

  g_autofree char *description = describe (skin);
  RhyDraft *draft = rhy_draft_new (page, title, description);
  rhy_draft_open (draft, "cut");
  for (guint i = 0; i < skin->n_patches; i++)
    rhy_draft_add_path (draft, rhy_patch_outline (&skin->patches[i], skin->wall), CUT_LINE);
  rhy_draft_close (draft);

  rhy_draft_open (draft, "guides");
  for (guint i = 0; i < skin->n_patches; i++)
    {
      add_front (draft, &skin->patches[i], skin->wall);
      add_seam (draft, &skin->patches[i], skin->wall);
    }
  if (skin->cut == RHY_CUT_WHOLE)
    add_heights (draft, &skin->patches[0], skin->wall);
  else
    add_joints (draft, skin, left);
  rhy_draft_close (draft);

  add_zones (draft, skin, plan);
  add_ink (draft, skin, plan, bent);
  add_notes (draft, skin, left, box.max_y + MARGIN_MM + 6.0, title, NULL);
  add_check (draft, left, box.max_y + MARGIN_MM + 15.0 + title_mm);
  return draft;
}

static RhyDraft *
draft_of (RhyPlan                 *plan,
          RhyFormat                format,
          const RhyDrawingOptions *options,
          GError                 **error)
{
  if (options->cut != RHY_CUT_WHOLE && !(options->paper_stretch >= 0.001 && options->paper_stretch <= 0.2))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "paper stretch of %g: must be from 0.001 to 0.2",
                   options->paper_stretch);
      return NULL;
    }
  if (!(options->tab_mm >= 0.0 && options->tab_mm <= 30.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "tab of %g mm: must be from 0 to 30", options->tab_mm);
      return NULL;
    }
  if (options->on_pages && format != RHY_FORMAT_PDF)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "pages of paper are a PDF's: give a name that ends in .pdf");
      return NULL;
    }
  if (!(options->overlap_mm >= 5.0 && options->overlap_mm <= 40.0))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "overlap of %g mm: must be from 5 to 40", options->overlap_mm);
      return NULL;
    }
  /* In one piece it is bent; in pieces it is only asked whether it could be. */
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_PATTERN, NULL, error);
  if (bent == NULL)
    return NULL;

  RhySkin skin;
  if (!rhy_skin_init (&skin, rhy_plan_get_wall (plan), rhy_plan_get_unroll (plan),
                      rhy_plan_get_numbers (plan)->anchor.angle, options->cut, options->paper_stretch, error))
    return NULL;
  if (skin.cut != RHY_CUT_GORES)
    for (guint i = 0; i < skin.n_patches; i++)
      skin.patches[i].tab_mm = options->tab_mm;
  RhyDraft *draft = draw_pattern (&skin, plan, bent);
  rhy_skin_clear (&skin);
  return draft;
}

GBytes *
rhy_drawing_pattern (RhyPlan                 *plan,
                     RhyFormat                format,
                     const RhyDrawingOptions *options,
                     GError                 **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const RhyDrawingOptions defaults = RHY_DRAWING_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  g_autoptr (RhyDraft) draft = draft_of (plan, format, options, error);
  if (draft == NULL)
    return NULL;
  if (!options->on_pages)
    return rhy_draft_write (draft, format, options->dpi, error);
  double width, height;
  rhy_paper_get_size (options->paper, &width, &height);
  return rhy_draft_to_pages (draft, width, height, options->overlap_mm, error);
}

RhyPages *
rhy_pages_new_pattern (RhyPlan                 *plan,
                       const RhyDrawingOptions *options,
                       GError                 **error)
{
  g_return_val_if_fail (plan != NULL, NULL);

  const RhyDrawingOptions defaults = RHY_DRAWING_OPTIONS_INIT;
  if (options == NULL)
    options = &defaults;
  RhyDraft *draft = draft_of (plan, RHY_FORMAT_PDF, options, error);
  double width, height;
  rhy_paper_get_size (options->paper, &width, &height);
  return draft != NULL ? rhy_draft_take_pages (draft, width, height, options->overlap_mm, error) : NULL;
}
