/* SPDX-License-Identifier: LGPL-2.1-or-later */
/*
 * rhyton-drag DEMO-FOLDER [JOB...]
 *
 * The whole window, 1280 x 960, while a hand drags the artwork: a movement at every
 * frame, as a pointer's come. Prints what a frame costs the main thread, in its own
 * processor time, which other programs on the machine hardly change; and how long after a
 * movement its picture is on the screen, which they do.
 */
#include "config.h"

#include <math.h>
#include <stdlib.h>
#include <time.h>

#ifdef __GLIBC__
#include <malloc.h>
#endif

#include <glib/gstdio.h>

#include "../window/gui.h"
#include "photo.h"
#include "rhyton-application.h"
#include "rhyton-window.h"

enum { WIDTH = 1280, HEIGHT = 960 };

/* Half of what a screen of 60 pictures a second leaves, for what else there is to do. */
static const double GOAL_MAIN_MS = 8.0;
/* Three such pictures: seen to follow, not to lag. */
static const double GOAL_LATENCY_MS = 50.0;
/* The first ones make what the others use. */
enum { WARM_UP = 20, MOVES = 180 };

typedef struct
{
  RhyJob *job;
  double  at;           /* s */
} Move;

typedef struct
{
  RhytonWindow *window;
  GtkWidget    *view;
  GtkGesture   *gesture;
  GArray       *moves;          /* of Move */
  GArray       *main_ms;
  GArray       *latency_ms;
  double        processor;      /* s, of the main thread at the last movement */
  guint         n_shown;        /* moves up to this one are on the screen */
  guint         n_wanted;
} Bench;

static double
seconds_of (clockid_t clock)
{
  struct timespec t;
  clock_gettime (clock, &t);
  return (double) t.tv_sec + 1e-9 * (double) t.tv_nsec;
}

static gboolean
move (GtkWidget     *widget,
      GdkFrameClock *clock,
      gpointer       data)
{
  Bench *bench = data;
  const guint k = bench->moves->len;
  const double now = seconds_of (CLOCK_THREAD_CPUTIME_ID);

  if (k > WARM_UP)
    {
      const double ms = (now - bench->processor) * 1e3;
      g_array_append_val (bench->main_ms, ms);
    }
  bench->processor = now;
  if (k >= bench->n_wanted)
    return G_SOURCE_REMOVE;
  const Move made = { .at = seconds_of (CLOCK_MONOTONIC) };
  g_array_append_val (bench->moves, made);
  g_signal_emit_by_name (bench->gesture, "drag-update", 90.0 * sin (0.05 * k), 30.0 * sin (0.07 * k));
  g_array_index (bench->moves, Move, k).job = rhy_job_ref (rhyton_document_get_job (rhyton_window_get_document (bench->window)));
  return G_SOURCE_CONTINUE;
}

static void
painted (GdkFrameClock *clock,
         gpointer       data)
{
  Bench *bench = data;
  const double now = seconds_of (CLOCK_MONOTONIC);
  RhyPlan *plan = rhyton_view_get_plan (RHYTON_VIEW (bench->view));

  for (guint k = bench->moves->len; plan != NULL && k > bench->n_shown; k--)
    {
      const Move *made = &g_array_index (bench->moves, Move, k - 1);
      if (made->job != rhy_plan_get_job (plan))
        continue;
      const double ms = (now - made->at) * 1e3;
      if (k > WARM_UP)
        g_array_append_val (bench->latency_ms, ms);
      bench->n_shown = k;
    }
}

static gboolean
is_quiet (gpointer window)
{
  return !rhyton_window_is_busy (window);
}

static gboolean
is_over (gpointer data)
{
  const Bench *bench = data;
  return bench->main_ms->len + WARM_UP >= bench->n_wanted;
}

static int
compare_doubles (gconstpointer a,
                 gconstpointer b)
{
  const double x = *(const double *) a, y = *(const double *) b;
  return (x > y) - (x < y);
}

static double
part_of (GArray *sorted,
         double  part)
{
  return sorted->len > 0 ? g_array_index (sorted, double, (guint) (part * (sorted->len - 1))) : INFINITY;
}

static void
row (const char *name,
     const char *what,
     GArray     *values,
     const char *beside,
     double      goal_ms)
{
  g_array_sort (values, compare_doubles);
  const double most = part_of (values, 0.95);
  g_autofree char *title = g_strdup_printf ("dragged: %s, %s", name, what);
  g_autofree char *ours = g_strdup_printf ("%.1f ms, 95%% %.1f", part_of (values, 0.5), most);
  g_autofree char *goal = g_strdup_printf ("95%% <= %.0f ms", goal_ms);
  g_print ("%-44s %16s %20s %9s  %-16s %s\n", title, ours, beside, "", goal, most <= goal_ms ? "met" : "MISSED");
}

static void
report (const Bench *bench,
        const char  *name)
{
  g_array_sort (bench->main_ms, compare_doubles);
  g_autofree char *worst = g_strdup_printf ("worst %.1f ms", part_of (bench->main_ms, 1.0));
  row (name, "main thread", bench->main_ms, worst, GOAL_MAIN_MS);
  g_autofree char *shown = g_strdup_printf ("%u of %u shown", bench->latency_ms->len, bench->n_wanted - WARM_UP);
  row (name, "to the eye", bench->latency_ms, shown, GOAL_LATENCY_MS);
}

