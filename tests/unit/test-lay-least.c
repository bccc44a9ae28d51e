/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/bend.h>
#include <rhyton/lay.h>
#include <rhyton/smooth.h>
#include <rhyton/stretch.h>
#include <rhyton/unroll.h>

/* Glasses and crests here are invented. */

typedef struct { RhyArtPoint *points; gsize n; } Ink;

static void
ink_clear (Ink *ink)
{
  g_free (ink->points);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Ink, ink_clear)

typedef gboolean (*Inside) (double x, double y);

static gboolean
all (double x, double y)
{
  (void) x;
  (void) y;
  return TRUE;
}

static gboolean
disc (double x, double y)
{
  return hypot (x, y) <= 1.0 + 1e-12;
}

/* A shield: straight sides above, an ellipse below. */
static gboolean
shield (double x, double y)
{
  return y > 0.0 || x * x + y * y <= 1.0 + 1e-12;
}

/* No symmetry at all. */
static gboolean
flag (double x, double y)
{
  return x < -0.7 || (y > 0.1 && x + y < 1.2);
}

static Ink
ink_of (Inside inside, double width, double height)
{
  enum { N = 80 };
  Ink ink = { g_new (RhyArtPoint, (N + 1) * (N + 1)), 0 };
  for (int i = 0; i <= N; i++)
    for (int k = 0; k <= N; k++)
      {
        const double x = 2.0 * i / N - 1.0, y = 2.0 * k / N - 1.0;
        if (inside (x, y))
          ink.points[ink.n++] = (RhyArtPoint) { 0.5 * width * x, 0.5 * height * y };
      }
  return ink;
}

static RhyWall *
stemless_glass (void)
{
  return rhy_wall_new_smooth ((const double[]) { 4, 15, 35, 55, 80, 105, 115 },
                              (const double[]) { 22, 36, 45.5, 46.5, 42, 35, 32.5 }, 7, NULL);
}

static RhyWall *
vase (void)
{
  return rhy_wall_new_smooth ((const double[]) { 0, 20, 45, 70, 95, 120, 135 },
                              (const double[]) { 25, 42, 48, 34, 18, 20, 32 }, 7, NULL);
}

static RhyMap *
lay_of (RhyWall *wall, RhyLayKind kind, RhyWallPoint anchor, double turn, const Ink *ink)
{
  const RhyLayOptions options = { .kind = kind, .anchor = anchor, .turn_rad = turn, .ink = ink->points, .n_ink = ink->n };
  GError *error = NULL;
  RhyMap *lay = rhy_lay_new (wall, &options, &error);
  assert_no_error (error);
  return lay;
}

static double
greatest (const RhyMap *lay, const RhyWall *wall, const Ink *ink)
{
  const RhyStretchRange range = rhy_stretch_over (lay, wall, ink->points, ink->n);
  return MAX (range.major_max - 1.0, 1.0 - range.minor_min);
}

typedef struct { const char *name; gsize n; double z[3], r[3]; } Cone;

static const Cone cones[] = {
  { "cylinder", 2, { 0, 120 }, { 33, 33 } },
  { "opening", 2, { 0, 120 }, { 28, 42 } },
  { "closing", 2, { 0, 120 }, { 45, 30 } },
  { "in two pieces", 3, { 0, 50, 120 }, { 30, 35, 42 } },
};

/* Where rolled has no stretch nothing is left to gain: the same points. */
static void
test_on_a_cone_it_is_rolled (void **state)
{
  const Cone *c = *state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight (c->z, c->r, c->n, NULL);
  g_auto (Ink) ink = ink_of (flag, 70, 50);
  g_autoptr (RhyMap) least = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 60, 0.4 }, 0.3, &ink);
  g_autoptr (RhyMap) rolled = lay_of (wall, RHY_LAY_ROLLED, (RhyWallPoint) { 60, 0.4 }, 0.3, &ink);
  for (gsize i = 0; i < ink.n; i++)
    {
      const RhyPoint p = { ink.points[i].u, ink.points[i].v };
      RhyPoint a, b;
      assert_true (rhy_map_point (least, p, &a) && rhy_map_point (rolled, p, &b));
      assert_near (a.x, b.x, 1e-6);
      assert_near (45.0 * a.y, 45.0 * b.y, 1e-6);
    }
  assert_int_equal (rhy_map_is_affine (least, NULL), rhy_map_is_affine (rolled, NULL));
}

