/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "key-source.h"

#include <math.h>
#include <string.h>

#include "../shape/load.h"

/* ---- messages ---- */

static const char *
skip_mark (const char *text)
{
  return g_str_has_prefix (text, "\xEF\xBB\xBF") ? text + 3 : text;
}

char *
rhy_key_quoted (const char *found,
                gsize       length)
{
  const gsize most = 60;
  GString *s = g_string_new ("\"");
  const char *end = found + length;
  gsize n = 0;
  for (const char *p = found; p < end && n < most; p = g_utf8_next_char (p), n++)
    {
      const gunichar c = g_utf8_get_char_validated (p, end - p);
      if (c == (gunichar) -1 || c == (gunichar) -2)
        break;
      g_string_append_unichar (s, g_unichar_isprint (c) ? c : 0xFFFD);
    }
  if (n == most)
    g_string_append (s, "...");
  g_string_append_c (s, '"');
  return g_string_free (s, FALSE);
}

typedef struct
{
  const char *start, *end;      /* without line break and outer blanks */
  guint       number;
} Line;

static gboolean
next_line (const char **cursor,
           Line        *line)
{
  if (**cursor == '\0')
    return FALSE;
  const char *start = *cursor;
  const char *end = start + strcspn (start, "\n");
  *cursor = *end == '\n' ? end + 1 : end;
  while (start < end && g_ascii_isspace (*start))
    start++;
  while (end > start && g_ascii_isspace (end[-1]))
    end--;
  line->start = start;
  line->end = end;
  line->number++;
  return TRUE;
}

typedef enum { LINE_NOTHING, LINE_GROUP, LINE_KEY, LINE_BAD } LineKind;

/* @name: the group's or the key's, borrowed from the text. */
static LineKind
kind_of (const Line  *line,
         const char **name,
         gsize       *length)
{
  if (line->start == line->end || *line->start == '#')
    return LINE_NOTHING;
  if (*line->start == '[')
    {
      if (line->end[-1] != ']' || line->end - line->start < 3)
        return LINE_BAD;
      *name = line->start + 1;
      *length = (gsize) (line->end - line->start) - 2;
      return LINE_GROUP;
    }
  const char *equals = memchr (line->start, '=', (gsize) (line->end - line->start));
  if (equals == NULL || equals == line->start)
    return LINE_BAD;
  const char *end = equals;
  while (end > line->start && g_ascii_isspace (end[-1]))
    end--;
  *name = line->start;
  *length = (gsize) (end - line->start);
  return *length > 0 ? LINE_KEY : LINE_BAD;
}

guint
rhy_key_line_of (const char *text,
                 const char *group,
                 const char *key)
{
  Line line = { .number = 0 };
  guint group_line = 0;
  gboolean inside = FALSE;
  const char *cursor = text != NULL ? skip_mark (text) : "";
  while (next_line (&cursor, &line))
    {
      const char *name = NULL;
      gsize n = 0;
      switch (kind_of (&line, &name, &n))
        {
        case LINE_GROUP:
          inside = strlen (group) == n && memcmp (group, name, n) == 0;
          if (inside && group_line == 0)
            group_line = line.number;
          break;
        case LINE_KEY:
          if (inside && strlen (key) == n && memcmp (key, name, n) == 0)
            return line.number;
          break;
        default:
          break;
        }
    }
  return group_line;
}

char *
rhy_key_place (const char *name,
               guint       line)
{
  return line > 0 ? g_strdup_printf ("%s:%u", name, line) : g_strdup (name);
}

gboolean
rhy_key_complain (const RhyKeySource *source,
                  const char         *group,
                  const char         *key,
                  const char         *found,
                  const char         *allowed,
                  GError            **error)
{
  g_autofree char *at = rhy_key_place (source->name, rhy_key_line_of (source->text, group, key));
  if (found == NULL)
    g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: [%s] %s: missing: allowed: %s", at, group, key, allowed);
  else
    {
      g_autofree char *quote = rhy_key_quoted (found, strlen (found));
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: [%s] %s: found %s: allowed: %s",
                   at, group, key, quote, allowed);
    }
  return FALSE;
}

/* ---- values ---- */

char *
rhy_key_raw (const RhyKeySource *source,
             const char         *group,
             const char         *key)
{
  if (source->known != NULL)
    g_ptr_array_add (source->known, g_strconcat (group, "\n", key, NULL));
  char *text = g_key_file_get_value (source->file, group, key, NULL);
  return text != NULL ? g_strstrip (text) : NULL;
}

gboolean
rhy_key_is_number (const char *text,
                   double     *value)
{
  if (*text == '\0' || text[strspn (text, "0123456789+-.eE")] != '\0')
    return FALSE;
  char *end = NULL;
  *value = g_ascii_strtod (text, &end);
  return end != text && *end == '\0' && isfinite (*value);
}

/* Halves and quarters of a turn come out exact in this order. */
double
rhy_key_radians (double degrees)
{
  return degrees / 180.0 * G_PI;
}

static char *
allowed_number (const RhyNumberKey *k)
{
  char least[G_ASCII_DTOSTR_BUF_SIZE], greatest[G_ASCII_DTOSTR_BUF_SIZE];
  g_ascii_formatd (least, sizeof least, "%.6g", k->least);
  g_ascii_formatd (greatest, sizeof greatest, "%.6g", k->greatest);
  const char *comma = k->unit[0] != '\0' ? " " : "";
  return g_strdup_printf ("%sa number %s %s up to %s%s%s",
                          k->flags & RHY_NUMBER_MAY_BE_AUTO ? "auto, or " : "",
                          k->flags & RHY_NUMBER_ABOVE ? "above" : "from", least, greatest, comma, k->unit);
}

