/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/zones.h>

#define DEG (G_PI / 180.0)

static void
add_box (RhyPath *path, double x0, double y0, double x1, double y1)
{
  rhy_path_move_to (path, x0, y0);
  rhy_path_line_to (path, x1, y0);
  rhy_path_line_to (path, x1, y1);
  rhy_path_line_to (path, x0, y1);
  rhy_path_close (path);
}

static RhyArtwork *
filled (RhyPath *path, RhyFillRule rule)
{
  RhyArtworkBuilder *b = rhy_artwork_builder_new ();
  const RhyShape shape = { .path = path, .rule = rule, .has_fill = TRUE, .fill = { 0, 0, 0, 1 } };
  rhy_artwork_builder_add_shape (b, &shape);
  return rhy_artwork_builder_end (b);
}

static RhyArtwork *
box (double width, double height)
{
  RhyPath *path = rhy_path_new ();
  add_box (path, -width / 2, -height / 2, width / 2, height / 2);
  return filled (path, RHY_FILL_NONZERO);
}

static RhyWall *
cylinder (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 40, 40 }, 2, NULL);
}

/* 60/30 over 40: a 3-4-5 wall of slant 50, opening upwards here: sin b = 0.6. */
static RhyWall *
cone (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 40 }, (const double[]) { 30, 60 }, 2, NULL);
}

static RhyZoneGap
gap_of (RhyWall *wall, RhyArtwork *artwork, RhyWallPoint anchor, const RhyZone *zone)
{
  RhyZoneGap gap;
  GError *error = NULL;
  const RhyLayOptions o = { .kind = RHY_LAY_ROLLED, .anchor = anchor };
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &o, NULL);
  g_autoptr (RhyInkArea) area = rhy_ink_area_new (artwork, NULL, &error);
  assert_no_error (error);
  rhy_zones_measure (wall, area, lay, zone, 1, &gap, NULL, &error);
  assert_no_error (error);
  return gap;
}

static const RhyZone handle = { .kind = RHY_ZONE_HANDLE, .centre_rad = G_PI, .width_rad = 40 * DEG,
                                .from_mm = 20, .to_mm = 130 };

/* A 40 x 30 box on a cylinder of radius 40; everything by hand from arcs. */
static void
test_cylinder_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  g_autoptr (RhyArtwork) art = box (40, 30);

  RhyZoneGap gap = gap_of (wall, art, (RhyWallPoint) { 75, 0 }, &handle);
  assert_true (gap.is_on_wall);
  assert_near (gap.overlap_mm2, 0, 0);
  assert_near (gap.distance_mm, 40 * 160 * DEG - 20, 1e-9);

  /* Either way round, and through the back where the angle jumps. */
  gap = gap_of (wall, art, (RhyWallPoint) { 75, 120 * DEG }, &handle);
  assert_near (gap.distance_mm, 40 * 40 * DEG - 20, 1e-9);
  gap = gap_of (wall, art, (RhyWallPoint) { 75, -120 * DEG }, &handle);
  assert_near (gap.distance_mm, 40 * 40 * DEG - 20, 1e-9);
  gap = gap_of (wall, art, (RhyWallPoint) { 75, 600 * DEG }, &handle);
  assert_near (gap.distance_mm, 40 * 40 * DEG - 20, 1e-9);

  gap = gap_of (wall, art, (RhyWallPoint) { 75, 150 * DEG }, &handle);
  assert_near (gap.overlap_mm2, (20 - 40 * 10 * DEG) * 30, 1e-7);
  assert_near (gap.distance_mm, 0, 0);
  assert_true (gap.ink.angle > 160 * DEG && gap.ink.angle < 150 * DEG + 0.5 && gap.ink.s > 60 && gap.ink.s < 90);

  /* Corner to corner: 5 mm above, 12 mm aside are 13 mm. */
  const RhyZone corner = { .centre_rad = (20 + 12 + 10) / 40.0, .width_rad = 20 / 40.0, .from_mm = 95, .to_mm = 110 };
  gap = gap_of (wall, art, (RhyWallPoint) { 75, 0 }, &corner);
  assert_near (gap.distance_mm, 13, 1e-9);
  assert_near (gap.ink.s, 90, 1e-9);
  assert_near (gap.zone.s, 95, 1e-9);
  assert_near (gap.zone.angle, 32 / 40.0, 1e-9);

  const RhyZone off = { .width_rad = 2 * G_PI, .from_mm = 151, .to_mm = 160 };
  gap = gap_of (wall, art, (RhyWallPoint) { 75, 0 }, &off);
  assert_false (gap.is_on_wall);
}

