/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <glib/gstdio.h>

/* Sums of a few roundings on lengths up to 1e3 mm. */
static const double TOL_MM = 1e-9;

static void
test_cylinder_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Artwork]\nAt=40\nAround=90\n", block (60, 20));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  assert_near (n->anchor.s, 40, TOL_MM);
  assert_near (n->anchor.angle, G_PI_2, 1e-15);
  assert_near (n->width_mm, 60, TOL_MM);
  assert_near (n->height_mm, 20, TOL_MM);
  /* 60 mm on a radius of 30: an arc of 2 radians. */
  assert_near (n->angle_low_rad, G_PI_2 - 1.0, 1e-12);
  assert_near (n->angle_high_rad, G_PI_2 + 1.0, 1e-12);
  assert_near (n->s_low_mm, 30, TOL_MM);
  assert_near (n->s_high_mm, 50, TOL_MM);
  assert_near (n->past_rim_mm, 0, 0);
  assert_near (n->past_base_mm, 0, 0);
  assert_near (n->reference_diameter_mm, 60, TOL_MM);
  assert_near (n->travel_per_turn_mm, G_PI * 60, TOL_MM);
  assert_near (n->tilt_rad, 0, 1e-12);
  assert_near (rhy_plan_get_stretch (plan)->major_max, 1, 1e-12);
  assert_near (rhy_plan_get_stretch (plan)->minor_min, 1, 1e-12);
  assert_near (n->exposure_min, 1, 1e-12);
  assert_near (n->exposure_max, 1, 1e-12);
}

static void
test_middle_of_the_wall_is_the_default (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan ("[Vessel]\nHeights=10;50\nDiameters=60;120\n", block (5, 5));
  /* Half way up a 3-4-5 slant of 50. */
  assert_near (rhy_plan_get_numbers (plan)->anchor.s, 25, TOL_MM);
}

static void
test_cone_by_hand (void **state)
{
  (void) state;
  const double slope = atan2 (30, 40);
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nLay=ringed\nAt=20\n", block (20, 10));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  /* s from 20 to 30: radius 30 + 0.6 s, from 42 to 48, 45 at the anchor. */
  assert_near (n->s_low_mm, 20, TOL_MM);
  assert_near (n->s_high_mm, 30, TOL_MM);
  assert_near (n->reference_diameter_mm, 96, TOL_MM);
  assert_near (n->travel_per_turn_mm, G_PI * 96, TOL_MM);
  assert_near (n->best_tilt_rad, slope, 1e-9);
  assert_near (n->tilt_rad, slope, 1e-9);
  assert_near (n->focus_greatest_mm - n->focus_least_mm, 0, 1e-6);
  /* Ringed: widths go with the radius. */
  assert_near (rhy_plan_get_stretch (plan)->major_max, 48.0 / 45.0, 1e-9);
  assert_near (rhy_plan_get_stretch (plan)->minor_min, 42.0 / 45.0, 1e-9);
  /* T/(2 pi r) cos (b - t) with T = 2 pi 48 and no tilt error. */
  assert_near (n->exposure_min, 1.0, 1e-9);
  assert_near (n->exposure_max, 48.0 / 42.0, 1e-9);
}

typedef struct
{
  const char *name, *hold;
  double      tilt_deg, focus_spread;
} Tilt;

/* On the 3-4-5 cone, 10 mm of slant: focus = 10 sin (b - t), b = 36.8699 degrees. */
static const Tilt tilts[] = {
  { "level", "Tilt=level\n", 36.869897645844021, 0 },
  { "none", "Tilt=0\n", 0, 6 },                                         /* 10 x 3/5 */
  { "set", "Tilt=30\n", 30, 1.1961524227066322 },                        /* 10 sin (b - 30) = 10 (3/5 cos 30 - 4/5 sin 30) */
  { "auto in the machine's range", "[Machine]\nTiltMin=0\nTiltMax=30\n", 30, 1.1961524227066322 },
};

static void
test_tilt (void **state)
{
  const Tilt *c = *state;
  g_autofree char *text = g_strconcat (CONE "[Artwork]\nLay=ringed\nAt=20\n[Hold]\n", c->hold, NULL);
  g_autoptr (RhyPlan) plan = good_plan (text, block (20, 10));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  assert_near (n->tilt_rad / G_PI * 180, c->tilt_deg, 1e-9);
  assert_near (n->focus_greatest_mm - n->focus_least_mm, c->focus_spread, 1e-9);
}

