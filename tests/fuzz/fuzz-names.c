/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fuzz.h"

#include <string.h>

/* A list of names: every row has a field for every column, each of them text. */

int
LLVMFuzzerInitialize (int    *argc,
                      char ***argv)
{
  (void) argc;
  (void) argv;
  return 0;
}

int
LLVMFuzzerTestOneInput (const guint8 *data,
                        gsize         size)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyTable) table = rhy_table_new_from_data ((const char *) data, size, "names.csv", &error);
  must_be_told (table != NULL, error);
  if (table == NULL)
    return 0;
  const gsize n_rows = rhy_table_get_n_rows (table);
  const gsize n_columns = rhy_table_get_n_columns (table);
  gsize line = 0;
  for (gsize row = 0; row < n_rows; row++)
    {
      MUST (rhy_table_get_line (table, row) > line);
      line = rhy_table_get_line (table, row);
      for (gsize column = 0; column < n_columns; column++)
        {
          const char *field = rhy_table_get (table, row, column);
          MUST (strlen (field) <= RHY_TABLE_FIELD_MAX && g_utf8_validate (field, -1, NULL));
        }
    }
  return 0;
}
