/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>
#include <sys/wait.h>

#include <glib/gstdio.h>

#include "fixture.h"
#include "rhyton-batch-maker.h"
#include "rhyton-learner.h"
#include "rhyton-make-panel.h"
#include "rhyton-making.h"
#include "rhyton-picture-maker.h"
#include "rhyton-piece-maker.h"
#include "rhyton-print.h"
#include "rhyton-proof-check.h"
#include "rhyton-readiness.h"
#include "rhyton-thumbnail.h"

/* The Make step. What leaves it is compared with the files of the command line, a program of its own. */

typedef struct
{
  GType      type;
  GtkWidget *found;
} Search;

static void
compare (GtkWidget *widget,
         gpointer   data)
{
  Search *search = data;
  if (search->found == NULL && g_type_is_a (G_OBJECT_TYPE (widget), search->type))
    search->found = widget;
}

static gpointer
part (Fixture *f,
      GType    type)
{
  Search search = { type, NULL };
  gui_each (GTK_WIDGET (f->window), compare, &search);
  assert_non_null (search.found);
  return search.found;
}

static char *
in_folder (Fixture    *f,
           const char *name)
{
  return g_build_filename (f->folder, name, NULL);
}

static GFile *
file_in (Fixture    *f,
         const char *name)
{
  g_autofree char *path = in_folder (f, name);
  return g_file_new_for_path (path);
}

static GBytes *
bytes_of (Fixture    *f,
          const char *name)
{
  g_autofree char *path = in_folder (f, name);
  char *data = NULL;
  gsize length = 0;
  g_autoptr (GError) error = NULL;
  if (!g_file_get_contents (path, &data, &length, &error))
    fail_msg ("%s", error->message);
  return g_bytes_new_take (data, length);
}

static void
assert_same_file (Fixture    *f,
                  const char *window,
                  const char *cli)
{
  g_autoptr (GBytes) a = bytes_of (f, window);
  g_autoptr (GBytes) b = bytes_of (f, cli);
  assert_true (g_bytes_get_size (a) > 100);
  if (!g_bytes_equal (a, b))
    fail_msg ("%s is not %s", window, cli);
}

/* The command line with @words, blanks between them, in the test's folder. Returns: its standard output. */
static char *
cli (Fixture    *f,
     int         status,
     const char *words)
{
  g_autofree char *line = g_strconcat (g_getenv ("RHYTON_CLI"), " ", words, NULL);
  g_auto (GStrv) argv = g_strsplit (line, " ", -1);
  char *out = NULL;
  g_autofree char *err = NULL;
  int rc = 0;
  g_autoptr (GError) error = NULL;
  assert_true (g_spawn_sync (f->folder, argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &out, &err, &rc, &error));
  if (!WIFEXITED (rc) || WEXITSTATUS (rc) != status)
    fail_msg ("%s: status %d, %s", words, rc, err);
  return out;
}

#define run_cli(f, status, ...) \
  G_STMT_START { \
    g_autofree char *words_ = g_strdup_printf (__VA_ARGS__); \
    g_autofree char *out_ = cli (f, status, words_); \
    (void) out_; \
  } G_STMT_END

static void
save (Fixture             *f,
      const RhytonProduct *product,
      gconstpointer        options,
      gsize                size,
      const char          *name)
{
  g_autoptr (GFile) file = file_in (f, name);
  rhyton_making_save (part (f, RHYTON_TYPE_MAKE_PANEL), product, g_memdup2 (options, size), g_free, file);
  settle (f);
}

/* What a label of a template says. */
static const char *
said (GtkWidget  *root,
      GType       type,
      const char *child)
{
  GtkWidget *label = GTK_WIDGET (gtk_widget_get_template_child (root, type, child));
  return gtk_label_get_label (GTK_LABEL (label));
}

/* ---- drawings, pattern, sheet ---- */

static void
test_drawings_are_the_command_line_s (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  RhyDrawingOptions bed = RHY_DRAWING_OPTIONS_INIT;
  bed.dpi = 150.0;
  save (f, &rhyton_product_bed, &bed, sizeof bed, "w.svg");
  save (f, &rhyton_product_bed, &bed, sizeof bed, "w.pdf");
  save (f, &rhyton_product_bed, &bed, sizeof bed, "w.png");
  run_cli (f, 0, "wrap -o c.svg %s", f->job);
  run_cli (f, 0, "wrap -o c.pdf %s", f->job);
  run_cli (f, 0, "wrap --dpi 150 -o c.png %s", f->job);
  assert_same_file (f, "w.svg", "c.svg");
  assert_same_file (f, "w.pdf", "c.pdf");
  assert_same_file (f, "w.png", "c.png");
}

static void
test_patterns_and_sheets_are_the_command_line_s (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  RhyDrawingOptions pattern = RHY_DRAWING_OPTIONS_INIT;
  pattern.tab_mm = 12.0;
  save (f, &rhyton_product_pattern, &pattern, sizeof pattern, "w.svg");
  run_cli (f, 0, "pattern --tab 12 -o c.svg %s", f->job);
  assert_same_file (f, "w.svg", "c.svg");
  pattern.on_pages = TRUE;
  save (f, &rhyton_product_pages, &pattern, sizeof pattern, "w.pdf");
  run_cli (f, 0, "pattern --tab 12 --paper a4 -o c.pdf %s", f->job);
  assert_same_file (f, "w.pdf", "c.pdf");
  pattern.paper = RHY_PAPER_LETTER;
  save (f, &rhyton_product_pages, &pattern, sizeof pattern, "wl.pdf");
  run_cli (f, 0, "pattern --tab 12 --paper letter -o cl.pdf %s", f->job);
  assert_same_file (f, "wl.pdf", "cl.pdf");

  RhySheetOptions sheet = RHY_SHEET_OPTIONS_INIT;
  sheet.power = "65%";
  sheet.paper = RHY_PAPER_LETTER;
  save (f, &rhyton_product_sheet, &sheet, sizeof sheet, "ws.pdf");
  run_cli (f, 0, "sheet --paper letter --power 65%% -o cs.pdf %s", f->job);
  assert_same_file (f, "ws.pdf", "cs.pdf");
}

static GtkWidget *
of_make (Fixture    *f,
         const char *child)
{
  return GTK_WIDGET (gtk_widget_get_template_child (part (f, RHYTON_TYPE_MAKE_PANEL), RHYTON_TYPE_MAKE_PANEL, child));
}

/* What the save dialog's file gets from the fields: rings on a mug that bulges, for paper that gives more; pages that
 * overlap by more. */
