/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <cairo.h>

#include <rhyton/resolve.h>

static const RhyColour BLACK = { 0, 0, 0, 1 };
static const RhyColour WHITE = { 1, 1, 1, 1 };

static RhyPath *
rectangle (double x0,
           double y0,
           double x1,
           double y1)
{
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, x0, y0);
  rhy_path_line_to (path, x1, y0);
  rhy_path_line_to (path, x1, y1);
  rhy_path_line_to (path, x0, y1);
  rhy_path_close (path);
  return path;
}

static RhyPath *
circle (double x,
        double y,
        double r)
{
  const double k = 4.0 / 3.0 * (sqrt (2.0) - 1.0) * r;
  RhyPath *p = rhy_path_new ();
  rhy_path_move_to (p, x + r, y);
  rhy_path_cubic_to (p, x + r, y + k, x + k, y + r, x, y + r);
  rhy_path_cubic_to (p, x - k, y + r, x - r, y + k, x - r, y);
  rhy_path_cubic_to (p, x - r, y - k, x - k, y - r, x, y - r);
  rhy_path_cubic_to (p, x + k, y - r, x + r, y - k, x + r, y);
  rhy_path_close (p);
  return p;
}

static void
add (RhyArtworkBuilder *builder,
     RhyPath           *path,
     RhyColour          colour)
{
  const RhyShape shape = { .path = path, .has_fill = TRUE, .fill = colour, .pen.matrix = RHY_AFFINE_IDENTITY };
  rhy_artwork_builder_add_shape (builder, &shape);
}

static RhyArtwork *
resolved (RhyArtworkBuilder *builder)
{
  GError *error = NULL;
  g_autoptr (RhyArtwork) artwork = rhy_artwork_builder_end (builder);
  RhyArtwork *result = rhy_artwork_resolved (artwork, NULL, NULL, &error);
  assert_no_error (error);
  for (gsize i = 0; i < rhy_artwork_get_n_shapes (result); i++)
    {
      const RhyShape *shape = rhy_artwork_get_shape (result, i);
      assert_true (shape->has_fill && !shape->has_stroke && shape->n_clips == 0);
    }
  return result;
}

/* Signed areas of rings add up as even-odd does when shells and holes turn
 * opposite ways; GEOS says nothing on turning, so each ring is measured alone and
 * counted by how many others it lies in. */
static gboolean
lies_in (RhyPoint      p,
         const GArray *ring)
{
  gboolean in = FALSE;
  for (guint i = 0, j = ring->len - 1; i < ring->len; j = i++)
    {
      const RhyPoint a = g_array_index (ring, RhyPoint, i);
      const RhyPoint b = g_array_index (ring, RhyPoint, j);
      if ((a.y > p.y) != (b.y > p.y) && p.x < (b.x - a.x) * (p.y - a.y) / (b.y - a.y) + a.x)
        in = !in;
    }
  return in;
}

static double
ink_area (RhyArtwork *artwork,
          guint      *n_rings)
{
  double total = 0.0;
  *n_rings = 0;
  for (gsize s = 0; s < rhy_artwork_get_n_shapes (artwork); s++)
    {
      g_autoptr (RhyPath) flat = rhy_path_flatten (rhy_artwork_get_shape (artwork, s)->path, 1e-5);
      g_autoptr (GPtrArray) rings = g_ptr_array_new_with_free_func ((GDestroyNotify) g_array_unref);
      const RhyPoint *p = flat->points;
      for (gsize i = 0; i < flat->n_verbs; i++)
        {
          if (flat->verbs[i] == RHY_PATH_MOVE)
            g_ptr_array_add (rings, g_array_new (FALSE, FALSE, sizeof (RhyPoint)));
          if (flat->verbs[i] != RHY_PATH_CLOSE)
            g_array_append_val (g_ptr_array_index (rings, rings->len - 1), *p++);
        }
      for (guint i = 0; i < rings->len; i++)
        {
          const GArray *ring = rings->pdata[i];
          double area = 0.0;
          for (guint a = 0, b = ring->len - 1; a < ring->len; b = a++)
            area += 0.5 * (g_array_index (ring, RhyPoint, b).x * g_array_index (ring, RhyPoint, a).y
                           - g_array_index (ring, RhyPoint, a).x * g_array_index (ring, RhyPoint, b).y);
          /* Rings may touch at corners: ask for the middle of an edge. */
          const RhyPoint p0 = g_array_index (ring, RhyPoint, 0);
          const RhyPoint p1 = g_array_index (ring, RhyPoint, 1);
          guint depth = 0;
          for (guint k = 0; k < rings->len; k++)
            depth += k != i && lies_in ((RhyPoint) { 0.5 * (p0.x + p1.x), 0.5 * (p0.y + p1.y) }, rings->pdata[k]);
          total += depth % 2 == 0 ? fabs (area) : -fabs (area);
          ++*n_rings;
        }
    }
  return total;
}

