/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <cairo.h>
#include <rhyton/stand.h>

/* A mug of radius 30, its handle 30 out behind, under a nozzle that ends 38 over the axis. */
#define MUG                                                                                              \
  CYLINDER "[Zone grip]\nKind=handle\nCentre=180\nWidth=20\nFrom=20\nTo=80\nStand=30\nMargin=2\n"        \
           "[Machine]\nTravelPerTurn=360\nAxisHeight=80\nWorkingDistance=8\nNozzleRadius=4\nHeadHalfWidth=25\nHeadHeight=35\n"

typedef struct { const guint8 *data; gsize left; } Reader;

static cairo_status_t
take (void *closure, unsigned char *data, unsigned int length)
{
  Reader *r = closure;
  if (length > r->left)
    return CAIRO_STATUS_READ_ERROR;
  memcpy (data, r->data, length);
  r->data += length;
  r->left -= length;
  return CAIRO_STATUS_SUCCESS;
}

typedef struct { int red, amber, blue; } Count;

/* The colours that parts are painted in (stand.c), within a rounding: 0.78 0.19 0.15 and so on. */
static Count
count (cairo_surface_t *surface)
{
  Count n = { 0, 0, 0 };
  cairo_surface_flush (surface);
  for (int y = 0; y < cairo_image_surface_get_height (surface); y++)
    {
      const guint8 *row = cairo_image_surface_get_data (surface) + y * cairo_image_surface_get_stride (surface);
      for (int x = 0; x < cairo_image_surface_get_width (surface); x++)
        {
          const guint8 *p = row + 4 * x;        /* blue, green, red */
          n.red += abs (p[2] - 199) < 3 && abs (p[1] - 48) < 3 && abs (p[0] - 38) < 3;
          n.amber += abs (p[2] - 217) < 3 && abs (p[1] - 148) < 3 && abs (p[0] - 33) < 3;
          n.blue += abs (p[2] - 56) < 3 && abs (p[1] - 115) < 3 && abs (p[0] - 143) < 3;
        }
    }
  return n;
}

static Count
colours (RhyPlan *plan, RhyBedPoint head)
{
  GError *error = NULL;
  g_autoptr (GBytes) png = rhy_stand_to_png (plan, head, 640, 480, &error);
  assert_no_error (error);
  Reader reader = { 0 };
  reader.data = g_bytes_get_data (png, &reader.left);
  cairo_surface_t *surface = cairo_image_surface_create_from_png_stream (take, &reader);
  assert_int_equal (cairo_surface_status (surface), CAIRO_STATUS_SUCCESS);
  assert_int_equal (cairo_image_surface_get_width (surface), 640);
  assert_int_equal (cairo_image_surface_get_height (surface), 480);
  const Count n = count (surface);
  cairo_surface_destroy (surface);
  return n;
}

/* 360 mm a turn: a mm is a degree. On top at 0 nothing is near; at 159 the handle's side is 38 sin 11 - 4
 * = 3.2 from the nozzle, its margin 2; at 162, 38 sin 8 - 4 = 1.3; at 175 they meet. */
static void
test_what_meets_is_red (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (MUG, block (20, 20));
  const Count free_of_it = colours (plan, (RhyBedPoint) { 0, 0 });
  const Count apart = colours (plan, (RhyBedPoint) { 0, 159 });
  const Count near = colours (plan, (RhyBedPoint) { 0, 162 });
  const Count meets = colours (plan, (RhyBedPoint) { 0, 175 });
  assert_true (free_of_it.blue > 1000 && free_of_it.red < 200 && free_of_it.amber < 200);
  assert_true (apart.blue > 1000 && apart.amber < 200);
  assert_true (near.blue > 1000 && near.amber > 1000 && near.red < 200);
  assert_true (meets.blue == 0 && meets.red > 2000);
}

static Count
side_colours (RhyPlan *plan, RhyWallPoint at)
{
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 280, 210);
  cairo_t *cr = cairo_create (surface);
  rhy_stand_draw_side (plan, at, NULL, cr, 280.0, 210.0);
  cairo_destroy (cr);
  const Count n = count (surface);
  cairo_surface_destroy (surface);
  return n;
}

/* The same angles, as the window shows them: the side alone. */
static void
test_the_side_alone (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (MUG, block (20, 20));
  const double s = rhy_plan_get_numbers (plan)->anchor.s;
  const Count apart = side_colours (plan, (RhyWallPoint) { s, 0.0 });
  const Count meets = side_colours (plan, (RhyWallPoint) { s, 175.0 / 180.0 * G_PI });
  assert_true (apart.blue > 300 && apart.red < 100);
  assert_true (meets.blue == 0 && meets.red > 300);
}

