/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/rhyton.h>

/* ---- helpers ---- */

static guint32
opaque (double grey)
{
  const guint32 g = (guint32) lrint (CLAMP (grey, 0.0, 255.0));
  return 0xff000000u | g << 16 | g << 8 | g;
}

static int
grey_at (const RhyPaint *paint,
         guint           x,
         guint           y)
{
  return (int) (rhy_raster_get_pixels (paint->raster)[(gsize) y * rhy_raster_get_width (paint->raster) + x] & 255u);
}

static guint32
pixel_at (const RhyPaint *paint,
          guint           x,
          guint           y)
{
  return rhy_raster_get_pixels (paint->raster)[(gsize) y * rhy_raster_get_width (paint->raster) + x];
}

static RhyPaint *
picture (guint     width,
         guint     height,
         guint32  *pixels,
         RhyAffine matrix,
         RhyExtend extend)
{
  return rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .extend = extend, .matrix = matrix, .smooth = TRUE, .alpha = 1.0,
                                      .raster = rhy_raster_new (width, height, pixels) });
}

static guint32 *
random_pixels (guint n,
               guint seed)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
  guint32 *pixels = g_new (guint32, n);
  for (guint i = 0; i < n; i++)
    {
      const guint32 a = (guint32) g_rand_int_range (rand, 0, 256);
      pixels[i] = a << 24 | (guint32) g_rand_int_range (rand, 0, (int) a + 1) << 16
                  | (guint32) g_rand_int_range (rand, 0, (int) a + 1) << 8 | (guint32) g_rand_int_range (rand, 0, (int) a + 1);
    }
  return pixels;
}

/* ---- pictures ---- */

static void
test_identity_is_exact (void **state)
{
  (void) state;
  const guint w = 53, h = 37;
  guint32 *pixels = random_pixels (w * h, 5);
  const double pitch = 25.4 / 300.0;
  g_autoptr (RhyPaint) paint = picture (w, h, pixels, (RhyAffine) { pitch, 0, 0, pitch, -2.0, 3.0 }, RHY_EXTEND_NONE);
  RhyGrid grid;
  assert_true (rhy_grid_over ((RhyBounds) { -2.0, 3.0, -2.0 + w * pitch, 3.0 + h * pitch }, 300.0, (RhyPoint) { -2.0, 3.0 }, &grid, NULL));
  assert_int_equal (grid.width, w + 2);
  assert_int_equal (grid.height, h + 2);
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
  for (guint y = 0; y < h; y++)
    for (guint x = 0; x < w; x++)
      assert_int_equal (pixel_at (warped, x + 1, y + 1), pixels[y * w + x]);
  assert_near (warped->matrix.x0, -2.0 - pitch, 1e-12);
  assert_near (warped->matrix.xx, pitch, 1e-15);
}

/* Turned by quarters and mirrored, an asymmetric picture is that picture's pixels moved. */
static void
test_quarter_turns_are_exact (void **state)
{
  (void) state;
  const guint n = 24;
  static const RhyAffine turns[] = {
    { 0, 1, -1, 0, 24, 0 }, { -1, 0, 0, -1, 24, 24 }, { 0, -1, 1, 0, 0, 24 }, { -1, 0, 0, 1, 24, 0 }, { 0, 1, 1, 0, 0, 0 },
  };
  for (gsize k = 0; k < G_N_ELEMENTS (turns); k++)
    {
      guint32 *pixels = random_pixels (n * n, 9);
      g_autoptr (RhyPaint) paint = picture (n, n, pixels, turns[k], RHY_EXTEND_NONE);
      const RhyGrid grid = { { 0, 0 }, 1.0, n, n };
      g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
      for (guint y = 0; y < n; y++)
        for (guint x = 0; x < n; x++)
          {
            const RhyPoint to = rhy_affine_apply (turns[k], (RhyPoint) { x + 0.5, y + 0.5 });
            assert_int_equal (pixel_at (warped, (guint) to.x, (guint) to.y), pixels[y * n + x]);
          }
    }
}

