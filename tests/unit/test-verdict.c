/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/verdict.h>

#include "rhy-locale.h"

#include <string.h>

#define MACHINE "[Machine]\nTravelPerTurn=auto\n"

static const RhyFinding *
finding_of (const RhyVerdict *verdict,
            const char       *code)
{
  for (gsize i = 0; i < rhy_verdict_get_n_findings (verdict); i++)
    if (strcmp (rhy_verdict_get_finding (verdict, i)->code, code) == 0)
      return rhy_verdict_get_finding (verdict, i);
  return NULL;
}

typedef struct
{
  const char *name, *job;
  double      w, h;
  const char *code;             /* NULL: nothing at all is found */
  RhyLevel    level;
  const char *part;             /* of the message */
} Case;

static const Case cases[] = {
  { "nothing to say", CYLINDER MACHINE, 60, 20, NULL, 0, NULL },
  { "past the rim", CYLINDER MACHINE "[Artwork]\nAt=90\n", 30, 40, "past-rim", RHY_LEVEL_STOP, "10.00 mm past the rim. Set [Artwork] At 10.0 mm lower" },
  { "past the base", CYLINDER MACHINE "[Artwork]\nAt=15\n", 30, 40, "past-base", RHY_LEVEL_STOP, "5.00 mm past the base. Set [Artwork] At 5.0 mm higher" },
  /* 125 mm on a wall of 100: 80 %. */
  { "taller than the wall", CYLINDER MACHINE, 30, 125, "past-rim", RHY_LEVEL_STOP, "no more than 80 %" },
  /* Around is 60 pi = 188.4956 mm; 190 mm overlaps 1.5044 x 10 mm2. */
  { "overlap", CYLINDER MACHINE, 190, 10, "overlaps-itself", RHY_LEVEL_STOP, "15.04 mm2. Make it no more than 188.4 mm wide" },
  { "no machine", CYLINDER, 30, 40, "generic-machine", RHY_LEVEL_CARE, "188.496 mm per turn" },
  /* Ringed on the 3-4-5 cone at r = 45, 10 mm tall: 42/45 to 48/45, +-6.67 %. */
  { "stretch", CONE MACHINE "[Artwork]\nLay=ringed\n", 20, 10, "stretch-high", RHY_LEVEL_CARE, "up to 6.7 % and squeezed by up to 6.7 %" },
  /* Bars, whose width is the shorter side of the rectangle. */
  { "a bar too fine", CYLINDER MACHINE, 20, 0.05, "detail-too-fine", RHY_LEVEL_CARE, "1 line or gap of the ink is narrower than 0.08 mm, the least 0.050 mm" },
  { "a fine bar", CYLINDER MACHINE, 0.09, 20, NULL, 0, NULL },
  { "no stretch on a cone", CONE MACHINE, 20, 10, NULL, 0, NULL },
  /* 10 sin b = 6 mm of focus. */
  { "out of focus", CONE MACHINE "DepthOfFocus=5.9\n[Artwork]\nLay=ringed\nAt=20\n[Hold]\nTilt=0\n", 2, 10, "out-of-focus", RHY_LEVEL_STOP, "6.00 mm over the ink" },
  { "focus within its depth", CYLINDER MACHINE "DepthOfFocus=1\n", 20, 10, NULL, 0, NULL },
  { "tilt asked for", CONE MACHINE "TiltMin=0\nTiltMax=10\n[Hold]\nTilt=20\n", 20, 10, "tilt-out-of-range", RHY_LEVEL_STOP, "20.00 degrees; the machine goes up to 10.00" },
  { "tilt wanted", CONE MACHINE "TiltMin=0\nTiltMax=10\n", 20, 10, "tilt-out-of-range", RHY_LEVEL_CARE, "36.87 degrees would suit" },
  { "bed too small", CYLINDER MACHINE "BedWidth=9\nBedHeight=300\n", 20, 10, "off-bed", RHY_LEVEL_STOP, "10.0 mm wide, the bed 9.0 mm" },
  { "bed too low", CYLINDER MACHINE "BedWidth=300\nBedHeight=19\n", 20, 10, "off-bed", RHY_LEVEL_STOP, "20.0 mm high, the bed 19.0 mm" },
  { "taper on rollers", CONE MACHINE "[Hold]\nDrive=rollers\n", 20, 10, "taper-on-rollers", RHY_LEVEL_CARE, "36.87 degrees" },
  { "no taper on rollers", CYLINDER MACHINE "[Hold]\nDrive=rollers\n", 20, 10, NULL, 0, NULL },
  /* 70 where a cone from 62 to 88 has 75: two thirds of that, 3.3, from the cone of least
   * squares (of three equal weights), which is more than 2 % of 70. */
  { "readings", "[Vessel]\nWall=straight\nHeights=0;75;150\nDiameters=62;70;88\n" MACHINE, 20, 10, "readings-disagree", RHY_LEVEL_STOP,
    "70.00 mm at height 75.0 mm is 3.3" },
  { "readings, a little", "[Vessel]\nWall=straight\nHeights=0;75;150\nDiameters=62;74;88\n" MACHINE, 20, 10, "readings-disagree", RHY_LEVEL_CARE,
    "74.00 mm at height 75.0 mm is 0.67 mm less" },
  { "inches among them", "[Vessel]\nHeights=0;75;150\nDiameters=62;2.95;88\n" MACHINE, 5, 5, "readings-disagree", RHY_LEVEL_STOP, "It would fit as inches" },
  /* 188.5 around is 60; 200 is 63.66. */
  { "tape agrees", "[Vessel]\nHeights=0;100\nDiameters=60;60\nCircumferences=188.5;0\n" MACHINE, 20, 10, NULL, 0, NULL },
  { "tape disagrees", "[Vessel]\nHeights=0;100\nDiameters=60;60\nCircumferences=0;200\n" MACHINE, 20, 10, "readings-disagree", RHY_LEVEL_STOP,
    "At height 100.0 mm the tape gives a diameter 3.66 mm more" },
  /* The 3-4-5 cone's slant is 50. */
  { "slant agrees", CONE "Slant=50.3\n" MACHINE, 20, 10, NULL, 0, NULL },
  { "slant disagrees", CONE "Slant=54\n" MACHINE, 20, 10, "readings-disagree", RHY_LEVEL_STOP, "slant length 54.0 mm is 4.00 mm more" },
  { "overall height", CYLINDER "OverallHeight=108\n" MACHINE, 20, 10, "readings-disagree", RHY_LEVEL_STOP, "overall height is 8.00 mm more" },
  /* pi 27^2 (100 - 5) is 217.6 ml; 7.36 US fl oz. */
  { "capacity agrees", CYLINDER "WallThickness=3\nFloor=5\nCapacity=220\n" MACHINE, 20, 10, NULL, 0, NULL },
  { "capacity disagrees", CYLINDER "WallThickness=3\nFloor=5\nCapacity=330\n" MACHINE, 20, 10, "capacity-disagrees", RHY_LEVEL_CARE,
    "218 ml (7.4 US fl oz, 7.7 imperial fl oz), 34 % less" },
  { "US fluid ounces", CYLINDER "WallThickness=3\nFloor=5\nCapacity=7.4 US fl oz\n" MACHINE, 20, 10, NULL, 0, NULL },
  { "imperial fluid ounces", CYLINDER "WallThickness=3\nFloor=5\nCapacity=10 imperial fl oz\n" MACHINE, 20, 10, "capacity-disagrees", RHY_LEVEL_CARE,
    "less than the stated 284 ml" },
  { "to the fill line", CYLINDER "WallThickness=3\nFloor=5\nFillHeight=55\nCapacity=115\n" MACHINE, 20, 10, NULL, 0, NULL },
  /* Ink from height 40 to 60, 20 mm wide: 19.0986 degrees to each side. */
  /* Free from 45 down, less what the search keeps back for ink between its samples, 0.02: said to where it is free, since
   * a tenth beside it was on the zone again half of the time. */
  { "on a zone", CYLINDER MACHINE "[Zone lip]\nKind=rim\nFrom=55\nTo=100\n", 20, 20, "on-zone", RHY_LEVEL_STOP,
    "on the rim \"lip\" over 100.00 mm2. The nearest free place is At=44.98" },
  { "on a zone at an odd height", CYLINDER MACHINE "[Zone lip]\nKind=rim\nFrom=55.37\nTo=100\n", 20, 20, "on-zone", RHY_LEVEL_STOP,
    "The nearest free place is At=45.35" },
  { "within a margin above", CYLINDER MACHINE "[Zone lip]\nKind=rim\nFrom=62\nTo=100\nMargin=3\n", 20, 20, "on-zone", RHY_LEVEL_STOP,
    "within 2.00 mm of the rim \"lip\", whose margin is 3.00 mm" },
  /* From 30 degrees on: 10.9014 degrees of arc on a radius of 30 are 5.708 mm. */
  { "within a margin beside", CYLINDER MACHINE "[Zone grip]\nKind=handle\nCentre=40\nWidth=20\nMargin=6\n", 20, 20, "on-zone", RHY_LEVEL_STOP,
    "within 5.71 mm of the handle \"grip\"" },
  { "outside the margin beside", CYLINDER MACHINE "[Zone grip]\nKind=handle\nCentre=400\nWidth=20\nMargin=5.6\n", 20, 20, NULL, 0, NULL },
  { "outside the margin above", CYLINDER MACHINE "[Zone lip]\nKind=rim\nFrom=62\nTo=100\nMargin=1.9\n", 20, 20, NULL, 0, NULL },
  { "on the far side", CYLINDER MACHINE "[Zone grip]\nKind=handle\nCentre=180\nWidth=200\n", 20, 20, NULL, 0, NULL },
  { "on a seam", CYLINDER MACHINE "[Zone seam]\nKind=seam\nCentre=10\nWidth=1\n", 20, 20, "on-zone", RHY_LEVEL_CARE, "on the seam" },
  { "unknown key", CYLINDER MACHINE "[Artwork]\nWidht=60\n", 20, 10, "unknown-key", RHY_LEVEL_NOTE, "[Artwork] Widht" },
  /* A handle that nobody keeps clear of, for want of a capital or a name. */
  { "unknown group", CYLINDER MACHINE "[zone handle]\nKind=handle\n", 20, 10, "unknown-key", RHY_LEVEL_CARE, "[zone handle] is no group" },
  { "zone without a name", CYLINDER MACHINE "[Zone]\nKind=handle\n", 20, 10, "unknown-key", RHY_LEVEL_CARE, "[Zone] is no group" },
  { "another program's group", CYLINDER MACHINE "[X-Shop]\nOrder=7\n", 20, 10, NULL, 0, NULL },
};

