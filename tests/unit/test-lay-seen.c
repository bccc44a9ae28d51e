/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/lay.h>
#include <rhyton/smooth.h>

/* The tables of seen spots are in tests/check. Here: what hides what, and the
 * properties that no table holds. Shapes and eyes are invented. */

static RhyWall *
cone_wall (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 140 }, (const double[]) { 28, 42 }, 2, NULL);
}

/* A waist of one arc: radius 30 in the middle, 55 at both ends. */
static RhyWall *
waist_wall (void)
{
  const double p = acos (1.0 - 25.0 / 60.0);
  return rhy_wall_new_pieces (0.0, 55.0, &(RhyWallPiece) { 120.0 * p, -p, 1.0 / 60.0, 0, 0, 0 }, 1, NULL);
}

/* A bulb under a thin neck under a lip, curved through its stations. */
static RhyWall *
vase_wall (void)
{
  return rhy_wall_new_smooth ((const double[]) { 0, 20, 45, 70, 95, 120, 135 },
                              (const double[]) { 25, 42, 48, 34, 18, 20, 32 }, 7, NULL);
}

/* Straight pieces with a collar that stands out. */
static RhyWall *
collar_wall (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 60, 66, 72, 78, 140 },
                                (const double[]) { 33, 35, 41, 41, 35, 36 }, 6, NULL);
}

typedef struct
{
  const char *name;
  RhyWall *(*wall) (void);
  double   at_mm;             /* height of the anchor */
  double   distance, height;  /* of the eye; distance 0: parallel */
} Scene;

static const Scene scenes[] = {
  { "cone, level eye", cone_wall, 70, 500, 70 },
  { "cone, eye far above", cone_wall, 70, 120, 400 },
  { "cone, eye below", cone_wall, 90, 90, -60 },
  { "cone, parallel", cone_wall, 60, 0, 0 },
  { "waist, level eye", waist_wall, 50, 300, 50 },
  { "waist, eye above", waist_wall, 30, 120, 110 },
  { "waist, near eye", waist_wall, 50, 58, 40 },
  { "waist, parallel", waist_wall, 50, 0, 0 },
  { "vase, level eye", vase_wall, 45, 400, 45 },
  { "vase, eye above", vase_wall, 60, 150, 260 },
  { "vase, eye below", vase_wall, 110, 90, -40 },
  { "vase, parallel", vase_wall, 95, 0, 0 },
  { "collar, eye above", collar_wall, 100, 200, 250 },
  { "collar, eye below", collar_wall, 40, 80, -20 },
};

static RhyMap *
lay_of (const Scene *scene, RhyWall *wall, double turn)
{
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, scene->at_mm, &ring));
  const RhyLayOptions options = { .kind = RHY_LAY_SEEN, .anchor = { ring.s_mm, 0.8 }, .turn_rad = turn,
                                  .eye_distance_mm = scene->distance, .eye_height_mm = scene->height };
  GError *error = NULL;
  RhyMap *lay = rhy_lay_new (wall, &options, &error);
  assert_no_error (error);
  return lay;
}

typedef struct { double x, y, z; } Vec;

static Vec
mix (Vec a, Vec b, double t)
{
  return (Vec) { a.x + (b.x - a.x) * t, a.y + (b.y - a.y) * t, a.z + (b.z - a.z) * t };
}

/* Where the eye is for a point of the plane: parallel sight comes from 1 m straight ahead. */
static Vec
eye_for (const Scene *scene, Vec art)
{
  if (scene->distance == 0.0)
    return (Vec) { art.x + 1000.0, art.y, art.z };
  return (Vec) { scene->distance, 0.0, scene->height };
}

static gboolean
is_in_solid (RhyWall *wall, Vec p)
{
  RhyRing ring;
  return rhy_wall_at_height (wall, p.z, &ring) && hypot (p.x, p.y) < ring.r_mm;
}

/* Walks from the eye in short steps until it is in the solid, then halves: brute
 * force, with nothing of the lay's in it. FALSE: never in it. */
