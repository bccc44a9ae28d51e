/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/holds.h>

#include <rhyton/drawing.h>
#include <rhyton/proof.h>
#include <rhyton/verdict.h>

#include <glib/gstdio.h>

/* Several artworks in one job. Expected figures by hand: on a cylinder of radius 30 a rolled
 * artwork lies as on paper, X is height and A is radius times angle. */

typedef struct
{
  char *folder;
} Fixture;

static const char square[] = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"20mm\" height=\"20mm\" viewBox=\"0 0 20 20\">"
                             "<path d=\"M0 0h20v20h-20z\"/></svg>";
/* An L: no turn or mirror of it is itself. */
static const char ell[] = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"20mm\" height=\"20mm\" viewBox=\"0 0 20 20\">"
                          "<path fill=\"#f00\" d=\"M0 0h5v15h15v5h-20z\"/></svg>";

static int
setup (void **state)
{
  Fixture *f = g_new0 (Fixture, 1);
  f->folder = g_dir_make_tmp ("rhy-several-XXXXXX", NULL);
  g_autofree char *a = g_build_filename (f->folder, "square.svg", NULL);
  g_autofree char *b = g_build_filename (f->folder, "ell.svg", NULL);
  g_file_set_contents (a, square, -1, NULL);
  g_file_set_contents (b, ell, -1, NULL);
  *state = f;
  return f->folder == NULL;
}

static int
teardown (void **state)
{
  Fixture *f = *state;
  const char *const names[] = { "square.svg", "ell.svg", "out.svg" };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      g_autofree char *path = g_build_filename (f->folder, names[i], NULL);
      g_unlink (path);
    }
  g_rmdir (f->folder);
  g_free (f->folder);
  g_free (f);
  return 0;
}

static RhyJob *
job_of (const Fixture *f,
        const char    *text)
{
  g_autofree char *path = g_build_filename (f->folder, "job.rhyton", NULL);
  GError *error = NULL;
  RhyJob *job = rhy_job_new_from_data (text, -1, path, &error);
  assert_no_error (error);
  return job;
}

static RhyPlan *
plan_in (const Fixture *f,
         const char    *text)
{
  GError *error = NULL;
  g_autoptr (RhyJob) job = job_of (f, text);
  RhyPlan *plan = rhy_plan_new (job, NULL, NULL, &error);
  assert_no_error (error);
  return plan;
}

#define FRONT "[Artwork front]\nFile=square.svg\nWidth=20\nAt=30\n"
#define SIDE  "[Artwork the side]\nFile=ell.svg\nWidth=20\nAt=60\nAround=90\n"
#define MACHINE "[Machine]\nTravelPerTurn=auto\n"

static void
test_groups_are_read (void **state)
{
  g_autoptr (RhyJob) job = job_of (*state, CYLINDER FRONT SIDE);
  const RhyJobData *d = rhy_job_get_data (job);
  assert_int_equal (d->n_artworks, 2);
  assert_string_equal (d->artworks[0].group, "Artwork front");
  assert_string_equal (d->artworks[0].name, "front");
  assert_string_equal (d->artworks[1].name, "the side");
  assert_string_equal (d->artwork.file, "square.svg");
  assert_near (d->artworks[1].around_rad, G_PI_2, 0);
  assert_null (rhy_job_get_unknown_keys (job)[0]);

  g_autoptr (RhyJob) none = job_of (*state, CYLINDER);
  assert_int_equal (rhy_job_get_data (none)->n_artworks, 1);
  assert_string_equal (rhy_job_get_data (none)->artworks[0].group, "Artwork");
  assert_null (rhy_job_get_data (none)->artworks[0].file);
}

