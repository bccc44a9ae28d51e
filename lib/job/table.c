/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/table.h>

#include "../shape/error-line.h"

#include "../shape/load.h"
#include <string.h>

struct _RhyTable
{
  GStringChunk *text;
  GPtrArray    *header;         /* const char *, in the chunk */
  GPtrArray    *fields;         /* row after row */
  GArray       *lines;          /* gsize, one a row */
};

static void
clear (gpointer data)
{
  RhyTable *self = data;
  g_string_chunk_free (self->text);
  g_ptr_array_unref (self->header);
  g_ptr_array_unref (self->fields);
  g_array_unref (self->lines);
}

RhyTable *
rhy_table_ref (RhyTable *self)
{
  g_return_val_if_fail (self != NULL, NULL);

  return g_atomic_rc_box_acquire (self);
}

void
rhy_table_unref (RhyTable *self)
{
  g_return_if_fail (self != NULL);

  g_atomic_rc_box_release_full (self, clear);
}

/* Where reading stands. */
typedef struct
{
  const char *p, *end;
  gsize       line;
  const char *name;
} Reader;

static gboolean
too_long (const Reader *r,
          gsize         length,
          GError      **error)
{
  if (length <= RHY_TABLE_FIELD_MAX)
    return FALSE;
  g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
               "%s:%" G_GSIZE_FORMAT ": a field of more than %u KiB: names are shorter; is a quote missing?",
               r->name, r->line, RHY_TABLE_FIELD_MAX >> 10);
  return TRUE;
}

/* A quoted field; the reader stands behind its first quote. */
static gboolean
read_quoted (Reader  *r,
             GString *field,
             GError **error)
{
  const gsize line = r->line;
  while (r->p < r->end)
    {
      const char c = *r->p++;
      if (c == '\n')
        r->line++;
      if (c != '"')
        g_string_append_c (field, c);
      else if (r->p < r->end && *r->p == '"')
        {
          g_string_append_c (field, '"');
          r->p++;
        }
      else
        return TRUE;
      if (too_long (r, field->len, error))
        return FALSE;
    }
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
               "%s:%" G_GSIZE_FORMAT ": a quote opens here and does not close", r->name, line);
  return FALSE;
}

/* One field and what ends it: ',', '\n', or 0 at the end of the text; -1 on error. */
static int
read_field (Reader  *r,
            GString *field,
            GError **error)
{
  g_string_truncate (field, 0);
  if (r->p < r->end && *r->p == '"')
    {
      r->p++;
      if (!read_quoted (r, field, error))
        return -1;
      if (r->p < r->end && *r->p != ',' && *r->p != '\n' && *r->p != '\r')
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                       "%s:%" G_GSIZE_FORMAT ": text after a closing quote: a comma or the line's end is allowed there",
                       r->name, r->line);
          return -1;
        }
    }
  while (r->p < r->end)
    {
      const char c = *r->p++;
      if (c == ',')
        return ',';
      if (c == '\n')
        return '\n';
      if (c == '\r' && (r->p == r->end || *r->p == '\n'))
        continue;
      g_string_append_c (field, c);
      if (too_long (r, field->len, error))
        return -1;
    }
  return 0;
}

/* A row's fields, in the chunk; the text's end, or an empty row, gives one empty field. */
static gboolean
read_row (Reader       *r,
          GStringChunk *chunk,
          GString      *field,
          GPtrArray    *row,
          GError      **error)
{
  g_ptr_array_set_size (row, 0);
  int stop;
  do
    {
      stop = read_field (r, field, error);
      if (stop < 0)
        return FALSE;
      g_ptr_array_add (row, g_string_chunk_insert_len (chunk, field->str, (gssize) field->len));
    }
  while (stop == ',');
  if (stop == '\n')
    r->line++;
  return TRUE;
}

static gboolean
is_empty (const GPtrArray *row)
{
  return row->len == 1 && *(const char *) row->pdata[0] == '\0';
}

static gboolean
read_header (RhyTable *self,
             Reader   *r,
             GString  *field,
             GError  **error)
{
  if (!read_row (r, self->text, field, self->header, error))
    return FALSE;
  g_autoptr (GHashTable) names = g_hash_table_new (g_str_hash, g_str_equal);
  for (guint i = 0; i < self->header->len; i++)
    {
      char *name = g_strstrip (self->header->pdata[i]);
      self->header->pdata[i] = name;
      if (!g_hash_table_add (names, name))
        {
          g_autofree char *shown = *name != '\0' ? rhy_error_line (name, -1, 60) : g_strdup ("without a name");
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:1: column %s is there twice", r->name, shown);
          return FALSE;
        }
    }
  /* What spreadsheets write where the comma is the decimal sign, or when asked for tabs. */
  const char *parted = self->header->len == 1 ? strpbrk (self->header->pdata[0], ";\t") : NULL;
  if (parted != NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:1: columns parted by %s: allowed: commas, and a decimal point in numbers; "
                   "save the table as CSV with commas", r->name, *parted == ';' ? "semicolons" : "tabs");
      return FALSE;
    }
  if (is_empty (self->header))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:1: no header: the first row must name the columns", r->name);
      return FALSE;
    }
  return TRUE;
}