static gboolean
walk (RhyWall *wall, Vec eye, Vec through, Vec *hit)
{
  const double length = sqrt ((eye.x - through.x) * (eye.x - through.x) + (eye.y - through.y) * (eye.y - through.y)
                              + (eye.z - through.z) * (eye.z - through.z));
  const double step = 0.2 / length;
  const double start = MAX (0.0, 1.0 - 350.0 / length);
  for (double t = start; t < 1.0 + 200.0 / length; t += step)
    {
      if (!is_in_solid (wall, mix (eye, through, t)))
        continue;
      double low = t - step, high = t;
      for (int i = 0; i < 60; i++)
        {
          const double mid = 0.5 * (low + high);
          if (is_in_solid (wall, mix (eye, through, mid)))
            high = mid;
          else
            low = mid;
        }
      *hit = mix (eye, through, high);
      return TRUE;
    }
  return FALSE;
}

/* Both ways against the walk. A line that only just touches may be missed by its
 * steps, or end beside a disc's edge, so single points of a scene may differ; a lay
 * that hides nothing, or too much, is off in dozens. */
static void
test_lands_where_a_walk_does (void **state)
{
  const Scene *scene = *state;
  g_autoptr (RhyWall) wall = scene->wall ();
  g_autoptr (RhyMap) lay = lay_of (scene, wall, 0.0);
  RhyRing anchor;
  assert_true (rhy_wall_at_height (wall, scene->at_mm, &anchor));
  const double L = rhy_wall_get_length (wall);
  int landed = 0, missed = 0, differ = 0;

  for (int i = -8; i <= 8; i++)
    for (int k = -9; k <= 9; k++)
      {
        const double u = i * 6.37, v = k * 8.13;
        const Vec art = { anchor.r_mm, u, anchor.z_mm + v };
        Vec hit;
        gboolean on_wall = walk (wall, eye_for (scene, art), art, &hit);
        RhyRing ring = { 0 };
        on_wall = on_wall && rhy_wall_at_height (wall, hit.z, &ring) && fabs (hypot (hit.x, hit.y) - ring.r_mm) < 1e-9;

        RhyPoint at;
        const gboolean has = rhy_map_point (lay, (RhyPoint) { u, v }, &at);
        landed += has;
        missed += !has;
        if (has != on_wall || (has && hypot (at.x - ring.s_mm, ring.r_mm * (at.y - 0.8 - atan2 (hit.y, hit.x))) > 1e-6))
          differ++;
        if (!has)
          continue;
        RhyPoint back;
        assert_true (rhy_map_point_inverse (lay, at, &back));
        assert_near (back.x, u, 1e-9);
        assert_near (back.y, v, 1e-9);
      }
  assert_true (landed > 15 && missed > 10);
  assert_true (differ <= 2);

  int seen = 0, hidden = 0;
  differ = 0;
  for (int i = 0; i <= 20; i++)
    for (int k = -10; k <= 10; k++)
      {
        const double s = (0.003 + 0.994 * i / 20.0) * L, angle = 0.8 + k * 0.29;
        const RhyRing ring = rhy_wall_at (wall, s);
        const Vec spot = { ring.r_mm * cos (angle - 0.8), ring.r_mm * sin (angle - 0.8), ring.z_mm };
        Vec hit;
        const gboolean first = walk (wall, eye_for (scene, spot), spot, &hit)
          && hypot (hypot (hit.x - spot.x, hit.y - spot.y), hit.z - spot.z) < 1e-3;
        RhyPoint art;
        const gboolean has = rhy_map_point_inverse (lay, (RhyPoint) { s, angle }, &art);
        seen += has;
        hidden += !has;
        differ += has != first;
      }
  assert_true (seen > 15 && hidden > 50);
  assert_true (differ <= 2);
}

/* The Jacobian equals central differences (step 1e-5 mm; the second derivative is
 * unbounded at the edge of sight, so points near it, with stretch over 6, are left). */