gboolean
rhy_key_number (const RhyKeySource *source,
                const RhyNumberKey *k,
                void               *base,
                GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, k->group, k->key);
  if (text == NULL)
    return TRUE;

  double value = 0.0;
  if ((k->flags & RHY_NUMBER_MAY_BE_AUTO) && strcmp (text, "auto") == 0)
    value = 0.0;
  else if (!rhy_key_is_number (text, &value)
           || !(k->flags & RHY_NUMBER_ABOVE ? value > k->least : value >= k->least)
           || !(value <= k->greatest))
    {
      g_autofree char *allowed = allowed_number (k);
      return rhy_key_complain (source, k->group, k->key, text, allowed, error);
    }
  *(double *) ((char *) base + k->offset) = k->flags & RHY_NUMBER_DEGREES ? rhy_key_radians (value) : value;
  return TRUE;
}

gboolean
rhy_key_word (const RhyKeySource *source,
              const RhyWordKey   *k,
              void               *base,
              GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, k->group, k->key);
  if (text == NULL)
    return TRUE;

  for (int i = 0; k->words[i] != NULL; i++)
    if (strcmp (text, k->words[i]) == 0)
      {
        memcpy ((char *) base + k->offset, &i, sizeof i);
        return TRUE;
      }
  g_autofree char *allowed = g_strjoinv (", ", (char **) k->words);
  return rhy_key_complain (source, k->group, k->key, text, allowed, error);
}

gboolean
rhy_key_string (const RhyKeySource *source,
                const char         *group,
                const char         *key,
                const char        **value,
                GError            **error)
{
  g_autofree char *text = rhy_key_raw (source, group, key);
  *value = NULL;
  if (text == NULL || *text == '\0')
    return TRUE;

  g_autoptr (GError) local = NULL;
  g_autofree char *plain = g_key_file_get_string (source->file, group, key, &local);
  if (plain == NULL || local != NULL)
    return rhy_key_complain (source, group, key, text, "text, with a backslash written as \\\\", error);
  *value = g_string_chunk_insert (source->strings, plain);
  return TRUE;
}

/* ---- text to key file ---- */

/* GKeyFile takes the last of two equal keys, and makes one of two equal groups, in silence; here
 * that might burn the wrong size, or one artwork of two. Keys are seen as GROUP\nKEY, groups as GROUP. */
static gboolean
check_lines (const char *text,
             const char *name,
             gboolean (*is_once) (const char *group),
             GError    **error)
{
  g_autoptr (GHashTable) seen = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autofree char *group = NULL;
  Line line = { .number = 0 };
  const char *cursor = text;
  while (next_line (&cursor, &line))
    {
      const char *start = NULL;
      gsize n = 0;
      const LineKind kind = kind_of (&line, &start, &n);
      if (kind == LINE_NOTHING)
        continue;
      if (kind == LINE_BAD || (kind == LINE_KEY && group == NULL))
        {
          g_autofree char *quote = rhy_key_quoted (line.start, (gsize) (line.end - line.start));
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                       "%s:%u: found %s: allowed: [Group], then Key=value, or # comment", name, line.number, quote);
          return FALSE;
        }
      g_autofree char *word = g_strndup (start, n);
      if (kind == LINE_GROUP)
        {
          const guint first = GPOINTER_TO_UINT (g_hash_table_lookup (seen, word));
          if (first > 0 && is_once (word))
            {
              g_set_error (error, RHY_ERROR, RHY_ERROR_JOB,
                           "%s:%u: found [%s] twice, first on line %u: allowed: once; give each artwork a name of its own",
                           name, line.number, word, first);
              return FALSE;
            }
          g_hash_table_insert (seen, g_strdup (word), GUINT_TO_POINTER (line.number));
          g_free (group);
          group = g_steal_pointer (&word);
          continue;
        }
      char *id = g_strconcat (group, "\n", word, NULL);
      const guint before = GPOINTER_TO_UINT (g_hash_table_lookup (seen, id));
      if (before > 0)
        {
          g_free (id);
          g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%u: [%s] %s: found twice, first on line %u: allowed: once",
                       name, line.number, group, word, before);
          return FALSE;
        }
      g_hash_table_insert (seen, id, GUINT_TO_POINTER (line.number));
    }
  return TRUE;
}

static guint
line_at (const char *text,
         const char *where)
{
  guint line = 1;
  for (const char *p = text; p < where; p++)
    line += *p == '\n';
  return line;
}

GKeyFile *
rhy_key_parse (const char *text,
       gsize length,
       const char *name,
       const char *what,
       gboolean (*is_once) (const char *group),
       GError **error)
{
  const char *bad = NULL;
  if (memchr (text, '\0', length) != NULL)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: holds binary data, not %s", name, what);
      return NULL;
    }
  if (!g_utf8_validate (text, (gssize) length, &bad))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s:%u: not UTF-8 text; %s is UTF-8", name, line_at (text, bad), what);
      return NULL;
    }
  const char *start = skip_mark (text);
  if (start[strspn (start, " \t\r\n")] == '\0')
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: empty, not %s", name, what);
      return NULL;
    }
  if (!check_lines (start, name, is_once, error))
    return NULL;

  g_autoptr (GKeyFile) file = g_key_file_new ();
  g_autoptr (GError) local = NULL;
  if (!g_key_file_load_from_data (file, start, strlen (start), G_KEY_FILE_KEEP_COMMENTS | G_KEY_FILE_KEEP_TRANSLATIONS,
                                  &local))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "%s: not %s: %s", name, what, local->message);
      return NULL;
    }
  return g_steal_pointer (&file);
}

gboolean
rhy_key_load (const char *path,
              char      **text,
              gsize      *length,
              GError    **error)
{
  return rhy_load (path, RHY_KEY_BYTES_MAX, "a job file", text, length, error);
}
