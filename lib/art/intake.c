/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include <rhyton/intake.h>

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <glib-unix.h>
#include <math.h>
#include <pthread.h>
#include <signal.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <rhyton/intake-wire.h>

#include "../shape/late-gio.h"
#include "../shape/parallel.h"
#include "late-freetype.h"
#include "wire-reader.h"

/* What a child may answer: far above any honest drawing within the limit on
 * its file. */
static const gsize RESULT_MAX = 1024 * 1024 * 1024;
static const gsize COMPLAINT_MAX = 8192;

/* ---- finding the program ---- */

static char *
if_runnable (char *path)
{
  if (g_file_test (path, G_FILE_TEST_IS_EXECUTABLE))
    return path;
  g_free (path);
  return NULL;
}

/* In a build directory the library lies at the top and the program at
 * app/intake; what an installation put elsewhere is found from its own paths. */
static char *
find_program (const RhyIntakeOptions *options)
{
  if (options->program != NULL)
    return g_strdup (options->program);
  const char *named = g_getenv ("RHYTON_INTAKE");
  if (named != NULL && *named != '\0')
    return g_strdup (named);

  Dl_info info;
  char *found = NULL;
  if (dladdr (__extension__ (void *) rhy_intake_bytes, &info) != 0 && info.dli_fname != NULL)
    {
      g_autofree char *library = g_canonicalize_filename (info.dli_fname, NULL);
      g_autofree char *folder = g_path_get_dirname (library);
      found = if_runnable (g_build_filename (folder, "app", "intake", "rhyton-intake", NULL));
    }
  if (found == NULL)
    found = if_runnable (g_build_filename (RHYTON_LIBEXECDIR, "rhyton-intake", NULL));
  return found;
}

/* ---- the child ---- */

typedef struct
{
  GPid        pid;
  gint64      started;          /* monotonic, us */
  int         in, out, err;     /* -1 when closed */
  GByteArray *result;
  GString    *complaint;        /* the beginning of its standard error */
} Child;

static void
close_end (int *fd)
{
  if (*fd >= 0)
    close (*fd);
  *fd = -1;
}

static void
clear_child (Child *child)
{
  close_end (&child->in);
  close_end (&child->out);
  close_end (&child->err);
  g_clear_pointer (&child->result, g_byte_array_unref);
  if (child->complaint != NULL)
    g_string_free (g_steal_pointer (&child->complaint), TRUE);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Child, clear_child)

/* The child's input is a socket, not a pipe: writing to a pipe whose reader
 * died raises SIGPIPE, which a library must neither suffer nor silence. */
static gboolean
start (Child                  *child,
       const RhyIntakeOptions *options,
       GError                **error)
{
  g_autofree char *program = find_program (options);
  if (program == NULL || !g_file_test (program, G_FILE_TEST_IS_EXECUTABLE))
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_UNSUPPORTED, "%s, the program that reads drawings, is missing: install Rhyton again",
                   program != NULL ? program : RHYTON_LIBEXECDIR "/rhyton-intake");
      return FALSE;
    }

  char number[G_ASCII_DTOSTR_BUF_SIZE];
  g_autoptr (GPtrArray) argv = g_ptr_array_new_with_free_func (g_free);
  g_ptr_array_add (argv, g_strdup (program));
  g_ptr_array_add (argv, g_strconcat ("--seconds=", g_ascii_dtostr (number, sizeof number, options->seconds), NULL));
  g_ptr_array_add (argv, g_strdup_printf ("--memory=%u", options->memory_mb));
  g_ptr_array_add (argv, g_strdup_printf ("--bytes=%u", RHY_INTAKE_BYTES_MAX));
  if (options->points > 0)
    g_ptr_array_add (argv, g_strdup_printf ("--points=%u", options->points));
  if (options->layer != NULL)
    g_ptr_array_add (argv, g_strconcat ("--layer=", options->layer, NULL));
  g_ptr_array_add (argv, NULL);

  int ends[2];
  if (socketpair (AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends) != 0)
    {
      g_set_error (error, G_IO_ERROR, g_io_error_from_errno (errno), "no channel to the intake program: %s", g_strerror (errno));
      return FALSE;
    }
  child->in = ends[0];
  const gboolean ok = g_spawn_async_with_pipes_and_fds (
    NULL, (const char *const *) argv->pdata, NULL, G_SPAWN_DO_NOT_REAP_CHILD | G_SPAWN_LEAVE_DESCRIPTORS_OPEN, NULL, NULL,
    ends[1], -1, -1, NULL, NULL, 0, &child->pid, NULL, &child->out, &child->err, error);
  close (ends[1]);
  if (!ok)
    return FALSE;
  child->started = g_get_monotonic_time ();
  child->result = g_byte_array_new ();
  child->complaint = g_string_new (NULL);
  g_unix_set_fd_nonblocking (child->in, TRUE, NULL);
  g_unix_set_fd_nonblocking (child->out, TRUE, NULL);
  g_unix_set_fd_nonblocking (child->err, TRUE, NULL);
  return TRUE;
}

