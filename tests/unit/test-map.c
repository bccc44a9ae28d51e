/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/drive.h>
#include <rhyton/lay.h>
#include <rhyton/stretch.h>
#include <rhyton/unroll.h>

static RhyWall *
tumbler (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 31, 44 }, 2, NULL);
}

static RhyWall *
vase (void)
{
  const RhyWallPiece pieces[] = {
    { .length_mm = 60, .slope_rad = 0.5, .curvature_per_mm = -0.015 },
    { .length_mm = 50, .slope_rad = -0.4, .curvature_per_mm = 0.0 },
    { .length_mm = 40, .slope_rad = -0.4, .curvature_per_mm = 0.02 },
  };
  return rhy_wall_new_pieces (0, 45, pieces, 3, NULL);
}

/* The table of the design, row by row: what one step towards the mouth (X) and
 * one step counter-clockwise (A) do on the page. */
typedef struct { const char *name; RhyAxis axis; RhyMouth mouth; double step_x[2], step_a[2]; } Orientation;
static const Orientation orientations[] = {
  { "axis x, mouth right", RHY_AXIS_X, RHY_MOUTH_PLUS, { 1, 0 }, { 0, 1 } },
  { "axis x, mouth left", RHY_AXIS_X, RHY_MOUTH_MINUS, { -1, 0 }, { 0, -1 } },
  { "axis y, mouth up", RHY_AXIS_Y, RHY_MOUTH_PLUS, { 0, -1 }, { 1, 0 } },
  { "axis y, mouth down", RHY_AXIS_Y, RHY_MOUTH_MINUS, { 0, 1 }, { -1, 0 } },
};

static void
test_orientation (void **state)
{
  const Orientation *o = *state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight ((const double[]) { 0, 120 }, (const double[]) { 33, 33 }, 2, NULL);
  for (int reversed = 0; reversed < 2; reversed++)
    {
      const RhyDriveOptions options = { .mark = { 60, 0.3 }, .travel_per_turn_mm = 360, .axis = o->axis,
                                        .mouth = o->mouth, .turn_reversed = reversed };
      g_autoptr (RhyMap) drive = rhy_drive_new (wall, &options, NULL);
      const double sign = reversed ? -1 : 1;
      RhyPoint p;
      assert_true (rhy_map_point (drive, (RhyPoint) { 60, 0.3 }, &p));
      assert_near (p.x, 0, 1e-12);
      assert_near (p.y, 0, 1e-12);
      assert_true (rhy_map_point (drive, (RhyPoint) { 61, 0.3 }, &p));
      assert_near (p.x, o->step_x[0], 1e-12);
      assert_near (p.y, o->step_x[1], 1e-12);
      /* 360 mm a turn: one degree is one mm. */
      assert_true (rhy_map_point (drive, (RhyPoint) { 60, 0.3 + G_PI / 180 }, &p));
      assert_near (p.x, sign * o->step_a[0], 1e-12);
      assert_near (p.y, sign * o->step_a[1], 1e-12);

      /* Never a mirror: of art (u right, v up) to page (x right, y down) the
       * determinant is negative unless the turn is wired backwards. */
      const RhyLayOptions lay_options = { .kind = RHY_LAY_ROLLED, .anchor = { 60, 0.3 } };
      g_autoptr (RhyMap) lay = rhy_lay_new (wall, &lay_options, NULL);
      g_autoptr (RhyMap) both = rhy_map_new_chain (lay, drive);
      double u = 0, v = 0;
      RhyJacobian j;
      assert_int_equal (rhy_map_jacobian (both, 1, &u, &v, &u, &v, &j, NULL), 0);
      assert_true (sign * (j.xx * j.yy - j.xy * j.yx) < 0);
    }
}

/* A machine set at 170 mm a turn that in truth moves 160: 60 mm of art come out
 * 63.75 wide, 60 along the axis (170/160 = 1.0625; common practice, no source:
 * about 65 x 60 was measured). */
static void
test_wrong_travel_prints_wide (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight ((const double[]) { 0, 100 },
    (const double[]) { 160 / (2 * G_PI), 160 / (2 * G_PI) }, 2, NULL);
  const RhyDriveOptions set = { .mark = { 50, 0 }, .travel_per_turn_mm = 170 };
  const RhyDriveOptions truth = { .mark = { 50, 0 }, .travel_per_turn_mm = 160 };
  const RhyLayOptions lay_options = { .kind = RHY_LAY_ROLLED, .anchor = { 50, 0 } };
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &lay_options, NULL);
  g_autoptr (RhyMap) drive = rhy_drive_new (wall, &set, NULL);
  g_autoptr (RhyMap) machine = rhy_drive_new (wall, &truth, NULL);
  double u[] = { -30, 30, 0, 0 }, v[] = { 0, 0, -30, 30 };
  assert_int_equal (rhy_map_forward (lay, 4, u, v, u, v, NULL), 0);
  assert_int_equal (rhy_map_forward (drive, 4, u, v, u, v, NULL), 0);
  assert_int_equal (rhy_map_inverse (machine, 4, u, v, u, v, NULL), 0);
  assert_near ((v[1] - v[0]) * 160 / (2 * G_PI), 63.75, 1e-11);
  assert_near (u[3] - u[2], 60, 1e-11);
}