static void
test_jacobian (void **state)
{
  const Scene *scene = *state;
  g_autoptr (RhyWall) wall = scene->wall ();
  g_autoptr (RhyMap) lay = lay_of (scene, wall, 0.4);
  const double h = 1e-5;
  int tried = 0;
  for (int i = -8; i <= 8; i++)
    for (int k = -8; k <= 8; k++)
      {
        double u[5] = { i * 3.1, i * 3.1 - h, i * 3.1 + h, i * 3.1, i * 3.1 };
        double v[5] = { k * 4.3, k * 4.3, k * 4.3, k * 4.3 - h, k * 4.3 + h };
        RhyJacobian j[5];
        guint8 valid[5];
        if (rhy_map_jacobian (lay, 5, u, v, u, v, j, valid) != 0)
          continue;
        if (fabs (j[0].xx) + fabs (j[0].xy) + 40.0 * (fabs (j[0].yx) + fabs (j[0].yy)) > 6.0)
          continue;
        /* a step across a join sees two curvatures: an error of the jump times h */
        assert_near ((u[2] - u[1]) / (2 * h), j[0].xx, 2e-5);
        assert_near ((u[4] - u[3]) / (2 * h), j[0].xy, 2e-5);
        assert_near ((v[2] - v[1]) / (2 * h), j[0].yx, 1e-6);
        assert_near ((v[4] - v[3]) / (2 * h), j[0].yy, 1e-6);
        tried++;
      }
  assert_true (tried > 12);
}

static void
test_left_mirrors_right (void **state)
{
  const Scene *scene = *state;
  g_autoptr (RhyWall) wall = scene->wall ();
  g_autoptr (RhyMap) lay = lay_of (scene, wall, 0.0);
  for (int i = 1; i <= 8; i++)
    for (int k = -8; k <= 8; k++)
      {
        RhyPoint right, left;
        const gboolean has = rhy_map_point (lay, (RhyPoint) { i * 3.3, k * 5.1 }, &right);
        assert_int_equal (rhy_map_point (lay, (RhyPoint) { -i * 3.3, k * 5.1 }, &left), has);
        if (!has)
          continue;
        assert_near (left.x, right.x, 1e-11);
        assert_near (left.y - 0.8, 0.8 - right.y, 1e-13);
        assert_true (right.y > 0.8);
      }
}

/* Turned artwork: the point at (3, 0) of art turned by 90 degrees stands where the
 * upright art's (0, 3) does. */
static void
test_turn_is_anticlockwise (void **state)
{
  const Scene *scene = *state;
  g_autoptr (RhyWall) wall = scene->wall ();
  g_autoptr (RhyMap) upright = lay_of (scene, wall, 0.0);
  g_autoptr (RhyMap) turned = lay_of (scene, wall, G_PI_2);
  RhyPoint a, b;
  assert_true (rhy_map_point (upright, (RhyPoint) { 0.0, 3.0 }, &a));
  assert_true (rhy_map_point (turned, (RhyPoint) { 3.0, 0.0 }, &b));
  assert_near (a.x, b.x, 1e-12);
  assert_near (a.y, b.y, 1e-12);
}

/* An arc that is hardly one goes by the bracketing solver, a straight piece by the
 * closed form: with a sagitta of 1e-11 L^2/8 = 2e-8 mm between them they agree to
 * that over the cosine of incidence. */
static void
test_arc_tends_to_straight (void **state)
{
  (void) state;
  const RhyWallPiece straight = { .length_mm = 130, .slope_rad = 0.13 };
  const RhyWallPiece arc = { .length_mm = 130, .slope_rad = 0.13, .curvature_per_mm = 1e-11 };
  g_autoptr (RhyWall) a = rhy_wall_new_pieces (0, 30, &straight, 1, NULL);
  g_autoptr (RhyWall) b = rhy_wall_new_pieces (0, 30, &arc, 1, NULL);
  const Scene scene = { NULL, NULL, 64, 250, 190 };
  g_autoptr (RhyMap) one = lay_of (&scene, a, 0.2);
  g_autoptr (RhyMap) two = lay_of (&scene, b, 0.2);
  for (int i = -6; i <= 6; i++)
    for (int k = -8; k <= 8; k++)
      {
        RhyPoint p, q;
        const gboolean has = rhy_map_point (one, (RhyPoint) { i * 4.0, k * 4.0 }, &p);
        assert_int_equal (rhy_map_point (two, (RhyPoint) { i * 4.0, k * 4.0 }, &q), has);
        if (!has)
          continue;
        assert_near (p.x, q.x, 1e-6);
        assert_near (p.y, q.y, 1e-7);
      }
}

/* Parallel sight is what a far eye tends to: at 1e9 mm lines differ by v/1e9 over the
 * few centimetres to the wall. */
