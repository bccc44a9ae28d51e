/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "show-fixture.h"

#define W 480
#define H 360

typedef struct { guint8 px[W * H * 4]; } Shot;

static Shot *
shoot (RhyPlan         *plan,
       gboolean         through_machine,
       const RhyCamera *camera,
       guint            threads)
{
  GError *error = NULL;
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, through_machine, &error);
  assert_no_error (error);
  Shot *shot = g_new0 (Shot, 1);
  const RhySceneOptions options = { .threads = threads };
  rhy_scene_render (scene, camera, &options, shot->px, W, H, 4 * W);
  return shot;
}

static gboolean
is_ink (const Shot *shot,
        int         x,
        int         y)
{
  const guint8 *p = shot->px + 4 * (y * W + x);
  return p[0] < 60 && p[1] < 60 && p[2] < 60;
}

/* Share of ink in a part of the ink's box, parts in tenths from the upper left. */
static double
share (const Shot *shot,
       const int   box[4],
       double x0, double y0, double x1, double y1)
{
  int ink = 0, all = 0;
  const double w = box[2] - box[0] + 1;
  const double h = box[3] - box[1] + 1;
  for (int y = box[1]; y <= box[3]; y++)
    for (int x = box[0]; x <= box[2]; x++)
      if ((x - box[0]) / w >= x0 && (x + 1 - box[0]) / w <= x1 && (y - box[1]) / h >= y0 && (y + 1 - box[1]) / h <= y1)
        {
          all++;
          ink += is_ink (shot, x, y);
        }
  return (double) ink / MAX (all, 1);
}

/* Leaves out the ticks at rim and base by looking at the middle of the wall. */
static void
ink_box (const Shot *shot,
         int         box[4])
{
  box[0] = W;
  box[1] = H;
  box[2] = box[3] = -1;
  for (int y = H / 5; y < H * 4 / 5; y++)
    for (int x = 0; x < W; x++)
      if (is_ink (shot, x, y))
        {
          box[0] = MIN (box[0], x);
          box[1] = MIN (box[1], y);
          box[2] = MAX (box[2], x);
          box[3] = MAX (box[3], y);
        }
}

/* The F's own proportions (30 x 50: stem 8 wide, arms 8 high, the lower one 22
 * long from 20 to 28 up) tell what the picture must hold and where; on a mirror
 * image or any turn the checks fail. */
static void
test_an_f_reads_as_an_f (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = f_plan (0);
  const RhyCamera camera = { .lift_rad = 0.0, .zoom = 1.0 };
  g_autofree Shot *shot = shoot (plan, FALSE, &camera, 1);
  int box[4];
  ink_box (shot, box);
  assert_true (box[2] - box[0] > 30 && box[3] - box[1] > 60);
  assert_true (share (shot, box, 0.04, 0.04, 0.22, 0.96) > 0.98);    /* the stem */
  assert_true (share (shot, box, 0.04, 0.04, 0.96, 0.12) > 0.98);    /* the long arm */
  assert_true (share (shot, box, 0.30, 0.47, 0.68, 0.57) > 0.98);    /* the short arm */
  assert_true (share (shot, box, 0.32, 0.20, 0.98, 0.40) < 0.02);
  assert_true (share (shot, box, 0.78, 0.20, 0.98, 0.98) < 0.02);
  assert_true (share (shot, box, 0.32, 0.64, 0.98, 0.98) < 0.02);
}

/* The same F as a picture of 15 x 25 pixels with clear ground: it is laid on the wall, and
 * burnt by a machine, where the outlines were. */
static RhyArtwork *
pictured_f (int    finer,
            double alpha)
{
  const int across = 15 * finer;
  const double pixel = 2.0 / finer;
  guint32 *pixels = g_new0 (guint32, (gsize) across * 25 * (gsize) finer);
  for (int row = 0; row < 25 * finer; row++)
    for (int column = 0; column < across; column++)
      {
        const int x = column / finer;
        const int y = row / finer;
        if (x < 4 || y < 4 || (x < 11 && y >= 11 && y < 15))
          pixels[across * row + column] = 0xff000000u;
      }
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, 0, 0);
  rhy_path_line_to (path, 30, 0);
  rhy_path_line_to (path, 30, 50);
  rhy_path_line_to (path, 0, 50);
  rhy_path_close (path);
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &(RhyShape) {
    .path = path, .has_fill = TRUE, .fill = { 0, 0, 0, 0.5 }, .pen.matrix = RHY_AFFINE_IDENTITY,
    .fill_paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .raster = rhy_raster_new ((guint) across, 25 * (guint) finer, pixels), .alpha = alpha,
                                               .extend = RHY_EXTEND_PAD, .matrix = { pixel, 0, 0, -pixel, 0, 50 } }) });
  rhy_artwork_builder_set_size (builder, 30, 50, RHY_SIZE_PHYSICAL);
  return rhy_artwork_builder_end (builder);
}

