/* SPDX-License-Identifier: LGPL-2.1-or-later */
#include "config.h"

#include "rhyton-kept.h"

#include <glib/gstdio.h>

#define N_RECENT 10
#define JOB_MIME_TYPE "application/x-rhyton-job"

/* ---- what was opened last ---- */

void
rhyton_kept_remember (GtkWidget  *window,
                      const char *path)
{
  gboolean wanted = TRUE;

  /* Whoever wants no traces of what was opened has said so in one place. */
  g_object_get (gtk_widget_get_settings (window), "gtk-recent-files-enabled", &wanted, NULL);
  if (!wanted)
    return;
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autofree char *uri = g_file_get_uri (file);
  g_autofree char *name = g_path_get_basename (path);
  char *const groups[] = { NULL };
  const GtkRecentData data = {
    .display_name = name,
    .mime_type = (char *) JOB_MIME_TYPE,
    .app_name = (char *) "Rhyton",
    .app_exec = (char *) "rhyton %f",
    .groups = (char **) groups,
  };
  gtk_recent_manager_add_full (gtk_recent_manager_get_default (), uri, &data);
}

void
rhyton_kept_list_recent (GMenu *menu)
{
  GList *items = gtk_recent_manager_get_items (gtk_recent_manager_get_default ());
  guint n = 0;

  g_menu_remove_all (menu);
  for (GList *l = items; l != NULL && n < N_RECENT; l = l->next)
    {
      GtkRecentInfo *info = l->data;
      if (g_strcmp0 (gtk_recent_info_get_mime_type (info), JOB_MIME_TYPE) != 0 || !gtk_recent_info_exists (info))
        continue;
      g_autoptr (GMenuItem) item = g_menu_item_new (gtk_recent_info_get_display_name (info), NULL);
      g_menu_item_set_action_and_target (item, "app.open-recent", "s", gtk_recent_info_get_uri (info));
      g_menu_append_item (menu, item);
      n++;
    }
  g_list_free_full (items, (GDestroyNotify) gtk_recent_info_unref);
}

/* ---- the window ---- */

static char *
state_path (void)
{
  return g_build_filename (g_get_user_state_dir (), "rhyton", "window.ini", NULL);
}

void
rhyton_kept_save (GtkWindow      *window,
                  RhytonDocument *document)
{
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autofree char *path = state_path ();
  g_autofree char *folder = g_path_get_dirname (path);
  int width, height;

  gtk_window_get_default_size (window, &width, &height);
  g_key_file_set_integer (keys, "Window", "Width", width);
  g_key_file_set_integer (keys, "Window", "Height", height);
  g_key_file_set_boolean (keys, "Window", "Maximized", gtk_window_is_maximized (window));
  g_key_file_set_boolean (keys, "Window", "Inches", rhyton_document_get_inches (document));
  /* Nothing of worth is lost if this cannot be written. */
  if (g_mkdir_with_parents (folder, 0700) == 0)
    g_key_file_save_to_file (keys, path, NULL);
}

void
rhyton_kept_restore (GtkWindow *window)
{
  g_autoptr (GKeyFile) keys = g_key_file_new ();
  g_autofree char *path = state_path ();

  if (!g_key_file_load_from_file (keys, path, G_KEY_FILE_NONE, NULL))
    return;
  const int width = g_key_file_get_integer (keys, "Window", "Width", NULL);
  const int height = g_key_file_get_integer (keys, "Window", "Height", NULL);
  if (width >= 400 && height >= 300)
    gtk_window_set_default_size (window, width, height);
  if (g_key_file_get_boolean (keys, "Window", "Maximized", NULL))
    gtk_window_maximize (window);
  g_action_group_change_action_state (G_ACTION_GROUP (window), "inches",
                                      g_variant_new_boolean (g_key_file_get_boolean (keys, "Window", "Inches", NULL)));
}
