/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/piece.h>

static RhyArtwork *
piece (RhyPiece kind, const RhyPieceOptions *o)
{
  GError *error = NULL;
  RhyArtwork *art = rhy_piece_new (kind, o, &error);
  assert_no_error (error);
  return art;
}

static void
test_ruler_steps_are_ten_mm (void **state)
{
  (void) state;
  const RhyPieceOptions o = { .width_mm = 65, .height_mm = 40 };
  g_autoptr (RhyArtwork) art = piece (RHY_PIECE_RULER, &o);
  /* The grid is the first shape: 7 lines up (-30..30), 5 across (-20..20). */
  const RhyPath *grid = rhy_artwork_get_shape (art, 0)->path;
  assert_int_equal (grid->n_verbs, 2 * (7 + 5));
  for (int i = 0; i < 7; i++)
    assert_near (grid->points[2 * i].x, -30 + 10 * i, 1e-12);
  const RhyBounds box = rhy_path_get_bounds (grid);
  assert_near (box.max_y, 20, 1e-12);
  /* The figures of a corner, 2.4 mm high, one at the side and one above or below: a strip of 1.2 mm is clear between. */
  gsize beyond = 0;
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (art); i++)
    {
      const RhyPath *path = rhy_artwork_get_shape (art, i)->path;
      for (gsize k = 0; k < path->n_points; k++)
        {
          const double past = fabs (path->points[k].y) - 20.0;
          assert_false (past > 1.2 + 1e-9 && past < 2.4 - 1e-9);
          beyond += past > 2.4 - 1e-9;
        }
    }
  assert_true (beyond > 0);
  /* The mark stands in the middle of the ink: that must be the middle cross. */
  const RhyBounds ink = rhy_artwork_get_ink_box (art);
  assert_near (ink.min_x + ink.max_x, 0, 1e-9);
  assert_near (ink.min_y + ink.max_y, 0, 1e-9);
}

/* An arrow that equals its own mirror or half turn would tell nothing: compare
 * the outlines' middle with the box's. */
static void
test_arrow_is_like_none_of_its_images (void **state)
{
  (void) state;
  const RhyPieceOptions o = { 0 };
  g_autoptr (RhyArtwork) art = piece (RHY_PIECE_ARROW, &o);
  const RhyBounds flag = rhy_path_get_bounds (rhy_artwork_get_shape (art, 1)->path);
  const RhyBounds arrow = rhy_path_get_bounds (rhy_artwork_get_shape (art, 0)->path);
  assert_true (flag.min_x > 0 && flag.max_x > arrow.max_x);             /* to the right */
  assert_true (flag.max_y < 0.5 * (arrow.min_y + arrow.max_y));         /* in the lower half */
}

static void
test_energy_is_power_over_speed_and_distance (void **state)
{
  (void) state;
  /* 10 W at 50 %, 100 mm/s, lines 0.1 mm apart: 5 J in a second over 10 mm2. */
  assert_near (rhy_piece_energy (10, 50, 100, 0.1), 0.5, 1e-15);
}

static void
test_ladder_cells_have_their_own_colours (void **state)
{
  (void) state;
  const double powers[] = { 20, 60, 100 }, speeds[] = { 100, 200 };
  const RhyPieceOptions o = { .width_mm = 6, .height_mm = 5, .powers = powers, .n_powers = 3, .speeds = speeds, .n_speeds = 2 };
  g_autoptr (RhyArtwork) art = piece (RHY_PIECE_LADDER, &o);
  assert_int_equal (rhy_artwork_get_n_shapes (art), 7);
  for (gsize i = 0; i < 6; i++)
    for (gsize k = 0; k < i; k++)
      {
        const RhyColour a = rhy_artwork_get_shape (art, i)->fill, b = rhy_artwork_get_shape (art, k)->fill;
        /* told apart by at least one sRGB channel by 10 % */
        assert_true (fabs (a.r - b.r) > 0.1 || fabs (a.g - b.g) > 0.1 || fabs (a.b - b.b) > 0.1);
      }
}

static void
test_turn_line_is_one_turn (void **state)
{
  (void) state;
  const RhyPieceOptions o = { .around_mm = 237.5 };
  g_autoptr (RhyArtwork) art = piece (RHY_PIECE_TURN, &o);
  const RhyPath *lines = rhy_artwork_get_shape (art, 0)->path;
  assert_near (lines->points[1].x - lines->points[0].x, 237.5, 1e-12);
  assert_near (lines->points[lines->n_points - 1].x, 237.5, 1e-12);
}

