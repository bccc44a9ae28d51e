/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "photo-render.h"
#include "rhy-locale.h"
#include "rhy-test.h"

#include <cairo.h>
#include <gio/gio.h>
#include <json-glib/json-glib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* The program as a user meets it: what it prints, what it returns, what it leaves behind.
 * With the argument "comma", everything again where numbers are written with a comma. */

static char *program;
static char *folder;            /* of one test; working directory of the program */

typedef struct
{
  int   status;
  char *out;
  gsize out_length;
  char *err;
} Run;

static void
run_clear (Run *run)
{
  g_free (run->out);
  g_free (run->err);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Run, run_clear)

static char *
text_of (GBytes *bytes,
         gsize  *length)
{
  gsize n = 0;
  const char *data = bytes != NULL ? g_bytes_get_data (bytes, &n) : NULL;
  char *text = g_malloc (n + 1);
  if (n > 0)
    memcpy (text, data, n);
  text[n] = '\0';
  if (length != NULL)
    *length = n;
  return text;
}

static Run
spawn (const char *const *argv,
       const char        *input)
{
  g_autoptr (GSubprocessLauncher) launcher = g_subprocess_launcher_new (
    G_SUBPROCESS_FLAGS_STDIN_PIPE | G_SUBPROCESS_FLAGS_STDOUT_PIPE | G_SUBPROCESS_FLAGS_STDERR_PIPE);
  g_autoptr (GError) error = NULL;
  g_subprocess_launcher_set_cwd (launcher, folder);
  g_autoptr (GSubprocess) child = g_subprocess_launcher_spawnv (launcher, argv, &error);
  assert_no_error (error);
  g_autoptr (GBytes) in = g_bytes_new (input != NULL ? input : "", input != NULL ? strlen (input) : 0);
  g_autoptr (GBytes) out = NULL;
  g_autoptr (GBytes) err = NULL;
  if (!g_subprocess_communicate (child, in, NULL, &out, &err, &error))
    {
      /* A program that ends before it has read everything is no failure of the test. */
      assert_true (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_BROKEN_PIPE));
      g_clear_error (&error);
      g_subprocess_wait (child, NULL, NULL);
    }
  Run run = { .status = g_subprocess_get_if_exited (child) ? g_subprocess_get_exit_status (child) : -1 };
  run.out = text_of (out, &run.out_length);
  run.err = text_of (err, NULL);
  return run;
}

/* @line: arguments with blanks between them. */
static Run
cli_with (const char *line,
          const char *input)
{
  g_autofree char *all = g_strconcat ("cli ", line, NULL);
  g_auto (GStrv) argv = NULL;
  assert_true (g_shell_parse_argv (all, NULL, &argv, NULL));
  g_free (argv[0]);
  argv[0] = g_strdup (program);
  return spawn ((const char *const *) argv, input);
}

static Run
cli (const char *line)
{
  return cli_with (line, NULL);
}

static Run
shell (const char *command)
{
  const char *const argv[] = { "/bin/sh", "-c", command, program, NULL };
  return spawn (argv, NULL);
}

static void
expect (const Run *run,
        int        status)
{
  if (run->status != status)
    print_error ("exit status %d, wanted %d\nout: %s\nerr: %s\n", run->status, status, run->out, run->err);
  assert_int_equal (run->status, status);
}

static void
expect_part (const char *text,
             const char *part)
{
  if (strstr (text, part) == NULL)
    fail_msg ("\"%s\" is not in: %s", part, text);
}

/* ---- the folder ---- */

static char *
in_folder (const char *name)
{
  return g_build_filename (folder, name, NULL);
}

static void
put (const char *name,
     const char *text)
{
  g_autofree char *path = in_folder (name);
  assert_true (g_file_set_contents (path, text, -1, NULL));
}

static char *
get (const char *name)
{
  g_autofree char *path = in_folder (name);
  char *text = NULL;
  if (!g_file_get_contents (path, &text, NULL, NULL))
    fail_msg ("no file %s", name);
  return text;
}

static void
remove_tree (const char *path)
{
  GDir *dir = g_dir_open (path, 0, NULL);
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

static guint
count_files (void)
{
  g_autoptr (GDir) dir = g_dir_open (folder, 0, NULL);
  guint n = 0;
  while (g_dir_read_name (dir) != NULL)
    n++;
  return n;
}

#define SQUARE "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='20mm' viewBox='0 0 40 20'>" \
               "<path d='M0 0H40V20H0Z'/></svg>\n"
/* A letter F: no symmetry. */
#define LETTER "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='60mm' viewBox='0 0 40 60'>" \
               "<path d='M0 0H40V10H10V25H30V35H10V60H0Z'/></svg>\n"

/* The 3-4-5 cone: base 60, rim 120, height 40; slant 50. A cylinder of radius 30. */
#define CONE     "[Job]\nFormat=1\n[Vessel]\nHeights=0;40\nDiameters=60;120\n"
#define CYLINDER "[Job]\nFormat=1\n[Vessel]\nHeights=0;100\nDiameters=60;60\n"

static int
make_folder (void **state)
{
  (void) state;
  folder = g_dir_make_tmp ("rhyton-cli-XXXXXX", NULL);
  if (folder == NULL)
    return 1;
  put ("square.svg", SQUARE);
  put ("letter.svg", LETTER);
  return 0;
}

static int
drop_folder (void **state)
{
  (void) state;
  remove_tree (folder);
  g_clear_pointer (&folder, g_free);
  return 0;
}

/* ---- usage ---- */

static const char *const verbs[] = { "new", "check", "wrap", "pattern", "view", "proof", "points", "sheet", "piece", "batch", "learn", "vessels",
                                     "hold", "machines" };

static void
test_help_and_version (void **state)
{
  (void) state;
  g_auto (Run) help = cli ("--help");
  expect (&help, 0);
  assert_string_equal (help.err, "");
  for (gsize i = 0; i < G_N_ELEMENTS (verbs); i++)
    {
      expect_part (help.out, verbs[i]);
      g_autofree char *line = g_strdup_printf ("%s --help", verbs[i]);
      g_auto (Run) own = cli (line);
      expect (&own, 0);
      g_autofree char *usage = g_strdup_printf ("rhyton-cli %s ", verbs[i]);
      expect_part (own.out, usage);
      assert_string_equal (own.err, "");
    }
  g_auto (Run) version = cli ("--version");
  expect (&version, 0);
  assert_true (g_str_has_prefix (version.out, "rhyton-cli "));
}

static const char *const misuses[] = {
  "",
  "wrapp x.rhyton",
  "check",
  "check a.rhyton b.rhyton",
  "check --yaml a.rhyton",
  "wrap --dpi many a.rhyton",
  "wrap --dpi 5 a.rhyton",
  "wrap -o drawing.dxf a.rhyton",
  "pattern --cut stars a.rhyton",
  "pattern --paper-stretch 0 a.rhyton",
  "pattern --paper a3 a.rhyton",
  "piece --sheet sheet.svg arrow a.rhyton",
  "piece --sheet sheet.pdf --paper a3 arrow a.rhyton",
  "batch a.rhyton",
  "batch --names n.csv a.rhyton",
  "batch --names n.csv -d . --part 3/2 a.rhyton",
  "batch --names n.csv -d . --format dxf a.rhyton",
  "batch --names n.csv -d . --jobs 0 a.rhyton",
  "pattern --paper a4 --overlap 50 a.rhyton",
  "pattern --tab 100 a.rhyton",
  "view --size 10 a.rhyton",
  "view --size 0x0 a.rhyton",
  "view --turn east a.rhyton",
  "view --lift 90 a.rhyton",
  "view -o picture.svg a.rhyton",
  "view --head 5 a.rhyton",
  "view --head 5,up a.rhyton",
  "points a.rhyton",
  "points --from art --to moon a.rhyton",
  "points --from art --to bed -",
  "proof a.rhyton",
  "hold",
  "hold --all a.rhyton",
  "machines a.rhyton",
  "machines --folder no-such-folder",
  "sheet --paper a5 a.rhyton",
  "sheet -o sheet.svg a.rhyton",
  "piece a.rhyton",
  "piece star a.rhyton",
  "piece arrow --csv r.csv a.rhyton",
  "learn a.rhyton",
  "learn --nominal 60 a.rhyton",
  "learn --nominal 60 --printed 65 --overrun 3 --diameter 80 a.rhyton",
  "vessels tumbler",
  "vessels --json --show mug-11oz",
  "vessels --show amphora",
  "new --vessel amphora -o a.rhyton",
  "new --vessel mug-11oz --heights 0,95 -o a.rhyton",
  "new",
  "new --heights 0,40",
  "new --diameters 60,120",
  "new --heights 0,40 --diameters 60,120 extra",
};

static void
expect_one_line (const Run *run)
{
  assert_true (g_str_has_prefix (run->err, "rhyton-cli: "));
  const char *end = strchr (run->err, '\n');
  assert_non_null (end);
  if (end[1] != '\0')
    fail_msg ("more than one line: %s", run->err);
}

static void
test_misuse (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER "[Artwork]\nFile=square.svg\n");
  const guint before = count_files ();
  for (gsize i = 0; i < G_N_ELEMENTS (misuses); i++)
    {
      g_auto (Run) run = cli (misuses[i]);
      if (run.status != 2)
        print_error ("%s:\n", misuses[i]);
      expect (&run, 2);
      assert_string_equal (run.out, "");
      expect_one_line (&run);
    }
  assert_int_equal (count_files (), before);
}

/* ---- bad input ---- */

typedef struct
{
  const char *name;
  const char *job;              /* NULL: there is no such file */
  const char *file, *text;      /* another file, or NULL */
  int         check, wrap;      /* exit statuses; -1: ready or not is not the point */
  const char *part;             /* of the one line that wrap prints */
} Bad;

#define ART(file) "[Artwork]\nFile=" file "\n"

