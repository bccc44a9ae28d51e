/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/bend.h>
#include <rhyton/drive.h>
#include <rhyton/lay.h>
#include <rhyton/unroll.h>

typedef struct
{
  RhyWall   *wall;
  RhyMap    *lay;
  RhyMap    *drive;
  RhyBender *bender;
} Bench;

static Bench
set_up (RhyWall *wall, double s, RhyLayKind kind, double tolerance, double tilt, double travel)
{
  RhyArtPoint ink[] = { { -30, -30 }, { 30, 30 }, { 0, 0 }, { 0, 20 }, { 0, -20 } };
  const RhyLayOptions lay = { .kind = kind, .anchor = { s, 0.4 }, .ink = ink, .n_ink = 5 };
  const RhyDriveOptions drive = { .mark = { s, 0.4 }, .travel_per_turn_mm = travel, .tilt_rad = tilt };
  Bench b = { .wall = wall };
  b.lay = rhy_lay_new (wall, &lay, NULL);
  b.drive = rhy_drive_new (wall, &drive, NULL);
  b.bender = rhy_bender_new (wall, b.lay, b.drive, tolerance);
  return b;
}

static void
tear_down (Bench *b)
{
  rhy_bender_unref (b->bender);
  rhy_map_unref (b->drive);
  rhy_map_unref (b->lay);
  rhy_wall_unref (b->wall);
}

/* The tumbler of the published tables' kind: 62 to 88 mm over 150. */
static Bench
cone (RhyLayKind kind, double tolerance)
{
  RhyWall *wall = rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 31, 44 }, 2, NULL);
  return set_up (wall, 75, kind, tolerance, atan2 (13, 150), G_PI * 88);
}

static Bench
bowl (RhyLayKind kind, double tolerance)
{
  RhyWall *wall = rhy_wall_new_pieces (0, 30,
    &(RhyWallPiece) { .length_mm = 100, .slope_rad = 0.7, .curvature_per_mm = -0.012 }, 1, NULL);
  return set_up (wall, 50, kind, tolerance, 0.1, 240);
}

/* Dense points of a path's drawn segments, nothing shared with the fitting. */
static GArray *
dense (const RhyPath *path, int per_segment)
{
  GArray *points = g_array_new (FALSE, FALSE, sizeof (RhyPoint));
  RhyPathIter iter;
  RhySegment g;
  rhy_path_iter_init (&iter, path);
  while (rhy_path_iter_next (&iter, &g))
    for (int i = 0; i <= per_segment; i++)
      {
        const double t = (double) i / per_segment, m = 1 - t;
        RhyPoint p;
        if (g.verb == RHY_PATH_LINE)
          p = (RhyPoint) { m * g.p[0].x + t * g.p[1].x, m * g.p[0].y + t * g.p[1].y };
        else
          p = (RhyPoint) { m * m * m * g.p[0].x + 3 * m * m * t * g.p[1].x + 3 * m * t * t * g.p[2].x + t * t * t * g.p[3].x,
                           m * m * m * g.p[0].y + 3 * m * m * t * g.p[1].y + 3 * m * t * t * g.p[2].y + t * t * t * g.p[3].y };
        g_array_append_val (points, p);
      }
  return points;
}

/* Greatest distance on the wall from points of one polyline to another (both in
 * (s, angle)), in the metric at the point; a window along the polyline would be
 * quicker but could be fooled. */
static double
one_way (const RhyWall *wall, GArray *from, GArray *to)
{
  double worst = 0;
  for (guint i = 0; i < from->len; i++)
    {
      const RhyPoint p = g_array_index (from, RhyPoint, i);
      const double r = rhy_wall_at (wall, p.x).r_mm;
      double best = INFINITY;
      for (guint k = 1; k < to->len; k++)
        {
          const RhyPoint a = g_array_index (to, RhyPoint, k - 1), b = g_array_index (to, RhyPoint, k);
          const double dx = b.x - a.x, dy = r * (b.y - a.y), ex = p.x - a.x, ey = r * (p.y - a.y);
          const double dd = dx * dx + dy * dy;
          const double f = dd > 0 ? CLAMP ((dx * ex + dy * ey) / dd, 0, 1) : 0;
          best = MIN (best, (ex - f * dx) * (ex - f * dx) + (ey - f * dy) * (ey - f * dy));
        }
      worst = MAX (worst, sqrt (best));
    }
  return worst;
}