static void
test_the_fields_of_the_pattern_are_the_command_line_s_options (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = demo ("mug.rhyton");
  open_job (f, job);
  go_to (f, "make");
  RhyDrawingOptions options = { 0 };
  assert_true (rhyton_make_panel_read_pattern (part (f, RHYTON_TYPE_MAKE_PANEL), &options));
  save (f, &rhyton_product_pattern, &options, sizeof options, "w.svg");
  run_cli (f, 0, "pattern -o c.svg %s", job);
  assert_same_file (f, "w.svg", "c.svg");

  assert_false (gtk_widget_get_visible (of_make (f, "overlap_row")));
  gtk_drop_down_set_selected (list (f, "Paper of the pattern"), 1);
  assert_true (gtk_widget_get_visible (of_make (f, "overlap_row")));
  rhyton_measure_entry_enter (field (f, "Overlap of pages"), "60");
  assert_string_equal (rhyton_measure_entry_get_message (field (f, "Overlap of pages")), "Pages overlap by 5 to 40 mm.");
  rhyton_measure_entry_enter (field (f, "Overlap of pages"), "17");
  gtk_drop_down_set_selected (list (f, "How a curved wall is cut"), 2);
  gtk_editable_set_text (GTK_EDITABLE (of_make (f, "stretch")), "half");
  assert_true (gtk_widget_get_visible (of_make (f, "stretch_complaint")));
  assert_false (rhyton_make_panel_read_pattern (part (f, RHYTON_TYPE_MAKE_PANEL), &options));
  gtk_editable_set_text (GTK_EDITABLE (of_make (f, "stretch")), "2");
  assert_false (gtk_widget_get_visible (of_make (f, "stretch_complaint")));
  assert_true (rhyton_make_panel_read_pattern (part (f, RHYTON_TYPE_MAKE_PANEL), &options));
  save (f, &rhyton_product_pages, &options, sizeof options, "w.pdf");
  run_cli (f, 0, "pattern --paper a4 --overlap 17 --cut rings --paper-stretch 2 -o c.pdf %s", job);
  assert_same_file (f, "w.pdf", "c.pdf");
}

/* Bands are the job's: undone and redone, said for each, and in the drawing. */
static void
test_bands_are_entered_and_told (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  go_to (f, "make");
  assert_false (gtk_widget_get_visible (of_make (f, "distance_row")));
  assert_false (gtk_widget_get_visible (of_make (f, "bands_text")));
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (of_make (f, "bands")), 3);
  settle (f);
  rhyton_measure_entry_enter (field (f, "Line distance on the wall"), "0.08");
  settle (f);
  g_autofree char *text = text_of (f);
  assert_non_null (strstr (text, "Bands=3"));
  assert_non_null (strstr (text, "LineDistance=0.08"));
  g_autofree char *theirs = g_strdup_printf ("check --bands 3 --line-distance 0.08 %s", f->job);
  g_autofree char *check = cli (f, 0, theirs);
  /* The lowest band's line distance and lines an inch. */
  g_autoptr (GRegex) regex = g_regex_new ("line distance ([0-9.]+) mm, ([0-9.]+) lines per inch", 0, 0, NULL);
  g_autoptr (GMatchInfo) match = NULL;
  assert_true (g_regex_match (regex, check, 0, &match));
  g_autofree char *distance = g_match_info_fetch (match, 1);
  g_autofree char *inch = g_match_info_fetch (match, 2);
  g_autofree char *wanted = g_strdup_printf (":\n%s\u202fmm, %s lines per inch\nEnergy", distance, inch);
  const char *shown = gtk_label_get_label (GTK_LABEL (of_make (f, "bands_text")));
  if (strstr (shown, wanted) == NULL)
    fail_msg ("%s is not in: %s", wanted, shown);

  RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  options.free_area = TRUE;
  save (f, &rhyton_product_bed, &options, sizeof options, "w.svg");
  run_cli (f, 0, "wrap --bands 3 --line-distance 0.08 --free-area -o c.svg %s", f->job);
  assert_same_file (f, "w.svg", "c.svg");
  rhyton_measure_entry_enter (field (f, "Line distance on the wall"), "9");
  assert_string_equal (rhyton_measure_entry_get_message (field (f, "Line distance on the wall")), "Lines are 0.005 to 5 mm apart.");
  assert_true (rhyton_document_undo (f->document));
  assert_true (rhyton_document_undo (f->document));
  settle (f);
  assert_near (gtk_spin_button_get_value (GTK_SPIN_BUTTON (of_make (f, "bands"))), 1, 0);
  assert_false (gtk_widget_get_visible (of_make (f, "bands_text")));
}

static GtkWindow *
question (void)
{
  g_autoptr (GListModel) windows = g_object_ref (gtk_window_get_toplevels ());
  for (guint i = 0; i < g_list_model_get_n_items (windows); i++)
    {
      g_autoptr (GtkWindow) window = g_list_model_get_item (windows, i);
      if (gtk_window_get_modal (window) && gtk_widget_get_visible (GTK_WIDGET (window)))
        return window;
    }
  return NULL;
}

static void
answer (const char *label)
{
  GtkWindow *window = question ();
  assert_non_null (window);
  GtkWidget *button = gui_labelled (GTK_WIDGET (window), GTK_TYPE_BUTTON, label);
  assert_non_null (button);
  g_signal_emit_by_name (button, "clicked");
}

static gboolean
is_there (Fixture    *f,
          const char *name)
{
  g_autofree char *path = in_folder (f, name);
  return g_file_test (path, G_FILE_TEST_EXISTS);
}

/* The crest, moved onto the lip's zone: the wall takes it, the verdict does not. */
static void
test_what_is_not_ready_is_asked_about (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhytonEdit edit = { "Artwork", "At", "112" };
  assert_true (rhyton_document_change (f->document, "Height", NULL, &edit, 1, NULL));
  settle (f);
  assert_false (rhy_verdict_is_ready (rhyton_document_get_verdict (f->document)));

  const RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  save (f, &rhyton_product_bed, &options, sizeof options, "w.svg");
  assert_false (is_there (f, "w.svg"));
  /* Enter alone is no answer to that. */
  GtkWidget *proposed = gtk_window_get_default_widget (question ());
  assert_non_null (proposed);
  assert_string_equal (gtk_button_get_label (GTK_BUTTON (proposed)), "Cancel");
  answer ("Cancel");
  settle (f);
  assert_false (is_there (f, "w.svg"));

  save (f, &rhyton_product_bed, &options, sizeof options, "w.svg");
  answer ("Save Anyway");
  settle (f);
  assert_true (is_there (f, "w.svg"));
  assert_null (question ());

  /* Paper spoils nothing: it is not asked about. */
  save (f, &rhyton_product_pattern, &options, sizeof options, "p.svg");
  assert_true (is_there (f, "p.svg"));
  assert_null (question ());
}