/* The four-cubic circle holds 1.00028 of the disc (its radius is up to 2.7e-4
 * over); and every edge may be a tolerance off. */
static double
slack (double disc_area,
       double perimeter)
{
  return 3e-4 * disc_area + 0.01 * perimeter;
}

static void
test_overlaps_are_united (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (0, 0, 10, 10), BLACK);
  add (builder, rectangle (5, 5, 15, 15), BLACK);
  g_autoptr (RhyArtwork) a = resolved (builder);
  guint rings;
  assert_near (ink_area (a, &rings), 175, 1e-9);        /* 100 + 100 - 25 */
  assert_int_equal (rings, 1);
}

static void
test_white_knocks_out_and_ink_comes_back (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (-100, -100, 100, 100), WHITE);       /* the page */
  add (builder, rectangle (-10, -10, 10, 10), BLACK);
  add (builder, circle (0, 0, 5), WHITE);
  add (builder, circle (0, 0, 2), (RhyColour) { .6, .2, .2, 1 });
  g_autoptr (RhyArtwork) a = resolved (builder);
  guint rings;
  assert_near (ink_area (a, &rings), 400 - 25 * G_PI + 4 * G_PI, slack (29 * G_PI, 80 + 14 * G_PI));
  assert_int_equal (rings, 3);
  assert_non_null (strstr (rhy_artwork_get_notes (a)[0], "2 light paints"));
}

static void
test_clips_cut_and_strokes_join_their_fill (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  const guint clip = rhy_artwork_builder_add_clip (builder, circle (0, 0, 5), RHY_FILL_NONZERO);
  RhyShape shape = { .path = rectangle (-10, -10, 10, 0), .has_fill = TRUE, .fill = BLACK, .pen.matrix = RHY_AFFINE_IDENTITY,
                     .clips = g_memdup2 (&clip, sizeof clip), .n_clips = 1 };
  rhy_artwork_builder_add_shape (builder, &shape);
  RhyShape framed = { .path = rectangle (20, 0, 30, 10), .has_fill = TRUE, .fill = BLACK, .has_stroke = TRUE, .stroke = BLACK,
                      .pen = { .width = 2, .miter_limit = 4, .matrix = RHY_AFFINE_IDENTITY } };
  rhy_artwork_builder_add_shape (builder, &framed);
  g_autoptr (RhyArtwork) a = resolved (builder);
  guint rings;
  assert_near (ink_area (a, &rings), 12.5 * G_PI + 144, slack (12.5 * G_PI, 5 * G_PI + 10 + 48));
  assert_int_equal (rings, 2);
}

/* A pentagram, drawn in one go: its inner pentagon is inside by non-zero winding, so
 * no line of it is an edge of ink; by even-odd it is a hole, or five triangles. */