static const Bad bad[] = {
  { "artwork without a name", CYLINDER "[Artwork ]\nFile=square.svg\n", NULL, NULL, 2, 2, "found \"[Artwork ]\": allowed: [Artwork], or [Artwork NAME]" },
  { "two artworks of one name", CYLINDER "[Artwork a]\nFile=square.svg\n[Artwork a]\nAt=20\n", NULL, NULL, 2, 2,
    "bad.rhyton:8: found [Artwork a] twice, first on line 6" },
  { "one of two past the rim", CYLINDER ART ("square.svg") "[Artwork top]\nFile=square.svg\nAt=99\n", NULL, NULL, 1, 1, "[Artwork top] At lower" },
  { "shades that are none", CYLINDER ART ("square.svg") "Shades=blue\n", NULL, NULL, 2, 2, "[Artwork] Shades: found \"blue\": allowed: grey, dots, colour" },
  { "ink of another kind", CYLINDER ART ("square.svg") "Ink=shade\n", NULL, NULL, 2, 2, "[Artwork] Ink: found \"shade\": allowed: drawn, seen, shades" },
  { "no shades at all", CYLINDER ART ("square.svg") "Ink=shades\nInkShades=0\n", NULL, NULL, 2, 2, "[Artwork] InkShades: found \"0\": allowed: a whole number from 1 to 16" },
  { "dots too fine", CYLINDER ART ("square.svg") "[Output]\nDotsPerInch=9600\n", NULL, NULL, 2, 2, "[Output] DotsPerInch: found \"9600\": allowed: a number from 20 up to 2400 dots an inch" },
  { "tracing perhaps", CYLINDER ART ("square.svg") "Trace=maybe\n", NULL, NULL, 2, 2, "[Artwork] Trace: found \"maybe\": allowed: no, yes" },
  { "a threshold beyond white", CYLINDER ART ("square.svg") "TraceThreshold=1.5\n", NULL, NULL, 2, 2, "[Artwork] TraceThreshold: found \"1.5\"" },
  { "a speck of less than nothing", CYLINDER ART ("square.svg") "TraceSpeck=-1\n", NULL, NULL, 2, 2, "[Artwork] TraceSpeck: found \"-1\"" },
  { "nozzle with a negative radius", CYLINDER ART ("square.svg") "[Machine]\nNozzleRadius=-4\n", NULL, NULL, 2, 2, "[Machine] NozzleRadius: found \"-4\"" },
  { "no roller to speak of", CYLINDER ART ("square.svg") "[Machine]\nRollerRadius=0\n", NULL, NULL, 2, 2, "[Machine] RollerRadius: found \"0\"" },
  { "jaws in words", CYLINDER ART ("square.svg") "[Machine]\nJawDepth=deep\n", NULL, NULL, 2, 2, "[Machine] JawDepth: found \"deep\"" },
  { "grip unknown", CYLINDER ART ("square.svg") "[Hold]\nGrip=sideways\n", NULL, NULL, 2, 2, "[Hold] Grip: found \"sideways\": allowed: outside, inside" },
  { "a droop of a right angle", CYLINDER ART ("square.svg") "[Hold]\nSag=90\n", NULL, NULL, 2, 2, "[Hold] Sag: found \"90\"" },
  { "machine file moved away", CYLINDER ART ("square.svg") "[Machine]\nFile=gone.machine\n", NULL, NULL, 2, 2,
    "gone.machine: No such file or directory; bad.rhyton names it as [Machine] File" },
  { "artwork moved away", CYLINDER "[Artwork crest]\nFile=gone.svg\n", NULL, NULL, 2, 2,
    "gone.svg: there is no such file; bad.rhyton names it as [Artwork crest] File" },
  { "job missing", NULL, NULL, NULL, 2, 2, "rhyton-cli: bad.rhyton: No such file" },
  { "job empty", "", NULL, NULL, 2, 2, "rhyton-cli: bad.rhyton: empty" },
  { "job binary", "\x7f" "ELF\x02\x01\x01\xff\xfe", NULL, NULL, 2, 2, "rhyton-cli: bad.rhyton:1: not UTF-8" },
  { "job is prose", "Dear club,\n", NULL, NULL, 2, 2, "rhyton-cli: bad.rhyton:1: found \"Dear club,\"" },
  { "negative diameter", "[Vessel]\nHeights=0;150\nDiameters=-62;88\n", NULL, NULL, 2, 2,
    "rhyton-cli: bad.rhyton:3: [Vessel] Diameters: found \"-62;88\": allowed: outside diameters above 0" },
  { "heights not increasing", "[Vessel]\nHeights=0;150;90\nDiameters=62;88;70\n", NULL, NULL, 2, 2,
    "[Vessel] Heights: found \"0;150;90\": allowed:" },
  { "one station", "[Vessel]\nHeights=0\nDiameters=62\n", NULL, NULL, 2, 2, "[Vessel] Heights: found \"0\": allowed: two or more" },
  { "unknown lay", CYLINDER ART ("square.svg") "Lay=glued\n", NULL, NULL, 2, 2,
    "rhyton-cli: bad.rhyton:8: [Artwork] Lay: found \"glued\": allowed: rolled, ringed" },
  { "zero width", CYLINDER ART ("square.svg") "Width=0\n", NULL, NULL, 2, 2, "[Artwork] Width: found \"0\": allowed:" },
  { "width not a number", CYLINDER ART ("square.svg") "Width=NaN\n", NULL, NULL, 2, 2, "[Artwork] Width: found \"NaN\"" },
  { "artwork missing", CYLINDER ART ("none.svg"), NULL, NULL, 2, 2, "rhyton-cli: none.svg: " },
  { "artwork is no SVG", CYLINDER ART ("x.svg"), "x.svg", "Not a drawing at all.\n", 2, 2, "rhyton-cli: x.svg: " },
  { "artwork empty", CYLINDER ART ("x.svg"), "x.svg", "", 2, 2, "rhyton-cli: x.svg: " },
  { "artwork without ink", CYLINDER ART ("x.svg"), "x.svg",
    "<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm' viewBox='0 0 9 9'/>", 2, 2, "rhyton-cli: x.svg: " },
  { "no artwork", CYLINDER, NULL, NULL, 1, 2, "bad.rhyton: no outlines to draw" },
  { "anchor off the wall", CYLINDER ART ("square.svg") "At=130\n", NULL, NULL, 1, 1,
    "rhyton-cli: bad.rhyton: [Artwork] At: found \"130\": allowed: a height on the wall, from 0 to 100 mm" },
  /* 40 x 20 made 300 wide is 150 high, on a wall of 100: 25 past each end. */
  { "larger than the vessel", CYLINDER ART ("square.svg") "Width=300\n", NULL, NULL, 1, 1,
    "bad.rhyton: the ink reaches 25.00 mm past the rim and 25.00 mm past the base" },
  { "past the rim", CYLINDER ART ("square.svg") "At=95\n", NULL, NULL, 1, 1, "the ink reaches 5.00 mm past the rim: set [Artwork] At lower" },
  { "past the base", CYLINDER ART ("square.svg") "At=4\n", NULL, NULL, 1, 1, "the ink reaches 6.00 mm past the base: set [Artwork] At higher" },
  { "machine file missing", CYLINDER ART ("square.svg") "[Machine]\nFile=none.machine\n", NULL, NULL, 2, 2, "none.machine" },
  { "machine file bad", CYLINDER ART ("square.svg") "[Machine]\nFile=m.machine\n", "m.machine", "[Machine]\nAxis=w\n", 2, 2,
    "rhyton-cli: m.machine:2: [Machine] Axis: found \"w\": allowed: x, y" },
  { "newer format", "[Job]\nFormat=7\n[Vessel]\nHeights=0;1\nDiameters=1;1\n", NULL, NULL, 2, 2, "[Job] Format: found \"7\"" },
};

static void
test_bad (void **state)
{
  const Bad *c = *state;
  if (c->job != NULL)
    put ("bad.rhyton", c->job);
  if (c->file != NULL)
    put (c->file, c->text);
  put ("out.svg", "what was there before\n");
  const guint before = count_files ();

  g_auto (Run) check = cli ("check bad.rhyton");
  expect (&check, c->check);
  if (c->check == 2)
    {
      assert_string_equal (check.out, "");
      expect_one_line (&check);
    }
  g_auto (Run) wrap = cli ("wrap -o out.svg bad.rhyton");
  expect (&wrap, c->wrap);
  expect_one_line (&wrap);
  expect_part (wrap.err, c->part);
  g_auto (Run) pattern = cli ("pattern -o out.svg bad.rhyton");
  expect (&pattern, c->wrap);
  expect_one_line (&pattern);

  g_autofree char *after = get ("out.svg");
  assert_string_equal (after, "what was there before\n");
  assert_int_equal (count_files (), before);
}

/* What would spoil a blank without a word: a box where a letter should be; and a stop that tells what is so. */
static void
test_ink_that_is_not_what_was_meant (void **state)
{
  (void) state;
  /* U+0378 is assigned to nothing (Unicode 15.0), so no font has it. */
  put ("box.rhyton", CYLINDER "[Artwork]\nText=Lark\u0378moor\nWidth=30\n");
  g_auto (Run) box = cli ("check box.rhyton");
  expect (&box, 1);
  expect_part (box.out, "stop  letter-missing: Of the lettering no font here has \"\u0378\" (U+0378)");

  put ("hair.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm' viewBox='0 0 9 9'>"
                   "<path d='M1 4H8' stroke='black' stroke-width='1e-9'/></svg>");
  put ("hair.rhyton", CYLINDER ART ("hair.svg") "Width=30\n");
  g_auto (Run) hair = cli ("check hair.rhyton");
  expect (&hair, 1);
  expect_part (hair.out, "stop  no-artwork: Nothing is left of the artwork of [Artwork] at its size");
}

static void
test_job_is_a_folder (void **state)
{
  (void) state;
  g_auto (Run) run = cli ("check .");
  expect (&run, 2);
  expect_one_line (&run);
  expect_part (run.err, "directory");
}

/* A device has no end: whatever is read must stop by itself. */
static void
test_files_without_an_end (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER "[Artwork]\nText={name}\nWidth=20\n");
  put ("p.rhyton", "[Vessel]\nProfile=/dev/zero\n");
  put ("m.rhyton", CYLINDER "[Machine]\nFile=/dev/zero\n");
  const char *const lines[] = { "check /dev/zero", "check p.rhyton", "check m.rhyton", "proof a.rhyton /dev/zero", "learn --grid /dev/zero a.rhyton",
                                "batch --names /dev/zero -d endless a.rhyton", "profile --height 9 --axis 1,9,1,1 --diameter 5 /dev/zero" };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    {
      g_autofree char *command = g_strdup_printf ("timeout 10 \"$0\" %s", lines[i]);
      g_auto (Run) run = shell (command);
      expect (&run, 2);
      expect_one_line (&run);
      expect_part (run.err, "/dev/zero");
    }
}