/* What the job is made from is never written over, and nothing is left half done. */
static void
test_what_cannot_be_written_is_said (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
  g_autofree char *crest = demo ("crest.svg");
  g_autoptr (GFile) file = g_file_new_for_path (crest);
  g_autofree char *before = NULL, *after = NULL;
  assert_true (g_file_get_contents (crest, &before, NULL, NULL));
  rhyton_making_save (part (f, RHYTON_TYPE_MAKE_PANEL), &rhyton_product_pattern, g_memdup2 (&options, sizeof options), g_free, file);
  settle (f);
  answer ("Close");
  assert_true (g_file_get_contents (crest, &after, NULL, NULL));
  assert_string_equal (before, after);

  save (f, &rhyton_product_pattern, &options, sizeof options, "drawing.dxf");
  answer ("Close");
  assert_false (is_there (f, "drawing.dxf"));
  save (f, &rhyton_product_pattern, &options, sizeof options, "nowhere/at/all.svg");
  answer ("Close");
  gui_settle ();
  assert_null (question ());
}

/* Work that takes as long as it is let. */
static GBytes *
make_without_end (RhyJob        *job,
                  RhyPlan       *plan,
                  const char    *path,
                  gpointer       options,
                  GCancellable  *cancellable,
                  GError       **error)
{
  while (!g_cancellable_set_error_if_cancelled (cancellable, error))
    g_usleep (1000);
  return NULL;
}

static void
test_making_can_be_stopped (void **state)
{
  static const RhytonProduct endless = { "Save", "-w.svg", FALSE, TRUE, make_without_end };
  Fixture *f = *state;
  open_demo (f);
  g_autoptr (GFile) file = file_in (f, "w.svg");
  rhyton_making_save (part (f, RHYTON_TYPE_MAKE_PANEL), &endless, NULL, NULL, file);
  assert_true (rhyton_document_is_running (f->document));
  act (f, "stop");
  settle (f);
  assert_false (rhyton_document_is_running (f->document));
  assert_false (is_there (f, "w.svg"));
  assert_null (question ());
}

/* In a thread: as long as it is let. */
static GBytes *
make_forever (RhyJob        *job,
              RhyPlan       *plan,
              const char    *path,
              gpointer       options,
              GCancellable  *cancellable,
              GError       **error)
{
  while (!g_cancellable_set_error_if_cancelled (cancellable, error))
    g_usleep (2000);
  return NULL;
}

static void
find_stop (GtkWidget *widget,
           gpointer   data)
{
  GtkWidget **found = data;
  /* The one of a list of names is not in sight. */
  if (GTK_IS_BUTTON (widget) && gtk_widget_get_mapped (widget) && g_strcmp0 (gtk_button_get_label (GTK_BUTTON (widget)), "Stop") == 0)
    *found = widget;
}

static GtkWidget *
stop_button (gpointer window)
{
  GtkWidget *found = NULL;
  gui_each (window, find_stop, &found);
  return found;
}

static gboolean
can_be_stopped (gpointer window)
{
  return stop_button (window) != NULL;
}

/* What takes long has a button that stops it, and the verdict stays in sight beside it. */
static void
test_long_making_has_a_button_to_stop_it (void **state)
{
  Fixture *f = *state;
  static const RhytonProduct product = { "Save", "-x.svg", FALSE, TRUE, make_forever };
  open_demo (f);
  assert_false (can_be_stopped (f->window));
  g_autofree char *verdict = g_strdup (rhyton_window_get_verdict (f->window));
  g_autoptr (GFile) file = file_in (f, "w.svg");
  rhyton_making_save (part (f, RHYTON_TYPE_MAKE_PANEL), &product, NULL, NULL, file);
  assert_true (gui_until (can_be_stopped, f->window, 10.0));
  assert_string_equal (rhyton_window_get_verdict (f->window), verdict);
  gtk_widget_activate (stop_button (f->window));
  settle (f);
  assert_false (can_be_stopped (f->window));
  assert_false (is_there (f, "w.svg"));
}

/* ---- what is seen of it beforehand ---- */

static gboolean
is_dark (cairo_surface_t *surface,
         int              x,
         int              y)
{
  const unsigned char *row = cairo_image_surface_get_data (surface) + y * cairo_image_surface_get_stride (surface);
  return cairo_image_surface_get_format (surface) == CAIRO_FORMAT_A8 ? row[x] < 128 : row[4 * x] < 128;
}

/* Where something is made it stands why it should not be, and no longer than that is so. */
static void
test_it_is_shown_what_stops_it (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  RhytonReadiness *readiness = part (f, RHYTON_TYPE_READINESS);
  assert_false (gtk_widget_get_visible (GTK_WIDGET (readiness)));
  const RhytonEdit edit = { "Artwork", "At", "112" };
  assert_true (rhyton_document_change (f->document, "Height", NULL, &edit, 1, NULL));
  settle (f);
  assert_true (gtk_widget_get_visible (GTK_WIDGET (readiness)));
  const char *text = said (GTK_WIDGET (readiness), RHYTON_TYPE_READINESS, "text");
  assert_true (g_str_has_prefix (text, "Not ready. "));
  assert_non_null (strstr (text, "lip"));
  assert_true (rhyton_document_undo (f->document));
  settle (f);
  assert_false (gtk_widget_get_visible (GTK_WIDGET (readiness)));
}

static gboolean
is_drawn (gpointer thumbnail)
{
  return !rhyton_thumbnail_is_busy (thumbnail);
}

static void
collect_thumbnails (GtkWidget *widget,
                    gpointer   data)
{
  if (RHYTON_IS_THUMBNAIL (widget))
    g_ptr_array_add (data, widget);
}

/* The demo's wall, developed, is 276 mm round at the rim (pi 88 mm): one A4 page cannot hold it, two do, as the
 * command line's own PDF has. */
