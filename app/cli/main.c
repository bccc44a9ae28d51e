/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <fcntl.h>
#include <locale.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

typedef struct
{
  const char *name;
  int       (*run) (int argc, char **argv);
  const char *summary;
  gboolean    reads_artwork;
} Verb;

static const Verb verbs[] = {
  { "new", cli_new, "write a job file from readings and artwork", FALSE },
  { "check", cli_check, "the verdict: ready, or what stops the job", TRUE },
  { "wrap", cli_wrap, "the bed drawing", TRUE },
  { "pattern", cli_pattern, "the flat pattern, 1:1, to wrap round the blank", TRUE },
  { "view", cli_view, "a picture of the vessel with its artwork", TRUE },
  { "proof", cli_proof, "puts a bed drawing back on the wall and measures it", TRUE },
  { "hold", cli_hold, "how the vessel is held, beside every other way", TRUE },
  { "machines", cli_machines, "the machine files there are", FALSE },
  { "points", cli_points, "takes points from one space to another", FALSE },
  { "profile", cli_profile, "a vessel's profile from a photograph of it", FALSE },
  { "sheet", cli_sheet, "the setup sheet to take to the machine", TRUE },
  { "batch", cli_batch, "a bed drawing for each row of a list of names", TRUE },
  { "piece", cli_piece, "a test piece: ruler, arrow, ladder or turn", FALSE },
  { "learn", cli_learn, "true travel per turn, and what else is off, from a test piece", FALSE },
  { "vessels", cli_vessels_verb, "lists the catalogue of blanks", FALSE },
};

static int
print_help (void)
{
  g_autoptr (GString) text = g_string_new ("Usage:\n  rhyton-cli VERB [OPTION...] JOB\n\n"
                                           "Fits artwork to drinkware that is turned on a rotary axis.\n\nVerbs:\n");
  for (gsize i = 0; i < G_N_ELEMENTS (verbs); i++)
    g_string_append_printf (text, "  %-10s %s\n", verbs[i].name, verbs[i].summary);
  g_string_append (text, "\nOptions:\n"
                         "  -h, --help     Show these lines; rhyton-cli VERB --help shows a verb's own\n"
                         "  --version      Show the version\n\n"
                         "A JOB is a .rhyton file, or - for standard input.\n"
                         "Exit status: 0 done or ready, 1 the job is not ready, 2 bad usage, bad data, or nothing written.\n\n"
                         "The tool plans; it does not make a burn safe: eye protection, extraction, and never leave it alone.\n");
  return cli_print (text->str, text->len) ? CLI_DONE : CLI_BAD;
}

/* A descriptor of ours must not slip into the place of a standard one that is closed. */
static void
keep_standard_places (void)
{
  for (int fd = 0; fd <= 2; fd++)
    if (fcntl (fd, F_GETFD) == -1)
      (void) open ("/dev/null", fd == 0 ? O_WRONLY : O_RDONLY);
}

/* Whoever asks for help waits for no artwork. */
static gboolean
is_about_a_job (int    argc,
                char **argv)
{
  for (int i = 2; i < argc; i++)
    if (strcmp (argv[i], "--help") == 0 || strcmp (argv[i], "-h") == 0)
      return FALSE;
  return argc > 2;
}

int
main (int    argc,
      char **argv)
{
  keep_standard_places ();
  signal (SIGPIPE, SIG_IGN);
  /* File names and titles in the user's encoding; numbers and messages stay as files have them. */
  setlocale (LC_CTYPE, "");

  if (argc < 2)
    {
      fputs ("rhyton-cli: a verb is missing; see rhyton-cli --help\n", stderr);
      return CLI_BAD;
    }
  if (strcmp (argv[1], "--help") == 0 || strcmp (argv[1], "-h") == 0)
    return print_help ();
  if (strcmp (argv[1], "--version") == 0)
    {
      const char text[] = "rhyton-cli " RHYTON_VERSION "\n";
      return cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;
    }
  for (gsize i = 0; i < G_N_ELEMENTS (verbs); i++)
    if (strcmp (argv[1], verbs[i].name) == 0)
      {
        if (verbs[i].reads_artwork && is_about_a_job (argc, argv))
          rhy_intake_get_ready ();
        return verbs[i].run (argc - 1, argv + 1);
      }
  fprintf (stderr, "rhyton-cli: %s: no such verb; see rhyton-cli --help\n", argv[1]);
  return CLI_BAD;
}
