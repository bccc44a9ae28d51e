/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-window.h"

#include <math.h>
#include <string.h>

#include "rhyton-artwork-panel.h"
#include "rhyton-artworks.h"
#include "rhyton-check-panel.h"
#include "rhyton-dialogs.h"
#include "rhyton-hold-panel.h"
#include "rhyton-kept.h"
#include "rhyton-look.h"
#include "rhyton-make-panel.h"
#include "rhyton-making.h"
#include "rhyton-panel.h"
#include "rhyton-placement-panel.h"
#include "rhyton-places.h"
#include "rhyton-recovery.h"
#include "rhyton-verdict-strip.h"
#include "rhyton-vessel-panel.h"

#define NOTICE_SECONDS 6
#define RECOVERY_SECONDS 5

struct _RhytonWindow
{
  GtkApplicationWindow parent_instance;

  /* Template children */
  GtkWidget           *title;
  GtkWidget           *subtitle;
  GtkWidget           *undo_button;
  GtkWidget           *redo_button;
  GtkListBox          *steps;
  GtkWidget           *vessel_summary;
  GtkWidget           *artwork_summary;
  GtkWidget           *placement_summary;
  GtkWidget           *hold_summary;
  GtkWidget           *check_summary;
  GtkWidget           *panels;
  GtkWidget           *panel_scroll;
  RhytonStage         *stage;
  RhytonVerdictStrip  *strip;
  GtkWidget           *notice_reveal;
  GtkWidget           *notice;
  GtkWidget           *show_folder;
  GtkWidget           *vessel_panel;
  RhytonMakePanel     *make_panel;
  RhytonArtworkPanel  *artwork_panel;
  GMenu               *recent_menu;

  /* Owned */
  RhytonDocument      *document;
  RhytonRecovery      *recovery;
  char                *made_path;       /* nullable: what the notice is about */
  guint                notice_over;     /* source id */
  gboolean             may_close;
  gboolean             closes_after_save;
};

enum { PROP_DOCUMENT = 1, N_PROPS };

static GParamSpec *properties[N_PROPS];

G_DEFINE_FINAL_TYPE (RhytonWindow, rhyton_window, GTK_TYPE_APPLICATION_WINDOW)

static GAction *
action_of (RhytonWindow *self,
           const char   *name)
{
  return g_action_map_lookup_action (G_ACTION_MAP (self), name);
}

static void
enable (RhytonWindow *self,
        const char   *name,
        gboolean      enabled)
{
  g_simple_action_set_enabled (G_SIMPLE_ACTION (action_of (self, name)), enabled);
}

static gboolean
notice_over (gpointer data)
{
  RhytonWindow *self = data;
  self->notice_over = 0;
  gtk_revealer_set_reveal_child (GTK_REVEALER (self->notice_reveal), FALSE);
  return G_SOURCE_REMOVE;
}

/* @path: (nullable): what was made, to be shown in its folder */
static void
give_notice (RhytonWindow *self,
             const char   *text,
             const char   *path)
{
  g_free (self->made_path);
  self->made_path = g_strdup (path);
  gtk_widget_set_visible (self->show_folder, path != NULL);
  gtk_label_set_label (GTK_LABEL (self->notice), text);
  gtk_revealer_set_reveal_child (GTK_REVEALER (self->notice_reveal), TRUE);
  g_clear_handle_id (&self->notice_over, g_source_remove);
  self->notice_over = g_timeout_add_seconds (NOTICE_SECONDS, notice_over, self);
}

/* ---- what the document says ---- */

static char *
summary_of_vessel (RhytonWindow *self)
{
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (self->document));
  const gsize n = data->vessel.n_stations;

  if (n == 0)
    return g_strdup ("");
  RhytonPart *part = RHYTON_PART (self->vessel_panel);
  g_autofree char *height = rhyton_panel_format_length (part, data->vessel.heights_mm[n - 1]
                                                              - data->vessel.heights_mm[0]);
  return g_strdup_printf ("%s high, %" G_GSIZE_FORMAT " readings", height, n);
}

static char *
summary_of_artwork (RhytonWindow *self)
{
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (self->document));
  const RhyJobArtwork *artwork = rhyton_document_get_artwork (self->document);

  if (data->n_artworks > 1)
    return g_strdup_printf ("%" G_GSIZE_FORMAT " artworks", data->n_artworks);
  return artwork->file != NULL || artwork->text != NULL ? rhyton_artworks_title (artwork) : g_strdup ("none yet");
}