/* cos (k r^2) about the middle: its frequency grows as k r / pi, here to 0.4 a pixel at the rim. */
#define PLATE 1024
static const double PLATE_K = G_PI * 0.4 / (PLATE / 2.0);

static double
plate_at (double x,
          double y)
{
  const double dx = x - PLATE / 2.0;
  const double dy = y - PLATE / 2.0;
  const double r2 = MIN (dx * dx + dy * dy, PLATE * PLATE / 4.0);
  return 127.5 * (1.0 + cos (PLATE_K * r2));
}

/* The filter's definition, written out again. Source: Duchon 1979. */
static double
three_lobes (double x)
{
  return fabs (x) < 1e-12 ? 1.0 : fabs (x) >= 3.0 ? 0.0 : 3.0 * sin (G_PI * x) * sin (G_PI * x / 3.0) / (G_PI * G_PI * x * x);
}

typedef struct { const char *name; double xx, yx, xy, yy; } Shrink;

/* Picture pixels a dot, in symmetric matrices: so wide and so placed is the filter. */
static const Shrink shrinks[] = {
  { "3.7 times evenly", 3.7, 0, 0, 3.7 },
  { "2 times", 2.0, 0, 0, 2.0 },
  { "6 by 2.5 times", 6.0, 0, 0, 2.5 },
  { "7 by 2.5 times aslant", 4.75, 2.25, 2.25, 4.75 },
  { "4.1 times, over one halving", 4.1, 0, 0, 4.1 },
  { "8.2 by 5 times aslant", 6.6, 1.6, 1.6, 6.6 },
  { "9 times, over two halvings", 9, 0, 0, 9 },
};

/* Against the continuous plate times the filter, integrated by fine steps. The plate has
 * every frequency up to 0.4 a pixel, well past what dots can show; stripes of
 * another frequency would show as an error of up to 127. */
static void
test_zone_plate (void **state)
{
  const Shrink *s = *state;
  guint32 *pixels = g_new (guint32, PLATE * PLATE);
  for (int y = 0; y < PLATE; y++)
    for (int x = 0; x < PLATE; x++)
      pixels[y * PLATE + x] = opaque (plate_at (x + 0.5, y + 0.5));
  const double det = s->xx * s->yy - s->xy * s->yx;
  const RhyAffine to_dots = { s->yy / det, -s->yx / det, -s->xy / det, s->xx / det, 0, 0 };
  g_autoptr (RhyPaint) paint = picture (PLATE, PLATE, pixels, to_dots, RHY_EXTEND_PAD);
  const RhyPoint middle = rhy_affine_apply (to_dots, (RhyPoint) { PLATE / 2.0, PLATE / 2.0 });
  const RhyGrid grid = { { floor (middle.x) - 70, floor (middle.y) - 70 }, 1.0, 140, 140 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);

  double worst = 0.0;
  double squares = 0.0;
  int count = 0;
  for (guint j = 3; j < 140; j += 6)
    for (guint i = 1; i < 140; i += 5)
      {
        const RhyPoint dot = { grid.corner.x + i + 0.5, grid.corner.y + j + 0.5 };
        const double x = s->xx * dot.x + s->xy * dot.y;
        const double y = s->yx * dot.x + s->yy * dot.y;
        if (hypot (x - PLATE / 2.0, y - PLATE / 2.0) > PLATE / 2.0 - 3.0 * (s->xx + s->xy + s->yy))
          continue;
        const int steps = 64;
        double sum = 0.0, total = 0.0;
        for (int b = 0; b < steps; b++)
          for (int a = 0; a < steps; a++)
            {
              const double p = (a + 0.5) * 6.0 / steps - 3.0;
              const double q = (b + 0.5) * 6.0 / steps - 3.0;
              const double w = three_lobes (p) * three_lobes (q);
              sum += w * plate_at (x + s->xx * p + s->xy * q, y + s->yx * p + s->yy * q);
              total += w;
            }
        const double off = grey_at (warped, i, j) - CLAMP (sum / total, 0.0, 255.0);
        worst = MAX (worst, fabs (off));
        squares += off * off;
        count++;
      }
  print_message ("# %s: worst %.2f, rms %.2f of 255 over %d dots\n", s->name, worst, sqrt (squares / count), count);
  assert_true (count > 200);
  /* The halvings' filters pass within 1 %, and let through 1 % of what should fold: of 127, and
   * two roundings to bytes. */
  assert_true (worst < 4.0);
  assert_true (sqrt (squares / count) < 1.0);
}

