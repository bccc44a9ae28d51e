/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/clearance.h>

#include <stdlib.h>

#define DEG (G_PI / 180.0)

/* ---- by hand ---- */

static RhyWall *
cylinder (void)
{
  return rhy_wall_new_straight ((const double[]) { 0, 150 }, (const double[]) { 40, 40 }, 2, NULL);
}

/* A cylinder of radius 40, axis 60 over the bed; the nozzle stops 8 mm over the top line,
 * the body, 25 mm to each side, another 30 above that: 48 and 78 over the axis. */
static RhyClearanceCase
plain (RhyWall *wall, const RhyBody *bodies, gsize n)
{
  return (RhyClearanceCase) { .wall = wall, .head = { 8, 4, 25, 30 }, .level_s_mm = 75, .axis_height_mm = 60,
                              .s_low_mm = 60, .s_high_mm = 90, .angle_low_rad = -0.5, .angle_high_rad = 0.5,
                              .bodies = bodies, .n_bodies = n };
}

static void
test_ring_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  /* Jaws 20 up the wall, standing 33: 5 below the body; the nozzle's side is at 60 - 4. */
  RhyBody jaws = { .kind = RHY_ZONE_JAWS, .from_mm = -10, .to_mm = 20, .stand_mm = 33, .width_rad = 2 * G_PI };
  RhyClearanceCase c = plain (wall, &jaws, 1);
  RhyContact contact = rhy_clearance_head (&c, 0);
  /* The corner of the jaws is 15 from the body's side (60 - 25 - 20) and 5 below it. */
  assert_near (contact.distance_mm, hypot (15, 5), 1e-3);
  assert_near (contact.height_mm, 20, 1e-3);
  contact = rhy_clearance_head (&c, -1);
  assert_near (contact.distance_mm, 8, 1e-3);

  c.s_low_mm = 30;              /* over them: straight down */
  assert_near (rhy_clearance_head (&c, 0).distance_mm, 5, 1e-3);
  jaws.stand_mm = 40;           /* 2 mm into the body */
  assert_near (rhy_clearance_head (&c, 0).distance_mm, -2, 1e-9);
  c.s_low_mm = 22;              /* the nozzle's side, 4 mm off its axis, over the jaws' corner: 80 - 48 */
  assert_near (rhy_clearance_head (&c, 0).distance_mm, -32, 1e-9);

  assert_near (rhy_clearance_bed (&c, -1).distance_mm, 20, 1e-9);
  assert_near (rhy_clearance_bed (&c, 0).distance_mm, -20, 1e-9);
  c.axis_height_mm = NAN;
  assert_true (rhy_clearance_bed (&c, 0).distance_mm == G_MAXDOUBLE);
}

/* Coming in from the base the head goes over the jaws, from the mouth it does not. */
static void
test_way_in (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  const RhyBody jaws = { .kind = RHY_ZONE_JAWS, .from_mm = -10, .to_mm = 20, .stand_mm = 33, .width_rad = 2 * G_PI };
  const RhyClearanceCase c = plain (wall, &jaws, 1);
  assert_near (rhy_clearance_way_in (&c, FALSE).distance_mm, 48 - 73, 1e-9);
  assert_int_equal (rhy_clearance_way_in (&c, FALSE).body, 0);
  assert_near (rhy_clearance_way_in (&c, TRUE).distance_mm, 8, 1e-3);
  assert_int_equal (rhy_clearance_way_in (&c, TRUE).body, -1);
}

/* A handle of radius 75 beside a nozzle as thin as a line and a body high above: the nozzle
 * ends 48 over the axis, so the handle's side at phi is 48 sin phi away; over the bed at 60
 * less its margin, the far side may go to where 75 cos phi is 50 below the axis. */
