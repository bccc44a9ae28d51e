/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/lettering.h>

#include <string.h>

/* Style words that may follow a family's name, and the property each sets.
 * Weights are CSS's (CSS Fonts Level 3, 3.2). */
static const struct { const char *word; const char *property; const char *value; } styles[] = {
  { "thin", "font-weight", "100" },
  { "extralight", "font-weight", "200" },
  { "light", "font-weight", "300" },
  { "regular", "font-weight", "400" },
  { "book", "font-weight", "400" },
  { "medium", "font-weight", "500" },
  { "semibold", "font-weight", "600" },
  { "bold", "font-weight", "700" },
  { "extrabold", "font-weight", "800" },
  { "black", "font-weight", "900" },
  { "italic", "font-style", "italic" },
  { "oblique", "font-style", "oblique" },
  { "condensed", "font-stretch", "condensed" },
};

/* Moves trailing style words of @family to @attributes. A name made of nothing
 * else keeps its first word: a family may be called "Black". */
static void
take_styles (GString *family,
             GString *attributes)
{
  while (TRUE)
    {
      const char *blank = strrchr (family->str, ' ');
      if (blank == NULL)
        return;
      g_autofree char *word = g_ascii_strdown (blank + 1, -1);
      gsize i = 0;
      while (i < G_N_ELEMENTS (styles) && strcmp (word, styles[i].word) != 0)
        i++;
      if (i == G_N_ELEMENTS (styles))
        return;
      if (strstr (attributes->str, styles[i].property) == NULL)
        g_string_append_printf (attributes, " %s=\"%s\"", styles[i].property, styles[i].value);
      g_string_truncate (family, (gsize) (blank - family->str));
      g_strchomp (family->str);
      family->len = strlen (family->str);
    }
}

char *
rhy_lettering_to_svg (const char *text,
                      const char *font)
{
  g_return_val_if_fail (text != NULL, NULL);

  g_autofree char *line = g_strstrip (g_strdup (text));
  g_autofree char *name = g_strstrip (g_strdup (font != NULL && *font != '\0' ? font : "serif"));
  g_autoptr (GString) family = g_string_new (name);
  g_autoptr (GString) attributes = g_string_new (NULL);
  take_styles (family, attributes);

  /* Room for letters twice as wide as high: what lies off the page is lost. The
   * em is 100 units, so that the shaper's 1/64 unit is far below any tolerance. */
  const glong width = 200 * (g_utf8_strlen (line, -1) + 2);
  g_autofree char *escaped_family = g_markup_escape_text (family->str, -1);
  g_autofree char *escaped_line = g_markup_escape_text (line, -1);
  return g_strdup_printf ("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%ldmm\" height=\"40mm\" "
                          "viewBox=\"0 0 %ld 400\"><text x=\"100\" y=\"250\" font-size=\"100\" "
                          "xml:space=\"preserve\" font-family=\"%s\"%s>%s</text></svg>",
                          width / 10, width, escaped_family, attributes->str, escaped_line);
}

RhyArtwork *
rhy_lettering_new (const char             *text,
                   const char             *font,
                   const RhyIntakeOptions *options,
                   GCancellable           *cancellable,
                   GError                **error)
{
  g_return_val_if_fail (text != NULL, NULL);
  g_return_val_if_fail (error == NULL || *error == NULL, NULL);

  if (!g_utf8_validate (text, -1, NULL))
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "the lettering is not UTF-8 text");
      return NULL;
    }
  gboolean ink = FALSE;
  for (const char *p = text; *p != '\0'; p = g_utf8_next_char (p))
    {
      const gunichar c = g_utf8_get_char (p);
      if (g_unichar_iscntrl (c))
        {
          g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                       "the lettering holds the control character U+%04X: one line of plain text is allowed", c);
          return NULL;
        }
      ink |= !g_unichar_isspace (c);
    }
  if (!ink)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "the lettering is empty");
      return NULL;
    }

  char *svg = rhy_lettering_to_svg (text, font);
  g_autoptr (GBytes) bytes = g_bytes_new_take (svg, strlen (svg));
  return rhy_intake_bytes (bytes, options, cancellable, error);
}