static void
test_a_picture_reads_as_it_was_drawn (void **state)
{
  (void) state;
  for (int machine = 0; machine < 3; machine++)
    {
      g_autoptr (RhyArtwork) art = pictured_f (1, 1.0);
      g_autofree char *rest = g_strdup_printf ("[Machine]\nTravelPerTurn=200\nAxis=%s\nMouth=plus\n", machine == 1 ? "x" : "y");
      g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;150\nDiameters=62;88", "Width=30\nAt=80", rest);
      const RhyCamera camera = { .lift_rad = 0.0, .zoom = 1.0 };
      g_autofree Shot *shot = shoot (plan, machine > 0, &camera, 1);
      int box[4];
      ink_box (shot, box);
      assert_true (box[2] - box[0] > 30 && box[3] - box[1] > 60);
      assert_true (share (shot, box, 0.04, 0.04, 0.20, 0.96) > 0.98);
      assert_true (share (shot, box, 0.04, 0.04, 0.96, 0.12) > 0.98);
      assert_true (share (shot, box, 0.32, 0.20, 0.98, 0.40) < 0.02);
      assert_true (share (shot, box, 0.80, 0.20, 0.98, 0.98) < 0.02);
      assert_true (share (shot, box, 0.32, 0.66, 0.98, 0.98) < 0.02);
    }
}

/* A draft as fine as the picture shows the same, but for pixels that stand on an edge: the
 * F's outline is 160 mm long, some 350 pixels here. */
static int differing (const Shot *a, const Shot *b, gboolean mirrored);

static void
test_a_draft_shows_the_same (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyPlan) plan = f_plan (8);
  const RhyCamera camera = { .turn_rad = 40.0 * G_PI / 180.0, .lift_rad = 0.1, .zoom = 1.0 };
  g_autofree Shot *fine = shoot (plan, FALSE, &camera, 1);
  g_autofree Shot *draft = g_new0 (Shot, 1);
  g_autoptr (RhyScene) scene = rhy_scene_new_draft (plan, H / 150.0, &error);
  assert_no_error (error);
  const RhySceneOptions options = { .threads = 1 };
  rhy_scene_render (scene, &camera, &options, draft->px, W, H, 4 * W);
  int box[4], same[4];
  ink_box (fine, box);
  ink_box (draft, same);
  for (int i = 0; i < 4; i++)
    assert_true (ABS (box[i] - same[i]) <= 1);
  assert_true (differing (fine, draft, FALSE) < 350);
}

/* A photo has far more pixels than a view: F of 3000 x 5000, where the picture of 15 x 25 stood. */
static void
test_a_large_picture_reads_as_a_small_one (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) art = pictured_f (200, 1.0);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;150\nDiameters=62;88", "Width=30\nAt=80", "");
  const RhyCamera camera = { .lift_rad = 0.0, .zoom = 1.0 };
  g_autofree Shot *shot = shoot (plan, FALSE, &camera, 1);
  int box[4];
  ink_box (shot, box);
  assert_true (share (shot, box, 0.04, 0.04, 0.22, 0.96) > 0.98);
  assert_true (share (shot, box, 0.04, 0.04, 0.96, 0.12) > 0.98);
  assert_true (share (shot, box, 0.32, 0.20, 0.98, 0.40) < 0.02);
  assert_true (share (shot, box, 0.32, 0.64, 0.98, 0.98) < 0.02);
}

/* Black at a fifth over the metal leaves four fifths of its light, whatever it is. Source: Porter
 * and Duff 1984, "over". */
