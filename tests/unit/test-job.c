/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "rhy-test.h"

#include <rhyton/job.h>

#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <glib/gstdio.h>

/* What is expected of a file follows from the job file's description (groups, keys,
 * words, defaults) and from what each row writes; nothing is read back from the code. */

#define VESSEL "[Vessel]\nHeights=0;150\nDiameters=62;88\n"

static RhyJob *
parse (const char *text)
{
  g_autoptr (GError) error = NULL;
  RhyJob *job = rhy_job_new_from_data (text, -1, NULL, &error);
  assert_no_error (error);
  assert_non_null (job);
  return job;
}

static void
test_defaults (void **state)
{
  (void) state;
  g_autoptr (RhyJob) job = parse (VESSEL);
  const RhyJobData *d = rhy_job_get_data (job);
  assert_int_equal (d->vessel.form, RHY_WALL_AUTO);
  assert_int_equal (d->vessel.n_stations, 2);
  assert_near (d->vessel.heights_mm[1], 150, 0);
  assert_near (d->vessel.diameters_mm[0], 62, 0);
  assert_near (d->vessel.height_uncertainty_mm, 0.5, 0);
  assert_near (d->vessel.diameter_uncertainty_mm, 0.05, 0);
  assert_int_equal (d->artwork.lay, RHY_LAY_ROLLED);
  assert_true (isnan (d->artwork.at_mm));
  assert_near (d->artwork.eye_distance_mm, 600, 0);
  assert_int_equal (d->artwork.repeat, 1);
  assert_int_equal (d->hold.tilt_mode, RHY_TILT_AUTO);
  assert_false (d->machine.given);
  assert_near (d->machine.travel_per_turn_mm, 0, 0);
  assert_true (isnan (d->machine.bed_width_mm));
  assert_near (d->output.tolerance_mm, 0.01, 0);
  assert_true (d->output.mark);
  assert_int_equal (d->n_zones, 0);
}

static void
test_every_key (void **state)
{
  (void) state;
  g_autoptr (RhyJob) job = parse (
    "# made by hand\n"
    "[Job]\nFormat=1\nTitle=Larkmoor\\sRegatta\nNote=first\\nsecond\n"
    "[Vessel]\nName=Tumbler\nWall=stepped\nHeights = 0 ; 60.5;150; \nCircumferences=200;220.5;250\n"
    "HeightUncertainty=0.25\nDiameterUncertainty=0.1\n"
    "[Zone grip]\nKind=handle\nCentre=180\nWidth=40\nFrom=20\nTo=130\nStand=35\nMargin=3\n"
    "[Artwork]\nFile=crest.svg\nWidth=60\nLay=ringed-balanced\nAt=90\nAround=-90\nTurn=45\n"
    "EyeDistance=0\nEyeHeight=120\nStrokes=centreline\nRepeat=3\n"
    "[Hold]\nDrive=rollers\nEnd=mouth\nTilt=-4.5\nContactHeight=30\nReferenceDiameter=80\n"
    "[Machine]\nTravelPerTurn=170\nAxis=y\nMouth=minus\nTurnReversed=true\nBedWidth=400\nBedHeight=300\n"
    "TiltMin=-5\nTiltMax=15\nAxisHeight=70\nWorkingDistance=8\nNozzleRadius=4\nHeadHalfWidth=30\nDepthOfFocus=2\n"
    "[Output]\nTolerance=0.005\nPage=turn\nMark=false\n");
  const RhyJobData *d = rhy_job_get_data (job);
  assert_string_equal (d->job.title, "Larkmoor Regatta");
  assert_string_equal (d->job.note, "first\nsecond");
  assert_string_equal (d->vessel.name, "Tumbler");
  assert_int_equal (d->vessel.form, RHY_WALL_STEPPED);
  assert_int_equal (d->vessel.n_stations, 3);
  assert_true (d->vessel.by_tape);
  assert_near (d->vessel.diameters_mm[0], 63.661977236758134, 1e-12);    /* 200 / pi */
  assert_near (d->vessel.diameter_uncertainty_mm, 0.1, 0);
  assert_int_equal (d->n_zones, 1);
  assert_string_equal (d->zones[0].name, "grip");
  assert_int_equal (d->zones[0].kind, RHY_ZONE_HANDLE);
  assert_near (d->zones[0].centre_rad, G_PI, 0);
  assert_near (d->zones[0].width_rad, 0.69813170079773184, 1e-15);       /* 40 degrees */
  assert_near (d->zones[0].stand_mm, 35, 0);
  assert_near (d->zones[0].margin_mm, 3, 0);
  assert_string_equal (d->artwork.file, "crest.svg");
  assert_int_equal (d->artwork.lay, RHY_LAY_RINGED_BALANCED);
  assert_near (d->artwork.around_rad, -G_PI_2, 0);
  assert_near (d->artwork.turn_rad, G_PI_4, 0);
  assert_near (d->artwork.eye_distance_mm, 0, 0);
  assert_int_equal (d->artwork.strokes, RHY_STROKES_CENTRELINE);
  assert_int_equal (d->artwork.repeat, 3);
  assert_int_equal (d->hold.drive, RHY_DRIVE_ROLLERS);
  assert_int_equal (d->hold.end, RHY_END_MOUTH);
  assert_int_equal (d->hold.tilt_mode, RHY_TILT_SET);
  assert_near (d->hold.tilt_rad, -0.078539816339744828, 1e-16);          /* -4.5 degrees */
  assert_near (d->hold.reference_diameter_mm, 80, 0);
  assert_true (d->machine.given);
  assert_near (d->machine.travel_per_turn_mm, 170, 0);
  assert_int_equal (d->machine.axis, RHY_AXIS_Y);
  assert_int_equal (d->machine.mouth, RHY_MOUTH_MINUS);
  assert_true (d->machine.turn_reversed);
  assert_near (d->machine.tilt_max_rad, 0.26179938779914944, 1e-15);     /* 15 degrees */
  assert_near (d->machine.depth_of_focus_mm, 2, 0);
  assert_int_equal (d->output.page, RHY_PAGE_TURN);
  assert_false (d->output.mark);
  assert_null (rhy_job_get_unknown_keys (job)[0]);
}

