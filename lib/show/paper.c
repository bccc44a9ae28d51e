/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/paper.h>

void
rhy_paper_get_size (RhyPaper paper,
                    double  *width_mm,
                    double  *height_mm)
{
  *width_mm = paper == RHY_PAPER_A4 ? 210.0 : 215.9;
  *height_mm = paper == RHY_PAPER_A4 ? 297.0 : 279.4;
}

gboolean
rhy_paper_from_string (const char *text,
                       RhyPaper   *paper)
{
  if (g_ascii_strcasecmp (text, "a4") == 0)
    *paper = RHY_PAPER_A4;
  else if (g_ascii_strcasecmp (text, "letter") == 0)
    *paper = RHY_PAPER_LETTER;
  else
    return FALSE;
  return TRUE;
}