static void
test_crossing_outlines_become_edges_of_ink (void **state)
{
  (void) state;
  const RhyFillRule rules[] = { RHY_FILL_NONZERO, RHY_FILL_EVENODD };
  for (int rule = 0; rule < 2; rule++)
    {
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      RhyPath *star = rhy_path_new ();
      for (int i = 0; i < 5; i++)
        {
          const double turn = 0.8 * G_PI * i;
          if (i == 0)
            rhy_path_move_to (star, 0, 10);
          else
            rhy_path_line_to (star, 10 * sin (turn), 10 * cos (turn));
        }
      rhy_path_close (star);
      RhyShape shape = { .path = star, .rule = rules[rule], .has_fill = TRUE, .fill = BLACK, .pen.matrix = RHY_AFFINE_IDENTITY };
      rhy_artwork_builder_add_shape (builder, &shape);
      g_autoptr (RhyArtwork) a = resolved (builder);
      /* Area of the star of circumradius R: 10 tan 18 / (3 - tan^2 18) R^2 (closed form);
       * of its inner pentagon, of circumradius R cos 72 / cos 36: 5/2 sin 72 times its square. */
      const double t = tan (G_PI / 10);
      const double whole = 1000 * t / (3 - t * t);
      const double inner_r = 10 * cos (0.4 * G_PI) / cos (0.2 * G_PI);
      const double inner = 2.5 * sin (0.4 * G_PI) * inner_r * inner_r;
      guint rings;
      assert_near (ink_area (a, &rings), rule == 0 ? whole : whole - inner, 0.05);
      assert_int_equal (rings, rule == 0 ? 1 : 5);
    }
}

static void
test_what_meets_nothing_stays_to_the_last_bit (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (-100, -100, 100, 100), WHITE);
  add (builder, circle (0.1234567890123, 0, 5), BLACK);
  add (builder, rectangle (20, 20, 30, 30.000123), BLACK);
  g_autoptr (RhyPath) want = circle (0.1234567890123, 0, 5);
  g_autoptr (RhyArtwork) a = resolved (builder);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 2);
  const RhyPath *got = rhy_artwork_get_shape (a, 0)->path;
  assert_int_equal (got->n_points, want->n_points);
  assert_memory_equal (got->points, want->points, want->n_points * sizeof (RhyPoint));
}

/* Two circles that cross: the edge stays within the tolerance of the one or the
 * other everywhere, and comes back as few cubics, not as chords. */
static void
test_edges_keep_the_tolerance_and_stay_curves (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, circle (0, 0, 30), BLACK);
  add (builder, circle (35, 0, 30), BLACK);
  g_autoptr (RhyArtwork) a = resolved (builder);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 1);
  const RhyPath *path = rhy_artwork_get_shape (a, 0)->path;
  assert_true (rhy_path_count_segments (path) <= 16);
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, 1e-4);
  for (gsize i = 0; i < flat->n_points; i++)
    {
      const double d0 = hypot (flat->points[i].x, flat->points[i].y) - 30;
      const double d1 = hypot (flat->points[i].x - 35, flat->points[i].y) - 30;
      /* A four-cubic circle is itself up to 2.73e-4 of its radius outside. */
      assert_true (MIN (fabs (d0), fabs (d1)) < 0.01 + 2.73e-4 * 30);
    }
}

static void
test_hairline_gaps_are_closed (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (0, 0, 10, 10), BLACK);
  add (builder, rectangle (10.0003, 0, 20, 10), BLACK);
  g_autoptr (RhyArtwork) a = resolved (builder);
  guint rings;
  assert_near (ink_area (a, &rings), 200, 0.01);
  assert_int_equal (rings, 1);
}

static void
test_faint_paint_and_nothing_at_all (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add (builder, rectangle (0, 0, 10, 10), (RhyColour) { 0, 0, 0, .4 });
  rhy_artwork_builder_add_picture (builder, (RhyPicture) { RHY_PICTURE_IMAGE, { 0, 0, 1, 1 }, FALSE });
  g_autoptr (RhyArtwork) a = resolved (builder);
  assert_int_equal (rhy_artwork_get_n_shapes (a), 0);
  assert_int_equal (rhy_artwork_get_n_pictures (a), 1);
  assert_non_null (strstr (rhy_artwork_get_notes (a)[0], "half opaque"));
}

