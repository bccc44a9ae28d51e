/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/piece.h>

#include <math.h>

#include "../job/print.h"
#include "words.h"

/* Nothing of the artworks stays but the first one's place, which is the mark. */
static RhyJob *
without_artworks (RhyJob  *job,
                  GError **error)
{
  const RhyJobData *data = rhy_job_get_data (job);
  g_autoptr (RhyJob) bare = rhy_job_ref (job);

  for (gsize i = 0; i < data->n_artworks; i++)
    {
      RhyJob *next = rhy_job_without_group (bare, data->artworks[i].group, error);
      if (next == NULL)
        return NULL;
      rhy_job_unref (bare);
      bare = next;
    }
  return g_steal_pointer (&bare);
}

static RhyJob *
job_for_piece (RhyJob  *job,
               GError **error)
{
  const RhyJobArtwork *mark = &rhy_job_get_data (job)->artworks[0];
  char at[G_ASCII_DTOSTR_BUF_SIZE], around[G_ASCII_DTOSTR_BUF_SIZE];
  const struct { const char *key, *value; } keys[] = {
    { "At", isnan (mark->at_mm) ? NULL : rhy_number_to_text (at, mark->at_mm) },
    { "Around", rhy_number_to_text (around, mark->around_rad * 180.0 / G_PI) },
    { "Lay", "ringed" },
    { "Strokes", "centreline" },
  };
  g_autoptr (RhyJob) changed = without_artworks (job, error);

  for (gsize i = 0; changed != NULL && i < G_N_ELEMENTS (keys); i++)
    {
      RhyJob *next = rhy_job_with (changed, "Artwork", keys[i].key, keys[i].value, error);
      if (next == NULL)
        return NULL;
      rhy_job_unref (changed);
      changed = next;
    }
  return g_steal_pointer (&changed);
}

RhyPlan *
rhy_piece_plan (RhyJob           *job,
                RhyPiece          piece,
                RhyPieceOptions  *options,
                RhyArtwork      **piece_art,
                GError          **error)
{
  g_return_val_if_fail (job != NULL && options != NULL, NULL);

  g_autoptr (RhyJob) changed = job_for_piece (job, error);
  /* Without artwork first: the vessel says how far a turn is. */
  g_autoptr (RhyPlan) bare = changed != NULL ? rhy_plan_new (changed, NULL, NULL, error) : NULL;
  if (bare == NULL)
    return NULL;
  options->around_mm = 2.0 * G_PI * rhy_wall_at (rhy_plan_get_wall (bare), rhy_plan_get_numbers (bare)->anchor.s).r_mm;
  g_autoptr (RhyArtwork) art = rhy_piece_new (piece, options, error);
  RhyPlan *plan = art != NULL ? rhy_plan_new (changed, art, NULL, error) : NULL;
  if (plan != NULL && piece_art != NULL)
    *piece_art = g_steal_pointer (&art);
  return plan;
}

GBytes *
rhy_piece_readings_form (const RhyPlan         *plan,
                         RhyArtwork            *piece,
                         const RhyPieceOptions *p)
{
  g_return_val_if_fail (plan != NULL && piece != NULL && p != NULL, NULL);

  const RhyBounds box = rhy_artwork_get_ink_box (piece);
  const double cu = 0.5 * (box.min_x + box.max_x);
  const double cv = 0.5 * (box.min_y + box.max_y);
  const int across = (int) floor (p->width_mm / 20.0 + 1e-9);
  const int up = (int) floor (p->height_mm / 20.0 + 1e-9);
  RhyWall *wall = rhy_plan_get_wall (plan);
  RhyPoint mark;
  g_autoptr (GString) csv = g_string_new ("height,angle,nominal_along,printed_along,nominal_around,printed_around\n");
  if (!rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { -cu, -cv }, &mark))
    return g_string_free_to_bytes (g_steal_pointer (&csv));

  for (int k = -up; k <= up; k++)
    for (int i = -across; i <= across; i++)
      {
        RhyPoint at;
        if ((i == 0 && k == 0)
            || !rhy_map_point (rhy_plan_get_lay (plan), (RhyPoint) { 10.0 * i - cu, 10.0 * k - cv }, &at))
          continue;
        const RhyRing ring = rhy_wall_at (wall, at.x);
        const double values[] = { ring.z_mm, at.y * 180.0 / G_PI, at.x - mark.x, ring.r_mm * (at.y - mark.y) };
        char text[4][G_ASCII_DTOSTR_BUF_SIZE];
        for (gsize m = 0; m < 4; m++)
          g_ascii_formatd (text[m], sizeof text[m], "%.4f", values[m] + 0.0);
        g_string_append_printf (csv, "%s,%s,%s,,%s,\n", text[0], text[1], text[2], text[3]);
      }
  return g_string_free_to_bytes (g_steal_pointer (&csv));
}

char *
rhy_piece_ladder_table (const RhyPieceOptions *p,
                        const RhyPieceBeam    *beam)
{
  g_return_val_if_fail (p != NULL && beam != NULL, NULL);

  GString *text = g_string_new ("  colour   power %  speed mm/s  energy J/mm2\n");
  for (gsize k = 0; k < p->n_speeds; k++)
    for (gsize i = 0; i < p->n_powers; i++)
      {
        const RhyColour c = rhy_piece_ladder_colour (k * p->n_powers + i, p->n_powers * p->n_speeds);
        g_autofree char *numbers = rhy_print ("  #%02x%02x%02x  %7.4g  %10.4g  ", (guint) lround (255 * c.r),
                                              (guint) lround (255 * c.g), (guint) lround (255 * c.b), p->powers[i], p->speeds[k]);
        g_autofree char *energy = beam->watts > 0.0
                                  ? rhy_print ("%12.4g", rhy_piece_energy (beam->watts, p->powers[i], p->speeds[k], beam->line_distance_mm))
                                  : g_strdup ("           -");
        g_string_append_printf (text, "%s%s\n", numbers, energy);
      }
  return g_string_free (text, FALSE);
}

const RhyArrowAnswer *
rhy_piece_get_arrow_answers (gsize *n)
{
  static const RhyArrowAnswer answers[] = {
    { N_("arrow to the mouth, flag to its right"), N_("nothing: it runs as the job says"), FALSE, FALSE, FALSE },
    { N_("arrow to the mouth, flag to its left"), N_("change TurnReversed"), FALSE, FALSE, TRUE },
    { N_("arrow to the base, flag to its left"), N_("change Mouth (plus or minus)"), FALSE, TRUE, FALSE },
    { N_("arrow to the base, flag to its right"), N_("change Mouth and TurnReversed"), FALSE, TRUE, TRUE },
    { N_("arrow lies around the vessel"), N_("change Axis, then burn it again"), TRUE, FALSE, FALSE },
  };
  g_return_val_if_fail (n != NULL, NULL);

  *n = G_N_ELEMENTS (answers);
  return answers;
}

char *
rhy_piece_arrow_table (void)
{
  gsize n;
  const RhyArrowAnswer *answers = rhy_piece_get_arrow_answers (&n);
  GString *text = g_string_new (NULL);
  g_string_append_printf (text, "  %-40s  %s\n", "what you see", "what to set");
  for (gsize i = 0; i < n; i++)
    g_string_append_printf (text, "  %-40s  %s\n", answers[i].seen, answers[i].set);
  return g_string_free (text, FALSE);
}
