/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "show-fixture.h"

#include <glib/gstdio.h>

/* Reading back puts points on a grid of 2.4e-7 of the page (see the intake), and
 * the chords are 2e-5 off: under 1e-4 mm altogether. */
static const double MEASURE_MM = 1e-4;

static char *
scratch (void)
{
  GError *error = NULL;
  char *folder = g_dir_make_tmp ("rhy-proof-XXXXXX", &error);
  assert_no_error (error);
  return folder;
}

static gboolean
prove_text (RhyPlan    *plan,
            const char *text,
            RhyProof   *proof,
            GError    **error)
{
  g_autofree char *folder = scratch ();
  g_autofree char *path = g_build_filename (folder, "bed.svg", NULL);
  assert_true (g_file_set_contents (path, text, -1, NULL));
  const gboolean ok = rhy_proof_file (plan, path, proof, error);
  g_unlink (path);
  g_rmdir (folder);
  return ok;
}

static char *
bed_text (RhyPlan *plan)
{
  GError *error = NULL;
  g_autoptr (GBytes) bytes = rhy_drawing_bed (plan, RHY_FORMAT_SVG, NULL, NULL, &error);
  assert_no_error (error);
  return text_of (bytes);
}

/* Through the written file, in all eight orientations, right and reversed. */
static void
test_every_drawing_is_within_its_tolerance (void **state)
{
  (void) state;
  for (int machine = 0; machine < 16; machine++)
    {
      g_autoptr (RhyPlan) plan = f_plan (machine);
      g_autofree char *text = bed_text (plan);
      GError *error = NULL;
      RhyProof proof;
      assert_true (prove_text (plan, text, &proof, &error));
      assert_no_error (error);
      assert_true (proof.distance_mm <= 0.01 + MEASURE_MM);
      assert_true (proof.distance_mm > 0.0);
    }
}

static char *
replaced (const char *text,
          const char *what,
          const char *with)
{
  g_auto (GStrv) parts = g_strsplit (text, what, 2);
  assert_int_equal (g_strv_length (parts), 2);
  return g_strjoinv (with, parts);
}

/* On a can with travel pi D and no tilt the drawing is exact, so that what is
 * found is what was done to the file, to the measure's own error. */
static RhyPlan *
exact_plan (void)
{
  g_autoptr (RhyArtwork) art = letter_f ();
  return plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=30\nAt=60",
                    "[Machine]\nTravelPerTurn=auto\nAxis=y\nMouth=plus\n");
}

static void
test_an_exact_drawing (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = exact_plan ();
  g_autofree char *text = bed_text (plan);
  RhyProof proof;
  GError *error = NULL;
  assert_true (prove_text (plan, text, &proof, &error));
  assert_near (proof.distance_mm, 0.0, MEASURE_MM);
}

typedef struct
{
  const char *name;
  const char *what, *with;      /* what is replaced in the file */
  double      least, most;      /* by hand, mm */
} Tamper;

/* The F is 30 x 50 mm about its middle; the page 30 x 50 mm. */
static const Tamper tampers[] = {
  /* 0.3 and 0.4 make 0.5; the nearest line of the F may be nearer than the point moved: at a
   * convex corner it is not. */
  { "shifted", "<g id=\"ink\">", "<g id=\"ink\" transform=\"translate(0.3 0.4)\">", 0.5, 0.5 },
  { "shifted a little", "<g id=\"ink\">", "<g id=\"ink\" transform=\"translate(0 0.01)\">", 0.01, 0.01 },
  /* A corner 15 across and 25 up moves by one part in a hundred: hypot (0.15, 0.25) = 0.29155. */
  { "scaled by its transform", "<g id=\"ink\">", "<g id=\"ink\" transform=\"scale(1.01)\">", 0.29155, 0.29155 },
  { "scaled by its width", "width=\"30mm\" height=\"50mm\"", "width=\"30.3mm\" height=\"50.5mm\"", 0.29155, 0.29155 },
  /* Mirrored: the stem's foot comes to (30, 0) of the F's box; the nearest line of the F
   * there is the short arm's lower end (22, 20): hypot (8, 20) = 21.54066. */
  { "mirrored", "<g id=\"ink\">", "<g id=\"ink\" transform=\"scale(-1 1)\">", 21.54066, 21.54066 },
  { "turned round", "<g id=\"ink\">", "<g id=\"ink\" transform=\"rotate(180)\">", 5.0, 40.0 },
};