static void
test_a_faint_picture_is_faint (void **state)
{
  (void) state;
  const RhyCamera camera = { .lift_rad = 0.0, .zoom = 1.0 };
  Shot *shots[2];
  for (int i = 0; i < 2; i++)
    {
      g_autoptr (RhyArtwork) art = pictured_f (1, i == 0 ? 0.0 : 0.2);
      g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;150\nDiameters=62;88", "Width=60\nAt=80", "");
      shots[i] = shoot (plan, FALSE, &camera, 1);
    }
  /* In the F's stem: 22 mm left of the middle. */
  const gsize at = 4 * ((gsize) (H / 2) * W + W / 2 - 22 * 2);
  assert_near (shots[1]->px[at], 0.8 * shots[0]->px[at], 4.0);
  g_free (shots[0]);
  g_free (shots[1]);
}

/* Pixels whose ink differs; a bend within 0.01 mm (0.02 pixels) moves only a few
 * that stand on an edge. */
static int
differing (const Shot *a,
           const Shot *b,
           gboolean    mirrored)
{
  int n = 0;
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++)
      n += is_ink (a, x, y) != is_ink (b, mirrored ? W - 1 - x : x, y);
  return n;
}

/* Eight orientations of a machine, each right and wired backwards, artwork
 * straight on and turned: what that machine burns is what was laid. */
static void
test_every_machine_burns_what_was_laid (void **state)
{
  (void) state;
  for (int machine = 0; machine < 16; machine++)
    {
      g_autoptr (RhyPlan) plan = f_plan (machine);
      const RhyCamera camera = { .turn_rad = machine & 8 ? 0.6 : 0.0, .lift_rad = 0.15, .zoom = 1.0 };
      g_autofree Shot *laid = shoot (plan, FALSE, &camera, 1);
      g_autofree Shot *burnt = shoot (plan, TRUE, &camera, 1);
      int box[4];
      ink_box (laid, box);
      const int size = (box[2] - box[0]) * (box[3] - box[1]);
      const int same = differing (laid, burnt, FALSE);
      const int mirror = differing (laid, burnt, TRUE);
      if (same > size / 200 || mirror < size / 10)
        print_error ("machine %d: %d pixels differ, %d from the mirror image, of %d\n", machine, same, mirror, size);
      assert_true (same <= size / 200);
      assert_true (mirror >= size / 10);
    }
}

static void
test_threads_do_not_show (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = f_plan (8);
  const RhyCamera camera = { .turn_rad = 0.3, .lift_rad = 0.5, .zoom = 1.4, .pan_x = 0.1, .pan_y = -0.1 };
  g_autofree Shot *one = shoot (plan, FALSE, &camera, 1);
  const guint counts[] = { 2, 3, 7, 0 };
  for (gsize i = 0; i < G_N_ELEMENTS (counts); i++)
    {
      g_autofree Shot *many = shoot (plan, FALSE, &camera, counts[i]);
      assert_memory_equal (one->px, many->px, sizeof one->px);
    }
}

static const char *const vessels[] = {
  "Heights=0;150\nDiameters=62;88",
  "Heights=0;150\nDiameters=88;62",
  "Heights=0;115\nDiameters=66;66",
  "Wall=stepped\nHeights=0;40;90;130\nDiameters=50;80;84;60",
};

/* A round trip over the picture: what is picked at a pixel is shown at that pixel. */
static void
test_pick_and_project_agree (void **state)
{
  (void) state;
  const RhyCamera cameras[] = {
    { .turn_rad = 0.0, .lift_rad = 0.2, .zoom = 1.0 },
    { .turn_rad = 2.5, .lift_rad = -0.4, .zoom = 2.0, .pan_x = 0.2, .pan_y = 0.1 },
    { .turn_rad = -1.0, .lift_rad = 1.1, .zoom = 0.7 },
  };
  int seen = 0;
  g_autoptr (RhyArtwork) art = letter_f ();
  for (gsize v = 0; v < G_N_ELEMENTS (vessels); v++)
    for (gsize c = 0; c < G_N_ELEMENTS (cameras); c++)
      {
        GError *error = NULL;
        g_autoptr (RhyPlan) plan = plan_with (art, vessels[v], "Width=10", "");
        g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
        assert_no_error (error);
        for (int y = 5; y < H; y += 7)
          for (int x = 5; x < W; x += 7)
            {
              RhyWallPoint at;
              double px, py;
              if (!rhy_scene_pick (scene, &cameras[c], W, H, x, y, &at))
                continue;
              assert_true (rhy_wall_has (rhy_plan_get_wall (plan), at.s));
              assert_true (fabs (at.angle - cameras[c].turn_rad) <= G_PI + 1e-9);
              assert_true (rhy_scene_project (scene, &cameras[c], W, H, at, &px, &py));
              /* Single precision: 1e2 mm hold 1e-5 mm; at the silhouette its root. */
              assert_near (px, x, 0.02);
              assert_near (py, y, 0.02);
              seen++;
            }
      }
  assert_true (seen > 3000);
}

