/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/drawing.h>
#include <rhyton/free-area.h>

#include <cairo.h>

/* What is expected follows from: the bed's y is minus the slant (or height), its x is the arc's share of
 * the travel; a cylinder's band is a rectangle, and so is a cone's. */
#define MACHINE "[Machine]\nTravelPerTurn=200\nAxis=y\nMouth=plus\n"
#define JAWED   "WorkingDistance=8\nNozzleRadius=4\nHeadHalfWidth=25\nHeadHeight=30\n"

/* Twice a millionth of a millimetre's rounding along lines of 200. */
#define TOL_MM2 1e-5

typedef struct
{
  const char *name, *job;
  double      s0, s1, a0, a1;   /* box of the outline; mm and degrees */
  double      left_out;         /* mm times degrees */
  guint       n_outlines;
  double      tol_mm;           /* 0: a rounding; the head's reach is searched for, not calculated */
} Case;

/* 2 mm on a radius of 30 is 12/pi degrees. */
#define TWO_MM (360.0 / (30.0 * G_PI))

static const Case cases[] = {
  { "a cylinder is a rectangle", CYLINDER MACHINE, 0, 100, -180, 180, 0, 1, 0 },
  { "about the mark", CYLINDER MACHINE "[Artwork]\nAround=40\nAt=30\n", 0, 100, -140, 220, 0, 1, 0 },
  { "a cone in slants", CONE MACHINE, 0, 50, -180, 180, 0, 1, 0 },
  { "zone inside: a hole", CYLINDER MACHINE "[Zone a]\nKind=mark\nCentre=60\nWidth=20\nFrom=20\nTo=80\nMargin=2\n",
    0, 100, -180, 180, 64.0 * (20.0 + 2.0 * TWO_MM), 2, 0 },
  { "zone behind: a notch on either side", CYLINDER MACHINE "[Zone a]\nKind=seam\nCentre=180\nWidth=20\nFrom=20\nTo=80\nMargin=2\n",
    0, 100, -180, 180, 64.0 * (20.0 + 2.0 * TWO_MM), 1, 0 },
  { "zone at the rim", CYLINDER MACHINE "[Zone a]\nKind=rim\nFrom=90\nTo=100\nMargin=3\n", 0, 87, -180, 180, 0, 1, 0 },
  { "zone from end to end: two strips", CYLINDER MACHINE "[Zone a]\nKind=seam\nCentre=-90\nWidth=20\nFrom=0\nTo=100\n",
    0, 100, -180, 180, 2000, 2, 0 },
  { "two that overlap count once", CYLINDER MACHINE "[Zone a]\nKind=mark\nCentre=60\nWidth=20\nFrom=20\nTo=60\nMargin=0\n"
                                   "[Zone b]\nKind=mark\nCentre=70\nWidth=20\nFrom=40\nTo=80\nMargin=0\n",
    0, 100, -180, 180, 2 * 800 - 200, 2, 0 },
  /* The second copy is behind, 5 mm of it past 180 degrees. */
  { "as far as ink goes", CYLINDER MACHINE "[Artwork]\nRepeat=2\n", 0, 100, -180, 180 + 2.5 * TWO_MM, 0, 1, 0 },
  /* Jaws end at 40, the nozzle's radius is 4, and 1 is kept free: as the check says of the same mug. */
  { "beside the jaws, as far as the nozzle goes", CYLINDER MACHINE JAWED "[Zone jaws]\nKind=jaws\nFrom=-5\nTo=40\nStand=30\n[Artwork]\nAt=70\n",
    45, 100, -180, 180, 0, 1, 0.001 },
};

static double
area_of (const RhyPath *path,
         guint         *n_outlines)
{
  double twice = 0.0;
  RhyPathIter iter;
  RhySegment seg;
  *n_outlines = 0;
  rhy_path_iter_init (&iter, path);
  while (rhy_path_iter_next (&iter, &seg))
    {
      assert_int_equal (seg.verb, RHY_PATH_LINE);
      *n_outlines += seg.first ? 1 : 0;
      twice += seg.p[0].x * seg.p[1].y - seg.p[1].x * seg.p[0].y;
    }
  return 0.5 * twice;
}

static void
test_case (void **state)
{
  const Case *c = *state;
  g_autoptr (RhyPlan) plan = good_plan (c->job, block (10, 10));
  g_autoptr (RhyPath) path = rhy_plan_free_area (plan);
  guint n;
  const double degree = G_PI / 180.0;
  const double area = area_of (path, &n);
  const RhyBounds box = rhy_path_get_bounds (path);
  assert_near (box.min_x, c->s0, c->tol_mm + 1e-6);
  assert_near (box.max_x, c->s1, c->tol_mm + 1e-6);
  assert_near (box.min_y, c->a0 * degree, 1e-9);
  assert_near (box.max_y, c->a1 * degree, 1e-9);
  assert_near (area, ((c->s1 - c->s0) * (c->a1 - c->a0) - c->left_out) * degree, TOL_MM2 + 2.0 * G_PI * c->tol_mm);
  assert_int_equal (n, c->n_outlines);
}

/* A zone that covers everything leaves nothing, and that is no error. */
static void
test_nothing_free (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE "[Zone a]\nKind=mark\nWidth=360\nFrom=0\nTo=100\n", block (10, 10));
  g_autoptr (RhyPath) path = rhy_plan_free_area (plan);
  assert_int_equal (path->n_verbs, 0);
}

