/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <math.h>
#include <string.h>
#include <glib/gstdio.h>

#include "rhyton-document.h"
#include "rhyton-recovery.h"

/* The demo job: crest.svg, 60 mm wide, 84 mm up on a tumbler of 62 and 88 mm. */

typedef struct
{
  char           *folder;       /* of its own, with copies of the demo */
  char           *job;
  char           *drawing;
  RhytonDocument *document;
} Fixture;

static gboolean
is_quiet (RhytonDocument *document)
{
  return !rhyton_document_is_busy (document);
}

static void
wait_for (RhytonDocument *document)
{
  const gint64 end = g_get_monotonic_time () + 30 * G_USEC_PER_SEC;
  while (!is_quiet (document) && g_get_monotonic_time () < end)
    if (!g_main_context_iteration (NULL, FALSE))
      g_usleep (1000);
  assert_true (is_quiet (document));
}

static void
copy (const char *from,
      const char *to)
{
  g_autofree char *text = NULL;
  gsize length;
  assert_true (g_file_get_contents (from, &text, &length, NULL));
  assert_true (g_file_set_contents (to, text, (gssize) length, NULL));
}

static char *
demo (const char *name)
{
  return g_build_filename (g_getenv ("G_TEST_SRCDIR"), "..", "shared", "demo", name, NULL);
}

static int
set_up (void **state)
{
  Fixture *f = g_new0 (Fixture, 1);
  g_autofree char *job = demo ("tumbler.rhyton");
  g_autofree char *drawing = demo ("crest.svg");
  g_autofree char *machines = g_build_filename (g_getenv ("G_TEST_SRCDIR"), "..", "shared", "machines",
                                                "chuck.machine", NULL);
  g_autofree char *top = g_dir_make_tmp ("rhyton-document-XXXXXX", NULL);
  f->folder = g_steal_pointer (&top);
  g_autofree char *demo_folder = g_build_filename (f->folder, "demo", NULL);
  g_autofree char *machine_folder = g_build_filename (f->folder, "machines", NULL);
  g_mkdir (demo_folder, 0700);
  g_mkdir (machine_folder, 0700);
  g_autofree char *machine = g_build_filename (machine_folder, "chuck.machine", NULL);
  f->job = g_build_filename (demo_folder, "tumbler.rhyton", NULL);
  f->drawing = g_build_filename (demo_folder, "crest.svg", NULL);
  copy (job, f->job);
  copy (drawing, f->drawing);
  copy (machines, machine);
  f->document = rhyton_document_new ();
  *state = f;
  return 0;
}

static void
remove_below (const char *folder)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *path = g_build_filename (folder, name, NULL);
      if (g_file_test (path, G_FILE_TEST_IS_DIR))
        remove_below (path);
      else
        g_unlink (path);
    }
  g_rmdir (folder);
}

static int
tear_down (void **state)
{
  Fixture *f = *state;
  wait_for (f->document);
  g_object_unref (f->document);
  while (g_main_context_iteration (NULL, FALSE))
    ;
  remove_below (f->folder);
  g_free (f->folder);
  g_free (f->job);
  g_free (f->drawing);
  g_free (f);
  return 0;
}

static void
open_demo (Fixture *f)
{
  GError *error = NULL;
  rhyton_document_open (f->document, f->job, &error);
  assert_no_error (error);
  wait_for (f->document);
  assert_null (rhyton_document_get_trouble (f->document));
  assert_non_null (rhyton_document_get_plan (f->document));
}

static char *
text_of (RhytonDocument *document)
{
  return rhy_job_to_data (rhyton_document_get_job (document), NULL);
}

static void
assert_text (RhytonDocument *document,
             const char     *want)
{
  g_autofree char *text = text_of (document);
  assert_string_equal (text, want);
}

static void
set_number (RhytonDocument *document,
            const char     *key,
            double          value)
{
  GError *error = NULL;
  rhyton_document_change_number (document, key, NULL, "Artwork", key, value, &error);
  assert_no_error (error);
}