typedef struct { const char *name; RhyLayKind kind; double turn; } LayCase;
static const LayCase lays[] = {
  { "rolled", RHY_LAY_ROLLED, 0 }, { "rolled, turned", RHY_LAY_ROLLED, 0.7 },
  { "ringed", RHY_LAY_RINGED, 0 }, { "balanced, turned", RHY_LAY_RINGED_BALANCED, -0.4 },
  { "angle-true", RHY_LAY_ANGLE_TRUE, 0 }, { "area-true, turned", RHY_LAY_AREA_TRUE, 1.3 },
};

/* Every lay, on a cone and on a curved wall, with drive and unroll behind it:
 * there and back within 1e-9 mm, and derivatives equal central differences
 * (step 1e-4 mm: truncation and rounding both below 1e-7). */
static void
test_round_trip_and_derivative (void **state)
{
  const LayCase *c = *state;
  g_autoptr (RhyWall) a = tumbler ();
  g_autoptr (RhyWall) b = vase ();
  g_autoptr (RhyWall) cylinder = rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 33, 33 }, 2, NULL);
  RhyWall *walls[] = { a, b, cylinder };
  for (gsize w = 0; w < 3; w++)
    for (int out = 0; out < 2; out++)
      {
        RhyArtPoint ink[81];
        double u[81], v[81], x[81], y[81], back_u[81], back_v[81];
        RhyJacobian j[81];
        for (int i = 0; i < 81; i++)
          {
            u[i] = ink[i].u = (i % 9 - 4) * 7.3;
            v[i] = ink[i].v = (i / 9 - 4) * 6.1;
          }
        const RhyLayOptions o = { .kind = c->kind, .turn_rad = c->turn, .anchor = { 75, 2 }, .ink = ink, .n_ink = 81 };
        const RhyDriveOptions d = { .mark = { 75, 2 }, .travel_per_turn_mm = 250, .tilt_rad = 0.08, .axis = RHY_AXIS_Y };
        g_autoptr (RhyMap) lay = rhy_lay_new (walls[w], &o, NULL);
        g_autoptr (RhyMap) next = out ? rhy_drive_new (walls[w], &d, NULL) : rhy_unroll_new (walls[w], NULL, NULL);
        g_autoptr (RhyMap) map = rhy_map_new_chain (lay, next);
        assert_int_equal (rhy_map_jacobian (map, 81, u, v, x, y, j, NULL), 0);
        assert_int_equal (rhy_map_inverse (map, 81, x, y, back_u, back_v, NULL), 0);
        RhyAffine affine;
        const gboolean is_affine = rhy_map_is_affine (map, &affine);
        assert_true (w != 2 || is_affine);
        for (int i = 0; i < 81; i++)
          {
            assert_near (back_u[i], u[i], 1e-9);
            assert_near (back_v[i], v[i], 1e-9);
            const double h = 1e-4;
            double pu[4] = { u[i] - h, u[i] + h, u[i], u[i] }, pv[4] = { v[i], v[i], v[i] - h, v[i] + h };
            rhy_map_forward (map, 4, pu, pv, pu, pv, NULL);
            /* a step may straddle a join of two pieces, where curvature jumps */
            const double tol = w == 1 ? 1e-5 : 1e-7;
            assert_near ((pu[1] - pu[0]) / (2 * h), j[i].xx, tol);
            assert_near ((pu[3] - pu[2]) / (2 * h), j[i].xy, tol);
            assert_near ((pv[1] - pv[0]) / (2 * h), j[i].yx, tol);
            assert_near ((pv[3] - pv[2]) / (2 * h), j[i].yy, tol);
            if (is_affine)
              {
                const RhyPoint p = rhy_affine_apply (affine, (RhyPoint) { u[i], v[i] });
                assert_near (p.x, x[i], 1e-11);
                assert_near (p.y, y[i], 1e-11);
              }
          }
      }
}