static char *
summary_of_placement (RhytonWindow *self)
{
  const RhyPlan *plan = rhyton_document_get_part (self->document);

  if (plan == NULL)
    return g_strdup (rhyton_document_get_plan (self->document) != NULL ? "waits for the artwork" : "");
  const RhyPlanNumbers *numbers = rhy_plan_get_numbers (plan);
  RhytonPart *part = RHYTON_PART (self->vessel_panel);
  g_autofree char *at = rhyton_panel_format_length (part,
                                                    rhy_wall_at (rhy_plan_get_wall (plan), numbers->anchor.s).z_mm);
  return g_strdup_printf ("%s up, %.1f\u00b0 around", at, numbers->anchor.angle * 180.0 / G_PI);
}

static char *
summary_of_hold (RhytonWindow *self)
{
  const RhyJobData *data = rhy_job_get_data (rhyton_document_get_job (self->document));
  RhyPlan *plan = rhyton_document_get_plan (self->document);
  const char *way = data->hold.drive == RHY_DRIVE_ROLLERS ? "rollers" : data->hold.drive == RHY_DRIVE_PINS ? "pins" : "chuck";

  if (plan == NULL)
    return g_strdup (way);
  return g_strdup_printf ("%s, tilted %.1f\u00b0", way, rhy_plan_get_numbers (plan)->tilt_rad * 180.0 / G_PI);
}

static char *
summary_of_check (RhytonWindow *self)
{
  const RhyVerdict *verdict = rhyton_document_get_verdict (self->document);

  if (rhyton_document_get_trouble (self->document) != NULL)
    return g_strdup ("not ready");
  if (verdict == NULL)
    return g_strdup ("");
  const gsize n = rhy_verdict_get_n_findings (verdict);
  return g_strdup_printf ("%s, %" G_GSIZE_FORMAT " %s", rhy_verdict_is_ready (verdict) ? "ready" : "not ready",
                          n, n == 1 ? "finding" : "findings");
}

static void
set_summary (GtkWidget *label,
             char      *text)
{
  gtk_label_set_label (GTK_LABEL (label), text);
  g_free (text);
}

static void
refresh_summaries (RhytonWindow *self)
{
  set_summary (self->check_summary, summary_of_check (self));
  /* What a hand moves is told where it moves it; a label of another length makes GTK lay out the
   * whole window again. */
  if (rhyton_document_is_held (self->document))
    return;
  set_summary (self->vessel_summary, summary_of_vessel (self));
  set_summary (self->artwork_summary, summary_of_artwork (self));
  set_summary (self->placement_summary, summary_of_placement (self));
  set_summary (self->hold_summary, summary_of_hold (self));
}

static void
set_step_tip (GtkWidget  *button,
              const char *verb,
              const char *name,
              const char *keys)
{
  g_autofree char *tip = name != NULL ? g_strdup_printf ("%s: %s (%s)", verb, name, keys)
                                      : g_strdup_printf ("%s (%s)", verb, keys);
  rhyton_look_tip (button, tip);
}

/* Installed, or where a build that is not installed is told to look. */
static char *
find_demo (void)
{
  const char *folder = g_getenv ("RHYTON_DATADIR");
  return g_build_filename (folder != NULL ? folder : RHYTON_DATADIR, "demo", "tumbler.rhyton", NULL);
}

/* The one place that says what can be done now. */
static void
refresh_actions (RhytonWindow *self)
{
  const char *undo = rhyton_document_get_undo_name (self->document);
  const char *redo = rhyton_document_get_redo_name (self->document);
  const gboolean has_artwork = rhyton_artworks_any (self->document);
  const gboolean has_plan = rhyton_document_get_plan (self->document) != NULL;
  const gboolean has_part = rhyton_document_get_part (self->document) != NULL;

  enable (self, "undo", undo != NULL);
  enable (self, "redo", redo != NULL);
  enable (self, "stop", rhyton_document_is_busy (self->document) || rhyton_document_is_running (self->document));
  enable (self, "export-bed", has_part && has_artwork);
  enable (self, "export-pattern", has_plan);
  enable (self, "find-artwork", rhyton_document_get_missing (self->document) != NULL);
  enable (self, "to-front", has_part);
  enable (self, "to-middle", has_part);
  enable (self, "face-artwork", has_part);
  set_step_tip (self->undo_button, "Undo", undo, "Ctrl+Z");
  set_step_tip (self->redo_button, "Redo", redo, "Shift+Ctrl+Z");
}

