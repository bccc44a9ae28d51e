/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/holds.h>
#include <rhyton/machines.h>
#include <rhyton/verdict.h>

#include <glib/gstdio.h>

/* A mug of radius 30 and height 100 (CYLINDER), its handle behind, 30 out of the wall; the axis 80 over the
 * bed; the nozzle, of radius 4, ends 38 over the axis, the body 68. */
#define HEAD    "WorkingDistance=8\nNozzleRadius=4\nHeadHalfWidth=25\nHeadHeight=30\n"
#define MACHINE "[Machine]\nTravelPerTurn=auto\n"
#define HANDLE  "[Zone handle]\nKind=handle\nCentre=180\nWidth=20\nFrom=20\nTo=80\nStand=30\nMargin=2\n"

/* A cup that opens by atan (7/24) = 16.2602 degrees: slant 100. */
#define CUP "[Vessel]\nHeights=0;96\nDiameters=60;116\n"

typedef struct
{
  const char *name, *job;
  double      w, h;
  const char *code;             /* NULL: nothing at all is found */
  RhyLevel    level;
  const char *part;             /* of the message */
  double      height_mm, angle_deg;     /* NAN: not looked at */
} Case;

static const Case cases[] = {
  { "a mug, clear", CYLINDER MACHINE HEAD "AxisHeight=80\n" HANDLE, 60, 20, NULL, 0, NULL, NAN, NAN },
  /* Radius 60 below an axis 50 high. */
  { "handle in the bed", CYLINDER MACHINE HEAD "AxisHeight=50\n" HANDLE, 60, 20, "handle-hits-bed", RHY_LEVEL_STOP,
    "reaches 10.0 mm into the bed as it turns. Raise the rotary by 12.0 mm.", NAN, 0 },
  { "handle near the bed", CYLINDER MACHINE HEAD "AxisHeight=61.5\n" HANDLE, 60, 20, "handle-hits-bed", RHY_LEVEL_CARE,
    "passes the bed by 1.5 mm; it should keep 2.0 mm. Raise the rotary by 0.5 mm.", NAN, 0 },
  { "handle in the bed by more than a tenth", CYLINDER MACHINE HEAD "AxisHeight=49.96\n" HANDLE, 60, 20, "handle-hits-bed", RHY_LEVEL_STOP,
    "Raise the rotary by 12.1 mm.", NAN, 0 },
  { "raised as told", CYLINDER MACHINE HEAD "AxisHeight=62.06\n" HANDLE, 60, 20, NULL, 0, NULL, NAN, NAN },
  { "handle at its margin", CYLINDER MACHINE HEAD "AxisHeight=62\n" HANDLE, 60, 20, NULL, 0, NULL, NAN, NAN },
  { "vessel in the bed", CYLINDER MACHINE HEAD "AxisHeight=28\n", 60, 20, "work-hits-bed", RHY_LEVEL_STOP, "vessel reaches 2.0 mm into the bed", NAN, NAN },
  /* Brought to the top by a drawing that reaches round to 170 degrees on a wall of 30: its top is
   * 60 - 38 into the nozzle. */
  { "head in the handle", CYLINDER MACHINE HEAD "[Artwork]\nAround=80\n" HANDLE, 94.2478, 20, "head-hits-handle", RHY_LEVEL_STOP,
    "22.0 mm too low", NAN, 170 },
  /* Jaws 40 up and 30 out where the ink begins at 40. */
  { "head in the jaws", CYLINDER MACHINE HEAD "[Zone jaws]\nKind=jaws\nFrom=-5\nTo=40\nStand=30\n", 60, 20, "head-hits-jaws", RHY_LEVEL_STOP,
    "22.0 mm too low. Only the heights 45.0 to 100.0 mm are in reach", NAN, NAN },
  { "head in the machine's jaws", CYLINDER MACHINE HEAD "JawDepth=40\nJawStand=30\n", 60, 20, "head-hits-jaws", RHY_LEVEL_STOP, "jaws \"chuck\"", 40, NAN },
  { "tailstock near the head", CYLINDER MACHINE HEAD "[Zone tail]\nKind=tailstock\nFrom=65\nTo=120\nStand=30\nMargin=2\n", 60, 20, "head-hits-jaws", RHY_LEVEL_CARE,
    "passes the tailstock \"tail\" by 1.0 mm at height 65.0 mm; it should keep 2.0 mm", 65, NAN },
  { "a lip that stands out", CYLINDER MACHINE HEAD "[Zone lip]\nKind=rim\nFrom=62\nTo=100\nStand=9\n", 60, 20, "head-hits-zone", RHY_LEVEL_STOP,
    "1.0 mm too low", NAN, NAN },
  { "head not known", CYLINDER MACHINE HANDLE, 60, 20, "clearance-unknown", RHY_LEVEL_CARE, "WorkingDistance, NozzleRadius and HeadHalfWidth", NAN, NAN },
  { "head wider than the wall", CYLINDER MACHINE "WorkingDistance=8\nNozzleRadius=4\nHeadHalfWidth=60\nHeadHeight=30\n", 60, 20, "head-wide", RHY_LEVEL_NOTE,
    "120.0 mm wide, the wall 100.0 mm high", NAN, NAN },
  /* Untilted, the rim of 58 stands 14 over the mark of 44, 8 of them below the tip. */
  { "head in the vessel", CUP MACHINE HEAD "DepthOfFocus=30\n[Artwork]\nAt=48\n[Hold]\nTilt=0\n", 20, 99, "head-hits-vessel", RHY_LEVEL_STOP, "into the vessel itself", NAN, NAN },
  { "way in over jaws", CYLINDER MACHINE HEAD "JawDepth=10\nJawStand=12\n", 60, 20, "way-in", RHY_LEVEL_NOTE, "from beyond the mouth", NAN, NAN },
  { "no way in", CYLINDER MACHINE HEAD "JawDepth=10\nJawStand=12\n[Zone lip]\nKind=rim\nFrom=95\nTo=100\nStand=10\n", 60, 20, "way-in-blocked", RHY_LEVEL_CARE,
    "Raise it by 3.0 mm first", NAN, NAN },
  /* Axis 80, radius 30, 8 of distance: 118. */
  { "riser", CYLINDER MACHINE HEAD "AxisHeight=80\nNozzleTop=100\n", 60, 20, "riser", RHY_LEVEL_CARE, "18.0 mm higher over the bed than it can", NAN, NAN },
  { "riser of more than a tenth", CYLINDER MACHINE HEAD "AxisHeight=80.04\nNozzleTop=100\n", 60, 20, "riser", RHY_LEVEL_CARE, "18.1 mm higher", NAN, NAN },
  { "high enough", CYLINDER MACHINE HEAD "AxisHeight=80\nNozzleTop=118\n", 60, 20, NULL, 0, NULL, NAN, NAN },

  { "zone off the vessel", CYLINDER MACHINE "[Zone lip]\nKind=rim\nFrom=120\nTo=130\n", 60, 20, "zone-off-vessel", RHY_LEVEL_CARE,
    "from 120.0 to 130.0 mm; the wall goes from 0.0 to 100.0 mm", NAN, NAN },
  { "handle off the vessel, over the bed", CYLINDER MACHINE HEAD "AxisHeight=40\n[Zone h]\nKind=handle\nCentre=180\nWidth=20\nFrom=120\nTo=130\nStand=30\n", 60, 20, "zone-off-vessel",
    RHY_LEVEL_CARE, "so it has no effect", NAN, NAN },
  { "jaws below the base", CYLINDER MACHINE "[Zone jaws]\nKind=jaws\nFrom=-20\nTo=0\n", 60, 20, NULL, 0, NULL, NAN, NAN },
  { "jaws on the handle", CYLINDER MACHINE HEAD HANDLE "[Zone jaws]\nKind=jaws\nFrom=-5\nTo=25\nStand=4\n", 60, 20, "zones-overlap", RHY_LEVEL_CARE,
    "They cannot both be there", NAN, NAN },
  { "two seams in one place", CYLINDER MACHINE "[Zone a]\nKind=seam\nCentre=180\nWidth=4\n[Zone b]\nKind=seam\nCentre=183\nWidth=4\n", 60, 20, "zones-overlap",
    RHY_LEVEL_NOTE, "Both count", NAN, NAN },

  /* Best 16.26, the machine dips to 10: 6.26 short. By the mouth it would have to go up; left at 0 the wall
   * rises by 7/24: the nozzle's corner, 4 ahead and 8 up, is 1 off it at 48 - 4 + (8 - 25/24) 24/7 = 67.86. */
  { "tilt beyond, other end too", CUP MACHINE HEAD "TiltMin=0\nTiltMax=10\n", 20, 10, "tilt-out-of-range", RHY_LEVEL_CARE,
    "Prop the whole rotary by the other 6.26 degrees and set [Machine] TiltMax=16.26. Held by the mouth it would be 16.26 degrees beyond, with 67.9 mm of height in reach, 28.1 mm less.", NAN, NAN },
  { "tilt beyond, other end can", CUP MACHINE HEAD "JawDepth=10\nJawStand=6\nTiltMin=-20\nTiltMax=10\n", 20, 10, "tilt-out-of-range", RHY_LEVEL_CARE,
    "Held by the mouth the chuck can do it", NAN, NAN },
  /* 0.5 of wobble on a wall that is level, of 0.4. */
  { "runout", CYLINDER MACHINE "DepthOfFocus=0.4\n[Hold]\nRunout=0.5\n", 60, 20, "out-of-focus", RHY_LEVEL_STOP, "0.50 mm over the ink at a tilt of 0.00 degrees, 0.50 mm of it runout", NAN, NAN },
  { "runout within", CYLINDER MACHINE "DepthOfFocus=0.6\n[Hold]\nRunout=0.5\n", 60, 20, NULL, 0, NULL, NAN, NAN },
  { "defocus", CYLINDER MACHINE "DepthOfFocus=1\n[Hold]\nDefocus=3\nRunout=0.2\n", 60, 20, "defocused", RHY_LEVEL_NOTE, "3.00 mm above its focus, which makes it 2.90 to 3.10 mm over the ink", NAN, NAN },

  /* 30 + 10 on the slope, 4 + 10 across: 20.5 degrees; 42.5 wants 40 sin 42.5 = 27.02 across: 34.0. */
  { "seat too flat", CYLINDER MACHINE "RollerRadius=10\nRollerGap=8\n[Hold]\nDrive=rollers\n", 60, 20, "seat-angle", RHY_LEVEL_CARE, "20.5 degrees from straight down; 25 to 60 hold it well. Set RollerGap to about 34.0 mm", 50, NAN },
  { "falls through", CYLINDER MACHINE "RollerRadius=10\nRollerGap=70\n[Hold]\nDrive=rollers\n", 60, 20, "seat-angle", RHY_LEVEL_STOP, "falls through", 50, NAN },
  { "well seated", CYLINDER MACHINE "RollerRadius=10\nRollerGap=34\n[Hold]\nDrive=rollers\n", 60, 20, NULL, 0, NULL, NAN, NAN },
  { "handle on rollers", CYLINDER MACHINE "RollerRadius=10\nRollerGap=34\n[Hold]\nDrive=rollers\n" HANDLE, 60, 20, "handle-hits-rollers", RHY_LEVEL_CARE, "comes upon the rollers as the work turns, unless they end beside it", 50, NAN },
  { "handle on a support roller", CYLINDER MACHINE "[Hold]\nSupport=roller\n" HANDLE, 60, 20, "handle-hits-rollers", RHY_LEVEL_STOP, "comes upon the support roller as the work turns", 50, NAN },
  /* The axis 80 over the bed, level; a roller 30 below it. */
  { "tailstock's height", CYLINDER MACHINE HEAD "AxisHeight=80\nTailstockRadius=20\n[Hold]\nSupport=tailstock\n", 60, 20, "support", RHY_LEVEL_NOTE, "axis 80.0 mm over the bed where it meets the work", NAN, NAN },
  { "support roller's height", CYLINDER MACHINE HEAD "AxisHeight=80\n[Hold]\nSupport=roller\n", 60, 20, "support", RHY_LEVEL_NOTE, "top of the support roller 50.0 mm over the bed", NAN, NAN },
  { "tailstock not known", CYLINDER MACHINE HEAD "[Hold]\nSupport=tailstock\n", 60, 20, "support-unknown", RHY_LEVEL_CARE, "TailstockRadius", NAN, NAN },
  { "support beside the wall", CYLINDER MACHINE "[Hold]\nSupport=roller\nSupportHeight=120\n", 60, 20, "support-off-vessel", RHY_LEVEL_CARE, "at height 120.0 mm; the wall goes from 0.0 to 100.0 mm", NAN, NAN },
  { "support for what needs none", CYLINDER MACHINE "RollerRadius=10\nRollerGap=34\n[Hold]\nDrive=rollers\nSupport=tailstock\n", 60, 20, "support-unused", RHY_LEVEL_NOTE, "Support=tailstock has no effect: work on rollers needs none", NAN, NAN },
  { "pins not known", CYLINDER MACHINE "[Hold]\nDrive=pins\n", 60, 20, "pins-unknown", RHY_LEVEL_CARE, "PinRadius and PinLength", NAN, NAN },
  { "pins too wide", CYLINDER MACHINE "PinRadius=31\n[Hold]\nDrive=pins\n", 60, 20, "pins-too-wide", RHY_LEVEL_STOP, "radius 31.0 mm, are wider than the work, of radius 30.0 mm", NAN, NAN },
  { "pins", CYLINDER MACHINE HEAD "PinRadius=10\n[Hold]\nDrive=pins\n", 60, 20, NULL, 0, NULL, NAN, NAN },
  { "nothing read below 20", "[Vessel]\nHeights=20;120\nDiameters=60;60\n" MACHINE, 60, 20, "base-not-read", RHY_LEVEL_NOTE, "lowest reading is at 20.0 mm", 20, NAN },
  { "nothing read below, held by the mouth", "[Vessel]\nHeights=20;120\nDiameters=60;60\n[Hold]\nEnd=mouth\n", 60, 20, "generic-machine", RHY_LEVEL_CARE, "", NAN, NAN },
  { "mouth at the chuck", CYLINDER MACHINE "Mouth=minus\n[Hold]\nEnd=mouth\n", 60, 20, "mouth-at-chuck", RHY_LEVEL_NOTE, "takes that to be left (Mouth=minus)", NAN, NAN },
  { "taper on rollers", CUP MACHINE "RollerRadius=10\nRollerGap=34\n[Hold]\nDrive=rollers\n", 20, 10, "taper-on-rollers", RHY_LEVEL_CARE, "may walk up to", NAN, NAN },
};

