/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "plan-jobs.h"

#include <rhyton/fill.h>
#include <rhyton/verdict.h>

/* Invented names. */
static RhyTable *
names (void)
{
  static const char text[] = "name,Boat class\nMira & Jon <3>,Eight\n\"two\nlines\",Four\n";
  GError *error = NULL;
  RhyTable *table = rhy_table_new_from_data (text, strlen (text), "names.csv", &error);
  assert_no_error (error);
  return table;
}

static void
test_text (void **state)
{
  (void) state;
  static const struct { const char *template, *wanted; } rows[] = {
    { "{name}", "Mira & Jon <3>" },
    { "for {name}, { Boat class }!", "for Mira & Jon <3>, Eight!" },
    { "{{name}} {Boat class}", "{name} Eight" },
    { "no braces", "no braces" },
    { "open {name", "open {name" },
    { "} alone", "} alone" },
    { "", "" },
  };
  g_autoptr (RhyTable) table = names ();
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      GError *error = NULL;
      g_autofree char *text = rhy_fill_text (rows[i].template, table, 0, &error);
      assert_no_error (error);
      assert_string_equal (text, rows[i].wanted);
    }
}

static void
test_unknown_column_is_told (void **state)
{
  (void) state;
  g_autoptr (RhyTable) table = names ();
  g_autoptr (GError) error = NULL;
  assert_null (rhy_fill_text ("{Name}", table, 0, &error));
  assert_non_null (error);
  assert_string_equal (error->message, "the list of names has no column {Name}: it has name, Boat class");
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
}

/* In a drawing only what is a column is one: style sheets have braces of their own. */
static void
test_markup (void **state)
{
  (void) state;
  g_autoptr (RhyTable) table = names ();
  gsize n;
  g_autofree char *svg = rhy_fill_markup ("<style>a{fill:red}</style><text>{name}</text><text>{other}</text>", table, 0, &n);
  assert_string_equal (svg, "<style>a{fill:red}</style><text>Mira &amp; Jon &lt;3&gt;</text><text>{other}</text>");
  assert_int_equal (n, 1);
}

static void
test_job (void **state)
{
  (void) state;
  g_autoptr (RhyTable) table = names ();
  GError *error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_data ("[Job]\nTitle=Cup of {name}\n" CYLINDER "[Artwork]\nText={name}\n"
                                                  "[Artwork back]\nText=plain\n", -1, NULL, &error);
  g_autoptr (RhyJob) second = rhy_fill_job (job, table, 1, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_data (second)->job.title, "Cup of two\nlines");
  assert_string_equal (rhy_job_get_data (second)->artworks[0].text, "two lines");
  assert_string_equal (rhy_job_get_data (second)->artworks[1].text, "plain");
  assert_string_equal (rhy_job_get_data (job)->artworks[0].text, "{name}");

  g_autoptr (RhyJob) bad = rhy_job_with (job, "Artwork back", "Text", "{boat}", NULL);
  assert_null (rhy_fill_job (bad, table, 0, &error));
  assert_non_null (strstr (error->message, "[Artwork back] Text: the list of names has no column {boat}"));
  g_clear_error (&error);
}

/* A block of 30 x 10 mm by height 10, at most 24 wide: 80 %, 24 x 8. By hand. */
static void
test_shrinks_to_its_limit (void **state)
{
  (void) state;
  static const struct { const char *keys; double width, height; const char *code; RhyLevel level; } rows[] = {
    { "Height=10\nWidthMax=24\n", 24, 8, "shrunk", RHY_LEVEL_NOTE },
    { "Width=30\nWidthMax=24\n", 24, 8, "shrunk", RHY_LEVEL_NOTE },
    { "Height=10\nWidthMax=30\n", 30, 10, NULL, 0 },
    { "Height=10\nWidthMax=24\nShrinkMin=0.8\n", 24, 8, "shrunk", RHY_LEVEL_NOTE },
    { "Height=10\nWidthMax=24\nShrinkMin=0.81\n", 24, 8, "too-wide", RHY_LEVEL_STOP },
    { "Height=10\nWidthMax=15\n", 15, 5, "too-wide", RHY_LEVEL_STOP },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autofree char *text = g_strdup_printf (CYLINDER "[Machine]\nTravelPerTurn=auto\n[Artwork]\n%s", rows[i].keys);
      g_autoptr (RhyPlan) plan = good_plan (text, block (30, 10));
      assert_near (rhy_plan_get_numbers (plan)->width_mm, rows[i].width, 1e-9);
      assert_near (rhy_plan_get_numbers (plan)->height_mm, rows[i].height, 1e-9);
      g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, NULL);
      gboolean found = FALSE;
      for (gsize k = 0; k < rhy_verdict_get_n_findings (verdict); k++)
        {
          const RhyFinding *f = rhy_verdict_get_finding (verdict, k);
          assert_true (rows[i].code != NULL || (strcmp (f->code, "shrunk") != 0 && strcmp (f->code, "too-wide") != 0));
          found |= rows[i].code != NULL && strcmp (f->code, rows[i].code) == 0 && f->level == rows[i].level;
        }
      assert_true (found == (rows[i].code != NULL));
    }
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_text),
    cmocka_unit_test (test_unknown_column_is_told),
    cmocka_unit_test (test_markup),
    cmocka_unit_test (test_job),
    cmocka_unit_test (test_shrinks_to_its_limit),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
