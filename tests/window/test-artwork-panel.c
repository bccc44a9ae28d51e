/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "fixture.h"

#include <glib/gstdio.h>
#include <math.h>
#include <string.h>

#include "rhyton-artwork-panel.h"
#include "rhyton-artwork-preview.h"
#include "rhyton-text-line.h"

/* 20 x 10 mm of ink; and as much, but upright. */
static const char flat_svg[] = "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='40mm' viewBox='0 0 40 40'>"
                               "<path d='M10 15h20v10h-20z'/></svg>";
static const char tall_svg[] = "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='40mm' viewBox='0 0 40 40'>"
                               "<path d='M15 10h10v20h-10z'/></svg>";

static void
show_step (Fixture *f)
{
  g_action_group_change_action_state (G_ACTION_GROUP (f->window), "step", g_variant_new_string ("artwork"));
  gui_settle ();
  gui_frame (GTK_WIDGET (f->window));
  settle (f);
}

static const RhyJobArtwork *
artwork (Fixture *f)
{
  return rhyton_document_get_artwork (f->document);
}

static const RhyPlanNumbers *
numbers (Fixture *f)
{
  const RhyPlan *part = rhyton_document_get_part (f->document);
  assert_non_null (part);
  return rhy_plan_get_numbers (part);
}

