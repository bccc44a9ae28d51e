/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-dialogs.h"

/* What a file dialog needs when it is answered. */
typedef struct
{
  RhytonFileChosen chosen;
  gpointer         data;
} Choosing;

static void
on_file_response (GtkNativeDialog *dialog,
                  int              response,
                  gpointer         data)
{
  const Choosing *choosing = data;
  g_autoptr (GFile) file = NULL;

  if (response == GTK_RESPONSE_ACCEPT)
    file = gtk_file_chooser_get_file (GTK_FILE_CHOOSER (dialog));
  choosing->chosen (file, choosing->data);
  /* GTK keeps no reference of its own to a native dialog. */
  GtkWindow *parent = gtk_native_dialog_get_transient_for (dialog);
  if (parent != NULL)
    g_object_set_data (G_OBJECT (parent), "rhyton-file-dialog", NULL);
}

static void
add_filter (GtkFileChooser *chooser,
            const char     *name,
            const char     *suffixes)
{
  g_autoptr (GtkFileFilter) filter = gtk_file_filter_new ();
  g_auto (GStrv) parts = g_strsplit (suffixes, " ", -1);

  gtk_file_filter_set_name (filter, name);
  for (char **suffix = parts; *suffix != NULL; suffix++)
    gtk_file_filter_add_suffix (filter, *suffix);
  gtk_file_chooser_add_filter (chooser, filter);
}

static void
add_filters (GtkFileChooser *chooser,
             RhytonChoice    choice)
{
  switch (choice)
    {
    case RHYTON_CHOICE_JOB:
      add_filter (chooser, "Jobs", "rhyton");
      break;
    case RHYTON_CHOICE_ARTWORK:
      add_filter (chooser, "Drawings and pictures", "svg svgz png jpg jpeg");
      break;
    case RHYTON_CHOICE_DRAWING:
      add_filter (chooser, "SVG, PDF, PNG", "svg pdf png");
      break;
    case RHYTON_CHOICE_TABLE:
      add_filter (chooser, "Tables", "csv");
      break;
    case RHYTON_CHOICE_MACHINE:
      add_filter (chooser, "Machine files", "machine");
      break;
    case RHYTON_CHOICE_FOLDER:
    default:
      break;
    }
}

void
rhyton_dialogs_choose_file (GtkWindow        *parent,
                            const char       *title,
                            RhytonChoice      choice,
                            const char       *name,
                            const char       *folder,
                            RhytonFileChosen  chosen,
                            gpointer          data)
{
  g_return_if_fail (GTK_IS_WINDOW (parent) && chosen != NULL);

  const gboolean write = name != NULL;
  const GtkFileChooserAction action = choice == RHYTON_CHOICE_FOLDER ? GTK_FILE_CHOOSER_ACTION_SELECT_FOLDER
                                      : write ? GTK_FILE_CHOOSER_ACTION_SAVE : GTK_FILE_CHOOSER_ACTION_OPEN;
  GtkFileChooserNative *dialog = gtk_file_chooser_native_new (title, parent, action,
                                                              write ? "_Save" : choice == RHYTON_CHOICE_FOLDER ? "_Choose" : "_Open",
                                                              "_Cancel");
  Choosing *choosing = g_new (Choosing, 1);
  *choosing = (Choosing) { chosen, data };

  add_filters (GTK_FILE_CHOOSER (dialog), choice);
  if (folder != NULL)
    {
      g_autoptr (GFile) file = g_file_new_for_path (folder);
      gtk_file_chooser_set_current_folder (GTK_FILE_CHOOSER (dialog), file, NULL);
    }
  if (write)
    gtk_file_chooser_set_current_name (GTK_FILE_CHOOSER (dialog), name);
  gtk_native_dialog_set_modal (GTK_NATIVE_DIALOG (dialog), TRUE);
  g_object_set_data_full (G_OBJECT (dialog), "rhyton-choosing", choosing, g_free);
  g_signal_connect (dialog, "response", G_CALLBACK (on_file_response), choosing);
  g_object_set_data_full (G_OBJECT (parent), "rhyton-file-dialog", dialog, g_object_unref);
  gtk_native_dialog_show (GTK_NATIVE_DIALOG (dialog));
}

