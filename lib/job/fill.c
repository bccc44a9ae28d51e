/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/fill.h>

#include <string.h>

#include "../shape/error-line.h"

static gboolean
no_column (const char     *name,
           const RhyTable *table,
           GError        **error)
{
  GString *columns = g_string_new (NULL);
  for (gsize i = 0; i < rhy_table_get_n_columns (table) && columns->len < 200; i++)
    g_string_append_printf (columns, "%s%s", i > 0 ? ", " : "", rhy_table_get_column (table, i));
  g_autofree char *shown = rhy_error_line (name, -1, 60);
  g_autofree char *all = rhy_error_line (columns->str, -1, 240);
  g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "the list of names has no column {%s}: it has %s", shown, all);
  g_string_free (columns, TRUE);
  return FALSE;
}

/* The name between the braces that open at @open, or NULL where they do not close on its line. */
static char *
name_at (const char  *open,
         const char **after)
{
  const char *end = open + 1 + strcspn (open + 1, "{}\n");
  if (*end != '}')
    return NULL;
  *after = end + 1;
  return g_strstrip (g_strndup (open + 1, (gsize) (end - open) - 1));
}

char *
rhy_fill_text (const char     *template,
               const RhyTable *table,
               gsize           row,
               GError        **error)
{
  g_return_val_if_fail (template != NULL && table != NULL, NULL);

  GString *out = g_string_new (NULL);
  for (const char *p = template; *p != '\0';)
    {
      if ((*p == '{' || *p == '}') && p[1] == *p)
        {
          g_string_append_c (out, *p);
          p += 2;
          continue;
        }
      const char *after = NULL;
      g_autofree char *name = *p == '{' ? name_at (p, &after) : NULL;
      if (name == NULL)
        {
          g_string_append_c (out, *p++);
          continue;
        }
      gsize column;
      if (!rhy_table_find_column (table, name, &column))
        {
          no_column (name, table, error);
          g_string_free (out, TRUE);
          return NULL;
        }
      g_string_append (out, rhy_table_get (table, row, column));
      p = after;
    }
  return g_string_free (out, FALSE);
}

char *
rhy_fill_markup (const char     *markup,
                 const RhyTable *table,
                 gsize           row,
                 gsize          *n)
{
  g_return_val_if_fail (markup != NULL && table != NULL && n != NULL, NULL);

  GString *out = g_string_new (NULL);
  *n = 0;
  for (const char *p = markup; *p != '\0';)
    {
      const gsize plain = strcspn (p, "{");
      g_string_append_len (out, p, (gssize) plain);
      p += plain;
      if (*p == '\0')
        break;
      gsize column;
      const char *after = NULL;
      g_autofree char *name = name_at (p, &after);
      if (name == NULL || !rhy_table_find_column (table, name, &column))
        {
          g_string_append_c (out, *p++);
          continue;
        }
      g_autofree char *field = g_markup_escape_text (rhy_table_get (table, row, column), -1);
      g_string_append (out, field);
      (*n)++;
      p = after;
    }
  return g_string_free (out, FALSE);
}

/* @job: (transfer full) (nullable) */
static RhyJob *
with_filled (RhyJob         *job,
             const char     *group,
             const char     *key,
             const char     *template,
             const RhyTable *table,
             gsize           row,
             GError        **error)
{
  g_autoptr (RhyJob) before = job;
  if (before == NULL || template == NULL || strpbrk (template, "{}") == NULL)
    return g_steal_pointer (&before);
  g_autofree char *text = rhy_fill_text (template, table, row, error);
  if (text == NULL)
    {
      g_prefix_error (error, "[%s] %s: ", group, key);
      return NULL;
    }
  /* A field may hold line breaks; lettering is one line. */
  if (strcmp (key, "Text") == 0)
    g_strdelimit (text, "\r\n\t", ' ');
  return rhy_job_with_text (before, group, key, text, error);
}

RhyJob *
rhy_fill_job (const RhyJob   *job,
              const RhyTable *table,
              gsize           row,
              GError        **error)
{
  g_return_val_if_fail (job != NULL && table != NULL, NULL);

  const RhyJobData *d = rhy_job_get_data (job);
  RhyJob *filled = with_filled (rhy_job_ref ((RhyJob *) job), "Job", "Title", d->job.title, table, row, error);
  filled = with_filled (filled, "Job", "Note", d->job.note, table, row, error);
  for (gsize i = 0; i < d->n_artworks; i++)
    filled = with_filled (filled, d->artworks[i].group, "Text", d->artworks[i].text, table, row, error);
  return filled;
}