static void
test_points_off_the_wall_have_no_image (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = tumbler ();
  const RhyLayOptions o = { .kind = RHY_LAY_RINGED, .anchor = { 75, 0 } };
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &o, NULL);
  double u[] = { 0, 0, 0, NAN, INFINITY }, v[] = { 0, 80, -76, 0, 0 };
  guint8 valid[5];
  assert_int_equal (rhy_map_forward (lay, 5, u, v, u, v, valid), 4);
  assert_memory_equal (valid, ((guint8[]) { 1, 0, 0, 0, 0 }), 5);
  RhyPoint p = { 1, 2 };
  assert_false (rhy_map_point (lay, (RhyPoint) { 0, 100 }, &p));
  assert_near (p.x, 1, 0);      /* untouched */

  GError *error = NULL;
  const RhyLayOptions off = { .kind = RHY_LAY_ROLLED, .anchor = { 500, 0 } };
  assert_null (rhy_lay_new (wall, &off, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
  const RhyDriveOptions none = { .travel_per_turn_mm = 0 };
  assert_null (rhy_drive_new (wall, &none, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY);
  const RhyDriveOptions over = { .travel_per_turn_mm = 100, .tilt_rad = 1.7 };
  assert_null (rhy_drive_new (wall, &over, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY);
}

/* Rolled is a paper cut-out: on a cone no stretch at all, to the far side. */
static void
test_rolled_on_a_cone_does_not_stretch (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = tumbler ();
  const RhyLayOptions o = { .kind = RHY_LAY_ROLLED, .anchor = { 75, 0 }, .turn_rad = 0.2 };
  g_autoptr (RhyMap) lay = rhy_lay_new (wall, &o, NULL);
  for (int i = 0; i < 100; i++)
    {
      RhyStretch s;
      assert_true (rhy_stretch_at (lay, wall, (RhyArtPoint) { (i % 10 - 5) * 20.0, (i / 10 - 5) * 8.0 }, &s));
      assert_near (s.major, 1, 1e-13);
      assert_near (s.minor, 1, 1e-13);
      assert_near (s.angle_rad, 0, 1e-12);
    }
}

static void
test_best_tilt (void **state)
{
  (void) state;
  double spread, least, greatest;
  g_autoptr (RhyWall) cone = tumbler ();
  assert_near (rhy_drive_best_tilt (cone, 20, 130, &spread), atan2 (13, 150), 1e-12);
  assert_near (spread, 0, 1e-12);

  /* A barrel's arc, rho = 60: parallel to the chord, that is level in the middle;
   * the spread is the sagitta rho (1 - cos (s/rho)) (see focus_arc). */
  g_autoptr (RhyWall) barrel = rhy_wall_new_pieces (0, 30,
    &(RhyWallPiece) { .length_mm = 80, .slope_rad = 0.8, .curvature_per_mm = -1.0 / 60 }, 1, NULL);
  assert_near (rhy_drive_best_tilt (barrel, 10, 50, &spread), 0.8 - 30.0 / 60, 1e-9);
  assert_near (spread, 60 * (1 - cos (20.0 / 60)), 1e-9);
  rhy_drive_focus_range (barrel, 0.3, 30, 10, 50, &least, &greatest);
  assert_near (greatest, 0, 1e-12);
  assert_near (least, -60 * (1 - cos (20.0 / 60)), 1e-12);
}

/* A bowl that closes to a shoulder beyond 90 degrees of lean: only what faces the head
 * has a place, and there X grows. By hand: slope 1.2 - 0.02 s, tilt -0.6: lean falls
 * below 90 degrees at s = (1.8 - pi/2)/0.02 = 11.46. */
static void
test_what_turns_its_back_has_no_place (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = rhy_wall_new_pieces (0, 20,
    &(RhyWallPiece) { .length_mm = 100, .slope_rad = 1.2, .curvature_per_mm = -0.02 }, 1, NULL);
  const RhyDriveOptions o = { .mark = { 60, 0 }, .travel_per_turn_mm = 200, .tilt_rad = -0.6 };
  g_autoptr (RhyMap) drive = rhy_drive_new (wall, &o, NULL);
  assert_non_null (drive);
  const double turn = (1.8 - G_PI_2) / 0.02;
  RhyPoint p, back;
  assert_false (rhy_map_point (drive, (RhyPoint) { turn - 0.01, 0 }, &p));
  double last = -INFINITY;
  for (double s = turn + 0.01; s <= 100; s += 1)
    {
      assert_true (rhy_map_point (drive, (RhyPoint) { s, 0.1 }, &p));
      assert_true (p.x > last);
      last = p.x;
      assert_true (rhy_map_point_inverse (drive, p, &back));
      assert_near (back.x, s, 1e-6);
    }
}

int
main (void)
{
  GArray *tests = g_array_new (FALSE, FALSE, sizeof (struct CMUnitTest));
  for (gsize i = 0; i < G_N_ELEMENTS (orientations); i++)
    g_array_append_val (tests, ((struct CMUnitTest) { orientations[i].name, test_orientation, NULL, NULL, (void *) &orientations[i] }));
  for (gsize i = 0; i < G_N_ELEMENTS (lays); i++)
    g_array_append_val (tests, ((struct CMUnitTest) { lays[i].name, test_round_trip_and_derivative, NULL, NULL, (void *) &lays[i] }));
  const struct CMUnitTest rest[] = {
    cmocka_unit_test (test_wrong_travel_prints_wide),
    cmocka_unit_test (test_points_off_the_wall_have_no_image),
    cmocka_unit_test (test_rolled_on_a_cone_does_not_stretch),
    cmocka_unit_test (test_best_tilt),
    cmocka_unit_test (test_what_turns_its_back_has_no_place),
  };
  g_array_append_vals (tests, rest, G_N_ELEMENTS (rest));
  const int failed = _cmocka_run_group_tests ("map", (struct CMUnitTest *) (void *) tests->data, tests->len, NULL, NULL);
  g_array_free (tests, TRUE);
  return failed;
}