static const RhyFinding *
finding_of (const RhyVerdict *verdict, const char *code)
{
  for (gsize i = 0; i < rhy_verdict_get_n_findings (verdict); i++)
    if (strcmp (rhy_verdict_get_finding (verdict, i)->code, code) == 0)
      return rhy_verdict_get_finding (verdict, i);
  return NULL;
}

static void
test_case (void **state)
{
  const Case *c = *state;
  g_autoptr (RhyPlan) plan = good_plan (c->job, block (c->w, c->h));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  if (c->code == NULL)
    {
      if (rhy_verdict_get_n_findings (verdict) > 0)
        fail_msg ("found %s: %s", rhy_verdict_get_finding (verdict, 0)->code, rhy_verdict_get_finding (verdict, 0)->message);
      return;
    }
  const RhyFinding *f = finding_of (verdict, c->code);
  if (f == NULL)
    {
      g_autofree char *text = rhy_verdict_to_text (verdict);
      fail_msg ("%s not found in:\n%s", c->code, text);
      return;
    }
  if (strstr (f->message, c->part) == NULL)
    fail_msg ("\"%s\" is not in: %s", c->part, f->message);
  assert_int_equal (f->level, c->level);
  if (!isnan (c->height_mm))
    assert_near (f->height_mm, c->height_mm, 0.05);
  if (!isnan (c->angle_deg))
    assert_near (f->angle_rad / G_PI * 180, c->angle_deg, 0.05);
}