static void
test_bad_groups_are_told (void **state)
{
  (void) state;
  GString *many = g_string_new (CYLINDER);
  for (int i = 0; i <= RHY_JOB_ARTWORKS_MAX; i++)
    g_string_append_printf (many, "[Artwork %d]\nWidth=1\n", i);
  const struct { const char *text, *says; } rows[] = {
    { CYLINDER "[Artwork ]\nWidth=1\n", "job:4: found \"[Artwork ]\": allowed: [Artwork], or [Artwork NAME]" },
    { CYLINDER FRONT "Height=30\n", "[Artwork front] Height" },
    { CYLINDER FRONT "Lay=glued\n", "[Artwork front] Lay: found \"glued\"" },
    { CYLINDER FRONT "[Artwork front]\nLay=ringed\n", "job:8: found [Artwork front] twice, first on line 4: allowed: once" },
    { CYLINDER "[Artwork]\nWidth=1\n[Artwork]\nAt=20\n", "job:6: found [Artwork] twice, first on line 4: allowed: once" },
    { many->str, "at most 64 artworks" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (GError) error = NULL;
      assert_null (rhy_job_new_from_data (rows[i].text, -1, NULL, &error));
      if (strstr (error->message, rows[i].says) == NULL)
        print_error ("%s\n", error->message);
      assert_non_null (strstr (error->message, rows[i].says));
    }
  g_string_free (many, TRUE);
}

/* The em is the size: capitals are as high with a descender beside them as without, and twice
 * the em is twice the size. */
static void
test_letters_of_one_size (void **state)
{
  double heights[3];
  static const char *const keys[3] = { "Text=H\nFontSize=8\n", "Text=Hj\nFontSize=8\n", "Text=H\nFontSize=16\n" };
  for (int i = 0; i < 3; i++)
    {
      g_autofree char *text = g_strdup_printf (CYLINDER MACHINE "[Artwork]\nFont=DejaVu Sans\n%s", keys[i]);
      g_autoptr (RhyPlan) plan = plan_in (*state, text);
      const RhyBounds box = rhy_path_get_bounds (rhy_artwork_get_shape (rhy_plan_get_artwork (plan), 0)->path);
      assert_near (rhy_plan_get_numbers (plan)->font_size_mm, i == 2 ? 16.0 : 8.0, 1e-9);
      heights[i] = box.max_y - box.min_y;
    }
  assert_true (heights[1] >= heights[0] - 1e-6);        /* the first shape is the H, or all of it */
  assert_near (heights[2] / heights[0], 2.0, 1e-6);
  /* Capitals of most fonts are 0.65 to 0.75 em high (from memory). */
  assert_true (heights[0] > 0.6 * 8 && heights[0] < 0.8 * 8);

  g_autoptr (GError) error = NULL;
  assert_null (rhy_job_new_from_data (CYLINDER FRONT "FontSize=8\n", -1, NULL, &error));
  assert_non_null (strstr (error->message, "FontSize: found \"8\": allowed: beside Text"));
}

static void
test_groups_come_and_go (void **state)
{
  GError *error = NULL;
  g_autoptr (RhyJob) job = job_of (*state, CYLINDER FRONT);
  g_autoptr (RhyJob) two = rhy_job_with_copy (job, "Artwork front", "Artwork back", &error);
  assert_no_error (error);
  assert_int_equal (rhy_job_get_data (two)->n_artworks, 2);
  assert_string_equal (rhy_job_get_data (two)->artworks[1].name, "back");
  assert_near (rhy_job_get_data (two)->artworks[1].at_mm, 30, 0);
  assert_null (rhy_job_with_copy (two, "Artwork front", "Artwork back", &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  g_clear_error (&error);
  assert_null (rhy_job_with_copy (two, "Artwork front", "Artwork ]x", &error));
  g_clear_error (&error);
  g_autoptr (RhyJob) one = rhy_job_without_group (two, "Artwork front", &error);
  assert_int_equal (rhy_job_get_data (one)->n_artworks, 1);
  assert_string_equal (rhy_job_get_data (one)->artwork.name, "back");
}

static void
test_each_lies_where_it_is_told (void **state)
{
  g_autoptr (RhyPlan) plan = plan_in (*state, CYLINDER FRONT SIDE MACHINE);
  assert_int_equal (rhy_plan_get_n_parts (plan), 2);
  const RhyPlanNumbers *all = rhy_plan_get_numbers (plan);
  assert_near (all->s_low_mm, 20, 0.2);         /* known by samples */
  assert_near (all->s_high_mm, 70, 0.2);
  assert_near (all->anchor.s, 30, 0);
  const RhyPlanNumbers *side = rhy_plan_get_numbers (rhy_plan_get_part (plan, 1));
  assert_near (side->anchor.s, 60, 0);
  assert_near (side->s_low_mm, 50, 0.2);
  assert_near (side->travel_per_turn_mm, all->travel_per_turn_mm, 0);

  g_autoptr (RhyArtwork) bent = rhy_plan_bend (plan, RHY_SPACE_BED, NULL, NULL);
  assert_int_equal (rhy_artwork_get_n_shapes (bent), 2);
  const RhyBounds a = rhy_path_get_bounds (rhy_artwork_get_shape (bent, 0)->path);
  const RhyBounds b = rhy_path_get_bounds (rhy_artwork_get_shape (bent, 1)->path);
  /* The mark is the first one's middle; a quarter of a turn is 15 pi. */
  assert_near (a.min_x, -10, 1e-9);
  assert_near (a.max_y, 10, 1e-9);
  assert_near (b.min_x, 30 - 10, 1e-9);
  assert_near (b.max_x, 30 + 10, 1e-9);
  assert_near (b.min_y, 15 * G_PI - 10, 1e-9);
  assert_near (b.max_y, 15 * G_PI + 10, 1e-9);
}

static void
test_drawing_groups_by_artwork_and_paint (void **state)
{
  g_autoptr (RhyPlan) plan = plan_in (*state, CYLINDER FRONT SIDE MACHINE);
  g_autoptr (GBytes) bytes = rhy_drawing_bed (plan, RHY_FORMAT_SVG, NULL, NULL, NULL);
  const char *text = g_bytes_get_data (bytes, NULL);
  const char *const order[] = { "<g id=\"ink\">", "<g id=\"artwork-1-front\">\n<title>front</title>", "<g id=\"ink-1-000000\">",
                                "<g id=\"artwork-2-the-side\">\n<title>the side</title>", "<g id=\"ink-2-ff0000\">" };
  for (gsize i = 0; i < G_N_ELEMENTS (order); i++)
    {
      text = strstr (text, order[i]);
      assert_non_null (text);
    }
}

/* All eight ways the machine can stand: what is drawn goes back where both were meant. */
static void
test_proof_of_both (void **state)
{
  const Fixture *f = *state;
  g_autofree char *path = g_build_filename (f->folder, "out.svg", NULL);
  for (int i = 0; i < 8; i++)
    {
      g_autofree char *text = g_strdup_printf (CONE "[Artwork front]\nFile=ell.svg\nWidth=20\nAt=20\n"
                                               "[Artwork back]\nFile=ell.svg\nHeight=15\nAt=22\nAround=170\nTurn=30\nLay=ringed\n"
                                               "[Machine]\nTravelPerTurn=200\nAxis=%s\nMouth=%s\nTurnReversed=%s\n",
                                               i & 1 ? "x" : "y", i & 2 ? "plus" : "minus", i & 4 ? "true" : "false");
      g_autoptr (RhyPlan) plan = plan_in (f, text);
      g_autoptr (GBytes) bytes = rhy_drawing_bed (plan, RHY_FORMAT_SVG, NULL, NULL, NULL);
      assert_true (rhy_drawing_save (bytes, path, NULL));
      RhyProof proof;
      GError *error = NULL;
      assert_true (rhy_proof_file (plan, path, &proof, &error));
      assert_no_error (error);
      assert_true (proof.distance_mm < 0.011);
    }
}

static const RhyFinding *
finding_of (const RhyVerdict *verdict,
            const char       *code)
{
  for (gsize i = 0; i < rhy_verdict_get_n_findings (verdict); i++)
    if (strcmp (rhy_verdict_get_finding (verdict, i)->code, code) == 0)
      return rhy_verdict_get_finding (verdict, i);
  return NULL;
}

/* Squares of 20 mm, 10 mm apart in height, share 20 x 10 mm; a whole turn further they still do. */
static void
test_shared_ink_is_told (void **state)
{
  static const struct { const char *at, *around; const char *says; } rows[] = {
    { "40", "0", "share 200.00 mm2" }, { "40", "360", "share 200.00 mm2" }, { "50", "0", NULL }, { "40", "45", NULL },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autofree char *text = g_strdup_printf (CYLINDER MACHINE FRONT "[Artwork]\nFile=square.svg\nWidth=20\nAt=%s\nAround=%s\n",
                                               rows[i].at, rows[i].around);
      g_autoptr (RhyPlan) plan = plan_in (*state, text);
      g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
      const RhyFinding *f = finding_of (verdict, "artworks-overlap");
      assert_true ((f != NULL) == (rows[i].says != NULL));
      if (f != NULL)
        assert_non_null (strstr (f->message, rows[i].says));
    }
}

static void
test_findings_name_their_artwork (void **state)
{
  g_autoptr (RhyPlan) plan = plan_in (*state, CYLINDER MACHINE FRONT "[Artwork far up]\nFile=ell.svg\nWidth=20\nAt=95\n");
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
  assert_false (rhy_verdict_is_ready (verdict));
  const RhyFinding *f = finding_of (verdict, "past-rim");
  assert_non_null (f);
  assert_non_null (strstr (f->message, "far up: The ink reaches 5.00 mm past the rim"));
  GError *error = NULL;
  assert_null (rhy_plan_bend (plan, RHY_SPACE_BED, NULL, &error));
  assert_non_null (strstr (error->message, "[Artwork far up] At lower"));
  g_clear_error (&error);
}

/* An edit of one leaves the other's outlines as they are. */
static void
test_renewed (void **state)
{
  g_autoptr (RhyPlan) plan = plan_in (*state, CYLINDER FRONT SIDE MACHINE);
  g_autoptr (RhyJob) moved = rhy_job_with (rhy_plan_get_job (plan), "Artwork the side", "At", "50", NULL);
  g_autoptr (RhyPlan) next = rhy_plan_renewed (plan, moved, NULL);
  for (gsize i = 0; i < 2; i++)
    assert_ptr_equal (rhy_plan_get_source (rhy_plan_get_part (next, i)), rhy_plan_get_source (rhy_plan_get_part (plan, i)));
  assert_near (rhy_plan_get_numbers (rhy_plan_get_part (next, 1))->anchor.s, 50, 0);

  g_autoptr (RhyJob) alone = rhy_job_without_group (moved, "Artwork front", NULL);
  g_autoptr (RhyPlan) last = rhy_plan_renewed (next, alone, NULL);
  assert_int_equal (rhy_plan_get_n_parts (last), 1);
  assert_ptr_equal (rhy_plan_get_source (last), rhy_plan_get_source (rhy_plan_get_part (next, 1)));
}

/* 100 of wall: a square of 20 could grow to 100, one of 60 too; the larger comes first to its end, and
 * where it is named first it is the first. */
static void
test_largest_minds_all (void **state)
{
  const Fixture *f = *state;
  g_autoptr (RhyPlan) plan = plan_in (f, CYLINDER FRONT "[Artwork big]\nFile=ell.svg\nWidth=60\nAt=50\nAround=150\n");
  g_autoptr (GPtrArray) rows = rhy_plan_compare_holds (plan, NULL);
  for (guint i = 0; i < rows->len; i++)
    {
      const RhyHoldRow *row = rows->pdata[i];
      if (row->way != RHY_WAY_BASE)
        continue;
      assert_string_equal (row->part_name, "big");
      assert_near (row->height_mm, 100.0, 0.3);
    }
  g_autofree char *text = rhy_hold_rows_to_text (rows);
  assert_non_null (strstr (text, "the artwork that has the least room to grow"));
  g_autofree char *json = rhy_hold_rows_to_json (rows);
  assert_non_null (strstr (json, "\"largest_artwork\" : \"big\""));
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_groups_are_read),
    cmocka_unit_test (test_bad_groups_are_told),
    cmocka_unit_test (test_letters_of_one_size),
    cmocka_unit_test (test_groups_come_and_go),
    cmocka_unit_test (test_each_lies_where_it_is_told),
    cmocka_unit_test (test_drawing_groups_by_artwork_and_paint),
    cmocka_unit_test (test_proof_of_both),
    cmocka_unit_test (test_shared_ink_is_told),
    cmocka_unit_test (test_findings_name_their_artwork),
    cmocka_unit_test (test_renewed),
    cmocka_unit_test (test_largest_minds_all),
  };
  return cmocka_run_group_tests (tests, setup, teardown);
}