static gboolean
settle (RhytonWindow *window)
{
  return gui_until (is_quiet, window, 90.0);
}

static void
drag (Bench *bench)
{
  for (guint i = 0; (bench->gesture = gui_controller (bench->view, GTK_TYPE_GESTURE_DRAG, i)) != NULL; i++)
    if (gtk_gesture_single_get_button (GTK_GESTURE_SINGLE (bench->gesture)) == GDK_BUTTON_PRIMARY)
      break;
  const double x = 0.5 * gtk_widget_get_width (bench->view), y = 0.5 * gtk_widget_get_height (bench->view);
  g_signal_emit_by_name (gui_controller (bench->view, GTK_TYPE_EVENT_CONTROLLER_MOTION, 0), "motion", x, y);
  g_signal_emit_by_name (bench->gesture, "drag-begin", x, y);
  if (!rhyton_document_is_held (rhyton_window_get_document (bench->window)))
    g_error ("there is no artwork in the middle of the view to take hold of");
  GdkFrameClock *clock = gtk_widget_get_frame_clock (bench->view);
  const gulong id = g_signal_connect (clock, "after-paint", G_CALLBACK (painted), bench);
  gtk_widget_add_tick_callback (bench->view, move, bench, NULL);
  if (!gui_until (is_over, bench, 120.0))
    g_error ("no frames");
  g_signal_handler_disconnect (clock, id);
  g_signal_emit_by_name (bench->gesture, "drag-end", 0.0, 0.0);
  settle (bench->window);
}

static void
clear_move (gpointer move)
{
  g_clear_pointer (&((Move *) move)->job, rhy_job_unref);
}

/* A job that is open in the window, dragged in the middle of its large view. */
static void
run (RhytonWindow *window,
     const char   *name)
{
  Bench bench = {
    .window = window,
    .view = GTK_WIDGET (rhyton_stage_get_vessel_view (rhyton_window_get_stage (window))),
    .moves = g_array_new (FALSE, TRUE, sizeof (Move)),
    .main_ms = g_array_new (FALSE, FALSE, sizeof (double)),
    .latency_ms = g_array_new (FALSE, FALSE, sizeof (double)),
    .n_wanted = WARM_UP + MOVES,
  };
  g_array_set_clear_func (bench.moves, clear_move);
  /* Where the hand and the fields say the same. */
  g_action_group_change_action_state (G_ACTION_GROUP (window), "step", g_variant_new_string ("placement"));
  gui_frame (bench.view);
  if (!settle (window))
    g_error ("%s is never ready", name);
  drag (&bench);
  report (&bench, name);
  g_array_unref (bench.moves);
  g_array_unref (bench.main_ms);
  g_array_unref (bench.latency_ms);
}

static void
open_job (RhytonWindow *window,
          const char   *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  if (!rhyton_window_open_job (window, file) || !settle (window))
    g_error ("%s is not shown", path);
}

static void
run_photo (RhytonWindow *window)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *folder = g_dir_make_tmp ("rhyton-bench-XXXXXX", &error);
  g_autofree char *photo = g_build_filename (folder, "photo.png", NULL);
  if (!photo_write (photo, &error) || !rhyton_document_set_artwork_file (rhyton_window_get_document (window), photo, &error)
      || !settle (window))
    g_error ("%s", error != NULL ? error->message : "the photo is not shown");
  run (window, "photo of 12 Mpx");
  g_unlink (photo);
  g_rmdir (folder);
}

int
main (int    argc,
      char **argv)
{
  if (argc < 2)
    {
      g_printerr ("usage: rhyton-drag DEMO-FOLDER [JOB...]\n");
      return 2;
    }
  if (!gui_is_up ())
    {
      g_print ("rhyton-drag: no display, nothing measured\n");
      return 0;
    }
#ifdef __GLIBC__
  /* As the program's main() says. */
  mallopt (M_MMAP_THRESHOLD, 32 << 20);
  mallopt (M_TRIM_THRESHOLD, 256 << 20);
  mallopt (M_TOP_PAD, 16 << 20);
#endif
  g_autoptr (RhytonApplication) application = rhyton_application_new ();
  if (!g_application_register (G_APPLICATION (application), NULL, NULL))
    return 1;
  RhytonWindow *window = RHYTON_WINDOW (rhyton_window_new (GTK_APPLICATION (application)));
  gtk_window_set_default_size (GTK_WINDOW (window), WIDTH, HEIGHT);
  gtk_window_present (GTK_WINDOW (window));
  gui_frame (GTK_WIDGET (window));

  for (int i = 2; i < argc; i++)
    {
      g_autofree char *name = g_path_get_basename (argv[i]);
      open_job (window, argv[i]);
      run (window, name);
    }
  if (argc == 2)
    {
      g_autofree char *demo = g_build_filename (argv[1], "tumbler.rhyton", NULL);
      open_job (window, demo);
      run (window, "crest");
      run_photo (window);
    }
  gtk_window_destroy (GTK_WINDOW (window));
  return 0;
}