/* And it goes over into that: bent by 1e-7 per mm (a sagitta of 1e-4 mm over the ink),
 * the wall moves the art by as little. */
static void
test_tends_to_rolled (void **state)
{
  (void) state;
  const RhyWallPiece piece = { .length_mm = 120, .slope_rad = 0.1, .curvature_per_mm = -1e-7 };
  g_autoptr (RhyWall) wall = rhy_wall_new_pieces (0, 33, &piece, 1, NULL);
  g_auto (Ink) ink = ink_of (shield, 60, 60);
  g_autoptr (RhyMap) least = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 60, 0 }, 0.0, &ink);
  g_autoptr (RhyMap) rolled = lay_of (wall, RHY_LAY_ROLLED, (RhyWallPoint) { 60, 0 }, 0.0, &ink);
  for (gsize i = 0; i < ink.n; i++)
    {
      const RhyPoint p = { ink.points[i].u, ink.points[i].v };
      RhyPoint a, b;
      assert_true (rhy_map_point (least, p, &a) && rhy_map_point (rolled, p, &b));
      assert_near (a.x, b.x, 1e-4);
      assert_near (40.0 * a.y, 40.0 * b.y, 1e-4);
    }
}

/* Of all flat maps of a disc of angular radius a on a sphere none has a smaller ratio of
 * its greatest to its smallest scale than a / sin a, that of the azimuthal equidistant
 * map. Source: J. Milnor, A problem in cartography, Amer. Math. Monthly 76 (1969), theorem
 * 2 (from memory). The lay must not be better than that (its stretch would be wrong), and
 * not much worse: its grid, the anchor held fast and a mean of a high power in place of
 * the greatest value cost a quarter. */
static void
test_near_the_best_possible_on_a_sphere (void **state)
{
  (void) state;
  const double R = 45;
  g_autoptr (RhyWall) sphere = rhy_wall_new_pieces (0, R * cos (1.4),
    &(RhyWallPiece) { .length_mm = R * 2.8, .slope_rad = 1.4, .curvature_per_mm = -1 / R }, 1, NULL);
  for (double radius = 5; radius < 26; radius += 5)
    {
      g_auto (Ink) ink = ink_of (disc, 2 * radius, 2 * radius);
      g_autoptr (RhyMap) lay = lay_of (sphere, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { R * 1.4, 0 }, 0.0, &ink);
      const RhyStretchRange range = rhy_stretch_over (lay, sphere, ink.points, ink.n);
      const double a = radius / R;
      const double excess = log (range.major_max / range.minor_min) / log (a / sin (a));
      assert_true (excess > 1.0);
      assert_true (excess < 1.25);
    }
}

static void
test_crest_on_a_stemless_glass (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  g_auto (Ink) ink = ink_of (shield, 60, 60);
  RhyRing ring;
  assert_true (rhy_wall_at_height (wall, 58, &ring));
  double found[RHY_LAY_LEAST_STRETCH + 1];
  for (int kind = RHY_LAY_ROLLED; kind <= RHY_LAY_LEAST_STRETCH; kind++)
    {
      if (kind == RHY_LAY_SEEN)
        continue;
      const gint64 start = g_get_monotonic_time ();
      g_autoptr (RhyMap) lay = lay_of (wall, (RhyLayKind) kind, (RhyWallPoint) { ring.s_mm, 0 }, 0.0, &ink);
      const gint64 end = g_get_monotonic_time ();
      found[kind] = greatest (lay, wall, &ink);
      print_message ("# %-16s greatest stretch %6.2f %%  %6.1f ms\n", rhy_lay_kind_to_string ((RhyLayKind) kind),
                     100.0 * found[kind], (double) (end - start) / 1000.0);
    }
  for (int kind = RHY_LAY_ROLLED; kind < RHY_LAY_SEEN; kind++)
    assert_true (found[RHY_LAY_LEAST_STRETCH] < 0.5 * found[kind]);
}