static void
refresh_title (RhytonWindow *self)
{
  const char *title = rhyton_document_get_title (self->document);
  const char *path = rhyton_document_get_path (self->document);
  g_autofree char *file = path != NULL ? g_path_get_basename (path) : g_strdup ("not saved yet");
  const gboolean modified = rhyton_document_is_modified (self->document);
  g_autofree char *subtitle = g_strdup_printf ("%s%s", file, modified && path != NULL ? ", changed" : "");
  g_autofree char *whole = g_strdup_printf ("%s%s \u2013 Rhyton", modified ? "\u2022 " : "", title);

  gtk_label_set_label (GTK_LABEL (self->title), title);
  gtk_label_set_label (GTK_LABEL (self->subtitle), subtitle);
  if (g_strcmp0 (gtk_window_get_title (GTK_WINDOW (self)), whole) != 0)
    gtk_window_set_title (GTK_WINDOW (self), whole);
}

static void
on_document_changed (RhytonWindow *self)
{
  refresh_title (self);
  refresh_summaries (self);
  refresh_actions (self);
}

/* ---- files ---- */

gboolean
rhyton_window_open_job (RhytonWindow *self,
                        GFile        *file)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self) && G_IS_FILE (file), FALSE);

  g_autofree char *path = g_file_get_path (file);
  g_autoptr (GError) error = NULL;

  if (path == NULL)
    {
      rhyton_dialogs_tell (GTK_WINDOW (self), "This job cannot be opened",
                           "It is not on a disk of this machine. Copy it here first.");
      return FALSE;
    }
  if (!rhyton_document_open (self->document, path, &error))
    {
      rhyton_dialogs_tell (GTK_WINDOW (self), "This job cannot be opened", error->message);
      return FALSE;
    }
  rhyton_kept_remember (GTK_WIDGET (self), path);
  return TRUE;
}

gboolean
rhyton_window_open_demo (RhytonWindow *self)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self), FALSE);

  g_autofree char *path = find_demo ();
  g_autofree char *text = NULL;
  g_autoptr (GError) error = NULL;

  if (!g_file_get_contents (path, &text, NULL, &error)
      || !rhyton_document_restore (self->document, text, path, NULL, &error))
    {
      rhyton_dialogs_tell (GTK_WINDOW (self), "The demo cannot be opened", error->message);
      return FALSE;
    }
  g_action_change_state (action_of (self, "step"), g_variant_new_string ("placement"));
  return TRUE;
}

gboolean
rhyton_window_restore (RhytonWindow *self,
                       const char   *recovery)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self) && recovery != NULL, FALSE);

  g_autoptr (GError) error = NULL;
  if (rhyton_recovery_restore (recovery, self->document, &error))
    return TRUE;
  rhyton_dialogs_tell (GTK_WINDOW (self), "Unsaved work cannot be brought back", error->message);
  return FALSE;
}

static void
open_demo_action (GSimpleAction *action,
                  GVariant      *parameter,
                  gpointer       data)
{
  rhyton_window_open_demo (data);
}

gboolean
rhyton_window_take_artwork (RhytonWindow *self,
                            GFile        *file)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self) && G_IS_FILE (file), FALSE);

  g_autofree char *path = g_file_get_path (file);

  if (path == NULL)
    {
      rhyton_dialogs_tell (GTK_WINDOW (self), "This drawing cannot be used", "It is not on a disk of this machine.");
      return FALSE;
    }
  rhyton_artwork_panel_take (self->artwork_panel, path);
  return TRUE;
}

gboolean
rhyton_window_save_to (RhytonWindow *self,
                       GFile        *file)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self) && G_IS_FILE (file), FALSE);

  g_autofree char *path = g_file_get_path (file);
  g_autoptr (GError) error = NULL;

  if (path == NULL || !rhyton_document_save_as (self->document, path, &error))
    {
      rhyton_dialogs_tell (GTK_WINDOW (self), "The job is not saved",
                           error != NULL ? error->message : "This place is not on a disk of this machine.");
      return FALSE;
    }
  rhyton_kept_remember (GTK_WIDGET (self), path);
  give_notice (self, "Job saved.", NULL);
  return TRUE;
}