/* Small ink on a bottle's shoulder: the cone that fits there comes to a point on the neck, on a carafe's lip below
 * it, and the job went with it. At the anchor the pattern is still as wide as the wall: 27.5 and 30 mm a radian. */
static void
test_ink_where_the_wall_is_steep (void **state)
{
  (void) state;
  const struct { const char *job; double r_mm; } rows[] = {
    { "[Vessel]\nWall=stepped\nHeights=0;60;80;140\nDiameters=80;80;30;30\n[Artwork]\nAt=70\n", 27.5 },
    { "[Vessel]\nWall=stepped\nHeights=0;100;115\nDiameters=40;40;80\n[Artwork]\nAt=107.5\n", 30.0 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (RhyPlan) plan = good_plan (rows[i].job, block (6, 4));
      const RhyWallPoint at = rhy_plan_get_numbers (plan)->anchor;
      const double step = 1e-4;
      RhyPoint a, b, ends;
      assert_true (rhy_map_point (rhy_plan_get_unroll (plan), (RhyPoint) { at.s, 0.0 }, &a));
      assert_true (rhy_map_point (rhy_plan_get_unroll (plan), (RhyPoint) { at.s, step }, &b));
      assert_near (hypot (b.x - a.x, b.y - a.y) / step, rows[i].r_mm, 0.1);
      /* The rest of the wall has its place too. */
      assert_true (rhy_map_point (rhy_plan_get_unroll (plan), (RhyPoint) { 0.0, 0.1 }, &ends));
      assert_true (rhy_map_point (rhy_plan_get_unroll (plan), (RhyPoint) { rhy_wall_get_length (rhy_plan_get_wall (plan)), 0.1 }, &ends));
    }
}

static void
test_rollers_turn_by_the_contact_ring (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Hold]\nDrive=rollers\nContactHeight=8\n", block (20, 10));
  /* Height 8 of 40: radius 30 + 30 x 8/40 = 36. */
  assert_near (rhy_plan_get_numbers (plan)->travel_per_turn_mm, 2 * G_PI * 36, TOL_MM);

  g_autoptr (GError) error = NULL;
  assert_null (plan_of (CONE "[Hold]\nDrive=rollers\nContactHeight=41\n", block (20, 10), &error));
  assert_true (g_str_has_prefix (error->message, "job: [Hold] ContactHeight: found \"41\": allowed: a height on the wall, from 0 to 40"));
  assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
}

/* A machine set at 170 mm per turn whose true travel is 160 prints a 60 mm mark 63.75 mm
 * wide along the turn (60 x 170/160) and 60 along the axis. */
static void
test_wrong_travel_prints_wrong_width (void **state)
{
  (void) state;
  const char *can = "[Vessel]\nHeights=0;100\nDiameters=50.929581789406507;50.929581789406507\n";   /* 160/pi */
  g_autofree char *set_text = g_strconcat (can, "[Machine]\nTravelPerTurn=170\n", NULL);
  g_autofree char *true_text = g_strconcat (can, "[Machine]\nTravelPerTurn=160\n", NULL);
  g_autoptr (RhyPlan) set = good_plan (set_text, block (60, 60));
  g_autoptr (RhyPlan) truth = good_plan (true_text, block (60, 60));
  g_autoptr (RhyMap) draw = rhy_plan_dup_map (set, RHY_SPACE_ART, RHY_SPACE_BED, NULL);
  g_autoptr (RhyMap) print = rhy_plan_dup_map (truth, RHY_SPACE_BED, RHY_SPACE_WALL, NULL);
  RhyPoint low = { -30, -30 };
  RhyPoint high = { 30, 30 };
  assert_true (rhy_map_point (draw, low, &low) && rhy_map_point (draw, high, &high));
  assert_true (rhy_map_point (print, low, &low) && rhy_map_point (print, high, &high));
  const double r = 160 / (2 * G_PI);
  assert_near ((high.y - low.y) * r, 63.75, TOL_MM);
  assert_near (high.x - low.x, 60, TOL_MM);
}

typedef struct
{
  const char *name, *job;
  double      w, h;
  double      past_rim, past_base;
} Overhang;

