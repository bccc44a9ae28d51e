/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include "rhy-locale.h"

#include "rhyton-measure.h"
#include "rhyton-panel.h"

/* Expected values by hand; 1 in = 25.4 mm exactly (the international inch). */
typedef struct
{
  const char        *text;
  RhytonMeasureKind  kind;
  RhytonUnit         bare;
  double             want;
} Reads;

#define LENGTH RHYTON_MEASURE_LENGTH
#define ANGLE RHYTON_MEASURE_ANGLE
#define MM RHYTON_UNIT_MM
#define INCH RHYTON_UNIT_INCH
#define DEGREE RHYTON_UNIT_DEGREE

static const Reads reads[] = {
  { "82.5", LENGTH, MM, 82.5 },
  { "82,5", LENGTH, MM, 82.5 },
  { " 82,5 mm ", LENGTH, MM, 82.5 },
  { "8,25cm", LENGTH, MM, 82.5 },
  { ".5", LENGTH, MM, 0.5 },
  { "5.", LENGTH, MM, 5.0 },
  { "1,234", LENGTH, MM, 1.234 },
  { "3 1/4 in", LENGTH, MM, 82.55 },
  { "3 1/4\"", LENGTH, MM, 82.55 },
  { "3\u00bc in", LENGTH, MM, 82.55 },
  { "3 \u00bc\u2033", LENGTH, MM, 82.55 },
  { "\u00bd in", LENGTH, MM, 12.7 },
  { "3 1/4", LENGTH, INCH, 82.55 },
  { "3 1/2 Inch", LENGTH, MM, 88.9 },
  { "88.9/2", LENGTH, MM, 44.45 },
  { "7/2 in", LENGTH, MM, 88.9 },
  { "7 in / 2", LENGTH, MM, 88.9 },
  { "2 * (10 + 2.5)", LENGTH, MM, 25.0 },
  { "2\u00d710 \u2212 1", LENGTH, MM, 19.0 },
  { "82,5 + 1/8 in", LENGTH, MM, 85.675 },
  { "1 in + 1", LENGTH, MM, 26.4 },
  { "1 in + 1", LENGTH, INCH, 50.8 },
  { "2 mm", LENGTH, INCH, 2.0 },
  { "-4.5", LENGTH, MM, -4.5 },
  { "- 1 1/2", LENGTH, MM, -1.5 },
  { "10 - -2", LENGTH, MM, 12.0 },
  { "45", ANGLE, DEGREE, 45.0 },
  { "360/8\u00b0", ANGLE, DEGREE, 45.0 },
  { "-12,5 deg", ANGLE, DEGREE, -12.5 },
};

static void
test_reads (void **state)
{
  (void) state;
  for (gsize i = 0; i < G_N_ELEMENTS (reads); i++)
    {
      GError *error = NULL;
      double value = NAN;
      if (!rhyton_measure_parse (reads[i].text, reads[i].kind, reads[i].bare, &value, &error))
        print_error ("refused: %s\n", reads[i].text);
      assert_no_error (error);
      if (!(fabs (value - reads[i].want) <= 1e-12))
        print_error ("for %s\n", reads[i].text);
      /* Two roundings on values under 100. */
      assert_near (value, reads[i].want, 1e-12);
    }
}

static void
test_refuses (void **state)
{
  (void) state;
  static const char *const texts[] = {
    "", "   ", "abc", "1.234,5", "1,234.5", "1.2.3", "12 34", "1 2/0", "5/0", "1/(2-2)", "3 1/4 inn", "10 deg",
    "2 in * 3 in", "2 in in", "(1", "1)", "1 +", "* 2", "0x10", "1e3", "nan", "inf", "12mm5", "3 furlong", "--",
    "..", ",", "1 / 2 /", "((((((((((((((((((((((((((((((((((((((1))))))))))))))))))))))))))))))))))))))",
    "----------------------------------------1", "\xff\xfe", "5\xc2",
  };

  for (gsize i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      GError *error = NULL;
      double value = 7.0;
      if (rhyton_measure_parse (texts[i], RHYTON_MEASURE_LENGTH, RHYTON_UNIT_MM, &value, &error))
        print_error ("taken: %s as %g\n", texts[i], value);
      assert_error (error, RHYTON_MEASURE_ERROR, RHYTON_MEASURE_ERROR_TEXT);
      assert_true (value == 7.0);
    }
}

static void
test_refusal_says_what (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  double value;
  assert_false (rhyton_measure_parse ("1.234,5", RHYTON_MEASURE_LENGTH, RHYTON_UNIT_MM, &value, &error));
  assert_non_null (strstr (error->message, "1.234,5"));
  assert_non_null (strstr (error->message, "decimal sign"));
  assert_null (strchr (error->message, '\n'));
}

static void
test_angle_is_no_length (void **state)
{
  (void) state;
  GError *error = NULL;
  double value;
  assert_false (rhyton_measure_parse ("5 mm", RHYTON_MEASURE_ANGLE, RHYTON_UNIT_DEGREE, &value, &error));
  assert_error (error, RHYTON_MEASURE_ERROR, RHYTON_MEASURE_ERROR_TEXT);
}

