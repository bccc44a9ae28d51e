/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/units.h>

#include <string.h>

/* Three digits: inches and two of sixteenths. */
static gboolean
parse_figure (const char *text,
              double     *mm)
{
  for (int i = 0; i < 3; i++)
    if (!g_ascii_isdigit (text[i]))
      return FALSE;

  const int sixteenths = 10 * (text[1] - '0') + (text[2] - '0');
  const double inches = (text[0] - '0') + sixteenths / 16.0;
  if (sixteenths > 15 || inches == 0.0)
    return FALSE;
  *mm = inches * RHY_MM_PER_INCH;
  return TRUE;
}

gboolean
rhy_can_code_parse (const char *code,
                    double     *diameter_mm,
                    double     *height_mm,
                    GError    **error)
{
  g_return_val_if_fail (code != NULL && diameter_mm != NULL && height_mm != NULL, FALSE);
  g_return_val_if_fail (error == NULL || *error == NULL, FALSE);

  double d, h;
  if (!parse_figure (code, &d) || (code[3] != 'x' && code[3] != 'X')
      || !parse_figure (code + 4, &h) || code[7] != '\0')
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_PROFILE,
                   "can size '%s': wanted inches and sixteenths as in 211x413, sixteenths up to 15", code);
      return FALSE;
    }
  *diameter_mm = d;
  *height_mm = h;
  return TRUE;
}

gboolean
rhy_volume_parse (const char *text,
                  double     *ml)
{
  static const struct { const char *unit; double ml; } units[] = {
    { "ml", 1.0 },
    { "US fl oz", RHY_ML_PER_US_FLUID_OUNCE },
    { "imperial fl oz", RHY_ML_PER_IMPERIAL_FLUID_OUNCE },
  };
  g_return_val_if_fail (text != NULL && ml != NULL, FALSE);

  char *end = NULL;
  const double value = g_ascii_strtod (text, &end);
  /* No hexadecimal, which strtod would take. */
  if (end == text || (gsize) (end - text) > strspn (text, "0123456789+-.eE") || !(value > 0.0 && value <= RHY_VOLUME_LIMIT_ML))
    return FALSE;
  while (g_ascii_isspace (*end))
    end++;
  g_autofree char *unit = g_strchomp (g_strdup (end));
  for (gsize i = 0; i < G_N_ELEMENTS (units); i++)
    if (*unit == '\0' || strcmp (unit, units[i].unit) == 0)
      {
        *ml = value * units[i].ml;
        return TRUE;
      }
  return FALSE;
}