static const Overhang overhangs[] = {
  { "rim of a cylinder", CYLINDER "[Artwork]\nAt=90\n", 30, 40, 10, 0 },
  { "base of a cylinder", CYLINDER "[Artwork]\nAt=15\n", 30, 40, 0, 5 },
  { "both", CYLINDER, 30, 130, 15, 15 },
  { "just fits", CYLINDER, 30, 100, 0, 0 },
  { "fits but for a rounding", CYLINDER, 30, 100.0001, 0, 0 },
  { "past by less than the tolerance", CYLINDER, 30, 100.018, 0, 0 },
  { "past by more than the tolerance", CYLINDER, 30, 100.022, 0.011, 0.011 },
  /* Ringed on the cone, anchor at s = 25: 25 mm each way. */
  { "ringed on a cone", CONE "[Artwork]\nLay=ringed\n", 10, 60, 5, 5 },
  /* Rolled: from the apex, rho = hypot (rho0 + v, u) with rho0 = 45/0.6 = 75: at the upper corner
   * (15, 30) hypot (105, 15) - 75 = 31.0660, off the rim at 25 by 6.0660; lowest is
   * the middle of the lower edge, 30 below: 5 past the base. */
  { "rolled on a cone", CONE, 30, 60, 6.0660171779821287, 5 },
};

static void
test_overhang (void **state)
{
  const Overhang *c = *state;
  g_autoptr (RhyPlan) plan = good_plan (c->job, block (c->w, c->h));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  /* The middle of an edge is met by samples half a millimetre apart: 0.25^2/(2 x 45). */
  assert_near (n->past_rim_mm, c->past_rim, 1e-3);
  assert_near (n->past_base_mm, c->past_base, 1e-3);

  g_autoptr (GError) error = NULL;
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error);
  assert_true ((bent == NULL) == (error != NULL));
  if (c->past_rim > 0 || c->past_base > 0)
    assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
  else
    assert_no_error (error);
}

static void
test_anchor_off_the_wall (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  assert_null (plan_of (CYLINDER "[Artwork]\nAt=101\n", block (5, 5), &error));
  assert_string_equal (error->message, "job: [Artwork] At: found \"101\": allowed: a height on the wall, from 0 to 100 mm");
  assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
}

static void
test_job_without_artwork (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (CONE, -1, NULL, &error);
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, NULL, NULL, &error);
  assert_no_error (error);
  assert_near (rhy_plan_get_numbers (plan)->width_mm, 0, 0);
  assert_null (rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
}

static void
test_missing_artwork_is_named (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (CONE "[Artwork]\nFile=nothing-here.svg\n", -1, NULL, &error);
  assert_null (rhy_plan_new (job, NULL, NULL, &error));
  assert_non_null (error);
  assert_true (g_str_has_prefix (error->message, "nothing-here.svg: "));
}

static void
test_sizes (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) by_width = good_plan (CYLINDER "[Artwork]\nWidth=30\n", block (60, 20));
  assert_near (rhy_plan_get_numbers (by_width)->height_mm, 10, TOL_MM);
  g_autoptr (RhyPlan) by_height = good_plan (CYLINDER "[Artwork]\nHeight=30\n", block (60, 20));
  assert_near (rhy_plan_get_numbers (by_height)->width_mm, 90, TOL_MM);
}

/* A bar of eight metres, clipped to what lies on it, bends to the same drawing and
 * the same pattern as it would on a vessel so tall that nothing is off it. */
