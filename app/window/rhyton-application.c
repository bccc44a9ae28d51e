/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-application.h"

#include "rhyton-dialogs.h"
#include "rhyton-recovery.h"
#include "rhyton-window.h"

struct _RhytonApplication
{
  GtkApplication  parent_instance;

  GtkCssProvider *css;
  gboolean        recovery_offered;
};

G_DEFINE_FINAL_TYPE (RhytonApplication, rhyton_application, GTK_TYPE_APPLICATION)

static RhytonWindow *
add_window (RhytonApplication *self)
{
  return RHYTON_WINDOW (rhyton_window_new (GTK_APPLICATION (self)));
}

static void
open_in_window (RhytonApplication *self,
                GFile             *file)
{
  GtkWindow *active = gtk_application_get_active_window (GTK_APPLICATION (self));
  RhytonWindow *window = RHYTON_IS_WINDOW (active) && rhyton_window_is_pristine (RHYTON_WINDOW (active))
                           ? RHYTON_WINDOW (active) : add_window (self);
  gtk_window_present (GTK_WINDOW (window));
  rhyton_window_open_job (window, file);
}

static void
new_action (GSimpleAction *action,
            GVariant      *parameter,
            gpointer       data)
{
  gtk_window_present (GTK_WINDOW (add_window (data)));
}

static void
job_chosen (GFile    *file,
            gpointer  data)
{
  if (file != NULL)
    open_in_window (RHYTON_APPLICATION (g_application_get_default ()), file);
}

static void
open_action (GSimpleAction *action,
             GVariant      *parameter,
             gpointer       data)
{
  GtkWindow *parent = gtk_application_get_active_window (data);
  if (parent != NULL)
    rhyton_dialogs_choose_file (parent, "Open a Job", RHYTON_CHOICE_JOB, NULL, NULL, job_chosen, data);
}

static void
open_recent_action (GSimpleAction *action,
                    GVariant      *parameter,
                    gpointer       data)
{
  g_autoptr (GFile) file = g_file_new_for_uri (g_variant_get_string (parameter, NULL));
  open_in_window (data, file);
}

static void
about_action (GSimpleAction *action,
              GVariant      *parameter,
              gpointer       data)
{
  gtk_show_about_dialog (gtk_application_get_active_window (data),
                         "program-name", "Rhyton",
                         "logo-icon-name", "org.rhyton.rhyton",
                         "version", RHYTON_VERSION,
                         "comments", "Fits artwork to drinkware that is turned on a rotary axis.",
                         "license-type", GTK_LICENSE_LGPL_2_1,
                         NULL);
}

static void
quit_action (GSimpleAction *action,
             GVariant      *parameter,
             gpointer       data)
{
  g_autoptr (GList) windows = g_list_copy (gtk_application_get_windows (data));

  /* Each asks for itself; the last one gone ends the program. */
  for (GList *l = windows; l != NULL; l = l->next)
    gtk_window_close (l->data);
}

static const GActionEntry action_entries[] = {
  { .name = "new", .activate = new_action },
  { .name = "open", .activate = open_action },
  { .name = "open-recent", .parameter_type = "s", .activate = open_recent_action },
  { .name = "about", .activate = about_action },
  { .name = "quit", .activate = quit_action },
};

static const struct { const char *action; const char *keys[3]; } accelerators[] = {
  { "app.new", { "<Control>n" } },
  { "app.open", { "<Control>o" } },
  { "app.quit", { "<Control>q" } },
  { "win.save", { "<Control>s" } },
  { "win.save-as", { "<Control><Shift>s" } },
  { "win.open-artwork", { "<Control>d" } },
  { "win.export-bed", { "<Control>e" } },
  { "win.export-pattern", { "<Control><Shift>e" } },
  { "win.undo", { "<Control>z" } },
  { "win.redo", { "<Control><Shift>z", "<Control>y" } },
  { "win.close", { "<Control>w" } },
  { "win.view('vessel')", { "<Alt>1" } },
  { "win.view('pattern')", { "<Alt>2" } },
  { "win.view('bed')", { "<Alt>3" } },
  { "win.step('vessel')", { "<Control>1" } },
  { "win.step('artwork')", { "<Control>2" } },
  { "win.step('placement')", { "<Control>3" } },
  { "win.step('hold')", { "<Control>4" } },
  { "win.step('check')", { "<Control>5" } },
  { "win.step('make')", { "<Control>6" } },
  { "win.face-artwork", { "<Alt>Home" } },
  { "win.to-front", { "<Control><Alt>f" } },
  { "win.to-middle", { "<Control><Alt>m" } },
  { "win.show-help-overlay", { "<Control>question", "F1" } },
};