/* A remedy mends: once its keys are set, the job has no such finding left. */
static void
check_remedy (const Case       *c,
              const RhyRemedy  *remedy)
{
  g_autoptr (RhyJob) job = rhy_job_new_from_data (c->job, -1, NULL, NULL);
  assert_non_null (job);
  assert_true (remedy->n_edits > 0 && *remedy->label != '\0');
  for (gsize i = 0; i < remedy->n_edits; i++)
    {
      g_autoptr (GError) error = NULL;
      const RhyRemedyEdit *edit = &remedy->edits[i];
      RhyJob *next = rhy_job_with (job, edit->group, edit->key, edit->value, &error);
      if (next == NULL)
        fail_msg ("%s: %s", c->name, error->message);
      rhy_job_unref (job);
      job = next;
    }
  g_autofree char *text = rhy_job_to_data (job, NULL);
  g_autoptr (RhyPlan) plan = good_plan (text, block (c->w, c->h));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  const RhyFinding *left = finding_of (verdict, c->code);
  if (left != NULL && left->level == c->level)
    fail_msg ("%s: still there: %s", c->name, left->message);
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
      assert_true (rhy_verdict_is_ready (verdict));
      return;
    }
  const RhyFinding *f = finding_of (verdict, c->code);
  assert_non_null (f);
  assert_int_equal (f->level, c->level);
  if (strstr (f->message, c->part) == NULL)
    fail_msg ("message: %s", f->message);
  assert_null (strchr (f->message, '\n'));
  assert_int_equal (rhy_verdict_is_ready (verdict), c->level != RHY_LEVEL_STOP);
  if (f->remedy != NULL)
    check_remedy (c, f->remedy);
}