static void
assert_format (double      value,
               RhytonUnit  unit,
               const char *want)
{
  g_autofree char *text = rhyton_measure_format (value, unit);
  assert_string_equal (text, want);
}

static void
test_formats (void **state)
{
  (void) state;
  assert_format (82.5, RHYTON_UNIT_MM, "82.5");
  assert_format (82.0, RHYTON_UNIT_MM, "82");
  assert_format (100.0, RHYTON_UNIT_MM, "100");
  assert_format (0.0, RHYTON_UNIT_MM, "0");
  assert_format (-0.0001, RHYTON_UNIT_MM, "0");
  assert_format (49.18765, RHYTON_UNIT_MM, "49.188");
  assert_format (82.55, RHYTON_UNIT_INCH, "3.25");
  assert_format (1.0, RHYTON_UNIT_INCH, "0.0394");
  assert_format (-12.5, RHYTON_UNIT_DEGREE, "-12.5");
}

/* What is shown reads back within half of its last digit, in either locale. */
static void
test_round_trip (void **state)
{
  (void) state;
  g_autoptr (GRand) random = g_rand_new_with_seed (20);
  for (int i = 0; i < 10000; i++)
    {
      const double value = g_rand_double_range (random, -2000.0, 2000.0);
      const RhytonUnit unit = g_rand_boolean (random) ? RHYTON_UNIT_MM : RHYTON_UNIT_INCH;
      const double half_digit = unit == RHYTON_UNIT_MM ? 0.5e-3 : 0.5e-4 * 25.4;
      g_autofree char *text = rhyton_measure_format (value, unit);
      double back = NAN;
      assert_true (rhyton_measure_parse (text, RHYTON_MEASURE_LENGTH, unit, &back, NULL));
      assert_near (back, value, half_digit * (1.0 + 1e-9));
    }
}

static void
test_comma_locale (void **state)
{
  (void) state;
  const char *locale = rhy_comma_locale ();
  if (locale == NULL)
    {
      print_message ("# no locale with a decimal comma here\n");
      return;
    }
  assert_non_null (setlocale (LC_NUMERIC, locale));
  assert_format (82.5, RHYTON_UNIT_MM, "82,5");
  double value = NAN;
  assert_true (rhyton_measure_parse ("82.5", RHYTON_MEASURE_LENGTH, RHYTON_UNIT_MM, &value, NULL));
  assert_near (value, 82.5, 0.0);
  assert_true (rhyton_measure_parse ("82,5", RHYTON_MEASURE_LENGTH, RHYTON_UNIT_MM, &value, NULL));
  assert_near (value, 82.5, 0.0);
  setlocale (LC_NUMERIC, "C");
}

static void
expect_said (const char *text,
             gboolean    inches,
             const char *want)
{
  g_autofree char *said = rhyton_panel_lengths_in (text, inches);
  assert_string_equal (said, want);
}

/* Findings come in mm with a point. 18 / 25.4 = 0.7087, 150 / 25.4 = 5.9055, 1 / 25.4 = 0.0394, 12.7 is half an inch. */
static void
test_lengths_in_sentences (void **state)
{
  (void) state;
  expect_said ("Only the heights 18.0 to 150.0 mm are in reach.", FALSE, "Only the heights 18.0 to 150.0 mm are in reach.");
  expect_said ("Only the heights 18.0 to 150.0 mm are in reach.", TRUE, "Only the heights 0.709 to 5.906\u202fin are in reach.");
  expect_said ("The ink is 25.40 \u00d7 12.70 mm, 3 of it", TRUE, "The ink is 1 \u00d7 0.5\u202fin, 3 of it");
  expect_said ("12.7 mm too low at -1.0 mm", TRUE, "0.5\u202fin too low at -0.039\u202fin");
  expect_said ("over 4.00 mm\u00b2, 100 mm/s, at 4.95 \u00b1 0.05\u00b0", TRUE, "over 4.00 mm\u00b2, 100 mm/s, at 4.95 \u00b1 0.05\u00b0");
  if (rhy_comma_locale () == NULL)
    return;
  assert_non_null (setlocale (LC_NUMERIC, rhy_comma_locale ()));
  expect_said ("crest.2.svg is off by 2.50 mm at 4.95 \u00b1 0.05\u00b0", FALSE,
               "crest.2.svg is off by 2,5\u202fmm at 4,95 \u00b1 0,05\u00b0");
  /* What is said that way already stays. */
  expect_said ("53,07\u202fmm free", FALSE, "53,07\u202fmm free");
  setlocale (LC_NUMERIC, "C");
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_reads),
    cmocka_unit_test (test_refuses),
    cmocka_unit_test (test_refusal_says_what),
    cmocka_unit_test (test_angle_is_no_length),
    cmocka_unit_test (test_formats),
    cmocka_unit_test (test_round_trip),
    cmocka_unit_test (test_comma_locale),
    cmocka_unit_test (test_lengths_in_sentences),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