/* A zone all under ink is as large as its piece of the frustum: w (r0 + r1)/2 (s1 - s0). */
static void
test_area_on_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cone ();
  g_autoptr (RhyArtwork) art = box (60, 40);
  const RhyZone zone = { .centre_rad = 0.1, .width_rad = 0.5, .from_mm = 16, .to_mm = 24 };
  const RhyZoneGap gap = gap_of (wall, art, (RhyWallPoint) { 25, 0 }, &zone);
  /* heights 16 and 24: r = 42 and 48, slants 20 and 30 */
  assert_near (gap.overlap_mm2, 0.5 * 45 * 10, 2e-3);
}

/* From a point to a meridian on the unrolled cone: rho sin (n angle). The ink is a box of
 * 0.02 mm, which is what the tolerance allows for. */
static void
test_distance_on_a_cone (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cone ();
  g_autoptr (RhyArtwork) art = box (0.02, 0.02);
  const RhyZone zone = { .centre_rad = 1.0, .width_rad = 1.0, .from_mm = 0, .to_mm = 40 };
  const RhyZoneGap gap = gap_of (wall, art, (RhyWallPoint) { 40, 0 }, &zone);
  const double rho = (30 + 0.6 * 40) / 0.6;
  assert_near (gap.distance_mm, rho * sin (0.6 * 0.5), 0.015);
  assert_near (gap.zone.angle, 0.5, 1e-6);
  /* The foot is nearer the apex than the point: rho cos (n angle). */
  assert_near (gap.zone.s, 40 - rho * (1 - cos (0.6 * 0.5)), 0.02);
}

/* On a sphere the shortest way to a meridian is a great circle: sin (d/R) = cos lat sin dlon. */
static void
test_distance_on_a_sphere (void **state)
{
  (void) state;
  const double R = 60;
  g_autoptr (RhyWall) wall = rhy_wall_new_pieces (0, R * cos (0.8),
    &(RhyWallPiece) { .length_mm = 1.6 * R, .slope_rad = 0.8, .curvature_per_mm = -1 / R }, 1, NULL);
  g_autoptr (RhyArtwork) art = box (0.02, 0.02);
  const double z_equator = R * sin (0.8);
  const double lats[] = { 0, 0.2, 0.5 };
  for (gsize i = 0; i < 3; i++)
    {
      const RhyZone zone = { .centre_rad = 0.7, .width_rad = 1.0, .from_mm = -100, .to_mm = z_equator + 100 };
      const RhyZoneGap gap = gap_of (wall, art, (RhyWallPoint) { R * (0.8 + lats[i]), 0 }, &zone);
      assert_near (gap.distance_mm, R * asin (cos (lats[i]) * sin (0.2)), 0.03);
    }
}

