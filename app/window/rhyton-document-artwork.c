/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-document.h"

#include <math.h>

/* Edits of the selected artwork, in its own terms. */

gboolean
rhyton_document_change_number (RhytonDocument  *self,
                               const char      *name,
                               const char      *tag,
                               const char      *group,
                               const char      *key,
                               double           value,
                               GError         **error)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  const RhytonEdit edit = { group, key, g_ascii_dtostr (text, sizeof text, value) };
  return rhyton_document_change (self, name, tag, &edit, 1, error);
}

/* The job file says what a pointer or a sum came to, to a thousandth: finer than
 * any machine, and readable. */
static const char *
thousandths (char   *text,
             gsize   size,
             double  value)
{
  const double rounded = round (value * 1e3) / 1e3;
  return g_ascii_dtostr (text, (int) size, rounded == 0.0 ? 0.0 : rounded);
}

gboolean
rhyton_document_move_artwork (RhytonDocument  *self,
                              const char      *tag,
                              double           at_mm,
                              double           around_deg,
                              GError         **error)
{
  char at[G_ASCII_DTOSTR_BUF_SIZE], around[G_ASCII_DTOSTR_BUF_SIZE];
  const double turned = remainder (around_deg, 360.0);
  const RhytonEdit edits[] = {
    { "Artwork", "At", thousandths (at, sizeof at, at_mm) },
    { "Artwork", "Around", thousandths (around, sizeof around, turned) },
  };
  return rhyton_document_change (self, "Move of the artwork", tag, edits, G_N_ELEMENTS (edits), error);
}

gboolean
rhyton_document_set_artwork_file (RhytonDocument  *self,
                                  const char      *path,
                                  GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (self) && path != NULL, FALSE);

  g_autofree char *name = rhyton_document_name_file (self, path);
  /* A key file's value is escaped text. */
  g_autoptr (GKeyFile) scratch = g_key_file_new ();
  g_key_file_set_string (scratch, "Artwork", "File", name);
  g_autofree char *value = g_key_file_get_value (scratch, "Artwork", "File", NULL);
  /* A drawing takes the place of lettering, and of what only letters have. */
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (self);
  const RhyPlan *part = rhyton_document_get_part (self);
  const double width_mm = part != NULL ? rhy_plan_get_numbers (part)->width_mm : 0.0;
  char width[G_ASCII_DTOSTR_BUF_SIZE];
  RhytonEdit edits[4];
  gsize n = 0;
  edits[n++] = (RhytonEdit) { "Artwork", "File", value };
  if (artwork->text != NULL)
    edits[n++] = (RhytonEdit) { "Artwork", "Text", NULL };
  if (artwork->font_size_mm > 0.0)
    edits[n++] = (RhytonEdit) { "Artwork", "Width", thousandths (width, sizeof width, width_mm > 0.0 ? width_mm : 50.0) };
  return rhyton_document_change (self, "Choice of the artwork", NULL, edits, n, error);
}