static char *
write_file (Fixture    *f,
            const char *name,
            const char *text)
{
  char *path = g_build_filename (f->folder, name, NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  return path;
}

/* The demo's job, in the test's own folder, with the drawing given. */
static void
open_own (Fixture    *f,
          const char *svg)
{
  g_autofree char *drawing = write_file (f, "own.svg", svg);
  g_autofree char *job = write_file (f, "own.rhyton", "[Job]\nFormat=1\n[Vessel]\nHeights=0;150\nDiameters=62;88\n"
                                                      "[Artwork]\nFile=own.svg\nWidth=30\nAt=80\n");
  open_job (f, job);
  show_step (f);
}

typedef struct { const char *part; gboolean found; } Words;

static void
look_for_words (GtkWidget *widget,
                gpointer   data)
{
  Words *words = data;
  if (GTK_IS_LABEL (widget) && gtk_widget_get_mapped (widget) && strstr (gtk_label_get_label (GTK_LABEL (widget)), words->part) != NULL)
    words->found = TRUE;
}

static gboolean
has_text (GtkWidget  *root,
          const char *part)
{
  Words words = { part, FALSE };
  gui_each (root, look_for_words, &words);
  return words.found;
}

static gboolean
says (Fixture    *f,
      const char *part)
{
  return has_text (part_of (f, RHYTON_TYPE_ARTWORK_PANEL), part);
}

static void
expect_says (Fixture    *f,
             const char *part)
{
  if (!says (f, part))
    print_error ("the panel does not say: %s\n", part);
  assert_true (says (f, part));
}

/* ---- a file ---- */

static void
test_file_is_taken_and_undone (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  g_autofree char *start = text_of (f);
  assert_near (numbers (f)->height_mm, 15.0, 1e-4);
  g_autofree char *tall = write_file (f, "tall.svg", tall_svg);
  g_autoptr (GFile) file = g_file_new_for_path (tall);

  assert_true (rhyton_window_take_artwork (f->window, file));
  settle (f);
  assert_string_equal (artwork (f)->file, "tall.svg");
  assert_near (numbers (f)->height_mm, 60.0, 1e-4);
  expect_says (f, "30\u202fmm \u00d7 60\u202fmm");
  assert_true (rhyton_document_undo (f->document));
  g_autofree char *end = text_of (f);
  assert_string_equal (start, end);
}

static void
test_unusable_file_changes_nothing (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  g_autofree char *start = text_of (f);
  static const struct { const char *name, *text; } bad[] = {
    { "torn.svg", "<svg xmlns='http://www.w3.org/2000/svg'><path" },
    { "bare.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'/>" },
    { "word.png", "this is no picture" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      g_autofree char *path = write_file (f, bad[i].name, bad[i].text);
      rhyton_artwork_panel_take (part_of (f, RHYTON_TYPE_ARTWORK_PANEL), path);
      settle (f);
      g_autofree char *now = text_of (f);
      assert_string_equal (start, now);
      assert_null (rhyton_document_get_undo_name (f->document));
      assert_null (rhyton_document_get_trouble (f->document));
      assert_near (numbers (f)->height_mm, 15.0, 1e-4);
      g_autofree char *said = g_strdup_printf ("%s cannot be used", bad[i].name);
      expect_says (f, said);
      expect_says (f, "stays");
    }
  /* What is done next ends it. */
  rhyton_document_change_number (f->document, "Width", NULL, "Artwork", "Width", 31.0, NULL);
  settle (f);
  assert_false (says (f, "cannot be used"));
}

/* Counted by a program in the intake's place that calls it. */
static void
test_a_chosen_file_is_read_once (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  const char *real = g_getenv ("RHYTON_INTAKE");
  if (real == NULL)
    skip ();
  g_autofree char *intake = g_strdup (real);
  g_autofree char *count = g_build_filename (f->folder, "count", NULL);
  g_autofree char *text = g_strdup_printf ("#!/bin/sh\necho once >>'%s'\nexec '%s' \"$@\"\n", count, intake);
  g_autofree char *counting = write_file (f, "counting", text);
  assert_int_equal (g_chmod (counting, 0700), 0);
  g_autofree char *tall = write_file (f, "tall.svg", tall_svg);

  g_setenv ("RHYTON_INTAKE", counting, TRUE);
  rhyton_artwork_panel_take (part_of (f, RHYTON_TYPE_ARTWORK_PANEL), tall);
  settle (f);
  g_setenv ("RHYTON_INTAKE", intake, TRUE);
  assert_near (numbers (f)->height_mm, 60.0, 1e-4);
  g_autofree char *said = NULL;
  assert_true (g_file_get_contents (count, &said, NULL, NULL));
  assert_string_equal (said, "once\n");
}

/* What is not there leaves the vessel to be seen, and one line that says so with a way to find it;
 * found, it is as if it had never been away. */
static void
test_a_missing_file_leaves_the_vessel (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  const RhytonEdit edit = { "Artwork", "File", "gone.svg" };
  assert_true (rhyton_document_change (f->document, "File", NULL, &edit, 1, NULL));
  settle (f);
  RhytonView *const views[] = { RHYTON_VIEW (rhyton_stage_get_vessel_view (f->stage)), RHYTON_VIEW (rhyton_stage_get_pattern_view (f->stage)),
                                RHYTON_VIEW (rhyton_stage_get_bed_view (f->stage)) };
  for (gsize i = 0; i < G_N_ELEMENTS (views); i++)
    assert_non_null (rhyton_view_get_plan (views[i]));
  assert_non_null (strstr (rhyton_window_get_verdict (f->window), "gone.svg is not where the job looks for it"));
  GtkWidget *find = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_BUTTON, "Find It\u2026");
  assert_non_null (find);
  assert_true (gtk_widget_get_mapped (find));
  assert_true (g_action_group_get_action_enabled (G_ACTION_GROUP (f->window), "find-artwork"));
  assert_false (g_action_group_get_action_enabled (G_ACTION_GROUP (f->window), "export-bed"));

  g_autofree char *tall = write_file (f, "tall.svg", tall_svg);
  g_autoptr (GFile) file = g_file_new_for_path (tall);
  assert_true (rhyton_window_take_artwork (f->window, file));
  settle (f);
  assert_near (numbers (f)->height_mm, 60.0, 1e-4);
  assert_false (gtk_widget_get_mapped (find));
  assert_false (g_action_group_get_action_enabled (G_ACTION_GROUP (f->window), "find-artwork"));
}

static gboolean
offers_reload (gpointer data)
{
  GtkWidget *button = gui_labelled (GTK_WIDGET (((Fixture *) data)->window), GTK_TYPE_BUTTON, "Reload");
  return button != NULL && gtk_widget_get_mapped (button);
}

static gboolean
offers_none (gpointer data)
{
  return !offers_reload (data);
}

static void
test_changed_file_is_offered (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  assert_false (offers_reload (f));
  g_autofree char *path = write_file (f, "own.svg", tall_svg);
  assert_true (gui_until (offers_reload, f, 10.0));
  expect_says (f, "own.svg has changed on disk");
  assert_near (numbers (f)->height_mm, 15.0, 1e-4);
  click (f, "Reload");
  settle (f);
  assert_near (numbers (f)->height_mm, 60.0, 1e-4);
  assert_true (gui_until (offers_none, f, 10.0));
}

/* The one that was read stays to be looked at, and nothing is made of it. */
static void
test_missing_file_leaves_what_was_read (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  g_autofree char *path = g_build_filename (f->folder, "own.svg", NULL);
  assert_int_equal (g_unlink (path), 0);
  assert_true (gui_until (offers_reload, f, 10.0));
  expect_says (f, "own.svg is not where it was");
  click (f, "Reload");
  settle (f);
  assert_near (numbers (f)->height_mm, 15.0, 1e-4);
  assert_non_null (strstr (rhyton_document_get_trouble (f->document), "own.svg"));
  assert_true (offers_reload (f));
  g_autofree char *back = write_file (f, "own.svg", flat_svg);
  click (f, "Reload");
  settle (f);
  assert_null (rhyton_document_get_trouble (f->document));
  assert_true (gui_until (offers_none, f, 10.0));
}

/* ---- the clipboard ---- */

static void
paste (Fixture            *f,
       GdkContentProvider *content)
{
  GdkClipboard *clipboard = gtk_widget_get_clipboard (GTK_WIDGET (f->window));
  assert_true (gdk_clipboard_set_content (clipboard, content));
  g_object_unref (content);
  act (f, "paste-artwork");
  settle (f);
}

static GdkContentProvider *
bytes_of (const char *type,
          const char *text)
{
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  return gdk_content_provider_new_for_bytes (type, bytes);
}

static void
test_pasted_drawing_is_kept_beside_the_job (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  g_autofree char *start = text_of (f);

  paste (f, bytes_of ("image/svg+xml", tall_svg));
  assert_string_equal (artwork (f)->file, "own-pasted.svg");
  assert_near (numbers (f)->height_mm, 60.0, 1e-4);
  g_autofree char *kept = g_build_filename (f->folder, "own-pasted.svg", NULL);
  g_autofree char *text = NULL;
  assert_true (g_file_get_contents (kept, &text, NULL, NULL));
  assert_string_equal (text, tall_svg);
  expect_says (f, kept);

  /* Another goes beside it, not over it; and so does what an editor of text holds. */
  paste (f, gdk_content_provider_new_typed (G_TYPE_STRING, flat_svg));
  assert_string_equal (artwork (f)->file, "own-pasted-2.svg");
  assert_near (numbers (f)->height_mm, 15.0, 1e-4);
  assert_true (rhyton_document_undo (f->document));
  settle (f);
  assert_near (numbers (f)->height_mm, 60.0, 1e-4);
  assert_true (rhyton_document_undo (f->document));
  g_autofree char *end = text_of (f);
  assert_string_equal (start, end);
  assert_true (g_file_test (kept, G_FILE_TEST_EXISTS));
}

static void
test_pasted_picture_and_file (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  guint32 pixels[8 * 4];
  for (int i = 0; i < 32; i++)
    pixels[i] = i % 8 < 4 ? 0xff000000u : 0xffffffffu;
  g_autoptr (GBytes) bytes = g_bytes_new (pixels, sizeof pixels);
  g_autoptr (GdkTexture) texture = gdk_memory_texture_new (8, 4, GDK_MEMORY_B8G8R8A8_PREMULTIPLIED, bytes, 32);

  paste (f, gdk_content_provider_new_typed (GDK_TYPE_TEXTURE, texture));
  assert_string_equal (artwork (f)->file, "own-pasted.png");
  assert_near (numbers (f)->height_mm, 15.0, 1e-4);     /* 8 : 4 */

  g_autofree char *path = write_file (f, "tall.svg", tall_svg);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  GSList files = { file, NULL };
  GdkFileList *list = gdk_file_list_new_from_list (&files);
  paste (f, gdk_content_provider_new_typed (GDK_TYPE_FILE_LIST, list));
  g_boxed_free (GDK_TYPE_FILE_LIST, list);
  assert_string_equal (artwork (f)->file, "tall.svg");
}

static void
test_paste_of_something_else_is_told (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  g_autofree char *start = text_of (f);
  paste (f, gdk_content_provider_new_typed (G_TYPE_STRING, "Larkmoor"));
  expect_says (f, "On the clipboard is text");
  paste (f, bytes_of ("application/x-nothing", "abc"));
  expect_says (f, "no drawing on the clipboard");
  paste (f, bytes_of ("image/svg+xml", "<svg"));
  expect_says (f, "cannot be used");
  g_autofree char *end = text_of (f);
  assert_string_equal (start, end);
}

/* A job without a place of its own keeps what is pasted with the user's data. */
static void
test_paste_into_an_unsaved_job (void **state)
{
  Fixture *f = *state;
  show_step (f);
  paste (f, bytes_of ("image/svg+xml", tall_svg));
  g_autofree char *folder = g_build_filename (g_get_user_data_dir (), "rhyton", "pasted", NULL);
  assert_true (g_str_has_prefix (artwork (f)->file, folder));
  expect_says (f, folder);
  g_unlink (artwork (f)->file);
}

/* ---- lettering ---- */

static GtkEditable *
line (Fixture *f)
{
  GtkWidget *entry = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_ENTRY, "Line of lettering");
  assert_non_null (entry);
  return GTK_EDITABLE (entry);
}