static void
test_what_clips_hide_may_be_off_the_wall (void **state)
{
  (void) state;
  /* 3-4-5 cones; the tall one is the other carried on by 20 in height at either end. */
  static const char *const jobs[] = {
    "[Vessel]\nHeights=0;40\nDiameters=60;120\n[Artwork]\nAt=20\n[Machine]\nTravelPerTurn=200\n[Hold]\nTilt=10\n",
    "[Vessel]\nHeights=-20;60\nDiameters=30;150\n[Artwork]\nAt=20\n[Machine]\nTravelPerTurn=200\n[Hold]\nTilt=10\n",
  };
  RhyArtwork *drawn[2][2];
  for (int k = 0; k < 2; k++)
    {
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      const guint clip = rhy_artwork_builder_add_clip (builder, rectangle (-8, -10, 16, 20), RHY_FILL_NONZERO);
      const RhyShape shape = { .path = rectangle (-5, -4000, 10, 8000), .has_fill = TRUE, .fill = { 0, 0, 0, 1 },
                               .pen.matrix = RHY_AFFINE_IDENTITY,
                               .clips = g_memdup2 (&clip, sizeof clip), .n_clips = 1 };
      rhy_artwork_builder_add_shape (builder, &shape);
      rhy_artwork_builder_set_size (builder, 10, 20, RHY_SIZE_PHYSICAL);
      g_autoptr (RhyPlan) plan = good_plan (jobs[k], rhy_artwork_builder_end (builder));
      g_autoptr (GError) error = NULL;
      drawn[k][0] = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error);
      assert_no_error (error);
      drawn[k][1] = rhy_plan_bend (plan, RHY_SPACE_PATTERN, NULL, &error);
      assert_no_error (error);
    }
  for (int space = 0; space < 2; space++)
    {
      const RhyPath *a = rhy_artwork_get_shape (drawn[0][space], 0)->path;
      const RhyPath *b = rhy_artwork_get_shape (drawn[1][space], 0)->path;
      assert_int_equal (a->n_points, b->n_points);
      /* The taller vessel's lowest station is 25 mm of slant further down, and patterns start there. */
      const double down = space == 1 ? 25 : 0;
      for (gsize i = 0; i < a->n_points; i++)
        {
          assert_near (a->points[i].x, b->points[i].x, 1e-6);
          assert_near (a->points[i].y, b->points[i].y - down, 1e-6);
        }
    }
  for (int k = 0; k < 4; k++)
    rhy_artwork_unref (drawn[k / 2][k % 2]);
}

/* A plan renewed after an edit is the plan that would have been made from the start. */
static void
test_renewed_is_new (void **state)
{
  (void) state;
  static const char *const edits[][3] = { { "Artwork", "At", "15" }, { "Artwork", "Width", "12" }, { "Artwork", "Lay", "ringed" },
                                          { "Vessel", "Diameters", "70;120" }, { "Machine", "Axis", "y" } };
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nWidth=20\n", block (40, 20));
  for (gsize i = 0; i < G_N_ELEMENTS (edits); i++)
    {
      g_autoptr (GError) error = NULL;
      g_autoptr (RhyJob) job = rhy_job_with (rhy_plan_get_job (plan), edits[i][0], edits[i][1], edits[i][2], &error);
      assert_no_error (error);
      g_autoptr (RhyPlan) renewed = rhy_plan_renewed (plan, job, &error);
      assert_no_error (error);
      g_autoptr (RhyPlan) fresh = rhy_plan_new (job, rhy_plan_get_source (plan), NULL, &error);
      const RhyPlanNumbers *a = rhy_plan_get_numbers (renewed);
      const RhyPlanNumbers *b = rhy_plan_get_numbers (fresh);
      assert_memory_equal (a, b, sizeof *a);
      gsize n_a, n_b;
      const RhyArtPoint *ink_a = rhy_plan_get_ink (renewed, &n_a);
      const RhyArtPoint *ink_b = rhy_plan_get_ink (fresh, &n_b);
      assert_int_equal (n_a, n_b);
      assert_memory_equal (ink_a, ink_b, n_a * sizeof *ink_a);
    }
}

static void
test_every_pair_of_spaces_comes_back (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nTurn=20\nAround=-50\n", block (20, 10));
  for (int from = RHY_SPACE_ART; from <= RHY_SPACE_BED; from++)
    for (int to = RHY_SPACE_ART; to <= RHY_SPACE_BED; to++)
      {
        g_autoptr (GError) error = NULL;
        g_autoptr (RhyMap) there = rhy_plan_dup_map (plan, (RhySpace) from, (RhySpace) to, &error);
        if (from == to)
          {
            assert_null (there);
            assert_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED);
            continue;
          }
        assert_no_error (error);
        assert_int_equal (rhy_map_get_from (there), from);
        assert_int_equal (rhy_map_get_to (there), to);
        g_autoptr (RhyMap) back = rhy_plan_dup_map (plan, (RhySpace) to, (RhySpace) from, &error);
        RhyPoint p = { 7, 3 };
        if (from != RHY_SPACE_ART)
          {
            g_autoptr (RhyMap) start = rhy_plan_dup_map (plan, RHY_SPACE_ART, (RhySpace) from, NULL);
            assert_true (rhy_map_point (start, p, &p));
          }
        RhyPoint q, r;
        assert_true (rhy_map_point (there, p, &q));
        assert_true (rhy_map_point (back, q, &r));
        assert_near (r.x, p.x, 1e-9);
        assert_near (r.y, p.y, 1e-9);
      }
}