/* ---- against a painter: cairo puts the layers on top of one another ---- */

enum { SIZE = 400 };

static void
fill_with_cairo (cairo_t       *cr,
                 const RhyPath *path,
                 RhyFillRule    rule,
                 double         grey)
{
  const RhyPoint *p = path->points;
  cairo_new_path (cr);
  for (gsize i = 0; i < path->n_verbs; i++)
    switch (path->verbs[i])
      {
      case RHY_PATH_MOVE:
        cairo_move_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_LINE:
        cairo_line_to (cr, p[0].x, p[0].y);
        p += 1;
        break;
      case RHY_PATH_CUBIC:
        cairo_curve_to (cr, p[0].x, p[0].y, p[1].x, p[1].y, p[2].x, p[2].y);
        p += 3;
        break;
      default:
        cairo_close_path (cr);
      }
  cairo_set_source_rgb (cr, grey, grey, grey);
  cairo_set_fill_rule (cr, rule == RHY_FILL_EVENODD ? CAIRO_FILL_RULE_EVEN_ODD : CAIRO_FILL_RULE_WINDING);
  cairo_fill (cr);
}

static cairo_t *
paper (void)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, SIZE, SIZE);
  cairo_t *cr = cairo_create (surface);
  cairo_surface_destroy (surface);
  cairo_set_source_rgb (cr, 1, 1, 1);
  cairo_paint (cr);
  cairo_set_antialias (cr, CAIRO_ANTIALIAS_NONE);
  return cr;
}

static void
test_random_heaps_match_a_painter (void **state)
{
  (void) state;
  for (guint32 seed = 1; seed <= 12; seed++)
    {
      g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      cairo_t *wanted = paper ();
      for (int i = 0; i < 60; i++)
        {
          const double x = g_rand_double_range (rand, 0, 380);
          const double y = g_rand_double_range (rand, 0, 380);
          RhyPath *path = g_rand_boolean (rand) ? circle (x, y, g_rand_double_range (rand, 5, 60))
                                                : rectangle (x, y, x + g_rand_double_range (rand, 3, 90), y + g_rand_double_range (rand, 3, 90));
          const gboolean white = g_rand_int_range (rand, 0, 3) == 0;
          fill_with_cairo (wanted, path, RHY_FILL_NONZERO, white ? 1 : 0);
          add (builder, path, white ? WHITE : BLACK);
        }
      g_autoptr (RhyArtwork) a = resolved (builder);
      cairo_t *got = paper ();
      for (gsize i = 0; i < rhy_artwork_get_n_shapes (a); i++)
        fill_with_cairo (got, rhy_artwork_get_shape (a, i)->path, rhy_artwork_get_shape (a, i)->rule, 0);

      guint differing = 0;
      cairo_surface_flush (cairo_get_target (wanted));
      cairo_surface_flush (cairo_get_target (got));
      for (int y = 0; y < SIZE; y++)
        for (int x = 0; x < SIZE; x++)
          {
            const gsize at = (gsize) y * (gsize) cairo_image_surface_get_stride (cairo_get_target (got)) + 4u * (gsize) x;
            differing += cairo_image_surface_get_data (cairo_get_target (got))[at]
                         != cairo_image_surface_get_data (cairo_get_target (wanted))[at];
          }
      cairo_destroy (wanted);
      cairo_destroy (got);
      /* Edges may be 0.01 px off: of some 6,000 pixels along edges about 60 may fall to
       * the other side. A face put in the wrong class is hundreds. */
      assert_true (differing < 100);
    }
}

