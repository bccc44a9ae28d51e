/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "cli.h"

#include <errno.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static guint
words_in (const char *text)
{
  g_auto (GStrv) words = g_strsplit (text, " ", -1);
  return g_strv_length (words);
}

gboolean
cli_options (int                *argc,
             char             ***argv,
             const GOptionEntry *entries,
             const char         *arguments,
             const char         *summary,
             const char         *description,
             int                *status)
{
  gboolean help = FALSE;
  const GOptionEntry common[] = {
    { "help", 'h', 0, G_OPTION_ARG_NONE, &help, "Show these lines", NULL },
    G_OPTION_ENTRY_NULL
  };
  const char *verb = (*argv)[0];
  g_autofree char *program = g_strconcat ("rhyton-cli ", verb, NULL);
  g_autoptr (GOptionContext) context = g_option_context_new (arguments);
  g_autoptr (GError) error = NULL;

  g_option_context_set_summary (context, summary);
  g_option_context_set_description (context, description);
  g_option_context_set_help_enabled (context, FALSE);
  g_option_context_add_main_entries (context, common, NULL);
  if (entries != NULL)
    g_option_context_add_main_entries (context, entries, NULL);
  g_set_prgname (program);

  *status = CLI_BAD;
  if (!g_option_context_parse (context, argc, argv, &error))
    {
      cli_usage (verb, "%s", error->message);
      return FALSE;
    }
  if (help)
    {
      g_autofree char *text = g_option_context_get_help (context, TRUE, NULL);
      *status = cli_print (text, strlen (text)) ? CLI_DONE : CLI_BAD;
      return FALSE;
    }
  /* "--" ends the options; GLib leaves it in place. */
  if (*argc > 1 && strcmp ((*argv)[1], "--") == 0)
    {
      for (int i = 1; i < *argc; i++)
        (*argv)[i] = (*argv)[i + 1];
      (*argc)--;
    }
  const guint wanted = *arguments != '\0' ? words_in (arguments) : 0;
  if ((guint) *argc - 1 != wanted)
    {
      cli_usage (verb, "wanted %s, found %d argument%s", *arguments != '\0' ? arguments : "options only", *argc - 1,
                 *argc == 2 ? "" : "s");
      return FALSE;
    }
  return TRUE;
}

int
cli_usage (const char *verb,
           const char *format,
           ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *text = g_strdup_vprintf (format, args);
  va_end (args);
  fprintf (stderr, "rhyton-cli: %s: %s; see rhyton-cli %s --help\n", verb, text, verb);
  return CLI_BAD;
}

int
cli_fail (const char *file,
          GError     *error)
{
  const gboolean not_ready = g_error_matches (error, RHY_ERROR, RHY_ERROR_OUTSIDE);
  if (file == NULL || strcmp (file, "-") == 0 || g_str_has_prefix (error->message, file))
    fprintf (stderr, "rhyton-cli: %s\n", error->message);
  else
    fprintf (stderr, "rhyton-cli: %s: %s\n", file, error->message);
  g_error_free (error);
  return not_ready ? CLI_NOT_READY : CLI_BAD;
}

const char *
cli_job_name (const char *argument)
{
  return strcmp (argument, "-") == 0 ? "job" : argument;
}

static GBytes *
read_standard_input (GError **error)
{
  const gsize limit = 4u << 20;
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  guint8 buffer[65536];
  size_t n;
  while (bytes->len <= limit && (n = fread (buffer, 1, sizeof buffer, stdin)) > 0)
    g_byte_array_append (bytes, buffer, (guint) n);
  if (ferror (stdin) || bytes->len > limit)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "standard input: %s",
                   ferror (stdin) ? g_strerror (errno) : "more than 4 MiB, too long for a job file");
      return NULL;
    }
  return g_byte_array_free_to_bytes (g_steal_pointer (&bytes));
}

RhyJob *
cli_job (const char *name,
         GError    **error)
{
  if (strcmp (name, "-") != 0)
    return rhy_job_new_from_file (name, error);
  g_autoptr (GBytes) bytes = read_standard_input (error);
  if (bytes == NULL)
    return NULL;
  gsize length = 0;
  const char *text = g_bytes_get_data (bytes, &length);
  return rhy_job_new_from_data (text != NULL ? text : "", (gssize) length, NULL, error);
}

RhyPlan *
cli_plan (const char *name,
          GError    **error)
{
  g_autoptr (RhyJob) job = cli_job (name, error);
  return job != NULL ? rhy_plan_new (job, NULL, NULL, error) : NULL;
}

RhyJob *
cli_job_with_bands (const char     *name,
                    const CliBands *bands,
                    GError        **error)
{
  g_autoptr (RhyJob) job = cli_job (name, error);
  const struct { const char *option, *key, *value; } edits[] = {
    { "--bands: ", "Bands", bands->n },
    { "--line-distance: ", "LineDistance", bands->distance },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (edits) && job != NULL; i++)
    if (edits[i].value != NULL)
      {
        RhyJob *edited = rhy_job_with (job, "Output", edits[i].key, edits[i].value, error);
        rhy_job_unref (job);
        job = edited;
        if (job == NULL)
          g_prefix_error_literal (error, edits[i].option);
      }
  return g_steal_pointer (&job);
}

RhyPlan *
cli_plan_with_bands (const char     *name,
                     const CliBands *bands,
                     GError        **error)
{
  g_autoptr (RhyJob) job = cli_job_with_bands (name, bands, error);
  return job != NULL ? rhy_plan_new (job, NULL, NULL, error) : NULL;
}

void
cli_bands_clear (CliBands *bands)
{
  g_free (bands->n);
  g_free (bands->distance);
}

gboolean
cli_number (const char *text,
            double     *value)
{
  char *end = NULL;
  if (*text == '\0' || text[strspn (text, "0123456789+-.eE")] != '\0')
    return FALSE;
  *value = g_ascii_strtod (text, &end);
  return end != text && *end == '\0' && isfinite (*value);
}

gboolean
cli_write (const char *text,
           gsize       length)
{
  while (length > 0)
    {
      const gssize n = write (STDOUT_FILENO, text, length);
      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0 && errno == EPIPE)
        {
          /* As any other filter does; the signal is ignored elsewhere so that a
           * helper that dies is an error and not our end. */
          signal (SIGPIPE, SIG_DFL);
          raise (SIGPIPE);
        }
      if (n < 0)
        return FALSE;
      text += n;
      length -= (gsize) n;
    }
  return TRUE;
}

gboolean
cli_print (const char *text,
           gsize       length)
{
  if (cli_write (text, length))
    return TRUE;
  fprintf (stderr, "rhyton-cli: standard output: %s\n", g_strerror (errno));
  return FALSE;
}

char *
cli_default_name (const char *job,
                  const char *ending)
{
  g_autofree char *base = g_path_get_basename (cli_job_name (job));
  char *dot = strrchr (base, '.');
  if (dot != NULL && dot != base)
    *dot = '\0';
  return g_strconcat (base, ending, NULL);
}
