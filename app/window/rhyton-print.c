/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-print.h"

static void
on_begin (GtkPrintOperation *operation,
          GtkPrintContext   *context,
          RhyPages          *pages)
{
  gtk_print_operation_set_n_pages (operation, (int) rhy_pages_get_n (pages));
}

static void
on_page (GtkPrintOperation *operation,
         GtkPrintContext   *context,
         int                i,
         RhyPages          *pages)
{
  rhy_pages_draw (pages, (gsize) i, gtk_print_context_get_cairo_context (context));
}

static void
free_pages (gpointer  data,
            GClosure *closure)
{
  rhy_pages_free (data);
}

/* The paper that the pages were laid out for, margins and all: a printer that scales
 * them to its own margins would spoil the size. */
static GtkPageSetup *
setup_for (const RhyPages *pages)
{
  GtkPageSetup *setup = gtk_page_setup_new ();
  double width_mm, height_mm;

  rhy_pages_get_size (pages, &width_mm, &height_mm);
  const gboolean across = width_mm > height_mm;
  const double short_mm = MIN (width_mm, height_mm), long_mm = MAX (width_mm, height_mm);
  const char *name = short_mm > 212.0 ? GTK_PAPER_NAME_LETTER : GTK_PAPER_NAME_A4;
  g_autoptr (GtkPaperSize) known = gtk_paper_size_new (name);
  if (ABS (gtk_paper_size_get_width (known, GTK_UNIT_MM) - short_mm) > 0.1
      || ABS (gtk_paper_size_get_height (known, GTK_UNIT_MM) - long_mm) > 0.1)
    {
      gtk_paper_size_free (known);
      known = gtk_paper_size_new_custom ("rhyton", "Pattern", short_mm, long_mm, GTK_UNIT_MM);
    }
  gtk_page_setup_set_paper_size (setup, known);
  gtk_page_setup_set_orientation (setup, across ? GTK_PAGE_ORIENTATION_LANDSCAPE : GTK_PAGE_ORIENTATION_PORTRAIT);
  gtk_page_setup_set_top_margin (setup, 0.0, GTK_UNIT_MM);
  gtk_page_setup_set_bottom_margin (setup, 0.0, GTK_UNIT_MM);
  gtk_page_setup_set_left_margin (setup, 0.0, GTK_UNIT_MM);
  gtk_page_setup_set_right_margin (setup, 0.0, GTK_UNIT_MM);
  return setup;
}

GtkPrintOperation *
rhyton_print_new (RhyPages   *pages,
                  const char *name)
{
  g_return_val_if_fail (pages != NULL && name != NULL, NULL);

  GtkPrintOperation *operation = gtk_print_operation_new ();
  g_autoptr (GtkPageSetup) setup = setup_for (pages);
  g_autoptr (GtkPrintSettings) settings = gtk_print_settings_new ();

  gtk_print_settings_set_scale (settings, 100.0);
  gtk_print_settings_set (settings, "print-scaling", "none");
  gtk_print_operation_set_print_settings (operation, settings);
  gtk_print_operation_set_default_page_setup (operation, setup);
  gtk_print_operation_set_embed_page_setup (operation, FALSE);
  gtk_print_operation_set_use_full_page (operation, TRUE);
  gtk_print_operation_set_unit (operation, GTK_UNIT_MM);
  gtk_print_operation_set_job_name (operation, name);
  g_signal_connect (operation, "begin-print", G_CALLBACK (on_begin), pages);
  g_signal_connect_data (operation, "draw-page", G_CALLBACK (on_page), pages, free_pages, 0);
  return operation;
}