/* A radius of 60 over an axis 40 high would meet the bed, were it on the wall. */
static void
test_off_vessel_hits_nothing (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE HEAD "AxisHeight=40\n[Zone h]\nKind=handle\nCentre=180\nWidth=20\n"
                                        "From=120\nTo=130\nStand=30\n", block (60, 20));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_null (finding_of (verdict, "handle-hits-bed"));
  assert_non_null (finding_of (verdict, "zone-off-vessel"));
}

/* What the message asks for is what then holds. */
static void
test_tilt_remedy_works (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CUP MACHINE HEAD "TiltMin=0\nTiltMax=16.27\n", block (20, 10));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_null (finding_of (verdict, "tilt-out-of-range"));
}

/* A cylinder held by its base, its mouth and inside: jaws of 10 mm take as much at either end; the
 * nozzle keeps 5 mm more. */
static void
test_compare (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE HEAD "JawDepth=10\nJawStand=12\n[Hold]\nEnd=mouth\n", block (60, 20));
  g_autoptr (GPtrArray) rows = rhy_plan_compare_holds (plan, NULL);
  assert_int_equal (rows->len, RHY_N_WAYS);
  guint seen = 0;
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyHoldRow *row = rows->pdata[i];
      seen |= 1u << row->way;
      assert_int_equal (row->is_own, row->way == RHY_WAY_MOUTH);
      if (row->way == RHY_WAY_ROLLERS)
        assert_non_null (strstr (row->forbids, "names no rollers"));
      else if (row->way == RHY_WAY_PINS)
        assert_non_null (strstr (row->forbids, "names no pins"));
      else
        assert_null (row->forbids);
      if (row->way == RHY_WAY_MOUTH)
        {
          assert_near (row->holding->reach_low_mm, 0, 1e-9);
          assert_near (row->holding->reach_high_mm, 85, 0.01);
          /* 60 x 20 grown about the middle of 85: 85 tall would be 255 wide, round is 188.5. */
          assert_near (row->width_mm, 2 * G_PI * 30, 0.3);
          assert_near (row->height_mm, 2 * G_PI * 10, 0.1);
        }
    }
  assert_int_equal (seen, (1u << RHY_N_WAYS) - 1);
  assert_int_equal (((const RhyHoldRow *) rows->pdata[0])->way, RHY_WAY_INSIDE);        /* all of the wall */
  g_autofree char *text = rhy_hold_rows_to_text (rows);
  assert_non_null (strstr (text, "chuck at the mouth *"));
  assert_non_null (strstr (text, "0.0 to 85.0"));
  g_autofree char *json = rhy_hold_rows_to_json (rows);
  assert_non_null (strstr (json, "\"way\" : \"inside\""));
  assert_null (strstr (json, "nan"));
}