static void
test_first_pages_are_shown (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_action_group_activate_action (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("make"));
  gui_frame (GTK_WIDGET (f->window));
  gui_settle ();
  g_autoptr (GPtrArray) pages = g_ptr_array_new ();
  gui_each (GTK_WIDGET (f->window), collect_thumbnails, pages);
  assert_int_equal (pages->len, 2);
  for (guint i = 0; i < 2; i++)
    assert_true (gui_until (is_drawn, pages->pdata[i], 30.0));
  assert_string_equal (rhyton_thumbnail_get_text (pages->pdata[0]), "one sheet");
  assert_string_equal (rhyton_thumbnail_get_text (pages->pdata[1]), "page 1 of 2");
  gtk_drop_down_set_selected (list (f, "Paper of the pattern"), 1);
  assert_true (gui_until (is_drawn, pages->pdata[0], 30.0));
  assert_string_equal (rhyton_thumbnail_get_text (pages->pdata[0]), "page 1 of 2");

  /* Paper is white, and something is on it. */
  for (guint i = 0; i < 2; i++)
    {
      GtkWidget *picture = GTK_WIDGET (gtk_widget_get_template_child (pages->pdata[i], RHYTON_TYPE_THUMBNAIL, "picture"));
      gui_frame (GTK_WIDGET (f->window));
      cairo_surface_t *surface = gui_picture (picture);
      const int width = cairo_image_surface_get_width (surface), height = cairo_image_surface_get_height (surface);
      gsize dark = 0;
      for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
          dark += is_dark (surface, x, y);
      assert_true (width > 60 && height > 60);
      assert_true (dark > 20 && dark < (gsize) (width * height) / 4);
      cairo_surface_destroy (surface);
    }

  /* What cannot be drawn says why instead: ink past the rim. */
  const RhytonEdit edit = { "Artwork", "At", "148" };
  assert_true (rhyton_document_change (f->document, "Height", NULL, &edit, 1, NULL));
  settle (f);
  assert_true (gui_until (is_drawn, pages->pdata[0], 30.0));
  assert_non_null (strstr (rhyton_thumbnail_get_text (pages->pdata[0]), "past the rim"));
}

/* The same picture as the command line's, and the same words of a proof. */
static void
test_picture_and_proof_are_the_command_line_s (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  rhyton_measure_entry_enter (field (f, "Angle that faces you"), "30");
  gtk_drop_down_set_selected (list (f, "Size of the picture"), 2);
  g_autoptr (GFile) picture = file_in (f, "w.png");
  rhyton_picture_maker_save_to (part (f, RHYTON_TYPE_PICTURE_MAKER), picture);
  settle (f);
  run_cli (f, 0, "view --turn 30 --lift 11.5 --size 640x480 -o c.png %s", f->job);
  assert_same_file (f, "w.png", "c.png");

  open_fold (f, "Check a drawing");
  RhytonProofCheck *check = part (f, RHYTON_TYPE_PROOF_CHECK);
  run_cli (f, 0, "wrap -o bed.svg %s", f->job);
  g_autofree char *words = g_strdup_printf ("proof %s bed.svg", f->job);
  g_autofree char *line = cli (f, 0, words);
  g_autofree char *want = g_strconcat ("bed.svg: ", g_strchomp (line), NULL);
  g_autoptr (GFile) bed = file_in (f, "bed.svg");
  rhyton_proof_check_read (check, bed);
  settle (f);
  assert_string_equal (said (GTK_WIDGET (check), RHYTON_TYPE_PROOF_CHECK, "text"), want);
  assert_non_null (strstr (want, "within"));

  /* Another job's drawing, or none at all. */
  const RhytonEdit edit = { "Artwork", "Width", "50" };
  assert_true (rhyton_document_change (f->document, "Width", NULL, &edit, 1, NULL));
  settle (f);
  assert_string_equal (said (GTK_WIDGET (check), RHYTON_TYPE_PROOF_CHECK, "text"), "");
  rhyton_proof_check_read (check, bed);
  settle (f);
  assert_non_null (strstr (said (GTK_WIDGET (check), RHYTON_TYPE_PROOF_CHECK, "text"), "beyond"));
  rhyton_proof_check_read (check, picture);
  settle (f);
  assert_true (*said (GTK_WIDGET (check), RHYTON_TYPE_PROOF_CHECK, "text") != '\0');
  assert_null (strstr (said (GTK_WIDGET (check), RHYTON_TYPE_PROOF_CHECK, "text"), "Measuring"));
}

/* ---- printing ---- */

/* Page @i of a PDF at 300 dots an inch. */
static cairo_surface_t *
page_at_300 (Fixture *f,
             const char *pdf,
             int i)
{
  g_autofree char *path = in_folder (f, pdf);
  g_autofree char *stem = in_folder (f, "page");
  g_autofree char *png = in_folder (f, "page.png");
  g_autofree char *page = g_strdup_printf ("%d", i + 1);
  const char *argv[] = { "pdftocairo", "-png", "-gray", "-singlefile", "-r", "300", "-f", page, "-l", page, path, stem, NULL };
  int rc = -1;
  assert_true (g_spawn_sync (NULL, (char **) argv, NULL, G_SPAWN_SEARCH_PATH, NULL, NULL, NULL, NULL, &rc, NULL));
  assert_int_equal (rc, 0);
  cairo_surface_t *surface = cairo_image_surface_create_from_png (png);
  assert_int_equal (cairo_surface_status (surface), CAIRO_STATUS_SUCCESS);
  g_unlink (png);
  return surface;
}

/* The longest level dark line of the last 25 mm of a page, in pixels. */
static int
longest_bar (cairo_surface_t *surface)
{
  const int width = cairo_image_surface_get_width (surface), height = cairo_image_surface_get_height (surface);
  int best = 0;
  for (int y = height - 295; y < height; y++)
    for (int x = 0, run = 0; x < width; x++)
      {
        run = is_dark (surface, x, y) ? run + 1 : 0;
        best = MAX (best, run);
      }
  return best;
}

static guint
print_to (Fixture    *f,
          RhyPages   *pages,
          const char *name)
{
  g_autofree char *path = in_folder (f, name);
  const guint n = (guint) rhy_pages_get_n (pages);
  g_autoptr (GtkPrintOperation) operation = rhyton_print_new (pages, "test");
  g_autoptr (GError) error = NULL;
  gtk_print_operation_set_export_filename (operation, path);
  const GtkPrintOperationResult result = gtk_print_operation_run (operation, GTK_PRINT_OPERATION_ACTION_EXPORT, NULL, &error);
  if (result != GTK_PRINT_OPERATION_RESULT_APPLY)
    fail_msg ("%s", error != NULL ? error->message : "not printed");
  return n;
}