static void
test_output_folder (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER ART ("square.svg"));
  const guint before = count_files ();
  const char *const lines[] = { "wrap -o no/where/x.svg a.rhyton", "pattern -o no/where/x.svg a.rhyton",
                                "view --size 32x32 -o no/where/x.png a.rhyton",
                                "new --heights 0,40 --diameters 60,120 -o no/where/x.rhyton" };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    {
      g_auto (Run) run = cli (lines[i]);
      expect (&run, 2);
      expect_one_line (&run);
      expect_part (run.err, "no/where");
      expect_part (run.err, "No such file");
    }
  assert_int_equal (count_files (), before);

  /* Nothing is read-only to the administrator but what the system keeps so. */
  g_autofree char *kept = in_folder ("kept");
  assert_int_equal (g_mkdir (kept, 0755), 0);
  assert_int_equal (g_chmod (kept, 0555), 0);
  g_auto (Run) run = cli (geteuid () == 0 ? "wrap -o /proc/x.svg a.rhyton" : "wrap -o kept/x.svg a.rhyton");
  expect (&run, 2);
  expect_one_line (&run);
  expect_part (run.err, geteuid () == 0 ? "/proc" : "kept");
}

static void
test_full_and_closed_outputs (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER ART ("square.svg"));
  const char *const commands[] = { "\"$0\" wrap -o - a.rhyton >/dev/full", "\"$0\" wrap -o /dev/full a.rhyton",
                                   "\"$0\" check a.rhyton >/dev/full", "\"$0\" --help >/dev/full",
                                   "echo 0,0 | \"$0\" points --from art --to bed a.rhyton >/dev/full",
                                   "\"$0\" check a.rhyton >&-", "\"$0\" new --heights 0,9 --diameters 9,9 -o - >/dev/full" };
  for (gsize i = 0; i < G_N_ELEMENTS (commands); i++)
    {
      if (strstr (commands[i], "/dev/full") != NULL && !g_file_test ("/dev/full", G_FILE_TEST_EXISTS))
        continue;
      g_auto (Run) run = shell (commands[i]);
      if (run.status != 2)
        print_error ("%s\n", commands[i]);
      expect (&run, 2);
      expect_one_line (&run);
    }
}

static void
test_broken_pipe_is_quiet (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER ART ("square.svg"));
  g_auto (Run) run = shell ("yes 1,1 | head -n 200000 | \"$0\" points --from art --to bed a.rhyton | head -n 1");
  expect (&run, 0);
  assert_string_equal (run.out, "x,y\n");
  assert_string_equal (run.err, "");
}

/* ---- what it is for ---- */

static void
test_new_to_proof (void **state)
{
  (void) state;
  g_auto (Run) made = cli ("new --heights 0,150 --diameters 62.5,88 --artwork letter.svg --width 30.5 --at 84 --around -20 "
                           "--turn 15 --lay rolled --title \"Larkmoor sculls\" --travel-per-turn 200");
  expect (&made, 0);
  expect_part (made.err, "wrote letter.rhyton");
  g_autofree char *text = get ("letter.rhyton");
  expect_part (text, "Heights=0;150\n");
  expect_part (text, "Diameters=62.5;88\n");
  expect_part (text, "File=letter.svg\n");
  expect_part (text, "Width=30.5\n");
  expect_part (text, "Title=Larkmoor sculls\n");

  g_auto (Run) again = cli ("new --heights 0,150 --diameters 62,88 --artwork letter.svg");
  expect (&again, 2);
  expect_part (again.err, "is there already");

  g_auto (Run) check = cli ("check letter.rhyton");
  expect (&check, 0);
  assert_true (g_str_has_prefix (check.out, "Ready.\n"));

  g_auto (Run) wrap = cli ("wrap letter.rhyton");
  expect (&wrap, 0);
  expect_part (wrap.err, "wrote letter-bed.svg");
  expect_part (wrap.err, "10 segments in");     /* the letter's sides */
}

static void
test_sources_are_not_written_over (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER ART ("square.svg"));
  const char *const lines[] = { "wrap -o square.svg a.rhyton", "wrap -o ./square.svg a.rhyton", "pattern -o square.svg a.rhyton" };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    {
      g_auto (Run) run = cli (lines[i]);
      expect (&run, 2);
      expect_one_line (&run);
      expect_part (run.err, "the job is made from this file");
    }
  g_autofree char *text = get ("square.svg");
  assert_string_equal (text, SQUARE);
}

static void
test_wrap_and_proof (void **state)
{
  (void) state;
  put ("a.rhyton", CONE ART ("letter.svg") "Width=20\nTurn=30\n[Machine]\nTravelPerTurn=200\nAxis=y\nMouth=minus\n");
  g_auto (Run) wrap = cli ("wrap a.rhyton");
  expect (&wrap, 0);
  assert_string_equal (wrap.out, "");
  g_autofree char *svg = get ("a-bed.svg");
  expect_part (svg, "id=\"mark\"");
  expect_part (svg, "id=\"ink\"");
  expect_part (svg, "<title>");

  /* Width and height in mm, equal to those of the viewBox. */
  g_autoptr (GRegex) size = g_regex_new ("width=\"([0-9.]+)mm\" height=\"([0-9.]+)mm\" "
                                         "viewBox=\"([-0-9.]+) ([-0-9.]+) ([0-9.]+) ([0-9.]+)\"", 0, 0, NULL);
  g_autoptr (GMatchInfo) match = NULL;
  assert_true (g_regex_match (size, svg, 0, &match));
  for (int i = 1; i <= 2; i++)
    {
      g_autofree char *mm = g_match_info_fetch (match, i);
      g_autofree char *units = g_match_info_fetch (match, i + 4);
      assert_string_equal (mm, units);
    }

  g_auto (Run) proof = cli ("proof a.rhyton a-bed.svg");
  expect (&proof, 0);
  assert_true (g_ascii_strtod (proof.out, NULL) <= 0.01);
  expect_part (proof.out, "within the tolerance of 0.01 mm");

  /* The same drawing is not that of the artwork 1 mm further up. */
  put ("b.rhyton", CONE ART ("letter.svg") "Width=20.5\nTurn=30\n[Machine]\nTravelPerTurn=200\nAxis=y\nMouth=minus\n");
  g_auto (Run) other = cli ("proof b.rhyton a-bed.svg");
  expect (&other, 1);
  /* Half a millimetre of 20 in width, 0.75 mm of 30 in height: a corner is off by half of both. */
  assert_near (g_ascii_strtod (other.out, NULL), hypot (0.25, 0.375), 0.02);

  g_auto (Run) none = cli ("proof a.rhyton none.svg");
  expect (&none, 2);
  expect_one_line (&none);
}

static void
test_same_job_same_bytes (void **state)
{
  (void) state;
  put ("a.rhyton", CONE ART ("letter.svg") "Width=20\n");
  const char *const lines[] = { "wrap -o - a.rhyton", "pattern -o - a.rhyton", "view --size 64x48 -o - a.rhyton",
                                "check --json a.rhyton" };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    {
      g_auto (Run) one = cli (lines[i]);
      g_auto (Run) two = cli (lines[i]);
      expect (&one, 0);
      expect (&two, 0);
      assert_true (one.out_length > 0 && one.out_length == two.out_length);
      assert_memory_equal (one.out, two.out, one.out_length);
    }
  /* The same job by standard input; its artwork lies in the working directory. */
  g_auto (Run) file = cli ("wrap -o - a.rhyton");
  g_auto (Run) piped = cli_with ("wrap -o - -", CONE ART ("letter.svg") "Width=20\n");
  expect (&piped, 0);
  assert_string_equal (piped.out, file.out);
}

