/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/holding.h>

#define DEG (G_PI / 180.0)

static RhyHoldingCase
plain (RhyWall *wall, RhyWay way)
{
  return (RhyHoldingCase) {
    .wall = wall,
    .way = way,
    .head = { 8, 4, 25, 30 },
    .axis_height_mm = 90,
    .nozzle_top_mm = NAN,
    .tilt_min_rad = NAN,
    .tilt_max_rad = NAN,
    .depth_of_focus_mm = NAN,
    .jaw_depth_mm = 12,
    .jaw_stand_mm = 14,
    .chuck_radius_mm = NAN,
    .roller_mm = NAN,
    .gap_mm = NAN,
    .pin_radius_mm = NAN,
    .pin_length_mm = NAN,
    .tailstock_radius_mm = NAN,
    .set_tilt_rad = NAN,
    .contact_s_mm = 50,
    .level_s_mm = 50,
    .s_low_mm = 40,
    .s_high_mm = 60,
    .angle_low_rad = -0.3,
    .angle_high_rad = 0.3,
  };
}

static RhyWall *
cylinder (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 95 }, (const double[]) { 40, 40 }, 2, NULL);
}

typedef struct { const char *name; RhyWay way; double set, best, sag, min, max, tilt, chuck, beyond; } TiltCase;
/* A cup that opens by 5 degrees wants its mouth 5 lower. Held by the base the chuck dips by that; held by
 * the mouth its free end, the base, has to rise by it. */
static const TiltCase tilts[] = {
  { "base, within", RHY_WAY_BASE, NAN, 5, 0, 0, 20, 5, 5, 0 },
  { "base, beyond", RHY_WAY_BASE, NAN, 5, 0, 0, 3, 3, 3, 2 },
  { "base, no limits", RHY_WAY_BASE, NAN, 5, 0, NAN, NAN, 5, 5, 0 },
  { "mouth, only downwards", RHY_WAY_MOUTH, NAN, 5, 0, 0, 20, 0, 0, -5 },
  { "mouth, both ways", RHY_WAY_MOUTH, NAN, 5, 0, -10, 3, 5, -5, 0 },
  { "inside as mouth", RHY_WAY_INSIDE, NAN, 5, 0, -4, 3, 4, -4, -1 },
  { "set, kept as it is", RHY_WAY_BASE, 7, 5, 0, 0, 3, 7, 7, 4 },
  { "droops a degree", RHY_WAY_BASE, NAN, 5, 1, 0, 20, 5, 4, 0 },
  { "droops, base in the air", RHY_WAY_MOUTH, NAN, 5, 1, -10, 3, 5, -6, 0 },
  { "a hair beyond", RHY_WAY_BASE, NAN, 5.004, 0, 0, 5, 5, 5, 0 },
  { "pins lie level", RHY_WAY_PINS, NAN, 5, 0, NAN, NAN, 0, 0, 5 },
  { "pins on a rotary that tilts", RHY_WAY_PINS, NAN, 5, 0, 0, 20, 5, 5, 0 },
  { "set, and droops", RHY_WAY_BASE, 5, 5, 1, 0, 20, 6, 5, 0 },
};

static void
test_tilt (void **state)
{
  const TiltCase *c = *state;
  double chuck, beyond;
  const double tilt = rhy_way_tilt (c->way, c->set * DEG, c->best * DEG, c->sag * DEG, c->min * DEG, c->max * DEG, &chuck, &beyond);
  assert_near (tilt / DEG, c->tilt, 1e-12);
  assert_near (chuck / DEG, c->chuck, 1e-12);
  assert_near (beyond / DEG, c->beyond, 1e-12);
}

/* Sagitta of a circle (see the table focus_arc): on a symmetric arc the best tilt is level at the middle,
 * as common practice has it, and the focus falls off by rho (1 - cos (s/rho)). */