/* The bar under each page is 50 mm; the page is the paper, to a pixel: 210 x 297 mm or 8.5 x 11 in. */
static void
test_a_pattern_is_printed_at_its_size (void **state)
{
  Fixture *f = *state;
  static const struct { RhyPaper paper; double short_mm, long_mm; } papers[] = {
    { RHY_PAPER_A4, 210.0, 297.0 },             /* ISO 216 */
    { RHY_PAPER_LETTER, 215.9, 279.4 },         /* ASME Y14.1 */
  };
  const double per_mm = 300.0 / 25.4;
  open_demo (f);
  for (gsize p = 0; p < G_N_ELEMENTS (papers); p++)
    {
      RhyDrawingOptions options = RHY_DRAWING_OPTIONS_INIT;
      options.on_pages = TRUE;
      options.paper = papers[p].paper;
      RhyPages *pages = rhy_pages_new_pattern (rhyton_document_get_plan (f->document), &options, NULL);
      assert_non_null (pages);
      const guint n = print_to (f, pages, "printed.pdf");
      assert_true (n >= 2);
      for (guint i = 0; i < n; i++)
        {
          cairo_surface_t *page = page_at_300 (f, "printed.pdf", (int) i);
          const int width = cairo_image_surface_get_width (page), height = cairo_image_surface_get_height (page);
          assert_near (MIN (width, height), papers[p].short_mm * per_mm, 1.5);
          assert_near (MAX (width, height), papers[p].long_mm * per_mm, 1.5);
          /* The line is 0.15 mm wide, its first and last tick half of that further out: 1.8 pixels. */
          assert_near (longest_bar (page), 50.0 * per_mm, 2.5);
          cairo_surface_destroy (page);
        }
    }
}

/* Printed, and saved as a file: the same to the eye. */
static void
test_a_sheet_is_printed_as_it_is_saved (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhySheetOptions options = RHY_SHEET_OPTIONS_INIT;
  save (f, &rhyton_product_sheet, &options, sizeof options, "saved.pdf");
  RhyPages *pages = rhy_pages_new_sheet (rhyton_document_get_plan (f->document), rhyton_document_get_verdict (f->document), &options);
  assert_int_equal (print_to (f, pages, "printed.pdf"), 2);
  for (int i = 0; i < 2; i++)
    {
      cairo_surface_t *a = page_at_300 (f, "saved.pdf", i);
      cairo_surface_t *b = page_at_300 (f, "printed.pdf", i);
      const int width = MIN (cairo_image_surface_get_width (a), cairo_image_surface_get_width (b));
      const int height = MIN (cairo_image_surface_get_height (a), cairo_image_surface_get_height (b));
      assert_true (width > 2470 && height > 3500);
      gsize dark = 0, other = 0;
      for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
          {
            dark += is_dark (a, x, y);
            other += is_dark (a, x, y) != is_dark (b, x, y);
          }
      assert_true (dark > 10000);
      assert_true (other < dark / 20);
      cairo_surface_destroy (a);
      cairo_surface_destroy (b);
    }
}

/* ---- test pieces ---- */

static void
test_pieces_are_the_command_line_s (void **state)
{
  Fixture *f = *state;
  static const char *const pieces[] = { "ruler", "arrow", "ladder", "turn" };
  open_demo (f);
  RhytonPieceMaker *maker = part (f, RHYTON_TYPE_PIECE_MAKER);
  GtkDropDown *kind = list (f, "Test piece");
  for (guint i = 0; i < G_N_ELEMENTS (pieces); i++)
    {
      gtk_drop_down_set_selected (kind, i);
      g_autofree char *ours = g_strdup_printf ("w-%s.svg", pieces[i]);
      g_autofree char *theirs = g_strdup_printf ("c-%s.svg", pieces[i]);
      g_autoptr (GFile) file = file_in (f, ours);
      rhyton_piece_maker_save_to (maker, RHYTON_PIECE_DRAWING, file);
      settle (f);
      run_cli (f, 0, "piece -o %s %s %s", theirs, pieces[i], f->job);
      assert_same_file (f, ours, theirs);
      /* On the desktop's usual paper. */
      g_autofree char *our_sheet = g_strdup_printf ("w-%s.pdf", pieces[i]);
      g_autofree char *their_sheet = g_strdup_printf ("c-%s.pdf", pieces[i]);
      g_autoptr (GFile) sheet = file_in (f, our_sheet);
      rhyton_piece_maker_save_to (maker, RHYTON_PIECE_SHEET, sheet);
      settle (f);
      const gboolean letter = g_str_has_prefix (gtk_paper_size_get_default (), GTK_PAPER_NAME_LETTER);
      run_cli (f, 0, "piece -o %s --sheet %s --paper %s %s %s", theirs, their_sheet, letter ? "letter" : "a4", pieces[i], f->job);
      assert_same_file (f, our_sheet, their_sheet);
    }
  /* Two numbers are no power of a beam; then there are no energies. */
  gtk_drop_down_set_selected (kind, 2);
  GtkWidget *watts = GTK_WIDGET (gtk_widget_get_template_child (GTK_WIDGET (maker), RHYTON_TYPE_PIECE_MAKER, "watts"));
  gtk_editable_set_text (GTK_EDITABLE (watts), "20 30 40");
  g_autoptr (GFile) two = file_in (f, "w-two.pdf");
  rhyton_piece_maker_save_to (maker, RHYTON_PIECE_SHEET, two);
  settle (f);
  assert_same_file (f, "w-two.pdf", "c-ladder.pdf");
  gtk_drop_down_set_selected (kind, 0);
  g_autoptr (GFile) table = file_in (f, "w.csv");
  rhyton_piece_maker_save_to (maker, RHYTON_PIECE_TABLE, table);
  settle (f);
  run_cli (f, 0, "piece -o r.svg --csv c.csv ruler %s", f->job);
  assert_same_file (f, "w.csv", "c.csv");
}

/* An arrow to the base, its flag to its right: the mouth's direction and the turn are both wrong; one undo takes both back. */
static void
test_an_arrow_sets_the_machine_right (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  const RhyMouth mouth = data->machine.mouth;
  const gboolean reversed = data->machine.turn_reversed;
  gtk_drop_down_set_selected (list (f, "Test piece"), 1);
  click (f, "Arrow to the base, flag to its right");
  settle (f);
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_int_not_equal (data->machine.mouth, mouth);
  assert_int_not_equal (data->machine.turn_reversed, reversed);
  assert_true (rhyton_document_undo (f->document));
  settle (f);
  data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_int_equal (data->machine.mouth, mouth);
  assert_int_equal (data->machine.turn_reversed, reversed);
}