static gboolean
is_passing (int code)
{
  return code == EAGAIN || code == EWOULDBLOCK || code == EINTR;
}

static void
feed (Child  *child,
      GBytes *bytes,
      gsize  *sent)
{
  gsize size;
  const guint8 *data = g_bytes_get_data (bytes, &size);
  const gssize n = send (child->in, data + *sent, size - *sent, MSG_NOSIGNAL);
  if (n > 0)
    *sent += (gsize) n;
  /* A child that wants no more has made up its mind: hear it out. */
  if (*sent == size || (n < 0 && !is_passing (errno)))
    close_end (&child->in);
}

static gboolean
hear (Child   *child,
      GError **error)
{
  static const guint room = 256 * 1024;
  const guint had = child->result->len;
  if (had > RESULT_MAX)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "its outlines take more than the %u MiB allowed", (guint) (RESULT_MAX >> 20));
      return FALSE;
    }
  g_byte_array_set_size (child->result, had + room);
  const gssize n = read (child->out, child->result->data + had, room);
  g_byte_array_set_size (child->result, had + (guint) MAX (n, 0));
  if (n == 0 || (n < 0 && !is_passing (errno)))
    close_end (&child->out);
  return TRUE;
}

static void
hear_complaint (Child *child)
{
  char text[4096];
  const gssize n = read (child->err, text, sizeof text);
  if (n > 0 && child->complaint->len < COMPLAINT_MAX)
    g_string_append_len (child->complaint, text, n);
  if (n == 0 || (n < 0 && !is_passing (errno)))
    close_end (&child->err);
}

static void
set_timed_out (const RhyIntakeOptions *options,
               GError                **error)
{
  g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
               "takes more than the %g seconds of processor time allowed: simplify it in the drawing program", options->seconds);
}

static void
set_stalled (const RhyIntakeOptions *options,
             GError                **error)
{
  g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT,
               "not read after %g seconds, of which it had less than %g to work in: try again when the machine is less busy",
               RHY_INTAKE_PATIENCE * options->seconds, options->seconds);
}

/* Processor time that the child has had so far, s; 0 where the system does not say. */
static double
time_had (const Child *child)
{
  clockid_t clock;
  struct timespec had;
  if (clock_getcpuclockid (child->pid, &clock) != 0 || clock_gettime (clock, &had) != 0)
    return 0.0;
  return (double) had.tv_sec + 1e-9 * (double) had.tv_nsec;
}

/* Returns: ms until there is a reason to look at the clocks again, 0 when time is up. */
static gint
time_left (const Child            *child,
           const RhyIntakeOptions *options,
           gint64                  deadline,
           GError                **error)
{
  const double left = options->seconds - time_had (child);
  const gint64 by_clock = deadline - g_get_monotonic_time ();
  if (left <= 0.0)
    set_timed_out (options, error);
  else if (by_clock <= 0)
    set_stalled (options, error);
  else
    return (gint) MIN (1e3 * left, 1e-3 * (double) by_clock) + 1;
  return 0;
}

/* Whether the stream so far ends as only a whole one does: looked at record by record when its
 * last bytes may be the end's. */
static gboolean
has_answered (const GByteArray *result)
{
  const struct { RhyWireHead head; guint64 n_records; } end = { { RHY_WIRE_END, sizeof (guint64) }, 0 };
  return result->len >= sizeof end && result->len % 8 == 0
         && memcmp (result->data + result->len - sizeof end, &end.head, sizeof end.head) == 0
         && rhy_wire_is_complete (result->data, result->len);
}