typedef struct { const char *name; RhyWall *(*wall) (void); Inside shape; double width, height, s, turn; } Laid;

static const Laid laid[] = {
  { "shield on a glass", stemless_glass, shield, 60, 60, 60, 0 },
  { "flag on a glass, turned", stemless_glass, flag, 60, 45, 70, 0.6 },
  { "flag on a glass, upside down", stemless_glass, flag, 50, 50, 60, G_PI },
  { "lettering low on a glass", stemless_glass, all, 120, 12, 30, 0 },
  { "tall on a vase", vase, all, 30, 90, 85, 0 },
  { "flag on a vase, turned", vase, flag, 50, 40, 70, -1.1 },
};

/* It holds the anchor's place and turn: (0, 0) lands on it, and the nearest rotation to
 * the derivative there is the turn asked for (zero skew part once that is taken off). */
static void
test_holds_the_anchor (void **state)
{
  const Laid *l = *state;
  g_autoptr (RhyWall) wall = l->wall ();
  g_auto (Ink) ink = ink_of (l->shape, l->width, l->height);
  g_autoptr (RhyMap) lay = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { l->s, 0.7 }, l->turn, &ink);
  double u = 0, v = 0;
  RhyJacobian j;
  assert_int_equal (rhy_map_jacobian (lay, 1, &u, &v, &u, &v, &j, NULL), 0);
  assert_near (u, l->s, 1e-11);
  assert_near (v, 0.7, 1e-13);
  const double r = rhy_wall_at (wall, l->s).r_mm, c = cos (l->turn), s = sin (l->turn);
  const double right_u = r * j.yx, right_v = r * j.yy, up_u = j.xx, up_v = j.xy;
  const double xy = right_u * s + right_v * c;        /* rightwards by the turned v */
  const double yx = up_u * c - up_v * s;              /* upwards by the turned u */
  assert_near (xy - yx, 0.0, 1e-11);
  assert_true (right_u * c - right_v * s > 0.5 && up_u * s + up_v * c > 0.5);
}

/* There and back within 1e-9 mm, the Jacobian equal to central differences, in the ink
 * and past it, where the easing is carried on. */
static void
test_round_trip_and_jacobian (void **state)
{
  const Laid *l = *state;
  g_autoptr (RhyWall) wall = l->wall ();
  g_auto (Ink) ink = ink_of (l->shape, l->width, l->height);
  g_autoptr (RhyMap) lay = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { l->s, 0.7 }, l->turn, &ink);
  const double h = 1e-5;
  int tried = 0;
  for (int i = -13; i <= 13; i++)
    for (int k = -13; k <= 13; k++)
      {
        const double x = 0.05 * l->width * i, y = 0.05 * l->height * k;
        double u[5] = { x, x - h, x + h, x, x }, v[5] = { y, y, y, y - h, y + h };
        RhyJacobian j[5];
        if (rhy_map_jacobian (lay, 5, u, v, u, v, j, NULL) != 0)
          continue;
        tried++;
        assert_near ((u[2] - u[1]) / (2 * h), j[0].xx, 1e-6);
        assert_near ((u[4] - u[3]) / (2 * h), j[0].xy, 1e-6);
        assert_near ((v[2] - v[1]) / (2 * h), j[0].yx, 1e-7);
        assert_near ((v[4] - v[3]) / (2 * h), j[0].yy, 1e-7);
        RhyPoint back;
        assert_true (rhy_map_point_inverse (lay, (RhyPoint) { u[0], v[0] }, &back));
        assert_near (back.x, x, 1e-9);
        assert_near (back.y, y, 1e-9);
      }
  assert_true (tried > 400);
}