/* ---- learning ---- */

/* The demo's job with a machine in it, in the test's folder, so that it can be written to. */
static char *
own_job (Fixture    *f,
         const char *machine)
{
  g_autofree char *crest = demo ("crest.svg");
  char *path = in_folder (f, "own.rhyton");
  g_autofree char *text = g_strdup_printf ("[Job]\nFormat=1\nTitle=Larkmoor\n[Vessel]\nHeights=0;150\nDiameters=62;88\n"
                                           "[Artwork]\nFile=%s\nWidth=40\nAt=84\n[Machine]\n%s\n", crest, machine);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  return path;
}

static const char *
lesson (Fixture *f)
{
  return said (part (f, RHYTON_TYPE_LEARNER), RHYTON_TYPE_LEARNER, "result");
}

/* The numbers are the command line's, in its order: the sentences about them are shorter. */
static void
assert_taught (Fixture    *f,
               const char *words)
{
  g_autofree char *theirs = cli (f, 0, words);
  g_autoptr (GRegex) regex = g_regex_new ("Travel per turn:? ([0-9.]+) (?:\\+-|\u00b1) ([0-9.]+) mm.*made with ([0-9.]+)", 0, 0, NULL);
  g_autoptr (GMatchInfo) want = NULL;
  g_autoptr (GMatchInfo) got = NULL;
  assert_true (g_regex_match (regex, theirs, 0, &want));
  if (!g_regex_match (regex, lesson (f), 0, &got))
    fail_msg ("%s", lesson (f));
  for (int i = 1; i <= 3; i++)
    {
      g_autofree char *a = g_match_info_fetch (want, i);
      g_autofree char *b = g_match_info_fetch (got, i);
      assert_string_equal (a, b);
    }
  /* A cause that is there is said with its value; no other has one. */
  g_auto (GStrv) lines = g_strsplit (theirs, "\n", -1);
  guint n = 0;
  for (char **line = lines; *line != NULL; line++)
    {
      if (!g_str_has_prefix (*line, "  there"))
        continue;
      g_autoptr (GString) sentence = g_string_new (g_strstrip (*line + strlen ("  there")));
      g_string_replace (sentence, "+-", "\u00b1", 0);
      assert_non_null (strstr (lesson (f), sentence->str));
      n++;
    }
  guint found = 0;
  for (const char *p = lesson (f); (p = strstr (p, "Found: ")) != NULL; p++)
    found++;
  assert_int_equal (found, n);
}

/* 60 meant and 58.8 found, of 200 mm a turn: 200 * 60 / 58.8 = 204.0816 mm. */
static void
test_a_length_teaches_the_travel (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = own_job (f, "TravelPerTurn=200\nAxis=x\nMouth=plus");
  open_job (f, job);
  rhyton_measure_entry_enter (field (f, "Length that was meant"), "60");
  rhyton_measure_entry_enter (field (f, "Length that came out"), "58.8");
  settle (f);
  assert_taught (f, "learn --nominal 60 --printed 58.8 own.rhyton");

  click (f, "Use this travel in the job");
  settle (f);
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->travel_per_turn_mm, 204.0816, 6e-5);
  assert_true (rhyton_document_undo (f->document));
  settle (f);
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->travel_per_turn_mm, 200.0, 1e-12);
  assert_true (rhyton_document_redo (f->document));
  settle (f);
  g_autofree char *text = text_of (f);
  assert_non_null (strstr (text, "TravelPerTurn=204.0816"));
}

/* Several lengths count together, as the command line's do; one that is not complete, and one taken away, do not. */
static void
test_several_lengths_teach_the_travel (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = own_job (f, "TravelPerTurn=200\nAxis=x\nMouth=plus");
  open_job (f, job);
  rhyton_measure_entry_enter (field (f, "Length that was meant"), "60");
  rhyton_measure_entry_enter (field (f, "Length that came out"), "58.8");
  settle (f);
  click (f, "Another reading");
  rhyton_measure_entry_enter (field (f, "Length 2 that was meant"), "100");
  settle (f);
  assert_taught (f, "learn --nominal 60 --printed 58.8 own.rhyton");
  rhyton_measure_entry_enter (field (f, "Length 2 that came out"), "98.3");
  settle (f);
  assert_taught (f, "learn --nominal 60;100 --printed 58.8;98.3 own.rhyton");
  click (f, "Another reading");
  rhyton_measure_entry_enter (field (f, "Length 3 that was meant"), "20");
  rhyton_measure_entry_enter (field (f, "Length 3 that came out"), "-1");
  assert_string_equal (rhyton_measure_entry_get_message (field (f, "Length 3 that came out")), "This must be more than 0.");
  rhyton_measure_entry_enter (field (f, "Length 3 that came out"), "19.5");
  settle (f);
  assert_taught (f, "learn --nominal 60;100;20 --printed 58.8;98.3;19.5 own.rhyton");
  click (f, "Remove reading 2");
  settle (f);
  assert_taught (f, "learn --nominal 60;20 --printed 58.8;19.5 own.rhyton");
  /* The third is the second now. */
  rhyton_measure_entry_enter (field (f, "Length 2 that came out"), "19.6");
  settle (f);
  assert_taught (f, "learn --nominal 60;20 --printed 58.8;19.6 own.rhyton");
}

/* Overrun 2 mm on a circumference of pi * 75: 200 / (1 + 2 / 235.619) = 198.3166; the diameter is by caliper whatever
 * the overrun was read with. */
static void
test_a_full_turn_teaches_the_travel (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = own_job (f, "TravelPerTurn=200\nAxis=x\nMouth=plus");
  open_job (f, job);
  gtk_drop_down_set_selected (list (f, "What was measured"), 1);
  gtk_drop_down_set_selected (list (f, "Read with"), 1);
  rhyton_measure_entry_enter (field (f, "Overrun of the full turn"), "2");
  rhyton_measure_entry_enter (field (f, "Diameter at the line"), "75");
  settle (f);
  assert_taught (f, "learn --overrun 2 --diameter 75 --tape own.rhyton");
  click (f, "Use this travel in the job");
  settle (f);
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->travel_per_turn_mm, 198.3166, 6e-5);
}