static void
test_turns_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  const RhyBody handle = { .kind = RHY_ZONE_HANDLE, .from_mm = 20, .to_mm = 130, .stand_mm = 35, .centre_rad = G_PI,
                           .width_rad = 20 * DEG, .margin_mm = 10 };
  RhyClearanceCase c = plain (wall, &handle, 1);
  c.head = (RhyHead) { 8, 0, 0, 500 };
  c.axis_height_mm = NAN;
  double low, high;
  assert_true (rhy_clearance_turns (&c, &low, &high));
  /* The search keeps 0.02 mm in hand: that much over 48 cos phi per radian. */
  const double phi = asin (10 / 48.0);
  assert_near (high, G_PI - 10 * DEG - phi, 1e-3);
  assert_near (low, -(G_PI - 10 * DEG - phi), 1e-3);

  /* With the bed: the middle of the drawing puts the handle right at the bottom. */
  c.axis_height_mm = 60;
  assert_true (rhy_clearance_turns (&c, &low, &high));
  assert_true (low > high);
  const double far = acos (-50 / 75.0);
  assert_near (low, G_PI - (far - 10 * DEG), 1e-6);     /* the nearest free turn above */
  assert_near (high, -(G_PI - (far - 10 * DEG)), 1e-6);

  /* A drawing at the side, between the two. */
  c.angle_low_rad = 1.4;
  c.angle_high_rad = 1.6;
  assert_true (rhy_clearance_turns (&c, &low, &high));
  assert_near (low, G_PI - (far - 10 * DEG), 1e-6);
  assert_near (high, G_PI - 10 * DEG - phi, 1e-3);

  c.n_bodies = 0;
  assert_false (rhy_clearance_turns (&c, &low, &high));
}

static void
test_reach_by_hand (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = cylinder ();
  /* The jaws are higher than the body's underside by 2: its side must keep 3 mm from them. */
  const RhyBody jaws = { .kind = RHY_ZONE_JAWS, .from_mm = -10, .to_mm = 20, .stand_mm = 40, .width_rad = 2 * G_PI,
                         .margin_mm = 3 };
  const RhyClearanceCase c = plain (wall, &jaws, 1);
  double low, high;
  assert_true (rhy_clearance_reach (&c, &low, &high));
  assert_near (low, 20 + 25 + 3, 0.02);
  assert_near (high, 150, 1e-9);

  RhyClearanceCase blocked = c;
  blocked.level_s_mm = 30;
  assert_false (rhy_clearance_reach (&blocked, &low, &high));
  assert_near (low, 30, 1e-12);
}

/* Without a tilt a cone's top line rises to the mouth: a tumbler of slope 0.1 levelled in the
 * middle runs into a nozzle 8 mm above from 8/tan b on, less what the nozzle is wide. */
static void
test_own_bulge (void **state)
{
  (void) state;
  g_autoptr (RhyWall) wall = rhy_wall_new_straight ((const double[]) { 0, 200 }, (const double[]) { 30, 50 }, 2, NULL);
  const RhyClearanceCase c = { .wall = wall, .head = { 5, 4, 4, 100 }, .level_s_mm = rhy_wall_get_length (wall) / 2,
                               .axis_height_mm = NAN, .s_low_mm = 0, .s_high_mm = rhy_wall_get_length (wall) };
  /* 10 mm higher at the rim than in the middle, 5 of them through the tip. */
  assert_near (rhy_clearance_head (&c, -1).distance_mm, -5, 1e-9);
  double low, high;
  assert_true (rhy_clearance_reach (&c, &low, &high));
  /* The line stands tan b (x - 100) over the middle; a corner 4 mm ahead of the axis and 5 up must be 1 off it. */
  const double b = atan (0.1);
  assert_near (high, 100 + (5 - 1 / cos (b)) / 0.1 - 4, 0.05);
  assert_near (low, 0, 1e-9);
}

/* ---- by brute force: solids sampled in space, turned and tilted by matrices ---- */

typedef struct { double x, y, z; } V3;

/* Walls and the head's ways as dense tables: looked up a hundred million times. */
enum { N_TABLE = 2000 };

typedef struct
{
  const RhyClearanceCase *c;
  int                     body;
  double                  z0, z1, a0, a1, inner_is_wall, stand, tip;
  double                  r[N_TABLE + 1], x[N_TABLE + 1];
  double                  cos_t, sin_t;
} Solid;

static double
looked_up (const double *table, double share)
{
  const double at = share * N_TABLE;
  const int i = MIN ((int) at, N_TABLE - 1);
  return table[i] + (at - i) * (table[i + 1] - table[i]);
}