/* Holes are no ink; strokes are as wide as their pens; clips cut. */
static void
test_true_shapes (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  const RhyZone inner = { .width_rad = 8 / 40.0, .from_mm = 71, .to_mm = 79 };
  RhyPath *ring = rhy_path_new ();
  add_box (ring, -20, -20, 20, 20);
  add_box (ring, -10, -10, 10, 10);
  g_autoptr (RhyArtwork) frame = filled (ring, RHY_FILL_EVENODD);
  RhyZoneGap gap = gap_of (wall, frame, (RhyWallPoint) { 75, 0 }, &inner);
  assert_near (gap.overlap_mm2, 0, 0);
  assert_near (gap.distance_mm, 6, 1e-9);
  g_autoptr (RhyArtwork) full = box (40, 40);
  gap = gap_of (wall, full, (RhyWallPoint) { 75, 0 }, &inner);
  assert_near (gap.overlap_mm2, 64, 1e-7);

  RhyArtworkBuilder *b = rhy_artwork_builder_new ();
  RhyPath *line = rhy_path_new ();
  rhy_path_move_to (line, -30, 0);
  rhy_path_line_to (line, 30, 0);
  RhyPath *half = rhy_path_new ();
  add_box (half, 0, -50, 100, 50);
  const guint clip = rhy_artwork_builder_add_clip (b, half, RHY_FILL_NONZERO);
  const RhyShape shape = { .path = line, .has_stroke = TRUE, .stroke = { 0, 0, 0, 1 },
                           .pen = { .width = 2, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY },
                           .clips = g_memdup2 (&clip, sizeof clip), .n_clips = 1 };
  rhy_artwork_builder_add_shape (b, &shape);
  g_autoptr (RhyArtwork) stroke = rhy_artwork_builder_end (b);
  /* 4 mm of the line's right half, 2 mm wide, in the zone of +-4 mm. */
  gap = gap_of (wall, stroke, (RhyWallPoint) { 75, 0 }, &inner);
  assert_near (gap.overlap_mm2, 8, 1e-7);
  const RhyZone above = { .width_rad = 2 * G_PI, .from_mm = 80, .to_mm = 90 };
  gap = gap_of (wall, stroke, (RhyWallPoint) { 75, 0 }, &above);
  assert_near (gap.distance_mm, 4, 1e-9);
}

/* A grid of the box's points, every mm, as a placement wants them. */
static RhyPlacement
placement (RhyWall *wall, RhyInkArea *area, double width, double height, RhyWallPoint anchor,
           const RhyZone *zones, gsize n_zones, RhyArtPoint **points)
{
  GArray *ink = g_array_new (FALSE, FALSE, sizeof (RhyArtPoint));
  for (double u = -width / 2; u <= width / 2; u += 1)
    for (double v = -height / 2; v <= height / 2; v += 1)
      {
        const RhyArtPoint p = { u, v };
        g_array_append_val (ink, p);
      }
  const gsize n = ink->len;
  *points = (RhyArtPoint *) (void *) g_array_free (ink, FALSE);
  return (RhyPlacement) { .wall = wall, .area = area, .lay = { RHY_LAY_ROLLED, anchor, 0, 0, 0, *points, n },
                          .spacing_mm = 1, .zones = zones, .n_zones = n_zones };
}

static void
test_nearest_place (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  g_autoptr (RhyArtwork) art = box (40, 30);
  g_autoptr (RhyInkArea) area = rhy_ink_area_new (art, NULL, NULL);
  g_autofree RhyArtPoint *ink = NULL;
  RhyZone zones[2] = { handle };
  zones[0].margin_mm = 3;

  /* 150 degrees: back until the box's edge is 3 mm from the zone's. */
  RhyPlacement p = placement (wall, area, 40, 30, (RhyWallPoint) { 75, 150 * DEG }, zones, 1, &ink);
  RhyWallPoint to;
  assert_true (rhy_placement_nearest (&p, &to));
  assert_near (to.s, 75, 1e-9);
  assert_near (40 * to.angle, 40 * 160 * DEG - 3 - 20, 1e-6);

  /* Near the zone's lower end it is shorter to go down: top edge 3 mm below 20. */
  g_clear_pointer (&ink, g_free);
  zones[0].from_mm = 40;
  p = placement (wall, area, 40, 30, (RhyWallPoint) { 25, 180 * DEG }, zones, 1, &ink);
  assert_true (rhy_placement_nearest (&p, &to));
  assert_near (to.angle, 180 * DEG, 1e-9);
  assert_true (to.s <= 22 + 1e-9);
  assert_near (to.s, 22, 0.1);

  /* All round, from below the lower third to the top: no place for 30 mm. */
  zones[1] = (RhyZone) { .width_rad = 2 * G_PI, .from_mm = 25, .to_mm = 150 };
  p.n_zones = 2;
  assert_false (rhy_placement_nearest (&p, &to));
}