/* On an untapered vessel with T = pi D the drawing is the artwork, turned a quarter clockwise
 * on the page: bed x = v, bed y = u with y down the page. */
static void
test_bend_on_a_cylinder_moves_nodes_only (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  RhyPath *curve = rhy_path_new ();
  rhy_path_move_to (curve, -10, -5);
  rhy_path_cubic_to (curve, -5, 9, 5, 1, 10, 5);
  const guint clip = rhy_artwork_builder_add_clip (builder, rectangle (-20, -20, 40, 40), RHY_FILL_EVENODD);
  const RhyShape shape = { .path = curve,
                           .has_stroke = TRUE,
                           .stroke = { 0, 0, 0, 1 },
                           .pen = { .width = 2, .matrix = RHY_AFFINE_IDENTITY, .miter_limit = 4 },
                           .clips = g_memdup2 (&clip, sizeof clip),
                           .n_clips = 1 };
  rhy_artwork_builder_add_shape (builder, &shape);
  rhy_artwork_builder_set_size (builder, 20, 10, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Artwork]\nTurn=0\nStrokes=centreline\n", rhy_artwork_builder_end (builder));
  const RhyShape *before = rhy_artwork_get_shape (rhy_plan_get_artwork (plan), 0);

  g_autoptr (GError) error = NULL;
  RhyBendReport report = { 0 };
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, &report, &error);
  assert_no_error (error);
  assert_int_equal (report.segments_in, report.segments_out);
  assert_int_equal (rhy_artwork_get_n_clips (bent), 1);
  const RhyShape *after = rhy_artwork_get_shape (bent, 0);
  assert_int_equal (after->n_clips, 1);
  assert_int_equal (after->path->n_points, before->path->n_points);
  for (gsize i = 0; i < after->path->n_points; i++)
    {
      assert_near (after->path->points[i].x, before->path->points[i].y, 1e-9);
      assert_near (after->path->points[i].y, before->path->points[i].x, 1e-9);
    }
  assert_near (after->pen.width, 2, 1e-9);
  /* u to y, v to x: the pen's matrix is that exchange. */
  assert_near (after->pen.matrix.xy, 1, 1e-9);
  assert_near (after->pen.matrix.yx, 1, 1e-9);
}

static void
test_pens_follow_the_scale (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  RhyPath *line = rhy_path_new ();
  rhy_path_move_to (line, -10, 0);
  rhy_path_line_to (line, 10, 0);
  const double dash = 3;
  const RhyShape shape = { .path = line,
                           .has_stroke = TRUE,
                           .stroke = { 0, 0, 0, 1 },
                           .pen = { .width = 1, .dashes = g_memdup2 (&dash, sizeof dash), .n_dashes = 1,
                                    .matrix = RHY_AFFINE_IDENTITY } };
  rhy_artwork_builder_add_shape (builder, &shape);
  rhy_artwork_builder_set_size (builder, 20, 1, RHY_SIZE_PHYSICAL);
  /* T four times that of the wall: the drawing is stretched fourfold one way, so its mean
   * (areal) scale is 2. */
  g_autoptr (RhyPlan) plan = good_plan ("[Vessel]\nHeights=0;100\nDiameters=60;60\n[Machine]\nTravelPerTurn=753.98223686155038\n"
                                        "[Artwork]\nStrokes=centreline\n", rhy_artwork_builder_end (builder));
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, NULL);
  const RhyPen *pen = &rhy_artwork_get_shape (bent, 0)->pen;
  assert_near (pen->width, 2, 1e-9);
  assert_near (pen->dashes[0], 6, 1e-9);
}

/* The same machine, strokes outlined: the line's breadth lies along the axis and stays true,
 * its length lies along the turn and is fourfold. A centre line's pen could only take the mean. */