static void
test_formats (void **state)
{
  (void) state;
  put ("a.rhyton", CONE ART ("letter.svg") "Width=20\n");
  static const struct { const char *line, *file, *start; gsize length; } rows[] = {
    { "wrap -o x.svg a.rhyton", "x.svg", "<?xml", 5 },
    { "wrap -o x.pdf a.rhyton", "x.pdf", "%PDF-", 5 },
    { "wrap -o x.png --dpi 100 a.rhyton", "x.png", "\x89PNG\r\n\x1a\n", 8 },
    { "pattern -o p.svg a.rhyton", "p.svg", "<?xml", 5 },
    { "pattern -o p.pdf a.rhyton", "p.pdf", "%PDF-", 5 },
    { "pattern a.rhyton", "a-pattern.svg", "<?xml", 5 },
    { "pattern --paper letter --overlap 12 --tab 0 a.rhyton", "a-pattern.pdf", "%PDF-", 5 },
    { "view -o v.png --size 64x48 a.rhyton", "v.png", "\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\0\x40\0\0\0\x30", 24 },
    { "view --size 64x48 --turn -90 --lift 30 --stretch a.rhyton", "a-view.png", "\x89PNG", 4 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_auto (Run) run = cli (rows[i].line);
      expect (&run, 0);
      g_autofree char *wrote = g_strdup_printf ("wrote %s\n", rows[i].file);
      expect_part (run.err, wrote);
      g_autofree char *path = in_folder (rows[i].file);
      g_autofree char *data = NULL;
      gsize length = 0;
      assert_true (g_file_get_contents (path, &data, &length, NULL));
      assert_true (length > rows[i].length);
      assert_memory_equal (data, rows[i].start, rows[i].length);
    }
}

static void
test_new_elsewhere_names_its_files (void **state)
{
  (void) state;
  g_autofree char *jobs = in_folder ("jobs");
  assert_int_equal (g_mkdir (jobs, 0755), 0);
  put ("bench.machine", "[Machine]\nTravelPerTurn=171.5\n");
  g_auto (Run) made = cli ("new -o jobs/a.rhyton --heights \"0; 40\" --circumferences 200,300 --artwork square.svg --width 20 "
                           "--machine bench.machine --turn-reversed");
  expect (&made, 0);
  g_autofree char *text = get ("jobs/a.rhyton");
  expect_part (text, "File=../square.svg\n");
  expect_part (text, "File=../bench.machine\n");
  expect_part (text, "Circumferences=200;300\n");
  expect_part (text, "TurnReversed=true\n");
  g_auto (Run) check = cli ("check jobs/a.rhyton");
  expect (&check, 0);
  expect_part (check.out, "171.500 mm per turn");

  g_auto (Run) bad_lay = cli ("new -o b.rhyton --heights 0,40 --diameters 60,120 --lay glued");
  expect (&bad_lay, 2);
  expect_part (bad_lay.err, "[Artwork] Lay: found \"glued\"");
  g_auto (Run) no_art = cli ("new -o b.rhyton --heights 0,40 --diameters 60,120 --artwork none.svg");
  expect (&no_art, 2);
  expect_part (no_art.err, "none.svg: No such file");
  g_autofree char *none = in_folder ("b.rhyton");
  assert_false (g_file_test (none, G_FILE_TEST_EXISTS));
}

/* ---- check --json ---- */

static void
expect_sorted (JsonNode *node)
{
  if (JSON_NODE_HOLDS_ARRAY (node))
    {
      JsonArray *array = json_node_get_array (node);
      for (guint i = 0; i < json_array_get_length (array); i++)
        expect_sorted (json_array_get_element (array, i));
    }
  if (!JSON_NODE_HOLDS_OBJECT (node))
    return;
  JsonObject *object = json_node_get_object (node);
  g_autoptr (GList) names = json_object_get_members (object);
  for (GList *l = names; l != NULL; l = l->next)
    {
      if (l->next != NULL)
        assert_true (strcmp (l->data, l->next->data) < 0);
      expect_sorted (json_object_get_member (object, l->data));
    }
}

static double
number_at (JsonNode   *root,
           const char *path)
{
  g_autoptr (JsonNode) found = json_path_query (path, root, NULL);
  JsonArray *array = json_node_get_array (found);
  if (json_array_get_length (array) != 1)
    fail_msg ("no %s", path);
  return json_array_get_double_element (array, 0);
}

/* A can of radius 30 (CYLINDER) with a handle behind it, held by jaws of 10 mm under a nozzle of 4: the beam
 * comes to 10 + 4 + 1 at the held end; the handle of radius 60 is 20 above a bed 80 under the axis. */
static void
test_hold_and_machines (void **state)
{
  (void) state;
  put ("m.machine", "[Machine]\nName=Made up\nTravelPerTurn=auto\nAxisHeight=80\nWorkingDistance=8\nNozzleRadius=4\n"
                    "HeadHalfWidth=25\nHeadHeight=30\nJawDepth=10\nJawStand=12\n");
  put ("a.rhyton", CYLINDER ART ("square.svg") "Width=30\n[Machine]\nFile=m.machine\n"
                   "[Zone grip]\nKind=handle\nCentre=180\nWidth=20\nFrom=20\nTo=80\nStand=30\n");
  g_auto (Run) check = cli ("check --json a.rhyton");
  expect (&check, 0);
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;
  json_parser_load_from_data (parser, check.out, (gssize) check.out_length, &error);
  assert_no_error (error);
  JsonNode *root = json_parser_get_root (parser);
  expect_sorted (root);
  assert_near (number_at (root, "$.clearance.bed_mm"), 20, 1e-6);
  assert_near (number_at (root, "$.clearance.reach_low_mm"), 15, 0.01);
  assert_near (number_at (root, "$.clearance.reach_high_mm"), 100, 1e-6);
  assert_near (number_at (root, "$.clearance.turn_max_deg"), -number_at (root, "$.clearance.turn_min_deg"), 1e-6);

  g_auto (Run) table = cli ("hold --compare a.rhyton");
  expect (&table, 0);
  expect_part (table.out, "chuck at the base *");
  expect_part (table.out, "15.0 to 100.0");
  expect_part (table.out, "names no rollers");
  g_auto (Run) array = cli ("hold --compare --json a.rhyton");
  expect (&array, 0);
  json_parser_load_from_data (parser, array.out, (gssize) array.out_length, &error);
  assert_no_error (error);
  assert_int_equal (json_array_get_length (json_node_get_array (json_parser_get_root (parser))), 5);
  g_auto (Run) own = cli ("hold --json a.rhyton");
  json_parser_load_from_data (parser, own.out, (gssize) own.out_length, &error);
  assert_no_error (error);
  assert_int_equal (json_array_get_length (json_node_get_array (json_parser_get_root (parser))), 1);

  g_auto (Run) view = cli ("view --head 0,0 --size 640x480 -o - a.rhyton");
  expect (&view, 0);
  assert_memory_equal (view.out, "\x89PNG", 4);
  g_auto (Run) beside = cli ("view --head 500,0 -o - a.rhyton");
  expect (&beside, 1);
  expect_part (beside.err, "the beam misses the wall");

  g_auto (Run) machines = cli ("machines --folder .");
  expect (&machines, 0);
  expect_part (machines.out, "Made up");
  g_auto (Run) machines_json = cli ("machines --json --folder .");
  json_parser_load_from_data (parser, machines_json.out, (gssize) machines_json.out_length, &error);
  assert_no_error (error);
  JsonObject *m = json_array_get_object_element (json_node_get_array (json_parser_get_root (parser)), 0);
  assert_string_equal (json_object_get_string_member (m, "id"), "m");
  assert_near (json_object_get_double_member (m, "axis_height_mm"), 80, 0);
}

static void
test_json (void **state)
{
  (void) state;
  put ("a.rhyton", CONE ART ("square.svg") "Width=20\nLay=ringed\nAt=20\n");
  g_auto (Run) run = cli ("check --json a.rhyton");
  expect (&run, 0);
  assert_string_equal (run.err, "");
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;
  json_parser_load_from_data (parser, run.out, (gssize) run.out_length, &error);
  assert_no_error (error);
  JsonNode *root = json_parser_get_root (parser);
  expect_sorted (root);

  /* A drawing's coordinates are read to about a millionth of a millimetre: 1e-5 is for that.
   * Slant 20 to 30 of the 3-4-5 cone, radii 42 to 48, 45 at the anchor. */
  assert_near (number_at (root, "$.format"), 1, 0);
  assert_near (number_at (root, "$.artwork.width_mm"), 20, 1e-5);
  assert_near (number_at (root, "$.artwork.height_mm"), 10, 1e-5);
  assert_near (number_at (root, "$.stretch.major_max"), 48.0 / 45.0, 1e-5);
  assert_near (number_at (root, "$.stretch.minor_min"), 42.0 / 45.0, 1e-5);
  assert_near (number_at (root, "$.drive.reference_diameter_mm"), 96, 1e-5);
  assert_near (number_at (root, "$.drive.travel_per_turn_mm"), 96 * G_PI, 1e-5);
  assert_near (number_at (root, "$.hold.tilt_deg"), 36.869897645844021, 1e-5);
  assert_near (number_at (root, "$.exposure.max"), 48.0 / 42.0, 1e-5);
  assert_near (number_at (root, "$.exposure.min"), 1, 1e-5);
  /* Set for a radius of 48, lines along the axis are 42/48 as far apart at 42. */
  assert_near (number_at (root, "$.exposure.lines_along_axis.distance_min"), 42.0 / 48.0, 1e-5);
  assert_near (number_at (root, "$.exposure.lines_along_axis.distance_max"), 1, 1e-5);
  assert_near (number_at (root, "$.exposure.lines_along_axis.energy_min"), 1, 1e-5);
  assert_near (number_at (root, "$.exposure.lines_along_turn.distance_max"), 1, 1e-5);
  assert_near (number_at (root, "$.exposure.lines_along_turn.energy_max"), 48.0 / 42.0, 1e-5);
  assert_near (number_at (root, "$.vessel.slant_mm"), 50, 1e-5);
  JsonObject *object = json_node_get_object (root);
  assert_string_equal (json_object_get_string_member (json_object_get_object_member (object, "exposure"), "lines_better"), "turn");
  g_auto (Run) text = cli ("check a.rhyton");
  assert_non_null (strstr (text.out, "lines along the turn are the more even: distance on the wall 87.5 to 100.0 % of that drawn along the axis, "
                                     "100.0 to 100.0 % along the turn"));
  assert_true (json_object_get_boolean_member (object, "ready"));
  JsonArray *findings = json_object_get_array_member (object, "findings");
  assert_int_equal (json_array_get_length (findings), 2);
  assert_string_equal (json_object_get_string_member (json_array_get_object_element (findings, 0), "code"), "stretch-high");
  assert_string_equal (json_object_get_string_member (json_array_get_object_element (findings, 0), "level"), "care");
  assert_string_equal (json_object_get_string_member (json_array_get_object_element (findings, 1), "code"), "generic-machine");
}

/* The 3-4-5 cone again: radii 42 to 48, so that two bands part at sqrt (42 48) = 44.9 and are within
 * (48/42)^(1/4) = 3.4 % of even. */
static void
test_bands (void **state)
{
  (void) state;
  put ("a.rhyton", CONE ART ("square.svg") "Width=20\nLay=ringed\nAt=20\n");
  g_auto (Run) wrap = cli ("wrap --bands 2 --line-distance 0.08 a.rhyton");
  expect (&wrap, 0);
  g_autofree char *svg = get ("a-bed.svg");
  expect_part (svg, "id=\"band-1\"");
  expect_part (svg, "id=\"band-2\"");
  assert_null (strstr (svg, "id=\"band-3\""));
  g_auto (Run) proof = cli ("proof --bands 2 a.rhyton a-bed.svg");
  expect (&proof, 0);
  g_auto (Run) unknown = cli ("proof a.rhyton a-bed.svg");
  expect (&unknown, 1);

  g_auto (Run) run = cli ("check --json --bands 2 --line-distance 0.08 a.rhyton");
  expect (&run, 0);
  g_autoptr (JsonParser) parser = json_parser_new ();
  assert_true (json_parser_load_from_data (parser, run.out, (gssize) run.out_length, NULL));
  JsonNode *root = json_parser_get_root (parser);
  expect_sorted (root);
  const double middle = sqrt (42.0 * 48.0);
  const double edge = 20 + (middle - 45) / 0.75;
  const double off = pow (48.0 / 42.0, 0.25);
  /* Ink's ends are sampled to a hundredth of a mm or so; edges by steps of its height. */
  assert_near (number_at (root, "$.exposure.bands[0].from_mm"), 16, 0.01);
  assert_near (number_at (root, "$.exposure.bands[0].to_mm"), edge, 0.01);
  assert_near (number_at (root, "$.exposure.bands[1].to_mm"), 24, 0.01);
  assert_near (number_at (root, "$.exposure.bands[0].energy_max"), off, 1e-4);
  assert_near (number_at (root, "$.exposure.bands[1].energy_min"), 1 / off, 1e-4);
  /* Set for a radius of 48. */
  const double drawn = 0.08 * 48 / sqrt (42 * middle);
  assert_near (number_at (root, "$.exposure.bands[0].line_distance_mm"), drawn, 1e-5);
  assert_near (number_at (root, "$.exposure.bands[0].lines_per_inch"), 25.4 / drawn, 0.05);
  assert_near (number_at (root, "$.exposure.bands[0].distance_along_axis_min_mm"), drawn * 42 / 48, 1e-5);
  assert_near (number_at (root, "$.exposure.bands[0].distance_along_turn_max_mm"), drawn, 1e-5);

  g_auto (Run) sheet = cli ("sheet --bands 2 --line-distance 0.08 a.rhyton");
  expect (&sheet, 0);
  g_autofree char *reader = g_find_program_in_path ("pdftotext");
  if (reader != NULL)
    {
      g_auto (Run) text = shell ("pdftotext -layout a-sheet.pdf -");
      g_autofree char *shown = g_strdup_printf ("%.4f", drawn);
      g_strdelimit (shown, ",", '.');
      expect_part (text.out, "band-1");
      expect_part (text.out, shown);
    }
  const char *const no_bands[] = { "wrap --bands 0 a.rhyton", "wrap --bands 21 a.rhyton", "check --bands two a.rhyton",
                              "sheet --line-distance 9 a.rhyton" };
  for (gsize i = 0; i < G_N_ELEMENTS (no_bands); i++)
    {
      g_auto (Run) no = cli (no_bands[i]);
      expect (&no, 2);
      expect_one_line (&no);
      expect_part (no.err, "--");
    }
}

static void
test_json_of_what_cannot_be_worked_out (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER ART ("square.svg") "At=130\n");
  g_auto (Run) run = cli ("check --json a.rhyton");
  expect (&run, 1);
  expect_one_line (&run);
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;
  json_parser_load_from_data (parser, run.out, (gssize) run.out_length, &error);
  assert_no_error (error);
  expect_sorted (json_parser_get_root (parser));
  JsonObject *object = json_node_get_object (json_parser_get_root (parser));
  assert_false (json_object_get_boolean_member (object, "ready"));
  JsonObject *finding = json_array_get_object_element (json_object_get_array_member (object, "findings"), 0);
  assert_string_equal (json_object_get_string_member (finding, "code"), "past-rim");
  assert_string_equal (json_object_get_string_member (finding, "level"), "stop");
  expect_part (json_object_get_string_member (finding, "message"), "from 0 to 100 mm");

  g_auto (Run) unreadable = cli ("check --json none.rhyton");
  expect (&unreadable, 2);
  assert_string_equal (unreadable.out, "");
}