static void
test_lettering_is_live_and_one_step (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  g_autofree char *start = text_of (f);

  assert_false (gtk_widget_get_mapped (GTK_WIDGET (line (f))));
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_TOGGLE_BUTTON, "Lettering")), TRUE);
  assert_true (gtk_widget_get_mapped (GTK_WIDGET (line (f))));
  gtk_editable_set_text (line (f), "L");
  gtk_editable_set_text (line (f), "La");
  gtk_editable_set_text (line (f), "Lark; = [x] ");
  assert_string_equal (artwork (f)->text, "Lark; = [x]");
  assert_null (artwork (f)->file);
  settle (f);
  assert_near (numbers (f)->width_mm, 30.0, 1e-6);
  assert_string_equal (gtk_editable_get_text (line (f)), "Lark; = [x] ");
  assert_true (rhyton_document_undo (f->document));
  g_autofree char *end = text_of (f);
  assert_string_equal (start, end);
  assert_false (gtk_widget_get_mapped (GTK_WIDGET (line (f))));
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_TOGGLE_BUTTON, "Lettering")), TRUE);
  assert_string_equal (gtk_editable_get_text (line (f)), "");
}

/* Each way to say the size leaves the size alone: the em from the width, and 90 degrees of the
 * radius half way up a tumbler 62 and 88 wide, at 80 of 150 mm: 37.93 mm by hand. */