static inline gboolean
has_word (GBytes     *bytes,
          const char *word)
{
  gsize size;
  const char *text = g_bytes_get_data (bytes, &size);
  return memmem (text, size, word, strlen (word)) != NULL;
}

/* Loads what an artwork of these bytes is likely to need next, while the child works on it. */
static void
foresee (GBytes *bytes)
{
  (void) bytes;
  rhy_parallel_get_ready ();
#ifdef RHY_LATE_FREETYPE
  if (has_word (bytes, "stroke"))
    rhy_late_freetype_get ();
#endif
#ifdef RHY_LATE_GIO
  if (has_word (bytes, "Gradient"))
    rhy_late_gio_get ();
#endif
}

/* Returns: %TRUE when the child has answered or closed its output. */
static gboolean
converse (Child                  *child,
          GBytes                 *bytes,
          const RhyIntakeOptions *options,
          gint64                  deadline,
          GCancellable           *cancellable,
          GError                **error)
{
  GPollFD stop = { -1, G_IO_IN, 0 };
  const gboolean can_stop = cancellable != NULL && g_cancellable_make_pollfd (cancellable, &stop);
  gsize sent = 0;
  gboolean ok = TRUE;
  if (g_bytes_get_size (bytes) == 0)
    close_end (&child->in);

  while (ok && child->out >= 0)
    {
      const gint wait_ms = time_left (child, options, deadline, error);
      if (wait_ms == 0)
        {
          ok = FALSE;
          break;
        }
      /* A negative descriptor is passed over by poll(). */
      GPollFD fds[] = { { child->in, G_IO_OUT, 0 }, { child->out, G_IO_IN, 0 }, { child->err, G_IO_IN, 0 }, stop };
      g_poll (fds, G_N_ELEMENTS (fds), wait_ms);
      if (g_cancellable_set_error_if_cancelled (cancellable, error))
        ok = FALSE;
      if (ok && fds[0].revents != 0)
        {
          feed (child, bytes, &sent);
          if (child->in < 0)
            foresee (bytes);
        }
      if (ok && fds[1].revents != 0)
        ok = hear (child, error);
      if (ok && fds[1].revents != 0 && has_answered (child->result))
        break;
      if (fds[2].revents != 0)
        hear_complaint (child);
    }
  if (can_stop)
    g_cancellable_release_fd (cancellable);
  return ok;
}

/* Waits for an end that has come, or brings it about. */
static int
reap (Child *child,
      gint64 deadline)
{
  int status = 0;
  while (TRUE)
    {
      const pid_t done = waitpid (child->pid, &status, WNOHANG);
      if (done == child->pid || (done < 0 && errno != EINTR))
        return status;
      if (g_get_monotonic_time () >= deadline)
        {
          kill (child->pid, SIGKILL);
          while (waitpid (child->pid, &status, 0) < 0 && errno == EINTR)
            ;
          return status;
        }
      g_usleep (500);
    }
}

static gpointer
bury (gpointer data)
{
  const pid_t pid = GPOINTER_TO_INT (data);
  while (waitpid (pid, NULL, 0) < 0 && errno == EINTR)
    ;
  return NULL;
}

/* A thread that only waits; GLib's would take a heap of its own for that, and 8 MB of stack. */
static gboolean
start_bury (gpointer pid)
{
  pthread_attr_t attributes;
  pthread_t thread;
  if (pthread_attr_init (&attributes) != 0)
    return FALSE;
  sigset_t all, before;
  sigfillset (&all);
  pthread_sigmask (SIG_SETMASK, &all, &before);         /* the program's signals are for its own threads */
  const gboolean ok = pthread_attr_setstacksize (&attributes, 64 * 1024) == 0
                      && pthread_attr_setdetachstate (&attributes, PTHREAD_CREATE_DETACHED) == 0
                      && pthread_create (&thread, &attributes, bury, pid) == 0;
  pthread_sigmask (SIG_SETMASK, &before, NULL);
  pthread_attr_destroy (&attributes);
  return ok;
}

/* The child has answered: nobody waits while the system takes its memory apart. */
static void
dismiss (Child *child)
{
  kill (child->pid, SIGKILL);
  if (!start_bury (GINT_TO_POINTER (child->pid)))
    bury (GINT_TO_POINTER (child->pid));
}