/* By hand: level sight, no pan: the front's middle is in the middle of the
 * picture; a point at +90 degrees lies to the right of it (angle grows to the right
 * for somebody who faces the vessel); the back is hidden. */
static void
test_where_points_are (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;100\nDiameters=80;80", "Width=10", "");
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  const RhyCamera camera = { .turn_rad = 0.5, .lift_rad = 0.0, .zoom = 1.0 };
  double x, y, x2, y2;
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 50, 0.5 }, &x, &y));
  assert_near (x, W / 2.0, 1e-6);
  assert_near (y, H / 2.0, 1e-6);
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 50, 1.5 }, &x2, &y2));
  assert_true (x2 > x + 50);
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 90, 0.5 }, &x2, &y2));
  assert_true (y2 < y - 30);
  x2 = y2 = -7.0;
  assert_false (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 50, 0.5 + G_PI }, &x2, &y2));
  assert_false (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 101, 0.5 }, &x2, &y2));
  assert_near (x2, -7.0, 0.0);
}

/* From above the mouth is open: the middle of the picture's upper part shows the
 * inside, which is no place on the wall. Level, the same pixel is outside. */
static void
test_the_mouth_is_open (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;100\nDiameters=90;90", "Width=10", "");
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  RhyWallPoint at = { -1, -1 };
  const RhyCamera above = { .lift_rad = 1.2, .zoom = 1.0 };
  const RhyCamera level = { .lift_rad = 0.0, .zoom = 1.0 };
  assert_false (rhy_scene_pick (scene, &above, W, H, W / 2, H / 3, &at));
  assert_near (at.s, -1, 0.0);
  assert_true (rhy_scene_pick (scene, &level, W, H, W / 2, H / 3, &at));
  assert_true (at.s > 50 && at.s < 100);
}

/* Along a slanted side, jagged edges would show two greys only. */
static void
test_sides_are_smooth (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = f_plan (0);
  const RhyCamera camera = { .lift_rad = 0.0, .zoom = 1.0 };
  g_autofree Shot *shot = shoot (plan, FALSE, &camera, 1);
  int between = 0, rows = 0;
  for (int y = H / 4; y < H * 3 / 4; y++)
    for (int x = 1; x < W / 2; x++)
      {
        const int left = shot->px[4 * (y * W + x - 1)];
        const int here = shot->px[4 * (y * W + x)];
        const int right = shot->px[4 * (y * W + x + 1)];
        if (here < left - 4)    /* the first pixel of the vessel */
          {
            rows++;
            between += here > right + 8;
            break;
          }
      }
  assert_int_equal (rows, H * 3 / 4 - H / 4);
  assert_true (between > rows / 2);
}

static RhyArtwork *
bar (double    width,
     double    height,
     gboolean  stroked)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, 0, 0);
  rhy_path_line_to (path, width, 0);
  if (!stroked)
    {
      rhy_path_line_to (path, width, height);
      rhy_path_line_to (path, 0, height);
      rhy_path_close (path);
    }
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &(RhyShape) {
    .path = path, .has_fill = !stroked, .has_stroke = stroked, .fill = { 0, 0, 0, 1 }, .stroke = { 0, 0, 0, 1 },
    .pen = { .width = height, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY } });
  return rhy_artwork_builder_end (builder);
}

static gboolean
ink_at (RhyScene  *scene,
        double     s,
        double     degrees)
{
  const RhyCamera camera = { .turn_rad = degrees * G_PI / 180.0 + 0.2, .lift_rad = 0.1, .zoom = 1.0 };
  g_autofree Shot *shot = g_new0 (Shot, 1);
  double x, y;
  rhy_scene_render (scene, &camera, NULL, shot->px, W, H, 4 * W);
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { s, degrees * G_PI / 180.0 }, &x, &y));
  return is_ink (shot, (int) x, (int) y);
}