static void
test_sizes_of_lettering (void **state)
{
  Fixture *f = *state;
  open_own (f, flat_svg);
  gtk_editable_set_text (line (f), "Larkmoor");
  settle (f);
  GtkDropDown *fit = list (f, "What the size goes by");
  const double height_mm = numbers (f)->height_mm;

  for (guint way = 1; way < 4; way++)
    {
      gtk_drop_down_set_selected (fit, way);
      settle (f);
      assert_near (numbers (f)->width_mm, 30.0, 30.0 * 0.005 / MIN (height_mm, 5.0));
      assert_null (rhyton_document_get_trouble (f->document));
    }
  assert_true (artwork (f)->span_rad > 0.0 && artwork (f)->width_mm == 0.0 && artwork (f)->font_size_mm == 0.0);
  rhyton_measure_entry_enter (field (f, "Angle of the lettering"), "90");
  settle (f);
  assert_near (numbers (f)->width_mm, G_PI_2 * (31.0 + 13.0 * 80.0 / 150.0), 1e-6);

  gtk_drop_down_set_selected (fit, 2);
  settle (f);
  rhyton_measure_entry_enter (field (f, "Size of the lettering"), "6");
  settle (f);
  const double at_6 = numbers (f)->width_mm;
  rhyton_measure_entry_enter (field (f, "Size of the lettering"), "12");
  settle (f);
  assert_near (numbers (f)->width_mm / at_6, 2.0, 1e-6);
  rhyton_measure_entry_enter (field (f, "Greatest width"), "20");
  settle (f);
  assert_near (numbers (f)->width_mm, 20.0, 1e-6);

  /* Placement's fields and a file both have to get along with a size of letters. */
  g_autofree char *tall = write_file (f, "tall.svg", tall_svg);
  rhyton_artwork_panel_take (part_of (f, RHYTON_TYPE_ARTWORK_PANEL), tall);
  settle (f);
  assert_string_equal (artwork (f)->file, "tall.svg");
  assert_true (artwork (f)->font_size_mm == 0.0);
  assert_true (rhyton_document_undo (f->document));
  settle (f);
  rhyton_measure_entry_enter (field (f, "Height"), "9");
  settle (f);
  assert_near (artwork (f)->height_mm, 9.0, 0.0);
  assert_true (artwork (f)->font_size_mm == 0.0);
}