static void
solid_init (Solid *s, const RhyClearanceCase *c, int body)
{
  const double length = rhy_wall_get_length (c->wall);
  const double top = rhy_wall_at (c->wall, length).z_mm;
  const RhyBody all = { .to_mm = top, .width_rad = 2 * G_PI };
  const RhyBody *b = body < 0 ? &all : &c->bodies[body];
  *s = (Solid) { .c = c, .body = body, .z0 = b->from_mm, .z1 = b->to_mm, .cos_t = cos (c->tilt_rad), .sin_t = sin (c->tilt_rad),
                 .a0 = b->centre_rad - b->width_rad / 2, .a1 = b->centre_rad + b->width_rad / 2,
                 .inner_is_wall = b->radius_mm > 0 || body < 0 ? 0 : 1 };
  for (int i = 0; i <= N_TABLE; i++)
    {
      RhyRing ring;
      rhy_wall_at_height (c->wall, CLAMP (s->z0 + (s->z1 - s->z0) * i / N_TABLE, 0, top), &ring);
      s->r[i] = b->radius_mm > 0 ? b->radius_mm : ring.r_mm + b->stand_mm;
      ring = rhy_wall_at (c->wall, c->s_low_mm + (c->s_high_mm - c->s_low_mm) * i / N_TABLE);
      s->x[i] = (ring.z_mm - c->held_z_mm) * s->cos_t + ring.r_mm * s->sin_t;
    }
  s->stand = b->stand_mm;
  const RhyRing level = rhy_wall_at (c->wall, c->level_s_mm);
  s->tip = level.r_mm * s->cos_t - (level.z_mm - c->held_z_mm) * s->sin_t + c->head.working_distance_mm;
}

/* A point of a solid at shares (0 to 1) of its height, depth and sector, the work turned so that @turn
 * is on top, laid down along x, tilted about y. */
static V3
point_of (const Solid *s, double fz, double fr, double fa, double turn)
{
  const double outer = looked_up (s->r, fz);
  const double r = s->inner_is_wall > 0 ? outer - (1 - fr) * s->stand : fr * outer;
  const double a = s->a0 + fa * (s->a1 - s->a0);
  /* Upright: to the front and to its left. Turned: the angle @turn becomes up. */
  const double up = r * cos (a) * cos (turn) + r * sin (a) * sin (turn);
  const double left = r * sin (a) * cos (turn) - r * cos (a) * sin (turn);
  const double along = s->z0 + fz * (s->z1 - s->z0) - s->c->held_z_mm;
  return (V3) { along * s->cos_t + up * s->sin_t, left, up * s->cos_t - along * s->sin_t };
}

/* To the head at bed position @x: a round pin below a square box, both solid. */
static double
to_head (const Solid *s, double x, V3 p)
{
  const RhyHead *h = &s->c->head;
  const double aside = MAX (0, sqrt ((p.x - x) * (p.x - x) + p.y * p.y) - h->nozzle_radius_mm);
  const double below = MAX (0, s->tip - p.z);
  const V3 out = { MAX (0, fabs (p.x - x) - h->body_half_width_mm), MAX (0, fabs (p.y) - h->body_half_width_mm),
                   MAX (0, s->tip + h->body_height_mm - p.z) };
  return sqrt (MIN (aside * aside + below * below, out.x * out.x + out.y * out.y + out.z * out.z));
}

typedef struct { double q[5]; double d; } Try;          /* shares of height, depth, sector, turn, travel */

static double
measure (const Solid *s, gboolean to_bed, const double *q)
{
  const RhyClearanceCase *c = s->c;
  const V3 p = point_of (s, q[0], q[1], q[2], c->angle_low_rad + q[3] * (c->angle_high_rad - c->angle_low_rad));
  return to_bed ? p.z + c->axis_height_mm : to_head (s, looked_up (s->x, q[4]), p);
}

/* Ever smaller steps in every direction and pair of directions. */
static void
descend (const Solid *s, gboolean to_bed, Try *best, double from, double until)
{
  for (double step = from; step > until;)
    {
      gboolean moved = FALSE;
      for (int k = 0; k < 25 && !moved; k++)
        for (int sign = 0; sign < 4 && !moved; sign++)
          {
            Try next = *best;
            const int m = k / 5, n = k % 5;
            if (n < m || (n == m && sign > 1))
              continue;
            next.q[m] = CLAMP (next.q[m] + (sign & 1 ? step : -step), 0, 1);
            if (n != m)
              next.q[n] = CLAMP (next.q[n] + (sign & 2 ? step : -step), 0, 1);
            next.d = measure (s, to_bed, next.q);
            if (next.d < best->d - 1e-12)
              {
                *best = next;
                moved = TRUE;
              }
          }
      if (!moved)
        step *= 0.35;
    }
}