static void
test_outlined_strokes_are_warped_too (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  RhyPath *line = rhy_path_new ();
  rhy_path_move_to (line, -10, 0);
  rhy_path_line_to (line, 10, 0);
  const RhyShape shape = { .path = line,
                           .has_stroke = TRUE,
                           .stroke = { 0, 0, 0, 1 },
                           .pen = { .width = 1, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY } };
  rhy_artwork_builder_add_shape (builder, &shape);
  rhy_artwork_builder_set_size (builder, 20, 1, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyPlan) plan = good_plan ("[Vessel]\nHeights=0;100\nDiameters=60;60\n[Machine]\nTravelPerTurn=753.98223686155038\n",
                                        rhy_artwork_builder_end (builder));
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, NULL);
  assert_false (rhy_artwork_get_shape (bent, 0)->has_stroke);
  const RhyBounds box = rhy_artwork_get_ink_box (bent);
  assert_near (box.max_x - box.min_x, 1, 1e-6);
  assert_near (box.max_y - box.min_y, 80, 1e-5);
}

/* A white page of 100 under a black square of 40 with a white hole of 10: what is seen is 40
 * wide, and that is what becomes Width. The hole is then 12.5, 50 x 10 / 40 by hand. */
static void
test_seen_ink_is_what_is_sized (void **state)
{
  (void) state;
  const struct { double half, grey; } squares[] = { { 50, 1 }, { 20, 0 }, { 5, 1 } };
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  for (gsize i = 0; i < G_N_ELEMENTS (squares); i++)
    {
      const double h = squares[i].half;
      const RhyShape shape = { .path = rectangle (-h, -h, 2 * h, 2 * h),
                               .has_fill = TRUE,
                               .fill = { squares[i].grey, squares[i].grey, squares[i].grey, 1 },
                               .pen.matrix = RHY_AFFINE_IDENTITY };
      rhy_artwork_builder_add_shape (builder, &shape);
    }
  rhy_artwork_builder_set_size (builder, 100, 100, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Artwork]\nWidth=50\nInk=seen\n", rhy_artwork_builder_end (builder));
  RhyArtwork *artwork = rhy_plan_get_artwork (plan);
  const RhyBounds box = rhy_artwork_get_ink_box (artwork);
  assert_near (box.max_x - box.min_x, 50, 1e-9);
  assert_int_equal (rhy_artwork_get_n_shapes (artwork), 1);
  const RhyPath *path = rhy_artwork_get_shape (artwork, 0)->path;
  assert_int_equal (rhy_path_count_segments (path), 8);
  gsize corners = 0;
  for (gsize i = 0; i < path->n_points; i++)
    corners += fabs (fabs (path->points[i].x) - 6.25) < 0.003 && fabs (fabs (path->points[i].y) - 6.25) < 0.003;
  assert_int_equal (corners, 4);
}

/* 301 rows of a straight wall from 62 to 88 over 150 mm, written with two decimals:
 * one cone, whose numbers are the readings' own. A row 8 mm off is named. */
static void
test_profile_file (void **state)
{
  (void) state;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-test-XXXXXX", NULL);
  g_autofree char *path = g_build_filename (folder, "side.txt", NULL);
  for (int slip = 0; slip < 2; slip++)
    {
      g_autoptr (GString) rows = g_string_new ("# height diameter\n");
      for (int i = 0; i <= 300; i++)
        {
          char z[G_ASCII_DTOSTR_BUF_SIZE], d[G_ASCII_DTOSTR_BUF_SIZE];
          g_ascii_formatd (z, sizeof z, "%.1f", 0.5 * i);
          g_ascii_formatd (d, sizeof d, "%.2f", 62.0 + 26.0 * i / 300.0 + (slip && i == 100 ? 8.0 : 0.0));
          g_string_append_printf (rows, "%s %s\n", z, d);
        }
      assert_true (g_file_set_contents (path, rows->str, -1, NULL));
      g_autofree char *job_path = g_build_filename (folder, "job.rhyton", NULL);
      const char *text = "[Vessel]\nProfile=side.txt\nDiameterUncertainty=0.1\n[Artwork]\nAt=75\n";
      g_autoptr (RhyJob) job = rhy_job_new_from_data (text, -1, job_path, NULL);
      assert_non_null (job);
      g_autoptr (RhyArtwork) art = block (30, 20);
      g_autoptr (GError) error = NULL;
      g_autoptr (RhyPlan) plan = rhy_plan_new (job, art, NULL, &error);
      assert_no_error (error);

      const RhyWall *wall = rhy_plan_get_wall (plan);
      RhyRing ring;
      assert_true (rhy_wall_at_height (wall, 150.0, &ring));
      assert_near (2.0 * ring.r_mm, 88.0, slip ? 0.2 : 0.005);
      assert_int_equal (rhy_plan_get_profile (plan)->n_rows, 301);
      assert_near (fabs (rhy_plan_get_profile (plan)->worst_mm), slip ? 8.0 : 0.0, slip ? 0.2 : 0.01);
      if (slip)
        assert_near (rhy_plan_get_profile (plan)->worst_height_mm, 50.0, 0.0);
      else
        assert_true (rhy_wall_is_cone (wall));
      RhyPrintUncertainty u;
      assert_true (rhy_plan_get_uncertainty (plan, &u));
      assert_near (u.u_width_mm, 30.0 * 0.1 / 75.0, 1e-3);
    }
  g_unlink (path);
  g_rmdir (folder);

  GError *error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data ("[Vessel]\nProfile=/nowhere/side.txt\n", -1, NULL, NULL);
  assert_null (rhy_plan_new (job, NULL, NULL, &error));
  assert_non_null (strstr (error->message, "/nowhere/side.txt"));
  g_clear_error (&error);
}