/* A child that was started before there was anything to read: one at most, taken by whoever comes
 * first. Unused, it reads nothing and ends when this process does. */
static Child *spare;
static const gint64 SPARE_LASTS_S = 5;

static gboolean
is_plain (const RhyIntakeOptions *options)
{
  static const RhyIntakeOptions plain = RHY_INTAKE_OPTIONS_INIT;
  return options->seconds == plain.seconds && options->memory_mb == plain.memory_mb && options->points == 0 && options->layer == NULL && options->program == NULL;
}

void
rhy_intake_get_ready (void)
{
  static const RhyIntakeOptions plain = RHY_INTAKE_OPTIONS_INIT;
  if (g_atomic_pointer_get (&spare) != NULL)
    return;
  Child *child = g_new (Child, 1);
  *child = (Child) { .in = -1, .out = -1, .err = -1 };
  /* What is wrong is said when there is something to read. */
  if (start (child, &plain, NULL) && g_atomic_pointer_compare_and_exchange (&spare, NULL, child))
    return;
  clear_child (child);
  g_free (child);
}

/* Returns: whether there was one. */
static gboolean
take_spare (Child                  *child,
            const RhyIntakeOptions *options)
{
  if (!is_plain (options))
    return FALSE;
  Child *ready = g_atomic_pointer_exchange (&spare, NULL);
  if (ready == NULL)
    return FALSE;
  *child = *ready;
  g_free (ready);
  /* One that has waited long (for a job that is typed in) may be at its own end. */
  if (g_get_monotonic_time () - child->started < SPARE_LASTS_S * G_USEC_PER_SEC)
    return TRUE;
  dismiss (child);
  clear_child (child);
  *child = (Child) { .in = -1, .out = -1, .err = -1 };
  return FALSE;
}

/* Why a child left no answer. Rust and GLib say on standard error when it was
 * memory they could not get; neither has a signal of its own for it. */
static void
set_death (Child                  *child,
           int                     status,
           const RhyIntakeOptions *options,
           GError                **error)
{
  if (WIFSIGNALED (status) && WTERMSIG (status) == SIGXCPU)
    set_timed_out (options, error);
  else if (WIFSIGNALED (status) && WTERMSIG (status) == SIGALRM)
    set_stalled (options, error);
  else if (strstr (child->complaint->str, "memory allocation") != NULL
           || strstr (child->complaint->str, "failed to allocate") != NULL)
    g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "takes more than the %u MiB of memory allowed: simplify it in the drawing program",
                 options->memory_mb);
  else if (WIFSIGNALED (status))
    g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                 "the program that reads drawings died on it (signal %d, %s): it is damaged or nested too deeply; nothing else is lost",
                 WTERMSIG (status), g_strsignal (WTERMSIG (status)));
  else
    g_set_error (error, RHY_ERROR, RHY_ERROR_ARTWORK, "the program that reads drawings gave up on it (exit status %d)",
                 WIFEXITED (status) ? WEXITSTATUS (status) : -1);
}

RhyArtwork *
rhy_intake_bytes (GBytes                 *bytes,
                  const RhyIntakeOptions *options,
                  GCancellable           *cancellable,
                  GError                **error)
{
  static const RhyIntakeOptions defaults = RHY_INTAKE_OPTIONS_INIT;
  g_return_val_if_fail (bytes != NULL, NULL);
  if (options == NULL)
    options = &defaults;
  g_return_val_if_fail (options->seconds > 0.0, NULL);

  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  if (g_bytes_get_size (bytes) > RHY_INTAKE_BYTES_MAX)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "larger than the %u MiB allowed", RHY_INTAKE_BYTES_MAX >> 20);
      return NULL;
    }

  g_auto (Child) child = { .in = -1, .out = -1, .err = -1 };
  const double by_clock = RHY_INTAKE_PATIENCE * MIN (options->seconds, 86400.0);
  const gint64 deadline = g_get_monotonic_time () + (gint64) (by_clock * G_USEC_PER_SEC);
  if (!take_spare (&child, options) && !start (&child, options, error))
    return NULL;
  if (!converse (&child, bytes, options, deadline, cancellable, error))
    {
      reap (&child, 0);
      return NULL;
    }
  if (!rhy_wire_is_complete (child.result->data, child.result->len))
    {
      const int status = reap (&child, deadline);
      while (child.err >= 0)
        hear_complaint (&child);
      set_death (&child, status, options, error);
      return NULL;
    }
  dismiss (&child);
  return rhy_wire_read (child.result->data, child.result->len, error);
}