static int
by_distance (const void *a, const void *b)
{
  const double da = ((const Try *) a)->d, db = ((const Try *) b)->d;
  return (da > db) - (da < db);
}

static double
brute_force (const RhyClearanceCase *c, int body, gboolean to_bed)
{
  Solid s;
  solid_init (&s, c, body);
  const gboolean round = body < 0 || c->bodies[body].width_rad >= 2 * G_PI;
  const gboolean disc = body >= 0 && c->bodies[body].radius_mm > 0;
  const int nz = 12, nr = disc ? 4 : round ? 1 : 2, na = round ? 36 : 6, nt = round ? 0 : 6, nx = to_bed ? 0 : 4;
  /* One start at every height and depth: from few of them the steps end in hollows that are not the
   * deepest, up to 26 mm off. A disc's flat end needs starts between its axis and its edge. */
  Try best[13 * 5];
  const int n_best = (nz + 1) * (nr + 1);
  for (int i = 0; i < n_best; i++)
    best[i].d = G_MAXDOUBLE;
  for (int z = 0; z <= nz; z++)
    for (int r = 0; r <= nr; r++)
      for (int a = 0; a <= na; a++)
        for (int t = 0; t <= nt; t++)
          {
            const double turn = nt ? t / (double) nt : 0.5;
            const V3 p = point_of (&s, z / (double) nz, r / (double) nr, a / (double) na,
                                   c->angle_low_rad + turn * (c->angle_high_rad - c->angle_low_rad));
            for (int x = 0; x <= nx; x++)
              {
                const double d = to_bed ? p.z + c->axis_height_mm : to_head (&s, s.x[x * N_TABLE / MAX (nx, 1)], p);
                Try *start = &best[z * (nr + 1) + r];
                if (d < start->d)
                  *start = (Try) { { z / (double) nz, r / (double) nr, a / (double) na, turn, nx ? x / (double) nx : 0 }, d };
              }
          }
  for (int i = 0; i < n_best; i++)
    descend (&s, to_bed, &best[i], 0.08, 4e-3);
  qsort (best, (size_t) n_best, sizeof (Try), by_distance);
  double least = G_MAXDOUBLE;
  for (int i = 0; i < 5; i++)
    {
      descend (&s, to_bed, &best[i], 4e-3, 2e-5);
      least = MIN (least, best[i].d);
    }
  return least;
}

static double
pick (GRand *rand, double low, double high)
{
  return g_rand_double_range (rand, low, high);
}

static RhyWall *
random_wall (GRand *rand)
{
  const double r = pick (rand, 20, 45);
  const double b = pick (rand, -0.3, 0.3);
  const double length = pick (rand, 60, 140);
  RhyWallPiece pieces[2] = { { .length_mm = length, .slope_rad = b } };
  gsize n = 1;
  switch (g_rand_int_range (rand, 0, 3))
    {
    case 0:
      break;
    case 1:
      pieces[0].curvature_per_mm = pick (rand, -0.6, 0.6) / length;
      break;
    default:
      pieces[0].length_mm = length / 2;
      pieces[1] = (RhyWallPiece) { .length_mm = length / 2, .slope_rad = pick (rand, -0.3, 0.3) };
      n = 2;
    }
  RhyWall *wall = rhy_wall_new_pieces (0, r, pieces, n, NULL);
  return wall != NULL ? wall : rhy_wall_new_pieces (0, r, &(RhyWallPiece) { .length_mm = length }, 1, NULL);
}

static int
by_value (const void *a, const void *b)
{
  return (*(const double *) a > *(const double *) b) - (*(const double *) a < *(const double *) b);
}

typedef struct { double *slack; gsize n; double worst; int met, missed; } Tally;

static void
compare (Tally *tally, double ours, double theirs, const char *what, int seed)
{
  if (theirs <= 1e-9)
    {
      tally->met++;
      if (ours > 0.0)
        {
          tally->missed++;
          print_error ("seed %d: %s: they meet, ours says %.6g mm clear\n", seed, what, ours);
        }
      return;
    }
  if (ours > theirs + 1e-6)
    {
      tally->missed++;
      print_error ("seed %d: %s: ours %.6g mm, but a point is %.6g mm near\n", seed, what, ours, theirs);
    }
  tally->slack[tally->n++] = theirs - ours;
  tally->worst = MAX (tally->worst, theirs - ours);
}

#define N_CASES 2400