/* By hand: from black to white the mean is 0.5, ink; from a light grey to white 0.9, bare. */
static void
test_gradient_counts_as_its_mean (void **state)
{
  (void) state;
  const struct { double first; gsize n; } cases[] = { { 0.0, 1 }, { 0.8, 0 } };
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      GError *error = NULL;
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      RhyPath *path = rhy_path_new ();
      rhy_path_move_to (path, 0, 0);
      rhy_path_line_to (path, 9, 0);
      rhy_path_line_to (path, 9, 9);
      rhy_path_close (path);
      const double f = cases[i].first;
      const double m = 0.5 * (1.0 + f);
      RhyStop *stops = g_new0 (RhyStop, 2);
      stops[0] = (RhyStop) { 0.0, { f, f, f, 1 } };
      stops[1] = (RhyStop) { 1.0, { 1, 1, 1, 1 } };
      rhy_artwork_builder_add_shape (builder, &(RhyShape) {
        .path = path, .has_fill = TRUE, .fill = { m, m, m, 1 }, .pen.matrix = RHY_AFFINE_IDENTITY,
        .fill_paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_LINEAR, .x1 = 9.0, .stops = stops, .n_stops = 2, .alpha = 1.0,
                                                   .matrix = RHY_AFFINE_IDENTITY }) });
      g_autoptr (RhyArtwork) source = rhy_artwork_builder_end (builder);
      g_autoptr (RhyArtwork) a = rhy_artwork_resolved (source, NULL, NULL, &error);
      assert_no_error (error);
      assert_int_equal (rhy_artwork_get_n_shapes (a), cases[i].n);
      assert_non_null (strstr (rhy_artwork_get_notes (a)[0], "1 gradient is taken by its mean colour"));
      if (cases[i].n > 0)
        assert_null (rhy_artwork_get_shape (a, 0)->fill_paint);
    }
}

static RhyArtwork *
heap_of_circles (int n)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (5);
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  for (int i = 0; i < n; i++)
    add (builder, circle (g_rand_double_range (rand, 0, 380), g_rand_double_range (rand, 0, 380), g_rand_double_range (rand, 20, 90)),
         i % 2 == 0 ? BLACK : WHITE);
  return rhy_artwork_builder_end (builder);
}

static gpointer
cancel_soon (gpointer cancellable)
{
  g_usleep (50000);
  g_cancellable_cancel (cancellable);
  return NULL;
}

typedef struct { RhyPoint p[3]; } Triangle;