static GBytes *
load (const char *path,
      GError    **error)
{
  const int fd = open (path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  struct stat about;
  if (fd < 0 || fstat (fd, &about) != 0 || !S_ISREG (about.st_mode))
    {
      const int code = fd < 0 ? errno : 0;
      g_set_error_literal (error, G_IO_ERROR, fd < 0 ? g_io_error_from_errno (code) : G_IO_ERROR_NOT_REGULAR_FILE,
                           fd < 0 ? (code == ENOENT ? "there is no such file" : g_strerror (code)) : "it is not a file");
      if (fd >= 0)
        close (fd);
      return NULL;
    }
  if (about.st_size > (off_t) RHY_INTAKE_BYTES_MAX)
    {
      g_set_error (error, RHY_ERROR, RHY_ERROR_LIMIT, "larger than the %u MiB allowed", RHY_INTAKE_BYTES_MAX >> 20);
      close (fd);
      return NULL;
    }

  const gsize size = (gsize) about.st_size;
  g_autofree guint8 *data = g_malloc (size + 1);
  gsize got = 0;
  while (got < size)
    {
      const gssize n = read (fd, data + got, size - got);
      if (n < 0 && errno == EINTR)
        continue;
      if (n < 0)
        {
          g_set_error_literal (error, G_IO_ERROR, g_io_error_from_errno (errno), g_strerror (errno));
          close (fd);
          return NULL;
        }
      if (n == 0)
        break;
      got += (gsize) n;
    }
  close (fd);
  return g_bytes_new_take (g_steal_pointer (&data), got);
}

static gboolean
is_named_picture (const char *path)
{
  static const char *const endings[] = { ".png", ".jpg", ".jpeg" };
  const gsize length = strlen (path);
  for (gsize i = 0; i < G_N_ELEMENTS (endings); i++)
    if (length > strlen (endings[i]) && g_ascii_strcasecmp (path + length - strlen (endings[i]), endings[i]) == 0)
      return TRUE;
  return FALSE;
}

RhyArtwork *
rhy_intake_file (const char             *path,
                 const RhyIntakeOptions *options,
                 GCancellable           *cancellable,
                 GError                **error)
{
  g_return_val_if_fail (path != NULL, NULL);

  g_autoptr (GBytes) bytes = load (path, error);
  if (bytes == NULL)
    return NULL;
  g_autoptr (GError) local = NULL;
  RhyArtwork *artwork = rhy_intake_bytes (bytes, options, cancellable, &local);
  if (local != NULL && strcmp (local->message, RHY_INTAKE_NO_XML) == 0 && is_named_picture (path))
    g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK,
                         "a damaged picture: it does not begin as a PNG or a JPEG file does; save it again from the program that made it");
  else if (local != NULL)
    g_propagate_error (error, g_steal_pointer (&local));
  return artwork;
}

RhyRaster *
rhy_intake_picture (const char             *path,
                    const RhyIntakeOptions *options,
                    GCancellable           *cancellable,
                    GError                **error)
{
  g_autoptr (RhyArtwork) artwork = rhy_intake_file (path, options, cancellable, error);
  if (artwork == NULL)
    return NULL;
  const RhyShape *shape = rhy_artwork_get_n_shapes (artwork) == 1 ? rhy_artwork_get_shape (artwork, 0) : NULL;
  const RhyPaint *paint = shape != NULL ? shape->fill_paint : NULL;
  /* A drawing with one picture on it has its pixels placed somehow; a picture's own are one to one. */
  if (paint == NULL || paint->kind != RHY_PAINT_RASTER || paint->matrix.xy != 0.0 || paint->matrix.yx != 0.0
      || shape->clips != NULL)
    {
      g_set_error_literal (error, RHY_ERROR, RHY_ERROR_ARTWORK, "it is a drawing: a photograph is wanted, PNG or JPEG");
      return NULL;
    }
  return rhy_raster_ref (paint->raster);
}