/* Copies are the first one turned about the axis: the same slants, angles a share of
 * the turn on, on a cone and on a curved wall, rolled and turned, ringed. */
static void
test_copies_stand_evenly_around (void **state)
{
  (void) state;
  const char *const vessels[] = { CONE, "[Vessel]\nWall=smooth\nHeights=0;20;45;70\nDiameters=50;70;80;74\n" };
  const char *const lays[] = { "rolled", "ringed", "angle-true", "area-true" };
  for (gsize v = 0; v < G_N_ELEMENTS (vessels); v++)
    for (gsize l = 0; l < G_N_ELEMENTS (lays); l++)
      {
        g_autofree char *text = g_strdup_printf ("%s[Artwork]\nLay=%s\nAt=20\nRepeat=5\nTurn=%d\nAround=17\n", vessels[v], lays[l],
                                                 l == 0 ? 30 : 0);
        g_autoptr (RhyPlan) plan = good_plan (text, block (20, 8));
        RhyArtwork *art = rhy_plan_get_artwork (plan);
        assert_int_equal (rhy_plan_get_numbers (plan)->copies, 5);
        assert_int_equal (rhy_artwork_get_n_shapes (art), 5);
        const RhyPath *first = rhy_artwork_get_shape (art, 0)->path;
        for (gsize k = 1; k < 5; k++)
          {
            const RhyPath *other = rhy_artwork_get_shape (art, k)->path;
            for (gsize i = 0; i < first->n_points; i++)
              {
                RhyPoint a, b;
                assert_true (rhy_map_point (rhy_plan_get_lay (plan), first->points[i], &a));
                assert_true (rhy_map_point (rhy_plan_get_lay (plan), other->points[i], &b));
                assert_near (b.x, a.x, 1e-9);
                assert_near (remainder (b.y - a.y - 2.0 * G_PI * (double) k / 5.0, 2.0 * G_PI), 0.0, 1e-9);
              }
          }
      }
  /* Where sight decides there is no such copy, and the plan says so. */
  g_autoptr (RhyPlan) seen = good_plan (CONE "[Artwork]\nLay=seen\nAt=20\nRepeat=5\n", block (10, 8));
  assert_int_equal (rhy_plan_get_numbers (seen)->copies, 1);
}

static void
test_span_is_a_width_at_the_anchor (void **state)
{
  (void) state;
  /* 90 degrees of a radius of 45 at half height of the 3-4-5 cone. */
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nSpan=90\nLay=ringed\nAt=20\n", block (20, 8));
  assert_near (rhy_plan_get_numbers (plan)->width_mm, G_PI_2 * 45, 1e-9);
  assert_near (rhy_plan_get_numbers (plan)->span_rad, G_PI_2, 1e-12);
  assert_near (rhy_plan_get_numbers (plan)->font_size_mm, 0.0, 0.0);
  assert_near (rhy_plan_get_numbers (plan)->angle_high_rad, G_PI_4, 1e-9);
}

/* A circle of radius 20 mm as chords: their sagitta is r (1 - cos (pi / n)), 1e-6 mm here. What
 * comes out is a few curves, and put back from the bed every point of them is on the circle
 * within the tolerance and as much. Rolled, lengths on the wall are lengths of the art. */