static void
test_picture_is_reported (void **state)
{
  (void) state;
  /* One white pixel, PNG, base64. */
  put ("x.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='20mm' viewBox='0 0 40 20'>"
                "<path d='M0 0H40V20H0Z'/><image x='5' y='5' width='10' height='10' href='data:image/png;base64,"
                "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mP8/5+hHgAHggJ/PchI7wAAAABJRU5ErkJggg=='/></svg>");
  put ("a.rhyton", CYLINDER ART ("x.svg"));
  g_auto (Run) run = cli ("check --json a.rhyton");
  expect (&run, 0);
  expect_part (run.out, "\"picture-inside\"");
  expect_part (run.out, "drawn as a picture");
}

/* 254 x 127 pixels at 254 an inch, by hand 25.4 x 12.7 mm: the file's own size, and
 * as wide as the job says. */
static void
test_picture_is_artwork (void **state)
{
  (void) state;
  static const guint8 phys[] = { 0, 0, 0, 9, 'p', 'H', 'Y', 's', 0, 0, 0x27, 0x10, 0, 0, 0x27, 0x10, 1, 0x94, 0x69, 0x51, 0x19 };
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_RGB24, 254, 127);
  g_autofree char *plain = g_build_filename (folder, "plain.png", NULL);
  g_autofree char *photo = g_build_filename (folder, "photo.png", NULL);
  g_autofree char *broken = g_build_filename (folder, "cut.png", NULL);
  cairo_surface_write_to_png (surface, plain);
  cairo_surface_destroy (surface);
  g_autofree char *data = NULL;
  gsize size;
  assert_true (g_file_get_contents (plain, &data, &size, NULL));
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  g_byte_array_append (bytes, (const guint8 *) data, 33);
  g_byte_array_append (bytes, phys, sizeof phys);
  g_byte_array_append (bytes, (const guint8 *) data + 33, (guint) size - 33);
  assert_true (g_file_set_contents (photo, (const char *) bytes->data, bytes->len, NULL));
  put ("a.rhyton", CYLINDER "[Artwork]\nFile=photo.png\nAt=50\n");
  g_auto (Run) run = cli ("check --json a.rhyton");
  expect (&run, 0);
  expect_part (run.out, "25.40 x 12.70 mm");
  expect_part (run.out, "drawn as a picture");
  g_auto (Run) drawing = cli ("wrap -o - a.rhyton");
  expect (&drawing, 0);
  expect_part (drawing.out, "data:image/png;base64,");

  assert_true (g_file_set_contents (broken, (const char *) bytes->data, bytes->len / 2, NULL));
  put ("b.rhyton", CYLINDER "[Artwork]\nFile=cut.png\nAt=50\n");
  g_auto (Run) cut = cli ("check b.rhyton");
  expect (&cut, 2);
  expect_part (cut.err, "cut off before its end");
}

/* Artwork in shades, from the options of a new job to named groups and back. Of 4 shades the gradient, black to
 * white, has all; red (L* 53, see test-shade.c) is shade 2, yellow (L* 97) bare. */
static void
test_shades_to_proof (void **state)
{
  (void) state;
  put ("dusk.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='20mm' viewBox='0 0 40 20'>"
                   "<linearGradient id='g'><stop offset='0'/><stop offset='1' stop-color='#fff'/></linearGradient>"
                   "<path d='M0 0H40V10H0Z' fill='url(#g)'/><path d='M0 8H40V20H0Z' fill='#f00'/><circle cx='9' cy='9' r='5' fill='#ff0'/></svg>");
  g_auto (Run) made = cli ("new --heights 0,150 --diameters 62,88 --artwork dusk.svg --width 40 --ink shades --ink-shades 4");
  expect (&made, 0);
  g_autofree char *text = get ("dusk.rhyton");
  expect_part (text, "Ink=shades\n");
  expect_part (text, "InkShades=4\n");
  g_auto (Run) checked = cli ("check dusk.rhyton");
  expect_part (checked.out, "parted into 4 shades");
  expect_part (checked.out, "1 gradient is cut into bands of one shade");
  g_auto (Run) wrapped = cli ("wrap -o dusk-bed.svg dusk.rhyton");
  expect (&wrapped, 0);
  g_autofree char *drawing = get ("dusk-bed.svg");
  for (int k = 1; k <= 4; k++)
    {
      g_autofree char *group = g_strdup_printf ("<g id=\"ink-%d-shade-%d-of-4\">\n<title>shade %d of 4</title>", k, k, k);
      expect_part (drawing, group);
    }
  assert_null (strstr (drawing, "ink-5"));
  assert_null (strstr (drawing, "<image"));
  g_auto (Run) proof = cli ("proof dusk.rhyton dusk-bed.svg");
  expect (&proof, 0);
  expect_part (proof.out, "within the tolerance");
}

/* A gradient, from the options of a new job to the drawing and back. */
static void
test_gradient_to_proof (void **state)
{
  (void) state;
  put ("dawn.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='40mm' height='20mm' viewBox='0 0 40 20'>"
                   "<linearGradient id='g'><stop offset='0'/><stop offset='1' stop-color='#fff'/></linearGradient>"
                   "<path d='M0 0H40V20H0Z' fill='url(#g)'/></svg>");
  g_auto (Run) made = cli ("new --heights 0,150 --diameters 62,88 --artwork dawn.svg --width 40 --shades dots --dots-per-inch 200 "
                           "--trace no --trace-threshold 0.4 --trace-smoothing 0.5 --trace-speck 0.3 --travel-per-turn 200");
  expect (&made, 0);
  g_autofree char *text = get ("dawn.rhyton");
  expect_part (text, "Shades=dots\n");
  expect_part (text, "DotsPerInch=200\n");
  expect_part (text, "TraceThreshold=0.4\n");
  expect_part (text, "TraceSmoothing=0.5\n");
  expect_part (text, "TraceSpeck=0.3\n");
  g_auto (Run) checked = cli ("check dawn.rhyton");
  expect (&checked, 0);
  expect_part (checked.out, "1 gradient is drawn as a picture of 200 dots an inch");
  expect_part (checked.out, "in black dots");
  g_auto (Run) wrapped = cli ("wrap -o dawn-bed.svg dawn.rhyton");
  expect (&wrapped, 0);
  g_auto (Run) proved = cli ("proof dawn.rhyton dawn-bed.svg");
  expect (&proved, 0);
  expect_part (proved.out, "pictures: ");
}

/* ---- points ---- */

/* The second line of what is printed. */
static void
first_row (const Run *run,
           double    *x,
           double    *y)
{
  const char *line = strchr (run->out, '\n');
  assert_non_null (line);
  char *end;
  *x = g_ascii_strtod (line + 1, &end);
  assert_int_equal (*end, ',');
  *y = g_ascii_strtod (end + 1, &end);
}

typedef struct
{
  const char *name, *job, *line, *input;
  double      x, y;
} PointCase;

#define POINTS_CYLINDER CYLINDER ART ("square.svg") "At=50\n"
#define POINTS_TWO POINTS_CYLINDER "[Artwork the side]\nFile=square.svg\nAt=80\nAround=90\n[Machine]\nTravelPerTurn=200\n"