static void
test_tampering_is_found (void **state)
{
  const Tamper *t = *state;
  g_autoptr (RhyPlan) plan = exact_plan ();
  g_autofree char *text = bed_text (plan);
  g_autofree char *changed = replaced (text, t->what, t->with);
  RhyProof proof;
  GError *error = NULL;
  prove_text (plan, changed, &proof, &error);
  assert_no_error (error);
  assert_true (proof.distance_mm >= t->least - MEASURE_MM);
  assert_true (proof.distance_mm <= t->most + MEASURE_MM);
}

/* Two squares of 10 mm, 30 mm apart: without the second, its far side is 40 mm
 * from the first's near side (by hand: 30 + 10). */
static void
test_a_missing_shape_is_found (void **state)
{
  (void) state;
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  for (int i = 0; i < 2; i++)
    {
      RhyPath *path = rhy_path_new ();
      rhy_path_move_to (path, 40.0 * i, 0);
      rhy_path_line_to (path, 40.0 * i + 10, 0);
      rhy_path_line_to (path, 40.0 * i + 10, 10);
      rhy_path_line_to (path, 40.0 * i, 10);
      rhy_path_close (path);
      rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE,
                                                            .fill = { i * 0.5, 0, 0, 1 } });
    }
  g_autoptr (RhyArtwork) art = rhy_artwork_builder_end (builder);
  g_autoptr (RhyPlan) plan = plan_with (art, "Heights=0;115\nDiameters=66;66", "Width=50\nAt=60",
                                        "[Machine]\nTravelPerTurn=auto\nAxis=y\nMouth=plus\n");
  g_autofree char *text = bed_text (plan);
  char *second = strstr (text, "<path fill=\"#800000\"");
  assert_non_null (second);
  const char *end = strstr (second, "/>");
  memset (second, ' ', (gsize) (end + 2 - second));
  RhyProof proof;
  GError *error = NULL;
  assert_true (prove_text (plan, text, &proof, &error));
  assert_near (proof.distance_mm, 40.0, MEASURE_MM);
}

/* Numbers by hand: an upright wall of 115 mm, a quarter turn and half of one, a tolerance of 0.01 mm. */
static void
test_it_is_said_what_was_measured (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = exact_plan ();
  RhyProof proof = { .distance_mm = 0.0025, .where = { 40.0, 0.5 * G_PI } };
  g_autofree char *good = rhy_proof_describe (&proof, plan);
  assert_string_equal (good, "0.002500 mm at height 40.00 mm, 90.00 degrees around: within the tolerance of 0.01 mm");
  assert_true (rhy_proof_is_good (&proof, plan));

  proof.distance_mm = 0.010001;
  g_autofree char *bad = rhy_proof_describe (&proof, plan);
  assert_string_equal (bad, "0.010001 mm at height 40.00 mm, 90.00 degrees around: beyond the tolerance of 0.01 mm");
  assert_false (rhy_proof_is_good (&proof, plan));

  proof = (RhyProof) { .n_pictures = 1, .shift_mm = 0.04, .shift_limit_mm = 0.05, .shift_where = { 10.0, -G_PI / 4.0 }, .tone = 0.012 };
  g_autofree char *picture = rhy_proof_describe (&proof, plan);
  assert_string_equal (strchr (picture, '\n'), "\npictures: 0.0400 mm out of place at height 10.00 mm, -45.00 degrees around, "
                                               "tones off by 1.2 %: within the limits of 0.0500 mm and 5 %");
  assert_true (rhy_proof_is_good (&proof, plan));
  proof.tone = 0.06;
  assert_false (rhy_proof_is_good (&proof, plan));
  proof.tone = 0.0;
  proof.shift_mm = 0.051;
  assert_false (rhy_proof_is_good (&proof, plan));
}