static GBytes *
bed (RhyPlan *plan, RhyFormat format, gboolean free_area)
{
  g_autoptr (GError) error = NULL;
  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  options.free_area = free_area;
  options.dpi = 254.0;
  GBytes *bytes = rhy_drawing_bed (plan, format, &options, NULL, &error);
  assert_no_error (error);
  return bytes;
}

static char *
group_of (GBytes *svg, const char *id)
{
  g_autofree char *text = g_strndup (g_bytes_get_data (svg, NULL), g_bytes_get_size (svg));
  g_autofree char *start = g_strdup_printf ("<g id=\"%s\"", id);
  const char *from = strstr (text, start);
  if (from == NULL)
    return NULL;
  /* All of ink's inner groups, up to its own end. */
  int depth = 0;
  for (const char *p = from;; p++)
    {
      depth += g_str_has_prefix (p, "<g ") ? 1 : g_str_has_prefix (p, "</g>") ? -1 : 0;
      if (depth == 0)
        return g_strndup (from, (gsize) (p - from));
    }
}

static void
test_own_group (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CONE MACHINE "[Hold]\nTilt=0\n[Artwork]\nAt=10\n", block (10, 10));
  g_autoptr (GBytes) without = bed (plan, RHY_FORMAT_SVG, FALSE);
  g_autoptr (GBytes) with = bed (plan, RHY_FORMAT_SVG, TRUE);
  g_autoptr (GBytes) again = bed (plan, RHY_FORMAT_SVG, TRUE);
  assert_true (g_bytes_equal (with, again));
  g_autofree char *none = group_of (without, "free-area");
  assert_null (none);
  g_autofree char *ink = group_of (without, "ink");
  g_autofree char *same_ink = group_of (with, "ink");
  assert_string_equal (ink, same_ink);
  g_autofree char *area = group_of (with, "free-area");
  assert_non_null (strstr (area, "<title>Where ink may be: hide before burning</title>"));
  /* Level, a cone's heights are what the machine travels: the mark at 10 of 40. */
  const char *d = strstr (area, " d=\"M");
  assert_non_null (d);
  double x0 = G_MAXDOUBLE, x1 = -G_MAXDOUBLE, y0 = G_MAXDOUBLE, y1 = -G_MAXDOUBLE;
  int corners = 0;
  double x = 0.0, y = 0.0;
  for (d += 4; *d != '"';)
    {
      const char command = *d++;
      char *end = NULL;
      if (command == 'Z')
        continue;
      if (command != 'V')
        x = g_ascii_strtod (d, &end), d = end;
      if (command != 'H')
        y = g_ascii_strtod (d + (*d == ',' || *d == ' '), &end), d = end;
      while (*d == ' ')
        d++;
      x0 = MIN (x0, x), x1 = MAX (x1, x), y0 = MIN (y0, y), y1 = MAX (y1, y);
      corners++;
    }
  assert_int_equal (corners, 4);
  assert_near (x0, -100.0, 1e-4);
  assert_near (x1, 100.0, 1e-4);
  assert_near (y0, -30.0, 1e-4);
  assert_near (y1, 10.0, 1e-4);
}

static void
test_key (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE "[Output]\nFreeArea=true\n", block (10, 10));
  g_autoptr (RhyPlan) bare = good_plan (CYLINDER MACHINE, block (10, 10));
  g_autoptr (GBytes) by_key = bed (plan, RHY_FORMAT_SVG, FALSE);
  g_autoptr (GBytes) by_option = bed (bare, RHY_FORMAT_SVG, TRUE);
  assert_true (g_bytes_equal (by_key, by_option));
}

typedef struct { const guint8 *data; gsize left; } Source;

static cairo_status_t
read_some (void *closure, unsigned char *to, unsigned int n)
{
  Source *s = closure;
  if (n > s->left)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (to, s->data, n);
  s->data += n;
  s->left -= n;
  return CAIRO_STATUS_SUCCESS;
}

/* 10 dots a mm: the page is the outline and half a line; its lower edge has ink that is green. */
static void
test_png (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE, block (10, 10));
  g_autoptr (GBytes) png = bed (plan, RHY_FORMAT_PNG, TRUE);
  Source source = { g_bytes_get_data (png, NULL), g_bytes_get_size (png) };
  cairo_surface_t *s = cairo_image_surface_create_from_png_stream (read_some, &source);
  assert_int_equal (cairo_image_surface_get_width (s), 2002);
  assert_int_equal (cairo_image_surface_get_height (s), 1002);
  const guint32 *row = (const guint32 *) (const void *) (cairo_image_surface_get_data (s) + 1000 * cairo_image_surface_get_stride (s));
  int green = 0;
  for (int x = 0; x < 2002; x++)
    if (((row[x] >> 8) & 0xff) > ((row[x] >> 16) & 0xff) + 60)
      green++;
  /* Dashes and gaps alike are 2 mm. */
  assert_in_range (green, 900, 1100);
  cairo_surface_destroy (s);
}

int
main (void)
{
  struct CMUnitTest tests[G_N_ELEMENTS (cases) + 4];
  gsize n = 0;
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    tests[n++] = (struct CMUnitTest) { cases[i].name, test_case, NULL, NULL, (void *) &cases[i] };
  tests[n++] = (struct CMUnitTest) cmocka_unit_test (test_nothing_free);
  tests[n++] = (struct CMUnitTest) cmocka_unit_test (test_own_group);
  tests[n++] = (struct CMUnitTest) cmocka_unit_test (test_key);
  tests[n++] = (struct CMUnitTest) cmocka_unit_test (test_png);
  return _cmocka_run_group_tests ("free-area", tests, n, NULL, NULL);
}
