/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-measure.h"

#include <langinfo.h>
#include <math.h>
#include <string.h>

/* GtkSpinButton reads "82,5" as 0 in one locale and "82.5" as 0 in another, in
 * silence; a blank is spoilt by that. Here both are read everywhere, and what
 * cannot be read is refused with a reason. */

G_DEFINE_QUARK (rhyton-measure-error-quark, rhyton_measure_error)

#define INCH_MM 25.4
/* Deep enough for any sum somebody types, shallow enough for the stack. */
#define MAX_NESTING 32

typedef enum { DIMENSION_NONE, DIMENSION_LENGTH, DIMENSION_ANGLE } Dimension;

/* A number, or a length in mm, or an angle in degrees. */
typedef struct
{
  double    value;
  Dimension dimension;
} Quantity;

typedef struct
{
  const char        *text;
  const char        *at;
  RhytonMeasureKind  kind;
  RhytonUnit         bare;
  guint              depth;
  GError           **error;
} Reader;

typedef struct
{
  const char *name;
  Dimension   dimension;
  double      factor;
} UnitName;

/* Longer names first where one begins another. */
static const UnitName unit_names[] = {
  { "millimetres", DIMENSION_LENGTH, 1.0 },
  { "millimeters", DIMENSION_LENGTH, 1.0 },
  { "mm", DIMENSION_LENGTH, 1.0 },
  { "cm", DIMENSION_LENGTH, 10.0 },
  { "inches", DIMENSION_LENGTH, INCH_MM },
  { "inch", DIMENSION_LENGTH, INCH_MM },
  { "in", DIMENSION_LENGTH, INCH_MM },
  { "\"", DIMENSION_LENGTH, INCH_MM },
  { "\u2033", DIMENSION_LENGTH, INCH_MM },
  { "\u201d", DIMENSION_LENGTH, INCH_MM },
  { "degrees", DIMENSION_ANGLE, 1.0 },
  { "degree", DIMENSION_ANGLE, 1.0 },
  { "deg", DIMENSION_ANGLE, 1.0 },
  { "\u00b0", DIMENSION_ANGLE, 1.0 },
};

static const struct { const char *sign; double value; } vulgar_fractions[] = {
  { "\u00bd", 1.0 / 2 }, { "\u00bc", 1.0 / 4 }, { "\u00be", 3.0 / 4 }, { "\u2153", 1.0 / 3 },
  { "\u2154", 2.0 / 3 }, { "\u215b", 1.0 / 8 }, { "\u215c", 3.0 / 8 }, { "\u215d", 5.0 / 8 },
  { "\u215e", 7.0 / 8 },
};

static gboolean read_sum (Reader *reader, Quantity *sum);

static const char *
example (const Reader *reader)
{
  return reader->kind == RHYTON_MEASURE_ANGLE ? "12.5 or 360/8" : "82.5, 3 1/4 in or 88.9/2";
}

static gboolean
refuse (Reader *reader, const char *why)
{
  g_set_error (reader->error, RHYTON_MEASURE_ERROR, RHYTON_MEASURE_ERROR_TEXT,
               "%s. Type for example %s.", why, example (reader));
  return FALSE;
}

static void
skip_blanks (Reader *reader)
{
  while (*reader->at != '\0' && g_unichar_isspace (g_utf8_get_char (reader->at)))
    reader->at = g_utf8_next_char (reader->at);
}

static gboolean
take (Reader *reader, const char *sign)
{
  skip_blanks (reader);
  if (!g_str_has_prefix (reader->at, sign))
    return FALSE;
  reader->at += strlen (sign);
  return TRUE;
}

static gboolean
take_any (Reader *reader, const char *const *signs)
{
  for (; *signs != NULL; signs++)
    if (take (reader, *signs))
      return TRUE;
  return FALSE;
}

/* "1/4" right behind a whole number and a blank: the rest of a mixed number. */
static gboolean
take_fraction (Reader *reader, double *value)
{
  const char *p = reader->at;

  if (*p != ' ')
    return FALSE;
  while (*p == ' ')
    p++;
  const char *top = p;
  while (g_ascii_isdigit (*p))
    p++;
  if (p == top || (*p != '/' && !g_str_has_prefix (p, "\u2044")))
    return FALSE;
  p = g_utf8_next_char (p);
  const char *bottom = p;
  while (g_ascii_isdigit (*p))
    p++;
  if (p == bottom || g_ascii_strtod (bottom, NULL) == 0.0)
    return FALSE;

  *value = g_ascii_strtod (top, NULL) / g_ascii_strtod (bottom, NULL);
  reader->at = p;
  return TRUE;
}