/* 200 mm round a can of 66 mm (207.3 round): 100/33 rad = 173.6 degrees each way. */
static void
test_artwork_nearly_all_round (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = bar (200, 20, FALSE);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=200\nAt=60", "");
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  assert_no_error (error);
  const struct { double s, degrees; gboolean ink; } rows[] = {
    { 60, 0, TRUE }, { 60, 90, TRUE }, { 60, 171, TRUE }, { 60, 180, FALSE }, { 60, -171, TRUE }, { 60, -177, FALSE },
    { 68, 171, TRUE }, { 72, 0, FALSE }, { 48, 120, FALSE },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    assert_int_equal (ink_at (scene, rows[i].s, rows[i].degrees), rows[i].ink);
}

/* A line 6 mm wide about the anchor covers 6 mm of the wall. */
static void
test_strokes_have_their_width (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = bar (40, 6, TRUE);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=40\nAt=60\nStrokes=centreline", "");
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  assert_no_error (error);
  const RhyCamera camera = { .lift_rad = 0.0, .zoom = 1.0 };
  g_autofree Shot *shot = g_new0 (Shot, 1);
  double x, low, high;
  rhy_scene_render (scene, &camera, NULL, shot->px, W, H, 4 * W);
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 63, 0 }, &x, &high));
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { 57, 0 }, &x, &low));
  int n = 0;
  for (int y = H / 4; y < H * 3 / 4; y++)
    n += is_ink (shot, W / 2 + 3, y);
  assert_near (n, low - high, 1.5);
  assert_true (n > 8);
}