static void
test_sizes_that_hold_nothing_are_refused (void **state)
{
  (void) state;
  const RhyPieceOptions small = { .width_mm = 8, .height_mm = 60 };
  const RhyPiece kinds[] = { RHY_PIECE_RULER, RHY_PIECE_LADDER, RHY_PIECE_TURN };
  for (gsize i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      GError *error = NULL;
      assert_null (rhy_piece_new (kinds[i], &small, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
    }
}

/* However many artworks the job has and whatever they are called, one piece stands at
 * the first one's place. */
static void
test_piece_takes_the_place_of_all_artworks (void **state)
{
  (void) state;
  static const char text[] = "[Vessel]\nHeights=0;100\nDiameters=80;80\n"
                             "[Artwork crest]\nFile=gone.svg\nWidth=30\nAt=40\nAround=90\nTurn=30\n"
                             "[Artwork back text]\nText=Larkmoor\nFontSize=9\nAt=70\n";
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (text, -1, NULL, &error);
  assert_no_error (error);
  RhyPieceOptions o = { .width_mm = 40, .height_mm = 40 };
  g_autoptr (RhyArtwork) art = NULL;
  g_autoptr (RhyPlan) plan = rhy_piece_plan (job, RHY_PIECE_RULER, &o, &art, &error);
  assert_no_error (error);
  assert_int_equal (rhy_plan_get_n_parts (plan), 1);
  const RhyWallPoint anchor = rhy_plan_get_numbers (plan)->anchor;
  assert_near (anchor.s, 40.0, 1e-9);
  assert_near (anchor.angle, G_PI / 2.0, 1e-12);
  assert_true (rhy_plan_get_source (plan) == art);
  assert_near (o.around_mm, G_PI * 80.0, 1e-9);
  /* Five crossings each way, without the one in the middle, and the header. */
  g_autoptr (GBytes) form = rhy_piece_readings_form (plan, art, &o);
  g_autofree char *lines = g_strndup (g_bytes_get_data (form, NULL), g_bytes_get_size (form));
  g_auto (GStrv) rows = g_strsplit (lines, "\n", -1);
  assert_int_equal (g_strv_length (rows) - 1, 1 + 5 * 5 - 1);
}

/* By hand: an arrow is to the mouth or to the base with its flag on either side, or lies across: five ways, no two the same;
 * and where nothing is wrong nothing is to be set. */
static void
test_every_arrow_has_its_answer (void **state)
{
  (void) state;
  gsize n;
  const RhyArrowAnswer *answers = rhy_piece_get_arrow_answers (&n);
  assert_int_equal (n, 5);
  g_autofree char *table = rhy_piece_arrow_table ();
  for (gsize i = 0; i < n; i++)
    {
      assert_non_null (strstr (table, answers[i].seen));
      assert_int_equal (strstr (answers[i].set, "nothing") != NULL, i == 0);
      assert_int_equal (strstr (answers[i].set, "Axis") != NULL, answers[i].axis);
      assert_int_equal (strstr (answers[i].set, "Mouth") != NULL, answers[i].mouth);
      assert_int_equal (strstr (answers[i].set, "TurnReversed") != NULL, answers[i].turn);
      for (gsize k = 0; k < i; k++)
        assert_string_not_equal (answers[i].set, answers[k].set);
    }
}

/* Strokes of figures below the cells in the row from @low to @high, between @x0 and @x1. */
static gsize
strokes_in (RhyArtwork *art,
            double      x0,
            double      x1,
            double      low,
            double      high)
{
  const RhyShape *figures = rhy_artwork_get_shape (art, rhy_artwork_get_n_shapes (art) - 1);
  RhyPathIter iter;
  RhySegment g;
  gsize n = 0;
  rhy_path_iter_init (&iter, figures->path);
  while (rhy_path_iter_next (&iter, &g))
    n += g.p[0].x > x0 && g.p[0].x < x1 && g.p[0].y > low && g.p[0].y < high;
  return n;
}

/* Cells of 6 mm with gaps of 1.5: "100" is 6.1 mm wide, "12.5" 8.3. Figures are 2.4 mm high about 2.6 below
 * the cells, a lower row 3.4 further down. */
static void
test_figures_of_a_ladder_stand_apart (void **state)
{
  (void) state;
  const double even[] = { 80, 100, 20 }, uneven[] = { 5, 12.5, 20 }, speeds[] = { 100 };
  RhyPieceOptions o = { .width_mm = 6, .height_mm = 6, .powers = even, .n_powers = 3, .speeds = speeds, .n_speeds = 1 };
  g_autoptr (RhyArtwork) one_row = piece (RHY_PIECE_LADDER, &o);
  assert_true (strokes_in (one_row, 7.4, 13.6, -3.9, -1.3) > 0);
  assert_int_equal (strokes_in (one_row, -10, 100, -8, -4.7), 0);
  o.powers = uneven;
  g_autoptr (RhyArtwork) two_rows = piece (RHY_PIECE_LADDER, &o);
  assert_int_equal (strokes_in (two_rows, 6.1, 14.9, -3.9, -1.3), 0);
  assert_true (strokes_in (two_rows, 6.1, 14.9, -7.3, -4.7) > 0);
  assert_int_equal (strokes_in (two_rows, -10, 6.1, -7.3, -4.7), 0);
  assert_int_equal (strokes_in (two_rows, 14.9, 100, -7.3, -4.7), 0);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_ruler_steps_are_ten_mm),
    cmocka_unit_test (test_arrow_is_like_none_of_its_images),
    cmocka_unit_test (test_every_arrow_has_its_answer),
    cmocka_unit_test (test_energy_is_power_over_speed_and_distance),
    cmocka_unit_test (test_ladder_cells_have_their_own_colours),
    cmocka_unit_test (test_figures_of_a_ladder_stand_apart),
    cmocka_unit_test (test_turn_line_is_one_turn),
    cmocka_unit_test (test_sizes_that_hold_nothing_are_refused),
    cmocka_unit_test (test_piece_takes_the_place_of_all_artworks),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