static gboolean
take_vulgar (Reader *reader, double *value)
{
  for (gsize i = 0; i < G_N_ELEMENTS (vulgar_fractions); i++)
    if (take (reader, vulgar_fractions[i].sign))
      {
        *value = vulgar_fractions[i].value;
        return TRUE;
      }
  return FALSE;
}

static gboolean
read_number (Reader *reader, double *value)
{
  skip_blanks (reader);
  if (take_vulgar (reader, value))
    return TRUE;

  const char *start = reader->at;
  const char *p = start;
  g_autoptr (GString) digits = g_string_new (NULL);
  guint n_marks = 0;
  guint n_digits = 0;

  for (; g_ascii_isdigit (*p) || *p == '.' || *p == ','; p++)
    {
      const gboolean mark = !g_ascii_isdigit (*p);
      n_marks += mark;
      n_digits += !mark;
      g_string_append_c (digits, mark ? '.' : *p);
    }
  if (n_marks > 1)
    {
      g_autofree char *why = g_strdup_printf ("\u201c%.*s\u201d has more than one decimal sign",
                                              (int) (p - start), start);
      return refuse (reader, why);
    }
  if (n_digits == 0)
    {
      if (*reader->at == '\0')
        return refuse (reader, reader->at == reader->text ? "Nothing is typed here"
                                                          : "A number is missing at the end");
      g_autofree char *why = g_strdup_printf ("\u201c%s\u201d cannot be read as a number", start);
      return refuse (reader, why);
    }

  reader->at = p;
  *value = g_ascii_strtod (digits->str, NULL);
  double part = 0.0;
  if (n_marks == 0 && (take_fraction (reader, &part) || take_vulgar (reader, &part)))
    *value += part;
  return TRUE;
}

static gboolean
read_factor (Reader *reader, Quantity *factor)
{
  static const char *const minus[] = { "-", "\u2212", NULL };

  /* Counts signs too, or a line of minus signs would eat the stack. */
  if (reader->depth >= MAX_NESTING)
    return refuse (reader, "Too many brackets");
  if (take_any (reader, minus))
    {
      reader->depth++;
      if (!read_factor (reader, factor))
        return FALSE;
      reader->depth--;
      factor->value = -factor->value;
      return TRUE;
    }
  if (take (reader, "+"))
    {
      reader->depth++;
      const gboolean read = read_factor (reader, factor);
      reader->depth--;
      return read;
    }
  if (take (reader, "("))
    {
      reader->depth++;
      if (!read_sum (reader, factor))
        return FALSE;
      reader->depth--;
      return take (reader, ")") ? TRUE : refuse (reader, "A closing bracket is missing");
    }

  factor->dimension = DIMENSION_NONE;
  return read_number (reader, &factor->value);
}

static const UnitName *
take_unit (Reader *reader)
{
  skip_blanks (reader);
  for (gsize i = 0; i < G_N_ELEMENTS (unit_names); i++)
    {
      const char *name = unit_names[i].name;
      const gsize length = strlen (name);
      if (g_ascii_strncasecmp (reader->at, name, length) != 0)
        continue;
      /* "inn" is no inch. */
      if (g_ascii_isalpha (name[0]) && g_ascii_isalpha (reader->at[length]))
        continue;
      reader->at += length;
      return &unit_names[i];
    }
  return NULL;
}

/* A unit behind a product of plain numbers is the product's: 88.9/2 in. */
static gboolean
apply_unit (Reader *reader, Quantity *quantity)
{
  const UnitName *unit = take_unit (reader);
  if (unit == NULL)
    return TRUE;
  if (quantity->dimension != DIMENSION_NONE)
    return refuse (reader, "A unit is given twice");
  const Dimension wanted = reader->kind == RHYTON_MEASURE_ANGLE ? DIMENSION_ANGLE : DIMENSION_LENGTH;
  if (unit->dimension != wanted)
    return refuse (reader, wanted == DIMENSION_ANGLE ? "An angle is wanted here, not a length"
                                                     : "A length is wanted here, not an angle");
  quantity->value *= unit->factor;
  quantity->dimension = unit->dimension;
  return TRUE;
}