static const PointCase point_cases[] = {
  /* 30 mm of arc on a radius of 30: one radian, 57.2958 degrees. */
  { "art to wall", POINTS_CYLINDER, "--from art --to wall", "30,12\n", 62, 57.295779513082323 },
  { "wall to art", POINTS_CYLINDER, "--from wall --to art", "62,57.295779513082323\n", 30, 12 },
  /* Axis x, mouth right: x = X, y = A. */
  { "art to bed", POINTS_CYLINDER, "--from art --to bed", "30,12\n", 12, 30 },
  { "axis x, mouth left", POINTS_CYLINDER "[Machine]\nMouth=minus\n", "--from art --to bed", "30,12\n", -12, -30 },
  { "axis y, mouth up", POINTS_CYLINDER "[Machine]\nAxis=y\n", "--from art --to bed", "30,12\n", 30, -12 },
  { "axis y, mouth down", POINTS_CYLINDER "[Machine]\nAxis=y\nMouth=minus\n", "--from art --to bed", "30,12\n", -30, 12 },
  { "reversed, axis x, mouth right", POINTS_CYLINDER "[Machine]\nTurnReversed=true\n", "--from art --to bed", "30,12\n", 12, -30 },
  { "reversed, axis x, mouth left", POINTS_CYLINDER "[Machine]\nMouth=minus\nTurnReversed=true\n", "--from art --to bed", "30,12\n", -12, 30 },
  { "reversed, axis y, mouth up", POINTS_CYLINDER "[Machine]\nAxis=y\nTurnReversed=true\n", "--from art --to bed", "30,12\n", -30, -12 },
  { "reversed, axis y, mouth down", POINTS_CYLINDER "[Machine]\nAxis=y\nMouth=minus\nTurnReversed=true\n", "--from art --to bed", "30,12\n", 30, 12 },
  /* The mark is the first's: 30 mm farther up, and a quarter of the travel around. */
  { "another artwork's", POINTS_TWO, "--artwork 'the side' --from art --to bed", "0,0\n", 30, 50 },
  { "the first of two", POINTS_TWO, "--from art --to bed", "0,0\n", 0, 0 },
  { "cylinder's pattern", POINTS_CYLINDER, "--from wall --to pattern", "20 57.295779513082323\n", 30, 20 },
  /* The cone's apex is 50 below the base on the sheet; a quarter turn of the sheet is pi/2/0.6
   * around, 150 degrees: (rho, -50), rho = 50 + 20. */
  { "cone's pattern", CONE ART ("square.svg") "Width=10\n", "--from wall --to pattern", "20,150\n", 70, -50 },
  /* A machine set at 170 mm per turn whose true travel is 160 prints 60 mm 63.75 mm wide along the turn. */
  { "wrong travel", "[Vessel]\nHeights=0;200\nDiameters=50.929581789406507;50.929581789406507\n" ART ("square.svg")
    "[Machine]\nTravelPerTurn=170\n", "--from art --to bed", "60,60\n", 60, 63.75 },
  { "no image past the rim", POINTS_CYLINDER, "--from wall --to bed", "100.5,0\n", NAN, NAN },
  { "identity", POINTS_CYLINDER, "--from wall --to wall", "12.25,33.3\n", 12.25, 33.3 },
  { "blanks and comments", POINTS_CYLINDER, "--from art --to bed", "# a comment\n\n   30 \t 12   # more\r\n", 12, 30 },
  { "comma and blanks", POINTS_CYLINDER, "--from art --to bed", "30 , 12\n", 12, 30 },
  { "header", POINTS_CYLINDER, "--from art --to bed", "u,v\n30,12\n", 12, 30 },
  { "no last line break", POINTS_CYLINDER, "--from art --to bed", "3e1,1.2e1", 12, 30 },
};

static void
test_points (void **state)
{
  const PointCase *c = *state;
  put ("p.rhyton", c->job);
  g_autofree char *line = g_strdup_printf ("points %s p.rhyton", c->line);
  g_auto (Run) run = cli_with (line, c->input);
  expect (&run, 0);
  double x = 0.0;
  double y = 0.0;
  first_row (&run, &x, &y);
  if (isnan (c->x))
    {
      expect_part (run.out, "\nnan,nan\n");
      return;
    }
  assert_near (x, c->x, 1e-9);
  assert_near (y, c->y, 1e-9);
}

static void
test_points_columns (void **state)
{
  (void) state;
  put ("p.rhyton", CONE ART ("square.svg") "Width=10\nLay=ringed\nAt=20\n[Hold]\nTilt=0\n");
  g_auto (Run) run = cli_with ("points --from art --to wall --stretch p.rhyton", "0,5\n1,900\n");
  expect (&run, 0);
  assert_true (g_str_has_prefix (run.out, "s,angle,major,minor,area,angle_deg,focus\n"));
  /* Ringed at slant 30 of the cone, radius 48 against 45 at the anchor; 5 mm up a slope of sine 0.6 is
   * 3 mm nearer the head. omega = 2 asin ((48/45 - 1)/(48/45 + 1)) = 2 asin (1/31). */
  double v[7];
  char *at = strchr (run.out, '\n') + 1;
  for (int i = 0; i < 7; i++, at++)
    v[i] = g_ascii_strtod (at, &at);
  assert_near (v[0], 30, 1e-9);
  assert_near (v[1], 0, 1e-12);
  assert_near (v[2], 48.0 / 45.0, 1e-9);
  assert_near (v[3], 1, 1e-9);
  assert_near (v[4], 48.0 / 45.0, 1e-9);
  assert_near (v[5], 2 * asin (1.0 / 31.0) / G_PI * 180, 1e-9);
  assert_near (v[6], 3, 1e-9);
  expect_part (run.out, "\nnan,nan,nan,nan,nan,nan,nan\n");
}

static void
test_points_bad_line (void **state)
{
  (void) state;
  put ("p.rhyton", POINTS_CYLINDER);
  const char *const lines[] = { "1,2\n3;4\n", "1,2\n3\n", "1,2\n3,4,5\n", "1,2\n3,inf\n", "1,2\nx,y\n", "1,2\n1,5,2,5\n" };
  for (gsize i = 0; i < G_N_ELEMENTS (lines); i++)
    {
      g_auto (Run) run = cli_with ("points --from art --to bed p.rhyton", lines[i]);
      expect (&run, 2);
      expect_one_line (&run);
      expect_part (run.err, "standard input:2: found");
    }
  /* A header is two words; a byte order mark is passed over, a point that is none is not. */
  g_auto (Run) infinite = cli_with ("points --from art --to bed p.rhyton", "inf,0\n");
  expect (&infinite, 2);
  expect_part (infinite.err, "standard input:1: found \"inf,0\"");
  g_auto (Run) marked = cli_with ("points --from art --to art p.rhyton", "\xef\xbb\xbf" "1,2\n");
  expect (&marked, 0);
  assert_string_equal (marked.out, "u,v\n1,2\n");
}

static void
test_many_points_come_back (void **state)
{
  (void) state;
  put ("p.rhyton", CONE ART ("square.svg") "Width=10\nTurn=25\n");
  g_autoptr (GString) input = g_string_new (NULL);
  for (int i = 0; i < 10000; i++)
    g_string_append_printf (input, "%d %d\n", i % 37 - 18, i % 31 - 15);
  g_auto (Run) there = cli_with ("points --from art --to pattern p.rhyton", input->str);
  expect (&there, 0);
  g_auto (Run) back = cli_with ("points --from pattern --to art p.rhyton", there.out);
  expect (&back, 0);
  char *at = strchr (back.out, '\n') + 1;
  for (int i = 0; i < 10000; i++)
    {
      assert_near (g_ascii_strtod (at, &at), i % 37 - 18, 1e-9);
      assert_near (g_ascii_strtod (at + 1, &at), i % 31 - 15, 1e-9);
      at++;
    }
  assert_int_equal (*at, '\0');
}

static void
test_lettering_from_the_job (void **state)
{
  (void) state;
  g_auto (Run) made = cli ("new --heights 0,100 --diameters 60,60 --text \"LARK & MOOR\" --font \"sans Bold\" --span 120 -o t.rhyton");
  expect (&made, 0);
  g_auto (Run) wrap = cli ("wrap -o t.svg t.rhyton");
  expect (&wrap, 0);
  expect_part (wrap.err, "ink 62.83 x");          /* a third of a turn of 188.5 mm */
  put ("both.rhyton", CYLINDER "[Artwork]\nFile=letter.svg\nText=LARK\n");
  g_auto (Run) both = cli ("check both.rhyton");
  expect (&both, 2);
  expect_part (both.err, "either File or Text, not both");
}

/* ---- test pieces ---- */

#define MACHINE "[Machine]\n# what the display says\nTravelPerTurn=170\nAxis=x\n"

/* A ruler burnt by a machine that truly moves 160 a turn (170/160 times as wide), read
 * without noise and fed back: 160 comes out, nothing else is blamed, and the machine
 * file says so, keeping what stood there. */
static void
test_ruler_to_machine (void **state)
{
  (void) state;
  put ("m.machine", MACHINE);
  put ("a.rhyton", CYLINDER "[Machine]\nFile=m.machine\n");
  g_auto (Run) piece = cli ("piece ruler --width 60 --height 60 -o ruler.svg --csv r.csv a.rhyton");
  expect (&piece, 0);
  g_autofree char *form = get ("r.csv");
  g_auto (GStrv) lines = g_strsplit (form, "\n", -1);
  assert_int_equal (g_strv_length (lines), 1 + 48 + 1);
  g_autoptr (GString) filled = g_string_new (lines[0]);
  for (gsize i = 1; i <= 48; i++)
    {
      g_auto (GStrv) f = g_strsplit (lines[i], ",", -1);
      char wide[G_ASCII_DTOSTR_BUF_SIZE];
      g_ascii_formatd (wide, sizeof wide, "%.4f", g_ascii_strtod (f[4], NULL) * 170 / 160);
      g_string_append_printf (filled, "\n%s,%s,%s,%s,%s,%s", f[0], f[1], f[2], f[2], f[4], wide);
    }
  put ("r2.csv", filled->str);

  g_auto (Run) learn = cli ("learn --grid r2.csv --json --write a.rhyton");
  expect (&learn, 0);
  g_autoptr (JsonParser) parser = json_parser_new ();
  assert_true (json_parser_load_from_data (parser, learn.out, -1, NULL));
  JsonObject *root = json_node_get_object (json_parser_get_root (parser));
  JsonObject *travel = json_object_get_object_member (root, "travel_per_turn_mm");
  assert_near (json_object_get_double_member (travel, "value"), 160, 1e-3);
  assert_true (json_object_get_double_member (travel, "uncertainty") > 0);
  JsonArray *causes = json_object_get_array_member (root, "causes");
  assert_int_equal (json_array_get_length (causes), 5);
  for (guint i = 0; i < 5; i++)
    {
      JsonObject *cause = json_array_get_object_element (causes, i);
      assert_int_equal (json_object_get_boolean_member (cause, "supported"),
                        strcmp (json_object_get_string_member (cause, "name"), "travel") == 0);
    }
  g_autofree char *machine = get ("m.machine");
  expect_part (machine, "# what the display says\n");
  expect_part (machine, "TravelPerTurn was 170");
  expect_part (machine, "TravelPerTurn=160.0000\n");
  expect_part (machine, "Axis=x\n");

  /* A second piece counts together with the first. */
  g_auto (Run) again = cli ("learn --nominal 60;100 --printed 60.3;100.5 --write a.rhyton");
  expect (&again, 0);
  g_autofree char *both = get ("m.machine");
  expect_part (both, "learnt from 2 test pieces");
}

/* The sheet of a job that is not ready is written all the same, and says so first; the
 * text is read back by poppler where it is installed. */
