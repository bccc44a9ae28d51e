/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-making.h"

#include <string.h>

#include "rhyton-dialogs.h"
#include "rhyton-panel.h"

/* A product on its way from the button to the file. */
typedef struct
{
  RhytonPart          *part;
  const RhytonProduct *product;
  gpointer             options;
  GDestroyNotify       free_options;
  char                *path;
} Errand;

/* What became of it. */
typedef struct
{
  char   *path;
  double  width_mm, height_mm;  /* of the ink on the wall; 0: not to be told */
} Made;

static void
free_made (gpointer data)
{
  Made *made = data;
  g_free (made->path);
  g_free (made);
}

static void
free_errand (gpointer data)
{
  Errand *errand = data;
  if (errand->free_options != NULL)
    errand->free_options (errand->options);
  g_clear_object (&errand->part);
  g_free (errand->path);
  g_free (errand);
}

static GBytes *
make_bed (RhyJob        *job,
          RhyPlan       *plan,
          const char    *path,
          gpointer       options,
          GCancellable  *cancellable,
          GError       **error)
{
  RhyFormat format;
  return rhy_format_from_name (path, &format, error) ? rhy_drawing_bed (plan, format, options, NULL, error) : NULL;
}

static GBytes *
make_pattern (RhyJob        *job,
              RhyPlan       *plan,
              const char    *path,
              gpointer       options,
              GCancellable  *cancellable,
              GError       **error)
{
  RhyFormat format;
  return rhy_format_from_name (path, &format, error) ? rhy_drawing_pattern (plan, format, options, error) : NULL;
}

static GBytes *
make_sheet (RhyJob        *job,
            RhyPlan       *plan,
            const char    *path,
            gpointer       options,
            GCancellable  *cancellable,
            GError       **error)
{
  g_autoptr (RhyVerdict) verdict = rhy_verdict_new (plan, cancellable);
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  if (!g_str_has_suffix (path, ".pdf"))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "%s: the sheet is a PDF: give it a name that ends in .pdf", path);
      return NULL;
    }
  return rhy_sheet_new (plan, verdict, options, error);
}

const RhytonProduct rhyton_product_bed = { "Save the Bed Drawing", "-bed.svg", TRUE, TRUE, make_bed };
const RhytonProduct rhyton_product_pattern = { "Save the Flat Pattern", "-pattern.svg", FALSE, TRUE, make_pattern };
const RhytonProduct rhyton_product_pages = { "Save the Flat Pattern", "-pattern.pdf", FALSE, TRUE, make_pattern };
const RhytonProduct rhyton_product_sheet = { "Save the Setup Sheet", "-sheet.pdf", FALSE, TRUE, make_sheet };

GtkWindow *
rhyton_making_window (RhytonPart *part)
{
  GtkRoot *root = gtk_widget_get_root (GTK_WIDGET (part));
  return GTK_IS_WINDOW (root) ? GTK_WINDOW (root) : NULL;
}

void
rhyton_making_notice (RhytonPart *part,
                      const char *text,
                      const char *path)
{
  gtk_widget_activate_action (GTK_WIDGET (part), "win.notice", "(ss)", text, path != NULL ? path : "");
}

void
rhyton_making_tell (RhytonPart   *part,
                    const GError *error)
{
  GtkWindow *window = rhyton_making_window (part);

  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
    rhyton_making_notice (part, "Stopped; nothing is written.", NULL);
  else if (window != NULL)
    rhyton_dialogs_tell (window, "Nothing is written", error->message);
}

char *
rhyton_making_name (RhytonDocument *document,
                    const char     *suffix)
{
  const char *path = rhyton_document_get_path (document);
  g_autofree char *name = path != NULL ? g_path_get_basename (path) : g_strdup (rhyton_document_get_title (document));
  char *dot = strrchr (name, '.');

  if (dot != NULL && dot != name && path != NULL)
    *dot = '\0';
  g_strdelimit (name, "/\\", '-');
  return g_strconcat (name, suffix, NULL);
}

char *
rhyton_making_folder (RhytonDocument *document)
{
  const char *path = rhyton_document_get_path (document);
  return path != NULL ? g_path_get_dirname (path) : NULL;
}

/* In a thread. */
static gpointer
make_and_save (RhyJob        *job,
               RhyPlan       *plan,
               gpointer       data,
               GCancellable  *cancellable,
               GError       **error)
{
  const Errand *errand = data;

  if (rhy_job_is_made_from (job, errand->path))
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_EXISTS, "%s: the job is made from this file; choose another name", errand->path);
      return NULL;
    }
  g_autoptr (GBytes) bytes = errand->product->make (job, plan, errand->path, errand->options, cancellable, error);
  if (bytes == NULL || g_cancellable_set_error_if_cancelled (cancellable, error)
      || !rhy_drawing_save (bytes, errand->path, error))
    return NULL;
  Made *made = g_new0 (Made, 1);
  made->path = g_strdup (errand->path);
  if (errand->product == &rhyton_product_bed && rhy_plan_get_n_parts (plan) == 1)
    {
      made->width_mm = rhy_plan_get_numbers (plan)->width_mm;
      made->height_mm = rhy_plan_get_numbers (plan)->height_mm;
    }
  return made;
}