/* Pango's names for weights (its documentation of PangoWeight) in the words of the job file. */
static void
test_fonts_are_named_for_the_job (void **state)
{
  static const struct { const char *from, *to; } fonts[] = {
    { "DejaVu Serif Bold 12", "DejaVu Serif Bold" },
    { "DejaVu Sans Semi-Bold Italic 10", "DejaVu Sans SemiBold Italic" },
    { "Larkmoor Grotesk Ultra-Light 8", "Larkmoor Grotesk ExtraLight" },
    { "Larkmoor Grotesk Heavy Oblique Condensed 8", "Larkmoor Grotesk Black Condensed Oblique" },
    { "Serif 11", "Serif" },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (fonts); i++)
    {
      g_autofree char *name = rhyton_text_line_name_font (fonts[i].from);
      assert_string_equal (name, fonts[i].to);
    }
}

static void
test_missing_font_is_told (void **state)
{
  Fixture *f = *state;
  g_autofree char *job = write_file (f, "font.rhyton", "[Job]\nFormat=1\n[Vessel]\nHeights=0;150\nDiameters=62;88\n"
                                                       "[Artwork]\nText=Lark\nFont=Larkmoor Nowhere\nWidth=30\n");
  open_job (f, job);
  show_step (f);
  expect_says (f, "The font \"Larkmoor Nowhere\" is not installed");
}

/* ---- what becomes of it ---- */

static void
add_pixels (guint32 *pixels,
            int      n)
{
  for (int i = 0; i < n * n; i++)
    pixels[i] = i % n < n / 2 ? 0xff404040u : 0xffc00000u;
}

/* Left half dark grey, right half red, whose grey is 0x60 or so darker than half. */
static void
open_picture (Fixture *f)
{
  enum { N = 40 };
  static guint32 pixels[N * N];
  add_pixels (pixels, N);
  g_autoptr (GBytes) bytes = g_bytes_new (pixels, sizeof pixels);
  g_autoptr (GdkTexture) texture = gdk_memory_texture_new (N, N, GDK_MEMORY_B8G8R8A8_PREMULTIPLIED, bytes, 4 * N);
  g_autofree char *png = g_build_filename (f->folder, "half.png", NULL);
  assert_true (gdk_texture_save_to_png (texture, png));
  open_own (f, flat_svg);
  rhyton_artwork_panel_take (part_of (f, RHYTON_TYPE_ARTWORK_PANEL), png);
  settle (f);
}