static gboolean
read_product (Reader *reader, Quantity *product)
{
  static const char *const times[] = { "*", "\u00d7", NULL };
  static const char *const over[] = { "/", "\u00f7", NULL };

  if (!read_factor (reader, product) || !apply_unit (reader, product))
    return FALSE;
  while (TRUE)
    {
      Quantity next;
      const gboolean divide = take_any (reader, over);
      if (!divide && !take_any (reader, times))
        return TRUE;
      if (!read_factor (reader, &next))
        return FALSE;
      if (divide && next.value == 0.0)
        return refuse (reader, "A division by zero");
      if (next.dimension != DIMENSION_NONE && (divide || product->dimension != DIMENSION_NONE))
        return refuse (reader, "Only one part of a product may have a unit");
      product->value = divide ? product->value / next.value : product->value * next.value;
      if (next.dimension != DIMENSION_NONE)
        product->dimension = next.dimension;
      if (!apply_unit (reader, product))
        return FALSE;
    }
}

static double
in_base_unit (const Reader *reader, Quantity quantity)
{
  const gboolean inches = quantity.dimension == DIMENSION_NONE && reader->bare == RHYTON_UNIT_INCH;
  return inches ? quantity.value * INCH_MM : quantity.value;
}

static gboolean
read_sum (Reader *reader, Quantity *sum)
{
  static const char *const minus[] = { "-", "\u2212", "\u2013", NULL };
  const Dimension whole = reader->kind == RHYTON_MEASURE_ANGLE ? DIMENSION_ANGLE : DIMENSION_LENGTH;

  if (!read_product (reader, sum))
    return FALSE;
  while (TRUE)
    {
      Quantity next;
      const gboolean subtract = take_any (reader, minus);
      if (!subtract && !take (reader, "+"))
        return TRUE;
      if (!read_product (reader, &next))
        return FALSE;
      /* A bare number beside a length is a length in the field's unit. */
      if (sum->dimension != next.dimension)
        {
          *sum = (Quantity) { in_base_unit (reader, *sum), whole };
          next = (Quantity) { in_base_unit (reader, next), whole };
        }
      sum->value += subtract ? -next.value : next.value;
    }
}

gboolean
rhyton_measure_parse (const char        *text,
                      RhytonMeasureKind  kind,
                      RhytonUnit         bare,
                      double            *value,
                      GError           **error)
{
  g_return_val_if_fail (text != NULL && value != NULL, FALSE);

  Reader reader = { .text = text, .at = text, .kind = kind, .bare = bare, .error = error };
  Quantity quantity;

  if (!g_utf8_validate (text, -1, NULL))
    return refuse (&reader, "This is no text");
  skip_blanks (&reader);
  reader.text = reader.at;
  if (!read_sum (&reader, &quantity))
    return FALSE;
  skip_blanks (&reader);
  if (*reader.at != '\0')
    {
      g_autofree char *why = g_strdup_printf ("\u201c%s\u201d cannot be read", reader.at);
      return refuse (&reader, why);
    }
  const double result = in_base_unit (&reader, quantity);
  if (!isfinite (result))
    return refuse (&reader, "The number is too large");
  *value = result;
  return TRUE;
}

char *
rhyton_measure_format (double value, RhytonUnit unit)
{
  const double shown = unit == RHYTON_UNIT_INCH ? value / INCH_MM : value;
  char buffer[G_ASCII_DTOSTR_BUF_SIZE * 12];

  g_ascii_formatd (buffer, sizeof buffer, unit == RHYTON_UNIT_INCH ? "%.4f" : "%.3f", shown);
  char *point = strchr (buffer, '.');
  if (point == NULL)
    return g_strdup (buffer);
  char *end = buffer + strlen (buffer);
  while (end > point && (end[-1] == '0' || end[-1] == '.'))
    *--end = '\0';
  if (strcmp (buffer, "-0") == 0)
    return g_strdup ("0");

  point = strchr (buffer, '.');
  if (point == NULL)
    return g_strdup (buffer);
  *point = '\0';
  return g_strconcat (buffer, nl_langinfo (RADIXCHAR), point + 1, NULL);
}

const char *
rhyton_unit_get_symbol (RhytonUnit unit)
{
  switch (unit)
    {
    case RHYTON_UNIT_MM:
      return "mm";
    case RHYTON_UNIT_INCH:
      return "in";
    case RHYTON_UNIT_DEGREE:
      return "\u00b0";
    default:
      g_return_val_if_reached ("");
    }
}