/* What a hand can do for each is a move, or nothing: a wall of 100 mm has no room for 125. */
static void
test_remedies_are_there (void **state)
{
  (void) state;
  const struct { const char *name; gsize n_edits; } wanted[] = {
    { "past the rim", 1 }, { "past the base", 1 }, { "taller than the wall", 0 }, { "on a zone", 2 }, { "within a margin beside", 2 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (wanted); i++)
    for (gsize k = 0; k < G_N_ELEMENTS (cases); k++)
      {
        if (strcmp (cases[k].name, wanted[i].name) != 0)
          continue;
        g_autoptr (RhyPlan) plan = good_plan (cases[k].job, block (cases[k].w, cases[k].h));
        g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
        const RhyFinding *f = finding_of (verdict, cases[k].code);
        assert_int_equal (f->remedy != NULL ? f->remedy->n_edits : 0, wanted[i].n_edits);
      }
}

/* Two bars, each shorter than a turn, that start 100 mm apart at different heights: wider
 * than a turn together, and yet no ink meets ink. */
static void
test_more_than_a_turn_without_overlap (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add_rectangle (builder, -100, 0, 100, 8);
  add_rectangle (builder, 0, -10, 100, 8);
  rhy_artwork_builder_set_size (builder, 200, 18, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE, rhy_artwork_builder_end (builder));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_true (rhy_plan_get_numbers (plan)->angle_high_rad - rhy_plan_get_numbers (plan)->angle_low_rad > 2 * G_PI);
  assert_null (finding_of (verdict, "overlaps-itself"));
}

/* A frame with a hole (even-odd): the far end of the artwork comes round into the hole. */
static void
add_line (RhyArtworkBuilder *builder,
          RhyPath           *line,
          double             pen_x,
          double             pen_y)
{
  const RhyShape drawn = { .path = line, .has_stroke = TRUE, .stroke = { 0, 0, 0, 1 },
                           .pen = { .width = 1.0, .miter_limit = 4.0, .matrix = { pen_x, 0.0, 0.0, pen_y, 0.0, 0.0 } } };
  rhy_artwork_builder_add_shape (builder, &drawn);
}

/* In a square of 10 mm a gap of 4 mm by @gap; below it a level line of a pen @line high; round both a frame of
 * a pen @frame wide. Only lines without a width have none to be too fine. */
static void
test_gaps_and_lines_too_fine (void **state)
{
  (void) state;
  static const struct { double gap, line, frame; const char *job, *part; } rows[] = {
    { 0.03, 1.0, 1.0, CYLINDER MACHINE, "1 line or gap of the ink is narrower than 0.08 mm, the least 0.030 mm" },
    { 1.0, 0.06, 1.0, CYLINDER MACHINE, "1 line or gap of the ink is narrower than 0.08 mm, the least 0.060 mm" },
    { 1.0, 1.0, 0.05, CYLINDER MACHINE, "1 line or gap of the ink is narrower than 0.08 mm, the least 0.050 mm" },
    { 0.03, 0.02, 0.05, CYLINDER MACHINE, "3 lines or gaps of the ink are narrower than 0.08 mm, the least 0.020 mm" },
    { 1.0, 0.06, 0.05, CYLINDER MACHINE "[Artwork]\nStrokes=centreline\n", NULL },
    { 0.1, 0.1, 0.1, CYLINDER MACHINE, NULL },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      RhyPath *square = rectangle (-5, -5, 10, 10);
      g_autoptr (RhyPath) gap = rectangle (0, 0, 4, rows[i].gap);
      rhy_path_append (square, gap);
      const RhyShape filled = { .path = square, .rule = RHY_FILL_EVENODD, .has_fill = TRUE, .fill = { 0, 0, 0, 1 },
                                .pen.matrix = RHY_AFFINE_IDENTITY };
      rhy_artwork_builder_add_shape (builder, &filled);
      RhyPath *line = rhy_path_new ();
      rhy_path_move_to (line, -5, -8);
      rhy_path_line_to (line, 5, -8);
      add_line (builder, line, 0.5, rows[i].line);
      add_line (builder, rectangle (-10, -10, 20, 20), rows[i].frame, rows[i].frame);
      rhy_artwork_builder_set_size (builder, 22, 22, RHY_SIZE_PHYSICAL);
      g_autoptr (RhyPlan) plan = good_plan (rows[i].job, rhy_artwork_builder_end (builder));
      g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
      const RhyFinding *finding = finding_of (verdict, "detail-too-fine");
      if (rows[i].part == NULL)
        {
          if (finding != NULL)
            fail_msg ("row %" G_GSIZE_FORMAT ": %s", i, finding->message);
        }
      else if (finding == NULL || strstr (finding->message, rows[i].part) == NULL)
        fail_msg ("row %" G_GSIZE_FORMAT ": %s", i, finding != NULL ? finding->message : "nothing found");
    }
}

static void
test_ink_inside_a_hole_is_no_overlap (void **state)
{
  (void) state;
  for (int solid = 0; solid < 2; solid++)
    {
      RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
      RhyPath *frame = rectangle (-110, -20, 40, 40);
      if (!solid)
        {
          rhy_path_move_to (frame, -105, -15);
          rhy_path_line_to (frame, -75, -15);
          rhy_path_line_to (frame, -75, 15);
          rhy_path_line_to (frame, -105, 15);
          rhy_path_close (frame);
        }
      const RhyShape shape = { .path = frame, .rule = RHY_FILL_EVENODD, .has_fill = TRUE, .fill = { 0, 0, 0, 1 },
                               .pen.matrix = RHY_AFFINE_IDENTITY };
      rhy_artwork_builder_add_shape (builder, &shape);
      /* A turn is 188.4956 mm: 90..100 comes to -98.5..-88.5, within the hole. */
      add_rectangle (builder, 90, -5, 20, 10);
      rhy_artwork_builder_set_size (builder, 220, 40, RHY_SIZE_PHYSICAL);
      g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE, rhy_artwork_builder_end (builder));
      g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
      if (solid)
        assert_non_null (strstr (finding_of (verdict, "overlaps-itself")->message, "200.00 mm2"));  /* all of the 20 x 10 */
      else
        assert_null (finding_of (verdict, "overlaps-itself"));
    }
}