static void
test_largest_size (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  g_autoptr (RhyArtwork) art = box (40, 30);
  g_autoptr (RhyInkArea) area = rhy_ink_area_new (art, NULL, NULL);
  g_autofree RhyArtPoint *ink = NULL;
  RhyZone zone = handle;
  zone.margin_mm = 3;

  /* Between the handle's sides: half width k 20 reaches 160 degrees less 3 mm; upwards k 15 could
   * reach 75. The smaller limit is the answer. */
  RhyPlacement p = placement (wall, area, 40, 30, (RhyWallPoint) { 75, 0 }, &zone, 1, &ink);
  assert_near (rhy_placement_largest (&p), MIN ((40 * 160 * DEG - 3) / 20, 75 / 15.0), 1e-3);
  p.lay.anchor = (RhyWallPoint) { 45, 0 };
  assert_near (rhy_placement_largest (&p), 3, 1e-3);
  /* Too near: it has to shrink. */
  p.lay.anchor = (RhyWallPoint) { 75, 145 * DEG };
  assert_near (rhy_placement_largest (&p), (40 * 15 * DEG - 3) / 20, 1e-2);
  /* On the handle itself no size will do. */
  p.lay.anchor = (RhyWallPoint) { 75, 180 * DEG };
  assert_near (rhy_placement_largest (&p), 0, 0);
}

static void
test_zones_that_clash (void **state)
{
  (void) state;
  const RhyZone a = { .centre_rad = 175 * DEG, .width_rad = 18 * DEG, .from_mm = 0, .to_mm = 10 };
  RhyZone b = { .centre_rad = -175 * DEG, .width_rad = 10 * DEG, .from_mm = 5, .to_mm = 20 };
  assert_true (rhy_zones_clash (&a, &b));       /* 10 degrees apart through the back, 14 needed */
  b.width_rad = 0;
  assert_false (rhy_zones_clash (&a, &b));
  b.width_rad = 10 * DEG;
  b.from_mm = 10;
  assert_false (rhy_zones_clash (&a, &b));      /* they only touch */
}

/* A stem of radius 10 under a bowl that flares to 40 within 10 mm of height: the
 * cone that fits the bowl comes to a point half way down the stem. */
static void
test_flare_above_a_stem (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight ((const double[]) { 0, 140, 150 },
                                                    (const double[]) { 10, 10, 40 }, 3, NULL);
  g_autoptr (RhyArtwork) art = box (4, 4);
  const RhyZone badge = { .kind = RHY_ZONE_HANDLE, .centre_rad = 90 * DEG, .width_rad = 20 * DEG,
                          .from_mm = 143, .to_mm = 147 };
  const RhyZoneGap gap = gap_of (wall, art, (RhyWallPoint) { 140 + hypot (10, 30) / 2, 0 }, &badge);
  assert_true (gap.is_on_wall);
  assert_near (gap.overlap_mm2, 0, 0);
  /* A quarter turn at the bowl's middle radius of 25 is 39 mm, less the badge's 4.4
   * and the box's 2; a straight line over the flare is shorter, but not by half. */
  assert_true (gap.distance_mm > 16 && gap.distance_mm < 33);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_cylinder_by_hand),
    cmocka_unit_test (test_area_on_a_cone),
    cmocka_unit_test (test_distance_on_a_cone),
    cmocka_unit_test (test_distance_on_a_sphere),
    cmocka_unit_test (test_flare_above_a_stem),
    cmocka_unit_test (test_true_shapes),
    cmocka_unit_test (test_nearest_place),
    cmocka_unit_test (test_largest_size),
    cmocka_unit_test (test_zones_that_clash),
  };
  return cmocka_run_group_tests_name ("zones", tests, NULL, NULL);
}