static void
saved (GObject      *source,
       GAsyncResult *result,
       gpointer      data)
{
  g_autoptr (RhytonPart) part = data;
  g_autoptr (GError) error = NULL;
  Made *made = rhyton_document_run_finish (RHYTON_DOCUMENT (source), result, &error);

  if (made == NULL)
    {
      rhyton_making_tell (part, error);
      return;
    }
  g_autofree char *name = g_path_get_basename (made->path);
  g_autofree char *text = NULL;
  if (made->width_mm > 0.0)
    {
      g_autofree char *width = rhyton_panel_format_length (part, made->width_mm);
      g_autofree char *height = rhyton_panel_format_length (part, made->height_mm);
      text = g_strdup_printf ("%s is written: %s \u00d7 %s on the wall.", name, width, height);
    }
  else
    text = g_strdup_printf ("%s is written.", name);
  rhyton_making_notice (part, text, made->path);
  free_made (made);
}

static void
start (Errand *errand)
{
  RhytonPart *part = errand->part;
  RhytonDocument *document = rhyton_part_get_document (part);

  errand->part = NULL;
  rhyton_making_notice (part, "Writing\u2026", NULL);
  rhyton_document_run (document, make_and_save, errand->product->needs_plan, errand, free_errand, free_made, saved, part);
}

static void
confirmed (int      answer,
           gpointer data)
{
  Errand *errand = data;
  if (answer == 0)
    start (errand);
  else
    free_errand (errand);
}

static const RhyFinding *
first_stop (RhytonDocument *document)
{
  const RhyVerdict *verdict = rhyton_document_get_verdict (document);

  for (gsize i = 0; verdict != NULL && i < rhy_verdict_get_n_findings (verdict); i++)
    {
      const RhyFinding *finding = rhy_verdict_get_finding (verdict, i);
      if (finding->level == RHY_LEVEL_STOP)
        return finding;
    }
  return NULL;
}

/* What the verdict stops is only made by somebody who has read why. */
static void
confirm (Errand *errand)
{
  /* Whoever only presses Enter has not read it. */
  static const char *const buttons[] = { "Save Anyway", "Cancel", NULL };
  const RhyFinding *stop = first_stop (rhyton_part_get_document (errand->part));
  GtkWindow *window = rhyton_making_window (errand->part);

  if (!errand->product->asks_first || stop == NULL || window == NULL)
    {
      start (errand);
      return;
    }
  g_autofree char *why = rhyton_panel_plain (stop, rhyton_document_get_inches (rhyton_part_get_document (errand->part)));
  rhyton_dialogs_ask (window, "The job is not ready", why, buttons, confirmed, errand);
}

void
rhyton_making_save (RhytonPart          *part,
                    const RhytonProduct *product,
                    gpointer             options,
                    GDestroyNotify       free_options,
                    GFile               *file)
{
  g_return_if_fail (RHYTON_IS_PART (part) && product != NULL && G_IS_FILE (file));

  Errand *errand = g_new0 (Errand, 1);
  *errand = (Errand) { g_object_ref (part), product, options, free_options, g_file_get_path (file) };
  if (errand->path == NULL)
    {
      rhyton_dialogs_tell (rhyton_making_window (part), "Nothing is written", "This place is not on a disk of this machine.");
      free_errand (errand);
      return;
    }
  /* A name without an ending gets the one that was proposed. */
  g_autofree char *name = g_path_get_basename (errand->path);
  if (strchr (name, '.') == NULL)
    {
      char *whole = g_strconcat (errand->path, strrchr (product->suffix, '.'), NULL);
      g_free (errand->path);
      errand->path = whole;
    }
  confirm (errand);
}

static void
place_chosen (GFile    *file,
              gpointer  data)
{
  Errand *errand = data;

  if (file != NULL)
    {
      rhyton_making_save (errand->part, errand->product, g_steal_pointer (&errand->options), errand->free_options, file);
      errand->free_options = NULL;
    }
  free_errand (errand);
}

void
rhyton_making_ask (RhytonPart          *part,
                   const RhytonProduct *product,
                   gpointer             options,
                   GDestroyNotify       free_options)
{
  g_return_if_fail (RHYTON_IS_PART (part) && product != NULL);

  RhytonDocument *document = rhyton_part_get_document (part);
  Errand *errand = g_new0 (Errand, 1);
  *errand = (Errand) { g_object_ref (part), product, options, free_options, NULL };
  g_autofree char *name = rhyton_making_name (document, product->suffix);
  g_autofree char *folder = rhyton_making_folder (document);
  rhyton_dialogs_choose_file (rhyton_making_window (part), product->title, RHYTON_CHOICE_DRAWING, name, folder,
                              place_chosen, errand);
}