/* A constant stays: the weights sum to one, at every width, at the edge, off the raster. */
static void
test_one_colour_stays (void **state)
{
  (void) state;
  const guint w = 301, h = 207;
  for (double turn = 0.0; turn < 3.0; turn += 0.7)
    for (double size = 0.05; size < 4.0; size *= 1.7)
      {
        guint32 *pixels = g_new (guint32, w * h);
        for (guint i = 0; i < w * h; i++)
          pixels[i] = 0xc0704020u;
        const RhyAffine m = { size * cos (turn), size * sin (turn), -0.6 * size * sin (turn), 0.6 * size * cos (turn), 20, 20 };
        g_autoptr (RhyPaint) paint = picture (w, h, pixels, m, turn < 1.0 ? RHY_EXTEND_PAD : turn < 2.0 ? RHY_EXTEND_REPEAT : RHY_EXTEND_REFLECT);
        const RhyGrid grid = { { 0, 0 }, 1.0, 40, 40 };
        g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
        for (guint i = 0; i < 1600; i++)
          assert_int_equal (pixel_at (warped, i % 40, i / 40), 0xc0704020u);
      }
}

/* A picture that repeats every 8 pixels, seen whole: dot for dot the one that was tiled by hand. */
static void
test_tiles (void **state)
{
  (void) state;
  g_autofree guint32 *tile = random_pixels (64, 3);
  guint32 *tiled = g_new (guint32, 256 * 256);
  for (guint i = 0; i < 256 * 256; i++)
    tiled[i] = tile[(i / 256 % 8) * 8 + i % 8];
  const RhyAffine m = { 0.3, 0.05, -0.02, 0.4, 0, 0 };
  g_autoptr (RhyPaint) one = picture (8, 8, g_memdup2 (tile, 64 * sizeof *tile), m, RHY_EXTEND_REPEAT);
  g_autoptr (RhyPaint) many = picture (256, 256, tiled, m, RHY_EXTEND_REPEAT);
  const RhyGrid grid = { { 5, 20 }, 1.0, 40, 40 };
  g_autoptr (RhyPaint) a = rhy_paint_warped (one, NULL, &grid);
  g_autoptr (RhyPaint) b = rhy_paint_warped (many, NULL, &grid);
  for (guint i = 0; i < 1600; i++)
    assert_int_equal (pixel_at (a, i % 40, i / 40), pixel_at (b, i % 40, i / 40));
}

