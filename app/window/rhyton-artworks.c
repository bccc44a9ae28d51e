/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-artworks.h"

#include <math.h>
#include <string.h>

static const RhyJobData *
data_of (RhytonDocument *document)
{
  return rhy_job_get_data (rhyton_document_get_job (document));
}

char *
rhyton_artworks_title (const RhyJobArtwork *artwork)
{
  if (artwork->name != NULL)
    return g_strdup (artwork->name);
  if (artwork->text != NULL)
    return g_strdelimit (g_strdup (artwork->text), "\n", ' ');
  if (artwork->file != NULL)
    return g_path_get_basename (artwork->file);
  return g_strdup ("Empty");
}

gboolean
rhyton_artworks_any (RhytonDocument *document)
{
  const RhyJobData *data = data_of (document);
  for (gsize i = 0; i < data->n_artworks; i++)
    if (data->artworks[i].file != NULL || data->artworks[i].text != NULL)
      return TRUE;
  return FALSE;
}

void
rhyton_artworks_select_file (RhytonDocument *document,
                             const char     *path)
{
  const RhyJobData *data = data_of (document);

  for (gsize i = 0; i < data->n_artworks; i++)
    {
      const char *file = data->artworks[i].text == NULL ? data->artworks[i].file : NULL;
      g_autofree char *at = file != NULL ? rhy_job_resolve (rhyton_document_get_job (document), file) : NULL;
      if (g_strcmp0 (at, path) != 0)
        continue;
      rhyton_document_select (document, i);
      return;
    }
}

static gboolean
is_taken (const RhyJobData *data,
          const char       *group)
{
  for (gsize i = 0; i < data->n_artworks; i++)
    if (strcmp (data->artworks[i].group, group) == 0)
      return TRUE;
  return FALSE;
}

static char *
free_group (const RhyJobData *data)
{
  for (guint i = 2;; i++)
    {
      g_autofree char *group = g_strdup_printf ("Artwork %u", i);
      if (!is_taken (data, group))
        return g_steal_pointer (&group);
    }
}

/* A copy of everything; or a group of its own with a size to begin with. */
static RhyJob *
with_another (RhyJob      *job,
              const char  *from,
              const char  *group,
              gboolean     copy,
              GError     **error)
{
  return copy ? rhy_job_with_copy (job, from, group, error) : rhy_job_with (job, group, "Width", "50", error);
}

gboolean
rhyton_artworks_add (RhytonDocument  *document,
                     gboolean         copy,
                     GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (document), FALSE);

  const RhyJobArtwork *from = rhyton_document_get_artwork (document);
  g_autofree char *group = free_group (data_of (document));
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  const double opposite = remainder (from->around_rad + G_PI, 2.0 * G_PI) * 180.0 / G_PI;
  g_autoptr (RhyJob) added = with_another (rhyton_document_get_job (document), from->group, group, copy, error);
  RhyJob *job = added != NULL ? rhy_job_with (added, group, "Around", rhy_number_to_text (text, round (opposite * 1e3) / 1e3), error)
                              : NULL;
  if (job == NULL)
    return FALSE;
  rhyton_document_replace (document, copy ? "Copy of the artwork" : "Another artwork", job);
  rhyton_document_select (document, data_of (document)->n_artworks - 1);
  return TRUE;
}

gboolean
rhyton_artworks_rename (RhytonDocument  *document,
                        const char      *name,
                        GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (document) && name != NULL, FALSE);

  const RhyJobArtwork *artwork = rhyton_document_get_artwork (document);
  g_autofree char *plain = g_strstrip (g_strdup (name));
  g_autofree char *group = *plain != '\0' ? g_strconcat ("Artwork ", plain, NULL) : g_strdup ("Artwork");
  if (strcmp (group, artwork->group) == 0)
    return TRUE;
  if (strpbrk (plain, "[]\n") != NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_JOB, "A name has no [, ] or line end in it.");
      return FALSE;
    }
  if (is_taken (data_of (document), group))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_JOB, "Another artwork is called %s already.",
                   *plain != '\0' ? plain : "nothing");
      return FALSE;
    }
  return rhyton_document_rename_group (document, "Name of the artwork", artwork->group, group, error);
}

gboolean
rhyton_artworks_remove (RhytonDocument  *document,
                        GError         **error)
{
  g_return_val_if_fail (RHYTON_IS_DOCUMENT (document), FALSE);

  const gsize selected = rhyton_document_get_selected (document);
  if (data_of (document)->n_artworks < 2)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_JOB, "A job has one artwork at least.");
      return FALSE;
    }
  RhyJob *job = rhy_job_without_group (rhyton_document_get_job (document), rhyton_document_get_artwork (document)->group, error);
  if (job == NULL)
    return FALSE;
  rhyton_document_replace (document, "Removal of the artwork", job);
  rhyton_document_select (document, selected > 0 ? selected - 1 : 0);
  return TRUE;
}
