/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/units.h>

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