static void
test_sheet (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER ART ("letter.svg"));
  g_auto (Run) first = cli ("sheet -o a.pdf --power \"65 %\" a.rhyton");
  expect (&first, 0);
  g_auto (Run) second = cli ("sheet -o b.pdf --power \"65 %\" a.rhyton");
  expect (&second, 0);
  g_auto (Run) same = shell ("cmp a.pdf b.pdf && head -c 5 a.pdf");
  expect (&same, 0);
  assert_string_equal (same.out, "%PDF-");

  put ("high.rhyton", CYLINDER "[Artwork]\nFile=letter.svg\nHeight=130\n");
  g_auto (Run) not_ready = cli ("sheet --paper letter high.rhyton");
  expect (&not_ready, 1);
  g_autofree char *reader = g_find_program_in_path ("pdftotext");
  if (reader == NULL)
    return;
  g_auto (Run) text = shell ("pdftotext -layout high-sheet.pdf -");
  assert_true (g_str_has_prefix (g_strstrip (text.out), "NOT READY"));
  g_auto (Run) ready = shell ("pdftotext -layout a.pdf -");
  expect_part (ready.out, "65 %");
  expect_part (ready.out, "Never leave a burn unattended");
  expect_part (ready.out, "Fill areas in lines");
  assert_null (strstr (ready.out, "the other side"));
  put ("round.rhyton", CYLINDER "[Artwork]\nFile=letter.svg\nHeight=10\nAt=50\n[Artwork back]\nFile=letter.svg\nHeight=10\nAt=50\nAround=180\n");
  put ("handle.rhyton", CYLINDER "[Artwork]\nFile=letter.svg\nHeight=10\nAt=50\n[Zone ear]\nKind=handle\nCentre=180\nWidth=20\nFrom=20\nTo=80\n");
  g_auto (Run) round_made = cli ("sheet round.rhyton");
  expect (&round_made, 0);
  g_auto (Run) handle_made = cli ("sheet handle.rhyton");
  g_auto (Run) round = shell ("pdftotext -layout round-sheet.pdf -");
  expect_part (round.out, "the other side");
  expect_part (round.out, "Artwork: back");
  g_auto (Run) handle = shell ("pdftotext -layout handle-sheet.pdf -");
  expect_part (handle.out, "handle: ear");
  g_auto (Run) size = shell ("pdfinfo high-sheet.pdf");
  expect_part (size.out, "612 x 792 pts");        /* Letter: 8.5 x 11 in */
}

#define TWO_TEXTS CYLINDER "[Artwork one]\nText={name}\nFontSize=8\nAt=60\n[Artwork two]\nText={boat} of {name}\nFontSize=6\nAt=30\n"

static const struct { const char *csv, *says; } bad_names[] = {
  { "name\nAda\n", "[Artwork two] Text: the list of names has no column {boat}: it has name" },
  { "name,boat\n\"Ada,Heron\n", "n.csv:2: a quote opens here and does not close" },
  { "name,boat\nAda,Heron\n  \n", "n.csv:3: 1 field where the header has 2" },
  { "name,boat\n", "the list of names has no row" },
  { "name;boat\nAda;Heron\n", "n.csv:1: columns parted by semicolons" },
  { "", "n.csv" },
};

/* A list of names that is no good is told of in one line, and nothing is written. */
static void
test_batch_bad_lists (void **state)
{
  (void) state;
  put ("a.rhyton", TWO_TEXTS);
  for (gsize i = 0; i < G_N_ELEMENTS (bad_names); i++)
    {
      put ("n.csv", bad_names[i].csv);
      g_auto (Run) run = cli ("batch --names n.csv -d cups a.rhyton");
      expect (&run, 2);
      expect_part (run.err, bad_names[i].says);
      expect_one_line (&run);
    }
  g_autofree char *huge = g_strnfill (10 << 20, 'x');
  g_autofree char *csv = g_strdup_printf ("name,boat\n\"%s\",Heron\n", huge);
  put ("n.csv", csv);
  g_auto (Run) run = cli ("batch --names n.csv -d cups a.rhyton");
  expect (&run, 2);
  expect_part (run.err, "n.csv:2: a field of more than 64 KiB");
  expect_one_line (&run);
  g_auto (Run) none = shell ("ls cups");
  assert_int_not_equal (none.status, 0);
}

/* No file may grow by a byte, as on a disk that is full: said in one line. */
static void
test_batch_on_a_full_disk (void **state)
{
  (void) state;
  put ("a.rhyton", TWO_TEXTS);
  put ("n.csv", "name,boat\nAda,Heron\n");
  g_auto (Run) run = shell ("trap '' XFSZ; ulimit -f 0; \"$0\" batch --names n.csv -d brimful a.rhyton");
  expect (&run, 2);
  expect_one_line (&run);
  expect_part (run.err, "rhyton-cli: brimful: cannot be written: ");
}

/* A name taken off the list: its drawing, and those of the numbers that moved, are still there, and a folder
 * that is burnt whole would have them. */
static void
test_batch_names_drawings_of_an_earlier_list (void **state)
{
  (void) state;
  put ("a.rhyton", TWO_TEXTS);
  put ("n.csv", "name,boat\nAda,Heron\nBea,Heron\nCy,Bittern\n");
  g_auto (Run) first = cli ("batch --names n.csv -d shifted --no-contact a.rhyton");
  expect (&first, 0);
  assert_null (strstr (first.err, "earlier list"));
  put ("n.csv", "name,boat\nBea,Heron\nCy,Bittern\n");
  g_auto (Run) second = cli ("batch --names n.csv -d shifted --no-contact a.rhyton");
  expect (&second, 0);
  expect_part (second.err, "rhyton-cli: shifted: 3 drawings are of an earlier list, none of this one (1-Ada.svg, ...): take them away");
  /* Of shares, each looks after its own: rows 1 and 3, and 2. */
  g_auto (Run) share = cli ("batch --names n.csv -d shifted --no-contact --part 2/2 a.rhyton");
  expect (&share, 0);
  expect_part (share.err, "rhyton-cli: shifted: 1 drawing is of an earlier list, none of this one (2-Bea.svg): take it away");
}

/* Empty lines are no rows; two of one name have a drawing each, and it is said. */
static void
test_batch_odd_lists (void **state)
{
  (void) state;
  put ("a.rhyton", TWO_TEXTS);
  put ("n.csv", "name,boat\nAda,Heron\n\n,\nAda,Bittern\n");
  g_auto (Run) run = cli ("batch --names n.csv -d cups --no-contact a.rhyton");
  expect (&run, 0);
  expect_part (run.err, "1 name stood in the list before; each row has its own drawing");
  expect_part (run.err, "2 rows: 2 ready");
  g_auto (Run) differ = shell ("cmp -s cups/1-Ada.svg cups/2-Ada.svg");
  expect (&differ, 1);

  /* What a maker who wrote the row's words into both artworks by hand would get. */
  put ("plain.rhyton", CYLINDER "[Artwork one]\nText=Ada\nFontSize=8\nAt=60\n[Artwork two]\nText=Heron of Ada\nFontSize=6\nAt=30\n");
  g_auto (Run) plain = cli ("wrap -o plain.svg plain.rhyton");
  expect (&plain, 0);
  g_auto (Run) same = shell ("grep -v -e '<title>' -e '<desc>' plain.svg > a.txt; "
                             "grep -v -e '<title>' -e '<desc>' cups/1-Ada.svg > b.txt; cmp a.txt b.txt");
  expect (&same, 0);
}

static const struct { const char *csv, *says; } bad_grids[] = {
  { "height,angle\n1,2\n", "no column nominal_along" },
  { "height,angle,nominal_along,printed_along,nominal_around,printed_around\n", "no readings" },
  { "height,angle,nominal_along,printed_along,nominal_around,printed_around\n50,0,10,,10,10\n", "r.csv:2: printed_along is empty" },
  { "height,angle,nominal_along,printed_along,nominal_around,printed_around\n50,0,10,10,10,\"10,2\"\n", "must be a number" },
  { "height,angle,nominal_along,printed_along,nominal_around,printed_around\n50,0,10,10,10,\"10\n", "a quote opens" },
  { "height,angle,nominal_along,printed_along,nominal_around,printed_around\n500,0,10,10,10,10\n", "r.csv:2: height: found \"500\": allowed: a height on the wall, from 0 to 100 mm" },
};

static void
test_bad_readings_say_where (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER);
  for (gsize i = 0; i < G_N_ELEMENTS (bad_grids); i++)
    {
      put ("r.csv", bad_grids[i].csv);
      g_auto (Run) run = cli ("learn --grid r.csv a.rhyton");
      assert_int_not_equal (run.status, 0);
      expect_one_line (&run);
      expect_part (run.err, bad_grids[i].says);
    }
}

static void
test_every_piece_fits_its_vessel (void **state)
{
  (void) state;
  put ("a.rhyton", CYLINDER);
  const char *const pieces[] = { "ruler", "arrow", "ladder", "turn" };
  for (gsize i = 0; i < G_N_ELEMENTS (pieces); i++)
    {
      g_autofree char *line = g_strdup_printf ("piece %s -o p.svg a.rhyton", pieces[i]);
      g_auto (Run) run = cli (line);
      expect (&run, 0);
      g_autofree char *svg = get ("p.svg");
      expect_part (svg, "id=\"ink\"");
    }
  /* 100 mm high: a grid of 140 does not fit, and nothing is written. */
  g_auto (Run) high = cli ("piece ruler --height 140 -o high.svg a.rhyton");
  expect (&high, 1);
  expect_one_line (&high);
  g_autofree char *path = in_folder ("high.svg");
  assert_false (g_file_test (path, G_FILE_TEST_EXISTS));
}

/* A rendered photograph of a cone, 70 to 90 mm over 120 mm: the file makes a job, and what is
 * wrong is said in one line. */
