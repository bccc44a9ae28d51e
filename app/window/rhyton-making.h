/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include "rhyton-part.h"

G_BEGIN_DECLS

/**
 * RhytonProduct: something that a job makes.
 * @title: of the dialog that asks where to
 * @suffix: the end of the name that is proposed, "-bed.svg"
 * @asks_first: whether a job that is not ready must be confirmed
 * @needs_plan: whether there is nothing to make where the job cannot be worked out
 * @make: the file's bytes; @path's ending says the format; in a thread
 */
typedef struct
{
  const char *title;
  const char *suffix;
  gboolean    asks_first;
  gboolean    needs_plan;
  GBytes     *(*make) (RhyJob *job, RhyPlan *plan, const char *path, gpointer options, GCancellable *cancellable,
                       GError **error);
} RhytonProduct;

/** rhyton_product_bed, rhyton_product_pattern, rhyton_product_pages (of it): @options: #RhyDrawingOptions. */
extern const RhytonProduct rhyton_product_bed;
extern const RhytonProduct rhyton_product_pattern;
extern const RhytonProduct rhyton_product_pages;
/** rhyton_product_sheet: @options: #RhySheetOptions with strings of its own. */
extern const RhytonProduct rhyton_product_sheet;

/**
 * rhyton_making_ask: asks where to, and then saves the product there.
 * @part: whose document and window it is
 * @options: (transfer full)
 */
void rhyton_making_ask (RhytonPart *part, const RhytonProduct *product, gpointer options, GDestroyNotify free_options);
/** rhyton_making_save: in the background; a notice or a message tells how it went. */
void rhyton_making_save (RhytonPart *part, const RhytonProduct *product, gpointer options, GDestroyNotify free_options,
                         GFile *file);

/** rhyton_making_notice: @path: (nullable): a file to be shown in its folder. */
void rhyton_making_notice (RhytonPart *part, const char *text, const char *path);
/** rhyton_making_tell: why nothing came of it; nothing where it was stopped. */
void rhyton_making_tell (RhytonPart *part, const GError *error);
/** rhyton_making_name: Returns: (transfer full): a name to propose: the job's, and @suffix. */
char *rhyton_making_name (RhytonDocument *document, const char *suffix);
/** rhyton_making_folder: Returns: (transfer full) (nullable): the job's. */
char *rhyton_making_folder (RhytonDocument *document);
GtkWindow *rhyton_making_window (RhytonPart *part);

G_END_DECLS
