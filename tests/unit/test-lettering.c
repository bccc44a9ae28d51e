/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <string.h>

#include <rhyton/lettering.h>

static double
width_over_height (const char *text, const char *font)
{
  GError *error = NULL;
  g_autoptr (RhyArtwork) art = rhy_lettering_new (text, font, NULL, NULL, &error);
  assert_no_error (error);
  assert_true (rhy_artwork_get_n_shapes (art) > 0);
  const RhyBounds box = rhy_artwork_get_ink_box (art);
  return (box.max_x - box.min_x) / (box.max_y - box.min_y);
}

/* An exact font is no business of this test: proportions that hold in any. */
static void
test_letters_become_outlines (void **state)
{
  (void) state;
  const double l = width_over_height ("l", "sans"), m = width_over_height ("M", "sans");
  assert_true (l < 0.5);
  assert_true (m > 2 * l);
  assert_near (width_over_height ("LARK", "sans"), width_over_height ("  LARK ", "sans"), 1e-9);
  assert_true (width_over_height ("LARK & <CO>", "sans") > 1.5 * width_over_height ("LARK", "sans"));
}

static void
test_style_words_leave_the_family (void **state)
{
  (void) state;
  g_autofree char *svg = rhy_lettering_to_svg ("x", "Lark Serif Semibold Italic");
  assert_non_null (strstr (svg, "font-family=\"Lark Serif\""));
  assert_non_null (strstr (svg, "font-weight=\"600\""));
  assert_non_null (strstr (svg, "font-style=\"italic\""));
  g_autofree char *black = rhy_lettering_to_svg ("x", "Black");
  assert_non_null (strstr (black, "font-family=\"Black\""));
  g_autofree char *quoted = rhy_lettering_to_svg ("x", "A\" onload=\"b");
  assert_null (strstr (quoted, "onload=\"b"));
  assert_true (width_over_height ("MMM", "DejaVu Sans Bold") > width_over_height ("MMM", "DejaVu Sans"));
}

static void
test_what_cannot_be_printed_is_refused (void **state)
{
  (void) state;
  const char *bad[] = { "", "   ", "a\nb", "\xff\xfe" };
  for (gsize i = 0; i < G_N_ELEMENTS (bad); i++)
    {
      GError *error = NULL;
      assert_null (rhy_lettering_new (bad[i], NULL, NULL, NULL, &error));
      assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
    }
}

/* U+0378 is assigned to nothing (Unicode 15.0, block Greek and Coptic), so no font has it. */
static void
test_a_letter_that_no_font_has_is_named (void **state)
{
  (void) state;
  g_autoptr (RhyArtwork) lacking = rhy_lettering_new ("Lark\u0378moor", NULL, NULL, NULL, NULL);
  assert_non_null (lacking);
  assert_true (g_str_has_prefix (rhy_artwork_get_notes (lacking)[0], RHY_ARTWORK_NO_GLYPH "\"\u0378\" (U+0378): "));

  const char *svg = "<svg xmlns='http://www.w3.org/2000/svg' width='90mm' height='20mm'>"
                    "<text y='40'>a <tspan fill='red'>b&#888;</tspan></text></svg>";
  g_autoptr (GBytes) bytes = g_bytes_new_static (svg, strlen (svg));
  g_autoptr (RhyArtwork) drawn = rhy_intake_bytes (bytes, NULL, NULL, NULL);
  assert_non_null (drawn);
  assert_true (g_str_has_prefix (rhy_artwork_get_notes (drawn)[0], RHY_ARTWORK_NO_GLYPH "\"\u0378\" (U+0378): "));

  g_autoptr (RhyArtwork) whole = rhy_lettering_new ("Larkmo\u00f6r \u2013 Zo\u00eb", NULL, NULL, NULL, NULL);
  assert_non_null (whole);
  for (const char *const *note = rhy_artwork_get_notes (whole); *note != NULL; note++)
    assert_false (g_str_has_prefix (*note, RHY_ARTWORK_NO_GLYPH));
}

int
main (void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test (test_letters_become_outlines),
    cmocka_unit_test (test_style_words_leave_the_family),
    cmocka_unit_test (test_what_cannot_be_printed_is_refused),
    cmocka_unit_test (test_a_letter_that_no_font_has_is_named),
  };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