static void
test_what_is_no_bed_drawing (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = exact_plan ();
  RhyProof proof = { .distance_mm = 7.0 };
  GError *error = NULL;
  assert_false (prove_text (plan, "no drawing", &proof, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
  assert_false (prove_text (plan, "<svg xmlns='http://www.w3.org/2000/svg' width='30' height='50'/>", &proof, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
  assert_false (rhy_proof_file (plan, "/nowhere/at/all.svg", &proof, &error));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
  assert_near (proof.distance_mm, 7.0, 0.0);
}

/* ---- pictures ---- */

/* A 36 mm picture of soft spots of every size down to 1.5 mm; it equals none of its turns and mirror images. */
static RhyArtwork *
spots (void)
{
  const guint n = 480;
  guint32 *pixels = g_new (guint32, n * n);
  for (guint y = 0; y < n; y++)
    for (guint x = 0; x < n; x++)
      {
        const double u = 36.0 * x / n;
        const double v = 36.0 * y / n;
        const double tone = 127.5 + 60.0 * sin (0.31 * u + 0.05 * u * v) + 60.0 * cos (0.23 * v + 0.02 * u * u);
        const guint32 g = (guint32) CLAMP (tone, 0.0, 255.0);
        pixels[y * n + x] = 0xff000000u | g * 0x010101u;
      }
  RhyPath *path = rhy_path_new ();
  rhy_path_move_to (path, 0, 0);
  rhy_path_line_to (path, 36, 0);
  rhy_path_line_to (path, 36, 36);
  rhy_path_line_to (path, 0, 36);
  rhy_path_close (path);
  RhyPaint *paint = rhy_paint_new (&(RhyPaint) { .kind = RHY_PAINT_RASTER, .extend = RHY_EXTEND_PAD, .smooth = TRUE, .alpha = 1.0,
                                                 .matrix = { 36.0 / n, 0, 0, -36.0 / n, 0, 36 }, .raster = rhy_raster_new (n, n, pixels) });
  RhyArtworkBuilder *builder = rhy_artwork_builder_new ();
  rhy_artwork_builder_add_shape (builder, &(RhyShape) { .path = path, .has_fill = TRUE, .fill = { 0.5, 0.5, 0.5, 1 }, .fill_paint = paint,
                                                        .pen.matrix = RHY_AFFINE_IDENTITY });
  rhy_artwork_builder_set_size (builder, 36, 36, RHY_SIZE_PHYSICAL);
  return rhy_artwork_builder_end (builder);
}

static RhyPlan *
spots_plan (int         machine,
            const char *artwork)
{
  g_autoptr (RhyArtwork) art = spots ();
  g_autofree char *rest = g_strdup_printf ("[Machine]\nTravelPerTurn=200\nAxis=%s\nMouth=%s\nTurnReversed=%s\n[Output]\nDotsPerInch=150\n",
                                           machine & 1 ? "x" : "y", machine & 2 ? "plus" : "minus", machine & 4 ? "true" : "false");
  return plan_with (art, "Heights=0;150\nDiameters=62;88", artwork, rest);
}

/* Through the written file, in all orientations: within half of a dot of 25.4/150 mm, and the outline
 * that it is cut by within the tolerance. */
static void
test_pictures_are_in_place (void **state)
{
  (void) state;
  for (int machine = 0; machine < 8; machine++)
    {
      g_autoptr (RhyPlan) plan = spots_plan (machine, "Width=36\nAt=80\nAround=20\nTurn=15");
      g_autofree char *text = bed_text (plan);
      GError *error = NULL;
      RhyProof proof;
      assert_true (prove_text (plan, text, &proof, &error));
      assert_no_error (error);
      assert_int_equal (proof.n_pictures, 1);
      assert_true (proof.distance_mm <= 0.01 + MEASURE_MM);
      assert_near (proof.shift_limit_mm, 0.5 * 25.4 / 150.0, 1e-5);
      print_message ("# machine %d: shift %.4f mm, tone %.4f\n", machine, proof.shift_mm, proof.tone);
      assert_true (proof.shift_mm < 0.5 * proof.shift_limit_mm);
      assert_true (proof.tone < 0.01);
    }
}

/* The image's matrix, with what is added to its last two numbers. */
static char *
with_image_moved (const char *text,
                  const char *element,
                  double      dx,
                  double      dy)
{
  const char *at = strstr (text, element);
  assert_non_null (at);
  double m[6];
  char *end = (char *) at + strlen (element);
  for (int i = 0; i < 6; i++)
    m[i] = g_ascii_strtod (end, &end);
  g_autoptr (GString) moved = g_string_new_len (text, at - text);
  g_string_append (moved, element);
  m[4] += dx;
  m[5] += dy;
  for (int i = 0; i < 6; i++)
    {
      char digits[G_ASCII_DTOSTR_BUF_SIZE];
      g_string_append_printf (moved, "%s%s", i > 0 ? " " : "", g_ascii_dtostr (digits, sizeof digits, m[i]));
    }
  g_string_append (moved, end);
  return g_string_free (g_steal_pointer (&moved), FALSE);
}

/* A picture moved by 0.15 mm under its outline is found to be that far off. On the cone a mm of bed along
 * the axis is cos 0 = 1 mm of wall; around it is 2 pi r/200 times, at a radius of 37.9 mm 1.19 times. */
static void
test_a_moved_picture_is_found (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = spots_plan (3, "Width=36\nAt=80");
  g_autofree char *text = bed_text (plan);
  g_autofree char *moved = with_image_moved (text, "preserveAspectRatio=\"none\" transform=\"matrix(", 0.15, 0.0);
  RhyProof proof;
  assert_true (prove_text (plan, moved, &proof, NULL));
  assert_near (proof.shift_mm, 0.15, 0.03);
  assert_true (proof.shift_mm > proof.shift_limit_mm);
  g_autofree char *across = with_image_moved (text, "preserveAspectRatio=\"none\" transform=\"matrix(", 0.0, 0.15);
  assert_true (prove_text (plan, across, &proof, NULL));
  assert_near (proof.shift_mm, 0.18, 0.04);
}

static void
test_a_picture_that_is_gone_is_found (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = spots_plan (3, "Width=36\nAt=80");
  g_autofree char *text = bed_text (plan);
  g_autofree char *gone = replaced (text, "<image ", "<desc ");
  g_autofree char *closed = replaced (gone, "xlink:href", "id");
  GError *error = NULL;
  RhyProof proof;
  assert_false (prove_text (plan, closed, &proof, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_ARTWORK);
}

/* Another machine's drawing: the tones are not those meant, wherever they are. */
static void
test_a_mirrored_picture_is_found (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = spots_plan (3, "Width=36\nAt=80");
  g_autoptr (RhyPlan) other = spots_plan (7, "Width=36\nAt=80");
  g_autofree char *text = bed_text (other);
  RhyProof proof;
  assert_true (prove_text (plan, text, &proof, NULL));
  assert_true (proof.distance_mm < 0.011);      /* a square's outline is its own mirror image */
  assert_true (proof.tone > RHY_PROOF_TONE_MAX);
}

/* ---- bands ---- */

/* A d="" of M, L, C and Z with absolute numbers, as the drawing has them. */
static RhyPath *
path_of (const char *d)
{
  RhyPath *path = rhy_path_new ();
  char verb = 'M';
  while (*d != '"')
    {
      if (g_ascii_isalpha (*d))
        {
          verb = *d++;
          if (verb == 'Z')
            rhy_path_close (path);
          continue;
        }
      if (*d == ' ' || *d == ',')
        {
          d++;
          continue;
        }
      double v[6];
      const int n = verb == 'C' ? 6 : 2;
      assert_true (verb == 'M' || verb == 'L' || verb == 'C');
      for (int i = 0; i < n; i++)
        {
          char *end;
          while (*d == ' ' || *d == ',')
            d++;
          v[i] = g_ascii_strtod (d, &end);
          assert_true (end != d);
          d = end;
        }
      if (verb == 'M')
        rhy_path_move_to (path, v[0], v[1]);
      else if (verb == 'L')
        rhy_path_line_to (path, v[0], v[1]);
      else
        rhy_path_cubic_to (path, v[0], v[1], v[2], v[3], v[4], v[5]);
      verb = verb == 'M' ? 'L' : verb;
    }
  return path;
}

/* Of a closed path of the bed, on the tumbler of f_plan(): r = 31 + k s, R (s) = 31 s + k s^2 / 2,
 * k = 13 / hypot (150, 13); and every point of it is between the two slants. */
static double
area_on_wall (RhyPlan       *plan,
              const RhyPath *path,
              double         low,
              double         high,
              gboolean       lowest,
              gboolean       highest)
{
  const double k = 13.0 / hypot (150.0, 13.0);
  g_autoptr (RhyPath) flat = rhy_path_flatten (path, 1e-4);
  RhyPathIter iter;
  RhySegment g;
  double area = 0;
  rhy_path_iter_init (&iter, flat);
  while (rhy_path_iter_next (&iter, &g))
    {
      RhyPoint a, b;
      assert_true (rhy_map_point_inverse (rhy_plan_get_drive (plan), g.p[0], &a));
      assert_true (rhy_map_point_inverse (rhy_plan_get_drive (plan), g.p[1], &b));
      assert_true ((lowest || a.x > low - 1e-4) && (highest || a.x < high + 1e-4));
      const double s = 0.5 * (a.x + b.x);
      area += (31.0 * s + 0.5 * k * s * s) * (b.y - a.y);
    }
  return area;
}

/* The F in bands by one of the sixteen machines. */
static RhyPlan *
banded_plan (int machine)
{
  g_autoptr (RhyPlan) plan = f_plan (machine);
  g_autoptr (RhyJob) job = rhy_job_with (rhy_plan_get_job (plan), "Output", "Bands", "5", NULL);
  assert_non_null (job);
  RhyPlan *banded = rhy_plan_renewed (plan, job, NULL);
  assert_non_null (banded);
  return banded;
}

/* What is parted lies where it was meant, edges aside that both neighbours have; and on the wall its
 * area is that of the F: 8 x 50 + 22 x 8 + 14 x 8 = 688 mm^2, laid without stretch. */
static void
test_bands_are_the_artwork (void **state)
{
  (void) state;
  for (int machine = 0; machine < 16; machine++)
    {
      g_autoptr (RhyPlan) plan = banded_plan (machine);
      g_autofree char *text = bed_text (plan);
      RhyLineBand bands[RHY_LINE_BANDS_MAX];
      assert_int_equal (rhy_plan_find_line_bands (plan, bands), 5);
      for (guint i = 0; i < 5; i++)
        {
          g_autofree char *group = g_strdup_printf ("<g id=\"band-%u\">\n<title>Band %u of 5, ", i + 1, i + 1);
          assert_non_null (strstr (text, group));
        }
      GError *error = NULL;
      RhyProof proof;
      assert_true (prove_text (plan, text, &proof, &error));
      assert_no_error (error);
      assert_true (proof.distance_mm <= 0.01 + MEASURE_MM);

      /* Each band's own paths, back on the wall: inside its heights, and areas add up. Gore by gore
       * of a fine polygon in (arc, slant) of a cone unrolled: here by r da ds, Green: -integral of
       * R (s) da, R' = r. */
      double area = 0;
      const char *at = strstr (text, "<g id=\"band-");
      guint band = 0;
      while (at != NULL)
        {
          const char *next = strstr (at + 1, "<g id=\"band-");
          const char *end = next != NULL ? next : strstr (at, "<g id=\"mark\"");
          g_autofree char *part = end != NULL ? g_strndup (at, (gsize) (end - at)) : g_strdup (at);
          const char *d = part;
          while ((d = strstr (d, " d=\"")) != NULL)
            {
              g_autoptr (RhyPath) path = path_of (d + 4);
              area += fabs (area_on_wall (plan, path, bands[band].s0_mm, bands[band].s1_mm, band == 0, band == 4));
              d++;
            }
          band++;
          at = next;
        }
      assert_int_equal (band, 5);
      assert_near (area, 688, 688 * 2e-4);
    }
}

/* A band that is gone, or that lies elsewhere, is no artwork; nor is an edge that only one side has. */
static void
test_a_band_that_is_gone_is_found (void **state)
{
  (void) state;
  g_autoptr (RhyPlan) plan = banded_plan (3);
  g_autofree char *text = bed_text (plan);
  const char *third = strstr (text, "<g id=\"band-3\"");
  const char *fourth = strstr (text, "<g id=\"band-4\"");
  assert_true (third != NULL && fourth != NULL);
  g_autofree char *head = g_strndup (text, (gsize) (third - text));
  g_autofree char *without = g_strconcat (head, fourth, NULL);
  g_autofree char *moved = replaced (text, "<g id=\"band-3\">", "<g id=\"band-3\" transform=\"translate(0 0.2)\">");
  RhyProof proof;
  assert_true (prove_text (plan, without, &proof, NULL));
  assert_true (proof.distance_mm > 1.0);
  assert_true (prove_text (plan, moved, &proof, NULL));
  assert_true (proof.distance_mm > 0.1 && proof.distance_mm < 0.3);
  /* Without bands in the job the cuts are edges that nobody meant. */
  g_autoptr (RhyPlan) plain = f_plan (3);
  assert_true (prove_text (plain, text, &proof, NULL));
  assert_true (proof.distance_mm > 1.0);
}

int
main (void)
{
  struct CMUnitTest tests[11 + G_N_ELEMENTS (tampers)] = {
    cmocka_unit_test (test_every_drawing_is_within_its_tolerance),
    cmocka_unit_test (test_an_exact_drawing),
    cmocka_unit_test (test_a_missing_shape_is_found),
    cmocka_unit_test (test_it_is_said_what_was_measured),
    cmocka_unit_test (test_what_is_no_bed_drawing),
    cmocka_unit_test (test_pictures_are_in_place),
    cmocka_unit_test (test_a_moved_picture_is_found),
    cmocka_unit_test (test_a_picture_that_is_gone_is_found),
    cmocka_unit_test (test_a_mirrored_picture_is_found),
    cmocka_unit_test (test_bands_are_the_artwork),
    cmocka_unit_test (test_a_band_that_is_gone_is_found),
  };
  for (gsize i = 0; i < G_N_ELEMENTS (tampers); i++)
    tests[11 + i] = (struct CMUnitTest) { .name = tampers[i].name, .test_func = test_tampering_is_found,
                                         .initial_state = (void *) &tampers[i] };
  return cmocka_run_group_tests (tests, NULL, NULL);
}
