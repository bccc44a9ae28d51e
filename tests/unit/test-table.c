/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/table.h>

static RhyTable *
table_of (const char *text, GError **error)
{
  return rhy_table_new_from_data (text, strlen (text), "names.csv", error);
}

/* The rules of RFC 4180, section 2, one after another. */
static void
test_rfc_4180 (void **state)
{
  (void) state;
  g_autoptr (RhyTable) t = table_of ("\xef\xbb\xbfname,boat\r\n\"Larkin, A.\",Heron\r\n\r\n\"The \"\"Duck\"\"\",\"two\nlines\"\nplain,", NULL);
  assert_non_null (t);
  assert_int_equal (rhy_table_get_n_columns (t), 2);
  assert_int_equal (rhy_table_get_n_rows (t), 3);
  assert_string_equal (rhy_table_get (t, 0, 0), "Larkin, A.");
  assert_string_equal (rhy_table_get (t, 1, 0), "The \"Duck\"");
  assert_string_equal (rhy_table_get (t, 1, 1), "two\nlines");
  assert_string_equal (rhy_table_get (t, 2, 1), "");
  assert_int_equal (rhy_table_get_line (t, 0), 2);
  assert_int_equal (rhy_table_get_line (t, 1), 4);
  assert_int_equal (rhy_table_get_line (t, 2), 6);
  gsize c = 9;
  assert_true (rhy_table_find_column (t, "boat", &c));
  assert_int_equal (c, 1);
  assert_false (rhy_table_find_column (t, "cox", &c));
}

typedef struct { const char *text, *says; } Bad;
static const Bad bad[] = {
  { "name\n\"open", "names.csv:2: a quote opens" },
  { "name,boat\nx\n", "names.csv:2: 1 field where the header has 2" },
  { "name\nx,y\n", "names.csv:2: 2 fields" },
  { "name,name\n", "twice" },
  { "\"a\nb\",\"a\nb\"\n", "column a b is there twice" },    /* one line whatever the name */
  { "", "no header" },
  { "\n", "no header" },
  { "name\n\"a\"b\n", "names.csv:2: text after a closing quote" },
  { "name\n\xff\n", "not UTF-8" },
  { "name;boat\nAda;Heron\n", "names.csv:1: columns parted by semicolons: allowed: commas" },
  { "name\tboat\nAda\tHeron\n", "names.csv:1: columns parted by tabs: allowed: commas" },
  { "name,boat\rAda,Heron\r", "names.csv: lines that end in a carriage return alone" },
};

static void
test_bad_tables_say_where (void **state)
{
  (void) state;
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      GError *error = NULL;
      assert_null (table_of (bad[i].text, &error));
      assert_non_null (error);
      if (strstr (error->message, bad[i].says) == NULL)
        print_error ("%s\n", error->message);
      assert_non_null (strstr (error->message, bad[i].says));
      assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
    }
}

static void
test_a_field_of_ten_megabytes_is_refused (void **state)
{
  (void) state;
  GString *s = g_string_new ("name\n\"");
  for (int i = 0; i < 10 << 20; i++)
    g_string_append_c (s, 'x');
  GError *error = NULL;
  assert_null (rhy_table_new_from_data (s->str, s->len, "names.csv", &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
  g_string_free (s, TRUE);
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_rfc_4180),
    cmocka_unit_test (test_bad_tables_say_where),
    cmocka_unit_test (test_a_field_of_ten_megabytes_is_refused),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