static void
test_line_breaks_and_byte_order_mark (void **state)
{
  (void) state;
  g_autoptr (RhyJob) job = parse ("\xEF\xBB\xBF[Vessel]\r\nHeights=0;150\r\nDiameters=62;88\r\n[Artwork]\r\nWidth=60\r\n");
  assert_near (rhy_job_get_data (job)->vessel.diameters_mm[1], 88, 0);
  assert_near (rhy_job_get_data (job)->artwork.width_mm, 60, 0);
}

typedef struct
{
  const char *name;
  const char *text;
  const char *start;            /* of the message */
  const char *part;             /* somewhere in it */
} Bad;

static const Bad bad_files[] = {
  { "empty", "", "job: empty", "" },
  { "blank", " \r\n\n", "job: empty", "" },
  { "no group of ours", "[Other]\nA=1\n", "job: no [Job]", "not a job file" },
  { "prose", "Dear reader,\n", "job:1: found \"Dear reader,\"", "Key=value" },
  { "key before group", "A=1\n" VESSEL, "job:1: found \"A=1\"", "[Group]" },
  { "markup", "<svg xmlns='x'/>\n", "job:1: found", "[Group]" },
  { "not UTF-8", VESSEL "[Job]\nTitle=\xE9t\xE9\n", "job:5: not UTF-8", "" },
  { "newer format", "[Job]\nFormat=2\n" VESSEL, "job:2: [Job] Format: found \"2\"", "newer" },
  { "odd format", "[Job]\nFormat=one\n" VESSEL, "job:2: [Job] Format: found \"one\"", "allowed: 1" },
  { "twice", VESSEL "Diameters=60;70\n", "job:4: [Vessel] Diameters: found twice", "line 3" },
  { "no stations", "[Job]\nFormat=1\n[Vessel]\nName=x\n", "job:3: [Vessel] Heights: missing", "two or more" },
  { "one station", "[Vessel]\nHeights=10\nDiameters=62\n", "job:2: [Vessel] Heights: found \"10\"", "two or more" },
  { "not increasing", "[Vessel]\nHeights=0;90;90\nDiameters=62;70;88\n", "job:2: [Vessel] Heights: found \"0;90;90\"",
    "number 3 is not above number 2" },
  { "decreasing", "[Vessel]\nHeights=150;0\nDiameters=62;88\n", "job:2: [Vessel] Heights", "lowest first" },
  { "negative diameter", "[Vessel]\nHeights=0;150\nDiameters=-62;88\n",
    "job:3: [Vessel] Diameters: found \"-62;88\": allowed: outside diameters above 0", "number 1 is \"-62\"" },
  { "zero diameter", "[Vessel]\nHeights=0;150\nDiameters=62;0\n", "job:3: [Vessel] Diameters", "number 2 is \"0\"" },
  { "not a number", "[Vessel]\nHeights=0;150\nDiameters=nan;88\n", "job:3: [Vessel] Diameters: found \"nan;88\"", "" },
  { "infinite", "[Vessel]\nHeights=0;inf\nDiameters=60;88\n", "job:2: [Vessel] Heights: found \"0;inf\"", "" },
  { "overflow", "[Vessel]\nHeights=0;1e999\nDiameters=60;88\n", "job:2: [Vessel] Heights", "" },
  { "hexadecimal", "[Vessel]\nHeights=0;0x50\nDiameters=60;88\n", "job:2: [Vessel] Heights", "0x50" },
  { "decimal comma", "[Vessel]\nHeights=0;150\nDiameters=62,5;88\n", "job:3: [Vessel] Diameters", "62,5" },
  { "junk behind", "[Vessel]\nHeights=0;150mm\nDiameters=62;88\n", "job:2: [Vessel] Heights", "150mm" },
  { "hole in list", "[Vessel]\nHeights=0;;150\nDiameters=62;70;88\n", "job:2: [Vessel] Heights", "number 2 is \"\"" },
  { "too few", "[Vessel]\nHeights=0;80;150\nDiameters=62;88\n", "job:3: [Vessel] Diameters", "found 2 for 3 heights" },
  { "no diameters", "[Vessel]\nHeights=0;80\n", "job:1: [Vessel] Diameters: missing", "one for each height" },
  { "negative tape", VESSEL "Circumferences=190;-1\n", "job:4: [Vessel] Circumferences", "0 where there is none" },
  { "tape elsewhere", VESSEL "Circumferences=190\n", "job:4: [Vessel] Circumferences", "found 1 for 2 heights" },
  { "slant", VESSEL "Slant=0\n", "job:4: [Vessel] Slant: found \"0\"", "above 0" },
  { "capacity", VESSEL "Capacity=-5\n", "job:4: [Vessel] Capacity", "ml" },
  { "capacity unit", VESSEL "Capacity=12 fl oz\n", "job:4: [Vessel] Capacity: found \"12 fl oz\"", "US fl oz" },
  { "wall", VESSEL "Wall=curved\n", "job:4: [Vessel] Wall: found \"curved\": allowed: auto, straight, stepped, smooth", "" },
  { "lay", VESSEL "[Artwork]\nLay=wrapped\n", "job:5: [Artwork] Lay: found \"wrapped\": allowed: rolled, ringed", "least-stretch" },
  { "zero width", VESSEL "[Artwork]\nWidth=0\n", "job:5: [Artwork] Width: found \"0\": allowed: a number above 0", "mm" },
  { "nan width", VESSEL "[Artwork]\nWidth=nan\n", "job:5: [Artwork] Width: found \"nan\"", "above 0" },
  { "empty width", VESSEL "[Artwork]\nWidth=\n", "job:5: [Artwork] Width: found \"\"", "above 0" },
  { "width and height", VESSEL "[Artwork]\nWidth=5\nHeight=6\n", "job:6: [Artwork] Height: found \"6\"", "not both" },
  { "repeat", VESSEL "[Artwork]\nRepeat=0\n", "job:5: [Artwork] Repeat: found \"0\"", "whole number" },
  { "name", VESSEL "[Artwork]\nFile=C:\\art.svg\n", "job:5: [Artwork] File", "backslash" },
  { "tilt", VESSEL "[Hold]\nTilt=flat\n", "job:5: [Hold] Tilt: found \"flat\": allowed: auto, level", "" },
  { "tilt reach", VESSEL "[Hold]\nTilt=90\n", "job:5: [Hold] Tilt", "between -90 and 90" },
  { "travel", VESSEL "[Machine]\nTravelPerTurn=-1\n", "job:5: [Machine] TravelPerTurn: found \"-1\": allowed: auto, or", "" },
  { "reversed", VESSEL "[Machine]\nTurnReversed=yes\n", "job:5: [Machine] TurnReversed", "false, true" },
  { "tilts", VESSEL "[Machine]\nTiltMin=5\nTiltMax=-5\n", "job:6: [Machine] TiltMax: found \"-5\"", "TiltMin" },
  { "tolerance", VESSEL "[Output]\nTolerance=0\n", "job:5: [Output] Tolerance", "from 1e-05 up to 1 mm" },
  { "zone kind", VESSEL "[Zone a]\nFrom=1\n", "job:4: [Zone a] Kind: missing", "handle, jaws" },
  { "zone order", VESSEL "[Zone a]\nKind=rim\nFrom=9\nTo=8\n", "job:7: [Zone a] To: found \"8\"", "above From" },
};