static void
test_focus_on_an_arc (void **state)
{
  (void) state;
  for (double rho = 45; rho < 400; rho *= 1.7)
    {
      g_autoptr (RhyWall) wall = rhy_wall_new_pieces (0, 30,
        &(RhyWallPiece) { .length_mm = 60, .slope_rad = 0.3, .curvature_per_mm = -1 / rho }, 1, NULL);
      RhyHoldingCase c = plain (wall, RHY_WAY_BASE);
      c.level_s_mm = 35;
      c.s_low_mm = 20;
      c.s_high_mm = 50;
      c.runout_mm = 0.4;
      g_autoptr (RhyHolding) h = rhy_holding_new (&c);
      assert_near (h->best_tilt_rad, 0.3 - 35 / rho, 1e-9);
      /* half of the runout either way */
      assert_near (h->focus_greatest_mm, 0.2, 1e-9);
      assert_near (h->focus_least_mm, -rho * (1 - cos (15 / rho)) - 0.2, 1e-9);
    }
}

/* Jaws 12 up and 14 out under a nozzle 8 over the wall and 4 in radius: with 1 to spare the beam
 * comes to 12 + 4 + 1; the body, 38 over the wall, passes above. */
static void
test_reach_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  RhyHoldingCase c = plain (wall, RHY_WAY_BASE);
  g_autoptr (RhyHolding) base = rhy_holding_new (&c);
  assert_true (base->reaches && base->is_head_known);
  assert_near (base->reach_low_mm, 17, 1e-2);
  assert_near (base->reach_high_mm, 95, 1e-9);
  c.way = RHY_WAY_MOUTH;
  g_autoptr (RhyHolding) mouth = rhy_holding_new (&c);
  assert_near (mouth->reach_low_mm, 0, 1e-9);
  assert_near (mouth->reach_high_mm, 78, 1e-2);
  c.way = RHY_WAY_INSIDE;
  g_autoptr (RhyHolding) inside = rhy_holding_new (&c);
  assert_near (inside->reach_high_mm, 95, 1e-9);
  assert_int_equal (inside->n_bodies, 0);

  /* A head that is not known: only what the jaws cover is lost. */
  c.way = RHY_WAY_BASE;
  c.head.nozzle_radius_mm = NAN;
  g_autoptr (RhyHolding) unknown = rhy_holding_new (&c);
  assert_false (unknown->is_head_known);
  assert_near (unknown->reach_low_mm, 12, 1e-12);
  assert_true (rhy_holding_least (unknown, unknown->head, -1).distance_mm == G_MAXDOUBLE);

  /* A zone for jaws stands for the machine's own. */
  const RhyZone jaws = { .name = "soft jaws", .kind = RHY_ZONE_JAWS, .width_rad = 2 * G_PI, .from_mm = -5, .to_mm = 20, .stand_mm = 10 };
  c.zones = &jaws;
  c.n_zones = 1;
  g_autoptr (RhyHolding) own = rhy_holding_new (&c);
  assert_int_equal (own->n_bodies, 1);
  assert_near (own->reach_low_mm, 20, 1e-12);
}

/* Radius 40 with its axis 30 over the bed: 10 into it, 11 of prop with 1 to spare. The tip is then
 * 30 + 11 + 40 + 8 = 89 over the bed. */
static void
test_riser_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  RhyHoldingCase c = plain (wall, RHY_WAY_INSIDE);
  c.nozzle_top_mm = 80;
  c.axis_height_mm = 30;
  g_autoptr (RhyHolding) low = rhy_holding_new (&c);
  assert_near (low->prop_mm, 11, 1e-9);
  assert_near (low->riser_mm, 9, 1e-9);
  c.axis_height_mm = 90;
  c.nozzle_top_mm = 120;
  g_autoptr (RhyHolding) high = rhy_holding_new (&c);
  assert_near (high->prop_mm, 0, 0);
  assert_near (high->riser_mm, 18, 1e-9);
  c.nozzle_top_mm = NAN;
  g_autoptr (RhyHolding) unknown = rhy_holding_new (&c);
  assert_true (isnan (unknown->riser_mm));
}

/* Tilted by 10 degrees and held at the base, the mouth of a cylinder dips: its lowest point is
 * L sin t + r cos t below the axis at the base. */
static void
test_bed_under_a_tilt (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  RhyHoldingCase c = plain (wall, RHY_WAY_BASE);
  c.set_tilt_rad = 10 * DEG;
  g_autoptr (RhyHolding) h = rhy_holding_new (&c);
  assert_near (h->bed[0].distance_mm, 90 - 95 * sin (10 * DEG) - 40 * cos (10 * DEG), 1e-9);
  assert_near (h->bed[0].height_mm, 95, 1e-9);
}