static void
test_a_polyline_leaves_as_curves (void **state)
{
  (void) state;
  enum { N = 10000 };
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  RhyPath *path = rhy_path_new ();
  for (int i = 0; i < N; i++)
    (i > 0 ? rhy_path_line_to : rhy_path_move_to) (path, 20 * cos (2 * G_PI * i / N), 20 * sin (2 * G_PI * i / N));
  rhy_path_close (path);
  const RhyShape shape = { .path = path, .has_fill = TRUE, .fill = { 0, 0, 0, 1 }, .pen.matrix = RHY_AFFINE_IDENTITY };
  rhy_artwork_builder_add_shape (builder, &shape);
  g_autoptr (RhyPlan) plan = good_plan (CONE "[Artwork]\nAt=20\nLay=rolled\nWidth=40\n", rhy_artwork_builder_end (builder));
  const RhyPlanNumbers *n = rhy_plan_get_numbers (plan);
  assert_int_equal (n->nodes_in, N);
  /* Four curves leave this circle by 0.0039 mm (see test-light.c), which is more than merging may. */
  assert_in_range (n->nodes_out, 5, 16);

  g_autoptr (GError) error = NULL;
  RhyBendReport report = { 0 };
  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, &report, &error);
  assert_no_error (error);
  assert_in_range (report.segments_out, 5, 60);
  assert_true (report.error_max_mm <= 0.01);
  g_autoptr (RhyMap) back = rhy_plan_dup_map (plan, RHY_SPACE_BED, RHY_SPACE_ART, &error);
  assert_no_error (error);
  g_autoptr (RhyPath) dense = rhy_path_flatten (rhy_artwork_get_shape (bent, 0)->path, 1e-5);
  double worst = 0.0;
  for (gsize i = 0; i < dense->n_points; i++)
    {
      RhyPoint art;
      assert_true (rhy_map_point (back, dense->points[i], &art));
      worst = MAX (worst, fabs (hypot (art.x, art.y) - 20.0));
    }
  assert_in_range (dense->n_points, 500, 1000000);
  if (!(worst <= 0.01 + 1e-5))
    fail_msg ("%g mm off the circle", worst);
}

int
main (void)
{
  const struct CMUnitTest plain[] = {
    cmocka_unit_test (test_cylinder_by_hand),
    cmocka_unit_test (test_a_polyline_leaves_as_curves),
    cmocka_unit_test (test_middle_of_the_wall_is_the_default),
    cmocka_unit_test (test_cone_by_hand),
    cmocka_unit_test (test_copies_stand_evenly_around),
    cmocka_unit_test (test_span_is_a_width_at_the_anchor),
    cmocka_unit_test (test_ink_where_the_wall_is_steep),
    cmocka_unit_test (test_rollers_turn_by_the_contact_ring),
    cmocka_unit_test (test_wrong_travel_prints_wrong_width),
    cmocka_unit_test (test_anchor_off_the_wall),
    cmocka_unit_test (test_job_without_artwork),
    cmocka_unit_test (test_missing_artwork_is_named),
    cmocka_unit_test (test_sizes),
    cmocka_unit_test (test_profile_file),
    cmocka_unit_test (test_what_clips_hide_may_be_off_the_wall),
    cmocka_unit_test (test_renewed_is_new),
    cmocka_unit_test (test_every_pair_of_spaces_comes_back),
    cmocka_unit_test (test_bend_on_a_cylinder_moves_nodes_only),
    cmocka_unit_test (test_pens_follow_the_scale),
    cmocka_unit_test (test_outlined_strokes_are_warped_too),
    cmocka_unit_test (test_seen_ink_is_what_is_sized),
  };
  enum { N_PLAIN = G_N_ELEMENTS (plain), N_TILTS = G_N_ELEMENTS (tilts), N_OVERHANGS = G_N_ELEMENTS (overhangs) };
  struct CMUnitTest tests[N_PLAIN + N_TILTS + N_OVERHANGS];
  memcpy (tests, plain, sizeof plain);
  for (gsize i = 0; i < N_TILTS; i++)
    tests[N_PLAIN + i] = (struct CMUnitTest) { tilts[i].name, test_tilt, NULL, NULL, (void *) &tilts[i] };
  for (gsize i = 0; i < N_OVERHANGS; i++)
    tests[N_PLAIN + N_TILTS + i] = (struct CMUnitTest) { overhangs[i].name, test_overhang, NULL, NULL, (void *) &overhangs[i] };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