RhyTable *
rhy_table_new_from_data (const char *text,
                         gsize       length,
                         const char *name,
                         GError    **error)
{
  g_return_val_if_fail ((text != NULL || length == 0) && name != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (length > RHY_TABLE_BYTES_MAX)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%s: %" G_GSIZE_FORMAT " bytes: at most %u MiB are read",
                   name, length, RHY_TABLE_BYTES_MAX >> 20);
      return NULL;
    }
  if (length > 0 && (!g_utf8_validate_len (text, length, NULL) || memchr (text, 0, length) != NULL))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                   "%s: not UTF-8 text: save the table as CSV with UTF-8 encoding", name);
      return NULL;
    }
  if (length >= 3 && memcmp (text, "\xef\xbb\xbf", 3) == 0)
    {
      text += 3;
      length -= 3;
    }

  if (length > 0 && memchr (text, '\r', length) != NULL && memchr (text, '\n', length) == NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: lines that end in a carriage return alone: allowed: LF or CR LF; "
                   "save the table as plain CSV", name);
      return NULL;
    }

  g_autoptr (RhyTable) self = g_atomic_rc_box_new0 (RhyTable);
  self->text = g_string_chunk_new (4096);
  self->header = g_ptr_array_new ();
  self->fields = g_ptr_array_new ();
  self->lines = g_array_new (FALSE, FALSE, sizeof (gsize));
  g_autoptr (GString) field = g_string_new (NULL);
  g_autoptr (GPtrArray) row = g_ptr_array_new ();
  Reader r = { text, text + length, 1, name };
  if (!read_header (self, &r, field, error))
    return NULL;

  while (r.p < r.end)
    {
      const gsize line = r.line;
      if (!read_row (&r, self->text, field, row, error))
        return NULL;
      if (is_empty (row))
        continue;
      if (row->len != self->header->len)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                       "%s:%" G_GSIZE_FORMAT ": %u field%s where the header has %u: quote fields that hold a comma",
                       name, line, row->len, row->len == 1 ? "" : "s", self->header->len);
          return NULL;
        }
      if (self->lines->len == RHY_TABLE_ROWS_MAX)
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "%s: more than %u rows", name, RHY_TABLE_ROWS_MAX);
          return NULL;
        }
      g_ptr_array_extend (self->fields, row, NULL, NULL);
      g_array_append_val (self->lines, line);
    }
  return g_steal_pointer (&self);
}

RhyTable *
rhy_table_new_from_file (const char *path,
                         GError    **error)
{
  g_return_val_if_fail (path != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  g_autofree char *text = NULL;
  gsize length = 0;
  if (!rhy_load (path, RHY_TABLE_BYTES_MAX, "a table", &text, &length, error))
    return NULL;
  return rhy_table_new_from_data (text, length, path, error);
}

gsize
rhy_table_get_n_rows (const RhyTable *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->lines->len;
}

gsize
rhy_table_get_n_columns (const RhyTable *self)
{
  g_return_val_if_fail (self != NULL, 0);

  return self->header->len;
}

const char *
rhy_table_get_column (const RhyTable *self,
                      gsize           column)
{
  g_return_val_if_fail (self != NULL && column < self->header->len, NULL);

  return self->header->pdata[column];
}

gboolean
rhy_table_find_column (const RhyTable *self,
                       const char     *name,
                       gsize          *column)
{
  g_return_val_if_fail (self != NULL && name != NULL && column != NULL, FALSE);

  for (guint i = 0; i < self->header->len; i++)
    if (strcmp (name, self->header->pdata[i]) == 0)
      {
        *column = i;
        return TRUE;
      }
  return FALSE;
}

const char *
rhy_table_get (const RhyTable *self,
               gsize           row,
               gsize           column)
{
  g_return_val_if_fail (self != NULL && row < self->lines->len && column < self->header->len, NULL);

  return self->fields->pdata[row * self->header->len + column];
}

gsize
rhy_table_get_line (const RhyTable *self,
                    gsize           row)
{
  g_return_val_if_fail (self != NULL && row < self->lines->len, 0);

  return g_array_index (self->lines, gsize, row);
}