static void
test_profile_of_photograph (void **state)
{
  (void) state;
  const double heights[] = { 0.0, 120.0 }, radii[] = { 35.0, 45.0 };
  g_autoptr (RhyWall) cone = rhy_wall_new_straight (heights, radii, 2, NULL);
  PhotoScene scene = PHOTO_SCENE_INIT;
  scene.width = 500;
  scene.height = 600;
  scene.distance_mm = 800.0;
  scene.eye_mm = scene.aim_mm = 60.0;
  scene.focal_px = 800.0 * 3.7;
  g_autoptr (RhyRaster) picture = photo_render (&scene, cone);
  cairo_surface_t *surface = cairo_image_surface_create_for_data ((unsigned char *) rhy_raster_get_pixels (picture),
                                                                  CAIRO_FORMAT_ARGB32, 500, 600, 4 * 500);
  g_autofree char *path = in_folder ("mug photo.png");
  assert_int_equal (cairo_surface_write_to_png (surface, path), CAIRO_STATUS_SUCCESS);
  cairo_surface_destroy (surface);
  const RhyPoint base = photo_mark (&scene, 0.0, 35.0), rim = photo_mark (&scene, 120.0, 45.0);
  g_autofree char *axis = g_strdup_printf ("%d,%d,%d,%d", (int) lround (base.x), (int) lround (base.y),
                                           (int) lround (rim.x), (int) lround (rim.y));

  g_autofree char *line = g_strdup_printf ("profile -a %s -z 120 -d 80@60 -D 800 'mug photo.png'", axis);
  g_auto (Run) run = cli (line);
  expect (&run, 0);
  expect_part (run.err, "wrote mug photo-profile.csv");
  expect_part (run.out, "Diameters: standard uncertainty");
  expect_part (run.out, "Profile=mug photo-profile.csv");
  g_autofree char *written = in_folder ("mug photo-profile.csv");
  g_autofree double *z = NULL;
  g_autofree double *d = NULL;
  gsize n;
  assert_true (rhy_profile_read (written, &z, &d, &n, NULL));
  assert_true (n > 200);
  for (gsize i = 0; i < n; i++)
    if (fabs (d[i] - (70.0 + z[i] / 6.0)) > 0.5)
      fail_msg ("%g mm at height %g mm", d[i], z[i]);

  put ("art.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='30mm' height='20mm' viewBox='0 0 30 20'><path d='M0 0H30V20H0Z'/></svg>");
  g_auto (Run) made = cli ("new --profile 'mug photo-profile.csv' --diameter-uncertainty 0.1 -a art.svg -W 30 -T auto -o p.rhyton");
  expect (&made, 0);
  g_auto (Run) verdict = cli ("check p.rhyton");
  expect (&verdict, 0);

  g_auto (Run) none = cli ("profile -z 120 'mug photo.png'");
  expect (&none, 2);
  expect_part (none.err, "--axis");
  g_auto (Run) beside = cli ("profile -a 20,500,20,100 -z 120 'mug photo.png'");
  expect (&beside, 2);
  expect_one_line (&beside);
  expect_part (beside.err, "mug photo.png: an edge left of the axis");
  g_auto (Run) drawing = cli ("profile -a 20,500,20,100 -z 120 art.svg");
  expect (&drawing, 2);
  expect_part (drawing.err, "art.svg: it is a drawing");
  g_auto (Run) itself = cli ("profile -a 20,500,20,100 -z 120 -o art.svg art.svg");
  expect (&itself, 2);
}

/* A blank of the catalogue, listed, shown, begun from, and judged; readings of one's
 * own take the place of its readings and of what is only typical. */
static void
test_vessels (void **state)
{
  (void) state;
  g_auto (Run) list = cli ("vessels");
  expect (&list, 0);
  expect_part (list.out, "tasting-glass        65.0 mm  155.0 mm  published");
  g_auto (Run) json = cli ("vessels --json");
  expect (&json, 0);
  g_autoptr (JsonParser) parser = json_parser_new ();
  g_autoptr (GError) error = NULL;
  assert_true (json_parser_load_from_data (parser, json.out, -1, &error));
  JsonArray *all = json_object_get_array_member (json_node_get_object (json_parser_get_root (parser)), "vessels");
  assert_true (json_array_get_length (all) >= 24);
  g_auto (Run) one = cli ("vessels --show can-211");
  expect (&one, 0);
  expect_part (one.out, "2.602 +- 0.007 in");

  put ("art.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='30mm' height='20mm' viewBox='0 0 30 20'><path d='M0 0H30V20H0Z'/></svg>");
  g_auto (Run) made = cli ("new -v mug-11oz -a art.svg -W 30 -T auto -o mug.rhyton");
  expect (&made, 0);
  g_auto (Run) verdict = cli ("check mug.rhyton");
  expect (&verdict, 0);
  expect_part (verdict.out, "diameter 82.00 mm at the base");
  expect_part (verdict.out, "width within");
  g_autofree char *text = get ("mug.rhyton");
  expect_part (text, "[Zone handle]");
  expect_part (text, "typical sizes: measure yours");

  g_auto (Run) own = cli ("new -v mug-11oz -z 0,95 -c 256,257 -a art.svg -W 30 -T auto -o own.rhyton");
  expect (&own, 0);
  g_autofree char *own_text = get ("own.rhyton");
  expect_part (own_text, "Circumferences=256;257");
  assert_null (strstr (own_text, "Diameters"));
  assert_null (strstr (own_text, "typical"));
  assert_null (strstr (own_text, "DiameterUncertainty"));
}

/* A profile as a scanner writes it: a cone from 62 to 88 over 150 mm. */
static void
test_profile (void **state)
{
  (void) state;
  g_autoptr (GString) rows = g_string_new ("height;diameter\n");
  for (int i = 0; i <= 150; i++)
    {
      char d[G_ASCII_DTOSTR_BUF_SIZE];
      g_string_append_printf (rows, "%d;%s\n", i, g_ascii_formatd (d, sizeof d, "%.3f", 62.0 + 26.0 * i / 150.0));
    }
  put ("side.csv", rows->str);
  put ("art.svg", "<svg xmlns='http://www.w3.org/2000/svg' width='30mm' height='20mm' viewBox='0 0 30 20'><path d='M0 0H30V20H0Z'/></svg>");
  g_auto (Run) made = cli ("new --profile side.csv -a art.svg -W 30 -T auto -o scan.rhyton");
  expect (&made, 0);
  g_auto (Run) verdict = cli ("check scan.rhyton");
  expect (&verdict, 0);
  expect_part (verdict.out, "diameter 62.00 mm at the base, 88.00 mm at the rim");
  expect_part (verdict.out, "1 piece through 151 rows");
  put ("side.csv", "0;62\n40;\n");
  g_auto (Run) broken = cli ("check scan.rhyton");
  expect (&broken, 2);
  expect_part (broken.err, "side.csv: line 2");
}

/* What the dynamic linker would load, as it says itself (ld.so(8), LD_TRACE_LOADED_OBJECTS). These
 * and what they bring along cost a small job half of its time; a call that is missing in
 * the lists of the late-*.h headers links them again. */
static void
test_few_libraries_at_the_start (void **state)
{
  (void) state;
  const char *const late[] = { "libgeos", "libcairo", "libpango", "libX11", "libstdc++", "libfreetype", "libjson", "libpotrace", "libgio", "libgobject" };
#ifdef RHY_LATE_GEOS
  g_setenv ("LD_TRACE_LOADED_OBJECTS", "1", TRUE);
  g_auto (Run) run = cli ("--version");
  g_unsetenv ("LD_TRACE_LOADED_OBJECTS");
  assert_non_null (strstr (run.out, "libglib"));
  for (gsize i = 0; i < G_N_ELEMENTS (late); i++)
    if (strstr (run.out, late[i]) != NULL && strstr (run.out, "libasan") == NULL)
      fail_msg ("%s is loaded at the start: which call is not in lib/*/late-*.h?", late[i]);
#else
  (void) late;
  skip ();
#endif
}

int
main (int    argc,
      char **argv)
{
  const char *build = g_getenv ("G_TEST_BUILDDIR");
  program = g_build_filename (build != NULL ? build : ".", "app", "cli", "rhyton-cli", NULL);
  g_setenv ("LC_ALL", "C.UTF-8", TRUE);
  if (argc > 1 && strcmp (argv[1], "comma") == 0)
    {
      const char *name = rhy_comma_locale ();
      if (name != NULL)
        g_setenv ("LC_ALL", name, TRUE);
      else
        print_message ("# no locale with a decimal comma here: run without one\n");
    }

#define ONE(f) cmocka_unit_test_setup_teardown (f, make_folder, drop_folder)
  const struct CMUnitTest plain[] = {
    ONE (test_help_and_version),
    ONE (test_few_libraries_at_the_start),
    ONE (test_misuse),
    ONE (test_ink_that_is_not_what_was_meant),
    ONE (test_job_is_a_folder),
    ONE (test_files_without_an_end),
    ONE (test_output_folder),
    ONE (test_full_and_closed_outputs),
    ONE (test_broken_pipe_is_quiet),
    ONE (test_new_to_proof),
    ONE (test_sources_are_not_written_over),
    ONE (test_wrap_and_proof), ONE (test_bands),
    ONE (test_same_job_same_bytes),
    ONE (test_formats),
    ONE (test_new_elsewhere_names_its_files),
    ONE (test_json),
    ONE (test_hold_and_machines),
    ONE (test_json_of_what_cannot_be_worked_out),
    ONE (test_picture_is_reported),
    ONE (test_shades_to_proof),
    ONE (test_gradient_to_proof),
    ONE (test_picture_is_artwork),
    ONE (test_points_columns),
    ONE (test_points_bad_line),
    ONE (test_many_points_come_back),
    ONE (test_lettering_from_the_job),
    ONE (test_ruler_to_machine),
    ONE (test_bad_readings_say_where),
    ONE (test_sheet),
    ONE (test_batch_bad_lists),
    ONE (test_batch_odd_lists),
    ONE (test_batch_names_drawings_of_an_earlier_list),
    ONE (test_batch_on_a_full_disk),
    ONE (test_every_piece_fits_its_vessel),
    ONE (test_profile_of_photograph),
    ONE (test_vessels),
    ONE (test_profile),
  };
  enum { N_PLAIN = G_N_ELEMENTS (plain), N_BAD = G_N_ELEMENTS (bad), N_POINTS = G_N_ELEMENTS (point_cases) };
  struct CMUnitTest tests[N_PLAIN + N_BAD + N_POINTS];
  memcpy (tests, plain, sizeof plain);
  for (gsize i = 0; i < N_BAD; i++)
    tests[N_PLAIN + i] = (struct CMUnitTest) { bad[i].name, test_bad, make_folder, drop_folder, (void *) &bad[i] };
  for (gsize i = 0; i < N_POINTS; i++)
    tests[N_PLAIN + N_BAD + i] = (struct CMUnitTest) { point_cases[i].name, test_points, make_folder, drop_folder, (void *) &point_cases[i] };
  const int failed = cmocka_run_group_tests (tests, NULL, NULL);
  g_free (program);
  return failed;
}