/* A pixel of the preview, in parts of its width and height. */
static guint32
previewed (Fixture *f,
           double   x,
           double   y)
{
  settle (f);
  RhyRaster *picture = rhyton_artwork_preview_get_shown (part_of (f, RHYTON_TYPE_ARTWORK_PREVIEW));
  assert_non_null (picture);
  const guint w = rhy_raster_get_width (picture), h = rhy_raster_get_height (picture);
  return rhy_raster_get_pixels (picture)[(guint) (y * h) * w + (guint) (x * w)];
}

static void
test_pictures_come_out_as_asked (void **state)
{
  Fixture *f = *state;
  open_picture (f);
  g_autofree char *start = text_of (f);
  GtkDropDown *way = list (f, "How pictures come out");
  assert_true (gtk_widget_get_mapped (GTK_WIDGET (way)));

  assert_int_equal (previewed (f, 0.45, 0.5), 0xff404040u);
  const guint32 grey = previewed (f, 0.55, 0.5);
  assert_int_equal ((grey >> 16) & 0xff, grey & 0xff);
  gtk_drop_down_set_selected (way, 2);
  assert_int_equal (previewed (f, 0.55, 0.5), 0xffc00000u);
  assert_int_equal (artwork (f)->shades, RHY_SHADES_COLOUR);
  gtk_drop_down_set_selected (way, 1);
  settle (f);
  assert_int_equal (artwork (f)->shades, RHY_SHADES_DOTS);
  const guint32 dot = previewed (f, 0.45, 0.5);
  assert_true (dot == 0xff000000u || dot == 0xffffffffu);
  assert_false (gtk_widget_get_mapped (gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_SPIN_BUTTON, "Threshold in percent")));

  if (rhy_trace_is_available ())
    {
      gtk_drop_down_set_selected (way, 3);
      settle (f);
      assert_true (artwork (f)->trace);
      GtkWidget *threshold = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_SPIN_BUTTON, "Threshold in percent");
      assert_true (gtk_widget_get_mapped (threshold));
      /* Both halves are darker than half: a square. Below the red's grey only the left one is left,
       * 20 of 40 pixels give or take the half that neighbours blend over. */
      assert_near (numbers (f)->height_mm, 30.0, 0.1);
      gtk_spin_button_set_value (GTK_SPIN_BUTTON (threshold), 29.0);
      gtk_spin_button_set_value (GTK_SPIN_BUTTON (threshold), 30.0);
      settle (f);
      assert_near (artwork (f)->trace_threshold, 0.3, 1e-12);
      assert_near (numbers (f)->height_mm, 60.0, 30.0 * 40.0 / 19.5 - 60.0);
      rhyton_measure_entry_enter (field (f, "Smallest speck"), "0.5");
      settle (f);
      assert_near (artwork (f)->trace_speck_mm, 0.5, 0.0);
      /* Nothing that dark: the fields stay, to mend it. */
      gtk_spin_button_set_value (GTK_SPIN_BUTTON (threshold), 1.0);
      settle (f);
      assert_non_null (rhyton_document_get_trouble (f->document));
      assert_true (gtk_widget_get_mapped (threshold));
    }
  while (g_strcmp0 (rhyton_document_get_undo_name (f->document), "Choice of the artwork") != 0)
    assert_true (rhyton_document_undo (f->document));
  g_autofree char *end = text_of (f);
  assert_string_equal (start, end);
}

static void
test_original_is_a_press_away (void **state)
{
  Fixture *f = *state;
  open_picture (f);
  GtkWidget *button = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_TOGGLE_BUTTON, "Original");
  assert_non_null (button);
  assert_true (previewed (f, 0.55, 0.5) != 0xffc00000u);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (button), TRUE);
  assert_int_equal (previewed (f, 0.55, 0.5), 0xffc00000u);
  gtk_toggle_button_set_active (GTK_TOGGLE_BUTTON (button), FALSE);
  assert_true (previewed (f, 0.55, 0.5) != 0xffc00000u);

  GtkWidget *picture = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_DRAWING_AREA, "The artwork as it will be inked");
  assert_non_null (picture);
  GtkGesture *hold = gui_controller (picture, GTK_TYPE_GESTURE_CLICK, 0);
  g_signal_emit_by_name (hold, "pressed", 1, 5.0, 5.0);
  assert_int_equal (previewed (f, 0.55, 0.5), 0xffc00000u);
  g_signal_emit_by_name (hold, "released", 1, 5.0, 5.0);
  assert_true (previewed (f, 0.55, 0.5) != 0xffc00000u);
}