static double
wall_distance (const Bench *b, const RhyPath *art, const RhyPath *bed)
{
  GArray *meant = dense (art, 300);
  GArray *drawn = dense (bed, 300);
  for (guint i = 0; i < meant->len; i++)
    assert_true (rhy_map_point (b->lay, g_array_index (meant, RhyPoint, i), &g_array_index (meant, RhyPoint, i)));
  for (guint i = 0; i < drawn->len; i++)
    assert_true (rhy_map_point_inverse (b->drive, g_array_index (drawn, RhyPoint, i), &g_array_index (drawn, RhyPoint, i)));
  const double d = MAX (one_way (b->wall, meant, drawn), one_way (b->wall, drawn, meant));
  g_array_unref (meant);
  g_array_unref (drawn);
  return d;
}

static RhyPath *
circle (double r)
{
  RhyPath *p = rhy_path_new ();
  rhy_path_add_circle (p, 0.0, 0.0, r);
  return p;
}

/* The counts are the best published fitting's (4 cubics for the circle and 1 a
 * line on such a cone at 0.01 mm); end derivatives alone need 14 and 4. */
static void
test_large_shapes_on_a_cone_need_the_fewest_cubics (void **state)
{
  (void) state;
  Bench b = cone (RHY_LAY_ROLLED, 0.01);
  g_autoptr (RhyPath) c = circle (30);
  RhyBendReport report = { 0 };
  g_autoptr (RhyPath) bent = rhy_bender_bend (b.bender, c, &report, NULL);
  assert_non_null (bent);
  print_message ("# circle: %zu cubics, %.5f mm\n", report.segments_out, wall_distance (&b, c, bent));
  assert_true (wall_distance (&b, c, bent) <= 0.01);
  assert_int_equal (report.segments_out, 4);

  const double lines[2][4] = { { -100, -10, 100, 25 }, { -100, 30, 100, -40 } };
  for (int i = 0; i < 2; i++)
    {
      g_autoptr (RhyPath) line = rhy_path_new ();
      rhy_path_move_to (line, lines[i][0], lines[i][1]);
      rhy_path_line_to (line, lines[i][2], lines[i][3]);
      RhyBendReport r = { 0 };
      g_autoptr (RhyPath) out = rhy_bender_bend (b.bender, line, &r, NULL);
      assert_non_null (out);
      print_message ("# line: %zu cubics, %.5f mm\n", r.segments_out, wall_distance (&b, line, out));
      assert_true (wall_distance (&b, line, out) <= 0.01);
      assert_int_equal (r.segments_out, 1);
    }
  tear_down (&b);
}

/* Random closed shapes of cubics and lines, corners, inflections, cusps and
 * handles on their ends, over lays, walls and tolerances: never farther from the
 * true curve than asked, tangents and ends exact. */
static void
test_error_stays_under_the_tolerance (void **state)
{
  (void) state;
  g_autoptr (GRand) rand = g_rand_new_with_seed (20260101);
  const RhyLayKind kinds[] = { RHY_LAY_ROLLED, RHY_LAY_RINGED, RHY_LAY_ANGLE_TRUE, RHY_LAY_AREA_TRUE };
  const double tolerances[] = { 0.05, 0.01, 0.002 };
  gsize in = 0, out = 0;
  for (int n = 0; n < 60; n++)
    {
      const double tolerance = tolerances[n % 3];
      Bench b = n % 2 ? cone (kinds[n / 2 % 4], tolerance) : bowl (kinds[n / 2 % 4], tolerance);
      const double size = n % 5 ? 6 : 25;
      g_autoptr (RhyPath) p = rhy_path_new ();
      double x = g_rand_double_range (rand, -10, 10), y = g_rand_double_range (rand, -8, 8);
      rhy_path_move_to (p, x, y);
      for (int k = 0; k < 4; k++)
        {
          double c[6];
          for (int m = 0; m < 6; m += 2)
            {
              c[m] = g_rand_double_range (rand, -size, size);
              c[m + 1] = g_rand_double_range (rand, -size, size);
            }
          switch (g_rand_int_range (rand, 0, 5))
            {
            case 0: rhy_path_line_to (p, c[4], c[5]); break;
            case 1: rhy_path_cubic_to (p, x, y, c[2], c[3], c[4], c[5]); break;      /* handle on its start */
            case 2: rhy_path_cubic_to (p, c[0], c[1], c[4], c[5], c[4], c[5]); break;
            default: rhy_path_cubic_to (p, c[0], c[1], c[2], c[3], c[4], c[5]); break;
            }
          x = c[4];
          y = c[5];
        }
      rhy_path_close (p);
      RhyBendReport report = { 0 };
      GError *error = NULL;
      g_autoptr (RhyPath) bent = rhy_bender_bend (b.bender, p, &report, &error);
      assert_no_error (error);
      /* 300 chords a segment of at most 100 mm stand for the curves: their own
       * error is below 2e-4 mm. */
      const double d = wall_distance (&b, p, bent);
      if (d > tolerance + 2e-4)
        print_error ("case %d: %g mm, tolerance %g\n", n, d, tolerance);
      assert_true (d <= tolerance + 2e-4);
      in += report.segments_in;
      out += report.segments_out;
      tear_down (&b);
    }
  print_message ("# random shapes: %zu segments in, %zu out\n", in, out);
}