/* A ball of radius 40, flat for 10 degrees about either pole: its ends are 40 cos 10 from the middle. Pins of
 * radius 15 are wider than those flats (6.9): they sit where the ball is 15 in radius, sqrt (40^2 - 15^2) from the middle. */
static void
test_ball_between_pins (void **state)
{
  (void) state;
  const double half = 40 * cos (10 * DEG);
  g_autoptr (RhyWall) ball = rhy_wall_new_pieces (0, 40 * sin (10 * DEG),
    &(RhyWallPiece) { .length_mm = 40 * 160 * DEG, .slope_rad = 80 * DEG, .curvature_per_mm = -1 / 40.0 }, 1, NULL);
  RhyHoldingCase c = plain (ball, RHY_WAY_PINS);
  c.level_s_mm = 40 * 80 * DEG;
  c.s_low_mm = c.level_s_mm - 10;
  c.s_high_mm = c.level_s_mm + 10;
  c.pin_radius_mm = 15;
  g_autoptr (RhyHolding) thin = rhy_holding_new (&c);
  assert_int_equal (thin->n_bodies, 2);
  assert_near (thin->tilt_rad, 0, 1e-9);
  assert_near (thin->beyond_rad, 0, 1e-9);
  /* In steps of 1/2000 of the wall. */
  assert_near (thin->reach_low_mm, half - sqrt (40 * 40 - 15 * 15), 0.06);
  assert_near (thin->reach_high_mm, half + sqrt (40 * 40 - 15 * 15), 0.06);
  assert_true (rhy_holding_least (thin, thin->bed, RHY_ZONE_JAWS).distance_mm == G_MAXDOUBLE);
  assert_near (thin->bed[0].distance_mm, 90 - 40, 0.02);

  /* What carries them, 60 in radius and 3 behind the ends, stands higher than the tip at 48: the nozzle, 4
   * in radius, keeps 1 from it, so the beam comes to 2. Less than the pins leave. */
  c.pin_length_mm = 3;
  c.chuck_radius_mm = 60;
  g_autoptr (RhyHolding) carried = rhy_holding_new (&c);
  assert_int_equal (carried->n_bodies, 4);
  assert_near (carried->reach_low_mm, half - sqrt (40 * 40 - 15 * 15), 0.06);
  c.pin_length_mm = 0;
  g_autoptr (RhyHolding) close = rhy_holding_new (&c);
  assert_near (close->reach_low_mm, 5, 0.02);

  /* Off the middle the ink would like a tilt of as much, which pins do not give. */
  c.s_low_mm = c.level_s_mm + 40 * 5 * DEG;
  c.s_high_mm = c.level_s_mm + 40 * 25 * DEG;
  g_autoptr (RhyHolding) off = rhy_holding_new (&c);
  assert_near (off->best_tilt_rad, -15 * DEG, 1e-9);
  assert_near (off->tilt_rad, 0, 0);
  assert_near (off->beyond_rad, -15 * DEG, 1e-9);
}

/* A tailstock of radius 60 at the mouth under a tip at 48: the nozzle's 4 and 1 to spare take 5 mm of wall. It
 * stands on the bed; its axis there is 95 sin t lower than the chuck's. A roller touches 40 cos t lower still. */
static void
test_supports_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  RhyHoldingCase c = plain (wall, RHY_WAY_BASE);
  c.support = RHY_SUPPORT_TAILSTOCK;
  c.tailstock_radius_mm = 60;
  g_autoptr (RhyHolding) level = rhy_holding_new (&c);
  assert_near (level->reach_high_mm, 90, 0.01);
  assert_near (level->support_height_mm, 90, 1e-9);
  c.set_tilt_rad = 10 * DEG;
  g_autoptr (RhyHolding) tilted = rhy_holding_new (&c);
  assert_near (tilted->prop_mm, 0, 0);
  assert_near (tilted->support_height_mm, 90 - 95 * sin (10 * DEG), 1e-9);
  c.support = RHY_SUPPORT_ROLLER;
  c.support_s_mm = 70;
  g_autoptr (RhyHolding) roller = rhy_holding_new (&c);
  assert_near (roller->support_height_mm, 90 - 70 * sin (10 * DEG) - 40 * cos (10 * DEG), 1e-9);
  assert_near (roller->reach_high_mm, 95, 1e-9);
  c.way = RHY_WAY_MOUTH;
  c.support = RHY_SUPPORT_TAILSTOCK;
  c.set_tilt_rad = NAN;
  g_autoptr (RhyHolding) mouth = rhy_holding_new (&c);
  assert_near (mouth->reach_low_mm, 5, 0.01);
}