static void
test_bad (void **state)
{
  const Bad *c = *state;
  g_autoptr (GError) error = NULL;
  assert_null (rhy_job_new_from_data (c->text, -1, NULL, &error));
  assert_non_null (error);
  if (!g_str_has_prefix (error->message, c->start) || strstr (error->message, c->part) == NULL
      || strchr (error->message, '\n') != NULL)
    fail_msg ("message: %s", error->message);
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
}

static void
test_binary (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  assert_null (rhy_job_new_from_data ("[Vessel]\0\1\2", 11, "a/b.rhyton", &error));
  assert_true (g_str_has_prefix (error->message, "a/b.rhyton: holds binary data"));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
}

static void
test_edits (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = parse (VESSEL "[Artwork]\nWidth=60\n");

  g_autoptr (RhyJob) wider = rhy_job_with_number (job, "Artwork", "Width", 61.1, &error);
  assert_no_error (error);
  assert_near (rhy_job_get_data (wider)->artwork.width_mm, 61.1, 0);
  assert_near (rhy_job_get_data (job)->artwork.width_mm, 60, 0);
  g_autofree char *text = rhy_job_to_data (wider, NULL);
  assert_non_null (strstr (text, "Width=61.1\n"));

  assert_null (rhy_job_with (job, "Artwork", "Width", "-3", &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  assert_null (rhy_job_with_number (job, "Artwork", "Width", NAN, &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  assert_null (rhy_job_with (job, "Artwork", "File", "a\n[Vessel]", &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);
  assert_null (rhy_job_with (job, "Zone a]b", "Kind", "rim", &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_JOB);

  g_autoptr (RhyJob) natural = rhy_job_with (job, "Artwork", "Width", NULL, &error);
  assert_no_error (error);
  assert_near (rhy_job_get_data (natural)->artwork.width_mm, 0, 0);

  const char *odd = " C:\\boats;\nsecond line ";
  g_autoptr (RhyJob) titled = rhy_job_with_text (job, "Job", "Title", odd, &error);
  assert_no_error (error);
  g_autofree char *titled_text = rhy_job_to_data (titled, NULL);
  g_autoptr (RhyJob) again = parse (titled_text);
  assert_string_equal (rhy_job_get_data (again)->job.title, odd);
}

static void
test_numbers_read_back_exactly (void **state)
{
  (void) state;
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  assert_string_equal (rhy_number_to_text (text, 0.1), "0.1");
  assert_string_equal (rhy_number_to_text (text, 60.0), "60");
  /* IEEE 754: one third needs 16 digits, 0.1 + 0.2 needs 17. */
  assert_string_equal (rhy_number_to_text (text, 1.0 / 3.0), "0.3333333333333333");
  assert_string_equal (rhy_number_to_text (text, 0.1 + 0.2), "0.30000000000000004");
  g_autoptr (GRand) rand = g_rand_new_with_seed (7);
  for (int i = 0; i < 10000; i++)
    {
      const double x = g_rand_double_range (rand, -1e4, 1e4);
      assert_true (g_ascii_strtod (rhy_number_to_text (text, x), NULL) == x);
    }
}

/* ---- files ---- */

static char *folder;

static int
make_folder (void **state)
{
  (void) state;
  folder = g_dir_make_tmp ("rhyton-job-XXXXXX", NULL);
  return folder == NULL;
}

static void
remove_tree (const char *path)
{
  GDir *dir = g_file_test (path, G_FILE_TEST_IS_SYMLINK) ? NULL : g_dir_open (path, 0, NULL);
  const char *name;
  while (dir != NULL && (name = g_dir_read_name (dir)) != NULL)
    {
      g_autofree char *child = g_build_filename (path, name, NULL);
      remove_tree (child);
    }
  if (dir != NULL)
    g_dir_close (dir);
  g_remove (path);
}

static int
drop_folder (void **state)
{
  (void) state;
  remove_tree (folder);
  g_free (folder);
  return 0;
}

static char *
in_folder (const char *name)
{
  return g_build_filename (folder, name, NULL);
}

static guint
count_files (void)
{
  GDir *dir = g_dir_open (folder, 0, NULL);
  guint n = 0;
  while (g_dir_read_name (dir) != NULL)
    n++;
  g_dir_close (dir);
  return n;
}

static void
test_save_keeps_what_it_does_not_know (void **state)
{
  (void) state;
  g_autofree char *path = in_folder ("a.rhyton");
  const char *text = "# kept: a comment on top\n\n"
                     "[Job]\nFormat=1\n\n"
                     "[Vessel]\n# kept: measured twice\nHeights=0;150\nDiameters=62;88\nColour=plum\n\n"
                     "[Elsewhere]\nAnything=at all\n\n"
                     "[X-Other Program]\nAnything=at all\n\n"
                     "[Artwork]\nWidht=60\n";
  assert_true (g_file_set_contents (path, text, -1, NULL));
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_file (path, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_unknown_keys (job)[0], "[Vessel] Colour");
  assert_string_equal (rhy_job_get_unknown_keys (job)[1], "[Elsewhere]");
  assert_string_equal (rhy_job_get_unknown_keys (job)[2], "[Artwork] Widht");
  assert_null (rhy_job_get_unknown_keys (job)[3]);

  g_autoptr (RhyJob) saved = rhy_job_save (job, path, &error);
  assert_no_error (error);
  assert_non_null (saved);
  g_autofree char *after = NULL;
  assert_true (g_file_get_contents (path, &after, NULL, NULL));
  assert_string_equal (after, text);
}

static void
test_save_keeps_link_and_mode (void **state)
{
  (void) state;
  g_autofree char *path = in_folder ("real.rhyton");
  g_autofree char *link = in_folder ("link.rhyton");
  assert_true (g_file_set_contents (path, VESSEL, -1, NULL));
  assert_int_equal (g_chmod (path, 0640), 0);
  assert_int_equal (symlink ("real.rhyton", link), 0);
  const guint before = count_files ();

  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_file (link, &error);
  g_autoptr (RhyJob) edited = rhy_job_with (job, "Artwork", "Width", "33", &error);
  g_autoptr (RhyJob) saved = rhy_job_save (edited, link, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_path (saved), link);
  assert_true (g_file_test (link, G_FILE_TEST_IS_SYMLINK));
  struct stat st;
  assert_int_equal (g_lstat (path, &st), 0);
  assert_int_equal (st.st_mode & 07777, 0640);
  g_autoptr (RhyJob) read = rhy_job_new_from_file (path, &error);
  assert_near (rhy_job_get_data (read)->artwork.width_mm, 33, 0);
  assert_int_equal (count_files (), before);
}

static void
test_save_rewrites_names (void **state)
{
  (void) state;
  g_autofree char *one = in_folder ("one");
  g_autofree char *two = in_folder ("one/two");
  assert_int_equal (g_mkdir (one, 0755), 0);
  assert_int_equal (g_mkdir (two, 0755), 0);
  g_autofree char *machine = in_folder ("one/bench.machine");
  assert_true (g_file_set_contents (machine, "[Machine]\nTravelPerTurn=171\nAxis=y\n", -1, NULL));
  g_autofree char *path = in_folder ("one/a.rhyton");
  assert_true (g_file_set_contents (path, VESSEL "[Artwork]\nFile=art/crest.svg\n"
                                          "[Machine]\nFile=bench.machine\nAxis=x\n", -1, NULL));
  g_autofree char *art = in_folder ("one/art");
  assert_int_equal (g_mkdir (art, 0755), 0);

  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_file (path, &error);
  assert_no_error (error);
  assert_near (rhy_job_get_data (job)->machine.travel_per_turn_mm, 171, 0);
  assert_int_equal (rhy_job_get_data (job)->machine.axis, RHY_AXIS_X);  /* the key beside File= wins */

  g_autofree char *down = in_folder ("one/two/b.rhyton");
  g_autoptr (RhyJob) below = rhy_job_save (job, down, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_data (below)->artwork.file, "../art/crest.svg");
  assert_string_equal (rhy_job_get_data (below)->machine.file, "../bench.machine");

  g_autofree char *up = in_folder ("c.rhyton");
  g_autoptr (RhyJob) above = rhy_job_save (below, up, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_data (above)->artwork.file, "one/art/crest.svg");
  g_autofree char *resolved = rhy_job_resolve (above, "one/art/crest.svg");
  g_autofree char *wanted = in_folder ("one/art/crest.svg");
  assert_string_equal (resolved, wanted);
}

static void
test_bad_machine_file (void **state)
{
  (void) state;
  g_autofree char *path = in_folder ("m.rhyton");
  g_autofree char *machine = in_folder ("bad.machine");
  g_autofree char *start = g_strdup_printf ("%s:2: [Machine] Axis: found \"z\": allowed: x, y", machine);
  assert_true (g_file_set_contents (machine, "[Machine]\nAxis=z\n", -1, NULL));
  assert_true (g_file_set_contents (path, VESSEL "[Machine]\nFile=bad.machine\n", -1, NULL));
  g_autoptr (GError) error = NULL;
  assert_null (rhy_job_new_from_file (path, &error));
  assert_non_null (error);
  assert_string_equal (error->message, start);
  g_clear_error (&error);

  assert_true (g_file_set_contents (path, VESSEL "[Machine]\nFile=none.machine\n", -1, NULL));
  assert_null (rhy_job_new_from_file (path, &error));
  assert_non_null (strstr (error->message, "none.machine"));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
}

/* Lower case once, and the travel is worked out instead of measured: a drawing of another width. */
static void
test_slips_in_a_machine_file_show (void **state)
{
  (void) state;
  g_autofree char *path = in_folder ("slip.rhyton");
  g_autofree char *machine = in_folder ("slip.machine");
  g_autofree char *slip = g_strconcat (machine, ": [Machine] travelPerTurn", NULL);
  assert_true (g_file_set_contents (machine, "[Machine]\nName=A\nTravelReadings=170;\ntravelPerTurn=200\nAxis=y\n", -1, NULL));
  assert_true (g_file_set_contents (path, VESSEL "[Machine]\nFile=slip.machine\nTravelReadings=170;\n", -1, NULL));
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = rhy_job_new_from_file (path, &error);
  assert_no_error (error);
  assert_string_equal (rhy_job_get_unknown_keys (job)[0], slip);
  assert_null (rhy_job_get_unknown_keys (job)[1]);
}

static void
test_tilts_out_of_order_name_their_file (void **state)
{
  (void) state;
  g_autofree char *path = in_folder ("tilt.rhyton");
  g_autofree char *machine = in_folder ("tilt.machine");
  g_autofree char *start = g_strdup_printf ("%s:3: [Machine] TiltMax: found \"10\": allowed: degrees not below TiltMin", machine);
  assert_true (g_file_set_contents (machine, "[Machine]\nTiltMin=20\nTiltMax=10\n", -1, NULL));
  assert_true (g_file_set_contents (path, VESSEL "[Machine]\nFile=tilt.machine\n", -1, NULL));
  g_autoptr (GError) error = NULL;
  assert_null (rhy_job_new_from_file (path, &error));
  assert_non_null (error);
  assert_string_equal (error->message, start);
  g_clear_error (&error);

  assert_true (g_file_set_contents (machine, "[Machine]\nTiltMax=10\n", -1, NULL));
  assert_true (g_file_set_contents (path, VESSEL "[Machine]\nFile=tilt.machine\nTiltMin=20\n", -1, NULL));
  assert_null (rhy_job_new_from_file (path, &error));
  assert_non_null (error);
  assert_non_null (strstr (error->message, "tilt.rhyton:"));
  assert_non_null (strstr (error->message, "[Machine] TiltMin: found \"20\": allowed: degrees not above TiltMax"));
}

static void
test_files_that_are_none (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autofree char *missing = in_folder ("missing.rhyton");
  assert_null (rhy_job_new_from_file (missing, &error));
  assert_true (g_str_has_prefix (error->message, missing));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);

  assert_null (rhy_job_new_from_file (folder, &error));
  assert_true (g_str_has_prefix (error->message, folder));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_ISDIR);

  assert_null (rhy_job_new_from_file ("/dev/zero", &error));
  assert_error (error, RHY_ERROR, RHY_ERROR_LIMIT);
}

static void
test_failed_save_loses_nothing (void **state)
{
  (void) state;
  g_autoptr (GError) error = NULL;
  g_autoptr (RhyJob) job = parse (VESSEL);
  g_autofree char *nowhere = in_folder ("nowhere/a.rhyton");
  const guint before = count_files ();
  assert_null (rhy_job_save (job, nowhere, &error));
  assert_non_null (strstr (error->message, "folder"));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOENT);
  assert_null (rhy_job_save (job, folder, &error));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_ISDIR);
  assert_null (rhy_job_save (job, "/dev/full", &error));
  assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOSPC);
  assert_int_equal (count_files (), before);
}

/* A hundred zones are read, one more is refused. */
static void
test_too_many_zones (void **state)
{
  (void) state;
  g_autoptr (GString) text = g_string_new (VESSEL);
  g_autoptr (GError) error = NULL;
  for (int i = 0; i < 100; i++)
    g_string_append_printf (text, "[Zone z%d]\nKind=mark\nCentre=%d\nWidth=1\n", i, i);
  g_autoptr (RhyJob) job = rhy_job_new_from_data (text->str, -1, NULL, &error);
  assert_no_error (error);
  assert_int_equal (rhy_job_get_data (job)->n_zones, 100);
  g_string_append (text, "[Zone last]\nKind=mark\n");
  assert_null (rhy_job_new_from_data (text->str, -1, NULL, &error));
  assert_true (g_error_matches (error, RHY_ERROR, RHY_ERROR_LIMIT));
  assert_non_null (strstr (error->message, "[Zone last]: more than 100 zones: allowed: up to 100"));
}

int
main (void)
{
  const struct CMUnitTest plain[] = {
    cmocka_unit_test (test_defaults),
    cmocka_unit_test (test_every_key),
    cmocka_unit_test (test_line_breaks_and_byte_order_mark),
    cmocka_unit_test (test_binary),
    cmocka_unit_test (test_edits),
    cmocka_unit_test (test_numbers_read_back_exactly),
    cmocka_unit_test (test_save_keeps_what_it_does_not_know),
    cmocka_unit_test (test_save_keeps_link_and_mode),
    cmocka_unit_test (test_save_rewrites_names),
    cmocka_unit_test (test_bad_machine_file),
    cmocka_unit_test (test_slips_in_a_machine_file_show),
    cmocka_unit_test (test_tilts_out_of_order_name_their_file),
    cmocka_unit_test (test_files_that_are_none),
    cmocka_unit_test (test_failed_save_loses_nothing),
    cmocka_unit_test (test_too_many_zones),
  };
  struct CMUnitTest tests[G_N_ELEMENTS (plain) + G_N_ELEMENTS (bad_files)];
  memcpy (tests, plain, sizeof plain);
  for (gsize i = 0; i < G_N_ELEMENTS (bad_files); i++)
    tests[G_N_ELEMENTS (plain) + i] = (struct CMUnitTest) {
      bad_files[i].name, test_bad, NULL, NULL, (void *) &bad_files[i]
    };
  return cmocka_run_group_tests (tests, make_folder, drop_folder);
}