static void
test_end_tangents_are_exact (void **state)
{
  (void) state;
  Bench b = cone (RHY_LAY_ROLLED, 0.01);
  g_autoptr (RhyPath) c = circle (20);
  g_autoptr (RhyPath) bent = rhy_bender_bend (b.bender, c, NULL, NULL);
  /* A smooth join stays smooth: the arms at it are in one line. */
  RhyPathIter iter;
  RhySegment g, last = { 0 };
  rhy_path_iter_init (&iter, bent);
  for (gboolean first = TRUE; rhy_path_iter_next (&iter, &g); first = FALSE)
    {
      if (!first)
        {
          const double ax = last.p[3].x - last.p[2].x, ay = last.p[3].y - last.p[2].y;
          const double bx = g.p[1].x - g.p[0].x, by = g.p[1].y - g.p[0].y;
          assert_near ((ax * by - ay * bx) / (hypot (ax, ay) * hypot (bx, by)), 0, 1e-9);
        }
      last = g;
    }
  tear_down (&b);
}

/* Untapered, T = pi D: the machine's paper is the wall. Same nodes, in number
 * and (page turned by a quarter) in place. */
static void
test_cylinder_is_copied (void **state)
{
  (void) state;
  RhyWall *wall = rhy_wall_new_straight ((const double[]) { 0, 120 }, (const double[]) { 33.0454, 33.0454 }, 2, NULL);
  Bench b = set_up (wall, 60, RHY_LAY_ROLLED, 0.01, 0, 2 * G_PI * 33.0454);
  g_autoptr (RhyPath) c = circle (30);
  g_autoptr (RhyPath) bent = rhy_bender_bend (b.bender, c, NULL, NULL);
  assert_int_equal (bent->n_verbs, c->n_verbs);
  assert_int_equal (bent->n_points, c->n_points);
  for (gsize i = 0; i < c->n_points; i++)
    {
      assert_near (bent->points[i].x, c->points[i].y, 1e-9);
      assert_near (bent->points[i].y, c->points[i].x, 1e-9);
    }
  tear_down (&b);
}

static void
test_straight_stays_straight (void **state)
{
  (void) state;
  /* A ray of the pattern through the anchor is a meridian: straight on the bed. */
  Bench b = cone (RHY_LAY_ROLLED, 0.01);
  g_autoptr (RhyPath) p = rhy_path_new ();
  rhy_path_move_to (p, 0, -40);
  rhy_path_line_to (p, 0, 40);
  g_autoptr (RhyPath) bent = rhy_bender_bend (b.bender, p, NULL, NULL);
  assert_int_equal (bent->n_verbs, 2);
  assert_int_equal (bent->verbs[1], RHY_PATH_LINE);
  tear_down (&b);

  Bench ringed = bowl (RHY_LAY_RINGED, 0.01);
  g_autoptr (RhyPath) level = rhy_path_new ();
  rhy_path_move_to (level, -50, 3);
  rhy_path_line_to (level, 50, 3);
  rhy_path_line_to (level, 50, 8);
  rhy_path_close (level);
  g_autoptr (RhyPath) out = rhy_bender_bend (ringed.bender, level, NULL, NULL);
  assert_int_equal (out->verbs[1], RHY_PATH_LINE);
  assert_int_equal (out->verbs[2], RHY_PATH_LINE);
  tear_down (&ringed);
}

static void
test_ink_off_the_wall_is_an_error (void **state)
{
  (void) state;
  for (int i = 0; i < 2; i++)
    {
      Bench b = cone (i ? RHY_LAY_ROLLED : RHY_LAY_RINGED, 0.01);
      g_autoptr (RhyPath) c = circle (80);
      GError *error = NULL;
      assert_null (rhy_bender_bend (b.bender, c, NULL, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
      tear_down (&b);
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_large_shapes_on_a_cone_need_the_fewest_cubics),
    cmocka_unit_test (test_error_stays_under_the_tolerance),
    cmocka_unit_test (test_end_tangents_are_exact),
    cmocka_unit_test (test_cylinder_is_copied),
    cmocka_unit_test (test_straight_stays_straight),
    cmocka_unit_test (test_ink_off_the_wall_is_an_error),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