typedef struct { int top, tip, width; } Extent;

/* The topmost row with red in it (-1: none), the nozzle's lowest and how wide the head's body is. */
static Extent
side_extent (RhyPlan *plan)
{
  const RhyWallPoint at = { rhy_plan_get_numbers (plan)->anchor.s, 0.0 };
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 600, 600);
  cairo_t *cr = cairo_create (surface);
  Extent e = { -1, -1, 0 };
  rhy_stand_draw_side (plan, at, NULL, cr, 600.0, 600.0);
  cairo_destroy (cr);
  cairo_surface_flush (surface);
  for (int y = 0; y < 600; y++)
    {
      const guint8 *row = cairo_image_surface_get_data (surface) + y * cairo_image_surface_get_stride (surface);
      int blue = 0;
      for (int x = 0; x < 600; x++)
        {
          const guint8 *p = row + 4 * x;
          blue += abs (p[2] - 56) < 3 && abs (p[1] - 115) < 3 && abs (p[0] - 143) < 3;
          if (e.top < 0 && abs (p[2] - 199) < 6 && abs (p[1] - 48) < 6 && abs (p[0] - 38) < 6)
            e.top = y;
        }
      e.tip = blue > 0 ? y : e.tip;
      e.width = MAX (e.width, blue);
    }
  cairo_surface_destroy (surface);
  return e;
}

/* With the beam at the front nothing meets. A drawing that goes round to the handle has its place ringed: 30 + 30 over
 * the axis, and the nozzle ends 38 over it. The head's body, 50 wide, tells the scale; the ring is 5 and half a line in radius. */
static void
test_worst_place_is_ringed (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) narrow = good_plan (MUG, block (20, 20));
  g_autoptr (RhyPlan) wide = good_plan (MUG, block (180, 20));
  const Extent clear = side_extent (narrow);
  const Extent meets = side_extent (wide);
  const double scale = meets.width / 50.0;
  assert_int_equal (clear.top, -1);
  assert_true (meets.top > 0 && scale > 1.0);
  assert_near (meets.tip - meets.top, (60.0 - 38.0) * scale + 6.0, 3.0);
}

static char *
say_metres (double mm, gpointer data)
{
  return g_strdup_printf ("%.3f %s", mm / 1000.0, (const char *) data);
}

/* The distances are those of the drawing above: 8 over the wall at the front; at 175 degrees the handle, 60 out, is
 * 22 higher than the tip at 38. */
static void
test_in_words (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (MUG, block (20, 20));
  const double s = rhy_plan_get_numbers (plan)->anchor.s;
  g_autofree char *trouble = NULL;
  g_autofree char *front = rhy_stand_describe (plan, (RhyWallPoint) { s, 0.0 }, NULL, &trouble);
  assert_non_null (strstr (front, "0.0 degrees on top\n"));
  assert_non_null (strstr (front, "Head to vessel: 8.0 mm free"));
  assert_string_equal (trouble, "");
  g_clear_pointer (&trouble, g_free);
  const RhyStandLook look = { .say = say_metres, .data = "m" };
  g_autofree char *behind = rhy_stand_describe (plan, (RhyWallPoint) { s, 175.0 / 180.0 * G_PI }, &look, &trouble);
  assert_null (strstr (behind, "handle"));
  assert_non_null (strstr (trouble, "Head to handle: meets, by 0.022 m"));
}

static void
test_refusals (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autoptr (RhyPlan) plan = good_plan (MUG, block (20, 20));
  assert_null (rhy_stand_to_png (plan, (RhyBedPoint) { 200, 0 }, 640, 480, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
  assert_null (rhy_stand_to_png (plan, (RhyBedPoint) { 0, 0 }, 10, 480, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

/* Without a machine there is no head to draw, and the picture says so rather than inventing one. */
static void
test_no_machine (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER, block (20, 20));
  const Count n = colours (plan, (RhyBedPoint) { 0, 0 });
  assert_int_equal (n.blue, 0);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_what_meets_is_red),
    cmocka_unit_test (test_the_side_alone),
    cmocka_unit_test (test_worst_place_is_ringed),
    cmocka_unit_test (test_in_words),
    cmocka_unit_test (test_refusals),
    cmocka_unit_test (test_no_machine),
  };
  return cmocka_run_group_tests_name ("stand", tests, NULL, NULL);
}
