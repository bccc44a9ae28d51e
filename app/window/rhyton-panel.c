/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-panel.h"

#include <locale.h>
#include <math.h>
#include <string.h>

char *
rhyton_panel_explain (const GError *error)
{
  const char *marker = ": allowed: ";
  const char *allowed = strstr (error->message, marker);
  if (allowed == NULL)
    return g_strdup (error->message);
  GString *text = g_string_new ("Allowed: ");
  g_string_append (text, allowed + strlen (marker));
  /* In the file it is a list, a word for nothing entered, and a unit in letters. */
  char *list = strstr (text->str, ", one for each height");
  if (list != NULL)
    g_string_truncate (text, (gsize) (list - text->str));
  g_string_replace (text, "auto, or ", "empty, or ", 0);
  g_string_replace (text, " degrees", "\u00b0", 0);
  return g_string_free (text, FALSE);
}

/* From the library's words, which name the job file's keys, to those of the window. */
static const struct { const char *pattern, *plain; } words[] = {
  { "\\[Artwork\\] At\\b", "the height above the base" },
  { "\\[Artwork\\] Width\\b", "the width" },
  { "\\bAt=(-?[0-9]+(?:\\.[0-9]+)?), Around=(-?[0-9]+(?:\\.[0-9]+)?)", "\\1 mm above the base and \\2\u00b0 around" },
  { "\\[Machine\\] is given", "machine is described" },
  { "give it in \\[Machine\\]", "enter its figures under Hold" },
  { "\\[[A-Za-z]+\\] (?=[A-Z])", "" },
  { "\\[([A-Za-z]+)\\]", "\\1" },
  { "\\bWidthMax=([0-9.]+)(?: mm)?", "a width of \\1 mm" },
  { "\\bShrinkMin\\b", "how far it may shrink" },
  { "\\bWallThickness and Floor\\b", "the thickness of the wall and the height of the floor" },
  { "\\bRollerGap\\b", "the gap of the rollers" },
  { "\\bTiltMin and TiltMax\\b", "the least and the greatest tilt" },
  { "\\bPinRadius\\b", "pin radius" },
  { "\\bPinLength\\b", "pin length" },
  { "\\bTailstockRadius\\b", "tailstock radius" },
  { "\\bSupportHeight\\b", "the support height" },
  { "\\bWorkingDistance\\b", "working distance" },
  { "\\bNozzleRadius\\b", "nozzle radius" },
  { "\\bHeadHalfWidth\\b", "head half width" },
  { "([0-9]) degrees?\\b", "\\1\u00b0" },
  { "\\bmm2\\b", "mm\u00b2" },
  { "([0-9]) x ([0-9])", "\\1 \u00d7 \\2" },
};

/* Constants, as far as C can say that of them: compiling them took longer than all else
 * that the verdict strip does while artwork is dragged. */
static GRegex *const *
compiled_words (void)
{
  static GRegex *regexes[G_N_ELEMENTS (words)];
  static gsize ready;

  if (g_once_init_enter (&ready))
    {
      for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
        regexes[i] = g_regex_new (words[i].pattern, G_REGEX_OPTIMIZE, 0, NULL);
      g_once_init_leave (&ready, 1);
    }
  return regexes;
}

/* One length, or a few that share their unit: "18.0 to 150.0 mm". */
static gboolean
say_lengths (const GMatchInfo *match,
             GString          *out,
             gpointer          inches)
{
  g_autofree char *all = g_match_info_fetch_named (match, "all");
  const char *at = all;

  while (*at != '\0')
    {
      char *end;
      const double mm = g_ascii_strtod (at, &end);
      if (end == at || *at == ' ')
        {
          g_string_append_c (out, *at++);
          continue;
        }
      g_autofree char *length = rhyton_panel_format_in (GPOINTER_TO_INT (inches), mm);
      char *unit = strstr (length, "\u202f");
      if (strpbrk (end, "0123456789") != NULL)
        *unit = '\0';
      g_string_append (out, length);
      at = end;
    }
  return FALSE;
}