static void
test_pictures_are_named (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  add_rectangle (builder, -10, -10, 20, 20);
  rhy_artwork_builder_add_picture (builder, (RhyPicture) { RHY_PICTURE_IMAGE, { -5, -5, 5, 2 }, FALSE });
  rhy_artwork_builder_add_picture (builder, (RhyPicture) { RHY_PICTURE_GRADIENT, { 0, 0, 1, 1 }, FALSE });
  rhy_artwork_builder_set_size (builder, 20, 20, RHY_SIZE_PHYSICAL);
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE, rhy_artwork_builder_end (builder));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  const RhyFinding *f = finding_of (verdict, "picture-inside");
  assert_non_null (f);
  assert_non_null (strstr (f->message, "1 picture, 1 gradient, in an area of 10.0 x 7.0 mm"));
  assert_false (rhy_verdict_is_ready (verdict));
}

static void
test_no_artwork (void **state)
{
  (void) state;
  g_autoptr (RhyJob) job = rhy_job_new_from_data (CYLINDER MACHINE, -1, NULL, NULL);
  g_autoptr (RhyPlan) plan = rhy_plan_new (job, NULL, NULL, NULL);
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_non_null (finding_of (verdict, "no-artwork"));
  assert_false (rhy_verdict_is_ready (verdict));
}