static double
side_of (RhyPoint a,
         RhyPoint b,
         RhyPoint p)
{
  return (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
}

/* Sixty triangles at random across each other in one path: GEOS refused to unite the faces, some of them
 * slimmer than its grid. Every place well off all edges is ink where the triangles wind round it,
 * each counted by hand (1 or -1, by its turn), and nowhere else. */
static void
test_triangles_across_each_other (void **state)
{
  (void) state;
  enum { N = 60 };
  for (guint32 seed = 1; seed <= 3; seed++)
    {
      g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
      Triangle triangles[N];
      g_autoptr (RhyPath) path = rhy_path_new ();
      for (int i = 0; i < N; i++)
        {
          for (int k = 0; k < 3; k++)
            {
              const RhyPoint p = { g_rand_double_range (rand, 0, 60), g_rand_double_range (rand, 0, 60) };
              triangles[i].p[k] = p;
              if (k == 0)
                rhy_path_move_to (path, p.x, p.y);
              else
                rhy_path_line_to (path, p.x, p.y);
            }
          rhy_path_close (path);
        }
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      add (builder, rhy_path_ref (path), BLACK);
      g_autoptr (RhyArtwork) all = rhy_artwork_builder_end (builder);
      const RhyResolveOptions options = { .tolerance_mm = 0.003, .lightest_ink = 0.75, .seconds = 30.0 };
      GError *error = NULL;
      g_autoptr (RhyArtwork) result = rhy_artwork_resolved (all, &options, NULL, &error);
      assert_no_error (error);
      assert_int_equal (rhy_artwork_get_n_shapes (result), 1);

      g_autoptr (GPtrArray) rings = g_ptr_array_new_with_free_func ((GDestroyNotify) g_array_unref);
      g_autoptr (RhyPath) flat = rhy_path_flatten (rhy_artwork_get_shape (result, 0)->path, 1e-4);
      const RhyPoint *p = flat->points;
      for (gsize i = 0; i < flat->n_verbs; i++)
        {
          if (flat->verbs[i] == RHY_PATH_MOVE)
            g_ptr_array_add (rings, g_array_new (FALSE, FALSE, sizeof (RhyPoint)));
          if (flat->verbs[i] != RHY_PATH_CLOSE)
            g_array_append_val (g_ptr_array_index (rings, rings->len - 1), *p++);
        }
      guint asked = 0, inked = 0;
      for (int i = 0; i < 3000; i++)
        {
          const RhyPoint at = { g_rand_double_range (rand, 0, 60), g_rand_double_range (rand, 0, 60) };
          int winding = 0;
          double nearest = G_MAXDOUBLE;
          for (int t = 0; t < N; t++)
            {
              const RhyPoint *c = triangles[t].p;
              const double sides[] = { side_of (c[0], c[1], at), side_of (c[1], c[2], at), side_of (c[2], c[0], at) };
              winding += (sides[0] > 0 && sides[1] > 0 && sides[2] > 0) - (sides[0] < 0 && sides[1] < 0 && sides[2] < 0);
              for (int k = 0; k < 3; k++)
                nearest = MIN (nearest, fabs (sides[k]) / hypot (c[(k + 1) % 3].x - c[k].x, c[(k + 1) % 3].y - c[k].y));
            }
          if (nearest < 0.01)
            continue;
          gboolean in = FALSE;
          for (guint k = 0; k < rings->len; k++)
            in ^= lies_in (at, rings->pdata[k]);
          assert_int_equal (in, winding != 0);
          asked++;
          inked += in;
        }
      assert_true (asked > 1000 && inked > asked / 4 && inked < asked);
    }
}

/* Several seconds of work: it ends when it is told to, and says why. */
static void
test_a_heap_can_be_given_up (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) heap = heap_of_circles (3000);
  g_autoptr (GError) error = NULL;
  const RhyResolveOptions hasty = { .tolerance_mm = 0.001, .lightest_ink = 0.75, .seconds = 0.05 };
  gint64 start = g_get_monotonic_time ();
  assert_null (rhy_artwork_resolved (heap, &hasty, NULL, &error));
  assert_true (g_error_matches (error, RHY_ERROR, RHY_ERROR_LIMIT));
  assert_non_null (strstr (error->message, "more than the 0.05 seconds of processor time allowed"));
  assert_true (g_get_monotonic_time () - start < 3 * G_USEC_PER_SEC);
  g_clear_error (&error);

  const RhyResolveOptions fine = { .tolerance_mm = 0.001, .lightest_ink = 0.75, .seconds = 60.0 };
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  GThread *thread = g_thread_new ("cancel", cancel_soon, cancellable);
  start = g_get_monotonic_time ();
  assert_null (rhy_artwork_resolved (heap, &fine, cancellable, &error));
  assert_true (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED));
  assert_true (g_get_monotonic_time () - start < 3 * G_USEC_PER_SEC);
  g_thread_join (thread);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_overlaps_are_united),
    cmocka_unit_test (test_white_knocks_out_and_ink_comes_back),
    cmocka_unit_test (test_clips_cut_and_strokes_join_their_fill),
    cmocka_unit_test (test_crossing_outlines_become_edges_of_ink),
    cmocka_unit_test (test_what_meets_nothing_stays_to_the_last_bit),
    cmocka_unit_test (test_edges_keep_the_tolerance_and_stay_curves),
    cmocka_unit_test (test_hairline_gaps_are_closed),
    cmocka_unit_test (test_faint_paint_and_nothing_at_all),
    cmocka_unit_test (test_random_heaps_match_a_painter),
    cmocka_unit_test (test_gradient_counts_as_its_mean),
    cmocka_unit_test (test_triangles_across_each_other),
    cmocka_unit_test (test_a_heap_can_be_given_up),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