/* A ruler whose every length around came out 2 % short. */
static void
test_a_table_teaches_and_the_machine_keeps_it (void **state)
{
  Fixture *f = *state;
  g_autofree char *machine = in_folder (f, "own.machine");
  assert_true (g_file_set_contents (machine, "[Machine]\n# as it was bought\nTravelPerTurn=200\nAxis=x\nMouth=plus\n", -1, NULL));
  g_autofree char *job = own_job (f, "File=own.machine");
  open_job (f, job);
  g_autoptr (GFile) form = file_in (f, "form.csv");
  rhyton_piece_maker_save_to (part (f, RHYTON_TYPE_PIECE_MAKER), RHYTON_PIECE_TABLE, form);
  settle (f);
  g_autofree char *path = in_folder (f, "form.csv");
  g_autoptr (RhyTable) table = rhy_table_new_from_file (path, NULL);
  assert_non_null (table);
  GString *filled = g_string_new ("height,angle,nominal_along,printed_along,nominal_around,printed_around\n");
  for (gsize i = 0; i < rhy_table_get_n_rows (table); i++)
    {
      char number[G_ASCII_DTOSTR_BUF_SIZE];
      g_ascii_formatd (number, sizeof number, "%.6f", 0.98 * g_ascii_strtod (rhy_table_get (table, i, 4), NULL));
      g_string_append_printf (filled, "%s,%s,%s,%s,%s,%s\n", rhy_table_get (table, i, 0), rhy_table_get (table, i, 1),
                              rhy_table_get (table, i, 2), rhy_table_get (table, i, 2), rhy_table_get (table, i, 4), number);
    }
  g_autofree char *readings = in_folder (f, "readings.csv");
  assert_true (g_file_set_contents (readings, filled->str, -1, NULL));
  g_string_free (filled, TRUE);

  g_autoptr (GFile) file = g_file_new_for_path (readings);
  rhyton_learner_read_table (part (f, RHYTON_TYPE_LEARNER), file);
  settle (f);
  assert_taught (f, "learn --grid readings.csv own.rhyton");

  click (f, "Keep it in the machine's file");
  settle (f);
  g_autofree char *text = NULL;
  assert_true (g_file_get_contents (machine, &text, NULL, NULL));
  assert_non_null (strstr (text, "as it was bought"));
  assert_non_null (strstr (text, "TravelPerTurn was 200"));
  /* 200 / 0.98, by hand */
  assert_non_null (strstr (text, "TravelPerTurn=204.08"));
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->travel_per_turn_mm, 204.0816, 5e-3);
}

static void
test_a_table_that_is_none_is_said (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *path = in_folder (f, "words.csv");
  assert_true (g_file_set_contents (path, "name\nMira\n", -1, NULL));
  g_autoptr (GFile) file = g_file_new_for_path (path);
  rhyton_learner_read_table (part (f, RHYTON_TYPE_LEARNER), file);
  settle (f);
  assert_non_null (strstr (said (part (f, RHYTON_TYPE_LEARNER), RHYTON_TYPE_LEARNER, "complaint"), "words.csv"));
  GtkWidget *use = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "Use this travel in the job");
  assert_false (gtk_widget_get_sensitive (use));
}

/* What was learnt from readings that are no longer there is not offered. */
static void
test_readings_taken_away_teach_nothing (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = own_job (f, "TravelPerTurn=200\nAxis=x\nMouth=plus");
  open_job (f, job);
  rhyton_measure_entry_enter (field (f, "Length that was meant"), "60");
  rhyton_measure_entry_enter (field (f, "Length that came out"), "58.8");
  /* Before the answer has come. */
  rhyton_measure_entry_enter (field (f, "Length that came out"), "");
  settle (f);
  assert_string_equal (lesson (f), "");
  GtkWidget *use = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "Use this travel in the job");
  assert_false (gtk_widget_get_sensitive (use));
}

/* ---- a list of names ---- */

static gboolean
is_finished (gpointer maker)
{
  return !rhyton_batch_maker_is_running (maker);
}

static RhytonBatchMaker *
batch_maker (Fixture *f)
{
  g_autofree char *job = demo ("crews.rhyton");
  g_autofree char *names = demo ("crews.csv");
  g_autoptr (GFile) file = g_file_new_for_path (names);
  open_job (f, job);
  RhytonBatchMaker *maker = part (f, RHYTON_TYPE_BATCH_MAKER);
  rhyton_batch_maker_take_list (maker, file);
  return maker;
}

static void
run_batch (Fixture          *f,
           RhytonBatchMaker *maker,
           const char       *folder)
{
  g_autoptr (GFile) file = file_in (f, folder);
  rhyton_batch_maker_run (maker, file);
  assert_true (gui_until (is_finished, maker, 90.0));
  gui_settle ();
}

static void
assert_same_batch (Fixture    *f,
                   const char *ours,
                   const char *theirs)
{
  g_autofree char *path = in_folder (f, theirs);
  g_autoptr (GDir) dir = g_dir_open (path, 0, NULL);
  assert_non_null (dir);
  guint n = 0;
  for (const char *name; (name = g_dir_read_name (dir)) != NULL;)
    {
      if (!g_str_has_suffix (name, ".svg") && !g_str_has_suffix (name, ".csv") && !g_str_has_suffix (name, ".pdf"))
        continue;
      g_autofree char *a = g_build_filename (ours, name, NULL);
      g_autofree char *b = g_build_filename (theirs, name, NULL);
      assert_same_file (f, a, b);
      n++;
    }
  assert_true (n >= 8);         /* six crews, manifest, contact sheet */
}

static void
test_a_batch_is_the_command_line_s (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = demo ("crews.rhyton");
  g_autofree char *names = demo ("crews.csv");
  RhytonBatchMaker *maker = batch_maker (f);
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "columns"), "{name}, {boat}, {prize}"));
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "columns"), "Mira Anders"));
  run_batch (f, maker, "window");
  run_cli (f, 1, "batch -n %s -d cli %s", names, job);        /* one name is too long, as the demo says */
  assert_same_batch (f, "window", "cli");
  run_batch (f, maker, "window");
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "result"), "6 from an earlier run"));
  assert_same_batch (f, "window", "cli");
}

static gboolean
has_progress (gpointer maker)
{
  GtkWidget *bar = GTK_WIDGET (gtk_widget_get_template_child (maker, RHYTON_TYPE_BATCH_MAKER, "progress"));
  return gtk_progress_bar_get_fraction (GTK_PROGRESS_BAR (bar)) > 0.0;
}