/* Not smooth: every dot has one of the picture's own colours. */
static void
test_pixels_stay_square (void **state)
{
  (void) state;
  static const guint32 two[] = { 0xff000000u, 0xffffffffu };
  RhyPaint paint = { .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_NONE, .matrix = { 10, 0, 0, 10, 0, 0 }, .alpha = 1.0,
                     .raster = rhy_raster_new (2, 1, g_memdup2 (two, sizeof two)) };
  g_autoptr (RhyPaint) shared = rhy_paint_new (&paint);
  const RhyGrid grid = { { 0, 0 }, 1.0, 20, 10 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (shared, NULL, &grid);
  for (guint x = 0; x < 20; x++)
    assert_int_equal (pixel_at (warped, x, 5), two[x / 10]);
}

static void
test_alpha_multiplies (void **state)
{
  (void) state;
  RhyPaint paint = { .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_PAD, .matrix = RHY_AFFINE_IDENTITY, .alpha = 0.5, .smooth = TRUE };
  guint32 *pixels = g_new (guint32, 1);
  pixels[0] = 0xc8643200u;      /* 200, 100, 50, 0 */
  paint.raster = rhy_raster_new (1, 1, pixels);
  g_autoptr (RhyPaint) shared = rhy_paint_new (&paint);
  const RhyGrid grid = { { 0, 0 }, 1.0, 3, 3 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (shared, NULL, &grid);
  assert_int_equal (pixel_at (warped, 1, 1), 0x64321900u);
}

/* ---- through a cone ---- */

typedef struct { RhyWall *wall; RhyMap *map; } Cone;

static Cone
make_cone (void)
{
  static const double heights[] = { 0, 150 };
  static const double radii[] = { 31, 44 };
  Cone cone = { .wall = rhy_wall_new_straight (heights, radii, 2, NULL) };
  g_autoptr (RhyMap) lay = rhy_lay_new (cone.wall, &(RhyLayOptions) { .kind = RHY_LAY_ROLLED, .anchor = { 75, 0 }, .turn_rad = 0.3 }, NULL);
  g_autoptr (RhyMap) drive = rhy_drive_new (cone.wall, &(RhyDriveOptions) { .mark = { 75, 0 }, .travel_per_turn_mm = 200, .axis = RHY_AXIS_X,
                                                                           .mouth = RHY_MOUTH_PLUS }, NULL);
  cone.map = rhy_map_new_chain (lay, drive);
  return cone;
}

static void
clear_cone (Cone *cone)
{
  rhy_map_unref (cone->map);
  rhy_wall_unref (cone->wall);
}

static double
hills (double u,
       double v)
{
  return 127.5 + 60.0 * sin (0.9 * u) * cos (0.7 * v) + 50.0 * sin (0.4 * u - 0.6 * v);
}

/* A picture of gentle hills, 50 mm wide, 12 pixels a mm: each dot shows the hill at the place
 * that the map, point by point, gives for its middle. */
static void
test_cone_dots_show_their_place (void **state)
{
  (void) state;
  Cone cone = make_cone ();
  const guint n = 600;
  const double mm = 50.0 / n;
  guint32 *pixels = g_new (guint32, n * n);
  for (guint y = 0; y < n; y++)
    for (guint x = 0; x < n; x++)
      pixels[y * n + x] = opaque (hills (-25.0 + (x + 0.5) * mm, 25.0 - (y + 0.5) * mm));
  g_autoptr (RhyPaint) paint = picture (n, n, pixels, (RhyAffine) { mm, 0, 0, -mm, -25, 25 }, RHY_EXTEND_NONE);
  RhyGrid grid;
  assert_true (rhy_grid_over ((RhyBounds) { -20, -20, 20, 20 }, 200, (RhyPoint) { 0, 0 }, &grid, NULL));
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, cone.map, &grid);
  double worst = 0.0;
  guint seen = 0;
  for (guint y = 0; y < grid.height; y++)
    for (guint x = 0; x < grid.width; x++)
      {
        const RhyPoint bed = rhy_affine_apply (warped->matrix, (RhyPoint) { x + 0.5, y + 0.5 });
        RhyPoint art;
        assert_true (rhy_map_point_inverse (cone.map, bed, &art));
        if (!(fabs (art.x) < 24.0 && fabs (art.y) < 24.0))
          continue;
        worst = MAX (worst, fabs (grey_at (warped, x, y) - hills (art.x, art.y)));
        seen++;
      }
  print_message ("# worst %.2f of 255 over %u dots\n", worst, seen);
  assert_true (seen > 80000);
  /* Two roundings to bytes, and the hills' own curvature within a filter: well under one more. */
  assert_true (worst < 1.5);
  clear_cone (&cone);
}

/* Past the rim there is no image: transparent, but for the row of dots that carries the edge on. */
static void
test_off_the_wall (void **state)
{
  (void) state;
  Cone cone = make_cone ();
  guint32 *pixels = g_new (guint32, 1);
  pixels[0] = 0xff000000u;
  g_autoptr (RhyPaint) paint = picture (1, 1, pixels, RHY_AFFINE_IDENTITY, RHY_EXTEND_PAD);
  const RhyGrid grid = { { 60.0, -1.0 }, 0.5, 60, 4 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, cone.map, &grid);
  guint carried = 0;
  for (guint x = 0; x < 60; x++)
    {
      const RhyPoint bed = { 60.25 + 0.5 * x, 0.25 };
      const RhyPoint before = { bed.x - 0.5, bed.y };
      RhyPoint art;
      const gboolean here = rhy_map_point_inverse (cone.map, bed, &art);
      const gboolean next = rhy_map_point_inverse (cone.map, before, &art);
      assert_int_equal (pixel_at (warped, x, 2), here || next ? 0xff000000u : 0);
      carried += !here && next;
    }
  assert_int_equal (carried, 1);
  clear_cone (&cone);
}

/* ---- gradients ---- */

static RhyPaint *
gradient (RhyPaintKind kind,
          RhyExtend    extend,
          const RhyStop *stops,
          gsize          n)
{
  return rhy_paint_new (&(RhyPaint) { .kind = kind, .extend = extend, .matrix = { 10, 0, 0, 10, 0, 0 }, .x1 = kind == RHY_PAINT_LINEAR ? 1 : 0,
                                      .r1 = kind == RHY_PAINT_RADIAL ? 1 : 0, .alpha = 1.0, .stops = g_memdup2 (stops, n * sizeof *stops), .n_stops = n });
}

static const RhyStop black_to_white[] = { { 0, { 0, 0, 0, 1 } }, { 1, { 1, 1, 1, 1 } } };

/* From black at 0 to white at 10 mm and on by every rule; by hand. */
static void
test_linear (void **state)
{
  (void) state;
  static const RhyExtend rules[] = { RHY_EXTEND_NONE, RHY_EXTEND_PAD, RHY_EXTEND_REPEAT, RHY_EXTEND_REFLECT };
  const RhyGrid grid = { { -20, 0 }, 0.1, 500, 1 };
  for (gsize k = 0; k < G_N_ELEMENTS (rules); k++)
    {
      g_autoptr (RhyPaint) paint = gradient (RHY_PAINT_LINEAR, rules[k], black_to_white, 2);
      g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
      for (guint x = 0; x < 500; x++)
        {
          const double t = (-20.0 + 0.1 * (x + 0.5)) / 10.0;
          const double wave = fabs (t - 2.0 * rint (0.5 * t));
          const double want = rules[k] == RHY_EXTEND_REPEAT ? t - floor (t) : rules[k] == RHY_EXTEND_REFLECT ? wave : CLAMP (t, 0.0, 1.0);
          const gboolean beyond = rules[k] == RHY_EXTEND_NONE && (t < 0.0 || t > 1.0);
          assert_near (grey_at (warped, x, 0), beyond ? 0.0 : 255.0 * want, 1.0);
          assert_int_equal (pixel_at (warped, x, 0) >> 24, beyond ? 0 : 255);
        }
    }
}

/* Half black, half white, the edge a quarter into a dot: that dot is three quarters white. And a
 * hundred repeats a dot are the stops' mean. */
static void
test_hard_stops (void **state)
{
  (void) state;
  static const RhyStop stops[] = { { 0, { 0, 0, 0, 1 } }, { 0.525, { 0, 0, 0, 1 } }, { 0.525, { 1, 1, 1, 1 } }, { 1, { 1, 1, 1, 1 } } };
  g_autoptr (RhyPaint) paint = gradient (RHY_PAINT_LINEAR, RHY_EXTEND_PAD, stops, 4);
  const RhyGrid grid = { { 0, 0 }, 1.0, 10, 1 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
  for (guint x = 0; x < 10; x++)
    assert_int_equal (grey_at (warped, x, 0), x < 5 ? 0 : x > 5 ? 255 : 191);

  g_autoptr (RhyPaint) fine = gradient (RHY_PAINT_LINEAR, RHY_EXTEND_REPEAT, stops, 4);
  g_autoptr (RhyPaint) finer = rhy_paint_transformed (fine, (RhyAffine) { 0.001, 0, 0, 0.001, 0, 0 });
  g_autoptr (RhyPaint) mean = rhy_paint_warped (finer, NULL, &grid);
  for (guint x = 0; x < 10; x++)
    assert_near (grey_at (mean, x, 0), 255.0 * 0.475, 1.0);
}

/* Circles about one middle: t is the distance over 10 mm. Colours are straight between stops, so
 * red to nothing is red throughout. */
static void
test_radial (void **state)
{
  (void) state;
  static const RhyStop stops[] = { { 0, { 1, 0, 0, 1 } }, { 1, { 1, 0, 0, 0 } } };
  g_autoptr (RhyPaint) paint = gradient (RHY_PAINT_RADIAL, RHY_EXTEND_PAD, stops, 2);
  const RhyGrid grid = { { -12, -12 }, 0.1, 240, 240 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
  for (guint y = 0; y < 240; y += 7)
    for (guint x = 0; x < 240; x += 5)
      {
        const double t = hypot (-12 + 0.1 * (x + 0.5), -12 + 0.1 * (y + 0.5)) / 10.0;
        const guint32 pixel = pixel_at (warped, x, y);
        assert_near (pixel >> 24, 255.0 * (1.0 - MIN (t, 1.0)), 1.0);
        assert_int_equal ((pixel >> 16) & 255u, pixel >> 24);
      }
}

/* Two circles, the small one off to the side: on the line through both middles the places
 * are by hand. Middles 0 and 3, radii 1 and 5: the circle of t has its right end at 3t + 1 + 4t. */
static void
test_focal (void **state)
{
  (void) state;
  g_autoptr (RhyPaint) paint = rhy_paint_new (&(RhyPaint) {
    .kind = RHY_PAINT_RADIAL, .extend = RHY_EXTEND_NONE, .matrix = RHY_AFFINE_IDENTITY, .r0 = 1, .x1 = 3, .r1 = 5, .alpha = 1.0,
    .stops = g_memdup2 (black_to_white, sizeof black_to_white), .n_stops = 2 });
  const RhyGrid grid = { { 1, -0.005 }, 0.01, 800, 1 };
  g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
  for (guint x = 1; x < 699; x++)
    assert_near (grey_at (warped, x, 0), 255.0 * (0.01 * (x + 0.5)) / 7.0, 1.0);
  assert_int_equal (pixel_at (warped, 750, 0), 0);
}

/* Stops close together, a dot over several of them: by hand, steps of a tenth from black to white and
 * back, each a hundredth of the way; the mean of any even number of them is a half. */
static void
test_many_stops (void **state)
{
  (void) state;
  static const RhyExtend rules[] = { RHY_EXTEND_PAD, RHY_EXTEND_REPEAT, RHY_EXTEND_REFLECT };
  RhyStop stops[101];
  for (int i = 0; i <= 100; i++)
    {
      const double v = i % 2;
      stops[i] = (RhyStop) { 0.01 * i, { v, v, v, 1 } };
    }
  const RhyGrid grid = { { 1, 0 }, 0.2, 40, 1 };
  for (gsize k = 0; k < G_N_ELEMENTS (rules); k++)
    {
      g_autoptr (RhyPaint) paint = gradient (RHY_PAINT_LINEAR, rules[k], stops, 101);
      g_autoptr (RhyPaint) warped = rhy_paint_warped (paint, NULL, &grid);
      for (guint x = 0; x < 40; x++)
        assert_near (grey_at (warped, x, 0), 127.5, 0.6);
    }
}

/* ---- inside an outline ---- */

/* A disc and a thin tall triangle: every dot that touches them, or is beside one that does, is to the
 * bit what it is in the whole picture; a corner far from both is not worked out, but opaque. */
static void
test_inside_is_the_same (void **state)
{
  (void) state;
  Cone cone = make_cone ();
  RhyGrid grid;
  assert_true (rhy_grid_over ((RhyBounds) { -15, -15, 15, 15 }, 254, (RhyPoint) { 0, 0 }, &grid, NULL));
  g_autoptr (RhyPaint) paint = gradient (RHY_PAINT_LINEAR, RHY_EXTEND_REFLECT, black_to_white, 2);
  g_autoptr (RhyPath) outline = rhy_path_new ();
  const double k = 0.5522847498;        /* of a quarter circle; from memory */
  rhy_path_move_to (outline, 5, 0);
  rhy_path_cubic_to (outline, 5, 5 * k, 5 * k, 5, 0, 5);
  rhy_path_cubic_to (outline, -5 * k, 5, -5, 5 * k, -5, 0);
  rhy_path_cubic_to (outline, -5, -5 * k, -5 * k, -5, 0, -5);
  rhy_path_cubic_to (outline, 5 * k, -5, 5, -5 * k, 5, 0);
  rhy_path_close (outline);
  rhy_path_move_to (outline, 7, -14);   /* left open: a fill closes it */
  rhy_path_line_to (outline, 7.04, 14);
  rhy_path_line_to (outline, 7.3, 14);

  g_autoptr (RhyPaint) whole = rhy_paint_warped (paint, cone.map, &grid);
  g_autoptr (RhyPaint) inside = rhy_paint_warped_inside (paint, cone.map, &grid, outline, 0.0);
  guint seen = 0;
  for (guint y = 0; y < grid.height; y++)
    for (guint x = 0; x < grid.width; x++)
      {
        const RhyPoint p = rhy_affine_apply (whole->matrix, (RhyPoint) { x + 0.5, y + 0.5 });
        const double edge = 7.0 + 0.3 * (p.y + 14.0) / 28.0;
        const gboolean near = hypot (p.x, p.y) < 5.15 || (p.x > 6.85 && p.x < edge + 0.15 && fabs (p.y) < 14.15);
        if (!near)
          continue;
        assert_int_equal (pixel_at (inside, x, y), pixel_at (whole, x, y));
        seen++;
      }
  assert_true (seen > 9000);
  assert_int_equal (pixel_at (inside, 2, grid.height / 2), pixel_at (inside, 20, grid.height / 2));
  assert_int_equal (pixel_at (inside, 2, 2) >> 24, 255);
  clear_cone (&cone);
}

/* ---- limits ---- */

static void
test_too_many_dots (void **state)
{
  (void) state;
  GError *error = NULL;
  RhyGrid grid = { .width = 7 };
  assert_false (rhy_grid_over ((RhyBounds) { 0, 0, 1000, 1000 }, 2400, (RhyPoint) { 0, 0 }, &grid, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
  assert_int_equal (grid.width, 7);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_identity_is_exact),
    cmocka_unit_test (test_quarter_turns_are_exact),
    { "zone plate, 3.7 times", test_zone_plate, NULL, NULL, (void *) &shrinks[0] },
    { "zone plate, 2 times", test_zone_plate, NULL, NULL, (void *) &shrinks[1] },
    { "zone plate, 6 by 2.5 times", test_zone_plate, NULL, NULL, (void *) &shrinks[2] },
    { "zone plate, aslant", test_zone_plate, NULL, NULL, (void *) &shrinks[3] },
    { "zone plate, one halving", test_zone_plate, NULL, NULL, (void *) &shrinks[4] },
    { "zone plate, aslant and halved", test_zone_plate, NULL, NULL, (void *) &shrinks[5] },
    { "zone plate, two halvings", test_zone_plate, NULL, NULL, (void *) &shrinks[6] },
    cmocka_unit_test (test_one_colour_stays),
    cmocka_unit_test (test_tiles),
    cmocka_unit_test (test_pixels_stay_square),
    cmocka_unit_test (test_alpha_multiplies),
    cmocka_unit_test (test_cone_dots_show_their_place),
    cmocka_unit_test (test_off_the_wall),
    cmocka_unit_test (test_linear),
    cmocka_unit_test (test_hard_stops),
    cmocka_unit_test (test_radial),
    cmocka_unit_test (test_focal),
    cmocka_unit_test (test_many_stops),
    cmocka_unit_test (test_inside_is_the_same),
    cmocka_unit_test (test_too_many_dots),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