static void
rhyton_application_startup (GApplication *application)
{
  RhytonApplication *self = RHYTON_APPLICATION (application);

  G_APPLICATION_CLASS (rhyton_application_parent_class)->startup (application);

  for (gsize i = 0; i < G_N_ELEMENTS (accelerators); i++)
    gtk_application_set_accels_for_action (GTK_APPLICATION (self), accelerators[i].action,
                                           (const char *const *) accelerators[i].keys);
  self->css = gtk_css_provider_new ();
  gtk_css_provider_load_from_resource (self->css, "/org/rhyton/rhyton/style.css");
  gtk_style_context_add_provider_for_display (gdk_display_get_default (), GTK_STYLE_PROVIDER (self->css),
                                              GTK_STYLE_PROVIDER_PRIORITY_APPLICATION);
  gtk_window_set_default_icon_name ("org.rhyton.rhyton");
}

static void
rhyton_application_shutdown (GApplication *application)
{
  RhytonApplication *self = RHYTON_APPLICATION (application);
  GdkDisplay *display = gdk_display_get_default ();

  if (self->css != NULL && display != NULL)
    gtk_style_context_remove_provider_for_display (display, GTK_STYLE_PROVIDER (self->css));
  g_clear_object (&self->css);
  G_APPLICATION_CLASS (rhyton_application_parent_class)->shutdown (application);
}

static void
recovery_answered (int      answer,
                   gpointer data)
{
  RhytonApplication *self = data;
  g_auto (GStrv) names = rhyton_recovery_list ();

  for (char **name = names; *name != NULL; name++)
    {
      if (answer == 1)
        rhyton_recovery_discard (*name);
      if (answer != 2)
        continue;
      GtkWindow *active = gtk_application_get_active_window (GTK_APPLICATION (self));
      RhytonWindow *window = RHYTON_IS_WINDOW (active) && rhyton_window_is_pristine (RHYTON_WINDOW (active))
                               ? RHYTON_WINDOW (active) : add_window (self);
      gtk_window_present (GTK_WINDOW (window));
      rhyton_window_restore (window, *name);
    }
}

/* Once a run: what a run before this one could not save. */
static void
offer_recovery (RhytonApplication *self)
{
  static const char *const buttons[] = { "Later", "Discard", "Bring Back", NULL };

  if (self->recovery_offered)
    return;
  self->recovery_offered = TRUE;
  g_auto (GStrv) names = rhyton_recovery_list ();
  if (names[0] == NULL)
    return;
  rhyton_dialogs_ask (gtk_application_get_active_window (GTK_APPLICATION (self)), "Bring back unsaved work?",
                      "Rhyton ended last time before this work was saved. The files themselves are as they were.",
                      buttons, recovery_answered, self);
}

static void
rhyton_application_activate (GApplication *application)
{
  GtkWindow *window = gtk_application_get_active_window (GTK_APPLICATION (application));

  if (window == NULL)
    window = GTK_WINDOW (add_window (RHYTON_APPLICATION (application)));
  gtk_window_present (window);
  offer_recovery (RHYTON_APPLICATION (application));
}

static void
rhyton_application_open (GApplication  *application,
                         GFile        **files,
                         int            n_files,
                         const char    *hint)
{
  for (int i = 0; i < n_files; i++)
    open_in_window (RHYTON_APPLICATION (application), files[i]);
  offer_recovery (RHYTON_APPLICATION (application));
}

static int
rhyton_application_handle_local_options (GApplication *application,
                                         GVariantDict *options)
{
  if (!g_variant_dict_contains (options, "version"))
    return -1;
  g_print ("rhyton %s\n", RHYTON_VERSION);
  return 0;
}

static void
rhyton_application_class_init (RhytonApplicationClass *klass)
{
  GApplicationClass *application_class = G_APPLICATION_CLASS (klass);

  application_class->startup = rhyton_application_startup;
  application_class->shutdown = rhyton_application_shutdown;
  application_class->activate = rhyton_application_activate;
  application_class->open = rhyton_application_open;
  application_class->handle_local_options = rhyton_application_handle_local_options;
}

static void
rhyton_application_init (RhytonApplication *self)
{
  const GOptionEntry options[] = {
    { "version", 0, 0, G_OPTION_ARG_NONE, NULL, "Show the version and end", NULL },
    G_OPTION_ENTRY_NULL
  };

  g_action_map_add_action_entries (G_ACTION_MAP (self), action_entries, G_N_ELEMENTS (action_entries), self);
  g_application_add_main_option_entries (G_APPLICATION (self), options);
  g_application_set_option_context_parameter_string (G_APPLICATION (self), "[JOB\u2026]");
  g_application_set_option_context_summary (G_APPLICATION (self),
                                            "Fits artwork to drinkware that is turned on a rotary axis.");
}

RhytonApplication *
rhyton_application_new (void)
{
  return g_object_new (RHYTON_TYPE_APPLICATION,
                       "application-id", "org.rhyton.rhyton",
                       "flags", G_APPLICATION_HANDLES_OPEN,
                       NULL);
}