static char *
replaced (const char          *pattern,
          const char          *text,
          GRegexEvalCallback   say,
          gpointer             data)
{
  g_autoptr (GRegex) regex = g_regex_new (pattern, 0, 0, NULL);
  return g_regex_replace_eval (regex, text, -1, 0, 0, say, data, NULL);
}

static gboolean
say_point (const GMatchInfo *match,
           GString          *out,
           gpointer          point)
{
  g_string_append (out, point);
  return FALSE;
}

char *
rhyton_panel_lengths_in (const char *text,
                         gboolean    inches)
{
  const char *point = localeconv ()->decimal_point;
  const gboolean is_plain = strcmp (point, ".") == 0;

  /* As they are, they are right. */
  if (!inches && is_plain)
    return g_strdup (text);
  g_autofree char *lengths = replaced ("(?<all>(?<![\\w.,])-?[0-9]+(?:\\.[0-9]+)?(?: (?:x|\u00d7|to|and) -?[0-9]+(?:\\.[0-9]+)?)*)"
                                       "[ \u202f]mm(?![\\w/\u00b2])", text, say_lengths, GINT_TO_POINTER (inches));
  if (is_plain)
    return g_steal_pointer (&lengths);
  /* Degrees and shares; not what a file is called. */
  return replaced ("(?<=[0-9])\\.(?=[0-9]+(?:\u00b0|[ \u202f]?%| to [0-9]| \u00b1))", lengths, say_point, (gpointer) point);
}

char *
rhyton_panel_plain (const RhyFinding *finding,
                    gboolean          inches)
{
  GRegex *const *regexes = compiled_words ();
  g_autofree char *plain = g_strdup (finding->message);

  if (strcmp (finding->code, "no-artwork") == 0)
    return g_strdup ("There is no drawing yet. Choose one under Artwork, or drop it on this window.");
  for (gsize i = 0; i < G_N_ELEMENTS (words); i++)
    {
      char *next = g_regex_replace (regexes[i], plain, -1, 0, words[i].plain, 0, NULL);
      if (next == NULL)
        continue;
      g_free (plain);
      plain = next;
    }
  return rhyton_panel_lengths_in (plain, inches);
}

void
rhyton_panel_enter (RhytonPart         *part,
                    RhytonMeasureEntry *entry,
                    const char         *name,
                    const RhytonEdit   *edits,
                    gsize               n)
{
  RhytonDocument *document = rhyton_part_get_document (part);
  g_autoptr (GError) error = NULL;

  if (rhyton_document_change (document, name, NULL, edits, n, &error))
    return;
  g_autofree char *why = rhyton_panel_explain (error);
  if (entry != NULL)
    rhyton_measure_entry_refuse (entry, why);
}

void
rhyton_panel_enter_number (RhytonPart         *part,
                           RhytonMeasureEntry *entry,
                           const char         *name,
                           const char         *group,
                           const char         *key,
                           double              value)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  const RhytonEdit edit = { group, key, isnan (value) ? NULL : rhy_number_to_text (text, value) };
  rhyton_panel_enter (part, entry, name, &edit, 1);
}

char *
rhyton_panel_format_length (RhytonPart *part,
                            double      mm)
{
  return rhyton_panel_format_mm (rhyton_part_get_document (part), mm);
}

char *
rhyton_panel_format_mm (RhytonDocument *document,
                        double          mm)
{
  return rhyton_panel_format_in (document != NULL && rhyton_document_get_inches (document), mm);
}

char *
rhyton_panel_format_in (gboolean inches,
                        double   mm)
{
  const RhytonUnit unit = inches ? RHYTON_UNIT_INCH : RHYTON_UNIT_MM;
  const double step_mm = inches ? 0.0254 : 0.01;
  g_autofree char *number = rhyton_measure_format (round (mm / step_mm) * step_mm, unit);
  return g_strdup_printf ("%s\u202f%s", number, rhyton_unit_get_symbol (unit));
}
