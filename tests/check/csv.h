/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

/* Tables of published and computed values as tests: every row of a CSV file in
 * this folder becomes one test, named by its id. README.md beside this file
 * says what the columns mean; each row names its source. */

#include "rhy-test.h"

typedef struct
{
  char  *file;
  char **columns;
} CsvTable;

typedef struct
{
  const CsvTable *table;
  char          **fields;
} CsvRow;

/* One file and what to do with each of its rows. */
typedef struct
{
  const char *file;
  void (*check) (const CsvRow *row);
} CsvCheck;

/* One line; a field in quotes may hold commas, and "" for a quote. */
static inline char **
csv_split (const char *line)
{
  g_autoptr (GPtrArray) fields = g_ptr_array_new ();
  const char *c = line;
  gboolean more = TRUE;
  while (more)
    {
      g_autoptr (GString) field = g_string_new (NULL);
      gboolean quoted = FALSE;
      for (; *c != '\0' && (quoted || *c != ','); c++)
        {
          if (*c != '"')
            g_string_append_c (field, *c);
          else if (quoted && c[1] == '"')
            g_string_append_c (field, *c++);
          else
            quoted = !quoted;
        }
      g_ptr_array_add (fields, g_strdup (field->str));
      more = *c == ',';
      if (more)
        c++;
    }
  g_ptr_array_add (fields, NULL);
  return (char **) g_ptr_array_steal (fields, NULL);
}

static inline int
csv_column (const CsvRow *row, const char *column)
{
  for (int i = 0; row->table->columns[i] != NULL; i++)
    if (strcmp (row->table->columns[i], column) == 0)
      return i;
  return -1;
}

/* The field's text, "" where it is blank; a column that the file lacks fails the test. */
static inline const char *
csv_text (const CsvRow *row, const char *column)
{
  const int i = csv_column (row, column);
  if (i < 0)
    fail_msg ("%s has no column %s", row->table->file, column);
  return row->fields[i];
}

static inline gboolean
csv_has (const CsvRow *row, const char *column)
{
  return *csv_text (row, column) != '\0';
}

static inline gboolean
csv_is (const CsvRow *row, const char *column, const char *text)
{
  return strcmp (csv_text (row, column), text) == 0;
}

/* The field as a number; blank fails the test. */
static inline double
csv_number (const CsvRow *row, const char *column)
{
  const char *text = csv_text (row, column);
  char *end = NULL;
  const double x = g_ascii_strtod (text, &end);
  if (*text == '\0' || *end != '\0')
    fail_msg ("%s: %s of %s is no number: '%s'", row->table->file, column, row->fields[0], text);
  return x;
}

/* As csv_number(), but blank is @otherwise. */
static inline double
csv_number_or (const CsvRow *row, const char *column, double otherwise)
{
  return csv_has (row, column) ? csv_number (row, column) : otherwise;
}

/* What the row allows: tol_abs + tol_rel |out|, or ill_tol_rel for the columns
 * that its ill_cols names. */
static inline double
csv_tolerance (const CsvRow *row, const char *column)
{
  const double size = fabs (csv_number (row, column));
  double tolerance = csv_number (row, "tol_abs") + csv_number (row, "tol_rel") * size;
  if (csv_column (row, "ill_cols") >= 0 && csv_has (row, "ill_cols"))
    {
      g_auto (GStrv) ill = g_strsplit_set (csv_text (row, "ill_cols"), " ;,", -1);
      if (g_strv_contains ((const char *const *) ill, column))
        tolerance = MAX (tolerance, csv_number (row, "ill_tol_rel") * size);
    }
  return tolerance;
}

/* A filled field against what the library says; @extra is added to what the row
 * allows, for a reason that stands where it is used. */
static inline void
csv_check_within (const CsvRow *row, const char *column, double found, double extra)
{
  if (!csv_has (row, column))
    return;
  const double wanted = csv_number (row, column);
  const double allowed = csv_tolerance (row, column) + extra;
  if (fabs (found - wanted) <= allowed)
    return;
  fail_msg ("%s, %s: found %.17g, wanted %.17g, off by %.3g, allowed %.3g (%s)",
            row->fields[0], column, found, wanted, found - wanted, allowed, csv_text (row, "source"));
}

static inline void
csv_check (const CsvRow *row, const char *column, double found)
{
  csv_check_within (row, column, found, 0.0);
}

typedef struct
{
  const CsvRow *row;
  void (*check) (const CsvRow *row);
} CsvCase;

static inline void
csv_run_case (void **state)
{
  const CsvCase *one = *state;
  one->check (one->row);
}

/* All rows of all files as one cmocka group (TAP knows one plan a program). */
static inline int
csv_run (const CsvCheck *checks, gsize n)
{
  GArray *tests = g_array_new (FALSE, FALSE, sizeof (struct CMUnitTest));
  for (gsize i = 0; i < n; i++)
    {
      g_autofree char *path = g_build_filename (g_getenv ("G_TEST_SRCDIR"), "check", checks[i].file, NULL);
      g_autofree char *text = NULL;
      g_autoptr (GError) error = NULL;
      if (!g_file_get_contents (path, &text, NULL, &error))
        g_error ("%s", error->message);
      g_auto (GStrv) lines = g_strsplit (text, "\n", -1);
      CsvTable *table = g_new0 (CsvTable, 1);
      table->file = g_strdup (checks[i].file);
      table->columns = csv_split (g_strchomp (lines[0]));
      for (gsize k = 1; lines[k] != NULL; k++)
        {
          if (*g_strchomp (lines[k]) == '\0')
            continue;
          CsvRow *row = g_new (CsvRow, 1);
          *row = (CsvRow) { table, csv_split (lines[k]) };
          if (g_strv_length (row->fields) != g_strv_length (table->columns))
            g_error ("%s: line %" G_GSIZE_FORMAT " has %u fields, the header %u", path, k + 1,
                     g_strv_length (row->fields), g_strv_length (table->columns));
          CsvCase *one = g_new (CsvCase, 1);
          *one = (CsvCase) { row, checks[i].check };
          const struct CMUnitTest test = { row->fields[0], csv_run_case, NULL, NULL, one };
          g_array_append_val (tests, test);
        }
    }
  const int failed = _cmocka_run_group_tests ("check", (struct CMUnitTest *) (void *) tests->data,
                                              tests->len, NULL, NULL);
  for (guint i = 0; i < tests->len; i++)
    {
      CsvCase *one = g_array_index (tests, struct CMUnitTest, i).initial_state;
      CsvRow *row = (CsvRow *) one->row;
      CsvTable *table = (CsvTable *) row->table;
      const CsvCase *next = i + 1 < tests->len ? g_array_index (tests, struct CMUnitTest, i + 1).initial_state : NULL;
      if (next == NULL || next->row->table != table)
        {
          g_free (table->file);
          g_strfreev (table->columns);
          g_free (table);
        }
      g_strfreev (row->fields);
      g_free (row);
      g_free (one);
    }
  g_array_unref (tests);
  return failed;
}