/* Stopped after some rows of many, and run again: some are kept, and the bytes are those of one run. */
static void
test_a_batch_stops_and_goes_on (void **state)
{
  Fixture *f = *state;
  RhytonBatchMaker *maker = batch_maker (f);
  g_autofree char *names = in_folder (f, "many.csv");
  GString *text = g_string_new ("name,boat,prize\n");
  for (int i = 0; i < 24; i++)
    g_string_append_printf (text, "Rower %d,Eight,Winner\n", i);
  assert_true (g_file_set_contents (names, text->str, -1, NULL));
  g_string_free (text, TRUE);
  g_autoptr (GFile) list_file = g_file_new_for_path (names);
  rhyton_batch_maker_take_list (maker, list_file);

  g_autoptr (GFile) folder = file_in (f, "window");
  rhyton_batch_maker_run (maker, folder);
  assert_true (gui_until (has_progress, maker, 60.0));
  click (f, "Stop");
  assert_true (gui_until (is_finished, maker, 60.0));
  gui_settle ();
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "result"), "Stopped"));
  assert_false (is_there (f, "window/manifest.csv"));

  run_batch (f, maker, "window");
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "result"), "24 of 24"));
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "result"), "from an earlier run"));
  g_autofree char *job = demo ("crews.rhyton");
  run_cli (f, 0, "batch -n many.csv -d cli %s", job);
  assert_same_batch (f, "window", "cli");
}

static GtkWidget *
of_batch (RhytonBatchMaker *maker,
          const char       *child)
{
  return GTK_WIDGET (gtk_widget_get_template_child (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, child));
}

/* PNG at another resolution, files named by another column, the second of two shares, no contact sheet. */
static void
test_a_share_of_a_batch_is_the_command_line_s (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = demo ("crews.rhyton");
  g_autofree char *names = demo ("crews.csv");
  RhytonBatchMaker *maker = batch_maker (f);
  assert_false (gtk_widget_get_visible (of_batch (maker, "dpi_row")));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (of_batch (maker, "format")), 2);
  assert_true (gtk_widget_get_visible (of_batch (maker, "dpi_row")));
  gtk_drop_down_set_selected (GTK_DROP_DOWN (of_batch (maker, "paper")), 2);
  gtk_drop_down_set_selected (GTK_DROP_DOWN (of_batch (maker, "name_by")), 1);
  /* No second share of one. */
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (of_batch (maker, "part")), 2);
  assert_near (gtk_spin_button_get_value (GTK_SPIN_BUTTON (of_batch (maker, "part"))), 1, 0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (of_batch (maker, "parts")), 2);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (of_batch (maker, "part")), 2);

  /* A resolution that no picture has begins nothing. */
  gtk_editable_set_text (GTK_EDITABLE (of_batch (maker, "dpi")), "5");
  assert_true (gtk_widget_get_visible (of_batch (maker, "dpi_complaint")));
  run_batch (f, maker, "window");
  assert_false (is_there (f, "window"));
  gtk_editable_set_text (GTK_EDITABLE (of_batch (maker, "dpi")), "96");
  assert_false (gtk_widget_get_visible (of_batch (maker, "dpi_complaint")));

  run_batch (f, maker, "window");
  run_cli (f, 0, "batch -n %s -d cli --part 2/2 --format png --dpi 96 --name-by boat --no-contact %s", names, job);
  const char *result = said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "result");
  assert_non_null (strstr (result, "manifest-2-of-2.csv"));
  assert_null (strstr (result, "contact"));
  assert_false (is_there (f, "window/contact-2-of-2.pdf"));
  assert_same_file (f, "window/manifest-2-of-2.csv", "cli/manifest-2-of-2.csv");
  g_autofree char *path = in_folder (f, "cli");
  g_autoptr (GDir) dir = g_dir_open (path, 0, NULL);
  guint n = 0;
  for (const char *name; (name = g_dir_read_name (dir)) != NULL;)
    if (g_str_has_suffix (name, ".png"))
      {
        g_autofree char *a = g_build_filename ("window", name, NULL);
        g_autofree char *b = g_build_filename ("cli", name, NULL);
        assert_same_file (f, a, b);
        n++;
      }
  assert_int_equal (n, 3);      /* of six crews */
}

static void
test_rows_that_do_not_come_out_are_said (void **state)
{
  Fixture *f = *state;
  RhytonBatchMaker *maker = batch_maker (f);
  g_autofree char *names = in_folder (f, "names.csv");
  /* No font shrinks a name of 200 letters to 80 mm without going under its least size. */
  g_autofree char *endless = g_strnfill (200, 'W');
  g_autofree char *text = g_strdup_printf ("name,boat\nMira,Eight\n%s,Pair\n", endless);
  assert_true (g_file_set_contents (names, text, -1, NULL));
  g_autoptr (GFile) file = g_file_new_for_path (names);
  rhyton_batch_maker_take_list (maker, file);
  run_batch (f, maker, "window");
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "result"), "1 of 2"));
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "complaint"), "Row 2"));

  /* A list without the column that the lettering asks for. */
  assert_true (g_file_set_contents (names, "crew\nMira\n", -1, NULL));
  rhyton_batch_maker_take_list (maker, file);
  run_batch (f, maker, "other");
  assert_non_null (strstr (said (GTK_WIDGET (maker), RHYTON_TYPE_BATCH_MAKER, "complaint"), "no column {name}"));
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    with (test_drawings_are_the_command_line_s),
    with (test_patterns_and_sheets_are_the_command_line_s),
    with (test_the_fields_of_the_pattern_are_the_command_line_s_options),
    with (test_bands_are_entered_and_told),
    with (test_what_is_not_ready_is_asked_about),
    with (test_what_cannot_be_written_is_said),
    with (test_making_can_be_stopped),
    with (test_long_making_has_a_button_to_stop_it),
    with (test_it_is_shown_what_stops_it),
    with (test_first_pages_are_shown),
    with (test_picture_and_proof_are_the_command_line_s),
    with (test_a_pattern_is_printed_at_its_size),
    with (test_a_sheet_is_printed_as_it_is_saved),
    with (test_pieces_are_the_command_line_s),
    with (test_an_arrow_sets_the_machine_right),
    with (test_a_length_teaches_the_travel),
    with (test_several_lengths_teach_the_travel),
    with (test_a_full_turn_teaches_the_travel),
    with (test_a_table_teaches_and_the_machine_keeps_it),
    with (test_a_table_that_is_none_is_said),
    with (test_readings_taken_away_teach_nothing),
    with (test_a_batch_is_the_command_line_s),
    with (test_a_batch_stops_and_goes_on),
    with (test_a_share_of_a_batch_is_the_command_line_s),
    with (test_rows_that_do_not_come_out_are_said),
  };
  return fixture_run (tests);
}