/* Two readings of 60 +- 0.05 (the default), the anchor half way between: the mean is
 * good for 0.05/sqrt 2 = 0.035355, and 30 mm of width for half of that. Height
 * depends on the slope only in second order there. */
static void
test_uncertainty (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER MACHINE, block (30, 20));
  RhyPrintUncertainty u;
  assert_true (rhy_plan_get_uncertainty (plan, &u));
  assert_near (u.u_width_mm, 0.5 * 0.05 / sqrt (2.0), 1e-9);
  assert_near (u.u_height_mm, 0.0, 1e-9);
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  g_autofree char *json = rhy_verdict_to_json (verdict);
  assert_non_null (strstr (json, "\"width_mm\" : 0.01767766"));
  g_autofree char *text = rhy_verdict_to_text (verdict);
  assert_non_null (strstr (text, "width within 0.04 mm, the height within 0.00 mm"));
}

static void
test_worst_comes_first (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Artwork]\nAt=90\nOdd=1\n", block (30, 40));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_int_equal (rhy_verdict_get_n_findings (verdict), 3);
  assert_string_equal (rhy_verdict_get_finding (verdict, 0)->code, "past-rim");
  assert_string_equal (rhy_verdict_get_finding (verdict, 1)->code, "generic-machine");
  assert_string_equal (rhy_verdict_get_finding (verdict, 2)->code, "unknown-key");
}