static void
close_after_save (RhytonWindow *self)
{
  if (!self->closes_after_save)
    return;
  self->may_close = TRUE;
  gtk_window_close (GTK_WINDOW (self));
}

static GFile *
with_suffix (GFile      *file,
             const char *suffix)
{
  g_autofree char *path = g_file_get_path (file);
  g_autofree char *name = g_file_get_basename (file);

  if (path == NULL || strchr (name, '.') != NULL)
    return g_object_ref (file);
  g_autofree char *whole = g_strconcat (path, suffix, NULL);
  return g_file_new_for_path (whole);
}

static void
job_place_chosen (GFile    *file,
                  gpointer  data)
{
  RhytonWindow *self = data;

  if (file != NULL)
    {
      g_autoptr (GFile) whole = with_suffix (file, ".rhyton");
      if (rhyton_window_save_to (self, whole))
        close_after_save (self);
    }
  self->closes_after_save = FALSE;
}

static void
ask_where_to_save (RhytonWindow *self)
{
  g_autofree char *name = rhyton_making_name (self->document, ".rhyton");
  g_autofree char *folder = rhyton_making_folder (self->document);
  rhyton_dialogs_choose_file (GTK_WINDOW (self), "Save the Job", RHYTON_CHOICE_JOB, name, folder,
                              job_place_chosen, self);
}

static void
save_now (RhytonWindow *self)
{
  g_autoptr (GFile) file = g_file_new_for_path (rhyton_document_get_path (self->document));
  if (rhyton_window_save_to (self, file))
    close_after_save (self);
  self->closes_after_save = FALSE;
}

static void
overwrite_answered (int      answer,
                    gpointer data)
{
  RhytonWindow *self = data;

  if (answer == 1)
    ask_where_to_save (self);
  else if (answer == 2)
    save_now (self);
  else
    self->closes_after_save = FALSE;
}

static void
save (RhytonWindow *self)
{
  static const char *const buttons[] = { "Cancel", "Save Elsewhere\u2026", "Save Over It", NULL };

  if (rhyton_document_get_path (self->document) == NULL)
    ask_where_to_save (self);
  else if (rhyton_document_is_changed_on_disk (self->document))
    rhyton_dialogs_ask (GTK_WINDOW (self), "The file has changed meanwhile",
                        "Something else has written this job's file since it was opened here.",
                        buttons, overwrite_answered, self);
  else
    save_now (self);
}

static void
save_action (GSimpleAction *action,
             GVariant      *parameter,
             gpointer       data)
{
  save (data);
}

static void
save_as_action (GSimpleAction *action,
                GVariant      *parameter,
                gpointer       data)
{
  ask_where_to_save (data);
}

static void
artwork_chosen (GFile    *file,
                gpointer  data)
{
  if (file != NULL)
    rhyton_window_take_artwork (data, file);
}

static void
open_artwork_action (GSimpleAction *action,
                     GVariant      *parameter,
                     gpointer       data)
{
  g_autofree char *folder = rhyton_making_folder (RHYTON_WINDOW (data)->document);
  rhyton_dialogs_choose_file (data, "Choose a Drawing", RHYTON_CHOICE_ARTWORK, NULL, folder,
                              artwork_chosen, data);
}

/* The file that the job looks for in vain is most likely in the job's folder or near it. */
static void
find_artwork_action (GSimpleAction *action,
                     GVariant      *parameter,
                     gpointer       data)
{
  RhytonWindow *self = data;
  const char *missing = rhyton_document_get_missing (self->document);

  if (missing == NULL)
    return;
  rhyton_artworks_select_file (self->document, missing);
  g_autofree char *name = g_path_get_basename (missing);
  g_autofree char *title = g_strdup_printf ("Find %s", name);
  g_autofree char *folder = rhyton_making_folder (self->document);
  rhyton_dialogs_choose_file (data, title, RHYTON_CHOICE_ARTWORK, NULL, folder, artwork_chosen, data);
}

static void
paste_artwork_action (GSimpleAction *action,
                      GVariant      *parameter,
                      gpointer       data)
{
  rhyton_artwork_panel_paste (RHYTON_WINDOW (data)->artwork_panel);
}