/* A light square on a dark one: drawn, both are ink; seen, the light one is a hole. */
static void
test_ink_and_strokes (void **state)
{
  Fixture *f = *state;
  open_own (f, "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='40mm' viewBox='0 0 40 40'>"
               "<path d='M0 0h40v40h-40z'/><path fill='white' d='M10 10h20v20h-20z'/></svg>");
  assert_false (gtk_widget_get_mapped (GTK_WIDGET (list (f, "How pictures come out"))));
  gtk_drop_down_set_selected (list (f, "Strokes"), 1);
  settle (f);
  assert_int_equal (artwork (f)->strokes, RHY_STROKES_CENTRELINE);
  assert_int_equal (rhy_artwork_get_n_shapes (rhy_plan_get_artwork (rhyton_document_get_part (f->document))), 2);
  gtk_drop_down_set_selected (list (f, "What is ink"), 1);
  settle (f);
  assert_int_equal (artwork (f)->ink, RHY_INK_SEEN);
  assert_int_equal (rhy_artwork_get_n_shapes (rhy_plan_get_artwork (rhyton_document_get_part (f->document))), 1);
  assert_false (gtk_widget_get_sensitive (GTK_WIDGET (list (f, "Strokes"))));
  assert_string_equal (rhyton_document_get_undo_name (f->document), "What is ink");
  expect_says (f, "lines and curves");

  /* The light square is bare, the dark one black: one shade of two holds ink. */
  gtk_drop_down_set_selected (list (f, "What is ink"), 2);
  settle (f);
  assert_int_equal (artwork (f)->ink, RHY_INK_SHADES);
  GtkWidget *shades = gui_labelled (GTK_WIDGET (f->window), GTK_TYPE_SPIN_BUTTON, "Number of shades");
  assert_true (gtk_widget_get_mapped (shades));
  assert_near (gtk_spin_button_get_value (GTK_SPIN_BUTTON (shades)), 4.0, 0.0);
  gtk_spin_button_set_value (GTK_SPIN_BUTTON (shades), 2.0);
  settle (f);
  assert_int_equal (artwork (f)->ink_shades, 2);
  assert_int_equal (previewed (f, 0.5, 0.5), 0xffffffffu);
  assert_int_equal (previewed (f, 0.25, 0.5), 0xff000000u);
  gtk_drop_down_set_selected (list (f, "What is ink"), 0);
  assert_false (gtk_widget_get_mapped (shades));
}

int
main (void)
{
#define with(test) cmocka_unit_test_setup_teardown (test, fixture_set_up, fixture_tear_down)
  const struct CMUnitTest tests[] = {
    with (test_file_is_taken_and_undone),
    with (test_unusable_file_changes_nothing),
    with (test_a_chosen_file_is_read_once),
    with (test_a_missing_file_leaves_the_vessel),
    with (test_changed_file_is_offered),
    with (test_missing_file_leaves_what_was_read),
    with (test_pasted_drawing_is_kept_beside_the_job),
    with (test_pasted_picture_and_file),
    with (test_paste_of_something_else_is_told),
    with (test_paste_into_an_unsaved_job),
    with (test_lettering_is_live_and_one_step),
    with (test_sizes_of_lettering),
    with (test_fonts_are_named_for_the_job),
    with (test_missing_font_is_told),
    with (test_pictures_come_out_as_asked),
    with (test_original_is_a_press_away),
    with (test_ink_and_strokes),
  };
  return fixture_run (tests);
}