static void
test_left_mirrors_right (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  g_auto (Ink) ink = ink_of (shield, 60, 60);
  g_autoptr (RhyMap) lay = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 62, 1.0 }, 0.0, &ink);
  for (gsize i = 0; i < ink.n; i++)
    {
      RhyPoint right, left;
      assert_true (rhy_map_point (lay, (RhyPoint) { ink.points[i].u, ink.points[i].v }, &right));
      assert_true (rhy_map_point (lay, (RhyPoint) { -ink.points[i].u, ink.points[i].v }, &left));
      assert_near (left.x, right.x, 1e-9);
      assert_near (left.y - 1.0, 1.0 - right.y, 1e-10);
    }
}

/* Where on the wall round the art sits makes no difference; nor does ink drawn turned
 * and turned back, but for the grid, which lies along the wall both times. */
static void
test_same_all_round (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  g_auto (Ink) ink = ink_of (flag, 60, 45);
  g_auto (Ink) turned = ink_of (flag, 60, 45);
  for (gsize i = 0; i < turned.n; i++)
    turned.points[i] = (RhyArtPoint) { ink.points[i].v, -ink.points[i].u };
  g_autoptr (RhyMap) one = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 62, 0.0 }, 0.0, &ink);
  g_autoptr (RhyMap) two = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 62, 6.0 }, G_PI_2, &turned);
  for (gsize i = 0; i < ink.n; i++)
    {
      RhyPoint a, b;
      assert_true (rhy_map_point (one, (RhyPoint) { ink.points[i].u, ink.points[i].v }, &a));
      assert_true (rhy_map_point (two, (RhyPoint) { turned.points[i].u, turned.points[i].v }, &b));
      assert_near (a.x, b.x, 1e-6);
      assert_near (a.y + 6.0, b.y, 1e-7);
    }
}

/* No ink to ease for: rolled on the cone that touches at the anchor. */
static void
test_without_ink (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  const Ink none = { NULL, 0 };
  g_autoptr (RhyMap) least = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 62, 0.0 }, 0.2, &none);
  g_autoptr (RhyMap) rolled = lay_of (wall, RHY_LAY_ROLLED, (RhyWallPoint) { 62, 0.0 }, 0.2, &none);
  RhyPoint a, b;
  assert_true (rhy_map_point (least, (RhyPoint) { 11, -7 }, &a) && rhy_map_point (rolled, (RhyPoint) { 11, -7 }, &b));
  assert_near (a.x, b.x, 0.0);
  assert_near (a.y, b.y, 0.0);
}

/* Ink half past the rim: what is on the wall stretches less than rolled all the same. */
static void
test_past_the_rim (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  g_auto (Ink) ink = ink_of (all, 60, 60);
  const RhyWallPoint anchor = { rhy_wall_get_length (wall) - 5, 0 };
  g_autoptr (RhyMap) least = lay_of (wall, RHY_LAY_LEAST_STRETCH, anchor, 0.0, &ink);
  g_autoptr (RhyMap) rolled = lay_of (wall, RHY_LAY_ROLLED, anchor, 0.0, &ink);
  assert_true (greatest (least, wall, &ink) < greatest (rolled, wall, &ink));
}

/* The easing is smooth enough to bend paths by: a ring of 50 mm takes no more than
 * twice the cubics that rolled takes, at 0.01 mm. */