/* A job that is not ready still shows what is on the wall. */
static void
test_artwork_past_the_rim (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = bar (30, 40, FALSE);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=30\nAt=105", "");
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  assert_no_error (error);
  assert_true (ink_at (scene, 100, 0));
  assert_true (ink_at (scene, 113, 10));
  assert_false (ink_at (scene, 80, 0));
  assert_null (rhy_scene_new (plan, TRUE, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
  g_autoptr (RhyScene) shown = rhy_scene_new_burnt (plan, &error);
  assert_no_error (error);
  assert_non_null (shown);
}

static void
test_cameras_that_make_no_sense (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = f_plan (0);
  const RhyCamera cameras[] = {
    { NAN, NAN, NAN, NAN, NAN }, { INFINITY, 99, 0, 1e300, -1e300 }, { 1e300, -99, 1e300, -INFINITY, 3 },
    { 0, G_PI_2, 1, 0, 0 }, { 0, -G_PI_2, 1, 0, 0 },
  };
  GError *error = NULL;
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  for (gsize i = 0; i < G_N_ELEMENTS (cameras); i++)
    {
      g_autofree Shot *shot = g_new0 (Shot, 1);
      RhyWallPoint at;
      double x, y;
      rhy_scene_render (scene, &cameras[i], NULL, shot->px, W, H, 4 * W);
      for (gsize k = 3; k < sizeof shot->px; k += 4)
        assert_int_equal (shot->px[k], 255);
      rhy_scene_pick (scene, &cameras[i], W, H, 1e300, NAN, &at);
      rhy_scene_project (scene, &cameras[i], W, H, (RhyWallPoint) { 50, 1 }, &x, &y);
    }
}

static void
test_stretch_and_png (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = letter_f ();
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;150\nDiameters=50;100", "Width=40\nLay=ringed", "");
  g_autoptr (RhyScene) scene = rhy_scene_new (plan, FALSE, &error);
  assert_no_error (error);
  const RhyCamera camera = { .lift_rad = 0.1, .zoom = 1.0 };
  const RhySceneOptions options = { .stretch = TRUE };
  g_autofree Shot *shot = g_new0 (Shot, 1);
  rhy_scene_render (scene, &camera, &options, shot->px, W, H, 4 * W);

  /* Ringed on a mouth that is wider: too wide above the anchor (orange: red well
   * over blue), too narrow below it (blue). Beside the stem, where no ink is. */
  double x, y;
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { rhy_plan_get_numbers (plan)->anchor.s + 12, 0.15 }, &x, &y));
  const guint8 *p = shot->px + 4 * ((int) y * W + (int) x);
  assert_true (p[2] > p[0] + 20);
  assert_true (rhy_scene_project (scene, &camera, W, H, (RhyWallPoint) { rhy_plan_get_numbers (plan)->anchor.s - 22, 0.15 }, &x, &y));
  p = shot->px + 4 * ((int) y * W + (int) x);
  assert_true (p[0] > p[2] + 20);

  g_autoptr (GBytes) png = rhy_scene_to_png (scene, &camera, &options, 64, 48, &error);
  assert_no_error (error);
  assert_memory_equal (g_bytes_get_data (png, NULL), "\x89PNG\r\n\x1a\n", 8);
  assert_null (rhy_scene_to_png (scene, &camera, NULL, 0, 48, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

/* Of a machine whose turn is reversed too. */
static void
test_what_is_burnt_is_shown (void **state)
{
  (void) state;
  GError *error = NULL;
  const RhyCamera camera = { .turn_rad = 40.0 / 180.0 * G_PI, .lift_rad = 0.1, .zoom = 1.0 };
  g_autoptr (RhyPlan) plan = f_plan (5);
  g_autoptr (RhyScene) burnt = rhy_scene_new (plan, TRUE, &error);
  g_autoptr (RhyScene) shown = rhy_scene_new_burnt (plan, &error);
  assert_no_error (error);
  g_autofree Shot *a = g_new0 (Shot, 1);
  g_autofree Shot *b = g_new0 (Shot, 1);
  rhy_scene_render (burnt, &camera, NULL, a->px, W, H, 4 * W);
  rhy_scene_render (shown, &camera, NULL, b->px, W, H, 4 * W);
  assert_memory_equal (a->px, b->px, sizeof a->px);
}

/* A hand drags artwork round and up and down, small and large, under any camera: what is painted over
 * the picture before is, to the byte, what is painted from nothing. */
static void
test_what_is_painted_after_is_the_same (void **state)
{
  (void) state;
  static const RhyCamera cameras[] = {
    { .lift_rad = 0.2, .zoom = 1.0 },
    { .turn_rad = 2.0, .lift_rad = 1.3, .zoom = 0.7 },
    { .turn_rad = -0.9, .lift_rad = -0.6, .zoom = 3.0, .pan_x = 0.2, .pan_y = -0.1 },
  };
  static const char *const walls[] = { "Heights=0;150\nDiameters=50;100", "Heights=0;40;90;120\nDiameters=90;95;40;60\nWall=smooth" };
  static const char *const places[] = { "Width=40", "Width=40\nAround=33", "Width=12\nAround=170\nAt=50", "Width=60\nAround=-120\nLay=ringed" };
  const RhySceneOptions options = { .dark = TRUE };
  g_autofree Shot *going = g_new0 (Shot, 1);
  g_autofree Shot *fresh = g_new0 (Shot, 1);

  for (gsize c = 0; c < G_N_ELEMENTS (cameras); c++)
    {
      g_autoptr (RhyScene) before = NULL;
      for (gsize i = 0; i < G_N_ELEMENTS (walls) * G_N_ELEMENTS (places); i++)
        {
          GError *error = NULL;
          g_autoptr (RhyArtwork) art = letter_f ();
          g_autoptr (RhyPlan) plan = plan_with (art, walls[i / G_N_ELEMENTS (places)], places[i % G_N_ELEMENTS (places)], "");
          RhyScene *scene = i % 2 == 0 ? rhy_scene_new (plan, FALSE, &error) : rhy_scene_new_draft (plan, 2.0, &error);
          assert_no_error (error);
          rhy_scene_render_after (scene, before, &cameras[c], &options, going->px, W, H, 4 * W);
          rhy_scene_render (scene, &cameras[c], &options, fresh->px, W, H, 4 * W);
          assert_memory_equal (going->px, fresh->px, sizeof fresh->px);
          g_clear_pointer (&before, rhy_scene_unref);
          before = scene;
        }
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_an_f_reads_as_an_f),
    cmocka_unit_test (test_a_picture_reads_as_it_was_drawn),
    cmocka_unit_test (test_a_large_picture_reads_as_a_small_one),
    cmocka_unit_test (test_a_faint_picture_is_faint),
    cmocka_unit_test (test_a_draft_shows_the_same),
    cmocka_unit_test (test_every_machine_burns_what_was_laid),
    cmocka_unit_test (test_threads_do_not_show),
    cmocka_unit_test (test_what_is_painted_after_is_the_same),
    cmocka_unit_test (test_pick_and_project_agree),
    cmocka_unit_test (test_where_points_are),
    cmocka_unit_test (test_the_mouth_is_open),
    cmocka_unit_test (test_sides_are_smooth),
    cmocka_unit_test (test_artwork_nearly_all_round),
    cmocka_unit_test (test_strokes_have_their_width),
    cmocka_unit_test (test_artwork_past_the_rim),
    cmocka_unit_test (test_what_is_burnt_is_shown),
    cmocka_unit_test (test_cameras_that_make_no_sense),
    cmocka_unit_test (test_stretch_and_png),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