/* ---- making ---- */

static void
export_bed_action (GSimpleAction *action,
                   GVariant      *parameter,
                   gpointer       data)
{
  rhyton_make_panel_save_bed (RHYTON_WINDOW (data)->make_panel);
}

static void
export_pattern_action (GSimpleAction *action,
                       GVariant      *parameter,
                       gpointer       data)
{
  rhyton_make_panel_save_pattern (RHYTON_WINDOW (data)->make_panel);
}

static void
notice_action (GSimpleAction *action,
               GVariant      *parameter,
               gpointer       data)
{
  const char *text, *path;
  g_variant_get (parameter, "(&s&s)", &text, &path);
  give_notice (data, text, *path != '\0' ? path : NULL);
}

static void
show_folder_action (GSimpleAction *action,
                    GVariant      *parameter,
                    gpointer       data)
{
  RhytonWindow *self = data;
  if (self->made_path == NULL)
    return;
  g_autofree char *folder = g_path_get_dirname (self->made_path);
  g_autofree char *uri = g_filename_to_uri (folder, NULL, NULL);
  gtk_show_uri (GTK_WINDOW (self), uri, GDK_CURRENT_TIME);
}

/* ---- editing ---- */

static void
undo_action (GSimpleAction *action,
             GVariant      *parameter,
             gpointer       data)
{
  rhyton_document_undo (RHYTON_WINDOW (data)->document);
}

static void
redo_action (GSimpleAction *action,
             GVariant      *parameter,
             gpointer       data)
{
  rhyton_document_redo (RHYTON_WINDOW (data)->document);
}

static void
stop_action (GSimpleAction *action,
             GVariant      *parameter,
             gpointer       data)
{
  rhyton_document_stop (RHYTON_WINDOW (data)->document);
}

static void
to_front_action (GSimpleAction *action,
                 GVariant      *parameter,
                 gpointer       data)
{
  RhytonWindow *self = data;
  const RhytonEdit edit = { "Artwork", "Around", "0" };
  rhyton_document_change (self->document, "Move to the front", NULL, &edit, 1, NULL);
  rhyton_vessel_view_face (rhyton_stage_get_vessel_view (self->stage), 0.0);
}

static void
to_middle_action (GSimpleAction *action,
                  GVariant      *parameter,
                  gpointer       data)
{
  RhytonWindow *self = data;
  rhyton_places_take (self->document, RHY_SNAP_MIDDLE);
}

/* ---- looking ---- */

static void
view_state (GSimpleAction *action,
            GVariant      *value,
            gpointer       data)
{
  const char *const names[] = { "vessel", "pattern", "bed", NULL };
  const char *name = g_variant_get_string (value, NULL);

  if (!g_strv_contains (names, name))
    return;
  rhyton_stage_set_large (RHYTON_WINDOW (data)->stage, name);
  g_simple_action_set_state (action, value);
}

/* Who goes on by keys alone wants the first field of the step; who walks through the list
 * of steps stays in it. */
static void
focus_panel (RhytonWindow *self)
{
  GtkWidget *focus = gtk_window_get_focus (GTK_WINDOW (self));

  if (!gtk_widget_get_mapped (self->panel_scroll)
      || (focus != NULL && gtk_widget_is_ancestor (focus, GTK_WIDGET (self->steps))))
    return;
  gtk_window_set_focus (GTK_WINDOW (self), NULL);
  if (!gtk_widget_grab_focus (gtk_stack_get_visible_child (GTK_STACK (self->panels))))
    gtk_widget_child_focus (self->panel_scroll, GTK_DIR_TAB_FORWARD);
}

static void
step_state (GSimpleAction *action,
            GVariant      *value,
            gpointer       data)
{
  RhytonWindow *self = data;
  const char *name = g_variant_get_string (value, NULL);
  const char *const names[] = { "vessel", "artwork", "placement", "hold", "check", "make" };

  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    {
      if (strcmp (names[i], name) != 0)
        continue;
      GtkListBoxRow *row = gtk_list_box_get_row_at_index (self->steps, (int) i);
      gtk_stack_set_visible_child_name (GTK_STACK (self->panels), name);
      gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->panel_scroll)), 0.0);
      if (!gtk_list_box_row_is_selected (row))
        gtk_list_box_select_row (self->steps, row);
      g_simple_action_set_state (action, value);
    }
}