static void
test_against_brute_force (void **state)
{
  (void) state;
  Tally head = { g_new (double, N_CASES), 0, 0, 0, 0 };
  Tally bed = { g_new (double, N_CASES), 0, 0, 0, 0 };
  for (int seed = 0; seed < N_CASES; seed++)
    {
      g_autoptr (GRand) rand = g_rand_new_with_seed ((guint32) (4711 + seed));
      g_autoptr (RhyWall) wall = random_wall (rand);
      const double length = rhy_wall_get_length (wall);
      const double top = rhy_wall_at (wall, length).z_mm;
      RhyBody body = { .margin_mm = 1 };
      int which = 0;
      switch (seed % 6)
        {
        case 0:
          which = -1;           /* the vessel itself */
          break;
        case 1:                 /* jaws all round, gripping the base */
          body = (RhyBody) { .from_mm = -20, .to_mm = pick (rand, 3, 25), .stand_mm = pick (rand, 3, 40),
                             .width_rad = 2 * G_PI };
          break;
        case 2:                 /* a disc beyond the mouth */
          body = (RhyBody) { .from_mm = top, .to_mm = top + 15, .radius_mm = pick (rand, 10, 80), .width_rad = 2 * G_PI };
          break;
        default:                /* handles, and single jaws */
          body = (RhyBody) { .from_mm = pick (rand, -5, 0.4 * top), .to_mm = pick (rand, 0.5 * top, top + 5),
                             .stand_mm = pick (rand, 5, 60), .centre_rad = pick (rand, -4, 4),
                             .width_rad = pick (rand, 0.1, 1.5) };
        }
      RhyClearanceCase c = {
        .wall = wall,
        .head = { pick (rand, 2, 15), pick (rand, 1, 8), pick (rand, 5, 40), pick (rand, 0, 40) },
        .tilt_rad = pick (rand, -0.15, 0.35),
        .level_s_mm = pick (rand, 0.2, 0.8) * length,
        .held_z_mm = seed % 2 ? 0 : top,
        .axis_height_mm = pick (rand, 40, 160),
        .bodies = &body,
        .n_bodies = 1,
      };
      const double half = pick (rand, 0.02, 0.3) * length;
      c.s_low_mm = MAX (0, c.level_s_mm - half);
      c.s_high_mm = MIN (length, c.level_s_mm + half);
      c.angle_low_rad = pick (rand, -2, 0);
      c.angle_high_rad = c.angle_low_rad + pick (rand, 0.02, 2.5);

      compare (&head, rhy_clearance_head (&c, which).distance_mm, brute_force (&c, which, FALSE), "head", seed);
      const double low = rhy_clearance_bed (&c, which).distance_mm;
      const double low_there = brute_force (&c, which, TRUE);
      /* A bed is a plane: below it is below it. */
      if (low > low_there + 1e-6)
        {
          bed.missed++;
          print_error ("seed %d: bed: ours %.6g mm, but a point is %.6g mm over it\n", seed, low, low_there);
        }
      bed.slack[bed.n++] = low_there - low;
    }
  qsort (head.slack, head.n, sizeof (double), by_value);
  qsort (bed.slack, bed.n, sizeof (double), by_value);
  print_message ("# head: %d cases, %d of them meet; too cautious by %.3f mm (median), %.3f (95 %%), %.3f (worst)\n",
                 N_CASES, head.met, head.slack[head.n / 2], head.slack[head.n * 95 / 100], head.worst);
  print_message ("# bed: too cautious by %.3f mm (median), %.3f (worst)\n", bed.slack[bed.n / 2], bed.slack[bed.n - 1]);
  assert_int_equal (head.missed, 0);
  assert_int_equal (bed.missed, 0);
  assert_true (head.met > 100 && head.n > 1000);        /* both kinds occur */
  assert_true (head.slack[head.n / 2] < 0.2);
  assert_true (head.worst < 0.5);                       /* none is told to stay away for nothing */
  assert_true (bed.slack[bed.n / 2] < 0.2);
  g_free (head.slack);
  g_free (bed.slack);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_ring_by_hand),
    cmocka_unit_test (test_way_in),
    cmocka_unit_test (test_turns_by_hand),
    cmocka_unit_test (test_reach_by_hand),
    cmocka_unit_test (test_own_bulge),
    cmocka_unit_test (test_against_brute_force),
  };
  return cmocka_run_group_tests_name ("clearance", tests, NULL, NULL);
}