/* Every key of the document, in order, numbers with a point, unknown ones null. */
static void
check_document (void)
{
  g_autoptr (RhyPlan) plan = good_plan ("[Vessel]\nHeights=0;100\nDiameters=60.5;60.5\n" MACHINE, block (20.5, 10.25));
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  g_autofree char *json = rhy_verdict_to_json (verdict);
  const char *const keys[] = { "artwork", "height_mm", "nodes_in", "nodes_out", "width_mm", "drive", "reference_diameter_mm", "travel_per_turn_mm",
                               "exposure", "lines_along_axis", "lines_along_turn", "lines_better", "max", "min", "findings", "format", "hold", "focus_max_mm", "focus_spread_mm",
                               "riser_mm", "tilt_deg", "ready", "stretch", "angle_max_deg", "area_max", "area_min",
                               "major_max", "minor_min", "uncertainty", "again", "height_mm", "width_mm", "vessel" };
  const char *at = json;
  for (gsize i = 0; i < G_N_ELEMENTS (keys); i++)
    {
      g_autofree char *quoted = g_strdup_printf ("\"%s\"", keys[i]);
      at = strstr (at, quoted);
      if (at == NULL)
        fail_msg ("%s is missing or out of order", keys[i]);
    }
  assert_non_null (strstr (json, "\"reference_diameter_mm\" : 60.5"));
  assert_non_null (strstr (json, "\"riser_mm\" : null"));
  assert_null (strstr (json, "nan"));
  assert_null (strstr (json, "60,5"));
  assert_true (g_str_has_suffix (json, "}\n"));
  g_autofree char *text = rhy_verdict_to_text (verdict);
  assert_true (g_str_has_prefix (text, "Ready.\n"));
  assert_non_null (strstr (text, "20.50 x 10.25 mm"));
}

static void
test_document (void **state)
{
  (void) state;
  check_document ();
}

static void
test_document_with_a_decimal_comma (void **state)
{
  (void) state;
  const char *name = rhy_comma_locale ();
  if (name == NULL)
    {
      print_message ("# no locale with a decimal comma here\n");
      return;
    }
  assert_non_null (setlocale (LC_ALL, name));
  char comma[16];
  g_snprintf (comma, sizeof comma, "%.1f", 0.5);
  assert_string_equal (comma, "0,5");           /* or the test would prove nothing */
  check_document ();
  setlocale (LC_ALL, "C");
}

/* What a window asks for and no longer wants. */
static void
test_cancelled (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = good_plan (CYLINDER "[Zone handle]\nKind=handle\nCentre=180\nWidth=20\nStand=30\n", block (60, 20));
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, cancellable);
  assert_non_null (verdict);
  g_cancellable_cancel (cancellable);
  assert_null (rhy_verdict_new (plan, cancellable));
}

int
main (void)
{
  const struct CMUnitTest plain[] = {
    cmocka_unit_test (test_more_than_a_turn_without_overlap),
    cmocka_unit_test (test_gaps_and_lines_too_fine),
    cmocka_unit_test (test_ink_inside_a_hole_is_no_overlap),
    cmocka_unit_test (test_pictures_are_named),
    cmocka_unit_test (test_cancelled),
    cmocka_unit_test (test_no_artwork),
    cmocka_unit_test (test_uncertainty),
    cmocka_unit_test (test_worst_comes_first),
    cmocka_unit_test (test_remedies_are_there),
    cmocka_unit_test (test_document),
    cmocka_unit_test (test_document_with_a_decimal_comma),
  };
  struct CMUnitTest tests[G_N_ELEMENTS (plain) + G_N_ELEMENTS (cases)];
  memcpy (tests, plain, sizeof plain);
  for (gsize i = 0; i < G_N_ELEMENTS (cases); i++)
    tests[G_N_ELEMENTS (plain) + i] = (struct CMUnitTest) { cases[i].name, test_case, NULL, NULL, (void *) &cases[i] };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