/* A shortcut or a button, other than what follows from the job. */
static void
step_action (GSimpleAction *action,
             GVariant      *target,
             gpointer       data)
{
  g_action_change_state (G_ACTION (action), target);
  focus_panel (data);
}

/* GTK's list goes through its rows by Tab and selects each, so that only the last step's panel could
 * be reached; arrows are for that. */
static gboolean
on_steps_key (GtkEventControllerKey *controller,
              guint                  keyval,
              guint                  keycode,
              GdkModifierType        state,
              RhytonWindow          *self)
{
  if (keyval == GDK_KEY_Tab && (state & GDK_SHIFT_MASK) == 0)
    return gtk_widget_child_focus (self->panel_scroll, GTK_DIR_TAB_FORWARD);
  if (keyval == GDK_KEY_ISO_Left_Tab || keyval == GDK_KEY_Tab)
    return gtk_widget_child_focus (gtk_window_get_titlebar (GTK_WINDOW (self)), GTK_DIR_TAB_BACKWARD);
  return GDK_EVENT_PROPAGATE;
}

/* The start page is for a job that nobody has begun. */
static void
leave_start (RhytonWindow *self)
{
  if (g_strcmp0 (gtk_stack_get_visible_child_name (GTK_STACK (self->panels)), "start") != 0)
    return;
  const gboolean has_artwork = rhyton_artworks_any (self->document);
  g_action_change_state (action_of (self, "step"), g_variant_new_string (has_artwork ? "placement" : "vessel"));
}

static void
on_step_selected (GtkListBox    *steps,
                  GtkListBoxRow *row,
                  RhytonWindow  *self)
{
  if (row != NULL)
    g_action_change_state (action_of (self, "step"), g_variant_new_string (gtk_widget_get_name (GTK_WIDGET (row))));
}

static void
stretch_state (GSimpleAction *action,
               GVariant      *value,
               gpointer       data)
{
  rhyton_vessel_view_set_stretch (rhyton_stage_get_vessel_view (RHYTON_WINDOW (data)->stage),
                                  g_variant_get_boolean (value));
  g_simple_action_set_state (action, value);
}

static void
inches_state (GSimpleAction *action,
              GVariant      *value,
              gpointer       data)
{
  rhyton_document_set_inches (RHYTON_WINDOW (data)->document, g_variant_get_boolean (value));
  g_simple_action_set_state (action, value);
}

static void
face_artwork_action (GSimpleAction *action,
                     GVariant      *parameter,
                     gpointer       data)
{
  RhytonWindow *self = data;
  const RhyPlan *plan = rhyton_document_get_part (self->document);

  if (plan != NULL)
    rhyton_vessel_view_face (rhyton_stage_get_vessel_view (self->stage),
                             rhy_plan_get_numbers (plan)->anchor.angle);
}

static void
on_show_place (RhytonCheckPanel *panel,
               double            height_mm,
               double            angle_rad,
               RhytonWindow     *self)
{
  RhyPlan *plan = rhyton_document_get_plan (self->document);
  RhyRing ring;

  if (plan != NULL && rhy_wall_at_height (rhy_plan_get_wall (plan), height_mm, &ring))
    rhyton_stage_point_at (self->stage, (RhyWallPoint) { ring.s_mm, angle_rad });
}

static gboolean
on_drop (GtkDropTarget *target,
         const GValue  *value,
         double         x,
         double         y,
         RhytonWindow  *self)
{
  GSList *files = g_value_get_boxed (value);

  if (files == NULL)
    return FALSE;
  GFile *file = files->data;
  g_autofree char *name = g_file_get_basename (file);
  g_autofree char *lower = g_ascii_strdown (name, -1);
  if (g_str_has_suffix (lower, ".rhyton"))
    {
      GApplication *application = G_APPLICATION (gtk_window_get_application (GTK_WINDOW (self)));
      if (rhyton_window_is_pristine (self) || application == NULL)
        return rhyton_window_open_job (self, file);
      g_application_open (application, &file, 1, "");
      return TRUE;
    }
  static const char *const artwork[] = { ".svg", ".svgz", ".png", ".jpg", ".jpeg" };
  for (gsize i = 0; i < G_N_ELEMENTS (artwork); i++)
    if (g_str_has_suffix (lower, artwork[i]))
      return rhyton_window_take_artwork (self, file);
  give_notice (self, "Only SVG drawings, PNG and JPEG pictures, and jobs can be dropped here.", NULL);
  return FALSE;
}