/* The handle's turns limit the artwork: between its sides and margins, not round the back. */
static void
test_handle_limits_the_size (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE HEAD HANDLE, block (60, 20));
  g_autoptr (GPtrArray) rows = rhy_plan_compare_holds (plan, NULL);
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyHoldRow *row = rows->pdata[i];
      if (row->way != RHY_WAY_BASE)
        continue;
      const RhyHolding *h = row->holding;
      assert_true (h->is_limited);
      assert_near (h->turn_high_rad, -h->turn_low_rad, 1e-6);
      assert_true (row->width_mm <= 30 * (h->turn_high_rad - h->turn_low_rad) + 1e-3);
      assert_true (row->width_mm > 0.98 * 30 * (h->turn_high_rad - h->turn_low_rad));
      /* 38 sin phi less the nozzle's 4 is the margin of 2: the side can come to 9.09 degrees. */
      assert_near (h->turn_high_rad / G_PI * 180, 170 - asin (6.0 / 38) / G_PI * 180, 0.1);
    }
}

static void
test_clearance_in_the_document (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE HEAD "AxisHeight=80\nNozzleTop=100\n" HANDLE, block (60, 20));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  g_autofree char *json = rhy_verdict_to_json (verdict);
  const char *const parts[] = { "\"clearance\"", "\"bed_mm\" : 20.0", "\"handle_mm\"", "\"head_mm\" : 8.0", "\"reach_high_mm\" : 100.0",
                                "\"reach_low_mm\" : 0.0", "\"turn_max_deg\"", "\"turn_min_deg\"", "\"drive\"", "\"riser_mm\" : 18.0" };
  const char *at = json;
  for (gsize i = 0; i < G_N_ELEMENTS (parts); i++)
    {
      at = strstr (at, parts[i]);
      if (at == NULL)
        fail_msg ("%s is missing or out of order in %s", parts[i], json);
    }
  g_autofree char *text = rhy_verdict_to_text (verdict);
  assert_non_null (strstr (text, "the head keeps 8.0 mm"));
  assert_non_null (strstr (text, "Turns"));
  assert_non_null (strstr (text, "18.0 mm under the head's frame"));
}