static void
test_far_eye_tends_to_parallel (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = vase_wall ();
  const Scene far = { NULL, NULL, 45, 1e9, 45 }, parallel = { NULL, NULL, 45, 0, 0 };
  g_autoptr (RhyMap) one = lay_of (&far, wall, 0.0);
  g_autoptr (RhyMap) two = lay_of (&parallel, wall, 0.0);
  for (int i = -5; i <= 5; i++)
    for (int k = -5; k <= 5; k++)
      {
        RhyPoint p, q;
        assert_true (rhy_map_point (one, (RhyPoint) { i * 4.0, k * 4.0 }, &p));
        assert_true (rhy_map_point (two, (RhyPoint) { i * 4.0, k * 4.0 }, &q));
        assert_near (p.x, q.x, 1e-5);
        assert_near (p.y, q.y, 1e-6);
      }
}

typedef struct { const char *name; double distance, height; } BadEye;

static const BadEye bad_eyes[] = {
  { "in the vessel", 20, 70 },
  { "on the wall", 35, 70 },
  { "nearer than the plane, above the mouth", 34, 300 },
  { "behind", -300, 70 },
  { "no number", NAN, 70 },
  { "without end", INFINITY, 70 },
  { "height no number", 300, NAN },
};

static void
test_refuses_an_eye (void **state)
{
  const BadEye *eye = *state;
  g_autoptr (RhyWall) wall = cone_wall ();
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, 70, &ring));
  const RhyLayOptions options = { .kind = RHY_LAY_SEEN, .anchor = { ring.s_mm, 0 },
                                  .eye_distance_mm = eye->distance, .eye_height_mm = eye->height };
  GError *error = NULL;
  assert_null (rhy_lay_new (wall, &options, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_GEOMETRY);
}

static void
test_no_image_for_no_number (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = vase_wall ();
  g_autoptr (RhyMap) lay = lay_of (&scenes[8], wall, 0.0);
  const double bad[] = { NAN, INFINITY, -INFINITY, 1e300 };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      RhyPoint out = { 7.0, 9.0 };
      assert_false (rhy_map_point (lay, (RhyPoint) { bad[i], 0.0 }, &out));
      assert_false (rhy_map_point (lay, (RhyPoint) { 0.0, bad[i] }, &out));
      assert_false (rhy_map_point_inverse (lay, (RhyPoint) { bad[i], 0.0 }, &out));
      if (!(fabs (bad[i]) < G_MAXDOUBLE))
        assert_false (rhy_map_point_inverse (lay, (RhyPoint) { 10.0, bad[i] }, &out));
      assert_near (out.x, 7.0, 0.0);
    }
}

int
main (void)
{
  GArray *tests = g_array_new (FALSE, FALSE, sizeof (struct CMUnitTest));
  static const struct { const char *name; CMUnitTestFunction run; } each[] = {
    { "lands where a walk does", test_lands_where_a_walk_does },
    { "jacobian", test_jacobian },
    { "left mirrors right", test_left_mirrors_right },
    { "turn is anticlockwise", test_turn_is_anticlockwise },
  };
  g_autoptr (GStringChunk) names = g_string_chunk_new (1024);
  for (gsize e = 0; e < G_N_ELEMENTS (each); e++)
    for (gsize i = 0; i < G_N_ELEMENTS (scenes); i++)
      {
        g_autofree char *name = g_strdup_printf ("%s: %s", each[e].name, scenes[i].name);
        const struct CMUnitTest test = { g_string_chunk_insert (names, name), each[e].run, NULL, NULL, (void *) &scenes[i] };
        g_array_append_val (tests, test);
      }
  for (gsize i = 0; i < G_N_ELEMENTS (bad_eyes); i++)
    {
      g_autofree char *name = g_strdup_printf ("refuses an eye: %s", bad_eyes[i].name);
      const struct CMUnitTest test = { g_string_chunk_insert (names, name), test_refuses_an_eye, NULL, NULL, (void *) &bad_eyes[i] };
      g_array_append_val (tests, test);
    }
  const struct CMUnitTest others[] = {
    cmocka_unit_test (test_arc_tends_to_straight),
    cmocka_unit_test (test_far_eye_tends_to_parallel),
    cmocka_unit_test (test_no_image_for_no_number),
  };
  g_array_append_vals (tests, others, G_N_ELEMENTS (others));
  const int failed = _cmocka_run_group_tests ("lay-seen", (struct CMUnitTest *) (void *) tests->data, tests->len, NULL, NULL);
  g_array_unref (tests);
  return failed;
}