/* ---- closing ---- */

static void
close_answered (int      answer,
                gpointer data)
{
  RhytonWindow *self = data;

  if (answer == 1)
    {
      self->may_close = TRUE;
      gtk_window_close (GTK_WINDOW (self));
    }
  else if (answer == 2)
    {
      self->closes_after_save = TRUE;
      save (self);
    }
}

static gboolean
rhyton_window_close_request (GtkWindow *window)
{
  static const char *const buttons[] = { "Cancel", "Discard", "Save", NULL };
  RhytonWindow *self = RHYTON_WINDOW (window);

  if (self->may_close || !rhyton_document_is_modified (self->document))
    {
      rhyton_kept_save (window, self->document);
      return GTK_WINDOW_CLASS (rhyton_window_parent_class)->close_request (window);
    }
  g_autofree char *body = g_strdup_printf ("\u201c%s\u201d has changes that are not saved.",
                                           rhyton_document_get_title (self->document));
  rhyton_dialogs_ask (window, "Save the changes?", body, buttons, close_answered, self);
  return GDK_EVENT_STOP;
}

static void
close_action (GSimpleAction *action,
              GVariant      *parameter,
              gpointer       data)
{
  gtk_window_close (data);
}

static const GActionEntry action_entries[] = {
  { .name = "save", .activate = save_action },
  { .name = "save-as", .activate = save_as_action },
  { .name = "open-demo", .activate = open_demo_action },
  { .name = "open-artwork", .activate = open_artwork_action },
  { .name = "find-artwork", .activate = find_artwork_action },
  { .name = "paste-artwork", .activate = paste_artwork_action },
  { .name = "export-bed", .activate = export_bed_action },
  { .name = "export-pattern", .activate = export_pattern_action },
  { .name = "notice", .parameter_type = "(ss)", .activate = notice_action },
  { .name = "show-folder", .activate = show_folder_action },
  { .name = "undo", .activate = undo_action },
  { .name = "redo", .activate = redo_action },
  { .name = "stop", .activate = stop_action },
  { .name = "to-front", .activate = to_front_action },
  { .name = "to-middle", .activate = to_middle_action },
  { .name = "face-artwork", .activate = face_artwork_action },
  { .name = "view", .parameter_type = "s", .state = "'vessel'", .change_state = view_state },
  { .name = "step", .parameter_type = "s", .state = "'start'", .activate = step_action, .change_state = step_state },
  { .name = "stretch", .state = "false", .change_state = stretch_state },
  { .name = "inches", .state = "false", .change_state = inches_state },
  { .name = "close", .activate = close_action },
};

/* ---- the class ---- */

RhytonDocument *
rhyton_window_get_document (RhytonWindow *self)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self), NULL);
  return self->document;
}

RhytonStage *
rhyton_window_get_stage (RhytonWindow *self)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self), NULL);
  return self->stage;
}

const char *
rhyton_window_get_verdict (RhytonWindow *self)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self), NULL);
  return rhyton_verdict_strip_get_text (self->strip);
}

gboolean
rhyton_window_is_pristine (RhytonWindow *self)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self), FALSE);
  return rhyton_document_get_path (self->document) == NULL && !rhyton_document_is_modified (self->document);
}

gboolean
rhyton_window_is_busy (RhytonWindow *self)
{
  g_return_val_if_fail (RHYTON_IS_WINDOW (self), FALSE);
  return rhyton_document_is_running (self->document) || rhyton_document_is_busy (self->document) || rhyton_stage_is_busy (self->stage)
         || rhyton_artwork_panel_is_busy (self->artwork_panel);
}

GtkWidget *
rhyton_window_new (GtkApplication *application)
{
  return g_object_new (RHYTON_TYPE_WINDOW, "application", application, NULL);
}