/* A handle of 0.4 rad opposite the drawing passes the bottom. A roller of radius 10 under a wall of 40 takes up
 * asin (10/50) to either side; unknown, as big as the work, 30 degrees. */
static void
test_handle_over_a_roller (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  const RhyZone handle = { .name = "handle", .kind = RHY_ZONE_HANDLE, .centre_rad = G_PI, .width_rad = 0.4, .from_mm = 20,
                           .to_mm = 80, .stand_mm = 35 };
  RhyHoldingCase c = plain (wall, RHY_WAY_BASE);
  c.axis_height_mm = 200;
  c.zones = &handle;
  c.n_zones = 1;
  c.support = RHY_SUPPORT_ROLLER;
  c.support_s_mm = 70;
  g_autoptr (RhyHolding) meets = rhy_holding_new (&c);
  assert_true (meets->rollers[0]);
  c.angle_low_rad = 60 * DEG;
  c.angle_high_rad = 80 * DEG;
  g_autoptr (RhyHolding) aside = rhy_holding_new (&c);
  assert_false (aside->rollers[0]);
  assert_true (aside->is_limited);
  assert_near (aside->turn_low_rad, 30 * DEG + 0.2, 1e-9);
  c.roller_mm = 10;
  g_autoptr (RhyHolding) small = rhy_holding_new (&c);
  assert_near (small->turn_low_rad, asin (0.2) + 0.2, 1e-9);
  /* Beyond the handle it carries nothing that stands out. */
  c.angle_low_rad = -0.3;
  c.angle_high_rad = 0.3;
  c.support_s_mm = 91;
  g_autoptr (RhyHolding) beyond = rhy_holding_new (&c);
  assert_false (beyond->rollers[0]);
}

static void
test_least_of_a_kind (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  const RhyZone handle = { .name = "handle", .kind = RHY_ZONE_HANDLE, .centre_rad = G_PI, .width_rad = 0.4, .from_mm = 20,
                           .to_mm = 80, .stand_mm = 35 };
  RhyHoldingCase c = plain (wall, RHY_WAY_BASE);
  c.zones = &handle;
  c.n_zones = 1;
  g_autoptr (RhyHolding) h = rhy_holding_new (&c);
  assert_int_equal (h->n_bodies, 2);
  assert_int_equal (rhy_holding_least (h, h->head, RHY_ZONE_HANDLE).body, 0);
  assert_near (rhy_holding_least (h, h->head, -1).distance_mm, 8, 1e-3);
  assert_near (rhy_holding_least (h, h->bed, RHY_ZONE_HANDLE).distance_mm, 90 - 75, 1e-9);
  assert_true (rhy_holding_least (h, h->head, RHY_ZONE_TAILSTOCK).distance_mm == G_MAXDOUBLE);
  assert_true (h->is_limited);
}

int
main (void)
{
  GArray *tests = g_array_new (FALSE, FALSE, sizeof (struct CMUnitTest));
  for (gsize i = 0; i < G_N_ELEMENTS (tilts); i++)
    g_array_append_val (tests, ((struct CMUnitTest) { tilts[i].name, test_tilt, NULL, NULL, (void *) &tilts[i] }));
  const struct CMUnitTest rest[] = {
    cmocka_unit_test (test_focus_on_an_arc),
    cmocka_unit_test (test_reach_by_hand),
    cmocka_unit_test (test_riser_by_hand),
    cmocka_unit_test (test_bed_under_a_tilt),
    cmocka_unit_test (test_ball_between_pins),
    cmocka_unit_test (test_supports_by_hand),
    cmocka_unit_test (test_handle_over_a_roller),
    cmocka_unit_test (test_least_of_a_kind),
  };
  g_array_append_vals (tests, rest, G_N_ELEMENTS (rest));
  const int failed = _cmocka_run_group_tests ("holding", (struct CMUnitTest *) (void *) tests->data, tests->len, NULL, NULL);
  g_array_free (tests, TRUE);
  return failed;
}
