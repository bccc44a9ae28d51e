/* SPDX-License-Identifier: LGPL-2.1-or-later */
#pragma once

#include <locale.h>
#include <stdlib.h>

#include <glib.h>
#include <glib/gstdio.h>

/*
 * The name of a locale that writes a decimal comma, or NULL where the system has
 * none and cannot make one. One that had to be made lies in a folder of the build, and
 * LOCPATH is set to it, for this process and its children.
 */
static inline const char *
rhy_comma_locale (void)
{
  static const char *const names[] = { "de_DE.UTF-8", "de_DE.utf8", "fr_FR.UTF-8", "nl_NL.UTF-8", "pl_PL.UTF-8" };
  for (gsize i = 0; i < G_N_ELEMENTS (names); i++)
    if (setlocale (LC_NUMERIC, names[i]) != NULL)
      {
        setlocale (LC_NUMERIC, "C");
        return names[i];
      }

  const char *build = g_getenv ("G_TEST_BUILDDIR");
  g_autofree char *folder = g_build_filename (build != NULL ? build : g_get_tmp_dir (), "locale", NULL);
  g_autofree char *own = g_build_filename (folder, "de_DE.UTF-8", NULL);
  const char *const command[] = { "localedef", "-i", "de_DE", "-f", "UTF-8", own, NULL };
  g_mkdir_with_parents (folder, 0755);
  if (!g_file_test (own, G_FILE_TEST_IS_DIR))
    g_spawn_sync (NULL, (char **) command, NULL,
                  G_SPAWN_SEARCH_PATH | G_SPAWN_STDOUT_TO_DEV_NULL | G_SPAWN_STDERR_TO_DEV_NULL,
                  NULL, NULL, NULL, NULL, NULL, NULL);
  g_setenv ("LOCPATH", folder, TRUE);
  const gboolean made = setlocale (LC_NUMERIC, "de_DE.UTF-8") != NULL;
  setlocale (LC_NUMERIC, "C");
  return made ? "de_DE.UTF-8" : NULL;
}
