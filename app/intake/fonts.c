/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "fonts.h"

#include <pango/pangocairo.h>
#include <rhyton/artwork.h>
#include <string.h>

#include "source.h"

/* Enough to act on; a drawing with more has one trouble, not many. */
static const guint NOTES_MAX = 8;
static const gsize NAME_MAX_LENGTH = 100;

/* CSS Fonts 4, section 2.1.3, and the names that fontconfig gives the first three. */
static gboolean
is_generic (const char *name)
{
  static const char *const names[] = { "serif", "sans-serif", "monospace", "cursive", "fantasy", "system-ui", "sans", "mono",
                                       "inherit", "initial", "unset", "normal" };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    if (g_ascii_strcasecmp (name, names[i]) == 0)
      return TRUE;
  return FALSE;
}

/* The list after "font-family" at @at: an attribute's value, or a property's. */
static char *
read_list (const char *at,
           const char *end)
{
  while (at < end && g_ascii_isspace (*at))
    at++;
  if (at >= end || (*at != ':' && *at != '='))
    return NULL;
  const gboolean is_attribute = *at++ == '=';
  while (at < end && g_ascii_isspace (*at))
    at++;
  if (at >= end)
    return NULL;

  const char *stops = ";}<>";
  char quote[2] = { 0 };
  if (is_attribute)
    {
      quote[0] = *at++;
      stops = quote;
    }
  GString *list = g_string_new (NULL);
  for (; at < end && list->len < 4 * NAME_MAX_LENGTH && strchr (stops, *at) == NULL; at++)
    {
      /* A double quote in a style attribute ends it, unless a name has just begun. */
      if (!is_attribute && *at == '"' && list->len > 0 && list->str[list->len - 1] != ',' && strchr (list->str, '"') == NULL)
        break;
      g_string_append_c (list, *at);
    }
  return g_string_free (list, FALSE);
}

/* Whether one of @list is here, or nothing in particular was asked for; else its first name. */
static gboolean
is_at_hand (PangoFontMap *map,
            const char   *list,
            char        **first)
{
  g_auto (GStrv) names = g_strsplit (list, ",", 16);
  for (char **name = names; *name != NULL; name++)
    {
      g_strdelimit (*name, "\"'\n\r\t", ' ');
      g_strstrip (*name);
      if (**name == '\0' || strchr (*name, '&') != NULL)
        continue;
      if (is_generic (*name))
        return *first == NULL;
      if (pango_font_map_get_family (map, *name) != NULL)
        return TRUE;
      if (*first == NULL)
        *first = g_strdup (*name);
    }
  return *first == NULL;
}

void
fonts_note_missing (Wire   *wire,
                    GBytes *source)
{
  if (!source_has_element (source, "text"))
    return;

  gsize size;
  const char *text = g_bytes_get_data (source, &size);
  const char *end = text + size;
  PangoFontMap *map = pango_cairo_font_map_get_default ();
  g_autoptr (GHashTable) lists = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  g_autoptr (GHashTable) said = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  static const char property[] = "font-family";

  for (const char *at = text; g_hash_table_size (said) < NOTES_MAX
                              && (at = memmem (at, (gsize) (end - at), property, strlen (property))) != NULL;)
    {
      at += strlen (property);
      char *list = read_list (at, end);
      if (list == NULL || !g_utf8_validate (list, -1, NULL))
        {
          g_free (list);
          continue;
        }
      g_autofree char *missing = NULL;
      g_autofree char *copy = g_strdup (list);
      if (!g_hash_table_add (lists, list) || is_at_hand (map, copy, &missing) || missing == NULL)
        continue;
      if (g_hash_table_contains (said, missing))
        continue;
      g_autofree char *note = g_strdup_printf ("the font \"%.*s\" is not installed: another stands in for it", (int) NAME_MAX_LENGTH, missing);
      wire_note (wire, note);
      g_hash_table_add (said, g_steal_pointer (&missing));
    }
}

static int
count_unknown (PangoLayout *layout,
               const char  *text,
               int          length)
{
  pango_layout_set_text (layout, text, length);
  return pango_layout_get_unknown_glyphs_count (layout);
}

void
fonts_note_no_glyph (Wire   *wire,
                     GBytes *source)
{
  if (!source_has_element (source, "text"))
    return;

  /* Each letter once; every font has those of ASCII. */
  g_autofree char *text = source_shown_text (source);
  g_autoptr (GHashTable) met = g_hash_table_new (NULL, NULL);
  g_autoptr (GString) letters = g_string_new (NULL);
  for (const char *at = text; *at != '\0'; at = g_utf8_next_char (at))
    {
      const gunichar c = g_utf8_get_char (at);
      if (c > 0x7f && g_hash_table_add (met, GUINT_TO_POINTER (c)))
        g_string_append_unichar (letters, c);
    }
  if (letters->len == 0)
    return;

  PangoContext *context = pango_font_map_create_context (pango_cairo_font_map_get_default ());
  PangoLayout *layout = pango_layout_new (context);
  g_autoptr (GString) lacking = g_string_new (NULL);
  guint n = 0;
  if (count_unknown (layout, letters->str, -1) == 0)
    g_string_truncate (letters, 0);
  for (const char *at = letters->str; *at != '\0' && n < NOTES_MAX; at = g_utf8_next_char (at))
    if (count_unknown (layout, at, (int) (g_utf8_next_char (at) - at)) > 0)
      g_string_append_printf (lacking, "%s\"%.*s\" (U+%04X)", n++ == 0 ? "" : ", ", (int) (g_utf8_next_char (at) - at), at, g_utf8_get_char (at));
  g_object_unref (layout);
  g_object_unref (context);
  if (n == 0)
    return;
  g_autofree char *note = g_strdup_printf (RHY_ARTWORK_NO_GLYPH "%s: a box with its number would be burnt instead; install a font that has it, "
                                           "or write it otherwise", lacking->str);
  wire_note (wire, note);
}