static void
test_bends_into_few_cubics (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  g_auto (Ink) ink = ink_of (disc, 50, 50);
  g_autoptr (RhyMap) unroll = rhy_unroll_new (wall, NULL, NULL);
  const double r = 25, k = 4.0 / 3.0 * (sqrt (2.0) - 1.0) * r;
  g_autoptr (RhyPath) ring = rhy_path_new ();
  rhy_path_move_to (ring, r, 0);
  rhy_path_cubic_to (ring, r, k, k, r, 0, r);
  rhy_path_cubic_to (ring, -k, r, -r, k, -r, 0);
  rhy_path_cubic_to (ring, -r, -k, -k, -r, 0, -r);
  rhy_path_cubic_to (ring, k, -r, r, -k, r, 0);
  rhy_path_close (ring);

  gsize cubics[2];
  const RhyLayKind kinds[] = { RHY_LAY_ROLLED, RHY_LAY_LEAST_STRETCH };
  for (gsize i = 0; i < 2; i++)
    {
      g_autoptr (RhyMap) lay = lay_of (wall, kinds[i], (RhyWallPoint) { 62, 0 }, 0.0, &ink);
      g_autoptr (RhyBender) bender = rhy_bender_new (wall, lay, unroll, 0.01);
      RhyBendReport report = { 0 };
      GError *error = NULL;
      g_autoptr (RhyPath) bent = rhy_bender_bend (bender, ring, &report, &error);
      assert_no_error (error);
      assert_non_null (bent);
      assert_true (report.error_max_mm <= 0.01);
      cubics[i] = report.segments_out;
    }
  print_message ("# a ring of 50 mm: %" G_GSIZE_FORMAT " cubics rolled, %" G_GSIZE_FORMAT " with least stretch\n", cubics[0], cubics[1]);
  assert_true (cubics[1] <= 2 * cubics[0]);
}

static void
test_no_image_for_no_number (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = stemless_glass ();
  g_auto (Ink) ink = ink_of (disc, 50, 50);
  ink.points[0].u = NAN;
  ink.points[1].v = INFINITY;
  g_autoptr (RhyMap) lay = lay_of (wall, RHY_LAY_LEAST_STRETCH, (RhyWallPoint) { 62, 0 }, 0.0, &ink);
  RhyPoint out = { 3.0, 4.0 };
  assert_false (rhy_map_point (lay, (RhyPoint) { NAN, 0.0 }, &out));
  assert_false (rhy_map_point (lay, (RhyPoint) { 0.0, INFINITY }, &out));
  assert_false (rhy_map_point (lay, (RhyPoint) { 0.0, 900.0 }, &out));
  assert_false (rhy_map_point_inverse (lay, (RhyPoint) { NAN, 0.0 }, &out));
  assert_near (out.x, 3.0, 0.0);
  assert_true (rhy_map_point (lay, (RhyPoint) { 5.0, 5.0 }, &out));
}

int
main (void)
{
  struct CMUnitTest tests[40];
  char names[40][96];
  gsize n = 0;
#define ADD(title, function, data) \
  do { \
    g_snprintf (names[n], sizeof names[n], "%s", title); \
    tests[n] = (struct CMUnitTest) { names[n], function, NULL, NULL, (void *) (data) }; \
    n++; \
  } while (0)
  for (gsize i = 0; i < G_N_ELEMENTS (cones); i++)
    {
      g_autofree char *title = g_strdup_printf ("on a cone it is rolled: %s", cones[i].name);
      ADD (title, test_on_a_cone_it_is_rolled, &cones[i]);
    }
  for (gsize i = 0; i < G_N_ELEMENTS (laid); i++)
    {
      g_autofree char *anchor = g_strdup_printf ("holds the anchor: %s", laid[i].name);
      g_autofree char *trip = g_strdup_printf ("round trip and jacobian: %s", laid[i].name);
      ADD (anchor, test_holds_the_anchor, &laid[i]);
      ADD (trip, test_round_trip_and_jacobian, &laid[i]);
    }
  ADD ("tends to rolled", test_tends_to_rolled, NULL);
  ADD ("near the best possible on a sphere", test_near_the_best_possible_on_a_sphere, NULL);
  ADD ("crest on a stemless glass", test_crest_on_a_stemless_glass, NULL);
  ADD ("left mirrors right", test_left_mirrors_right, NULL);
  ADD ("same all round", test_same_all_round, NULL);
  ADD ("without ink", test_without_ink, NULL);
  ADD ("past the rim", test_past_the_rim, NULL);
  ADD ("bends into few cubics", test_bends_into_few_cubics, NULL);
  ADD ("no image for no number", test_no_image_for_no_number, NULL);
  return _cmocka_run_group_tests ("lay-least", tests, n, NULL, NULL);
}