/* What the drawing is worked out for is what the holding says, sag and all. */
static void
test_plan_and_holding_agree (void **state)
{
  (void) state;
  const char *const holds[] = { "Tilt=auto\n", "Tilt=level\n", "Tilt=5\n", "Tilt=auto\nSag=1\n", "Tilt=level\nSag=1\n", "Tilt=5\nSag=1\n",
                                "End=mouth\nTilt=auto\nSag=1\n", "End=mouth\nGrip=inside\nTilt=5\nSag=1\n" };
  for (gsize i = 0; i < G_N_ELEMENTS (holds); i++)
    {
      g_autofree char *job = g_strconcat (CUP MACHINE "TiltMin=-12\nTiltMax=12\n[Hold]\n", holds[i], NULL);
      g_autoptr (RhyPlan) plan = good_plan (job, block (20, 10));
      g_autoptr (RhyHolding) h = rhy_plan_hold (plan, rhy_job_way (rhy_plan_get_job (plan)), NULL);
      assert_near (h->tilt_rad, rhy_plan_get_numbers (plan)->tilt_rad, 1e-12);
    }
}

static void
put (const char *folder, const char *name, const char *text)
{
  g_autofree char *path = g_build_filename (folder, name, NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
}

static void
test_machines (void **state)
{
  (void) state;
  GError *error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-machines-XXXXXX", NULL);
  put (folder, "b.machine", "[Machine]\nName=The second\nBedWidth=300\nBedHeight=200\nJawDepth=10\n");
  put (folder, "a.machine", "[Machine]\nRollerRadius=8\n");
  put (folder, "c.machine", "[Machine]\nBedWidth=wide\n");
  put (folder, "not-a-machine.txt", "x");
  g_autoptr (GPtrArray) machines = rhy_machines_list (folder, &error);
  assert_no_error (error);
  assert_int_equal (machines->len, 3);
  const RhyMachine *a = machines->pdata[0], *b = machines->pdata[1], *c = machines->pdata[2];
  assert_string_equal (a->id, "a");
  assert_string_equal (a->name, "a");
  assert_string_equal (b->name, "The second");
  assert_near (rhy_job_get_data (b->job)->machine.bed_width_mm, 300, 0);
  assert_null (c->job);
  assert_non_null (strstr (c->problem, "BedWidth: found \"wide\""));
  g_autofree char *text = rhy_machines_to_text (machines);
  assert_non_null (strstr (text, "300 x 200"));
  assert_non_null (strstr (text, "cannot be read"));
  g_autofree char *json = rhy_machines_to_json (machines);
  assert_non_null (strstr (json, "\"drive\" : \"rollers\""));

  assert_null (rhy_machines_list ("/no/such/folder", &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, "/no/such/folder: no folder"));
  g_clear_error (&error);
  const char *const names[] = { "a.machine", "b.machine", "c.machine", "not-a-machine.txt" };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *path = g_build_filename (folder, names[i], NULL);
      g_remove (path);
    }
  g_rmdir (folder);
}

int
main (void)
{
  GArray *tests = g_array_new (FALSE, FALSE, sizeof (struct CMUnitTest));
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    g_array_append_val (tests, ((struct CMUnitTest) { cases[i].name, test_case, NULL, NULL, (void *) &cases[i] }));
  const struct CMUnitTest rest[] = {
    cmocka_unit_test (test_off_vessel_hits_nothing),
    cmocka_unit_test (test_tilt_remedy_works),
    cmocka_unit_test (test_compare),
    cmocka_unit_test (test_handle_limits_the_size),
    cmocka_unit_test (test_clearance_in_the_document),
    cmocka_unit_test (test_plan_and_holding_agree),
    cmocka_unit_test (test_machines),
  };
  g_array_append_vals (tests, rest, G_N_ELEMENTS (rest));
  const int failed = _cmocka_run_group_tests ("holds", (struct CMUnitTest *) (void *) tests->data, tests->len, NULL, NULL);
  g_array_free (tests, TRUE);
  return failed;
}