/* The catalogue's mug has a handle and is lower than the tumbler's artwork: 84 mm. */
static void
test_a_blank_replaces_the_vessel (void **state)
{
  static const char mug[] = "[Vessel]\nName=Low mug\nHeights=5;60\nDiameters=80;80\n"
                            "[Zone handle]\nKind=handle\nCentre=180\nWidth=40\nFrom=10\nTo=50\n";
  Fixture *f = *state;
  g_autoptr (RhyJob) vessel = rhy_job_new_from_data (mug, -1, NULL, NULL);
  assert_non_null (vessel);
  assert_true (rhyton_document_open (f->document, f->job, NULL));
  g_autofree char *before = rhy_job_to_data (rhyton_document_get_job (f->document), NULL);

  assert_true (rhyton_document_take_vessel (f->document, vessel, NULL));
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_string_equal (data->vessel.name, "Low mug");
  assert_int_equal (data->vessel.n_stations, 2);
  assert_near (data->vessel.heights_mm[1], 60.0, 0.0);
  assert_near (data->vessel.diameters_mm[0], 80.0, 0.0);
  assert_int_equal (data->n_zones, 1);
  assert_near (data->artwork.width_mm, 60.0, 0.0);
  assert_true (isnan (data->artwork.at_mm));
  wait_for (f->document);
  assert_null (rhyton_document_get_trouble (f->document));

  assert_string_equal (rhyton_document_get_undo_name (f->document), "Choice of a blank");
  assert_true (rhyton_document_undo (f->document));
  g_autofree char *after = rhy_job_to_data (rhyton_document_get_job (f->document), NULL);
  assert_string_equal (after, before);
}

static void
test_new_job_shows_a_vessel (void **state)
{
  Fixture *f = *state;
  wait_for (f->document);
  assert_non_null (rhyton_document_get_plan (f->document));
  assert_null (rhyton_document_get_path (f->document));
  assert_false (rhyton_document_is_modified (f->document));
  assert_false (rhy_verdict_is_ready (rhyton_document_get_verdict (f->document)));
}

static void
test_open_works_it_out (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->width_mm, 60.0, 1e-9);
  assert_true (rhy_verdict_is_ready (rhyton_document_get_verdict (f->document)));
  assert_false (rhyton_document_is_modified (f->document));
  assert_string_equal (rhyton_document_get_title (f->document), "Larkmoor sculls, winner's tumbler");
}