static void
rhyton_window_get_property (GObject    *object,
                            guint       id,
                            GValue     *value,
                            GParamSpec *pspec)
{
  if (id == PROP_DOCUMENT)
    g_value_set_object (value, RHYTON_WINDOW (object)->document);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
rhyton_window_dispose (GObject *object)
{
  RhytonWindow *self = RHYTON_WINDOW (object);

  g_clear_handle_id (&self->notice_over, g_source_remove);
  if (self->document != NULL)
    g_signal_handlers_disconnect_by_data (self->document, self);
  gtk_widget_dispose_template (GTK_WIDGET (self), RHYTON_TYPE_WINDOW);
  g_clear_pointer (&self->made_path, g_free);
  g_clear_pointer (&self->recovery, rhyton_recovery_free);
  g_clear_object (&self->document);
  G_OBJECT_CLASS (rhyton_window_parent_class)->dispose (object);
}

static void
rhyton_window_class_init (RhytonWindowClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->get_property = rhyton_window_get_property;
  object_class->dispose = rhyton_window_dispose;
  GTK_WINDOW_CLASS (klass)->close_request = rhyton_window_close_request;

  properties[PROP_DOCUMENT] = g_param_spec_object ("document", NULL, NULL, RHYTON_TYPE_DOCUMENT,
                                                   G_PARAM_READABLE | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);

  g_type_ensure (RHYTON_TYPE_ARTWORK_PANEL);
  g_type_ensure (RHYTON_TYPE_CHECK_PANEL);
  g_type_ensure (RHYTON_TYPE_HOLD_PANEL);
  g_type_ensure (RHYTON_TYPE_MAKE_PANEL);
  g_type_ensure (RHYTON_TYPE_MEASURE_ENTRY);
  g_type_ensure (RHYTON_TYPE_PLACEMENT_PANEL);
  g_type_ensure (RHYTON_TYPE_STAGE);
  g_type_ensure (RHYTON_TYPE_VERDICT_STRIP);
  g_type_ensure (RHYTON_TYPE_VESSEL_PANEL);
  gtk_widget_class_set_template_from_resource (widget_class, "/org/rhyton/rhyton/rhyton-window.ui");
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, title);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, subtitle);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, undo_button);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, redo_button);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, steps);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, vessel_summary);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, artwork_summary);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, placement_summary);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, hold_summary);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, check_summary);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, panels);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, panel_scroll);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, stage);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, strip);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, notice_reveal);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, notice);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, show_folder);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, vessel_panel);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, make_panel);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, artwork_panel);
  gtk_widget_class_bind_template_child (widget_class, RhytonWindow, recent_menu);
  gtk_widget_class_bind_template_callback (widget_class, on_step_selected);
  gtk_widget_class_bind_template_callback (widget_class, on_steps_key);
  gtk_widget_class_bind_template_callback (widget_class, on_show_place);
}

static void
rhyton_window_init (RhytonWindow *self)
{
  self->document = rhyton_document_new ();
  self->recovery = rhyton_recovery_new (self->document, RECOVERY_SECONDS);
  g_action_map_add_action_entries (G_ACTION_MAP (self), action_entries, G_N_ELEMENTS (action_entries), self);
  gtk_widget_init_template (GTK_WIDGET (self));

  const char *const watched[] = { "notify::job", "notify::plan", "notify::verdict", "notify::trouble", "notify::busy",
                                  "notify::modified", "notify::title", "notify::inches", "notify::selected",
                                  "notify::held" };
  for (gsize i = 0; i < G_N_ELEMENTS (watched); i++)
    g_signal_connect_swapped (self->document, watched[i], G_CALLBACK (on_document_changed), self);
  on_document_changed (self);
  g_signal_connect_swapped (self->document, "notify::job", G_CALLBACK (leave_start), self);
  g_autofree char *demo = find_demo ();
  enable (self, "open-demo", g_file_test (demo, G_FILE_TEST_EXISTS));

  g_signal_connect_object (gtk_recent_manager_get_default (), "changed", G_CALLBACK (rhyton_kept_list_recent),
                           self->recent_menu, G_CONNECT_SWAPPED);
  rhyton_kept_list_recent (self->recent_menu);
  rhyton_kept_restore (GTK_WINDOW (self));

  GtkDropTarget *target = gtk_drop_target_new (GDK_TYPE_FILE_LIST, GDK_ACTION_COPY);
  g_signal_connect (target, "drop", G_CALLBACK (on_drop), self);
  gtk_widget_add_controller (GTK_WIDGET (self), GTK_EVENT_CONTROLLER (target));
}