typedef struct
{
  RhytonAnswered answered;
  gpointer       data;
} Asking;

static void
answer (GtkWindow *window,
        int        number)
{
  Asking *asking = g_object_steal_data (G_OBJECT (window), "rhyton-asking");
  if (asking == NULL)
    return;
  const Asking now = *asking;
  g_free (asking);
  /* Closed before the answer is acted upon: that may open the next dialog. */
  gtk_window_destroy (window);
  if (now.answered != NULL)
    now.answered (number, now.data);
}

static void
on_answer_clicked (GtkWidget *button,
                   gpointer   number)
{
  answer (GTK_WINDOW (gtk_widget_get_root (button)), GPOINTER_TO_INT (number));
}

static gboolean
on_ask_closed (GtkWindow *window)
{
  g_object_ref (window);
  answer (window, -1);
  g_object_unref (window);
  return GDK_EVENT_STOP;
}

static gboolean
close_by_key (GtkWidget *widget,
              GVariant  *arguments,
              gpointer   data)
{
  gtk_window_close (GTK_WINDOW (widget));
  return GDK_EVENT_STOP;
}

void
rhyton_dialogs_ask (GtkWindow         *parent,
                    const char        *title,
                    const char        *body,
                    const char *const *buttons,
                    RhytonAnswered     answered,
                    gpointer           data)
{
  g_return_if_fail (buttons != NULL && buttons[0] != NULL);

  g_autoptr (GtkBuilder) builder = gtk_builder_new_from_resource ("/org/rhyton/rhyton/rhyton-question.ui");
  GtkWindow *window = GTK_WINDOW (gtk_builder_get_object (builder, "question"));
  GtkWidget *row = GTK_WIDGET (gtk_builder_get_object (builder, "buttons"));
  Asking *asking = g_new0 (Asking, 1);

  *asking = (Asking) { .answered = answered, .data = data };
  g_object_set_data_full (G_OBJECT (window), "rhyton-asking", asking, g_free);
  gtk_window_set_title (window, title);
  gtk_label_set_label (GTK_LABEL (gtk_builder_get_object (builder, "title")), title);
  gtk_label_set_label (GTK_LABEL (gtk_builder_get_object (builder, "body")), body);
  for (int i = 0; buttons[i] != NULL; i++)
    {
      GtkWidget *button = gtk_button_new_with_label (buttons[i]);
      g_signal_connect (button, "clicked", G_CALLBACK (on_answer_clicked), GINT_TO_POINTER (i));
      gtk_box_append (GTK_BOX (row), button);
      if (buttons[i + 1] == NULL)
        {
          gtk_widget_add_css_class (button, "suggested-action");
          gtk_window_set_default_widget (window, button);
          gtk_window_set_focus (window, button);
        }
    }
  g_signal_connect (window, "close-request", G_CALLBACK (on_ask_closed), NULL);
  GtkEventController *keys = gtk_shortcut_controller_new ();
  gtk_shortcut_controller_add_shortcut (GTK_SHORTCUT_CONTROLLER (keys),
                                        gtk_shortcut_new (gtk_keyval_trigger_new (GDK_KEY_Escape, 0),
                                                          gtk_callback_action_new (close_by_key, NULL, NULL)));
  gtk_widget_add_controller (GTK_WIDGET (window), keys);
  gtk_window_set_transient_for (window, parent);
  gtk_window_present (window);
}

void
rhyton_dialogs_tell (GtkWindow  *parent,
                     const char *title,
                     const char *body)
{
  static const char *const buttons[] = { "Close", NULL };
  rhyton_dialogs_ask (parent, title, body, buttons, NULL, NULL);
}