static void
test_open_failure_keeps_all (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *before = text_of (f->document);
  g_autofree char *bad = g_build_filename (f->folder, "bad.rhyton", NULL);
  GError *error = NULL;
  assert_true (g_file_set_contents (bad, "[Vessel]\nHeights=0\n", -1, NULL));
  assert_false (rhyton_document_open (f->document, bad, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  assert_text (f->document, before);
  assert_string_equal (rhyton_document_get_path (f->document), f->job);
}

static void
test_undo_and_redo_have_names (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f->document);

  assert_null (rhyton_document_get_undo_name (f->document));
  set_number (f->document, "Width", 50.0);
  set_number (f->document, "Turn", 15.0);
  g_autofree char *end = text_of (f->document);
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Turn");
  assert_true (rhyton_document_undo (f->document));
  assert_string_equal (rhyton_document_get_undo_name (f->document), "Width");
  assert_string_equal (rhyton_document_get_redo_name (f->document), "Turn");
  assert_true (rhyton_document_undo (f->document));
  assert_false (rhyton_document_undo (f->document));
  assert_text (f->document, start);
  assert_false (rhyton_document_is_modified (f->document));
  while (rhyton_document_redo (f->document))
    ;
  assert_text (f->document, end);
  assert_true (rhyton_document_is_modified (f->document));
}

static void
test_refused_edit_changes_nothing (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *before = text_of (f->document);
  GError *error = NULL;
  assert_false (rhyton_document_change_number (f->document, "Width", NULL, "Artwork", "Width", -3.0, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  assert_text (f->document, before);
  assert_null (rhyton_document_get_undo_name (f->document));
}

/* Where the first artwork's group has a name, edits go there and make no group of their own. */
static void
test_edits_find_the_named_artwork (void **state)
{
  Fixture *f = *state;
  GError *error = NULL;
  g_autofree char *path = g_build_filename (g_getenv ("G_TEST_SRCDIR"), "..", "shared", "demo", "both-sides.rhyton", NULL);
  assert_true (rhyton_document_open (f->document, path, &error));
  const RhytonEdit edits[] = { { "Artwork", "At", "80" }, { "Artwork", "Around", "10" } };
  assert_true (rhyton_document_change_number (f->document, "Width", NULL, "Artwork", "Width", 50.0, &error));
  assert_true (rhyton_document_change (f->document, "Move", NULL, edits, 2, &error));
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (f->document));
  assert_int_equal (data->n_artworks, 2);
  assert_string_equal (data->artwork.name, "crest");
  assert_near (data->artwork.width_mm, 50.0, 0.0);
  assert_near (data->artwork.at_mm, 80.0, 0.0);
}

/* Lists that must match in length change together or not at all. */
static void
test_edits_apply_together (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const RhytonEdit edits[] = {
    { "Vessel", "Heights", "0;75;150" },
    { "Vessel", "Diameters", "62;75;88" },
  };
  GError *error = NULL;
  rhyton_document_change (f->document, "Reading", NULL, edits, G_N_ELEMENTS (edits), &error);
  assert_no_error (error);
  assert_int_equal (rhy_job_get_data (rhyton_document_get_job (f->document))->vessel.n_stations, 3);
  const RhytonEdit half = { "Vessel", "Heights", "0;150" };
  assert_false (rhyton_document_change (f->document, "Reading", NULL, &half, 1, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
}

static void
test_a_drag_is_one_step (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *start = text_of (f->document);
  rhyton_document_hold_step (f->document);
  for (int i = 0; i < 20; i++)
    assert_true (rhyton_document_move_artwork (f->document, "drag", 84.0 + i * 0.5, i, NULL));
  rhyton_document_end_step (f->document);
  assert_true (rhyton_document_move_artwork (f->document, "drag", 90.0, 30.0, NULL));
  assert_true (rhyton_document_undo (f->document));
  assert_near (rhy_job_get_data (rhyton_document_get_job (f->document))->artwork.at_mm, 93.5, 0.0);
  assert_true (rhyton_document_undo (f->document));
  assert_text (f->document, start);
}

/* However fast edits come, the plan in the end is the last one's. */
static void
test_the_newest_state_wins (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  for (int i = 0; i < 40; i++)
    {
      set_number (f->document, "Width", 20.0 + i);
      g_main_context_iteration (NULL, FALSE);
    }
  wait_for (f->document);
  assert_ptr_equal (rhy_plan_get_job (rhyton_document_get_plan (f->document)),
                    rhyton_document_get_job (f->document));
  assert_near (rhy_plan_get_numbers (rhyton_document_get_plan (f->document))->width_mm, 59.0, 1e-9);
}

/* With no intake program left, only artwork that is kept can make a plan. */
static void
test_moving_does_not_read_again (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *before = g_strdup (g_getenv ("RHYTON_INTAKE"));
  g_setenv ("RHYTON_INTAKE", "/nonexistent/intake", TRUE);
  set_number (f->document, "At", 90.0);
  wait_for (f->document);
  const gboolean worked = rhyton_document_get_plan (f->document) != NULL;
  if (before != NULL)
    g_setenv ("RHYTON_INTAKE", before, TRUE);
  else
    g_unsetenv ("RHYTON_INTAKE");
  assert_true (worked);
}

static void
test_a_changed_drawing_is_read_again (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  const char *square = "<svg xmlns='http://www.w3.org/2000/svg' width='20mm' height='20mm' viewBox='0 0 20 20'>"
                       "<path d='M5 5h10v10h-10z'/></svg>";
  assert_true (g_file_set_contents (f->drawing, square, -1, NULL));
  set_number (f->document, "Width", 30.0);
  wait_for (f->document);
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (rhyton_document_get_plan (f->document));
  /* A square is as high as it is wide; the crest is not. */
  assert_near (numbers->height_mm, 30.0, 1e-6);
}

static void
test_missing_drawing_is_trouble_not_loss (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *none = g_build_filename (f->folder, "none.svg", NULL);
  GError *error = NULL;
  rhyton_document_set_artwork_file (f->document, none, &error);
  assert_no_error (error);
  wait_for (f->document);
  /* The vessel stays to be seen, as no artwork's. */
  assert_non_null (rhyton_document_get_plan (f->document));
  assert_null (rhyton_document_get_part (f->document));
  assert_null (rhyton_document_get_verdict (f->document));
  assert_string_equal (rhyton_document_get_missing (f->document), none);
  assert_non_null (strstr (rhyton_document_get_trouble (f->document), "none.svg"));
  assert_true (rhyton_document_undo (f->document));
  wait_for (f->document);
  assert_non_null (rhyton_document_get_part (f->document));
  assert_null (rhyton_document_get_missing (f->document));
  assert_null (rhyton_document_get_trouble (f->document));
}

static void
test_save_and_back (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autofree char *elsewhere = g_build_filename (f->folder, "second.rhyton", NULL);
  GError *error = NULL;

  set_number (f->document, "Width", 44.0);
  rhyton_document_save_as (f->document, elsewhere, &error);
  assert_no_error (error);
  assert_false (rhyton_document_is_modified (f->document));
  assert_string_equal (rhyton_document_get_path (f->document), elsewhere);

  g_autoptr (RhyJob) back = rhy_job_new_from_file (elsewhere, &error);
  assert_no_error (error);
  assert_near (rhy_job_get_data (back)->artwork.width_mm, 44.0, 0.0);
  /* The folder changed, and the drawing is still the same file. */
  g_autofree char *resolved = rhy_job_resolve (back, rhy_job_get_data (back)->artwork.file);
  g_autoptr (GFile) a = g_file_new_for_path (resolved);
  g_autoptr (GFile) b = g_file_new_for_path (f->drawing);
  assert_true (g_file_equal (a, b));

  /* Undo reaches behind the save, and saving again goes to the new place. */
  assert_true (rhyton_document_undo (f->document));
  assert_true (rhyton_document_is_modified (f->document));
  rhyton_document_save (f->document, &error);
  assert_no_error (error);
  assert_string_equal (rhyton_document_get_path (f->document), elsewhere);
  assert_false (rhyton_document_is_modified (f->document));
}

/* A job that gets its first place beside its drawing can travel with it. */
static void
test_first_save_shortens_the_name (void **state)
{
  Fixture *f = *state;
  GError *error = NULL;
  g_autofree char *folder = g_path_get_dirname (f->drawing);
  g_autofree char *path = g_build_filename (folder, "new.rhyton", NULL);
  assert_true (rhyton_document_set_artwork_file (f->document, f->drawing, &error));
  assert_no_error (error);
  rhyton_document_save_as (f->document, path, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_data (rhyton_document_get_job (f->document))->artwork.file, "crest.svg");
  assert_false (rhyton_document_is_modified (f->document));
  wait_for (f->document);
  assert_null (rhyton_document_get_trouble (f->document));
  g_autoptr (RhyJob) back = rhy_job_new_from_file (path, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_data (back)->artwork.file, "crest.svg");
}

static void
test_failed_save_keeps_the_change (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  set_number (f->document, "Width", 44.0);
  g_autofree char *nowhere = g_build_filename (f->folder, "no", "such", "folder.rhyton", NULL);
  GError *error = NULL;
  assert_false (rhyton_document_save_as (f->document, nowhere, &error));
  assert_non_null (error);
  g_clear_error (&error);
  assert_true (rhyton_document_is_modified (f->document));
  assert_string_equal (rhyton_document_get_path (f->document), f->job);
}

static void
test_notices_another_writer (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  assert_false (rhyton_document_is_changed_on_disk (f->document));
  assert_true (g_file_set_contents (f->job, "[Job]\n[Vessel]\nHeights=0;1\nDiameters=5;5\n", -1, NULL));
  assert_true (rhyton_document_is_changed_on_disk (f->document));
}

typedef struct
{
  gboolean done;
  GBytes  *bytes;
  GError  *error;
} Ran;

static void
on_ran (GObject      *source,
        GAsyncResult *result,
        gpointer      data)
{
  Ran *ran = data;
  ran->bytes = rhyton_document_run_finish (RHYTON_DOCUMENT (source), result, &ran->error);
  ran->done = TRUE;
}

static void
unref_bytes (gpointer bytes)
{
  g_bytes_unref (bytes);
}

static gpointer
draw_bed (RhyJob        *job,
          RhyPlan       *plan,
          gpointer       options,
          GCancellable  *cancellable,
          GError       **error)
{
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  return plan != NULL ? rhy_drawing_bed (plan, RHY_FORMAT_SVG, NULL, NULL, error) : g_bytes_new_static ("no plan", 7);
}

static Ran
run (RhytonDocument *document,
     gboolean        needs_plan,
     gboolean        stops)
{
  Ran ran = { FALSE, NULL, NULL };
  rhyton_document_run (document, draw_bed, needs_plan, NULL, NULL, unref_bytes, on_ran, &ran);
  assert_true (rhyton_document_is_running (document));
  if (stops)
    rhyton_document_stop (document);
  while (!ran.done)
    g_main_context_iteration (NULL, TRUE);
  assert_false (rhyton_document_is_running (document));
  return ran;
}

/* The window and the command line must give the same bytes: both are the library's. */
static void
test_runs_make_the_library_s_bytes (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autoptr (GBytes) want = rhy_drawing_bed (rhyton_document_get_plan (f->document), RHY_FORMAT_SVG, NULL, NULL, NULL);
  Ran ran = run (f->document, TRUE, FALSE);
  assert_no_error (ran.error);
  assert_true (g_bytes_equal (ran.bytes, want));
  g_bytes_unref (ran.bytes);
}

static void
test_failed_runs_say_why (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  set_number (f->document, "At", 149.0);
  Ran ran = run (f->document, TRUE, FALSE);
  assert_null (ran.bytes);
  assert_error (ran.error, RHY_ERROR, RHY_ERROR_OUTSIDE);

  set_number (f->document, "At", 84.0);
  ran = run (f->document, TRUE, TRUE);
  assert_null (ran.bytes);
  assert_error (ran.error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  /* A run that was stopped stops no later one. */
  ran = run (f->document, TRUE, FALSE);
  assert_no_error (ran.error);
  g_bytes_unref (ran.bytes);

  /* Without a plan: only for what asks for none. */
  const RhytonEdit edit = { "Artwork", "File", "gone.svg" };
  assert_true (rhyton_document_change (f->document, "File", NULL, &edit, 1, NULL));
  ran = run (f->document, TRUE, FALSE);
  assert_null (ran.bytes);
  assert_non_null (strstr (ran.error->message, "gone.svg"));
  g_error_free (ran.error);
  ran = run (f->document, FALSE, FALSE);
  assert_int_equal (g_bytes_get_size (ran.bytes), 7);
  g_bytes_unref (ran.bytes);
}

static guint
count_recoverable (char **name)
{
  g_auto (GStrv) names = rhyton_recovery_list ();
  if (name != NULL && names[0] != NULL)
    *name = g_strdup (names[0]);
  return g_strv_length (names);
}

static char *
recovery_folder (void)
{
  return g_build_filename (g_get_user_state_dir (), "rhyton", "recovery", NULL);
}

/* A copy of what is kept stands for what a crash leaves: nobody holds its lock. */
static void
test_unsaved_work_outlives_its_owner (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autoptr (RhytonRecovery) recovery = rhyton_recovery_new (f->document, 60);
  set_number (f->document, "Width", 33.0);
  rhyton_recovery_flush (recovery);
  /* Its owner lives: not to be offered. */
  assert_int_equal (count_recoverable (NULL), 0);

  g_autofree char *folder = recovery_folder ();
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  assert_non_null (dir);
  const char *name;
  g_autofree char *kept = NULL;
  while ((name = g_dir_read_name (dir)) != NULL)
    if (g_str_has_suffix (name, ".recovery"))
      kept = g_build_filename (folder, name, NULL);
  assert_non_null (kept);
  g_autofree char *left = g_build_filename (folder, "left.recovery", NULL);
  copy (kept, left);

  g_autofree char *found = NULL;
  assert_int_equal (count_recoverable (&found), 1);
  g_autoptr (RhytonDocument) other = rhyton_document_new ();
  GError *error = NULL;
  rhyton_recovery_restore (found, other, &error);
  assert_no_error (error);
  wait_for (other);
  g_autofree char *want = text_of (f->document);
  assert_text (other, want);
  assert_true (rhyton_document_is_modified (other));
  assert_string_equal (rhyton_document_get_path (other), f->job);
  /* The drawing is found from the job's old place. */
  assert_non_null (rhyton_document_get_plan (other));
  assert_int_equal (count_recoverable (NULL), 0);
}

static void
test_saved_work_needs_no_recovery (void **state)
{
  Fixture *f = *state;
  open_demo (f);
  g_autoptr (RhytonRecovery) recovery = rhyton_recovery_new (f->document, 60);
  set_number (f->document, "Width", 33.0);
  rhyton_recovery_flush (recovery);
  assert_true (rhyton_document_save (f->document, NULL));
  g_autofree char *folder = recovery_folder ();
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  assert_true (dir == NULL || g_dir_read_name (dir) == NULL);
}

static void
test_broken_recovery_is_refused (void **state)
{
  Fixture *f = *state;
  g_autofree char *folder = recovery_folder ();
  g_autofree char *bad = g_build_filename (folder, "bad.recovery", NULL);
  GError *error = NULL;
  g_mkdir_with_parents (folder, 0700);
  assert_true (g_file_set_contents (bad, "[Recovery]\nJob=nonsense\n", -1, NULL));
  assert_false (rhyton_recovery_restore (bad, f->document, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  rhyton_recovery_discard (bad);
  assert_int_equal (count_recoverable (NULL), 0);
}

static void
test_going_away_while_working (void **state)
{
  (void) state;
  g_autofree char *job = demo ("tumbler.rhyton");
  for (int i = 0; i < 5; i++)
    {
      RhytonDocument *document = rhyton_document_new ();
      assert_true (rhyton_document_open (document, job, NULL));
      rhyton_document_change_number (document, "Width", NULL, "Artwork", "Width", 20.0 + i, NULL);
      g_object_unref (document);
    }
  const gint64 end = g_get_monotonic_time () + G_USEC_PER_SEC;
  while (g_get_monotonic_time () < end)
    if (!g_main_context_iteration (NULL, FALSE))
      g_usleep (1000);
}

int
main (void)
{
  g_autofree char *states = g_dir_make_tmp ("rhyton-state-XXXXXX", NULL);
  g_setenv ("XDG_STATE_HOME", states, TRUE);

#define with(test) cmocka_unit_test_setup_teardown (test, set_up, tear_down)
  const struct CMUnitTest tests[] = {
    with (test_a_blank_replaces_the_vessel),
    with (test_new_job_shows_a_vessel),
    with (test_open_works_it_out),
    with (test_open_failure_keeps_all),
    with (test_undo_and_redo_have_names),
    with (test_refused_edit_changes_nothing),
    with (test_edits_find_the_named_artwork),
    with (test_edits_apply_together),
    with (test_a_drag_is_one_step),
    with (test_the_newest_state_wins),
    with (test_moving_does_not_read_again),
    with (test_a_changed_drawing_is_read_again),
    with (test_missing_drawing_is_trouble_not_loss),
    with (test_save_and_back),
    with (test_first_save_shortens_the_name),
    with (test_failed_save_keeps_the_change),
    with (test_notices_another_writer),
    with (test_runs_make_the_library_s_bytes),
    with (test_failed_runs_say_why),
    with (test_unsaved_work_outlives_its_owner),
    with (test_saved_work_needs_no_recovery),
    with (test_broken_recovery_is_refused),
    cmocka_unit_test (test_going_away_while_working),
  };
  const int failed = cmocka_run_group_tests (tests, NULL, NULL);
  remove_below (states);
  return failed;
}
